/* Cells under the rules that a column map declares: what a rule settles, what stays held back in
 * spite of it, and that a rule touches nothing else. */
#include "cells_describe.h"
#include "unit.h"

static struct reference *ref;
static struct arena *arena;

static void set_up(void)
{
    struct diag_sink sink = {0};
    ref = reference_load_embedded(&sink);
    ck_assert_ptr_nonnull(ref);
    arena = arena_new();
}

static void tear_down(void)
{
    arena_free(arena);
    reference_free(ref);
}

static const struct cell_rules none;
static const struct cell_rules comma = {.decimal = DECIMAL_COMMA};
static const struct cell_rules point = {.decimal = DECIMAL_POINT};
static const struct cell_rules minus_short = {.minus = SIGN_SHORT_OF_ZERO};
static const struct cell_rules minus_past = {.minus = SIGN_PAST_ZERO};
static const struct cell_rules bare_short = {.no_sign = SIGN_SHORT_OF_ZERO};
static const struct cell_rules bare_past = {.no_sign = SIGN_PAST_ZERO};
static const struct cell_rules paired = {.pairs = PAIR_ACTIVE_PASSIVE};

/* ---- angles -------------------------------------------------------------------------------- */

#define KNEE "knee", "flexion"
#define STRAIGHT "knee", "extension"

#define SIGNED "held sign [short of it is 10-120, past it 10-0-120]"

static const struct {
    const struct cell_rules *rules;
    const char *joint, *motion, *cell, *says;
} angles[] = {
    /* decimal mark: rows 4 to 6 of the list of messy cells */
    {&none, KNEE, "118,5", "118.5 +finer-than-tool"},
    {&none, KNEE, "1,180", "held decimal-or-thousands"},
    {&comma, KNEE, "118,5", "118.5 +finer-than-tool"},
    {&comma, KNEE, "118,25", "118.25 +finer-than-tool"},
    {&comma, KNEE, "1,180", "1.18 +finer-than-tool"},
    {&comma, KNEE, "1.180", "held decimal-or-thousands"},
    {&comma, KNEE, "118.500", "held decimal-or-thousands"},
    {&comma, KNEE, "118.5", "118.5 +finer-than-tool"},
    {&comma, KNEE, "~118,5", "estimated 118.5 +estimated +finer-than-tool"},
    {&comma, KNEE, "95, 97", "held comma-values"},
    {&comma, KNEE, "0-118,5", "0..118.5 +finer-than-tool"},
    {&comma, KNEE, "95,5; 97", "96.25 of 95.5/97 +tries +finer-than-tool"},
    {&point, KNEE, "118.5", "118.5 +finer-than-tool"},
    {&point, KNEE, "1.180", "1.18 +finer-than-tool"},
    {&point, KNEE, "118,5", "held comma-values"},
    {&point, KNEE, "1,180", "held decimal-or-thousands"},
    /* the sign of an extension: rows 12 to 16 */
    {&none, STRAIGHT, "-10", "held sign"},
    {&none, STRAIGHT, "+5", "held sign"},
    {&none, STRAIGHT, "10", "held extension-unsigned"},
    {&none, KNEE, "-10-120", SIGNED},
    {&minus_short, STRAIGHT, "-10", "-10"},
    {&minus_short, STRAIGHT, "\xE2\x88\x92" "10", "-10"},
    {&minus_short, STRAIGHT, "'-10", "-10 +apostrophe"},
    {&minus_short, STRAIGHT, "+5", "5"},
    {&minus_short, STRAIGHT, "-0", "0"},
    {&minus_short, STRAIGHT, "10", "held extension-unsigned"},
    {&minus_short, STRAIGHT, "(10)", "held sign"},
    {&minus_short, STRAIGHT, "(-10)", "held sign"},
    {&minus_short, STRAIGHT, "-10 P!", "-10 pain"},
    {&minus_short, STRAIGHT, "-10; -8", "-9 of -10/-8 +tries"},
    {&minus_short, STRAIGHT, "lacks 10", "-10"},
    {&minus_short, STRAIGHT, "hyper 5", "5"},
    {&minus_short, STRAIGHT, "-200", "held out-of-range [at most 170 degrees]"},
    {&minus_short, KNEE, "-10-120", "10..120"},
    {&minus_short, KNEE, "-10 to 120", "10..120"},
    {&minus_short, KNEE, "+10-120", "-10..120"},
    {&minus_short, KNEE, "-0-120", "0..120"},
    {&minus_short, KNEE, "(10)-120", SIGNED},
    {&minus_short, KNEE, "-10--120", "held sign"},
    {&minus_short, KNEE, "-130-120", "held not-understood"},
    {&minus_short, KNEE, "-10/120", SIGNED},
    {&minus_past, STRAIGHT, "-10", "10"},
    {&minus_past, STRAIGHT, "+5", "-5"},
    {&minus_past, KNEE, "-10-120", "-10..120"},
    {&minus_past, KNEE, "+10-120", "10..120"},
    {&bare_short, STRAIGHT, "10", "-10"},
    {&bare_short, STRAIGHT, "0", "0"},
    {&bare_short, STRAIGHT, "-10", "held sign"},
    {&bare_short, KNEE, "120", "120"},
    {&bare_past, STRAIGHT, "8", "8"},
    /* elsewhere a minus is short of zero, whatever is declared for extensions */
    {&none, "ankle", "dorsiflexion", "-10", "-10 +sign-short-of-zero"},
    {&minus_short, "ankle", "dorsiflexion", "-10", "-10 +sign-short-of-zero"},
    {&minus_past, "ankle", "dorsiflexion", "-10", "-10 +sign-short-of-zero"},
    {&minus_short, "hip", "extension", "-10", "-10 +sign-short-of-zero"},
    {&minus_past, "hip", "extension", "-10", "held sign"},
    {&minus_past, "hip", "extension", "10", "10"},
    {&bare_short, "hip", "extension", "10", "10"},
    /* a pair the splitter did not take stays held */
    {&none, KNEE, "0/120", "0..120 +slash-from-to"},
    {&paired, KNEE, "0/120", "held pair-or-from-zero"},
    {&paired, KNEE, "118/126 P!", "held pair-order"},
    {&paired, KNEE, "95/97/96", "held slash-triple"},
    {&paired, KNEE, "4/5", "held grade-in-angle"},
    {&paired, KNEE, "3/4", "held share"},
};

