/*
 * The ruler figure, for motions measured in mm or cm: a bar along a scale, in the language of the
 * arcs. The light band is the normal range, the solid bar the active distance, the open ring the
 * passive one, the thin line the last visit. Where a smaller distance is better, the bar is a
 * ruled gap: what is left to go.
 */
#include "figure/figure_int.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct ruler {
    struct num end, passive, previous, normal;
    bool smaller_is_better, estimated, leftward;
    const char *value_label, *normal_label, *unit_label, *decimal, *caption;
};

/* Rows from the top, pt. */
static const double value_row = 15.0, bar_row = 13.0, scale_row = 13.0, normal_row = 10.0;
static const double bar_thick = 7.0, edge = 8.0, tick = 2.5;
static const double value_size = 11.0, small_size = 7.0;

static bool read_distance(const struct params *p, const char *name, struct num *out)
{
    static const double longest = 2000.0; /* beyond any mm or cm of a body */
    return params_number(p, name, longest, "not a distance on a body", out) &&
           (!out->has || out->value >= 0.0 || params_refuse(p, name, "below zero"));
}

static bool read(const struct params *p, struct ruler *r)
{
    *r = (struct ruler){0};
    if (!read_distance(p, "end", &r->end) || !read_distance(p, "passive", &r->passive) ||
        !read_distance(p, "previous", &r->previous) || !read_distance(p, "normal", &r->normal) ||
        !params_choice(p, "better", "higher", "lower", &r->smaller_is_better) ||
        !params_choice(p, "toward", "right", "left", &r->leftward) ||
        !params_yes(p, "estimated", &r->estimated)) {
        return false;
    }
    if (!r->end.has && !r->passive.has) {
        return params_refuse(p, "end", "missing, and no passive distance either");
    }
    r->value_label = params_text(p, "value-label");
    r->normal_label = params_text(p, "normal-label");
    r->unit_label = params_text(p, "unit-label");
    r->decimal = params_decimal(p);
    r->caption = params_text(p, "caption");
    return true;
}

static double ruler_height(const struct params *p, double width)
{
    double normal = params_text(p, "normal-label")[0] != '\0' ? normal_row : 0.0;
    return value_row + bar_row + scale_row + normal +
           caption_height(params_text(p, "caption"), width);
}

static struct scale scale_of(const struct ruler *r, double width)
{
    static const double apart = 24.0; /* between ticks, so that their numbers stay apart */
    double low = 0.0, high = 0.0;
    scale_take(&low, &high, r->end);
    scale_take(&low, &high, r->passive);
    scale_take(&low, &high, r->previous);
    scale_take(&low, &high, r->normal);
    struct scale s = scale_over(low, fmax(high, 1.0), (int)fmax(width / apart, 2.0));
    s.length = width - 2.0 * edge;
    s.start = edge;
    if (r->leftward) {
        s.start = edge + s.length;
        s.length = -s.length;
    }
    return s;
}

static void draw_scale(const struct pen *pen, const struct scale *s, double y, double width,
                       const char *unit)
{
    struct ink ink = {colour_grey(GREY_MARK), 0.5, 0.0};
    char text[SCALE_TEXT_MAX];
    pen_line(pen, (struct point){scale_at(s, s->from), y}, (struct point){scale_at(s, s->to), y},
             ink);
    int n = (int)lround((s->to - s->from) / s->step);
    for (int i = 0; i <= n; i++) {
        double value = s->from + i * s->step, x = scale_at(s, value);
        pen_line(pen, (struct point){x, y}, (struct point){x, y - tick}, ink);
        scale_text(text, value, pen->decimal, "", "");
        /* The last number carries the unit when there is room. */
        size_t len = strlen(text);
        if (i == n && unit[0] != '\0') {
            snprintf(text + len, sizeof(text) - len, " %s", unit);
        }
        pen_write(pen, x, y - tick - small_size, small_size, FIGURE_FACE_REGULAR, text, 0.0,
                  width);
    }
}

