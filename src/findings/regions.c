/*
 * Regions and motions of a visit, head to foot: the rows of the rules, gathered so that what
 * belongs on one line of a chart stands together. A motion element is one joint, motion, digit,
 * timing and position; its sides hold the readings.
 */
#include "findings/findings_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool is_after(const struct finding *f)
{
    return f->timing == TIMING_AFTER;
}

static int by_number(long a, long b)
{
    return (a > b) - (a < b);
}

/* Nonzero where two rows belong to different motion elements, in the order of print. */
static int by_place(const struct finding *a, const struct finding *b)
{
    int order = by_number(a->motion->order, b->motion->order);
    if (order == 0)
        order = by_number(a->digit, b->digit);
    if (order == 0)
        order = by_number(is_after(a), is_after(b));
    if (order == 0)
        order = strcmp(a->position == NULL ? "" : a->position,
                       b->position == NULL ? "" : b->position);
    return order;
}

static int by_row(const void *a, const void *b)
{
    const struct finding *x = *(const struct finding *const *)a;
    const struct finding *y = *(const struct finding *const *)b;
    int order = by_place(x, y);
    if (order == 0)
        order = by_number(x->side, y->side);
    if (order == 0)
        order = by_number(x->test, y->test);
    /* Rows of one array: the rest keeps the order of the rules. */
    return order == 0 ? by_number(x > y, x < y) : order;
}

static void normal(struct writer *w, xmlNode *parent, const struct finding *const *rows, size_t n)
{
    const struct norm *used = NULL;
    for (size_t i = 0; i < n && used == NULL; i++)
        used = rows[i]->normal;
    if (used == NULL)
        return;
    xmlNode *node = findings_child(w, parent, "normal");
    findings_value(w, node, "value", used->normal, DECIMALS);
    findings_cite(w, node, used->source, &used->known, "source", "citation", "mark");
    findings_text(w, node, "kind", findings_norm_kind(used->kind));
    findings_number(w, node, "max-plausible", used->max_plausible, DECIMALS);
    findings_number(w, node, "hyper-ok", used->hyper_ok, DECIMALS);
}

static void compensations(struct writer *w, xmlNode *side, const struct compensation *known,
                          const char *typed, const char *kind)
{
    if (known == NULL && str_is_empty(typed))
        return;
    const char *id = known == NULL ? NULL : known->id;
    const char *see = known == NULL ? typed : known->what_you_see;
    for (xmlNode *old = side->children; old != NULL; old = old->next) {
        if (!xml_is(old, "compensation"))
            continue;
        const xmlChar *kinds = xmlHasProp(old, BAD_CAST "kind")->children->content;
        xmlAttr *mine = xmlHasProp(old, BAD_CAST(id == NULL ? "see" : "id"));
        const char *wanted = id == NULL ? see : id;
        if (mine != NULL && strcmp((const char *)kinds, kind) == 0 &&
            strcmp((const char *)mine->children->content, wanted) == 0)
            return;
    }
    xmlNode *node = findings_child(w, side, "compensation");
    findings_text(w, node, "id", id);
    findings_text(w, node, "kind", kind);
    findings_text(w, node, "see", see);
    if (known != NULL) {
        findings_text(w, node, "why", known->why);
        findings_text(w, node, "prevent", known->how_to_prevent);
        findings_text(w, node, "mark", known->known.mark);
    }
}

static void end_feel(struct writer *w, xmlNode *side, const struct finding *f)
{
    if (f->end_feel == END_FEEL_NONE)
        return;
    const struct goniometry *usual = f->motion->goniometry;
    xmlNode *node = findings_child(w, side, "end-feel");
    findings_text(w, node, "felt", end_feel_name(f->end_feel));
    if (usual != NULL && usual->end_feel != END_FEEL_NONE) {
        findings_text(w, node, "expected", end_feel_name(usual->end_feel));
        findings_yes_no(w, node, "unexpected", findings_end_feel_unexpected(f));
        findings_text(w, node, "reason", usual->end_feel_reason);
    }
}

/* Rows of one side of one motion element. */
static void side(struct writer *w, xmlNode *parent, const struct finding *const *rows, size_t n)
{
    xmlNode *node = findings_child(w, parent, "side");
    findings_text(w, node, "side", side_name(rows[0]->side));
    for (size_t i = 0; i < n; i++)
        findings_reading(w, node, rows[i]);
    for (size_t i = 0; i < n; i++)
        end_feel(w, node, rows[i]);
    for (size_t i = 0; i < n; i++) {
        const struct finding *f = rows[i];
        for (int k = 0; k < f->n_seen; k++)
            compensations(w, node, f->seen[k], f->seen_text[k], "seen");
        for (int k = 0; k < f->n_likely; k++)
            compensations(w, node, f->likely[k], NULL, "likely");
    }
}

