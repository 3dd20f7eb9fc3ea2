/* Column maps: how the export of another program is to be read. A small XML file, read strictly: a
 * misspelt name would leave something undeclared without anybody noticing. Every problem is
 * reported, then the map is refused. */
#include "import/cells_int.h"
#include "import/meaning_int.h"
#include "import/vocabulary_int.h"

#include <ctype.h>
#include <libxml/tree.h>
#include <string.h>

enum { MAP_FILE_MAX = 1 << 20, ATTRIBUTES_MAX = 20 };

static const struct import_settings default_settings = {.read_size = LINES_READ_SIZE, .digest = ""};

const struct import_settings *import_settings_default(void)
{
    return &default_settings;
}

const struct import_settings *import_settings_for_clinic(const struct import_settings *s,
                                                         const struct clinic *clinic,
                                                         struct arena *a)
{
    struct import_settings *own = arena_alloc(a, sizeof *own);
    *own = *s;
    own->rules.grades_of_ten = clinic->grades_of_ten;
    own->rules.five_minus = clinic->five_minus;
    return own;
}

const struct cell_rules *import_settings_rules(const struct import_settings *s)
{
    return &s->rules;
}

const char *import_settings_digest(const struct import_settings *s)
{
    return s->digest != NULL ? s->digest : "";
}

struct map_reader {
    const char *path;
    const struct reference *ref;
    struct arena *arena;
    struct diag_sink *sink;
    struct import_settings *s;
    struct map_column *columns;
    unsigned seen;               /* bit per element that may stand once */
    bool ok;
};

static void refuse(struct map_reader *r, enum diag_code code, const xmlNode *node,
                   const char *field, const char *fmt, ...) PRINTF_LIKE(5, 6);
static void refuse(struct map_reader *r, enum diag_code code, const xmlNode *node,
                   const char *field, const char *fmt, ...)
{
    enum { DETAIL_MAX = 300 };
    char detail[DETAIL_MAX];
    struct diag_pos pos = xml_pos(r->path, node);
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(detail, sizeof detail, fmt, ap);
    va_end(ap);
    if (field != NULL)
        pos.field = field;
    diag_report(r->sink, code, pos, NULL, "%s", detail);
    r->ok = false;
}

/* "; nearest known: x", or "". */
static const char *near_of(struct map_reader *r, const char *wanted, const char *const *names,
                           size_t n)
{
    const char *near = str_nearest(wanted, names, n);
    return near != NULL ? arena_printf(r->arena, "; nearest known: %s", near) : "";
}

/* ---- attributes ---------------------------------------------------------------------------- */

static void check_attributes(struct map_reader *r, const xmlNode *node, const char *const *names,
                             size_t n)
{
    for (const xmlAttr *at = node->properties; at != NULL; at = at->next) {
        const char *name = (const char *)at->name;
        size_t i = 0;
        while (i < n && strcmp(names[i], name) != 0)
            i++;
        if (i == n)
            refuse(r, DIAG_XML_ATTRIBUTE, node, name, "%.60s is not known in <%s>%s", name,
                   (const char *)node->name, near_of(r, name, names, n));
    }
    for (const xmlNode *c = node->children; c != NULL; c = c->next)
        if (c->type == XML_ELEMENT_NODE || (c->type == XML_TEXT_NODE && !xmlIsBlankNode(c))) {
            refuse(r, DIAG_XML_ELEMENT, node, NULL, "<%s> takes no content",
                   (const char *)node->name);
            return;
        }
}

/* The value of an attribute without blanks round it; NULL where it is not given or is empty, which
 * is an error. */
static const char *value_of(struct map_reader *r, const xmlNode *node, const char *name)
{
    char *value = xml_attr(r->arena, node, name);
    if (value == NULL)
        return NULL;
    value = str_trim(value);
    if (*value == '\0') {
        refuse(r, DIAG_XML_VALUE, node, name, "empty; leave the attribute out");
        return NULL;
    }
    return value;
}

static const char *need(struct map_reader *r, const xmlNode *node, const char *name)
{
    if (xmlHasProp(node, (const xmlChar *)name) == NULL) {
        refuse(r, DIAG_XML_ATTRIBUTE, node, name, "%s is missing in <%s>", name,
               (const char *)node->name);
        return NULL;
    }
    return value_of(r, node, name);
}

static const char *list_of(struct map_reader *r, const char *const *names, size_t n)
{
    const char *text = "";
    for (size_t i = 0; i < n; i++)
        text = arena_printf(r->arena, "%s%s%s", text, i > 0 ? ", " : "", names[i]);
    return text;
}

