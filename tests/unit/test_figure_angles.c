/* The angle table against its written form: zero and sense of every motion on both sides. */
#include "figure/figure_int.h"
#include "unit.h"

#include <math.h>

/* Page angle of zero right and left; +1 opens counter-clockwise, -1 clockwise, right and left. */
static const struct {
    const char *joint, *motion;
    int digit, zero_right, zero_left, sense_right, sense_left;
} table[] = {
    {"cervical", "flexion", 0, 90, 90, -1, -1}, /* midline */
    {"cervical", "extension", 0, 90, 90, 1, 1}, /* midline */
    {"cervical", "lateral-flexion", 0, 90, 90, -1, 1},
    {"cervical", "rotation", 0, 90, 90, -1, 1},
    {"trunk", "flexion", 0, 90, 90, -1, -1}, /* midline */
    {"trunk", "extension", 0, 90, 90, 1, 1}, /* midline */
    {"trunk", "lateral-flexion", 0, 90, 90, -1, 1},
    {"trunk", "rotation", 0, 90, 90, -1, 1},
    {"shoulder", "flexion", 0, 270, 270, 1, -1},
    {"shoulder", "extension", 0, 270, 270, -1, 1},
    {"shoulder", "abduction", 0, 270, 270, -1, 1},
    {"shoulder", "adduction", 0, 270, 270, 1, -1},
    {"shoulder", "internal-rotation", 0, 90, 90, -1, 1},
    {"shoulder", "external-rotation", 0, 90, 90, 1, -1},
    {"shoulder", "horizontal-abduction", 0, 0, 180, -1, 1},
    {"shoulder", "horizontal-adduction", 0, 0, 180, 1, -1},
    {"elbow", "flexion", 0, 270, 270, 1, -1},
    {"elbow", "extension", 0, 270, 270, -1, 1},
    {"forearm", "pronation", 0, 90, 90, -1, 1},
    {"forearm", "supination", 0, 90, 90, 1, -1},
    {"wrist", "flexion", 0, 0, 180, -1, 1},
    {"wrist", "extension", 0, 0, 180, 1, -1},
    {"wrist", "radial-deviation", 0, 90, 90, 1, -1},
    {"wrist", "ulnar-deviation", 0, 90, 90, -1, 1},
    {"thumb-cmc", "flexion", 0, 90, 90, 1, -1},
    {"thumb-cmc", "extension", 0, 90, 90, -1, 1},
    {"thumb-cmc", "abduction", 0, 90, 90, 1, -1},
    {"thumb-mcp", "flexion", 0, 90, 90, 1, -1},
    {"thumb-mcp", "extension", 0, 90, 90, -1, 1},
    {"thumb-ip", "flexion", 0, 90, 90, 1, -1},
    {"thumb-ip", "extension", 0, 90, 90, -1, 1},
    {"finger-mcp", "flexion", 0, 0, 180, -1, 1},
    {"finger-mcp", "extension", 0, 0, 180, 1, -1},
    {"finger-mcp", "abduction", 2, 90, 90, 1, -1},
    {"finger-mcp", "abduction", 4, 90, 90, -1, 1},
    {"finger-mcp", "abduction", 5, 90, 90, -1, 1},
    {"finger-pip", "flexion", 0, 0, 180, -1, 1},
    {"finger-pip", "extension", 0, 0, 180, 1, -1},
    {"finger-dip", "flexion", 0, 0, 180, -1, 1},
    {"finger-dip", "extension", 0, 0, 180, 1, -1},
    {"hip", "flexion", 0, 270, 270, 1, -1},
    {"hip", "extension", 0, 270, 270, -1, 1},
    {"hip", "abduction", 0, 270, 270, -1, 1},
    {"hip", "adduction", 0, 270, 270, 1, -1},
    {"hip", "internal-rotation", 0, 270, 270, -1, 1},
    {"hip", "external-rotation", 0, 270, 270, 1, -1},
    {"knee", "flexion", 0, 270, 270, -1, 1},
    {"knee", "extension", 0, 270, 270, 1, -1},
    {"ankle", "dorsiflexion", 0, 0, 180, 1, -1},
    {"ankle", "plantar-flexion", 0, 0, 180, -1, 1},
    {"subtalar", "inversion", 0, 270, 270, -1, 1},
    {"subtalar", "eversion", 0, 270, 270, 1, -1},
    {"toe-mtp", "flexion", 0, 0, 180, -1, 1},
    {"toe-mtp", "extension", 0, 0, 180, 1, -1},
    {"toe-ip", "flexion", 0, 0, 180, -1, 1},
    {"toe-ip", "extension", 0, 0, 180, 1, -1},
};

