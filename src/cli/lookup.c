/*
 * endfeel lookup: the entry of a motion in the reference library, every figure with its source and
 * the mark of how it is known; or the motions of a joint; or what there is.
 */
#include "cli/cli_int.h"

#include <stdlib.h>
#include <string.h>

/* What is being printed, and the sources met on the way. */
struct entry {
    const struct reference *ref;
    struct arena *arena;
    struct buf *out;
    bool *used; /* by place in reference_source_at() */
};

/* "id" or "id, mark", and remembers the source. */
static const char *source_text(struct entry *p, const struct source *source, struct known known)
{
    for (size_t i = 0; i < reference_source_count(p->ref); i++)
        if (reference_source_at(p->ref, i) == source)
            p->used[i] = true;
    return arena_printf(p->arena, "%s%s%s", source->id, str_is_empty(known.mark) ? "" : ", ",
                        str_is_empty(known.mark) ? "" : known.mark);
}

static const char *number(struct entry *p, double value)
{
    return arena_printf(p->arena, "%.10g", value);
}

static void mark(struct entry *p, struct known known)
{
    cli_text_field(p->out, "known by", str_is_empty(known.mark) ? "seen" : known.mark);
}

/* ---- normal values --------------------------------------------------------------------------- */

static const char *ages(struct entry *p, const struct norm *n)
{
    const double oldest = 120;
    if (n->age_min <= 0 && n->age_max >= oldest)
        return "any age";
    if (n->age_max >= oldest)
        return arena_printf(p->arena, "from %g years", n->age_min);
    return arena_printf(p->arena, "%g-%g years", n->age_min, n->age_max);
}

static const char *spread(struct entry *p, const struct norm *n)
{
    const char *text = "";
    if (n->sd.has)
        text = arena_printf(p->arena, " (SD %s)", number(p, n->sd.value));
    if (n->ci95_low.has)
        text = arena_printf(p->arena, "%s (95%% interval of the mean %s to %s)", text,
                            number(p, n->ci95_low.value), number(p, n->ci95_high.value));
    if (n->range_low.has)
        text = arena_printf(p->arena, "%s (%s %s to %s)", text, n->range_kind,
                            number(p, n->range_low.value), number(p, n->range_high.value));
    return text;
}

static void norm(struct entry *p, const struct norm *n)
{
    static const char *const roles[] = {"default", "alt", "stratum", "special"};
    static const char *const kinds[] = {"handbook", "legal", "population", "study"};
    static const char *const modes[] = {"mode not stated", "active", "passive"};
    static const char *const sexes[] = {"both sexes", "women", "men", "other"};
    const char *text = arena_printf(
        p->arena, "%s %s%s: %s, %s, %s, %s, %s%s%s%s%s%s [%s]", number(p, n->normal),
        unit_name(n->unit), spread(p, n), roles[n->role], kinds[n->kind], ages(p, n), sexes[n->sex],
        modes[n->mode], n->side == SIDE_NONE ? "" : ", ", side_name(n->side),
        n->n.has ? ", n " : "", n->n.has ? number(p, n->n.value) : "",
        str_is_empty(n->qualifier) ? "" : arena_printf(p->arena, "; %s", n->qualifier),
        source_text(p, n->source, n->known));
    if (!str_is_empty(n->note))
        text = arena_printf(p->arena, "%s %s", text, n->note);
    cli_text_line(p->out, 2, text);
}

static void norms(struct entry *p, const struct motion *m, bool peers)
{
    bool any = false;
    for (size_t i = 0; i < m->n_norms; i++) {
        if ((m->norms[i].role == NORM_STRATUM) != peers)
            continue;
        if (!any)
            cli_text_heading(p->out, peers ? "Peers" : "Normal values");
        any = true;
        norm(p, &m->norms[i]);
    }
}

/* ---- measurement error ------------------------------------------------------------------------
 */

static bool is_error_of(const struct error_row *e, const struct motion *m)
{
    return (e->joint == NULL || str_eq(e->joint, m->joint)) &&
           (e->motion == NULL || str_eq(e->motion, m->motion));
}

static const char *figure(struct entry *p, const char *name, struct num value)
{
    return value.has ? arena_printf(p->arena, " %s %s,", name, number(p, value.value)) : "";
}