struct choice {
    const char *word;
    int value;
};

/* Index-free choice from a list ended by NULL; *value stays when the attribute is not given. */
static void choose(struct map_reader *r, const xmlNode *node, const char *name,
                   const struct choice *choices, int *value)
{
    const char *names[16], *text = value_of(r, node, name);
    size_t n = 0;
    for (; text != NULL && choices[n].word != NULL; n++) {
        names[n] = choices[n].word;
        if (strcmp(text, names[n]) == 0) {
            *value = choices[n].value;
            return;
        }
    }
    if (text == NULL)
        return;
    const char *near = near_of(r, text, names, n);
    refuse(r, DIAG_XML_VALUE, node, name, "%.60s is not %s%s%s", text,
           n > 1 ? "one of " : "", list_of(r, names, n), near);
}

/* ---- elements that stand once -------------------------------------------------------------- */

static void read_file(struct map_reader *r, const xmlNode *node)
{
    static const char *const attributes[] = {"delimiter", "encoding", "decimal", "header-rows"};
    static const struct choice delimiters[] = {{"comma", ','}, {"semicolon", ';'}, {"tab", '\t'},
                                               {"pipe", '|'}, {NULL, 0}};
    static const struct choice decimals[] = {{"point", DECIMAL_POINT}, {"comma", DECIMAL_COMMA},
                                             {NULL, 0}};
    static const struct choice rows[] = {{"1", 1}, {"2", 2}, {NULL, 0}};
    static const struct choice encodings[] = {
        {"utf-8", ENCODING_UTF_8},       {"utf-16", ENCODING_UTF_16},
        {"utf-16le", ENCODING_UTF_16LE}, {"utf-16be", ENCODING_UTF_16BE},
        {"latin-1", ENCODING_LATIN_1},   {"windows-1252", ENCODING_WINDOWS_1252},
        {"iso-8859-1", ENCODING_LATIN_1}, {NULL, 0}};
    int delimiter = 0, decimal = DECIMAL_UNDECLARED, encoding = ENCODING_UNDECLARED;
    check_attributes(r, node, attributes, ARRAY_LEN(attributes));
    choose(r, node, "delimiter", delimiters, &delimiter);
    choose(r, node, "encoding", encodings, &encoding);
    choose(r, node, "decimal", decimals, &decimal);
    choose(r, node, "header-rows", rows, &r->s->header_rows);
    r->s->delimiter = (char)delimiter;
    r->s->encoding = (enum encoding)encoding;
    r->s->rules.decimal = (enum decimal_mark)decimal;
}

static void read_separators(struct map_reader *r, const xmlNode *node)
{
    char *text = xml_attr(r->arena, node, "separators");
    if (text == NULL)
        return;
    if (*text == '\0' || strlen(text) >= sizeof r->s->rules.separators ||
        text[strspn(text, "/.- ")] != '\0') {
        refuse(r, DIAG_XML_VALUE, node, "separators", "one or more of / . - and the blank");
        return;
    }
    memcpy(r->s->rules.separators, text, strlen(text) + 1);
}

static void read_short_years(struct map_reader *r, const xmlNode *node)
{
    enum { FIRST = 1850, LAST = 2100 };
    const char *text = value_of(r, node, "two-digit-years-from");
    double year;
    if (text == NULL)
        return;
    if (!num_parse(text, strlen(text), &year) || year != (int)year || year < FIRST || year > LAST)
        refuse(r, DIAG_XML_VALUE, node, "two-digit-years-from",
               "a year of four digits: the first of the hundred that two digits may mean");
    else
        r->s->rules.short_years_from = (int)year;
}

static void read_dates(struct map_reader *r, const xmlNode *node)
{
    static const char *const attributes[] = {"order", "separators", "two-digit-years-from"};
    static const struct choice orders[] = {{"dmy", DATES_DMY}, {"mdy", DATES_MDY},
                                           {"ymd", DATES_YMD}, {NULL, 0}};
    int order = DATES_UNDECLARED;
    check_attributes(r, node, attributes, ARRAY_LEN(attributes));
    if (need(r, node, "order") != NULL)
        choose(r, node, "order", orders, &order);
    r->s->rules.dates = (enum date_order)order;
    read_separators(r, node);
    read_short_years(r, node);
}

