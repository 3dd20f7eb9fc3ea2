/* Goals and limits: what a row aims at or must not pass. The same goal is repeated on many rows of
 * an export and counts once; two that differ under one id are both left out. */
#include "import/meaning_int.h"

#include <string.h>

static const enum import_column goal_columns[] = {COL_GOAL_ID,       COL_GOAL_VALUE,
                                                  COL_GOAL_DUE,      COL_GOAL_ACTIVITY,
                                                  COL_GOAL_SET_ON,   COL_GOAL_BASELINE};
static const enum import_column limit_columns[] = {COL_LIMIT_KIND, COL_LIMIT_TEST, COL_LIMIT_VALUE,
                                                   COL_LIMIT_FROM, COL_LIMIT_UNTIL, COL_LIMIT_BY};

static bool has_any(const struct row_state *rs, const enum import_column *columns, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (meaning_has(rs, columns[i]))
            return true;
    return false;
}

static bool has_goal(const struct row_state *rs)
{
    return has_any(rs, goal_columns, ARRAY_LEN(goal_columns));
}

static bool has_limit(const struct row_state *rs)
{
    return has_any(rs, limit_columns, ARRAY_LEN(limit_columns));
}

bool aims_are_in(const struct row_state *rs)
{
    return has_goal(rs) || has_limit(rs);
}

/* ---- goals --------------------------------------------------------------------------------- */

/* A number on the angle scale, within what the joint can do. */
static bool read_target(struct meaning *m, struct row_state *rs, enum import_column c,
                        const struct motion *motion, struct num *value)
{
    static const char *const units[] = {"degrees", "deg", "\xC2\xB0", "mm", "cm", NULL};
    enum { FAR = 100000 };
    if (!field_number(m, rs, c, units, -FAR, FAR, value))
        return false;
    if (value->has && !field_in_range(motion, value->value)) {
        meaning_say(m, rs, c, DIAG_CELL_OUT_OF_RANGE, NULL);
        return false;
    }
    return true;
}

static bool read_goal_value(struct meaning *m, struct row_state *rs, struct goal *g)
{
    struct value_reading r = {.status = READING_NOT_RECORDED};
    const char *text = meaning_cell(rs, COL_GOAL_VALUE);
    if (*text == '\0')
        return true; /* another row may tell it; aims_store sees to it */
    if (g->test != TEST_MMT && g->test != TEST_FORCE)
        return read_target(m, rs, COL_GOAL_VALUE, g->motion, &g->value);
    if (g->test == TEST_MMT)
        cell_grade(text, meaning_rules(rs), m->ref, m->arena, &r);
    else
        force_read(text, meaning_cell(rs, COL_UNIT), g->motion, meaning_rules(rs), m->arena, &r);
    g->grade = r.grade;
    g->value = g->test == TEST_FORCE ? r.end : num_none();
    if (g->grade != NULL || g->value.has)
        return true;
    meaning_say(m, rs, COL_GOAL_VALUE,
                r.status == READING_HELD_BACK ? r.why : DIAG_GOAL_NO_VALUE, NULL);
    return false;
}

static bool read_goal_test(struct meaning *m, struct row_state *rs, struct goal *g)
{
    enum diag_code why;
    if (!cell_test(meaning_cell(rs, COL_TEST), &g->test, &why)) {
        meaning_say(m, rs, COL_TEST, why, NULL);
        return false;
    }
    if (g->test == TEST_NONE && meaning_has(rs, COL_GRADE))
        g->test = TEST_MMT;
    if (g->test == TEST_NONE)
        meaning_say(m, rs, COL_TEST, DIAG_TEST_MISSING, NULL);
    return g->test != TEST_NONE;
}

static bool same_target(const struct goal *a, const struct goal *b)
{
    return a->value.has == b->value.has && a->value.value == b->value.value && a->grade == b->grade;
}

/* Whether two rows speak of one goal: one place and test, and one id; without ids, one target. */
static bool one_goal(const struct goal *a, const struct goal *b)
{
    return a->motion == b->motion && a->side == b->side && a->digit == b->digit &&
           a->test == b->test && str_eq_nocase(a->id, b->id) &&
           (a->id != NULL || same_target(a, b));
}

static bool nums_differ(struct num a, struct num b)
{
    return a.has && b.has && a.value != b.value;
}

static bool dates_differ(struct date a, struct date b)
{
    return date_is_set(a) && date_is_set(b) && date_compare(a, b) != 0;
}

/* The column in which two tellings of one goal contradict each other, or COL_COUNT. */
static enum import_column goal_differs(const struct goal *a, const struct goal *b)
{
    if (nums_differ(a->value, b->value) ||
        (a->grade != NULL && b->grade != NULL && a->grade != b->grade))
        return COL_GOAL_VALUE;
    if (dates_differ(a->due, b->due))
        return COL_GOAL_DUE;
    if (nums_differ(a->baseline, b->baseline))
        return COL_GOAL_BASELINE;
    if (a->activity != NULL && b->activity != NULL && !str_eq_nocase(a->activity, b->activity))
        return COL_GOAL_ACTIVITY;
    return COL_COUNT;
}

