/*
 * Outside check: published and independently recomputed examples. The figures were computed with
 * two other programs that agree to 2e-9; they carry twelve digits, so 1e-9 relative is what can be
 * asked. "published" beside a figure: it also rounds to what the paper prints.
 */
#include "../unit/unit.h"

#include "agree/agree.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void near(const char *what, double got, double expected)
{
    double tolerance = 1e-9 * fmax(fabs(expected), 1e-3);
    ck_assert_msg(fabs(got - expected) <= tolerance, "%s: %.15g, expected %.15g", what, got,
                  expected);
}

static void near_num(const char *what, struct num got, double expected)
{
    ck_assert_msg(got.has, "%s: missing, expected %.15g", what, expected);
    near(what, got.value, expected);
}

static void near_all(const char *what, struct agree_estimate e, double value, double low,
                     double high)
{
    near_num(what, e.value, value);
    near_num(what, e.low, low);
    near_num(what, e.high, high);
}

/* ---- Shrout and Fleiss 1979, Psychol Bull 86:420, Table 2 (data), Tables 3 and 4 ------------- */

static const double sf79[] = {9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8,
                               7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};

START_TEST(shrout_and_fleiss)
{
    struct agree_anova t;
    ck_assert(agree_anova_of(sf79, 6, 4, &t));
    near("BMS", t.bms, 11.2416666667); /* published 11.24 */
    near("WMS", t.wms, 6.26388888889); /* published 6.26 */
    near("JMS", t.jms, 32.4861111111); /* published 32.49 */
    near("EMS", t.ems, 1.01944444444); /* published 1.02 */
    near("v", agree_icc_2_1_df(&t), 4.78514386221);
    static const struct {
        enum agree_icc form;
        double value, low, high;
    } forms[] = {
        {AGREE_ICC_1_1, 0.165741768405, -0.132932324875, 0.722560062328}, /* published .17 */
        {AGREE_ICC_2_1, 0.289763779528, 0.0187865133747, 0.761084369649}, /* published .29 */
        {AGREE_ICC_3_1, 0.714840714841, 0.342464765034, 0.945858259955},  /* published .71 */
        {AGREE_ICC_1_K, 0.442797133679, -0.884442155238, 0.912415420341}, /* published .44 */
        {AGREE_ICC_2_K, 0.620050547599, 0.0711368153025, 0.927232040168}, /* published .62 */
        {AGREE_ICC_3_K, 0.909315542377, 0.675674713816, 0.985891678169},  /* published .91 */
    };
    for (size_t i = 0; i < ARRAY_LEN(forms); i++)
        near_all("ICC", agree_icc_of(&t, forms[i].form), forms[i].value, forms[i].low,
                 forms[i].high);
    struct agree_estimate consistency = agree_sem_consistency(&t);
    near_num("SEM consistency", consistency.value, 1.00967541539);
    near_num("SEM agreement", agree_sem_agreement(&t).value, 2.50277623628);
    near_num("MDC95", agree_mdc95(consistency).value, 2.79867746544);
    near_num("MDC90", agree_mdc90(consistency).value, 2.34889001564);
}
END_TEST

/* ---- Weir 2005, J Strength Cond Res 19:231, data set A --------------------------------------- */

START_TEST(weir)
{
    static const double a[] = {146, 140, 148, 152, 170, 152, 90,  99,
                               157, 145, 156, 153, 176, 167, 205, 218};
    struct agree_anova t;
    ck_assert(agree_anova_of(a, 8, 2, &t));
    struct agree_estimate sem = agree_sem_consistency(&t);
    ck_assert_double_eq_tol(t.ems, 57.1071428571, 1e-9);
    /* SEM 7.6 is published (p. 236); its chi-square limits 4.996 to 15.380 with 7 degrees of
     * freedom, printed to three decimals, hence the tolerance. */
    ck_assert_double_eq_tol(sem.value.value, 7.557, 5e-4);
    ck_assert_double_eq_tol(sem.low.value, 4.996, 5e-4);
    ck_assert_double_eq_tol(sem.high.value, 15.380, 5e-4);
    ck_assert_double_eq_tol(agree_icc_of(&t, AGREE_ICC_3_1).value.value, 0.95, 5e-3);
    /* SD of all 16 scores with that ICC: 7.31 in the same place of the notes. */
    double icc = agree_icc_of(&t, AGREE_ICC_3_1).value.value;
    ck_assert_double_eq_tol(agree_spread_of(a, 16).sd.value * sqrt(1 - icc), 7.31, 5e-3);
}
END_TEST

