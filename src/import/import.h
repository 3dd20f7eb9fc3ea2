/*
 * import: bytes of a CSV file -> rows -> cells -> one patient of the model. The only place that
 * knows libcsv, column names and the ways clinicians write a value.
 *
 * Two halves, so that a batch can be split over processes. The reading half (import_open,
 * import_next) turns a file into rows whose cells know file, line and column; the batch groups
 * rows by patient. The meaning half (import_patient) turns all rows of one patient into a model
 * patient. Rows travel between the halves as bytes (row_pack, row_unpack).
 *
 * Nothing is guessed and nothing is lost: a cell is read; read with a note; or held back with a
 * diagnostic that says what to type instead. Every row ends in exactly one of the tally's counts.
 */
#ifndef ENDFEEL_IMPORT_H
#define ENDFEEL_IMPORT_H

#include "model/model.h"

enum { FIELD_MAX = 64 << 10, COLUMNS_MAX = 10000, LINE_MAX_BYTES = 1 << 20 };

/* One line a file: rows_in = used + duplicates + held. rows_in is counted where a row is read
 * (import_next), the outcome where it is decided (import_next for what is no row, else
 * import_hold_row or import_patient), so that a row lost between the halves shows. `held` counts
 * every row of which anything was held back; what else it says is still used. */
struct tally {
    long rows_in, used, duplicates, held;
    long angles, round_angles; /* degrees read, and those of them that end in 0 */
};

struct cell {
    const char *text; /* trimmed of ASCII space, valid UTF-8, never NULL */
    size_t len;
    long line;        /* line on which the cell starts */
    int column;       /* 1-based field number */
};

struct row {
    int source;       /* index given to import_open */
    long line;        /* line on which the row starts */
    struct cell *cells;
    int n_cells;
};

/* ---- what a column map declares ------------------------------------------------------------ */

enum decimal_mark { DECIMAL_UNDECLARED, DECIMAL_POINT, DECIMAL_COMMA };
enum date_order { DATES_UNDECLARED, DATES_DMY, DATES_MDY, DATES_YMD };
enum sign_rule { SIGN_UNDECLARED, SIGN_SHORT_OF_ZERO, SIGN_PAST_ZERO };
enum pair_order { PAIR_UNDECLARED, PAIR_ACTIVE_PASSIVE, PAIR_PASSIVE_ACTIVE, PAIR_RIGHT_LEFT,
                  PAIR_LEFT_RIGHT };
enum pain_order { PAIN_UNDECLARED, PAIN_REST_MOVEMENT, PAIN_MOVEMENT_REST };
enum language { LANGUAGE_UNDECLARED, LANGUAGE_EN, LANGUAGE_DE, LANGUAGE_ES, LANGUAGE_FR,
                LANGUAGE_NL, LANGUAGE_IT, LANGUAGE_PT, LANGUAGE_SV, LANGUAGE_DA, LANGUAGE_NO,
                LANGUAGE_PL, LANGUAGE_COUNT };

/* Rules for cells. A cell that can be read one way only is read without them. */
struct cell_rules {
    enum decimal_mark decimal;
    enum date_order dates;
    char separators[8];           /* marks that may stand in a date; "": any */
    int short_years_from;         /* first of the hundred years two digits stand for; 0: refused */
    enum sign_rule minus;         /* of an extension whose normal is 0; a plus is the other way */
    enum sign_rule no_sign;       /* of the same, where no sign stands */
    enum pair_order pairs;        /* of two angles with a slash between */
    enum pain_order pain;         /* of two scores with a slash between */
    bool plane_letters;           /* an R before a neutral-zero triple is its plane, never a side */
    enum language language;       /* of side words and of yes and no */
    bool grades_of_ten, five_minus; /* of the clinic file: the scale that grades are typed on */
};

/* A column map or the native columns; import_settings_default() for the latter. */
struct import_settings;
const struct import_settings *import_settings_default(void);
/* Reads a column map (docs/csv.md): strict, every problem with its line and the nearest name. Lives
 * in the arena. NULL after reporting. */
const struct import_settings *import_settings_load(const char *path, const struct reference *ref,
                                                   struct arena *a,
                                                   struct diag_sink *sink) MUST_CHECK;
/* The same with what the clinic's file says of its grades; in the arena. */
const struct import_settings *import_settings_for_clinic(const struct import_settings *s,
                                                         const struct clinic *clinic,
                                                         struct arena *a);
const struct cell_rules *import_settings_rules(const struct import_settings *s);
const char *import_settings_digest(const struct import_settings *s); /* sha256 hex; "": no map */

