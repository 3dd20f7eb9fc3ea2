/*
 * Manual grades: what a grade contradicts within its own visit, and how far two grades of
 * different days can be told apart. The ids are those of the table of grade checks.
 */
#include "rules/rules_int.h"

#include <math.h>
#include <stdlib.h>

/* ---- two days ----------------------------------------------------------------------------- */

/* Steps are hundredths of a grade, so a full grade is exact: 2.67 to 3.67 is one. */
static long hundredths(const struct grade *g)
{
    return lround(100 * g->numeric);
}

/* One examiner differs by less than a full grade from one day to the next; two examiners by a
 * full one (Frese, Brown and Norton 1987: half the pairs within a third of a grade). */
enum verdict rules_grade_verdict(const struct grade *now, const struct grade *then, bool two_raters,
                                 struct error_used *used)
{
    const long full = 100;
    long change = labs(hundredths(now) - hundredths(then));
    *used = (struct error_used){
        .basis = BASIS_RULE_OF_THUMB, .limit = num_of(1), .two_raters = two_raters};
    bool beyond = two_raters ? change > full : change >= full;
    return beyond ? VERDICT_BEYOND_ERROR : VERDICT_WITHIN_ERROR;
}

static void check_change(const struct visit_findings *v, struct finding *f)
{
    const struct comparison *c = &f->previous;
    const struct grade *fair = reference_grade(v->ref, "3");
    if (c->grade == NULL || f->grade == NULL || c->verdict != VERDICT_WITHIN_ERROR ||
        hundredths(c->grade) == hundredths(f->grade))
        return;
    rules_flag(f, "change-within-error");
    /* From below 3 to 3 or more, or back: gravity is overcome or no longer is. */
    if (fair != NULL && !c->error.two_raters &&
        (c->grade->ordinal < fair->ordinal) != (f->grade->ordinal < fair->ordinal))
        rules_flag(f, "crosses-grade-three");
}

/* ---- one visit ---------------------------------------------------------------------------- */

static bool is_at_least(const struct visit_findings *v, const struct finding *f, const char *grade)
{
    const struct grade *other = reference_grade(v->ref, grade);
    return other != NULL && f->grade->ordinal >= other->ordinal;
}

static const struct finding *active_range(const struct visit_findings *v, const struct finding *f)
{
    const struct finding *found = NULL;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (r->test != TEST_AROM || r->motion != f->motion || r->side != f->side ||
            r->digit != f->digit || rules_is_after(r) != rules_is_after(f))
            continue;
        if (found == NULL || (r->end.has && (!found->end.has || r->end.value > found->end.value)))
            found = r;
    }
    return found;
}

/* Degrees that were moved. Where the normal end is 0 the end alone tells nothing: an elbow that
 * never moved also reads 0. A fixed joint moves nowhere. */
static struct num moved(const struct finding *active)
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
    struct num arc = moved(active_range(v, f));
    long grade = hundredths(f->grade);
    if (!arc.has || grade > 100)
        return;
    if (rules_over(arc.value, v->clinic->tolerance_deg))
        rules_flag(f, "zero-or-one-with-active-range");
    if (grade == 100 && rules_over(arc.value, 0))
        rules_flag(f, "trace-without-movement");
}

static bool is_minimised(const char *position)
{
    static const char *const written[] = {"gravity minimised", "gravity minimized",
                                          "gravity eliminated", "gravity reduced"};
    for (size_t i = 0; i < ARRAY_LEN(written); i++)
        if (rules_states(position, written[i]))
            return true;
    return false;
}

static void check_position(const struct visit_findings *v, struct finding *f)
{
    const struct muscle_test *test = f->motion->muscle_test;
    if (!is_at_least(v, f, "3-") || str_is_empty(f->position))
        return;
    if (test != NULL && test->gravity_rule == GRAVITY_APPLIES && is_minimised(f->position))
        rules_flag(f, "three-or-more-in-minimised-position");
    if (str_eq(f->motion->joint, "ankle") && str_eq(f->motion->motion, "plantar-flexion") &&
        !rules_states(f->position, "standing") && !rules_states(f->position, "heel rises") &&
        !rules_states(f->position, "heel rise") && !rules_states(v->visit->protocol, "ISNCSCI"))
        rules_flag(f, "heel-rise-needed");
}

static void check_pain(struct finding *f)
{
    const long full = 500;
    if (f->pain)
        rules_flag(f,
                   hundredths(f->grade) < full ? "pain-limited-grade" : "normal-grade-with-pain");
}

static bool is_in_force(const struct limit *l, const struct visit *visit)
{
    return (!date_is_set(l->from) || date_compare(l->from, visit->date) <= 0) &&
           (!date_is_set(l->until) || date_compare(visit->date, l->until) <= 0);
}

/* Whether a precaution on file keeps this motion from being moved. */
static bool is_range_forbidden(const struct visit_findings *v, const struct finding *f)
{
    for (size_t i = 0; i < v->patient->n_limits; i++) {
        const struct limit *l = &v->patient->limits[i];
        bool kind = l->kind == LIMIT_NO_TEST || l->kind == LIMIT_RANGE;
        bool test = l->test == TEST_NONE || l->test == TEST_AROM;
        bool place = l->motion == NULL ||
                     (l->motion == f->motion && (l->side == SIDE_NONE || l->side == f->side) &&
                      (l->digit == 0 || l->digit == f->digit));
        if (kind && test && place && is_in_force(l, v->visit))
            return true;
    }
    return false;
}

static void check_range_known(const struct visit_findings *v, struct finding *f)
{
    if (f->motion->rom && active_range(v, f) == NULL && !is_range_forbidden(v, f))
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
        check_pain(f);
        check_range_known(v, f);
        check_change(v, f);
    }
}
