/* Documents end to end, read back with tools that share nothing with the writer. */
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
static struct page_list *list;
static struct page *page;
static struct buf out, said;
static char path[64];

/* Once for all tests: they take longer to load than a document to write. */
static void load_fonts(void)
{
    diag_list_init(&diags);
    fonts = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(fonts);
    diag_list_release(&diags);
}

static void release_fonts(void)
{
    font_set_free(fonts);
}

static void setup(void)
{
    diag_list_init(&diags);
    writer = pdf_writer_new(fonts, "endfeel test", PDF_USUAL, &diags.sink);
    ck_assert_ptr_nonnull(writer);
    list = page_list_new();
    page = page_add(list, 400, 300);
    buf_init(&out, 1 << 26);
    buf_init(&said, 1 << 26);
    snprintf(path, sizeof(path), "/tmp/endfeel-pdf-%ld.pdf", (long)getpid());
}

static void teardown(void)
{
    unlink(path);
    buf_release(&out);
    buf_release(&said);
    page_list_free(list);
    pdf_writer_free(writer);
    diag_list_release(&diags);
}

static struct page_text *add_text(double y, int face, const char *text)
{
    return page_add_text(list, page, 20, y, face, 9, text, strlen(text));
}

static void write_document(void)
{
    bool ok = pdf_write(writer, list, &out, &diags.sink);
    ck_assert_msg(ok, "%s: %s", diag_id(diags.items[0].code), diags.items[0].detail);
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(out.data, 1, out.len, f), out.len);
    ck_assert_int_eq(fclose(f), 0);
}

/* What a tool says about the document; the tool must succeed. */
static const char *ask(const char *before, const char *after)
{
    char command[256];
    snprintf(command, sizeof(command), "%s %s %s 2>&1", before, path, after);
    FILE *p = popen(command, "r");
    ck_assert_ptr_nonnull(p);
    char piece[4096];
    size_t n;
    buf_clear(&said);
    while ((n = fread(piece, 1, sizeof(piece), p)) > 0) {
        buf_add(&said, piece, n);
    }
    int status = pclose(p);
    ck_assert_msg(status == 0, "%s: %.3000s", command, buf_text(&said));
    return buf_text(&said);
}

static void check_sound(void)
{
    ck_assert_ptr_nonnull(strstr(ask("qpdf --check", ""), "No syntax or stream encoding errors"));
}

static void check_says(const char *text)
{
    ck_assert_msg(strstr(buf_text(&said), text) != NULL, "'%s' not in: %.3000s", text, said.data);
}

static const char *content(void)
{
    return ask("qpdf --qdf --object-streams=disable --no-original-object-ids", "-");
}

static const char signs[] = "118\xc2\xb0 \xc2\xb1 5 \xe2\x88\x92 \xe2\x80\x93 \xc3\xa9 "
                            "\xe2\x96\xb2 \xe2\x9c\x93 \xe2\x89\xa5 \xe2\x86\x92 \xe2\x97\x8f";

START_TEST(text_comes_back)
{
    add_text(200, FACE_REGULAR, signs);
    add_text(180, FACE_BOLD, signs);
    add_text(160, FACE_SIGNS, "\xe2\x96\xb2\xe2\x9c\x93");
    write_document();
    check_sound();
    const char *text = ask("pdftotext -layout", "-");
    const char *first = strstr(text, signs);
    ck_assert_ptr_nonnull(first);
    ck_assert_ptr_nonnull(strstr(first + 1, signs));
    ck_assert_ptr_nonnull(strstr(text, "\xe2\x96\xb2\xe2\x9c\x93\n"));
}
END_TEST

/* How many fonts of a kind there are, all embedded, cut, and saying what their characters are. */
static int fonts_of(const char *kind)
{
    const char *line = ask("pdffonts", "");
    int seen = 0;
    for (line = strstr(line, kind); line != NULL; line = strstr(line, kind)) {
        line += strlen(kind);
        line += strspn(line, " ");
        line += strcspn(line, " "); /* the encoding */
        line += strspn(line, " ");
        ck_assert_msg(strncmp(line, "yes yes yes", 11) == 0, "%s", said.data);
        seen++;
    }
    return seen;
}

START_TEST(fonts_are_embedded_and_readable)
{
    add_text(200, FACE_REGULAR, signs);
    add_text(180, FACE_BOLD, "bold");
    write_document();
    ck_assert_int_eq(fonts_of("  TrueType "), 3); /* not the bold signs */
    ck_assert_int_eq(fonts_of(" CID TrueType "), 0);
}
END_TEST

