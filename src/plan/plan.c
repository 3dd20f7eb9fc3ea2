/*
 * From what is asked for to a plan: every test of every motion, side and digit becomes a draft;
 * cautions and positions take drafts out with a reason; the rest is ordered and dressed with what
 * the sheet needs.
 */
#include "plan/plan_int.h"

#include <assert.h>
#include <stdlib.h>

const char *plan_test_name(enum plan_test test)
{
    static const char *const names[PLAN_TEST_COUNT] = {"AROM", "PROM", "MMT"};
    return names[test];
}

struct plan_request plan_request_all(const struct plan_wishes *wishes)
{
    return (struct plan_request){.wishes = wishes->items, .n_wishes = wishes->n,
                                 .tests = PLAN_ALL_TESTS, .right = true, .left = true,
                                 .positions = PLAN_ALL_POSITIONS};
}

/* ---- drafts -------------------------------------------------------------------------------- */

struct draft {
    struct plan_item item;
    bool omitted;
    enum plan_reason reason;
    const struct plan_caution *by;
    size_t place; /* of its motion's region, head to foot */
    size_t job;   /* its number in the order, when not omitted */
};

struct make {
    const struct reference *ref;
    const struct plan_request *request;
    struct arena *arena;
    struct draft *drafts;
    size_t n, cap;
    unsigned positions; /* tolerated, less what cautions bar */
};

static void add_draft(struct make *m, const struct plan_wish *wish, int digit,
                      enum plan_test test, enum side side, size_t place)
{
    const struct plan_request *q = m->request;
    if (m->n == m->cap) {
        m->cap = m->cap == 0 ? 64 : 2 * m->cap;
        m->drafts = mem_resize(m->drafts, m->cap * sizeof *m->drafts);
    }
    bool involved = q->involved == SIDE_NONE || side == SIDE_MIDLINE || side == q->involved;
    m->drafts[m->n++] = (struct draft){
        .item = {.motion = wish->motion, .side = side, .digit = digit, .test = test,
                 .provoking = wish->provoking && involved, .how = "", .how_mark = "",
                 .if_weak = ""},
        .place = place};
}

/* Uninvolved side first; right before left where neither or both are involved. */
static void add_sides(struct make *m, const struct plan_wish *wish, int digit,
                      enum plan_test test, size_t place)
{
    const struct plan_request *q = m->request;
    if (wish->motion->sides == SIDES_MIDLINE) {
        add_draft(m, wish, digit, test, SIDE_MIDLINE, place);
        return;
    }
    enum side first = q->involved == SIDE_RIGHT ? SIDE_LEFT : SIDE_RIGHT;
    enum side second = first == SIDE_RIGHT ? SIDE_LEFT : SIDE_RIGHT;
    if (first == SIDE_RIGHT ? q->right : q->left)
        add_draft(m, wish, digit, test, first, place);
    if (second == SIDE_RIGHT ? q->right : q->left)
        add_draft(m, wish, digit, test, second, place);
}

static void add_wish(struct make *m, const struct plan_wish *wish, size_t place)
{
    const struct motion *motion = wish->motion;
    for (int digit = motion->digit_min; digit <= motion->digit_max; digit++) {
        if (digit > 0 && wish->digits != 0 && (wish->digits & 1u << digit) == 0)
            continue;
        for (int test = 0; test < PLAN_TEST_COUNT; test++)
            if ((m->request->tests & 1u << test) != 0 &&
                (test == PLAN_MMT ? motion->mmt : motion->rom))
                add_sides(m, wish, digit, (enum plan_test)test, place);
    }
}

/* Head to foot, whatever the order of the wishes. */
static void add_wishes(struct make *m)
{
    size_t place = 0;
    const char *region = NULL;
    for (size_t i = 0; i < reference_motion_count(m->ref); i++) {
        const struct motion *motion = reference_motion_at(m->ref, i);
        if (!str_eq(motion->region, region))
            place++;
        region = motion->region;
        for (size_t k = 0; k < m->request->n_wishes; k++)
            if (m->request->wishes[k].motion == motion)
                add_wish(m, &m->request->wishes[k], place);
    }
}

/* ---- cautions ------------------------------------------------------------------------------- */

/* Whether the words of a caution on file belong to this place at all. */
static bool is_at(const struct plan_condition *c, const struct plan_item *item)
{
    const char *joint = item->motion->joint;
    bool there = str_is_empty(c->joint) || str_eq(c->joint, joint) ||
                 (c->caution->spreads && plan_are_neighbours(c->joint, joint));
    bool side = c->side != SIDE_RIGHT && c->side != SIDE_LEFT;
    return there && (side || item->side == SIDE_MIDLINE || item->side == c->side) &&
           (c->caution->joint[0] == '\0' || str_eq(c->caution->joint, joint));
}

static bool forbids(const struct plan_caution *c, const struct plan_item *item)
{
    return (c->omits & 1u << item->test) != 0 &&
           (c->omits_joint[0] == '\0' || str_eq(c->omits_joint, item->motion->joint));
}

