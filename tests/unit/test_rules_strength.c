/* Manual grades: what contradicts them within the visit, and changes that mean little. */
#include "rules_build.h"

#include <stdlib.h>
#include <unistd.h>

#define NOW "2026-03-02 "
#define THEN "2026-02-02 "
#define A_ABD NOW "hip abduction right AROM 30;"

/* Flags of the grade's row. */
static const struct {
    const char *readings, *flags, *protocol;
} checks[] = {
    {A_ABD NOW "hip abduction right MMT 4", "", NULL},
    {NOW "hip abduction right MMT 4", "arom-before-strength", NULL},
    {NOW "hip abduction right AROM no-angle;" NOW "hip abduction right MMT 4", "", NULL},
    {NOW "hip abduction left AROM 30;" NOW "hip abduction right MMT 4", "arom-before-strength",
     NULL},
    {NOW "scapula elevation right MMT 4", "", NULL}, /* has no range to measure */
    {NOW "hip abduction right MMT not-tested", "not-tested-is-not-zero", NULL},
    {NOW "hip abduction right MMT not-recorded", "", NULL},
    /* Movement beside a grade that has none. */
    {A_ABD NOW "hip abduction right MMT 0", "zero-or-one-with-active-range", NULL},
    {A_ABD NOW "hip abduction right MMT 1", "zero-or-one-with-active-range trace-without-movement",
     NULL},
    {A_ABD NOW "hip abduction right MMT 2-", "", NULL},
    {NOW "hip abduction right AROM 5;" NOW "hip abduction right MMT 0", "", NULL},
    {NOW "hip abduction right AROM 5;" NOW "hip abduction right MMT 1", "trace-without-movement",
     NULL},
    {NOW "hip abduction right AROM 0;" NOW "hip abduction right MMT 1", "", NULL},
    {NOW "hip abduction right AROM 30 start=28;" NOW "hip abduction right MMT 0", "", NULL},
    {NOW "hip abduction right AROM fixed30;" NOW "hip abduction right MMT 0", "", NULL},
    {NOW "hip abduction right PROM 30;" NOW "hip abduction right MMT 0", "arom-before-strength",
     NULL},
    /* An elbow that reads 0 may never have moved; with a start it is known. */
    {NOW "elbow extension right AROM 0;" NOW "elbow extension right MMT 1", "", NULL},
    {NOW "elbow extension right AROM 0 start=-60;" NOW "elbow extension right MMT 1",
     "zero-or-one-with-active-range trace-without-movement", NULL},
    /* Position. */
    {A_ABD NOW "hip abduction right MMT 3- pos=gravity-minimised",
     "three-or-more-in-minimised-position", NULL},
    {A_ABD NOW "hip abduction right MMT 4 pos=supine,_gravity_eliminated",
     "three-or-more-in-minimised-position", NULL},
    {A_ABD NOW "hip abduction right MMT 2+ pos=gravity-minimised", "", NULL},
    {A_ABD NOW "hip abduction right MMT 4 pos=supine", "", NULL},
    {NOW "finger-pip flexion right AROM 90 digit=2;" NOW
         "finger-pip flexion right MMT 4 digit=2 pos=gravity-minimised",
     "", NULL}, /* gravity is ignored for fingers */
    {NOW "ankle plantar-flexion right AROM 40;" NOW "ankle plantar-flexion right MMT 4 pos=prone",
     "heel-rise-needed", NULL},
    {NOW "ankle plantar-flexion right AROM 40;" NOW "ankle plantar-flexion right MMT 2+ pos=prone",
     "", NULL},
    {NOW "ankle plantar-flexion right AROM 40;" NOW
         "ankle plantar-flexion right MMT 4 pos=standing",
     "", NULL},
    {NOW "ankle plantar-flexion right AROM 40;" NOW "ankle plantar-flexion right MMT 4", "", NULL},
    {NOW "ankle plantar-flexion right AROM 40;" NOW "ankle plantar-flexion right MMT 4 pos=supine",
     "", "ISNCSCI"},
    /* Pain. */
    {A_ABD NOW "hip abduction right MMT 4 pain", "pain-limited-grade", NULL},
    {A_ABD NOW "hip abduction right MMT 5 pain", "normal-grade-with-pain", NULL},
    /* Past straight says nothing of a movement. */
    {NOW "elbow extension right MMT 0;" NOW "elbow extension right AROM 8", "", NULL},
    /* Change. */
    {A_ABD NOW "hip abduction right MMT 4 by=A;" THEN "hip abduction right MMT 4- by=A",
     "change-within-error", NULL},
    {A_ABD NOW "hip abduction right MMT 4 by=A;" THEN "hip abduction right MMT 4 by=A", "", NULL},
    {A_ABD NOW "hip abduction right MMT 3+ by=A;" THEN "hip abduction right MMT 3- by=A",
     "change-within-error crosses-grade-three", NULL},
    {A_ABD NOW "hip abduction right MMT 3- by=A;" THEN "hip abduction right MMT 3 by=A",
     "change-within-error crosses-grade-three", NULL},
    {A_ABD NOW "hip abduction right MMT 3+ by=A;" THEN "hip abduction right MMT 3- by=B",
     "change-within-error", NULL},
    {A_ABD NOW "hip abduction right MMT 4 by=A;" THEN "hip abduction right MMT 3 by=A", "", NULL},
};

