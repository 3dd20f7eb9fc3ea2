/*
 * XPath 1.0 as a tree. The library evaluates XPath but does not show what an expression names;
 * the tree lets a template be checked against the vocabulary before any data is seen, and lets
 * the many simple expressions of a chart be evaluated without the library's machinery.
 */
#include "layout/layout_int.h"

#include <string.h>

enum token {
    TOKEN_END, TOKEN_NAME, TOKEN_LITERAL, TOKEN_NUMBER, TOKEN_VARIABLE, TOKEN_FUNCTION, TOKEN_AXIS,
    TOKEN_NODE_TYPE, TOKEN_STAR, TOKEN_MULTIPLY, TOKEN_WORD_OP, TOKEN_SIGN, TOKEN_BAD
};

enum { DEPTH_MAX = 60 };

struct parser {
    struct arena *a, *names;
    const char *source, *at;
    enum token token;
    char text[256];            /* of the token */
    double number;
    bool after_operand;        /* the token before could end an operand */
    int depth;
    char *why;
    size_t why_size;
    bool failed;
};

static const struct xpath_function functions[] = {
    [FN_LAST] = {"last", 0, 0, TYPE_NUMBER, false, true},
    [FN_POSITION] = {"position", 0, 0, TYPE_NUMBER, false, true},
    [FN_COUNT_NODES] = {"count", 1, 1, TYPE_NUMBER, false, true},
    [FN_LOCAL_NAME] = {"local-name", 0, 1, TYPE_STRING, false, false},
    [FN_NAME] = {"name", 0, 1, TYPE_STRING, false, false},
    [FN_STRING] = {"string", 0, 1, TYPE_STRING, false, true},
    [FN_CONCAT] = {"concat", 2, -1, TYPE_STRING, false, true},
    [FN_STARTS_WITH] = {"starts-with", 2, 2, TYPE_BOOL, false, true},
    [FN_CONTAINS] = {"contains", 2, 2, TYPE_BOOL, false, true},
    [FN_SUBSTRING_BEFORE] = {"substring-before", 2, 2, TYPE_STRING, false, true},
    [FN_SUBSTRING_AFTER] = {"substring-after", 2, 2, TYPE_STRING, false, true},
    [FN_SUBSTRING] = {"substring", 2, 3, TYPE_STRING, false, true},
    [FN_STRING_LENGTH] = {"string-length", 0, 1, TYPE_NUMBER, false, true},
    [FN_NORMALIZE_SPACE] = {"normalize-space", 0, 1, TYPE_STRING, false, true},
    [FN_TRANSLATE] = {"translate", 3, 3, TYPE_STRING, false, true},
    [FN_BOOLEAN] = {"boolean", 1, 1, TYPE_BOOL, false, true},
    [FN_NOT] = {"not", 1, 1, TYPE_BOOL, false, true},
    [FN_TRUE] = {"true", 0, 0, TYPE_BOOL, false, true},
    [FN_FALSE] = {"false", 0, 0, TYPE_BOOL, false, true},
    [FN_NUMBER] = {"number", 0, 1, TYPE_NUMBER, false, true},
    [FN_SUM] = {"sum", 1, 1, TYPE_NUMBER, false, true},
    [FN_FLOOR] = {"floor", 1, 1, TYPE_NUMBER, false, true},
    [FN_CEILING] = {"ceiling", 1, 1, TYPE_NUMBER, false, true},
    [FN_ROUND] = {"round", 1, 1, TYPE_NUMBER, false, true},
    [FN_WORD] = {"word", 1, 2, TYPE_STRING, true, true},
    [FN_NUMBER_TEXT] = {"number-text", 1, 2, TYPE_STRING, true, true},
    [FN_NUMBERS_TEXT] = {"numbers-text", 1, 1, TYPE_STRING, true, true},
    [FN_SIGNED_TEXT] = {"signed-text", 1, 2, TYPE_STRING, true, true},
    [FN_DATE_TEXT] = {"date-text", 1, 1, TYPE_STRING, true, true},
    [FN_CAPITAL] = {"capital", 1, 1, TYPE_STRING, true, true},
    [FN_ABS] = {"abs", 1, 1, TYPE_NUMBER, true, true},
    [FN_MIN] = {"min", 2, 2, TYPE_NUMBER, true, true},
    [FN_MAX] = {"max", 2, 2, TYPE_NUMBER, true, true},
    [FN_LIST_TEXT] = {"list-text", 2, 3, TYPE_STRING, true, true},
};

