/* What one report may take: time of the processor, so that a slow disk is nobody's fault, and
 * memory on top of what the process has when the limit is set. A worker beyond its time ends by
 * SIGPROF and is told of by its parent; the parent, which sets the day index, says so itself. */
#include "batch/batch_int.h"

#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <unistd.h>

enum { MB = 1 << 20 };

void limits_time(const struct batch_options *o)
{
    struct itimerval timer = {.it_value = {.tv_sec = o->time_limit}};
    setitimer(ITIMER_PROF, &timer, NULL);
}

void limits_no_time(void)
{
    setitimer(ITIMER_PROF, &(struct itimerval){0}, NULL);
}

/* Memory that counts against the limit, in bytes; 0: not known here. */
static rlim_t data_in_use(void)
{
    unsigned long long data = 0;
    FILE *f = fopen("/proc/self/statm", "re");
    if (f == NULL)
        return 0;
    if (fscanf(f, "%*u %*u %*u %*u %*u %llu", &data) != 1)
        data = 0;
    fclose(f);
    return (rlim_t)data * (rlim_t)sysconf(_SC_PAGESIZE);
}

/* The address sanitizer reserves more than any limit; it has one of its own. */
static bool is_sanitized(void)
{
#ifdef __SANITIZE_ADDRESS__
    return true;
#else
    return false;
#endif
}

void limits_memory(const struct batch_options *o)
{
    struct rlimit limit;
    rlim_t in_use = data_in_use();
    if (in_use == 0 || is_sanitized() || getrlimit(RLIMIT_DATA, &limit) != 0)
        return;
    rlim_t most = in_use + (rlim_t)o->memory_limit * MB;
    if (most < limit.rlim_max) {
        limit.rlim_cur = most;
        setrlimit(RLIMIT_DATA, &limit);
    }
}

/* ---- the parent's own documents -------------------------------------------------------------- */

static _Noreturn void on_time(int signal_number)
{
    (void)signal_number;
    mem_end("the day index took more processor time than --time-limit allows");
}

void limits_guard(const struct batch_options *o)
{
    struct sigaction act = {.sa_handler = on_time};
    sigemptyset(&act.sa_mask);
    sigaction(SIGPROF, &act, NULL);
    limits_memory(o);
    limits_time(o);
}

void limits_no_guard(void)
{
    struct rlimit limit;
    limits_no_time();
    if (getrlimit(RLIMIT_DATA, &limit) == 0) {
        limit.rlim_cur = limit.rlim_max;
        setrlimit(RLIMIT_DATA, &limit);
    }
}
