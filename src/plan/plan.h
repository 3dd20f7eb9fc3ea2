/*
 * plan: in which order to examine. Takes what is to be measured (motions, joints, regions or
 * sets), the sides, the cautions on file and the positions the patient can take; gives the items
 * in an order that turns the patient least, with what each needs on the sheet, and a CSV to fill
 * in that `report` reads back.
 *
 * Order, strictest first: range before strength, active before passive, uninvolved side first,
 * what provokes last; among all orders that keep these, the fewest changes of position (proven,
 * not estimated); among those, the usual order of positions. docs/plan.md states every rule.
 *
 * Nothing asked for is dropped: what a caution, a position or the examiner's hands forbid stands
 * among the omissions with its reason.
 *
 * Ownership: a plan owns what it holds; entries of the reference are borrowed and must outlive it.
 * Failure: unknown names are reported with the nearest known one.
 */
#ifndef ENDFEEL_PLAN_H
#define ENDFEEL_PLAN_H

#include "reference/reference.h"

enum {
    PLAN_TRIES_MAX = 3,
    PLAN_CELL_MAX = 200,    /* bytes of a cell given for the CSV */
    PLAN_CSV_MAX = 16 << 20 /* no plan writes more */
};

enum plan_test { PLAN_AROM, PLAN_PROM, PLAN_MMT, PLAN_TEST_COUNT };
const char *plan_test_name(enum plan_test test); /* "AROM", "PROM", "MMT" */

/* Lying on the left and on the right side are two positions: the patient turns between them. */
enum plan_position { PLAN_SITTING, PLAN_SUPINE, PLAN_LYING_LEFT, PLAN_LYING_RIGHT, PLAN_PRONE,
                     PLAN_STANDING, PLAN_POSITION_COUNT };
enum { PLAN_ALL_POSITIONS = (1u << PLAN_POSITION_COUNT) - 1,
       PLAN_ALL_TESTS = (1u << PLAN_TEST_COUNT) - 1 };
/* "sitting", "supine", "side-lying", "prone", "standing": as the column position takes it. */
const char *plan_position_name(enum plan_position position);
/* The bits of a position by name ("side-lying": both sides), or false. */
bool plan_position_by_name(const char *name, unsigned *bits) MUST_CHECK;

/* ---- cautions -------------------------------------------------------------------------------- */

enum plan_caution_kind {
    PLAN_DO_NOT_TEST, /* the tests it names are left out */
    PLAN_WITH_CARE,   /* they are made, with the words beside them */
    PLAN_STOP         /* stop and refer; what it names is left out */
};
struct plan_caution {
    const char *id;
    enum plan_caution_kind kind;
    unsigned tests;          /* bits (1u << enum plan_test) the words belong to */
    const char *joint;       /* the words belong to this joint alone; "" = where it is recorded */
    unsigned omits;          /* bits of tests that are left out */
    const char *omits_joint; /* at this joint alone; "" = wherever the words belong */
    unsigned bars;           /* bits of positions that are not taken */
    bool spreads;            /* holds for the neighbouring joints too */
    const char *condition, *message;
    const char *mark;        /* how it is known, as struct known has it */
};
size_t plan_caution_count(void);
const struct plan_caution *plan_caution_at(size_t i);
const struct plan_caution *plan_caution_by_id(const char *id); /* NULL when unknown */
/* As above, but reports an unknown id with the nearest one. */
const struct plan_caution *plan_caution_find(const char *id, struct diag_sink *sink) MUST_CHECK;

/* ---- what is asked for ----------------------------------------------------------------------- */

struct plan_wish {
    const struct motion *motion;
    unsigned digits;         /* bits (1u << digit); 0 = all the motion takes */
    bool provoking;          /* the one that flares symptoms: comes last */
};
struct plan_wishes {
    struct plan_wish *items; /* each motion once */
    size_t n, cap;
};
void plan_wishes_init(struct plan_wishes *w);
void plan_wishes_release(struct plan_wishes *w);
/* The wish of a motion, added when it is not there yet; valid until the next call. */
struct plan_wish *plan_wish_for(struct plan_wishes *w, const struct motion *motion);
/* Adds all a name stands for: a set (upper-quarter, lower-quarter, spine, hand), a joint, a region,
 * or a joint and a motion ("knee flexion", "knee/flexion"). False after reporting. */
