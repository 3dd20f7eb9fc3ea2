/* The arc figure: what it refuses, where it draws, and that it stays in its box and mirrors. */
#include "figure/figure_int.h"
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct page_list *list;
static struct page *sheet;
static char why[120];

enum { PAGE_SIDE = 400, PARAMS_MAX = 16 };

static void setup(void)
{
    list = page_list_new();
    sheet = page_add(list, PAGE_SIDE, PAGE_SIDE);
}

static void teardown(void)
{
    page_list_free(list);
}

/* "name=value;name=value" to parameters; the text is cut up in place. */
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

static bool draw_in(const char *spec, struct figure_box box)
{
    char text[300];
    struct figure_param params[PARAMS_MAX];
    ck_assert_uint_lt(strlen(spec), sizeof(text));
    memcpy(text, spec, strlen(spec) + 1);
    size_t n = params_of(text, params);
    return figure_draw("arc", params, n, box, list, sheet, why, sizeof(why));
}

static bool draw(const char *spec)
{
    return draw_in(spec, (struct figure_box){100, 100, 100, 100});
}

/* ---- refusals ------------------------------------------------------------------------------- */

static const struct {
    const char *spec, *reason;
} refused[] = {
    {"", "joint: missing"},
    {"motion=flexion;side=right;end=10", "joint: missing"},
    {"joint=knee;side=right;end=10", "motion: missing"},
    {"joint=knee;motion=flexion;end=10", "side: missing"},
    {"joint=knee;motion=flexion;side=right", "end: missing, and no passive angle either"},
    {"joint=knee;motion=flexion;side=right;normal=140",
     "end: missing, and no passive angle either"},
    {"joint=knee;motion=flexion;side=right;end=ten", "end: not a number"},
    {"joint=knee;motion=flexion;side=right;end=1e2", "end: not a number"},
    {"joint=knee;motion=flexion;side=right;end=nan", "end: not a number"},
    {"joint=knee;motion=flexion;side=right;end=12,5", "end: not a number"},
    {"joint=knee;motion=flexion;side=right;end=10;start=x", "start: not a number"},
    {"joint=knee;motion=flexion;side=right;end=10;passive=x", "passive: not a number"},
    {"joint=knee;motion=flexion;side=right;end=10;previous=x", "previous: not a number"},
    {"joint=knee;motion=flexion;side=right;end=10;normal=x", "normal: not a number"},
    {"joint=knee;motion=flexion;side=right;end=10;hyper-ok=x", "hyper-ok: not a number"},
    {"joint=knee;motion=flexion;side=right;end=361", "end: not an angle of a joint"},
    {"joint=knee;motion=flexion;side=right;end=-361", "end: not an angle of a joint"},
    {"joint=knee;motion=rotation;side=right;end=10", "motion: no drawing for this motion"},
    {"joint=nose;motion=flexion;side=right;end=10", "motion: no drawing for this motion"},
    {"joint=scapula;motion=elevation;side=right;end=1", "motion: no drawing for this motion"},
    {"joint=knee;motion=flexion;side=rihgt;end=10", "side: not right, left or midline"},
    {"joint=knee;motion=flexion;side=midline;end=10", "side: this motion has a side"},
    {"joint=trunk;motion=flexion;side=left;end=10", "side: this motion is of the midline"},
    {"joint=finger-pip;motion=flexion;side=left;digit=9;end=10", "digit: not a digit from 1 to 5"},
    {"joint=finger-pip;motion=flexion;side=left;digit=x;end=10", "digit: not a digit from 1 to 5"},
    {"joint=finger-mcp;motion=abduction;side=left;digit=3;end=10",
     "digit: no drawing for this digit"},
    {"joint=finger-mcp;motion=abduction;side=left;end=10", "digit: no drawing for this digit"},
    {"joint=knee;motion=flexion;side=right;end=10;unit=cm", "unit: an arc shows degrees only"},
    {"joint=knee;motion=flexion;side=right;end=10;estimated=maybe", "estimated: not yes or no"},
};

START_TEST(refuses_with_a_reason)
{
    ck_assert(!draw(refused[_i].spec));
    ck_assert_str_eq(why, refused[_i].reason);
    ck_assert_uint_eq(sheet->n, 0); /* nothing half-drawn */
}
END_TEST

