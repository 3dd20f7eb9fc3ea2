/* Files: whole reads, writes that appear whole or not at all, folders, safe names. A file is built
 * as PATH.part beside its target and renamed; on any failure the part is removed. */
#include "base/base.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool fail(struct diag_sink *sink, enum diag_code code, const char *path)
{
    int error = errno;
    diag_report(sink, code, (struct diag_pos){.file = path}, NULL, "%s", strerror(error));
    return false;
}

/* ---- opening -------------------------------------------------------------------------------- */

/* Whatever may stand under a name is opened without waiting for it, and looked at then. */
enum { OPEN_NO_WAIT = O_NONBLOCK | O_NOCTTY | O_CLOEXEC };

const char *file_why(int error)
{
    return error == ENXIO ? "a pipe, socket or device, not a file; name another, or move it away"
                          : strerror(error);
}

/* Has the pipe a writer, who has only not said anything so far? What is in it stays there. */
static bool has_writer(int pipe)
{
    int copy[2];
    if (pipe2(copy, O_NONBLOCK | O_CLOEXEC) != 0)
        return false;
    ssize_t n = tee(pipe, copy[1], 1, SPLICE_F_NONBLOCK);
    bool has = n > 0 || (n < 0 && errno == EAGAIN);
    close(copy[0]);
    close(copy[1]);
    return has;
}

/* Until someone writes to the pipe, which a plain open() waits for without end. */
static bool wait_for_writer(int pipe, const char *path, struct diag_sink *sink)
{
    enum { TRY_MS = 100, TRIES = 100 };
    struct pollfd events = {.fd = pipe, .events = POLLIN};
    for (int i = 0; i < TRIES; i++) {
        int n = poll(&events, 1, TRY_MS);
        if (n < 0)
            return fail(sink, DIAG_FILE_OPEN, path);
        if (n > 0 || has_writer(pipe))
            return true;
    }
    diag_report(sink, DIAG_FILE_OPEN, (struct diag_pos){.file = path}, NULL,
                "a pipe that nothing writes to (%d seconds)", TRIES * TRY_MS / 1000);
    return false;
}

int file_open(const char *path, struct diag_sink *sink)
{
    struct stat st;
    int fd = open(path, O_RDONLY | OPEN_NO_WAIT);
    bool ok = fd >= 0 && fstat(fd, &st) == 0;
    if (!ok)
        fail(sink, DIAG_FILE_OPEN, path);
    else if (S_ISFIFO(st.st_mode))
        ok = wait_for_writer(fd, path, sink);
    if (ok && !S_ISREG(st.st_mode))
        fcntl(fd, F_SETFL, O_RDONLY); /* from here on there is something to wait for */
    if (!ok && fd >= 0)
        close(fd);
    return ok ? fd : -1;
}

/* Nothing but a file, or a folder, which says itself that it cannot be read. */
static bool is_plain(int fd)
{
    struct stat st;
    return fstat(fd, &st) == 0 && (S_ISREG(st.st_mode) || S_ISDIR(st.st_mode));
}

int file_open_own(const char *path, struct diag_sink *sink)
{
    int fd = open(path, O_RDONLY | OPEN_NO_WAIT);
    if (fd >= 0 && is_plain(fd))
        return fd;
    int error = fd < 0 ? errno : ENXIO; /* which open() says of a socket */
    if (fd >= 0)
        close(fd);
    diag_report(sink, error == ENXIO ? DIAG_FILE_READ : DIAG_FILE_OPEN,
                (struct diag_pos){.file = path}, NULL, "%s", file_why(error));
    errno = error;
    return -1;
}

int file_open_write(const char *path, int flags)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_NOFOLLOW | OPEN_NO_WAIT | flags, 0600);
    if (fd < 0 || is_plain(fd))
        return fd;
    close(fd);
    errno = ENXIO;
    return -1;
}

/* ---- whole reads ---------------------------------------------------------------------------- */

