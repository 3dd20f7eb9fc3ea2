/* What stands inside a motion: normal values, goniometer set-up, muscle test, compensations. Each
 * has one table that pairs attributes with fields; names follow the columns of the clinical tables.
 */
#include "reference/reference_int.h"

#include <stdlib.h>
#include <string.h>

struct norm_row {
    struct norm n;
    int lower;
};

static void load_norm(struct load *l, const struct tree_node *node, const struct motion *motion,
                      struct norm *out)
{
#define AT(field) offsetof(struct norm_row, field)
    static const struct field fields[] = {
        {"normal-deg", FIELD_DOUBLE, true, AT(n.normal), NULL},
        {"sd-deg", FIELD_NUM, false, AT(n.sd), NULL},
        {"ci95-low", FIELD_NUM, false, AT(n.ci95_low), NULL},
        {"ci95-high", FIELD_NUM, false, AT(n.ci95_high), NULL},
        {"age-min", FIELD_DOUBLE, true, AT(n.age_min), NULL},
        {"age-max", FIELD_DOUBLE, true, AT(n.age_max), NULL},
        {"sex", FIELD_CHOICE, true, AT(n.sex), sex_words},
        {"n", FIELD_NUM, false, AT(n.n), NULL},
        {"mode", FIELD_CHOICE, true, AT(n.mode), mode_words},
        {"kind", FIELD_CHOICE, true, AT(n.kind), kind_words},
        {"source-id", FIELD_SOURCE, true, AT(n.source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(n.known), NULL},
        {"unit", FIELD_CHOICE, true, AT(n.unit), unit_words},
        {"hyper-ok-deg", FIELD_NUM, false, AT(n.hyper_ok), NULL},
        {"max-plausible-deg", FIELD_NUM, false, AT(n.max_plausible), NULL},
        {"role", FIELD_CHOICE, true, AT(n.role), role_words},
        {"side", FIELD_CHOICE, true, AT(n.side), side_words},
        {"qualifier", FIELD_TEXT, false, AT(n.qualifier), NULL},
        {"range-low", FIELD_NUM, false, AT(n.range_low), NULL},
        {"range-high", FIELD_NUM, false, AT(n.range_high), NULL},
        {"range-kind", FIELD_WORD, false, AT(n.range_kind), range_kind_words},
        {"better", FIELD_CHOICE, true, AT(lower), better_words},
        {"note", FIELD_TEXT, false, AT(n.note), NULL},
    };
#undef AT
    struct norm_row row = {.n = {.motion = motion}};
    size_t before = l->problems;
    load_fields(l, node, fields, ARRAY_LEN(fields), &row);
    row.n.lower_is_better = row.lower != 0;
    if (l->problems == before)
        load_check_norm(l, node, &row.n);
    *out = row.n;
}

static unsigned read_end_feels(struct load *l, const struct tree_node *node, const char *list)
{
    unsigned bits = 0;
    for (char *word = arena_strdup(l->ref->arena, list); *word != '\0';) {
        char *end = word + strcspn(word, ";");
        bool last = *end == '\0';
        *end = '\0';
        enum end_feel feel;
        if (end_feel_by_name(word, &feel))
            bits |= 1u << feel;
        else
            load_problem(l, DIAG_XML_VALUE, node, "end-feel-also", "%.60s", word);
        word = last ? end : end + 1;
    }
    return bits;
}

struct goniometry_row {
    struct goniometry g;
    const char *also;
};

static const struct goniometry *load_goniometry(struct load *l, const struct tree_node *node)
{
#define AT(field) offsetof(struct goniometry_row, field)
    static const struct field fields[] = {
        {"plane", FIELD_WORD, true, AT(g.plane), plane_words},
        {"position", FIELD_WORD, true, AT(g.position), position_words},
        {"position-detail", FIELD_TEXT, false, AT(g.position_detail), NULL},
        {"fulcrum", FIELD_TEXT, true, AT(g.fulcrum), NULL},
        {"stationary-arm", FIELD_TEXT, true, AT(g.stationary_arm), NULL},
        {"moving-arm", FIELD_TEXT, true, AT(g.moving_arm), NULL},
        {"end-feel", FIELD_CHOICE, true, AT(g.end_feel), end_feel_words},
        {"end-feel-reason", FIELD_TEXT, false, AT(g.end_feel_reason), NULL},
        {"stabilize", FIELD_TEXT, false, AT(g.stabilize), NULL},
        {"note", FIELD_TEXT, false, AT(g.note), NULL},
        {"how-known", FIELD_KNOWN, true, AT(g.known), NULL},
        {"end-feel-also", FIELD_TEXT, false, AT(also), NULL},
        {"instrument", FIELD_TEXT, true, AT(g.instrument), NULL},
    };
#undef AT
    struct goniometry_row row = {.also = ""};
    load_fields(l, node, fields, ARRAY_LEN(fields), &row);
    row.g.end_feel_also = read_end_feels(l, node, row.also);
    struct goniometry *g = arena_alloc(l->ref->arena, sizeof *g);
    *g = row.g;
    return g;
}

/* A pair of angles is written, or both sides of one motion. */
static void check_notation(struct load *l, const struct tree_node *node, const struct motion *m,
                           const struct notation *n)
{
    bool both_sides = m->opposite == m;
    if (m->opposite == NULL || m->unit != UNIT_DEG)
        load_problem(l, DIAG_XML_VALUE, node, NULL, "a notation needs an opposite, in degrees");
    else if (both_sides != (n->place == NOTATION_LEFT_FIRST))
        load_problem(l, DIAG_XML_VALUE, node, "place", "left-first goes with other-side alone");
}

static const struct notation *load_notation(struct load *l, const struct tree_node *node,
                                            const struct motion *m)
{
    static const struct word planes[] = {{"S", 0}, {"F", 0}, {"T", 0}, {"R", 0}, {NULL, 0}};
    static const struct word places[] = {{"first", NOTATION_FIRST},
                                         {"last", NOTATION_LAST},
                                         {"left-first", NOTATION_LEFT_FIRST},
                                         {NULL, 0}};
#define AT(field) offsetof(struct notation, field)
    static const struct field fields[] = {
        {"plane", FIELD_WORD, true, AT(plane), planes},
        {"place", FIELD_CHOICE, true, AT(place), places},
        {"source-id", FIELD_SOURCE, true, AT(source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
    };
#undef AT
    struct notation *n = arena_alloc(l->ref->arena, sizeof *n);
    load_fields(l, node, fields, ARRAY_LEN(fields), n);
    check_notation(l, node, m, n);
    return n;
}

static const struct muscle_test *load_muscle_test(struct load *l, const struct tree_node *node)
{
#define AT(field) offsetof(struct muscle_test, field)
    static const struct field fields[] = {
        {"prime-movers", FIELD_TEXT, true, AT(prime_movers), NULL},
        {"nerve", FIELD_TEXT, true, AT(nerve), NULL},
        {"roots", FIELD_TEXT, true, AT(roots), NULL},
        {"position-against-gravity", FIELD_WORD, true, AT(position_against_gravity),
         position_words},
        {"detail", FIELD_TEXT, false, AT(detail), NULL},
        {"position-gravity-minimized", FIELD_WORD, true, AT(position_gravity_minimized),
         position_words},
        {"detail-minimized", FIELD_TEXT, false, AT(detail_minimized), NULL},
        {"resistance-at", FIELD_TEXT, true, AT(resistance_at), NULL},
        {"resistance-direction", FIELD_TEXT, true, AT(resistance_direction), NULL},
        {"stabilize", FIELD_TEXT, false, AT(stabilize), NULL},
        {"palpate-for-trace", FIELD_TEXT, false, AT(palpate_for_trace), NULL},
        {"note", FIELD_TEXT, false, AT(note), NULL},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
        {"gravity-rule", FIELD_CHOICE, true, AT(gravity_rule), gravity_words},
    };
#undef AT
    struct muscle_test *m = arena_alloc(l->ref->arena, sizeof *m);
    load_fields(l, node, fields, ARRAY_LEN(fields), m);
    return m;
}

struct compensation_row {
    struct compensation c;
    int tests, triggers;
};

static void load_compensation(struct load *l, const struct tree_node *node,
                              struct compensation *out)
{
#define AT(field) offsetof(struct compensation_row, field)
    static const struct field fields[] = {
        {"test", FIELD_CHOICE, true, AT(tests), tests_words},
        {"id", FIELD_TEXT, true, AT(c.id), NULL},
        {"what-you-see", FIELD_TEXT, true, AT(c.what_you_see), NULL},
        {"direction-or-side", FIELD_WORD, true, AT(c.direction), direction_words},
        {"why", FIELD_TEXT, false, AT(c.why), NULL},
        {"how-to-prevent", FIELD_TEXT, false, AT(c.how_to_prevent), NULL},
        {"usual-trigger", FIELD_CHOICE, true, AT(triggers), trigger_words},
        {"typical-deficit-deg", FIELD_NUM, false, AT(c.typical_deficit), NULL},
        {"how-known", FIELD_KNOWN, true, AT(c.known), NULL},
    };
#undef AT
    struct compensation_row row = {.tests = 0};
    load_fields(l, node, fields, ARRAY_LEN(fields), &row);
    row.c.in_rom = (row.tests & TEST_ROM) != 0;
    row.c.in_mmt = (row.tests & TEST_MMT) != 0;
    row.c.trigger_limited = (row.triggers & TRIGGER_LIMITED) != 0;
    row.c.trigger_weak = (row.triggers & TRIGGER_WEAK) != 0;
    row.c.trigger_painful = (row.triggers & TRIGGER_PAINFUL) != 0;
    *out = row.c;
}

/* The only child of that name, or NULL; a second one is reported. */
static const struct tree_node *only_child(struct load *l, const struct tree_node *node,
                                          const char *name)
{
    const struct tree_node *child = tree_first(l->tree, node, name);
    const struct tree_node *second = child == NULL ? NULL : tree_next(l->tree, child, name);
    if (second != NULL)
        load_problem(l, DIAG_REFERENCE_DUPLICATE, second, NULL, "%s of one motion", name);
    return child;
}

static void load_compensations(struct load *l, const struct tree_node *node, struct motion *m)
{
    struct compensation *rows = load_room(l, node, "compensation", sizeof *rows);
    const struct tree_node *c = tree_first(l->tree, node, "compensation");
    m->compensations = rows;
    for (; c != NULL; c = tree_next(l->tree, c, "compensation")) {
        struct compensation *row = &rows[m->n_compensations++];
        load_compensation(l, c, row);
        for (const struct compensation *old = rows; old < row; old++)
            if (*row->id != '\0' && strcmp(old->id, row->id) == 0)
                load_problem(l, DIAG_REFERENCE_DUPLICATE, c, "id", "%.60s", row->id);
    }
}

void load_inside(struct load *l, const struct tree_node *node, struct motion *m)
{
    struct norm *norms = load_room(l, node, "normal", sizeof *norms);
    const struct tree_node *c = tree_first(l->tree, node, "normal");
    m->norms = norms;
    for (; c != NULL; c = tree_next(l->tree, c, "normal"))
        load_norm(l, c, m, &norms[m->n_norms++]);
    load_check_defaults(l, node, m);
    const struct tree_node *one = only_child(l, node, "goniometry");
    m->goniometry = one == NULL ? NULL : load_goniometry(l, one);
    one = only_child(l, node, "muscle-test");
    m->muscle_test = one == NULL ? NULL : load_muscle_test(l, one);
    one = only_child(l, node, "notation");
    m->notation = one == NULL ? NULL : load_notation(l, one, m);
    load_compensations(l, node, m);
}
