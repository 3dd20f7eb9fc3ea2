/*
 * Whose normal values a clinic holds readings against. A profile is a list of sources; the first
 * that has a row for the motion, digit and person is used. A row with another zero than the default
 * (finger extension counted as a range past straight) is not: the words for "lacks" and "past
 * straight" would no longer mean what was measured.
 */
#include "rules/rules_int.h"

enum { SOURCES_MAX = 4 };

/* Round handbook figures before the means of a study, and newer editions before older ones. */
static const char *const sources[NORMS_PROFILE_COUNT][SOURCES_MAX] = {
    [NORMS_LEGAL] = {"CFR471_PLATES", "CFR471A_SPINE", "CFR471A_DIGITS", "CFR4150_TMD"},
    [NORMS_AAOS] = {"AAOS_NW", "AAOS1965", "AAOS1994"},
    [NORMS_AMA] = {"AMA_NW5", "AMA5", "AMA_SCR"},
};

bool rules_profile_has(enum norms_profile profile, const struct norm *norm)
{
    if (profile == NORMS_DEFAULT)
        return true;
    for (size_t i = 0; i < SOURCES_MAX && sources[profile][i] != NULL; i++)
        if (str_eq(norm->source->id, sources[profile][i]))
            return true;
    return false;
}

static bool is_for(const struct visit_findings *v, const struct finding *f, const struct norm *norm)
{
    const struct norm *usual = f->motion->normal;
    enum token kind;
    if (norm->role == NORM_STRATUM || norm->side != SIDE_NONE || norm->unit != usual->unit ||
        norm->lower_is_better != usual->lower_is_better ||
        (norm->normal > 0) != (usual->normal > 0) || !rules_norm_fits_person(v, norm) ||
        !rules_qualifier_fits(f, v->age, norm->qualifier, &kind))
        return false;
    return norm->role != NORM_SPECIAL || kind == TOKEN_DIGIT;
}

const struct norm *rules_profile_normal(const struct visit_findings *v, const struct finding *f)
{
    const char *const *wanted = sources[v->clinic->norms];
    for (size_t i = 0; i < SOURCES_MAX && wanted[i] != NULL; i++) {
        for (size_t k = 0; k < f->motion->n_norms; k++) {
            const struct norm *norm = &f->motion->norms[k];
            if (str_eq(norm->source->id, wanted[i]) && is_for(v, f, norm))
                return norm;
        }
    }
    return NULL;
}
