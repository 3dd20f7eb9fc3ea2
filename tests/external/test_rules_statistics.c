/*
 * The arithmetic held against figures that others published or certified. Each block names where
 * its figures come from.
 */
#include "../unit/rules_build.h"

#include <math.h>

/* ---- NIST Statistical Reference Datasets: mean and SD to 15 digits -------------------------- */

/* MAVRO: transmittance of a filter, 50 values (certified, average difficulty). */
static const double mavro[] = {
    2.0018, 2.0017, 2.0018, 2.0019, 2.0018, 2.0017, 2.0015, 2.0014, 2.0015, 2.0015,
    2.0017, 2.0018, 2.0018, 2.0019, 2.0019, 2.0021, 2.0020, 2.0016, 2.0014, 2.0013,
    2.0013, 2.0015, 2.0015, 2.0016, 2.0015, 2.0014, 2.0013, 2.0014, 2.0015, 2.0014,
    2.0015, 2.0016, 2.0015, 2.0016, 2.0019, 2.0020, 2.0020, 2.0021, 2.0022, 2.0023,
    2.0024, 2.0025, 2.0027, 2.0026, 2.0026, 2.0026, 2.0027, 2.0026, 2.0025, 2.0024};

/* MICHELSO: speed of light in air, Michelson 1879, 100 values in 1000 km/s (certified, lower
 * difficulty); here as the thousandths above 299. */
static const short michelso[] = {
    850,  740, 900, 1070, 930, 850, 950, 980, 980, 880, 1000, 980, 930, 650, 760, 810, 1000,
    1000, 960, 960, 960,  940, 960, 940, 880, 800, 850, 880,  900, 840, 830, 790, 810, 880,
    880,  830, 800, 790,  760, 800, 880, 880, 880, 860, 720,  720, 620, 860, 970, 950, 880,
    910,  850, 870, 840,  840, 850, 840, 840, 840, 890, 810,  810, 820, 800, 770, 760, 740,
    750,  760, 910, 920,  890, 860, 880, 720, 840, 850, 850,  780, 890, 840, 780, 810, 760,
    810,  790, 810, 820,  850, 870, 870, 810, 740, 810, 940,  950, 800, 810, 870};

static const double numacc1[] = {10000001, 10000003, 10000002};

enum { NUMACC_LENGTH = 1001 };

/* NUMACC3 and NUMACC4: one value, then 500 times the pair a tenth below and above it. */
static void fill_numacc(double *x, double centre)
{
    x[0] = centre;
    for (int i = 1; i < NUMACC_LENGTH; i += 2) {
        x[i] = centre - 0.1;
        x[i + 1] = centre + 0.1;
    }
}

static void check_certified(const double *x, size_t n, double mean, double sd, double sd_tolerance)
{
    ck_assert_uint_gt(n, 1);
    ck_assert_double_le(fabs(rules_mean(x, n) - mean), 1e-15 * mean);
    struct num got = rules_sd(x, n);
    ck_assert(got.has);
    ck_assert_double_le(fabs(got.value - sd), sd_tolerance * sd);
}

/* Tolerances: what a double holds of the data themselves, which 0.1 at 10 million is not exact. */
START_TEST(nist_certified_mean_and_sd)
{
    double x[NUMACC_LENGTH];
    check_certified(mavro, ARRAY_LEN(mavro), 2.00185600000000, 0.000429123454003053, 1e-12);
    ck_assert_uint_eq(ARRAY_LEN(michelso), 100);
    for (size_t i = 0; i < ARRAY_LEN(michelso); i++)
        x[i] = (299000 + michelso[i]) / 1000.0;
    check_certified(x, ARRAY_LEN(michelso), 299.852400000000, 0.0790105478190518, 1e-12);
    check_certified(numacc1, ARRAY_LEN(numacc1), 10000002, 1, 1e-15);
    fill_numacc(x, 1000000.2);
    check_certified(x, NUMACC_LENGTH, 1000000.2, 0.1, 1e-9);
    fill_numacc(x, 10000000.2);
    check_certified(x, NUMACC_LENGTH, 10000000.2, 0.1, 1e-7);
}
END_TEST

START_TEST(one_value_has_no_sd)
{
    const double x[] = {118};
    ck_assert(!rules_sd(x, 1).has);
    ck_assert(!rules_sd(x, 0).has);
    ck_assert(rules_mean(x, 1) == 118);
}
END_TEST

/* ---- detectable change --------------------------------------------------------------------- */

