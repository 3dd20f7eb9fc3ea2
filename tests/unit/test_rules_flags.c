/*
 * Each flag and each kind of pattern by a record that raises it and one near to it that
 * must not: at the limit where it turns on a figure, else without the one word it needs. A flag
 * without a row here, without its words or its line for readers fails.
 */
#include "rules_aims.h"

#define NOW "2026-03-02 "
#define THEN "2026-02-02 "
#define ABD "hip abduction right "
#define BREAK " technique=break;"
#define KNEE "knee flexion right "
#define LACK "knee extension right "
#define MIN "pos=gravity-minimised"
#define SIDE "pos=side-lying"
#define AIM " set=2026-01-05 due=2026-03-30"
#define BOTH(motion, grade) NOW motion " right MMT " grade ";" NOW motion " left MMT " grade ";"
#define MRC(grade)                                                                                 \
    BOTH("shoulder abduction", grade)                                                              \
    BOTH("elbow flexion", grade)                                                                   \
    BOTH("wrist extension", grade)                                                                 \
    BOTH("hip flexion", grade) BOTH("knee extension", grade) BOTH("ankle dorsiflexion", grade)
#define EXCHANGED                                                                                  \
    THEN "elbow flexion right AROM 146;" THEN "elbow flexion left AROM 118;"                       \
    NOW "elbow flexion right AROM 118;"

#define DF_A "ankle dorsiflexion right AROM "
#define STRAIGHT "pos=knee_straight"
#define BENT "pos=knee_bent"

#define R .readings = /* fields that are left out are 0, and the compiler is told so */

struct record {
    const char *readings;
    const char *limits, *goals, *protocol;
    double age; /* 0: 40 */
    enum norms_profile norms;
    bool needs_gravity; /* the school that gives 2+ against gravity alone */
};

