/*
 * Strips: the vertical list that pages are cut from. Each knows its height, the gap above it and
 * how unwelcome a page end before it would be. A page takes as many as fit and ends at the least
 * unwelcome place; what is taller than a page is split, so that nothing is ever lost.
 */
#include "layout/layout_int.h"

#include <string.h>

static const double slack = 0.01;       /* pt */

struct strip *strips_add(struct render *r, struct strips *s, enum strip_kind kind, double above,
                         double height, double below)
{
    if (s->n == s->cap) {
        s->cap = s->cap == 0 ? 8 : s->cap * 2;
        s->items = arena_grow(r->arena, s->items, s->n * sizeof(*s->items),
                              s->cap * sizeof(*s->items));
    }
    struct strip *strip = &s->items[s->n++];
    memset(strip, 0, sizeof(*strip));
    strip->kind = kind;
    strip->penalty = s->next;
    strip->above = above > s->below ? above : s->below;
    strip->extra = s->extra;
    strip->height = height;
    strip->group = -1;
    s->below = below;
    s->extra = 0;
    s->next = BREAK_FREE;
    return strip;
}

double strip_lead(const struct strip *items, size_t i, bool first)
{
    if (!first)
        return items[i].above + items[i].extra;
    return i == 0 || items[i].penalty == BREAK_FORCED ? items[i].extra : 0;
}

double strips_height(const struct strip *items, size_t from, size_t to)
{
    double height = from < to ? strip_repeats(items, from) : 0;
    for (size_t i = from; i < to; i++)
        height += strip_lead(items, i, i == from) + items[i].height;
    return height + (from < to ? strip_foot(&items[to - 1]) : 0);
}

double strip_foot_inside(const struct strip *s)
{
    return s->table != NULL && !s->no_foot ? s->table->foot_height : 0;
}

double strip_foot(const struct strip *s)
{
    return s->table_ends ? 0 : strip_foot_inside(s);
}

double strip_repeats(const struct strip *items, size_t from)
{
    const struct strip *s = &items[from];
    if (s->table == NULL || !s->table->repeat || s->no_repeat || (from == 0 && !s->continued))
        return 0;
    double height = 0;
    for (size_t i = 0; i < s->table->n_head; i++)
        height += (i > 0 ? s->table->head[i].above : 0) + s->table->head[i].height;
    if (s->table->groups != NULL && s->group >= 0 && !s->group_head)
        height += s->table->groups[s->group].height;
    /* What stands first on a page has no gap above; below a head it keeps its own. */
    return height > 0 ? height + s->above : 0;
}

void strips_lines(struct render *r, struct strips *s, const struct lines *lines, double x,
                  const struct tag *tag, double above, double below)
{
    enum { TOGETHER = 2 }; /* lines at least at the end and at the start of a page */
    for (size_t i = 0; i < lines->n; i++) {
        bool lonely = i > 0 && (i < TOGETHER || lines->n - i < TOGETHER);
        struct strip *strip = strips_add(r, s, STRIP_LINE, i == 0 ? above : 0,
                                         lines->line[i].leading, i + 1 == lines->n ? below : 0);
        strip->x = x;
        strip->tag = tag;
        strip->lines = lines;
        strip->line = i;
        if (lonely)
            strip->penalty = BREAK_LINES;
    }
}

struct tag *tag_new(struct render *r, const struct tag *parent, const char *role, const char *alt)
{
    struct tag *tag = arena_alloc(r->arena, sizeof(*tag));
    *tag = (struct tag){parent, role, alt, parent != NULL ? parent->depth + 1 : 1};
    return tag;
}

void cell_fill(struct cell *cell, const struct strips *s)
{
    cell->items = s->items;
    cell->from = 0;
    cell->to = s->n;
    cell->tail = s->extra;
}

void cell_lines(struct render *r, struct cell *cell, const struct lines *lines,
                const struct tag *tag)
{
    cell->items = arena_alloc(r->arena, lines->n * sizeof(*cell->items));
    cell->from = 0;
    cell->to = lines->n;
    for (size_t i = 0; i < lines->n; i++) {
        cell->items[i].kind = STRIP_LINE;
        cell->items[i].height = lines->line[i].leading;
        cell->items[i].lines = lines;
        cell->items[i].line = i;
        cell->items[i].tag = tag;
        cell->items[i].group = -1;
    }
}

static double first_baseline(const struct cell *cell)
{
    const struct strip *s = &cell->items[cell->from];
    return cell->from < cell->to && s->kind == STRIP_LINE ? s->lines->line[s->line].baseline : 0;
}

static double cell_height(const struct cell *cell)
{
    return cell->shift + strips_height(cell->items, cell->from, cell->to) + cell->tail;
}

