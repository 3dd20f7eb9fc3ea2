/*
 * Shared inside figure. Everything is laid out in units of one hundredth of the drawing square
 * (origin lower left, y up) for the right side, and mirrored by the pen for the left; only the
 * pen knows points and the page.
 */
#ifndef ENDFEEL_FIGURE_INT_H
#define ENDFEEL_FIGURE_INT_H

#include "figure/figure.h"

#define UNITS 100.0

/* Faces of the text: the indexes of enum face_id in font.h, which figure may not include. */
enum { FIGURE_FACE_REGULAR = 0, FIGURE_FACE_BOLD = 1 };

struct point {
    double x, y;
};

/* A limb: two circles and their outer tangents. Parts of one group melt into one outline. */
struct part {
    double x0, y0, r0, x1, y1, r1;
    int group;
    bool cut; /* flat at the second end: the limb goes on outside the picture */
};
struct parts {
    const struct part *at;
    size_t n;
};

/* One drawing of the body. The moving parts stand in a frame of their own: first number along the
 * segment from the joint, second at right angles to it, counter-clockwise. The tail hangs from
 * the moving segment at tail_at and keeps its page direction (a lower leg under a thigh). */
struct body {
    struct point joint;
    double reach; /* radius of the active arc */
    struct parts fixed, moving, tail;
    double tail_at, tail_angle;
};

struct motion_row {
    const char *joint, *motion;
    int digit;         /* 0: any or none */
    bool midline;      /* one figure, never mirrored */
    double zero;       /* page angle of 0 on the right side */
    int sign;          /* +1: opens counter-clockwise on the right side */
    const struct body *body;
};

const struct motion_row *figure_row(const char *joint, const char *motion, int digit);
const struct motion_row *figure_rows(size_t *n);
double figure_row_angle(const struct motion_row *row, double value); /* right side */
/* The page angle of a value on a side, -180 < angle <= 180. */
double figure_page_angle(const struct motion_row *row, bool left, double value);

/* ---- pen ----------------------------------------------------------------------------------- */

struct pen {
    struct page_list *list;
    struct page *page;
    double x, y, scale; /* page position of (0, 0) and points a unit */
    bool mirror;
};
struct ink {
    struct colour colour;
    double width;       /* pt */
    double dash;        /* pt; 0: solid */
};
struct point pen_turn(struct point origin, double angle, double along, double across);
struct part pen_turn_part(struct point origin, double angle, const struct part *p);
struct point pen_on_circle(struct point centre, double r, double angle);
void pen_line(const struct pen *pen, struct point a, struct point b, struct ink ink);
void pen_arc(const struct pen *pen, struct point centre, double r, double from, double to,
             struct ink ink);
/* A piece of a ring between two radii (a sector when r0 is 0), filled. */
void pen_ring(const struct pen *pen, struct point centre, double r0, double r1, double from,
              double to, struct colour fill);
void pen_disc(const struct pen *pen, struct point centre, double r, struct colour fill,
              const struct ink *edge);
/* Limbs as one silhouette a group: grown outline first, then the fill. */
void pen_limbs(const struct pen *pen, const struct part *parts, size_t n, struct colour edge,
               double grow, struct colour fill);
/* Text centred on a point of the drawing; size in points. */
void pen_text(const struct pen *pen, struct point centre, double size, int face,
              struct colour colour, const char *text);

/* ---- labels -------------------------------------------------------------------------------- */

/* What a label keeps clear of: circles in drawing units; weight says how much it matters. */
struct spot {
    double x, y, r, weight;
};
enum { SPOTS_MAX = 1400 };
struct spots {
    struct spot at[SPOTS_MAX];
    size_t n;
};
struct label_size {
    double width, height;
};
void spots_add(struct spots *s, double x, double y, double r, double weight);
void spots_add_part(struct spots *s, const struct part *p, double weight);
void spots_add_arc(struct spots *s, struct point c, double r, double from, double to,
                   double weight);
void spots_add_box(struct spots *s, struct point centre, struct label_size size, double weight);
/* Safe estimate of a text's size in points: no face of the program sets wider on average. */
struct label_size label_measure(const char *text, size_t len, double size);
/* The clearest place near the end of a ray, wholly inside the drawing square. */
struct point label_place(const struct spots *s, struct point centre, double reach, double angle,
                         struct label_size size);

/* ---- caption ------------------------------------------------------------------------------- */

double caption_height(const char *text, double width);
void caption_draw(const char *text, struct figure_box box, double height, struct page_list *list,
                  struct page *page);

/* ---- the arc figure ------------------------------------------------------------------------ */

struct arc_data {
    const struct motion_row *row;
    bool left;
    struct num start, end, passive, previous, normal, hyper_ok;
    bool estimated;
    const char *value_label, *normal_label, *caption;
};
bool arc_read(const struct figure_param *params, size_t n, struct arc_data *out, char *why,
              size_t why_size) MUST_CHECK;
double arc_height(const struct figure_param *params, size_t n, double width);
void arc_draw(const struct arc_data *a, struct figure_box box, struct page_list *list,
              struct page *page);

#endif
