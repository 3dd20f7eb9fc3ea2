/*
 * What a document says otherwise than the one printed before it: recorded values alone, value by
 * value, old and new. What is reckoned from them or from the reference is not an amendment, and
 * neither is a signature. The chain of earlier amendments goes along, so that the last document
 * tells the whole history.
 */
#include "findings/findings_int.h"

#include <stdlib.h>
#include <string.h>

/* ---- facts of patient, visit and episode ---------------------------------------------------- */

/* `column` is where a correction of the fact is recorded. */
static const struct fact_place {
    const char *element, *attribute, *what, *column;
} fact_places[] = {
    {"visit", "kind", "visit-kind", "visit_kind"},
    {"patient", "name", "name", "name"},
    {"patient", "birth-date", "birth-date", "birth_date"},
    {"patient", "sex", "sex", "sex"},
    {"patient", "dominant-side", "dominant-side", "dominant_side"},
    {"patient", "affected-side", "affected-side", "affected_side"},
    {"patient", "body-mass", "body-mass", "body_mass_kg"},
    {"referrer", "name", "referrer", "referrer"},
    {"referrer", "address", "referrer-address", "referrer_address"},
    {"referrer", "reason", "referral-reason", "referral_reason"},
    {"episode", "diagnosis", "diagnosis", "diagnosis"},
    {"episode", "diagnosis-code", "diagnosis-code", "diagnosis_code"},
    {"episode", "onset-date", "onset-date", "onset_date"},
    {"episode", "surgery-date", "surgery-date", "surgery_date"},
    {"episode", "procedure", "procedure", "procedure"},
    {"episode", "weight-bearing", "weight-bearing", "weight_bearing"},
    {"episode", "treatment-day", "treatment-day", "treatment_day"},
    {"episode", "plan-start", "plan-start", "plan_start"},
    {"episode", "certified-on", "certified-on", "certified_on"},
    {"episode", "plan", "plan", "plan"},
    {"episode", "question", "question", "question_to_referrer"},
    {"episode", "protocol", "protocol", "protocol"},
    {"episode", "outcome-name", "outcome-name", "outcome_name"},
    {"episode", "outcome-score", "outcome-score", "outcome_score"},
};

/* ---- readings ------------------------------------------------------------------------------- */

/* Attributes of a reading that were recorded, beside its value. */
static const struct detail {
    const char *attribute, *what;
} details[] = {
    {"start", "start"}, {"tries-list", "tries"},     {"fixed", "fixed"},
    {"tool", "tool"},   {"technique", "technique"},  {"muscle", "muscle"},
    {"measured-by", "person"}, {"repetitions", "repetitions"},
};

struct reading {
    const char *kind;  /* active, passive, strength, force; side: end feel and what was seen */
    const char *joint, *motion, *digit, *position, *timing, *side, *person, *muscle;
    const xmlNode *at_motion, *at_side, *node;
    bool paired;
};

struct amending {
    struct writer w;
    xmlNode *root;
    struct arena *arena;
    const struct visit_findings *v;
    const xmlNode *before;
    struct reading *old, *now;
    size_t n_old, n_now;
    int number;        /* of the amendment in the making */
    bool same_people;  /* the people of both are the same: who measured what is told in detail */
    size_t n;          /* changes found */
};

static const char *attribute(struct amending *a, const xmlNode *node, const char *name)
{
    return node == NULL ? NULL : xml_attr(a->arena, node, name);
}

/* 0 where there is none. */
static int number_of(const char *text)
{
    double value;
    bool ok = text != NULL && num_parse(text, strlen(text), &value) && value >= 0 && value < 1e6;
    return ok ? (int)value : 0;
}

static void add_reading(struct amending *a, struct reading **list, size_t *n, size_t *cap,
                        const char *kind, const xmlNode *motion, const xmlNode *side,
                        const xmlNode *node)
{
    if (*n == *cap) {
        *cap = *cap == 0 ? 64 : *cap * 2;
        *list = mem_resize(*list, *cap * sizeof **list);
    }
    const char *position = attribute(a, motion, "position");
    (*list)[(*n)++] = (struct reading){
        .kind = kind,
        .joint = attribute(a, motion, "joint"),
        .motion = attribute(a, motion, "motion"),
        .digit = attribute(a, motion, "digit"),
        .position = position != NULL ? position : attribute(a, node, "position"),
        .timing = attribute(a, motion, "timing"),
        .side = attribute(a, side, "side"),
        .person = attribute(a, node, "measured-by"),
        .muscle = attribute(a, node, "muscle"),
        .at_motion = motion, .at_side = side, .node = node};
}

