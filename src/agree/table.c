/*
 * From rows to a table of subjects by raters. Names are held together exactly as written. A row
 * that cannot be used, or that contradicts another, is reported and held back: its cell is a gap
 * unless other tries fill it.
 */
#include "agree/agree_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { VALUE_MAX = 1000000 }; /* beyond any reading; keeps sums of squares exact enough */

/* ---- names -------------------------------------------------------------------------------- */

struct names {
    struct arena *arena;
    const char **items;
    size_t n, max;
    size_t *slots; /* index + 1 by hash; twice as many as names, so that search ends */
    size_t n_slots;
};

static void names_start(struct names *s, struct arena *a, size_t max)
{
    *s = (struct names){.arena = a, .max = max, .n_slots = 2 * max + 1};
    s->items = arena_alloc(a, (max + 1) * sizeof *s->items);
    s->slots = arena_alloc(a, s->n_slots * sizeof *s->slots);
}

/* Index of the name, added when new; `max` when there is no room. */
static size_t names_index(struct names *s, const char *name)
{
    size_t slot = (size_t)(hash_fnv1a64(name, strlen(name)) % s->n_slots);
    while (s->slots[slot] != 0) {
        if (strcmp(s->items[s->slots[slot] - 1], name) == 0)
            return s->slots[slot] - 1;
        slot = (slot + 1) % s->n_slots;
    }
    if (s->n == s->max)
        return s->max;
    s->items[s->n] = arena_strdup(s->arena, name);
    s->slots[slot] = ++s->n;
    return s->n - 1;
}

/* ---- rows --------------------------------------------------------------------------------- */

struct reading {
    struct agree_try t;
    const struct agree_rating *from;
    size_t order;
    bool dropped;
};

struct reader {
    struct agree_table *t;
    const struct agree_options *options;
    struct diag_sink *sink;
    struct names subjects, raters;
    struct reading *readings;
    size_t n;
    bool full;
};

static void hold(struct reader *r, const struct agree_rating *row, enum diag_code code,
                 const char *detail)
{
    diag_report(r->sink, code, row->pos, NULL, "%s", detail);
    if (diag_outcome(code) == OUTCOME_HELD_BACK)
        r->t->n_held++;
}

static bool name_fits(const char *name)
{
    return !str_is_empty(name) && strlen(name) <= AGREE_NAME_MAX;
}

static bool is_grade(const struct agree_options *o, double value)
{
    for (size_t i = 0; i < o->n_grades; i++)
        if (value == o->grades[i])
            return true;
    return false;
}

static bool value_fits(const struct agree_options *o, double value)
{
    if (!isfinite(value) || fabs(value) > VALUE_MAX)
        return false;
    return o->scale == AGREE_ANGLE || is_grade(o, value);
}

/* A colon would make the column `raters` of the output ambiguous. */
static bool row_fits(struct reader *r, const struct agree_rating *row)
{
    if (!name_fits(row->subject))
        hold(r, row, DIAG_AGREE_NAME, "subject");
    else if (!name_fits(row->rater) || strchr(row->rater, ':') != NULL)
        hold(r, row, DIAG_AGREE_NAME, "rater");
    else if (!value_fits(r->options, row->value))
        hold(r, row, DIAG_AGREE_VALUE, r->options->scale == AGREE_GRADE ? "grade" : "angle");
    else if (row->try < 0)
        hold(r, row, DIAG_AGREE_TRIES, "try");
    else
        return true;
    return false;
}

static void read_row(struct reader *r, const struct agree_rating *row, size_t order)
{
    if (!row_fits(r, row))
        return;
    size_t subject = names_index(&r->subjects, row->subject);
    size_t rater = names_index(&r->raters, row->rater);
    if (subject == r->subjects.max || rater == r->raters.max) {
        if (!r->full)
            diag_report(r->sink, DIAG_AGREE_MANY, row->pos, NULL, "%d subjects, %d raters",
                        AGREE_SUBJECTS_MAX, AGREE_RATERS_MAX);
        r->full = true;
        return;
    }
    r->readings[r->n++] =
        (struct reading){{subject, rater, row->try, row->value}, row, order, false};
}

static int compare_size(size_t a, size_t b)
{
    return (a > b) - (a < b);
}

