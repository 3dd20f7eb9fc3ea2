/*
 * The other cells: grades by the numbered forms of the list of messy cells (1000: variants of
 * none), pain, side, date, kind of test, yes/no, and values that hold two readings.
 */
#include "unit.h"
#include "cells_describe.h"

static const struct {
    int form;
    const char *cell, *expect;
} grades[] = {
    {46, "4o", "held letter-in-number"},
    {51, "45782", "held date-number [was it 5/5?]"},
    {51, "45942", "held date-number [was it 10-12?]"},
    {60, "5/5", "grade 5"},
    {60, "5", "grade 5"},
    {60, "5.0", "grade 5"},
    {60, "5 / 5", "grade 5"},
    {60, "4 out of 5", "grade 4"},
    {60, "4+ Out Of 5", "grade 4+"},
    {60, "4- of 5", "grade 4-"},
    {60, "5 out of 5 P!", "grade 5 pain +grade-pain"},
    {60, "out of 5", "held not-understood"},
    {60, "4 out of", "held not-understood"},
    {66, "6 out of 5", "held grade-unknown"},
    {64, "4/5 ERP", "grade 4 pain +grade-pain"},
    {64, "4/5 limited by pain", "grade 4 pain +grade-pain"},
    {76, "unable", "held grade-word"},
    {76, "absent", "held grade-word"},
    {76, "flicker", "held grade-word"},
    {1000, "4/5 pre", "held timing-inside"},
    {1000, "4 in sitting", "grade 4 @sitting"},
    {1000, "2 in gravity eliminated", "grade 2 @gravity-minimised"},
    {65, "4 out of 10", "held grade-of-ten"},
    {60, "0", "grade 0"},
    {60, "0/5", "grade 0"},
    {60, "3", "grade 3"},
    {60, "4/5", "grade 4"},
    {60, "1/5", "grade 1"},
    {60, "5\342\201\2045", "grade 5"},
    {61, "4+/5", "grade 4+"},
    {61, "4+", "grade 4+"},
    {61, "4 + /5", "grade 4+"},
    {61, "4 +", "grade 4+"},
    {61, "3+/5", "grade 3+"},
    {61, "4 plus", "grade 4+"},
    {62, "4-/5", "grade 4-"},
    {62, "4-", "grade 4-"},
    {62, "4\342\200\223/5", "grade 4-"},
    {62, "4\342\210\222", "grade 4-"},
    {62, "4 -/5", "grade 4-"},
    {62, "2- / 5", "grade 2-"},
    {62, "4 minus", "grade 4-"},
    {62, "4 -", "grade 4-"},
    {63, "-4/5", "held grade-sign-place"},
    {63, "+4", "held grade-sign-place"},
    {63, "- 4", "held grade-sign-place"},
    {63, "4/5+", "held grade-sign-place"},
    {63, "4/5-", "held grade-sign-place"},
    {64, "4/5 P!", "grade 4 pain +grade-pain"},
    {64, "4/5 pain", "grade 4 pain +grade-pain"},
    {64, "4/5P!", "grade 4 pain +grade-pain"},
    {64, "4 (P)", "grade 4 pain +grade-pain"},
    {64, "4 p", "grade 4 pain +grade-pain"},
    {64, "4-/5 w/ pain", "grade 4- pain +grade-pain"},
    {64, "4+ P!", "grade 4+ pain +grade-pain"},
    {64, "4/5 no pain", "grade 4"},
    {64, "4/5*", "grade 4 +asterisk"},
    {64, "4/5 - pain", "grade 4 pain +grade-pain"},
    {64, "5/5 painful", "grade 5 pain +grade-pain"},
    {64, "4- P!", "grade 4- pain +grade-pain"},
    {64, "4-P!", "grade 4- pain +grade-pain"},
    {64, "4- pain", "grade 4- pain +grade-pain"},
    {64, "4- (P)", "grade 4- pain +grade-pain"},
    {64, "3+P!", "grade 3+ pain +grade-pain"},
    {64, "4 - pain", "held grade-sign-place"},
    {64, "4 + pain", "held grade-sign-place"},
    {64, "4- - pain", "held grade-sign-place"},
    {64, "4/5- P!", "held grade-sign-place"},
    {64, "4/5 + pain", "held grade-sign-place"},
    {64, "4- supine", "grade 4- @supine"},
    {64, "4 - supine", "held grade-sign-place"},
    {64, "2- gravity minimized", "grade 2- @gravity-minimised"},
    {64, "4-/5 - pain", "grade 4- pain +grade-pain"},
    {64, "G- P!", "grade 4- pain +grade-pain"},
    {64, "P- P!", "grade 2- pain +grade-pain"},
    {65, "4/10", "held grade-of-ten"},
    {65, "10/10", "held grade-of-ten"},
    {66, "5/4", "held grade-unknown"},
    {66, "6/5", "held grade-unknown"},
    {66, "5+/5", "held grade-unknown"},
    {66, "5+", "held grade-unknown"},
    {66, "5-", "held grade-five-minus"},
    {66, "0+", "held grade-unknown"},
    {66, "1-", "held grade-unknown"},
    {66, "1+/5", "held grade-unknown"},
    {66, "6", "held grade-other-scale"},
    {66, "120", "held grade-unknown"},
    {66, "5/6", "held grade-unknown"},
    {67, "4.5", "held grade-half"},
    {67, "4,5", "held grade-half"},
    {67, "4.5/5", "held grade-half"},
    {67, "0.5", "held grade-half"},
    {67, "3.7", "held grade-half"},
    {68, "4-5/5", "held grade-two"},
    {68, "4 to 4+", "held grade-two"},
    {68, "3/4", "held grade-two"},
    {68, "4-5", "held grade-two"},
    {68, "4-/4", "held grade-two"},
    {68, "3+/4", "held grade-two"},
    {68, "3+/4-", "held grade-two"},
    {68, "4, 5", "held grade-two"},
    {68, "4 5", "held grade-two"},
    {68, "4 or 5", "held not-understood"},
    {68, "4->5", "held grade-two"},
    {69, "4++", "held grade-step"},
    {69, "3--", "held grade-step"},
    {69, "4+-", "held grade-step"},
    {70, "5-May", "held grade-date [was it 5/5?]"},
    {70, "4-May", "held grade-date [was it 4/5?]"},
    {70, "5-Apr", "held grade-date [was it 4/5?]"},
    {70, "05/05/2025", "held grade-date [was it 5/5?]"},
    {70, "5-Feb", "held grade-date [was it 2/5?]"},
    {70, "2025-05-04", "held grade-date [was it 4/5?]"},
    {70, "3-Feb", "held grade-date [was it 2-3?]"},
    {70, "May-05", "held grade-date [was it 5/5?]"},
    {71, "0.8", "held grade-fraction"},
    {71, "0.6", "held grade-fraction"},
    {71, "0,8", "held grade-fraction"},
    {71, "0.2", "held grade-fraction"},
    {72, "1", "grade 1"},
    {73, "N", "grade 5"},
    {73, "G", "grade 4"},
    {73, "F", "grade 3"},
    {73, "P", "grade 2"},
    {73, "T", "grade 1"},
    {73, "Tr", "grade 1"},
    {73, "Z", "grade 0"},
    {73, "good", "grade 4"},
    {73, "Normal", "grade 5"},
    {73, "trace", "grade 1"},
    {73, "zero", "grade 0"},
    {73, "N5", "grade 5"},
    {73, "G 4/5", "grade 4"},
    {73, "4/5 (good)", "grade 4"},
    {73, "4/5 (fair)", "held grade-two"},
    {73, "F3+", "held grade-two"},
    {74, "G-", "grade 4-"},
    {74, "F+", "grade 3+"},
    {74, "Good minus", "grade 4-"},
    {74, "P+", "grade 2+"},
    {74, "P-", "grade 2-"},
    {74, "fair plus", "grade 3+"},
    {74, "Good +", "grade 4+"},
    {74, "N-", "held grade-five-minus"},
    {75, "M4", "grade 4 +grade-scale-named"},
    {75, "MRC 4", "grade 4 +grade-scale-named"},
    {75, "IV/V", "grade 4 +grade-scale-named"},
    {75, "IV", "grade 4 +grade-scale-named"},
    {75, "V/V", "grade 5 +grade-scale-named"},
    {75, "MRC grade 4", "grade 4 +grade-scale-named"},
    {75, "M4-", "grade 4- +grade-scale-named"},
    {75, "III+/V", "grade 3+ +grade-scale-named"},
    {76, "strong", "held grade-word"},
    {76, "weak", "held grade-word"},
    {76, "intact", "held grade-word"},
    {76, "+", "held grade-word"},
    {76, "WNL", "held grade-word"},
    {76, "P!", "held grade-word"},
    {76, "++", "held not-understood"},
    {77, "5/5 grossly", "grade 5 +grade-screening"},
    {77, "5/5 t/o", "grade 5 +grade-screening"},
    {77, "grossly 5/5", "grade 5 +grade-screening"},
    {77, "4+ throughout", "grade 4+ +grade-screening"},
    {77, "4- grossly", "grade 4- +grade-screening"},
    {78, "R5 L4", "held side-inside"},
    {78, "5/5 R, 4/5 L", "held side-inside"},
    {78, "5/5 B", "held side-both"},
    {78, "R 5", "held side-inside"},
    {79, "15 kg", "held grade-force"},
    {79, "120 N", "held grade-force"},
    {79, "33 lb", "held grade-force"},
    {79, "33lbs", "held grade-force"},
    {79, "5 N", "held grade-force"},
    {80, "4/5 in avail range", "grade 4 +grade-available-range"},
    {80, "4/5 within available ROM", "grade 4 +grade-available-range"},
    {80, "4 (available range)", "grade 4 +grade-available-range"},
    {1000, "", "not-recorded +blank"},
    {1000, "-", "not-recorded +placeholder"},
    {1000, "?", "not-recorded +placeholder"},
    {1000, "n/a", "n/a"},
    {1000, "NT", "not-tested"},
    {1000, "NT - healing", "not-tested (healing)"},
    {1000, "NT (pain)", "not-tested (pain)"},
    {1000, "4 NT", "held not-tested-number"},
    {1000, "same", "held same"},
    {1000, "#N/A", "held spreadsheet-error"},
    {1000, "=\"4/5\"", "grade 4 +quoted-formula"},
    {1000, "'4-", "grade 4- +apostrophe"},
    {1000, "4l5", "held letter-in-number"},
    {1000, "o/5", "held not-understood"},
    {1000, "O/5", "held not-understood"},
    {1000, "4/5?", "held question-mark"},
    {1000, ">3", "held limit-not-reading"},
    {1000, "3 or better", "held limit-not-reading"},
    {1000, "4/5 supine", "grade 4 @supine"},
    {1000, "2/5 gravity minimized", "grade 2 @gravity-minimised"},
    {1000, "4/5 break", "held not-understood"},
    {71, "75%", "held grade-fraction"},
    {71, "80 %", "held grade-fraction"},
    {1000, "4/5/5", "held not-understood"},
    {1000, "4/", "held not-understood"},
    {1000, "/5", "held not-understood"},
    {1000, "~4", "held not-understood"},
    {1000, "=4+5", "held formula"},
};

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

