/*
 * Where a line may end. The rules are few, because what is set here is short and full of
 * numbers, and a number torn in two is read wrong: 0-10-120, 4-/5, 118 degrees, a minus left
 * alone at a line's start.
 */
#include "font/font.h"
#include "font/font_int.h"

struct here {
    int32_t before[3]; /* before[0] is nearest; 0 at the start of the text */
    const char *next;  /* what follows the character in hand */
    const char *end;
};

static bool is_space(int32_t c)
{
    return c == ' ' || c == '\t' || c == '\n' || (c >= 0x2000 && c <= 0x200B && c != 0x2007);
}

static bool is_digit(int32_t c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(int32_t c)
{
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') ||
           (c >= 0xC0 && c < 0x2000 && c != 0xD7 && c != 0xF7);
}

static bool is_dash(int32_t c)
{
    return c == '-' || c == 0x2010 || c == 0x2013 || c == 0x2014 || c == 0x2212;
}

/* Signs that belong to the number after them. */
static bool is_number_sign(int32_t c)
{
    static const int32_t signs[] = {'<', '>', '=', '~', '+', 0xB1, 0xD7, 0x2248, 0x2264, 0x2265};
    for (size_t i = 0; i < ARRAY_LEN(signs); i++) {
        if (c == signs[i]) {
            return true;
        }
    }
    return is_dash(c);
}

static int32_t peek(const char *p, const char *end, int ahead)
{
    int32_t c = 0;
    for (int i = 0; i <= ahead; i++) {
        if (p >= end) {
            return 0;
        }
        c = utf8_next(&p, end);
    }
    return c;
}

/* Letters in a row from p, counted up to three. */
static int letters_after(const char *p, const char *end)
{
    int n = 0;
    while (n < 3 && is_letter(peek(p, end, n))) {
        n++;
    }
    return n;
}

static int letters_before(const struct here *h)
{
    int n = 0;
    while (n < 3 && is_letter(h->before[n])) {
        n++;
    }
    return n;
}

/* The characters before `at`, found by stepping back over UTF-8 continuation bytes. */
static void look_back(const char *text, const char *at, struct here *h)
{
    const char *p = at;
    for (int i = 0; i < 3; i++) {
        h->before[i] = 0;
        if (p > text) {
            const char *end = p;
            do {
                p--;
            } while (p > text && ((unsigned char)*p & 0xC0U) == 0x80U);
            const char *q = p;
            h->before[i] = utf8_next(&q, end);
        }
    }
}

/* False for the letters and stops that most spaces follow, which spares a look back. */
static bool number_may_end(const char *text, const char *space)
{
    unsigned char byte = space > text ? (unsigned char)space[-1] : 0;
    return byte >= 0x80 || is_digit(byte) || is_number_sign(byte);
}

/* Spaces around what is one number to the reader: "118 °", "0 - 120", "110 ± 5", "≥ 5". The
 * first of the spaces is at `space`. */
static bool space_holds_number(const char *text, const char *space, struct here *h)
{
    look_back(text, space, h);
    int32_t next = peek(h->next, h->end, 0);
    if (is_digit(h->before[0])) {
        bool lone_sign = is_number_sign(next) && is_space(peek(h->next, h->end, 1)) &&
                         is_digit(peek(h->next, h->end, 2));
        return next == 0xB0 || next == 0xB1 || next == 0xD7 || lone_sign;
    }
    bool after_space = h->before[1] == 0 || is_space(h->before[1]);
    return is_digit(next) && is_number_sign(h->before[0]) && after_space;
}

/* May the line end after the visible character c, which is at `at`? */
static bool breaks_after(int32_t c, const char *text, const char *at, struct here *h)
{
    if (c != SOFT_HYPHEN && c != '/' && !is_dash(c)) {
        return false;
    }
    look_back(text, at, h);
    int32_t next = peek(h->next, h->end, 0);
    switch (c) {
    case SOFT_HYPHEN:
        return true;
    case '-':
    case 0x2010:
        return is_letter(h->before[0]) && is_letter(next);
    case 0x2013:
    case 0x2014:
        return h->before[0] != 0 && !is_space(h->before[0]) && next != 0 && !is_digit(next);
    case '/': {
        /* A word on each side; not n/a, R/L or Nm/kg. */
        int left = letters_before(h);
        int right = letters_after(h->next, h->end);
        return left >= 2 && right >= 2 && left + right >= 5;
    }
    default:
        return false;
    }
}

static bool is_plain(char c)
{
    return c > ' ' && c < 0x7F;
}

/* Nothing of ASCII but a space, a hyphen or a slash ends a line. */
static bool never_ends_line(char c)
{
    return is_plain(c) && c != '-' && c != '/';
}

size_t font_next_break(const char *text, size_t len, size_t from, size_t *trim)
{
    struct here h = {.next = text + from, .end = text + len};
    *trim = 0;
    while (h.next < h.end) {
        const char *start = h.next;
        if (never_ends_line(*start)) {
            h.next++;
            continue;
        }
        if (*start == ' ' && start + 1 < h.end && is_plain(start[1]) &&
            !number_may_end(text, start)) { /* most spaces */
            h.next++;
            *trim = 1;
            break;
        }
        int32_t c = utf8_next(&h.next, h.end);
        if (is_space(c)) {
            while (h.next < h.end && is_space(peek(h.next, h.end, 0))) {
                utf8_next(&h.next, h.end);
            }
            if (h.next == h.end || !number_may_end(text, start) ||
                !space_holds_number(text, start, &h)) {
                *trim = (size_t)(h.next - start);
                break;
            }
        } else if (breaks_after(c, text, start, &h)) {
            break;
        }
    }
    return (size_t)(h.next - text);
}
