/* Readings that look like slips: sides exchanged, gains too large to be one, a trace alone. What
 * must not be accused stands first. */
#include "rules_build.h"

#define ONE "2026-03-02 elbow flexion "
#define TWO "2026-03-16 elbow flexion "
#define THREE "2026-03-30 elbow flexion "

/* Flags "sides-swapped" of the rows of the newest visit, in order of the rows. */
static const struct {
    const char *readings;
    const char *swapped; /* y or n for each row */
    const char *verdict; /* of the first row against the visit before; NULL: not looked at */
} swaps[] = {
    {ONE "right AROM 146;" ONE "left AROM 118", "nn", NULL},
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 146;" TWO "left AROM 132", "nn",
     NULL},
    /* one side catches up, or overtakes by a little */
    {ONE "right AROM 140;" ONE "left AROM 118;" TWO "right AROM 140;" TWO "left AROM 143", "nn",
     NULL},
    {ONE "right AROM 140;" ONE "left AROM 130;" TWO "right AROM 140;" TWO "left AROM 150", "nn",
     NULL},
    /* the difference was no difference */
    {ONE "right AROM 140;" ONE "left AROM 138;" TWO "right AROM 130;" TWO "left AROM 145", "nn",
     NULL},
    /* one side alone now or then */
    {ONE "right AROM 146;" TWO "right AROM 118;" TWO "left AROM 146", "nn", NULL},
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118", "n", NULL},
    /* another mode, position, digit, or after treatment */
    {ONE "right PROM 146;" ONE "left PROM 118;" TWO "right AROM 118;" TWO "left AROM 146", "nn",
     NULL},
    {ONE "right AROM 146 pos=sitting;" ONE "left AROM 118 pos=sitting;"
     TWO "right AROM 118 pos=supine;" TWO "left AROM 146 pos=supine", "nn", NULL},
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118 after;"
     TWO "left AROM 146 after", "nn", NULL},
    /* exchanged */
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118;" TWO "left AROM 146", "yy",
     "not-comparable"},
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 132;" TWO "left AROM 146", "yy",
     "not-comparable"},
    {"2026-03-02 elbow extension right AROM 8;2026-03-02 elbow extension left AROM -26;"
     "2026-03-16 elbow extension right AROM -12;2026-03-16 elbow extension left AROM 8", "yy",
     NULL},
    {"2026-03-02 knee extension right MMT 5;2026-03-02 knee extension left MMT 3;"
     "2026-03-16 knee extension right MMT 3+;2026-03-16 knee extension left MMT 5", "yy", NULL},
    /* a full grade is one, and that each side moved by one as well */
    {"2026-03-02 knee extension right MMT 4;2026-03-02 knee extension left MMT 5;"
     "2026-03-16 knee extension right MMT 5;2026-03-16 knee extension left MMT 4", "yy", NULL},
    /* both sides moved beyond error, or one of them did not */
    {ONE "right AROM 100;" ONE "left AROM 106;" TWO "right AROM 107;" TWO "left AROM 100", "yy",
     NULL},
    {ONE "right AROM 100;" ONE "left AROM 106;" TWO "right AROM 107;" TWO "left AROM 101", "nn",
     NULL},
    {ONE "right AROM 106;" ONE "left AROM 100;" TWO "right AROM 101;" TWO "left AROM 107", "nn",
     NULL},
    /* half as far from the other side's values as from its own is near enough, further is not */
    {"2026-03-02 wrist flexion right AROM 60;2026-03-02 wrist flexion left AROM 75;"
     "2026-03-16 wrist flexion right AROM 70;2026-03-16 wrist flexion left AROM 65", "yy", NULL},
    {"2026-03-02 wrist flexion right AROM 60;2026-03-02 wrist flexion left AROM 75.1;"
     "2026-03-16 wrist flexion right AROM 70;2026-03-16 wrist flexion left AROM 65", "nn", NULL},
    /* half a grade is no difference */
    {"2026-03-02 knee extension right MMT 5;2026-03-02 knee extension left MMT 4+;"
     "2026-03-16 knee extension right MMT 4+;2026-03-16 knee extension left MMT 5", "nn", NULL},
    /* a pair without a past shares the doubt of its visit, unless another pair stands straight */
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118;" TWO "left AROM 146;"
     "2026-03-16 hip flexion right AROM 120;2026-03-16 hip flexion left AROM 90", "yyyy", NULL},
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118;" TWO "left AROM 146;"
     "2026-03-16 hip flexion right AROM 120;2026-03-16 hip flexion left AROM 119", "yynn", NULL},
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118;" TWO "left AROM 146;"
     "2026-03-16 wrist flexion right AROM 75;2026-03-16 wrist flexion left AROM 70", "yyyy", NULL},
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118;" TWO "left AROM 146;"
     "2026-03-02 knee flexion right AROM 130;2026-03-02 knee flexion left AROM 90;"
     "2026-03-16 knee flexion right AROM 130;2026-03-16 knee flexion left AROM 95;"
     "2026-03-16 hip flexion right AROM 120;2026-03-16 hip flexion left AROM 90", "yynnnn", NULL},
    /* and one whose sides no longer differ stands neither straight nor exchanged */
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118;" TWO "left AROM 146;"
     "2026-03-02 knee flexion right AROM 130;2026-03-02 knee flexion left AROM 90;"
     "2026-03-16 knee flexion right AROM 130;2026-03-16 knee flexion left AROM 129;"
     "2026-03-16 hip flexion right AROM 120;2026-03-16 hip flexion left AROM 90", "yyyynn", NULL},
    /* the visit in the middle was the one exchanged: the newest is not accused, and is held
     * against the first */
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 120;" TWO "left AROM 146;"
     THREE "right AROM 146;" THREE "left AROM 128", "nn", "within-error"},
    /* and a second one exchanged alike is */
    {ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 120;" TWO "left AROM 146;"
     THREE "right AROM 121;" THREE "left AROM 145", "yy", "not-comparable"},
};