START_TEST(angles_by_rules)
{
    struct value_reading r;
    struct buf b;
    buf_init(&b, 1 << 16);
    const struct motion *m = reference_motion(ref, angles[_i].joint, angles[_i].motion);
    cell_angle(angles[_i].cell, m, TEST_AROM, angles[_i].rules, arena, &r);
    const char *says = describe(&r, &b);
    ck_assert_msg(strcmp(says, angles[_i].says) == 0, "'%s' gives '%s', not '%s'", angles[_i].cell,
                  says, angles[_i].says);
    ck_assert(is_sound(&r));
    buf_release(&b);
}
END_TEST

/* The columns of plain numbers: the sign is settled, the decimal mark may be declared. */
static const struct {
    const struct cell_rules *rules;
    const char *cell, *says;
} plain[] = {
    {&none, "-10,25", "held comma-values"}, {&comma, "-10,25", "-10.25"},
    {&comma, "1.180", "held decimal-or-thousands"}, {&point, "10,5", "held comma-values"},
    {&point, "10.5", "10.5"}, {&minus_past, "-10", "-10"},
};

START_TEST(plain_numbers_by_rules)
{
    struct value_reading r;
    struct buf b;
    buf_init(&b, 1 << 16);
    cell_degrees(plain[_i].cell, reference_motion(ref, STRAIGHT), plain[_i].rules, arena, &r);
    ck_assert_str_eq(describe(&r, &b), plain[_i].says);
    buf_release(&b);
}
END_TEST

/* ---- grades: the scale that a clinic names --------------------------------------------------- */

