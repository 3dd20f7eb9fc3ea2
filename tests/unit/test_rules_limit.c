/* Limits: what was passed, kept, has run out or has not begun; which row one concerns; flags. */
#include "rules_aims.h"

#define V1 "2026-02-02 "
#define NOW "2026-03-02 "
#define KNEE "knee flexion right "

/* Row 0: "status flags" of its limits, the flags of this family alone. */
static const struct {
    const char *limits, *reading, *is;
} limits[] = {
    /* The limit itself is within, whatever the last bit of its binary form. */
    {"range " KNEE "value=90", KNEE "AROM 90", "within"},
    {"range " KNEE "value=90", KNEE "AROM 90.1", "beyond beyond-limit"},
    {"range " KNEE "value=90", KNEE "AROM 40", "within"},
    {"range " KNEE "value=90", KNEE "AROM ~95", "beyond beyond-limit"},
    {"range " KNEE "value=90", KNEE "AROM 95 after", "beyond beyond-limit"},
    {"range " KNEE "value=90", KNEE "AROM fixed95", "beyond beyond-limit"},
    {"range " KNEE "value=90", KNEE "AROM not-tested", "none"},
    {"range " KNEE "value=90", KNEE "AROM no-angle", "none"},
    /* One try went past it, though the mean did not. */
    {"range " KNEE "value=90", KNEE "AROM 84,91", "beyond beyond-limit"},
    {"range " KNEE "value=90", KNEE "AROM 84,90", "within"},
    /* From its first to its last day. */
    {"range " KNEE "value=90 until=2026-03-02", KNEE "AROM 95", "beyond beyond-limit"},
    {"range " KNEE "value=90 until=2026-03-01", KNEE "AROM 95", "expired"},
    {"range " KNEE "value=90 until=2026-03-01", KNEE "AROM not-tested", "expired"},
    {"range " KNEE "value=90 from=2026-03-02", KNEE "AROM 95", "beyond beyond-limit"},
    {"range " KNEE "value=90 from=2026-03-03", KNEE "AROM 95", ""},
    /* Its own motion, side, digit and test. */
    {"range " KNEE "value=90 test=PROM", KNEE "AROM 95", ""},
    {"range " KNEE "value=90 test=PROM", KNEE "PROM 95", "beyond beyond-limit"},
    {"range " KNEE "value=90", "knee flexion left AROM 95", ""},
    {"range " KNEE "value=-10", "knee extension right AROM 0", ""},
    {"range " KNEE "value=90", KNEE "MMT 5", ""},
    {"range finger-pip flexion right value=60 digit=3", "finger-pip flexion right AROM 70 digit=3",
     "beyond beyond-limit"},
    {"range finger-pip flexion right value=60 digit=3", "finger-pip flexion right AROM 70 digit=2",
     ""},
    {"range finger-pip flexion right value=60", "finger-pip flexion right AROM 70 digit=2",
     "beyond beyond-limit"}, /* of every finger */
    {"range trunk flexion midline value=40", "trunk flexion midline AROM 50 unit=cm", ""},
    /* Short of straight, and a gap that closes. */
    {"range knee extension right value=-10", "knee extension right PROM -12", "within"},
    {"range knee extension right value=-10", "knee extension right PROM -10", "within"},
    {"range knee extension right value=-10", "knee extension right PROM -9",
     "beyond beyond-limit"},
    {"range thumb-cmc opposition right value=3", "thumb-cmc opposition right AROM 3", "within"},
    {"range thumb-cmc opposition right value=3", "thumb-cmc opposition right AROM 2.5",
     "beyond beyond-limit"},
    /* Several: what was passed first, then the tightest. */
    {"range " KNEE "value=90;range " KNEE "value=60", KNEE "AROM 70",
     "beyond within beyond-limit"},
    {"range " KNEE "value=90;range " KNEE "value=60 until=2026-02-01", KNEE "AROM 70",
     "within expired"},
    {"range " KNEE "value=60 until=2026-02-01;range " KNEE "value=90", KNEE "AROM not-tested",
     "none expired"},
    {"no-test " KNEE "test=PROM;range " KNEE "value=90", KNEE "PROM 95",
     "beyond beyond tested-against-limit beyond-limit"},
    /* No resistance: grades above 3, and any force. */
    {"resistance " KNEE, KNEE "MMT 3", "within"},
    {"resistance " KNEE, KNEE "MMT 3+", "beyond resistance-not-allowed"},
    {"resistance " KNEE, KNEE "MMT 0", "within"},
    {"resistance " KNEE, KNEE "MMT not-tested", "none"},
    {"resistance " KNEE, KNEE "force 20", "beyond resistance-not-allowed"},
    {"resistance " KNEE, KNEE "AROM 95", ""},
    {"resistance " KNEE "until=2026-03-01", KNEE "MMT 5", ""},
    {"resistance until=2026-03-02", KNEE "MMT 5", "beyond resistance-not-allowed"},
    {"resistance test=force", KNEE "MMT 5", ""},
    /* No test at all: of one test, or of any. */
    {"no-test " KNEE "test=AROM", KNEE "AROM 30", "beyond tested-against-limit"},
    {"no-test " KNEE "test=AROM", KNEE "AROM no-angle", "beyond tested-against-limit"},
    {"no-test " KNEE "test=AROM", KNEE "AROM not-tested", "none"},
    {"no-test " KNEE "test=AROM", KNEE "AROM not-recorded", "none"},
    {"no-test " KNEE "test=AROM", KNEE "PROM 30", ""},
    {"no-test " KNEE, KNEE "MMT 1", "beyond tested-against-limit"},
    {"no-test", "wrist flexion left AROM 30", "beyond tested-against-limit"},
    {"no-test until=2026-03-01", "wrist flexion left AROM 30", ""},
    /* Weight: what was recorded standing, of the leg alone. */
    {"weight-bearing value=20", "ankle plantar-flexion right MMT 4 pos=standing",
     "beyond standing-against-limit"},
    {"weight-bearing value=20", "ankle dorsiflexion right AROM 20 pos=lunge",
     "beyond standing-against-limit"},
    {"weight-bearing", "ankle plantar-flexion right MMT 4 pos=heel_rises",
     "beyond standing-against-limit"},
    {"weight-bearing", "ankle plantar-flexion right MMT not-tested pos=standing", "none"},
    {"weight-bearing", "ankle plantar-flexion right MMT 2 pos=prone", ""},
    {"weight-bearing", "ankle plantar-flexion right MMT 2", ""},
    {"weight-bearing", "shoulder flexion right AROM 90 pos=standing", ""},
    {"weight-bearing until=2026-03-01", "hip abduction right AROM 30 pos=standing", ""},
    {"weight-bearing ankle dorsiflexion right", "ankle dorsiflexion left AROM 20 pos=standing",
     ""},
};

