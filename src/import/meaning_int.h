/* meaning_int: one patient while it is put together from rows. facts.c reads what a row says of
 * patient, episode and visit; measure.c its reading; aims.c its goal and limit; join.c holds the
 * readings of a visit against each other; patient.c leads and counts. */
#ifndef ENDFEEL_MEANING_INT_H
#define ENDFEEL_MEANING_INT_H

#include "import/import_int.h"

#include <string.h>

/* A bit for each native column. */
enum { COLUMN_WORDS = COL_COUNT / 64 + 1, TOOLS_KEPT = 8 };
static inline void column_mark(uint64_t *columns, enum import_column c)
{
    columns[c / 64] |= (uint64_t)1 << (c % 64);
}

/* One row and what became of it. */
struct row_state {
    const struct row *row;
    const struct import_source *src;
    const char *path;  /* the patient's own copy, which outlives the source */
    uint64_t filled[COLUMN_WORDS];       /* the native columns that hold something */
    uint64_t hash;     /* of its cells */
    bool duplicate, held;
    bool repeats;      /* its reading was told by another row */
    const struct row_state *same_as; /* of a duplicate: the row it repeats */
    struct date date;  /* of the visit; missing: none, or not understood */
    bool date_is_bad;  /* a visit date stands there and cannot be used */
    /* A row of a wide table holds a reading in each of its wide columns: its parts. */
    const struct wide_column *wide;  /* of a part; NULL: the row itself */
    struct row_state *whole;         /* of a part: its row */
    bool alone;                      /* the only reading of its row */
    struct row_state *parts;
    int n_parts;
};

/* A fact as first written, and whether a later row contradicts it. */
struct fact {
    bool set, contradicted;
    const char *text;
    double low, high;    /* numbers, pain, sides, words: what compares */
    struct date date;
    struct row_state *from;
    struct date corrected;       /* its row is a correction of this day */
    bool older_told;             /* that it replaces another was said */
};

struct draft_visit {
    struct date date;
    bool from_history, held;
    struct row_state *from;
    struct fact *facts;  /* by column; measured_by ... tool hold the visit's defaults */
    bool by_clinician, by_helper;      /* of its readings, for order_check() */
    const struct draft *graded_of_ten; /* the first above 5; NULL: none */
};

/* A bare 5 is normal on the scale from 0 to 5 and fair on the one from 0 to 10. */
enum grade_scale { GRADE_OF_ONE, GRADE_OF_EITHER, GRADE_OF_TEN };

struct draft {
    struct measurement m;
    struct row_state *from;
    size_t order;        /* of reading, for stable sorting */
    struct date date;
    bool dropped;        /* said already by another row */
    struct num lag;      /* held back as a lag, unless another reading settles what it means */
    enum import_column value_column; /* where it stands */
    enum grade_scale grade_scale;
    bool blank;          /* an empty cell of a wide column */
    const char *column;  /* header of the wide column; NULL: of a long row */
};

/* The first day that tells a goal or a limit, and the one from which on it is what it is now. */
struct told_days {
    struct date first, settled;
};

struct draft_goal {
    struct goal g;
    struct row_state *from;
    bool contradicted;
    struct told_days days;
};

struct problem {
    struct diag diag;
    const struct row_state *from;
    struct date date;    /* of the visit it concerns; missing: none */
};

enum position_read {
    POSITION_READ,
    POSITION_AS_TYPED, /* may name the knee or gravity in words that are not known */
    POSITION_UNCLEAR   /* says two things, or not which */
};

struct meaning {
    struct patient *p;
    const struct reference *ref;
    struct date today;
    struct arena *arena;          /* what the patient keeps */
    struct arena *scratch;        /* what is over when he is made: rows, drafts, facts, lists */
    struct diag_sink tee;         /* keeps a copy for the visit and passes on */
    struct diag_sink *outer;
    struct row_state *rows, *now; /* now: the row a diagnostic is about */
    size_t n_rows;
    struct fact facts[COL_COUNT];
    uint64_t fact_columns[2][COLUMN_WORDS]; /* for facts.c */
    /* What the row before said: rows repeat much of it, and one copy serves them all. */
    const char *last_text[COL_COUNT];
    struct said {
        const char *text;         /* as it stood in the row; NULL: not read yet */
        struct date date;
        int value;
    } said[COL_COUNT];            /* read without a report, from a row of said_by */
    const struct import_source *said_by;
    struct {
        const char *text;         /* NULL: none met yet */
        enum instrument instrument;
    } tools[TOOLS_KEPT];          /* by the first letter */
    const char *last_joint, *last_motion;
    const struct motion *last_found;
    enum side last_side;          /* named beside that joint or motion; SIDE_NONE: not */
    struct {
        const char *typed, *text;
        const struct motion *motion;
        enum position_read read;
    } last_position;
    struct draft_visit *visits;
    size_t n_visits, cap_visits, found_visit; /* found_visit: where facts_visit() found last */
    struct draft **drafts;
    size_t n_drafts, cap_drafts;
    struct problem *problems;
    size_t n_problems, cap_problems;
    struct num lag;               /* of the reading in hand, for measure_add */
    enum import_column lag_column;
    enum grade_scale grade_scale; /* of the reading in hand, for measure_add */
    struct told {
        enum diag_code code;
        const char *detail;
        const struct import_source *src;
    } *told;                      /* what is told once a file */
    size_t n_told, cap_told;
    struct draft_goal *goals;
    size_t n_goals, cap_goals, cap_limits;
    /* What days.c needs: every way in which a row has a say in a visit of another day. */
    struct date fact_day[COL_COUNT];   /* the first day that tells a fact of the patient */
    bool unsettled;                    /* more than a row's day tells what it had a say in */
    bool changing_is_typed[COL_COUNT]; /* in a row that is of no visit */
    struct told_days *goal_days, *limit_days; /* of those the patient has */
    size_t cap_limit_days;
    struct date *out_of_order;         /* days of the rows that were told to break the order */
    size_t n_out_of_order, cap_out_of_order;
};

