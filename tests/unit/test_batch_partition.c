/* Rows come back grouped by patient, whole and in order, however many partitions there are; the
 * wire gives back what was put on it. */
#include "batch/batch_int.h"
#include "unit.h"

#include <signal.h>
#include <string.h>

enum { PATIENTS = 7, ROWS = 900 };

static struct diag_list said;

struct seen {
    struct buf text;
    size_t rows;
    struct arena *arena;
};

static bool take(void *user, const char *id, const char *rows, size_t len, size_t n_rows)
{
    struct seen *seen = user;
    const char *at = rows;
    long last = 0;
    buf_addf(&seen->text, "%s:%zu ", id, n_rows);
    for (size_t i = 0; i < n_rows; i++) {
        struct row row;
        size_t used = row_unpack(at, len - (size_t)(at - rows), seen->arena, &row);
        ck_assert_uint_gt(used, 0);
        at += used;
        ck_assert_int_gt(row.line, last);
        last = row.line;
        ck_assert_str_eq(row.cells[0].text, id);
        seen->rows++;
    }
    ck_assert_ptr_eq(at, rows + len);
    return true;
}

static void fill(struct partitions *p, size_t padding)
{
    char *pad = mem_alloc(padding + 1);
    memset(pad, 'x', padding);
    for (int i = 1; i <= ROWS; i++) {
        char id[16];
        snprintf(id, sizeof id, "P%d", i * 31 % PATIENTS);
        struct cell cells[] = {{id, strlen(id), i, 1}, {pad, padding, i, 2}};
        struct row row = {.source = 0, .line = i, .cells = cells, .n_cells = 2};
        ck_assert(partitions_add(p, id, &row, &said.sink));
    }
    free(pad);
}

START_TEST(grouped_whole_and_in_order)
{
    static const uint64_t sizes[] = {0, 3 << 20, 40 << 20, (uint64_t)1 << 40};
    diag_list_init(&said);
    struct partitions *p = partitions_new(sizes[_i]);
    struct seen seen = {.arena = arena_new()};
    buf_init(&seen.text, 1 << 16);
    fill(p, 500); /* enough to go to the file */
    ck_assert(partitions_walk(p, take, &seen, &said.sink));
    ck_assert_uint_eq(seen.rows, ROWS);
    for (int i = 0; i < PATIENTS; i++) {
        char id[16];
        snprintf(id, sizeof id, "P%d:", i);
        ck_assert_ptr_nonnull(strstr(seen.text.data, id));
    }
    if (sizes[_i] == 0)
        ck_assert_str_eq(seen.text.data, "P0:128 P1:128 P2:129 P3:129 P4:128 P5:129 P6:129 ");
    partitions_free(p);
    buf_release(&seen.text);
    arena_free(seen.arena);
    diag_list_release(&said);
}
END_TEST

START_TEST(no_temporary_folder)
{
    diag_list_init(&said);
    setenv("TMPDIR", "/no/such/folder", 1);
    struct partitions *p = partitions_new(3 << 20);
    char big[40000];
    memset(big, 'x', sizeof big - 1);
    big[sizeof big - 1] = '\0';
    struct cell cells[] = {{"P1", 2, 1, 1}, {big, sizeof big - 1, 1, 2}};
    struct row row = {.line = 1, .cells = cells, .n_cells = 2};
    ck_assert(!partitions_add(p, "P1", &row, &said.sink));
    ck_assert_int_eq(said.items[0].code, DIAG_TEMP_FILE);
    partitions_free(p);
    unsetenv("TMPDIR");
    diag_list_release(&said);
}
END_TEST

START_TEST(wire_round_trip)
{
    struct arena *a = arena_new();
    struct buf b;
    buf_init(&b, 1 << 16);
    struct diag out, in = {DIAG_FILE_OPEN, {"f.csv", 3, 4, "value"}, "12o", NULL};
    const struct reminder due[] = {
        {"certification", "medicare-part-b", "overdue", 95, 90, true, {2024, 12, 1}, {2025, 3, 1}},
        {"progress-report", "clinic", "due", 10, 10, false, {2025, 2, 4}, {0}},
    };
    struct report got, r = {.file = "d/f.pdf", .kind = "chart", .patient_id = "P1",
                            .visit_kind = "evaluation", .worst = "worse", .sha256 = "aa",
                            .visit_date = {2025, 3, 14}, .pages = 2, .notes = 1, .bytes = 33,
                            .needs_countersign = true, .treatment_day = 7, .reminders = due,
                            .n_reminders = ARRAY_LEN(due)};
    wire_put_diag(&b, &in);
    report_put(&b, &r);
    struct wire w = {b.data, b.data + b.len};
    wire_diag(&w, a, &out);
    ck_assert_int_eq(out.code, in.code);
    ck_assert_str_eq(out.pos.field, "value");
    ck_assert_str_eq(out.text, "12o");
    ck_assert_ptr_null(out.detail);
    report_get(&w, a, &got);
    ck_assert_str_eq(got.file, r.file);
    ck_assert_ptr_null(got.name);
    ck_assert_int_eq(date_compare(got.visit_date, r.visit_date), 0);
    ck_assert(got.needs_countersign && !got.is_signed);
    ck_assert_int_eq(got.treatment_day, 7);
    ck_assert_uint_eq(got.n_reminders, ARRAY_LEN(due));
    for (size_t i = 0; i < ARRAY_LEN(due); i++) {
        ck_assert_str_eq(got.reminders[i].id, due[i].id);
        ck_assert_str_eq(got.reminders[i].rule, due[i].rule);
        ck_assert_str_eq(got.reminders[i].status, due[i].status);
        ck_assert_int_eq(got.reminders[i].count, due[i].count);
        ck_assert_int_eq(got.reminders[i].due_at, due[i].due_at);
        ck_assert_int_eq(got.reminders[i].at_least, due[i].at_least);
        ck_assert_int_eq(date_compare(got.reminders[i].since, due[i].since), 0);
        ck_assert_int_eq(date_compare(got.reminders[i].due, due[i].due), 0);
    }
    ck_assert_ptr_eq(w.at, w.end);
    buf_release(&b);
    arena_free(a);
}
END_TEST

/* A cut message means the other end is broken: the process ends instead of reading on. */
START_TEST(wire_cut)
{
    struct wire w = {"abc", "abc" + 3};
    wire_int(&w);
}
END_TEST

static Suite *make(void)
{
    Suite *s = suite_create("batch partition");
    TCase *t = tcase_create("all");
    tcase_add_loop_test(t, grouped_whole_and_in_order, 0, 4);
    tcase_add_test(t, no_temporary_folder);
    tcase_add_test(t, wire_round_trip);
    if (getenv("CK_FORK") == NULL)
        tcase_add_test_raise_signal(t, wire_cut, SIGABRT);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make)
