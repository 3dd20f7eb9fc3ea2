/* What is asked for, by name: a set, a joint, a region, or a joint and a motion. */
#include "plan/plan_int.h"

#include <stdlib.h>
#include <string.h>

void plan_wishes_init(struct plan_wishes *w)
{
    *w = (struct plan_wishes){NULL, 0, 0};
}

void plan_wishes_release(struct plan_wishes *w)
{
    free(w->items);
    plan_wishes_init(w);
}

struct plan_wish *plan_wish_for(struct plan_wishes *w, const struct motion *motion)
{
    for (size_t i = 0; i < w->n; i++)
        if (w->items[i].motion == motion)
            return &w->items[i];
    if (w->n == w->cap) {
        w->cap = w->cap == 0 ? 32 : 2 * w->cap;
        w->items = mem_resize(w->items, w->cap * sizeof *w->items);
    }
    w->items[w->n] = (struct plan_wish){.motion = motion};
    return &w->items[w->n++];
}

/* Adds the motions of a joint; true when there are any. */
static bool want_joint(struct plan_wishes *w, const struct reference *ref, const char *joint)
{
    size_t before = w->n, found = 0;
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        if (!str_eq(m->joint, joint))
            continue;
        plan_wish_for(w, m);
        found++;
    }
    return found > 0 || w->n > before;
}

static bool want_region(struct plan_wishes *w, const struct reference *ref, const char *region)
{
    size_t found = 0;
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        if (!str_eq(m->region, region))
            continue;
        plan_wish_for(w, m);
        found++;
    }
    return found > 0;
}

static bool want_set(struct plan_wishes *w, const struct reference *ref, const char *set)
{
    bool found = false;
    for (const struct plan_set *s = plan_sets; s->set != NULL; s++) {
        if (!str_eq(s->set, set))
            continue;
        found = true;
        if (s->motion == NULL)
            want_joint(w, ref, s->joint);
        else if (reference_motion(ref, s->joint, s->motion) != NULL)
            plan_wish_for(w, reference_motion(ref, s->joint, s->motion));
    }
    return found;
}

/* "knee flexion" or "knee/flexion". */
static bool want_motion(struct plan_wishes *w, const struct reference *ref, const char *name)
{
    size_t joint_len = strcspn(name, " /");
    if (name[joint_len] == '\0')
        return false;
    char *joint = mem_strdup(name);
    joint[joint_len] = '\0';
    const struct motion *m = reference_motion(ref, joint, joint + joint_len + 1);
    free(joint);
    if (m != NULL)
        plan_wish_for(w, m);
    return m != NULL;
}

static void report_unknown(const struct reference *ref, const char *name, struct diag_sink *sink)
{
    struct arena *a = arena_new();
    size_t joint_len = strcspn(name, " /"), n = 0;
    const char *joint = arena_strndup(a, name, joint_len), *near = NULL;
    if (name[joint_len] != '\0')
        near = reference_nearest_motion(ref, joint, name + joint_len + 1);
    if (near != NULL) {
        near = arena_printf(a, "%s %s", joint, near);
    } else {
        size_t sets = 0;
        while (plan_sets[sets].set != NULL)
            sets++;
        const char **names =
            arena_alloc(a, (sets + 2 * reference_motion_count(ref) + 1) * sizeof *names);
        for (size_t i = 0; i < sets; i++)
            names[n++] = plan_sets[i].set;
        for (size_t i = 0; i < reference_motion_count(ref); i++) {
            names[n++] = reference_motion_at(ref, i)->joint;
            names[n++] = reference_motion_at(ref, i)->region;
        }
        near = str_nearest(joint, names, n);
    }
    diag_report(sink, DIAG_PLAN_NAME, (struct diag_pos){0}, NULL, "%s%s",
                near == NULL ? "no name comes near" : "nearest known: ", near == NULL ? "" : near);
    arena_free(a);
}

bool plan_want(struct plan_wishes *w, const struct reference *ref, const char *name,
               struct diag_sink *sink)
{
    if (!str_is_empty(name) && (want_set(w, ref, name) || want_joint(w, ref, name) ||
                                want_region(w, ref, name) || want_motion(w, ref, name)))
        return true;
    report_unknown(ref, name == NULL ? "" : name, sink);
    return false;
}
