/* Styles, words and the way dates are written: what a template declares at its root, gathered
 * before anything else is compiled so that every use can be checked. */
#include "layout/layout_int.h"

#include <stdlib.h>
#include <string.h>

static const double leading_of_size = 1.35;

/* The blocks always find a style; a template that declares one of these changes what it names. */
static const struct style defaults[] = {
    {"body", FACE_REGULAR, 10, 14, {0, 0, 0}, ALIGN_LEFT, 0, 4, 0},
    {"table", FACE_REGULAR, 9, 12, {0, 0, 0}, ALIGN_LEFT, 4, 8, 0},
    {"table-head", FACE_BOLD, 8, 11, {0, 0, 0}, ALIGN_LEFT, 0, 2, 0},
    {"group-head", FACE_BOLD, 9, 12, {0, 0, 0}, ALIGN_LEFT, 4, 1, 0},
    {"note", FACE_REGULAR, 8, 11, {0, 0, 0}, ALIGN_LEFT, 0, 3, 0},
    {"heading-1", FACE_BOLD, 14, 18, {0, 0, 0}, ALIGN_LEFT, 0, 6, 0},
    {"heading-2", FACE_BOLD, 11, 14, {0, 0, 0}, ALIGN_LEFT, 12, 4, 0},
    {"heading-3", FACE_BOLD, 10, 14, {0, 0, 0}, ALIGN_LEFT, 8, 2, 0},
    {"fact-label", FACE_REGULAR, 8, 12, {0.35f, 0.35f, 0.35f}, ALIGN_LEFT, 0, 0, 0},
    {"fact", FACE_REGULAR, 9, 12, {0, 0, 0}, ALIGN_LEFT, 0, 2, 0},
    {"head", FACE_REGULAR, 8, 11, {0.35f, 0.35f, 0.35f}, ALIGN_LEFT, 0, 8, 0},
    {"foot", FACE_REGULAR, 8, 11, {0.35f, 0.35f, 0.35f}, ALIGN_LEFT, 8, 0, 0},
};

static const char *const english_months = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec";
static const char *const english_long_months =
    "January February March April May June July August September October November December";

const struct style *template_style(const struct layout_template *t, const char *name)
{
    for (size_t i = 0; i < t->n_styles; i++) {
        if (strcmp(t->styles[i].name, name) == 0)
            return &t->styles[i];
    }
    return NULL;
}

static struct style *style_slot(struct layout_template *t, const char *name)
{
    for (size_t i = 0; i < t->n_styles; i++) {
        if (strcmp(t->styles[i].name, name) == 0)
            return &t->styles[i];
    }
    if (t->n_styles == t->cap_styles) {
        t->cap_styles = t->cap_styles == 0 ? 32 : t->cap_styles * 2;
        t->styles = mem_resize(t->styles, t->cap_styles * sizeof(*t->styles));
    }
    struct style *s = &t->styles[t->n_styles++];
    memset(s, 0, sizeof(*s));
    s->name = name;
    return s;
}

const char *template_word(const struct layout_template *t, const char *key)
{
    unsigned number = names_find(&t->word_keys, key);
    return number > 0 ? t->words[number - 1].text : NULL;
}

static bool split_months(struct arena *a, const char *text, const char *months[12])
{
    char *copy = arena_strdup(a, text), *rest = NULL;
    int n = 0;
    if (strlen(text) > 600)
        return false;
    for (char *w = strtok_r(copy, " ", &rest); w != NULL; w = strtok_r(NULL, " ", &rest)) {
        if (n == 12)
            return false;
        months[n++] = w;
    }
    return n == 12;
}

void styles_defaults(struct layout_template *t)
{
    for (size_t i = 0; i < ARRAY_LEN(defaults); i++)
        *style_slot(t, defaults[i].name) = defaults[i];
    t->dates.styles[DATE_SHORT] = "yyyy-MM-dd";
    t->decimal = ".";
    if (!split_months(t->arena, english_months, t->dates.months) ||
        !split_months(t->arena, english_long_months, t->dates.long_months))
        abort();
}

