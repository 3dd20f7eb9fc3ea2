/* The figures of teaching, dots, differences and boxes: what they refuse, that they stay in their
 * box, that no dot covers another, and that everything stands where its number says. */
#include "figure/figure_int.h"
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct page_list *list;
static struct page *sheet;
static char why[120];

enum { PAGE_SIDE = 700, PARAMS_MAX = 24, WIDE = 200 };
static const double box_x = 100.0, box_y = 90.0;
static double height;

static void setup(void)
{
    list = page_list_new();
    sheet = page_add(list, PAGE_SIDE, PAGE_SIDE);
}

static void teardown(void)
{
    page_list_free(list);
}

static bool draw_wide(const char *kind, const char *spec, double width)
{
    char text[900], *rest = text, *item;
    struct figure_param params[PARAMS_MAX];
    size_t n = 0;
    ck_assert_uint_lt(strlen(spec), sizeof(text));
    memcpy(text, spec, strlen(spec) + 1);
    while ((item = strsep(&rest, ";")) != NULL && item[0] != '\0') {
        char *value = strchr(item, '=');
        ck_assert_ptr_nonnull(value);
        *value = '\0';
        ck_assert_uint_lt(n, PARAMS_MAX);
        params[n++] = (struct figure_param){item, value + 1};
    }
    height = figure_height(kind, params, n, width);
    sheet->n = 0;
    return figure_draw(kind, params, n, (struct figure_box){box_x, box_y, width, height}, list,
                       sheet, why, sizeof(why));
}

static bool draw(const char *kind, const char *spec)
{
    return draw_wide(kind, spec, WIDE);
}

#define ENDS "least=0;most=100;"
#define ONE "means=100;differences=3;codes=1;"

static const struct {
    const char *kind, *spec, *reason;
} refused[] = {
    {"dots", "values=3;codes=A", "least: missing, or most is"},
    {"dots", ENDS, "values: missing, and no mark either"},
    {"dots", ENDS "values=3 x;codes=A B", "values: not numbers that can be drawn"},
    {"dots", ENDS "values=3 4;codes=A", "codes: not one short code for each value"},
    {"dots", ENDS "values=3;codes=A B", "codes: not one short code for each value"},
    {"dots", ENDS "values=3;codes=ABCDEFGHIJKLM", "codes: not one short code for each value"},
    {"dots", ENDS "values=101;codes=A", "values: outside least and most"},
    {"dots", ENDS "values=3;codes=A;mark=-1", "mark: outside least and most"},
    {"dots", ENDS "values=3;codes=A;mark=x", "mark: not a number"},
    {"dots", ENDS "values=3;codes=A;tolerance=x", "tolerance: not a number"},
    {"dots", ENDS "values=3;codes=A;step=x", "step: not a number"},
    {"dots", ENDS "values=3;codes=A;mark-is=median", "mark-is: not reading or mean"},
    {"dots", ENDS "values=3;codes=A;off-is=less", "off-is: not more or at-least"},
    {"dots", ENDS "values=3;codes=A;axis=perhaps", "axis: not yes or no"},
    {"boxes", "columns=a", "rows: missing"},
    {"boxes", "rows=right", "columns: missing"},
    {"boxes", "rows=right;columns=a name that is far too long to stand over a box",
     "columns: a name that is too long"},
    {"boxes", "rows=1|2|3|4|5|6|7|8|9|10|11|12|13|14|15|16|17|18|19|20|21|22|23|24|25;columns=a",
     "rows: too many"},
    {"differences", "", "means: missing"},
    {"differences", "means=1 2;differences=3;codes=1 2", "differences: not one for each mean"},
    {"differences", "means=1;differences=3;codes=", "codes: not one short code for each value"},
    {"differences", "means=x;differences=3;codes=1", "means: not numbers that can be drawn"},
    {"differences", ONE "bias=x", "bias: not a number"},
    {"differences", ONE "low-low=x", "low-low: not a number"},
    {"differences", ONE "high-high=1000000", "high-high: too large to draw"},
    {"differences", ONE "reach=x", "reach: not a number"},
};

START_TEST(refuses_with_a_reason)
{
    ck_assert(!draw(refused[_i].kind, refused[_i].spec));
    ck_assert_str_eq(why, refused[_i].reason);
    ck_assert_uint_eq(sheet->n, 0);
}
END_TEST