const struct xpath_function *xpath_functions(size_t *n)
{
    *n = ARRAY_LEN(functions);
    return functions;
}

static void fail(struct parser *p, const char *expected)
{
    if (p->failed)
        return;
    p->failed = true;
    snprintf(p->why, p->why_size, "%s at character %zu", expected,
             (size_t)(p->at - p->source) + 1);
}

static bool is_name_start(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || (c & 0x80) != 0;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_name_char(char c)
{
    return is_name_start(c) || is_digit(c) || c == '-' || c == '.';
}

static const char *skip_space(const char *s)
{
    while (*s == ' ' || *s == '\t' || *s == '\n' || *s == '\r')
        s++;
    return s;
}

static bool take_text(struct parser *p, const char *from, size_t len)
{
    if (len >= sizeof(p->text)) {
        fail(p, "a shorter name or literal was expected");
        p->token = TOKEN_BAD;
        return false;
    }
    memcpy(p->text, from, len);
    p->text[len] = '\0';
    return true;
}

/* Most names differ in their first letter. */
static bool is_same(const char *a, const char *b)
{
    return *a == *b && strcmp(a, b) == 0;
}

static bool is_any_of(const char *s, const char *const *names)
{
    for (; *names != NULL; names++) {
        if (is_same(s, *names))
            return true;
    }
    return false;
}

static void scan_name(struct parser *p)
{
    static const char *const words[] = {"and", "or", "div", "mod", NULL};
    static const char *const types[] = {"node", "text", "comment", "processing-instruction", NULL};
    const char *from = p->at;
    while (is_name_char(*p->at))
        p->at++;
    if (!take_text(p, from, (size_t)(p->at - from)))
        return;
    const char *next = skip_space(p->at);
    if (p->after_operand && is_any_of(p->text, words))
        p->token = TOKEN_WORD_OP;
    else if (next[0] == ':' && next[1] == ':')
        p->token = TOKEN_AXIS;
    else if (*next == '(')
        p->token = is_any_of(p->text, types) ? TOKEN_NODE_TYPE : TOKEN_FUNCTION;
    else
        p->token = TOKEN_NAME;
}

static void scan_number(struct parser *p)
{
    const char *from = p->at;
    while (is_digit(*p->at))
        p->at++;
    if (*p->at == '.') {
        p->at++;
        while (is_digit(*p->at))
            p->at++;
    }
    if (!take_text(p, from, (size_t)(p->at - from)))
        return;
    const char *digits = p->text;
    size_t len = strlen(digits);
    char padded[sizeof(p->text) + 2];
    /* XPath writes ".5" and "5." as well; the plain decimal wants digits on both sides. */
    snprintf(padded, sizeof(padded), "%s%s%s", digits[0] == '.' ? "0" : "", digits,
             digits[len - 1] == '.' ? "0" : "");
    p->token = TOKEN_NUMBER;
    if (!num_parse(padded, strlen(padded), &p->number))
        p->token = TOKEN_BAD;
}

static void scan_literal(struct parser *p)
{
    const char *end = strchr(p->at + 1, *p->at);
    p->token = TOKEN_LITERAL;
    if (end == NULL) {
        fail(p, "a closing quote was expected");
        p->token = TOKEN_BAD;
        return;
    }
    if (take_text(p, p->at + 1, (size_t)(end - p->at - 1)))
        p->at = end + 1;
}

static void scan_sign(struct parser *p)
{
    static const char *const pairs[] = {"//", "..", "!=", "<=", ">=", "::", NULL};
    char two[3] = {p->at[0], p->at[0] ? p->at[1] : '\0', '\0'};
    size_t len = is_any_of(two, pairs) ? 2 : 1;
    if (strchr("/.()[]@,|+-=<>*$:!", *p->at) == NULL) {
        fail(p, "an expression was expected");
        p->token = TOKEN_BAD;
        return;
    }
    take_text(p, p->at, len);
    p->at += len;
    p->token = TOKEN_SIGN;
    if (p->text[0] == '*')
        p->token = p->after_operand ? TOKEN_MULTIPLY : TOKEN_STAR;
}

/* Whether a `*` or `and` that follows is an operator depends on what stands before it. */
static void advance(struct parser *p)
{
    static const char *const closing[] = {")", "]", ".", "..", NULL};
    p->after_operand = p->token == TOKEN_NAME || p->token == TOKEN_LITERAL ||
                       p->token == TOKEN_NUMBER || p->token == TOKEN_VARIABLE ||
                       p->token == TOKEN_STAR ||
                       (p->token == TOKEN_SIGN && is_any_of(p->text, closing));
    p->at = skip_space(p->at);
    char c = *p->at;
    if (c == '\0') {
        p->token = TOKEN_END;
        p->text[0] = '\0';
    } else if (c == '"' || c == '\'') {
        scan_literal(p);
    } else if (is_digit(c) || (c == '.' && is_digit(p->at[1]))) {
        scan_number(p);
    } else if (is_name_start(c)) {
        scan_name(p);
    } else if (c == '$' && is_name_start(p->at[1])) {
        p->at++;
        scan_name(p);
        p->token = TOKEN_VARIABLE;
    } else {
        scan_sign(p);
    }
}

static bool is_sign(const struct parser *p, const char *sign)
{
    return p->token == TOKEN_SIGN && is_same(p->text, sign);
}

static bool take_sign(struct parser *p, const char *sign)
{
    if (!is_sign(p, sign))
        return false;
    advance(p);
    return true;
}

static void need_sign(struct parser *p, const char *sign)
{
    if (take_sign(p, sign))
        return;
    char expected[32];
    snprintf(expected, sizeof(expected), "\"%s\" was expected", sign);
    fail(p, expected);
}

static struct xp *xp_new(struct parser *p, enum xp_op op)
{
    struct xp *x = arena_alloc(p->a, sizeof(*x));
    x->op = op;
    return x;
}

static struct xp *parse_or(struct parser *p);

static struct xp *parse_predicates(struct parser *p)
{
    struct xp *first = NULL, **last = &first;
    while (!p->failed && take_sign(p, "[")) {
        *last = parse_or(p);
        need_sign(p, "]");
        if (*last != NULL)
            last = &(*last)->next;
    }
    return first;
}

static void parse_axis(struct parser *p, struct xp_step *step)
{
    static const char *const names[] = {
        "child", "attribute", "self", "parent", "descendant", "descendant-or-self", "ancestor",
        "ancestor-or-self", "following-sibling", "preceding-sibling", "following", "preceding"};
    for (size_t i = 0; i < ARRAY_LEN(names); i++) {
        if (strcmp(p->text, names[i]) != 0)
            continue;
        step->axis = (enum xp_axis)i;
        advance(p);
        need_sign(p, "::");
        return;
    }
    fail(p, "the name of an axis was expected");
}

static void parse_node_test(struct parser *p, struct xp_step *step)
{
    if (p->token == TOKEN_NAME) {
        step->test = TEST_NAME;
        step->name = arena_strdup(p->names, p->text);
        advance(p);
        if (is_sign(p, ":"))
            fail(p, "a name without prefix was expected");
    } else if (p->token == TOKEN_STAR) {
        step->test = TEST_ANY;
        advance(p);
    } else if (p->token == TOKEN_NODE_TYPE) {
        bool is_text = strcmp(p->text, "text") == 0;
        if (!is_text && strcmp(p->text, "node") != 0)
            fail(p, "an element, an attribute, text() or node() was expected");
        step->test = is_text ? TEST_TEXT : TEST_NODE;
        advance(p);
        need_sign(p, "(");
        need_sign(p, ")");
    } else {
        fail(p, "the name of an element or attribute was expected");
    }
}

static struct xp_step *parse_step(struct parser *p)
{
    struct xp_step *step = arena_alloc(p->a, sizeof(*step));
    if (is_sign(p, ".") || is_sign(p, "..")) {
        step->axis = p->text[1] == '.' ? AXIS_PARENT : AXIS_SELF;
        step->test = TEST_NODE;
        advance(p);
        return step;
    }
    step->axis = AXIS_CHILD;
    if (take_sign(p, "@"))
        step->axis = AXIS_ATTRIBUTE;
    else if (p->token == TOKEN_AXIS)
        parse_axis(p, step);
    if (!p->failed)
        parse_node_test(p, step);
    if (!p->failed)
        step->predicates = parse_predicates(p);
    return step;
}

/* Is position() or last() asked for, outside the predicates of paths within? */
static bool asks_position(const struct xp *x)
{
    if (x == NULL || x->op == XP_PATH)
        return false;
    if (x->op == XP_CALL && (x->function == FN_POSITION || x->function == FN_LAST))
        return true;
    for (const struct xp *arg = x->op == XP_CALL ? x->a : NULL; arg != NULL; arg = arg->next) {
        if (asks_position(arg))
            return true;
    }
    return x->op != XP_CALL && (asks_position(x->a) || asks_position(x->b));
}

/* Does a predicate count positions? Then `//x[1]` is the first of each parent and not of all. */
static bool counts_positions(const struct xp *predicates)
{
    for (const struct xp *x = predicates; x != NULL; x = x->next) {
        bool numeric = x->op == XP_NUMBER || x->op == XP_VARIABLE || x->op == XP_NEGATE ||
                       (x->op >= XP_ADD && x->op <= XP_MODULO) ||
                       (x->op == XP_CALL && functions[x->function].gives == TYPE_NUMBER);
        if (numeric || asks_position(x))
            return true;
    }
    return false;
}

/* What // is short for: all descendants, then the step; in one where that is the same. */
static struct xp_step *from_anywhere_step(struct parser *p, struct xp_step *step)
{
    if (step->axis == AXIS_CHILD && !counts_positions(step->predicates)) {
        step->axis = AXIS_DESCENDANT;
        return step;
    }
    struct xp_step *all = arena_alloc(p->a, sizeof(*all));
    all->axis = AXIS_DESCENDANT_OR_SELF;
    all->test = TEST_NODE;
    all->next = step;
    return all;
}

static struct xp_step *parse_steps(struct parser *p, bool from_anywhere)
{
    struct xp_step *first = NULL, **last = &first;
    for (;;) {
        struct xp_step *step = parse_step(p);
        *last = step;
        if (from_anywhere && !p->failed)
            *last = from_anywhere_step(p, step);
        last = &step->next;
        if (p->failed || (!is_sign(p, "/") && !is_sign(p, "//")))
            return first;
        from_anywhere = p->text[1] == '/';
        advance(p);
    }
}

static bool starts_step(const struct parser *p)
{
    return p->token == TOKEN_NAME || p->token == TOKEN_STAR || p->token == TOKEN_AXIS ||
           p->token == TOKEN_NODE_TYPE || is_sign(p, "@") || is_sign(p, ".") || is_sign(p, "..");
}

static void check_call(struct parser *p, struct xp *call, int n)
{
    call->function = -1;
    for (size_t i = 0; i < ARRAY_LEN(functions); i++) {
        if (is_same(functions[i].name, call->text))
            call->function = (int)i;
    }
    if (call->function < 0) {
        const char *names[ARRAY_LEN(functions)];
        for (size_t i = 0; i < ARRAY_LEN(functions); i++)
            names[i] = functions[i].name;
        const char *nearest = str_nearest(call->text, names, ARRAY_LEN(names));
        char why[160];
        snprintf(why, sizeof(why), "there is no function %.60s()%s%s", call->text,
                 nearest ? ", nearest is " : "", nearest ? nearest : "");
        fail(p, why);
        return;
    }
    const struct xpath_function *f = &functions[call->function];
    if (n < f->least || (f->most >= 0 && n > f->most)) {
        char why[160];
        snprintf(why, sizeof(why), "%s() takes %d%s argument%s", f->name, f->least,
                 f->most == f->least ? "" : f->most < 0 ? " or more" : " or one more",
                 f->least == 1 && f->most == 1 ? "" : "s");
        fail(p, why);
    }
}

static struct xp *parse_call(struct parser *p)
{
    struct xp *call = xp_new(p, XP_CALL);
    call->text = arena_strdup(p->names, p->text);
    advance(p);
    need_sign(p, "(");
    struct xp **last = &call->a;
    int n = 0;
    if (!is_sign(p, ")")) {
        do {
            *last = parse_or(p);
            if (p->failed)
                return call;
            last = &(*last)->next;
            n++;
        } while (take_sign(p, ","));
    }
    need_sign(p, ")");
    if (!p->failed)
        check_call(p, call, n);
    return call;
}

static struct xp *parse_primary(struct parser *p)
{
    struct xp *x = NULL;
    if (p->token == TOKEN_LITERAL || p->token == TOKEN_VARIABLE || p->token == TOKEN_NUMBER) {
        x = xp_new(p, p->token == TOKEN_LITERAL    ? XP_LITERAL
                      : p->token == TOKEN_VARIABLE ? XP_VARIABLE
                                                   : XP_NUMBER);
        if (x->op == XP_NUMBER)
            x->number = p->number;
        else
            x->text = arena_strdup(x->op == XP_LITERAL ? p->a : p->names, p->text);
        advance(p);
    } else if (p->token == TOKEN_FUNCTION) {
        x = parse_call(p);
    } else if (take_sign(p, "(")) {
        x = parse_or(p);
        need_sign(p, ")");
    } else {
        fail(p, "an expression was expected");
    }
    return x;
}

static bool is_own_attribute(const struct xp_step *s)
{
    return s != NULL && s->next == NULL && s->axis == AXIS_ATTRIBUTE && s->test == TEST_NAME &&
           s->predicates == NULL;
}

static struct xp *parse_path(struct parser *p)
{
    struct xp *x = NULL;
    if (is_sign(p, "/") || is_sign(p, "//")) {
        bool anywhere = p->text[1] == '/';
        x = xp_new(p, XP_PATH);
        x->absolute = true;
        advance(p);
        if (anywhere || starts_step(p))
            x->steps = parse_steps(p, anywhere);
        return x;
    }
    if (starts_step(p)) {
        x = xp_new(p, XP_PATH);
        x->steps = parse_steps(p, false);
        x->own = is_own_attribute(x->steps);
        return x;
    }
    struct xp *start = parse_primary(p);
    if (p->failed || (!is_sign(p, "[") && !is_sign(p, "/") && !is_sign(p, "//")))
        return start;
    x = xp_new(p, XP_PATH);
    x->a = start;
    x->predicates = parse_predicates(p);
    if (is_sign(p, "/") || is_sign(p, "//")) {
        bool anywhere = p->text[1] == '/';
        advance(p);
        x->steps = parse_steps(p, anywhere);
    }
    return x;
}

static struct xp *binary(struct parser *p, enum xp_op op, struct xp *a, struct xp *b)
{
    struct xp *x = xp_new(p, op);
    x->a = a;
    x->b = b;
    return x;
}

static struct xp *parse_union(struct parser *p)
{
    struct xp *x = parse_path(p);
    while (!p->failed && take_sign(p, "|"))
        x = binary(p, XP_UNION, x, parse_path(p));
    return x;
}

static struct xp *parse_unary(struct parser *p)
{
    bool negative = false, any = false;
    while (take_sign(p, "-")) {
        negative = !negative;
        any = true;
    }
    struct xp *x = parse_union(p);
    if (!any)
        return x;
    x = binary(p, XP_NEGATE, x, NULL);
    return negative ? x : binary(p, XP_NEGATE, x, NULL);
}

/* Operators by rank, the loosest first. */
static const struct operator_row {
    int rank;
    const char *sign;
    enum xp_op op;
} operators[] = {
    {0, "or", XP_OR},         {1, "and", XP_AND},      {2, "=", XP_EQUAL},
    {2, "!=", XP_UNEQUAL},    {3, "<", XP_LESS},       {3, "<=", XP_LESS_EQUAL},
    {3, ">", XP_MORE},        {3, ">=", XP_MORE_EQUAL}, {4, "+", XP_ADD},
    {4, "-", XP_SUBTRACT},    {5, "*", XP_MULTIPLY},   {5, "div", XP_DIVIDE},
    {5, "mod", XP_MODULO},
};
static const struct operator_row *operator_at(const struct parser *p)
{
    if (p->token != TOKEN_SIGN && p->token != TOKEN_WORD_OP && p->token != TOKEN_MULTIPLY)
        return NULL;
    for (size_t i = 0; i < ARRAY_LEN(operators); i++) {
        if (is_same(operators[i].sign, p->text))
            return &operators[i];
    }
    return NULL;
}

/* Operators of that rank and tighter ones; those of one rank bind to the left. */
static struct xp *parse_rank(struct parser *p, int rank)
{
    struct xp *x = parse_unary(p);
    const struct operator_row *row;
    while (!p->failed && (row = operator_at(p)) != NULL && row->rank >= rank) {
        advance(p);
        x = binary(p, row->op, x, parse_rank(p, row->rank + 1));
    }
    return x;
}

static struct xp *parse_or(struct parser *p)
{
    struct xp *x = NULL;
    if (++p->depth > DEPTH_MAX)
        fail(p, "a less deeply nested expression was expected");
    else
        x = parse_rank(p, 0);
    p->depth--;
    return x;
}

struct xp *xpath_parse(struct arena *a, struct arena *names, const char *source, char *why,
                       size_t why_size)
{
    struct parser p = {.a = a, .names = names, .source = source, .at = source, .why = why,
                       .why_size = why_size};
    p.token = TOKEN_SIGN;
    advance(&p);
    struct xp *x = parse_or(&p);
    if (!p.failed && p.token != TOKEN_END)
        fail(&p, "the end of the expression was expected");
    return p.failed ? NULL : x;
}
