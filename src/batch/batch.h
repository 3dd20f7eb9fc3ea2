/*
 * batch: from the names of files to everything in the output folder. The parent opens the files,
 * reads rows, groups them by patient (through private spill files when the input is large) and
 * hands one patient at a time to long-lived workers; a worker does import -> rules -> findings ->
 * layout -> pdf for that patient and answers with what it made. Only the parent commits files
 * under their final names and writes manifest, exceptions and day index.
 *
 * Memory does not grow with the batch: a partition of the input at a time, sorted spill runs for
 * what is collected. Output is the same bytes for any number of workers.
 */
#ifndef ENDFEEL_BATCH_H
#define ENDFEEL_BATCH_H

#include "findings/findings.h"
#include "import/import.h"
#include "layout/layout.h"
#include "pdf/pdf.h"

enum batch_command {
    BATCH_REPORT, BATCH_CHECK, BATCH_FINDINGS, BATCH_MERGE, BATCH_AGREE, BATCH_PLAN, BATCH_TEMPLATE,
    BATCH_HANDOUT
};
enum batch_select { SELECT_NEWEST, SELECT_ON, SELECT_LATEST, SELECT_EVERY };
enum batch_format { FORMAT_CSV, FORMAT_XML };
enum batch_scale { SCALE_NONE, SCALE_ANGLE, SCALE_GRADE };
enum batch_dump { DUMP_NONE, DUMP_ROWS, DUMP_MODEL, DUMP_FINDINGS, DUMP_PAGES };

struct batch_plan {              /* of BATCH_PLAN; `inputs` are the names of motions */
    unsigned tests, positions;   /* bits as plan has them; 0: all */
    enum side side;              /* the one side to examine; SIDE_NONE: both */
    enum side involved;
    const char *const *cautions; /* CAUTION[:JOINT][:SIDE] */
    size_t n_cautions;
    const char *const *provokes;
    size_t n_provokes;
    const char *measured_by;     /* or NULL */
    int tries;                   /* rows of each range in the CSV */
    bool checklist;              /* of a practical examination, in place of the sheet */
};

struct batch_options {
    enum batch_command command;
    const char *const *inputs;   /* files or folders; "-" is standard input */
    size_t n_inputs;
    const char *const *history;
    size_t n_history;
    const char *out;             /* output folder; for findings a file or NULL = stdout */
    const char *const *kinds;    /* empty: by visit kind */
    size_t n_kinds;
    const char *only_patient;    /* --patient, or NULL */
    enum batch_select select;
    struct date on;
    struct date today;
    enum batch_format format;
    enum batch_dump dump;
    const char *templates;       /* NULL: the program's own */
    const char *reference;       /* NULL: embedded */
    const char *clinic;          /* NULL: default */
    const char *map;             /* column map for all inputs; NULL: none */
    bool suggest_map;            /* with BATCH_CHECK: print a map from the headers instead */
    int jobs;                    /* >= 1 */
    int time_limit;              /* of a report: seconds of processor time, >= 1 */
    int memory_limit;            /* of a report: MB, >= 1 */
    int shard, shards;           /* part `shard` of `shards`, counted from 0; 0 parts: all */
    enum batch_scale scale;      /* of BATCH_AGREE */
    struct batch_plan plan;
    bool prints;                 /* a form was asked for: printed, and no sheet is set */
    const char *protect;         /* file with the password or passwords; NULL: none */
    bool print_all;              /* one print file too */
    bool archive;                /* every PDF as PDF/A-1b */
    bool attach;                 /* the findings inside each report */
    int case_number;             /* of a handout; 0: the next that is free */
    bool de_identified;          /* of findings as CSV: without what identifies a person */
    bool with_notes;             /* of a handout: free text too, and the sheet to review it */
    bool with_findings, quiet, verbose;
    enum { PROGRESS_AUTO, PROGRESS_ALWAYS, PROGRESS_NEVER } progress;
};

enum status batch_run(const struct batch_options *options);

#endif
