/* The whole upper-quarter screen has the fewest changes of position there are: every sequence of
 * positions with one stay less is tried, by rules written out here and not by those of the planner.
 * In a stay everything is done that may be done; more never hurts, since tests only wait for
 * others. */
#include "plan_run.h"

enum { ITEMS_MAX = 512 };

/* Rules of docs/plan.md: range before strength, active before passive, the other side first. */
static bool waits_for(const struct plan_item *x, const struct plan_item *other, enum side first)
{
    bool same = x->motion == other->motion && x->digit == other->digit;
    if (!same || x == other)
        return false;
    if (x->side == other->side)
        return (x->test == PLAN_MMT && other->test != PLAN_MMT) ||
               (x->test == PLAN_PROM && other->test == PLAN_AROM);
    return x->test == other->test && other->side == first;
}

static size_t stay_in(const struct plan *p, unsigned position, enum side first, bool *done)
{
    size_t n = 0;
    for (bool more = true; more;) {
        more = false;
        for (size_t i = 0; i < p->n_items; i++) {
            const struct plan_item *x = &p->items[i];
            bool ready = !done[i] && x->position == (enum plan_position)position;
            for (size_t k = 0; ready && k < p->n_items; k++)
                ready = done[k] || !waits_for(x, &p->items[k], first);
            if (!ready)
                continue;
            done[i] = more = true;
            n++;
        }
    }
    return n;
}

/* Whether some sequence of so many further stays does all that is left. */
static bool can_finish(const struct plan *p, enum side first, const bool *done, size_t left,
                       size_t stays)
{
    if (left == 0)
        return true;
    for (unsigned position = 0; stays > 0 && position < PLAN_POSITION_COUNT; position++) {
        bool next[ITEMS_MAX];
        memcpy(next, done, sizeof next);
        size_t n = stay_in(p, position, first, next);
        if (n > 0 && can_finish(p, first, next, left - n, stays - 1))
            return true;
    }
    return false;
}

static const struct {
    const char *set;
    enum side involved;
} screens[] = {
    {"upper-quarter", SIDE_NONE}, {"upper-quarter", SIDE_RIGHT}, {"upper-quarter", SIDE_LEFT},
    {"lower-quarter", SIDE_RIGHT}, {"spine", SIDE_NONE},         {"shoulder", SIDE_LEFT},
};

START_TEST(a_screen_turns_the_patient_least)
{
    const char *names[] = {screens[_i].set};
    struct plan_wishes w = wish_for(names, 1);
    struct plan_request q = plan_request_all(&w);
    q.involved = screens[_i].involved;
    struct plan *p = make_plan(&q);
    enum side first = q.involved == SIDE_RIGHT ? SIDE_LEFT : SIDE_RIGHT;
    bool none[ITEMS_MAX] = {false};
    ck_assert_uint_lt(p->n_items, ITEMS_MAX);
    ck_assert_uint_gt(p->n_items, 0);
    ck_assert(can_finish(p, first, none, p->n_items, p->n_changes + 1));
    ck_assert(!can_finish(p, first, none, p->n_items, p->n_changes));
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("plan screens");
    TCase *t = tcase_create("all");
    tcase_add_unchecked_fixture(t, load_reference, release_reference);
    tcase_add_loop_test(t, a_screen_turns_the_patient_least, 0, ARRAY_LEN(screens));
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
