/* Numbers: optional numbers, strict parsing, and printing half away from zero in the C locale. */
#include "base/base.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

struct num num_of(double value)
{
    return (struct num){true, value};
}

struct num num_none(void)
{
    return (struct num){false, 0};
}

bool num_parse(const char *s, size_t len, double *value)
{
    enum { MAX = 40 };
    char copy[MAX];
    size_t i = 0, digits = 0;
    if (len == 0 || len >= MAX)
        return false;
    if (s[0] == '+' || s[0] == '-')
        i++;
    for (; i < len && isdigit((unsigned char)s[i]); i++)
        digits++;
    if (i < len && s[i] == '.') {
        i++;
        for (; i < len && isdigit((unsigned char)s[i]); i++)
            digits++;
    }
    if (digits == 0 || i != len)
        return false;
    memcpy(copy, s, len);
    copy[len] = '\0';
    *value = strtod(copy, NULL);
    return true;
}

static const double power10[] = {1, 10, 100, 1e3, 1e4, 1e5, 1e6};

double num_round(double value, int decimals)
{
    assert(decimals >= 0 && decimals <= 6);
    double scale = power10[decimals];
    double scaled = fabs(value) * scale;
    /* A product such as 1.005 * 100 lands a hair under the half that a reader would write: twelve
     * significant digits decide, far beyond any measurement and short of binary noise. */
    double lift = scaled * 1e-12;
    double whole = floor(scaled + 0.5 + lift);
    return copysign(whole / scale, value);
}

char *num_format(char out[NUM_TEXT_MAX], double value, int decimals)
{
    assert(isfinite(value) && fabs(value) < 1e15);
    double rounded = num_round(value, decimals);
    if (rounded == 0)
        rounded = 0; /* drops the sign of a negative zero */
    snprintf(out, NUM_TEXT_MAX, "%.*f", decimals, rounded == 0 ? 0.0 : rounded);
    return out;
}
