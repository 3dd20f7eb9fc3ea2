/* What the parent writes: PDFs put in place in groups, then exceptions, manifest and day index.
 * Everything collected goes through sorted spill runs, so that order does not depend on workers
 * and memory does not grow with the batch (the day index aside, which holds a line a report). */
#include "batch/batch_int.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { GROUP = 128, FOLDERS_SYNCED_ONE_BY_ONE = 4, SORTER_BYTES = 1 << 20 };

struct outputs {
    const struct tools *tools;
    struct sorter *problems, *entries, *manifest, *texts;
    struct buf pending[GROUP]; /* reports whose .part is not yet in place */
    size_t n_pending;
    long held, notes, reports;
    long counts[REPORT_SET_AGAIN + 1]; /* of reports, by state */
    struct arena *arena;
    const char *folders[3 * GROUP]; /* that got files in the group being committed */
    size_t n_folders;
};

struct outputs *outputs_new(const struct tools *tools)
{
    struct outputs *o = mem_alloc(sizeof *o);
    o->tools = tools;
    o->problems = sorter_new(SORTER_BYTES);
    o->entries = sorter_new(SORTER_BYTES);
    o->manifest = sorter_new(SORTER_BYTES);
    o->texts = sorter_new(SORTER_BYTES);
    o->arena = arena_new();
    for (size_t i = 0; i < GROUP; i++)
        buf_init(&o->pending[i], SIZE_MAX / 4);
    return o;
}

static const char *path_of(struct outputs *o, const char *file)
{
    return arena_printf(o->arena, "%s/%s", o->tools->options->out, file);
}

static void remove_parts(const char *folder, struct arena *a)
{
    struct diag_sink quiet = {0};
    const char **paths;
    size_t n;
    if (!file_list(folder, ".part", a, &paths, &n, &quiet))
        return;
    for (size_t i = 0; i < n; i++)
        unlink(paths[i]);
}

/* Parts of a worker that died or was stopped, in this run or an earlier one. */
static void remove_leftovers(struct outputs *o)
{
    const char *out = o->tools->options->out;
    DIR *dir = out != NULL && o->tools->options->command == BATCH_REPORT ? opendir(out) : NULL;
    if (dir == NULL)
        return;
    const struct dirent *entry;
    struct date date;
    remove_parts(out, o->arena);
    while ((entry = readdir(dir)) != NULL) {
        if (!date_parse_iso(entry->d_name, &date))
            continue;
        remove_parts(path_of(o, entry->d_name), o->arena);
        remove_parts(arena_printf(o->arena, "%s/%s/.values", out, entry->d_name), o->arena);
    }
    closedir(dir);
}

