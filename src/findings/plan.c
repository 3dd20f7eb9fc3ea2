/*
 * A plan as a document: what is on file against it, what to screen first, and stay by stay what to
 * examine. Neighbours in the order of examination that are of one motion and one sort (range or
 * strength) are one row with a slot a digit and side and a box a test; rows of one sort are a run.
 * Nothing is put in another order here.
 */
#include "findings/findings_int.h"

#include <string.h>

static bool is_strength(const struct plan_item *x)
{
    return x->test == PLAN_MMT;
}

static void name(struct writer *w, xmlNode *node, const struct motion *m, enum side side, int digit,
                 enum plan_test test)
{
    findings_text(w, node, "joint", m->joint);
    findings_text(w, node, "motion", m->motion);
    findings_text(w, node, "side", side_name(side));
    findings_positive(w, node, "digit", digit);
    findings_text(w, node, "test", plan_test_name(test));
}

/* ---- what stands before the first test ------------------------------------------------------- */

static const char *kind_of(enum plan_caution_kind kind)
{
    static const char *const names[] = {"do-not-test", "with-care", "stop"};
    return names[kind];
}

static void caution(struct writer *w, xmlNode *root, const struct findings_plan *f,
                    const struct plan_caution *c)
{
    xmlNode *node = findings_child(w, root, "caution");
    findings_text(w, node, "id", c->id);
    findings_text(w, node, "kind", kind_of(c->kind));
    findings_text(w, node, "condition", c->condition);
    findings_text(w, node, "message", c->message);
    findings_text(w, node, "mark", c->mark);
    for (size_t i = 0; i < f->request->n_conditions; i++) {
        const struct plan_condition *on_file = &f->request->conditions[i];
        if (on_file->caution != c)
            continue;
        xmlNode *at = findings_child(w, node, "at");
        findings_text(w, at, "joint", on_file->joint);
        findings_text(w, at, "side", side_name(on_file->side));
    }
}

static void omission(struct writer *w, xmlNode *root, const struct plan_omission *o)
{
    static const char *const reasons[] = {"caution", "position", "passive-in-standing"};
    xmlNode *node = findings_child(w, root, "omitted");
    name(w, node, o->motion, o->side, o->digit, o->test);
    findings_text(w, node, "reason", reasons[o->reason]);
    findings_text(w, node, "text", plan_reason_text(o));
    if (o->caution != NULL)
        findings_text(w, node, "caution", o->caution->id);
}

/* ---- a row ----------------------------------------------------------------------------------- */

static void end_feels(struct writer *w, xmlNode *node, const struct goniometry *g)
{
    struct buf also;
    buf_init(&also, 1 << 10);
    findings_text(w, node, "end-feel", end_feel_name(g->end_feel));
    for (int e = END_FEEL_NONE + 1; e < END_FEEL_COUNT; e++)
        if ((g->end_feel_also & (1u << e)) != 0)
            buf_addf(&also, "%s%s", also.len > 0 ? " " : "", end_feel_name((enum end_feel)e));
    findings_text(w, node, "end-feel-also", buf_text(&also));
    findings_text(w, node, "end-feel-reason", g->end_feel_reason);
    buf_release(&also);
}

static void range(struct writer *w, xmlNode *node, const struct plan_item *x)
{
    const struct goniometry *g = x->goniometry;
    if (x->normal != NULL) {
        findings_value(w, node, "normal", x->normal->normal, DECIMALS);
        findings_text(w, node, "better", x->normal->lower_is_better ? "lower" : "higher");
        findings_cite(w, node, x->normal->source, &x->normal->known, "normal-source", NULL,
                      "normal-mark");
    }
    if (g == NULL)
        return;
    findings_text(w, node, "plane", g->plane);
    findings_text(w, node, "fulcrum", g->fulcrum);
    findings_text(w, node, "stationary-arm", g->stationary_arm);
    findings_text(w, node, "moving-arm", g->moving_arm);
    findings_text(w, node, "stabilise", g->stabilize);
    findings_text(w, node, "instrument", g->instrument);
    findings_text(w, node, "mark", g->known.mark);
    end_feels(w, node, g);
}

