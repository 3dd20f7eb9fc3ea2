/* Selective tension: each rule where it holds, where it does not, and at its figure. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define A(joint, motion, value) NOW joint " " motion " right AROM " value ";"
#define P(joint, motion, value) NOW joint " " motion " right PROM " value ";"
#define M(joint, motion, grade) NOW joint " " motion " right MMT " grade ";"
#define LEFT_M(joint, motion, grade) NOW joint " " motion " left MMT " grade ";"
#define LEFT_P(joint, motion, value) NOW joint " " motion " left PROM " value ";"

static const struct {
    const char *readings, *patterns;
} told[] = {
    /* ---- resisted: weak is 3+ or less, or a full grade below the other side */
    {M("knee", "extension", "5"), ""},
    {M("knee", "extension", "4 pain"), "strong-painful knee extension right"},
    {M("knee", "extension", "4- pain"), ""},
    {M("knee", "extension", "4- pain") LEFT_M("knee", "extension", "4"), ""},
    {M("knee", "extension", "4 pain") LEFT_M("knee", "extension", "5"),
     "weak-painful knee extension right"},
    {M("knee", "extension", "4 pain") LEFT_M("knee", "extension", "4+"),
     "strong-painful knee extension right"},
    {M("knee", "extension", "3+ pain"), "weak-painful knee extension right"},
    {M("knee", "extension", "3 pain") P("knee", "extension", "0"),
     "weak-painful knee extension right"},
    {M("knee", "extension", "3"), ""}, /* passive range not known */
    {M("knee", "extension", "3") P("knee", "extension", "0"), "weak-painless knee extension right"},
    {M("knee", "extension", "3") P("knee", "extension", "-30"), ""},
    {M("knee", "extension", "4") P("knee", "extension", "0"), ""},
    {M("knee", "extension", "4") P("knee", "extension", "0") LEFT_M("knee", "extension", "5"),
     "weak-painless knee extension right"},
    {M("knee", "extension", "4") P("knee", "extension", "0") LEFT_M("knee", "flexion", "5"), ""},
    {M("scapula", "elevation", "3"), "weak-painless scapula elevation right"},
    {M("knee", "extension", "3 pain after"), ""},
    {M("knee", "extension", "not-tested pain"), ""},
    /* every graded motion of the joint, two or more */
    {M("knee", "extension", "4- pain") M("knee", "flexion", "4- pain"),
     "all-resisted-painful knee right"},
    {M("knee", "extension", "4- pain") M("knee", "flexion", "4-"), ""},
    {M("knee", "extension", "4- pain") M("knee", "flexion", "4- pain") M("hip", "flexion", "4-"),
     "all-resisted-painful knee right"},
    {M("knee", "extension", "4- pain pos=sitting") M("knee", "extension", "4- pain pos=supine"),
     ""},
    {M("knee", "extension", "4- pain") LEFT_M("knee", "flexion", "4- pain"), ""},
    {M("shoulder", "flexion", "4- pain") M("shoulder", "extension", "4- pain")
         M("shoulder", "abduction", "4- pain"),
     "all-resisted-painful shoulder right"}, /* once, however many they are */
    {M("knee", "extension", "3 pain") M("knee", "flexion", "3 pain"),
     "weak-painful knee flexion right; all-resisted-painful knee right; "
     "weak-painful knee extension right"}, /* at the first of them */
    /* ---- active against passive: more than 10 degrees, more than error */
    {A("elbow", "flexion", "130") P("elbow", "flexion", "140"), ""},
    {A("elbow", "flexion", "130") P("elbow", "flexion", "140.1"), "active-lag elbow flexion right"},
    {A("elbow", "flexion", "130 pos=sitting") P("elbow", "flexion", "145 pos=supine"), ""},
    {A("elbow", "flexion", "130 pos=sitting") P("elbow", "flexion", "145"),
     "active-lag elbow flexion right"},
    {A("elbow", "flexion", "~130") P("elbow", "flexion", "145"), ""},
    {A("elbow", "flexion", "130") P("elbow", "flexion", "145 after"), ""},
    {A("elbow", "flexion", "130") LEFT_P("elbow", "flexion", "145"), ""},
    {A("elbow", "flexion", "130 by=S role=student") A("elbow", "flexion", "141 by=T role=PT")
         P("elbow", "flexion", "145"),
     ""},
    {NOW "jaw opening midline AROM 20;" NOW "jaw opening midline PROM 40", ""}, /* no degrees */
    {A("elbow", "flexion", "~130") A("knee", "flexion", "120") P("knee", "flexion", "138"),
     "active-lag knee flexion right"},
    /* both limited, 5 degrees apart or less */
    {A("elbow", "flexion", "100") P("elbow", "flexion", "105"),
     "both-equally-limited elbow flexion right"},
    {A("elbow", "flexion", "100") P("elbow", "flexion", "105.1"), ""},
    {A("elbow", "flexion", "105") P("elbow", "flexion", "100"),
     "both-equally-limited elbow flexion right"},
    {A("elbow", "flexion", "140") P("elbow", "flexion", "141"), ""},
    /* pain in one direction, active and passive, and not against resistance */
    {A("elbow", "flexion", "140 pain") P("elbow", "flexion", "141 pain") M("elbow", "flexion", "5"),
     "same-direction-pain elbow flexion right"},
    {A("elbow", "flexion", "140 pain") P("elbow", "flexion", "141") M("elbow", "flexion", "5"), ""},
    {A("elbow", "flexion", "140") P("elbow", "flexion", "125 pain") M("elbow", "flexion", "5"), ""},
    {A("elbow", "flexion", "140") P("elbow", "flexion", "141 pain") M("elbow", "flexion", "5"), ""},
    {A("elbow", "flexion", "135 pain") P("elbow", "flexion", "135 pain"),
     ""}, /* resistance not known */
    {A("elbow", "flexion", "135 pain") P("elbow", "flexion", "135 pain")
         M("elbow", "flexion", "4- pain"),
     ""},
    /* pain one way active and resisted, the other way passive */
    {A("elbow", "flexion", "140 pain") P("elbow", "extension", "-12 pain")
         M("elbow", "flexion", "4- pain"),
     "opposite-direction-pain elbow flexion right"},
    {A("elbow", "flexion", "140") P("elbow", "extension", "-12 pain")
         M("elbow", "flexion", "4- pain"),
     ""}, /* active motion without pain */
    {A("elbow", "flexion", "140 pain") P("elbow", "extension", "-12 pain")
         M("elbow", "flexion", "4-"),
     ""},
    {A("elbow", "flexion", "140 pain") P("elbow", "extension", "-12")
         M("elbow", "flexion", "4- pain"),
     ""},
    {A("elbow", "flexion", "140 pain") P("elbow", "flexion", "140 pain")
         P("elbow", "extension", "-12 pain") M("elbow", "flexion", "4- pain"),
     "non-capsular-pattern elbow right"},
    {A("elbow", "flexion", "140 pain") A("elbow", "extension", "-12 pain")
         P("elbow", "extension", "-12 pain") M("elbow", "flexion", "4- pain"),
     "both-equally-limited elbow extension right"},
    {NOW "cervical lateral-flexion right AROM 45 pain;" NOW
         "cervical lateral-flexion left PROM 30 pain;" NOW
         "cervical lateral-flexion right MMT 4- pain",
     "opposite-direction-pain cervical lateral-flexion right"}, /* its opposite is the other side */
    /* full, and painful at the end */
    {P("elbow", "flexion", "149 pain"), "full-but-painful-end elbow flexion right"},
    {P("elbow", "flexion", "130 pain"), ""},
    {P("elbow", "flexion", "149"), ""},
    {P("thumb-cmc", "opposition", "0 pain"), ""}, /* full, but without an error to judge it by */
    {P("wrist", "flexion", "75 pain"), "full-but-painful-end wrist flexion right"},
    {P("wrist", "flexion", "74.9 pain"), ""},
    {P("hip", "flexion", "160"), "excess-passive-range hip flexion right"},
    {P("hip", "flexion", "160 pos=supine,_knee_straight"), ""},
    {P("elbow", "flexion", "149 pain from=100 to=149"), "full-but-painful-end elbow flexion right"},
    {P("elbow", "flexion", "149 pain from=100 to=120"), "painful-arc elbow flexion right"},
    /* beyond normal and what is usual by 10 and twice the error: 90 + 45 at the knuckle */
    {P("wrist", "flexion", "90") LEFT_P("wrist", "flexion", "90"), ""},
    {P("wrist", "flexion", "90.1"), "excess-passive-range wrist flexion right"},
    {P("toe-ip", "flexion", "90 digit=3"), ""}, /* no normal value to go beyond */
    {P("finger-mcp", "extension", "55 digit=2"), ""},
    {P("finger-mcp", "extension", "55.1 digit=2"), "excess-passive-range finger-mcp extension right"
                                                   " 2"},
    /* beyond an other side that is not limited, by 10 and the error */
    {P("finger-mcp", "flexion", "98 digit=2") LEFT_P("finger-mcp", "flexion", "88 digit=2"), ""},
    {P("finger-mcp", "flexion", "98.1 digit=2") LEFT_P("finger-mcp", "flexion", "88 digit=2"),
     "excess-passive-range finger-mcp flexion right 2"},
    {P("finger-mcp", "flexion", "90 digit=2") LEFT_P("finger-mcp", "flexion", "50 digit=2"), ""},
    {P("finger-mcp", "flexion", "98.1 digit=2") LEFT_P("finger-mcp", "flexion", "88 digit=2 after"),
     ""},
    {A("finger-mcp", "extension", "60 digit=2"), ""},
    /* ---- painful part of the range */
    {A("shoulder", "abduction", "170 from=60 to=120"), "painful-arc shoulder abduction right"},
    {A("shoulder", "abduction", "120 from=60 to=120"), ""},
    {A("shoulder", "abduction", "121 from=60 to=120"), "painful-arc shoulder abduction right"},
    {A("shoulder", "abduction", "170 from=0 to=120"), ""},
    {A("shoulder", "abduction", "170 from=0.5 to=120"), "painful-arc shoulder abduction right"},
    {A("shoulder", "abduction", "170 start=60 from=60 to=120"), ""},
    {A("shoulder", "abduction", "170 start=59 from=60 to=120"),
     "painful-arc shoulder abduction right"},
    {A("shoulder", "abduction", "170 from=60"), ""},
    {A("shoulder", "abduction", "170 from=160"), "high-arc shoulder abduction right"},
    {A("shoulder", "abduction", "170 from=160 to=170"), "high-arc shoulder abduction right"},
    {A("shoulder", "abduction", "170 from=170"), "high-arc shoulder abduction right"},
    {A("shoulder", "abduction", "170 from=159.9"), ""},
    {A("shoulder", "abduction", "170 from=160 to=165"), "painful-arc shoulder abduction right"},
    {A("shoulder", "abduction", "150 from=160"), ""},
    {A("shoulder", "flexion", "170 from=160"), ""},
    {A("hip", "abduction", "170 from=160"), ""},
    /* ---- end feel */
    {P("knee", "extension", "0 end-feel=firm"), ""},
    {P("elbow", "flexion", "149 end-feel=hard"), ""}, /* also accepted there */
    {P("knee", "extension", "0 end-feel=hard"), ""},
    {P("hip", "extension", "20 end-feel=hard"), "hard-where-firm hip extension right"},
    {P("elbow", "extension", "0 end-feel=soft"), "soft-where-firm-or-hard elbow extension right"},
    {P("knee", "flexion", "138 end-feel=hard"), "hard-where-firm knee flexion right"},
    {P("knee", "extension", "0 end-feel=springy"), "springy knee extension right"},
    {P("knee", "extension", "0 end-feel=spasm"), "spasm knee extension right"},
    {P("knee", "extension", "0 end-feel=empty"), "empty knee extension right"},
    {P("knee", "extension", "-20 end-feel=firm"), "normal-type-early knee extension right"},
    {P("hip", "extension", "0 end-feel=hard"), "hard-where-firm hip extension right"},
    {P("knee", "extension", "-20"), ""},
};

