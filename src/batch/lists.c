/* The lists of a run: exceptions, findings and manifest in the output folder, or text on standard
 * output. Each is written as .part, made whole on disk and put in place. */
#include "batch/outputs_int.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- exceptions.csv ------------------------------------------------------------------------ */

static void exception_row(struct buf *b, const struct diag *d)
{
    struct buf reason;
    buf_init(&reason, 1 << 16);
    if (d->pos.field != NULL)
        buf_addf(&reason, "%s: ", d->pos.field);
    buf_adds(&reason, diag_reason(d->code));
    if (d->detail != NULL)
        buf_addf(&reason, ": %s", d->detail);
    csv_field(b, d->pos.file != NULL ? d->pos.file : "", true);
    buf_addc(b, ',');
    if (d->pos.line > 0)
        buf_addf(b, "%ld", d->pos.line);
    buf_addc(b, ',');
    if (d->pos.column > 0)
        buf_addf(b, "%ld", d->pos.column);
    csv_field(b, diag_outcome_name(diag_outcome(d->code)), false);
    csv_field(b, diag_id(d->code), false);
    csv_field(b, d->text != NULL ? d->text : "", false);
    csv_field(b, buf_text(&reason), false);
    csv_field(b, diag_advice(d->code), false);
    buf_adds(b, "\r\n");
    buf_release(&reason);
}

/* Rows of one file written as they come; the walk's order is the file's order. */
struct writer {
    struct outputs *o;
    FILE *file;
    struct arena *arena;
    struct buf row;
    struct buf last;        /* manifest: the row waiting, replaced by a later one of the same key */
    char *last_key;
    bool human;             /* check: sentences instead of CSV */
};

static bool write_exception(void *user, const char *key, size_t key_len, const char *blob,
                            size_t len)
{
    struct writer *w = user;
    struct wire wire = {blob, blob + len};
    struct diag d;
    (void)key;
    (void)key_len;
    wire_diag(&wire, w->arena, &d);
    if (import_is_once_a_file(d.code) && outputs_is_listed(w->o, &d)) {
        arena_clear(w->arena);
        return true;
    }
    buf_clear(&w->row);
    if (w->human) {
        buf_addf(&w->row, "%s:%ld:%ld: %s: ", d.pos.file, d.pos.line, d.pos.column,
                 diag_outcome_name(diag_outcome(d.code)));
        if (d.pos.field != NULL)
            buf_addf(&w->row, "%s: ", d.pos.field);
        if (d.text != NULL)
            buf_addf(&w->row, "'%s': ", d.text);
        buf_adds(&w->row, diag_reason(d.code));
        if (d.detail != NULL)
            buf_addf(&w->row, ": %s", d.detail);
        if (diag_advice(d.code)[0] != '\0')
            buf_addf(&w->row, "; %s", diag_advice(d.code));
        buf_addc(&w->row, '\n');
    } else {
        exception_row(&w->row, &d);
    }
    arena_clear(w->arena);
    return fwrite(w->row.data, 1, w->row.len, w->file) == w->row.len;
}

static bool write_text(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct writer *w = user;
    (void)key;
    (void)key_len;
    return fwrite(blob, 1, len, w->file) == len;
}

static bool flush_last(struct writer *w)
{
    bool ok = fwrite(w->last.data, 1, w->last.len, w->file) == w->last.len;
    buf_clear(&w->last);
    return ok;
}

static bool write_manifest_row(void *user, const char *key, size_t key_len, const char *blob,
                               size_t len)
{
    struct writer *w = user;
    bool same = w->last_key != NULL && strlen(w->last_key) == key_len &&
                memcmp(w->last_key, key, key_len) == 0;
    if (!same && w->last_key != NULL && !flush_last(w))
        return false;
    free(w->last_key);
    w->last_key = mem_alloc(key_len + 1);
    memcpy(w->last_key, key, key_len);
    buf_clear(&w->last);
    buf_add(&w->last, blob, len);
    return true;
}