/* Published pairs of SEM and MDC; `step` is the last digit printed. Sources beside each. */
static const struct {
    double sem, mdc90, mdc95, step;
} published[] = {
    {1.5, 3.5, 0, 0.1},  /* Anwar 2022, neck extension */
    {2.9, 6.8, 0, 0.1},  /* Anwar 2022, neck lateral flexion */
    {2.0, 0, 5.6, 0.1},  /* Johnson 2012, trunk rotation between days */
    {2.1, 0, 5.9, 0.1},  /* Johnson 2012, trunk rotation within a day */
    {1.4, 0, 3.8, 0.1},  /* Konor 2012, lunge by inclinometer */
    {2.8, 0, 7.7, 0.1},  /* Konor 2012, lunge by goniometer */
    {3.6, 0, 9.8, 0.1},  /* ankle plantar flexion, two raters (worse side) */
    {4.7, 0, 12.9, 0.1}, /* Leijendekkers 2017, hip abduction torque */
};

/* The SEM is itself rounded: half a step of it, times the factor, and half a step of the MDC. */
START_TEST(published_pairs_of_sem_and_mdc)
{
    double sem = published[_i].sem, step = published[_i].step;
    double slack = step / 2 * rules_mdc95(1) + step / 2;
    if (published[_i].mdc90 > 0)
        ck_assert_double_le(fabs(rules_mdc90(sem) - published[_i].mdc90), slack);
    if (published[_i].mdc95 > 0)
        ck_assert_double_le(fabs(rules_mdc95(sem) - published[_i].mdc95), slack);
}
END_TEST

/* 92 then 101 degrees, SEM 3.5: reliable change index 1.818, MDC90 8.142, MDC95 9.702. The
 * figures were computed by two independent statistics packages. */
START_TEST(worked_change)
{
    ck_assert_double_eq_tol(9 / (sqrt(2) * 3.5), 1.81827458019, 1e-11);
    ck_assert_double_eq_tol(rules_mdc90(3.5), 8.14233458536, 1e-10);
    ck_assert_double_eq_tol(rules_mdc95(3.5), 9.70150503788, 1e-10);
    ck_assert_double_eq_tol(rules_mdc90(1), 2.3263813, 5e-8);
    ck_assert_double_eq_tol(rules_mdc95(1), 2.7718586, 5e-8);
    ck_assert_double_eq_tol(rules_mdc90_of_mdc95(rules_mdc95(3.5)), rules_mdc90(3.5), 1e-12);
    ck_assert_double_eq_tol(rules_mdc95_of_mdc90(rules_mdc90(3.5)), rules_mdc95(3.5), 1e-12);
    /* Passive hip flexion has a study with this very SEM: beyond MDC90, short of MDC95. */
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, "2026-03-02 hip flexion right PROM 101 by=A;"
                                                 "2026-02-02 hip flexion right PROM 92 by=A");
    const struct comparison *c = &v->rows[0].previous;
    ck_assert(c->error.sem.value == 3.5 && c->change.value == 9);
    ck_assert_double_eq_tol(c->error.limit.value, 9.70150503788, 1e-10);
    ck_assert_int_eq(c->verdict, VERDICT_PROBABLE);
    build_free(b);
}
END_TEST

/* ---- sides, z, percentiles ----------------------------------------------------------------- */

/* 110 beside 140: difference -30, index 78.571 percent; 110 of 135: 18.519 percent missing. */
START_TEST(worked_sides)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, "2026-03-02 shoulder horizontal-adduction right AROM 110;"
                          "2026-03-02 shoulder horizontal-adduction left AROM 140");
    const struct finding *f = &v->rows[0];
    ck_assert(f->normal->normal == 135);
    ck_assert(f->side_difference.value == -30);
    ck_assert_double_eq_tol(f->side_index_percent.value, 78.5714285714, 1e-9);
    ck_assert_double_eq_tol(f->deficit_percent.value, 18.5185185185, 1e-9);
    build_free(b);
}
END_TEST

/* 100 lb of grip, norm 121.0 (20.6) of Mathiowetz 1985: z -1.0194, 15.40th percentile. The rest
 * is the table of the normal distribution. */
