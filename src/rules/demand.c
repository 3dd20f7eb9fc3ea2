/*
 * What a limited motion may make hard: activities that use more of it than there is. Only for
 * active range, which is the one to compare, and only for motions limited `yes`: several needs lie
 * above the usual normal value and must not turn a normal reading into a finding. Almost every
 * figure is what healthy people happened to use, not the least they could manage, so a need that is
 * not met says "may be hard".
 *
 * At most three a motion: those a goal of the patient names, then those of the same kind of
 * activity as a goal's, then likely before possible, then the larger shortfall, then the order of
 * the table (own).
 */
#include "rules/rules_int.h"

/* ---- which rows are for this person and reading ------------------------------------------------
 */

static const char *const fingers[] = {"index", "middle", "ring", "little"}; /* digits 2 to 5 */

static bool qualifier_fits(const struct visit_findings *v, const struct finding *f,
                           const struct demand *d)
{
    if (d->age_min.has)
        return v->age.has && v->age.value >= d->age_min.value &&
               v->age.value < d->age_max.value + 1;
    if (str_eq(d->qualifier, "right") || str_eq(d->qualifier, "left"))
        return str_eq(d->qualifier, side_name(f->side));
    for (size_t i = 0; i < ARRAY_LEN(fingers); i++)
        if (str_eq(d->qualifier, fingers[i]))
            return f->digit == (int)i + 2;
    return str_is_empty(d->qualifier);
}

/* The angle of the knee is that of the calf's muscle length. */
static bool knee_fits(const struct finding *f, const struct demand *d)
{
    const struct muscle_length *m = f->motion->muscle_length;
    if (d->knee == KNEE_ANY || m == NULL)
        return true;
    const char *other = d->knee == KNEE_STRAIGHT ? m->slack : m->taut;
    return !rules_states_any(f->position, other);
}

static bool fits(const struct visit_findings *v, const struct finding *f, const struct demand *d)
{
    return d->role == DEMAND_DEFAULT && d->motion == f->motion && d->unit == f->unit &&
           qualifier_fits(v, f, d) && knee_fits(f, d);
}

/* A row for this side, digit or age takes the place of the one for anybody. */
static bool is_replaced(const struct visit_findings *v, const struct finding *f,
                        const struct demand *d, const struct demand *all, size_t n)
{
    if (!str_is_empty(d->qualifier))
        return false;
    for (size_t i = 0; i < n; i++)
        if (!str_is_empty(all[i].qualifier) && str_eq(all[i].activity_id, d->activity_id) &&
            fits(v, f, &all[i]))
            return true;
    return false;
}

/* ---- how short --------------------------------------------------------------------------------
 */

/* Short at the end, or by a start beyond the one the activity leaves unused. Needs are told in
 * whole degrees: what rounds to none is none. */
static bool is_short(const struct visit_findings *v, const struct finding *f,
                     const struct demand *d, struct demand_short *out)
{
    double least = reference_threshold(v->ref, THRESHOLD_DEMAND_SHORT);
    struct num spread = d->sd.has ? d->sd : f->error.limit;
    double end = d->needed - f->end.value;
    double start = d->from.has && f->start.has ? f->start.value - d->from.value : 0;
    double by = end > start ? end : start;
    *out = (struct demand_short){.demand = d, .short_by = by};
    out->likely = spread.has && rules_over(by, spread.value);
    return rules_at_least(by, least);
}

/* ---- which first ------------------------------------------------------------------------------
 */

/* "climb-stairs" in the words of a goal, or a goal's words ("stairs") in those of the activity. */
static bool names(const struct goal *g, const struct demand *d)
{
    return !str_is_empty(g->activity) &&
           (rules_states(g->activity, d->activity_id) || rules_states(d->activity, g->activity) ||
            rules_states(d->activity_id, g->activity));
}

static bool is_named(const struct visit_findings *v, const struct demand *d)
{
    for (size_t i = 0; i < v->patient->n_goals; i++)
        if (names(&v->patient->goals[i], d))
            return true;
    return false;
}

static bool is_of_named_kind(const struct visit_findings *v, const struct demand *d,
                             const struct demand *all, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (str_eq(all[i].icf_code, d->icf_code) && is_named(v, &all[i]))
            return true;
    return false;
}

struct wish {
    struct demand_short s;
    int rank; /* 2 named, 1 of the kind of one named */
};

static bool goes_first(const struct wish *a, const struct wish *b)
{
    if (a->rank != b->rank)
        return a->rank > b->rank;
    if (a->s.likely != b->s.likely)
        return a->s.likely;
    return rules_over(a->s.short_by, b->s.short_by);
}

static void keep(struct wish kept[DEMANDS_MAX], int *n, struct wish w)
{
    int at = *n;
    while (at > 0 && goes_first(&w, &kept[at - 1]))
        at--;
    if (at == DEMANDS_MAX)
        return;
    if (*n < DEMANDS_MAX)
        ++*n;
    for (int i = *n - 1; i > at; i--)
        kept[i] = kept[i - 1];
    kept[at] = w;
}

static void look(const struct visit_findings *v, struct finding *f)
{
    size_t n;
    const struct demand *all = reference_demands(v->ref, &n);
    struct wish kept[DEMANDS_MAX] = {{.rank = 0}};
    for (size_t i = 0; i < n; i++) {
        struct wish w = {.rank = 0};
        if (!fits(v, f, &all[i]) || is_replaced(v, f, &all[i], all, n) ||
            !is_short(v, f, &all[i], &w.s))
            continue;
        w.rank = is_named(v, &all[i]) ? 2 : is_of_named_kind(v, &all[i], all, n) ? 1 : 0;
        keep(kept, &f->n_demands, w);
    }
    for (int i = 0; i < f->n_demands; i++)
        f->demands[i] = kept[i].s;
}

void rules_demand(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (f->test == TEST_AROM && f->limited == LIMITED_YES && f->end.has &&
            !f->second_measurer && !rules_lower_is_better(f))
            look(v, f);
    }
}
