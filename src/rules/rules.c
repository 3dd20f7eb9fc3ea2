/*
 * The families in the order they run, the table of flags, and the pass over one visit. Earlier
 * visits are only grouped and checked for doubtful readings: a comparison needs no more of them.
 */
#include "rules/rules_int.h"

static const struct rule_family families[] = {
    {"group", rules_group, "readings to rows: tries averaged, SD with divisor n-1", "own"},
    {"deficit", rules_deficit, "normal value - end, at least 0; percent where normal is above 0",
     "normal values of the reference"},
    {"error", rules_error, "MDC95 of the study that fits, else a rule of thumb",
     "Weir 2005; studies of the reference"},
    {"icf", rules_icf, "bands 0-4, 5-24, 25-49, 50-95, 96-100 of the percent missing",
     "WHO, ICF, 2001; rounding own"},
    {"peers", rules_peers, "group of the same age, sex and side; z = (end - mean) / SD",
     "strata of the reference"},
    {"passive", rules_passive, "passive below active by more than the clinic's tolerance",
     "common practice"},
    {"swap", rules_swap, "right and left that look exchanged against the visits around", "own"},
    {"side", rules_side, "this side - other side, held against the MDC95 of one rater",
     "Bland and Altman 1986"},
    {"limited", rules_limited,
     "deficit over error and low among peers, moderate or below the "
     "other side",
     "own"},
    {"change", rules_change, "now - earlier, held against MDC95 and MDC90",
     "Jacobson and Truax 1991; Weir 2005"},
    {"jump", rules_jump, "a gain too large to be one; a trace beside a normal side", "own"},
    {"end-feel", rules_end_feel, "end feel felt against the one expected", "reference"},
    {"strength", rules_strength, "what a manual grade contradicts", "table of grade checks"},
    {"grades", rules_grades, "a grade held against ranges, position, the other side",
     "table of grade checks"},
    {"compensation", rules_compensation, "recorded, and to watch for in limited motions",
     "compensations of the reference"},
    {"neutral-zero", rules_neutral_zero, "both ends of a pair of motions of the day",
     "neutral-zero method; order of the reference"},
    {"force", rules_force, "torque; z where a norm has an SD", "force norms of the reference"},
    {"demand", rules_demand, "activities that need more than a limited active motion has",
     "functional demands of the reference"},
    {"score", rules_score, "sums of grades where the visit declares the protocol",
     "sum scores of the reference"},
    {"patterns", rules_patterns, "passive losses in and out of capsular proportion, short muscles",
     "capsular patterns of the reference"},
    {"tension", rules_tension, "pain, strength, range and end feel taken together",
     "selective tension of the reference"},
    {"cluster", rules_cluster, "weak painless motions that share a root or a nerve",
     "muscle tests and myotomes of the reference"},
    {"limit", rules_limit, "readings held against the limits on file", "own"},
    {"goal", rules_goal, "now held against baseline, target and due date", "own"},
    {"trend", rules_trend, "slope over three or more visits, with its limits",
     "Sen 1968; Gilbert 1987; Weir 2005"},
    {"reminder", rules_reminder, "treatment days and dates of the plan",
     "Medicare Benefit Policy Manual, chapter 15, section 220; the payer's current text decides"},
    {"headline", rules_headline, "tally, and the row told first", "own"},
};

