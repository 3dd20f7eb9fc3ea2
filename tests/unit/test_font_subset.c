/* Subsets ready to embed. */
#include "unit.h"

#include "font/font.h"

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
    tcase_add_test(c, widths_are_those_measured);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
