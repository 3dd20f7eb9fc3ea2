/* Subsets ready to embed. */
#include "unit.h"

#include "font/font.h"

#include <hb.h>

#include <stdlib.h>
#include <string.h>
#include <zlib.h>

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

static char *unpack(const struct buf *b, size_t room, size_t *len)
{
    uLongf n = room;
    char *out = mem_alloc(room + 1);
    ck_assert_int_eq(uncompress((Bytef *)out, &n, (const Bytef *)b->data, b->len), Z_OK);
    *len = n;
    return out;
}

START_TEST(refuses_unheld_characters)
{
    static const int32_t extra[] = {0x142, 0x4E2D};
    ck_assert_ptr_null(font_subset_new(set, FACE_REGULAR, extra, 2, &diags.sink));
    ck_assert_uint_eq(diags.n, 1);
    ck_assert_int_eq(diags.items[0].code, DIAG_FONT_GLYPH);
    ck_assert_ptr_nonnull(strstr(diags.items[0].detail, "U+4E2D"));
}
END_TEST

/* Every core character is set by some face, so a core document needs no subset of its own. */
START_TEST(core_is_held)
{
    for (int32_t c = 0; c < 0x10000; c++) {
        if (font_is_core(c)) {
            ck_assert_msg(font_pick(set, FACE_REGULAR, c) >= 0, "U+%04X", (unsigned)c);
            ck_assert_msg(font_pick(set, FACE_BOLD, c) >= 0, "U+%04X bold", (unsigned)c);
        }
    }
    ck_assert(font_is_core('0') && font_is_core(0xB0) && font_is_core(0x2713));
    ck_assert(!font_is_core(0xE9) && !font_is_core(0x142));
    ck_assert(!font_is_core('\n') && !font_is_core(0xAD));
}
END_TEST

START_TEST(core_is_small)
{
    static const size_t most[FACE_COUNT] = {8000, 8000, 1500, 1500};
    for (int face = 0; face < FACE_COUNT; face++) {
        struct font_subset *s = font_subset_new(set, face, NULL, 0, &diags.sink);
        ck_assert_ptr_nonnull(s);
        ck_assert_uint_le(s->program.len, most[face]);
        ck_assert_uint_gt(s->program.len, 500);
        size_t len = 0;
        char *program = unpack(&s->program, s->program_size, &len);
        ck_assert_uint_eq(len, s->program_size);
        ck_assert_int_eq(memcmp(program, "\0\1\0\0", 4), 0);
        free(program);
        font_subset_free(s);
    }
}
END_TEST

START_TEST(same_characters_same_bytes)
{
    static const int32_t one[] = {0x142, 0x15F};
    static const int32_t other[] = {0x15F, 0x142, 0x142};
    struct font_subset *a = font_subset_new(set, FACE_REGULAR, one, 2, &diags.sink);
    struct font_subset *b = font_subset_new(set, FACE_REGULAR, other, 3, &diags.sink);
    ck_assert_ptr_nonnull(a);
    ck_assert_ptr_nonnull(b);
    ck_assert_str_eq(a->name, b->name);
    ck_assert_uint_eq(a->program.len, b->program.len);
    ck_assert_int_eq(memcmp(a->program.data, b->program.data, a->program.len), 0);
    ck_assert_str_eq(a->widths.data, b->widths.data);
    font_subset_free(a);
    font_subset_free(b);
}
END_TEST

START_TEST(name_tells_subsets_apart)
{
    static const int32_t extra[] = {0x142};
    struct font_subset *a = font_subset_new(set, FACE_BOLD, NULL, 0, &diags.sink);
    struct font_subset *b = font_subset_new(set, FACE_BOLD, extra, 1, &diags.sink);
    ck_assert_str_ne(a->name, b->name);
    ck_assert_str_eq(a->name + 6, "+OpenSans-Bold");
    for (int i = 0; i < 6; i++) {
        ck_assert(a->name[i] >= 'A' && a->name[i] <= 'Z');
    }
    font_subset_free(a);
    font_subset_free(b);
}
END_TEST

START_TEST(extra_characters_are_mapped)
{
    static const int32_t extra[] = {0x142, 0x1D538};
    static const int faces[] = {FACE_REGULAR, FACE_SIGNS};
    static const char *const codes[] = {"<0142>", "<D835DD38>"};
    struct font_subset *s = font_subset_new(set, faces[_i], &extra[_i], 1, &diags.sink);
    ck_assert_ptr_nonnull(s);
    unsigned glyph = font_glyph(set, faces[_i], extra[_i]);
    char line[32];
    snprintf(line, sizeof(line), "<%04X> %s\n", glyph, codes[_i]);
    size_t len = 0;
    char *map = unpack(&s->to_unicode, 1 << 16, &len);
    ck_assert_ptr_nonnull(strstr(map, line));
    free(map);
    unsigned char *bits = (unsigned char *)unpack(&s->cid_set, 1 << 13, &len);
    ck_assert_uint_gt(len, glyph / 8);
    ck_assert(bits[glyph / 8] & (0x80U >> (glyph % 8)));
    ck_assert(bits[0] & 0x80U); /* glyph 0 is always there */
    free(bits);
    font_subset_free(s);
}
END_TEST