/* Where a style starts from: the one it is like, else its own default, else body. */
static const struct style *style_start(struct loader *l, const xmlNode *x, const char *name,
                                       const char *like)
{
    const struct style *from = template_style(l->t, like != NULL ? like : name);
    if (from != NULL || like == NULL)
        return from != NULL ? from : template_style(l->t, "body");
    const char **names = mem_alloc((l->t->n_styles + 1) * sizeof(*names));
    for (size_t i = 0; i < l->t->n_styles; i++)
        names[i] = l->t->styles[i].name;
    const char *near = str_nearest(like, names, l->t->n_styles);
    loader_error(l, x, DIAG_TEMPLATE_STYLE, "like=\"%.60s\": a style is like one declared before "
                 "it%s%s", like, near != NULL ? "; nearest known name: " : "",
                 near != NULL ? near : "");
    free(names);
    return NULL;
}

static void add_style(struct loader *l, const xmlNode *x, const struct node *node)
{
    static const int faces[] = {FACE_REGULAR, FACE_BOLD};
    const struct attr *name = node_attr(node, AT_NAME), *like = node_attr(node, AT_LIKE);
    const struct attr *colour = node_attr(node, AT_COLOUR), *grey = node_attr(node, AT_GREY);
    const struct style *from =
        style_start(l, x, name->plain, like != NULL ? like->plain : NULL);
    if (from == NULL)
        return;
    struct style s = *from;
    s.name = name->plain;
    int face = node_choice(node, AT_FACE, -1), align = node_choice(node, AT_ALIGN, -1);
    if (face >= 0)
        s.face = faces[face];
    if (align >= 0)
        s.align = (enum align)align;
    double size = node_number(node, AT_SIZE, s.size);
    s.leading = node_number(node, AT_LEADING,
                            node_attr(node, AT_SIZE) != NULL ? size * leading_of_size : s.leading);
    s.size = size;
    s.above = node_number(node, AT_ABOVE, s.above);
    s.below = node_number(node, AT_BELOW, s.below);
    s.indent = node_number(node, AT_INDENT, s.indent);
    if (grey != NULL)
        s.colour = colour_grey(grey->number);
    if (colour != NULL)
        s.colour = colour->colour;
    if (s.size < 1 || s.leading < s.size) {
        loader_error(l, x, DIAG_TEMPLATE_VALUE, "style %s: expected a size of 1pt or more and a "
                     "leading not below it", s.name);
        return;
    }
    *style_slot(l->t, s.name) = s;
}

/* The next word, numbered as its key is. */
static void put_word(struct layout_template *t, struct word word)
{
    names_add(&t->word_keys, word.key);
    if (t->n_words == t->cap_words) {
        t->cap_words = t->cap_words == 0 ? 64 : t->cap_words * 2;
        t->words = mem_resize(t->words, t->cap_words * sizeof(*t->words));
    }
    t->words[t->n_words++] = word;
}

/* A file may replace a word of another, which is how a report overrides shared parts; twice in
 * one file is a slip. */
static void add_word(struct loader *l, const xmlNode *x, const struct node *node)
{
    struct layout_template *t = l->t;
    const char *key = node_attr(node, AT_KEY)->plain;
    const char *text = str_trim(xml_text(t->arena, x));
    struct word word = {key, text, l->file, node->line};
    unsigned number = names_add(&t->word_keys, key);
    if (number <= t->n_words) {
        struct word *first = &t->words[number - 1];
        if (first->file == l->file && first->line != node->line)
            loader_error(l, x, DIAG_TEMPLATE_VALUE, "key=\"%.60s\" stands in this file twice", key);
        *first = word;
        return;
    }
    struct buf clean;
    int32_t missing = 0;
    buf_init(&clean, (size_t)XML_FILE_MAX * 4);
    font_clean(l->fonts, text, strlen(text), &clean, &missing);
    if (missing != 0)
        loader_error(l, x, DIAG_LAYOUT_GLYPH, "U+%04X", (unsigned)missing);
    buf_release(&clean);
    put_word(t, word);
}

static void set_date_style(struct loader *l, const xmlNode *x, const struct node *node,
                           enum attr_id id, enum date_form form)
{
    const struct attr *style = node_attr(node, id);
    if (style == NULL)
        return;
    l->t->dates.styles[form] = style->plain;
    if (!date_style_is_valid(style->plain))
        loader_error(l, x, DIAG_TEMPLATE_VALUE, "%s=\"%.40s\" on dates: expected d, dd, M, MM, "
                     "MMM, MMMM, yy and yyyy among other signs",
                     form == DATE_LONG ? "long" : "style", style->plain);
}

