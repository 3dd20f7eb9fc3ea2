/* Shares of pairs of readings that lie no further apart than a given distance. */
#include "agree/agree_int.h"

#include <math.h>

/* Means of tries differ from their decimal expansion by binary noise; 5 degrees are 5. */
static const double noise = 1e-9;

struct share {
    size_t hits, n;
};

static void count_pair(const struct agree_table *t, size_t a, size_t b, double within,
                       struct share *s)
{
    for (size_t i = 0; i < t->n_subjects; i++) {
        const struct agree_cell *row = &t->cells[i * t->n_raters];
        if (!row[a].value.has || !row[b].value.has)
            continue;
        s->n++;
        s->hits += fabs(row[a].value.value - row[b].value.value) <= within + noise;
    }
}

static void add(struct agree_build *b, const char *quantity, const char *a_name,
                const char *b_name, struct share s)
{
    struct arena *arena = b->t->arena;
    if (s.n == 0) {
        agree_rows_add(&b->rows, quantity, a_name, b_name, agree_estimate_none(),
                       "no subject measured by both");
        return;
    }
    struct agree_estimate e = agree_percent_of(s.hits, s.n);
    if (a_name == NULL) /* one subject in many pairs: they are not independent */
        e.low = e.high = num_none();
    agree_rows_add(&b->rows, quantity, a_name, b_name, e,
                   arena_printf(arena, "%zu of %zu%s", s.hits, s.n,
                                a_name == NULL ? " differences of pairs of raters" : ""));
}

void agree_build_shares(struct agree_build *b, const char *quantity, const char *of_instructor,
                        double within)
{
    const struct agree_table *t = b->t;
    struct share all = {0, 0}, instructor = {0, 0};
    for (size_t i = 0; i < b->n_class; i++) {
        for (size_t j = i + 1; j < b->n_class; j++)
            count_pair(t, i, j, within, &all);
        if (t->has_instructor)
            count_pair(t, i, b->n_class, within, &instructor);
    }
    if (b->n_class >= 2)
        add(b, quantity, NULL, NULL, all);
    if (t->has_instructor && b->n_class > 0)
        add(b, of_instructor, NULL, NULL, instructor);
    for (size_t i = 0; i < b->n_class; i++) {
        for (size_t j = i + 1; j < t->n_raters; j++) {
            struct share pair = {0, 0};
            count_pair(t, i, j, within, &pair);
            add(b, quantity, t->raters[i], t->raters[j], pair);
        }
    }
}
