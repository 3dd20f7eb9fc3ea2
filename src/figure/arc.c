/*
 * The arc figure. From the joint outwards: the body in light grey, the normal range as a light
 * band, the last visit as a thin line, the moving segment dark at the active end, the active
 * range as a solid edge, the passive end as an open tick beyond.
 *
 * Zero not reached and zero passed must not be taken for each other: what is lacking is an open,
 * ruled gap between the limb and the dashed line; what goes past is a filled wedge on the far
 * side of it. Everything is told by shape; colour repeats it.
 */
#include "figure/figure_int.h"

#include <assert.h>
#include <math.h>
#include <string.h>

enum { PARTS_MAX = 32, ARC_STEPS = 90 };

/* Radii as shares of the reach. */
static const double band_in = 0.76, band_out = 0.90;

/* Everything in drawing units after fitting, right side. */
struct scene {
    const struct arc_data *data;
    struct point joint;
    double reach, limb; /* limb: page angle of the moving segment */
    struct part fixed[PARTS_MAX], moving[PARTS_MAX];
    size_t n_fixed, n_moving;
    double gap_to, past_to; /* angles from zero; equal to zero when there is none */
    double from, to;        /* the active arc */
};

static double angle_of(const struct scene *s, double value)
{
    return figure_row_angle(s->data->row, value);
}

static bool is_straight_joint(const struct arc_data *a)
{
    return a->normal.has && a->normal.value == 0.0;
}

/* Where the active arc runs. A motion that ends at or short of zero, or whose normal is zero,
 * comes from the bent side: a short run-up shows the way it came. */
static void choose_arc(struct scene *s)
{
    static const double run_up_deg = 22.0;
    const struct arc_data *a = s->data;
    double zero = angle_of(s, 0.0);
    s->gap_to = s->past_to = s->from = s->to = zero;
    double end = a->end.has ? a->end.value : a->passive.value;
    double start = a->start.has ? a->start.value : 0.0;
    s->limb = angle_of(s, end);
    if (end < 0.0) {
        s->gap_to = angle_of(s, end);
    } else if (start > 0.0) {
        s->gap_to = angle_of(s, start);
    }
    if (is_straight_joint(a) && end > 0.0) {
        s->past_to = angle_of(s, end);
    } else if (start < 0.0) {
        s->past_to = angle_of(s, start);
    }
    if (!a->end.has) {
        return;
    }
    bool runs_up = end < 0.0 || is_straight_joint(a);
    s->from = angle_of(s, runs_up ? end - run_up_deg : start);
    s->to = angle_of(s, end);
}

static void build(struct scene *s, const struct arc_data *a)
{
    const struct body *b = a->row->body;
    *s = (struct scene){.data = a, .joint = b->joint, .reach = b->reach};
    choose_arc(s);
    assert(b->fixed.n <= PARTS_MAX && b->moving.n + b->tail.n <= PARTS_MAX);
    memcpy(s->fixed, b->fixed.at, b->fixed.n * sizeof(*b->fixed.at));
    s->n_fixed = b->fixed.n;
    for (size_t i = 0; i < b->moving.n; i++) {
        s->moving[s->n_moving++] = pen_turn_part(b->joint, s->limb, &b->moving.at[i]);
    }
    struct point hinge = pen_turn(b->joint, s->limb, b->tail_at, 0.0);
    for (size_t i = 0; i < b->tail.n; i++) {
        s->moving[s->n_moving++] = pen_turn_part(hinge, b->tail_angle, &b->tail.at[i]);
    }
}

/* ---- fitting ------------------------------------------------------------------------------- */

struct extent {
    double x0, y0, x1, y1;
};

static void include(struct extent *e, double x, double y, double r)
{
    e->x0 = fmin(e->x0, x - r);
    e->y0 = fmin(e->y0, y - r);
    e->x1 = fmax(e->x1, x + r);
    e->y1 = fmax(e->y1, y + r);
}

/* One of the steps of an arc. */
static void include_step(struct extent *e, const struct scene *s, double from, double to, int step)
{
    static const double rim = 3.0; /* ticks and line widths */
    struct point p = pen_on_circle(s->joint, s->reach, from + (to - from) * step / ARC_STEPS);
    include(e, p.x, p.y, rim);
}

/* Both ends, and the steps about each quarter of the circle: no other reaches as far. */
static void include_arc(struct extent *e, const struct scene *s, double from, double to)
{
    static const double quarter = 90.0;
    include_step(e, s, from, to, 0);
    include_step(e, s, from, to, ARC_STEPS);
    double first = fmin(from, to), last = fmax(from, to);
    for (double turn = ceil(first / quarter) * quarter; turn < last; turn += quarter) {
        int before = (int)((turn - from) / (to - from) * ARC_STEPS);
        include_step(e, s, from, to, before);
        include_step(e, s, from, to, before < ARC_STEPS ? before + 1 : before);
    }
}