static bool read_all(int fd, const char *path, size_t max, struct buf *out, struct diag_sink *sink)
{
    bool ok = true;
    if (fd < 0)
        return false;
    for (;;) {
        char chunk[16384];
        ssize_t n = read(fd, chunk, sizeof chunk);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            ok = fail(sink, DIAG_FILE_READ, path);
        if (n <= 0)
            break;
        if (out->len + (size_t)n > max) {
            diag_report(sink, DIAG_FILE_TOO_LARGE, (struct diag_pos){.file = path}, NULL,
                        "%zu bytes at most", max);
            ok = false;
            break;
        }
        buf_add(out, chunk, (size_t)n);
    }
    close(fd);
    return ok;
}

bool file_read(const char *path, size_t max, struct buf *out, struct diag_sink *sink)
{
    return read_all(file_open(path, sink), path, max, out, sink);
}

bool file_read_own(const char *path, size_t max, struct buf *out, struct diag_sink *sink)
{
    return read_all(file_open_own(path, sink), path, max, out, sink);
}

/* ---- parts ---------------------------------------------------------------------------------- */

/* Those written and not yet in place, for a process that has to end where it stands. A worker
 * writes more than these; its parent knows where they are. */
enum { PARTS_KNOWN = 16, PART_MAX = PATH_MAX + sizeof ".part" };
static char known_parts[PARTS_KNOWN][PART_MAX];
static int next_known;

static void remember_part(const char *part)
{
    memcpy(known_parts[next_known], part, strlen(part) + 1);
    next_known = (next_known + 1) % PARTS_KNOWN;
}

static void forget_part(const char *part)
{
    for (int i = 0; i < PARTS_KNOWN; i++)
        if (strcmp(known_parts[i], part) == 0)
            known_parts[i][0] = '\0';
}

void file_discard_all(void)
{
    for (int i = 0; i < PARTS_KNOWN; i++)
        if (known_parts[i][0] != '\0')
            unlink(known_parts[i]);
}

/* Without memory of its own, so that nothing can come between a part and its name. */
static bool part_path(const char *path, char part[PART_MAX])
{
    size_t len = strlen(path);
    if (len >= PATH_MAX) {
        errno = ENAMETOOLONG;
        return false;
    }
    memcpy(part, path, len);
    memcpy(part + len, ".part", sizeof ".part");
    return true;
}

static bool write_all(int fd, const char *data, size_t len)
{
    while (len > 0) {
        ssize_t n = write(fd, data, len);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return false;
        data += n;
        len -= (size_t)n;
    }
    return true;
}

/* A rename would put a file in the place of /dev/null, or of a pipe that another program reads. */
static bool may_take_place(const char *path)
{
    struct stat st;
    if (stat(path, &st) != 0 || S_ISREG(st.st_mode) || S_ISDIR(st.st_mode))
        return true; /* what is wrong with a folder, the rename says */
    errno = ENXIO;
    return false;
}

static bool write_part(const char *path, const void *data, size_t len, bool sync,
                       struct diag_sink *sink)
{
    char part[PART_MAX];
    int fd = -1;
    if (part_path(path, part) && may_take_place(path))
        fd = file_open_write(part, O_TRUNC);
    if (fd >= 0)
        remember_part(part);
    bool ok = fd >= 0 && write_all(fd, data, len) && (!sync || fsync(fd) == 0);
    int error = errno;
    if (fd >= 0 && close(fd) != 0 && ok) {
        error = errno;
        ok = false;
    }
    if (!ok) {
        if (fd >= 0)
            file_discard(path);
        diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = path}, NULL, "%s",
                    file_why(error));
    }
    return ok;
}

bool file_write_part(const char *path, const void *data, size_t len, struct diag_sink *sink)
{
    return write_part(path, data, len, false, sink);
}

bool file_commit(const char *path, struct diag_sink *sink)
{
    char part[PART_MAX];
    bool ok = part_path(path, part) && rename(part, path) == 0;
    if (!ok) {
        fail(sink, DIAG_FILE_WRITE, path);
        file_discard(path);
        return false;
    }
    forget_part(part);
    return true;
}

void file_discard(const char *path)
{
    char part[PART_MAX];
    if (!part_path(path, part))
        return;
    unlink(part);
    forget_part(part);
}

