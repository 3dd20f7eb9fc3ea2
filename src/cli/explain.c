/*
 * endfeel findings --explain CODE: what stands behind a code of the findings: a flag or note of the
 * rules, a kind of pattern, a sum score, a family of rules, or a message about the input.
 */
#include "cli/cli_int.h"

#include <stdlib.h>
#include <string.h>

static void known_by(struct buf *out, struct known known)
{
    cli_text_field(out, "known by", str_is_empty(known.mark) ? "seen" : known.mark);
    cli_text_field(out, "where", known.text);
}

/* ---- flags ------------------------------------------------------------------------------------
 */

static void grade_check(const struct reference *ref, struct buf *out, const char *code)
{
    size_t n;
    const struct grade_check *c = reference_grade_checks(ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (!str_eq(c[i].id, code))
            continue;
        cli_text_field(out, "condition", c[i].condition);
        cli_text_field(out, "why", c[i].why);
        cli_text_field(out, "setting", c[i].setting);
        known_by(out, c[i].known);
    }
}

/* The thresholds that a text names by their ids, or that belong to a family. */
static void thresholds(const struct reference *ref, struct buf *out, const char *named,
                       const char *family)
{
    struct arena *a = arena_new();
    for (int i = 0; i < THRESHOLD_COUNT; i++) {
        const struct threshold *t = reference_threshold_row(ref, (enum threshold_id)i);
        const char *in = family != NULL ? t->rules : named, *id = family != NULL ? family : t->id;
        const char *at = strstr(in, id);
        bool whole = at != NULL && (at == in || at[-1] == ' ') &&
                     strchr(" ,", at[strlen(id)]) != NULL;
        if (whole)
            cli_text_field(out, t->id, cli_threshold_text(t, a));
    }
    arena_free(a);
}

static void heel_rises(const struct reference *ref, struct buf *out)
{
    size_t n;
    struct arena *a = arena_new();
    const struct heel_rises *tables = reference_heel_rises(ref, &n);
    for (size_t i = 0; i < n; i++) {
        const struct heel_rises *t = &tables[i];
        const char *least = arena_printf(a, "%g rises for 5", t->five.value);
        if (t->four.has)
            least = arena_printf(a, "%s, %g for 4", least, t->four.value);
        if (t->three.has)
            least = arena_printf(a, "%s, %g for 3", least, t->three.value);
        cli_text_field(out, t->id,
                       arena_printf(a, "%s [%s; %s]", least, t->source->citation,
                                    str_is_empty(t->known.mark) ? "seen" : t->known.mark));
    }
    arena_free(a);
}

static bool flag(const struct reference *ref, struct buf *out, const char *code)
{
    static const char *const levels[] = {"note", "warning", "error"};
    size_t n;
    const struct flag_info *flags = rules_flags(&n);
    for (size_t i = 0; i < n; i++) {
        const struct rule_family *family;
        const char *threshold;
        if (!str_eq(flags[i].id, code))
            continue;
        cli_text_heading(out, code);
        cli_text_field(out, "meaning", flags[i].meaning);
        cli_text_field(out, "level", levels[flags[i].level]);
        if (rules_explain_flag(code, &family, &threshold)) {
            cli_text_field(out, "rule", family->id);
            cli_text_field(out, "computes", family->summary);
            cli_text_field(out, "source", family->source);
            cli_text_field(out, "threshold", threshold);
            thresholds(ref, out, threshold, NULL);
        }
        if (str_eq(code, "heel-rise-count-mismatch"))
            heel_rises(ref, out);
        grade_check(ref, out, code);
        return true;
    }
    return false;
}

/* ---- patterns -----------------------------------------------------------------------------------
 */

static bool tension(const struct reference *ref, struct buf *out, const char *code)
{
    const struct tension *t = reference_tension(ref, code);
    if (t == NULL)
        return false;
    cli_text_heading(out, code);
    cli_text_field(out, "finding", t->finding);
    cli_text_field(out, "condition", t->condition);
    cli_text_field(out, "meaning", t->wording);
    cli_text_field(out, "caveat", t->caveat);
    cli_text_field(out, "recheck", t->recheck);
    known_by(out, t->known);
    return true;
}

static bool muscle_length(const struct reference *ref, struct buf *out, const char *code)
{
    size_t n;
    const struct muscle_length *m = reference_muscle_lengths(ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (!str_eq(m[i].id, code))
            continue;
        cli_text_heading(out, code);
        cli_text_field(out, "muscle", m[i].muscle);
        cli_text_field(out, "joint", m[i].motion->joint);
        cli_text_field(out, "motion", m[i].motion->motion);
        cli_text_field(out, "limited in", m[i].taut);
        cli_text_field(out, "not limited in", m[i].slack);
        cli_text_field(out, "threshold", "more than the measurement error between the two");
        cli_text_field(out, "recheck", m[i].recheck);
        known_by(out, m[i].known);
        return true;
    }
    return false;
}

static bool pattern(const struct reference *ref, struct buf *out, const char *code)
{
    return tension(ref, out, code) || muscle_length(ref, out, code);
}

/* ---- scores, families, checks, messages
 * ----------------------------------------------------------- */