START_TEST(sides_exchanged)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, swaps[_i].readings);
    ck_assert_uint_eq(v->n_rows, strlen(swaps[_i].swapped));
    for (size_t i = 0; i < v->n_rows; i++)
        ck_assert_msg(rules_has_flag(&v->rows[i], "sides-swapped") == (swaps[_i].swapped[i] == 'y'),
                      "row %zu of %s", i, swaps[_i].readings);
    if (swaps[_i].verdict != NULL)
        ck_assert_str_eq(rules_verdict_name(v->rows[0].previous.verdict), swaps[_i].verdict);
    build_free(b);
}
END_TEST

START_TEST(exchanged_sides_do_not_lead)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, ONE "right AROM 146;" ONE "left AROM 118;" TWO "right AROM 118;"
                       TWO "left AROM 146");
    ck_assert_ptr_null(v->headline);
    ck_assert_uint_eq(v->n_worse, 0);
    build_free(b);
}
END_TEST

/* Flags of the first row of the newest visit, of the family "jump". */
static const struct {
    const char *readings, *flag;
} jumps[] = {
    /* dorsiflexion typed 20 for 2: from -6, with 11 on the other side */
    {"2026-03-02 ankle dorsiflexion right AROM -6;2026-03-02 ankle dorsiflexion left AROM 11;"
     "2026-03-16 ankle dorsiflexion right AROM 20;2026-03-16 ankle dorsiflexion left AROM 11",
     "jump-beyond-other-side"},
    /* twice the limit of 5 is not over it, though beyond the other side */
    {"2026-03-02 ankle dorsiflexion right AROM 2;2026-03-16 ankle dorsiflexion right AROM 12;"
     "2026-03-16 ankle dorsiflexion left AROM 11", ""},
    {"2026-03-02 ankle dorsiflexion right AROM 2;2026-03-16 ankle dorsiflexion right AROM 12.1;"
     "2026-03-16 ankle dorsiflexion left AROM 11", "jump-beyond-other-side"},
    /* the other side of the earlier visit serves as well */
    {"2026-03-02 ankle dorsiflexion right AROM -6;2026-03-02 ankle dorsiflexion left AROM 11;"
     "2026-03-16 ankle dorsiflexion right AROM 20", "jump-beyond-other-side"},
    /* a great gain up to the other side, a small one beyond it, a loss, no other side, no visit */
    {"2026-03-02 knee flexion right AROM 72;2026-03-02 knee flexion left AROM 128;"
     "2026-03-16 knee flexion right AROM 128", ""},
    {"2026-03-02 knee flexion right AROM 126;2026-03-02 knee flexion left AROM 128;"
     "2026-03-16 knee flexion right AROM 132", ""},
    {"2026-03-02 knee flexion right AROM 140;2026-03-02 knee flexion left AROM 60;"
     "2026-03-16 knee flexion right AROM 90", ""},
    {"2026-03-02 knee flexion right AROM 72;2026-03-16 knee flexion right AROM 135", ""},
    {"2026-03-16 knee flexion right AROM 135;2026-03-16 knee flexion left AROM 100", ""},
    /* opposition in centimetres: less is better */
    {"2026-03-02 thumb-cmc opposition right AROM 6;2026-03-02 thumb-cmc opposition left AROM 0;"
     "2026-03-16 thumb-cmc opposition right AROM 0", ""},
    /* possible, but far beyond what is usual: normal and twice the limit are the last in order */
    {"2026-03-16 ankle dorsiflexion right AROM 31", "far-beyond-usual"},
    {"2026-03-16 ankle dorsiflexion right AROM 30", ""},
    {"2026-03-16 ankle dorsiflexion right AROM 20", ""},
    {"2026-03-16 knee extension right AROM 29", "far-beyond-usual"},
    {"2026-03-16 thumb-cmc opposition right AROM 11 unit=cm", ""},
    {"2026-03-16 ankle dorsiflexion right AROM fixed31", ""},
    /* a normal value of another position; twice the spread of peers, 62.5 (12.2) */
    {"2026-03-16 shoulder internal-rotation right AROM 100 pos=arm_at_side", ""},
    {"2026-03-16 cervical extension midline AROM 86.9", ""},
    {"2026-03-16 cervical extension midline AROM 87", "far-beyond-usual"},
    /* a trace */
    {"2026-03-16 knee extension right MMT 1;2026-03-16 knee extension left MMT 5", "lone-trace"},
    {"2026-03-02 knee extension left MMT 5;2026-03-16 knee extension right MMT 1", "lone-trace"},
    {"2026-03-16 knee extension right MMT 1;2026-03-16 knee extension left MMT 4+", ""},
    {"2026-03-16 knee extension right MMT 2-;2026-03-16 knee extension left MMT 5", ""},
    {"2026-03-16 knee extension right MMT 1;2026-03-16 knee flexion left MMT 5", ""},
    {"2026-03-16 knee extension right MMT 1", ""},
    {"2026-03-02 cervical flexion midline MMT 5;2026-03-16 cervical flexion midline MMT 1", ""},
};

