/*
 * Tables: every cell is prepared once, the columns get their widths from all of them, then each
 * row becomes one strip. The head row and the heads of groups are kept to be set again after a
 * page ends. Time grows with the number of cells and no faster.
 */
#include "layout/layout_int.h"

#include <math.h>
#include <string.h>

static const double hairline = 0.4, head_room = 2; /* pt: rule; between it and the first row */

struct set_table {
    struct render *r;
    const struct table_box *t;
    struct lines **cells;           /* rows x columns; NULL: empty */
    struct lines **heads, **foots;  /* one a column */
    double widths[TABLE_COLUMNS_MAX], x[TABLE_COLUMNS_MAX];
    double decimal[TABLE_COLUMNS_MAX]; /* widest part left of the decimal sign */
    double left, width, available;
    const struct tag *tag;
};

static struct lines *prepare(struct render *r, const struct inline_text *text, enum align align,
                             struct answer answer)
{
    if (text == NULL)
        return NULL;
    struct lines *l = inline_prepare(r, text);
    l->align = align;
    l->answer = answer;
    return l;
}

static void prepare_all(struct set_table *s)
{
    const struct table_box *t = s->t;
    size_t n = (size_t)t->n_columns;
    s->heads = arena_alloc(s->r->arena, n * sizeof(struct lines *));
    s->foots = arena_alloc(s->r->arena, n * sizeof(struct lines *));
    s->cells = arena_alloc(s->r->arena, n * t->n_rows * sizeof(struct lines *));
    for (size_t c = 0; c < n; c++) {
        enum align align = t->columns[c].align;
        enum align at_ends = align == ALIGN_DECIMAL ? ALIGN_RIGHT : align;
        s->heads[c] = prepare(s->r, t->columns[c].head, at_ends, (struct answer){0});
        s->foots[c] = prepare(s->r, t->columns[c].foot, at_ends, (struct answer){0});
        for (size_t i = 0; i < t->n_rows; i++)
            s->cells[i * n + c] = prepare(s->r, t->rows[i].cells[c], align,
                                          t->columns[c].answer);
    }
}

/* Numbers of a decimal column stand on their sign: as wide as the widest on either side. */
static double decimal_need(struct set_table *s, size_t column)
{
    size_t n = (size_t)s->t->n_columns;
    double left = 0, right = 0;
    for (size_t i = 0; i < s->t->n_rows; i++) {
        struct lines *l = s->cells[i * n + column];
        double at = l != NULL ? inline_decimal(s->r, l) : -1;
        if (at < 0)
            continue;
        l->decimal = at;
        left = fmax(left, at);
        right = fmax(right, l->full - at);
    }
    s->decimal[column] = left;
    return left + right;
}

static void need_of(const struct lines *l, struct column_need *need)
{
    if (l == NULL)
        return;
    need->floor = fmax(need->floor, l->style->size); /* no letter is wider than its size */
    need->least = fmax(need->least, l->least);
    need->full = fmax(need->full, l->full);
}

/* A text over several columns widens them together if they are too narrow for it. */
static void widen_together(const struct set_table *s, struct column_need *need, size_t c,
                           size_t end, double wants)
{
    double has = (double)(end - c - 1) * s->t->gap;
    for (size_t i = c; i < end; i++)
        has += need[i].width.kind == WIDTH_FIXED ? need[i].width.value : need[i].full;
    for (size_t i = c; i < end && has < wants; i++)
        need[i].full += (wants - has) / (double)(end - c);
}

static void widen_for_overs(const struct set_table *s, struct column_need *need);

/* The column after the last that a cell takes: with runs-on, over the empty ones beside it. */
static size_t cell_end(const struct set_table *s, size_t row, size_t c)
{
    size_t n = (size_t)s->t->n_columns, end = c + 1;
    if (s->t->columns[c].runs_on && s->cells[row * n + c] != NULL) {
        while (end < n && s->cells[row * n + end] == NULL)
            end++;
    }
    return end;
}

