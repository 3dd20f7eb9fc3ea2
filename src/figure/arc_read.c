/* Parameters of the arc figure: text of the template to checked numbers. Missing is not zero. */
#include "figure/figure_int.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A turn and more is no angle of a joint; the limit only keeps the drawing sane. */
static const double widest_deg = 360.0;

static const char *text_of(const struct figure_param *params, size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(params[i].name, name) == 0 && params[i].value != NULL) {
            return params[i].value;
        }
    }
    return "";
}

static bool refuse(char *why, size_t why_size, const char *name, const char *problem)
{
    snprintf(why, why_size, "%s: %s", name, problem);
    return false;
}

static bool read_number(const struct figure_param *params, size_t n, const char *name,
                        struct num *out, char *why, size_t why_size)
{
    const char *text = text_of(params, n, name);
    double value = 0.0;
    *out = num_none();
    if (text[0] == '\0') {
        return true;
    }
    if (!num_parse(text, strlen(text), &value)) {
        return refuse(why, why_size, name, "not a number");
    }
    if (!(fabs(value) <= widest_deg)) {
        return refuse(why, why_size, name, "not an angle of a joint");
    }
    *out = num_of(value);
    return true;
}

static bool read_motion(const struct figure_param *params, size_t n, struct arc_data *out,
                        char *why, size_t why_size)
{
    const char *joint = text_of(params, n, "joint"), *motion = text_of(params, n, "motion");
    const char *side = text_of(params, n, "side"), *digit = text_of(params, n, "digit");
    double d = 0.0;
    if (joint[0] == '\0' || motion[0] == '\0' || side[0] == '\0') {
        return refuse(why, why_size, joint[0] == '\0'    ? "joint"
                                     : motion[0] == '\0' ? "motion"
                                                         : "side", "missing");
    }
    if (digit[0] != '\0' && (!num_parse(digit, strlen(digit), &d) || d < 1.0 || d > 5.0)) {
        return refuse(why, why_size, "digit", "not a digit from 1 to 5");
    }
    if (!figure_has_motion(joint, motion)) {
        return refuse(why, why_size, "motion", "no drawing for this motion");
    }
    out->row = figure_row(joint, motion, (int)d);
    if (out->row == NULL) {
        return refuse(why, why_size, "digit", "no drawing for this digit");
    }
    if (!str_eq(side, "right") && !str_eq(side, "left") && !str_eq(side, "midline")) {
        return refuse(why, why_size, "side", "not right, left or midline");
    }
    if (out->row->midline != str_eq(side, "midline")) {
        return refuse(why, why_size, "side", out->row->midline ? "this motion is of the midline"
                                                               : "this motion has a side");
    }
    out->left = str_eq(side, "left");
    return true;
}

bool arc_read(const struct figure_param *params, size_t n, struct arc_data *out, char *why,
              size_t why_size)
{
    *out = (struct arc_data){0};
    if (!read_motion(params, n, out, why, why_size) ||
        !read_number(params, n, "start", &out->start, why, why_size) ||
        !read_number(params, n, "end", &out->end, why, why_size) ||
        !read_number(params, n, "passive", &out->passive, why, why_size) ||
        !read_number(params, n, "previous", &out->previous, why, why_size) ||
        !read_number(params, n, "normal", &out->normal, why, why_size) ||
        !read_number(params, n, "hyper-ok", &out->hyper_ok, why, why_size)) {
        return false;
    }
    if (!out->end.has && !out->passive.has) {
        return refuse(why, why_size, "end", "missing, and no passive angle either");
    }
    const char *unit = text_of(params, n, "unit");
    if (unit[0] != '\0' && !str_eq(unit, "deg")) {
        return refuse(why, why_size, "unit", "an arc shows degrees only");
    }
    const char *estimated = text_of(params, n, "estimated");
    if (estimated[0] != '\0' && !str_eq(estimated, "yes") && !str_eq(estimated, "no")) {
        return refuse(why, why_size, "estimated", "not yes or no");
    }
    out->estimated = str_eq(estimated, "yes");
    out->value_label = text_of(params, n, "value-label");
    out->normal_label = text_of(params, n, "normal-label");
    out->caption = text_of(params, n, "caption");
    return true;
}

double arc_height(const struct figure_param *params, size_t n, double width)
{
    return width + caption_height(text_of(params, n, "caption"), width);
}
