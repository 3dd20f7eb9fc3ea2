/*
 * Selective tension: what pain, strength, the gap between active and passive range and the end feel
 * tell together of the tissue that is stretched or that contracts. Each rule is a row of the
 * reference; its figures are read there. Limited means limited `yes`, as everywhere.
 *
 * Not looked for: strong-painless (nothing to consider), arom-above-prom (a flag of its own), and
 * what a record does not hold: repetition and the angle at which resistance began.
 */
#include "rules/rules_int.h"

#include <math.h>

struct search {
    struct visit_findings *v;
    struct arena *arena;
    const struct tension *t; /* the row that is looked for */
};

static struct pattern *found(const struct search *s, const struct finding *f,
                             const struct finding *second, const struct finding *third)
{
    struct pattern *p = rules_new_pattern(s->v, s->arena, 3);
    p->kind = s->t->id;
    p->tension = s->t;
    p->joint = f->motion->joint;
    p->motion = f->motion;
    p->side = f->side;
    p->digit = f->digit;
    p->rows[p->n_rows++] = f;
    if (second != NULL)
        p->rows[p->n_rows++] = second;
    if (third != NULL)
        p->rows[p->n_rows++] = third;
    return p;
}

static double larger_error(const struct finding *a, const struct finding *b)
{
    return fmax(a->error.limit.value, b->error.limit.value);
}

/* ---- resisted tests -------------------------------------------------------------------------- */

static void strong_painful(const struct search *s, const struct finding *f)
{
    if (f->test == TEST_MMT && f->pain && rules_power(s->v, f) == POWER_STRONG)
        (void)found(s, f, NULL, NULL);
}

/* Weakness says something of its own only where the passive range is there; a motion without a
 * range has none to miss. */
static void weak_painless(const struct search *s, const struct finding *f)
{
    if (f->test != TEST_MMT || f->pain || rules_power(s->v, f) != POWER_WEAK)
        return;
    const struct finding *passive = rules_partner(s->v, f, TEST_PROM);
    bool full =
        passive != NULL && passive->limited != LIMITED_YES && passive->limited != LIMITED_UNKNOWN;
    if (full || !f->motion->rom)
        (void)found(s, f, passive, NULL);
}

static void weak_painful(const struct search *s, const struct finding *f)
{
    if (f->test == TEST_MMT && f->pain && rules_power(s->v, f) == POWER_WEAK)
        (void)found(s, f, NULL, NULL);
}

static bool is_resisted(const struct finding *f, const struct finding *like)
{
    return f->test == TEST_MMT && f->grade != NULL && rules_is_usable(f) && f->side == like->side &&
           str_eq(f->motion->joint, like->motion->joint);
}

/* Told once a joint and side, at its first graded row; of one motion it would say nothing. */
static void all_painful(const struct search *s, const struct finding *f)
{
    const struct visit_findings *v = s->v;
    size_t n = 0;
    bool motions = false;
    if (f->test != TEST_MMT || f->grade == NULL)
        return;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *r = &v->rows[i];
        if (!is_resisted(r, f))
            continue;
        if ((n == 0 && r != f) || !r->pain)
            return;
        motions |= r->motion != f->motion;
        n++;
    }
    if (!motions)
        return;
    struct pattern *p = rules_new_pattern(s->v, s->arena, n);
    p->kind = s->t->id;
    p->tension = s->t;
    p->joint = f->motion->joint;
    p->side = f->side;
    for (size_t i = 0; i < v->n_rows; i++)
        if (is_resisted(&v->rows[i], f))
            p->rows[p->n_rows++] = &v->rows[i];
}

/* ---- active and passive range ------------------------------------------------------------------
 */

/* Passive less active of an active row in degrees; false where there is no passive row. */
static bool gap_of(const struct search *s, const struct finding *f, const struct finding **passive,
                   double *gap)
{
    if (f->test != TEST_AROM || f->unit != UNIT_DEG || !f->end.has)
        return false;
    *passive = rules_partner(s->v, f, TEST_PROM);
    if (*passive == NULL)
        return false;
    *gap = (*passive)->end.value - f->end.value;
    return true;
}

static void active_lag(const struct search *s, const struct finding *f)
{
    const struct finding *passive;
    double gap;
    if (gap_of(s, f, &passive, &gap) &&
        rules_over(gap, fmax(s->t->deg.value, larger_error(f, passive))))
        found(s, f, passive, NULL)->gap = num_of(gap);
}