static double width_between(const struct set_table *s, size_t c, size_t end)
{
    return s->x[end - 1] + s->widths[end - 1] - s->x[c];
}

/* Cells that take several columns; those of one column have been counted. */
static void widen_for_cells(const struct set_table *s, struct column_need *need)
{
    size_t n = (size_t)s->t->n_columns;
    for (size_t c = 0; c < n; c++) {
        if (!s->t->columns[c].runs_on)
            continue;
        for (size_t i = 0; i < s->t->n_rows; i++) {
            size_t end = cell_end(s, i, c);
            if (end > c + 1)
                widen_together(s, need, c, end, s->cells[i * n + c]->full);
        }
    }
}

static void set_widths(struct set_table *s, double available)
{
    const struct table_box *t = s->t;
    size_t n = (size_t)t->n_columns;
    struct column_need need[TABLE_COLUMNS_MAX];
    double gaps = (double)(n - 1) * t->gap;
    memset(need, 0, sizeof(need));
    for (size_t c = 0; c < n; c++) {
        need[c].width = t->columns[c].width;
        need_of(s->heads[c], &need[c]);
        need_of(s->foots[c], &need[c]);
        for (size_t i = 0; i < t->n_rows; i++) {
            if (cell_end(s, i, c) == c + 1)
                need_of(s->cells[i * n + c], &need[c]);
        }
        if (t->columns[c].align == ALIGN_DECIMAL)
            need[c].full = fmax(need[c].full, decimal_need(s, c));
    }
    widen_for_overs(s, need);
    widen_for_cells(s, need);
    table_widths(need, t->n_columns, available - gaps, t->spread, s->widths);
    double x = 0;
    for (size_t c = 0; c < n; c++) {
        s->x[c] = x;
        x += s->widths[c] + t->gap;
    }
    s->width = x - t->gap;
}

/* The widest part right of the sign ends at the column's right edge. */
static void place_decimals(struct set_table *s)
{
    size_t n = (size_t)s->t->n_columns;
    for (size_t c = 0; c < n; c++) {
        double right = 0;
        if (s->t->columns[c].align != ALIGN_DECIMAL)
            continue;
        for (size_t i = 0; i < s->t->n_rows; i++) {
            const struct lines *l = s->cells[i * n + c];
            if (l != NULL && l->decimal > 0)
                right = fmax(right, l->full - l->decimal);
        }
        for (size_t i = 0; i < s->t->n_rows; i++) {
            struct lines *l = s->cells[i * n + c];
            if (l == NULL || l->decimal <= 0)
                continue;
            double x = s->widths[c] - right - l->decimal;
            bool fits = l->n == 1 && x >= -0.01 && x + l->full <= s->widths[c] + 0.01;
            l->decimal = fits ? fmax(x, 0.001) : 0;
        }
    }
}

static struct row *row_new(struct set_table *s, int n)
{
    struct row *row = arena_alloc(s->r->arena, sizeof(*row));
    row->cells = arena_alloc(s->r->arena, (size_t)n * sizeof(*row->cells));
    row->n = n;
    row->rule_width = s->width;
    return row;
}

static void set_cell(struct set_table *s, struct cell *cell, size_t c, struct lines *l,
                     const struct tag *row, const char *role)
{
    const struct tag *tag = tag_new(s->r, row, role, NULL);
    cell->x = s->x[c];
    cell->width = s->widths[c];
    cell->tag = tag;
    if (l != NULL)
        cell_lines(s->r, cell, l, tag);
}

static struct strip *add_row(struct set_table *s, struct strips *out, struct row *row,
                             double above, double height, const struct tag *tag)
{
    struct strip *strip = strips_add(s->r, out, STRIP_ROW, above, height, 0);
    strip->x = s->left;
    strip->row = row;
    strip->tag = tag;
    return strip;
}

/* ---- heads ---------------------------------------------------------------------------------- */

static bool same_over(const struct table_column *a, const struct table_column *b)
{
    return a->over != NULL && b->over != NULL && strcmp(a->over->text, b->over->text) == 0;
}

