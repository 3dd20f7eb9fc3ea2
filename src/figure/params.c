/* Parameters of a figure: text of the template to checked values. Missing is not zero. */
#include "figure/figure_int.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *params_text(const struct params *p, const char *name)
{
    for (size_t i = 0; i < p->n; i++) {
        if (strcmp(p->at[i].name, name) == 0 && p->at[i].value != NULL) {
            return p->at[i].value;
        }
    }
    return "";
}

const char *params_decimal(const struct params *p)
{
    const char *sign = params_text(p, "decimal");
    return sign[0] != '\0' ? sign : ".";
}

bool params_parse(const struct params *p, const char *text, size_t len, double *value)
{
    char plain[NUM_TEXT_MAX];
    if (len >= sizeof plain)
        return false;
    memcpy(plain, text, len);
    plain[len] = '\0';
    char *sign = strchr(plain, params_decimal(p)[0]);
    if (sign != NULL)
        *sign = '.';
    return num_parse(plain, len, value);
}

bool params_refuse(const struct params *p, const char *name, const char *problem)
{
    snprintf(p->why, p->why_size, "%s: %s", name, problem);
    return false;
}

bool params_number(const struct params *p, const char *name, double most, const char *problem,
                   struct num *out)
{
    const char *text = params_text(p, name);
    double value = 0.0;
    *out = num_none();
    if (text[0] == '\0') {
        return true;
    }
    if (!params_parse(p, text, strlen(text), &value)) {
        return params_refuse(p, name, "not a number");
    }
    if (!(fabs(value) <= most)) {
        return params_refuse(p, name, problem);
    }
    *out = num_of(value);
    return true;
}

bool params_yes(const struct params *p, const char *name, bool *out)
{
    const char *text = params_text(p, name);
    *out = str_eq(text, "yes");
    return text[0] == '\0' || *out || str_eq(text, "no")
               ? true
               : params_refuse(p, name, "not yes or no");
}

bool params_choice(const struct params *p, const char *name, const char *one, const char *two,
                   bool *second)
{
    const char *text = params_text(p, name);
    char problem[80];
    *second = str_eq(text, two);
    if (text[0] == '\0' || *second || str_eq(text, one)) {
        return true;
    }
    snprintf(problem, sizeof(problem), "not %s or %s", one, two);
    return params_refuse(p, name, problem);
}
