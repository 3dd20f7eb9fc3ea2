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

#define CALF NOW "ankle plantar-flexion right MMT "

static const struct {
    const char *table; /* NULL: the default */
    const char *reading;
    bool raised;
} rises[] = {
    {NULL, CALF "5 reps=25", false},        {NULL, CALF "5 reps=24", true},
    {NULL, CALF "4 reps=24", false},        {NULL, CALF "4 reps=25", true},
    {NULL, CALF "4 reps=2", false},         {NULL, CALF "4 reps=1", true},
    {NULL, CALF "3 reps=1", false},         {NULL, CALF "3 reps=2", true},
    {NULL, CALF "3 reps=0", true},          {NULL, CALF "2+ reps=0", false},
    {NULL, CALF "2+ reps=1", true},         {NULL, CALF "4+ reps=14", true},
    {NULL, NOW "ankle dorsiflexion right MMT 5 reps=3", false},
    {NULL, CALF "4", false},                {NULL, NOW "knee flexion right MMT 5 reps=3", false},
    {"25/10-24/1-9", CALF "4 reps=10", false}, {"25/10-24/1-9", CALF "4 reps=9", true},
    {"25/10-24/1-9", CALF "3 reps=9", false},  {"25/10-24/1-9", CALF "5 reps=25", false},
    {"20", CALF "5 reps=20", false},        {"20", CALF "5 reps=19", true},
    {"20", CALF "4 reps=20", true},         {"20", CALF "4 reps=1", false},
    {"20", CALF "3 reps=19", false},
    {"quality", CALF "5 reps=4", false},    {"quality", CALF "4 reps=4", true},
    {"quality", CALF "4 reps=3", false},    {"quality", CALF "3 reps=1", false},
};

START_TEST(count_of_heel_rises_agrees)
{
    struct build *b = build_new();
    if (rises[_i].table != NULL)
        b->clinic.heel_rises = rises[_i].table;
    const struct finding *f = graded(build_findings(b, rises[_i].reading));
    ck_assert_msg(rules_has_flag(f, "heel-rise-count-mismatch") == rises[_i].raised, "%s: %s",
                  rises[_i].table != NULL ? rises[_i].table : "default", rises[_i].reading);
    /* The table is told where a count of the calf was held against it, and only there. */
    bool counted = strstr(rises[_i].reading, CALF) != NULL && strstr(rises[_i].reading, "reps=");
    ck_assert((f->heel_rises != NULL) == counted);
    if (counted)
        ck_assert_str_eq(f->heel_rises->id,
                         rises[_i].table != NULL ? rises[_i].table : "25/2-24/1");
    build_free(b);
}
END_TEST

/* A library may have no table of counts. */
START_TEST(no_table_no_verdict)
{
    struct build *b = build_new();
    b->clinic.heel_rises = NULL;
    const struct finding *f = graded(build_findings(b, CALF "4 reps=25"));
    ck_assert(!rules_has_flag(f, "heel-rise-count-mismatch"));
    ck_assert_ptr_null(f->heel_rises);
    build_free(b);
}
END_TEST

/* An examination of the spinal cord grades the calf lying down. */
START_TEST(heel_rises_are_none_of_the_cord)
{
    struct build *b = build_new();
    build_add(b, CALF "4 reps=1");
    b->visits[0].protocol = "ISNCSCI";
    const struct finding *f = graded(build_evaluate(b));
    ck_assert(!rules_has_flag(f, "heel-rise-count-mismatch"));
    ck_assert_ptr_null(f->heel_rises);
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
    tcase_add_loop_test(tc, count_of_heel_rises_agrees, 0, ARRAY_LEN(rises));
    tcase_add_test(tc, heel_rises_are_none_of_the_cord);
    tcase_add_test(tc, no_table_no_verdict);
    tcase_add_loop_test(tc, setting_decides, 0, ARRAY_LEN(checked));
    tcase_add_test(tc, grade_change_is_the_limit);
}

BUILD_SUITE("rules_settings")
