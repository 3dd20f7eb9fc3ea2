/* Readings held against each other within a visit: what the visit lends them, one reading told
 * twice, two values for one reading, and the opposite motion that a start angle implies. */
#include "import/meaning_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- what the visit lends ------------------------------------------------------------------ */

/* A visit's goniometer did not take its grades and forces, nor its dynamometer the angles. */
bool join_tool_fits(const char *tool, enum test test)
{
    enum instrument instrument = measure_instrument(tool);
    if (instrument == INSTRUMENT_UNKNOWN)
        return test != TEST_MMT;
    bool range = test == TEST_AROM || test == TEST_PROM;
    return instrument == INSTRUMENT_DYNAMOMETER ? test == TEST_FORCE : range;
}

/* The readings of a patient mostly share a few texts of a few tools. */
static enum instrument instrument_of(struct meaning *m, const char *tool)
{
    if (tool == NULL)
        return INSTRUMENT_UNKNOWN;
    size_t at = (unsigned char)tool[0] % TOOLS_KEPT;
    if (m->tools[at].text == NULL || strcmp(tool, m->tools[at].text) != 0) {
        m->tools[at].text = tool;
        m->tools[at].instrument = measure_instrument(tool);
    }
    return m->tools[at].instrument;
}

static void lend(struct meaning *m, struct measurement *me, const struct visit *v)
{
    /* A role belongs to its person: it is not lent to someone else's reading. */
    bool same_person = me->measured_by == NULL || str_eq_nocase(me->measured_by, v->measured_by);
    if (me->measured_by == NULL)
        me->measured_by = v->measured_by;
    if (same_person && me->role == ROLE_NONE)
        me->role = v->role;
    if (same_person && me->supervisor == NULL)
        me->supervisor = v->supervisor;
    if (me->position == NULL)
        me->position = v->position;
    if (me->tool == NULL && v->tool != NULL && join_tool_fits(v->tool, me->test))
        me->tool = v->tool;
    me->instrument = instrument_of(m, me->tool);
}

static void lend_defaults(struct meaning *m)
{
    const struct visit *v = NULL;
    for (size_t i = 0; i < m->n_drafts; i++) {
        struct draft *d = m->drafts[i];
        if (v == NULL || date_compare(v->date, d->date) != 0)
            v = facts_stored_visit(m, d->date);
        if (v != NULL)
            lend(m, &d->m, v);
    }
}

static void add_measurement_note(struct measurement *me, enum diag_code code)
{
    for (int i = 0; i < me->n_notes; i++)
        if (me->notes[i] == code)
            return;
    if (me->n_notes < NOTES_MAX)
        me->notes[me->n_notes++] = code;
}

static bool may_be_same(const char *a, const char *b)
{
    return a == NULL || b == NULL || str_eq_nocase(a, b);
}

/* ---- one reading twice --------------------------------------------------------------------- */

static int compare_text(const char *a, const char *b)
{
    if (a == NULL || b == NULL)
        return (a != NULL) - (b != NULL);
    return strcasecmp(a, b);
}

static int compare_place(const struct draft *a, const struct draft *b)
{
    int d = date_compare(a->date, b->date);
    return d != 0 ? d : model_measurement_compare(&a->m, &b->m);
}

static bool is_after(const struct measurement *me)
{
    return me->timing == TIMING_AFTER;
}

/* Everything that tells one reading of a place from another. */
static int compare_same(const struct draft *a, const struct draft *b)
{
    int d = compare_place(a, b);
    if (d == 0)
        d = is_after(&a->m) - is_after(&b->m);
    if (d == 0)
        d = a->m.try_no - b->m.try_no;
    if (d == 0)
        d = (int)a->m.technique - (int)b->m.technique;
    if (d == 0)
        d = compare_text(a->m.position, b->m.position);
    if (d == 0)
        d = compare_text(a->m.tool, b->m.tool);
    if (d == 0)
        d = compare_text(a->m.muscle, b->m.muscle);
    if (d == 0)
        d = compare_text(a->m.measured_by, b->m.measured_by);
    return d;
}

