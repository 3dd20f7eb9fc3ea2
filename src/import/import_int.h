/* import_int: what the files of import share among themselves: the physical lines of a file, the
 * native columns, and the state of one patient being put together. */
#ifndef ENDFEEL_IMPORT_INT_H
#define ENDFEEL_IMPORT_INT_H

#include "import/import.h"

#include <csv.h>

/* ---- encoding.c: bytes of another encoding to UTF-8 ---------------------------------------- */

enum encoding { ENCODING_UNDECLARED, ENCODING_UTF_8, ENCODING_UTF_16, ENCODING_UTF_16LE,
                ENCODING_UTF_16BE, ENCODING_WINDOWS_1252, ENCODING_LATIN_1, ENCODING_COUNT };
const char *encoding_name(enum encoding e); /* as a map writes it */
bool encoding_is_16_bit(enum encoding e);

struct decoder;
/* For an encoding other than UTF-8; of UTF-16 the byte order must be known. NULL when the system
 * has no converter. */
struct decoder *decoder_new(enum encoding e);
void decoder_free(struct decoder *d);
/* Adds the bytes as UTF-8; what is no text of the encoding becomes a byte that is not UTF-8, so
 * that its row is held back. `last`: nothing follows. */
void decoder_add(struct decoder *d, const char *bytes, size_t len, bool last, struct buf *out);
/* Whether there were bytes beyond ASCII and all of them would have been UTF-8. */
bool decoder_saw_utf8(const struct decoder *d);

/* ---- lines.c: physical lines in bounded memory --------------------------------------------- */

enum { LINES_READ_SIZE = 64 << 10 };

struct line {
    const char *text; /* into the window; lasts until the next lines_at or lines_drop */
    size_t len;       /* without its end */
    size_t full;      /* with its end (CR, LF or CR LF); equals len where the file just stops */
};

/* A window over a file: bytes [start, end) are read and not yet dropped. A row is looked at line
 * by line without dropping, so that reading can resume behind its first line when it is no row. */
struct lines {
    int fd;
    bool own_fd, eof;
    char *data;
    size_t cap, start, end;
    size_t read_size;
    size_t seen_offset, seen_len; /* bytes of the line at seen_offset known to hold no end */
    uint64_t due, got;            /* bytes of a plain file when it was opened, 0: not known; read */
    const char *why;              /* of LINE_FAILED */
    struct decoder *decoder;      /* NULL: bytes are taken as they are */
    char *raw;                    /* one read, before it is decoded */
    struct buf decoded;
};

enum line_step { LINE_OK, LINE_END, LINE_TOO_LONG, LINE_FAILED };

bool lines_open(struct lines *l, const char *path, size_t read_size,
                struct diag_sink *sink) MUST_CHECK;
void lines_close(struct lines *l);
/* Takes what is in the window and all that follows for text of that decoder, which it then owns. */
void lines_decode(struct lines *l, struct decoder *d);
/* The line that begins `offset` bytes into the window. */
enum line_step lines_at(struct lines *l, size_t offset, struct line *line) MUST_CHECK;
void lines_drop(struct lines *l, size_t bytes);
/* Drops the over-long line at the start of the window, to its end; false on a read error. */
bool lines_skip_long(struct lines *l) MUST_CHECK;
/* Bytes at the start of the window, at least `want` unless the file is shorter. */
size_t lines_peek(struct lines *l, size_t want, const char **bytes);

/* ---- columns.c ----------------------------------------------------------------------------- */

enum import_column {
    COL_PATIENT_ID, COL_NAME, COL_BIRTH_DATE, COL_AGE, COL_SEX, COL_DOMINANT_SIDE,
    COL_BODY_MASS_KG, COL_DIAGNOSIS, COL_DIAGNOSIS_CODE, COL_ONSET_DATE, COL_SURGERY_DATE,
    COL_PROCEDURE, COL_WEIGHT_BEARING, COL_AFFECTED_SIDE, COL_REFERRER, COL_REFERRER_ADDRESS,
    COL_REFERRAL_REASON, COL_PLAN_START, COL_CERTIFIED_ON, COL_VISIT_DATE, COL_VISIT_KIND,
    COL_TREATMENT_DAY, COL_MEASURED_BY, COL_ROLE, COL_SUPERVISOR, COL_SIGNED_ON,
    COL_COUNTERSIGNED_ON, COL_PLAN, COL_QUESTION_TO_REFERRER, COL_PAIN_REST, COL_PAIN_MOVE,
    COL_PROTOCOL, COL_OUTCOME_NAME, COL_OUTCOME_SCORE, COL_JOINT, COL_MOTION, COL_SIDE, COL_DIGIT,
    COL_TEST, COL_VALUE, COL_START_DEG, COL_END_DEG, COL_GRADE, COL_UNIT, COL_LEVER_CM,
    COL_REPETITIONS, COL_TRY, COL_POSITION, COL_TOOL, COL_TIMING, COL_MUSCLE, COL_TECHNIQUE,
    COL_END_FEEL, COL_PAIN, COL_PAIN_FROM, COL_PAIN_TO, COL_COMPENSATION, COL_REASON, COL_NOTE,
    COL_GOAL_ID, COL_GOAL_VALUE, COL_GOAL_DUE, COL_GOAL_ACTIVITY, COL_GOAL_SET_ON,
    COL_GOAL_BASELINE,
    COL_LIMIT_KIND, COL_LIMIT_TEST, COL_LIMIT_VALUE, COL_LIMIT_FROM, COL_LIMIT_UNTIL,
    COL_LIMIT_BY, COL_CORRECTED_ON, COL_CORRECTED_BY, COL_CORRECTION_REASON, COL_COUNT
};

