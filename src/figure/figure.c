/* The kinds of figure and what a template may hand to each. */
#include "figure/figure_int.h"

#include <stdio.h>
#include <string.h>

static const char *const arc_params[] = {
    "joint",  "motion",   "side", "digit",     "start",       "end",          "passive", "previous",
    "normal", "hyper-ok", "unit", "estimated", "value-label", "normal-label", "caption", NULL};
static const char *const kinds[] = {"arc", NULL};

const char *const *figure_kinds(void)
{
    return kinds;
}

const char *const *figure_params(const char *kind)
{
    return str_eq(kind, "arc") ? arc_params : NULL;
}

double figure_height(const char *kind, const struct figure_param *params, size_t n, double width)
{
    return str_eq(kind, "arc") ? arc_height(params, n, width) : 0.0;
}

/* Names of parameters are checked when the template is loaded; here their values are. */
bool figure_draw(const char *kind, const struct figure_param *params, size_t n,
                 struct figure_box box, struct page_list *list, struct page *page, char *why,
                 size_t why_size)
{
    static const double smallest_pt = 36.0; /* half an inch: below it no number can be read */
    struct arc_data data;
    if (!str_eq(kind, "arc")) {
        snprintf(why, why_size, "kind: no such figure");
        return false;
    }
    if (!(box.width >= smallest_pt) || !(box.height >= smallest_pt)) {
        snprintf(why, why_size, "width: too small for a figure");
        return false;
    }
    if (!arc_read(params, n, &data, why, why_size)) {
        return false;
    }
    arc_draw(&data, box, list, page);
    return true;
}
