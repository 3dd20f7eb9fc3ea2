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

/* Levels of grey, 0 black; the accent keeps its darkness on a grey printer. */
#define GREY_BODY 0.91
#define GREY_EDGE 0.52
#define GREY_BAND 0.80
#define GREY_MARK 0.0 /* lines that carry meaning: a fax breaks grey ones up */
extern const struct colour figure_accent;

struct point {
    double x, y;
};

/* ---- parameters ---------------------------------------------------------------------------- */

/* What a template handed over, and where a refusal is explained. */
struct params {
    const struct figure_param *at;
    size_t n;
    char *why;
    size_t why_size;
};
const char *params_text(const struct params *p, const char *name); /* "" when not given */
/* The sign before decimals, which the engine hands to every kind; "." when not given. */
const char *params_decimal(const struct params *p);
/* A number as it stands in the data, or as number-text() writes it. */
bool params_parse(const struct params *p, const char *text, size_t len, double *value) MUST_CHECK;
bool params_refuse(const struct params *p, const char *name, const char *problem); /* false */
/* An empty parameter is not known; beyond `most` either way it is refused with `problem`. */
bool params_number(const struct params *p, const char *name, double most, const char *problem,
                   struct num *out) MUST_CHECK;
bool params_yes(const struct params *p, const char *name, bool *out) MUST_CHECK;
/* One of two words; *second tells which, the first when not given. */
bool params_choice(const struct params *p, const char *name, const char *one, const char *two,
                   bool *second) MUST_CHECK;

/* Lists parted by spaces. The next word, NULL at the end. */
const char *list_word(const char **at, size_t *len);
/* At most `max` numbers no larger than `most` either way. */
bool list_numbers(const struct params *p, const char *name, double most, double *out, size_t max,
                  size_t *n) MUST_CHECK;
struct list_code {
    char text[12];
};
bool list_codes(const struct params *p, const char *name, struct list_code *out,
                size_t n) MUST_CHECK; /* exactly n */

/* ---- kinds --------------------------------------------------------------------------------- */

struct figure_kind {
    const char *name;
    const char *const *params; /* NULL-ended */
    double least_width, least_height; /* pt; below them no number can be read */
    double (*height)(const struct params *p, double width);
    bool (*draw)(const struct params *p, struct figure_box box, struct page_list *list,
                 struct page *page);
};
extern const struct figure_kind figure_arc, figure_ruler, figure_arrow, figure_trend, figure_bars,
    figure_grades, figure_dots, figure_differences, figure_boxes;

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
    const char *decimal; /* the sign before decimals of a scale's numbers */
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
/* Limbs as one silhouette a group: grown outline first, then the fill if of another colour. */
void pen_limbs(const struct pen *pen, const struct part *parts, size_t n, struct colour edge,
               double grow, struct colour fill);
/* Text centred on a point of the drawing; size in points. */
void pen_text(const struct pen *pen, struct point centre, double size, int face,
              struct colour colour, const char *text);
/* For charts on a scale: drawing units are points, the origin is the box's lower left corner. */
struct pen pen_in_points(struct figure_box box, struct page_list *list, struct page *page);
void pen_rect(const struct pen *pen, struct point a, struct point b, struct colour fill);
void pen_frame(const struct pen *pen, struct point a, struct point b, struct ink ink);
/* The three corners of an arrow's head, filled; `angle` is where it points. */
void pen_head(const struct pen *pen, struct point tip, double angle, double size,
              struct colour fill);
/* Rungs between two heights: what is lacking, in every figure. */
void pen_rungs(const struct pen *pen, struct point a, struct point b);
/* Text centred on x but kept between two limits; smaller when it is wider than they are apart.
 * The baseline stands at y. */
void pen_write(const struct pen *pen, double x, double y, double size, int face, const char *text,
               double left, double right);

/* ---- scales -------------------------------------------------------------------------------- */

/* Values along one axis of a box. */
struct scale {
    double from, to;      /* values at the two ends */
    double start, length; /* pt; a negative length runs to page left */
    double step;          /* between ticks: 1, 2 or 5 times a power of ten */
};
/* A scale over at least low..high with whole steps at both ends, at most `ticks` steps. */
struct scale scale_over(double low, double high, int ticks);
double scale_at(const struct scale *s, double value);
void scale_take(double *low, double *high, struct num value); /* widens to hold a value */
/* A number as a reader writes it: a true minus sign, or the words for short of and past zero. */
enum { SCALE_TEXT_MAX = 80 };
char *scale_text(char out[SCALE_TEXT_MAX], double value, const char *decimal, const char *lacks,
                 const char *past);

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
/* Safe estimate of a text's size in points: no face of the program sets it wider. */
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
bool arc_read(const struct params *p, struct arc_data *out) MUST_CHECK;
void arc_draw(const struct arc_data *a, struct figure_box box, struct page_list *list,
              struct page *page);

#endif
