/*
 * reference: the reference library, loaded from XML (the files of src/reference, compiled in as the
 * default, or a folder given with --reference). Motions, normal values with their roles, peers,
 * measurement error, goniometer set-ups, muscle tests, compensations, grades and sources; further
 * what activities need, patterns of findings, force norms and sum scores. Every figure keeps its
 * source and how it is known; a weaker mark is never upgraded.
 *
 * Units: degrees unless `unit` says mm, cm, N ... Ages in years. Ownership: the library owns all;
 * everything handed out is const and lives until reference_free().
 * Failure: loading reports file, line and the nearest known name, and gives NULL.
 */
#ifndef ENDFEEL_REFERENCE_H
#define ENDFEEL_REFERENCE_H

#include "base/base.h"

enum unit { UNIT_NONE, UNIT_DEG, UNIT_MM, UNIT_CM, UNIT_PERCENT, UNIT_N, UNIT_NM, UNIT_N_PER_KG,
            UNIT_KGF, UNIT_LBF, UNIT_NM_PER_KG, UNIT_COUNT };
enum sides { SIDES_MIDLINE, SIDES_LEFT_RIGHT };
enum sex { SEX_UNKNOWN, SEX_FEMALE, SEX_MALE, SEX_OTHER };
enum side { SIDE_NONE, SIDE_MIDLINE, SIDE_RIGHT, SIDE_LEFT, SIDE_COUNT }; /* fixed order of print */
enum mode { MODE_UNSPECIFIED, MODE_ACTIVE, MODE_PASSIVE };
enum instrument { INSTRUMENT_UNKNOWN, INSTRUMENT_GONIOMETER, INSTRUMENT_INCLINOMETER,
                  INSTRUMENT_TAPE, INSTRUMENT_RULER, INSTRUMENT_VISUAL, INSTRUMENT_DYNAMOMETER,
                  INSTRUMENT_COUNT };
enum norm_role { NORM_DEFAULT, NORM_ALT, NORM_STRATUM, NORM_SPECIAL };
enum norm_kind { NORM_HANDBOOK, NORM_LEGAL, NORM_POPULATION, NORM_STUDY };
enum end_feel { END_FEEL_NONE, END_FEEL_SOFT, END_FEEL_FIRM, END_FEEL_HARD, END_FEEL_EMPTY,
                END_FEEL_SPASM, END_FEEL_SPRINGY, END_FEEL_COUNT };
enum gravity_rule { GRAVITY_APPLIES, GRAVITY_EXEMPT, GRAVITY_MODIFIED };

/* What the how-known text admits; where it admits several things the weakest is the mark. */
struct known {
    const char *text;    /* the whole remark, as in the tables */
    const char *mark;    /* print mark: "" (seen), "seen second-hand", "partly unverified",
                            "common practice", "common practice, unverified", "unverified", "own" */
};

struct source {
    const char *id;       /* e.g. "AAOS_NW" */
    const char *citation; /* short printable citation, own words */
    const char *note;     /* what was seen of it; may be "" */
    size_t peers_rank;      /* from 1: whose groups come first where several fit; 0: not ranked */
    const char *peers_mark; /* how the rank is known; "" when not ranked */
};

struct norm {
    const struct motion *motion;
    const struct source *source;
    struct known known;
    enum norm_role role;
    enum norm_kind kind;
    enum mode mode;
    enum sex sex;             /* SEX_UNKNOWN = any */
    enum side side;           /* SIDE_NONE = any */
    enum unit unit;
    bool lower_is_better;
    double normal;            /* value or mean, in `unit` */
    struct num sd;
    struct num ci95_low, ci95_high;  /* of the MEAN: never judges a patient */
    double age_min, age_max;         /* see reference_norm_fits_age() */
    struct num n;
    struct num hyper_ok, max_plausible;
    struct num range_low, range_high;
    const char *range_kind; /* "" or p5-p95, min-max, range-of-means, stated-normal-range */
    const char *qualifier;           /* "" or the position, digit, method it belongs to */
    const char *note;
};