void outputs_free(struct outputs *o)
{
    if (o == NULL)
        return;
    remove_leftovers(o);
    sorter_free(o->problems);
    sorter_free(o->entries);
    sorter_free(o->manifest);
    sorter_free(o->texts);
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

long outputs_count(const struct outputs *o, enum report_state state)
{
    return o->counts[state];
}

static void key_number(struct buf *key, long v)
{
    for (int shift = 56; shift >= 0; shift -= 8)
        buf_addc(key, (char)((uint64_t)v >> shift));
}

bool outputs_problem(struct outputs *o, const struct diag *d, struct diag_sink *sink)
{
    struct buf key, blob;
    buf_init(&key, 1 << 16);
    buf_init(&blob, SIZE_MAX / 4);
    buf_adds(&key, d->pos.file != NULL ? d->pos.file : "");
    buf_addc(&key, '\0');
    key_number(&key, d->pos.line);
    key_number(&key, d->pos.column);
    wire_put_diag(&blob, d);
    o->held += diag_outcome(d->code) == OUTCOME_HELD_BACK;
    o->notes += diag_outcome(d->code) == OUTCOME_NOTE;
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

/* The folders that got files in this group. */
static void remember_folder(struct outputs *o, struct arena *a, const char *file)
{
    size_t len = (size_t)(strrchr(file, '/') - file);
    const char *folder = arena_printf(a, "%s/%.*s", o->tools->options->out, (int)len, file);
    for (size_t i = 0; i < o->n_folders; i++)
        if (strcmp(o->folders[i], folder) == 0)
            return;
    o->folders[o->n_folders++] = folder;
}

static void manifest_row(struct buf *b, const struct report *r)
{
    char date[DATE_TEXT_MAX];
    csv_field(b, r->file, true);
    csv_field(b, r->kind, false);
    csv_field(b, r->patient_id, false);
    buf_addf(b, ",%s,%d,%lld,%s,%s,%d,%d,%d\r\n", date_format(date, r->visit_date), r->pages,
             (long long)r->bytes, r->sha256, r->input_sha256, r->amendment, r->notes, r->held);
}

static bool record_report(struct outputs *o, const struct buf *packed, const struct report *r,
                          struct diag_sink *sink)
{
    struct buf key, row;
    char date[DATE_TEXT_MAX];
    buf_init(&key, 1 << 16);
    buf_init(&row, 1 << 16);
    buf_adds(&key, r->patient_id);
    buf_addc(&key, '\0');
    buf_addf(&key, "%s %s", date_format(date, r->visit_date), r->kind);
    manifest_row(&row, r);
    bool ok = sorter_add(o->entries, key.data, key.len, packed->data, packed->len, sink) &&
              sorter_add(o->manifest, r->file, strlen(r->file), row.data, row.len, sink);
    buf_release(&key);
    buf_release(&row);
    o->reports++;
    o->counts[r->state]++;
    return ok;
}

static void sync_file_system(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return; /* the renames will say what is wrong */
    syncfs(fd);
    close(fd);
}

/* Keeps the PDF that a new one replaces: under two names until the new one takes the first. Where
 * the file system knows no links it is without its old name for a moment. */
static bool keep_replaced(struct outputs *o, struct arena *a, const struct report *r,
                          struct diag_sink *sink)
{
    const char *out = o->tools->options->out;
    const char *from = arena_printf(a, "%s/%s", out, r->file);
    const char *to = arena_printf(a, "%s/%s", out, r->kept_as);
    if (!file_make_folders(arena_strndup(a, to, (size_t)(strrchr(to, '/') - to)), sink))
        return false;
    if (link(from, to) == 0 || (errno != EEXIST && rename(from, to) == 0)) {
        remember_folder(o, a, r->kept_as);
        return true;
    }
    diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = to}, NULL, "%s", strerror(errno));
    return false;
}

static bool place_report(struct outputs *o, struct arena *a, const struct report *r,
                         struct diag_sink *sink)
{
    const char *out = o->tools->options->out;
    const char *path = arena_printf(a, "%s/%s", out, r->file);
    if (r->state == REPORT_UNCHANGED)
        return true;
    if (r->kept_as != NULL && !keep_replaced(o, a, r, sink)) {
        file_discard(path);
        return false;
    }
    remember_folder(o, a, r->file);
    if (!file_commit(path, sink))
        return false;
    if (r->values == NULL)
        return true;
    remember_folder(o, a, r->values);
    return file_commit(arena_printf(a, "%s/%s", out, r->values), sink);
}

/* One syncfs for the group, then the renames, then the folders they happened in: a name appears only
 * over whole bytes, and stays. */
static bool commit_group(struct outputs *o, struct diag_sink *sink)
{
    if (o->n_pending == 0)
        return true;
    bool ok = true;
    struct arena *a = arena_new();
    sync_file_system(o->tools->options->out);
    for (size_t i = 0; i < o->n_pending; i++) {
        struct wire w = {o->pending[i].data, o->pending[i].data + o->pending[i].len};
        struct report r;
        report_get(&w, a, &r);
        bool placed = place_report(o, a, &r, sink);
        ok = (!placed || record_report(o, &o->pending[i], &r, sink)) && ok && placed;
        buf_clear(&o->pending[i]);
    }
    o->n_pending = 0;
    if (o->n_folders > FOLDERS_SYNCED_ONE_BY_ONE)
        sync_file_system(o->tools->options->out);
    for (size_t i = 0; i < o->n_folders && o->n_folders <= FOLDERS_SYNCED_ONE_BY_ONE; i++)
        ok = file_sync_folder(o->folders[i], sink) && ok;
    o->n_folders = 0;
    arena_free(a);
    return ok;
}

bool outputs_report(struct outputs *o, const struct report *r, struct diag_sink *sink)
{
    report_put(&o->pending[o->n_pending++], r);
    return o->n_pending < GROUP || commit_group(o, sink);
}

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

