/* Rows grouped by patient without holding the input in memory: a row goes to the partition its
 * patient's hash names, a partition keeps a little in memory and the rest in a private unlinked
 * file, and only one partition is whole in memory at a time. */
#include "batch/batch_int.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

enum { PARTITION_BYTES = 1 << 20, PARTITIONS_MAX = 256, IN_MEMORY = 32 << 10 };

struct partition {
    struct buf tail;  /* entries not yet in the file */
    FILE *file;
};

struct partitions {
    struct partition *parts;
    size_t n;
};

/* One stored row: header, id with its NUL, packed row. */
struct entry {
    int64_t id_len, row_len, source, line;
};

struct found {
    const char *id, *row;
    size_t row_len;
    int64_t source, line;
};

struct partitions *partitions_new(uint64_t input_size)
{
    struct partitions *p = mem_alloc(sizeof *p);
    uint64_t n = input_size / PARTITION_BYTES + 1;
    p->n = n > PARTITIONS_MAX ? PARTITIONS_MAX : (size_t)n;
    p->parts = mem_alloc(p->n * sizeof *p->parts);
    for (size_t i = 0; i < p->n; i++)
        buf_init(&p->parts[i].tail, SIZE_MAX / 4);
    return p;
}

void partitions_free(struct partitions *p)
{
    if (p == NULL)
        return;
    for (size_t i = 0; i < p->n; i++) {
        buf_release(&p->parts[i].tail);
        if (p->parts[i].file != NULL)
            fclose(p->parts[i].file);
    }
    free(p->parts);
    free(p);
}

static bool temp_failed(struct diag_sink *sink)
{
    diag_report(sink, DIAG_TEMP_FILE, (struct diag_pos){0}, NULL, "%s", strerror(errno));
    return false;
}

static bool spill(struct partition *part, struct diag_sink *sink)
{
    if (part->file == NULL && (part->file = file_private_temp(sink)) == NULL)
        return false;
    if (fwrite(part->tail.data, 1, part->tail.len, part->file) != part->tail.len ||
        fflush(part->file) != 0)
        return temp_failed(sink);
    buf_clear(&part->tail);
    return true;
}

bool partitions_add(struct partitions *p, const char *patient_id, const struct row *row,
                    struct diag_sink *sink)
{
    size_t id_len = strlen(patient_id) + 1;
    struct partition *part = &p->parts[hash_fnv1a64(patient_id, id_len - 1) % p->n];
    size_t start = part->tail.len;
    struct entry e = {.id_len = (int64_t)id_len, .source = row->source, .line = row->line};
    buf_add(&part->tail, &e, sizeof e);
    buf_add(&part->tail, patient_id, id_len);
    size_t before = part->tail.len;
    row_pack(row, &part->tail);
    e.row_len = (int64_t)(part->tail.len - before);
    memcpy(part->tail.data + start, &e, sizeof e);
    /* A single partition is small enough to stay in memory whole. */
    return p->n == 1 || part->tail.len < IN_MEMORY || spill(part, sink);
}

static bool load(struct partition *part, struct buf *all, struct diag_sink *sink)
{
    buf_clear(all);
    if (part->file != NULL) {
        rewind(part->file);
        char chunk[16384];
        size_t n;
        while ((n = fread(chunk, 1, sizeof chunk, part->file)) > 0)
            buf_add(all, chunk, n);
        if (ferror(part->file))
            return temp_failed(sink);
        fclose(part->file);
        part->file = NULL;
    }
    buf_add(all, part->tail.data, part->tail.len);
    buf_release(&part->tail);
    return true;
}

static int by_patient(const void *va, const void *vb)
{
    const struct found *a = va, *b = vb;
    int c = strcmp(a->id, b->id);
    if (c == 0)
        c = (a->source > b->source) - (a->source < b->source);
    if (c == 0)
        c = (a->line > b->line) - (a->line < b->line);
    return c;
}

static struct found *index_rows(const struct buf *all, size_t *n)
{
    struct found *rows = NULL;
    size_t cap = 0;
    *n = 0;
    for (size_t at = 0; at < all->len;) {
        struct entry e;
        memcpy(&e, all->data + at, sizeof e);
        at += sizeof e;
        if (*n == cap) {
            cap = cap == 0 ? 256 : cap * 2;
            rows = mem_resize(rows, cap * sizeof *rows);
        }
        rows[(*n)++] = (struct found){all->data + at, all->data + at + e.id_len, (size_t)e.row_len,
                                      e.source, e.line};
        at += (size_t)(e.id_len + e.row_len);
    }
    if (*n > 0)
        qsort(rows, *n, sizeof *rows, by_patient);
    return rows;
}

static bool hand_out(const struct found *rows, size_t n, struct buf *packed, partitions_take take,
                     void *user)
{
    for (size_t i = 0; i < n;) {
        size_t first = i;
        buf_clear(packed);
        for (; i < n && strcmp(rows[i].id, rows[first].id) == 0; i++)
            buf_add(packed, rows[i].row, rows[i].row_len);
        if (!take(user, rows[first].id, packed->data, packed->len, i - first))
            return false;
    }
    return true;
}

bool partitions_walk(struct partitions *p, partitions_take take, void *user,
                     struct diag_sink *sink)
{
    struct buf all, packed;
    bool ok = true;
    buf_init(&all, SIZE_MAX / 4);
    buf_init(&packed, SIZE_MAX / 4);
    for (size_t i = 0; ok && i < p->n; i++) {
        size_t n;
        ok = load(&p->parts[i], &all, sink);
        struct found *rows = ok ? index_rows(&all, &n) : NULL;
        ok = ok && hand_out(rows, n, &packed, take, user);
        free(rows);
    }
    buf_release(&all);
    buf_release(&packed);
    return ok;
}
