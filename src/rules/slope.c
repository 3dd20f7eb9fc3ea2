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
#include <string.h>

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

static void put_in_order(double *x, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        if (x[i - 1] > x[i]) {
            qsort(x, n, sizeof *x, by_value);
            return;
        }
    }
}

static double *copy_in_order(const double *x, size_t n, struct arena *a)
{
    double *sorted = arena_room(a, n * sizeof *sorted);
    memcpy(sorted, x, n * sizeof *sorted);
    put_in_order(sorted, n);
    return sorted;
}

static struct ties ties_of(const double *sorted, size_t n)
{
    struct ties sums = {0};
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

static double variance_of(struct ties p, struct ties q, size_t n)
{
    double m = (double)n, all = m * (m - 1);
    double variance = (all * (2 * m + 5) - p.weighted - q.weighted) / 18;
    if (n > 2)
        variance += p.triples * q.triples / (9 * all * (m - 2));
    return variance + p.pairs * q.pairs / (2 * all);
}

double rules_kendall_variance(const double *t, const double *y, size_t n, struct arena *a)
{
    return variance_of(ties_of(copy_in_order(y, n, a), n), ties_of(copy_in_order(t, n, a), n), n);
}

/* ---- Theil-Sen ---------------------------------------------------------------------------- */

/* Values of which some ranks are asked. Those of a series that grew are kept in order; of others
 * only what is asked is found: a hundred visits have five thousand slopes, of which six are wanted,
 * and putting all in order would be the most of the work on such a patient. */
struct ranks {
    double *values; /* changed, where they are not in order */
    size_t n;
    bool in_order;
};

/* The value of a rank counted from 1. What comes before the rank is then no larger, what comes
 * after no smaller. */
static double ranked(struct ranks r, size_t rank)
{
    return r.in_order ? r.values[rank - 1] : gsl_stats_select(r.values, 1, r.n, rank - 1);
}

/* The value of the rank after one that ranked() has just given. */
static double next_ranked(struct ranks r, size_t rank)
{
    double least = r.values[rank];
    for (size_t i = rank + 1; !r.in_order && i < r.n; i++)
        least = r.values[i] < least ? r.values[i] : least;
    return least;
}

static double median(struct ranks r)
{
    double low = ranked(r, (r.n - 1) / 2 + 1);
    return r.n % 2 != 0 ? low : (low + next_ranked(r, r.n / 2)) / 2;
}

/* The slopes of the pairs that point k makes with those before it, where the times differ. */
static size_t slopes_to(const double *t, const double *y, size_t k, double *slopes)
{
    size_t n = 0;
    for (size_t i = 0; i < k; i++)
        if (t[i] < t[k] || t[i] > t[k])
            slopes[n++] = (y[k] - y[i]) / (t[k] - t[i]);
    return n;
}

/* The value at a rank counted from 1, between two of them by proportion. */
static double at_rank(struct ranks r, double rank)
{
    rank = fmin(fmax(rank, 1), (double)r.n);
    size_t below = (size_t)rank;
    double low = ranked(r, below);
    if (below == r.n)
        return low;
    double part = rank - (double)below;
    return low + part * (next_ranked(r, below) - low);
}

static void limits_by_rank(struct slope *s, struct ranks r, double c)
{
    s->low = num_of(at_rank(r, ((double)r.n - c) / 2));
    s->high = num_of(at_rank(r, ((double)r.n + c) / 2 + 1));
}

/* `sorted`: the values of y in order. */
static void from_slopes(const double *t, const double *y, const double *sorted, struct ranks slopes,
                        double confidence, struct arena *a, struct slope *out)
{
    size_t n = out->n;
    out->slope = median(slopes);
    double *levels = arena_room(a, n * sizeof *levels);
    for (size_t i = 0; i < n; i++)
        levels[i] = y[i] - out->slope * t[i];
    out->level = median((struct ranks){levels, n, false});
    struct ties of_y = ties_of(sorted, n), of_t = ties_of(copy_in_order(t, n, a), n);
    out->exact = of_y.pairs <= 0 && of_t.pairs <= 0 && n <= EXACT_MAX;
    if (out->exact) {
        int critical = rules_kendall_critical(n, confidence);
        if (critical > 0)
            limits_by_rank(out, slopes, critical - 2);
        return;
    }
    double z = gsl_cdf_ugaussian_Pinv(0.5 + confidence / 2);
    limits_by_rank(out, slopes, z * sqrt(variance_of(of_y, of_t, n)));
}

bool rules_theil_sen(const double *t, const double *y, size_t n, double confidence,
                     struct arena *a, struct slope *out)
{
    *out = (struct slope){.n = n};
    struct ranks slopes = {.n = 0};
    if (n >= 2)
        slopes.values = arena_room(a, n * (n - 1) / 2 * sizeof *slopes.values);
    for (size_t k = 1; k < n; k++)
        slopes.n += slopes_to(t, y, k, slopes.values + slopes.n);
    if (slopes.n > 0)
        from_slopes(t, y, copy_in_order(y, n, a), slopes, confidence, a, out);
    return slopes.n > 0;
}

/* ---- a series that grows ------------------------------------------------------------------- */

/* The points of one reading over visits. The next visit adds one point and its slopes; all are kept
 * in order, so that any rank is read off. `n_built` of its points have their slopes in. */
struct rules_series {
    const struct motion *motion;
    enum side side;
    enum test test;
    double *t, *y, *sorted, *slopes;
    size_t n, n_built, n_slopes, cap, cap_slopes;
    struct rules_series *next;
};

/* Beyond so many points the slopes are too many to be kept. */
enum { KEPT_MAX = 500 };

static void add_point(struct rules_series *s, double t, double y, struct arena *keep)
{
    enum { FEW = 16 };
    if (s->n == s->cap) {
        s->cap = s->cap * 2 + FEW;
        s->t = arena_grow(keep, s->t, s->n * sizeof *s->t, s->cap * sizeof *s->t);
        s->y = arena_grow(keep, s->y, s->n * sizeof *s->y, s->cap * sizeof *s->y);
        s->sorted = arena_grow(keep, s->sorted, s->n_built * sizeof *s->sorted,
                               s->cap * sizeof *s->sorted);
    }
    s->t[s->n] = t;
    s->y[s->n++] = y;
}

/* Puts values, themselves in order, into others, for which there must be room: from the last on, so
 * that each of the others moves once. */
static void merge(double *values, size_t n, const double *more, size_t n_more)
{
    for (size_t i = n_more; i-- > 0;) {
        size_t low = 0, high = n;
        while (low < high) {
            size_t mid = low + (high - low) / 2;
            if (values[mid] <= more[i])
                low = mid + 1;
            else
                high = mid;
        }
        memmove(values + low + i + 1, values + low, (n - low) * sizeof *values);
        values[low + i] = more[i];
        n = low;
    }
}

static void build_point(struct rules_series *s, struct arena *keep, struct arena *a)
{
    size_t k = s->n_built++;
    double *more = arena_room(a, (k + 1) * sizeof *more);
    size_t n_more = slopes_to(s->t, s->y, k, more);
    put_in_order(more, n_more);
    if (s->n_slopes + n_more > s->cap_slopes) {
        s->cap_slopes = (s->n_slopes + n_more) * 2;
        s->slopes = arena_grow(keep, s->slopes, s->n_slopes * sizeof *s->slopes,
                               s->cap_slopes * sizeof *s->slopes);
    }
    merge(s->slopes, s->n_slopes, more, n_more);
    s->n_slopes += n_more;
    merge(s->sorted, k, &s->y[k], 1);
}

/* The longest kept series that these points go on with: bit for bit what they begin with. */
static struct rules_series *begun(struct rules_series *list, const struct finding *f,
                                  const double *t, const double *y, size_t n)
{
    struct rules_series *best = NULL;
    for (struct rules_series *s = list; s != NULL; s = s->next)
        if (s->motion == f->motion && s->side == f->side && s->test == f->test && s->n <= n &&
            (best == NULL || s->n > best->n) && memcmp(s->t, t, s->n * sizeof *t) == 0 &&
            memcmp(s->y, y, s->n * sizeof *y) == 0)
            best = s;
    return best;
}

/* Slopes are only kept from the second time on that a series is asked for. */
bool rules_theil_sen_kept(struct rules_course *course, const struct finding *f, const double *t,
                          const double *y, size_t n, double confidence, struct arena *a,
                          struct slope *out)
{
    struct rules_series *s = begun(course->series, f, t, y, n);
    bool again = s != NULL && n <= KEPT_MAX;
    if (s == NULL) {
        s = arena_alloc(course->arena, sizeof *s);
        *s = (struct rules_series){
            .motion = f->motion, .side = f->side, .test = f->test, .next = course->series};
        course->series = s;
    }
    while (s->n < n)
        add_point(s, t[s->n], y[s->n], course->arena);
    if (!again)
        return rules_theil_sen(t, y, n, confidence, a, out);
    *out = (struct slope){.n = n};
    while (s->n_built < n)
        build_point(s, course->arena, a);
    if (s->n_slopes > 0)
        from_slopes(t, y, s->sorted, (struct ranks){s->slopes, s->n_slopes, true}, confidence, a,
                    out);
    return s->n_slopes > 0;
}
