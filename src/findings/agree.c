/*
 * A class as a document: for each test its raters, its subjects with every reading, the figures
 * of agreement, the pairs with what a Bland-Altman plot draws, and who is off where.
 *
 * What a reading is held against: the instructor's where there is one; else, for angles, the mean
 * of all raters of that subject. Grades have no mean: without an instructor only their spread over
 * a subject is told. Off: by more than the clinic's tolerance (angles), by its smallest change of
 * a grade or more (grades).
 */
#include "findings/findings_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SUBJECTS_DRAWN = 24, PAIRS_DRAWN = 6, POINTS_DRAWN = 1000, CODE_MAX = 16,
       SHARE_DECIMALS = 3 };

/* The figures of one pair, gathered from the rows of the result. */
struct pair {
    size_t a, b;
    size_t n;
    const struct agree_row *bias, *low, *high, *within_5, *within_10, *exact, *within_one, *linear,
        *quadratic;
    double width;            /* of the limits of agreement; negative: none */
    bool drawn;
};

struct class_writer {
    struct writer *w;
    xmlNode *node;
    const struct findings_class *c;
    const struct agree_result *r;
    size_t n_all;            /* raters with the instructor */
    struct num *reference;   /* of each subject */
    struct pair *pairs;
    size_t n_pairs;
    struct arena *arena;
};

static bool is_grade(const struct class_writer *k)
{
    return k->r->scale == AGREE_GRADE;
}

static struct num value_at(const struct class_writer *k, size_t subject, size_t rater)
{
    return agree_cell_at(k->r, subject, rater)->value;
}

/* A, B ... Z, AA, AB ...: short enough to stand in a dot. */
static const char *code_of(size_t rater, char out[CODE_MAX])
{
    enum { LETTERS = 26 };
    char *s = out;
    if (rater >= LETTERS)
        *s++ = (char)('A' + rater / LETTERS - 1);
    *s++ = (char)('A' + rater % LETTERS);
    *s = '\0';
    return out;
}

static double tolerance_of(const struct class_writer *k)
{
    return is_grade(k) ? k->c->clinic->grade_change : k->c->clinic->tolerance_deg;
}

static bool is_off(const struct class_writer *k, double delta)
{
    static const double hair = 1e-9; /* 4+ less 3+ is a whole grade, whatever thirds add up to */
    double tolerance = tolerance_of(k);
    return is_grade(k) ? fabs(delta) >= tolerance - hair : fabs(delta) > tolerance;
}

/* The name of a grade by its score; the first of two that share it. */
static const char *grade_text(const struct class_writer *k, double score)
{
    for (size_t i = 0;; i++) {
        const struct grade *g = reference_grade_at(k->c->reference, i, NULL);
        if (g == NULL || g->numeric == score)
            return g != NULL ? g->text : "";
    }
}

static int decimals_of(const struct class_writer *k)
{
    return is_grade(k) ? FINE_DECIMALS : DECIMALS;
}

static void put_value(const struct class_writer *k, xmlNode *node, const char *name,
                      const char *text_name, struct num value)
{
    findings_number(k->w, node, name, value, decimals_of(k));
    if (value.has && is_grade(k))
        findings_text(k->w, node, text_name, grade_text(k, value.value));
}

/* ---- what each subject is held against ------------------------------------------------------- */

struct spread {
    size_t n;
    double sum, low, high;
};

static struct spread spread_of(const struct class_writer *k, size_t subject)
{
    struct spread s = {0, 0, 0, 0};
    for (size_t j = 0; j < k->r->n_raters; j++) {
        struct num v = value_at(k, subject, j);
        if (!v.has)
            continue;
        s.low = s.n == 0 ? v.value : fmin(s.low, v.value);
        s.high = s.n == 0 ? v.value : fmax(s.high, v.value);
        s.sum += v.value;
        s.n++;
    }
    return s;
}

static void settle_references(struct class_writer *k)
{
    k->reference = arena_alloc(k->arena, (k->r->n_subjects + 1) * sizeof *k->reference);
    for (size_t i = 0; i < k->r->n_subjects; i++) {
        struct spread s = spread_of(k, i);
        if (k->r->has_instructor)
            k->reference[i] = value_at(k, i, k->r->n_raters);
        else if (!is_grade(k) && s.n > 1)
            k->reference[i] = num_of(s.sum / (double)s.n);
    }
}

/* ---- raters and subjects --------------------------------------------------------------------- */

