/* Strength in figures: force norms, sum scores with their items and cut-offs, and the checks that
 * stand beside the grades. */
#include "reference/reference_int.h"

#include <string.h>

static const struct word force_range_words[] = {
    {"observed", 0}, {"ci95-of-mean", 0}, {"lower-quartile", 0}, {NULL, 0}};
static const struct word sum_grades_words[] = {
    {"isncsci", SUM_ISNCSCI}, {"mrc", SUM_MRC}, {"kendall", SUM_KENDALL}, {NULL, 0}};
static const struct word compare_words[] = {
    {"below", CUT_BELOW}, {"at-most", CUT_AT_MOST}, {"at-least", CUT_AT_LEAST}, {NULL, 0}};
static const struct word severity_words[] = {{"note", 0}, {"warning", 0}, {"error", 0}, {NULL, 0}};

/* ---- force norms ----------------------------------------------------------------------------- */

struct force_row {
    struct force_norm f;
    const char *joint, *motion;
};

static void check_force(struct load *l, const struct tree_node *node, const struct force_norm *f)
{
    if (f->sd.has && (!f->mean.has || f->sd.value <= 0))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "sd", "needs a mean and must be above 0");
    if (f->se.has && (!f->sd.has || f->se.value <= 0 || f->se.value >= f->sd.value))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "se", "must lie between 0 and sd");
    if (f->low.has && f->high.has && f->low.value > f->high.value)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "low", "above high");
    if (f->mean.has && ((f->low.has && f->mean.value < f->low.value) ||
                        (f->high.has && f->mean.value > f->high.value)))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "mean", "outside low and high");
    if (f->age_min.has && f->age_max.has && f->age_min.value > f->age_max.value)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "age-min", "above age-max");
}

static void load_force(struct load *l, const struct tree_node *node, struct force_row *row)
{
#define AT(field) offsetof(struct force_row, field)
    static const struct field fields[] = {
        {"measure", FIELD_TEXT, true, AT(f.measure), NULL},
        {"joint", FIELD_TEXT, false, AT(joint), NULL},
        {"motion", FIELD_TEXT, false, AT(motion), NULL},
        {"population", FIELD_TEXT, true, AT(f.population), NULL},
        {"sex", FIELD_CHOICE, true, AT(f.sex), sex_words},
        {"age-min", FIELD_NUM, false, AT(f.age_min), NULL},
        {"age-max", FIELD_NUM, false, AT(f.age_max), NULL},
        {"side", FIELD_CHOICE, true, AT(f.side), side_words},
        {"mean", FIELD_NUM, false, AT(f.mean), NULL},
        {"sd", FIELD_NUM, false, AT(f.sd), NULL},
        {"se", FIELD_NUM, false, AT(f.se), NULL},
        {"low", FIELD_NUM, false, AT(f.low), NULL},
        {"high", FIELD_NUM, false, AT(f.high), NULL},
        {"range-kind", FIELD_WORD, false, AT(f.range_kind), force_range_words},
        {"unit", FIELD_CHOICE, true, AT(f.unit), unit_words},
        {"n", FIELD_NUM, false, AT(f.n), NULL},
        {"muscle", FIELD_TEXT, false, AT(f.muscle), NULL},
        {"tries", FIELD_NUM, false, AT(f.tries), NULL},
        {"source-id", FIELD_SOURCE, true, AT(f.source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(f.known), NULL},
    };
#undef AT
    size_t before = l->problems;
    load_fields(l, node, fields, ARRAY_LEN(fields), row);
    if ((*row->joint == '\0') != (*row->motion == '\0'))
        load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL, "joint and motion go together");
    else if (*row->joint != '\0')
        row->f.motion = load_motion_named(l, node, row->joint, row->motion);
    else if (*row->f.muscle == '\0')
        load_problem(l, DIAG_XML_ATTRIBUTE, node, NULL, "needs a joint and motion, or a muscle");
    if (l->problems == before)
        check_force(l, node, &row->f);
}

static void load_forces(struct load *l)
{
    struct reference *ref = l->ref;
    ref->forces = load_array(l, "forces", "force-norm", sizeof *ref->forces);
    for (struct load_walk w = {0}; load_walk(l, &w, "forces", "force-norm");) {
        struct force_row row = {.joint = ""};
        load_force(l, w.node, &row);
        ref->forces[ref->n_forces++] = row.f;
    }
}

