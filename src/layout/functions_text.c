/* The functions of XPath that take texts apart, and those that round and add up. */
#include "layout/layout_int.h"

#include <math.h>
#include <string.h>

static struct value string_value(const char *text)
{
    return (struct value){.type = TYPE_STRING, .text = text};
}

static struct value number_value(double number)
{
    return (struct value){.type = TYPE_NUMBER, .number = number};
}

static struct value part_value(struct render *r, const char *from, size_t len)
{
    return string_value(arena_strndup(r->arena, from, len));
}

struct value function_substring_before(struct render *r, const struct value *args, int n)
{
    const char *s = value_string(r, &args[0]);
    const char *at = strstr(s, value_string(r, &args[1]));
    (void)n;
    return at == NULL ? string_value("") : part_value(r, s, (size_t)(at - s));
}

struct value function_substring_after(struct render *r, const struct value *args, int n)
{
    const char *s = value_string(r, &args[0]), *what = value_string(r, &args[1]);
    const char *at = strstr(s, what);
    (void)n;
    return string_value(at == NULL ? "" : at + strlen(what));
}

/* As XPath rounds: halves go up. */
static double round_half_up(double x)
{
    double down = floor(x);
    return x - down >= 0.5 ? down + 1.0 : down;
}

/* Characters whose place p, counted from 1, is start <= p < start + length, each rounded. */
struct value function_substring(struct render *r, const struct value *args, int n)
{
    const char *s = value_string(r, &args[0]), *end = s + strlen(s);
    double start = round_half_up(value_number(r, &args[1]));
    double stop = n == 3 ? start + round_half_up(value_number(r, &args[2])) : INFINITY;
    const char *from = NULL, *to = s;
    for (double place = 1; s < end; place++) {
        const char *at = s;
        utf8_next(&s, end);
        if (place >= start && place < stop) {
            from = from == NULL ? at : from;
            to = s;
        }
    }
    return from == NULL ? string_value("") : part_value(r, from, (size_t)(to - from));
}

struct value function_string_length(struct render *r, const struct value *args, int n)
{
    const char *s = n == 0 ? node_string(r, r->context) : value_string(r, &args[0]);
    double length = 0;
    for (; *s != '\0'; s++)
        length += ((unsigned char)*s & 0xC0U) != 0x80U; /* not a continuation byte */
    return number_value(length);
}

static bool is_space(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

struct value function_normalize_space(struct render *r, const struct value *args, int n)
{
    const char *s = n == 0 ? node_string(r, r->context) : value_string(r, &args[0]);
    char *out = arena_strndup(r->arena, s, strlen(s)), *to = out;
    for (; *s != '\0'; s++) {
        if (!is_space(*s))
            *to++ = *s;
        else if (to > out && to[-1] != ' ')
            *to++ = ' ';
    }
    if (to > out && to[-1] == ' ')
        to--;
    *to = '\0';
    return string_value(out);
}

/* Where the character at `c` stands in a list of characters; -1: not in it. */
static long place_of(const char *list, const char *c, size_t len)
{
    long place = 0;
    for (const char *end = list + strlen(list); list < end; place++) {
        const char *at = list;
        utf8_next(&list, end);
        if ((size_t)(list - at) == len && memcmp(at, c, len) == 0)
            return place;
    }
    return -1;
}

/* The character at a place; a length of 0 when the list ends before it. */
static const char *at_place(const char *list, long place, size_t *len)
{
    const char *end = list + strlen(list), *at = list;
    for (; place >= 0 && list < end; place--) {
        at = list;
        utf8_next(&list, end);
    }
    *len = place < 0 ? (size_t)(list - at) : 0;
    return at;
}

struct value function_translate(struct render *r, const struct value *args, int n)
{
    const char *s = value_string(r, &args[0]), *end = s + strlen(s);
    const char *from = value_string(r, &args[1]), *to = value_string(r, &args[2]);
    struct buf b;
    (void)n;
    if (strpbrk(s, from) == NULL) /* by bytes: finds at least what is there */
        return string_value(s);
    buf_init(&b, TEXT_MAX_BYTES);
    while (s < end) {
        const char *at = s;
        utf8_next(&s, end);
        size_t len = (size_t)(s - at);
        long place = place_of(from, at, len);
        if (place >= 0)
            at = at_place(to, place, &len);
        if (b.len + len > TEXT_MAX_BYTES / 4) {
            render_error(r, DIAG_LAYOUT_FIT, "a text of more than %d bytes", TEXT_MAX_BYTES / 4);
            break;
        }
        buf_add(&b, at, len);
    }
    struct value v = string_value(arena_strdup(r->arena, buf_text(&b)));
    buf_release(&b);
    return v;
}

struct value function_sum(struct render *r, const struct value *args, int n)
{
    double sum = 0;
    (void)n;
    for (size_t i = 0; i < args[0].n; i++) {
        struct value v = {.type = TYPE_NODES, .nodes = &args[0].nodes[i], .n = 1};
        sum += value_number(r, &v);
    }
    return number_value(sum);
}

struct value function_floor(struct render *r, const struct value *args, int n)
{
    (void)n;
    return number_value(floor(value_number(r, &args[0])));
}

struct value function_ceiling(struct render *r, const struct value *args, int n)
{
    (void)n;
    return number_value(ceil(value_number(r, &args[0])));
}

struct value function_round(struct render *r, const struct value *args, int n)
{
    (void)n;
    return number_value(round_half_up(value_number(r, &args[0])));
}