static int compare_drafts(const void *a, const void *b)
{
    const struct draft *da = *(struct draft *const *)a, *db = *(struct draft *const *)b;
    int d = compare_same(da, db);
    return d != 0 ? d : da->order < db->order ? -1 : 1;
}

static bool same_num(struct num a, struct num b)
{
    return a.has == b.has && (!a.has || fabs(a.value - b.value) < 1e-9);
}

static bool same_value(const struct measurement *a, const struct measurement *b)
{
    if (a->status != b->status || a->fixed != b->fixed || a->grade != b->grade ||
        a->n_tries != b->n_tries || !same_num(a->start, b->start) || !same_num(a->end, b->end) ||
        !same_num(a->force_n, b->force_n) || !same_num(a->lever_m, b->lever_m) ||
        !same_num(a->repetitions, b->repetitions))
        return false;
    for (int i = 0; i < a->n_tries; i++)
        if (fabs(a->tries[i] - b->tries[i]) >= 1e-9)
            return false;
    return true;
}

/* The later text joins where the first has none. */
static bool add_text(const char **first, const char *later)
{
    if (*first == NULL)
        *first = later;
    return later == NULL || str_eq_nocase(*first, later);
}

static bool add_num(struct num *first, struct num later)
{
    if (!first->has)
        *first = later;
    return !later.has || same_num(*first, later);
}

static bool add_compensations(struct measurement *first, const struct measurement *later)
{
    if (first->n_compensations == 0) {
        memcpy(first->compensations, later->compensations, sizeof first->compensations);
        first->n_compensations = later->n_compensations;
    }
    if (later->n_compensations == 0)
        return true;
    bool same = first->n_compensations == later->n_compensations;
    for (int i = 0; same && i < later->n_compensations; i++)
        same = str_eq_nocase(first->compensations[i], later->compensations[i]);
    return same;
}

/* Whether the later telling of a reading only repeats or adds; `first` then holds both. */
static bool add_reading(struct measurement *first, const struct measurement *later)
{
    struct measurement joined = *first;
    if (!same_value(first, later))
        return false;
    bool ok = add_text(&joined.note, later->note) && add_text(&joined.reason, later->reason) &&
              add_text(&joined.supervisor, later->supervisor) &&
              add_num(&joined.pain_low, later->pain_low) &&
              add_num(&joined.pain_high, later->pain_high) &&
              add_num(&joined.pain_from, later->pain_from) &&
              add_num(&joined.pain_to, later->pain_to) && add_compensations(&joined, later);
    if (joined.end_feel == END_FEEL_NONE)
        joined.end_feel = later->end_feel;
    if (joined.role == ROLE_NONE)
        joined.role = later->role;
    ok = ok && (later->end_feel == END_FEEL_NONE || later->end_feel == joined.end_feel) &&
         (later->role == ROLE_NONE || later->role == joined.role);
    joined.pain = joined.pain || later->pain;
    if (ok)
        *first = joined;
    return ok;
}

static void strip_number(struct measurement *me)
{
    me->status = READING_HELD_BACK;
    me->start = me->end = me->force_n = num_none();
    me->n_tries = 0;
    memset(me->tries, 0, sizeof me->tries);
    me->grade = NULL;
    me->fixed = false;
}

static void hold_draft(struct meaning *m, struct draft *d, const struct draft *other,
                       enum diag_code why)
{
    strip_number(&d->m);
    meaning_say(m, d->from, measure_column(d->from), why, "also %s",
                meaning_line(m, d->from, other->from));
}

static bool takes_part(const struct draft *d)
{
    return !d->dropped && d->m.status != READING_HELD_BACK;
}

/* A row that says it is a correction takes the place of what was told before it, whatever it says.
 * One that cannot be read leaves nothing: what it meant to correct is known to be wrong. */