START_TEST(refuses_kind_and_size)
{
    const struct figure_param none = {"joint", "knee"};
    struct figure_box box = {0, 0, 100, 100};
    ck_assert(!figure_draw("pie", &none, 1, box, list, sheet, why, sizeof(why)));
    ck_assert_str_eq(why, "kind: no such figure");
    ck_assert_double_eq(figure_height("pie", &none, 1, 100.0), 0.0);
    ck_assert_ptr_null(figure_params("pie"));
    ck_assert(!draw_in("joint=knee;motion=flexion;side=right;end=10",
                       (struct figure_box){0, 0, 20, 20}));
    ck_assert_str_eq(why, "width: too small for a figure");
}
END_TEST

START_TEST(lists_its_parameters)
{
    const char *const *names = figure_params("arc");
    bool has_end = false, has_caption = false;
    ck_assert_str_eq(figure_kinds()[0], "arc");
    for (size_t i = 0; names[i] != NULL; i++) {
        has_end |= strcmp(names[i], "end") == 0;
        has_caption |= strcmp(names[i], "caption") == 0;
    }
    ck_assert(has_end && has_caption);
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

static void reach_curve(struct extent *e, const double *from, const double *p, double r)
{
    for (int i = 0; i <= 8; i++) {
        double t = i / 8.0, u = 1.0 - t;
        double a = u * u * u, b = 3 * u * u * t, c = 3 * u * t * t, d = t * t * t;
        reach(e, a * from[0] + b * p[0] + c * p[2] + d * p[4],
              a * from[1] + b * p[1] + c * p[3] + d * p[5], r);
    }
}

static void reach_path(struct extent *e, const struct page_path *p)
{
    double r = p->stroke ? p->width / 2.0 : 0.0;
    const double *at = p->points, *last = p->points;
    for (size_t i = 0; i < p->n_ops; i++) {
        if (p->ops[i] == PATH_CURVE) {
            reach_curve(e, last, at, r);
            last = at + 4;
            at += 6;
        } else if (p->ops[i] != PATH_CLOSE) {
            reach(e, at[0], at[1], r);
            last = at;
            at += 2;
        }
    }
}

static struct extent drawn(void)
{
    struct extent e = {1e9, 1e9, -1e9, -1e9};
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_item *item = &sheet->items[i];
        if (item->kind == PAGE_PATH) {
            reach_path(&e, &item->u.path);
            continue;
        }
        ck_assert_int_eq(item->kind, PAGE_TEXT);
        const struct page_text *t = &item->u.text;
        struct label_size size = label_measure(t->text, t->len, t->size);
        ck_assert_int_eq(t->anchor, ANCHOR_MIDDLE);
        reach(&e, t->x - size.width / 2.0, t->y, 0.0);
        reach(&e, t->x + size.width / 2.0, t->y + 0.71 * t->size, 0.0);
    }
    return e;
}

static const char *side_word(const struct motion_row *row, bool left)
{
    return row->midline ? "midline" : left ? "left" : "right";
}

static const char *row_spec(const struct motion_row *row, bool left, const char *rest)
{
    static char spec[300];
    snprintf(spec, sizeof(spec), "joint=%s;motion=%s;side=%s;digit=%s;%s", row->joint, row->motion,
             side_word(row, left), row->digit == 5   ? "5"
                                   : row->digit == 4 ? "4"
                                                     : "2", rest);
    return spec;
}

/* All motions, both sides, smallest and largest sizes, from 40 short of zero to the largest angle
 * of any joint, alone and with every mark on. */
START_TEST(stays_in_the_box)
{
    size_t n = 0;
    const struct motion_row *row = &figure_rows(&n)[_i];
    static const double widths[] = {70.9, 170.1}; /* 25 and 60 mm */
    for (size_t w = 0; w < ARRAY_LEN(widths); w++) {
        for (int value = -40; value <= 210; value += 50) {
            char rest[200];
            bool all = value % 100 == 10 || value < 0;
            snprintf(rest, sizeof(rest),
                     all ? "end=%d;passive=%d;previous=%d;normal=180;start=-8;"
                           "value-label=lacks 40°;normal-label=normal 180;"
                           "caption=right, seen from the side"
                         : "end=%d;value-label=110°;normal=0;hyper-ok=10;normal-label=normal 0",
                     value, value + 8, value - 15);
            struct figure_param caption = {"caption", all ? "right, seen from the side" : ""};
            double height = figure_height("arc", &caption, 1, widths[w]);
            struct figure_box box = {100, 80, widths[w], height};
            sheet->n = 0;
            ck_assert_msg(draw_in(row_spec(row, value % 20 == 0, rest), box), "%s", why);
            struct extent e = drawn();
            ck_assert_msg(e.x0 >= box.x - 0.01 && e.y0 >= box.y - 0.01 &&
                              e.x1 <= box.x + box.width + 0.01 &&
                              e.y1 <= box.y + box.height + 0.01,
                          "%s %s at %d: %.1f %.1f %.1f %.1f in %.1f %.1f", row->joint, row->motion,
                          value, e.x0 - box.x, e.y0 - box.y, e.x1 - box.x, e.y1 - box.y, box.width,
                          box.height);
        }
    }
}
END_TEST

