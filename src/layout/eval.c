/*
 * Evaluates expressions. Most of a chart is `@end`, `side[@side='right']/active/@end` or
 * `word(@verdict)`: these walk the tree directly, and the XPath library is asked for the rest.
 * Both ways share our functions and give the same values.
 */
#include "layout/layout_int.h"

#include <libxml/xpathInternals.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- what can be walked directly --------------------------------------------------------- */

static bool all_direct(const struct xp *list)
{
    for (; list != NULL; list = list->next) {
        if (!eval_is_direct(list))
            return false;
    }
    return true;
}

/* The first step of `//@name`: of all nodes on the way only elements have what comes next. */
static bool is_to_any_attribute(const struct xp_step *s)
{
    return s->axis == AXIS_DESCENDANT_OR_SELF && s->test == TEST_NODE && s->predicates == NULL &&
           s->next != NULL && s->next->axis == AXIS_ATTRIBUTE;
}

static bool path_is_direct(const struct xp *x)
{
    if ((x->absolute && x->steps == NULL) || !all_direct(x->predicates) ||
        (x->a != NULL && !eval_is_direct(x->a)))
        return false;
    for (const struct xp_step *s = x->steps; s != NULL; s = s->next) {
        bool named = s->test == TEST_NAME || s->test == TEST_ANY;
        bool to_elements = s->axis == AXIS_CHILD || s->axis == AXIS_ATTRIBUTE ||
                           s->axis == AXIS_DESCENDANT || s->axis == AXIS_FOLLOWING_SIBLING ||
                           s->axis == AXIS_PRECEDING_SIBLING || s->axis == AXIS_ANCESTOR ||
                           s->axis == AXIS_PRECEDING;
        bool around = s->axis == AXIS_SELF || s->axis == AXIS_PARENT;
        if (!(to_elements && named) && !(around && (named || s->test == TEST_NODE)) &&
            !is_to_any_attribute(s))
            return false;
        if (!all_direct(s->predicates))
            return false;
    }
    return true;
}

bool eval_is_direct(const struct xp *x)
{
    size_t n;
    switch (x->op) {
    case XP_LITERAL:
    case XP_NUMBER:
    case XP_VARIABLE:
        return true;
    case XP_CALL:
        return xpath_functions(&n)[x->function].direct && all_direct(x->a);
    case XP_PATH:
        return path_is_direct(x);
    case XP_NEGATE:
        return eval_is_direct(x->a);
    default:
        return eval_is_direct(x->a) && eval_is_direct(x->b);
    }
}

/* ---- conversions ------------------------------------------------------------------------- */

const char *node_string(struct render *r, const xmlNode *node)
{
    const xmlNode *child = node->children;
    if (node->type == XML_TEXT_NODE)
        return node->content != NULL ? (const char *)node->content : "";
    if (child == NULL)
        return "";
    if (child->next == NULL && child->type == XML_TEXT_NODE)
        return child->content != NULL ? (const char *)child->content : "";
    return xml_text(r->arena, node);
}

static double string_number(const char *s)
{
    double value;
    while (*s == ' ' || *s == '\n' || *s == '\t' || *s == '\r')
        s++;
    if (num_parse(s, strlen(s), &value))
        return value;
    return xmlXPathCastStringToNumber((const xmlChar *)s);
}

static const char *number_string(struct render *r, double value)
{
    if (value == floor(value) && fabs(value) < 1e15) {
        char digits[NUM_TEXT_MAX];
        return arena_strdup(r->arena, num_format(digits, value, 0));
    }
    xmlChar *text = xmlXPathCastNumberToString(value);
    const char *copy = arena_strdup(r->arena, text != NULL ? (const char *)text : "");
    xmlFree(text);
    return copy;
}