static void replace_corrected(struct meaning *m, size_t from, size_t to)
{
    const struct draft *last = m->drafts[from];
    bool readable = true;
    for (size_t i = from + 1; i < to; i++)
        if (date_compare(m->drafts[i]->m.corrected_on, last->m.corrected_on) > 0)
            last = m->drafts[i];
    for (size_t i = from; i < to; i++)
        if (date_compare(m->drafts[i]->m.corrected_on, last->m.corrected_on) == 0)
            readable = readable && m->drafts[i]->m.status != READING_HELD_BACK;
    for (size_t i = from; i < to; i++) {
        struct draft *d = m->drafts[i];
        if (date_compare(d->m.corrected_on, last->m.corrected_on) == 0)
            continue;
        if (!readable && takes_part(d)) {
            hold_draft(m, d, last, DIAG_CORRECTION_HELD);
        } else if (readable && !d->dropped) {
            d->dropped = true;
            d->from->repeats = true;
            meaning_say(m, d->from, measure_column(d->from), DIAG_READING_REPLACED, "by %s",
                        meaning_line(m, d->from, last->from));
        }
    }
}

/* [from, to): tellings of one reading. A blank gives way to any other. */
static void join_group(struct meaning *m, size_t from, size_t to)
{
    struct draft *first = NULL;
    bool differ = false;
    for (size_t i = from; i < to; i++) {
        struct draft *d = m->drafts[i];
        if (takes_part(d) && d->m.status != READING_NOT_RECORDED) {
            first = d;
            break;
        }
    }
    for (size_t i = from; first != NULL && i < to; i++) {
        struct draft *d = m->drafts[i];
        if (d == first || !takes_part(d))
            continue;
        if (d->m.status == READING_NOT_RECORDED) {
            d->dropped = true;
        } else if (add_reading(&first->m, &d->m)) {
            d->dropped = true;
            d->from->repeats = true;
            meaning_say(m, d->from, measure_column(d->from), DIAG_READING_AGAIN,
                        "first at %s", meaning_line(m, d->from, first->from));
        } else {
            differ = true;
            hold_draft(m, d, first, DIAG_READINGS_DIFFER);
        }
    }
    if (differ)
        for (size_t i = from; i < to; i++)
            if (m->drafts[i] != first && m->drafts[i]->m.status == READING_HELD_BACK) {
                hold_draft(m, first, m->drafts[i], DIAG_READINGS_DIFFER);
                break;
            }
}

static void join_same(struct meaning *m)
{
    meaning_sort(m->drafts, m->n_drafts, sizeof *m->drafts, compare_drafts);
    for (size_t from = 0, to; from < m->n_drafts; from = to) {
        for (to = from + 1; to < m->n_drafts; to++)
            if (compare_same(m->drafts[from], m->drafts[to]) != 0)
                break;
        replace_corrected(m, from, to);
        join_group(m, from, to);
    }
}

/* ---- a lag --------------------------------------------------------------------------------- */

/* A lag is so much short of straight, or so much less than the passive reading. What stands beside
 * it of the same place, told in numbers: of the test, all of one value; none otherwise. */
static struct num beside_lag(const struct meaning *m, const struct draft *lag, enum test test)
{
    struct num found = num_none();
    for (size_t i = 0; i < m->n_drafts; i++) {
        const struct draft *d = m->drafts[i];
        struct draft like = *lag;
        like.m.test = test;
        if (d == lag || compare_place(d, &like) != 0 || is_after(&d->m) != is_after(&lag->m) ||
            !model_has_number(d->m.status) || !may_be_same(d->m.position, lag->m.position))
            continue;
        if (found.has && found.value != d->m.end.value)
            return num_none();
        found = d->m.end;
    }
    return found;
}

static void take_lag(struct meaning *m, struct draft *d)
{
    struct measurement *me = &d->m;
    me->status = READING_MEASURED;
    me->unit = me->motion->unit;
    me->end = num_of(d->lag.value == 0 ? 0 : -d->lag.value);
    me->tries[0] = me->end.value;
    me->n_tries = 1;
    add_measurement_note(me, DIAG_CELL_LAG_AGREES);
    meaning_say(m, d->from, d->value_column, DIAG_CELL_LAG_AGREES, NULL);
}

