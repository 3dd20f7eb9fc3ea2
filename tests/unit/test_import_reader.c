/* Bytes to rows: what is refused, what is held back and where reading goes on, and that neither
 * the size of a read nor a cut anywhere changes more than it must. */
#include "import/import_int.h"
#include "unit.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct buf out; /* what happened, in order, as text */
static char path[64];

static void put_diag(void *user, const struct diag *d)
{
    (void)user;
    buf_addf(&out, "%s %ld:%ld", diag_id(d->code), d->pos.line, d->pos.column);
    if (d->detail != NULL)
        buf_addf(&out, " %s", d->detail);
    buf_addc(&out, '\n');
}

static void set_up(void)
{
    strcpy(path, "/tmp/endfeel-reader-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    close(fd);
    buf_init(&out, 64 << 20);
}

static void tear_down(void)
{
    unlink(path);
    buf_release(&out);
}

static void write_bytes(const char *bytes, size_t len)
{
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(bytes, 1, len, f), len);
    fclose(f);
}

/* Reads all of `path`, writing rows and diagnostics into `out`; -1 where it does not open. */
static long read_all(size_t read_size, struct tally *tally)
{
    struct import_settings settings = {.read_size = read_size};
    struct diag_sink sink = {.put = put_diag};
    buf_clear(&out);
    *tally = (struct tally){0};
    struct import_source *src = import_open(path, 0, false, &settings, NULL, &sink);
    if (src == NULL)
        return -1;
    struct row row;
    enum import_step step;
    long n = 0;
    while ((step = import_next(src, &row, tally, &sink)) == IMPORT_ROW) {
        ck_assert_int_eq(row.n_cells, src->n_columns);
        row_dump(&row, &out);
        n++;
    }
    ck_assert_int_eq(step, IMPORT_END);
    ck_assert_int_eq(import_next(src, &row, tally, &sink), IMPORT_END);
    ck_assert_int_eq(tally->rows_in, n + tally->held);
    import_close(src);
    return n;
}

#define H "patient_id,note\n"

static const struct {
    const char *bytes;
    size_t len; /* 0: strlen */
    const char *events;
} refused[] = {
    {"", 0, "csv-empty 0:0\n"},
    {"\n \n\r\n", 0, "csv-empty 0:0\n"},
    {"\xEF\xBB\xBF", 0, "csv-empty 0:0\n"},
    {"\xFF\xFE", 2, "csv-empty 0:0\n"},
    {"\xFF\xFEp\0a\0", 6, "csv-column-unknown 1:1\ncsv-no-patient-column 1:0\n"},
    {"\xFE\xFF\0p\0a", 6, "csv-column-unknown 1:1\ncsv-no-patient-column 1:0\n"},
    {"p\0a\0", 4, "csv-encoding 0:0 16-bit text without a mark\n"},
    {"\0p\0a", 4, "csv-encoding 0:0 16-bit text without a mark\n"},
    {"\xFF\xFE\0\0p\0\0\0", 8, "csv-not-csv 0:0 32-bit text\n"},
    {"\0\0\xFE\xFF\0\0\0p", 8, "csv-not-csv 0:0 32-bit text\n"},
    {"PK\3\4....", 0, "csv-not-csv 0:0 a spreadsheet workbook\n"},
    {"\xD0\xCF\x11\xE0....", 0, "csv-not-csv 0:0 a spreadsheet workbook\n"},
    {"patient_id;name,note\n", 0, "csv-delimiter 1:0\n"},
    {"patient_id\tname,note\n", 0, "csv-delimiter 1:0\n"},
    {"patient_id\tname;note\n", 0, "csv-delimiter 1:0\n"},
    {"name,note\nA,b\n", 0, "csv-no-patient-column 1:0\n"},
    {"patient_id,name,Name\n", 0, "csv-column-twice 1:3 columns 2 and 3\n"},
    {"patient_id,PATIENT ID\n", 0, "csv-column-twice 1:2 columns 1 and 2\n"},
    {"patient_id,\"note\nP,1\n", 0,
     "csv-header 1:2 a quotation mark begins a cell that does not end\n"},
    {"patient_id,no\"te\n", 0, "csv-header 1:2 a quotation mark in the middle of a cell\n"},
    {"patient_id,n\0te\nP,1\n", 20, "csv-header 1:2 a NUL byte in a cell\n"},
    {"patient_id,\xE9\n", 0, "csv-encoding 1:2 the header row\n"},
};