const char *value_string(struct render *r, const struct value *v)
{
    switch (v->type) {
    case TYPE_NODES:
        return v->n > 0 ? node_string(r, v->nodes[0]) : "";
    case TYPE_NUMBER:
        return number_string(r, v->number);
    case TYPE_BOOL:
        return v->truth ? "true" : "false";
    case TYPE_STRING:
        break;
    }
    return v->text;
}

double value_number(struct render *r, const struct value *v)
{
    if (v->type == TYPE_NUMBER)
        return v->number;
    if (v->type == TYPE_BOOL)
        return v->truth ? 1 : 0;
    return string_number(value_string(r, v));
}

bool value_truth(const struct value *v)
{
    switch (v->type) {
    case TYPE_NODES:
        return v->n > 0;
    case TYPE_NUMBER:
        return v->number != 0 && !isnan(v->number);
    case TYPE_STRING:
        return v->text[0] != '\0';
    case TYPE_BOOL:
        break;
    }
    return v->truth;
}

static struct value truth_value(bool truth)
{
    return (struct value){.type = TYPE_BOOL, .truth = truth};
}

static struct value number_value(double number)
{
    return (struct value){.type = TYPE_NUMBER, .number = number};
}

/* ---- comparing ---------------------------------------------------------------------------- */

static bool compare_numbers(enum xp_op op, double a, double b)
{
    switch (op) {
    case XP_EQUAL:
        return a == b;
    case XP_UNEQUAL:
        return a != b;
    case XP_LESS:
        return a < b;
    case XP_LESS_EQUAL:
        return a <= b;
    case XP_MORE:
        return a > b;
    default:
        return a >= b;
    }
}

/* Neither side is a set of nodes. */
static bool compare_plain(struct render *r, enum xp_op op, const struct value *a,
                          const struct value *b)
{
    bool equality = op == XP_EQUAL || op == XP_UNEQUAL;
    if (equality && (a->type == TYPE_BOOL || b->type == TYPE_BOOL))
        return (value_truth(a) == value_truth(b)) == (op == XP_EQUAL);
    if (equality && a->type == TYPE_STRING && b->type == TYPE_STRING)
        return (strcmp(a->text, b->text) == 0) == (op == XP_EQUAL);
    return compare_numbers(op, value_number(r, a), value_number(r, b));
}

/* True when it is true of any node, as XPath has it. */
static bool compare(struct render *r, enum xp_op op, const struct value *a, const struct value *b)
{
    if ((a->type == TYPE_NODES && b->type == TYPE_BOOL) ||
        (a->type == TYPE_BOOL && b->type == TYPE_NODES)) {
        struct value x = truth_value(value_truth(a)), y = truth_value(value_truth(b));
        return compare_plain(r, op, &x, &y);
    }
    if (a->type != TYPE_NODES && b->type != TYPE_NODES)
        return compare_plain(r, op, a, b);
    size_t n = a->type == TYPE_NODES ? a->n : 1, m = b->type == TYPE_NODES ? b->n : 1;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < m; j++) {
            struct value x = *a, y = *b;
            if (a->type == TYPE_NODES)
                x = (struct value){.type = TYPE_STRING, .text = node_string(r, a->nodes[i])};
            if (b->type == TYPE_NODES)
                y = (struct value){.type = TYPE_STRING, .text = node_string(r, b->nodes[j])};
            if (compare_plain(r, op, &x, &y))
                return true;
        }
    }
    return false;
}

/* ---- walking -------------------------------------------------------------------------------- */

static struct value walk(struct render *r, const struct xp *x);
static bool truth(struct render *r, const struct xp *x);

struct found {
    xmlNode **items;
    size_t n, cap;
};

static void found_add(struct render *r, struct found *f, xmlNode *node)
{
    if (f->n == f->cap) {
        f->cap = f->cap == 0 ? 2 : f->cap * 4;
        f->items = arena_grow(r->arena, f->items, f->n * sizeof(*f->items),
                              f->cap * sizeof(*f->items));
    }
    f->items[f->n++] = node;
}

