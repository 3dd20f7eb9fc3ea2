/* What must not become a document. */
#include "unit.h"

#include "pdf/pdf.h"
#include "pdf/pdf_int.h"

#include <math.h>
#include <string.h>

static struct font_set *fonts;
static struct pdf_writer *writer;
static struct diag_list diags;
static struct page_list *list;
static struct page *page;
static struct buf out;

static void setup(void)
{
    diag_list_init(&diags);
    fonts = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(fonts);
    writer = pdf_writer_new(fonts, "test", PDF_USUAL, &diags.sink);
    ck_assert_ptr_nonnull(writer);
    list = page_list_new();
    page = page_add(list, 200, 100);
    buf_init(&out, 1 << 24);
}

static void teardown(void)
{
    buf_release(&out);
    page_list_free(list);
    pdf_writer_free(writer);
    font_set_free(fonts);
    diag_list_release(&diags);
}

static struct page_text *add_text(const char *text)
{
    return page_add_text(list, page, 10, 50, FACE_REGULAR, 9, text, strlen(text));
}

static void check_refused(enum diag_code code)
{
    ck_assert(!pdf_write(writer, list, &out, &diags.sink));
    ck_assert_uint_eq(out.len, 0);
    ck_assert_uint_eq(diags.n, 1);
    ck_assert_str_eq(diag_id(diags.items[0].code), diag_id(code));
    /* The writer is as good as before. */
    struct page_list *good = page_list_new();
    page_add_text(good, page_add(good, 100, 100), 10, 50, FACE_REGULAR, 9, "5", 1);
    ck_assert(pdf_write(writer, good, &out, &diags.sink));
    page_list_free(good);
}

START_TEST(numbers_off_the_page)
{
    struct page_text *t = add_text("118");
    page_add_line(list, page, 0, 0, 10, 10, 1, colour_black);
    page_add_link(list, page, 0, 0, 1, 1, "https://example.org");
    page_add_bookmark(list, 0, 10, 1, "b");
    struct page_path *p = &page->items[1].u.path;
    t = &page->items[0].u.text;
    double *const values[] = {&t->x, &t->y, &t->size, &p->points[0], &p->points[3], &p->width,
                              &p->dash_on, &page->items[2].u.link.x1, &list->bookmarks[0].y,
                              &page->width};
    static const double bad[] = {NAN, INFINITY, -INFINITY, 14401};
    size_t n = ARRAY_LEN(values);
    *values[(size_t)_i % n] = bad[(size_t)_i / n];
    check_refused(DIAG_PDF_RANGE);
}
END_TEST

/* A number nobody can see is a number dropped. */
START_TEST(text_that_leaves_the_page)
{
    static const struct {
        double x, y;
        enum page_anchor anchor;
    } places[] = {{-5, 50, ANCHOR_START},  {190, 50, ANCHOR_START}, {10, -5, ANCHOR_START},
                  {10, 105, ANCHOR_START}, {5, 50, ANCHOR_END},     {5, 50, ANCHOR_MIDDLE}};
    struct page_text *t = add_text("0-10-120");
    t->x = places[_i].x;
    t->y = places[_i].y;
    t->anchor = places[_i].anchor;
    check_refused(DIAG_PDF_RANGE);
}
END_TEST

/* Measured where it matters: one step of a narrow letter decides. */
START_TEST(text_that_fits_or_does_not)
{
    const char *letters = "iiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiii";
    struct page_text *t = add_text(letters);
    double width = font_width(fonts, t->face, t->size, letters, strlen(letters));
    t->x = page->width + 1 - width - 0.001; /* a point is let pass, as everywhere */
    ck_assert(pdf_write(writer, list, &out, &diags.sink));
    t->x += 0.002;
    check_refused(DIAG_PDF_RANGE);
}
END_TEST

