/* Text made fit to set. */
#include "unit.h"

#include "font/font.h"

#include <string.h>

static struct font_set *set;
static struct diag_list diags;

static void setup(void)
{
    diag_list_init(&diags);
    set = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(set);
}

static void teardown(void)
{
    font_set_free(set);
    diag_list_release(&diags);
}

#define STAND_IN "\xef\xbf\xbd"

static const struct {
    const char *text, *clean;
    int32_t missing;
} cases[] = {
    /* not held: first one named, its place kept */
    {"a\xe4\xb8\xad" "b\xd7\x90", "a" STAND_IN "b" STAND_IN, 0x4E2D},
    {"\xd8\xa8", STAND_IN, 0x0628},
    {"ok \xf0\x9f\xa6\xb4", "ok " STAND_IN, 0x1F9B4},
    {"a\xff" "b", "a" STAND_IN "b", 0xFFFD},
    {"a\xc3", "a" STAND_IN, 0xFFFD},
    {"\xed\xa0\x80", STAND_IN STAND_IN STAND_IN, 0xFFFD},
    /* plain */
    {"", "", 0},
    {"118\xc2\xb0 \xc2\xb1 5", "118\xc2\xb0 \xc2\xb1 5", 0},
    {"\xe2\x96\xb2 \xe2\x9c\x93", "\xe2\x96\xb2 \xe2\x9c\x93", 0},
    /* white space and controls */
    {"a\tb\nc\r\nd", "a b c d", 0},
    {"a\x01" "b\x7f" "c", "abc", 0},
    {"\xef\xbb\xbf" "a\xe2\x80\x8b" "b\xe2\x80\x8e" "c", "abc", 0},
    {"\xe2\x9c\x93\xef\xb8\x8f", "\xe2\x9c\x93", 0},
    {"a\xe2\x80\xa8" "b", "a b", 0},
    /* no-break spaces stay so, whatever their width */
    {"5\xc2\xa0kg", "5\xc2\xa0kg", 0},
    {"ab\xc2\xad" "c", "ab\xc2\xad" "c", 0},
    /* accents given apart are composed */
    {"e\xcc\x81", "\xc3\xa9", 0},                           /* e + acute */
    {"A\xcc\x8a", "\xc3\x85", 0},                           /* A + ring */
    {"o\xcc\x82\xcc\x81", "\xe1\xbb\x91", 0},               /* o + circumflex + acute */
    {"a\xcc\xa3\xcc\x82", "\xe1\xba\xad", 0},               /* a + dot below + circumflex */
    {"a\xcc\x82\xcc\xa3", "\xe1\xba\xad", 0},               /* the same, other order */
    {"\xc3\xa2\xcc\xa3", "\xe1\xba\xad", 0},                /* the same, half composed */
    {"N\xcc\x83n", "\xc3\x91n", 0},
    {"q\xcc\x83", "q\xcc\x83", 0},                          /* no such letter: left apart */
    {"\xcc\x81" "a", "\xcc\x81" "a", 0},                    /* a mark with nothing before it */
};

START_TEST(cleans)
{
    struct buf out;
    buf_init(&out, 1 << 16);
    int32_t missing = -1;
    font_clean(set, cases[_i].text, strlen(cases[_i].text), &out, &missing);
    ck_assert_str_eq(buf_text(&out), cases[_i].clean);
    ck_assert_int_eq(missing, cases[_i].missing);
    buf_release(&out);
}
END_TEST

/* A pile of marks longer than the room for one letter loses none of them. */
START_TEST(keeps_long_piles)
{
    enum { MARKS = 100 };
    char text[1 + 2 * MARKS + 1] = "q";
    for (int i = 0; i < MARKS; i++) {
        memcpy(text + 1 + 2 * i, "\xcc\x83", 2);
    }
    struct buf out;
    buf_init(&out, 1 << 16);
    font_clean(set, text, sizeof(text) - 1, &out, NULL);
    ck_assert_uint_eq(out.len, sizeof(text) - 1);
    buf_release(&out);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("font_clean");
    TCase *c = tcase_create("font_clean");
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_loop_test(c, cleans, 0, (int)ARRAY_LEN(cases));
    tcase_add_test(c, keeps_long_piles);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
