/* Strips onto a page: text, rules, frames, links and bookmarks at their places, each inside the
 * tag that says what it is. Nothing is decided here. */
#include "layout/layout_int.h"

#include <math.h>
#include <string.h>

static const double hairline = 0.4; /* pt */
static const double link_below = 2; /* pt under the baseline that a link's area reaches */

static struct page *page_of(const struct drawing *d)
{
    return &d->r->list->pages[d->page];
}

/* What both stand in; NULL when nothing. */
static const struct tag *common_tag(const struct tag *a, const struct tag *b)
{
    while (a != b) {
        int depth_a = a != NULL ? a->depth : 0, depth_b = b != NULL ? b->depth : 0;
        if (depth_a >= depth_b)
            a = a->parent;
        if (depth_b >= depth_a)
            b = b->parent;
    }
    return a;
}

static void open_tags(struct drawing *d, const struct tag *tag)
{
    if (tag == d->open)
        return;
    open_tags(d, tag->parent);
    page_tag_begin(d->r->list, page_of(d), tag->role, tag->alt);
    d->open = tag;
}

void draw_tag(struct drawing *d, const struct tag *tag)
{
    if (d->artifact || d->open == tag)
        return;
    const struct tag *common = common_tag(d->open, tag);
    for (; d->open != common; d->open = d->open->parent)
        page_tag_end(d->r->list, page_of(d));
    open_tags(d, tag);
}

static void begin_artifact(const struct drawing *d)
{
    if (!d->artifact)
        page_tag_begin(d->r->list, page_of(d), "Artifact", NULL);
}

static void end_artifact(const struct drawing *d)
{
    if (!d->artifact)
        page_tag_end(d->r->list, page_of(d));
}

static void remember_number(struct drawing *d, enum run_kind kind)
{
    struct render *r = d->r;
    if (r->n_fixups == r->cap_fixups) {
        r->cap_fixups = r->cap_fixups == 0 ? 16 : r->cap_fixups * 2;
        r->fixups = mem_resize(r->fixups, r->cap_fixups * sizeof(*r->fixups));
    }
    r->fixups[r->n_fixups++] = (struct fixup){d->page, page_of(d)->n - 1, kind};
}

/* The part of a span that stands in [from, to), with an unseen space after it if asked. A soft
 * hyphen stands between spans, so a slice has none. */
static double draw_slice(struct drawing *d, const struct lines *l, const struct span *s,
                         size_t from, size_t to, bool space, double x, double y)
{
    size_t a = s->from > from ? s->from : from, b = s->to < to ? s->to : to;
    if (a >= b)
        return 0;
    const struct style *style = s->style;
    const char *text = l->text + a;
    size_t len = b - a;
    double width = font_width(d->r->fonts, s->face, style->size, text, len);
    if (space && text[len] != ' ') { /* mostly the one stands there that the line was broken at */
        char *spaced = arena_room(d->r->arena, len + 1);
        memcpy(spaced, text, len);
        spaced[len] = ' ';
        text = spaced;
    }
    struct page_text *t = page_add_text(d->r->list, page_of(d), x, y, s->face, style->size, text,
                                        len + space);
    t->colour = style->colour;
    if (s->kind != RUN_TEXT)
        remember_number(d, s->kind);
    if (s->link != NULL && s->link[0] != '\0')
        page_add_link(d->r->list, page_of(d), x, y - link_below, x + width, y + style->size,
                      s->link);
    return width;
}

static double line_x(const struct lines *l, const struct line *line, double x)
{
    switch (l->align) {
    case ALIGN_RIGHT:
        return x + l->width - line->width;
    case ALIGN_CENTER:
        return x + (l->width - line->width) / 2;
    case ALIGN_DECIMAL:
        return x + (l->decimal > 0 ? l->decimal : l->width - line->width);
    case ALIGN_LEFT:
        break;
    }
    return x;
}

/* Who copies or listens gets a space where a line ends between words, and after a label, so that
 * no two numbers run into one. */
static bool needs_space(const struct lines *l, size_t index)
{
    if (index + 1 == l->n)
        return l->before_text;
    char next = l->text[l->line[index].to];
    return next == ' ' || next == '\n';
}

static void draw_rule(struct drawing *d, double x, double y, double width, double thickness,
                      struct colour colour)
{
    begin_artifact(d);
    page_add_line(d->r->list, page_of(d), x, y, x + width, y, thickness, colour);
    end_artifact(d);
}

/* A place stands with the word after it. */
static void set_places(struct drawing *d, const struct lines *l, size_t index, double top)
{
    for (const struct named_place *p = l->places; p != NULL; p = p->next) {
        bool after = index == 0 || p->at >= l->line[index - 1].to;
        if (after && (p->at < l->line[index].to || index + 1 == l->n))
            place_set(d->r, p->name, d->page, top);
    }
}

