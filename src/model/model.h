/*
 * model: what was recorded, after import and before any judgement: patients, visits,
 * measurements, goals, limits, corrections, and the clinic's settings. import fills it, rules
 * reads it, nobody changes it in between. The unit of work is one patient with all their visits.
 *
 * Units: degrees (mm, cm where the motion says so) on the one angle scale: `end` counts in the
 * direction of the row's own motion; `start` 10 = began 10 short of zero, -8 = began 8 past zero.
 * Newton, metre, kilogram. Ownership: a patient and everything under it lives in one arena.
 * Missing: struct num without `has`, date without year, NULL text, enum value 0.
 */
#ifndef ENDFEEL_MODEL_H
#define ENDFEEL_MODEL_H

#include "reference/reference.h"

enum test { TEST_NONE, TEST_AROM, TEST_PROM, TEST_MMT, TEST_FORCE, TEST_COUNT };
enum timing { TIMING_NONE, TIMING_BEFORE, TIMING_AFTER };        /* none counts as before */
enum technique { TECHNIQUE_NONE, TECHNIQUE_MAKE, TECHNIQUE_BREAK };
enum role { ROLE_NONE, ROLE_PT, ROLE_PTA, ROLE_STUDENT, ROLE_OTHER };
enum visit_kind { VISIT_NONE, VISIT_EVALUATION, VISIT_VISIT, VISIT_PROGRESS, VISIT_REEVALUATION,
                  VISIT_DISCHARGE, VISIT_KIND_COUNT };
enum reading_status { READING_MEASURED, READING_ESTIMATED, READING_NO_ANGLE, READING_NOT_TESTED,
                      READING_NOT_APPLICABLE, READING_NOT_RECORDED, READING_HELD_BACK,
                      READING_STATUS_COUNT };

enum { TRIES_MAX = 12, NOTES_MAX = 12, COMPENSATIONS_MAX = 6 };

struct measurement {
    const struct motion *motion;
    enum side side;
    int digit;                       /* 0: none */
    enum test test;
    enum timing timing;
    const char *position, *tool, *muscle;
    enum instrument instrument;      /* from tool; UNKNOWN when not stated */
    enum technique technique;
    const char *measured_by, *supervisor;
    enum role role;

    enum reading_status status;
    const char *status_reason;       /* "pain", "precautions"; NULL */
    const char *text;                /* the cell as typed */
    enum unit unit;                  /* of start/end/tries */
    struct num start, end;           /* end: mean of tries when there are several in the row */
    double tries[TRIES_MAX];
    int n_tries;                     /* values in `tries`; 0 when there is no number */
    int try_no;                      /* column `try`; 0 = not stated */
    bool fixed;                      /* ankylosed: arc 0, no change figure */
    bool derived;                    /* made from the start angle of the opposite motion's row */
    bool start_is_other_side;        /* spine, neutral-zero: start is the other side's end */

    const struct grade *grade;       /* TEST_MMT with a grade */
    struct num repetitions;          /* counted beside a grade, such as heel rises */
    struct num force_n, lever_m;     /* TEST_FORCE */
    enum end_feel end_feel;
    bool pain;                       /* pain marked with this reading */
    struct num pain_low, pain_high;  /* 0-10; equal unless a range was given */
    struct num pain_from, pain_to;   /* degrees of arc */
    const char *compensations[COMPENSATIONS_MAX]; /* as typed or as an id of the reference */
    int n_compensations;
    const char *reason, *note;
    struct date corrected_on;        /* the row is a correction, or was corrected */
    const char *corrected_by, *correction_reason;

    enum diag_code notes[NOTES_MAX]; /* import notes that stay with the reading */
    int n_notes;
    struct diag_pos pos;             /* where the value stood */
};

struct visit {
    struct patient *patient;
    struct date date;
    enum visit_kind kind;
    bool from_history;               /* every row of it came by --history: never reported on */
    bool held;                       /* two kinds on one date and the like: no report */
    struct num treatment_day;
    struct num age, body_mass_kg;    /* as typed on this visit's rows; they change over time */
    const char *weight_bearing;
    const char *measured_by, *supervisor, *position, *tool; /* defaults of the visit */
    enum role role;
    struct date signed_on, countersigned_on;
    const char *plan, *question_to_referrer, *protocol, *outcome_name, *outcome_score;
    struct num pain_rest_low, pain_rest_high, pain_move_low, pain_move_high;
    struct measurement *measurements; /* sorted: motion order, side, digit, test, then file order */
    size_t n_measurements;
    struct diag *problems;           /* notes and held-back cells of this visit's rows */
    size_t n_problems;
};

struct goal {
    const char *id, *activity;
    const struct motion *motion;
    enum side side;
    int digit;
    enum test test;
    struct num value, baseline;
    const struct grade *grade;       /* goal on a grade */
    struct date due, set_on;
    struct diag_pos pos;
};

