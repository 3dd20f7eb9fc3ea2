/*
 * Goals and limits for the tests of the rules, in one line each, apart by ';':
 *
 *     JOINT MOTION SIDE TEST VALUE [set=DATE due=DATE base=NUMBER digit=N id=ID]
 *     KIND [JOINT MOTION SIDE] [value=NUMBER test=TEST from=DATE until=DATE digit=N]
 */
#ifndef ENDFEEL_RULES_AIMS_H
#define ENDFEEL_RULES_AIMS_H

#include "rules_build.h"

enum { AIM_WORDS = 16 };

struct aim_words {
    char *word[AIM_WORDS];
    int n;
};

static inline struct aim_words aim_split(char *line)
{
    struct aim_words w = {.n = 0};
    char *rest = NULL;
    for (char *s = strtok_r(line, " ", &rest); s != NULL; s = strtok_r(NULL, " ", &rest)) {
        ck_assert(w.n < AIM_WORDS);
        w.word[w.n++] = s;
    }
    return w;
}

static inline bool aim_option(const char *word, const char *name, const char **value)
{
    size_t len = strlen(name);
    if (strncmp(word, name, len) != 0 || word[len] != '=')
        return false;
    *value = word + len + 1;
    return true;
}

static inline struct date aim_date(const char *text)
{
    struct date d;
    ck_assert_msg(date_parse_iso(text, &d), "not a date: %s", text);
    return d;
}

static inline void aim_goal(struct build *b, char *line)
{
    struct aim_words w = aim_split(line);
    struct goal *g = &b->patient.goals[b->patient.n_goals++];
    ck_assert_int_ge(w.n, 5);
    g->motion = reference_motion(build_ref, w.word[0], w.word[1]);
    ck_assert(g->motion != NULL);
    g->side = (enum side)build_find(w.word[2], build_side, SIDE_COUNT);
    g->test = (enum test)build_find(w.word[3], build_test, TEST_COUNT);
    if (g->test == TEST_MMT)
        g->grade = reference_grade(build_ref, w.word[4]);
    else
        g->value = num_of(build_number(w.word[4]));
    for (int i = 5; i < w.n; i++) {
        const char *v;
        if (aim_option(w.word[i], "set", &v))
            g->set_on = aim_date(v);
        else if (aim_option(w.word[i], "due", &v))
            g->due = aim_date(v);
        else if (aim_option(w.word[i], "base", &v))
            g->baseline = num_of(build_number(v));
        else if (aim_option(w.word[i], "digit", &v))
            g->digit = (int)build_number(v);
        else if (aim_option(w.word[i], "id", &v))
            g->id = v;
        else
            ck_abort_msg("unknown word %s", w.word[i]);
    }
}

static inline void aim_limit(struct build *b, char *line)
{
    static const char *const kinds[] = {"range", "resistance", "weight-bearing", "no-test"};
    struct aim_words w = aim_split(line);
    struct limit *l = &b->patient.limits[b->patient.n_limits++];
    int kind = 0, at = 1;
    while (!str_eq(kinds[kind], w.word[0]))
        ck_assert_int_lt(++kind, (int)ARRAY_LEN(kinds));
    l->kind = (enum limit_kind)kind;
    if (w.n > 3 && strchr(w.word[1], '=') == NULL) {
        l->motion = reference_motion(build_ref, w.word[1], w.word[2]);
        ck_assert(l->motion != NULL);
        l->side = (enum side)build_find(w.word[3], build_side, SIDE_COUNT);
        at = 4;
    }
    for (int i = at; i < w.n; i++) {
        const char *v;
        if (aim_option(w.word[i], "value", &v))
            l->value = num_of(build_number(v));
        else if (aim_option(w.word[i], "test", &v))
            l->test = (enum test)build_find(v, build_test, TEST_COUNT);
        else if (aim_option(w.word[i], "from", &v))
            l->from = aim_date(v);
        else if (aim_option(w.word[i], "until", &v))
            l->until = aim_date(v);
        else if (aim_option(w.word[i], "digit", &v))
            l->digit = (int)build_number(v);
        else
            ck_abort_msg("unknown word %s", w.word[i]);
    }
}

static inline void aims_add(struct build *b, const char *lines,
                            void (*add)(struct build *b, char *line))
{
    char *copy = arena_strdup(b->arena, lines), *rest = NULL;
    if (b->patient.goals == NULL)
        b->patient.goals = arena_alloc(b->arena, BUILD_MAX * sizeof(struct goal));
    if (b->patient.limits == NULL)
        b->patient.limits = arena_alloc(b->arena, BUILD_MAX * sizeof(struct limit));
    for (char *s = strtok_r(copy, ";", &rest); s != NULL; s = strtok_r(NULL, ";", &rest))
        add(b, s);
}

#endif
