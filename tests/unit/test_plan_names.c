/* Names of what is asked for, and the tables: every key stands in the library. */
#include "plan_run.h"

/* ---- names that are not known ---------------------------------------------------------------- */

static const struct {
    const char *name, *near; /* NULL: none */
} unknown[] = {
    {"", NULL},
    {NULL, NULL},
    {"spleen", NULL},
    {"sholder", "shoulder"},
    {"upper-quater", "upper-quarter"},
    {"knee flexon", "knee flexion"},
    {"knee/", "knee"},
    {"knee dorsiflexion", "knee"},
    {"Knee flexion", "knee"},
    {"elbow-foream", "elbow-forearm"},
};

START_TEST(unknown_name)
{
    struct diag_list reported;
    struct plan_wishes w;
    diag_list_init(&reported);
    plan_wishes_init(&w);
    ck_assert(!plan_want(&w, ref, unknown[_i].name, &reported.sink));
    ck_assert_uint_eq(w.n, 0);
    ck_assert_uint_eq(reported.n, 1);
    ck_assert_int_eq(reported.items[0].code, DIAG_PLAN_NAME);
    const char *near = unknown[_i].near == NULL ? "no name comes near" : unknown[_i].near;
    ck_assert_msg(strstr(reported.items[0].detail, near) != NULL, "%s", reported.items[0].detail);
    plan_wishes_release(&w);
    diag_list_release(&reported);
}
END_TEST

START_TEST(unknown_caution)
{
    struct diag_list reported;
    diag_list_init(&reported);
    ck_assert_ptr_null(plan_caution_find("osteoporose", &reported.sink));
    ck_assert_int_eq(reported.items[0].code, DIAG_PLAN_CAUTION);
    ck_assert_ptr_nonnull(strstr(reported.items[0].detail, "osteoporosis"));
    ck_assert_ptr_null(plan_caution_find("", &reported.sink));
    ck_assert_ptr_null(plan_caution_by_id(NULL));
    ck_assert_str_eq(plan_caution_find("osteoporosis", &reported.sink)->id, "osteoporosis");
    ck_assert_ptr_null(plan_caution_at(plan_caution_count()));
    ck_assert_uint_eq(reported.n, 2);
    diag_list_release(&reported);
}
END_TEST

START_TEST(unknown_position)
{
    unsigned bits = 9;
    ck_assert(!plan_position_by_name("kneeling", &bits));
    ck_assert_uint_eq(bits, 0);
    ck_assert(!plan_position_by_name(NULL, &bits));
    ck_assert(plan_position_by_name("side-lying", &bits));
    ck_assert_uint_eq(bits, 1u << PLAN_LYING_LEFT | 1u << PLAN_LYING_RIGHT);
    ck_assert(plan_position_by_name("prone", &bits));
    ck_assert_uint_eq(bits, 1u << PLAN_PRONE);
}
END_TEST

/* ---- names that are -------------------------------------------------------------------------- */

static const struct {
    const char *name;
    size_t n;
    const char *first, *last; /* joints */
} known[] = {
    {"knee", 2, "knee", "knee"},
    {"shoulder", 8, "shoulder", "shoulder"}, /* the joint, not the region with the scapula */
    {"ankle-foot", 8, "ankle", "toe-ip"},
    {"elbow-forearm", 4, "elbow", "forearm"},
    {"spine", 8, "cervical", "trunk"},
    {"hand", 20, "wrist", "finger-dip"},
    {"upper-quarter", 25, "cervical", "wrist"},
    {"lower-quarter", 18, "trunk", "toe-mtp"},
    {"knee flexion", 1, "knee", "knee"},
    {"knee/flexion", 1, "knee", "knee"},
};

START_TEST(known_name)
{
    struct plan_wishes w = wish_for(&known[_i].name, 1);
    ck_assert_uint_eq(w.n, known[_i].n);
    ck_assert_str_eq(w.items[0].motion->joint, known[_i].first);
    ck_assert_str_eq(w.items[w.n - 1].motion->joint, known[_i].last);
    plan_wishes_release(&w);
}
END_TEST