/* The side that moves more; NULL when both move alike. The figures are those of a right row,
 * whose difference is right - left. */
static const char *larger_side(const struct finding *right)
{
    double difference = right->side_difference.value;
    if (difference == 0)
        return NULL;
    bool lower = right->normal != NULL && right->normal->lower_is_better;
    return side_name((difference > 0) != lower ? SIDE_RIGHT : SIDE_LEFT);
}

static void difference(struct writer *w, xmlNode *parent, const struct finding *right,
                       const struct finding *left)
{
    const char *larger = larger_side(right);
    const struct finding *less = str_eq(larger, side_name(SIDE_RIGHT)) ? left : right;
    xmlNode *node = findings_child(w, parent, "difference");
    findings_text(w, node, "test", test_name(right->test));
    findings_value(w, node, "deg", fabs(right->side_difference.value), DECIMALS);
    findings_number(w, node, "index", less->side_index_percent, DECIMALS);
    findings_tri(w, node, "beyond-error", right->side_beyond_error);
    findings_text(w, node, "larger", larger);
    findings_number(w, node, "error-limit", right->error.limit, DECIMALS);
    findings_text(w, node, "error-basis", rules_basis_name(right->error.basis));
}

static bool is_compared_today(const struct finding *f)
{
    return f->side_difference.has && !date_is_set(f->other_date);
}

static void differences(struct writer *w, xmlNode *parent, const struct finding *const *rows,
                        size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const struct finding *right = rows[i];
        if (right->side != SIDE_RIGHT || !is_compared_today(right))
            continue;
        for (size_t k = 0; k < n; k++) {
            const struct finding *left = rows[k];
            if (left->side == SIDE_LEFT && left->test == right->test && is_compared_today(left)) {
                difference(w, parent, right, left);
                break;
            }
        }
    }
}

static void motion_facts(struct writer *w, xmlNode *node, const struct finding *const *rows,
                         size_t n)
{
    const struct finding *f = rows[0];
    const struct motion *motion = f->motion;
    bool limited = false, strength = false, before = false;
    for (size_t i = 0; i < n; i++) {
        limited |= rows[i]->limited == LIMITED_YES;
        strength |= !findings_has_range(rows[i]);
        before |= rows[i]->timing == TIMING_BEFORE;
    }
    findings_text(w, node, "joint", motion->joint);
    findings_text(w, node, "motion", motion->motion);
    findings_text(w, node, "region", motion->region);
    findings_text(w, node, "plane", motion->plane);
    findings_positive(w, node, "digit", f->digit);
    findings_text(w, node, "position", f->position);
    if (is_after(f) || before)
        findings_text(w, node, "timing", timing_name(is_after(f) ? TIMING_AFTER : TIMING_BEFORE));
    findings_text(w, node, "unit", unit_name(motion->unit));
    if (motion->normal != NULL) {
        findings_yes_no(w, node, "zero-normal", findings_is_zero_normal(motion));
        findings_text(w, node, "better", motion->normal->lower_is_better ? "lower" : "higher");
    }
    findings_yes_no(w, node, "limited", limited);
    findings_yes_no(w, node, "has-strength", strength);
}

static void motion(struct writer *w, xmlNode *region, const struct finding *const *rows, size_t n)
{
    xmlNode *node = findings_child(w, region, "motion");
    motion_facts(w, node, rows, n);
    normal(w, node, rows, n);
    for (size_t from = 0, to; from < n; from = to) {
        for (to = from + 1; to < n && rows[to]->side == rows[from]->side;)
            to++;
        side(w, node, rows + from, to - from);
    }
    differences(w, node, rows, n);
}

void findings_regions(struct writer *w, xmlNode *root, const struct visit_findings *v)
{
    const struct finding **rows = mem_alloc(v->n_rows * sizeof *rows);
    for (size_t i = 0; i < v->n_rows; i++)
        rows[i] = &v->rows[i];
    qsort(rows, v->n_rows, sizeof *rows, by_row);
    xmlNode *region = NULL;
    const char *name = NULL;
    for (size_t from = 0, to; from < v->n_rows; from = to) {
        for (to = from + 1; to < v->n_rows && by_place(rows[to], rows[from]) == 0;)
            to++;
        if (region == NULL || !str_eq(name, rows[from]->motion->region)) {
            name = rows[from]->motion->region;
            region = findings_child(w, root, "region");
            findings_text(w, region, "name", name);
        }
        motion(w, region, rows + from, to - from);
    }
    free(rows);
}
