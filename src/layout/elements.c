/* The words of the template language as tables: which element stands where, with which
 * attributes. docs/template.md says the same to the people who write templates. */
#include "layout/layout_int.h"

#include <string.h>

#define FLOW (IN_PAGE | IN_BLOCK)
#define ATTRS(table) table, ARRAY_LEN(table)

/* `sort`, and `shade` of a table, are compiled in the context of what they look at, hence plain
 * here. */
#define SORTING                                                                                    \
    {AT_SORT, "sort", ATTR_PLAIN, false, NULL},                                                    \
    {AT_ORDER, "order", ATTR_CHOICE, false, "ascending descending"},                               \
    {AT_TYPE, "type", ATTR_CHOICE, false, "text number"},                                          \
    {AT_LIMIT, "limit", ATTR_COUNT, false, NULL}

static const struct attr_spec report_attrs[] = {
    {AT_ROOT, "root", ATTR_PLAIN, true, NULL},
    {AT_LANG, "xml:lang", ATTR_PLAIN, false, NULL},
};
static const struct attr_spec include_attrs[] = {
    {AT_PART, "part", ATTR_PLAIN, true, NULL},
    {AT_SELECT, "select", ATTR_NODES, false, NULL},
};
static const struct attr_spec page_attrs[] = {
    {AT_SIZE, "size", ATTR_CHOICE, false, "letter a4"},
    {AT_ORIENTATION, "orientation", ATTR_CHOICE, false, "portrait landscape"},
    {AT_MARGINS, "margins", ATTR_MARGINS, false, NULL},
    {AT_WIDTH, "width", ATTR_LENGTH, false, NULL},
    {AT_HEIGHT, "height", ATTR_LENGTH, false, NULL},
    {AT_PAGES, "pages", ATTR_COUNT, false, NULL},
};
static const struct attr_spec running_attrs[] = {
    {AT_ON, "on", ATTR_CHOICE, false, "all first rest"},
};
static const struct attr_spec style_attrs[] = {
    {AT_NAME, "name", ATTR_PLAIN, true, NULL},
    {AT_FACE, "face", ATTR_CHOICE, false, "regular bold"},
    {AT_SIZE, "size", ATTR_LENGTH, false, NULL},
    {AT_LEADING, "leading", ATTR_LENGTH, false, NULL},
    {AT_GREY, "grey", ATTR_GREY, false, NULL},
    {AT_COLOUR, "colour", ATTR_COLOUR, false, NULL},
    {AT_ALIGN, "align", ATTR_CHOICE, false, "left right center decimal"},
    {AT_ABOVE, "above", ATTR_LENGTH, false, NULL},
    {AT_BELOW, "below", ATTR_LENGTH, false, NULL},
    {AT_INDENT, "indent", ATTR_LENGTH, false, NULL},
    {AT_LIKE, "like", ATTR_PLAIN, false, NULL},
};
static const struct attr_spec word_attrs[] = {
    {AT_KEY, "key", ATTR_PLAIN, true, NULL},
};
static const struct attr_spec dates_attrs[] = {
    {AT_STYLE, "style", ATTR_PLAIN, false, NULL},
    {AT_LONG, "long", ATTR_PLAIN, false, NULL},
    {AT_FORM, "form", ATTR_CHOICE, false, "short long"},
    {AT_MONTHS, "months", ATTR_PLAIN, false, NULL},
    {AT_LONG_MONTHS, "long-months", ATTR_PLAIN, false, NULL},
};
static const struct attr_spec numbers_attrs[] = {
    {AT_DECIMAL, "decimal", ATTR_PLAIN, true, NULL},
};
static const struct attr_spec each_attrs[] = {
    {AT_SELECT, "select", ATTR_NODES, true, NULL},
    SORTING,
    {AT_BETWEEN, "between", ATTR_TEXT, false, NULL},
};
static const struct attr_spec when_attrs[] = {
    {AT_TEST, "test", ATTR_XPATH, true, NULL},
};
static const struct attr_spec otherwise_attrs[] = {
    {AT_TEST, "test", ATTR_XPATH, false, NULL},
};
static const struct attr_spec let_attrs[] = {
    {AT_NAME, "name", ATTR_PLAIN, true, NULL},
    {AT_SELECT, "select", ATTR_XPATH, true, NULL},
};
static const struct attr_spec span_attrs[] = {
    {AT_STYLE, "style", ATTR_STYLE, true, NULL},
};
static const struct attr_spec link_attrs[] = {
    {AT_TO, "to", ATTR_TEXT, true, NULL},
};
static const struct attr_spec place_attrs[] = {
    {AT_NAME, "name", ATTR_TEXT, true, NULL},
};
static const struct attr_spec page_mark_attrs[] = {
    {AT_OF, "of", ATTR_CHOICE, true, "heading-1 heading-2 heading-3 group-head"},
    {AT_WHICH, "which", ATTR_CHOICE, false, "first last"},
};
static const struct attr_spec heading_attrs[] = {
    {AT_LEVEL, "level", ATTR_CHOICE, false, "1 2 3"},
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
};
static const struct attr_spec para_attrs[] = {
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
    {AT_KEEP, "keep", ATTR_CHOICE, false, "no next"},
    {AT_BOX, "box", ATTR_CHOICE, false, "no yes"},
    {AT_ANSWER, "answer", ATTR_XPATH, false, NULL},
    {AT_LEAST_LINES, "least-lines", ATTR_COUNT, false, NULL},
};
static const struct attr_spec list_attrs[] = {
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
    {AT_MARKER, "marker", ATTR_CHOICE, false, "dash dot number box none"},
};
static const struct attr_spec facts_attrs[] = {
    {AT_COLUMNS, "columns", ATTR_COUNT, false, NULL},
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
    {AT_GAP, "gap", ATTR_LENGTH, false, NULL},
};
static const struct attr_spec fact_attrs[] = {
    {AT_LABEL, "label", ATTR_TEXT, true, NULL},
    {AT_OPTIONAL, "optional", ATTR_CHOICE, false, "no yes"},
};
static const struct attr_spec table_attrs[] = {
    {AT_SELECT, "select", ATTR_NODES, true, NULL},
    SORTING,
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
    {AT_REPEAT_HEAD, "repeat-head", ATTR_CHOICE, false, "no yes"},
    {AT_LEAST_ROWS, "least-rows", ATTR_COUNT, false, NULL},
    {AT_LINES, "lines", ATTR_CHOICE, false, "head groups none"},
    {AT_EMPTY, "empty", ATTR_TEXT, false, NULL},
    {AT_SPREAD, "spread", ATTR_CHOICE, false, "no yes"},
    {AT_GAP, "gap", ATTR_LENGTH, false, NULL},
    {AT_ROW_GAP, "row-gap", ATTR_LENGTH, false, NULL},
    {AT_SHADE, "shade", ATTR_PLAIN, false, NULL},
    {AT_CONTINUED, "continued", ATTR_TEXT, false, NULL},
    {AT_GOES_ON, "goes-on", ATTR_TEXT, false, NULL},
    {AT_REPEAT_FOOT, "repeat-foot", ATTR_CHOICE, false, "no yes"},
};
static const struct attr_spec column_attrs[] = {
    {AT_WIDTH, "width", ATTR_WIDTH, false, NULL},
    {AT_ALIGN, "align", ATTR_CHOICE, false, "left right center decimal"},
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
    {AT_OVER, "over", ATTR_TEXT, false, NULL},
    {AT_ANSWER, "answer", ATTR_XPATH, false, NULL},
};
static const struct attr_spec cell_attrs[] = {
    {AT_RUNS_ON, "runs-on", ATTR_CHOICE, false, "no yes"},
};
static const struct attr_spec group_head_attrs[] = {
    {AT_BY, "by", ATTR_XPATH, true, NULL},
    {AT_CONTINUED, "continued", ATTR_TEXT, false, NULL},
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
};
static const struct attr_spec grid_attrs[] = {
    {AT_SELECT, "select", ATTR_NODES, true, NULL},
    SORTING,
    {AT_COLUMNS, "columns", ATTR_COUNT, true, NULL},
    {AT_GAP, "gap", ATTR_LENGTH, false, NULL},
};
static const struct attr_spec columns_attrs[] = {
    {AT_GAP, "gap", ATTR_LENGTH, false, NULL},
};
static const struct attr_spec part_column_attrs[] = {
    {AT_WIDTH, "width", ATTR_WIDTH, false, NULL},
};
static const struct attr_spec rule_attrs[] = {
    {AT_WIDTH, "width", ATTR_LENGTH, false, NULL},
    {AT_GREY, "grey", ATTR_GREY, false, NULL},
    {AT_ABOVE, "above", ATTR_LENGTH, false, NULL},
    {AT_BELOW, "below", ATTR_LENGTH, false, NULL},
};
static const struct attr_spec space_attrs[] = {
    {AT_HEIGHT, "height", ATTR_LENGTH, true, NULL},
};
static const struct attr_spec figure_attrs[] = {
    {AT_KIND, "kind", ATTR_PLAIN, true, NULL},
    {AT_WIDTH, "width", ATTR_LENGTH, false, NULL},
    {AT_ALT, "alt", ATTR_TEXT, true, NULL},
};
static const struct attr_spec image_attrs[] = {
    {AT_SRC, "src", ATTR_TEXT, true, NULL},
    {AT_WIDTH, "width", ATTR_LENGTH, false, NULL},
    {AT_HEIGHT, "height", ATTR_LENGTH, false, NULL},
    {AT_ALIGN, "align", ATTR_CHOICE, false, "left right center"},
    {AT_ALT, "alt", ATTR_TEXT, true, NULL},
};
static const struct attr_spec signature_attrs[] = {
    {AT_LABEL, "label", ATTR_TEXT, true, NULL},
    {AT_WIDTH, "width", ATTR_LENGTH, false, NULL},
    {AT_STYLE, "style", ATTR_STYLE, false, NULL},
};

