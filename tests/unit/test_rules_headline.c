/* The tally, the row told first, and the tables that others read. */
#include "rules_aims.h"

#define NOW "2026-03-02 "
#define THEN "2026-02-02 "
#define FIRST "2026-01-05 "

/* The headline as "motion side test", "" for none. */
static const struct {
    const char *readings;
    enum side affected;
    const char *headline;
} told[] = {
    {NOW "wrist flexion right AROM 80", SIDE_NONE, ""},
    {NOW "wrist flexion right AROM not-tested", SIDE_NONE, ""},
    /* A loss beyond error before everything; the one further beyond its own limit. */
    {NOW "wrist flexion right AROM 72 by=A;" THEN "wrist flexion right AROM 80 by=A;" NOW
         "knee flexion right AROM 60 by=A",
     SIDE_NONE, "wrist flexion right AROM"},
    {NOW "wrist flexion right AROM 70 by=A;" THEN "wrist flexion right AROM 80 by=A;" NOW
         "hip flexion right PROM 90 by=A;" THEN "hip flexion right PROM 105 by=A",
     SIDE_NONE, "wrist flexion right AROM"},
    {NOW "knee extension right MMT 3 by=A;" THEN "knee extension right MMT 5 by=A;" NOW
         "wrist flexion right AROM 72 by=A;" THEN "wrist flexion right AROM 80 by=A",
     SIDE_NONE, "knee extension right MMT"},
    /* A slow loss: none of its steps, but all of them since the first visit. */
    {NOW "wrist flexion right AROM 72 by=A;" THEN "wrist flexion right AROM 76 by=A;" FIRST
         "wrist flexion right AROM 80 by=A;" NOW "knee flexion right AROM 60 by=A",
     SIDE_NONE, "wrist flexion right AROM"},
    /* Up since the first visit, down since the last: the last speaks. */
    {NOW "wrist flexion right AROM 72 by=A;" THEN "wrist flexion right AROM 80 by=A;" FIRST
         "wrist flexion right AROM 60 by=A;" NOW "knee flexion right AROM 60 by=A",
     SIDE_NONE, "wrist flexion right AROM"},
    /* Within error is no loss. */
    {NOW "wrist flexion right AROM 77 by=A;" THEN "wrist flexion right AROM 80 by=A;" NOW
         "knee flexion right AROM 60 by=A",
     SIDE_NONE, "knee flexion right AROM"},
    /* Limited: the band, then the affected side, then degrees over the error limit. */
    {NOW "knee flexion right AROM 60;" NOW "wrist flexion left AROM 20", SIDE_NONE,
     "knee flexion right AROM"}, /* 57 and 75%, both severe; 68.6 and 55 degrees over */
    {NOW "knee flexion right AROM 60;" NOW "wrist flexion left AROM 20", SIDE_LEFT,
     "wrist flexion left AROM"},
    {NOW "knee flexion right AROM 90;" NOW "wrist flexion left AROM 20", SIDE_RIGHT,
     "wrist flexion left AROM"}, /* moderate on the affected side, severe on the other */
    {NOW "wrist flexion left AROM 60;" NOW "wrist flexion right AROM 61", SIDE_NONE,
     "wrist flexion left AROM"},
    /* Where normal is 0: 5 to 9 mild, 10 to 19 moderate, 20 and more severe. */
    {NOW "knee extension right PROM -19;" NOW "wrist flexion left AROM 39", SIDE_NONE,
     "wrist flexion left AROM"}, /* moderate and severe */
    {NOW "knee extension right PROM -20;" NOW "wrist flexion left AROM 41", SIDE_NONE,
     "knee extension right PROM"}, /* severe and moderate */
    {NOW "knee extension right PROM -10;" NOW "wrist flexion left AROM 61", SIDE_NONE,
     "knee extension right PROM"}, /* moderate and mild */
    {NOW "elbow extension right PROM -9;" NOW "wrist flexion left AROM 60", SIDE_NONE,
     "wrist flexion left AROM"}, /* mild and moderate */
    {NOW "knee extension right PROM -9.6;" NOW "wrist flexion left AROM 61", SIDE_NONE,
     "knee extension right PROM"}, /* 10 when rounded, as the bands are */
    /* Active and passive of one band: the active; of two bands: the graver. */
    {NOW "knee flexion right AROM 62;" NOW "knee flexion right PROM 60 pos=prone", SIDE_NONE,
     "knee flexion right AROM"},
    {NOW "knee extension right AROM -21;" NOW "knee extension right PROM -20", SIDE_NONE,
     "knee extension right AROM"},
    {NOW "wrist flexion right PROM 20;" NOW "wrist flexion right AROM 41 pos=prone;" NOW
         "wrist flexion right PROM 20 pos=supine", SIDE_NONE, "wrist flexion right PROM"},
    /* A loss of a few percent that is one: limited, in the lowest band, and told. */
    {NOW "shoulder flexion right AROM 172;" NOW "shoulder flexion left AROM 186", SIDE_NONE,
     "shoulder flexion right AROM"},
    {NOW "shoulder flexion right PROM 172;" NOW "shoulder flexion left PROM 186;" NOW
         "shoulder flexion right AROM 173;" NOW "shoulder flexion left AROM 186", SIDE_NONE,
     "shoulder flexion right AROM"},
    {NOW "shoulder flexion right AROM 172;" NOW "shoulder flexion left AROM 186;" NOW
         "wrist flexion left AROM 74;" NOW "wrist flexion right AROM 84", SIDE_NONE,
     "wrist flexion left AROM"},
    /* Gained both ways: the active, however far the passive gain is beyond its error. */
    {NOW "knee flexion right AROM 140 by=A;" THEN "knee flexion right AROM 125 by=A;" NOW
         "knee flexion right PROM 142 by=A;" THEN "knee flexion right PROM 100 by=A",
     SIDE_NONE, "knee flexion right AROM"},
    {NOW "knee flexion right AROM 140 by=A;" THEN "knee flexion right AROM 138 by=A;" NOW
         "knee flexion right PROM 142 by=A;" THEN "knee flexion right PROM 134 by=A",
     SIDE_NONE, "knee flexion right PROM"},
    {NOW "knee flexion right AROM 60;" NOW "wrist flexion left AROM 20", SIDE_RIGHT,
     "knee flexion right AROM"},
    {NOW "knee extension right PROM -30;" NOW "hip abduction right PROM 33", SIDE_RIGHT,
     "knee extension right PROM"},
    {NOW "wrist flexion left AROM 20;" NOW "knee flexion right AROM 140", SIDE_RIGHT,
     "wrist flexion left AROM"},
    {NOW "wrist flexion right AROM 80 by=A;" THEN "wrist flexion right AROM 75 by=A;" NOW
         "wrist flexion right PROM 85 by=A;" THEN "wrist flexion right PROM 76 by=A",
     SIDE_NONE, "wrist flexion right AROM"}, /* by exactly its limit, the passive by more */
    /* A gain beyond error, where nothing is limited. */
    {NOW "wrist flexion right AROM 80 by=A;" THEN "wrist flexion right AROM 70 by=A;" NOW
         "wrist extension right AROM 70 by=A;" THEN "wrist extension right AROM 64 by=A",
     SIDE_NONE, "wrist flexion right AROM"},
    /* Compared and all within error: the largest of the changes. */
    {NOW "wrist flexion right AROM 80 by=A;" THEN "wrist flexion right AROM 79 by=A;" NOW
         "wrist extension right AROM 70 by=A;" THEN "wrist extension right AROM 73 by=A",
     SIDE_NONE, "wrist extension right AROM"},
    /* Compared, and nothing changed at all. */
    {NOW "wrist flexion right AROM 80 by=A;" THEN "wrist flexion right AROM 80 by=A", SIDE_NONE,
     "wrist flexion right AROM"},
    /* Rows that do not speak for the visit. */
    {NOW "wrist flexion right AROM 20 after", SIDE_NONE, ""},
    {NOW "wrist flexion right AROM 20 by=S role=student;" NOW
         "wrist flexion right AROM 80 by=P role=PT",
     SIDE_NONE, ""},
    {NOW "hip flexion right PROM 91 by=A;" NOW "hip flexion right AROM 120 by=A;" THEN
         "hip flexion right PROM 125 by=A",
     SIDE_NONE, ""},
};

