/* Text: comparison, trimming, UTF-8, and the nearest known name for a misspelt one. */
#include "base/base.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

bool str_eq(const char *a, const char *b)
{
    if (a == NULL || b == NULL)
        return a == b;
    return strcmp(a, b) == 0;
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c | 0x20) : c;
}

bool str_eq_nocase(const char *a, const char *b)
{
    if (a == NULL || b == NULL)
        return a == b;
    for (;; a++, b++) {
        if (*a != *b && lower(*a) != lower(*b))
            return false;
        if (*a == '\0')
            return true;
    }
}

bool str_is_empty(const char *s)
{
    return s == NULL || *s == '\0';
}

char *str_trim(char *s)
{
    while (isspace((unsigned char)*s))
        s++;
    size_t len = strlen(s);
    while (len > 0 && isspace((unsigned char)s[len - 1]))
        s[--len] = '\0';
    return s;
}

bool str_starts(const char *s, const char *prefix)
{
    return strncmp(s, prefix, strlen(prefix)) == 0;
}

int str_distance(const char *a, const char *b)
{
    enum { MAX = 80 };
    size_t la = strlen(a), lb = strlen(b);
    if (la > MAX || lb > MAX)
        return (int)(la > lb ? la : lb);
    unsigned char x[MAX + 1], y[MAX + 1]; /* in small letters */
    for (size_t i = 0; i < la; i++)
        x[i] = (unsigned char)tolower((unsigned char)a[i]);
    for (size_t j = 0; j < lb; j++)
        y[j] = (unsigned char)tolower((unsigned char)b[j]);
    int row[3][MAX + 1];
    int *before = row[0], *above = row[1], *now = row[2];
    for (size_t j = 0; j <= lb; j++)
        above[j] = (int)j;
    for (size_t i = 1; i <= la; i++) {
        now[0] = (int)i;
        for (size_t j = 1; j <= lb; j++) {
            int best = above[j - 1] + (x[i - 1] != y[j - 1]);
            if (above[j] + 1 < best)
                best = above[j] + 1;
            if (now[j - 1] + 1 < best)
                best = now[j - 1] + 1;
            if (i > 1 && j > 1 && x[i - 1] == y[j - 2] && y[j - 1] == x[i - 2] &&
                before[j - 2] + 1 < best)
                best = before[j - 2] + 1;
            now[j] = best;
        }
        int *spare = before;
        before = above;
        above = now;
        now = spare;
    }
    return above[lb];
}

const char *str_nearest(const char *wanted, const char *const *names, size_t n)
{
    const char *nearest = NULL;
    int best = 0;
    size_t long_as = strlen(wanted);
    for (size_t i = 0; i < n; i++) {
        size_t length = strlen(names[i]);
        int gap = (int)(length > long_as ? length - long_as : long_as - length);
        if (nearest != NULL && gap >= best) /* it takes so many letters more or fewer */
            continue;
        int d = str_distance(wanted, names[i]);
        if (nearest == NULL || d < best) {
            nearest = names[i];
            best = d;
        }
    }
    if (nearest == NULL)
        return NULL;
    size_t len = long_as > strlen(nearest) ? long_as : strlen(nearest);
    return best * 3 <= (int)len ? nearest : NULL;
}

int32_t utf8_next(const char **s, const char *end)
{
    const unsigned char *p = (const unsigned char *)*s;
    size_t left = (size_t)(end - *s);
    (*s)++;
    if (p[0] < 0x80)
        return p[0];
    int more = p[0] >= 0xF0 ? 3 : p[0] >= 0xE0 ? 2 : 1;
    if (p[0] < 0xC2 || p[0] > 0xF4 || left < (size_t)more + 1)
        return UTF8_BAD;
    int32_t c = p[0] & (0x3F >> more);
    for (int i = 1; i <= more; i++) {
        if ((p[i] & 0xC0) != 0x80)
            return UTF8_BAD;
        c = c << 6 | (p[i] & 0x3F);
    }
    static const int32_t least[] = {0, 0x80, 0x800, 0x10000};
    if (c < least[more] || c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF))
        return UTF8_BAD;
    *s += more;
    return c;
}

bool utf8_is_valid(const char *s, size_t len)
{
    const char *end = s + len;
    while (s < end) {
        uint64_t eight;
        if ((size_t)(end - s) >= sizeof eight) { /* most text is ASCII */
            const uint64_t ones = 0x0101010101010101, tops = 0x8080808080808080;
            memcpy(&eight, s, sizeof eight);
            if (((eight | (eight - ones)) & tops) == 0) {
                s += sizeof eight;
                continue;
            }
        }
        int32_t c = utf8_next(&s, end);
        if (c == UTF8_BAD || c == 0)
            return false;
    }
    return true;
}

void utf8_put(struct buf *b, int32_t c)
{
    char out[4];
    size_t n;
    if (c < 0x80) {
        out[0] = (char)c;
        n = 1;
    } else if (c < 0x800) {
        out[0] = (char)(0xC0 | c >> 6);
        out[1] = (char)(0x80 | (c & 0x3F));
        n = 2;
    } else if (c < 0x10000) {
        out[0] = (char)(0xE0 | c >> 12);
        out[1] = (char)(0x80 | (c >> 6 & 0x3F));
        out[2] = (char)(0x80 | (c & 0x3F));
        n = 3;
    } else {
        out[0] = (char)(0xF0 | c >> 18);
        out[1] = (char)(0x80 | (c >> 12 & 0x3F));
        out[2] = (char)(0x80 | (c >> 6 & 0x3F));
        out[3] = (char)(0x80 | (c & 0x3F));
        n = 4;
    }
    buf_add(b, out, n);
}