/* Every character of the core has a code of its own, ASCII and Latin-1 theirs; a control none. */
START_TEST(codes_tell_the_core_apart)
{
    int32_t taken[FONT_CODES] = {0};
    for (int32_t c = 0; c < 0x11000; c++) {
        unsigned code = font_code(c);
        ck_assert_msg(code != 0 || !font_is_core(c), "U+%04X", (unsigned)c);
        if (code != 0) {
            ck_assert_uint_ge(code, FONT_CODE_FIRST);
            ck_assert_uint_lt(code, FONT_CODES);
            ck_assert_msg(taken[code] == 0, "U+%04X and U+%04X", (unsigned)taken[code],
                          (unsigned)c);
            taken[code] = c;
            ck_assert(c > 0xFF || code == (unsigned)c);
        }
    }
    static const int32_t none[] = {0, '\n', 0x1F, 0x7F, 0x80, 0x9F, 0xAD, 0x100, 0x142, 0x2015};
    for (size_t i = 0; i < ARRAY_LEN(none); i++) {
        ck_assert_uint_eq(font_code(none[i]), 0);
    }
}
END_TEST

/* What a reader takes for a code: the glyph of the program's table, a width, a character. */
START_TEST(codes_are_mapped)
{
    static const int32_t extra[] = {0xE9};
    static const int32_t asked[] = {'A', 0xB0, 0xE9, 0x2013};
    struct font_subset *s = font_subset_new(set, _i, _i < FACE_SIGNS ? extra : NULL,
                                            _i < FACE_SIGNS ? 1 : 0, &diags.sink);
    ck_assert_ptr_nonnull(s);
    size_t len = 0;
    char *program = unpack(&s->program, s->program_size, &len);
    hb_blob_t *blob = hb_blob_create(program, (unsigned)len, HB_MEMORY_MODE_READONLY, NULL, NULL);
    hb_face_t *cut = hb_face_create(blob, 0);
    hb_blob_t *table = hb_face_reference_table(cut, HB_TAG('c', 'm', 'a', 'p'));
    unsigned size = 0;
    const unsigned char *bytes = (const unsigned char *)hb_blob_get_data(table, &size);
    ck_assert_uint_eq(size, 22 + 2 * (FONT_CODES - FONT_CODE_FIRST));
    char *map = unpack(&s->code_unicode, 1 << 16, &len);
    ck_assert_ptr_nonnull(strstr(map, "<00> <FF>\n"));
    unsigned found = 0;
    for (int32_t c = ' '; c < 0x3000; c++) {
        unsigned code = font_code(c);
        if (code == 0) {
            continue;
        }
        const unsigned char *at = bytes + 22 + (size_t)2 * (code - FONT_CODE_FIRST);
        unsigned glyph = (unsigned)at[0] << 8 | at[1];
        if (glyph != 0) {
            ck_assert_uint_eq(glyph, font_glyph(set, _i, c));
            const char *width = s->code_widths.data;
            for (unsigned k = FONT_CODE_FIRST; k < code; k++) {
                width = strchr(width, ' ') + 1;
            }
            ck_assert_int_eq((int)strtol(width, NULL, 10), font_advance(set, _i, glyph));
            found++;
        }
    }
    ck_assert_uint_ge(found, _i < FACE_SIGNS ? 110 : 10);
    for (size_t i = 0; i < ARRAY_LEN(asked) && _i < FACE_SIGNS; i++) {
        const unsigned char *at = bytes + 22 + (size_t)2 * (font_code(asked[i]) - FONT_CODE_FIRST);
        ck_assert_uint_ne((unsigned)at[0] << 8 | at[1], 0);
    }
    ck_assert(_i >= FACE_SIGNS || strstr(map, "<E9> <E9> <00E9>\n") != NULL);
    free(map);
    hb_blob_destroy(table);
    hb_face_destroy(cut);
    hb_blob_destroy(blob);
    free(program);
    font_subset_free(s);
}
END_TEST

/* /W holds what font_advance() tells layout. */
START_TEST(widths_are_those_measured)
{
    struct font_subset *s = font_subset_new(set, FACE_REGULAR, NULL, 0, &diags.sink);
    char run[64];
    unsigned glyph = font_glyph(set, FACE_REGULAR, ' ');
    snprintf(run, sizeof(run), "%u [%d %d %d ", glyph, font_advance(set, FACE_REGULAR, glyph),
             font_advance(set, FACE_REGULAR, glyph + 1),
             font_advance(set, FACE_REGULAR, glyph + 2));
    ck_assert_ptr_nonnull(strstr(buf_text(&s->widths), run));
    font_subset_free(s);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("font_subset");
    TCase *c = tcase_create("font_subset");
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_test(c, refuses_unheld_characters);
    tcase_add_test(c, core_is_held);
    tcase_add_test(c, core_is_small);
    tcase_add_test(c, same_characters_same_bytes);
    tcase_add_test(c, name_tells_subsets_apart);
    tcase_add_loop_test(c, extra_characters_are_mapped, 0, 2);
    tcase_add_test(c, codes_tell_the_core_apart);
    tcase_add_loop_test(c, codes_are_mapped, 0, FACE_COUNT);
    tcase_add_test(c, widths_are_those_measured);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