double row_finish(struct row *row, bool share_baseline)
{
    double baseline = 0, height = 0;
    for (int i = 0; i < row->n && share_baseline; i++) {
        double b = row->cells[i].items != NULL ? first_baseline(&row->cells[i]) : 0;
        baseline = b > baseline ? b : baseline;
    }
    for (int i = 0; i < row->n; i++) {
        struct cell *cell = &row->cells[i];
        double own = share_baseline && cell->items != NULL ? first_baseline(cell) : 0;
        cell->shift = own > 0 ? baseline - own : 0;
        double h = cell->items != NULL ? cell_height(cell) : cell->tail;
        height = h > height ? h : height;
    }
    return row->pad_above + height + row->pad_below;
}

/* Among the places where the page may end, the least unwelcome, and of these the latest; `from`
 * when there is none. A table that goes on needs room for its foot. `used`: what stands before
 * `last`. */
static size_t best_break(const struct strip *items, size_t from, size_t last, double used,
                         double height)
{
    size_t best = from;
    for (size_t i = last; i > from; i--) {
        bool fits = used + strip_foot(&items[i - 1]) <= height + slack;
        if (fits && (best == from || items[i].penalty < items[best].penalty))
            best = i;
        if (best != from && items[best].penalty == BREAK_FREE)
            break;
        used -= strip_lead(items, i - 1, i - 1 == from) + items[i - 1].height;
    }
    return best;
}

size_t strips_fill(const struct strip *items, size_t from, size_t to, double height)
{
    double used = from < to ? strip_repeats(items, from) : 0;
    for (size_t i = from; i < to; i++) {
        if (i > from && items[i].penalty == BREAK_FORCED)
            return i;
        double own = strip_lead(items, i, i == from) + items[i].height;
        if (used + own > height + slack)
            return best_break(items, from, i, used, height);
        used += own;
    }
    return to;
}

struct strip *strips_replace(struct render *r, const struct strip *items, size_t n, size_t k,
                             const struct strip *head, const struct strip *tail)
{
    struct strip *out = arena_alloc(r->arena, (n + 1) * sizeof(*out));
    memcpy(out, items, k * sizeof(*out));
    out[k] = *head;
    out[k + 1] = *tail;
    memcpy(out + k + 2, items + k + 1, (n - k - 1) * sizeof(*out));
    return out;
}

/* Cuts one cell; gives whether anything of it stands in the first part. */
static bool cell_split(struct render *r, const struct cell *cell, double height, struct cell *head,
                       struct cell *tail)
{
    *head = *tail = *cell;
    head->tail = 0;
    if (cell->items == NULL || cell->from == cell->to)
        return false;
    size_t cut = strips_fill(cell->items, cell->from, cell->to, height);
    if (cut == cell->from) {
        struct strip first, rest;
        double room = height - strip_repeats(cell->items, cut) -
                      strip_lead(cell->items, cut, true) - strip_foot_inside(&cell->items[cut]);
        if (strip_split(r, &cell->items[cut], room, &first, &rest)) {
            head->items = tail->items =
                strips_replace(r, cell->items, cell->to, cut, &first, &rest);
            tail->to = cell->to + 1;
            cut++;
        }
    }
    head->to = tail->from = cut;
    tail->shift = 0;
    return cut > cell->from;
}

bool strip_split(struct render *r, const struct strip *s, double height, struct strip *head,
                 struct strip *tail)
{
    if (s->kind != STRIP_ROW)
        return false;
    const struct row *row = s->row;
    struct row *a = arena_alloc(r->arena, sizeof(*a)), *b = arena_alloc(r->arena, sizeof(*b));
    bool any = false;
    *a = *b = *row;
    a->cells = arena_alloc(r->arena, (size_t)row->n * sizeof(*a->cells));
    b->cells = arena_alloc(r->arena, (size_t)row->n * sizeof(*b->cells));
    for (int i = 0; i < row->n; i++) {
        double room = height - row->pad_above - row->pad_below - row->cells[i].shift;
        any = cell_split(r, &row->cells[i], room, &a->cells[i], &b->cells[i]) || any;
    }
    a->rule_below = 0;
    b->rule_above = 0;
    *head = *tail = *s;
    head->row = a;
    head->table_ends = false;
    tail->row = b;
    head->height = row->pad_above + row->pad_below;
    for (int i = 0; i < row->n; i++) {
        const struct cell *cell = &a->cells[i];
        double h = row->pad_above + row->pad_below +
                   (cell->items != NULL ? cell_height(cell) : 0);
        head->height = h > head->height ? h : head->height;
    }
    tail->height = row_finish(b, false);
    tail->penalty = BREAK_FREE;
    tail->above = tail->extra = 0;
    tail->continued = true;
    return any;
}
