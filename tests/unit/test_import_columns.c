/* Column names, the spellings of joints and motions, and rows on their way as bytes and as text. */
#include "import/import_int.h"
#include "import/vocabulary_int.h"
#include "unit.h"

#include <ctype.h>
#include <string.h>
#include <unistd.h>

static struct reference *ref;

static void load(void)
{
    struct diag_sink sink = {0};
    ref = reference_load_embedded(&sink);
    ck_assert_ptr_nonnull(ref);
}

static void unload(void)
{
    reference_free(ref);
}

static struct import_source *open_text(const char *text, struct diag_sink *sink)
{
    char path[] = "/tmp/endfeel-columns-XXXXXX";
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
    struct import_source *src = import_open(path, 4, false, import_settings_default(), ref, sink);
    unlink(path);
    return src;
}

/* ---- headers ------------------------------------------------------------------------------- */

static const struct {
    const char *header;
    enum diag_code code;
    const char *detail;
} odd_headers[] = {
    {"goal_valeu", DIAG_CSV_COLUMN_MISSPELT, "nearest known: goal_value"},
    {"visitdate", DIAG_CSV_COLUMN_MISSPELT, "nearest known: visit_date"},
    {"R knee felx AROM", DIAG_CSV_COLUMN_WIDE, "nearest known: R knee flexion AROM"},
    {"Shoulder ER left", DIAG_CSV_COLUMN_WIDE, "active, passive or strength is not said"},
    {"Shoulder ER left ROM", DIAG_CSV_COLUMN_WIDE, "active, passive or strength is not said"},
    {"finger-pip 3 flexion", DIAG_CSV_COLUMN_WIDE, "active, passive or strength is not said"},
    {"knee flexion AROM", DIAG_CSV_COLUMN_WIDE, "the side is not said"},
    {"R PIP flexion AROM", DIAG_CSV_COLUMN_WIDE, "the digit is not said"},
    {"R knee AAROM flexion", DIAG_CSV_COLUMN_WIDE,
     "assisted or resisted range is neither active nor passive"},
    {"R knee AROM", DIAG_CSV_COLUMN_WIDE, NULL},
    {"L flexion PROM", DIAG_CSV_COLUMN_WIDE, NULL},
    {"knee brace", DIAG_CSV_COLUMN_UNKNOWN, NULL},
    {"shoe size", DIAG_CSV_COLUMN_UNKNOWN, NULL},
    {"\xC3\x85ngstr\xC3\xB6m", DIAG_CSV_COLUMN_UNKNOWN, NULL},
    {"", DIAG_CSV_COLUMN_UNNAMED, "column 2"},
};

START_TEST(unknown_headers_are_told)
{
    struct diag_list l;
    char text[200];
    diag_list_init(&l);
    snprintf(text, sizeof text, "patient_id,%s\nP,1\n", odd_headers[_i].header);
    struct import_source *src = open_text(text, &l.sink);
    ck_assert_ptr_nonnull(src);
    ck_assert_uint_eq(l.n, 1);
    ck_assert_str_eq(diag_id(l.items[0].code), diag_id(odd_headers[_i].code));
    ck_assert_int_eq(l.items[0].pos.column, 2);
    if (odd_headers[_i].detail != NULL)
        ck_assert_str_eq(l.items[0].detail, odd_headers[_i].detail);
    import_close(src);
    diag_list_release(&l);
}
END_TEST