START_TEST(row_told_first)
{
    struct build *b = build_new();
    b->patient.affected_side = told[_i].affected;
    struct visit_findings *v = build_findings(b, told[_i].readings);
    const struct finding *f = v->headline;
    const char *got = f == NULL
                          ? ""
                          : arena_printf(b->arena, "%s %s %s %s", f->motion->joint,
                                         f->motion->motion, side_name(f->side), test_name(f->test));
    ck_assert_str_eq(got, told[_i].headline);
    build_free(b);
}
END_TEST

/* Past a limit before a loss, a forbidden test before a range, whoever measured and whenever. */
static const struct {
    const char *limits, *readings, *headline;
} past[] = {
    {"range wrist flexion right value=60",
     NOW "wrist flexion right AROM 61 by=A;" NOW "knee flexion right AROM 60 by=A;" THEN
         "knee flexion right AROM 100 by=A",
     "wrist flexion right AROM"},
    {"range wrist flexion right value=61",
     NOW "wrist flexion right AROM 61 by=A;" NOW "knee flexion right AROM 60 by=A;" THEN
         "knee flexion right AROM 100 by=A",
     "knee flexion right AROM"},
    {"range wrist flexion right value=60;range knee flexion right value=90",
     NOW "wrist flexion right AROM 70;" NOW "knee flexion right AROM 105",
     "knee flexion right AROM"},
    {"no-test wrist flexion right;range knee flexion right value=20",
     NOW "wrist flexion right AROM 70;" NOW "knee flexion right AROM 105",
     "wrist flexion right AROM"},
    {"range wrist flexion right value=60",
     NOW "wrist flexion right AROM 50;" NOW "wrist flexion right AROM 70 after",
     "wrist flexion right AROM after"},
    {"range wrist flexion right value=60",
     NOW "wrist flexion right AROM 55 by=P role=PT;" NOW
         "wrist flexion right AROM 61 by=S role=student",
     "wrist flexion right AROM"},
    {"resistance knee extension right",
     NOW "knee extension right MMT 4 by=A;" THEN "knee extension right MMT 2 by=A",
     "knee extension right MMT"},
};

