/*
 * Change since the last and since the first earlier visit. A reading compares with one of the
 * same, or an unstated, position and set-up; where there is none, the latest other reading is
 * shown and no change is computed. Plus is better. The verdict holds the unrounded change against
 * the detectable change of one rater, or of two where two people measured.
 *
 * Not compared: readings after treatment, fixed joints, and passive readings below the active
 * ones of their day. An estimate is shown beside the change, which is then not judged.
 */
#include "rules/rules_int.h"

#include <math.h>

struct choice {
    const struct finding *row; /* NULL: the visit has none */
    bool comparable;
    bool ambiguous; /* several positions would do, and none is stated now */
};

static bool is_usable(const struct finding *f, const struct finding *then)
{
    return f->side == then->side && rules_same_kind(f, then) && rules_value(then).has &&
           !then->fixed && !rules_is_doubtful(then);
}

static bool is_comparable(const struct finding *f, const struct finding *then)
{
    return rules_position_fit(f, then) != FIT_NO && rules_setup_fit(f, then) != FIT_NO;
}

/* Same position, then same set-up, then the row that its own visit used, then the same person. */
static int closeness(const struct finding *f, const struct finding *then)
{
    return 16 * is_comparable(f, then) + 8 * (rules_position_fit(f, then) == FIT_SAME) +
           4 * (rules_setup_fit(f, then) == FIT_SAME) + 2 * !then->second_measurer +
           (rules_rater_fit(f, then) == FIT_SAME);
}

static bool is_ambiguous(const struct finding *f, const struct finding *chosen,
                         const struct visit_findings *visit)
{
    if (rules_position_fit(f, chosen) == FIT_SAME)
        return false;
    for (size_t i = 0; i < visit->n_rows; i++) {
        const struct finding *then = &visit->rows[i];
        if (is_usable(f, then) && is_comparable(f, then) &&
            rules_position_fit(then, chosen) == FIT_NO)
            return true;
    }
    return false;
}

static struct choice choose(const struct finding *f, const struct visit_findings *visit)
{
    struct choice c = {.row = NULL};
    for (size_t i = 0; i < visit->n_rows; i++) {
        const struct finding *then = &visit->rows[i];
        if (is_usable(f, then) && (c.row == NULL || closeness(f, then) > closeness(f, c.row)))
            c.row = then;
    }
    if (c.row == NULL || !is_comparable(f, c.row))
        return c;
    c.ambiguous = is_ambiguous(f, c.row, visit);
    c.comparable = !c.ambiguous;
    return c;
}

const struct finding *rules_same_reading(const struct finding *f,
                                         const struct visit_findings *earlier)
{
    struct choice c = choose(f, earlier);
    return c.comparable ? c.row : NULL;
}

enum verdict rules_verdict(double size, const struct error_used *e)
{
    if (!e->limit.has)
        return VERDICT_NONE;
    if (rules_at_least(size, e->limit.value))
        return VERDICT_BEYOND_ERROR;
    if (!e->mdc90.has)
        return VERDICT_WITHIN_ERROR;
    return rules_at_least(size, e->mdc90.value) ? VERDICT_PROBABLE : VERDICT_WITHIN_ERROR;
}

static void judge(const struct visit_findings *v, struct finding *f, const struct finding *then,
                  struct comparison *c)
{
    struct error_question q = {.row = f, .instrument = f->instrument};
    q.two_raters = rules_rater_fit(f, then) == FIT_NO;
    if (q.instrument == INSTRUMENT_UNKNOWN)
        q.instrument = then->instrument;
    if (f->test == TEST_MMT) {
        c->verdict = rules_grade_verdict(v->clinic, f->grade, then->grade, q.two_raters,
                                         &c->error);
    } else {
        c->error = rules_error_for(v, q).used;
        c->verdict = rules_verdict(fabs(c->change.value), &c->error);
    }
    if (c->verdict != VERDICT_NONE && rules_rater_fit(f, then) == FIT_UNSTATED)
        rules_flag(f, "rater-not-stated");
}

static void fill(const struct visit_findings *v, struct finding *f, struct choice choice,
                 const struct visit_findings *visit, struct comparison *c)
{
    c->date = visit->visit->date;
    c->value = rules_value(choice.row);
    c->grade = choice.row->grade;
    if (choice.ambiguous)
        rules_flag(f, "earlier-position-unclear");
    if (!choice.comparable || rules_is_doubtful(f)) {
        c->verdict = VERDICT_NOT_COMPARABLE;
        return;
    }
    double change = rules_value(f).value - c->value.value;
    c->change = num_of(rules_lower_is_better(f) ? -change : change);
    if (f->status != READING_ESTIMATED && choice.row->status != READING_ESTIMATED)
        judge(v, f, choice.row, c);
}

/* The first visit in the given order that can be compared with, else the first with a number. */
static void compare(const struct visit_findings *v, struct finding *f, bool from_oldest,
                    struct comparison *c)
{
    struct choice fallback = {.row = NULL};
    const struct visit_findings *fallback_visit = NULL;
    for (size_t i = 0; i < v->n_earlier; i++) {
        const struct visit_findings *visit = v->earlier[from_oldest ? v->n_earlier - 1 - i : i];
        struct choice choice = choose(f, visit);
        if (choice.comparable) {
            fill(v, f, choice, visit, c);
            return;
        }
        if (choice.row != NULL && fallback.row == NULL) {
            fallback = choice;
            fallback_visit = visit;
        }
    }
    if (fallback.row != NULL)
        fill(v, f, fallback, fallback_visit, c);
}

void rules_change(struct visit_findings *v, struct arena *a)
{
    (void)a;
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (rules_is_after(f) || f->fixed || !rules_value(f).has)
            continue;
        compare(v, f, false, &f->previous);
        compare(v, f, true, &f->first);
    }
}
