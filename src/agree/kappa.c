/*
 * Weighted kappa of two raters with its large-sample standard error (Cohen 1968; Fleiss, Cohen
 * and Everitt 1969).
 */
#include "agree/agree_int.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

void agree_weights_of(size_t c, enum agree_weights kind, double *out)
{
    assert(c >= 2);
    for (size_t i = 0; i < c; i++) {
        for (size_t j = 0; j < c; j++) {
            double apart = fabs((double)i - (double)j) / (double)(c - 1);
            out[i * c + j] = 1 - (kind == AGREE_WEIGHTS_QUADRATIC ? apart * apart : apart);
        }
    }
}

struct margins {
    double *row, *column;      /* shares of each grade by a and by b */
    double *row_w, *column_w;  /* mean weight of a grade of a over the margin of b, and back */
};

static void sum_margins(struct agree_kappa *k, const double *counts, size_t c, const double *w,
                        struct margins *m)
{
    for (size_t i = 0; i < c; i++) {
        for (size_t j = 0; j < c; j++) {
            double share = counts[i * c + j] / k->n;
            m->row[i] += share;
            m->column[j] += share;
            k->po += w[i * c + j] * share;
        }
    }
    for (size_t i = 0; i < c; i++) {
        for (size_t j = 0; j < c; j++) {
            m->row_w[i] += m->column[j] * w[i * c + j];
            m->column_w[j] += m->row[i] * w[i * c + j];
            k->pe += w[i * c + j] * m->row[i] * m->column[j];
        }
    }
}

static void add_errors(struct agree_kappa *k, const double *counts, size_t c, const double *w,
                       const struct margins *m)
{
    double kappa = k->kappa.value.value, var = 0, var0 = 0;
    for (size_t i = 0; i < c; i++) {
        for (size_t j = 0; j < c; j++) {
            double mean_w = m->row_w[i] + m->column_w[j];
            double off = w[i * c + j] - mean_w * (1 - kappa), off0 = w[i * c + j] - mean_w;
            var += counts[i * c + j] / k->n * off * off;
            var0 += m->row[i] * m->column[j] * off0 * off0;
        }
    }
    double scale = k->n * (1 - k->pe) * (1 - k->pe), centre = kappa - k->pe * (1 - kappa);
    var = (var - centre * centre) / scale;
    var0 = (var0 - k->pe * k->pe) / scale;
    k->se0 = num_of(sqrt(fmax(var0, 0)));
    if (var < 1e-15) /* agreement without a slip: the formula gives no width, not certainty */
        return;
    double half = agree_quantile_normal(0.975) * sqrt(var);
    k->se = num_of(sqrt(var));
    k->kappa.low = num_of(fmax(kappa - half, -1));
    k->kappa.high = num_of(fmin(kappa + half, 1));
}

struct agree_kappa agree_kappa_of(const double *counts, size_t c, const double *weights)
{
    struct agree_kappa k = {0};
    for (size_t i = 0; i < c * c; i++)
        k.n += counts[i];
    if (k.n <= 0)
        return k;
    double *room = mem_alloc(4 * c * sizeof *room);
    struct margins m = {room, room + c, room + 2 * c, room + 3 * c};
    sum_margins(&k, counts, c, weights, &m);
    if (1 - k.pe > 1e-12) {
        k.kappa = agree_estimate_of((k.po - k.pe) / (1 - k.pe));
        add_errors(&k, counts, c, weights, &m);
    }
    free(room);
    return k;
}
