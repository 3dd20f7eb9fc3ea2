/*
 * The qualifier of the ICF (WHO 2001) estimated from the percent missing to normal. The WHO gives
 * whole percents; the unrounded percent is rounded half up to one. What lies within measurement
 * error is no problem, whatever its percent.
 */
#include "rules/rules_int.h"

void rules_icf(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (!f->deficit_percent.has)
            continue;
        bool within = f->error.limit.has && !rules_over(f->deficit.value, f->error.limit.value);
        f->icf = within ? 0 : rules_icf_band(v->ref, f->deficit_percent.value);
    }
}
