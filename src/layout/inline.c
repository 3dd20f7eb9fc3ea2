/*
 * Lines: a text with runs is cut into spans of one face, and into items between the places where
 * a line may end; items are set into lines of a width. A word wider than its line is broken
 * between characters, never clipped and never let into its neighbour.
 */
#include "layout/layout_int.h"

#include <string.h>

static const double slack = 0.01; /* pt; sums of widths are not exact */

/* A heading may be set in several lines; in a running head it is one. */
static void add_mark(struct buf *b, const char *s)
{
    for (; *s != '\0'; s++)
        buf_addc(b, *s == '\n' ? ' ' : *s);
}

/* Page numbers, and what pages are about, are put in once they are known. */
static const struct inline_text *with_numbers(struct render *r, const struct inline_text *text)
{
    if (!text->has_numbers || r->count == 0)
        return text;
    struct inline_text *out = arena_alloc(r->arena, sizeof(*out));
    struct buf b;
    *out = *text;
    out->runs = arena_alloc(r->arena, text->n_runs * sizeof(*out->runs));
    buf_init(&b, TEXT_MAX_BYTES * 4);
    for (size_t i = 0; i < text->n_runs; i++) {
        struct run run = text->runs[i];
        size_t from = b.len;
        if (run.kind != RUN_TEXT && run.kind != RUN_LINE_BREAK) {
            if (run.kind == RUN_PAGE_MARK)
                add_mark(&b, mark_text(r, run.mark));
            else
                buf_addf(&b, "%zu", run.kind == RUN_PAGE_NUMBER ? r->number : r->count);
            /* The space before the next word belongs to this run. */
            if (run.to > run.from && text->text[run.to - 1] == ' ')
                buf_addc(&b, ' ');
            run.kind = RUN_TEXT;
        } else {
            buf_add(&b, text->text + run.from, run.to - run.from);
        }
        run.from = from;
        run.to = b.len;
        out->runs[i] = run;
    }
    out->text = arena_strndup(r->arena, buf_text(&b), b.len);
    out->len = b.len;
    out->has_numbers = out->plain = false;
    buf_release(&b);
    return out;
}

struct span_list {
    struct span *items;
    size_t n, cap;
};

static void add_span(struct render *r, struct span_list *list, const struct run *run, size_t from,
                     size_t to, int face)
{
    struct span *last = list->n > 0 ? &list->items[list->n - 1] : NULL;
    if (from == to)
        return;
    if (last != NULL && last->to == from && last->face == face && last->style == run->style &&
        last->link == run->link && last->kind == RUN_TEXT && run->kind == RUN_TEXT) {
        last->to = to;
        return;
    }
    if (list->n == list->cap) {
        list->cap = list->cap == 0 ? 2 : list->cap * 2;
        list->items = arena_grow(r->arena, list->items, list->n * sizeof(*list->items),
                                 list->cap * sizeof(*list->items));
    }
    list->items[list->n++] = (struct span){from, to, face, run->kind, run->link, run->style};
}

/* One span a face; soft hyphens and line breaks stand in none. */
static void cut_run(struct render *r, struct span_list *list, const char *text,
                    const struct run *run)
{
    int wanted = run->bold ? FACE_BOLD : run->style->face, face = wanted;
    const char *s = text + run->from, *end = text + run->to, *from = s;
    if (run->kind == RUN_LINE_BREAK)
        return;
    while (s < end) {
        const char *at = s;
        int32_t c = utf8_next(&s, end);
        int pick = c < 0x80 ? wanted : c == 0xAD ? -1 : font_pick(r->fonts, wanted, c);
        if (pick == face)
            continue;
        add_span(r, list, run, (size_t)(from - text), (size_t)(at - text), face);
        from = pick < 0 ? s : at;
        face = pick < 0 ? wanted : pick;
    }
    add_span(r, list, run, (size_t)(from - text), (size_t)(end - text), face);
}

/* Width of text[from, to); `hint`: a span at or before `from`, moved along. */
static double width_from(const struct render *r, const struct lines *l, size_t from, size_t to,
                         size_t *hint)
{
    double width = 0;
    size_t i = *hint;
    while (i < l->n_spans && l->spans[i].to <= from)
        i++;
    *hint = i;
    if (i < l->n_spans && l->spans[i].from <= from && to <= l->spans[i].to)
        return font_width(r->fonts, l->spans[i].face, l->spans[i].style->size, l->text + from,
                          to - from);
    for (; i < l->n_spans && l->spans[i].from < to; i++) {
        const struct span *s = &l->spans[i];
        size_t a = s->from > from ? s->from : from, b = s->to < to ? s->to : to;
        if (a < b)
            width += font_width(r->fonts, s->face, s->style->size, l->text + a, b - a);
    }
    return width;
}

