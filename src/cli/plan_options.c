/* The options of plan: what is examined, on whom, and what is known of the patient. */
#include "cli/cli_int.h"

#include "plan/plan.h"

#include <stdlib.h>
#include <string.h>

static void add(const char ***list, size_t *n, const char *item)
{
    *list = mem_resize(*list, (*n + 1) * sizeof **list);
    (*list)[(*n)++] = item;
}

static bool unknown(const char *option, const char *value, const char *const *names, size_t n)
{
    const char *nearest = str_nearest(value, names, n);
    if (nearest != NULL)
        cli_explain_error("--%s: '%s' is not known; did you mean '%s'?", option, value, nearest);
    else
        cli_explain_error("--%s: '%s' is not known", option, value);
    return false;
}

static bool set_side(const char *option, const char *value, bool both, enum side *side)
{
    static const char *const names[] = {"right", "left", "both"};
    if (str_eq(value, "right"))
        *side = SIDE_RIGHT;
    else if (str_eq(value, "left"))
        *side = SIDE_LEFT;
    else if (both && str_eq(value, "both"))
        *side = SIDE_NONE;
    else
        return unknown(option, value, names, both ? 3 : 2);
    return true;
}

static bool add_test(const char *name, unsigned *bits)
{
    const char *names[PLAN_TEST_COUNT];
    for (int t = 0; t < PLAN_TEST_COUNT; t++) {
        names[t] = plan_test_name((enum plan_test)t);
        if (str_eq_nocase(name, names[t])) {
            *bits |= 1u << t;
            return true;
        }
    }
    return unknown("tests", name, names, PLAN_TEST_COUNT);
}

static bool add_position(const char *name, unsigned *bits)
{
    static const char *const names[] = {"sitting", "supine", "side-lying", "prone", "standing"};
    unsigned more;
    if (!plan_position_by_name(name, &more))
        return unknown("positions", name, names, ARRAY_LEN(names));
    *bits |= more;
    return true;
}

static bool each_of(const char *option, char *list, bool (*take)(const char *, unsigned *),
                    unsigned *bits)
{
    char *rest = NULL;
    *bits = 0;
    for (char *name = strtok_r(list, ",", &rest); name != NULL; name = strtok_r(NULL, ",", &rest))
        if (!take(name, bits))
            return false;
    if (*bits == 0)
        cli_explain_error("--%s: name at least one", option);
    return *bits != 0;
}

static bool set_tries(const char *value, int *tries)
{
    if (strlen(value) == 1 && value[0] >= '1' && value[0] <= '0' + PLAN_TRIES_MAX) {
        *tries = value[0] - '0';
        return true;
    }
    cli_explain_error("--tries: '%s' is not 1, 2 or 3", value);
    return false;
}

bool cli_plan_option(struct command_line *line, const char *name, char *value, bool *ok)
{
    struct batch_plan *p = &line->options.plan;
    *ok = true;
    if (strcmp(name, "tests") == 0)
        *ok = each_of(name, value, add_test, &p->tests);
    else if (strcmp(name, "positions") == 0)
        *ok = each_of(name, value, add_position, &p->positions);
    else if (strcmp(name, "side") == 0)
        *ok = set_side(name, value, true, &p->side);
    else if (strcmp(name, "involved") == 0)
        *ok = set_side(name, value, false, &p->involved);
    else if (strcmp(name, "caution") == 0)
        add(&line->cautions, &p->n_cautions, value);
    else if (strcmp(name, "provokes") == 0)
        add(&line->provokes, &p->n_provokes, value);
    else if (strcmp(name, "tries") == 0)
        *ok = set_tries(value, &p->tries);
    else if (strcmp(name, "measured-by") == 0)
        p->measured_by = value;
    else if (strcmp(name, "checklist") == 0)
        p->checklist = true;
    else
        return false;
    return true;
}

static bool fits(const char *option, const char *cell)
{
    if (cell == NULL || strlen(cell) <= PLAN_CELL_MAX)
        return true;
    cli_explain_error("--%s: longer than %d bytes", option, PLAN_CELL_MAX);
    return false;
}

bool cli_plan_settle(struct command_line *line)
{
    struct batch_options *o = &line->options;
    o->plan.cautions = line->cautions;
    o->plan.provokes = line->provokes;
    if (o->plan.tries == 0)
        o->plan.tries = PLAN_TRIES_MAX;
    if (o->out == NULL)
        o->out = "out";
    if (o->n_inputs == 0) {
        cli_explain_error("plan: name a motion, a joint, a region or a set: upper-quarter,"
                          " lower-quarter, spine, hand");
        return false;
    }
    return fits("patient", o->only_patient) && fits("measured-by", o->plan.measured_by);
}