START_TEST(past_a_limit_is_told_first)
{
    struct build *b = build_new();
    aims_add(b, past[_i].limits, aim_limit);
    struct visit_findings *v = build_findings(b, past[_i].readings);
    const struct finding *f = v->headline;
    ck_assert_ptr_nonnull(f);
    ck_assert_str_eq(arena_printf(b->arena, "%s %s %s %s%s", f->motion->joint, f->motion->motion,
                                  side_name(f->side), test_name(f->test),
                                  rules_is_after(f) ? " after" : ""),
                     past[_i].headline);
    ck_assert_uint_eq(v->n_better, 0);
    build_free(b);
}
END_TEST

/* Problems of identity go before those of side; what is about neither is not told here. */
static const struct {
    enum diag_code codes[3];
    const char *field, *check;
    size_t n;
} problems[] = {
    {{DIAG_CELL_SIGN, DIAG_CELL_SIGN, DIAG_CELL_SIGN}, "value", "", 0},
    {{DIAG_SIDE_MISSING, DIAG_CELL_SIGN, DIAG_SIDE_MISSING}, "side", "side", 2},
    {{DIAG_CELL_SIDE_BOTH, DIAG_PART_CONTRADICTS, DIAG_SIDE_ON_MIDLINE}, "side", "side", 3},
    {{DIAG_SIDE_MISSING, DIAG_AGE_UNFIT, DIAG_SIDE_MISSING}, "age", "identity", 1},
    {{DIAG_BEFORE_BIRTH, DIAG_ID_SHORTENED, DIAG_CELL_SIGN}, "visit_date", "identity", 2},
    {{DIAG_FACT_CONTRADICTS, DIAG_CELL_SIGN, DIAG_CELL_SIGN}, "name", "identity", 1},
    {{DIAG_FACT_CONTRADICTS, DIAG_CELL_SIGN, DIAG_CELL_SIGN}, "affected_side", "side", 1},
    {{DIAG_FACT_CONTRADICTS, DIAG_CELL_SIGN, DIAG_CELL_SIGN}, "diagnosis", "", 0},
};

START_TEST(problems_told_before_any_reading)
{
    struct build *b = build_new();
    struct visit *visit = build_visit(b, "2026-03-02");
    struct diag items[3];
    for (size_t i = 0; i < ARRAY_LEN(items); i++)
        items[i] = (struct diag){.code = problems[_i].codes[i], .pos.field = problems[_i].field};
    visit->problems = items;
    visit->n_problems = ARRAY_LEN(items);
    struct visit_findings *v = build_evaluate(b);
    ck_assert_str_eq(v->check_first == NULL ? "" : v->check_first, problems[_i].check);
    ck_assert_uint_eq(v->n_check_first, problems[_i].n);
    build_free(b);
}
END_TEST