static size_t list_readings(struct amending *a, const xmlNode *root, struct reading **list)
{
    static const char *const kinds[] = {"active", "passive", "strength", "force"};
    size_t n = 0, cap = 0;
    *list = NULL;
    for (const xmlNode *r = xml_first(root, "region"); r != NULL; r = xml_next(r, "region"))
        for (const xmlNode *m = xml_first(r, "motion"); m != NULL; m = xml_next(m, "motion"))
            for (const xmlNode *s = xml_first(m, "side"); s != NULL; s = xml_next(s, "side")) {
                add_reading(a, list, &n, &cap, "side", m, s, s);
                for (size_t k = 0; k < ARRAY_LEN(kinds); k++)
                    for (const xmlNode *x = xml_first(s, kinds[k]); x != NULL;
                         x = xml_next(x, kinds[k]))
                        add_reading(a, list, &n, &cap, kinds[k], m, s, x);
            }
    return n;
}

static bool same_place(const struct reading *a, const struct reading *b)
{
    return str_eq(a->kind, b->kind) && str_eq(a->joint, b->joint) &&
           str_eq(a->motion, b->motion) && str_eq(a->digit, b->digit) &&
           str_eq(a->timing, b->timing) && str_eq(a->side, b->side);
}

/* The old reading that this one took the place of: the same in all, else in position, else the next
 * of its place. */
static struct reading *old_of(struct amending *a, const struct reading *now, int pass)
{
    for (size_t i = 0; i < a->n_old; i++) {
        struct reading *old = &a->old[i];
        bool position = str_eq(old->position, now->position);
        bool rest = str_eq(old->person, now->person) && str_eq(old->muscle, now->muscle);
        if (!old->paired && same_place(old, now) && (pass > 0 || (position && rest)) &&
            (pass > 1 || position))
            return old;
    }
    return NULL;
}

/* ---- who corrected it ----------------------------------------------------------------------- */

static bool has_correction(const struct measurement *m)
{
    return date_is_set(m->corrected_on) || m->corrected_by != NULL || m->correction_reason != NULL;
}

static bool is_of(const struct measurement *m, const struct reading *r, const char *test)
{
    return str_eq(m->motion->joint, r->joint) && str_eq(m->motion->motion, r->motion) &&
           str_eq(side_name(m->side), r->side) &&
           m->digit == number_of(r->digit) &&
           (test == NULL || str_eq(test_name(m->test), test));
}

static const struct visit *visit_on(const struct patient *p, const char *date)
{
    struct date d;
    for (size_t i = 0; date != NULL && date_parse_iso(date, &d) && i < p->n_visits; i++)
        if (date_compare(p->visits[i].date, d) == 0)
            return &p->visits[i];
    return NULL;
}

static void corrected(struct amending *a, xmlNode *node, struct date on, const char *by,
                      const char *reason)
{
    findings_date(&a->w, node, "corrected-on", on);
    findings_text(&a->w, node, "corrected-by", by);
    findings_text(&a->w, node, "reason", reason);
}

static void reading_correction(struct amending *a, xmlNode *node, const struct reading *r,
                               const char *test, const struct visit *v)
{
    for (size_t i = 0; v != NULL && i < v->n_measurements; i++) {
        const struct measurement *m = &v->measurements[i];
        if (!has_correction(m) || !is_of(m, r, test))
            continue;
        corrected(a, node, m->corrected_on, m->corrected_by, m->correction_reason);
        return;
    }
}

static void fact_correction(struct amending *a, xmlNode *node, const char *column)
{
    const struct patient *p = a->v->patient;
    for (size_t i = 0; i < p->n_corrections; i++) {
        const struct correction *c = &p->corrections[i];
        bool here = !date_is_set(c->visit) || date_compare(c->visit, a->v->visit->date) == 0;
        if (!here || !str_eq(c->column, column))
            continue;
        corrected(a, node, c->on, c->by, c->reason);
        return;
    }
}

/* ---- one change ----------------------------------------------------------------------------- */

struct change {
    const char *what, *old, *now;
    const char *old_status, *new_status; /* where a value is not simply measured */
    const char *date;                    /* of the visit the value is from, if not of this one */
};