const char *column_name(enum import_column c);
/* In any case, blanks and hyphens as good as the underscores of the name. */
bool column_is_named(const char *written, const char *name);
/* The column of a name in any case, blanks and hyphens as good as underscores; COL_COUNT: none. */
enum import_column column_by_name(const char *written);

/* What the header of a wide column settles for all its cells. */
enum pin { PIN_JOINT, PIN_MOTION, PIN_SIDE, PIN_DIGIT, PIN_TEST, PIN_POSITION, PIN_TIMING, PIN_TOOL,
           PIN_MUSCLE, PIN_UNIT, PIN_TECHNIQUE, PIN_TRY, PIN_COUNT };
enum import_column pin_column(enum pin p);
struct wide_column {
    int cell;                        /* index in the row */
    const char *header;
    const char *pins[PIN_COUNT];     /* NULL: not settled */
    long blanks;                     /* empty cells so far */
};
/* The text the header settles for a native column, or NULL. */
const char *wide_pin(const struct wide_column *w, enum import_column c);

/* Fills column_of and the wide columns from the header row; reports what it does not know. False:
 * file refused. */
bool columns_resolve(struct import_source *src, const struct row *header,
                     const struct reference *ref, struct diag_sink *sink) MUST_CHECK;
/* Whether the file has a column (or the map a constant) that takes the value of a reading. */
bool columns_have_value(const struct import_source *src);
/* Position of a cell of a row; of the row alone where the file has no such column. */
struct diag_pos column_pos(const struct import_source *src, const struct row *row,
                           enum import_column c);

/* ---- map.c: what a column map declares ----------------------------------------------------- */

enum map_kind { MAP_RENAME, MAP_PIN, MAP_SKIP };
struct map_column {
    const char *header;          /* as in the map */
    long line;
    enum map_kind kind;
    enum import_column to;       /* MAP_RENAME */
    const char *pins[PIN_COUNT]; /* MAP_PIN */
};

struct import_settings {
    char delimiter;   /* 0: found from the header */
    size_t read_size; /* bytes a read; tests cut it down to 1 */
    enum encoding encoding;
    int header_rows;             /* 0 and 1: one */
    struct cell_rules rules;
    const struct map_column *columns;
    size_t n_columns;
    const char *constants[COL_COUNT]; /* for files that hold measurements; NULL: none */
    const char *path, *digest;   /* of the map; NULL: none */
};
/* The entry for a header in any case, runs of blanks as one; NULL when the map has none. */
const struct map_column *map_find(const struct import_settings *s, const char *header);
/* Columns that may be constant: they say nothing of a person. */
bool map_may_be_constant(enum import_column c);

/* ---- reader.c ------------------------------------------------------------------------------ */

struct import_source {
    char *path;
    int index;
    bool history;
    struct lines lines;
    long line; /* number of the line at the start of the window */
    bool any_row, ended;

    struct csv_parser csv;
    char delimiter;
    struct buf text;   /* the cells of the row in hand, each with its NUL */
    size_t *offsets;   /* of each cell in `text`, which may move while it grows */
    struct cell *cells;
    int n_cells, cap_cells;
    long feed_line, cell_line; /* line being fed; line on which the cell in hand began */
    bool row_done, placed;     /* placed: the cells know their texts, whatever the offsets */
    enum diag_code bad;        /* first thing wrong with a cell of the row; DIAG_CODE_COUNT: none */
    int bad_column;
    long bad_line;

    int n_columns;
    int column_of[COL_COUNT]; /* cell index, -1: the file has no such column; of a table that is
                                 not about patients by the order of its own columns */
    unsigned char present[COL_COUNT]; /* the columns that the file or a constant has, in order */
    int n_present;

    const struct import_settings *settings;
    struct arena *arena;         /* of what follows */
    long header_line;
    struct wide_column *wide;
    int n_wide;
    int *held_columns;           /* cell indices of columns that are held back */
    int n_held_columns;
    struct cell *constants;      /* by column, text NULL: none; NULL: none at all */
    bool *map_used;              /* by column of the map */
    long n_rows;
};

/* The cell of a column, or NULL where the file has none. Asked some hundred times a row. */
static inline const struct cell *column_cell(const struct import_source *src,
                                             const struct row *row, enum import_column c)
{
    int i = src->column_of[c];
    if (i >= 0)
        return i < row->n_cells ? &row->cells[i] : NULL;
    return src->constants != NULL && src->constants[c].text != NULL ? &src->constants[c] : NULL;
}

/* The header alone, joined from two rows where the map says so; the source is then only good for
 * closing. NULL after reporting. */
struct import_source *reader_open_header(const char *path, const struct import_settings *settings,
                                         struct row *header, struct diag_sink *sink) MUST_CHECK;

#endif
