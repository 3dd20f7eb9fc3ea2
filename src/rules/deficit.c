/*
 * What is missing to the normal value, and whether a motion counts as limited.
 *
 * The normal row is the default of the motion. A special row takes its place where the record
 * states the same position, where the default is for another digit, or for an infant. The choice
 * does not look at side or test, so that one motion is held against one figure.
 */
#include "rules/rules_int.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* ---- qualifiers --------------------------------------------------------------------------- */

/* How the positions of the norms are written in records, each list ended by NULL. */
static const struct {
    const char *token;
    const char *stated[8];
} positions[] = {
    {"arm at side", {"at side", "at the side", "by side", "by the side", "adducted"}},
    {"abducted 90", {"abducted 90", "90 abducted", "90 abduction", "abduction 90", "90 90"}},
    {"prone", {"prone"}},
    {"seated", {"seated", "sitting"}},
    {"supine", {"supine"}},
    /* Prone lying extends the hip and sitting flexes it; supine lying tells neither. */
    {"hip extended", {"prone", "hip extended", "hips extended", "hip straight"}},
    {"hip flexed", {"seated", "sitting", "hip flexed", "hips flexed", "hip 90"}},
};

/* Fingers as norms name them; index finger is digit 2. */
static const char *const fingers[] = {"index finger", "long finger", "ring finger",
                                      "little finger"};

static enum token digit_token(const struct finding *f, const char *token)
{
    int low = 0, high = 0;
    for (size_t i = 0; i < ARRAY_LEN(fingers); i++)
        if (rules_states(token, fingers[i]))
            low = high = (int)i + 2;
    if (rules_states(token, "great toe"))
        low = high = 1;
    if (str_starts(token, "toe ") && isdigit((unsigned char)token[4]))
        low = high = token[4] - '0';
    if (str_starts(token, "toes ") && isdigit((unsigned char)token[5]) && token[6] == '-') {
        low = token[5] - '0';
        high = token[7] - '0';
    }
    static const char *const joints[] = {"PIP", "DIP"};
    for (size_t i = 0; i < ARRAY_LEN(joints); i++)
        if (rules_states(token, joints[i]) && !rules_states(f->position, joints[i]))
            return TOKEN_NO;
    return low > 0 && f->digit >= low && f->digit <= high ? TOKEN_DIGIT : TOKEN_NO;
}

static bool is_digit_token(const char *token)
{
    return rules_states(token, "finger") || rules_states(token, "toe") ||
           rules_states(token, "toes");
}

/* A token without what it says about itself: "arm at side (from memory)" is "arm at side". Longer
 * than any position it is none. */
static void bare(char *out, size_t size, const char *token)
{
    size_t len = strcspn(token, "(:");
    while (len > 0 && token[len - 1] == ' ')
        len--;
    if (len >= size)
        len = 0;
    memcpy(out, token, len);
    out[len] = '\0';
}

enum token rules_token_fits(const struct finding *f, struct num age, const char *token)
{
    char word[80];
    bare(word, sizeof word, token);
    if (rules_states(word, "newborn") || rules_states(word, "infants"))
        return age.has ? TOKEN_INFANT : TOKEN_NO; /* which age, the row's own bounds say */
    if (is_digit_token(word))
        return digit_token(f, word);
    for (size_t i = 0; i < ARRAY_LEN(positions); i++) {
        if (!str_eq_nocase(word, positions[i].token))
            continue;
        for (size_t k = 0; positions[i].stated[k] != NULL; k++)
            if (rules_states(f->position, positions[i].stated[k]))
                return TOKEN_POSITION;
        return TOKEN_NO;
    }
    return word[0] != '\0' && rules_states(f->position, word) ? TOKEN_POSITION : TOKEN_NO;
}

