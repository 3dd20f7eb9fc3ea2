/* Shared by the tests of plan: the library compiled in, and a plan of named motions. */
#ifndef ENDFEEL_PLAN_RUN_H
#define ENDFEEL_PLAN_RUN_H

#include "unit.h"

#include "plan/plan_int.h"

#include <string.h>

static struct reference *ref;

static inline void load_reference(void)
{
    struct diag_list reported;
    diag_list_init(&reported);
    ref = reference_load_embedded(&reported.sink);
    ck_assert_ptr_nonnull(ref);
    diag_list_release(&reported);
}

static inline void release_reference(void)
{
    reference_free(ref);
}

/* Wishes by name; all must be known. */
static inline struct plan_wishes wish_for(const char *const *names, size_t n)
{
    struct diag_list reported;
    struct plan_wishes w;
    diag_list_init(&reported);
    plan_wishes_init(&w);
    for (size_t i = 0; i < n && names[i] != NULL; i++)
        ck_assert_msg(plan_want(&w, ref, names[i], &reported.sink), "%s", names[i]);
    diag_list_release(&reported);
    return w;
}

static inline struct plan *make_plan(const struct plan_request *q)
{
    struct diag_list reported;
    diag_list_init(&reported);
    struct plan *p = plan_make(ref, q, &reported.sink);
    ck_assert_ptr_nonnull(p);
    ck_assert_uint_eq(reported.n, 0);
    diag_list_release(&reported);
    return p;
}

#endif
