/*
 * The arithmetic of the rules: means of tries, detectable change, z scores, bands. Formulas as in
 * Bland and Altman 1986 (repeatability), Weir 2005 (detectable change) and the WHO's ICF (bands).
 */
#include "rules/rules_int.h"

#include <assert.h>
#include <math.h>

/* Quantiles of the normal distribution as published tables round them: exact ones would not give
 * back the figures the studies print. */
static const double Z90 = 1.645;
static const double Z95 = 1.96;

/* Far below any resolution of a tool, far above the error of a double at these sizes. */
static const double BINARY_SLACK = 1e-9;

double rules_mean(const double *x, size_t n)
{
    assert(n > 0);
    double sum = 0, rest = 0;
    for (size_t i = 0; i < n; i++)
        sum += x[i];
    double mean = sum / (double)n;
    for (size_t i = 0; i < n; i++)
        rest += x[i] - mean;
    return mean + rest / (double)n;
}

double rules_z95(void)
{
    return Z95;
}

/* Two passes: a sum of squares alone loses the digits that matter when the values lie close. */
struct num rules_sd(const double *x, size_t n)
{
    if (n < 2)
        return num_none();
    double mean = rules_mean(x, n);
    double squares = 0, rest = 0;
    for (size_t i = 0; i < n; i++) {
        double d = x[i] - mean;
        squares += d * d;
        rest += d;
    }
    squares -= rest * rest / (double)n;
    return num_of(sqrt(fmax(squares, 0) / (double)(n - 1)));
}

double rules_mdc90(double sem)
{
    return Z90 * sqrt(2) * sem;
}

double rules_mdc95(double sem)
{
    return Z95 * sqrt(2) * sem;
}

double rules_mdc90_of_mdc95(double mdc95)
{
    return mdc95 * Z90 / Z95;
}

double rules_mdc95_of_mdc90(double mdc90)
{
    return mdc90 * Z95 / Z90;
}

double rules_z(double value, double mean, double sd)
{
    return (value - mean) / sd;
}

double rules_percentile(double z)
{
    return 50 * erfc(-z / sqrt(2));
}

int rules_icf_band(const struct reference *ref, double percent)
{
    static const enum threshold_id starts[] = {THRESHOLD_ICF_MILD, THRESHOLD_ICF_MODERATE,
                                               THRESHOLD_ICF_SEVERE, THRESHOLD_ICF_COMPLETE};
    double whole = num_round(percent, 0);
    int band = 0;
    for (size_t i = 0; i < ARRAY_LEN(starts); i++)
        band += whole >= reference_threshold(ref, starts[i]);
    return band;
}

bool rules_at_least(double a, double b)
{
    return a >= b - BINARY_SLACK;
}

bool rules_over(double a, double b)
{
    return a > b + BINARY_SLACK;
}
