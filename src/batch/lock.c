/* One run at a time writes to an output folder. The lock belongs to the open file and is shared by
 * the workers, so that it lasts until the last of them is gone, however the run ended. Runs of
 * different shards share the folder and exclude each other by shard. */
#include "batch/batch_int.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { TRIES = 10, PAUSE_NS = 100000000 };

static int try_lock(int fd, short type, int command)
{
    struct flock lock = {.l_type = type, .l_whence = SEEK_SET};
    return fcntl(fd, command, &lock);
}

static bool is_taken(int error)
{
    return error == EAGAIN || error == EACCES;
}

/* A run that was killed lasts a moment longer in its workers. */
static bool lock_soon(int fd, short type)
{
    for (int i = 0; i < TRIES && !interrupted(); i++) {
        if (try_lock(fd, type, F_OFD_SETLK) == 0)
            return true;
        if (!is_taken(errno))
            return false;
        nanosleep(&(struct timespec){.tv_nsec = PAUSE_NS}, NULL);
    }
    errno = EAGAIN;
    return false;
}

int lock_take(const char *path, bool shared, bool may_wait, struct diag_sink *sink)
{
    struct diag_pos pos = {.file = path};
    short type = shared ? F_RDLCK : F_WRLCK;
    int fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY, 0600);
    struct stat st;
    bool is_file = fd >= 0 && fstat(fd, &st) == 0 && S_ISREG(st.st_mode);
    if (!is_file) {
        diag_report(sink, DIAG_FILE_OPEN, pos, NULL, "%s", file_why(fd < 0 ? errno : ENXIO));
        if (fd >= 0)
            close(fd);
        return -1;
    }
    if (lock_soon(fd, type))
        return fd;
    if (!is_taken(errno)) { /* some network file systems have no locks */
        diag_report(sink, DIAG_LOCK_NONE, pos, NULL, "%s", strerror(errno));
        return fd;
    }
    if (may_wait) {
        fprintf(stderr, "endfeel: %s: another run is writing to this folder; waiting for it\n",
                path);
        while (!interrupted())
            if (try_lock(fd, type, F_OFD_SETLKW) == 0)
                return fd;
            else if (errno != EINTR)
                break;
    }
    if (!interrupted())
        diag_report(sink, DIAG_LOCKED, pos, NULL, NULL);
    close(fd);
    return -1;
}

void lock_drop(int fd)
{
    if (fd >= 0)
        close(fd);
}
