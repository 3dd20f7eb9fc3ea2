/*
 * Quantiles. The distribution functions are GSL's; its inverses of F, beta and chi-square do not
 * converge for some degrees of freedom that occur here (large tables, few raters), so they are
 * inverted here by bisection, which cannot fail on a monotone function.
 */
#include "agree/agree_int.h"

#include <assert.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>

struct law {
    double v1, v2; /* v2 = 0: chi-square */
};

static double lower_tail(const struct law *law, double x)
{
    return law->v2 > 0 ? gsl_cdf_fdist_P(x, law->v1, law->v2) : gsl_cdf_chisq_P(x, law->v1);
}

/* Bisection on the logarithm keeps the relative error of small and of large quantiles alike. A
 * value that is not a number counts as above p, so that the search ends in any case. */
static double invert(const struct law *law, double p)
{
    enum { STEPS = 1100, HALVINGS = 80 };
    double low = 1, high = 1;
    for (int i = 0; i < STEPS && lower_tail(law, high) < p; i++)
        high *= 2;
    for (int i = 0; i < STEPS && !(lower_tail(law, low) < p); i++)
        low /= 2;
    double a = log(low), b = log(high);
    for (int i = 0; i < HALVINGS && a < b; i++) {
        double middle = a + (b - a) / 2;
        if (lower_tail(law, exp(middle)) < p)
            a = middle;
        else
            b = middle;
    }
    return exp(a + (b - a) / 2);
}

/* GSL ends the process on a range error unless told not to. */
static double quantile(struct law law, double p)
{
    assert(p > 0 && p < 1 && law.v1 > 0);
    gsl_error_handler_t *before = gsl_set_error_handler_off();
    double x = invert(&law, p);
    gsl_set_error_handler(before);
    return x;
}

double agree_quantile_f(double p, double v1, double v2)
{
    return quantile((struct law){v1, v2}, p);
}

double agree_quantile_chi2(double p, double v)
{
    return quantile((struct law){v, 0}, p);
}

/* t squared with v degrees of freedom is F with 1 and v. */
double agree_quantile_t(double p, double v)
{
    assert(p > 0.5);
    return sqrt(agree_quantile_f(2 * p - 1, 1, v));
}

double agree_quantile_normal(double p)
{
    return gsl_cdf_ugaussian_Pinv(p);
}

/* The beta quantile with parameters a and b by way of F. */
static double quantile_beta(double p, double a, double b)
{
    double f = agree_quantile_f(p, 2 * a, 2 * b);
    return a * f / (b + a * f);
}

struct agree_estimate agree_percent_of(size_t hits, size_t n)
{
    double h = (double)hits, all = (double)n;
    assert(n > 0 && hits <= n);
    return (struct agree_estimate){
        .value = num_of(100 * h / all),
        .low = num_of(hits == 0 ? 0 : 100 * quantile_beta(0.025, h, all - h + 1)),
        .high = num_of(hits == n ? 100 : 100 * quantile_beta(0.975, h + 1, all - h)),
    };
}
