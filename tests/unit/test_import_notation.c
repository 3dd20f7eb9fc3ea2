/*
 * Neutral-zero notation with the letter of its plane. Examples marked SFTR are those of pages that
 * teach the method: fizjoterapeuty.pl/testy-funkcjonalne/sftr.html (order, letters, hip 15-0-120),
 * sportgesundheit.eu/neutral-null-methode.html (hip 0-10-90, fixed joints), playmaker.pro (ankle
 * 20-0-45). The others follow from its rules. The round trip over all motions is
 * tests/external/notation.py.
 */
#include "unit.h"
#include "cells_describe.h"

static struct reference *ref;
static struct arena *arena;
static struct diag_list problems;
static const struct cell_rules none, letters = {.plane_letters = true};

#define L SIDE_LEFT
#define R SIDE_RIGHT

static const struct {
    const char *joint, *motion;
    enum side side;
    const char *cell, *expect; /* "": no notation, for the angle cell to read */
} table[] = {
    {"hip", "flexion", R, "S 15-0-120", "-15..120 +neutral-zero"}, /* SFTR */
    {"hip", "extension", R, "S 15-0-120", "-120..15 +neutral-zero"},
    {"hip", "flexion", L, "S 0-10-90", "10..90 +neutral-zero"}, /* SFTR */
    {"hip", "extension", L, "s0\302\260-10\302\260-90\302\260", "-90..-10 +neutral-zero"},
    {"ankle", "plantar-flexion", R, "S 20-0-45", "-20..45 +neutral-zero"}, /* SFTR */
    {"ankle", "dorsiflexion", R, "S: 0 \342\200\223 15 \342\200\223 45", "-45..-15 +neutral-zero"},
    {"knee", "flexion", R, "S 10-5-0", "-10..-5 +neutral-zero"},
    {"knee", "flexion", R, "S 0-30-30", "30..30 fixed +neutral-zero +fixed-joint"}, /* SFTR */
    {"knee", "flexion", R, "S 0-30", "30..30 fixed +neutral-zero +fixed-joint"},
    {"knee", "extension", R, "S 0-30", "-30..-30 fixed +neutral-zero +fixed-joint"},
    {"knee", "extension", R, "S 8-0", "8..8 fixed +neutral-zero +fixed-joint"},
    {"hip", "abduction", R, "F 40-10-0", "10..40 +neutral-zero"},
    {"wrist", "ulnar-deviation", R, "F 20-0-30", "-20..30 +neutral-zero"},
    {"shoulder", "horizontal-adduction", R, "T 30-0-130", "-30..130 +neutral-zero"},
    {"forearm", "pronation", R, "R 80-0-70", "-80..70 +neutral-zero"},
    {"shoulder", "external-rotation", R, "R(F90) 80-0-60", "-60..80 @90 abduction +neutral-zero"},
    {"hip", "internal-rotation", R, "R (S 90) 40-0-35", "-40..35 @90 flexion +neutral-zero"},
    /* of the spine left first, whatever the row; three dots: start is no opposite motion's */
    {"cervical", "rotation", R, "R 75-0-60", "-75...60 +neutral-zero"},
    {"trunk", "lateral-flexion", L, "F 45-0-40", "-40...45 +neutral-zero"},
    {"trunk", "lateral-flexion", R, "F 45-0-40", "-45...40 +neutral-zero"},
    /* not the plane of the motion, no zero, more than the numbers allow */
    {"knee", "flexion", R, "F 0-10-120", "held neutral-zero-plane [S here]"},
    {"shoulder", "flexion", R, "T 30-0-130", "held neutral-zero-plane [S here]"},
    {"thumb-cmc", "abduction", R, "F 0-0-60", "held neutral-zero-order"},
    {"hip", "flexion", R, "S 15-5-120", "held neutral-zero-without-zero"},
    {"hip", "flexion", R, "S 0-30-10", "held not-understood"},
    {"hip", "flexion", R, "S 5-10-0", "held not-understood"},
    {"knee", "flexion", R, "S 20-45", "held not-understood"},
    {"shoulder", "external-rotation", R, "R(T90) 80-0-60", "held not-understood"},
    /* an R that may be a side, and what is no notation */
    {"cervical", "rotation", L, "R 75-0-60", ""},
    {"knee", "flexion", R, "R 0-10-120", ""},
    {"forearm", "pronation", R, "R 0-80", ""},
    {"knee", "flexion", R, "S 120", ""},
    {"knee", "flexion", R, "0-10-120", ""},
    {"knee", "flexion", R, "S 0-10-120-5", ""},
    {"knee", "flexion", R, "S 0-10-", ""},
    {"knee", "flexion", R, "S 0-x-120", ""},
    {"knee", "flexion", R, "S 0/10/120", ""},
    {"knee", "flexion", R, "supine", ""},
    {"hip", "internal-rotation", R, "R(S90 40-0-35", ""},
    {"hip", "internal-rotation", R, "R() 40-0-35", ""},
    {"knee", "flexion", R, "", ""},
};

static void check_row(int i, const struct cell_rules *rules, const char *expect)
{
    struct buf b;
    struct value_reading r;
    buf_init(&b, 512);
    const struct motion *m = reference_motion(ref, table[i].joint, table[i].motion);
    ck_assert(m != NULL);
    bool is = cell_notation(table[i].cell, m, table[i].side, rules, arena, &r);
    const char *got = is ? describe(&r, &b) : "";
    ck_assert(!is || is_sound(&r));
    ck_assert_msg(strcmp(*got == ' ' ? got + 1 : got, expect) == 0, "%s %s %s: %s, not %s",
                  table[i].joint, table[i].motion, table[i].cell, got, expect);
    buf_release(&b);
}

START_TEST(cells)
{
    check_row(_i, &none, table[_i].expect);
}
END_TEST

/* Where the map says that letters are planes, an R of the left is one too. */
START_TEST(declared_letters)
{
    for (int i = 0; i < (int)ARRAY_LEN(table); i++) {
        if (strcmp(table[i].cell, "R 75-0-60") == 0 && table[i].side == L)
            check_row(i, &letters, "-60...75 +neutral-zero");
        else if (strcmp(table[i].cell, "R 0-10-120") == 0)
            check_row(i, &letters, "held neutral-zero-plane [S here]");
        else if (strcmp(table[i].cell, "R 0-80") == 0)
            check_row(i, &letters, "80..80 fixed +neutral-zero +fixed-joint");
        else
            check_row(i, &letters, table[i].expect);
    }
}
END_TEST

static void load(void)
{
    diag_list_init(&problems);
    arena = arena_new();
    ref = reference_load_embedded(&problems.sink);
    ck_assert(ref != NULL);
}

static void unload(void)
{
    reference_free(ref);
    arena_free(arena);
    diag_list_release(&problems);
}

static Suite *notation_suite(void)
{
    Suite *suite = suite_create("import: neutral-zero notation");
    TCase *tc = tcase_create("cells");
    tcase_add_unchecked_fixture(tc, load, unload);
    tcase_add_loop_test(tc, cells, 0, (int)ARRAY_LEN(table));
    tcase_add_test(tc, declared_letters);
    suite_add_tcase(suite, tc);
    return suite;
}

TEST_MAIN(notation_suite)