/* Whether it adds anything. */
static bool add_to_goal(struct goal *known, const struct goal *g)
{
    bool value = !known->value.has && g->value.has;
    bool grade = known->grade == NULL && g->grade != NULL;
    bool baseline = !known->baseline.has && g->baseline.has;
    bool due = !date_is_set(known->due) && date_is_set(g->due);
    bool activity = known->activity == NULL && g->activity != NULL;
    /* Set on the first day that names it. */
    bool set_on = date_is_set(g->set_on) && (!date_is_set(known->set_on) ||
                                             date_compare(g->set_on, known->set_on) < 0);
    known->value = value ? g->value : known->value;
    known->grade = grade ? g->grade : known->grade;
    known->baseline = baseline ? g->baseline : known->baseline;
    known->due = due ? g->due : known->due;
    known->activity = activity ? g->activity : known->activity;
    known->set_on = set_on ? g->set_on : known->set_on;
    return value || grade || baseline || due || activity || set_on;
}

static struct told_days first_told(struct date on)
{
    return (struct told_days){.first = on, .settled = on};
}

static void told_again(struct told_days *days, struct date on, bool adds)
{
    if (date_compare(on, days->first) < 0)
        days->first = on;
    if (adds && date_compare(on, days->settled) > 0)
        days->settled = on;
}

static void add_goal(struct meaning *m, struct row_state *rs, const struct goal *g)
{
    for (size_t i = 0; i < m->n_goals; i++) {
        struct draft_goal *known = &m->goals[i];
        if (!one_goal(&known->g, g))
            continue;
        enum import_column c = goal_differs(&known->g, g);
        if (c == COL_COUNT) {
            told_again(&known->days, rs->date, add_to_goal(&known->g, g));
            return;
        }
        meaning_say(m, known->from, c, DIAG_GOAL_CONTRADICTS, "also %s",
                    meaning_line(m, known->from, rs));
        meaning_say(m, rs, c, DIAG_GOAL_CONTRADICTS, "also %s", meaning_line(m, rs, known->from));
        known->contradicted = true;
        m->unsettled = true;
        return;
    }
    m->goals = meaning_grow(m->scratch, m->goals, m->n_goals, &m->cap_goals, sizeof *m->goals);
    m->goals[m->n_goals++] =
        (struct draft_goal){.g = *g, .from = rs, .days = first_told(rs->date)};
}

void aims_store(struct meaning *m)
{
    struct patient *p = m->p;
    p->goals = arena_alloc(m->arena, (m->n_goals + 1) * sizeof *p->goals);
    m->goal_days = arena_room(m->scratch, (m->n_goals + 1) * sizeof *m->goal_days);
    for (size_t i = 0; i < m->n_goals; i++) {
        struct draft_goal *d = &m->goals[i];
        if (!d->contradicted && !d->g.value.has && d->g.grade == NULL)
            meaning_say(m, d->from, COL_GOAL_VALUE, DIAG_GOAL_NO_VALUE, NULL);
        if (d->contradicted || (!d->g.value.has && d->g.grade == NULL))
            continue;
        m->goal_days[p->n_goals] = d->days;
        p->goals[p->n_goals++] = d->g;
    }
}

static void take_goal(struct meaning *m, struct row_state *rs, const struct motion *motion,
                      enum side side, int digit)
{
    struct goal g = {.motion = motion, .side = side, .digit = digit};
    g.pos = meaning_pos(rs, COL_GOAL_VALUE);
    g.id = field_text(m, rs, COL_GOAL_ID);
    g.activity = field_text(m, rs, COL_GOAL_ACTIVITY);
    g.set_on = rs->date;
    bool ok = read_goal_test(m, rs, &g) && read_goal_value(m, rs, &g);
    ok = field_date(m, rs, COL_GOAL_DUE, true, &g.due) && ok;
    ok = field_date(m, rs, COL_GOAL_SET_ON, false, &g.set_on) && ok;
    if (g.test != TEST_MMT && g.test != TEST_FORCE)
        ok = read_target(m, rs, COL_GOAL_BASELINE, motion, &g.baseline) && ok;
    if (ok)
        add_goal(m, rs, &g);
}

/* ---- limits -------------------------------------------------------------------------------- */

static const struct field_word limit_kinds[] = {
    {"range", LIMIT_RANGE}, {"resistance", LIMIT_RESISTANCE},
    {"weight-bearing", LIMIT_WEIGHT_BEARING}, {"weight bearing", LIMIT_WEIGHT_BEARING},
    {"no-test", LIMIT_NO_TEST}, {"no test", LIMIT_NO_TEST}, {NULL, 0}};