static void both_limited(const struct search *s, const struct finding *f)
{
    const struct finding *passive;
    double gap;
    if (gap_of(s, f, &passive, &gap) && f->limited == LIMITED_YES &&
        passive->limited == LIMITED_YES && rules_at_least(s->t->deg.value, fabs(gap)))
        found(s, f, passive, NULL)->gap = num_of(gap);
}

static const struct finding *resisted(const struct search *s, const struct finding *f)
{
    return rules_partner(s->v, f, TEST_MMT);
}

static void same_direction(const struct search *s, const struct finding *f)
{
    if (f->test != TEST_AROM || !f->pain)
        return;
    const struct finding *passive = rules_partner(s->v, f, TEST_PROM), *grade = resisted(s, f);
    if (passive != NULL && passive->pain && grade != NULL && !grade->pain)
        (void)found(s, f, passive, grade);
}

static bool is_painful(const struct finding *f)
{
    return f != NULL && f->pain;
}

/* Pain one way only when active, the other way only when passive. */
static void opposite_direction(const struct search *s, const struct finding *f)
{
    const struct motion *back = f->motion->opposite;
    if (f->test != TEST_AROM || !f->pain || back == NULL)
        return;
    enum side side = back == f->motion ? rules_other_side(f->side) : f->side;
    const struct finding *passive = rules_row_of(s->v, back, side, f->digit, TEST_PROM);
    const struct finding *grade = resisted(s, f);
    if (!is_painful(passive) || !is_painful(grade) ||
        is_painful(rules_partner(s->v, f, TEST_PROM)) ||
        is_painful(rules_row_of(s->v, back, side, f->digit, TEST_AROM)))
        return;
    (void)found(s, f, passive, grade);
}

static const struct measurement *arc_of(const struct finding *f)
{
    for (size_t i = 0; i < f->n_from; i++)
        if (f->from[i]->pain_from.has)
            return f->from[i];
    return NULL;
}

/* Pain that was only marked is taken to be at the end, where a passive motion is stopped. */
static void full_but_painful(const struct search *s, const struct finding *f)
{
    if (f->test != TEST_PROM || !f->pain || !f->deficit.has || !f->error.limit.has ||
        rules_over(f->deficit.value, f->error.limit.value) ||
        rules_has_flag(f, "normal-other-position"))
        return;
    const struct measurement *arc = arc_of(f);
    if (arc == NULL || !arc->pain_to.has || rules_at_least(arc->pain_to.value, f->end.value))
        (void)found(s, f, NULL, NULL);
}

/* The other side of today, not limited itself. */
static bool is_beyond_other(const struct search *s, const struct finding *f, double error)
{
    const struct finding *other =
        rules_row_of(s->v, f->motion, rules_other_side(f->side), f->digit, TEST_PROM);
    return f->side != SIDE_MIDLINE && other != NULL && rules_position_fit(f, other) != FIT_NO &&
           other->limited != LIMITED_UNKNOWN && other->limited != LIMITED_YES &&
           rules_over(f->end.value - other->end.value, fmax(s->t->deg.value, error));
}

static void excess_passive(const struct search *s, const struct finding *f)
{
    if (f->test != TEST_PROM || f->unit != UNIT_DEG || !f->end.has || f->normal == NULL ||
        !f->error.limit.has || f->normal->lower_is_better ||
        rules_has_flag(f, "normal-other-position"))
        return;
    double error = f->error.limit.value;
    double usual = f->normal->normal + (f->normal->hyper_ok.has ? f->normal->hyper_ok.value : 0);
    double least = fmax(s->t->deg.value, s->t->factor.value * error);
    if (rules_over(f->end.value - usual, least) || is_beyond_other(s, f, error))
        (void)found(s, f, NULL, NULL);
}

/* ---- painful part of the range ------------------------------------------------------------------
 */

static void painful_arc(const struct search *s, const struct finding *f)
{
    const struct measurement *m = arc_of(f);
    if (!rules_is_rom(f) || m == NULL || !m->pain_to.has || !f->end.has)
        return;
    double begins = f->start.has ? f->start.value : 0;
    if (!rules_over(m->pain_from.value, begins) || !rules_over(f->end.value, m->pain_to.value))
        return;
    struct pattern *p = found(s, f, NULL, NULL);
    p->from = m->pain_from;
    p->to = m->pain_to;
}

