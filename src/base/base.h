/*
 * base: what every other folder may use and nobody else provides: memory, text, numbers, dates,
 * files, the safe XML reader, digests, sorted spill runs and the diagnostics table.
 *
 * Ownership: everything read or derived for one run of input lives in that run's arena and is
 * freed with it; anything from a `_new` belongs to the caller; every other pointer is borrowed
 * and says so by being const.
 *
 * Failure: a function that can fail returns bool, has already reported through the sink it was
 * given when it returns false, and is marked must-check. Memory never fails here: the one wrapper
 * prints a line and ends the process with STATUS_SYSTEM; a parent that runs workers sees that.
 */
#ifndef ENDFEEL_BASE_H
#define ENDFEEL_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#define MUST_CHECK __attribute__((warn_unused_result))
#define PRINTF_LIKE(fmt, args) __attribute__((format(printf, fmt, args)))
#define ARRAY_LEN(a) (sizeof(a) / sizeof((a)[0]))

/* Exit statuses of the program (EXIT STATUS in the manual). */
enum status {
    STATUS_OK = 0,
    STATUS_HELD_BACK = 1, /* complete, but something was held back or refused for its data */
    STATUS_USAGE = 2,     /* usage, or a template, map, clinic or reference that does not load */
    STATUS_SYSTEM = 3     /* disk, memory, lost worker: try again */
};

/* ---- memory ---------------------------------------------------------------------------- */

void *mem_alloc(size_t size);               /* zeroed; never NULL; size 0 gives one byte */
void *mem_resize(void *ptr, size_t size);   /* as realloc; never NULL */
char *mem_strdup(const char *s);
/* Ends the process with a line and STATUS_SYSTEM, without allocating: out of memory, or in a signal
 * handler. What is to be done before that, if anything, must not allocate either. */
_Noreturn void mem_end(const char *why);
void mem_before_end(void (*act)(void)); /* NULL: nothing */

struct arena;
struct arena *arena_new(void);
void arena_free(struct arena *a);                        /* NULL is taken */
void arena_clear(struct arena *a);                       /* frees all blocks but the first */
void *arena_alloc(struct arena *a, size_t size);         /* zeroed, aligned for any type */
void *arena_room(struct arena *a, size_t size);          /* as above, for what is written whole */
/* Room for `size` bytes that starts with the `used` bytes of `old`; the rest is not zeroed. */
void *arena_grow(struct arena *a, const void *old, size_t used, size_t size);
char *arena_strdup(struct arena *a, const char *s);      /* NULL gives NULL */
char *arena_strndup(struct arena *a, const char *s, size_t len);
char *arena_printf(struct arena *a, const char *fmt, ...) PRINTF_LIKE(2, 3);
size_t arena_bytes(const struct arena *a);               /* taken from the system, for bench */

/* A growing byte buffer with a maximum from birth; going past it is a bug and ends the process. */
struct buf {
    char *data; /* NUL-terminated whenever len > 0 or after buf_text(); NULL when untouched */
    size_t len;
    size_t cap;
    size_t max;
};
void buf_init(struct buf *b, size_t max);
void buf_release(struct buf *b);
void buf_clear(struct buf *b);              /* keeps the memory */
void buf_addf(struct buf *b, const char *fmt, ...) PRINTF_LIKE(2, 3);
void buf_addu(struct buf *b, uint64_t n);   /* in decimal */
const char *buf_text(struct buf *b);        /* never NULL */
void buf_grow(struct buf *b, size_t more);  /* for the next ones, which nearly always have room */

/* Room for `most` bytes to be written in place; buf_take() then says where they ended. */
static inline char *buf_room(struct buf *b, size_t most)
{
    if (most >= b->cap - b->len)
        buf_grow(b, most);
    return b->data + b->len;
}

static inline void buf_take(struct buf *b, const char *end)
{
    b->len = (size_t)(end - b->data);
    b->data[b->len] = '\0';
}

