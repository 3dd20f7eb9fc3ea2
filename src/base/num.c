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

static const double power10[] = {1, 10, 100, 1e3, 1e4, 1e5, 1e6};

/* Up to fifteen digits are whole in a double, and so is the power of ten they are divided by: one
 * rounding, and the value is that of strtod(). */
static bool parse_short(const char *s, size_t len, size_t digits, double *value)
{
    size_t decimals = 0;
    uint64_t whole = 0;
    bool point = false, negative = s[0] == '-';
    if (digits > 15)
        return false;
    for (size_t i = s[0] == '+' || negative; i < len; i++) {
        if (s[i] == '.') {
            point = true;
        } else {
            whole = whole * 10 + (uint64_t)(s[i] - '0');
            decimals += point;
        }
    }
    if (decimals >= ARRAY_LEN(power10))
        return false;
    *value = (double)whole / power10[decimals];
    *value = negative ? -*value : *value;
    return true;
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
    if (parse_short(s, len, digits, value))
        return true;
    memcpy(copy, s, len);
    copy[len] = '\0';
    *value = strtod(copy, NULL);
    return true;
}

/* |value| in steps of the last decimal, half away from zero: a whole number. */
static double whole_steps(double value, int decimals)
{
    assert(decimals >= 0 && decimals <= 6);
    double scaled = fabs(value) * power10[decimals];
    /* A product such as 1.005 * 100 lands a hair under the half that a reader would write: twelve
     * significant digits decide, far beyond any measurement and short of binary noise. */
    return floor(scaled + 0.5 + scaled * 1e-12);
}

double num_round(double value, int decimals)
{
    return copysign(whole_steps(value, decimals) / power10[decimals], value);
}

/* Digits by hand: a report formats thousands of small numbers, printf is slow at them. */
static char *format_small(char *out, bool negative, uint64_t steps, int decimals)
{
    char digits[24];
    int n = 0;
    do {
        digits[n++] = (char)('0' + steps % 10);
        steps /= 10;
    } while (steps > 0 || n <= decimals);
    char *to = out;
    if (negative)
        *to++ = '-';
    while (n > 0) {
        *to++ = digits[--n];
        if (n == decimals && n > 0)
            *to++ = '.';
    }
    *to = '\0';
    return out;
}

char *num_format(char out[NUM_TEXT_MAX], double value, int decimals)
{
    assert(isfinite(value) && fabs(value) < 1e15);
    double steps = whole_steps(value, decimals);
    if (steps < 1e15)
        return format_small(out, value < 0 && steps > 0, (uint64_t)steps, decimals);
    snprintf(out, NUM_TEXT_MAX, "%.*f", decimals, num_round(value, decimals));
    return out;
}