static const struct cell_rules five_minus = {.five_minus = true};
static const struct cell_rules of_ten = {.grades_of_ten = true};
static const struct cell_rules of_ten_minus = {.grades_of_ten = true, .five_minus = true};

static const struct {
    const struct cell_rules *rules;
    const char *cell, *says;
} grade_cells[] = {
    {&none, "5-", "held grade-five-minus"}, {&five_minus, "5-", "grade 5-"},
    {&five_minus, "5-/5", "grade 5-"}, {&five_minus, "N-", "grade 5-"},
    {&five_minus, "5+", "held grade-unknown"}, {&five_minus, "4-", "grade 4-"},
    {&none, "6", "held grade-other-scale"}, {&none, "10", "held grade-other-scale"},
    {&none, "11", "held grade-unknown"}, {&none, "6/5", "held grade-unknown"},
    {&none, "8+", "held grade-unknown"}, {&none, "8/10", "held grade-of-ten"},
    {&none, "7.5", "held grade-half"},
    {&of_ten, "0", "grade 0 +grade-of-ten-read"}, {&of_ten, "1", "grade 2- +grade-of-ten-read"},
    {&of_ten, "2", "grade 2 +grade-of-ten-read"}, {&of_ten, "3", "grade 2+ +grade-of-ten-read"},
    {&of_ten, "4", "grade 3- +grade-of-ten-read"}, {&of_ten, "5", "grade 3 +grade-of-ten-read"},
    {&of_ten, "6", "grade 3+ +grade-of-ten-read"}, {&of_ten, "7", "grade 4- +grade-of-ten-read"},
    {&of_ten, "8", "grade 4 +grade-of-ten-read"}, {&of_ten, "9", "grade 4+ +grade-of-ten-read"},
    {&of_ten, "10", "grade 5 +grade-of-ten-read"},
    {&of_ten, "8/10", "grade 4 +grade-of-ten-read"},
    {&of_ten, "8 (good)", "grade 4 +grade-of-ten-read"},
    {&of_ten, "T", "grade 1"}, {&of_ten, "good", "grade 4"}, {&of_ten, "G-", "grade 4-"},
    {&of_ten, "11", "held grade-unknown"}, {&of_ten, "4/5", "held grade-other-scale"},
    {&of_ten, "4+", "held grade-step"}, {&of_ten, "7.5", "held grade-half"},
    {&of_ten, "IV", "held grade-other-scale"}, {&of_ten, "MRC 4", "held grade-other-scale"},
    {&of_ten, "4 (good)", "held grade-two"},
    {&of_ten_minus, "5-", "held grade-step"}, {&of_ten_minus, "N-", "grade 5-"},
};

START_TEST(grades_by_scale)
{
    struct value_reading r;
    struct buf b;
    buf_init(&b, 1 << 16);
    cell_grade(grade_cells[_i].cell, grade_cells[_i].rules, ref, arena, &r);
    const char *says = describe(&r, &b);
    ck_assert_msg(strcmp(says, grade_cells[_i].says) == 0, "'%s' gives '%s', not '%s'",
                  grade_cells[_i].cell, says, grade_cells[_i].says);
    ck_assert(is_sound(&r));
    buf_release(&b);
}
END_TEST

/* The clinic's word reaches the cells, and the map's own rules stay. */
START_TEST(settings_take_the_scale_of_the_clinic)
{
    const struct clinic clinic = {.grades_of_ten = true}, other = {.five_minus = true};
    const struct import_settings *s = import_settings_default();
    const struct cell_rules *ten =
        import_settings_rules(import_settings_for_clinic(s, &clinic, arena));
    const struct cell_rules *five =
        import_settings_rules(import_settings_for_clinic(s, &other, arena));
    ck_assert(ten->grades_of_ten && !ten->five_minus);
    ck_assert(five->five_minus && !five->grades_of_ten);
    ck_assert(!import_settings_rules(s)->grades_of_ten);
    ck_assert_int_eq((int)ten->decimal, (int)import_settings_rules(s)->decimal);
}
END_TEST

/* ---- pairs: row 27 ------------------------------------------------------------------------- */