/* Characters of no code beside others, in one word and alone in their face. */
START_TEST(characters_without_a_code)
{
    static const char word[] = "A\xc5\x82(b\\)\xc3\xa9\xc5\x9f";
    add_text(200, FACE_REGULAR, word);
    add_text(180, FACE_BOLD, "\xc5\x82");
    add_text(160, FACE_REGULAR, "\xf0\x9d\x94\xb8");
    write_document();
    check_sound();
    ck_assert_int_eq(fonts_of("  TrueType "), 1);
    ck_assert_int_eq(fonts_of(" CID TrueType "), 3);
    const char *text = ask("pdftotext -layout", "-");
    const char *lines = strstr(text, word);
    ck_assert_ptr_nonnull(lines);
    ck_assert_ptr_nonnull(strstr(lines + sizeof(word) - 1, "\xc5\x82\n"));
    ck_assert_ptr_nonnull(strstr(lines, "\xf0\x9d\x94\xb8\n"));
    ck_assert_ptr_nonnull(strstr(content(), "(A)Tj\n/G0 9 Tf\n"));
}
END_TEST

START_TEST(text_stands_where_placed)
{
    add_text(200, FACE_REGULAR, "start");
    struct page_text *t = add_text(200, FACE_REGULAR, "end");
    t->x = 380;
    t->anchor = ANCHOR_END;
    t = add_text(200, FACE_REGULAR, "middle");
    t->x = 200;
    t->anchor = ANCHOR_MIDDLE;
    write_document();
    const char *boxes = ask("pdftotext -bbox", "-");
    static const struct {
        const char *word;
        double anchor_x;
        double share; /* of the width left of the anchor */
    } words[] = {{">start<", 20, 0}, {">end<", 380, 1}, {">middle<", 200, 0.5}};
    for (size_t i = 0; i < ARRAY_LEN(words); i++) {
        const char *at = strstr(boxes, words[i].word);
        ck_assert_ptr_nonnull(at);
        while (strncmp(at, "xMin", 4) != 0) {
            at--;
        }
        double x0 = 0, y0 = 0, x1 = 0;
        ck_assert_int_eq(sscanf(at, "xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\"", &x0, &y0, &x1), 3);
        /* 0.01 pt: what the content is written to; the tool prints more. */
        ck_assert_double_eq_tol(x0 + (x1 - x0) * words[i].share, words[i].anchor_x, 0.02);
    }
}
END_TEST

/* The layout's measure of a text is what a reader's program sees. */
START_TEST(width_is_as_measured)
{
    static const char text[] = "Shoulder-external-rotation-0-10-120\xc2\xb0";
    add_text(200, FACE_BOLD, text);
    write_document();
    const char *at = strstr(ask("pdftotext -bbox", "-"), "<word xMin=");
    double x0 = 0, y0 = 0, x1 = 0;
    ck_assert_ptr_nonnull(at);
    ck_assert_int_eq(sscanf(at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\"", &x0, &y0, &x1), 3);
    ck_assert_double_eq_tol(x1 - x0, font_width(fonts, FACE_BOLD, 9, text, sizeof(text) - 1), 0.01);
}
END_TEST

START_TEST(soft_hyphens_do_not_show)
{
    add_text(200, FACE_REGULAR, "ab\xc2\xad" "duction");
    write_document();
    ask("pdftotext", "-");
    check_says("abduction");
}
END_TEST

START_TEST(beyond_the_core)
{
    static const char text[] = "Wa\xc5\x82\xc4\x99sa \xce\xa9 \xd0\x96 \xe2\x99\xaa";
    add_text(200, FACE_REGULAR, text);
    write_document();
    check_sound();
    ask("pdftotext", "-");
    check_says(text);
    /* A document of core characters is not larger for it. */
    size_t beyond = out.len;
    struct page_list *plain = page_list_new();
    page_add_text(plain, page_add(plain, 100, 100), 10, 50, FACE_REGULAR, 9, "5", 1);
    ck_assert(pdf_write(writer, plain, &out, &diags.sink));
    ck_assert_uint_lt(out.len, beyond);
    page_list_free(plain);
}
END_TEST

