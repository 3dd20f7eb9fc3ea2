/* Counters of the plan of care: before, on and after the day, what starts them, what ends them. */
#include "rules_build.h"

/* Visits as "DATE kind [treatment day]", apart by ';'; the last is the one reported on. */
static void add_visits(struct build *b, const char *visits)
{
    char *copy = arena_strdup(b->arena, visits), *rest = NULL;
    for (char *s = strtok_r(copy, ";", &rest); s != NULL; s = strtok_r(NULL, ";", &rest)) {
        char date[16], kind[16];
        double day = 0;
        ck_assert_int_ge(sscanf(s, "%15s %15s %lf", date, kind, &day), 2);
        struct visit *visit = build_visit(b, date);
        for (int k = 0; k < VISIT_KIND_COUNT; k++)
            if (str_eq(visit_kind_name((enum visit_kind)k), kind))
                visit->kind = (enum visit_kind)k;
        visit->treatment_day = day > 0 ? num_of(day) : num_none();
    }
}

static const char *describe(struct build *b, const struct reminder *r)
{
    char since[DATE_TEXT_MAX], due[DATE_TEXT_MAX];
    date_format(due, r->due);
    return arena_printf(b->arena, "%s %s %s%ld of %ld since %s%s%s", r->id, r->status,
                        r->at_least ? "at least " : "", r->count, r->due_at,
                        date_format(since, r->since), *due == '\0' ? "" : " due ", due);
}

static const char *told(struct build *b, const char *id)
{
    struct visit_findings *v = build_evaluate(b);
    for (size_t i = 0; i < v->n_reminders; i++)
        if (str_eq(v->reminders[i].id, id))
            return describe(b, &v->reminders[i]);
    return "";
}

static const struct {
    const char *visits, *is;
} reports[] = {
    /* As typed: the first day of the episode counts. */
    {"2026-01-05 evaluation 1", "later 1 of 10 since 2026-01-05"},
    {"2026-01-05 evaluation 1;2026-02-02 visit 9", "later 9 of 10 since 2026-01-05"},
    {"2026-01-05 evaluation 1;2026-02-02 visit 10", "due 10 of 10 since 2026-01-05"},
    {"2026-01-05 evaluation 1;2026-02-02 visit 11", "overdue 11 of 10 since 2026-01-05"},
    /* After a report the count starts anew. */
    {"2026-01-05 evaluation 1;2026-01-20 progress 8;2026-02-02 visit 17",
     "later 9 of 10 since 2026-01-20"},
    {"2026-01-05 evaluation 1;2026-01-20 progress 8;2026-02-02 visit 18",
     "due 10 of 10 since 2026-01-20"},
    {"2026-01-05 evaluation 1;2026-01-12 progress 4;2026-01-20 progress 8;2026-02-02 visit 18",
     "due 10 of 10 since 2026-01-20"},
    /* A re-evaluation is no progress report. */
    {"2026-01-05 evaluation 1;2026-01-20 re-evaluation 8;2026-02-02 visit 10",
     "due 10 of 10 since 2026-01-05"},
    /* Today's own report. */
    {"2026-01-05 evaluation 1;2026-02-02 progress 10", "done 10 of 10 since 2026-01-05"},
    {"2026-01-05 progress 3", "done 3 of 10 since 2026-01-05"},
    /* A new episode. */
    {"2025-01-05 evaluation 1;2025-02-02 discharge 12;2026-01-05 evaluation 1;2026-01-12 visit 2",
     "later 2 of 10 since 2026-01-05"},
    {"2025-01-05 evaluation 1;2025-02-02 discharge 12;2026-01-12 visit",
     "later at least 1 of 10 since 2025-02-02"},
    /* Not typed: the visits on file, which are the least it can be. */
    {"2026-01-05 evaluation;2026-01-12 visit;2026-01-19 visit",
     "later at least 3 of 10 since 2026-01-05"},
    {"2026-01-05 evaluation;2026-01-12 progress;2026-01-19 visit",
     "later at least 1 of 10 since 2026-01-12"},
    {"2026-01-05 evaluation 1;2026-01-12 progress;2026-01-19 visit 9",
     "later at least 1 of 10 since 2026-01-12"},
    /* Typed, but fewer than the visits on file: the visits. */
    {"2026-01-05 evaluation 1;2026-01-12 visit 2;2026-01-19 visit 2",
     "later at least 3 of 10 since 2026-01-05"},
    /* Nothing more is due after a discharge. */
    {"2026-01-05 evaluation 1;2026-02-02 discharge 10", ""},
};

START_TEST(progress_report)
{
    struct build *b = build_new();
    add_visits(b, reports[_i].visits);
    const char *wanted = reports[_i].is;
    if (*wanted != '\0')
        wanted = arena_printf(b->arena, "progress-report %s", wanted);
    ck_assert_str_eq(told(b, "progress-report"), wanted);
    build_free(b);
}
END_TEST

/* Of an older visit: what came after it had not happened, a new episode neither. */
START_TEST(a_later_episode_has_not_begun)
{
    struct build *b = build_new();
    add_visits(b, "2026-01-05 evaluation 1;2026-02-02 visit 9;2026-03-02 evaluation 1");
    for (size_t i = 0; i < b->patient.n_visits; i++)
        b->visits[i].patient = &b->patient;
    struct visit_findings *v =
        rules_evaluate(&b->patient, &b->visits[1], build_ref, &b->clinic, b->arena);
    ck_assert_uint_gt(v->n_reminders, 0);
    ck_assert_str_eq(describe(b, &v->reminders[0]),
                     "progress-report later 9 of 10 since 2026-01-05");
    build_free(b);
}
END_TEST

