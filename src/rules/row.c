/*
 * What rows have in common: flags, values, and how two of them agree in position, set-up and
 * rater, where "not stated" is neither the same nor another.
 */
#include "rules/rules_int.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>

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
    return f->test == TEST_PROM && rules_has_flag(f, "passive-below-active");
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

enum fit rules_rater_fit(const struct finding *a, const struct finding *b)
{
    if (str_is_empty(a->measured_by) || str_is_empty(b->measured_by))
        return FIT_UNSTATED;
    return str_eq_nocase(a->measured_by, b->measured_by) ? FIT_SAME : FIT_NO;
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