START_TEST(grade_forms)
{
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(grades); i++) {
        cell_grade(grades[i].cell, NULL, ref, arena, &r);
        const char *got = describe(&r, &text);
        ck_assert_msg(strcmp(got, grades[i].expect) == 0, "form %d, '%s': '%s', expected '%s'",
                      grades[i].form, grades[i].cell, got, grades[i].expect);
        ck_assert_msg(is_sound(&r), "'%s' is not sound", grades[i].cell);
    }
}
END_TEST

/* Whatever stands behind a grade, it is read as that grade or not at all. */
START_TEST(grade_is_kept_whole)
{
    static const char *const behind[] = {
        "",       " ",         "/5",       " /5",       "/5 P!",     " P!",       "P!",
        " (P)",   " pain",     " - pain",  " + pain",   " supine",   "/5 prone",  " - prone",
        " t/o",   " grossly",  "*",        " no pain",  "/5 w/ pain", "/5-",      "/5+",
        "/5 - P!", "/5- P!",   ", pain",   "; firm",    " (good)",   " N",        "?",
        "/10",    "/4",        " 1",       " to 5",     " or 5",     "-5",
        " in avail range"};
    char cell[64];
    size_t n_grades;
    struct value_reading r;
    ck_assert_ptr_nonnull(reference_grade_at(ref, 0, &n_grades));
    for (size_t i = 0; i < n_grades; i++) {
        const struct grade *g = reference_grade_at(ref, i, &n_grades);
        for (size_t k = 0; k < ARRAY_LEN(behind); k++) {
            snprintf(cell, sizeof cell, "%s%s", g->text, behind[k]);
            cell_grade(cell, NULL, ref, arena, &r);
            ck_assert_msg(r.grade == NULL || r.grade == g, "'%s' was read as %s", cell,
                          r.grade != NULL ? r.grade->text : "");
        }
    }
}
END_TEST