static void strength(struct writer *w, xmlNode *node, const struct plan_item *x)
{
    const struct muscle_test *m = x->muscle_test;
    findings_text(w, node, "if-weak", x->if_weak);
    if (m == NULL)
        return;
    findings_text(w, node, "muscles", m->prime_movers);
    findings_text(w, node, "resistance-at", m->resistance_at);
    findings_text(w, node, "resistance-direction", m->resistance_direction);
    findings_text(w, node, "stabilise", m->stabilize);
    findings_text(w, node, "palpate", m->palpate_for_trace);
    findings_text(w, node, "mark", m->known.mark);
}

static xmlNode *row(struct writer *w, xmlNode *run, const struct plan_item *x)
{
    xmlNode *node = findings_child(w, run, "row");
    findings_text(w, node, "joint", x->motion->joint);
    findings_text(w, node, "motion", x->motion->motion);
    findings_text(w, node, "unit", is_strength(x) ? "" : unit_name(x->motion->unit));
    findings_text(w, node, "how", x->how);
    findings_text(w, node, "how-mark", x->how_mark);
    findings_yes(w, node, "other-position", x->other_position);
    findings_yes(w, node, "provoking", x->provoking);
    if (is_strength(x))
        strength(w, node, x);
    else
        range(w, node, x);
    for (size_t i = 0; i < x->n_compensations; i++) {
        const struct compensation *c = x->compensations[i];
        xmlNode *child = findings_child(w, node, "compensation");
        findings_text(w, child, "id", c->id);
        findings_text(w, child, "see", c->what_you_see);
        findings_text(w, child, "why", c->why);
        findings_text(w, child, "prevent", c->how_to_prevent);
        findings_text(w, child, "mark", c->known.mark);
    }
    return node;
}

/* ---- words of cautions in a row, with the tests and sides they are for ----------------------- */

static bool has_care(const struct plan_item *x, const struct plan_caution *c)
{
    for (size_t i = 0; i < x->n_cares; i++)
        if (x->cares[i] == c)
            return true;
    return false;
}

static void add_word(struct buf *list, const char *word)
{
    if (word[0] != '\0' && strstr(buf_text(list), word) == NULL)
        buf_addf(list, "%s%s", list->len > 0 ? " " : "", word);
}

static void cares(struct writer *w, xmlNode *row, const struct plan *plan, size_t first, size_t end)
{
    for (size_t c = 0; c < plan->n_cautions; c++) {
        struct buf tests, sides;
        buf_init(&tests, 1 << 10);
        buf_init(&sides, 1 << 10);
        for (size_t i = first; i < end; i++) {
            const struct plan_item *x = &plan->items[i];
            if (!has_care(x, plan->cautions[c]))
                continue;
            add_word(&tests, plan_test_name(x->test));
            add_word(&sides, side_name(x->side));
        }
        if (tests.len > 0) {
            xmlNode *node = findings_child(w, row, "care");
            findings_text(w, node, "caution", plan->cautions[c]->id);
            findings_text(w, node, "message", plan->cautions[c]->message);
            findings_text(w, node, "tests", buf_text(&tests));
            findings_text(w, node, "sides", buf_text(&sides));
        }
        buf_release(&tests);
        buf_release(&sides);
    }
}

/* A line of boxes a digit and side, in the order of the tests. */
static void slots(struct writer *w, xmlNode *row, const struct plan *plan, size_t first, size_t end)
{
    for (size_t i = first; i < end; i++) {
        const struct plan_item *x = &plan->items[i];
        bool is_new = true;
        for (size_t k = first; k < i; k++)
            is_new = is_new && (plan->items[k].side != x->side || plan->items[k].digit != x->digit);
        if (!is_new)
            continue;
        struct buf name;
        buf_init(&name, 1 << 10);
        if (x->digit > 0)
            buf_addf(&name, "%d ", x->digit);
        buf_adds(&name, side_name(x->side));
        xmlNode *node = findings_child(w, row, "slot");
        findings_text(w, node, "name", buf_text(&name));
        findings_text(w, node, "side", side_name(x->side));
        findings_positive(w, node, "digit", x->digit);
        buf_release(&name);
    }
}

