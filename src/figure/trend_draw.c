/* The trend on paper: axes, lines, bands, points, and labels where they cover least. */
#include "figure/trend_int.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double small_size = 7.0, value_size = 8.0, last_size = 10.0;
static const double small_disc = 2.2, last_disc = 3.2;
static const double side_room = 12.0; /* before the first and after the last day */

struct rect {
    double x0, y0, x1, y1;
};
enum { TAKEN_MAX = 10 * TREND_POINTS_MAX + 2 * TREND_LINES };
struct plot {
    const struct trend *t;
    struct pen pen;
    double left, right, bottom, top; /* of the area of the points */
    double width, height, foot;      /* of the box */
    struct scale x, y;
    struct rect taken[TAKEN_MAX];
    size_t n_taken;
};

static struct point at(const struct plot *p, const struct trend_point *point)
{
    return (struct point){scale_at(&p->x, (double)point->day), scale_at(&p->y, point->value)};
}

/* ---- scales -------------------------------------------------------------------------------- */

static void set_scales(struct plot *p)
{
    enum { TICKS = 5 };
    static const double label_share = 0.06; /* room for numbers over and under */
    const struct trend *t = p->t;
    double low = t->points[0].value, high = low;
    for (size_t i = 0; i < t->n; i++) {
        low = fmin(low, t->points[i].value - t->points[i].error);
        high = fmax(high, t->points[i].value + t->points[i].error);
    }
    for (int i = 0; i < TREND_LINES; i++) {
        scale_take(&low, &high, t->lines[i].value);
    }
    double room = (high - low) * label_share;
    low -= room;
    high += room;
    p->y = scale_over(low, high, TICKS);
    double first = (double)t->points[0].day, last = (double)t->points[t->n - 1].day;
    if (t->has_due) {
        last = fmax(last, (double)t->due);
    }
    p->x = (struct scale){first, last > first ? last : first + 1.0, 0.0, 0.0, 1.0};
}

static int steps_of(const struct scale *s)
{
    return (int)lround((s->to - s->from) / s->step);
}

static double axis_width(const struct plot *p)
{
    char text[SCALE_TEXT_MAX];
    double most = 0.0;
    for (int i = 0; i <= steps_of(&p->y); i++) {
        scale_text(text, p->y.from + i * p->y.step, p->t->decimal, p->t->lacks, p->t->past);
        most = fmax(most, label_measure(text, strlen(text), small_size).width);
    }
    return most;
}

static void place(struct plot *p, struct figure_box box)
{
    static const double gap = 5.0, days_row = 10.0, head_room = 9.0, widest_share = 0.3;
    p->foot = caption_height(p->t->caption, box.width);
    p->width = box.width;
    p->height = box.height;
    p->left = fmin(axis_width(p) + gap, box.width * widest_share);
    p->right = box.width - 1.0;
    p->bottom = p->foot + days_row + (p->t->days_label[0] != '\0' ? days_row : 0.0) + 2.0;
    p->top = box.height - head_room;
    p->y.start = p->bottom + 2.0;
    p->y.length = p->top - p->y.start;
    p->x.start = p->left + side_room;
    p->x.length = p->right - side_room - p->x.start;
}

/* ---- axes ---------------------------------------------------------------------------------- */

static void draw_values_axis(const struct plot *p)
{
    struct ink ink = {colour_grey(GREY_MARK), 0.5, 0.0};
    char text[SCALE_TEXT_MAX];
    pen_line(&p->pen, (struct point){p->left, p->bottom}, (struct point){p->left, p->top}, ink);
    for (int i = 0; i <= steps_of(&p->y); i++) {
        double value = p->y.from + i * p->y.step, y = scale_at(&p->y, value);
        bool zero = fabs(value) < p->y.step / 1000.0;
        pen_line(&p->pen, (struct point){p->left - 2.0, y}, (struct point){p->left, y}, ink);
        if (zero && p->y.from < 0.0) { /* zero parts what is lacking from what is past it */
            pen_line(&p->pen, (struct point){p->left, y}, (struct point){p->right, y},
                     (struct ink){colour_black, 0.5, 2.0});
        }
        scale_text(text, zero ? 0.0 : value, p->t->decimal, p->t->lacks, p->t->past);
        double width = label_measure(text, strlen(text), small_size).width;
        pen_write(&p->pen, p->left - 4.0 - width / 2.0, y - 0.36 * small_size, small_size,
                  FIGURE_FACE_REGULAR, text, 0.0, p->left - 3.0);
    }
}

