/* The figures on a scale (ruler, bars, grades, trend) and the arrow of the shoulder blade: what
 * they refuse, that they stay in their box, and that a mark stands where its number says. */
#include "figure/figure_int.h"
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct page_list *list;
static struct page *sheet;
static char why[120];

enum { PAGE_SIDE = 700, PARAMS_MAX = 20, WIDE = 200 };
static const double box_x = 100.0, box_y = 90.0;

static void setup(void)
{
    list = page_list_new();
    sheet = page_add(list, PAGE_SIDE, PAGE_SIDE);
}

static void teardown(void)
{
    page_list_free(list);
}

/* "name=value;name=value"; the text is cut up in place. */
static size_t params_of(char *text, struct figure_param *out)
{
    size_t n = 0;
    char *rest = text, *item;
    while ((item = strsep(&rest, ";")) != NULL && item[0] != '\0') {
        char *value = strchr(item, '=');
        ck_assert_ptr_nonnull(value);
        *value = '\0';
        ck_assert_uint_lt(n, PARAMS_MAX);
        out[n++] = (struct figure_param){item, value + 1};
    }
    return n;
}

static struct figure_box drawn_in;

static bool draw_wide(const char *kind, const char *spec, double width)
{
    char text[900];
    struct figure_param params[PARAMS_MAX];
    ck_assert_uint_lt(strlen(spec), sizeof(text));
    memcpy(text, spec, strlen(spec) + 1);
    size_t n = params_of(text, params);
    drawn_in = (struct figure_box){box_x, box_y, width, figure_height(kind, params, n, width)};
    sheet->n = 0;
    return figure_draw(kind, params, n, drawn_in, list, sheet, why, sizeof(why));
}

static bool draw(const char *kind, const char *spec)
{
    return draw_wide(kind, spec, WIDE);
}

/* ---- refusals ------------------------------------------------------------------------------- */

#define DAYS "dates=2025-01-01 2025-01-15;"

static const struct {
    const char *kind, *spec, *reason;
} refused[] = {
    {"ruler", "", "end: missing, and no passive distance either"},
    {"ruler", "normal=45", "end: missing, and no passive distance either"},
    {"ruler", "end=wide", "end: not a number"},
    {"ruler", "end=-3", "end: below zero"},
    {"ruler", "end=2001", "end: not a distance on a body"},
    {"ruler", "end=3;passive=x", "passive: not a number"},
    {"ruler", "end=3;previous=x", "previous: not a number"},
    {"ruler", "end=3;normal=-1", "normal: below zero"},
    {"ruler", "end=3;better=more", "better: not higher or lower"},
    {"ruler", "end=3;toward=up", "toward: not right or left"},
    {"ruler", "end=3;estimated=perhaps", "estimated: not yes or no"},
    {"grades", "label=4", "score: missing"},
    {"grades", "score=5.1", "score: not a grade from 0 to 5"},
    {"grades", "score=-1", "score: not a grade from 0 to 5"},
    {"grades", "score=4+", "score: not a number"},
    {"grades", "score=4;previous=6", "previous: not a grade from 0 to 5"},
    {"grades", "score=4;first=-0.5", "first: not a grade from 0 to 5"},
    {"bars", "normal=140", "right: missing, and no left one either"},
    {"bars", "right=x", "right: not a number"},
    {"bars", "left=x", "left: not a number"},
    {"bars", "right=1000000", "right: too large to draw"},
    {"bars", "right=1;left-previous=x", "left-previous: not a number"},
    {"bars", "right=1;right-previous=x", "right-previous: not a number"},
    {"bars", "right=1;normal=x", "normal: not a number"},
    {"bars", "right=1;hyper-ok=x", "hyper-ok: not a number"},
    {"arrow", "side=right;grade=4", "motion: missing"},
    {"arrow", "motion=rotation;side=right;grade=4", "motion: no arrow for this motion"},
    {"arrow", "motion=elevation;grade=4", "side: missing"},
    {"arrow", "motion=elevation;side=midline;grade=4", "side: not right or left"},
    {"arrow", "motion=elevation;side=left", "grade: missing"},
    {"trend", "values=3", "dates: not one day for each number"},
    {"trend", "", "dates: missing"},
    {"trend", "dates=1 Jan 2025;values=3", "dates: not days as YYYY-MM-DD"},
    {"trend", "dates=2025-02-30;values=3", "dates: not days as YYYY-MM-DD"},
    {"trend", DAYS "values=3", "values: not one number for each day"},
    {"trend", DAYS "values=3 x", "values: not one number for each day"},
    {"trend", DAYS "values=3 1000000", "values: not one number for each day"},
    {"trend", DAYS "values=3 4 5", "dates: not one day for each number"},
    {"trend", DAYS "values=3 4;errors=1", "errors: not one number for each day"},
    {"trend", DAYS "values=3 4;errors=1 -1", "errors: not one number for each day"},
    {"trend", DAYS "values=3 4;errors=1 1 1", "dates: not one day for each number"},
    {"trend", DAYS "values=3 4;error=x", "error: not a number"},
    {"trend", DAYS "values=3 4;error=-1", "error: below zero"},
    {"trend", DAYS "values=3 4;goal=x", "goal: not a number"},
    {"trend", DAYS "values=3 4;limit=x", "limit: not a number"},
    {"trend", DAYS "values=3 4;normal=x", "normal: not a number"},
    {"trend", DAYS "values=3 4;goal-due=soon", "goal-due: not a day as YYYY-MM-DD"},
};

