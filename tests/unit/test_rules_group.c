/* Readings to rows: what belongs together, what stays apart, and what a row keeps of both. */
#include "rules_build.h"

#include <math.h>

#define KNEE "2026-03-02 knee flexion right AROM "
#define FORCE "2026-03-02 knee extension right force "
#define QUADS "2026-03-02 knee extension right MMT "

/* rows: "end/sd/tries" of each row in order, or its status. */
static const struct {
    const char *readings, *rows, *flags;
} grouping[] = {
    {KNEE "112", "112.0//1", ""},
    {KNEE "110,112,117", "113.0/3.6/3", ""},
    /* Tries in rows of their own are one row, whatever words they leave out. */
    {KNEE "110 by=A;" KNEE "112;" KNEE "117 by=A tool=goniometer", "113.0/3.6/3", ""},
    {KNEE "70;" KNEE "96;" KNEE "81", "82.3/13.1/3", "tries-apart"},
    {KNEE "80,100", "90.0/14.1/2", ""}, /* ten from the mean is not more than ten */
    {KNEE "80,100.1", "90.1/14.2/2", "tries-apart"},
    {KNEE "~110;" KNEE "112", "111.0/1.4/2", ""},
    /* Apart: position, tool, timing, measurer, unit, fixed. */
    {KNEE "110 pos=prone;" KNEE "120 pos=supine", "110.0//1 120.0//1", ""},
    {KNEE "110 pos=Prone;" KNEE "120 pos=prone", "115.0/7.1/2", ""},
    {KNEE "110;" KNEE "120 pos=supine", "110.0//1 120.0//1", ""},
    {KNEE "110 tool=goniometer;" KNEE "120 tool=inclinometer", "110.0//1 120.0//1", ""},
    {KNEE "110 tool=goniometer;" KNEE "112", "111.0/1.4/2", ""},
    {KNEE "110 instrument-unknown=x;" KNEE "120 instrument-unknown=y", "110.0//1 120.0//1", ""},
    {KNEE "110;" KNEE "118 after", "110.0//1 118.0//1", ""},
    {KNEE "110 before;" KNEE "112", "111.0/1.4/2", ""},
    {KNEE "110 unit=cm;" KNEE "112", "110.0//1 112.0//1", ""},
    {KNEE "fixed30;" KNEE "40", "30.0//1 40.0//1", ""},
    {KNEE "110;2026-03-02 knee flexion left AROM 112", "110.0//1 112.0//1", ""},
    /* No number is a row, and beside a number it is said. */
    {KNEE "not-tested", "not-tested", ""},
    {KNEE "110;" KNEE "held-back", "110.0//1", "tries-incomplete"},
    {KNEE "held-back;" KNEE "110", "110.0//1", "tries-incomplete"},
    {KNEE "not-tested tool=goniometer;" KNEE "110 tool=inclinometer;"
     KNEE "112 tool=inclinometer", "111.0/1.4/2", "tries-incomplete"},
    {KNEE "not-recorded;" KNEE "held-back", "held-back", ""},
    {KNEE "not-recorded;" KNEE "no-angle", "no-angle", ""},
    {KNEE "not-applicable;" KNEE "not-tested", "not-tested", ""},
    {KNEE "1,2,3,4,5,6,7;" KNEE "1,2,3,4,5,6,7", "4.0/2.1/14", "more-tries-than-listed"},
};

START_TEST(readings_become_rows)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, grouping[_i].readings);
    const char *rows = "";
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        const char *row = model_has_number(f->status)
                              ? arena_printf(b->arena, "%s/%s/%d", build_text(b, f->end, 1),
                                             build_text(b, f->sd, 1), f->n_tries + f->n_unlisted)
                              : reading_status_name(f->status);
        rows = arena_printf(b->arena, "%s%s%s", rows, i == 0 ? "" : " ", row);
    }
    ck_assert_str_eq(rows, grouping[_i].rows);
    ck_assert_str_eq(build_flags(b, &v->rows[0]), grouping[_i].flags);
    build_free(b);
}
END_TEST

/* A force against a resistance that gives way is no try of one that does not; what is not said
 * agrees with either, and what a number was taken with stands. */
static const struct {
    const char *readings, *tries; /* of each row */
} techniques[] = {
    {FORCE "100 technique=make;" FORCE "110 technique=make", " 2"},
    {FORCE "100 technique=make;" FORCE "110", " 2"},
    {FORCE "100;" FORCE "110 technique=make", " 2"},
    {FORCE "100 technique=make;" FORCE "110 technique=break", " 1 1"},
    {FORCE "100 technique=make;" FORCE "110;" FORCE "120 technique=break", " 2 1"},
    {FORCE "not-tested technique=make;" FORCE "100 technique=break;" FORCE "110 technique=make",
     " 1 1"},
};