static const struct {
    enum pair_order order;
    const char *cell;
    bool grade;
    const char *says; /* "" : not split */
} pairs[] = {
    {PAIR_UNDECLARED, "118/126", false, ""},
    {PAIR_ACTIVE_PASSIVE, "118/126", false, "AROM 118 PROM 126"},
    {PAIR_PASSIVE_ACTIVE, "126/118", false, "PROM 126 AROM 118"},
    {PAIR_RIGHT_LEFT, "118/126", false, "right 118 left 126"},
    {PAIR_LEFT_RIGHT, "118 / 126", false, "left 118 right 126"},
    {PAIR_ACTIVE_PASSIVE, "118\xC2\xB0/126\xC2\xB0", false, "AROM 118\xC2\xB0 PROM 126\xC2\xB0"},
    {PAIR_ACTIVE_PASSIVE, "-10/-5", false, "AROM -10 PROM -5"},
    {PAIR_RIGHT_LEFT, "0/0", false, "right 0 left 0"},
    {PAIR_RIGHT_LEFT, "10/0", false, "right 10 left 0"},
    {PAIR_RIGHT_LEFT, "0/120", false, ""},
    {PAIR_RIGHT_LEFT, "4/5", false, ""},
    {PAIR_RIGHT_LEFT, "3/4", false, ""},
    {PAIR_RIGHT_LEFT, "5/5", false, ""},
    {PAIR_RIGHT_LEFT, "118/126", true, ""},
    {PAIR_RIGHT_LEFT, "118/126/120", false, ""},
    {PAIR_RIGHT_LEFT, "118/126 P!", false, ""},
    {PAIR_RIGHT_LEFT, "118/", false, ""},
    {PAIR_RIGHT_LEFT, "/126", false, ""},
    {PAIR_RIGHT_LEFT, "118-126", false, ""},
    {PAIR_RIGHT_LEFT, "R 118 L 126", false, "right 118 left 126"},
    {PAIR_RIGHT_LEFT, "A118 P126", false, "AROM 118 PROM 126"},
};

START_TEST(pairs_by_order)
{
    struct cell_part parts[PARTS_MAX];
    struct cell_rules rules = {.pairs = pairs[_i].order};
    char says[200] = "";
    int n = cell_split(pairs[_i].cell, pairs[_i].grade, &rules, arena, parts);
    for (int i = 0; i < n; i++)
        snprintf(says + strlen(says), sizeof says - strlen(says), "%s%s %s", i > 0 ? " " : "",
                 parts[i].side != SIDE_NONE ? side_name(parts[i].side) : test_name(parts[i].test),
                 parts[i].text);
    ck_assert_msg(strcmp(says, pairs[_i].says) == 0, "'%s' gives '%s'", pairs[_i].cell, says);
}
END_TEST

/* ---- pain: row 83 -------------------------------------------------------------------------- */

static const struct {
    enum pain_order order;
    const char *cell;
    int rest, move; /* -1: no pair */
} pains[] = {
    {PAIN_UNDECLARED, "", -1, -1},
    {PAIN_UNDECLARED, "2/6", -1, -1},
    {PAIN_UNDECLARED, "3/10", -1, -1},
    {PAIN_UNDECLARED, "2 rest", -1, -1},
    {PAIN_UNDECLARED, "2 rest 6", -1, -1},
    {PAIN_UNDECLARED, "rest 2 6 mvt", -1, -1},
    {PAIN_UNDECLARED, "2 rest 6 rest", -1, -1},
    {PAIN_UNDECLARED, "2 rest 11 mvt", -1, -1},
    {PAIN_UNDECLARED, "2.5 rest 6 mvt", -1, -1},
    {PAIN_UNDECLARED, "2 rest 6 mvt 7", -1, -1},
    {PAIN_UNDECLARED, "rest mvt", -1, -1},
    {PAIN_UNDECLARED, "2 rest 6 mvt", 2, 6},
    {PAIN_UNDECLARED, "6 mvt 2 rest", 2, 6},
    {PAIN_UNDECLARED, "rest 2, movement 6", 2, 6},
    {PAIN_UNDECLARED, "Rest: 2 / Activity: 6", 2, 6},
    {PAIN_UNDECLARED, "2/10 at rest, 6/10 with movement", 2, 6},
    {PAIN_UNDECLARED, "2 at rest; 6 on movement", 2, 6},
    {PAIN_REST_MOVEMENT, "2/6", 2, 6},
    {PAIN_MOVEMENT_REST, "2/6", 6, 2},
    {PAIN_REST_MOVEMENT, "0/0", 0, 0},
    {PAIN_REST_MOVEMENT, "3/10", -1, -1},
    {PAIN_REST_MOVEMENT, "10/10", -1, -1},
    {PAIN_REST_MOVEMENT, "11/6", -1, -1},
    {PAIN_REST_MOVEMENT, "2-6", -1, -1},
    {PAIN_REST_MOVEMENT, "2/6/4", -1, -1},
    {PAIN_REST_MOVEMENT, "2", -1, -1},
};