struct error_row {                   /* measurement error; joint/motion NULL = any ("*") */
    const char *joint, *motion;
    enum mode mode;
    enum instrument instrument;
    bool inter;                      /* two raters; false: one rater */
    struct num sem, mdc90, mdc95, icc;
    enum unit unit;
    const char *population, *n;
    const struct source *source;
    struct known known;
    bool derived;                    /* how_known: MDC derived from limits of agreement */
    bool rule_of_thumb;              /* source COMMON: a working threshold, not an MDC */
};

struct goniometry {
    const char *plane, *position, *position_detail, *fulcrum, *stationary_arm, *moving_arm;
    enum end_feel end_feel;
    unsigned end_feel_also;          /* bit (1u << enum end_feel) for each also accepted */
    const char *end_feel_reason, *stabilize, *note, *instrument;
    struct known known;
};

/* Place of a motion in the three numbers of the neutral-zero method. */
enum notation_place {
    NOTATION_FIRST,      /* away from the body, before the zero */
    NOTATION_LAST,       /* towards it, behind */
    NOTATION_LEFT_FIRST  /* of the spine: left before the zero, right behind */
};
struct notation {
    const char *plane;               /* S, F, T or R; R also for axial rotation */
    enum notation_place place;
    const struct source *source;
    struct known known;
};

struct muscle_test {
    const char *prime_movers, *nerve, *roots, *position_against_gravity, *detail;
    const char *position_gravity_minimized, *detail_minimized, *resistance_at;
    const char *resistance_direction, *stabilize, *palpate_for_trace, *note;
    enum gravity_rule gravity_rule;
    struct known known;
};

struct compensation {
    const char *id, *what_you_see, *direction, *why, *how_to_prevent;
    bool in_rom, in_mmt;
    bool trigger_limited, trigger_weak, trigger_painful;
    struct num typical_deficit;      /* degrees from which it is usual */
    struct known known;
};

struct grade {
    const char *text;                /* "0" ... "5", "4-", "3+" */
    const char *traditional_name, *abbreviation, *criterion;
    const char *range_needed, *gravity, *resistance; /* the parts of the criterion */
    int ordinal;
    double numeric;                  /* grade_score of the findings */
    struct num mrc, isncsci;         /* the whole grade of a sum; missing: not known */
    const char *kendall;             /* on the 0-10 scale; "T" for a trace */
    bool optional;                   /* a grade where the clinic file says so */
    const char *note;
    struct known known;
};

/* A check of manual grades, as the tables word it; the ids are those of the flags of the rules. */
struct grade_check {
    const char *id, *condition, *message, *why, *setting;
    const char *severity;            /* note, warning, error */
    struct known known;
};

/* Figures that rules turn on and that belong to no single motion; the first six are defaults that a
 * clinic file may change. Ids and units: src/reference/thresholds.xml. */
enum threshold_id {
    THRESHOLD_TOLERANCE, THRESHOLD_TRIES_APART, THRESHOLD_GRADE_CHANGE, THRESHOLD_PROGRESS_REPORT,
    THRESHOLD_PLAN_SIGNATURE, THRESHOLD_CERTIFICATION,
    THRESHOLD_ICF_MILD, THRESHOLD_ICF_MODERATE, THRESHOLD_ICF_SEVERE, THRESHOLD_ICF_COMPLETE,
    THRESHOLD_LOSS_MILD, THRESHOLD_LOSS_MODERATE, THRESHOLD_LOSS_SEVERE, /* where normal is 0 */
    THRESHOLD_LIMITED_Z, THRESHOLD_ERROR_SHARE, THRESHOLD_ADULT_AGE,
    THRESHOLD_JUMP_LIMITS, THRESHOLD_USUAL_LIMITS, THRESHOLD_USUAL_SPREAD,
    THRESHOLD_SWAP_RATIO, THRESHOLD_DEMAND_SHORT,
    THRESHOLD_TREND_VISITS, THRESHOLD_TREND_RESIDUAL_VISITS, THRESHOLD_TREND_LINE_VISITS,
    THRESHOLD_OPPOSITE_AGREES, THRESHOLD_AGE_NOT_TOLD, THRESHOLD_COUNT
};
struct threshold {
    const char *id;
    double value;                    /* above 0 */
    const char *unit;                /* "deg", "%", "years" ... */
    const char *rules;               /* families that turn on it, set apart by blanks; or "" */
    const char *clinic;              /* element of the clinic file that may change it; or "" */
    const char *meaning, *source;
    struct known known;
};