static const struct {
    const char *id;
    struct record raises, misses;
} flags[] = {
    {"tries-apart", {R NOW KNEE "AROM 79.9,100.1"}, {R NOW KNEE "AROM 80,100"}},
    {"tries-incomplete",
     {R NOW KNEE "AROM 110;" NOW KNEE "AROM held-back"},
     {R NOW KNEE "AROM 110"}},
    {"more-tries-than-listed",
     {R NOW KNEE "AROM 1,2,3,4,5,6;" NOW KNEE "AROM 1,2,3,4,5,6,7"},
     {R NOW KNEE "AROM 1,2,3,4,5,6;" NOW KNEE "AROM 1,2,3,4,5,6"}},
    {"grades-differ",
     {R NOW KNEE "MMT 4;" NOW KNEE "MMT 4-"},
     {R NOW KNEE "MMT 4;" NOW KNEE "MMT 4"}},
    {"second-measurer",
     {R NOW KNEE "AROM 110 by=A;" NOW KNEE "AROM 110 by=B"},
     {R NOW KNEE "AROM 110 by=A;" NOW KNEE "AROM 110"}},
    {"measurers-differ",
     {R NOW KNEE "AROM 110 by=A;" NOW KNEE "AROM 115.1 by=B"},
     {R NOW KNEE "AROM 110 by=A;" NOW KNEE "AROM 115 by=B"}},
    {"normal-other-position",
     {R NOW "hip flexion right PROM 80 pos=supine,_knee_straight"},
     {R NOW "hip flexion right PROM 80 pos=supine"}},
    {"normal-other-mode",
     {R NOW "shoulder external-rotation left PROM 18 pos=arm_at_side", .age = 48},
     {R NOW "shoulder external-rotation left AROM 18 pos=arm_at_side", .age = 48}},
    {"normal-not-of-profile",
     {R NOW "shoulder extension right AROM 30", .norms = NORMS_LEGAL},
     {R NOW "shoulder extension right AROM 30"}},
    {"no-normal-for-digit",
     {R NOW "toe-ip flexion right AROM 30 digit=3"},
     {R NOW "toe-ip flexion right AROM 30 digit=1"}},
    {"published-error-too-large",
     {R NOW "ankle dorsiflexion right AROM 8"},
     {R NOW "ankle dorsiflexion right AROM not-tested"}},
    {"visual-estimate",
     {R NOW "shoulder flexion right AROM 100 tool=visual"},
     {R NOW "shoulder flexion right AROM 100 tool=goniometer"}},
    {"peers-other-mode", {R NOW LACK "AROM -5"}, {R NOW LACK "PROM -5"}},
    {"no-child-norm",
     {R NOW "hip extension right PROM -25", .age = 1.4},
     {R NOW "hip extension right PROM -25", .age = 1.5}},
    {"passive-below-active",
     {R NOW KNEE "AROM 110;" NOW KNEE "PROM 104.9"},
     {R NOW KNEE "AROM 110;" NOW KNEE "PROM 105"}},
    {"taut-beyond-slack",
     {R NOW DF_A "10.1 " STRAIGHT ";" NOW DF_A "5 " BENT},
     {R NOW DF_A "10 " STRAIGHT ";" NOW DF_A "5 " BENT}},
    {"sides-swapped", {R EXCHANGED NOW "elbow flexion left AROM 127.4"},
     {R EXCHANGED NOW "elbow flexion left AROM 127.3"}}, /* straight 37.3, crossed 18.7 */
    {"jump-beyond-other-side",
     {R THEN "ankle dorsiflexion right AROM -6;" NOW "ankle dorsiflexion right AROM 4.1;" NOW
           "ankle dorsiflexion left AROM 3"},
     {R THEN "ankle dorsiflexion right AROM -6;" NOW "ankle dorsiflexion right AROM 4;" NOW
           "ankle dorsiflexion left AROM 3"}},
    {"far-beyond-usual", {R NOW DF_A "30.1"}, {R NOW DF_A "30"}},
    {"lone-trace", {R NOW LACK "MMT 1;" NOW "knee extension left MMT 5"},
     {R NOW LACK "MMT 1;" NOW "knee extension left MMT 4+"}},
    {"other-side-other-rater",
     {R NOW "wrist flexion right AROM 60 by=A;" NOW "wrist flexion left AROM 68 by=B"},
     {R NOW "wrist flexion right AROM 60 by=A;" NOW "wrist flexion left AROM 68 by=A"}},
    {"rater-not-stated",
     {R THEN "wrist flexion right AROM 60;" NOW "wrist flexion right AROM 60"},
     {R THEN "wrist flexion right AROM 60 by=A;" NOW "wrist flexion right AROM 60 by=A"}},
    {"earlier-position-unclear",
     {R THEN "ankle dorsiflexion right AROM 2 pos=knee_straight by=A;" THEN
           "ankle dorsiflexion right AROM 9 pos=knee_bent by=A;" NOW
           "ankle dorsiflexion right AROM 9 by=A"},
     {R THEN "ankle dorsiflexion right AROM 2 pos=knee_straight by=A;" THEN
           "ankle dorsiflexion right AROM 9 pos=knee_bent by=A;" NOW
           "ankle dorsiflexion right AROM 9 pos=knee_bent by=A"}},
    {"end-feel-unexpected",
     {R NOW KNEE "PROM 120 end-feel=hard"},
     {R NOW KNEE "PROM 120 end-feel=firm"}},
    {"end-feel-empty",
     {R NOW KNEE "PROM 120 end-feel=empty"},
     {R NOW KNEE "PROM 120 end-feel=springy"}},
    {"three-or-more-in-minimised-position", {R NOW ABD "MMT 3- " MIN}, {R NOW ABD "MMT 2+ " MIN}},
    {"heel-rise-needed",
     {R NOW "ankle plantar-flexion right MMT 4 pos=prone"},
     {R NOW "ankle plantar-flexion right MMT 4 pos=standing"}},
    {"heel-rise-count-mismatch",
     {R NOW "ankle plantar-flexion right MMT 4 pos=standing reps=25"},
     {R NOW "ankle plantar-flexion right MMT 4 pos=standing reps=24"}},
    {"trace-without-movement",
     {R NOW ABD "AROM 0.1;" NOW ABD "MMT 1"},
     {R NOW ABD "AROM 0;" NOW ABD "MMT 1"}},
    {"zero-or-one-with-active-range",
     {R NOW ABD "AROM 5.1;" NOW ABD "MMT 0"},
     {R NOW ABD "AROM 5;" NOW ABD "MMT 0"}},
    {"pain-limited-grade", {R NOW ABD "MMT 4+ pain"}, {R NOW ABD "MMT 5 pain"}},
    {"normal-grade-with-pain", {R NOW ABD "MMT 5 pain"}, {R NOW ABD "MMT 4+ pain"}},
    {"arom-before-strength", {R NOW ABD "MMT 4"}, {R NOW ABD "AROM 40;" NOW ABD "MMT 4"}},
    {"not-tested-is-not-zero", {R NOW ABD "MMT not-tested"}, {R NOW ABD "MMT 0"}},
    {"change-within-error",
     {R THEN ABD "MMT 3+ by=A;" NOW ABD "MMT 4 by=A"},
     {R THEN ABD "MMT 3 by=A;" NOW ABD "MMT 4 by=A"}},
    {"crosses-grade-three",
     {R THEN ABD "MMT 3- by=A;" NOW ABD "MMT 3 by=A"},
     {R THEN ABD "MMT 3 by=A;" NOW ABD "MMT 3+ by=A"}},
    {"three-or-more-needs-full-range",
     {R NOW ABD "AROM 36.9;" NOW ABD "PROM 42;" NOW ABD "MMT 3" BREAK},
     {R NOW ABD "AROM 37;" NOW ABD "PROM 42;" NOW ABD "MMT 3" BREAK}},
    {"partial-range-against-gravity",
     {R NOW ABD "AROM 36.9;" NOW ABD "PROM 42;" NOW ABD "MMT 2 " SIDE BREAK},
     {R NOW ABD "AROM 37;" NOW ABD "PROM 42;" NOW ABD "MMT 2 " SIDE BREAK}},
    {"two-is-full-range-minimised",
     {R NOW ABD "AROM 36.9;" NOW ABD "PROM 42;" NOW ABD "MMT 2 " MIN BREAK},
     {R NOW ABD "AROM 37;" NOW ABD "PROM 42;" NOW ABD "MMT 2 " MIN BREAK}},
    {"below-three-with-full-range-against-gravity",
     {R NOW ABD "AROM 37 " SIDE ";" NOW ABD "PROM 42;" NOW ABD "MMT 2+" BREAK},
     {R NOW ABD "AROM 36.9 " SIDE ";" NOW ABD "PROM 42;" NOW ABD "MMT 2+" BREAK}},
    {"available-not-normal-range",
     {R NOW ABD "AROM 39;" NOW ABD "PROM 39.9;" NOW ABD "MMT 3" BREAK},
     {R NOW ABD "AROM 40;" NOW ABD "PROM 40;" NOW ABD "MMT 3" BREAK}},
    {"two-plus-by-resistance", {R NOW ABD "MMT 2+ " MIN BREAK}, {R NOW ABD "MMT 2+ " SIDE BREAK}},
    {"two-plus-needs-gravity",
     {R NOW ABD "MMT 2+ " MIN BREAK, .needs_gravity = true},
     {R NOW ABD "MMT 2+ " MIN BREAK}},
    {"exempt-from-gravity-rule",
     {R NOW "finger-pip flexion right MMT 3- digit=2 " MIN BREAK},
     {R NOW "finger-pip flexion right MMT 2+ digit=2 " MIN BREAK}},
    {"modified-gravity-rule",
     {R NOW "ankle plantar-flexion right MMT 2" BREAK},
     {R NOW "ankle dorsiflexion right MMT 2" BREAK}},
    {"abnormal-tone",
     {R NOW ABD "MMT 4 says=spastic" BREAK},
     {R NOW ABD "MMT 4 says=tired" BREAK}},
    {"serratus-above-shoulder-flexion",
     {R NOW "scapula abduction-upward-rotation right MMT 4;" NOW "shoulder flexion right MMT 4-"},
     {R NOW "scapula abduction-upward-rotation right MMT 4;" NOW "shoulder flexion right MMT 4"}},
    {"side-difference-within-grade",
     {R NOW ABD "MMT 4;" NOW "hip abduction left MMT 4"},
     {R NOW ABD "MMT 4-;" NOW "hip abduction left MMT 4-"}},
    {"resistance-not-allowed",
     {R NOW LACK "MMT 3+", .limits = "resistance " LACK},
     {R NOW LACK "MMT 3", .limits = "resistance " LACK}},
    {"test-type-missing", {R NOW ABD "MMT 3+"}, {R NOW ABD "MMT 3"}},
    {"prom-missing-with-short-arom", {R NOW ABD "AROM 39.9"}, {R NOW ABD "AROM 40"}},
    {"whole-grades-in-sums",
     {R MRC("4-"), .protocol = "MRC-sum"},
     {R MRC("4"), .protocol = "MRC-sum"}},
    {"more-compensations-than-listed",
     {R NOW KNEE "AROM 90 comp=a comp=b comp=c comp=d comp=e comp=f;" NOW KNEE "AROM 90 comp=g"},
     {R NOW KNEE "AROM 90 comp=a comp=b comp=c comp=d comp=e comp=f;" NOW KNEE "AROM 90 comp=f"}},
    {"beyond-limit",
     {R NOW KNEE "AROM 90.1", .limits = "range " KNEE "value=90"},
     {R NOW KNEE "AROM 90", .limits = "range " KNEE "value=90"}},
    {"tested-against-limit",
     {R NOW KNEE "AROM 30", .limits = "no-test " KNEE "test=AROM"},
     {R NOW KNEE "PROM 30", .limits = "no-test " KNEE "test=AROM"}},
    {"standing-against-limit",
     {R NOW "ankle plantar-flexion right MMT 4 pos=standing", .limits = "weight-bearing value=20"},
     {R NOW "ankle plantar-flexion right MMT 4 pos=prone", .limits = "weight-bearing value=20"}},
    {"goal-other-setup",
     {R "2026-01-05 wrist flexion right AROM 50 by=A pos=sitting;" NOW
      "wrist flexion right AROM 40 by=A pos=prone",
      .goals = "wrist flexion right AROM 80" AIM},
     {R "2026-01-05 wrist flexion right AROM 50 by=A pos=sitting;" NOW
      "wrist flexion right AROM 40 by=A pos=sitting",
      .goals = "wrist flexion right AROM 80" AIM}},
    {"goal-runs-back",
     {R NOW LACK "PROM 8 by=A", .goals = LACK "PROM 5 base=15" AIM},
     {R NOW LACK "PROM 8 by=A", .goals = LACK "PROM 15 base=5" AIM}},
    {"flexion-below-lack",
     {R NOW LACK "AROM -20;" NOW KNEE "AROM 19"},
     {R NOW LACK "AROM -20;" NOW KNEE "AROM 20"}},
};