/* The column after the last that stands under the same text as column c. */
static size_t over_end(const struct table_box *t, size_t c)
{
    size_t end = c + 1;
    while (end < (size_t)t->n_columns && same_over(&t->columns[c], &t->columns[end]))
        end++;
    return end;
}

static void widen_for_overs(const struct set_table *s, struct column_need *need)
{
    const struct table_box *t = s->t;
    for (size_t c = 0, end; c < (size_t)t->n_columns; c = end) {
        end = over_end(t, c);
        if (t->columns[c].over == NULL)
            continue;
        widen_together(s, need, c, end, inline_prepare(s->r, t->columns[c].over)->full);
    }
}

static void add_overs(struct set_table *s, struct strips *out)
{
    const struct table_box *t = s->t;
    const struct tag *tag = tag_new(s->r, s->tag, "TR", NULL);
    struct row *row = row_new(s, t->n_columns);
    bool any = false;
    row->n = 0;
    for (size_t c = 0, end; c < (size_t)t->n_columns; c = end) {
        end = over_end(t, c);
        if (t->columns[c].over == NULL)
            continue;
        struct strips inside = {0};
        struct cell *cell = &row->cells[row->n++];
        struct lines *l = inline_prepare(s->r, t->columns[c].over);
        cell->x = s->x[c];
        cell->width = width_between(s, c, end);
        inline_break(s->r, l, cell->width);
        const struct tag *th = tag_new(s->r, tag, "TH", NULL);
        strips_lines(s->r, &inside, l, 0, th, 0, 1);
        if (t->lines != 2) {
            struct strip *rule = strips_add(s->r, &inside, STRIP_RULE, 0, hairline, 0);
            rule->width = cell->width;
            rule->thickness = hairline;
            rule->tag = th;
        }
        cell_fill(cell, &inside);
        any = true;
    }
    if (any)
        add_row(s, out, row, 0, row_finish(row, true), tag);
}

/* Heads of several lines stand on a common last line. */
static void lower_heads(struct row *row, double height)
{
    for (int i = 0; i < row->n; i++) {
        struct cell *cell = &row->cells[i];
        if (cell->items != NULL)
            cell->shift = height - row->pad_below - strips_height(cell->items, 0, cell->to);
    }
}

static void add_heads(struct set_table *s, struct strips *out)
{
    const struct table_box *t = s->t;
    const struct tag *tag = tag_new(s->r, s->tag, "TR", NULL);
    struct row *row = row_new(s, t->n_columns);
    for (int c = 0; c < t->n_columns; c++) {
        if (s->heads[c] != NULL)
            inline_break(s->r, s->heads[c], s->widths[c]);
        set_cell(s, &row->cells[c], (size_t)c, s->heads[c], tag, "TH");
    }
    row->pad_below = t->head_style->below;
    row->rule_below = t->lines != 2 ? hairline : 0;
    double height = row_finish(row, false);
    lower_heads(row, height);
    if (out->n > 0)
        out->next = BREAK_NEXT;
    add_row(s, out, row, out->n > 0 ? 2 : 0, height, tag);
}

/* ---- rows ----------------------------------------------------------------------------------- */

static struct row *group_row(struct set_table *s, const struct inline_text *text,
                             const struct inline_text *mark, const struct tag *tag)
{
    struct row *row = row_new(s, 1);
    struct lines *l = inline_prepare(s->r, text);
    l->mark = mark != NULL ? mark->text : NULL;
    l->mark_kind = MARK_GROUP;
    inline_break(s->r, l, s->available);
    row->cells[0].width = s->available;
    cell_lines(s->r, &row->cells[0], l, tag_new(s->r, tag, "TH", NULL));
    return row;
}

