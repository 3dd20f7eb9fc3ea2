/* Reports put in place: in groups, whole or not at all. */
#include "batch/outputs_int.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

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

/* Rows of what is in place for good, until the manifest holds them: a run that is killed need not
 * be done from the start again. */
static bool append_journal(struct outputs *o, const struct buf *rows, struct diag_sink *sink)
{
    if (rows->len == 0)
        return true;
    const char *path = journal_file(o->arena, o->tools->options);
    int fd = file_open_write(path, O_APPEND);
    const char *why = fd < 0 ? file_why(errno) : NULL;
    FILE *f = fd >= 0 ? fdopen(fd, "a") : NULL;
    struct stat st;
    /* A run before may have been killed in the middle of a row. */
    bool ok = f != NULL && fstat(fd, &st) == 0 &&
              fputs(st.st_size > 0 ? "\r\n" : manifest_head(), f) >= 0 &&
              fwrite(rows->data, 1, rows->len, f) == rows->len;
    ok = f != NULL && fclose(f) == 0 && ok;
    if (!ok)
        diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = path}, NULL, "%s",
                    why != NULL ? why : "");
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
bool outputs_commit(struct outputs *o, struct diag_sink *sink)
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
            manifest_row(&rows, &r);
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
    return o->n_pending < GROUP || outputs_commit(o, sink);
}
