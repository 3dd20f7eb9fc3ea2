/* Pictures: what PNG becomes, what of a JPEG passes, and every way a file is refused. */
#include "page/image.h"
#include "picture_sample.h"
#include "unit.h"

#include <png.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char why[IMAGE_WHY_MAX];
static struct buf file;

static void setup(void)
{
    buf_init(&file, 1 << 24);
    why[0] = '\0';
}

static void teardown(void)
{
    buf_release(&file);
}

/* Writes `samples` of a libpng format as a PNG into `file`. */
static void make_png(unsigned format, unsigned width, unsigned height, const void *samples,
                     const void *colours, unsigned n_colours)
{
    png_image png = {.version = PNG_IMAGE_VERSION, .width = width, .height = height,
                     .format = format, .colormap_entries = n_colours};
    png_alloc_size_t size = 0;
    ck_assert(png_image_write_to_memory(&png, NULL, &size, 0, samples, 0, colours));
    char *to = buf_room(&file, size);
    ck_assert(png_image_write_to_memory(&png, to, &size, 0, samples, 0, colours));
    buf_take(&file, to + size);
}

static struct image *taken(void)
{
    struct image *image = image_of(file.data, file.len, why);
    ck_assert_msg(image != NULL, "%s", why);
    return image;
}

static void check_refused(const char *reason)
{
    struct image *image = image_of(file.data, file.len, why);
    ck_assert_ptr_null(image);
    ck_assert_msg(strstr(why, reason) != NULL, "'%s' not in '%s'", reason, why);
}

static const struct {
    unsigned format, n_colours;
    unsigned char samples[16], colours[8], want[12];
    bool colour;
} pngs[] = {
    {PNG_FORMAT_GRAY, 0, {0, 128, 255, 7}, {0}, {0, 128, 255, 7}, false},
    {PNG_FORMAT_RGB, 0, {1, 2, 3, 250, 0, 0, 0, 0, 0, 9, 9, 9}, {0},
     {1, 2, 3, 250, 0, 0, 0, 0, 0, 9, 9, 9}, true},
    /* Where nothing is, the paper shows; what is whole stays as it is. */
    {PNG_FORMAT_RGBA, 0, {1, 2, 3, 255, 250, 0, 0, 0, 0, 0, 0, 255, 9, 9, 9, 0}, {0},
     {1, 2, 3, 255, 255, 255, 0, 0, 0, 255, 255, 255}, true},
    {PNG_FORMAT_GA, 0, {7, 255, 7, 0, 0, 255, 0, 0}, {0}, {7, 255, 0, 255}, false},
    {PNG_FORMAT_RGB_COLORMAP, 2, {0, 1, 1, 0}, {10, 20, 30, 200, 100, 50},
     {10, 20, 30, 200, 100, 50, 200, 100, 50, 10, 20, 30}, true},
};

START_TEST(png_becomes_samples)
{
    make_png(pngs[_i].format, 2, 2, pngs[_i].samples, pngs[_i].colours, pngs[_i].n_colours);
    struct image *image = taken();
    ck_assert_uint_eq(image->width, 2);
    ck_assert_uint_eq(image->height, 2);
    ck_assert_int_eq(image->colour, pngs[_i].colour);
    ck_assert(!image->jpeg);
    ck_assert_uint_eq(image->bytes.len, pngs[_i].colour ? 12 : 4);
    ck_assert_mem_eq(image->bytes.data, pngs[_i].want, image->bytes.len);
    image_free(image);
}
END_TEST

START_TEST(sixteen_bits_become_eight)
{
    static const png_uint_16 linear[] = {0, 0, 0, 65535, 65535, 65535};
    make_png(PNG_FORMAT_LINEAR_RGB, 2, 1, linear, NULL, 0);
    struct image *image = taken();
    ck_assert_mem_eq(image->bytes.data, "\0\0\0\xFF\xFF\xFF", 6);
    image_free(image);
}
END_TEST

static void take_jpeg(int progressive)
{
    buf_clear(&file);
    if (progressive)
        buf_add(&file, picture_progressive, sizeof(picture_progressive));
    else
        buf_add(&file, picture_baseline, sizeof(picture_baseline));
}

START_TEST(jpeg_stays_as_it_is)
{
    take_jpeg(_i);
    struct image *image = taken();
    ck_assert(image->jpeg && image->colour);
    ck_assert_uint_eq(image->width, 16);
    ck_assert_uint_eq(image->height, 8);
    ck_assert_uint_eq(image->bytes.len, file.len);
    ck_assert_mem_eq(image->bytes.data, file.data, file.len);
    image_free(image);
}
END_TEST

