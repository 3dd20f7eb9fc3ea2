/*
 * Makes one system call fail, for tests: preloaded, with FAULT="CALL:PATH:N:ERRNO" the Nth call of
 * that name on a path that holds PATH fails with that error. Counted over all processes of a run by
 * a file, FAULT_COUNT, which says in its first byte after the count whether it came to that.
 * A failing write has written the half, a failing rename or close has done nothing. CALL "memory"
 * is any allocation, the program's own or a library's, and PATH "once", or "on" when those after
 * it fail too. With FAULT_LOG every call is written there, as "CALL PATH" on a line.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

struct count {
    atomic_int calls, failed;
};

static struct {
    bool ready;
    char call[32], path[256];
    int at, error, log;
    struct count *count;
} fault = {.log = -1};

static void *next(const char *name)
{
    return dlsym(RTLD_NEXT, name);
}

static void set_up(void)
{
    if (fault.ready)
        return;
    fault.ready = true;
    const char *spec = getenv("FAULT"), *file = getenv("FAULT_COUNT");
    int (*real_open)(const char *, int, ...) = next("open");
    if (spec == NULL || file == NULL)
        return;
    if (sscanf(spec, "%31[^:]:%255[^:]:%d:%d", fault.call, fault.path, &fault.at,
               &fault.error) != 4)
        abort();
    int fd = real_open(file, O_RDWR | O_CLOEXEC);
    void *map = fd < 0 ? MAP_FAILED
                       : mmap(NULL, sizeof(struct count), PROT_READ | PROT_WRITE, MAP_SHARED, fd,
                              0);
    if (map == MAP_FAILED)
        abort();
    fault.count = map;
    if (getenv("FAULT_LOG") != NULL)
        fault.log = real_open(getenv("FAULT_LOG"), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
}

/* In one piece: several processes write. */
static void note(const char *call, const char *path)
{
    ssize_t (*real_write)(int, const void *, size_t) = next("write");
    char line[PATH_MAX + 40];
    int kept = errno, len = snprintf(line, sizeof line, "%s %s\n", call, path);
    if (fault.log >= 0 && real_write(fault.log, line, (size_t)len) != len)
        abort();
    errno = kept;
}

static bool fails(const char *call, const char *path)
{
    set_up();
    note(call, path);
    if (fault.count == NULL || strcmp(call, fault.call) != 0 || strstr(path, fault.path) == NULL)
        return false;
    if (atomic_fetch_add(&fault.count->calls, 1) + 1 != fault.at)
        return false;
    atomic_store(&fault.count->failed, 1);
    errno = fault.error;
    return true;
}

static bool fails_on(const char *call, int fd)
{
    set_up();
    if (fault.count == NULL || (fault.log < 0 && strcmp(call, fault.call) != 0))
        return false;
    char link[64], path[PATH_MAX];
    int kept = errno;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    errno = kept;
    if (n < 0)
        return false;
    path[n] = '\0';
    return fails(call, path);
}

/* ---- memory: what the program's own malloc() calls ------------------------------------------- */

static bool memory_fails(void)
{
    static _Thread_local bool inside; /* dlsym() and the set-up allocate themselves */
    if (inside)
        return false;
    inside = true;
    set_up();
    inside = false;
    if (fault.count == NULL || strcmp(fault.call, "memory") != 0)
        return false;
    int n = atomic_fetch_add(&fault.count->calls, 1) + 1;
    if (n < fault.at || (n > fault.at && strcmp(fault.path, "on") != 0))
        return false;
    atomic_store(&fault.count->failed, 1);
    return true;
}

