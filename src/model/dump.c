/* The model as stable text: one fact a line, missing facts left out, numbers in the C locale. For
 * `--dump model`, for bug reports and for golden tests alike. */
#include "model/model.h"

#include <stdio.h>
#include <string.h>

static void put_quoted(struct buf *out, const char *s)
{
    buf_addc(out, '"');
    for (; *s != '\0'; s++) {
        if (*s == '\n')
            buf_adds(out, "\\n");
        else if (*s == '\r')
            buf_adds(out, "\\r");
        else if (*s == '"' || *s == '\\')
            buf_addf(out, "\\%c", *s);
        else
            buf_addc(out, *s);
    }
    buf_addc(out, '"');
}

static void put_text(struct buf *out, const char *key, const char *value)
{
    if (value == NULL || *value == '\0')
        return;
    buf_addf(out, " %s=", key);
    put_quoted(out, value);
}

static void put_word(struct buf *out, const char *key, const char *value)
{
    if (value != NULL && *value != '\0')
        buf_addf(out, " %s=%s", key, value);
}

/* Four decimals, without trailing zeros: finer than any instrument and the same everywhere. */
static void put_value(struct buf *out, double value)
{
    char text[NUM_TEXT_MAX];
    num_format(text, value, 4);
    size_t len = strlen(text);
    while (text[len - 1] == '0')
        len--;
    if (text[len - 1] == '.')
        len--;
    buf_add(out, text, len);
}

static void put_num(struct buf *out, const char *key, struct num n)
{
    if (!n.has)
        return;
    buf_addf(out, " %s=", key);
    put_value(out, n.value);
}

static void put_range(struct buf *out, const char *key, struct num low, struct num high)
{
    put_num(out, key, low);
    if (low.has && high.value > low.value) {
        buf_addc(out, '-');
        put_value(out, high.value);
    }
}

static void put_date(struct buf *out, const char *key, struct date d)
{
    char text[DATE_TEXT_MAX];
    put_word(out, key, date_format(text, d));
}

static void put_flag(struct buf *out, const char *key, bool set)
{
    if (set)
        buf_addf(out, " %s", key);
}

static void put_target(struct buf *out, const struct motion *motion, enum side side, int digit,
                       enum test test)
{
    if (motion != NULL)
        buf_addf(out, " %s %s", motion->joint, motion->motion);
    if (side != SIDE_NONE)
        buf_addf(out, " %s", side_name(side));
    if (digit != 0)
        buf_addf(out, " digit=%d", digit);
    if (test != TEST_NONE)
        buf_addf(out, " %s", test_name(test));
}

static void put_tries(struct buf *out, const struct measurement *m)
{
    if (m->n_tries < 2)
        return;
    buf_adds(out, " tries=");
    for (int i = 0; i < m->n_tries; i++) {
        if (i > 0)
            buf_addc(out, ';');
        put_value(out, m->tries[i]);
    }
}

static void dump_measurement(const struct measurement *m, struct buf *out)
{
    buf_adds(out, "  reading");
    put_target(out, m->motion, m->side, m->digit, m->test);
    buf_addf(out, " %s", reading_status_name(m->status));
    put_word(out, "timing", timing_name(m->timing));
    put_num(out, "start", m->start);
    put_num(out, "end", m->end);
    put_tries(out, m);
    put_word(out, "unit", m->unit == UNIT_DEG ? "" : unit_name(m->unit));
    put_word(out, "grade", m->grade != NULL ? m->grade->text : NULL);
    put_num(out, "repetitions", m->repetitions);
    put_num(out, "force-n", m->force_n);
    put_num(out, "lever-m", m->lever_m);
    if (m->try_no > 0)
        buf_addf(out, " try=%d", m->try_no);
    put_flag(out, "fixed", m->fixed);
    put_flag(out, "derived", m->derived);
    put_text(out, "position", m->position);
    put_text(out, "tool", m->tool);
    put_text(out, "muscle", m->muscle);
    if (m->technique != TECHNIQUE_NONE)
        put_word(out, "technique", m->technique == TECHNIQUE_MAKE ? "make" : "break");
    put_text(out, "by", m->measured_by);
    put_word(out, "role", role_name(m->role));
    put_text(out, "supervisor", m->supervisor);
    put_word(out, "end-feel", end_feel_name(m->end_feel));
    put_flag(out, "pain", m->pain);
    put_range(out, "pain-score", m->pain_low, m->pain_high);
    put_num(out, "pain-from", m->pain_from);
    put_num(out, "pain-to", m->pain_to);
    for (int i = 0; i < m->n_compensations; i++)
        put_text(out, "compensation", m->compensations[i]);
    put_text(out, "status-reason", m->status_reason);
    put_text(out, "reason", m->reason);
    put_text(out, "note", m->note);
    for (int i = 0; i < m->n_notes; i++)
        put_word(out, "noted", diag_id(m->notes[i]));
    put_date(out, "corrected-on", m->corrected_on);
    put_text(out, "corrected-by", m->corrected_by);
    put_text(out, "correction-reason", m->correction_reason);
    put_text(out, "text", m->text);
    buf_addf(out, " line=%ld column=%ld\n", m->pos.line, m->pos.column);
}

