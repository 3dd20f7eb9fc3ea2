/*
 * The shoulder blade, which is graded and not measured: seen from behind, with an arrow the way it
 * is asked to move and the grade beside it. Right is drawn; left is its mirror image.
 */
#include "figure/figure_int.h"

#include <string.h>

/* Where the arrow runs: straight from one point to another, or along an arc about a centre. */
struct path_of {
    const char *motion;
    bool turns;
    struct point from, to; /* to: the centre when it turns */
    double start, end;     /* page angles of the arc */
    struct point grade;    /* where the grade stands */
};
static const struct path_of paths[] = {
    {"elevation", false, {72, 52}, {72, 84}, 0, 0, {86, 80}},
    {"depression", false, {72, 58}, {72, 26}, 0, 0, {86, 28}},
    {"adduction", false, {82, 44}, {52, 44}, 0, 0, {86, 26}},
    {"abduction-upward-rotation", true, {0, 0}, {58, 60}, -100, 10, {88, 40}},
    {"adduction-downward-rotation", true, {0, 0}, {58, 60}, 10, -100, {88, 40}},
};

static const struct part trunk[] = {
    {50, 89, 9, 50, 87, 9, 0, false},      /* head */
    {50, 80, 5, 50, 70, 6, 0, false},      /* neck */
    {27, 66, 7, 73, 66, 7, 0, false},      /* shoulders */
    {50, 74, 6, 30, 67, 6.5, 0, false},
    {50, 74, 6, 70, 67, 6.5, 0, false},
    {36, 60, 10, 40, 4, 8, 0, true},       /* sides */
    {64, 60, 10, 60, 4, 8, 0, true},
    {50, 60, 12, 50, 4, 12, 0, true},
    {24, 65, 6.5, 19, 12, 5, 1, true},     /* arms */
    {76, 65, 6.5, 81, 12, 5, 2, true},
};
static const struct part blade[] = {
    {58, 60, 2.6, 61, 38, 2.4, 0, false},  /* inner border */
    {58, 60, 2.6, 75, 65, 3, 0, false},    /* spine of the blade */
    {74, 64, 2.6, 61, 38, 2.4, 0, false},  /* outer border */
    {63, 57, 5.5, 62, 46, 3, 0, false},
    {67, 60, 3.8, 63, 48, 3, 0, false},
};

struct arrow {
    const struct path_of *path;
    bool left;
    const char *grade, *caption;
};

static bool read(const struct params *p, struct arrow *a)
{
    const char *motion = params_text(p, "motion"), *side = params_text(p, "side");
    *a = (struct arrow){.grade = params_text(p, "grade"), .caption = params_text(p, "caption")};
    for (size_t i = 0; i < ARRAY_LEN(paths); i++) {
        if (str_eq(paths[i].motion, motion)) {
            a->path = &paths[i];
        }
    }
    if (a->path == NULL) {
        return params_refuse(p, "motion", motion[0] == '\0' ? "missing"
                                                            : "no arrow for this motion");
    }
    if (!str_eq(side, "right") && !str_eq(side, "left")) {
        return params_refuse(p, "side", side[0] == '\0' ? "missing" : "not right or left");
    }
    if (a->grade[0] == '\0') {
        return params_refuse(p, "grade", "missing");
    }
    a->left = str_eq(side, "left");
    return true;
}

static double arrow_height(const struct params *p, double width)
{
    return width + caption_height(params_text(p, "caption"), width);
}

/* A white edge keeps the arrow apart from what it crosses. */
static void draw_arrow(const struct pen *pen, const struct path_of *a)
{
    static const double radius = 24.0, head = 9.0, thick = 2.6, halo = 4.4;
    const struct colour inks[] = {colour_grey(1.0), colour_black};
    for (size_t i = 0; i < ARRAY_LEN(inks); i++) {
        struct ink ink = {inks[i], (i == 0 ? halo : thick) * pen->scale, 0.0};
        double size = i == 0 ? head + 2.0 : head;
        if (a->turns) {
            double turn = a->end > a->start ? 1.0 : -1.0;
            struct point tip = pen_on_circle(a->to, radius, a->end);
            pen_arc(pen, a->to, radius, a->start, a->end - turn * head * 1.6, ink);
            pen_head(pen, tip, a->end + turn * 80.0, size, inks[i]);
        } else {
            struct point gap = {a->to.x - a->from.x, a->to.y - a->from.y};
            double angle = gap.x < 0.0 ? 180.0 : gap.y > 0.0 ? 90.0 : 270.0;
            pen_line(pen, a->from, pen_turn(a->to, angle, 1.0 - head, 0.0), ink);
            pen_head(pen, a->to, angle, size, inks[i]);
        }
    }
}

static void draw(const struct arrow *a, struct figure_box box, struct page_list *list,
                 struct page *page)
{
    static const double grade_share = 0.13, smallest = 9.0, largest = 14.0;
    double foot = caption_height(a->caption, box.width);
    double side = box.width < box.height - foot ? box.width : box.height - foot;
    struct pen pen = {list, page, box.x + (box.width - side) / 2.0, box.y + foot, side / UNITS,
                      a->left, "."};
    double size = side * grade_share;
    size = size < smallest ? smallest : size > largest ? largest : size;
    pen_limbs(&pen, trunk, ARRAY_LEN(trunk), colour_grey(GREY_EDGE), 0.6, colour_grey(GREY_BODY));
    pen_line(&pen, (struct point){50, 76}, (struct point){50, 6},
             (struct ink){colour_grey(GREY_MARK), 0.5, 2.0 * pen.scale});
    pen_limbs(&pen, blade, ARRAY_LEN(blade), colour_grey(1.0), 0.6, figure_accent);
    draw_arrow(&pen, a->path);
    /* Long grades move in from the edge. */
    double half = label_measure(a->grade, strlen(a->grade), size).width / pen.scale / 2.0;
    struct point at = a->path->grade;
    at.x = at.x + half > UNITS ? UNITS - half : at.x;
    pen_text(&pen, at, size, FIGURE_FACE_BOLD, colour_black, a->grade);
    caption_draw(a->caption, box, foot, list, page);
}

static bool read_and_draw(const struct params *p, struct figure_box box, struct page_list *list,
                          struct page *page)
{
    struct arrow a;
    if (!read(p, &a)) {
        return false;
    }
    draw(&a, box, list, page);
    return true;
}

static const char *const names[] = {"motion", "side", "grade", "caption", NULL};
const struct figure_kind figure_arrow = {"arrow", names, 36.0, 36.0, arrow_height, read_and_draw};
