/*
 * The writer of documents: elements and attributes of a libxml2 tree, with the conventions of
 * docs/findings.md in one place: what is not known is absent, numbers are short, dates are ISO.
 *
 * A document has some thousand attributes and is made for every visit of a batch, so the tree lies
 * in an arena of its own: nothing is allocated or freed one by one, and a name is the literal it
 * was given as. libxml2 reads such a tree like any other, but must not free it or a part of it.
 */
#include "findings/findings_int.h"

#include <libxml/parserInternals.h>
#include <stdlib.h>
#include <string.h>

/* An attribute and its value, which always come together. */
struct attribute {
    xmlAttr attr;
    xmlNode text;
};

static xmlNode *new_node(struct writer *w, xmlNode *parent, const char *name)
{
    xmlNode *node = arena_alloc(w->arena, sizeof *node);
    node->type = XML_ELEMENT_NODE;
    node->name = BAD_CAST name;
    node->doc = w->doc;
    node->parent = parent;
    node->prev = parent->last;
    if (parent->last != NULL)
        parent->last->next = node;
    else
        parent->children = node;
    parent->last = node;
    return node;
}

xmlNode *findings_begin(struct writer *w, const char *root)
{
    *w = (struct writer){.arena = arena_new()};
    buf_init(&w->scratch, SCRATCH_MAX);
    xmlDoc *doc = arena_alloc(w->arena, sizeof *doc);
    *doc = (xmlDoc){._private = w->arena,
                    .type = XML_DOCUMENT_NODE,
                    .doc = doc,
                    .version = BAD_CAST "1.0",
                    .standalone = -1,
                    .compression = -1,
                    .charset = XML_CHAR_ENCODING_UTF8,
                    .properties = XML_DOC_USERBUILT};
    w->doc = doc;
    return new_node(w, (xmlNode *)doc, root);
}

void findings_resume(struct writer *w, xmlDoc *doc)
{
    *w = (struct writer){.arena = doc->_private, .doc = doc};
    buf_init(&w->scratch, SCRATCH_MAX);
}

xmlDoc *findings_end(struct writer *w)
{
    buf_release(&w->scratch);
    free(w->sources);
    return w->doc;
}

void findings_free(xmlDoc *doc)
{
    if (doc != NULL)
        arena_free(doc->_private);
}

xmlNode *findings_child(struct writer *w, xmlNode *parent, const char *name)
{
    return new_node(w, parent, name);
}

void findings_drop_if_bare(xmlNode *node)
{
    if (node->properties == NULL && node->children == NULL)
        xmlUnlinkNode(node);
}

static bool is_xml_character(int32_t c)
{
    if (c < 0x20)
        return c == '\t' || c == '\n' || c == '\r';
    return c != 0xFFFE && c != 0xFFFF;
}

static bool is_plain(const char *value)
{
    for (const char *s = value; *s != '\0'; s++)
        if ((unsigned char)*s < 0x20 || (unsigned char)*s > 0x7E)
            return false;
    return true;
}

/* Cells may hold control characters that XML 1.0 has no way to write: they show as U+FFFD. */
static const char *writable(struct writer *w, const char *value)
{
    if (is_plain(value))
        return value;
    const char *end = value + strlen(value);
    buf_clear(&w->scratch);
    for (const char *s = value; s < end;) {
        int32_t c = utf8_next(&s, end);
        utf8_put(&w->scratch, is_xml_character(c) ? c : 0xFFFD);
    }
    return buf_text(&w->scratch);
}

static void append(struct writer *w, xmlNode *node, xmlAttr *attr)
{
    if (w->last != NULL && w->last->parent == node) {
        w->last->next = attr;
        attr->prev = w->last;
    } else if (node->properties == NULL) {
        node->properties = attr;
    } else {
        xmlAttr *last = node->properties;
        while (last->next != NULL)
            last = last->next;
        last->next = attr;
        attr->prev = last;
    }
    w->last = attr;
}

/* The value lives as long as the document. */
static void put_lasting(struct writer *w, xmlNode *node, const char *name, const char *value)
{
    struct attribute *at = arena_alloc(w->arena, sizeof *at);
    at->attr.type = XML_ATTRIBUTE_NODE;
    at->attr.name = BAD_CAST name;
    at->attr.children = at->attr.last = &at->text;
    at->attr.parent = node;
    at->attr.doc = w->doc;
    at->text.type = XML_TEXT_NODE;
    at->text.name = xmlStringText;
    at->text.parent = (xmlNode *)&at->attr;
    at->text.doc = w->doc;
    at->text.content = (xmlChar *)(uintptr_t)value;
    append(w, node, &at->attr);
}

static void put(struct writer *w, xmlNode *node, const char *name, const char *value)
{
    put_lasting(w, node, name, arena_strdup(w->arena, value));
}

void findings_text(struct writer *w, xmlNode *node, const char *name, const char *value)
{
    if (!str_is_empty(value))
        put(w, node, name, writable(w, value));
}

const char *findings_number_text(char out[NUM_TEXT_MAX], double value, int decimals)
{
    (void)num_format(out, value, decimals);
    if (strchr(out, '.') == NULL)
        return out;
    char *end = out + strlen(out);
    while (end[-1] == '0')
        end--;
    if (end[-1] == '.')
        end--;
    *end = '\0';
    return out;
}

void findings_value(struct writer *w, xmlNode *node, const char *name, double value, int decimals)
{
    char text[NUM_TEXT_MAX];
    put(w, node, name, findings_number_text(text, value, decimals));
}

void findings_number(struct writer *w, xmlNode *node, const char *name, struct num value,
                     int decimals)
{
    if (value.has)
        findings_value(w, node, name, value.value, decimals);
}

void findings_count(struct writer *w, xmlNode *node, const char *name, long value)
{
    char text[NUM_TEXT_MAX];
    (void)num_format(text, (double)value, 0);
    put(w, node, name, text);
}

void findings_positive(struct writer *w, xmlNode *node, const char *name, long value)
{
    if (value > 0)
        findings_count(w, node, name, value);
}

void findings_date(struct writer *w, xmlNode *node, const char *name, struct date value)
{
    char text[DATE_TEXT_MAX];
    if (date_is_set(value))
        put(w, node, name, date_format(text, value));
}

void findings_yes(struct writer *w, xmlNode *node, const char *name, bool value)
{
    if (value)
        findings_yes_no(w, node, name, true);
}

void findings_yes_no(struct writer *w, xmlNode *node, const char *name, bool value)
{
    put_lasting(w, node, name, value ? "yes" : "no");
}

void findings_tri(struct writer *w, xmlNode *node, const char *name, enum tri value)
{
    if (value != TRI_UNKNOWN)
        findings_yes_no(w, node, name, value == TRI_YES);
}
