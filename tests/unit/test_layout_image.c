/* Images as blocks: their size and place, where files are looked for, and what refuses. */
#include "layout/layout_int.h"
#include "layout_sample.h"
#include "picture_sample.h"

static const char document[] = "<visit date='2025-03-04'><person name='a.jpg' id=''/></visit>";

static void write_picture(const char *folder, const char *name)
{
    char path[200];
    snprintf(path, sizeof(path), "%s/%s", folder, name);
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(picture_baseline, 1, sizeof(picture_baseline), f),
                      sizeof(picture_baseline));
    fclose(f);
}

static void setup(void)
{
    sample_start();
    write_picture(sample.folder, "a.jpg");
}

static void teardown(void)
{
    sample_stop();
}

/* A page of 220 x 120 pt leaves 200 x 100; the picture is 16 x 8 pixels, 12 x 6 pt by itself. */
static struct layout_template *load(const char *blocks)
{
    char text[1000];
    snprintf(text, sizeof(text),
             "<report root='visit'><page width='220pt' height='120pt' margins='10pt'>%s</page>"
             "</report>", blocks);
    return sample_load(text);
}

static const struct size_case {
    const char *attributes;
    double x, width, height;
} sizes[] = {
    {"", 10, 12, 6},
    {"width='100pt'", 10, 100, 50},
    {"height='20pt'", 10, 40, 20},
    {"width='100pt' height='20pt'", 10, 40, 20},
    {"width='40pt' height='50pt'", 10, 40, 20},
    {"width='900pt'", 10, 200, 100},
    {"height='900pt'", 10, 200, 100},
    {"width='50pt' align='right'", 160, 50, 25},
    {"width='50pt' align='center'", 85, 50, 25},
    {"width='50pt' align='left'", 10, 50, 25},
};

START_TEST(sizes_and_places)
{
    char blocks[200];
    snprintf(blocks, sizeof(blocks), "<image src='a.jpg' alt='sign' %s/>", sizes[_i].attributes);
    struct layout_template *t = load(blocks);
    ck_assert_ptr_nonnull(t);
    struct page_list *list = sample_set(t, document);
    ck_assert_ptr_nonnull(list);
    ck_assert_uint_eq(list->n, 1);
    const struct page *page = &list->pages[0];
    ck_assert_uint_eq(page->n, 3);
    ck_assert_str_eq(page->items[0].u.tag.role, "Figure");
    ck_assert_str_eq(page->items[0].u.tag.alt, "sign");
    ck_assert_int_eq(page->items[1].kind, PAGE_IMAGE);
    const struct page_image *i = &page->items[1].u.image;
    ck_assert_double_eq_tol(i->x, sizes[_i].x, 0.01);
    ck_assert_double_eq_tol(i->width, sizes[_i].width, 0.01);
    ck_assert_double_eq_tol(i->height, sizes[_i].height, 0.01);
    ck_assert_double_eq_tol(i->y + i->height, 110, 0.01);
    ck_assert_ptr_nonnull(i->image);
    page_list_free(list);
    layout_template_free(t);
}
END_TEST

START_TEST(without_words_it_is_decoration)
{
    struct layout_template *t = load("<para>x</para><image src='a.jpg' alt=''/><para>y</para>");
    struct page_list *list = sample_set(t, document);
    const struct page *page = &list->pages[0];
    for (size_t i = 0, depth = 0; i < page->n; i++) {
        depth += page->items[i].kind == PAGE_TAG_BEGIN;
        depth -= page->items[i].kind == PAGE_TAG_END;
        ck_assert(page->items[i].kind != PAGE_IMAGE || depth == 0);
    }
    page_list_free(list);
    layout_template_free(t);
}
END_TEST

START_TEST(no_name_no_image)
{
    struct layout_template *t = load("<para>x</para><image src='{?person/@id}' alt='sign'/>");
    ck_assert_ptr_nonnull(t);
    struct page_list *list = sample_set(t, document);
    ck_assert_ptr_nonnull(list);
    for (size_t i = 0; i < list->pages[0].n; i++)
        ck_assert_int_ne(list->pages[0].items[i].kind, PAGE_IMAGE);
    page_list_free(list);
    layout_template_free(t);
}
END_TEST

