/*
 * Forces: torque about the joint, and people to compare with. Only a norm with a published SD
 * judges a person; an interval of a mean or a quartile of a group never does. The groups are
 * small, so the person counts as one more draw from them (Crawford and Howell 1998).
 *
 * The limb symmetry index, this side in percent of the other, is that of side.c.
 */
#include "rules/rules_int.h"

#include <math.h>

/* The mean torque of all tries; unknown where the lever of any is. */
void rules_torque(struct finding *f, const struct visit *visit)
{
    double sum = 0;
    int n = 0;
    for (size_t i = 0; i < f->n_from; i++) {
        const struct measurement *m = f->from[i];
        if (!model_has_number(m->status))
            continue;
        if (!m->lever_m.has)
            return;
        sum += m->n_tries * m->force_n.value * m->lever_m.value;
        n += m->n_tries;
    }
    f->torque_nm = num_of(sum / n);
    struct num mass = model_body_mass_on(visit);
    if (mass.has && mass.value > 0)
        f->torque_nm_per_kg = num_of(f->torque_nm.value / mass.value);
}

/* Exact by definition; 0 for a unit that is no force. */
static double newtons(enum unit unit)
{
    const double n_per_lbf = 4.4482216152605, n_per_kgf = 9.80665;
    if (unit == UNIT_N)
        return 1;
    return unit == UNIT_LBF ? n_per_lbf : unit == UNIT_KGF ? n_per_kgf : 0;
}

static bool age_fits(const struct force_norm *norm, struct num age)
{
    if (!norm->age_min.has && !norm->age_max.has)
        return true;
    return age.has && (!norm->age_min.has || age.value >= norm->age_min.value) &&
           (!norm->age_max.has || age.value < norm->age_max.value + 1);
}

static bool fits(const struct visit_findings *v, const struct finding *f,
                 const struct force_norm *norm)
{
    return norm->sd.has && norm->mean.has && newtons(norm->unit) > 0 &&
           (norm->motion == NULL || norm->motion == f->motion) &&
           (str_is_empty(norm->muscle) || rules_states(f->muscle, norm->muscle)) &&
           (!norm->tries.has || norm->tries.value == f->n_tries) &&
           (norm->sex == SEX_UNKNOWN || norm->sex == v->patient->sex) &&
           (norm->side == SIDE_NONE || norm->side == f->side) && age_fits(norm, v->age);
}

/* People in the group: as published, else worked back from the standard error of the mean. */
static struct num group_size(const struct force_norm *norm)
{
    if (norm->n.has || !norm->se.has)
        return norm->n;
    return num_of(round(pow(norm->sd.value / norm->se.value, 2)));
}

/* z of a small group carries the error of its mean as well. What percentile that is depends on the
 * size too, so none is given for it. */
static void judge(struct finding *f, const struct force_norm *norm)
{
    double unit = newtons(norm->unit);
    f->force_norm = norm;
    f->force_mean_n = num_of(norm->mean.value * unit);
    f->force_sd_n = num_of(norm->sd.value * unit);
    if (f->status != READING_MEASURED || !f->force_n.has)
        return;
    struct num n = group_size(norm);
    double spread = f->force_sd_n.value;
    if (n.has && n.value >= 1)
        spread *= sqrt((n.value + 1) / n.value);
    f->z = num_of(rules_z(f->force_n.value, f->force_mean_n.value, spread));
    if (!n.has)
        f->percentile = num_of(rules_percentile(f->z.value));
}

void rules_force(struct visit_findings *v, struct arena *a)
{
    (void)a;
    size_t n;
    const struct force_norm *norms = reference_force_norms(v->ref, &n);
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        for (size_t k = 0; f->test == TEST_FORCE && f->force_norm == NULL && k < n; k++)
            if (fits(v, f, &norms[k]))
                judge(f, &norms[k]);
    }
}