/* ---- meaning.c ----------------------------------------------------------------------------- */

/* What a part sees of a native column, see below. */
const char *parts_cell(const struct row_state *part, enum import_column c);
/* The cell's text, "" where the file has no such column. */
static inline const char *meaning_cell(const struct row_state *rs, enum import_column c)
{
    if (rs->wide != NULL)
        return parts_cell(rs, c);
    const struct cell *cell = column_cell(rs->src, rs->row, c);
    return cell != NULL ? cell->text : "";
}
struct diag_pos meaning_pos(const struct row_state *rs, enum import_column c);
static inline bool meaning_has(const struct row_state *rs, enum import_column c)
{
    return rs->wide == NULL ? (rs->filled[c / 64] >> (c % 64) & 1) != 0
                            : *meaning_cell(rs, c) != '\0';
}
/* Reports about a cell of a row, once for a code and cell; marks the row when the code holds
 * something back. */
void meaning_say(struct meaning *m, struct row_state *rs, enum import_column c,
                 enum diag_code code, const char *fmt, ...) PRINTF_LIKE(5, 6);
/* Reports, the first time for a file and detail, what stands beside each reading already. */
void meaning_tell_once(struct meaning *m, const struct row_state *rs, enum import_column c,
                       enum diag_code code, const char *detail);
/* "line 5", with the file's name where it is another one; for messages about `rs`. */
const char *meaning_line(struct meaning *m, const struct row_state *rs,
                         const struct row_state *other);
/* What the cell of this column was read as when it last said the same in a row of this file, or
 * NULL; the row is then read without a report too. */
static inline const struct said *meaning_said(const struct meaning *m, const struct row_state *rs,
                                              enum import_column c, const char *text)
{
    const struct said *said = &m->said[c];
    return m->said_by == rs->src && said->text != NULL && strcmp(said->text, text) == 0 ? said
                                                                                        : NULL;
}
/* The place to note what `text` of the column, read without a report, means. */
struct said *meaning_note_said(struct meaning *m, const struct row_state *rs,
                               enum import_column c, const char *text);
/* qsort() of what often stands in order already. */
void meaning_sort(void *items, size_t n, size_t size, int (*compare)(const void *, const void *));
/* One more draft at the end. */
void meaning_add_draft(struct meaning *m, struct draft *d);
/* Room for one more item at the end of an arena array. */
void *meaning_grow(struct arena *a, void *items, size_t n, size_t *cap, size_t size);

const struct cell_rules *meaning_rules(const struct row_state *rs);
/* The row a state stands for: itself, or the row it is a part of. */
const struct row_state *meaning_whole(const struct row_state *rs);

/* ---- parts.c: the readings of a wide row --------------------------------------------------- */

/* Whether a wide column of the row is filled in. */
bool parts_are_in(const struct row_state *rs);
void parts_take(struct meaning *m, struct row_state *rs);
/* parts_cell() gives what a part sees of a native column: what its header settles, its own cell as
 * the value, and of the rest what may belong to it. */
struct diag_pos parts_pos(const struct row_state *part, enum import_column c);
/* An empty cell counts as not recorded only where an earlier visit recorded that reading: a wide
 * table has columns for everybody. */
/* Whether a column speaks of one reading, which a row of several must not have. */
bool parts_is_beside(enum import_column c);
void parts_drop_blanks(struct meaning *m);
/* Marks a row whose cell in a column that is held back is filled in. */
void parts_mark_held(struct row_state *rs);
/* Whether all readings of a wide row were told by other rows. */
bool parts_repeat(const struct row_state *rs);

/* ---- order.c: checks across the rows of a patient ------------------------------------------ */

/* Needs readings in the order of the file. */
void order_check(struct meaning *m);

/* ---- days.c: the patient as of the day of a visit ------------------------------------------- */

/* Once all is stored. */
void days_store(struct meaning *m);

