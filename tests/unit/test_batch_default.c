/* Which reports a visit gets when none is asked for. */
#include "batch/batch_int.h"
#include "unit.h"

static const struct {
    enum visit_kind visit;
    const char *referrer;
    bool due[4]; /* chart, letter, progress, discharge */
} visits[] = {
    {VISIT_NONE, "Dr. Other", {true, true, false, false}},
    {VISIT_EVALUATION, "Dr. Other", {true, true, false, false}},
    {VISIT_VISIT, "Dr. Other", {true, true, false, false}},
    {VISIT_REEVALUATION, "Dr. Other", {true, true, false, false}},
    {VISIT_PROGRESS, "Dr. Other", {false, true, true, false}},
    {VISIT_DISCHARGE, "Dr. Other", {false, true, false, true}},
    {VISIT_EVALUATION, NULL, {true, false, false, false}},
    {VISIT_EVALUATION, "", {true, false, false, false}},
    {VISIT_DISCHARGE, NULL, {false, false, false, true}},
};

START_TEST(follow_the_kind_of_visit)
{
    struct batch_options o = {0};
    struct patient p = {.referrer = visits[_i].referrer};
    struct visit v = {.patient = &p, .kind = visits[_i].visit};
    size_t n;
    const char *const *kinds = kinds_by_default(&n);
    ck_assert_uint_eq(n, ARRAY_LEN(visits[_i].due));
    for (size_t i = 0; i < n; i++)
        ck_assert_msg(kinds_is_due(&o, kinds[i], &v) == visits[_i].due[i], "%s", kinds[i]);
}
END_TEST

START_TEST(what_is_asked_for_is_made)
{
    static const char *const asked[] = {"letter", "own"};
    struct batch_options o = {.kinds = asked, .n_kinds = ARRAY_LEN(asked)};
    struct patient p = {0};
    struct visit v = {.patient = &p, .kind = VISIT_DISCHARGE};
    ck_assert(kinds_is_due(&o, "letter", &v));
    ck_assert(kinds_is_due(&o, "own", &v));
}
END_TEST

static Suite *batch_default_suite(void)
{
    Suite *s = suite_create("batch: default kinds");
    TCase *t = tcase_create("default");
    tcase_add_loop_test(t, follow_the_kind_of_visit, 0, (int)ARRAY_LEN(visits));
    tcase_add_test(t, what_is_asked_for_is_made);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(batch_default_suite)
