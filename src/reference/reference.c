/* The library as its users see it: loading from the files compiled in or from a folder, and looking
 * things up. */
#include "reference/reference.h"
#include "reference/reference_int.h"

#include <libxml/tree.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- loading ---------------------------------------------------------------------------- */

static struct load begin(struct load_file *files, size_t n, struct diag_sink *sink)
{
    struct reference *ref = mem_alloc(sizeof *ref);
    ref->arena = arena_new();
    return (struct load){.ref = ref, .sink = sink, .files = files, .n_files = n};
}

static struct reference *end(const struct load *l)
{
    if (l->problems == 0)
        return l->ref;
    reference_free(l->ref);
    return NULL;
}

static bool has_enough(struct load *l, const struct load_counts *counts, const char *place)
{
    if (counts->motions > 0 && counts->sources > 0 && counts->grades > 0)
        return true;
    struct diag_pos pos = {.file = place};
    diag_report(l->sink, DIAG_REFERENCE_EMPTY, pos, NULL, "%zu motions, %zu sources, %zu grades",
                counts->motions, counts->sources, counts->grades);
    l->problems++;
    return false;
}

static void load(struct load *l, const struct tree *tree, const char *place)
{
    struct load_counts counts = {0};
    const struct tree_node *root = tree_first(tree, tree->nodes, NULL);
    for (size_t i = 0; i < l->n_files; i++, root = tree_next(tree, root, NULL))
        l->files[i].root = root;
    l->tree = tree;
    load_check_structure(l, &counts);
    if (l->problems > 0 || !has_enough(l, &counts, place))
        return;
    load_sources(l, counts.sources);
    load_peers_ranks(l);
    load_grades(l, counts.grades);
    load_motions(l, counts.motions);
    if (l->ref->n_motions == 0)
        return;
    load_errors(l, counts.errors);
    load_vocabulary(l);
    load_grade_checks(l);
    load_thresholds(l);
    load_patterns(l);
    load_demands(l);
    load_strength(l);
}

struct reference *reference_load_embedded(struct diag_sink *sink)
{
    size_t n = 0;
    while (embedded_files[n].name != NULL)
        n++;
    struct load_file *files = mem_alloc(n * sizeof *files);
    for (size_t i = 0; i < n; i++)
        files[i] = (struct load_file){.name = embedded_files[i].name,
                                      .data = embedded_files[i].data,
                                      .size = embedded_files[i].size};
    struct load l = begin(files, n, sink);
    memcpy(l.ref->digest, embedded_digest, sizeof embedded_digest);
    load(&l, &embedded_tree, "the library compiled in");
    free(files);
    return end(&l);
}

static bool parse_file(struct load *l, const struct load_file *file, struct tree_maker *maker,
                       struct digest *hash)
{
    digest_add(hash, file->data, file->size);
    xmlDoc *doc = xml_parse(file->data, file->size, file->name, l->sink);
    if (doc == NULL)
        return false;
    tree_add(maker, doc);
    xmlFreeDoc(doc);
    return true;
}

static bool has_thresholds(struct tree tree)
{
    const struct tree_node *root = tree_first(&tree, tree.nodes, "thresholds");
    while (root != NULL && tree_first(&tree, root, "threshold") == NULL)
        root = tree_next(&tree, root, "thresholds");
    return root != NULL;
}

/* A library without thresholds of its own takes those compiled in, in the spare place. */
static bool add_thresholds(struct load *l, struct tree_maker *maker, struct digest *hash)
{
    static const char name[] = "thresholds.xml";
    const struct reference_file *own = embedded_files;
    if (has_thresholds(tree_made(maker)))
        return true;
    while (own->name != NULL && strcmp(own->name, name) != 0)
        own++;
    if (own->name == NULL)
        return true; /* load_thresholds sees to it */
    struct load_file *file = &l->files[l->n_files++];
    *file = (struct load_file){.name = own->name, .data = own->data, .size = own->size};
    return parse_file(l, file, maker, hash);
}

/* Takes files whose bytes live until it returns, with room for one more. */
static struct reference *load_files(struct load_file *files, size_t n, const char *place,
                                    struct diag_sink *sink)
{
    struct load l = begin(files, n, sink);
    struct tree_maker maker;
    struct digest hash;
    bool good = true;
    tree_begin(&maker);
    digest_init(&hash);
    for (size_t i = 0; i < n; i++)
        good = parse_file(&l, &files[i], &maker, &hash) && good;
    if (good && add_thresholds(&l, &maker, &hash)) {
        struct tree tree = tree_made(&maker);
        char *texts = arena_room(l.ref->arena, tree.texts_size); /* what is loaded points to them */
        tree.texts = memcpy(texts, tree.texts, tree.texts_size);
        digest_hex(&hash, l.ref->digest);
        load(&l, &tree, place);
    } else {
        l.problems++;
    }
    tree_end(&maker);
    return end(&l);
}

