/* Long-lived workers, one patient in hand each. A worker that dies takes only the report in hand
 * with it: the parent gives the patient to another worker, with the number of the report that is to
 * be left out and why. What dies before the first report takes the patient. */
#include "batch/batch_int.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

/* Without an answer from any worker for so many times the limit of one report's processor time,
 * they are taken to be stuck. */
enum { STUCK_FACTOR = 10, SLICE_MS = 200, LOST_MOST = 64, WHY_MAX = 160 };

struct worker {
    pid_t pid;
    int fd;
    bool busy, stuck;
    volatile long *in_hand; /* shared with the worker: the number of the report it makes */
    struct buf job;         /* of the patient in hand */
    struct buf lost;        /* reports of the patient that ended a worker */
    int n_lost;
};

struct pool {
    const struct tools *tools;
    struct worker *workers;
    int n, n_busy, capacity;
    volatile long *in_hand; /* of all workers */
    pool_answer answer;
    pool_lost lost;
    void *user;
    struct diag_sink *sink;
    struct buf message;
};

static struct pool *at_work; /* for an end at once */
static volatile sig_atomic_t stop_signal;

static void on_signal(int signal_number)
{
    if (stop_signal == SIGINT && signal_number == SIGINT) { /* asked again: at once */
        signal(signal_number, SIG_DFL);
        raise(signal_number);
    }
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

static void worker_process(struct pool *p, int fd, volatile long *in_hand)
{
    mem_before_end(NULL); /* the parent clears up */
    /* The parent decides what an interrupt means. */
    signal(SIGINT, SIG_IGN);
    signal(SIGTERM, SIG_DFL);
    for (int i = 0; i < p->n; i++)
        if (p->workers[i].fd >= 0)
            close(p->workers[i].fd);
    limits_memory(p->tools->options);
    worker_run(p->tools, fd, in_hand);
    close(fd);
    _exit(0);
}

static bool start(struct pool *p, struct worker *w)
{
    int pair[2];
    w->fd = -1;
    w->stuck = false;
    *w->in_hand = 0;
    fflush(NULL);
    pid_t pid = -1;
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, pair) == 0) {
        pid = fork();
        if (pid == 0) {
            close(pair[0]);
            worker_process(p, pair[1], w->in_hand);
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
    p->capacity = jobs;
    at_work = p;
    p->in_hand = mmap(NULL, (size_t)jobs * sizeof *p->in_hand, PROT_READ | PROT_WRITE,
                      MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (p->in_hand == MAP_FAILED) {
        p->in_hand = NULL;
        diag_report(sink, DIAG_WORKER_START, (struct diag_pos){0}, NULL, "%s", strerror(errno));
        pool_free(p);
        return NULL;
    }
    while (p->n < jobs) {
        struct worker *w = &p->workers[p->n];
        *w = (struct worker){.in_hand = &p->in_hand[p->n]};
        buf_init(&w->job, SIZE_MAX / 4);
        buf_init(&w->lost, 1 << 20);
        if (!start(p, w)) {
            pool_free(p);
            return NULL;
        }
        p->n++;
    }
    return p;
}

/* Waits for the end of a worker; how it ended. */
static int reap(struct worker *w)
{
    int status = 0;
    if (w->fd >= 0)
        close(w->fd);
    w->fd = -1;
    while (waitpid(w->pid, &status, 0) < 0 && errno == EINTR)
        continue;
    w->pid = 0;
    return status;
}

static void explain_end(const struct pool *p, const struct worker *w, int status,
                        char why[WHY_MAX])
{
    const struct batch_options *o = p->tools->options;
    if (w->stuck)
        snprintf(why, WHY_MAX, "no answer for %ld seconds", (long)o->time_limit * STUCK_FACTOR);
    else if (WIFSIGNALED(status) && WTERMSIG(status) == SIGPROF)
        snprintf(why, WHY_MAX, "it took more than %d seconds of processor time (--time-limit)",
                 o->time_limit);
    else if (WIFEXITED(status) && WEXITSTATUS(status) == STATUS_SYSTEM)
        snprintf(why, WHY_MAX, "memory ran out; %d MB are allowed (--memory-limit)",
                 o->memory_limit);
    else if (WIFSIGNALED(status))
        snprintf(why, WHY_MAX, "the worker was ended by signal %d (%s)", WTERMSIG(status),
                 strsignal(WTERMSIG(status)));
    else
        snprintf(why, WHY_MAX, "the worker ended with status %d", WEXITSTATUS(status));
}

static bool send_job(struct pool *p, struct worker *w)
{
    buf_clear(&p->message);
    wire_put_int(&p->message, w->n_lost);
    buf_add(&p->message, w->lost.data, w->lost.len);
    buf_add(&p->message, w->job.data, w->job.len);
    return wire_send(w->fd, &p->message);
}

static void put_down(struct pool *p, struct worker *w)
{
    w->busy = false;
    p->n_busy--;
}

/* The worker is gone: another takes its place and the patient, but for the report that ended it. */
static bool replace(struct pool *p, struct worker *w)
{
    char why[WHY_MAX];
    kill(w->pid, SIGKILL); /* it may have closed its stream and live on */
    explain_end(p, w, reap(w), why);
    long number = *w->in_hand;
    if (!start(p, w)) {
        put_down(p, w);
        p->lost(p->user, &w->job, why);
        return false;
    }
    if (number > 0 && w->n_lost < LOST_MOST) {
        wire_put_int(&w->lost, number);
        wire_put_text(&w->lost, why);
        w->n_lost++;
        if (send_job(p, w))
            return true;
    }
    put_down(p, w);
    p->lost(p->user, &w->job, why);
    return true;
}

static bool collect(struct pool *p, struct worker *w)
{
    if (!wire_receive(w->fd, &p->message))
        return interrupted() || replace(p, w);
    put_down(p, w);
    return p->answer(p->user, &p->message);
}

static void end_stuck(struct pool *p)
{
    for (int i = 0; i < p->n; i++)
        if (p->workers[i].busy) {
            p->workers[i].stuck = true;
            kill(p->workers[i].pid, SIGKILL);
        }
}

/* Waits until at least one busy worker has answered. */
static bool wait_one(struct pool *p)
{
    struct pollfd *fds = mem_alloc((size_t)p->n * sizeof *fds);
    for (int i = 0; i < p->n; i++)
        fds[i] = (struct pollfd){.fd = p->workers[i].busy ? p->workers[i].fd : -1,
                                 .events = POLLIN};
    int ready = 0;
    long left = (long)p->tools->options->time_limit * STUCK_FACTOR * 1000;
    /* In slices: an interrupt just before poll() would not end it. */
    for (; ready == 0 && left > 0 && !interrupted(); left -= SLICE_MS)
        ready = poll(fds, (nfds_t)p->n, SLICE_MS);
    bool ok = ready >= 0 || errno == EINTR;
    if (ready == 0 && left <= 0)
        end_stuck(p);
    for (int i = 0; ok && ready > 0 && i < p->n; i++)
        if (fds[i].revents != 0)
            ok = collect(p, &p->workers[i]);
    free(fds);
    return ok && !interrupted();
}

static struct worker *idle_worker(struct pool *p)
{
    for (int i = 0; i < p->n; i++)
        if (!p->workers[i].busy)
            return &p->workers[i];
    return NULL;
}

bool pool_submit(struct pool *p, const struct buf *job)
{
    struct worker *w;
    while ((w = idle_worker(p)) == NULL)
        if (!wait_one(p))
            return false;
    if (interrupted())
        return false;
    buf_clear(&w->job);
    buf_clear(&w->lost);
    w->n_lost = 0;
    buf_add(&w->job, job->data, job->len);
    w->busy = true;
    p->n_busy++;
    return send_job(p, w) || replace(p, w);
}

bool pool_finish(struct pool *p)
{
    while (p->n_busy > 0)
        if (!wait_one(p))
            return false;
    return true;
}

void pool_end_at_once(void)
{
    for (int i = 0; at_work != NULL && i < at_work->n; i++)
        if (at_work->workers[i].pid > 0)
            kill(at_work->workers[i].pid, SIGKILL);
    for (int i = 0; at_work != NULL && i < at_work->n; i++)
        if (at_work->workers[i].pid > 0)
            (void)reap(&at_work->workers[i]);
}

void pool_free(struct pool *p)
{
    if (p == NULL)
        return;
    at_work = NULL;
    for (int i = 0; i < p->n; i++) {
        struct worker *w = &p->workers[i];
        if (w->busy) /* no milder: one just forked still has the handler of the parent */
            kill(w->pid, SIGKILL);
        if (w->pid > 0)
            (void)reap(w);
        buf_release(&w->job);
        buf_release(&w->lost);
    }
    if (p->in_hand != NULL)
        munmap((void *)(uintptr_t)p->in_hand, (size_t)p->capacity * sizeof *p->in_hand);
    free(p->workers);
    buf_release(&p->message);
    free(p);
}
