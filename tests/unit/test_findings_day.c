/* The day as a document, from a day without a report to one that uses every name. */
#include "findings_sample.h"

START_TEST(nothing_that_day)
{
    xmlDoc *doc = findings_day_document(NULL, 0, NULL, 0, NULL, 0, 1, 1);
    static const struct answer answers[] = {
        {"count(/day/@date)", "0"},     {"/day/@reports", "0"}, {"/day/@visits", "0"},
        {"/day/@patients", "0"},        {"/day/@held", "0"},    {"count(/day/*)", "0"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

START_TEST(counts_and_names)
{
    const struct reminder reminders[] = {
        {"certification", "medicare-part-b", "overdue", 95, 90, true, {2024, 12, 1}, {2025, 3, 1}},
        {"progress-report", "clinic", "due", 10, 10, false, {2025, 2, 4}, {0}},
    };
    const struct day_entry full = {.patient_id = "P-2",
                                   .name = "Test, Person",
                                   .kind = "chart",
                                   .file = "2025-03-04/P-2.pdf",
                                   .worst = "worse",
                                   .author = "S. Learner",
                                   .role = "student",
                                   .visit_date = {2025, 3, 4},
                                   .visit_kind = "progress",
                                   .treatment_day = 10,
                                   .pages = 2,
                                   .notes = 3,
                                   .held = 1,
                                   .amendment = 1,
                                   .needs_countersign = true,
                                   .reminders = reminders,
                                   .n_reminders = ARRAY_LEN(reminders)};
    struct day_entry letter = full, other = full, earlier = full;
    letter.kind = "letter";
    other.patient_id = "P-1";
    other.amendment = 0;
    other.is_signed = true;
    other.needs_countersign = false;
    other.treatment_day = 0;
    other.n_reminders = 0;
    earlier.visit_date = (struct date){2025, 2, 4};
    const struct day_entry entries[] = {full, letter, other, earlier};
    const struct day_tally files[] = {{"knee.csv", 10, 8, 1, 1}};
    const struct diag_pos pos = {"knee.csv", 4, 7, "value"};
    const struct diag problems[] = {
        {sample_code(OUTCOME_HELD_BACK), pos, ">120", "a number"},
        {sample_code(OUTCOME_NOTE), pos, NULL, NULL},
    };
    xmlDoc *doc = findings_day_document(entries, ARRAY_LEN(entries), files, ARRAY_LEN(files),
                                        problems, ARRAY_LEN(problems), 2, 5);
    static const struct answer answers[] = {
        {"/day/@date", "2025-03-04"},
        {"/day/@reports", "4"},
        {"/day/@visits", "3"},
        {"/day/@patients", "2"},
        {"/day/@held", "1"},
        {"/day/@part", "2"},
        {"/day/@parts", "5"},
        {"/day/entry[2]/@kind", "letter"},
        {"/day/entry[1]/@countersign", "yes"},
        {"/day/entry[1]/@signed", "no"},
        {"/day/entry[1]/@amendment", "1"},
        {"count(/day/entry[3]/@amendment | /day/entry[3]/@countersign)", "0"},
        {"/day/entry[3]/@signed", "yes"},
        {"/day/entry[1]/@treatment-day", "10"},
        {"count(/day/entry[3]/@treatment-day)", "0"},
        /* Once a visit, with its first report. */
        {"count(/day/entry[1]/reminder)", "2"},
        {"count(/day/entry[2]/reminder)", "0"},
        {"count(/day/entry[3]/reminder)", "0"},
        {"count(/day/entry[4]/reminder)", "2"},
        {"/day/entry[1]/reminder[1]/@due", "2025-03-01"},
        {"/day/entry[1]/reminder[2]/@count", "10"},
        {"count(/day/entry[1]/reminder[2]/@due)", "0"},
        {"/day/file/@rows", "10"},
        {"/day/file/@used", "8"},
        {"/day/problem[1]/@text", ">120"},
        {"count(/day/problem)", "2"},
    };
    expect(doc, answers, ARRAY_LEN(answers));

    size_t n;
    const struct vocabulary_entry *names = findings_vocabulary("day", &n);
    ck_assert_uint_eq(n, 5);
    for (size_t i = 0; i < n; i++) {
        char list[512], *rest = NULL;
        snprintf(list, sizeof list, "%s", names[i].attributes);
        int count = 0;
        for (char *word = strtok_r(list, " ", &rest); word != NULL;
             word = strtok_r(NULL, " ", &rest), count++) {
            char expression[128];
            snprintf(expression, sizeof expression, "count(//%s/@%s) > 0", names[i].element, word);
            ck_assert_msg(strcmp(ask(doc, expression), "true") == 0, "never: %s", expression);
        }
        /* No other attribute: the first element of each name carries all there are. */
        char expression[64], expected[16];
        snprintf(expression, sizeof expression, "count((//%s)[1]/@*)", names[i].element);
        snprintf(expected, sizeof expected, "%d", count);
        ck_assert_str_eq(ask(doc, expression), expected);
    }
    findings_free(doc);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings day");
    TCase *t = tcase_create("day");
    tcase_add_test(t, nothing_that_day);
    tcase_add_test(t, counts_and_names);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
