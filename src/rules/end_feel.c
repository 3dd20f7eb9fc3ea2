/*
 * What was felt at the end of a passive motion, held against what the reference expects there.
 * An empty end feel is never expected: pain stopped the motion before any resistance.
 */
#include "rules/rules_int.h"

bool rules_end_feel_expected(const struct finding *f)
{
    const struct goniometry *usual = f->motion->goniometry;
    if (usual == NULL || usual->end_feel == END_FEEL_NONE)
        return f->end_feel != END_FEEL_EMPTY;
    return f->end_feel == usual->end_feel || (usual->end_feel_also & (1u << f->end_feel)) != 0;
}

void rules_end_feel(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (f->end_feel == END_FEEL_NONE || !rules_is_rom(f))
            continue;
        if (!rules_end_feel_expected(f))
            rules_flag(f, "end-feel-unexpected");
        if (f->end_feel == END_FEEL_EMPTY)
            rules_flag(f, "end-feel-empty");
    }
}