static void try_all(const char *cell)
{
    struct value_reading r;
    struct num low, high;
    struct date date;
    enum side side;
    enum test test;
    enum diag_code why;
    struct cell_part parts[PARTS_MAX];
    bool yes;
    cell_grade(cell, NULL, ref, arena, &r);
    ck_assert_msg(is_sound(&r), "'%s' is not sound", cell);
    if (!cell_pain(cell, &low, &high, &why))
        ck_assert(!low.has && !high.has && diag_outcome(why) == OUTCOME_HELD_BACK);
    if (!cell_date(cell, NULL, &date, &why))
        ck_assert(!date_is_set(date) && diag_outcome(why) == OUTCOME_HELD_BACK);
    if (!cell_side(cell, NULL, &side, &why))
        ck_assert(side == SIDE_NONE && diag_outcome(why) == OUTCOME_HELD_BACK);
    if (!cell_test(cell, &test, &why))
        ck_assert(test == TEST_NONE && diag_outcome(why) == OUTCOME_HELD_BACK);
    if (!cell_yes_no(cell, NULL, &yes, &why))
        ck_assert(!yes && diag_outcome(why) == OUTCOME_HELD_BACK);
    ck_assert_int_le(cell_split(cell, true, NULL, arena, parts), PARTS_MAX);
    ck_assert_int_le(cell_split(cell, false, NULL, arena, parts), PARTS_MAX);
}

