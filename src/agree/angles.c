/* The rows of angles: the class as a whole, then each pair, then repeats of each rater. */
#include "agree/agree_int.h"

#include <math.h>
#include <stdlib.h>

static const struct {
    const char *quantity;
    enum agree_icc form;
} icc_rows[] = {
    {"icc_1_1", AGREE_ICC_1_1}, {"icc_2_1", AGREE_ICC_2_1}, {"icc_3_1", AGREE_ICC_3_1},
    {"icc_1_k", AGREE_ICC_1_K}, {"icc_2_k", AGREE_ICC_2_K}, {"icc_3_k", AGREE_ICC_3_K},
};

static const char *join(struct arena *a, const char *one, const char *two)
{
    if (one[0] == '\0' || two[0] == '\0')
        return one[0] == '\0' ? two : one;
    return arena_printf(a, "%s; %s", one, two);
}

/* ---- one subject ---------------------------------------------------------------------------- */

static void add_plain(struct agree_build *b, const char *quantity, struct num value,
                      const char *note)
{
    agree_rows_add(&b->rows, quantity, NULL, NULL,
                   (struct agree_estimate){value, num_none(), num_none()}, note);
}

static void add_one_subject(struct agree_build *b)
{
    double *x = mem_alloc((b->n_class + 1) * sizeof *x);
    size_t n = 0;
    for (size_t j = 0; j < b->n_class; j++)
        if (b->t->cells[j].value.has)
            x[n++] = b->t->cells[j].value.value;
    if (n > 0) {
        struct agree_spread s = agree_spread_of(x, n);
        bool above_zero = s.min > 0;
        add_plain(b, "mean", num_of(s.mean), b->basis);
        add_plain(b, "sd", s.sd, s.sd.has ? b->basis : "one rater only");
        add_plain(b, "min", num_of(s.min), "");
        add_plain(b, "max", num_of(s.max), "");
        add_plain(b, "range", num_of(s.max - s.min), "");
        add_plain(b, "cv_percent", s.cv_percent,
                  !above_zero ? "readings at or below zero: no percent of a mean"
                  : s.sd.has  ? ""
                              : "one rater only");
    }
    free(x);
}

/* ---- the class as a whole ------------------------------------------------------------------- */

/* Why there is no analysis of variance, or NULL. */
static const char *why_none(const struct agree_build *b)
{
    if (b->t->n_subjects == 1)
        return "one subject only: an ICC sets the spread between subjects against the spread "
               "within them and needs two or more";
    if (b->n_class < 2 && b->t->has_instructor)
        return "one rater beside the instructor: leave the column instructor empty to count both";
    if (b->n_class < 2)
        return "one rater only";
    if (b->n_complete < 2)
        return "fewer than two subjects were measured by every rater";
    return NULL;
}

static bool class_table(const struct agree_build *b, struct agree_anova *out)
{
    const struct agree_table *t = b->t;
    double *x = mem_alloc((b->n_complete * b->n_class + 1) * sizeof *x);
    size_t n = 0;
    for (size_t i = 0; i < t->n_subjects; i++) {
        const struct agree_cell *row = &t->cells[i * t->n_raters];
        size_t j = 0;
        while (j < b->n_class && row[j].value.has) {
            x[n * b->n_class + j] = row[j].value.value;
            j++;
        }
        n += j == b->n_class;
        if (n == b->n_complete)
            break;
    }
    bool good = agree_anova_of(x, n, b->n_class, out);
    free(x);
    return good;
}

static void add_icc(struct agree_build *b, const struct agree_anova *t)
{
    for (size_t i = 0; i < ARRAY_LEN(icc_rows); i++) {
        struct agree_estimate e = agree_icc_of(t, icc_rows[i].form);
        const char *note = "";
        if (!e.value.has)
            note = "the subjects do not differ: undefined";
        else if (e.value.value < 0)
            note = "below zero: no reliability shown";
        else if (!e.low.has || !e.high.has)
            note = "a 95% limit that cannot be reckoned is left out";
        agree_rows_add(&b->rows, icc_rows[i].quantity, NULL, NULL, e,
                       join(b->t->arena, b->basis, note));
    }
}

