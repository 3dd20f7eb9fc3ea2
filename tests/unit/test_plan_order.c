/* The order of positions: proven against trying every order, over many small random instances, and
 * the choice among equals. */
#include "unit.h"

#include "plan/plan_int.h"

#include <string.h>

/* ---- every order that keeps the rules, tried out --------------------------------------------- */

struct trial {
    const struct plan_job *jobs;
    size_t n, left_first; /* jobs still to do that are not last */
    bool done[16];
    size_t best;
};

static bool may_come(const struct trial *t, size_t i)
{
    if (t->done[i] || (t->jobs[i].last && t->left_first > 0))
        return false;
    for (size_t k = 0; k < t->jobs[i].n_before; k++)
        if (!t->done[t->jobs[i].before[k]])
            return false;
    return true;
}

/* Job by job, no cleverness: `stays` counts the runs of one position so far. */
static void try_all(struct trial *t, size_t placed, size_t stays, int position)
{
    if (placed == t->n) {
        if (stays < t->best)
            t->best = stays;
        return;
    }
    for (size_t i = 0; i < t->n; i++) {
        if (!may_come(t, i))
            continue;
        bool first = !t->jobs[i].last;
        t->done[i] = true;
        t->left_first -= first;
        try_all(t, placed + 1, stays + ((int)t->jobs[i].position != position),
                (int)t->jobs[i].position);
        t->left_first += first;
        t->done[i] = false;
    }
}

static size_t fewest(const struct plan_job *jobs, size_t n)
{
    struct trial t = {.jobs = jobs, .n = n, .best = n + 1};
    for (size_t i = 0; i < n; i++)
        t.left_first += !jobs[i].last;
    try_all(&t, 0, 0, -1);
    return t.best;
}

/* ---- random instances ------------------------------------------------------------------------ */

static unsigned state = 20;

static unsigned draw(unsigned below)
{
    state = state * 1664525u + 1013904223u;
    return (state >> 8) % below;
}

static size_t draw_jobs(struct plan_job *jobs, size_t n, unsigned positions)
{
    size_t n_first = n - draw(3);
    for (size_t i = 0; i < n; i++) {
        jobs[i] = (struct plan_job){.position = (enum plan_position)draw(positions),
                                    .last = i >= n_first};
        for (unsigned k = 0; k < PLAN_BEFORE_MAX; k++)
            if (i > 0 && draw(2) == 0)
                jobs[i].before[jobs[i].n_before++] = draw((unsigned)i);
    }
    return n;
}

/* The numbers of stays make an order that keeps every rule and has one position a stay. */
static void check_blocks(const struct plan_job *jobs, size_t n, const size_t *block, size_t stays)
{
    for (size_t i = 0; i < n; i++) {
        ck_assert_uint_lt(block[i], stays);
        for (size_t k = 0; k < jobs[i].n_before; k++)
            ck_assert_uint_le(block[jobs[i].before[k]], block[i]);
        for (size_t k = 0; k < n; k++) {
            if (block[k] == block[i])
                ck_assert_int_eq(jobs[k].position, jobs[i].position);
            if (jobs[i].last && !jobs[k].last)
                ck_assert_uint_le(block[k], block[i]);
        }
    }
}

START_TEST(as_few_as_by_trying_all)
{
    struct plan_job jobs[16];
    size_t block[16];
    for (int round = 0; round < 4000; round++) {
        size_t n = draw_jobs(jobs, 1 + draw(7), 2 + draw(PLAN_POSITION_COUNT - 1));
        size_t stays = plan_order(jobs, n, block);
        check_blocks(jobs, n, block, stays);
        ck_assert_uint_eq(stays, fewest(jobs, n));
    }
}
END_TEST

/* ---- single cases ---------------------------------------------------------------------------- */

#define SI PLAN_SITTING
#define SU PLAN_SUPINE
#define LL PLAN_LYING_LEFT
#define PR PLAN_PRONE
#define ST PLAN_STANDING