START_TEST(forces_are_tries_of_one_technique)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, techniques[_i].readings);
    const char *tries = "";
    for (size_t i = 0; i < v->n_rows; i++)
        tries = arena_printf(b->arena, "%s %d", tries, v->rows[i].n_tries);
    ck_assert_str_eq(tries, techniques[_i].tries);
    build_free(b);
}
END_TEST

START_TEST(row_keeps_what_its_readings_say)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(
        b, KNEE "110 start=4 pain=3 note=2;" KNEE
                "~112 start=6 by=A role=PTA tool=goniometer pain=5 note=2 note=4 reason=hurry");
    const struct finding *f = &v->rows[0];
    ck_assert_uint_eq(v->n_rows, 1);
    ck_assert_uint_eq(f->n_from, 2);
    ck_assert_str_eq(f->from[0]->text, "110");
    ck_assert_int_eq(f->status, READING_ESTIMATED);
    ck_assert_str_eq(f->status_reason, "hurry");
    ck_assert_str_eq(f->measured_by, "A");
    ck_assert_int_eq(f->role, ROLE_PTA);
    ck_assert_str_eq(f->tool, "goniometer");
    ck_assert_int_eq(f->instrument, INSTRUMENT_GONIOMETER);
    ck_assert_int_eq(f->unit, UNIT_DEG);
    ck_assert(f->start.has && f->start.value == 5);
    ck_assert(f->pain && f->pain_low.value == 3 && f->pain_high.value == 5);
    ck_assert_int_eq(f->n_notes, 2);
    ck_assert_int_eq(f->notes[1], 4);
    build_free(b);
}
END_TEST

/* A row has room for as many notes as one reading; those of further readings do not go beyond. */
START_TEST(notes_of_a_row_stay_within_its_room)
{
    struct build *b = build_new();
    build_add(b, KNEE "110;" KNEE "112");
    for (int i = 0; i < 2 * NOTES_MAX; i++) {
        struct measurement *m = &b->visits[0].measurements[i / NOTES_MAX];
        m->notes[m->n_notes++] = (enum diag_code)(i + 1);
    }
    const struct finding *f = &build_evaluate(b)->rows[0];
    ck_assert_uint_eq(f->n_from, 2);
    ck_assert_int_eq(f->n_notes, NOTES_MAX);
    for (int i = 0; i < NOTES_MAX; i++)
        ck_assert_int_eq(f->notes[i], i + 1);
    build_free(b);
}
END_TEST

/* The least and the most, whichever came first; a reading without a score changes neither. */
START_TEST(pain_of_a_row_runs_from_least_to_most)
{
    static const char *const orders[] = {
        KNEE "110 pain=3;" KNEE "112 pain=5;" KNEE "111 pain=4",
        KNEE "112 pain=5;" KNEE "110 pain=3;" KNEE "111",
        KNEE "111;" KNEE "112 pain=5;" KNEE "110 pain=3"};
    for (size_t i = 0; i < ARRAY_LEN(orders); i++) {
        struct build *b = build_new();
        struct visit_findings *v = build_findings(b, orders[i]);
        ck_assert_uint_eq(v->n_rows, 1);
        ck_assert_str_eq(build_text(b, v->rows[0].pain_low, 0), "3");
        ck_assert_str_eq(build_text(b, v->rows[0].pain_high, 0), "5");
        build_free(b);
    }
}
END_TEST

START_TEST(status_reason_belongs_to_the_status)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, KNEE "not-recorded reason=blank;" KNEE "not-tested reason=pain");
    ck_assert_uint_eq(v->n_rows, 1);
    ck_assert_str_eq(v->rows[0].status_reason, "pain");
    ck_assert_int_eq(v->rows[0].unit, UNIT_DEG);
    ck_assert(!v->rows[0].end.has && !v->rows[0].deficit.has && v->rows[0].normal != NULL);
    ck_assert_int_eq(v->rows[0].icf, -1);
    build_free(b);
}
END_TEST