static void add_errors(struct agree_build *b, const struct agree_anova *t)
{
    struct agree_estimate agreement = agree_sem_agreement(t);
    agree_rows_add(&b->rows, "sem_agreement", NULL, NULL, agreement, b->basis);
    agree_rows_add(&b->rows, "sem_consistency", NULL, NULL, agree_sem_consistency(t),
                   join(b->t->arena, b->basis, "bias of raters left out"));
    agree_rows_add(&b->rows, "mdc95", NULL, NULL, agree_mdc95(agreement), b->basis);
    agree_rows_add(&b->rows, "mdc90", NULL, NULL, agree_mdc90(agreement), b->basis);
}

static void add_class(struct agree_build *b)
{
    static const char *const errors[] = {"sem_agreement", "sem_consistency", "mdc95", "mdc90"};
    const char *why = why_none(b);
    struct agree_anova t;
    if (why == NULL && class_table(b, &t)) {
        add_icc(b, &t);
        add_errors(b, &t);
        return;
    }
    for (size_t i = 0; i < ARRAY_LEN(icc_rows); i++)
        add_plain(b, icc_rows[i].quantity, num_none(), why);
    for (size_t i = 0; i < ARRAY_LEN(errors); i++)
        add_plain(b, errors[i], num_none(), why);
}

/* ---- repeats of one rater ------------------------------------------------------------------- */

/* Spread of the tries of each rater about the mean of their cell. */
static struct agree_within *within_raters(const struct agree_table *t)
{
    struct agree_within *w = arena_alloc(t->arena, t->n_raters * sizeof *w);
    for (size_t i = 0; i < t->n_tries; i++) {
        const struct agree_try *x = &t->tries[i];
        double off = x->value - t->cells[x->subject * t->n_raters + x->rater].value.value;
        w[x->rater].squares += off * off;
    }
    for (size_t i = 0; i < t->n_subjects * t->n_raters; i++)
        if (t->cells[i].value.has)
            w[i % t->n_raters].df += (double)(t->cells[i].n_tries - 1);
    return w;
}

static struct agree_estimate repeatability_of(struct agree_within w)
{
    double factor = agree_mdc95(agree_estimate_of(1)).value.value;
    double ms = w.squares / w.df;
    struct agree_estimate e = agree_estimate_of(factor * sqrt(ms));
    if (ms > 0) {
        e.low = num_of(factor * sqrt(w.squares / agree_quantile_chi2(0.975, w.df)));
        e.high = num_of(factor * sqrt(w.squares / agree_quantile_chi2(0.025, w.df)));
    }
    return e;
}

static void add_repeatability(struct agree_build *b)
{
    struct agree_within all = {0, 0};
    for (size_t j = 0; j < b->n_class; j++) {
        all.squares += b->within[j].squares;
        all.df += b->within[j].df;
    }
    if (all.df > 0)
        agree_rows_add(&b->rows, "repeatability", NULL, NULL, repeatability_of(all),
                       "repeats of one rater, all raters");
    else
        add_plain(b, "repeatability", num_none(), "no rater repeated a reading");
}

static void add_own_repeats(struct agree_build *b)
{
    const struct agree_table *t = b->t;
    for (size_t j = 0; j < t->n_raters; j++)
        if (b->within[j].df > 0)
            agree_rows_add(&b->rows, "repeatability", t->raters[j], t->raters[j],
                           repeatability_of(b->within[j]), "repeats of this rater");
}

/* ---- pairs ---------------------------------------------------------------------------------- */

