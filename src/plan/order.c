/*
 * The fewest changes of position. In a stay everything is done that can be: doing more never
 * hurts, since a job only waits for others. So a plan is known by its sequence of positions, and
 * what is done after a stay depends on that sequence alone. The search goes stay by stay over all
 * sets of done jobs that can be reached, keeps each set once for each last position, and ends with
 * the first stay after which all is done: no shorter sequence exists.
 *
 * Among sequences of that length the usual order decides: standing at the ends, then few steps
 * against the order of the enum, then that order from the first stay on.
 */
#include "plan/plan_int.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

enum { PENALTY_STANDING = 1000, PENALTY_STEP_BACK = 1 };

struct state {
    bool *done;
    enum plan_position *stays; /* so far */
    size_t n_done;
    long penalty;
};

/* States after the same number of stays, each set once for each last position. */
struct level {
    struct state *items;
    size_t n, cap;
    size_t *slots; /* index + 1 by hash; NULL while there is no room */
    size_t n_slots;
};

struct search {
    struct plan_job *jobs; /* alike ones as one */
    size_t n, n_first;     /* n_first: jobs that are not last */
    size_t enough;         /* stays that are known to do */
    struct arena *arena;
    bool *scratch;
};

static bool is_ready(const struct search *s, const bool *done, size_t i)
{
    for (size_t k = 0; k < s->jobs[i].n_before; k++)
        if (!done[s->jobs[i].before[k]])
            return false;
    return true;
}

/* Does all of one kind that a position allows; jobs stand after those they wait for. */
static size_t work(const struct search *s, bool *done, enum plan_position position, bool last)
{
    size_t n = 0;
    for (size_t i = 0; i < s->n; i++) {
        if (done[i] || s->jobs[i].last != last || s->jobs[i].position != position ||
            !is_ready(s, done, i))
            continue;
        done[i] = true;
        n++;
    }
    return n;
}

static size_t stay(const struct search *s, bool *done, size_t n_done, enum plan_position position)
{
    n_done += work(s, done, position, false);
    return n_done < s->n_first ? n_done : n_done + work(s, done, position, true);
}

static long step_penalty(const struct state *from, size_t depth, enum plan_position to)
{
    if (depth == 0)
        return 0;
    enum plan_position last = from->stays[depth - 1];
    long penalty = to < last ? PENALTY_STEP_BACK : 0;
    if (last == PLAN_STANDING && depth > 1) /* neither first nor, as it turns out, last */
        penalty += PENALTY_STANDING;
    return penalty;
}

/* Whether a is to be preferred to b, both of `depth` stays. */
static bool is_better(const struct state *a, const struct state *b, size_t depth)
{
    if (a->penalty != b->penalty)
        return a->penalty < b->penalty;
    for (size_t i = 0; i < depth; i++)
        if (a->stays[i] != b->stays[i])
            return a->stays[i] < b->stays[i];
    return false;
}

static bool is_same_set(const struct search *s, const struct state *a, const struct state *b,
                        size_t depth)
{
    return a->n_done == b->n_done && a->stays[depth - 1] == b->stays[depth - 1] &&
           memcmp(a->done, b->done, s->n * sizeof *a->done) == 0;
}

/* Slot of an equal state, or the empty slot where it belongs. */
static size_t find_slot(const struct search *s, const struct level *level,
                        const struct state *found, size_t depth)
{
    size_t slot = (size_t)(hash_fnv1a64(found->done, s->n * sizeof *found->done) % level->n_slots);
    while (level->slots[slot] != 0 &&
           !is_same_set(s, &level->items[level->slots[slot] - 1], found, depth))
        slot = (slot + 1) % level->n_slots;
    return slot;
}

static void make_room(struct search *s, struct level *level, size_t depth)
{
    if (level->n < level->cap)
        return;
    level->cap = level->cap == 0 ? 64 : 2 * level->cap;
    level->items = mem_resize(level->items, level->cap * sizeof *level->items);
    free(level->slots);
    level->n_slots = 2 * level->cap + 1;
    level->slots = mem_alloc(level->n_slots * sizeof *level->slots);
    for (size_t i = 0; i < level->n; i++)
        level->slots[find_slot(s, level, &level->items[i], depth)] = i + 1;
}

static void keep(struct search *s, struct level *level, const struct state *found, size_t depth)
{
    make_room(s, level, depth);
    size_t slot = find_slot(s, level, found, depth);
    if (level->slots[slot] == 0) {
        level->items[level->n++] = *found;
        level->slots[slot] = level->n;
    } else if (is_better(found, &level->items[level->slots[slot] - 1], depth)) {
        level->items[level->slots[slot] - 1] = *found;
    }
}

static void level_end(struct level *level)
{
    free(level->items);
    free(level->slots);
}

/* Each position in which something is left takes a stay of its own. */
static size_t stays_left(const struct search *s, const bool *done)
{
    unsigned positions = 0;
    size_t n = 0;
    for (size_t i = 0; i < s->n; i++)
        if (!done[i])
            positions |= 1u << s->jobs[i].position;
    for (; positions != 0; positions &= positions - 1)
        n++;
    return n;
}

