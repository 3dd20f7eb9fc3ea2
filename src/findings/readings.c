/*
 * One reading of a side: active, passive, strength or force, with what it was held against. One
 * without a number keeps its words and has no figure of any kind.
 */
#include "findings/findings_int.h"

#include <math.h>

static bool is_strength(const struct finding *f)
{
    return f->test == TEST_MMT;
}

static int change_decimals(const struct finding *f)
{
    return is_strength(f) ? FINE_DECIMALS : DECIMALS;
}

/* What was typed: every cell the row stands for, once each. */
static void typed(struct writer *w, xmlNode *node, const struct finding *f)
{
    if (f->n_from == 1) {
        findings_text(w, node, "text", f->from[0]->text);
        return;
    }
    struct buf all;
    buf_init(&all, SCRATCH_MAX);
    for (size_t i = 0; i < f->n_from; i++) {
        if (str_is_empty(f->from[i]->text))
            continue;
        if (all.len > 0)
            buf_adds(&all, "; ");
        buf_adds(&all, f->from[i]->text);
    }
    findings_text(w, node, "text", buf_text(&all));
    buf_release(&all);
}

static void opening(struct writer *w, xmlNode *node, const struct finding *f)
{
    findings_text(w, node, "test", test_name(f->test));
    findings_text(w, node, "status", reading_status_name(f->status));
    findings_text(w, node, "reason", f->status_reason);
    typed(w, node, f);
    findings_text(w, node, "measured-by", f->measured_by);
    findings_text(w, node, "role", role_name(f->role));
}

static void tries(struct writer *w, xmlNode *node, const struct finding *f)
{
    findings_positive(w, node, "tries", f->n_tries + f->n_unlisted);
    if (f->n_tries > 1) {
        struct buf list;
        buf_init(&list, SCRATCH_MAX);
        char text[NUM_TEXT_MAX];
        for (int i = 0; i < f->n_tries; i++) {
            if (i > 0)
                buf_addc(&list, ' ');
            buf_adds(&list, findings_number_text(text, f->tries[i], DECIMALS));
        }
        findings_text(w, node, "tries-list", buf_text(&list));
        buf_release(&list);
    }
    findings_number(w, node, "sd", f->sd, DECIMALS);
    if (f->sd.has)
        findings_abbreviate(w, ABBREVIATION_SD);
}

static void error(struct writer *w, xmlNode *node, const struct finding *f)
{
    const struct error_used *e = &f->error;
    findings_number(w, node, "error-limit", e->limit, DECIMALS);
    findings_number(w, node, "error-mdc", e->mdc95, DECIMALS);
    findings_number(w, node, "error-sem", e->sem, DECIMALS);
    findings_text(w, node, "error-basis", rules_basis_name(e->basis));
    if (e->row != NULL)
        findings_cite(w, node, e->row->source, &e->row->known, "error-source", NULL, "error-mark");
    if (e->mdc95.has)
        findings_abbreviate(w, ABBREVIATION_MDC);
    if (e->sem.has)
        findings_abbreviate(w, ABBREVIATION_SEM);
}

static void other_side(struct writer *w, xmlNode *node, const struct finding *f)
{
    findings_number(w, node, "other", f->other_value, DECIMALS);
    findings_date(w, node, "other-date", f->other_date);
    findings_number(w, node, "difference", f->side_difference, DECIMALS);
    findings_number(w, node, "index", f->side_index_percent, DECIMALS);
    findings_tri(w, node, "side-beyond-error", f->side_beyond_error);
}

static void pain(struct writer *w, xmlNode *node, const struct finding *f)
{
    findings_yes(w, node, "pain", f->pain);
    findings_number(w, node, "pain-low", f->pain_low, DECIMALS);
    if (f->pain_high.has && !(f->pain_low.has && f->pain_low.value == f->pain_high.value))
        findings_number(w, node, "pain-high", f->pain_high, DECIMALS);
    for (size_t i = 0; i < f->n_from; i++) {
        const struct measurement *m = f->from[i];
        if (m->pain_from.has || m->pain_to.has) {
            findings_number(w, node, "pain-from", m->pain_from, DECIMALS);
            findings_number(w, node, "pain-to", m->pain_to, DECIMALS);
            return;
        }
    }
}

