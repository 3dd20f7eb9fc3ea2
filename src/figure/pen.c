/* The pen: drawing units to points on the page, the mirror, and limbs made of circles and their
 * tangents. */
#include "figure/figure_int.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

static double rad(double deg)
{
    return deg * pi / 180.0;
}

struct point pen_on_circle(struct point centre, double r, double angle)
{
    return (struct point){centre.x + r * cos(rad(angle)), centre.y + r * sin(rad(angle))};
}

struct point pen_turn(struct point origin, double angle, double along, double across)
{
    double c = cos(rad(angle)), s = sin(rad(angle));
    return (struct point){origin.x + along * c - across * s, origin.y + along * s + across * c};
}

struct part pen_turn_part(struct point origin, double angle, const struct part *p)
{
    struct point a = pen_turn(origin, angle, p->x0, p->y0);
    struct point b = pen_turn(origin, angle, p->x1, p->y1);
    return (struct part){a.x, a.y, p->r0, b.x, b.y, p->r1, p->group, p->cut};
}

static struct point on_page(const struct pen *pen, struct point p)
{
    double x = pen->mirror ? UNITS - p.x : p.x;
    return (struct point){pen->x + pen->scale * x, pen->y + pen->scale * p.y};
}

static void style_stroke(struct page_path *p, struct ink ink)
{
    p->stroke = true;
    p->width = ink.width;
    p->stroke_colour = ink.colour;
    p->dash_on = p->dash_off = ink.dash;
}

/* An arc of the drawing becomes an arc of the page; the mirror turns its sense round. */
static void add_arc(const struct pen *pen, struct page_path *path, struct point centre, double r,
                    double from, double to, bool join)
{
    /* A hair short of a full quarter, so that rounding never makes one side a piece longer. */
    static const double hair = 1.0 - 1e-9;
    struct point c = on_page(pen, centre);
    to = from + (to - from) * hair;
    if (pen->mirror) {
        from = 180.0 - from;
        to = 180.0 - to;
    }
    page_path_arc(pen->list, path, c.x, c.y, r * pen->scale, from, to, join);
}

void pen_line(const struct pen *pen, struct point a, struct point b, struct ink ink)
{
    struct point p = on_page(pen, a), q = on_page(pen, b);
    struct page_path *path = page_path_begin(pen->list, pen->page);
    page_path_move(pen->list, path, p.x, p.y);
    page_path_line(pen->list, path, q.x, q.y);
    style_stroke(path, ink);
}

void pen_arc(const struct pen *pen, struct point centre, double r, double from, double to,
             struct ink ink)
{
    if (from == to) {
        return;
    }
    struct page_path *path = page_path_begin(pen->list, pen->page);
    add_arc(pen, path, centre, r, from, to, false);
    style_stroke(path, ink);
}

void pen_ring(const struct pen *pen, struct point centre, double r0, double r1, double from,
              double to, struct colour fill)
{
    if (from == to) {
        return;
    }
    struct page_path *path = page_path_begin(pen->list, pen->page);
    add_arc(pen, path, centre, r1, from, to, false);
    if (r0 > 0.0) {
        add_arc(pen, path, centre, r0, to, from, true);
    } else {
        struct point c = on_page(pen, centre);
        page_path_line(pen->list, path, c.x, c.y);
    }
    page_path_close(pen->list, path);
    path->fill = true;
    path->fill_colour = fill;
}

void pen_disc(const struct pen *pen, struct point centre, double r, struct colour fill,
              const struct ink *edge)
{
    struct page_path *path = page_path_begin(pen->list, pen->page);
    add_arc(pen, path, centre, r, 0.0, 360.0, false);
    page_path_close(pen->list, path);
    path->fill = true;
    path->fill_colour = fill;
    if (edge != NULL) {
        style_stroke(path, *edge);
    }
}

static void add_limb(const struct pen *pen, const struct part *p, double grow, struct colour fill)
{
    struct point a = {p->x0, p->y0}, b = {p->x1, p->y1};
    double r0 = p->r0 + grow, r1 = p->r1 + grow;
    double dx = b.x - a.x, dy = b.y - a.y, d = hypot(dx, dy);
    if (d <= fabs(r0 - r1)) { /* one circle swallows the other */
        pen_disc(pen, r0 > r1 ? a : b, fmax(r0, r1), fill, NULL);
        return;
    }
    double axis = atan2(dy, dx) * 180.0 / pi;
    double open = acos((r0 - r1) / d) * 180.0 / pi;
    struct page_path *path = page_path_begin(pen->list, pen->page);
    add_arc(pen, path, a, r0, axis + open, axis + 360.0 - open, false);
    if (p->cut) {
        struct point q = on_page(pen, pen_on_circle(b, r1, axis - open));
        page_path_line(pen->list, path, q.x, q.y);
        q = on_page(pen, pen_on_circle(b, r1, axis + open));
        page_path_line(pen->list, path, q.x, q.y);
    } else {
        add_arc(pen, path, b, r1, axis - open, axis + open, true);
    }
    page_path_close(pen->list, path);
    path->fill = true;
    path->fill_colour = fill;
}