START_TEST(refuses_with_a_reason)
{
    ck_assert(!draw(refused[_i].kind, refused[_i].spec));
    ck_assert_str_eq(why, refused[_i].reason);
    ck_assert_uint_eq(sheet->n, 0); /* nothing half-drawn */
}
END_TEST

START_TEST(refuses_too_many_points)
{
    enum { TOO_MANY = 1001, ITEM = 12 };
    static char dates[TOO_MANY * ITEM], values[TOO_MANY * ITEM];
    for (int i = 0; i < TOO_MANY; i++) {
        strcat(dates, "2025-01-01 ");
        strcat(values, "3 ");
    }
    struct figure_param params[] = {{"dates", dates}, {"values", values}};
    struct figure_box box = {0, 0, 200, 100};
    ck_assert(!figure_draw("trend", params, 2, box, list, sheet, why, sizeof(why)));
    ck_assert_str_eq(why, "dates: too many points");
}
END_TEST

static const char *const kinds[] = {"ruler", "bars", "grades", "trend", "arrow"};
static const char *const plain[] = {"end=3", "right=3", "score=3", "dates=2025-01-01;values=3",
                                    "motion=elevation;side=left;grade=4"};

START_TEST(refuses_what_is_too_small)
{
    ck_assert(draw(kinds[_i], plain[_i]));
    ck_assert(!draw_wide(kinds[_i], plain[_i], 20));
    ck_assert_str_eq(why, "width: too small for a figure");
}
END_TEST

START_TEST(every_kind_is_listed_with_a_caption)
{
    bool listed = false, caption = false;
    for (const char *const *k = figure_kinds(); *k != NULL; k++) {
        listed |= strcmp(*k, kinds[_i]) == 0;
    }
    for (const char *const *p = figure_params(kinds[_i]); *p != NULL; p++) {
        caption |= strcmp(*p, "caption") == 0;
    }
    ck_assert(listed && caption);
}
END_TEST

/* ---- looking at what was drawn -------------------------------------------------------------- */

struct extent {
    double x0, y0, x1, y1;
};

static void reach(struct extent *e, double x, double y, double r)
{
    e->x0 = fmin(e->x0, x - r);
    e->y0 = fmin(e->y0, y - r);
    e->x1 = fmax(e->x1, x + r);
    e->y1 = fmax(e->y1, y + r);
}

static struct extent path_extent(const struct page_path *p)
{
    struct extent e = {1e9, 1e9, -1e9, -1e9};
    for (size_t k = 0; k < p->n_points; k += 2) {
        reach(&e, p->points[k], p->points[k + 1], 0.0);
    }
    return e;
}

static struct extent drawn(void)
{
    struct extent e = {1e9, 1e9, -1e9, -1e9};
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_item *item = &sheet->items[i];
        if (item->kind == PAGE_PATH) {
            struct extent p = path_extent(&item->u.path);
            double r = item->u.path.stroke ? item->u.path.width / 2.0 : 0.0;
            reach(&e, p.x0, p.y0, r);
            reach(&e, p.x1, p.y1, r);
            continue;
        }
        const struct page_text *t = &item->u.text;
        struct label_size size = label_measure(t->text, t->len, t->size);
        ck_assert_int_eq(t->anchor, ANCHOR_MIDDLE);
        reach(&e, t->x - size.width / 2.0, t->y, 0.0);
        reach(&e, t->x + size.width / 2.0, t->y + 0.71 * t->size, 0.0);
    }
    return e;
}

