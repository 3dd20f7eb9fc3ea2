/*
 * Patterns of passive motion: loss in the proportions of a joint's capsule or out of them, and a
 * muscle that stops one joint when it is stretched over the next. The conditions are data of the
 * reference; what is found is an id with the readings it rests on, never a statement.
 *
 * A loss counts only where the motion is limited, not merely short of the handbook, and lies below
 * peers or the other side by more than error; with a replacement, a fusion or a fracture of the
 * joint on file nothing is said.
 */
#include "rules/rules_int.h"

#include <math.h>

struct pattern *rules_new_pattern(struct visit_findings *v, struct arena *a, size_t max_rows)
{
    enum { STEP = 8 };
    if (v->n_patterns % STEP == 0) {
        struct pattern *more = arena_alloc(a, (v->n_patterns + STEP) * sizeof *more);
        for (size_t i = 0; i < v->n_patterns; i++)
            more[i] = v->patterns[i];
        v->patterns = more;
    }
    struct pattern *p = &v->patterns[v->n_patterns++];
    p->rows = arena_alloc(a, max_rows * sizeof *p->rows);
    return p;
}

bool rules_is_taut(const struct finding *f)
{
    const struct muscle_length *m = f->motion->muscle_length;
    return m != NULL && rules_states_any(f->position, m->taut);
}

static bool is_judged(const struct finding *f)
{
    return f->test == TEST_PROM && rules_is_usable(f) && f->end.has && f->deficit.has &&
           !rules_has_flag(f, "normal-other-position");
}

/* ---- muscle length -------------------------------------------------------------------------- */

/* Passive row of the motion in one of the positions, whatever its normal value is for. */
static const struct finding *row_in(const struct visit_findings *v, const struct muscle_length *m,
                                    const char *positions, enum side side)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        if (f->motion == m->motion && f->side == side && f->test == TEST_PROM &&
            rules_is_usable(f) && f->end.has && rules_states_any(f->position, positions))
            return f;
    }
    return NULL;
}

/* The motion is limited where the muscle is taut, not where it is slack, and the two readings
 * differ by more than error. */
static void find_short(struct visit_findings *v, struct arena *a, const struct muscle_length *m,
                       enum side side)
{
    const struct finding *taut = row_in(v, m, m->taut, side);
    const struct finding *slack = row_in(v, m, m->slack, side);
    if (taut == NULL || slack == NULL || taut == slack || taut->limited != LIMITED_YES ||
        slack->limited == LIMITED_YES || slack->limited == LIMITED_UNKNOWN ||
        !taut->error.limit.has)
        return;
    double gap = slack->end.value - taut->end.value;
    if (!rules_over(gap, taut->error.limit.value))
        return;
    struct pattern *p = rules_new_pattern(v, a, 2);
    p->kind = m->id;
    p->length = m;
    p->joint = m->motion->joint;
    p->motion = m->motion;
    p->side = side;
    p->gap = num_of(gap);
    p->rows[p->n_rows++] = taut;
    p->rows[p->n_rows++] = slack;
}

static void find_lengths(struct visit_findings *v, struct arena *a)
{
    size_t n;
    const struct muscle_length *lengths = reference_muscle_lengths(v->ref, &n);
    for (size_t i = 0; i < n; i++) {
        find_short(v, a, &lengths[i], SIDE_RIGHT);
        find_short(v, a, &lengths[i], SIDE_LEFT);
    }
}

static bool is_found(const struct visit_findings *v, const char *kind, enum side side)
{
    for (size_t i = 0; i < v->n_patterns; i++)
        if (str_eq(v->patterns[i].kind, kind) && v->patterns[i].side == side)
            return true;
    return false;
}

/* ---- losses of one joint --------------------------------------------------------------------- */

/* One motion of a pattern: its row, or those of both sides where the joint lies in the midline. */
struct lost {
    const struct motion *motion;
    const struct finding *rows[2];
    int n_rows;
    double d, deg; /* mean of the rows: percent missing, or degrees where normal is 0; degrees */
};

struct joint_losses {
    const struct capsular *c;
    enum side side;
    int digit;
    struct lost lost[2 * CAPSULAR_MOTIONS_MAX];
    int n;
};