START_TEST(values_that_mean_nothing)
{
    struct page_text *t = add_text("118");
    page_add_line(list, page, 0, 0, 10, 10, 1, colour_black);
    page_add_link(list, page, 0, 0, 1, 1, "https://example.org");
    struct page_path *p = &page->items[1].u.path;
    t = &page->items[0].u.text;
    switch (_i) {
    case 0:
        t->face = FACE_COUNT;
        break;
    case 1:
        t->face = -1;
        break;
    case 2:
        t->size = 0;
        break;
    case 3:
        t->colour.r = 1.5F;
        break;
    case 4:
        p->ops[0] = PATH_LINE;
        break;
    case 5:
        p->n_points = 2;
        break;
    case 6:
        p->width = -1;
        break;
    case 7:
        p->dash_off = 2; /* gaps without dashes: nothing would show */
        break;
    case 8:
        p->stroke_colour.b = NAN;
        break;
    case 9:
        page->items[2].u.link.target = "not an address";
        break;
    case 10:
        page->items[2].u.link.target = NULL;
        break;
    case 11:
        list->date = "1 March";
        break;
    case 12:
        page->items[2].u.link.target = "#nowhere";
        break;
    case 13:
        page_add_place(list, 0, 50, "no name");
        break;
    case 14:
        page_add_place(list, 0, 50, "");
        break;
    case 15:
        page_add_place(list, 0, 50, "a");
        list->places[0].y = NAN;
        break;
    case 16:
        page_add_place(list, 0, 50, "a");
        list->places[0].page = 1;
        break;
    default:
        page->height = 2;
        break;
    }
    check_refused(DIAG_PDF_RANGE);
}
END_TEST

START_TEST(characters_no_face_holds)
{
    static const char *const texts[] = {"a\xe4\xb8\xad", "\xd7\x90", "\xf0\x9f\xa6\xb4", "a\tb",
                                        "a\nb", "a\x7f", "\xff", "a\xc3", "\xed\xa0\x80"};
    add_text(texts[_i]);
    check_refused(DIAG_FONT_GLYPH);
}
END_TEST

START_TEST(properties_that_are_no_text)
{
    list->title = "a\xff";
    check_refused(DIAG_FONT_GLYPH);
}
END_TEST

/* Personal data does not go into messages. */
START_TEST(message_names_the_character_only)
{
    add_text("Anna \xe4\xb8\xad");
    ck_assert(!pdf_write(writer, list, &out, &diags.sink));
    ck_assert_str_eq(diags.items[0].detail, "page 1: U+4E2D");
    ck_assert_ptr_null(diags.items[0].text);
}
END_TEST

START_TEST(tags_that_do_not_nest)
{
    switch (_i) {
    case 0:
        page_tag_begin(list, page, "P", NULL);
        break;
    case 1:
        page_tag_end(list, page);
        break;
    case 2:
        page_tag_begin(list, page, "P", NULL);
        page_tag_end(list, page);
        page_tag_end(list, page);
        page_tag_begin(list, page, "P", NULL);
        break;
    default: /* balanced over two pages, but on neither */
        page_tag_begin(list, page, "Table", NULL);
        page = page_add(list, 200, 100);
        page_tag_end(list, page);
        break;
    }
    check_refused(DIAG_PDF_TAGS);
}
END_TEST

START_TEST(tags_of_no_known_role)
{
    page_tag_begin(list, page, "Paragraph", NULL);
    page_tag_end(list, page);
    check_refused(DIAG_PDF_TAGS);
}
END_TEST

START_TEST(images)
{
    page_add_image(list, page, 0, 0, 10, 10, "logo.png", NULL);
    check_refused(DIAG_PDF_RANGE);
}
END_TEST

START_TEST(too_many_pages_or_none)
{
    if (_i == 0) {
        list->n = 0;
    } else {
        for (int i = 0; i < PDF_PAGES_MAX; i++) {
            page_add(list, 100, 100);
        }
    }
    check_refused(DIAG_PDF_LIMIT);
}
END_TEST

