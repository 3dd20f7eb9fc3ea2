/* Tables that are not about patients: which headers are taken, which refuse the file, and what a
 * name of a test says. */
#include "import/import.h"
#include "unit.h"

#include <string.h>
#include <unistd.h>

static const char *const columns[] = {"subject", "rater", "value", "try", "test"};
static const struct import_table table = {columns, 5, 3};
static char path[64];
static struct diag_list said;

static void setup(void)
{
    memcpy(path, "/tmp/endfeel-table-XXXXXX", sizeof "/tmp/endfeel-table-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    close(fd);
    diag_list_init(&said);
}

static void teardown(void)
{
    unlink(path);
    diag_list_release(&said);
}

static struct import_source *open_with(const char *text)
{
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    ck_assert_int_ge(fputs(text, f), 0);
    fclose(f);
    diag_list_clear(&said);
    return import_table_open(path, 3, &table, import_settings_default(), &said.sink);
}

static const struct {
    const char *header;
    enum diag_code code;
    long column;
    const char *detail;
} refused[] = {
    {"subject,rater\n", DIAG_CSV_COLUMN_MISSING, 0, "value"},
    {"subject,value\n", DIAG_CSV_COLUMN_MISSING, 0, "rater"},
    {"rater,value,notes\n", DIAG_CSV_COLUMN_MISSING, 0, "subject"},
    {"subject,rater,value,Rater\n", DIAG_CSV_COLUMN_TWICE, 4, "columns 2 and 4"},
    {"subject,rater,valu\n", DIAG_CSV_COLUMN_MISSPELT, 3,
     "nearest known: value; the file was not read"},
    {"subject,rater,value,tests\n", DIAG_CSV_COLUMN_MISSPELT, 4,
     "nearest known: test; the file was not read"},
    {"", DIAG_CSV_EMPTY, 0, NULL},
};

START_TEST(a_header_that_refuses_the_file)
{
    ck_assert_ptr_null(open_with(refused[_i].header));
    const struct diag *last = &said.items[said.n - 1];
    ck_assert_str_eq(diag_id(last->code), diag_id(refused[_i].code));
    ck_assert_int_eq(last->pos.column, refused[_i].column);
    ck_assert_msg(str_eq(last->detail, refused[_i].detail), "%s", last->detail);
    ck_assert_int_eq(diag_outcome(last->code), OUTCOME_HELD_BACK);
}
END_TEST

START_TEST(columns_in_any_order_and_case)
{
    struct row row;
    struct tally tally = {0};
    struct import_source *src = open_with("Remark;VALUE;Rater;;subject\nx;12;B;y;A\n");
    ck_assert_ptr_nonnull(src);
    ck_assert_uint_eq(said.n, 2); /* one unknown, one without a name */
    ck_assert_int_eq(said.items[0].code, DIAG_CSV_COLUMN_UNKNOWN);
    ck_assert_int_eq(said.items[1].code, DIAG_CSV_COLUMN_UNNAMED);
    ck_assert_int_eq(import_next(src, &row, &tally, &said.sink), IMPORT_ROW);
    ck_assert_int_eq(row.source, 3);
    ck_assert_str_eq(import_table_cell(src, &row, 0)->text, "A");
    ck_assert_str_eq(import_table_cell(src, &row, 1)->text, "B");
    ck_assert_str_eq(import_table_cell(src, &row, 2)->text, "12");
    ck_assert_int_eq(import_table_cell(src, &row, 2)->column, 2);
    ck_assert_ptr_null(import_table_cell(src, &row, 3));
    ck_assert_int_eq(import_next(src, &row, &tally, &said.sink), IMPORT_END);
    ck_assert_int_eq(tally.rows_in, 1);
    import_close(src);
}
END_TEST

START_TEST(what_a_test_names)
{
    struct reference *ref = reference_load_embedded(&said.sink);
    struct import_test t;
    ck_assert(import_test_named(ref, "knee extension PROM", &t));
    ck_assert_str_eq(t.motion->joint, "knee");
    ck_assert_str_eq(t.motion->motion, "extension");
    ck_assert_int_eq(t.test, TEST_PROM);
    ck_assert(import_test_named(ref, "R Shoulder ER", &t));
    ck_assert_int_eq(t.test, TEST_NONE);
    ck_assert_str_eq(t.motion->motion, "external-rotation");
    ck_assert(!import_test_named(ref, "plastic model, fixed", &t));
    ck_assert(!import_test_named(ref, "", &t));
    ck_assert_ptr_null(t.motion);
    reference_free(ref);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import table");
    TCase *t = tcase_create("all");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, a_header_that_refuses_the_file, 0, ARRAY_LEN(refused));
    tcase_add_test(t, columns_in_any_order_and_case);
    tcase_add_test(t, what_a_test_names);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
