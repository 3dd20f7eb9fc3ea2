/*
 * A patient in one line a reading, for the tests of the rules:
 *
 *     DATE JOINT MOTION SIDE TEST VALUE [option ...]
 *
 * readings stand apart by ';'. VALUE is a number, tries "70,72,71", an estimate "~120", a fixed
 * joint "fixed30", a grade, newtons, or a status such as "not-tested". Options: by= role= pos=
 * tool= start= try= digit= muscle= technique= lever= reps= unit= end-feel= pain from= to= comp= reason= says=
 * after. An underscore in an option stands for a space.
 */
#ifndef ENDFEEL_RULES_BUILD_H
#define ENDFEEL_RULES_BUILD_H

#include "unit.h"

#include "rules/rules_int.h"

#include <string.h>

enum { BUILD_MAX = 64 };

static struct reference *build_ref; /* loaded once, before check forks */

struct build {
    struct arena *arena;
    struct clinic clinic;
    struct patient patient;
    struct visit visits[BUILD_MAX];
};

static inline void build_load(void)
{
    struct diag_sink sink = {0};
    build_ref = reference_load_embedded(&sink);
    if (build_ref == NULL)
        abort();
}

/* A man of 40 unless the test says otherwise. */
static inline struct build *build_new(void)
{
    struct build *b = mem_alloc(sizeof *b);
    b->arena = arena_new();
    b->clinic = clinic_default(build_ref);
    b->patient = (struct patient){
        .arena = b->arena, .id = "T1", .age = num_of(40), .sex = SEX_MALE, .visits = b->visits};
    return b;
}

static inline void build_free(struct build *b)
{
    arena_free(b->arena);
    free(b);
}

static inline int build_find(const char *text, const char *(*name)(int), int count)
{
    for (int i = 0; i < count; i++)
        if (str_eq(name(i), text))
            return i;
    ck_abort_msg("unknown word %s", text);
    return 0;
}

#define BUILD_NAME(function, type, call)                                                           \
    static inline const char *function(int i)                                                      \
    {                                                                                              \
        return call((type)i);                                                                      \
    }
BUILD_NAME(build_side, enum side, side_name)
BUILD_NAME(build_test, enum test, test_name)
BUILD_NAME(build_unit, enum unit, unit_name)
BUILD_NAME(build_status, enum reading_status, reading_status_name)
BUILD_NAME(build_role, enum role, role_name)
BUILD_NAME(build_tool, enum instrument, instrument_name)

static inline double build_number(const char *text)
{
    double value = 0;
    ck_assert_msg(num_parse(text, strlen(text), &value), "not a number: %s", text);
    return value;
}

static inline void build_tries(struct measurement *m, const char *text)
{
    double sum = 0;
    for (const char *s = text; *s != '\0'; s += *s == ',') {
        size_t len = strcspn(s, ",");
        ck_assert(num_parse(s, len, &m->tries[m->n_tries]));
        sum += m->tries[m->n_tries++];
        s += len;
    }
    struct num mean = num_of(sum / m->n_tries);
    if (m->test == TEST_FORCE)
        m->force_n = mean;
    else
        m->end = mean;
}

static inline void build_value(struct measurement *m, const char *text)
{
    m->unit = m->test == TEST_FORCE ? UNIT_N : m->motion->unit;
    m->grade = m->test == TEST_MMT ? reference_grade(build_ref, text) : NULL;
    if (m->grade != NULL)
        return;
    if (m->test != TEST_MMT && strspn(text, "0123456789.,-") == strlen(text)) {
        build_tries(m, text);
    } else if (text[0] == '~') {
        m->status = READING_ESTIMATED;
        build_tries(m, text + 1);
    } else if (str_starts(text, "fixed")) {
        m->fixed = true;
        build_tries(m, text + strlen("fixed"));
    } else {
        m->status = (enum reading_status)build_find(text, build_status, READING_STATUS_COUNT);
        m->unit = UNIT_NONE;
    }
}

