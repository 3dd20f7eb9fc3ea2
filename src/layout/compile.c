/* Elements to nodes: what may stand where, parts put in place, contexts and variables followed so
 * that each expression is held against what it will meet. */
#include "layout/layout_int.h"

#include <string.h>

static const struct node *compile_list(struct loader *l, const xmlNode *parent, unsigned place);

/* The parser notes for a text where its first piece ended; where it began follows from what
 * stands before it. */
static long end_line(const xmlNode *x);

static long start_line(const xmlNode *x)
{
    if (x->type == XML_ELEMENT_NODE)
        return xmlGetLineNo(x);
    return x->prev != NULL ? end_line(x->prev) : xmlGetLineNo(x->parent);
}

static long end_line(const xmlNode *x)
{
    if (x->type == XML_ELEMENT_NODE)
        return x->last != NULL ? end_line(x->last) : xmlGetLineNo(x);
    long line = start_line(x);
    for (const xmlChar *s = x->content; s != NULL && *s != '\0'; s++)
        line += *s == '\n';
    return line;
}

static bool is_white(const char *s)
{
    return s[strspn(s, " \t\r\n")] == '\0';
}

static struct node *node_new(struct loader *l, const xmlNode *x, enum element element)
{
    struct node *node = arena_alloc(l->t->arena, sizeof(*node));
    node->element = element;
    node->file = l->file;
    node->line = start_line(x);
    if (++l->n_nodes == NODES_MAX)
        loader_error(l, x, DIAG_TEMPLATE_TOO_LARGE,
                     "%d elements at most, with every part put in place", (int)NODES_MAX);
    return node;
}

/* White space between a choice and its otherwise belongs to neither. */
static bool is_before_otherwise(const xmlNode *x)
{
    for (x = x->next; x != NULL && x->type != XML_ELEMENT_NODE; x = x->next) {
        if (x->type != XML_COMMENT_NODE && !is_white((const char *)x->content))
            return false;
    }
    return xml_is(x, "otherwise");
}

static struct node *compile_text(struct loader *l, const xmlNode *x, unsigned place)
{
    const char *s = (const char *)x->content;
    if (s == NULL || *s == '\0' || (is_white(s) && is_before_otherwise(x)))
        return NULL;
    if (place != IN_INLINE) {
        if (!is_white(s)) {
            /* Skip to the line of the first visible character. */
            l->line = start_line(x);
            for (size_t i = 0, n = strspn(s, " \t\r\n"); i < n; i++)
                l->line += s[i] == '\n';
            loader_error(l, x->parent, DIAG_TEMPLATE_TEXT, "in %s",
                         (const char *)x->parent->name);
            l->line = 0;
        }
        return NULL;
    }
    struct node *node = node_new(l, x, EL_TEXT);
    node->text = text_compile(l, x->parent, s, node->line);
    return node->text != NULL && node->text->n > 0 ? node : NULL;
}

static void unexpected(struct loader *l, const xmlNode *x, unsigned place)
{
    const char *fits[EL_COUNT], *all[EL_COUNT], *name = (const char *)x->name;
    size_t n = 0, n_all = 0;
    for (int e = EL_REPORT; e < EL_COUNT; e++) {
        const struct element_spec *spec = element_spec_at((enum element)e);
        all[n_all++] = spec->name;
        if ((spec->where & place) != 0)
            fits[n++] = spec->name;
    }
    const char *near = element_spec(name) != NULL ? NULL : str_nearest(name, fits, n);
    if (near == NULL && element_spec(name) == NULL)
        near = str_nearest(name, all, n_all);
    char expected[400] = "";
    for (size_t i = 0; i < n && near == NULL; i++) {
        size_t len = strlen(expected);
        snprintf(expected + len, sizeof(expected) - len, "%s%s", i > 0 ? ", " : "", fits[i]);
    }
    const char *parent = (const char *)x->parent->name;
    if (near != NULL)
        loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "%s in %s; nearest known name: %s", name, parent,
                     near);
    else
        loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "%s in %s, which takes %s", name, parent,
                     n > 0 ? expected : "no elements");
}

