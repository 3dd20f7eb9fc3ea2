/* Figures that rules turn on and that belong to no single motion. The program asks for each by its
 * place in the list, so a library that has a file of them must have all. */
#include "reference/reference_int.h"

static const char *const ids[THRESHOLD_COUNT] = {
    [THRESHOLD_TOLERANCE] = "tolerance",
    [THRESHOLD_TRIES_APART] = "tries-apart",
    [THRESHOLD_GRADE_CHANGE] = "grade-change",
    [THRESHOLD_PROGRESS_REPORT] = "progress-report",
    [THRESHOLD_PLAN_SIGNATURE] = "plan-signature",
    [THRESHOLD_CERTIFICATION] = "certification",
    [THRESHOLD_ICF_MILD] = "icf-mild",
    [THRESHOLD_ICF_MODERATE] = "icf-moderate",
    [THRESHOLD_ICF_SEVERE] = "icf-severe",
    [THRESHOLD_ICF_COMPLETE] = "icf-complete",
    [THRESHOLD_LOSS_MILD] = "loss-mild",
    [THRESHOLD_LOSS_MODERATE] = "loss-moderate",
    [THRESHOLD_LOSS_SEVERE] = "loss-severe",
    [THRESHOLD_LIMITED_Z] = "limited-z",
    [THRESHOLD_ERROR_SHARE] = "error-share",
    [THRESHOLD_ADULT_AGE] = "adult-age",
    [THRESHOLD_JUMP_LIMITS] = "jump-limits",
    [THRESHOLD_USUAL_LIMITS] = "usual-limits",
    [THRESHOLD_USUAL_SPREAD] = "usual-spread",
    [THRESHOLD_SWAP_RATIO] = "swap-ratio",
    [THRESHOLD_DEMAND_SHORT] = "demand-short",
    [THRESHOLD_TREND_VISITS] = "trend-visits",
    [THRESHOLD_TREND_RESIDUAL_VISITS] = "trend-residual-visits",
    [THRESHOLD_TREND_LINE_VISITS] = "trend-line-visits",
    [THRESHOLD_OPPOSITE_AGREES] = "opposite-agrees",
    [THRESHOLD_AGE_NOT_TOLD] = "age-not-told",
};

static void take(struct load *l, const struct tree_node *node, const struct threshold *row)
{
    for (int i = 0; i < THRESHOLD_COUNT; i++) {
        if (!str_eq(ids[i], row->id))
            continue;
        if (l->ref->thresholds[i].id != NULL)
            load_repeat(l, node, "id", row->id);
        else if (row->value <= 0)
            load_problem(l, DIAG_REFERENCE_FIGURE, node, "value", "must be above 0");
        l->ref->thresholds[i] = *row;
        return;
    }
    load_problem(l, DIAG_XML_VALUE, node, "id", "%.60s%s", row->id,
                 load_nearest(l, row->id, ids, THRESHOLD_COUNT));
}

void load_thresholds(struct load *l)
{
#define AT(field) offsetof(struct threshold, field)
    static const struct field fields[] = {
        {"id", FIELD_TEXT, true, AT(id), NULL},
        {"value", FIELD_DOUBLE, true, AT(value), NULL},
        {"unit", FIELD_TEXT, true, AT(unit), NULL},
        {"rules", FIELD_TEXT, false, AT(rules), NULL},
        {"clinic", FIELD_TEXT, false, AT(clinic), NULL},
        {"meaning", FIELD_TEXT, true, AT(meaning), NULL},
        {"source", FIELD_TEXT, true, AT(source), NULL},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
    };
#undef AT
    size_t before = l->problems;
    struct load_walk w = {0};
    const struct tree_node *last = NULL;
    const struct load_file *place = l->file;
    while (load_walk(l, &w, "thresholds", "threshold")) {
        struct threshold row = {.id = ""};
        last = w.node;
        place = l->file;
        load_fields(l, w.node, fields, ARRAY_LEN(fields), &row);
        if (*row.id != '\0')
            take(l, w.node, &row);
    }
    l->file = place;
    for (int i = 0; i < THRESHOLD_COUNT && last != NULL && l->problems == before; i++)
        if (l->ref->thresholds[i].id == NULL)
            load_problem(l, DIAG_REFERENCE_FIGURE, last, "id", "no threshold %s", ids[i]);
}

const struct threshold *reference_threshold_row(const struct reference *ref, enum threshold_id id)
{
    return &ref->thresholds[id];
}

double reference_threshold(const struct reference *ref, enum threshold_id id)
{
    return ref->thresholds[id].value;
}