static const struct {
    const char *kind, *spec;
} whole[] = {
    {"ruler", "end=27;passive=31;previous=22;normal=45;unit-label=mm;value-label=27 mm;"
              "normal-label=normal 45;caption=opening, seen from the front"},
    {"ruler", "end=0;normal=9;toward=left;value-label=not at all;normal-label=normal 9"},
    {"ruler", "end=2000;better=lower;normal=0;value-label=2000 mm;normal-label=normal 0"},
    {"ruler", "passive=0.4;unit-label=cm"},
    {"bars", "right=126;left=142;right-previous=98;left-previous=142;normal=140;right-name=right;"
             "left-name=left;right-label=126°;left-label=142°;normal-label=normal 140;caption=c"},
    {"bars", "right=-20;left=12;normal=0;hyper-ok=10;right-name=right;left-name=left;"
             "right-label=lacks 20°;left-label=past 12°;normal-label=normal 0"},
    {"bars", "left=0"},
    {"grades", "score=5;previous=4.67;first=0;label=5;mark-label=against gravity;caption=strength"},
    {"grades", "score=0;label=zero, a long word for a grade that is nought"},
    {"trend", DAYS "values=3 4"},
    {"trend", DAYS "values=4 4;errors=0 0"},
    {"trend", "dates=2025-01-01;values=-4;errors=5;lacks=lacks;past=past;caption=alone"},
    {"trend", "dates=2025-01-01 2025-01-02 2025-01-03 2026-01-01;values=-14 -10 -4 6;"
              "errors=3.7 3.7 3.7 3.7;goal=8;goal-label=goal past 8;goal-due=2026-03-01;limit=0;"
              "limit-label=limit 0 until 1 Mar 2025;normal=0;normal-label=normal 0;lacks=lacks;"
              "past=past;days-label=days since 1 Jan 2025;caption=knee extension, right"},
};

START_TEST(stays_in_the_box)
{
    static const double widths[] = {120, 200, 490};
    for (size_t w = 0; w < ARRAY_LEN(widths); w++) {
        ck_assert_msg(draw_wide(whole[_i].kind, whole[_i].spec, widths[w]), "%s", why);
        struct extent e = drawn();
        ck_assert_msg(e.x0 >= box_x - 1.01 && e.x1 <= box_x + widths[w] + 1.01 &&
                          e.y0 >= box_y - 0.01 && e.y1 <= box_y + drawn_in.height + 0.01,
                      "%s, %g wide: %.1f %.1f %.1f %.1f of height %.1f", whole[_i].kind, widths[w],
                      e.x0 - box_x, e.y0 - box_y, e.x1 - box_x, e.y1 - box_y, drawn_in.height);
    }
}
END_TEST

static bool is_accent(struct colour c)
{
    return c.b > c.r + 0.1F;
}

static size_t count_paths(bool (*test)(const struct page_path *))
{
    size_t n = 0;
    for (size_t i = 0; i < sheet->n; i++) {
        n += sheet->items[i].kind == PAGE_PATH && test(&sheet->items[i].u.path);
    }
    return n;
}

static bool is_solid_bar(const struct page_path *p)
{
    return p->fill && p->n_ops == 5 && is_accent(p->fill_colour);
}

static bool is_line(const struct page_path *p)
{
    return p->stroke && p->n_ops == 2 && p->ops[1] == PATH_LINE;
}

/* Level, black and thin: a rung of what is lacking. */
static bool is_rung(const struct page_path *p)
{
    return is_line(p) && p->points[1] == p->points[3] && p->dash_on == 0.0 && p->width < 0.45 &&
           p->stroke_colour.r == 0.0F;
}

static bool is_accent_line(const struct page_path *p)
{
    return is_line(p) && is_accent(p->stroke_colour);
}

static bool is_disc(const struct page_path *p)
{
    return p->fill && p->n_ops >= 5 && p->ops[1] == PATH_CURVE && is_accent(p->fill_colour);
}

