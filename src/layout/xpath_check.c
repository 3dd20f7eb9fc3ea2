/*
 * Holds an expression against the vocabulary: every name must be one that the document can hold
 * at that place. The elements a step may give are followed as a set, so that a misspelt or
 * misplaced name is an error of the template and never an empty cell.
 */
#include "layout/layout_int.h"

#include <string.h>

struct checker {
    struct loader *l;
    const xmlNode *at;
    const struct expr *expr;
    bool failed; /* one error an expression: the rest would follow from it */
};

static struct name_set no_names(void)
{
    struct name_set s = {{0}};
    return s;
}

static struct name_set step_from(const struct vocabulary *v, struct name_set from, bool down)
{
    struct name_set out = no_names();
    for (int word = 0; word < NAME_WORDS; word++) {
        for (uint64_t left = from.bits[word]; left != 0; left &= left - 1) {
            int i = word * 64 + __builtin_ctzll(left);
            out = name_set_union(out, down ? v->children[i] : v->parents[i]);
        }
    }
    return out;
}

static struct name_set closure(const struct vocabulary *v, struct name_set from, bool down,
                               bool with_self)
{
    struct name_set out = with_self ? from : no_names(), reach = from;
    for (size_t round = 0; round <= v->n; round++) {
        reach = step_from(v, reach, down);
        struct name_set next = name_set_union(out, reach);
        if (memcmp(&next, &out, sizeof(out)) == 0)
            break;
        out = next;
    }
    return out;
}

static struct name_set along(const struct vocabulary *v, enum xp_axis axis, struct xp_result from)
{
    /* The element that holds an attribute is not followed: any may. */
    struct name_set up = from.leaves ? v->all : step_from(v, from.names, false);
    switch (axis) {
    case AXIS_CHILD:
        return step_from(v, from.names, true);
    case AXIS_SELF:
        return from.names;
    case AXIS_PARENT:
        return up;
    case AXIS_DESCENDANT:
        return closure(v, from.names, true, false);
    case AXIS_DESCENDANT_OR_SELF:
        return closure(v, from.names, true, true);
    case AXIS_ANCESTOR:
        return closure(v, up, false, true);
    case AXIS_ANCESTOR_OR_SELF:
        return name_set_union(from.names, closure(v, up, false, true));
    case AXIS_FOLLOWING_SIBLING:
    case AXIS_PRECEDING_SIBLING:
        return step_from(v, step_from(v, from.names, false), true);
    case AXIS_FOLLOWING:
    case AXIS_PRECEDING:
        return v->all;
    case AXIS_ATTRIBUTE:
        break;
    }
    return no_names();
}

/* "motion", "active or passive", "one of 5 elements" */
static void describe(const struct vocabulary *v, struct name_set s, char *out, size_t size)
{
    int n = 0;
    out[0] = '\0';
    for (int i = 0; i <= NAMES_MAX; i++) {
        if (!name_set_has(&s, i))
            continue;
        size_t len = strlen(out);
        n++;
        if (n <= 3)
            snprintf(out + len, size - len, "%s%s", n > 1 ? " or " : "",
                     i == NAME_DOCUMENT ? "the document" : v->names[i]);
    }
    if (n > 3)
        snprintf(out, size, "any of %d elements", n);
    else if (n == 0)
        snprintf(out, size, "an attribute or text");
}

static const char *nearest_attribute(const struct vocabulary *v, struct name_set s,
                                     const char *name)
{
    const char *best = NULL;
    int best_distance = 0;
    for (size_t i = 0; i < v->n; i++) {
        if (!name_set_has(&s, (int)i) || v->attributes[i] == NULL)
            continue;
        size_t n = 0;
        while (v->attributes[i][n] != NULL)
            n++;
        const char *near = str_nearest(name, v->attributes[i], n);
        if (near != NULL && (best == NULL || str_distance(name, near) < best_distance)) {
            best = near;
            best_distance = str_distance(name, near);
        }
    }
    return best;
}

static const char *nearest_element(const struct vocabulary *v, struct name_set s, const char *name)
{
    const char *names[NAMES_MAX];
    size_t n = 0;
    for (size_t i = 0; i < v->n; i++) {
        if (name_set_has(&s, (int)i))
            names[n++] = v->names[i];
    }
    return str_nearest(name, names, n);
}

/* The elements that hold this attribute, or may hold this element, anywhere. */
static struct name_set holders(const struct vocabulary *v, const char *name, bool attribute)
{
    struct name_set s = no_names();
    int element = attribute ? -1 : vocabulary_index(v, name);
    for (size_t i = 0; i < v->n && attribute; i++) {
        if (vocabulary_has_attribute(v, (int)i, name))
            name_set_add(&s, (int)i);
    }
    return element >= 0 ? v->parents[element] : s;
}

static void bad_name(struct checker *c, struct name_set from, struct name_set among,
                     const char *name, bool attribute)
{
    const struct vocabulary *v = c->l->vocabulary;
    const char *lead = "; nearest known name: ";
    char where[200], elsewhere[200];
    struct name_set known = holders(v, name, attribute);
    describe(v, from, where, sizeof(where));
    const char *near = attribute ? nearest_attribute(v, from, name)
                                 : nearest_element(v, among, name);
    if (near == NULL && !name_set_is_empty(&known)) {
        describe(v, known, elsewhere, sizeof(elsewhere));
        lead = "; it stands in ";
        near = elsewhere;
    }
    if (near == NULL)
        near = attribute ? nearest_attribute(v, v->all, name)
                         : nearest_element(v, v->all, name);
    c->failed = true;
    loader_error(c->l, c->at, DIAG_TEMPLATE_NAME, "%s%s never stands in %s, in {%s}%s%s",
                 attribute ? "@" : "", name, where, c->expr->source, near != NULL ? lead : "",
                 near != NULL ? near : "");
}