START_TEST(refuses_too_many_and_too_small)
{
    char values[65 * 2 + 1] = "", codes[65 * 2 + 1] = "";
    for (int i = 0; i < 65; i++) {
        memcpy(values + 2 * i, "3 ", 2);
        memcpy(codes + 2 * i, "A ", 2);
    }
    char spec[600];
    snprintf(spec, sizeof spec, ENDS "values=%s;codes=%s", values, codes);
    ck_assert(!draw("dots", spec));
    ck_assert_str_eq(why, "values: too many points");
    ck_assert(!draw_wide("dots", ENDS "values=3;codes=A", 40));
    ck_assert_str_eq(why, "width: too small for a figure");
    ck_assert(!draw_wide("differences", ONE, 40));
    ck_assert_str_eq(why, "width: too small for a figure");
}
END_TEST

/* ---- looking at what was drawn -------------------------------------------------------------- */

static bool is_disc(const struct page_path *p)
{
    return p->fill && p->stroke && p->n_ops >= 5 && p->ops[1] == PATH_CURVE;
}

static void middle_of(const struct page_path *p, double *x, double *y)
{
    double x0 = 1e9, x1 = -1e9, y0 = 1e9, y1 = -1e9;
    for (size_t k = 0; k < p->n_points; k += 2) {
        x0 = fmin(x0, p->points[k]);
        x1 = fmax(x1, p->points[k]);
        y0 = fmin(y0, p->points[k + 1]);
        y1 = fmax(y1, p->points[k + 1]);
    }
    *x = (x0 + x1) / 2;
    *y = (y0 + y1) / 2;
}

struct found {
    double x, y;
    bool dark;
};

/* The discs in the order drawn. */
static size_t discs(struct found *out, size_t max)
{
    size_t n = 0;
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_item *item = &sheet->items[i];
        if (item->kind != PAGE_PATH || !is_disc(&item->u.path))
            continue;
        ck_assert_uint_lt(n, max);
        middle_of(&item->u.path, &out[n].x, &out[n].y);
        out[n++].dark = item->u.path.fill_colour.r < 0.5F;
    }
    return n;
}

static const struct page_text *text_at(const char *text)
{
    for (size_t i = 0; i < sheet->n; i++)
        if (sheet->items[i].kind == PAGE_TEXT && strcmp(sheet->items[i].u.text.text, text) == 0)
            return &sheet->items[i].u.text;
    return NULL;
}

static size_t lines(bool dashed, double width)
{
    size_t n = 0;
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_path *p = &sheet->items[i].u.path;
        n += sheet->items[i].kind == PAGE_PATH && p->stroke && !p->fill && p->n_ops == 2 &&
             (p->dash_on > 0) == dashed && fabs(p->width - width) < 1e-9;
    }
    return n;
}

static void inside(double width)
{
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_item *item = &sheet->items[i];
        for (size_t k = 0; item->kind == PAGE_PATH && k < item->u.path.n_points; k += 2) {
            double x = item->u.path.points[k], y = item->u.path.points[k + 1];
            ck_assert_msg(x >= box_x - 0.01 && x <= box_x + width + 0.01 && y >= box_y - 0.01 &&
                              y <= box_y + height + 0.01,
                          "%g %g of %g by %g", x - box_x, y - box_y, width, height);
        }
        if (item->kind == PAGE_TEXT) {
            const struct page_text *t = &item->u.text;
            double half = label_measure(t->text, t->len, t->size).width / 2;
            ck_assert_msg(t->x - half >= box_x - 0.01 && t->x + half <= box_x + width + 0.01 &&
                              t->y >= box_y - 0.01 && t->y + 0.71 * t->size <= box_y + height,
                          "'%s' %g %g", t->text, t->x - box_x, t->y - box_y);
        }
    }
}

static const struct {
    const char *kind, *spec;
} whole[] = {
    {"dots", ENDS "values=0 0 0 1 2 50 100 100;codes=A B C D E F G H;mark=0;tolerance=5;axis=yes"},
    {"dots", ENDS "mark=100;tolerance=5;mark-is=mean"},
    {"dots", "least=-12;most=-12;values=-12;codes=AL;axis=yes"},
    {"dots", "least=1.67;most=5;values=1.67 5;codes=A B;mark=5;tolerance=1;off-is=at-least;step=1;"
             "axis=yes"},
    {"boxes", "rows=midline;columns=grade"},
    {"boxes", "rows=2 right|2 left|5 right;columns=A 1|A 2|A 3|-|P 1|P 2|P 3|end feel*|pain"},
    {"differences", ONE},
    {"differences",
     "means=96 118 142;differences=-6 9 0;codes=1 2 10000;bias=1;bias-low=-20;bias-high=22;low=-14;"
     "low-low=-60;low-high=3;high=16;high-low=0;high-high=70;bias-label=+1.0;low-label=-14.0;"
     "high-label=+16.0;reach=20;up-label=difference, degrees;across-label=mean of the two;"
     "caption=A less the instructor"},
    {"differences", "means=5 5;differences=0 0;codes=1 2;bias=0;low=0;high=0;bias-label=0.0;"
                    "low-label=0.0;high-label=0.0"},
};