static bool is_dashed_frame(const struct page_path *p)
{
    return p->stroke && p->n_ops == 5 && p->dash_on > 0.0;
}

static struct extent only(bool (*test)(const struct page_path *), size_t which)
{
    for (size_t i = 0; i < sheet->n; i++) {
        if (sheet->items[i].kind == PAGE_PATH && test(&sheet->items[i].u.path) && which-- == 0) {
            return path_extent(&sheet->items[i].u.path);
        }
    }
    ck_abort_msg("nothing of this sort was drawn");
    return (struct extent){0};
}

static const struct page_text *find_text(const char *text)
{
    for (size_t i = 0; i < sheet->n; i++) {
        if (sheet->items[i].kind == PAGE_TEXT && strcmp(sheet->items[i].u.text.text, text) == 0) {
            return &sheet->items[i].u.text;
        }
    }
    return NULL;
}

/* ---- ruler and bars ------------------------------------------------------------------------- */

START_TEST(a_ruler_is_to_scale)
{
    ck_assert(draw("ruler", "end=20;normal=50"));
    struct extent a = only(is_solid_bar, 0);
    ck_assert(draw("ruler", "end=40;normal=50"));
    struct extent b = only(is_solid_bar, 0);
    ck_assert_double_eq_tol(2.0 * (a.x1 - a.x0), b.x1 - b.x0, 1e-6);
    ck_assert_double_eq_tol(a.x0, b.x0, 1e-6);
}
END_TEST

START_TEST(a_ruler_turns_round)
{
    ck_assert(draw("ruler", "end=20;normal=50"));
    struct extent a = only(is_solid_bar, 0);
    ck_assert(draw("ruler", "end=20;normal=50;toward=left"));
    struct extent b = only(is_solid_bar, 0);
    double middle = box_x + WIDE / 2.0;
    ck_assert_double_eq_tol(a.x0 - middle, middle - b.x1, 1e-6);
    ck_assert_double_eq_tol(a.x1 - middle, middle - b.x0, 1e-6);
}
END_TEST

START_TEST(a_gap_left_to_go_is_ruled)
{
    ck_assert(draw("ruler", "end=2;better=lower;normal=0"));
    ck_assert_uint_eq(count_paths(is_solid_bar), 0);
    ck_assert_uint_gt(count_paths(is_rung), 2);
    ck_assert(draw("ruler", "end=2;normal=5"));
    ck_assert_uint_eq(count_paths(is_solid_bar), 1);
    ck_assert_uint_eq(count_paths(is_rung), 0);
}
END_TEST

START_TEST(an_estimate_is_dashed)
{
    ck_assert(draw("ruler", "end=20;estimated=yes"));
    ck_assert_uint_eq(count_paths(is_dashed_frame), 1);
    ck_assert_uint_eq(count_paths(is_solid_bar), 0);
}
END_TEST

START_TEST(bars_share_one_scale)
{
    ck_assert(draw("bars", "right=60;left=120;normal=140"));
    struct extent right = only(is_solid_bar, 0), left = only(is_solid_bar, 1);
    ck_assert_double_eq_tol(2.0 * (right.x1 - right.x0), left.x1 - left.x0, 1e-6);
    ck_assert_double_gt(right.y0, left.y1); /* right over left */
}
END_TEST

START_TEST(a_lack_runs_the_other_way)
{
    ck_assert(draw("bars", "right=-10;left=10;normal=0;hyper-ok=10"));
    struct extent past = only(is_solid_bar, 0), lack = only(is_rung, 0);
    ck_assert_uint_eq(count_paths(is_solid_bar), 1);
    ck_assert_double_le(lack.x1, past.x0 + 1e-6);
    ck_assert_double_eq_tol(lack.x1 - lack.x0, past.x1 - past.x0, 1e-6);
}
END_TEST

START_TEST(a_side_without_a_number_has_no_bar)
{
    ck_assert(draw("bars", "left=30;right-name=right;left-name=left;right-label=0;left-label=30"));
    ck_assert_uint_eq(count_paths(is_solid_bar), 1);
    ck_assert_ptr_null(find_text("right"));
    ck_assert_ptr_null(find_text("0"));
    ck_assert_ptr_nonnull(find_text("30"));
}
END_TEST

/* ---- grades and the arrow ------------------------------------------------------------------- */

