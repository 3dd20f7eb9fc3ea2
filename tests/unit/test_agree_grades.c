/* Grades: no correlation, kappa of pairs and their mean, exact and near agreement. */
#include "agree_run.h"

#include <math.h>
#include <stdio.h>

#define A(s, r, v) {.subject = s, .rater = r, .value = v}

static const double whole[] = {0, 1, 2, 3, 4, 5};
static const double halves[] = {0, 1, 1.67, 2, 2.33, 2.67, 3, 3.33, 3.67, 4, 4.33, 5};
static const struct agree_options grades = {AGREE_GRADE, whole, ARRAY_LEN(whole)};
static const struct agree_options steps = {AGREE_GRADE, halves, ARRAY_LEN(halves)};

START_TEST(not_a_grade)
{
    static const struct agree_rating rows[] = {A("s", "A", 3.5), A("s", "B", 4), A("s", "C", 6)};
    struct run x = run_on(rows, ARRAY_LEN(rows), &grades);
    ck_assert_uint_eq(times_said(&x, DIAG_AGREE_VALUE), 2);
    ck_assert_uint_eq(x.r->n_raters, 1);
    expect_none(&x, "kappa_linear", NULL, NULL, "no pair");
    run_end(&x);
}
END_TEST

START_TEST(pair_without_a_subject)
{
    static const struct agree_rating rows[] = {A("s", "A", 3), A("t", "B", 4)};
    struct run x = run_on(rows, ARRAY_LEN(rows), &grades);
    expect_none(&x, "kappa_linear", "A", "B", "no subject graded by both");
    expect_none(&x, "kappa_quadratic", NULL, NULL, "mean of 0 of 1 pairs");
    expect_none(&x, "exact_percent", "A", "B", "no subject measured by both");
    run_end(&x);
}
END_TEST

START_TEST(one_grade_throughout)
{
    static const struct agree_rating rows[] = {A("s", "A", 5), A("t", "A", 5), A("s", "B", 5),
                                               A("t", "B", 5)};
    struct run x = run_on(rows, ARRAY_LEN(rows), &grades);
    expect_none(&x, "kappa_linear", "A", "B", "one and the same grade");
    expect(&x, "exact_percent", "A", "B", 100);
    run_end(&x);
}
END_TEST

START_TEST(agreement_without_a_slip)
{
    static const struct agree_rating rows[] = {A("s", "A", 3), A("t", "A", 5), A("s", "B", 3),
                                               A("t", "B", 5)};
    struct run x = run_on(rows, ARRAY_LEN(rows), &grades);
    expect(&x, "kappa_quadratic", "A", "B", 1);
    const struct agree_row *row = row_of(&x, "kappa_quadratic", "A", "B");
    ck_assert(!row->est.low.has && !row->est.high.has);
    ck_assert_ptr_nonnull(strstr(row->note, "no disagreement"));
    run_end(&x);
}
END_TEST

/* Nothing of angles, and an upper limit above 1 stops at 1. */
START_TEST(rows_of_grades)
{
    static const struct agree_rating rows[] = {
        A("s", "A", 3), A("t", "A", 5), A("u", "A", 4), A("v", "A", 2),
        A("s", "B", 3), A("t", "B", 5), A("u", "B", 5), A("v", "B", 2)};
    struct run x = run_on(rows, ARRAY_LEN(rows), &grades);
    static const char *const absent[] = {"icc_2_1", "sem_agreement", "mdc95", "bias", "loa_low",
                                         "repeatability", "percent_within_5", "mean"};
    for (size_t i = 0; i < ARRAY_LEN(absent); i++)
        for (size_t j = 0; j < x.r->n_rows; j++)
            ck_assert_str_ne(x.r->rows[j].quantity, absent[i]);
    ck_assert_double_eq(row_of(&x, "kappa_quadratic", "A", "B")->est.high.value, 1);
    expect(&x, "exact_percent", "A", "B", 75);
    expect(&x, "within_one_grade_percent", NULL, NULL, 100);
    run_end(&x);
}
END_TEST

/* Unused grades count in the weights: the same table on a longer scale has another kappa. */
START_TEST(unused_grades_count)
{
    static const double three[] = {3, 4, 5};
    static const struct agree_options few = {AGREE_GRADE, three, 3};
    static const struct agree_rating rows[] = {A("s", "A", 3), A("t", "A", 5), A("u", "A", 4),
                                               A("s", "B", 3), A("t", "B", 3), A("u", "B", 5)};
    struct run x = run_on(rows, ARRAY_LEN(rows), &few);
    struct run y = run_on(rows, ARRAY_LEN(rows), &grades);
    /* Kappa is a ratio of weighted disagreements, so equal spacing cancels the length; what must
     * not cancel is the number of steps named. */
    ck_assert_ptr_nonnull(strstr(row_of(&x, "kappa_linear", "A", "B")->note, "3 equal steps"));
    ck_assert_ptr_nonnull(strstr(row_of(&y, "kappa_linear", "A", "B")->note, "6 equal steps"));
    expect(&y, "kappa_linear", "A", "B", row_of(&x, "kappa_linear", "A", "B")->est.value.value);
    run_end(&x);
    run_end(&y);
}
END_TEST

