/*
 * Goals: where a reading stands between the baseline and the target, and whether it is where the
 * straight line between the two puts it on that day. The change is the one since the baseline, held
 * against measurement error as every change is; the words come in a fixed order, first that holds.
 *
 * A goal set after the visit does not exist yet. The baseline is the one given, else the first
 * usable value on or after the day the goal was set, that of this visit included.
 */
#include "rules/rules_int.h"

#include <math.h>

/* ---- readings of a goal --------------------------------------------------------------------- */

static enum unit unit_of(const struct goal *g)
{
    if (g->test == TEST_MMT)
        return UNIT_NONE;
    return g->test == TEST_FORCE ? UNIT_N : g->motion->unit;
}

static bool is_of(const struct goal *g, const struct finding *f)
{
    return f->motion == g->motion && f->side == g->side && f->digit == g->digit &&
           f->test == g->test && f->unit == unit_of(g) && !rules_is_after(f) && !f->second_measurer;
}

static bool is_usable(const struct goal *g, const struct finding *f)
{
    return is_of(g, f) && rules_value(f).has && !rules_is_doubtful(f);
}

/* The visits up to this one, oldest first. */
static const struct visit_findings *visit_at(const struct visit_findings *v, size_t i)
{
    return i < v->n_earlier ? v->earlier[v->n_earlier - 1 - i] : v;
}

static const struct finding *first_usable(const struct visit_findings *v, const struct goal *g)
{
    for (size_t i = 0; i < v->n_rows; i++)
        if (is_usable(g, &v->rows[i]))
            return &v->rows[i];
    return NULL;
}

/* The first visit on or after the day the goal was set that has a usable value. */
static const struct visit_findings *first_visit(const struct visit_findings *v,
                                                const struct goal *g)
{
    for (size_t i = 0; i <= v->n_earlier; i++) {
        const struct visit_findings *visit = visit_at(v, i);
        if (date_compare(visit->visit->date, g->set_on) >= 0 && first_usable(visit, g) != NULL)
            return visit;
    }
    return NULL;
}

static bool is_comparable(const struct finding *now, const struct finding *then)
{
    return rules_position_fit(now, then) != FIT_NO && rules_setup_fit(now, then) != FIT_NO &&
           rules_text_fit(now->muscle, then->muscle) != FIT_NO;
}

static int closeness(const struct finding *now, const struct finding *then)
{
    return 16 * is_comparable(now, then) + 4 * (int)rules_position_fit(now, then) +
           (int)rules_setup_fit(now, then) + (int)rules_text_fit(now->muscle, then->muscle);
}

struct pair {
    struct finding *now;
    const struct finding *then;
};

/* Of the readings now and then, the two that were taken most alike; of one visit, a reading and
 * itself. */
static struct pair alike(struct visit_findings *v, const struct goal *g,
                         const struct visit_findings *first)
{
    struct pair best = {NULL, NULL};
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *now = &v->rows[i];
        for (size_t k = 0; is_usable(g, now) && k < first->n_rows; k++) {
            const struct finding *then = &first->rows[k];
            if (!is_usable(g, then))
                continue;
            if (best.now == NULL || closeness(now, then) > closeness(best.now, best.then))
                best = (struct pair){now, then};
        }
    }
    return best;
}

/* A row that holds no value to judge: one in doubt before one without a number; NULL when none. */
static struct finding *unusable(struct visit_findings *v, const struct goal *g)
{
    struct finding *found = NULL;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (is_of(g, f) && (found == NULL || (!rules_value(found).has && rules_value(f).has)))
            found = f;
    }
    return found;
}

/* ---- figures -------------------------------------------------------------------------------- */

/* 1 where more is towards the target. The motion says so, unless a baseline that was given lies on
 * the other side of the target. */
static double direction(const struct goal *g)
{
    const struct norm *normal = g->motion->normal;
    bool range = g->test == TEST_AROM || g->test == TEST_PROM;
    double towards = range && normal != NULL && normal->lower_is_better ? -1 : 1;
    bool past = g->baseline.has &&
                rules_over(towards * g->baseline.value, towards * g->value.value);
    return past ? -towards : towards;
}

static bool runs_back(const struct goal *g)
{
    struct goal plain = *g;
    plain.baseline = num_none();
    return direction(g) * direction(&plain) < 0;
}

static void take_baseline(struct goal_finding *gf, const struct visit_findings *first,
                          const struct finding *then)
{
    gf->baseline = gf->goal->baseline;
    gf->baseline_date = gf->goal->set_on;
    if (gf->baseline.has || then == NULL)
        return;
    gf->baseline = rules_value(then);
    gf->baseline_grade = then->grade;
    gf->baseline_date = first->visit->date;
}

/* Where the straight line is today. None without a due date or a first day. */
static struct num expected(const struct goal_finding *gf, struct date today)
{
    struct date from = gf->baseline_date, due = gf->goal->due;
    if (!gf->baseline.has || !date_is_set(from) || !date_is_set(due))
        return num_none();
    double whole = (double)(date_days(due) - date_days(from));
    double gone = (double)(date_days(today) - date_days(from));
    double share = whole > 0 ? fmin(gone / whole, 1) : 1;
    return num_of(gf->baseline.value + share * (gf->target.value - gf->baseline.value));
}

static void measure(struct goal_finding *gf, const struct finding *now, struct date today)
{
    double towards = direction(gf->goal), value = rules_value(now).value;
    double whole = gf->target.value - gf->baseline.value;
    gf->gained = num_of(towards * (value - gf->baseline.value));
    gf->remaining = num_of(fmax(towards * (gf->target.value - value), 0));
    if (fabs(whole) > 0)
        gf->percent = num_of(100 * (value - gf->baseline.value) / whole);
    gf->expected = expected(gf, today);
}