static void how_taken(struct writer *w, xmlNode *node, const struct finding *f)
{
    bool fixed = false, derived = f->n_from > 0;
    for (size_t i = 0; i < f->n_from; i++) {
        fixed |= f->from[i]->fixed;
        derived &= f->from[i]->derived;
    }
    findings_yes(w, node, "fixed", fixed);
    findings_yes(w, node, "derived", derived);
}

/* The three numbers, and whose they are: they mean nothing without. */
static void notation(struct writer *w, xmlNode *node, const struct finding *f)
{
    const struct notation *n = f->motion->notation;
    if (f->neutral_zero == NULL || n == NULL)
        return;
    const char *own = f->motion->motion, *other = f->motion->opposite->motion;
    bool spine = n->place == NOTATION_LEFT_FIRST, first = n->place == NOTATION_FIRST;
    findings_text(w, node, "neutral-zero", f->neutral_zero);
    findings_text(w, node, "neutral-zero-plane", n->plane);
    findings_text(w, node, "neutral-zero-first", spine ? "left" : first ? own : other);
    findings_text(w, node, "neutral-zero-last", spine ? "right" : first ? other : own);
}

static void range(struct writer *w, xmlNode *node, const struct finding *f)
{
    opening(w, node, f);
    findings_text(w, node, "tool", f->tool);
    pain(w, node, f);
    if (findings_is_missing(f))
        return;
    findings_number(w, node, "start", f->start, DECIMALS);
    findings_number(w, node, "end", f->end, DECIMALS);
    if (f->start.has && f->end.has)
        findings_value(w, node, "range", f->end.value - f->start.value, DECIMALS);
    tries(w, node, f);
    findings_number(w, node, "deficit", f->deficit, DECIMALS);
    findings_number(w, node, "percent", f->deficit_percent, DECIMALS);
    if (f->icf >= 0) {
        findings_count(w, node, "icf", f->icf);
        findings_abbreviate(w, ABBREVIATION_ICF);
    }
    findings_text(w, node, "limited", rules_limited_name(f->limited));
    other_side(w, node, f);
    error(w, node, f);
    notation(w, node, f);
    how_taken(w, node, f);
}

static void peers(struct writer *w, xmlNode *reading, const struct finding *f)
{
    const struct norm *p = f->peers;
    if (p == NULL)
        return;
    xmlNode *node = findings_child(w, reading, "peers");
    findings_value(w, node, "mean", p->normal, DECIMALS);
    findings_number(w, node, "sd", p->sd, DECIMALS);
    findings_number(w, node, "z", f->z, FINE_DECIMALS);
    findings_number(w, node, "percentile", f->percentile, DECIMALS);
    findings_cite(w, node, p->source, &p->known, "source", "citation", "mark");
    findings_value(w, node, "age-min", p->age_min, FINE_DECIMALS);
    findings_value(w, node, "age-max", p->age_max, FINE_DECIMALS);
    findings_text(w, node, "sex", findings_norm_sex(p));
    findings_text(w, node, "side", findings_norm_side(p));
    findings_text(w, node, "mode", findings_mode(p->mode));
    findings_number(w, node, "n", p->n, DECIMALS);
    findings_yes(w, node, "other-mode", findings_norm_other_mode(p, f->test));
    if (p->sd.has)
        findings_abbreviate(w, ABBREVIATION_SD);
}

