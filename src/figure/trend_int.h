/* Shared by reading and drawing of the trend. */
#ifndef ENDFEEL_FIGURE_TREND_INT_H
#define ENDFEEL_FIGURE_TREND_INT_H

#include "figure/figure_int.h"

enum { TREND_POINTS_MAX = 1000, TREND_MOST = 100000 };
enum { TREND_GOAL, TREND_LIMIT, TREND_NORMAL, TREND_LINES };

struct trend_point {
    long day;
    double value, error; /* error: half the height of the band */
};
struct trend_line {
    struct num value;
    const char *label;
};
struct trend {
    struct trend_point points[TREND_POINTS_MAX]; /* by day */
    size_t n;
    struct trend_line lines[TREND_LINES];
    bool has_due;
    long due;
    const char *decimal, *lacks, *past, *days_label, *caption;
};
void trend_draw(const struct trend *t, struct figure_box box, struct page_list *list,
                struct page *page);

#endif