static xmlNode *add_change(struct amending *a, const struct change *c)
{
    xmlNode *node = findings_child(&a->w, a->root, "amended");
    findings_positive(&a->w, node, "number", a->number);
    findings_text(&a->w, node, "what", c->what);
    a->n++;
    return node;
}

static void add_values(struct amending *a, xmlNode *node, const struct change *c)
{
    findings_text(&a->w, node, "date", c->date);
    findings_text(&a->w, node, "old", c->old);
    findings_text(&a->w, node, "old-status", c->old_status);
    findings_text(&a->w, node, "new", c->now);
    findings_text(&a->w, node, "new-status", c->new_status);
}

static void fact_change(struct amending *a, struct change c, const char *column)
{
    if (str_eq(c.old, c.now))
        return;
    xmlNode *node = add_change(a, &c);
    add_values(a, node, &c);
    fact_correction(a, node, column);
}

static void reading_change(struct amending *a, const struct reading *r, struct change c)
{
    if (str_eq(c.old, c.now) && str_eq(c.old_status, c.new_status))
        return;
    const char *test = attribute(a, r->node, "test");
    xmlNode *node = add_change(a, &c);
    findings_text(&a->w, node, "joint", r->joint);
    findings_text(&a->w, node, "motion", r->motion);
    findings_text(&a->w, node, "side", r->side);
    findings_text(&a->w, node, "digit", r->digit);
    findings_text(&a->w, node, "test", test);
    findings_text(&a->w, node, "position", r->position);
    findings_text(&a->w, node, "timing", r->timing);
    findings_text(&a->w, node, "unit", attribute(a, r->at_motion, "unit"));
    findings_text(&a->w, node, "zero-normal", attribute(a, r->at_motion, "zero-normal"));
    add_values(a, node, &c);
    reading_correction(a, node, r, test,
                       c.date == NULL ? a->v->visit : visit_on(a->v->patient, c.date));
}

/* ---- one reading against the one before ----------------------------------------------------- */

static const char *value_name(const struct reading *r)
{
    return str_eq(r->kind, "strength") ? "grade" : str_eq(r->kind, "force") ? "newton" : "end";
}

/* "measured" is what a value is when nothing is said; a reading that is not there was not
 * recorded. */
static const char *status_of(struct amending *a, const xmlNode *node)
{
    const char *status = attribute(a, node, "status");
    return status == NULL ? "not-recorded" : strcmp(status, "measured") == 0 ? NULL : status;
}

static const char *joined(struct amending *a, const char *low, const char *high)
{
    if (low == NULL || high == NULL)
        return low;
    return arena_printf(a->arena, "%s-%s", low, high);
}

static const char *pain_of(struct amending *a, const xmlNode *node)
{
    const char *score =
        joined(a, attribute(a, node, "pain-low"), attribute(a, node, "pain-high"));
    return score != NULL ? score : attribute(a, node, "pain");
}

static const char *pain_arc_of(struct amending *a, const xmlNode *node)
{
    return joined(a, attribute(a, node, "pain-from"), attribute(a, node, "pain-to"));
}

static const xmlNode *change_since(struct amending *a, const xmlNode *reading, const char *since)
{
    const xmlNode *c = reading == NULL ? NULL : xml_first(reading, "change");
    while (c != NULL && !str_eq(attribute(a, c, "since"), since))
        c = xml_next(c, "change");
    return c;
}

/* Values of other days that the document prints beside today's. */
static void earlier_values(struct amending *a, const struct reading *r, const xmlNode *old)
{
    static const char *const since[] = {"previous", "first"};
    for (size_t i = 0; i < ARRAY_LEN(since); i++) {
        const xmlNode *was = change_since(a, old, since[i]);
        const xmlNode *is = change_since(a, r->node, since[i]);
        const char *date = attribute(a, is != NULL ? is : was, "date");
        reading_change(a, r, (struct change){.what = "earlier", .date = date,
                                             .old = attribute(a, was, "value"),
                                             .now = attribute(a, is, "value")});
    }
    const char *was_on = attribute(a, old, "other-date"), *on = attribute(a, r->node, "other-date");
    if (was_on != NULL || on != NULL)
        reading_change(a, r,
                       (struct change){.what = "other-side", .date = on != NULL ? on : was_on,
                                       .old = was_on ? attribute(a, old, "other") : NULL,
                                       .now = on ? attribute(a, r->node, "other") : NULL});
}