START_TEST(a_grade_stands_at_its_score)
{
    ck_assert(draw("grades", "score=0"));
    double zero = only(is_disc, 0).x0;
    ck_assert(draw("grades", "score=5"));
    double five = only(is_disc, 0).x0;
    ck_assert(draw("grades", "score=3.67;label=4-"));
    ck_assert_double_eq_tol(only(is_disc, 0).x0, zero + (five - zero) * 3.67 / 5.0, 1e-6);
    ck_assert_int_eq(find_text("4-")->face, FIGURE_FACE_BOLD);
}
END_TEST

START_TEST(the_arrow_mirrors)
{
    static const char *const motions[] = {"elevation", "depression", "adduction",
                                          "abduction-upward-rotation",
                                          "adduction-downward-rotation"};
    char spec[120];
    snprintf(spec, sizeof(spec), "motion=%s;side=right;grade=4", motions[_i]);
    ck_assert_msg(draw("arrow", spec), "%s", why);
    struct extent right = drawn();
    double grade = find_text("4")->x;
    snprintf(spec, sizeof(spec), "motion=%s;side=left;grade=4", motions[_i]);
    ck_assert_msg(draw("arrow", spec), "%s", why);
    struct extent left = drawn();
    double middle = box_x + WIDE / 2.0;
    ck_assert_double_eq_tol(right.x0 - middle, middle - left.x1, 0.5);
    ck_assert_double_eq_tol(grade - middle, middle - find_text("4")->x, 1e-6);
    ck_assert_double_gt(grade, middle); /* right stands on page right, seen from behind */
    ck_assert(right.x0 >= box_x && right.x1 <= box_x + WIDE && right.y0 >= box_y &&
              right.y1 <= box_y + WIDE);
}
END_TEST

/* ---- trend ---------------------------------------------------------------------------------- */

START_TEST(days_are_to_scale)
{
    ck_assert(draw("trend", "dates=2025-01-31 2025-02-14 2025-03-14;values=68 98 126"));
    double a = only(is_disc, 0).x0, b = only(is_disc, 1).x0, c = only(is_disc, 2).x1;
    double radius = (only(is_disc, 0).x1 - a) / 2.0, last = (c - only(is_disc, 2).x0) / 2.0;
    double first = a + radius, second = b + radius, third = c - last;
    ck_assert_double_eq_tol((second - first) / (third - first), 14.0 / 42.0, 1e-6);
    ck_assert_ptr_nonnull(find_text("14"));
    ck_assert_ptr_nonnull(find_text("42"));
    ck_assert_ptr_nonnull(find_text("126"));
}
END_TEST

START_TEST(nothing_runs_beyond_the_last_point)
{
    ck_assert(draw("trend", "dates=2025-01-31 2025-03-14;values=68 126;goal=140;"
                            "goal-due=2025-06-01;goal-label=goal 140"));
    ck_assert_uint_eq(count_paths(is_accent_line), 1);
    struct extent line = only(is_accent_line, 0), last = only(is_disc, 1);
    ck_assert_double_le(line.x1, (last.x0 + last.x1) / 2.0 + 1e-6);
    ck_assert_double_lt(last.x1, box_x + WIDE * 0.7); /* the due day has its place on the axis */
}
END_TEST

START_TEST(points_are_put_in_order)
{
    ck_assert(draw("trend", "dates=2025-03-14 2025-01-31 2025-02-14;values=126 68 98"));
    ck_assert_double_lt(only(is_disc, 0).x0, only(is_disc, 1).x0);
    ck_assert_double_lt(only(is_disc, 0).y0, only(is_disc, 1).y0);
    ck_assert_double_lt(only(is_disc, 1).y0, only(is_disc, 2).y0);
}
END_TEST

static bool is_band(const struct page_path *p)
{
    return p->fill && p->n_ops == 5 && p->fill_colour.r > 0.5F && p->fill_colour.r < 0.99F;
}

START_TEST(bands_meet_when_the_change_is_the_error)
{
    ck_assert(draw("trend", "dates=2025-01-01 2025-02-01;values=100 110;errors=5 5"));
    ck_assert_uint_eq(count_paths(is_band), 2);
    ck_assert_double_eq_tol(only(is_band, 0).y1, only(is_band, 1).y0, 1e-6);
    ck_assert(draw("trend", "dates=2025-01-01 2025-02-01;values=100 110;error=5"));
    ck_assert_double_eq_tol(only(is_band, 0).y1, only(is_band, 1).y0, 1e-6);
    ck_assert(draw("trend", "dates=2025-01-01 2025-02-01;values=100 110"));
    ck_assert_uint_eq(count_paths(is_band), 0);
}
END_TEST