bool plan_want(struct plan_wishes *w, const struct reference *ref, const char *name,
               struct diag_sink *sink) MUST_CHECK;

struct plan_condition {      /* a caution on file */
    const struct plan_caution *caution;
    const char *joint;       /* where; NULL or "" = not stated, holds everywhere */
    enum side side;          /* SIDE_NONE = not stated, both */
};

struct plan_request {
    const struct plan_wish *wishes;
    size_t n_wishes;
    unsigned tests;          /* bits (1u << enum plan_test) */
    bool right, left;        /* sides to examine */
    enum side involved;      /* SIDE_RIGHT or SIDE_LEFT; SIDE_NONE: both or not known */
    unsigned positions;      /* bits of positions the patient can take */
    const struct plan_condition *conditions;
    size_t n_conditions;
};
/* All tests, both sides, all positions, nothing on file. */
struct plan_request plan_request_all(const struct plan_wishes *wishes);

/* ---- the plan -------------------------------------------------------------------------------- */

struct plan_item {
    const struct motion *motion;
    enum side side;
    int digit;               /* 0: takes none */
    enum plan_test test;
    bool provoking;
    enum plan_position position;
    size_t block;            /* 0, 1, 2 ...: how often the patient was turned before */
    bool other_position;     /* not the usual one: the value is not compared with usual ones */
    const char *how;         /* how to lie or sit and move; "" when not known */
    const char *how_mark;    /* of the other position; "" for the usual one: see the entries */
    const struct goniometry *goniometry;   /* range: landmarks and arms; NULL for strength */
    const struct muscle_test *muscle_test; /* strength; NULL for range */
    const char *if_weak;     /* strength: position when grade 3 is not reached; "" */
    enum end_feel end_feel;  /* passive range: what is expected; END_FEEL_NONE otherwise */
    const struct norm *normal;             /* range; NULL for strength */
    const struct compensation **compensations; /* to stop in this kind of test */
    size_t n_compensations;
    const struct plan_caution **cares;     /* whose words belong here */
    size_t n_cares;
};

enum plan_reason {
    PLAN_BY_CAUTION,          /* `caution` forbids it */
    PLAN_BY_POSITION,         /* no position it can be done in is tolerated */
    PLAN_PASSIVE_IN_STANDING  /* the examiner cannot move a patient who stands */
};
struct plan_omission {
    const struct motion *motion;
    enum side side;
    int digit;
    enum plan_test test;
    enum plan_reason reason;
    const struct plan_caution *caution; /* PLAN_BY_CAUTION, else NULL */
};

struct plan {
    const struct plan_item *items;       /* in order of examination */
    size_t n_items;
    const struct plan_omission *omitted; /* head to foot */
    size_t n_omitted;
    size_t n_changes;                    /* of position; 0 for an empty plan */
    const struct plan_caution **cautions; /* all on file, in the order of the table */
    size_t n_cautions;
    const char **screens;                /* neighbouring joints to screen first, head to foot */
    size_t n_screens;
    struct arena *arena;
};
/* NULL after reporting when nothing is asked for. Items may be none when all are omitted. */
struct plan *plan_make(const struct reference *ref, const struct plan_request *request,
                       struct diag_sink *sink) MUST_CHECK;
void plan_free(struct plan *p);
const char *plan_reason_text(const struct plan_omission *o); /* for the column reason */
const char *plan_position_mark(void); /* how the order of positions is known */

/* ---- the CSV to fill in ---------------------------------------------------------------------- */

struct plan_csv_options {
    /* NULL: left empty to fill in; PLAN_CELL_MAX bytes at most. */
    const char *patient_id, *visit_date, *measured_by;
    int tries;               /* rows of each range, 1 to PLAN_TRIES_MAX */
};
/* Native columns; one row a reading with an empty value; what a caution or a position forbids is a
 * row with NT and its reason. */
void plan_csv(const struct plan *p, const struct plan_csv_options *options, struct buf *out);

#endif
