/* The run: load the tools, open the inputs, start the workers, read rows into partitions, hand out
 * one patient at a time, collect, write, and say what happened. */
#include "batch/batch_int.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A full disk fails each report after it; the list of exceptions has them all. */
enum { UNWRITTEN_TOLD = 5 };

struct run {
    struct tools tools;
    struct diag_sink sink;       /* prints what concerns the operator, files the rest */
    struct outputs *outputs;
    struct pool *pool;
    struct partitions *partitions;
    struct ids *ids;
    struct tally *tallies;
    struct arena *arena;         /* cleared after each answer */
    struct buf job;
    int lock, own_lock;          /* of the output folder, of the shard; -1: none */
    struct past *past;
    struct date newest;
    struct progress progress;
    long rows, lost;
    long unwritten;              /* files that workers could not write */
    size_t lost_files, said_before; /* inputs that could not be opened, and what that said */
    bool failed;                 /* a write, a spill or a worker could not be had */
    bool opening;                /* files are being opened */
    bool cut;                    /* reading a file broke off */
    bool reading_past;           /* rows that are another shard's to tell of */
    struct digest input;         /* of all rows; for shards */
};

/* Diagnostics about input go to the exceptions; the rest is for the operator, now. */
static void on_diag(void *user, const struct diag *d)
{
    struct run *r = user;
    if (diag_outcome(d->code) != OUTCOME_NONE &&
        (r->reading_past || (r->opening && r->tools.options->shard > 0)))
        return;
    if (diag_outcome(d->code) != OUTCOME_NONE && r->outputs != NULL) {
        struct diag_sink quiet = {0};
        if (!outputs_problem(r->outputs, d, &quiet))
            r->failed = true;
        /* What keeps a whole file out is said at once: there may be no list to find it in. */
        bool at_once = (r->opening && diag_level(d->code) >= DIAG_ERROR) ||
                       diag_level(d->code) == DIAG_SYSTEM;
        if (!r->tools.options->verbose && !at_once)
            return;
    }
    if (!r->tools.options->quiet || diag_level(d->code) >= DIAG_ERROR)
        diag_print(stderr, d);
}

static bool on_answer(void *user, const struct buf *message)
{
    struct run *r = user;
    struct wire w = {message->data, message->data + message->len};
    bool ok = true;
    while (w.at < w.end) {
        enum record_type type = (enum record_type)wire_int(&w);
        int64_t len = wire_int(&w);
        struct wire part = {w.at, w.at + len};
        w.at += len;
        if (type == RECORD_DIAG) {
            struct diag d;
            wire_diag(&part, r->arena, &d);
            r->lost += d.code == DIAG_REPORT_LOST;
            r->sink.count[diag_level(d.code)]++;
            r->unwritten += d.code == DIAG_FILE_WRITE;
            if (d.code != DIAG_FILE_WRITE || r->unwritten <= UNWRITTEN_TOLD)
                on_diag(r, &d);
        } else if (type == RECORD_TALLY) {
            struct tally *t = &r->tallies[wire_int(&part)];
            t->used += wire_int(&part);
            t->duplicates += wire_int(&part);
            t->held += wire_int(&part);
            t->angles += wire_int(&part);
            t->round_angles += wire_int(&part);
        } else if (type == RECORD_PAGES) {
            struct report report;
            report_get(&part, r->arena, &report);
            const char *title = wire_text(&part, r->arena);
            ok = outputs_drawn(r->outputs, &report, title, part.at,
                               (size_t)(part.end - part.at), &r->sink) && ok;
        } else if (type == RECORD_REPORT) {
            struct report report;
            report_get(&part, r->arena, &report);
            ok = outputs_report(r->outputs, &report, &r->sink) && ok;
        } else if (type == RECORD_TEXT) {
            size_t key_len = (size_t)wire_int(&part);
            ok = outputs_text(r->outputs, part.at, key_len, part.at + key_len,
                              (size_t)(part.end - part.at) - key_len, &r->sink) && ok;
        }
    }
    arena_clear(r->arena);
    progress_step(&r->progress);
    return ok;
}