static struct extent extent_of(const struct scene *s)
{
    const struct arc_data *a = s->data;
    struct extent e = {UNITS, UNITS, 0.0, 0.0};
    for (size_t i = 0; i < s->n_moving; i++) {
        include(&e, s->moving[i].x0, s->moving[i].y0, s->moving[i].r0 + 1.0);
        include(&e, s->moving[i].x1, s->moving[i].y1, s->moving[i].r1 + 1.0);
    }
    double zero = angle_of(s, 0.0);
    include_arc(&e, s, zero, s->limb);
    include_arc(&e, s, s->from, s->to);
    const struct num *ends[] = {&a->passive, &a->previous, &a->normal, &a->hyper_ok, &a->start};
    for (size_t i = 0; i < ARRAY_LEN(ends); i++) {
        if (ends[i]->has) {
            include_arc(&e, s, zero, angle_of(s, ends[i]->value));
        }
    }
    return e;
}

static void move_part(struct part *p, double scale, double dx, double dy)
{
    p->x0 = p->x0 * scale + dx;
    p->y0 = p->y0 * scale + dy;
    p->x1 = p->x1 * scale + dx;
    p->y1 = p->y1 * scale + dy;
    p->r0 *= scale;
    p->r1 *= scale;
}

/* The bodies are drawn to fit what joints do; a rare angle beyond that makes the whole picture
 * smaller rather than leave its box. */
static void fit(struct scene *s)
{
    static const double margin = 1.0;
    struct extent e = extent_of(s), body = {margin, margin, UNITS - margin, UNITS - margin};
    if (e.x0 >= margin && e.y0 >= margin && e.x1 <= body.x1 && e.y1 <= body.y1) {
        return;
    }
    include(&e, body.x0, body.y0, 0.0); /* the fixed parts stay in the picture too */
    include(&e, body.x1, body.y1, 0.0);
    double room = UNITS - 2.0 * margin;
    double scale = fmin(room / (e.x1 - e.x0), room / (e.y1 - e.y0));
    double dx = margin - e.x0 * scale + (room - (e.x1 - e.x0) * scale) / 2.0;
    double dy = margin - e.y0 * scale + (room - (e.y1 - e.y0) * scale) / 2.0;
    for (size_t i = 0; i < s->n_fixed; i++) {
        move_part(&s->fixed[i], scale, dx, dy);
    }
    for (size_t i = 0; i < s->n_moving; i++) {
        move_part(&s->moving[i], scale, dx, dy);
    }
    s->joint = (struct point){s->joint.x * scale + dx, s->joint.y * scale + dy};
    s->reach *= scale;
}

/* ---- drawing ------------------------------------------------------------------------------- */

/* Line widths grow with the picture and stay printable in the smallest. */
static struct ink ink_of(const struct pen *pen, double units, struct colour colour)
{
    return (struct ink){colour, fmax(units * pen->scale, 0.4), 0.0};
}

static void ray(const struct pen *pen, const struct scene *s, double angle, double r0, double r1,
                struct ink ink)
{
    pen_line(pen, pen_on_circle(s->joint, r0, angle), pen_on_circle(s->joint, r1, angle), ink);
}

static void draw_band(const struct pen *pen, const struct scene *s)
{
    const struct arc_data *a = s->data;
    if (!a->normal.has) {
        return;
    }
    double to = angle_of(s, a->normal.value);
    if (is_straight_joint(a) && a->hyper_ok.has) {
        to = angle_of(s, a->hyper_ok.value);
    }
    pen_ring(pen, s->joint, s->reach * band_in, s->reach * band_out, angle_of(s, 0.0), to,
             colour_grey(GREY_BAND));
    ray(pen, s, angle_of(s, a->normal.value), s->reach * band_in, s->reach * band_out + 1.0,
        ink_of(pen, 0.9, colour_grey(GREY_MARK)));
}

static void draw_zero(const struct pen *pen, const struct scene *s)
{
    struct ink under = ink_of(pen, 0.8, colour_grey(1.0)); /* so that it shows on a dark limb */
    struct ink ink = ink_of(pen, 0.55, colour_black);
    ink.dash = 2.0 * pen->scale;
    ray(pen, s, angle_of(s, 0.0), 0.0, s->reach + 3.0, under);
    ray(pen, s, angle_of(s, 0.0), 0.0, s->reach + 3.0, ink);
}