static const struct flag_info flag_table[] = {
    {"tries-apart", FLAG_NOTE,
     "a try lies further from the mean of the tries than the clinic "
     "accepts"},
    {"tries-incomplete", FLAG_NOTE,
     "a reading of this row carried no number; the mean is of the "
     "others"},
    {"more-tries-than-listed", FLAG_NOTE, "mean and SD are of all tries, the list holds the first"},
    {"grades-differ", FLAG_ERROR, "two grades of one test on one day differ; none is used"},
    {"second-measurer", FLAG_NOTE, "another person measured the same, whose reading is used"},
    {"measurers-differ", FLAG_NOTE, "two people's readings differ by more than the tolerance"},
    {"normal-other-position", FLAG_NOTE, "the normal value is for another position than stated"},
    {"normal-other-mode", FLAG_NOTE, "the normal value is of the other mode, active or passive"},
    {"normal-not-of-profile", FLAG_NOTE,
     "the chosen profile has no normal value for this motion; another is used"},
    {"no-normal-for-digit", FLAG_NOTE, "no normal value for this digit"},
    {"published-error-too-large", FLAG_NOTE,
     "the published error exceeds a quarter of normal; the "
     "rule of thumb is used"},
    {"visual-estimate", FLAG_NOTE, "by eye: held against the rule of thumb for two raters"},
    {"peers-other-mode", FLAG_NOTE, "the group was measured in the other mode, active or passive"},
    {"no-child-norm", FLAG_NOTE, "no figures for this child's age: see the other side"},
    {"passive-below-active", FLAG_WARNING, "passive motion is less than active: check"},
    {"taut-beyond-slack", FLAG_WARNING,
     "further with a muscle taut over the next joint than with it slack: check"},
    {"sides-swapped", FLAG_WARNING, "right and left look exchanged since the last visit: check"},
    {"jump-beyond-other-side", FLAG_WARNING,
     "a gain over twice the error limit and beyond the other side: check"},
    {"far-beyond-usual", FLAG_NOTE, "possible, but far beyond the normal value: check"},
    {"lone-trace", FLAG_WARNING, "a trace where the other side is normal: check"},
    {"other-side-other-rater", FLAG_NOTE,
     "sides measured by two people; the difference lies "
     "between their limits and one person's"},
    {"rater-not-stated", FLAG_NOTE,
     "who measured is not stated for both days; judged as one rater"},
    {"earlier-position-unclear", FLAG_NOTE,
     "measured in several positions then, in none stated "
     "now"},
    {"end-feel-unexpected", FLAG_WARNING, "end feel differs from the one expected"},
    {"end-feel-empty", FLAG_WARNING, "pain stopped the motion before any resistance"},
    {"three-or-more-in-minimised-position", FLAG_ERROR,
     "3- and above need the position against "
     "gravity"},
    {"heel-rise-needed", FLAG_ERROR, "plantar flexion of 3- and above needs heel rises standing"},
    {"heel-rise-count-mismatch", FLAG_WARNING,
     "the count of heel rises gives another grade by the clinic's table"},
    {"trace-without-movement", FLAG_ERROR, "grade 1 is a contraction without movement"},
    {"zero-or-one-with-active-range", FLAG_ERROR, "grade 0 or 1 beside measured active range"},
    {"pain-limited-grade", FLAG_WARNING, "pain during the test: the grade may not show strength"},
    {"normal-grade-with-pain", FLAG_NOTE, "grade 5 with pain during the test"},
    {"arom-before-strength", FLAG_NOTE, "strength was graded without an active range"},
    {"not-tested-is-not-zero", FLAG_NOTE, "not tested: left out of sums and comparisons"},
    {"change-within-error", FLAG_NOTE, "less than a full grade, or one between two examiners"},
    {"crosses-grade-three", FLAG_NOTE, "the change crosses grade 3"},
    {"more-compensations-than-listed", FLAG_NOTE, "more were recorded than the row can hold"},
    {"three-or-more-needs-full-range", FLAG_ERROR, "3 and above need the full available range"},
    {"partial-range-against-gravity", FLAG_WARNING,
     "partial range against gravity is 2+ or 3-, or 2 where the clinic says so"},
    {"two-is-full-range-minimised", FLAG_WARNING,
     "2 is the full available range without gravity; partial range is 2-"},
    {"below-three-with-full-range-against-gravity", FLAG_ERROR,
     "full active range against gravity is at least 3"},
    {"available-not-normal-range", FLAG_NOTE, "graded within a passive range that is not normal"},
    {"two-plus-by-resistance", FLAG_WARNING,
     "2+ without gravity needs slight resistance to have been held"},
    {"two-plus-needs-gravity", FLAG_WARNING,
     "2+ is the start of a range against gravity in this clinic"},
    {"exempt-from-gravity-rule", FLAG_NOTE, "gravity is ignored for this motion"},
    {"modified-gravity-rule", FLAG_NOTE, "this motion has its own way of grading"},
    {"abnormal-tone", FLAG_WARNING, "raised tone is noted: grades are hard to interpret"},
    {"serratus-above-shoulder-flexion", FLAG_WARNING,
     "serratus anterior graded above shoulder flexion of that side"},
    {"side-difference-within-grade", FLAG_NOTE,
     "equal grades of 4 or 5 do not exclude a side difference"},
    {"resistance-not-allowed", FLAG_ERROR, "above 3, while a precaution forbids resistance"},
    {"test-type-missing", FLAG_NOTE, "make, break or through-range is not stated"},
    {"prom-missing-with-short-arom", FLAG_NOTE,
     "active range is short and no passive range was recorded"},
    {"whole-grades-in-sums", FLAG_NOTE, "plus and minus were dropped for the sum score"},
    {"beyond-limit", FLAG_WARNING, "measured past a limit on file"},
    {"tested-against-limit", FLAG_ERROR, "tested while a limit on file says not to"},
    {"standing-against-limit", FLAG_WARNING,
     "recorded standing while a limit on weight bearing is on file"},
    {"goal-other-setup", FLAG_NOTE,
     "the baseline of the goal was measured in another position or with another tool"},
    {"goal-runs-back", FLAG_NOTE, "the goal lies below its baseline: less motion is the aim"},
    {"flexion-below-lack", FLAG_WARNING,
     "one end lies before the place where the other motion stops"},
};

