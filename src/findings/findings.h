/*
 * findings: the findings of one visit as a document. The XML form (docs/findings.md) is the
 * contract between computing and showing: templates select from it, `endfeel findings` prints it.
 * The CSV form is one row a finding, described there too. Keys only, no sentences.
 *
 * Numbers: C locale, half away from zero, angles, percents and forces 1 decimal, z 2 decimals.
 * Ownership: documents belong to the caller, who gives them to findings_free(), never to
 * xmlFreeDoc(); names of elements and attributes are literals.
 */
#ifndef ENDFEEL_FINDINGS_H
#define ENDFEEL_FINDINGS_H

#include "agree/agree.h"
#include "plan/plan.h"
#include "rules/rules.h"

struct findings_extra {          /* what the batch knows beyond the visit; all may be NULL or 0 */
    int amendment;               /* 0: none */
    const char *program_version;
};

struct _xmlDoc *findings_document(const struct visit_findings *v,
                                  const struct findings_extra *extra);
void findings_free(struct _xmlDoc *doc);
/* Holds a document against the one printed before it for the same visit: copies the amendments that
 * one tells of, adds another when a recorded value differs, and sets `amendment`, which must not be
 * set yet. Returns the number of the last amendment, 0 for none; *changed: it is a new one. */
int findings_amend(struct _xmlDoc *now, const struct _xmlDoc *before,
                   const struct visit_findings *v, bool *changed);
/* A copy without what may not leave the chart: patterns, what to watch for, places in files. An
 * ordinary document, for xmlFreeDoc(). */
struct _xmlDoc *findings_outward(struct _xmlDoc *doc);
/* The same as bytes, indented, UTF-8, for --format xml and for tests. */
void findings_xml(const struct visit_findings *v, const struct findings_extra *extra,
                  struct buf *out);
/* Appends a document in one line, UTF-8, as it is kept beside the reports made from it. */
void findings_save(const struct _xmlDoc *doc, struct buf *out);
/* `plain`: of the form without identifiers (docs/codebook.md), which has more columns. */
void findings_csv_header(bool plain, struct buf *out);
void findings_csv_rows(const struct visit_findings *v, struct buf *out);
/* The same without identifiers, and without the first cell, which names the patient. */
void findings_csv_plain_rows(const struct visit_findings *v, struct arena *a, struct buf *out);
/* RFC 4180 quoting, and an apostrophe before what a spreadsheet would take for a formula. */
void csv_field(struct buf *out, const char *text, bool first);

/* The day: one entry a report, for the day index. */
struct day_entry {
    const char *patient_id, *name, *kind, *file, *worst, *author, *role;
    struct date visit_date;
    const char *visit_kind;
    int treatment_day; /* counted from 1; 0: not recorded */
    int pages, notes, held, amendment;
    bool needs_countersign, is_signed;
    const struct reminder *reminders; /* of the visit, told with its first entry */
    size_t n_reminders;
};
struct day_tally {
    const char *file;
    long rows_in, used, duplicates, held;
};
/* `part` of `parts`, both 1 for a day that fits one document. */
struct _xmlDoc *findings_day_document(const struct day_entry *entries, size_t n,
                                      const struct day_tally *files, size_t n_files,
                                      const struct diag *problems, size_t n_problems, int part,
                                      int parts);

/* A class: what raters agree on, a part for each test. */
struct findings_class {
    const struct clinic *clinic;
    const struct reference *reference; /* for the names of grades */
    const char *program_version;
    const struct agree_result *const *results;
    size_t n_results;
    const struct day_tally *files;
    size_t n_files;
    const struct diag *problems;
    size_t n_problems;
};
struct _xmlDoc *findings_agree_document(const struct findings_class *c);
/* ---- without identifiers (docs/handout.md) -------------------------------------------------- */

/* What one patient's documents are told without: words that could be anybody's stay, all others
 * become a letter in the order they occur in, people become a number, dates become weeks. Lives in
 * the arena, reads the patient. */
struct findings_deid;
struct findings_deid *findings_deid_new(const struct patient *p, struct arena *a);
/* Whole weeks since the first visit, downwards; of a date that is not set none. */
struct num findings_deid_week(const struct findings_deid *d, struct date date);
/* A day that tells the week alone: weeks from 3 January 2000 instead of the first visit; the second
 * visit of a week stands a day after the first. */
struct date findings_deid_date(const struct findings_deid *d, struct date date);
/* Why something was not measured, as one of the codes of docs/codebook.md. */
const char *findings_deid_reason(const struct findings_deid *d, const char *text);
/* NULL for no text. */
const char *findings_deid_position(const struct findings_deid *d, const char *text);
const char *findings_deid_tool(const struct findings_deid *d, const char *text);
const char *findings_deid_muscle(const struct findings_deid *d, const char *text);
int findings_deid_rater(const struct findings_deid *d, const char *name); /* from 1; 0: no name */
/* The years an age is told as: 90 and more have no upper end. */
void findings_deid_age(const struct reference *ref, double age, int *from, struct num *to);

/* A case for teaching: visits as documents of the root `case`, oldest first, with nothing but what
 * the vocabulary of that root lists. */
struct findings_case {
    int number;
    size_t stage;                /* this visit alone, from 1; 0: all */
    bool with_notes;             /* what was typed as free text too */
};
struct _xmlDoc *findings_case_document(const struct visit_findings *const *visits, size_t n,
                                       const struct findings_case *how, struct arena *a);

/* An order of examination. */
struct findings_plan {
    const struct plan *plan;
    const struct plan_request *request; /* what the plan was made from */
    const char *const *asked;           /* as typed */
    size_t n_asked;
    const struct clinic *clinic;
    const char *program_version;
    const char *patient, *measured_by;  /* NULL: to be filled in by hand */
    struct date date;
    int tries;                          /* of each range */
};
struct _xmlDoc *findings_plan_document(const struct findings_plan *f);

/* Names a document can ever hold, as data for the template check: element, its possible
 * attributes, its possible children. */
struct vocabulary_entry {
    const char *element;
    const char *attributes; /* space-separated */
    const char *children;   /* space-separated */
};
const struct vocabulary_entry *findings_vocabulary(const char *root, size_t *n); /* root: visit,
    day, agree, plan, case */

#endif