/* A JPEG with a part put in after its start. */
static void with_part(const char *part, size_t len)
{
    buf_clear(&file);
    buf_add(&file, picture_baseline, 2);
    buf_add(&file, part, len);
    buf_add(&file, picture_baseline + 2, sizeof(picture_baseline) - 2);
}

#define NOTE(text) text, sizeof(text) - 1
static const struct note {
    const char *part;
    size_t len;
    const char *refused; /* NULL: left out of what is kept */
} notes[] = {
    {NOTE("\xFF\xE1\x00\x0A" "GPS here"), NULL},
    {NOTE("\xFF\xFE\x00\x07" "by X!"), NULL},
    {NOTE("\xFF\xED\x00\x04" "ab"), NULL},
    /* Exif, low byte first and high byte first: upright, turned, and no such entry. */
    {NOTE("\xFF\xE1\x00\x22" "Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x01\0\0\0"
          "\0\0\0\0"), NULL},
    {NOTE("\xFF\xE1\x00\x22" "Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0"
          "\0\0\0\0"), "upright"},
    {NOTE("\xFF\xE1\x00\x22" "Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x08\0\0"
          "\0\0\0\0"), "upright"},
    {NOTE("\xFF\xE1\x00\x22" "Exif\0\0II*\0\x08\0\0\0\x01\0\x0F\x01\x03\0\x01\0\0\0\x06\0\0\0"
          "\0\0\0\0"), NULL},
    /* Places outside the note. */
    {NOTE("\xFF\xE1\x00\x10" "Exif\0\0II*\0\xFF\xFF\xFF\xFF"), NULL},
    {NOTE("\xFF\xE1\x00\x12" "Exif\0\0II*\0\x08\0\0\0\xFF\xFF"), NULL},
    {NOTE("\xFF\xE1\x00\x08" "Exif\0\0"), NULL},
};

START_TEST(notes_are_left_out)
{
    with_part(notes[_i].part, notes[_i].len);
    if (notes[_i].refused != NULL) {
        check_refused(notes[_i].refused);
        return;
    }
    struct image *image = taken();
    ck_assert_uint_eq(image->bytes.len, sizeof(picture_baseline));
    ck_assert_mem_eq(image->bytes.data, picture_baseline, sizeof(picture_baseline));
    image_free(image);
}
END_TEST

START_TEST(what_colours_mean_is_kept)
{
    with_part("\xFF\xEE\x00\x0E" "Adobe\0d\0\0\0\0\0", 16);
    struct image *image = taken();
    ck_assert_uint_eq(image->bytes.len, file.len);
    image_free(image);
}
END_TEST

START_TEST(what_follows_the_end_is_left_out)
{
    take_jpeg(0);
    buf_adds(&file, "more");
    struct image *image = taken();
    ck_assert_uint_eq(image->bytes.len, sizeof(picture_baseline));
    image_free(image);
}
END_TEST

enum { FRAME = 158 }; /* where the baseline picture's frame header starts */

static const struct {
    size_t at;
    unsigned char byte;
    const char *reason;
} spoilt[] = {
    {0, 0x00, "neither"},       {1, 0xD9, "neither"},        {3, 0xD0, "between its parts"},
    {3, 0x01, "between"},       {2, 0x00, "neither"},        {5, 0xFF, "between"},
    {FRAME + 1, 0xC3, "few"},   {FRAME + 1, 0xC9, "few"},    {FRAME + 1, 0xCF, "few"},
    {FRAME + 1, 0xE5, "between"}, {FRAME + 4, 12, "8 bits"}, {FRAME + 6, 0, "0 pixels"},
    {FRAME + 5, 0x40, "pixels"}, {FRAME + 9, 4, "frame"},    {FRAME + 9, 2, "four"},
};

START_TEST(spoilt_jpegs)
{
    take_jpeg(0);
    ck_assert_uint_eq((unsigned char)file.data[FRAME + 1], 0xC0);
    file.data[spoilt[_i].at] = (char)spoilt[_i].byte;
    check_refused(spoilt[_i].reason);
}
END_TEST

START_TEST(second_frame)
{
    take_jpeg(0);
    char frame[19];
    memcpy(frame, file.data + FRAME, sizeof(frame));
    with_part(frame, sizeof(frame));
    check_refused("frame");
}
END_TEST