static void cut_off(struct buf *out, const struct cut_off *c)
{
    static const char *const compare[] = {"below", "at most", "at least"};
    struct buf text;
    buf_init(&text, TEXT_MAX);
    buf_addf(&text, "%s %g: %s (diagnosis says: %s)", compare[c->compare], c->value, c->meaning,
             c->population);
    cli_text_field(out, "cut-off", buf_text(&text));
    buf_release(&text);
}

static bool score(const struct reference *ref, struct buf *out, const char *code)
{
    size_t n;
    const struct sum_score *s = reference_sum_scores(ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (!str_eq(s[i].id, code))
            continue;
        cli_text_heading(out, code);
        cli_text_field(out, "score", s[i].name);
        cli_text_field(out, "protocol",
                       str_is_empty(s[i].protocol) ? "none: never computed" : s[i].protocol);
        cli_text_field(out, "grades", s[i].grade_rule);
        cli_text_field(out, "missing", s[i].missing_rule);
        cli_text_field(out, "meaning", s[i].interpretation);
        for (size_t k = 0; k < s[i].n_cut_offs; k++)
            cut_off(out, &s[i].cut_offs[k]);
        cli_text_field(out, "source", s[i].source->citation);
        known_by(out, s[i].known);
        return true;
    }
    return false;
}

/* Whose groups come first where several fit. */
static void peers_ranks(const struct reference *ref, struct buf *out)
{
    struct arena *a = arena_new();
    size_t n = reference_source_count(ref);
    for (size_t rank = 1; rank <= n; rank++)
        for (size_t i = 0; i < n; i++)
            if (reference_source_at(ref, i)->peers_rank == rank)
                cli_text_field(out, arena_printf(a, "rank %zu", rank),
                               arena_printf(a, "%s (%s)", reference_source_at(ref, i)->id,
                                            reference_source_at(ref, i)->peers_mark));
    arena_free(a);
}

static bool family(const struct reference *ref, struct buf *out, const char *code)
{
    size_t n;
    const struct rule_family *f = rules_families(&n);
    for (size_t i = 0; i < n; i++) {
        if (!str_eq(f[i].id, code))
            continue;
        cli_text_heading(out, code);
        cli_text_field(out, "computes", f[i].summary);
        cli_text_field(out, "source", f[i].source);
        thresholds(ref, out, NULL, code);
        if (str_eq(code, "peers"))
            peers_ranks(ref, out);
        return true;
    }
    return false;
}

/* A check that no flag stands for: the reader of cells does it, or a record cannot hold it. */
static bool check(const struct reference *ref, struct buf *out, const char *code)
{
    size_t n;
    const struct grade_check *c = reference_grade_checks(ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (!str_eq(c[i].id, code))
            continue;
        cli_text_heading(out, code);
        cli_text_field(out, "level", c[i].severity);
        grade_check(ref, out, code);
        return true;
    }
    return false;
}

static bool message(const struct reference *ref, struct buf *out, const char *code)
{
    enum diag_code found;
    (void)ref;
    if (!diag_code_by_id(code, &found))
        return false;
    cli_text_heading(out, code);
    cli_text_field(out, "meaning", diag_reason(found));
    cli_text_field(out, "level", diag_level_name(diag_level(found)));
    cli_text_field(out, "outcome", diag_outcome_name(diag_outcome(found)));
    cli_text_field(out, "advice", diag_advice(found));
    return true;
}

/* ---- nearest
 * ---------------------------------------------------------------------------------------- */

struct names {
    const char **at;
    size_t n;
};

static void add(struct names *names, const char *name)
{
    names->at = mem_resize(names->at, (names->n + 1) * sizeof *names->at);
    names->at[names->n++] = name;
}

static void unknown(const struct reference *ref, const char *code)
{
    struct names all = {NULL, 0};
    size_t n;
    const struct flag_info *flags = rules_flags(&n);
    for (size_t i = 0; i < n; i++)
        add(&all, flags[i].id);
    const char *const *kinds = rules_pattern_kinds(&n);
    for (size_t i = 0; i < n; i++)
        add(&all, kinds[i]);
    const struct sum_score *sums = reference_sum_scores(ref, &n);
    for (size_t i = 0; i < n; i++)
        add(&all, sums[i].id);
    for (int i = 0; i < DIAG_CODE_COUNT; i++)
        add(&all, diag_id((enum diag_code)i));
    const char *near = str_nearest(code, all.at, all.n);
    if (near != NULL)
        fprintf(stderr, "endfeel: --explain: no code '%s'; did you mean '%s'?\n", code, near);
    else
        fprintf(stderr,
                "endfeel: --explain: no code '%s'; docs/rules.md lists those of the rules,"
                " the manual those of messages\n",
                code);
    free(all.at);
}

enum status cli_explain(const struct command_line *line)
{
    static bool (*const looks[])(const struct reference *ref, struct buf *out,
                                 const char *code) = {flag, pattern, score, family, check, message};
    struct reference *ref = cli_reference(&line->options);
    if (ref == NULL)
        return STATUS_USAGE;
    struct buf out;
    buf_init(&out, TEXT_MAX);
    bool found = false;
    for (size_t i = 0; i < ARRAY_LEN(looks) && !found; i++)
        found = looks[i](ref, &out, line->explain);
    enum status status = STATUS_USAGE;
    if (found)
        status = cli_text_out(&line->options, &out);
    else
        unknown(ref, line->explain);
    buf_release(&out);
    reference_free(ref);
    return status;
}