START_TEST(each_motion_once)
{
    static const char *const names[] = {"knee flexion", "knee", "lower-quarter"};
    struct plan_wishes w = wish_for(names, 3);
    ck_assert_uint_eq(w.n, 18);
    plan_wish_for(&w, reference_motion(ref, "knee", "flexion"))->provoking = true;
    ck_assert_uint_eq(w.n, 18);
    ck_assert(w.items[0].provoking);
    plan_wishes_release(&w);
}
END_TEST

/* ---- tables ---------------------------------------------------------------------------------- */

static bool is_joint(const char *joint)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        if (str_eq(reference_motion_at(ref, i)->joint, joint))
            return true;
    return false;
}

static bool is_mark(const char *mark)
{
    static const char *const marks[] = {"partly unverified", "common practice",
                                        "common practice, unverified", "unverified"};
    for (size_t i = 0; i < ARRAY_LEN(marks); i++)
        if (str_eq(mark, marks[i]))
            return true;
    return false;
}

/* Another position is another one, of a test that exists, and is printed with its mark. */
START_TEST(alternatives_fit_the_library)
{
    for (const struct plan_alternative *a = plan_alternatives; a->joint != NULL; a++) {
        const struct motion *m = reference_motion(ref, a->joint, a->motion);
        unsigned bits;
        ck_assert_msg(m != NULL, "%s %s", a->joint, a->motion);
        ck_assert(a->strength ? m->mmt : m->rom);
        ck_assert(plan_position_by_name(a->position, &bits));
        ck_assert_str_ne(a->position, a->strength ? m->muscle_test->position_against_gravity
                                                  : m->goniometry->position);
        ck_assert(is_mark(a->mark));
        ck_assert(a->how[0] != '\0');
    }
}
END_TEST

START_TEST(sets_and_neighbours_fit_the_library)
{
    for (const struct plan_set *s = plan_sets; s->set != NULL; s++)
        ck_assert_msg(is_joint(s->joint), "%s", s->joint);
    for (const struct plan_neighbour *n = plan_neighbours; n->joint != NULL; n++) {
        ck_assert_msg(is_joint(n->joint) && is_joint(n->next), "%s %s", n->joint, n->next);
        ck_assert(plan_are_neighbours(n->joint, n->next) || n->spine);
    }
    ck_assert(plan_are_neighbours("ankle", "knee"));
    ck_assert(!plan_are_neighbours("ankle", "hip"));
    ck_assert(!plan_are_neighbours("wrist", "cervical"));
}
END_TEST

/* Every position of the library is one of plan's. */
START_TEST(positions_of_the_library)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        unsigned bits;
        ck_assert(m->goniometry == NULL || plan_position_by_name(m->goniometry->position, &bits));
        ck_assert(m->muscle_test == NULL ||
                  plan_position_by_name(m->muscle_test->position_against_gravity, &bits));
    }
}
END_TEST

START_TEST(cautions_are_whole)
{
    for (size_t i = 0; i < plan_caution_count(); i++) {
        const struct plan_caution *c = plan_caution_at(i);
        ck_assert_ptr_eq(plan_caution_by_id(c->id), c); /* so no id twice */
        ck_assert(c->condition[0] != '\0' && c->message[0] != '\0' && is_mark(c->mark));
        ck_assert_uint_eq(c->omits & ~c->tests, 0);
        ck_assert_uint_ne(c->tests, 0);
        ck_assert(c->joint[0] == '\0' || is_joint(c->joint));
        ck_assert(c->omits_joint[0] == '\0' || is_joint(c->omits_joint));
        ck_assert(c->kind != PLAN_DO_NOT_TEST || c->omits != 0);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("plan: names and tables");
    TCase *c = tcase_create("names");
    tcase_add_unchecked_fixture(c, load_reference, release_reference);
    tcase_add_loop_test(c, unknown_name, 0, (int)ARRAY_LEN(unknown));
    tcase_add_test(c, unknown_caution);
    tcase_add_test(c, unknown_position);
    tcase_add_loop_test(c, known_name, 0, (int)ARRAY_LEN(known));
    tcase_add_test(c, each_motion_once);
    tcase_add_test(c, alternatives_fit_the_library);
    tcase_add_test(c, sets_and_neighbours_fit_the_library);
    tcase_add_test(c, positions_of_the_library);
    tcase_add_test(c, cautions_are_whole);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
