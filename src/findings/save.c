/*
 * A document as bytes, in one line: what is kept beside the reports that were made from it. The
 * bytes are those libxml2 writes for such a tree, which is elements with attributes and nothing
 * else; a value is kept for every visit of a batch, and most of the library's time there goes into
 * a buffer that grows by single characters.
 */
#include "findings/findings_int.h"

#include <assert.h>
#include <string.h>

/* NULL: stands for itself. Tabs and line ends would be read back as spaces. */
static const char *escape(char c)
{
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\t':
        return "&#9;";
    case '\n':
        return "&#10;";
    case '\r':
        return "&#13;";
    default:
        return NULL;
    }
}

static void put_value(struct buf *out, const char *value)
{
    static const char special[] = "&<>\"\t\n\r";
    for (;;) {
        size_t plain = strcspn(value, special);
        buf_add(out, value, plain);
        value += plain;
        if (*value == '\0')
            return;
        buf_adds(out, escape(*value++));
    }
}

static void put_element(struct buf *out, const xmlNode *node)
{
    const char *name = (const char *)node->name;
    assert(node->type == XML_ELEMENT_NODE);
    buf_addc(out, '<');
    buf_adds(out, name);
    for (const xmlAttr *at = node->properties; at != NULL; at = at->next) {
        buf_addc(out, ' ');
        buf_adds(out, (const char *)at->name);
        buf_adds(out, "=\"");
        put_value(out, (const char *)at->children->content);
        buf_addc(out, '"');
    }
    if (node->children == NULL) {
        buf_adds(out, "/>");
        return;
    }
    buf_addc(out, '>');
    for (const xmlNode *child = node->children; child != NULL; child = child->next)
        put_element(out, child);
    buf_adds(out, "</");
    buf_adds(out, name);
    buf_addc(out, '>');
}

void findings_save(const struct _xmlDoc *doc, struct buf *out)
{
    buf_adds(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    put_element(out, doc->children);
    buf_addc(out, '\n');
}
