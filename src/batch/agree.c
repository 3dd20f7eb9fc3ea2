/*
 * The command agree: rows of a class -> figures of agreement -> a sheet, or CSV, or the document.
 * Each test of the input is held against itself alone and has its part of the sheet.
 */
#include "batch/sheet_int.h"

#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>

enum { GRADES_MAX = AGREE_GRADES_MAX, OUT_MAX = 256 << 20 };

struct agree_run {
    struct tools tools;
    struct diag_sink sink;
    struct class_rows rows;
    struct diag_list problems;      /* for the sheet, in the order met */
    double grades[GRADES_MAX];
    struct agree_options options;
    struct agree_result **results;  /* one a test that gave any figure */
    size_t n_results;
    size_t lost;                    /* files that could not be read */
    bool refused;
};

/* What concerns a row goes on the sheet too; what is held back is said at once. */
static void on_diag(void *user, const struct diag *d)
{
    struct agree_run *r = user;
    const struct batch_options *o = r->tools.options;
    struct diag told = *d;
    const struct class_row *row = class_judge(&r->rows, &r->tools, d);
    bool is_note = diag_level(d->code) < DIAG_ERROR;
    if (row != NULL && told.text == NULL)
        told.text = row->text;
    if (diag_outcome(d->code) != OUTCOME_NONE || d->code == DIAG_AGREE_INSTRUCTORS)
        r->problems.sink.put(r->problems.sink.user, &told);
    if (is_note && (o->quiet || (diag_level(d->code) == DIAG_NOTE && !o->verbose)))
        return;
    diag_print(stderr, d);
}

/* ---- tests --------------------------------------------------------------------------------- */

static int compare_scores(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The scores of the scale, each once: two names of one grade are one step. */
static void settle_scale(struct agree_run *r)
{
    size_t n = 0, kept = 0;
    r->options.scale =
        r->tools.options->scale == SCALE_GRADE ? AGREE_GRADE : AGREE_ANGLE;
    if (r->options.scale != AGREE_GRADE)
        return;
    for (size_t i = 0; n < GRADES_MAX; i++) {
        const struct grade *g = reference_grade_at(r->tools.reference, i, NULL);
        if (g == NULL)
            break;
        if (!g->optional || r->tools.clinic->five_minus)
            r->grades[n++] = g->numeric;
    }
    qsort(r->grades, n, sizeof *r->grades, compare_scores);
    for (size_t i = 0; i < n; i++)
        if (kept == 0 || r->grades[i] != r->grades[kept - 1])
            r->grades[kept++] = r->grades[i];
    r->options.grades = r->grades;
    r->options.n_grades = kept;
}

/* Takes the ratings of the test of the first one, in their order; the rest moves up. */
static size_t take_test(struct agree_rating *all, size_t *n, struct agree_rating *out)
{
    size_t taken = 0, left = 0;
    const char *test = all[0].test;
    for (size_t i = 0; i < *n; i++) {
        if (strcmp(all[i].test, test) == 0)
            out[taken++] = all[i];
        else
            all[left++] = all[i];
    }
    *n = left;
    return taken;
}

static void compute(struct agree_run *r)
{
    size_t n = r->rows.n;
    struct agree_rating *group = mem_alloc((n + 1) * sizeof *group);
    r->results = mem_alloc((n + 1) * sizeof *r->results);
    if (n == 0)
        diag_report(&r->sink, DIAG_AGREE_NONE, (struct diag_pos){0}, NULL, NULL);
    while (n > 0) {
        size_t m = take_test(r->rows.ratings, &n, group);
        struct agree_result *result = agree_compute(group, m, &r->options, &r->sink);
        if (result != NULL)
            r->results[r->n_results++] = result;
    }
    free(group);
}

/* ---- what is written ------------------------------------------------------------------------ */

static xmlDocPtr document(struct agree_run *r)
{
    const struct tools *t = &r->tools;
    struct day_tally *files = arena_alloc(t->arena, (t->n_sources + 1) * sizeof *files);
    for (size_t i = 0; i < t->n_sources; i++) {
        const struct tally *n = &r->rows.tallies[i];
        files[i] = (struct day_tally){import_path(t->sources[i]), n->rows_in, n->used,
                                      n->duplicates, n->held};
    }
    struct findings_class class = {
        .clinic = t->clinic, .reference = t->reference, .program_version = ENDFEEL_VERSION,
        .results = (const struct agree_result *const *)r->results, .n_results = r->n_results,
        .files = files, .n_files = t->n_sources,
        .problems = r->problems.items, .n_problems = r->problems.n};
    return findings_agree_document(&class);
}

static bool print(struct agree_run *r)
{
    struct buf out;
    buf_init(&out, OUT_MAX);
    if (r->tools.options->format == FORMAT_XML) {
        xmlChar *bytes = NULL;
        int len = 0;
        xmlDocPtr doc = document(r);
        xmlDocDumpFormatMemoryEnc(doc, &bytes, &len, "UTF-8", 1);
        buf_add(&out, bytes, (size_t)len);
        xmlFree(bytes);
        findings_free(doc);
    } else {
        for (size_t i = 0; i < r->n_results; i++)
            agree_csv(r->results[i], i == 0, &out);
    }
    bool ok = sheet_print(r->tools.options, &out, &r->sink);
    buf_release(&out);
    return ok;
}

static bool set_sheet(struct agree_run *r)
{
    xmlDocPtr doc = document(r);
    int lock = sheet_lock(&r->tools, &r->sink);
    bool ok = lock >= 0 && sheet_write(&r->tools, doc, "agree.pdf", &r->refused, &r->sink);
    lock_drop(lock);
    findings_free(doc);
    if (r->refused)
        diag_report(&r->sink, DIAG_DOCUMENT_REFUSED, (struct diag_pos){0}, NULL, "kind agree");
    return ok || r->refused;
}

static void say_tallies(const struct agree_run *r)
{
    const struct tools *t = &r->tools;
    if (t->options->quiet)
        return;
    for (size_t i = 0; i < t->n_sources; i++) {
        const struct tally *n = &r->rows.tallies[i];
        fprintf(stderr, "%s: %ld rows in = %ld used + %ld duplicates + %ld held back\n",
                import_path(t->sources[i]), n->rows_in, n->used, n->duplicates, n->held);
    }
}

static enum status work(struct agree_run *r)
{
    const struct batch_options *o = r->tools.options;
    r->tools.table = &class_table;
    inputs_open(&r->tools, &r->lost, &r->sink);
    if (!class_read(&r->rows, &r->tools, r->options.scale, &r->sink))
        r->lost++;
    compute(r);
    class_settle(&r->rows);
    say_tallies(r);
    bool ok = r->n_results == 0 || (o->prints ? print(r) : set_sheet(r));
    if (!ok)
        return STATUS_SYSTEM;
    return r->lost > 0 || r->sink.count[DIAG_ERROR] > 0 ? STATUS_HELD_BACK : STATUS_OK;
}

enum status agree_run(const struct batch_options *options)
{
    struct agree_run r = {.sink = {.put = on_diag}};
    r.sink.user = &r;
    diag_list_init(&r.problems);
    enum status status =
        tools_load_sheet(&r.tools, options, options->prints ? NULL : "agree", "agree", &r.sink);
    if (status == STATUS_OK) {
        settle_scale(&r);
        status = work(&r);
        class_release(&r.rows);
    }
    for (size_t i = 0; i < r.n_results; i++)
        agree_free(r.results[i]);
    free(r.results);
    diag_list_release(&r.problems);
    tools_release(&r.tools);
    return status;
}
