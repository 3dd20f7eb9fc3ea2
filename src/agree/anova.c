/*
 * One reading of each of n subjects by each of k raters: mean squares, intraclass correlations
 * (Shrout and Fleiss 1979; limits of ICC(2,.) by McGraw and Wong 1996), standard errors of
 * measurement and minimal detectable change. Sums of squares are taken from residuals, not from
 * differences of large numbers.
 */
#include "agree/agree_int.h"

#include <math.h>
#include <stdlib.h>

/* Factors of published tables: rounded normal quantiles, not exact ones. */
static const double z_published_95 = 1.96, z_published_90 = 1.645;

struct agree_spread agree_spread_of(const double *x, size_t n)
{
    struct agree_spread s = {.n = n, .min = x[0], .max = x[0]};
    double sum = 0, rest = 0, squares = 0;
    for (size_t i = 0; i < n; i++) {
        sum += x[i];
        s.min = fmin(s.min, x[i]);
        s.max = fmax(s.max, x[i]);
    }
    double mean = sum / (double)n;
    for (size_t i = 0; i < n; i++)
        rest += x[i] - mean;
    s.mean = mean + rest / (double)n; /* what rounding of the sum took off */
    if (n < 2)
        return s;
    for (size_t i = 0; i < n; i++)
        squares += (x[i] - s.mean) * (x[i] - s.mean);
    s.sd = num_of(sqrt(squares / (double)(n - 1)));
    if (s.min > 0)
        s.cv_percent = num_of(100 * s.sd.value / s.mean);
    return s;
}

/* ---- mean squares ------------------------------------------------------------------------- */

static double row_mean(const double *x, size_t i, size_t k)
{
    double sum = 0;
    for (size_t j = 0; j < k; j++)
        sum += x[i * k + j];
    return sum / (double)k;
}

static double column_mean(const double *x, size_t j, size_t n, size_t k)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += x[i * k + j];
    return sum / (double)n;
}

/* A sum of squares that is nothing but rounding of the readings is zero. */
static double without_rounding(double ss, double squares)
{
    return ss > 1e-26 * squares ? ss : 0;
}

bool agree_anova_of(const double *x, size_t n, size_t k, struct agree_anova *out)
{
    if (n < 2 || k < 2)
        return false;
    double dn = (double)n, dk = (double)k;
    double between = 0, raters = 0, residual = 0, squares = 0;
    double *columns = mem_alloc(k * sizeof *columns);
    double grand = agree_spread_of(x, n * k).mean;
    for (size_t j = 0; j < k; j++) {
        columns[j] = column_mean(x, j, n, k);
        raters += (columns[j] - grand) * (columns[j] - grand);
    }
    for (size_t i = 0; i < n; i++) {
        double row = row_mean(x, i, k);
        between += (row - grand) * (row - grand);
        for (size_t j = 0; j < k; j++) {
            double r = x[i * k + j] - row - columns[j] + grand;
            residual += r * r;
            squares += x[i * k + j] * x[i * k + j];
        }
    }
    free(columns);
    between = without_rounding(dk * between, squares);
    raters = without_rounding(dn * raters, squares);
    residual = without_rounding(residual, squares);
    *out = (struct agree_anova){.n = n, .k = k,
                                .bms = between / (dn - 1), .jms = raters / (dk - 1),
                                .ems = residual / ((dn - 1) * (dk - 1)),
                                .wms = (raters + residual) / (dn * (dk - 1))};
    return true;
}

/* ---- intraclass correlations --------------------------------------------------------------- */

/* Forms of one error mean square: (1,.) with `error` = WMS, (3,.) with EMS. */
static struct agree_estimate icc_simple(const struct agree_anova *t, double error, double df,
                                        bool of_mean)
{
    double k = (double)t->k, subjects = (double)(t->n - 1);
    double part = of_mean ? 0 : k - 1;
    struct agree_estimate e = {.value = num_of((t->bms - error) / (t->bms + part * error))};
    if (error <= 0)
        return e;
    double f = t->bms / error;
    double low = f / agree_quantile_f(0.975, subjects, df);
    double high = f * agree_quantile_f(0.975, df, subjects);
    e.low = num_of((low - 1) / (low + part));
    e.high = num_of((high - 1) / (high + part));
    return e;
}

static double icc_2_1(const struct agree_anova *t)
{
    double n = (double)t->n, k = (double)t->k;
    return (t->bms - t->ems) / (t->bms + (k - 1) * t->ems + k * (t->jms - t->ems) / n);
}