START_TEST(pain_at_rest_and_moving)
{
    struct cell_rules rules = {.pain = pains[_i].order};
    double rest = -1, move = -1;
    bool pair = cell_pain_pair(pains[_i].cell, &rules, &rest, &move);
    ck_assert_msg(pair == (pains[_i].rest >= 0), "'%s'", pains[_i].cell);
    if (pair) {
        ck_assert_double_eq(rest, pains[_i].rest);
        ck_assert_double_eq(move, pains[_i].move);
    }
}
END_TEST

/* ---- sides: row 88, and yes and no --------------------------------------------------------- */

static const struct {
    enum language language;
    const char *cell, *says; /* right, left, or the code */
} sides[] = {
    {LANGUAGE_UNDECLARED, "D", "side-language"},
    {LANGUAGE_UNDECLARED, "izq", "side-language"},
    {LANGUAGE_UNDECLARED, "li", "side-language"},
    {LANGUAGE_EN, "D", "side-language"},
    {LANGUAGE_EN, "Rt.", "right"},
    {LANGUAGE_DE, "re", "right"}, {LANGUAGE_DE, "RECHTS", "right"}, {LANGUAGE_DE, "(li)", "left"},
    {LANGUAGE_DE, "Links", "left"}, {LANGUAGE_DE, "bds.", "side-both"},
    {LANGUAGE_DE, "right", "right"}, {LANGUAGE_DE, "L", "left"},
    {LANGUAGE_DE, "gauche", "side-language"}, {LANGUAGE_DE, "x", "side-unknown"},
    {LANGUAGE_ES, "D", "right"}, {LANGUAGE_ES, "dcha.", "right"}, {LANGUAGE_ES, "I", "left"},
    {LANGUAGE_ES, "izq", "left"}, {LANGUAGE_ES, "Izquierda", "left"},
    {LANGUAGE_ES, "ambos", "side-both"}, {LANGUAGE_ES, "S", "side-language"},
    {LANGUAGE_FR, "D", "right"}, {LANGUAGE_FR, "Droite", "right"}, {LANGUAGE_FR, "G", "left"},
    {LANGUAGE_FR, "gauche", "left"}, {LANGUAGE_FR, "BILAT\xC3\x89RAL", "side-both"},
    {LANGUAGE_NL, "re", "right"}, {LANGUAGE_NL, "linker", "left"},
    {LANGUAGE_NL, "beiderzijds", "side-both"},
    {LANGUAGE_IT, "dx", "right"}, {LANGUAGE_IT, "SX", "left"}, {LANGUAGE_IT, "s", "left"},
    {LANGUAGE_PT, "d", "right"}, {LANGUAGE_PT, "E", "left"}, {LANGUAGE_PT, "Esq.", "left"},
    {LANGUAGE_SV, "h", "right"}, {LANGUAGE_SV, "V", "left"}, {LANGUAGE_SV, "H\xC3\x96", "right"},
    {LANGUAGE_SV, "v\xC3\xA4nster", "left"}, {LANGUAGE_SV, "b\xC3\xA5" "da", "side-both"},
    {LANGUAGE_DA, "h\xC3\xB8jre", "right"}, {LANGUAGE_DA, "H\xC3\x98JRE", "right"},
    {LANGUAGE_DA, "venstre", "left"}, {LANGUAGE_NO, "h\xC3\xB8yre", "right"},
    {LANGUAGE_NO, "V", "left"}, {LANGUAGE_PL, "P", "right"}, {LANGUAGE_PL, "lewa", "left"},
    {LANGUAGE_DE, "", "none"}, {LANGUAGE_DE, "-", "none"},
    {LANGUAGE_DE, "a side word that is far longer than any word of any language", "side-unknown"},
};

