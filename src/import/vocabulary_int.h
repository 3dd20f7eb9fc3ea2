/* vocabulary_int: the spellings of the trade for joints and motions ("Shoulder ER", "ankle DF",
 * "neck side bending"), over the keys of the reference library. A spelling that could mean two
 * things is not in it. */
#ifndef ENDFEEL_VOCABULARY_INT_H
#define ENDFEEL_VOCABULARY_INT_H

#include "reference/reference.h"

/* The motion that the cells `joint` and `motion` name together; either may be empty when the other
 * holds both. NULL when they name none, or two. */
const struct motion *vocabulary_motion(const struct reference *ref, const char *joint,
                                       const char *motion);
/* For the message when there is none: what comes nearest, into `out`; "" when nothing does. */
enum { VOCABULARY_NEAR_MAX = 120 };
void vocabulary_nearest(const struct reference *ref, const char *joint, const char *motion,
                        char out[VOCABULARY_NEAR_MAX]);
/* Whether a header names a joint and a motion or a test, as wide tables do ("R knee flex AROM"). */
bool vocabulary_is_wide(const struct reference *ref, const char *header);

#endif