/* Full heel rises on one leg from which a grade is given; schools differ. */
struct heel_rises {
    const char *id;
    struct num five, four, three;    /* the least count of each; missing: the table does not say */
    const char *note;
    const struct source *source;
    struct known known;
};

struct motion {
    const char *joint, *motion;      /* public keys, e.g. "shoulder", "external-rotation" */
    const char *region;              /* spine, jaw, shoulder, elbow-forearm, wrist, hand, ... */
    const char *plane;
    enum sides sides;
    enum unit unit;                  /* UNIT_NONE: strength only */
    bool rom, mmt;
    int digit_min, digit_max;        /* 0,0: takes no digit */
    const struct motion *opposite;   /* NULL: none; itself: the same motion of the other side */
    int order;                       /* place in reference_motion_at(), head to foot */
    const struct norm *normal;       /* the default row; NULL when strength only */
    const struct norm *norms;        /* all rows of this motion, file order; all in `unit` */
    size_t n_norms;
    const struct goniometry *goniometry;   /* NULL when none */
    const struct muscle_test *muscle_test; /* NULL when none */
    const struct notation *notation;       /* NULL: no pair of angles to write */
    const struct compensation *compensations;
    size_t n_compensations;
    const struct muscle_length *muscle_length; /* NULL: no muscle over two joints is on file */
    const struct error_row *errors;  /* of reference_errors(), from its first row to its last */
    size_t n_errors;
};

/* ---- patterns of findings ----------------------------------------------------------------- */

/* One condition on the losses of passive motion. d is the percent missing to normal, or the degrees
 * short of it where the normal value is 0. */
enum loss_test {
    LOSS_LEAST,     /* d(motion) >= value */
    LOSS_LEAST_DEG, /* the loss of motion in degrees >= value */
    LOSS_ABOVE,     /* d(motion) > value */
    LOSS_BELOW,     /* d(motion) < value */
    LOSS_NOT_BELOW, /* d(motion) >= d(other) - value */
    LOSS_OVER,      /* d(motion) > d(other) */
    LOSS_NEAR,      /* |d(motion) - d(other)| <= value */
    LOSS_RATIO,     /* value <= loss of motion / loss of other, in degrees, <= high */
    LOSS_LIMITED    /* motion counts as limited */
};
struct loss {
    enum loss_test test;
    const struct motion *motion, *other; /* other: NULL where the test names one motion */
    double value;
    struct num high;
    bool if_measured;                    /* holds where the motion was not measured */
};

enum { CAPSULAR_MOTIONS_MAX = 6 };
struct capsular {                        /* loss in the proportions of a joint's capsule */
    const char *joint, *anatomical_joint, *pattern, *motion_order, *program_test;
    const char *evidence, *alternative;
    const char *skip_with;               /* id of a muscle length that explains the loss; or "" */
    int digit;                           /* 0: any */
    const struct motion *motions[CAPSULAR_MOTIONS_MAX]; /* all must be measured */
    int n_motions;
    const struct loss *losses;           /* none: the tables give no figures, nothing is judged */
    size_t n_losses;
    const struct source *source;
    struct known known;
};

struct muscle_length {                   /* a motion, its muscle taut and slack at another joint */
    const char *id, *muscle, *recheck;
    const char *taut, *slack;            /* positions, separated by ';' */
    bool normal_is_slack;                /* the usual normal value is for the slack position */
    const struct motion *motion;
    struct known known;
};

