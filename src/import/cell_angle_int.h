/* cell_angle_int: the angle cell while it is read. Private to src/import/cell_angle*.c. */
#ifndef ENDFEEL_CELL_ANGLE_INT_H
#define ENDFEEL_CELL_ANGLE_INT_H

#include "import/cells_int.h"

enum { NUMBERS_MAX = 4 };

enum gap { GAP_NONE, GAP_DASH, GAP_TO, GAP_SLASH, GAP_COMMA };
enum relation { RELATION_NONE, RELATION_LACK, RELATION_HYPER, RELATION_LAG, RELATION_CONTRACTURE,
                RELATION_FIXED };

struct angle_number {
    double value;
    char sign;     /* '+', '-' or 0 */
    bool bracket;
};

/* What stands between two semicolons. */
struct angle_item {
    struct angle_number numbers[NUMBERS_MAX];
    enum gap between[NUMBERS_MAX]; /* after number i */
    int n;
};

struct angle_cell {
    struct value_reading *out;
    const struct motion *motion;
    enum test test;
    const struct cell_rules *rules; /* never NULL */
    struct arena *arena;
    struct plain plain;

    int n_items;
    int numbers;            /* in all items */
    enum relation relation;
    enum unit unit;         /* written; UNIT_COUNT: two that differ, or one we do not use */
    bool zero_ref, estimated, fractional, distance;
    int positions;          /* how many are named */
    bool normal, functional, described, not_tested;
    bool missing;           /* a word for what is lacking: "20 deg loss" is no reading of 20 */
    bool unknown;           /* a word or sign that says we know not what */

    /* while tokens are taken */
    char sign;
    bool in_bracket, open_gap, comma_gap, said_before;

    struct angle_item items[TRIES_MAX]; /* empty from the first use of each on; last of all */
};

/* Takes a position ("@90 abd", "knee bent") at `t`; the number of tokens used, 0 if none. */
size_t angle_position(struct angle_cell *c, const struct token *t);
/* Takes a word; the number of tokens used. */
size_t angle_word(struct angle_cell *c, const struct token *t);
void angle_add_number(struct angle_cell *c, const struct token *t);
void angle_gap(struct angle_cell *c, enum gap kind);
/* A distance in a column of degrees, or another unit than the motion's. */
void angle_other_unit(struct angle_cell *c);
/* The numbers, whatever their shape, to start, end and tries. */
void angle_shape(struct angle_cell *c);
/* A signed number alone, on the angle scale. */
void angle_plain_number(const struct plain *plain, const struct tokens *tokens,
                        const struct motion *motion, const struct cell_rules *rules,
                        struct arena *a, struct value_reading *out);
/* The value of such a number. */
void angle_plain_value(double value, const struct motion *motion, struct arena *a,
                       struct value_reading *out);
/* What is doubtful about the decimal mark of a number; DIAG_CODE_COUNT: nothing. */
enum diag_code angle_decimal_doubt(const struct token *t, const struct cell_rules *rules);

/* Straight is 0 and the sign says which way: elbow, knee, finger extension. */
bool angle_is_hinge_extension(const struct motion *m);
bool angle_is_hinge_flexion(const struct motion *m);

#endif