static void apply_cautions(struct make *m, struct draft *d)
{
    const struct plan_request *q = m->request;
    const struct plan_caution **cares =
        arena_alloc(m->arena, (q->n_conditions + 1) * sizeof *cares);
    for (size_t i = 0; i < q->n_conditions; i++) {
        const struct plan_caution *c = q->conditions[i].caution;
        if (!is_at(&q->conditions[i], &d->item))
            continue;
        if (!d->omitted && forbids(c, &d->item)) {
            d->omitted = true;
            d->reason = PLAN_BY_CAUTION;
            d->by = c;
        }
        bool twice = false;
        for (size_t k = 0; k < d->item.n_cares; k++)
            twice = twice || cares[k] == c;
        if ((c->tests & 1u << d->item.test) != 0 && !twice)
            cares[d->item.n_cares++] = c;
    }
    d->item.cares = cares;
}

/* ---- positions ------------------------------------------------------------------------------ */

static bool take_position(struct make *m, struct plan_item *item, const char *name)
{
    item->position = plan_position_of(name, item->motion, item->side);
    return (m->positions & 1u << item->position) != 0;
}

static bool take_other_position(struct make *m, struct plan_item *item)
{
    bool strength = item->test == PLAN_MMT;
    for (const struct plan_alternative *a = plan_alternatives; a->joint != NULL; a++) {
        if (a->strength != strength || !str_eq(a->joint, item->motion->joint) ||
            !str_eq(a->motion, item->motion->motion) || !take_position(m, item, a->position))
            continue;
        item->other_position = true;
        item->how = a->how;
        item->how_mark = a->mark;
        return true;
    }
    return false;
}

static void place(struct make *m, struct draft *d)
{
    struct plan_item *item = &d->item;
    const struct motion *motion = item->motion;
    bool strength = item->test == PLAN_MMT;
    const struct goniometry *g = motion->goniometry;
    const struct muscle_test *t = motion->muscle_test;
    const char *usual = strength ? (t != NULL ? t->position_against_gravity : NULL)
                                 : (g != NULL ? g->position : NULL);
    if (usual != NULL && take_position(m, item, usual)) {
        item->how = strength ? t->detail : g->position_detail;
    } else if (!take_other_position(m, item)) {
        d->omitted = true;
        d->reason = PLAN_BY_POSITION;
    }
    if (!d->omitted && item->test == PLAN_PROM && item->position == PLAN_STANDING) {
        d->omitted = true;
        d->reason = PLAN_PASSIVE_IN_STANDING;
    }
}

/* ---- what the sheet needs -------------------------------------------------------------------- */

static void dress(struct make *m, struct plan_item *item)
{
    const struct motion *motion = item->motion;
    bool strength = item->test == PLAN_MMT;
    const struct compensation **seen =
        arena_alloc(m->arena, (motion->n_compensations + 1) * sizeof *seen);
    for (size_t i = 0; i < motion->n_compensations; i++) {
        const struct compensation *c = &motion->compensations[i];
        if (strength ? c->in_mmt : c->in_rom)
            seen[item->n_compensations++] = c;
    }
    item->compensations = seen;
    if (strength) {
        item->muscle_test = motion->muscle_test;
        if (motion->muscle_test != NULL && motion->muscle_test->gravity_rule != GRAVITY_EXEMPT)
            item->if_weak = motion->muscle_test->position_gravity_minimized;
        return;
    }
    item->goniometry = motion->goniometry;
    item->normal = motion->normal;
    if (item->test == PLAN_PROM && motion->goniometry != NULL)
        item->end_feel = motion->goniometry->end_feel;
}

/* ---- order ----------------------------------------------------------------------------------- */

/* The nearest draft before this one that must be done first: the same motion, side and digit in an
 * earlier test, or the same test of the uninvolved side. Returns false when there is none. */
static bool find_before(const struct make *m, size_t i, bool other_side, size_t *job)
{
    const struct plan_item *item = &m->drafts[i].item;
    for (size_t k = i; k-- > 0;) {
        const struct draft *d = &m->drafts[k];
        if (d->item.motion != item->motion || d->item.digit != item->digit)
            return false;
        if (d->omitted || (d->item.test == item->test) != other_side ||
            (d->item.side == item->side) == other_side)
            continue;
        *job = d->job;
        return true;
    }
    return false;
}

static size_t make_jobs(struct make *m, struct plan_job *jobs)
{
    size_t n = 0;
    for (size_t i = 0; i < m->n; i++) {
        struct draft *d = &m->drafts[i];
        if (d->omitted)
            continue;
        struct plan_job *job = &jobs[n];
        *job = (struct plan_job){.position = d->item.position, .last = d->item.provoking};
        if (find_before(m, i, false, &job->before[job->n_before]))
            job->n_before++;
        if (d->item.side == m->request->involved &&
            find_before(m, i, true, &job->before[job->n_before]))
            job->n_before++;
        d->job = n++;
    }
    return n;
}

static int compare_size(size_t a, size_t b)
{
    return (a > b) - (a < b);
}

/* Within one stay: what provokes last; region by region, range before strength; then as drafted,
 * which is motion by motion, active before passive, uninvolved side first. */
