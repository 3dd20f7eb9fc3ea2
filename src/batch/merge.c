/* The parts that several runs left in one output folder become what a single run would have
 * written. */
#include "batch/outputs_int.h"

#include <dirent.h>
#include <stdio.h>
#include <unistd.h>

struct merging {
    struct outputs *outputs;
    struct arena *arena;
    const char *out;
    int n;                     /* parts of the run */
    const char *made_with;
    struct day_tally *files;
    struct tally *tallies;
    size_t n_files;
    bool held;
    struct past *past;
    struct diag_sink *sink;
};

static bool refuse(struct merging *m, enum diag_code code, int shard)
{
    diag_report(m->sink, code, (struct diag_pos){.file = m->out}, NULL, "%d of %d", shard, m->n);
    return false;
}

/* How many parts there are to be, by the names of those that are there; 0: none, -1: two runs. */
static int parts_in(const char *out)
{
    DIR *dir = opendir(out);
    const struct dirent *entry;
    int n = 0, shard, of;
    char rest;
    while (dir != NULL && (entry = readdir(dir)) != NULL) {
        if (sscanf(entry->d_name, "shard.%d-of-%d%c", &shard, &of, &rest) != 2 || of < 1)
            continue;
        n = n == 0 || n == of ? of : -1;
        if (n < 0)
            break;
    }
    if (dir != NULL)
        closedir(dir);
    return n;
}

static bool take_files(struct merging *m, struct wire *w)
{
    size_t n = (size_t)wire_int(w);
    bool first = m->files == NULL;
    if (first) {
        m->files = arena_alloc(m->arena, (n + 1) * sizeof *m->files);
        m->tallies = arena_alloc(m->arena, (n + 1) * sizeof *m->tallies);
        m->n_files = n;
    }
    for (size_t i = 0; i < n && n == m->n_files; i++) {
        const char *name = wire_text(w, m->arena);
        struct tally *t = &m->tallies[i];
        if (first)
            m->files[i].file = name;
        else if (!str_eq(m->files[i].file, name))
            return false;
        t->rows_in += wire_int(w);
        t->used += wire_int(w);
        t->duplicates += wire_int(w);
        t->held += wire_int(w);
        t->angles += wire_int(w);
        t->round_angles += wire_int(w);
    }
    return n == m->n_files;
}

static bool take_head(struct merging *m, struct wire *w, int shard)
{
    const char *made_with = wire_text(w, m->arena);
    int is = (int)wire_int(w), of = (int)wire_int(w);
    m->held = wire_int(w) != 0 || m->held;
    m->outputs->with_findings = wire_int(w) != 0 || m->outputs->with_findings;
    if (m->made_with == NULL)
        m->made_with = made_with;
    if (!str_eq(m->made_with, made_with) || is != shard || of != m->n || !take_files(m, w))
        return refuse(m, DIAG_SHARD_DIFFERS, shard);
    return true;
}

static bool take_records(struct merging *m, struct wire *w)
{
    struct arena *a = arena_new();
    bool ok = true;
    while (ok && w->at < w->end) {
        enum record_type type = (enum record_type)wire_int(w);
        int64_t len = wire_int(w);
        struct wire part = {w->at, w->at + len};
        struct report report;
        struct diag diag;
        w->at += len;
        if (type == RECORD_REPORT) {
            report_get(&part, a, &report);
            ok = outputs_record(m->outputs, &report, m->sink);
        } else if (type == RECORD_DIAG) {
            wire_diag(&part, a, &diag);
            ok = outputs_problem(m->outputs, &diag, m->sink);
        } else if (type == RECORD_TEXT) {
            size_t key_len = (size_t)wire_int(&part);
            ok = outputs_text(m->outputs, part.at, key_len, part.at + key_len,
                              (size_t)(part.end - part.at) - key_len, m->sink);
        }
        arena_clear(a);
    }
    arena_free(a);
    return ok;
}

static bool take_part(struct merging *m, int shard)
{
    const char *path = arena_printf(m->arena, "%s/shard.%d-of-%d", m->out, shard, m->n);
    struct buf text;
    if (!file_exists(path))
        return refuse(m, DIAG_SHARD_MISSING, shard);
    buf_init(&text, SIZE_MAX / 4);
    bool ok = file_read_own(path, SIZE_MAX / 8, &text, m->sink);
    struct wire w;
    if (ok && !shard_body(&text, &w))
        ok = refuse(m, DIAG_SHARD_BROKEN, shard);
    if (ok) {
        (void)wire_int(&w); /* type and length of the head */
        (void)wire_int(&w);
        ok = take_head(m, &w, shard) && take_records(m, &w);
    }
    buf_release(&text);
    return ok;
}