START_TEST(worked_z_and_percentiles)
{
    static const struct {
        double z, phi;
    } table[] = {{-3, 0.00134989803163},
                 {-2, 0.0227501319482},
                 {-1.5, 0.0668072012689},
                 {-1, 0.158655253931},
                 {0, 0.5},
                 {0.5, 0.691462461274},
                 {1.96, 0.975002104852}};
    ck_assert_double_eq_tol(rules_z(100, 121.0, 20.6), -1.01941747573, 1e-10);
    ck_assert_double_eq_tol(rules_percentile(rules_z(100, 121.0, 20.6)), 15.4002406529, 1e-9);
    for (size_t i = 0; i < ARRAY_LEN(table); i++)
        ck_assert_double_eq_tol(rules_percentile(table[i].z), 100 * table[i].phi, 1e-9);
}
END_TEST

/* Readings held against means and SDs as their studies print them, worked by hand. */
static const struct {
    const char *reading;
    double age;
    enum sex sex;
    double mean, sd, z, percentile;
} scored[] = {
    /* Boone and Azen 1979, men of 20 to 54: knee flexion 141.2 (5.3); (130.6 - 141.2) / 5.3 */
    {"knee flexion right AROM 130.6", 30, SEX_MALE, 141.2, 5.3, -2.0, 2.275},
    /* The same, shoulder external rotation 99.6 (7.6); (92 - 99.6) / 7.6 */
    {"shoulder external-rotation left AROM 92", 54, SEX_MALE, 99.6, 7.6, -1.0, 15.866},
    /* Youdas and others 1992, 40 to 49 years: neck flexion 49.5 (11.4); (26.7 - 49.5) / 11.4 */
    {"cervical flexion midline AROM 26.7", 40, SEX_FEMALE, 49.5, 11.4, -2.0, 2.275},
    /* Jung and Yamasaki 2016, women of 65 to 83: hip flexion 122.6 (10.8); + 10.8 / 2 */
    {"hip flexion left PROM 128", 83, SEX_FEMALE, 122.6, 10.8, 0.5, 69.146},
    /* Hirsch and others 2006, 10 to 17 years: opening of the jaw 50.6 (6.4); - 1.5 * 6.4 */
    {"jaw opening midline AROM 41", 17, SEX_FEMALE, 50.6, 6.4, -1.5, 6.681},
};

START_TEST(published_means_and_sds)
{
    struct build *b = build_new();
    b->patient.age = num_of(scored[_i].age);
    b->patient.sex = scored[_i].sex;
    struct visit_findings *v =
        build_findings(b, arena_printf(b->arena, "2026-03-02 %s", scored[_i].reading));
    const struct finding *f = &v->rows[0];
    ck_assert_ptr_nonnull(f->peers);
    ck_assert(f->peers->normal == scored[_i].mean && f->peers->sd.value == scored[_i].sd);
    ck_assert_double_eq_tol(f->z.value, scored[_i].z, 1e-9);
    ck_assert_double_eq_tol(f->percentile.value, scored[_i].percentile, 5e-4);
    build_free(b);
}
END_TEST

/* ---- bands of the ICF (WHO 2001: 0-4, 5-24, 25-49, 50-95, 96-100), half up --------------------
 */

static const struct {
    double percent;
    int band;
} bands[] = {{-8, 0},   {0, 0},    {4, 0},    {4.4, 0}, {4.5, 1},  {5, 1},    {24, 1},
             {24.4, 1}, {24.5, 2}, {25, 2},   {49, 2},  {49.4, 2}, {49.5, 3}, {50, 3},
             {95, 3},   {95.4, 3}, {95.5, 4}, {96, 4},  {100, 4},  {120, 4}};

START_TEST(icf_bands)
{
    ck_assert_int_eq(rules_icf_band(build_ref, bands[_i].percent), bands[_i].band);
}
END_TEST

/* 118, 121, 119: mean 119.333, SD 1.528. */
START_TEST(worked_tries)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, "2026-03-02 knee flexion right AROM 118,121,119");
    ck_assert_double_eq_tol(v->rows[0].end.value, 119.333333333, 1e-9);
    ck_assert_double_eq_tol(v->rows[0].sd.value, 1.52752523165, 1e-10);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_test(tc, nist_certified_mean_and_sd);
    tcase_add_test(tc, one_value_has_no_sd);
    tcase_add_loop_test(tc, published_pairs_of_sem_and_mdc, 0, ARRAY_LEN(published));
    tcase_add_test(tc, worked_change);
    tcase_add_test(tc, worked_sides);
    tcase_add_test(tc, worked_z_and_percentiles);
    tcase_add_loop_test(tc, published_means_and_sds, 0, ARRAY_LEN(scored));
    tcase_add_loop_test(tc, icf_bands, 0, ARRAY_LEN(bands));
    tcase_add_test(tc, worked_tries);
}

BUILD_SUITE("rules_statistics")