static inline void buf_add(struct buf *b, const void *bytes, size_t len)
{
    char *to = buf_room(b, len);
    if (len > 0)
        memcpy(to, bytes, len);
    buf_take(b, to + len);
}

static inline void buf_adds(struct buf *b, const char *s)
{
    buf_add(b, s, strlen(s));
}

static inline void buf_addc(struct buf *b, char c)
{
    char *to = buf_room(b, 1);
    *to = c;
    buf_take(b, to + 1);
}

/* ---- numbers and dates ----------------------------------------------------------------- */

/* Missing is not zero. */
struct num {
    bool has;
    double value;
};
struct num num_of(double value);
struct num num_none(void);

/* Whole string is a plain decimal: optional sign, digits, optional point and digits. No locale,
 * no exponent, no spaces. */
bool num_parse(const char *s, size_t len, double *value) MUST_CHECK;

/* Half away from zero at `decimals` (0-6) on the decimal expansion a reader would write; "-0" is
 * written "0"; the point is always '.'. NUM_TEXT_MAX is enough for |value| < 1e15. */
enum { NUM_TEXT_MAX = 40 };
char *num_format(char out[NUM_TEXT_MAX], double value, int decimals);
double num_round(double value, int decimals);

struct date {
    short year; /* 0 = missing */
    signed char month, day;
};
enum { DATE_TEXT_MAX = 24 };
static inline bool date_is_set(struct date d)
{
    return d.year != 0;
}
bool date_is_valid(int year, int month, int day);           /* 1800-2200, Gregorian */
bool date_parse_iso(const char *s, struct date *d) MUST_CHECK; /* exactly YYYY-MM-DD */
char *date_format(char out[DATE_TEXT_MAX], struct date d);  /* YYYY-MM-DD, "" when missing */
static inline int date_compare(struct date a, struct date b) /* before, same, after: -1, 0, 1 */
{
    int one = a.year * 512 + a.month * 32 + a.day, other = b.year * 512 + b.month * 32 + b.day;
    return (one > other) - (one < other);
}
long date_days(struct date d);                              /* days since 1970-01-01 */
struct date date_from_days(long days);
double date_age_years(struct date birth, struct date on);   /* completed years; under 2 decimal */

/* ---- text ------------------------------------------------------------------------------ */

bool str_eq(const char *a, const char *b);            /* NULL equals NULL only */
bool str_eq_nocase(const char *a, const char *b);     /* ASCII case */
bool str_is_empty(const char *s);                     /* NULL or no characters */
char *str_trim(char *s);                              /* in place, ASCII space; returns start */
bool str_starts(const char *s, const char *prefix);
/* Optimal string alignment distance on bytes, lower-cased; for "nearest known name". */
int str_distance(const char *a, const char *b);
/* The nearest of n names, or NULL when none is within a third of its length. */
const char *str_nearest(const char *wanted, const char *const *names, size_t n);

/* One cell of CSV: quoted where it must be, an apostrophe before what a spreadsheet would take for
 * a formula. Commas and line ends between cells are the caller's. */
void csv_put(struct buf *b, const char *text);

/* Decodes one character at *s (before end); advances *s. Returns UTF8_BAD for an ill-formed
 * sequence and then advances one byte. */
enum { UTF8_BAD = -1 };
int32_t utf8_next(const char **s, const char *end);
bool utf8_is_valid(const char *s, size_t len);        /* well-formed, no surrogates, no NUL */
void utf8_put(struct buf *b, int32_t c);

/* ---- diagnostics ----------------------------------------------------------------------- */

enum diag_level { DIAG_NOTE, DIAG_WARNING, DIAG_ERROR, DIAG_SYSTEM, DIAG_LEVEL_COUNT };

/* What became of the input a diagnostic speaks of (column `outcome` of exceptions.csv). */
enum diag_outcome { OUTCOME_NONE, OUTCOME_NOTE, OUTCOME_HELD_BACK, OUTCOME_DUPLICATE };