/* A rule of thumb is no detectable change, and is not called one. */
static void error(struct entry *p, const struct error_row *e)
{
    static const char *const modes[] = {"", "active, ", "passive, "};
    const char *tool = instrument_name(e->instrument);
    const char *mdc95 = e->rule_of_thumb ? "rule of thumb" : e->derived ? "derived MDC95" : "MDC95";
    cli_text_line(p->out, 2,
                  arena_printf(p->arena, "%s, %s%s%s%s%s%s%s in %s%s%s%s%s [%s]",
                               e->inter ? "two raters" : "one rater", modes[e->mode], tool,
                               str_is_empty(tool) ? "" : ",", figure(p, "SEM", e->sem),
                               figure(p, "MDC90", e->mdc90), figure(p, mdc95, e->mdc95),
                               figure(p, "ICC", e->icc), unit_name(e->unit),
                               str_is_empty(e->population) ? "" : "; ", e->population,
                               str_is_empty(e->n) ? "" : "; n ", e->n,
                               source_text(p, e->source, e->known)));
}

static void errors(struct entry *p, const struct motion *m)
{
    size_t n;
    const struct error_row *all = reference_errors(p->ref, &n);
    cli_text_heading(p->out, "Measurement error");
    for (size_t i = 0; i < n; i++)
        if (is_error_of(&all[i], m))
            error(p, &all[i]);
}

/* ---- how it is measured and tested --------------------------------------------------------------
 */

static void goniometry(struct entry *p, const struct goniometry *g)
{
    const char *also = end_feel_name(g->end_feel);
    for (int feel = END_FEEL_SOFT; feel < END_FEEL_COUNT; feel++)
        if ((g->end_feel_also & 1u << feel) != 0)
            also = arena_printf(p->arena, "%s, also %s", also, end_feel_name((enum end_feel)feel));
    cli_text_heading(p->out, "Measuring");
    cli_text_field(p->out, "position",
                   arena_printf(p->arena, "%s. %s", g->position, g->position_detail));
    cli_text_field(p->out, "tool", g->instrument);
    cli_text_field(p->out, "fulcrum", g->fulcrum);
    cli_text_field(p->out, "stationary arm", g->stationary_arm);
    cli_text_field(p->out, "moving arm", g->moving_arm);
    cli_text_field(p->out, "stabilize", g->stabilize);
    cli_text_field(p->out, "end feel", also);
    cli_text_field(p->out, "because", g->end_feel_reason);
    cli_text_field(p->out, "note", g->note);
    mark(p, g->known);
}

static void notation(struct entry *p, const struct motion *m)
{
    const struct notation *n = m->notation;
    const char *first = m->motion, *last = m->opposite->motion;
    if (n->place == NOTATION_LEFT_FIRST) {
        first = "left";
        last = "right";
    } else if (n->place == NOTATION_LAST) {
        first = last;
        last = m->motion;
    }
    cli_text_heading(p->out, "Neutral-zero notation");
    cli_text_line(p->out, 2,
                  arena_printf(p->arena, "%s: %s, zero, %s [%s]", n->plane, first, last,
                               source_text(p, n->source, n->known)));
}

static void muscle_test(struct entry *p, const struct muscle_test *t)
{
    static const char *const rules[] = {"applies", "ignored for this motion",
                                        "has a rule of its own"};
    cli_text_heading(p->out, "Muscle test");
    cli_text_field(p->out, "prime movers", t->prime_movers);
    cli_text_field(p->out, "nerve", t->nerve);
    cli_text_field(p->out, "roots", t->roots);
    cli_text_field(p->out, "against gravity",
                   arena_printf(p->arena, "%s. %s", t->position_against_gravity, t->detail));
    cli_text_field(
        p->out, "gravity minimised",
        arena_printf(p->arena, "%s. %s", t->position_gravity_minimized, t->detail_minimized));
    cli_text_field(p->out, "gravity", rules[t->gravity_rule]);
    cli_text_field(p->out, "resistance at", t->resistance_at);
    cli_text_field(p->out, "resistance", t->resistance_direction);
    cli_text_field(p->out, "stabilize", t->stabilize);
    cli_text_field(p->out, "palpate for a trace", t->palpate_for_trace);
    cli_text_field(p->out, "note", t->note);
    mark(p, t->known);
}

