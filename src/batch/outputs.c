/* What the parent collects and puts in place: PDFs in groups, whole or not at all. Everything
 * collected goes through sorted spill runs, so that order does not depend on workers and memory
 * does not grow with the batch. */
#include "batch/outputs_int.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <stdlib.h>
#include <sys/stat.h>
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
    return o;
}

const char *outputs_path(struct outputs *o, const char *file)
{
    return arena_printf(o->arena, "%s/%s", o->tools->options->out, file);
}

/* Is a part in the folder of a date this shard's? Its name begins with the patient's id, as a safe
 * name: PATIENT_DATE_KIND.pdf.part or PATIENT.xml.part. */
static bool is_ours(const struct outputs *o, const char *name, const char *date)
{
    const struct batch_options *opt = o->tools->options;
    if (opt->shards == 0)
        return true;
    if (strchr(name, REPORT_NAME_CUT) != NULL)
        return false; /* whose it is cannot be told: left for the merge */
    const char *end = NULL;
    for (const char *s = name; (s = strstr(s, date)) != NULL; s++)
        if (s > name && s[-1] == '_')
            end = s - 1;
    size_t len = end != NULL ? (size_t)(end - name) : strlen(name) - strlen(".xml.part");
    struct buf id;
    buf_init(&id, strlen(name) + 1);
    for (size_t i = 0; i < len; i++) {
        unsigned c = (unsigned char)name[i];
        if (c == '%' && sscanf(name + i + 1, "%2x", &c) == 1)
            i += 2;
        buf_addc(&id, (char)c);
    }
    bool ours = shard_has(opt, buf_text(&id));
    buf_release(&id);
    return ours;
}

/* Whatever it is: a link in the way of a part would keep it from being written. */
static void remove_parts(const struct outputs *o, const char *folder, const char *date)
{
    DIR *dir = opendir(folder);
    const struct dirent *entry;
    while (dir != NULL && (entry = readdir(dir)) != NULL) {
        const char *name = entry->d_name;
        size_t len = strlen(name), end = strlen(".part");
        if (len > end && strcmp(name + len - end, ".part") == 0 && is_ours(o, name, date))
            unlinkat(dirfd(dir), name, 0);
    }
    if (dir != NULL)
        closedir(dir);
}

/* Parts of a worker that died or was stopped, in this run or an earlier one. Lists of shards are
 * written over by the next run of the same shard. */
static void remove_leftovers(struct outputs *o)
{
    const struct batch_options *opt = o->tools->options;
    if (o->tools->past == NULL)
        return; /* the folder is not this run's */
    DIR *dir = opendir(opt->out);
    if (dir == NULL)
        return;
    const struct dirent *entry;
    struct date date;
    if (opt->shards == 0)
        remove_parts(o, opt->out, "");
    while ((entry = readdir(dir)) != NULL) {
        const char *name = entry->d_name;
        if (!date_parse_iso(name, &date))
            continue;
        remove_parts(o, outputs_path(o, name), name);
        remove_parts(o, arena_printf(o->arena, "%s/%s/.values", opt->out, name), name);
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
    o->refused += d->code == DIAG_DOCUMENT_REFUSED;
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
    lists_manifest_row(&row, r);
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

const char *journal_file(struct arena *a, const struct batch_options *o)
{
    return o->shards == 0 ? arena_printf(a, "%s/.journal", o->out)
                          : arena_printf(a, "%s/.journal.%d-of-%d", o->out, o->shard, o->shards);
}

/* Rows of what is in place for good, until the manifest holds them: a run that is killed need not
 * be done from the start again. */
static bool append_journal(struct outputs *o, const struct buf *rows, struct diag_sink *sink)
{
    if (rows->len == 0)
        return true;
    const char *path = journal_file(o->arena, o->tools->options);
    int fd = open(path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC | O_NOFOLLOW, 0600);
    FILE *f = fd >= 0 ? fdopen(fd, "a") : NULL;
    struct stat st;
    /* A run before may have been killed in the middle of a row. */
    bool ok = f != NULL && fstat(fd, &st) == 0 &&
              fputs(st.st_size > 0 ? "\r\n" : past_manifest_head(), f) >= 0 &&
              fwrite(rows->data, 1, rows->len, f) == rows->len;
    ok = f != NULL && fclose(f) == 0 && ok;
    if (!ok)
        diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = path}, NULL, NULL);
    return ok;
}

static bool sync_folders(struct outputs *o, struct diag_sink *sink)
{
    bool ok = true;
    if (o->n_folders > FOLDERS_SYNCED_ONE_BY_ONE)
        sync_file_system(o->tools->options->out);
    for (size_t i = 0; i < o->n_folders && o->n_folders <= FOLDERS_SYNCED_ONE_BY_ONE; i++)
        ok = file_sync_folder(o->folders[i], sink) && ok;
    o->n_folders = 0;
    return ok;
}

/* One syncfs for the group, then the renames, then the folders they happened in: a name appears
 * only over whole bytes, and stays. */
static bool commit_group(struct outputs *o, struct diag_sink *sink)
{
    if (o->n_pending == 0)
        return true;
    bool ok = true;
    struct arena *a = arena_new();
    struct buf rows;
    buf_init(&rows, SIZE_MAX / 4);
    sync_file_system(o->tools->options->out);
    for (size_t i = 0; i < o->n_pending; i++) {
        struct wire w = {o->pending[i].data, o->pending[i].data + o->pending[i].len};
        struct report r;
        report_get(&w, a, &r);
        bool placed = place_report(o, a, &r, sink);
        ok = (!placed || outputs_record(o, &r, sink)) && ok && placed;
        if (placed && r.state != REPORT_UNCHANGED)
            lists_manifest_row(&rows, &r);
        buf_clear(&o->pending[i]);
    }
    o->n_pending = 0;
    ok = sync_folders(o, sink) && append_journal(o, &rows, sink) && ok;
    buf_release(&rows);
    arena_free(a);
    return ok;
}

bool outputs_report(struct outputs *o, const struct report *r, struct diag_sink *sink)
{
    report_put(&o->pending[o->n_pending++], r);
    return o->n_pending < GROUP || commit_group(o, sink);
}

const char *outputs_list_name(struct outputs *o, const char *stem)
{
    const struct batch_options *opt = o->tools->options;
    if (opt->shards == 0)
        return arena_printf(o->arena, "%s.csv", stem);
    return arena_printf(o->arena, "%s.%d-of-%d.csv", stem, opt->shard, opt->shards);
}

const char *outputs_exceptions(struct outputs *o)
{
    return outputs_path(o, outputs_list_name(o, "exceptions"));
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

bool outputs_finish(struct outputs *o, const struct outcome *outcome, struct diag_sink *sink)
{
    const struct batch_options *opt = o->tools->options;
    if (opt->command != BATCH_MERGE && (opt->command != BATCH_REPORT || opt->dump != DUMP_NONE))
        return lists_print(o, sink);
    bool ok = commit_group(o, sink);
    ok = lists_write(o, sink) && ok;
    ok = lists_write_manifest(o, sink) && ok;
    if (opt->shards > 0) {
        ok = ok && outcome->complete && shard_write(o, outcome, sink);
    } else {
        ok = day_index_write(o, outcome->files, outcome->n_files, sink) && ok;
        ok = print_file_write(o, sink) && ok;
    }
    ok = file_sync_folder(opt->out, sink) && ok;
    if (ok)
        unlink(journal_file(o->arena, opt));
    return ok;
}
