/* The patient as of the day of one of his visits, taken from the patient whom all rows make.
 * Readings, and what else is of a visit, are told by the rows of its day alone. What is not is
 * noted here: facts of the patient, goals and limits with the first day that tells them; facts that
 * change from visit to visit; the note that a date breaks the order of its file. Where a row has
 * any other say in a visit of another day (it corrects or contradicts a fact, adds to a goal),
 * there is no telling afterwards, and the rows up to the day are to be read again. A check that is
 * added to the import and looks at rows of several days belongs here too; test_import_days.c holds
 * what comes of this against reading again. */
#include "import/meaning_int.h"

static const enum import_column changing[] = {COL_AGE, COL_BODY_MASS_KG, COL_WEIGHT_BEARING};

struct import_days {
    const struct fact *facts;       /* with the days that tell them; NULL: */
    const struct date *told;        /* all are told from the first visit on */
    bool typed[ARRAY_LEN(changing)]; /* the patient's own whatever the visits say */
    const struct told_days *goals, *limits;
    const struct date *out_of_order;
    size_t n_out_of_order;
};

/* ---- storing ------------------------------------------------------------------------------- */

static void *copy(struct arena *a, const void *items, size_t n, size_t size)
{
    return arena_grow(a, items, n * size, (n + 1) * size);
}

static bool some_are_late(const struct meaning *m)
{
    for (enum import_column c = 0; c < COL_COUNT; c++)
        if (m->facts[c].set && date_compare(m->fact_day[c], m->p->visits[0].date) > 0)
            return true;
    return false;
}

void days_store(struct meaning *m)
{
    struct patient *p = m->p;
    if (m->unsettled || p->n_corrections > 0 || p->held || p->n_visits < 2)
        return;
    struct import_days *days = arena_alloc(m->arena, sizeof *days);
    if (some_are_late(m)) {
        days->facts = copy(m->arena, m->facts, COL_COUNT, sizeof *m->facts);
        days->told = copy(m->arena, m->fact_day, COL_COUNT, sizeof *m->fact_day);
    }
    for (size_t i = 0; i < ARRAY_LEN(changing); i++)
        days->typed[i] = m->changing_is_typed[changing[i]];
    days->goals = copy(m->arena, m->goal_days, p->n_goals, sizeof *days->goals);
    days->limits = copy(m->arena, m->limit_days, p->n_limits, sizeof *days->limits);
    days->out_of_order =
        copy(m->arena, m->out_of_order, m->n_out_of_order, sizeof *days->out_of_order);
    days->n_out_of_order = m->n_out_of_order;
    p->days = days;
}

/* ---- taking -------------------------------------------------------------------------------- */

/* Only the row out of order shows the slip, and not on its own day. */
static bool is_out_of_order(const struct import_days *days, struct date on)
{
    for (size_t i = 0; i < days->n_out_of_order; i++)
        if (date_compare(days->out_of_order[i], on) == 0)
            return true;
    return false;
}

enum day_tells { NOT_YET, TOLD, BETWEEN };

static enum day_tells told_by(const struct told_days *days, struct date on)
{
    if (date_compare(days->first, on) > 0)
        return NOT_YET;
    return date_compare(days->settled, on) <= 0 ? TOLD : BETWEEN;
}

static bool take_goals(struct patient *own, const struct patient *p, struct date on,
                       struct arena *a)
{
    own->goals = arena_room(a, (p->n_goals + 1) * sizeof *own->goals);
    own->n_goals = 0;
    for (size_t i = 0; i < p->n_goals; i++) {
        enum day_tells told = told_by(&p->days->goals[i], on);
        if (told == BETWEEN)
            return false;
        if (told == TOLD)
            own->goals[own->n_goals++] = p->goals[i];
    }
    return true;
}

static bool take_limits(struct patient *own, const struct patient *p, struct date on,
                        struct arena *a)
{
    own->limits = arena_room(a, (p->n_limits + 1) * sizeof *own->limits);
    own->n_limits = 0;
    for (size_t i = 0; i < p->n_limits; i++) {
        enum day_tells told = told_by(&p->days->limits[i], on);
        if (told == BETWEEN)
            return false;
        if (told == TOLD)
            own->limits[own->n_limits++] = p->limits[i];
    }
    return true;
}

static void take_facts(struct patient *own, const struct import_days *days, struct date on,
                       struct arena *a)
{
    if (days->facts == NULL)
        return;
    struct fact *facts = copy(a, days->facts, COL_COUNT, sizeof *facts);
    for (enum import_column c = 0; c < COL_COUNT; c++)
        if (date_compare(days->told[c], on) > 0)
            facts[c] = (struct fact){.set = false};
    facts_store_patient(own, facts);
}

/* The visits up to the day. */
static void take_visits(struct patient *own, const struct visit *last, struct arena *a)
{
    own->n_visits = (size_t)(last - last->patient->visits) + 1;
    own->visits = copy(a, last->patient->visits, own->n_visits, sizeof *own->visits);
    for (size_t i = 0; i < own->n_visits; i++)
        own->visits[i].patient = own;
}

static struct num agreed(struct num all, struct num one, bool *differ)
{
    if (!one.has)
        return all;
    *differ = *differ || (all.has && (all.value < one.value || all.value > one.value));
    return one;
}

/* The patient's where all visits that tell it agree. */
static void settle_changing(struct patient *own, const struct import_days *days)
{
    struct num age = num_none(), mass = num_none();
    const char *bearing = NULL;
    bool ages = false, masses = false, bearings = false;
    for (size_t i = 0; i < own->n_visits; i++) {
        const struct visit *v = &own->visits[i];
        age = agreed(age, v->age, &ages);
        mass = agreed(mass, v->body_mass_kg, &masses);
        if (v->weight_bearing != NULL) {
            bearings = bearings || (bearing != NULL && !str_eq_nocase(bearing, v->weight_bearing));
            bearing = v->weight_bearing;
        }
    }
    if (!days->typed[0])
        own->age = ages ? num_none() : age;
    if (!days->typed[1])
        own->body_mass_kg = masses ? num_none() : mass;
    if (!days->typed[2])
        own->weight_bearing = bearings ? NULL : bearing;
}

const struct visit *import_as_of(const struct visit *v, struct arena *a)
{
    const struct patient *p = v->patient;
    if (p->days == NULL || is_out_of_order(p->days, v->date))
        return NULL;
    struct patient *own = arena_room(a, sizeof *own);
    *own = *p;
    own->days = NULL;
    if (!take_goals(own, p, v->date, a) || !take_limits(own, p, v->date, a))
        return NULL;
    take_facts(own, p->days, v->date, a);
    take_visits(own, v, a);
    settle_changing(own, p->days);
    return &own->visits[own->n_visits - 1];
}