static void read_signs(struct map_reader *r, const xmlNode *node)
{
    static const char *const attributes[] = {"extension-minus", "extension-unsigned",
                                             "plane-letters"};
    static const struct choice rules[] = {{"short-of-zero", SIGN_SHORT_OF_ZERO},
                                          {"past-zero", SIGN_PAST_ZERO}, {NULL, 0}};
    static const struct choice yes_no[] = {{"yes", true}, {"no", false}, {NULL, 0}};
    int minus = SIGN_UNDECLARED, no_sign = SIGN_UNDECLARED, letters = false;
    check_attributes(r, node, attributes, ARRAY_LEN(attributes));
    choose(r, node, "extension-minus", rules, &minus);
    choose(r, node, "extension-unsigned", rules, &no_sign);
    choose(r, node, "plane-letters", yes_no, &letters);
    r->s->rules.plane_letters = letters != 0;
    r->s->rules.minus = (enum sign_rule)minus;
    r->s->rules.no_sign = (enum sign_rule)no_sign;
    if (minus != SIGN_UNDECLARED && minus == no_sign)
        refuse(r, DIAG_XML_VALUE, node, "extension-unsigned",
               "the same as extension-minus: with and without a minus would mean one thing");
}

static void read_pairs(struct map_reader *r, const xmlNode *node)
{
    static const char *const attributes[] = {"angles", "pain"};
    static const struct choice angles[] = {
        {"active/passive", PAIR_ACTIVE_PASSIVE}, {"passive/active", PAIR_PASSIVE_ACTIVE},
        {"right/left", PAIR_RIGHT_LEFT},         {"left/right", PAIR_LEFT_RIGHT},
        {NULL, 0}};
    static const struct choice pain[] = {{"rest/movement", PAIN_REST_MOVEMENT},
                                         {"movement/rest", PAIN_MOVEMENT_REST}, {NULL, 0}};
    int pairs = PAIR_UNDECLARED, order = PAIN_UNDECLARED;
    check_attributes(r, node, attributes, ARRAY_LEN(attributes));
    choose(r, node, "angles", angles, &pairs);
    choose(r, node, "pain", pain, &order);
    r->s->rules.pairs = (enum pair_order)pairs;
    r->s->rules.pain = (enum pain_order)order;
}

static void read_words(struct map_reader *r, const xmlNode *node)
{
    static const char *const attributes[] = {"language"};
    size_t n;
    const char *const *codes = language_codes(&n);
    check_attributes(r, node, attributes, ARRAY_LEN(attributes));
    const char *code = need(r, node, "language");
    if (code == NULL)
        return;
    r->s->rules.language = language_by_code(code);
    if (r->s->rules.language == LANGUAGE_UNDECLARED) {
        struct buf all;
        buf_init(&all, 1 << 10);
        for (size_t i = 0; i < n; i++)
            buf_addf(&all, " %s", codes[i]);
        refuse(r, DIAG_XML_VALUE, node, "language", "%.20s is not one of%s", code, buf_text(&all));
        buf_release(&all);
    }
}

/* ---- columns ------------------------------------------------------------------------------- */

/* Small letters, and runs of blanks as one. */
static bool same_header(const char *a, const char *b)
{
    for (;;) {
        bool blank_a = *a == ' ' || *a == '\t' || *a == '\n' || *a == '\r';
        bool blank_b = *b == ' ' || *b == '\t' || *b == '\n' || *b == '\r';
        if (blank_a != blank_b || tolower((unsigned char)*a) != tolower((unsigned char)*b)) {
            if (!(blank_a && blank_b))
                return false;
        }
        if (*a == '\0')
            return true;
        if (blank_a) {
            a += strspn(a, " \t\r\n");
            b += strspn(b, " \t\r\n");
        } else {
            a++;
            b++;
        }
    }
}

const struct map_column *map_find(const struct import_settings *s, const char *header)
{
    for (size_t i = 0; i < s->n_columns; i++)
        if (same_header(s->columns[i].header, header))
            return &s->columns[i];
    return NULL;
}

static const char *native_near(struct map_reader *r, const char *name)
{
    const char *names[COL_COUNT];
    for (int c = 0; c < COL_COUNT; c++)
        names[c] = column_name((enum import_column)c);
    return near_of(r, name, names, COL_COUNT);
}

/* What a pin takes, for the message. */
static const char *const pin_takes[PIN_COUNT] = {
    [PIN_SIDE] = "right, left or midline", [PIN_TEST] = "AROM, PROM, MMT or force",
    [PIN_TIMING] = "before or after",      [PIN_TECHNIQUE] = "make or break",
    [PIN_DIGIT] = "1 to 5",                [PIN_TRY] = "1 to 99",
    [PIN_UNIT] = "N, kgf, lbf, deg, mm or cm"};

