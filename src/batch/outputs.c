/* What the parent collects. All of it goes through sorted spill runs, so that order does not depend
 * on workers and memory does not grow with the batch. */
#include "batch/outputs_int.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct outputs *outputs_new(const struct tools *tools)
{
    struct outputs *o = mem_alloc(sizeof *o);
    o->tools = tools;
    o->with_findings = tools->options->with_findings;
    o->problems = sorter_new(SORTER_BYTES);
    o->entries = sorter_new(SORTER_BYTES);
    o->manifest = sorter_new(SORTER_BYTES);
    o->texts = sorter_new(SORTER_BYTES);
    o->drawn = sorter_new(SORTER_BYTES);
    o->arena = arena_new();
    for (size_t i = 0; i < GROUP; i++)
        buf_init(&o->pending[i], SIZE_MAX / 4);
    leftovers_watch(tools);
    return o;
}

const char *outputs_path(struct outputs *o, const char *file)
{
    return arena_printf(o->arena, "%s/%s", o->tools->options->out, file);
}

void outputs_free(struct outputs *o)
{
    if (o == NULL)
        return;
    leftovers_remove(o->tools);
    leftovers_watch(NULL);
    sorter_free(o->problems);
    sorter_free(o->entries);
    sorter_free(o->manifest);
    sorter_free(o->texts);
    sorter_free(o->drawn);
    for (size_t i = 0; i < GROUP; i++)
        buf_release(&o->pending[i]);
    arena_free(o->arena);
    free(o);
}

long outputs_held(const struct outputs *o)
{
    return o->held;
}

long outputs_notes(const struct outputs *o)
{
    return o->notes;
}

long outputs_reports(const struct outputs *o)
{
    return o->reports;
}

long outputs_refused(const struct outputs *o)
{
    return o->refused;
}

long outputs_count(const struct outputs *o, enum report_state state)
{
    return o->counts[state];
}

static void key_number(struct buf *key, long v)
{
    for (int shift = 56; shift >= 0; shift -= 8)
        buf_addc(key, (char)((uint64_t)v >> shift));
}

/* The record of a note that is told once a file. */
static struct once *find_once(struct outputs *o, const struct diag *d)
{
    for (size_t i = 0; i < o->n_once; i++)
        if (o->once[i].code == d->code && str_eq(o->once[i].file, d->pos.file) &&
            str_eq(o->once[i].detail, d->detail))
            return &o->once[i];
    return NULL;
}

/* Whether it is the first of its kind: the count of notes is that of the list. */
static bool add_once(struct outputs *o, const struct diag *d)
{
    if (find_once(o, d) != NULL)
        return false;
    if (o->n_once == o->cap_once) {
        o->cap_once = o->cap_once == 0 ? 16 : o->cap_once * 2;
        struct once *grown = arena_alloc(o->arena, o->cap_once * sizeof *grown);
        if (o->n_once > 0)
            memcpy(grown, o->once, o->n_once * sizeof *grown);
        o->once = grown;
    }
    o->once[o->n_once++] = (struct once){d->code, arena_strdup(o->arena, d->pos.file),
                                         arena_strdup(o->arena, d->detail), false};
    return true;
}

bool outputs_is_listed(struct outputs *o, const struct diag *d)
{
    struct once *once = find_once(o, d);
    bool listed = once == NULL || once->listed;
    if (once != NULL)
        once->listed = true;
    return listed;
}

bool outputs_problem(struct outputs *o, const struct diag *d, struct diag_sink *sink)
{
    struct buf key, blob;
    buf_init(&key, 1 << 16);
    buf_init(&blob, SIZE_MAX / 4);
    buf_addc(&key, import_is_conflict(d->code) ? 0 : 1);
    buf_adds(&key, d->pos.file != NULL ? d->pos.file : "");
    buf_addc(&key, '\0');
    key_number(&key, d->pos.line);
    key_number(&key, d->pos.column);
    wire_put_diag(&blob, d);
    o->held += diag_outcome(d->code) == OUTCOME_HELD_BACK;
    if (diag_outcome(d->code) == OUTCOME_NOTE)
        o->notes += !import_is_once_a_file(d->code) || add_once(o, d);
    o->refused += d->code == DIAG_DOCUMENT_REFUSED || d->code == DIAG_REPORT_LOST;
    bool ok = sorter_add(o->problems, key.data, key.len, blob.data, blob.len, sink);
    buf_release(&key);
    buf_release(&blob);
    return ok;
}

bool outputs_text(struct outputs *o, const char *key, size_t key_len, const char *text, size_t len,
                  struct diag_sink *sink)
{
    return sorter_add(o->texts, key, key_len, text, len, sink);
}

/* The order of the day index: patient, date, kind. */
static void report_key(struct buf *key, const struct report *r)
{
    char date[DATE_TEXT_MAX];
    buf_adds(key, r->patient_id);
    buf_addc(key, '\0');
    buf_addf(key, "%s %s", date_format(date, r->visit_date), r->kind);
}

bool outputs_record(struct outputs *o, const struct report *r, struct diag_sink *sink)
{
    struct buf key, row, packed;
    buf_init(&key, 1 << 16);
    buf_init(&row, 1 << 16);
    buf_init(&packed, SIZE_MAX / 4);
    report_key(&key, r);
    report_put(&packed, r);
    manifest_row(&row, r);
    bool ok = sorter_add(o->entries, key.data, key.len, packed.data, packed.len, sink) &&
              sorter_add(o->manifest, r->file, strlen(r->file), row.data, row.len, sink);
    buf_release(&key);
    buf_release(&row);
    buf_release(&packed);
    o->reports++;
    o->pages += r->pages;
    o->counts[r->state]++;
    return ok;
}

bool outputs_drawn(struct outputs *o, const struct report *r, const char *title,
                   const char *drawn, size_t len, struct diag_sink *sink)
{
    struct buf key, blob;
    buf_init(&key, 1 << 16);
    buf_init(&blob, SIZE_MAX / 4);
    report_key(&key, r);
    buf_add(&blob, title, strlen(title) + 1);
    buf_add(&blob, drawn, len);
    bool ok = sorter_add(o->drawn, key.data, key.len, blob.data, blob.len, sink);
    buf_release(&key);
    buf_release(&blob);
    return ok;
}

const char *outputs_exceptions(struct outputs *o)
{
    return list_file(o->arena, o->tools->options, "exceptions");
}

bool outputs_exceptions_failed(const struct outputs *o)
{
    return o->exceptions_failed;
}

void outputs_remove_further(struct outputs *o, const char *stem, int parts)
{
    const char *path;
    while (file_exists(path = outputs_path(o, arena_printf(o->arena, "%s-%d.pdf", stem, ++parts))))
        unlink(path);
}

bool outputs_write_pdf(struct outputs *o, const char *name, struct buf *pdf,
                       struct diag_sink *sink)
{
    const struct tools *t = o->tools;
    return (t->passwords == NULL ||
            pdf_protect(passwords_for(t->passwords, NULL), pdf, sink)) &&
           file_write(outputs_path(o, name), pdf->data, pdf->len, sink);
}
