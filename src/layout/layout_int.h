/*
 * Private to layout. The stages, each a plain structure that the next one reads:
 *
 *   files --load, compile--> nodes (checked, values parsed)      load.c styles.c compile.c
 *   nodes + document --bind--> boxes (text and numbers filled)    bind.c, bind_*.c, eval.c
 *   boxes + width --measure--> strips (lines, rows; heights known) measure.c table.c inline.c
 *   strips + sheets --flow--> pages                               flow.c draw.c
 *
 * Nodes live as long as the template; boxes and strips live in the arena of one rendering.
 */
#ifndef ENDFEEL_LAYOUT_INT_H
#define ENDFEEL_LAYOUT_INT_H

#include "figure/figure.h"
#include "layout/layout.h"
#include "layout/xpath_int.h"

#include <stdlib.h>

enum {
    NODES_MAX = 40000,         /* of one template with its parts put in place */
    PART_DEPTH_MAX = 16,
    ERRORS_MAX = 40,           /* reported of one template or one rendering */
    TEXT_MAX_BYTES = 4 << 20,  /* of one paragraph */
    TABLE_COLUMNS_MAX = 64
};

/* ---- nodes: the checked template ----------------------------------------------------------- */

enum element {
    EL_TEXT, EL_REPORT, EL_PART, EL_INCLUDE, EL_TITLE, EL_PAGE, EL_RUNNING_HEAD, EL_RUNNING_FOOT,
    EL_STYLE, EL_WORD, EL_DATES, EL_NUMBERS, EL_EACH, EL_WHEN, EL_OTHERWISE, EL_LET, EL_BOLD,
    EL_SPAN, EL_BREAK, EL_LINK, EL_PAGE_NUMBER, EL_PAGE_COUNT, EL_PAGE_MARK, EL_PLACE, EL_HEADING,
    EL_PARA, EL_LIST, EL_ITEM, EL_FACTS, EL_FACT, EL_TABLE, EL_COLUMN, EL_HEAD, EL_CELL, EL_FOOT,
    EL_GROUP_HEAD, EL_GRID, EL_KEEP, EL_COLUMNS, EL_PART_COLUMN, EL_RULE, EL_SPACE, EL_FIGURE,
    EL_IMAGE, EL_SIGNATURE, EL_BREAK_PAGE, EL_COUNT
};
enum attr_id {
    AT_ROOT, AT_LANG, AT_PART, AT_SELECT, AT_SIZE, AT_ORIENTATION, AT_MARGINS, AT_ON, AT_NAME,
    AT_FACE, AT_LEADING, AT_GREY, AT_COLOUR, AT_ALIGN, AT_ABOVE, AT_BELOW, AT_INDENT, AT_LIKE,
    AT_KEY, AT_STYLE, AT_LONG, AT_FORM, AT_DECIMAL, AT_MONTHS, AT_LONG_MONTHS, AT_SORT, AT_ORDER,
    AT_TYPE, AT_LIMIT, AT_BETWEEN, AT_TEST, AT_TO, AT_LEVEL, AT_KEEP, AT_BOX, AT_MARKER, AT_COLUMNS,
    AT_LABEL, AT_OPTIONAL, AT_REPEAT_HEAD, AT_LEAST_ROWS, AT_LINES, AT_EMPTY, AT_SPREAD, AT_GAP,
    AT_ROW_GAP, AT_WIDTH, AT_BY, AT_CONTINUED, AT_OVER, AT_HEIGHT, AT_KIND, AT_ALT, AT_PAGES,
    AT_SRC, AT_ANSWER, AT_LEAST_LINES, AT_SHADE, AT_GOES_ON, AT_REPEAT_FOOT, AT_RUNS_ON, AT_OF,
    AT_WHICH, AT_COUNT
};
/* Where an element may stand; a child list has one of these. */
enum place {
    IN_ROOT = 1 << 0, IN_PAGE = 1 << 1, IN_BLOCK = 1 << 2, IN_INLINE = 1 << 3, IN_LIST = 1 << 4,
    IN_FACTS = 1 << 5, IN_TABLE = 1 << 6, IN_COLUMN = 1 << 7, IN_COLUMNS = 1 << 8,
    IN_NOTHING = 1 << 9
};
enum attr_type {
    ATTR_PLAIN, ATTR_TEXT, ATTR_XPATH, ATTR_NODES, ATTR_LENGTH, ATTR_COUNT, ATTR_GREY, ATTR_COLOUR,
    ATTR_CHOICE, ATTR_STYLE, ATTR_WIDTH, ATTR_MARGINS
};
struct attr_spec {
    enum attr_id id;
    const char *name;
    enum attr_type type;
    bool required;
    const char *choices;       /* space-separated, of ATTR_CHOICE */
};
struct element_spec {
    enum element element;
    const char *name;
    unsigned where;            /* places it may stand in */
    unsigned inside;           /* place its children stand in; 0: that of the element itself */
    const struct attr_spec *attrs;
    size_t n_attrs;
};
const struct element_spec *element_spec(const char *name); /* NULL: unknown */
const struct element_spec *element_spec_at(enum element element);

