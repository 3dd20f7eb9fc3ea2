/* From wishes to a plan: what is left out and why, the rules of order, what each item carries. */
#include "plan_run.h"

#include <stdio.h>

enum { A = 1u << PLAN_AROM, P = 1u << PLAN_PROM, M = 1u << PLAN_MMT };

/* ---- nothing to do --------------------------------------------------------------------------- */

START_TEST(nothing_asked_for)
{
    static const char *const one[] = {"scapula"};
    struct plan_wishes none, w = wish_for(one, 1);
    plan_wishes_init(&none);
    struct plan_request requests[4];
    requests[0] = plan_request_all(&none);
    requests[1] = plan_request_all(&w); /* strength only */
    requests[1].tests = A | P;
    requests[2] = plan_request_all(&w);
    requests[2].right = requests[2].left = false;
    requests[3] = plan_request_all(&w);
    requests[3].tests = 0;
    for (size_t i = 0; i < ARRAY_LEN(requests); i++) {
        struct diag_list reported;
        diag_list_init(&reported);
        ck_assert_ptr_null(plan_make(ref, &requests[i], &reported.sink));
        ck_assert_uint_eq(reported.n, 1);
        ck_assert_int_eq(reported.items[0].code, DIAG_PLAN_EMPTY);
        diag_list_release(&reported);
    }
    plan_wishes_release(&w);
}
END_TEST

/* ---- what is left out ------------------------------------------------------------------------ */

static const struct left_out {
    const char *name;               /* what is asked for */
    const char *caution, *joint;    /* on file */
    enum side side;
    unsigned barred;                /* positions */
    size_t items, omitted;
    enum plan_reason reason;        /* of the omissions */
} left_out[] = {
    {"knee flexion", NULL, NULL, SIDE_NONE, 0, 6, 0, PLAN_BY_CAUTION},
    /* do not test */
    {"knee flexion", "dislocation", "knee", SIDE_RIGHT, 0, 3, 3, PLAN_BY_CAUTION},
    {"knee flexion", "dislocation", "knee", SIDE_NONE, 0, 0, 6, PLAN_BY_CAUTION},
    {"knee flexion", "dislocation", "hip", SIDE_RIGHT, 0, 6, 0, PLAN_BY_CAUTION},
    {"knee flexion", "dislocation", NULL, SIDE_NONE, 0, 0, 6, PLAN_BY_CAUTION},
    {"knee flexion", "unhealed-fracture", "hip", SIDE_LEFT, 0, 3, 3, PLAN_BY_CAUTION},
    {"knee flexion", "unhealed-fracture", "shoulder", SIDE_LEFT, 0, 6, 0, PLAN_BY_CAUTION},
    {"knee flexion", "post-surgery-restricted", "knee", SIDE_LEFT, 0, 3, 3, PLAN_BY_CAUTION},
    {"knee flexion", "myositis-ossificans", "knee", SIDE_LEFT, 0, 4, 2, PLAN_BY_CAUTION},
    {"knee flexion", "acute-infection-inflammation", "knee", SIDE_NONE, 0, 2, 4, PLAN_BY_CAUTION},
    {"knee flexion", "suspected-dvt", NULL, SIDE_NONE, 0, 0, 6, PLAN_BY_CAUTION},
    {"knee flexion", "unstable-heart", NULL, SIDE_NONE, 0, 4, 2, PLAN_BY_CAUTION},
    {"knee flexion", "recent-eye-brain-surgery", NULL, SIDE_NONE, 0, 4, 2, PLAN_BY_CAUTION},
    /* with care: made, but for what they name */
    {"knee flexion", "osteoporosis", NULL, SIDE_NONE, 0, 6, 0, PLAN_BY_CAUTION},
    {"knee flexion", "hernia-abdominal-surgery", NULL, SIDE_NONE, 0, 6, 0, PLAN_BY_CAUTION},
    {"trunk extension", "hernia-abdominal-surgery", NULL, SIDE_NONE, 1u << PLAN_STANDING, 2, 1,
     PLAN_BY_CAUTION},
    /* stop: the neck alone */
    {"cervical flexion", "neck-artery-signs", NULL, SIDE_NONE, 0, 0, 3, PLAN_BY_CAUTION},
    {"knee flexion", "neck-artery-signs", NULL, SIDE_NONE, 0, 6, 0, PLAN_BY_CAUTION},
    {"cervical flexion", "neck-risk-factors", NULL, SIDE_NONE, 0, 3, 0, PLAN_BY_CAUTION},
    /* positions: none left, another one, passive in standing */
    {"cervical extension", "pregnancy", NULL, SIDE_NONE, 0, 2, 1, PLAN_BY_POSITION},
    {"knee flexion", NULL, NULL, SIDE_NONE, 1u << PLAN_PRONE, 6, 0, PLAN_BY_POSITION},
    {"knee flexion", NULL, NULL, SIDE_NONE, 1u << PLAN_PRONE | 1u << PLAN_SITTING, 4, 2,
     PLAN_BY_POSITION},
    {"hip abduction", NULL, NULL, SIDE_NONE, 1u << PLAN_LYING_LEFT, 5, 1, PLAN_BY_POSITION},
    {"hip adduction", NULL, NULL, SIDE_NONE, PLAN_ALL_POSITIONS, 0, 6, PLAN_BY_POSITION},
    {"trunk flexion", NULL, NULL, SIDE_NONE, 0, 2, 1, PLAN_PASSIVE_IN_STANDING},
};

