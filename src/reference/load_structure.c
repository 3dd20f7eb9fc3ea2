/* Which element may stand in which, checked for all files before anything is read from them. */
#include "reference/reference_int.h"

#include <string.h>

/* A parent of NULL is the file itself. */
static const struct {
    const char *parent, *child;
} grammar[] = {
    {NULL, "vocabulary"},       {"vocabulary", "spelling"},
    {NULL, "thresholds"},       {"thresholds", "threshold"},
    {NULL, "region"},           {NULL, "general"},        {NULL, "sources"},
    {NULL, "grades"},           {"region", "motion"},     {"region", "error"},
    {"general", "error"},       {"sources", "source"},    {"grades", "grade"},
    {"motion", "normal"},       {"motion", "goniometry"}, {"motion", "muscle-test"},
    {"motion", "compensation"}, {"motion", "error"},      {"grades", "check"},
    {"motion", "notation"},     {"grades", "heel-rises"},
    {NULL, "patterns"},         {"patterns", "capsular"}, {"capsular", "loss"},
    {"patterns", "tension"},    {"patterns", "myotome"},  {"patterns", "muscle-length"},
    {NULL, "demands"},          {"demands", "demand"},    {"demands", "icf-code"},
    {NULL, "forces"},           {"forces", "force-norm"}, {NULL, "sums"},
    {"sums", "sum-score"},      {"sum-score", "item"},    {"sum-score", "cut-off"},
    {"sources", "peers-rank"},
};

static bool check_name(struct load *l, const struct tree_node *node, const char *parent)
{
    const char *name = tree_name(l->tree, node);
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

static void count_name(const char *name, struct load_counts *counts)
{
    counts->motions += strcmp(name, "motion") == 0;
    counts->errors += strcmp(name, "error") == 0;
    counts->sources += strcmp(name, "source") == 0;
    counts->grades += strcmp(name, "grade") == 0;
}

/* Figures stand in attributes, so text between elements is a slip of the editor's hand. */
static void check_children(struct load *l, const struct tree_node *parent,
                           struct load_counts *counts)
{
    const struct tree_node *node = tree_first(l->tree, parent, NULL);
    for (; node != NULL; node = tree_next(l->tree, node, NULL)) {
        if (tree_is(l->tree, node, "")) {
            load_problem(l, DIAG_XML_ELEMENT, parent, NULL, "text between elements");
        } else if (check_name(l, node, tree_name(l->tree, parent))) {
            count_name(tree_name(l->tree, node), counts);
            check_children(l, node, counts);
        }
    }
}

void load_check_structure(struct load *l, struct load_counts *counts)
{
    for (size_t i = 0; i < l->n_files; i++) {
        l->file = &l->files[i];
        if (check_name(l, l->file->root, NULL))
            check_children(l, l->file->root, counts);
    }
}

bool load_walk(struct load *l, struct load_walk *w, const char *parent, const char *child)
{
    if (w->node != NULL && (w->node = tree_next(l->tree, w->node, child)) != NULL)
        return true;
    while (w->file < l->n_files) {
        l->file = &l->files[w->file++];
        const struct tree_node *root = l->file->root;
        if (tree_is(l->tree, root, parent) && (w->node = tree_first(l->tree, root, child)) != NULL)
            return true;
    }
    return false;
}

void *load_array(struct load *l, const char *parent, const char *child, size_t size)
{
    size_t n = 1;
    for (struct load_walk w = {0}; load_walk(l, &w, parent, child);)
        n++;
    return arena_alloc(l->ref->arena, n * size);
}

void *load_room(struct load *l, const struct tree_node *node, const char *child, size_t size)
{
    return arena_alloc(l->ref->arena, (tree_count(l->tree, node, child) + 1) * size);
}

void load_repeat(struct load *l, const struct tree_node *node, const char *attribute,
                 const char *value)
{
    load_problem(l, DIAG_REFERENCE_DUPLICATE, node, attribute, "%.60s", value);
}

const struct motion *load_motion_named(struct load *l, const struct tree_node *node,
                                       const char *joint, const char *motion)
{
    const struct reference *ref = l->ref;
    const struct motion *found = reference_motion(ref, joint, motion);
    if (found != NULL || *joint == '\0' || *motion == '\0') /* what is missing was reported */
        return found;
    size_t k = 0;
    while (k < ref->n_joints && strcmp(ref->joints[k], joint) != 0)
        k++;
    if (k == ref->n_joints) {
        load_problem(l, DIAG_XML_VALUE, node, "joint", "%.60s%s", joint,
                     load_nearest(l, joint, ref->joints, ref->n_joints));
        return NULL;
    }
    const char *near = reference_nearest_motion(ref, joint, motion);
    load_problem(l, DIAG_XML_VALUE, node, "motion", "%.60s is not a motion of %s%s%s", motion,
                 joint, near != NULL ? ", nearest is " : "", near != NULL ? near : "");
    return NULL;
}