static void compile_include(struct loader *l, const xmlNode *x, struct node *node, unsigned place)
{
    const struct attr *part = node_attr(node, AT_PART);
    const struct part *p = part != NULL ? loader_part(l, x, part->plain) : NULL;
    const char *file = l->file;
    if (p == NULL || !loader_enter(l, x, p))
        return;
    const struct scope *scope = l->scope;
    node->children = compile_list(l, xmlDocGetRootElement(p->doc), place);
    l->scope = scope;
    loader_leave(l);
    l->file = file;
}

static bool is_name(const char *s)
{
    static const char letters[] =
        "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_-0123456789";
    return *s != '\0' && s[strspn(s, letters)] == '\0' && strchr("-0123456789", *s) == NULL;
}

static void compile_let(struct loader *l, const xmlNode *x, const struct node *node)
{
    struct attr *name = (struct attr *)(uintptr_t)node_attr(node, AT_NAME);
    const struct expr *e = node_expr(node, AT_SELECT);
    if (name == NULL)
        return;
    if (!is_name(name->plain)) {
        loader_error(l, x, DIAG_TEMPLATE_VALUE,
                     "name=\"%.40s\" on let: expected a name of letters, digits and hyphens",
                     name->plain);
        return;
    }
    /* Of an expression that was refused, anything may be asked without a further error. */
    struct xp_result anything = {TYPE_NODES, l->vocabulary->all, false};
    struct scope *scope = arena_alloc(l->t->arena, sizeof(*scope));
    name->choice = (int)names_add(&l->t->names, name->plain);
    *scope = (struct scope){name->plain, e != NULL ? *e->gives : anything, l->scope};
    l->scope = scope;
}

/* An otherwise needs a when before it; only white space and comments may stand between. */
static void check_chain(struct loader *l, const xmlNode *x)
{
    const xmlNode *before = x->prev;
    while (before != NULL && (before->type == XML_COMMENT_NODE ||
                              (before->type == XML_TEXT_NODE &&
                               is_white((const char *)before->content))))
        before = before->prev;
    bool open = xml_is(before, "when") ||
                (xml_is(before, "otherwise") && xmlHasProp(before, (const xmlChar *)"test"));
    if (!open)
        loader_error(l, x, DIAG_TEMPLATE_ELEMENT,
                     "otherwise must follow a when, or an otherwise with a test");
}

static bool has_descendant(const struct node *children, enum element element)
{
    for (; children != NULL; children = children->next) {
        if (children->element == element)
            return true;
        bool transparent = children->element == EL_WHEN || children->element == EL_OTHERWISE ||
                           children->element == EL_INCLUDE || children->element == EL_EACH;
        if (transparent && has_descendant(children->children, element))
            return true;
    }
    return false;
}

static void require_child(struct loader *l, const xmlNode *x, const struct node *node,
                          enum element element)
{
    if (!has_descendant(node->children, element))
        loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "%s needs a %s", (const char *)x->name,
                     element_spec_at(element)->name);
}

static void at_most_one(struct loader *l, const xmlNode *x, const struct node *node,
                        enum element element)
{
    int n = 0;
    for (const struct node *child = node->children; child != NULL; child = child->next)
        n += child->element == element;
    if (n > 1)
        loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "a second %s in %s",
                     element_spec_at(element)->name, (const char *)x->name);
}

static void check_children(struct loader *l, const xmlNode *x, const struct node *node)
{
    switch (node->element) {
    case EL_TABLE:
        require_child(l, x, node, EL_COLUMN);
        at_most_one(l, x, node, EL_GROUP_HEAD);
        break;
    case EL_COLUMN:
        require_child(l, x, node, EL_CELL);
        at_most_one(l, x, node, EL_CELL);
        at_most_one(l, x, node, EL_HEAD);
        at_most_one(l, x, node, EL_FOOT);
        break;
    case EL_COLUMNS:
        require_child(l, x, node, EL_PART_COLUMN);
        break;
    default:
        break;
    }
}

/* White space at the edges of what repeats with a text between, or of a part inside a line, is
 * layout of the file and not of the page. */
static void trim_edges(const struct node *children)
{
    const struct node *first = children, *last = children;
    while (last != NULL && last->next != NULL)
        last = last->next;
    if (first != NULL && first->element == EL_TEXT && first->text->pieces[0].literal != NULL) {
        struct piece *p = &first->text->pieces[0];
        p->literal += *p->literal == ' ';
    }
    if (last != NULL && last->element == EL_TEXT) {
        struct piece *p = &last->text->pieces[last->text->n - 1];
        size_t len = p->literal != NULL ? strlen(p->literal) : 0;
        if (len > 0 && p->literal[len - 1] == ' ')
            ((char *)(uintptr_t)p->literal)[len - 1] = '\0';
    }
}

