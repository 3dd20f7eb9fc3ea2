/*
 * Where a label stands: the number belongs at the end of its arc, but never on the moving limb,
 * on a line or outside the picture. Candidates around the end of the ray are scored by what they
 * would cover and by how far they stray; the best wins, ties to the first.
 */
#include "figure/figure_int.h"

#include <assert.h>
#include <math.h>
#include <string.h>

void spots_add(struct spots *s, double x, double y, double r, double weight)
{
    assert(s->n < SPOTS_MAX);
    s->at[s->n++] = (struct spot){x, y, r, weight};
}

void spots_add_part(struct spots *s, const struct part *p, double weight)
{
    enum { STEPS = 6 };
    for (int i = 0; i <= STEPS; i++) {
        double t = (double)i / STEPS;
        spots_add(s, p->x0 + t * (p->x1 - p->x0), p->y0 + t * (p->y1 - p->y0),
                  p->r0 + t * (p->r1 - p->r0), weight);
    }
}

void spots_add_arc(struct spots *s, struct point c, double r, double from, double to,
                   double weight)
{
    enum { MOST = 80 };
    double sweep = to - from;
    int steps = (int)fmin(MOST, ceil(fabs(sweep) / 4.0));
    for (int i = 0; i <= steps; i++) {
        struct point p = pen_on_circle(c, r, from + (steps ? sweep * i / steps : 0.0));
        spots_add(s, p.x, p.y, 0.8, weight);
    }
}

void spots_add_box(struct spots *s, struct point centre, struct label_size size, double weight)
{
    enum { ACROSS = 12, UP = 4 };
    for (int i = 0; i <= ACROSS; i++) {
        for (int j = 0; j <= UP; j++) {
            spots_add(s, centre.x + size.width * ((double)i / ACROSS - 0.5),
                      centre.y + size.height * ((double)j / UP - 0.5), 0.8, weight);
        }
    }
}

/* A spot that a label at one height can touch: what does not depend on x is worked out once. */
struct near {
    double x, dy2, r2, weight;
};

struct search {
    const struct spot *spots; /* those that a label can touch */
    size_t n_spots;
    struct point centre, end; /* of the arc, and of the ray whose label this is */
    double reach;
    struct label_size size;
    struct point best;
    double best_score;
    struct near row[SPOTS_MAX]; /* in the order of the spots, so that sums come out the same */
    size_t n_row;
    double row_y;               /* the height that `row` is for; NAN: none yet */
    struct spot kept[SPOTS_MAX];
};

static const double clear = 1.0; /* room around a label */

/* fmax() is a call that the compiler may not put in place. */
static double larger(double a, double b)
{
    return a > b ? a : b;
}

static void ready_row(struct search *s, double y)
{
    double half_h = s->size.height / 2.0 + clear;
    if (s->row_y == y) {
        return;
    }
    s->row_y = y;
    s->n_row = 0;
    for (size_t i = 0; i < s->n_spots; i++) {
        const struct spot *k = &s->spots[i];
        double dy = larger(fabs(k->y - y) - half_h, 0.0);
        if (dy < k->r) {
            s->row[s->n_row++] = (struct near){k->x, dy * dy, k->r * k->r, k->weight};
        }
    }
}

/* Adds the weight of what a label there would cover; gives up once it is no longer the best. */
static double covered(const struct search *s, double x, double sum)
{
    double half_w = s->size.width / 2.0 + clear;
    for (size_t i = 0; i < s->n_row && sum < s->best_score; i++) {
        const struct near *k = &s->row[i];
        double dx = larger(fabs(k->x - x) - half_w, 0.0);
        if (dx * dx + k->dy2 < k->r2) {
            sum += k->weight;
        }
    }
    return sum;
}

static const double far = 60.0, per_off = 0.35; /* how far a label strays, and what a unit costs */

/* The square of how far off a label can be and still win; a little more, for rounding. */
static double reach2(const struct search *s)
{
    static const double margin = 1.001;
    double most = s->best_score / per_off * margin;
    return most < far ? most * most : far * far * margin;
}

static void consider(struct search *s, double x, double y)
{
    static const double per_inside = 0.1;
    /* From the end of the ray to the nearest point of the label. */
    double dx = larger(fabs(s->end.x - x) - s->size.width / 2.0, 0.0);
    double dy = larger(fabs(s->end.y - y) - s->size.height / 2.0, 0.0);
    if (dx * dx + dy * dy > reach2(s)) { /* no root needed */
        return;
    }
    double off = sqrt(dx * dx + dy * dy);
    /* A label belongs outside its arc: inside it costs more than a little way off. */
    double cx = x - s->centre.x, cy = y - s->centre.y;
    double inside = larger(s->reach - sqrt(cx * cx + cy * cy), 0.0);
    double score = per_off * off + per_inside * inside;
    if (off > far || score >= s->best_score) {
        return;
    }
    ready_row(s, y);
    score = covered(s, x, score);
    if (score < s->best_score) {
        s->best_score = score;
        s->best = (struct point){x, y};
    }
}

/* Leaves out what no label that can still win would touch; the others keep their order. */
static void keep_near(struct search *s)
{
    double reach = sqrt(reach2(s));
    double wide = reach + s->size.width + clear, high = reach + s->size.height + clear;
    size_t n = 0;
    for (size_t i = 0; i < s->n_spots; i++) {
        const struct spot *k = &s->spots[i];
        if (fabs(k->x - s->end.x) <= wide + k->r && fabs(k->y - s->end.y) <= high + k->r) {
            s->kept[n++] = *k;
        }
    }
    s->spots = s->kept;
    s->n_spots = n;
}

/* One height of a grid; most of a grid is too far off to be looked at place by place. */
static void consider_row(struct search *s, double y, double from, double to, double step)
{
    double dy = larger(fabs(s->end.y - y) - s->size.height / 2.0, 0.0);
    double left = reach2(s) - dy * dy;
    if (left < 0.0) {
        return;
    }
    double wide = sqrt(left) + s->size.width / 2.0 + step; /* a step more, for rounding */
    for (double x = from; x <= to && x - s->end.x <= wide; x += step) {
        if (s->end.x - x <= wide) {
            consider(s, x, y);
        }
    }
}

struct point label_place(const struct spots *spots, struct point centre, double reach,
                         double angle, struct label_size size)
{
    static const double edge = 0.5, step = 5.0, fine = 1.25, around = 3.75;
    struct search s; /* not cleared: its lists fill themselves */
    s.spots = spots->at;
    s.n_spots = spots->n;
    s.centre = centre;
    s.end = pen_on_circle(centre, reach, angle);
    s.reach = reach;
    s.size = size;
    s.best = (struct point){UNITS / 2.0, UNITS / 2.0};
    s.best_score = INFINITY;
    s.n_row = 0;
    s.row_y = NAN;
    double x0 = size.width / 2.0 + edge, y0 = size.height / 2.0 + edge;
    /* A good first guess lets most of the grid be passed over unexamined. */
    struct point out = pen_on_circle(s.end, size.height, angle);
    consider(&s, fmin(fmax(out.x, x0), UNITS - x0), fmin(fmax(out.y, y0), UNITS - y0));
    keep_near(&s);
    for (double y = y0; y <= UNITS - y0; y += step) {
        consider_row(&s, y, x0, UNITS - x0, step);
    }
    struct point near = s.best;
    for (double y = fmax(near.y - around, y0); y <= fmin(near.y + around, UNITS - y0); y += fine) {
        consider_row(&s, y, fmax(near.x - around, x0), fmin(near.x + around, UNITS - x0), fine);
    }
    return s.best;
}