bool rules_qualifier_fits(const struct finding *f, struct num age, const char *qualifier,
                          enum token *kind)
{
    *kind = TOKEN_NO;
    while (!str_is_empty(qualifier)) {
        qualifier += strspn(qualifier, "; ");
        size_t len = strcspn(qualifier, ";");
        char token[80];
        if (len == 0)
            break;
        if (len >= sizeof token)
            return false;
        memcpy(token, qualifier, len);
        token[len] = '\0';
        enum token found = rules_token_fits(f, age, token);
        if (found == TOKEN_NO)
            return false;
        if (*kind == TOKEN_NO || found < *kind)
            *kind = found;
        qualifier += len;
    }
    return true;
}

/* ---- the normal row ----------------------------------------------------------------------- */

bool rules_age_fits(const struct norm *norm, double age)
{
    /* Bands of infants are literal; a band of years runs to the next birthday after its end. */
    bool infant = norm->age_max < 1;
    return age >= norm->age_min && (infant ? age <= norm->age_max : age < norm->age_max + 1);
}

bool rules_norm_fits_person(const struct visit_findings *v, const struct norm *norm)
{
    bool any_age = norm->age_min <= 0 && norm->age_max >= 120;
    if (norm->sex != SEX_UNKNOWN && norm->sex != v->patient->sex)
        return false;
    return any_age || (v->age.has && rules_age_fits(norm, v->age.value));
}

/* Positive when a suits better: exact sex, narrower ages, the source of the default, more people.
 * Rows that tie keep the order of the tables. */
static double better(const struct norm *a, const struct norm *b, const struct norm *usual)
{
    int exact = (a->sex != SEX_UNKNOWN) - (b->sex != SEX_UNKNOWN);
    if (exact != 0)
        return exact;
    double narrower = (b->age_max - b->age_min) - (a->age_max - a->age_min);
    if (narrower < 0 || narrower > 0)
        return narrower;
    int same = (a->source == usual->source) - (b->source == usual->source);
    if (same != 0)
        return same;
    return a->n.value - b->n.value; /* a study that does not say how many counts as none */
}

static const struct norm *special(const struct visit_findings *v, const struct finding *f,
                                  enum token wanted)
{
    const struct norm *best = NULL;
    for (size_t i = 0; i < f->motion->n_norms; i++) {
        const struct norm *norm = &f->motion->norms[i];
        enum token kind;
        if (norm->role != NORM_SPECIAL || norm->side != SIDE_NONE || norm->unit != f->unit ||
            !rules_norm_fits_person(v, norm) ||
            !rules_qualifier_fits(f, v->age, norm->qualifier, &kind) || kind != wanted)
            continue;
        if (best == NULL || better(norm, best, f->motion->normal) > 0)
            best = norm;
    }
    return best;
}

/* What goes before any profile: a position that the record states, and an infant's age. */
static const struct norm *of_its_own(const struct visit_findings *v, const struct finding *f)
{
    const struct norm *found = special(v, f, TOKEN_POSITION);
    return found != NULL ? found : special(v, f, TOKEN_INFANT);
}

static bool has_usual(const struct finding *f)
{
    return rules_is_rom(f) && f->motion->normal != NULL && f->motion->normal->unit == f->unit;
}

const struct norm *rules_usual_normal(const struct visit_findings *v, const struct finding *f)
{
    enum token kind;
    if (!has_usual(f))
        return NULL;
    const struct norm *found = of_its_own(v, f);
    if (found != NULL)
        return found;
    if (rules_qualifier_fits(f, v->age, f->motion->normal->qualifier, &kind))
        return f->motion->normal;
    return special(v, f, TOKEN_DIGIT);
}

const struct norm *rules_normal(const struct visit_findings *v, const struct finding *f)
{
    if (!has_usual(f))
        return NULL;
    const struct norm *found = of_its_own(v, f);
    if (found == NULL)
        found = rules_profile_normal(v, f);
    return found != NULL ? found : rules_usual_normal(v, f);
}

/* Shoulder rotations are one case: their usual figures are for an arm abducted 90. Hip flexion with
 * the knee straight is the other: the hamstrings end it long before the joint does. */
