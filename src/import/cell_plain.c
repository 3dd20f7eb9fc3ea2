/*
 * Makes a cell's text plain: one byte for each dash, space, digit, quote and degree sign of any
 * script, so that the readers need to know ASCII only. Nothing is dropped unseen: a sign with no
 * plain form becomes PLAIN_OTHER, and no reader accepts that.
 */
#include "import/cells_int.h"

#include <string.h>

/* UTF-8 read as Latin letters by another program, as it arrives here. */
static const struct {
    const char *seen;
    char plain;
} wrongly_decoded[] = {
    {"\xc3\x82\xc2\xb0", PLAIN_DEGREE},                 /* degree sign */
    {"\xc3\x82\xc2\xba", PLAIN_DEGREE},                 /* ordinal o used as one */
    {"\xc3\x8b\xc5\xa1", PLAIN_DEGREE},                 /* ring above used as one */
    {"\xc3\x82\xc2\xa0", ' '},                          /* hard space */
    {"\xc3\xa2\xe2\x82\xac\xe2\x80\x9c", '-'},          /* en dash */
    {"\xc3\xa2\xe2\x82\xac\xe2\x80\x9d", '-'},          /* em dash */
    {"\xc3\xa2\xe2\x82\xac\xe2\x80\x98", '-'},          /* hard hyphen */
    {"\xc3\xa2\xcb\x86\xe2\x80\x99", '-'},              /* true minus */
    {"\xc3\xa2\xe2\x82\xac\xe2\x84\xa2", '\''},         /* apostrophe */
};

static const struct {
    int32_t first, last;
    char plain;
} signs[] = {
    {0x09, 0x0d, ' '},     {0xa0, 0xa0, ' '},     {0xad, 0xad, '-'},     {0xb0, 0xb0, PLAIN_DEGREE},
    {0xba, 0xba, PLAIN_DEGREE}, {0xb4, 0xb4, '\''}, {0xbc, 0xbe, PLAIN_FRACTION},
    {0x2da, 0x2da, PLAIN_DEGREE}, {0x1680, 0x1680, ' '}, {0x2000, 0x200d, ' '},
    {0x2010, 0x2015, '-'}, {0x2018, 0x201b, '\''}, {0x201c, 0x201f, '"'}, {0x202f, 0x202f, ' '},
    {0x2032, 0x2032, '\''}, {0x2033, 0x2033, '"'}, {0x2044, 0x2044, '/'}, {0x205f, 0x2060, ' '},
    {0x2150, 0x215e, PLAIN_FRACTION}, {0x2215, 0x2215, '/'}, {0x2212, 0x2212, '-'},
    {0x2218, 0x2218, PLAIN_DEGREE}, {0x223c, 0x223c, '~'}, {0x2245, 0x2248, '~'},
    {0x2264, 0x2264, '<'}, {0x2265, 0x2265, '>'}, {0x3000, 0x3000, ' '}, {0x3003, 0x3003, '"'},
    {0xfe58, 0xfe58, '-'}, {0xfe63, 0xfe63, '-'}, {0xfeff, 0xfeff, ' '},
};

static bool is_arrow(int32_t c)
{
    return c == 0x2192 || c == 0x21d2 || c == 0x279c || c == 0x2794;
}

static char plain_sign(int32_t c, struct plain *out)
{
    for (size_t i = 0; i < ARRAY_LEN(signs); i++) {
        if (c < signs[i].first || c > signs[i].last)
            continue;
        if (signs[i].plain == ' ' && c > 0x20)
            out->odd_space = true;
        return signs[i].plain;
    }
    if (c >= 0xff01 && c <= 0xff5e) /* full-width forms of ASCII */
        return (char)(c - 0xff01 + '!');
    if (c >= ' ' && c < 0x7f)
        return (char)c;
    return PLAIN_OTHER;
}

static size_t repair(const char *s, char *plain)
{
    if ((unsigned char)*s < 0x80)
        return 0;
    for (size_t i = 0; i < ARRAY_LEN(wrongly_decoded); i++) {
        size_t n = strlen(wrongly_decoded[i].seen);
        if (strncmp(s, wrongly_decoded[i].seen, n) == 0) {
            *plain = wrongly_decoded[i].plain;
            return n;
        }
    }
    return 0;
}

struct writer {
    char *text;
    size_t *raw;
    size_t n;
};

static void put(struct writer *w, char c, size_t raw)
{
    if (c == ' ' && (w->n == 0 || w->text[w->n - 1] == ' '))
        return;
    w->raw[w->n] = raw;
    w->text[w->n++] = c;
}

static void fold(const char *cell, struct writer *w, struct plain *out)
{
    const char *end = cell + strlen(cell);
    bool odd = false;
    for (const char *s = cell; s < end;) {
        size_t raw = (size_t)(s - cell);
        char c = *s;
        if (c > ' ' && c < 0x7f) { /* most of them */
            put(w, c, raw);
            s++;
            continue;
        }
        size_t n = repair(s, &c);
        if (n > 0) {
            out->repaired = true;
            put(w, c, raw);
            s += n;
            continue;
        }
        int32_t code = utf8_next(&s, end);
        if (is_arrow(code)) {
            put(w, '-', raw);
            put(w, '>', raw);
            continue;
        }
        out->odd_space = false;
        c = plain_sign(code, out);
        /* A replacement character right after a digit can only have been the degree sign. */
        if (code == 0xfffd && w->n > 0 && w->text[w->n - 1] >= '0' && w->text[w->n - 1] <= '9') {
            c = PLAIN_DEGREE;
            out->repaired = true;
        }
        put(w, c, raw);
        odd = odd || (out->odd_space && w->n > 0 && s < end);
    }
    out->odd_space = odd;
}

static void open_wrappings(struct writer *w, struct plain *out, const char **text, size_t *from)
{
    char *s = w->text;
    *from = 0;
    if (s[0] == '=' && s[1] == '"' && w->n > 3 && s[w->n - 1] == '"') {
        out->quoted_formula = true;
        s[--w->n] = '\0';
        *from = 2;
    } else if (s[0] == '\'' && s[1] != '\0' && s[1] != '\'') {
        out->apostrophe = true;
        *from = 1;
    }
    while (s[*from] == ' ')
        (*from)++;
    *text = s + *from;
}

void plain_make(const char *cell, struct arena *a, struct plain *out)
{
    size_t room = strlen(cell) + 2;
    struct writer w = {arena_alloc(a, room), arena_alloc(a, room * sizeof(size_t)), 0};
    memset(out, 0, sizeof *out);
    out->cell = cell;
    fold(cell, &w, out);
    while (w.n > 0 && w.text[w.n - 1] == ' ')
        w.n--;
    w.text[w.n] = '\0';
    w.raw[w.n] = w.n == 0 ? 0 : strlen(cell);
    size_t from;
    open_wrappings(&w, out, &out->text, &from);
    out->raw = w.raw + from;
    out->len = strlen(out->text);
}
