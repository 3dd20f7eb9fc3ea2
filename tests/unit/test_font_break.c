/* Where a line may end. Each text is written with '|' at every place it may break. */
#include "unit.h"

#include "font/font.h"

#include <string.h>

static const char *const texts[] = {
    /* what must stay whole */
    "0-10-120",
    "4-/5",
    "3+/5",
    "118\xc2\xb0",
    "118 \xc2\xb0",
    "110 \xc2\xb1 5\xc2\xb0",
    "0 - 120",
    "0 \xe2\x80\x93 120",
    "0\xe2\x80\x93" "120",
    "\xe2\x88\x92" "10",
    "\xe2\x89\xa5 5",
    "12\xc2\xa0kg",
    "L4-L5",
    "n/a",
    "R/L",
    "s/p",
    "Nm/kg",
    "12/31/2024",
    "2024-03-01",
    "-5",
    "5\xe2\x80\x94",
    /* spaces */
    "left |knee",
    "left  |knee",
    "a\xc2\xa0" "b |c",
    "gain |of |12\xc2\xb0, |now |0-10-120",
    "from |110 |to |120",
    "left |- 5",
    "x |= 5",
    "trailing ",
    /* hyphens and dashes */
    "re-|evaluation",
    "re\xe2\x80\x90|evaluation",
    "word\xe2\x80\x93|word",
    "word\xe2\x80\x94|word",
    "word |\xe2\x80\x93 |word",
    "grade |4-",
    "caf\xc3\xa9-|table",
    /* slashes */
    "and/|or",
    "flexion/|extension",
    "he/|she",
    /* soft hyphens */
    "ab\xc2\xad|duc\xc2\xad|tion",
    "",
};

/* The text without its marks, and the offsets where the marks stood. */
static size_t read_marks(const char *marked, char *text, size_t *breaks)
{
    size_t n = 0, len = 0;
    for (; *marked != '\0'; marked++) {
        if (*marked == '|') {
            breaks[n++] = len;
        } else {
            text[len++] = *marked;
        }
    }
    text[len] = '\0';
    breaks[n++] = len;
    return n;
}

START_TEST(breaks_where_marked)
{
    char text[128];
    size_t breaks[16];
    size_t n = read_marks(texts[_i], text, breaks);
    size_t len = strlen(text), at = 0, trim = 0;
    for (size_t i = 0; i < n; i++) {
        at = font_next_break(text, len, at, &trim);
        ck_assert_msg(at == breaks[i], "'%s': break %zu at %zu, expected %zu", text, i, at,
                      breaks[i]);
    }
    ck_assert_uint_eq(at, len);
}
END_TEST

START_TEST(trims_spaces_at_the_end)
{
    size_t trim = 99;
    ck_assert_uint_eq(font_next_break("ab  cd", 6, 0, &trim), 4);
    ck_assert_uint_eq(trim, 2);
    ck_assert_uint_eq(font_next_break("ab  cd", 6, 4, &trim), 6);
    ck_assert_uint_eq(trim, 0);
    ck_assert_uint_eq(font_next_break("ab ", 3, 0, &trim), 3);
    ck_assert_uint_eq(trim, 1);
    ck_assert_uint_eq(font_next_break("re-use", 6, 0, &trim), 3);
    ck_assert_uint_eq(trim, 0);
}
END_TEST

/* Always forward, never past the end, whatever the bytes. */
START_TEST(ends_on_any_bytes)
{
    char text[64];
    unsigned seed = (unsigned)_i * 2654435761U + 1;
    for (size_t i = 0; i < sizeof(text); i++) {
        seed = seed * 1103515245U + 12345U;
        text[i] = "ab0 -/\xc2\xb0\xe2\x80\x93\xff"[(seed >> 16) % 13];
    }
    size_t at = 0, trim = 0, steps = 0;
    while (at < sizeof(text)) {
        size_t next = font_next_break(text, sizeof(text), at, &trim);
        ck_assert_uint_gt(next, at);
        ck_assert_uint_le(next, sizeof(text));
        ck_assert_uint_le(trim, next - at);
        at = next;
        ck_assert_uint_le(++steps, sizeof(text));
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("font_break");
    TCase *c = tcase_create("font_break");
    tcase_add_loop_test(c, breaks_where_marked, 0, (int)ARRAY_LEN(texts));
    tcase_add_test(c, trims_spaces_at_the_end);
    tcase_add_loop_test(c, ends_on_any_bytes, 0, 50);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
