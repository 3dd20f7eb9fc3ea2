/* Checks across the rows of one patient that no cell shows alone: a date that breaks the order of
 * its column, treatment days and signatures that run against the calendar, and reports nobody but
 * an assistant or a student wrote. These are notes: the rows stand. Grades that may be of two
 * scales are held back. */
#include "import/meaning_int.h"

#include <stdlib.h>
#include <string.h>

/* ---- dates out of order -------------------------------------------------------------------- */

static int compare_place(const struct draft *a, const struct draft *b)
{
    int d = a->from->row->source - b->from->row->source;
    return d != 0 ? d : model_measurement_compare(&a->m, &b->m);
}

static int by_place(const void *va, const void *vb)
{
    const struct draft *a = *(struct draft *const *)va, *b = *(struct draft *const *)vb;
    int d = compare_place(a, b);
    return d != 0 ? d : a->order < b->order ? -1 : 1;
}

/* One step against the direction of all others is a slip of the date; more of them are a file in no
 * order. Looks at the readings of one place in one file. */
static struct draft *find_break(struct meaning *m, struct draft **list, size_t n)
{
    enum { STEPS_WITH_LEAST = 2 };
    int up = 0, down = 0;
    struct draft *up_at = NULL, *down_at = NULL;
    for (size_t i = 1; i < n; i++) {
        int d = date_compare(list[i]->date, list[i - 1]->date);
        up += d > 0;
        down += d < 0;
        up_at = d > 0 ? list[i] : up_at;
        down_at = d < 0 ? list[i] : down_at;
    }
    /* Of dates that mostly go down, those up to a day may break an order that all of them keep. */
    m->unsettled = m->unsettled || down > 1;
    if (down == 1 && up >= STEPS_WITH_LEAST)
        return down_at;
    return up == 1 && down >= STEPS_WITH_LEAST ? up_at : NULL;
}

/* Whether the dates of each file run one way, as nearly all do: none of them breaks the order. */
static bool dates_run_one_way(const struct meaning *m)
{
    bool up = false, down = false;
    for (size_t i = 1; i < m->n_drafts; i++) {
        const struct draft *before = m->drafts[i - 1], *d = m->drafts[i];
        if (d->from->row->source < before->from->row->source)
            return false;
        bool same = d->from->row->source == before->from->row->source;
        int step = same ? date_compare(d->date, before->date) : 0;
        up = up || step > 0;
        down = down || step < 0;
    }
    return !up || !down;
}

static void check_dates(struct meaning *m)
{
    if (dates_run_one_way(m))
        return;
    struct draft **sorted = arena_room(m->scratch, (m->n_drafts + 1) * sizeof *sorted);
    int told = -1; /* source: one note a file */
    for (size_t i = 0; i < m->n_drafts; i++)
        sorted[i] = m->drafts[i];
    meaning_sort(sorted, m->n_drafts, sizeof *sorted, by_place);
    for (size_t from = 0, to; from < m->n_drafts; from = to) {
        for (to = from + 1; to < m->n_drafts && compare_place(sorted[from], sorted[to]) == 0; to++)
            ;
        int source = sorted[from]->from->row->source;
        struct draft *d = find_break(m, sorted + from, to - from);
        if (d == NULL || source == told)
            continue;
        meaning_say(m, d->from, COL_VISIT_DATE, DIAG_DATES_OUT_OF_ORDER, NULL);
        m->out_of_order = meaning_grow(m->scratch, m->out_of_order, m->n_out_of_order,
                                       &m->cap_out_of_order, sizeof *m->out_of_order);
        m->out_of_order[m->n_out_of_order++] = d->date;
        told = source;
    }
}

/* ---- facts of visits ----------------------------------------------------------------------- */

static bool usable(const struct fact *f)
{
    return f->set && !f->contradicted;
}

static int by_date(const void *va, const void *vb)
{
    const struct draft_visit *a = *(struct draft_visit *const *)va;
    const struct draft_visit *b = *(struct draft_visit *const *)vb;
    return date_compare(a->date, b->date);
}

