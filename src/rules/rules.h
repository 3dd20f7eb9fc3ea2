/*
 * rules: holds every reading of one visit against normal values, peers, the other side, earlier
 * visits and measurement error, and notes what follows. One file a family; a family annotates the
 * rows of the result and changes nothing else. Words stay out: a rule sets values, codes and ids,
 * templates hold the sentences.
 *
 * Units as in the model. Everything is computed unrounded; rounding is the writer's.
 * Ownership: the result lives in the arena given. Rules do not fail: what cannot be known stays
 * missing.
 */
#ifndef ENDFEEL_RULES_H
#define ENDFEEL_RULES_H

#include "model/model.h"

enum tri { TRI_UNKNOWN, TRI_NO, TRI_YES };
enum limited { LIMITED_UNKNOWN, LIMITED_NO, LIMITED_BELOW_HANDBOOK, LIMITED_YES };
enum verdict { VERDICT_NONE, VERDICT_WITHIN_ERROR, VERDICT_PROBABLE, VERDICT_BEYOND_ERROR,
               VERDICT_NOT_COMPARABLE };
enum error_basis { BASIS_NONE, BASIS_PUBLISHED, BASIS_DERIVED, BASIS_RULE_OF_THUMB };
enum flag_level { FLAG_NOTE, FLAG_WARNING, FLAG_ERROR };
enum { FLAGS_MAX = 32, LIKELY_MAX = 2, SEEN_MAX = COMPENSATIONS_MAX, DEMANDS_MAX = 3 };

struct flag {
    const char *id;          /* id of grades-rules, or lower-case words with hyphens */
    enum flag_level level;
};

struct error_used {          /* the measurement error a comparison was judged by */
    enum error_basis basis;
    const struct error_row *row;   /* NULL when none fits */
    struct num sem, mdc90, mdc95;  /* empty for the rule of thumb */
    struct num limit;              /* what |difference| is held against, in the row's unit */
    bool two_raters;
};

struct comparison {          /* against an earlier visit */
    struct date date;
    struct num value;        /* end (or grade score, force) of that visit */
    const struct grade *grade;
    struct num change;       /* plus is better; empty when not comparable */
    enum verdict verdict;
    struct error_used error;
};

/* A goal at this visit. Values are in the unit of the motion, newtons or grade scores. */
struct goal_finding {
    const struct goal *goal;
    const struct finding *row;           /* the reading held against it; NULL when there is none */
    const char *status;                  /* not-measured, in-doubt, met, worse, overdue,
                                            within-error, on-course, behind */
    struct num target, baseline;
    const struct grade *baseline_grade;
    struct date baseline_date;           /* of the reading, else the day the goal was set */
    struct num gained, remaining;        /* plus is towards the target; never below 0 remaining */
    struct num percent;                  /* not clipped; none where target and baseline are one */
    struct num expected;                 /* on the straight line from baseline to target */
    struct num days_left;                /* below 0: overdue */
    struct num last;                     /* where not measured now: the latest reading before */
    const struct grade *last_grade;
    struct date last_date;
    struct date met_on;                  /* first reading that met it, where it is met now */
    bool late;                           /* that reading came after the due date */
    struct goal_finding *next;           /* a further goal of the same row */
};

/* A limit that concerns a row, or is in force. */
struct limit_finding {
    const struct limit *limit;
    const char *status;                  /* within, beyond, expired; NULL: nothing measured */
    struct limit_finding *next;          /* a further limit of the same row */
};

/* Three or more visits. Time is in weeks; nothing is said of days after the last point. */
struct trend_point {
    struct date date;
    double value;
};
struct trend {
    const char *method;                  /* known-error, rule-of-thumb, least-squares,
                                            theil-sen-exact, theil-sen */
    struct trend_point *points;          /* oldest first */
    size_t n;
    double slope;                        /* per week, in the direction of the values */
    struct num low, high;                /* 95% limits */
    double first_fit, last_fit;          /* the line at the first and the last point */
    struct num sem;                      /* error of each point, where a study tells it */
    const char *direction;               /* better, worse; unclear where the limits hold 0 */
    bool two_raters;
};