static void aims(struct amending *a, const struct reading *r, const xmlNode *old)
{
    static const struct {
        const char *element, *attribute, *what;
    } places[] = {{"goal", "value", "goal"},         {"goal", "due", "goal-due"},
                  {"goal", "activity", "goal-activity"},
                  {"goal", "given-baseline", "goal-baseline"},
                  {"limit", "kind", "limit-kind"},   {"limit", "value", "limit"},
                  {"limit", "until", "limit-until"}, {"limit", "by", "limit-by"}};
    for (size_t i = 0; i < ARRAY_LEN(places); i++) {
        const xmlNode *was = old == NULL ? NULL : xml_first(old, places[i].element);
        const xmlNode *is = xml_first(r->node, places[i].element);
        reading_change(a, r, (struct change){.what = places[i].what,
                                             .old = attribute(a, was, places[i].attribute),
                                             .now = attribute(a, is, places[i].attribute)});
    }
}

static const char *felt(struct amending *a, const xmlNode *side)
{
    const xmlNode *node = side == NULL ? NULL : xml_first(side, "end-feel");
    return attribute(a, node, "felt");
}

static const char *seen(struct amending *a, const xmlNode *side)
{
    struct buf all;
    buf_init(&all, SCRATCH_MAX);
    const xmlNode *c = side == NULL ? NULL : xml_first(side, "compensation");
    for (; c != NULL; c = xml_next(c, "compensation"))
        if (str_eq(attribute(a, c, "kind"), "seen"))
            buf_addf(&all, "%s%s", all.len > 0 ? "; " : "", attribute(a, c, "see"));
    const char *text = all.len > 0 ? arena_strdup(a->arena, buf_text(&all)) : NULL;
    buf_release(&all);
    return text;
}

/* `old` is the node before, NULL when there was none. */
static void compare(struct amending *a, const struct reading *r, const xmlNode *old)
{
    if (str_eq(r->kind, "side")) {
        reading_change(a, r, (struct change){.what = "end-feel", .old = felt(a, old),
                                             .now = felt(a, r->node)});
        reading_change(a, r, (struct change){.what = "compensation", .old = seen(a, old),
                                             .now = seen(a, r->node)});
        return;
    }
    const char *name = value_name(r);
    reading_change(a, r, (struct change){.what = name, .old = attribute(a, old, name),
                                         .now = attribute(a, r->node, name),
                                         .old_status = status_of(a, old),
                                         .new_status = status_of(a, r->node)});
    for (size_t i = 0; old != NULL && i < ARRAY_LEN(details); i++) {
        if (strcmp(details[i].what, "person") == 0 && !a->same_people)
            continue;
        reading_change(a, r, (struct change){.what = details[i].what,
                                             .old = attribute(a, old, details[i].attribute),
                                             .now = attribute(a, r->node, details[i].attribute)});
    }
    reading_change(a, r, (struct change){.what = "pain", .old = pain_of(a, old),
                                         .now = pain_of(a, r->node)});
    reading_change(a, r, (struct change){.what = "pain-arc", .old = pain_arc_of(a, old),
                                         .now = pain_arc_of(a, r->node)});
    if (old != NULL)
        earlier_values(a, r, old);
    aims(a, r, old);
}

static void position_change(struct amending *a, const struct reading *old,
                            const struct reading *now)
{
    /* The sides of a motion say it once more than its readings do. */
    if (!str_eq(now->kind, "side"))
        reading_change(a, now, (struct change){.what = "position", .old = old->position,
                                               .now = now->position});
}

static void compare_readings(struct amending *a)
{
    struct reading **match = mem_alloc((a->n_now + 1) * sizeof *match);
    for (int pass = 0; pass < 3; pass++)
        for (size_t i = 0; i < a->n_now; i++) {
            if (match[i] == NULL && (match[i] = old_of(a, &a->now[i], pass)) != NULL)
                match[i]->paired = true;
        }
    for (size_t i = 0; i < a->n_now; i++) {
        if (match[i] != NULL)
            position_change(a, match[i], &a->now[i]);
        compare(a, &a->now[i], match[i] != NULL ? match[i]->node : NULL);
    }
    for (size_t i = 0; i < a->n_old; i++) {
        const struct reading *r = &a->old[i];
        if (r->paired || str_eq(r->kind, "side"))
            continue;
        reading_change(a, r, (struct change){.what = value_name(r),
                                             .old = attribute(a, r->node, value_name(r)),
                                             .old_status = status_of(a, r->node),
                                             .new_status = "not-recorded"});
    }
    free(match);
}

