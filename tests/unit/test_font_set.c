/* Loading faces, coverage and measures. */
#include "unit.h"

#include "font/font.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

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

START_TEST(missing_folder_is_reported)
{
    ck_assert_ptr_null(font_set_load("/nonexistent", &diags.sink));
    ck_assert_uint_eq(diags.n, 1);
    ck_assert_int_eq(diags.items[0].code, DIAG_FONT_FILE);
    ck_assert_str_eq(diags.items[0].pos.file, "OpenSans-Regular.ttf");
}
END_TEST

/* A folder with one file of this content in the first face's place. */
static void load_from_bytes(const char *bytes, size_t len)
{
    char folder[] = "/tmp/endfeel-font-XXXXXX";
    char path[sizeof(folder) + 32];
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof(path), "%s/OpenSans-Regular.ttf", folder);
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(bytes, 1, len, f), len);
    ck_assert_int_eq(fclose(f), 0);
    ck_assert_ptr_null(font_set_load(folder, &diags.sink));
    unlink(path);
    rmdir(folder);
}

START_TEST(damaged_file_is_reported)
{
    static const struct {
        const char *bytes;
        size_t len;
    } files[] = {{"", 0}, {"not a font", 10}, {"\0\1\0\0\0\1\0\0\0\0\0\0glyf", 16}};
    load_from_bytes(files[_i].bytes, files[_i].len);
    ck_assert_uint_eq(diags.n, 1);
    ck_assert_int_eq(diags.items[0].code, DIAG_FONT_UNFIT);
}
END_TEST

START_TEST(figures_have_one_width)
{
    for (int face = 0; face < FACE_COUNT; face++) {
        for (int32_t c = '1'; c <= '9'; c++) {
            ck_assert_int_eq(font_advance(set, face, font_glyph(set, face, c)),
                             font_advance(set, face, font_glyph(set, face, '0')));
        }
    }
}
END_TEST

static const struct {
    int32_t character;
    int regular, bold;
} picks[] = {
    {'A', FACE_REGULAR, FACE_BOLD},
    {0xB0, FACE_REGULAR, FACE_BOLD},          /* degree */
    {0xB1, FACE_REGULAR, FACE_BOLD},          /* plus-minus */
    {0x2212, FACE_REGULAR, FACE_BOLD},        /* minus */
    {0x2013, FACE_REGULAR, FACE_BOLD},        /* en dash */
    {0xE9, FACE_REGULAR, FACE_BOLD},          /* e acute */
    {0x2265, FACE_REGULAR, FACE_BOLD},        /* greater or equal */
    {0x2192, FACE_SIGNS, FACE_SIGNS_BOLD},    /* arrow */
    {0x25B2, FACE_SIGNS, FACE_SIGNS_BOLD},    /* triangle */
    {0x2713, FACE_SIGNS, FACE_SIGNS_BOLD},    /* check mark */
    {0x0142, FACE_REGULAR, FACE_BOLD},        /* l with stroke */
    {0x4E2D, -1, -1},                         /* Chinese: not held */
    {0x05D0, -1, -1},                         /* Hebrew: a face has it, set unshaped it is wrong */
    {0x0628, -1, -1},                         /* Arabic */
    {0x0E01, -1, -1},                         /* Thai */
    {'\n', -1, -1},
    {0x1D538, FACE_SIGNS, FACE_SIGNS_BOLD},   /* beyond the first plane */
    {0x10FFFF, -1, -1},
};

START_TEST(picks_a_face)
{
    ck_assert_int_eq(font_pick(set, FACE_REGULAR, picks[_i].character), picks[_i].regular);
    ck_assert_int_eq(font_pick(set, FACE_BOLD, picks[_i].character), picks[_i].bold);
}
END_TEST

START_TEST(signs_face_has_no_second)
{
    ck_assert_int_eq(font_pick(set, FACE_SIGNS, 0x2192), FACE_SIGNS);
    ck_assert_int_eq(font_pick(set, FACE_SIGNS, 0x4E2D), -1);
}
END_TEST

/* 2048 units to the em in this face; '0' is 1171 units wide: 571.8, cut to 571. */
START_TEST(advances_are_cut)
{
    ck_assert_int_eq(font_advance(set, FACE_REGULAR, font_glyph(set, FACE_REGULAR, '0')), 571);
    ck_assert_int_eq(font_advance(set, FACE_REGULAR, 0xFFFFFF), 0);
}
END_TEST

