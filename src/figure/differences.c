/*
 * Differences: two raters against each other after Bland and Altman. Across: the mean of the two
 * readings of a subject; up: their difference. The mean difference is a solid line, the limits of
 * agreement are dashed ones, no difference is a dotted line; an upright bar at the right end of
 * each line is its 95% interval. Each point carries the number of its subject.
 */
#include "figure/figure_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { POINTS_MAX = 1000, MOST = 100000, LINES = 3 };
enum { LINE_BIAS, LINE_LOW, LINE_HIGH };

struct line {
    struct num value, low, high;
    const char *label;
};
struct differences {
    double means[POINTS_MAX], values[POINTS_MAX];
    struct list_code codes[POINTS_MAX];
    size_t n;
    struct line line[LINES];
    struct num reach; /* of the axis, both ways; shared by plots that stand side by side */
    const char *across, *up, *caption;
};

static const double small_size = 7.0, code_size = 5.5, radius = 4.2, head_row = 11.0;
static const double numbers_row = 11.0, label_room = 38.0;

static bool read_line(const struct params *p, const char *const names[4], struct line *line)
{
    static const char large[] = "too large to draw";
    line->label = params_text(p, names[3]);
    return params_number(p, names[0], MOST, large, &line->value) &&
           params_number(p, names[1], MOST, large, &line->low) &&
           params_number(p, names[2], MOST, large, &line->high);
}

static bool read(const struct params *p, struct differences *d)
{
    static const char *const lines[LINES][4] = {
        {"bias", "bias-low", "bias-high", "bias-label"},
        {"low", "low-low", "low-high", "low-label"},
        {"high", "high-low", "high-high", "high-label"}};
    size_t n = 0;
    *d = (struct differences){0};
    if (!list_numbers(p, "means", MOST, d->means, POINTS_MAX, &d->n) ||
        !list_numbers(p, "differences", MOST, d->values, POINTS_MAX, &n) ||
        !list_codes(p, "codes", d->codes, d->n) ||
        !params_number(p, "reach", MOST, "too large to draw", &d->reach))
        return false;
    if (n != d->n)
        return params_refuse(p, "differences", "not one for each mean");
    if (n == 0)
        return params_refuse(p, "means", "missing");
    for (int i = 0; i < LINES; i++)
        if (!read_line(p, lines[i], &d->line[i]))
            return false;
    d->across = params_text(p, "across-label");
    d->up = params_text(p, "up-label");
    d->caption = params_text(p, "caption");
    return true;
}

struct plot {
    const struct differences *d;
    struct pen pen;
    struct scale x, y;
    double left, right, bottom, top, width;
};

static void set_scales(struct plot *p)
{
    enum { TICKS_X = 4, TICKS_Y = 6 };
    const struct differences *d = p->d;
    double low = d->means[0], high = low, reach = d->reach.has ? fabs(d->reach.value) : 1.0;
    for (size_t i = 0; i < d->n; i++) {
        low = fmin(low, d->means[i]);
        high = fmax(high, d->means[i]);
        reach = fmax(reach, fabs(d->values[i]));
    }
    for (int i = 0; i < LINES; i++) {
        const struct line *l = &d->line[i];
        reach = fmax(reach, l->value.has ? fabs(l->value.value) : 0.0);
    }
    p->x = scale_over(low, high, TICKS_X);
    p->y = scale_over(-reach, reach, TICKS_Y);
    p->x.start = p->left + radius + 2.0;
    p->x.length = p->right - radius - 2.0 - p->x.start;
    p->y.start = p->bottom;
    p->y.length = p->top - p->bottom;
}

static void draw_axes(const struct plot *p)
{
    struct ink ink = {colour_grey(GREY_MARK), 0.4, 0.0};
    char text[SCALE_TEXT_MAX];
    pen_line(&p->pen, (struct point){p->left, p->bottom}, (struct point){p->left, p->top}, ink);
    pen_line(&p->pen, (struct point){p->left, p->bottom}, (struct point){p->right, p->bottom},
             ink);
    for (int i = 0; i <= (int)lround((p->y.to - p->y.from) / p->y.step); i++) {
        double value = p->y.from + i * p->y.step, y = scale_at(&p->y, value);
        bool zero = fabs(value) < p->y.step / 1000.0;
        pen_line(&p->pen, (struct point){p->left - 2.0, y}, (struct point){p->left, y}, ink);
        if (zero)
            pen_line(&p->pen, (struct point){p->left, y}, (struct point){p->right, y},
                     (struct ink){colour_grey(GREY_EDGE), 0.6, 1.0});
        scale_text(text, zero ? 0.0 : value, p->pen.decimal, "", zero ? "" : "+");
        char *space = strchr(text, ' '); /* "+ 5" as "+5" */
        if (space != NULL)
            memmove(space, space + 1, strlen(space));
        double width = label_measure(text, strlen(text), small_size).width;
        pen_write(&p->pen, p->left - 4.0 - width / 2.0, y - 0.36 * small_size, small_size,
                  FIGURE_FACE_REGULAR, text, 0.0, p->left - 3.0);
    }
    for (int i = 0; i <= (int)lround((p->x.to - p->x.from) / p->x.step); i++) {
        double value = p->x.from + i * p->x.step, x = scale_at(&p->x, value);
        pen_line(&p->pen, (struct point){x, p->bottom}, (struct point){x, p->bottom - 2.0}, ink);
        scale_text(text, fabs(value) < p->x.step / 1000.0 ? 0.0 : value, p->pen.decimal, "", "");
        pen_write(&p->pen, x, p->bottom - 3.0 - small_size, small_size, FIGURE_FACE_REGULAR, text,
                  0.0, p->width);
    }
}