/* Whether a predicate holds; a number is a position. */
static bool holds(struct render *r, const struct xp *x)
{
    if (x->op != XP_NUMBER && x->op != XP_VARIABLE && x->op != XP_CALL && x->op != XP_NEGATE &&
        x->op < XP_ADD)
        return truth(r, x);
    struct value v = walk(r, x);
    return v.type == TYPE_NUMBER ? v.number == (double)r->position : value_truth(&v);
}

/* Keeps of out[from...] what each predicate in turn holds for. */
static void filter(struct render *r, const struct xp *predicates, struct found *out, size_t from)
{
    xmlNode *context = r->context;
    size_t position = r->position, size = r->size;
    bool nothing = r->nothing;
    for (; predicates != NULL; predicates = predicates->next) {
        size_t kept = from;
        r->size = out->n - from;
        for (size_t i = from; i < out->n; i++) {
            r->context = out->items[i];
            r->position = i - from + 1;
            if (holds(r, predicates))
                out->items[kept++] = out->items[i];
        }
        out->n = kept;
    }
    r->context = context;
    r->position = position;
    r->size = size;
    r->nothing = nothing; /* a predicate that meets no value is false, not a gap in the text */
}

static inline bool fits(const struct xp_step *step, const struct spot *spot)
{
    return step->test == TEST_ANY || spot->name == step->number;
}

static inline bool is_named(const struct xp_step *step, const xmlNode *node)
{
    if (step->test == TEST_NODE)
        return true;
    return node->type == XML_ELEMENT_NODE && fits(step, node->_private);
}

/* The attribute of that number, of which there is one at most. */
static inline xmlAttr *attribute_at(const struct spot *spot, unsigned number)
{
    if ((spot->has >> number % 64 & 1) == 0)
        return NULL;
    for (unsigned i = 0; i < spot->n; i++) {
        if (spot->numbers[i] == number)
            return spot->attributes[i];
    }
    return NULL;
}

/* NULL when there is none. */
static const xmlNode *own_attribute(const struct render *r, const struct xp *x)
{
    if (r->context->type != XML_ELEMENT_NODE)
        return NULL;
    return (const xmlNode *)attribute_at(r->context->_private, x->steps->number);
}

static void walk_children(struct render *r, const struct xp_step *step, xmlNode *from,
                          struct found *out)
{
    const struct spot *spot = spot_of(r, from);
    if (spot == NULL)
        return;
    for (const struct spot *c = spot + 1; c < spot->end; c = c->end) {
        if (fits(step, c))
            found_add(r, out, c->node);
    }
}

static void walk_descendants(struct render *r, const struct xp_step *step, xmlNode *from,
                             struct found *out)
{
    const struct spot *spot = spot_of(r, from);
    if (spot == NULL)
        return;
    for (const struct spot *c = spot + 1; c < spot->end; c++) {
        if (fits(step, c))
            found_add(r, out, c->node);
    }
}

static void walk_attributes(struct render *r, const struct xp_step *step, xmlNode *from,
                            struct found *out)
{
    if (from->type != XML_ELEMENT_NODE)
        return;
    const struct spot *spot = from->_private;
    if (step->test == TEST_NAME) {
        xmlAttr *at = attribute_at(spot, step->number);
        if (at != NULL)
            found_add(r, out, (xmlNode *)at);
        return;
    }
    for (unsigned i = 0; i < spot->n; i++)
        found_add(r, out, (xmlNode *)spot->attributes[i]);
}

/* Siblings and ancestors, the nearest first. */
static void walk_away(struct render *r, const struct xp_step *step, xmlNode *from,
                      struct found *out)
{
    bool siblings = step->axis != AXIS_ANCESTOR;
    if (siblings && from->type == XML_ATTRIBUTE_NODE)
        return;
    xmlNode *node = from;
    for (;;) {
        node = !siblings                                ? node->parent
               : step->axis == AXIS_FOLLOWING_SIBLING ? node->next
                                                        : node->prev;
        if (node == NULL)
            return;
        if (is_named(step, node))
            found_add(r, out, node);
    }
}

