/*
 * Shared inside the reference folder: the compiled-in files, the library itself, the lists of words
 * the XML may use, and the steps of loading.
 */
#ifndef ENDFEEL_REFERENCE_INT_H
#define ENDFEEL_REFERENCE_INT_H

#include "reference/reference.h"
#include "reference/tree.h"

/* The library compiled in, in a source file that src/embed writes: its files in the order of their
 * names, ended by a NULL name, and what is known of them beforehand, the digest and the tree. The
 * bytes serve messages, and a library that borrows one of the files. */
struct reference_file {
    const char *name;
    const char *data;
    size_t size;
};
extern const struct reference_file embedded_files[];
extern const struct tree embedded_tree;
extern const char embedded_digest[DIGEST_HEX];

struct reference {
    struct arena *arena;
    char digest[DIGEST_HEX];
    struct motion *motions; /* in order */
    size_t n_motions;
    const struct motion **by_key; /* sorted by joint, motion */
    const char **joints;          /* each once, in order */
    size_t n_joints;
    struct error_row *errors;
    size_t n_errors;
    struct source *sources; /* sorted by id */
    size_t n_sources;
    const char **source_ids; /* as sources */
    struct grade *grades;    /* weakest first */
    size_t n_grades;
    struct spelling *spellings; /* by text, columns last */
    size_t n_spellings;
    struct threshold thresholds[THRESHOLD_COUNT];
    struct heel_rises *heel_rises;
    size_t n_heel_rises;
    struct grade_check *checks;
    struct capsular *capsulars;
    struct muscle_length *lengths;
    struct tension *tensions;
    struct myotome *myotomes;
    struct demand *demands;
    struct icf_code *icf_codes;
    struct force_norm *forces;
    struct sum_score *sums;
    size_t n_checks, n_capsulars, n_lengths, n_tensions, n_myotomes, n_demands, n_icf_codes,
        n_forces, n_sums;
};

/* ---- words (names.c) -------------------------------------------------------------------- */

/* The words an attribute may hold; ended by a NULL word. */
struct word {
    const char *word;
    int value;
};
extern const struct word unit_words[], sides_words[], tests_words[], sex_words[], side_words[],
    mode_words[], role_words[], kind_words[], better_words[], instrument_words[], rater_words[],
    end_feel_words[], gravity_words[], trigger_words[], plane_words[], position_words[],
    direction_words[], range_kind_words[], yes_words[];
/* Bits of tests_words and trigger_words. */
enum { TEST_ROM = 1, TEST_MMT = 2 };
enum { TRIGGER_LIMITED = 1, TRIGGER_WEAK = 2, TRIGGER_PAINFUL = 4 };

const struct word *word_find(const struct word *words, const char *text); /* NULL when none */

/* ---- how a figure is known (known.c) ----------------------------------------------------- */

/* The print mark, or NULL when the text does not tell. */
const char *known_mark(const char *text);
bool known_says_derived(const char *text);

/* ---- loading ----------------------------------------------------------------------------- */

struct load_file {
    const char *name; /* for messages */
    const char *data;
    size_t size;
    const struct tree_node *root;
};

enum { MARKS_KNOWN = 1024 };
struct load {
    struct reference *ref;
    struct diag_sink *sink;
    struct load_file *files;
    size_t n_files;
    const struct tree *tree;
    const struct load_file *file; /* the one being read */
    size_t problems;              /* reported so far */
    struct known marks[MARKS_KNOWN]; /* of texts met before; the same text is the same place */
};

/* Reports a problem of `node`, at the line of `attribute` when that is not NULL. */
void load_problem(struct load *l, enum diag_code code, const struct tree_node *node,
                  const char *attribute, const char *fmt, ...) PRINTF_LIKE(5, 6);
/* ", nearest is x", or "" ; in the library's arena. */
const char *load_nearest(struct load *l, const char *wanted, const char *const *names, size_t n);

enum field_kind {
    FIELD_TEXT,   /* const char * */
    FIELD_WORD,   /* const char *, one of words */
    FIELD_CHOICE, /* int or enum, the value of one of words */
    FIELD_DOUBLE, /* double */
    FIELD_NUM,    /* struct num */
    FIELD_INT,    /* int */
    FIELD_SOURCE, /* const struct source * */
    FIELD_KNOWN   /* struct known */
};
struct field {
    const char *name; /* of the attribute */
    enum field_kind kind;
    bool required;
    size_t offset; /* in the struct that is filled */
    const struct word *words;
};
/* Fills `out` from the attributes of node. Text that is not given becomes "". Every problem is
 * reported and counted. */
void load_fields(struct load *l, const struct tree_node *node, const struct field *fields, size_t n,
                 void *out);

/* Element names and stray text, all files; counts what later steps allocate for. */
struct load_counts {
    size_t motions, errors, sources, grades;
};
void load_check_structure(struct load *l, struct load_counts *counts);
/* Visits the elements `child` of all files whose root is `parent`; start from {0}. Sets l->file. */
struct load_walk {
    size_t file;
    const struct tree_node *node;
};
bool load_walk(struct load *l, struct load_walk *w, const char *parent, const char *child);
/* Memory for that many elements, or for those inside `node`, at least one. */
void *load_array(struct load *l, const char *parent, const char *child, size_t size);
void *load_room(struct load *l, const struct tree_node *node, const char *child, size_t size);
/* The motion of a node's joint and motion; NULL after reporting what comes nearest. */
const struct motion *load_motion_named(struct load *l, const struct tree_node *node,
                                       const char *joint, const char *motion);
void load_repeat(struct load *l, const struct tree_node *node, const char *attribute,
                 const char *value);
void load_sources(struct load *l, size_t n);
void load_peers_ranks(struct load *l); /* needs the sources */
void load_grades(struct load *l, size_t n);
void load_motions(struct load *l, size_t n); /* with everything inside them but errors */
void load_inside(struct load *l, const struct tree_node *node, struct motion *m);
void load_errors(struct load *l, size_t n); /* needs the motions */
void load_patterns(struct load *l); /* these need the motions and the grades */
void load_demands(struct load *l);
void load_strength(struct load *l);
void load_grade_checks(struct load *l);
void load_thresholds(struct load *l);
void load_vocabulary(struct load *l);       /* needs the motions */
/* Figures of one row against each other, and the default rows of a motion. */
void load_check_norm(struct load *l, const struct tree_node *node, const struct norm *norm);
void load_check_defaults(struct load *l, const struct tree_node *node, struct motion *motion);

#endif
