/*
 * The library's XML as flat tables without a pointer in them, which is what the loader reads. Those
 * of the library compiled in are made while the program is built (src/embed), those of a folder
 * when it is loaded; both by the same functions.
 *
 * A name or value is a place in `texts`, where each text stands once; 0 is the empty text. In
 * values a run of white space has become one space, and none is left at the ends.
 */
#ifndef ENDFEEL_TREE_H
#define ENDFEEL_TREE_H

#include "base/base.h"

/* An element; or text between elements, or what else may not stand there, with an empty name.
 * Comments and white space are left out. */
struct tree_node {
    uint32_t name;
    uint32_t line; /* on which its start tag ends */
    uint32_t attributes, n_attributes;
    uint32_t child, next; /* the first child, the next sibling; 0: none */
};
struct tree_attribute {
    uint32_t name, value;
};
struct tree {
    const struct tree_node *nodes; /* the first one stands for the library: it holds the roots of
                                      all files, in their order */
    const struct tree_attribute *attributes;
    const char *texts;
    size_t n_nodes, n_attributes, texts_size;
};

/* ---- reading ----------------------------------------------------------------------------- */

const char *tree_name(const struct tree *t, const struct tree_node *node);
bool tree_is(const struct tree *t, const struct tree_node *node, const char *element);
/* The first child, the next sibling, of that name or of any (NULL); NULL when there is none. */
const struct tree_node *tree_first(const struct tree *t, const struct tree_node *parent,
                                   const char *element);
const struct tree_node *tree_next(const struct tree *t, const struct tree_node *node,
                                  const char *element);
size_t tree_count(const struct tree *t, const struct tree_node *parent, const char *element);
/* The value of an attribute; NULL when it is not given. */
const char *tree_value(const struct tree *t, const struct tree_node *node, const char *attribute);

/* ---- making ------------------------------------------------------------------------------ */

struct _xmlDoc;
struct tree_maker {
    struct buf nodes, attributes, texts;
    uint32_t *places; /* of the texts, by hash; 0: free */
    size_t n_places, n_texts;
    uint32_t last_root;
};
void tree_begin(struct tree_maker *m);
void tree_add(struct tree_maker *m, const struct _xmlDoc *doc); /* one more file */
/* The tables as they are now; good until the next file, or the end. */
struct tree tree_made(struct tree_maker *m);
void tree_end(struct tree_maker *m);

#endif
