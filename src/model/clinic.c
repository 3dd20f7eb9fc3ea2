/* The clinic's settings: a small XML file, read strictly, because a misspelt element would
 * otherwise leave a default in force without anybody noticing. */
#include "model/model.h"

#include <libxml/tree.h>
#include <string.h>

/* Working tolerances of the trade, not figures of a table: the clinic may set its own. */
enum { TOLERANCE_DEG = 5, TRIES_APART_DEG = 10, CLINIC_FILE_MAX = 1 << 20 };

static const char *const element_names[] = {"heading",   "address",     "phone",   "logo",
                                            "tolerance", "tries-apart", "patterns"};

static const struct clinic default_clinic = {.heading = "",
                                             .address = "",
                                             .phone = "",
                                             .logo = "",
                                             .tolerance_deg = TOLERANCE_DEG,
                                             .tries_apart_deg = TRIES_APART_DEG,
                                             .show_patterns = true,
                                             .digest = ""};

const struct clinic *clinic_default(void)
{
    return &default_clinic;
}

struct reader {
    const char *path;
    struct arena *arena;
    struct diag_sink *sink;
    struct clinic *clinic;
    unsigned seen; /* bit per element_names entry */
};

static bool refuse(struct reader *r, enum diag_code code, const xmlNode *node, const char *detail)
{
    diag_report(r->sink, code, xml_pos(r->path, node), NULL, "%s", detail);
    return false;
}

/* Every attribute but `wanted` (NULL: none is wanted) is a mistake. */
static bool only_attribute(struct reader *r, const xmlNode *node, const char *wanted)
{
    bool found = false;
    for (const xmlAttr *at = node->properties; at != NULL; at = at->next) {
        if (wanted != NULL && strcmp((const char *)at->name, wanted) == 0) {
            found = true;
            continue;
        }
        return refuse(r, DIAG_XML_ATTRIBUTE, node,
                      wanted != NULL ? arena_printf(r->arena, "only \"%s\" is known here", wanted)
                                     : "none is known here");
    }
    if (wanted != NULL && !found)
        return refuse(r, DIAG_XML_ATTRIBUTE, node,
                      arena_printf(r->arena, "\"%s\" missing", wanted));
    return true;
}

static bool no_content(struct reader *r, const xmlNode *node)
{
    if (*str_trim(xml_text(r->arena, node)) != '\0' || node->children != NULL)
        return refuse(r, DIAG_XML_ELEMENT, node, "takes no content");
    return true;
}

static bool read_text(struct reader *r, const xmlNode *node, const char **field)
{
    for (const xmlNode *c = node->children; c != NULL; c = c->next)
        if (c->type == XML_ELEMENT_NODE)
            return refuse(r, DIAG_XML_ELEMENT, c, "takes text only");
    *field = str_trim(xml_text(r->arena, node));
    return only_attribute(r, node, NULL);
}

static bool read_degrees(struct reader *r, const xmlNode *node, double *field)
{
    if (!only_attribute(r, node, "deg") || !no_content(r, node))
        return false;
    const char *text = xml_attr(r->arena, node, "deg");
    if (!num_parse(text, strlen(text), field) || *field < 0 || *field > 90)
        return refuse(r, DIAG_XML_VALUE, node, "degrees from 0 to 90, such as deg=\"5\"");
    return true;
}

static bool read_yes_no(struct reader *r, const xmlNode *node, bool *field)
{
    if (!only_attribute(r, node, "show") || !no_content(r, node))
        return false;
    const char *text = xml_attr(r->arena, node, "show");
    *field = strcmp(text, "yes") == 0;
    if (!*field && strcmp(text, "no") != 0)
        return refuse(r, DIAG_XML_VALUE, node, "show=\"yes\" or show=\"no\"");
    return true;
}

static bool read_element(struct reader *r, const xmlNode *node)
{
    size_t i = 0;
    while (i < ARRAY_LEN(element_names) && !xml_is(node, element_names[i]))
        i++;
    if (i == ARRAY_LEN(element_names)) {
        const char *near =
            str_nearest((const char *)node->name, element_names, ARRAY_LEN(element_names));
        return refuse(r, DIAG_XML_ELEMENT, node,
                      near != NULL ? arena_printf(r->arena, "nearest known: %s", near)
                                   : "not a setting of a clinic");
    }
    if ((r->seen & 1u << i) != 0)
        return refuse(r, DIAG_XML_ELEMENT, node, "stands twice");
    r->seen |= 1u << i;
    switch (i) {
    case 0:
        return read_text(r, node, &r->clinic->heading);
    case 1:
        return read_text(r, node, &r->clinic->address);
    case 2:
        return read_text(r, node, &r->clinic->phone);
    case 3:
        return read_text(r, node, &r->clinic->logo);
    case 4:
        return read_degrees(r, node, &r->clinic->tolerance_deg);
    case 5:
        return read_degrees(r, node, &r->clinic->tries_apart_deg);
    default:
        return read_yes_no(r, node, &r->clinic->show_patterns);
    }
}

static bool read_root(struct reader *r, const xmlNode *root)
{
    if (!xml_is(root, "clinic"))
        return refuse(r, DIAG_XML_ELEMENT, root, "the root of a clinic file is <clinic>");
    if (!only_attribute(r, root, NULL))
        return false;
    bool ok = true;
    for (const xmlNode *c = root->children; c != NULL; c = c->next) {
        if (c->type == XML_ELEMENT_NODE)
            ok = read_element(r, c) && ok;
        else if (c->type == XML_TEXT_NODE && !xmlIsBlankNode(c))
            ok = refuse(r, DIAG_XML_ELEMENT, root, "text outside an element") && ok;
    }
    return ok;
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

struct clinic *clinic_load(const char *path, struct arena *a, struct diag_sink *sink)
{
    struct clinic *clinic = arena_alloc(a, sizeof *clinic);
    *clinic = default_clinic;
    struct reader r = {.path = path, .arena = a, .sink = sink, .clinic = clinic};
    struct buf bytes;
    xmlDoc *doc = NULL;
    bool ok = false;
    buf_init(&bytes, CLINIC_FILE_MAX);
    if (!file_read(path, CLINIC_FILE_MAX, &bytes, sink))
        goto out;
    doc = xml_parse(buf_text(&bytes), bytes.len, path, sink);
    if (doc == NULL)
        goto out;
    clinic->digest = digest_of(&bytes, a);
    ok = read_root(&r, xmlDocGetRootElement(doc));
out:
    xmlFreeDoc(doc);
    buf_release(&bytes);
    return ok ? clinic : NULL;
}