/* Every name of the contract, in capitals, with blanks, and back to front. */
START_TEST(every_column_is_known)
{
    struct buf b;
    struct diag_list l;
    struct tally t = {0};
    struct row row;
    diag_list_init(&l);
    buf_init(&b, 1 << 16);
    for (int c = COL_COUNT - 1; c >= 0; c--) {
        for (const char *s = column_name(c); *s != '\0'; s++)
            buf_addc(&b, *s == '_' ? " -_"[c % 3] : (char)toupper((unsigned char)*s));
        buf_addc(&b, c > 0 ? ',' : '\n');
    }
    for (int c = COL_COUNT - 1; c >= 0; c--)
        buf_addf(&b, "v%d%c", c, c > 0 ? ',' : '\n');
    struct import_source *src = open_text(buf_text(&b), &l.sink);
    ck_assert_ptr_nonnull(src);
    ck_assert_uint_eq(l.n, 0);
    ck_assert_int_eq(import_next(src, &row, &t, &l.sink), IMPORT_ROW);
    for (int c = 0; c < COL_COUNT; c++) {
        char wanted[16];
        snprintf(wanted, sizeof wanted, "v%d", c);
        ck_assert_str_eq(column_cell(src, &row, c)->text, wanted);
        struct diag_pos pos = column_pos(src, &row, c);
        ck_assert_str_eq(pos.field, column_name(c));
        ck_assert_int_eq(pos.column, COL_COUNT - c);
        ck_assert_int_eq(pos.line, 2);
    }
    import_close(src);
    buf_release(&b);
    diag_list_release(&l);
}
END_TEST

START_TEST(absent_columns_have_no_cell)
{
    struct diag_list l;
    struct tally t = {0};
    struct row row;
    diag_list_init(&l);
    struct import_source *src = open_text("patient_id\nP\n", &l.sink);
    ck_assert_int_eq(import_next(src, &row, &t, &l.sink), IMPORT_ROW);
    ck_assert_ptr_null(column_cell(src, &row, COL_VALUE));
    ck_assert_int_eq(column_pos(src, &row, COL_VALUE).column, 0);
    ck_assert_int_eq(column_pos(src, &row, COL_VALUE).line, 2);
    ck_assert(!date_is_set(import_row_date(src, &row, (struct date){2026, 6, 1})));
    import_close(src);
    diag_list_release(&l);
}
END_TEST

START_TEST(date_and_holding_of_a_row)
{
    struct diag_list l;
    struct tally t = {0};
    struct row row;
    const struct date today = {2026, 6, 1}, first = {2026, 5, 31};
    diag_list_init(&l);
    struct import_source *src = open_text("patient_id,visit_date\n"
                                          "P,2026-05-31\nP,2026-06-02\nP,31/31\n,2026-05-31\n",
                                          &l.sink);
    ck_assert_int_eq(import_next(src, &row, &t, &l.sink), IMPORT_ROW);
    ck_assert_int_eq(date_compare(import_row_date(src, &row, today), first), 0);
    for (int i = 0; i < 2; i++) {
        ck_assert_int_eq(import_next(src, &row, &t, &l.sink), IMPORT_ROW);
        ck_assert(!date_is_set(import_row_date(src, &row, today)));
    }
    ck_assert_int_eq(import_next(src, &row, &t, &l.sink), IMPORT_ROW);
    ck_assert_str_eq(import_row_patient(src, &row), "");
    import_hold_row(src, &row, DIAG_VISIT_DATE_MISSING, &t, &l.sink);
    ck_assert_int_eq(t.rows_in, 4);
    ck_assert_int_eq(t.held, 1);
    ck_assert_uint_eq(l.n, 1);
    ck_assert_int_eq(l.items[0].pos.line, 5);
    ck_assert_int_eq(l.items[0].pos.column, 1);
    import_close(src);
    diag_list_release(&l);
}
END_TEST

/* ---- spellings ----------------------------------------------------------------------------- */