static inline void build_option(struct measurement *m, char *option)
{
    char *value = strchr(option, '=');
    if (value != NULL)
        *value++ = '\0';
    for (char *s = value; s != NULL && *s != '\0'; s++)
        if (*s == '_')
            *s = ' ';
    if (str_eq(option, "by"))
        m->measured_by = value;
    else if (str_eq(option, "role"))
        m->role = (enum role)build_find(value, build_role, ROLE_OTHER + 1);
    else if (str_eq(option, "pos"))
        m->position = value;
    else if (str_eq(option, "muscle"))
        m->muscle = value;
    else if (str_eq(option, "reason"))
        m->status_reason = value;
    else if (str_eq(option, "tool")) {
        m->tool = value;
        m->instrument = (enum instrument)build_find(value, build_tool, INSTRUMENT_COUNT);
    } else if (str_eq(option, "instrument-unknown"))
        m->tool = value;
    else if (str_eq(option, "start"))
        m->start = num_of(build_number(value));
    else if (str_eq(option, "try"))
        m->try_no = (int)build_number(value);
    else if (str_eq(option, "digit"))
        m->digit = (int)build_number(value);
    else if (str_eq(option, "reps"))
        m->repetitions = num_of(build_number(value));
    else if (str_eq(option, "lever"))
        m->lever_m = num_of(build_number(value));
    else if (str_eq(option, "unit"))
        m->unit = (enum unit)build_find(value, build_unit, UNIT_COUNT);
    else if (str_eq(option, "technique"))
        m->technique = str_eq(value, "make") ? TECHNIQUE_MAKE : TECHNIQUE_BREAK;
    else if (str_eq(option, "end-feel"))
        ck_assert(end_feel_by_name(value, &m->end_feel));
    else if (str_eq(option, "pain") && value == NULL)
        m->pain = true;
    else if (str_eq(option, "pain")) {
        m->pain = true;
        m->pain_low = m->pain_high = num_of(build_number(value));
    } else if (str_eq(option, "from"))
        m->pain_from = num_of(build_number(value));
    else if (str_eq(option, "to"))
        m->pain_to = num_of(build_number(value));
    else if (str_eq(option, "says"))
        m->note = value;
    else if (str_eq(option, "comp"))
        m->compensations[m->n_compensations++] = value;
    else if (str_eq(option, "note"))
        m->notes[m->n_notes++] = (enum diag_code)build_number(value);
    else if (str_eq(option, "after"))
        m->timing = TIMING_AFTER;
    else if (str_eq(option, "before"))
        m->timing = TIMING_BEFORE;
    else
        ck_abort_msg("unknown option %s", option);
}

static inline struct visit *build_visit(struct build *b, const char *date)
{
    struct date on;
    ck_assert(date_parse_iso(date, &on));
    struct patient *p = &b->patient;
    size_t at = 0;
    while (at < p->n_visits && date_compare(b->visits[at].date, on) < 0)
        at++;
    if (at < p->n_visits && date_compare(b->visits[at].date, on) == 0)
        return &b->visits[at];
    ck_assert(p->n_visits < BUILD_MAX);
    memmove(&b->visits[at + 1], &b->visits[at], (p->n_visits - at) * sizeof b->visits[0]);
    p->n_visits++;
    b->visits[at] = (struct visit){.patient = p, .date = on, .kind = VISIT_VISIT};
    b->visits[at].measurements = arena_alloc(b->arena, BUILD_MAX * sizeof(struct measurement));
    return &b->visits[at];
}

static inline void build_one(struct build *b, char *line)
{
    enum { FIXED = 6, WORDS_MAX = 24 };
    char *word[WORDS_MAX], *rest = NULL;
    int n = 0;
    for (char *s = strtok_r(line, " ", &rest); s != NULL; s = strtok_r(NULL, " ", &rest))
        word[n++] = s;
    ck_assert_msg(n >= FIXED, "too few words");
    struct measurement m = {.text = word[5]};
    m.motion = reference_motion(build_ref, word[1], word[2]);
    ck_assert_msg(m.motion != NULL, "unknown motion %s %s", word[1], word[2]);
    m.side = (enum side)build_find(word[3], build_side, SIDE_COUNT);
    m.test = (enum test)build_find(word[4], build_test, TEST_COUNT);
    build_value(&m, word[5]);
    for (int i = FIXED; i < n; i++)
        build_option(&m, word[i]);
    struct visit *visit = build_visit(b, word[0]);
    ck_assert(visit->n_measurements < BUILD_MAX);
    size_t at = visit->n_measurements++;
    while (at > 0 && model_measurement_compare(&visit->measurements[at - 1], &m) > 0) {
        visit->measurements[at] = visit->measurements[at - 1];
        at--;
    }
    visit->measurements[at] = m;
}

