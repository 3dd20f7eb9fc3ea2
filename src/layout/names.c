/*
 * Names as small numbers, and a document seen through them. A template asks some hundred names of
 * a document over and over; held against the strings of the library's tree, with each node in
 * memory of its own, that was a third of the time of a report. So the elements of a document are
 * listed once, in their order, with the numbers of their names and attributes side by side.
 */
#include "layout/layout_int.h"

#include <string.h>

/* ---- names ---------------------------------------------------------------------------------- */

static size_t hash(const char *s)
{
    uint32_t h = 2166136261U; /* FNV-1a */
    for (; *s != '\0'; s++)
        h = (h ^ (unsigned char)*s) * 16777619U;
    return h;
}

/* Where a name is, or belongs. */
static size_t slot_of(const struct names *names, const char *name)
{
    size_t at = hash(name) & (names->n_slots - 1);
    while (names->slots[at] != 0 && strcmp(names->items[names->slots[at] - 1], name) != 0)
        at = (at + 1) & (names->n_slots - 1);
    return at;
}

static void make_room(struct names *names)
{
    names->cap = names->cap == 0 ? 128 : names->cap * 2;
    names->items = mem_resize(names->items, names->cap * sizeof(*names->items));
    free(names->slots);
    names->n_slots = names->cap * 4;
    names->slots = mem_alloc(names->n_slots * sizeof(*names->slots));
    for (size_t i = 0; i < names->n; i++)
        names->slots[slot_of(names, names->items[i])] = (unsigned)i + 1;
}

unsigned names_add(struct names *names, const char *name)
{
    if (names->n == names->cap)
        make_room(names);
    unsigned *slot = &names->slots[slot_of(names, name)];
    if (*slot == 0) {
        names->items[names->n++] = name;
        *slot = (unsigned)names->n;
    }
    return *slot;
}

unsigned names_find(const struct names *names, const char *name)
{
    return names->n == 0 ? 0 : names->slots[slot_of(names, name)];
}

void names_release(struct names *names)
{
    free(names->items);
    free(names->slots);
    *names = (struct names){.items = NULL};
}

/* ---- names of expressions ------------------------------------------------------------------- */

static void number_steps(struct names *names, struct xp_step *steps);

void names_number(struct names *names, struct xp *list)
{
    for (struct xp *x = list; x != NULL; x = x->next) {
        if (x->op == XP_VARIABLE)
            x->name = names_add(names, x->text);
        if (x->a != NULL)
            names_number(names, x->a);
        if (x->b != NULL)
            names_number(names, x->b);
        if (x->predicates != NULL)
            names_number(names, x->predicates);
        if (x->op == XP_PATH)
            number_steps(names, x->steps);
    }
}

static void number_steps(struct names *names, struct xp_step *steps)
{
    for (struct xp_step *s = steps; s != NULL; s = s->next) {
        if (s->test == TEST_NAME)
            s->number = names_add(names, s->name);
        if (s->predicates != NULL)
            names_number(names, s->predicates);
    }
}

/* ---- the document --------------------------------------------------------------------------- */

/* Names of a document are few, and mostly the same few pointers. */
enum { KNOWN = 512 };
struct surveyor {
    struct render *r;
    const xmlChar *known[KNOWN];
    unsigned number[KNOWN];
    struct spot *next;
    uint32_t order;
};

static unsigned number_of(struct surveyor *s, const xmlChar *name)
{
    size_t at = ((uintptr_t)name ^ (uintptr_t)name >> 9) % KNOWN;
    if (s->known[at] != name) {
        s->known[at] = name;
        s->number[at] = names_find(&s->r->t->names, (const char *)name);
    }
    return s->number[at];
}

static size_t count_elements(const xmlNode *first)
{
    size_t n = 0;
    for (const xmlNode *c = first; c != NULL; c = c->next) {
        if (c->type == XML_ELEMENT_NODE)
            n += 1 + count_elements(c->children);
    }
    return n;
}

static void survey_attributes(struct surveyor *s, struct spot *spot, xmlNode *node)
{
    size_t n = 0;
    for (const xmlAttr *at = node->properties; at != NULL; at = at->next)
        n++;
    if (n == 0)
        return;
    spot->attributes = arena_alloc(s->r->arena, n * (sizeof(xmlAttr *) + sizeof(unsigned)));
    unsigned *numbers = (unsigned *)(void *)(spot->attributes + n);
    for (xmlAttr *at = node->properties; at != NULL; at = at->next) {
        unsigned number = number_of(s, at->name);
        at->_private = (void *)(uintptr_t)s->order++;
        numbers[spot->n] = number;
        spot->attributes[spot->n++] = at;
        spot->has |= (uint64_t)1 << number % 64;
    }
    spot->numbers = numbers;
}

static void survey(struct surveyor *s, xmlNode *first)
{
    for (xmlNode *c = first; c != NULL; c = c->next) {
        if (c->type != XML_ELEMENT_NODE)
            continue;
        struct spot *spot = s->next++;
        spot->node = c;
        spot->order = s->order++;
        spot->name = number_of(s, c->name);
        c->_private = spot;
        survey_attributes(s, spot, c);
        survey(s, c->children);
        spot->end = s->next;
    }
}

void names_survey(struct render *r)
{
    struct surveyor *s = arena_alloc(r->arena, sizeof(*s));
    size_t n = 1 + count_elements(r->doc->children);
    r->spots = arena_alloc(r->arena, n * sizeof(*r->spots));
    *s = (struct surveyor){.r = r, .next = r->spots + 1, .order = 1};
    r->spots->node = (xmlNode *)r->doc;
    survey(s, r->doc->children);
    r->spots->end = s->next;
}

const struct spot *spot_of(const struct render *r, const xmlNode *node)
{
    return node->type == XML_ELEMENT_NODE    ? node->_private
           : node->type == XML_DOCUMENT_NODE ? r->spots
                                             : NULL;
}

int names_compare_places(const xmlNode *a, const xmlNode *b)
{
    uint32_t order[2];
    const xmlNode *nodes[2] = {a, b};
    for (int i = 0; i < 2; i++) {
        switch (nodes[i]->type) {
        case XML_DOCUMENT_NODE:
            order[i] = 0;
            break;
        case XML_ELEMENT_NODE:
            order[i] = ((const struct spot *)nodes[i]->_private)->order;
            break;
        case XML_ATTRIBUTE_NODE:
            order[i] = (uint32_t)(uintptr_t)nodes[i]->_private;
            break;
        default: /* text, which only the library's own expressions find */
            return xmlXPathCmpNodes((xmlNode *)(uintptr_t)b, (xmlNode *)(uintptr_t)a);
        }
    }
    return (order[0] > order[1]) - (order[0] < order[1]);
}
