/* Sorted spill runs: pairs are kept in memory up to a limit, then written as one sorted run into a
 * private file; walking merges the runs and what is still in memory. So whatever a batch collects
 * (exceptions, manifest rows, findings) comes out in one order without growing memory. */
#include "base/base.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct pair {
    size_t key, key_len, blob_len; /* key: offset in `bytes`; the blob follows the key */
    size_t order;
};

struct run {
    off_t start, at, end; /* in the file; from `at` on unread */
    char *buf;      /* read-ahead */
    size_t have, used, cap;
};

struct sorter {
    size_t limit, next_order;
    struct buf bytes;
    struct pair *pairs;
    size_t n, cap;
    FILE *file;
    off_t file_end;
    struct run *runs;
    size_t n_runs;
};

/* Set for the duration of one qsort: its comparison has no user pointer. */
static const char *sorting;

enum { RUN_BUFFER = 64 << 10 };

struct header {
    size_t key_len, blob_len, order;
};

struct sorter *sorter_new(size_t memory)
{
    struct sorter *s = mem_alloc(sizeof *s);
    s->limit = memory;
    buf_init(&s->bytes, SIZE_MAX / 4);
    return s;
}

void sorter_free(struct sorter *s)
{
    if (s == NULL)
        return;
    for (size_t i = 0; i < s->n_runs; i++)
        free(s->runs[i].buf);
    free(s->runs);
    free(s->pairs);
    buf_release(&s->bytes);
    if (s->file != NULL)
        fclose(s->file);
    free(s);
}

static int compare_keys(const char *a, size_t a_len, const char *b, size_t b_len)
{
    int c = memcmp(a, b, a_len < b_len ? a_len : b_len);
    return c != 0 ? c : (a_len > b_len) - (a_len < b_len);
}

static int by_key(const void *va, const void *vb)
{
    const struct pair *a = va, *b = vb;
    int c = compare_keys(sorting + a->key, a->key_len, sorting + b->key, b->key_len);
    return c != 0 ? c : (a->order > b->order) - (a->order < b->order);
}

static void sort_memory(struct sorter *s)
{
    sorting = s->bytes.data;
    if (s->n > 0)
        qsort(s->pairs, s->n, sizeof *s->pairs, by_key);
}

static bool spill(struct sorter *s, struct diag_sink *sink)
{
    if (s->file == NULL && (s->file = file_private_temp(sink)) == NULL)
        return false;
    sort_memory(s);
    off_t start = s->file_end;
    for (size_t i = 0; i < s->n; i++) {
        const struct pair *p = &s->pairs[i];
        struct header h = {p->key_len, p->blob_len, p->order};
        size_t len = p->key_len + p->blob_len;
        if (fwrite(&h, sizeof h, 1, s->file) != 1 ||
            (len > 0 && fwrite(s->bytes.data + p->key, len, 1, s->file) != 1)) {
            diag_report(sink, DIAG_TEMP_FILE, (struct diag_pos){0}, NULL, "%s", strerror(errno));
            return false;
        }
        s->file_end += (off_t)(sizeof h + len);
    }
    if (fflush(s->file) != 0) {
        diag_report(sink, DIAG_TEMP_FILE, (struct diag_pos){0}, NULL, "%s", strerror(errno));
        return false;
    }
    s->runs = mem_resize(s->runs, (s->n_runs + 1) * sizeof *s->runs);
    s->runs[s->n_runs++] = (struct run){.start = start, .end = s->file_end};
    s->n = 0;
    buf_clear(&s->bytes);
    return true;
}

bool sorter_add(struct sorter *s, const void *key, size_t key_len, const void *blob,
                size_t blob_len, struct diag_sink *sink)
{
    size_t more = key_len + blob_len + sizeof(struct pair);
    if (s->n > 0 && s->bytes.len + s->n * sizeof(struct pair) + more > s->limit &&
        !spill(s, sink))
        return false;
    if (s->n == s->cap) {
        s->cap = s->cap == 0 ? 64 : s->cap * 2;
        s->pairs = mem_resize(s->pairs, s->cap * sizeof *s->pairs);
    }
    s->pairs[s->n++] = (struct pair){s->bytes.len, key_len, blob_len, s->next_order++};
    buf_add(&s->bytes, key, key_len);
    buf_add(&s->bytes, blob, blob_len);
    return true;
}

