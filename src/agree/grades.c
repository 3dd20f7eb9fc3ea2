/* The rows of grades: weighted kappa of each pair and their mean, exact agreement and agreement
 * within one grade. Steps of the scale are taken as equally far apart for the weights. */
#include "agree/agree_int.h"

#include <stdlib.h>

static const struct {
    const char *quantity;
    enum agree_weights kind;
} kappas[] = {
    {"kappa_linear", AGREE_WEIGHTS_LINEAR},
    {"kappa_quadratic", AGREE_WEIGHTS_QUADRATIC},
};

static size_t rank_of(const struct agree_options *o, double score)
{
    size_t i = 0;
    while (i + 1 < o->n_grades && o->grades[i] < score)
        i++;
    return i;
}

static size_t count_pair(const struct agree_build *b, size_t i, size_t j, double *counts)
{
    const struct agree_table *t = b->t;
    size_t c = b->options->n_grades, n = 0;
    for (size_t k = 0; k < c * c; k++)
        counts[k] = 0;
    for (size_t s = 0; s < t->n_subjects; s++) {
        const struct agree_cell *row = &t->cells[s * t->n_raters];
        if (!row[i].value.has || !row[j].value.has)
            continue;
        counts[rank_of(b->options, row[i].value.value) * c +
               rank_of(b->options, row[j].value.value)]++;
        n++;
    }
    return n;
}

static const char *kappa_note(const struct agree_build *b, const struct agree_kappa *k, size_t n)
{
    struct arena *a = b->t->arena;
    char se[NUM_TEXT_MAX];
    if (n == 0)
        return "no subject graded by both";
    const char *of = arena_printf(a, "%zu subject%s, %zu equal steps%s%s", n, n == 1 ? "" : "s",
                                  b->options->n_grades, b->basis[0] == '\0' ? "" : ", ",
                                  b->basis);
    if (!k->kappa.value.has)
        return arena_printf(a, "%s; undefined: both gave one and the same grade throughout", of);
    if (!k->se.has)
        return arena_printf(a, "%s; no disagreement to reckon an error from", of);
    return arena_printf(a, "%s; standard error %s", of, num_format(se, k->se.value, 4));
}

struct mean {
    double sum;
    size_t n, pairs;
};

static void add_mean(struct agree_build *b, const char *quantity, struct mean m)
{
    struct agree_estimate e = agree_estimate_none();
    const char *note = "no pair of raters";
    if (m.n > 0)
        e = agree_estimate_of(m.sum / (double)m.n);
    if (m.pairs > 0)
        note = arena_printf(b->t->arena, "mean of %zu of %zu pairs", m.n, m.pairs);
    agree_rows_add(&b->rows, quantity, NULL, NULL, e, note);
}

static void add_kappa(struct agree_build *b, const char *quantity, enum agree_weights kind,
                      double *counts, double *weights)
{
    const struct agree_table *t = b->t;
    struct agree_rows pairs = {.arena = t->arena};
    struct mean mean = {0, 0, 0};
    agree_weights_of(b->options->n_grades, kind, weights);
    for (size_t i = 0; i < b->n_class; i++) {
        for (size_t j = i + 1; j < t->n_raters; j++) {
            size_t n = count_pair(b, i, j, counts);
            struct agree_kappa k = agree_kappa_of(counts, b->options->n_grades, weights);
            agree_rows_add(&pairs, quantity, t->raters[i], t->raters[j], k.kappa,
                           kappa_note(b, &k, n));
            if (j >= b->n_class)
                continue;
            mean.pairs++;
            mean.n += k.kappa.value.has;
            mean.sum += k.kappa.value.has ? k.kappa.value.value : 0;
        }
    }
    add_mean(b, quantity, mean);
    for (size_t i = 0; i < pairs.n; i++) {
        const struct agree_row *row = &pairs.items[i];
        agree_rows_add(&b->rows, quantity, row->a, row->b, row->est, row->note);
    }
}

void agree_build_grades(struct agree_build *b)
{
    size_t c = b->options->n_grades;
    double *room = mem_alloc(2 * c * c * sizeof *room);
    for (size_t i = 0; i < ARRAY_LEN(kappas); i++)
        add_kappa(b, kappas[i].quantity, kappas[i].kind, room, room + c * c);
    free(room);
    agree_build_shares(b, "exact_percent", "exact_percent_of_instructor", 0);
    agree_build_shares(b, "within_one_grade_percent", "within_one_grade_percent_of_instructor", 1);
}
