/*
 * Goals, limits, trends and reminders. What belongs to a reading stands under it; goals of motions
 * without a reading, limits in force and the counters of the plan stand under the visit.
 */
#include "findings/findings_int.h"

static int decimals_of(enum test test)
{
    return test == TEST_MMT ? FINE_DECIMALS : DECIMALS;
}

/* ---- goals -------------------------------------------------------------------------------- */

static void graded(struct writer *w, xmlNode *node, const char *name, const struct grade *grade,
                   struct num value, int decimals)
{
    if (grade != NULL)
        findings_text(w, node, name, grade->text);
    else
        findings_number(w, node, name, value, decimals);
}

static void progress(struct writer *w, xmlNode *node, const struct goal_finding *gf)
{
    int decimals = decimals_of(gf->goal->test);
    graded(w, node, "baseline", gf->baseline_grade, gf->baseline, decimals);
    findings_number(w, node, "given-baseline", gf->goal->baseline, decimals);
    if (gf->baseline.has)
        findings_date(w, node, "baseline-date", gf->baseline_date);
    findings_number(w, node, "gained", gf->gained, decimals);
    findings_number(w, node, "remaining", gf->remaining, decimals);
    findings_number(w, node, "expected", gf->expected, decimals);
    findings_number(w, node, "days-left", gf->days_left, 0);
    findings_date(w, node, "met-on", gf->met_on);
    findings_yes(w, node, "late", gf->late);
    graded(w, node, "last", gf->last_grade, gf->last, decimals);
    findings_date(w, node, "last-date", gf->last_date);
}

static void goal(struct writer *w, xmlNode *parent, const struct goal_finding *gf, bool place)
{
    const struct goal *g = gf->goal;
    xmlNode *node = findings_child(w, parent, "goal");
    findings_text(w, node, "id", g->id);
    if (place) {
        findings_text(w, node, "joint", g->motion->joint);
        findings_text(w, node, "motion", g->motion->motion);
        findings_text(w, node, "side", side_name(g->side));
        findings_positive(w, node, "digit", g->digit);
        findings_text(w, node, "test", test_name(g->test));
        if (g->motion->normal != NULL)
            findings_yes_no(w, node, "zero-normal", findings_is_zero_normal(g->motion));
    }
    graded(w, node, "value", g->grade, g->value, DECIMALS);
    if (g->test == TEST_AROM || g->test == TEST_PROM)
        findings_text(w, node, "unit", unit_name(g->motion->unit));
    findings_date(w, node, "due", g->due);
    findings_text(w, node, "status", gf->status);
    findings_number(w, node, "percent", gf->percent, DECIMALS);
    findings_text(w, node, "activity", g->activity);
    progress(w, node, gf);
}

void findings_goals(struct writer *w, xmlNode *reading, const struct finding *f)
{
    for (const struct goal_finding *gf = f->goal; gf != NULL; gf = gf->next)
        goal(w, reading, gf, false);
}

void findings_goals_without(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_goals; i++)
        if (v->goals[i].row == NULL)
            goal(w, root, &v->goals[i], true);
}

/* ---- limits ------------------------------------------------------------------------------- */

static void limit(struct writer *w, xmlNode *parent, const struct limit_finding *lf, bool place)
{
    const struct limit *l = lf->limit;
    xmlNode *node = findings_child(w, parent, "limit");
    findings_number(w, node, "value", l->value, DECIMALS);
    findings_text(w, node, "status", lf->status);
    findings_date(w, node, "until", l->until);
    findings_text(w, node, "by", l->by);
    findings_text(w, node, "kind", findings_limit_kind(l->kind));
    findings_date(w, node, "from", l->from);
    findings_text(w, node, "test", test_name(l->test));
    if (!place || l->motion == NULL)
        return;
    findings_text(w, node, "joint", l->motion->joint);
    findings_text(w, node, "motion", l->motion->motion);
    findings_text(w, node, "side", side_name(l->side));
    findings_positive(w, node, "digit", l->digit);
    findings_text(w, node, "unit", unit_name(l->motion->unit));
    if (l->motion->normal != NULL)
        findings_yes_no(w, node, "zero-normal", findings_is_zero_normal(l->motion));
}

void findings_limits(struct writer *w, xmlNode *reading, const struct finding *f)
{
    for (const struct limit_finding *lf = f->limit; lf != NULL; lf = lf->next)
        limit(w, reading, lf, false);
}

void findings_limits_in_force(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_limits; i++)
        limit(w, root, &v->limits[i], true);
}

/* ---- trend -------------------------------------------------------------------------------- */

void findings_trend(struct writer *w, xmlNode *reading, const struct finding *f)
{
    const struct trend *t = f->trend;
    if (t == NULL)
        return;
    xmlNode *node = findings_child(w, reading, "trend");
    findings_text(w, node, "method", t->method);
    findings_count(w, node, "n", (long)t->n);
    findings_value(w, node, "slope-per-week", t->slope, FINE_DECIMALS);
    findings_number(w, node, "low", t->low, FINE_DECIMALS);
    findings_number(w, node, "high", t->high, FINE_DECIMALS);
    findings_text(w, node, "direction", t->direction);
    findings_date(w, node, "from", t->points[0].date);
    findings_date(w, node, "to", t->points[t->n - 1].date);
    findings_value(w, node, "first-fit", t->first_fit, DECIMALS);
    findings_value(w, node, "last-fit", t->last_fit, DECIMALS);
    findings_text(w, node, "raters", t->two_raters ? "two" : "one");
    if (t->sem.has)
        findings_abbreviate(w, ABBREVIATION_SEM);
    for (size_t i = 0; i < t->n; i++) {
        xmlNode *point = findings_child(w, node, "point");
        findings_date(w, point, "date", t->points[i].date);
        findings_value(w, point, "value", t->points[i].value, DECIMALS);
        findings_number(w, point, "sem", t->sem, DECIMALS);
    }
}

/* ---- reminders ---------------------------------------------------------------------------- */

void findings_reminder(struct writer *w, xmlNode *parent, const struct reminder *r)
{
    xmlNode *node = findings_child(w, parent, "reminder");
    findings_text(w, node, "id", r->id);
    findings_text(w, node, "status", r->status);
    findings_count(w, node, "count", r->count);
    findings_count(w, node, "due-at", r->due_at);
    findings_yes(w, node, "at-least", r->at_least);
    findings_date(w, node, "since", r->since);
    findings_date(w, node, "due", r->due);
    findings_text(w, node, "rule", r->rule);
}
