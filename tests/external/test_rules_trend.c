/*
 * Slopes held against figures that others published or certified, and against figures that two
 * statistics packages agreed on to nine digits. Each block names where its figures come from.
 */
#include "../unit/unit.h"

#include "rules/rules_int.h"

#include <math.h>
#include <string.h>

static void near(double got, double wanted, double tolerance, const char *what)
{
    ck_assert_msg(fabs(got - wanted) <= tolerance * fmax(1, fabs(wanted)), "%s: %.15g, not %.15g",
                  what, got, wanted);
}

/* Twelve digits stand in the tables, and two packages agreed on nine. */
static const double DIGITS = 1e-9;

/* ---- NIST Statistical Reference Datasets: Norris, a straight line through 36 points ---------- */

static const double norris_x[] = {
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
    666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2,
    999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5};
static const double norris_y[] = {
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
    668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0,
    998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2};

/* Eleven digits are what a double can hold here, says the certificate. */
START_TEST(nist_norris)
{
    struct slope s;
    size_t n = ARRAY_LEN(norris_x);
    ck_assert_uint_eq(n, 36);
    ck_assert(rules_least_squares(norris_x, norris_y, n, &s));
    near(s.slope, 1.00211681802045, 1e-11, "slope");
    near(s.level, -0.262323073774029, 1e-11, "intercept");
    near(s.residual_sd.value, 0.884796396144373, 1e-11, "residual SD");
    near(s.residual_sd.value / sqrt(s.sxx), 0.429796848199937e-3, 1e-11, "error of the slope");
    rules_slope_by_residuals(&s, 0.95);
    near(s.low.value, 1.00124336574, DIGITS, "low");
    near(s.high.value, 1.00299027031, DIGITS, "high");
}
END_TEST

/* ---- Sen 1968, the example of the paper ------------------------------------------------------ */

static const double sen_t[] = {1, 2, 3, 4, 10, 12, 18}, sen_y[] = {9, 15, 19, 20, 45, 55, 78};

START_TEST(sen_1968)
{
    struct arena *a = arena_new();
    struct slope s;
    ck_assert(rules_theil_sen(sen_t, sen_y, ARRAY_LEN(sen_t), 0.95, a, &s));
    near(s.slope, 4, DIGITS, "slope");
    near(s.level, 6, DIGITS, "level");
    ck_assert(s.exact);
    /* The limits that the paper prints at 93% are the ranks that hold 95%. */
    near(s.low.value, 3.71428571429, DIGITS, "low");
    near(s.high.value, 4.375, DIGITS, "high");
    ck_assert(rules_theil_sen(sen_t, sen_y, ARRAY_LEN(sen_t), 0.93, a, &s));
    near(s.low.value, 3.75, DIGITS, "low of 93%");
    near(s.high.value, 4.18181818182, DIGITS, "high of 93%");
    near(rules_kendall_variance(sen_t, sen_y, ARRAY_LEN(sen_t), a), 44.3333333333, DIGITS,
         "variance of S");
    arena_free(a);
}
END_TEST

/* Of two readings one order in two rises: a share of just the tail that is asked for counts. */
START_TEST(tail_holds_its_own_share)
{
    ck_assert_int_eq(rules_kendall_critical(2, 0), 1);
    ck_assert_int_eq(rules_kendall_critical(2, 0.001), 0);
}
END_TEST

/* Where everything is alike, S is 0 in every order: its variance, by the formula for ties on both
 * sides, is 0. */
START_TEST(all_alike_has_no_variance)
{
    struct arena *a = arena_new();
    const double alike[] = {7, 7, 7, 7};
    for (size_t n = 2; n <= ARRAY_LEN(alike); n++)
        near(rules_kendall_variance(alike, alike, n, a), 0, DIGITS, "variance of S");
    arena_free(a);
}
END_TEST

/* ---- the exact distribution of S: smallest S that is rare enough, by number of readings -------
 */

