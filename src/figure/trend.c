/*
 * The trend: readings over days, to scale. Each point stands in a light band as wide as half the
 * measurement error each way, so that two readings whose bands do not meet differ by more than
 * the error. Goal and limit are labelled lines across; the line through the points ends at the
 * last of them.
 */
#include "figure/trend_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- reading ------------------------------------------------------------------------------- */

static bool next_date(const char **at, struct date *d)
{
    size_t len;
    char text[DATE_TEXT_MAX] = "";
    const char *word = list_word(at, &len);
    if (word == NULL || len >= sizeof(text)) {
        return false;
    }
    memcpy(text, word, len);
    return date_parse_iso(text, d);
}

static bool next_number(const struct params *p, const char **at, double *value)
{
    size_t len;
    const char *word = list_word(at, &len);
    return word != NULL && params_parse(p, word, len, value) && fabs(*value) <= TREND_MOST;
}

/* One error for all points, where the list of errors is not given. */
static bool read_error(const struct params *p, struct num *error)
{
    return params_number(p, "error", TREND_MOST, "too large to draw", error) &&
           (!error->has || error->value >= 0.0 || params_refuse(p, "error", "below zero"));
}

static bool read_points(const struct params *p, struct trend *t)
{
    struct num error;
    const char *dates = params_text(p, "dates"), *values = params_text(p, "values");
    const char *errors = params_text(p, "errors");
    bool has_errors = errors[strspn(errors, " ")] != '\0';
    if (!read_error(p, &error)) {
        return false;
    }
    for (t->n = 0; dates[strspn(dates, " ")] != '\0'; t->n++) {
        struct trend_point *point = &t->points[t->n];
        struct date d;
        if (t->n == TREND_POINTS_MAX) {
            return params_refuse(p, "dates", "too many points");
        }
        if (!next_date(&dates, &d)) {
            return params_refuse(p, "dates", "not days as YYYY-MM-DD");
        }
        point->day = date_days(d);
        point->error = error.has ? error.value : 0.0;
        if (!next_number(p, &values, &point->value)) {
            return params_refuse(p, "values", "not one number for each day");
        }
        if (has_errors && (!next_number(p, &errors, &point->error) || point->error < 0.0)) {
            return params_refuse(p, "errors", "not one number for each day");
        }
    }
    if (values[strspn(values, " ")] != '\0' || errors[strspn(errors, " ")] != '\0') {
        return params_refuse(p, "dates", "not one day for each number");
    }
    return t->n > 0 || params_refuse(p, "dates", "missing");
}

static int by_day(const void *a, const void *b)
{
    const struct trend_point *p = a, *q = b;
    return p->day != q->day ? (p->day > q->day) - (p->day < q->day)
                            : (p->value > q->value) - (p->value < q->value);
}

static bool read_line(const struct params *p, const char *name, const char *label_name,
                      struct trend_line *line)
{
    line->label = params_text(p, label_name);
    return params_number(p, name, TREND_MOST, "too large to draw", &line->value);
}

static bool read(const struct params *p, struct trend *t)
{
    const char *due = params_text(p, "goal-due");
    *t = (struct trend){0};
    if (!read_points(p, t) || !read_line(p, "goal", "goal-label", &t->lines[TREND_GOAL]) ||
        !read_line(p, "limit", "limit-label", &t->lines[TREND_LIMIT]) ||
        !read_line(p, "normal", "normal-label", &t->lines[TREND_NORMAL])) {
        return false;
    }
    if (due[0] != '\0') {
        struct date d;
        if (!date_parse_iso(due, &d)) {
            return params_refuse(p, "goal-due", "not a day as YYYY-MM-DD");
        }
        t->has_due = true;
        t->due = date_days(d);
    }
    t->decimal = params_decimal(p);
    t->lacks = params_text(p, "lacks");
    t->past = params_text(p, "past");
    t->days_label = params_text(p, "days-label");
    t->caption = params_text(p, "caption");
    qsort(t->points, t->n, sizeof(t->points[0]), by_day);
    return true;
}

/* ---- the kind ------------------------------------------------------------------------------ */

static double trend_height(const struct params *p, double width)
{
    static const double share = 0.42, least = 90.0, most = 150.0;
    return fmin(fmax(width * share, least), most) +
           caption_height(params_text(p, "caption"), width);
}

static bool read_and_draw(const struct params *p, struct figure_box box, struct page_list *list,
                          struct page *page)
{
    struct trend t;
    if (!read(p, &t)) {
        return false;
    }
    trend_draw(&t, box, list, page);
    return true;
}

static const char *const names[] = {
    "dates",       "values", "errors",       "error", "goal", "goal-label", "goal-due", "limit",
    "limit-label", "normal", "normal-label", "lacks", "past", "days-label", "caption",  NULL};
const struct figure_kind figure_trend = {"trend", names, 120.0, 90.0, trend_height, read_and_draw};
