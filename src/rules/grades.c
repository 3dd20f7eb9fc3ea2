/*
 * Manual grades held against what else the visit says of the motion: its ranges, its position, the
 * other side, a neighbouring motion, precautions. The ids are those of the table of grade checks;
 * the checks of a grade by itself and of two days stand in strength.c.
 */
#include "rules/rules_int.h"

struct graded {
    struct visit_findings *v;
    struct finding *f;
    const struct finding *active, *passive; /* in degrees, usable; NULL when not recorded */
};

static double tolerance(const struct graded *g)
{
    return g->v->clinic->tolerance_deg;
}

static bool is_weaker_than(const struct graded *g, const char *grade)
{
    return !rules_grade_at_least(g->v, g->f, grade);
}

/* ---- grade and range
 * ----------------------------------------------------------------------------- */

/* What is missing of the passive range when active. The range of that day counts, not a normal
 * value. */
static struct num shortfall(const struct graded *g)
{
    if (g->active == NULL || g->passive == NULL)
        return num_none();
    return num_of(g->passive->end.value - g->active->end.value);
}

static bool is_short(const struct graded *g)
{
    struct num by = shortfall(g);
    return by.has && rules_over(by.value, tolerance(g));
}

static void full_range(const struct graded *g)
{
    if (rules_grade_at_least(g->v, g->f, "3") && is_short(g))
        rules_flag(g->f, "three-or-more-needs-full-range");
}

static bool is_partial_grade(const struct graded *g)
{
    const char *grade = g->f->grade->text;
    if (g->v->clinic->partial_against_gravity == PARTIAL_TWO)
        return str_eq(grade, "2");
    return str_eq(grade, "2+") || str_eq(grade, "3-");
}

static void partial_range(const struct graded *g)
{
    struct num moved = rules_moved(g->active);
    if (rules_is_antigravity(g->f) && is_short(g) && !rules_is_minimised(g->active) && moved.has &&
        rules_over(moved.value, 0) && !is_partial_grade(g))
        rules_flag(g->f, "partial-range-against-gravity");
}

/* An active range that is known to be against gravity says nothing of a test without it. */
static void two_is_full(const struct graded *g)
{
    if (str_eq(g->f->grade->text, "2") && rules_is_minimised(g->f) && is_short(g) &&
        !rules_is_antigravity(g->active))
        rules_flag(g->f, "two-is-full-range-minimised");
}

/* Full against gravity is at least 3; needs the position of the active range, and a range. */
static void below_three(const struct graded *g)
{
    struct num moved = rules_moved(g->active), by = shortfall(g);
    if (is_weaker_than(g, "3") && by.has && !is_short(g) && rules_is_antigravity(g->active) &&
        moved.has && rules_over(moved.value, tolerance(g)))
        rules_flag(g->f, "below-three-with-full-range-against-gravity");
}

static void available_range(const struct graded *g)
{
    const struct finding *p = g->passive;
    if (rules_grade_at_least(g->v, g->f, "3") && p != NULL && p->deficit.has &&
        !rules_has_flag(p, "normal-other-position") && rules_over(p->deficit.value, tolerance(g)))
        rules_flag(g->f, "available-not-normal-range");
}

/* ---- grade and position
 * -------------------------------------------------------------------------- */

static void two_plus(const struct graded *g)
{
    if (str_eq(g->f->grade->text, "2+") && rules_is_minimised(g->f))
        rules_flag(g->f, g->v->clinic->two_plus_by_resistance ? "two-plus-by-resistance"
                                                              : "two-plus-needs-gravity");
}

/* Said where the check was left out, not of every finger. */
static void gravity_rule(const struct graded *g)
{
    const struct muscle_test *test = g->f->motion->muscle_test;
    if (test == NULL)
        return;
    if (test->gravity_rule == GRAVITY_MODIFIED)
        rules_flag(g->f, "modified-gravity-rule");
    if (test->gravity_rule == GRAVITY_EXEMPT && rules_is_minimised(g->f) &&
        rules_grade_at_least(g->v, g->f, "3-"))
        rules_flag(g->f, "exempt-from-gravity-rule");
}