static void compensation(struct entry *p, const struct compensation *c)
{
    cli_text_line(p->out, 2,
                  arena_printf(p->arena, "%s (%s%s%s): %s%s%s", c->id, c->in_rom ? "range" : "",
                               c->in_rom && c->in_mmt ? " and " : "", c->in_mmt ? "strength" : "",
                               c->what_you_see,
                               c->typical_deficit.has ? "; usual from a loss of " : "",
                               c->typical_deficit.has ? number(p, c->typical_deficit.value) : ""));
    if (!str_is_empty(c->why))
        cli_text_line(p->out, 6, arena_printf(p->arena, "why: %s", c->why));
    if (!str_is_empty(c->how_to_prevent))
        cli_text_line(p->out, 6, arena_printf(p->arena, "to prevent: %s", c->how_to_prevent));
    if (!str_is_empty(c->known.mark))
        cli_text_line(p->out, 6, arena_printf(p->arena, "known by: %s", c->known.mark));
}

static void compensations(struct entry *p, const struct motion *m)
{
    if (m->n_compensations > 0)
        cli_text_heading(p->out, "Compensations");
    for (size_t i = 0; i < m->n_compensations; i++)
        compensation(p, &m->compensations[i]);
}

/* ---- what hangs on it
 * ----------------------------------------------------------------------------- */

static void activities(struct entry *p, const struct motion *m)
{
    size_t n;
    bool any = false;
    const struct demand *d = reference_demands(p->ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (d[i].motion != m || d[i].role != DEMAND_DEFAULT)
            continue;
        if (!any)
            cli_text_heading(p->out, "Activities");
        any = true;
        cli_text_line(p->out, 2,
                      arena_printf(p->arena, "%s %s%s%s%s%s: %s (%s) [%s]", number(p, d[i].needed),
                                   unit_name(d[i].unit), d[i].from.has ? " from " : "",
                                   d[i].from.has ? number(p, d[i].from.value) : "",
                                   str_is_empty(d[i].qualifier) ? "" : ", ", d[i].qualifier,
                                   d[i].activity, d[i].activity_id,
                                   source_text(p, d[i].source, d[i].known)));
    }
}

static void strength(struct entry *p, const struct motion *m)
{
    size_t n;
    bool any = false;
    const struct force_norm *f = reference_force_norms(p->ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (f[i].motion != m)
            continue;
        if (!any)
            cli_text_heading(p->out, "Force");
        any = true;
        cli_text_line(p->out, 2,
                      arena_printf(p->arena, "%s%s%s %s: %s, %s, %s%s [%s]",
                                   number(p, f[i].low.value), f[i].high.has ? " to " : "",
                                   f[i].high.has ? number(p, f[i].high.value) : "",
                                   unit_name(f[i].unit), f[i].range_kind, f[i].measure,
                                   f[i].population,
                                   f[i].sex == SEX_UNKNOWN  ? ""
                                   : f[i].sex == SEX_FEMALE ? ", women"
                                                            : ", men",
                                   source_text(p, f[i].source, f[i].known)));
    }
}

static void patterns(struct entry *p, const struct motion *m)
{
    size_t n;
    const struct capsular *c = reference_capsulars(p->ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (!str_eq(c[i].joint, m->joint))
            continue;
        cli_text_heading(p->out, "Capsular pattern of the joint");
        cli_text_field(p->out, "pattern", c[i].pattern);
        cli_text_field(p->out, "test", c[i].program_test);
        cli_text_field(p->out, "evidence", c[i].evidence);
        cli_text_field(p->out, "other lists", c[i].alternative);
        cli_text_field(p->out, "source", source_text(p, c[i].source, c[i].known));
    }
    const struct myotome *t = reference_myotomes(p->ref, &n);
    for (size_t i = 0; i < n; i++)
        if (t[i].motion == m)
            cli_text_field(p->out, "myotome",
                           arena_printf(p->arena, "%s, %s%s", t[i].level, t[i].key_muscles,
                                        t[i].isncsci_key ? "; ISNCSCI key muscle" : ""));
    if (m->muscle_length != NULL)
        cli_text_field(p->out, "muscle over two joints", m->muscle_length->muscle);
}

