/* The angle cells of angle_cells.h; then every one of them damaged in small ways: whatever comes,
 * no crash, and never a number beside a status that has none. */
#include "unit.h"
#include "angle_cells.h"
#include "cells_describe.h"

static struct reference *ref;
static struct arena *arena;
static struct buf text;

/* Once for all tests: it takes longer than any of them. */
static void load_reference(void)
{
    struct diag_list problems;
    diag_list_init(&problems);
    ref = reference_load_embedded(&problems.sink);
    ck_assert_ptr_nonnull(ref);
    diag_list_release(&problems);
}

static void release_reference(void)
{
    reference_free(ref);
}

static void setup(void)
{
    arena = arena_new();
    buf_init(&text, 1 << 16);
}

static void teardown(void)
{
    buf_release(&text);
    arena_free(arena);
}

static const struct motion *motion(const char *key)
{
    const char *slash = strchr(key, '/');
    const char *joint = arena_strndup(arena, key, (size_t)(slash - key));
    const struct motion *m = reference_motion(ref, joint, slash + 1);
    ck_assert_msg(m != NULL, "no motion %s", key);
    return m;
}

START_TEST(angle_forms)
{
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(table); i++) {
        cell_angle(table[i].cell, motion(table[i].motion), table[i].test, NULL, arena, &r);
        const char *got = describe(&r, &text);
        ck_assert_msg(strcmp(got, table[i].expect) == 0,
                      "form %d, '%s' of %s: '%s', expected '%s'", table[i].form, table[i].cell,
                      table[i].motion, got, table[i].expect);
        ck_assert_msg(is_sound(&r), "'%s' is not sound", table[i].cell);
    }
}
END_TEST

static void try_one(const char *cell, const struct motion *m, enum test test)
{
    struct value_reading r;
    cell_angle(cell, m, test, NULL, arena, &r);
    ck_assert_msg(is_sound(&r), "'%s' is not sound", cell);
    cell_degrees(cell, m, NULL, arena, &r);
    ck_assert_msg(is_sound(&r), "degrees '%s' is not sound", cell);
}

/* Each cell cut before each byte, and with each byte doubled, dropped, or changed. */
START_TEST(angle_mutations)
{
    static const char other[] = "-+/;~?(%P0 .,";
    char cell[256];
    for (size_t i = 0; i < ARRAY_LEN(table); i++) {
        const char *s = table[i].cell;
        size_t len = strlen(s);
        const struct motion *m = motion(table[i].motion);
        for (size_t k = 0; k < len; k++) {
            snprintf(cell, sizeof cell, "%.*s", (int)k, s);
            try_one(cell, m, table[i].test);
            snprintf(cell, sizeof cell, "%.*s%s", (int)k + 1, s, s + k);
            try_one(cell, m, table[i].test);
            snprintf(cell, sizeof cell, "%.*s%s", (int)k, s, s + k + 1);
            try_one(cell, m, table[i].test);
            snprintf(cell, sizeof cell, "%.*s%c%s", (int)k, s, other[(i + k) % (sizeof other - 1)],
                     s + k + 1);
            try_one(cell, m, table[i].test);
        }
        arena_clear(arena);
    }
}
END_TEST

/* A cut may leave another true reading ("12" of "120"), but a sign, a limit or a doubt put to a
 * number must never read as the number itself. */
START_TEST(angle_marks_are_never_dropped)
{
    static const char *const marks[] = {">%s", "<%s", "%s+", "%s?", "%s%%", "%s/", "%s-", "%s x",
                                        "x %s", "%s }", "R %s", "(%s)", "%s same", "#%s", "=%s",
                                        "%s NT", "%s o", "%s 5", "pain %s", "%s to"};
    static const char *const numbers[] = {"1", "45", "120", "90"};
    char cell[64];
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(marks); i++) {
        for (size_t k = 0; k < ARRAY_LEN(numbers); k++) {
            const char *at = strstr(marks[i], "%s");
            int before = (int)(at - marks[i]);
            const char *rest = strcmp(at + 2, "%%") == 0 ? "%" : at + 2;
            snprintf(cell, sizeof cell, "%.*s%s%s", before, marks[i], numbers[k], rest);
            cell_angle(cell, motion(KF), TEST_AROM, NULL, arena, &r);
            ck_assert_msg(r.status == READING_HELD_BACK, "'%s' was read", cell);
        }
    }
}
END_TEST

