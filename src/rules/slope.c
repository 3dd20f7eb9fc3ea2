/*
 * Slopes over time and their limits: least squares, with the error estimated from the residuals or
 * known beforehand, and the median of all pairwise slopes (Theil-Sen; Sen 1968) with limits from
 * the distribution of Kendall's S. Exact limits need values that all differ; with ties, and beyond
 * ten readings, the normal approximation serves, interpolated between ranks (Gilbert 1987).
 */
#include "rules/rules_int.h"

#include <assert.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { EXACT_MAX = 10 };

/* ---- least squares ------------------------------------------------------------------------ */

bool rules_least_squares(const double *t, const double *y, size_t n, struct slope *out)
{
    *out = (struct slope){.n = n};
    if (n < 2)
        return false;
    /* Centred first: a sum of squares of large values loses the digits that matter. */
    double t_mean = rules_mean(t, n), y_mean = rules_mean(y, n), sxy = 0, sse = 0;
    for (size_t i = 0; i < n; i++) {
        out->sxx += (t[i] - t_mean) * (t[i] - t_mean);
        sxy += (t[i] - t_mean) * (y[i] - y_mean);
    }
    if (out->sxx <= 0)
        return false;
    out->slope = sxy / out->sxx;
    out->level = y_mean - out->slope * t_mean;
    for (size_t i = 0; i < n; i++) {
        double off = (y[i] - y_mean) - out->slope * (t[i] - t_mean);
        sse += off * off;
    }
    if (n > 2)
        out->residual_sd = num_of(sqrt(sse / (double)(n - 2)));
    return true;
}

static void around(struct slope *s, double half)
{
    s->low = num_of(s->slope - half);
    s->high = num_of(s->slope + half);
}

void rules_slope_by_residuals(struct slope *s, double confidence)
{
    if (!s->residual_sd.has)
        return;
    double t = gsl_cdf_tdist_Pinv(0.5 + confidence / 2, (double)(s->n - 2));
    around(s, t * s->residual_sd.value / sqrt(s->sxx));
}

void rules_slope_by_sem(struct slope *s, double sem)
{
    around(s, rules_z95() * sem / sqrt(s->sxx));
}

/* ---- Kendall's S -------------------------------------------------------------------------- */

/* Shares of the n! orders by number of inversions, n (n - 1) / 2 + 1 of them: one more value adds
 * from none to all of the values before it. */
static void inversions(size_t n, double share[EXACT_MAX * (EXACT_MAX - 1) / 2 + 1])
{
    share[0] = 1;
    size_t most = 0;
    for (size_t k = 2; k <= n; k++) {
        double before[EXACT_MAX * (EXACT_MAX - 1) / 2 + 1];
        for (size_t i = 0; i <= most; i++)
            before[i] = share[i];
        for (size_t i = 0; i <= most + k - 1; i++) {
            double sum = 0;
            for (size_t added = 0; added < k && added <= i; added++)
                sum += i - added <= most ? before[i - added] : 0;
            share[i] = sum / (double)k;
        }
        most += k - 1;
    }
}