/* A count or a date to keep in mind; the payer's current text decides. */
struct reminder {
    const char *id;                      /* progress-report, plan-signature, certification */
    const char *rule;                    /* medicare-part-b; clinic where its file says so */
    const char *status;                  /* later, due, overdue, done */
    long count, due_at;                  /* treatment days, or days */
    bool at_least;                       /* visits without a typed treatment day were counted */
    struct date since, due;              /* due: of those that count days */
};

struct demand_short {        /* an activity that needs more of the motion than there is */
    const struct demand *demand;
    double short_by;         /* in the unit of the motion; above 0 */
    bool likely;             /* short by more than the spread of the need, else of the reading */
};

/* One row of CONTRACT section 4: patient, visit, joint, motion, side, digit, test, position,
 * muscle, and measurer where two measured. */
struct finding {
    const struct motion *motion;
    enum side side;
    int digit;
    enum test test;
    enum timing timing;
    const char *position, *tool, *muscle, *measured_by;
    enum instrument instrument;
    enum role role;
    const struct measurement **from; /* the readings it stands for, in file order */
    size_t n_from;
    enum unit unit;                  /* of start, end, tries; UNIT_N for force, NONE for grades */
    bool second_measurer;            /* another person's row of the same thing is the one used: */
    const struct finding *used;      /* that row; NULL for all others */
    struct num rater_difference;     /* this - that, where both have a number of one unit */
    bool fixed;                      /* ankylosed: never compared with another visit */

    enum reading_status status;
    const char *status_reason;
    struct num start, end, sd;       /* end: mean of the tries */
    double tries[TRIES_MAX];
    int n_tries, n_unlisted;         /* listed in `tries`; taken, but beyond the list */

    const struct norm *normal;       /* the row held against; NULL when none */
    struct num deficit, deficit_percent;
    int icf;                         /* 0-4; -1 = empty */
    enum limited limited;

    const struct norm *peers;        /* NULL when no stratum fits */
    struct num z, percentile;        /* only where an SD is published */
    const struct force_norm *force_norm; /* peers of a force; its mean and SD in newtons: */
    struct num force_mean_n, force_sd_n;

    struct num other_value;          /* the other side */
    struct date other_date;          /* set only when not of this visit */
    struct num side_difference, side_index_percent;
    enum tri side_beyond_error;
    struct error_used error;         /* for one rater, this motion: sem_deg ... error_source */

    struct comparison previous, first;

    struct goal_finding *goal;       /* the next one due first; NULL when none */
    struct limit_finding *limit;     /* one that was passed first; NULL when none */
    const struct trend *trend;       /* NULL below three comparable visits */

    const struct grade *grade;
    const struct heel_rises *heel_rises; /* table a count was held against; NULL when none was */
    struct num force_n, torque_nm, torque_nm_per_kg;
    enum end_feel end_feel;          /* felt */
    bool pain;
    struct num pain_low, pain_high;
    const struct compensation *seen[SEEN_MAX];
    const char *seen_text[SEEN_MAX]; /* as typed, where it is not in the reference */
    int n_seen;
    const struct compensation *likely[LIKELY_MAX];
    int n_likely;
    const char *neutral_zero;        /* "5-0-140"; NULL when not known */
    struct demand_short demands[DEMANDS_MAX]; /* of limited active motions, most telling first */
    int n_demands;
    struct flag flags[FLAGS_MAX];
    int n_flags;
    enum diag_code notes[NOTES_MAX]; /* import notes */
    int n_notes;
};

/* A set of findings that may suggest something to the clinician: ids, the readings it rests on and
 * what to recheck. It states nothing. */
struct pattern {
    const char *kind;                /* id of a tension or a muscle length of the reference */
    const struct tension *tension;   /* NULL for a muscle length */
    const struct capsular *capsular; /* for the two kinds that are held against a capsule */
    const struct muscle_length *length;
    const char *joint;               /* NULL: of several joints */
    const struct motion *motion;     /* NULL: of several motions */
    enum side side;
    int digit;
    const char *roots, *nerve;       /* of clusters; roots separated by a space */
    struct num from, to;             /* the painful part, degrees */
    struct num gap;                  /* degrees between the two readings that are compared */
    const struct finding **rows;     /* the readings it rests on */
    size_t n_rows;
};