/* Opens PATH.part for streaming; finished by close_stream(). */
static FILE *open_stream(const char *path, struct diag_sink *sink)
{
    if (!file_write_part(path, "", 0, sink))
        return NULL;
    char *part = mem_alloc(strlen(path) + sizeof ".part");
    strcpy(part, path);
    strcat(part, ".part");
    FILE *f = fopen(part, "r+");
    if (f == NULL)
        diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = path}, NULL, NULL);
    free(part);
    return f;
}

static bool close_stream(FILE *f, const char *path, bool ok, struct diag_sink *sink)
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
static bool write_sorted(struct outputs *o, const char *name, const char *head, struct sorter *rows,
                         sorter_visit visit, struct diag_sink *sink)
{
    const char *path = path_of(o, name);
    FILE *f = open_stream(path, sink);
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
    return close_stream(f, path, ok, sink);
}

/* ---- manifest: rows of earlier runs whose file still stands -------------------------------- */

static bool add_old_lines(struct outputs *o, struct sorter *into, struct diag_sink *sink)
{
    size_t n;
    const struct past_line *lines = past_lines(o->tools->past, &n);
    bool ok = true;
    struct arena *a = arena_new();
    for (size_t i = 0; ok && i < n; i++) {
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

static bool write_manifest(struct outputs *o, struct diag_sink *sink)
{
    /* Old rows first: of two with one name the walk keeps the one added last. */
    struct sorter *all = sorter_new(SORTER_BYTES);
    bool ok = add_old_lines(o, all, sink) && sorter_walk(o->manifest, add_new, all, sink) &&
              write_sorted(o, "manifest.csv", past_manifest_head(), all, write_manifest_row, sink);
    sorter_free(all);
    return ok;
}

/* ---- day index ----------------------------------------------------------------------------- */

/* A part of the index; a long run has several, so that memory stays that of one. */
enum { PART_ITEMS = 1000 };

struct day {
    struct arena *arena;
    int part, parts;
    size_t seen_entries, seen_problems; /* over all parts */
    struct day_entry entries[PART_ITEMS];
    size_t n;
    struct diag problems[PART_ITEMS];
    size_t n_problems;
};

static bool is_in_part(const struct day *day, size_t seen)
{
    return seen / PART_ITEMS == (size_t)day->part - 1;
}

static bool add_entry(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct day *day = user;
    struct wire w = {blob, blob + len};
    struct report r;
    (void)key;
    (void)key_len;
    if (!is_in_part(day, day->seen_entries++))
        return true;
    report_get(&w, day->arena, &r);
    day->entries[day->n++] = (struct day_entry){
        .patient_id = r.patient_id, .name = r.name, .kind = r.kind, .file = r.file,
        .worst = r.worst, .author = r.author, .role = r.role, .visit_date = r.visit_date,
        .visit_kind = r.visit_kind, .pages = r.pages, .notes = r.notes, .held = r.held, .amendment = r.amendment,
        .needs_countersign = r.needs_countersign, .is_signed = r.is_signed};
    return true;
}

static bool add_problem(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct day *day = user;
    struct wire w = {blob, blob + len};
    (void)key;
    (void)key_len;
    enum diag_code code = (enum diag_code)wire_int(&w);
    if (diag_outcome(code) != OUTCOME_HELD_BACK || !is_in_part(day, day->seen_problems++))
        return true;
    w.at = blob;
    wire_diag(&w, day->arena, &day->problems[day->n_problems++]);
    return true;
}

static bool set_day(struct outputs *o, const struct day *day, const struct tally *tallies,
                    struct diag_sink *sink)
{
    const struct tools *t = o->tools;
    struct day_tally *files = arena_alloc(day->arena, (t->n_sources + 1) * sizeof *files);
    for (size_t i = 0; i < t->n_sources; i++)
        files[i] = (struct day_tally){import_path(t->sources[i]), tallies[i].rows_in,
                                      tallies[i].used, tallies[i].duplicates, tallies[i].held};
    xmlDocPtr doc = findings_day_document(day->entries, day->n, files, t->n_sources, day->problems,
                                          day->n_problems, day->part, day->parts);
    struct page_list *pages = layout_render(t->day_index, doc, t->fonts, sink);
    const char *name = day->part == 1
                           ? "day-index.pdf"
                           : arena_printf(day->arena, "day-index-%d.pdf", day->part);
    struct buf pdf;
    buf_init(&pdf, SIZE_MAX / 4);
    bool ok = pages != NULL && pdf_write(t->pdf, pages, &pdf, sink) &&
              file_write(path_of(o, name), pdf.data, pdf.len, sink);
    buf_release(&pdf);
    page_list_free(pages);
    xmlFreeDoc(doc);
    return ok;
}

static int parts_for(long items)
{
    return items == 0 ? 1 : (int)((items + PART_ITEMS - 1) / PART_ITEMS);
}

/* Parts of an earlier, longer run would tell of reports that this run did not make. */
static void remove_further_parts(struct outputs *o, int parts)
{
    const char *path;
    while (file_exists(path = path_of(o, arena_printf(o->arena, "day-index-%d.pdf", ++parts))))
        unlink(path);
}

static bool write_day_index(struct outputs *o, const struct tally *tallies, struct diag_sink *sink)
{
    if (o->reports == 0)
        return true;
    struct day *day = mem_alloc(sizeof *day);
    bool ok = true;
    int entry_parts = parts_for(o->reports), problem_parts = parts_for(o->held);
    int parts = entry_parts > problem_parts ? entry_parts : problem_parts;
    for (int part = 1; ok && part <= parts; part++) {
        memset(day, 0, sizeof *day);
        day->arena = arena_new();
        day->part = part;
        day->parts = parts;
        ok = sorter_walk(o->entries, add_entry, day, sink) &&
             sorter_walk(o->problems, add_problem, day, sink) && set_day(o, day, tallies, sink);
        arena_free(day->arena);
    }
    free(day);
    remove_further_parts(o, parts);
    return ok;
}

/* ---- text on standard output or in a file -------------------------------------------------- */

static bool print_collected(struct outputs *o, struct diag_sink *sink)
{
    const struct batch_options *opt = o->tools->options;
    bool is_xml = opt->command == BATCH_FINDINGS && opt->format == FORMAT_XML;
    bool is_csv = opt->command == BATCH_FINDINGS && !is_xml && opt->dump == DUMP_NONE;
    bool to_file = opt->command == BATCH_FINDINGS && opt->out != NULL;
    FILE *f = to_file ? open_stream(opt->out, sink) : stdout;
    if (f == NULL)
        return false;
    struct writer w = {.o = o, .file = f, .arena = arena_new(), .human = true};
    struct buf head;
    buf_init(&w.row, SIZE_MAX / 4);
    buf_init(&head, 1 << 16);
    if (is_csv)
        findings_csv_header(&head);
    else if (is_xml)
        buf_adds(&head, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<findings>\n");
    bool ok = fwrite(buf_text(&head), 1, head.len, f) == head.len;
    ok = ok && sorter_walk(o->texts, write_text, &w, sink);
    if (opt->command == BATCH_CHECK && opt->dump == DUMP_NONE)
        ok = ok && sorter_walk(o->problems, write_exception, &w, sink);
    if (is_xml)
        ok = ok && fputs("</findings>\n", f) >= 0;
    buf_release(&head);
    buf_release(&w.row);
    arena_free(w.arena);
    if (to_file)
        return close_stream(f, opt->out, ok, sink);
    if (fflush(f) == 0 && ok)
        return true;
    diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = "standard output"}, NULL, NULL);
    return false;
}

bool outputs_finish(struct outputs *o, const struct tally *tallies, struct diag_sink *sink)
{
    const struct batch_options *opt = o->tools->options;
    if (opt->command != BATCH_REPORT || opt->dump != DUMP_NONE)
        return print_collected(o, sink);
    bool ok = commit_group(o, sink);
    ok = write_sorted(o, "exceptions.csv",
                      "file,line,column,outcome,code,text,reason,advice\r\n", o->problems,
                      write_exception, sink) && ok;
    if (opt->with_findings) {
        struct buf head;
        buf_init(&head, 1 << 16);
        findings_csv_header(&head);
        ok = write_sorted(o, "findings.csv", buf_text(&head), o->texts, write_text, sink) && ok;
        buf_release(&head);
    }
    ok = write_manifest(o, sink) && ok;
    ok = write_day_index(o, tallies, sink) && ok;
    return file_sync_folder(opt->out, sink) && ok;
}
