/* Files for archives, and files inside a document. Whether an archive file is one is for the
 * validator in tests/pdf/archive.sh; here stands what can be told from its bytes. */
#include "unit.h"

#include "pdf/pdf.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static struct font_set *fonts;
static struct pdf_writer *writer;
static struct diag_list diags;
static struct page_list *list;
static struct page *page;
static struct buf out, said;
static char path[64];

static void setup_as(enum pdf_form form)
{
    diag_list_init(&diags);
    fonts = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(fonts);
    writer = pdf_writer_new(fonts, "endfeel <test>", form, &diags.sink);
    ck_assert_ptr_nonnull(writer);
    list = page_list_new();
    page = page_add(list, 400, 300);
    buf_init(&out, 1 << 26);
    buf_init(&said, 1 << 26);
    snprintf(path, sizeof(path), "/tmp/endfeel-archive-%ld.pdf", (long)getpid());
}

static void setup_archive(void)
{
    setup_as(PDF_ARCHIVE);
}

static void setup_usual(void)
{
    setup_as(PDF_USUAL);
}

static void teardown(void)
{
    unlink(path);
    buf_release(&out);
    buf_release(&said);
    page_list_free(list);
    pdf_writer_free(writer);
    font_set_free(fonts);
    diag_list_release(&diags);
}

static void add_paragraph(const char *text)
{
    page_tag_begin(list, page, "P", NULL);
    page_add_text(list, page, 20, 200, FACE_REGULAR, 9, text, strlen(text));
    page_add_link(list, page, 20, 200, 60, 210, "https://example.org");
    page_tag_end(list, page);
}

static void ask(const char *before, const char *after)
{
    char command[256], piece[4096];
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(out.data, 1, out.len, f), out.len);
    ck_assert_int_eq(fclose(f), 0);
    snprintf(command, sizeof(command), "%s %s %s 2>&1", before, path, after);
    FILE *p = popen(command, "r");
    ck_assert_ptr_nonnull(p);
    size_t n;
    buf_clear(&said);
    while ((n = fread(piece, 1, sizeof(piece), p)) > 0)
        buf_add(&said, piece, n);
    int status = pclose(p);
    ck_assert_msg(status == 0, "%s: %.2000s", command, buf_text(&said));
}

static void check_says(const char *text)
{
    ck_assert_msg(strstr(buf_text(&said), text) != NULL, "'%s' not in: %.2000s", text,
                  buf_text(&said));
}

static bool has(const char *text)
{
    return memmem(out.data, out.len, text, strlen(text)) != NULL;
}

static void write_list(const struct pdf_attachment *file)
{
    bool ok = pdf_write_with(writer, list, file, &out, &diags.sink);
    ck_assert_msg(ok, "%s", diags.n > 0 ? diag_id(diags.items[0].code) : "?");
}

/* PDF 1.4 with nothing younger in it; ISO 19005-1, 6.1.3 and 6.1.4: identifier, plain table. */
START_TEST(of_the_oldest_form)
{
    add_paragraph("118\xc2\xb0");
    page_add_bookmark(list, 0, 200, 1, "one");
    write_list(NULL);
    ck_assert_int_eq(memcmp(out.data, "%PDF-1.4\n%", 10), 0);
    ck_assert(has("\nxref\n0 ") && has("\ntrailer\n") && has("/ID[<"));
    ck_assert(!has("/ObjStm") && !has("/XRef") && !has("/Tabs"));
    ask("qpdf --check", "");
    check_says("No syntax or stream encoding errors");
    ask("pdftotext", "-");
    check_says("118\xc2\xb0");
    ask("pdfinfo", "");
    check_says("Tagged:          yes");
}
END_TEST

/* The properties twice, and the same: clause 6.7.3. XMP is not packed, so that it can be found. */
START_TEST(properties_agree)
{
    list->title = "A & B <C>\x01 \xc3\xa9\xef\xbf\xbf.";
    list->author = "D & E";
    list->subject = "F";
    list->language = "en";
    list->date = "2024-03-09";
    add_paragraph("1");
    write_list(NULL);
    ck_assert(has("<rdf:li xml:lang=\"x-default\">A &amp; B &lt;C&gt;  \xc3\xa9   .</rdf:li>"));
    ck_assert(has("<dc:creator><rdf:Seq><rdf:li>D &amp; E</rdf:li>"));
    ck_assert(has("<rdf:li xml:lang=\"x-default\">F</rdf:li></rdf:Alt></dc:description>"));
    ck_assert(has("<pdf:Producer>endfeel &lt;test&gt;</pdf:Producer>"));
    ck_assert(has("<xmp:CreateDate>2024-03-09T00:00:00Z</xmp:CreateDate>"));
    ck_assert(has("<pdfaid:part>1</pdfaid:part>") &&
              has("<pdfaid:conformance>B</pdfaid:conformance>"));
    ck_assert(has("/CreationDate(D:20240309000000Z)"));
    ck_assert(has("/Lang(en)"));
    ck_assert(has("/S/GTS_PDFA1"));
    ask("env TZ=UTC pdfinfo -isodates", "");
    check_says("A & B <C>  \xc3\xa9   .\n");
    check_says("2024-03-09T00:00:00Z");
}
END_TEST