/* The people a force is held against; the figures of a mean and SD in newtons. */
static void force_peers(struct writer *w, xmlNode *reading, const struct finding *f)
{
    const struct force_norm *p = f->force_norm;
    if (p == NULL)
        return;
    xmlNode *node = findings_child(w, reading, "peers");
    findings_number(w, node, "mean", f->force_mean_n, DECIMALS);
    findings_number(w, node, "sd", f->force_sd_n, DECIMALS);
    findings_number(w, node, "z", f->z, FINE_DECIMALS);
    findings_number(w, node, "percentile", f->percentile, DECIMALS);
    findings_cite(w, node, p->source, &p->known, "source", "citation", "mark");
    findings_number(w, node, "age-min", p->age_min, FINE_DECIMALS);
    findings_number(w, node, "age-max", p->age_max, FINE_DECIMALS);
    findings_text(w, node, "sex", p->sex == SEX_UNKNOWN ? "any" : sex_name(p->sex));
    findings_text(w, node, "side", p->side == SIDE_NONE ? "any" : side_name(p->side));
    findings_number(w, node, "n", p->n, DECIMALS);
    findings_abbreviate(w, ABBREVIATION_SD);
}

static const char *direction(struct num change)
{
    if (!change.has)
        return NULL;
    if (change.value == 0)
        return "same";
    return change.value > 0 ? "better" : "worse";
}

static void change(struct writer *w, xmlNode *reading, const struct finding *f, const char *since,
                   const struct comparison *c)
{
    if (!date_is_set(c->date))
        return;
    xmlNode *node = findings_child(w, reading, "change");
    findings_text(w, node, "since", since);
    findings_date(w, node, "date", c->date);
    if (c->grade != NULL)
        findings_text(w, node, "value", c->grade->text);
    else
        findings_number(w, node, "value", c->value, change_decimals(f));
    findings_number(w, node, "delta", c->change, change_decimals(f));
    findings_text(w, node, "verdict", rules_verdict_name(c->verdict));
    findings_text(w, node, "direction", direction(c->change));
    if (c->error.basis == BASIS_NONE)
        return;
    findings_number(w, node, "error-limit", c->error.limit, DECIMALS);
    findings_number(w, node, "mdc", c->error.mdc95, DECIMALS);
    findings_text(w, node, "basis", rules_basis_name(c->error.basis));
    if (c->error.row != NULL)
        findings_cite(w, node, c->error.row->source, &c->error.row->known, "source", "citation",
                      "mark");
    findings_text(w, node, "raters", c->error.two_raters ? "two" : "one");
    if (c->error.mdc95.has)
        findings_abbreviate(w, ABBREVIATION_MDC);
}

/* Of the reading that is not used: the one that is, and how far this one lies from it. */
static void rater_pair(struct writer *w, xmlNode *reading, const struct finding *f)
{
    const struct finding *used = f->used;
    if (used == NULL)
        return;
    xmlNode *node = findings_child(w, reading, "rater-pair");
    findings_text(w, node, "measured-by", used->measured_by);
    findings_text(w, node, "role", role_name(used->role));
    if (!findings_is_missing(used)) {
        if (used->grade != NULL)
            findings_text(w, node, "value", used->grade->text);
        else
            findings_number(w, node, "value", f->test == TEST_FORCE ? used->force_n : used->end,
                            DECIMALS);
    }
    if (!findings_is_missing(f))
        findings_number(w, node, "difference", f->rater_difference, change_decimals(f));
}

/* Degrees in whole numbers: the figures were tracked, not measured as a clinic does. */
static void demands(struct writer *w, xmlNode *reading, const struct finding *f)
{
    for (int i = 0; i < f->n_demands; i++) {
        const struct demand_short *s = &f->demands[i];
        const struct demand *d = s->demand;
        xmlNode *node = findings_child(w, reading, "demand");
        findings_text(w, node, "id", d->activity_id);
        findings_text(w, node, "activity", d->activity);
        findings_text(w, node, "level", s->likely ? "likely" : "may");
        findings_value(w, node, "needed", d->needed, 0);
        findings_number(w, node, "from", d->from, 0);
        findings_value(w, node, "short", s->short_by, 0);
        findings_text(w, node, "unit", unit_name(d->unit));
        findings_text(w, node, "basis", d->basis);
        findings_text(w, node, "population", d->population);
        findings_text(w, node, "icf", d->icf_code);
        findings_cite(w, node, d->source, &d->known, "source", "citation", "mark");
    }
}

