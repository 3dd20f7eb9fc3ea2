/* One print file of many documents, and documents under a password, read back with tools that share
 * nothing with the writer. */
#include "unit.h"

#include "page/image.h"
#include "pdf/pdf.h"
#include "picture_sample.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

static struct font_set *fonts;
static struct pdf_writer *writer;
static struct diag_list diags;
static struct pdf_bundle *bundle;
static struct buf out, drawn, said;
static char path[64], secret[64];

static void setup(void)
{
    diag_list_init(&diags);
    fonts = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(fonts);
    writer = pdf_writer_new(fonts, "endfeel test", PDF_USUAL, &diags.sink);
    ck_assert_ptr_nonnull(writer);
    bundle = pdf_bundle_new(writer);
    buf_init(&out, 1 << 26);
    buf_init(&drawn, 1 << 26);
    buf_init(&said, 1 << 26);
    snprintf(path, sizeof(path), "/tmp/endfeel-bundle-%ld.pdf", (long)getpid());
    snprintf(secret, sizeof(secret), "/tmp/endfeel-bundle-%ld.pw", (long)getpid());
}

static void teardown(void)
{
    unlink(path);
    unlink(secret);
    buf_release(&out);
    buf_release(&drawn);
    buf_release(&said);
    pdf_bundle_free(bundle);
    pdf_writer_free(writer);
    font_set_free(fonts);
    diag_list_release(&diags);
}

/* A tagged document with a link: print files take neither. */
static struct page_list *document(const char *text, size_t pages, double width)
{
    struct page_list *list = page_list_new();
    for (size_t i = 0; i < pages; i++) {
        struct page *page = page_add(list, width, 300);
        char numbered[200];
        int n = snprintf(numbered, sizeof(numbered), "%s %zu", text, i + 1);
        page_tag_begin(list, page, "P", NULL);
        page_add_text(list, page, 20, 200, FACE_REGULAR, 9, numbered, (size_t)n);
        page_add_link(list, page, 20, 200, 40, 210, "https://example.org");
        page_tag_end(list, page);
    }
    return list;
}

static void add(const char *text, size_t pages, double width, const char *title)
{
    struct page_list *list = document(text, pages, width);
    buf_clear(&drawn);
    ck_assert(pdf_draw(writer, list, &drawn, &diags.sink));
    pdf_bundle_add(bundle, drawn.data, drawn.len, title);
    page_list_free(list);
}

static void save(const char *to, const void *bytes, size_t len)
{
    FILE *f = fopen(to, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(bytes, 1, len, f), len);
    ck_assert_int_eq(fclose(f), 0);
}

static int ask(const char *before, const char *after)
{
    char command[300], piece[4096];
    snprintf(command, sizeof(command), "%s %s %s 2>&1", before, path, after);
    FILE *p = popen(command, "r");
    ck_assert_ptr_nonnull(p);
    size_t n;
    buf_clear(&said);
    while ((n = fread(piece, 1, sizeof(piece), p)) > 0) {
        buf_add(&said, piece, n);
    }
    return pclose(p);
}

static void check_says(const char *before, const char *after, const char *text)
{
    ck_assert_msg(ask(before, after) == 0, "%s: %.2000s", before, buf_text(&said));
    ck_assert_msg(strstr(buf_text(&said), text) != NULL, "'%s' not in: %.2000s", text,
                  buf_text(&said));
}

static void write_bundle(void)
{
    bool ok = pdf_bundle_write(bundle, &out, &diags.sink);
    ck_assert_msg(ok, "%s", diags.n > 0 ? diag_id(diags.items[0].code) : "?");
    save(path, out.data, out.len);
}

START_TEST(pages_and_bookmarks_in_order)
{
    add("first", 2, 400, "Ann, P1");
    add("second", 1, 500, "B\xc3\xb6, P2");
    add("third", 3, 400, "Cy (old), P3");
    ck_assert_uint_eq(pdf_bundle_pages(bundle), 6);
    write_bundle();
    check_says("qpdf --check", "", "No syntax or stream encoding errors");
    check_says("pdftotext", "-", "first 1\n\n\ffirst 2\n\n\fsecond 1\n\n\fthird 1\n\n\fthird 2");
    check_says("pdfinfo", "", "Pages:           6\n");
    check_says("pdfinfo", "", "Tagged:          no\n");
    check_says("pdfinfo -f 3 -l 3", "", "500 x 300");
    check_says("qpdf --json --json-key=outlines", "", "\"title\": \"Ann, P1\"");
    check_says("qpdf --json --json-key=outlines", "", "\"destpageposfrom1\": 3");
    check_says("qpdf --json --json-key=outlines", "", "\"title\": \"Cy (old), P3\"");
    ck_assert_ptr_nonnull(strstr(said.data, "\"destpageposfrom1\": 4"));
}
END_TEST

/* Characters beyond the core come from several documents into one subset. */
START_TEST(characters_of_all)
{
    add("\xd0\x96\xc5\x82 one", 1, 400, "1"); /* Zhe, l with stroke */
    add("\xc5\x82\xce\xa9 two", 1, 400, "2"); /* l with stroke, Omega */
    add("plain", 1, 400, "3");
    write_bundle();
    check_says("qpdf --check", "", "No syntax or stream encoding errors");
    check_says("pdftotext", "-", "\xd0\x96\xc5\x82 one 1");
    check_says("pdftotext", "-", "\xc5\x82\xce\xa9 two 1");
    check_says("pdftotext", "-", "plain 1");
}
END_TEST

