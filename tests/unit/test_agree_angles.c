/* The figures of angles: what is left out and why, then the figures themselves. */
#include "agree_run.h"

#include "agree/agree_int.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

#define A(s, r, v) {.subject = s, .rater = r, .value = v}
#define T(s, r, v, t) {.subject = s, .rater = r, .value = v, .try = t}
#define I(s, v) {.subject = s, .rater = "I", .value = v, .instructor = true}

static const char *const class_rows[] = {"icc_1_1", "icc_2_1", "icc_3_1", "icc_1_k",
                                         "icc_2_k", "icc_3_k", "sem_agreement",
                                         "sem_consistency", "mdc95", "mdc90"};

/* ---- why there is no figure ------------------------------------------------------------------ */

static const struct without {
    struct agree_rating rows[6];
    size_t n;
    const char *why;
} without[] = {
    {{A("s", "A", 40), A("s", "B", 44)}, 2, "one subject only"},
    {{A("s", "A", 40), A("t", "A", 44)}, 2, "one rater only"},
    {{A("s", "A", 40), A("t", "A", 44), I("s", 41), I("t", 43)}, 4, "beside the instructor"},
    {{A("s", "A", 40), A("t", "A", 44), A("s", "B", 41)}, 3, "fewer than two subjects"},
    {{A("s", "A", 40), A("t", "B", 44)}, 2, "fewer than two subjects"},
};

START_TEST(no_figure_of_the_class)
{
    const struct without *c = &without[_i];
    struct run x = run_angles(c->rows, c->n);
    for (size_t i = 0; i < ARRAY_LEN(class_rows); i++)
        expect_none(&x, class_rows[i], NULL, NULL, c->why);
    run_end(&x);
}
END_TEST

