/* Which readings are held back, which are gaps, and that nothing goes without a word. */
#include "agree_run.h"

#include <math.h>
#include <stdio.h>

static char long_name[AGREE_NAME_MAX + 2];

/* ---- rows that cannot be used ---------------------------------------------------------------- */

START_TEST(nothing_at_all)
{
    struct run x = run_angles(NULL, 0);
    ck_assert_ptr_null(x.r);
    ck_assert_uint_eq(times_said(&x, DIAG_AGREE_NONE), 1);
    run_end(&x);
}
END_TEST

static const struct refused {
    struct agree_rating row;
    enum diag_code code;
} refused[] = {
    {{.subject = "", .rater = "A", .value = 1}, DIAG_AGREE_NAME},
    {{.subject = NULL, .rater = "A", .value = 1}, DIAG_AGREE_NAME},
    {{.subject = "s", .rater = NULL, .value = 1}, DIAG_AGREE_NAME},
    {{.subject = "s", .rater = "A:B", .value = 1}, DIAG_AGREE_NAME},
    {{.subject = long_name, .rater = "A", .value = 1}, DIAG_AGREE_NAME},
    {{.subject = "s", .rater = long_name, .value = 1}, DIAG_AGREE_NAME},
    {{.subject = "s", .rater = "A", .value = NAN}, DIAG_AGREE_VALUE},
    {{.subject = "s", .rater = "A", .value = INFINITY}, DIAG_AGREE_VALUE},
    {{.subject = "s", .rater = "A", .value = 1e7}, DIAG_AGREE_VALUE},
    {{.subject = "s", .rater = "A", .value = 1, .try = -1}, DIAG_AGREE_TRIES},
};

/* The row is held back and counted; the good row beside it stands. */
START_TEST(row_held_back)
{
    memset(long_name, 'x', sizeof long_name - 1);
    const struct refused *c = &refused[_i];
    struct agree_rating rows[] = {c->row, {.subject = "good", .rater = "B", .value = 40}};
    struct run x = run_angles(rows, 2);
    ck_assert_ptr_nonnull(x.r);
    ck_assert_uint_eq(x.diags.n, 1);
    ck_assert_int_eq(x.diags.items[0].code, c->code);
    ck_assert_uint_eq(x.r->n_subjects, 1);
    ck_assert_uint_eq(x.r->n_raters, 1);
    ck_assert_ptr_nonnull(strstr(row_of(&x, "n_subjects", NULL, NULL)->note, "1 readings held"));
    run_end(&x);
    x = run_angles(rows, 1);
    ck_assert_ptr_null(x.r);
    ck_assert_uint_eq(times_said(&x, DIAG_AGREE_NONE), 1);
    run_end(&x);
}
END_TEST

START_TEST(tests_mixed)
{
    struct agree_rating rows[] = {{.subject = "s", .rater = "A", .value = 1, .test = "AROM"},
                                  {.subject = "s", .rater = "B", .value = 1, .test = "PROM"},
                                  {.subject = "s", .rater = "B", .value = 1}};
    for (size_t i = 0; i < 2; i++) {
        struct run x = run_angles(rows + i, 2);
        ck_assert_ptr_null(x.r);
        ck_assert_uint_eq(x.diags.n, 1);
        ck_assert_int_eq(x.diags.items[0].code, DIAG_AGREE_TESTS);
        run_end(&x);
    }
}
END_TEST

START_TEST(test_with_a_long_name)
{
    memset(long_name, 'x', sizeof long_name - 1);
    struct agree_rating row = {.subject = "s", .rater = "A", .value = 1, .test = long_name};
    struct run x = run_angles(&row, 1);
    ck_assert_ptr_null(x.r);
    ck_assert_int_eq(x.diags.items[0].code, DIAG_AGREE_NAME);
    run_end(&x);
}
END_TEST