/* One enum and one text table, both from diag_list.h. */
enum diag_code {
#define DIAG(code, id, level, outcome, reason, advice) code,
#include "base/diag_list.h"
#undef DIAG
    DIAG_CODE_COUNT
};

struct diag_pos {
    const char *file;  /* may be NULL: not about a file */
    long line;         /* 1-based; 0 = not about a line */
    long column;       /* CSV: 1-based field number; XML: 0 */
    const char *field; /* CSV: header name; XML: element or attribute; may be NULL */
};

struct diag {
    enum diag_code code;
    struct diag_pos pos;
    const char *text;   /* the original cell, or NULL; goes to exceptions.csv, never to a log */
    const char *detail; /* a number, a unit, a column or a known name; never personal data */
};

/* Receives diagnostics. `put` must copy what it keeps. */
struct diag_sink {
    void (*put)(void *user, const struct diag *d);
    void *user;
    size_t count[DIAG_LEVEL_COUNT];
};
void diag_report(struct diag_sink *sink, enum diag_code code, struct diag_pos pos,
                 const char *text, const char *fmt, ...) PRINTF_LIKE(5, 6); /* fmt may be NULL */
const char *diag_id(enum diag_code code);       /* lower-case-with-hyphens, public */
const char *diag_reason(enum diag_code code);
const char *diag_advice(enum diag_code code);   /* what to type or do instead; may be "" */
enum diag_level diag_level(enum diag_code code);
enum diag_outcome diag_outcome(enum diag_code code);
const char *diag_level_name(enum diag_level level);
const char *diag_outcome_name(enum diag_outcome outcome);
bool diag_code_by_id(const char *id, enum diag_code *code) MUST_CHECK;
/* "endfeel: file:line:col: level: reason: detail (advice)" without the cell's text. */
void diag_print(FILE *out, const struct diag *d);

/* A sink that keeps copies, for tests and for passing on. */
struct diag_list {
    struct diag_sink sink; /* hand &list->sink to callees */
    struct arena *arena;
    struct diag *items;
    size_t n, cap;
};
void diag_list_init(struct diag_list *l);
void diag_list_release(struct diag_list *l);
void diag_list_clear(struct diag_list *l);

/* ---- files ----------------------------------------------------------------------------- */

/* Opens to read what the operator names, which may be a pipe: -1, and reported, when nothing has
 * been written to it for ten seconds and nobody is there to. */
int file_open(const char *path, struct diag_sink *sink);
/* Opens what we wrote: a file, or -1, reported, with errno. */
int file_open_own(const char *path, struct diag_sink *sink);
/* Opens to write, making it if need be, with further flags of open(): a file, no link to one, or -1
 * with errno, which file_why() words. */
int file_open_write(const char *path, int flags);
const char *file_why(int error);
/* Reads a whole file of at most `max` bytes into an initialised buf. */
bool file_read(const char *path, size_t max, struct buf *out, struct diag_sink *sink) MUST_CHECK;
bool file_read_own(const char *path, size_t max, struct buf *out,
                   struct diag_sink *sink) MUST_CHECK;
/* Writes `path`.part (mode 0600), checks every step, leaves no file on failure. Not durable and
 * not in place until file_commit(). */
bool file_write_part(const char *path, const void *data, size_t len,
                     struct diag_sink *sink) MUST_CHECK;