/* Same page list, same bytes: again, from another writer, and whatever came in between. */
START_TEST(same_list_same_bytes)
{
    list->title = "T\xc3\xaftle";
    list->date = "2024-03-01";
    page_tag_begin(list, page, "P", NULL);
    add_text(200, FACE_REGULAR, "Wa\xc5\x82\xc4\x99sa \xe2\x96\xb2");
    page_tag_end(list, page);
    write_document();
    struct buf again;
    buf_init(&again, 1 << 26);
    struct page_list *other = page_list_new();
    page_add_text(other, page_add(other, 100, 100), 10, 50, FACE_REGULAR, 9, "\xc5\x9f", 2);
    ck_assert(pdf_write(writer, other, &again, &diags.sink));
    ck_assert(pdf_write(writer, list, &again, &diags.sink));
    ck_assert_uint_eq(again.len, out.len);
    ck_assert_int_eq(memcmp(again.data, out.data, out.len), 0);
    struct pdf_writer *fresh = pdf_writer_new(fonts, "endfeel test", PDF_USUAL, &diags.sink);
    ck_assert(pdf_write(fresh, list, &again, &diags.sink));
    ck_assert_uint_eq(again.len, out.len);
    ck_assert_int_eq(memcmp(again.data, out.data, out.len), 0);
    pdf_writer_free(fresh);
    page_list_free(other);
    buf_release(&again);
}
END_TEST

START_TEST(properties_are_written)
{
    list->title = "Summary \xe2\x80\x93 (Caf\xc3\xa9) \\ \xf0\x9d\x94\xb8";
    list->author = "A (B) \\ C";
    list->subject = "S";
    list->language = "en-US";
    list->date = "2024-03-09";
    write_document();
    check_sound();
    ask("env TZ=UTC pdfinfo -isodates", "");
    check_says(list->title);
    check_says("A (B) \\ C");
    check_says("2024-03-09");
    check_says("Producer:        endfeel test");
    check_says("400 x 300 pts");
    content();
    check_says("/Lang (en-US)");
    check_says("/DisplayDocTitle true");
}
END_TEST

START_TEST(nothing_is_written_that_was_not_given)
{
    add_text(200, FACE_REGULAR, "x");
    write_document();
    content();
    ck_assert_ptr_null(strstr(said.data, "/CreationDate"));
    ck_assert_ptr_null(strstr(said.data, "/StructTreeRoot"));
    ck_assert_ptr_null(strstr(said.data, "BDC"));
    ck_assert_ptr_null(strstr(said.data, "Haru"));
}
END_TEST

/* A reading of 0 degrees is an arc of equal angles: no path, and the rest of the page is whole. */
START_TEST(zero_arc_leaves_no_trace)
{
    struct page_path *p = page_path_begin(list, page);
    page_path_arc(list, p, 100, 100, 30, 40, 40, false);
    p->stroke = true;
    p->width = 1;
    add_text(50, FACE_REGULAR, "after");
    write_document();
    check_sound();
    content();
    ck_assert_ptr_null(strstr(said.data, "\nS\n"));
    ask("pdftotext", "-");
    check_says("after");
}
END_TEST

START_TEST(paths_are_written_as_drawn)
{
    struct colour red = {1, 0, 0};
    struct colour grey = colour_grey(0.75);
    page_add_line(list, page, 1, 2.5, 30.25, -4, 0.4, red);
    page_add_line(list, page, 1, 2, 3, 4, 0.4, red);
    page->items[1].u.path.dash_on = 1.5;
    page->items[1].u.path.dash_off = 2;
    page->items[1].u.path.cap = CAP_ROUND;
    page_add_rect(list, page, 0, 0, 10, 5, &grey, NULL, 0);
    page_add_rect(list, page, 0, 0, 10, 5, &grey, &colour_black, 2);
    struct page_path *p = page_path_begin(list, page);
    page_path_arc(list, p, 100, 100, 30, 0, 90, false);
    p->fill = true;
    write_document();
    check_sound();
    content();
    check_says("1 0 0 RG\n0.4 w\n1 2.5 m\n30.25 -4 l\nS\n"
               "1 J\n[1.5 2 ] 0 d\n1 2 m\n3 4 l\nS\n"
               "0.75 g\n0 0 m\n10 0 l\n10 5 l\n0 5 l\nh\nf\n"
               "0 G\n2 w\n0 J\n[] 0 d\n0 0 m\n10 0 l\n10 5 l\n0 5 l\nh\nB\n"
               "0 g\n130 100 m\n130 116.57 116.57 130 100 130 c\nf\n");
}
END_TEST