/* ---- Bland and Altman 1986, Lancet i:307, the table of 17 subjects --------------------------- */

static const double ba86[][4] = {
    {494, 490, 512, 525}, {395, 397, 430, 415}, {516, 512, 520, 508}, {434, 401, 428, 444},
    {476, 470, 500, 500}, {557, 611, 600, 625}, {413, 415, 364, 460}, {442, 431, 380, 390},
    {650, 638, 658, 642}, {433, 429, 445, 432}, {417, 420, 432, 420}, {656, 633, 626, 605},
    {267, 275, 260, 227}, {478, 492, 477, 467}, {178, 165, 259, 268}, {423, 372, 350, 370},
    {427, 421, 451, 443},
};

START_TEST(bland_and_altman_first_readings)
{
    double d[ARRAY_LEN(ba86)];
    for (size_t i = 0; i < ARRAY_LEN(ba86); i++)
        d[i] = ba86[i][0] - ba86[i][2];
    struct agree_differences x = agree_differences_of(d, ARRAY_LEN(d));
    near_all("bias", x.bias, -2.11764705882, -22.0488376966, 17.813543579); /* -2.1 -22.0 17.8 */
    near_num("SD", x.sd, 38.7651298736);                                    /* published 38.8 */
    near_num("SE of bias", x.se_bias, 9.40192500351);                       /* published 9.4 */
    near_num("LoA low", x.loa_low.value, -78.0973016111);
    near_num("LoA high", x.loa_high.value, 73.8620074934);
    /* Their limits: the 1999 form of the error, worked by hand from n, s and t(16) = 2.1199. */
    double margin = 2.11990529922 * 38.7651298736 * sqrt(1.0 / 17 + 1.96 * 1.96 / 32);
    near_num("LoA low, low", x.loa_low.low, -78.0973016111 - margin);
    near_num("LoA low, high", x.loa_low.high, -78.0973016111 + margin);
    near_num("LoA high, high", x.loa_high.high, 73.8620074934 + margin);
}
END_TEST

/* Through the whole of agree: two readings with each meter as tries of two raters. */
START_TEST(bland_and_altman_repeats)
{
    struct agree_rating rows[ARRAY_LEN(ba86) * 4];
    static char subjects[ARRAY_LEN(ba86)][8];
    size_t n = 0;
    for (size_t i = 0; i < ARRAY_LEN(ba86); i++) {
        snprintf(subjects[i], sizeof subjects[i], "s%zu", i + 1);
        for (int j = 0; j < 4; j++)
            rows[n++] = (struct agree_rating){.subject = subjects[i],
                                              .rater = j < 2 ? "large" : "mini",
                                              .value = ba86[i][j], .try = 1 + j % 2};
    }
    struct diag_list diags;
    diag_list_init(&diags);
    struct agree_options o = {.scale = AGREE_ANGLE};
    struct agree_result *r = agree_compute(rows, n, &o, &diags.sink);
    ck_assert_ptr_nonnull(r);
    ck_assert_uint_eq(diags.n, 0);
    const struct agree_row *own = agree_row_of(r, "repeatability", "large", "large");
    near_num("CR large", own->est.value, 42.4279219937);
    own = agree_row_of(r, "repeatability", "mini", "mini");
    near_num("CR mini", own->est.value, 55.1900067681);
    const struct agree_row *bias = agree_row_of(r, "bias", "large", "mini");
    near_num("bias of means", bias->est.value, -6.02941176471); /* published -6.0 */
    double half = agree_row_of(r, "loa_high", "large", "mini")->est.value.value + 6.02941176471;
    near("SD of means", half / 1.96, 33.204136879); /* published 33.2 */
    half = agree_row_of(r, "loa_single_high", "large", "mini")->est.value.value + 6.02941176471;
    near("corrected SD", half / 1.96, 37.6547786203); /* published 37.7 */
    agree_free(r);
    diag_list_release(&diags);
}
END_TEST

