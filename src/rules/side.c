/*
 * The other side of the body: today's reading, else the latest earlier one with its date. The
 * difference of two readings carries the error of both, sqrt(2) * 1.96 * SEM, which is the MDC95
 * of one rater. Where two people measured the two sides, a difference between the limits for one
 * rater and for two stays undecided.
 */
#include "rules/rules_int.h"

#include <math.h>

static bool is_other_side(const struct finding *f, const struct finding *other)
{
    return ((f->side == SIDE_RIGHT && other->side == SIDE_LEFT) ||
            (f->side == SIDE_LEFT && other->side == SIDE_RIGHT)) &&
           rules_same_kind(f, other) && rules_value(other).has && !other->second_measurer &&
           rules_position_fit(f, other) != FIT_NO && rules_setup_fit(f, other) != FIT_NO;
}

static int closeness(const struct finding *f, const struct finding *other)
{
    return 2 * (rules_position_fit(f, other) == FIT_SAME) + (rules_setup_fit(f, other) == FIT_SAME);
}

static const struct finding *other_side(const struct visit_findings *v, const struct finding *f)
{
    const struct finding *best = NULL;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *other = &v->rows[i];
        if (is_other_side(f, other) && (best == NULL || closeness(f, other) > closeness(f, best)))
            best = other;
    }
    return best;
}

static const struct finding *earlier_other_side(const struct visit_findings *v, struct finding *f)
{
    for (size_t i = 0; i < v->n_earlier; i++) {
        const struct finding *other = other_side(v->earlier[i], f);
        if (other == NULL || rules_is_doubtful(other))
            continue;
        f->other_date = v->earlier[i]->visit->date;
        return other;
    }
    return NULL;
}

static bool is_estimated(const struct finding *a, const struct finding *b)
{
    return a->status == READING_ESTIMATED || b->status == READING_ESTIMATED;
}

static enum tri judge(const struct visit_findings *v, struct finding *f,
                      const struct finding *other)
{
    double difference = fabs(f->side_difference.value);
    if (!f->error.limit.has || is_estimated(f, other))
        return TRI_UNKNOWN;
    if (!rules_at_least(difference, f->error.limit.value))
        return TRI_NO;
    if (rules_rater_fit(f, other) != FIT_NO)
        return TRI_YES;
    struct error_question q = {.row = f, .instrument = f->instrument, .two_raters = true};
    struct num limit = rules_error_for(v, q).used.limit;
    if (limit.has && rules_at_least(difference, limit.value))
        return TRI_YES;
    rules_flag(f, "other-side-other-rater");
    return TRI_UNKNOWN;
}

/* A ratio needs a true zero: not where the normal end of a motion is 0. */
static bool has_index(const struct finding *f, double other)
{
    bool true_zero = f->test == TEST_FORCE || (f->normal != NULL && f->normal->normal > 0);
    return true_zero && other > 0 && rules_value(f).value >= 0;
}

static void compare(const struct visit_findings *v, struct finding *f)
{
    const struct finding *other = other_side(v, f);
    if (other == NULL && !rules_is_after(f))
        other = earlier_other_side(v, f);
    if (other == NULL)
        return;
    double own = rules_value(f).value;
    f->other_value = rules_value(other);
    f->side_difference = num_of(own - f->other_value.value);
    if (has_index(f, f->other_value.value))
        f->side_index_percent = num_of(100 * own / f->other_value.value);
    f->side_beyond_error = judge(v, f, other);
}

/* Grades are words with an order: a difference of grades is read, not computed. */
void rules_side(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (f->test != TEST_MMT && rules_value(f).has)
            compare(v, f);
    }
}