static double turn_between(double from, double to)
{
    return remainder(to - from, 360.0);
}

START_TEST(zero_and_sense)
{
    const struct motion_row *row = figure_row(table[_i].joint, table[_i].motion, table[_i].digit);
    ck_assert_ptr_nonnull(row);
    static const double values[] = {10, 45, 120, -12, -40};
    for (int left = 0; left <= 1; left++) {
        double zero = left ? table[_i].zero_left : table[_i].zero_right;
        int sense = left ? table[_i].sense_left : table[_i].sense_right;
        ck_assert_double_eq_tol(turn_between(zero, figure_page_angle(row, left, 0.0)), 0.0, 1e-9);
        for (size_t k = 0; k < ARRAY_LEN(values); k++) {
            double turned = turn_between(zero, figure_page_angle(row, left, values[k]));
            ck_assert_double_eq_tol(turned, sense * values[k], 1e-9);
        }
    }
}
END_TEST

START_TEST(the_table_is_whole)
{
    size_t n = 0;
    figure_rows(&n);
    ck_assert_uint_eq(n, ARRAY_LEN(table));
}
END_TEST

START_TEST(opposite_motions_share_a_zero)
{
    static const char *const pairs[][3] = {
        {"knee", "flexion", "extension"},          {"elbow", "flexion", "extension"},
        {"hip", "flexion", "extension"},
        {"hip", "internal-rotation", "external-rotation"},
        {"ankle", "dorsiflexion", "plantar-flexion"}, {"forearm", "pronation", "supination"},
        {"wrist", "radial-deviation", "ulnar-deviation"}, {"shoulder", "abduction", "adduction"},
    };
    for (size_t i = 0; i < ARRAY_LEN(pairs); i++) {
        const struct motion_row *a = figure_row(pairs[i][0], pairs[i][1], 0);
        const struct motion_row *b = figure_row(pairs[i][0], pairs[i][2], 0);
        /* Lacking 10 of extension is the same place as 10 of flexion. */
        ck_assert_double_eq(figure_page_angle(a, false, 10.0), figure_page_angle(b, false, -10.0));
        ck_assert_double_eq(figure_page_angle(a, true, 10.0), figure_page_angle(b, true, -10.0));
    }
}
END_TEST

START_TEST(knows_what_it_can_draw)
{
    ck_assert(figure_has_motion("knee", "flexion"));
    ck_assert(figure_has_motion("finger-mcp", "abduction"));
    ck_assert(!figure_has_motion("finger-mcp", "adduction"));
    ck_assert(!figure_has_motion("thumb-cmc", "opposition"));
    ck_assert(!figure_has_motion("jaw", "opening"));
    ck_assert(!figure_has_motion("knee", "Flexion"));
    ck_assert(!figure_has_motion("", ""));
    ck_assert_ptr_null(figure_row("finger-mcp", "abduction", 3));
    ck_assert_ptr_nonnull(figure_row("finger-pip", "flexion", 3));
}
END_TEST

static Suite *figure_angles_suite(void)
{
    Suite *s = suite_create("figure: angles");
    TCase *t = tcase_create("angles");
    tcase_add_loop_test(t, zero_and_sense, 0, (int)ARRAY_LEN(table));
    tcase_add_test(t, the_table_is_whole);
    tcase_add_test(t, opposite_motions_share_a_zero);
    tcase_add_test(t, knows_what_it_can_draw);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(figure_angles_suite)
