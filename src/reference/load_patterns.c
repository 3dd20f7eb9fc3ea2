/* Patterns of findings: losses in the proportions of a capsule with the conditions that tell them,
 * muscles that cross two joints, selective tension, key motions of the roots. */
#include "reference/reference_int.h"

#include <string.h>

static const struct word loss_words[] = {
    {"least", LOSS_LEAST},         {"least-deg", LOSS_LEAST_DEG},
    {"above", LOSS_ABOVE},         {"below", LOSS_BELOW},
    {"not-below", LOSS_NOT_BELOW}, {"over", LOSS_OVER},
    {"near", LOSS_NEAR},           {"ratio", LOSS_RATIO},
    {"limited", LOSS_LIMITED},     {NULL, 0},
};
static const struct word limb_words[] = {
    {"neck", 0}, {"upper", 0}, {"lower", 0}, {"trunk", 0}, {NULL, 0}};

/* ---- capsular patterns ---------------------------------------------------------------------- */

static void add_motion(struct load *l, const struct tree_node *node, struct capsular *c,
                       const struct motion *motion)
{
    for (int i = 0; i < c->n_motions; i++)
        if (c->motions[i] == motion)
            return;
    if (c->n_motions == CAPSULAR_MOTIONS_MAX)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, NULL, "more than %d motions",
                     CAPSULAR_MOTIONS_MAX);
    else
        c->motions[c->n_motions++] = motion;
}

/* "lateral-flexion=rotation>extension": every motion named is needed. */
static void read_order(struct load *l, const struct tree_node *node, struct capsular *c)
{
    for (const char *s = c->motion_order; *s != '\0';) {
        size_t len = strcspn(s, ">=");
        const char *name = arena_strndup(l->ref->arena, s, len);
        const struct motion *motion = load_motion_named(l, node, c->joint, name);
        if (motion != NULL)
            add_motion(l, node, c, motion);
        s += len;
        s += strspn(s, ">=");
    }
}

struct loss_row {
    struct loss loss;
    const char *motion, *other;
    struct num value;
    int if_measured;
};

static bool takes_other(enum loss_test test)
{
    return test == LOSS_NOT_BELOW || test == LOSS_OVER || test == LOSS_NEAR || test == LOSS_RATIO;
}

static void check_loss(struct load *l, const struct tree_node *node, const struct loss_row *row)
{
    enum loss_test test = row->loss.test;
    bool takes_value = test != LOSS_OVER && test != LOSS_LIMITED;
    if (takes_other(test) != (*row->other != '\0'))
        load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL,
                     takes_other(test) ? "other is missing" : "this test takes no other motion");
    if (takes_value != row->value.has)
        load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL,
                     takes_value ? "value is missing" : "this test takes no value");
    if ((test == LOSS_RATIO) != row->loss.high.has)
        load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL, "a ratio, and nothing else, has a high");
    else if (row->loss.high.has && row->loss.high.value < row->value.value)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "high", "below value");
}

static void load_loss(struct load *l, const struct tree_node *node, struct capsular *c,
                      struct loss *out)
{
#define AT(field) offsetof(struct loss_row, field)
    static const struct field fields[] = {
        {"test", FIELD_CHOICE, true, AT(loss.test), loss_words},
        {"motion", FIELD_TEXT, true, AT(motion), NULL},
        {"other", FIELD_TEXT, false, AT(other), NULL},
        {"value", FIELD_NUM, false, AT(value), NULL},
        {"high", FIELD_NUM, false, AT(loss.high), NULL},
        {"if-measured", FIELD_CHOICE, false, AT(if_measured), yes_words},
    };
#undef AT
    struct loss_row row = {.if_measured = 0};
    size_t before = l->problems;
    load_fields(l, node, fields, ARRAY_LEN(fields), &row);
    if (l->problems == before)
        check_loss(l, node, &row);
    row.loss.motion = load_motion_named(l, node, c->joint, row.motion);
    if (*row.other != '\0')
        row.loss.other = load_motion_named(l, node, c->joint, row.other);
    row.loss.value = row.value.value;
    row.loss.if_measured = row.if_measured != 0;
    if (!row.loss.if_measured && row.loss.motion != NULL)
        add_motion(l, node, c, row.loss.motion);
    if (row.loss.other != NULL)
        add_motion(l, node, c, row.loss.other);
    *out = row.loss;
}

