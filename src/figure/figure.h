/*
 * figure: drawings made of page primitives: the arc of a motion, ruler, bars, grade strip, trend,
 * and the arrow of the shoulder blade. The only place that knows shapes of the body. Draws into a
 * box of the page; text is emitted with an anchor and a logical face, which layout resolves.
 *
 * Angles in degrees on the model's scale; the page angle of a value is zero + sign * value, with
 * zero and sign by motion and side. Left mirrors right.
 */
#ifndef ENDFEEL_FIGURE_H
#define ENDFEEL_FIGURE_H

#include "page/page.h"

struct figure_param {
    const char *name;  /* attribute of the template's figure element */
    const char *value; /* "" = not known */
};
struct figure_box {
    double x, y, width, height; /* lower left corner and size, pt */
};

/* NULL-ended list of kinds ("arc" ...) and of a kind's parameter names; for template checks. */
const char *const *figure_kinds(void);
const char *const *figure_params(const char *kind);
/* Is there a drawing for this motion? */
bool figure_has_motion(const char *joint, const char *motion);
/* Height for a width; 0 when the kind is unknown. */
double figure_height(const char *kind, const struct figure_param *params, size_t n, double width);
/* Draws; false when a parameter is missing or not understood, with a short reason in `why`. */
bool figure_draw(const char *kind, const struct figure_param *params, size_t n,
                 struct figure_box box, struct page_list *list, struct page *page, char *why,
                 size_t why_size) MUST_CHECK;

#endif