/* ---- kappa ----------------------------------------------------------------------------------- */

static void identity(size_t c, double *w)
{
    for (size_t i = 0; i < c * c; i++)
        w[i] = i / c == i % c;
}

static void near_kappa(const char *what, struct agree_kappa k, const double expected[7])
{
    near(what, k.po, expected[0]);
    near(what, k.pe, expected[1]);
    near_all(what, k.kappa, expected[2], expected[5], expected[6]);
    near_num(what, k.se, expected[3]);
    near_num(what, k.se0, expected[4]);
}

/* Cohen 1968, Psychol Bull 70:213, Table 1: 200 cases, three diagnoses, disagreement weights. */
START_TEST(cohen)
{
    static const double counts[] = {88, 14, 18, 10, 40, 10, 2, 6, 12};
    static const double disagreement[] = {0, 1, 3, 1, 0, 6, 3, 6, 0};
    double w[9];
    identity(3, w);
    near_kappa("kappa", agree_kappa_of(counts, 3, w), /* published .492 */
               (const double[]){0.7, 0.41, 0.491525423729, 0.0510018155761, 0.0519789363566,
                                0.391563702054, 0.591487145404});
    for (size_t i = 0; i < 9; i++)
        w[i] = 1 - disagreement[i] / 6;
    near_kappa("weighted kappa", agree_kappa_of(counts, 3, w), /* published .348 */
               (const double[]){0.85, 0.77, 0.347826086957, 0.0755040152548, 0.0597199935595,
                                0.199840936369, 0.495811237544});
}
END_TEST

/* Fleiss, Cohen and Everitt 1969, Psychol Bull 72:323: the table and weights of their example;
 * published kappa .429, weighted .507, variance .003248 (standard error .05699). */
START_TEST(fleiss_cohen_everitt)
{
    static const double counts[] = {106, 10, 4, 22, 28, 10, 2, 12, 6};
    static const double w[] = {1, 0, 4.0 / 9, 0, 1, 6.0 / 9, 4.0 / 9, 6.0 / 9, 1};
    double plain[9];
    identity(3, plain);
    ck_assert_double_eq_tol(agree_kappa_of(counts, 3, plain).kappa.value.value, 0.429, 5e-4);
    struct agree_kappa k = agree_kappa_of(counts, 3, w);
    ck_assert_double_eq_tol(k.kappa.value.value, 0.507, 5e-4);
    ck_assert_double_eq_tol(k.se.value * k.se.value, 0.003248, 5e-7);
}
END_TEST

/* Invented counts of grades 0 to 5 by two raters, recomputed elsewhere. */
START_TEST(grades)
{
    static const double counts[] = {2, 1, 0, 0, 0, 0, 0, 3, 1, 0, 0, 0, 0, 1, 5, 2, 0, 0,
                                    0, 0, 2, 14, 4, 0, 0, 0, 0, 5, 22, 6, 0, 0, 0, 0, 7, 25};
    double w[36];
    identity(6, w);
    near_kappa("kappa", agree_kappa_of(counts, 6, w),
               (const double[]){0.71, 0.2591, 0.608584154407, 0.0615888864808, 0.0562051335636,
                                0.487872155057, 0.729296153757});
    agree_weights_of(6, AGREE_WEIGHTS_LINEAR, w);
    near_kappa("linear", agree_kappa_of(counts, 6, w),
               (const double[]){0.942, 0.73528, 0.780900574192, 0.0391082498555, 0.064614930256,
                                0.704249812976, 0.857551335407});
    agree_weights_of(6, AGREE_WEIGHTS_QUADRATIC, w);
    near_kappa("quadratic", agree_kappa_of(counts, 6, w),
               (const double[]){0.9884, 0.874896, 0.907277145415, 0.0208788270845,
                                0.0999675060843, 0.86635539629, 0.94819889454});
}
END_TEST