START_TEST(mutations)
{
    static const char *const more[] = {"2025-03-04", "13/04/2025", "3 Apr 2025", "R 118 L 130",
                                       "A118 P126", "3-4/10", "2 rest 6 mvt", "B/L", "AAROM"};
    char cell[256];
    for (size_t i = 0; i < ARRAY_LEN(grades) + ARRAY_LEN(more); i++) {
        const char *s = i < ARRAY_LEN(grades) ? grades[i].cell : more[i - ARRAY_LEN(grades)];
        for (size_t k = 0; k < strlen(s); k++) {
            snprintf(cell, sizeof cell, "%.*s", (int)k, s);
            try_all(cell);
            snprintf(cell, sizeof cell, "%.*s%s", (int)k + 1, s, s + k);
            try_all(cell);
            snprintf(cell, sizeof cell, "%.*s%s", (int)k, s, s + k + 1);
            try_all(cell);
        }
        arena_clear(arena);
    }
}
END_TEST

START_TEST(pain_forms)
{
    enum { MISSING = -1, HELD = -2 };
    static const struct {
        const char *cell;
        int low, high; /* MISSING; or HELD with the code */
        const char *why;
    } rows[] = {
        {"3", 3, 3, ""},
        {"3/10", 3, 3, ""},
        {"3 out of 10", 3, 3, ""},
        {"3-4 of 10", 3, 4, ""},
        {"0", 0, 0, ""},
        {"10", 10, 10, ""},
        {"10/10", 10, 10, ""},
        {"3 / 10", 3, 3, ""},
        {"3.0", 3, 3, ""},
        {"none", 0, 0, ""},
        {"no pain", 0, 0, ""},
        {"nil", 0, 0, ""},
        {"3-4/10", 3, 4, ""},
        {"3-4", 3, 4, ""},
        {"3\342\200\2234/10", 3, 4, ""},
        {"3 to 4", 3, 4, ""},
        {"", MISSING, MISSING, ""},
        {"-", MISSING, MISSING, ""},
        {"n/a", MISSING, MISSING, ""},
        {"NT", MISSING, MISSING, ""},
        {"2 rest 6 mvt", HELD, 0, "pain-pair"},
        {"2 at rest, 6 movement", HELD, 0, "pain-pair"},
        {"2/6", HELD, 0, "pain-pair"},
        {"11/10", HELD, 0, "pain-outside"},
        {"NPRS 3/10", 3, 3, ""},
        {"3/10 NPRS", 3, 3, ""},
        {"denies", 0, 0, ""},
        {"VAS 3", HELD, 0, "pain-unknown"},
        {"11 out of 10", HELD, 0, "pain-outside"},
        {"7/5", HELD, 0, "pain-outside"},
        {"-1", HELD, 0, "pain-outside"},
        {"11", HELD, 0, "pain-outside"},
        {"3-Oct", HELD, 0, "pain-date"},
        {"10-Mar", HELD, 0, "pain-date"},
        {"2025-03-10", HELD, 0, "pain-date"},
        {"45726", HELD, 0, "date-number"},
        {"mild", HELD, 0, "pain-word"},
        {"yes", HELD, 0, "pain-word"},
        {"4-3", HELD, 0, "pain-unknown"},
        {"3.5", HELD, 0, "pain-unknown"},
        {"3 4", HELD, 0, "pain-unknown"},
        {"~3", HELD, 0, "pain-unknown"},
        {">3", HELD, 0, "pain-unknown"},
        {"3 stabbing", HELD, 0, "pain-unknown"},
        {"same", HELD, 0, "same"},
        {"#N/A", HELD, 0, "spreadsheet-error"},
        {"=3", HELD, 0, "formula"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct num low, high;
        enum diag_code why;
        bool ok = cell_pain(rows[i].cell, &low, &high, &why);
        ck_assert_msg(ok == (rows[i].low != HELD), "'%s'", rows[i].cell);
        ck_assert_msg(low.has == (rows[i].low >= 0) && high.has == low.has, "'%s'", rows[i].cell);
        if (!ok)
            ck_assert_msg(strcmp(describe_code(why), rows[i].why) == 0, "'%s': %s", rows[i].cell,
                          describe_code(why));
        if (low.has)
            ck_assert_msg((int)low.value == rows[i].low && (int)high.value == rows[i].high, "'%s'",
                          rows[i].cell);
    }
}
END_TEST

START_TEST(side_forms)
{
    static const struct {
        const char *cell;
        enum side side;
        const char *why; /* NULL: understood */
    } rows[] = {
        {"R", SIDE_RIGHT, NULL},
        {"Rt", SIDE_RIGHT, NULL},
        {"(R)", SIDE_RIGHT, NULL},
        {"RIGHT ", SIDE_RIGHT, NULL},
        {"rt.", SIDE_RIGHT, NULL},
        {"right side", SIDE_RIGHT, NULL},
        {"\302\240right", SIDE_RIGHT, NULL},
        {"L", SIDE_LEFT, NULL},
        {"Lt", SIDE_LEFT, NULL},
        {"left", SIDE_LEFT, NULL},
        {"(L)", SIDE_LEFT, NULL},
        {"midline", SIDE_MIDLINE, NULL},
        {"", SIDE_NONE, NULL},
        {"-", SIDE_NONE, NULL},
        {"n/a", SIDE_NONE, NULL},
        {"B", SIDE_NONE, "side-both"},
        {"Bil", SIDE_NONE, "side-both"},
        {"B/L", SIDE_NONE, "side-both"},
        {"both", SIDE_NONE, "side-both"},
        {"R/L", SIDE_NONE, "side-both"},
        {"D", SIDE_NONE, "side-language"},
        {"G", SIDE_NONE, "side-language"},
        {"re", SIDE_NONE, "side-language"},
        {"li", SIDE_NONE, "side-language"},
        {"izq", SIDE_NONE, "side-language"},
        {"involved", SIDE_NONE, "side-relative"},
        {"rigth", SIDE_NONE, "side-unknown"},
        {"R?", SIDE_NONE, "side-unknown"},
        {"1", SIDE_NONE, "side-unknown"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        enum side side;
        enum diag_code why;
        bool ok = cell_side(rows[i].cell, NULL, &side, &why);
        ck_assert_msg(ok == (rows[i].why == NULL) && side == rows[i].side, "'%s'", rows[i].cell);
        if (!ok)
            ck_assert_str_eq(describe_code(why), rows[i].why);
    }
}
END_TEST

START_TEST(date_forms)
{
    static const struct {
        const char *cell, *expect; /* a date, "" for none, or the code */
    } rows[] = {
        {"2025-03-04", "2025-03-04"},
        {"2025/03/04", "2025-03-04"},
        {"2025-3-4", "2025-03-04"},
        {"2025-03-04T09:30", "2025-03-04"},
        {"2025-03-04 09:30:00", "2025-03-04"},
        {"3/14/2025 9:30 AM", "2025-03-14"},
        {"14.03.2025 9:30 pm", "2025-03-14"},
        {"2025-03-04 09:30am", "2025-03-04"},
        {"2025-03-04 09:30Z", "day-unknown"},
        {"2025-03-04 AM", "day-unknown"},
        {"13/04/2025", "2025-04-13"},
        {"04/13/2025", "2025-04-13"},
        {"3/3/2025", "2025-03-03"},
        {"13.4.2025", "2025-04-13"},
        {"3 Apr 2025", "2025-04-03"},
        {"03-Apr-2025", "2025-04-03"},
        {"April 3, 2025", "2025-04-03"},
        {"3 April 2025", "2025-04-03"},
        {"2025-Apr-03", "2025-04-03"},
        {"2024-02-29", "2024-02-29"},
        {"", ""},
        {"-", ""},
        {"n/a", ""},
        {"03/04/2025", "day-order"},
        {"3.4.2025", "day-order"},
        {"30/02/2025", "day-none"},
        {"2025-13-01", "day-none"},
        {"2025-02-29", "day-none"},
        {"31 Apr 2025", "day-none"},
        {"0/4/2025", "day-none"},
        {"4/0/2025", "day-none"},
        {"13/04/25", "day-year"},
        {"3-Apr", "day-year"},
        {"3 Apr 25", "day-year"},
        {"45942", "day-number"},
        {"today", "day-unknown"},
        {"20250304", "day-unknown"},
        {"2025-03", "day-unknown"},
        {"March", "day-unknown"},
        {"12025-03-04", "day-unknown"},
        {"NT", "day-unknown"},
        {"same", "same"},
        {"#####", "spreadsheet-error"},
    };
    char buffer[DATE_TEXT_MAX];
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct date date;
        enum diag_code why;
        bool ok = cell_date(rows[i].cell, NULL, &date, &why);
        const char *got = ok ? date_format(buffer, date) : describe_code(why);
        ck_assert_msg(strcmp(got, rows[i].expect) == 0, "'%s': %s", rows[i].cell, got);
        ck_assert(ok || !date_is_set(date));
    }
}
END_TEST

START_TEST(test_forms)
{
    static const struct {
        const char *cell;
        enum test test;
        const char *why;
    } rows[] = {
        {"AROM", TEST_AROM, NULL},     {"arom", TEST_AROM, NULL},
        {"active", TEST_AROM, NULL},   {"A", TEST_AROM, NULL},
        {"Active ROM", TEST_AROM, NULL}, {"PROM", TEST_PROM, NULL},
        {"passive", TEST_PROM, NULL},  {"P", TEST_PROM, NULL},
        {"MMT", TEST_MMT, NULL},       {"strength", TEST_MMT, NULL},
        {"force", TEST_FORCE, NULL},   {"HHD", TEST_FORCE, NULL},
        {"", TEST_NONE, NULL},         {"-", TEST_NONE, NULL},
        {"ROM", TEST_NONE, "test-rom"}, {"AAROM", TEST_NONE, "test-assisted"},
        {"RROM", TEST_NONE, "test-assisted"}, {"AROMM", TEST_NONE, "test-unknown"},
        {"5", TEST_NONE, "test-unknown"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        enum test test;
        enum diag_code why;
        bool ok = cell_test(rows[i].cell, &test, &why);
        ck_assert_msg(ok == (rows[i].why == NULL) && test == rows[i].test, "'%s'", rows[i].cell);
        if (!ok)
            ck_assert_str_eq(describe_code(why), rows[i].why);
    }
}
END_TEST

START_TEST(yes_no_forms)
{
    static const char *const yes_cells[] = {"yes", "Y", "P!", "pain", "x", "Painful"};
    static const char *const no_cells[] = {"no", "N", "none", "", "-", "n/a", "no pain"};
    static const char *const held[] = {"3", "maybe", "yes no", "same", "?!"};
    enum diag_code why;
    bool yes;
    for (size_t i = 0; i < ARRAY_LEN(yes_cells); i++)
        ck_assert_msg(cell_yes_no(yes_cells[i], NULL, &yes, &why) && yes, "'%s'", yes_cells[i]);
    for (size_t i = 0; i < ARRAY_LEN(no_cells); i++)
        ck_assert_msg(cell_yes_no(no_cells[i], NULL, &yes, &why) && !yes, "'%s'", no_cells[i]);
    for (size_t i = 0; i < ARRAY_LEN(held); i++) {
        ck_assert_msg(!cell_yes_no(held[i], NULL, &yes, &why), "'%s'", held[i]);
        ck_assert_int_eq(why, DIAG_CELL_YES_NO);
    }
}
END_TEST

START_TEST(split_forms)
{
    static const struct {
        const char *cell;
        bool grade;
        const char *expect; /* side or test and text of each part; "" when it is not split */
    } rows[] = {
        {"R 118 L 130", false, "right=118 left=130"},
        {"118R/130L", false, "right=118 left=130"},
        {"(R) 118 (L) 130", false, "right=118 left=130"},
        {"L: 130, R: 118 P!", false, "left=130 right=118 P!"},
        {"R 10-118 L 0-130", false, "right=10-118 left=0-130"},
        {"R 118\302\260 L 130\302\260", false, "right=118\302\260 left=130\302\260"},
        {"118 R", false, "right=118"},
        {"A118 P126", false, "AROM=118 PROM=126"},
        {"A: 118 P: 126", false, "AROM=118 PROM=126"},
        {"A: 118, P: NT", false, "AROM=118, P: NT"},
        {"AROM 118, PROM 126", false, "AROM=118 PROM=126"},
        {"118 active / 126 passive", false, "AROM=118 PROM=126"},
        {"R5 L4", true, "right=5 left=4"},
        {"5/5 R, 4/5 L", true, "right=5/5 left=4/5"},
        {"R 4-/5 L 5/5", true, "right=4-/5 left=5/5"},
        {"5/5 B", true, "right=5/5 left=5/5"},
        {"B 5/5", true, "right=5/5 left=5/5"},
        {"bilat 4+", true, "right=4+ left=4+"},
        {"B 5/5 B", true, ""},
        {"4+/5 bilaterally", true, "right=4+/5 left=4+/5"},
        {"118 B", false, ""},
        {"118", false, ""},
        {"", false, ""},
        {"R 118 R 130", false, ""},
        {"R A118 P126", false, ""},
        {"R 118 130 L", false, ""},
        {"118 R 130", false, ""},
        {"R L", false, ""},
        {"R 118 L", false, ""},
        {"R 1 L 2 R 3 L 4 R 5", false, ""},
        {"5/5", true, ""},
        {"B", true, ""},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct cell_part parts[PARTS_MAX];
        int n = cell_split(rows[i].cell, rows[i].grade, NULL, arena, parts);
        buf_clear(&text);
        for (int k = 0; k < n; k++) {
            const char *name = parts[k].test == TEST_AROM   ? "AROM"
                               : parts[k].test == TEST_PROM ? "PROM"
                                                            : side_name(parts[k].side);
            buf_addf(&text, "%s%s=%s", k > 0 ? " " : "", name, parts[k].text);
        }
        ck_assert_msg(strcmp(buf_text(&text), rows[i].expect) == 0, "'%s': '%s'", rows[i].cell,
                      buf_text(&text));
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import: other cells");
    TCase *c = tcase_create("cells");
    tcase_add_unchecked_fixture(c, load_reference, release_reference);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, grade_forms);
    tcase_add_test(c, grade_is_kept_whole);
    tcase_add_test(c, mutations);
    tcase_add_test(c, pain_forms);
    tcase_add_test(c, side_forms);
    tcase_add_test(c, date_forms);
    tcase_add_test(c, test_forms);
    tcase_add_test(c, yes_no_forms);
    tcase_add_test(c, split_forms);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
