/* What everyday activities need of a motion, and the titles of the activity codes. */
#include "reference/reference_int.h"

#include <string.h>

static const struct word basis_words[] = {
    {"mean-peak", 0}, {"envelope", 0}, {"enough", 0},    {"mean-use", 0}, {"posture", 0},
    {"arc", 0},       {"textbook", 0}, {"inference", 0}, {NULL, 0},
};
static const struct word demand_role_words[] = {
    {"default", DEMAND_DEFAULT}, {"alt", DEMAND_ALT}, {"special", DEMAND_SPECIAL}, {NULL, 0}};
static const struct word knee_words[] = {
    {"straight", KNEE_STRAIGHT}, {"bent", KNEE_BENT}, {NULL, 0}};

static void load_icf_codes(struct load *l)
{
#define AT(field) offsetof(struct icf_code, field)
    static const struct field fields[] = {
        {"code", FIELD_TEXT, true, AT(code), NULL},
        {"title", FIELD_TEXT, true, AT(title), NULL},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    ref->icf_codes = load_array(l, "demands", "icf-code", sizeof *ref->icf_codes);
    for (struct load_walk w = {0}; load_walk(l, &w, "demands", "icf-code");) {
        struct icf_code *code = &ref->icf_codes[ref->n_icf_codes++];
        load_fields(l, w.node, fields, ARRAY_LEN(fields), code);
        for (const struct icf_code *old = ref->icf_codes; old < code; old++)
            if (*code->code != '\0' && strcmp(old->code, code->code) == 0)
                load_repeat(l, w.node, "code", code->code);
    }
}

struct demand_row {
    struct demand d;
    const char *joint, *motion;
};

static bool is_code(const struct reference *ref, const char *code)
{
    for (size_t i = 0; i < ref->n_icf_codes; i++)
        if (strcmp(ref->icf_codes[i].code, code) == 0)
            return true;
    return false;
}

static bool is_same_default(const struct demand *a, const struct demand *b)
{
    return a->role == DEMAND_DEFAULT && b->role == DEMAND_DEFAULT && a->motion == b->motion &&
           strcmp(a->activity_id, b->activity_id) == 0 && strcmp(a->qualifier, b->qualifier) == 0;
}

static void check_demand(struct load *l, const struct tree_node *node, const struct demand *d)
{
    const struct reference *ref = l->ref;
    if (d->unit != d->motion->unit && d->unit != UNIT_PERCENT)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "unit", "not that of the motion, nor %%");
    if (d->role == DEMAND_DEFAULT && d->unit == UNIT_PERCENT)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "role", "a percent is never a default");
    if (d->from.has && d->from.value >= d->needed)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "from", "not below needed");
    if (d->sd.has && d->sd.value <= 0)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "sd", "must be above 0");
    if (d->age_min.has != d->age_max.has || (d->age_min.has && d->age_min.value > d->age_max.value))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, NULL, "age-min and age-max do not fit");
    if (!is_code(ref, d->icf_code))
        load_problem(l, DIAG_XML_VALUE, node, "icf-code", "%.60s has no title", d->icf_code);
    for (size_t i = 0; i < ref->n_demands; i++)
        if (is_same_default(&ref->demands[i], d))
            load_problem(l, DIAG_REFERENCE_DEFAULT, node, "role", "a second default for %s",
                         d->activity_id);
}

static void load_demand(struct load *l, const struct tree_node *node, struct demand_row *row)
{
#define AT(field) offsetof(struct demand_row, field)
    static const struct field fields[] = {
        {"activity-id", FIELD_TEXT, true, AT(d.activity_id), NULL},
        {"activity", FIELD_TEXT, true, AT(d.activity), NULL},
        {"joint", FIELD_TEXT, true, AT(joint), NULL},
        {"motion", FIELD_TEXT, true, AT(motion), NULL},
        {"needed", FIELD_DOUBLE, true, AT(d.needed), NULL},
        {"from", FIELD_NUM, false, AT(d.from), NULL},
        {"sd", FIELD_NUM, false, AT(d.sd), NULL},
        {"unit", FIELD_CHOICE, true, AT(d.unit), unit_words},
        {"basis", FIELD_WORD, true, AT(d.basis), basis_words},
        {"role", FIELD_CHOICE, true, AT(d.role), demand_role_words},
        {"qualifier", FIELD_TEXT, false, AT(d.qualifier), NULL},
        {"age-min", FIELD_NUM, false, AT(d.age_min), NULL},
        {"age-max", FIELD_NUM, false, AT(d.age_max), NULL},
        {"knee", FIELD_CHOICE, false, AT(d.knee), knee_words},
        {"population", FIELD_TEXT, false, AT(d.population), NULL},
        {"n", FIELD_NUM, false, AT(d.n), NULL},
        {"icf-code", FIELD_TEXT, true, AT(d.icf_code), NULL},
        {"source-id", FIELD_SOURCE, true, AT(d.source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(d.known), NULL},
        {"note", FIELD_TEXT, false, AT(d.note), NULL},
    };
#undef AT
    size_t before = l->problems;
    load_fields(l, node, fields, ARRAY_LEN(fields), row);
    row->d.motion = load_motion_named(l, node, row->joint, row->motion);
    if (l->problems == before)
        check_demand(l, node, &row->d);
}

void load_demands(struct load *l)
{
    struct reference *ref = l->ref;
    load_icf_codes(l);
    ref->demands = load_array(l, "demands", "demand", sizeof *ref->demands);
    for (struct load_walk w = {0}; load_walk(l, &w, "demands", "demand");) {
        struct demand_row row = {.d = {.needed = 0}};
        load_demand(l, w.node, &row);
        ref->demands[ref->n_demands++] = row.d;
    }
}
