/*
 * Dots: what several raters read of one subject, each as a circle with the rater's code on a scale
 * that is shared by all rows of a sheet. Readings that would cover one another are stacked. What
 * they are held against is an upright line (solid: a person's reading, dashed: a mean) in a light
 * band of tolerance; a circle outside the band is filled, so that it is seen without any colour.
 */
#include "figure/figure_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DOTS_MAX = 64, DOTS_MOST = 100000 };

struct dot {
    double value;
    struct list_code code;
    bool off;
    int lane;
};
struct dots {
    struct dot dot[DOTS_MAX];
    size_t n;
    int lanes;
    struct num mark, tolerance, least, most, step; /* step: the least between two ticks */
    bool mean, strict, axis;
};

static const double head = 4.5; /* over the line of the mark, so that no dot hides it */
static const double radius = 5.0, lane_height = 10.6, apart = 10.8, rim = 3.0, axis_row = 13.0;
static const double code_size = 6.5, small_size = 7.0, edge = 9.0;

static int by_value(const void *a, const void *b)
{
    const struct dot *p = a, *q = b;
    if (p->value != q->value)
        return (p->value > q->value) - (p->value < q->value);
    return strcmp(p->code.text, q->code.text);
}

static bool is_off(const struct dots *d, double value)
{
    static const double hair = 1e-6;
    if (!d->mark.has || !d->tolerance.has)
        return false;
    double apart_by = fabs(value - d->mark.value);
    return d->strict ? apart_by >= d->tolerance.value - hair
                     : apart_by > d->tolerance.value + hair;
}

static bool read_ends(const struct params *p, struct dots *d)
{
    static const char large[] = "too large to draw";
    if (!params_number(p, "mark", DOTS_MOST, large, &d->mark) ||
        !params_number(p, "tolerance", DOTS_MOST, large, &d->tolerance) ||
        !params_number(p, "least", DOTS_MOST, large, &d->least) ||
        !params_number(p, "most", DOTS_MOST, large, &d->most) ||
        !params_number(p, "step", DOTS_MOST, large, &d->step) ||
        !params_choice(p, "mark-is", "reading", "mean", &d->mean) ||
        !params_choice(p, "off-is", "more", "at-least", &d->strict) ||
        !params_yes(p, "axis", &d->axis))
        return false;
    if (!d->least.has || !d->most.has)
        return params_refuse(p, "least", "missing, or most is");
    return true;
}

static bool read(const struct params *p, struct dots *d)
{
    double values[DOTS_MAX];
    struct list_code codes[DOTS_MAX];
    *d = (struct dots){0};
    if (!read_ends(p, d) || !list_numbers(p, "values", DOTS_MOST, values, DOTS_MAX, &d->n) ||
        !list_codes(p, "codes", codes, d->n))
        return false;
    if (d->n == 0 && !d->mark.has)
        return params_refuse(p, "values", "missing, and no mark either");
    for (size_t i = 0; i < d->n; i++) {
        if (values[i] < d->least.value || values[i] > d->most.value)
            return params_refuse(p, "values", "outside least and most");
        d->dot[i] = (struct dot){values[i], codes[i], is_off(d, values[i]), 0};
    }
    if (d->mark.has && (d->mark.value < d->least.value || d->mark.value > d->most.value))
        return params_refuse(p, "mark", "outside least and most");
    qsort(d->dot, d->n, sizeof d->dot[0], by_value);
    return true;
}

static struct scale scale_of(const struct dots *d, double width)
{
    static const double tick_apart = 36.0;
    double ticks = fmax(width / tick_apart, 2.0), low = d->least.value, high = d->most.value;
    if (d->step.has && d->step.value > 0.0) {
        low = floor(low / d->step.value) * d->step.value;
        high = fmax(ceil(high / d->step.value) * d->step.value, low + d->step.value);
        ticks = fmin(ticks, fmax(round((high - low) / d->step.value), 1.0));
    }
    struct scale s = scale_over(low, high, (int)ticks);
    s.start = edge;
    s.length = width - 2.0 * edge;
    return s;
}

/* Each dot in the lowest lane that is free at its place. */
static void stack(struct dots *d, double width)
{
    double free_from[DOTS_MAX];
    struct scale s = scale_of(d, width);
    d->lanes = 0;
    for (size_t i = 0; i < d->n; i++) {
        double x = scale_at(&s, d->dot[i].value);
        int lane = 0;
        while (lane < d->lanes && free_from[lane] > x)
            lane++;
        if (lane == d->lanes)
            d->lanes++;
        free_from[lane] = x + apart;
        d->dot[i].lane = lane;
    }
    d->lanes = d->lanes > 0 ? d->lanes : 1;
}