/* The row with the muscle slack before one with it taut; a taut row never where a short muscle is
 * what the test asks to be ruled out. */
static const struct finding *row_of(const struct visit_findings *v, const struct capsular *c,
                                    const struct motion *motion, enum side side, int digit)
{
    const struct finding *taut = NULL;
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        if (f->motion != motion || f->side != side || f->digit != digit || !is_judged(f))
            continue;
        if (!rules_is_taut(f))
            return f;
        if (taut == NULL && !str_eq(motion->muscle_length->id, c->skip_with))
            taut = f;
    }
    return taut;
}

static bool add_lost(const struct visit_findings *v, struct joint_losses *j,
                     const struct motion *motion)
{
    if ((size_t)j->n == ARRAY_LEN(j->lost))
        return false;
    struct lost *lost = &j->lost[j->n];
    *lost = (struct lost){.motion = motion};
    bool both = j->side == SIDE_MIDLINE && motion->sides == SIDES_LEFT_RIGHT;
    enum side first = both ? SIDE_RIGHT : j->side;
    for (int k = 0; k <= (both ? 1 : 0); k++) {
        const struct finding *f = row_of(v, j->c, motion, k == 0 ? first : SIDE_LEFT, j->digit);
        if (f == NULL)
            return false;
        lost->rows[lost->n_rows++] = f;
        lost->d += f->deficit_percent.has ? f->deficit_percent.value : f->deficit.value;
        lost->deg += f->deficit.value;
    }
    lost->d /= lost->n_rows;
    lost->deg /= lost->n_rows;
    j->n++;
    return true;
}

static const struct lost *lost_of(const struct joint_losses *j, const struct motion *motion)
{
    for (int i = 0; i < j->n; i++)
        if (j->lost[i].motion == motion)
            return &j->lost[i];
    return NULL;
}

static bool is_limited(const struct lost *lost)
{
    for (int i = 0; i < lost->n_rows; i++)
        if (lost->rows[i]->limited != LIMITED_YES)
            return false;
    return true;
}

static bool holds(const struct joint_losses *j, const struct loss *test)
{
    const struct lost *m = lost_of(j, test->motion);
    const struct lost *o = test->other == NULL ? NULL : lost_of(j, test->other);
    if (m == NULL)
        return test->if_measured;
    switch (test->test) {
    case LOSS_LEAST:
        return rules_at_least(m->d, test->value);
    case LOSS_LEAST_DEG:
        return rules_at_least(m->deg, test->value);
    case LOSS_ABOVE:
        return rules_over(m->d, test->value);
    case LOSS_BELOW:
        return rules_over(test->value, m->d);
    case LOSS_NOT_BELOW:
        return rules_at_least(m->d, o->d - test->value);
    case LOSS_OVER:
        return rules_over(m->d, o->d);
    case LOSS_NEAR:
        return rules_at_least(test->value, fabs(m->d - o->d));
    case LOSS_RATIO:
        return o->deg > 0 && rules_at_least(m->deg / o->deg, test->value) &&
               rules_at_least(test->high.value, m->deg / o->deg);
    case LOSS_LIMITED:
        return is_limited(m);
    }
    return false;
}

static bool fits(const struct joint_losses *j)
{
    for (size_t i = 0; i < j->c->n_losses; i++)
        if (!holds(j, &j->c->losses[i]))
            return false;
    return true;
}

/* ---- which losses may speak -------------------------------------------------------------------
 */

static bool is_beyond_error(const struct finding *f)
{
    return f->error.limit.has && rules_over(f->deficit.value, f->error.limit.value);
}

/* The normal value of a stated position is the mean of a group of that age and sex. */
static bool is_group_mean(const struct norm *normal)
{
    return normal->role == NORM_SPECIAL &&
           (normal->kind == NORM_STUDY || normal->kind == NORM_POPULATION);
}

/* Below people of that age, or the other side, by more than error. */
static bool is_supported(const struct finding *f)
{
    if (rules_is_below_other_side(f))
        return true;
    if (is_group_mean(f->normal))
        return is_beyond_error(f);
    return f->peers != NULL && f->error.limit.has &&
           rules_over(f->peers->normal - f->end.value, f->error.limit.value);
}