static void sources(struct entry *p)
{
    bool any = false;
    for (size_t i = 0; i < reference_source_count(p->ref); i++) {
        const struct source *s = reference_source_at(p->ref, i);
        if (!p->used[i])
            continue;
        if (!any)
            cli_text_heading(p->out, "Sources");
        any = true;
        cli_text_line(p->out, 2,
                      arena_printf(p->arena, "%s: %s%s%s", s->id, s->citation,
                                   str_is_empty(s->note) ? "" : ". ", s->note));
    }
}

/* ---- one motion, one joint, all
 * ------------------------------------------------------------------- */

static const char *key_text(struct entry *p, const struct motion *m)
{
    const char *tests = m->rom && m->mmt ? "range and strength" : m->rom ? "range" : "strength";
    const char *sides = m->sides == SIDES_MIDLINE ? "midline" : "right and left";
    const char *digits = "";
    if (m->digit_max > 0)
        digits = arena_printf(p->arena, ", digits %d-%d", m->digit_min, m->digit_max);
    return arena_printf(p->arena, "%s, %s plane, %s%s, %s%s%s", m->region, m->plane, sides, digits,
                        tests, m->unit == UNIT_NONE ? "" : " in ", unit_name(m->unit));
}

static void print_motion(struct entry *p, const struct motion *m)
{
    cli_text_heading(p->out, arena_printf(p->arena, "%s %s", m->joint, m->motion));
    cli_text_line(p->out, 2, key_text(p, m));
    if (m->opposite != NULL)
        cli_text_field(p->out, "opposite",
                       m->opposite == m ? "the same motion of the other side"
                                        : m->opposite->motion);
    norms(p, m, false);
    if (m->normal != NULL && m->normal->hyper_ok.has)
        cli_text_field(p->out, "common beyond normal", number(p, m->normal->hyper_ok.value));
    if (m->normal != NULL && m->normal->max_plausible.has)
        cli_text_field(p->out, "hardly possible above", number(p, m->normal->max_plausible.value));
    norms(p, m, true);
    errors(p, m);
    if (m->goniometry != NULL)
        goniometry(p, m->goniometry);
    if (m->notation != NULL && m->opposite != NULL)
        notation(p, m);
    if (m->muscle_test != NULL)
        muscle_test(p, m->muscle_test);
    compensations(p, m);
    strength(p, m);
    activities(p, m);
    patterns(p, m);
    sources(p);
}

static void print_joint(struct entry *p, const char *joint)
{
    cli_text_heading(p->out, joint);
    for (size_t i = 0; i < reference_motion_count(p->ref); i++) {
        const struct motion *m = reference_motion_at(p->ref, i);
        if (!str_eq(m->joint, joint))
            continue;
        const char *normal = "strength only";
        if (m->normal != NULL)
            normal = arena_printf(p->arena, "%s %s [%s]", number(p, m->normal->normal),
                                  unit_name(m->normal->unit),
                                  source_text(p, m->normal->source, m->normal->known));
        cli_text_line(p->out, 2, arena_printf(p->arena, "%s: %s", m->motion, normal));
    }
    sources(p);
}

static void print_all(struct entry *p)
{
    const char *joint = NULL, *list = "";
    size_t n = reference_motion_count(p->ref);
    for (size_t i = 0; i <= n; i++) {
        const struct motion *m = i < n ? reference_motion_at(p->ref, i) : NULL;
        if (joint != NULL && (m == NULL || !str_eq(m->joint, joint))) {
            cli_text_field(p->out, joint, list);
            list = "";
        }
        if (m == NULL)
            break;
        joint = m->joint;
        list = arena_printf(p->arena, "%s%s%s", list, *list == '\0' ? "" : ", ", m->motion);
    }
    cli_text_line(p->out, 0,
                  "endfeel lookup JOINT MOTION prints the entry of a motion, endfeel lookup"
                  " thresholds the figures that rules turn on.");
}

/* ---- thresholds --------------------------------------------------------------------------------
 */

