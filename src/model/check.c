/* Everything that must hold of a patient after import, walked in one place: tests and the
 * pipeline's assertions call it after each stage, so that a broken promise shows where it broke. */
#include "model/model.h"

#include <math.h>
#include <stdio.h>

struct breach {
    char *why;
    size_t size;
};

static bool broken(const struct breach *b, const char *fmt, ...) PRINTF_LIKE(2, 3);
static bool broken(const struct breach *b, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    if (b->size > 0)
        vsnprintf(b->why, b->size, fmt, ap);
    va_end(ap);
    return false;
}

static bool range_holds(struct num low, struct num high, double least, double most)
{
    if (low.has != high.has)
        return false;
    return !low.has || (low.value >= least && high.value <= most && low.value <= high.value);
}

static bool tries_hold(const struct measurement *m)
{
    if (m->n_tries < 0 || m->n_tries > TRIES_MAX)
        return false;
    double sum = 0;
    for (int i = 0; i < m->n_tries; i++)
        sum += m->tries[i];
    struct num mean = m->test == TEST_FORCE ? m->force_n : m->end;
    if (m->n_tries == 0)
        return !mean.has;
    return mean.has && fabs(sum / m->n_tries - mean.value) <= 1e-9 * (1 + fabs(mean.value));
}

static bool check_place(const struct measurement *m, const struct breach *b)
{
    const struct motion *mo = m->motion;
    if (m->test == TEST_NONE)
        return broken(b, "%s %s: no test", mo->joint, mo->motion);
    bool midline = mo->sides == SIDES_MIDLINE;
    if (m->side == SIDE_NONE || midline != (m->side == SIDE_MIDLINE))
        return broken(b, "%s %s: side does not fit the motion", mo->joint, mo->motion);
    if (m->digit < mo->digit_min || m->digit > mo->digit_max)
        return broken(b, "%s %s: digit %d", mo->joint, mo->motion, m->digit);
    return true;
}

static bool check_numbers(const struct measurement *m, const struct breach *b)
{
    const char *joint = m->motion->joint, *motion = m->motion->motion;
    bool angle = m->test == TEST_AROM || m->test == TEST_PROM;
    if (!model_has_number(m->status)) {
        bool none = !m->start.has && !m->end.has && m->n_tries == 0 && m->grade == NULL &&
                    !m->force_n.has;
        return none || broken(b, "%s %s: %s with a number", joint, motion,
                              reading_status_name(m->status));
    }
    if (!check_place(m, b))
        return false;
    if (angle != m->end.has || (m->test == TEST_MMT) != (m->grade != NULL) ||
        (m->test == TEST_FORCE) != m->force_n.has)
        return broken(b, "%s %s: the number does not fit the test", joint, motion);
    if (m->test != TEST_MMT && !tries_hold(m))
        return broken(b, "%s %s: tries and their mean differ", joint, motion);
    if (m->start.has && (!angle || m->start.value > m->end.value))
        return broken(b, "%s %s: start beyond end", joint, motion);
    if (angle && (m->unit == UNIT_NONE || !isfinite(m->end.value)))
        return broken(b, "%s %s: no unit or no number", joint, motion);
    if (m->force_n.has && (!isfinite(m->force_n.value) || m->force_n.value < 0))
        return broken(b, "%s %s: force out of range", joint, motion);
    return true;
}

static bool check_measurement(const struct measurement *m, const struct breach *b)
{
    if (m->motion == NULL || m->text == NULL)
        return broken(b, "measurement without a motion or a text");
    if (m->n_notes < 0 || m->n_notes > NOTES_MAX || m->n_compensations < 0 ||
        m->n_compensations > COMPENSATIONS_MAX)
        return broken(b, "%s %s: list lengths", m->motion->joint, m->motion->motion);
    if (!range_holds(m->pain_low, m->pain_high, 0, 10))
        return broken(b, "%s %s: pain outside 0-10", m->motion->joint, m->motion->motion);
    if (m->lever_m.has && m->lever_m.value <= 0)
        return broken(b, "%s %s: lever", m->motion->joint, m->motion->motion);
    if (m->derived && m->start.has)
        return broken(b, "%s %s: derived with a start", m->motion->joint, m->motion->motion);
    return check_numbers(m, b);
}

static bool check_visit(const struct patient *p, size_t i, const struct breach *b)
{
    const struct visit *v = &p->visits[i];
    if (v->patient != p || !date_is_set(v->date))
        return broken(b, "visit %zu without patient or date", i);
    if (i > 0 && date_compare(p->visits[i - 1].date, v->date) >= 0)
        return broken(b, "visit %zu not after the one before", i);
    if (!range_holds(v->pain_rest_low, v->pain_rest_high, 0, 10) ||
        !range_holds(v->pain_move_low, v->pain_move_high, 0, 10))
        return broken(b, "visit %zu: pain outside 0-10", i);
    for (size_t k = 0; k < v->n_measurements; k++) {
        if (!check_measurement(&v->measurements[k], b))
            return false;
        if (k > 0 && model_measurement_compare(&v->measurements[k - 1], &v->measurements[k]) > 0)
            return broken(b, "visit %zu: measurement %zu out of order", i, k);
    }
    return true;
}

bool model_check(const struct patient *p, char *why, size_t why_size)
{
    struct breach b = {why, why_size};
    if (p->arena == NULL || p->id == NULL)
        return broken(&b, "patient without arena or id");
    for (size_t i = 0; i < p->n_visits; i++)
        if (!check_visit(p, i, &b))
            return false;
    for (size_t i = 0; i < p->n_goals; i++) {
        const struct goal *g = &p->goals[i];
        if (g->motion == NULL || g->test == TEST_NONE || g->value.has == (g->grade != NULL))
            return broken(&b, "goal %zu without motion, test or exactly one target", i);
    }
    for (size_t i = 0; i < p->n_limits; i++) {
        const struct limit *l = &p->limits[i];
        if (l->kind == LIMIT_RANGE && (l->motion == NULL || !l->value.has))
            return broken(&b, "limit %zu: a range without motion or value", i);
    }
    return true;
}
