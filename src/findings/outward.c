/*
 * The findings as they may leave the chart: without what is for the clinician to consider
 * (patterns, what to watch for when retesting) and without the places in the clinic's own files.
 * How much was held back stays, as a count.
 */
#include "findings/findings_int.h"

static bool stays_in_chart(const xmlNode *node)
{
    if (xml_is(node, "pattern") || xml_is(node, "problem")) {
        return true;
    }
    xmlChar *kind = xml_is(node, "compensation") ? xmlGetProp(node, BAD_CAST "kind") : NULL;
    bool watch_for = kind != NULL && !xmlStrEqual(kind, BAD_CAST "seen");
    xmlFree(kind);
    return watch_for;
}

static void prune(xmlNode *parent)
{
    for (xmlNode *next, *node = parent->children; node != NULL; node = next) {
        next = node->next;
        if (stays_in_chart(node)) {
            xmlUnlinkNode(node);
            xmlFreeNode(node);
        } else if (node->type == XML_ELEMENT_NODE) {
            prune(node);
        }
    }
}

xmlDocPtr findings_outward(xmlDocPtr doc)
{
    xmlDocPtr copy = xmlCopyDoc(doc, 1);
    prune(xmlDocGetRootElement(copy));
    return copy;
}