enum align { ALIGN_LEFT, ALIGN_RIGHT, ALIGN_CENTER, ALIGN_DECIMAL };
enum width_kind { WIDTH_AUTO, WIDTH_FIXED, WIDTH_SHARE };
struct width {
    enum width_kind kind;
    double value;              /* pt, or the share */
};

struct style {
    const char *name;
    int face;
    double size, leading;
    struct colour colour;
    enum align align;
    double above, below, indent;
};

struct piece { /* of text with {expressions}: a literal or an expression */
    const char *literal;
    struct expr *expr;
    bool optional;             /* {?...} */
    long line;
};
struct text {
    struct piece *pieces;
    size_t n;
};

struct attr { /* a parsed value; which field counts follows from the type */
    enum attr_id id;
    int choice;                /* index into the choices; of the name of a let: its number */
    const char *plain;
    struct text *text;
    struct expr *expr;
    union {
        double number;         /* pt, a count, a grey */
        struct width width;
        const double *margins; /* top, right, bottom, left */
        struct colour colour;
    };
};

struct figure_value { /* a parameter of a figure */
    const char *name;
    struct text *text;
};

struct node {
    enum element element;
    const char *file;
    long line;
    const struct node *children, *next;
    struct attr *attrs;
    size_t n_attrs;
    uint64_t given;                /* a bit for each id among attrs */
    struct text *text;             /* of EL_TEXT */
    const struct style *style;     /* the one asked for, or NULL */
    struct figure_value *params;   /* of EL_FIGURE */
    size_t n_params;
};
const struct attr *node_attr(const struct node *node, enum attr_id id); /* NULL when not given */
struct expr *node_expr(const struct node *node, enum attr_id id);
double node_number(const struct node *node, enum attr_id id, double otherwise);
int node_choice(const struct node *node, enum attr_id id, int otherwise);
const char *node_name(const struct node *node);

struct word {
    const char *key, *text, *file;
    long line;
};
enum date_form { DATE_SHORT, DATE_LONG, DATE_FORMS };
struct date_style {
    const char *styles[DATE_FORMS]; /* the long one NULL: as the short one */
    enum date_form form;            /* the one that a report uses */
    const char *months[12], *long_months[12];
};

struct expr_list {
    struct expr **items;
    size_t n, cap;
};

struct layout_template {
    struct arena *arena;           /* what every report walks over, close together */
    struct arena *aside;           /* what only loading, messages and the library ask for */
    const char *name, *root, *language;
    char digest[DIGEST_HEX];
    const struct node *title;      /* NULL when none */
    const struct node *content;    /* pages, and what chooses among them */
    struct style *styles;
    size_t n_styles, cap_styles;
    struct word *words;            /* numbered by key */
    size_t n_words, cap_words;
    struct names word_keys;
    struct names names;            /* of elements, attributes and variables that are asked for */
    struct date_style dates;
    const char *decimal;           /* the sign before decimals */
    struct expr_list exprs;
    xmlXPathContext *xpath;        /* for expressions the direct way does not cover */
    struct image_store *images;
};
const struct style *template_style(const struct layout_template *t, const char *name);
const char *template_word(const struct layout_template *t, const char *key); /* NULL: none */

