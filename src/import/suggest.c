/* A column map from headers: what is recognised is written as the map's own elements, what is not
 * as comments with what comes nearest. Nothing of it is in force until somebody has read it and
 * passes it with --map. */
#include "import/heading_int.h"
#include "import/meaning_int.h"

#include <stdlib.h>
#include <string.h>

struct suggested {
    const char *header;
    bool certain;          /* written as an element; else inside a comment */
    const char *attributes; /* of the element; NULL: none can be offered */
    const char *remark;    /* for the comment; NULL: none */
    enum import_column column; /* that it is said to be; COL_COUNT: a measurement, or none */
    int distance;          /* to what comes nearest; FAR when nothing does */
    size_t order;
};

enum { FAR = 1000, TEXT_MAX = 1 << 24 };

struct import_suggestion {
    const struct import_settings *settings;
    const struct reference *ref;
    struct arena *arena;
    struct suggested *items;
    size_t n, cap;
    const char *as_they_are;
    bool has_id, has_date;  /* a header says it, in some file */
    char delimiter;
    bool delimiters_differ;
    const char *encoding;
    size_t files;
};

struct import_suggestion *import_suggestion_new(const struct import_settings *settings,
                                                const struct reference *ref)
{
    struct import_suggestion *s = mem_alloc(sizeof *s);
    s->settings = settings;
    s->ref = ref;
    s->arena = arena_new();
    s->as_they_are = "";
    return s;
}

void import_suggestion_free(struct import_suggestion *s)
{
    if (s == NULL)
        return;
    free(s->items);
    arena_free(s->arena);
    free(s);
}

/* ---- one header ---------------------------------------------------------------------------- */

static void put_escaped(struct buf *out, const char *text, bool in_comment)
{
    for (const char *c = text; *c != '\0'; c++) {
        if (*c == '&')
            buf_adds(out, "&amp;");
        else if (*c == '<')
            buf_adds(out, "&lt;");
        else if (*c == '"')
            buf_adds(out, "&quot;");
        else if (*c == '\n' || *c == '\r' || *c == '\t')
            buf_addc(out, ' ');
        else if (in_comment && *c == '-' && out->len > 0 && out->data[out->len - 1] == '-')
            buf_adds(out, " -"); /* a comment must not hold two in a row */
        else
            buf_addc(out, *c);
    }
}

static const char *pins_text(struct import_suggestion *s, const struct heading *h)
{
    struct buf b;
    buf_init(&b, TEXT_MAX);
    buf_addf(&b, "joint=\"%s\" motion=\"%s\"", h->motion->joint, h->motion->motion);
    if (h->side != SIDE_NONE)
        buf_addf(&b, " side=\"%s\"", side_name(h->side));
    if (h->digit != 0)
        buf_addf(&b, " digit=\"%d\"", h->digit);
    if (h->test != TEST_NONE)
        buf_addf(&b, " test=\"%s\"", test_name(h->test));
    if (h->position != NULL)
        buf_addf(&b, " position=\"%s\"", h->position);
    if (h->unit != NULL)
        buf_addf(&b, " unit=\"%s\"", h->unit);
    if (h->timing != TIMING_NONE)
        buf_addf(&b, " timing=\"%s\"", timing_name(h->timing));
    const char *text = arena_strdup(s->arena, buf_text(&b));
    buf_release(&b);
    return text;
}

static const char *lacks(const struct heading *h)
{
    if (h->test == TEST_NONE)
        return "active, passive or strength is not said";
    if (h->side == SIDE_NONE && h->motion->sides == SIDES_LEFT_RIGHT)
        return "the side is not said";
    return h->digit == 0 && h->motion->digit_min > 0 ? "the digit is not said" : NULL;
}