/* Of a patient whose rows no worker could read to the end: none of them is used. */
static void on_lost(void *user, const struct buf *job, const char *why)
{
    struct run *r = user;
    struct wire w = {job->data, job->data + job->len};
    struct diag_pos pos = {0};
    (void)wire_int(&w); /* the newest date */
    int64_t n = wire_int(&w);
    for (int64_t i = 0; i < n; i++) {
        struct row row;
        w.at += row_unpack(w.at, (size_t)(w.end - w.at), r->arena, &row);
        r->tallies[row.source].held++;
        if (i == 0)
            pos = (struct diag_pos){.file = import_path(r->tools.sources[row.source]),
                                    .line = row.line};
    }
    r->lost++;
    diag_report(&r->sink, DIAG_WORKER_LOST, pos, NULL, "%s", why);
    arena_clear(r->arena);
}

static bool take_row(struct run *r, const struct import_source *src, const struct row *row)
{
    const struct batch_options *o = r->tools.options;
    size_t i = (size_t)row->source;
    const char *id = import_row_patient(src, row);
    if (*id == '\0') {
        if (o->shards == 0 || o->shard == 0)
            import_hold_row(src, row, DIAG_NO_PATIENT_ID, &r->tallies[i], &r->sink);
        return true;
    }
    ids_add(r->ids, id, import_row_has_facts(src, row));
    bool asked_for = o->only_patient == NULL || strcmp(id, o->only_patient) == 0;
    bool dated = asked_for && !import_is_history(src);
    struct date d = dated ? import_row_date(src, row, o->today) : (struct date){0};
    if (date_is_set(d) && date_compare(d, r->newest) > 0)
        r->newest = d;
    if (!asked_for || !shard_has(o, id)) {
        r->tallies[i].rows_in -= o->shard == 0; /* not of this run's count */
        return true;
    }
    r->tallies[i].rows_in += o->shard > 0;
    r->rows++;
    return partitions_add(r->partitions, id, row, &r->sink);
}

/* Shards are merged only when all of them read the same. */
static void digest_row(struct run *r, const struct row *row, struct buf *text)
{
    buf_clear(text);
    import_row_text(r->tools.sources[row->source], row, text);
    wire_put_int(text, row->source);
    digest_add(&r->input, text->data, text->len);
}

/* What is no row falls to the first shard: the others read past it. */
static enum import_step next_row(struct run *r, size_t i, struct row *row)
{
    struct tally uncounted = {0};
    struct tally *tally = r->tools.options->shard > 0 ? &uncounted : &r->tallies[i];
    r->reading_past = r->tools.options->shard > 0;
    enum import_step step = import_next(r->tools.sources[i], row, tally, &r->sink);
    r->reading_past = false;
    return step;
}

static bool read_rows(struct run *r)
{
    const struct batch_options *o = r->tools.options;
    struct buf text;
    buf_init(&text, SIZE_MAX / 4);
    digest_init(&r->input);
    bool ok = true;
    for (size_t i = 0; ok && i < r->tools.n_sources && !interrupted(); i++) {
        struct import_source *src = r->tools.sources[i];
        struct row row;
        enum import_step step;
        while (ok && (step = next_row(r, i, &row)) == IMPORT_ROW) {
            if (o->dump == DUMP_ROWS) {
                buf_clear(&text);
                row_dump(&row, &text);
                ok = fwrite(text.data, 1, text.len, stdout) == text.len;
                continue;
            }
            if (o->shards > 0)
                digest_row(r, &row, &text);
            ok = take_row(r, src, &row);
        }
        if (ok && step == IMPORT_FAILED) {
            r->lost_files++;
            r->cut = true;
        }
    }
    buf_release(&text);
    return ok;
}