static int compare_readings(const void *pa, const void *pb)
{
    const struct reading *a = pa, *b = pb;
    int c = compare_size(a->t.subject, b->t.subject);
    if (c == 0)
        c = compare_size(a->t.rater, b->t.rater);
    if (c == 0)
        c = (a->t.try > b->t.try) - (a->t.try < b->t.try);
    return c != 0 ? c : compare_size(a->order, b->order);
}

/* ---- cells -------------------------------------------------------------------------------- */

/* Readings of one cell and try: the same value again is a duplicate, another value makes all of
 * them doubtful. */
static void settle_try(struct reader *r, struct reading *first, size_t n, bool beside_numbered)
{
    bool same = true;
    for (size_t i = 1; i < n; i++)
        same = same && first[i].t.value == first[0].t.value;
    for (size_t i = 0; i < n; i++) {
        if (!same || beside_numbered) {
            hold(r, first[i].from, DIAG_AGREE_TRIES, "try");
            first[i].dropped = true;
        } else if (i > 0) {
            hold(r, first[i].from, DIAG_AGREE_DUPLICATE, "");
            first[i].dropped = true;
        }
    }
}

static size_t run_length(const struct reading *first, const struct reading *end, bool by_try)
{
    const struct reading *x = first;
    while (x < end && x->t.subject == first->t.subject && x->t.rater == first->t.rater &&
           (!by_try || x->t.try == first->t.try))
        x++;
    return (size_t)(x - first);
}

static void settle_cell(struct reader *r, struct reading *first, size_t n)
{
    for (size_t i = 0; i < n;) {
        size_t m = run_length(first + i, first + n, true);
        settle_try(r, first + i, m, first[i].t.try == 0 && m < n);
        i += m;
    }
}

static void fill_cell(struct agree_table *t, const struct agree_try *tries, size_t n)
{
    struct agree_cell *cell = &t->cells[tries->subject * t->n_raters + tries->rater];
    double *values = mem_alloc(n * sizeof *values);
    for (size_t i = 0; i < n; i++)
        values[i] = tries[i].value;
    cell->n_tries = (int)n;
    cell->value = num_of(t->scale == AGREE_GRADE ? values[0] : agree_spread_of(values, n).mean);
    free(values);
}

static void fill_cells(struct agree_table *t)
{
    t->cells = arena_alloc(t->arena, (t->n_subjects * t->n_raters + 1) * sizeof *t->cells);
    for (size_t i = 0; i < t->n_tries;) {
        const struct agree_try *first = &t->tries[i];
        size_t n = 1;
        while (i + n < t->n_tries && first[n].subject == first->subject &&
               first[n].rater == first->rater)
            n++;
        fill_cell(t, first, n);
        i += n;
    }
}

static void settle_cells(struct reader *r)
{
    size_t kept = 0;
    qsort(r->readings, r->n, sizeof *r->readings, compare_readings);
    for (size_t i = 0; i < r->n;) {
        size_t n = run_length(&r->readings[i], &r->readings[r->n], false);
        settle_cell(r, &r->readings[i], n);
        i += n;
    }
    for (size_t i = 0; i < r->n; i++)
        if (!r->readings[i].dropped)
            r->readings[kept++] = r->readings[i];
    r->n = kept;
}

/* Takes out the names without a reading and gives the new index of each old one. */
static size_t *keep_used(struct names *s, const bool *used)
{
    size_t *index = arena_alloc(s->arena, (s->n + 1) * sizeof *index), n = 0;
    for (size_t i = 0; i < s->n; i++) {
        index[i] = n;
        s->items[n] = s->items[i];
        n += used[i];
    }
    s->n = n;
    return index;
}

/* A name whose readings were all held back is no subject and no rater: it would make every other
 * row of the table one with a gap. */
static void drop_unused_names(struct reader *r)
{
    struct arena *a = r->t->arena;
    bool *subject = arena_alloc(a, r->subjects.n + 1), *rater = arena_alloc(a, r->raters.n + 1);
    for (size_t i = 0; i < r->n; i++)
        subject[r->readings[i].t.subject] = rater[r->readings[i].t.rater] = true;
    const size_t *new_subject = keep_used(&r->subjects, subject);
    const size_t *new_rater = keep_used(&r->raters, rater);
    for (size_t i = 0; i < r->n; i++) {
        struct agree_try *t = &r->readings[i].t;
        t->subject = new_subject[t->subject];
        t->rater = new_rater[t->rater];
    }
}

