/* Lists of a template's parameter: words parted by spaces, as list-text(..., ' ') gives them. */
#include "figure/figure_int.h"

#include <math.h>
#include <string.h>

const char *list_word(const char **at, size_t *len)
{
    *at += strspn(*at, " ");
    const char *word = *at;
    *len = strcspn(word, " ");
    *at += *len;
    return *len > 0 ? word : NULL;
}

bool list_numbers(const struct params *p, const char *name, double most, double *out, size_t max,
                  size_t *n)
{
    const char *at = params_text(p, name), *word;
    size_t len;
    for (*n = 0; (word = list_word(&at, &len)) != NULL; (*n)++) {
        if (*n == max)
            return params_refuse(p, name, "too many points");
        if (!params_parse(p, word, len, &out[*n]) || !(fabs(out[*n]) <= most))
            return params_refuse(p, name, "not numbers that can be drawn");
    }
    return true;
}

bool list_codes(const struct params *p, const char *name, struct list_code *out, size_t n)
{
    const char *at = params_text(p, name), *word;
    size_t len;
    for (size_t i = 0; i < n; i++) {
        word = list_word(&at, &len);
        if (word == NULL || len >= sizeof out[i].text)
            return params_refuse(p, name, "not one short code for each value");
        memcpy(out[i].text, word, len);
        out[i].text[len] = '\0';
    }
    return list_word(&at, &len) == NULL ||
           params_refuse(p, name, "not one short code for each value");
}