/* ---- loading ------------------------------------------------------------------------------- */

struct part { /* one file of the template */
    const char *name, *file;
    const xmlDoc *doc;
    struct part *next;
};
struct scope { /* variables in force while compiling */
    const char *name;
    struct xp_result gives;
    const struct scope *outer;
};
struct loader {
    struct layout_template *t;
    const char *folder;
    const struct font_set *fonts;
    struct layout_files *files;
    struct diag_sink *sink;
    const struct vocabulary *vocabulary;
    struct part *parts;
    struct digest digest;
    const struct part *stack[PART_DEPTH_MAX];
    int depth;
    const char *file;              /* being compiled */
    const struct scope *scope;
    bool running;                  /* inside a running head or foot */
    bool incomplete;               /* a file with styles and words could not be read */
    struct xp_result context;      /* what the context may be */
    struct xp_result row;          /* of the table in hand */
    long line;                     /* within a text; 0: that of the element */
    size_t n_nodes, n_errors;
};
/* Reports at an element; `detail` as printf. Counts, and falls silent after ERRORS_MAX. */
void loader_error(struct loader *l, const xmlNode *at, enum diag_code code, const char *fmt, ...)
    PRINTF_LIKE(4, 5);
const struct part *loader_part(struct loader *l, const xmlNode *at, const char *name);
bool loader_enter(struct loader *l, const xmlNode *at, const struct part *part);
void loader_leave(struct loader *l);
/* Styles, words and dates of the report and of what it includes at its root (styles.c). */
void styles_collect(struct loader *l, const xmlNode *root);
void styles_defaults(struct layout_template *t);
/* Compiles the children of an element (compile.c). `place` is where they stand. */
const struct node *compile_children(struct loader *l, const xmlNode *parent, unsigned place);
struct node *compile_element(struct loader *l, const xmlNode *x, unsigned place);
/* Attribute values (attributes.c). Report and return false when not understood. */
bool attributes_parse(struct loader *l, const xmlNode *x, const struct element_spec *spec,
                      struct node *node);
bool length_parse(const char *s, double *pt) MUST_CHECK;
bool colour_parse(const char *s, struct colour *c) MUST_CHECK;
/* `line`: of the first character, 0: that of the element. NULL after reporting. */
struct text *text_compile(struct loader *l, const xmlNode *at, const char *s, long line);
struct expr *expr_compile(struct loader *l, const xmlNode *at, const char *source, size_t len);
/* What an expression gives, by the vocabulary; reports names that can never occur. */
struct xp_result xpath_check(struct loader *l, const xmlNode *at, const struct expr *e);

/* ---- boxes: the template filled from the document ------------------------------------------ */

enum run_kind { RUN_TEXT, RUN_PAGE_NUMBER, RUN_PAGE_COUNT, RUN_PAGE_MARK, RUN_LINE_BREAK };
struct run {
    size_t from, to;               /* bytes of the paragraph's text */
    enum run_kind kind;
    const struct style *style;
    bool bold;
    const char *link;              /* or NULL */
    const struct node *mark;       /* of RUN_PAGE_MARK */
};
struct named_place { /* where a link inside the document may lead */
    size_t at;                     /* byte of the text that follows it */
    const char *name;
    const struct named_place *next;
};
struct inline_text { /* cleaned, white space collapsed */
    const char *text;
    size_t len;
    struct run *runs;
    size_t n_runs;
    bool plain;                    /* printable ASCII, one run */
    bool has_numbers;              /* page-number, page-count or page-mark among the runs */
    const struct named_place *places;
    const struct node *node;
};

/* Something to be filled in: a ruled line under every line, with the words or without; the words
 * take the same room either way. */
struct answer {
    bool ruled, hidden;
    size_t least;                  /* lines */
};

