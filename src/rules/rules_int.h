/*
 * rules, private: the arithmetic, what rows have in common, and the families one by one.
 */
#ifndef ENDFEEL_RULES_INT_H
#define ENDFEEL_RULES_INT_H

#include "rules/rules.h"

/* ---- arithmetic (statistics.c) ------------------------------------------------------------ */

double rules_mean(const double *x, size_t n);   /* n >= 1 */
struct num rules_sd(const double *x, size_t n); /* divisor n-1; none below two values */
double rules_mdc90(double sem);
double rules_mdc95(double sem);
double rules_mdc90_of_mdc95(double mdc95);
double rules_mdc95_of_mdc90(double mdc90);
double rules_z(double value, double mean, double sd); /* sd > 0 */
double rules_percentile(double z);                    /* 0 to 100 */
int rules_icf_band(const struct reference *ref, double percent); /* 0 to 4 */
/* a >= b and a > b for values that came from decimals: what a reader of the decimals would say,
 * whatever the last bits of their binary forms are. */
bool rules_at_least(double a, double b);
bool rules_over(double a, double b);

/* ---- a course (rules.c) -------------------------------------------------------------------- */

struct rules_series;
struct rules_course {
    struct arena *arena;
    struct rules_kept *kept;      /* earlier visits as later ones see them, oldest first */
    size_t n, cap;
    struct rules_series *series;  /* for slope.c */
};

/* ---- slopes (slope.c) ----------------------------------------------------------------------- */

double rules_z95(void); /* the quantile that published detectable changes were reckoned with */

struct slope {
    size_t n;
    double slope, level;     /* y = level + slope * t */
    double sxx;              /* of least squares: sum of squares of t about its mean */
    struct num residual_sd;  /* of least squares, from three points on */
    struct num low, high;    /* limits of the slope, where there are any */
    bool exact;              /* of Theil-Sen: limits from the exact distribution of S */
};
/* False where no slope is defined: fewer than two points, or all at one time. */
bool rules_least_squares(const double *t, const double *y, size_t n, struct slope *out);
/* Limits of a least-squares slope from its residuals (Student), and from a known error of each
 * reading at 95%. */
void rules_slope_by_residuals(struct slope *s, double confidence);
void rules_slope_by_sem(struct slope *s, double sem);
bool rules_theil_sen(const double *t, const double *y, size_t n, double confidence,
                     struct arena *a, struct slope *out);
/* The same for the points of a row that a course may have met before: what is kept of them is only
 * extended. */
bool rules_theil_sen_kept(struct rules_course *course, const struct finding *f, const double *t,
                          const double *y, size_t n, double confidence, struct arena *a,
                          struct slope *out);
/* The smallest S that so many values in random order exceed as rarely as asked, at most 10 of
 * them; 0 when even the largest is too common. */
int rules_kendall_critical(size_t n, double confidence);
double rules_kendall_variance(const double *t, const double *y, size_t n, struct arena *a);

/* ---- rows (row.c) ------------------------------------------------------------------------- */

/* Adds a flag once; its level comes from the table of flags. */
void rules_flag(struct finding *f, const char *id);
bool rules_has_flag(const struct finding *f, const char *id);

bool rules_is_rom(const struct finding *f);   /* AROM or PROM */
bool rules_is_after(const struct finding *f); /* after treatment */
bool rules_lower_is_better(const struct finding *f);

/* By more than error. */
bool rules_is_below_other_side(const struct finding *f);
/* A passive reading below the active one, sides that look exchanged, too large a gain. */
bool rules_is_doubtful(const struct finding *f);
struct num rules_value(const struct finding *f); /* end, force or grade score; none without */
/* Same motion, digit, test, timing and unit: rows whose numbers mean the same thing. */
bool rules_same_kind(const struct finding *a, const struct finding *b);

/* How two rows agree in something that may be unstated. */
enum fit { FIT_NO, FIT_UNSTATED, FIT_SAME };
enum fit rules_text_fit(const char *a, const char *b);
enum fit rules_position_fit(const struct finding *a, const struct finding *b);
enum fit rules_setup_fit(const struct finding *a, const struct finding *b); /* tool, technique */
/* One role is a student's and the other, also stated, is not. */
bool rules_one_is_student(enum role a, enum role b);
enum fit rules_rater_fit(const struct finding *a, const struct finding *b);

