/*
 * What rows have in common: flags, values, and how two of them agree in position, set-up and
 * rater, where "not stated" is neither the same nor another.
 */
#include "rules/rules_int.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <string.h>

static enum flag_level level_of(const char *id)
{
    size_t n;
    const struct flag_info *known = rules_flags(&n);
    for (size_t i = 0; i < n; i++)
        if (str_eq(known[i].id, id))
            return known[i].level;
    assert(!"a flag that is not in the table");
    return FLAG_ERROR;
}

void rules_flag(struct finding *f, const char *id)
{
    if (rules_has_flag(f, id))
        return;
    assert(f->n_flags < FLAGS_MAX);
    f->flags[f->n_flags++] = (struct flag){id, level_of(id)};
}

bool rules_has_flag(const struct finding *f, const char *id)
{
    for (int i = 0; i < f->n_flags; i++)
        if (str_eq(f->flags[i].id, id))
            return true;
    return false;
}

bool rules_is_rom(const struct finding *f)
{
    return f->test == TEST_AROM || f->test == TEST_PROM;
}

bool rules_is_after(const struct finding *f)
{
    return f->timing == TIMING_AFTER;
}

bool rules_lower_is_better(const struct finding *f)
{
    const struct norm *normal = f->normal != NULL ? f->normal : f->motion->normal;
    return rules_is_rom(f) && normal != NULL && normal->lower_is_better;
}

bool rules_is_doubtful(const struct finding *f)
{
    return (f->test == TEST_PROM && rules_has_flag(f, "passive-below-active")) ||
           rules_has_flag(f, "taut-beyond-slack") || rules_has_flag(f, "sides-swapped") ||
           rules_has_flag(f, "jump-beyond-other-side");
}

struct num rules_value(const struct finding *f)
{
    if (f->test == TEST_MMT)
        return f->grade == NULL ? num_none() : num_of(f->grade->numeric);
    return f->test == TEST_FORCE ? f->force_n : f->end;
}

bool rules_same_kind(const struct finding *a, const struct finding *b)
{
    return a->motion == b->motion && a->digit == b->digit && a->test == b->test &&
           a->unit == b->unit && rules_is_after(a) == rules_is_after(b) &&
           rules_text_fit(a->muscle, b->muscle) != FIT_NO;
}

enum fit rules_text_fit(const char *a, const char *b)
{
    if (str_is_empty(a) && str_is_empty(b))
        return FIT_SAME;
    if (str_is_empty(a) || str_is_empty(b))
        return FIT_UNSTATED;
    return str_eq_nocase(a, b) ? FIT_SAME : FIT_NO;
}

enum fit rules_position_fit(const struct finding *a, const struct finding *b)
{
    return rules_text_fit(a->position, b->position);
}

static enum fit tool_fit(const struct finding *a, const struct finding *b)
{
    if (a->instrument != INSTRUMENT_UNKNOWN && b->instrument != INSTRUMENT_UNKNOWN)
        return a->instrument == b->instrument ? FIT_SAME : FIT_NO;
    return rules_text_fit(a->tool, b->tool);
}

static enum technique technique_of(const struct finding *f)
{
    for (size_t i = 0; i < f->n_from; i++)
        if (f->from[i]->technique != TECHNIQUE_NONE)
            return f->from[i]->technique;
    return TECHNIQUE_NONE;
}

static enum fit technique_fit(const struct finding *a, const struct finding *b)
{
    enum technique x = technique_of(a), y = technique_of(b);
    if (x == y)
        return FIT_SAME;
    return x == TECHNIQUE_NONE || y == TECHNIQUE_NONE ? FIT_UNSTATED : FIT_NO;
}

static struct num lever_of(const struct finding *f)
{
    for (size_t i = 0; i < f->n_from; i++)
        if (f->from[i]->lever_m.has)
            return f->from[i]->lever_m;
    return num_none();
}

/* Forces compare only at the same lever; half a centimetre is as near as a pad is placed. */
static enum fit lever_fit(const struct finding *a, const struct finding *b)
{
    const double same_m = 0.005;
    struct num x = lever_of(a), y = lever_of(b);
    if (x.has != y.has)
        return FIT_UNSTATED;
    return x.has && rules_over(fabs(x.value - y.value), same_m) ? FIT_NO : FIT_SAME;
}

static enum fit weaker(enum fit a, enum fit b)
{
    return a < b ? a : b;
}

enum fit rules_setup_fit(const struct finding *a, const struct finding *b)
{
    enum fit fit = tool_fit(a, b);
    if (!rules_is_rom(a))
        fit = weaker(fit, technique_fit(a, b));
    if (a->test == TEST_FORCE)
        fit = weaker(fit, lever_fit(a, b));
    return fit;
}

bool rules_one_is_student(enum role a, enum role b)
{
    return a != ROLE_NONE && b != ROLE_NONE && (a == ROLE_STUDENT) != (b == ROLE_STUDENT);
}

enum fit rules_rater_fit(const struct finding *a, const struct finding *b)
{
    if (str_is_empty(a->measured_by) || str_is_empty(b->measured_by))
        return rules_one_is_student(a->role, b->role) ? FIT_NO : FIT_UNSTATED;
    return str_eq_nocase(a->measured_by, b->measured_by) ? FIT_SAME : FIT_NO;
}

