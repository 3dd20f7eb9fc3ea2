/*
 * Two bars, right over left, on one scale: what a side reaches is solid, what it lacks is ruled
 * and runs to the other side of the dashed zero line. The light band is the normal range, thin
 * lines are the last visit.
 */
#include "figure/figure_int.h"

#include <math.h>
#include <string.h>

struct bar {
    struct num value, previous;
    const char *name, *label;
};
struct bars {
    struct bar bar[2];
    struct num normal, hyper_ok;
    const char *normal_label, *caption;
};

static const double bar_row = 15.0, bar_thick = 9.0, normal_row = 11.0, rim = 2.0, gap = 4.0;
static const double label_size = 10.0, name_size = 8.0, small_size = 7.0;

static bool read_value(const struct params *p, const char *name, struct num *out)
{
    static const double most = 100000.0; /* newtons too; the limit only keeps the drawing sane */
    return params_number(p, name, most, "too large to draw", out);
}

static bool read(const struct params *p, struct bars *b)
{
    *b = (struct bars){0};
    if (!read_value(p, "right", &b->bar[0].value) || !read_value(p, "left", &b->bar[1].value) ||
        !read_value(p, "right-previous", &b->bar[0].previous) ||
        !read_value(p, "left-previous", &b->bar[1].previous) ||
        !read_value(p, "normal", &b->normal) || !read_value(p, "hyper-ok", &b->hyper_ok)) {
        return false;
    }
    if (!b->bar[0].value.has && !b->bar[1].value.has) {
        return params_refuse(p, "right", "missing, and no left one either");
    }
    b->bar[0].name = params_text(p, "right-name");
    b->bar[1].name = params_text(p, "left-name");
    b->bar[0].label = params_text(p, "right-label");
    b->bar[1].label = params_text(p, "left-label");
    b->normal_label = params_text(p, "normal-label");
    b->caption = params_text(p, "caption");
    return true;
}

static double bars_height(const struct params *p, double width)
{
    double normal = params_text(p, "normal-label")[0] != '\0' ? normal_row : 0.0;
    return 2.0 * bar_row + 2.0 * rim + normal + caption_height(params_text(p, "caption"), width);
}

static double widest(const struct bars *b, bool names, double size)
{
    double most = 0.0;
    for (size_t i = 0; i < ARRAY_LEN(b->bar); i++) {
        const char *text = names ? b->bar[i].name : b->bar[i].label;
        most = fmax(most, label_measure(text, strlen(text), size).width);
    }
    return most;
}

/* From the names at the left to the labels at the right. */
static struct scale scale_of(const struct bars *b, double width)
{
    static const double least_share = 0.35; /* of the width, whatever the labels take */
    double low = 0.0, high = 0.0;
    for (size_t i = 0; i < ARRAY_LEN(b->bar); i++) {
        scale_take(&low, &high, b->bar[i].value);
        scale_take(&low, &high, b->bar[i].previous);
    }
    scale_take(&low, &high, b->normal);
    scale_take(&low, &high, b->hyper_ok);
    if (!(high > low)) {
        high = low + 1.0;
    }
    double most = width * (1.0 - least_share) / 2.0;
    double start = fmin(widest(b, true, name_size) + gap, most);
    double end = width - fmin(widest(b, false, label_size) + gap, most);
    return (struct scale){low, high, start, end - start, 1.0};
}

static void draw_band(const struct pen *pen, const struct bars *b, const struct scale *s,
                      double top, double bottom, double width)
{
    if (!b->normal.has) {
        return;
    }
    double x = scale_at(s, b->normal.value);
    bool straight = b->normal.value == 0.0 && b->hyper_ok.has;
    pen_rect(pen, (struct point){scale_at(s, 0.0), bottom},
             (struct point){straight ? scale_at(s, b->hyper_ok.value) : x, top},
             colour_grey(GREY_BAND));
    pen_line(pen, (struct point){x, bottom - gap}, (struct point){x, top},
             (struct ink){colour_grey(GREY_MARK), 0.6, 0.0});
    pen_write(pen, x, bottom - gap - small_size + 1.0, small_size, FIGURE_FACE_REGULAR,
              b->normal_label, 0.0, width);
}

static void draw_bar(const struct pen *pen, const struct bar *bar, const struct scale *s,
                     double middle, double width)
{
    double low = middle - bar_thick / 2.0, high = middle + bar_thick / 2.0;
    double zero = scale_at(s, 0.0), x = scale_at(s, bar->value.has ? bar->value.value : 0.0);
    if (!bar->value.has) {
        return;
    }
    pen_write(pen, 0.0, middle - 0.36 * name_size, name_size, FIGURE_FACE_REGULAR, bar->name, 0.0,
              s->start - gap / 2.0);
    if (bar->value.value < 0.0) {
        pen_rungs(pen, (struct point){zero, low}, (struct point){x, high});
    } else if (x > zero) {
        pen_rect(pen, (struct point){zero, low}, (struct point){x, high}, figure_accent);
    }
    if (bar->previous.has) {
        double at = scale_at(s, bar->previous.value);
        struct point a = {at, middle - bar_row / 2.0 + 1.0}, b = {at, middle + bar_row / 2.0 - 1.0};
        pen_line(pen, a, b, (struct ink){colour_grey(1.0), 1.8, 0.0});
        pen_line(pen, a, b, (struct ink){colour_grey(GREY_MARK), 0.8, 0.0});
    }
    double right = s->start + s->length; /* labels stand clear of the band, in a column */
    double label = label_measure(bar->label, strlen(bar->label), label_size).width;
    pen_write(pen, right + gap + label / 2.0, middle - 0.36 * label_size, label_size,
              FIGURE_FACE_BOLD, bar->label, right + gap, width);
}

static void draw(const struct bars *b, struct figure_box box, struct page_list *list,
                 struct page *page)
{
    struct pen pen = pen_in_points(box, list, page);
    struct scale s = scale_of(b, box.width);
    double top = box.height - rim, bottom = top - 2.0 * bar_row;
    double zero = scale_at(&s, 0.0), over = rim / 2.0;
    draw_band(&pen, b, &s, top, bottom, box.width);
    for (size_t i = 0; i < ARRAY_LEN(b->bar); i++) {
        draw_bar(&pen, &b->bar[i], &s, top - bar_row * ((double)i + 0.5), box.width);
    }
    pen_line(&pen, (struct point){zero, bottom - over}, (struct point){zero, top + over},
             (struct ink){colour_black, 0.6, 2.0});
    caption_draw(b->caption, box, caption_height(b->caption, box.width), list, page);
}

static bool read_and_draw(const struct params *p, struct figure_box box, struct page_list *list,
                          struct page *page)
{
    struct bars b;
    if (!read(p, &b)) {
        return false;
    }
    draw(&b, box, list, page);
    return true;
}

static const char *const names[] = {
    "right",      "left",       "right-previous", "left-previous", "right-name", "left-name",
    "right-label", "left-label", "normal",        "hyper-ok",      "normal-label", "caption", NULL};
const struct figure_kind figure_bars = {"bars", names, 90.0, 34.0, bars_height, read_and_draw};
