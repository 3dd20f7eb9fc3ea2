/* Shared inside batch: the wire between parent and workers, partitions, outputs. */
#ifndef ENDFEEL_BATCH_INT_H
#define ENDFEEL_BATCH_INT_H

#include "batch/batch.h"

#include <sys/types.h>

/* Everything loaded once before the workers are forked; read-only afterwards. */
struct tools {
    const struct batch_options *options;
    struct arena *arena;
    struct reference *reference;
    const struct clinic *clinic;
    uint64_t logo_digest;             /* of the picture the clinic names; 0: none */
    const struct import_settings *settings; /* of the column map */
    struct font_set *fonts;
    struct pdf_writer *pdf;
    const char **kinds;               /* of the templates loaded */
    struct layout_template **templates;
    size_t n_templates;
    struct layout_template *day_index;
    const char **made_with;           /* of each template: digest over version, reference, clinic,
                                         fonts, the template and options that shape a report */
    struct passwords *passwords;      /* of --protect; NULL: none */
    const struct import_table *table; /* columns of the inputs; NULL: those of patients */
    const struct past *past;          /* what earlier runs left; NULL when nothing is written */
    struct import_source **sources;
    size_t n_sources;
};
enum status tools_load(struct tools *t, const struct batch_options *options,
                       struct diag_sink *sink) MUST_CHECK;
void tools_release(struct tools *t);
/* What the document of a root can hold, for templates; NULL: there is no such document. */
const struct layout_vocabulary *tools_vocabulary(const char *root, size_t *n);

enum status template_run(const struct batch_options *options);

/* ---- inputs -------------------------------------------------------------------------------- */
/* Opens every file of inputs and history. A file that cannot be opened is reported and left out;
 * *lost counts them. */
void inputs_open(struct tools *t, size_t *lost, struct diag_sink *sink);
uint64_t inputs_size(const struct tools *t); /* bytes of regular files, for the partition count */

/* ---- passwords ------------------------------------------------------------------------------ */

struct passwords;
/* A file that holds one password, or CSV rows of referrer,password_file. NULL after reporting. */
struct passwords *passwords_load(const char *path, struct arena *a,
                                 struct diag_sink *sink) MUST_CHECK;
/* Of a referrer, by name in any case; else (and for NULL) of everybody else. */
const char *passwords_for(const struct passwords *p, const char *referrer);

/* ---- the output folder as it is found ------------------------------------------------------- */

/* Takes the lock of a folder: a file in it, locked whole. `shared` admits others that share. When
 * it is taken: waits if it may, after saying so, else reports. Returns what to drop it by, -1
 * after reporting. */
int lock_take(const char *path, bool shared, bool may_wait, struct diag_sink *sink) MUST_CHECK;
void lock_drop(int lock);

struct past;
struct past_line {               /* one row of a manifest */
    const char *text;            /* with its line end */
    size_t len, name_len;        /* name_len: of the file's name, where the row begins */
    size_t order;
    size_t manifest;             /* which of the manifests, as given */
};
struct past_report {
    int pages, amendment, notes, held;
    int64_t bytes;
    char sha256[DIGEST_HEX], input_sha256[DIGEST_HEX];
};
/* Manifests that are not there are passed over; of two rows for one file the later one holds. */
struct past *past_load(const char *const *paths, size_t n, struct diag_sink *sink) MUST_CHECK;
void past_free(struct past *p);
const struct past_line *past_lines(const struct past *p, size_t *n); /* by file, then by age */
bool past_find(const struct past *p, const char *file, struct past_report *out) MUST_CHECK;

/* ---- ids like one another ------------------------------------------------------------------ */
struct ids;
struct ids *ids_new(void);
void ids_free(struct ids *ids);
void ids_add(struct ids *ids, const char *text, bool has_facts);
enum id_doubt {
    ID_ALONE, /* no other is like it */
    ID_ALIKE, /* another is, and both may be patients */
    ID_HELD   /* another is in the list of patients, and this one is not */
};
/* *nearest: the other id, unless alone. */
enum id_doubt ids_doubt(const struct ids *ids, const char *text, const char **nearest);

/* A case for teaching, of one patient. */
enum status handout_run(const struct batch_options *options);
enum status suggest_run(const struct batch_options *options);
enum status agree_run(const struct batch_options *options);
enum status plan_run(const struct batch_options *options);

/* ---- kinds of report ------------------------------------------------------------------------ */
/* Those a visit may get when none is asked for; every one is loaded then. */
const char *const *kinds_by_default(size_t *n);
/* The chart alone may hold what is for its clinician to consider. */
bool kinds_is_chart(const char *kind);
const char *const *kinds_of_handout(bool with_notes, size_t *n);
bool kinds_has_reader(const struct patient *p); /* someone to write a letter to */
/* Is this kind made for this visit? Always when it was asked for. */
bool kinds_is_due(const struct batch_options *o, const char *kind, const struct visit *v);

