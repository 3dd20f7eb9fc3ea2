/* How-known texts and their print marks: a weaker statement is never printed as a stronger one. */
#include "unit.h"

#include "reference/reference_int.h"

static const struct {
    const char *text;
    const char *mark; /* NULL: the text does not tell */
} marks[] = {
    /* nothing said: refused rather than taken for seen */
    {"", NULL},
    {"measured by the clinic", NULL},
    {"not seen", NULL},
    {"unseen", NULL},
    {"corrected on review", NULL},
    {"common", NULL},
    {"own", NULL},
    /* one statement each */
    {"memory", "unverified"},
    {"memory (low confidence)", "unverified"},
    {"memory: a handbook of muscle testing", "unverified"},
    {"common practice", "common practice"},
    {"common practice; corrected on review", "common practice"},
    {"seen: example.org/table", ""},
    {"seen (copy of the text): https://example.org/a_(b)", ""},
    {"seen: record (abstract); corrected on review", ""},
    {"seen (secondary): https://example.org", "seen second-hand"},
    {"seen (secondary - course deck; unattributed): https://example.org", "seen second-hand"},
    {"seen second-hand: a later paper", "seen second-hand"},
    {"own wording", "own"},
    {"own geometry", "own"},
    /* several: the weakest wins */
    {"memory; common practice", "common practice, unverified"},
    {"common practice (memory): a working threshold", "common practice, unverified"},
    {"seen: x.org; common practice", "common practice"},
    {"seen: x.org; placement common practice; roots memory (a book)",
     "common practice, unverified"},
    {"seen: https://x.org (axis, arms); end feel memory", "partly unverified"},
    {"memory: a book; medial alignment seen: https://x.org (for flexion)", "partly unverified"},
    {"seen (secondary - means only; CI from memory): a file", "partly unverified"},
    {"seen: a record (instrument: memory)", "partly unverified"},
    {"own wording; memory", "partly unverified"},
    {"seen: x.org; also seen (secondary): y.org", "seen second-hand"},
    {"own wording; seen: x.org", "own"},
    /* seen in brackets only explains the memory, and does not verify it */
    {"memory (abstract seen: 172 people; motion falls with age)", "unverified"},
    {"memory (the parts of the table that were seen agree)", "unverified"},
    {"memory (chart was cut off in the copy seen)", "unverified"},
    {"memory (zero-start method); hyperextension seen: https://x.org", "partly unverified"},
    {"common practice; one list has none (seen: https://x.org/a_(b)); roots memory",
     "common practice, unverified"},
    {"common practice (one list has it); seen: x.org", "common practice"},
    /* a bracket in an address must not hide what follows */
    {"memory; seen: https://x.org/a) (more)", "partly unverified"},
};

START_TEST(mark_is_the_weakest_statement)
{
    const char *mark = known_mark(marks[_i].text);
    if (marks[_i].mark == NULL)
        ck_assert_msg(mark == NULL, "'%s' gave '%s'", marks[_i].text, mark);
    else
        ck_assert_msg(mark != NULL && str_eq(mark, marks[_i].mark), "'%s' gave '%s', not '%s'",
                      marks[_i].text, mark == NULL ? "(none)" : mark, marks[_i].mark);
}
END_TEST

START_TEST(derived_is_a_word_of_its_own)
{
    ck_assert(known_says_derived("seen: x (abstract); derived: from limits of agreement"));
    ck_assert(known_says_derived("seen: x (derived)"));
    ck_assert(!known_says_derived("seen: x; not derived"));
    ck_assert(!known_says_derived("seen: x; underived"));
    ck_assert(!known_says_derived("seen: https://x.org/derived"));
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference known");
    TCase *t = tcase_create("marks");
    tcase_add_loop_test(t, mark_is_the_weakest_statement, 0, (int)ARRAY_LEN(marks));
    tcase_add_test(t, derived_is_a_word_of_its_own);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