static const struct {
    const char *on, *plan_start, *certified, *signature, *certification;
    const char *kind;
} plans[] = {
    {"2026-01-05", "", "", "", "", "visit"},
    {"2026-01-05", "2026-01-06", "", "", "", "visit"},
    {"2026-01-05", "2026-01-05", "", "later 0 of 30 since 2026-01-05 due 2026-02-04",
     "later 0 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    {"2026-02-03", "2026-01-05", "", "later 29 of 30 since 2026-01-05 due 2026-02-04",
     "later 29 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    {"2026-02-04", "2026-01-05", "", "due 30 of 30 since 2026-01-05 due 2026-02-04",
     "later 30 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    {"2026-02-05", "2026-01-05", "", "overdue 31 of 30 since 2026-01-05 due 2026-02-04",
     "later 31 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    /* Signed by this visit, or only after it. */
    {"2026-02-05", "2026-01-05", "2026-02-05", "done 31 of 30 since 2026-01-05 due 2026-02-04",
     "later 31 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    {"2026-02-05", "2026-01-05", "2026-02-06", "overdue 31 of 30 since 2026-01-05 due 2026-02-04",
     "later 31 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    {"2026-04-04", "2026-01-05", "2026-01-20", "done 89 of 30 since 2026-01-05 due 2026-02-04",
     "later 89 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    {"2026-04-05", "2026-01-05", "2026-01-20", "done 90 of 30 since 2026-01-05 due 2026-02-04",
     "due 90 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    {"2026-04-06", "2026-01-05", "2026-01-20", "done 91 of 30 since 2026-01-05 due 2026-02-04",
     "overdue 91 of 90 since 2026-01-05 due 2026-04-05", "visit"},
    /* A discharge ends the certification, not the want of a signature. */
    {"2026-04-06", "2026-01-05", "", "overdue 91 of 30 since 2026-01-05 due 2026-02-04", "",
     "discharge"},
};

START_TEST(plan_dates)
{
    struct build *b = build_new();
    add_visits(b, arena_printf(b->arena, "%s %s", plans[_i].on, plans[_i].kind));
    if (plans[_i].plan_start[0] != '\0')
        ck_assert(date_parse_iso(plans[_i].plan_start, &b->patient.plan_start));
    if (plans[_i].certified[0] != '\0')
        ck_assert(date_parse_iso(plans[_i].certified, &b->patient.certified_on));
    static const char *const ids[] = {"plan-signature", "certification"};
    const char *const wanted[] = {plans[_i].signature, plans[_i].certification};
    for (size_t i = 0; i < ARRAY_LEN(ids); i++) {
        const char *all = *wanted[i] == '\0'
                              ? ""
                              : arena_printf(b->arena, "%s %s", ids[i], wanted[i]);
        ck_assert_str_eq(told(b, ids[i]), all);
    }
    build_free(b);
}
END_TEST

/* What comes after the visit that is reported on is not counted. */
START_TEST(later_visits_do_not_count)
{
    struct build *b = build_new();
    add_visits(b, "2026-01-05 evaluation;2026-01-12 visit;2026-01-19 visit");
    struct visit_findings *v = rules_evaluate(&b->patient, &b->visits[1], build_ref,
                                              &b->clinic, b->arena);
    ck_assert_str_eq(describe(b, &v->reminders[0]),
                     "progress-report later at least 2 of 10 since 2026-01-05");
    build_free(b);
}
END_TEST

/* The rule a count follows: the usual days by name, others as the clinic's. */
START_TEST(rule_is_named)
{
    struct build *b = build_new();
    add_visits(b, "2026-01-05 evaluation 7");
    ck_assert(date_parse_iso("2026-01-05", &b->patient.plan_start));
    struct visit_findings *v = build_evaluate(b);
    ck_assert_uint_eq(v->n_reminders, 3);
    for (size_t i = 0; i < v->n_reminders; i++)
        ck_assert_str_eq(v->reminders[i].rule, "medicare-part-b");
    b->clinic.progress_treatment_days = 8;
    b->clinic.signature_days = 14;
    b->clinic.certification_days = 60;
    v = build_evaluate(b);
    static const char *const told_of[] = {
        "progress-report later 7 of 8 since 2026-01-05",
        "plan-signature later 0 of 14 since 2026-01-05 due 2026-01-19",
        "certification later 0 of 60 since 2026-01-05 due 2026-03-06"};
    for (size_t i = 0; i < v->n_reminders; i++) {
        ck_assert_str_eq(v->reminders[i].rule, "clinic");
        ck_assert_str_eq(describe(b, &v->reminders[i]), told_of[i]);
    }
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, progress_report, 0, ARRAY_LEN(reports));
    tcase_add_test(tc, a_later_episode_has_not_begun);
    tcase_add_loop_test(tc, plan_dates, 0, ARRAY_LEN(plans));
    tcase_add_test(tc, later_visits_do_not_count);
    tcase_add_test(tc, rule_is_named);
}

BUILD_SUITE("rules_reminder")