/* ---- partitions: all rows of a patient in one of them -------------------------------------- */
struct partitions;
struct partitions *partitions_new(uint64_t input_size);
void partitions_free(struct partitions *p);
bool partitions_add(struct partitions *p, const char *patient_id, const struct row *row,
                    struct diag_sink *sink) MUST_CHECK;
/* Calls `take` with the packed rows of one patient after the other, in order of id inside a
 * partition; rows in order of source and line. */
typedef bool (*partitions_take)(void *user, const char *patient_id, const char *rows, size_t len,
                                size_t n_rows);
bool partitions_walk(struct partitions *p, partitions_take take, void *user,
                     struct diag_sink *sink) MUST_CHECK;

/* ---- wire ---------------------------------------------------------------------------------- */
/* A message is a sequence of records: type, length, bytes. */
enum record_type {
    RECORD_DIAG = 'D',    /* a diagnostic about the input */
    RECORD_TALLY = 'T',   /* of one source: rows used, duplicate, held back; angles, round ones */
    RECORD_REPORT = 'R',  /* a PDF that stands as .part */
    RECORD_TEXT = 'X',    /* findings or a dump, with its sort key */
    RECORD_PAGES = 'P',   /* drawn pages of a report for the print file, with their title */
    RECORD_END = 'E'
};
void wire_put_int(struct buf *b, int64_t v);
void wire_put_text(struct buf *b, const char *s); /* NULL stays NULL */
struct wire {
    const char *at, *end;
};
int64_t wire_int(struct wire *w);                        /* aborts on a cut message */
const char *wire_text(struct wire *w, struct arena *a);
void wire_record(struct buf *message, enum record_type type, const struct buf *payload);
void wire_put_diag(struct buf *b, const struct diag *d);
void wire_diag(struct wire *w, struct arena *a, struct diag *d);
bool wire_send(int fd, const struct buf *message) MUST_CHECK; /* length, then bytes */
bool wire_receive(int fd, struct buf *message) MUST_CHECK;    /* false at the end of the stream */

/* ---- worker -------------------------------------------------------------------------------- */
/* A job: what was lost of the patient so far (how many; of each the number of the report and why),
 * then the newest visit date of the input, the number of rows, and the rows. */
struct lost_report {
    long number;                 /* of the patient's reports, from 1 */
    const char *why;
};
/* Until the parent closes the stream. *in_hand is shared with the parent: the number of the report
 * that is being made, 0 before the first. */
void worker_run(const struct tools *tools, int fd, volatile long *in_hand);

/* The findings of a visit as its own rows and those of earlier days tell them; `dates` are of the
 * rows. `course` is of the visit's patient; NULL: none. */
struct visit_findings *evaluate_as_of_its_day(const struct tools *t, const struct row *all,
                                              const struct date *dates, size_t n_all,
                                              const struct visit *v, struct rules_course *course,
                                              struct arena *a);

/* A worker's state for the patient in hand. */
/* What a row says, and when; sorted by text, an order that does not depend on files. */
struct row_text {
    const char *text;
    size_t len;
    struct date date;
};
struct desk {
    const struct tools *tools;
    struct arena *arena;         /* of what is in hand: the patient, or one visit of it */
    struct arena *of_visit;      /* a visit's own: one of a hundred takes no more than the first */
    struct buf answer, payload, scratch;
    struct diag_sink sink;
    struct tally *tallies;
    struct row *rows;
    struct date *dates;          /* of the rows' visits */
    struct row_text *texts;      /* of the rows, for what reports are made from */
    size_t n_rows;
    struct date newest;
    bool told_no_reader;         /* once a patient */
    volatile long *in_hand;
    struct lost_report *lost;
    size_t n_lost;
    enum diag_code why;          /* the last error, which a refused report is listed with */
    long why_line;               /* in the template; 0 = not known */
    char why_file[60];           /* of that line: chart.xml, parts/logo.xml */
    char why_detail[160];        /* what, and where in the findings; cut short if need be */
};
/* Sort key of what is collected over all patients: id, date, running number. */
void desk_put_text(struct desk *desk, const struct visit *v, int part, const struct buf *text);
/* The patient's part of a file name; a long id is cut and marked with what no safe name holds. */
enum { REPORT_NAME_CUT = '~' };
const char *report_name(struct arena *a, const char *patient_id);
/* What ended another worker, of the report whose turn it is; NULL: nothing did. Numbers the
 * report, and gives it the time of one. */
const char *desk_next_report(struct desk *desk);
/* Before the first visit of a patient. */
void reports_take_rows(struct desk *desk);
/* All reports of one visit: those that stand unchanged are left, the others set and put beside
 * their final names. */
void make_reports(struct desk *desk, const struct visit_findings *vf);

/* ---- pool of workers (parent) -------------------------------------------------------------- */
struct pool;
typedef bool (*pool_answer)(void *user, const struct buf *message);
typedef void (*pool_lost)(void *user, const struct buf *job, const char *why);
struct pool *pool_new(const struct tools *tools, int jobs, pool_answer answer, pool_lost lost,
                      void *user, struct diag_sink *sink);
