/*
 * reference: the reference library, loaded from XML (the files of src/reference, compiled in as the
 * default, or a folder given with --reference). Motions, normal values with their roles, peers,
 * measurement error, goniometer set-ups, muscle tests, compensations, grades and sources. Every
 * figure keeps its source and how it is known; a weaker mark is never upgraded.
 *
 * Units: degrees unless `unit` says mm, cm, N ... Ages in years. Ownership: the library owns all;
 * everything handed out is const and lives until reference_free().
 * Failure: loading reports file, line and the nearest known name, and gives NULL.
 */
#ifndef ENDFEEL_REFERENCE_H
#define ENDFEEL_REFERENCE_H

#include "base/base.h"

enum unit { UNIT_NONE, UNIT_DEG, UNIT_MM, UNIT_CM, UNIT_PERCENT, UNIT_N, UNIT_NM, UNIT_N_PER_KG,
            UNIT_KGF, UNIT_COUNT };
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
    int mrc, isncsci;
    const char *kendall;             /* on the 0-10 scale; "T" for a trace */
    const char *note;
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
    const struct compensation *compensations;
    size_t n_compensations;
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
/* Weakest grade first; i < *n. NULL past the end; n may be NULL. */
const struct grade *reference_grade_at(const struct reference *ref, size_t i, size_t *n);

const char *unit_name(enum unit unit);           /* "deg", "mm", "%", "N/kg" ...; "" for none */
const char *side_name(enum side side);           /* "right", "left", "midline", "" */
const char *end_feel_name(enum end_feel feel);   /* "" for none */
bool end_feel_by_name(const char *name, enum end_feel *feel) MUST_CHECK;
const char *instrument_name(enum instrument instrument); /* "goniometer", ...; "" for unknown */

#endif
