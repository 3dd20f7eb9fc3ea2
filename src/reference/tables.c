/* The further tables as their users see them. */
#include "reference/reference_int.h"

const struct heel_rises *reference_heel_rises(const struct reference *ref, size_t *n)
{
    *n = ref->n_heel_rises;
    return ref->heel_rises;
}

const struct grade_check *reference_grade_checks(const struct reference *ref, size_t *n)
{
    *n = ref->n_checks;
    return ref->checks;
}

const struct capsular *reference_capsulars(const struct reference *ref, size_t *n)
{
    *n = ref->n_capsulars;
    return ref->capsulars;
}

const struct muscle_length *reference_muscle_lengths(const struct reference *ref, size_t *n)
{
    *n = ref->n_lengths;
    return ref->lengths;
}

const struct tension *reference_tensions(const struct reference *ref, size_t *n)
{
    *n = ref->n_tensions;
    return ref->tensions;
}

const struct tension *reference_tension(const struct reference *ref, const char *id)
{
    for (size_t i = 0; i < ref->n_tensions; i++)
        if (str_eq(ref->tensions[i].id, id))
            return &ref->tensions[i];
    return NULL;
}

const struct myotome *reference_myotomes(const struct reference *ref, size_t *n)
{
    *n = ref->n_myotomes;
    return ref->myotomes;
}

const struct demand *reference_demands(const struct reference *ref, size_t *n)
{
    *n = ref->n_demands;
    return ref->demands;
}

const struct icf_code *reference_icf_codes(const struct reference *ref, size_t *n)
{
    *n = ref->n_icf_codes;
    return ref->icf_codes;
}

const struct force_norm *reference_force_norms(const struct reference *ref, size_t *n)
{
    *n = ref->n_forces;
    return ref->forces;
}

const struct sum_score *reference_sum_scores(const struct reference *ref, size_t *n)
{
    *n = ref->n_sums;
    return ref->sums;
}
