/*
 * Counting and hashing the cells of a table as it arrived in the library, for the tests that hold
 * it against the clinical table it was made from. A test adds its rows cell by cell and compares.
 */
#ifndef ENDFEEL_REFERENCE_TALLY_H
#define ENDFEEL_REFERENCE_TALLY_H

#include "unit.h"

#include "reference/reference.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>

struct column {
    const char *name;
    int filled;
    double sum;    /* of a column of numbers; 0 for words */
    uint64_t hash; /* sum over the cells */
};

struct table {
    const char *name;
    int rows;
    uint64_t hash; /* sum over the rows */
    const struct column *columns;
    size_t n;
};

enum { COLUMNS_MAX = 32, CELL_MAX = 1200, ROW_MAX = 8192 };

static struct tally {
    int rows;
    uint64_t hash;
    int filled[COLUMNS_MAX];
    double sum[COLUMNS_MAX];
    uint64_t hashes[COLUMNS_MAX];
} tally;

static struct row {
    size_t n;
    char joined[ROW_MAX];
    size_t len;
} row;

static inline void cell(const char *text)
{
    size_t len = strlen(text);
    ck_assert(row.n < COLUMNS_MAX && row.len + len + 1 < ROW_MAX);
    tally.filled[row.n] += len > 0;
    tally.hashes[row.n] += hash_fnv1a64(text, len);
    if (row.n > 0)
        row.joined[row.len++] = '|';
    memcpy(row.joined + row.len, text, len);
    row.len += len;
    row.n++;
}

/* What is printed for people to read names no field of the library. */
static inline void words(const char *text)
{
    ck_assert_msg(strchr(text, '_') == NULL, "a name that means nothing on a page: %s", text);
    cell(text);
}

static inline void number(double value)
{
    char text[NUM_TEXT_MAX];
    tally.sum[row.n] += value;
    snprintf(text, sizeof text, "%.10g", value);
    cell(text);
}

static inline void optional(struct num n)
{
    if (n.has)
        number(n.value);
    else
        cell("");
}

static inline void end_row(void)
{
    tally.rows++;
    tally.hash += hash_fnv1a64(row.joined, row.len);
    row.n = row.len = 0;
}

static inline void check_tally(const struct table *t)
{
    bool good = tally.rows == t->rows && tally.hash == t->hash;
    for (size_t i = 0; i < t->n; i++) {
        const struct column *c = &t->columns[i];
        bool same = tally.filled[i] == c->filled && fabs(tally.sum[i] - c->sum) < 1e-6 &&
                    tally.hashes[i] == c->hash;
        if (!same)
            printf("%s: {\"%s\", %d, %.10g, UINT64_C(0x%016" PRIx64 ")}\n", t->name, c->name,
                   tally.filled[i], tally.sum[i], tally.hashes[i]);
        good = good && same;
    }
    if (!good)
        printf("%s: rows %d, UINT64_C(0x%016" PRIx64 ")\n", t->name, tally.rows, tally.hash);
    fflush(stdout); /* a check that fails ends its process at once */
    ck_assert_msg(good, "%s differs from the table it was made from", t->name);
}

static inline void start_tally(void)
{
    tally = (struct tally){0};
    row = (struct row){0};
}

#endif