static bool is_raised(const char *id, const struct record *r)
{
    struct build *b = build_new();
    b->clinic.norms = r->norms;
    b->clinic.two_plus_by_resistance = !r->needs_gravity;
    if (r->age > 0)
        b->patient.age = num_of(r->age);
    aims_add(b, r->limits == NULL ? "" : r->limits, aim_limit);
    aims_add(b, r->goals == NULL ? "" : r->goals, aim_goal);
    build_add(b, r->readings);
    b->visits[b->patient.n_visits - 1].protocol = r->protocol;
    struct visit_findings *v = build_evaluate(b);
    bool raised = false;
    for (size_t i = 0; i < v->n_rows; i++)
        raised |= rules_has_flag(&v->rows[i], id);
    build_free(b);
    return raised;
}

START_TEST(raised_and_near_to_it)
{
    ck_assert_msg(is_raised(flags[_i].id, &flags[_i].raises), "%s is not raised", flags[_i].id);
    ck_assert_msg(!is_raised(flags[_i].id, &flags[_i].misses), "%s is raised by the near miss",
                  flags[_i].id);
}
END_TEST

/* ---- kinds of patterns ---- */

#define FULL_SHOULDER                                                                              \
    NOW "shoulder external-rotation left PROM 90;" NOW "shoulder abduction left PROM 180;" NOW     \
        "shoulder internal-rotation left PROM 70;"