static const struct {
    const char *readings, *grade;
    enum reading_status status;
    size_t rows;
} grades[] = {
    {QUADS "4", "4", READING_MEASURED, 1},
    {QUADS "4;" QUADS "4", "4", READING_MEASURED, 1},
    {QUADS "4;" QUADS "3+", NULL, READING_HELD_BACK, 1},
    {QUADS "4 muscle=rectus;" QUADS "3+ muscle=vastus", "4", READING_MEASURED, 2},
    {QUADS "4 technique=make;" QUADS "4+ technique=break", "4", READING_MEASURED, 2},
    {QUADS "not-tested", NULL, READING_NOT_TESTED, 1},
    {QUADS "not-tested;" QUADS "4", "4", READING_MEASURED, 1},
};

START_TEST(grades_are_never_averaged)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, grades[_i].readings);
    const struct finding *f = &v->rows[0];
    ck_assert_uint_eq(v->n_rows, grades[_i].rows);
    ck_assert_int_eq(f->status, grades[_i].status);
    ck_assert_pstr_eq(f->grade == NULL ? NULL : f->grade->text, grades[_i].grade);
    ck_assert(rules_has_flag(f, "grades-differ") == (grades[_i].status == READING_HELD_BACK));
    ck_assert(!f->end.has);
    build_free(b);
}
END_TEST

#define FORCE "2026-03-02 knee extension right force "

/* 180 N at 0.32 m and 72 kg: 57.6 N m and 0.8 N m/kg. */
static const struct {
    const char *readings, *force, *torque, *per_kg;
    double mass;
} forces[] = {
    {FORCE "180 lever=0.32", "180.0", "57.6", "0.80", 72},
    {FORCE "170,190 lever=0.32", "180.0", "57.6", "0.80", 72},
    {FORCE "170 lever=0.32;" FORCE "190 lever=0.32", "180.0", "57.6", "0.80", 72},
    {FORCE "180 lever=0.32", "180.0", "57.6", "", 0},
    {FORCE "180", "180.0", "", "", 72},
    {FORCE "170 lever=0.32;" FORCE "190", "180.0", "", "", 72},
    {FORCE "180 lever=0.32;" FORCE "not-tested", "180.0", "57.6", "0.80", 72},
    {FORCE "160,180 lever=0.32;" FORCE "200 lever=0.30", "180.0", "56.3", "0.78", 72},
    {FORCE "not-tested", "", "", "", 72},
};

START_TEST(forces_give_torque_where_the_lever_is_known)
{
    struct build *b = build_new();
    if (forces[_i].mass > 0)
        b->patient.body_mass_kg = num_of(forces[_i].mass);
    struct visit_findings *v = build_findings(b, forces[_i].readings);
    const struct finding *f = &v->rows[0];
    ck_assert_uint_eq(v->n_rows, 1);
    ck_assert_str_eq(build_text(b, f->force_n, 1), forces[_i].force);
    ck_assert_str_eq(build_text(b, f->torque_nm, 1), forces[_i].torque);
    ck_assert_str_eq(build_text(b, f->torque_nm_per_kg, 2), forces[_i].per_kg);
    ck_assert(!f->end.has);
    ck_assert_int_eq(f->unit, UNIT_N);
    build_free(b);
}
END_TEST

START_TEST(rows_follow_motion_side_digit_test_timing_position)
{
    static const char *const wanted[] = {
        "shoulder flexion right AROM 0",       "shoulder flexion right AROM supine 0",
        "shoulder flexion right AROM after 0", "shoulder flexion right PROM 0",
        "shoulder flexion left AROM 0",        "finger-pip flexion right AROM 2",
        "finger-pip flexion right AROM 3",     "knee flexion right AROM 0"};
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, KNEE "110;"
                               "2026-03-02 finger-pip flexion right AROM 80 digit=3;"
                               "2026-03-02 finger-pip flexion right AROM 80 digit=2;"
                               "2026-03-02 shoulder flexion left AROM 150;"
                               "2026-03-02 shoulder flexion right PROM 150;"
                               "2026-03-02 shoulder flexion right AROM 150 after;"
                               "2026-03-02 shoulder flexion right AROM 150 pos=supine;"
                               "2026-03-02 shoulder flexion right AROM 150");
    ck_assert_uint_eq(v->n_rows, ARRAY_LEN(wanted));
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        ck_assert_str_eq(arena_printf(b->arena, "%s %s %s %s%s%s%s %d", f->motion->joint,
                                      f->motion->motion, side_name(f->side), test_name(f->test),
                                      f->timing == TIMING_AFTER ? " after" : "",
                                      f->position == NULL ? "" : " ",
                                      f->position == NULL ? "" : f->position, f->digit),
                         wanted[i]);
    }
    build_free(b);
}
END_TEST

