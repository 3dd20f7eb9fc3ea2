/* The CSV to fill in: native columns, nothing typed that was not measured, NT with its reason. */
#include "plan_run.h"

static char *csv_of(const struct plan *p, const struct plan_csv_options *o)
{
    struct buf out;
    buf_init(&out, PLAN_CSV_MAX);
    plan_csv(p, o, &out);
    char *text = mem_strdup(buf_text(&out));
    buf_release(&out);
    return text;
}

#define HEAD                                                                                      \
    "patient_id,visit_date,measured_by,joint,motion,side,digit,test,value,unit,try,position,"     \
    "tool,end_feel,pain,compensation,reason,note\n"

START_TEST(one_motion)
{
    static const char *const names[] = {"knee extension"};
    struct plan_wishes w = wish_for(names, 1);
    struct plan_request q = plan_request_all(&w);
    q.left = false;
    struct plan *p = make_plan(&q);
    char *text = csv_of(p, &(struct plan_csv_options){.patient_id = "00417",
                                                      .visit_date = "2031-05-06", .tries = 2});
    ck_assert_str_eq(text, HEAD
        "00417,2031-05-06,,knee,extension,right,,AROM,,deg,1,supine,,,,,,\n"
        "00417,2031-05-06,,knee,extension,right,,AROM,,deg,2,supine,,,,,,\n"
        "00417,2031-05-06,,knee,extension,right,,PROM,,deg,1,supine,,,,,,\n"
        "00417,2031-05-06,,knee,extension,right,,PROM,,deg,2,supine,,,,,,\n"
        "00417,2031-05-06,,knee,extension,right,,MMT,,,1,sitting,,,,,,\n");
    free(text);
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* What a caution or a position forbids is NT with its reason; passive range in standing is no row,
 * since nobody would test it. */
START_TEST(not_tested)
{
    static const char *const names[] = {"trunk flexion"};
    struct plan_wishes w = wish_for(names, 1);
    struct plan_request q = plan_request_all(&w);
    struct plan_condition heart = {plan_caution_by_id("unstable-heart"), NULL, SIDE_NONE};
    q.conditions = &heart;
    q.n_conditions = 1;
    struct plan *p = make_plan(&q);
    char *text = csv_of(p, &(struct plan_csv_options){.measured_by = "A, B", .tries = 1});
    ck_assert_str_eq(text, HEAD
        ",,\"A, B\",trunk,flexion,midline,,AROM,,deg,1,standing,,,,,,\n"
        ",,\"A, B\",trunk,flexion,midline,,MMT,NT,,,,,,,,No resisted tests,\n");
    free(text);
    plan_free(p);
    q.conditions = NULL;
    q.n_conditions = 0;
    q.positions = 1u << PLAN_PRONE;
    q.tests = 1u << PLAN_MMT;
    p = make_plan(&q);
    text = csv_of(p, &(struct plan_csv_options){.tries = 3});
    ck_assert_str_eq(text, HEAD ",,,trunk,flexion,midline,,MMT,NT,,,,,,,,"
                                "no position tolerated in which it can be tested,\n");
    free(text);
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* Every line has 18 cells, for all motions with every caution on file. */
START_TEST(lines_are_even)
{
    struct plan_wishes w;
    plan_wishes_init(&w);
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        plan_wish_for(&w, reference_motion_at(ref, i));
    for (size_t k = 0; k <= plan_caution_count(); k++) {
        struct plan_condition on_file = {plan_caution_at(k), NULL, SIDE_NONE};
        struct plan_request q = plan_request_all(&w);
        q.conditions = &on_file;
        q.n_conditions = plan_caution_at(k) != NULL;
        struct plan *p = make_plan(&q);
        char *text = csv_of(p, &(struct plan_csv_options){.tries = PLAN_TRIES_MAX});
        ck_assert_uint_lt(strlen(text), PLAN_CSV_MAX / 8);
        size_t lines = 0, rows = 0;
        int commas = 0;
        bool quoted = false;
        for (const char *s = text; *s != '\0'; s++) {
            quoted ^= *s == '"';
            commas += *s == ',' && !quoted;
            if (*s != '\n')
                continue;
            ck_assert_int_eq(commas, 17);
            commas = 0;
            lines++;
        }
        for (size_t i = 0; i < p->n_items; i++)
            rows += p->items[i].test == PLAN_MMT ? 1 : PLAN_TRIES_MAX;
        for (size_t i = 0; i < p->n_omitted; i++)
            rows += p->omitted[i].reason != PLAN_PASSIVE_IN_STANDING;
        ck_assert_uint_eq(lines, rows + 1);
        free(text);
        plan_free(p);
    }
    plan_wishes_release(&w);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("plan: CSV to fill in");
    TCase *c = tcase_create("csv");
    tcase_set_timeout(c, 30);
    tcase_add_unchecked_fixture(c, load_reference, release_reference);
    tcase_add_test(c, one_motion);
    tcase_add_test(c, not_tested);
    tcase_add_test(c, lines_are_even);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
