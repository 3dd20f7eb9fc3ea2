/*
 * Clusters: several weak and painless motions of one limb that share a root, or a nerve while its
 * neighbours are strong. Nothing is said of a limb with surgery, a fracture or immobilisation on
 * file, nor with a condition of brain or cord: those give the same picture.
 *
 * Roots are those of the muscle tests and of the myotomes together. A nerve counts with the trunk
 * it branches from, so that two branches of one nerve are no two nerves.
 */
#include "rules/rules_int.h"

#include <string.h>

enum { SET_MAX = 24, MEMBERS_MAX = 64 };

struct names { /* a set of names, in order of arrival */
    const char *name[SET_MAX];
    size_t n;
};

static bool has(const struct names *set, const char *name)
{
    for (size_t i = 0; i < set->n; i++)
        if (str_eq(set->name[i], name))
            return true;
    return false;
}

static void put(struct names *set, const char *name)
{
    if (!str_is_empty(name) && !has(set, name) && set->n < SET_MAX)
        set->name[set->n++] = name;
}

static bool holds_all(const struct names *set, const struct names *of)
{
    for (size_t i = 0; i < of->n; i++)
        if (!has(set, of->name[i]))
            return false;
    return true;
}

/* ---- roots and nerves of a motion --------------------------------------------------------------
 */

static const struct {
    const char *branch, *trunk;
} branches[] = {
    {"posterior interosseous", "radial"},
    {"anterior interosseous", "median"},
    {"superficial fibular", "common fibular"},
    {"deep fibular", "common fibular"},
    {"common fibular", "sciatic"},
    {"tibial", "sciatic"},
    {"medial and lateral plantar", "tibial"},
    {"medial plantar", "tibial"},
};

static const char *trunk_of(const char *nerve)
{
    for (size_t i = 0; i < ARRAY_LEN(branches); i++)
        if (str_eq(branches[i].branch, nerve))
            return branches[i].trunk;
    return NULL;
}

/* Items stand apart by ';', but not inside brackets; what stands in brackets explains. */
static void split(struct names *out, struct arena *a, const char *list)
{
    char *item = arena_strdup(a, list);
    size_t len = 0;
    int depth = 0;
    for (const char *s = list;; s++) {
        bool ends = *s == '\0' || (*s == ';' && depth == 0);
        depth += (*s == '(') - (*s == ')');
        if (ends) {
            item[len] = '\0';
            put(out, arena_strdup(a, str_trim(item)));
            len = 0;
        } else if (depth == 0 && *s != ')') {
            item[len++] = *s;
        }
        if (*s == '\0')
            return;
    }
}

struct member {
    const struct finding *row;
    struct names roots, nerves; /* nerves with their trunks, a branch before its trunk */
};

static void take_roots(const struct visit_findings *v, struct member *m, struct arena *a)
{
    size_t n;
    const struct myotome *myotomes = reference_myotomes(v->ref, &n);
    struct names all = {.n = 0};
    split(&all, a, m->row->motion->muscle_test->roots);
    for (size_t i = 0; i < all.n; i++)
        if (!str_starts(all.name[i], "CN")) /* cranial nerves are no roots */
            put(&m->roots, all.name[i]);
    for (size_t i = 0; i < n; i++)
        if (myotomes[i].motion == m->row->motion &&
            (myotomes[i].digit == 0 || m->row->digit == 0 || myotomes[i].digit == m->row->digit))
            put(&m->roots, myotomes[i].level);
}

static void take_nerves(struct member *m, struct arena *a)
{
    struct names all = {.n = 0};
    split(&all, a, m->row->motion->muscle_test->nerve);
    for (size_t i = 0; i < all.n; i++)
        for (const char *nerve = all.name[i]; nerve != NULL; nerve = trunk_of(nerve))
            put(&m->nerves, nerve);
}

/* ---- the graded motions of a limb
 * ---------------------------------------------------------------- */

static const char *const limbs[][4] = {
    {"shoulder", "elbow-forearm", "wrist", "hand"},
    {"hip", "knee", "ankle-foot", NULL},
};

struct limb {
    struct member weak[MEMBERS_MAX], other[MEMBERS_MAX]; /* weak and painless; the rest */
    size_t n_weak, n_other;
    enum side side;
};

