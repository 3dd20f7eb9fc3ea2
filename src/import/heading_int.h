/* heading: what the header of a wide table says of its column: "R knee flex AROM" is the active
 * flexion of the right knee. Every word of a header must say something, and all of it one thing
 * only; else the header is not understood. */
#ifndef ENDFEEL_HEADING_INT_H
#define ENDFEEL_HEADING_INT_H

#include "model/model.h"

struct heading {
    const struct motion *motion;
    enum side side;        /* SIDE_NONE: not said */
    int digit;             /* 0: not said */
    enum test test;        /* TEST_NONE: not said */
    bool range;            /* a range of motion, active or passive not said */
    const char *position;  /* borrowed from the library; NULL: not said */
    enum timing timing;
    const char *unit;      /* borrowed: N, kgf, lbf, mm, cm; NULL: not said */
};

enum heading_kind {
    HEADING_OTHER,         /* not like a measurement */
    HEADING_LIKE,          /* like one, but not understood */
    HEADING_ASSISTED,      /* understood; assisted or resisted range is not read */
    HEADING_MEASUREMENT
};

/* For HEADING_LIKE, `near` holds the nearest header that is understood, "" when none is near. */
enum { HEADING_NEAR_MAX = 200 };
enum heading_kind heading_read(const struct reference *ref, const char *header,
                               struct heading *out, char near[HEADING_NEAR_MAX]);
/* The nearest native column for a header that is no measurement, by spellings other programs use
 * ("DOB") and by distance; NULL when none is near. *exact: the spelling itself is known. */
const char *heading_column(const struct reference *ref, const char *header, bool *exact);

#endif
