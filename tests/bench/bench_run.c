/*
 * bench_run COMMAND...: runs it and prints to standard error, as the last line,
 * "wall cpu peak": seconds, seconds of processor (all its processes), and the largest process in
 * kilobytes. GNU time is not on every machine. Exits as the command did.
 */
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static double seconds(struct timeval t)
{
    return (double)t.tv_sec + (double)t.tv_usec / 1e6;
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fputs("usage: bench_run COMMAND...\n", stderr);
        return 2;
    }
    double start = now();
    pid_t child = fork();
    if (child == 0) {
        execvp(argv[1], argv + 1);
        perror(argv[1]);
        _exit(127);
    }
    int status = 0;
    struct rusage used = {0};
    if (child < 0 || wait4(child, &status, 0, &used) != child) {
        perror("bench_run");
        return 3;
    }
    fprintf(stderr, "%.3f %.3f %ld\n", now() - start,
            seconds(used.ru_utime) + seconds(used.ru_stime), used.ru_maxrss);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 3;
}