static const struct finding *grade_row(const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_rows; i++)
        if (v->rows[i].test == TEST_MMT)
            return &v->rows[i];
    return NULL;
}

START_TEST(grade_checks)
{
    struct build *b = build_new();
    build_add(b, checks[_i].readings);
    b->visits[b->patient.n_visits - 1].protocol = checks[_i].protocol;
    struct visit_findings *v = build_evaluate(b);
    ck_assert_str_eq(build_flags(b, grade_row(v)), checks[_i].flags);
    build_free(b);
}
END_TEST

/* A precaution that forbids moving explains a missing range. */
static const struct {
    enum limit_kind kind;
    enum test test;
    const char *joint, *motion; /* NULL: the whole episode */
    enum side side;
    const char *from, *until;
    bool explains;
} precautions[] = {
    {LIMIT_NO_TEST, TEST_NONE, NULL, NULL, SIDE_NONE, NULL, NULL, true},
    {LIMIT_NO_TEST, TEST_AROM, "hip", "abduction", SIDE_RIGHT, NULL, NULL, true},
    {LIMIT_RANGE, TEST_NONE, "hip", "abduction", SIDE_NONE, NULL, NULL, true},
    {LIMIT_NO_TEST, TEST_PROM, NULL, NULL, SIDE_NONE, NULL, NULL, false},
    {LIMIT_RESISTANCE, TEST_NONE, NULL, NULL, SIDE_NONE, NULL, NULL, false},
    {LIMIT_NO_TEST, TEST_NONE, "hip", "flexion", SIDE_NONE, NULL, NULL, false},
    {LIMIT_NO_TEST, TEST_NONE, "hip", "abduction", SIDE_LEFT, NULL, NULL, false},
    {LIMIT_NO_TEST, TEST_NONE, NULL, NULL, SIDE_NONE, "2026-03-02", "2026-03-02", true},
    {LIMIT_NO_TEST, TEST_NONE, NULL, NULL, SIDE_NONE, "2026-03-03", NULL, false},
    {LIMIT_NO_TEST, TEST_NONE, NULL, NULL, SIDE_NONE, NULL, "2026-03-01", false},
};

START_TEST(precaution_explains_a_missing_range)
{
    struct build *b = build_new();
    struct limit limit = {.kind = precautions[_i].kind,
                          .test = precautions[_i].test,
                          .side = precautions[_i].side,
                          .value = num_of(20)};
    if (precautions[_i].joint != NULL)
        limit.motion = reference_motion(build_ref, precautions[_i].joint, precautions[_i].motion);
    if (precautions[_i].from != NULL)
        ck_assert(date_parse_iso(precautions[_i].from, &limit.from));
    if (precautions[_i].until != NULL)
        ck_assert(date_parse_iso(precautions[_i].until, &limit.until));
    b->patient.limits = &limit;
    b->patient.n_limits = 1;
    struct visit_findings *v = build_findings(b, NOW "hip abduction right MMT 4");
    ck_assert(rules_has_flag(grade_row(v), "arom-before-strength") != precautions[_i].explains);
    build_free(b);
}
END_TEST

