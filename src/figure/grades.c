/*
 * The grade strip: the manual grades 0 to 5 as a line with thirds, the grade of today as a filled
 * disc under its name, the last visit as a thin line, the first as an open ring. A light band
 * starts at the grade from which the limb moves against gravity.
 */
#include "figure/figure_int.h"

#include <string.h>

struct strip {
    struct num score, previous, first;
    const char *label, *mark_label, *caption;
};

static const double label_row = 13.0, line_row = 11.0, scale_row = 10.0, mark_row = 10.0;
static const double edge = 8.0, label_size = 11.0, small_size = 7.0;
static const double highest = 5.0, against_gravity = 3.0;

static bool read_score(const struct params *p, const char *name, struct num *out)
{
    return params_number(p, name, highest, "not a grade from 0 to 5", out) &&
           (!out->has || out->value >= 0.0 || params_refuse(p, name, "not a grade from 0 to 5"));
}

static bool read(const struct params *p, struct strip *s)
{
    *s = (struct strip){0};
    if (!read_score(p, "score", &s->score) || !read_score(p, "previous", &s->previous) ||
        !read_score(p, "first", &s->first)) {
        return false;
    }
    if (!s->score.has) {
        return params_refuse(p, "score", "missing");
    }
    s->label = params_text(p, "label");
    s->mark_label = params_text(p, "mark-label");
    s->caption = params_text(p, "caption");
    return true;
}

static double strip_height(const struct params *p, double width)
{
    double mark = params_text(p, "mark-label")[0] != '\0' ? mark_row : 0.0;
    return label_row + line_row + scale_row + mark +
           caption_height(params_text(p, "caption"), width);
}

static void draw_line(const struct pen *pen, const struct scale *s, double y, double width)
{
    enum { THIRDS = 3 };
    struct ink ink = {colour_grey(GREY_MARK), 0.6, 0.0};
    char text[SCALE_TEXT_MAX];
    pen_line(pen, (struct point){scale_at(s, 0.0), y}, (struct point){scale_at(s, highest), y},
             ink);
    for (int i = 0; i <= (int)highest * THIRDS; i++) {
        double x = scale_at(s, (double)i / THIRDS);
        bool whole = i % THIRDS == 0;
        double half = whole ? 3.0 : 1.5;
        pen_line(pen, (struct point){x, y - half}, (struct point){x, y + half}, ink);
        if (whole) {
            scale_text(text, (double)i / THIRDS, pen->decimal, "", "");
            pen_write(pen, x, y - line_row / 2.0 - small_size, small_size, FIGURE_FACE_REGULAR,
                      text, 0.0, width);
        }
    }
}

static void draw(const struct strip *g, struct figure_box box, struct page_list *list,
                 struct page *page)
{
    static const double disc = 3.6, ring = 3.0;
    struct pen pen = pen_in_points(box, list, page);
    struct scale s = {0.0, highest, edge, box.width - 2.0 * edge, 1.0};
    double foot = caption_height(g->caption, box.width);
    double y = box.height - label_row - line_row / 2.0;
    pen_rect(&pen, (struct point){scale_at(&s, against_gravity), y - line_row / 2.0},
             (struct point){scale_at(&s, highest), y + line_row / 2.0}, colour_grey(GREY_BODY));
    draw_line(&pen, &s, y, box.width);
    if (g->first.has) {
        struct ink ink = {figure_accent, 0.9, 0.0};
        pen_disc(&pen, (struct point){scale_at(&s, g->first.value), y}, ring, colour_grey(1.0),
                 &ink);
    }
    if (g->previous.has) {
        double x = scale_at(&s, g->previous.value);
        pen_line(&pen, (struct point){x, y - line_row / 2.0}, (struct point){x, y + line_row / 2.0},
                 (struct ink){colour_black, 0.8, 0.0});
    }
    double x = scale_at(&s, g->score.value);
    pen_disc(&pen, (struct point){x, y}, disc + 0.8, colour_grey(1.0), NULL);
    pen_disc(&pen, (struct point){x, y}, disc, figure_accent, NULL);
    pen_write(&pen, x, box.height - label_row + 3.5, label_size, FIGURE_FACE_BOLD, g->label, 0.0,
              box.width);
    pen_write(&pen, scale_at(&s, (against_gravity + highest) / 2.0), foot + 2.0, small_size,
              FIGURE_FACE_REGULAR, g->mark_label, 0.0, box.width);
    caption_draw(g->caption, box, foot, list, page);
}

static bool read_and_draw(const struct params *p, struct figure_box box, struct page_list *list,
                          struct page *page)
{
    struct strip s;
    if (!read(p, &s)) {
        return false;
    }
    draw(&s, box, list, page);
    return true;
}

static const char *const names[] = {"score",      "previous", "first", "label",
                                    "mark-label", "caption",  NULL};
const struct figure_kind figure_grades = {"grades", names, 60.0, 34.0, strip_height,
                                          read_and_draw};