/* The heads of groups as they stand again after a break. */
static struct strip *group_strips(struct set_table *s)
{
    const struct table_box *t = s->t;
    if (t->n_groups == 0)
        return NULL;
    struct strip *strips = arena_alloc(s->r->arena, t->n_groups * sizeof(*strips));
    for (size_t g = 0; g < t->n_groups; g++) {
        strips[g].kind = STRIP_ROW;
        strips[g].group = -1;
        strips[g].x = s->left;
        if (t->groups[g].again == NULL)
            continue;
        strips[g].tag = tag_new(s->r, s->tag, "TR", NULL);
        strips[g].row = group_row(s, t->groups[g].again, t->groups[g].head, strips[g].tag);
        strips[g].height = row_finish(strips[g].row, false);
    }
    return strips;
}

static enum penalty before_row(const struct table_box *t, size_t i)
{
    size_t least = (size_t)t->least_rows;
    return i < least || t->n_rows - i < least ? BREAK_LINES : BREAK_FREE;
}

static double add_group_head(struct set_table *s, struct strips *out, size_t i, double above,
                             const struct table_run *run)
{
    const struct table_box *t = s->t;
    const struct table_group *g = &t->groups[t->rows[i].group];
    if (g->head == NULL)
        return above;
    const struct style *style = g->head->runs[0].style;
    const struct tag *tag = tag_new(s->r, s->tag, "TR", NULL);
    struct row *row = group_row(s, g->head, g->head, tag);
    if (t->lines == 1 && i > 0) {
        row->rule_above = hairline;
        row->pad_above = style->above / 2 + hairline;
    }
    if (i > 0)
        out->next = before_row(t, i);
    struct strip *strip = add_row(s, out, row, fmax(above, i > 0 ? style->above : above),
                                  row_finish(row, false), tag);
    strip->table = run;
    strip->group = t->rows[i].group;
    strip->group_head = true;
    out->next = BREAK_NEXT;
    return fmax(t->row_gap, style->below);
}

static void add_data_row(struct set_table *s, struct strips *out, size_t i, double above,
                         const struct table_run *run)
{
    const struct table_box *t = s->t;
    size_t n = (size_t)t->n_columns;
    const struct tag *tag = tag_new(s->r, s->tag, "TR", NULL);
    struct row *row = row_new(s, t->n_columns);
    for (size_t c = 0; c < n; c++)
        set_cell(s, &row->cells[c], c, s->cells[i * n + c], tag, "TD");
    row->shaded = t->rows[i].shaded;
    row->shade_out = t->row_gap / 2;
    enum penalty penalty = out->next == BREAK_NEXT || i == 0 ? out->next : before_row(t, i);
    out->next = penalty;
    struct strip *strip = add_row(s, out, row, above, row_finish(row, true), tag);
    strip->table = run;
    strip->group = t->rows[i].group;
}

static void break_cells(struct set_table *s)
{
    size_t n = (size_t)s->t->n_columns;
    for (size_t i = 0; i < n * s->t->n_rows; i++) {
        size_t row = i / n, c = i % n;
        if (s->cells[i] != NULL)
            inline_break(s->r, s->cells[i], width_between(s, c, cell_end(s, row, c)));
    }
}

/* ---- what is said at the end of the table and where a page ends inside ----------------------- */

static struct row *foot_row(struct set_table *s, const struct tag *tag)
{
    struct row *row = row_new(s, s->t->n_columns);
    for (int c = 0; c < s->t->n_columns; c++) {
        if (s->foots[c] != NULL)
            inline_break(s->r, s->foots[c], s->widths[c]);
        set_cell(s, &row->cells[c], (size_t)c, s->foots[c], tag, "TD");
    }
    if (s->t->lines != 2) {
        row->rule_above = hairline;
        row->pad_above = hairline + head_room;
    }
    return row;
}

static void add_foots(struct set_table *s, struct strips *out, const struct table_run *run)
{
    if (!s->t->has_foots)
        return;
    const struct tag *tag = tag_new(s->r, s->tag, "TR", NULL);
    struct row *row = foot_row(s, tag);
    out->next = BREAK_NEXT;
    add_row(s, out, row, head_room, row_finish(row, true), tag)->table = run;
}

