/* Shared by the tests of agree: a run over a table of readings, and what it said. */
#ifndef ENDFEEL_AGREE_RUN_H
#define ENDFEEL_AGREE_RUN_H

#include "unit.h"

#include "agree/agree.h"

#include <string.h>

struct run {
    struct agree_result *r;
    struct diag_list diags;
};

static inline struct run run_on(const struct agree_rating *rows, size_t n,
                                const struct agree_options *options)
{
    struct run x;
    diag_list_init(&x.diags);
    x.r = agree_compute(rows, n, options, &x.diags.sink);
    return x;
}

static inline struct run run_angles(const struct agree_rating *rows, size_t n)
{
    static const struct agree_options angles = {.scale = AGREE_ANGLE};
    return run_on(rows, n, &angles);
}

static inline void run_end(struct run *x)
{
    agree_free(x->r);
    diag_list_release(&x->diags);
}

static inline size_t times_said(const struct run *x, enum diag_code code)
{
    size_t n = 0;
    for (size_t i = 0; i < x->diags.n; i++)
        n += x->diags.items[i].code == code;
    return n;
}

static inline const struct agree_row *row_of(const struct run *x, const char *quantity,
                                             const char *a, const char *b)
{
    const struct agree_row *row = agree_row_of(x->r, quantity, a, b);
    ck_assert_msg(row != NULL, "no row %s %s:%s", quantity, a == NULL ? "" : a,
                  b == NULL ? "" : b);
    return row;
}

static inline void expect(const struct run *x, const char *quantity, const char *a, const char *b,
                          double value)
{
    const struct agree_row *row = row_of(x, quantity, a, b);
    ck_assert_msg(row->est.value.has, "%s is missing: %s", quantity, row->note);
    ck_assert_double_eq_tol(row->est.value.value, value, 1e-9);
}

/* No value, and a note that holds these words. */
static inline void expect_none(const struct run *x, const char *quantity, const char *a,
                               const char *b, const char *words)
{
    const struct agree_row *row = row_of(x, quantity, a, b);
    ck_assert_msg(!row->est.value.has && !row->est.low.has && !row->est.high.has,
                  "%s has a value", quantity);
    ck_assert_msg(strstr(row->note, words) != NULL, "%s: note \"%s\" lacks \"%s\"", quantity,
                  row->note, words);
}

#endif