static const struct {
    const char *joint, *motion;
    const char *key; /* "joint motion", or NULL: not known */
} spellings[] = {
    {"", "", NULL},
    {"knee", "", NULL},
    {"", "flexion", NULL},
    {"elephant", "flexion", NULL},
    {"shoulder", "rotation", NULL},
    {"shoulder", "knee flexion", NULL},
    {"knee", "dorsiflexion", NULL},
    {"wrist", "PF", NULL},
    {"ip", "flexion", NULL},
    {"mcp", "flexion", NULL},
    {"knee knee", "flexion", NULL},
    {"kn\xC3\xA9", "flexion", NULL},
    {"a b c d e f g h i j k l m", "flexion", NULL},
    {"knee", "flexion", "knee flexion"},
    {"Knee", "FLEX.", "knee flexion"},
    {"KNEE", "Ext", "knee extension"},
    {"Shoulder ER", "", "shoulder external-rotation"},
    {"", "shoulder external rotation", "shoulder external-rotation"},
    {"shoulder", "ext rot", "shoulder external-rotation"},
    {"shoulder", "ext", "shoulder extension"},
    {"shoulder", "Shoulder IR", "shoulder internal-rotation"},
    {"GH", "med. rot.", "shoulder internal-rotation"},
    {"shoulder", "horiz abd", "shoulder horizontal-abduction"},
    {"ankle", "DF", "ankle dorsiflexion"},
    {"ankle", "PF", "ankle plantar-flexion"},
    {"ankle", "plantarflexion", "ankle plantar-flexion"},
    {"STJ", "inv", "subtalar inversion"},
    {"neck", "side-bending", "cervical lateral-flexion"},
    {"C-spine", "rot", "cervical rotation"},
    {"TMJ", "MIO", "jaw opening"},
    {"PIP", "flex", "finger-pip flexion"},
    {"finger PIP", "flexion", "finger-pip flexion"},
    {"Finger_MCP", "abd", "finger-mcp abduction"},
    {"thumb cmc", "opp", "thumb-cmc opposition"},
    {"MTP", "ext", "toe-mtp extension"},
    {"forearm", "sup", "forearm supination"},
    {"wrist", "UD", "wrist ulnar-deviation"},
    {"hip", "ER", "hip external-rotation"},
    {"scapula", "abduction upward rotation", "scapula abduction-upward-rotation"},
};

START_TEST(motions_are_found_by_spelling)
{
    const struct motion *m = vocabulary_motion(ref, spellings[_i].joint, spellings[_i].motion);
    char key[100] = "";
    if (m != NULL)
        snprintf(key, sizeof key, "%s %s", m->joint, m->motion);
    ck_assert_msg(strcmp(key, spellings[_i].key != NULL ? spellings[_i].key : "") == 0,
                  "'%s' '%s' gives '%s'", spellings[_i].joint, spellings[_i].motion, key);
}
END_TEST

/* Every key of the library is a spelling of itself, in either form. */
START_TEST(every_key_is_found)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        char both[100];
        snprintf(both, sizeof both, "%s %s", m->joint, m->motion);
        ck_assert_ptr_eq(vocabulary_motion(ref, m->joint, m->motion), m);
        ck_assert_ptr_eq(vocabulary_motion(ref, both, ""), m);
        ck_assert_ptr_eq(vocabulary_motion(ref, m->joint, both), m);
    }
}
END_TEST

static const struct {
    const char *joint, *motion, *near;
} nearest[] = {
    {"knee", "felxion", "knee flexion"},
    {"neck", "rotatoin", "cervical rotation"},
    {"sholder", "flexion", "shoulder"},
    {"knee", "xyzzy", ""},
    {"elephant", "flexion", ""},
    {"", "flexion", ""},
};

START_TEST(nearest_names)
{
    char near[VOCABULARY_NEAR_MAX];
    vocabulary_nearest(ref, nearest[_i].joint, nearest[_i].motion, near);
    ck_assert_str_eq(near, nearest[_i].near);
}
END_TEST