/* A patient whose id is like another's: held back, or noted. True: held, and nothing is made. */
static bool settle_id(struct run *r, const char *patient_id, const char *rows, size_t len,
                      size_t n_rows)
{
    const char *nearest;
    enum id_doubt doubt = ids_doubt(r->ids, patient_id, &nearest);
    if (doubt == ID_ALONE)
        return false;
    struct row *all = arena_alloc(r->arena, n_rows * sizeof *all);
    for (size_t i = 0, at = 0; i < n_rows; i++)
        at += row_unpack(rows + at, len - at, r->arena, &all[i]);
    if (doubt == ID_HELD)
        import_hold_patient(all, n_rows, r->tools.sources, nearest, r->tallies, &r->sink);
    else
        import_note_id(&all[0], r->tools.sources, nearest, &r->sink);
    arena_clear(r->arena);
    return doubt == ID_HELD;
}

static bool hand_out(void *user, const char *patient_id, const char *rows, size_t len,
                     size_t n_rows)
{
    struct run *r = user;
    if (settle_id(r, patient_id, rows, len, n_rows))
        return true;
    buf_clear(&r->job);
    wire_put_int(&r->job, date_days(r->newest));
    wire_put_int(&r->job, (int64_t)n_rows);
    buf_add(&r->job, rows, len);
    r->progress.rows += (long)n_rows;
    return pool_submit(r->pool, &r->job);
}

static enum status status_of(const struct run *r)
{
    if (r->failed || r->lost > 0 || r->sink.count[DIAG_SYSTEM] > r->said_before)
        return STATUS_SYSTEM;
    if (r->sink.count[DIAG_ERROR] > 0 || r->lost_files > 0 || outputs_held(r->outputs) > 0)
        return STATUS_HELD_BACK;
    return STATUS_OK;
}

/* The folder, or this shard's part of it, is this run's alone from here on, and what earlier runs
 * left in it is known. */
static bool take_folder(struct run *r)
{
    const struct batch_options *o = r->tools.options;
    struct arena *a = r->tools.arena;
    bool shard = o->shards > 0, wait = isatty(STDERR_FILENO) == 1;
    const char *manifests[] = {
        arena_printf(a, "%s/manifest.csv", o->out), journal_file(a, o),
        arena_printf(a, "%s/manifest.%d-of-%d.csv", o->out, o->shard, o->shards)};
    if (!file_make_folders(o->out, &r->sink))
        return false;
    r->lock = lock_take(arena_printf(a, "%s/.lock", o->out), shard, wait, &r->sink);
    if (r->lock < 0)
        return false;
    if (shard) {
        const char *own = arena_printf(a, "%s/.lock.%d-of-%d", o->out, o->shard, o->shards);
        r->own_lock = lock_take(own, false, wait, &r->sink);
        if (r->own_lock < 0)
            return false;
        unlink(shard_file(a, o)); /* a run that fails leaves nothing to merge */
    }
    r->past = past_load(manifests, shard ? 3 : 2, &r->sink);
    r->tools.past = r->past;
    return r->past != NULL;
}

/* Options and input: what the parts of one run must have in common. */
static const char *digest_of_run(struct run *r)
{
    const struct batch_options *o = r->tools.options;
    char hex[DIGEST_HEX];
    struct buf b;
    buf_init(&b, 1 << 20);
    for (size_t i = 0; i < r->tools.n_templates; i++)
        buf_adds(&b, r->tools.made_with[i]);
    wire_put_int(&b, o->select);
    wire_put_int(&b, date_days(o->on));
    wire_put_int(&b, date_days(o->today));
    wire_put_text(&b, o->only_patient);
    wire_put_int(&b, o->with_findings);
    for (size_t i = 0; i < r->tools.n_sources; i++)
        wire_put_text(&b, import_path(r->tools.sources[i]));
    digest_add(&r->input, b.data, b.len);
    buf_release(&b);
    digest_hex(&r->input, hex);
    return arena_strdup(r->tools.arena, hex);
}

static struct outcome *outcome_of(struct run *r, bool complete)
{
    const struct tools *t = &r->tools;
    struct arena *a = t->arena;
    struct outcome *outcome = arena_alloc(a, sizeof *outcome);
    struct day_tally *files = arena_alloc(a, (t->n_sources + 1) * sizeof *files);
    for (size_t i = 0; i < t->n_sources; i++) {
        const struct tally *n = &r->tallies[i];
        files[i] = (struct day_tally){import_path(t->sources[i]), n->rows_in, n->used,
                                      n->duplicates, n->held};
    }
    *outcome = (struct outcome){
        .files = files, .tallies = r->tallies, .n_files = t->n_sources,
        .complete = complete && !r->cut && r->lost == 0 && !r->failed && !interrupted(),
        .held = status_of(r) == STATUS_HELD_BACK};
    if (t->options->shards > 0 && outcome->complete)
        outcome->made_with = digest_of_run(r);
    return outcome;
}

