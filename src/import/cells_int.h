/*
 * cells_int: what the cell readers share: a cell's text made plain, its tokens, the table of words,
 * the shapes of dates. Private to src/import.
 *
 * Plain text is ASCII: dashes, spaces, digits, quotes and degree signs of any script stand as one
 * byte each; what has no plain form stands as PLAIN_OTHER, so it is seen and never skipped.
 */
#ifndef ENDFEEL_CELLS_INT_H
#define ENDFEEL_CELLS_INT_H

#include "import/import.h"

/* Bytes of plain text that stand for signs outside ASCII. */
enum { PLAIN_DEGREE = 1, PLAIN_FRACTION = 2, PLAIN_OTHER = 3 };

struct plain {
    const char *text;    /* trimmed, runs of spaces folded to one; never NULL */
    size_t len;
    const size_t *raw;   /* for each byte of text and its end: offset in the cell as typed */
    const char *cell;    /* the cell as typed */
    bool repaired;       /* wrongly decoded signs were put right */
    bool odd_space;      /* a hard or thin space stood inside */
    bool apostrophe;     /* a leading ' was dropped */
    bool quoted_formula; /* ="..." was opened */
};
void plain_make(const char *cell, struct arena *a, struct plain *out);

/* Rules that are never NULL: those given, else none declared. */
const struct cell_rules *rules_or_none(const struct cell_rules *rules);

/* ---- words ------------------------------------------------------------------------------- */

enum column { COLUMN_ANGLE = 1, COLUMN_GRADE = 2, COLUMN_PAIN = 4, COLUMN_ANY = 7 };

enum word_class {
    WORD_NOT_TESTED,    /* value 1: the whole cell is the reason */
    WORD_NOT_APPLICABLE, WORD_MISSING, WORD_SAME,
    WORD_PAIN, WORD_NO_PAIN, WORD_P, /* WORD_P: passive before a number, else pain */
    WORD_PAIN_ARC, WORD_PAIN_DEGREE,
    WORD_END_FEEL,      /* value: enum end_feel */
    WORD_POSITION, WORD_JOINT,
    WORD_MOTION,        /* canon: key of the motion, or its last word */
    WORD_ESTIMATED, WORD_LIMIT, WORD_TO, WORD_AT, WORD_FILLER,
    WORD_LACK, WORD_HYPER, WORD_ZERO_REF, WORD_LAG, WORD_CONTRACTURE, WORD_FIXED,
    WORD_NORMAL, WORD_FUNCTIONAL, WORD_DESCRIBED, WORD_SHARE, WORD_LEVEL, WORD_DISTANCE,
    WORD_UNIT,          /* value: enum unit */
    WORD_INCH, WORD_FORCE,
    WORD_SIDE,          /* value: enum side; SIDE_NONE: both */
    WORD_TEST,          /* value: enum test */
    WORD_GRADE,         /* canon: the grade's digit */
    WORD_STEP,          /* canon: "+" or "-" */
    WORD_ROMAN, WORD_SCALE, WORD_SCREEN, WORD_AVAILABLE, WORD_NO_GRADE,
    WORD_SIGN,          /* a sign in words */
    WORD_NOTHING,       /* no motion, or not measured */
    WORD_TIMING,        /* before or after treatment */
    WORD_ASSISTED,
    WORD_OUT_OF, WORD_REST, WORD_MOVE, WORD_YES, WORD_NO
};

struct word {
    const char *text;   /* a space matches a space, a hyphen or nothing */
    unsigned columns;   /* enum column bits in which it means this */
    enum word_class cls;
    int value;
    const char *canon;  /* NULL: not needed */
};
/* The longest word of the table that `text` begins with and that ends there; NULL when none. */
const struct word *words_at(const char *text, enum column column, size_t *len);
/* The word that is all of `text`; NULL when none. */
const struct word *words_whole(const char *text, enum column column);

/* ---- tokens ------------------------------------------------------------------------------ */

enum token_kind {
    TOKEN_END, TOKEN_NUMBER, TOKEN_LETTER_NUMBER, TOKEN_WORD, TOKEN_UNKNOWN,
    TOKEN_DASH, TOKEN_PLUS, TOKEN_SLASH, TOKEN_SEMICOLON, TOKEN_COMMA, TOKEN_OPEN, TOKEN_CLOSE,
    TOKEN_STAR, TOKEN_DEGREE, TOKEN_SHARE, TOKEN_ABOUT, TOKEN_LIMIT, TOKEN_ARROW, TOKEN_AT,
    TOKEN_QUESTION, TOKEN_FILLER
};

struct token {
    enum token_kind kind;
    const struct word *word; /* TOKEN_WORD */
    double value;            /* TOKEN_NUMBER */
    int decimals, whole_digits;
    bool comma;              /* written with a decimal comma */
    bool space_before;
    size_t start, len;       /* in the plain text */
};

/* Readers look a few tokens ahead, of the last one too. */
enum { TOKENS_MAX = 48, TOKENS_AHEAD = 5 };
struct tokens {
    struct token at[TOKENS_MAX + TOKENS_AHEAD]; /* the n are followed by TOKEN_END */
    size_t n;
    bool too_many;
};
void tokens_make(const struct plain *plain, enum column column, struct tokens *out);

/* ---- the reading ------------------------------------------------------------------------- */

/* Holds the cell back; the first reason stands. `detail` may be NULL. */
void reading_hold(struct value_reading *r, enum diag_code why, const char *detail);
void reading_note(struct value_reading *r, enum diag_code note);
/* Held or without a number: leaves no number behind. Called last by each reader. */
void reading_finish(struct value_reading *r);
/* What any value column may hold instead of a value: nothing, n/a, NT, "same", an error value, a
 * formula. True when `r` is settled. */
bool reading_without_value(const struct plain *plain, enum column column, struct arena *a,
                           struct value_reading *r);

/* ---- languages ---------------------------------------------------------------------------- */

/* Side word of a language, with or without brackets and a point; `both` for words of both sides.
 * False: not a word of it. */
bool language_side(const char *text, enum language language, enum side *side, bool *both);
bool language_yes_no(const char *text, enum language language, bool *yes);
/* "de" and the like; LANGUAGE_UNDECLARED when not known. */
enum language language_by_code(const char *code);
const char *const *language_codes(size_t *n);

/* ---- dates ------------------------------------------------------------------------------- */

struct date_shape {
    int day, month;      /* named month, or year first: known */
    int first, second;   /* digits only, year last: in the order written; else 0 */
    int year;            /* 0: none written */
    int year_digits;
};
/* Whether plain text has the shape of a date, possible day or not. */
bool date_shape(const char *text, struct date_shape *shape);
/* A spreadsheet's day number in the years a clinic would type. */
bool date_number(const char *text, struct date *date);
/* The two numbers a spreadsheet may have made a date of: always two orders, equal when it does not
 * matter. */
void date_was(const struct date_shape *shape, int was[2][2]);

#endif