/* ---- words ---------------------------------------------------------------------------------- */

/* How the change since the baseline stands to measurement error. */
static enum verdict judge(const struct visit_findings *v, const struct goal_finding *gf,
                          struct finding *now, const struct finding *then)
{
    bool read = !gf->goal->baseline.has; /* the baseline is a reading of the record */
    struct error_used used;
    if (read && !is_comparable(now, then)) {
        rules_flag(now, "goal-other-setup");
        return VERDICT_NONE;
    }
    if (now->fixed || now->status == READING_ESTIMATED ||
        (read && (then->fixed || then->status == READING_ESTIMATED)))
        return VERDICT_NONE;
    struct error_question q = {.row = now, .instrument = now->instrument};
    if (read) {
        q.two_raters = rules_rater_fit(now, then) == FIT_NO;
        if (q.instrument == INSTRUMENT_UNKNOWN)
            q.instrument = then->instrument;
        if (now->test == TEST_MMT)
            return rules_grade_verdict(v->clinic, now->grade, then->grade, q.two_raters, &used);
    }
    used = rules_error_for(v, q).used;
    return rules_verdict(fabs(gf->gained.value), &used);
}

static const char *word(const struct visit_findings *v, const struct goal_finding *gf,
                        struct finding *now, const struct finding *then)
{
    double towards = direction(gf->goal), value = rules_value(now).value;
    struct date due = gf->goal->due;
    enum verdict verdict = judge(v, gf, now, then);
    if (rules_at_least(towards * value, towards * gf->target.value))
        return "met";
    if (verdict == VERDICT_BEYOND_ERROR && gf->gained.value < 0)
        return "worse";
    if (date_is_set(due) && date_compare(due, v->visit->date) < 0)
        return "overdue";
    if (verdict == VERDICT_WITHIN_ERROR)
        return "within-error";
    double line = gf->expected.has ? gf->expected.value : gf->baseline.value;
    return rules_at_least(towards * value, towards * line) ? "on-course" : "behind";
}

/* The first comparable reading that met the goal; a goal that was met late says so. */
static void when_met(struct goal_finding *gf, const struct visit_findings *v,
                     const struct finding *now)
{
    double towards = direction(gf->goal);
    for (size_t i = 0; i <= v->n_earlier && !date_is_set(gf->met_on); i++) {
        const struct visit_findings *visit = visit_at(v, i);
        for (size_t k = 0; k < visit->n_rows; k++) {
            const struct finding *f = &visit->rows[k];
            if (date_compare(visit->visit->date, gf->goal->set_on) >= 0 &&
                is_usable(gf->goal, f) && is_comparable(now, f) &&
                rules_at_least(towards * rules_value(f).value, towards * gf->target.value))
                gf->met_on = visit->visit->date;
        }
    }
    gf->late = date_is_set(gf->goal->due) && date_compare(gf->met_on, gf->goal->due) > 0;
}

static void take_last(struct goal_finding *gf, const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_earlier; i++) {
        const struct finding *f = first_usable(v->earlier[i], gf->goal);
        if (f == NULL)
            continue;
        gf->last = rules_value(f);
        gf->last_grade = f->grade;
        gf->last_date = v->earlier[i]->visit->date;
        return;
    }
}

/* ---- all goals ------------------------------------------------------------------------------ */

/* The one that is due next comes first, one without a due date after those, and what is past due
 * last, the latest of it first. */
static long place(const struct goal_finding *gf, struct date today)
{
    const long never = 1000000, past = 2000000;
    if (!date_is_set(gf->goal->due))
        return never;
    long days = date_days(gf->goal->due) - date_days(today);
    return days >= 0 ? days : past - days;
}

static void hang_on(struct finding *row, struct goal_finding *gf, struct date today)
{
    struct goal_finding **at = &row->goal;
    while (*at != NULL && place(*at, today) <= place(gf, today))
        at = &(*at)->next;
    gf->next = *at;
    *at = gf;
    gf->row = row;
}

static void evaluate(struct visit_findings *v, struct goal_finding *gf)
{
    const struct goal *g = gf->goal;
    struct date today = v->visit->date;
    const struct visit_findings *first = first_visit(v, g);
    struct pair p = {NULL, NULL};
    const struct finding *then = NULL;
    gf->target = g->grade != NULL ? num_of(g->grade->numeric) : g->value;
    if (date_is_set(g->due))
        gf->days_left = num_of((double)(date_days(g->due) - date_days(today)));
    if (first != NULL) {
        p = alike(v, g, first);
        then = p.then != NULL ? p.then : first_usable(first, g);
    }
    take_baseline(gf, first, then);
    struct finding *row = p.now != NULL ? p.now : unusable(v, g);
    if (p.now == NULL) {
        gf->status = row != NULL && rules_value(row).has ? "in-doubt" : "not-measured";
        take_last(gf, v);
    } else {
        measure(gf, p.now, today);
        gf->status = word(v, gf, p.now, p.then);
        if (str_eq(gf->status, "met"))
            when_met(gf, v, p.now);
        if (runs_back(g))
            rules_flag(p.now, "goal-runs-back");
    }
    if (row != NULL)
        hang_on(row, gf, today);
}

void rules_goal(struct visit_findings *v, struct arena *a)
{
    const struct patient *p = v->patient;
    v->goals = arena_alloc(a, p->n_goals * sizeof *v->goals);
    for (size_t i = 0; i < p->n_goals; i++) {
        if (date_compare(p->goals[i].set_on, v->visit->date) > 0)
            continue;
        struct goal_finding *gf = &v->goals[v->n_goals++];
        gf->goal = &p->goals[i];
        evaluate(v, gf);
    }
}