START_TEST(gains_and_traces)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, jumps[_i].readings);
    ck_assert_str_eq(build_flags_of(b, &v->rows[0], "jump"), jumps[_i].flag);
    build_free(b);
}
END_TEST

/* The hip of a newborn does not reach 0, and what was not tested is no 0 that it went beyond. */
START_TEST(missing_is_not_beyond_the_usual)
{
    struct build *b = build_new();
    b->patient.age = num_of(0.05);
    struct visit_findings *v =
        build_findings(b, "2026-03-16 hip extension right PROM not-tested;"
                          "2026-03-16 hip extension left PROM 0");
    ck_assert(v->rows[0].normal->normal < 0);
    ck_assert(!rules_has_flag(&v->rows[0], "far-beyond-usual"));
    ck_assert(rules_has_flag(&v->rows[1], "far-beyond-usual"));
    build_free(b);
}
END_TEST

/* The import has told it with the cell: not twice. */
START_TEST(a_trace_told_by_the_import)
{
    struct build *b = build_new();
    char note[120];
    snprintf(note, sizeof note, "2026-03-16 knee extension right MMT 1 note=%d;"
             "2026-03-16 knee extension left MMT 5", DIAG_TRACE_BESIDE_NORMAL);
    struct visit_findings *v = build_findings(b, note);
    ck_assert(!rules_has_flag(&v->rows[0], "lone-trace"));
    build_free(b);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("rules swap");
    TCase *c = tcase_create("swap");
    tcase_add_unchecked_fixture(c, build_load, NULL);
    tcase_add_loop_test(c, sides_exchanged, 0, (int)ARRAY_LEN(swaps));
    tcase_add_test(c, exchanged_sides_do_not_lead);
    tcase_add_loop_test(c, gains_and_traces, 0, (int)ARRAY_LEN(jumps));
    tcase_add_test(c, missing_is_not_beyond_the_usual);
    tcase_add_test(c, a_trace_told_by_the_import);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