static bool asks_for_loss(const struct loss *test)
{
    return test->test == LOSS_LEAST || test->test == LOSS_LEAST_DEG || test->test == LOSS_LIMITED;
}

/* Every loss the test asks for is of a limited motion, and none beyond error is common at that
 * age on both sides. */
static bool stands(const struct joint_losses *j)
{
    for (size_t i = 0; i < j->c->n_losses; i++) {
        const struct loss *test = &j->c->losses[i];
        if (asks_for_loss(test) && !is_limited(lost_of(j, test->motion)))
            return false;
    }
    for (int i = 0; i < j->n; i++)
        for (int k = 0; k < j->lost[i].n_rows; k++)
            if (is_beyond_error(j->lost[i].rows[k]) && !is_supported(j->lost[i].rows[k]))
                return false;
    return true;
}

static bool has_true_loss(const struct joint_losses *j)
{
    for (int i = 0; i < j->n; i++)
        for (int k = 0; k < j->lost[i].n_rows; k++)
            if (j->lost[i].rows[k]->limited == LIMITED_YES && is_supported(j->lost[i].rows[k]))
                return true;
    return false;
}

static void add(struct visit_findings *v, struct arena *a, const struct joint_losses *j,
                const char *kind)
{
    const struct tension *t = reference_tension(v->ref, kind);
    if (t == NULL)
        return;
    struct pattern *p = rules_new_pattern(v, a, 2 * ARRAY_LEN(j->lost));
    p->kind = t->id;
    p->tension = t;
    p->capsular = j->c;
    p->joint = j->c->joint;
    p->side = j->side;
    p->digit = j->digit;
    for (int i = 0; i < j->n; i++)
        for (int k = 0; k < j->lost[i].n_rows; k++)
            p->rows[p->n_rows++] = j->lost[i].rows[k];
}

static void judge(struct visit_findings *v, struct arena *a, const struct capsular *c,
                  enum side side, int digit)
{
    const unsigned joint = FILE_REPLACEMENT | FILE_FUSION | FILE_FRACTURE;
    struct joint_losses j = {.c = c, .side = side, .digit = digit};
    for (int i = 0; i < c->n_motions; i++)
        if (!add_lost(v, &j, c->motions[i]))
            return;
    for (size_t i = 0; i < c->n_losses; i++)
        if (lost_of(&j, c->losses[i].motion) == NULL)
            (void)add_lost(v, &j, c->losses[i].motion);
    if (!str_is_empty(c->skip_with) && is_found(v, c->skip_with, side))
        return;
    unsigned on_file = rules_on_file(v, c->joint, side);
    if (fits(&j)) {
        if (stands(&j) && (on_file & joint) == 0)
            add(v, a, &j, "capsular-pattern");
    } else if (has_true_loss(&j) && (on_file & (joint | FILE_SURGERY)) == 0) {
        add(v, a, &j, "non-capsular-pattern");
    }
}

static void judge_digits(struct visit_findings *v, struct arena *a, const struct capsular *c,
                         enum side side)
{
    const struct motion *m = c->motions[0];
    if (m->digit_max == 0) {
        judge(v, a, c, side, 0);
        return;
    }
    for (int digit = m->digit_min; digit <= m->digit_max; digit++)
        if (c->digit == 0 || c->digit == digit)
            judge(v, a, c, side, digit);
}

static bool is_of_midline(const struct capsular *c)
{
    for (int i = 0; i < c->n_motions; i++)
        if (c->motions[i]->sides == SIDES_MIDLINE)
            return true;
    return false;
}

void rules_patterns(struct visit_findings *v, struct arena *a)
{
    size_t n;
    const struct capsular *c = reference_capsulars(v->ref, &n);
    if (!v->clinic->show_patterns)
        return;
    find_lengths(v, a);
    for (size_t i = 0; i < n; i++) {
        if (c[i].n_losses == 0 || c[i].n_motions == 0)
            continue;
        if (is_of_midline(&c[i])) {
            judge_digits(v, a, &c[i], SIDE_MIDLINE);
        } else {
            judge_digits(v, a, &c[i], SIDE_RIGHT);
            judge_digits(v, a, &c[i], SIDE_LEFT);
        }
    }
}