/* All sets that one more stay can reach. */
static void expand(struct search *s, const struct state *from, size_t depth, struct level *next)
{
    for (int p = 0; p < PLAN_POSITION_COUNT; p++) {
        enum plan_position to = (enum plan_position)p;
        memcpy(s->scratch, from->done, s->n * sizeof *s->scratch);
        size_t n_done = stay(s, s->scratch, from->n_done, to);
        if (n_done == from->n_done || depth + 1 + stays_left(s, s->scratch) > s->enough)
            continue;
        struct state found = {.n_done = n_done, .penalty = from->penalty};
        found.penalty += step_penalty(from, depth, to);
        found.done = arena_alloc(s->arena, s->n * sizeof *found.done);
        found.stays = arena_alloc(s->arena, (depth + 1) * sizeof *found.stays);
        memcpy(found.done, s->scratch, s->n * sizeof *found.done);
        if (depth > 0)
            memcpy(found.stays, from->stays, depth * sizeof *found.stays);
        found.stays[depth] = to;
        keep(s, next, &found, depth + 1);
    }
}

static const struct state *find_whole(const struct level *level, size_t n, size_t depth)
{
    const struct state *best = NULL;
    for (size_t i = 0; i < level->n; i++)
        if (level->items[i].n_done == n &&
            (best == NULL || is_better(&level->items[i], best, depth)))
            best = &level->items[i];
    return best;
}

/* Walks the sequence once more and notes in which stay each job is done. */
static void number_jobs(struct search *s, const struct state *whole, size_t depth, size_t *block)
{
    bool *done = arena_alloc(s->arena, s->n * sizeof *done);
    size_t n_done = 0;
    for (size_t k = 0; k < depth; k++) {
        memcpy(s->scratch, done, s->n * sizeof *done);
        n_done = stay(s, done, n_done, whole->stays[k]);
        for (size_t i = 0; i < s->n; i++)
            if (done[i] && !s->scratch[i])
                block[i] = k;
    }
    assert(n_done == s->n);
}

static void check_jobs(const struct plan_job *jobs, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        assert(jobs[i].n_before <= PLAN_BEFORE_MAX);
        for (size_t k = 0; k < jobs[i].n_before; k++)
            assert(jobs[i].before[k] < i && (jobs[i].last || !jobs[jobs[i].before[k]].last));
    }
}

/* A plan that need not be the best: always the stay that does most. */
static size_t count_greedy(struct search *s)
{
    bool *done = arena_alloc(s->arena, s->n * sizeof *done);
    size_t n_done = 0, stays = 0;
    while (n_done < s->n) {
        int best = 0;
        size_t most = 0;
        for (int p = 0; p < PLAN_POSITION_COUNT; p++) {
            memcpy(s->scratch, done, s->n * sizeof *done);
            size_t n = stay(s, s->scratch, n_done, (enum plan_position)p);
            if (n > most) {
                most = n;
                best = p;
            }
        }
        n_done = stay(s, done, n_done, (enum plan_position)best);
        stays++;
    }
    return stays;
}

static bool waits_for(const struct plan_job *job, size_t other)
{
    for (size_t k = 0; k < job->n_before; k++)
        if (job->before[k] == other)
            return true;
    return false;
}

static bool are_alike(const struct plan_job *a, const struct plan_job *b)
{
    if (a->position != b->position || a->last != b->last || a->n_before != b->n_before)
        return false;
    for (size_t k = 0; k < a->n_before; k++)
        if (!waits_for(b, a->before[k]))
            return false;
    return true;
}

/* Jobs that wait for the same in the same position are done in the same stay: one stands for all.
 * `group` says which. */
static void join_alike(struct search *s, const struct plan_job *jobs, size_t n, size_t *group)
{
    s->jobs = arena_alloc(s->arena, n * sizeof *s->jobs);
    for (size_t i = 0; i < n; i++) {
        struct plan_job job = {.position = jobs[i].position, .last = jobs[i].last};
        for (size_t k = 0; k < jobs[i].n_before; k++)
            if (!waits_for(&job, group[jobs[i].before[k]]))
                job.before[job.n_before++] = group[jobs[i].before[k]];
        size_t g = 0;
        while (g < s->n && !are_alike(&s->jobs[g], &job))
            g++;
        if (g == s->n) {
            s->jobs[s->n++] = job;
            s->n_first += !job.last;
        }
        group[i] = g;
    }
}

/* Stay by stay until all is done; returns the number of stays and gives each job its own. */
static size_t find_stays(struct search *s, size_t *block)
{
    struct level level = {0};
    struct state start = {.done = arena_alloc(s->arena, s->n * sizeof *start.done)};
    const struct state *whole = NULL;
    size_t depth = 0;
    s->enough = count_greedy(s);
    while (whole == NULL) {
        struct level next = {0};
        if (depth == 0)
            expand(s, &start, depth, &next);
        for (size_t i = 0; i < level.n; i++)
            expand(s, &level.items[i], depth, &next);
        level_end(&level);
        level = next;
        depth++;
        assert(level.n > 0); /* the plan of count_greedy() is never cut off */
        whole = find_whole(&level, s->n, depth);
    }
    number_jobs(s, whole, depth, block);
    level_end(&level);
    return depth;
}

size_t plan_order(const struct plan_job *jobs, size_t n, size_t *block)
{
    if (n == 0)
        return 0;
    check_jobs(jobs, n);
    struct search s = {.arena = arena_new()};
    size_t *group = arena_alloc(s.arena, n * sizeof *group);
    size_t *group_block = arena_alloc(s.arena, n * sizeof *group_block);
    s.scratch = arena_alloc(s.arena, n * sizeof *s.scratch);
    join_alike(&s, jobs, n, group);
    size_t stays = find_stays(&s, group_block);
    for (size_t i = 0; i < n; i++)
        block[i] = group_block[group[i]];
    arena_free(s.arena);
    return stays;
}
