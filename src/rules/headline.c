/*
 * The tally of a visit and what is told first: problems of identity or side, then the reading that
 * matters most. That is one past a limit on file, else a loss beyond error, else the largest
 * deficit in the terms of the ICF, else the best gain beyond error, else the largest change that
 * was compared at all.
 *
 * Only rows that speak for the visit count: not those after treatment, not the second measurer's,
 * not a passive reading in doubt. A limit was passed whoever measured, and whenever.
 */
#include "rules/rules_int.h"

#include <math.h>

static bool counts(const struct finding *f)
{
    return !rules_is_after(f) && !f->second_measurer;
}

static bool is_judged(const struct comparison *c)
{
    return c->verdict == VERDICT_WITHIN_ERROR || c->verdict == VERDICT_PROBABLE ||
           c->verdict == VERDICT_BEYOND_ERROR;
}

static bool is_beyond(const struct comparison *c)
{
    return c->verdict == VERDICT_BEYOND_ERROR && c->change.has;
}

static void tally(struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        if (!counts(f))
            continue;
        v->n_measured += model_has_number(f->status);
        v->n_missing +=
            !model_has_number(f->status) && f->status != READING_NOT_APPLICABLE;
        v->n_limited += f->limited == LIMITED_YES;
        v->n_below_handbook += f->limited == LIMITED_BELOW_HANDBOOK;
        v->n_compared += is_judged(&f->previous);
        v->n_better += is_beyond(&f->previous) && f->previous.change.value > 0 &&
                       !rules_is_past_limit(f);
        v->n_worse += is_beyond(&f->previous) && f->previous.change.value < 0;
    }
}

/* ---- problems told first -------------------------------------------------------------------- */

static bool is_one_of(enum diag_code code, const enum diag_code *codes, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (codes[i] == code)
            return true;
    return false;
}

static bool is_field(const struct diag *d, const char *const *fields, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (d->code == DIAG_FACT_CONTRADICTS && str_eq_nocase(d->pos.field, fields[i]))
            return true;
    return false;
}

static bool is_of_identity(const struct diag *d)
{
    static const enum diag_code codes[] = {DIAG_ID_SHORTENED, DIAG_ID_UNFIT, DIAG_TWO_PEOPLE,
                                           DIAG_BEFORE_BIRTH, DIAG_AGE_UNFIT};
    static const char *const fields[] = {"name", "birth_date", "sex"};
    return is_one_of(d->code, codes, ARRAY_LEN(codes)) || is_field(d, fields, ARRAY_LEN(fields));
}

static bool is_of_side(const struct diag *d)
{
    static const enum diag_code codes[] = {
        DIAG_SIDE_MISSING,       DIAG_SIDE_ON_MIDLINE,    DIAG_SIDE_MIDLINE_UNFIT,
        DIAG_CELL_SIDE_INSIDE,   DIAG_CELL_SIDE_BOTH,     DIAG_CELL_SIDE_LANGUAGE,
        DIAG_CELL_SIDE_RELATIVE, DIAG_CELL_SIDE_UNKNOWN,  DIAG_PART_CONTRADICTS};
    static const char *const fields[] = {"affected_side"};
    return is_one_of(d->code, codes, ARRAY_LEN(codes)) || is_field(d, fields, ARRAY_LEN(fields));
}

static void find_problems(struct visit_findings *v)
{
    size_t identity = 0, side = 0;
    for (size_t i = 0; i < v->visit->n_problems; i++) {
        identity += is_of_identity(&v->visit->problems[i]);
        side += is_of_side(&v->visit->problems[i]);
    }
    if (identity + side == 0)
        return;
    v->check_first = identity > 0 ? "identity" : "side";
    v->n_check_first = identity > 0 ? identity : side;
}

/* ---- the row told first -------------------------------------------------------------------- */

/* A change in units of its own limit, so that motions, tools and grades compare; 0 when there is
 * none. A change beyond error since the last visit speaks before one since the first. */
