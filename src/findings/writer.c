/*
 * The writer of documents: elements and attributes of a libxml2 tree, with the conventions of
 * docs/findings.md in one place: what is not known is absent, numbers are short, dates are ISO.
 *
 * A document has some thousand attributes and is made for every visit of a batch, so attributes
 * are set up here instead of by xmlNewProp(): no search for the end of the list, and names and
 * values are interned in the document's dictionary, for most of them come again and again.
 */
#include "findings/findings_int.h"

#include <stdlib.h>
#include <string.h>

/* libxml2 reports exhausted memory as NULL; here, as everywhere, that ends the process. */
static void *present(void *made)
{
    if (made == NULL) {
        fputs("endfeel: out of memory\n", stderr);
        exit(STATUS_SYSTEM);
    }
    return made;
}

xmlNode *findings_begin(struct writer *w, const char *root)
{
    memset(w, 0, sizeof *w);
    buf_init(&w->scratch, SCRATCH_MAX);
    w->doc = present(xmlNewDoc(BAD_CAST "1.0"));
    w->doc->dict = present(xmlDictCreate());
    xmlNode *node = present(xmlNewDocNode(w->doc, NULL, BAD_CAST root, NULL));
    xmlDocSetRootElement(w->doc, node);
    return node;
}

void findings_resume(struct writer *w, xmlDoc *doc)
{
    memset(w, 0, sizeof *w);
    buf_init(&w->scratch, SCRATCH_MAX);
    w->doc = doc;
}

xmlDoc *findings_end(struct writer *w)
{
    buf_release(&w->scratch);
    free(w->sources);
    return w->doc;
}

xmlNode *findings_child(struct writer *w, xmlNode *parent, const char *name)
{
    xmlNode *node = present(xmlNewDocNode(w->doc, NULL, BAD_CAST name, NULL));
    return present(xmlAddChild(parent, node));
}

void findings_drop_if_bare(xmlNode *node)
{
    if (node->properties == NULL && node->children == NULL) {
        xmlUnlinkNode(node);
        xmlFreeNode(node);
    }
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

static const xmlChar *interned(struct writer *w, const char *text)
{
    return present((void *)(uintptr_t)xmlDictLookup(w->doc->dict, BAD_CAST text, -1));
}

/* The same for a name, which is always the same literal: found again by its address. */
static const xmlChar *interned_name(struct writer *w, const char *name)
{
    struct known_name *known = &w->names[(uintptr_t)name % ARRAY_LEN(w->names)];
    if (known->literal != name)
        *known = (struct known_name){name, interned(w, name)};
    return known->name;
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

static void put(struct writer *w, xmlNode *node, const char *name, const char *value)
{
    xmlAttr *attr = present(xmlMalloc(sizeof *attr));
    xmlNode *text = present(xmlMalloc(sizeof *text));
    *attr = (xmlAttr){.type = XML_ATTRIBUTE_NODE,
                      .name = interned_name(w, name),
                      .children = text,
                      .last = text,
                      .parent = node,
                      .doc = w->doc};
    *text = (xmlNode){.type = XML_TEXT_NODE,
                      .name = BAD_CAST "text",
                      .parent = (xmlNode *)attr,
                      .doc = w->doc,
                      .content = (xmlChar *)(uintptr_t)interned(w, value)};
    append(w, node, attr);
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
    put(w, node, name, value ? "yes" : "no");
}

void findings_tri(struct writer *w, xmlNode *node, const char *name, enum tri value)
{
    if (value != TRI_UNKNOWN)
        findings_yes_no(w, node, name, value == TRI_YES);
}