static void remarks(struct writer *w, xmlNode *reading, const struct finding *f)
{
    for (int i = 0; i < f->n_flags; i++) {
        xmlNode *node = findings_child(w, reading, "flag");
        findings_text(w, node, "code", f->flags[i].id);
        findings_text(w, node, "level", findings_flag_level(f->flags[i].level));
        findings_yes(w, node, "doubt", rules_flag_doubts(f->flags[i].id));
    }
    for (int i = 0; i < f->n_notes; i++) {
        xmlNode *node = findings_child(w, reading, "note");
        findings_text(w, node, "code", diag_id(f->notes[i]));
        findings_text(w, node, "reason", diag_reason(f->notes[i]));
    }
}

static void strength(struct writer *w, xmlNode *node, const struct finding *f)
{
    opening(w, node, f);
    if (f->grade != NULL && !findings_is_missing(f)) {
        findings_text(w, node, "grade", f->grade->text);
        findings_value(w, node, "score", f->grade->numeric, FINE_DECIMALS);
    }
    findings_text(w, node, "position", f->position);
    if (f->n_from > 0) {
        findings_text(w, node, "technique", findings_technique(f->from[0]->technique));
        findings_number(w, node, "repetitions", f->from[0]->repetitions, 0);
    }
    if (f->heel_rises != NULL) {
        findings_text(w, node, "repetitions-table", f->heel_rises->id);
        findings_cite(w, node, f->heel_rises->source, &f->heel_rises->known, "repetitions-source",
                      "repetitions-citation", "repetitions-mark");
    }
    findings_text(w, node, "muscle", f->muscle);
    pain(w, node, f);
}

static void force(struct writer *w, xmlNode *node, const struct finding *f)
{
    opening(w, node, f);
    findings_text(w, node, "tool", f->tool);
    findings_text(w, node, "muscle", f->muscle);
    if (f->n_from > 0)
        findings_text(w, node, "technique", findings_technique(f->from[0]->technique));
    pain(w, node, f);
    if (findings_is_missing(f))
        return;
    findings_number(w, node, "newton", f->force_n, DECIMALS);
    findings_number(w, node, "torque", f->torque_nm, DECIMALS);
    findings_number(w, node, "per-mass", f->torque_nm_per_kg, FINE_DECIMALS);
    tries(w, node, f);
    other_side(w, node, f);
    error(w, node, f);
}

void findings_reading(struct writer *w, xmlNode *side, const struct finding *f)
{
    static const struct {
        const char *element;
        void (*write)(struct writer *w, xmlNode *node, const struct finding *f);
    } kinds[TEST_COUNT] = {
        [TEST_AROM] = {"active", range},
        [TEST_PROM] = {"passive", range},
        [TEST_MMT] = {"strength", strength},
        [TEST_FORCE] = {"force", force},
    };
    if (kinds[f->test].element == NULL)
        return;
    xmlNode *node = findings_child(w, side, kinds[f->test].element);
    kinds[f->test].write(w, node, f);
    if (!findings_is_missing(f)) {
        if (f->test == TEST_FORCE)
            force_peers(w, node, f);
        else
            peers(w, node, f);
        change(w, node, f, "previous", &f->previous);
        change(w, node, f, "first", &f->first);
    }
    findings_trend(w, node, f);
    findings_goals(w, node, f);
    findings_limits(w, node, f);
    demands(w, node, f);
    rater_pair(w, node, f);
    remarks(w, node, f);
    if (f->test == TEST_AROM)
        findings_abbreviate(w, ABBREVIATION_AROM);
    if (f->test == TEST_PROM)
        findings_abbreviate(w, ABBREVIATION_PROM);
    if (f->test == TEST_MMT)
        findings_abbreviate(w, ABBREVIATION_MMT);
}