/* Where the passive reading is straight, both meanings are one. Where both readings are there, the
 * lag repeats them if it fits either meaning. */
static void settle_lags(struct meaning *m)
{
    for (size_t i = 0; i < m->n_drafts; i++) {
        struct draft *d = m->drafts[i];
        if (!d->lag.has)
            continue;
        struct num active = beside_lag(m, d, TEST_AROM), passive = beside_lag(m, d, TEST_PROM);
        bool fits = active.has && passive.has &&
                    (active.value == -d->lag.value ||
                     fabs(passive.value - active.value - d->lag.value) < 1e-9);
        if (!active.has && passive.has && passive.value == 0 &&
            field_in_range(d->m.motion, -d->lag.value)) {
            take_lag(m, d);
        } else if (fits) {
            d->dropped = true;
            meaning_say(m, d->from, d->value_column, DIAG_CELL_LAG_AGREES, NULL);
        } else {
            meaning_say(m, d->from, d->value_column, DIAG_CELL_LAG, NULL);
        }
    }
}

/* ---- the opposite motion ------------------------------------------------------------------- */

/* Whether `d` may be the reading that `like` implies: what is not stated is not different. */
static bool answers(const struct draft *d, const struct draft *like)
{
    return !d->dropped && !d->m.derived && compare_place(d, like) == 0 &&
           is_after(&d->m) == is_after(&like->m) &&
           (d->m.try_no == 0 || like->m.try_no == 0 || d->m.try_no == like->m.try_no) &&
           may_be_same(d->m.position, like->m.position) &&
           may_be_same(d->m.measured_by, like->m.measured_by);
}

/* First draft of the place of `like` among the n sorted ones. */
static size_t find_place(struct draft *const *drafts, size_t n, const struct draft *like)
{
    size_t low = 0;
    while (low < n) {
        size_t mid = low + (n - low) / 2;
        if (compare_place(drafts[mid], like) < 0)
            low = mid + 1;
        else
            n = mid;
    }
    return low;
}

static const struct motion *implied_motion(const struct measurement *me)
{
    const struct motion *back = me->motion->opposite;
    bool range = me->test == TEST_AROM || me->test == TEST_PROM;
    if (!range || !model_has_number(me->status) || !me->start.has || back == NULL || !back->rom)
        return NULL;
    if (back == me->motion)
        return me->start_is_other_side ? back : NULL;
    bool zero_normal = back->normal != NULL && back->normal->normal == 0;
    return me->start.value != 0 || zero_normal ? back : NULL;
}

static struct draft implied_draft(const struct draft *d, const struct motion *back)
{
    struct draft out = *d;
    struct measurement *me = &out.m;
    double end = d->m.start.value == 0 ? 0 : -d->m.start.value;
    if (me->start_is_other_side)
        me->side = me->side == SIDE_RIGHT ? SIDE_LEFT : SIDE_RIGHT;
    me->motion = back;
    me->derived = true;
    me->start_is_other_side = false;
    me->start = num_none();
    me->end = num_of(end);
    me->n_tries = 1;
    memset(me->tries, 0, sizeof me->tries);
    me->tries[0] = end;
    /* Pain, end feel and what was seen were noted at the end of the row's own motion. */
    me->pain = false;
    me->pain_low = me->pain_high = me->pain_from = me->pain_to = num_none();
    me->end_feel = END_FEEL_NONE;
    me->n_compensations = 0;
    me->n_notes = 0;
    me->note = me->reason = NULL;
    return out;
}

/* An explicit row against the implied reading. True when it settles the matter. */
static bool settle(struct meaning *m, struct draft *source, struct draft *explicit_row,
                   const struct draft *implied)
{
    if (!model_has_number(explicit_row->m.status)) {
        /* Said not to have been measured, or held back: nothing is put in its place. */
        bool blank = explicit_row->m.status == READING_NOT_RECORDED;
        if (blank)
            explicit_row->dropped = true;
        return !blank;
    }
    double off = fabs(explicit_row->m.end.value - implied->m.end.value);
    if (off > reference_threshold(m->ref, THRESHOLD_OPPOSITE_AGREES)) {
        hold_draft(m, explicit_row, source, DIAG_OPPOSITE_DIFFERS);
        hold_draft(m, source, explicit_row, DIAG_OPPOSITE_DIFFERS);
    } else if (off > 0) {
        add_measurement_note(&explicit_row->m, DIAG_OPPOSITE_AGREES);
        meaning_say(m, explicit_row->from, measure_column(explicit_row->from),
                    DIAG_OPPOSITE_AGREES, "start at %s",
                    meaning_line(m, explicit_row->from, source->from));
    }
    return true;
}

