/*
 * Strips onto sheets: each page element is bound, measured for its width and cut into sheets.
 * Running heads and feet take their room beforehand and are set at the very end, when the number
 * of pages is known, so one pass over the data is enough.
 */
#include "layout/layout_int.h"

#include <math.h>
#include <string.h>

static const double sizes[][2] = {{612, 792}, {595.276, 841.89}};
static const double default_margin = 51.02; /* 18 mm */
static const size_t widest_number = 8888;   /* what page numbers have room for in running heads */
static const double least_body = 1;         /* pt; less is no page */
static const double least_part = 24;        /* pt of a split row worth starting on a page */

static void set_geometry(const struct node *node, struct section *s)
{
    const struct attr *margins = node_attr(node, AT_MARGINS);
    const double *size = sizes[node_choice(node, AT_SIZE, 0)];
    bool landscape = node_choice(node, AT_ORIENTATION, 0) == 1;
    s->width = node_number(node, AT_WIDTH, size[landscape]);
    s->height = node_number(node, AT_HEIGHT, size[!landscape]);
    for (int i = 0; i < 4; i++)
        s->margins[i] = margins != NULL ? margins->margins[i] : default_margin;
}

static double inner_width(const struct section *s)
{
    return s->width - s->margins[1] - s->margins[3];
}

static bool stands_on(const struct head_box *head, bool first)
{
    return head->on == 0 || (head->on == 1) == first;
}

/* Height of the running heads (or feet) of a sheet, with the gap to the body. */
static double running_height(struct render *r, const struct section *s, bool foot, bool first)
{
    double height = 0;
    r->number = r->count = widest_number;
    r->marked_page = SIZE_MAX;
    for (const struct head_box *head = s->heads; head != NULL; head = head->next) {
        struct strips strips = {0};
        if (head->foot != foot || !stands_on(head, first))
            continue;
        measure(r, head->boxes, 0, inner_width(s), NULL, &strips);
        if (strips.n == 0)
            continue;
        height += strips_height(strips.items, 0, strips.n) + strips.extra;
        height += foot ? strips.items[0].above : strips.below;
    }
    r->number = r->count = 0;
    return height;
}

static double body_height(const struct section *s, bool first)
{
    return s->height - s->margins[0] - s->margins[2] - s->head_height[!first] -
           s->foot_height[!first];
}

static size_t add_sheet(struct render *r, const struct section *s, bool first)
{
    if (r->n_sheets == r->cap_sheets) {
        r->cap_sheets = r->cap_sheets == 0 ? 8 : r->cap_sheets * 2;
        r->sheets = mem_resize(r->sheets, r->cap_sheets * sizeof(*r->sheets));
    }
    page_add(r->list, s->width, s->height);
    r->sheets[r->n_sheets++] = (struct sheet){r->list->n - 1, s, first};
    return r->list->n - 1;
}

/* Where in the template and the data a strip that does not fit comes from. */
static void refuse(struct render *r, const struct section *s, const struct strip *strip,
                   double height)
{
    r->at = s->node;
    if (strip->kind == STRIP_FIGURE || strip->kind == STRIP_IMAGE)
        r->at = strip->figure->node;
    else if (strip->kind == STRIP_LINE)
        r->at = strip->lines->node;
    else if (strip->table != NULL)
        r->at = strip->row->cells[0].items != NULL && strip->row->cells[0].items[0].lines != NULL
                    ? strip->row->cells[0].items[0].lines->node
                    : s->node;
    render_error(r, DIAG_LAYOUT_FIT, "%.1f pt high on a page that leaves %.1f pt", strip->height,
                 height);
}

struct flow {
    struct render *r;
    const struct section *section;
    struct strip *items;
    size_t n, from;
    bool first;                /* sheet of the section */
};

static bool split_at(struct flow *f, size_t k, double room)
{
    struct strip head, tail;
    if (!strip_split(f->r, &f->items[k], room, &head, &tail))
        return false;
    f->items = strips_replace(f->r, f->items, f->n, k, &head, &tail);
    f->n++;
    return true;
}

/* What the repeated head takes when a page starts with a strip; a head of more than half a page is
 * not worth repeating. */
static double head_of(const struct flow *f, size_t k, double height)
{
    double repeats = strip_repeats(f->items, k);
    return repeats > height / 2 ? 0 : repeats;
}

/* When not even the first strip fits: without the repeated head, or in two parts. */
static bool make_room(struct flow *f, double height)
{
    struct strip *s = &f->items[f->from];
    double repeats = strip_repeats(f->items, f->from);
    double lead = strip_lead(f->items, f->from, true), foot = strip_foot_inside(s);
    if (foot > 0 && repeats + lead + s->height <= height) {
        s->no_foot = true;
        return true;
    }
    if (repeats > 0 && head_of(f, f->from, height) == 0) {
        s->no_repeat = true;
        return true;
    }
    if (split_at(f, f->from, height - repeats - lead - foot))
        return true;
    if (repeats > 0) {
        s->no_repeat = true;
        return true;
    }
    /* Space asked for at the top of a page gives way before anything is refused. */
    if (lead > 0) {
        s->extra = 0;
        return true;
    }
    refuse(f->r, f->section, s, height);
    return false;
}