static int compare_drafts(const void *pa, const void *pb)
{
    const struct draft *a = pa, *b = pb;
    int c = a->omitted - b->omitted;
    if (c == 0 && !a->omitted) {
        c = compare_size(a->item.block, b->item.block);
        if (c == 0)
            c = a->item.provoking - b->item.provoking;
        if (c == 0)
            c = compare_size(a->place, b->place);
        if (c == 0)
            c = (a->item.test == PLAN_MMT) - (b->item.test == PLAN_MMT);
    }
    return c != 0 ? c : compare_size(a->job, b->job);
}

static size_t order(struct make *m)
{
    struct plan_job *jobs = mem_alloc((m->n + 1) * sizeof *jobs);
    size_t *block = mem_alloc((m->n + 1) * sizeof *block);
    size_t n = make_jobs(m, jobs), stays = plan_order(jobs, n, block);
    for (size_t i = 0; i < m->n; i++) {
        if (m->drafts[i].omitted)
            m->drafts[i].job = i;
        else
            m->drafts[i].item.block = block[m->drafts[i].job];
    }
    qsort(m->drafts, m->n, sizeof *m->drafts, compare_drafts);
    free(block);
    free(jobs);
    return stays;
}

/* ---- the whole ------------------------------------------------------------------------------- */

static void fill(struct plan *p, struct make *m)
{
    struct plan_item *items = arena_alloc(m->arena, (m->n + 1) * sizeof *items);
    struct plan_omission *omitted = arena_alloc(m->arena, (m->n + 1) * sizeof *omitted);
    for (size_t i = 0; i < m->n; i++) {
        const struct draft *d = &m->drafts[i];
        const struct plan_item *x = &d->item;
        if (d->omitted) {
            omitted[p->n_omitted++] =
                (struct plan_omission){x->motion, x->side, x->digit, x->test, d->reason, d->by};
            continue;
        }
        items[p->n_items] = *x;
        dress(m, &items[p->n_items++]);
    }
    p->items = items;
    p->omitted = omitted;
}

static void list_cautions(struct plan *p, const struct make *m)
{
    p->cautions = arena_alloc(m->arena, (plan_caution_count() + 1) * sizeof *p->cautions);
    for (size_t i = 0; i < plan_caution_count(); i++) {
        const struct plan_caution *c = plan_caution_at(i);
        size_t k = 0;
        while (k < m->request->n_conditions && m->request->conditions[k].caution != c)
            k++;
        if (k < m->request->n_conditions)
            p->cautions[p->n_cautions++] = c;
    }
}

static bool is_asked_for(const struct make *m, const char *joint)
{
    for (size_t i = 0; i < m->n; i++)
        if (str_eq(m->drafts[i].item.motion->joint, joint))
            return true;
    return false;
}

static bool is_to_screen(const struct make *m, const char *joint)
{
    for (const struct plan_neighbour *n = plan_neighbours; n->joint != NULL; n++) {
        if (str_eq(n->next, joint) && is_asked_for(m, n->joint))
            return true;
        if (!n->spine && str_eq(n->joint, joint) && is_asked_for(m, n->next))
            return true;
    }
    return false;
}

static void list_screens(struct plan *p, const struct make *m)
{
    const char *joint = NULL;
    p->screens = arena_alloc(m->arena, (reference_motion_count(m->ref) + 1) * sizeof *p->screens);
    for (size_t i = 0; i < reference_motion_count(m->ref); i++) {
        const char *next = reference_motion_at(m->ref, i)->joint;
        if (!str_eq(next, joint) && !is_asked_for(m, next) && is_to_screen(m, next))
            p->screens[p->n_screens++] = next;
        joint = next;
    }
}

struct plan *plan_make(const struct reference *ref, const struct plan_request *request,
                       struct diag_sink *sink)
{
    struct make m = {.ref = ref, .request = request, .positions = request->positions};
    add_wishes(&m);
    if (m.n == 0) {
        diag_report(sink, DIAG_PLAN_EMPTY, (struct diag_pos){0}, NULL, NULL);
        return NULL;
    }
    m.arena = arena_new();
    for (size_t i = 0; i < request->n_conditions; i++)
        m.positions &= ~request->conditions[i].caution->bars;
    for (size_t i = 0; i < m.n; i++) {
        apply_cautions(&m, &m.drafts[i]);
        if (!m.drafts[i].omitted)
            place(&m, &m.drafts[i]);
    }
    struct plan *p = mem_alloc(sizeof *p);
    p->arena = m.arena;
    size_t stays = order(&m);
    p->n_changes = stays > 0 ? stays - 1 : 0;
    fill(p, &m);
    list_cautions(p, &m);
    list_screens(p, &m);
    free(m.drafts);
    return p;
}

void plan_free(struct plan *p)
{
    if (p == NULL)
        return;
    arena_free(p->arena);
    free(p);
}

const char *plan_reason_text(const struct plan_omission *o)
{
    switch (o->reason) {
    case PLAN_BY_CAUTION:
        return o->caution->message;
    case PLAN_BY_POSITION:
        return "no position tolerated in which it can be tested";
    default:
        return "passive range is not tested in standing";
    }
}
