/* Shared inside agree only: quantiles, the table of readings and the list of rows. */
#ifndef ENDFEEL_AGREE_INT_H
#define ENDFEEL_AGREE_INT_H

#include "agree/agree.h"

/* Lower-tail quantiles at p; degrees of freedom are real numbers above zero. */
double agree_quantile_normal(double p);
double agree_quantile_t(double p, double v);
double agree_quantile_f(double p, double v1, double v2);
double agree_quantile_chi2(double p, double v);
/* Exact (Clopper-Pearson) 95% limits of hits in n as percents. */
struct agree_estimate agree_percent_of(size_t hits, size_t n);

/* One value of one rater for one subject; kept for repeatability, in order of tries. */
struct agree_try {
    size_t subject, rater;
    int try;
    double value;
};

/* Readings by subject and rater after the checks. */
struct agree_table {
    struct arena *arena;
    enum agree_scale scale;
    const char *test;
    const char **subjects, **raters; /* the instructor last */
    size_t n_subjects, n_raters;     /* n_raters with the instructor */
    bool has_instructor;
    struct agree_cell *cells;        /* subject * n_raters + rater */
    struct agree_try *tries;         /* all that are used, by subject, rater, try */
    size_t n_tries;
    size_t n_held;                   /* readings held back, for the note of n_subjects */
};
bool agree_table_read(struct agree_table *t, const struct agree_rating *ratings, size_t n,
                      const struct agree_options *options, struct diag_sink *sink) MUST_CHECK;

/* Rows are added in the order in which they are to be printed. */
struct agree_rows {
    struct arena *arena;
    struct agree_row *items;
    size_t n, cap;
};
void agree_rows_add(struct agree_rows *rows, const char *quantity, const char *a, const char *b,
                    struct agree_estimate est, const char *note);
/* Half-width of limits of agreement in SDs: as its authors define it, not the exact quantile. */
extern const double agree_z_of_limits;
struct agree_estimate agree_estimate_none(void);
struct agree_estimate agree_estimate_of(double value);

/* Sum of squares of repeats about their means, and its degrees of freedom. */
struct agree_within {
    double squares, df;
};

struct agree_build {
    const struct agree_table *t;
    const struct agree_options *options;
    struct agree_rows rows;
    size_t n_class;    /* raters without the instructor */
    size_t n_complete; /* subjects measured by all of them */
    const char *basis; /* what one value is: "" or "means of 3 tries" */
    const struct agree_within *within; /* of each rater; angles only */
};
void agree_build_angles(struct agree_build *b);
void agree_build_grades(struct agree_build *b);
void agree_build_shares(struct agree_build *b, const char *quantity, const char *of_instructor,
                        double within);

#endif