#define ROW(id, grade)                                                                             \
    "<tension id='" id "' kind='resisted' finding='x' program-condition='x' may-suggest='x'"       \
    " cautious-wording='x' how-known='memory'" grade "/>"

/* A library of the knee alone, with so much of the table that says what is weak. */
static struct reference *small_library(const char *table)
{
    static const char *const files[] = {"sources.xml", "grades.xml", "knee.xml"};
    char folder[] = "/tmp/endfeel-strength.XXXXXX", top[4096], from[8192], to[4096];
    ck_assert_ptr_nonnull(mkdtemp(folder));
    ck_assert_ptr_nonnull(getcwd(top, sizeof top));
    for (size_t i = 0; i < ARRAY_LEN(files); i++) {
        snprintf(from, sizeof from, "%s/src/reference/%s", top, files[i]);
        snprintf(to, sizeof to, "%s/%s", folder, files[i]);
        ck_assert_int_eq(symlink(from, to), 0);
    }
    snprintf(to, sizeof to, "%s/patterns.xml", folder);
    FILE *file = fopen(to, "w");
    ck_assert_ptr_nonnull(file);
    ck_assert_int_gt(fprintf(file, "<patterns>%s</patterns>", table), 0);
    ck_assert_int_eq(fclose(file), 0);
    struct diag_list reported = {0};
    diag_list_init(&reported);
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert_int_eq(unlink(to), 0);
    for (size_t i = 0; i < ARRAY_LEN(files); i++) {
        snprintf(to, sizeof to, "%s/%s", folder, files[i]);
        ck_assert_int_eq(unlink(to), 0);
    }
    ck_assert_int_eq(rmdir(folder), 0);
    ck_assert_ptr_nonnull(ref);
    diag_list_release(&reported);
    return ref;
}

START_TEST(power_needs_a_grade_and_the_table)
{
    struct visit_findings v = {.ref = build_ref};
    struct finding f = {.test = TEST_MMT};
    ck_assert_int_eq(rules_power(&v, &f), POWER_UNKNOWN);
    f.grade = reference_grade(build_ref, "3");
    f.motion = reference_motion(build_ref, "knee", "extension");
    ck_assert_int_eq(rules_power(&v, &f), POWER_WEAK);
    static const char *const tables[] = {
        "", ROW("weak-painless", " grade='3+'"), ROW("strong-painful", " grade='4'"),
        ROW("weak-painless", "") ROW("strong-painful", " grade='4'"),
        ROW("weak-painless", " grade='3+'") ROW("strong-painful", "")};
    for (size_t i = 0; i < ARRAY_LEN(tables); i++) {
        struct reference *small = small_library(tables[i]);
        v.ref = small;
        f.grade = reference_grade(small, "3");
        f.motion = reference_motion(small, "knee", "extension");
        ck_assert_int_eq(rules_power(&v, &f), POWER_UNKNOWN);
        reference_free(small);
    }
}
END_TEST

/* The range that a grade is read beside is the largest; of equal ends that which stands first. */
START_TEST(largest_active_range)
{
    static const char *const rows[] = {
        "2026-03-02 knee flexion right AROM 30 pos=prone;2026-03-02 knee flexion right AROM 30;",
        "2026-03-02 knee flexion right AROM 20;2026-03-02 knee flexion right AROM 30 pos=prone;",
        "2026-03-02 knee flexion right AROM not-tested;2026-03-02 knee flexion right AROM 30 "
        "pos=prone;"};
    static const size_t largest[] = {0, 1, 1};
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct build *b = build_new();
        build_add(b, rows[i]);
        struct visit_findings *v = build_findings(b, "2026-03-02 knee flexion right MMT 3");
        ck_assert_uint_eq(v->n_rows, 3);
        ck_assert_ptr_eq(rules_active_range(v, &v->rows[2]), &v->rows[largest[i]]);
        build_free(b);
    }
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_test(tc, largest_active_range);
    tcase_add_test(tc, power_needs_a_grade_and_the_table);
    tcase_add_loop_test(tc, grade_checks, 0, ARRAY_LEN(checks));
    tcase_add_loop_test(tc, precaution_explains_a_missing_range, 0, ARRAY_LEN(precautions));
}

BUILD_SUITE("rules_strength")