START_TEST(sides_by_language)
{
    struct cell_rules rules = {.language = sides[_i].language};
    enum side side = SIDE_NONE;
    enum diag_code why = DIAG_CODE_COUNT;
    bool ok = cell_side(sides[_i].cell, &rules, &side, &why);
    const char *says = !ok ? describe_code(why) : side == SIDE_NONE ? "none" : side_name(side);
    ck_assert_msg(strcmp(says, sides[_i].says) == 0, "'%s' gives %s", sides[_i].cell, says);
    if (!ok)
        ck_assert_int_eq(side, SIDE_NONE);
}
END_TEST

static const struct {
    enum language language;
    const char *cell;
    int yes; /* -1: not understood */
} answers[] = {
    {LANGUAGE_UNDECLARED, "ja", -1}, {LANGUAGE_DE, "ja", 1}, {LANGUAGE_DE, "Nein", 0},
    {LANGUAGE_ES, "S\xC3\x8D", 1}, {LANGUAGE_ES, "no", 0}, {LANGUAGE_FR, "oui", 1},
    {LANGUAGE_FR, "non", 0}, {LANGUAGE_NL, "nee", 0}, {LANGUAGE_IT, "s\xC3\xAC", 1},
    {LANGUAGE_PT, "n\xC3\xA3o", 0}, {LANGUAGE_SV, "nej", 0}, {LANGUAGE_DA, "ja", 1},
    {LANGUAGE_NO, "nei", 0}, {LANGUAGE_PL, "tak", 1}, {LANGUAGE_PL, "nie", 0},
    {LANGUAGE_DE, "yes", 1}, {LANGUAGE_DE, "oui", -1}, {LANGUAGE_EN, "y", 1},
};

START_TEST(answers_by_language)
{
    struct cell_rules rules = {.language = answers[_i].language};
    bool yes = false;
    enum diag_code why;
    bool ok = cell_yes_no(answers[_i].cell, &rules, &yes, &why);
    ck_assert_msg((ok ? (int)yes : -1) == answers[_i].yes, "'%s'", answers[_i].cell);
}
END_TEST

/* ---- dates: row 90 ------------------------------------------------------------------------- */