/* One rater more than the limit: refused as a whole, once; at the limit all is reckoned. */
START_TEST(many_raters)
{
    struct agree_rating rows[AGREE_RATERS_MAX + 1];
    char names[AGREE_RATERS_MAX + 1][8];
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        snprintf(names[i], sizeof names[i], "r%zu", i);
        rows[i] = (struct agree_rating){.subject = "s", .rater = names[i], .value = (double)i};
    }
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    ck_assert_ptr_null(x.r);
    ck_assert_uint_eq(x.diags.n, 1);
    ck_assert_int_eq(x.diags.items[0].code, DIAG_AGREE_MANY);
    run_end(&x);
    x = run_angles(rows, AGREE_RATERS_MAX);
    ck_assert_ptr_nonnull(x.r);
    ck_assert_uint_eq(x.r->n_raters, AGREE_RATERS_MAX);
    run_end(&x);
}
END_TEST

/* ---- several readings in one cell ------------------------------------------------------------ */

static const struct cell {
    const char *what;
    struct agree_rating rows[4]; /* of one subject and rater */
    size_t n;
    int tries;                   /* that are left */
    double value;                /* of the cell, where one is left */
    size_t unclear, duplicates;
} cells[] = {
    {"one", {{.value = 40}}, 1, 1, 40, 0, 0},
    {"three tries", {{.value = 40, .try = 1}, {.value = 43, .try = 2}, {.value = 46, .try = 3}},
     3, 3, 43, 0, 0},
    {"tries out of order", {{.value = 46, .try = 3}, {.value = 40, .try = 1}}, 2, 2, 43, 0, 0},
    {"the same without a number", {{.value = 40}, {.value = 40}}, 2, 1, 40, 0, 1},
    {"two values without numbers", {{.value = 40}, {.value = 44}}, 2, 0, 0, 2, 0},
    {"the same try twice", {{.value = 40, .try = 1}, {.value = 40, .try = 1}}, 2, 1, 40, 0, 1},
    {"two values of one try",
     {{.value = 40, .try = 1}, {.value = 44, .try = 1}, {.value = 42, .try = 2}}, 3, 1, 42, 2, 0},
    {"a number and none", {{.value = 40}, {.value = 44, .try = 1}}, 2, 1, 44, 1, 0},
};

START_TEST(readings_of_a_cell)
{
    const struct cell *c = &cells[_i];
    struct agree_rating rows[5];
    memcpy(rows, c->rows, sizeof c->rows);
    for (size_t i = 0; i < c->n; i++) {
        rows[i].subject = "s";
        rows[i].rater = "A";
    }
    rows[c->n] = (struct agree_rating){.subject = "s", .rater = "B", .value = 50};
    struct run x = run_angles(rows, c->n + 1);
    ck_assert_uint_eq(times_said(&x, DIAG_AGREE_TRIES), c->unclear);
    ck_assert_uint_eq(times_said(&x, DIAG_AGREE_DUPLICATE), c->duplicates);
    if (c->tries == 0) { /* a rater with nothing left is no rater */
        ck_assert_uint_eq(x.r->n_raters, 1);
        ck_assert_str_eq(x.r->raters[0], "B");
    } else {
        const struct agree_cell *cell = agree_cell_at(x.r, 0, 0);
        ck_assert_int_eq(cell->n_tries, c->tries);
        ck_assert_double_eq_tol(cell->value.value, c->value, 1e-9);
    }
    run_end(&x);
}
END_TEST

/* ---- names and the instructor ---------------------------------------------------------------- */

