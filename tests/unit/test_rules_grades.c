/* Grades held against the ranges, positions and other grades of their visit. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define A(value) NOW "hip abduction right AROM " value ";"
#define P(value) NOW "hip abduction right PROM " value ";"
#define M(grade) NOW "hip abduction right MMT " grade " technique=break;"
#define SIDE "pos=side-lying" /* against gravity for this motion */
#define MIN "pos=gravity-minimised"

/* Flags of the family on the graded row, in order. */
static const struct {
    const char *readings, *flags;
} graded[] = {
    {A("42") P("45") M("5"), ""},
    /* 3 and above: full range, within the tolerance of 5 degrees */
    {A("37") P("42") M("3"), ""},
    {A("36.9") P("42") M("3"), "three-or-more-needs-full-range"},
    /* the range that findings use, not the larger one of a student */
    {A("36.9 by=P role=PT") A("44 by=S role=student") P("42") M("3"),
     "three-or-more-needs-full-range"},
    {A("37 by=P role=PT") A("30 by=S role=student") P("42") M("3"), ""},
    {A("20") P("42") M("3-"), ""},
    {A("20") M("3"), ""},
    {P("42") M("3"), ""},
    {A("20 pos=supine") P("42 pos=side-lying") M("3"), ""}, /* two positions tell nothing */
    {A("20 pos=supine") P("42") M("3"), "three-or-more-needs-full-range"},
    {A("20") A("41 pos=supine") P("42") M("3"), ""}, /* the larger active range counts */
    {A("~20") P("42") M("3"), ""},
    {A("20 after") P("42") M("3"), ""},
    {A("20") P("42") NOW "hip abduction left MMT 3 technique=break", ""},
    /* partial range against gravity is 2+ or 3- */
    {A("20") P("42") M("2 " SIDE), "partial-range-against-gravity"},
    {A("20") P("42") M("2- pos=against_gravity"), "partial-range-against-gravity"},
    {A("20") P("42") M("2+ " SIDE), ""},
    {A("20") P("42") M("3- " SIDE), ""},
    {A("20") P("42") M("4 " SIDE), "three-or-more-needs-full-range partial-range-against-gravity"},
    {A("37") P("42") M("2 " SIDE), ""},
    {A("0") P("42") M("2 " SIDE), ""}, /* nothing moved */
    {A("0.5") P("42") M("2 " SIDE), "partial-range-against-gravity"},
    {A("20") P("42") M("2"), ""},      /* position not stated */
    {A("20") P("42") M("2 pos=supine"), ""},
    {A("20 " MIN) P("42") M("2 " SIDE), ""},
    /* 2 is the full range without gravity */
    {A("20") P("42") M("2 " MIN), "two-is-full-range-minimised"},
    {A("20 " MIN) P("42") M("2 " MIN), "two-is-full-range-minimised"},
    {A("20 " SIDE) P("42") M("2 " MIN), ""},
    {A("37") P("42") M("2 " MIN), ""},
    {A("20") P("42") M("2- " MIN), ""},
    /* full against gravity is at least 3 */
    {A("40 " SIDE) P("42") M("2+"), "below-three-with-full-range-against-gravity"},
    {A("37 " SIDE) P("42") M("2+"), "below-three-with-full-range-against-gravity"},
    {A("36.9 " SIDE) P("42") M("2+"), ""},
    {A("40 " SIDE) P("42") M("3"), ""},
    {A("40") P("42") M("2+"), ""},
    {A("40 " MIN) P("42") M("2+"), ""},
    {A("5 " SIDE) P("5") M("2+"), ""}, /* hardly any range to go through */
    /* within a range that is not normal: 45, by more than 5 */
    {A("40") P("40") M("3"), ""},
    {A("39") P("39.9") M("3"), "available-not-normal-range"},
    {A("39") P("39.9") M("3-"), ""},
    {A("39") P("~39.9") M("3"), ""},
    /* 2+ without gravity */
    {A("42") P("45") M("2+ " MIN), "two-plus-by-resistance"},
    {A("42") P("45") M("2+ " SIDE), ""},
    /* tone: noted with the reading, or in the diagnosis */
    {A("42") P("45") M("4 says=spastic"), "abnormal-tone"},
    {A("42 says=marked_rigidity") P("45") M("4"), "abnormal-tone"},
    {A("not-tested reason=spasticity") P("45") M("4"), "abnormal-tone"},
    {A("not-tested reason=no_spasticity") P("45") M("4"), ""},
    {A("42 says=no_rigidity") P("45") M("4"), ""},
    {A("42") P("45") NOW "hip abduction left AROM 42 says=spastic;" M("4"), ""},
    /* test type, from 3+ on */
    {A("42") P("45") NOW "hip abduction right MMT 3+", "test-type-missing"},
    {A("42") P("45") NOW "hip abduction right MMT 3", ""},
    {A("42") P("45") NOW "hip abduction right MMT 3+ technique=make", ""},
    /* equal grades of 4 or 5 on both sides */
    {A("42") P("45") M("4") NOW "hip abduction left MMT 4", "side-difference-within-grade"},
    {A("42") P("45") M("4") NOW "hip abduction left MMT 4+", ""},
    {A("42") P("45") M("4-") NOW "hip abduction left MMT 4-", ""},
    {A("42") P("45") M("4") NOW "hip abduction left MMT 4 after", ""},
};

