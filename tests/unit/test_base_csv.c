/* Cells of CSV: what a reader or a spreadsheet would take apart. */
#include "unit.h"

#include "base/base.h"

static const struct {
    const char *text, *written;
} cells[] = {
    {"", ""},
    {"plain", "plain"},
    {"a,b", "\"a,b\""},
    {"say \"x\"", "\"say \"\"x\"\"\""},
    {"two\nlines", "\"two\nlines\""},
    {"cr\r", "\"cr\r\""},
    {" lead", "\" lead\""},
    {"trail ", "\"trail \""},
    {"a;b", "a;b"},
    {"=1+1", "'=1+1"},
    {"+1", "'+1"},
    {"@x", "'@x"},
    {"\tx", "'\tx"},
    {"'x", "''x"},
    {"-x", "'-x"},
    {"-12.5", "-12.5"},
    {"=a,b", "\"'=a,b\""},
};

START_TEST(cell)
{
    struct buf b;
    buf_init(&b, 100);
    csv_put(&b, cells[_i].text);
    ck_assert_str_eq(buf_text(&b), cells[_i].written);
    buf_release(&b);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("base: CSV cells");
    TCase *c = tcase_create("cells");
    tcase_add_loop_test(c, cell, 0, (int)ARRAY_LEN(cells));
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