/* ---- the document --------------------------------------------------------------------------- */

static const char *people_of(struct amending *a, const xmlNode *root)
{
    struct buf all;
    buf_init(&all, SCRATCH_MAX);
    const xmlNode *p = xml_first(root, "measured-by");
    for (; p != NULL; p = xml_next(p, "measured-by")) {
        const char *name = attribute(a, p, "name");
        const char *supervisor = attribute(a, p, "supervisor");
        if (name == NULL)
            name = attribute(a, p, "role");
        if (name != NULL)
            buf_addf(&all, "%s%s", all.len > 0 ? ", " : "", name);
        if (name != NULL && supervisor != NULL)
            buf_addf(&all, " / %s", supervisor);
    }
    const char *text = all.len > 0 ? arena_strdup(a->arena, buf_text(&all)) : NULL;
    buf_release(&all);
    return text;
}

static void compare_facts(struct amending *a)
{
    for (size_t i = 0; i < ARRAY_LEN(fact_places); i++) {
        const struct fact_place *f = &fact_places[i];
        bool of_root = strcmp(f->element, "visit") == 0;
        const xmlNode *was = of_root ? a->before : xml_first(a->before, f->element);
        const xmlNode *is = of_root ? a->root : xml_first(a->root, f->element);
        fact_change(a, (struct change){.what = f->what, .old = attribute(a, was, f->attribute),
                                       .now = attribute(a, is, f->attribute)}, f->column);
    }
    static const char *const pains[][3] = {{"pain-rest", "pain-rest-high", "pain_rest"},
                                           {"pain-move", "pain-move-high", "pain_move"}};
    const xmlNode *was = xml_first(a->before, "episode"), *is = xml_first(a->root, "episode");
    for (size_t i = 0; i < ARRAY_LEN(pains); i++)
        fact_change(a, (struct change){.what = pains[i][0],
                                       .old = joined(a, attribute(a, was, pains[i][0]),
                                                     attribute(a, was, pains[i][1])),
                                       .now = joined(a, attribute(a, is, pains[i][0]),
                                                     attribute(a, is, pains[i][1]))},
                    pains[i][2]);
    /* An age is a fact of its own only where it was typed. */
    was = xml_first(a->before, "patient");
    is = xml_first(a->root, "patient");
    if (attribute(a, was, "birth-date") == NULL && attribute(a, is, "birth-date") == NULL)
        fact_change(a, (struct change){.what = "age", .old = attribute(a, was, "age"),
                                       .now = attribute(a, is, "age")}, "age");
    const char *people_were = people_of(a, a->before), *people_are = people_of(a, a->root);
    a->same_people = str_eq(people_were, people_are);
    fact_change(a, (struct change){.what = "people", .old = people_were, .now = people_are},
                "measured_by");
}

/* The amendments printed so far, as they were printed. */
static int copy_chain(struct amending *a)
{
    static const char *const names[] = {
        "number", "what", "joint", "motion", "side", "digit", "test", "position", "timing",
        "unit", "zero-normal", "date", "old", "old-status", "new", "new-status", "corrected-on",
        "corrected-by", "reason"};
    int last = 0;
    for (const xmlNode *c = xml_first(a->before, "amended"); c != NULL;
         c = xml_next(c, "amended")) {
        xmlNode *node = findings_child(&a->w, a->root, "amended");
        for (size_t i = 0; i < ARRAY_LEN(names); i++)
            findings_text(&a->w, node, names[i], attribute(a, c, names[i]));
        int number = number_of(attribute(a, c, "number"));
        last = number > last ? number : last;
    }
    return last;
}

int findings_amend(struct _xmlDoc *now, const struct _xmlDoc *before,
                   const struct visit_findings *v, bool *changed)
{
    struct amending a = {.arena = arena_new(), .v = v, .root = xmlDocGetRootElement(now),
                         .before = xmlDocGetRootElement((xmlDoc *)(uintptr_t)before)};
    findings_resume(&a.w, now);
    int last = copy_chain(&a);
    a.number = last + 1;
    compare_facts(&a);
    a.n_old = list_readings(&a, a.before, &a.old);
    a.n_now = list_readings(&a, a.root, &a.now);
    compare_readings(&a);
    int number = a.n > 0 ? a.number : last;
    findings_positive(&a.w, a.root, "amendment", number);
    *changed = a.n > 0;
    free(a.old);
    free(a.now);
    arena_free(a.arena);
    (void)findings_end(&a.w);
    return number;
}