enum box_kind {
    BOX_PARA, BOX_LIST, BOX_FACTS, BOX_TABLE, BOX_GRID, BOX_COLUMNS, BOX_KEEP, BOX_RULE, BOX_SPACE,
    BOX_FIGURE, BOX_IMAGE, BOX_SIGNATURE, BOX_BREAK_PAGE, BOX_CELL
};
struct box {
    enum box_kind kind;
    const struct node *node;
    const struct style *style;
    struct box *children, *next;
    struct inline_text *text, *label; /* label: of a fact, a list item's marker */
    int level;                     /* of a heading; 0: none */
    bool keep_next, framed;
    struct answer answer;          /* of a para */
    struct width width;            /* of a BOX_CELL in columns */
    struct table_box *table;
    struct figure_param *params;
    size_t n_params;
    const char *alt;               /* of a figure or image */
    const struct image *image;
    const char *image_path;
    const xmlNode *data;           /* where it came from, for messages */
};

struct table_column {
    struct width width;
    enum align align;
    bool has_align;
    const struct style *style;     /* of the cells */
    struct answer answer;
    struct inline_text *head, *over, *foot;
    const struct node *cell;
    bool runs_on;                  /* cells may stand over empty ones right of them */
    const struct variable *variables; /* in force where the column stands */
};
struct table_row {
    struct inline_text **cells;    /* NULL: nothing in it */
    bool shaded;
    int group;                     /* -1: none */
};
struct table_group {
    struct inline_text *head, *again;
};
struct table_box {
    const struct node *node;
    const struct style *style, *head_style;
    struct table_column *columns;
    int n_columns;
    struct table_row *rows;
    size_t n_rows;
    struct table_group *groups;
    size_t n_groups;
    struct inline_text *again, *goes_on; /* after and before a page ends inside */
    bool has_heads, has_foots, repeat_head, repeat_foot, spread;
    int least_rows, lines;         /* lines: 0 head, 1 groups, 2 none */
    double gap, row_gap;
};

struct variable {
    const char *name;
    unsigned number;               /* of the name */
    struct value value;
    const struct variable *outer;
};

/* Headings and heads of groups as they come to stand on pages, for running heads that say what a
 * page is about (marks.c). */
enum { MARK_GROUP = 3, MARK_KINDS }; /* 0 to 2: the levels of headings */
struct mark_list {
    struct page_mark { const char *text; size_t page; } *items; /* by page */
    size_t n, cap;
    const char *widest;            /* of those bound so far, which room is kept for */
    double width;
};
struct inner_link { /* looked up when all pages stand (places.c) */
    const char *name;
    const struct node *node;
    xmlNode *context;
    struct inner_link *next;
};
struct section;
struct fixup { /* a page number or count in the flow, known only at the end */
    size_t page, item;
    enum run_kind kind;
};
struct sheet;

struct render {
    const struct layout_template *t;
    xmlDoc *doc;
    struct spot *spots;            /* of the document: itself, then its elements */
    const struct font_set *fonts;
    struct diag_sink *sink;
    struct arena *arena;
    struct page_list *list;
    bool failed;
    size_t n_errors;
    /* binding */
    xmlNode *context;
    size_t position, size;         /* of the context among its each */
    const struct variable *variables;
    const struct node *at;         /* what is being filled, for messages */
    long line;                     /* within its text; 0: that of the node */
    bool nothing;                  /* the expression in hand found nothing */
    bool may_vanish;               /* inside an optional fact */
    bool vanished;
    struct text_builder *builder;
    const struct style *para_style; /* of a para that names none */
    /* measuring and placing */
    size_t number, count;          /* printed for page numbers; 0: not known yet */
    struct fixup *fixups;
    size_t n_fixups, cap_fixups;
    struct sheet *sheets;
    size_t n_sheets, cap_sheets;
    double body_height;            /* of the section's tallest sheet */
    struct mark_list marks[MARK_KINDS];
    size_t marked_page;            /* whose marks are asked for */
    struct names places_bound, places_set;
    struct inner_link *links;
};
void render_error(struct render *r, enum diag_code code, const char *fmt, ...) PRINTF_LIKE(3, 4);
/* The place in the document, such as visit/region[2]/motion[3]; never a value. */
const char *render_path(struct render *r, const xmlNode *node);

