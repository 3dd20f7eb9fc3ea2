/* Attributes of one element into one struct, driven by a table of fields, so that every attribute
 * is either read or reported. */
#include "reference/reference_int.h"

#include <stdlib.h>
#include <string.h>

enum { FIELDS_MAX = 32, WORDS_MAX = 16, DETAIL_MAX = 400, SHOWN_MAX = 60 };

static long line_at(const struct load_file *file, const char *place)
{
    long line = 1;
    for (const char *p = file->data; p < place; p++)
        line += *p == '\n';
    return line;
}

/* The parser notes the line where a start tag ends. Our tags run over many lines, so the tag is
 * looked up in the text: its first line, or the line of the attribute. */
static long find_line(const struct load *l, const struct tree_node *node, const char *attribute)
{
    const struct load_file *file = l->file;
    const char *name = tree_name(l->tree, node);
    const char *end = file->data, *stop = file->data + file->size;
    long last = node->line;
    for (long line = 0; line < last && end < stop; line++) {
        const char *newline = memchr(end, '\n', (size_t)(stop - end));
        end = newline == NULL ? stop : newline + 1;
    }
    size_t len = strlen(name);
    const char *tag = end;
    while (tag > file->data && !(tag[0] == '<' && (size_t)(stop - tag) > len &&
                                 strncmp(tag + 1, name, len) == 0))
        tag--;
    if (*tag != '<' || attribute == NULL)
        return *tag == '<' ? line_at(file, tag) : last;
    len = strlen(attribute);
    for (const char *p = tag; p + len + 1 < end; p++) {
        bool starts = *p == ' ' || *p == '\n' || *p == '\t' || *p == '\r';
        if (starts && strncmp(p + 1, attribute, len) == 0 && p[len + 1] == '=')
            return line_at(file, p + 1);
    }
    return line_at(file, tag);
}

void load_problem(struct load *l, enum diag_code code, const struct tree_node *node,
                  const char *attribute, const char *fmt, ...)
{
    char detail[DETAIL_MAX];
    va_list args;
    va_start(args, fmt);
    vsnprintf(detail, sizeof detail, fmt, args);
    va_end(args);
    struct diag_pos pos = {.file = l->file->name,
                           .line = find_line(l, node, attribute),
                           .field = attribute != NULL ? attribute : tree_name(l->tree, node)};
    diag_report(l->sink, code, pos, NULL, "%s", detail);
    l->problems++;
}

const char *load_nearest(struct load *l, const char *wanted, const char *const *names, size_t n)
{
    const char *nearest = str_nearest(wanted, names, n);
    return nearest == NULL ? "" : arena_printf(l->ref->arena, ", nearest is %s", nearest);
}

static void bad_word(struct load *l, const struct tree_node *node, const struct field *f,
                     const char *value)
{
    const char *names[WORDS_MAX];
    size_t n = 0;
    for (const struct word *w = f->words; w->word != NULL && n < WORDS_MAX; w++)
        names[n++] = w->word;
    load_problem(l, DIAG_XML_VALUE, node, f->name, "%.*s%s", SHOWN_MAX, value,
                 load_nearest(l, value, names, n));
}

static void read_number(struct load *l, const struct tree_node *node, const struct field *f,
                        const char *value, void *out)
{
    enum { INT_LIMIT = 1000000 };
    double number;
    bool good = num_parse(value, strlen(value), &number);
    if (good && f->kind == FIELD_INT)
        good = number > -INT_LIMIT && number < INT_LIMIT && (double)(int)number == number;
    if (!good)
        load_problem(l, DIAG_XML_VALUE, node, f->name, "%.*s is not a %s", SHOWN_MAX, value,
                     f->kind == FIELD_INT ? "whole number" : "number");
    else if (f->kind == FIELD_INT)
        *(int *)out = (int)number;
    else if (f->kind == FIELD_NUM)
        *(struct num *)out = num_of(number);
    else
        *(double *)out = number;
}