START_TEST(tally_counts_rows_that_speak_for_the_visit)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(
        b, NOW "wrist flexion right AROM 20 by=A;" THEN "wrist flexion right AROM 80 by=A;" NOW
               "wrist extension right AROM 67 by=A;" THEN "wrist extension right AROM 60 by=A;" NOW
               "wrist flexion left AROM 78 by=A;" THEN "wrist flexion left AROM 77 by=A;" NOW
               "wrist radial-deviation right AROM 19 by=A;" THEN
               "wrist radial-deviation right AROM 20 by=A;" NOW
               "wrist extension left AROM not-tested by=A;" NOW
               "wrist radial-deviation left AROM not-applicable by=A;" NOW
               "wrist flexion right AROM 25 after by=A;" NOW
               "wrist flexion right AROM 30 by=S role=student;" NOW
               "wrist flexion right MMT 4 by=A;" NOW "wrist ulnar-deviation left AROM ~30 by=A;" NOW
               "wrist ulnar-deviation right AROM held-back by=A;" NOW
               "knee extension right MMT 4 by=A;" THEN "knee extension right MMT 3 by=A;" NOW
               "knee flexion left MMT 3 by=A;" THEN "knee flexion left MMT 4 by=A");
    ck_assert_uint_eq(v->n_measured, 8);
    ck_assert_uint_eq(v->n_missing, 2);
    ck_assert_uint_eq(v->n_limited, 1);
    ck_assert_uint_eq(v->n_below_handbook, 3);
    ck_assert_uint_eq(v->n_compared, 6);
    ck_assert_uint_eq(v->n_better, 2);
    ck_assert_uint_eq(v->n_worse, 2);
    build_free(b);
}
END_TEST

START_TEST(tables_are_complete)
{
    size_t n;
    const struct rule_family *families = rules_families(&n);
    ck_assert_uint_eq(n, 27);
    for (size_t i = 0; i < n; i++) {
        ck_assert(families[i].apply != NULL);
        ck_assert(families[i].id[0] && families[i].summary[0] && families[i].source[0]);
        for (size_t k = 0; k < i; k++)
            ck_assert_str_ne(families[i].id, families[k].id);
    }
    ck_assert_str_eq(families[0].id, "group");
    ck_assert_str_eq(families[n - 1].id, "headline");
    const struct flag_info *flags = rules_flags(&n);
    ck_assert_uint_gt(n, 0);
    for (size_t i = 0; i < n; i++) {
        ck_assert(flags[i].meaning[0]);
        for (size_t k = 0; k < i; k++)
            ck_assert_str_ne(flags[i].id, flags[k].id);
    }
}
END_TEST

/* The list for readers holds every flag, with its level. Tests run in the project's folder. */
START_TEST(flags_are_documented)
{
    static const char *const levels[] = {"note", "warning", "error"};
    static char text[1 << 16];
    FILE *f = fopen("docs/rules.md", "r");
    ck_assert_ptr_nonnull(f);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    ck_assert_int_eq(fclose(f), 0);
    size_t n;
    const struct flag_info *flags = rules_flags(&n);
    for (size_t i = 0; i < n; i++) {
        char row[120];
        snprintf(row, sizeof row, "| `%s` | %s |", flags[i].id, levels[flags[i].level]);
        ck_assert_msg(strstr(text, row) != NULL, "docs/rules.md lacks %s", row);
    }
    const struct rule_family *families = rules_families(&n);
    for (size_t i = 0; i < n; i++) {
        char heading[60];
        snprintf(heading, sizeof heading, "\n**%s**", families[i].id);
        ck_assert_msg(strstr(text, heading) != NULL, "docs/rules.md lacks %s", heading);
    }
    const char *const *kinds = rules_pattern_kinds(&n);
    for (size_t i = 0; i < n; i++) {
        char row[60];
        snprintf(row, sizeof row, "\n| `%s` |", kinds[i]);
        ck_assert_msg(strstr(text, row) != NULL, "docs/rules.md lacks %s", row);
    }
}
END_TEST

static bool is_family(const char *id, size_t len)
{
    size_t n;
    const struct rule_family *families = rules_families(&n);
    for (size_t i = 0; i < n; i++)
        if (strlen(families[i].id) == len && strncmp(families[i].id, id, len) == 0)
            return true;
    return false;
}

/* The page for readers holds each threshold with the figure of the reference, and the families that
 * a threshold names are families. */
