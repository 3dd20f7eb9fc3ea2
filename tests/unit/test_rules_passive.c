/* Passive below active, end feels, and neutral-zero notation: what one day's readings of one
 * joint say of each other. */
#include "rules_build.h"

#define AT "2026-03-02 "
#define A_FLEX AT "knee flexion right AROM "
#define P_FLEX AT "knee flexion right PROM "

/* flags of the active row and of the passive row, either "passive-below-active" or "". */
static const struct {
    const char *readings;
    bool flagged;
    double tolerance;
} passives[] = {
    {A_FLEX "101;" P_FLEX "91", true, 5},
    {A_FLEX "101;" P_FLEX "96", false, 5},
    {A_FLEX "101;" P_FLEX "95.9", true, 5},
    {A_FLEX "101;" P_FLEX "95.9", false, 8},
    {A_FLEX "101;" P_FLEX "110", false, 5},
    {A_FLEX "101;" P_FLEX "not-tested", false, 5},
    {A_FLEX "101 pos=prone;" P_FLEX "91 pos=supine", false, 5},
    {A_FLEX "101 pos=prone;" P_FLEX "91", true, 5},
    {A_FLEX "101;" P_FLEX "91 after", false, 5},
    {A_FLEX "101;" AT "knee flexion left PROM 91", false, 5},
    {A_FLEX "101;" P_FLEX "9 unit=cm", false, 5},
    {A_FLEX "101;" AT "knee flexion right MMT 4", false, 5},
    /* Active 14 short and passive 9 short of straight is as it should be; past straight and
     * then short of it is not. */
    {AT "knee extension right AROM -14;" AT "knee extension right PROM -9", false, 5},
    {AT "knee extension right AROM 4;" AT "knee extension right PROM -2", true, 5},
    {AT "thumb-cmc opposition right AROM 1;" AT "thumb-cmc opposition right PROM 9", false, 5},
    {AT "finger-pip flexion right AROM 90 digit=2;" AT "finger-pip flexion right PROM 60 digit=3",
     false, 5},
};

START_TEST(passive_below_active)
{
    struct build *b = build_new();
    b->clinic.tolerance_deg = passives[_i].tolerance;
    struct visit_findings *v = build_findings(b, passives[_i].readings);
    ck_assert_uint_eq(v->n_rows, 2);
    for (size_t i = 0; i < 2; i++)
        ck_assert(rules_has_flag(&v->rows[i], "passive-below-active") == passives[_i].flagged);
    build_free(b);
}
END_TEST

/* More motion is a larger number, unless the normal value says that less is better; a motion
 * without one is no exception. */
START_TEST(shortfall_turns_where_less_is_better)
{
    struct build *b = build_new();
    struct motion motion = *reference_motion(build_ref, "knee", "flexion");
    struct norm less = *motion.normal;
    less.lower_is_better = true;
    const struct norm *const normals[] = {motion.normal, NULL, &less};
    for (size_t i = 0; i < ARRAY_LEN(normals); i++) {
        struct finding f[2] = {{.motion = &motion, .test = TEST_AROM, .unit = UNIT_DEG},
                               {.motion = &motion, .test = TEST_PROM, .unit = UNIT_DEG}};
        struct visit_findings v = {.clinic = &b->clinic, .rows = f, .n_rows = 2};
        motion.normal = normals[i];
        f[0].end = num_of(normals[i] == &less ? 91 : 101);
        f[1].end = num_of(normals[i] == &less ? 101 : 91);
        rules_passive(&v, b->arena);
        ck_assert(rules_has_flag(&f[0], "passive-below-active"));
        ck_assert(rules_has_flag(&f[1], "passive-below-active"));
    }
    build_free(b);
}
END_TEST

static const char *const second[] = {
    A_FLEX "100 by=P role=PT;" P_FLEX "105 by=P role=PT;" P_FLEX "90 by=S role=student",
    A_FLEX "100 by=P role=PT;" P_FLEX "105 by=P role=PT;" A_FLEX "112 by=S role=student",
};

START_TEST(second_measurer_does_not_accuse)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, second[_i]);
    for (size_t i = 0; i < v->n_rows; i++)
        ck_assert(!rules_has_flag(&v->rows[i], "passive-below-active"));
    build_free(b);
}
END_TEST

/* ---- a muscle over two joints -------------------------------------------------------------- */

#define DF AT "ankle dorsiflexion right "
#define STRAIGHT " pos=knee-straight;"
#define BENT " pos=knee-bent"

