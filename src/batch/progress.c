/* One line on the terminal while a long run works: how many patients, how fast, how long still. The
 * clock is read for this line alone; nothing written depends on it. */
#include "batch/batch_int.h"

#include <time.h>
#include <unistd.h>

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

void progress_start(struct progress *p, const struct batch_options *o, long all_rows)
{
    *p = (struct progress){.all_rows = all_rows};
    p->shown = !o->quiet && (o->progress == PROGRESS_ALWAYS ||
                             (o->progress == PROGRESS_AUTO && isatty(STDERR_FILENO)));
    p->started = p->printed = now();
}

void progress_step(struct progress *p)
{
    static const double every = 0.2; /* seconds between two lines */
    p->patients++;
    double t = now();
    if (!p->shown || t - p->printed < every || p->rows == 0)
        return;
    p->printed = t;
    double spent = t - p->started;
    double share = (double)p->rows / (double)p->all_rows;
    fprintf(stderr, "\r%ld patients, %.0f%% of the rows, %.0f a second, about %.0f s left   ",
            p->patients, 100 * share, (double)p->patients / spent, spent * (1 - share) / share);
}

void progress_end(struct progress *p)
{
    if (p->shown && p->patients > 0)
        fputs("\r\033[K", stderr);
}