static const struct {
    size_t n;
    int at_90, at_95;
} kendall[] = {{3, 0, 0},   {4, 6, 0},   {5, 8, 10},  {6, 11, 13},
               {7, 13, 15}, {8, 16, 18}, {9, 18, 20}, {10, 21, 23}};

START_TEST(kendall_exact)
{
    ck_assert_int_eq(rules_kendall_critical(kendall[_i].n, 0.90), kendall[_i].at_90);
    ck_assert_int_eq(rules_kendall_critical(kendall[_i].n, 0.95), kendall[_i].at_95);
}
END_TEST

/* ---- four visits two weeks apart, SEM 3.5 -----------------------------------------------------
 */

static const double four_weeks[] = {0, 2, 4, 6}, four[] = {85, 95, 102, 112};

START_TEST(four_visits)
{
    struct arena *a = arena_new();
    struct slope s;
    ck_assert(rules_least_squares(four_weeks, four, ARRAY_LEN(four), &s));
    near(s.slope, 4.4, DIGITS, "slope");
    near(s.level, 85.3, DIGITS, "intercept");
    near(s.residual_sd.value, 0.948683298050514, DIGITS, "residual SD");
    rules_slope_by_residuals(&s, 0.95);
    near(s.low.value, 3.48726952328, DIGITS, "low");
    near(s.high.value, 5.31273047672, DIGITS, "high");
    rules_slope_by_sem(&s, 3.5);
    near(s.low.value, 2.86605736744, DIGITS, "known error, low");
    near(s.high.value, 5.93394263256, DIGITS, "known error, high");
    ck_assert(rules_theil_sen(four_weeks, four, ARRAY_LEN(four), 0.90, a, &s));
    near(s.slope, 4.375, DIGITS, "median slope");
    near(s.level, 85.375, DIGITS, "median level");
    near(s.low.value, 3.5, DIGITS, "median slope, low");
    near(s.high.value, 5, DIGITS, "median slope, high");
    near(rules_kendall_variance(four_weeks, four, ARRAY_LEN(four), a), 8.66666666667, DIGITS,
         "variance of S");
    arena_free(a);
}
END_TEST

/* ---- three visits at uneven dates --------------------------------------------------------------
 */

static const double three_weeks[] = {0, 1, 3}, three[] = {90, 98, 115};

START_TEST(three_visits)
{
    struct arena *a = arena_new();
    struct slope s;
    ck_assert(rules_least_squares(three_weeks, three, ARRAY_LEN(three), &s));
    near(s.slope, 8.35714285714286, DIGITS, "slope");
    near(s.level, 89.8571428571429, DIGITS, "intercept");
    near(s.residual_sd.value, 0.267261241912424, DIGITS, "residual SD");
    rules_slope_by_residuals(&s, 0.95);
    near(s.low.value, 6.78515770179, DIGITS, "low");
    near(s.high.value, 9.92912801249, DIGITS, "high");
    ck_assert(rules_theil_sen(three_weeks, three, ARRAY_LEN(three), 0.95, a, &s));
    near(s.slope, 8.33333333333, DIGITS, "median slope");
    near(s.level, 90, DIGITS, "median level");
    ck_assert(!s.low.has && !s.high.has);
    near(rules_kendall_variance(three_weeks, three, ARRAY_LEN(three), a), 3.66666666667, DIGITS,
         "variance of S");
    arena_free(a);
}
END_TEST

/* ---- ties: the formula held against every order there is ----------------------------------------
 */

static int sign(double x)
{
    return (x > 0) - (x < 0);
}

static void sum_orders(double *y, size_t k, size_t n, const double *t, double *squares,
                       long *orders)
{
    if (k == n) {
        int s = 0;
        for (size_t i = 0; i < n; i++)
            for (size_t j = i + 1; j < n; j++)
                s += sign(y[j] - y[i]) * sign(t[j] - t[i]);
        *squares += s * s;
        ++*orders;
        return;
    }
    for (size_t i = k; i < n; i++) {
        double kept = y[k];
        y[k] = y[i];
        y[i] = kept;
        sum_orders(y, k + 1, n, t, squares, orders);
        y[i] = y[k];
        y[k] = kept;
    }
}