bool rules_position_has_normal(const struct finding *f, const struct norm *normal)
{
    enum token kind;
    bool depends = false;
    if (rules_is_taut(f) && f->motion->muscle_length->normal_is_slack)
        return false;
    for (size_t i = 0; i < f->motion->n_norms; i++) {
        const char *qualifier = f->motion->norms[i].qualifier;
        depends |= rules_states(qualifier, "abducted 90") || rules_states(qualifier, "arm at side");
    }
    if (!depends || rules_token_fits(f, num_none(), "arm at side") != TOKEN_POSITION)
        return true;
    return normal->role == NORM_SPECIAL &&
           rules_qualifier_fits(f, num_none(), normal->qualifier, &kind);
}

static bool is_other_mode(const struct norm *normal, enum test test)
{
    enum mode own = test == TEST_PROM ? MODE_PASSIVE : MODE_ACTIVE;
    return normal->role == NORM_SPECIAL && normal->mode != MODE_UNSPECIFIED && normal->mode != own;
}

static void hold_against(struct finding *f)
{
    double normal = f->normal->normal;
    double missing = f->normal->lower_is_better ? f->end.value - normal : normal - f->end.value;
    f->deficit = num_of(fmax(missing, 0));
    if (normal > 0)
        f->deficit_percent = num_of(100 * f->deficit.value / normal);
}

void rules_deficit(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        f->normal = rules_normal(v, f);
        if (f->normal == NULL) {
            if (has_usual(f))
                rules_flag(f, "no-normal-for-digit");
            continue;
        }
        if (!rules_position_has_normal(f, f->normal))
            rules_flag(f, "normal-other-position");
        if (!rules_profile_has(v->clinic->norms, f->normal))
            rules_flag(f, "normal-not-of-profile");
        if (is_other_mode(f->normal, f->test))
            rules_flag(f, "normal-other-mode");
        if (f->end.has)
            hold_against(f);
    }
}

/* ---- limited ------------------------------------------------------------------------------ */

/* By percent as the ICF has it, in degrees where there is none. */
static bool is_moderate(const struct visit_findings *v, const struct finding *f)
{
    if (f->deficit_percent.has)
        return rules_at_least(f->deficit_percent.value,
                              reference_threshold(v->ref, THRESHOLD_ICF_MODERATE));
    return rules_at_least(f->deficit.value,
                          reference_threshold(v->ref, THRESHOLD_LOSS_MODERATE));
}

bool rules_is_below_other_side(const struct finding *f)
{
    if (f->side_beyond_error != TRI_YES)
        return false;
    return rules_lower_is_better(f) ? f->side_difference.value > 0 : f->side_difference.value < 0;
}

static bool is_low_among_peers(const struct visit_findings *v, const struct finding *f)
{
    double below = rules_lower_is_better(f) ? f->z.value : -f->z.value;
    return f->z.has && rules_at_least(below, reference_threshold(v->ref, THRESHOLD_LIMITED_Z));
}

/* A child of whose age nothing is on file, held against the normal value of an adult. */
static bool is_child_by_adults(const struct visit_findings *v, const struct finding *f)
{
    return rules_has_flag(f, "no-child-norm") &&
           f->normal->age_max >= reference_threshold(v->ref, THRESHOLD_ADULT_AGE);
}

static enum limited judge(const struct visit_findings *v, const struct finding *f)
{
    if (!f->deficit.has)
        return LIMITED_UNKNOWN;
    if (f->deficit.value <= 0)
        return LIMITED_NO;
    if (!f->error.limit.has || !rules_over(f->deficit.value, f->error.limit.value))
        return LIMITED_BELOW_HANDBOOK;
    if (rules_is_below_other_side(f))
        return LIMITED_YES;
    /* A figure for another position or another age cannot carry a verdict on its own. */
    if (rules_has_flag(f, "normal-other-position") || is_child_by_adults(v, f))
        return LIMITED_BELOW_HANDBOOK;
    if (f->z.has)
        return is_low_among_peers(v, f) ? LIMITED_YES : LIMITED_BELOW_HANDBOOK;
    if (is_moderate(v, f) || !f->other_value.has)
        return LIMITED_YES;
    return LIMITED_BELOW_HANDBOOK;
}

void rules_limited(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++)
        v->rows[i].limited = judge(v, &v->rows[i]);
}
