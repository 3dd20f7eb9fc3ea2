/* Sum scores: where they are declared, when they stand, what is missing, and cut-offs. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define M(joint, motion, side, grade) NOW joint " " motion " " side " MMT " grade ";"
#define BOTH(joint, motion, grade) M(joint, motion, "right", grade) M(joint, motion, "left", grade)

#define ARMS(grade)                                                                                \
    BOTH("elbow", "flexion", grade)                                                                \
    BOTH("wrist", "extension", grade)                                                              \
    BOTH("elbow", "extension", grade) BOTH("finger-mcp", "abduction", grade " digit=5")
#define UPPER(grade) ARMS(grade) BOTH("finger-dip", "flexion", grade " digit=3")
#define LEGS(grade)                                                                                \
    BOTH("hip", "flexion", grade)                                                                  \
    BOTH("knee", "extension", grade)                                                               \
    BOTH("ankle", "dorsiflexion", grade) BOTH("toe-mtp", "extension", grade " digit=1")
#define LOWER(grade) LEGS(grade) BOTH("ankle", "plantar-flexion", grade)
#define MRC_ARMS(grade)                                                                            \
    BOTH("shoulder", "abduction", grade)                                                           \
    BOTH("elbow", "flexion", grade) BOTH("wrist", "extension", grade)
#define MRC_LEGS(grade)                                                                            \
    BOTH("hip", "flexion", grade)                                                                  \
    BOTH("knee", "extension", grade) BOTH("ankle", "dorsiflexion", grade)

/* "id right left total missing cut-offs", '-' where there is none, set apart by "; ". */
static const char *scores(struct build *b, const struct visit_findings *v)
{
    const char *all = "";
    for (size_t i = 0; i < v->n_scores; i++) {
        const struct score *x = &v->scores[i];
        const struct num part[] = {x->right, x->left, x->total};
        all = arena_printf(b->arena, "%s%s%s", all, i == 0 ? "" : "; ", x->sum->id);
        for (size_t k = 0; k < ARRAY_LEN(part); k++)
            all =
                arena_printf(b->arena, "%s %s", all, part[k].has ? build_text(b, part[k], 0) : "-");
        all = arena_printf(b->arena, "%s %zu", all, x->n_gaps);
        for (size_t k = 0; k < x->n_reached; k++)
            all = arena_printf(b->arena, "%s %g", all, x->reached[k]->value);
    }
    return all;
}