START_TEST(files_that_cannot_be_read)
{
    struct tally t;
    size_t len = refused[_i].len > 0 ? refused[_i].len : strlen(refused[_i].bytes);
    write_bytes(refused[_i].bytes, len);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), -1);
    ck_assert_str_eq(buf_text(&out), refused[_i].events);
}
END_TEST

START_TEST(folder_absent_and_unreadable)
{
    struct tally t;
    unlink(path);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), -1);
    ck_assert(str_starts(buf_text(&out), "file-open 0:0 "));
    ck_assert_int_eq(mkdir(path, 0700), 0);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), -1);
    ck_assert_str_eq(buf_text(&out), "csv-folder 0:0\n");
    rmdir(path);
}
END_TEST

static const struct {
    const char *bytes;
    size_t len;
    const char *events;
} cases[] = {
    /* whole files, in every line end */
    {H "P,a\nQ,b\n", 0, "row 0:2 1=\"P\" 2=\"a\"\nrow 0:3 1=\"Q\" 2=\"b\"\n"},
    {"patient_id,note\r\nP,a\r\nQ,b\r\n", 0, "row 0:2 1=\"P\" 2=\"a\"\nrow 0:3 1=\"Q\" 2=\"b\"\n"},
    {"patient_id,note\rP,a\rQ,b\r", 0, "row 0:2 1=\"P\" 2=\"a\"\nrow 0:3 1=\"Q\" 2=\"b\"\n"},
    {"\xEF\xBB\xBF" H "P,a\n", 0, "row 0:2 1=\"P\" 2=\"a\"\n"},
    {"\xEF\xBB\xBF\"patient_id\",note\nP,a\n", 0, "row 0:2 1=\"P\" 2=\"a\"\n"},
    /* nothing in it: passed over, but lines stay counted */
    {"\n" H "\n , \n\n\"\",\nP,a\n \t \n", 0, "row 0:7 1=\"P\" 2=\"a\"\n"},
    {H, 0, "csv-no-rows 0:0\n"},
    {"patient_id,note", 0, "csv-no-rows 0:0\n"},
    {H ",\n", 0, "csv-no-rows 0:0\n"},
    /* cells */
    {H "  P , \" a \"\n", 0, "row 0:2 1=\"P\" 2=\"a\"\n"},
    {H "P,\"a, \"\"b\"\"\"\n", 0, "row 0:2 1=\"P\" 2=\"a, \\\"b\\\"\"\n"},
    {H "P,\"a\nb\r\nc\"\nQ,d\n", 0,
     "row 0:2 1=\"P\" 2=\"a\\nb\\r\\nc\"\nrow 0:5 1=\"Q\" 2=\"d\"\n"},
    {"patient_id,note,name\n\"P\n\",\"a\n\nb\",c\n", 0,
     "row 0:2 1=\"P\" 2@3=\"a\\n\\nb\" 3@5=\"c\"\n"},
    {H "P,\xC2\xB0\n", 0, "row 0:2 1=\"P\" 2=\"\xC2\xB0\"\n"},
    /* delimiters */
    {"patient_id;note\nP;1,5\n", 0, "row 0:2 1=\"P\" 2=\"1,5\"\n"},
    {"\"patient_id\";\"a,b\"\nP;1\n", 0, "csv-column-unknown 1:2\nrow 0:2 1=\"P\" 2=\"1\"\n"},
    {"patient_id|note\nP|a,b\n", 0, "row 0:2 1=\"P\" 2=\"a,b\"\n"},
    {"patient_id,a|b\nP,1\n", 0, "csv-column-unknown 1:2\nrow 0:2 1=\"P\" 2=\"1\"\n"},
    {"patient_id\tnote\nP\ta b\nQ\t\n", 0, "row 0:2 1=\"P\" 2=\"a b\"\nrow 0:3 1=\"Q\" 2=\"\"\n"},
    {"sep=;\npatient_id;a,b\nP;1\n", 0, "csv-column-unknown 2:2\nrow 0:3 1=\"P\" 2=\"1\"\n"},
    {"\"SEP=,\"\r\npatient_id,a;b\r\nP,1\r\n", 0,
     "csv-column-unknown 2:2\nrow 0:3 1=\"P\" 2=\"1\"\n"},
    {"patient_id\nP\nQ\n", 0, "row 0:2 1=\"P\"\nrow 0:3 1=\"Q\"\n"},
    /* header names */
    {"Patient ID,Visit-Date, NOTE \nP,x,y\n", 0, "row 0:2 1=\"P\" 2=\"x\" 3=\"y\"\n"},
    {"patient_id,,shoe size,goal_du\nP,a,b,c\n", 0,
     "csv-column-unnamed 1:2 column 2\ncsv-column-unknown 1:3\n"
     "csv-column-misspelt 1:4 nearest known: goal_due\n"
     "row 0:2 1=\"P\" 2=\"a\" 3=\"b\" 4=\"c\"\n"},
    /* rows that are none: held back, and the next row is read */
    {H "P,a,b\nQ,c\n", 0, "row-ragged 2:0 expected 2 fields, found 3\nrow 0:3 1=\"Q\" 2=\"c\"\n"},
    {H "P\nQ,c\n", 0, "row-ragged 2:0 expected 2 fields, found 1\nrow 0:3 1=\"Q\" 2=\"c\"\n"},
    {H "P,a\"b\nQ,c\n", 0, "row-quote-stray 2:2\nrow 0:3 1=\"Q\" 2=\"c\"\n"},
    {H "P,\"a\"b\nQ,c\n", 0, "row-quote-stray 2:2\nrow 0:3 1=\"Q\" 2=\"c\"\n"},
    {H "P,a\0b\nQ,c\n", 26, "row-nul-byte 2:2\nrow 0:3 1=\"Q\" 2=\"c\"\n"},
    {H "P,\xB0\nQ,c\n", 0, "row-not-utf-8 2:2\nrow 0:3 1=\"Q\" 2=\"c\"\n"},
    {H "P,\"a\n\xB0\"\nQ,c\n", 0, "row-not-utf-8 2:2\nrow 0:4 1=\"Q\" 2=\"c\"\n"},
    {H "\xED\xA0\x80,a\nQ,c\n", 0, "row-not-utf-8 2:1\nrow 0:3 1=\"Q\" 2=\"c\"\n"},
    /* a quote that never closes swallows nothing */
    {H "P,\"a\nQ,c\nR,d\n", 0,
     "row-quote-open 2:2 reading goes on at line 3\nrow 0:3 1=\"Q\" 2=\"c\"\n"
     "row 0:4 1=\"R\" 2=\"d\"\n"},
    {H "P,\"a\nQ,\"c\"\nR,d\n", 0,
     "row-quote-open 2:2 reading goes on at line 3\nrow 0:3 1=\"Q\" 2=\"c\"\n"
     "row 0:4 1=\"R\" 2=\"d\"\n"},
    {"patient_id,name,sex,note\nP,,,\"a\nQ,,,c\nR,,,\"\nS,,,d\n", 0,
     "row-quote-open 2:4 reading goes on at line 3\n"
     "row 0:3 1=\"Q\" 2=\"\" 3=\"\" 4=\"c\"\n"
     "row-quote-open 4:4 reading goes on at line 5\n"
     "row 0:5 1=\"S\" 2=\"\" 3=\"\" 4=\"d\"\n"},
    {"patient_id,name,sex,note\nP,,,\"a,\nb, c\nd\"\n", 0,
     "row 0:2 1=\"P\" 2=\"\" 3=\"\" 4=\"a,\\nb, c\\nd\"\n"},
    {H "P,\"a\nQ,c\",d\nR,e\n", 0,
     "row-ragged 2:0 expected 2 fields, found 3\nrow-quote-stray 3:2\nrow 0:4 1=\"R\" 2=\"e\"\n"},
    /* 16-bit text by its mark, an unpaired surrogate, half a character at the end */
    {"\xFF\xFEp\0a\0t\0i\0e\0n\0t\0_\0i\0d\0\n\0P\0\xE9\0\n\0", 30,
     "row 0:2 1=\"P\xC3\xA9\"\n"},
    {"\xFE\xFF\0p\0a\0t\0i\0e\0n\0t\0_\0i\0d\0\n\0P\xD8\0\0\n\0Q\0\n", 34,
     "row-not-utf-8 2:1\nrow 0:3 1=\"Q\"\n"},
    {"\xFE\xFF\0p\0a\0t\0i\0e\0n\0t\0_\0i\0d\0\n\0P\0\n\0", 29,
     "row 0:2 1=\"P\"\nrow-not-utf-8 3:1\n"},
    /* the end of the file */
    {H "P,a", 0, "row-no-line-end 2:0\nrow 0:2 1=\"P\" 2=\"a\"\n"},
    {H "P,\"a\"", 0, "row-no-line-end 2:0\nrow 0:2 1=\"P\" 2=\"a\"\n"},
    {H "P,", 0, "row-no-line-end 2:0\nrow 0:2 1=\"P\" 2=\"\"\n"},
    {H "Q,b\nP", 0, "row 0:2 1=\"Q\" 2=\"b\"\nrow-cut-off 3:0 expected 2 fields, found 1\n"},
    {H "P,\"a", 0, "row-quote-open 2:2\n"},
    {H "P,a\xC2", 0, "row-not-utf-8 2:2\n"},
};