struct tension {                         /* selective tension: what a set of findings may suggest */
    const char *id, *kind, *finding, *condition, *may_suggest, *wording, *caveat, *recheck;
    struct num deg, factor, least;       /* figures of the condition */
    const struct grade *grade;           /* NULL: the condition names none */
    struct known known;
};

struct myotome {
    const char *level, *key_muscles, *limb, *grade_scale, *position, *note;
    const struct motion *motion;
    int digit;                           /* 0: any */
    bool isncsci_key;
    struct known known;
};

/* ---- what activities need ------------------------------------------------------------------ */

enum demand_role { DEMAND_DEFAULT, DEMAND_ALT, DEMAND_SPECIAL };
enum knee_angle { KNEE_ANY, KNEE_STRAIGHT, KNEE_BENT };
struct demand {
    const char *activity_id, *activity, *icf_code;
    const struct motion *motion;
    double needed;                       /* upper end, in `unit` and the direction of the motion */
    struct num from;                     /* lower end where it is not 0 */
    struct num sd;                       /* of needed */
    enum unit unit;                      /* of the motion, or percent of the person's own range */
    const char *basis;                   /* mean-peak, envelope, enough, mean-use, arc ... */
    enum demand_role role;
    const char *qualifier;               /* "" or the side, digit or age it belongs to */
    struct num age_min, age_max;         /* completed years, where the qualifier is an age */
    enum knee_angle knee;
    const char *population, *note;
    struct num n;
    const struct source *source;
    struct known known;
};
struct icf_code {
    const char *code, *title;
    struct known known;
};

/* ---- strength in figures -------------------------------------------------------------------- */

struct force_norm {
    const char *measure, *population, *range_kind; /* observed, ci95-of-mean, lower-quartile */
    const struct motion *motion;         /* NULL: of no single motion (grip) */
    enum sex sex;
    enum side side;
    struct num age_min, age_max;         /* completed years; age_max missing: open */
    struct num mean, sd, se, low, high, n;
    enum unit unit;
    const char *muscle;                  /* "" or what a reading's muscle must say */
    struct num tries;                    /* of how many tries a reading must be the mean */
    const struct source *source;
    struct known known;
};

enum sum_grades { SUM_ISNCSCI, SUM_MRC, SUM_KENDALL };
struct sum_item {
    const char *level;                   /* "" where the score names none */
    const struct motion *motion;
    int digit;
};
enum cut_compare { CUT_BELOW, CUT_AT_MOST, CUT_AT_LEAST };
struct cut_off {
    enum cut_compare compare;
    double value;
    const char *meaning;
    const char *population;              /* what the diagnosis must say, separated by ';' */
};
struct sum_score {
    const char *id, *name;
    const char *protocol;                /* what the visit must declare; "": never computed */
    const char *sides, *grade_rule, *missing_rule, *interpretation;
    const char *not_in;                  /* positions whose grades do not count, separated by ';' */
    const char *instead_of;              /* id of the score it stands in for; or "" */
    enum sum_grades grades;              /* which whole grades are added */
    double max_per_item, max_total;
    struct num max_per_side;
    bool by_side;                        /* a side is reported although the other is not complete */
    const struct sum_item *items;
    size_t n_items;
    const struct cut_off *cut_offs;
    size_t n_cut_offs;
    const struct source *source;
    struct known known;
};

/* What a word of a column header, or of the cells joint and motion, says. A spelling means one
 * thing; those of columns stand apart, because they only serve suggestions. */
enum spelling_kind {
    SPELLING_JOINT,    /* means: key of a joint */
    SPELLING_MOTION,   /* key of a motion; which joints have it, the motions say */
    SPELLING_MUSCLE,   /* "joint motion" whose test it is */
    SPELLING_SIDE,     /* right, left, midline */
    SPELLING_UNIT,     /* N, kgf, lbf, mm, cm */
    SPELLING_LIMB,     /* right, left or both where it says so, then the regions of a limb */
    SPELLING_TEST,     /* AROM, PROM, MMT, force; range: one of the first two; assisted: none */
    SPELLING_DIGIT,    /* 1 to 5 */
    SPELLING_POSITION, /* as cells name it, "knee bent" */
    SPELLING_STATED,   /* the same in the position column alone: a header would mistake it */
    SPELLING_TIMING,   /* before, after */
    SPELLING_FILLER,   /* nothing of its own */
    SPELLING_COLUMN,   /* name of a native column */
    SPELLING_KIND_COUNT
};
struct spelling {
    const char *text;  /* small letters and digits, words parted by one blank */
    enum spelling_kind kind;
    const char *means; /* "" for fillers */
};

