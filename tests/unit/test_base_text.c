/* Numbers, dates, text and digests: the small tools every other folder trusts. */
#include "base/base.h"
#include "unit.h"

#include <string.h>

static const struct {
    const char *text;
    bool ok;
    double value;
} numbers[] = {
    {"", false, 0},      {"-", false, 0},     {".", false, 0},      {"1e3", false, 0},
    {" 1", false, 0},    {"1 ", false, 0},    {"0x10", false, 0},   {"nan", false, 0},
    {"1,5", false, 0},   {"1.2.3", false, 0}, {"--1", false, 0},    {"120", true, 120},
    {"-10", true, -10},  {"+5", true, 5},     {"118.5", true, 118.5}, {".5", true, 0.5},
    {"7.", true, 7},     {"0", true, 0},
    {"11111111111111111111111111111111111111111111", false, 0},
};

START_TEST(number_parsing)
{
    double value = 0;
    const char *s = numbers[_i].text;
    ck_assert_msg(num_parse(s, strlen(s), &value) == numbers[_i].ok, "'%s'", s);
    if (numbers[_i].ok)
        ck_assert_double_eq(value, numbers[_i].value);
}
END_TEST

static const struct {
    double value;
    int decimals;
    const char *text;
} formats[] = {
    {0, 1, "0.0"},         {-0.04, 1, "0.0"},   {-0.0, 0, "0"},       {0.05, 1, "0.1"},
    {-0.05, 1, "-0.1"},    {2.25, 1, "2.3"},    {-2.25, 1, "-2.3"},   {1.005, 2, "1.01"},
    {82.3333333, 1, "82.3"}, {9.7018, 1, "9.7"}, {-1.0194, 2, "-1.02"}, {119.95, 1, "120.0"},
    {0.285, 2, "0.29"},    {1e6, 0, "1000000"}, {-10.5, 0, "-11"},    {2.5, 0, "3"},
};

START_TEST(number_formatting)
{
    char out[NUM_TEXT_MAX];
    ck_assert_str_eq(num_format(out, formats[_i].value, formats[_i].decimals), formats[_i].text);
}
END_TEST

START_TEST(dates)
{
    struct date d = {0};
    static const char *const bad[] = {"2025-02-30", "2025-13-01", "2025-00-10", "25-01-01",
                                      "2025/01/01", "2025-1-1",   "1799-12-31", "2201-01-01",
                                      "2025-01-011", "",          "2023-02-29"};
    for (size_t i = 0; i < ARRAY_LEN(bad); i++)
        ck_assert_msg(!date_parse_iso(bad[i], &d), "%s", bad[i]);
    ck_assert(!date_is_set(d));
    ck_assert(date_parse_iso("2024-02-29", &d));
    ck_assert_int_eq(date_days((struct date){1970, 1, 1}), 0);
    ck_assert_int_eq(date_days((struct date){2000, 3, 1}), 11017);
    for (long day = -40000; day < 60000; day += 13)
        ck_assert_int_eq(date_days(date_from_days(day)), day);
    char text[DATE_TEXT_MAX];
    ck_assert_str_eq(date_format(text, d), "2024-02-29");
    ck_assert_str_eq(date_format(text, (struct date){0}), "");
}
END_TEST

START_TEST(ages)
{
    struct date birth = {1980, 6, 15};
    ck_assert_double_eq(date_age_years(birth, (struct date){2025, 6, 14}), 44);
    ck_assert_double_eq(date_age_years(birth, (struct date){2025, 6, 15}), 45);
    ck_assert_double_eq_tol(date_age_years((struct date){2025, 1, 1}, (struct date){2025, 7, 2}),
                            182 / 365.25, 1e-12);
}
END_TEST