START_TEST(thresholds_are_documented)
{
    static char text[1 << 16];
    FILE *f = fopen("docs/rules.md", "r");
    ck_assert_ptr_nonnull(f);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    ck_assert_int_eq(fclose(f), 0);
    for (int i = 0; i < THRESHOLD_COUNT; i++) {
        const struct threshold *t = reference_threshold_row(build_ref, (enum threshold_id)i);
        char row[120];
        snprintf(row, sizeof row, "\n| `%s` | %g %s | %s |", t->id, t->value, t->unit,
                 *t->rules != '\0' ? t->rules : "-");
        ck_assert_msg(strstr(text, row) != NULL, "docs/rules.md lacks %s", row);
        for (const char *s = t->rules; *s != '\0';) {
            size_t len = strcspn(s, " ");
            ck_assert_msg(is_family(s, len), "%s: no family %s", t->id, s);
            s += len + (s[len] == ' ');
        }
    }
}
END_TEST

START_TEST(names_are_those_of_the_findings)
{
    ck_assert_str_eq(rules_verdict_name(VERDICT_NONE), "");
    ck_assert_str_eq(rules_verdict_name(VERDICT_WITHIN_ERROR), "within-error");
    ck_assert_str_eq(rules_verdict_name(VERDICT_PROBABLE), "probable");
    ck_assert_str_eq(rules_verdict_name(VERDICT_BEYOND_ERROR), "beyond-error");
    ck_assert_str_eq(rules_verdict_name(VERDICT_NOT_COMPARABLE), "not-comparable");
    ck_assert_str_eq(rules_limited_name(LIMITED_UNKNOWN), "");
    ck_assert_str_eq(rules_limited_name(LIMITED_NO), "no");
    ck_assert_str_eq(rules_limited_name(LIMITED_BELOW_HANDBOOK), "below-handbook");
    ck_assert_str_eq(rules_limited_name(LIMITED_YES), "yes");
    ck_assert_str_eq(rules_basis_name(BASIS_NONE), "");
    ck_assert_str_eq(rules_basis_name(BASIS_PUBLISHED), "published");
    ck_assert_str_eq(rules_basis_name(BASIS_DERIVED), "derived");
    ck_assert_str_eq(rules_basis_name(BASIS_RULE_OF_THUMB), "rule-of-thumb");
}
END_TEST

START_TEST(flag_is_added_once)
{
    struct finding f = {.n_flags = 0};
    rules_flag(&f, "end-feel-empty");
    rules_flag(&f, "end-feel-empty");
    rules_flag(&f, "grades-differ");
    rules_flag(&f, "tries-apart");
    ck_assert_int_eq(f.n_flags, 3);
    ck_assert_int_eq(f.flags[0].level, FLAG_WARNING);
    ck_assert_int_eq(f.flags[1].level, FLAG_ERROR);
    ck_assert_int_eq(f.flags[2].level, FLAG_NOTE);
}
END_TEST

/* More readings than any patient has: time grows with them, not with their square. */
START_TEST(large_visit)
{
    enum { READINGS = 20000 };
    struct build *b = build_new();
    struct visit *visit = build_visit(b, "2026-03-02");
    visit->measurements = arena_alloc(b->arena, READINGS * sizeof *visit->measurements);
    visit->n_measurements = READINGS;
    for (size_t i = 0; i < READINGS; i++)
        visit->measurements[i] =
            (struct measurement){.motion = reference_motion(build_ref, "wrist", "flexion"),
                                 .side = SIDE_RIGHT,
                                 .test = TEST_AROM,
                                 .unit = UNIT_DEG,
                                 .text = "70",
                                 .end = num_of(70),
                                 .tries = {70},
                                 .n_tries = 1};
    struct visit_findings *v = build_evaluate(b);
    ck_assert_uint_eq(v->n_rows, 1);
    ck_assert_uint_eq(v->rows[0].n_from, READINGS);
    ck_assert(v->rows[0].end.value == 70 && v->rows[0].sd.value == 0);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, row_told_first, 0, ARRAY_LEN(told));
    tcase_add_loop_test(tc, past_a_limit_is_told_first, 0, ARRAY_LEN(past));
    tcase_add_loop_test(tc, problems_told_before_any_reading, 0, ARRAY_LEN(problems));
    tcase_add_test(tc, tally_counts_rows_that_speak_for_the_visit);
    tcase_add_test(tc, tables_are_complete);
    tcase_add_test(tc, flags_are_documented);
    tcase_add_test(tc, thresholds_are_documented);
    tcase_add_test(tc, names_are_those_of_the_findings);
    tcase_add_test(tc, flag_is_added_once);
    tcase_add_test(tc, large_visit);
}

BUILD_SUITE("rules_headline")