/* ---- stays ----------------------------------------------------------------------------------- */

struct place {
    xmlNode *stay, *run, *row;
};

static xmlNode *stay(struct writer *w, xmlNode *root, const struct plan_item *x)
{
    xmlNode *node = findings_child(w, root, "stay");
    findings_count(w, node, "n", (long)x->block + 1);
    findings_text(w, node, "position", plan_position_name(x->position));
    if (x->position == PLAN_LYING_LEFT)
        findings_text(w, node, "lying-on", "left");
    if (x->position == PLAN_LYING_RIGHT)
        findings_text(w, node, "lying-on", "right");
    return node;
}

static bool same_run(const struct plan_item *a, const struct plan_item *b)
{
    return a->block == b->block && is_strength(a) == is_strength(b);
}

static bool same_row(const struct plan_item *a, const struct plan_item *b)
{
    return same_run(a, b) && a->motion == b->motion && a->other_position == b->other_position &&
           a->provoking == b->provoking;
}

static void item(struct writer *w, xmlNode *root, const struct findings_plan *f, struct place *p,
                 size_t i)
{
    const struct plan *plan = f->plan;
    const struct plan_item *x = &plan->items[i], *before = i > 0 ? x - 1 : NULL;
    bool new_row = before == NULL || !same_row(before, x);
    if (before == NULL || before->block != x->block)
        p->stay = stay(w, root, x);
    if (before == NULL || !same_run(before, x)) {
        p->run = findings_child(w, p->stay, "run");
        findings_text(w, p->run, "kind", is_strength(x) ? "strength" : "range");
    }
    if (new_row) {
        size_t end = i + 1;
        while (end < plan->n_items && same_row(x, &plan->items[end]))
            end++;
        p->row = row(w, p->run, x);
        cares(w, p->row, plan, i, end);
        slots(w, p->row, plan, i, end);
    }
    xmlNode *box = findings_child(w, p->row, "box");
    findings_text(w, box, "test", plan_test_name(x->test));
    findings_text(w, box, "side", side_name(x->side));
    findings_positive(w, box, "digit", x->digit);
    findings_count(w, box, "tries", is_strength(x) ? 1 : f->tries);
}

struct _xmlDoc *findings_plan_document(const struct findings_plan *f)
{
    struct writer w;
    const struct plan *plan = f->plan;
    struct place place = {0};
    xmlNode *root = findings_begin(&w, "plan");
    findings_text(&w, root, "version", f->program_version);
    findings_text(&w, root, "patient", f->patient);
    findings_date(&w, root, "date", f->date);
    findings_text(&w, root, "measured-by", f->measured_by);
    findings_count(&w, root, "tries", f->tries);
    findings_count(&w, root, "items", (long)plan->n_items);
    findings_count(&w, root, "changes", (long)plan->n_changes);
    findings_text(&w, root, "involved", side_name(f->request->involved));
    findings_value(&w, root, "tolerance", f->clinic->tolerance_deg, DECIMALS);
    findings_text(&w, root, "mark", plan_position_mark());
    findings_clinic(&w, root, f->clinic);
    for (size_t i = 0; i < f->n_asked; i++)
        findings_text(&w, findings_child(&w, root, "asked"), "name", f->asked[i]);
    for (size_t i = 0; i < plan->n_cautions; i++)
        caution(&w, root, f, plan->cautions[i]);
    for (size_t i = 0; i < plan->n_screens; i++)
        findings_text(&w, findings_child(&w, root, "screen"), "joint", plan->screens[i]);
    for (size_t i = 0; i < plan->n_items; i++)
        item(&w, root, f, &place, i);
    for (size_t i = 0; i < plan->n_omitted; i++)
        omission(&w, root, &plan->omitted[i]);
    findings_sources(&w, root);
    return findings_end(&w);
}
