/* The spellings of the trade. One spelling means one thing: what is given twice, or means a joint
 * or motion that the library does not have, is refused. */
#include "reference/reference_int.h"

#include <stdlib.h>
#include <string.h>

static const struct word spelling_kind_words[] = {
    {"joint", SPELLING_JOINT},   {"motion", SPELLING_MOTION},     {"muscle", SPELLING_MUSCLE},
    {"side", SPELLING_SIDE},     {"test", SPELLING_TEST},         {"digit", SPELLING_DIGIT},
    {"filler", SPELLING_FILLER}, {"position", SPELLING_POSITION}, {"timing", SPELLING_TIMING},
    {"column", SPELLING_COLUMN}, {"position-column", SPELLING_STATED}, {"limb", SPELLING_LIMB},
    {"unit", SPELLING_UNIT},
    {NULL, 0},
};

static const char *const sides[] = {"right", "left", "midline"};
static const char *const tests[] = {"AROM", "PROM", "MMT", "force", "range", "assisted"};
static const char *const units[] = {"N", "kgf", "lbf", "mm", "cm"};
static const char *const timings[] = {"before", "after"};

static bool is_one_of(const char *text, const char *const *words, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(words[i], text) == 0)
            return true;
    return false;
}

static bool is_motion_key(const struct reference *ref, const char *text)
{
    for (size_t i = 0; i < ref->n_motions; i++)
        if (strcmp(ref->motions[i].motion, text) == 0)
            return true;
    return false;
}

static bool is_muscle_meaning(const struct reference *ref, const char *text)
{
    for (size_t i = 0; i < ref->n_motions; i++) {
        const struct motion *m = &ref->motions[i];
        size_t n = strlen(m->joint);
        if (m->mmt && strncmp(text, m->joint, n) == 0 && text[n] == ' ' &&
            strcmp(text + n + 1, m->motion) == 0)
            return true;
    }
    return false;
}

/* "right hip knee ankle-foot": the side may be missing, a region may not. */
static bool is_limb(const struct reference *ref, const char *means)
{
    size_t regions = 0;
    for (const char *s = means; *s != '\0'; s += *s == ' ') {
        size_t n = strcspn(s, " ");
        bool side = s == means && (str_starts(s, "right ") || str_starts(s, "left ") ||
                                   str_starts(s, "both "));
        bool found = side;
        for (size_t i = 0; i < ref->n_motions && !found; i++) {
            const char *region = ref->motions[i].region;
            found = strlen(region) == n && strncmp(s, region, n) == 0;
        }
        if (!found)
            return false;
        regions += !side;
        s += n;
    }
    return regions > 0;
}

static bool may_mean(const struct reference *ref, const struct spelling *s)
{
    switch (s->kind) {
    case SPELLING_JOINT:
        return is_one_of(s->means, ref->joints, ref->n_joints);
    case SPELLING_MOTION:
        return is_motion_key(ref, s->means);
    case SPELLING_MUSCLE:
        return is_muscle_meaning(ref, s->means);
    case SPELLING_SIDE:
        return is_one_of(s->means, sides, ARRAY_LEN(sides));
    case SPELLING_LIMB:
        return is_limb(ref, s->means);
    case SPELLING_TEST:
        return is_one_of(s->means, tests, ARRAY_LEN(tests));
    case SPELLING_UNIT:
        return is_one_of(s->means, units, ARRAY_LEN(units));
    case SPELLING_TIMING:
        return is_one_of(s->means, timings, ARRAY_LEN(timings));
    case SPELLING_DIGIT:
        return strlen(s->means) == 1 && *s->means >= '1' && *s->means <= '5';
    case SPELLING_FILLER:
        return *s->means == '\0';
    default:
        return *s->means != '\0';
    }
}

/* Readers compare words as runs of small letters and digits with one blank between. */
static bool is_plain(const char *text)
{
    static const char plain[] = "abcdefghijklmnopqrstuvwxyz0123456789 ";
    return text[strspn(text, plain)] == '\0' && text[0] != ' ';
}

struct spelt {
    struct spelling s;
    const struct tree_node *node;
    const struct load_file *file;
};

static int by_text(const void *a, const void *b)
{
    const struct spelling *x = &((const struct spelt *)a)->s, *y = &((const struct spelt *)b)->s;
    bool column = x->kind == SPELLING_COLUMN, other = y->kind == SPELLING_COLUMN;
    return column != other ? (column ? 1 : -1) : strcmp(x->text, y->text);
}

static void keep(struct load *l, struct spelt *list, size_t n)
{
    struct reference *ref = l->ref;
    qsort(list, n, sizeof *list, by_text);
    ref->spellings = arena_alloc(ref->arena, (n + 1) * sizeof *ref->spellings);
    for (size_t i = 0; i < n; i++) {
        if (i > 0 && by_text(&list[i - 1], &list[i]) == 0) {
            l->file = list[i].file;
            load_problem(l, DIAG_REFERENCE_DUPLICATE, list[i].node, "text", "%.60s",
                         list[i].s.text);
        }
        ref->spellings[ref->n_spellings++] = list[i].s;
    }
}

/* The kind of source stands once for all: spellings carry no figures. */
static void load_heading(struct load *l, const struct tree_node *root)
{
    static const struct field fields[] = {{"how-known", FIELD_KNOWN, true, 0, NULL}};
    struct known known;
    load_fields(l, root, fields, ARRAY_LEN(fields), &known);
}

static void load_one(struct load *l, const struct tree_node *node, struct spelling *s)
{
#define AT(field) offsetof(struct spelling, field)
    static const struct field fields[] = {
        {"text", FIELD_TEXT, true, AT(text), NULL},
        {"kind", FIELD_CHOICE, true, AT(kind), spelling_kind_words},
        {"means", FIELD_TEXT, false, AT(means), NULL},
    };
#undef AT
    size_t before = l->problems;
    load_fields(l, node, fields, ARRAY_LEN(fields), s);
    if (l->problems > before)
        return;
    if (!is_plain(s->text))
        load_problem(l, DIAG_XML_VALUE, node, "text", "small letters, digits and blanks only");
    else if (!may_mean(l->ref, s))
        load_problem(l, DIAG_XML_VALUE, node, "means", "%.60s is not known for this kind",
                     s->means);
}

void load_vocabulary(struct load *l)
{
    size_t n = 0, before = l->problems;
    for (struct load_walk all = {0}; load_walk(l, &all, "vocabulary", "spelling");)
        n++;
    struct spelt *list = mem_alloc((n + 1) * sizeof *list);
    struct load_walk w = {0};
    for (size_t i = 0; load_walk(l, &w, "vocabulary", "spelling"); i++) {
        if (tree_first(l->tree, l->file->root, "spelling") == w.node)
            load_heading(l, l->file->root);
        list[i].node = w.node;
        list[i].file = l->file;
        load_one(l, w.node, &list[i].s);
    }
    if (l->problems == before)
        keep(l, list, n);
    free(list);
}