static void load_losses(struct load *l, const struct tree_node *node, struct capsular *c)
{
    struct loss *losses = load_room(l, node, "loss", sizeof *losses);
    const struct tree_node *k = tree_first(l->tree, node, "loss");
    c->losses = losses;
    for (; k != NULL; k = tree_next(l->tree, k, "loss"))
        load_loss(l, k, c, &losses[c->n_losses++]);
}

static void load_capsulars(struct load *l)
{
#define AT(field) offsetof(struct capsular, field)
    static const struct field fields[] = {
        {"joint", FIELD_TEXT, true, AT(joint), NULL},
        {"anatomical-joint", FIELD_TEXT, true, AT(anatomical_joint), NULL},
        {"pattern", FIELD_TEXT, true, AT(pattern), NULL},
        {"motion-order", FIELD_TEXT, true, AT(motion_order), NULL},
        {"program-test", FIELD_TEXT, true, AT(program_test), NULL},
        {"evidence", FIELD_TEXT, true, AT(evidence), NULL},
        {"alternative", FIELD_TEXT, false, AT(alternative), NULL},
        {"source-id", FIELD_SOURCE, true, AT(source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
        {"digit", FIELD_INT, false, AT(digit), NULL},
        {"skip-with", FIELD_TEXT, false, AT(skip_with), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    ref->capsulars = load_array(l, "patterns", "capsular", sizeof *ref->capsulars);
    for (struct load_walk w = {0}; load_walk(l, &w, "patterns", "capsular");) {
        struct capsular *c = &ref->capsulars[ref->n_capsulars++];
        load_fields(l, w.node, fields, ARRAY_LEN(fields), c);
        for (const struct capsular *old = ref->capsulars; old < c; old++)
            if (*c->joint != '\0' && strcmp(old->joint, c->joint) == 0)
                load_repeat(l, w.node, "joint", c->joint);
        read_order(l, w.node, c);
        load_losses(l, w.node, c);
    }
}

/* ---- muscles over two joints ----------------------------------------------------------------- */

struct length_row {
    struct muscle_length m;
    const char *joint, *motion;
    int normal_is_slack;
};

static void load_lengths(struct load *l)
{
#define AT(field) offsetof(struct length_row, field)
    static const struct field fields[] = {
        {"id", FIELD_TEXT, true, AT(m.id), NULL},
        {"joint", FIELD_TEXT, true, AT(joint), NULL},
        {"motion", FIELD_TEXT, true, AT(motion), NULL},
        {"muscle", FIELD_TEXT, true, AT(m.muscle), NULL},
        {"taut", FIELD_TEXT, true, AT(m.taut), NULL},
        {"slack", FIELD_TEXT, true, AT(m.slack), NULL},
        {"normal-is-slack", FIELD_CHOICE, false, AT(normal_is_slack), yes_words},
        {"recheck", FIELD_TEXT, false, AT(m.recheck), NULL},
        {"how-known", FIELD_KNOWN, true, AT(m.known), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    ref->lengths = load_array(l, "patterns", "muscle-length", sizeof *ref->lengths);
    for (struct load_walk w = {0}; load_walk(l, &w, "patterns", "muscle-length");) {
        struct length_row row = {.normal_is_slack = 0};
        load_fields(l, w.node, fields, ARRAY_LEN(fields), &row);
        const struct motion *m = load_motion_named(l, w.node, row.joint, row.motion);
        row.m.motion = m;
        row.m.normal_is_slack = row.normal_is_slack != 0;
        struct muscle_length *kept = &ref->lengths[ref->n_lengths++];
        *kept = row.m;
        if (m == NULL)
            continue;
        if (m->muscle_length != NULL)
            load_repeat(l, w.node, "motion", m->motion);
        ref->motions[m->order].muscle_length = kept; /* order counts from 0 once loaded */
    }
}

/* ---- selective tension ----------------------------------------------------------------------- */

struct tension_row {
    struct tension t;
    const char *grade;
};

static void load_tensions(struct load *l)
{
#define AT(field) offsetof(struct tension_row, field)
    static const struct field fields[] = {
        {"id", FIELD_TEXT, true, AT(t.id), NULL},
        {"kind", FIELD_TEXT, true, AT(t.kind), NULL},
        {"finding", FIELD_TEXT, true, AT(t.finding), NULL},
        {"program-condition", FIELD_TEXT, true, AT(t.condition), NULL},
        {"deg", FIELD_NUM, false, AT(t.deg), NULL},
        {"factor", FIELD_NUM, false, AT(t.factor), NULL},
        {"grade", FIELD_TEXT, false, AT(grade), NULL},
        {"least", FIELD_NUM, false, AT(t.least), NULL},
        {"may-suggest", FIELD_TEXT, true, AT(t.may_suggest), NULL},
        {"cautious-wording", FIELD_TEXT, true, AT(t.wording), NULL},
        {"caveat", FIELD_TEXT, false, AT(t.caveat), NULL},
        {"recheck", FIELD_TEXT, false, AT(t.recheck), NULL},
        {"how-known", FIELD_KNOWN, true, AT(t.known), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    ref->tensions = load_array(l, "patterns", "tension", sizeof *ref->tensions);
    for (struct load_walk w = {0}; load_walk(l, &w, "patterns", "tension");) {
        struct tension_row row = {.grade = ""};
        load_fields(l, w.node, fields, ARRAY_LEN(fields), &row);
        if (*row.grade != '\0') {
            row.t.grade = reference_grade(ref, row.grade);
            if (row.t.grade == NULL)
                load_problem(l, DIAG_XML_VALUE, w.node, "grade", "%.60s", row.grade);
        }
        if (*row.t.id != '\0' && reference_tension(ref, row.t.id) != NULL)
            load_repeat(l, w.node, "id", row.t.id);
        ref->tensions[ref->n_tensions++] = row.t;
    }
}

/* ---- key motions of the roots -----------------------------------------------------------------
 */

struct myotome_row {
    struct myotome m;
    const char *joint, *motion;
    int isncsci_key;
};

static void load_myotomes(struct load *l)
{
#define AT(field) offsetof(struct myotome_row, field)
    static const struct field fields[] = {
        {"level", FIELD_TEXT, true, AT(m.level), NULL},
        {"joint", FIELD_TEXT, true, AT(joint), NULL},
        {"motion", FIELD_TEXT, true, AT(motion), NULL},
        {"digit", FIELD_INT, false, AT(m.digit), NULL},
        {"key-muscles", FIELD_TEXT, true, AT(m.key_muscles), NULL},
        {"isncsci-key", FIELD_CHOICE, true, AT(isncsci_key), yes_words},
        {"limb", FIELD_WORD, true, AT(m.limb), limb_words},
        {"grade-scale", FIELD_TEXT, true, AT(m.grade_scale), NULL},
        {"position", FIELD_TEXT, false, AT(m.position), NULL},
        {"note", FIELD_TEXT, false, AT(m.note), NULL},
        {"how-known", FIELD_KNOWN, true, AT(m.known), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    ref->myotomes = load_array(l, "patterns", "myotome", sizeof *ref->myotomes);
    for (struct load_walk w = {0}; load_walk(l, &w, "patterns", "myotome");) {
        struct myotome_row row = {.isncsci_key = 0};
        load_fields(l, w.node, fields, ARRAY_LEN(fields), &row);
        row.m.motion = load_motion_named(l, w.node, row.joint, row.motion);
        row.m.isncsci_key = row.isncsci_key != 0;
        ref->myotomes[ref->n_myotomes++] = row.m;
    }
}

/* A pattern is left out where a muscle length explains it, so that length must be on file. */
static void check_skips(struct load *l)
{
    const struct reference *ref = l->ref;
    for (struct load_walk w = {0}; load_walk(l, &w, "patterns", "capsular");) {
        const char *id = tree_value(l->tree, w.node, "skip-with");
        if (id == NULL)
            continue;
        size_t i = 0;
        while (i < ref->n_lengths && strcmp(ref->lengths[i].id, id) != 0)
            i++;
        if (i == ref->n_lengths)
            load_problem(l, DIAG_XML_VALUE, w.node, "skip-with", "%.60s is no muscle-length", id);
    }
}

void load_patterns(struct load *l)
{
    load_lengths(l);
    load_capsulars(l);
    load_tensions(l);
    load_myotomes(l);
    check_skips(l);
}
