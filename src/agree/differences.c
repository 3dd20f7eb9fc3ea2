/*
 * Differences of two raters over their subjects (Bland and Altman 1986, 1999): bias, limits of
 * agreement with their own limits, and the coefficient of repeatability.
 */
#include "agree/agree_int.h"

#include <math.h>

const double agree_z_of_limits = 1.96;

static struct agree_estimate around(double value, double margin)
{
    return (struct agree_estimate){num_of(value), num_of(value - margin), num_of(value + margin)};
}

struct agree_differences agree_differences_of(const double *d, size_t n)
{
    enum { PAIRS_FOR_LIMITS = 3 };
    struct agree_spread s = agree_spread_of(d, n);
    struct agree_differences out = {.n = n, .sd = s.sd, .bias = agree_estimate_of(s.mean)};
    double squares = 0, dn = (double)n;
    for (size_t i = 0; i < n; i++)
        squares += d[i] * d[i];
    out.repeatability = agree_z_of_limits * sqrt(2) * sqrt(squares / dn / 2);
    if (n < 2)
        return out;
    double t = agree_quantile_t(0.975, dn - 1);
    out.se_bias = num_of(s.sd.value / sqrt(dn));
    out.bias = around(s.mean, t * out.se_bias.value);
    if (n < PAIRS_FOR_LIMITS)
        return out;
    double half = agree_z_of_limits * s.sd.value;
    double se = s.sd.value * sqrt(1 / dn + agree_z_of_limits * agree_z_of_limits / (2 * (dn - 1)));
    out.loa_low = around(s.mean - half, t * se);
    out.loa_high = around(s.mean + half, t * se);
    return out;
}
