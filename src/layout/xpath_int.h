/*
 * Private to layout: the words of a document, the expressions of a template over it, and both as
 * numbers. Expressions are parsed once (xpath.c), held against the vocabulary (xpath_check.c) and
 * evaluated for each report (eval.c, functions.c).
 */
#ifndef ENDFEEL_LAYOUT_XPATH_INT_H
#define ENDFEEL_LAYOUT_XPATH_INT_H

#include "layout/layout.h"

#include <libxml/tree.h>
#include <libxml/xpath.h>

/* ---- vocabulary (vocabulary.c): what the document can hold ------------------------------- */

enum { NAMES_MAX = 255, NAME_WORDS = 4, NAME_DOCUMENT = NAMES_MAX };
struct name_set { /* set of vocabulary elements; NAME_DOCUMENT stands for the document itself */
    uint64_t bits[NAME_WORDS];
};
struct vocabulary {
    size_t n;
    const char *names[NAMES_MAX];
    const char **attributes[NAMES_MAX]; /* NULL-ended */
    struct name_set children[NAMES_MAX + 1], parents[NAMES_MAX + 1];
    struct name_set all;
};
struct vocabulary *vocabulary_new(struct arena *a, const struct layout_vocabulary *entries,
                                  size_t n, const char *root);
int vocabulary_index(const struct vocabulary *v, const char *name); /* -1: unknown */
bool vocabulary_has_attribute(const struct vocabulary *v, int element, const char *name);
void name_set_add(struct name_set *s, int i);
bool name_set_has(const struct name_set *s, int i);
bool name_set_is_empty(const struct name_set *s);
struct name_set name_set_union(struct name_set a, struct name_set b);

/* ---- XPath: parsed (xpath.c), checked (xpath_check.c), evaluated (eval.c) ----------------- */

enum xp_op {
    XP_LITERAL, XP_NUMBER, XP_VARIABLE, XP_CALL, XP_PATH, XP_NEGATE, XP_OR, XP_AND, XP_EQUAL,
    XP_UNEQUAL, XP_LESS, XP_LESS_EQUAL, XP_MORE, XP_MORE_EQUAL, XP_ADD, XP_SUBTRACT, XP_MULTIPLY,
    XP_DIVIDE, XP_MODULO, XP_UNION
};
enum xp_axis {
    AXIS_CHILD, AXIS_ATTRIBUTE, AXIS_SELF, AXIS_PARENT, AXIS_DESCENDANT, AXIS_DESCENDANT_OR_SELF,
    AXIS_ANCESTOR, AXIS_ANCESTOR_OR_SELF, AXIS_FOLLOWING_SIBLING, AXIS_PRECEDING_SIBLING,
    AXIS_FOLLOWING, AXIS_PRECEDING
};
enum xp_test { TEST_NAME, TEST_ANY, TEST_NODE, TEST_TEXT };

struct xp_step {
    enum xp_axis axis;
    enum xp_test test;
    const char *name;          /* of TEST_NAME */
    unsigned number;           /* of the name */
    struct xp *predicates;     /* linked by next */
    struct xp_step *next;
};
struct xp { /* small: a template has thousands, and a report looks at most of them */
    enum xp_op op;
    int function;              /* enum function, of XP_CALL */
    unsigned name;             /* of XP_VARIABLE: the number of its name */
    bool absolute;             /* of XP_PATH */
    bool own;                  /* of XP_PATH: `@name`, the most common of all */
    struct xp *next;           /* in a list of arguments or predicates */
    struct xp *a, *b;          /* operands; a: arguments of a call, start of a path or NULL */
    struct xp *predicates;     /* of a path: on its start */
    /* A literal, the name of a variable or function; of XP_NUMBER; of XP_PATH. */
    union { const char *text; double number; struct xp_step *steps; };
};
/* NULL when `source` is no expression; then `why` says what was expected where. Names, which
 * names_number() makes numbers of, lie in `names`. */
struct xp *xpath_parse(struct arena *a, struct arena *names, const char *source, char *why,
                       size_t size);

enum xp_type { TYPE_NODES, TYPE_STRING, TYPE_NUMBER, TYPE_BOOL };

enum function {
    FN_LAST, FN_POSITION, FN_COUNT_NODES, FN_LOCAL_NAME, FN_NAME, FN_STRING, FN_CONCAT,
    FN_STARTS_WITH, FN_CONTAINS, FN_SUBSTRING_BEFORE, FN_SUBSTRING_AFTER, FN_SUBSTRING,
    FN_STRING_LENGTH, FN_NORMALIZE_SPACE, FN_TRANSLATE, FN_BOOLEAN, FN_NOT, FN_TRUE, FN_FALSE,
    FN_NUMBER, FN_SUM, FN_FLOOR, FN_CEILING, FN_ROUND, FN_WORD, FN_NUMBER_TEXT,
    FN_NUMBERS_TEXT, FN_SIGNED_TEXT,
    FN_DATE_TEXT, FN_CAPITAL, FN_ABS, FN_MIN, FN_MAX, FN_LIST_TEXT, FN_COUNT
};
struct xpath_function {
    const char *name;
    int least, most;           /* arguments; most -1: any number */
    enum xp_type gives;
    bool own;                  /* ours, beyond XPath 1.0 */
    bool direct;               /* evaluated without the library */
};
const struct xpath_function *xpath_functions(size_t *n); /* by enum function */

struct xp_result { /* what an expression gives, by the vocabulary */
    enum xp_type type;
    struct name_set names;
    bool leaves;               /* may hold attributes or text */
};
struct expr {
    const char *source;
    struct xp *tree;
    xmlXPathCompExpr *compiled; /* NULL: evaluated directly from the tree */
    const struct xp_result *gives;
};

struct value { /* which member counts follows from the type */
    enum xp_type type;
    bool truth;
    size_t n;                  /* of nodes */
    union { xmlNode **nodes; const char *text; double number; };
};

/* ---- names as numbers (names.c) ------------------------------------------------------------- */

struct names { /* numbered from 1 in the order they came; the strings are the caller's */
    const char **items;
    size_t n, cap, n_slots;
    unsigned *slots;
};
unsigned names_add(struct names *names, const char *name);
unsigned names_find(const struct names *names, const char *name); /* 0: not there */
void names_release(struct names *names);
void names_number(struct names *names, struct xp *list); /* those of expressions */

/* An element of the document in hand, or the document itself; in the document's order. */
struct spot {
    xmlNode *node;
    const struct spot *end;    /* past what it holds */
    unsigned name, order, n;   /* n: attributes */
    uint64_t has;              /* a bit for the number of each, modulo 64 */
    const unsigned *numbers;
    xmlAttr **attributes;
};
struct render;
void names_survey(struct render *r);
const struct spot *spot_of(const struct render *r, const xmlNode *node); /* NULL: no element */
int names_compare_places(const xmlNode *a, const xmlNode *b); /* by order of the document */

#endif
