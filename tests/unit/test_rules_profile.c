/* Whose normal values a clinic chose: where the profile has a row, where it has none, and that a
 * stated position, an infant and another zero go before it. */
#include "rules_build.h"

#define AT "2026-03-02 "

static const struct {
    enum norms_profile profile;
    double age;
    const char *reading, *normal, *source, *flags;
} chosen[] = {
    {NORMS_DEFAULT, 40, "elbow flexion right AROM 100", "150", "AAOS_NW", ""},
    {NORMS_LEGAL, 40, "elbow flexion right AROM 100", "145", "CFR471_PLATES", ""},
    {NORMS_AMA, 40, "elbow flexion right AROM 100", "140", "AMA_NW5", ""},
    {NORMS_AAOS, 40, "elbow flexion right AROM 100", "150", "AAOS_NW", ""},
    /* The default already is of the profile. */
    {NORMS_LEGAL, 40, "knee flexion right AROM 100", "140", "CFR471_PLATES", ""},
    {NORMS_LEGAL, 40, "cervical flexion midline AROM 30", "45", "CFR471A_SPINE", ""},
    {NORMS_LEGAL, 40, "finger-pip flexion right AROM 60 digit=3", "100", "CFR471A_DIGITS", ""},
    {NORMS_LEGAL, 40, "jaw opening midline AROM 30", "35", "CFR4150_TMD", ""},
    /* The second and third source where the first has none; round figures before means. */
    {NORMS_AAOS, 40, "knee flexion right AROM 100", "135", "AAOS1965", ""},
    {NORMS_AAOS, 40, "hip adduction right AROM 10", "20", "AAOS_NW", ""},
    {NORMS_AMA, 40, "trunk rotation right AROM 10", "45", "AMA_SCR", ""},
    {NORMS_AMA, 40, "hip abduction right AROM 10", "40", "AMA5", ""},
    /* Figures by digit are special rows. */
    {NORMS_AMA, 40, "toe-mtp flexion right AROM 10 digit=1", "30", "AMA_SCR", ""},
    {NORMS_AMA, 40, "toe-mtp flexion right AROM 10 digit=4", "10", "AMA_SCR", ""},
    /* None of the profile: the default, said. */
    {NORMS_LEGAL, 40, "shoulder extension right AROM 30", "60", "AAOS_NW",
     "normal-not-of-profile"},
    {NORMS_AMA, 40, "knee extension right PROM 0", "0", "CFR471_PLATES", "normal-not-of-profile"},
    {NORMS_LEGAL, 40, "shoulder adduction right AROM 10", "30", "DSHS13585A",
     "normal-not-of-profile"},
    /* A row that measures something else: the gap to the finger, not the reach of the thumb. */
    {NORMS_AMA, 40, "thumb-cmc opposition right AROM 2", "0", "AAOS_NW", "normal-not-of-profile"},
    /* Another zero than the default is not taken. */
    {NORMS_AAOS, 40, "finger-mcp extension right AROM 0 digit=2", "0", "CFR471A_DIGITS",
     "normal-not-of-profile"},
    {NORMS_AAOS, 40, "thumb-ip extension right AROM 0", "0", "AAOS1965", ""},
    {NORMS_AAOS, 40, "knee extension right AROM 0", "0", "CFR471_PLATES",
     "normal-not-of-profile"},
    /* A stated position goes before the profile, of whatever source. */
    {NORMS_AMA, 40, "trunk flexion midline AROM 40 pos=lumbar_only", "60", "AMA5",
     "normal-other-mode"},
    {NORMS_LEGAL, 40, "hip internal-rotation right PROM 30 pos=prone", "35.2",
     "KOUYOUMDJIAN2012", "normal-not-of-profile"},
    {NORMS_AMA, 0.05, "hip extension right PROM 0", "", "", ""},
};