/* Half grades are steps of their own for kappa; "within one grade" is a whole one. */
START_TEST(half_grades)
{
    static const struct agree_rating rows[] = {
        A("s", "A", 3.33), A("s", "B", 4.33), A("t", "A", 3.67), A("t", "B", 5),
        A("u", "A", 2),    A("u", "B", 2)};
    struct run x = run_on(rows, ARRAY_LEN(rows), &steps);
    expect(&x, "within_one_grade_percent", "A", "B", 200.0 / 3);
    expect(&x, "exact_percent", "A", "B", 100.0 / 3);
    /* Ranks 7 8 3 against 10 11 3: steps apart in the three pairs seen, and in all nine. */
    double seen = 3 + 3 + 0;
    double chance = (3 + 4 + 4 + 2 + 3 + 5 + 7 + 8 + 0) / 3.0;
    expect(&x, "kappa_linear", "A", "B", 1 - seen / chance);
    run_end(&x);
}
END_TEST

/* Three raters and the instructor: the mean is over the three pairs of raters only. */
START_TEST(mean_of_pairs)
{
    static const struct agree_rating rows[] = {
        A("s", "A", 3), A("t", "A", 5), A("u", "A", 4), A("s", "B", 3), A("t", "B", 5),
        A("u", "B", 5), A("s", "C", 2), A("t", "C", 5), A("u", "C", 4),
        {.subject = "s", .rater = "I", .value = 1, .instructor = true},
        {.subject = "t", .rater = "I", .value = 1, .instructor = true}};
    struct run x = run_on(rows, ARRAY_LEN(rows), &grades);
    double mean = 0;
    static const char *const pairs[][2] = {{"A", "B"}, {"A", "C"}, {"B", "C"}};
    for (size_t i = 0; i < 3; i++)
        mean += row_of(&x, "kappa_linear", pairs[i][0], pairs[i][1])->est.value.value / 3;
    expect(&x, "kappa_linear", NULL, NULL, mean);
    ck_assert_str_eq(row_of(&x, "kappa_linear", NULL, NULL)->note, "mean of 3 of 3 pairs");
    expect(&x, "exact_percent", NULL, NULL, 500.0 / 9);
    expect(&x, "exact_percent_of_instructor", NULL, NULL, 0);
    expect(&x, "within_one_grade_percent", "C", "I", 50);
    ck_assert_ptr_nonnull(strstr(row_of(&x, "kappa_linear", "A", "I")->note, "2 subjects"));
    run_end(&x);
}
END_TEST

/* A grade is not a number to average: the first try stands. */
START_TEST(first_try)
{
    static const struct agree_rating rows[] = {
        {.subject = "s", .rater = "A", .value = 5, .try = 2},
        {.subject = "s", .rater = "A", .value = 4, .try = 1},
        {.subject = "s", .rater = "B", .value = 4}};
    struct run x = run_on(rows, ARRAY_LEN(rows), &grades);
    ck_assert_double_eq(agree_cell_at(x.r, 0, 0)->value.value, 4);
    ck_assert_int_eq(agree_cell_at(x.r, 0, 0)->n_tries, 2);
    expect(&x, "exact_percent", "A", "B", 100);
    ck_assert_ptr_nonnull(strstr(row_of(&x, "kappa_linear", "A", "B")->note, "first try"));
    run_end(&x);
}
END_TEST

/* No reading in the table: no kappa. */
START_TEST(empty_table)
{
    static const double nothing[4], w[] = {1, 0, 0, 1};
    ck_assert(!agree_kappa_of(nothing, 2, w).kappa.value.has);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("agree: grades");
    TCase *c = tcase_create("grades");
    tcase_add_test(c, not_a_grade);
    tcase_add_test(c, pair_without_a_subject);
    tcase_add_test(c, one_grade_throughout);
    tcase_add_test(c, agreement_without_a_slip);
    tcase_add_test(c, rows_of_grades);
    tcase_add_test(c, unused_grades_count);
    tcase_add_test(c, half_grades);
    tcase_add_test(c, mean_of_pairs);
    tcase_add_test(c, first_try);
    tcase_add_test(c, empty_table);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