/* What ends before the node begins, the nearest first; its ancestors do not. */
static void walk_preceding(struct render *r, const struct xp_step *step, xmlNode *from,
                           struct found *out)
{
    const xmlNode *node = from;
    while (node != NULL && spot_of(r, node) == NULL)
        node = node->parent;
    if (node == NULL || node->type == XML_DOCUMENT_NODE)
        return;
    const struct spot *spot = spot_of(r, node);
    for (const struct spot *before = spot - 1; before > r->spots; before--) {
        if (before->end <= spot && fits(step, before))
            found_add(r, out, before->node);
    }
}

static void reverse(struct found *f, size_t from)
{
    for (size_t i = from, j = f->n; i + 1 < j; i++) {
        xmlNode *swap = f->items[i];
        f->items[i] = f->items[--j];
        f->items[j] = swap;
    }
}

static void walk_step(struct render *r, const struct xp_step *step, xmlNode *from,
                      struct found *out)
{
    size_t start = out->n;
    switch (step->axis) {
    case AXIS_CHILD:
        walk_children(r, step, from, out);
        break;
    case AXIS_DESCENDANT:
        walk_descendants(r, step, from, out);
        break;
    case AXIS_ATTRIBUTE:
        walk_attributes(r, step, from, out);
        break;
    case AXIS_SELF:
        if (is_named(step, from))
            found_add(r, out, from);
        break;
    case AXIS_PARENT:
        if (from->parent != NULL && is_named(step, from->parent))
            found_add(r, out, from->parent);
        break;
    case AXIS_PRECEDING:
        walk_preceding(r, step, from, out);
        break;
    default:
        walk_away(r, step, from, out);
        break;
    }
    if (step->predicates != NULL)
        filter(r, step->predicates, out, start);
    if (step->axis == AXIS_ANCESTOR || step->axis == AXIS_PRECEDING_SIBLING ||
        step->axis == AXIS_PRECEDING)
        reverse(out, start);
}

/* `//@name`, both steps at once. */
static void walk_to_any_attribute(struct render *r, const struct xp_step *attribute, xmlNode *from,
                                  struct found *out)
{
    const struct spot *spot = spot_of(r, from);
    if (spot == NULL)
        return;
    for (const struct spot *c = spot; c < spot->end; c++) {
        if (attribute->test == TEST_ANY || attribute_at(c, attribute->number) != NULL)
            walk_step(r, attribute, c->node, out);
    }
}

static int by_document_order(const void *a, const void *b)
{
    return names_compare_places(*(xmlNode *const *)a, *(xmlNode *const *)b);
}

static bool is_in_order(const struct found *f)
{
    for (size_t i = 1; i < f->n; i++) {
        if (names_compare_places(f->items[i - 1], f->items[i]) >= 0)
            return false;
    }
    return true;
}

/* Into document order, each node once. */
static void put_in_order(struct found *f)
{
    size_t kept = 0;
    if (is_in_order(f))
        return;
    qsort(f->items, f->n, sizeof(*f->items), by_document_order);
    for (size_t i = 0; i < f->n; i++) {
        if (kept == 0 || f->items[kept - 1] != f->items[i])
            f->items[kept++] = f->items[i];
    }
    f->n = kept;
}

/* Steps down from one node come out in document order, each node once; from several depths, up
 * again or along they may not. */