/* Days since the first point; a number that would run into the next is left out, the last never. */
static void draw_days_axis(const struct plot *p)
{
    static const double apart = 4.0;
    const struct trend *t = p->t;
    struct ink ink = {colour_grey(GREY_MARK), 0.5, 0.0};
    char text[SCALE_TEXT_MAX];
    double free_to = p->right + side_room;
    pen_line(&p->pen, (struct point){p->left, p->bottom}, (struct point){p->right, p->bottom},
             ink);
    for (size_t i = t->n; i-- > 0;) {
        double x = at(p, &t->points[i]).x;
        pen_line(&p->pen, (struct point){x, p->bottom}, (struct point){x, p->bottom - 2.0}, ink);
        snprintf(text, sizeof(text), "%ld", t->points[i].day - t->points[0].day);
        double half = label_measure(text, strlen(text), small_size).width / 2.0;
        if (x + half > free_to) {
            continue;
        }
        free_to = x - half - apart;
        pen_write(&p->pen, x, p->bottom - 9.0, small_size, FIGURE_FACE_REGULAR, text, p->left,
                  p->width);
    }
    pen_write(&p->pen, p->width, p->foot + 2.0, small_size, FIGURE_FACE_REGULAR, t->days_label,
              p->left, p->width);
}

/* ---- labels -------------------------------------------------------------------------------- */

static void take(struct plot *p, struct rect r)
{
    if (p->n_taken < TAKEN_MAX) {
        p->taken[p->n_taken++] = r;
    }
}

static double covered(const struct plot *p, struct rect r)
{
    double sum = 0.0;
    for (size_t i = 0; i < p->n_taken; i++) {
        const struct rect *k = &p->taken[i];
        double w = fmin(r.x1, k->x1) - fmax(r.x0, k->x0);
        double h = fmin(r.y1, k->y1) - fmax(r.y0, k->y0);
        sum += w > 0.0 && h > 0.0 ? w * h : 0.0;
    }
    return sum;
}

/* Writes at the first of some places that covers least; `left_out` when none is free enough. */
static void write_at(struct plot *p, const char *text, double size, int face,
                     const struct point *places, size_t n, bool may_be_left_out)
{
    struct label_size s = label_measure(text, strlen(text), size);
    double best = INFINITY;
    struct rect chosen = {0};
    for (size_t i = 0; i < n; i++) {
        double x = fmin(fmax(places[i].x, p->left + 2.0 + s.width / 2.0),
                        p->width - s.width / 2.0);
        double y = fmin(fmax(places[i].y, p->bottom + 1.0), p->height - s.height);
        struct rect r = {x - s.width / 2.0, y, x + s.width / 2.0, y + s.height};
        double over = covered(p, r);
        if (over < best) {
            best = over;
            chosen = r;
        }
    }
    if (text[0] == '\0' || (may_be_left_out && best > s.width * s.height / 4.0)) {
        return;
    }
    pen_write(&p->pen, (chosen.x0 + chosen.x1) / 2.0, chosen.y0, size, face, text, p->left + 2.0,
              p->width);
    take(p, chosen);
}

/* ---- lines and points ---------------------------------------------------------------------- */

static void draw_lines(struct plot *p)
{
    static const struct {
        double width, dash;
    } looks[] = {
        [TREND_GOAL] = {0.9, 4.0}, [TREND_LIMIT] = {1.1, 0.0}, [TREND_NORMAL] = {0.6, 1.2}};
    for (int i = 0; i < TREND_LINES; i++) {
        const struct trend_line *line = &p->t->lines[i];
        if (!line->value.has) {
            continue;
        }
        double y = scale_at(&p->y, line->value.value);
        pen_line(&p->pen, (struct point){p->left, y}, (struct point){p->right, y},
                 (struct ink){colour_black, looks[i].width, looks[i].dash});
        take(p, (struct rect){p->left, y - 1.0, p->right, y + 1.0});
    }
    if (p->t->has_due && p->t->lines[TREND_GOAL].value.has) {
        double x = scale_at(&p->x, (double)p->t->due);
        double y = scale_at(&p->y, p->t->lines[TREND_GOAL].value.value);
        pen_line(&p->pen, (struct point){x, y - 4.0}, (struct point){x, y + 4.0},
                 (struct ink){colour_black, 1.2, 0.0});
    }
}