static void draw_interval(const struct plot *p, const struct line *l, double x)
{
    struct ink ink = {colour_black, 0.7, 0.0};
    if (!l->low.has || !l->high.has)
        return;
    double low = scale_at(&p->y, fmax(l->low.value, p->y.from));
    double high = scale_at(&p->y, fmin(l->high.value, p->y.to));
    pen_line(&p->pen, (struct point){x, low}, (struct point){x, high}, ink);
    if (l->low.value >= p->y.from) /* without a foot it goes on outside the picture */
        pen_line(&p->pen, (struct point){x - 1.8, low}, (struct point){x + 1.8, low}, ink);
    if (l->high.value <= p->y.to)
        pen_line(&p->pen, (struct point){x - 1.8, high}, (struct point){x + 1.8, high}, ink);
}

static void draw_lines(const struct plot *p)
{
    static const double aside[LINES] = {4.0, 9.0, 14.0};
    for (int i = 0; i < LINES; i++) {
        const struct line *l = &p->d->line[i];
        if (!l->value.has)
            continue;
        double y = scale_at(&p->y, l->value.value);
        pen_line(&p->pen, (struct point){p->left, y}, (struct point){p->right, y},
                 (struct ink){colour_black, i == LINE_BIAS ? 1.1 : 0.8, i == LINE_BIAS ? 0 : 4.0});
        draw_interval(p, l, p->right + aside[i]);
    }
}

/* The numbers at the right, moved apart where two lines lie close; order: low, bias, high. */
static void label_lines(const struct plot *p)
{
    static const int order[LINES] = {LINE_LOW, LINE_BIAS, LINE_HIGH};
    static const double least_apart = 8.0;
    double y[LINES], last = p->bottom - least_apart;
    for (int i = 0; i < LINES; i++) {
        const struct line *l = &p->d->line[order[i]];
        y[i] = l->value.has ? fmax(scale_at(&p->y, l->value.value), last + least_apart) : last;
        last = y[i];
    }
    for (int i = 0; i < LINES; i++) {
        const struct line *l = &p->d->line[order[i]];
        double width = label_measure(l->label, strlen(l->label), small_size).width;
        if (l->value.has)
            pen_write(&p->pen, p->right + 18.0 + width / 2.0, y[i] - 0.36 * small_size, small_size,
                      order[i] == LINE_BIAS ? FIGURE_FACE_BOLD : FIGURE_FACE_REGULAR, l->label,
                      p->right + 17.0, p->width);
    }
}

static void draw_points(const struct plot *p)
{
    static const double per_character = 0.6;
    struct ink edge = {colour_black, 0.6, 0.0};
    for (size_t i = 0; i < p->d->n; i++) {
        const char *code = p->d->codes[i].text;
        struct point c = {scale_at(&p->x, p->d->means[i]), scale_at(&p->y, p->d->values[i])};
        double size = fmin(code_size, 1.7 * radius / (per_character * (double)strlen(code)));
        pen_disc(&p->pen, c, radius, colour_grey(1.0), &edge);
        pen_text(&p->pen, c, size, FIGURE_FACE_REGULAR, colour_black, code);
    }
}

static double area_height(double width)
{
    static const double share = 0.54, least = 80.0, most = 180.0;
    return fmin(fmax(width * share, least), most);
}

static double labels_height(const struct params *p)
{
    return params_text(p, "across-label")[0] != '\0' ? small_size + 3.0 : 0.0;
}

static double differences_height(const struct params *p, double width)
{
    return area_height(width) + head_row + numbers_row + labels_height(p) +
           caption_height(params_text(p, "caption"), width);
}

static bool differences_draw(const struct params *params, struct figure_box box,
                             struct page_list *list, struct page *page)
{
    static const double axis_room = 22.0;
    struct differences *d = mem_alloc(sizeof *d);
    struct plot p = {.d = d, .pen = pen_in_points(box, list, page), .width = box.width};
    p.pen.decimal = params_decimal(params);
    bool ok = read(params, d);
    if (ok) {
        double foot = caption_height(d->caption, box.width);
        p.left = axis_room;
        p.right = box.width - label_room;
        p.bottom = foot + labels_height(params) + numbers_row;
        p.top = box.height - head_row;
        set_scales(&p);
        draw_axes(&p);
        draw_lines(&p);
        draw_points(&p);
        label_lines(&p);
        pen_write(&p.pen, 0.0, box.height - small_size, small_size, FIGURE_FACE_REGULAR, d->up, 0.0,
                  box.width);
        pen_write(&p.pen, p.right, foot + 2.0, small_size, FIGURE_FACE_REGULAR, d->across, p.left,
                  p.right);
        caption_draw(d->caption, box, foot, list, page);
    }
    free(d);
    return ok;
}

static const char *const names[] = {
    "means",     "differences", "codes",     "bias",         "bias-low", "bias-high", "bias-label",
    "low",       "low-low",     "low-high",  "low-label",    "high",     "high-low",  "high-high",
    "high-label", "reach",      "across-label", "up-label", "caption",  NULL};
const struct figure_kind figure_differences = {"differences", names, 110.0, 90.0,
                                               differences_height, differences_draw};