/* The ruled gap: rungs between the dashed line and where the motion stops. */
static void draw_gap(const struct pen *pen, const struct scene *s)
{
    double zero = angle_of(s, 0.0);
    if (s->gap_to == zero) {
        return;
    }
    struct ink ink = ink_of(pen, 0.5, colour_black);
    for (double r = s->reach * 0.3; r <= s->reach; r += s->reach * 0.07) {
        pen_arc(pen, s->joint, r, zero, s->gap_to, ink);
    }
    ray(pen, s, s->gap_to, 0.0, s->reach + 2.0, ink);
}

static void draw_past(const struct pen *pen, const struct scene *s)
{
    double zero = angle_of(s, 0.0);
    if (s->past_to == zero) {
        return;
    }
    pen_ring(pen, s->joint, 0.0, s->reach, zero, s->past_to, figure_accent);
    ray(pen, s, s->past_to, 0.0, s->reach + 2.0, ink_of(pen, 0.8, figure_accent));
}

static void draw_previous(const struct pen *pen, const struct scene *s)
{
    if (!s->data->previous.has) {
        return;
    }
    ray(pen, s, angle_of(s, s->data->previous.value), s->reach * 0.2, s->reach + 2.0,
        ink_of(pen, 0.5, colour_grey(GREY_MARK)));
}

static void draw_moving(const struct pen *pen, const struct scene *s)
{
    struct part halo[PARTS_MAX];
    for (size_t i = 0; i < s->n_moving; i++) {
        halo[i] = s->moving[i];
        halo[i].group = 0;
    }
    struct colour white = colour_grey(1.0);
    pen_limbs(pen, halo, s->n_moving, white, 1.1, white);
    /* Without an active angle the limb is only an outline at the passive end. */
    struct colour fill = s->data->end.has ? figure_accent : white;
    struct colour edge = s->data->end.has ? white : colour_grey(GREY_MARK);
    size_t first = 0; /* limbs that come first have all of their edge in the white around them */
    while (s->data->end.has && first < s->n_moving &&
           s->moving[first].group == s->moving[0].group) {
        first++;
    }
    pen_limbs(pen, s->moving, first, fill, 0.0, fill);
    pen_limbs(pen, s->moving + first, s->n_moving - first, edge, 0.6, fill);
    if (s->data->end.has) {
        ray(pen, s, s->limb, 0.0, s->reach * band_in, ink_of(pen, 0.45, white));
    }
}

static void draw_active(const struct pen *pen, const struct scene *s)
{
    if (!s->data->end.has) {
        return;
    }
    struct ink ink = ink_of(pen, 1.5, figure_accent);
    if (s->data->estimated) {
        ink.dash = 2.2 * pen->scale;
    }
    pen_arc(pen, s->joint, s->reach, s->from, s->to, ink);
    ink.dash = 0.0;
    ray(pen, s, s->to, s->reach * band_in, s->reach + 2.5, ink);
    if (s->data->start.has && s->from != angle_of(s, 0.0) && s->from != s->to) {
        ray(pen, s, s->from, s->reach * band_in, s->reach + 1.5, ink_of(pen, 0.8, figure_accent));
    }
}

static void draw_passive(const struct pen *pen, const struct scene *s)
{
    if (!s->data->passive.has) {
        return;
    }
    double to = angle_of(s, s->data->passive.value);
    if (s->data->end.has) {
        struct ink dots = ink_of(pen, 0.6, figure_accent);
        dots.dash = 1.2 * pen->scale;
        pen_arc(pen, s->joint, s->reach, s->limb, to, dots);
    }
    struct ink edge = ink_of(pen, 0.8, figure_accent);
    pen_disc(pen, pen_on_circle(s->joint, s->reach, to), 1.9, colour_grey(1.0), &edge);
}

static void draw_joint(const struct pen *pen, const struct scene *s)
{
    pen_disc(pen, s->joint, 2.1, colour_grey(1.0), NULL);
    pen_disc(pen, s->joint, 1.3, colour_black, NULL);
}

/* ---- text ---------------------------------------------------------------------------------- */

static double clamp(double v, double low, double high)
{
    return fmin(fmax(v, low), high);
}