/* In the order of enum element, from EL_REPORT on. */
static const struct element_spec elements[] = {
    {EL_REPORT, "report", 0, IN_ROOT, ATTRS(report_attrs)},
    {EL_PART, "part", 0, 0, NULL, 0},
    {EL_INCLUDE, "include", (unsigned)~IN_NOTHING & ~(unsigned)IN_COLUMN, 0, ATTRS(include_attrs)},
    {EL_TITLE, "title", IN_ROOT, IN_INLINE, NULL, 0},
    {EL_PAGE, "page", IN_ROOT, IN_PAGE, ATTRS(page_attrs)},
    {EL_RUNNING_HEAD, "running-head", IN_PAGE, IN_BLOCK, ATTRS(running_attrs)},
    {EL_RUNNING_FOOT, "running-foot", IN_PAGE, IN_BLOCK, ATTRS(running_attrs)},
    {EL_STYLE, "style", IN_ROOT, IN_NOTHING, ATTRS(style_attrs)},
    {EL_WORD, "word", IN_ROOT, IN_NOTHING, ATTRS(word_attrs)},
    {EL_DATES, "dates", IN_ROOT, IN_NOTHING, ATTRS(dates_attrs)},
    {EL_NUMBERS, "numbers", IN_ROOT, IN_NOTHING, ATTRS(numbers_attrs)},
    {EL_EACH, "each", IN_ROOT | FLOW | IN_INLINE | IN_LIST | IN_FACTS | IN_TABLE, 0,
     ATTRS(each_attrs)},
    {EL_WHEN, "when", IN_ROOT | FLOW | IN_INLINE | IN_LIST | IN_FACTS | IN_TABLE | IN_COLUMNS, 0,
     ATTRS(when_attrs)},
    {EL_OTHERWISE, "otherwise",
     IN_ROOT | FLOW | IN_INLINE | IN_LIST | IN_FACTS | IN_TABLE | IN_COLUMNS, 0,
     ATTRS(otherwise_attrs)},
    {EL_LET, "let", IN_ROOT | FLOW | IN_INLINE | IN_LIST | IN_FACTS | IN_TABLE, IN_NOTHING,
     ATTRS(let_attrs)},
    {EL_BOLD, "bold", IN_INLINE, IN_INLINE, NULL, 0},
    {EL_SPAN, "span", IN_INLINE, IN_INLINE, ATTRS(span_attrs)},
    {EL_BREAK, "break", IN_INLINE, IN_NOTHING, NULL, 0},
    {EL_LINK, "link", IN_INLINE, IN_INLINE, ATTRS(link_attrs)},
    {EL_PAGE_NUMBER, "page-number", IN_INLINE, IN_NOTHING, NULL, 0},
    {EL_PAGE_COUNT, "page-count", IN_INLINE, IN_NOTHING, NULL, 0},
    {EL_PAGE_MARK, "page-mark", IN_INLINE, IN_NOTHING, ATTRS(page_mark_attrs)},
    {EL_PLACE, "place", IN_INLINE, IN_NOTHING, ATTRS(place_attrs)},
    {EL_HEADING, "heading", FLOW, IN_INLINE, ATTRS(heading_attrs)},
    {EL_PARA, "para", FLOW, IN_INLINE, ATTRS(para_attrs)},
    {EL_LIST, "list", FLOW, IN_LIST, ATTRS(list_attrs)},
    {EL_ITEM, "item", IN_LIST, IN_INLINE, NULL, 0},
    {EL_FACTS, "facts", FLOW, IN_FACTS, ATTRS(facts_attrs)},
    {EL_FACT, "fact", IN_FACTS, IN_INLINE, ATTRS(fact_attrs)},
    {EL_TABLE, "table", FLOW, IN_TABLE, ATTRS(table_attrs)},
    {EL_COLUMN, "column", IN_TABLE, IN_COLUMN, ATTRS(column_attrs)},
    {EL_HEAD, "head", IN_COLUMN, IN_INLINE, NULL, 0},
    {EL_CELL, "cell", IN_COLUMN, IN_INLINE, ATTRS(cell_attrs)},
    {EL_FOOT, "foot", IN_COLUMN, IN_INLINE, NULL, 0},
    {EL_GROUP_HEAD, "group-head", IN_TABLE, IN_INLINE, ATTRS(group_head_attrs)},
    {EL_GRID, "grid", FLOW, IN_BLOCK, ATTRS(grid_attrs)},
    {EL_KEEP, "keep", FLOW, IN_BLOCK, NULL, 0},
    {EL_COLUMNS, "columns", FLOW, IN_COLUMNS, ATTRS(columns_attrs)},
    {EL_PART_COLUMN, "part-column", IN_COLUMNS, IN_BLOCK, ATTRS(part_column_attrs)},
    {EL_RULE, "rule", FLOW, IN_NOTHING, ATTRS(rule_attrs)},
    {EL_SPACE, "space", FLOW, IN_NOTHING, ATTRS(space_attrs)},
    {EL_FIGURE, "figure", FLOW, IN_NOTHING, ATTRS(figure_attrs)},
    {EL_IMAGE, "image", FLOW, IN_NOTHING, ATTRS(image_attrs)},
    {EL_SIGNATURE, "signature", FLOW, IN_NOTHING, ATTRS(signature_attrs)},
    {EL_BREAK_PAGE, "break-page", IN_PAGE, IN_NOTHING, NULL, 0},
};