/* Left is right reflected in the middle of the box, item for item. */
START_TEST(left_mirrors_right)
{
    size_t n = 0;
    const struct motion_row *row = &figure_rows(&n)[_i];
    const char *rest = "end=35;start=5;passive=40;previous=20;normal=60;value-label=35°;"
                       "normal-label=normal 60;caption=seen from the side";
    if (row->midline) {
        return;
    }
    struct page *other = page_add(list, PAGE_SIDE, PAGE_SIDE);
    ck_assert_uint_eq(list->n, 2);
    sheet = &list->pages[0];
    ck_assert_msg(draw(row_spec(row, false, rest)), "%s", why);
    sheet = other;
    ck_assert_msg(draw(row_spec(row, true, rest)), "%s", why);
    const struct page *right = &list->pages[0];
    ck_assert_uint_eq(right->n, other->n);
    for (size_t i = 0; i < right->n; i++) {
        const struct page_item *a = &right->items[i], *b = &other->items[i];
        ck_assert_int_eq(a->kind, b->kind);
        if (a->kind == PAGE_TEXT) {
            ck_assert_double_eq_tol(a->u.text.x - 150.0, 150.0 - b->u.text.x, 1e-6);
            ck_assert_double_eq_tol(a->u.text.y, b->u.text.y, 1e-6);
            continue;
        }
        ck_assert_uint_eq(a->u.path.n_points, b->u.path.n_points);
        for (size_t k = 0; k < a->u.path.n_points; k += 2) {
            ck_assert_double_eq_tol(a->u.path.points[k] - 150.0, 150.0 - b->u.path.points[k], 1e-6);
            ck_assert_double_eq_tol(a->u.path.points[k + 1], b->u.path.points[k + 1], 1e-6);
        }
    }
}
END_TEST

static bool has_point(double x, double y)
{
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_path *p = &sheet->items[i].u.path;
        for (size_t k = 0; sheet->items[i].kind == PAGE_PATH && k < p->n_points; k += 2) {
            if (hypot(p->points[k] - x, p->points[k + 1] - y) < 1e-6) {
                return true;
            }
        }
    }
    return false;
}

/* Is there a mark at the end of a ray from the joint, at a page angle? The box is 100 pt, so a
 * drawing unit is a point. */
static bool has_tick(const struct motion_row *row, bool left, double angle, double beyond)
{
    struct point j = row->body->joint;
    struct point tip = pen_on_circle((struct point){left ? 100.0 - j.x : j.x, j.y},
                                     row->body->reach + beyond, angle);
    return has_point(100.0 + tip.x, 100.0 + tip.y);
}
static const double active_tick = 2.5, zero_tick = 3.0;

START_TEST(draws_the_end_where_the_table_says)
{
    size_t n = 0;
    const struct motion_row *row = &figure_rows(&n)[_i];
    static const struct {
        const char *rest;
        double value;
    } ends[] = {{"end=18", 18}, {"end=-12", -12}, {"end=0", 0}, {"end=7.5", 7.5}, {"end=-0", 0}};
    for (size_t k = 0; k < ARRAY_LEN(ends); k++) {
        for (int left = 0; left <= 1; left++) {
            sheet->n = 0;
            ck_assert_msg(draw(row_spec(row, left, ends[k].rest)), "%s", why);
            bool mirrored = left && !row->midline;
            ck_assert(has_tick(row, mirrored, figure_page_angle(row, left, ends[k].value),
                               active_tick));
            ck_assert(has_tick(row, mirrored, figure_page_angle(row, left, 0.0), zero_tick));
        }
    }
}
END_TEST

/* ---- lack and past --------------------------------------------------------------------------- */

/* Thin black arcs: the rungs of the open gap. */
static int count_rungs(void)
{
    int n = 0;
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_path *p = &sheet->items[i].u.path;
        n += sheet->items[i].kind == PAGE_PATH && p->stroke && !p->fill && p->dash_on == 0.0 &&
             p->n_ops == 2 && p->ops[1] == PATH_CURVE && p->stroke_colour.b == 0.0F;
    }
    return n;
}

