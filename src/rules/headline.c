/*
 * The tally of a visit and the row that is told first: a loss beyond error, else the largest
 * percent missing among limited motions (of the affected side before any), else the best gain
 * beyond error, else the largest change that was compared at all.
 *
 * Only rows that speak for the visit count: not those after treatment, not the second measurer's,
 * not a passive reading in doubt.
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
        v->n_better += is_beyond(&f->previous) && f->previous.change.value > 0;
        v->n_worse += is_beyond(&f->previous) && f->previous.change.value < 0;
    }
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

/* Percent missing; where there is none, degrees over a right angle stand in for it. */
static double missing(const struct finding *f)
{
    const double right_angle = 90;
    if (f->limited != LIMITED_YES)
        return 0;
    return f->deficit_percent.has ? f->deficit_percent.value : 100 * f->deficit.value / right_angle;
}

static double missing_affected(const struct visit_findings *v, const struct finding *f)
{
    return v->patient->affected_side == f->side ? missing(f) : 0;
}

static double missing_any(const struct visit_findings *v, const struct finding *f)
{
    (void)v;
    return missing(f);
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

void rules_headline(struct visit_findings *v, struct arena *a)
{
    (void)a;
    static double (*const weights[])(const struct visit_findings *, const struct finding *) = {
        loss, missing_affected, missing_any, gain, compared};
    tally(v);
    for (size_t w = 0; w < ARRAY_LEN(weights) && v->headline == NULL; w++) {
        double most = 0;
        for (size_t i = 0; i < v->n_rows; i++) {
            const struct finding *f = &v->rows[i];
            double weight = counts(f) && !rules_is_doubtful(f) ? weights[w](v, f) : 0;
            if (weight > most) {
                most = weight;
                v->headline = f;
            }
        }
    }
}
