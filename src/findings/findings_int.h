/*
 * findings, private: the writer of a document and the parts a visit document is made of. The
 * writer keeps what is gathered on the way: sources and abbreviations that were used.
 */
#ifndef ENDFEEL_FINDINGS_INT_H
#define ENDFEEL_FINDINGS_INT_H

#include <libxml/tree.h>

#include "findings/findings.h"

struct used_source {
    const struct source *source;
    const char *mark; /* the weakest way any of its figures is known */
};

/* Abbreviations a page of this visit may print, as bits of `abbreviations`. */
enum abbreviation {
    ABBREVIATION_AROM,
    ABBREVIATION_ICF,
    ABBREVIATION_MDC,
    ABBREVIATION_MMT,
    ABBREVIATION_PROM,
    ABBREVIATION_PT,
    ABBREVIATION_PTA,
    ABBREVIATION_SD,
    ABBREVIATION_SEM,
    ABBREVIATION_COUNT
};

struct writer {
    struct arena *arena; /* the document's, which holds all of it */
    xmlDoc *doc;
    xmlAttr *last; /* the attribute set last */
    struct buf scratch;
    struct used_source *sources;
    size_t n_sources, cap_sources;
    unsigned abbreviations;
};

enum { DECIMALS = 1, FINE_DECIMALS = 2, SCRATCH_MAX = 1 << 20 };

/* ---- writer.c: nothing known, nothing written ------------------------------------------- */

/* Starts a document and gives its root. */
xmlNode *findings_begin(struct writer *w, const char *root);
/* Releases all but the document, which it gives. */
xmlDoc *findings_end(struct writer *w);
/* Goes on with a document that has been ended. */
void findings_resume(struct writer *w, xmlDoc *doc);
xmlNode *findings_child(struct writer *w, xmlNode *parent, const char *name);
/* An element that has not been used stays out of the document. */
void findings_drop_if_bare(xmlNode *node);
void findings_text(struct writer *w, xmlNode *node, const char *name, const char *value);
void findings_value(struct writer *w, xmlNode *node, const char *name, double value, int decimals);
void findings_number(struct writer *w, xmlNode *node, const char *name, struct num value,
                     int decimals);
void findings_count(struct writer *w, xmlNode *node, const char *name, long value);
/* A count where 0 says that there is none. */
void findings_positive(struct writer *w, xmlNode *node, const char *name, long value);
void findings_date(struct writer *w, xmlNode *node, const char *name, struct date value);
void findings_yes(struct writer *w, xmlNode *node, const char *name, bool value);
void findings_yes_no(struct writer *w, xmlNode *node, const char *name, bool value);
void findings_tri(struct writer *w, xmlNode *node, const char *name, enum tri value);
/* The number as the document writes it: rounded, needless zeros dropped. */
const char *findings_number_text(char out[NUM_TEXT_MAX], double value, int decimals);

/* ---- sources.c, abbreviations.c ---------------------------------------------------------- */

/* Writes id, citation and mark of a figure's source under the given attribute names (NULL: not
 * that one) and remembers the source. */
void findings_cite(struct writer *w, xmlNode *node, const struct source *source,
                   const struct known *known, const char *id_name, const char *citation_name,
                   const char *mark_name);
void findings_sources(struct writer *w, xmlNode *root);
void findings_abbreviate(struct writer *w, enum abbreviation which);
void findings_abbreviations(struct writer *w, xmlNode *root);

/* ---- parts of a visit ---------------------------------------------------------------------- */

void findings_clinic(struct writer *w, xmlNode *root, const struct clinic *c);
void findings_tally(struct writer *w, xmlNode *root, const struct day_tally *t);
void findings_people(struct writer *w, xmlNode *root, const struct visit *visit);
void findings_headline(struct writer *w, xmlNode *root, const struct visit_findings *v);
void findings_regions(struct writer *w, xmlNode *root, const struct visit_findings *v);
/* aims.c: what belongs to a reading, and what belongs to the visit. */
void findings_goals(struct writer *w, xmlNode *reading, const struct finding *f);
void findings_limits(struct writer *w, xmlNode *reading, const struct finding *f);
void findings_trend(struct writer *w, xmlNode *reading, const struct finding *f);
void findings_goals_without(struct writer *w, xmlNode *root, const struct visit_findings *v);
void findings_limits_in_force(struct writer *w, xmlNode *root, const struct visit_findings *v);
void findings_reminder(struct writer *w, xmlNode *parent, const struct reminder *r);
void findings_reading(struct writer *w, xmlNode *side, const struct finding *f);
void findings_patterns(struct writer *w, xmlNode *root, const struct visit_findings *v);
void findings_scores(struct writer *w, xmlNode *root, const struct visit_findings *v);
void findings_problem(struct writer *w, xmlNode *root, const struct diag *d);

/* ---- cases for teaching --------------------------------------------------------------------- */

const struct vocabulary_entry *findings_case_vocabulary(size_t *n);
/* What was typed as free text, as numbered sentences under `parent`: of the visit, and of the
 * patient where it is the first. *number goes on. */
void findings_statements(struct writer *w, xmlNode *parent, const struct visit_findings *v,
                         bool first, size_t visit, int *number);

/* ---- names.c -------------------------------------------------------------------------------- */

const char *findings_norm_kind(enum norm_kind kind);
const char *findings_mode(enum mode mode);
const char *findings_technique(enum technique technique);
const char *findings_limit_kind(enum limit_kind kind);
const char *findings_flag_level(enum flag_level level);
/* "any" where the norm does not ask for one. */
const char *findings_norm_sex(const struct norm *norm);
const char *findings_norm_side(const struct norm *norm);
bool findings_norm_other_mode(const struct norm *peers, enum test test);
/* Felt, but neither the expected end feel nor one of those also accepted. */
bool findings_end_feel_unexpected(const struct finding *f);
bool findings_has_range(const struct finding *f); /* the row is of AROM or PROM */
/* The normal is straight (0): a reading is words such as "lacks" or "past", not a percent. */
bool findings_is_zero_normal(const struct motion *motion);
bool findings_is_missing(const struct finding *f);

#endif
