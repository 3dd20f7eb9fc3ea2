/* Figures against each other: what a slip of the keyboard in a normal value would break first. */
#include "reference/reference_int.h"

static void check_pair(struct load *l, const struct tree_node *node, const char *what,
                       struct num low, struct num high)
{
    if (low.has != high.has)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, NULL, "%s has one end only", what);
    else if (low.has && low.value > high.value)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, NULL,
                     "the low end of %s is above the high end", what);
}

static bool is_outside(struct num low, struct num high, double value)
{
    return low.has && high.has && (value < low.value || value > high.value);
}

void load_check_norm(struct load *l, const struct tree_node *node, const struct norm *norm)
{
    check_pair(l, node, "ci95", norm->ci95_low, norm->ci95_high);
    check_pair(l, node, "range", norm->range_low, norm->range_high);
    if (is_outside(norm->ci95_low, norm->ci95_high, norm->normal))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "normal-deg", "outside its ci95");
    if (is_outside(norm->range_low, norm->range_high, norm->normal))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "normal-deg", "outside its range");
    if (norm->range_low.has != (*norm->range_kind != '\0'))
        load_problem(l, DIAG_REFERENCE_FIGURE, node, NULL, "range and range-kind go together");
    if (norm->max_plausible.has && norm->normal > norm->max_plausible.value)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "normal-deg", "above max-plausible-deg");
    if (norm->sd.has && norm->sd.value <= 0)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "sd-deg", "must be above 0");
    if (norm->n.has && norm->n.value < 1)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "n", "must be 1 or more");
    if (norm->age_min < 0 || norm->age_min > norm->age_max)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "age-min", "not below age-max");
    if (norm->role == NORM_SPECIAL && *norm->qualifier == '\0')
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "role", "special needs a qualifier");
    if (norm->unit != norm->motion->unit)
        load_problem(l, DIAG_REFERENCE_FIGURE, node, "unit", "%s, but the motion is in %s",
                     unit_name(norm->unit),
                     norm->motion->unit == UNIT_NONE ? "no unit" : unit_name(norm->motion->unit));
}

/* Everybody is held against the default, so it must not belong to a group of people. */
static bool is_for_anybody(const struct norm *norm)
{
    enum { OLDEST = 120 };
    return norm->sex == SEX_UNKNOWN && norm->side == SIDE_NONE && norm->age_min <= 0 &&
           norm->age_max >= OLDEST && (norm->kind == NORM_HANDBOOK || norm->kind == NORM_LEGAL);
}

void load_check_defaults(struct load *l, const struct tree_node *node, struct motion *motion)
{
    const struct tree_node *row = tree_first(l->tree, node, "normal");
    for (size_t i = 0; i < motion->n_norms; i++, row = tree_next(l->tree, row, "normal")) {
        const struct norm *norm = &motion->norms[i];
        if (norm->role != NORM_DEFAULT)
            continue;
        if (motion->normal != NULL)
            load_problem(l, DIAG_REFERENCE_DEFAULT, row, "role", "a second default for %s %s",
                         motion->joint, motion->motion);
        else if (!is_for_anybody(norm))
            load_problem(l, DIAG_REFERENCE_DEFAULT, row, "role",
                         "a default is for any age, sex and side, from a handbook or a law");
        else
            motion->normal = norm;
    }
    if (motion->rom && motion->normal == NULL)
        load_problem(l, DIAG_REFERENCE_DEFAULT, node, NULL, "no default for %s %s", motion->joint,
                     motion->motion);
    if (!motion->rom && motion->normal != NULL)
        load_problem(l, DIAG_REFERENCE_DEFAULT, node, NULL, "%s %s has no range of motion",
                     motion->joint, motion->motion);
}
