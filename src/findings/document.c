/*
 * The findings document of one visit (docs/findings.md): the frame around the regions, and its
 * form as bytes.
 */
#include "findings/findings_int.h"

#include <stdlib.h>

static size_t count_held(const struct visit *visit)
{
    size_t held = 0;
    for (size_t i = 0; i < visit->n_problems; i++)
        held += diag_outcome(visit->problems[i].code) == OUTCOME_HELD_BACK;
    return held;
}

static void patient(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    const struct patient *p = v->patient;
    xmlNode *node = findings_child(w, root, "patient");
    findings_text(w, node, "id", p->id);
    findings_text(w, node, "name", p->name);
    findings_date(w, node, "birth-date", p->birth_date);
    findings_number(w, node, "age", v->age, DECIMALS);
    if (p->sex != SEX_UNKNOWN)
        findings_text(w, node, "sex", sex_name(p->sex));
    findings_text(w, node, "dominant-side", side_name(p->dominant_side));
    findings_text(w, node, "affected-side", side_name(p->affected_side));
    findings_number(w, node, "body-mass", model_body_mass_on(v->visit), DECIMALS);
}

void findings_clinic(struct writer *w, xmlNode *root, const struct clinic *c)
{
    xmlNode *node = findings_child(w, root, "clinic");
    if (c == NULL)
        return;
    findings_text(w, node, "heading", c->heading);
    findings_text(w, node, "address", c->address);
    findings_text(w, node, "phone", c->phone);
    findings_text(w, node, "logo", c->logo);
}

static void referrer(struct writer *w, xmlNode *root, const struct patient *p)
{
    xmlNode *node = findings_child(w, root, "referrer");
    findings_text(w, node, "name", p->referrer);
    findings_text(w, node, "address", p->referrer_address);
    findings_text(w, node, "reason", p->referral_reason);
    findings_drop_if_bare(node);
}

static void pain_scale(struct writer *w, xmlNode *node, const char *low_name,
                       const char *high_name, struct num low, struct num high)
{
    findings_number(w, node, low_name, low, DECIMALS);
    if (high.has && !(low.has && low.value == high.value))
        findings_number(w, node, high_name, high, DECIMALS);
}

static void episode(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    const struct patient *p = v->patient;
    const struct visit *visit = v->visit;
    xmlNode *node = findings_child(w, root, "episode");
    findings_text(w, node, "diagnosis", p->diagnosis);
    findings_text(w, node, "diagnosis-code", p->diagnosis_code);
    findings_date(w, node, "onset-date", p->onset_date);
    findings_date(w, node, "surgery-date", p->surgery_date);
    findings_text(w, node, "procedure", p->procedure);
    findings_text(w, node, "weight-bearing", model_weight_bearing_on(visit));
    findings_number(w, node, "treatment-day", visit->treatment_day, 0);
    findings_date(w, node, "plan-start", p->plan_start);
    findings_date(w, node, "certified-on", p->certified_on);
    findings_text(w, node, "plan", visit->plan);
    findings_text(w, node, "question", visit->question_to_referrer);
    findings_text(w, node, "protocol", visit->protocol);
    findings_text(w, node, "outcome-name", visit->outcome_name);
    findings_text(w, node, "outcome-score", visit->outcome_score);
    findings_date(w, node, "signed-on", visit->signed_on);
    findings_date(w, node, "countersigned-on", visit->countersigned_on);
    pain_scale(w, node, "pain-rest", "pain-rest-high", visit->pain_rest_low,
               visit->pain_rest_high);
    pain_scale(w, node, "pain-move", "pain-move-high", visit->pain_move_low,
               visit->pain_move_high);
}

/* Each comparison is judged at 95%, so one in twenty of them is expected to pass the error by
 * chance alone. */
static const double chance = 0.05;