/* A sum of grades, where the visit declares its protocol. */
struct score_gap {
    const struct sum_item *item;
    enum side side;
};
struct score {
    const struct sum_score *sum;
    struct num right, left, total;   /* missing where not determinable */
    bool whole_grades;               /* plus or minus steps were dropped */
    const struct score_gap *gaps;    /* items without a usable grade */
    size_t n_gaps;
    const struct cut_off **reached;  /* of the people the cut-off speaks of alone */
    size_t n_reached;
};

struct rules_course;

struct visit_findings {
    const struct patient *patient;
    const struct visit *visit;
    const struct reference *ref;
    const struct clinic *clinic;
    struct num age;                  /* on the visit date */
    struct visit_findings **earlier; /* earlier visits that may be compared with, latest first: */
    size_t n_earlier;                /* rows as grouped and checked, nothing else of them */
    struct rules_course *course;     /* for trends; NULL: none */
    struct finding *rows;            /* motion order, side, digit, test, timing, position ... */
    size_t n_rows;
    /* tally */
    size_t n_measured, n_limited, n_below_handbook, n_compared, n_better, n_worse, n_missing;
    const struct finding *headline;  /* worst or most relevant row; NULL when nothing stands out */
    const char *check_first;         /* identity or side: problems told before it; NULL when none */
    size_t n_check_first;
    struct goal_finding *goals;      /* all that are set by this visit, in the order of the file */
    size_t n_goals;
    struct limit_finding *limits;    /* in force; status of all that was measured under them */
    size_t n_limits;
    struct reminder *reminders;
    size_t n_reminders;
    struct pattern *patterns;        /* none where the clinic wants none */
    size_t n_patterns;
    struct score *scores;
    size_t n_scores;
};

struct visit_findings *rules_evaluate(const struct patient *patient, const struct visit *visit,
                                      const struct reference *ref, const struct clinic *clinic,
                                      struct arena *arena);

/* What evaluating a visit leaves for a later one of the same patient: earlier visits as they are
 * compared with, and the slopes of trends. Lives in the arena given. */
struct rules_course *rules_course_new(struct arena *arena);
/* As rules_evaluate(), and the same in every figure. Of what was left, the visits are taken that
 * are still the same: the readings of this patient's visits must not have been freed or changed
 * since. Does not pay for a single visit. */
struct visit_findings *rules_evaluate_next(struct rules_course *course,
                                           const struct patient *patient,
                                           const struct visit *visit, const struct reference *ref,
                                           const struct clinic *clinic, struct arena *arena);

/* The rule families in the order they run, for --explain and for tests. */
struct rule_family {
    const char *id;                              /* "deficit", "peers", "side-difference" ... */
    void (*apply)(struct visit_findings *v, struct arena *a);
    const char *summary, *source;                /* one line each */
};
const struct rule_family *rules_families(size_t *n);

/* Every id a rule may put into `flags`, for --explain, the manual and tests. */
struct flag_info {
    const char *id;
    enum flag_level level;
    const char *meaning;                         /* one line */
};
const struct flag_info *rules_flags(size_t *n);
/* Does a flag doubt the entry itself, so that its number is shown with a question mark? */
bool rules_flag_doubts(const char *id);
/* The family that raises a flag and the figure it turns on, "" where it has none of its own; false
 * for an id that is no flag. */
bool rules_explain_flag(const char *id, const struct rule_family **family, const char **threshold);

/* Every kind of pattern a rule may tell: ids of tensions and muscle lengths of the reference. */
const char *const *rules_pattern_kinds(size_t *n);

const char *rules_verdict_name(enum verdict v);  /* within-error ... ; "" for none */
const char *rules_limited_name(enum limited l);  /* yes, below-handbook, no, "" */
const char *rules_basis_name(enum error_basis b);

#endif
