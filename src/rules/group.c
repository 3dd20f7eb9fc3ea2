/*
 * Readings to rows: one row per motion, side, digit, test, timing, position, muscle and, where
 * two people measured, measurer. Tries are averaged; what carries no number keeps a row without
 * one. Readings by another tool or technique are rows of their own: their numbers do not mean
 * the same.
 */
#include "rules/rules_int.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- which readings belong together ------------------------------------------------------- */

static bool has_number(const struct measurement *m)
{
    return model_has_number(m->status);
}

static enum unit unit_of(const struct measurement *m)
{
    if (m->test == TEST_MMT)
        return UNIT_NONE;
    return m->test == TEST_FORCE ? UNIT_N : m->unit;
}

/* What the readings of one row have stated so far. */
struct key {
    const struct measurement *first;
    const char *tool, *measured_by;
    enum instrument instrument;
    enum technique technique;
    enum role role;
    const struct measurement *number; /* the first reading with a number; NULL when none */
    size_t n;
};

static bool tools_agree(const struct key *k, const struct measurement *m)
{
    if (k->instrument != INSTRUMENT_UNKNOWN && m->instrument != INSTRUMENT_UNKNOWN)
        return k->instrument == m->instrument;
    return rules_text_fit(k->tool, m->tool) != FIT_NO;
}

static bool numbers_agree(const struct key *k, const struct measurement *m)
{
    if (!has_number(m) || k->number == NULL)
        return true;
    bool techniques = k->technique == m->technique || k->technique == TECHNIQUE_NONE ||
                      m->technique == TECHNIQUE_NONE;
    return unit_of(k->number) == unit_of(m) && k->number->fixed == m->fixed && techniques &&
           tools_agree(k, m);
}

/* By name; where one is not named, a student and somebody who is none are two people still: their
 * readings are never tries of one another. */
static bool people_agree(const struct key *k, const struct measurement *m)
{
    enum fit fit = rules_text_fit(k->measured_by, m->measured_by);
    return fit != FIT_NO && !rules_one_is_student(k->role, m->role);
}

static bool belongs(const struct key *k, const struct measurement *m)
{
    const struct measurement *f = k->first;
    return f->motion == m->motion && f->side == m->side && f->digit == m->digit &&
           f->test == m->test && (f->timing == TIMING_AFTER) == (m->timing == TIMING_AFTER) &&
           rules_text_fit(f->position, m->position) == FIT_SAME &&
           rules_text_fit(f->muscle, m->muscle) == FIT_SAME &&
           people_agree(k, m) && numbers_agree(k, m);
}

/* What a number was taken with stands over what one that was not taken would have been. */
static void take_number(struct key *k, const struct measurement *m)
{
    k->number = m;
    if (!str_is_empty(m->tool)) {
        k->tool = m->tool;
        k->instrument = m->instrument;
    }
    if (m->technique != TECHNIQUE_NONE)
        k->technique = m->technique;
}

static void join(struct key *k, const struct measurement *m)
{
    if (k->number == NULL && has_number(m))
        take_number(k, m);
    if (str_is_empty(k->measured_by))
        k->measured_by = m->measured_by;
    if (str_is_empty(k->tool))
        k->tool = m->tool;
    if (k->instrument == INSTRUMENT_UNKNOWN)
        k->instrument = m->instrument;
    if (k->technique == TECHNIQUE_NONE)
        k->technique = m->technique;
    if (k->role == ROLE_NONE)
        k->role = m->role;
    k->n++;
}

/* Readings are sorted by motion, side, digit and test, so a row's readings lie in one stretch. */
static size_t assign(const struct visit *visit, struct key *keys, size_t *row_of)
{
    size_t n_keys = 0, stretch = 0;
    for (size_t i = 0; i < visit->n_measurements; i++) {
        const struct measurement *m = &visit->measurements[i];
        if (i > 0 && model_measurement_compare(m - 1, m) != 0)
            stretch = n_keys;
        size_t row = stretch;
        while (row < n_keys && !belongs(&keys[row], m))
            row++;
        if (row == n_keys)
            keys[n_keys++] = (struct key){.first = m};
        join(&keys[row], m);
        row_of[i] = row;
    }
    return n_keys;
}

/* ---- one row ------------------------------------------------------------------------------ */

/* Numbered tries come in the order of their numbers, whatever the order of their rows. */
static void put_in_order(struct finding *f)
{
    for (size_t i = 0; i < f->n_from; i++)
        if (f->from[i]->try_no == 0)
            return;
    for (size_t i = 1; i < f->n_from; i++) {
        const struct measurement *m = f->from[i];
        size_t at = i;
        for (; at > 0 && f->from[at - 1]->try_no > m->try_no; at--)
            f->from[at] = f->from[at - 1];
        f->from[at] = m;
    }
}