START_TEST(links_and_bookmarks)
{
    add_text(200, FACE_REGULAR, "x");
    page_add_link(list, page, 20, 190, 60, 210, "https://example.org/a(b)?c=%20d");
    page_add_bookmark(list, 0, 200, 1, "Knee");
    page_add_bookmark(list, 0, 150, 2, "Caf\xc3\xa9");
    page_add_bookmark(list, 0, 100, 9, "deep"); /* deeper than its place allows: under the last */
    page_add_bookmark(list, 0, 50, 1, "Hip");
    write_document();
    check_sound();
    content();
    check_says("/URI (https://example.org/a\\(b\\)?c=%20d)");
    check_says("/Title (Knee)");
    check_says("/Count 4");
    check_says("/Count 2"); /* below the first, at any depth */
    check_says("/Count 1\n");
    check_says("/PageMode /UseOutlines");
    check_says("/XYZ\n    null\n    150.00\n    null");
    ask("qpdf --json --json-key=outlines", "");
    check_says("\"title\": \"Caf\xc3\xa9\"");
    check_says("\"title\": \"Hip\"");
}
END_TEST

/* Forward and back, by names that a reader resolves to a page and a height. */
START_TEST(links_to_places)
{
    add_text(200, FACE_REGULAR, "x");
    page_add_link(list, page, 20, 190, 60, 210, "#later.on");
    page = page_add(list, 300, 300);
    add_text(200, FACE_REGULAR, "y");
    page_add_link(list, page, 20, 190, 60, 210, "#first");
    page_add_place(list, 0, 280, "first");
    page_add_place(list, 1, 150.5, "later.on");
    write_document();
    check_sound();
    content();
    check_says("/Dest /later.on");
    check_says("/Dest /first");
    ck_assert_ptr_null(strstr(buf_text(&said), "/URI"));
    ask("pdfinfo -dests", "");
    check_says("   1 [ XYZ null  280 null      ] \"first\"");
    check_says("   2 [ XYZ null  151 null      ] \"later.on\"");
}
END_TEST

START_TEST(tags_make_a_tree)
{
    page_tag_begin(list, page, "H1", NULL);
    add_text(280, FACE_BOLD, "Heading");
    page_tag_end(list, page);
    page_tag_begin(list, page, "Table", NULL);
    page_tag_begin(list, page, "TR", NULL);
    page_tag_begin(list, page, "TH", NULL);
    add_text(260, FACE_BOLD, "Motion");
    page_tag_end(list, page);
    page_tag_begin(list, page, "TD", NULL);
    page_add_line(list, page, 20, 250, 100, 250, 0.4, colour_black);
    add_text(250, FACE_REGULAR, "118\xc2\xb0");
    page_tag_end(list, page);
    page_tag_end(list, page);
    page_tag_end(list, page);
    page_tag_begin(list, page, "Artifact", NULL);
    page_tag_begin(list, page, "P", NULL); /* inside decoration nothing is structure */
    add_text(20, FACE_REGULAR, "foot");
    page_tag_end(list, page);
    page_tag_end(list, page);
    page_tag_begin(list, page, "Figure", "Knee at 118\xc2\xb0");
    page_add_line(list, page, 20, 150, 100, 150, 0.4, colour_black);
    page_tag_end(list, page);
    page_tag_begin(list, page, "Link", NULL);
    page_add_link(list, page, 20, 90, 60, 110, "https://example.org");
    add_text(100, FACE_REGULAR, "link");
    page_tag_end(list, page);
    add_text(10, FACE_REGULAR, "untagged");
    write_document();
    check_sound();
    ask("pdfinfo", "");
    check_says("Tagged:          yes");
    ask("pdfinfo -struct-text", "");
    check_says("H1 (block)\n    \"Heading\"\n");
    check_says("TH:\n         /Scope /Column\n        \"Motion\"\n");
    check_says("TD\n        \"\"\n        \"118\xc2\xb0\"\n"); /* the line, then the text */
    check_says("Figure");
    check_says("\"link\"");
    ck_assert_ptr_null(strstr(said.data, "foot"));
    ck_assert_ptr_null(strstr(said.data, "untagged"));
    content();
    check_says("/Alt <feff");
    check_says("/StructParent 1");
}
END_TEST

