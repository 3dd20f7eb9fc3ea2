/* Values along an axis: round steps, ticks, and numbers as a reader writes them. */
#include "figure/figure_int.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void scale_take(double *low, double *high, struct num value)
{
    if (value.has) {
        *low = fmin(*low, value.value);
        *high = fmax(*high, value.value);
    }
}

/* The smallest of 1, 2, 5, 10, ... that spans it in so many steps. */
static double round_step(double span, int ticks)
{
    static const double leads[] = {1.0, 2.0, 5.0, 10.0};
    double least = span / ticks;
    double power = pow(10.0, floor(log10(least)));
    for (size_t i = 0; i < ARRAY_LEN(leads); i++) {
        if (leads[i] * power >= least * (1.0 - 1e-9)) {
            return leads[i] * power;
        }
    }
    return 10.0 * power;
}

struct scale scale_over(double low, double high, int ticks)
{
    struct scale s = {.from = low, .to = high, .length = 1.0};
    if (!(high > low)) {
        high = low + 1.0;
    }
    s.step = round_step(high - low, ticks);
    s.from = floor(low / s.step + 1e-9) * s.step;
    s.to = ceil(high / s.step - 1e-9) * s.step;
    return s;
}

double scale_at(const struct scale *s, double value)
{
    return s->start + s->length * (value - s->from) / (s->to - s->from);
}

char *scale_text(char out[SCALE_TEXT_MAX], double value, const char *decimal, const char *lacks,
                 const char *past)
{
    enum { PLACES = 3 };
    char digits[NUM_TEXT_MAX], number[NUM_TEXT_MAX + 4];
    num_format(digits, fabs(value), PLACES);
    char *end = digits + strlen(digits);
    while (end[-1] == '0') {
        *--end = '\0';
    }
    if (end[-1] == '.') {
        *--end = '\0';
    }
    char *point = strchr(digits, '.');
    snprintf(number, sizeof(number), "%.*s%s%s", (int)strcspn(digits, "."), digits,
             point != NULL ? decimal : "", point != NULL ? point + 1 : "");
    if (value < 0.0) {
        snprintf(out, SCALE_TEXT_MAX, "%s%s%s", lacks[0] != '\0' ? lacks : "\xE2\x88\x92",
                 lacks[0] != '\0' ? " " : "", number);
    } else if (value > 0.0 && past[0] != '\0') {
        snprintf(out, SCALE_TEXT_MAX, "%s %s", past, number);
    } else {
        snprintf(out, SCALE_TEXT_MAX, "%s", number);
    }
    return out;
}
