/*
 * Which measurement error a difference is held against.
 *
 * A study counts when it measured the same motion in the same unit, by the same kind of repeat
 * (one rater or two), with the same instrument and mode or without naming them. A bound over
 * several motions, or the error of a total arc, never stands for one motion. Among studies:
 * stated mode and instrument, patients before healthy people, a published MDC95 before one that
 * is derived, and among equals the larger figure.
 *
 * A figure too large to judge by (over a quarter of the normal value) gives way to the rule of
 * thumb, and so does one below it, since no goniometer in a clinic does better than its working
 * threshold: the limit, its basis and its source always belong together. Millimetres and
 * centimetres have no rule of thumb: without a study there is no limit and no verdict.
 */
#include "rules/rules_int.h"

/* Set-ups that studies name and whose error is not that of the plain measurement: such a study
 * counts only where the record states the same. */
static const char *const setups[][2] = {
    {"lunge", "lunge"},
    {"skin-mark", "skin-mark"},
    {"fingertip", "fingertip"},
    {"toe-to-wall", "toe-to-wall"},
    {"Thomas", "Thomas"}};

static bool setup_fits(const struct error_row *row, const struct finding *f)
{
    for (size_t i = 0; i < ARRAY_LEN(setups); i++)
        if (rules_states(row->population, setups[i][0]) &&
            !rules_states(f->position, setups[i][1]) && !rules_states(f->tool, setups[i][1]))
            return false;
    return true;
}

static enum mode mode_of(const struct finding *f)
{
    return f->test == TEST_PROM ? MODE_PASSIVE : MODE_ACTIVE;
}

/* A tool that is not stated is taken for the usual one of the motion. */
static enum instrument instrument_of(const struct error_question *q)
{
    static const enum instrument known[] = {INSTRUMENT_GONIOMETER, INSTRUMENT_INCLINOMETER,
                                            INSTRUMENT_TAPE, INSTRUMENT_RULER};
    if (q->instrument != INSTRUMENT_UNKNOWN)
        return q->instrument;
    const struct goniometry *usual = q->row->motion->goniometry;
    for (size_t i = 0; usual != NULL && i < ARRAY_LEN(known); i++)
        if (rules_states(usual->instrument, instrument_name(known[i])))
            return known[i];
    return INSTRUMENT_GONIOMETER;
}

/* Nearly every row is of another motion, which its first letters tell. */
static bool is_of_motion(const struct error_row *row, const struct motion *m)
{
    return row->joint != NULL && row->motion != NULL && row->motion[0] == m->motion[0] &&
           row->joint[0] == m->joint[0] && str_eq(row->joint, m->joint) &&
           str_eq(row->motion, m->motion);
}

bool rules_error_counts(const struct error_row *row, const struct error_question *q)
{
    const struct finding *f = q->row;
    if (!is_of_motion(row, f->motion))
        return false;
    bool figure = row->mdc95.has || row->sem.has || row->mdc90.has;
    bool same_mode = row->mode == MODE_UNSPECIFIED || row->mode == mode_of(f);
    /* By eye is no instrument: a study that names none was not of estimates. */
    bool same_tool = row->instrument == INSTRUMENT_UNKNOWN
                         ? instrument_of(q) != INSTRUMENT_VISUAL
                         : row->instrument == instrument_of(q);
    return figure && !row->rule_of_thumb && row->unit == f->unit &&
           row->inter == q->two_raters && same_mode && same_tool &&
           !rules_states(row->population, "total") && !rules_states(row->known.text, "total") &&
           setup_fits(row, f);
}

static bool is_healthy(const struct error_row *row)
{
    bool pain = rules_states(row->population, "pain") || rules_states(row->population, "painful");
    return !pain && (rules_states(row->population, "healthy") ||
                     rules_states(row->population, "asymptomatic"));
}

/* The study's figures, completed by what follows from them. */
static struct error_used figures(const struct error_row *row)
{
    struct error_used e = {.row = row, .sem = row->sem, .mdc90 = row->mdc90, .mdc95 = row->mdc95};
    e.basis = row->mdc95.has && !row->derived ? BASIS_PUBLISHED : BASIS_DERIVED;
    if (!e.mdc95.has && e.sem.has)
        e.mdc95 = num_of(rules_mdc95(e.sem.value));
    else if (!e.mdc95.has)
        e.mdc95 = num_of(rules_mdc95_of_mdc90(e.mdc90.value));
    if (!e.mdc90.has)
        e.mdc90 =
            num_of(e.sem.has ? rules_mdc90(e.sem.value) : rules_mdc90_of_mdc95(e.mdc95.value));
    return e;
}

