/* Motions: their headings, their order from head to foot, the index by joint and motion, and the
 * link to the opposite motion. */
#include "reference/reference_int.h"

#include <stdlib.h>
#include <string.h>

struct motion_row {
    struct motion m;
    int tests;
    const char *opposite, *digits;
    const struct tree_node *node;
    const struct load_file *file;
};

static int by_order(const void *a, const void *b)
{
    const struct motion_row *x = a, *y = b;
    return (x->m.order > y->m.order) - (x->m.order < y->m.order);
}

/* "2-5": one decimal digit each. */
static void read_digits(struct load *l, const struct tree_node *node, struct motion_row *row)
{
    const char *d = row->digits;
    if (*d == '\0')
        return;
    bool good = strlen(d) == 3 && d[1] == '-' && d[0] >= '1' && d[0] <= d[2] && d[2] <= '5';
    if (!good) {
        load_problem(l, DIAG_XML_VALUE, node, "digits", "%.60s is not like 2-5", d);
        return;
    }
    row->m.digit_min = d[0] - '0';
    row->m.digit_max = d[2] - '0';
}

static const char *load_region(struct load *l, const struct tree_node *node)
{
    static const struct field fields[] = {{"name", FIELD_TEXT, true, 0, NULL}};
    const char *name;
    load_fields(l, node, fields, ARRAY_LEN(fields), &name);
    return name;
}

static void load_heading(struct load *l, const struct tree_node *node, struct motion_row *row)
{
#define AT(field) offsetof(struct motion_row, field)
    static const struct field fields[] = {
        {"joint", FIELD_TEXT, true, AT(m.joint), NULL},
        {"motion", FIELD_TEXT, true, AT(m.motion), NULL},
        {"order", FIELD_INT, true, AT(m.order), NULL},
        {"plane", FIELD_WORD, true, AT(m.plane), plane_words},
        {"sides", FIELD_CHOICE, true, AT(m.sides), sides_words},
        {"unit", FIELD_CHOICE, false, AT(m.unit), unit_words},
        {"tests", FIELD_CHOICE, true, AT(tests), tests_words},
        {"opposite", FIELD_TEXT, false, AT(opposite), NULL},
        {"digits", FIELD_TEXT, false, AT(digits), NULL},
    };
#undef AT
    load_fields(l, node, fields, ARRAY_LEN(fields), row);
    row->m.rom = (row->tests & TEST_ROM) != 0;
    row->m.mmt = (row->tests & TEST_MMT) != 0;
    row->node = node;
    row->file = l->file;
    read_digits(l, node, row);
    if (row->m.rom && row->m.unit == UNIT_NONE)
        load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL, "unit is missing for a range of motion");
}

static void check_repeats(struct load *l, const struct motion_row *rows, size_t i)
{
    const struct motion_row *row = &rows[i];
    for (size_t k = 0; k < i; k++) {
        if (strcmp(rows[k].m.joint, row->m.joint) == 0 &&
            strcmp(rows[k].m.motion, row->m.motion) == 0)
            load_problem(l, DIAG_REFERENCE_DUPLICATE, row->node, NULL, "motion %.60s %.60s",
                         row->m.joint, row->m.motion);
        else if (rows[k].m.order == row->m.order)
            load_problem(l, DIAG_REFERENCE_DUPLICATE, row->node, "order", "order %d", row->m.order);
    }
}

static int by_key(const void *a, const void *b)
{
    const struct motion *x = *(const struct motion *const *)a,
                        *y = *(const struct motion *const *)b;
    int joint = strcmp(x->joint, y->joint);
    return joint != 0 ? joint : strcmp(x->motion, y->motion);
}

static void index_motions(struct reference *ref)
{
    size_t n = ref->n_motions;
    ref->by_key = arena_alloc(ref->arena, (n + 1) * sizeof *ref->by_key);
    ref->joints = arena_alloc(ref->arena, (n + 1) * sizeof *ref->joints);
    for (size_t i = 0; i < n; i++) {
        const char *joint = ref->motions[i].joint;
        size_t k = 0;
        while (k < ref->n_joints && strcmp(ref->joints[k], joint) != 0)
            k++;
        if (k == ref->n_joints)
            ref->joints[ref->n_joints++] = joint;
        ref->by_key[i] = &ref->motions[i];
    }
    qsort(ref->by_key, n, sizeof *ref->by_key, by_key);
}

static void link_opposite(struct load *l, const struct motion_row *row, struct motion *m)
{
    if (*row->opposite == '\0')
        return;
    m->opposite = strcmp(row->opposite, "other-side") == 0
                      ? m
                      : reference_motion(l->ref, m->joint, row->opposite);
    if (m->opposite == m && m->sides == SIDES_MIDLINE)
        m->opposite = NULL;
    if (m->opposite == NULL) {
        const char *near = reference_nearest_motion(l->ref, m->joint, row->opposite);
        load_problem(l, DIAG_REFERENCE_OPPOSITE, row->node, "opposite", "%.60s%s%s", row->opposite,
                     near != NULL ? ", nearest is " : "", near != NULL ? near : "");
    }
}

void load_motions(struct load *l, size_t n)
{
    struct reference *ref = l->ref;
    struct motion_row *rows = mem_alloc((n + 1) * sizeof *rows);
    struct load_walk w = {0};
    size_t count = 0, before = l->problems;
    const char *region = "";
    while (load_walk(l, &w, "region", "motion")) {
        if (tree_first(l->tree, l->file->root, "motion") == w.node)
            region = load_region(l, l->file->root);
        load_heading(l, w.node, &rows[count]);
        rows[count].m.region = region;
        check_repeats(l, rows, count++);
    }
    if (l->problems == before) {
        qsort(rows, count, sizeof *rows, by_order);
        ref->motions = arena_alloc(ref->arena, (n + 1) * sizeof *ref->motions);
        for (size_t i = 0; i < count; i++) {
            ref->motions[i] = rows[i].m;
            ref->motions[i].order = (int)i;
        }
        ref->n_motions = count;
        index_motions(ref);
        for (size_t i = 0; i < count; i++) {
            l->file = rows[i].file;
            link_opposite(l, &rows[i], &ref->motions[i]);
            load_inside(l, rows[i].node, &ref->motions[i]);
        }
    }
    free(rows);
}
