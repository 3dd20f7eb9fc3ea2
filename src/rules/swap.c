/*
 * Readings that look like a slip of the hand: right and left exchanged, a gain too large to be one,
 * a trace where the other side is normal. Each is asked, none is put right: both numbers stand as
 * typed. A row in doubt is not held against other visits and never leads the report.
 *
 * Sides exchanged: the difference between the sides has turned round since the last visit that is
 * not in doubt itself, by more than error then and now, and each side is nearer to what the other
 * one was. Of three visits the one in the middle is found so, once the third is there.
 */
#include "rules/rules_int.h"

#include <math.h>

/* ---- sides exchanged ------------------------------------------------------------------------- */

static bool is_pair(const struct finding *right, const struct finding *left)
{
    return right->side == SIDE_RIGHT && left->side == SIDE_LEFT && rules_same_kind(right, left) &&
           rules_value(right).has && rules_value(left).has && !rules_is_after(right) &&
           !right->second_measurer && !left->second_measurer &&
           rules_position_fit(right, left) != FIT_NO;
}

static struct finding *left_of(const struct visit_findings *visit, const struct finding *right)
{
    for (size_t i = 0; i < visit->n_rows; i++)
        if (is_pair(right, &visit->rows[i]))
            return &visit->rows[i];
    return NULL;
}

/* What a difference of the two sides must reach; none for forces, which have no error here. */
static struct num limit_of(const struct visit_findings *v, const struct finding *f)
{
    const double full_grade = 1;
    if (f->test == TEST_MMT)
        return num_of(full_grade);
    struct error_question q = {.row = f, .instrument = f->instrument};
    return rules_error_for(v, q).used.limit;
}

enum swap { SWAP_UNKNOWN, SWAP_STRAIGHT, SWAP_EXCHANGED };

static enum swap compare(const struct finding *right, const struct finding *left,
                         const struct finding *right_then, const struct finding *left_then,
                         double limit, double ratio)
{
    double r = rules_value(right).value, l = rules_value(left).value;
    double r_then = rules_value(right_then).value, l_then = rules_value(left_then).value;
    double now = r - l, then = r_then - l_then;
    double straight = fabs(r - r_then) + fabs(l - l_then);
    double crossed = fabs(r - l_then) + fabs(l - r_then);
    if (!rules_at_least(fabs(now), limit) || !rules_at_least(fabs(then), limit))
        return SWAP_UNKNOWN;
    bool turned = (now > 0) != (then > 0);
    bool moved = rules_at_least(fabs(r - r_then), limit) && rules_at_least(fabs(l - l_then), limit);
    return turned && moved && rules_at_least(straight, ratio * crossed) ? SWAP_EXCHANGED
                                                                        : SWAP_STRAIGHT;
}

/* A pair of rows against the last visit before that has the pair and no doubt about it. `older`
 * counts from the latest. */
static enum swap judge(const struct visit_findings *v, const struct finding *right,
                       const struct finding *left, struct visit_findings *const *older, size_t n)
{
    struct num limit = limit_of(v, right);
    double ratio = reference_threshold(v->ref, THRESHOLD_SWAP_RATIO);
    for (size_t i = 0; limit.has && i < n; i++) {
        for (size_t k = 0; k < older[i]->n_rows; k++) {
            const struct finding *then = &older[i]->rows[k];
            const struct finding *left_then = left_of(older[i], then);
            if (left_then == NULL || !rules_same_kind(right, then) ||
                rules_position_fit(right, then) == FIT_NO || rules_has_flag(then, "sides-swapped"))
                continue;
            return compare(right, left, then, left_then, limit.value, ratio);
        }
    }
    return SWAP_UNKNOWN;
}

static bool differ(const struct visit_findings *v, const struct finding *right,
                   const struct finding *left)
{
    struct num limit = limit_of(v, right);
    return limit.has &&
           rules_at_least(fabs(rules_value(right).value - rules_value(left).value), limit.value);
}

/* Where pairs of a visit are exchanged and none stands straight, a pair that cannot be held against
 * an earlier one is in the same doubt: the next visit must not be held against it. */
void rules_swap_check(struct visit_findings *visit, struct visit_findings *const *older,
                        size_t n)
{
    bool exchanged = false, straight = false;
    for (size_t i = 0; i < visit->n_rows; i++) {
        struct finding *right = &visit->rows[i], *left = left_of(visit, right);
        enum swap swap = left != NULL ? judge(visit, right, left, older, n) : SWAP_UNKNOWN;
        straight = straight || swap == SWAP_STRAIGHT;
        if (swap != SWAP_EXCHANGED)
            continue;
        exchanged = true;
        rules_flag(right, "sides-swapped");
        rules_flag(left, "sides-swapped");
    }
    for (size_t i = 0; exchanged && !straight && i < visit->n_rows; i++) {
        struct finding *right = &visit->rows[i], *left = left_of(visit, right);
        if (left == NULL || !differ(visit, right, left))
            continue;
        rules_flag(right, "sides-swapped");
        rules_flag(left, "sides-swapped");
    }
}