static void rater(const struct class_writer *k, size_t j)
{
    char code[CODE_MAX];
    bool instructor = j == k->r->n_raters;
    long readings = 0, off = 0;
    for (size_t i = 0; i < k->r->n_subjects; i++) {
        struct num v = value_at(k, i, j);
        readings += v.has;
        off += v.has && !instructor && k->reference[i].has &&
               is_off(k, v.value - k->reference[i].value);
    }
    xmlNode *node = findings_child(k->w, k->node, "rater");
    findings_count(k->w, node, "n", (long)j + 1);
    findings_text(k->w, node, "code", code_of(j, code));
    findings_text(k->w, node, "name", k->r->raters[j]);
    findings_yes(k->w, node, "instructor", instructor);
    findings_count(k->w, node, "readings", readings);
    findings_count(k->w, node, "gaps", (long)k->r->n_subjects - readings);
    findings_count(k->w, node, "off", off);
}

static void cell(const struct class_writer *k, xmlNode *parent, size_t i, size_t j)
{
    char code[CODE_MAX];
    bool instructor = j == k->r->n_raters;
    const struct agree_cell *c = agree_cell_at(k->r, i, j);
    xmlNode *node = findings_child(k->w, parent, "cell");
    findings_count(k->w, node, "n", (long)j + 1);
    findings_text(k->w, node, "code", code_of(j, code));
    findings_text(k->w, node, "rater", k->r->raters[j]);
    findings_yes(k->w, node, "instructor", instructor);
    put_value(k, node, "value", "grade", c->value);
    findings_positive(k->w, node, "tries", c->n_tries > 1 ? c->n_tries : 0);
    if (instructor || !c->value.has || !k->reference[i].has)
        return;
    double delta = c->value.value - k->reference[i].value;
    findings_value(k->w, node, "delta", delta, decimals_of(k));
    findings_yes(k->w, node, "off", is_off(k, delta));
}

/* How many subjects spread more than this one; of two alike the first comes first. */
static size_t spread_rank(const struct class_writer *k, const double *spreads, size_t i)
{
    size_t rank = 0;
    for (size_t s = 0; rank < SUBJECTS_DRAWN && s < k->r->n_subjects; s++)
        rank += spreads[s] > spreads[i] || (s < i && spreads[s] == spreads[i]);
    return rank;
}

static void subject(const struct class_writer *k, const double *spreads, size_t i)
{
    struct spread s = spread_of(k, i);
    xmlNode *node = findings_child(k->w, k->node, "subject");
    findings_count(k->w, node, "n", (long)i + 1);
    findings_text(k->w, node, "name", k->r->subjects[i]);
    findings_count(k->w, node, "readings", (long)s.n);
    findings_yes(k->w, node, "gap", s.n < k->r->n_raters);
    if (s.n > 0) {
        put_value(k, node, "low", "low-grade", num_of(s.low));
        put_value(k, node, "high", "high-grade", num_of(s.high));
        findings_value(k->w, node, "spread", s.high - s.low, decimals_of(k));
        findings_yes(k->w, node, "wide", is_off(k, s.high - s.low));
    }
    if (s.n > 0 && !is_grade(k))
        findings_value(k->w, node, "mean", s.sum / (double)s.n, DECIMALS);
    put_value(k, node, "reference", "reference-grade", k->reference[i]);
    findings_yes(k->w, node, "drawn", s.n > 0 && spread_rank(k, spreads, i) < SUBJECTS_DRAWN);
    for (size_t j = 0; j < k->n_all; j++)
        cell(k, node, i, j);
}

static void subjects(const struct class_writer *k)
{
    double *spreads = mem_alloc((k->r->n_subjects + 1) * sizeof *spreads);
    for (size_t i = 0; i < k->r->n_subjects; i++) {
        struct spread s = spread_of(k, i);
        spreads[i] = s.n > 0 ? s.high - s.low : -1;
    }
    for (size_t i = 0; i < k->r->n_subjects; i++)
        subject(k, spreads, i);
    free(spreads);
}

/* ---- figures --------------------------------------------------------------------------------- */

static int figure_decimals(const struct agree_row *row)
{
    bool small = str_starts(row->quantity, "icc") || str_starts(row->quantity, "kappa");
    return small ? SHARE_DECIMALS : DECIMALS;
}

static void put_estimate(struct writer *w, xmlNode *node, const char *const names[3],
                         const struct agree_row *row)
{
    if (row == NULL)
        return;
    findings_number(w, node, names[0], row->est.value, figure_decimals(row));
    findings_number(w, node, names[1], row->est.low, figure_decimals(row));
    findings_number(w, node, names[2], row->est.high, figure_decimals(row));
}

static void figures(const struct class_writer *k)
{
    static const char *const names[] = {"value", "low", "high"};
    for (size_t i = 0; i < k->r->n_rows; i++) {
        const struct agree_row *row = &k->r->rows[i];
        bool own = row->a != NULL && row->a == row->b; /* repeats of one rater */
        if (row->a != NULL && !own)
            continue;
        xmlNode *node = findings_child(k->w, k->node, "figure");
        findings_text(k->w, node, "quantity", row->quantity);
        findings_text(k->w, node, "rater", row->a);
        put_estimate(k->w, node, names, row);
        findings_text(k->w, node, "note", row->note);
    }
}

