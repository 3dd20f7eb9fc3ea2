/* Long-lived workers, one patient in hand each. A worker that dies takes only that patient's
 * reports with it: the parent says so, starts another and goes on. */
#include "batch/batch_int.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

struct worker {
    pid_t pid;
    int fd;
    char *patient_id; /* in hand; NULL when idle */
};

struct pool {
    const struct tools *tools;
    struct worker *workers;
    int n, n_busy;
    pool_answer answer;
    pool_lost lost;
    void *user;
    struct diag_sink *sink;
    struct buf message;
};

static volatile sig_atomic_t stop_signal;

static void on_signal(int signal_number)
{
    stop_signal = signal_number;
}

void watch_signals(void)
{
    struct sigaction act = {.sa_handler = on_signal};
    sigemptyset(&act.sa_mask);
    sigaction(SIGINT, &act, NULL);
    sigaction(SIGTERM, &act, NULL);
    act.sa_handler = SIG_IGN; /* a worker that died is noticed by its stream */
    sigaction(SIGPIPE, &act, NULL);
}

bool interrupted(void)
{
    return stop_signal != 0;
}

int interrupted_by(void)
{
    return stop_signal;
}

static void worker_process(struct pool *p, int fd)
{
    /* The parent decides what an interrupt means. */
    signal(SIGINT, SIG_IGN);
    signal(SIGTERM, SIG_DFL);
    for (int i = 0; i < p->n; i++)
        if (p->workers[i].fd >= 0)
            close(p->workers[i].fd);
    worker_run(p->tools, fd);
    close(fd);
    _exit(0);
}

static bool start(struct pool *p, struct worker *w)
{
    int pair[2];
    *w = (struct worker){.fd = -1};
    fflush(NULL);
    pid_t pid = -1;
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, pair) == 0) {
        pid = fork();
        if (pid == 0) {
            close(pair[0]);
            worker_process(p, pair[1]);
        }
        close(pair[1]);
        if (pid < 0)
            close(pair[0]);
    }
    if (pid < 0) {
        diag_report(p->sink, DIAG_WORKER_START, (struct diag_pos){0}, NULL, "%s", strerror(errno));
        return false;
    }
    w->pid = pid;
    w->fd = pair[0];
    return true;
}

struct pool *pool_new(const struct tools *tools, int jobs, pool_answer answer, pool_lost lost,
                      void *user, struct diag_sink *sink)
{
    struct pool *p = mem_alloc(sizeof *p);
    *p = (struct pool){.tools = tools, .answer = answer, .lost = lost, .user = user, .sink = sink};
    buf_init(&p->message, SIZE_MAX / 4);
    p->workers = mem_alloc((size_t)jobs * sizeof *p->workers);
    while (p->n < jobs) {
        if (!start(p, &p->workers[p->n])) {
            pool_free(p);
            return NULL;
        }
        p->n++;
    }
    return p;
}

static void reap(struct worker *w)
{
    if (w->fd >= 0)
        close(w->fd);
    w->fd = -1;
    int status;
    while (waitpid(w->pid, &status, 0) < 0 && errno == EINTR)
        continue;
}

/* The worker is gone: report its patient, put another in its place. */
static bool replace(struct pool *p, struct worker *w)
{
    char *patient_id = w->patient_id;
    reap(w);
    if (patient_id != NULL) {
        p->n_busy--;
        p->lost(p->user, patient_id);
        free(patient_id);
    }
    return start(p, w);
}

static bool collect(struct pool *p, struct worker *w)
{
    if (!wire_receive(w->fd, &p->message))
        return replace(p, w);
    free(w->patient_id);
    w->patient_id = NULL;
    p->n_busy--;
    return p->answer(p->user, &p->message);
}

/* Waits until at least one busy worker has answered. */
static bool wait_one(struct pool *p)
{
    struct pollfd *fds = mem_alloc((size_t)p->n * sizeof *fds);
    for (int i = 0; i < p->n; i++)
        fds[i] = (struct pollfd){.fd = p->workers[i].patient_id != NULL ? p->workers[i].fd : -1,
                                 .events = POLLIN};
    int ready = poll(fds, (nfds_t)p->n, -1);
    bool ok = ready > 0 || errno == EINTR;
    for (int i = 0; ok && ready > 0 && i < p->n; i++)
        if (fds[i].revents != 0)
            ok = collect(p, &p->workers[i]);
    free(fds);
    return ok && !interrupted();
}

static struct worker *idle_worker(struct pool *p)
{
    for (int i = 0; i < p->n; i++)
        if (p->workers[i].patient_id == NULL)
            return &p->workers[i];
    return NULL;
}

bool pool_submit(struct pool *p, const char *patient_id, const struct buf *job)
{
    struct worker *w;
    while ((w = idle_worker(p)) == NULL)
        if (!wait_one(p))
            return false;
    if (interrupted())
        return false;
    w->patient_id = mem_strdup(patient_id);
    p->n_busy++;
    return wire_send(w->fd, job) || replace(p, w);
}

bool pool_finish(struct pool *p)
{
    while (p->n_busy > 0)
        if (!wait_one(p))
            return false;
    return true;
}

void pool_free(struct pool *p)
{
    if (p == NULL)
        return;
    for (int i = 0; i < p->n; i++) {
        struct worker *w = &p->workers[i];
        if (w->patient_id != NULL)
            kill(w->pid, SIGTERM);
        if (w->fd >= 0)
            reap(w);
        free(w->patient_id);
    }
    free(p->workers);
    buf_release(&p->message);
    free(p);
}
