/* The trend over visits: which readings are points, which method, and what is said of the slope.
 * The arithmetic is held against published figures in tests/external/test_rules_trend.c. */
#include "rules_build.h"

#include <math.h>

#define HIP "hip flexion right PROM "
#define WRIST "wrist flexion right AROM "
#define GAP "thumb-cmc opposition right AROM "
#define FORCE "knee extension right force "
#define D0 "2026-01-05 "
#define D7 "2026-01-12 "
#define D14 "2026-01-19 "
#define D21 "2026-01-26 "
#define D28 "2026-02-02 "
#define D35 "2026-02-09 "
#define D42 "2026-02-16 "

/* Row 0 of the newest visit: "method n slope low high direction sem", "" for none. */
static const struct {
    const char *readings, *is;
} trends[] = {
    {D0 HIP "85 by=A;" D14 HIP "95 by=A", ""},
    /* SEM 3.5, four visits two weeks apart: the known error, not the residuals. */
    {D0 HIP "85 by=A;" D14 HIP "95 by=A;" D28 HIP "102 by=A;" D42 HIP "112 by=A",
     "known-error 4 4.40 2.87 5.93 better 3.50"},
    {D0 HIP "112 by=A;" D14 HIP "102 by=A;" D28 HIP "95 by=A;" D42 HIP "85 by=A",
     "known-error 4 -4.40 -5.93 -2.87 worse 3.50"},
    {D0 HIP "95 by=A;" D14 HIP "95 by=A;" D28 HIP "95 by=A",
     "known-error 3 0.00 -2.43 2.43 unclear 3.50"},
    /* The rule of thumb is no SEM, and its 5 degrees are the error of each reading all the same:
     * three readings on one line promise no more than they can hold. */
    {D0 WRIST "90 by=A;" D7 WRIST "98 by=A;" D28 WRIST "115 by=A",
     "rule-of-thumb 3 6.12 4.91 7.32 better "},
    {D0 WRIST "40 by=A;" D7 WRIST "44 by=A;" D21 WRIST "52 by=A",
     "rule-of-thumb 3 4.00 2.36 5.64 better "},
    {D0 WRIST "50 by=A;" D7 WRIST "51 by=A;" D21 WRIST "52 by=A",
     "rule-of-thumb 3 0.64 -0.99 2.28 unclear "},
    /* One of them by eye: the error of readings by eye, also where the tool is not stated. */
    {D0 WRIST "40 by=A tool=visual;" D7 WRIST "44 by=A;" D21 WRIST "52 by=A",
     "rule-of-thumb 3 4.00 0.73 7.27 better "},
    {D0 WRIST "40 by=A;" D7 WRIST "44 by=A;" D21 WRIST "52 by=A tool=visual",
     "rule-of-thumb 3 4.00 0.73 7.27 better "},
    /* Five are still a line, */
    {D0 HIP "80 by=A;" D7 HIP "84 by=A;" D14 HIP "89 by=A;" D21 HIP "92 by=A;" D28 HIP "97 by=A",
     "known-error 5 4.20 2.03 6.37 better 3.50"},
    /* from six on the median of the slopes; exact, or approximate where values repeat. */
    {D0 HIP "80 by=A;" D7 HIP "84 by=A;" D14 HIP "89 by=A;" D21 HIP "92 by=A;" D28 HIP
        "97 by=A;" D35 HIP "20 by=A",
     "theil-sen-exact 6 4.00 -36.00 5.00 unclear 3.50"},
    {D0 HIP "80 by=A;" D7 HIP "84 by=A;" D14 HIP "84 by=A;" D21 HIP "92 by=A;" D28 HIP
        "97 by=A;" D35 HIP "101 by=A",
     "theil-sen 6 4.25 2.75 6.19 better 3.50"},
    /* A limit that only just clears 0 is one. */
    {D0 HIP "85 by=A;" D14 HIP "89 by=A;" D28 HIP "93 by=A;" D42 HIP "97 by=A",
     "known-error 4 2.00 0.47 3.53 better 3.50"},
    {D0 HIP "97 by=A;" D14 HIP "93 by=A;" D28 HIP "89 by=A;" D42 HIP "85 by=A",
     "known-error 4 -2.00 -3.53 -0.47 worse 3.50"},
    /* A limit of exactly 0 leaves the direction open, from either side. */
    {D0 HIP "80 by=A;" D7 HIP "80 by=A;" D14 HIP "80 by=A;" D21 HIP "80 by=A;" D28 HIP
        "88 by=A;" D35 HIP "88 by=A",
     "theil-sen 6 1.60 0.00 3.65 unclear 3.50"},
    {D0 HIP "88 by=A;" D7 HIP "88 by=A;" D14 HIP "80 by=A;" D21 HIP "80 by=A;" D28 HIP
        "80 by=A;" D35 HIP "80 by=A",
     "theil-sen 6 -1.60 -3.65 0.00 unclear 3.50"},
    /* What is no point: not measured, estimated, in another position, in doubt, after treatment,
     * of a fixed joint, with another tool. */
    {D0 HIP "85 by=A;" D14 HIP "not-tested;" D28 HIP "102 by=A;" D42 HIP "112 by=A",
     "known-error 3 4.46 2.88 6.05 better 3.50"},
    {D0 HIP "85 by=A;" D14 HIP "~95 by=A;" D42 HIP "112 by=A", ""},
    {D0 HIP "85 by=A pos=supine;" D14 HIP "95 by=A pos=sitting;" D42 HIP "112 by=A pos=supine",
     ""},
    {D0 HIP "85 by=A;" D14 HIP "95 by=A after;" D42 HIP "112 by=A", ""},
    {D0 HIP "85 by=A;" D14 HIP "fixed95 by=A;" D42 HIP "112 by=A", ""},
    {D0 HIP "85 by=A tool=goniometer;" D14 HIP "95 by=A tool=inclinometer;" D42 HIP
        "112 by=A tool=goniometer",
     ""},
    {D0 HIP "85 by=A;" D14 HIP "95 by=A;" D42 HIP "~112 by=A", ""},
    {D0 HIP "85 by=A;" D14 HIP "95 by=A;" D42 HIP "112 by=A after", ""},
    {D0 HIP "85 by=A;" D14 HIP "95 by=A;" D42 HIP "not-tested", ""},
    {D0 HIP "85 by=A;" D14 HIP "95 by=A;" D42 HIP "fixed112 by=A", ""},
    /* Grades have no slope. Where no error is on file, limits need four readings; a gap that
     * closes is better as it falls. */
    {D0 "knee extension right MMT 3 by=A;" D14 "knee extension right MMT 4 by=A;" D28
        "knee extension right MMT 5 by=A",
     ""},
    {D0 GAP "6 by=A;" D14 GAP "4.1 by=A;" D28 GAP "2 by=A", "least-squares 3 -1.00   unclear "},
    {D0 GAP "6 by=A;" D14 GAP "4.1 by=A;" D28 GAP "2 by=A;" D42 GAP "1 by=A",
     "least-squares 4 -0.86 -1.22 -0.49 better "},
    {D0 FORCE "100 by=A;" D14 FORCE "120 by=A;" D28 FORCE "141 by=A;" D42 FORCE "158 by=A",
     "least-squares 4 9.75 8.48 11.02 better "},
};

