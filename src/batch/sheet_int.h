/* Shared by the commands of teaching that print one sheet: agree and plan. */
#ifndef ENDFEEL_BATCH_SHEET_INT_H
#define ENDFEEL_BATCH_SHEET_INT_H

#include "agree/agree.h"
#include "batch/batch_int.h"

/* ---- sheet.c: a document to a file of the output folder ------------------------------------- */

/* Reference and clinic, and with a `kind` its template, which must be for `root`, the fonts and the
 * PDF writer. */
enum status tools_load_sheet(struct tools *t, const struct batch_options *options,
                             const char *kind, const char *root,
                             struct diag_sink *sink) MUST_CHECK;
/* Sets the document with the template that was loaded and puts OUT/NAME in place. *refused: it
 * cannot be set from its data; else a failure is of the system. */
bool sheet_write(struct tools *t, struct _xmlDoc *doc, const char *name, bool *refused,
                 struct diag_sink *sink) MUST_CHECK;
bool sheet_write_text(const struct tools *t, const char *name, const struct buf *text,
                      struct diag_sink *sink) MUST_CHECK;
/* The output folder is this run's alone until lock_drop(); -1 after reporting. */
int sheet_lock(struct tools *t, struct diag_sink *sink) MUST_CHECK;
/* To the file of -o or to standard output. */
bool sheet_print(const struct batch_options *o, const struct buf *text,
                 struct diag_sink *sink) MUST_CHECK;

/* ---- agree_rows.c: rows of subject, rater and value ------------------------------------------ */

enum class_outcome { CLASS_USED, CLASS_DUPLICATE, CLASS_HELD };
struct class_row {               /* a row of the input */
    size_t source;
    long line;
    const char *text;            /* the cell of its value */
    enum class_outcome outcome;
};
struct class_rows {
    struct arena *arena;         /* of all texts */
    struct class_row *rows;      /* in order of source and line */
    size_t n_rows, cap_rows;
    struct agree_rating *ratings;
    size_t n, cap;
    bool judging;                /* messages are about rows of this list */
    struct tally *tallies;       /* by source; whole after class_settle() */
};
extern const struct import_table class_table;
/* False when a file broke off. */
bool class_read(struct class_rows *c, const struct tools *t, enum agree_scale scale,
                struct diag_sink *sink) MUST_CHECK;
/* What a message about a row makes of it; NULL: it is about none. The worse outcome stands. */
struct class_row *class_judge(struct class_rows *c, const struct tools *t, const struct diag *d);
void class_settle(struct class_rows *c);
void class_release(struct class_rows *c);

#endif