static void read_source(struct load *l, const struct tree_node *node, const struct field *f,
                        const char *value, void *out)
{
    const struct source *source = reference_source(l->ref, value);
    if (source == NULL)
        load_problem(l, DIAG_REFERENCE_SOURCE, node, f->name, "%.*s%s", SHOWN_MAX, value,
                     load_nearest(l, value, l->ref->source_ids, l->ref->n_sources));
    else
        *(const struct source **)out = source;
}

/* Few remarks stand on many rows. */
static const char *mark_of(struct load *l, const char *text)
{
    struct known *met = &l->marks[(size_t)(text - l->tree->texts) % MARKS_KNOWN];
    if (met->text != text)
        *met = (struct known){text, known_mark(text)};
    return met->mark;
}

static void read_value(struct load *l, const struct tree_node *node, const struct field *f,
                       const char *value, void *out)
{
    const struct word *w;
    switch (f->kind) {
    case FIELD_TEXT:
        *(const char **)out = value;
        break;
    case FIELD_WORD:
    case FIELD_CHOICE:
        if ((w = word_find(f->words, value)) == NULL)
            bad_word(l, node, f, value);
        else if (f->kind == FIELD_WORD)
            *(const char **)out = value;
        else
            memcpy(out, &w->value, sizeof w->value);
        break;
    case FIELD_DOUBLE:
    case FIELD_NUM:
    case FIELD_INT:
        read_number(l, node, f, value, out);
        break;
    case FIELD_SOURCE:
        read_source(l, node, f, value, out);
        break;
    case FIELD_KNOWN: {
        struct known *known = out;
        known->text = value;
        if ((known->mark = mark_of(l, value)) == NULL)
            load_problem(l, DIAG_REFERENCE_KNOWN, node, f->name, "%.*s", SHOWN_MAX, value);
        break;
    }
    }
}

static void unknown_attribute(struct load *l, const struct tree_node *node,
                              const struct field *fields, size_t n, const char *name)
{
    const char *names[FIELDS_MAX];
    for (size_t i = 0; i < n; i++)
        names[i] = fields[i].name;
    load_problem(l, DIAG_XML_ATTRIBUTE, node, name, "%.*s is not known here%s", SHOWN_MAX, name,
                 load_nearest(l, name, names, n));
}

/* Attributes mostly stand in the order of the table, so the search starts where the last ended. */
static size_t find_field(const struct field *fields, size_t n, const char *name, size_t from)
{
    for (size_t k = 0; k < n; k++) {
        size_t i = (from + k) % n;
        if (strcmp(fields[i].name, name) == 0)
            return i;
    }
    return n;
}

void load_fields(struct load *l, const struct tree_node *node, const struct field *fields, size_t n,
                 void *out)
{
    bool given[FIELDS_MAX] = {false};
    size_t from = 0;
    for (size_t i = 0; i < n; i++)
        if (fields[i].kind == FIELD_TEXT || fields[i].kind == FIELD_WORD)
            *(const char **)((char *)out + fields[i].offset) = "";
    const struct tree_attribute *at = l->tree->attributes + node->attributes;
    for (const struct tree_attribute *end = at + node->n_attributes; at < end; at++) {
        const char *name = l->tree->texts + at->name, *value = l->tree->texts + at->value;
        size_t i = find_field(fields, n, name, from);
        if (i == n) {
            unknown_attribute(l, node, fields, n, name);
            continue;
        }
        from = i + 1;
        given[i] = true;
        if (*value == '\0')
            load_problem(l, DIAG_XML_VALUE, node, name,
                         "empty; leave the attribute out when it is not known");
        else
            read_value(l, node, &fields[i], value, (char *)out + fields[i].offset);
    }
    for (size_t i = 0; i < n; i++)
        if (fields[i].required && !given[i])
            load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL, "%s is missing", fields[i].name);
}