/* A name from the data is looked for in the folder given; one of the template beside it. */
START_TEST(folders)
{
    char folder[100];
    snprintf(folder, sizeof(folder), "%s/parts", sample.folder);
    struct layout_template *t = load("<image src='{person/@name}' alt='sign'/>"
                                     "<image src='a.jpg' alt='sign'/>");
    ck_assert_ptr_nonnull(t);
    layout_template_set_image_folder(t, folder);
    ck_assert_ptr_null(sample_set(t, document));
    ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_IMAGE);
    ck_assert_ptr_nonnull(strstr(sample_last()->detail, "no such file at visit"));
    ck_assert_ptr_null(strstr(sample_last()->detail, "a.jpg")); /* it might say who is shown */
    layout_template_free(t);

    write_picture(folder, "a.jpg");
    t = load("<image src='{person/@name}' alt='sign'/><image src='a.jpg' alt='sign'/>");
    layout_template_set_image_folder(t, folder);
    struct page_list *list = sample_set(t, document);
    ck_assert_ptr_nonnull(list);
    ck_assert_ptr_nonnull(strstr(list->pages[0].items[1].u.image.path, "/parts/a.jpg"));
    ck_assert_ptr_null(strstr(list->pages[0].items[4].u.image.path, "/parts/"));
    page_list_free(list);
    layout_template_free(t);
}
END_TEST

static const struct bad_case {
    const char *blocks, *detail;
    enum diag_code code;
} bad[] = {
    {"<image src='b.jpg' alt=''/>", "b.jpg: no such file", DIAG_TEMPLATE_IMAGE},
    {"<image src='t.xml' alt=''/>", "neither PNG nor JPEG", DIAG_TEMPLATE_IMAGE},
    {"<image src='parts' alt=''/>", "not a file", DIAG_TEMPLATE_IMAGE},
    {"<image src='a.jpg'/>", "alt", DIAG_TEMPLATE_ATTRIBUTE},
    {"<image alt=''/>", "src", DIAG_TEMPLATE_ATTRIBUTE},
    {"<image src='a.jpg' alt='' width='0'/>", "", DIAG_TEMPLATE_VALUE},
    {"<image src='a.jpg' alt='' align='decimal'/>", "", DIAG_TEMPLATE_VALUE},
    {"<image src='a.jpg' alt=''>x</image>", "", DIAG_TEMPLATE_TEXT},
    {"<para><image src='a.jpg' alt=''/></para>", "image", DIAG_TEMPLATE_ELEMENT},
};

START_TEST(refused_while_loading)
{
    ck_assert_ptr_null(load(bad[_i].blocks));
    ck_assert_msg(sample_last()->code == bad[_i].code, "%s: %s: %s", bad[_i].blocks,
                  diag_id(sample_last()->code), sample_last()->detail);
    ck_assert_msg(strstr(sample_last()->detail, bad[_i].detail) != NULL, "%s",
                  sample_last()->detail);
}
END_TEST

/* A report made with another picture is another report. */
START_TEST(pictures_count_in_the_digest)
{
    char first[DIGEST_HEX], path[200];
    struct layout_template *t = load("<image src='a.jpg' alt=''/>");
    snprintf(first, sizeof(first), "%s", layout_template_digest(t));
    layout_template_free(t);
    snprintf(path, sizeof(path), "%s/a.jpg", sample.folder);
    FILE *f = fopen(path, "wb");
    fwrite(picture_progressive, 1, sizeof(picture_progressive), f);
    fclose(f);
    t = load("<image src='a.jpg' alt=''/>");
    ck_assert_str_ne(first, layout_template_digest(t));
    layout_template_free(t);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("layout: images");
    TCase *c = tcase_create("all");
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_loop_test(c, sizes_and_places, 0, ARRAY_LEN(sizes));
    tcase_add_test(c, without_words_it_is_decoration);
    tcase_add_test(c, no_name_no_image);
    tcase_add_test(c, folders);
    tcase_add_loop_test(c, refused_while_loading, 0, ARRAY_LEN(bad));
    tcase_add_test(c, pictures_count_in_the_digest);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