static inline void build_add(struct build *b, const char *readings)
{
    char *copy = arena_strdup(b->arena, readings), *rest = NULL;
    for (char *s = strtok_r(copy, ";", &rest); s != NULL; s = strtok_r(NULL, ";", &rest))
        build_one(b, s);
}

/* The findings of the newest visit. */
static inline struct visit_findings *build_evaluate(struct build *b)
{
    char why[200];
    for (size_t i = 0; i < b->patient.n_visits; i++)
        b->visits[i].patient = &b->patient;
    ck_assert_msg(model_check(&b->patient, why, sizeof why), "%s", why);
    ck_assert(b->patient.n_visits > 0);
    return rules_evaluate(&b->patient, &b->visits[b->patient.n_visits - 1], build_ref, &b->clinic,
                          b->arena);
}

static inline struct visit_findings *build_findings(struct build *b, const char *readings)
{
    build_add(b, readings);
    return build_evaluate(b);
}

/* Text of a number, "" when missing: tables of expectations read like the findings. */
static inline const char *build_text(struct build *b, struct num value, int decimals)
{
    char *out = arena_alloc(b->arena, NUM_TEXT_MAX);
    return value.has ? num_format(out, value.value, decimals) : "";
}

/* Ids of the flags of a row in order of arrival, space-separated; of one family, or of all but one
 * whose id follows a '-'. */
static inline const char *build_flags_of(struct build *b, const struct finding *f, const char *of)
{
    const char *all = "";
    for (int i = 0; i < f->n_flags; i++) {
        const struct rule_family *family;
        const char *threshold;
        ck_assert(rules_explain_flag(f->flags[i].id, &family, &threshold));
        bool wanted = *of == '-' ? !str_eq(family->id, of + 1) : str_eq(family->id, of);
        if (wanted)
            all = arena_printf(b->arena, "%s%s%s", all, *all == '\0' ? "" : " ", f->flags[i].id);
    }
    return all;
}

/* All flags but those of grades held against the rest of the visit, which nearly every graded or
 * short row has and which have a test of their own. */
static inline const char *build_flags(struct build *b, const struct finding *f)
{
    return build_flags_of(b, f, "-grades");
}

/* Patterns in order: "kind joint motion side digit roots nerve", what there is of it, set apart by
 * "; ". */
static inline const char *build_patterns(struct build *b, const struct visit_findings *v)
{
    const char *all = "";
    for (size_t i = 0; i < v->n_patterns; i++) {
        const struct pattern *p = &v->patterns[i];
        const char *part[] = {p->joint, p->motion == NULL ? NULL : p->motion->motion,
                              side_name(p->side), p->roots, p->nerve};
        all = arena_printf(b->arena, "%s%s%s", all, i == 0 ? "" : "; ", p->kind);
        for (size_t k = 0; k < ARRAY_LEN(part); k++)
            if (!str_is_empty(part[k]))
                all = arena_printf(b->arena, "%s %s", all, part[k]);
        if (p->digit > 0)
            all = arena_printf(b->arena, "%s %d", all, p->digit);
    }
    return all;
}

#define BUILD_SUITE(name)                                                                          \
    static Suite *suite(void)                                                                      \
    {                                                                                              \
        build_load();                                                                              \
        Suite *s = suite_create(name);                                                             \
        TCase *tc = tcase_create("all");                                                           \
        add_tests(tc);                                                                             \
        suite_add_tcase(s, tc);                                                                    \
        return s;                                                                                  \
    }                                                                                              \
    TEST_MAIN(suite)

#endif
