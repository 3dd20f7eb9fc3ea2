/* The walk that every kind of content shares: choices, repetition, parts put in place and
 * variables, with the context of the document moved along. */
#include "layout/layout_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct context_save context_save(const struct render *r)
{
    return (struct context_save){r->context, r->position, r->size, r->variables};
}

void context_enter(struct render *r, xmlNode *node, size_t position, size_t size)
{
    r->context = node;
    r->position = position;
    r->size = size;
}

void context_restore(struct render *r, struct context_save s)
{
    r->context = s.context;
    r->position = s.position;
    r->size = s.size;
    r->variables = s.variables;
}

struct sortable {
    xmlNode *node;
    const char *text;
    double number;
    bool has;          /* what has no key comes last, whatever the order */
    size_t index;      /* equal keys keep the order of the document */
    bool descending, numeric;
};

static int compare_keys(const void *pa, const void *pb)
{
    const struct sortable *a = pa, *b = pb;
    int order = 0;
    if (a->has != b->has)
        return a->has ? -1 : 1;
    if (a->has && a->numeric)
        order = (a->number > b->number) - (a->number < b->number);
    else if (a->has)
        order = strcmp(a->text, b->text);
    if (a->descending)
        order = -order;
    return order != 0 ? order : (a->index > b->index) - (a->index < b->index);
}

static void sort_nodes(struct render *r, const struct node *node, const struct expr *key,
                       xmlNode **nodes, size_t n)
{
    struct sortable *items = mem_alloc((n + 1) * sizeof(*items));
    struct context_save save = context_save(r);
    bool numeric = node_choice(node, AT_TYPE, 0) == 1;
    bool descending = node_choice(node, AT_ORDER, 0) == 1;
    for (size_t i = 0; i < n; i++) {
        context_enter(r, nodes[i], i + 1, n);
        struct value v = eval(r, key);
        struct sortable *s = &items[i];
        *s = (struct sortable){.node = nodes[i], .index = i};
        s->descending = descending;
        s->numeric = numeric;
        s->text = value_string(r, &v);
        s->number = numeric ? value_number(r, &v) : 0;
        s->has = numeric ? !isnan(s->number) : s->text[0] != '\0';
    }
    context_restore(r, save);
    qsort(items, n, sizeof(*items), compare_keys);
    for (size_t i = 0; i < n; i++)
        nodes[i] = items[i].node;
    free(items);
}

xmlNode **bind_each_nodes(struct render *r, const struct node *node, size_t *n)
{
    r->at = node;
    xmlNode **found = eval_nodes(r, node_expr(node, AT_SELECT), n), **nodes = found;
    const struct expr *key = node_expr(node, AT_SORT);
    size_t limit = (size_t)node_number(node, AT_LIMIT, 0);
    if (key != NULL && *n > 1) {
        /* The array may be a variable's: sort a copy. */
        nodes = arena_alloc(r->arena, *n * sizeof(*nodes));
        memcpy(nodes, found, *n * sizeof(*nodes));
        sort_nodes(r, node, key, nodes, *n);
    }
    if (limit > 0 && *n > limit)
        *n = limit;
    return nodes;
}

static void bind_let(struct render *r, const struct node *node)
{
    struct variable *v = arena_alloc(r->arena, sizeof(*v));
    r->at = node;
    const struct attr *name = node_attr(node, AT_NAME);
    v->name = name->plain;
    v->number = (unsigned)name->choice;
    v->value = eval(r, node_expr(node, AT_SELECT));
    v->outer = r->variables;
    r->variables = v;
}

static bool holds(struct render *r, const struct node *node)
{
    const struct expr *test = node_expr(node, AT_TEST);
    r->at = node;
    return test == NULL || eval_truth(r, test);
}

static void walk_nodes(struct render *r, const struct node *node, xmlNode **nodes, size_t n,
                       bind_visit visit, void *user)
{
    struct context_save save = context_save(r);
    for (size_t i = 0; i < n; i++) {
        context_enter(r, nodes[i], i + 1, n);
        bind_walk(r, node->children, visit, user);
    }
    context_restore(r, save);
}

static void walk_include(struct render *r, const struct node *node, bind_visit visit, void *user)
{
    const struct expr *select = node_expr(node, AT_SELECT);
    size_t n = 0;
    if (select == NULL) {
        bind_walk(r, node->children, visit, user);
        return;
    }
    r->at = node;
    xmlNode **nodes = eval_nodes(r, select, &n);
    walk_nodes(r, node, nodes, n, visit, user);
}

static void walk_each(struct render *r, const struct node *node, bind_visit visit, void *user)
{
    size_t n = 0;
    xmlNode **nodes = bind_each_nodes(r, node, &n);
    walk_nodes(r, node, nodes, n, visit, user);
}

void bind_walk(struct render *r, const struct node *children, bind_visit visit, void *user)
{
    const struct variable *variables = r->variables;
    bool taken = false;
    for (const struct node *node = children; node != NULL; node = node->next) {
        switch (node->element) {
        case EL_LET:
            bind_let(r, node);
            break;
        case EL_WHEN:
            taken = false;
            /* fall through */
        case EL_OTHERWISE:
            if (!taken && holds(r, node)) {
                taken = true;
                bind_walk(r, node->children, visit, user);
            }
            break;
        case EL_INCLUDE:
            walk_include(r, node, visit, user);
            break;
        case EL_EACH:
            if (node_attr(node, AT_BETWEEN) == NULL) {
                walk_each(r, node, visit, user);
                break;
            }
            /* fall through */
        default:
            visit(r, node, user);
            break;
        }
    }
    r->variables = variables;
}