static bool read_limit_value(struct meaning *m, struct row_state *rs, struct limit *l)
{
    static const char *const units[] = {"%", "kg", NULL};
    enum { FAR = 100000 };
    if (l->kind == LIMIT_RANGE && !meaning_has(rs, COL_LIMIT_VALUE)) {
        meaning_say(m, rs, COL_LIMIT_VALUE, DIAG_LIMIT_NO_VALUE, NULL);
        return false;
    }
    if (l->motion != NULL && l->kind == LIMIT_RANGE)
        return read_target(m, rs, COL_LIMIT_VALUE, l->motion, &l->value) && l->value.has;
    return field_number(m, rs, COL_LIMIT_VALUE, units, 0, FAR, &l->value);
}

static bool read_limit_test(struct meaning *m, struct row_state *rs, struct limit *l)
{
    enum diag_code why;
    const char *text = meaning_cell(rs, COL_LIMIT_TEST);
    if (*text == '\0' || str_eq_nocase(text, "any") || str_eq_nocase(text, "all"))
        return true;
    if (cell_test(text, &l->test, &why))
        return true;
    meaning_say(m, rs, COL_LIMIT_TEST, why, NULL);
    return false;
}

static bool same_limit(const struct limit *a, const struct limit *b)
{
    return a->kind == b->kind && a->motion == b->motion && a->side == b->side &&
           a->digit == b->digit && a->test == b->test && a->value.has == b->value.has &&
           a->value.value == b->value.value && date_compare(a->from, b->from) == 0 &&
           date_compare(a->until, b->until) == 0 && str_eq_nocase(a->by, b->by);
}

static void add_limit(struct meaning *m, const struct row_state *rs, const struct limit *l)
{
    struct patient *p = m->p;
    for (size_t i = 0; i < p->n_limits; i++) {
        if (same_limit(&p->limits[i], l)) {
            told_again(&m->limit_days[i], rs->date, false);
            return;
        }
    }
    m->limit_days = meaning_grow(m->scratch, m->limit_days, p->n_limits, &m->cap_limit_days,
                                 sizeof *m->limit_days);
    m->limit_days[p->n_limits] = first_told(rs->date);
    p->limits = meaning_grow(m->arena, p->limits, p->n_limits, &m->cap_limits, sizeof *p->limits);
    p->limits[p->n_limits++] = *l;
}

static void take_limit(struct meaning *m, struct row_state *rs, const struct motion *motion,
                       enum side side, int digit)
{
    struct limit l = {.motion = motion, .side = side, .digit = digit};
    int kind = -1;
    l.pos = meaning_pos(rs, COL_LIMIT_KIND);
    if (!field_word(m, rs, COL_LIMIT_KIND, limit_kinds, &kind))
        return;
    if (kind < 0) {
        meaning_say(m, rs, COL_LIMIT_KIND, DIAG_LIMIT_NO_KIND, NULL);
        return;
    }
    l.kind = (enum limit_kind)kind;
    if (l.kind == LIMIT_RANGE && motion == NULL) {
        meaning_say(m, rs, COL_LIMIT_KIND, DIAG_LIMIT_NO_MOTION, NULL);
        return;
    }
    bool ok = read_limit_test(m, rs, &l) && read_limit_value(m, rs, &l);
    ok = field_date(m, rs, COL_LIMIT_FROM, true, &l.from) && ok;
    ok = field_date(m, rs, COL_LIMIT_UNTIL, true, &l.until) && ok;
    if (ok && date_is_set(l.until) && date_compare(l.until, l.from) < 0) {
        meaning_say(m, rs, COL_LIMIT_UNTIL, DIAG_LIMIT_DATES, NULL);
        ok = false;
    }
    l.by = field_text(m, rs, COL_LIMIT_BY);
    if (ok)
        add_limit(m, rs, &l);
}

/* ---- one row ------------------------------------------------------------------------------- */

void aims_take(struct meaning *m, struct row_state *rs)
{
    const struct motion *motion = NULL;
    enum side side = SIDE_NONE;
    int digit = 0;
    bool named = meaning_has(rs, COL_JOINT) || meaning_has(rs, COL_MOTION);
    bool ok = true;
    if (named) {
        motion = field_motion(m, rs);
        ok = motion != NULL && field_side(m, rs, motion, &side) &&
             field_side_fits(m, rs, motion, &side) && field_digit(m, rs, motion, &digit);
    } else if (has_goal(rs)) {
        meaning_say(m, rs, COL_GOAL_VALUE, DIAG_GOAL_NO_MOTION, NULL);
    }
    if (has_goal(rs) && named && ok)
        take_goal(m, rs, motion, side, digit);
    if (has_limit(rs) && ok)
        take_limit(m, rs, motion, side, digit);
}
