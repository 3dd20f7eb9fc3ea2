/*
 * Patterns and sum scores of a visit: ids, the readings they rest on, the evidence and what to
 * recheck. What a pattern may suggest is said by the template, never here.
 */
#include "findings/findings_int.h"

#include <string.h>

static void reading(struct writer *w, xmlNode *parent, const struct finding *f)
{
    xmlNode *node = findings_child(w, parent, "reading");
    findings_text(w, node, "joint", f->motion->joint);
    findings_text(w, node, "motion", f->motion->motion);
    findings_text(w, node, "side", side_name(f->side));
    findings_positive(w, node, "digit", f->digit);
    findings_text(w, node, "test", test_name(f->test));
    findings_text(w, node, "position", f->position);
    findings_number(w, node, "end", f->end, DECIMALS);
    findings_number(w, node, "deficit", f->deficit, DECIMALS);
    findings_number(w, node, "percent", f->deficit_percent, DECIMALS);
    if (findings_has_range(f))
        findings_text(w, node, "unit", unit_name(f->motion->unit));
    if (f->grade != NULL)
        findings_text(w, node, "grade", f->grade->text);
    findings_text(w, node, "end-feel", end_feel_name(f->end_feel));
    findings_yes(w, node, "pain", f->pain);
}

/* One element for each key, so that a template can go through them. */
static void rechecks(struct writer *w, xmlNode *node, const char *keys)
{
    char key[64];
    while (keys != NULL && *keys != '\0') {
        size_t len = strcspn(keys, " ");
        if (len > 0 && len < sizeof key) {
            memcpy(key, keys, len);
            key[len] = '\0';
            findings_text(w, findings_child(w, node, "recheck"), "key", key);
        }
        keys += len + strspn(keys + len, " ");
    }
}

/* Where a capsule is the measure, its own source and evidence speak; else how the rule is known. */
static void reference(struct writer *w, xmlNode *node, const struct pattern *p)
{
    if (p->capsular != NULL) {
        findings_text(w, node, "evidence", p->capsular->evidence);
        findings_cite(w, node, p->capsular->source, &p->capsular->known, "source", "citation",
                      "mark");
        return;
    }
    if (p->tension != NULL)
        findings_text(w, node, "evidence", p->tension->caveat);
    findings_text(w, node, "mark",
                  p->tension != NULL ? p->tension->known.mark : p->length->known.mark);
}

static void pattern(struct writer *w, xmlNode *root, const struct pattern *p)
{
    xmlNode *node = findings_child(w, root, "pattern");
    findings_text(w, node, "kind", p->kind);
    if (p->n_rows > 0)
        findings_text(w, node, "region", p->rows[0]->motion->region);
    findings_text(w, node, "joint", p->joint);
    if (p->motion != NULL)
        findings_text(w, node, "motion", p->motion->motion);
    findings_text(w, node, "side", side_name(p->side));
    findings_positive(w, node, "digit", p->digit);
    if (p->length != NULL)
        findings_text(w, node, "muscle", p->length->muscle);
    findings_text(w, node, "roots", p->roots);
    findings_text(w, node, "nerve", p->nerve);
    findings_number(w, node, "from", p->from, DECIMALS);
    findings_number(w, node, "to", p->to, DECIMALS);
    findings_number(w, node, "gap", p->gap, DECIMALS);
    reference(w, node, p);
    for (size_t i = 0; i < p->n_rows; i++)
        reading(w, node, p->rows[i]);
    rechecks(w, node, p->tension != NULL ? p->tension->recheck : p->length->recheck);
}

void findings_patterns(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_patterns; i++)
        pattern(w, root, &v->patterns[i]);
}

/* ---- sum scores ------------------------------------------------------------------------------ */

static void gap(struct writer *w, xmlNode *parent, const struct score_gap *g)
{
    xmlNode *node = findings_child(w, parent, "missing-item");
    findings_text(w, node, "level", g->item->level);
    findings_text(w, node, "joint", g->item->motion->joint);
    findings_text(w, node, "motion", g->item->motion->motion);
    findings_text(w, node, "side", side_name(g->side));
    findings_positive(w, node, "digit", g->item->digit);
}

static void cut_off(struct writer *w, xmlNode *parent, const struct cut_off *c)
{
    static const char *const compare[] = {
        [CUT_BELOW] = "below", [CUT_AT_MOST] = "at-most", [CUT_AT_LEAST] = "at-least"};
    xmlNode *node = findings_child(w, parent, "cut-off");
    findings_text(w, node, "compare", compare[c->compare]);
    findings_value(w, node, "value", c->value, DECIMALS);
    findings_text(w, node, "meaning", c->meaning);
}

static void score(struct writer *w, xmlNode *root, const struct score *x)
{
    const struct sum_score *s = x->sum;
    xmlNode *node = findings_child(w, root, "score");
    findings_text(w, node, "id", s->id);
    findings_text(w, node, "name", s->name);
    findings_text(w, node, "protocol", s->protocol);
    findings_yes_no(w, node, "complete", x->total.has);
    findings_number(w, node, "right", x->right, 0);
    findings_number(w, node, "left", x->left, 0);
    findings_number(w, node, "total", x->total, 0);
    findings_number(w, node, "max-side", s->max_per_side, 0);
    findings_value(w, node, "max", s->max_total, 0);
    findings_count(w, node, "missing", (long)x->n_gaps);
    findings_yes(w, node, "whole-grades", x->whole_grades);
    findings_cite(w, node, s->source, &s->known, "source", "citation", "mark");
    for (size_t i = 0; i < x->n_reached; i++)
        cut_off(w, node, x->reached[i]);
    for (size_t i = 0; i < x->n_gaps; i++)
        gap(w, node, &x->gaps[i]);
}

void findings_scores(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_scores; i++)
        score(w, root, &v->scores[i]);
}