static bool is_in(const struct finding *f, const char *const limb[4])
{
    for (int i = 0; i < 4 && limb[i] != NULL; i++)
        if (str_eq(f->motion->region, limb[i]))
            return true;
    return false;
}

static bool is_explained(const struct visit_findings *v, const struct finding *f)
{
    const unsigned quiet = FILE_SURGERY | FILE_FRACTURE | FILE_IMMOBILISED | FILE_REPLACEMENT |
                           FILE_FUSION | FILE_CENTRAL | FILE_TONE;
    return (rules_on_file(v, f->motion->joint, f->side) & quiet) != 0 ||
           rules_tone_noted(v, f->motion->joint, f->side);
}

/* False where something on file explains weakness of the limb. */
static bool gather(const struct visit_findings *v, struct arena *a, const char *const limb[4],
                   struct limb *out)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        if (f->test != TEST_MMT || f->grade == NULL || f->side != out->side || !is_in(f, limb) ||
            f->motion->muscle_test == NULL || !rules_is_usable(f))
            continue;
        if (is_explained(v, f))
            return false;
        bool weak = rules_power(v, f) == POWER_WEAK && !f->pain;
        size_t *n = weak ? &out->n_weak : &out->n_other;
        if (*n == MEMBERS_MAX)
            continue;
        struct member *m = weak ? &out->weak[*n] : &out->other[*n];
        ++*n;
        m->row = f;
        m->roots.n = m->nerves.n = 0;
        take_roots(v, m, a);
        take_nerves(m, a);
    }
    return true;
}

/* ---- candidates
 * ----------------------------------------------------------------------------------- */

struct candidate {
    const char *name;     /* of the root or nerve */
    const char *also;     /* further roots with the same members, each after a space */
    bool in[MEMBERS_MAX]; /* which of the weak */
    size_t n;
};

static struct candidate sharing(const struct limb *limb, const char *name, bool roots)
{
    struct candidate c = {.name = name, .also = ""};
    for (size_t i = 0; i < limb->n_weak; i++) {
        const struct member *m = &limb->weak[i];
        c.in[i] = has(roots ? &m->roots : &m->nerves, name);
        c.n += c.in[i];
    }
    return c;
}

static bool is_within(const struct candidate *a, const struct candidate *b, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (a->in[i] && !b->in[i])
            return false;
    return true;
}

static const struct motion *first_motion(const struct limb *limb, const struct candidate *c)
{
    for (size_t i = 0; i < limb->n_weak; i++)
        if (c->in[i])
            return limb->weak[i].row->motion;
    return NULL;
}

/* At least so many motions; rows of one motion, such as two fingers, are one. */
static bool has_motions(const struct limb *limb, const struct candidate *c, double least)
{
    double n = 0;
    for (size_t i = 0; i < limb->n_weak; i++) {
        bool seen = false;
        for (size_t k = 0; k < i; k++)
            seen |= c->in[k] && limb->weak[k].row->motion == limb->weak[i].row->motion;
        n += c->in[i] && !seen;
    }
    return first_motion(limb, c) != NULL && n >= least;
}

/* Not all moved by the same nerves. */
static bool has_nerves(const struct limb *limb, const struct candidate *c)
{
    const struct member *first = NULL;
    for (size_t i = 0; i < limb->n_weak; i++) {
        const struct member *m = &limb->weak[i];
        if (!c->in[i])
            continue;
        if (first == NULL)
            first = m;
        else if (!holds_all(&first->nerves, &m->nerves) || !holds_all(&m->nerves, &first->nerves))
            return true;
    }
    return false;
}

/* At least one motion of the limb that another nerve moves was graded, and all of those are
 * strong. */
static bool has_strong_neighbours(const struct visit_findings *v, const struct limb *limb,
                                  const struct candidate *c)
{
    size_t neighbours = 0;
    for (size_t i = 0; i < limb->n_weak; i++)
        if (!c->in[i])
            return false;
    for (size_t i = 0; i < limb->n_other; i++) {
        if (has(&limb->other[i].nerves, c->name))
            continue;
        if (rules_power(v, limb->other[i].row) != POWER_STRONG)
            return false;
        neighbours++;
    }
    return neighbours > 0;
}