const struct rule_family *rules_families(size_t *n)
{
    *n = ARRAY_LEN(families);
    return families;
}

bool rules_flag_doubts(const char *id)
{
    static const char *const doubts[] = {"sides-swapped", "jump-beyond-other-side",
                                         "passive-below-active", "flexion-below-lack",
                                         "taut-beyond-slack", "lone-trace"};
    for (size_t i = 0; i < ARRAY_LEN(doubts); i++)
        if (str_eq(doubts[i], id))
            return true;
    return false;
}

const struct flag_info *rules_flags(size_t *n)
{
    *n = ARRAY_LEN(flag_table);
    return flag_table;
}

const char *rules_verdict_name(enum verdict v)
{
    static const char *const names[] = {"", "within-error", "probable", "beyond-error",
                                        "not-comparable"};
    return names[v];
}

const char *rules_limited_name(enum limited l)
{
    static const char *const names[] = {"", "no", "below-handbook", "yes"};
    return names[l];
}

const char *rules_basis_name(enum error_basis b)
{
    static const char *const names[] = {"", "published", "derived", "rule-of-thumb"};
    return names[b];
}

static void set_visit(struct visit_findings *v, const struct patient *patient,
                      const struct visit *visit)
{
    bool known;
    double age = model_age_on(patient, visit->date, &known);
    v->patient = patient;
    v->visit = visit;
    v->age = known ? num_of(age) : num_none();
}

/* A visit as later ones compare with it; `older` counts from the latest. */
static struct visit_findings *new_earlier(const struct visit_findings *v,
                                          const struct visit *visit,
                                          struct visit_findings *const *older, size_t n,
                                          struct arena *arena)
{
    struct visit_findings *earlier = arena_alloc(arena, sizeof *earlier);
    earlier->ref = v->ref;
    earlier->clinic = v->clinic;
    set_visit(earlier, v->patient, visit);
    rules_group(earlier, arena);
    rules_passive(earlier, arena);
    rules_stretch(earlier);
    rules_swap_check(earlier, older, n);
    return earlier;
}