static void dump_visit(const struct visit *v, struct buf *out)
{
    char text[DATE_TEXT_MAX];
    buf_addf(out, "visit %s", date_format(text, v->date));
    put_word(out, "kind", visit_kind_name(v->kind));
    put_flag(out, "history", v->from_history);
    put_flag(out, "held", v->held);
    put_num(out, "treatment-day", v->treatment_day);
    put_num(out, "age", v->age);
    put_num(out, "body-mass-kg", v->body_mass_kg);
    put_text(out, "weight-bearing", v->weight_bearing);
    put_text(out, "by", v->measured_by);
    put_word(out, "role", role_name(v->role));
    put_text(out, "supervisor", v->supervisor);
    put_text(out, "position", v->position);
    put_text(out, "tool", v->tool);
    put_date(out, "signed-on", v->signed_on);
    put_date(out, "countersigned-on", v->countersigned_on);
    put_text(out, "plan", v->plan);
    put_text(out, "question", v->question_to_referrer);
    put_text(out, "protocol", v->protocol);
    put_text(out, "outcome-name", v->outcome_name);
    put_text(out, "outcome-score", v->outcome_score);
    put_range(out, "pain-rest", v->pain_rest_low, v->pain_rest_high);
    put_range(out, "pain-move", v->pain_move_low, v->pain_move_high);
    buf_addc(out, '\n');
    for (size_t i = 0; i < v->n_measurements; i++)
        dump_measurement(&v->measurements[i], out);
    for (size_t i = 0; i < v->n_problems; i++) {
        const struct diag *d = &v->problems[i];
        buf_addf(out, "  problem %s line=%ld column=%ld", diag_id(d->code), d->pos.line,
                 d->pos.column);
        put_text(out, "field", d->pos.field);
        put_text(out, "text", d->text);
        put_text(out, "detail", d->detail);
        buf_addc(out, '\n');
    }
}

static void dump_goal(const struct goal *g, struct buf *out)
{
    buf_adds(out, "goal");
    put_text(out, "id", g->id);
    put_target(out, g->motion, g->side, g->digit, g->test);
    put_num(out, "value", g->value);
    put_word(out, "grade", g->grade != NULL ? g->grade->text : NULL);
    put_num(out, "baseline", g->baseline);
    put_date(out, "set-on", g->set_on);
    put_date(out, "due", g->due);
    put_text(out, "activity", g->activity);
    buf_addf(out, " line=%ld\n", g->pos.line);
}

static void dump_limit(const struct limit *l, struct buf *out)
{
    static const char *const kinds[] = {"range", "resistance", "weight-bearing", "no-test"};
    buf_addf(out, "limit %s", kinds[l->kind]);
    put_target(out, l->motion, l->side, l->digit, l->test);
    put_num(out, "value", l->value);
    put_date(out, "from", l->from);
    put_date(out, "until", l->until);
    put_text(out, "by", l->by);
    buf_addf(out, " line=%ld\n", l->pos.line);
}

static void dump_correction(const struct correction *c, struct buf *out)
{
    buf_addf(out, "correction %s", c->column);
    put_date(out, "visit", c->visit);
    put_date(out, "on", c->on);
    put_text(out, "by", c->by);
    put_text(out, "reason", c->reason);
    buf_addc(out, '\n');
}

void model_dump(const struct patient *p, struct buf *out)
{
    buf_adds(out, "patient ");
    put_quoted(out, p->id);
    put_flag(out, "held", p->held);
    put_text(out, "name", p->name);
    put_date(out, "birth-date", p->birth_date);
    put_num(out, "age", p->age);
    if (p->sex != SEX_UNKNOWN)
        put_word(out, "sex", sex_name(p->sex));
    put_word(out, "dominant-side", side_name(p->dominant_side));
    put_num(out, "body-mass-kg", p->body_mass_kg);
    buf_adds(out, "\nepisode");
    put_text(out, "diagnosis", p->diagnosis);
    put_text(out, "diagnosis-code", p->diagnosis_code);
    put_text(out, "procedure", p->procedure);
    put_text(out, "weight-bearing", p->weight_bearing);
    put_word(out, "affected-side", side_name(p->affected_side));
    put_date(out, "onset-date", p->onset_date);
    put_date(out, "surgery-date", p->surgery_date);
    put_date(out, "plan-start", p->plan_start);
    put_date(out, "certified-on", p->certified_on);
    put_text(out, "referrer", p->referrer);
    put_text(out, "referrer-address", p->referrer_address);
    put_text(out, "referral-reason", p->referral_reason);
    buf_addc(out, '\n');
    for (size_t i = 0; i < p->n_goals; i++)
        dump_goal(&p->goals[i], out);
    for (size_t i = 0; i < p->n_limits; i++)
        dump_limit(&p->limits[i], out);
    for (size_t i = 0; i < p->n_corrections; i++)
        dump_correction(&p->corrections[i], out);
    for (size_t i = 0; i < p->n_visits; i++)
        dump_visit(&p->visits[i], out);
}