/* ---- pairs ----------------------------------------------------------------------------------- */

static size_t index_of(const struct class_writer *k, const char *name)
{
    size_t j = 0;
    while (j < k->n_all && k->r->raters[j] != name && strcmp(k->r->raters[j], name) != 0)
        j++;
    return j;
}

static void gather_row(struct pair *p, const struct agree_row *row)
{
    const struct {
        const char *quantity;
        const struct agree_row **at;
    } places[] = {
        {"bias", &p->bias}, {"loa_low", &p->low}, {"loa_high", &p->high},
        {"percent_within_5", &p->within_5}, {"percent_within_10", &p->within_10},
        {"exact_percent", &p->exact}, {"within_one_grade_percent", &p->within_one},
        {"kappa_linear", &p->linear}, {"kappa_quadratic", &p->quadratic}};
    for (size_t i = 0; i < ARRAY_LEN(places); i++)
        if (str_eq(places[i].quantity, row->quantity))
            *places[i].at = row;
}

static void add_pairs(struct class_writer *k)
{
    size_t n = k->n_all;
    size_t *index = arena_alloc(k->arena, (n * n + 1) * sizeof *index);
    k->pairs = arena_alloc(k->arena, (n * n + 1) * sizeof *k->pairs);
    for (size_t a = 0; a < k->r->n_raters; a++)
        for (size_t b = a + 1; b < n; b++) {
            index[a * n + b] = k->n_pairs;
            k->pairs[k->n_pairs] = (struct pair){.a = a, .b = b, .width = -1};
            struct pair *p = &k->pairs[k->n_pairs++];
            for (size_t i = 0; i < k->r->n_subjects; i++)
                p->n += value_at(k, i, a).has && value_at(k, i, b).has;
        }
    for (size_t i = 0; i < k->r->n_rows; i++) {
        const struct agree_row *row = &k->r->rows[i];
        if (row->a == NULL || row->a == row->b)
            continue;
        gather_row(&k->pairs[index[index_of(k, row->a) * n + index_of(k, row->b)]], row);
    }
}

/* Drawn are the pairs with the instructor; without him those whose limits are widest. */
static void choose_drawn(struct class_writer *k)
{
    for (size_t i = 0; i < k->n_pairs; i++) {
        struct pair *p = &k->pairs[i];
        if (p->low != NULL && p->low->est.value.has && p->high->est.value.has)
            p->width = p->high->est.value.value - p->low->est.value.value;
        p->drawn = k->r->has_instructor && p->b == k->r->n_raters && p->width >= 0 &&
                   p->n <= POINTS_DRAWN;
    }
    for (size_t i = 0; i < k->n_pairs && !k->r->has_instructor; i++) {
        const struct pair *p = &k->pairs[i];
        size_t wider = 0;
        for (size_t m = 0; m < k->n_pairs && wider < PAIRS_DRAWN; m++)
            wider += k->pairs[m].width > p->width || (m < i && k->pairs[m].width == p->width);
        k->pairs[i].drawn = p->width >= 0 && wider < PAIRS_DRAWN && p->n <= POINTS_DRAWN;
    }
}

static void points(const struct class_writer *k, xmlNode *node, const struct pair *p)
{
    for (size_t i = 0; i < k->r->n_subjects; i++) {
        struct num a = value_at(k, i, p->a), b = value_at(k, i, p->b);
        if (!a.has || !b.has)
            continue;
        xmlNode *point = findings_child(k->w, node, "point");
        findings_count(k->w, point, "n", (long)i + 1);
        findings_value(k->w, point, "mean", (a.value + b.value) / 2, DECIMALS);
        findings_value(k->w, point, "difference", a.value - b.value, DECIMALS);
    }
}