static bool has_attribute(const struct vocabulary *v, struct name_set s, const char *name)
{
    for (int i = 0; i < NAMES_MAX; i++) {
        if (name_set_has(&s, i) && vocabulary_has_attribute(v, i, name))
            return true;
    }
    return false;
}

static struct xp_result check(struct checker *c, const struct xp *x, struct xp_result context);

static void check_all(struct checker *c, const struct xp *list, struct xp_result context)
{
    for (; list != NULL; list = list->next)
        check(c, list, context);
}

static struct xp_result check_step(struct checker *c, const struct xp_step *step,
                                   struct xp_result from)
{
    const struct vocabulary *v = c->l->vocabulary;
    struct xp_result to = {TYPE_NODES, no_names(), false};
    if (step->axis == AXIS_ATTRIBUTE) {
        to.leaves = true;
        if (step->test == TEST_NAME && !has_attribute(v, from.names, step->name))
            bad_name(c, from.names, no_names(), step->name, true);
    } else {
        struct name_set reach = along(v, step->axis, from);
        to.names = reach;
        to.leaves = step->test == TEST_TEXT || (from.leaves && step->axis == AXIS_SELF);
        if (step->test == TEST_NAME) {
            int i = vocabulary_index(v, step->name);
            to.names = no_names();
            if (i < 0 || !name_set_has(&reach, i))
                bad_name(c, from.names, reach, step->name, false);
            else
                name_set_add(&to.names, i);
        } else if (step->test == TEST_TEXT) {
            to.names = no_names();
        }
    }
    if (!c->failed)
        check_all(c, step->predicates, to);
    return to;
}

static struct xp_result check_variable(struct checker *c, const struct xp *x)
{
    struct xp_result result = {TYPE_STRING, no_names(), false};
    const char *names[64];
    size_t n = 0;
    for (const struct scope *s = c->l->scope; s != NULL; s = s->outer) {
        if (strcmp(s->name, x->text) == 0)
            return s->gives;
        if (n < ARRAY_LEN(names))
            names[n++] = s->name;
    }
    const char *near = str_nearest(x->text, names, n);
    c->failed = true;
    loader_error(c->l, c->at, DIAG_TEMPLATE_NAME, "no let binds $%s here, in {%s}%s%s", x->text,
                 c->expr->source, near != NULL ? "; nearest known name: $" : "",
                 near != NULL ? near : "");
    return result;
}

static struct xp_result check_path(struct checker *c, const struct xp *x, struct xp_result context)
{
    struct xp_result at = context;
    at.type = TYPE_NODES;
    if (x->absolute) {
        at.names = no_names();
        name_set_add(&at.names, NAME_DOCUMENT);
        at.leaves = false;
    } else if (x->a != NULL) {
        at = check(c, x->a, context);
        if (!c->failed && at.type != TYPE_NODES) {
            c->failed = true;
            loader_error(c->l, c->at, DIAG_TEMPLATE_XPATH,
                         "a step or predicate follows what is not a set of nodes, in {%s}",
                         c->expr->source);
        }
    }
    if (!c->failed)
        check_all(c, x->predicates, at);
    for (const struct xp_step *step = x->steps; step != NULL && !c->failed; step = step->next)
        at = check_step(c, step, at);
    return at;
}

/* word('key'): a key written out must have a word already. */
static void check_word(struct checker *c, const struct xp *call)
{
    const struct layout_template *t = c->l->t;
    if (strcmp(call->text, "word") != 0 || call->a->op != XP_LITERAL || call->a->next != NULL ||
        template_word(t, call->a->text) != NULL)
        return;
    const char **keys = mem_alloc((t->n_words + 1) * sizeof(*keys));
    for (size_t i = 0; i < t->n_words; i++)
        keys[i] = t->words[i].key;
    const char *near = str_nearest(call->a->text, keys, t->n_words);
    loader_error(c->l, c->at, DIAG_TEMPLATE_WORD, "%s%s%s", call->a->text,
                 near != NULL ? "; nearest known key: " : "", near != NULL ? near : "");
    c->failed = true;
    free(keys);
}

static struct xp_result check_call(struct checker *c, const struct xp *x, struct xp_result context)
{
    size_t n;
    const struct xpath_function *f = &xpath_functions(&n)[x->function];
    check_all(c, x->a, context);
    if (!c->failed)
        check_word(c, x);
    return (struct xp_result){f->gives, no_names(), false};
}

static struct xp_result check(struct checker *c, const struct xp *x, struct xp_result context)
{
    struct xp_result result = {TYPE_STRING, no_names(), false};
    if (c->failed)
        return result;
    switch (x->op) {
    case XP_LITERAL:
        return result;
    case XP_NUMBER:
        result.type = TYPE_NUMBER;
        return result;
    case XP_VARIABLE:
        return check_variable(c, x);
    case XP_CALL:
        return check_call(c, x, context);
    case XP_PATH:
        return check_path(c, x, context);
    case XP_UNION: {
        struct xp_result a = check(c, x->a, context), b = check(c, x->b, context);
        a.names = name_set_union(a.names, b.names);
        a.leaves = a.leaves || b.leaves;
        return a;
    }
    case XP_NEGATE:
        check(c, x->a, context);
        result.type = TYPE_NUMBER;
        return result;
    default:
        check(c, x->a, context);
        check(c, x->b, context);
        result.type = x->op >= XP_ADD && x->op <= XP_MODULO ? TYPE_NUMBER : TYPE_BOOL;
        return result;
    }
}

struct xp_result xpath_check(struct loader *l, const xmlNode *at, const struct expr *e)
{
    struct checker c = {l, at, e, false};
    return check(&c, e->tree, l->context);
}