START_TEST(row_of_the_profile)
{
    struct build *b = build_new();
    b->clinic.norms = chosen[_i].profile;
    b->patient.age = num_of(chosen[_i].age);
    struct visit_findings *v =
        build_findings(b, arena_printf(b->arena, AT "%s", chosen[_i].reading));
    const struct finding *f = &v->rows[0];
    ck_assert_ptr_nonnull(f->normal);
    if (chosen[_i].normal[0] == '\0') { /* an infant: any row but one of the profile */
        ck_assert(!rules_profile_has(chosen[_i].profile, f->normal));
        ck_assert(f->normal->role == NORM_SPECIAL);
    } else {
        double normal = build_number(chosen[_i].normal);
        ck_assert_msg(f->normal->normal == normal, "%s: %g", chosen[_i].reading,
                      f->normal->normal);
        ck_assert_str_eq(f->normal->source->id, chosen[_i].source);
        bool noted = str_eq(chosen[_i].flags, "normal-not-of-profile");
        ck_assert(rules_has_flag(f, "normal-not-of-profile") == noted);
    }
    build_free(b);
}
END_TEST

/* Each reason to leave a row of the profile's own sources out, and one that is left. */
START_TEST(rows_that_are_not_for_the_reading)
{
    struct build *b = build_new();
    b->clinic.norms = NORMS_AMA;
    struct motion motion = *reference_motion(build_ref, "elbow", "flexion");
    const struct norm good = {.source = reference_source(build_ref, "AMA5"),
                              .role = NORM_ALT,
                              .unit = UNIT_DEG,
                              .normal = 140,
                              .age_max = 120,
                              .qualifier = ""};
    struct norm norms[] = {good, good, good, good, good, good, good};
    norms[0].role = NORM_STRATUM;
    norms[1].role = NORM_SPECIAL;
    norms[2].side = SIDE_LEFT;
    norms[3].unit = UNIT_CM;
    norms[4].lower_is_better = true;
    norms[5].sex = SEX_FEMALE;
    motion.norms = norms;
    struct finding f = {.motion = &motion, .test = TEST_AROM, .unit = UNIT_DEG};
    struct visit_findings v = {
        .patient = &b->patient, .clinic = &b->clinic, .age = num_of(40)};
    for (motion.n_norms = 0; motion.n_norms < ARRAY_LEN(norms); motion.n_norms++)
        ck_assert_ptr_null(rules_profile_normal(&v, &f));
    ck_assert_ptr_eq(rules_profile_normal(&v, &f), &norms[6]);
    build_free(b);
}
END_TEST

/* The deficit follows the row. */
START_TEST(deficit_is_to_the_profile)
{
    struct build *b = build_new();
    b->clinic.norms = NORMS_AMA;
    struct visit_findings *v = build_findings(b, AT "elbow flexion right AROM 105");
    ck_assert_str_eq(build_text(b, v->rows[0].deficit, 1), "35.0");
    ck_assert_str_eq(build_text(b, v->rows[0].deficit_percent, 1), "25.0");
    build_free(b);
}
END_TEST

/* Every source that a profile names is in the library and has a row to give. */
START_TEST(profiles_are_in_the_reference)
{
    static const char *const ids[] = {"CFR471_PLATES", "CFR471A_SPINE", "CFR471A_DIGITS",
                                      "CFR4150_TMD", "AAOS_NW", "AAOS1965", "AAOS1994",
                                      "AMA_NW5", "AMA5", "AMA_SCR"};
    for (size_t i = 0; i < ARRAY_LEN(ids); i++) {
        const struct source *source = reference_source(build_ref, ids[i]);
        ck_assert_msg(source != NULL, "%s", ids[i]);
        struct norm norm = {.source = source};
        int profiles = 0;
        for (int p = NORMS_LEGAL; p < NORMS_PROFILE_COUNT; p++)
            profiles += rules_profile_has((enum norms_profile)p, &norm);
        ck_assert_int_eq(profiles, 1);
        ck_assert(rules_profile_has(NORMS_DEFAULT, &norm));
    }
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, row_of_the_profile, 0, ARRAY_LEN(chosen));
    tcase_add_test(tc, rows_that_are_not_for_the_reading);
    tcase_add_test(tc, deficit_is_to_the_profile);
    tcase_add_test(tc, profiles_are_in_the_reference);
}

BUILD_SUITE("rules_profile")
