/* Measurement error: rows inside a motion, rows of a region for any motion of a joint, rows of the
 * general file for any joint. */
#include "reference/reference_int.h"

#include <stdlib.h>
#include <string.h>

static const char rule_of_thumb_source[] = "COMMON";
static const char any[] = "*";

struct error_entry {
    struct error_row e;
    const char *joint, *motion;
    int inter;
    int rank;   /* any joint, then head to foot */
    size_t seq; /* of arrival */
};

struct collector {
    struct error_entry *rows;
    size_t n;
};

static int by_rank(const void *a, const void *b)
{
    const struct error_entry *x = a, *y = b;
    if (x->rank != y->rank)
        return x->rank < y->rank ? -1 : 1;
    return (x->seq > y->seq) - (x->seq < y->seq);
}

/* Two places a motion, so that rows for any motion of a joint follow its last motion. */
static int rank_of(const struct reference *ref, const struct error_row *e)
{
    if (e->joint == NULL)
        return 0;
    int rank = 0;
    for (size_t i = 0; i < ref->n_motions; i++) {
        if (strcmp(ref->motions[i].joint, e->joint) != 0)
            continue;
        if (e->motion == NULL)
            rank = 2 * (int)i + 3;
        else if (strcmp(ref->motions[i].motion, e->motion) == 0)
            return 2 * (int)i + 2;
    }
    return rank;
}

static bool has_negative(const struct num *numbers, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (numbers[i].has && numbers[i].value <= 0)
            return true;
    return false;
}

static void check_figures(struct load *l, const struct tree_node *node, const struct error_row *e)
{
    struct num positive[] = {e->sem, e->mdc90, e->mdc95};
    if (has_negative(positive, ARRAY_LEN(positive)))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, NULL, "sem and mdc must be above 0");
    if (e->mdc90.has && e->mdc95.has && e->mdc90.value > e->mdc95.value)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "mdc90", "mdc90 is above mdc95");
    if (e->icc.has && (e->icc.value > 1 || e->icc.value < -1))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "icc", "icc is not between -1 and 1");
}

