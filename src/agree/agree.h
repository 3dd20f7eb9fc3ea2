/*
 * agree: how far raters agree: a class of students, a clinic, one rater with repeats. Takes
 * readings as plain structs (whoever reads the CSV makes them) and gives rows of figures with
 * their 95% limits, for a page or as CSV. docs/agree.md states every formula and rule.
 *
 * Angles: intraclass correlations, standard errors of measurement, minimal detectable change,
 * bias and limits of agreement of each pair. Grades: weighted kappa, exact agreement, agreement
 * within one grade; never a correlation.
 *
 * Gaps: a subject whom some rater did not measure leaves the analysis of variance, stays in the
 * figures of each pair, and the row n_subjects says how many there are. Nothing is filled in.
 * The instructor is the yardstick, not one of the raters: figures of the class leave him out.
 *
 * Units: the unit of the readings (degrees, or points of the grade scale), percents as such.
 * Ownership: the result owns all it holds, names included; agree_free() ends it.
 * Failure: a row that cannot be used is reported and held back; what cannot be computed has no
 * value and a note that says why. NULL only when nothing at all can be used.
 */
#ifndef ENDFEEL_AGREE_H
#define ENDFEEL_AGREE_H

#include "base/base.h"

enum {
    AGREE_RATERS_MAX = 64,       /* instructor included */
    AGREE_SUBJECTS_MAX = 10000,
    AGREE_GRADES_MAX = 32,
    AGREE_NAME_MAX = 120,        /* bytes of a subject, a rater or a test */
    AGREE_CSV_MAX = 64 << 20     /* no result writes more */
};

enum agree_scale { AGREE_ANGLE, AGREE_GRADE };

struct agree_rating {
    const char *subject, *rater; /* exact names; never joined by similarity */
    double value;                /* AGREE_GRADE: one of the scores in the options */
    int try;                     /* 1, 2, 3 ...; 0: not stated */
    bool instructor;             /* one such row makes its rater the instructor */
    const char *test;            /* NULL or what was tested; one run takes one test */
    struct diag_pos pos;         /* for messages; may be all zero */
};

struct agree_options {
    enum agree_scale scale;
    const double *grades;        /* AGREE_GRADE: all scores of the scale, ascending; else NULL */
    size_t n_grades;
};

/* An estimate with its 95% limits; either may be missing. */
struct agree_estimate {
    struct num value, low, high;
};

/* ---- the result ---------------------------------------------------------------------------- */

struct agree_cell {
    struct num value;            /* angles: mean of the tries; grades: the first try */
    int n_tries;
};

struct agree_row {
    const char *quantity;        /* e.g. "icc_2_1"; the list stands in docs/agree.md */
    const char *a, *b;           /* the pair a:b (figures are a - b), or NULL: all raters;
                                    a and b the same: repeats of one rater */
    struct agree_estimate est;
    const char *note;            /* never NULL */
};

struct agree_result {
    enum agree_scale scale;
    const char *test;            /* "" when none was given */
    const char **subjects;       /* in order of their first row */
    size_t n_subjects;
    const char **raters;         /* likewise, the instructor after all others */
    size_t n_raters;             /* without the instructor */
    bool has_instructor;         /* then raters[n_raters] */
    const struct agree_cell *cells; /* agree_cell_at() */
    size_t n_complete;           /* subjects without a gap, in the analysis of variance */
    const struct agree_row *rows;
    size_t n_rows;
    struct arena *arena;
};

/* NULL after reporting when no row can be used. Values must be finite. */
struct agree_result *agree_compute(const struct agree_rating *ratings, size_t n,
                                   const struct agree_options *options,
                                   struct diag_sink *sink) MUST_CHECK;
void agree_free(struct agree_result *r);
const struct agree_cell *agree_cell_at(const struct agree_result *r, size_t subject, size_t rater);
/* The row of a quantity and pair (NULL, NULL: of all raters), or NULL. */
const struct agree_row *agree_row_of(const struct agree_result *r, const char *quantity,
                                     const char *a, const char *b);
/* Columns quantity,raters,value,low,high,note; up to six decimals, unrounded otherwise. */
void agree_csv(const struct agree_result *r, bool header, struct buf *out);

/* ---- the arithmetic, for tests and for figures of the kind elsewhere ------------------------- */

/* Mean and SD (divisor n - 1; missing for one value), in two passes. n >= 1. */
struct agree_spread {
    size_t n;
    double mean, min, max;
    struct num sd, cv_percent;   /* CV only where every value is above zero */
};
struct agree_spread agree_spread_of(const double *x, size_t n);

/* Mean squares of a table of n subjects (rows) by k raters without gaps. */
struct agree_anova {
    size_t n, k;
    double bms, wms, jms, ems;   /* between subjects, within, between raters, residual */
};
/* False when n < 2 or k < 2. */
bool agree_anova_of(const double *x, size_t n, size_t k, struct agree_anova *out) MUST_CHECK;

enum agree_icc { AGREE_ICC_1_1, AGREE_ICC_2_1, AGREE_ICC_3_1, AGREE_ICC_1_K, AGREE_ICC_2_K,
                 AGREE_ICC_3_K, AGREE_ICC_COUNT };
/* No value when the subjects do not differ; no limits when the readings leave no residual. */
struct agree_estimate agree_icc_of(const struct agree_anova *t, enum agree_icc form);
double agree_icc_2_1_df(const struct agree_anova *t); /* degrees of freedom of its limits */
struct agree_estimate agree_sem_consistency(const struct agree_anova *t);
struct agree_estimate agree_sem_agreement(const struct agree_anova *t);
struct agree_estimate agree_mdc95(struct agree_estimate sem);
struct agree_estimate agree_mdc90(struct agree_estimate sem);

/* Differences of pairs. */
struct agree_differences {
    size_t n;
    struct num sd, se_bias;
    struct agree_estimate bias, loa_low, loa_high; /* limits of agreement from three pairs */
    double repeatability;        /* the two taken as repeats of one method */
};
struct agree_differences agree_differences_of(const double *d, size_t n); /* n >= 1 */

/* Weighted kappa of a c by c table of counts (rows a, columns b) and agreement weights. */
struct agree_kappa {
    double n, po, pe;
    struct num se, se0;          /* se0: under no agreement beyond chance */
    struct agree_estimate kappa;
};
enum agree_weights { AGREE_WEIGHTS_LINEAR = 1, AGREE_WEIGHTS_QUADRATIC = 2 };
void agree_weights_of(size_t c, enum agree_weights kind, double *out); /* c*c numbers, c >= 2 */
struct agree_kappa agree_kappa_of(const double *counts, size_t c, const double *weights);

#endif
