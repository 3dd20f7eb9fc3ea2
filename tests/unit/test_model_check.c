/* model_check finds every broken promise; names, ages and the dump. */
#include "model/model.h"
#include "unit.h"

#include <string.h>

static struct motion flexion = {.joint = "knee", .motion = "flexion", .sides = SIDES_LEFT_RIGHT,
                                .unit = UNIT_DEG, .rom = true, .mmt = true, .order = 2};
static struct motion neck = {.joint = "cervical", .motion = "flexion", .sides = SIDES_MIDLINE,
                             .unit = UNIT_DEG, .rom = true, .order = 1};
static struct motion finger = {.joint = "finger-pip", .motion = "flexion",
                               .sides = SIDES_LEFT_RIGHT, .unit = UNIT_DEG, .rom = true,
                               .digit_min = 2, .digit_max = 5, .order = 3};
static const struct grade four = {.text = "4"};

/* One sound patient per test: two readings on one visit, and an empty second visit. */
static struct arena *arena;
static struct patient p;
static struct visit visits[2];
static struct measurement m[2];

static void set_up(void)
{
    arena = arena_new();
    m[0] = (struct measurement){.motion = &neck, .side = SIDE_MIDLINE, .test = TEST_AROM,
                                .status = READING_MEASURED, .text = "40", .unit = UNIT_DEG,
                                .end = {true, 40}, .tries = {40}, .n_tries = 1};
    m[1] = (struct measurement){.motion = &flexion, .side = SIDE_RIGHT, .test = TEST_PROM,
                                .status = READING_MEASURED, .text = "0-120", .unit = UNIT_DEG,
                                .start = {true, 0}, .end = {true, 120}, .tries = {118, 122},
                                .n_tries = 2, .pos = {.line = 3, .column = 7}};
    visits[0] = (struct visit){.patient = &p, .date = {2026, 3, 4}, .measurements = m,
                               .n_measurements = 2};
    visits[1] = (struct visit){.patient = &p, .date = {2026, 3, 11}};
    p = (struct patient){.arena = arena, .id = "P-1", .visits = visits, .n_visits = 2};
}

static void tear_down(void)
{
    arena_free(arena);
}

static void no_text(void) { m[0].text = NULL; }
static void no_motion(void) { m[0].motion = NULL; }
static void no_test(void) { m[0].test = TEST_NONE; }
static void no_side(void) { m[1].side = SIDE_NONE; }
static void midline_on_sided(void) { m[1].side = SIDE_MIDLINE; }
static void side_on_midline(void) { m[0].side = SIDE_LEFT; }
static void stray_digit(void) { m[1].digit = 2; }
static void missing_digit(void) { m[1].motion = &finger; }
static void no_number(void) { m[1].end = num_none(); }
static void start_past_end(void) { m[1].start.value = 130; }
static void mean_off(void) { m[1].tries[0] = 100; }
static void too_many_tries(void) { m[1].n_tries = TRIES_MAX + 1; }
static void no_unit(void) { m[1].unit = UNIT_NONE; }
static void grade_on_angle(void) { m[1].grade = &four; }
static void force_without_force(void) { m[1].test = TEST_FORCE; }
static void negative_force(void)
{
    m[1] = (struct measurement){.motion = &flexion, .side = SIDE_RIGHT, .test = TEST_FORCE,
                                .text = "-1", .force_n = {true, -1}, .tries = {-1}, .n_tries = 1};
}
static void number_on_not_tested(void) { m[1].status = READING_NOT_TESTED; }
static void number_on_held_back(void) { m[1].status = READING_HELD_BACK; }
static void derived_with_start(void) { m[1].derived = true; }
static void pain_eleven(void) { m[1].pain_low = m[1].pain_high = num_of(11); }
static void pain_half(void) { m[1].pain_low = num_of(3); }
static void lever_zero(void) { m[1].lever_m = num_of(0); }
static void notes_overrun(void) { m[1].n_notes = NOTES_MAX + 1; }
static void order_swapped(void)
{
    struct measurement spare = m[0];
    m[0] = m[1];
    m[1] = spare;
}
static void visit_undated(void) { visits[0].date.year = 0; }
static void visit_orphan(void) { visits[1].patient = NULL; }
static void visits_same_day(void) { visits[1].date = visits[0].date; }
static void visit_pain(void) { visits[0].pain_rest_low = visits[0].pain_rest_high = num_of(-1); }
static void no_id(void) { p.id = NULL; }
static void no_arena(void) { p.arena = NULL; }
static struct goal goal;
static void goal_without_target(void)
{
    goal = (struct goal){.motion = &flexion, .side = SIDE_RIGHT, .test = TEST_AROM};
    p.goals = &goal;
    p.n_goals = 1;
}
static struct limit limit;
static void limit_without_value(void)
{
    limit = (struct limit){.kind = LIMIT_RANGE, .motion = &flexion, .side = SIDE_RIGHT};
    p.limits = &limit;
    p.n_limits = 1;
}

