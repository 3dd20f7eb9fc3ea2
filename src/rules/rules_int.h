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
int rules_icf_band(double percent);                   /* 0 to 4 */
/* a >= b and a > b for values that came from decimals: what a reader of the decimals would say,
 * whatever the last bits of their binary forms are. */
bool rules_at_least(double a, double b);
bool rules_over(double a, double b);

/* ---- rows (row.c) ------------------------------------------------------------------------- */

/* Adds a flag once; its level comes from the table of flags. */
void rules_flag(struct finding *f, const char *id);
bool rules_has_flag(const struct finding *f, const char *id);

bool rules_is_rom(const struct finding *f);   /* AROM or PROM */
bool rules_is_after(const struct finding *f); /* after treatment */
bool rules_lower_is_better(const struct finding *f);
bool rules_is_doubtful(const struct finding *f); /* a passive reading below the active one */
struct num rules_value(const struct finding *f); /* end, force or grade score; none without */
/* Same motion, digit, test, timing and unit: rows whose numbers mean the same thing. */
bool rules_same_kind(const struct finding *a, const struct finding *b);

/* How two rows agree in something that may be unstated. */
enum fit { FIT_NO, FIT_UNSTATED, FIT_SAME };
enum fit rules_text_fit(const char *a, const char *b);
enum fit rules_position_fit(const struct finding *a, const struct finding *b);
enum fit rules_setup_fit(const struct finding *a, const struct finding *b); /* tool, technique */
enum fit rules_rater_fit(const struct finding *a, const struct finding *b);

/* Whether `text` holds the words of `phrase` one after the other, whatever their case, hyphens
 * and spaces. NULL holds nothing. */
bool rules_states(const char *text, const char *phrase);

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

/* The verdict on a difference of grades and the limit it was held against. */
enum verdict rules_grade_verdict(const struct grade *now, const struct grade *then, bool two_raters,
                                 struct error_used *used);

/* ---- families ------------------------------------------------------------------------------ */

void rules_group(struct visit_findings *v, struct arena *a);
void rules_deficit(struct visit_findings *v, struct arena *a);
void rules_error(struct visit_findings *v, struct arena *a);
void rules_icf(struct visit_findings *v, struct arena *a);
void rules_peers(struct visit_findings *v, struct arena *a);
void rules_passive(struct visit_findings *v, struct arena *a);
void rules_side(struct visit_findings *v, struct arena *a);
void rules_limited(struct visit_findings *v, struct arena *a);
void rules_change(struct visit_findings *v, struct arena *a);
void rules_end_feel(struct visit_findings *v, struct arena *a);
void rules_strength(struct visit_findings *v, struct arena *a);
void rules_compensation(struct visit_findings *v, struct arena *a);
void rules_neutral_zero(struct visit_findings *v, struct arena *a);
void rules_headline(struct visit_findings *v, struct arena *a);

#endif