START_TEST(width_is_the_sum_of_advances)
{
    static const char text[] = "118\xc2\xb0 \xe2\x86\x92 \xc3\xa9";
    static const struct {
        int face;
        int32_t c;
    } parts[] = {{FACE_REGULAR, '1'},    {FACE_REGULAR, '1'}, {FACE_REGULAR, '8'},
                 {FACE_REGULAR, 0xB0},   {FACE_REGULAR, ' '}, {FACE_SIGNS, 0x2192},
                 {FACE_REGULAR, ' '},    {FACE_REGULAR, 0xE9}};
    int sum = 0;
    for (size_t i = 0; i < ARRAY_LEN(parts); i++) {
        sum += font_advance(set, parts[i].face, font_glyph(set, parts[i].face, parts[i].c));
    }
    ck_assert_double_eq_tol(font_width(set, FACE_REGULAR, 9, text, sizeof(text) - 1),
                            sum * 9 / 1000.0, 1e-9);
}
END_TEST

START_TEST(width_of_nothing_and_of_soft_hyphen_is_zero)
{
    ck_assert_double_eq(font_width(set, FACE_REGULAR, 9, "", 0), 0);
    ck_assert_double_eq(font_width(set, FACE_REGULAR, 9, "\xc2\xad", 2), 0);
}
END_TEST

/* What no face holds is as wide as the sign that stands for it. */
START_TEST(width_of_unheld_is_that_of_the_stand_in)
{
    double unheld = font_width(set, FACE_REGULAR, 10, "\xe4\xb8\xad", 3);
    ck_assert_double_gt(unheld, 0);
    ck_assert_double_eq(unheld, font_width(set, FACE_REGULAR, 10, "\xef\xbf\xbd", 3));
}
END_TEST

/* A bound that a check can lean on: never less than any character takes, and not of no use. */
START_TEST(nothing_is_wider_than_the_widest)
{
    for (int32_t c = ' '; c < 0x20000; c++) {
        char text[5];
        size_t len = 0;
        if (c < 0x80) {
            text[len++] = (char)c;
        } else if (c < 0x800) {
            text[len++] = (char)(0xC0 | c >> 6);
        } else if (c < 0x10000) {
            text[len++] = (char)(0xE0 | c >> 12);
            text[len++] = (char)(0x80 | (c >> 6 & 0x3F));
        } else {
            text[len++] = (char)(0xF0 | c >> 18);
            text[len++] = (char)(0x80 | (c >> 12 & 0x3F));
            text[len++] = (char)(0x80 | (c >> 6 & 0x3F));
        }
        if (c >= 0x80) {
            text[len++] = (char)(0x80 | (c & 0x3F));
        }
        ck_assert_msg(font_width(set, _i, 10, text, len) <= font_width_most(set, _i, 10, len),
                      "U+%04X", (unsigned)c);
    }
    ck_assert_double_ge(font_width_most(set, _i, 10, 7), font_width(set, _i, 10, "\xFF@@@@@W", 7));
    ck_assert_double_le(font_width_most(set, _i, 10, 7), 10 * 7 * 1.3);
}
END_TEST

START_TEST(heights_are_sane)
{
    for (int face = 0; face < FACE_COUNT; face++) {
        ck_assert_double_gt(font_ascent(set, face, 10), 7);
        ck_assert_double_lt(font_ascent(set, face, 10), 12);
        ck_assert_double_gt(font_descent(set, face, 10), 1.5);
        ck_assert_double_lt(font_descent(set, face, 10), 4);
    }
}
END_TEST

START_TEST(digest_is_stable)
{
    struct font_set *again = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(again);
    ck_assert_str_eq(font_set_digest(set), font_set_digest(again));
    ck_assert_uint_eq(strlen(font_set_digest(set)), 64);
    font_set_free(again);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("font_set");
    TCase *c = tcase_create("font_set");
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_test(c, missing_folder_is_reported);
    tcase_add_loop_test(c, damaged_file_is_reported, 0, 3);
    tcase_add_test(c, figures_have_one_width);
    tcase_add_loop_test(c, picks_a_face, 0, (int)ARRAY_LEN(picks));
    tcase_add_test(c, signs_face_has_no_second);
    tcase_add_test(c, advances_are_cut);
    tcase_add_test(c, width_is_the_sum_of_advances);
    tcase_add_test(c, width_of_nothing_and_of_soft_hyphen_is_zero);
    tcase_add_test(c, width_of_unheld_is_that_of_the_stand_in);
    tcase_add_loop_test(c, nothing_is_wider_than_the_widest, 0, FACE_COUNT);
    tcase_add_test(c, heights_are_sane);
    tcase_add_test(c, digest_is_stable);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