double lines_width(const struct render *r, const struct lines *lines, size_t from, size_t to)
{
    size_t hint = 0;
    return width_from(r, lines, from, to, &hint);
}

static bool ends_in_soft_hyphen(const char *text, size_t from, size_t to)
{
    return to >= from + 2 && memcmp(text + to - 2, "\xC2\xAD", 2) == 0;
}

static double hyphen_width(const struct render *r, const struct lines *l, size_t at)
{
    size_t i = 0;
    while (i + 1 < l->n_spans && l->spans[i].to < at)
        i++;
    if (l->n_spans == 0)
        return 0;
    return font_width(r->fonts, l->spans[i].face, l->spans[i].style->size, "-", 1);
}

struct item_list {
    struct item *items;
    size_t n, cap;
};

static struct item *add_item(struct render *r, struct item_list *list)
{
    if (list->n == list->cap) {
        list->cap = list->cap == 0 ? 1 : list->cap * 4; /* most cells hold one word */
        list->items = arena_grow(r->arena, list->items, list->n * sizeof(*list->items),
                                 list->cap * sizeof(*list->items));
    }
    return &list->items[list->n++];
}

/* The items of text[from, to), which holds no forced line end. */
static void cut_items(struct render *r, struct lines *l, struct item_list *list, size_t from,
                      size_t to, size_t *hint)
{
    double line = 0, space = 0;
    size_t at = from;
    do {
        size_t trim = 0, next = to;
        if (at < to)
            next = from + font_next_break(l->text + from, to - from, at - from, &trim);
        struct item *item = add_item(r, list);
        *item = (struct item){
            .from = (uint32_t)at, .to = (uint32_t)(next - trim), .next = (uint32_t)next};
        item->width = width_from(r, l, at, item->to, hint);
        item->space = trim > 0 ? width_from(r, l, item->to, next, hint) : 0;
        item->hyphen = next < to && ends_in_soft_hyphen(l->text, at, item->to);
        double alone = item->width + (item->hyphen ? hyphen_width(r, l, item->to) : 0);
        if (alone > l->least)
            l->least = alone;
        line += space + item->width;
        space = item->space;
        at = next;
    } while (at < to);
    list->items[list->n - 1].must_end = true;
    if (line > l->full)
        l->full = line;
}

struct lines *inline_prepare(struct render *r, const struct inline_text *source)
{
    struct lines *l = arena_alloc(r->arena, sizeof(*l));
    const struct inline_text *text = with_numbers(r, source);
    struct span_list spans = {NULL, 0, 0};
    struct item_list items = {NULL, 0, 0};
    size_t hint = 0, from = 0;
    l->text = text->text;
    l->node = text->node;
    l->places = text->places;
    l->align = text->runs[0].style->align;
    l->style = text->runs[0].style;
    if (text->plain)
        add_span(r, &spans, &text->runs[0], 0, text->len,
                 text->runs[0].bold ? FACE_BOLD : text->runs[0].style->face);
    for (size_t i = 0; i < text->n_runs && !text->plain; i++)
        cut_run(r, &spans, text->text, &text->runs[i]);
    l->spans = spans.items;
    l->n_spans = spans.n;
    while (from <= text->len) {
        const char *end = memchr(text->text + from, '\n', text->len - from);
        size_t to = end != NULL ? (size_t)(end - text->text) : text->len;
        cut_items(r, l, &items, from, to, &hint);
        from = to + 1;
    }
    l->items = items.items;
    l->n_items = items.n;
    return l;
}

/* Half the leading's surplus above and half below, as in hand-set type. */
static double baseline_of(const struct render *r, const struct style *style)
{
    double ascent = font_ascent(r->fonts, style->face, style->size);
    double descent = font_descent(r->fonts, style->face, style->size);
    return (style->leading - ascent - descent) / 2 + ascent;
}

