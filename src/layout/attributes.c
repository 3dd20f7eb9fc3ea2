/* Attribute values: lengths to points, choices to their index, expressions compiled. Whatever is
 * not understood is reported with what was expected. */
#include "layout/layout_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double length_max = 14400.0; /* pt, the largest page PDF knows */

bool length_parse(const char *s, double *pt)
{
    static const struct {
        const char *unit;
        double pt;
    } units[] = {{"pt", 1.0}, {"mm", 72.0 / 25.4}, {"cm", 72.0 / 2.54}, {"in", 72.0}};
    size_t len = strlen(s);
    if (strcmp(s, "0") == 0) {
        *pt = 0;
        return true;
    }
    for (size_t i = 0; i < ARRAY_LEN(units) && len > 2; i++) {
        double value;
        if (strcmp(s + len - 2, units[i].unit) != 0)
            continue;
        if (!num_parse(s, len - 2, &value) || value < 0 || value * units[i].pt > length_max)
            return false;
        *pt = value * units[i].pt;
        return true;
    }
    return false;
}

bool colour_parse(const char *s, struct colour *c)
{
    float part[3];
    if (strlen(s) != 7 || s[0] != '#' || strspn(s + 1, "0123456789abcdefABCDEF") != 6)
        return false;
    for (int i = 0; i < 3; i++) {
        char two[3] = {s[1 + 2 * i], s[2 + 2 * i], '\0'};
        part[i] = (float)strtol(two, NULL, 16) / 255.0f;
    }
    *c = (struct colour){part[0], part[1], part[2]};
    return true;
}

static bool width_parse(const char *s, struct width *w)
{
    size_t len = strlen(s);
    *w = (struct width){WIDTH_AUTO, 0};
    if (strcmp(s, "auto") == 0)
        return true;
    if (len > 0 && s[len - 1] == '*') {
        w->kind = WIDTH_SHARE;
        w->value = 1;
        return len == 1 || (num_parse(s, len - 1, &w->value) && w->value > 0);
    }
    w->kind = WIDTH_FIXED;
    return length_parse(s, &w->value) && w->value > 0;
}

/* One length for all sides; two for above-and-below and the sides; or top right bottom left. */
static bool margins_parse(const char *s, double margins[4])
{
    char copy[120], *rest = NULL;
    int n = 0;
    if (strlen(s) >= sizeof(copy))
        return false;
    snprintf(copy, sizeof(copy), "%s", s);
    for (char *w = strtok_r(copy, " ", &rest); w != NULL; w = strtok_r(NULL, " ", &rest)) {
        if (n == 4 || !length_parse(w, &margins[n++]))
            return false;
    }
    if (n == 1)
        margins[1] = margins[0];
    if (n == 1 || n == 2) {
        margins[2] = margins[0];
        margins[3] = margins[1];
    }
    return n == 1 || n == 2 || n == 4;
}

static int choice_index(const char *choices, const char *value)
{
    size_t len = strlen(value);
    int i = 0;
    for (const char *at = choices; *at != '\0'; i++) {
        size_t n = strcspn(at, " ");
        if (n == len && memcmp(at, value, n) == 0)
            return i;
        at += n;
        at += *at == ' ';
    }
    return -1;
}

static void bad_value(struct loader *l, const xmlNode *x, const struct attr_spec *spec,
                      const char *value, const char *expected)
{
    loader_error(l, x, DIAG_TEMPLATE_VALUE, "%s=\"%.60s\" on %s: expected %s", spec->name, value,
                 (const char *)x->name, expected);
}

static void parse_style(struct loader *l, const xmlNode *x, const struct attr_spec *spec,
                        const char *value, struct node *node)
{
    const struct layout_template *t = l->t;
    node->style = template_style(t, value);
    if (node->style != NULL)
        return;
    const char **names = mem_alloc((t->n_styles + 1) * sizeof(*names));
    for (size_t i = 0; i < t->n_styles; i++)
        names[i] = t->styles[i].name;
    const char *near = str_nearest(value, names, t->n_styles);
    loader_error(l, x, DIAG_TEMPLATE_STYLE, "%s=\"%.60s\"%s%s", spec->name, value,
                 near != NULL ? "; nearest known name: " : "", near != NULL ? near : "");
    free(names);
}