struct reference;
/* The library compiled in; NULL only if the program is broken (reported). */
struct reference *reference_load_embedded(struct diag_sink *sink) MUST_CHECK;
struct reference *reference_load_folder(const char *folder, struct diag_sink *sink) MUST_CHECK;
void reference_free(struct reference *ref);
const char *reference_digest(const struct reference *ref); /* sha256 hex, files in name order */

size_t reference_motion_count(const struct reference *ref);
const struct motion *reference_motion_at(const struct reference *ref, size_t i); /* head to foot */
const struct motion *reference_motion(const struct reference *ref, const char *joint,
                                      const char *motion); /* exact keys; NULL when unknown */
const char *reference_nearest_joint(const struct reference *ref, const char *joint);
const char *reference_nearest_motion(const struct reference *ref, const char *joint,
                                     const char *motion);
/* All rows: those for any joint first, then head to foot, those for any motion of a joint after the
 * motions of that joint; within a motion in file order. */
const struct error_row *reference_errors(const struct reference *ref, size_t *n);
/* Whole years stand for completed years: age_min <= age < age_max + 1. An upper bound that is not a
 * whole number (infants) is literal: age_min <= age <= age_max. */
bool reference_norm_fits_age(const struct norm *norm, double age);
const struct source *reference_source(const struct reference *ref, const char *id);
size_t reference_source_count(const struct reference *ref);
const struct source *reference_source_at(const struct reference *ref, size_t i);
const struct grade *reference_grade(const struct reference *ref, const char *text); /* exact */
/* The same by its step of the scale from 0 to 10. */
const struct grade *reference_grade_of_ten(const struct reference *ref, const char *text);
/* Sorted by text, those of columns last. */
const struct spelling *reference_spellings(const struct reference *ref, size_t *n);
/* Weakest grade first; i < *n. NULL past the end; n may be NULL. */
const struct grade *reference_grade_at(const struct reference *ref, size_t i, size_t *n);

/* A library without the file of thresholds has those compiled in. */
double reference_threshold(const struct reference *ref, enum threshold_id id);
const struct threshold *reference_threshold_row(const struct reference *ref, enum threshold_id id);

/* The further tables, in the order of their files; a library without one has none of its rows. */
/* The first one is the usual. */
const struct heel_rises *reference_heel_rises(const struct reference *ref, size_t *n);
const struct grade_check *reference_grade_checks(const struct reference *ref, size_t *n);
const struct capsular *reference_capsulars(const struct reference *ref, size_t *n);
const struct muscle_length *reference_muscle_lengths(const struct reference *ref, size_t *n);
const struct tension *reference_tensions(const struct reference *ref, size_t *n);
const struct tension *reference_tension(const struct reference *ref, const char *id); /* or NULL */
const struct myotome *reference_myotomes(const struct reference *ref, size_t *n);
const struct demand *reference_demands(const struct reference *ref, size_t *n);
const struct icf_code *reference_icf_codes(const struct reference *ref, size_t *n);
const struct force_norm *reference_force_norms(const struct reference *ref, size_t *n);
const struct sum_score *reference_sum_scores(const struct reference *ref, size_t *n);

const char *unit_name(enum unit unit);           /* "deg", "mm", "%", "N/kg" ...; "" for none */
const char *side_name(enum side side);           /* "right", "left", "midline", "" */
const char *end_feel_name(enum end_feel feel);   /* "" for none */
bool end_feel_by_name(const char *name, enum end_feel *feel) MUST_CHECK;
const char *instrument_name(enum instrument instrument); /* "goniometer", ...; "" for unknown */

#endif