/* Two people measured the same: who of them is used comes first. */
static const struct {
    const char *readings, *used, *difference; /* of the second reading from the one used */
    bool differ;
} measurers[] = {
    {KNEE "118 by=S role=student;" KNEE "109 by=P role=PT", "P", "9.0", true},
    {KNEE "109 by=P role=PT;" KNEE "112 by=S role=student", "P", "3.0", false},
    {KNEE "109 by=Q role=PTA;" KNEE "110 by=P role=PT", "P", "-1.0", false},
    {KNEE "109 by=Q;" KNEE "110 by=P", "Q", "1.0", false},
    {KNEE "109 by=S role=student;" KNEE "110 by=Q", "Q", "-1.0", false},
    {KNEE "109 by=S role=student;" KNEE "110 by=Q role=other", "Q", "-1.0", false},
    {KNEE "109 by=Q;" KNEE "110 by=A role=PTA", "A", "-1.0", false},
    {KNEE "not-tested by=P role=PT;" KNEE "110 by=S role=student", "S", "", false},
    /* Without names the roles tell them apart, and nothing is averaged. */
    {KNEE "118 role=student;" KNEE "109 role=PT", NULL, "9.0", true},
    {KNEE "118 role=student;" KNEE "109 by=P role=PT", "P", "9.0", true},
    {KNEE "118 by=S role=student;" KNEE "109 role=PTA", NULL, "9.0", true},
    {KNEE "110 unit=cm by=S role=student;" KNEE "109 by=P role=PT", "P", "", false},
    {QUADS "4 by=S role=student;" QUADS "4- by=P role=PT", "P", "0.3", false},
};

START_TEST(one_of_two_measurers_is_used)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, measurers[_i].readings);
    ck_assert_uint_eq(v->n_rows, 2);
    ck_assert_pstr_eq(v->rows[0].measured_by, measurers[_i].used);
    ck_assert_ptr_null(v->rows[0].used);
    ck_assert_ptr_eq(v->rows[1].used, &v->rows[0]);
    ck_assert_str_eq(build_text(b, v->rows[1].rater_difference, 1), measurers[_i].difference);
    ck_assert(!v->rows[0].second_measurer && v->rows[1].second_measurer);
    ck_assert(!rules_has_flag(&v->rows[0], "second-measurer"));
    ck_assert(rules_has_flag(&v->rows[1], "second-measurer"));
    for (size_t i = 0; i < 2; i++)
        ck_assert(rules_has_flag(&v->rows[i], "measurers-differ") == measurers[_i].differ);
    build_free(b);
}
END_TEST

/* What two people measured is only the same where nothing but the measurer differs. */
START_TEST(another_reading_has_no_second_measurer)
{
    static const char *const readings[] = {
        KNEE "110 by=A;2026-03-02 knee extension right AROM 0 by=B",
        KNEE "110 by=A;2026-03-02 knee flexion left AROM 112 by=B",
        KNEE "110 by=A;2026-03-02 knee flexion right PROM 112 by=B",
        KNEE "110 by=A;" KNEE "112 by=B after",
        KNEE "110 by=A pos=prone;" KNEE "112 by=B pos=supine",
        "2026-03-02 finger-pip flexion right AROM 80 by=A digit=2;"
        "2026-03-02 finger-pip flexion right AROM 82 by=B digit=3",
        QUADS "4 by=A muscle=rectus;" QUADS "4 by=B muscle=vastus"};
    for (size_t i = 0; i < ARRAY_LEN(readings); i++) {
        struct build *b = build_new();
        struct visit_findings *v = build_findings(b, readings[i]);
        ck_assert_uint_eq(v->n_rows, 2);
        for (size_t k = 0; k < v->n_rows; k++)
            ck_assert_msg(!v->rows[k].second_measurer, "row %zu of %zu", k, i);
        build_free(b);
    }
}
END_TEST

/* A student and a stated role without names; two that say no role, or one, are tries as ever. */
START_TEST(tries_without_names_are_still_tries)
{
    static const char *const readings[] = {
        KNEE "118 role=student;" KNEE "109", KNEE "118 role=student;" KNEE "109 role=student",
        KNEE "118 role=PT;" KNEE "109 role=PTA"};
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, readings[_i]);
    ck_assert_uint_eq(v->n_rows, 1);
    ck_assert_str_eq(build_text(b, v->rows[0].end, 1), "113.5");
    build_free(b);
}
END_TEST

