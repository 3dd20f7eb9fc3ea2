/* What earlier runs left: rows of manifests are found by file, the later of two holds, and what
 * cannot be understood is no row. The lock admits who may share. */
#include "batch/batch_int.h"
#include "unit.h"

#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#define SHA "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"
#define SHB "fedcba9876543210fedcba9876543210fedcba9876543210fedcba9876543210"

static struct diag_list said;
static char folder[] = "/tmp/endfeel-past-XXXXXX";
static char first[64], second[64];

static void setup(void)
{
    strcpy(folder, "/tmp/endfeel-past-XXXXXX");
    diag_list_init(&said);
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(first, sizeof first, "%s/a", folder);
    snprintf(second, sizeof second, "%s/b", folder);
}

static void teardown(void)
{
    unlink(first);
    unlink(second);
    rmdir(folder);
    diag_list_release(&said);
}

static void put(const char *path, const char *rows)
{
    struct buf b;
    buf_init(&b, 1 << 16);
    buf_adds(&b, manifest_head());
    buf_adds(&b, rows);
    ck_assert(file_write(path, b.data, b.len, &said.sink));
    buf_release(&b);
}

static struct past *load(void)
{
    const char *const paths[] = {first, second};
    struct past *p = past_load(paths, 2, &said.sink);
    ck_assert_ptr_nonnull(p);
    return p;
}

START_TEST(finds_rows_by_file)
{
    struct past_report r;
    put(first, "b.pdf,chart,\"P, \"\"1\"\"\",2025-03-14,2,900," SHA "," SHB ",3,4,5\r\n"
               "a.pdf,chart,P2,2025-03-14,1,800," SHB "," SHA ",0,0,0\r\n");
    struct past *p = load(); /* a spreadsheet may have sorted it otherwise */
    ck_assert(past_find(p, "b.pdf", &r));
    ck_assert_int_eq(r.pages, 2);
    ck_assert_int_eq(r.bytes, 900);
    ck_assert_str_eq(r.sha256, SHA);
    ck_assert_str_eq(r.input_sha256, SHB);
    ck_assert_int_eq(r.amendment, 3);
    ck_assert_int_eq(r.notes, 4);
    ck_assert_int_eq(r.held, 5);
    ck_assert(past_find(p, "a.pdf", &r));
    ck_assert_int_eq(r.bytes, 800);
    ck_assert(!past_find(p, "a", &r));
    ck_assert(!past_find(p, "c.pdf", &r));
    past_free(p);
}
END_TEST

START_TEST(later_row_holds)
{
    struct past_report r;
    size_t n;
    put(first, "a.pdf,chart,P,2025-03-14,1,1," SHA "," SHA ",0,0,0\r\n"
               "a.pdf,chart,P,2025-03-14,1,2," SHA "," SHA ",0,0,0\r\n");
    put(second, "a.pdf,chart,P,2025-03-14,1,3," SHA "," SHA ",0,0,0\r\n");
    struct past *p = load();
    ck_assert(past_find(p, "a.pdf", &r));
    ck_assert_int_eq(r.bytes, 3);
    past_lines(p, &n);
    ck_assert_uint_eq(n, 3);
    past_free(p);
}
END_TEST

static const char *const broken[] = {
    "a.pdf\r\n",
    "a.pdf,chart,P,2025-03-14,1,1," SHA "," SHA ",0,0,0", /* cut short */
    "a.pdf,chart,P,2025-03-14,1,1," SHA "," SHA ",0,0\r\n",
    "a.pdf,chart,P,2025-03-14,one,1," SHA "," SHA ",0,0,0\r\n",
    "a.pdf,chart,P,2025-03-14,1,-1," SHA "," SHA ",0,0,0\r\n",
    "a.pdf,chart,P,2025-03-14,1,1,0123," SHA ",0,0,0\r\n",
    "a.pdf,chart,P,2025-03-14,1,1," SHA "," SHA "0,0,0,0\r\n",
    "a.pdf,chart,P,2025-03-14,1,1," SHA "," SHA ",,0,0\r\n",
    ",chart,P,2025-03-14,1,1," SHA "," SHA ",0,0,0\r\n",
    "\"a.pdf\r\n",
};