static const struct {
    const char *protocol, *readings, *diagnosis, *scores;
} told[] = {
    /* declared, or not at all */
    {NULL, UPPER("4") LOWER("4"), NULL, ""},
    {"routine", UPPER("4") LOWER("4"), NULL, ""},
    {"ISNCSCI", UPPER("4"), NULL, "isncsci-uems 20 20 40 0"},
    {"isncsci", UPPER("4") LOWER("5"), NULL,
     "isncsci-uems 20 20 40 0; isncsci-lems 25 25 50 0"}, /* apart, never one sum */
    {"MRC-sum", MRC_ARMS("4") MRC_LEGS("4"), NULL, "mrc-sum-score 24 24 48 0"},
    {"MRC sum", MRC_ARMS("5") MRC_LEGS("5"), NULL, "mrc-sum-score 30 30 60 0"},
    {"MRC-sum", UPPER("4"), NULL, "mrc-sum-score - - - 8"}, /* arms lack shoulder abduction */
    {"ISNCSCI", MRC_ARMS("0"), NULL, "isncsci-uems - - - 6"},
    {"ISNCSCI", M("elbow", "flexion", "right", "4"), NULL, "isncsci-uems - - - 9"},
    /* one side is told although the other is not complete; a total never */
    {"ISNCSCI", UPPER("4") M("elbow", "flexion", "right", "5 pos=supine"), NULL,
     "isncsci-uems - 20 - 1"}, /* two grades of one item */
    {"ISNCSCI", ARMS("4") M("finger-dip", "flexion", "left", "3 digit=3"), NULL,
     "isncsci-uems - 19 - 1"},
    {"ISNCSCI",
     ARMS("4") M("finger-dip", "flexion", "left", "3 digit=3")
         M("finger-dip", "flexion", "right", "not-tested digit=3"),
     NULL, "isncsci-uems - 19 - 1"}, /* never 0 */
    {"ISNCSCI", ARMS("4") BOTH("finger-dip", "flexion", "4 digit=2"), NULL,
     "isncsci-uems - - - 2"}, /* another finger */
    /* the fifth lumbar root is graded at the great toe, and no other toe speaks for it (ISNCSCI,
     * revised 2019) */
    {"ISNCSCI",
     BOTH("hip", "flexion", "4") BOTH("knee", "extension", "4") BOTH("ankle", "dorsiflexion", "4")
         BOTH("toe-mtp", "extension", "4 digit=2")
             BOTH("ankle", "plantar-flexion", "4 pos=supine"),
     NULL, "isncsci-lems - - - 2"},
    {"ISNCSCI", ARMS("4") M("finger-dip", "flexion", "left", "3 digit=3 after"), NULL,
     "isncsci-uems - - - 2"},
    {"MRC-sum", MRC_ARMS("4") MRC_LEGS("4") M("knee", "flexion", "right", "1"), NULL,
     "mrc-sum-score 24 24 48 0"},
    {"MRC-sum",
     MRC_ARMS("4") BOTH("hip", "flexion", "4") BOTH("knee", "extension", "4")
         M("ankle", "dorsiflexion", "left", "4"),
     NULL, "mrc-sum-score - - - 1; mrc-upper-subtotal 12 12 24 0"},
    {"MRC-sum", MRC_ARMS("4"), NULL, "mrc-sum-score - - - 6; mrc-upper-subtotal 12 12 24 0"},
    /* heel rises are no ISNCSCI grade */
    {"ISNCSCI", LEGS("4") BOTH("ankle", "plantar-flexion", "4 pos=standing"), NULL,
     "isncsci-lems - - - 2"},
    {"ISNCSCI", LEGS("4") BOTH("ankle", "plantar-flexion", "4 pos=supine"), NULL,
     "isncsci-lems 20 20 40 0"},
    {"ISNCSCI",
     LEGS("4") BOTH("ankle", "plantar-flexion", "4 pos=supine")
         BOTH("ankle", "plantar-flexion", "2 pos=standing"),
     NULL, "isncsci-lems 20 20 40 0"},
    /* whole grades: 2- is 1 of ISNCSCI and 2 of MRC */
    {"ISNCSCI", UPPER("2-"), NULL, "isncsci-uems 5 5 10 0"},
    {"MRC-sum", MRC_ARMS("2-") MRC_LEGS("4+"), NULL, "mrc-sum-score 18 18 36 0"},
    /* no whole grade of 5- is known */
    {"ISNCSCI", ARMS("4") BOTH("finger-dip", "flexion", "5- digit=3"), NULL,
     "isncsci-uems - - - 2"},
    {"MRC-sum", MRC_ARMS("5-") MRC_LEGS("4"), NULL, "mrc-sum-score - - - 6"},
    /* cut-offs of the people they were found in */
    {"ISNCSCI", LOWER("2"), "complete tetraplegia", "isncsci-lems 10 10 20 0 20"},
    {"ISNCSCI", LOWER("2"), "neck pain", "isncsci-lems 10 10 20 0"},
    {"ISNCSCI", LOWER("3"), "spinal cord injury", "isncsci-lems 15 15 30 0 30"},
    {"ISNCSCI",
     LEGS("2") M("ankle", "plantar-flexion", "left", "2")
         M("ankle", "plantar-flexion", "right", "3"),
     "spinal cord injury", "isncsci-lems 11 10 21 0"},
    {"MRC-sum", MRC_ARMS("4") MRC_LEGS("4"), "ICU-acquired weakness", "mrc-sum-score 24 24 48 0"},
    {"MRC-sum",
     BOTH("shoulder", "abduction", "4") BOTH("elbow", "flexion", "4")
         M("wrist", "extension", "left", "4") M("wrist", "extension", "right", "3") MRC_LEGS("4"),
     "weakness after intensive care", "mrc-sum-score 23 24 47 0 48"},
    {"MRC-sum", MRC_ARMS("3") MRC_LEGS("3"), "weakness after intensive care",
     "mrc-sum-score 18 18 36 0 48"},
    {"MRC-sum", MRC_ARMS("2") MRC_LEGS("3"), "weakness after intensive care",
     "mrc-sum-score 15 15 30 0 48 36"},
    {"MRC-sum", MRC_ARMS("2") MRC_LEGS("3"), "Guillain-Barre", "mrc-sum-score 15 15 30 0"},
};