const struct element_spec *element_spec(const char *name)
{
    for (size_t i = 0; i < ARRAY_LEN(elements); i++) {
        if (elements[i].name[0] == name[0] && strcmp(elements[i].name, name) == 0)
            return &elements[i];
    }
    return NULL;
}

const struct element_spec *element_spec_at(enum element element)
{
    return element == EL_TEXT ? NULL : &elements[element - EL_REPORT];
}

const char *node_name(const struct node *node)
{
    const struct element_spec *spec = element_spec_at(node->element);
    return spec != NULL ? spec->name : "text";
}

_Static_assert(AT_COUNT <= 64, "a node has a bit for each");

const struct attr *node_attr(const struct node *node, enum attr_id id)
{
    if ((node->given >> id & 1) == 0)
        return NULL;
    for (size_t i = 0; i < node->n_attrs; i++) {
        if (node->attrs[i].id == id)
            return &node->attrs[i];
    }
    return NULL;
}

struct expr *node_expr(const struct node *node, enum attr_id id)
{
    const struct attr *attr = node_attr(node, id);
    return attr != NULL ? attr->expr : NULL;
}

double node_number(const struct node *node, enum attr_id id, double otherwise)
{
    const struct attr *attr = node_attr(node, id);
    return attr != NULL ? attr->number : otherwise;
}

int node_choice(const struct node *node, enum attr_id id, int otherwise)
{
    const struct attr *attr = node_attr(node, id);
    return attr != NULL ? attr->choice : otherwise;
}