START_TEST(told_where_it_holds)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, told[_i].readings);
    ck_assert_str_eq(build_patterns(b, v), told[_i].patterns);
    build_free(b);
}
END_TEST

/* Firm is accepted wherever soft or hard is usual; a motion that does not accept it is made. */
START_TEST(firm_where_it_is_not_usual)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, P("elbow", "flexion", "149 end-feel=firm"));
    ck_assert_uint_eq(v->n_patterns, 0);
    struct goniometry usual = *v->rows[0].motion->goniometry;
    struct motion strict = *v->rows[0].motion;
    usual.end_feel_also = 0;
    strict.goniometry = &usual;
    v->rows[0].motion = &strict;
    rules_tension(v, b->arena);
    ck_assert_str_eq(build_patterns(b, v), "firm-where-soft-or-hard elbow flexion right");
    build_free(b);
}
END_TEST

/* Ten degrees are no ten millimetres, even if an error limit were on file for those. */
START_TEST(excess_is_of_degrees)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, NOW "jaw opening midline PROM 90");
    ck_assert_int_eq(v->rows[0].unit, UNIT_MM);
    ck_assert_ptr_nonnull(v->rows[0].normal);
    v->rows[0].error.limit = num_of(5);
    rules_tension(v, b->arena);
    ck_assert_uint_eq(v->n_patterns, 0);
    build_free(b);
}
END_TEST