/* However short it is cut, it is refused. */
START_TEST(cut_short)
{
    static const unsigned char samples[12] = {1, 2, 3};
    if (_i < 2)
        take_jpeg(_i);
    else
        make_png(PNG_FORMAT_RGB, 2, 2, samples, NULL, 0);
    for (size_t len = 0; len < file.len; len++) {
        struct image *image = image_of(file.data, len, why);
        ck_assert_msg(image == NULL || (_i == 2 && len + 12 >= file.len), "%d, %zu", _i, len);
        ck_assert(image != NULL || why[0] != '\0');
        image_free(image);
    }
}
END_TEST

/* Any one byte may be wrong: taken or refused, never worse. */
START_TEST(any_byte_wrong)
{
    static const unsigned char samples[12] = {1, 2, 3};
    if (_i < 2)
        take_jpeg(_i);
    else
        make_png(PNG_FORMAT_RGB, 2, 2, samples, NULL, 0);
    for (size_t at = 0; at < file.len; at++) {
        char byte = file.data[at];
        for (int k = 0; k < 4; k++) {
            file.data[at] = (char)("\x00\xFF\x7F\xD9"[k]);
            image_free(image_of(file.data, file.len, why));
        }
        file.data[at] = byte;
    }
}
END_TEST

START_TEST(too_many_pixels)
{
    unsigned width = _i == 0 ? IMAGE_SIDE_MAX + 1 : IMAGE_SIDE_MAX, height = _i == 0 ? 1 : 2500;
    unsigned char *samples = mem_alloc((size_t)width * height * 3);
    make_png(_i == 0 ? PNG_FORMAT_GRAY : PNG_FORMAT_RGB, width, height, samples, NULL, 0);
    free(samples);
    check_refused(_i == 0 ? "5001 by 1 pixels" : "MiB");
}
END_TEST

START_TEST(files)
{
    char path[] = "/tmp/endfeel-image-XXXXXX";
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, picture_baseline, sizeof(picture_baseline)),
                     sizeof(picture_baseline));
    struct image *image = image_read(path, why);
    ck_assert_msg(image != NULL, "%s", why);
    image_free(image);
    ck_assert_int_eq(ftruncate(fd, IMAGE_FILE_MAX + 1), 0);
    ck_assert_ptr_null(image_read(path, why));
    ck_assert_str_eq(why, "a file of more than 4 MiB");
    ck_assert_int_eq(ftruncate(fd, 0), 0);
    ck_assert_ptr_null(image_read(path, why));
    ck_assert_str_eq(why, "neither PNG nor JPEG");
    close(fd);
    unlink(path);
    ck_assert_ptr_null(image_read(path, why));
    ck_assert_str_eq(why, "no such file");
    ck_assert_ptr_null(image_read("/tmp", why));
    ck_assert_str_eq(why, "not a file");
}
END_TEST

START_TEST(digests_tell_pictures_apart)
{
    static const unsigned char samples[4] = {1, 2, 3, 4};
    take_jpeg(0);
    struct image *a = taken();
    take_jpeg(1);
    struct image *b = taken();
    buf_clear(&file);
    make_png(PNG_FORMAT_GRAY, 2, 2, samples, NULL, 0);
    struct image *c = taken();
    buf_clear(&file);
    make_png(PNG_FORMAT_GRAY, 4, 1, samples, NULL, 0);
    struct image *d = taken();
    ck_assert(a->digest != b->digest && c->digest != d->digest && a->digest != c->digest);
    image_free(a);
    image_free(b);
    image_free(c);
    image_free(d);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("page: images");
    TCase *c = tcase_create("all");
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_loop_test(c, png_becomes_samples, 0, ARRAY_LEN(pngs));
    tcase_add_test(c, sixteen_bits_become_eight);
    tcase_add_loop_test(c, jpeg_stays_as_it_is, 0, 2);
    tcase_add_loop_test(c, notes_are_left_out, 0, ARRAY_LEN(notes));
    tcase_add_test(c, what_colours_mean_is_kept);
    tcase_add_test(c, what_follows_the_end_is_left_out);
    tcase_add_loop_test(c, spoilt_jpegs, 0, ARRAY_LEN(spoilt));
    tcase_add_test(c, second_frame);
    tcase_add_loop_test(c, cut_short, 0, 3);
    tcase_add_loop_test(c, any_byte_wrong, 0, 3);
    tcase_add_loop_test(c, too_many_pixels, 0, 2);
    tcase_add_test(c, files);
    tcase_add_test(c, digests_tell_pictures_apart);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
