/*
 * Limits on file (precautions): the most motion allowed, no resistance, no test, no full weight. A
 * limit counts from its first to its last day; one of range that has run out is told as expired.
 * Measurement error is no excuse here: what was measured past a limit is told, and never counts as
 * a gain. Where one try of several went past it, the limit was passed.
 */
#include "rules/rules_int.h"

#include <math.h>

static bool is_in_place(const struct limit *l, const struct finding *f)
{
    return l->motion == NULL ||
           (l->motion == f->motion && (l->side == SIDE_NONE || l->side == f->side) &&
            (l->digit == 0 || l->digit == f->digit));
}

static bool has_begun(const struct limit *l, const struct visit *visit)
{
    return !date_is_set(l->from) || date_compare(l->from, visit->date) <= 0;
}

static bool is_lower_limb(const struct motion *motion)
{
    static const char *const regions[] = {"hip", "knee", "ankle-foot"};
    for (size_t i = 0; i < ARRAY_LEN(regions); i++)
        if (str_eq(motion->region, regions[i]))
            return true;
    return false;
}

static bool is_on_feet(const struct finding *f)
{
    return is_lower_limb(f->motion) &&
           rules_states_any(f->position, "standing;heel rise;heel rises;lunge;squat;weight bearing;"
                                         "weightbearing");
}

/* Whether the limit speaks of readings such as this one at all. */
static bool concerns(const struct limit *l, const struct finding *f)
{
    if (!is_in_place(l, f) || (l->test != TEST_NONE && l->test != f->test))
        return false;
    switch (l->kind) {
    case LIMIT_RANGE:
        return rules_is_rom(f) && f->unit == f->motion->unit;
    case LIMIT_RESISTANCE:
        return !rules_is_rom(f);
    case LIMIT_WEIGHT_BEARING:
        return is_on_feet(f);
    case LIMIT_NO_TEST:
        return true;
    }
    return false;
}

/* Past the most motion allowed; where less is more motion (a gap that closes), below it. */
static bool is_past(const struct limit *l, const struct finding *f)
{
    bool closes = f->motion->normal != NULL && f->motion->normal->lower_is_better;
    double most = l->value.value, end = f->end.value;
    for (size_t i = 0; i < f->n_from; i++)
        for (int k = 0; k < f->from[i]->n_tries; k++)
            end = closes ? fmin(end, f->from[i]->tries[k]) : fmax(end, f->from[i]->tries[k]);
    return closes ? rules_over(most, end) : rules_over(end, most);
}

/* A grade up to 3 asks for no resistance; a force is resistance. */
static bool is_resisted(const struct visit_findings *v, const struct finding *f)
{
    const struct grade *fair = reference_grade(v->ref, "3");
    return f->test == TEST_FORCE ||
           (fair != NULL && f->grade != NULL && f->grade->ordinal > fair->ordinal);
}

static bool was_tried(const struct finding *f)
{
    return model_has_number(f->status) || f->status == READING_NO_ANGLE;
}

static bool is_passed(const struct visit_findings *v, const struct limit *l,
                      const struct finding *f)
{
    switch (l->kind) {
    case LIMIT_RANGE:
        return is_past(l, f);
    case LIMIT_RESISTANCE:
        return is_resisted(v, f);
    case LIMIT_WEIGHT_BEARING:
    case LIMIT_NO_TEST:
        return true;
    }
    return false;
}

static const char *flag_of(const struct limit *l)
{
    static const char *const flags[] = {[LIMIT_RANGE] = "beyond-limit",
                                        [LIMIT_RESISTANCE] = "resistance-not-allowed",
                                        [LIMIT_WEIGHT_BEARING] = "standing-against-limit",
                                        [LIMIT_NO_TEST] = "tested-against-limit"};
    return flags[l->kind];
}

/* NULL: nothing was measured that could pass it. */
static const char *status_of(const struct visit_findings *v, const struct limit *l,
                             const struct finding *f)
{
    if (!rules_is_in_force(l, v->visit))
        return "expired";
    bool tried = l->kind == LIMIT_NO_TEST ? was_tried(f) : model_has_number(f->status);
    if (!tried)
        return NULL;
    return is_passed(v, l, f) ? "beyond" : "within";
}

/* ---- order ---------------------------------------------------------------------------------- */

static int rank_of(const struct limit_finding *lf)
{
    static const char *const order[] = {"beyond", "within"};
    int rank = lf->status == NULL ? 2 : 3;
    for (int i = 0; i < (int)ARRAY_LEN(order); i++)
        if (str_eq(lf->status, order[i]))
            rank = i;
    return 2 * rank + (lf->limit->kind != LIMIT_RANGE);
}

/* What was passed before what was kept, range before the rest, the tightest first. */
static bool goes_before(const struct limit_finding *a, const struct limit_finding *b)
{
    if (rank_of(a) != rank_of(b))
        return rank_of(a) < rank_of(b);
    const struct motion *motion = a->limit->motion;
    bool closes = motion != NULL && motion->normal != NULL && motion->normal->lower_is_better;
    double towards = closes ? -1 : 1;
    return a->limit->kind == LIMIT_RANGE &&
           towards * a->limit->value.value < towards * b->limit->value.value;
}

static void hang_on(struct finding *f, struct limit_finding *lf)
{
    struct limit_finding **at = &f->limit;
    while (*at != NULL && !goes_before(lf, *at))
        at = &(*at)->next;
    lf->next = *at;
    *at = lf;
}

/* ---- all limits ----------------------------------------------------------------------------- */

/* A limit that has run out is told where an angle was held back by it, not with everything. */
static bool is_told(const struct visit_findings *v, const struct limit *l, const struct finding *f)
{
    return concerns(l, f) && has_begun(l, v->visit) &&
           (l->kind == LIMIT_RANGE || rules_is_in_force(l, v->visit));
}

static void hold_against(struct visit_findings *v, const struct limit *l,
                         struct limit_finding *overall, struct arena *a)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (!is_told(v, l, f))
            continue;
        struct limit_finding *lf = arena_alloc(a, sizeof *lf);
        *lf = (struct limit_finding){.limit = l, .status = status_of(v, l, f)};
        hang_on(f, lf);
        if (str_eq(lf->status, "beyond"))
            rules_flag(f, flag_of(l));
        if (overall != NULL && rank_of(lf) < rank_of(overall))
            overall->status = lf->status;
    }
}

bool rules_is_past_limit(const struct finding *f)
{
    return f->limit != NULL && str_eq(f->limit->status, "beyond");
}

void rules_limit(struct visit_findings *v, struct arena *a)
{
    const struct patient *p = v->patient;
    v->limits = arena_alloc(a, p->n_limits * sizeof *v->limits);
    for (size_t i = 0; i < p->n_limits; i++) {
        struct limit_finding *overall = NULL;
        if (rules_is_in_force(&p->limits[i], v->visit)) {
            overall = &v->limits[v->n_limits++];
            overall->limit = &p->limits[i];
        }
        hold_against(v, &p->limits[i], overall, a);
    }
}