/* Marks and text objects open and close in turn on every page, whatever the order of items. */
START_TEST(marks_nest)
{
    page_tag_begin(list, page, "P", NULL);
    for (int i = 0; i < 20; i++) {
        if (i % 3 == 0) {
            page_add_line(list, page, 20, i, 100, i, 0.4, colour_black);
        } else {
            add_text(20 + i, i % 2, "x\xe2\x96\xb2");
        }
        if (i % 5 == 4) {
            page_tag_begin(list, page, i % 2 == 0 ? "Span" : "Artifact", NULL);
        }
    }
    for (int i = 0; i < 5; i++) {
        page_tag_end(list, page);
    }
    write_document();
    check_sound();
    int text = 0, mark = 0, mark_in_text = 0;
    for (char *line = strtok((char *)(uintptr_t)content(), "\n"); line != NULL;
         line = strtok(NULL, "\n")) {
        size_t n = strlen(line);
        if (strcmp(line, "BT") == 0) {
            ck_assert_int_eq(text, 0);
            ck_assert_int_eq(mark, 0);
            text = 1;
        } else if (strcmp(line, "ET") == 0) {
            ck_assert_int_eq(text, 1);
            ck_assert_int_eq(mark, 0);
            text = 0;
        } else if (n > 3 && line[n - 3] == 'B' && line[n - 1] == 'C') { /* BDC, BMC */
            ck_assert_int_eq(mark, 0);
            mark = 1;
            mark_in_text += text;
        } else if (strcmp(line, "EMC") == 0) {
            ck_assert_int_eq(mark, 1);
            mark = 0;
        } else if (n > 2 && strcmp(line + n - 2, "Tj") == 0) {
            ck_assert_int_eq(text, 1);
            ck_assert_int_eq(mark, 1);
        }
    }
    ck_assert_int_eq(text + mark, 0);
    ck_assert_int_gt(mark_in_text, 3);
}
END_TEST

/* The colour of a point of page 1 at 72 points an inch, from the top left. */
static unsigned colour_at(int x, int y)
{
    ask("pdftoppm -r 72 -f 1 -l 1", "");
    unsigned width = 0, height = 0;
    int start = 0;
    ck_assert_int_eq(sscanf(said.data, "P6 %u %u 255%*c%n", &width, &height, &start), 2);
    ck_assert_uint_eq(width, 400);
    const unsigned char *p =
        (const unsigned char *)said.data + start + 3 * ((size_t)y * width + (size_t)x);
    return (unsigned)p[0] << 16 | (unsigned)p[1] << 8 | p[2];
}

/* Of samples and of a JPEG, baseline and progressive; the top of the file is the top on paper. */
START_TEST(pictures_show)
{
    char why[IMAGE_WHY_MAX];
    bool progressive = _i == 1;
    struct image *jpeg = progressive
                             ? image_of(picture_progressive, sizeof(picture_progressive), why)
                             : image_of(picture_baseline, sizeof(picture_baseline), why);
    struct image samples = {.width = 1, .height = 2, .colour = true, .digest = 7};
    buf_init(&samples.bytes, 100);
    buf_add(&samples.bytes, "\xFF\x00\x00\x00\xFF\x00", 6);
    struct image grey = {.width = 2, .height = 1, .digest = 8};
    buf_init(&grey.bytes, 100);
    buf_add(&grey.bytes, "\x20\xE0", 2);
    page_tag_begin(list, page, "Figure", "sign");
    page_add_image(list, page, 100, 100, 160, 80, "a", jpeg);
    page_tag_end(list, page);
    page_add_image(list, page, 10, 10, 40, 40, "b", &samples);
    page_add_image(list, page, 300, 10, 40, 40, "c", &grey);
    page_add_image(list, page, 300, 100, 40, 40, "c", &grey);
    page_add_rect(list, page, 0, 290, 10, 10, &colour_black, NULL, 0);
    write_document();
    check_sound();
    unsigned left = colour_at(120, 160), right = colour_at(240, 160);
    ck_assert_uint_gt(left >> 16, (left & 0xFF) + 100);
    ck_assert_uint_lt(right >> 16, (right & 0xFF) - 100);
    ck_assert_uint_eq(colour_at(30, 255), 0xFF0000);
    ck_assert_uint_eq(colour_at(30, 285), 0x00FF00);
    ck_assert_uint_eq(colour_at(305, 270), 0x202020);
    ck_assert_uint_eq(colour_at(335, 270), 0xE0E0E0);
    ck_assert_uint_eq(colour_at(5, 5), 0);
    int first = 0, second = 0; /* objects of the grey one: held once */
    const char *text = strstr(ask("pdfimages -list", ""), "gray");
    check_says("jpeg");
    ck_assert_int_eq(sscanf(text, "gray %*d %*d image %*s %d", &first), 1);
    text = strstr(text + 1, "gray");
    ck_assert_int_eq(sscanf(text, "gray %*d %*d image %*s %d", &second), 1);
    ck_assert_int_eq(first, second);
    image_free(jpeg);
    buf_release(&samples.bytes);
    buf_release(&grey.bytes);
}
END_TEST