/* All tries of a row, however many rows of the file they came in. */
static double *gather(const struct finding *f, struct arena *a, size_t *n)
{
    double *all = arena_alloc(a, f->n_from * TRIES_MAX * sizeof *all);
    *n = 0;
    for (size_t i = 0; i < f->n_from; i++) {
        const struct measurement *m = f->from[i];
        for (int k = 0; k < m->n_tries; k++)
            all[(*n)++] = m->tries[k];
    }
    return all;
}

static void take_tries(struct finding *f, const struct visit_findings *v, struct arena *a)
{
    size_t n;
    double *all = gather(f, a, &n);
    double mean = rules_mean(all, n);
    f->sd = rules_sd(all, n);
    f->n_tries = (int)n;
    if (n > TRIES_MAX) {
        f->n_tries = TRIES_MAX;
        f->n_unlisted = (int)n - TRIES_MAX;
        rules_flag(f, "more-tries-than-listed");
    }
    memcpy(f->tries, all, (size_t)f->n_tries * sizeof *all);
    if (f->test == TEST_FORCE)
        f->force_n = num_of(mean);
    else
        f->end = num_of(mean);
    for (size_t i = 0; i < n && f->unit == UNIT_DEG; i++)
        if (rules_over(fabs(all[i] - mean), v->clinic->tries_apart_deg))
            rules_flag(f, "tries-apart");
}

static void take_start(struct finding *f)
{
    double sum = 0;
    int n = 0;
    for (size_t i = 0; i < f->n_from; i++) {
        if (!has_number(f->from[i]) || !f->from[i]->start.has)
            continue;
        sum += f->from[i]->start.value;
        n++;
    }
    if (n > 0)
        f->start = num_of(sum / n);
}

/* Grades cannot be averaged: two that differ are a contradiction, and no number is used. */
static void take_grade(struct finding *f)
{
    for (size_t i = 0; i < f->n_from; i++) {
        const struct measurement *m = f->from[i];
        if (!has_number(m) || m->grade == NULL)
            continue;
        if (f->grade != NULL && f->grade->ordinal != m->grade->ordinal) {
            f->grade = NULL;
            f->status = READING_HELD_BACK;
            rules_flag(f, "grades-differ");
            return;
        }
        f->grade = m->grade;
    }
}

/* One estimate makes the mean an estimate. Where no reading has a number, the row says the
 * strongest of what was said instead. */
static void take_status(struct finding *f)
{
    static const enum reading_status order[] = {
        READING_ESTIMATED, READING_MEASURED,       READING_HELD_BACK,   READING_NOT_TESTED,
        READING_NO_ANGLE,  READING_NOT_APPLICABLE, READING_NOT_RECORDED};
    bool found = false;
    for (size_t k = 0; k < ARRAY_LEN(order) && !found; k++) {
        for (size_t i = 0; i < f->n_from; i++) {
            if (f->from[i]->status != order[k])
                continue;
            found = true;
            f->status = order[k];
            if (f->status_reason == NULL)
                f->status_reason = f->from[i]->status_reason;
        }
    }
}

static void take_pain(struct finding *f, const struct measurement *m)
{
    f->pain |= m->pain;
    if (m->pain_low.has && (!f->pain_low.has || m->pain_low.value < f->pain_low.value))
        f->pain_low = m->pain_low;
    if (m->pain_high.has && (!f->pain_high.has || m->pain_high.value > f->pain_high.value))
        f->pain_high = m->pain_high;
}

static void take_notes(struct finding *f, const struct measurement *m)
{
    for (int i = 0; i < m->n_notes; i++) {
        int k = 0;
        while (k < f->n_notes && f->notes[k] != m->notes[i])
            k++;
        if (k == f->n_notes && k < NOTES_MAX)
            f->notes[f->n_notes++] = m->notes[i];
    }
}

static void take_words(struct finding *f)
{
    bool number = false, other = false;
    for (size_t i = 0; i < f->n_from; i++) {
        const struct measurement *m = f->from[i];
        take_pain(f, m);
        take_notes(f, m);
        if (f->end_feel == END_FEEL_NONE)
            f->end_feel = m->end_feel;
        if (f->role == ROLE_NONE)
            f->role = m->role;
        number |= has_number(m);
        other |= !has_number(m);
    }
    if (number && other)
        rules_flag(f, "tries-incomplete");
}

