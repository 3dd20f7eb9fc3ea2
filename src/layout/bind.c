/* Blocks filled from the document: a tree of boxes that no longer knows where its words came
 * from. What has nothing to print leaves no box. */
#include "layout/layout_int.h"

#include <string.h>

void box_list_init(struct box_list *list)
{
    list->first = NULL;
    list->last = &list->first;
}

void box_list_add(struct box_list *list, struct box *box)
{
    if (box == NULL)
        return;
    *list->last = box;
    list->last = &box->next;
}

struct box *box_new(struct render *r, enum box_kind kind, const struct node *node)
{
    struct box *box = arena_alloc(r->arena, sizeof(*box));
    box->kind = kind;
    box->node = node;
    box->data = r->context;
    return box;
}

const struct style *bind_style(const struct render *r, const struct node *node,
                               const char *otherwise)
{
    return node->style != NULL ? node->style : template_style(r->t, otherwise);
}

struct answer bind_answer(struct render *r, const struct node *node)
{
    struct expr *shows = node_expr(node, AT_ANSWER);
    if (shows == NULL)
        return (struct answer){0};
    r->at = node;
    return (struct answer){true, !eval_truth(r, shows),
                           (size_t)node_number(node, AT_LEAST_LINES, 0)};
}

static struct box *bind_para(struct render *r, const struct node *node)
{
    const struct style *style = node->style != NULL ? node->style : r->para_style;
    struct inline_text *text = bind_inline(r, node, style);
    if (text == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_PARA, node);
    box->style = style;
    box->text = text;
    box->keep_next = node_choice(node, AT_KEEP, 0) == 1;
    box->framed = node_choice(node, AT_BOX, 0) == 1;
    box->answer = bind_answer(r, node);
    return box;
}

static struct box *bind_heading(struct render *r, const struct node *node)
{
    static const char *const names[] = {"heading-1", "heading-2", "heading-3"};
    int level = node_choice(node, AT_LEVEL, 0);
    const struct style *style = bind_style(r, node, names[level]);
    struct inline_text *text = bind_inline(r, node, style);
    if (text == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_PARA, node);
    box->style = style;
    box->text = text;
    box->level = level + 1;
    mark_bound(r, level, text);
    box->keep_next = true;
    return box;
}

struct list_state {
    struct box_list items;
    const struct node *list;
    const struct style *style;
    int n;
};

static const char *marker_text(struct render *r, int marker, int n)
{
    static const char *const signs[] = {"\xE2\x80\x93", "\xE2\x80\xA2", NULL, "\xE2\x96\xA1", ""};
    return marker == 2 ? arena_printf(r->arena, "%d.", n) : signs[marker];
}

static void visit_item(struct render *r, const struct node *node, void *user)
{
    struct list_state *state = user;
    if (node->element != EL_ITEM)
        return;
    struct inline_text *text = bind_inline(r, node, state->style);
    if (text == NULL)
        return;
    struct box *box = box_new(r, BOX_CELL, node);
    box->style = state->style;
    box->text = text;
    int marker = node_choice(state->list, AT_MARKER, 0);
    box->label = bind_literal(r, state->list, marker_text(r, marker, ++state->n), state->style);
    box_list_add(&state->items, box);
}

static struct box *bind_list(struct render *r, const struct node *node)
{
    struct list_state state = {.list = node, .style = bind_style(r, node, "body")};
    box_list_init(&state.items);
    bind_walk(r, node->children, visit_item, &state);
    if (state.items.first == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_LIST, node);
    box->style = state.style;
    box->children = state.items.first;
    return box;
}

struct facts_state {
    struct box_list facts;
    const struct style *style, *label_style;
};

static void visit_fact(struct render *r, const struct node *node, void *user)
{
    struct facts_state *state = user;
    if (node->element != EL_FACT)
        return;
    bool optional = node_choice(node, AT_OPTIONAL, 0) == 1, may_vanish = r->may_vanish;
    r->may_vanish = optional;
    r->vanished = false;
    struct inline_text *text = bind_inline(r, node, state->style);
    r->may_vanish = may_vanish;
    if (optional && (text == NULL || r->vanished))
        return;
    struct box *box = box_new(r, BOX_CELL, node);
    box->style = state->style;
    box->text = text;
    box->label = bind_text(r, node, node_attr(node, AT_LABEL)->text, state->label_style);
    box_list_add(&state->facts, box);
}

static struct box *bind_facts(struct render *r, const struct node *node)
{
    struct facts_state state = {.style = bind_style(r, node, "fact")};
    state.label_style = template_style(r->t, "fact-label");
    box_list_init(&state.facts);
    bind_walk(r, node->children, visit_fact, &state);
    if (state.facts.first == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_FACTS, node);
    box->style = state.style;
    box->children = state.facts.first;
    return box;
}