/* A header that is understood, or is after one word is put right. */
static bool as_measurement(struct import_suggestion *s, struct suggested *item)
{
    char near[HEADING_NEAR_MAX], none[HEADING_NEAR_MAX];
    struct heading h;
    enum heading_kind kind = heading_read(s->ref, item->header, &h, near);
    if (kind == HEADING_MEASUREMENT) {
        item->remark = lacks(&h);
        item->certain = item->remark == NULL;
        item->attributes = pins_text(s, &h);
        item->distance = 0;
    } else if (kind == HEADING_ASSISTED) {
        item->remark = "assisted or resisted range is neither active nor passive";
        item->attributes = "skip=\"yes\"";
    } else if (kind == HEADING_LIKE && near[0] != '\0') {
        item->remark = arena_printf(s->arena, "nearest: %s", near);
        item->distance = str_distance(item->header, near);
        if (heading_read(s->ref, near, &h, none) == HEADING_MEASUREMENT)
            item->attributes = pins_text(s, &h);
    } else if (kind == HEADING_LIKE) {
        item->remark = "like a measurement";
    }
    return kind != HEADING_OTHER;
}

static void as_column(struct import_suggestion *s, struct suggested *item, bool used[COL_COUNT])
{
    bool exact;
    const char *name = heading_column(s->ref, item->header, &exact);
    enum import_column c = name != NULL ? column_by_name(name) : COL_COUNT;
    item->attributes = "skip=\"yes\"";
    if (c == COL_COUNT)
        return;
    item->column = c;
    item->attributes = arena_printf(s->arena, "to=\"%s\"", name);
    item->certain = exact && !used[c];
    if (used[c])
        item->remark = arena_printf(s->arena, "%s is taken by another column", name);
    else if (!exact)
        item->remark = arena_printf(s->arena, "nearest: %s", name);
    item->distance = exact ? 0 : str_distance(item->header, name);
    used[c] = used[c] || exact;
}

static bool is_listed(const struct import_suggestion *s, const char *header)
{
    for (size_t i = 0; i < s->n; i++)
        if (str_eq_nocase(s->items[i].header, header))
            return true;
    return false;
}

static void add_header(struct import_suggestion *s, const char *header, bool used[COL_COUNT])
{
    struct suggested item = {.header = arena_strdup(s->arena, header), .column = COL_COUNT,
                             .distance = FAR, .order = s->n};
    if (!as_measurement(s, &item))
        as_column(s, &item, used);
    if (is_listed(s, header))
        return;
    if (s->n == s->cap) {
        s->cap = s->cap == 0 ? 32 : s->cap * 2;
        s->items = mem_resize(s->items, s->cap * sizeof *s->items);
    }
    s->items[s->n++] = item;
}

/* ---- one file ------------------------------------------------------------------------------ */

static void note_file(struct import_suggestion *s, const struct import_source *src)
{
    if (s->files++ > 0 && s->delimiter != src->delimiter)
        s->delimiters_differ = true;
    s->delimiter = src->delimiter;
    if (src->lines.decoder != NULL && src->settings->encoding == ENCODING_UNDECLARED)
        s->encoding = encoding_name(ENCODING_UTF_16);
    else if (src->settings->encoding != ENCODING_UNDECLARED)
        s->encoding = encoding_name(src->settings->encoding);
}

/* In a table of several readings a row, what belongs to one of them is held back in each row. */
static void doubt_beside(struct import_suggestion *s, size_t first)
{
    int readings = 0;
    for (size_t i = first; i < s->n; i++)
        readings += s->items[i].certain && s->items[i].column == COL_COUNT;
    for (size_t i = first; i < s->n && readings > 1; i++) {
        struct suggested *item = &s->items[i];
        if (!item->certain || item->column == COL_COUNT || !parts_is_beside(item->column))
            continue;
        item->certain = false;
        item->remark = arena_printf(s->arena, "%s belongs to one reading, a row here has several",
                                    column_name(item->column));
        item->attributes = "skip=\"yes\"";
    }
}

