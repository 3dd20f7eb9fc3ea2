/* The vocabulary of a document as sets: which element may stand in which, with which attributes.
 * An element listed only as a child is known, with neither attributes nor children. */
#include "layout/layout_int.h"

#include <assert.h>
#include <string.h>

void name_set_add(struct name_set *s, int i)
{
    s->bits[i / 64] |= UINT64_C(1) << (i % 64);
}

bool name_set_has(const struct name_set *s, int i)
{
    return (s->bits[i / 64] >> (i % 64) & 1) != 0;
}

bool name_set_is_empty(const struct name_set *s)
{
    for (int i = 0; i < NAME_WORDS; i++) {
        if (s->bits[i] != 0)
            return false;
    }
    return true;
}

struct name_set name_set_union(struct name_set a, struct name_set b)
{
    for (int i = 0; i < NAME_WORDS; i++)
        a.bits[i] |= b.bits[i];
    return a;
}

int vocabulary_index(const struct vocabulary *v, const char *name)
{
    for (size_t i = 0; i < v->n; i++) {
        if (strcmp(v->names[i], name) == 0)
            return (int)i;
    }
    return -1;
}

bool vocabulary_has_attribute(const struct vocabulary *v, int element, const char *name)
{
    if (element == NAME_DOCUMENT || v->attributes[element] == NULL)
        return false;
    for (const char **at = v->attributes[element]; *at != NULL; at++) {
        if (strcmp(*at, name) == 0)
            return true;
    }
    return false;
}

static int index_of(struct arena *a, struct vocabulary *v, const char *name)
{
    int i = vocabulary_index(v, name);
    if (i >= 0)
        return i;
    assert(v->n < NAMES_MAX);
    v->names[v->n] = arena_strdup(a, name);
    name_set_add(&v->all, (int)v->n);
    return (int)v->n++;
}

/* Splits at spaces; NULL-ended. */
static const char **split(struct arena *a, const char *words)
{
    char *copy = arena_strdup(a, words != NULL ? words : "");
    const char **out = arena_alloc(a, (strlen(copy) / 2 + 2) * sizeof(*out));
    size_t n = 0;
    char *rest = NULL;
    for (char *w = strtok_r(copy, " ", &rest); w != NULL; w = strtok_r(NULL, " ", &rest))
        out[n++] = w;
    return out;
}

/* An element may have several entries; its attributes are those of all of them. */
static void add_attributes(struct arena *a, struct vocabulary *v, int element, const char *words)
{
    const char **more = split(a, words), **old = v->attributes[element];
    if (old == NULL) {
        v->attributes[element] = more;
        return;
    }
    size_t n = 0, m = 0;
    while (old[n] != NULL)
        n++;
    while (more[m] != NULL)
        m++;
    const char **both = arena_alloc(a, (n + m + 1) * sizeof(*both));
    memcpy(both, old, n * sizeof(*both));
    memcpy(both + n, more, m * sizeof(*both));
    v->attributes[element] = both;
}

struct vocabulary *vocabulary_new(struct arena *a, const struct layout_vocabulary *entries,
                                  size_t n, const char *root)
{
    struct vocabulary *v = arena_alloc(a, sizeof(*v));
    for (size_t i = 0; i < n; i++) {
        int element = index_of(a, v, entries[i].element);
        add_attributes(a, v, element, entries[i].attributes);
        for (const char **child = split(a, entries[i].children); *child != NULL; child++) {
            int c = index_of(a, v, *child);
            name_set_add(&v->children[element], c);
            name_set_add(&v->parents[c], element);
        }
    }
    int top = index_of(a, v, root);
    name_set_add(&v->children[NAME_DOCUMENT], top);
    name_set_add(&v->parents[top], NAME_DOCUMENT);
    return v;
}