/* The page for spreadsheet users names every column, joint and motion. Run from the top folder. */
START_TEST(every_name_is_documented)
{
    struct buf page;
    struct diag_sink sink = {0};
    char name[80];
    buf_init(&page, 1 << 20);
    ck_assert_msg(file_read("docs/csv.md", 1 << 20, &page, &sink), "not the top folder");
    for (int c = 0; c < COL_COUNT; c++) {
        snprintf(name, sizeof name, "`%s`", column_name(c));
        ck_assert_msg(strstr(buf_text(&page), name) != NULL, "%s", name);
    }
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        snprintf(name, sizeof name, "`%s`", reference_motion_at(ref, i)->joint);
        ck_assert_msg(strstr(buf_text(&page), name) != NULL, "%s", name);
        snprintf(name, sizeof name, "`%s`", reference_motion_at(ref, i)->motion);
        ck_assert_msg(strstr(buf_text(&page), name) != NULL, "%s", name);
    }
    buf_release(&page);
}
END_TEST

/* ---- rows as bytes ------------------------------------------------------------------------- */

static struct cell cells[] = {{"P-1", 3, 7, 1}, {"", 0, 7, 2}, {"two\nlines", 9, 7, 3},
                              {"\"q\" \\ \xC2\xB0", 8, 8, 4}};
static const struct row packed_row = {3, 7, cells, 4};

START_TEST(rows_survive_packing)
{
    struct buf b, before, after;
    struct row row;
    struct arena *a = arena_new();
    buf_init(&b, 1 << 16);
    buf_init(&before, 1 << 16);
    buf_init(&after, 1 << 16);
    row_pack(&packed_row, &b);
    row_pack(&packed_row, &b);
    size_t used = row_unpack(b.data, b.len, a, &row);
    ck_assert_uint_eq(used, b.len / 2);
    ck_assert_uint_eq(row_unpack(b.data + used, b.len - used, a, &row), used);
    row_dump(&packed_row, &before);
    row_dump(&row, &after);
    ck_assert_str_eq(buf_text(&after), buf_text(&before));
    ck_assert_str_eq(after.data, "row 3:7 1=\"P-1\" 2=\"\" 3=\"two\\nlines\" "
                                 "4@8=\"\\\"q\\\" \\\\ \xC2\xB0\"\n");
    buf_release(&b);
    buf_release(&before);
    buf_release(&after);
    arena_free(a);
}
END_TEST

/* Cut anywhere it is no row; with any byte broken it is no row or a sound one. */
START_TEST(broken_bytes_are_no_row)
{
    struct buf b;
    struct row row;
    struct arena *a = arena_new();
    buf_init(&b, 1 << 16);
    row_pack(&packed_row, &b);
    for (size_t cut = 0; cut < b.len; cut++)
        ck_assert_uint_eq(row_unpack(b.data, cut, a, &row), 0);
    for (size_t i = 0; i < b.len; i++) {
        for (int v = 0; v < 256; v += 51) {
            char kept = b.data[i];
            b.data[i] = (char)v;
            size_t used = row_unpack(b.data, b.len, a, &row);
            ck_assert_uint_le(used, b.len);
            for (int c = 0; used > 0 && c < row.n_cells; c++)
                ck_assert_int_eq(row.cells[c].text[row.cells[c].len], '\0');
            b.data[i] = kept;
        }
    }
    buf_release(&b);
    arena_free(a);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import columns");
    TCase *c = tcase_create("columns");
    tcase_add_unchecked_fixture(c, load, unload);
    tcase_add_loop_test(c, unknown_headers_are_told, 0, (int)ARRAY_LEN(odd_headers));
    tcase_add_test(c, every_column_is_known);
    tcase_add_test(c, absent_columns_have_no_cell);
    tcase_add_test(c, date_and_holding_of_a_row);
    tcase_add_loop_test(c, motions_are_found_by_spelling, 0, (int)ARRAY_LEN(spellings));
    tcase_add_test(c, every_key_is_found);
    tcase_add_loop_test(c, nearest_names, 0, (int)ARRAY_LEN(nearest));
    tcase_add_test(c, every_name_is_documented);
    tcase_add_test(c, rows_survive_packing);
    tcase_add_test(c, broken_bytes_are_no_row);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
