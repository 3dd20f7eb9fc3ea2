/* Physical lines of a file through a window of bounded size. The CSV parser knows no lines and
 * cannot take back what it was fed; so lines are cut here, and stay in the window until the reader
 * has decided what they were. */
#include "import/import_int.h"

#include <assert.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* What a plain file still holds; 0 where that is not known, as of a pipe. */
static uint64_t bytes_due(int fd)
{
    struct stat st;
    off_t at = lseek(fd, 0, SEEK_CUR);
    bool known = at >= 0 && fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && st.st_size > at;
    return known ? (uint64_t)(st.st_size - at) : 0;
}

bool lines_open(struct lines *l, const char *path, size_t read_size, struct diag_sink *sink)
{
    struct diag_pos pos = {.file = path};
    struct stat st;
    *l = (struct lines){.fd = STDIN_FILENO, .read_size = read_size};
    buf_init(&l->decoded, SIZE_MAX / 4);
    if (strcmp(path, "-") != 0) {
        l->fd = file_open(path, sink);
        if (l->fd < 0)
            return false;
        l->own_fd = true;
    }
    if (fstat(l->fd, &st) == 0 && S_ISDIR(st.st_mode)) {
        diag_report(sink, DIAG_CSV_FOLDER, pos, NULL, NULL);
        lines_close(l);
        return false;
    }
    l->due = bytes_due(l->fd);
    return true;
}

void lines_close(struct lines *l)
{
    if (l->own_fd)
        close(l->fd);
    free(l->data);
    free(l->raw);
    buf_release(&l->decoded);
    decoder_free(l->decoder);
    *l = (struct lines){.fd = -1};
}

static void make_room(struct lines *l, size_t want)
{
    if (l->start > 0 && l->cap - l->end < want) {
        memmove(l->data, l->data + l->start, l->end - l->start);
        l->end -= l->start;
        l->start = 0;
    }
    if (l->cap - l->end < want) {
        l->cap = (l->cap + want) * 2;
        l->data = mem_resize(l->data, l->cap);
    }
}

static void add_decoded(struct lines *l, const char *bytes, size_t len)
{
    buf_clear(&l->decoded);
    decoder_add(l->decoder, bytes, len, l->eof, &l->decoded);
    make_room(l, l->decoded.len);
    if (l->decoded.len > 0)
        memcpy(l->data + l->end, l->decoded.data, l->decoded.len);
    l->end += l->decoded.len;
}

/* A file that somebody cuts or still writes to may be cut between two rows, which no row shows. */
static bool is_whole(struct lines *l)
{
    if (l->due == 0 || l->got == l->due)
        return true;
    l->why = l->got < l->due ? "it became shorter while it was read; export it again"
                             : "it grew while it was read; run again when its export is done";
    return false;
}

/* Reads once more; false on a read error, or where the file changed. At its end sets eof. */
static bool fill(struct lines *l)
{
    make_room(l, l->read_size);
    char *to = l->decoder != NULL ? l->raw : l->data + l->end;
    ssize_t n;
    do {
        n = read(l->fd, to, l->read_size);
    } while (n < 0 && errno == EINTR);
    if (n < 0) {
        l->why = strerror(errno);
        return false;
    }
    l->got += (size_t)n;
    if (n == 0 && !is_whole(l))
        return false;
    l->eof = n == 0;
    if (l->decoder != NULL)
        add_decoded(l, to, (size_t)n);
    else
        l->end += (size_t)n;
    return true;
}

void lines_decode(struct lines *l, struct decoder *d)
{
    size_t len = l->end - l->start;
    l->decoder = d;
    l->raw = mem_alloc(l->read_size > len ? l->read_size : len + 1);
    if (len > 0)
        memcpy(l->raw, l->data + l->start, len);
    l->start = l->end = 0;
    add_decoded(l, l->raw, len);
    l->seen_offset = l->seen_len = 0;
}

/* Length of the line at `text` up to its end, searched from `from`; `len` where there is none. */
static size_t find_end(const char *text, size_t from, size_t len)
{
    const char *lf = from < len ? memchr(text + from, '\n', len - from) : NULL;
    size_t end = lf != NULL ? (size_t)(lf - text) : len;
    const char *cr = from < end ? memchr(text + from, '\r', end - from) : NULL;
    return cr != NULL ? (size_t)(cr - text) : end;
}

enum line_step lines_at(struct lines *l, size_t offset, struct line *line)
{
    size_t from = offset == l->seen_offset ? l->seen_len : 0;
    for (;;) {
        size_t have = l->end - l->start - offset;
        const char *text = have > 0 ? l->data + l->start + offset : "";
        size_t len = find_end(text, from, have);
        if (len > LINE_MAX_BYTES)
            return LINE_TOO_LONG;
        bool found = len < have;
        /* A CR that is the last byte so far may be half of a CR LF. */
        bool known = found && (text[len] == '\n' || len + 1 < have || l->eof);
        if (known || l->eof) {
            size_t end = !found ? 0 : text[len] == '\r' && len + 1 < have && text[len + 1] == '\n'
                                          ? 2 : 1;
            *line = (struct line){text, len, len + end};
            return line->full > 0 ? LINE_OK : LINE_END;
        }
        from = len;
        l->seen_offset = offset;
        l->seen_len = len;
        if (!fill(l))
            return LINE_FAILED;
    }
}

void lines_drop(struct lines *l, size_t bytes)
{
    assert(bytes <= l->end - l->start);
    l->start += bytes;
    l->seen_offset = l->seen_len = 0;
}

bool lines_skip_long(struct lines *l)
{
    for (;;) {
        size_t have = l->end - l->start;
        size_t len = find_end(l->data + l->start, 0, have);
        lines_drop(l, len);
        if (len < have || l->eof)
            break;
        if (!fill(l))
            return false;
    }
    struct line rest;
    enum line_step step = lines_at(l, 0, &rest);
    if (step == LINE_OK)
        lines_drop(l, rest.full);
    return step != LINE_FAILED;
}

size_t lines_peek(struct lines *l, size_t want, const char **bytes)
{
    while (l->end - l->start < want && !l->eof)
        if (!fill(l))
            break;
    *bytes = l->end > l->start ? l->data + l->start : "";
    return l->end - l->start;
}