static void take_tries(struct reader *r)
{
    struct agree_table *t = r->t;
    qsort(r->readings, r->n, sizeof *r->readings, compare_readings);
    t->tries = arena_alloc(t->arena, (r->n + 1) * sizeof *t->tries);
    for (size_t i = 0; i < r->n; i++)
        t->tries[t->n_tries++] = r->readings[i].t;
}

/* ---- the instructor ------------------------------------------------------------------------ */

/* Index of the instructor's name, or n_raters. More than one is a question, not a choice. */
static size_t find_instructor(struct reader *r)
{
    size_t found = r->raters.n;
    for (size_t i = 0; i < r->n; i++) {
        size_t rater = r->readings[i].t.rater;
        if (!r->readings[i].from->instructor || rater == found)
            continue;
        if (found < r->raters.n) {
            diag_report(r->sink, DIAG_AGREE_INSTRUCTORS, r->readings[i].from->pos, NULL, NULL);
            return r->raters.n;
        }
        found = rater;
    }
    return found;
}

static void instructor_last(struct reader *r)
{
    struct agree_table *t = r->t;
    size_t instructor = find_instructor(r), last = r->raters.n - 1;
    t->has_instructor = instructor < r->raters.n;
    if (!t->has_instructor)
        return;
    const char *name = t->raters[instructor];
    memmove(&t->raters[instructor], &t->raters[instructor + 1],
            (last - instructor) * sizeof *t->raters);
    t->raters[last] = name;
    for (size_t i = 0; i < r->n; i++) {
        size_t *rater = &r->readings[i].t.rater;
        *rater = *rater == instructor ? last : *rater - (*rater > instructor);
    }
}

/* ---- all ---------------------------------------------------------------------------------- */

static const char *test_of(const struct agree_rating *row)
{
    return row->test == NULL ? "" : row->test;
}

static bool one_test(const struct agree_rating *ratings, size_t n, struct diag_sink *sink)
{
    for (size_t i = 0; i < n; i++) {
        if (strlen(test_of(&ratings[i])) > AGREE_NAME_MAX) {
            diag_report(sink, DIAG_AGREE_NAME, ratings[i].pos, NULL, "test");
            return false;
        }
        if (!str_eq(test_of(&ratings[i]), test_of(&ratings[0]))) {
            diag_report(sink, DIAG_AGREE_TESTS, ratings[i].pos, NULL, NULL);
            return false;
        }
    }
    return true;
}

bool agree_table_read(struct agree_table *t, const struct agree_rating *ratings, size_t n,
                      const struct agree_options *options, struct diag_sink *sink)
{
    struct reader r = {.t = t, .options = options, .sink = sink};
    if (n > 0 && !one_test(ratings, n, sink))
        return false;
    t->scale = options->scale;
    t->test = arena_strdup(t->arena, n > 0 ? test_of(&ratings[0]) : "");
    names_start(&r.subjects, t->arena, n < AGREE_SUBJECTS_MAX ? n : AGREE_SUBJECTS_MAX);
    names_start(&r.raters, t->arena, n < AGREE_RATERS_MAX ? n : AGREE_RATERS_MAX);
    r.readings = mem_alloc((n + 1) * sizeof *r.readings);
    for (size_t i = 0; i < n; i++)
        read_row(&r, &ratings[i], i);
    if (!r.full) {
        settle_cells(&r);
        drop_unused_names(&r);
    }
    t->subjects = r.subjects.items;
    t->n_subjects = r.subjects.n;
    t->raters = r.raters.items;
    t->n_raters = r.raters.n;
    if (r.n > 0 && !r.full) {
        instructor_last(&r);
        take_tries(&r);
        fill_cells(t);
    }
    free(r.readings);
    if (t->n_tries == 0 && !r.full)
        diag_report(sink, DIAG_AGREE_NONE, (struct diag_pos){0}, NULL, NULL);
    return t->n_tries > 0;
}