/* Dark sectors that come to a point at the joint: the filled wedge. */
static int count_wedges(const struct motion_row *row)
{
    int n = 0;
    struct point j = row->body->joint;
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_path *p = &sheet->items[i].u.path;
        if (sheet->items[i].kind != PAGE_PATH || !p->fill || p->n_ops != 4 ||
            p->ops[2] != PATH_LINE || p->fill_colour.r > 0.5F) {
            continue;
        }
        n += fabs(p->points[8] - 100.0 - j.x) < 1e-6 && fabs(p->points[9] - 100.0 - j.y) < 1e-6;
    }
    return n;
}

static const struct {
    const char *joint, *motion, *rest;
    bool gap, wedge;
} shapes[] = {
    {"knee", "extension", "end=-10;normal=0", true, false},
    {"knee", "extension", "end=8;normal=0", false, true},
    {"knee", "extension", "end=0;normal=0", false, false},
    {"knee", "flexion", "start=10;end=110;normal=140", true, false},
    {"knee", "flexion", "start=-8;end=146;normal=140", false, true},
    {"knee", "flexion", "start=0;end=120;normal=140", false, false},
    {"knee", "flexion", "end=120;normal=140", false, false},
    {"wrist", "extension", "end=-20;normal=70", true, false},
    {"wrist", "extension", "end=60;normal=70", false, false}, /* past zero is its usual range */
    {"elbow", "extension", "passive=-10;normal=0", true, false},
};

START_TEST(tells_a_lack_from_past_straight)
{
    const struct motion_row *row = figure_row(shapes[_i].joint, shapes[_i].motion, 0);
    ck_assert_msg(draw(row_spec(row, false, shapes[_i].rest)), "%s", why);
    ck_assert_int_eq(count_rungs() > 0, shapes[_i].gap);
    ck_assert_int_eq(count_wedges(row), shapes[_i].wedge ? 1 : 0);
}
END_TEST

static int count_dark_fills(void)
{
    int n = 0;
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_path *p = &sheet->items[i].u.path;
        n += sheet->items[i].kind == PAGE_PATH && p->fill &&
             p->fill_colour.b > p->fill_colour.r + 0.1F; /* the accent */
    }
    return n;
}

START_TEST(without_an_active_angle_the_limb_is_only_an_outline)
{
    ck_assert(draw("joint=knee;motion=flexion;side=right;end=90"));
    ck_assert_int_gt(count_dark_fills(), 0);
    sheet->n = 0;
    ck_assert(draw("joint=knee;motion=flexion;side=right;passive=90"));
    ck_assert_int_eq(count_dark_fills(), 0);
}
END_TEST

static int count_dashed_curves(void)
{
    int n = 0;
    for (size_t i = 0; i < sheet->n; i++) {
        const struct page_path *p = &sheet->items[i].u.path;
        n += sheet->items[i].kind == PAGE_PATH && p->dash_on > 0.0 && p->ops[1] == PATH_CURVE;
    }
    return n;
}

START_TEST(an_estimate_is_dashed)
{
    ck_assert(draw("joint=knee;motion=flexion;side=right;end=90;estimated=no"));
    ck_assert_int_eq(count_dashed_curves(), 0);
    sheet->n = 0;
    ck_assert(draw("joint=knee;motion=flexion;side=right;end=90;estimated=yes"));
    ck_assert_int_eq(count_dashed_curves(), 1);
}
END_TEST

/* Marks that were not given are not drawn: what is missing is not zero. */
START_TEST(each_mark_needs_its_number)
{
    static const char *const marks[] = {"start=20", "passive=95", "previous=60", "normal=140",
                                        "value-label=90°", "caption=side"};
    for (size_t i = 0; i < ARRAY_LEN(marks); i++) {
        char spec[120];
        sheet->n = 0;
        ck_assert(draw("joint=knee;motion=flexion;side=right;end=90"));
        size_t bare = sheet->n;
        sheet->n = 0;
        snprintf(spec, sizeof(spec), "joint=knee;motion=flexion;side=right;end=90;%s", marks[i]);
        ck_assert(draw(spec));
        ck_assert_msg(sheet->n > bare, "%s draws nothing", marks[i]);
    }
}
END_TEST

static const struct page_text *find_text(const char *text)
{
    for (size_t i = 0; i < sheet->n; i++) {
        if (sheet->items[i].kind == PAGE_TEXT && strcmp(sheet->items[i].u.text.text, text) == 0) {
            return &sheet->items[i].u.text;
        }
    }
    return NULL;
}