START_TEST(nothing_is_made_up)
{
    page_add_text(list, page, 20, 200, FACE_REGULAR, 9, "1", 1);
    write_list(NULL);
    ck_assert(!has("dc:title>") && !has("dc:creator>") && !has("CreateDate") && !has("/Title"));
    ck_assert(!has("dc:description>"));
}
END_TEST

START_TEST(same_list_same_bytes)
{
    struct buf again;
    buf_init(&again, 1 << 26);
    list->title = "T";
    add_paragraph("1");
    write_list(NULL);
    ck_assert(pdf_write(writer, list, &again, &diags.sink));
    ck_assert_uint_eq(again.len, out.len);
    ck_assert_int_eq(memcmp(again.data, out.data, out.len), 0);
    buf_release(&again);
}
END_TEST

/* PDF 1.4, appendix C: 8191 entries in an array. Text and path in turn make a mark each. */
START_TEST(too_many_tags_for_a_list)
{
    enum { MARKS = 8190 };
    page_tag_begin(list, page, "P", NULL);
    for (int i = 0; i < MARKS; i += 2) {
        page_add_text(list, page, 20, 200, FACE_REGULAR, 9, "1", 1);
        page_add_line(list, page, 0, 0, 10, 10, 1, colour_black);
    }
    page_tag_end(list, page);
    ck_assert(pdf_write(writer, list, &out, &diags.sink));
    page_tag_begin(list, page, "P", NULL);
    page_add_text(list, page, 20, 200, FACE_REGULAR, 9, "1", 1);
    page_add_line(list, page, 0, 0, 10, 10, 1, colour_black);
    page_tag_end(list, page);
    ck_assert(!pdf_write(writer, list, &out, &diags.sink));
    ck_assert_uint_eq(out.len, 0);
    ck_assert_uint_eq(diags.n, 1);
    ck_assert_int_eq(diags.items[0].code, DIAG_PDF_LIMIT);
}
END_TEST

static const struct pdf_attachment sample = {.name = "findings.xml",
                                             .description = "What (this) was made from",
                                             .bytes = "<a>1 < 2</a>",
                                             .len = 12};

START_TEST(archive_with_a_file_is_a_bug)
{
    add_paragraph("1");
    write_list(&sample);
}
END_TEST

START_TEST(file_inside_comes_out)
{
    list->date = "2024-03-09";
    add_paragraph("1");
    write_list(&sample);
    ask("qpdf --check", "");
    check_says("No syntax or stream encoding errors");
    ask("qpdf --list-attachments --verbose", "");
    check_says("findings.xml");
    check_says("description: What (this) was made from");
    check_says("mime type: text/xml");
    ask("qpdf --show-attachment=findings.xml", "");
    ck_assert_str_eq(buf_text(&said), "<a>1 < 2</a>");
    ask("qpdf --qdf --object-streams=disable", "-");
    check_says("/AFRelationship /Source");
    size_t with = out.len;
    write_list(NULL);
    ck_assert_uint_lt(out.len, with);
    ask("qpdf --list-attachments", "");
    check_says("has no embedded files");
}
END_TEST

/* It goes under the password with everything else. */
START_TEST(file_inside_is_protected)
{
    add_paragraph("1");
    write_list(&sample);
    ck_assert(pdf_protect("pw", &out, &diags.sink));
    ck_assert(!has("1 < 2"));
    ask("qpdf --password=pw --show-attachment=findings.xml", "");
    ck_assert_str_eq(buf_text(&said), "<a>1 < 2</a>");
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("pdf_archive");
    TCase *c = tcase_create("archive");
    tcase_set_timeout(c, 120);
    tcase_add_checked_fixture(c, setup_archive, teardown);
    tcase_add_test(c, of_the_oldest_form);
    tcase_add_test(c, properties_agree);
    tcase_add_test(c, nothing_is_made_up);
    tcase_add_test(c, same_list_same_bytes);
    tcase_add_test(c, too_many_tags_for_a_list);
    if (getenv("CK_FORK") == NULL)
        tcase_add_test_raise_signal(c, archive_with_a_file_is_a_bug, SIGABRT);
    suite_add_tcase(s, c);
    TCase *inside = tcase_create("inside");
    tcase_set_timeout(inside, 120);
    tcase_add_checked_fixture(inside, setup_usual, teardown);
    tcase_add_test(inside, file_inside_comes_out);
    tcase_add_test(inside, file_inside_is_protected);
    suite_add_tcase(s, inside);
    return s;
}

TEST_MAIN(suite)