static const char *describe(struct build *b, const struct finding *f)
{
    static const char *const flags[] = {"resistance-not-allowed", "tested-against-limit",
                                        "standing-against-limit", "beyond-limit"};
    const char *all = "";
    for (const struct limit_finding *l = f->limit; l != NULL; l = l->next)
        all = arena_printf(b->arena, "%s%s%s", all, *all == '\0' ? "" : " ",
                           l->status == NULL ? "none" : l->status);
    for (size_t i = 0; i < ARRAY_LEN(flags); i++)
        if (rules_has_flag(f, flags[i]))
            all = arena_printf(b->arena, "%s %s", all, flags[i]);
    return all;
}

START_TEST(limit_is_held_against)
{
    struct build *b = build_new();
    aims_add(b, limits[_i].limits, aim_limit);
    struct visit_findings *v =
        build_findings(b, arena_printf(b->arena, NOW "%s", limits[_i].reading));
    ck_assert_str_eq(describe(b, &v->rows[0]), limits[_i].is);
    ck_assert(rules_is_past_limit(&v->rows[0]) == (strstr(limits[_i].is, "beyond") != NULL));
    build_free(b);
}
END_TEST

/* Those in force, with what came of all rows under them. */
START_TEST(limits_in_force)
{
    static const char *const statuses[] = {"beyond", "within", "", "beyond"};
    struct build *b = build_new();
    aims_add(b,
             "range " KNEE "value=90;range " KNEE "value=140;range " KNEE
             "value=90 until=2026-03-01;resistance elbow flexion left;no-test wrist flexion left;"
             "range " KNEE "value=90 from=2026-03-03",
             aim_limit);
    struct visit_findings *v = build_findings(
        b, NOW KNEE "AROM 80;" NOW KNEE "PROM 95;" NOW "wrist flexion left AROM 3;" NOW KNEE
               "AROM not-tested pos=prone");
    ck_assert_uint_eq(v->n_limits, ARRAY_LEN(statuses));
    for (size_t i = 0; i < v->n_limits; i++)
        ck_assert_str_eq(v->limits[i].status == NULL ? "" : v->limits[i].status, statuses[i]);
    build_free(b);
}
END_TEST