/* Makes the first record of a run whole in its buffer; *done when the run is used up. */
static bool run_peek(struct sorter *s, struct run *r, struct header *h, bool *done)
{
    size_t need = sizeof *h;
    for (int pass = 0; pass < 2; pass++) {
        while (r->have - r->used < need) {
            if (r->at == r->end) {
                *done = true;
                return true;
            }
            if (r->used > 0)
                memmove(r->buf, r->buf + r->used, r->have - r->used);
            r->have -= r->used;
            r->used = 0;
            if (r->cap < need + RUN_BUFFER) {
                r->cap = need + RUN_BUFFER;
                r->buf = mem_resize(r->buf, r->cap);
            }
            size_t want = r->cap - r->have;
            if ((off_t)want > r->end - r->at)
                want = (size_t)(r->end - r->at);
            ssize_t got = pread(fileno(s->file), r->buf + r->have, want, r->at);
            if (got <= 0)
                return false;
            r->at += got;
            r->have += (size_t)got;
        }
        memcpy(h, r->buf + r->used, sizeof *h);
        need = sizeof *h + h->key_len + h->blob_len;
    }
    return true;
}

struct candidate {
    struct header h;
    const char *key;
    struct run *run; /* NULL: from memory */
};

static bool better(const struct candidate *a, const struct candidate *b)
{
    int c = compare_keys(a->key, a->h.key_len, b->key, b->h.key_len);
    return c != 0 ? c < 0 : a->h.order < b->h.order;
}

/* The smallest record not yet given out; best->key is NULL when there is none. */
static bool pick(struct sorter *s, size_t in_memory, struct candidate *best)
{
    *best = (struct candidate){.key = NULL};
    for (size_t i = 0; i < s->n_runs; i++) {
        struct candidate c = {.run = &s->runs[i]};
        bool done = false;
        if (!run_peek(s, c.run, &c.h, &done))
            return false;
        if (done)
            continue;
        c.key = c.run->buf + c.run->used + sizeof c.h;
        if (best->key == NULL || better(&c, best))
            *best = c;
    }
    if (in_memory < s->n) {
        const struct pair *p = &s->pairs[in_memory];
        struct candidate c = {{p->key_len, p->blob_len, p->order}, s->bytes.data + p->key, NULL};
        if (best->key == NULL || better(&c, best))
            *best = c;
    }
    return true;
}

bool sorter_walk(struct sorter *s, sorter_visit visit, void *user, struct diag_sink *sink)
{
    sort_memory(s);
    size_t in_memory = 0;
    for (size_t i = 0; i < s->n_runs; i++) {
        s->runs[i].at = s->runs[i].start;
        s->runs[i].have = s->runs[i].used = 0;
    }
    for (;;) {
        struct candidate c;
        if (!pick(s, in_memory, &c)) {
            diag_report(sink, DIAG_TEMP_FILE, (struct diag_pos){0}, NULL, "%s", strerror(errno));
            return false;
        }
        if (c.key == NULL)
            return true;
        if (!visit(user, c.key, c.h.key_len, c.key + c.h.key_len, c.h.blob_len))
            return false;
        if (c.run == NULL)
            in_memory++;
        else
            c.run->used += sizeof c.h + c.h.key_len + c.h.blob_len;
    }
}

/* Without a name from the start where the file system can do that; else its name is gone before
 * anything is in it. */
static int open_nameless(const char *dir)
{
    char path[4096];
    int fd = open(dir, O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
    if (fd >= 0)
        return fd;
    snprintf(path, sizeof path, "%s/endfeel-XXXXXX", dir);
    fd = mkostemp(path, O_CLOEXEC);
    if (fd >= 0)
        unlink(path);
    return fd;
}

FILE *file_private_temp(struct diag_sink *sink)
{
    const char *dir = getenv("TMPDIR");
    int fd = open_nameless(str_is_empty(dir) ? "/tmp" : dir);
    FILE *f = fd >= 0 ? fdopen(fd, "w+") : NULL;
    if (f == NULL) {
        diag_report(sink, DIAG_TEMP_FILE, (struct diag_pos){0}, NULL, "%s", strerror(errno));
        if (fd >= 0)
            close(fd);
    }
    return f;
}