static void add(struct visit_findings *v, struct arena *a, const struct limb *limb,
                const struct tension *t, const struct candidate *c, bool roots)
{
    struct pattern *p = rules_new_pattern(v, a, c->n);
    p->kind = t->id;
    p->tension = t;
    p->side = limb->side;
    if (roots)
        p->roots = arena_printf(a, "%s%s", c->name, c->also);
    else
        p->nerve = c->name;
    for (size_t i = 0; i < limb->n_weak; i++)
        if (c->in[i])
            p->rows[p->n_rows++] = limb->weak[i].row;
}

static bool is_branch(const char *nerve, const char *trunk)
{
    for (const char *n = trunk_of(nerve); n != NULL; n = trunk_of(n))
        if (str_eq(n, trunk))
            return true;
    return false;
}

/* Whether a motion of the trunk was graded and is not weak: then the branch is the nearer name. */
static bool is_trunk_spared(const struct limb *limb, const char *trunk)
{
    for (size_t i = 0; i < limb->n_other; i++)
        if (has(&limb->other[i].nerves, trunk))
            return true;
    return false;
}

/* Which of two names for the same motions is told. Roots are told together, so the first is. */
static bool goes_first(const struct limb *limb, const struct candidate *all, size_t i, size_t k,
                       bool roots)
{
    if (!roots && is_branch(all[i].name, all[k].name))
        return is_trunk_spared(limb, all[k].name);
    if (!roots && is_branch(all[k].name, all[i].name))
        return !is_trunk_spared(limb, all[i].name);
    return i < k;
}

/* Of candidates with one set of members one speaks, for roots with the names of the others; one
 * whose members are only some of another's is dropped. */
static void settle(struct visit_findings *v, struct arena *a, const struct limb *limb,
                   const struct tension *t, struct candidate *all, size_t n, bool roots)
{
    for (size_t i = 0; i < n; i++) {
        bool told = true;
        for (size_t k = 0; k < n && told; k++) {
            if (k == i || !is_within(&all[i], &all[k], limb->n_weak))
                continue;
            told = is_within(&all[k], &all[i], limb->n_weak) && goes_first(limb, all, i, k, roots);
            if (told && roots)
                all[i].also = arena_printf(a, "%s %s", all[i].also, all[k].name);
        }
        if (told)
            add(v, a, limb, t, &all[i], roots);
    }
}

static void look(struct visit_findings *v, struct arena *a, const struct limb *limb,
                 const char *kind, bool roots)
{
    const struct tension *t = reference_tension(v->ref, kind);
    struct names seen = {.n = 0};
    struct candidate all[SET_MAX];
    size_t n = 0;
    if (t == NULL)
        return;
    for (size_t i = 0; i < limb->n_weak; i++) {
        const struct names *own = roots ? &limb->weak[i].roots : &limb->weak[i].nerves;
        for (size_t k = 0; k < own->n; k++)
            put(&seen, own->name[k]);
    }
    for (size_t i = 0; i < seen.n; i++) {
        struct candidate c = sharing(limb, seen.name[i], roots);
        if (has_motions(limb, &c, t->least.value) &&
            (roots ? has_nerves(limb, &c) : has_strong_neighbours(v, limb, &c)))
            all[n++] = c;
    }
    settle(v, a, limb, t, all, n, roots);
}

static bool has_grades(const struct visit_findings *v)
{
    for (size_t i = 0; i < v->n_rows; i++)
        if (v->rows[i].grade != NULL)
            return true;
    return false;
}

void rules_cluster(struct visit_findings *v, struct arena *a)
{
    static const enum side sides[] = {SIDE_RIGHT, SIDE_LEFT};
    if (!v->clinic->show_patterns || !has_grades(v))
        return;
    struct limb *limb = arena_alloc(a, sizeof *limb);
    for (size_t l = 0; l < ARRAY_LEN(limbs); l++)
        for (size_t k = 0; k < ARRAY_LEN(sides); k++) {
            limb->side = sides[k];
            limb->n_weak = limb->n_other = 0;
            if (!gather(v, a, limbs[l], limb))
                continue;
            look(v, a, limb, "myotome-cluster", true);
            look(v, a, limb, "nerve-cluster", false);
        }
}