/* ---- sum scores -------------------------------------------------------------------------------
 */

struct item_row {
    struct sum_item item;
    const char *joint, *motion;
};

static void load_items(struct load *l, const struct tree_node *node, struct sum_score *sum)
{
#define AT(field) offsetof(struct item_row, field)
    static const struct field fields[] = {
        {"level", FIELD_TEXT, false, AT(item.level), NULL},
        {"joint", FIELD_TEXT, true, AT(joint), NULL},
        {"motion", FIELD_TEXT, true, AT(motion), NULL},
        {"digit", FIELD_INT, false, AT(item.digit), NULL},
    };
#undef AT
    struct sum_item *items = load_room(l, node, "item", sizeof *items);
    const struct tree_node *k = tree_first(l->tree, node, "item");
    sum->items = items;
    for (; k != NULL; k = tree_next(l->tree, k, "item")) {
        struct item_row row = {.joint = ""};
        load_fields(l, k, fields, ARRAY_LEN(fields), &row);
        row.item.motion = load_motion_named(l, k, row.joint, row.motion);
        if (row.item.motion != NULL && !row.item.motion->mmt)
            load_problem(l, DIAG_XML_VALUE, k, "motion", "%s has no muscle test", row.motion);
        items[sum->n_items++] = row.item;
    }
    if (sum->n_items == 0)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, NULL, "a score without an item");
}

static void load_cut_offs(struct load *l, const struct tree_node *node, struct sum_score *sum)
{
#define AT(field) offsetof(struct cut_off, field)
    static const struct field fields[] = {
        {"compare", FIELD_CHOICE, true, AT(compare), compare_words},
        {"value", FIELD_DOUBLE, true, AT(value), NULL},
        {"meaning", FIELD_TEXT, true, AT(meaning), NULL},
        {"population", FIELD_TEXT, true, AT(population), NULL},
    };
#undef AT
    struct cut_off *cut_offs = load_room(l, node, "cut-off", sizeof *cut_offs);
    const struct tree_node *k = tree_first(l->tree, node, "cut-off");
    sum->cut_offs = cut_offs;
    for (; k != NULL; k = tree_next(l->tree, k, "cut-off"))
        load_fields(l, k, fields, ARRAY_LEN(fields), &cut_offs[sum->n_cut_offs++]);
}

struct sum_row {
    struct sum_score s;
    int by_side;
};

static void check_sum(struct load *l, const struct tree_node *node, const struct sum_score *s)
{
    double sides = s->max_per_side.has ? 2 : 1;
    double per_side = s->max_per_side.has ? s->max_per_side.value : s->max_total;
    if (per_side != s->max_per_item * (double)s->n_items || s->max_total != sides * per_side)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "max-total",
                     "not items times max-per-item times sides");
}