struct import_source;
/* Opens a file ("-": standard input), skips a byte order mark, reads and resolves the header.
 * `history` marks rows that are only read for comparison. NULL after reporting. */
struct import_source *import_open(const char *path, int index, bool history,
                                  const struct import_settings *settings,
                                  const struct reference *ref, struct diag_sink *sink) MUST_CHECK;
void import_close(struct import_source *src);
const char *import_path(const struct import_source *src);
bool import_is_history(const struct import_source *src);

/* Notes the columns of a map that none of the files has. */
void import_map_unused(const struct import_settings *settings,
                       struct import_source *const *sources, size_t n, struct diag_sink *sink);

/* A column map made from the headers of files: what is recognised, and as comments what is not,
 * nearest spelling first. */
struct import_suggestion;
struct import_suggestion *import_suggestion_new(const struct import_settings *settings,
                                                const struct reference *ref);
void import_suggestion_free(struct import_suggestion *s);
bool import_suggestion_add(struct import_suggestion *s, const char *path,
                           struct diag_sink *sink) MUST_CHECK;
void import_suggestion_write(const struct import_suggestion *s, struct buf *out);

enum import_step { IMPORT_ROW, IMPORT_END, IMPORT_FAILED };
/* The next whole row, counted in tally->rows_in; its memory is the source's and lasts until the
 * next call. A row that cannot be used as a row (ragged, NUL byte, over-long field, bad UTF-8,
 * cut-off quote) is reported, counted in tally->rows_in and tally->held, and skipped. Lines and
 * rows without anything in them are passed over and not counted. */
enum import_step import_next(struct import_source *src, struct row *row, struct tally *tally,
                             struct diag_sink *sink) MUST_CHECK;
/* The patient_id cell of a row, "" when empty (the caller then holds the row back by
 * import_hold_row), and its date when it parses and is not in the future. */
const char *import_row_patient(const struct import_source *src, const struct row *row);
struct date import_row_date(const struct import_source *src, const struct row *row,
                            struct date today);
void import_hold_row(const struct import_source *src, const struct row *row, enum diag_code why,
                     struct tally *tally, struct diag_sink *sink);

/* What a row says, whatever the order of its file's columns; for digests. Appends. */
void import_row_text(const struct import_source *src, const struct row *row, struct buf *out);

void row_pack(const struct row *row, struct buf *out);
/* Cells point into `bytes`; the cell array comes from the arena. Returns bytes used, 0 if cut. */
size_t row_unpack(const char *bytes, size_t len, struct arena *a, struct row *row);
void row_dump(const struct row *row, struct buf *out); /* --dump rows */

/* All rows of one patient (in order of source and line) -> model. `sources` is indexed by
 * row.source. Counts the outcome of each row once into tallies[row.source]. Diagnostics carry the
 * cell's text.
 * Never NULL; a patient who cannot be trusted has `held` set. */
struct patient *import_patient(const struct row *rows, size_t n_rows,
                               struct import_source *const *sources, const struct reference *ref,
                               struct date today, struct arena *arena, struct tally *tallies,
                               struct diag_sink *sink);

/* A visit as import_patient() would make it of the rows of that day, those of earlier days and
 * those without a day. Shares readings and texts with the visit's patient; the rest is in the
 * arena. NULL where rows of other days had a say that cannot be taken out again (a fact corrected
 * or contradicted, a goal that grew): then those rows must be read anew. */
const struct visit *import_as_of(const struct visit *v, struct arena *a);

/* Holds all rows of one patient back, whose id is too like another to be told from it for certain:
 * `nearest` is that other id. Counts each row once; there is no patient. */
void import_hold_patient(const struct row *rows, size_t n_rows,
                         struct import_source *const *sources, const char *nearest,
                         struct tally *tallies, struct diag_sink *sink);
/* Two rows that cannot both be true: these stand first in a list of exceptions. */
bool import_is_conflict(enum diag_code code);
/* A note that is the same for many readings of a file: a list tells the first of each kind. */
bool import_is_once_a_file(enum diag_code code);
/* Notes that the patient's id is like another; `row` is the first with that id. */
void import_note_id(const struct row *row, struct import_source *const *sources,
                    const char *nearest, struct diag_sink *sink);
/* Whether a row says anything of the person or the episode besides the id. */
bool import_row_has_facts(const struct import_source *src, const struct row *row);

/* The motion that two texts name together as cells of `joint` and `motion` would, in any spelling
 * that is known; either may be empty. NULL when they name none, or two. */
const struct motion *import_motion(const struct reference *ref, const char *joint,
                                   const char *motion);

/* ---- tables that are not about patients ------------------------------------------------------ */

