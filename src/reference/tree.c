/* Flat tables of the library's XML: how they are made from parsed files, and the steps in which the
 * loader reads them. */
#include "reference/tree.h"

#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>

/* ---- reading ----------------------------------------------------------------------------- */

const char *tree_name(const struct tree *t, const struct tree_node *node)
{
    return t->texts + node->name;
}

bool tree_is(const struct tree *t, const struct tree_node *node, const char *element)
{
    return strcmp(tree_name(t, node), element) == 0;
}

static const struct tree_node *find_from(const struct tree *t, uint32_t place, const char *element)
{
    while (place != 0 && element != NULL && !tree_is(t, &t->nodes[place], element))
        place = t->nodes[place].next;
    return place == 0 ? NULL : &t->nodes[place];
}

const struct tree_node *tree_first(const struct tree *t, const struct tree_node *parent,
                                   const char *element)
{
    return find_from(t, parent->child, element);
}

const struct tree_node *tree_next(const struct tree *t, const struct tree_node *node,
                                  const char *element)
{
    return find_from(t, node->next, element);
}

size_t tree_count(const struct tree *t, const struct tree_node *parent, const char *element)
{
    size_t n = 0;
    for (const struct tree_node *node = tree_first(t, parent, element); node != NULL;
         node = tree_next(t, node, element))
        n++;
    return n;
}

const char *tree_value(const struct tree *t, const struct tree_node *node, const char *attribute)
{
    const struct tree_attribute *at = t->attributes + node->attributes;
    for (const struct tree_attribute *end = at + node->n_attributes; at < end; at++)
        if (strcmp(t->texts + at->name, attribute) == 0)
            return t->texts + at->value;
    return NULL;
}

/* ---- making ------------------------------------------------------------------------------ */

/* Any library of whole files of the greatest size stays far below, and all places fit 32 bits. */
enum { TABLE_MAX = INT32_MAX, PLACES_FIRST = 1 << 10 };

static struct tree_node *node_at(const struct tree_maker *m, uint32_t place)
{
    return (struct tree_node *)(void *)m->nodes.data + place;
}

static uint32_t add_node(struct tree_maker *m, struct tree_node node)
{
    uint32_t place = (uint32_t)(m->nodes.len / sizeof node);
    buf_add(&m->nodes, &node, sizeof node);
    return place;
}

/* Where the text is, or belongs. */
static uint32_t *find_place(const struct tree_maker *m, const char *text, size_t len)
{
    size_t i = (size_t)hash_fnv1a64(text, len) & (m->n_places - 1);
    while (m->places[i] != 0 && strcmp(m->texts.data + m->places[i], text) != 0)
        i = (i + 1) & (m->n_places - 1);
    return &m->places[i];
}

static void make_room(struct tree_maker *m)
{
    if (m->n_texts < m->n_places / 2)
        return;
    uint32_t *old = m->places;
    size_t n = m->n_places;
    m->n_places = n * 2;
    m->places = mem_alloc(m->n_places * sizeof *m->places);
    for (size_t i = 0; i < n; i++)
        if (old[i] != 0) {
            const char *text = m->texts.data + old[i];
            *find_place(m, text, strlen(text)) = old[i];
        }
    free(old);
}

static uint32_t add_text(struct tree_maker *m, const char *text)
{
    size_t len = strlen(text);
    if (len == 0)
        return 0;
    make_room(m);
    uint32_t *place = find_place(m, text, len);
    if (*place == 0) {
        *place = (uint32_t)m->texts.len;
        buf_add(&m->texts, text, len + 1);
        m->n_texts++;
    }
    return *place;
}

/* Values run over lines. */
static void fold_space(char *s)
{
    char *to = s;
    for (const char *p = s; *p != '\0'; p++) {
        bool space = *p == ' ' || *p == '\n' || *p == '\t' || *p == '\r';
        if (!space)
            *to++ = *p;
        else if (to > s && to[-1] != ' ')
            *to++ = ' ';
    }
    if (to > s && to[-1] == ' ')
        to--;
    *to = '\0';
}

static void add_attribute(struct tree_maker *m, const xmlAttr *at)
{
    struct tree_attribute entry = {.name = add_text(m, (const char *)at->name)};
    xmlChar *value = xmlNodeListGetString(at->doc, at->children, 1);
    if (value != NULL) {
        fold_space((char *)value);
        entry.value = add_text(m, (const char *)value);
        xmlFree(value);
    }
    buf_add(&m->attributes, &entry, sizeof entry);
}

/* The parser bounds the depth. */
static uint32_t add_element(struct tree_maker *m, const xmlNode *from)
{
    struct tree_node node = {.line = (uint32_t)xmlGetLineNo(from)};
    if (from->type != XML_ELEMENT_NODE)
        return add_node(m, node);
    node.name = add_text(m, (const char *)from->name);
    node.attributes = (uint32_t)(m->attributes.len / sizeof(struct tree_attribute));
    for (const xmlAttr *at = from->properties; at != NULL; at = at->next, node.n_attributes++)
        add_attribute(m, at);
    uint32_t place = add_node(m, node), last = 0;
    for (const xmlNode *child = from->children; child != NULL; child = child->next) {
        if (child->type == XML_COMMENT_NODE || xmlIsBlankNode(child) == 1)
            continue;
        uint32_t added = add_element(m, child);
        if (last == 0)
            node_at(m, place)->child = added;
        else
            node_at(m, last)->next = added;
        last = added;
    }
    return place;
}

void tree_begin(struct tree_maker *m)
{
    *m = (struct tree_maker){.n_places = PLACES_FIRST};
    m->places = mem_alloc(m->n_places * sizeof *m->places);
    buf_init(&m->nodes, TABLE_MAX);
    buf_init(&m->attributes, TABLE_MAX);
    buf_init(&m->texts, TABLE_MAX);
    buf_addc(&m->texts, '\0');
    add_node(m, (struct tree_node){.name = 0});
}

void tree_add(struct tree_maker *m, const struct _xmlDoc *doc)
{
    uint32_t root = add_element(m, xmlDocGetRootElement(doc));
    if (m->last_root == 0)
        node_at(m, 0)->child = root;
    else
        node_at(m, m->last_root)->next = root;
    m->last_root = root;
}

struct tree tree_made(struct tree_maker *m)
{
    return (struct tree){
        .nodes = node_at(m, 0),
        .attributes = (const void *)buf_text(&m->attributes),
        .texts = buf_text(&m->texts),
        .n_nodes = m->nodes.len / sizeof(struct tree_node),
        .n_attributes = m->attributes.len / sizeof(struct tree_attribute),
        .texts_size = m->texts.len,
    };
}

void tree_end(struct tree_maker *m)
{
    free(m->places);
    buf_release(&m->nodes);
    buf_release(&m->attributes);
    buf_release(&m->texts);
}