static void collect_spots(const struct scene *s, struct spots *spots)
{
    const struct arc_data *a = s->data;
    double zero = angle_of(s, 0.0);
    spots->n = 0;
    for (size_t i = 0; i < s->n_fixed; i++) {
        spots_add_part(spots, &s->fixed[i], 0.4);
    }
    for (size_t i = 0; i < s->n_moving; i++) {
        spots_add_part(spots, &s->moving[i], 7.0);
    }
    spots_add_arc(spots, s->joint, s->reach, s->from, s->to, 3.0);
    for (double r = s->reach * 0.2; r <= s->reach + 3.0; r += 3.0) {
        struct point p = pen_on_circle(s->joint, r, zero);
        spots_add(spots, p.x, p.y, 0.8, 1.5);
        p = pen_on_circle(s->joint, r, s->limb);
        spots_add(spots, p.x, p.y, 0.8, 3.0);
        if (a->previous.has) {
            p = pen_on_circle(s->joint, r, angle_of(s, a->previous.value));
            spots_add(spots, p.x, p.y, 0.8, 1.5);
        }
    }
    if (a->normal.has) {
        spots_add_arc(spots, s->joint, s->reach * (band_in + band_out) / 2.0, zero,
                      angle_of(s, a->normal.value), 1.5);
    }
    if (a->passive.has) {
        struct point p = pen_on_circle(s->joint, s->reach, angle_of(s, a->passive.value));
        spots_add(spots, p.x, p.y, 2.8, 15.0);
    }
}

struct label {
    const char *text;
    double size, angle; /* of the ray whose end it names */
    int face;
    struct point at;
    struct label_size box; /* drawing units */
};

/* Finds the place, and clears the body and the band there: text on their screen of dots cannot be
 * read after a fax. What is measured is drawn over the clearing and never hidden by it. */
static void place_label(const struct pen *pen, const struct scene *s, struct spots *spots,
                        struct label *l)
{
    static const double fill = 0.97; /* of the width of the picture */
    if (l->text[0] == '\0') {
        return;
    }
    struct label_size on_paper = label_measure(l->text, strlen(l->text), l->size);
    double widest = fill * UNITS * pen->scale;
    if (on_paper.width > widest) {
        l->size *= widest / on_paper.width;
        on_paper = label_measure(l->text, strlen(l->text), l->size);
    }
    l->box = (struct label_size){on_paper.width / pen->scale, on_paper.height / pen->scale};
    l->at = label_place(spots, s->joint, s->reach + 4.0, l->angle, l->box);
    spots_add_box(spots, l->at, l->box, 6.0);
    double half_w = l->box.width / 2.0, half_h = l->box.height / 2.0 + 0.5;
    pen_rect(pen, (struct point){l->at.x - half_w, l->at.y - half_h},
             (struct point){l->at.x + half_w, l->at.y + half_h}, colour_grey(1.0));
}

static void draw_label(const struct pen *pen, const struct label *l)
{
    if (l->text[0] != '\0') {
        pen_text(pen, l->at, l->size, l->face, colour_black, l->text);
    }
}

/* A bare number is set large, words a little smaller so that they leave room for the limb. */
static double value_size(const char *text, double side)
{
    enum { NUMBER_BYTES = 7 };
    return strlen(text) <= NUMBER_BYTES ? clamp(side * 0.115, 8.0, 13.0)
                                        : clamp(side * 0.09, 8.0, 11.0);
}

void arc_draw(const struct arc_data *a, struct figure_box box, struct page_list *list,
              struct page *page)
{
    struct scene scene;
    struct spots spots;
    double foot = caption_height(a->caption, box.width);
    double side = fmin(box.width, box.height - foot);
    struct pen pen = {list, page, box.x + (box.width - side) / 2.0, box.y + foot, side / UNITS,
                      a->left, "."};
    build(&scene, a);
    fit(&scene);
    collect_spots(&scene, &spots);
    struct label value = {.text = a->value_label, .size = value_size(a->value_label, side),
                          .angle = scene.limb, .face = FIGURE_FACE_BOLD};
    struct label normal = {.text = a->normal.has ? a->normal_label : "",
                           .size = clamp(side * 0.07, 6.5, 8.0), .face = FIGURE_FACE_REGULAR,
                           .angle = a->normal.has ? angle_of(&scene, a->normal.value) : 0.0};
    pen_limbs(&pen, scene.fixed, scene.n_fixed, colour_grey(GREY_EDGE), 0.6,
              colour_grey(GREY_BODY));
    draw_band(&pen, &scene);
    place_label(&pen, &scene, &spots, &value);
    place_label(&pen, &scene, &spots, &normal);
    draw_gap(&pen, &scene);
    draw_past(&pen, &scene);
    draw_previous(&pen, &scene);
    draw_moving(&pen, &scene);
    draw_zero(&pen, &scene);
    draw_active(&pen, &scene);
    draw_passive(&pen, &scene);
    draw_joint(&pen, &scene);
    draw_label(&pen, &value);
    draw_label(&pen, &normal);
    caption_draw(a->caption, box, foot, list, page);
}