static void fill(struct finding *f, const struct visit_findings *v, const struct key *k,
                 struct arena *a)
{
    const struct measurement *m = k->first;
    f->motion = m->motion;
    f->side = m->side;
    f->digit = m->digit;
    f->test = m->test;
    f->timing = m->timing;
    f->position = m->position;
    f->muscle = m->muscle;
    f->tool = k->tool;
    f->instrument = k->instrument;
    f->measured_by = k->measured_by;
    f->icf = -1;
    f->unit = k->number == NULL ? unit_of(m) : unit_of(k->number);
    if (f->unit == UNIT_NONE && rules_is_rom(f))
        f->unit = m->motion->unit;
    f->fixed = k->number != NULL && k->number->fixed;
    take_status(f);
    take_words(f);
    if (!model_has_number(f->status))
        return;
    if (f->test == TEST_MMT) {
        take_grade(f);
        return;
    }
    take_tries(f, v, a);
    if (f->test == TEST_FORCE)
        rules_torque(f, v->visit);
    else
        take_start(f);
}

/* ---- order and measurers ------------------------------------------------------------------ */

static int by_number(long a, long b)
{
    return (a > b) - (a < b);
}

static int by_text(const char *a, const char *b)
{
    return strcmp(a == NULL ? "" : a, b == NULL ? "" : b);
}

/* Whose row is used where two people measured the same: one with a number before one without,
 * then a therapist before an assistant, and a student last. */
static int rank_of(const struct finding *f)
{
    static const int rank[] = {
        [ROLE_PT] = 0, [ROLE_PTA] = 1, [ROLE_NONE] = 2, [ROLE_OTHER] = 2, [ROLE_STUDENT] = 3};
    return rank[f->role] + (model_has_number(f->status) ? 0 : (int)ARRAY_LEN(rank));
}

static int by_place(const struct finding *a, const struct finding *b)
{
    int order = by_number(a->motion->order, b->motion->order);
    if (order == 0)
        order = by_number(a->side, b->side);
    if (order == 0)
        order = by_number(a->digit, b->digit);
    if (order == 0)
        order = by_number(a->test, b->test);
    if (order == 0)
        order = by_number(rules_is_after(a), rules_is_after(b));
    if (order == 0)
        order = by_text(a->position, b->position);
    return order == 0 ? by_text(a->muscle, b->muscle) : order;
}

/* Readings of one visit lie in one array, so their addresses are the order of the file. */
static const struct measurement *first_of(const struct finding *f)
{
    const struct measurement *first = f->from[0];
    for (size_t i = 1; i < f->n_from; i++)
        first = f->from[i] < first ? f->from[i] : first;
    return first;
}

static int by_row(const void *x, const void *y)
{
    const struct finding *a = x, *b = y;
    int order = by_place(a, b);
    if (order == 0)
        order = by_number(rank_of(a), rank_of(b));
    return order == 0 ? by_number(first_of(a) > first_of(b), first_of(a) < first_of(b)) : order;
}

static void compare_measurers(struct visit_findings *v, struct finding *used, struct finding *next)
{
    if (rules_rater_fit(used, next) != FIT_NO)
        return;
    next->second_measurer = true;
    next->used = used;
    rules_flag(next, "second-measurer");
    struct num a = rules_value(used), b = rules_value(next);
    if (a.has && b.has && used->unit == next->unit)
        next->rater_difference = num_of(b.value - a.value);
    if (rules_is_rom(used) && used->unit == UNIT_DEG && next->unit == UNIT_DEG && a.has && b.has &&
        rules_over(fabs(a.value - b.value), v->clinic->tolerance_deg)) {
        rules_flag(used, "measurers-differ");
        rules_flag(next, "measurers-differ");
    }
}

static void mark_second_measurers(struct visit_findings *v)
{
    for (size_t from = 0, to; from < v->n_rows; from = to) {
        for (to = from + 1; to < v->n_rows && by_place(&v->rows[from], &v->rows[to]) == 0; to++)
            compare_measurers(v, &v->rows[from], &v->rows[to]);
    }
}

void rules_group(struct visit_findings *v, struct arena *a)
{
    const struct visit *visit = v->visit;
    size_t n = visit->n_measurements;
    struct key *keys = arena_alloc(a, n * sizeof *keys);
    size_t *row_of = arena_alloc(a, n * sizeof *row_of);
    v->n_rows = assign(visit, keys, row_of);
    v->rows = arena_alloc(a, v->n_rows * sizeof *v->rows);
    for (size_t r = 0; r < v->n_rows; r++)
        v->rows[r].from = arena_alloc(a, keys[r].n * sizeof *v->rows[r].from);
    for (size_t i = 0; i < n; i++) {
        struct finding *f = &v->rows[row_of[i]];
        f->from[f->n_from++] = &visit->measurements[i];
    }
    for (size_t r = 0; r < v->n_rows; r++) {
        put_in_order(&v->rows[r]);
        fill(&v->rows[r], v, &keys[r], a);
    }
    qsort(v->rows, v->n_rows, sizeof *v->rows, by_row);
    mark_second_measurers(v);
}