/* Names and whether a row of ours may bear it. */
static const struct {
    const char *name;
    bool is_ours;
} named[] = {
    {"2025-03-14/P_1.pdf", true}, {"a..b.pdf", true},     {"..a/b.pdf", true}, {"a../b.pdf", true},
    {"...", true},                {"/tmp/a.pdf", false},  {"..", false},       {"../a.pdf", false},
    {"a/../b.pdf", false},        {"a/b/..", false},
};

START_TEST(names_stay_in_the_folder)
{
    struct past_report r;
    char line[300];
    snprintf(line, sizeof line, "%s,chart,P,2025-03-14,1,1," SHA "," SHA ",0,0,0\r\n",
             named[_i].name);
    put(first, line);
    struct past *p = load();
    ck_assert_int_eq(past_find(p, named[_i].name, &r), named[_i].is_ours);
    past_free(p);
}
END_TEST

START_TEST(broken_rows_are_none)
{
    struct past_report r;
    put(first, broken[_i]);
    struct past *p = load();
    ck_assert(!past_find(p, "a.pdf", &r));
    ck_assert(!past_find(p, "", &r));
    past_free(p);
}
END_TEST

START_TEST(no_manifest_and_a_foreign_one)
{
    struct past_report r;
    struct past *p = load();
    ck_assert(!past_find(p, "a.pdf", &r));
    past_free(p);
    ck_assert_uint_eq(said.n, 0);
    ck_assert(file_write(first, "my,notes\r\n", 10, &said.sink));
    p = load();
    ck_assert(!past_find(p, "my", &r));
    ck_assert_int_eq(said.items[0].code, DIAG_MANIFEST);
    past_free(p);
}
END_TEST

START_TEST(unreadable_manifest_stops)
{
    const char *const paths[] = {folder};
    ck_assert_ptr_null(past_load(paths, 1, &said.sink));
    ck_assert_uint_gt(said.n, 0);
}
END_TEST

/* Taking the lock in another process, which ends without a word. */
static bool other_gets(bool shared)
{
    pid_t pid = fork();
    if (pid == 0) {
        struct diag_sink quiet = {0};
        _exit(lock_take(first, shared, false, &quiet) >= 0 ? 0 : 1);
    }
    int status;
    ck_assert_int_eq(waitpid(pid, &status, 0), pid);
    return WEXITSTATUS(status) == 0;
}

START_TEST(locks)
{
    static const struct {
        bool mine, theirs, both;
    } rows[] = {{false, false, false}, {false, true, false}, {true, false, false},
                {true, true, true}};
    int lock = lock_take(first, rows[_i].mine, false, &said.sink);
    ck_assert_int_ge(lock, 0);
    ck_assert(other_gets(rows[_i].theirs) == rows[_i].both);
    lock_drop(lock);
    ck_assert(other_gets(rows[_i].theirs));
    ck_assert_uint_eq(said.n, 0);
}
END_TEST

START_TEST(lock_in_no_folder)
{
    ck_assert_int_lt(lock_take("/no/such/folder/.lock", false, false, &said.sink), 0);
    ck_assert_int_eq(said.items[0].code, DIAG_FILE_OPEN);
}
END_TEST

static Suite *past_suite(void)
{
    Suite *s = suite_create("batch: past");
    TCase *t = tcase_create("past");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, finds_rows_by_file);
    tcase_add_test(t, later_row_holds);
    tcase_add_loop_test(t, broken_rows_are_none, 0, (int)ARRAY_LEN(broken));
    tcase_add_loop_test(t, names_stay_in_the_folder, 0, (int)ARRAY_LEN(named));
    tcase_add_test(t, no_manifest_and_a_foreign_one);
    tcase_add_test(t, unreadable_manifest_stops);
    suite_add_tcase(s, t);
    t = tcase_create("lock");
    tcase_set_timeout(t, 20);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, locks, 0, 4);
    tcase_add_test(t, lock_in_no_folder);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(past_suite)