/* Flags of the first two rows, "taut-beyond-slack" or none; the tolerance is 5 degrees. */
static const struct {
    const char *readings;
    bool flagged;
} stretches[] = {
    {DF "AROM 15" STRAIGHT DF "AROM 5" BENT, true},
    {DF "PROM 15" STRAIGHT DF "PROM 5" BENT, true},
    {DF "AROM 5" STRAIGHT DF "AROM 15" BENT, false},
    {DF "AROM 10" STRAIGHT DF "AROM 5" BENT, false},
    {DF "AROM 10.1" STRAIGHT DF "AROM 5" BENT, true},
    {DF "AROM -2" STRAIGHT DF "AROM -12" BENT, true},
    {DF "PROM 15" STRAIGHT DF "AROM 5" BENT, false},
    {DF "AROM 15" STRAIGHT AT "ankle dorsiflexion left AROM 5" BENT, false},
    {DF "AROM 15;" DF "AROM 5" BENT, false},
    {DF "AROM 15" STRAIGHT DF "AROM 5 after" BENT, false},
    {DF "AROM 15" STRAIGHT DF "AROM not-tested" BENT, false},
    {AT "ankle plantar-flexion right AROM 40" STRAIGHT
     AT "ankle plantar-flexion right AROM 20" BENT, false},
    {AT "hip flexion right PROM 125" STRAIGHT AT "hip flexion right PROM 80" BENT, true},
};

START_TEST(taut_beyond_slack)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, stretches[_i].readings);
    ck_assert_uint_eq(v->n_rows, 2);
    for (size_t i = 0; i < 2; i++)
        ck_assert(rules_has_flag(&v->rows[i], "taut-beyond-slack") == stretches[_i].flagged);
    build_free(b);
}
END_TEST

/* Which of the two is wrong is not known: neither leads, and the next visit is held against an
 * earlier one. */
START_TEST(taut_beyond_slack_does_not_lead)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(
        b, "2026-02-02 ankle dorsiflexion right AROM 2" STRAIGHT "2026-02-02 ankle dorsiflexion "
           "right AROM 4" BENT ";" DF "AROM 25" STRAIGHT DF "AROM 5" BENT);
    ck_assert_ptr_null(v->headline);
    v = build_findings(b, "2026-02-02 ankle dorsiflexion right AROM 2" STRAIGHT
                       DF "AROM 25" STRAIGHT DF "AROM 5" BENT
                       ";2026-03-30 ankle dorsiflexion right AROM 4" STRAIGHT);
    ck_assert(v->rows[0].previous.change.has);
    ck_assert_double_eq_tol(v->rows[0].previous.change.value, 2, 1e-9);
    build_free(b);
}
END_TEST

/* Not accused twice: the step since the last visit tells which of the two it is. */
START_TEST(a_jump_explains)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(
        b, "2026-02-02 ankle dorsiflexion right AROM 2" STRAIGHT
           "2026-02-02 ankle dorsiflexion left AROM 11" STRAIGHT
           DF "AROM 25" STRAIGHT DF "AROM 5" BENT);
    for (size_t i = 0; i < v->n_rows; i++)
        ck_assert(!rules_has_flag(&v->rows[i], "taut-beyond-slack"));
    build_free(b);
}
END_TEST

/* ---- end feel ----------------------------------------------------------------------------- */

static const struct {
    const char *reading, *flags;
} end_feels[] = {
    {AT "knee flexion right PROM 120", ""},
    {AT "knee flexion right PROM 120 end-feel=soft", ""},
    {AT "knee flexion right PROM 120 end-feel=firm", ""}, /* accepted beside soft */
    {AT "knee flexion right PROM 120 end-feel=hard", "end-feel-unexpected"},
    {AT "knee flexion right PROM 120 end-feel=springy", "end-feel-unexpected"},
    {AT "knee flexion right PROM 120 end-feel=empty", "end-feel-unexpected end-feel-empty"},
    {AT "knee flexion right PROM no-angle end-feel=empty", "end-feel-unexpected end-feel-empty"},
    {AT "shoulder flexion right PROM 170 end-feel=soft", "end-feel-unexpected"},
    {AT "knee flexion right MMT 4 end-feel=hard", "arom-before-strength"},
};

START_TEST(end_feel_against_expected)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, end_feels[_i].reading);
    ck_assert_str_eq(build_flags(b, &v->rows[0]), end_feels[_i].flags);
    build_free(b);
}
END_TEST

START_TEST(nothing_expected_leaves_only_empty)
{
    struct build *b = build_new();
    struct motion motion = *reference_motion(build_ref, "knee", "flexion");
    motion.goniometry = NULL;
    struct finding f[] = {{.motion = &motion, .test = TEST_PROM, .end_feel = END_FEEL_HARD},
                          {.motion = &motion, .test = TEST_PROM, .end_feel = END_FEEL_EMPTY}};
    struct visit_findings v = {.rows = f, .n_rows = 2};
    rules_end_feel(&v, b->arena);
    ck_assert_int_eq(f[0].n_flags, 0);
    ck_assert(rules_has_flag(&f[1], "end-feel-unexpected"));
    build_free(b);
}
END_TEST