#define SHOULDER(er, abd, ir)                                                                      \
    FULL_SHOULDER NOW "shoulder external-rotation right PROM " er ";" NOW                          \
                      "shoulder abduction right PROM " abd ";" NOW                                 \
                      "shoulder internal-rotation right PROM " ir
#define DF "ankle dorsiflexion right PROM "
#define ELBOW "elbow flexion right "
#define MCP "finger-mcp extension right "
#define ABDUCTION "shoulder abduction right "

static const struct {
    const char *kind, *raises, *misses;
} patterns[] = {
    {"capsular-pattern", SHOULDER("72", "162", "70"), SHOULDER("72.1", "162", "70")},
    {"non-capsular-pattern", SHOULDER("72.1", "162", "70"), SHOULDER("72", "162", "70")},
    {"short-calf", NOW DF "-5 pos=sitting,_knee_straight;" NOW DF "18 pos=sitting,_knee_bent",
     NOW DF "-5 pos=sitting,_knee_straight;" NOW DF "-3 pos=sitting,_knee_bent"},
    {"short-hamstrings",
     NOW "hip flexion right PROM 60 pos=supine,_knee_straight;" NOW
         "hip flexion left PROM 85 pos=supine,_knee_straight;" NOW
         "hip flexion right PROM 118 pos=supine,_knee_bent",
     NOW "hip flexion right PROM 84 pos=supine,_knee_straight;" NOW
         "hip flexion left PROM 85 pos=supine,_knee_straight;" NOW
         "hip flexion right PROM 118 pos=supine,_knee_bent"},
    {"short-rectus-femoris",
     NOW "knee flexion left PROM 105 pos=prone;" NOW "knee flexion left PROM 138 pos=supine",
     NOW "knee flexion left PROM 105 pos=prone;" NOW "knee flexion left PROM 106 pos=supine"},
    {"strong-painful", NOW LACK "MMT 4 pain", NOW LACK "MMT 4- pain"},
    {"weak-painless", NOW LACK "MMT 3+;" NOW LACK "PROM 0", NOW LACK "MMT 4-;" NOW LACK "PROM 0"},
    {"weak-painful", NOW LACK "MMT 3+ pain", NOW LACK "MMT 4- pain"},
    {"all-resisted-painful", NOW LACK "MMT 4- pain;" NOW KNEE "MMT 4- pain",
     NOW LACK "MMT 4- pain;" NOW KNEE "MMT 4-"},
    {"active-lag", NOW ELBOW "AROM 130;" NOW ELBOW "PROM 140.1",
     NOW ELBOW "AROM 130;" NOW ELBOW "PROM 140"},
    {"both-equally-limited", NOW ELBOW "AROM 100;" NOW ELBOW "PROM 105",
     NOW ELBOW "AROM 100;" NOW ELBOW "PROM 105.1"},
    {"same-direction-pain",
     NOW ELBOW "AROM 140 pain;" NOW ELBOW "PROM 141 pain;" NOW ELBOW "MMT 5",
     NOW ELBOW "AROM 140 pain;" NOW ELBOW "PROM 141;" NOW ELBOW "MMT 5"},
    {"opposite-direction-pain",
     NOW ELBOW "AROM 140 pain;" NOW "elbow extension right PROM -12 pain;" NOW ELBOW "MMT 4- pain",
     NOW ELBOW "AROM 140 pain;" NOW "elbow extension right PROM -12;" NOW ELBOW "MMT 4- pain"},
    {"full-but-painful-end", NOW ELBOW "PROM 149 pain", NOW ELBOW "PROM 130 pain"},
    {"excess-passive-range", NOW MCP "PROM 55.1 digit=2", NOW MCP "PROM 55 digit=2"},
    {"painful-arc", NOW ABDUCTION "AROM 121 from=60 to=120",
     NOW ABDUCTION "AROM 120 from=60 to=120"},
    {"high-arc", NOW ABDUCTION "AROM 170 from=160", NOW ABDUCTION "AROM 170 from=159.9"},
    {"hard-where-firm", NOW KNEE "PROM 138 end-feel=hard", NOW ELBOW "PROM 149 end-feel=hard"},
    /* every motion of the library takes a firm end as well; test_rules_tension.c has one that
     * does not */
    {"firm-where-soft-or-hard", NULL, NOW KNEE "PROM 138 end-feel=firm"},
    {"soft-where-firm-or-hard", NOW "elbow extension right PROM 0 end-feel=soft",
     NOW "elbow extension right PROM 0 end-feel=hard"},
    {"normal-type-early", NOW LACK "PROM -20 end-feel=firm", NOW LACK "PROM 0 end-feel=firm"},
    {"springy", NOW LACK "PROM 0 end-feel=springy", NOW LACK "PROM 0 end-feel=firm"},
    {"spasm", NOW LACK "PROM 0 end-feel=spasm", NOW LACK "PROM 0 end-feel=springy"},
    {"empty", NOW LACK "PROM 0 end-feel=empty", NOW LACK "PROM 0 end-feel=spasm"},
    {"myotome-cluster", NOW ELBOW "MMT 3+;" NOW ABDUCTION "MMT 3+",
     NOW ELBOW "MMT 4-;" NOW ABDUCTION "MMT 3+"},
    {"nerve-cluster",
     NOW "ankle dorsiflexion right MMT 3;" NOW "toe-mtp extension right MMT 3 digit=1;" NOW
         "ankle plantar-flexion right MMT 5",
     NOW "ankle dorsiflexion right MMT 3;" NOW "toe-mtp extension right MMT 3 digit=1;" NOW
         "ankle plantar-flexion right MMT 4-"},
};

