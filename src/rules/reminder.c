/*
 * Counters of the plan of care: treatment days since the last progress report, days until the plan
 * is to be signed, and days until its certification ends. The days are settings of the clinic; the
 * defaults are those of Medicare Part B (Medicare Benefit Policy Manual, chapter 15, section 220).
 * A reminder counts and nothing more: the payer's current text decides.
 */
#include "rules/rules_int.h"

static const char *status_of(long count, long due_at)
{
    if (count == due_at)
        return "due";
    return count < due_at ? "later" : "overdue";
}

static const char *rule_of(int days, int usual)
{
    return days == usual ? "medicare-part-b" : "clinic";
}

/* ---- treatment days ------------------------------------------------------------------------- */

/* The visit that the count starts from: the latest with a progress report, after which it starts
 * anew, or the latest evaluation or the first visit, which count themselves. */
static const struct visit *start_of(const struct visit_findings *v, bool *after)
{
    const struct patient *p = v->patient;
    const struct visit *start = NULL;
    *after = false;
    for (size_t i = 0; i < p->n_visits; i++) {
        const struct visit *visit = &p->visits[i];
        if (date_compare(visit->date, v->visit->date) > 0)
            break;
        bool report = visit->kind == VISIT_PROGRESS || visit->kind == VISIT_DISCHARGE;
        bool earlier = date_compare(visit->date, v->visit->date) < 0;
        if (start == NULL || visit->kind == VISIT_EVALUATION || (report && earlier)) {
            start = visit;
            *after = report && earlier;
        }
    }
    return start;
}

static long visits_since(const struct visit_findings *v, const struct visit *start)
{
    long n = 0;
    for (size_t i = 0; i < v->patient->n_visits; i++) {
        const struct visit *visit = &v->patient->visits[i];
        n += date_compare(visit->date, start->date) >= 0 &&
             date_compare(visit->date, v->visit->date) <= 0;
    }
    return n;
}

/* Treatment days as typed are the count; without them the visits on file are the least it can
 * be. */
static void count_treatment_days(struct reminder *r, const struct visit_findings *v,
                                 const struct visit *start, bool after)
{
    struct num now = v->visit->treatment_day, then = start->treatment_day;
    long least = visits_since(v, start) - after;
    r->count = least;
    r->at_least = true;
    if (!now.has || (after && !then.has))
        return;
    long typed = (long)(now.value - (after ? then.value : 0));
    if (typed < least)
        return;
    r->count = typed;
    r->at_least = false;
}

static void progress(struct visit_findings *v)
{
    bool after;
    const struct visit *start = start_of(v, &after);
    if (start == NULL || v->visit->kind == VISIT_DISCHARGE)
        return;
    struct reminder *r = &v->reminders[v->n_reminders++];
    *r = (struct reminder){.id = "progress-report",
                           .due_at = v->clinic->progress_treatment_days,
                           .since = start->date};
    r->rule = rule_of(v->clinic->progress_treatment_days,
                      clinic_default(v->ref).progress_treatment_days);
    count_treatment_days(r, v, start, after);
    r->status =
        v->visit->kind == VISIT_PROGRESS ? "done" : status_of(r->count, r->due_at);
}

/* ---- days ----------------------------------------------------------------------------------- */

static void dated(struct visit_findings *v, const char *id, int days, int usual, bool done)
{
    struct date from = v->patient->plan_start;
    if (!date_is_set(from) || date_compare(from, v->visit->date) > 0)
        return;
    struct reminder *r = &v->reminders[v->n_reminders++];
    *r = (struct reminder){.id = id,
                           .rule = rule_of(days, usual),
                           .count = date_days(v->visit->date) - date_days(from),
                           .due_at = days,
                           .since = from,
                           .due = date_from_days(date_days(from) + days)};
    r->status = done ? "done" : status_of(r->count, r->due_at);
}

void rules_reminder(struct visit_findings *v, struct arena *a)
{
    enum { REMINDERS = 3 };
    const struct clinic *c = v->clinic;
    const struct clinic usual = clinic_default(v->ref);
    struct date signed_on = v->patient->certified_on;
    bool is_signed = date_is_set(signed_on) && date_compare(signed_on, v->visit->date) <= 0;
    v->reminders = arena_alloc(a, REMINDERS * sizeof *v->reminders);
    progress(v);
    dated(v, "plan-signature", c->signature_days, usual.signature_days, is_signed);
    if (v->visit->kind != VISIT_DISCHARGE)
        dated(v, "certification", c->certification_days, usual.certification_days, false);
}