FILE *stream_open(const char *path, struct diag_sink *sink)
{
    if (!file_write_part(path, "", 0, sink))
        return NULL;
    struct buf part;
    buf_init(&part, strlen(path) + sizeof ".part");
    buf_addf(&part, "%s.part", path);
    FILE *f = fopen(buf_text(&part), "r+");
    if (f == NULL)
        diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = path}, NULL, NULL);
    buf_release(&part);
    return f;
}

bool stream_close(FILE *f, const char *path, bool ok, struct diag_sink *sink)
{
    ok = fflush(f) == 0 && fsync(fileno(f)) == 0 && ok;
    ok = fclose(f) == 0 && ok;
    if (ok)
        return file_commit(path, sink);
    diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = path}, NULL, NULL);
    file_discard(path);
    return false;
}

/* One file from one sorter: head line, then a row a record. */
static bool write_sorted(struct outputs *o, const char *stem, const char *head, struct sorter *rows,
                         sorter_visit visit, struct diag_sink *sink)
{
    const char *path = list_file(o->arena, o->tools->options, stem);
    FILE *f = stream_open(path, sink);
    if (f == NULL)
        return false;
    struct writer w = {.o = o, .file = f, .arena = arena_new()};
    buf_init(&w.row, SIZE_MAX / 4);
    buf_init(&w.last, SIZE_MAX / 4);
    bool ok = fputs(head, f) >= 0 && sorter_walk(rows, visit, &w, sink);
    if (ok && w.last.len > 0)
        ok = flush_last(&w);
    free(w.last_key);
    buf_release(&w.row);
    buf_release(&w.last);
    arena_free(w.arena);
    return stream_close(f, path, ok, sink);
}

/* ---- manifest: rows of earlier runs whose file still stands -------------------------------- */

static bool add_old_lines(struct outputs *o, struct sorter *into, struct diag_sink *sink)
{
    size_t n;
    const struct past_line *lines = past_lines(o->tools->past, &n);
    bool ok = true;
    struct arena *a = arena_new();
    bool own_only = o->tools->options->shards > 0; /* the rest is merged later */
    for (size_t i = 0; ok && i < n; i++) {
        if (own_only && lines[i].manifest == 0)
            continue;
        const char *file = arena_strndup(a, lines[i].text, lines[i].name_len);
        if (file_exists(arena_printf(a, "%s/%s", o->tools->options->out, file)))
            ok = sorter_add(into, file, lines[i].name_len, lines[i].text, lines[i].len, sink);
        arena_clear(a);
    }
    arena_free(a);
    return ok;
}

static bool add_new(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct diag_sink quiet = {0};
    return sorter_add(user, key, key_len, blob, len, &quiet);
}

bool lists_write_manifest(struct outputs *o, struct diag_sink *sink)
{
    /* Old rows first: of two with one name the walk keeps the one added last. */
    struct sorter *all = sorter_new(SORTER_BYTES);
    bool ok = add_old_lines(o, all, sink) && sorter_walk(o->manifest, add_new, all, sink) &&
              write_sorted(o, "manifest", manifest_head(), all, write_manifest_row, sink);
    sorter_free(all);
    return ok;
}

bool lists_write(struct outputs *o, struct diag_sink *sink)
{
    bool ok = write_sorted(o, "exceptions",
                           "file,line,column,outcome,code,text,reason,advice\r\n", o->problems,
                           write_exception, sink);
    o->exceptions_failed = !ok;
    if (!o->with_findings)
        return ok;
    struct buf head;
    buf_init(&head, 1 << 16);
    findings_csv_header(false, &head);
    ok = write_sorted(o, "findings", buf_text(&head), o->texts, write_text, sink) && ok;
    buf_release(&head);
    return ok;
}

/* ---- cases without identifiers ------------------------------------------------------------- */