START_TEST(rows_in_any_read_size)
{
    static const size_t sizes[] = {1, 2, 3, 5, 7, 16, LINES_READ_SIZE};
    size_t len = cases[_i].len > 0 ? cases[_i].len : strlen(cases[_i].bytes);
    write_bytes(cases[_i].bytes, len);
    for (size_t i = 0; i < ARRAY_LEN(sizes); i++) {
        struct tally t;
        ck_assert_int_ge(read_all(sizes[i], &t), 0);
        ck_assert_msg(strcmp(buf_text(&out), cases[_i].events) == 0, "case %d, read size %zu:\n%s",
                      _i, sizes[i], out.data);
    }
}
END_TEST

static const char anywhere[] = "\xEF\xBB\xBFpatient_id,note,value\r\n"
                               "P-1,\"two\r\nlines, \"\"quoted\"\"\",120\r\n"
                               "\r\n"
                               "P-2,\xC2\xB0 \xE2\x80\x93 \xF0\x9F\x98\x80,0-120\n"
                               "P-3,a\"b,1\r"
                               ",,\r\n"
                               "P-4,x,1,2\n"
                               "P-5,\"open,3\n"
                               "P-6,\"closed\",4\n";

/* A file cut anywhere: no crash, every row in exactly one count (checked in read_all), and the rows
 * before the cut are the rows of the whole file. */