struct import_table {
    const char *const *columns;  /* names; those that are needed first */
    int n_columns, n_needed;     /* no more columns than import itself knows */
};
/* As import_open, for a table of these columns; import_next gives its rows, import_close ends it.
 * Of the map only what it declares of files and cells holds. */
struct import_source *import_table_open(const char *path, int index, const struct import_table *t,
                                        const struct import_settings *settings,
                                        struct diag_sink *sink) MUST_CHECK;
/* NULL where the file has no such column. */
const struct cell *import_table_cell(const struct import_source *src, const struct row *row,
                                     int column);
/* What was tested, in words as a header of a column has them: "knee flexion PROM". */
struct import_test {
    const struct motion *motion;
    enum test test;              /* TEST_NONE: not said */
};
bool import_test_named(const struct reference *ref, const char *text,
                       struct import_test *out) MUST_CHECK;

/* ---- one cell at a time: what a written value means (each pure and tested by table) --------
 * `rules` is what a column map declares; NULL: nothing. */

/* Filled by the cell readers; a code per note, or `held` with its code. */
struct value_reading {
    enum reading_status status;   /* READING_HELD_BACK when not used: then `why` is set */
    enum diag_code why;
    const char *why_detail;       /* arena; may be NULL */
    const char *status_reason;    /* arena; may be NULL */
    struct num start, end;
    bool start_is_extension;      /* neutral-zero or pair: start belongs to the opposite motion */
    bool start_is_other_side;     /* neutral-zero of the spine: to the same motion, other side */
    double tries[TRIES_MAX];
    int n_tries;
    bool fixed, pain;
    enum end_feel end_feel;
    const struct grade *grade;
    struct num lag;               /* held back as a lag of so much: other readings may settle it */
    struct num pain_from, pain_to; /* a painful arc written in the cell, degrees */
    const char *position;         /* arena; written in the cell, in our words ("90 abduction") */
    bool bare_grade;              /* a number up to 5 alone, which either scale of grades has */
    enum diag_code notes[NOTES_MAX];
    int n_notes;
};
/* An angle (or mm, cm) cell of a range-of-motion test. */
void cell_angle(const char *text, const struct motion *motion, enum test test,
                const struct cell_rules *rules, struct arena *a, struct value_reading *out);
/* The same where it is in neutral-zero notation with the letter of a plane; false: it is not, and
 * cell_angle reads it. `side` is that of the row. */
bool cell_notation(const char *text, const struct motion *motion, enum side side,
                   const struct cell_rules *rules, struct arena *a,
                   struct value_reading *out) MUST_CHECK;
/* A grade cell of a manual muscle test. */
void cell_grade(const char *text, const struct cell_rules *rules, const struct reference *ref,
                struct arena *a, struct value_reading *out);
/* side, date, test, yes/no and the like: false with *why when not understood. An empty cell or a
 * placeholder is understood and leaves the value missing. */
bool cell_side(const char *text, const struct cell_rules *rules, enum side *side,
               enum diag_code *why) MUST_CHECK;
bool cell_date(const char *text, const struct cell_rules *rules, struct date *date,
               enum diag_code *why) MUST_CHECK;
bool cell_test(const char *text, enum test *test, enum diag_code *why) MUST_CHECK;
bool cell_pain(const char *text, struct num *low, struct num *high, enum diag_code *why) MUST_CHECK;
bool language_answers(const char *text); /* says yes or no in any language a map may declare */
bool cell_yes_no(const char *text, const struct cell_rules *rules, bool *yes,
                 enum diag_code *why) MUST_CHECK; /* empty: no */
/* One cell that tells pain at rest and on movement, by words ("2 rest 6 mvt") or by the declared
 * order of a pair. False: it is no such cell; cell_pain reads it, or says why not. */
bool cell_pain_pair(const char *text, const struct cell_rules *rules, double *rest,
                    double *move) MUST_CHECK;
/* One number of the columns start_deg and end_deg, where the sign is settled by the angle scale. */
void cell_degrees(const char *text, const struct motion *motion, const struct cell_rules *rules,
                  struct arena *a, struct value_reading *out);

/* A value that holds two or more readings, "R 118 L 130", "A118 P126", "5/5 B", or "118/126" where
 * the order of a pair is declared: what each part says of its side or test, and its text for the
 * reader of that column. Returns the number of parts, 0 when it is one reading or cannot be split
 * for certain. */
struct cell_part {
    enum side side;   /* SIDE_NONE when the part names none */
    enum test test;   /* TEST_NONE when the part names none */
    const char *text; /* arena */
};
enum { PARTS_MAX = 4 };
int cell_split(const char *text, bool is_grade, const struct cell_rules *rules, struct arena *a,
               struct cell_part parts[PARTS_MAX]);

#endif