static void add_line(struct set_table *s, struct strips *out, const struct inline_text *text)
{
    const struct tag *tag = tag_new(s->r, s->tag, "TR", NULL);
    struct row *row = group_row(s, text, NULL, tag);
    add_row(s, out, row, out->n > 0 ? head_room : 0, row_finish(row, false), tag);
}

/* A foot of more than a fourth of a page would only push rows away. */
static void set_run_foot(struct set_table *s, struct table_run *run)
{
    struct strips foot = {0};
    if (s->t->has_foots && s->t->repeat_foot) {
        const struct tag *tag = tag_new(s->r, s->tag, "TR", NULL);
        struct row *row = foot_row(s, tag);
        add_row(s, &foot, row, head_room, row_finish(row, true), tag);
    }
    if (s->t->goes_on != NULL)
        add_line(s, &foot, s->t->goes_on);
    if (foot.n > 0)
        foot.items[0].above = head_room;
    double height = 0;
    for (size_t i = 0; i < foot.n; i++)
        height += foot.items[i].above + foot.items[i].height;
    if (height > s->r->body_height / 4)
        return;
    run->foot = foot.items;
    run->n_foot = foot.n;
    run->foot_height = height;
}

/* What stands again at the top of a page: the word for that, then the heads. */
static void set_run_head(struct set_table *s, struct table_run *run, const struct strips *heads)
{
    struct strips again = {0};
    if (s->t->again != NULL && s->t->repeat_head)
        add_line(s, &again, s->t->again);
    struct strip *head = arena_alloc(s->r->arena, (again.n + heads->n + 1) * sizeof(*head));
    if (again.n > 0)
        head[0] = again.items[0];
    if (heads->n > 0)
        memcpy(head + again.n, heads->items, heads->n * sizeof(*head));
    if (again.n > 0 && heads->n > 0)
        head[1].above = head_room;
    run->head = head;
    run->n_head = again.n + heads->n;
    run->repeat = s->t->repeat_head;
}

void measure_table(struct render *r, const struct box *box, double x, double width,
                   const struct tag *parent, struct strips *out)
{
    const struct table_box *t = box->table;
    struct set_table s = {.r = r, .t = t, .left = x, .available = width};
    struct strips rows = {0};
    s.tag = tag_new(r, parent, "Table", NULL);
    if (!measure_room(r, box->node, width - (t->n_columns - 1) * t->gap))
        return;
    prepare_all(&s);
    set_widths(&s, width);
    break_cells(&s);
    place_decimals(&s);
    if (t->has_heads) {
        add_overs(&s, &rows);
        add_heads(&s, &rows);
    }
    struct table_run *run = arena_alloc(r->arena, sizeof(*run));
    set_run_head(&s, run, &rows);
    set_run_foot(&s, run);
    if (rows.n > 0)
        rows.next = BREAK_NEXT;
    run->groups = group_strips(&s);
    for (size_t i = 0; i < t->n_rows; i++) {
        double above = i > 0 ? t->row_gap : rows.n > 0 ? head_room : 0;
        bool starts = t->rows[i].group >= 0 &&
                      (i == 0 || t->rows[i].group != t->rows[i - 1].group);
        if (starts)
            above = add_group_head(&s, &rows, i, above, run);
        add_data_row(&s, &rows, i, above, run);
    }
    add_foots(&s, &rows, run);
    rows.items[rows.n - 1].table_ends = true;
    /* Joined to the flow: the first strip takes the gap and the penalty that are due there. */
    for (size_t i = 0; i < rows.n; i++) {
        enum penalty next = out->next;
        bool first = i == 0, last = i + 1 == rows.n;
        struct strip *strip = strips_add(r, out, STRIP_ROW, first ? t->style->above : 0, 0,
                                         last ? t->style->below : 0);
        double above = strip->above, extra = strip->extra;
        *strip = rows.items[i];
        if (first) {
            strip->above = above;
            strip->extra = extra;
            strip->penalty = next;
        }
    }
}