static void set_heights(const struct render *r, const struct lines *l, struct line *line)
{
    const struct style *last = NULL;
    line->leading = 0;
    for (size_t i = 0; i < l->n_spans; i++) {
        const struct span *s = &l->spans[i];
        if (s->to <= line->from || s->from >= line->to || s->style == last)
            continue;
        last = s->style;
        double baseline = baseline_of(r, last);
        if (last->leading > line->leading)
            line->leading = last->leading;
        if (baseline > line->baseline)
            line->baseline = baseline;
    }
    if (last == NULL) { /* an empty line between two breaks */
        line->leading = l->style->leading;
        line->baseline = baseline_of(r, l->style);
    }
}

static struct line *add_line(struct render *r, struct lines *l, size_t *cap)
{
    if (l->n == *cap) {
        *cap = *cap == 0 ? 1 : *cap * 4;
        l->line = arena_grow(r->arena, l->line, l->n * sizeof(*l->line), *cap * sizeof(*l->line));
    }
    struct line *line = &l->line[l->n++];
    *line = (struct line){0};
    return line;
}

/* As many characters of a word as fit, and at least one. */
static size_t cut_word(struct render *r, const struct lines *l, size_t from, size_t to,
                       double width, double *used)
{
    const char *s = l->text + from, *end = l->text + to;
    size_t hint = 0, cut = from;
    *used = 0;
    while (s < end) {
        utf8_next(&s, end);
        size_t next = (size_t)(s - l->text);
        double w = width_from(r, l, cut, next, &hint);
        if (*used + w > width + slack && *used > 0)
            break;
        *used += w;
        cut = next;
    }
    if (*used > width + slack) {
        r->at = l->node;
        render_error(r, DIAG_LAYOUT_FIT, "a place %.1f pt wide for a character of %.1f pt", width,
                     *used);
    }
    return cut;
}

struct breaker {
    size_t item, from;         /* where the line in hand starts */
    size_t end, end_item;      /* where it may end as far as seen: end of items[end_item] */
    double end_width;
    bool found;
};

/* The rest of a word that was cut. One of absurd length is not measured again for every line: it
 * will not fit, and is cut by characters anyhow. */
static double rest_width(const struct render *r, const struct lines *l, size_t from, size_t to,
                         double width)
{
    double most = 64 + 16 * width / l->style->size;
    return (double)(to - from) > most ? width * 2 + 1 : lines_width(r, l, from, to);
}

/* Takes items while they fit; a soft hyphen needs room for its sign only if the line ends there. */
static void fill_line(struct render *r, const struct lines *l, struct breaker *b, double width)
{
    double used = 0, space = 0;
    b->found = false;
    for (size_t i = b->item; i < l->n_items; i++) {
        const struct item *item = &l->items[i];
        double w = i == b->item && b->from > item->from
                       ? rest_width(r, l, b->from, item->to, width)
                       : item->width;
        used += space + w;
        if (used > width + slack)
            return;
        double sign = item->hyphen ? hyphen_width(r, l, item->to) : 0;
        if (used + sign <= width + slack) {
            b->found = true;
            b->end = item->to;
            b->end_item = i;
            b->end_width = used + sign;
        }
        if (item->must_end)
            return;
        space = item->space;
    }
}

void inline_break(struct render *r, struct lines *l, double width)
{
    struct breaker b = {0};
    size_t cap = 0;
    l->n = 0;
    l->width = width;
    while (b.item < l->n_items) {
        struct line *line = add_line(r, l, &cap);
        fill_line(r, l, &b, width);
        line->from = b.from;
        if (b.found) {
            const struct item *last = &l->items[b.end_item];
            line->to = b.end;
            line->width = b.end_width;
            line->hyphen = last->hyphen;
            b.item = b.end_item + 1;
            b.from = b.item < l->n_items ? l->items[b.item].from : 0;
        } else {
            const struct item *item = &l->items[b.item];
            line->to = cut_word(r, l, b.from, item->to, width, &line->width);
            b.from = line->to;
            if (b.from >= item->to) {
                b.item++;
                b.from = b.item < l->n_items ? l->items[b.item].from : 0;
            }
        }
        set_heights(r, l, line);
    }
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

double inline_decimal(const struct render *r, const struct lines *l)
{
    const char *s = l->text;
    size_t len = strlen(s), at = 0;
    /* A sign may stand before the number: one character that is no letter. */
    while (at < len && !is_digit(s[at])) {
        char c = s[at];
        if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || at > 4)
            return -1;
        at++;
    }
    if (at == len)
        return -1;
    while (at < len && is_digit(s[at]))
        at++;
    return lines_width(r, l, 0, at);
}