/* Whether `text` holds the words of `phrase` one after the other, whatever their case, hyphens
 * and spaces. NULL holds nothing. */
bool rules_states(const char *text, const char *phrase);
/* Whether it states any of the phrases, which ';' separates. */
bool rules_states_any(const char *text, const char *phrases);

/* A row that speaks for the visit: measured, before treatment, by the measurer who is used, in no
 * doubt, and no fixed joint. An estimate is none. */
bool rules_is_usable(const struct finding *f);
/* The usable row of another test for the same motion, side and digit that agrees best in position;
 * NULL when there is none. A grade has no position in common with a range. */
const struct finding *rules_partner(const struct visit_findings *v, const struct finding *f,
                                    enum test test);
/* The same for any motion, side and digit, whatever the position. */
const struct finding *rules_row_of(const struct visit_findings *v, const struct motion *motion,
                                   enum side side, int digit, enum test test);
enum side rules_other_side(enum side side); /* right and left; midline is its own */
/* Whether the position is one in which gravity is not worked against, and whether it is one in
 * which it surely is. Both false: not known. */
bool rules_is_minimised(const struct finding *f);
bool rules_is_antigravity(const struct finding *f);
bool rules_is_in_force(const struct limit *l, const struct visit *visit);
/* Whether a precaution on file keeps this motion from that test. */
bool rules_is_forbidden(const struct visit_findings *v, const struct finding *f, enum test test);

/* ---- grades (strength.c) -------------------------------------------------------------------- */

/* Hundredths of a grade, so that a full grade is exact: 2.67 to 3.67 is one. */
enum { FULL_GRADE = 100 };
long rules_grade_steps(const struct grade *g);
/* Whether it is the strongest grade of the table. */
bool rules_is_full_grade(const struct visit_findings *v, const struct grade *g);
bool rules_grade_at_least(const struct visit_findings *v, const struct finding *f,
                          const char *grade);
/* How strong a graded row is: by its own grade, or a full grade below the other side. */
enum power { POWER_UNKNOWN, POWER_WEAK, POWER_BETWEEN, POWER_STRONG };
enum power rules_power(const struct visit_findings *v, const struct finding *f);
/* Largest active range of the motion that was graded; NULL when none was recorded. */
const struct finding *rules_active_range(const struct visit_findings *v, const struct finding *f);
/* Degrees that were moved. */
struct num rules_moved(const struct finding *active);

/* ---- what is on file (history.c) ------------------------------------------------------------- */

enum {
    FILE_REPLACEMENT = 1,
    FILE_FUSION = 2,
    FILE_FRACTURE = 4,
    FILE_SURGERY = 8,
    FILE_IMMOBILISED = 16,
    FILE_CENTRAL = 32, /* a condition of brain or cord */
    FILE_TONE = 64
};
/* What diagnosis and procedure say of a joint and side. What names no part of the body is taken
 * to be of every part. */
unsigned rules_on_file(const struct visit_findings *v, const char *joint, enum side side);
/* Raised tone noted with any reading of that joint and side. */
bool rules_tone_noted(const struct visit_findings *v, const char *joint, enum side side);

/* ---- patterns ------------------------------------------------------------------------------ */

/* Room for one more pattern, with room for so many rows. */
struct pattern *rules_new_pattern(struct visit_findings *v, struct arena *a, size_t max_rows);
bool rules_is_taut(const struct finding *f); /* position stretches a muscle over two joints */
bool rules_end_feel_expected(const struct finding *f);

/* ---- choices that other families need ------------------------------------------------------ */

/* Whether age, in completed years (decimal below two), lies in the norm's band. */
bool rules_age_fits(const struct norm *norm, double age);
/* Whether a token of a qualifier ("arm at side", "toes 2-5") is what the row states. */
enum token { TOKEN_NO, TOKEN_POSITION, TOKEN_DIGIT, TOKEN_INFANT };
enum token rules_token_fits(const struct finding *f, struct num age, const char *token);
/* True when every token of the qualifier fits; `kind` is then that of the strongest token. */
bool rules_qualifier_fits(const struct finding *f, struct num age, const char *qualifier,
                          enum token *kind);