/* ---- fields.c: cells of columns other than the value --------------------------------------- */

/* Text without what stands for nothing ("-", "n/a"); spreadsheet debris is held back. NULL:
 * none. */
const char *field_filled_text(struct meaning *m, struct row_state *rs, enum import_column c);
static inline const char *field_text(struct meaning *m, struct row_state *rs,
                                     enum import_column c)
{
    return meaning_has(rs, c) ? field_filled_text(m, rs, c) : NULL; /* most cells are empty */
}
/* A plain number with at most one of the suffixes; decimal comma with one or two digits. Sets
 * *number only when it is read; false: said and held back. */
bool field_number(struct meaning *m, struct row_state *rs, enum import_column c,
                  const char *const *suffixes, double least, double most,
                  struct num *number) MUST_CHECK;
/* As above, without a report. */
bool field_parse(const char *text, const char *const *suffixes, const struct cell_rules *rules,
                 double *value) MUST_CHECK;
bool field_date(struct meaning *m, struct row_state *rs, enum import_column c, bool may_be_future,
                struct date *date) MUST_CHECK;
struct field_word {
    const char *word;
    int value;
};
/* One of a list of words in any case, ended by NULL. *value stays when the cell is empty. */
bool field_word(struct meaning *m, struct row_state *rs, enum import_column c,
                const struct field_word *words, int *value) MUST_CHECK;
/* joint and motion of a row; NULL after saying so. */
const struct motion *field_motion(struct meaning *m, struct row_state *rs);
/* What the column side alone says of a row of `motion`, without a word; false: held back, why. */
bool field_says_side(struct meaning *m, const struct row_state *rs, const struct motion *motion,
                     enum side *side, enum diag_code *why) MUST_CHECK;
/* Side as the motion needs it, from the column and what stands beside the joint: SIDE_NONE when
 * empty. Called after field_motion() of the same row. False: held back. */
bool field_side(struct meaning *m, struct row_state *rs, const struct motion *motion,
                enum side *side) MUST_CHECK;
/* Whether `side` can stand; says what is wrong otherwise. */
bool field_side_fits(struct meaning *m, struct row_state *rs, const struct motion *motion,
                     enum side *side) MUST_CHECK;
bool field_digit(struct meaning *m, struct row_state *rs, const struct motion *motion,
                 int *digit) MUST_CHECK;
/* Whether a value may stand on this motion's scale. */
bool field_in_range(const struct motion *motion, double value);

extern const struct field_word field_roles[];

/* ---- position.c ---------------------------------------------------------------------------- */

/* *text: `typed` in our words as far as they are known. `motion` NULL: of a whole visit. */
enum position_read position_read(const struct reference *ref, const struct motion *motion,
                                 const char *typed, struct arena *arena, const char **text);
/* Of the position column, said where it is not known; *ok false where it is held back. Rows repeat
 * their position; one reading of it serves them all. NULL: none. */
const char *field_position(struct meaning *m, struct row_state *rs, const struct motion *motion,
                           bool *ok);

/* ---- facts.c ------------------------------------------------------------------------------- */

/* Patient, episode and visit facts of one row; the visit is made when the row is of one. */
void facts_take(struct meaning *m, struct row_state *rs, bool has_reading, bool aims_only);
/* A repeated row says nothing new, but a visit that a current file holds is not history. */
void facts_repeat(struct meaning *m, const struct row_state *rs);
void facts_store(struct meaning *m);
/* The facts of a patient, as they are told by these. */
void facts_store_patient(struct patient *p, const struct fact *facts);
struct draft_visit *facts_visit(struct meaning *m, struct date date); /* or NULL */
struct visit *facts_stored_visit(const struct meaning *m, struct date date); /* or NULL */

/* ---- measure.c, force.c, aims.c, join.c ---------------------------------------------------- */

bool measure_is_reading(const struct row_state *rs);
/* The column in which the value of a row stands. */
enum import_column measure_column(const struct row_state *rs);
enum instrument measure_instrument(const char *tool);
void measure_take(struct meaning *m, struct row_state *rs);
/* A reading of the row, which counts from measure_add() on, if its visit has a date. */
struct draft *measure_new(struct meaning *m, struct row_state *rs);
void measure_add(struct meaning *m, struct draft *d);
bool force_unit_known(const char *text);
/* Degrees, mm or cm; UNIT_NONE for anything else. */
enum unit measure_unit(const char *text);
/* Force in newton into `r` (tries and end), by value and unit cell. */
void force_read(const char *value, const char *unit, const struct motion *motion,
                const struct cell_rules *rules, struct arena *a, struct value_reading *r);
bool aims_are_in(const struct row_state *rs);
void aims_take(struct meaning *m, struct row_state *rs);
void aims_store(struct meaning *m);
void join_readings(struct meaning *m);
/* Whether a tool that stands for a whole visit or row can have taken a reading of this test. */
bool join_tool_fits(const char *tool, enum test test);

#endif