static bool is_told(const char *kind, const char *readings)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, readings);
    bool told = false;
    for (size_t i = 0; i < v->n_patterns; i++)
        told |= str_eq(v->patterns[i].kind, kind);
    build_free(b);
    return told;
}

START_TEST(told_and_near_to_it)
{
    const char *kind = patterns[_i].kind;
    ck_assert_msg(patterns[_i].raises == NULL || is_told(kind, patterns[_i].raises),
                  "%s is not told", kind);
    ck_assert_msg(!is_told(kind, patterns[_i].misses), "%s is told of the near miss", kind);
}
END_TEST

START_TEST(no_kind_is_left_out)
{
    size_t n;
    const char *const *kinds = rules_pattern_kinds(&n);
    ck_assert_uint_eq(n, ARRAY_LEN(patterns));
    for (size_t i = 0; i < n; i++)
        ck_assert_str_eq(kinds[i], patterns[i].kind);
}
END_TEST

/* ---- words and lines for readers ---- */

static const char *read_all(const char *path)
{
    static char text[1 << 17];
    FILE *f = fopen(path, "r");
    ck_assert_ptr_nonnull(f);
    size_t len = fread(text, 1, sizeof text - 1, f);
    ck_assert_uint_lt(len, sizeof text - 1);
    text[len] = '\0';
    ck_assert_int_eq(fclose(f), 0);
    return text;
}

