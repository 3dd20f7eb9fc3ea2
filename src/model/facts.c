/* What holds of a patient on a given day, where a fact may stand on the visit or on the patient. */
#include "model/model.h"

static const struct visit *visit_on(const struct patient *p, struct date on)
{
    for (size_t i = 0; i < p->n_visits; i++)
        if (date_compare(p->visits[i].date, on) == 0)
            return &p->visits[i];
    return NULL;
}

double model_age_on(const struct patient *p, struct date on, bool *known)
{
    *known = true;
    if (date_is_set(p->birth_date)) {
        *known = date_compare(p->birth_date, on) <= 0;
        return *known ? date_age_years(p->birth_date, on) : 0;
    }
    const struct visit *v = visit_on(p, on);
    if (v != NULL && v->age.has)
        return v->age.value;
    *known = p->age.has;
    return p->age.value;
}

struct num model_body_mass_on(const struct visit *v)
{
    return v->body_mass_kg.has ? v->body_mass_kg : v->patient->body_mass_kg;
}

const char *model_weight_bearing_on(const struct visit *v)
{
    return v->weight_bearing != NULL ? v->weight_bearing : v->patient->weight_bearing;
}

bool model_has_number(enum reading_status status)
{
    return status == READING_MEASURED || status == READING_ESTIMATED;
}

int model_measurement_compare(const struct measurement *a, const struct measurement *b)
{
    if (a->motion != b->motion)
        return a->motion->order < b->motion->order ? -1 : 1;
    if (a->side != b->side)
        return a->side < b->side ? -1 : 1;
    if (a->digit != b->digit)
        return a->digit < b->digit ? -1 : 1;
    if (a->test != b->test)
        return a->test < b->test ? -1 : 1;
    return 0;
}