/* The rows of each patient, sorted by a digest of what they say: the number of a case then tells
 * nothing that its rows do not. */
struct cases {
    struct sorter *sorted;
    struct buf patient, rows;
    struct writer *writer;
    struct diag_sink *sink;
    long number;
};

static bool end_case(struct cases *c)
{
    struct digest digest;
    char key[DIGEST_HEX];
    if (c->rows.len == 0)
        return true;
    digest_init(&digest);
    digest_add(&digest, c->rows.data, c->rows.len);
    digest_hex(&digest, key);
    bool ok = sorter_add(c->sorted, key, sizeof key, c->rows.data, c->rows.len, c->sink);
    buf_clear(&c->rows);
    return ok;
}

static bool take_rows(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct cases *c = user;
    size_t id_len = strnlen(key, key_len);
    bool same = id_len == c->patient.len && memcmp(key, buf_text(&c->patient), id_len) == 0;
    if (!same && !end_case(c))
        return false;
    buf_clear(&c->patient);
    buf_add(&c->patient, key, id_len);
    buf_add(&c->rows, blob, len);
    return true;
}

static bool write_case(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct cases *c = user;
    (void)key;
    (void)key_len;
    c->number++;
    for (const char *end; len > 0; blob = end) {
        const char *line_end = memchr(blob, '\n', len);
        end = line_end != NULL ? line_end + 1 : blob + len;
        len -= (size_t)(end - blob);
        if (fprintf(c->writer->file, "case-%05ld,%.*s", c->number, (int)(end - blob), blob) < 0)
            return false;
    }
    return true;
}

static bool write_cases(struct writer *w, struct diag_sink *sink)
{
    struct cases c = {.sorted = sorter_new(SORTER_BYTES), .writer = w, .sink = sink};
    buf_init(&c.patient, 1 << 16);
    buf_init(&c.rows, SIZE_MAX / 4);
    bool ok = sorter_walk(w->o->texts, take_rows, &c, sink) && end_case(&c) &&
              sorter_walk(c.sorted, write_case, &c, sink);
    buf_release(&c.patient);
    buf_release(&c.rows);
    sorter_free(c.sorted);
    return ok;
}

/* ---- text on standard output or in a file -------------------------------------------------- */

bool lists_print(struct outputs *o, struct diag_sink *sink)
{
    const struct batch_options *opt = o->tools->options;
    bool is_xml = opt->command == BATCH_FINDINGS && opt->format == FORMAT_XML;
    bool is_csv = opt->command == BATCH_FINDINGS && !is_xml && opt->dump == DUMP_NONE;
    bool to_file = opt->command == BATCH_FINDINGS && opt->out != NULL;
    FILE *f = to_file ? stream_open(opt->out, sink) : stdout;
    if (f == NULL)
        return false;
    struct writer w = {.o = o, .file = f, .arena = arena_new(), .human = true};
    struct buf head;
    buf_init(&w.row, SIZE_MAX / 4);
    buf_init(&head, 1 << 16);
    if (is_csv)
        findings_csv_header(opt->de_identified, &head);
    else if (is_xml)
        buf_adds(&head, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<findings>\n");
    bool ok = fwrite(buf_text(&head), 1, head.len, f) == head.len;
    ok = ok && (opt->de_identified ? write_cases(&w, sink)
                                   : sorter_walk(o->texts, write_text, &w, sink));
    if (opt->command == BATCH_CHECK && opt->dump == DUMP_NONE)
        ok = ok && sorter_walk(o->problems, write_exception, &w, sink);
    if (is_xml)
        ok = ok && fputs("</findings>\n", f) >= 0;
    buf_release(&head);
    buf_release(&w.row);
    arena_free(w.arena);
    if (to_file)
        return stream_close(f, opt->out, ok, sink);
    if (fflush(f) == 0 && ok)
        return true;
    diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = "standard output"}, NULL, NULL);
    return false;
}