static const char *check_word(struct map_reader *r, const xmlNode *node, enum pin p,
                              const char *text)
{
    enum side side = SIDE_NONE;
    enum test test = TEST_NONE;
    enum diag_code why;
    const char *name = column_name(pin_column(p));
    if (p == PIN_SIDE && cell_side(text, &r->s->rules, &side, &why) && side != SIDE_NONE)
        return side_name(side);
    if (p == PIN_TEST && cell_test(text, &test, &why) && test != TEST_NONE)
        return test_name(test);
    if (p == PIN_TIMING && (strcmp(text, "before") == 0 || strcmp(text, "after") == 0))
        return text;
    if (p == PIN_TECHNIQUE && (strcmp(text, "make") == 0 || strcmp(text, "break") == 0))
        return text;
    if (p == PIN_DIGIT && strlen(text) == 1 && *text >= '1' && *text <= '5')
        return text;
    if (p == PIN_TRY && strspn(text, "0123456789") == strlen(text) && strlen(text) <= 2 &&
        *text != '0')
        return text;
    if (p == PIN_UNIT && (force_unit_known(text) || measure_unit(text) != UNIT_NONE))
        return text;
    if (p == PIN_POSITION || p == PIN_TOOL || p == PIN_MUSCLE)
        return text;
    refuse(r, DIAG_XML_VALUE, node, name, "%.60s is not a %s: %s", text, name, pin_takes[p]);
    return NULL;
}

/* Joint and motion together, so that friendly spellings become keys and a slip is told with what
 * comes nearest. */
static const struct motion *pin_motion(struct map_reader *r, const xmlNode *node, const char **pins)
{
    char near[VOCABULARY_NEAR_MAX];
    const char *joint = pins[PIN_JOINT], *motion = pins[PIN_MOTION];
    if (joint == NULL || motion == NULL)
        return NULL;
    const struct motion *m = vocabulary_motion(r->ref, joint, motion);
    if (m == NULL) {
        vocabulary_nearest(r->ref, joint, motion, near);
        refuse(r, DIAG_XML_VALUE, node, "motion", "%.60s %.60s is not known%s%s", joint, motion,
               *near != '\0' ? "; nearest known: " : "", near);
        return NULL;
    }
    pins[PIN_JOINT] = m->joint;
    pins[PIN_MOTION] = m->motion;
    return m;
}

/* A unit that no cell of the column could be read in, a position that says two things. */
static void check_unit_and_position(struct map_reader *r, const xmlNode *node,
                                    const char *const *pins, const struct motion *m)
{
    const char *unit = pins[PIN_UNIT], *position = pins[PIN_POSITION], *text;
    bool force = str_eq(pins[PIN_TEST], "force");
    bool range = str_eq(pins[PIN_TEST], "AROM") || str_eq(pins[PIN_TEST], "PROM");
    bool wrong = unit != NULL && ((force && !force_unit_known(unit)) ||
                                  (range && measure_unit(unit) == UNIT_NONE) ||
                                  str_eq(pins[PIN_TEST], "MMT"));
    if (wrong)
        refuse(r, DIAG_XML_VALUE, node, "unit", "%.60s is no unit of this test", unit);
    if (position != NULL && position_read(r->ref, m, position, r->arena, &text) == POSITION_UNCLEAR)
        refuse(r, DIAG_XML_VALUE, node, "position", "%.60s says two things, or not which",
               position);
}

static void check_pins(struct map_reader *r, const xmlNode *node, const char **pins)
{
    const struct motion *m = pin_motion(r, node, pins);
    if (m == NULL)
        return;
    check_unit_and_position(r, node, pins, m);
    bool strength = str_eq(pins[PIN_TEST], "MMT") || str_eq(pins[PIN_TEST], "force");
    if (pins[PIN_TEST] != NULL && !(strength ? m->mmt : m->rom))
        refuse(r, DIAG_XML_VALUE, node, "test", "%s %s has no such test", m->joint, m->motion);
    if (pins[PIN_SIDE] != NULL &&
        (m->sides == SIDES_MIDLINE) != (strcmp(pins[PIN_SIDE], "midline") == 0))
        refuse(r, DIAG_XML_VALUE, node, "side", "%s %s is of %s", m->joint, m->motion,
               m->sides == SIDES_MIDLINE ? "the midline" : "right and left");
    int digit = pins[PIN_DIGIT] != NULL ? *pins[PIN_DIGIT] - '0' : 0;
    if (digit != 0 && (digit < m->digit_min || digit > m->digit_max))
        refuse(r, DIAG_XML_VALUE, node, "digit", "not a digit of %s", m->joint);
}

