/* Which element may stand in which, checked for all files before anything is read from them. */
#include "reference/reference_int.h"

#include <libxml/tree.h>
#include <string.h>

/* A parent of NULL is the file itself. */
static const struct {
    const char *parent, *child;
} grammar[] = {
    {NULL, "region"},           {NULL, "general"},        {NULL, "sources"},
    {NULL, "grades"},           {"region", "motion"},     {"region", "error"},
    {"general", "error"},       {"sources", "source"},    {"grades", "grade"},
    {"motion", "normal"},       {"motion", "goniometry"}, {"motion", "muscle-test"},
    {"motion", "compensation"}, {"motion", "error"},
};

static bool check_name(struct load *l, const xmlNode *node, const char *parent)
{
    const char *name = (const char *)node->name;
    const char *allowed[ARRAY_LEN(grammar)];
    size_t n = 0;
    for (size_t i = 0; i < ARRAY_LEN(grammar); i++) {
        if (!str_eq(grammar[i].parent, parent))
            continue;
        if (strcmp(grammar[i].child, name) == 0)
            return true;
        allowed[n++] = grammar[i].child;
    }
    load_problem(l, DIAG_XML_ELEMENT, node, NULL, "%.60s is not known in %s%s", name,
                 parent == NULL ? "a file of the library" : parent,
                 load_nearest(l, name, allowed, n));
    return false;
}

static void count_name(const xmlNode *node, struct load_counts *counts)
{
    counts->motions += xml_is(node, "motion");
    counts->errors += xml_is(node, "error");
    counts->sources += xml_is(node, "source");
    counts->grades += xml_is(node, "grade");
}

/* Figures stand in attributes, so text between elements is a slip of the editor's hand. */
static void check_children(struct load *l, const xmlNode *parent, struct load_counts *counts)
{
    for (const xmlNode *node = parent->children; node != NULL; node = node->next) {
        if (node->type == XML_COMMENT_NODE || xmlIsBlankNode(node) == 1)
            continue;
        if (node->type != XML_ELEMENT_NODE) {
            load_problem(l, DIAG_XML_ELEMENT, parent, NULL, "text between elements");
        } else if (check_name(l, node, (const char *)parent->name)) {
            count_name(node, counts);
            check_children(l, node, counts);
        }
    }
}

void load_check_structure(struct load *l, struct load_counts *counts)
{
    for (size_t i = 0; i < l->n_files; i++) {
        l->file = &l->files[i];
        const xmlNode *root = xmlDocGetRootElement(l->file->doc);
        if (check_name(l, root, NULL))
            check_children(l, root, counts);
    }
}

bool load_walk(struct load *l, struct load_walk *w, const char *parent, const char *child)
{
    if (w->node != NULL && (w->node = xml_next(w->node, child)) != NULL)
        return true;
    while (w->file < l->n_files) {
        l->file = &l->files[w->file++];
        const xmlNode *root = xmlDocGetRootElement(l->file->doc);
        if (xml_is(root, parent) && (w->node = xml_first(root, child)) != NULL)
            return true;
    }
    return false;
}