static bool keeps_order(const struct xp *x, const struct found *start)
{
    bool many = false, mixed = false;
    if (start->n > 1)
        return false;
    for (const struct xp_step *s = x->steps; s != NULL; s = s->next) {
        bool down = s->axis == AXIS_CHILD || s->axis == AXIS_ATTRIBUTE;
        if ((many && !down && s->axis != AXIS_SELF) || (mixed && s->axis == AXIS_CHILD))
            return false;
        many = many || (s->axis != AXIS_SELF && s->axis != AXIS_PARENT);
        mixed = mixed || s->axis == AXIS_DESCENDANT || s->axis == AXIS_ANCESTOR ||
                s->axis == AXIS_PRECEDING;
    }
    return true;
}

static const struct value *variable_numbered(const struct render *r, unsigned number)
{
    for (const struct variable *v = r->variables; v != NULL; v = v->outer) {
        if (v->number == number)
            return &v->value;
    }
    return NULL;
}

/* The nodes of an expression that a path starts from. */
static struct found walk_start(struct render *r, const struct xp *x)
{
    struct found start = {NULL, 0, 0};
    struct value v = walk(r, x->a);
    if (v.type != TYPE_NODES)
        return start;
    if (x->predicates == NULL)
        return (struct found){v.nodes, v.n, v.n};
    for (size_t i = 0; i < v.n; i++)
        found_add(r, &start, v.nodes[i]); /* a copy: filtering must not change a variable */
    filter(r, x->predicates, &start, 0);
    return start;
}

/* A path without an expression to start from has at least one step. */
static struct value walk_path(struct render *r, const struct xp *x)
{
    xmlNode *here = x->absolute ? (xmlNode *)r->doc : r->context;
    struct found start = {&here, 1, 1};
    if (x->own) {
        struct found own = {NULL, 0, 0};
        xmlNode *at = (xmlNode *)(uintptr_t)own_attribute(r, x);
        if (at != NULL)
            found_add(r, &own, at);
        return (struct value){.type = TYPE_NODES, .nodes = own.items, .n = own.n};
    }
    if (x->a != NULL)
        start = walk_start(r, x);
    struct found from = start;
    for (const struct xp_step *step = x->steps; step != NULL; step = step->next) {
        struct found to = {NULL, 0, 0};
        bool any = is_to_any_attribute(step);
        for (size_t i = 0; i < from.n; i++) {
            if (any)
                walk_to_any_attribute(r, step->next, from.items[i], &to);
            else
                walk_step(r, step, from.items[i], &to);
        }
        if (any)
            step = step->next;
        from = to;
    }
    if (x->steps != NULL && !keeps_order(x, &start))
        put_in_order(&from);
    return (struct value){.type = TYPE_NODES, .nodes = from.items, .n = from.n};
}

static struct value walk_union(struct render *r, const struct xp *x)
{
    struct value a = walk(r, x->a), b = walk(r, x->b);
    struct found all = {NULL, 0, 0};
    for (size_t i = 0; i < a.n; i++)
        found_add(r, &all, a.nodes[i]);
    for (size_t i = 0; i < b.n; i++)
        found_add(r, &all, b.nodes[i]);
    put_in_order(&all);
    return (struct value){.type = TYPE_NODES, .nodes = all.items, .n = all.n};
}

static struct value walk_call(struct render *r, const struct xp *x)
{
    enum { ARGS_MAX = 16 };
    struct value args[ARGS_MAX];
    int n = 0;
    for (const struct xp *arg = x->a; arg != NULL && n < ARGS_MAX; arg = arg->next)
        args[n++] = walk(r, arg);
    return function_call(r, x->function, args, n);
}

static double arithmetic(enum xp_op op, double a, double b)
{
    switch (op) {
    case XP_ADD:
        return a + b;
    case XP_SUBTRACT:
        return a - b;
    case XP_MULTIPLY:
        return a * b;
    case XP_DIVIDE:
        return a / b;
    default:
        return fmod(a, b);
    }
}

/* The text of what an attribute is mostly held against: a literal, or a variable that is a text or
 * one node. NULL: something else. */
