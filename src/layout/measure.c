/* Boxes set for a width: paragraphs into lines, lists, facts, grids and columns into rows, all of
 * them strips in the order of reading. */
#include "layout/layout_int.h"

#include <math.h>
#include <string.h>

/* pt; what stands between the parts of a block, in the template only where it differs */
static const double hairline = 0.4;
static const double facts_gap = 16, label_gap = 10, label_share = 0.45;
static const double least_pair = 80; /* narrower pairs stand one under the other */
static const double grid_gap = 12, columns_gap = 16;
static const double marker_gap = 5, frame_padding = 6;
static const double least_room = 1;
static const double rule_space = 4, figure_space = 4;
static const double signature_width = 170, signature_room = 26;


static const char *para_role(const struct box *box)
{
    static const char *const roles[] = {"P", "H1", "H2", "H3"};
    return roles[box->level];
}

static void measure_framed(struct render *r, const struct box *box, struct lines *lines, double x,
                           double width, const struct tag *tag, struct strips *out)
{
    struct strips inside = {0};
    struct row *row = arena_alloc(r->arena, sizeof(*row));
    row->cells = arena_alloc(r->arena, sizeof(*row->cells));
    row->n = 1;
    row->frame = true;
    row->pad_above = row->pad_below = row->cells[0].x = frame_padding;
    row->rule_width = width;
    inline_break(r, lines, width - 2 * frame_padding);
    strips_lines(r, &inside, lines, 0, tag, 0, 0);
    cell_fill(&row->cells[0], &inside);
    struct strip *strip = strips_add(r, out, STRIP_ROW, box->style->above,
                                     row_finish(row, false), box->style->below);
    strip->x = x;
    strip->row = row;
    strip->tag = tag;
}

/* An answer has at least so many lines to write on, whether its words need them or not. */
static void more_lines(struct render *r, const struct box *box, const struct lines *lines,
                       double x, double width, const struct tag *tag, struct strips *out)
{
    for (size_t i = lines->n; i < box->answer.least; i++) {
        struct strip *strip = strips_add(r, out, STRIP_RULE, 0, box->style->leading,
                                         box->style->below);
        strip->penalty = BREAK_LINES;
        strip->above = 0;
        strip->x = x;
        strip->width = width;
        strip->thickness = hairline;
        strip->tag = tag;
    }
}

static void measure_para(struct render *r, const struct box *box, double x, double width,
                         const struct tag *parent, struct strips *out)
{
    const struct style *style = box->style;
    struct lines *lines = inline_prepare(r, box->text);
    const struct tag *tag = tag_new(r, parent, para_role(box), NULL);
    lines->level = box->level;
    if (box->level > 0) {
        lines->mark = lines->text;
        lines->mark_kind = box->level - 1;
    }
    lines->answer = box->answer;
    x += style->indent;
    width -= style->indent;
    if (box->framed) {
        measure_framed(r, box, lines, x, width, tag, out);
    } else {
        inline_break(r, lines, width);
        strips_lines(r, out, lines, x, tag, style->above, style->below);
        more_lines(r, box, lines, x, width, tag, out);
    }
    if (box->keep_next)
        out->next = BREAK_NEXT;
}

static void measure_list(struct render *r, const struct box *box, double x, double width,
                         const struct tag *parent, struct strips *out)
{
    const struct style *style = box->style;
    const struct tag *list = tag_new(r, parent, "L", NULL);
    double marker_width = 0;
    size_t n = 0;
    for (const struct box *item = box->children; item != NULL; item = item->next)
        n++;
    struct lines **markers = arena_alloc(r->arena, n * sizeof(struct lines *));
    n = 0;
    for (const struct box *item = box->children; item != NULL; item = item->next, n++) {
        if (item->label == NULL)
            continue;
        markers[n] = inline_prepare(r, item->label);
        markers[n]->before_text = true;
        inline_break(r, markers[n], width);
        marker_width = fmax(marker_width, markers[n]->full + marker_gap);
    }
    double left = style->indent + marker_width;
    n = 0;
    for (const struct box *item = box->children; item != NULL; item = item->next, n++) {
        struct lines *lines = inline_prepare(r, item->text);
        const struct tag *tag = tag_new(r, list, "LI", NULL);
        size_t first = out->n;
        inline_break(r, lines, width - left);
        strips_lines(r, out, lines, x + left, tag, n == 0 ? style->above : 0,
                     item->next == NULL ? style->below : style->below / 2);
        out->items[first].marker = markers[n];
        out->items[first].marker_x = x + style->indent;
    }
}

struct pair {
    struct lines *label, *value;
};

