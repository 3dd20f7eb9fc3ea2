/* Shared by what writes what the parent collected: lists, day index, print file, shards. */
#ifndef ENDFEEL_BATCH_OUTPUTS_INT_H
#define ENDFEEL_BATCH_OUTPUTS_INT_H

#include "batch/batch_int.h"

enum { GROUP = 128, FOLDERS_SYNCED_ONE_BY_ONE = 4, SORTER_BYTES = 1 << 20 };

struct outputs {
    const struct tools *tools;
    struct sorter *problems;   /* diagnostics: conflicts, then by file, line and column */
    struct sorter *entries;    /* reports, in order of patient, date and kind */
    struct sorter *manifest;   /* its rows, in order of file */
    struct sorter *texts;      /* findings or a dump */
    struct sorter *drawn;      /* pages for the print file, in the order of entries */
    struct buf pending[GROUP]; /* reports whose .part is not yet in place */
    size_t n_pending;
    long held, notes, refused, reports, pages;
    long counts[REPORT_SET_AGAIN + 1]; /* of reports, by state */
    struct once {              /* notes of which a list tells the first of a file */
        enum diag_code code;
        const char *file, *detail;
        bool listed;
    } *once;
    size_t n_once, cap_once;
    bool with_findings;
    bool exceptions_failed;    /* the list could not be put in place */
    struct arena *arena;
    const char *folders[3 * GROUP]; /* that got files in the group being committed */
    size_t n_folders;
};

bool outputs_record(struct outputs *o, const struct report *r, struct diag_sink *sink) MUST_CHECK;
/* Whether a note that is told once a file stands in the list already; if not, it does from now. */
bool outputs_is_listed(struct outputs *o, const struct diag *d);
const char *outputs_path(struct outputs *o, const char *file); /* in the output folder */
/* Puts in place what waits. */
bool outputs_commit(struct outputs *o, struct diag_sink *sink) MUST_CHECK;
/* Removes the parts of workers that died or were stopped, in this run or an earlier one. Lists of
 * shards are written over by the next run of the same shard. */
void leftovers_remove(const struct tools *tools);
/* The same, with an end to the workers, should the run have to end at once; NULL: no more. */
void leftovers_watch(const struct tools *tools);

/* ---- lists.c ------------------------------------------------------------------------------- */

bool lists_write(struct outputs *o, struct diag_sink *sink) MUST_CHECK;
bool lists_write_manifest(struct outputs *o, struct diag_sink *sink) MUST_CHECK;
/* Findings, a dump or the problems, on standard output or in the file that --out names. */
bool lists_print(struct outputs *o, struct diag_sink *sink) MUST_CHECK;
/* Opens PATH.part for streaming; close puts it in place, or reports and removes it. */
FILE *stream_open(const char *path, struct diag_sink *sink) MUST_CHECK;
bool stream_close(FILE *f, const char *path, bool ok, struct diag_sink *sink) MUST_CHECK;

/* ---- day_index.c, print_file.c -------------------------------------------------------------- */

bool day_index_write(struct outputs *o, const struct day_tally *files, size_t n_files,
                     struct diag_sink *sink) MUST_CHECK;
/* Removes STEM-N.pdf for N after `parts`: of an earlier, longer run. */
void outputs_remove_further(struct outputs *o, const char *stem, int parts);
/* Writes a finished PDF, under the password where one was asked for. */
bool outputs_write_pdf(struct outputs *o, const char *name, struct buf *pdf,
                       struct diag_sink *sink) MUST_CHECK;
bool print_file_write(struct outputs *o, struct diag_sink *sink) MUST_CHECK;

/* ---- shard.c -------------------------------------------------------------------------------- */

/* All that a shard collected, for the merge. */
bool shard_write(struct outputs *o, const struct outcome *outcome,
                 struct diag_sink *sink) MUST_CHECK;
/* The records of such a file, its head first; false when it is not whole. */
bool shard_body(const struct buf *text, struct wire *body) MUST_CHECK;

#endif
