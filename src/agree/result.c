/* The result: readings into a table, the table into rows, and the look-ups on both. */
#include "agree/agree_int.h"

#include <assert.h>
#include <stdlib.h>

static bool is_complete(const struct agree_table *t, size_t subject, size_t n_class)
{
    for (size_t j = 0; j < n_class; j++)
        if (!t->cells[subject * t->n_raters + j].value.has)
            return false;
    return true;
}

/* What one value of an angle stands for, from the counts of tries. */
static const char *basis_of(const struct agree_table *t)
{
    int least = 0, most = 0;
    for (size_t i = 0; i < t->n_subjects * t->n_raters; i++) {
        int n = t->cells[i].n_tries;
        if (n > 0 && (least == 0 || n < least))
            least = n;
        most = n > most ? n : most;
    }
    if (most < 2)
        return "";
    if (t->scale == AGREE_GRADE)
        return "first try of each rater";
    if (least == most)
        return arena_printf(t->arena, "means of %d tries", most);
    return arena_printf(t->arena, "means of %d to %d tries", least, most);
}

static void add_counts(struct agree_build *b)
{
    const struct agree_table *t = b->t;
    size_t used = t->n_subjects, gaps = used - b->n_complete;
    const char *note = "", *held = "", *instructor = "";
    if (gaps > 0 && t->scale == AGREE_ANGLE)
        note = arena_printf(t->arena,
                            "%zu with a gap: left out of the ICC and the SEM, kept in the figures "
                            "of pairs", gaps);
    else if (gaps > 0)
        note = arena_printf(t->arena, "%zu with a gap: kept in the figures of pairs that graded "
                            "them", gaps);
    if (t->n_held > 0)
        held = arena_printf(t->arena, "%s%zu readings held back", gaps > 0 ? "; " : "",
                            t->n_held);
    if (t->has_instructor)
        instructor = "the instructor is the yardstick and not counted";
    agree_rows_add(&b->rows, "n_subjects", NULL, NULL, agree_estimate_of((double)used),
                   arena_printf(t->arena, "%s%s", note, held));
    agree_rows_add(&b->rows, "n_raters", NULL, NULL, agree_estimate_of((double)b->n_class),
                   instructor);
}

static void fill_result(struct agree_result *r, const struct agree_build *b)
{
    const struct agree_table *t = b->t;
    r->scale = t->scale;
    r->test = t->test;
    r->subjects = t->subjects;
    r->n_subjects = t->n_subjects;
    r->raters = t->raters;
    r->n_raters = b->n_class;
    r->has_instructor = t->has_instructor;
    r->cells = t->cells;
    r->n_complete = b->n_complete;
    r->rows = b->rows.items;
    r->n_rows = b->rows.n;
}

static bool scale_fits(const struct agree_options *o)
{
    if (o->scale == AGREE_ANGLE)
        return true;
    for (size_t i = 1; i < o->n_grades; i++)
        if (o->grades[i] <= o->grades[i - 1])
            return false;
    return o->n_grades >= 2 && o->n_grades <= AGREE_GRADES_MAX;
}

struct agree_result *agree_compute(const struct agree_rating *ratings, size_t n,
                                   const struct agree_options *options, struct diag_sink *sink)
{
    assert(scale_fits(options));
    struct agree_table t = {.arena = arena_new()};
    if (!agree_table_read(&t, ratings, n, options, sink)) {
        arena_free(t.arena);
        return NULL;
    }
    struct agree_build b = {.t = &t, .options = options, .rows = {.arena = t.arena}};
    b.n_class = t.n_raters - t.has_instructor;
    for (size_t i = 0; i < t.n_subjects; i++)
        b.n_complete += b.n_class > 0 && is_complete(&t, i, b.n_class);
    b.basis = basis_of(&t);
    add_counts(&b);
    if (t.scale == AGREE_ANGLE)
        agree_build_angles(&b);
    else
        agree_build_grades(&b);
    struct agree_result *r = mem_alloc(sizeof *r);
    fill_result(r, &b);
    r->arena = t.arena;
    return r;
}

void agree_free(struct agree_result *r)
{
    if (r == NULL)
        return;
    arena_free(r->arena);
    free(r);
}

const struct agree_cell *agree_cell_at(const struct agree_result *r, size_t subject, size_t rater)
{
    assert(subject < r->n_subjects && rater < r->n_raters + r->has_instructor);
    return &r->cells[subject * (r->n_raters + r->has_instructor) + rater];
}

const struct agree_row *agree_row_of(const struct agree_result *r, const char *quantity,
                                     const char *a, const char *b)
{
    for (size_t i = 0; i < r->n_rows; i++)
        if (str_eq(r->rows[i].quantity, quantity) && str_eq(r->rows[i].a, a) &&
            str_eq(r->rows[i].b, b))
            return &r->rows[i];
    return NULL;
}