double agree_icc_2_1_df(const struct agree_anova *t)
{
    double n = (double)t->n, k = (double)t->k, r = icc_2_1(t);
    double a = k * r * t->jms;
    double b = (n * (1 + (k - 1) * r) - k * r) * t->ems;
    return (k - 1) * (n - 1) * (a + b) * (a + b) / ((n - 1) * a * a + b * b);
}

/* The mean of k raters from one rater; undefined where the one rater's figure is at or below
 * -1/(k - 1), which limits of tiny tables can be. */
static struct num step_up(struct num one, double k)
{
    double under = 1 + (k - 1) * one.value;
    return one.has && under > 0 ? num_of(k * one.value / under) : num_none();
}

static struct agree_estimate icc_agreement(const struct agree_anova *t, bool of_mean)
{
    double n = (double)t->n, k = (double)t->k;
    struct agree_estimate e = {.value = num_of(icc_2_1(t))};
    if (t->ems + t->jms > 0) {
        double v = agree_icc_2_1_df(t), rest = k * t->jms + (k * n - k - n) * t->ems;
        double f1 = agree_quantile_f(0.975, n - 1, v), f2 = agree_quantile_f(0.975, v, n - 1);
        e.low = num_of(n * (t->bms - f1 * t->ems) / (f1 * rest + n * t->bms));
        e.high = num_of(n * (f2 * t->bms - t->ems) / (rest + n * f2 * t->bms));
    }
    if (!of_mean)
        return e;
    e.value = num_of((t->bms - t->ems) / (t->bms + (t->jms - t->ems) / n));
    e.low = step_up(e.low, k);
    e.high = step_up(e.high, k);
    return e;
}

struct agree_estimate agree_icc_of(const struct agree_anova *t, enum agree_icc form)
{
    double n1 = (double)(t->n - 1), k1 = (double)(t->k - 1);
    if (t->bms <= 0)
        return agree_estimate_none();
    switch (form) {
    case AGREE_ICC_1_1:
    case AGREE_ICC_1_K:
        return icc_simple(t, t->wms, (double)t->n * k1, form == AGREE_ICC_1_K);
    case AGREE_ICC_3_1:
    case AGREE_ICC_3_K:
        return icc_simple(t, t->ems, n1 * k1, form == AGREE_ICC_3_K);
    default:
        return icc_agreement(t, form == AGREE_ICC_2_K);
    }
}

/* ---- standard errors of measurement --------------------------------------------------------- */

/* Root of a mean square with its chi-square limits. */
static struct agree_estimate root_of(double ms, double df)
{
    struct agree_estimate e = {.value = num_of(sqrt(ms))};
    if (ms > 0) {
        e.low = num_of(sqrt(ms * df / agree_quantile_chi2(0.975, df)));
        e.high = num_of(sqrt(ms * df / agree_quantile_chi2(0.025, df)));
    }
    return e;
}

struct agree_estimate agree_sem_consistency(const struct agree_anova *t)
{
    return root_of(t->ems, (double)(t->n - 1) * (double)(t->k - 1));
}

/* EMS + (JMS - EMS)/n is a sum of two mean squares, JMS/n and EMS (n - 1)/n, of k - 1 and
 * (n - 1)(k - 1) degrees of freedom: Satterthwaite's approximation keeps the limits as wide as
 * few raters make them. */
struct agree_estimate agree_sem_agreement(const struct agree_anova *t)
{
    double n = (double)t->n, k1 = (double)(t->k - 1);
    if (t->jms < t->ems)
        return agree_sem_consistency(t);
    double of_raters = t->jms / n, rest = t->ems * (n - 1) / n, ms = of_raters + rest;
    if (ms <= 0)
        return root_of(0, 1);
    return root_of(ms, ms * ms / (of_raters * of_raters / k1 + rest * rest / ((n - 1) * k1)));
}

static struct agree_estimate times(struct agree_estimate e, double factor)
{
    e.value.value *= factor;
    e.low.value *= factor;
    e.high.value *= factor;
    return e;
}

struct agree_estimate agree_mdc95(struct agree_estimate sem)
{
    return times(sem, z_published_95 * sqrt(2));
}

struct agree_estimate agree_mdc90(struct agree_estimate sem)
{
    return times(sem, z_published_90 * sqrt(2));
}
