/*
 * Sum scores of manual grades, only where the visit declares their protocol: grades of an ordinary
 * examination are not added up. A sum stands only when it is complete; what is not tested is never
 * counted as 0. Plus and minus steps are dropped as the table of grades says. A cut-off speaks only
 * of the people it was found in, as the diagnosis names them.
 */
#include "rules/rules_int.h"

#include <stdlib.h>

static bool is_declared(const struct visit_findings *v, const struct sum_score *s)
{
    return !str_is_empty(s->protocol) && rules_states(v->visit->protocol, s->protocol);
}

/* ---- one item -----------------------------------------------------------------------------------
 */

static bool is_of(const struct finding *f, const struct sum_item *item, enum side side)
{
    return f->test == TEST_MMT && f->motion == item->motion && f->side == side &&
           (item->digit == 0 || f->digit == item->digit) && !rules_is_after(f) &&
           !f->second_measurer;
}

static bool counts(const struct sum_score *s, const struct finding *f)
{
    return f->grade != NULL && rules_is_usable(f) && !rules_states_any(f->position, s->not_in);
}

static struct num whole_grade(const struct sum_score *s, const struct grade *g)
{
    if (s->grades == SUM_KENDALL) {
        double value;
        size_t len = 0;
        while (g->kendall[len] != '\0')
            len++;
        return num_parse(g->kendall, len, &value) ? num_of(value) : num_none();
    }
    return s->grades == SUM_MRC ? g->mrc : g->isncsci;
}

/* The row an item is scored by; NULL without one, and where two grades of it differ. */
static struct finding *row_of(struct visit_findings *v, const struct sum_score *s,
                              const struct sum_item *item, enum side side)
{
    struct finding *found = NULL;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (!is_of(f, item, side) || !counts(s, f))
            continue;
        if (found != NULL && found->grade != f->grade)
            return NULL;
        if (found == NULL)
            found = f;
    }
    return found;
}

/* ---- one score
 * ----------------------------------------------------------------------------------- */

static bool has_step(const struct grade *g)
{
    return g->text[0] != '\0' && g->text[1] != '\0';
}

struct adding {
    struct visit_findings *v;
    struct score *score;
    struct score_gap *gaps;
    struct finding **rows; /* those that were added */
    size_t n_rows;
};

static struct num add_side(struct adding *ad, enum side side)
{
    const struct sum_score *s = ad->score->sum;
    double sum = 0;
    size_t before = ad->score->n_gaps;
    for (size_t i = 0; i < s->n_items; i++) {
        struct finding *f = row_of(ad->v, s, &s->items[i], side);
        struct num grade = f == NULL ? num_none() : whole_grade(s, f->grade);
        if (!grade.has) {
            ad->gaps[ad->score->n_gaps++] = (struct score_gap){&s->items[i], side};
            continue;
        }
        sum += grade.value;
        ad->rows[ad->n_rows++] = f;
    }
    return ad->score->n_gaps == before ? num_of(sum) : num_none();
}

/* A score of two sides: each side where it is complete, if the protocol reports sides. */
static void settle(struct score *x, struct num right, struct num left)
{
    bool whole = right.has && left.has;
    if (whole)
        x->total = num_of(right.value + left.value);
    if (whole || x->sum->by_side) {
        x->right = right;
        x->left = left;
    }
}

static bool is_reached(const struct cut_off *c, double total)
{
    switch (c->compare) {
    case CUT_BELOW:
        return total < c->value;
    case CUT_AT_MOST:
        return total <= c->value;
    case CUT_AT_LEAST:
        return total >= c->value;
    }
    return false;
}

static void hold_against(const struct visit_findings *v, struct score *x, struct arena *a)
{
    const struct sum_score *s = x->sum;
    x->reached = arena_alloc(a, (s->n_cut_offs + 1) * sizeof *x->reached);
    for (size_t i = 0; x->total.has && i < s->n_cut_offs; i++)
        if (rules_states_any(v->patient->diagnosis, s->cut_offs[i].population) &&
            is_reached(&s->cut_offs[i], x->total.value))
            x->reached[x->n_reached++] = &s->cut_offs[i];
}

/* Steps are dropped only where the grade is part of a sum that stands. */
static void mark_steps(struct adding *ad)
{
    const struct score *x = ad->score;
    for (size_t i = 0; i < ad->n_rows; i++) {
        struct finding *f = ad->rows[i];
        bool stands = x->total.has || (f->side == SIDE_RIGHT ? x->right.has : x->left.has);
        if (!stands || !has_step(f->grade))
            continue;
        ad->score->whole_grades = true;
        rules_flag(f, "whole-grades-in-sums");
    }
}

static bool is_whole(const struct visit_findings *v, const char *id)
{
    for (size_t i = 0; i < v->n_scores; i++)
        if (str_eq(v->scores[i].sum->id, id))
            return v->scores[i].total.has;
    return false;
}

/* Told are sums that stand, and those of which something was graded, with what they lack. A score
 * that stands in for another is told only in its place, and whole. */
static bool is_told(const struct visit_findings *v, const struct score *x, size_t n_rows)
{
    if (!str_is_empty(x->sum->instead_of))
        return x->total.has && !is_whole(v, x->sum->instead_of);
    return n_rows > 0;
}

void rules_score(struct visit_findings *v, struct arena *a)
{
    size_t n;
    const struct sum_score *sums = reference_sum_scores(v->ref, &n);
    v->scores = arena_alloc(a, (n + 1) * sizeof *v->scores);
    for (size_t i = 0; i < n; i++) {
        const struct sum_score *s = &sums[i];
        if (!is_declared(v, s))
            continue;
        struct score x = {.sum = s};
        struct adding ad = {.v = v, .score = &x};
        ad.gaps = arena_alloc(a, 2 * s->n_items * sizeof *ad.gaps);
        ad.rows = arena_alloc(a, 2 * s->n_items * sizeof *ad.rows);
        struct num right = add_side(&ad, SIDE_RIGHT);
        struct num left = add_side(&ad, SIDE_LEFT);
        settle(&x, right, left);
        if (!is_told(v, &x, ad.n_rows))
            continue;
        x.gaps = ad.gaps;
        hold_against(v, &x, a);
        mark_steps(&ad);
        v->scores[v->n_scores++] = x;
    }
}
