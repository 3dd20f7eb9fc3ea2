/*
 * Text made fit to set. Accents that arrive as marks of their own are composed with their letter
 * (Unicode's canonical composition, from HarfBuzz), because a mark set by itself lands beside
 * its letter; white space and controls are reduced to what a line can hold.
 */
#include "font/font.h"
#include "font/font_int.h"

enum { CLUSTER_MAX = 16 }; /* a letter and its marks; a longer pile of marks is left as it is */

struct cluster {
    int32_t chars[CLUSTER_MAX];
    int n;
};

struct cleaner {
    const struct font_set *set;
    struct buf *out;
    int32_t missing;
    struct cluster cluster;
};

static unsigned mark_class(int32_t c)
{
    return c < 0x300 ? 0
                     : (unsigned)hb_unicode_combining_class(hb_unicode_funcs_get_default(),
                                                            (hb_codepoint_t)c);
}

static bool is_held(const struct font_set *set, int32_t c)
{
    return c == SOFT_HYPHEN || font_pick(set, FACE_REGULAR, c) >= 0;
}

/* A no-break space of another width is still a no-break space, other spaces are spaces, and a
 * no-break hyphen may be set as the plain one's twin. 0: no stand-in. */
static int32_t stand_in(int32_t c)
{
    if (c == 0x202F || c == 0x2007) {
        return 0xA0;
    }
    if ((c >= 0x2000 && c <= 0x200A) || c == 0x205F || c == 0x3000) {
        return ' ';
    }
    return 0;
}

static void put(struct cleaner *k, int32_t c)
{
    if (!is_held(k->set, c)) {
        int32_t other = stand_in(c);
        if (other == 0) {
            k->missing = k->missing == 0 ? c : k->missing;
            other = REPLACEMENT;
        }
        c = other;
    }
    utf8_put(k->out, c);
}

/* Splits c into base and marks as Unicode decomposes it, appending to the cluster. */
static void append_split(struct cluster *to, int32_t c)
{
    enum { DEEPEST = 4 }; /* no letter is built of more steps */
    hb_unicode_funcs_t *unicode = hb_unicode_funcs_get_default();
    hb_codepoint_t a = 0, b = 0;
    int32_t marks[DEEPEST];
    int n = 0;
    while (n < DEEPEST && hb_unicode_decompose(unicode, (hb_codepoint_t)c, &a, &b)) {
        c = (int32_t)a;
        if (b != 0) {
            marks[n++] = (int32_t)b;
        }
        if (b == 0) {
            break;
        }
    }
    to->chars[to->n++] = c;
    while (n > 0 && to->n < CLUSTER_MAX) {
        to->chars[to->n++] = marks[--n];
    }
}

static void sort_marks(struct cluster *c)
{
    for (int i = 2; i < c->n; i++) {
        for (int k = i; k > 1 && mark_class(c->chars[k - 1]) > mark_class(c->chars[k]); k--) {
            int32_t swap = c->chars[k];
            c->chars[k] = c->chars[k - 1];
            c->chars[k - 1] = swap;
        }
    }
}

/* Canonical composition of one letter and its sorted marks. */
static void compose(struct cluster *c)
{
    struct cluster done = {{c->chars[0]}, 1};
    unsigned last = 0;
    for (int i = 1; i < c->n; i++) {
        hb_codepoint_t whole = 0;
        unsigned class = mark_class(c->chars[i]);
        bool free_to_join = last == 0 || last < class;
        if (free_to_join &&
            hb_unicode_compose(hb_unicode_funcs_get_default(), (hb_codepoint_t)done.chars[0],
                               (hb_codepoint_t)c->chars[i], &whole)) {
            done.chars[0] = (int32_t)whole;
        } else {
            done.chars[done.n++] = c->chars[i];
            last = class;
        }
    }
    *c = done;
}

static void flush(struct cleaner *k)
{
    struct cluster *c = &k->cluster;
    if (c->n > 1) {
        struct cluster split = {.n = 0};
        append_split(&split, c->chars[0]);
        if (split.n + c->n - 1 <= CLUSTER_MAX) {
            for (int i = 1; i < c->n; i++) {
                split.chars[split.n++] = c->chars[i];
            }
            sort_marks(&split);
            compose(&split);
            *c = split;
        }
    }
    for (int i = 0; i < c->n; i++) {
        put(k, c->chars[i]);
    }
    c->n = 0;
}

static void take(struct cleaner *k, int32_t c)
{
    bool joins = mark_class(c) != 0 && k->cluster.n > 0 && k->cluster.n < CLUSTER_MAX;
    if (!joins) {
        flush(k);
    }
    k->cluster.chars[k->cluster.n++] = c;
}

static bool is_white(int32_t c)
{
    return c == '\t' || c == '\n' || c == '\r' || c == '\v' || c == '\f' || c == 0x85 ||
           c == 0x2028 || c == 0x2029;
}

/* Controls and invisible marks of direction, joining and variant. */
static bool is_dropped(int32_t c)
{
    return c < ' ' || (c >= 0x7F && c < 0xA0) || (c >= 0x200B && c <= 0x200F) ||
           (c >= 0x202A && c <= 0x202E) || (c >= 0x2060 && c <= 0x206F) || c == 0xFEFF ||
           (c >= 0xFE00 && c <= 0xFE0F) || (c >= 0xE0000 && c <= 0xE0FFF);
}

/* Copies plain letters but for the last of them, which may yet take a mark. */
static const char *skip_plain(struct cleaner *k, const char *text, const char *end)
{
    const char *p = text;
    while (p < end && *p >= ' ' && *p < 0x7F && is_held(k->set, *p))
        p++;
    if (p - text < 2)
        return text;
    flush(k);
    buf_add(k->out, text, (size_t)(p - text - 1));
    return p - 1;
}

void font_clean(const struct font_set *set, const char *text, size_t len, struct buf *out,
                int32_t *missing)
{
    struct cleaner k = {.set = set, .out = out};
    const char *end = text + len;
    int32_t before = 0;
    while (text < end) {
        text = skip_plain(&k, text, end);
        int32_t c = utf8_next(&text, end);
        if (c == UTF8_BAD) {
            flush(&k);
            k.missing = k.missing == 0 ? REPLACEMENT : k.missing;
            utf8_put(out, REPLACEMENT);
        } else if (is_white(c)) {
            if (!(c == '\n' && before == '\r')) {
                take(&k, ' ');
            }
        } else if (!is_dropped(c)) {
            take(&k, c);
        }
        before = c;
    }
    flush(&k);
    if (missing != NULL) {
        *missing = k.missing;
    }
}
