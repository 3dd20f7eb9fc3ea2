/* Which flags doubt the entry itself has one home, and the findings document tells it. */
#include "findings_sample.h"

START_TEST(of_the_entry_or_not)
{
    static const char *const doubts[] = {"sides-swapped", "jump-beyond-other-side", "lone-trace",
                                         "passive-below-active", "flexion-below-lack",
                                         "taut-beyond-slack"};
    size_t n, found = 0;
    const struct flag_info *known = rules_flags(&n);
    for (size_t i = 0; i < n; i++)
        found += rules_flag_doubts(known[i].id);
    ck_assert_uint_eq(found, ARRAY_LEN(doubts)); /* each is a flag that a rule can raise */
    for (size_t i = 0; i < ARRAY_LEN(doubts); i++)
        ck_assert(rules_flag_doubts(doubts[i]));
}
END_TEST

START_TEST(flag_and_headline)
{
    struct sample s;
    sample_fill(&s);
    struct finding *f = (struct finding *)s.v.headline;
    f->flags[f->n_flags++] = (struct flag){"lone-trace", FLAG_WARNING};
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer doubted[] = {
        {"count(//flag/@doubt)", "1"},
        {"//flag[@code = 'lone-trace']/@doubt", "yes"},
        {"//headline/@doubt", "yes"},
    };
    expect(doc, doubted, ARRAY_LEN(doubted));
    findings_free(doc);
    f->n_flags--; /* the last one */
    doc = findings_document(&s.v, NULL);
    static const struct answer sure[] = {{"count(//@doubt)", "0"}};
    expect(doc, sure, ARRAY_LEN(sure));
    findings_free(doc);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings doubt");
    TCase *t = tcase_create("doubt");
    tcase_add_test(t, of_the_entry_or_not);
    tcase_add_test(t, flag_and_headline);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