enum limit_kind { LIMIT_RANGE, LIMIT_RESISTANCE, LIMIT_WEIGHT_BEARING, LIMIT_NO_TEST };
struct limit {
    enum limit_kind kind;
    const struct motion *motion;     /* NULL: whole episode */
    enum side side;
    int digit;
    enum test test;                  /* TEST_NONE: any */
    struct num value;
    struct date from, until;
    const char *by;
    struct diag_pos pos;
};

/* A fact of the patient or of a visit whose row says that it was corrected. */
struct correction {
    const char *column;              /* as in docs/csv.md */
    struct date visit;               /* missing: a fact of the patient */
    struct date on;
    const char *by, *reason;
};

struct patient {
    struct arena *arena;
    const char *id, *name;
    struct date birth_date;
    struct num age;                  /* only when typed; reckoned otherwise from birth_date */
    enum sex sex;
    enum side dominant_side;
    struct num body_mass_kg;         /* age, mass, weight_bearing: only where all rows agree; */
    const char *weight_bearing;      /* a visit's own value goes before the patient's */
    const char *diagnosis, *diagnosis_code, *procedure;
    const char *referrer, *referrer_address, *referral_reason;
    struct date onset_date, surgery_date, plan_start, certified_on;
    enum side affected_side;
    bool held;                       /* two people under one id and the like: no report */
    struct visit *visits;            /* sorted by date */
    size_t n_visits;
    struct goal *goals;
    size_t n_goals;
    struct limit *limits;
    size_t n_limits;
    struct correction *corrections;
    size_t n_corrections;
    const struct import_days *days;  /* import's own, for import_as_of(); NULL: none */
};

/* Whose normal values come first where the reference has them (docs/clinic.md). */
enum norms_profile { NORMS_DEFAULT, NORMS_LEGAL, NORMS_AAOS, NORMS_AMA, NORMS_PROFILE_COUNT };
/* Grades on which schools differ; the first of each is the default. */
enum partial_grade { PARTIAL_TWO_PLUS_THREE_MINUS, PARTIAL_TWO };
enum grade_method { GRADE_METHOD_NONE, GRADE_METHOD_MAKE, GRADE_METHOD_BREAK,
                    GRADE_METHOD_THROUGH_RANGE };

/* Settings of one clinic (--clinic FILE, XML, docs/clinic.md); clinic_default() when none is
 * given. */
struct clinic {
    const char *heading;             /* printed name; "" by default */
    const char *address, *phone, *logo; /* "" when absent */
    const char *locale;              /* how numbers and dates are printed; "" by default */
    double tolerance_deg;            /* readings of one visit that should agree */
    double tries_apart_deg;          /* tries further from their mean are noted */
    bool show_patterns;              /* "for the clinician to consider", default true */
    enum norms_profile norms;
    enum partial_grade partial_against_gravity;
    bool two_plus_by_resistance;     /* 2+ for slight resistance, gravity minimised; default true */
    const char *heel_rises;          /* id of the table that grades counts of heel rises */
    bool five_minus;                 /* 5- is a grade here; default false */
    bool grades_of_ten;              /* grades are typed from 0 to 10; default false */
    enum grade_method grade_method;  /* how grades are tested where a reading does not say */
    double grade_change;             /* smallest change of a grade told as one */
    int progress_treatment_days;     /* a progress report is due at so many */
    int signature_days;              /* from the plan's start to its signature */
    int certification_days;          /* from the plan's start to its end */
    const char *digest;              /* sha256 hex of the file; "" by default */
};
struct clinic clinic_default(const struct reference *ref);
struct clinic *clinic_load(const char *path, const struct reference *ref, struct arena *a,
                           struct diag_sink *sink) MUST_CHECK;

/* Walks everything that must hold of a patient (order, pointers, ranges, statuses with and
 * without numbers); false at the first breach with a line for the developer in `why`. */
bool model_check(const struct patient *p, char *why, size_t why_size) MUST_CHECK;
/* Order of a visit's measurements: motion, side, digit, test; 0 where file order decides. */
int model_measurement_compare(const struct measurement *a, const struct measurement *b);
/* Whether a status carries numbers: measured and estimated alone do. */
bool model_has_number(enum reading_status status);
/* Stable text for --dump model and for tests; C locale numbers. */
void model_dump(const struct patient *p, struct buf *out);

/* Years on that day: from the birth date, else as typed on that day's visit, else as typed. */
double model_age_on(const struct patient *p, struct date on, bool *known);
/* What holds on a visit: its own value, else the patient's. */
struct num model_body_mass_on(const struct visit *v);
const char *model_weight_bearing_on(const struct visit *v); /* or NULL */
const char *test_name(enum test test);              /* AROM, PROM, MMT, force */
const char *reading_status_name(enum reading_status s);
const char *visit_kind_name(enum visit_kind kind);
const char *role_name(enum role role);
const char *timing_name(enum timing timing);
const char *sex_name(enum sex sex);

#endif