/* Of shoulder abduction alone: pain that begins late and lasts to the end. */
static void high_arc(const struct search *s, const struct finding *f)
{
    const struct measurement *m = arc_of(f);
    if (!rules_is_rom(f) || m == NULL || !f->end.has || !str_eq(f->motion->joint, "shoulder") ||
        !str_eq(f->motion->motion, "abduction"))
        return;
    bool to_end = !m->pain_to.has || rules_at_least(m->pain_to.value, f->end.value);
    if (!to_end || !rules_at_least(m->pain_from.value, s->t->deg.value) ||
        rules_over(m->pain_from.value, f->end.value))
        return;
    struct pattern *p = found(s, f, NULL, NULL);
    p->from = m->pain_from;
    p->to = f->end;
}

/* ---- end feel
 * ------------------------------------------------------------------------------------ */

static bool is_other_than_usual(const struct finding *f, enum end_feel felt)
{
    const struct goniometry *usual = f->motion->goniometry;
    return rules_is_rom(f) && f->end_feel == felt && usual != NULL &&
           usual->end_feel != END_FEEL_NONE && !rules_end_feel_expected(f);
}

static void hard(const struct search *s, const struct finding *f)
{
    if (is_other_than_usual(f, END_FEEL_HARD))
        (void)found(s, f, NULL, NULL);
}

static void firm(const struct search *s, const struct finding *f)
{
    if (is_other_than_usual(f, END_FEEL_FIRM))
        (void)found(s, f, NULL, NULL);
}

static void soft(const struct search *s, const struct finding *f)
{
    if (is_other_than_usual(f, END_FEEL_SOFT))
        (void)found(s, f, NULL, NULL);
}

static void early(const struct search *s, const struct finding *f)
{
    if (f->test == TEST_PROM && f->end_feel != END_FEEL_NONE && f->limited == LIMITED_YES &&
        f->motion->goniometry != NULL && rules_end_feel_expected(f))
        (void)found(s, f, NULL, NULL);
}

static void springy(const struct search *s, const struct finding *f)
{
    if (rules_is_rom(f) && f->end_feel == END_FEEL_SPRINGY)
        (void)found(s, f, NULL, NULL);
}

static void spasm(const struct search *s, const struct finding *f)
{
    if (rules_is_rom(f) && f->end_feel == END_FEEL_SPASM)
        (void)found(s, f, NULL, NULL);
}

static void empty(const struct search *s, const struct finding *f)
{
    if (rules_is_rom(f) && f->end_feel == END_FEEL_EMPTY)
        (void)found(s, f, NULL, NULL);
}

/* ---- all
 * ------------------------------------------------------------------------------------------ */

static const struct {
    const char *id;
    void (*look)(const struct search *s, const struct finding *f);
} looks[] = {
    {"strong-painful", strong_painful},
    {"weak-painless", weak_painless},
    {"weak-painful", weak_painful},
    {"all-resisted-painful", all_painful},
    {"active-lag", active_lag},
    {"both-equally-limited", both_limited},
    {"same-direction-pain", same_direction},
    {"opposite-direction-pain", opposite_direction},
    {"full-but-painful-end", full_but_painful},
    {"excess-passive-range", excess_passive},
    {"painful-arc", painful_arc},
    {"high-arc", high_arc},
    {"hard-where-firm", hard},
    {"firm-where-soft-or-hard", firm},
    {"soft-where-firm-or-hard", soft},
    {"normal-type-early", early},
    {"springy", springy},
    {"spasm", spasm},
    {"empty", empty},
};

/* Row by row, head to foot; for each row in the order above. */
void rules_tension(struct visit_findings *v, struct arena *a)
{
    struct search s[ARRAY_LEN(looks)];
    if (!v->clinic->show_patterns)
        return;
    for (size_t k = 0; k < ARRAY_LEN(looks); k++)
        s[k] = (struct search){v, a, reference_tension(v->ref, looks[k].id)};
    for (size_t i = 0; i < v->n_rows; i++) {
        if (!rules_is_usable(&v->rows[i]))
            continue;
        for (size_t k = 0; k < ARRAY_LEN(looks); k++)
            if (s[k].t != NULL)
                looks[k].look(&s[k], &v->rows[i]);
    }
}