/* At every size of buffer too small by a little or a lot: no part of a document, nothing lost. */
START_TEST(more_bytes_than_there_is_room_for)
{
    add_text("118");
    ck_assert(pdf_write(writer, list, &out, &diags.sink));
    size_t whole = out.len;
    for (size_t max = whole - 1; max > 0; max = max > 997 ? max - 997 : 0) {
        struct buf small;
        buf_init(&small, max);
        ck_assert(!pdf_write(writer, list, &small, &diags.sink));
        ck_assert_uint_eq(small.len, 0);
        ck_assert_int_eq(diags.items[diags.n - 1].code, DIAG_PDF_LIMIT);
        buf_release(&small);
    }
}
END_TEST

static void build_bad_page(struct hdoc *h, void *user)
{
    struct page small = {.width = 1, .height = 1};
    (void)hdoc_page(h, &small, 1, 0, false, 0);
    *(bool *)user = true;
}

/* An error inside the library ends in one place, with nothing left over. */
START_TEST(library_error_is_reported)
{
    struct packer packer = {.compressor = NULL};
    bool went_on = false;
    ck_assert(!hdoc_run(&packer, PDF_USUAL, 1, build_bad_page, &went_on, &out, &diags.sink));
    ck_assert(!went_on);
    ck_assert_uint_eq(out.len, 0);
    ck_assert_int_eq(diags.items[0].code, DIAG_PDF_REFUSED);
    packer_release(&packer);
}
END_TEST

static void build_nothing(struct hdoc *h, void *user)
{
    (void)h;
    (void)user;
}

/* A document without pages, objects of our own or properties is still a whole file. */
START_TEST(empty_document_is_whole)
{
    struct packer packer = {.compressor = NULL};
    ck_assert(hdoc_run(&packer, PDF_USUAL, 0, build_nothing, NULL, &out, &diags.sink));
    ck_assert(pdf_looks_whole(&out));
    packer_release(&packer);
}
END_TEST

/* The trial of the library's internals sees a file whose table points beside its objects. */
START_TEST(trial_sees_damage)
{
    add_text("118");
    ck_assert(pdf_write(writer, list, &out, &diags.sink));
    ck_assert(pdf_looks_whole(&out));
    char *object = memmem(out.data, out.len, "\n4 0 obj", 8);
    ck_assert_ptr_nonnull(object);
    object[1] = '5';
    ck_assert(!pdf_looks_whole(&out));
    object[1] = '4';
    char *end = memmem(out.data, out.len, "startxref", 9);
    ck_assert_ptr_nonnull(end);
    end[10] = end[10] == '9' ? '1' : '9';
    ck_assert(!pdf_looks_whole(&out));
    out.data[5] = '9';
    ck_assert(!pdf_looks_whole(&out));
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("pdf_refuse");
    TCase *c = tcase_create("pdf_refuse");
    tcase_set_timeout(c, 60);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_loop_test(c, numbers_off_the_page, 0, 40);
    tcase_add_loop_test(c, text_that_leaves_the_page, 0, 6);
    tcase_add_test(c, text_that_fits_or_does_not);
    tcase_add_loop_test(c, values_that_mean_nothing, 0, 18);
    tcase_add_loop_test(c, characters_no_face_holds, 0, 9);
    tcase_add_test(c, properties_that_are_no_text);
    tcase_add_test(c, message_names_the_character_only);
    tcase_add_loop_test(c, tags_that_do_not_nest, 0, 4);
    tcase_add_test(c, tags_of_no_known_role);
    tcase_add_test(c, images);
    tcase_add_loop_test(c, too_many_pages_or_none, 0, 2);
    tcase_add_test(c, more_bytes_than_there_is_room_for);
    tcase_add_test(c, library_error_is_reported);
    tcase_add_test(c, empty_document_is_whole);
    tcase_add_test(c, trial_sees_damage);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