START_TEST(subjects_do_not_differ)
{
    static const struct agree_rating rows[] = {A("s", "A", 40.1), A("t", "A", 40.1),
                                               A("s", "B", 40.4), A("t", "B", 40.4)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    expect_none(&x, "icc_2_1", NULL, NULL, "do not differ");
    expect(&x, "sem_consistency", NULL, NULL, 0);
    expect(&x, "sem_agreement", NULL, NULL, sqrt(0.045)); /* the bias alone: 0.3^2/2 */
    run_end(&x);
}
END_TEST

START_TEST(all_readings_equal)
{
    static const struct agree_rating rows[] = {A("s", "A", 40), A("t", "A", 40), A("s", "B", 40),
                                               A("t", "B", 40)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    expect_none(&x, "icc_3_k", NULL, NULL, "do not differ");
    expect(&x, "sem_agreement", NULL, NULL, 0);
    expect(&x, "mdc95", NULL, NULL, 0);
    ck_assert(!row_of(&x, "mdc95", NULL, NULL)->est.low.has);
    expect(&x, "bias", "A", "B", 0);
    run_end(&x);
}
END_TEST

/* Perfect consistency: 1 without limits, since nothing is left to reckon them from. */
START_TEST(no_residual)
{
    static const struct agree_rating rows[] = {A("s", "A", 40.1), A("t", "A", 70.3),
                                               A("u", "A", 55.7), A("s", "B", 43.1),
                                               A("t", "B", 73.3), A("u", "B", 58.7)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    const struct agree_row *row = row_of(&x, "icc_3_1", NULL, NULL);
    ck_assert_double_eq_tol(row->est.value.value, 1, 1e-12);
    ck_assert(!row->est.low.has && !row->est.high.has);
    ck_assert_ptr_nonnull(strstr(row->note, "cannot be reckoned"));
    ck_assert(row_of(&x, "icc_2_1", NULL, NULL)->est.value.value < 1);
    ck_assert(row_of(&x, "icc_2_1", NULL, NULL)->est.low.has);
    expect(&x, "sem_consistency", NULL, NULL, 0);
    run_end(&x);
}
END_TEST

START_TEST(below_zero)
{
    static const struct agree_rating rows[] = {A("s", "A", 40), A("t", "A", 60), A("s", "B", 60),
                                               A("t", "B", 41)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    const struct agree_row *row = row_of(&x, "icc_1_1", NULL, NULL);
    ck_assert(row->est.value.value < 0);
    ck_assert_ptr_nonnull(strstr(row->note, "no reliability shown"));
    run_end(&x);
}
END_TEST

/* The lower limit of a tiny table can pass -1/(k - 1), where the mean of k has no meaning. */
START_TEST(step_up_out_of_range)
{
    static const double x[] = {50, 53, 53, 50, 51.5, 51.6};
    struct agree_anova t;
    ck_assert(agree_anova_of(x, 3, 2, &t));
    struct agree_estimate one = agree_icc_of(&t, AGREE_ICC_2_1);
    struct agree_estimate mean = agree_icc_of(&t, AGREE_ICC_2_K);
    ck_assert_double_lt(one.low.value, -1);
    ck_assert(!mean.low.has);
    ck_assert(!agree_anova_of(x, 1, 6, &t));
    ck_assert(!agree_anova_of(x, 6, 1, &t));
}
END_TEST

/* ---- one subject ----------------------------------------------------------------------------- */

/* Eight readings of one knee; the instructor reads 110. */
START_TEST(one_subject)
{
    static const struct agree_rating rows[] = {
        A("knee", "A", 108), A("knee", "B", 112), A("knee", "C", 115), A("knee", "D", 116),
        I("knee", 110)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    expect(&x, "n_subjects", NULL, NULL, 1);
    expect(&x, "n_raters", NULL, NULL, 4);
    expect(&x, "mean", NULL, NULL, 112.75);
    expect(&x, "sd", NULL, NULL, sqrt(38.75 / 3));
    expect(&x, "min", NULL, NULL, 108);
    expect(&x, "max", NULL, NULL, 116);
    expect(&x, "range", NULL, NULL, 8);
    expect(&x, "cv_percent", NULL, NULL, 100 * sqrt(38.75 / 3) / 112.75);
    expect(&x, "bias", "A", "I", -2);
    expect(&x, "percent_within_5", "C", "I", 100);
    expect(&x, "percent_within_5", "D", "I", 0);
    expect(&x, "percent_within_5_of_instructor", NULL, NULL, 75);
    expect(&x, "percent_within_10_of_instructor", NULL, NULL, 100);
    expect(&x, "percent_within_5", NULL, NULL, 100 * 4.0 / 6);
    expect_none(&x, "loa_low", "A", "B", "need three");
    ck_assert(!row_of(&x, "bias", "A", "B")->est.low.has);
    run_end(&x);
}
END_TEST

/* An extension about zero has no coefficient of variation; one reading has no SD. */
START_TEST(one_subject_near_zero)
{
    static const struct agree_rating rows[] = {A("knee", "A", -2), A("knee", "B", 3)};
    struct run x = run_angles(rows, 2);
    expect_none(&x, "cv_percent", NULL, NULL, "at or below zero");
    expect(&x, "range", NULL, NULL, 5);
    run_end(&x);
    static const struct agree_rating one = A("knee", "A", 3);
    x = run_angles(&one, 1);
    expect_none(&x, "sd", NULL, NULL, "one rater");
    expect_none(&x, "cv_percent", NULL, NULL, "one rater");
    run_end(&x);
}
END_TEST

/* ---- gaps ------------------------------------------------------------------------------------ */

/* Subject u lacks C: the class is reckoned from s and t, the pair A:B from all three. */
START_TEST(gap)
{
    static const struct agree_rating rows[] = {
        A("s", "A", 40), A("s", "B", 44), A("s", "C", 41), A("t", "A", 70), A("t", "B", 71),
        A("t", "C", 74), A("u", "A", 90), A("u", "B", 99)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    expect(&x, "n_subjects", NULL, NULL, 3);
    ck_assert_ptr_nonnull(strstr(row_of(&x, "n_subjects", NULL, NULL)->note, "1 with a gap"));
    ck_assert_uint_eq(x.r->n_complete, 2);
    static const double full[] = {40, 44, 41, 70, 71, 74};
    struct agree_anova t;
    ck_assert(agree_anova_of(full, 2, 3, &t));
    expect(&x, "icc_2_1", NULL, NULL, agree_icc_of(&t, AGREE_ICC_2_1).value.value);
    expect(&x, "bias", "A", "B", -14.0 / 3);
    expect(&x, "bias", "A", "C", -2.5);
    expect(&x, "percent_within_5", "A", "B", 200.0 / 3);
    run_end(&x);
}
END_TEST

START_TEST(pair_without_a_subject)
{
    static const struct agree_rating rows[] = {A("s", "A", 40), A("t", "B", 44)};
    struct run x = run_angles(rows, 2);
    static const char *const pair[] = {"bias", "loa_low", "loa_high", "repeatability",
                                       "percent_within_5", "percent_within_10"};
    for (size_t i = 0; i < ARRAY_LEN(pair); i++)
        expect_none(&x, pair[i], "A", "B", "no subject measured by both");
    expect_none(&x, "percent_within_5", NULL, NULL, "no subject");
    run_end(&x);
}
END_TEST

/* ---- the figures ----------------------------------------------------------------------------- */

/* The instructor stays out of the class: 6 subjects by 4 judges and a yardstick that is far off. */
START_TEST(instructor_is_not_a_rater)
{
    static const double sf[] = {9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8,
                                7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};
    static const char *const subjects[] = {"1", "2", "3", "4", "5", "6"};
    static const char *const raters[] = {"A", "B", "C", "D"};
    struct agree_rating rows[30];
    size_t n = 0;
    for (size_t i = 0; i < 6; i++) {
        rows[n++] = (struct agree_rating){
            .subject = subjects[i], .rater = "I", .value = 30, .instructor = true};
        for (size_t j = 0; j < 4; j++)
            rows[n++] = (struct agree_rating)A(subjects[i], raters[j], sf[i * 4 + j]);
    }
    struct run x = run_angles(rows, n);
    ck_assert_double_eq_tol(row_of(&x, "icc_2_1", NULL, NULL)->est.value.value, 0.2898, 5e-5);
    ck_assert_double_eq_tol(row_of(&x, "icc_2_1", NULL, NULL)->est.low.value, 0.0188, 5e-5);
    ck_assert_double_eq_tol(row_of(&x, "mdc95", NULL, NULL)->est.value.value,
                            2.7718585823 * 2.5027762363, 1e-6);
    ck_assert_ptr_nonnull(strstr(row_of(&x, "n_raters", NULL, NULL)->note, "yardstick"));
    expect(&x, "percent_within_10", NULL, NULL, 100);
    expect(&x, "percent_within_10_of_instructor", NULL, NULL, 0);
    ck_assert_double_lt(row_of(&x, "bias", "A", "I")->est.value.value, -20);
    ck_assert_ptr_null(agree_row_of(x.r, "bias", "I", "A"));
    run_end(&x);
}
END_TEST

/* Limits of the agreement SEM: two mean squares, so few raters make them wide. Reckoned by hand:
 * JMS/n = 5.41435185, EMS (n-1)/n = 0.84953704, v = 3.99545. */
START_TEST(sem_agreement_limits)
{
    static const double sf[] = {9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8,
                                7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};
    struct agree_anova t;
    ck_assert(agree_anova_of(sf, 6, 4, &t));
    struct agree_estimate e = agree_sem_agreement(&t);
    double v = 6.26388889 * 6.26388889 /
               (5.41435185 * 5.41435185 / 3 + 0.84953704 * 0.84953704 / 15);
    ck_assert_double_eq_tol(e.low.value, sqrt(6.26388889 * v / agree_quantile_chi2(0.975, v)),
                            1e-6);
    ck_assert_double_eq_tol(e.high.value, sqrt(6.26388889 * v / agree_quantile_chi2(0.025, v)),
                            1e-6);
    /* Raters who differ less than chance would have them: the residual alone. */
    static const double level[] = {40, 42, 51, 49, 60, 60};
    ck_assert(agree_anova_of(level, 3, 2, &t));
    ck_assert_double_lt(t.jms, t.ems);
    ck_assert_double_eq_tol(agree_sem_agreement(&t).value.value, sqrt(t.ems), 1e-12);
}
END_TEST

/* Tries: the cell is their mean, every figure says so, and repeats have figures of their own. */
START_TEST(tries)
{
    static const struct agree_rating rows[] = {
        T("s", "A", 40, 1), T("s", "A", 44, 2), T("t", "A", 70, 1), T("t", "A", 70, 2),
        T("u", "A", 80, 1), T("u", "A", 82, 2), A("s", "B", 45),    A("t", "B", 72),
        A("u", "B", 80),    T("u", "A", 81, 3)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    ck_assert_str_eq(row_of(&x, "icc_2_1", NULL, NULL)->note, "means of 1 to 3 tries");
    expect(&x, "bias", "A", "B", (-3 - 2 + 1) / 3.0);
    double sw = sqrt((8 + 0 + 2) / 4.0), factor = 1.96 * sqrt(2);
    expect(&x, "repeatability", "A", "A", factor * sw);
    expect(&x, "repeatability", NULL, NULL, factor * sw);
    const struct agree_row *own = row_of(&x, "repeatability", "A", "A");
    ck_assert_double_eq_tol(own->est.high.value,
                            factor * sqrt(10 / agree_quantile_chi2(0.025, 4)), 1e-9);
    ck_assert_ptr_null(agree_row_of(x.r, "repeatability", "B", "B"));
    /* Single readings: SD of the differences widened by the within variance of A alone, times one
     * less the mean of 1/2, 1/2 and 1/3. */
    double sd = sqrt(((-3 + 4 / 3.0) * (-3 + 4 / 3.0) + (-2 + 4 / 3.0) * (-2 + 4 / 3.0) +
                      (1 + 4 / 3.0) * (1 + 4 / 3.0)) / 2);
    expect(&x, "loa_high", "A", "B", -4 / 3.0 + 1.96 * sd);
    expect(&x, "loa_single_high", "A", "B", -4 / 3.0 + 1.96 * sqrt(sd * sd + 2.5 * 5 / 9));
    run_end(&x);
}
END_TEST

START_TEST(no_repeats)
{
    static const struct agree_rating rows[] = {A("s", "A", 40), A("t", "A", 44), A("s", "B", 41),
                                               A("t", "B", 48)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    expect_none(&x, "repeatability", NULL, NULL, "no rater repeated");
    expect(&x, "repeatability", "A", "B", 1.96 * sqrt(17 / 2.0));
    ck_assert_ptr_null(agree_row_of(x.r, "loa_single_low", "A", "B"));
    run_end(&x);
}
END_TEST

/* Five degrees are within five, also where the binary forms of 8.3 and 3.3 lie further apart. */
START_TEST(edge_of_five)
{
    static const struct agree_rating rows[] = {A("s", "A", 3.3), A("s", "B", 8.3),
                                               A("t", "A", 50), A("t", "B", 55.01)};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    expect(&x, "percent_within_5", "A", "B", 50);
    const struct agree_row *row = row_of(&x, "percent_within_5", "A", "B");
    /* Exact limits of 1 in 2: quantiles of beta(1, 2) and beta(2, 1). */
    ck_assert_double_eq_tol(row->est.low.value, 100 * (1 - sqrt(0.975)), 1e-9);
    ck_assert_double_eq_tol(row->est.high.value, 100 * sqrt(0.975), 1e-9);
    run_end(&x);
}
END_TEST

/* ---- quantiles ------------------------------------------------------------------------------- */

/* Inverse of the distribution function over the degrees of freedom that can occur, also where the
 * library's own inverse gives no number. */
START_TEST(quantiles_invert)
{
    static const double p[] = {0.025, 0.95, 0.975};
    static const double v[] = {0.05, 0.5, 1, 1.5, 3, 4.785, 18, 77.3, 300, 5000, 630000};
    for (size_t i = 0; i < ARRAY_LEN(p); i++) {
        for (size_t j = 0; j < ARRAY_LEN(v); j++) {
            double q = agree_quantile_chi2(p[i], v[j]);
            ck_assert_double_eq_tol(gsl_cdf_chisq_P(q, v[j]), p[i], 1e-10);
            for (size_t k = 2; k < ARRAY_LEN(v); k++) {
                q = agree_quantile_f(p[i], v[j], v[k]);
                ck_assert_double_eq_tol(gsl_cdf_fdist_P(q, v[j], v[k]), p[i], 1e-10);
            }
        }
    }
    ck_assert_double_eq_tol(agree_quantile_t(0.975, 1), 12.7062047364, 1e-9);
    ck_assert_double_eq_tol(agree_quantile_t(0.975, 2), 4.30265272991, 1e-9);
    ck_assert_double_eq_tol(agree_quantile_normal(0.975), 1.95996398454, 1e-9);
}
END_TEST

START_TEST(percents)
{
    struct agree_estimate e = agree_percent_of(0, 10);
    ck_assert_double_eq(e.low.value, 0);
    ck_assert_double_eq_tol(e.high.value, 100 * (1 - pow(0.025, 0.1)), 1e-9);
    e = agree_percent_of(10, 10);
    ck_assert_double_eq_tol(e.low.value, 100 * pow(0.025, 0.1), 1e-9);
    ck_assert_double_eq(e.high.value, 100);
    for (size_t n = 1; n < 400; n += 7) {
        for (size_t h = 0; h <= n; h++) {
            e = agree_percent_of(h, n);
            ck_assert_double_le(e.low.value, e.value.value);
            ck_assert_double_le(e.value.value, e.high.value);
            ck_assert(e.low.value >= 0 && e.high.value <= 100);
        }
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("agree: angles");
    TCase *c = tcase_create("angles");
    tcase_add_loop_test(c, no_figure_of_the_class, 0, (int)ARRAY_LEN(without));
    tcase_add_test(c, subjects_do_not_differ);
    tcase_add_test(c, all_readings_equal);
    tcase_add_test(c, no_residual);
    tcase_add_test(c, below_zero);
    tcase_add_test(c, step_up_out_of_range);
    tcase_add_test(c, one_subject);
    tcase_add_test(c, one_subject_near_zero);
    tcase_add_test(c, gap);
    tcase_add_test(c, pair_without_a_subject);
    tcase_add_test(c, instructor_is_not_a_rater);
    tcase_add_test(c, sem_agreement_limits);
    tcase_add_test(c, tries);
    tcase_add_test(c, no_repeats);
    tcase_add_test(c, edge_of_five);
    tcase_add_test(c, quantiles_invert);
    tcase_add_test(c, percents);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