static const struct pattern *only(const struct visit_findings *v)
{
    ck_assert_uint_eq(v->n_patterns, 1);
    return &v->patterns[0];
}

START_TEST(figures_of_a_pattern)
{
    struct build *b = build_new();
    const struct pattern *p =
        only(build_findings(b, A("elbow", "flexion", "120.5") P("elbow", "flexion", "140")));
    ck_assert_double_eq(p->gap.value, 19.5);
    ck_assert_uint_eq(p->n_rows, 2);
    ck_assert_int_eq(p->rows[0]->test, TEST_AROM);
    ck_assert_int_eq(p->rows[1]->test, TEST_PROM);
    ck_assert_str_eq(p->tension->recheck, "strength pain");
    build_free(b);
    b = build_new();
    p = only(build_findings(b, A("shoulder", "abduction", "170 from=65 to=115")));
    ck_assert_double_eq(p->from.value, 65);
    ck_assert_double_eq(p->to.value, 115);
    ck_assert(!p->gap.has);
    build_free(b);
    b = build_new();
    p = only(build_findings(b, A("shoulder", "abduction", "175 from=165")));
    ck_assert_double_eq(p->from.value, 165);
    ck_assert_double_eq(p->to.value, 175);
    build_free(b);
}
END_TEST

/* Every kind that is told stands in the list of kinds, and has its row in the library. */
START_TEST(kinds_are_listed)
{
    size_t n, rows;
    const char *const *kinds = rules_pattern_kinds(&n);
    const struct muscle_length *lengths = reference_muscle_lengths(build_ref, &rows);
    for (size_t i = 0; i < n; i++) {
        bool known = reference_tension(build_ref, kinds[i]) != NULL;
        for (size_t k = 0; k < rows; k++)
            known |= str_eq(lengths[k].id, kinds[i]);
        ck_assert_msg(known, "%s is not in the library", kinds[i]);
        for (size_t k = 0; k < i; k++)
            ck_assert_str_ne(kinds[i], kinds[k]);
    }
    for (size_t i = 0; i < ARRAY_LEN(told); i++) {
        size_t len = strcspn(told[i].patterns, " "), k = 0;
        while (len > 0 && k < n &&
               (strlen(kinds[k]) != len || strncmp(kinds[k], told[i].patterns, len) != 0))
            k++;
        ck_assert_msg(len == 0 || k < n, "%s is not listed", told[i].patterns);
    }
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, told_where_it_holds, 0, ARRAY_LEN(told));
    tcase_add_test(tc, firm_where_it_is_not_usual);
    tcase_add_test(tc, excess_is_of_degrees);
    tcase_add_test(tc, figures_of_a_pattern);
    tcase_add_test(tc, kinds_are_listed);
}

BUILD_SUITE("rules_tension")