bool file_sync_folder(const char *path, struct diag_sink *sink)
{
    int fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return fail(sink, DIAG_FILE_OPEN, path);
    bool ok = fsync(fd) == 0 || errno == EINVAL; /* some file systems cannot sync a folder */
    if (!ok)
        fail(sink, DIAG_FILE_WRITE, path);
    close(fd);
    return ok;
}

bool file_write(const char *path, const void *data, size_t len, struct diag_sink *sink)
{
    return write_part(path, data, len, true, sink) && file_commit(path, sink);
}

static bool make_folder(const char *path)
{
    return mkdir(path, 0700) == 0 || (errno == EEXIST && file_is_folder(path));
}

bool file_make_folders(const char *path, struct diag_sink *sink)
{
    /* Every report asks for its folder, and nearly always only the last one can be missing. */
    if (make_folder(path))
        return true;
    char *copy = mem_strdup(path);
    bool ok = true;
    for (char *p = copy + 1; ok && *copy != '\0'; p++) {
        if (*p != '/' && *p != '\0')
            continue;
        char kept = *p;
        *p = '\0';
        if (!make_folder(copy))
            ok = fail(sink, DIAG_FILE_WRITE, copy);
        *p = kept;
        if (kept == '\0')
            break;
    }
    free(copy);
    return ok;
}

bool file_is_folder(const char *path)
{
    struct stat st;
    return stat(path, &st) == 0 && S_ISDIR(st.st_mode);
}

bool file_exists(const char *path)
{
    struct stat st;
    return stat(path, &st) == 0;
}

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static bool ends_with(const char *s, const char *suffix)
{
    size_t ls = strlen(s), lx = strlen(suffix);
    return ls > lx && strcmp(s + ls - lx, suffix) == 0;
}

bool file_list(const char *folder, const char *suffix, struct arena *a, const char ***paths,
               size_t *n, struct diag_sink *sink)
{
    DIR *dir = opendir(folder);
    if (dir == NULL)
        return fail(sink, DIAG_FILE_OPEN, folder);
    const char **found = NULL;
    size_t count = 0, cap = 0;
    const struct dirent *entry;
    while ((entry = readdir(dir)) != NULL) {
        if (entry->d_name[0] == '.' || !ends_with(entry->d_name, suffix))
            continue;
        const char *path = arena_printf(a, "%s/%s", folder, entry->d_name);
        struct stat st;
        if (stat(path, &st) != 0 || !S_ISREG(st.st_mode))
            continue;
        if (count == cap) {
            cap = cap == 0 ? 16 : cap * 2;
            found = mem_resize(found, cap * sizeof *found);
        }
        found[count++] = path;
    }
    closedir(dir);
    *paths = arena_alloc(a, (count + 1) * sizeof **paths);
    if (count > 0) {
        qsort(found, count, sizeof *found, by_bytes);
        memcpy(*paths, found, count * sizeof *found);
    }
    *n = count;
    free(found);
    return true;
}

char *file_safe_name(struct arena *a, const char *id)
{
    static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.";
    struct buf b;
    buf_init(&b, 3 * strlen(id) + 1);
    for (const char *p = id; *p != '\0'; p++) {
        bool outer_dot = *p == '.' && (p == id || p[1] == '\0');
        if (strchr(plain, *p) != NULL && !outer_dot)
            buf_addc(&b, *p);
        else
            buf_addf(&b, "%%%02X", (unsigned char)*p);
    }
    char *name = arena_strdup(a, buf_text(&b));
    buf_release(&b);
    return name;
}

const char *file_data_folder(struct arena *a, const char *name)
{
    char exe[PATH_MAX];
    ssize_t len = readlink("/proc/self/exe", exe, sizeof exe - 1);
    if (len > 0) {
        exe[len] = '\0';
        char *slash = strrchr(exe, '/');
        if (slash != NULL)
            *slash = '\0';
        static const char *const beside[] = {"share/endfeel", "../share/endfeel"};
        for (size_t i = 0; i < ARRAY_LEN(beside); i++) {
            const char *path = arena_printf(a, "%s/%s/%s", exe, beside[i], name);
            if (file_is_folder(path))
                return path;
        }
    }
    const char *path = arena_printf(a, "%s/%s", ENDFEEL_DATADIR, name);
    return file_is_folder(path) ? path : NULL;
}