static bool read_pins(struct map_reader *r, const xmlNode *node, const char **pins)
{
    bool any = false;
    for (int p = 0; p < PIN_COUNT; p++) {
        const char *name = column_name(pin_column((enum pin)p)), *text = value_of(r, node, name);
        any = any || xmlHasProp(node, (const xmlChar *)name) != NULL;
        if (text != NULL)
            pins[p] = p == PIN_JOINT || p == PIN_MOTION ? text
                                                        : check_word(r, node, (enum pin)p, text);
    }
    check_pins(r, node, pins);
    return any;
}

static void add_column(struct map_reader *r, const xmlNode *node, const struct map_column *column)
{
    const struct map_column *old = map_find(r->s, column->header);
    if (old != NULL) {
        refuse(r, DIAG_XML_VALUE, node, "header", "the same header as on line %ld", old->line);
        return;
    }
    r->columns[r->s->n_columns++] = *column;
}

static void read_column(struct map_reader *r, const xmlNode *node)
{
    const char *attributes[ATTRIBUTES_MAX] = {"header", "to", "skip"};
    size_t n = 3;
    for (int p = 0; p < PIN_COUNT; p++)
        attributes[n++] = column_name(pin_column((enum pin)p));
    struct map_column column = {.line = xmlGetLineNo(node), .kind = MAP_PIN};
    check_attributes(r, node, attributes, n);
    column.header = need(r, node, "header");
    const char *to = value_of(r, node, "to"), *skip = value_of(r, node, "skip");
    bool pinned = read_pins(r, node, column.pins);
    if (to != NULL) {
        column.kind = MAP_RENAME;
        column.to = column_by_name(to);
        if (column.to == COL_COUNT)
            refuse(r, DIAG_XML_VALUE, node, "to", "%.60s is not a column%s", to,
                   native_near(r, to));
    }
    if (skip != NULL) {
        column.kind = MAP_SKIP;
        if (strcmp(skip, "yes") != 0)
            refuse(r, DIAG_XML_VALUE, node, "skip", "yes is the only value");
    }
    if ((to != NULL) + (skip != NULL) + pinned != 1)
        refuse(r, DIAG_XML_ATTRIBUTE, node, NULL,
               "a column takes one of to, skip, or joint, motion and what goes with them");
    else if (column.header != NULL)
        add_column(r, node, &column);
}

bool map_may_be_constant(enum import_column c)
{
    static const enum import_column allowed[] = {
        COL_VISIT_DATE, COL_VISIT_KIND, COL_MEASURED_BY, COL_ROLE,     COL_SUPERVISOR,
        COL_JOINT,      COL_MOTION,     COL_SIDE,        COL_DIGIT,    COL_TEST,
        COL_UNIT,       COL_POSITION,   COL_TOOL,        COL_TIMING,   COL_MUSCLE,
        COL_TECHNIQUE,  COL_PROTOCOL,   COL_OUTCOME_NAME};
    for (size_t i = 0; i < ARRAY_LEN(allowed); i++)
        if (allowed[i] == c)
            return true;
    return false;
}

static void read_constant(struct map_reader *r, const xmlNode *node)
{
    static const char *const attributes[] = {"column", "value"};
    check_attributes(r, node, attributes, ARRAY_LEN(attributes));
    const char *name = need(r, node, "column"), *value = need(r, node, "value");
    enum import_column c = name != NULL ? column_by_name(name) : COL_COUNT;
    if (name == NULL || value == NULL)
        return;
    if (c == COL_COUNT)
        refuse(r, DIAG_XML_VALUE, node, "column", "%.60s is not a column%s", name,
               native_near(r, name));
    else if (!map_may_be_constant(c))
        refuse(r, DIAG_XML_VALUE, node, "column",
               "%s cannot be one value for all files of a run", column_name(c));
    else if (r->s->constants[c] != NULL)
        refuse(r, DIAG_XML_VALUE, node, "column", "%s stands twice", column_name(c));
    else
        r->s->constants[c] = value;
}

/* ---- the file ------------------------------------------------------------------------------ */