/* Of limits that came to the same: range before the rest, then the tightest. */
START_TEST(order_of_the_limits_of_a_row)
{
    struct build *b = build_new();
    aims_add(b,
             "range " KNEE "value=120;range " KNEE "value=100;no-test wrist flexion left;"
             "range wrist flexion left value=30;range thumb-cmc opposition left value=1;"
             "range thumb-cmc opposition left value=2",
             aim_limit);
    struct visit_findings *v = build_findings(
        b, NOW KNEE "AROM 80;" NOW "wrist flexion left AROM 40;" NOW
               "thumb-cmc opposition left AROM 3");
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct limit *first = v->rows[i].limit->limit;
        double tightest = str_eq(v->rows[i].motion->joint, "knee")    ? 100
                          : str_eq(v->rows[i].motion->joint, "wrist") ? 30
                                                                      : 2;
        ck_assert_int_eq(first->kind, LIMIT_RANGE);
        ck_assert_double_eq(first->value.value, tightest);
    }
    build_free(b);
}
END_TEST

/* Of two that are equally tight the one that is on file first. */
START_TEST(equal_limits_keep_their_order)
{
    struct build *b = build_new();
    aims_add(b, "range " KNEE "value=90 from=2026-02-02;range " KNEE "value=90", aim_limit);
    struct visit_findings *v = build_findings(b, NOW KNEE "AROM 80");
    ck_assert_ptr_eq(v->rows[0].limit->limit, &b->patient.limits[0]);
    ck_assert_ptr_eq(v->rows[0].limit->next->limit, &b->patient.limits[1]);
    build_free(b);
}
END_TEST

/* A gain past a limit is told as what it is, and counts for no gain. */
START_TEST(never_counted_as_better)
{
    struct build *b = build_new();
    aims_add(b, "range wrist flexion right value=60", aim_limit);
    build_add(b, V1 "wrist flexion right AROM 40 by=A;" NOW "wrist flexion right AROM 70 by=A;" V1
                    "wrist flexion left AROM 60 by=A;" NOW "wrist flexion left AROM 78 by=A");
    struct visit_findings *v = build_evaluate(b);
    ck_assert_int_eq(v->rows[0].previous.verdict, VERDICT_BEYOND_ERROR);
    ck_assert_uint_eq(v->n_better, 1);
    ck_assert_ptr_eq(v->headline, &v->rows[0]);
    build_free(b);
}
END_TEST

/* A precaution that names no digit is one for all of them; one that does is for that one alone. */
START_TEST(forbidden_by_motion_and_digit)
{
    static const struct {
        const char *limits;
        bool forbidden;
    } rows[] = {{"no-test finger-pip flexion right", true},
                {"no-test finger-pip flexion right digit=3", true},
                {"no-test finger-pip flexion right digit=1", false},
                {"no-test finger-pip flexion left", false},
                {"no-test finger-pip extension right", false},
                {"no-test", true}};
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct build *b = build_new();
        aims_add(b, rows[i].limits, aim_limit);
        struct visit_findings *v =
            build_findings(b, NOW "finger-pip flexion right AROM 60 digit=3");
        ck_assert_msg(rules_is_forbidden(v, &v->rows[0], TEST_AROM) == rows[i].forbidden,
                      "row %zu", i);
        build_free(b);
    }
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, limit_is_held_against, 0, ARRAY_LEN(limits));
    tcase_add_test(tc, limits_in_force);
    tcase_add_test(tc, order_of_the_limits_of_a_row);
    tcase_add_test(tc, equal_limits_keep_their_order);
    tcase_add_test(tc, never_counted_as_better);
    tcase_add_test(tc, forbidden_by_motion_and_digit);
}

BUILD_SUITE("rules_limit")
