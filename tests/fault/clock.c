/*
 * A wall clock that jumps, for tests: preloaded, the program's own first look at it says
 * CLOCK_FIRST (seconds since 1970); the looks after that, and those of libraries, are twenty years
 * earlier or later by turns. CLOCK_MONOTONIC, which no one can set, stays as it is.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdlib.h>
#include <string.h>
#include <sys/time.h>
#include <time.h>

static time_t jump(const void *caller)
{
    static int looks, own;
    const char *first = getenv("CLOCK_FIRST");
    const time_t years = 20L * 366 * 86400, t = first != NULL ? atol(first) : 0;
    Dl_info info;
    if (dladdr(caller, &info) != 0 && strstr(info.dli_fname, "endfeel") != NULL && own++ == 0)
        return t;
    return looks++ % 2 == 0 ? t - years : t + years;
}

time_t time(time_t *to)
{
    time_t t = jump(__builtin_return_address(0));
    if (to != NULL)
        *to = t;
    return t;
}

int gettimeofday(struct timeval *restrict to, void *restrict zone)
{
    (void)zone;
    *to = (struct timeval){.tv_sec = jump(__builtin_return_address(0))};
    return 0;
}

int clock_gettime(clockid_t clock, struct timespec *to)
{
    int (*real)(clockid_t, struct timespec *) =
        (int (*)(clockid_t, struct timespec *))dlsym(RTLD_NEXT, "clock_gettime");
    if (clock != CLOCK_REALTIME && clock != CLOCK_REALTIME_COARSE)
        return real(clock, to);
    *to = (struct timespec){.tv_sec = jump(__builtin_return_address(0))};
    return 0;
}