static bool work(struct run *r)
{
    const struct batch_options *o = r->tools.options;
    if (o->command == BATCH_REPORT && o->dump == DUMP_NONE && !take_folder(r))
        return false;
    if (o->dump != DUMP_ROWS) {
        r->pool = pool_new(&r->tools, o->jobs, on_answer, on_lost, r, &r->sink);
        if (r->pool == NULL)
            return false;
    }
    r->partitions = partitions_new(inputs_size(&r->tools));
    r->ids = ids_new();
    if (!read_rows(r))
        return false;
    if (o->dump == DUMP_ROWS)
        return true;
    progress_start(&r->progress, o, r->rows);
    bool ok = partitions_walk(r->partitions, hand_out, r, &r->sink) && pool_finish(r->pool);
    progress_end(&r->progress);
    if (r->unwritten > UNWRITTEN_TOLD)
        fprintf(stderr, "endfeel: the same of %ld more files\n", r->unwritten - UNWRITTEN_TOLD);
    if (o->shards == 0) /* a shard has seen a part of the file only */
        summary_note_round_angles(outcome_of(r, ok), &r->sink);
    /* What is whole is put in place even when the run was stopped. */
    ok = outputs_finish(r->outputs, outcome_of(r, ok), &r->sink) && ok;
    if (ok && o->command == BATCH_REPORT && o->dump == DUMP_NONE &&
        outputs_reports(r->outputs) == 0 && outputs_refused(r->outputs) == 0 && o->shards == 0)
        diag_report(&r->sink, DIAG_NO_VISIT_SELECTED, (struct diag_pos){0}, NULL, NULL);
    return ok;
}

enum status batch_run(const struct batch_options *options)
{
    if (options->suggest_map)
        return suggest_run(options);
    if (options->command == BATCH_MERGE)
        return merge_run(options);
    if (options->command == BATCH_TEMPLATE)
        return template_run(options);
    if (options->command == BATCH_AGREE)
        return agree_run(options);
    if (options->command == BATCH_PLAN)
        return plan_run(options);
    if (options->command == BATCH_HANDOUT)
        return handout_run(options);
    struct run r = {.sink = {.put = on_diag}, .lock = -1, .own_lock = -1};
    r.sink.user = &r;
    r.tools.options = options;
    pdf_tune_memory();
    watch_signals();
    r.arena = arena_new();
    buf_init(&r.job, SIZE_MAX / 4);
    enum status status = tools_load(&r.tools, options, &r.sink);
    if (status == STATUS_OK) {
        r.outputs = outputs_new(&r.tools);
        r.opening = true;
        inputs_open(&r.tools, &r.lost_files, &r.sink);
        r.opening = false;
        r.said_before = r.sink.count[DIAG_SYSTEM];
        r.tallies = mem_alloc(r.tools.n_sources * sizeof *r.tallies);
        if (r.tools.n_sources == 0)
            diag_report(&r.sink, DIAG_NO_INPUT, (struct diag_pos){0}, NULL, NULL);
        else if (!work(&r))
            r.failed = true;
        if (r.partitions != NULL || r.tools.n_sources == 0) /* it came to reading */
            summary_say(options, r.outputs, outcome_of(&r, false));
        status = status_of(&r);
    }
    pool_free(r.pool);
    partitions_free(r.partitions);
    ids_free(r.ids);
    outputs_free(r.outputs);
    past_free(r.past);
    lock_drop(r.own_lock);
    lock_drop(r.lock);
    free(r.tallies);
    buf_release(&r.job);
    arena_free(r.arena);
    tools_release(&r.tools);
    if (interrupted()) {
        signal(interrupted_by(), SIG_DFL);
        raise(interrupted_by());
    }
    return status;
}