/* First come, first named; the instructor last; names held together exactly as written. */
START_TEST(order_of_names)
{
    static const struct agree_rating rows[] = {
        {.subject = "s2", .rater = "I", .value = 50, .instructor = true},
        {.subject = "s2", .rater = "B", .value = 51},
        {.subject = "s1", .rater = "A", .value = 60},
        {.subject = "s1", .rater = "a", .value = 61},
        {.subject = "s1", .rater = "I", .value = 62}};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    ck_assert_str_eq(x.r->subjects[0], "s2");
    ck_assert_str_eq(x.r->subjects[1], "s1");
    static const char *const raters[] = {"B", "A", "a", "I"};
    for (size_t i = 0; i < 4; i++)
        ck_assert_str_eq(x.r->raters[i], raters[i]);
    ck_assert(x.r->has_instructor);
    ck_assert_uint_eq(x.r->n_raters, 3);
    ck_assert_double_eq(agree_cell_at(x.r, 0, 0)->value.value, 51);
    ck_assert(!agree_cell_at(x.r, 0, 1)->value.has);
    ck_assert_double_eq(agree_cell_at(x.r, 1, 1)->value.value, 60);
    ck_assert_double_eq(agree_cell_at(x.r, 0, 3)->value.value, 50);
    ck_assert_double_eq(agree_cell_at(x.r, 1, 3)->value.value, 62);
    run_end(&x);
}
END_TEST

START_TEST(two_instructors)
{
    static const struct agree_rating rows[] = {
        {.subject = "s", .rater = "I", .value = 50, .instructor = true},
        {.subject = "s", .rater = "J", .value = 51, .instructor = true},
        {.subject = "s", .rater = "A", .value = 51}};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    ck_assert_uint_eq(times_said(&x, DIAG_AGREE_INSTRUCTORS), 1);
    ck_assert(!x.r->has_instructor);
    ck_assert_uint_eq(x.r->n_raters, 3);
    run_end(&x);
}
END_TEST

START_TEST(instructor_alone)
{
    static const struct agree_rating row = {
        .subject = "s", .rater = "I", .value = 50, .instructor = true};
    struct run x = run_angles(&row, 1);
    ck_assert_uint_eq(x.r->n_raters, 0);
    expect(&x, "n_raters", NULL, NULL, 0);
    expect_none(&x, "icc_2_1", NULL, NULL, "one subject");
    run_end(&x);
}
END_TEST

/* Every reading is used, held back with a message, or a duplicate with one: over many tables. */
START_TEST(readings_add_up)
{
    static const char *const subjects[] = {"s1", "s2", "s3", ""};
    static const char *const raters[] = {"A", "B", "C", "x:y"};
    unsigned state = 7;
    for (int round = 0; round < 300; round++) {
        struct agree_rating rows[30];
        for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
            state = state * 1103515245u + 12345u;
            rows[i] = (struct agree_rating){.subject = subjects[state >> 10 & 3],
                                            .rater = raters[state >> 13 & 3],
                                            .value = 40 + (double)(state >> 16 & 1),
                                            .try = (int)(state >> 18 & 3)};
        }
        struct run x = run_angles(rows, ARRAY_LEN(rows));
        size_t used = 0;
        for (size_t s = 0; x.r != NULL && s < x.r->n_subjects; s++)
            for (size_t j = 0; j < x.r->n_raters; j++)
                used += (size_t)agree_cell_at(x.r, s, j)->n_tries;
        size_t said = x.diags.n - times_said(&x, DIAG_AGREE_NONE);
        ck_assert_uint_eq(used + said, ARRAY_LEN(rows));
        run_end(&x);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("agree: readings");
    TCase *c = tcase_create("table");
    tcase_add_test(c, nothing_at_all);
    tcase_add_loop_test(c, row_held_back, 0, (int)ARRAY_LEN(refused));
    tcase_add_test(c, tests_mixed);
    tcase_add_test(c, test_with_a_long_name);
    tcase_add_test(c, many_raters);
    tcase_add_loop_test(c, readings_of_a_cell, 0, (int)ARRAY_LEN(cells));
    tcase_add_test(c, order_of_names);
    tcase_add_test(c, two_instructors);
    tcase_add_test(c, instructor_alone);
    tcase_add_test(c, readings_add_up);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