static int rank_of(const struct error_row *row)
{
    return 8 * (row->mode != MODE_UNSPECIFIED) + 4 * (row->instrument != INSTRUMENT_UNKNOWN) +
           2 * !is_healthy(row) + (figures(row).basis == BASIS_PUBLISHED);
}

static const struct error_row *best_study(const struct error_question *q)
{
    const struct error_row *rows = q->row->motion->errors, *best = NULL;
    for (size_t i = 0; i < q->row->motion->n_errors; i++) {
        if (!rules_error_counts(&rows[i], q))
            continue;
        int ahead = best == NULL ? 1 : rank_of(&rows[i]) - rank_of(best);
        if (ahead > 0 || (ahead == 0 && figures(&rows[i]).mdc95.value > figures(best).mdc95.value))
            best = &rows[i];
    }
    return best;
}

static const struct error_row *rule_of_thumb(const struct visit_findings *v,
                                             const struct finding *f, bool two_raters)
{
    size_t n;
    const struct error_row *rows = reference_errors(v->ref, &n);
    for (size_t i = 0; i < n; i++)
        if (rows[i].rule_of_thumb && rows[i].unit == f->unit && rows[i].inter == two_raters &&
            rows[i].mode == mode_of(f) && rows[i].mdc95.has)
            return &rows[i];
    return NULL;
}

static bool is_too_large(const struct visit_findings *v, const struct error_used *e,
                         const struct finding *f)
{
    double share = reference_threshold(v->ref, THRESHOLD_ERROR_SHARE) / 100;
    const struct norm *normal = f->normal != NULL ? f->normal : f->motion->normal;
    return normal != NULL && normal->unit == f->unit && normal->normal > 0 &&
           rules_over(e->mdc95.value, share * normal->normal);
}

static bool is_below_thumb(const struct error_used *e, const struct error_row *thumb)
{
    return thumb != NULL && !rules_at_least(e->mdc95.value, thumb->mdc95.value);
}

/* The error of one person, or of two before they are held against one. */
static struct error_answer error_alone(const struct visit_findings *v, struct error_question q)
{
    struct error_answer answer = {.used.basis = BASIS_NONE};
    const struct finding *f = q.row;
    const struct error_row *study = best_study(&q);
    bool visual = study == NULL && q.instrument == INSTRUMENT_VISUAL;
    const struct error_row *thumb = rule_of_thumb(v, f, q.two_raters || visual);
    if (study != NULL) {
        answer.used = figures(study);
        answer.used.limit = answer.used.mdc95;
        answer.too_large = thumb != NULL && is_too_large(v, &answer.used, f);
    }
    if (study == NULL || answer.too_large || is_below_thumb(&answer.used, thumb)) {
        answer.used = (struct error_used){.basis = BASIS_NONE};
        if (thumb != NULL)
            answer.used = (struct error_used){
                .basis = BASIS_RULE_OF_THUMB, .row = thumb, .limit = thumb->mdc95};
        answer.visual = visual && thumb != NULL;
    }
    return answer;
}

struct error_answer rules_error_for(const struct visit_findings *v, struct error_question q)
{
    if (!rules_is_rom(q.row))
        return (struct error_answer){.used.basis = BASIS_NONE};
    struct error_answer answer = error_alone(v, q);
    if (q.two_raters) {
        /* Two people never agree better than one with himself: where the studies say so, they were
         * of other patients, and the wider figure is the safe one. */
        q.two_raters = false;
        struct error_used one = error_alone(v, q).used;
        if (one.limit.has && answer.used.limit.has &&
            rules_over(one.limit.value, answer.used.limit.value))
            answer.used = one;
        answer.used.two_raters = true;
    }
    return answer;
}

void rules_error(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        struct error_answer answer =
            rules_error_for(v, (struct error_question){.row = f, .instrument = f->instrument});
        f->error = answer.used;
        if (answer.too_large && f->end.has)
            rules_flag(f, "published-error-too-large");
        if (answer.visual && f->end.has)
            rules_flag(f, "visual-estimate");
    }
}