/* marks.c */
void mark_bound(struct render *r, int kind, const struct inline_text *text);
void mark_set(struct render *r, int kind, const char *text, size_t page);
/* On the page in hand; the widest while there is none. */
const char *mark_text(const struct render *r, const struct node *page_mark);
/* places.c */
const char *place_bind(struct render *r, const struct node *node); /* NULL after reporting */
const char *link_bind(struct render *r, const struct node *node);
void place_set(struct render *r, const char *name, size_t page, double y);
void places_check_links(struct render *r);
/* eval.c */
struct value eval(struct render *r, const struct expr *e);
bool eval_truth(struct render *r, const struct expr *e);
const char *eval_string(struct render *r, const struct expr *e); /* arena or document memory */
xmlNode **eval_nodes(struct render *r, const struct expr *e, size_t *n);
/* Can it be evaluated from the tree alone? */
bool eval_is_direct(const struct xp *x);
const char *value_string(struct render *r, const struct value *v);
double value_number(struct render *r, const struct value *v);
bool value_truth(const struct value *v);
const char *node_string(struct render *r, const xmlNode *node);
/* eval_library.c */
xmlXPathContext *eval_context_new(void);
struct value eval_by_library(struct render *r, const struct expr *e);
/* functions.c: our own functions, shared by both ways of evaluating. */
struct value function_call(struct render *r, int function, const struct value *args, int n);
/* functions_text.c: those of XPath that it hands on. */
typedef struct value function_handler(struct render *r, const struct value *args, int n);
function_handler function_substring_before, function_substring_after, function_substring,
    function_string_length, function_normalize_space, function_translate, function_sum,
    function_floor, function_ceiling, function_round;
const char *number_text(struct arena *a, double value, int decimals, bool with_sign,
                        const char *decimal);
const char *date_style_of(const struct date_style *d); /* of the form in use */
bool date_style_is_valid(const char *style);

/* bind.c */
struct box_list {
    struct box *first, **last;
};
void box_list_init(struct box_list *list);
void box_list_add(struct box_list *list, struct box *box);
struct box *box_new(struct render *r, enum box_kind kind, const struct node *node);
struct box *bind_blocks(struct render *r, const struct node *children);
/* The blocks of a page; its running heads and feet go to the section. */
struct box *bind_page(struct render *r, const struct node *page, struct section *section);
const struct style *bind_style(const struct render *r, const struct node *node,
                               const char *otherwise);
/* bind_walk.c */
struct context_save {
    xmlNode *context;
    size_t position, size;
    const struct variable *variables;
};
struct context_save context_save(const struct render *r);
void context_enter(struct render *r, xmlNode *node, size_t position, size_t size);
void context_restore(struct render *r, struct context_save s);
/* The nodes of an each, sorted and limited as it asks. */
xmlNode **bind_each_nodes(struct render *r, const struct node *node, size_t *n);
/* Follows choices, repetitions, parts and variables among children; visits what remains. An each
 * with a text between is visited too. */
typedef void (*bind_visit)(struct render *r, const struct node *node, void *user);
void bind_walk(struct render *r, const struct node *children, bind_visit visit, void *user);
/* bind_table.c; NULL when there is no row and no text for that. */
struct box *bind_table(struct render *r, const struct node *node);
/* bind_text.c; each gives NULL when there is nothing to print. */
struct inline_text *bind_inline(struct render *r, const struct node *owner,
                                const struct style *style);
struct inline_text *bind_text(struct render *r, const struct node *owner, const struct text *text,
                              const struct style *style);
struct inline_text *bind_literal(struct render *r, const struct node *owner, const char *literal,
                                 const struct style *style);
/* Whether a node is an answer, and whether it shows. */
struct answer bind_answer(struct render *r, const struct node *node);
/* As a plain string in the arena. */
const char *bind_string(struct render *r, const struct node *owner, const struct text *text);
struct text_builder *text_builder_new(void);
void text_builder_free(struct text_builder *b);