/* ---- finding another row ------------------------------------------------------------------- */

bool rules_is_usable(const struct finding *f)
{
    return f->status == READING_MEASURED && !rules_is_after(f) && !f->second_measurer &&
           !f->fixed && !rules_is_doubtful(f);
}

enum side rules_other_side(enum side side)
{
    if (side == SIDE_RIGHT || side == SIDE_LEFT)
        return side == SIDE_RIGHT ? SIDE_LEFT : SIDE_RIGHT;
    return side;
}

static bool has_value(const struct finding *f)
{
    return rules_is_usable(f) && rules_value(f).has;
}

const struct finding *rules_row_of(const struct visit_findings *v, const struct motion *motion,
                                   enum side side, int digit, enum test test)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (r->motion == motion && r->side == side && r->digit == digit && r->test == test &&
            has_value(r))
            return r;
    }
    return NULL;
}

const struct finding *rules_partner(const struct visit_findings *v, const struct finding *f,
                                    enum test test)
{
    const struct finding *best = NULL;
    enum fit best_fit = FIT_NO;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (r == f || r->motion != f->motion || r->side != f->side || r->digit != f->digit ||
            r->test != test || !has_value(r))
            continue;
        bool ranges = rules_is_rom(f) && rules_is_rom(r);
        if (ranges && r->unit != f->unit)
            continue;
        enum fit fit = ranges ? rules_position_fit(f, r) : FIT_UNSTATED;
        if (fit > best_fit) {
            best = r;
            best_fit = fit;
        }
    }
    return best;
}

/* ---- positions and precautions -------------------------------------------------------------- */

bool rules_is_minimised(const struct finding *f)
{
    return rules_states_any(f->position, "gravity minimised;gravity minimized;gravity eliminated;"
                                         "gravity reduced");
}

/* Said in words, or the position of the muscle test where that is not the one without gravity. */
bool rules_is_antigravity(const struct finding *f)
{
    const struct muscle_test *test = f->motion->muscle_test;
    if (rules_is_minimised(f))
        return false;
    if (rules_states_any(f->position, "against gravity;antigravity;anti gravity"))
        return true;
    return test != NULL && test->gravity_rule == GRAVITY_APPLIES &&
           !str_eq(test->position_against_gravity, test->position_gravity_minimized) &&
           rules_states(f->position, test->position_against_gravity);
}

bool rules_is_in_force(const struct limit *l, const struct visit *visit)
{
    return (!date_is_set(l->from) || date_compare(l->from, visit->date) <= 0) &&
           (!date_is_set(l->until) || date_compare(visit->date, l->until) <= 0);
}

static bool is_for(const struct limit *l, const struct finding *f, enum test test)
{
    return (l->test == TEST_NONE || l->test == test) &&
           (l->motion == NULL ||
            (l->motion == f->motion && (l->side == SIDE_NONE || l->side == f->side) &&
             (l->digit == 0 || l->digit == f->digit)));
}

/* A range is forbidden by a limit of range as well, a grade by one of resistance. */
bool rules_is_forbidden(const struct visit_findings *v, const struct finding *f, enum test test)
{
    enum limit_kind own = test == TEST_MMT ? LIMIT_RESISTANCE : LIMIT_RANGE;
    for (size_t i = 0; i < v->patient->n_limits; i++) {
        const struct limit *l = &v->patient->limits[i];
        if ((l->kind == LIMIT_NO_TEST || l->kind == own) && is_for(l, f, test) &&
            rules_is_in_force(l, v->visit))
            return true;
    }
    return false;
}

/* ---- words -------------------------------------------------------------------------------- */

/* Letters, digits and bytes of other scripts make words; all else stands between them. */
static bool is_word_byte(char c)
{
    return isalnum((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* The rest of `text` after one occurrence of the phrase at its very start, or NULL. */
static const char *after_phrase(const char *text, const char *phrase)
{
    while (*phrase != '\0') {
        if (is_word_byte(*phrase)) {
            if (tolower((unsigned char)*text++) != tolower((unsigned char)*phrase++))
                return NULL;
            continue;
        }
        if (*text == '\0' || is_word_byte(*text))
            return NULL;
        while (*text != '\0' && !is_word_byte(*text))
            text++;
        while (*phrase != '\0' && !is_word_byte(*phrase))
            phrase++;
    }
    return text;
}

bool rules_states(const char *text, const char *phrase)
{
    if (text == NULL)
        return false;
    for (const char *s = text; *s != '\0'; s++) {
        if (s > text && is_word_byte(s[-1]))
            continue;
        const char *rest = after_phrase(s, phrase);
        if (rest != NULL && !is_word_byte(*rest))
            return true;
    }
    return false;
}

bool rules_states_any(const char *text, const char *phrases)
{
    char phrase[80];
    while (text != NULL && !str_is_empty(phrases)) {
        size_t len = strcspn(phrases, ";");
        if (len > 0 && len < sizeof phrase) {
            memcpy(phrase, phrases, len);
            phrase[len] = '\0';
            if (rules_states(text, phrase))
                return true;
        }
        phrases += len;
        phrases += *phrases == ';';
    }
    return false;
}