const char *cli_threshold_text(const struct threshold *t, struct arena *a)
{
    const char *mark = str_is_empty(t->known.mark) ? "seen" : t->known.mark, *setting = "";
    if (!str_is_empty(t->clinic))
        setting = arena_printf(a, "; default of %s in the clinic file", t->clinic);
    return arena_printf(a, "%g %s, %s [%s; %s]%s", t->value, t->unit, t->meaning, t->source, mark,
                        setting);
}

static void print_thresholds(struct entry *p)
{
    cli_text_heading(p->out, "Thresholds");
    for (int i = 0; i < THRESHOLD_COUNT; i++) {
        const struct threshold *t = reference_threshold_row(p->ref, (enum threshold_id)i);
        cli_text_field(p->out, t->id, cli_threshold_text(t, p->arena));
    }
}

/* ---- names --------------------------------------------------------------------------------------
 */

/* The key of a joint, as it is or in another spelling ("neck"); NULL when it is none. */
static const char *joint_key(const struct reference *ref, const char *name)
{
    size_t n;
    const struct spelling *spellings = reference_spellings(ref, &n);
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        if (str_eq_nocase(reference_motion_at(ref, i)->joint, name))
            return reference_motion_at(ref, i)->joint;
    for (size_t i = 0; i < n; i++)
        if (spellings[i].kind == SPELLING_JOINT && str_eq_nocase(spellings[i].text, name))
            return spellings[i].means;
    return NULL;
}

/* Motions may be typed in several words: "shoulder external rotation". */
static const char *rest_of(struct arena *a, const struct command_line *line)
{
    const char *text = "";
    for (size_t i = 1; i < line->options.n_inputs; i++)
        text = arena_printf(a, "%s%s%s", text, i == 1 ? "" : " ", line->inputs[i]);
    return text;
}

static const struct motion *find(const struct entry *p, const char *joint, const char *motion)
{
    const struct motion *m = reference_motion(p->ref, joint, motion);
    return m != NULL ? m : import_motion(p->ref, joint, motion);
}

static enum status miss(const struct entry *p, const char *joint, const char *motion)
{
    const char *key = joint_key(p->ref, joint);
    bool known = key != NULL;
    const char *near = known ? reference_nearest_motion(p->ref, key, motion)
                             : reference_nearest_joint(p->ref, joint);
    const char *wanted = known ? motion : joint;
    if (near != NULL)
        fprintf(stderr, "endfeel: lookup: no %s '%s'; did you mean '%s%s%s'?\n",
                known ? "motion" : "joint", wanted, known ? key : "", known ? " " : "", near);
    else
        fprintf(stderr, "endfeel: lookup: no %s '%s'; endfeel lookup lists what there is\n",
                known ? "motion" : "joint", wanted);
    return STATUS_USAGE;
}

static enum status print(struct entry *p, const struct command_line *line)
{
    if (line->options.n_inputs == 0) {
        print_all(p);
        return STATUS_OK;
    }
    const char *joint = line->inputs[0], *motion = rest_of(p->arena, line);
    const char *key = joint_key(p->ref, joint);
    if (line->options.n_inputs == 1 && key != NULL) {
        print_joint(p, key);
        return STATUS_OK;
    }
    if (line->options.n_inputs == 1 && str_eq_nocase(joint, "thresholds")) {
        print_thresholds(p);
        return STATUS_OK;
    }
    const struct motion *m = find(p, key != NULL ? key : joint, motion);
    if (m == NULL)
        return miss(p, joint, motion);
    print_motion(p, m);
    return STATUS_OK;
}

enum status cli_lookup(const struct command_line *line)
{
    struct reference *ref = cli_reference(&line->options);
    if (ref == NULL)
        return STATUS_USAGE;
    struct buf out;
    buf_init(&out, TEXT_MAX);
    struct entry p = {.ref = ref, .arena = arena_new(), .out = &out};
    p.used = arena_alloc(p.arena, (reference_source_count(ref) + 1) * sizeof *p.used);
    enum status status = print(&p, line);
    if (status == STATUS_OK)
        status = cli_text_out(&line->options, &out);
    buf_release(&out);
    arena_free(p.arena);
    reference_free(ref);
    return status;
}