START_TEST(cut_at_every_byte)
{
    struct tally t;
    size_t len = sizeof anywhere - 1;
    write_bytes(anywhere, len);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), 3);
    ck_assert_int_eq(t.held, 3);
    for (size_t cut = 0; cut <= len; cut++) {
        write_bytes(anywhere, cut);
        long n = read_all(LINES_READ_SIZE, &t);
        char *whole = mem_strdup(buf_text(&out));
        ck_assert_int_le(n, 4);
        ck_assert_int_eq(read_all(1, &t), n);
        ck_assert_str_eq(buf_text(&out), whole);
        free(whole);
    }
}
END_TEST

/* Every byte in turn replaced by each of the bytes that mean something. */
START_TEST(any_byte_broken)
{
    static const char breakers[] = {'"', ',', '\n', '\r', '\0', (char)0xFF, ';'};
    size_t len = sizeof anywhere - 1;
    char bytes[sizeof anywhere];
    for (size_t i = 0; i < len; i++) {
        for (size_t b = 0; b < sizeof breakers; b++) {
            struct tally t;
            memcpy(bytes, anywhere, len);
            bytes[i] = breakers[b];
            write_bytes(bytes, len);
            read_all(LINES_READ_SIZE, &t);
        }
    }
}
END_TEST

static void add_run(struct buf *b, char c, size_t n)
{
    for (size_t i = 0; i < n; i++)
        buf_addc(b, c);
}