bool import_suggestion_add(struct import_suggestion *s, const char *path, struct diag_sink *sink)
{
    struct row header;
    bool used[COL_COUNT] = {false};
    struct import_source *src = reader_open_header(path, s->settings, &header, sink);
    if (src == NULL)
        return false;
    size_t first = s->n;
    note_file(s, src);
    for (int i = 0; i < header.n_cells; i++) {
        enum import_column c = column_by_name(header.cells[i].text);
        if (c == COL_COUNT)
            continue;
        if (strstr(s->as_they_are, arena_printf(s->arena, " %s ", column_name(c))) == NULL)
            s->as_they_are = arena_printf(s->arena, "%s %s ", s->as_they_are, column_name(c));
        used[c] = true;
    }
    for (int i = 0; i < header.n_cells; i++)
        if (header.cells[i].len > 0 && column_by_name(header.cells[i].text) == COL_COUNT)
            add_header(s, header.cells[i].text, used);
    doubt_beside(s, first);
    s->has_id = s->has_id || used[COL_PATIENT_ID];
    s->has_date = s->has_date || used[COL_VISIT_DATE];
    import_close(src);
    return true;
}

/* ---- writing ------------------------------------------------------------------------------- */

static int by_distance(const void *va, const void *vb)
{
    const struct suggested *a = *(struct suggested *const *)va, *b = *(struct suggested *const *)vb;
    int d = a->distance - b->distance;
    return d != 0 ? d : a->order < b->order ? -1 : 1;
}

static void write_file_element(const struct import_suggestion *s, struct buf *out)
{
    static const struct {
        char mark;
        const char *name;
    } names[] = {{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}, {'|', "pipe"}};
    const char *delimiter = NULL;
    for (size_t i = 0; i < ARRAY_LEN(names); i++)
        if (names[i].mark == s->delimiter && !s->delimiters_differ)
            delimiter = names[i].name;
    if (delimiter == NULL && s->encoding == NULL)
        return;
    buf_adds(out, "  <file");
    if (delimiter != NULL)
        buf_addf(out, " delimiter=\"%s\"", delimiter);
    if (s->encoding != NULL)
        buf_addf(out, " encoding=\"%s\"", s->encoding);
    buf_adds(out, "/>\n");
}

static void write_element(const struct suggested *item, bool in_comment, struct buf *out)
{
    buf_adds(out, "  <column header=\"");
    put_escaped(out, item->header, in_comment);
    buf_addf(out, "\" %s/>", item->attributes);
}

static void write_comment(const struct suggested *item, struct buf *out)
{
    buf_adds(out, "  <!-- ");
    put_escaped(out, item->header, true);
    if (item->remark != NULL) {
        buf_adds(out, ": ");
        put_escaped(out, item->remark, true);
    }
    if (item->attributes != NULL) {
        buf_addc(out, '\n');
        write_element(item, true, out);
    }
    buf_adds(out, " -->\n");
}

void import_suggestion_write(const struct import_suggestion *s, struct buf *out)
{
    size_t n = 0;
    struct suggested **others = mem_alloc((s->n + 1) * sizeof *others);
    buf_adds(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                  "<?xml-model href=\"map.rnc\" "
                  "type=\"application/relax-ng-compact-syntax\"?>\n"
                  "<!-- A suggestion: check each line, then give the file to the option map. -->\n"
                  "<column-map>\n");
    write_file_element(s, out);
    buf_adds(out,
             "  <!-- What the cells mean, where they could mean two things; keep what is true:\n"
             "  <dates order=\"dmy\"/>\n"
             "  <signs extension-minus=\"short-of-zero\"/>\n"
             "  <pairs angles=\"active/passive\"/>\n"
             "  <words language=\"de\"/> -->\n");
    if (s->as_they_are[0] != '\0')
        buf_addf(out, "  <!-- Read as they are:%s-->\n", s->as_they_are);
    for (size_t i = 0; i < s->n; i++) {
        if (!s->items[i].certain) {
            others[n++] = &s->items[i];
            continue;
        }
        write_element(&s->items[i], false, out);
        buf_addc(out, '\n');
    }
    if (!s->has_id)
        buf_adds(out, "  <!-- No header says patient_id, which every row needs. -->\n");
    if (!s->has_date)
        buf_adds(out, "  <!-- No header says visit_date, which every reading needs. -->\n");
    if (n > 0)
        buf_adds(out, "  <!-- Not recognised, the nearest first -->\n");
    qsort(others, n, sizeof *others, by_distance);
    for (size_t i = 0; i < n; i++)
        write_comment(others[i], out);
    buf_adds(out, "</column-map>\n");
    free(others);
}