static const char *describe(struct build *b, const struct trend *t)
{
    if (t == NULL)
        return "";
    return arena_printf(b->arena, "%s %zu %s %s %s %s %s", t->method, t->n,
                        build_text(b, num_of(t->slope), 2), build_text(b, t->low, 2),
                        build_text(b, t->high, 2), t->direction, build_text(b, t->sem, 2));
}

START_TEST(trend_is_told)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, trends[_i].readings);
    ck_assert_str_eq(describe(b, v->rows[0].trend), trends[_i].is);
    build_free(b);
}
END_TEST

/* Points oldest first with their own dates; the line from the first to the last and no further. */
START_TEST(points_and_line)
{
    static const char *const dates[] = {"2026-01-05", "2026-01-19", "2026-02-16"};
    static const double values[] = {85, 95, 113};
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, D0 HIP "85 by=A;" D14 HIP "95 by=A;" D42 HIP "112,114 by=A");
    const struct trend *t = v->rows[0].trend;
    ck_assert_ptr_nonnull(t);
    for (size_t i = 0; i < t->n; i++) {
        char date[DATE_TEXT_MAX];
        ck_assert_str_eq(date_format(date, t->points[i].date), dates[i]);
        ck_assert(t->points[i].value == values[i]);
    }
    ck_assert_double_eq_tol(t->last_fit - t->first_fit, 6 * t->slope, 1e-9);
    ck_assert(!t->two_raters);
    build_free(b);
}
END_TEST