/* One byte over and one at each limit; the row behind is read either way. */
START_TEST(limits_of_cells_and_lines)
{
    static const struct {
        size_t run;
        const char *events; /* of the long row; NULL: it is read */
    } at[] = {{FIELD_MAX, NULL},
              {FIELD_MAX + 1, "row-field-long 2:2\n"},
              {LINE_MAX_BYTES - 4, "row-field-long 2:2\n"},
              {LINE_MAX_BYTES + 1, "row-line-long 2:1\n"},
              {3 * LINE_MAX_BYTES, "row-line-long 2:1\n"}};
    struct buf b;
    struct tally t;
    buf_init(&b, 16 << 20);
    buf_adds(&b, H "P,");
    add_run(&b, 'x', at[_i].run);
    buf_adds(&b, "\r\nQ,c\r\n");
    write_bytes(b.data, b.len);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), at[_i].events == NULL ? 2 : 1);
    if (at[_i].events != NULL) {
        buf_clear(&b);
        buf_addf(&b, "%srow 0:3 1=\"Q\" 2=\"c\"\n", at[_i].events);
        ck_assert_str_eq(buf_text(&out), b.data);
    }
    buf_release(&b);
}
END_TEST

/* An open quote is given up at the limit of a cell, of lines and of bytes; nothing is swallowed. */
START_TEST(open_quotes_are_given_up)
{
    struct buf b;
    struct tally t;
    buf_init(&b, 16 << 20);
    buf_adds(&b, H "P,\"open\n");
    for (int i = 0; i < 3000; i++) {
        buf_addf(&b, "Q%d,", i);
        add_run(&b, 'y', _i == 0 ? 1 : 900);
        buf_addc(&b, '\n');
    }
    write_bytes(b.data, b.len);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), 3000);
    ck_assert_int_eq(t.held, 1);
    ck_assert(str_starts(buf_text(&out), "row-quote-open 2:2 reading goes on at line 3\n"));
    buf_release(&b);
}
END_TEST

START_TEST(too_many_columns)
{
    struct buf b;
    struct tally t;
    buf_init(&b, 16 << 20);
    buf_adds(&b, "patient_id");
    add_run(&b, ',', COLUMNS_MAX);
    buf_addc(&b, '\n');
    write_bytes(b.data, b.len);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), -1);
    ck_assert_str_eq(buf_text(&out), "csv-header 1:10001 too many columns\n");
    buf_clear(&b);
    buf_adds(&b, H "P");
    add_run(&b, ',', COLUMNS_MAX + 5);
    buf_adds(&b, "z\nQ,c\n");
    write_bytes(b.data, b.len);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), 1);
    buf_release(&b);
}
END_TEST

START_TEST(memory_does_not_grow_with_the_file)
{
    struct buf b;
    struct import_settings settings = {.read_size = LINES_READ_SIZE};
    struct diag_sink sink = {0};
    struct tally t = {0};
    struct row row;
    buf_init(&b, 64 << 20);
    buf_adds(&b, H);
    for (int i = 0; i < 200000; i++)
        buf_addf(&b, "P-%d,some words of a note\n", i);
    write_bytes(b.data, b.len);
    struct import_source *src = import_open(path, 0, false, &settings, NULL, &sink);
    ck_assert_ptr_nonnull(src);
    while (import_next(src, &row, &t, &sink) == IMPORT_ROW)
        ck_assert_uint_le(src->lines.cap, 4 * LINES_READ_SIZE);
    ck_assert_int_eq(t.rows_in, 200000);
    import_close(src);
    buf_release(&b);
}
END_TEST

