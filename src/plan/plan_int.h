/* Shared inside plan only: the tables and the search for the order of positions. */
#ifndef ENDFEEL_PLAN_INT_H
#define ENDFEEL_PLAN_INT_H

#include "plan/plan.h"

/* ---- tables ---------------------------------------------------------------------------------- */

/* Another position in which a test may be made when the usual one is not tolerated. */
struct plan_alternative {
    const char *joint, *motion;
    bool strength; /* of the muscle test; else of the range */
    const char *position, *how, *mark;
};
/* In order of choice; ends with a joint of NULL. */
extern const struct plan_alternative plan_alternatives[];

/* A set by name: its motions, one joint (all motions) or one motion a row; ends with NULL. */
struct plan_set {
    const char *set, *joint, *motion; /* motion NULL = all of the joint */
};
extern const struct plan_set plan_sets[];

/* Joints next to each other, and the part of the spine a limb refers to; ends with NULL. */
struct plan_neighbour {
    const char *joint, *next;
    bool spine; /* screened with it, but not next to it */
};
extern const struct plan_neighbour plan_neighbours[];
bool plan_are_neighbours(const char *joint, const char *other);

/* The position of a test by its name in the reference, of the side that is tested. */
enum plan_position plan_position_of(const char *name, const struct motion *motion,
                                    enum side side);

/* ---- order ----------------------------------------------------------------------------------- */

enum { PLAN_BEFORE_MAX = 2 };
struct plan_job {
    enum plan_position position;
    bool last;                       /* after all that are not */
    size_t n_before;
    size_t before[PLAN_BEFORE_MAX];  /* jobs that must be done first; lower indices only */
};
/* Gives each job the number of its stay in a position, such that the stays are as few as can be;
 * returns their number. */
size_t plan_order(const struct plan_job *jobs, size_t n, size_t *block);

#endif