/* The sort key is seen from what is sorted, the condition of a shade from the row. */
static void compile_row_exprs(struct loader *l, const xmlNode *x, struct node *node)
{
    for (size_t i = 0; i < node->n_attrs; i++) {
        struct attr *attr = &node->attrs[i];
        if (attr->id == AT_SORT || attr->id == AT_SHADE)
            attr->expr = expr_compile(l, x, attr->plain, strlen(attr->plain));
    }
}

static void compile_inside(struct loader *l, const xmlNode *x, const struct element_spec *spec,
                           struct node *node, unsigned place)
{
    unsigned inside = spec->inside == 0 ? place : spec->inside;
    const struct expr *select = node_expr(node, AT_SELECT);
    const struct scope *scope = l->scope;
    struct xp_result context = l->context, row = l->row;
    bool running = l->running;
    l->running = running || spec->element == EL_RUNNING_HEAD || spec->element == EL_RUNNING_FOOT;
    if (spec->element == EL_TABLE && select != NULL)
        l->row = *select->gives;
    else if (select != NULL && spec->element != EL_LET)
        l->context = *select->gives;
    if (spec->element == EL_CELL)
        l->context = l->row;
    struct xp_result inside_context = l->context;
    if (spec->element == EL_TABLE)
        l->context = l->row;
    compile_row_exprs(l, x, node);
    l->context = inside_context;
    if (spec->element == EL_INCLUDE)
        compile_include(l, x, node, place);
    else
        node->children = compile_list(l, x, inside);
    if (inside == IN_INLINE && ((spec->element == EL_EACH && node_attr(node, AT_BETWEEN) != NULL) ||
                                spec->element == EL_INCLUDE))
        trim_edges(node->children);
    check_children(l, x, node);
    l->running = running;
    l->context = context;
    l->row = row;
    l->scope = scope;
}

struct node *compile_element(struct loader *l, const xmlNode *x, unsigned place)
{
    const struct element_spec *spec = element_spec((const char *)x->name);
    if (spec == NULL || (spec->where & place) == 0) {
        unexpected(l, x, place);
        return NULL;
    }
    struct node *node = node_new(l, x, spec->element);
    struct xp_result context = l->context;
    if (spec->element == EL_GROUP_HEAD)
        l->context = l->row;
    attributes_parse(l, x, spec, node);
    if (spec->element == EL_OTHERWISE)
        check_chain(l, x);
    if (spec->element == EL_IMAGE)
        image_compile(l, x, node);
    if (spec->element == EL_PAGE_MARK && !l->running)
        loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "page-mark stands only in a running-head or "
                     "running-foot");
    if (spec->element == EL_EACH && place != IN_INLINE && node_attr(node, AT_BETWEEN) != NULL)
        loader_error(l, x, DIAG_TEMPLATE_ATTRIBUTE, "between on each, which takes it only inside "
                     "text");
    compile_inside(l, x, spec, node, place);
    if (spec->element == EL_LET)
        compile_let(l, x, node);
    l->context = context;
    return node;
}

static bool is_collected(const xmlNode *x)
{
    return xml_is(x, "style") || xml_is(x, "word") || xml_is(x, "dates") ||
           xml_is(x, "numbers") || xml_is(x, "title");
}

static const struct node *compile_list(struct loader *l, const xmlNode *parent, unsigned place)
{
    const struct node *first = NULL, **last = &first;
    for (const xmlNode *x = parent->children; x != NULL && l->n_nodes < NODES_MAX; x = x->next) {
        struct node *node = NULL;
        if (x->type == XML_ELEMENT_NODE && !(place == IN_ROOT && is_collected(x)))
            node = compile_element(l, x, place);
        else if (x->type == XML_TEXT_NODE || x->type == XML_CDATA_SECTION_NODE)
            node = compile_text(l, x, place);
        if (node == NULL)
            continue;
        *last = node;
        last = &node->next;
    }
    return first;
}

const struct node *compile_children(struct loader *l, const xmlNode *parent, unsigned place)
{
    return compile_list(l, parent, place);
}