/* ---- strips: measured pieces of the flow --------------------------------------------------- */

struct tag {
    const struct tag *parent;
    const char *role, *alt;
    int depth;
};

struct item { /* what stands between two places where a line may end */
    uint32_t from, to, next;       /* next: start of the item after it; to..next is space */
    bool hyphen, must_end;         /* ends in a soft hyphen; a line break follows */
    double width, space;           /* set and trailing space, pt */
};
struct span { /* text of one face, style and link */
    size_t from, to;
    int face;
    enum run_kind kind;
    const char *link;
    const struct style *style;
};
struct line {
    size_t from, to;
    double width, leading, baseline;
    bool hyphen;
};
struct lines { /* a paragraph being set */
    const char *text;
    struct span *spans;
    size_t n_spans;
    struct item *items;
    size_t n_items;
    struct line *line;
    size_t n;
    double least, full;            /* widest item; width of the widest line unbroken */
    double width;                  /* that it was broken for */
    enum align align;
    double decimal;                /* ALIGN_DECIMAL: where the decimal sign stands; 0: unset */
    int level;                     /* of a heading, for its bookmark */
    const char *mark;              /* said of the page where it starts; NULL: nothing */
    int mark_kind;
    const struct named_place *places;
    struct answer answer;
    bool before_text;              /* a label or marker: its text follows in the same breath */
    const struct style *style;     /* of its first run */
    const struct node *node;
};

enum strip_kind { STRIP_LINE, STRIP_ROW, STRIP_RULE, STRIP_FIGURE, STRIP_IMAGE };
enum penalty { /* of ending a page before a strip: the least one wins, the latest among equals */
    BREAK_FREE, BREAK_KEEP, BREAK_LINES, BREAK_NEXT, BREAK_FORCED
};
struct strip {
    enum strip_kind kind;
    enum penalty penalty;
    double above;                  /* gap to the strip before; dropped at the top of a page */
    double extra;                  /* from space elements; dropped there after a break of need */
    double height, x;              /* x from the left of its container */
    const struct tag *tag;
    const struct lines *lines;     /* STRIP_LINE */
    size_t line;
    const struct lines *marker;    /* of a list item, beside its first line */
    double marker_x;
    struct row *row;               /* STRIP_ROW */
    double width, thickness;       /* STRIP_RULE: at the bottom of its height */
    struct colour colour;
    const struct box *figure;      /* STRIP_FIGURE, STRIP_IMAGE, of `width` */
    const struct table_run *table; /* rows of a table, not its head */
    int group;
    bool group_head;
    bool continued;                /* the rest of a row that was split */
    bool no_repeat;                /* too little room for the head here */
    bool no_foot;                  /* nor for the foot after it */
    bool table_ends;               /* the last of its table */
};
struct strips {
    struct strip *items;
    size_t n, cap;
    double below, extra;           /* pending: space after the last strip; space elements */
    enum penalty next;             /* of the strip to come */
};
struct cell {
    double x, width, shift;        /* shift: down, to share the first baseline */
    struct strip *items;
    size_t from, to;
    double tail;                   /* space elements after the last strip */
    const struct tag *tag;         /* of a table's cell */
};
struct row {
    struct cell *cells;
    int n;
    double pad_above, pad_below;
    double rule_above, rule_below; /* thickness, 0: none */
    double rule_x, rule_width;
    bool frame;                    /* around the rule's width */
    bool shaded;                   /* light grey behind the rule's width */
    double shade_out;              /* that it reaches into the gaps above and below */
};
struct table_run { /* what repeats after a break */
    const struct strip *head;
    size_t n_head;
    const struct strip *groups;    /* one a group, continued; NULL: none */
    const struct strip *foot;      /* below the rows of a page that the table does not end on */
    size_t n_foot;
    double foot_height;
    bool repeat;
};

/* inline.c */
struct lines *inline_prepare(struct render *r, const struct inline_text *text);
void inline_break(struct render *r, struct lines *lines, double width);
/* Width left of the decimal sign of a text that begins with a number; below 0: it does not. */
double inline_decimal(const struct render *r, const struct lines *lines);
double lines_width(const struct render *r, const struct lines *lines, size_t from, size_t to);

