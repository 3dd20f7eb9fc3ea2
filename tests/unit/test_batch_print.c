/* The print file of a long run: how many reports and pages go into one file, that no page is lost
 * where it is split, and that files of an earlier, longer run go. Pages are counted by qpdf. */
#include "batch/outputs_int.h"
#include "unit.h"

#include "pdf/pdf.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { WIDE = 100 }; /* points, of a page that bears nothing */

static struct diag_list said;
static char folder[] = "/tmp/endfeel-print-XXXXXX";
static struct batch_options options;
static struct tools tools;
static struct outputs *o;

static void setup(void)
{
    strcpy(folder, "/tmp/endfeel-print-XXXXXX");
    diag_list_init(&said);
    ck_assert_ptr_nonnull(mkdtemp(folder));
    options = (struct batch_options){.command = BATCH_REPORT, .out = folder, .print_all = true};
    tools = (struct tools){.options = &options};
    tools.fonts = font_set_load(NULL, &said.sink);
    tools.pdf = pdf_writer_new(tools.fonts, "endfeel test", PDF_USUAL, &said.sink);
    ck_assert_ptr_nonnull(tools.pdf);
    o = outputs_new(&tools);
}

static void place(char *path, size_t size, int part)
{
    if (part == 1)
        snprintf(path, size, "%s/print-all.pdf", folder);
    else
        snprintf(path, size, "%s/print-all-%d.pdf", folder, part);
}

static void teardown(void)
{
    char path[80];
    for (int part = 1; part <= 4; part++) {
        place(path, sizeof path, part);
        unlink(path);
    }
    rmdir(folder);
    outputs_free(o);
    pdf_writer_free(tools.pdf);
    font_set_free(tools.fonts);
    diag_list_release(&said);
}

static void add_reports(int n, int pages)
{
    struct page_list *list = page_list_new();
    struct buf drawn;
    buf_init(&drawn, 1 << 26);
    for (int i = 0; i < pages; i++)
        page_add(list, WIDE, WIDE);
    ck_assert(pdf_draw(tools.pdf, list, &drawn, &said.sink));
    page_list_free(list);
    for (int i = 0; i < n; i++) {
        char id[16];
        snprintf(id, sizeof id, "P%06d", i);
        struct report r = {.patient_id = id, .name = "", .kind = "chart",
                           .visit_date = {2025, 3, 14}, .pages = pages};
        ck_assert(outputs_drawn(o, &r, id, drawn.data, drawn.len, &said.sink));
    }
    buf_release(&drawn);
    o->reports = n;
    o->pages = (long)n * pages;
}

static long pages_in(int part) /* -1: there is no such file */
{
    char path[80], command[120];
    long n = -1;
    place(path, sizeof path, part);
    if (!file_exists(path))
        return -1;
    snprintf(command, sizeof command, "qpdf --show-npages %s", path);
    FILE *p = popen(command, "r");
    ck_assert_ptr_nonnull(p);
    ck_assert_int_eq(fscanf(p, "%ld", &n), 1);
    ck_assert_int_eq(pclose(p), 0);
    return n;
}

static const struct {
    int reports, pages; /* pages of each */
    long files[3];      /* pages of each file; -1: none */
} splits[] = {
    {1, 3, {3, -1, -1}},
    {2000, 1, {2000, -1, -1}},          /* exactly full */
    {2001, 1, {2000, 1, -1}},           /* one more */
    {4003, 1, {2000, 2000, 3}},         /* twice over */
    {500, 21, {10017, 483, -1}},        /* full of pages before it is full of reports */
};

START_TEST(splits_where_full)
{
    add_reports(splits[_i].reports, splits[_i].pages);
    ck_assert(print_file_write(o, &said.sink));
    long sum = 0;
    for (int part = 1; part <= 3; part++) {
        long n = pages_in(part);
        ck_assert_int_eq(n, splits[_i].files[part - 1]);
        sum += n > 0 ? n : 0;
    }
    ck_assert_int_eq(sum, o->pages); /* what the day index says */
    ck_assert_uint_eq(said.n, 0);
}
END_TEST

START_TEST(says_when_pages_do_not_add_up)
{
    add_reports(3, 2);
    o->pages++;
    ck_assert(!print_file_write(o, &said.sink));
    ck_assert_int_eq(said.items[said.n - 1].code, DIAG_PRINT_PAGES);
}
END_TEST

START_TEST(removes_files_of_a_longer_run)
{
    char path[80];
    for (int part = 1; part <= 4; part++) {
        place(path, sizeof path, part);
        ck_assert(file_write(path, "old", 3, &said.sink));
    }
    add_reports(2001, 1);
    ck_assert(print_file_write(o, &said.sink));
    ck_assert_int_eq(pages_in(2), 1);
    ck_assert_int_eq(pages_in(3), -1);
    ck_assert_int_eq(pages_in(4), -1);
}
END_TEST

static Suite *print_suite(void)
{
    Suite *s = suite_create("batch: print file");
    TCase *t = tcase_create("print file");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, splits_where_full, 0, (int)ARRAY_LEN(splits));
    tcase_add_test(t, says_when_pages_do_not_add_up);
    tcase_add_test(t, removes_files_of_a_longer_run);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(print_suite)