static const struct single {
    const char *what;
    struct plan_job jobs[6];
    size_t n, stays;
    size_t block[6];
} singles[] = {
    {"nothing", {{.position = SI}}, 0, 0, {0}},
    {"one", {{.position = PR}}, 1, 1, {0}},
    {"usual order", {{.position = PR}, {.position = SU}, {.position = SI}}, 3, 3, {2, 1, 0}},
    {"against the usual order where a rule asks for it",
     {{.position = PR}, {.position = SI, .n_before = 1, .before = {0}}}, 2, 2, {0, 1}},
    {"standing at an end, last if nothing asks for first",
     {{.position = ST}, {.position = SI}, {.position = PR}}, 3, 3, {2, 0, 1}},
    {"standing first where others wait for it",
     {{.position = ST}, {.position = SU, .n_before = 1, .before = {0}}, {.position = SI}}, 3, 3,
     {0, 2, 1}},
    {"standing in the middle only where an end costs a change",
     {{.position = SI}, {.position = ST, .n_before = 1, .before = {0}},
      {.position = SU, .n_before = 1, .before = {1}}}, 3, 3, {0, 1, 2}},
    {"a position taken twice",
     {{.position = SI}, {.position = SU, .n_before = 1, .before = {0}},
      {.position = SI, .n_before = 1, .before = {1}}}, 3, 3, {0, 1, 2}},
    {"what provokes waits for all others and costs a change",
     {{.position = SI}, {.position = SU}, {.position = SI, .last = true}}, 3, 2, {1, 0, 1}},
    {"few steps against the usual order before that order from the start",
     {{.position = LL}, {.position = SI, .n_before = 1, .before = {0}}, {.position = PR},
      {.position = SU, .n_before = 1, .before = {2}}}, 4, 4, {0, 2, 1, 3}},
    {"two rules at once",
     {{.position = SU}, {.position = LL}, {.position = SI, .n_before = 2, .before = {0, 1}}}, 3, 3,
     {0, 1, 2}},
};

START_TEST(single)
{
    const struct single *c = &singles[_i];
    size_t block[6];
    ck_assert_uint_eq(plan_order(c->jobs, c->n, block), c->stays);
    for (size_t i = 0; i < c->n; i++)
        ck_assert_msg(block[i] == c->block[i], "%s: job %zu in stay %zu, expected %zu", c->what, i,
                      block[i], c->block[i]);
}
END_TEST

/* The worst a library could ask for: every position before every other one, many times over. Two
 * rounds through all positions less one are needed, and enough. */
START_TEST(worst_and_steady)
{
    enum { PAIRS = PLAN_POSITION_COUNT * PLAN_POSITION_COUNT, N = 2 * PAIRS * 8 };
    static struct plan_job jobs[N];
    static size_t one[N], two[N];
    for (size_t i = 0; i < N / 2; i++) {
        size_t pair = i % PAIRS;
        jobs[2 * i].position = (enum plan_position)(pair / PLAN_POSITION_COUNT);
        jobs[2 * i + 1].position = (enum plan_position)(pair % PLAN_POSITION_COUNT);
        jobs[2 * i + 1].before[0] = 2 * i;
        jobs[2 * i + 1].n_before = 1;
    }
    size_t stays = plan_order(jobs, N, one);
    ck_assert_uint_eq(stays, 2 * PLAN_POSITION_COUNT - 1);
    ck_assert_uint_eq(plan_order(jobs, N, two), stays);
    ck_assert_mem_eq(one, two, sizeof one);
    check_blocks(jobs, N, one, stays);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("plan: order of positions");
    TCase *c = tcase_create("order");
    tcase_set_timeout(c, 60);
    tcase_add_loop_test(c, single, 0, (int)ARRAY_LEN(singles));
    tcase_add_test(c, as_few_as_by_trying_all);
    tcase_add_test(c, worst_and_steady);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