static const struct {
    enum date_order order;
    const char *separators;
    int years_from;
    const char *cell, *says;
} dates[] = {
    {DATES_UNDECLARED, "", 0, "03/04/2025", "day-order"},
    {DATES_UNDECLARED, "", 0, "25/04/2025", "2025-04-25"},
    {DATES_UNDECLARED, "", 1950, "03/04/25", "day-year"},
    {DATES_DMY, "", 0, "03/04/2025", "2025-04-03"},
    {DATES_MDY, "", 0, "03/04/2025", "2025-03-04"},
    {DATES_DMY, "", 0, "3.4.2025", "2025-04-03"},
    {DATES_DMY, "", 0, "3-4-2025", "2025-04-03"},
    {DATES_DMY, "", 0, "03/04/2025 10:30", "2025-04-03"},
    {DATES_DMY, "", 0, "03/25/2025", "day-not-in-order"},
    {DATES_MDY, "", 0, "25/03/2025", "day-not-in-order"},
    {DATES_DMY, "", 0, "30/02/2025", "day-none"},
    {DATES_DMY, "", 0, "45/45/2025", "day-none"},
    {DATES_DMY, "", 0, "2025-04-03", "2025-04-03"},
    {DATES_MDY, "", 0, "2025/04/03", "2025-04-03"},
    {DATES_DMY, "", 0, "3 Apr 2025", "2025-04-03"},
    {DATES_MDY, "", 0, "3-Apr-2025", "2025-04-03"},
    {DATES_DMY, "", 0, "03/04/25", "day-year"},
    {DATES_DMY, "", 1950, "03/04/25", "2025-04-03"},
    {DATES_DMY, "", 1950, "03/04/50", "1950-04-03"},
    {DATES_DMY, "", 1950, "03/04/49", "2049-04-03"},
    {DATES_DMY, "", 2000, "03/04/00", "2000-04-03"},
    {DATES_DMY, "", 2000, "03/04/99", "2099-04-03"},
    {DATES_DMY, "", 1950, "03-04-25", "2025-04-03"},
    {DATES_DMY, "", 1950, "03/04/5", "day-year"},
    {DATES_DMY, "", 1950, "03/04/025", "day-year"},
    {DATES_DMY, "", 1950, "003/04/2025", "day-not-in-order"},
    {DATES_YMD, "", 1950, "25/04/03", "2025-04-03"},
    {DATES_YMD, "", 0, "25/04/03", "day-year"},
    {DATES_YMD, "", 0, "2025/04/03", "2025-04-03"},
    {DATES_YMD, "", 0, "03/04/2025", "day-not-in-order"},
    {DATES_DMY, ".", 0, "03.04.2025", "2025-04-03"},
    {DATES_DMY, ".", 0, "03/04/2025", "day-separator"},
    {DATES_DMY, "/.", 0, "03/04/2025", "2025-04-03"},
    {DATES_DMY, ".", 0, "2025-04-03", "2025-04-03"},
    {DATES_DMY, "", 0, "03 04 2025", "day-separator"},
    {DATES_DMY, " ", 0, "03 04 2025", "2025-04-03"},
    {DATES_DMY, "", 0, "45942", "day-number"},
    {DATES_DMY, "", 0, "tomorrow", "day-unknown"},
    {DATES_DMY, "", 0, "", "none"},
};

START_TEST(dates_by_order)
{
    struct cell_rules rules = {.dates = dates[_i].order, .short_years_from = dates[_i].years_from};
    struct date date = {0};
    enum diag_code why = DIAG_CODE_COUNT;
    char text[DATE_TEXT_MAX];
    snprintf(rules.separators, sizeof rules.separators, "%s", dates[_i].separators);
    bool ok = cell_date(dates[_i].cell, &rules, &date, &why);
    const char *says = !ok ? describe_code(why) : date_format(text, date);
    ck_assert_msg(strcmp(*says != '\0' ? says : "none", dates[_i].says) == 0, "'%s' gives %s",
                  dates[_i].cell, says);
    if (!ok)
        ck_assert(!date_is_set(date));
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import: cells by rules");
    TCase *c = tcase_create("rules");
    tcase_add_unchecked_fixture(c, set_up, tear_down);
    tcase_add_loop_test(c, angles_by_rules, 0, (int)ARRAY_LEN(angles));
    tcase_add_loop_test(c, plain_numbers_by_rules, 0, (int)ARRAY_LEN(plain));
    tcase_add_loop_test(c, grades_by_scale, 0, (int)ARRAY_LEN(grade_cells));
    tcase_add_test(c, settings_take_the_scale_of_the_clinic);
    tcase_add_loop_test(c, pairs_by_order, 0, (int)ARRAY_LEN(pairs));
    tcase_add_loop_test(c, pain_at_rest_and_moving, 0, (int)ARRAY_LEN(pains));
    tcase_add_loop_test(c, sides_by_language, 0, (int)ARRAY_LEN(sides));
    tcase_add_loop_test(c, answers_by_language, 0, (int)ARRAY_LEN(answers));
    tcase_add_loop_test(c, dates_by_order, 0, (int)ARRAY_LEN(dates));
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