bool pool_submit(struct pool *p, const struct buf *job) MUST_CHECK; /* a job without losses */
bool pool_finish(struct pool *p) MUST_CHECK; /* waits for every answer */
void pool_free(struct pool *p);              /* ends the workers */
void pool_end_at_once(void);                 /* those of the pool there is; allocates nothing */
bool interrupted(void);                      /* a signal asked to stop */
int interrupted_by(void);
void watch_signals(void);

/* ---- limits of one report ------------------------------------------------------------------- */
void limits_time(const struct batch_options *o);   /* from now on: SIGPROF */
void limits_no_time(void);
void limits_memory(const struct batch_options *o); /* on top of what the process has */
/* The same for what the parent sets itself: beyond its time the program says so and ends. */
void limits_guard(const struct batch_options *o);
void limits_no_guard(void);

/* ---- outputs (parent) ---------------------------------------------------------------------- */
enum report_state {
    REPORT_NEW,                  /* no run before made it */
    REPORT_UNCHANGED,            /* stands as an earlier run left it */
    REPORT_AMENDED,              /* a recorded value differs from what was printed */
    REPORT_SET_AGAIN             /* other templates, settings or version, or a damaged file */
};
struct report {                  /* one PDF, as a worker made it */
    enum report_state state;
    const char *file;            /* relative to the output folder, as the next two */
    const char *kept_as;         /* where the PDF that it replaces is kept; NULL: it is not */
    const char *values;          /* what was printed, put in place after it; NULL: stands */
    const char *kind, *patient_id, *name, *visit_kind, *worst, *author, *role;
    struct date visit_date;
    int pages, notes, held, amendment;
    int64_t bytes;
    const char *sha256, *input_sha256;
    bool needs_countersign, is_signed;
    int treatment_day;           /* 0: not recorded */
    const struct reminder *reminders; /* due, or past due */
    size_t n_reminders;
};
const char *manifest_head(void);
void manifest_row(struct buf *b, const struct report *r);
void report_put(struct buf *b, const struct report *r);
void report_get(struct wire *w, struct arena *a, struct report *r);

struct outputs;
struct outputs *outputs_new(const struct tools *tools);
void outputs_free(struct outputs *o);
bool outputs_problem(struct outputs *o, const struct diag *d, struct diag_sink *sink) MUST_CHECK;
bool outputs_report(struct outputs *o, const struct report *r, struct diag_sink *sink) MUST_CHECK;
bool outputs_text(struct outputs *o, const char *key, size_t key_len, const char *text, size_t len,
                  struct diag_sink *sink) MUST_CHECK;
bool outputs_drawn(struct outputs *o, const struct report *r, const char *title,
                   const char *drawn, size_t len, struct diag_sink *sink) MUST_CHECK;
struct outcome {                 /* how the run went, for what is written last */
    const struct day_tally *files;
    const struct tally *tallies; /* of the same files */
    size_t n_files;
    bool complete;               /* nothing was lost or broken off */
    bool held;                   /* exit status 1 */
    const char *made_with;       /* of a shard: digest of options and input */
};
/* Commits what waits, writes exceptions, manifest, day index and print file, or the part of a
 * shard, or the collected text. */
bool outputs_finish(struct outputs *o, const struct outcome *outcome,
                    struct diag_sink *sink) MUST_CHECK;
const char *outputs_exceptions(struct outputs *o); /* path of the list */
bool outputs_exceptions_failed(const struct outputs *o);
long outputs_held(const struct outputs *o);
long outputs_notes(const struct outputs *o);
long outputs_reports(const struct outputs *o);
long outputs_refused(const struct outputs *o); /* reports that could not be set */
long outputs_count(const struct outputs *o, enum report_state state);

/* ---- shares of a batch ---------------------------------------------------------------------- */

/* Is this patient this run's? Of every run that is no shard. */
bool shard_has(const struct batch_options *o, const char *patient_id);
/* Files of a run in the output folder; of a shard their names say which. */
const char *list_file(struct arena *a, const struct batch_options *o, const char *stem);
/* Where rows of the manifest wait while a run works. */
const char *journal_file(struct arena *a, const struct batch_options *o);
const char *shard_file(struct arena *a, const struct batch_options *o); /* for the merge */
enum status merge_run(const struct batch_options *options);

/* ---- summary ------------------------------------------------------------------------------- */

void summary_note_round_angles(const struct outcome *outcome, struct diag_sink *sink);
void summary_say(const struct batch_options *options, struct outputs *o,
                 const struct outcome *outcome);

/* ---- progress ------------------------------------------------------------------------------ */
struct progress {
    bool shown;
    long patients;               /* answered */
    long rows, all_rows;         /* handed out, to hand out */
    double started, printed;
};
void progress_start(struct progress *p, const struct batch_options *o, long all_rows);
void progress_step(struct progress *p); /* one patient answered */
void progress_end(struct progress *p);

#endif
