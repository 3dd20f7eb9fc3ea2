/* The only caller of the XML parser: one set of safe flags, no entities, no network, bounded size.
 * A document with any DTD is refused as soon as its DOCTYPE is read, because entity tricks all need
 * one. */
#include "base/base.h"

#include <libxml/parser.h>
#include <libxml/tree.h>
#include <libxml/xmlerror.h>
#include <string.h>

enum { SAFE_FLAGS = XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING | XML_PARSE_COMPACT |
                    XML_PARSE_BIG_LINES };

static xmlParserInputPtr refuse_external(const char *url, const char *id, xmlParserCtxtPtr ctxt)
{
    (void)url;
    (void)id;
    (void)ctxt;
    return NULL;
}

/* The first thing that is wrong is where to look; what the parser says last is its consequence. */
struct trouble {
    long dtd_line, line;
    char message[200];
};

static void note_first(void *context, xmlErrorPtr e)
{
    const xmlParserCtxt *ctxt = context;
    struct trouble *t = ctxt->_private;
    if (t->message[0] != '\0' || e->level != XML_ERR_FATAL || e->message == NULL)
        return;
    snprintf(t->message, sizeof t->message, "%s", e->message);
    t->line = e->line;
}

/* Called for a DOCTYPE before anything in it is read. */
static void refuse_dtd(void *context, const xmlChar *name, const xmlChar *id, const xmlChar *system)
{
    xmlParserCtxtPtr ctxt = context;
    struct trouble *t = ctxt->_private;
    (void)name;
    (void)id;
    (void)system;
    t->dtd_line = ctxt->input->line;
    xmlStopParser(ctxt);
}

static void report_syntax(const char *name, struct trouble *t, struct diag_sink *sink)
{
    char *message = t->message;
    message[strcspn(message, "\n")] = '\0'; /* what follows is a dump of bytes */
    char *advice = strstr(message, " use XML_PARSE_HUGE"); /* for programmers */
    if (advice != NULL)
        *advice = '\0';
    struct diag_pos pos = {.file = name, .line = t->line};
    diag_report(sink, DIAG_XML_SYNTAX, pos, NULL, "%s", str_trim(message));
}

struct _xmlDoc *xml_parse(const char *bytes, size_t len, const char *name, struct diag_sink *sink)
{
    struct diag_pos pos = {.file = name};
    if (len > XML_FILE_MAX) {
        diag_report(sink, DIAG_FILE_TOO_LARGE, pos, NULL, "%d bytes at most", (int)XML_FILE_MAX);
        return NULL;
    }
    xmlSetExternalEntityLoader(refuse_external);
    xmlParserCtxtPtr ctxt = xmlNewParserCtxt();
    if (ctxt == NULL) {
        diag_report(sink, DIAG_FILE_READ, pos, NULL, "no XML parser");
        return NULL;
    }
    struct trouble trouble = {0};
    ctxt->_private = &trouble;
    ctxt->sax->internalSubset = refuse_dtd;
    ctxt->sax->serror = note_first;
    xmlDocPtr doc = xmlCtxtReadMemory(ctxt, bytes, (int)len, name, NULL, SAFE_FLAGS);
    if (trouble.dtd_line > 0) {
        pos.line = trouble.dtd_line;
        diag_report(sink, DIAG_XML_UNSAFE, pos, NULL, NULL);
        xmlFreeDoc(doc);
        doc = NULL;
    } else if (doc == NULL) {
        report_syntax(name, &trouble, sink);
    }
    xmlFreeParserCtxt(ctxt);
    return doc;
}

static struct _xmlDoc *read_with(bool (*read)(const char *, size_t, struct buf *,
                                              struct diag_sink *),
                                 const char *path, struct diag_sink *sink)
{
    struct buf b;
    struct _xmlDoc *doc = NULL;
    buf_init(&b, XML_FILE_MAX);
    if (read(path, XML_FILE_MAX, &b, sink))
        doc = xml_parse(buf_text(&b), b.len, path, sink);
    buf_release(&b);
    return doc;
}

struct _xmlDoc *xml_read_file(const char *path, struct diag_sink *sink)
{
    return read_with(file_read, path, sink);
}

struct _xmlDoc *xml_read_own(const char *path, struct diag_sink *sink)
{
    return read_with(file_read_own, path, sink);
}

char *xml_attr(struct arena *a, const struct _xmlNode *node, const char *name)
{
    for (const xmlAttr *at = node->properties; at != NULL; at = at->next) {
        if (strcmp((const char *)at->name, name) != 0)
            continue;
        const xmlNode *child = at->children;
        if (child == NULL)
            return arena_strdup(a, "");
        if (child->next == NULL && child->content != NULL)
            return arena_strdup(a, (const char *)child->content);
        xmlChar *value = xmlNodeListGetString(node->doc, child, 1);
        char *copy = arena_strdup(a, value != NULL ? (const char *)value : "");
        xmlFree(value);
        return copy;
    }
    return NULL;
}

char *xml_text(struct arena *a, const struct _xmlNode *node)
{
    xmlChar *value = xmlNodeGetContent(node);
    char *copy = arena_strdup(a, value != NULL ? (const char *)value : "");
    xmlFree(value);
    return copy;
}

struct diag_pos xml_pos(const char *file, const struct _xmlNode *node)
{
    return (struct diag_pos){.file = file,
                             .line = xmlGetLineNo(node),
                             .field = node->type == XML_ELEMENT_NODE ? (const char *)node->name
                                                                     : NULL};
}

bool xml_is(const struct _xmlNode *node, const char *element)
{
    return node != NULL && node->type == XML_ELEMENT_NODE &&
           strcmp((const char *)node->name, element) == 0;
}

static const struct _xmlNode *find_from(const struct _xmlNode *node, const char *element)
{
    while (node != NULL && !xml_is(node, element))
        node = node->next;
    return node;
}

const struct _xmlNode *xml_first(const struct _xmlNode *parent, const char *element)
{
    return find_from(parent->children, element);
}

const struct _xmlNode *xml_next(const struct _xmlNode *node, const char *element)
{
    return find_from(node->next, element);
}