void rules_swap(struct visit_findings *v, struct arena *a)
{
    (void)a;
    rules_swap_check(v, v->earlier, v->n_earlier);
}

/* ---- a muscle over two joints ---------------------------------------------------------------- */

static bool is_stretch_pair(const struct finding *taut, const struct finding *slack,
                            const struct muscle_length *m)
{
    return taut->motion == m->motion && taut->test == slack->test && rules_is_rom(taut) &&
           rules_same_kind(taut, slack) && taut->side == slack->side && !taut->second_measurer &&
           !slack->second_measurer && taut->end.has && slack->end.has &&
           rules_states_any(taut->position, m->taut) &&
           !rules_states_any(taut->position, m->slack) &&
           rules_states_any(slack->position, m->slack) &&
           !rules_states_any(slack->position, m->taut);
}

/* A jump of one of them tells which is in doubt. */
static bool is_explained(const struct finding *f)
{
    return rules_has_flag(f, "jump-beyond-other-side");
}

static void check_stretch(struct visit_findings *v, const struct muscle_length *m)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        for (size_t k = 0; k < v->n_rows; k++) {
            struct finding *taut = &v->rows[i], *slack = &v->rows[k];
            bool pair = is_stretch_pair(taut, slack, m);
            if (!pair || is_explained(taut) || is_explained(slack) ||
                !rules_over(taut->end.value - slack->end.value, v->clinic->tolerance_deg))
                continue;
            rules_flag(taut, "taut-beyond-slack");
            rules_flag(slack, "taut-beyond-slack");
        }
    }
}

/* A muscle over two joints can only take range away where it is taut: a joint that goes further
 * then than with the muscle slack, such as dorsiflexion with the knee straight above that with the
 * knee bent, stands in the wrong row or was misread, and which of the two is not known. */
void rules_stretch(struct visit_findings *v)
{
    size_t n;
    const struct muscle_length *lengths = reference_muscle_lengths(v->ref, &n);
    for (size_t i = 0; i < n; i++)
        check_stretch(v, &lengths[i]);
}

/* ---- too large a gain or a reading, a trace alone -------------------------------------------- */

static bool is_beyond(const struct finding *f)
{
    double own = rules_value(f).value, other = f->other_value.value;
    return f->other_value.has &&
           (rules_lower_is_better(f) ? rules_over(other, own) : rules_over(own, other));
}

static void check_jump(const struct visit_findings *v, struct finding *f)
{
    double limits = reference_threshold(v->ref, THRESHOLD_JUMP_LIMITS);
    const struct comparison *c = &f->previous;
    if (f->test != TEST_MMT && c->change.has && c->error.limit.has &&
        rules_over(c->change.value, limits * c->error.limit.value) && is_beyond(f))
        rules_flag(f, "jump-beyond-other-side");
}

/* Below what the joint can do at all, which the import holds back, but beyond what is usual. */
static void check_usual(const struct visit_findings *v, struct finding *f)
{
    double limits = reference_threshold(v->ref, THRESHOLD_USUAL_LIMITS);
    double spread = reference_threshold(v->ref, THRESHOLD_USUAL_SPREAD);
    const struct norm *n = f->normal;
    if (!rules_is_rom(f) || n == NULL || !f->end.has || !f->error.limit.has || f->fixed ||
        n->lower_is_better || rules_has_flag(f, "normal-other-position"))
        return;
    double usual = n->normal + (n->hyper_ok.has ? n->hyper_ok.value : 0);
    if (rules_over(f->end.value - usual, limits * f->error.limit.value) &&
        (!f->z.has || rules_over(f->z.value, spread)))
        rules_flag(f, "far-beyond-usual");
}

static bool is_normal_grade(const struct visit_findings *v, const struct finding *f,
                            const struct finding *other)
{
    return other->side == rules_other_side(f->side) && rules_same_kind(f, other) &&
           other->grade != NULL && rules_is_full_grade(v, other->grade);
}

static bool other_side_is_normal(const struct visit_findings *visit, const struct finding *f)
{
    for (size_t i = 0; i < visit->n_rows; i++)
        if (is_normal_grade(visit, f, &visit->rows[i]))
            return true;
    return false;
}

/* A trace typed as a bare 1 beside today's 5 is told by the import, with the cell. */
static void check_trace(const struct visit_findings *v, struct finding *f)
{
    if (f->test != TEST_MMT || f->grade == NULL || f->side == SIDE_MIDLINE ||
        f->grade != reference_grade(v->ref, "1"))
        return;
    for (int i = 0; i < f->n_notes; i++)
        if (f->notes[i] == DIAG_TRACE_BESIDE_NORMAL)
            return;
    bool normal = other_side_is_normal(v, f);
    for (size_t i = 0; !normal && i < v->n_earlier; i++)
        normal = other_side_is_normal(v->earlier[i], f);
    if (normal)
        rules_flag(f, "lone-trace");
}

void rules_jump(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        check_jump(v, &v->rows[i]);
        check_usual(v, &v->rows[i]);
        check_trace(v, &v->rows[i]);
    }
    rules_stretch(v);
}