/* Whatever stands beside a number, it is read as that number or not at all. */
START_TEST(angle_is_kept_whole)
{
    static const char *const beside[] = {
        "%s P!", "%sP!", "%s (P)", "%s - pain", "%s- pain", "%s -pain", "%s + pain", "%s+ pain",
        "%s firm", "%s (hard)", "%s @45 abd", "%s at 45 abd", "@45 abd %s", "%s knee 45",
        "%s supine", "supine %s", "supine - %s", "firm: %s", "%s WNL", "WNL %s", "%s tight",
        "tight %s", "limited to %s", "limited by %s", "~%s", "%s est", "%s deg", "%s, pain",
        "%s; pain", "%s*", "*%s", "%s pain 6", "6 pain %s", "%s @45", "%s 45 abd", "%s past",
        "past %s", "%s short", "%s flex", "%s flexion", "%s with pain", "%s no pain", "%s cm",
        "%s x2", "x2 %s", "%s/5", "%s %%", "%s w/ brace", "%s of 140", "%s to tolerance",
        "%s painful arc 60-90", "%s - 45"};
    static const char *const numbers[] = {"20", "60", "118"};
    char cell[64];
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(beside); i++) {
        for (size_t k = 0; k < ARRAY_LEN(numbers); k++) {
            int before = (int)(strstr(beside[i], "%s") - beside[i]);
            const char *after = beside[i] + before + 2;
            snprintf(cell, sizeof cell, "%.*s%s%s", before, beside[i], numbers[k], after);
            cell_angle(cell, motion(KF), TEST_AROM, NULL, arena, &r);
            double n = strtod(numbers[k], NULL);
            bool pair = strstr(beside[i], "- 45") != NULL && r.start.has;
            ck_assert_msg(!r.end.has || r.end.value == n || (pair && r.end.value >= n),
                          "'%s' was read as %g", cell, r.end.value);
        }
    }
}
END_TEST

START_TEST(angle_every_motion)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        for (size_t k = 0; m->rom && k < ARRAY_LEN(table); k++)
            try_one(table[k].cell, m, table[k].test);
        arena_clear(arena);
    }
}
END_TEST

START_TEST(angle_long_cells)
{
    static const char *const pieces[] = {"1", "1;", "1-", "P! ", "(", " ", "\342\200\223", "l",
                                         "supine ", "NT ", "-", "\303\202\302\260"};
    for (size_t i = 0; i < ARRAY_LEN(pieces); i++) {
        struct buf cell;
        buf_init(&cell, 1 << 17);
        while (cell.len < 60000)
            buf_adds(&cell, pieces[i]);
        try_one(buf_text(&cell), motion(KF), TEST_AROM);
        buf_release(&cell);
        arena_clear(arena);
    }
}
END_TEST

START_TEST(degrees_forms)
{
    static const struct {
        const char *motion, *cell, *expect;
    } rows[] = {
        {KE, "-10", "-10"},
        {KE, "8", "8"},
        {KE, "+8", "8"},
        {KE, "\342\210\22210", "-10"},
        {KE, "0", "0"},
        {KE, "-0", "0"},
        {KF, "118,5", "118.5"},
        {KF, "118.5", "118.5"},
        {KF, "120\302\260", "120"},
        {KF, "", "not-recorded +blank"},
        {KF, "-", "not-recorded +placeholder"},
        {KF, "NT - pain", "not-tested (pain)"},
        {KF, "n/a", "n/a"},
        {KF, "WNL", "held not-understood"},
        {KF, "120 P!", "held not-understood"},
        {KF, "1 20", "held not-understood"},
        {KF, "10-120", "held not-understood"},
        {KF, "12o", "held letter-in-number"},
        {KF, "1,180", "held decimal-or-thousands"},
        {KF, "18,50", "held comma-values"},
        {KF, "12-Oct", "held date"},
        {KF, "212", "held out-of-range [at most 170 degrees]"},
        {KE, "31", "held out-of-range [at most 30 degrees]"},
        {KE, "-171", "held out-of-range [at most 170 degrees]"},
        {KF, "=A1", "held formula"},
        {KF, "#REF!", "held spreadsheet-error"},
        {KF, "same", "held same"},
        {"jaw/opening", "-4", "held out-of-range [at most 80 mm]"},
        {"jaw/opening", "40\302\260", "held not-understood"},
    };
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        cell_degrees(rows[i].cell, motion(rows[i].motion), NULL, arena, &r);
        ck_assert_str_eq(describe(&r, &text), rows[i].expect);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import: angle cells");
    TCase *c = tcase_create("angle");
    tcase_add_unchecked_fixture(c, load_reference, release_reference);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, angle_forms);
    tcase_add_test(c, angle_mutations);
    tcase_add_test(c, angle_marks_are_never_dropped);
    tcase_add_test(c, angle_is_kept_whole);
    tcase_add_test(c, angle_every_motion);
    tcase_add_test(c, angle_long_cells);
    tcase_add_test(c, degrees_forms);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