START_TEST(utf8)
{
    static const char *const bad[] = {
        "\x80", "\xC0\xAF", "\xED\xA0\x80", "\xC3", "\xF5\x80\x80\x80", "\xE2\x82", "a\xFFz"};
    for (size_t i = 0; i < ARRAY_LEN(bad); i++)
        ck_assert(!utf8_is_valid(bad[i], strlen(bad[i])));
    ck_assert(!utf8_is_valid("a\0b", 3));
    static const char good[] = "118\xC2\xB0 \xE2\x88\x92 \xF0\x9F\x98\x80";
    ck_assert(utf8_is_valid(good, strlen(good)));
    struct buf b;
    buf_init(&b, 100);
    const char *s = good, *end = good + strlen(good);
    while (s < end)
        utf8_put(&b, utf8_next(&s, end));
    ck_assert_str_eq(buf_text(&b), good);
    buf_release(&b);
}
END_TEST

START_TEST(nearest)
{
    static const char *const names[] = {"flexion", "extension", "external-rotation"};
    ck_assert_str_eq(str_nearest("felxion", names, 3), "flexion");
    ck_assert_str_eq(str_nearest("extention", names, 3), "extension");
    ck_assert_ptr_null(str_nearest("zzzz", names, 3));
    ck_assert_ptr_null(str_nearest("x", NULL, 0));
    ck_assert_int_eq(str_distance("ab", "ba"), 1);
    ck_assert_int_eq(str_distance("", "abc"), 3);
}
END_TEST

/* FIPS 180-4 example "abc"; FNV-1a test value of the empty input (the offset basis). */
START_TEST(digests)
{
    struct digest d;
    char hex[DIGEST_HEX];
    digest_init(&d);
    digest_add(&d, "abc", 3);
    digest_hex(&d, hex);
    ck_assert_str_eq(hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    ck_assert_uint_eq(hash_fnv1a64("", 0), 14695981039346656037u);
    ck_assert_uint_eq(hash_fnv1a64("a", 1), 0xaf63dc4c8601ec8cu);
}
END_TEST

/* Texts of every length around the sizes at which a buffer grows come out whole, into an empty
 * buffer and after others. */
START_TEST(formatted_text_fits_as_the_buffer_grows)
{
    char want[1200];
    for (size_t len = 0; len < 1100; len++) {
        struct buf b;
        memset(want, 'x', len);
        want[len] = '\0';
        buf_init(&b, 4096);
        buf_addf(&b, "%s", want);
        ck_assert_str_eq(b.data, want);
        buf_addf(&b, "-%d", -5);
        ck_assert_uint_eq(b.len, len + 3);
        ck_assert_str_eq(b.data + len, "--5");
        buf_release(&b);
    }
}
END_TEST

START_TEST(whole_numbers_are_added)
{
    struct buf b;
    buf_init(&b, 100);
    buf_addu(&b, 0);
    buf_addc(&b, ' ');
    buf_addu(&b, 1090);
    buf_addc(&b, ' ');
    buf_addu(&b, UINT64_MAX);
    ck_assert_str_eq(buf_text(&b), "0 1090 18446744073709551615");
    buf_release(&b);
}
END_TEST

START_TEST(every_diagnostic_is_whole)
{
    enum diag_code found;
    for (int c = 0; c < DIAG_CODE_COUNT; c++) {
        enum diag_code code = (enum diag_code)c;
        const char *id = diag_id(code);
        ck_assert_msg(strspn(id, "abcdefghijklmnopqrstuvwxyz0123456789-") == strlen(id), "%s", id);
        ck_assert(!str_is_empty(diag_reason(code)));
        ck_assert(diag_code_by_id(id, &found));
        ck_assert_msg(found == code, "id %s is used twice", id);
    }
    ck_assert(!diag_code_by_id("no-such-code", &found));
}
END_TEST

static Suite *make(void)
{
    Suite *s = suite_create("base text");
    TCase *t = tcase_create("all");
    tcase_add_loop_test(t, number_parsing, 0, ARRAY_LEN(numbers));
    tcase_add_loop_test(t, number_formatting, 0, ARRAY_LEN(formats));
    tcase_add_test(t, dates);
    tcase_add_test(t, ages);
    tcase_add_test(t, utf8);
    tcase_add_test(t, nearest);
    tcase_add_test(t, digests);
    tcase_add_test(t, formatted_text_fits_as_the_buffer_grows);
    tcase_add_test(t, whole_numbers_are_added);
    tcase_add_test(t, every_diagnostic_is_whole);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make)