bool file_commit(const char *path, struct diag_sink *sink) MUST_CHECK; /* renames the part */
void file_discard(const char *path);                                   /* removes the part */
/* Removes the parts that this process has written and not yet committed; allocates nothing. */
void file_discard_all(void);
/* fsync of one folder, so that renames in it last. */
bool file_sync_folder(const char *path, struct diag_sink *sink) MUST_CHECK;
/* part + fsync + commit: for single files such as the manifest. */
bool file_write(const char *path, const void *data, size_t len, struct diag_sink *sink) MUST_CHECK;
bool file_make_folders(const char *path, struct diag_sink *sink) MUST_CHECK; /* 0700 each */
bool file_is_folder(const char *path);
bool file_exists(const char *path);
/* Paths of the regular files in a folder whose names end in `suffix`, sorted bytewise; arena. */
bool file_list(const char *folder, const char *suffix, struct arena *a, const char ***paths,
               size_t *n, struct diag_sink *sink) MUST_CHECK;
/* `id` as one safe path component: letters, digits, '-', '_', inner '.'; the rest %XX. */
char *file_safe_name(struct arena *a, const char *id);
/* Finds a folder of the program's data ("templates", "fonts"): beside the running program in
 * share/, then PREFIX/share/endfeel/ as built in. NULL when nowhere. */
const char *file_data_folder(struct arena *a, const char *name);

/* ---- digests --------------------------------------------------------------------------- */

uint64_t hash_fnv1a64(const void *data, size_t len);
struct digest {
    uint64_t state[32]; /* opaque: large enough for the library's context, checked in digest.c */
};
enum { DIGEST_HEX = 65 };
void digest_init(struct digest *d);
void digest_add(struct digest *d, const void *data, size_t len);
void digest_hex(struct digest *d, char out[DIGEST_HEX]); /* SHA-256 */

/* ---- XML ------------------------------------------------------------------------------- */

struct _xmlDoc;
struct _xmlNode;
enum { XML_FILE_MAX = 16 << 20 }; /* bytes; larger files are refused before parsing */
/* Parses with one set of safe flags: no network, no entities, no DTD, bounded size and depth.
 * Line numbers stay on the nodes. `name` is used in messages. NULL after reporting. Free with
 * xmlFreeDoc(). */
struct _xmlDoc *xml_parse(const char *bytes, size_t len, const char *name,
                          struct diag_sink *sink) MUST_CHECK;
struct _xmlDoc *xml_read_file(const char *path, struct diag_sink *sink) MUST_CHECK;
/* What we wrote, as file_read_own() does. */
struct _xmlDoc *xml_read_own(const char *path, struct diag_sink *sink) MUST_CHECK;
/* Attribute value copied into the arena, or NULL when absent. */
char *xml_attr(struct arena *a, const struct _xmlNode *node, const char *name);
/* Text content of the node, copied into the arena, never NULL. */
char *xml_text(struct arena *a, const struct _xmlNode *node);
struct diag_pos xml_pos(const char *file, const struct _xmlNode *node); /* field = element name */
bool xml_is(const struct _xmlNode *node, const char *element);
const struct _xmlNode *xml_first(const struct _xmlNode *parent, const char *element); /* or NULL */
const struct _xmlNode *xml_next(const struct _xmlNode *node, const char *element);    /* sibling */

/* ---- sorted spill runs ------------------------------------------------------------------ */

/* Collects (key, blob) pairs and gives them back ordered by key bytes, ties in order of arrival.
 * Holds at most `memory` bytes and spills sorted runs into an unlinked private file beyond. */
struct sorter;
struct sorter *sorter_new(size_t memory);
void sorter_free(struct sorter *s);
bool sorter_add(struct sorter *s, const void *key, size_t key_len, const void *blob,
                size_t blob_len, struct diag_sink *sink) MUST_CHECK;
typedef bool (*sorter_visit)(void *user, const char *key, size_t key_len, const char *blob,
                             size_t blob_len);
/* Calls visit for each pair in order; stops and returns false when visit does or reading fails.
 * May be walked again. */
bool sorter_walk(struct sorter *s, sorter_visit visit, void *user,
                 struct diag_sink *sink) MUST_CHECK;
/* A private, unlinked temporary file in TMPDIR (else /tmp), mode 0600. NULL after reporting. */
FILE *file_private_temp(struct diag_sink *sink);

#endif