/* A row taller than any page starts where it stands if a fair part of it fits there. */
static size_t take_part(struct flow *f, size_t to, double height)
{
    if (to == f->n || f->items[to].penalty == BREAK_FORCED)
        return to;
    double page = body_height(f->section, false);
    if (f->items[to].height <= page - head_of(f, to, page))
        return to;
    double used = strips_height(f->items, f->from, to) - strip_foot(&f->items[to - 1]);
    double room = height - used - strip_lead(f->items, to, false) -
                  strip_foot_inside(&f->items[to]);
    return room >= least_part && split_at(f, to, room) ? to + 1 : to;
}

static bool next_sheet(struct flow *f)
{
    double height = body_height(f->section, f->first);
    size_t to = f->from;
    while (f->from < f->n && (to = strips_fill(f->items, f->from, f->n, height)) == f->from) {
        if (!make_room(f, height))
            return false;
    }
    if (f->from < f->n)
        to = take_part(f, to, height);
    struct drawing d = {.r = f->r};
    d.page = add_sheet(f->r, f->section, f->first);
    const struct section *s = f->section;
    draw_strips(&d, f->items, f->from, to, s->margins[3],
                s->height - s->margins[0] - s->head_height[!f->first]);
    draw_tag(&d, NULL);
    f->from = to;
    f->first = false;
    return true;
}

static void flow_page(struct render *r, const struct node *node, void *user)
{
    (void)user;
    if (node->element != EL_PAGE || r->failed)
        return;
    struct section *s = arena_alloc(r->arena, sizeof(*s));
    struct strips strips = {0};
    s->node = node;
    set_geometry(node, s);
    struct box *boxes = bind_page(r, node, s);
    if (r->failed)
        return;
    for (int rest = 0; rest < 2; rest++) {
        s->head_height[rest] = running_height(r, s, false, rest == 0);
        s->foot_height[rest] = running_height(r, s, true, rest == 0);
    }
    r->body_height = fmax(body_height(s, true), body_height(s, false));
    if (fmin(body_height(s, true), body_height(s, false)) < least_body ||
        inner_width(s) < least_body) {
        r->at = node;
        render_error(r, DIAG_LAYOUT_FIT, "margins, running heads and feet leave %.1f x %.1f pt",
                     inner_width(s), fmin(body_height(s, true), body_height(s, false)));
        return;
    }
    measure(r, boxes, 0, inner_width(s), NULL, &strips);
    struct flow f = {r, s, strips.items, strips.n, 0, true};
    size_t before = r->n_sheets;
    while (!r->failed && (f.first || f.from < f.n)) {
        if (!next_sheet(&f))
            break;
    }
    double most = node_number(node, AT_PAGES, HUGE_VAL);
    if (!r->failed && (double)(r->n_sheets - before) > most) {
        r->at = node;
        render_error(r, DIAG_LAYOUT_PAGES, "%zu pages where pages=\"%.0f\"", r->n_sheets - before,
                     most);
    }
}

/* Room was kept for the widest of what pages are about; should a mix of them need more lines, it
 * must not run into the body or off the sheet. */
static void check_running(struct render *r, const struct section *s, const struct sheet *sheet,
                          double head, double foot_bottom)
{
    double over = fmax(head - s->head_height[!sheet->first], s->margins[2] - foot_bottom);
    if (over <= 0.1)
        return;
    r->at = s->node;
    render_error(r, DIAG_LAYOUT_FIT, "a running head or foot %.1f pt higher than the room kept for "
                 "it", over);
}

/* Heads from the top margin down, feet so that they end at the bottom margin. */
static void set_running(struct render *r, const struct sheet *sheet)
{
    const struct section *s = sheet->section;
    struct drawing d = {.r = r, .page = sheet->page, .artifact = true};
    double top = s->height - s->margins[0];
    double foot_top = s->margins[2] + s->foot_height[!sheet->first];
    for (const struct head_box *head = s->heads; head != NULL; head = head->next) {
        struct strips strips = {0};
        double *at = head->foot ? &foot_top : &top;
        if (!stands_on(head, sheet->first))
            continue;
        measure(r, head->boxes, 0, inner_width(s), NULL, &strips);
        if (strips.n == 0)
            continue;
        if (head->foot)
            *at -= strips.items[0].above;
        page_tag_begin(r->list, &r->list->pages[d.page], "Artifact", NULL);
        draw_strips(&d, strips.items, 0, strips.n, s->margins[3], *at);
        page_tag_end(r->list, &r->list->pages[d.page]);
        *at -= strips_height(strips.items, 0, strips.n) + strips.extra;
        if (!head->foot)
            *at -= strips.below;
    }
    check_running(r, s, sheet, s->height - s->margins[0] - top, foot_top);
}

static void put_numbers(struct render *r)
{
    for (size_t i = 0; i < r->n_fixups; i++) {
        const struct fixup *f = &r->fixups[i];
        struct page_text *t = &r->list->pages[f->page].items[f->item].u.text;
        size_t number = f->kind == RUN_PAGE_NUMBER ? f->page + 1 : r->list->n;
        bool space = t->len > 0 && t->text[t->len - 1] == ' ';
        t->text = arena_printf(r->list->arena, "%zu%s", number, space ? " " : "");
        t->len = strlen(t->text);
    }
}

void flow_document(struct render *r)
{
    bind_walk(r, r->t->content, flow_page, NULL);
    if (r->failed)
        return;
    places_check_links(r);
    if (r->failed)
        return;
    put_numbers(r);
    r->count = r->list->n;
    for (size_t i = 0; i < r->n_sheets && !r->failed; i++) {
        r->number = r->sheets[i].page + 1;
        r->marked_page = r->sheets[i].page;
        set_running(r, &r->sheets[i]);
    }
}