static void draw_bar(const struct pen *pen, const struct ruler *r, const struct scale *s,
                     double middle)
{
    struct point from = {scale_at(s, 0.0), middle - bar_thick / 2.0};
    struct point to = {scale_at(s, r->end.value), middle + bar_thick / 2.0};
    if (!r->end.has) {
        return;
    }
    if (r->smaller_is_better) {
        pen_rungs(pen, from, to);
    } else if (r->estimated) {
        pen_frame(pen, from, to, (struct ink){figure_accent, 0.8, 2.0});
    } else {
        pen_rect(pen, from, to, figure_accent);
    }
}

static void draw_marks(const struct pen *pen, const struct ruler *r, const struct scale *s,
                       double middle)
{
    static const double ring = 2.6, overhang = 2.0;
    double top = middle + bar_row / 2.0, bottom = middle - bar_row / 2.0;
    double zero = scale_at(s, 0.0);
    if (r->previous.has) {
        double x = scale_at(s, r->previous.value);
        pen_line(pen, (struct point){x, bottom}, (struct point){x, top + overhang},
                 (struct ink){colour_grey(1.0), 1.6, 0.0});
        pen_line(pen, (struct point){x, bottom}, (struct point){x, top + overhang},
                 (struct ink){colour_grey(GREY_MARK), 0.6, 0.0});
    }
    pen_line(pen, (struct point){zero, bottom - overhang}, (struct point){zero, top + overhang},
             (struct ink){colour_black, 0.6, 2.0});
    if (r->passive.has) {
        struct ink ink = {figure_accent, 1.0, 0.0};
        pen_disc(pen, (struct point){scale_at(s, r->passive.value), middle}, ring,
                 colour_grey(1.0), &ink);
    }
}

static void draw(const struct ruler *r, struct figure_box box, struct page_list *list,
                 struct page *page)
{
    struct pen pen = pen_in_points(box, list, page);
    pen.decimal = r->decimal;
    struct scale s = scale_of(r, box.width);
    double foot = caption_height(r->caption, box.width);
    double middle = box.height - value_row - bar_row / 2.0;
    double axis = middle - bar_row / 2.0 - 1.0;
    if (r->normal.has) {
        double x = scale_at(&s, r->normal.value);
        struct point top = {x, middle + bar_row / 2.0};
        pen_rect(&pen, (struct point){scale_at(&s, 0.0), middle - bar_row / 2.0}, top,
                 colour_grey(GREY_BAND));
        pen_line(&pen, (struct point){x, axis}, top,
                 (struct ink){colour_grey(GREY_MARK), 0.5, 0.0});
        pen_write(&pen, x, foot + 2.0, small_size, FIGURE_FACE_REGULAR, r->normal_label, 0.0,
                  box.width);
    }
    draw_bar(&pen, r, &s, middle);
    draw_marks(&pen, r, &s, middle);
    draw_scale(&pen, &s, axis, box.width, r->unit_label);
    double value = r->end.has ? r->end.value : r->passive.value;
    pen_write(&pen, scale_at(&s, value), box.height - value_row + 5.0, value_size,
              FIGURE_FACE_BOLD, r->value_label, 0.0, box.width);
    caption_draw(r->caption, box, foot, list, page);
}

static bool read_and_draw(const struct params *p, struct figure_box box, struct page_list *list,
                          struct page *page)
{
    struct ruler r;
    if (!read(p, &r)) {
        return false;
    }
    draw(&r, box, list, page);
    return true;
}

static const char *const names[] = {"end",         "passive",      "previous",   "normal",
                                    "better",      "toward",       "estimated",  "value-label",
                                    "normal-label", "unit-label",  "caption",    NULL};
const struct figure_kind figure_ruler = {"ruler", names, 60.0, 41.0, ruler_height, read_and_draw};