static void parse_number(struct loader *l, const xmlNode *x, const struct attr_spec *spec,
                         const char *value, struct attr *attr)
{
    bool ok = false;
    const char *expected = "a length such as 12pt, 5mm, 1.5cm or 1in";
    if (spec->type == ATTR_LENGTH) {
        ok = length_parse(value, &attr->number);
    } else {
        double least = spec->type == ATTR_COUNT ? 1 : 0;
        double most = spec->type == ATTR_COUNT ? 1000 : 1;
        expected = spec->type == ATTR_COUNT ? "a whole number from 1 to 1000"
                                            : "a grey from 0 (black) to 1 (white)";
        ok = num_parse(value, strlen(value), &attr->number) && attr->number >= least &&
             attr->number <= most &&
             (spec->type != ATTR_COUNT || attr->number == floor(attr->number));
    }
    if (!ok)
        bad_value(l, x, spec, value, expected);
}

static void parse_expr(struct loader *l, const xmlNode *x, const struct attr_spec *spec,
                       const char *value, struct attr *attr)
{
    attr->expr = expr_compile(l, x, value, strlen(value));
    if (attr->expr != NULL && spec->type == ATTR_NODES && attr->expr->gives->type != TYPE_NODES)
        bad_value(l, x, spec, value, "an expression that selects nodes");
}

static void parse_margins(struct loader *l, const xmlNode *x, const struct attr_spec *spec,
                          const char *value, struct attr *attr)
{
    double *margins = arena_alloc(l->t->arena, 4 * sizeof(*margins));
    attr->margins = margins;
    if (!margins_parse(value, margins))
        bad_value(l, x, spec, value, "one, two or four lengths");
}

static void parse_value(struct loader *l, const xmlNode *x, const struct attr_spec *spec,
                        const char *value, struct node *node, struct attr *attr)
{
    attr->id = spec->id;
    attr->plain = value;
    switch (spec->type) {
    case ATTR_PLAIN:
        if (*value == '\0')
            bad_value(l, x, spec, value, "a name or text");
        break;
    case ATTR_TEXT:
        attr->text = text_compile(l, x, value, 0);
        break;
    case ATTR_XPATH:
    case ATTR_NODES:
        parse_expr(l, x, spec, value, attr);
        break;
    case ATTR_LENGTH:
    case ATTR_COUNT:
    case ATTR_GREY:
        parse_number(l, x, spec, value, attr);
        break;
    case ATTR_COLOUR:
        if (!colour_parse(value, &attr->colour))
            bad_value(l, x, spec, value, "a colour such as #1a4f8b");
        break;
    case ATTR_CHOICE:
        attr->choice = choice_index(spec->choices, value);
        if (attr->choice < 0)
            bad_value(l, x, spec, value, spec->choices);
        break;
    case ATTR_STYLE:
        parse_style(l, x, spec, value, node);
        break;
    case ATTR_WIDTH:
        if (!width_parse(value, &attr->width))
            bad_value(l, x, spec, value, "auto, a length, or a share such as 2*");
        break;
    case ATTR_MARGINS:
        parse_margins(l, x, spec, value, attr);
        break;
    }
}

/* The name as written: the only prefix in the language is xml:. */
static const char *attribute_name(const xmlAttr *attr)
{
    bool is_xml = attr->ns != NULL && str_eq((const char *)attr->ns->prefix, "xml");
    if (is_xml && strcmp((const char *)attr->name, "lang") == 0)
        return "xml:lang";
    return (const char *)attr->name;
}

static const struct attr_spec *find_attr(const struct element_spec *spec, const char *name)
{
    for (size_t i = 0; i < spec->n_attrs; i++) {
        if (strcmp(spec->attrs[i].name, name) == 0)
            return &spec->attrs[i];
    }
    return NULL;
}