static const struct finding *grade_row(const struct visit_findings *v, enum side side)
{
    for (size_t i = 0; i < v->n_rows; i++)
        if (v->rows[i].test == TEST_MMT && v->rows[i].side == side)
            return &v->rows[i];
    return NULL;
}

START_TEST(grade_against_its_visit)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, graded[_i].readings);
    const struct finding *f = grade_row(v, SIDE_RIGHT);
    if (f == NULL)
        f = grade_row(v, SIDE_LEFT);
    ck_assert_str_eq(build_flags_of(b, f, "grades"), graded[_i].flags);
    build_free(b);
}
END_TEST

/* Motions with a rule of their own, and neighbours. */
static const struct {
    const char *readings, *joint, *flags;
} others[] = {
    {NOW "ankle plantar-flexion right MMT 2 technique=break", "ankle", "modified-gravity-rule"},
    {NOW "finger-pip flexion right MMT 4 digit=2 technique=break", "finger-pip", ""},
    {NOW "finger-pip flexion right MMT 4 digit=2 technique=break " MIN, "finger-pip",
     "exempt-from-gravity-rule"},
    {NOW "finger-pip flexion right MMT 2 digit=2 " MIN, "finger-pip", ""},
    {NOW "scapula abduction-upward-rotation right MMT 4 technique=break;" NOW
         "shoulder flexion right MMT 4-",
     "scapula", "serratus-above-shoulder-flexion"},
    {NOW "scapula abduction-upward-rotation right MMT 4 technique=break;" NOW
         "shoulder flexion right MMT 4",
     "scapula", ""},
    {NOW "scapula abduction-upward-rotation right MMT 4 technique=break;" NOW
         "shoulder flexion left MMT 3",
     "scapula", ""},
    {NOW "scapula elevation right MMT 4 technique=break;" NOW "shoulder flexion right MMT 3",
     "scapula", ""},
    /* elbows are graded sitting with and without gravity: the word sitting tells neither */
    {NOW "elbow flexion right AROM 145 pos=sitting;" NOW "elbow flexion right PROM 148;" NOW
         "elbow flexion right MMT 2+",
     "elbow", ""},
};

START_TEST(rules_of_single_motions)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, others[_i].readings);
    for (size_t i = 0; i < v->n_rows; i++)
        if (v->rows[i].test == TEST_MMT && str_eq(v->rows[i].motion->joint, others[_i].joint))
            ck_assert_str_eq(build_flags_of(b, &v->rows[i], "grades"), others[_i].flags);
    build_free(b);
}
END_TEST

START_TEST(tone_in_the_diagnosis)
{
    static const struct {
        const char *diagnosis;
        bool noted;
    } rows[] = {{"spastic hemiparesis", true}, {"stroke", false}, {NULL, false}};
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct build *b = build_new();
        b->patient.diagnosis = rows[i].diagnosis;
        struct visit_findings *v = build_findings(b, M("4"));
        ck_assert_int_eq(rules_has_flag(&v->rows[0], "abnormal-tone"), rows[i].noted);
        build_free(b);
    }
}
END_TEST

static const struct {
    const char *readings, *joint, *motion;
    enum limit_kind kind;
    enum test test;
    const char *until;
    bool resistance, passive;
} forbidden[] = {
    {M("4"), NULL, NULL, LIMIT_RESISTANCE, TEST_NONE, NULL, true, false},
    {M("3+"), "hip", "abduction", LIMIT_RESISTANCE, TEST_NONE, NULL, true, false},
    {M("3"), NULL, NULL, LIMIT_RESISTANCE, TEST_NONE, NULL, false, false},
    {M("4"), "hip", "flexion", LIMIT_RESISTANCE, TEST_NONE, NULL, false, false},
    {M("4"), NULL, NULL, LIMIT_RESISTANCE, TEST_NONE, "2026-03-01", false, false},
    {M("4"), "hip", "abduction", LIMIT_RANGE, TEST_NONE, NULL, false, false},
    {M("4"), NULL, NULL, LIMIT_NO_TEST, TEST_MMT, NULL, true, false},
    {M("4"), NULL, NULL, LIMIT_NO_TEST, TEST_PROM, NULL, false, false},
    {A("30"), NULL, NULL, LIMIT_RESISTANCE, TEST_NONE, NULL, false, true},
    {A("30"), NULL, NULL, LIMIT_NO_TEST, TEST_PROM, NULL, false, false},
    {A("30"), NULL, NULL, LIMIT_NO_TEST, TEST_MMT, NULL, false, true},
    {A("30"), "hip", "abduction", LIMIT_RANGE, TEST_NONE, NULL, false, false},
};