START_TEST(stays_in_the_box)
{
    static const double widths[] = {115, 200, 490};
    for (size_t w = 0; w < ARRAY_LEN(widths); w++) {
        ck_assert_msg(draw_wide(whole[_i].kind, whole[_i].spec, widths[w]), "%s", why);
        inside(widths[w]);
    }
}
END_TEST

/* ---- dots ----------------------------------------------------------------------------------- */

START_TEST(dots_stand_at_their_values)
{
    struct found d[3];
    ck_assert(draw("dots", ENDS "values=100 0 25;codes=A B C"));
    ck_assert_uint_eq(discs(d, 4), 3);
    double span = d[2].x - d[0].x; /* drawn from low to high */
    ck_assert_double_eq_tol(d[1].x - d[0].x, span / 4, 1e-6);
    ck_assert_double_eq_tol(text_at("A")->x, d[2].x, 1e-6);
    ck_assert_double_eq_tol(text_at("B")->x, d[0].x, 1e-6);
}
END_TEST

START_TEST(no_dot_covers_another)
{
    struct found d[12];
    ck_assert(draw("dots", ENDS "values=50 50 51 52 53 50 54 49 48 50 51 52;"
                           "codes=A B C D E F G H I J K L"));
    size_t n = discs(d, 13);
    ck_assert_uint_eq(n, 12);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < i; k++)
            ck_assert_double_ge(hypot(d[i].x - d[k].x, d[i].y - d[k].y), 10.0);
}
END_TEST

/* Exactly the tolerance is within it for angles, and off for grades. */
START_TEST(dark_is_off)
{
    struct found d[4];
    ck_assert(draw("dots", ENDS "values=44 45 55 56;codes=A B C D;mark=50;tolerance=5"));
    ck_assert_uint_eq(discs(d, 5), 4);
    ck_assert(d[0].dark && !d[1].dark && !d[2].dark && d[3].dark);
    ck_assert_float_eq(text_at("A")->colour.r, 1.0F);
    ck_assert_float_eq(text_at("B")->colour.r, 0.0F);
    ck_assert(draw("dots", "least=1;most=5;values=3 3.33;codes=A B;mark=4;tolerance=1;"
                           "off-is=at-least;step=1"));
    ck_assert_uint_eq(discs(d, 5), 2);
    ck_assert(d[0].dark && !d[1].dark);
    ck_assert(draw("dots", ENDS "values=10 90;codes=A B;tolerance=5"));
    ck_assert_uint_eq(discs(d, 5), 2);
    ck_assert(!d[0].dark && !d[1].dark); /* held against nothing */
}
END_TEST

START_TEST(a_mean_is_dashed_and_a_reading_is_not)
{
    ck_assert(draw("dots", ENDS "values=3;codes=A;mark=50"));
    ck_assert_uint_eq(lines(false, 1.3), 1);
    ck_assert_uint_eq(lines(true, 1.3), 0);
    ck_assert(draw("dots", ENDS "values=3;codes=A;mark=50;mark-is=mean"));
    ck_assert_uint_eq(lines(false, 1.3), 0);
    ck_assert_uint_eq(lines(true, 1.3), 1);
    ck_assert(draw("dots", ENDS "values=3;codes=A"));
    ck_assert_uint_eq(lines(false, 1.3) + lines(true, 1.3), 0);
}
END_TEST

START_TEST(ticks_are_whole_steps)
{
    ck_assert(draw_wide("dots", "least=3;most=5;values=3;codes=A;axis=yes", 400));
    ck_assert_ptr_nonnull(text_at("3.2"));
    ck_assert(draw_wide("dots", "least=3.33;most=4.67;values=4;codes=A;step=1;axis=yes", 400));
    ck_assert_ptr_nonnull(text_at("3"));
    ck_assert_ptr_nonnull(text_at("5"));
    ck_assert_ptr_null(text_at("3.5"));
    ck_assert(draw_wide("dots", "least=3;most=5;values=3;codes=A", 400));
    ck_assert_ptr_null(text_at("3"));
}
END_TEST