static struct past *load_manifests(struct merging *m)
{
    const char **paths = arena_alloc(m->arena, (size_t)(m->n + 1) * sizeof *paths);
    paths[0] = arena_printf(m->arena, "%s/manifest.csv", m->out);
    for (int i = 0; i < m->n; i++)
        paths[i + 1] = arena_printf(m->arena, "%s/manifest.%d-of-%d.csv", m->out, i, m->n);
    return past_load(paths, (size_t)m->n + 1, m->sink);
}

static void remove_one(const struct merging *m, const char *stem, int shard, const char *end)
{
    unlink(arena_printf(m->arena, "%s/%s.%d-of-%d%s", m->out, stem, shard, m->n, end));
}

/* The parts have become one: what is left of them would be merged again. */
static void remove_parts(const struct merging *m)
{
    for (int i = 0; i < m->n; i++) {
        remove_one(m, "shard", i, "");
        remove_one(m, "manifest", i, ".csv");
        remove_one(m, "exceptions", i, ".csv");
        remove_one(m, "findings", i, ".csv");
        remove_one(m, ".journal", i, "");
        remove_one(m, ".lock", i, "");
    }
}

static bool take_parts(struct merging *m)
{
    m->n = parts_in(m->out);
    if (m->n <= 0) {
        diag_report(m->sink, m->n == 0 ? DIAG_SHARD_NONE : DIAG_SHARD_DIFFERS,
                    (struct diag_pos){.file = m->out}, NULL, NULL);
        return false;
    }
    for (int i = 0; i < m->n; i++)
        if (!take_part(m, i))
            return false;
    for (size_t i = 0; i < m->n_files; i++) {
        const struct tally *t = &m->tallies[i];
        m->files[i] = (struct day_tally){m->files[i].file, t->rows_in, t->used, t->duplicates,
                                         t->held};
    }
    return true;
}

static enum status merge_locked(struct merging *m, struct tools *tools)
{
    if (!take_parts(m))
        return m->sink->count[DIAG_SYSTEM] > 0 ? STATUS_SYSTEM : STATUS_USAGE;
    struct past *past = load_manifests(m);
    m->past = past;
    tools->past = past;
    struct outcome outcome = {.files = m->files, .tallies = m->tallies, .n_files = m->n_files,
                              .complete = true, .held = m->held};
    summary_note_round_angles(&outcome, m->sink);
    bool ok = past != NULL && outputs_finish(m->outputs, &outcome, m->sink);
    if (ok)
        remove_parts(m);
    ok = ok && file_sync_folder(m->out, m->sink);
    summary_say(tools->options, m->outputs, &outcome);
    if (!ok || m->sink->count[DIAG_SYSTEM] > 0)
        return STATUS_SYSTEM;
    return m->held ? STATUS_HELD_BACK : STATUS_OK;
}

/* What is about the input is in the parts and goes to the lists; the rest is for the operator. */
static void on_diag(void *user, const struct diag *d)
{
    struct merging *m = user;
    struct diag_sink quiet = {0};
    if (diag_outcome(d->code) == OUTCOME_NONE)
        diag_print(stderr, d);
    else
        (void)!outputs_problem(m->outputs, d, &quiet);
}

enum status merge_run(const struct batch_options *options)
{
    struct merging m = {.out = options->out};
    struct diag_sink sink = {.put = on_diag, .user = &m};
    struct tools tools;
    m.sink = &sink;
    enum status status = tools_load(&tools, options, &sink);
    if (status == STATUS_OK) {
        m.arena = arena_new();
        const char *path = arena_printf(m.arena, "%s/.lock", m.out);
        int lock = -1;
        status = STATUS_SYSTEM;
        if (!file_is_folder(m.out)) {
            diag_report(&sink, DIAG_SHARD_NONE, (struct diag_pos){.file = m.out}, NULL, NULL);
            status = STATUS_USAGE;
        } else if ((lock = lock_take(path, false, isatty(STDERR_FILENO) == 1, &sink)) >= 0) {
            m.outputs = outputs_new(&tools);
            status = merge_locked(&m, &tools);
            outputs_free(m.outputs);
            past_free(m.past);
        }
        lock_drop(lock);
        arena_free(m.arena);
    }
    tools_release(&tools);
    return status;
}