/* Two people anywhere among the points: the error of two. */
START_TEST(two_people_widen_the_limits)
{
    static const struct {
        const char *readings;
        bool two;
    } raters[] = {
        {D0 WRIST "40 by=A;" D7 WRIST "44 by=A;" D21 WRIST "52 by=A", false},
        {D0 WRIST "40 by=A;" D7 WRIST "44;" D21 WRIST "52 by=A", false},
        {D0 WRIST "40 by=A;" D7 WRIST "44 by=B;" D21 WRIST "52 by=A", true},
        {D0 WRIST "40;" D7 WRIST "44 by=B;" D21 WRIST "52 by=A", true},
        {D0 WRIST "40 by=A;" D7 WRIST "44 by=B;" D21 WRIST "52 by=B", true},
        /* Without a name a student and anybody else are two, whoever came first. */
        {D0 WRIST "40 role=student;" D7 WRIST "44 by=A role=PT;" D21 WRIST "52 by=A role=PT", true},
        {D0 WRIST "40 by=A role=PT;" D7 WRIST "44 by=A role=PT;" D21 WRIST "52 role=student", true},
        {D0 WRIST "40 by=A;" D7 WRIST "44 by=A role=PT;" D21 WRIST "52 role=student", true},
        {D0 WRIST "40 role=PT;" D7 WRIST "44;" D21 WRIST "52 role=student", true},
        {D0 WRIST "40 role=PT;" D7 WRIST "44 role=PTA;" D21 WRIST "52 role=PT", false},
        {D0 WRIST "40 by=A role=student;" D7 WRIST "44;" D21 WRIST "52 by=A role=PT", false},
    };
    for (size_t i = 0; i < ARRAY_LEN(raters); i++) {
        struct build *b = build_new();
        struct visit_findings *v = build_findings(b, raters[i].readings);
        ck_assert(v->rows[0].trend->two_raters == raters[i].two);
        build_free(b);
    }
}
END_TEST

/* A passive reading below the active one of its day is no point, then or now. */
START_TEST(doubtful_reading_is_no_point)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(
        b, D0 HIP "85 by=A;" D14 HIP "80 by=A;" D14 "hip flexion right AROM 95 by=A;" D28 HIP
               "100 by=A");
    ck_assert_int_eq(v->rows[0].test, TEST_PROM);
    ck_assert_ptr_null(v->rows[0].trend);
    build_free(b);
}
END_TEST

/* Two points have a line and nothing left over; one point, or two of one day, have none. */
START_TEST(two_points_have_a_line)
{
    static const double t[] = {0, 1, 1}, y[] = {1, 3, 7};
    struct slope line;
    ck_assert(!rules_least_squares(t, y, 1, &line));
    ck_assert(rules_least_squares(t, y, 2, &line));
    ck_assert_double_eq(line.slope, 2);
    ck_assert_double_eq(line.level, 1);
    ck_assert(!line.residual_sd.has);
    ck_assert(!rules_least_squares(t + 1, y + 1, 2, &line));
    struct arena *a = arena_new();
    ck_assert(!rules_theil_sen(t, y, 1, 0.95, a, &line));
    ck_assert(rules_theil_sen(t, y, 2, 0.95, a, &line));
    ck_assert_double_eq(line.slope, 2);
    ck_assert(!rules_theil_sen(t + 1, y + 1, 2, 0.95, a, &line));
    ck_assert(!line.low.has && !line.high.has);
    arena_free(a);
}
END_TEST

/* Ten values that all differ have limits from the exact distribution; eleven no longer. */
START_TEST(exact_up_to_ten_values)
{
    double t[11], y[11];
    struct build *b = build_new();
    struct slope line;
    for (int i = 0; i < 11; i++) {
        t[i] = i;
        y[i] = i * i;
    }
    ck_assert(rules_theil_sen(t, y, 10, 0.95, b->arena, &line) && line.exact);
    ck_assert(rules_theil_sen(t, y, 11, 0.95, b->arena, &line) && !line.exact);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, trend_is_told, 0, ARRAY_LEN(trends));
    tcase_add_test(tc, two_points_have_a_line);
    tcase_add_test(tc, exact_up_to_ten_values);
    tcase_add_test(tc, points_and_line);
    tcase_add_test(tc, two_people_widen_the_limits);
    tcase_add_test(tc, doubtful_reading_is_no_point);
}

BUILD_SUITE("rules_trend")