static void fact_cells(struct render *r, struct row *row, const struct pair *pair, double x,
                       double label_width, double width, const struct tag *parent)
{
    const struct tag *tag = tag_new(r, parent, "P", NULL);
    struct cell *label = &row->cells[row->n++], *value = &row->cells[row->n++];
    label->x = x;
    label->width = label_width;
    value->x = x + label_width + label_gap;
    value->width = width - label_width - label_gap;
    if (pair->label != NULL) {
        inline_break(r, pair->label, label->width);
        pair->label->before_text = true;
        cell_lines(r, label, pair->label, tag);
    }
    if (pair->value != NULL) {
        inline_break(r, pair->value, value->width);
        cell_lines(r, value, pair->value, tag);
    }
}

static void measure_facts(struct render *r, const struct box *box, double x, double width,
                          const struct tag *parent, struct strips *out)
{
    size_t columns = (size_t)node_number(box->node, AT_COLUMNS, 1), n = 0;
    double gap = node_number(box->node, AT_GAP, facts_gap);
    double pair_width = (width - (double)(columns - 1) * gap) / (double)columns;
    for (; columns > 1 && pair_width < least_pair; columns--)
        pair_width = (width - (double)(columns - 2) * gap) / (double)(columns - 1);
    if (!measure_room(r, box->node, pair_width))
        return;
    for (const struct box *fact = box->children; fact != NULL; fact = fact->next)
        n++;
    struct pair *pairs = arena_alloc(r->arena, n * sizeof(*pairs));
    double *label_widths = arena_alloc(r->arena, columns * sizeof(*label_widths));
    n = 0;
    for (const struct box *fact = box->children; fact != NULL; fact = fact->next, n++) {
        pairs[n].label = fact->label != NULL ? inline_prepare(r, fact->label) : NULL;
        pairs[n].value = fact->text != NULL ? inline_prepare(r, fact->text) : NULL;
        double w = pairs[n].label != NULL ? pairs[n].label->full : 0;
        double *most = &label_widths[n % columns];
        *most = fmin(fmax(*most, w), pair_width * label_share);
    }
    for (size_t i = 0; i < n; i += columns) {
        struct row *row = arena_alloc(r->arena, sizeof(*row));
        row->cells = arena_alloc(r->arena, columns * 2 * sizeof(*row->cells));
        for (size_t c = 0; c < columns && i + c < n; c++)
            fact_cells(r, row, &pairs[i + c], (double)c * (pair_width + gap), label_widths[c],
                       pair_width, parent);
        struct strip *strip = strips_add(r, out, STRIP_ROW, i == 0 ? box->style->above : 0,
                                         row_finish(row, true), box->style->below);
        strip->x = x;
        strip->row = row;
        strip->tag = parent;
    }
}

static struct strip *add_row(struct render *r, struct row *row, double x, double above,
                             const struct tag *tag, struct strips *out)
{
    struct strip *strip = strips_add(r, out, STRIP_ROW, above, row_finish(row, false), 0);
    strip->x = x;
    strip->row = row;
    strip->tag = tag;
    return strip;
}

static void fill_cell(struct render *r, struct cell *cell, const struct box *box, double x,
                      double width, const struct tag *tag)
{
    struct strips inside = {0};
    cell->x = x;
    cell->width = width;
    measure(r, box->children, 0, width, tag, &inside);
    cell_fill(cell, &inside);
}

static void measure_grid(struct render *r, const struct box *box, double x, double width,
                         const struct tag *tag, struct strips *out)
{
    int columns = (int)node_number(box->node, AT_COLUMNS, 1);
    double gap = node_number(box->node, AT_GAP, grid_gap);
    double cell_width = (width - (columns - 1) * gap) / columns;
    const struct box *item = box->children;
    for (bool first = true; item != NULL; first = false) {
        struct row *row = arena_alloc(r->arena, sizeof(*row));
        row->cells = arena_alloc(r->arena, (size_t)columns * sizeof(*row->cells));
        for (; row->n < columns && item != NULL; item = item->next, row->n++)
            fill_cell(r, &row->cells[row->n], item, row->n * (cell_width + gap), cell_width, tag);
        add_row(r, row, x, first ? 0 : gap, tag, out);
    }
    out->below = figure_space;
}

static void measure_columns(struct render *r, const struct box *box, double x, double width,
                            const struct tag *tag, struct strips *out)
{
    double gap = node_number(box->node, AT_GAP, columns_gap), widths[TABLE_COLUMNS_MAX];
    struct column_need need[TABLE_COLUMNS_MAX];
    int n = 0;
    for (const struct box *c = box->children; c != NULL && n < TABLE_COLUMNS_MAX; c = c->next) {
        need[n] = (struct column_need){c->width, 0, 0, 0};
        if (c->width.kind == WIDTH_AUTO)
            need[n].width = (struct width){WIDTH_SHARE, 1};
        n++;
    }
    table_widths(need, n, width - (n - 1) * gap, false, widths);
    struct row *row = arena_alloc(r->arena, sizeof(*row));
    row->cells = arena_alloc(r->arena, (size_t)n * sizeof(*row->cells));
    double left = 0;
    for (const struct box *c = box->children; c != NULL && row->n < n; c = c->next) {
        fill_cell(r, &row->cells[row->n], c, left, widths[row->n], tag);
        left += widths[row->n++] + gap;
    }
    add_row(r, row, x, 0, tag, out);
}