int rules_kendall_critical(size_t n, double confidence)
{
    assert(n <= EXACT_MAX);
    double share[EXACT_MAX * (EXACT_MAX - 1) / 2 + 1], tail = 0;
    int pairs = (int)(n * (n - 1) / 2), critical = 0;
    inversions(n, share);
    /* S = pairs - 2 * inversions, so the tail starts where nothing is inverted. */
    for (int i = 0; i <= pairs; i++) {
        tail += share[i];
        if (tail > (1 - confidence) / 2)
            break;
        critical = pairs - 2 * i;
    }
    return critical;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

struct ties {
    double pairs, triples, weighted; /* sums over groups: p(p-1), p(p-1)(p-2), p(p-1)(2p+5) */
};

static struct ties ties_of(const double *x, size_t n, struct arena *a)
{
    struct ties sums = {0};
    double *sorted = arena_alloc(a, n * sizeof *sorted);
    for (size_t i = 0; i < n; i++)
        sorted[i] = x[i];
    qsort(sorted, n, sizeof *sorted, by_value);
    for (size_t from = 0, to; from < n; from = to) {
        for (to = from + 1; to < n && !rules_over(sorted[to], sorted[from]);)
            to++;
        double p = (double)(to - from);
        sums.pairs += p * (p - 1);
        sums.triples += p * (p - 1) * (p - 2);
        sums.weighted += p * (p - 1) * (2 * p + 5);
    }
    return sums;
}

double rules_kendall_variance(const double *t, const double *y, size_t n, struct arena *a)
{
    struct ties p = ties_of(y, n, a), q = ties_of(t, n, a);
    double m = (double)n, all = m * (m - 1);
    double variance = (all * (2 * m + 5) - p.weighted - q.weighted) / 18;
    if (n > 2)
        variance += p.triples * q.triples / (9 * all * (m - 2));
    return variance + p.pairs * q.pairs / (2 * all);
}

/* ---- Theil-Sen ---------------------------------------------------------------------------- */

/* The value of a rank counted from 1, of values in any order, which it changes: what comes before
 * the rank is then no larger, what comes after no smaller. A hundred visits have five thousand
 * slopes, of which six are asked for: putting all in order would be the most of the work on such a
 * patient. */
static double ranked(double *values, size_t n, size_t rank)
{
    return gsl_stats_select(values, 1, n, rank - 1);
}

/* The value of the rank after one that ranked() has just given. */
static double next_ranked(const double *values, size_t n, size_t rank)
{
    double least = values[rank];
    for (size_t i = rank + 1; i < n; i++)
        least = values[i] < least ? values[i] : least;
    return least;
}

static double median(double *values, size_t n)
{
    double low = ranked(values, n, (n - 1) / 2 + 1);
    return n % 2 != 0 ? low : (low + next_ranked(values, n, n / 2)) / 2;
}

/* The slopes of all pairs of different times. */
static double *pairwise(const double *t, const double *y, size_t n, struct arena *a, size_t *count)
{
    double *slopes = arena_alloc(a, n * (n - 1) / 2 * sizeof *slopes);
    *count = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t k = i + 1; k < n; k++)
            if (t[i] < t[k] || t[i] > t[k])
                slopes[(*count)++] = (y[k] - y[i]) / (t[k] - t[i]);
    return slopes;
}

/* The value at a rank counted from 1, between two of them by proportion. */
static double at_rank(double *values, size_t n, double rank)
{
    rank = fmin(fmax(rank, 1), (double)n);
    size_t below = (size_t)rank;
    double low = ranked(values, n, below);
    if (below == n)
        return low;
    double part = rank - (double)below;
    return low + part * (next_ranked(values, n, below) - low);
}

static void limits_by_rank(struct slope *s, double *slopes, size_t n, double c)
{
    s->low = num_of(at_rank(slopes, n, ((double)n - c) / 2));
    s->high = num_of(at_rank(slopes, n, ((double)n + c) / 2 + 1));
}

bool rules_theil_sen(const double *t, const double *y, size_t n, double confidence,
                     struct arena *a, struct slope *out)
{
    *out = (struct slope){.n = n};
    size_t count = 0;
    double *slopes = n < 2 ? NULL : pairwise(t, y, n, a, &count);
    if (count == 0)
        return false;
    out->slope = median(slopes, count);
    double *levels = arena_alloc(a, n * sizeof *levels);
    for (size_t i = 0; i < n; i++)
        levels[i] = y[i] - out->slope * t[i];
    out->level = median(levels, n);
    bool ties = ties_of(y, n, a).pairs > 0 || ties_of(t, n, a).pairs > 0;
    out->exact = !ties && n <= EXACT_MAX;
    if (out->exact) {
        int critical = rules_kendall_critical(n, confidence);
        if (critical > 0)
            limits_by_rank(out, slopes, count, critical - 2);
        return true;
    }
    double z = gsl_cdf_ugaussian_Pinv(0.5 + confidence / 2);
    limits_by_rank(out, slopes, count, z * sqrt(rules_kendall_variance(t, y, n, a)));
    return true;
}
