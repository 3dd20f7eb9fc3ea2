/*
 * Manual grades: what a grade contradicts within its own visit, and how far two grades of
 * different days can be told apart. The ids are those of the table of grade checks.
 */
#include "rules/rules_int.h"

#include <math.h>
#include <stdlib.h>

/* ---- two days ----------------------------------------------------------------------------- */

long rules_grade_steps(const struct grade *g)
{
    return lround(FULL_GRADE * g->numeric);
}

bool rules_is_full_grade(const struct visit_findings *v, const struct grade *g)
{
    return g == reference_grade(v->ref, "5");
}

/* One examiner differs by less than a full grade from one day to the next; two examiners by a
 * full one (Frese, Brown and Norton 1987: half the pairs within a third of a grade). A clinic may
 * set another step than the full grade. */
enum verdict rules_grade_verdict(const struct clinic *clinic, const struct grade *now,
                                 const struct grade *then, bool two_raters,
                                 struct error_used *used)
{
    long change = labs(rules_grade_steps(now) - rules_grade_steps(then));
    long step = lround(FULL_GRADE * clinic->grade_change);
    *used = (struct error_used){.basis = BASIS_RULE_OF_THUMB,
                                .limit = num_of(clinic->grade_change),
                                .two_raters = two_raters};
    bool beyond = two_raters ? change > step : change >= step;
    return beyond ? VERDICT_BEYOND_ERROR : VERDICT_WITHIN_ERROR;
}

static void check_change(const struct visit_findings *v, struct finding *f)
{
    const struct comparison *c = &f->previous;
    const struct grade *fair = reference_grade(v->ref, "3");
    if (c->grade == NULL || f->grade == NULL || c->verdict != VERDICT_WITHIN_ERROR ||
        rules_grade_steps(c->grade) == rules_grade_steps(f->grade))
        return;
    rules_flag(f, "change-within-error");
    /* From below 3 to 3 or more, or back: gravity is overcome or no longer is. */
    if (fair != NULL && !c->error.two_raters &&
        (c->grade->ordinal < fair->ordinal) != (f->grade->ordinal < fair->ordinal))
        rules_flag(f, "crosses-grade-three");
}

static const struct finding *other_grade(const struct visit_findings *v, const struct finding *f)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (r->test == TEST_MMT && r->grade != NULL && r->side == rules_other_side(f->side) &&
            r->side != f->side && rules_same_kind(f, r) && rules_is_usable(r) &&
            rules_position_fit(f, r) != FIT_NO)
            return r;
    }
    return NULL;
}

/* The grades of weak and strong are those of the table of selective tension. */
enum power rules_power(const struct visit_findings *v, const struct finding *f)
{
    const struct tension *weak = reference_tension(v->ref, "weak-painless");
    const struct tension *strong = reference_tension(v->ref, "strong-painful");
    if (f->test != TEST_MMT || f->grade == NULL || weak == NULL || weak->grade == NULL ||
        strong == NULL || strong->grade == NULL)
        return POWER_UNKNOWN;
    const struct finding *other = other_grade(v, f);
    bool below = other != NULL &&
                 rules_grade_steps(other->grade) - rules_grade_steps(f->grade) >= FULL_GRADE;
    if (below || f->grade->ordinal <= weak->grade->ordinal)
        return POWER_WEAK;
    return f->grade->ordinal >= strong->grade->ordinal ? POWER_STRONG : POWER_BETWEEN;
}

/* ---- one visit ---------------------------------------------------------------------------- */

bool rules_grade_at_least(const struct visit_findings *v, const struct finding *f,
                          const char *grade)
{
    const struct grade *other = reference_grade(v->ref, grade);
    return other != NULL && f->grade->ordinal >= other->ordinal;
}

const struct finding *rules_active_range(const struct visit_findings *v, const struct finding *f)
{
    const struct finding *found = NULL;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (r->test != TEST_AROM || r->motion != f->motion || r->side != f->side ||
            r->digit != f->digit || rules_is_after(r) != rules_is_after(f) || r->second_measurer)
            continue;
        if (found == NULL || (r->end.has && (!found->end.has || r->end.value > found->end.value)))
            found = r;
    }
    return found;
}

/* Degrees that were moved. Where the normal end is 0 the end alone tells nothing: an elbow that
 * never moved also reads 0. A fixed joint moves nowhere. */