START_TEST(numbers_below_zero_are_words)
{
    ck_assert(draw("trend", "dates=2025-01-01 2025-02-01;values=-12 3;lacks=lacks;past=past"));
    ck_assert_ptr_nonnull(find_text("lacks 12"));
    ck_assert_ptr_nonnull(find_text("past 3"));
    ck_assert(draw("trend", "dates=2025-01-01 2025-02-01;values=-12 3"));
    ck_assert_ptr_nonnull(find_text("\u221212"));
}
END_TEST

static const struct {
    double value;
    const char *decimal, *lacks, *past, *text;
} texts[] = {
    {0, ".", "lacks", "past", "0"},       {12, ".", "", "", "12"},
    {12.5, ".", "", "", "12.5"},          {12.5, ",", "", "", "12,5"},
    {100, ",", "", "", "100"},            {-7, ".", "lacks", "", "lacks 7"},
    {-7, ".", "", "", "\u22127"},        {-7.25, ",", "", "", "\u22127,25"},
    {3.25, ".", "lacks", "past", "past 3.25"}, {0.001, ",", "", "", "0,001"},
};

START_TEST(writes_numbers_as_a_reader_does)
{
    char out[SCALE_TEXT_MAX];
    ck_assert_str_eq(scale_text(out, texts[_i].value, texts[_i].decimal, texts[_i].lacks,
                                texts[_i].past),
                     texts[_i].text);
}
END_TEST

static const struct {
    double low, high;
    int ticks;
    double from, to, step;
} scales[] = {
    {0, 45, 5, 0, 50, 10}, {0, 50, 5, 0, 50, 10}, {-14, 6, 5, -15, 10, 5},
    {68, 126, 5, 60, 140, 20}, {3, 3, 5, 3, 4, 0.2}, {0, 0.9, 3, 0, 1, 0.5},
};

START_TEST(scales_end_on_whole_steps)
{
    struct scale s = scale_over(scales[_i].low, scales[_i].high, scales[_i].ticks);
    ck_assert_double_eq_tol(s.from, scales[_i].from, 1e-9);
    ck_assert_double_eq_tol(s.to, scales[_i].to, 1e-9);
    ck_assert_double_eq_tol(s.step, scales[_i].step, 1e-9);
}
END_TEST

static Suite *make_suite(void)
{
    Suite *s = suite_create("figure_scale");
    TCase *t = tcase_create("scale");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, refuses_with_a_reason, 0, ARRAY_LEN(refused));
    tcase_add_test(t, refuses_too_many_points);
    tcase_add_loop_test(t, refuses_what_is_too_small, 0, ARRAY_LEN(kinds));
    tcase_add_loop_test(t, every_kind_is_listed_with_a_caption, 0, ARRAY_LEN(kinds));
    tcase_add_loop_test(t, stays_in_the_box, 0, ARRAY_LEN(whole));
    tcase_add_test(t, a_ruler_is_to_scale);
    tcase_add_test(t, a_ruler_turns_round);
    tcase_add_test(t, a_gap_left_to_go_is_ruled);
    tcase_add_test(t, an_estimate_is_dashed);
    tcase_add_test(t, bars_share_one_scale);
    tcase_add_test(t, a_lack_runs_the_other_way);
    tcase_add_test(t, a_side_without_a_number_has_no_bar);
    tcase_add_test(t, a_grade_stands_at_its_score);
    tcase_add_loop_test(t, the_arrow_mirrors, 0, 5);
    tcase_add_test(t, days_are_to_scale);
    tcase_add_test(t, nothing_runs_beyond_the_last_point);
    tcase_add_test(t, points_are_put_in_order);
    tcase_add_test(t, bands_meet_when_the_change_is_the_error);
    tcase_add_test(t, numbers_below_zero_are_words);
    tcase_add_loop_test(t, writes_numbers_as_a_reader_does, 0, ARRAY_LEN(texts));
    tcase_add_loop_test(t, scales_end_on_whole_steps, 0, ARRAY_LEN(scales));
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make_suite)