START_TEST(left_out_with_a_reason)
{
    const struct left_out *c = &left_out[_i];
    struct plan_wishes w = wish_for(&c->name, 1);
    struct plan_request q = plan_request_all(&w);
    struct plan_condition on_file = {plan_caution_by_id(c->caution), c->joint, c->side};
    q.conditions = &on_file;
    q.n_conditions = c->caution != NULL;
    q.positions &= ~c->barred;
    struct plan *p = make_plan(&q);
    ck_assert_uint_eq(p->n_items, c->items);
    ck_assert_uint_eq(p->n_omitted, c->omitted);
    ck_assert_uint_eq(p->n_cautions, q.n_conditions);
    for (size_t i = 0; i < p->n_omitted; i++) {
        ck_assert_int_eq(p->omitted[i].reason, c->reason);
        ck_assert(plan_reason_text(&p->omitted[i])[0] != '\0');
        if (c->reason == PLAN_BY_CAUTION)
            ck_assert_str_eq(p->omitted[i].caution->id, c->caution);
    }
    for (size_t i = 0; i < p->n_items; i++)
        ck_assert_uint_eq(c->barred & 1u << p->items[i].position, 0);
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* Prone barred: the named other position, marked, with words of its own. */
START_TEST(other_position_is_marked)
{
    static const char *const names[] = {"shoulder extension", "knee flexion"};
    struct plan_wishes w = wish_for(names, 2);
    struct plan_request q = plan_request_all(&w);
    q.positions &= ~(1u << PLAN_PRONE);
    struct plan *p = make_plan(&q);
    size_t others = 0;
    for (size_t i = 0; i < p->n_items; i++) {
        const struct plan_item *x = &p->items[i];
        bool usual = str_eq(x->motion->joint, "knee") && x->test != PLAN_MMT;
        ck_assert_int_eq(x->other_position, !usual);
        ck_assert_int_eq(x->how_mark[0] == '\0', usual);
        others += x->other_position;
    }
    ck_assert_uint_eq(others, 4 + 2); /* shoulder range in sitting, knee strength in sitting */
    ck_assert_uint_eq(p->n_omitted, 2); /* shoulder strength has prone alone */
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* ---- the rules of order ---------------------------------------------------------------------- */

static bool must_precede(const struct plan_item *a, const struct plan_item *b,
                         const struct plan_request *q)
{
    if (!a->provoking && b->provoking)
        return true;
    if (a->motion != b->motion || a->digit != b->digit)
        return false;
    if (a->side == b->side)
        return a->test < b->test;
    return a->test == b->test && q->involved != SIDE_NONE && b->side == q->involved;
}

static void check_rules(const struct plan *p, const struct plan_request *q)
{
    size_t changes = 0;
    for (size_t i = 0; i < p->n_items; i++) {
        for (size_t k = i + 1; k < p->n_items; k++)
            ck_assert(!must_precede(&p->items[k], &p->items[i], q));
        if (i == 0)
            continue;
        const struct plan_item *x = &p->items[i], *before = x - 1;
        ck_assert_int_eq(x->position != before->position, x->block != before->block);
        changes += x->position != before->position;
    }
    ck_assert_uint_eq(changes, p->n_changes);
}

static unsigned state = 5;

static unsigned draw(unsigned below)
{
    state = state * 1664525u + 1013904223u;
    return (state >> 8) % below;
}

/* Over random requests: every rule is kept and everything asked for is there or left out. */
START_TEST(rules_hold)
{
    for (int round = 0; round < 300; round++) {
        struct plan_wishes w;
        plan_wishes_init(&w);
        size_t n = 1 + draw(12), expected = 0;
        struct plan_request q = plan_request_all(&w);
        q.tests = 1 + draw(PLAN_ALL_TESTS);
        q.involved = draw(2) == 0 ? SIDE_NONE : draw(2) == 0 ? SIDE_RIGHT : SIDE_LEFT;
        q.positions = draw(3) == 0 ? draw(PLAN_ALL_POSITIONS + 1) : PLAN_ALL_POSITIONS;
        for (size_t i = 0; i < n; i++) {
            size_t k = draw((unsigned)reference_motion_count(ref));
            struct plan_wish *wish = plan_wish_for(&w, reference_motion_at(ref, k));
            wish->provoking = draw(6) == 0;
        }
        for (size_t i = 0; i < w.n; i++) {
            const struct motion *m = w.items[i].motion;
            size_t digits = (size_t)(m->digit_max - m->digit_min + 1);
            size_t tests = m->rom * ((q.tests & A) / A + (q.tests & P) / P) +
                           m->mmt * ((q.tests & M) / M);
            expected += digits * tests * (m->sides == SIDES_MIDLINE ? 1 : 2);
        }
        q.wishes = w.items;
        q.n_wishes = w.n;
        struct diag_list reported;
        diag_list_init(&reported);
        struct plan *p = plan_make(ref, &q, &reported.sink);
        ck_assert_int_eq(p == NULL, expected == 0);
        if (p != NULL) {
            ck_assert_uint_eq(p->n_items + p->n_omitted, expected);
            check_rules(p, &q);
        }
        plan_free(p);
        diag_list_release(&reported);
        plan_wishes_release(&w);
    }
}
END_TEST

/* The order of one knee, right involved, written out. */
START_TEST(order_of_a_knee)
{
    static const char *const expected[] = {
        "supine flexion left AROM",   "supine flexion right AROM",   "supine flexion left PROM",
        "supine flexion right PROM",  "supine extension left AROM",  "supine extension right AROM",
        "supine extension left PROM", "supine extension right PROM", "sitting extension left MMT",
        "sitting extension right MMT", "prone flexion left MMT",     "prone flexion right MMT"};
    static const char *const names[] = {"knee"};
    struct plan_wishes w = wish_for(names, 1);
    struct plan_request q = plan_request_all(&w);
    q.involved = SIDE_RIGHT;
    struct plan *p = make_plan(&q);
    ck_assert_uint_eq(p->n_items, ARRAY_LEN(expected));
    ck_assert_uint_eq(p->n_changes, 2);
    for (size_t i = 0; i < p->n_items; i++) {
        const struct plan_item *x = &p->items[i];
        char text[80];
        snprintf(text, sizeof text, "%s %s %s %s", plan_position_name(x->position),
                 x->motion->motion, side_name(x->side), plan_test_name(x->test));
        ck_assert_str_eq(text, expected[i]);
    }
    static const char *const screens[] = {"trunk", "hip", "ankle"};
    ck_assert_uint_eq(p->n_screens, 3);
    for (size_t i = 0; i < 3; i++)
        ck_assert_str_eq(p->screens[i], screens[i]);
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* A full-body round of range and strength takes no more turns than the round of the books, in
 * which the side-lying turn has two sides: sitting, supine, one side, the other, prone, standing;
 * range before strength adds one more stay in sitting (toes and knees are measured supine). */
START_TEST(full_body)
{
    struct plan_wishes w;
    plan_wishes_init(&w);
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        plan_wish_for(&w, reference_motion_at(ref, i));
    struct plan_request q = plan_request_all(&w);
    struct plan *p = make_plan(&q);
    check_rules(p, &q);
    ck_assert_uint_eq(p->n_changes, 6);
    ck_assert_uint_eq(p->n_screens, 0);
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* The tested side lies up, but for hip adduction. */
START_TEST(side_that_lies_up)
{
    static const char *const names[] = {"hip abduction", "hip adduction",
                                        "cervical lateral-flexion"};
    struct plan_wishes w = wish_for(names, 3);
    struct plan_request q = plan_request_all(&w);
    q.tests = M;
    struct plan *p = make_plan(&q);
    ck_assert_uint_eq(p->n_items, 6);
    ck_assert_uint_eq(p->n_changes, 1);
    for (size_t i = 0; i < p->n_items; i++) {
        bool down = str_eq(p->items[i].motion->motion, "adduction");
        bool on_left = (p->items[i].side == SIDE_RIGHT) != down;
        ck_assert_int_eq(p->items[i].position, on_left ? PLAN_LYING_LEFT : PLAN_LYING_RIGHT);
    }
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* One side asked for, digits chosen, the midline always there. */
START_TEST(sides_and_digits)
{
    static const char *const names[] = {"finger-pip flexion", "trunk rotation", "jaw opening"};
    struct plan_wishes w = wish_for(names, 3);
    plan_wish_for(&w, reference_motion(ref, "finger-pip", "flexion"))->digits = 1u << 3 | 1u << 5;
    struct plan_request q = plan_request_all(&w);
    q.tests = A;
    q.left = false;
    struct plan *p = make_plan(&q);
    ck_assert_uint_eq(p->n_items, 4);
    size_t fingers = 0;
    for (size_t i = 0; i < p->n_items; i++) {
        const struct plan_item *x = &p->items[i];
        ck_assert_int_eq(x->side, str_eq(x->motion->joint, "jaw") ? SIDE_MIDLINE : SIDE_RIGHT);
        if (str_eq(x->motion->joint, "finger-pip"))
            ck_assert_int_eq(x->digit, fingers++ == 0 ? 3 : 5);
        else
            ck_assert_int_eq(x->digit, 0);
    }
    ck_assert_uint_eq(fingers, 2);
    plan_free(p);
    plan_wishes_release(&w);
}
END_TEST

/* What provokes comes last: the involved side alone, or both where neither is named. */
START_TEST(provoking_last)
{
    static const char *const names[] = {"shoulder abduction", "elbow flexion"};
    for (int involved = SIDE_NONE; involved <= SIDE_RIGHT; involved += SIDE_RIGHT) {
        struct plan_wishes w = wish_for(names, 2);
        w.items[0].provoking = true;
        struct plan_request q = plan_request_all(&w);
        q.tests = A;
        q.involved = (enum side)involved;
        struct plan *p = make_plan(&q);
        check_rules(p, &q);
        size_t last = involved == SIDE_NONE ? 2 : 1;
        for (size_t i = 0; i < p->n_items; i++)
            ck_assert_int_eq(p->items[i].provoking, i >= p->n_items - last);
        plan_free(p);
        plan_wishes_release(&w);
    }
}
END_TEST

/* ---- what an item carries -------------------------------------------------------------------- */

START_TEST(item_carries)
{
    static const char *const names[] = {"shoulder abduction", "thumb-ip flexion"};
    struct plan_wishes w = wish_for(names, 2);
    struct plan_request q = plan_request_all(&w);
    const struct plan_condition on_file[] = {{plan_caution_by_id("osteoporosis"), NULL, SIDE_NONE},
                                             {plan_caution_by_id("osteoporosis"), "hip", SIDE_NONE},
                                             {plan_caution_by_id("hypermobility"), "shoulder",
                                              SIDE_LEFT}};
    q.conditions = on_file;
    q.n_conditions = 3;
    struct plan *p = make_plan(&q);
    ck_assert_uint_eq(p->n_cautions, 2);
    for (size_t i = 0; i < p->n_items; i++) {
        const struct plan_item *x = &p->items[i];
        bool range = x->test != PLAN_MMT, thumb = str_eq(x->motion->joint, "thumb-ip");
        bool slack = x->test == PLAN_PROM && !thumb && x->side == SIDE_LEFT;
        ck_assert_int_eq(x->goniometry != NULL, range);
        ck_assert_int_eq(x->normal != NULL, range);
        ck_assert_int_eq(x->muscle_test != NULL, !range);
        ck_assert_int_eq(x->end_feel != END_FEEL_NONE, x->test == PLAN_PROM);
        ck_assert_str_eq(x->if_weak, range || thumb ? "" : "supine");
        ck_assert(x->how[0] != '\0' && !x->other_position && x->how_mark[0] == '\0');
        for (size_t k = 0; k < x->n_compensations; k++)
            ck_assert(range ? x->compensations[k]->in_rom : x->compensations[k]->in_mmt);
        ck_assert_uint_gt(x->n_compensations, 0);
        ck_assert_uint_eq(x->n_cares, (x->test != PLAN_AROM) + (size_t)slack);
    }
    plan_free(p);
    plan_wishes_release(&w);
    plan_free(NULL);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("plan: from wishes to a plan");
    TCase *c = tcase_create("make");
    tcase_add_unchecked_fixture(c, load_reference, release_reference);
    tcase_add_test(c, nothing_asked_for);
    tcase_add_loop_test(c, left_out_with_a_reason, 0, (int)ARRAY_LEN(left_out));
    tcase_add_test(c, other_position_is_marked);
    tcase_add_test(c, rules_hold);
    tcase_add_test(c, order_of_a_knee);
    tcase_add_test(c, full_body);
    tcase_add_test(c, side_that_lies_up);
    tcase_add_test(c, sides_and_digits);
    tcase_add_test(c, provoking_last);
    tcase_add_test(c, item_carries);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