/* Every printable sign of ASCII, in every place of the piece that glyphs are gathered in: the
 * bytes of some glyphs are brackets, a backslash or line ends to the format. */
START_TEST(all_ascii_comes_back)
{
    char text[600], wrapped[700];
    size_t n = 0;
    while (n < 95 + (size_t)_i) { /* no spaces: a reader may join or part words at them */
        text[n] = (char)('!' + n % 94);
        n++;
    }
    text[n] = '\0';
    page_add_text(list, page, 5, 200, FACE_REGULAR, 1, text, n);
    write_document();
    check_sound();
    snprintf(wrapped, sizeof(wrapped), "%s\n", text);
    ask("pdftotext -raw", "-");
    check_says(wrapped);
}
END_TEST

static void add_many_pages(size_t n)
{
    char text[32];
    while (list->n < n) {
        page = page_add(list, 400, 300);
        page_tag_begin(list, page, "P", NULL);
        snprintf(text, sizeof(text), "page %zu", list->n);
        add_text(200, FACE_REGULAR, text);
        page_tag_end(list, page);
        page_add_bookmark(list, list->n - 1, 280, 1, text);
    }
}

START_TEST(many_pages)
{
    static const size_t counts[] = {200, 1001}; /* one node of the page tree, and more */
    add_many_pages(counts[_i]);
    write_document();
    check_sound();
    char expected[32];
    snprintf(expected, sizeof(expected), "Pages:           %zu\n", counts[_i]);
    ask("pdfinfo", "");
    check_says(expected);
    snprintf(expected, sizeof(expected), "page %zu\n", counts[_i]);
    ask("pdftotext -f 200", "-");
    check_says(expected);
    check_says("page 200\n");
}
END_TEST

/* Two pages of table in both weights with signs and tags: what a chart is. */
START_TEST(chart_is_small)
{
    for (int n = 0; n < 2; n++) {
        page = n == 0 ? page : page_add(list, 400, 300);
        page_tag_begin(list, page, "Table", NULL);
        for (int row = 0; row < 20; row++) {
            page_tag_begin(list, page, "TR", NULL);
            for (int column = 0; column < 8; column++) {
                char text[64];
                snprintf(text, sizeof(text), "%d-%d-%d\xc2\xb0 \xe2\x96\xb2", column, row, n);
                page_tag_begin(list, page, "TD", NULL);
                page_add_text(list, page, 20 + 45 * column, 280 - 13 * row, row == 0, 5, text,
                              strlen(text));
                page_tag_end(list, page);
            }
            page_tag_end(list, page);
        }
        page_tag_end(list, page);
    }
    write_document();
    check_sound();
    ck_assert_uint_le(out.len, 40000);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("pdf_write");
    TCase *c = tcase_create("pdf_write");
    tcase_set_timeout(c, 120);
    tcase_add_unchecked_fixture(c, load_fonts, release_fonts);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_test(c, text_comes_back);
    tcase_add_test(c, fonts_are_embedded_and_readable);
    tcase_add_test(c, characters_without_a_code);
    tcase_add_test(c, text_stands_where_placed);
    tcase_add_test(c, width_is_as_measured);
    tcase_add_test(c, soft_hyphens_do_not_show);
    tcase_add_test(c, beyond_the_core);
    tcase_add_test(c, same_list_same_bytes);
    tcase_add_test(c, properties_are_written);
    tcase_add_test(c, nothing_is_written_that_was_not_given);
    tcase_add_test(c, zero_arc_leaves_no_trace);
    tcase_add_test(c, paths_are_written_as_drawn);
    tcase_add_test(c, links_and_bookmarks);
    tcase_add_test(c, links_to_places);
    tcase_add_test(c, tags_make_a_tree);
    tcase_add_test(c, marks_nest);
    tcase_add_loop_test(c, pictures_show, 0, 2);
    tcase_add_loop_test(c, all_ascii_comes_back, 0, 8);
    tcase_add_loop_test(c, many_pages, 0, 2);
    tcase_add_test(c, chart_is_small);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