/* ---- grade and the rest of the record
 * ------------------------------------------------------------ */

static void tone(const struct graded *g)
{
    const unsigned on_file = rules_on_file(g->v, g->f->motion->joint, g->f->side);
    if ((on_file & FILE_TONE) != 0 || rules_tone_noted(g->v, g->f->motion->joint, g->f->side))
        rules_flag(g->f, "abnormal-tone");
}

static void serratus(const struct graded *g)
{
    if (!str_eq(g->f->motion->joint, "scapula") ||
        !str_eq(g->f->motion->motion, "abduction-upward-rotation"))
        return;
    const struct motion *flexion = reference_motion(g->v->ref, "shoulder", "flexion");
    const struct finding *arm = rules_row_of(g->v, flexion, g->f->side, 0, TEST_MMT);
    if (arm != NULL && g->f->grade->ordinal > arm->grade->ordinal)
        rules_flag(g->f, "serratus-above-shoulder-flexion");
}

static void same_on_both_sides(const struct graded *g)
{
    enum side side = rules_other_side(g->f->side);
    const struct finding *other =
        side == g->f->side ? NULL : rules_row_of(g->v, g->f->motion, side, g->f->digit, TEST_MMT);
    if (other != NULL && other->grade == g->f->grade && rules_grade_at_least(g->v, g->f, "4") &&
        rules_same_kind(g->f, other))
        rules_flag(g->f, "side-difference-within-grade");
}

static void resistance(const struct graded *g)
{
    const struct grade *fair = reference_grade(g->v->ref, "3");
    if (fair != NULL && g->f->grade->ordinal > fair->ordinal &&
        rules_is_forbidden(g->v, g->f, TEST_MMT))
        rules_flag(g->f, "resistance-not-allowed");
}

static void test_type(const struct graded *g)
{
    if (is_weaker_than(g, "3+") || g->v->clinic->grade_method != GRADE_METHOD_NONE)
        return;
    for (size_t i = 0; i < g->f->n_from; i++)
        if (g->f->from[i]->technique != TECHNIQUE_NONE)
            return;
    rules_flag(g->f, "test-type-missing");
}

/* ---- range without the other range
 * ---------------------------------------------------------------- */

/* What was typed in the place of an angle explains a passive range without one; an empty cell does
 * not. */
static bool has_passive(const struct visit_findings *v, const struct finding *f)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (r->test == TEST_PROM && r->motion == f->motion && r->side == f->side &&
            r->digit == f->digit && r->status != READING_NOT_RECORDED)
            return true;
    }
    return false;
}

static void check_passive(struct visit_findings *v, struct finding *f)
{
    if (f->test == TEST_AROM && f->unit == UNIT_DEG && rules_is_usable(f) && f->deficit.has &&
        !rules_has_flag(f, "normal-other-position") &&
        rules_over(f->deficit.value, v->clinic->tolerance_deg) && !has_passive(v, f) &&
        !rules_is_forbidden(v, f, TEST_PROM))
        rules_flag(f, "prom-missing-with-short-arom");
}

/* ---- all
 * -------------------------------------------------------------------------------------------- */

static const struct finding *in_degrees(const struct finding *f)
{
    return f != NULL && f->unit == UNIT_DEG && f->end.has && rules_is_usable(f) ? f : NULL;
}

static void check_grade(struct visit_findings *v, struct finding *f)
{
    static void (*const checks[])(const struct graded *g) = {
        full_range,   partial_range, two_is_full, below_three,        available_range, two_plus,
        gravity_rule, tone,          serratus,    same_on_both_sides, resistance,      test_type,
    };
    struct graded g = {.v = v, .f = f};
    g.active = in_degrees(rules_active_range(v, f));
    g.passive = in_degrees(rules_partner(v, g.active == NULL ? f : g.active, TEST_PROM));
    for (size_t i = 0; i < ARRAY_LEN(checks); i++)
        checks[i](&g);
}

void rules_grades(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (f->test == TEST_MMT && f->grade != NULL)
            check_grade(v, f);
        else
            check_passive(v, f);
    }
}