static void pair(const struct class_writer *k, const struct pair *p)
{
    static const char *const bias[] = {"bias", "bias-low", "bias-high"};
    static const char *const low[] = {"loa-low", "loa-low-low", "loa-low-high"};
    static const char *const high[] = {"loa-high", "loa-high-low", "loa-high-high"};
    static const char *const within_5[] = {"within-5", "within-5-low", "within-5-high"};
    static const char *const within_10[] = {"within-10", "within-10-low", "within-10-high"};
    static const char *const exact[] = {"exact", "exact-low", "exact-high"};
    static const char *const one[] = {"within-one", "within-one-low", "within-one-high"};
    static const char *const linear[] = {"linear", "linear-low", "linear-high"};
    static const char *const quadratic[] = {"quadratic", "quadratic-low", "quadratic-high"};
    char code[CODE_MAX];
    xmlNode *node = findings_child(k->w, k->node, "pair");
    findings_text(k->w, node, "a", k->r->raters[p->a]);
    findings_text(k->w, node, "a-code", code_of(p->a, code));
    findings_text(k->w, node, "b", k->r->raters[p->b]);
    findings_text(k->w, node, "b-code", code_of(p->b, code));
    findings_yes(k->w, node, "instructor", p->b == k->r->n_raters);
    findings_count(k->w, node, "subjects", (long)p->n);
    put_estimate(k->w, node, bias, p->bias);
    put_estimate(k->w, node, low, p->low);
    put_estimate(k->w, node, high, p->high);
    put_estimate(k->w, node, within_5, p->within_5);
    put_estimate(k->w, node, within_10, p->within_10);
    put_estimate(k->w, node, exact, p->exact);
    put_estimate(k->w, node, one, p->within_one);
    put_estimate(k->w, node, linear, p->linear);
    put_estimate(k->w, node, quadratic, p->quadratic);
    if (p->width >= 0)
        findings_value(k->w, node, "width", p->width, DECIMALS);
    findings_yes(k->w, node, "drawn", p->drawn);
    if (p->drawn)
        points(k, node, p);
}

/* ---- a test ---------------------------------------------------------------------------------- */

static void ends(const struct class_writer *k)
{
    struct num low = num_none(), high = num_none();
    for (size_t i = 0; i < k->r->n_subjects; i++)
        for (size_t j = 0; j < k->n_all; j++) {
            struct num v = value_at(k, i, j);
            if (!v.has)
                continue;
            low = num_of(low.has ? fmin(low.value, v.value) : v.value);
            high = num_of(high.has ? fmax(high.value, v.value) : v.value);
        }
    put_value(k, k->node, "least", "least-grade", low);
    put_value(k, k->node, "most", "most-grade", high);
}

/* How far the plots reach up and down, the same for all of them. */
static void reach(const struct class_writer *k)
{
    double most = 0;
    bool any = false;
    for (size_t i = 0; i < k->n_pairs; i++) {
        const struct pair *p = &k->pairs[i];
        if (!p->drawn)
            continue;
        any = true;
        most = fmax(most, fmax(fabs(p->low->est.value.value), fabs(p->high->est.value.value)));
        for (size_t s = 0; s < k->r->n_subjects; s++) {
            struct num a = value_at(k, s, p->a), b = value_at(k, s, p->b);
            if (a.has && b.has)
                most = fmax(most, fabs(a.value - b.value));
        }
    }
    if (any)
        findings_value(k->w, k->node, "reach", most, DECIMALS);
}

static void class(struct writer *w, xmlNode *root, const struct findings_class *c,
                  const struct agree_result *r)
{
    struct class_writer k = {.w = w, .c = c, .r = r, .arena = arena_new(),
                             .n_all = r->n_raters + r->has_instructor};
    k.node = findings_child(w, root, "class");
    settle_references(&k);
    add_pairs(&k);
    choose_drawn(&k);
    findings_text(w, k.node, "test", r->test);
    findings_text(w, k.node, "scale", is_grade(&k) ? "grade" : "angle");
    findings_count(w, k.node, "subjects", (long)r->n_subjects);
    findings_count(w, k.node, "raters", (long)r->n_raters);
    findings_count(w, k.node, "complete", (long)r->n_complete);
    findings_yes(w, k.node, "instructor", r->has_instructor);
    findings_text(w, k.node, "held-against",
                  r->has_instructor ? "instructor" : is_grade(&k) ? "" : "mean");
    findings_value(w, k.node, "tolerance", tolerance_of(&k), FINE_DECIMALS);
    ends(&k);
    reach(&k);
    for (size_t j = 0; j < k.n_all; j++)
        rater(&k, j);
    subjects(&k);
    figures(&k);
    for (size_t i = 0; i < k.n_pairs; i++)
        pair(&k, &k.pairs[i]);
    arena_free(k.arena);
}

struct _xmlDoc *findings_agree_document(const struct findings_class *c)
{
    struct writer w;
    xmlNode *root = findings_begin(&w, "agree");
    findings_text(&w, root, "version", c->program_version);
    findings_clinic(&w, root, c->clinic);
    for (size_t i = 0; i < c->n_results; i++)
        class(&w, root, c, c->results[i]);
    for (size_t i = 0; i < c->n_files; i++)
        findings_tally(&w, root, &c->files[i]);
    for (size_t i = 0; i < c->n_problems; i++)
        findings_problem(&w, root, &c->problems[i]);
    return findings_end(&w);
}