/* The normal row for a row's motion, digit and position, whatever its side and test; NULL when
 * no figure is for it. */
const struct norm *rules_normal(const struct visit_findings *v, const struct finding *f);
/* The same whatever profile the clinic chose. */
const struct norm *rules_usual_normal(const struct visit_findings *v, const struct finding *f);
/* Whether the norm's sex and ages are the patient's. */
bool rules_norm_fits_person(const struct visit_findings *v, const struct norm *norm);
/* The row of the clinic's profile; NULL when its sources have none, or for the default profile. */
const struct norm *rules_profile_normal(const struct visit_findings *v, const struct finding *f);
bool rules_profile_has(enum norms_profile profile, const struct norm *norm);
/* Whether the normal row is for the position the row states, where position matters. */
bool rules_position_has_normal(const struct finding *f, const struct norm *normal);

struct error_question {
    const struct finding *row; /* motion, test, unit, position, normal */
    enum instrument instrument;
    bool two_raters;
};
struct error_answer {
    struct error_used used;
    bool too_large; /* a published figure was set aside for its size */
    bool visual;    /* by eye: held against the larger rule of thumb */
};
/* Whether a study's row may answer: the same motion, unit and kind of repeat, nothing else named.
 */
bool rules_error_counts(const struct error_row *row, const struct error_question *q);
struct error_answer rules_error_for(const struct visit_findings *v, struct error_question q);

/* The verdict on a difference of two readings, sign apart. */
enum verdict rules_verdict(double size, const struct error_used *used);
/* The row of an earlier visit that this one may be compared with; NULL when there is none. */
const struct finding *rules_same_reading(const struct finding *f,
                                         const struct visit_findings *earlier);
/* Whether a limit in force was passed, by range, by resistance or by testing at all. */
bool rules_is_past_limit(const struct finding *f);

/* The verdict on a difference of grades and the limit it was held against. */
enum verdict rules_grade_verdict(const struct clinic *clinic, const struct grade *now,
                                 const struct grade *then, bool two_raters,
                                 struct error_used *used);

/* ---- families ------------------------------------------------------------------------------ */

void rules_group(struct visit_findings *v, struct arena *a);
void rules_deficit(struct visit_findings *v, struct arena *a);
void rules_error(struct visit_findings *v, struct arena *a);
void rules_icf(struct visit_findings *v, struct arena *a);
void rules_peers(struct visit_findings *v, struct arena *a);
void rules_passive(struct visit_findings *v, struct arena *a);
void rules_swap(struct visit_findings *v, struct arena *a);
/* The same against `older`, latest first, which are checked themselves. */
void rules_swap_check(struct visit_findings *v, struct visit_findings *const *older, size_t n);
void rules_side(struct visit_findings *v, struct arena *a);
void rules_limited(struct visit_findings *v, struct arena *a);
void rules_change(struct visit_findings *v, struct arena *a);
void rules_jump(struct visit_findings *v, struct arena *a);
void rules_stretch(struct visit_findings *v); /* part of jump, and of each earlier visit */
void rules_end_feel(struct visit_findings *v, struct arena *a);
void rules_strength(struct visit_findings *v, struct arena *a);
void rules_compensation(struct visit_findings *v, struct arena *a);
void rules_neutral_zero(struct visit_findings *v, struct arena *a);
void rules_grades(struct visit_findings *v, struct arena *a);
void rules_force(struct visit_findings *v, struct arena *a);
void rules_demand(struct visit_findings *v, struct arena *a);
void rules_score(struct visit_findings *v, struct arena *a);
void rules_patterns(struct visit_findings *v, struct arena *a);
void rules_tension(struct visit_findings *v, struct arena *a);
void rules_cluster(struct visit_findings *v, struct arena *a);
void rules_goal(struct visit_findings *v, struct arena *a);
void rules_limit(struct visit_findings *v, struct arena *a);
void rules_trend(struct visit_findings *v, struct arena *a);
void rules_reminder(struct visit_findings *v, struct arena *a);
void rules_headline(struct visit_findings *v, struct arena *a);
/* Mean torque of all tries, in N m and per kg; called while a row is put together. */
void rules_torque(struct finding *f, const struct visit *visit);

#endif