static void tally(struct writer *w, xmlNode *root, const struct visit_findings *v, size_t held)
{
    xmlNode *node = findings_child(w, root, "tally");
    findings_count(w, node, "measured", (long)v->n_measured);
    findings_count(w, node, "limited", (long)v->n_limited);
    findings_count(w, node, "below-handbook", (long)v->n_below_handbook);
    findings_count(w, node, "compared", (long)v->n_compared);
    findings_count(w, node, "better", (long)v->n_better);
    findings_count(w, node, "worse", (long)v->n_worse);
    findings_count(w, node, "missing", (long)v->n_missing);
    findings_count(w, node, "held", (long)held);
    findings_value(w, node, "false-alarms", chance * (double)v->n_compared, DECIMALS);
}

static void missing(struct writer *w, xmlNode *root, const struct finding *f)
{
    if (!findings_is_missing(f))
        return;
    xmlNode *node = findings_child(w, root, "missing");
    findings_text(w, node, "joint", f->motion->joint);
    findings_text(w, node, "motion", f->motion->motion);
    findings_text(w, node, "side", side_name(f->side));
    findings_positive(w, node, "digit", f->digit);
    findings_text(w, node, "test", test_name(f->test));
    findings_text(w, node, "position", f->position);
    findings_text(w, node, "status", reading_status_name(f->status));
    findings_text(w, node, "reason", f->status_reason);
    if (f->n_from > 0)
        findings_text(w, node, "text", f->from[0]->text);
}

void findings_problem(struct writer *w, xmlNode *root, const struct diag *d)
{
    xmlNode *node = findings_child(w, root, "problem");
    findings_text(w, node, "code", diag_id(d->code));
    findings_text(w, node, "outcome", diag_outcome_name(diag_outcome(d->code)));
    findings_text(w, node, "reason", diag_reason(d->code));
    findings_text(w, node, "detail", d->detail);
    findings_text(w, node, "advice", diag_advice(d->code));
    findings_text(w, node, "file", d->pos.file);
    findings_positive(w, node, "line", d->pos.line);
    findings_positive(w, node, "column", d->pos.column);
    findings_text(w, node, "field", d->pos.field);
    findings_text(w, node, "text", d->text);
}

struct _xmlDoc *findings_document(const struct visit_findings *v,
                                  const struct findings_extra *extra)
{
    struct writer w;
    xmlNode *root = findings_begin(&w, "visit");
    size_t held = count_held(v->visit);
    findings_date(&w, root, "date", v->visit->date);
    findings_text(&w, root, "kind", visit_kind_name(v->visit->kind));
    findings_count(&w, root, "held", (long)held);
    if (extra != NULL) {
        findings_positive(&w, root, "amendment", extra->amendment);
        findings_text(&w, root, "version", extra->program_version);
    }
    patient(&w, root, v);
    findings_clinic(&w, root, v->clinic);
    findings_people(&w, root, v->visit);
    referrer(&w, root, v->patient);
    episode(&w, root, v);
    findings_headline(&w, root, v);
    tally(&w, root, v, held);
    for (size_t i = 0; i < v->n_reminders; i++)
        findings_reminder(&w, root, &v->reminders[i]);
    findings_goals_without(&w, root, v);
    findings_limits_in_force(&w, root, v);
    findings_regions(&w, root, v);
    findings_patterns(&w, root, v);
    findings_scores(&w, root, v);
    findings_sources(&w, root);
    findings_abbreviations(&w, root);
    for (size_t i = 0; i < v->n_rows; i++)
        missing(&w, root, &v->rows[i]);
    for (size_t i = 0; i < v->visit->n_problems; i++)
        findings_problem(&w, root, &v->visit->problems[i]);
    return findings_end(&w);
}

void findings_xml(const struct visit_findings *v, const struct findings_extra *extra,
                  struct buf *out)
{
    xmlDoc *doc = findings_document(v, extra);
    xmlChar *bytes = NULL;
    int len = 0;
    xmlDocDumpFormatMemoryEnc(doc, &bytes, &len, "UTF-8", 1);
    if (bytes != NULL)
        buf_add(out, bytes, (size_t)len);
    xmlFree(bytes);
    findings_free(doc);
}