static void load_sum(struct load *l, const struct tree_node *node, struct sum_score *out)
{
#define AT(field) offsetof(struct sum_row, field)
    static const struct field fields[] = {
        {"id", FIELD_TEXT, true, AT(s.id), NULL},
        {"name", FIELD_TEXT, true, AT(s.name), NULL},
        {"protocol", FIELD_TEXT, false, AT(s.protocol), NULL},
        {"grades", FIELD_CHOICE, true, AT(s.grades), sum_grades_words},
        {"sides", FIELD_TEXT, true, AT(s.sides), NULL},
        {"max-per-item", FIELD_DOUBLE, true, AT(s.max_per_item), NULL},
        {"max-per-side", FIELD_NUM, false, AT(s.max_per_side), NULL},
        {"max-total", FIELD_DOUBLE, true, AT(s.max_total), NULL},
        {"by-side", FIELD_CHOICE, false, AT(by_side), yes_words},
        {"not-in", FIELD_TEXT, false, AT(s.not_in), NULL},
        {"instead-of", FIELD_TEXT, false, AT(s.instead_of), NULL},
        {"grade-rule", FIELD_TEXT, true, AT(s.grade_rule), NULL},
        {"missing-rule", FIELD_TEXT, true, AT(s.missing_rule), NULL},
        {"interpretation", FIELD_TEXT, false, AT(s.interpretation), NULL},
        {"source-id", FIELD_SOURCE, true, AT(s.source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(s.known), NULL},
    };
#undef AT
    struct sum_row row = {.by_side = 0};
    size_t before = l->problems;
    load_fields(l, node, fields, ARRAY_LEN(fields), &row);
    row.s.by_side = row.by_side != 0;
    load_items(l, node, &row.s);
    load_cut_offs(l, node, &row.s);
    if (l->problems == before)
        check_sum(l, node, &row.s);
    *out = row.s;
}

static bool is_score(const struct reference *ref, const char *id)
{
    for (size_t i = 0; i < ref->n_sums; i++)
        if (strcmp(ref->sums[i].id, id) == 0)
            return true;
    return false;
}

static void load_sums(struct load *l)
{
    struct reference *ref = l->ref;
    ref->sums = load_array(l, "sums", "sum-score", sizeof *ref->sums);
    for (struct load_walk w = {0}; load_walk(l, &w, "sums", "sum-score");) {
        struct sum_score *s = &ref->sums[ref->n_sums];
        load_sum(l, w.node, s);
        if (*s->id != '\0' && is_score(ref, s->id))
            load_repeat(l, w.node, "id", s->id);
        if (*s->instead_of != '\0' && !is_score(ref, s->instead_of))
            load_problem(l, DIAG_XML_VALUE, w.node, "instead-of", "%.60s is no score above this",
                         s->instead_of);
        ref->n_sums++;
    }
}

void load_strength(struct load *l)
{
    load_forces(l);
    load_sums(l);
}

/* ---- checks of grades --------------------------------------------------------------------------
 */

static bool falls(struct num high, struct num low)
{
    return !high.has || !low.has || high.value > low.value;
}

static void load_heel_rises(struct load *l)
{
#define AT(field) offsetof(struct heel_rises, field)
    static const struct field fields[] = {
        {"id", FIELD_TEXT, true, AT(id), NULL},
        {"grade-5", FIELD_NUM, true, AT(five), NULL},
        {"grade-4", FIELD_NUM, false, AT(four), NULL},
        {"grade-3", FIELD_NUM, false, AT(three), NULL},
        {"note", FIELD_TEXT, false, AT(note), NULL},
        {"source-id", FIELD_SOURCE, true, AT(source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    ref->heel_rises = load_array(l, "grades", "heel-rises", sizeof *ref->heel_rises);
    for (struct load_walk w = {0}; load_walk(l, &w, "grades", "heel-rises");) {
        struct heel_rises *h = &ref->heel_rises[ref->n_heel_rises++];
        load_fields(l, w.node, fields, ARRAY_LEN(fields), h);
        if (!falls(h->five, h->four) || !falls(h->four, h->three) || !falls(h->five, h->three))
            load_problem(l, DIAG_REFERENCE_FIGURE, w.node, "grade-5",
                         "a weaker grade asks for as many");
        for (const struct heel_rises *old = ref->heel_rises; old < h; old++)
            if (*h->id != '\0' && strcmp(old->id, h->id) == 0)
                load_repeat(l, w.node, "id", h->id);
    }
}

void load_grade_checks(struct load *l)
{
#define AT(field) offsetof(struct grade_check, field)
    static const struct field fields[] = {
        {"id", FIELD_TEXT, true, AT(id), NULL},
        {"condition", FIELD_TEXT, true, AT(condition), NULL},
        {"message", FIELD_TEXT, true, AT(message), NULL},
        {"why", FIELD_TEXT, true, AT(why), NULL},
        {"severity", FIELD_WORD, true, AT(severity), severity_words},
        {"setting", FIELD_TEXT, false, AT(setting), NULL},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    ref->checks = load_array(l, "grades", "check", sizeof *ref->checks);
    for (struct load_walk w = {0}; load_walk(l, &w, "grades", "check");) {
        struct grade_check *c = &ref->checks[ref->n_checks++];
        load_fields(l, w.node, fields, ARRAY_LEN(fields), c);
        for (const struct grade_check *old = ref->checks; old < c; old++)
            if (*c->id != '\0' && strcmp(old->id, c->id) == 0)
                load_repeat(l, w.node, "id", c->id);
    }
    load_heel_rises(l);
}
