/* What may be told of text, dates, ages and people without telling who: a word too many keeps a
 * text back. */
#include "findings_sample.h"

static const struct answer positions[] = {
    {"supine", "supine"},
    {"Sitting, hip 90", "sitting, hip 90"},
    {"Prone", "prone"},
    {"sitting, hip 90 degrees", "sitting, hip 90 degrees"},
    {"shoulder 90 abducted", "shoulder 90 abducted"},
    {"hip flexed 90", "hip flexed 90"},
    {"lying on the edge of the table", "lying on the edge of the table"},
    {"table", "position A"},
    {"standing by Harbour Surgery", "position A"},
    {"supine; MRN 7744113", "position A"},
    {"1 2 3 hip", "position A"},
    {"90", "position A"},
};

static const struct answer tools[] = {
    {"goniometer", "goniometer"},
    {"Universal goniometer", "universal goniometer"},
    {"goniometer SN-66127", "tool A"},
    {"the blue one of Marit", "tool A"},
};

static const struct answer reasons[] = {
    {"", ""},
    {"too painful today", "pain"},
    {"Refused", "declined"},
    {"patient was unable", "unable"},
    {"surgeon's protocol", "precaution"},
    {"in a cast", "immobilised"},
    {"broadcast at nine", "other"},
    {"no time", "time"},
    {"Marit Oskend was late", "other"},
};

struct told {
    struct sample sample;
    struct measurement m;
    struct arena *arena;
    const struct findings_deid *deid;
};

static void tell(struct told *t, const char *position, const char *tool)
{
    sample_init(&t->sample);
    t->arena = arena_new();
    t->m = (struct measurement){.motion = &knee_flexion, .position = position, .tool = tool};
    t->sample.visit.measurements = &t->m;
    t->sample.visit.n_measurements = 1;
    t->sample.patient.visits = &t->sample.visit;
    t->sample.patient.n_visits = 1;
    t->deid = findings_deid_new(&t->sample.patient, t->arena);
}

START_TEST(typed_text)
{
    struct told t;
    const struct answer *a = &positions[_i];
    tell(&t, a->expression, NULL);
    ck_assert_str_eq(findings_deid_position(t.deid, a->expression), a->value);
    arena_free(t.arena);
}
END_TEST

START_TEST(typed_tool)
{
    struct told t;
    tell(&t, NULL, tools[_i].expression);
    ck_assert_str_eq(findings_deid_tool(t.deid, tools[_i].expression), tools[_i].value);
    arena_free(t.arena);
}
END_TEST

START_TEST(reason_codes)
{
    struct told t;
    tell(&t, NULL, NULL);
    const char *code = findings_deid_reason(t.deid, reasons[_i].expression);
    ck_assert_str_eq(code != NULL ? code : "", reasons[_i].value);
    arena_free(t.arena);
}
END_TEST

START_TEST(weeks_and_days)
{
    struct told t;
    tell(&t, NULL, NULL);
    struct visit visits[4];
    static const struct date dates[] = {{2033, 2, 3}, {2033, 2, 9}, {2033, 2, 10}, {2033, 2, 12}};
    static const char *const days[] = {"2000-01-03", "2000-01-04", "2000-01-10", "2000-01-11"};
    static const double weeks[] = {0, 0, 1, 1};
    for (size_t i = 0; i < ARRAY_LEN(dates); i++)
        visits[i] = (struct visit){.date = dates[i]};
    t.sample.patient.visits = visits;
    t.sample.patient.n_visits = ARRAY_LEN(dates);
    const struct findings_deid *deid = findings_deid_new(&t.sample.patient, t.arena);
    for (size_t i = 0; i < ARRAY_LEN(dates); i++) {
        char text[DATE_TEXT_MAX];
        ck_assert_str_eq(date_format(text, findings_deid_date(deid, dates[i])), days[i]);
        ck_assert(findings_deid_week(deid, dates[i]).value == weeks[i]);
    }
    ck_assert(findings_deid_week(deid, (struct date){2033, 2, 2}).value == -1);
    ck_assert(!findings_deid_week(deid, (struct date){0}).has);
    ck_assert(!date_is_set(findings_deid_date(deid, (struct date){0})));
    arena_free(t.arena);
}
END_TEST

START_TEST(age_bands)
{
    static const struct {
        double age;
        int from, to; /* -1: no end */
    } bands[] = {{0, 0, 1},   {1.99, 0, 1}, {2, 2, 4},     {14, 10, 14},  {19, 15, 19},
                 {20, 20, 29}, {79, 70, 79}, {89, 80, 89}, {90, 90, -1}, {104, 90, -1}};
    int from;
    struct num to;
    struct diag_sink sink = {0};
    struct reference *ref = reference_load_embedded(&sink);
    ck_assert_ptr_nonnull(ref);
    findings_deid_age(ref, bands[_i].age, &from, &to);
    reference_free(ref);
    ck_assert_int_eq(from, bands[_i].from);
    ck_assert(to.has == (bands[_i].to >= 0) && (!to.has || to.value == bands[_i].to));
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings without identifiers");
    TCase *c = tcase_create("deid");
    tcase_add_loop_test(c, typed_text, 0, (int)ARRAY_LEN(positions));
    tcase_add_loop_test(c, typed_tool, 0, (int)ARRAY_LEN(tools));
    tcase_add_loop_test(c, reason_codes, 0, (int)ARRAY_LEN(reasons));
    tcase_add_test(c, weeks_and_days);
    tcase_add_loop_test(c, age_bands, 0, 10);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