static void unknown_attribute(struct loader *l, const xmlNode *x, const struct element_spec *spec,
                              const char *name, const char *const *params)
{
    const char *names[64] = {NULL};
    size_t n = 0;
    for (size_t i = 0; i < spec->n_attrs && n < ARRAY_LEN(names); i++)
        names[n++] = spec->attrs[i].name;
    for (; params != NULL && *params != NULL && n < ARRAY_LEN(names); params++)
        names[n++] = *params;
    const char *near = str_nearest(name, names, n);
    char known[300] = "";
    for (size_t i = 0; i < n && near == NULL; i++) {
        size_t len = strlen(known);
        snprintf(known + len, sizeof(known) - len, "%s%s", i > 0 ? ", " : "", names[i]);
    }
    if (near != NULL)
        loader_error(l, x, DIAG_TEMPLATE_ATTRIBUTE, "%s on %s; nearest known name: %s", name,
                     spec->name, near);
    else
        loader_error(l, x, DIAG_TEMPLATE_ATTRIBUTE, "%s on %s, which takes %s", name, spec->name,
                     n > 0 ? known : "no attributes");
}

static void require_attributes(struct loader *l, const xmlNode *x, const struct element_spec *spec,
                               const struct node *node)
{
    for (size_t i = 0; i < spec->n_attrs; i++) {
        if (spec->attrs[i].required && node_attr(node, spec->attrs[i].id) == NULL)
            loader_error(l, x, DIAG_TEMPLATE_ATTRIBUTE, "%s needs %s", spec->name,
                         spec->attrs[i].name);
    }
}

/* The parameters of a figure are attributes too; which ones, its kind says. */
static const char *const *figure_attributes(struct loader *l, const xmlNode *x)
{
    char *kind = xml_attr(l->t->arena, x, "kind");
    if (kind == NULL)
        return NULL;
    const char *const *kinds = figure_kinds();
    size_t n = 0;
    for (; kinds[n] != NULL; n++) {
        if (strcmp(kinds[n], kind) == 0)
            return figure_params(kind);
    }
    const char *near = str_nearest(kind, kinds, n);
    loader_error(l, x, DIAG_TEMPLATE_FIGURE, "there is no figure of kind %.40s%s%s", kind,
                 near != NULL ? "; nearest known name: " : "", near != NULL ? near : "");
    return NULL;
}

static bool is_listed(const char *const *names, const char *name)
{
    for (; names != NULL && *names != NULL; names++) {
        if (strcmp(*names, name) == 0)
            return true;
    }
    return false;
}

bool attributes_parse(struct loader *l, const xmlNode *x, const struct element_spec *spec,
                      struct node *node)
{
    struct arena *a = l->t->arena;
    size_t errors = l->n_errors, n = 0;
    const char *const *params = spec->element == EL_FIGURE ? figure_attributes(l, x) : NULL;
    bool kind_known = spec->element != EL_FIGURE || params != NULL;
    for (const xmlAttr *at = x->properties; at != NULL; at = at->next)
        n++;
    if (n == 0) {
        require_attributes(l, x, spec, node);
        return l->n_errors == errors;
    }
    node->attrs = arena_alloc(a, n * sizeof(*node->attrs));
    if (params != NULL)
        node->params = arena_alloc(a, n * sizeof(*node->params));
    for (const xmlAttr *at = x->properties; at != NULL; at = at->next) {
        const char *name = attribute_name(at);
        const struct attr_spec *as = find_attr(spec, name);
        char *value = xml_attr(l->t->aside, x, (const char *)at->name);
        if (as != NULL) {
            parse_value(l, x, as, value, node, &node->attrs[node->n_attrs++]);
            node->given |= (uint64_t)1 << as->id;
        } else if (is_listed(params, name)) {
            struct figure_value *p = &node->params[node->n_params++];
            p->name = arena_strdup(a, name);
            p->text = text_compile(l, x, value, 0);
        } else if (kind_known) {
            unknown_attribute(l, x, spec, name, params);
        }
    }
    require_attributes(l, x, spec, node);
    return l->n_errors == errors;
}