START_TEST(same_bytes)
{
    struct buf first;
    buf_init(&first, 1 << 26);
    add("a", 2, 400, "1");
    add("b", 2, 400, "2");
    ck_assert(pdf_bundle_write(bundle, &first, &diags.sink));
    ck_assert(pdf_bundle_write(bundle, &out, &diags.sink));
    ck_assert_uint_eq(first.len, out.len);
    ck_assert_mem_eq(first.data, out.data, out.len);
    buf_release(&first);
}
END_TEST

START_TEST(many_pages)
{
    for (int i = 0; i < 60; i++) {
        add("many", 40, 400, "x");
    }
    write_bundle();
    check_says("qpdf --check", "", "No syntax or stream encoding errors");
    check_says("pdfinfo", "", "Pages:           2400\n");
}
END_TEST

START_TEST(refusals)
{
    ck_assert(!pdf_bundle_write(bundle, &out, &diags.sink));
    ck_assert_int_eq(diags.items[0].code, DIAG_PDF_LIMIT);
    struct page_list *list = document("\xf3\xb0\x80\x80", 1, 400); /* no face has it */
    buf_clear(&drawn);
    ck_assert(!pdf_draw(writer, list, &drawn, &diags.sink));
    ck_assert_int_eq(diags.items[1].code, DIAG_FONT_GLYPH);
    ck_assert_uint_eq(drawn.len, 0);
    page_list_free(list);
}
END_TEST

/* ---- passwords ----------------------------------------------------------------------------------
 */

static const char *const passwords[] = {
    "p", "a longer pass phrase", "Gr\xc3\xbc\xc3\x9f" "e",
    "0123456789012345678901234567890123456789012345678901234567890123456789"
    "012345678901234567890123456789012345678901234567890123456"};

START_TEST(protects)
{
    const char *password = passwords[_i];
    struct page_list *list = document("hidden", 2, 400);
    char option[160];
    ck_assert_uint_le(strlen(password), PDF_PASSWORD_MAX);
    ck_assert(pdf_write(writer, list, &out, &diags.sink));
    ck_assert(!pdf_is_protected_by(password, &out));
    ck_assert(pdf_protect(password, &out, &diags.sink));
    ck_assert(pdf_is_protected_by(password, &out));
    ck_assert(!pdf_is_protected_by("another", &out));
    ck_assert(!pdf_is_protected_by("", &out));
    save(path, out.data, out.len);
    save(secret, password, strlen(password));
    ck_assert_int_ne(ask("qpdf --check", ""), 0);
    snprintf(option, sizeof(option), "qpdf --check --password-file=%s", secret);
    check_says(option, "", "No syntax or stream encoding errors");
    snprintf(option, sizeof(option), "qpdf --show-encryption --password-file=%s", secret);
    check_says(option, "", "R = 6");
    check_says(option, "", "AESv3");
    ck_assert_ptr_null(memmem(out.data, out.len, "hidden", 6));
    page_list_free(list);
}
END_TEST

START_TEST(what_is_no_document)
{
    buf_adds(&out, "not a document");
    ck_assert(!pdf_protect("p", &out, &diags.sink));
    ck_assert_int_eq(diags.items[0].code, DIAG_PDF_PROTECT);
    ck_assert(!pdf_is_protected_by("p", &out));
}
END_TEST

/* The same logo on every document is held once, and shown on each. */
START_TEST(pictures_are_held_once)
{
    char why[IMAGE_WHY_MAX];
    struct image *images[2] = {image_of(picture_baseline, sizeof(picture_baseline), why),
                               image_of(picture_progressive, sizeof(picture_progressive), why)};
    for (int i = 0; i < 3; i++) {
        struct page_list *list = document("with a picture", 1, 200);
        page_add_image(list, &list->pages[0], 10, 10, 50, 25, "a", images[i / 2]);
        buf_clear(&drawn);
        ck_assert(pdf_draw(writer, list, &drawn, &diags.sink));
        pdf_bundle_add(bundle, drawn.data, drawn.len, "t");
        page_list_free(list);
    }
    image_free(images[0]);
    image_free(images[1]);
    write_bundle();
    ck_assert_int_eq(ask("pdfimages -list", ""), 0);
    const char *text = buf_text(&said);
    int lines = 0, objects[3] = {0}, n = 0, taken = 0;
    for (const char *s = text; *s != '\0'; s = strchr(s, '\n') + 1) {
        if (++lines > 2) {
            ck_assert_int_eq(sscanf(s, "%*d %*d image %*d %*d rgb %*d %*d jpeg %*s %d%n",
                                    &objects[n], &taken), 1);
            n++;
        }
    }
    ck_assert_int_eq(n, 3);
    ck_assert_int_eq(objects[0], objects[1]);
    ck_assert_int_ne(objects[0], objects[2]);
}
END_TEST

static Suite *bundle_suite(void)
{
    Suite *s = suite_create("pdf: bundle and password");
    TCase *t = tcase_create("bundle");
    tcase_set_timeout(t, 60);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, pictures_are_held_once);
    tcase_add_test(t, pages_and_bookmarks_in_order);
    tcase_add_test(t, characters_of_all);
    tcase_add_test(t, same_bytes);
    tcase_add_test(t, many_pages);
    tcase_add_test(t, refusals);
    tcase_add_loop_test(t, protects, 0, (int)ARRAY_LEN(passwords));
    tcase_add_test(t, what_is_no_document);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(bundle_suite)
