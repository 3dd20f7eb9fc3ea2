/*
 * Compensations: those that were recorded, and those worth watching for when a limited motion is
 * measured again. What was recorded is never guessed at: a text is an id of the reference or it
 * stays as typed.
 */
#include "rules/rules_int.h"

#include <math.h>
#include <string.h>

/* ---- seen --------------------------------------------------------------------------------- */

static bool is_for_test(const struct compensation *c, const struct finding *f)
{
    return rules_is_rom(f) ? c->in_rom : c->in_mmt;
}

/* An id, or the same words with spaces for its hyphens. A motion may describe one id for motion
 * and for strength apart. */
static const struct compensation *known(const struct finding *f, const char *text)
{
    const struct compensation *found = NULL;
    for (size_t i = 0; i < f->motion->n_compensations; i++) {
        const struct compensation *c = &f->motion->compensations[i];
        if (strlen(c->id) != strlen(text) || !rules_states(text, c->id))
            continue;
        if (is_for_test(c, f))
            return c;
        if (found == NULL)
            found = c;
    }
    return found;
}

static void add_seen(struct finding *f, const char *text)
{
    const struct compensation *c = known(f, text);
    for (int i = 0; i < f->n_seen; i++)
        if (c != NULL ? f->seen[i] == c
                      : f->seen_text[i] != NULL && str_eq_nocase(f->seen_text[i], text))
            return;
    if (f->n_seen == SEEN_MAX) {
        rules_flag(f, "more-compensations-than-listed");
        return;
    }
    f->seen[f->n_seen] = c;
    f->seen_text[f->n_seen] = c == NULL ? text : NULL;
    f->n_seen++;
}

static void take_seen(struct finding *f)
{
    for (size_t i = 0; i < f->n_from; i++)
        for (int k = 0; k < f->from[i]->n_compensations; k++)
            if (!str_is_empty(f->from[i]->compensations[k]))
                add_seen(f, f->from[i]->compensations[k]);
}

/* ---- likely ------------------------------------------------------------------------------- */

/* What there is to compensate for: a loss of range, in a strength row also a weak grade. */
struct need {
    double deficit;
    bool weak, pain;
};

static struct num lost_range(const struct visit_findings *v, const struct finding *f)
{
    struct num most = num_none();
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (rules_is_rom(r) && r->motion == f->motion && r->side == f->side &&
            r->digit == f->digit && rules_is_after(r) == rules_is_after(f) &&
            r->limited == LIMITED_YES)
            most = num_of(fmax(most.value, r->deficit.value));
    }
    return most;
}

static bool need_of(const struct visit_findings *v, const struct finding *f, struct need *need)
{
    struct num own = f->limited == LIMITED_YES ? f->deficit : num_none();
    struct num lost = rules_is_rom(f) ? own : lost_range(v, f);
    if (!lost.has)
        return false;
    *need = (struct need){.deficit = lost.value, .pain = f->pain};
    if (!rules_is_rom(f))
        need->weak = f->grade != NULL && !rules_is_full_grade(v, f->grade);
    return true;
}

/* How well one fits, 0 for not at all: what triggers it is there, and the loss is as large as the
 * one it is usual from. */
static int score(const struct finding *f, const struct compensation *c, const struct need *need)
{
    if (!is_for_test(c, f))
        return 0;
    bool main_trigger = rules_is_rom(f) ? c->trigger_limited : c->trigger_weak && need->weak;
    bool painful = c->trigger_painful && need->pain;
    if (!main_trigger && !painful)
        return 0;
    if (c->typical_deficit.has && !rules_at_least(need->deficit, c->typical_deficit.value))
        return 0;
    return 4 * main_trigger + 2 * painful + c->typical_deficit.has;
}

static bool is_listed(const struct finding *f, const struct compensation *c)
{
    for (int i = 0; i < f->n_seen; i++)
        if (f->seen[i] != NULL && str_eq(f->seen[i]->id, c->id))
            return true;
    for (int i = 0; i < f->n_likely; i++)
        if (str_eq(f->likely[i]->id, c->id))
            return true;
    return false;
}

static void take_likely(struct finding *f, const struct need *need)
{
    while (f->n_likely < LIKELY_MAX) {
        const struct compensation *best = NULL;
        int best_score = 0;
        for (size_t i = 0; i < f->motion->n_compensations; i++) {
            const struct compensation *c = &f->motion->compensations[i];
            int fits = is_listed(f, c) ? 0 : score(f, c, need);
            if (fits > best_score) {
                best = c;
                best_score = fits;
            }
        }
        if (best == NULL)
            return;
        f->likely[f->n_likely++] = best;
    }
}

void rules_compensation(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++)
        take_seen(&v->rows[i]);
    for (size_t i = 0; i < v->n_rows; i++) {
        struct need need;
        if (need_of(v, &v->rows[i], &need))
            take_likely(&v->rows[i], &need);
    }
}
