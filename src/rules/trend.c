/*
 * The trend over three or more visits that can be compared. Up to five readings: least squares,
 * with the error that changes are judged by as the error of each reading, so that a slope is never
 * told as real where the changes it is made of lie within error. Where no error is on file, from
 * the residuals of at least four readings: three that happen to lie on one line would promise far
 * too much. From six on: the median of all pairwise slopes, which one bad reading cannot bend. Time
 * is in weeks from the first point; nothing is projected past the last.
 */
#include "rules/rules_int.h"

enum { DAYS_IN_WEEK = 7 };

static const double confidence = 0.95;

struct series {
    struct trend_point *points;
    double *weeks, *values;
    size_t n;
    enum instrument instrument;
    bool two_raters;
};

/* The first reading of each kind of measurer, with a name or without, and in which role. Who
 * differs from any reading before differs from the first of its kind, or those two differed. */
struct measurers {
    const struct finding *first[2][ROLE_OTHER + 1];
};

static bool is_by_another(struct measurers *known, const struct finding *f)
{
    bool another = false;
    for (int nameless = 0; nameless < 2; nameless++) {
        for (int role = ROLE_NONE; role <= ROLE_OTHER; role++) {
            const struct finding *other = known->first[nameless][role];
            another |= other != NULL && rules_rater_fit(other, f) == FIT_NO;
        }
    }
    const struct finding **own = &known->first[str_is_empty(f->measured_by)][f->role];
    if (*own == NULL)
        *own = f;
    return another;
}

static void add(struct series *s, const struct finding *f, struct date date)
{
    s->points[s->n++] = (struct trend_point){date, rules_value(f).value};
    if (s->instrument == INSTRUMENT_UNKNOWN)
        s->instrument = f->instrument;
}

/* Oldest first. Readings that are compared carry the error of two people as soon as any two of them
 * were measured by two. */
static struct series series_of(const struct visit_findings *v, const struct finding *f,
                               struct arena *a)
{
    size_t most = v->n_earlier + 1;
    struct series s = {.points = arena_alloc(a, most * sizeof *s.points),
                       .weeks = arena_alloc(a, most * sizeof *s.weeks),
                       .values = arena_alloc(a, most * sizeof *s.values)};
    struct measurers known = {.first = {{NULL}}};
    for (size_t i = v->n_earlier + 1; i-- > 0;) {
        const struct visit_findings *visit = i == 0 ? v : v->earlier[i - 1];
        const struct finding *row = i == 0 ? f : rules_same_reading(f, visit);
        if (row == NULL || row->status != READING_MEASURED)
            continue;
        add(&s, row, visit->visit->date);
        s.two_raters |= is_by_another(&known, row);
    }
    for (size_t i = 0; i < s.n; i++) {
        long days = date_days(s.points[i].date) - date_days(s.points[0].date);
        s.weeks[i] = (double)days / DAYS_IN_WEEK;
        s.values[i] = s.points[i].value;
    }
    return s;
}

static struct error_used error_of(const struct visit_findings *v, const struct finding *f,
                                  const struct series *s)
{
    struct error_question q = {
        .row = f, .instrument = s->instrument, .two_raters = s->two_raters};
    return rules_error_for(v, q).used;
}

/* The error of one reading: that of the study, or what the limit stands for. */
static double spread(const struct error_used *e)
{
    return e->sem.has ? e->sem.value : e->limit.value / rules_mdc95(1);
}

static const char *direction(const struct finding *f, const struct slope *line)
{
    bool rises = line->low.has && line->low.value > 0;
    bool falls = line->high.has && line->high.value < 0;
    if (!rises && !falls)
        return "unclear";
    return rises != rules_lower_is_better(f) ? "better" : "worse";
}

static const char *fit(const struct visit_findings *v, const struct finding *f,
                       const struct series *s, const struct error_used *e, struct arena *a,
                       struct slope *line)
{
    double points = (double)s->n;
    if (points > reference_threshold(v->ref, THRESHOLD_TREND_LINE_VISITS)) {
        if (v->course != NULL)
            (void)rules_theil_sen_kept(v->course, f, s->weeks, s->values, s->n, confidence, a,
                                       line);
        else
            (void)rules_theil_sen(s->weeks, s->values, s->n, confidence, a, line);
        return line->exact ? "theil-sen-exact" : "theil-sen";
    }
    (void)rules_least_squares(s->weeks, s->values, s->n, line);
    if (e->limit.has) {
        rules_slope_by_sem(line, spread(e));
        return e->mdc95.has ? "known-error" : "rule-of-thumb";
    }
    if (points >= reference_threshold(v->ref, THRESHOLD_TREND_RESIDUAL_VISITS))
        rules_slope_by_residuals(line, confidence);
    return "least-squares";
}

static const struct trend *trend_of(const struct visit_findings *v, const struct finding *f,
                                    struct arena *a)
{
    struct series s = series_of(v, f, a);
    if ((double)s.n < reference_threshold(v->ref, THRESHOLD_TREND_VISITS))
        return NULL;
    struct slope line;
    struct trend *t = arena_alloc(a, sizeof *t);
    t->points = s.points;
    t->n = s.n;
    t->two_raters = s.two_raters;
    struct error_used e = error_of(v, f, &s);
    if (e.mdc95.has)
        t->sem = num_of(spread(&e));
    t->method = fit(v, f, &s, &e, a, &line);
    t->slope = line.slope;
    t->low = line.low;
    t->high = line.high;
    t->first_fit = line.level;
    t->last_fit = line.level + line.slope * s.weeks[s.n - 1];
    t->direction = direction(f, &line);
    return t;
}

/* Grades are words with an order, and a slope of words would be a made-up number. */
void rules_trend(struct visit_findings *v, struct arena *a)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        struct finding *f = &v->rows[i];
        if (f->test != TEST_MMT && rules_is_usable(f) && rules_value(f).has)
            f->trend = trend_of(v, f, a);
    }
}