static void set_dates(struct loader *l, const xmlNode *x, const struct node *node)
{
    struct date_style *d = &l->t->dates;
    const struct attr *months = node_attr(node, AT_MONTHS);
    const struct attr *long_months = node_attr(node, AT_LONG_MONTHS);
    set_date_style(l, x, node, AT_STYLE, DATE_SHORT);
    set_date_style(l, x, node, AT_LONG, DATE_LONG);
    d->form = (enum date_form)node_choice(node, AT_FORM, (int)d->form);
    if ((months != NULL && !split_months(l->t->arena, months->plain, d->months)) ||
        (long_months != NULL && !split_months(l->t->arena, long_months->plain, d->long_months)))
        loader_error(l, x, DIAG_TEMPLATE_VALUE, "expected twelve names of months");
}

static void set_numbers(struct loader *l, const xmlNode *x, const struct node *node)
{
    const char *sign = node_attr(node, AT_DECIMAL)->plain;
    if (!str_eq(sign, ".") && !str_eq(sign, ","))
        loader_error(l, x, DIAG_TEMPLATE_VALUE,
                     "decimal=\"%.10s\" on numbers: expected a point or a comma", sign);
    l->t->decimal = sign;
}

/* A style or word that was refused counts as declared: one slip is one error, not one more
 * wherever the name is used. */
static void declare_anyhow(struct loader *l, const struct node *node)
{
    struct layout_template *t = l->t;
    const struct attr *name = node_attr(node, AT_NAME), *key = node_attr(node, AT_KEY);
    if (node->element == EL_STYLE && name != NULL && template_style(t, name->plain) == NULL) {
        struct style body = *template_style(t, "body");
        body.name = name->plain;
        *style_slot(t, name->plain) = body;
    }
    if (node->element == EL_WORD && key != NULL && names_find(&t->word_keys, key->plain) == 0)
        put_word(t, (struct word){key->plain, "", l->file, node->line});
}

static void collect_one(struct loader *l, const xmlNode *x)
{
    const struct element_spec *spec = element_spec((const char *)x->name);
    struct node node = {.element = spec->element, .file = l->file, .line = xmlGetLineNo(x)};
    size_t errors = l->n_errors;
    if (!attributes_parse(l, x, spec, &node)) {
        declare_anyhow(l, &node);
        return;
    }
    for (const xmlNode *child = x->children; child != NULL; child = child->next) {
        if (child->type == XML_ELEMENT_NODE)
            loader_error(l, child, DIAG_TEMPLATE_ELEMENT, "%s in %s, which takes no elements",
                         (const char *)child->name, spec->name);
    }
    if (spec->element == EL_STYLE)
        add_style(l, x, &node);
    else if (spec->element == EL_WORD)
        add_word(l, x, &node);
    else if (spec->element == EL_DATES)
        set_dates(l, x, &node);
    else
        set_numbers(l, x, &node);
    if (l->n_errors > errors)
        declare_anyhow(l, &node);
}

static void collect_include(struct loader *l, const xmlNode *x)
{
    char *name = xml_attr(l->t->arena, x, "part");
    const struct part *part = name != NULL ? loader_part(l, x, name) : NULL;
    const char *file = l->file;
    l->incomplete = l->incomplete || part == NULL;
    if (part == NULL || !loader_enter(l, x, part))
        return;
    styles_collect(l, xmlDocGetRootElement(part->doc));
    loader_leave(l);
    l->file = file;
}

void styles_collect(struct loader *l, const xmlNode *root)
{
    for (const xmlNode *x = root->children; x != NULL; x = x->next) {
        if (xml_is(x, "style") || xml_is(x, "word") || xml_is(x, "dates") ||
            xml_is(x, "numbers"))
            collect_one(l, x);
        else if (xml_is(x, "include"))
            collect_include(l, x);
        else if (xml_is(x, "title") && l->depth > 1)
            loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "title in a part; it belongs to the report");
    }
}