/* strips.c */
struct strip *strips_add(struct render *r, struct strips *s, enum strip_kind kind, double above,
                         double height, double below);
/* The gap above a strip; `first`: it stands at the top of its page or cell. */
double strip_lead(const struct strip *items, size_t i, bool first);
double strips_height(const struct strip *items, size_t from, size_t to);
/* Head and group head to set again when a page starts with this strip; gives their height. */
double strip_repeats(const struct strip *items, size_t from);
/* Foot to set when a page ends after this strip, or inside it; gives its height. */
double strip_foot(const struct strip *s);
double strip_foot_inside(const struct strip *s);
void strips_lines(struct render *r, struct strips *s, const struct lines *lines, double x,
                  const struct tag *tag, double above, double below);
struct tag *tag_new(struct render *r, const struct tag *parent, const char *role, const char *alt);
void cell_fill(struct cell *cell, const struct strips *s);
void cell_lines(struct render *r, struct cell *cell, const struct lines *lines,
                const struct tag *tag);
/* Shares first baselines if asked; gives the height. */
double row_finish(struct row *row, bool share_baseline);
/* The first strip of the next page when one starts with `from`; `from` itself when not even that
 * one fits. */
size_t strips_fill(const struct strip *items, size_t from, size_t to, double height);
/* Cuts a row in two so that the first part takes at most `height`; false when nothing would
 * stand in the first part. */
bool strip_split(struct render *r, const struct strip *s, double height, struct strip *head,
                 struct strip *tail);
/* The items with items[k] replaced by two. */
struct strip *strips_replace(struct render *r, const struct strip *items, size_t n, size_t k,
                             const struct strip *head, const struct strip *tail);

/* measure.c */
void measure(struct render *r, const struct box *boxes, double x, double width,
             const struct tag *tag, struct strips *out);
/* False, after reporting, when a place is too narrow to set anything in. */
bool measure_room(struct render *r, const struct node *node, double width);
/* table.c */
void measure_table(struct render *r, const struct box *box, double x, double width,
                   const struct tag *tag, struct strips *out);
/* widths.c: column widths that fit `available`. */
struct column_need {
    struct width width;
    double floor, least, full;     /* a character; longest word; longest line unbroken */
};
void table_widths(const struct column_need *need, int n, double available, bool spread,
                  double *out);

/* flow.c */
struct head_box {
    const struct node *node;
    struct box *boxes;
    int on;                        /* 0 all, 1 first, 2 rest */
    bool foot;
    struct head_box *next;
};
struct section { /* one page element */
    const struct node *node;
    double width, height, margins[4];
    double head_height[2], foot_height[2]; /* of the first sheet and of the rest */
    struct head_box *heads;
};
struct sheet {
    size_t page;
    const struct section *section;
    bool first;
};
void flow_document(struct render *r);

/* draw.c */
struct drawing {
    struct render *r;
    size_t page;
    const struct tag *open;
    bool artifact;                 /* decoration as a whole: no tags inside */
};
void draw_strips(struct drawing *d, const struct strip *items, size_t from, size_t to, double x,
                 double top);
void draw_tag(struct drawing *d, const struct tag *tag); /* NULL closes all */
/* draw_figure.c */
void draw_figure(struct drawing *d, const struct box *figure, double x, double bottom,
                 double width, double height);

/* image.c: the files of a template's images, each read once. */
struct image_store *image_store_new(struct arena *a, const char *folder);
void image_store_free(struct image_store *store);
/* Forgets all when they have become many; nothing on a page may still need them. */
void image_store_trim(struct image_store *store);
void image_compile(struct loader *l, const xmlNode *x, const struct node *node);
struct box *bind_image(struct render *r, const struct node *node); /* NULL: no file named */
void measure_image(struct render *r, const struct box *box, double x, double width,
                   const struct tag *parent, struct strips *out);
void draw_image(struct drawing *d, const struct box *box, double x, double bottom, double width,
                double height);

#endif
