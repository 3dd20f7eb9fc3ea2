/* A table filled from the document: its columns once, its cells row by row, its rows in groups
 * where neighbours share a value. */
#include "layout/layout_int.h"

#include <string.h>

static const double default_gap = 10.0, default_row_gap = 1.5; /* pt between columns, rows */

struct columns_state {
    struct table_column *columns;
    int n;
    const struct table_box *table;
    const struct node *group_head;
    const struct variable *group_variables;
};

static void add_column(struct render *r, const struct node *node, struct columns_state *state)
{
    if (state->n == TABLE_COLUMNS_MAX) {
        render_error(r, DIAG_LAYOUT_FIT, "a table of more than %d columns", TABLE_COLUMNS_MAX);
        return;
    }
    enum { MORE = 8 };
    size_t size = sizeof(*state->columns), n = (size_t)state->n;
    if (n % MORE == 0)
        state->columns = arena_grow(r->arena, state->columns, n * size, (n + MORE) * size);
    struct table_column *c = &state->columns[state->n++];
    *c = (struct table_column){.variables = r->variables};
    const struct attr *width = node_attr(node, AT_WIDTH), *over = node_attr(node, AT_OVER);
    c->width = width != NULL ? width->width : (struct width){WIDTH_AUTO, 0};
    c->style = node->style != NULL ? node->style : state->table->style;
    c->align = (enum align)node_choice(node, AT_ALIGN, (int)c->style->align);
    c->answer = bind_answer(r, node);
    if (over != NULL)
        c->over = bind_text(r, node, over->text, state->table->head_style);
    for (const struct node *child = node->children; child != NULL; child = child->next) {
        if (child->element == EL_HEAD)
            c->head = bind_inline(r, child, state->table->head_style);
        else if (child->element == EL_FOOT)
            c->foot = bind_inline(r, child, c->style);
        else if (child->element == EL_CELL)
            c->cell = child;
    }
    c->runs_on = c->cell != NULL && node_choice(c->cell, AT_RUNS_ON, 0) == 1;
}

static void visit_column(struct render *r, const struct node *node, void *user)
{
    struct columns_state *state = user;
    if (node->element == EL_COLUMN) {
        add_column(r, node, state);
    } else if (node->element == EL_GROUP_HEAD) {
        state->group_head = node;
        state->group_variables = r->variables;
    }
}

/* The group of the row in context; a new one where the value changes. */
static int row_group(struct render *r, const struct columns_state *state, struct table_box *t,
                     const char **last)
{
    const struct node *head = state->group_head;
    if (head == NULL)
        return -1;
    r->variables = state->group_variables;
    r->at = head;
    const char *value = eval_string(r, node_expr(head, AT_BY));
    if (*last != NULL && strcmp(value, *last) == 0)
        return (int)t->n_groups - 1;
    *last = value;
    const struct style *style = bind_style(r, head, "group-head");
    const struct attr *continued = node_attr(head, AT_CONTINUED);
    struct table_group *g = &t->groups[t->n_groups++];
    g->head = bind_inline(r, head, style);
    if (g->head != NULL)
        mark_bound(r, MARK_GROUP, g->head);
    g->again = continued != NULL ? bind_text(r, head, continued->text, style) : g->head;
    return (int)t->n_groups - 1;
}

static void bind_rows(struct render *r, const struct columns_state *state, struct table_box *t,
                      xmlNode **nodes)
{
    struct context_save save = context_save(r);
    const struct expr *shade = node_expr(t->node, AT_SHADE);
    const char *last = NULL;
    for (size_t i = 0; i < t->n_rows; i++) {
        struct table_row *row = &t->rows[i];
        context_enter(r, nodes[i], i + 1, t->n_rows);
        r->variables = save.variables;
        r->at = t->node;
        row->shaded = shade != NULL && eval_truth(r, shade);
        row->group = row_group(r, state, t, &last);
        row->cells = arena_alloc(r->arena, (size_t)t->n_columns * sizeof(struct inline_text *));
        for (int c = 0; c < t->n_columns; c++) {
            r->variables = t->columns[c].variables;
            row->cells[c] = bind_inline(r, t->columns[c].cell, t->columns[c].style);
        }
    }
    context_restore(r, save);
}

static struct box *bind_empty(struct render *r, const struct node *node, const struct style *style)
{
    const struct attr *empty = node_attr(node, AT_EMPTY);
    struct inline_text *text = empty != NULL ? bind_text(r, node, empty->text, style) : NULL;
    if (text == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_PARA, node);
    box->style = style;
    box->text = text;
    return box;
}

static void bind_breaks(struct render *r, const struct node *node, struct table_box *t)
{
    const struct attr *again = node_attr(node, AT_CONTINUED), *on = node_attr(node, AT_GOES_ON);
    const struct style *note = template_style(r->t, "note");
    t->repeat_head = node_choice(node, AT_REPEAT_HEAD, 1) == 1;
    t->repeat_foot = node_choice(node, AT_REPEAT_FOOT, 0) == 1;
    t->again = again != NULL ? bind_text(r, node, again->text, note) : NULL;
    t->goes_on = on != NULL ? bind_text(r, node, on->text, note) : NULL;
}

struct box *bind_table(struct render *r, const struct node *node)
{
    struct arena *a = r->arena;
    const struct style *style = bind_style(r, node, "table");
    struct table_box *t = arena_alloc(a, sizeof(*t));
    struct columns_state state = {.table = t};
    xmlNode **nodes = bind_each_nodes(r, node, &t->n_rows);
    if (t->n_rows == 0)
        return bind_empty(r, node, style);
    t->node = node;
    t->style = style;
    t->head_style = template_style(r->t, "table-head");
    bind_breaks(r, node, t);
    t->spread = node_choice(node, AT_SPREAD, 0) == 1;
    t->least_rows = (int)node_number(node, AT_LEAST_ROWS, 2);
    t->lines = node_choice(node, AT_LINES, 0);
    t->gap = node_number(node, AT_GAP, default_gap);
    t->row_gap = node_number(node, AT_ROW_GAP, default_row_gap);
    bind_walk(r, node->children, visit_column, &state);
    t->columns = state.columns;
    t->n_columns = state.n;
    if (t->n_columns == 0) {
        r->at = node;
        render_error(r, DIAG_LAYOUT_FIT, "%zu rows and no column to put them in", t->n_rows);
        return NULL;
    }
    for (int c = 0; c < t->n_columns; c++) {
        t->has_heads = t->has_heads || t->columns[c].head != NULL || t->columns[c].over != NULL;
        t->has_foots = t->has_foots || t->columns[c].foot != NULL;
    }
    t->rows = arena_alloc(a, t->n_rows * sizeof(*t->rows));
    if (state.group_head != NULL)
        t->groups = arena_alloc(a, t->n_rows * sizeof(*t->groups));
    bind_rows(r, &state, t, nodes);
    struct box *box = box_new(r, BOX_TABLE, node);
    box->style = style;
    box->table = t;
    return box;
}