struct reference *reference_load_folder(const char *folder, struct diag_sink *sink)
{
    struct arena *arena = arena_new();
    struct reference *ref = NULL;
    const char **paths = NULL;
    size_t n = 0, read = 0;
    if (!file_list(folder, ".xml", arena, &paths, &n, sink)) {
        arena_free(arena);
        return NULL;
    }
    struct load_file *files = mem_alloc((n + 1) * sizeof *files);
    struct buf *bytes = mem_alloc((n + 1) * sizeof *bytes);
    while (read < n) {
        struct buf *b = &bytes[read];
        buf_init(b, XML_FILE_MAX);
        if (!file_read(paths[read++], XML_FILE_MAX, b, sink))
            goto out;
        files[read - 1] =
            (struct load_file){.name = paths[read - 1], .data = buf_text(b), .size = b->len};
    }
    ref = load_files(files, n, folder, sink);
out:
    for (size_t i = 0; i < read; i++)
        buf_release(&bytes[i]);
    free(bytes);
    free(files);
    arena_free(arena);
    return ref;
}

void reference_free(struct reference *ref)
{
    if (ref == NULL)
        return;
    arena_free(ref->arena);
    free(ref);
}

/* ---- looking up ------------------------------------------------------------------------- */

const char *reference_digest(const struct reference *ref)
{
    return ref->digest;
}

size_t reference_motion_count(const struct reference *ref)
{
    return ref->n_motions;
}

const struct motion *reference_motion_at(const struct reference *ref, size_t i)
{
    return i < ref->n_motions ? &ref->motions[i] : NULL;
}

struct motion_key {
    const char *joint, *motion;
};

static int compare_key(const void *key, const void *item)
{
    const struct motion_key *k = key;
    const struct motion *m = *(const struct motion *const *)item;
    int joint = strcmp(k->joint, m->joint);
    return joint != 0 ? joint : strcmp(k->motion, m->motion);
}

const struct motion *reference_motion(const struct reference *ref, const char *joint,
                                      const char *motion)
{
    if (joint == NULL || motion == NULL || ref->n_motions == 0)
        return NULL;
    struct motion_key key = {joint, motion};
    const struct motion *const *found =
        bsearch(&key, ref->by_key, ref->n_motions, sizeof *ref->by_key, compare_key);
    return found == NULL ? NULL : *found;
}

const char *reference_nearest_joint(const struct reference *ref, const char *joint)
{
    return joint == NULL ? NULL : str_nearest(joint, ref->joints, ref->n_joints);
}

const char *reference_nearest_motion(const struct reference *ref, const char *joint,
                                     const char *motion)
{
    if (joint == NULL || motion == NULL)
        return NULL;
    const char **names = mem_alloc((ref->n_motions + 1) * sizeof *names);
    size_t n = 0;
    for (size_t i = 0; i < ref->n_motions; i++)
        if (strcmp(ref->motions[i].joint, joint) == 0)
            names[n++] = ref->motions[i].motion;
    const char *nearest = str_nearest(motion, names, n);
    free(names);
    return nearest;
}

const struct error_row *reference_errors(const struct reference *ref, size_t *n)
{
    *n = ref->n_errors;
    return ref->errors;
}

bool reference_norm_fits_age(const struct norm *norm, double age)
{
    bool literal = floor(norm->age_max) < norm->age_max;
    return age >= norm->age_min && (literal ? age <= norm->age_max : age < norm->age_max + 1);
}

static int compare_id(const void *key, const void *item)
{
    return strcmp(key, ((const struct source *)item)->id);
}

const struct source *reference_source(const struct reference *ref, const char *id)
{
    if (id == NULL || ref->n_sources == 0)
        return NULL;
    return bsearch(id, ref->sources, ref->n_sources, sizeof *ref->sources, compare_id);
}

size_t reference_source_count(const struct reference *ref)
{
    return ref->n_sources;
}

const struct source *reference_source_at(const struct reference *ref, size_t i)
{
    return i < ref->n_sources ? &ref->sources[i] : NULL;
}

const struct spelling *reference_spellings(const struct reference *ref, size_t *n)
{
    *n = ref->n_spellings;
    return ref->spellings;
}

const struct grade *reference_grade(const struct reference *ref, const char *text)
{
    for (size_t i = 0; i < ref->n_grades; i++)
        if (str_eq(ref->grades[i].text, text))
            return &ref->grades[i];
    return NULL;
}

const struct grade *reference_grade_of_ten(const struct reference *ref, const char *text)
{
    for (size_t i = 0; i < ref->n_grades; i++)
        if (str_eq(ref->grades[i].kendall, text))
            return &ref->grades[i];
    return NULL;
}

const struct grade *reference_grade_at(const struct reference *ref, size_t i, size_t *n)
{
    if (n != NULL)
        *n = ref->n_grades;
    return i < ref->n_grades ? &ref->grades[i] : NULL;
}
