/*
 * Passive motion is at least as large as active motion. A passive reading that falls short of the
 * active one of the same day by more than readings of one visit differ is in doubt, and which of
 * the two is wrong cannot be told: both are flagged, and the passive one is not used to judge
 * change.
 */
#include "rules/rules_int.h"

static bool is_pair(const struct finding *active, const struct finding *passive)
{
    return active->test == TEST_AROM && passive->test == TEST_PROM &&
           active->motion == passive->motion && active->side == passive->side &&
           active->digit == passive->digit && active->unit == passive->unit &&
           rules_is_after(active) == rules_is_after(passive) &&
           rules_position_fit(active, passive) != FIT_NO && !active->second_measurer &&
           !passive->second_measurer && active->end.has && passive->end.has;
}

static double shortfall(const struct finding *active, const struct finding *passive)
{
    const struct norm *normal = active->motion->normal;
    double by = active->end.value - passive->end.value;
    return normal != NULL && normal->lower_is_better ? -by : by;
}

void rules_passive(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *active = &v->rows[i];
        /* Rows of one motion and side stand together. */
        for (size_t k = i + 1; k < v->n_rows && v->rows[k].motion == active->motion; k++) {
            struct finding *passive = &v->rows[k];
            if (active->unit != UNIT_DEG || !is_pair(active, passive) ||
                !rules_over(shortfall(active, passive), v->clinic->tolerance_deg))
                continue;
            rules_flag(active, "passive-below-active");
            rules_flag(passive, "passive-below-active");
        }
    }
}