static void draw_bands(struct plot *p)
{
    static const double half = 4.0;
    struct ink end = {colour_grey(GREY_EDGE), 0.6, 0.0};
    for (size_t i = 0; i < p->t->n; i++) {
        const struct trend_point *point = &p->t->points[i];
        double x = at(p, point).x;
        double low = scale_at(&p->y, point->value - point->error);
        double high = scale_at(&p->y, point->value + point->error);
        if (high > low) {
            pen_rect(&p->pen, (struct point){x - half, low}, (struct point){x + half, high},
                     colour_grey(GREY_BAND));
            pen_line(&p->pen, (struct point){x - half, low}, (struct point){x + half, low}, end);
            pen_line(&p->pen, (struct point){x - half, high}, (struct point){x + half, high}, end);
        }
        double y = at(p, point).y;
        take(p, (struct rect){x - half, fmin(low, y - last_disc), x + half,
                              fmax(high, y + last_disc)});
    }
}

/* Labels keep off the line between two points; a few of its places stand for it. */
static void take_line(struct plot *p, struct point a, struct point b)
{
    enum { PLACES = 8 };
    static const double half = 1.0;
    for (int i = 1; i < PLACES; i++) {
        double x = a.x + (b.x - a.x) * i / PLACES, y = a.y + (b.y - a.y) * i / PLACES;
        take(p, (struct rect){x - half, y - half, x + half, y + half});
    }
}

static void draw_points(struct plot *p)
{
    const struct trend *t = p->t;
    for (size_t i = 1; i < t->n; i++) {
        struct point a = at(p, &t->points[i - 1]), b = at(p, &t->points[i]);
        pen_line(&p->pen, a, b, (struct ink){figure_accent, 1.0, 0.0});
        take_line(p, a, b);
    }
    for (size_t i = 0; i < t->n; i++) {
        double r = i + 1 == t->n ? last_disc : small_disc;
        pen_disc(&p->pen, at(p, &t->points[i]), r + 0.7, colour_grey(1.0), NULL);
        pen_disc(&p->pen, at(p, &t->points[i]), r, figure_accent, NULL);
    }
}

static void label_point(struct plot *p, size_t i)
{
    static const double off = 5.0;
    const struct trend_point *point = &p->t->points[i];
    bool last = i + 1 == p->t->n;
    double size = last ? last_size : value_size;
    char text[SCALE_TEXT_MAX];
    scale_text(text, point->value, p->t->decimal, p->t->lacks, p->t->past);
    struct label_size s = label_measure(text, strlen(text), size);
    struct point c = at(p, point);
    double disc = last ? last_disc : small_disc;
    double low = fmin(scale_at(&p->y, point->value - point->error), c.y - disc) - s.height - 1.5;
    double high = fmax(scale_at(&p->y, point->value + point->error), c.y + disc) + 1.5;
    double aside = s.width / 2.0 + off, middle = c.y - s.height / 2.0;
    const struct point places[] = {{c.x, high},          {c.x, low},          {c.x - aside, middle},
                                   {c.x + aside, middle}, {c.x - aside, high}, {c.x - aside, low}};
    write_at(p, text, size, last ? FIGURE_FACE_BOLD : FIGURE_FACE_REGULAR, places,
             ARRAY_LEN(places), !last);
}

static void label_line(struct plot *p, const struct trend_line *line)
{
    struct label_size s = label_measure(line->label, strlen(line->label), small_size);
    if (!line->value.has) {
        return;
    }
    double y = scale_at(&p->y, line->value.value), above = y + 2.0, below = y - s.height - 1.5;
    double left = p->left + 3.0 + s.width / 2.0, right = p->right - s.width / 2.0;
    double middle = (p->left + p->right) / 2.0;
    const struct point places[] = {{left, above},   {right, above},  {left, below},
                                   {right, below},  {middle, above}, {middle, below}};
    write_at(p, line->label, small_size, FIGURE_FACE_REGULAR, places, ARRAY_LEN(places), false);
}

void trend_draw(const struct trend *t, struct figure_box box, struct page_list *list,
                struct page *page)
{
    struct plot p = {.t = t, .pen = pen_in_points(box, list, page)};
    p.pen.decimal = t->decimal;
    set_scales(&p);
    place(&p, box);
    draw_values_axis(&p);
    draw_days_axis(&p);
    draw_bands(&p);
    draw_lines(&p);
    draw_points(&p);
    label_point(&p, t->n - 1);
    for (int i = 0; i < TREND_LINES; i++) {
        label_line(&p, &t->lines[i]);
    }
    for (size_t i = 0; i + 1 < t->n; i++) {
        label_point(&p, i);
    }
    caption_draw(t->caption, box, p.foot, list, page);
}