static const char *text_beside(struct render *r, const struct xp *x)
{
    if (x->op == XP_LITERAL)
        return x->text;
    const struct value *v = x->op == XP_VARIABLE ? variable_numbered(r, x->name) : NULL;
    if (v != NULL && v->type == TYPE_STRING)
        return v->text;
    return v != NULL && v->type == TYPE_NODES && v->n == 1 ? node_string(r, v->nodes[0]) : NULL;
}

static bool compare_operands(struct render *r, const struct xp *x)
{
    const char *text = NULL;
    if ((x->op == XP_EQUAL || x->op == XP_UNEQUAL) && x->a->op == XP_PATH && x->a->own)
        text = text_beside(r, x->b);
    if (text != NULL) {
        const xmlNode *at = own_attribute(r, x->a);
        return at != NULL && (strcmp(node_string(r, at), text) == 0) == (x->op == XP_EQUAL);
    }
    struct value a = walk(r, x->a), b = walk(r, x->b);
    return compare(r, x->op, &a, &b);
}

/* As value_truth() of the value, which need not be made to know. */
static bool truth(struct render *r, const struct xp *x)
{
    if (x->op == XP_OR)
        return truth(r, x->a) || truth(r, x->b);
    if (x->op == XP_AND)
        return truth(r, x->a) && truth(r, x->b);
    if (x->op >= XP_EQUAL && x->op <= XP_MORE_EQUAL)
        return compare_operands(r, x);
    if (x->op == XP_CALL && x->function == FN_NOT)
        return !truth(r, x->a);
    if (x->op == XP_PATH && x->own)
        return own_attribute(r, x) != NULL;
    struct value v = walk(r, x);
    return value_truth(&v);
}

static struct value walk_binary(struct render *r, const struct xp *x)
{
    if (x->op < XP_ADD)
        return truth_value(truth(r, x));
    struct value a = walk(r, x->a), b = walk(r, x->b);
    return number_value(arithmetic(x->op, value_number(r, &a), value_number(r, &b)));
}

static struct value walk(struct render *r, const struct xp *x)
{
    const struct value *v;
    struct value a;
    switch (x->op) {
    case XP_LITERAL:
        return (struct value){.type = TYPE_STRING, .text = x->text};
    case XP_NUMBER:
        return number_value(x->number);
    case XP_VARIABLE:
        v = variable_numbered(r, x->name);
        return v != NULL ? *v : (struct value){.type = TYPE_STRING, .text = ""};
    case XP_CALL:
        return walk_call(r, x);
    case XP_PATH:
        return walk_path(r, x);
    case XP_UNION:
        return walk_union(r, x);
    case XP_NEGATE:
        a = walk(r, x->a);
        return number_value(-value_number(r, &a));
    default:
        return walk_binary(r, x);
    }
}

/* ---- what others ask for -------------------------------------------------------------------- */

struct value eval(struct render *r, const struct expr *e)
{
    r->nothing = false;
    return e->compiled == NULL ? walk(r, e->tree) : eval_by_library(r, e);
}

bool eval_truth(struct render *r, const struct expr *e)
{
    if (e->compiled == NULL) {
        r->nothing = false;
        return truth(r, e->tree);
    }
    struct value v = eval_by_library(r, e);
    return value_truth(&v);
}

const char *eval_string(struct render *r, const struct expr *e)
{
    if (e->compiled == NULL && e->tree->op == XP_PATH && e->tree->own) {
        const xmlNode *at = own_attribute(r, e->tree);
        r->nothing = false;
        return at != NULL ? node_string(r, at) : "";
    }
    struct value v = eval(r, e);
    if (v.type == TYPE_NUMBER && !isfinite(v.number))
        return "";
    return value_string(r, &v);
}

xmlNode **eval_nodes(struct render *r, const struct expr *e, size_t *n)
{
    struct value v = eval(r, e);
    *n = v.type == TYPE_NODES ? v.n : 0;
    return v.type == TYPE_NODES ? v.nodes : NULL;
}
