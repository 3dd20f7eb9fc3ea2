/* What the grading settings of a clinic file change, and what they leave alone. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define THEN "2026-02-02 "
#define GRADE NOW "knee extension right MMT "
/* Short of the passive range, started 90 short of straight: part of the range. */
#define PART ";" NOW "knee extension right AROM -40 start=-90;" NOW "knee extension right PROM 0"
#define AGAINST " pos=against_gravity"
#define MINIMISED " pos=gravity_minimised"

enum setting { NONE, PARTIAL, NO_TWO_PLUS, METHOD, CHANGE };

static const struct {
    enum setting setting;
    const char *readings, *flag;
    bool raised;
} checked[] = {
    {NONE, GRADE "2" AGAINST PART, "partial-range-against-gravity", true},
    {NONE, GRADE "2+" AGAINST PART, "partial-range-against-gravity", false},
    {NONE, GRADE "3-" AGAINST PART, "partial-range-against-gravity", false},
    {PARTIAL, GRADE "2" AGAINST PART, "partial-range-against-gravity", false},
    {PARTIAL, GRADE "2+" AGAINST PART, "partial-range-against-gravity", true},
    {PARTIAL, GRADE "3-" AGAINST PART, "partial-range-against-gravity", true},
    {NONE, GRADE "2+" MINIMISED, "two-plus-by-resistance", true},
    {NONE, GRADE "2+" MINIMISED, "two-plus-needs-gravity", false},
    {NO_TWO_PLUS, GRADE "2+" MINIMISED, "two-plus-by-resistance", false},
    {NO_TWO_PLUS, GRADE "2+" MINIMISED, "two-plus-needs-gravity", true},
    {NO_TWO_PLUS, GRADE "2+" AGAINST, "two-plus-needs-gravity", false},
    {NO_TWO_PLUS, GRADE "2" MINIMISED, "two-plus-needs-gravity", false},
    {NONE, GRADE "4", "test-type-missing", true},
    {METHOD, GRADE "4", "test-type-missing", false},
    {NONE, GRADE "4 by=A;" THEN "knee extension right MMT 3+ by=A", "change-within-error", true},
    {CHANGE, GRADE "4 by=A;" THEN "knee extension right MMT 3+ by=A", "change-within-error",
     false},
    {CHANGE, GRADE "4 by=A;" THEN "knee extension right MMT 4- by=A", "change-within-error", true},
    {CHANGE, GRADE "4 by=A;" THEN "knee extension right MMT 3+ by=B", "change-within-error", true},
};

static void set(struct clinic *c, enum setting setting)
{
    c->partial_against_gravity = setting == PARTIAL ? PARTIAL_TWO : PARTIAL_TWO_PLUS_THREE_MINUS;
    c->two_plus_by_resistance = setting != NO_TWO_PLUS;
    c->grade_method = setting == METHOD ? GRADE_METHOD_BREAK : GRADE_METHOD_NONE;
    if (setting == CHANGE)
        c->grade_change = 0.67;
}

static const struct finding *graded(const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_rows; i++)
        if (v->rows[i].test == TEST_MMT)
            return &v->rows[i];
    ck_abort_msg("no graded row");
}

START_TEST(setting_decides)
{
    struct build *b = build_new();
    set(&b->clinic, checked[_i].setting);
    const struct finding *f = graded(build_findings(b, checked[_i].readings));
    ck_assert_msg(rules_has_flag(f, checked[_i].flag) == checked[_i].raised, "%s: %s",
                  checked[_i].readings, checked[_i].flag);
    build_free(b);
}
END_TEST

/* The limit that is told with the change is the clinic's. */
START_TEST(grade_change_is_the_limit)
{
    struct build *b = build_new();
    set(&b->clinic, CHANGE);
    const struct finding *f = graded(
        build_findings(b, GRADE "4 by=A;" THEN "knee extension right MMT 3+ by=A"));
    ck_assert_int_eq(f->previous.verdict, VERDICT_BEYOND_ERROR);
    ck_assert_str_eq(build_text(b, f->previous.error.limit, 2), "0.67");
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, setting_decides, 0, ARRAY_LEN(checked));
    tcase_add_test(tc, grade_change_is_the_limit);
}

BUILD_SUITE("rules_settings")