START_TEST(read_errors_end_the_file)
{
    struct import_settings settings = {.read_size = 20};
    struct diag_sink sink = {.put = put_diag};
    struct tally t = {0};
    struct row row;
    write_bytes(H "P,a\nQ,b\nR,c\n", strlen(H) + 12);
    struct import_source *src = import_open(path, 0, false, &settings, NULL, &sink);
    ck_assert_ptr_nonnull(src);
    close(src->lines.fd);
    src->lines.fd = -1;
    enum import_step step;
    while ((step = import_next(src, &row, &t, &sink)) == IMPORT_ROW)
        continue;
    ck_assert_int_eq(step, IMPORT_FAILED);
    ck_assert(strstr(buf_text(&out), "file-read") != NULL);
    ck_assert_int_eq(import_next(src, &row, &t, &sink), IMPORT_FAILED);
    import_close(src);
}
END_TEST

START_TEST(header_too_long)
{
    struct buf b;
    struct tally t;
    buf_init(&b, 16 << 20);
    buf_adds(&b, "patient_id,");
    add_run(&b, 'x', LINE_MAX_BYTES);
    buf_adds(&b, "\nP,1\n");
    write_bytes(b.data, b.len);
    ck_assert_int_eq(read_all(LINES_READ_SIZE, &t), -1);
    ck_assert_str_eq(buf_text(&out), "csv-header 1:0 a line longer than 1048576 bytes\n");
    buf_release(&b);
}
END_TEST

START_TEST(standard_input_is_read)
{
    struct import_settings settings = {.read_size = 4};
    struct diag_sink sink = {.put = put_diag};
    struct tally t = {0};
    struct row row;
    int ends[2];
    ck_assert_int_eq(pipe(ends), 0);
    ck_assert_int_eq(write(ends[1], H "P,a\n", 20), 20);
    close(ends[1]);
    ck_assert_int_eq(dup2(ends[0], STDIN_FILENO), STDIN_FILENO);
    struct import_source *src = import_open("-", 3, true, &settings, NULL, &sink);
    ck_assert_ptr_nonnull(src);
    ck_assert(import_is_history(src));
    ck_assert_str_eq(import_path(src), "-");
    ck_assert_int_eq(import_next(src, &row, &t, &sink), IMPORT_ROW);
    ck_assert_int_eq(row.source, 3);
    ck_assert_str_eq(import_row_patient(src, &row), "P");
    ck_assert_int_eq(import_next(src, &row, &t, &sink), IMPORT_END);
    import_close(src);
    close(ends[0]);
}
END_TEST

START_TEST(text_of_a_held_row_is_shown)
{
    struct diag_list l;
    struct import_settings settings = {.read_size = LINES_READ_SIZE};
    struct tally t = {0};
    struct row row;
    diag_list_init(&l);
    write_bytes(H "P,a,b\r\nQ,\xB0\n", 26);
    struct import_source *src = import_open(path, 0, false, &settings, NULL, &l.sink);
    ck_assert_ptr_nonnull(src);
    ck_assert_int_eq(import_next(src, &row, &t, &l.sink), IMPORT_END);
    ck_assert_uint_eq(l.n, 2);
    ck_assert_str_eq(l.items[0].text, "P,a,b");
    ck_assert_str_eq(l.items[0].pos.file, path);
    ck_assert_ptr_null(l.items[1].text);
    import_close(src);
    diag_list_release(&l);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import reader");
    TCase *c = tcase_create("reader");
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_set_timeout(c, 60);
    tcase_add_loop_test(c, files_that_cannot_be_read, 0, (int)ARRAY_LEN(refused));
    tcase_add_test(c, folder_absent_and_unreadable);
    tcase_add_loop_test(c, rows_in_any_read_size, 0, (int)ARRAY_LEN(cases));
    tcase_add_test(c, cut_at_every_byte);
    tcase_add_test(c, any_byte_broken);
    tcase_add_loop_test(c, limits_of_cells_and_lines, 0, 5);
    tcase_add_loop_test(c, open_quotes_are_given_up, 0, 2);
    tcase_add_test(c, too_many_columns);
    tcase_add_test(c, memory_does_not_grow_with_the_file);
    tcase_add_test(c, read_errors_end_the_file);
    tcase_add_test(c, header_too_long);
    tcase_add_test(c, standard_input_is_read);
    tcase_add_test(c, text_of_a_held_row_is_shown);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