static void load_entry(struct load *l, const struct tree_node *node, struct error_entry *row)
{
#define AT(field) offsetof(struct error_entry, field)
    static const struct field fields[] = {
        {"joint", FIELD_TEXT, false, AT(joint), NULL},
        {"motion", FIELD_TEXT, false, AT(motion), NULL},
        {"mode", FIELD_CHOICE, false, AT(e.mode), mode_words},
        {"instrument", FIELD_CHOICE, false, AT(e.instrument), instrument_words},
        {"rater", FIELD_CHOICE, true, AT(inter), rater_words},
        {"sem", FIELD_NUM, false, AT(e.sem), NULL},
        {"mdc90", FIELD_NUM, false, AT(e.mdc90), NULL},
        {"mdc95", FIELD_NUM, false, AT(e.mdc95), NULL},
        {"icc", FIELD_NUM, false, AT(e.icc), NULL},
        {"unit", FIELD_CHOICE, true, AT(e.unit), unit_words},
        {"population", FIELD_TEXT, false, AT(e.population), NULL},
        {"n", FIELD_TEXT, false, AT(e.n), NULL},
        {"source-id", FIELD_SOURCE, true, AT(e.source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(e.known), NULL},
    };
#undef AT
    size_t before = l->problems;
    load_fields(l, node, fields, ARRAY_LEN(fields), row);
    row->e.inter = row->inter != 0;
    if (l->problems > before)
        return;
    row->e.derived = known_says_derived(row->e.known.text);
    row->e.rule_of_thumb = strcmp(row->e.source->id, rule_of_thumb_source) == 0;
    check_figures(l, node, &row->e);
}

static void add_inside(struct load *l, struct collector *c, const struct tree_node *motion_node)
{
    const struct motion *m = reference_motion(l->ref, tree_value(l->tree, motion_node, "joint"),
                                              tree_value(l->tree, motion_node, "motion"));
    for (const struct tree_node *node = tree_first(l->tree, motion_node, "error"); node != NULL;
         node = tree_next(l->tree, node, "error")) {
        struct error_entry *row = &c->rows[c->n];
        row->seq = c->n++;
        load_entry(l, node, row);
        if (*row->joint != '\0' || *row->motion != '\0')
            load_problem(l, DIAG_XML_ATTRIBUTE, node, *row->joint != '\0' ? "joint" : "motion",
                         "joint and motion are those of the motion around it");
        row->e.joint = m->joint;
        row->e.motion = m->motion;
    }
}

static void check_place(struct load *l, const struct tree_node *node, struct error_entry *row,
                        bool general)
{
    const struct reference *ref = l->ref;
    row->e.joint = row->e.motion = NULL;
    if (*row->joint == '\0' || *row->motion == '\0') {
        load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL, "joint and motion are needed; * is any");
        return;
    }
    if (general || strcmp(row->joint, any) == 0) {
        if (!general || strcmp(row->joint, any) != 0 || strcmp(row->motion, any) != 0)
            load_problem(l, DIAG_XML_VALUE, node, "joint",
                         "only the general file speaks of any joint, and only of any joint");
        return;
    }
    row->e.joint = row->joint;
    size_t k = 0;
    while (k < ref->n_joints && strcmp(ref->joints[k], row->joint) != 0)
        k++;
    if (k == ref->n_joints) {
        load_problem(l, DIAG_XML_VALUE, node, "joint", "%.60s%s", row->joint,
                     load_nearest(l, row->joint, ref->joints, ref->n_joints));
    } else if (strcmp(row->motion, any) != 0) {
        row->e.motion = row->motion;
        if (reference_motion(ref, row->joint, row->motion) == NULL)
            load_problem(l, DIAG_XML_VALUE, node, "motion", "%.60s is not a motion of %s",
                         row->motion, row->joint);
    }
}

static void add_outside(struct load *l, struct collector *c, const struct tree_node *root)
{
    bool general = tree_is(l->tree, root, "general");
    for (const struct tree_node *node = tree_first(l->tree, root, "error"); node != NULL;
         node = tree_next(l->tree, node, "error")) {
        struct error_entry *row = &c->rows[c->n];
        row->seq = c->n++;
        load_entry(l, node, row);
        check_place(l, node, row, general);
    }
}

/* So that a reading need not be held against every study of every motion. */
static void give_to_motions(struct reference *ref)
{
    for (size_t i = 0; i < ref->n_errors; i++) {
        const struct error_row *e = &ref->errors[i];
        const struct motion *found = reference_motion(ref, e->joint, e->motion);
        if (found == NULL)
            continue;
        struct motion *m = &ref->motions[found - ref->motions];
        if (m->errors == NULL)
            m->errors = e;
        m->n_errors = (size_t)(e - m->errors) + 1;
    }
}

void load_errors(struct load *l, size_t n)
{
    struct reference *ref = l->ref;
    struct collector c = {.rows = mem_alloc((n + 1) * sizeof *c.rows)};
    for (size_t i = 0; i < l->n_files; i++) {
        l->file = &l->files[i];
        const struct tree_node *m = tree_first(l->tree, l->file->root, "motion");
        add_outside(l, &c, l->file->root);
        for (; m != NULL; m = tree_next(l->tree, m, "motion"))
            add_inside(l, &c, m);
    }
    for (size_t i = 0; i < c.n; i++)
        c.rows[i].rank = rank_of(ref, &c.rows[i].e);
    qsort(c.rows, c.n, sizeof *c.rows, by_rank);
    ref->errors = arena_alloc(ref->arena, (c.n + 1) * sizeof *ref->errors);
    for (size_t i = 0; i < c.n; i++)
        ref->errors[i] = c.rows[i].e;
    ref->n_errors = c.n;
    free(c.rows);
    give_to_motions(ref);
}