static struct box *bind_grid(struct render *r, const struct node *node)
{
    struct box_list cells;
    struct context_save save = context_save(r);
    size_t n = 0;
    xmlNode **nodes = bind_each_nodes(r, node, &n);
    box_list_init(&cells);
    for (size_t i = 0; i < n; i++) {
        context_enter(r, nodes[i], i + 1, n);
        struct box *cell = box_new(r, BOX_CELL, node);
        cell->children = bind_blocks(r, node->children);
        if (cell->children != NULL)
            box_list_add(&cells, cell);
    }
    context_restore(r, save);
    if (cells.first == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_GRID, node);
    box->children = cells.first;
    return box;
}

static void visit_part_column(struct render *r, const struct node *node, void *user)
{
    if (node->element != EL_PART_COLUMN)
        return;
    struct box *cell = box_new(r, BOX_CELL, node);
    const struct attr *width = node_attr(node, AT_WIDTH);
    cell->width = width != NULL ? width->width : (struct width){WIDTH_SHARE, 1};
    cell->children = bind_blocks(r, node->children);
    box_list_add(user, cell);
}

static struct box *bind_columns(struct render *r, const struct node *node)
{
    struct box_list cells;
    box_list_init(&cells);
    bind_walk(r, node->children, visit_part_column, &cells);
    if (cells.first == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_COLUMNS, node);
    box->children = cells.first;
    return box;
}

static struct box *bind_keep(struct render *r, const struct node *node)
{
    struct box *children = bind_blocks(r, node->children);
    if (children == NULL)
        return NULL;
    struct box *box = box_new(r, BOX_KEEP, node);
    box->children = children;
    return box;
}

static struct box *bind_figure(struct render *r, const struct node *node)
{
    struct box *box = box_new(r, BOX_FIGURE, node);
    box->alt = bind_string(r, node, node_attr(node, AT_ALT)->text);
    box->params = arena_alloc(r->arena, (node->n_params + 2) * sizeof(*box->params));
    for (size_t i = 0; i < node->n_params; i++) {
        box->params[i].name = node->params[i].name;
        box->params[i].value = bind_string(r, node, node->params[i].text);
    }
    box->params[node->n_params] = (struct figure_param){"decimal", r->t->decimal};
    box->n_params = node->n_params + 1;
    return box;
}

static struct box *bind_signature(struct render *r, const struct node *node)
{
    struct box *box = box_new(r, BOX_SIGNATURE, node);
    box->style = bind_style(r, node, "note");
    box->text = bind_text(r, node, node_attr(node, AT_LABEL)->text, box->style);
    return box;
}

static struct box *bind_block(struct render *r, const struct node *node)
{
    switch (node->element) {
    case EL_PARA:
        return bind_para(r, node);
    case EL_HEADING:
        return bind_heading(r, node);
    case EL_LIST:
        return bind_list(r, node);
    case EL_FACTS:
        return bind_facts(r, node);
    case EL_TABLE:
        return bind_table(r, node);
    case EL_GRID:
        return bind_grid(r, node);
    case EL_KEEP:
        return bind_keep(r, node);
    case EL_COLUMNS:
        return bind_columns(r, node);
    case EL_RULE:
        return box_new(r, BOX_RULE, node);
    case EL_SPACE:
        return box_new(r, BOX_SPACE, node);
    case EL_FIGURE:
        return bind_figure(r, node);
    case EL_IMAGE:
        return bind_image(r, node);
    case EL_SIGNATURE:
        return bind_signature(r, node);
    case EL_BREAK_PAGE:
        return box_new(r, BOX_BREAK_PAGE, node);
    default:
        return NULL;
    }
}

static void visit_block(struct render *r, const struct node *node, void *user)
{
    r->at = node;
    box_list_add(user, bind_block(r, node));
}

struct box *bind_blocks(struct render *r, const struct node *children)
{
    struct box_list list;
    box_list_init(&list);
    bind_walk(r, children, visit_block, &list);
    return list.first;
}

struct page_state {
    struct box_list blocks;
    struct section *section;
    struct head_box **last;
};

static void bind_running(struct render *r, const struct node *node, struct page_state *state)
{
    const struct style *para_style = r->para_style;
    struct head_box *head = arena_alloc(r->arena, sizeof(*head));
    head->foot = node->element == EL_RUNNING_FOOT;
    r->para_style = template_style(r->t, head->foot ? "foot" : "head");
    head->node = node;
    head->on = node_choice(node, AT_ON, 0);
    head->boxes = bind_blocks(r, node->children);
    r->para_style = para_style;
    *state->last = head;
    state->last = &head->next;
}

static void visit_page(struct render *r, const struct node *node, void *user)
{
    struct page_state *state = user;
    if (node->element == EL_RUNNING_HEAD || node->element == EL_RUNNING_FOOT)
        bind_running(r, node, state);
    else
        visit_block(r, node, &state->blocks);
}

struct box *bind_page(struct render *r, const struct node *page, struct section *section)
{
    struct page_state state = {.section = section, .last = &section->heads};
    box_list_init(&state.blocks);
    bind_walk(r, page->children, visit_page, &state);
    return state.blocks.first;
}