static const struct {
    const char *name;
    void (*read)(struct map_reader *r, const xmlNode *node);
    bool once;
} elements[] = {
    {"file", read_file, true},     {"dates", read_dates, true}, {"signs", read_signs, true},
    {"pairs", read_pairs, true},   {"words", read_words, true}, {"column", read_column, false},
    {"constant", read_constant, false},
};

/* Declarations first: the side words of a column may be of the declared language. */
static void read_elements(struct map_reader *r, const xmlNode *root, bool once)
{
    for (const xmlNode *node = root->children; node != NULL; node = node->next) {
        for (size_t i = 0; i < ARRAY_LEN(elements); i++) {
            if (elements[i].once != once || !xml_is(node, elements[i].name))
                continue;
            if (once && (r->seen & 1u << i) != 0)
                refuse(r, DIAG_XML_ELEMENT, node, NULL, "<%s> stands twice", elements[i].name);
            r->seen |= 1u << i;
            elements[i].read(r, node);
        }
    }
}

static void check_names(struct map_reader *r, const xmlNode *root)
{
    const char *names[ARRAY_LEN(elements)];
    for (size_t i = 0; i < ARRAY_LEN(elements); i++)
        names[i] = elements[i].name;
    for (const xmlNode *node = root->children; node != NULL; node = node->next) {
        size_t i = 0;
        if (node->type == XML_TEXT_NODE && !xmlIsBlankNode(node))
            refuse(r, DIAG_XML_ELEMENT, root, NULL, "text outside an element");
        if (node->type != XML_ELEMENT_NODE)
            continue;
        while (i < ARRAY_LEN(elements) && !xml_is(node, names[i]))
            i++;
        if (i == ARRAY_LEN(elements))
            refuse(r, DIAG_XML_ELEMENT, node, NULL, "<%.60s> is not known in a map%s",
                   (const char *)node->name,
                   near_of(r, (const char *)node->name, names, ARRAY_LEN(elements)));
    }
}

static void read_map(struct map_reader *r, const xmlNode *root)
{
    if (!xml_is(root, "column-map")) {
        refuse(r, DIAG_XML_ELEMENT, root, NULL, "the root of a column map is <column-map>");
        return;
    }
    size_t n = 1;
    for (const xmlNode *node = root->children; node != NULL; node = node->next)
        n++;
    r->columns = arena_alloc(r->arena, n * sizeof *r->columns);
    r->s->columns = r->columns;
    for (const xmlAttr *at = root->properties; at != NULL; at = at->next)
        refuse(r, DIAG_XML_ATTRIBUTE, root, (const char *)at->name, "<column-map> takes none");
    check_names(r, root);
    read_elements(r, root, true);
    read_elements(r, root, false);
}

static const char *digest_of(const struct buf *bytes, struct arena *a)
{
    struct digest d;
    char hex[DIGEST_HEX];
    digest_init(&d);
    digest_add(&d, bytes->data, bytes->len);
    digest_hex(&d, hex);
    return arena_strdup(a, hex);
}

const struct import_settings *import_settings_load(const char *path, const struct reference *ref,
                                                   struct arena *a, struct diag_sink *sink)
{
    struct import_settings *s = arena_alloc(a, sizeof *s);
    struct map_reader r = {.path = arena_strdup(a, path), .ref = ref, .arena = a, .sink = sink,
                           .s = s, .ok = true};
    struct buf bytes;
    xmlDoc *doc = NULL;
    *s = default_settings;
    s->path = r.path;
    buf_init(&bytes, MAP_FILE_MAX);
    if (file_read(path, MAP_FILE_MAX, &bytes, sink))
        doc = xml_parse(buf_text(&bytes), bytes.len, r.path, sink);
    if (doc != NULL) {
        s->digest = digest_of(&bytes, a);
        read_map(&r, xmlDocGetRootElement(doc));
    }
    r.ok = r.ok && doc != NULL;
    xmlFreeDoc(doc);
    buf_release(&bytes);
    return r.ok ? s : NULL;
}

void import_map_unused(const struct import_settings *settings,
                       struct import_source *const *sources, size_t n, struct diag_sink *sink)
{
    for (size_t i = 0; i < settings->n_columns; i++) {
        bool used = false;
        for (size_t k = 0; k < n; k++)
            used = used || sources[k]->map_used[i];
        struct diag_pos pos = {.file = settings->path, .line = settings->columns[i].line,
                               .field = "column"};
        if (!used)
            diag_report(sink, DIAG_MAP_UNUSED, pos, NULL, "%.80s", settings->columns[i].header);
    }
}