/* How much the spread of single readings adds to that of the means of tries. */
static double single_excess(const struct agree_build *b, size_t rater, size_t other)
{
    const struct agree_table *t = b->t;
    struct agree_within w = b->within[rater];
    double inverse = 0, n = 0;
    for (size_t i = 0; i < t->n_subjects; i++) {
        const struct agree_cell *row = &t->cells[i * t->n_raters];
        if (!row[rater].value.has || !row[other].value.has)
            continue;
        inverse += 1 / (double)row[rater].n_tries;
        n++;
    }
    return w.df > 0 && n > 0 ? (1 - inverse / n) * w.squares / w.df : 0;
}

static void add_single_limits(struct agree_build *b, size_t i, size_t j,
                              const struct agree_differences *d)
{
    const struct agree_table *t = b->t;
    double excess = single_excess(b, i, j) + single_excess(b, j, i);
    double sd = sqrt(d->sd.value * d->sd.value + excess);
    double half = agree_z_of_limits * sd;
    const char *note = "single readings in place of means";
    agree_rows_add(&b->rows, "loa_single_low", t->raters[i], t->raters[j],
                   agree_estimate_of(d->bias.value.value - half), note);
    agree_rows_add(&b->rows, "loa_single_high", t->raters[i], t->raters[j],
                   agree_estimate_of(d->bias.value.value + half), note);
}

static void add_pair(struct agree_build *b, size_t i, size_t j, double *room)
{
    const struct agree_table *t = b->t;
    const char *a_name = t->raters[i], *b_name = t->raters[j], *note;
    size_t n = 0;
    for (size_t s = 0; s < t->n_subjects; s++) {
        const struct agree_cell *row = &t->cells[s * t->n_raters];
        if (row[i].value.has && row[j].value.has)
            room[n++] = row[i].value.value - row[j].value.value;
    }
    if (n == 0) {
        note = "no subject measured by both";
        agree_rows_add(&b->rows, "bias", a_name, b_name, agree_estimate_none(), note);
        agree_rows_add(&b->rows, "loa_low", a_name, b_name, agree_estimate_none(), note);
        agree_rows_add(&b->rows, "loa_high", a_name, b_name, agree_estimate_none(), note);
        agree_rows_add(&b->rows, "repeatability", a_name, b_name, agree_estimate_none(), note);
        return;
    }
    struct agree_differences d = agree_differences_of(room, n);
    const char *subjects = arena_printf(t->arena, "%zu subject%s", n, n == 1 ? "" : "s");
    note = join(t->arena, subjects, b->basis);
    const char *limits = n >= 3 ? note : join(t->arena, subjects, "limits need three");
    agree_rows_add(&b->rows, "bias", a_name, b_name, d.bias, note);
    agree_rows_add(&b->rows, "loa_low", a_name, b_name, d.loa_low, limits);
    agree_rows_add(&b->rows, "loa_high", a_name, b_name, d.loa_high, limits);
    if (d.loa_low.value.has && b->basis[0] != '\0')
        add_single_limits(b, i, j, &d);
    agree_rows_add(&b->rows, "repeatability", a_name, b_name, agree_estimate_of(d.repeatability),
                   join(t->arena, note, "the two raters taken as repeats of one method"));
}

static void add_pairs(struct agree_build *b)
{
    const struct agree_table *t = b->t;
    double *room = mem_alloc((t->n_subjects + 1) * sizeof *room);
    for (size_t i = 0; i < b->n_class; i++)
        for (size_t j = i + 1; j < t->n_raters; j++)
            add_pair(b, i, j, room);
    free(room);
}

void agree_build_angles(struct agree_build *b)
{
    b->within = within_raters(b->t);
    if (b->t->n_subjects == 1)
        add_one_subject(b);
    add_class(b);
    add_repeatability(b);
    add_pairs(b);
    add_own_repeats(b);
    agree_build_shares(b, "percent_within_5", "percent_within_5_of_instructor", 5);
    agree_build_shares(b, "percent_within_10", "percent_within_10_of_instructor", 10);
}
