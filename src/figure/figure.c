/* The kinds of figure and what a template may hand to each. */
#include "figure/figure_int.h"

#include <stdio.h>

const struct colour figure_accent = {0.13F, 0.29F, 0.40F};

static const struct figure_kind *const all[] = {&figure_arc,   &figure_ruler, &figure_arrow,
                                                &figure_trend, &figure_bars,  &figure_grades,
                                                &figure_dots,  &figure_differences, &figure_boxes};

static const struct figure_kind *kind_of(const char *name)
{
    for (size_t i = 0; i < ARRAY_LEN(all); i++) {
        if (str_eq(all[i]->name, name)) {
            return all[i];
        }
    }
    return NULL;
}

const char *const *figure_kinds(void)
{
    static const char *const names[] = {"arc",    "ruler", "arrow",       "trend", "bars",
                                        "grades", "dots",  "differences", "boxes", NULL};
    return names;
}

const char *const *figure_params(const char *kind)
{
    const struct figure_kind *k = kind_of(kind);
    return k != NULL ? k->params : NULL;
}

double figure_height(const char *kind, const struct figure_param *params, size_t n, double width)
{
    const struct figure_kind *k = kind_of(kind);
    struct params p = {.at = params, .n = n};
    return k != NULL ? k->height(&p, width) : 0.0;
}

/* Names of parameters are checked when the template is loaded; here their values are. */
bool figure_draw(const char *kind, const struct figure_param *params, size_t n,
                 struct figure_box box, struct page_list *list, struct page *page, char *why,
                 size_t why_size)
{
    const struct figure_kind *k = kind_of(kind);
    struct params p = {params, n, why, why_size};
    if (k == NULL) {
        return params_refuse(&p, "kind", "no such figure");
    }
    if (!(box.width >= k->least_width) || !(box.height >= k->least_height)) {
        return params_refuse(&p, "width", "too small for a figure");
    }
    return k->draw(&p, box, list, page);
}
