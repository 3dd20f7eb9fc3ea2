/*
 * The one line a reader sees first, as keys: which reading stands out, why, and how many others
 * do. The words are the template's.
 */
#include "findings/findings_int.h"

#include <math.h>

static bool is_beyond(const struct comparison *c)
{
    return c->verdict == VERDICT_BEYOND_ERROR && c->change.has;
}

/* The comparison the line speaks of: one beyond error before one within, the last visit before
 * the first. */
static const struct comparison *telling(const struct finding *f)
{
    if (is_beyond(&f->previous))
        return &f->previous;
    if (is_beyond(&f->first))
        return &f->first;
    if (f->previous.change.has)
        return &f->previous;
    return f->first.change.has ? &f->first : NULL;
}

static const char *kind_of(const struct finding *f, const struct comparison *c)
{
    if (f == NULL)
        return "nothing";
    if (f->limit != NULL && str_eq(f->limit->status, "beyond"))
        return "beyond-limit";
    if (c != NULL && is_beyond(c) && c->change.value < 0)
        return "worse";
    if (f->limited == LIMITED_YES)
        return "limited";
    return c != NULL && is_beyond(c) ? "better" : "within";
}

static void reading(struct writer *w, xmlNode *node, const struct finding *f,
                    const struct comparison *c)
{
    const struct motion *motion = f->motion;
    findings_text(w, node, "region", motion->region);
    findings_text(w, node, "joint", motion->joint);
    findings_text(w, node, "motion", motion->motion);
    findings_text(w, node, "side", side_name(f->side));
    findings_positive(w, node, "digit", f->digit);
    findings_text(w, node, "test", test_name(f->test));
    findings_text(w, node, "position", f->position);
    findings_number(w, node, "end", f->end, DECIMALS);
    findings_number(w, node, "other", f->other_value, DECIMALS);
    findings_date(w, node, "other-date", f->other_date);
    if (f->side_difference.has)
        findings_value(w, node, "difference", fabs(f->side_difference.value), DECIMALS);
    if (f->normal != NULL)
        findings_value(w, node, "normal", f->normal->normal, DECIMALS);
    findings_number(w, node, "deficit", f->deficit, DECIMALS);
    findings_number(w, node, "percent", f->deficit_percent, DECIMALS);
    const struct error_used *error = &f->error;
    if (c != NULL) {
        error = &c->error;
        findings_number(w, node, "delta", c->change,
                        f->test == TEST_MMT ? FINE_DECIMALS : DECIMALS);
        findings_date(w, node, "since-date", c->date);
        findings_text(w, node, "verdict", rules_verdict_name(c->verdict));
    }
    findings_number(w, node, "error-limit", error->limit, DECIMALS);
    if (f->limit != NULL && str_eq(f->limit->status, "beyond")) {
        findings_number(w, node, "limit", f->limit->limit->value, DECIMALS);
        findings_text(w, node, "limit-kind", findings_limit_kind(f->limit->limit->kind));
    }
    if (f->grade != NULL)
        findings_text(w, node, "grade", f->grade->text);
    findings_text(w, node, "unit", unit_name(motion->unit));
    if (motion->normal != NULL)
        findings_yes_no(w, node, "zero-normal", findings_is_zero_normal(motion));
    bool doubt = false;
    for (int i = 0; i < f->n_flags; i++)
        doubt = doubt || rules_flag_doubts(f->flags[i].id);
    findings_yes(w, node, "doubt", doubt);
}

void findings_headline(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    const struct finding *f = v->headline;
    const struct comparison *c = f == NULL ? NULL : telling(f);
    xmlNode *node = findings_child(w, root, "headline");
    findings_text(w, node, "kind", kind_of(f, c));
    if (f != NULL)
        reading(w, node, f, c);
    findings_count(w, node, "limited-count", (long)v->n_limited);
    findings_count(w, node, "worse-count", (long)v->n_worse);
    findings_text(w, node, "check", v->check_first);
    findings_positive(w, node, "check-count", (long)v->n_check_first);
}