START_TEST(told_where_it_stands)
{
    struct build *b = build_new();
    build_add(b, told[_i].readings);
    b->visits[0].protocol = told[_i].protocol;
    b->patient.diagnosis = told[_i].diagnosis;
    struct visit_findings *v = build_evaluate(b);
    ck_assert_str_eq(scores(b, v), told[_i].scores);
    build_free(b);
}
END_TEST

/* Steps are said to be dropped at the grades a sum was made of, and nowhere else. */
static const struct {
    const char *protocol, *readings;
    size_t marked;
    bool whole;
} steps[] = {
    {"ISNCSCI", UPPER("4"), 0, false},
    {"ISNCSCI", ARMS("4") BOTH("finger-dip", "flexion", "4- digit=3"), 2, true},
    {"ISNCSCI", UPPER("4") M("shoulder", "abduction", "right", "4-"), 0, false},
    {"ISNCSCI", ARMS("4+"), 0, false}, /* no sum stands */
    {"ISNCSCI", ARMS("4+") M("finger-dip", "flexion", "left", "4 digit=3"), 4, true},
    {NULL, UPPER("4+"), 0, false},
};

START_TEST(dropped_steps_are_marked)
{
    struct build *b = build_new();
    build_add(b, steps[_i].readings);
    b->visits[0].protocol = steps[_i].protocol;
    struct visit_findings *v = build_evaluate(b);
    size_t marked = 0;
    for (size_t i = 0; i < v->n_rows; i++) {
        bool is_marked = rules_has_flag(&v->rows[i], "whole-grades-in-sums");
        marked += is_marked;
        bool stands = v->n_scores > 0 && (v->rows[i].side == SIDE_RIGHT ? v->scores[0].right.has
                                                                        : v->scores[0].left.has);
        ck_assert(!is_marked || stands);
    }
    ck_assert_uint_eq(marked, steps[_i].marked);
    ck_assert_int_eq(v->n_scores > 0 && v->scores[0].whole_grades, steps[_i].whole);
    build_free(b);
}
END_TEST

START_TEST(gaps_name_item_and_side)
{
    struct build *b = build_new();
    build_add(b, ARMS("4") M("finger-dip", "flexion", "left", "3 digit=3"));
    b->visits[0].protocol = "ISNCSCI";
    struct visit_findings *v = build_evaluate(b);
    const struct score_gap *gap = &v->scores[0].gaps[0];
    ck_assert_str_eq(gap->item->level, "C8");
    ck_assert_int_eq(gap->item->digit, 3);
    ck_assert_int_eq(gap->side, SIDE_RIGHT);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, told_where_it_stands, 0, ARRAY_LEN(told));
    tcase_add_loop_test(tc, dropped_steps_are_marked, 0, ARRAY_LEN(steps));
    tcase_add_test(tc, gaps_name_item_and_side);
}

BUILD_SUITE("rules_score")