static void check_treatment_days(struct meaning *m, struct draft_visit **visits)
{
    const struct fact *before = NULL;
    for (size_t i = 0; i < m->n_visits; i++) {
        const struct fact *day = &visits[i]->facts[COL_TREATMENT_DAY];
        if (!usable(day))
            continue;
        if (before != NULL && day->low < before->low)
            meaning_say(m, day->from, COL_TREATMENT_DAY, DIAG_TREATMENT_DAY_ORDER,
                        "an earlier visit has a later one, %s",
                        meaning_line(m, day->from, before->from));
        before = day;
    }
}

static void check_signatures(struct meaning *m, const struct draft_visit *v)
{
    const struct fact *own = &v->facts[COL_SIGNED_ON];
    const struct fact *counter = &v->facts[COL_COUNTERSIGNED_ON];
    if (usable(own) && date_compare(own->date, v->date) < 0)
        meaning_say(m, own->from, COL_SIGNED_ON, DIAG_SIGNED_BEFORE, NULL);
    bool early = usable(counter) && (date_compare(counter->date, v->date) < 0 ||
                                     (usable(own) && date_compare(counter->date, own->date) < 0));
    if (early)
        meaning_say(m, counter->from, COL_COUNTERSIGNED_ON, DIAG_SIGNED_BEFORE, NULL);
}

/* ---- who wrote it -------------------------------------------------------------------------- */

static bool is_clinician(enum role role)
{
    return role == ROLE_PT;
}

static bool is_helper(enum role role)
{
    return role == ROLE_PTA || role == ROLE_STUDENT;
}

static void check_author(struct meaning *m, const struct draft_visit *v)
{
    const struct fact *kind = &v->facts[COL_VISIT_KIND], *role = &v->facts[COL_ROLE];
    bool report = usable(kind) && (kind->low == VISIT_EVALUATION || kind->low == VISIT_PROGRESS ||
                                   kind->low == VISIT_REEVALUATION || kind->low == VISIT_DISCHARGE);
    if (!report || usable(&v->facts[COL_COUNTERSIGNED_ON]))
        return;
    enum role own = usable(role) ? (enum role)role->low : ROLE_NONE;
    bool clinician = v->by_clinician || is_clinician(own), helper = v->by_helper || is_helper(own);
    if (helper && !clinician)
        meaning_say(m, v->from, COL_ROLE, DIAG_AUTHOR_NOT_CLINICIAN, NULL);
}

/* ---- grades of two scales ------------------------------------------------------------------- */

/* One grade above 5 means that the visit was graded from 0 to 10, where a bare 5 is fair: the whole
 * visit is converted or none of it. */
static void check_scale(struct meaning *m, const struct draft_visit *v)
{
    const struct draft *ten = v->graded_of_ten;
    for (size_t i = 0; ten != NULL && i < m->n_drafts; i++) {
        struct draft *d = m->drafts[i];
        if (d->grade_scale != GRADE_OF_EITHER || d->m.grade == NULL ||
            date_compare(d->date, v->date) != 0)
            continue;
        d->m.status = READING_HELD_BACK;
        d->m.grade = NULL;
        meaning_say(m, d->from, d->value_column, DIAG_CELL_GRADE_OTHER_SCALE,
                    "a grade of this visit is above 5, %s", meaning_line(m, d->from, ten->from));
    }
}

/* What the checks of a visit ask of its readings, in one pass over all. */
static void look_over_readings(struct meaning *m)
{
    for (size_t i = 0; i < m->n_drafts; i++) {
        const struct draft *d = m->drafts[i];
        struct draft_visit *v = facts_visit(m, d->date);
        if (v == NULL)
            continue;
        v->by_clinician = v->by_clinician || is_clinician(d->m.role);
        v->by_helper = v->by_helper || is_helper(d->m.role);
        if (v->graded_of_ten == NULL && d->grade_scale == GRADE_OF_TEN)
            v->graded_of_ten = d;
    }
}

void order_check(struct meaning *m)
{
    struct draft_visit **visits = arena_room(m->scratch, (m->n_visits + 1) * sizeof *visits);
    for (size_t i = 0; i < m->n_visits; i++)
        visits[i] = &m->visits[i];
    qsort(visits, m->n_visits, sizeof *visits, by_date);
    look_over_readings(m);
    check_dates(m);
    check_treatment_days(m, visits);
    for (size_t i = 0; i < m->n_visits; i++) {
        check_signatures(m, visits[i]);
        check_author(m, visits[i]);
        check_scale(m, visits[i]);
    }
}
