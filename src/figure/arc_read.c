/* Parameters of the arc figure: text of the template to checked numbers. Missing is not zero. */
#include "figure/figure_int.h"

#include <string.h>

/* A turn and more is no angle of a joint; the limit only keeps the drawing sane. */
static const double widest_deg = 360.0;

static bool read_angle(const struct params *p, const char *name, struct num *out)
{
    return params_number(p, name, widest_deg, "not an angle of a joint", out);
}

static bool read_motion(const struct params *p, struct arc_data *out)
{
    const char *joint = params_text(p, "joint"), *motion = params_text(p, "motion");
    const char *side = params_text(p, "side"), *digit = params_text(p, "digit");
    double d = 0.0;
    if (joint[0] == '\0' || motion[0] == '\0' || side[0] == '\0') {
        return params_refuse(p, joint[0] == '\0'    ? "joint"
                                : motion[0] == '\0' ? "motion"
                                                    : "side", "missing");
    }
    if (digit[0] != '\0' && (!num_parse(digit, strlen(digit), &d) || d < 1.0 || d > 5.0)) {
        return params_refuse(p, "digit", "not a digit from 1 to 5");
    }
    if (!figure_has_motion(joint, motion)) {
        return params_refuse(p, "motion", "no drawing for this motion");
    }
    out->row = figure_row(joint, motion, (int)d);
    if (out->row == NULL) {
        return params_refuse(p, "digit", "no drawing for this digit");
    }
    if (!str_eq(side, "right") && !str_eq(side, "left") && !str_eq(side, "midline")) {
        return params_refuse(p, "side", "not right, left or midline");
    }
    if (out->row->midline != str_eq(side, "midline")) {
        return params_refuse(p, "side", out->row->midline ? "this motion is of the midline"
                                                          : "this motion has a side");
    }
    out->left = str_eq(side, "left");
    return true;
}

bool arc_read(const struct params *p, struct arc_data *out)
{
    *out = (struct arc_data){0};
    if (!read_motion(p, out) || !read_angle(p, "start", &out->start) ||
        !read_angle(p, "end", &out->end) || !read_angle(p, "passive", &out->passive) ||
        !read_angle(p, "previous", &out->previous) || !read_angle(p, "normal", &out->normal) ||
        !read_angle(p, "hyper-ok", &out->hyper_ok)) {
        return false;
    }
    if (!out->end.has && !out->passive.has) {
        return params_refuse(p, "end", "missing, and no passive angle either");
    }
    const char *unit = params_text(p, "unit");
    if (unit[0] != '\0' && !str_eq(unit, "deg")) {
        return params_refuse(p, "unit", "an arc shows degrees only");
    }
    out->value_label = params_text(p, "value-label");
    out->normal_label = params_text(p, "normal-label");
    out->caption = params_text(p, "caption");
    return params_yes(p, "estimated", &out->estimated);
}

static double arc_height(const struct params *p, double width)
{
    return width + caption_height(params_text(p, "caption"), width);
}

static bool read_and_draw(const struct params *p, struct figure_box box, struct page_list *list,
                          struct page *page)
{
    struct arc_data data;
    if (!arc_read(p, &data)) {
        return false;
    }
    arc_draw(&data, box, list, page);
    return true;
}

static const char *const names[] = {
    "joint",  "motion",   "side", "digit",     "start",       "end",          "passive", "previous",
    "normal", "hyper-ok", "unit", "estimated", "value-label", "normal-label", "caption", NULL};
const struct figure_kind figure_arc = {"arc", names, 36.0, 36.0, arc_height, read_and_draw};