static void imply_opposites(struct meaning *m)
{
    size_t n = m->n_drafts;
    for (size_t i = 0; i < n; i++) {
        const struct motion *back = implied_motion(&m->drafts[i]->m);
        if (back == NULL || m->drafts[i]->dropped)
            continue;
        struct draft implied = implied_draft(m->drafts[i], back);
        bool settled = false;
        for (size_t k = find_place(m->drafts, n, &implied);
             k < n && compare_place(m->drafts[k], &implied) == 0; k++)
            if (answers(m->drafts[k], &implied))
                settled = settle(m, m->drafts[i], m->drafts[k], &implied) || settled;
        if (settled || m->drafts[i]->m.status == READING_HELD_BACK)
            continue;
        struct draft *added = arena_room(m->scratch, sizeof *added);
        *added = implied;
        meaning_add_draft(m, added);
    }
}

/* ---- notes that need two rows -------------------------------------------------------------- */

/* A bare end angle, where the other end of the arc is the zero that matters (a knee that does not
 * come straight), and no reading of that end on the day. */
static void note_missing_start(struct meaning *m, size_t n_sorted)
{
    for (size_t i = 0; i < n_sorted; i++) {
        struct draft *d = m->drafts[i];
        const struct motion *back = d->m.motion->opposite;
        bool range = d->m.test == TEST_AROM || d->m.test == TEST_PROM;
        if (d->dropped || !range || !model_has_number(d->m.status) || d->m.start.has ||
            back == NULL ||
            back == d->m.motion || back->normal == NULL || back->normal->normal != 0)
            continue;
        struct draft like = *d;
        like.m.motion = back;
        size_t k = find_place(m->drafts, n_sorted, &like);
        if (k < n_sorted && compare_place(m->drafts[k], &like) == 0)
            continue;
        add_measurement_note(&d->m, DIAG_START_NOT_RECORDED);
        meaning_tell_once(m, d->from, measure_column(d->from), DIAG_START_NOT_RECORDED,
                          arena_printf(m->arena, "%s %s", d->m.motion->joint, d->m.motion->motion));
    }
}

/* "1" beside a 5 of the other side may be 5/5 that a program has worked out. */
static void note_lone_trace(struct meaning *m, size_t n_sorted)
{
    for (size_t i = 0; i < n_sorted; i++) {
        struct draft *d = m->drafts[i];
        if (d->m.test != TEST_MMT || d->m.grade == NULL || strcmp(d->m.text, "1") != 0 ||
            d->m.side == SIDE_MIDLINE)
            continue;
        struct draft like = *d;
        like.m.side = d->m.side == SIDE_RIGHT ? SIDE_LEFT : SIDE_RIGHT;
        size_t k = find_place(m->drafts, n_sorted, &like);
        for (; k < n_sorted && compare_place(m->drafts[k], &like) == 0; k++) {
            const struct measurement *other = &m->drafts[k]->m;
            if (other->grade == NULL || strcmp(other->grade->text, "5") != 0)
                continue;
            add_measurement_note(&d->m, DIAG_TRACE_BESIDE_NORMAL);
            meaning_say(m, d->from, measure_column(d->from), DIAG_TRACE_BESIDE_NORMAL, NULL);
            break;
        }
    }
}

void join_readings(struct meaning *m)
{
    lend_defaults(m);
    settle_lags(m);
    join_same(m);
    note_missing_start(m, m->n_drafts);
    note_lone_trace(m, m->n_drafts);
    imply_opposites(m);
}