#define REAL_MEMORY(name, ...) \
    static void *(*real)(__VA_ARGS__); \
    if (real == NULL) \
        real = (void *(*)(__VA_ARGS__))next(#name)

void *__libc_malloc(size_t size);
void *__libc_malloc(size_t size)
{
    REAL_MEMORY(__libc_malloc, size_t);
    return memory_fails() ? NULL : real(size);
}

void *__libc_calloc(size_t n, size_t size);
void *__libc_calloc(size_t n, size_t size)
{
    REAL_MEMORY(__libc_calloc, size_t, size_t);
    return memory_fails() ? NULL : real(n, size);
}

void *__libc_realloc(void *ptr, size_t size);
void *__libc_realloc(void *ptr, size_t size)
{
    REAL_MEMORY(__libc_realloc, void *, size_t);
    return memory_fails() ? NULL : real(ptr, size);
}

/* The fortified names are what a program built with _FORTIFY_SOURCE calls. */
#define REAL(type, name, ...) type (*real)(__VA_ARGS__) = (type (*)(__VA_ARGS__))next(#name)

int open(const char *path, int flags, ...)
{
    REAL(int, open, const char *, int, ...);
    va_list ap;
    va_start(ap, flags);
    mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(ap, mode_t) : 0;
    va_end(ap);
    return fails("open", path) ? -1 : real(path, flags, mode);
}

int open64(const char *path, int flags, ...)
{
    REAL(int, open64, const char *, int, ...);
    va_list ap;
    va_start(ap, flags);
    mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(ap, mode_t) : 0;
    va_end(ap);
    return fails("open", path) ? -1 : real(path, flags, mode);
}

int __open_2(const char *path, int flags);
int __open_2(const char *path, int flags)
{
    REAL(int, __open_2, const char *, int);
    return fails("open", path) ? -1 : real(path, flags);
}

FILE *fopen(const char *restrict path, const char *restrict mode)
{
    REAL(FILE *, fopen, const char *, const char *);
    return fails("open", path) ? NULL : real(path, mode);
}

ssize_t read(int fd, void *to, size_t n)
{
    REAL(ssize_t, read, int, void *, size_t);
    return fails_on("read", fd) ? -1 : real(fd, to, n);
}

ssize_t __read_chk(int fd, void *to, size_t n, size_t room);
ssize_t __read_chk(int fd, void *to, size_t n, size_t room)
{
    REAL(ssize_t, __read_chk, int, void *, size_t, size_t);
    return fails_on("read", fd) ? -1 : real(fd, to, n, room);
}

ssize_t write(int fd, const void *from, size_t n)
{
    REAL(ssize_t, write, int, const void *, size_t);
    if (!fails_on("write", fd))
        return real(fd, from, n);
    int error = errno;
    if (real(fd, from, n / 2) < 0)
        return -1;
    errno = error;
    return -1;
}

size_t fwrite(const void *restrict from, size_t size, size_t n, FILE *restrict f)
{
    REAL(size_t, fwrite, const void *, size_t, size_t, FILE *);
    return fails_on("write", fileno(f)) ? real(from, size, n / 2, f) : real(from, size, n, f);
}

int fflush(FILE *f)
{
    REAL(int, fflush, FILE *);
    return f != NULL && fails_on("write", fileno(f)) ? EOF : real(f);
}

int fsync(int fd)
{
    REAL(int, fsync, int);
    return fails_on("fsync", fd) ? -1 : real(fd);
}

int syncfs(int fd)
{
    REAL(int, syncfs, int);
    return fails_on("fsync", fd) ? -1 : real(fd);
}

int close(int fd)
{
    REAL(int, close, int);
    bool failed = fails_on("close", fd);
    int error = errno, done = real(fd);
    errno = error;
    return failed ? -1 : done;
}

int rename(const char *from, const char *to)
{
    REAL(int, rename, const char *, const char *);
    return fails("rename", to) ? -1 : real(from, to);
}

int link(const char *from, const char *to)
{
    REAL(int, link, const char *, const char *);
    return fails("link", to) ? -1 : real(from, to);
}

int mkdir(const char *path, mode_t mode)
{
    REAL(int, mkdir, const char *, mode_t);
    return fails("mkdir", path) ? -1 : real(path, mode);
}

int mkostemp(char *name, int flags)
{
    REAL(int, mkostemp, char *, int);
    return fails("mkostemp", name) ? -1 : real(name, flags);
}

pid_t fork(void)
{
    REAL(pid_t, fork, void);
    return fails("fork", "fork") ? -1 : real();
}
