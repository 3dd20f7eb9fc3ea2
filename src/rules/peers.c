/*
 * The people to compare with: a published group of the same age, sex and side, measured the same
 * way. Where several groups fit: the mode of the test before an unspecified one before the other,
 * exact sex before any, the narrower age band, then the rank of sources that the reference states.
 * A z score needs a published SD: a confidence interval of a mean says nothing about one person.
 */
#include "rules/rules_int.h"

/* Those not ranked follow in the order of the tables. */
static size_t rank_of(const struct norm *norm)
{
    size_t rank = norm->source == NULL ? 0 : norm->source->peers_rank;
    return rank > 0 ? rank : SIZE_MAX;
}

/* Groups measured on the dominant hand are not held against a hand known to be the other. */
static bool hand_fits(const struct visit_findings *v, const struct finding *f,
                      const struct norm *norm)
{
    enum side dominant = v->patient->dominant_side;
    return !rules_states(norm->qualifier, "dominant") || dominant == SIDE_NONE ||
           dominant == f->side;
}

static bool fits(const struct visit_findings *v, const struct finding *f, const struct norm *norm)
{
    return norm->role == NORM_STRATUM && norm->unit == f->unit &&
           (norm->sex == SEX_UNKNOWN || norm->sex == v->patient->sex) &&
           (norm->side == SIDE_NONE || norm->side == f->side) && hand_fits(v, f, norm) &&
           rules_age_fits(norm, v->age.value);
}

/* 0 the mode of the test, 1 unspecified, 2 the other. */
static int mode_distance(const struct finding *f, const struct norm *norm)
{
    enum mode own = f->test == TEST_PROM ? MODE_PASSIVE : MODE_ACTIVE;
    if (norm->mode == MODE_UNSPECIFIED)
        return 1;
    return norm->mode == own ? 0 : 2;
}

static bool is_closer(const struct finding *f, const struct norm *a, const struct norm *b)
{
    int mode = mode_distance(f, a) - mode_distance(f, b);
    if (mode != 0)
        return mode < 0;
    int exact = (a->sex != SEX_UNKNOWN) - (b->sex != SEX_UNKNOWN);
    if (exact != 0)
        return exact > 0;
    double width = (a->age_max - a->age_min) - (b->age_max - b->age_min);
    if (width < 0 || width > 0)
        return width < 0;
    return rank_of(a) < rank_of(b);
}

/* The normal row without any profile, which as a rule is the one that was found. */
static const struct norm *usual_of(const struct visit_findings *v, const struct finding *f)
{
    bool is_default = f->normal != NULL && f->normal == f->motion->normal;
    return is_default ? f->normal : rules_usual_normal(v, f);
}

/* The groups of the tables were measured in the usual position of the motion, whatever profile the
 * clinic holds its normal values by. The normal value of an infant is a special row too, but not
 * for its position. */
static bool is_usual_position(const struct visit_findings *v, const struct finding *f)
{
    const struct norm *usual = usual_of(v, f);
    if (usual == NULL || rules_has_flag(f, "normal-other-position"))
        return false;
    enum token kind;
    return usual->role == NORM_DEFAULT ||
           (rules_qualifier_fits(f, v->age, usual->qualifier, &kind) && kind == TOKEN_INFANT);
}

static const struct norm *closest(const struct visit_findings *v, const struct finding *f)
{
    const struct norm *best = NULL;
    for (size_t i = 0; i < f->motion->n_norms; i++) {
        const struct norm *norm = &f->motion->norms[i];
        if (fits(v, f, norm) && (best == NULL || is_closer(f, norm, best)))
            best = norm;
    }
    return best;
}

static void tell_of_child(const struct visit_findings *v, struct finding *f)
{
    if (v->age.value < reference_threshold(v->ref, THRESHOLD_ADULT_AGE) && f->end.has)
        rules_flag(f, "no-child-norm");
}

/* Toes but the great one are held against a row of their own, or none, and have no groups. */
static bool is_of_digit(const struct visit_findings *v, const struct finding *f)
{
    enum token kind = TOKEN_NO;
    const struct norm *usual = usual_of(v, f);
    if (usual == NULL)
        return f->motion->normal != NULL && f->motion->normal->unit == f->unit;
    return rules_qualifier_fits(f, v->age, usual->qualifier, &kind) && kind == TOKEN_DIGIT;
}

static void compare(const struct visit_findings *v, struct finding *f)
{
    f->peers = closest(v, f);
    if (f->peers == NULL) {
        tell_of_child(v, f);
        return;
    }
    if (!f->end.has)
        return;
    if (mode_distance(f, f->peers) == 2)
        rules_flag(f, "peers-other-mode");
    if (!f->peers->sd.has) /* the loader refuses an SD that is not above 0 */
        return;
    f->z = num_of(rules_z(f->end.value, f->peers->normal, f->peers->sd.value));
    f->percentile = num_of(rules_percentile(f->z.value));
}

void rules_peers(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (!rules_is_rom(f) || !v->age.has)
            continue;
        if (is_usual_position(v, f))
            compare(v, f);
        else if (is_of_digit(v, f))
            tell_of_child(v, f);
    }
}