/* No page ends inside unless the whole is taller than a page. */
static void measure_keep(struct render *r, const struct box *box, double x, double width,
                         const struct tag *tag, struct strips *out)
{
    size_t from = out->n;
    measure(r, box->children, x, width, tag, out);
    if (strips_height(out->items, from, out->n) > r->body_height)
        return;
    for (size_t i = from + 1; i < out->n; i++) {
        if (out->items[i].penalty < BREAK_KEEP)
            out->items[i].penalty = BREAK_KEEP;
    }
}

static struct strip *add_rule(struct render *r, struct strips *out, double x, double width,
                              double above, double height, double below, const struct node *node)
{
    struct strip *strip = strips_add(r, out, STRIP_RULE, above, height, below);
    strip->x = x;
    strip->width = width;
    strip->thickness = node->element == EL_RULE ? node_number(node, AT_WIDTH, hairline) : hairline;
    strip->colour = colour_grey(node_number(node, AT_GREY, 0));
    return strip;
}

static void measure_signature(struct render *r, const struct box *box, double x, double width,
                              const struct tag *parent, struct strips *out)
{
    double w = fmin(width, node_number(box->node, AT_WIDTH, signature_width));
    add_rule(r, out, x, w, 0, signature_room, 2, box->node)->tag = parent;
    if (box->text == NULL)
        return;
    struct lines *lines = inline_prepare(r, box->text);
    inline_break(r, lines, w);
    out->next = BREAK_NEXT;
    strips_lines(r, out, lines, x, tag_new(r, parent, "P", NULL), 0, box->style->below);
}

static void measure_figure(struct render *r, const struct box *box, double x, double width,
                           const struct tag *parent, struct strips *out)
{
    const char *kind = node_attr(box->node, AT_KIND)->plain;
    double w = fmin(width, node_number(box->node, AT_WIDTH, width));
    double height = figure_height(kind, box->params, box->n_params, w);
    if (!(height > 0)) {
        r->at = box->node;
        render_error(r, DIAG_LAYOUT_FIGURE, "kind %s, %.1f pt wide", kind, w);
        return;
    }
    struct strip *strip = strips_add(r, out, STRIP_FIGURE, 0, height, figure_space);
    strip->x = x;
    strip->width = w;
    strip->figure = box;
    strip->tag = tag_new(r, parent, "Figure", box->alt);
}

bool measure_room(struct render *r, const struct node *node, double width)
{
    if (width >= least_room)
        return true;
    r->at = node;
    render_error(r, DIAG_LAYOUT_FIT, "a place %.1f pt wide", width);
    return false;
}

void measure(struct render *r, const struct box *boxes, double x, double width,
             const struct tag *tag, struct strips *out)
{
    if (boxes == NULL || !measure_room(r, boxes->node, width))
        return;
    for (const struct box *box = boxes; box != NULL; box = box->next) {
        const struct node *node = box->node;
        switch (box->kind) {
        case BOX_PARA:
            measure_para(r, box, x, width, tag, out);
            break;
        case BOX_LIST:
            measure_list(r, box, x, width, tag, out);
            break;
        case BOX_FACTS:
            measure_facts(r, box, x, width, tag, out);
            break;
        case BOX_TABLE:
            measure_table(r, box, x, width, tag, out);
            break;
        case BOX_GRID:
            measure_grid(r, box, x, width, tag, out);
            break;
        case BOX_COLUMNS:
            measure_columns(r, box, x, width, tag, out);
            break;
        case BOX_KEEP:
            measure_keep(r, box, x, width, tag, out);
            break;
        case BOX_RULE:
            add_rule(r, out, x, width, node_number(node, AT_ABOVE, rule_space),
                     node_number(node, AT_WIDTH, hairline),
                     node_number(node, AT_BELOW, rule_space), node)->tag = tag;
            break;
        case BOX_SPACE:
            out->extra += node_number(node, AT_HEIGHT, 0);
            break;
        case BOX_FIGURE:
            measure_figure(r, box, x, width, tag, out);
            break;
        case BOX_IMAGE:
            measure_image(r, box, x, width, tag, out);
            break;
        case BOX_SIGNATURE:
            measure_signature(r, box, x, width, tag, out);
            break;
        case BOX_BREAK_PAGE:
            if (out->n > 0)
                out->next = BREAK_FORCED;
            out->extra = 0;
            break;
        case BOX_CELL:
            break;
        }
    }
}