static void (*const breaches[])(void) = {
    no_text, no_motion, no_test, no_side, midline_on_sided, side_on_midline, stray_digit,
    missing_digit, no_number, start_past_end, mean_off, too_many_tries, no_unit, grade_on_angle,
    force_without_force, negative_force, number_on_not_tested, number_on_held_back,
    derived_with_start, pain_eleven, pain_half, lever_zero, notes_overrun, order_swapped,
    visit_undated, visit_orphan, visits_same_day, visit_pain, no_id, no_arena,
    goal_without_target, limit_without_value,
};

START_TEST(every_breach_is_found)
{
    char why[200] = "";
    breaches[_i]();
    ck_assert_msg(!model_check(&p, why, sizeof why), "breach %d passed", _i);
    ck_assert_str_ne(why, "");
}
END_TEST

START_TEST(sound_patient_passes)
{
    char why[200] = "";
    ck_assert_msg(model_check(&p, why, sizeof why), "%s", why);
    m[1] = (struct measurement){.motion = &flexion, .status = READING_HELD_BACK, .text = "?"};
    ck_assert_msg(model_check(&p, why, sizeof why), "held back: %s", why);
    m[1] = (struct measurement){.motion = &flexion, .side = SIDE_LEFT, .test = TEST_MMT,
                                .grade = &four, .text = "4"};
    ck_assert_msg(model_check(&p, why, sizeof why), "grade: %s", why);
    m[1].status = READING_NOT_TESTED;
    m[1].grade = NULL;
    ck_assert_msg(model_check(&p, why, sizeof why), "not tested: %s", why);
}
END_TEST

START_TEST(age_comes_from_the_best_known)
{
    bool known = true;
    struct date on = {2026, 3, 4}, before = {1960, 1, 1};
    model_age_on(&p, on, &known);
    ck_assert(!known);
    p.age = num_of(40);
    ck_assert_double_eq(model_age_on(&p, on, &known), 40);
    visits[0].age = num_of(41);
    ck_assert_double_eq(model_age_on(&p, on, &known), 41);
    p.birth_date = (struct date){1970, 3, 5};
    ck_assert_double_eq(model_age_on(&p, on, &known), 55);
    ck_assert(known);
    model_age_on(&p, before, &known);
    ck_assert(!known);
}
END_TEST

START_TEST(a_visit_goes_before_the_patient)
{
    ck_assert(!model_body_mass_on(&visits[0]).has);
    ck_assert_ptr_null(model_weight_bearing_on(&visits[0]));
    p.body_mass_kg = num_of(70);
    p.weight_bearing = "full";
    visits[1].body_mass_kg = num_of(72);
    visits[1].weight_bearing = "none";
    ck_assert_double_eq(model_body_mass_on(&visits[0]).value, 70);
    ck_assert_double_eq(model_body_mass_on(&visits[1]).value, 72);
    ck_assert_str_eq(model_weight_bearing_on(&visits[0]), "full");
    ck_assert_str_eq(model_weight_bearing_on(&visits[1]), "none");
}
END_TEST

START_TEST(names_are_the_public_words)
{
    ck_assert_str_eq(test_name(TEST_FORCE), "force");
    ck_assert_str_eq(test_name(TEST_NONE), "");
    ck_assert_str_eq(reading_status_name(READING_HELD_BACK), "held-back");
    ck_assert_str_eq(reading_status_name(READING_NO_ANGLE), "no-angle");
    ck_assert_str_eq(visit_kind_name(VISIT_REEVALUATION), "re-evaluation");
    ck_assert_str_eq(role_name(ROLE_STUDENT), "student");
    ck_assert_str_eq(timing_name(TIMING_AFTER), "after");
    ck_assert_str_eq(sex_name(SEX_FEMALE), "female");
    for (int s = 0; s < READING_STATUS_COUNT; s++)
        ck_assert_int_eq(model_has_number(s), s == READING_MEASURED || s == READING_ESTIMATED);
}
END_TEST

START_TEST(dump_is_stable_text)
{
    struct buf out;
    buf_init(&out, 1 << 20);
    p.name = "A \"B\"\nC";
    m[1].pain_low = num_of(3);
    m[1].pain_high = num_of(4);
    visits[1].from_history = true;
    model_dump(&p, &out);
    ck_assert_str_eq(
        buf_text(&out),
        "patient \"P-1\" name=\"A \\\"B\\\"\\nC\"\n"
        "episode\n"
        "visit 2026-03-04\n"
        "  reading cervical flexion midline AROM measured end=40 text=\"40\" line=0 column=0\n"
        "  reading knee flexion right PROM measured start=0 end=120 tries=118;122 "
        "pain-score=3-4 text=\"0-120\" line=3 column=7\n"
        "visit 2026-03-11 history\n");
    buf_release(&out);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("model check");
    TCase *c = tcase_create("model");
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_loop_test(c, every_breach_is_found, 0, (int)ARRAY_LEN(breaches));
    tcase_add_test(c, sound_patient_passes);
    tcase_add_test(c, age_comes_from_the_best_known);
    tcase_add_test(c, a_visit_goes_before_the_patient);
    tcase_add_test(c, names_are_the_public_words);
    tcase_add_test(c, dump_is_stable_text);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