/* Three rows in any order; where one has no number, the order of the file stands. */
static const struct {
    const char *readings;
    double tries[3];
} numbered[] = {
    {KNEE "103 try=3;" KNEE "101 try=1;" KNEE "102 try=2", {101, 102, 103}},
    {KNEE "101 try=1;" KNEE "102 try=2;" KNEE "103 try=3", {101, 102, 103}},
    {KNEE "103 try=1;" KNEE "101 try=1;" KNEE "102 try=2", {103, 101, 102}},
    {KNEE "103 try=3;" KNEE "101;" KNEE "102 try=2", {103, 101, 102}},
};

START_TEST(tries_come_by_their_numbers)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, numbered[_i].readings);
    ck_assert_uint_eq(v->n_rows, 1);
    ck_assert_int_eq(v->rows[0].n_tries, 3);
    for (int i = 0; i < 3; i++)
        ck_assert_double_eq(v->rows[0].tries[i], numbered[_i].tries[i]);
    ck_assert_str_eq(build_text(b, v->rows[0].end, 1), "102.0");
    build_free(b);
}
END_TEST

/* The row that comes first in the file stays first, whichever of its tries does. */
START_TEST(order_of_tries_moves_no_row)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(
        b, KNEE "110 by=A try=2;" KNEE "120 by=B try=1;" KNEE "112 by=A try=1");
    ck_assert_uint_eq(v->n_rows, 2);
    ck_assert_double_eq(v->rows[0].tries[0], 112);
    ck_assert_double_eq(v->rows[1].tries[0], 120);
    build_free(b);
}
END_TEST

START_TEST(one_person_with_two_tools_is_no_second_measurer)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, KNEE "110 by=A tool=goniometer;" KNEE "120 by=A tool=inclinometer");
    ck_assert(!v->rows[1].second_measurer);
    build_free(b);
}
END_TEST

/* The error of a reading is that of the tool it was read with. */
START_TEST(tool_is_that_of_the_number)
{
    static const char *const orders[] = {
        KNEE "not-tested tool=goniometer;" KNEE "110 tool=inclinometer",
        KNEE "110 tool=inclinometer;" KNEE "not-tested tool=goniometer",
        KNEE "not-tested tool=inclinometer;" KNEE "110"};
    for (size_t i = 0; i < ARRAY_LEN(orders); i++) {
        struct build *b = build_new();
        struct visit_findings *v = build_findings(b, orders[i]);
        ck_assert_uint_eq(v->n_rows, 1);
        ck_assert_str_eq(v->rows[0].tool, "inclinometer");
        ck_assert_int_eq(v->rows[0].instrument, INSTRUMENT_INCLINOMETER);
        build_free(b);
    }
}
END_TEST

START_TEST(visit_without_readings_has_no_rows)
{
    struct build *b = build_new();
    build_visit(b, "2026-03-02");
    struct visit_findings *v = build_evaluate(b);
    ck_assert_uint_eq(v->n_rows, 0);
    ck_assert_ptr_null(v->headline);
    ck_assert(v->age.has && v->age.value == 40);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, readings_become_rows, 0, ARRAY_LEN(grouping));
    tcase_add_loop_test(tc, forces_are_tries_of_one_technique, 0, ARRAY_LEN(techniques));
    tcase_add_test(tc, row_keeps_what_its_readings_say);
    tcase_add_test(tc, notes_of_a_row_stay_within_its_room);
    tcase_add_test(tc, pain_of_a_row_runs_from_least_to_most);
    tcase_add_test(tc, status_reason_belongs_to_the_status);
    tcase_add_loop_test(tc, grades_are_never_averaged, 0, ARRAY_LEN(grades));
    tcase_add_loop_test(tc, forces_give_torque_where_the_lever_is_known, 0, ARRAY_LEN(forces));
    tcase_add_test(tc, rows_follow_motion_side_digit_test_timing_position);
    tcase_add_test(tc, another_reading_has_no_second_measurer);
    tcase_add_loop_test(tc, one_of_two_measurers_is_used, 0, ARRAY_LEN(measurers));
    tcase_add_loop_test(tc, tries_without_names_are_still_tries, 0, 3);
    tcase_add_loop_test(tc, tries_come_by_their_numbers, 0, ARRAY_LEN(numbered));
    tcase_add_test(tc, order_of_tries_moves_no_row);
    tcase_add_test(tc, one_person_with_two_tools_is_no_second_measurer);
    tcase_add_test(tc, visit_without_readings_has_no_rows);
    tcase_add_test(tc, tool_is_that_of_the_number);
}

BUILD_SUITE("rules_group")
