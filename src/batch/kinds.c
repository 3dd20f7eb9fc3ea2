/* Which kinds of report a visit gets when none was asked for: by the kind of the visit, and a
 * letter only where there is someone to write to. */
#include "batch/batch_int.h"

#include <string.h>

static const char *const defaults[] = {"chart", "letter", "progress", "discharge"};

const char *const *kinds_by_default(size_t *n)
{
    *n = ARRAY_LEN(defaults);
    return defaults;
}

bool kinds_is_chart(const char *kind)
{
    return strcmp(kind, defaults[0]) == 0;
}

/* The last one lists free text, where that was asked for. */
const char *const *kinds_of_handout(bool with_notes, size_t *n)
{
    static const char *const kinds[] = {"handout-student", "handout-key", "handout-stage",
                                        "handout-review"};
    *n = ARRAY_LEN(kinds) - !with_notes;
    return kinds;
}

bool kinds_has_reader(const struct patient *p)
{
    return !str_is_empty(p->referrer);
}

/* The report for the record: a summary, unless the visit reports progress or ends the episode. */
static const char *record_of(enum visit_kind kind)
{
    switch (kind) {
    case VISIT_PROGRESS:
        return "progress";
    case VISIT_DISCHARGE:
        return "discharge";
    default:
        return "chart";
    }
}

bool kinds_is_due(const struct batch_options *o, const char *kind, const struct visit *v)
{
    if (o->n_kinds > 0)
        return true;
    if (strcmp(kind, "letter") == 0)
        return kinds_has_reader(v->patient);
    return strcmp(kind, record_of(v->kind)) == 0;
}
