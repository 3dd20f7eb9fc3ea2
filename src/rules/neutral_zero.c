/*
 * Neutral-zero notation of a pair of opposite motions measured the same way on one day: the end of
 * the motion that is written first, then 0, then the end of the other; of the spine left before
 * right. Which comes first is the reference's. A joint that cannot reach 0 has the 0 at the end it
 * is held from: 0-10-120 lacks 10 of straight.
 */
#include "rules/rules_int.h"

#include <string.h>

static bool is_first(const struct finding *f)
{
    const struct notation *n = f->motion->notation;
    if (n == NULL)
        return false;
    return n->place == NOTATION_LEFT_FIRST ? f->side == SIDE_LEFT : n->place == NOTATION_FIRST;
}

static bool is_other_end(const struct finding *first, const struct finding *last)
{
    bool spine = first->motion->notation->place == NOTATION_LEFT_FIRST;
    return first->motion->opposite == last->motion &&
           last->side == (spine ? SIDE_RIGHT : first->side);
}

static bool is_pair(const struct finding *first, const struct finding *last)
{
    return is_other_end(first, last) && first->digit == last->digit && first->test == last->test &&
           rules_is_after(first) == rules_is_after(last) && first->unit == UNIT_DEG &&
           last->unit == UNIT_DEG && last->end.has && rules_position_fit(first, last) != FIT_NO &&
           rules_setup_fit(first, last) != FIT_NO && rules_rater_fit(first, last) != FIT_NO;
}

static const char *text_of(char out[NUM_TEXT_MAX], double value)
{
    num_format(out, value, 1);
    size_t len = strlen(out);
    if (len > 2 && str_eq(out + len - 2, ".0"))
        out[len - 2] = '\0';
    return out;
}

/* NULL where the two contradict: ended before the place where the other motion left it. */
static const char *notation(double first, double last, struct arena *a)
{
    char x[NUM_TEXT_MAX], y[NUM_TEXT_MAX];
    if (rules_over(-first, last))
        return NULL;
    if (num_round(first, 1) < 0)
        return arena_printf(a, "0-%s-%s", text_of(x, -first), text_of(y, last));
    if (num_round(last, 1) < 0)
        return arena_printf(a, "%s-%s-0", text_of(x, first), text_of(y, -last));
    return arena_printf(a, "%s-0-%s", text_of(x, first), text_of(y, last));
}

static void write_pair(struct finding *first, struct finding *last, struct arena *a)
{
    if (first->neutral_zero != NULL || last->neutral_zero != NULL)
        return;
    const char *text = notation(first->end.value, last->end.value, a);
    if (text == NULL) {
        rules_flag(first, "flexion-below-lack");
        rules_flag(last, "flexion-below-lack");
        return;
    }
    first->neutral_zero = last->neutral_zero = text;
}

void rules_neutral_zero(struct visit_findings *v, struct arena *a)
{
    for (int fit = FIT_SAME; fit >= FIT_UNSTATED; fit--) {
        for (size_t i = 0; i < v->n_rows; i++) {
            struct finding *first = &v->rows[i];
            if (!rules_is_rom(first) || !is_first(first) || !first->end.has)
                continue;
            for (size_t k = 0; k < v->n_rows; k++)
                if (is_pair(first, &v->rows[k]) &&
                    (int)rules_position_fit(first, &v->rows[k]) == fit)
                    write_pair(first, &v->rows[k], a);
        }
    }
}