struct num rules_moved(const struct finding *active)
{
    if (active == NULL || !active->end.has || active->fixed || active->unit != UNIT_DEG)
        return num_none();
    if (active->start.has)
        return num_of(active->end.value - active->start.value);
    const struct norm *normal = active->motion->normal;
    return normal != NULL && normal->normal > 0 ? active->end : num_none();
}

static void check_movement(const struct visit_findings *v, struct finding *f)
{
    struct num arc = rules_moved(rules_active_range(v, f));
    long grade = rules_grade_steps(f->grade);
    if (!arc.has || grade > 100)
        return;
    if (rules_over(arc.value, v->clinic->tolerance_deg))
        rules_flag(f, "zero-or-one-with-active-range");
    if (grade == 100 && rules_over(arc.value, 0))
        rules_flag(f, "trace-without-movement");
}

static void check_position(const struct visit_findings *v, struct finding *f)
{
    const struct muscle_test *test = f->motion->muscle_test;
    if (!rules_grade_at_least(v, f, "3-") || str_is_empty(f->position))
        return;
    if (test != NULL && test->gravity_rule == GRAVITY_APPLIES && rules_is_minimised(f))
        rules_flag(f, "three-or-more-in-minimised-position");
    if (str_eq(f->motion->joint, "ankle") && str_eq(f->motion->motion, "plantar-flexion") &&
        !rules_states(f->position, "standing") && !rules_states(f->position, "heel rises") &&
        !rules_states(f->position, "heel rise") && !rules_states(v->visit->protocol, "ISNCSCI"))
        rules_flag(f, "heel-rise-needed");
}

static const struct heel_rises *table_of(const struct visit_findings *v)
{
    size_t n;
    const struct heel_rises *tables = reference_heel_rises(v->ref, &n);
    for (size_t i = 0; i < n; i++)
        if (str_eq(tables[i].id, v->clinic->heel_rises))
            return &tables[i];
    return NULL;
}

static bool reaches(struct num count, struct num least)
{
    return least.has && count.value >= least.value;
}

/* Whether a count can stand beside the grade. Where a table leaves a grade out, a count below the
 * next one only rules that out. */
static bool count_agrees(const struct visit_findings *v, const struct finding *f, struct num count,
                         const struct heel_rises *t)
{
    if (reaches(count, t->five))
        return f->grade == reference_grade(v->ref, "5");
    if (reaches(count, t->four))
        return f->grade == reference_grade(v->ref, "4");
    if (reaches(count, t->three))
        return f->grade == reference_grade(v->ref, "3");
    return !rules_grade_at_least(v, f, t->three.has ? "3" : t->four.has ? "4" : "5");
}

static void check_heel_rises(const struct visit_findings *v, struct finding *f)
{
    const struct heel_rises *t = table_of(v);
    if (t == NULL || !str_eq(f->motion->joint, "ankle") ||
        !str_eq(f->motion->motion, "plantar-flexion") ||
        rules_states(v->visit->protocol, "ISNCSCI"))
        return;
    for (size_t i = 0; i < f->n_from; i++) {
        if (!f->from[i]->repetitions.has)
            continue;
        f->heel_rises = t;
        if (!count_agrees(v, f, f->from[i]->repetitions, t))
            rules_flag(f, "heel-rise-count-mismatch");
    }
}

static void check_pain(const struct visit_findings *v, struct finding *f)
{
    if (f->pain)
        rules_flag(f, rules_is_full_grade(v, f->grade) ? "normal-grade-with-pain"
                                                       : "pain-limited-grade");
}

static void check_range_known(const struct visit_findings *v, struct finding *f)
{
    if (f->motion->rom && rules_active_range(v, f) == NULL && !rules_is_forbidden(v, f, TEST_AROM))
        rules_flag(f, "arom-before-strength");
}

void rules_strength(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (f->test != TEST_MMT)
            continue;
        if (f->status == READING_NOT_TESTED)
            rules_flag(f, "not-tested-is-not-zero");
        if (f->grade == NULL)
            continue;
        check_movement(v, f);
        check_position(v, f);
        check_heel_rises(v, f);
        check_pain(v, f);
        check_range_known(v, f);
        check_change(v, f);
    }
}