/* ---- mean and SD ----------------------------------------------------------------------------- */

/* NIST Statistical Reference Datasets, univariate summary: certified values. */
START_TEST(nist_spread)
{
    static double x[1001];
    static const double easy[] = {10000001, 10000003, 10000002};
    struct agree_spread s = agree_spread_of(easy, 3);
    ck_assert_double_eq(s.mean, 10000002);
    ck_assert_double_eq(s.sd.value, 1);
    x[0] = 1000000.2;
    for (size_t i = 1; i < ARRAY_LEN(x); i++)
        x[i] = i % 2 == 1 ? 1000000.1 : 1000000.3;
    s = agree_spread_of(x, ARRAY_LEN(x));
    ck_assert_double_eq_tol(s.mean, 1000000.2, 1e-9);
    ck_assert_double_eq_tol(s.sd.value, 0.1, 0.1 * 1e-8); /* the readings hold no more digits */
    x[0] = 10000000.2;
    for (size_t i = 1; i < ARRAY_LEN(x); i++)
        x[i] = i % 2 == 1 ? 10000000.1 : 10000000.3;
    s = agree_spread_of(x, ARRAY_LEN(x));
    ck_assert_double_eq_tol(s.sd.value, 0.1, 0.1 * 1e-7);
}
END_TEST

/* NIST Statistical Reference Datasets, analysis of variance SiRstv: five instruments. */
START_TEST(nist_anova)
{
    static const double x[] = {
        196.3052, 196.1240, 196.1890, 196.2569, 196.3403, 196.3042, 196.3825, 196.1669, 196.3257,
        196.0422, 196.1303, 196.2005, 196.2889, 196.0343, 196.1811, 196.2795, 196.1748, 196.1494,
        196.1485, 195.9885, 196.2119, 196.1051, 196.1850, 196.0052, 196.2090};
    struct agree_anova t;
    ck_assert(agree_anova_of(x, 5, 5, &t));
    near("between", t.bms, 1.27865654000000E-02);
    near("within", t.wms, 1.08318280000000E-02);
    near("F", t.bms / t.wms, 1.18046237440255E+00);
}
END_TEST

/* Three readings of 118, 121 and 119 degrees. */
START_TEST(three_trials)
{
    static const double x[] = {118, 121, 119};
    struct agree_spread s = agree_spread_of(x, 3);
    near("mean", s.mean, 119.333333333);
    near_num("SD", s.sd, 1.52752523165);
    near_num("CV", s.cv_percent, 1.2800490768);
    near("range", s.max - s.min, 3);
}
END_TEST

/* SD 10 degrees with ICC 0.90: standard error and the factors of the detectable change. */
START_TEST(detectable_change)
{
    struct agree_estimate sem = {num_of(10 * sqrt(1 - 0.9)), num_none(), num_none()};
    near_num("MDC90", agree_mdc90(sem).value, 7.35666364597);
    near_num("MDC95", agree_mdc95(sem).value, 8.7653864718);
    sem.value.value = 1;
    near_num("factor 90", agree_mdc90(sem).value, 2.3263813101);
    near_num("factor 95", agree_mdc95(sem).value, 2.77185858225);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("agree: published examples");
    TCase *c = tcase_create("examples");
    tcase_add_test(c, shrout_and_fleiss);
    tcase_add_test(c, weir);
    tcase_add_test(c, bland_and_altman_first_readings);
    tcase_add_test(c, bland_and_altman_repeats);
    tcase_add_test(c, cohen);
    tcase_add_test(c, fleiss_cohen_everitt);
    tcase_add_test(c, grades);
    tcase_add_test(c, nist_spread);
    tcase_add_test(c, nist_anova);
    tcase_add_test(c, three_trials);
    tcase_add_test(c, detectable_change);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