/* ---- neutral-zero ------------------------------------------------------------------------- */

#define EXT(v) AT "knee extension right AROM " v ";"
#define FLEX(v) AT "knee flexion right AROM " v ";"

static const struct {
    const char *readings, *text; /* "": none */
    bool contradiction;
} notations[] = {
    {FLEX("140") EXT("5"), "5-0-140", false},
    {FLEX("120") EXT("-10"), "0-10-120", false},
    {FLEX("130") EXT("0"), "0-0-130", false},
    {FLEX("130.5") EXT("2.5"), "2.5-0-130.5", false},
    {FLEX("130") EXT("-0.04"), "0-0-130", false},
    {FLEX("fixed30") EXT("fixed-30"), "0-30-30", false},
    {FLEX("-5") EXT("20"), "20-5-0", false},
    {FLEX("20") EXT("-30"), "", true},
    {FLEX("140"), "", false},
    {FLEX("140") EXT("not-tested"), "", false},
    {FLEX("140") AT "knee extension right PROM 5", "", false},
    {FLEX("140") AT "knee extension left AROM 5", "", false},
    {FLEX("140") AT "knee extension right AROM 5 after", "", false},
    {FLEX("140 by=A") EXT("5 by=B"), "", false},
    {FLEX("140 tool=goniometer") EXT("5 tool=inclinometer"), "", false},
    {FLEX("140 pos=supine") EXT("5 pos=prone"), "", false},
    {FLEX("140 pos=supine") EXT("5"), "5-0-140", false},
    {FLEX("140 pos=supine") EXT("3") EXT("5 pos=supine"), "5-0-140", false},
    {AT "ankle dorsiflexion right AROM 12;" AT "ankle plantar-flexion right AROM 45", "12-0-45",
     false},
    {AT "ankle dorsiflexion right AROM -6;" AT "ankle plantar-flexion right AROM 45", "0-6-45",
     false},
    {AT "hip abduction right AROM 40;" AT "hip adduction right AROM 20", "40-0-20", false},
    {AT "hip abduction right AROM -10;" AT "hip adduction right AROM 25", "0-10-25", false},
    {AT "shoulder external-rotation left AROM 60;" AT "shoulder internal-rotation left AROM 80",
     "60-0-80", false},
    {AT "forearm supination left AROM 85;" AT "forearm pronation left AROM 70", "85-0-70", false},
    {AT "subtalar inversion left AROM 30;" AT "subtalar eversion left AROM 12", "30-0-12", false},
    {AT "cervical rotation left AROM 75;" AT "cervical rotation right AROM 60", "75-0-60", false},
    {AT "trunk lateral-flexion right AROM 31;" AT "trunk lateral-flexion left AROM 35", "35-0-31",
     false},
    {AT "elbow extension right AROM 10;" AT "elbow flexion right AROM 0.5", "10-0-0.5", false},
    {AT "cervical rotation left AROM 75", "", false},
    {AT "cervical rotation left AROM 75;" AT "cervical rotation right PROM 60", "", false},
    {AT "thumb-cmc abduction right AROM 60", "", false},
    {AT "cervical flexion midline AROM 40;" AT "cervical extension midline AROM 50", "50-0-40",
     false},
};

START_TEST(neutral_zero)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, notations[_i].readings);
    bool seen = false;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        seen |= f->neutral_zero != NULL;
        if (f->neutral_zero != NULL)
            ck_assert_str_eq(f->neutral_zero, notations[_i].text);
        ck_assert(rules_has_flag(f, "flexion-below-lack") == notations[_i].contradiction);
    }
    ck_assert(seen == (notations[_i].text[0] != '\0'));
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, passive_below_active, 0, ARRAY_LEN(passives));
    tcase_add_test(tc, shortfall_turns_where_less_is_better);
    tcase_add_loop_test(tc, second_measurer_does_not_accuse, 0, ARRAY_LEN(second));
    tcase_add_loop_test(tc, taut_beyond_slack, 0, ARRAY_LEN(stretches));
    tcase_add_test(tc, taut_beyond_slack_does_not_lead);
    tcase_add_test(tc, a_jump_explains);
    tcase_add_loop_test(tc, end_feel_against_expected, 0, ARRAY_LEN(end_feels));
    tcase_add_test(tc, nothing_expected_leaves_only_empty);
    tcase_add_loop_test(tc, neutral_zero, 0, ARRAY_LEN(notations));
}

BUILD_SUITE("rules_passive")