static void draw_line(struct drawing *d, const struct lines *l, size_t index, double x, double top)
{
    const struct line *line = &l->line[index];
    set_places(d, l, index, top);
    if (l->mark != NULL && index == 0 && !d->artifact)
        mark_set(d->r, l->mark_kind, l->mark, d->page);
    if (l->answer.ruled)
        draw_rule(d, x, top - line->leading + hairline / 2, l->width, hairline, colour_black);
    if (l->answer.hidden)
        return;
    double at = line_x(l, line, x), y = top - line->baseline;
    const struct span *last = NULL;
    for (size_t i = 0; i < l->n_spans && l->spans[i].from < line->to; i++) {
        if (l->spans[i].to <= line->from)
            continue;
        bool ends = i + 1 == l->n_spans || l->spans[i + 1].from >= line->to;
        at += draw_slice(d, l, &l->spans[i], line->from, line->to, ends && needs_space(l, index),
                         at, y);
        last = &l->spans[i];
    }
    if (line->hyphen && last != NULL) {
        struct page_text *t = page_add_text(d->r->list, page_of(d), at, y, last->face,
                                            last->style->size, "-", 1);
        t->colour = last->style->colour;
    }
    if (l->level > 0 && index == 0 && !d->artifact) {
        struct buf title;
        buf_init(&title, TEXT_MAX_BYTES * 2);
        for (const char *s = l->text; *s != '\0'; s++)
            buf_addc(&title, *s == '\n' ? ' ' : *s);
        page_add_bookmark(d->r->list, d->page, top, l->level, buf_text(&title));
        buf_release(&title);
    }
}

/* Under all else of the row, and light enough for black letters in print. */
static void draw_shade(struct drawing *d, const struct row *row, double x, double bottom,
                       double height)
{
    const struct colour light = colour_grey(0.92);
    begin_artifact(d);
    page_add_rect(d->r->list, page_of(d), x + row->rule_x, bottom - row->shade_out,
                  row->rule_width, height + 2 * row->shade_out, &light, NULL, 0);
    end_artifact(d);
}

static void draw_row(struct drawing *d, const struct strip *s, double x, double top, bool first)
{
    const struct row *row = s->row;
    if (row == NULL)
        return;
    double bottom = top - s->height;
    if (row->shaded)
        draw_shade(d, row, x, bottom, s->height);
    if (row->rule_above > 0 && !first)
        draw_rule(d, x + row->rule_x, top - row->rule_above / 2, row->rule_width, row->rule_above,
                  colour_black);
    if (row->frame) {
        begin_artifact(d);
        page_add_rect(d->r->list, page_of(d), x + row->rule_x, bottom, row->rule_width, s->height,
                      NULL, &colour_black, hairline);
        end_artifact(d);
    }
    for (int i = 0; i < row->n; i++) {
        const struct cell *cell = &row->cells[i];
        if (cell->tag != NULL && cell->from == cell->to)
            draw_tag(d, cell->tag); /* an empty cell still counts as one of its row */
        if (cell->items != NULL && cell->from < cell->to)
            draw_strips(d, cell->items, cell->from, cell->to, x + cell->x,
                        top - row->pad_above - cell->shift);
    }
    draw_tag(d, s->tag);
    if (row->rule_below > 0)
        draw_rule(d, x + row->rule_x, bottom + row->rule_below / 2, row->rule_width,
                  row->rule_below, colour_black);
}

static void draw_strip(struct drawing *d, const struct strip *s, double x, double top, bool first)
{
    draw_tag(d, s->tag);
    switch (s->kind) {
    case STRIP_LINE:
        if (s->marker != NULL)
            draw_line(d, s->marker, 0, x + s->marker_x - s->x, top);
        draw_line(d, s->lines, s->line, x, top);
        break;
    case STRIP_ROW:
        draw_row(d, s, x, top, first);
        break;
    case STRIP_RULE:
        draw_rule(d, x, top - s->height + s->thickness / 2, s->width, s->thickness, s->colour);
        break;
    case STRIP_FIGURE:
        draw_figure(d, s->figure, x, top - s->height, s->width, s->height);
        break;
    case STRIP_IMAGE:
        draw_image(d, s->figure, x, top - s->height, s->width, s->height);
        break;
    }
}

/* Head and group head again, with their tags: elements do not go over a page, so what follows is a
 * table of its own to a program that reads aloud, and one without heads is not understood. */
static double draw_repeated(struct drawing *d, const struct strip *s, double x, double top)
{
    const struct table_run *run = s->table;
    double at = top;
    for (size_t i = 0; i < run->n_head; i++) {
        at -= i > 0 ? run->head[i].above : 0;
        draw_strip(d, &run->head[i], x + run->head[i].x, at, i == 0);
        at -= run->head[i].height;
    }
    if (run->groups != NULL && s->group >= 0 && !s->group_head) {
        draw_strip(d, &run->groups[s->group], x + run->groups[s->group].x, at, true);
        at -= run->groups[s->group].height;
    }
    return at - s->above;
}

/* What a table says below its rows on every page but its last. */
static void draw_foot(struct drawing *d, const struct table_run *run, double x, double top)
{
    for (size_t i = 0; i < run->n_foot; i++) {
        top -= run->foot[i].above;
        draw_strip(d, &run->foot[i], x + run->foot[i].x, top, false);
        top -= run->foot[i].height;
    }
}

void draw_strips(struct drawing *d, const struct strip *items, size_t from, size_t to, double x,
                 double top)
{
    for (size_t i = from; i < to; i++) {
        bool first = i == from;
        if (first && strip_repeats(items, i) > 0) {
            draw_tag(d, items[i].tag != NULL ? items[i].tag->parent : NULL);
            top = draw_repeated(d, &items[i], x, top);
        }
        top -= strip_lead(items, i, first);
        draw_strip(d, &items[i], x + items[i].x, top, first);
        top -= items[i].height;
    }
    if (from < to && strip_foot(&items[to - 1]) > 0)
        draw_foot(d, items[to - 1].table, x, top);
}