/* ---- what one visit leaves for the next ------------------------------------------------------ */

struct rules_kept {
    struct visit_findings *visit;
    const struct measurement *measurements; /* it was made of */
    size_t n;
    struct date date;
    struct num mass;                        /* its torques were reckoned with */
};

struct rules_course *rules_course_new(struct arena *arena)
{
    struct rules_course *c = arena_alloc(arena, sizeof *c);
    c->arena = arena;
    return c;
}

static bool same_num(struct num a, struct num b)
{
    return a.has == b.has && (!a.has || (a.value >= b.value && a.value <= b.value));
}

/* Whether `k` is what would be made of the visit. */
static bool still_holds(const struct rules_kept *k, const struct visit *visit,
                        const struct visit_findings *v)
{
    return k->measurements == visit->measurements && k->n == visit->n_measurements &&
           date_compare(k->date, visit->date) == 0 && k->visit->ref == v->ref &&
           k->visit->clinic == v->clinic && same_num(k->mass, model_body_mass_on(visit));
}

static void keep(struct rules_course *c, const struct visit *visit, struct visit_findings *made)
{
    enum { FEW = 16 };
    if (c->n == c->cap) {
        c->cap = c->cap * 2 + FEW;
        c->kept = arena_grow(c->arena, c->kept, c->n * sizeof *c->kept, c->cap * sizeof *c->kept);
    }
    c->kept[c->n++] = (struct rules_kept){made, visit->measurements, visit->n_measurements,
                                          visit->date, model_body_mass_on(visit)};
}

/* The earlier visit number i, oldest first. Exchanged sides are told by the visits before, so one
 * that no longer holds takes all after it along. */
static struct visit_findings *earlier_of(struct visit_findings *v, const struct visit *visit,
                                         struct visit_findings *const *older, size_t i,
                                         struct arena *arena)
{
    struct rules_course *c = v->course;
    if (c == NULL)
        return new_earlier(v, visit, older, i, arena);
    if (i < c->n && still_holds(&c->kept[i], visit, v)) {
        set_visit(c->kept[i].visit, v->patient, visit);
    } else {
        c->n = i;
        keep(c, visit, new_earlier(v, visit, older, i, c->arena));
    }
    return c->kept[i].visit;
}

/* A visit that is held back is not compared with: which of its readings stand is not known. */
static void add_earlier(struct visit_findings *v, struct arena *arena)
{
    const struct patient *p = v->patient;
    struct visit_findings **latest =
        (struct visit_findings **)arena_alloc(arena, (p->n_visits + 1) * sizeof *latest) +
        p->n_visits;
    for (size_t i = 0; i < p->n_visits; i++) {
        const struct visit *visit = &p->visits[i];
        if (visit->held || date_compare(visit->date, v->visit->date) >= 0)
            continue;
        struct visit_findings *earlier = earlier_of(v, visit, latest, v->n_earlier, arena);
        *--latest = earlier;
        v->n_earlier++;
    }
    v->earlier = latest;
}

struct visit_findings *rules_evaluate_next(struct rules_course *course,
                                           const struct patient *patient,
                                           const struct visit *visit, const struct reference *ref,
                                           const struct clinic *clinic, struct arena *arena)
{
    struct visit_findings *v = arena_alloc(arena, sizeof *v);
    v->ref = ref;
    v->clinic = clinic;
    v->course = course;
    set_visit(v, patient, visit);
    add_earlier(v, arena);
    for (size_t i = 0; i < ARRAY_LEN(families); i++)
        families[i].apply(v, arena);
    return v;
}

struct visit_findings *rules_evaluate(const struct patient *patient, const struct visit *visit,
                                      const struct reference *ref, const struct clinic *clinic,
                                      struct arena *arena)
{
    return rules_evaluate_next(NULL, patient, visit, ref, clinic, arena);
}