static const double tied[][2][7] = {
    {{1, 2, 3, 4, 5, 6, 7}, {3, 3, 5, 5, 5, 8, 9}},
    {{1, 1, 2, 2, 2, 3, 4}, {3, 4, 5, 6, 7, 8, 9}},
    {{1, 1, 2, 2, 2, 3, 4}, {3, 3, 5, 5, 5, 8, 9}},
};

START_TEST(variance_with_ties)
{
    struct arena *a = arena_new();
    enum { N = 7, ORDERS = 5040 };
    double y[N], squares = 0;
    long orders = 0;
    memcpy(y, tied[_i][1], sizeof y);
    sum_orders(y, 0, N, tied[_i][0], &squares, &orders);
    ck_assert_int_eq(orders, ORDERS);
    near(rules_kendall_variance(tied[_i][0], tied[_i][1], N, a), squares / ORDERS, DIGITS,
         "variance of S");
    arena_free(a);
}
END_TEST

/* Where the approximation stands in, limits lie between two of the ordered slopes: rank 3.9750 of
 * 21 for the seven values of Sen, a little further in where two of them are equal. */
START_TEST(limits_with_ties)
{
    struct arena *a = arena_new();
    double y[ARRAY_LEN(sen_y)];
    memcpy(y, sen_y, sizeof y);
    y[3] = 19;
    struct slope s;
    ck_assert(rules_theil_sen(sen_t, y, ARRAY_LEN(y), 0.95, a, &s));
    ck_assert(!s.exact);
    double slopes[21], c = 1.95996398454 * sqrt(rules_kendall_variance(sen_t, y, ARRAY_LEN(y), a));
    size_t n = 0;
    for (size_t i = 0; i < ARRAY_LEN(y); i++)
        for (size_t k = i + 1; k < ARRAY_LEN(y); k++) {
            double slope = (y[k] - y[i]) / (sen_t[k] - sen_t[i]);
            size_t at = n++;
            for (; at > 0 && slopes[at - 1] > slope; at--)
                slopes[at] = slopes[at - 1];
            slopes[at] = slope;
        }
    double low = (21 - c) / 2, high = (21 + c) / 2 + 1;
    ck_assert(low > 4 && low < 5 && high > 17 && high < 18);
    near(s.low.value, slopes[3] + (low - 4) * (slopes[4] - slopes[3]), 1e-8, "low");
    near(s.high.value, slopes[16] + (high - 17) * (slopes[17] - slopes[16]), 1e-8, "high");
    arena_free(a);
}
END_TEST

/* Two readings of one time have no slope: of (0, 0), (0, 4) and (1, 1) the slopes are 1 and -3. */
START_TEST(equal_times_have_no_slope)
{
    static const double t[][3] = {{0, 0, 1}, {1, 0, 0}}, y[][3] = {{0, 4, 1}, {1, 4, 0}};
    for (size_t i = 0; i < ARRAY_LEN(t); i++) {
        struct arena *a = arena_new();
        struct slope s;
        ck_assert(rules_theil_sen(t[i], y[i], ARRAY_LEN(t[i]), 0.95, a, &s));
        near(s.slope, -1, DIGITS, "slope");
        arena_free(a);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("rules_trend against published figures");
    TCase *tc = tcase_create("all");
    tcase_add_test(tc, all_alike_has_no_variance);
    tcase_add_test(tc, tail_holds_its_own_share);
    tcase_add_test(tc, nist_norris);
    tcase_add_test(tc, sen_1968);
    tcase_add_loop_test(tc, kendall_exact, 0, ARRAY_LEN(kendall));
    tcase_add_test(tc, four_visits);
    tcase_add_test(tc, three_visits);
    tcase_add_loop_test(tc, variance_with_ties, 0, ARRAY_LEN(tied));
    tcase_add_test(tc, equal_times_have_no_slope);
    tcase_add_test(tc, limits_with_ties);
    suite_add_tcase(s, tc);
    return s;
}

TEST_MAIN(suite)