START_TEST(precaution_of_one_digit)
{
    struct build *b = build_new();
    struct limit limit = {.kind = LIMIT_NO_TEST,
                          .test = TEST_PROM,
                          .motion = reference_motion(build_ref, "finger-pip", "flexion"),
                          .digit = 2};
    b->patient.limits = &limit;
    b->patient.n_limits = 1;
    struct visit_findings *v =
        build_findings(b, "2026-03-02 finger-pip flexion right AROM 40 digit=2;"
                          "2026-03-02 finger-pip flexion right AROM 40 digit=3");
    for (size_t i = 0; i < 2; i++)
        ck_assert_int_eq(rules_has_flag(&v->rows[i], "prom-missing-with-short-arom"),
                         v->rows[i].digit != 2);
    build_free(b);
}
END_TEST

/* A precaution that forbids resistance, and one that explains a missing passive range. */
START_TEST(precautions)
{
    struct build *b = build_new();
    struct limit limit = {
        .kind = forbidden[_i].kind, .test = forbidden[_i].test, .value = num_of(20)};
    if (forbidden[_i].joint != NULL)
        limit.motion = reference_motion(build_ref, forbidden[_i].joint, forbidden[_i].motion);
    if (forbidden[_i].until != NULL)
        ck_assert(date_parse_iso(forbidden[_i].until, &limit.until));
    b->patient.limits = &limit;
    b->patient.n_limits = 1;
    struct visit_findings *v = build_findings(b, forbidden[_i].readings);
    const struct finding *f = &v->rows[0];
    ck_assert_int_eq(rules_has_flag(f, "resistance-not-allowed"), forbidden[_i].resistance);
    ck_assert_int_eq(rules_has_flag(f, "prom-missing-with-short-arom"), forbidden[_i].passive);
    build_free(b);
}
END_TEST

/* A short active range without a passive one; normal is 45. */
static const struct {
    const char *readings;
    bool flagged;
} passive[] = {
    {A("39.9"), true},
    {A("40"), false},
    {A("39.9") P("42"), false},
    {A("39.9") P("not-tested reason=pain"), false},
    {A("39.9") P("no-angle"), false},
    {A("39.9") P("not-recorded"), true},
    {A("39.9") NOW "hip abduction left PROM 42", true},
    {A("39.9") NOW "hip adduction right PROM 30", true},
    {A("~39.9"), false},
    {A("39.9 after"), false},
    {A("not-tested"), false},
};

START_TEST(passive_range_missing)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, passive[_i].readings);
    ck_assert_int_eq(rules_has_flag(&v->rows[0], "prom-missing-with-short-arom"),
                     passive[_i].flagged);
    build_free(b);
}
END_TEST

/* The tolerance is the clinic's. */
START_TEST(tolerance_of_the_clinic)
{
    struct build *b = build_new();
    b->clinic.tolerance_deg = 10;
    struct visit_findings *v = build_findings(b, A("33") P("42") M("3"));
    ck_assert(!rules_has_flag(grade_row(v, SIDE_RIGHT), "three-or-more-needs-full-range"));
    build_free(b);
    b = build_new();
    b->clinic.tolerance_deg = 3;
    v = build_findings(b, A("38") P("42") M("3"));
    ck_assert(rules_has_flag(grade_row(v, SIDE_RIGHT), "three-or-more-needs-full-range"));
    build_free(b);
}
END_TEST

/* A flag that is a check of the tables has the level the tables give it. */
START_TEST(levels_are_those_of_the_tables)
{
    static const char *const levels[] = {"note", "warning", "error"};
    size_t n_flags, n;
    const struct flag_info *flags = rules_flags(&n_flags);
    const struct grade_check *checks = reference_grade_checks(build_ref, &n);
    size_t matched = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n_flags; k++)
            if (str_eq(checks[i].id, flags[k].id)) {
                ck_assert_str_eq(checks[i].severity, levels[flags[k].level]);
                matched++;
            }
    /* All but those the reader of cells does. */
    ck_assert_uint_eq(n - matched, 2);
}
END_TEST

/* Every flag is explained by its family. */
START_TEST(flags_are_explained)
{
    size_t n;
    const struct flag_info *flags = rules_flags(&n);
    const struct rule_family *family;
    const char *threshold;
    for (size_t i = 0; i < n; i++) {
        ck_assert_msg(rules_explain_flag(flags[i].id, &family, &threshold), "%s", flags[i].id);
        ck_assert_ptr_nonnull(family);
        ck_assert_ptr_nonnull(threshold);
    }
    ck_assert(!rules_explain_flag("no-such-flag", &family, &threshold));
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, grade_against_its_visit, 0, ARRAY_LEN(graded));
    tcase_add_loop_test(tc, rules_of_single_motions, 0, ARRAY_LEN(others));
    tcase_add_test(tc, tone_in_the_diagnosis);
    tcase_add_loop_test(tc, precautions, 0, ARRAY_LEN(forbidden));
    tcase_add_test(tc, precaution_of_one_digit);
    tcase_add_loop_test(tc, passive_range_missing, 0, ARRAY_LEN(passive));
    tcase_add_test(tc, tolerance_of_the_clinic);
    tcase_add_test(tc, levels_are_those_of_the_tables);
    tcase_add_test(tc, flags_are_explained);
}

BUILD_SUITE("rules_grades")