/* ---- boxes ---------------------------------------------------------------------------------- */

static size_t frames(double *widths, size_t max)
{
    size_t n = 0;
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_path *p = &sheet->items[i].u.path;
        if (sheet->items[i].kind != PAGE_PATH || !p->stroke || p->n_ops != 5)
            continue;
        ck_assert_uint_lt(n, max);
        widths[n++] = fabs(p->points[2] - p->points[0]);
    }
    return n;
}

/* A box a row and column; none for a gap, a wide one for words. */
START_TEST(a_box_for_each_row_and_column)
{
    double widths[10];
    ck_assert(draw("boxes", "rows=right|left;columns=A 1|-|end feel*|pain"));
    ck_assert_uint_eq(frames(widths, 10), 6);
    ck_assert_double_eq_tol(widths[1], 2 * widths[0] + 1.5, 1e-6);
    ck_assert_double_eq_tol(widths[2], widths[0], 1e-6);
    ck_assert_ptr_nonnull(text_at("end feel"));
    ck_assert_ptr_nonnull(text_at("left"));
    ck_assert_ptr_null(text_at("-"));
}
END_TEST

/* ---- differences ---------------------------------------------------------------------------- */

START_TEST(points_stand_at_mean_and_difference)
{
    struct found d[3];
    ck_assert(draw("differences", "means=0 10 20;differences=-10 0 10;codes=1 2 3"));
    ck_assert_uint_eq(discs(d, 4), 3);
    ck_assert_double_eq_tol(d[1].x - d[0].x, d[2].x - d[1].x, 1e-6);
    ck_assert_double_eq_tol(d[1].y - d[0].y, d[2].y - d[1].y, 1e-6);
    ck_assert_double_gt(d[2].y, d[1].y);
    ck_assert_double_eq_tol(text_at("2")->x, d[1].x, 1e-6);
}
END_TEST

START_TEST(lines_carry_their_numbers)
{
    ck_assert(draw("differences", ONE "bias=1;low=-8;high=10;bias-label=+1.0;low-label=-8.0;"
                                      "high-label=+10.0;reach=10"));
    ck_assert_double_lt(text_at("-8.0")->y, text_at("+1.0")->y);
    ck_assert_double_lt(text_at("+1.0")->y, text_at("+10.0")->y);
    ck_assert_int_eq(text_at("+1.0")->face, FIGURE_FACE_BOLD);
    ck_assert_uint_eq(lines(false, 1.1), 1);
    ck_assert_uint_eq(lines(true, 0.8), 2);
    ck_assert(draw("differences", ONE "bias=1;bias-label=+1.0"));
    ck_assert_uint_eq(lines(true, 0.8), 0);
}
END_TEST

/* An interval that goes on outside the picture has no foot there. */
START_TEST(an_interval_past_the_edge_has_no_foot)
{
    ck_assert(draw("differences", ONE "bias=1;bias-low=-3;bias-high=5;reach=10"));
    size_t whole_bar = lines(false, 0.7);
    ck_assert(draw("differences", ONE "bias=1;bias-low=-300;bias-high=5;reach=10"));
    ck_assert_uint_eq(whole_bar, 3);
    ck_assert_uint_eq(lines(false, 0.7), 2);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("figures of a class");
    TCase *t = tcase_create("all");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, refuses_with_a_reason, 0, ARRAY_LEN(refused));
    tcase_add_test(t, refuses_too_many_and_too_small);
    tcase_add_loop_test(t, stays_in_the_box, 0, ARRAY_LEN(whole));
    tcase_add_test(t, dots_stand_at_their_values);
    tcase_add_test(t, no_dot_covers_another);
    tcase_add_test(t, dark_is_off);
    tcase_add_test(t, a_mean_is_dashed_and_a_reading_is_not);
    tcase_add_test(t, ticks_are_whole_steps);
    tcase_add_test(t, a_box_for_each_row_and_column);
    tcase_add_test(t, points_stand_at_mean_and_difference);
    tcase_add_test(t, lines_carry_their_numbers);
    tcase_add_test(t, an_interval_past_the_edge_has_no_foot);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