static double change_of(const struct finding *f)
{
    const struct comparison *c = &f->previous;
    if (!is_beyond(c) && is_beyond(&f->first))
        c = &f->first;
    return is_beyond(c) && c->error.limit.has ? c->change.value / c->error.limit.value : 0;
}

static double loss(const struct visit_findings *v, const struct finding *f)
{
    (void)v;
    return -change_of(f);
}

static double gain(const struct visit_findings *v, const struct finding *f)
{
    (void)v;
    return change_of(f);
}

/* How far past: degrees for a range; a test that should not have been done goes before any. */
static double past_limit(const struct visit_findings *v, const struct finding *f)
{
    const double forbidden = 1000;
    (void)v;
    if (!rules_is_past_limit(f))
        return 0;
    const struct limit *l = f->limit->limit;
    return l->kind == LIMIT_RANGE ? 1 + fabs(f->end.value - l->value.value) : forbidden;
}

/* One more than the band of the ICF, and 0 for what is not limited. Where the normal value is 0
 * there is no percent, and degrees short of it stand in. */
static int severity(const struct visit_findings *v, const struct finding *f)
{
    static const enum threshold_id starts[] = {THRESHOLD_LOSS_MILD, THRESHOLD_LOSS_MODERATE,
                                               THRESHOLD_LOSS_SEVERE};
    int grade = 1;
    if (f->limited != LIMITED_YES)
        return 0;
    if (f->icf >= 0)
        return grade + f->icf;
    if (f->unit != UNIT_DEG)
        return 2; /* millimetres and centimetres have no bands */
    double whole = num_round(f->deficit.value, 0);
    for (size_t i = 0; i < ARRAY_LEN(starts); i++)
        grade += rules_at_least(whole, reference_threshold(v->ref, starts[i]));
    return grade;
}

/* Severity first, then the affected side, then degrees over the error limit, without which nothing
 * is limited. */
static double deficit(const struct visit_findings *v, const struct finding *f)
{
    const double step = 10000, half_step = 5000; /* more degrees than any joint has */
    int grade = severity(v, f);
    if (grade == 0)
        return 0;
    double over = f->deficit.value - f->error.limit.value;
    return step * grade + (v->patient->affected_side == f->side ? half_step : 0) + over;
}

static double compared(const struct visit_findings *v, const struct finding *f)
{
    (void)v;
    const struct comparison *c = &f->previous;
    if (!is_judged(c) || !c->error.limit.has)
        return 0;
    /* An unchanged reading was compared too. */
    return fabs(c->change.value) / c->error.limit.value + 1;
}

static bool is_gain(const struct finding *f)
{
    return change_of(f) > 0;
}

/* The active reading speaks for a motion whose active and passive loss are of one severity, or that
 * gained beyond error both ways: it is what the person can do. */
static const struct finding *active_of(const struct visit_findings *v, const struct finding *f)
{
    if (f->test != TEST_PROM)
        return f;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *active = &v->rows[i];
        if (active->test == TEST_AROM && active->motion == f->motion && active->side == f->side &&
            active->digit == f->digit && counts(active) && severity(v, active) == severity(v, f) &&
            (severity(v, f) > 0 || is_gain(active)))
            return active;
    }
    return f;
}

typedef double weight(const struct visit_findings *v, const struct finding *f);

static const struct finding *heaviest(const struct visit_findings *v, weight *weigh)
{
    const struct finding *found = NULL;
    double most = 0;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        bool speaks = weigh == past_limit || (counts(f) && !rules_is_doubtful(f));
        double weight_of = speaks ? weigh(v, f) : 0;
        if (weight_of > most) {
            most = weight_of;
            found = f;
        }
    }
    return found;
}

void rules_headline(struct visit_findings *v, struct arena *a)
{
    (void)a;
    static weight *const weights[] = {past_limit, loss, deficit, gain, compared};
    tally(v);
    find_problems(v);
    for (size_t w = 0; w < ARRAY_LEN(weights) && v->headline == NULL; w++) {
        v->headline = heaviest(v, weights[w]);
        if (v->headline != NULL && (weights[w] == deficit || weights[w] == gain))
            v->headline = active_of(v, v->headline);
    }
}
