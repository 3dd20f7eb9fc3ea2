/* Files, the safe XML reader, spill runs and diagnostics: what goes wrong first. */
#include "base/base.h"
#include "unit.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[64];
static struct diag_list said;
static struct arena *arena;

static void setup(void)
{
    strcpy(folder, "/tmp/endfeel-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    diag_list_init(&said);
    arena = arena_new();
}

static void teardown(void)
{
    const char **paths;
    size_t n;
    if (file_list(folder, "", arena, &paths, &n, &said.sink))
        for (size_t i = 0; i < n; i++)
            unlink(paths[i]);
    rmdir(folder);
    diag_list_release(&said);
    arena_free(arena);
}

static enum diag_code last_said(void)
{
    ck_assert_uint_gt(said.n, 0);
    return said.items[said.n - 1].code;
}

START_TEST(reading_fails_aloud)
{
    struct buf b;
    buf_init(&b, 100);
    ck_assert(!file_read(arena_printf(arena, "%s/none", folder), 10, &b, &said.sink));
    ck_assert_int_eq(last_said(), DIAG_FILE_OPEN);
    ck_assert(!file_read(folder, 10, &b, &said.sink));
    ck_assert_int_eq(last_said(), DIAG_FILE_READ);
    const char *path = arena_printf(arena, "%s/big", folder);
    ck_assert(file_write(path, "0123456789", 10, &said.sink));
    ck_assert(!file_read(path, 9, &b, &said.sink));
    ck_assert_int_eq(last_said(), DIAG_FILE_TOO_LARGE);
    buf_release(&b);
}
END_TEST

START_TEST(writing_is_whole_or_nothing)
{
    const char *path = arena_printf(arena, "%s/no/such/folder", folder);
    ck_assert(!file_write(path, "x", 1, &said.sink));
    ck_assert_int_eq(last_said(), DIAG_FILE_WRITE);
    ck_assert(!file_write("/dev/full/x", "x", 1, &said.sink));
    const char *good = arena_printf(arena, "%s/a", folder);
    ck_assert(file_write_part(good, "one", 3, &said.sink));
    ck_assert(!file_exists(good));
    file_discard(good);
    ck_assert(!file_commit(good, &said.sink));
    ck_assert(file_write(good, "two", 3, &said.sink));
    struct stat st;
    ck_assert_int_eq(stat(good, &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0600);
    ck_assert(!file_exists(arena_printf(arena, "%s.part", good)));
}
END_TEST

START_TEST(parts_are_removed_at_an_end)
{
    const char *one = arena_printf(arena, "%s/one", folder);
    const char *two = arena_printf(arena, "%s/two", folder);
    const char *part = arena_printf(arena, "%s.part", two);
    ck_assert(file_write_part(one, "1", 1, &said.sink) && file_commit(one, &said.sink));
    ck_assert(file_write_part(two, "2", 1, &said.sink) && file_exists(part));
    file_discard_all();
    ck_assert(file_exists(one) && !file_exists(part) && !file_exists(two));
    /* What took the name of a part that is in place is not this process's to remove. */
    ck_assert(file_write(arena_printf(arena, "%s.part", one), "3", 1, &said.sink));
    file_discard_all();
    ck_assert(file_exists(arena_printf(arena, "%s.part", one)));
}
END_TEST

START_TEST(a_path_too_long_is_said)
{
    char *path = arena_alloc(arena, 5001);
    memset(path, 'x', 5000);
    ck_assert(!file_write(path, "x", 1, &said.sink));
    ck_assert_int_eq(last_said(), DIAG_FILE_WRITE);
    ck_assert(!file_commit(path, &said.sink));
    ck_assert_int_eq(last_said(), DIAG_FILE_WRITE);
}
END_TEST

START_TEST(safe_names)
{
    static const char *const table[][2] = {
        {"P-014", "P-014"},       {"../x", "%2E.%2Fx"},  {"a.b", "a.b"},     {"a.", "a%2E"},
        {".hidden", "%2Ehidden"}, {"a b", "a%20b"},      {"\xC3\xA9", "%C3%A9"}, {"a/b", "a%2Fb"},
    };
    for (size_t i = 0; i < ARRAY_LEN(table); i++)
        ck_assert_str_eq(file_safe_name(arena, table[i][0]), table[i][1]);
}
END_TEST

static struct _xmlDoc *parse(const char *s)
{
    return xml_parse(s, strlen(s), "t.xml", &said.sink);
}

START_TEST(xml_is_refused)
{
    ck_assert_ptr_null(parse("<a><b></a>"));
    ck_assert_int_eq(last_said(), DIAG_XML_SYNTAX);
    ck_assert_int_eq(said.items[said.n - 1].pos.line, 1);
    ck_assert_ptr_null(parse(""));
    ck_assert_int_eq(last_said(), DIAG_XML_SYNTAX);
    ck_assert_ptr_null(parse("<!DOCTYPE a [<!ENTITY x SYSTEM '/etc/passwd'>]><a>&x;</a>"));
    ck_assert_int_eq(last_said(), DIAG_XML_UNSAFE);
    ck_assert_ptr_null(parse("<!DOCTYPE a SYSTEM 'x.dtd'><a/>"));
    ck_assert_int_eq(last_said(), DIAG_XML_UNSAFE);
}
END_TEST

static bool collect(void *user, const char *key, size_t key_len, const char *blob, size_t blob_len)
{
    struct buf *b = user;
    buf_add(b, key, key_len);
    buf_addc(b, '=');
    buf_add(b, blob, blob_len);
    buf_addc(b, ' ');
    return true;
}

/* The same pairs in the same order whatever the memory, down to a spill at every pair. */
START_TEST(spill_runs_merge)
{
    static const char *const keys[] = {"m", "b", "zz", "a", "b", "z", "", "m", "aa", "b"};
    for (size_t memory = 1; memory < 800; memory += 37) {
        struct sorter *s = sorter_new(memory);
        for (size_t i = 0; i < ARRAY_LEN(keys); i++) {
            char blob = (char)('0' + i);
            ck_assert(sorter_add(s, keys[i], strlen(keys[i]), &blob, 1, &said.sink));
        }
        struct buf b;
        buf_init(&b, 1000);
        for (int again = 0; again < 2; again++) {
            buf_clear(&b);
            ck_assert(sorter_walk(s, collect, &b, &said.sink));
            ck_assert_str_eq(buf_text(&b), "=6 a=3 aa=8 b=1 b=4 b=9 m=0 m=7 z=5 zz=2 ");
        }
        buf_release(&b);
        sorter_free(s);
    }
}
END_TEST

START_TEST(temporary_folder_missing)
{
    setenv("TMPDIR", "/no/such/folder", 1);
    ck_assert_ptr_null(file_private_temp(&said.sink));
    ck_assert_int_eq(last_said(), DIAG_TEMP_FILE);
    unsetenv("TMPDIR");
}
END_TEST

START_TEST(arena_clears)
{
    struct arena *a = arena_new();
    size_t least = arena_bytes(a);
    for (int i = 0; i < 1000; i++)
        memset(arena_alloc(a, 1000), 1, 1000);
    ck_assert_uint_gt(arena_bytes(a), 1000000);
    arena_clear(a);
    ck_assert_uint_eq(arena_bytes(a), least);
    const char *zeroed = arena_alloc(a, 64);
    for (int i = 0; i < 64; i++)
        ck_assert_int_eq(zeroed[i], 0);
    arena_free(a);
    arena_free(NULL);
}
END_TEST

START_TEST(arena_grows_what_it_gave)
{
    struct arena *a = arena_new();
    char *text = arena_grow(a, NULL, 0, 3);
    memcpy(text, "abc", 3);
    for (size_t size = 3; size < 100000; size *= 2) {
        char *more = arena_grow(a, text, size, size * 2);
        ck_assert_ptr_ne(more, text);
        ck_assert_mem_eq(more, text, size);
        memset(more + size, '!', size);
        text = more;
    }
    ck_assert_mem_eq(text, "abc!!!", 6);
    arena_free(a);
}
END_TEST

/* Sizes about those that are cleared in one way and another, after what was not clear. */
START_TEST(arena_gives_zeroes)
{
    struct arena *a = arena_new();
    for (size_t size = 0; size < 300; size++) {
        memset(arena_room(a, 4096), 0xFF, 4096);
        arena_clear(a);
        const char *place = arena_alloc(a, size);
        for (size_t i = 0; i < size; i++)
            ck_assert_msg(place[i] == 0, "byte %zu of %zu", i, size);
        ck_assert_uint_eq((uintptr_t)place % _Alignof(max_align_t), 0);
        arena_clear(a);
    }
    arena_free(a);
}
END_TEST

static Suite *make(void)
{
    Suite *s = suite_create("base file");
    TCase *t = tcase_create("all");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, reading_fails_aloud);
    tcase_add_test(t, writing_is_whole_or_nothing);
    tcase_add_test(t, parts_are_removed_at_an_end);
    tcase_add_test(t, a_path_too_long_is_said);
    tcase_add_test(t, safe_names);
    tcase_add_test(t, xml_is_refused);
    tcase_add_test(t, spill_runs_merge);
    tcase_add_test(t, temporary_folder_missing);
    tcase_add_test(t, arena_clears);
    tcase_add_test(t, arena_grows_what_it_gave);
    tcase_add_test(t, arena_gives_zeroes);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make)