static double height_of(const struct dots *d)
{
    return d->lanes * lane_height + 2.0 * rim + (d->mark.has ? head : 0.0) +
           (d->axis ? axis_row : 0.0);
}

static double dots_height(const struct params *p, double width)
{
    char why[80];
    struct params quiet = {p->at, p->n, why, sizeof why};
    struct dots d;
    if (!read(&quiet, &d)) /* drawing will say what is wrong */
        return lane_height;
    stack(&d, width);
    return height_of(&d);
}

static void draw_axis(const struct pen *pen, const struct scale *s, double foot, double top,
                      bool numbers, double width)
{
    struct ink thin = {colour_grey(GREY_BODY - 0.06), 0.4, 0.0};
    struct ink line = {colour_grey(numbers ? GREY_MARK : GREY_BAND), 0.4, 0.0};
    int steps = (int)lround((s->to - s->from) / s->step);
    char text[SCALE_TEXT_MAX];
    pen_line(pen, (struct point){scale_at(s, s->from), foot},
             (struct point){scale_at(s, s->to), foot}, line);
    for (int i = 0; i <= steps; i++) {
        double value = s->from + i * s->step, x = scale_at(s, value);
        pen_line(pen, (struct point){x, foot}, (struct point){x, top}, thin);
        if (!numbers)
            continue;
        pen_line(pen, (struct point){x, foot}, (struct point){x, foot - 2.5}, line);
        scale_text(text, fabs(value) < s->step / 1000.0 ? 0.0 : value, pen->decimal, "", "");
        pen_write(pen, x, foot - 3.5 - small_size, small_size, FIGURE_FACE_REGULAR, text, 0.0,
                  width);
    }
}

static void draw_mark(const struct pen *pen, const struct dots *d, const struct scale *s,
                      double foot, double top)
{
    if (!d->mark.has)
        return;
    double x = scale_at(s, d->mark.value);
    pen_line(pen, (struct point){x, foot}, (struct point){x, top},
             (struct ink){colour_black, 1.3, d->mean ? 2.6 : 0.0});
    pen_head(pen, (struct point){x, top - head - 0.5}, -90.0, head, colour_black);
}

static void draw_band(const struct pen *pen, const struct dots *d, const struct scale *s,
                      double foot, double top)
{
    if (!d->mark.has || !d->tolerance.has)
        return;
    double low = fmax(d->mark.value - d->tolerance.value, s->from);
    double high = fmin(d->mark.value + d->tolerance.value, s->to);
    pen_rect(pen, (struct point){scale_at(s, low), foot}, (struct point){scale_at(s, high), top},
             colour_grey(GREY_BODY));
}

static void draw_dot(const struct pen *pen, const struct dot *d, const struct scale *s, double foot)
{
    static const double per_character = 0.6;
    struct point c = {scale_at(s, d->value), foot + rim + (d->lane + 0.5) * lane_height};
    struct ink edge_ink = {colour_black, 0.7, 0.0};
    double size = fmin(code_size,
                       1.7 * radius / (per_character * (double)strlen(d->code.text)));
    pen_disc(pen, c, radius, d->off ? figure_accent : colour_grey(1.0), &edge_ink);
    pen_text(pen, c, size, FIGURE_FACE_BOLD, colour_grey(d->off ? 1.0 : 0.0), d->code.text);
}

static bool dots_draw(const struct params *p, struct figure_box box, struct page_list *list,
                      struct page *page)
{
    struct dots d;
    if (!read(p, &d))
        return false;
    stack(&d, box.width);
    struct pen pen = pen_in_points(box, list, page);
    pen.decimal = params_decimal(p);
    struct scale s = scale_of(&d, box.width);
    double foot = d.axis ? axis_row : 0.0, top = height_of(&d);
    draw_band(&pen, &d, &s, foot, top);
    draw_axis(&pen, &s, foot, top, d.axis, box.width);
    draw_mark(&pen, &d, &s, foot, top);
    for (size_t i = 0; i < d.n; i++)
        draw_dot(&pen, &d.dot[i], &s, foot);
    return true;
}

static const char *const names[] = {"values",  "codes",   "mark",   "mark-is", "tolerance",
                                    "off-is",  "least",   "most",   "step",   "axis",    NULL};
const struct figure_kind figure_dots = {"dots", names, 100.0, 8.0, dots_height, dots_draw};