/* As often as once, explained, with words on the page and a line for readers. */
START_TEST(no_flag_is_left_out)
{
    static const char *const told[] = {"templates/parts/words.xml", "docs/rules.md"};
    size_t n;
    const struct flag_info *known = rules_flags(&n);
    ck_assert_uint_eq(n, ARRAY_LEN(flags));
    for (size_t i = 0; i < n; i++) {
        size_t rows = 0;
        for (size_t k = 0; k < ARRAY_LEN(flags); k++)
            rows += str_eq(known[i].id, flags[k].id);
        ck_assert_msg(rows == 1, "%s has %zu rows here", known[i].id, rows);
        const struct rule_family *family = NULL;
        const char *threshold;
        ck_assert_msg(rules_explain_flag(known[i].id, &family, &threshold) && family != NULL,
                      "%s has no explanation", known[i].id);
    }
    for (size_t t = 0; t < ARRAY_LEN(told); t++) {
        const char *text = read_all(told[t]);
        for (size_t i = 0; i < n; i++) {
            char *line = NULL;
            ck_assert_int_gt(asprintf(&line, t == 0 ? "<word key=\"flag-%s\">" : "\n| `%s` | ",
                                      known[i].id), 0);
            ck_assert_msg(strstr(text, line) != NULL, "%s lacks %s", told[t], line);
            free(line);
        }
    }
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, raised_and_near_to_it, 0, (int)ARRAY_LEN(flags));
    tcase_add_test(tc, no_flag_is_left_out);
    tcase_add_loop_test(tc, told_and_near_to_it, 0, (int)ARRAY_LEN(patterns));
    tcase_add_test(tc, no_kind_is_left_out);
}
BUILD_SUITE("flags")