START_TEST(the_value_is_large_and_the_normal_small)
{
    ck_assert(draw("joint=knee;motion=flexion;side=right;end=112;normal=140;value-label=112°;"
                   "normal-label=normal 140"));
    const struct page_text *value = find_text("112°"), *normal = find_text("normal 140");
    ck_assert(value != NULL && normal != NULL);
    ck_assert_int_eq(value->face, FIGURE_FACE_BOLD);
    ck_assert_int_eq(normal->face, FIGURE_FACE_REGULAR);
    ck_assert_double_gt(value->size, normal->size + 2.0);
    /* At the arc's end: nearer to it than to any other corner of the box. */
    const struct motion_row *row = figure_row("knee", "flexion", 0);
    struct point end = pen_on_circle(row->body->joint, row->body->reach,
                                     figure_page_angle(row, false, 112.0));
    ck_assert_double_lt(hypot(value->x - 100.0 - end.x, value->y - 100.0 - end.y), 25.0);
}
END_TEST

/* The open ring is a reading: no number stands on it, wherever the passive end comes to lie. */
START_TEST(the_value_keeps_off_the_passive_ring)
{
    static const int sizes[] = {75, 110, 160};
    for (int end = 20; end <= 140; end += 6) {
        char spec[200];
        int beyond = 2 + end % 4 * 4;
        snprintf(spec, sizeof(spec), "joint=%s;motion=flexion;side=%s;end=%d;passive=%d;"
                 "previous=%d;normal=150;value-label=%d\xC2\xB0;normal-label=normal 150",
                 end % 12 < 6 ? "knee" : "elbow", end % 24 < 12 ? "left" : "right", end,
                 end + beyond, end / 2, end);
        sheet->n = 0;
        int side = sizes[end / 6 % 3];
        ck_assert(draw_in(spec, (struct figure_box){0, 0, side, side}));
        const struct page_text *value = NULL;
        struct extent ring = {1e9, 1e9, -1e9, -1e9};
        for (size_t i = 0; i < sheet->n; i++) {
            const struct page_item *item = &sheet->items[i];
            if (item->kind == PAGE_TEXT && item->u.text.face == FIGURE_FACE_BOLD)
                value = &item->u.text;
            if (item->kind == PAGE_PATH && item->u.path.fill && item->u.path.stroke &&
                item->u.path.fill_colour.r >= 1 &&
                memcmp(&item->u.path.stroke_colour, &figure_accent, sizeof(figure_accent)) == 0)
                reach_path(&ring, &item->u.path);
        }
        ck_assert(value != NULL && ring.x0 < ring.x1);
        struct label_size size = label_measure(value->text, value->len, value->size);
        double half = size.width / 2;
        bool apart = value->x + half <= ring.x0 || value->x - half >= ring.x1 ||
                     value->y >= ring.y1 || value->y + 0.71 * value->size <= ring.y0;
        ck_assert_msg(apart, "%s: the number stands on the ring", spec);
    }
}
END_TEST

START_TEST(height_grows_with_the_caption)
{
    struct figure_param none = {"caption", ""}, one = {"caption", "left"};
    struct figure_param two = {"caption", "right, seen from behind, in sitting"};
    ck_assert_double_eq(figure_height("arc", &none, 1, 110.0), 110.0);
    ck_assert_double_eq(figure_height("arc", NULL, 0, 110.0), 110.0);
    ck_assert_double_eq(figure_height("arc", &one, 1, 110.0), 120.0);
    ck_assert_double_eq(figure_height("arc", &two, 1, 110.0), 130.0);
}
END_TEST

static Suite *figure_arc_suite(void)
{
    size_t rows = 0;
    figure_rows(&rows);
    Suite *s = suite_create("figure: arc");
    TCase *t = tcase_create("arc");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 60.0);
    tcase_add_loop_test(t, refuses_with_a_reason, 0, (int)ARRAY_LEN(refused));
    tcase_add_test(t, refuses_kind_and_size);
    tcase_add_test(t, lists_its_parameters);
    tcase_add_loop_test(t, stays_in_the_box, 0, (int)rows);
    tcase_add_loop_test(t, left_mirrors_right, 0, (int)rows);
    tcase_add_loop_test(t, draws_the_end_where_the_table_says, 0, (int)rows);
    tcase_add_loop_test(t, tells_a_lack_from_past_straight, 0, (int)ARRAY_LEN(shapes));
    tcase_add_test(t, without_an_active_angle_the_limb_is_only_an_outline);
    tcase_add_test(t, an_estimate_is_dashed);
    tcase_add_test(t, each_mark_needs_its_number);
    tcase_add_test(t, the_value_is_large_and_the_normal_small);
    tcase_add_test(t, the_value_keeps_off_the_passive_ring);
    tcase_add_test(t, height_grows_with_the_caption);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(figure_arc_suite)