void pen_limbs(const struct pen *pen, const struct part *parts, size_t n, struct colour edge,
               double grow, struct colour fill)
{
    /* In the colour of its edge a limb is all edge: nothing is to be seen of what is inside. */
    bool same = edge.r == fill.r && edge.g == fill.g && edge.b == fill.b;
    for (size_t i = 0; i < n;) {
        size_t end = i;
        while (end < n && parts[end].group == parts[i].group) {
            add_limb(pen, &parts[end++], grow, edge);
        }
        for (; i < end && !same; i++) {
            add_limb(pen, &parts[i], 0.0, fill);
        }
        i = end;
    }
}

void pen_text(const struct pen *pen, struct point centre, double size, int face,
              struct colour colour, const char *text)
{
    /* Figures and capitals stand about 0.71 em high: half of it below the middle. */
    static const double half_cap = 0.355;
    struct point p = on_page(pen, centre);
    struct page_text *t = page_add_text(pen->list, pen->page, p.x, p.y - half_cap * size, face,
                                        size, text, strlen(text));
    t->anchor = ANCHOR_MIDDLE;
    t->colour = colour;
}

/* ---- charts on a scale --------------------------------------------------------------------- */

struct pen pen_in_points(struct figure_box box, struct page_list *list, struct page *page)
{
    return (struct pen){list, page, box.x, box.y, 1.0, false, "."};
}

static struct page_path *corners(const struct pen *pen, const struct point *at, size_t n)
{
    struct page_path *path = page_path_begin(pen->list, pen->page);
    for (size_t i = 0; i < n; i++) {
        struct point p = on_page(pen, at[i]);
        if (i == 0) {
            page_path_move(pen->list, path, p.x, p.y);
        } else {
            page_path_line(pen->list, path, p.x, p.y);
        }
    }
    page_path_close(pen->list, path);
    return path;
}

void pen_rect(const struct pen *pen, struct point a, struct point b, struct colour fill)
{
    struct page_path *path = corners(pen, (struct point[]){a, {b.x, a.y}, b, {a.x, b.y}}, 4);
    path->fill = true;
    path->fill_colour = fill;
}

void pen_frame(const struct pen *pen, struct point a, struct point b, struct ink ink)
{
    style_stroke(corners(pen, (struct point[]){a, {b.x, a.y}, b, {a.x, b.y}}, 4), ink);
}

void pen_head(const struct pen *pen, struct point tip, double angle, double size,
              struct colour fill)
{
    static const double slim = 0.62; /* half width by length */
    struct point left = pen_turn(tip, angle, -size, size * slim);
    struct point right = pen_turn(tip, angle, -size, -size * slim);
    struct page_path *path = corners(pen, (struct point[]){tip, left, right}, 3);
    path->fill = true;
    path->fill_colour = fill;
}

void pen_rungs(const struct pen *pen, struct point a, struct point b)
{
    static const double apart = 1.6, thin = 0.4;
    struct ink ink = {colour_black, thin, 0.0};
    double low = fmin(a.y, b.y), high = fmax(a.y, b.y);
    if (a.x == b.x) {
        return;
    }
    for (double y = low + apart / 2.0; y < high; y += apart) {
        pen_line(pen, (struct point){a.x, y}, (struct point){b.x, y}, ink);
    }
    pen_line(pen, (struct point){b.x, low}, (struct point){b.x, high},
             (struct ink){colour_black, 2.0 * thin, 0.0});
}

void pen_write(const struct pen *pen, double x, double y, double size, int face, const char *text,
               double left, double right)
{
    double width = label_measure(text, strlen(text), size).width;
    if (text[0] == '\0') {
        return;
    }
    if (width > right - left) {
        size *= (right - left) / width;
        width = right - left;
    }
    x = fmin(fmax(x, left + width / 2.0), right - width / 2.0);
    struct point p = on_page(pen, (struct point){x, y});
    struct page_text *t = page_add_text(pen->list, pen->page, p.x, p.y, face, size, text,
                                        strlen(text));
    t->anchor = ANCHOR_MIDDLE;
    t->colour = colour_black;
}
