/* Column maps: every slip is refused where it stands with what comes nearest; then every element by
 * what it does to a file. */
#include "import/import_int.h"
#include "unit.h"

#include <string.h>
#include <unistd.h>

static struct reference *ref;
static struct arena *arena;
static char path[64];

static void load(void)
{
    struct diag_sink sink = {0};
    ref = reference_load_embedded(&sink);
    ck_assert_ptr_nonnull(ref);
    arena = arena_new();
}

static void unload(void)
{
    arena_free(arena);
    reference_free(ref);
}

static const char *write_temp(const char *bytes, size_t len)
{
    strcpy(path, "/tmp/endfeel-map-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, bytes, len), (ssize_t)len);
    close(fd);
    return path;
}

static const struct import_settings *load_map(const char *inside, struct diag_sink *sink)
{
    char text[4000];
    int n = snprintf(text, sizeof text, "<column-map>\n%s</column-map>\n", inside);
    const struct import_settings *s =
        import_settings_load(write_temp(text, (size_t)n), ref, arena, sink);
    unlink(path);
    return s;
}

/* ---- slips --------------------------------------------------------------------------------- */

static const struct {
    const char *inside;
    enum diag_code code;
    long line;
    const char *field, *detail;
} slips[] = {
    {"<fiel/>", DIAG_XML_ELEMENT, 2, "fiel", "nearest known: file"},
    {"<column header=\"a\" skip=\"yes\">x</column>", DIAG_XML_ELEMENT, 2, "column",
     "takes no content"},
    {"stray", DIAG_XML_ELEMENT, 1, "column-map", "text outside"},
    {"<dates order=\"dmy\"/>\n<dates order=\"dmy\"/>", DIAG_XML_ELEMENT, 3, "dates",
     "stands twice"},
    /* file */
    {"<file delimeter=\"tab\"/>", DIAG_XML_ATTRIBUTE, 2, "delimeter", "nearest known: delimiter"},
    {"<file delimiter=\"semi-colon\"/>", DIAG_XML_VALUE, 2, "delimiter",
     "nearest known: semicolon"},
    {"<file delimiter=\";\"/>", DIAG_XML_VALUE, 2, "delimiter",
     "; is not one of comma, semicolon, tab, pipe"},
    {"<file encoding=\"windows-1250\"/>", DIAG_XML_VALUE, 2, "encoding",
     "nearest known: windows-1252"},
    {"<file encoding=\"\"/>", DIAG_XML_VALUE, 2, "encoding", "empty"},
    {"<file decimal=\",\"/>", DIAG_XML_VALUE, 2, "decimal", "is not one of point, comma"},
    {"<file header-rows=\"3\"/>", DIAG_XML_VALUE, 2, "header-rows", "3 is not one of 1, 2"},
    /* dates */
    {"<dates/>", DIAG_XML_ATTRIBUTE, 2, "order", "order is missing"},
    {"<dates order=\"dym\"/>", DIAG_XML_VALUE, 2, "order", "nearest known: dmy"},
    {"<dates order=\"dmy\" separator=\"/\"/>", DIAG_XML_ATTRIBUTE, 2, "separator",
     "nearest known: separators"},
    {"<dates order=\"dmy\" separators=\":\"/>", DIAG_XML_VALUE, 2, "separators", "/ . -"},
    {"<dates order=\"dmy\" separators=\"\"/>", DIAG_XML_VALUE, 2, "separators", "/ . -"},
    {"<dates order=\"dmy\" two-digit-years-from=\"50\"/>", DIAG_XML_VALUE, 2,
     "two-digit-years-from", "four digits"},
    {"<dates order=\"dmy\" two-digit-years-from=\"x\"/>", DIAG_XML_VALUE, 2,
     "two-digit-years-from", "four digits"},
    /* signs, pairs, words */
    {"<signs minus=\"past-zero\"/>", DIAG_XML_ATTRIBUTE, 2, "minus", "not known in <signs>"},
    {"<signs extension-minus=\"past\"/>", DIAG_XML_VALUE, 2, "extension-minus", "past is not"},
    {"<signs extension-minus=\"past-zero\" extension-unsigned=\"past-zero\"/>", DIAG_XML_VALUE, 2,
     "extension-unsigned", "one thing"},
    {"<signs plane-letters=\"R\"/>", DIAG_XML_VALUE, 2, "plane-letters", "R is not one of yes, no"},
    {"<pairs angles=\"active-passive\"/>", DIAG_XML_VALUE, 2, "angles",
     "nearest known: active/passive"},
    {"<pairs pain=\"rest/move\"/>", DIAG_XML_VALUE, 2, "pain", "nearest known: rest/movement"},
    {"<words/>", DIAG_XML_ATTRIBUTE, 2, "language", "language is missing"},
    {"<words language=\"xx\"/>", DIAG_XML_VALUE, 2, "language", "xx is not one of en de es"},
    /* columns */
    {"<column to=\"note\"/>", DIAG_XML_ATTRIBUTE, 2, "header", "header is missing"},
    {"<column header=\"a\"/>", DIAG_XML_ATTRIBUTE, 2, "column", "takes one of to, skip"},
    {"<column header=\"a\" to=\"note\" skip=\"yes\"/>", DIAG_XML_ATTRIBUTE, 2, "column",
     "takes one of"},
    {"<column header=\"a\" to=\"note\" joint=\"knee\"/>", DIAG_XML_ATTRIBUTE, 2, "column",
     "takes one of"},
    {"<column header=\"a\" to=\"visit_dat\"/>", DIAG_XML_VALUE, 2, "to",
     "nearest known: visit_date"},
    {"<column header=\"a\" skip=\"no\"/>", DIAG_XML_VALUE, 2, "skip", "yes is the only"},
    {"<column header=\"a\" joint=\"knee\" motion=\"felxion\" test=\"AROM\"/>", DIAG_XML_VALUE, 2,
     "motion", "nearest known: knee flexion"},
    {"<column header=\"a\" joint=\"nee\" motion=\"flexion\"/>", DIAG_XML_VALUE, 2, "motion",
     "nearest known: knee"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" side=\"both\"/>", DIAG_XML_VALUE, 2,
     "side", "both is not a side: right, left or midline"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" side=\"midline\"/>", DIAG_XML_VALUE, 2,
     "side", "right and left"},
    {"<column header=\"a\" joint=\"neck\" motion=\"flexion\" side=\"right\"/>", DIAG_XML_VALUE, 2,
     "side", "the midline"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" side=\"li\"/>", DIAG_XML_VALUE, 2,
     "side", "li is not a side"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" test=\"ROM\"/>", DIAG_XML_VALUE, 2,
     "test", "ROM is not a test: AROM, PROM"},
    {"<column header=\"a\" joint=\"scapula\" motion=\"elevation\" test=\"AROM\"/>",
     DIAG_XML_VALUE, 2, "test", "no such test"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" digit=\"3\"/>", DIAG_XML_VALUE, 2,
     "digit", "not a digit of knee"},
    {"<column header=\"a\" joint=\"PIP\" motion=\"flexion\" digit=\"6\"/>", DIAG_XML_VALUE, 2,
     "digit", "6 is not a digit"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" timing=\"later\"/>", DIAG_XML_VALUE, 2,
     "timing", "later is not a timing: before or after"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" technique=\"push\"/>", DIAG_XML_VALUE,
     2, "technique", "push"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" try=\"0\"/>", DIAG_XML_VALUE, 2, "try",
     "0 is not a try"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" unit=\"stone\"/>", DIAG_XML_VALUE, 2,
     "unit", "stone is not a unit: N, kgf, lbf, deg, mm or cm"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" test=\"AROM\" unit=\"N\"/>",
     DIAG_XML_VALUE, 2, "unit", "N is no unit of this test"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" test=\"force\" unit=\"deg\"/>",
     DIAG_XML_VALUE, 2, "unit", "deg is no unit of this test"},
    {"<column header=\"a\" joint=\"knee\" motion=\"flexion\" test=\"MMT\" unit=\"N\"/>",
     DIAG_XML_VALUE, 2, "unit", "N is no unit of this test"},
    {"<column header=\"a\" joint=\"ankle\" motion=\"dorsiflexion\" position=\"KE/KF\"/>",
     DIAG_XML_VALUE, 2, "position", "KE/KF says two things"},
    {"<column header=\"a\" joints=\"knee\" motion=\"flexion\"/>", DIAG_XML_ATTRIBUTE, 2, "joints",
     "nearest known: joint"},
    {"<column header=\"A  b\" skip=\"yes\"/>\n<column header=\"a b\" to=\"note\"/>", DIAG_XML_VALUE,
     3, "header", "line 2"},
    /* constants */
    {"<constant column=\"tool\"/>", DIAG_XML_ATTRIBUTE, 2, "value", "value is missing"},
    {"<constant column=\"tol\" value=\"x\"/>", DIAG_XML_VALUE, 2, "column", "nearest known: tool"},
    {"<constant column=\"patient_id\" value=\"x\"/>", DIAG_XML_VALUE, 2, "column",
     "cannot be one value"},
    {"<constant column=\"birth_date\" value=\"2000-01-01\"/>", DIAG_XML_VALUE, 2, "column",
     "cannot be one value"},
    {"<constant column=\"value\" value=\"90\"/>", DIAG_XML_VALUE, 2, "column",
     "cannot be one value"},
    {"<constant column=\"tool\" value=\"a\"/>\n<constant column=\"tool\" value=\"b\"/>",
     DIAG_XML_VALUE, 3, "column", "stands twice"},
};

START_TEST(slips_are_refused)
{
    struct diag_list l;
    diag_list_init(&l);
    ck_assert_msg(load_map(slips[_i].inside, &l.sink) == NULL, "accepted: %s", slips[_i].inside);
    ck_assert_msg(l.n == 1, "%s: %zu reports", slips[_i].inside, l.n);
    const struct diag *d = &l.items[0];
    ck_assert_str_eq(diag_id(d->code), diag_id(slips[_i].code));
    ck_assert_msg(d->pos.line == slips[_i].line, "%s: line %ld", slips[_i].inside, d->pos.line);
    ck_assert_str_eq(d->pos.field, slips[_i].field);
    ck_assert_msg(strstr(d->detail, slips[_i].detail) != NULL, "%s: '%s'", slips[_i].inside,
                  d->detail);
    diag_list_release(&l);
}
END_TEST

START_TEST(files_that_are_no_map)
{
    static const struct {
        const char *text;
        enum diag_code code;
    } files[] = {{"", DIAG_XML_SYNTAX},
                 {"<column-map>", DIAG_XML_SYNTAX},
                 {"<clinic/>", DIAG_XML_ELEMENT},
                 {"<column-map version=\"2\"/>", DIAG_XML_ATTRIBUTE},
                 {"<!DOCTYPE x><column-map/>", DIAG_XML_UNSAFE}};
    struct diag_list l;
    diag_list_init(&l);
    for (size_t i = 0; i < ARRAY_LEN(files); i++) {
        diag_list_clear(&l);
        write_temp(files[i].text, strlen(files[i].text));
        ck_assert_ptr_null(import_settings_load(path, ref, arena, &l.sink));
        unlink(path);
        ck_assert_uint_ge(l.n, 1);
        ck_assert_str_eq(diag_id(l.items[0].code), diag_id(files[i].code));
    }
    diag_list_clear(&l);
    ck_assert_ptr_null(import_settings_load("/nonexistent/map.xml", ref, arena, &l.sink));
    ck_assert_int_eq(l.items[0].code, DIAG_FILE_OPEN);
    diag_list_release(&l);
}
END_TEST

START_TEST(all_slips_at_once)
{
    struct diag_list l;
    diag_list_init(&l);
    ck_assert_ptr_null(load_map("<file decimal=\"x\" encoding=\"y\"/>\n<colunm/>\n", &l.sink));
    ck_assert_uint_eq(l.n, 3);
    diag_list_release(&l);
}
END_TEST

/* ---- what a sound map holds ---------------------------------------------------------------- */

START_TEST(every_element_is_kept)
{
    struct diag_list l;
    diag_list_init(&l);
    const struct import_settings *s = load_map(
        "<!-- a map --><file delimiter=\"tab\" encoding=\"latin-1\" decimal=\"comma\" "
        "header-rows=\"2\"/>"
        "<dates order=\"mdy\" separators=\"/-\" two-digit-years-from=\"1930\"/>"
        "<signs extension-minus=\"past-zero\" extension-unsigned=\"short-of-zero\" "
        "plane-letters=\"yes\"/>"
        "<pairs angles=\"left/right\" pain=\"movement/rest\"/>"
        "<column header=\"ID\" to=\"patient id\"/>"
        "<column header=\"x\" skip=\"yes\"/>"
        "<column header=\"K\" joint=\"Tibiofemoral\" motion=\"flex\" side=\"li\" test=\"active\" "
        "position=\"supine\" timing=\"after\" tool=\"tape\" muscle=\"m\" unit=\"deg\" "
        "technique=\"make\" try=\"2\"/>"
        "<column header=\"P\" joint=\"PIP\" motion=\"ext\" digit=\"3\"/>"
        "<words language=\"de\"/>"
        "<constant column=\"role\" value=\"PTA\"/>", &l.sink);
    ck_assert_ptr_nonnull(s);
    ck_assert_uint_eq(l.n, 0);
    ck_assert_int_eq(s->delimiter, '\t');
    ck_assert_int_eq(s->encoding, ENCODING_LATIN_1);
    ck_assert_int_eq(s->header_rows, 2);
    ck_assert_int_eq(s->rules.decimal, DECIMAL_COMMA);
    ck_assert_int_eq(s->rules.dates, DATES_MDY);
    ck_assert_str_eq(s->rules.separators, "/-");
    ck_assert_int_eq(s->rules.short_years_from, 1930);
    ck_assert_int_eq(s->rules.minus, SIGN_PAST_ZERO);
    ck_assert_int_eq(s->rules.no_sign, SIGN_SHORT_OF_ZERO);
    ck_assert(s->rules.plane_letters);
    ck_assert_int_eq(s->rules.pairs, PAIR_LEFT_RIGHT);
    ck_assert_int_eq(s->rules.pain, PAIN_MOVEMENT_REST);
    ck_assert_int_eq(s->rules.language, LANGUAGE_DE);
    ck_assert_uint_eq(s->n_columns, 4);
    ck_assert_int_eq(s->columns[0].to, COL_PATIENT_ID);
    ck_assert_int_eq(s->columns[1].kind, MAP_SKIP);
    const char *const *pins = s->columns[2].pins;
    static const char *const wanted[PIN_COUNT] = {
        [PIN_JOINT] = "knee", [PIN_MOTION] = "flexion", [PIN_SIDE] = "left", [PIN_TEST] = "AROM",
        [PIN_POSITION] = "supine", [PIN_TIMING] = "after", [PIN_TOOL] = "tape",
        [PIN_MUSCLE] = "m", [PIN_UNIT] = "deg", [PIN_TECHNIQUE] = "make", [PIN_TRY] = "2"};
    for (int p = 0; p < PIN_COUNT; p++)
        ck_assert_msg(str_eq(pins[p], wanted[p]), "%s", column_name(pin_column((enum pin)p)));
    ck_assert_str_eq(s->columns[3].pins[PIN_JOINT], "finger-pip");
    ck_assert_str_eq(s->columns[3].pins[PIN_DIGIT], "3");
    ck_assert_str_eq(s->constants[COL_ROLE], "PTA");
    ck_assert_uint_eq(strlen(import_settings_digest(s)), DIGEST_HEX - 1);
    ck_assert_str_eq(import_settings_digest(import_settings_default()), "");
    diag_list_release(&l);
}
END_TEST

START_TEST(every_choice_is_known)
{
    static const char *const maps[] = {
        "<file delimiter=\"comma\" encoding=\"utf-8\" decimal=\"point\" header-rows=\"1\"/>",
        "<file delimiter=\"semicolon\" encoding=\"utf-16\"/>",
        "<file delimiter=\"pipe\" encoding=\"utf-16le\"/>", "<file encoding=\"utf-16be\"/>",
        "<file encoding=\"windows-1252\"/>", "<file encoding=\"iso-8859-1\"/>",
        "<dates order=\"ymd\"/>", "<signs extension-minus=\"short-of-zero\"/>",
        "<signs extension-unsigned=\"past-zero\"/>", "<pairs angles=\"active/passive\"/>",
        "<pairs angles=\"passive/active\"/>", "<pairs angles=\"right/left\"/>",
        "<pairs pain=\"rest/movement\"/>", "<words language=\"pl\"/>", "",
        "<column header=\"a\" test=\"force\" technique=\"break\"/>",
        "<column header=\"a\" side=\"midline\"/>", "<column header=\"a\" timing=\"before\"/>",
    };
    for (size_t i = 0; i < ARRAY_LEN(maps); i++) {
        struct diag_sink sink = {0};
        ck_assert_msg(load_map(maps[i], &sink) != NULL, "%s", maps[i]);
    }
}
END_TEST

/* ---- files under a map --------------------------------------------------------------------- */

static struct buf out;

static void put_diag(void *user, const struct diag *d)
{
    (void)user;
    buf_addf(&out, "%s %ld:%ld", diag_id(d->code), d->pos.line, d->pos.column);
    if (d->detail != NULL)
        buf_addf(&out, " %s", d->detail);
    buf_addc(&out, '\n');
}

/* Reads a file under a map, a byte at a time and whole: events must be the same. */
static const char *read_file(const char *map, const char *bytes, size_t len, size_t read_size)
{
    struct diag_sink sink = {.put = put_diag}, quiet = {0};
    struct tally t = {0};
    struct row row;
    struct import_settings s = *load_map(map, &quiet);
    s.read_size = read_size;
    buf_clear(&out);
    write_temp(bytes, len);
    struct import_source *src = import_open(path, 0, false, &s, ref, &sink);
    while (src != NULL && import_next(src, &row, &t, &sink) == IMPORT_ROW)
        row_dump(&row, &out);
    import_close(src);
    unlink(path);
    return buf_text(&out);
}

#define W1252 "<file encoding=\"windows-1252\"/>"
#define TWO "<file header-rows=\"2\"/>"

static const struct {
    const char *map, *bytes;
    size_t len; /* 0: strlen */
    const char *events;
} files[] = {
    /* delimiter */
    {"<file delimiter=\"semicolon\"/>", "patient_id,note\nP,a\n", 0,
     "csv-delimiter-differs 1:0 the header does not hold it\n"},
    {"<file delimiter=\"semicolon\"/>", "sep=,\npatient_id;note\n", 0,
     "csv-delimiter-differs 2:0 the line sep= names another\n"},
    {"<file delimiter=\"semicolon\"/>", "patient_id;a,b\nP;1\n", 0,
     "csv-column-unknown 1:2\nrow 0:2 1=\"P\" 2=\"1\"\n"},
    {"<file delimiter=\"semicolon\"/>", "sep=;\npatient_id;note\nP;1\n", 0,
     "row 0:3 1=\"P\" 2=\"1\"\n"},
    {"<file delimiter=\"tab\"/>", "patient_id\nP\n", 0, "row 0:2 1=\"P\"\n"},
    {"<file delimiter=\"pipe\"/>", "patient_id|a;b\nP|1\n", 0,
     "csv-column-unknown 1:2\nrow 0:2 1=\"P\" 2=\"1\"\n"},
    /* encoding */
    {W1252, "patient_id,note\nP,Bj\xF6rn \x96 120\xB0\n", 0,
     "row 0:2 1=\"P\" 2=\"Bj\xC3\xB6rn \xE2\x80\x93 120\xC2\xB0\"\n"},
    {W1252, "patient_id,note\nP,\x81\nQ,a\n", 0, "row-not-utf-8 2:2\nrow 0:3 1=\"Q\" 2=\"a\"\n"},
    {W1252, "patient_id,note\nP,\xC3\xB6\n", 0,
     "row 0:2 1=\"P\" 2=\"\xC3\x83\xC2\xB6\"\ncsv-encoding-doubtful 0:0 declared windows-1252\n"},
    {W1252, "patient_id,note\nP,\xC3\xB6\nQ,\xF6\n", 0,
     "row 0:2 1=\"P\" 2=\"\xC3\x83\xC2\xB6\"\nrow 0:3 1=\"Q\" 2=\"\xC3\xB6\"\n"},
    {W1252, "\xEF\xBB\xBFpatient_id\nP\n", 0,
     "csv-encoding-differs 0:0 UTF-8 by its first bytes\n"},
    {"<file encoding=\"utf-8\"/>", "patient_id,n\xF6te\n", 0,
     "csv-encoding-differs 1:2 the header row\n"},
    {W1252, "patient_id,\x81\n", 0, "csv-encoding-differs 1:2 the header row\n"},
    {W1252, "\xFF\xFEp\0", 4, "csv-encoding-differs 0:0 16-bit text\n"},
    {"<file encoding=\"utf-8\"/>", "\xEF\xBB\xBFpatient_id\nP\n", 0, "row 0:2 1=\"P\"\n"},
    {"<file encoding=\"latin-1\"/>", "patient_id,note\nP,\xF6\nQ,\x96\n", 0,
     "row 0:2 1=\"P\" 2=\"\xC3\xB6\"\nrow-not-utf-8 3:2\n"},
    {"<file encoding=\"utf-16le\"/>", "p\0a\0t\0i\0e\0n\0t\0_\0i\0d\0\n\0P\0\n\0", 26,
     "row 0:2 1=\"P\"\n"},
    {"<file encoding=\"utf-16be\"/>", "\0p\0a\0t\0i\0e\0n\0t\0_\0i\0d\0\n\0P\0\n", 26,
     "row 0:2 1=\"P\"\n"},
    {"<file encoding=\"utf-16\"/>", "\0p\0a\0t\0i\0e\0n\0t\0_\0i\0d\0\n\0P\0\n", 26,
     "row 0:2 1=\"P\"\n"},
    {"<file encoding=\"utf-16be\"/>", "\xFF\xFEp\0", 4,
     "csv-encoding-differs 0:0 the other byte order\n"},
    {"<file encoding=\"utf-16\"/>", "patient_id\nP\n", 0,
     "csv-encoding-differs 0:0 not 16-bit text\n"},
    /* names */
    {"<column header=\"pat.  nr\" to=\"patient_id\"/>", "Pat. Nr,note\nP,a\n", 0,
     "row 0:2 1=\"P\" 2=\"a\"\n"},
    {"<column header=\"ID\" to=\"patient_id\"/>", "ID,patient_id\nP,Q\n", 0,
     "csv-column-twice 1:2 columns 1 and 2\n"},
    {"<column header=\"note\" to=\"reason\"/>", "patient_id,note,reason\nP,Q,R\n", 0,
     "csv-column-twice 1:3 columns 2 and 3\n"},
    {"<column header=\"shoe size\" skip=\"yes\"/>", "patient_id,shoe size,hat size\nP,1,2\n", 0,
     "csv-column-unknown 1:3\nrow 0:2 1=\"P\" 2=\"1\" 3=\"2\"\n"},
    {"<column header=\"note\" skip=\"yes\"/>", "patient_id,note\nP,1\n", 0,
     "row 0:2 1=\"P\" 2=\"1\"\n"},
    {"<column header=\"K\" joint=\"knee\" motion=\"flexion\" test=\"AROM\"/>",
     "patient_id,K\nP,1\n", 0, "csv-column-wide 1:2 the side is not said\n"
     "row 0:2 1=\"P\" 2=\"1\"\n"},
    {"<column header=\"K\" joint=\"knee\" motion=\"flexion\" test=\"AROM\"/>",
     "patient_id,side,K\nP,R,1\n", 0, "row 0:2 1=\"P\" 2=\"R\" 3=\"1\"\n"},
    {"<column header=\"K\" motion=\"flexion\" test=\"AROM\"/>", "patient_id,side,K\nP,R,1\n", 0,
     "csv-column-wide 1:3 joint and motion are not said\nrow 0:2 1=\"P\" 2=\"R\" 3=\"1\"\n"},
    {"<pairs angles=\"active/passive\"/>", "patient_id,R knee flexion ROM\nP,1/2\n", 0,
     "row 0:2 1=\"P\" 2=\"1/2\"\n"},
    {"<pairs angles=\"right/left\"/>", "patient_id,knee flexion AROM\nP,1/2\n", 0,
     "row 0:2 1=\"P\" 2=\"1/2\"\n"},
    {"<constant column=\"test\" value=\"AROM\"/>", "patient_id,R knee flexion\nP,1\nQ,\n", 0,
     "row 0:2 1=\"P\" 2=\"1\"\nrow 0:3 1=\"Q\" 2=\"\"\ncsv-column-blank 1:2 1 of 2 rows\n"},
    /* two header rows */
    {TWO, "patient_id\nP\n", 0,
     "csv-column-misspelt 2:1 nearest known: patient_id\ncsv-no-patient-column 2:0\n"},
    {TWO, "patient_id\n", 0, "csv-header 2:0 the map says two header rows, and there is one\n"},
    {TWO, "a,b\npatient_id\nP\n", 0, "csv-header 3:0 the two header rows differ in length\n"},
    {TWO, ",Right knee,,Left knee,,\npatient_id,flex AROM,ext AROM,flex AROM,ext AROM,note\n"
          "P,1,2,3,4,n\n", 0,
     "row 0:3 1=\"P\" 2=\"1\" 3=\"2\" 4=\"3\" 5=\"4\" 6=\"n\"\n"},
    {TWO, ",Right knee,\npatient_id,flex AROM,felx AROM\nP,1,2\n", 0,
     "csv-column-wide 2:3 nearest known: Right knee flexion AROM\n"
     "row 0:3 1=\"P\" 2=\"1\" 3=\"2\"\n"},
    {TWO, "patient_id,note\n,\nP,a\n", 0, "row 0:3 1=\"P\" 2=\"a\"\n"},
    {TWO, "patient_id,note\n,x\nP,a\n", 0,
     "csv-column-misspelt 2:2 nearest known: note\nrow 0:3 1=\"P\" 2=\"a\"\n"},
};

START_TEST(files_by_map)
{
    size_t len = files[_i].len > 0 ? files[_i].len : strlen(files[_i].bytes);
    buf_init(&out, 1 << 20);
    for (size_t read_size = 1; read_size <= 64; read_size *= 4) {
        const char *events = read_file(files[_i].map, files[_i].bytes, len, read_size);
        ck_assert_msg(strcmp(events, files[_i].events) == 0, "%zu a read: %s\nnot: %s", read_size,
                      events, files[_i].events);
    }
    ck_assert_str_eq(read_file(files[_i].map, files[_i].bytes, len, LINES_READ_SIZE),
                     files[_i].events);
    buf_release(&out);
}
END_TEST

/* A column that no file has is told, once, with its line. */
START_TEST(unused_columns_are_told)
{
    struct diag_sink quiet = {0}, sink = {.put = put_diag};
    const struct import_settings *s =
        load_map("<column header=\"ID\" to=\"patient_id\"/>\n<column header=\"idd\" skip=\"yes\"/>",
                 &quiet);
    buf_init(&out, 1 << 20);
    write_temp("ID\nP\n", 5);
    struct import_source *src = import_open(path, 0, false, s, ref, &quiet);
    unlink(path);
    import_map_unused(s, &src, 1, &sink);
    ck_assert_str_eq(buf_text(&out), "map-unused 3:0 idd\n");
    import_close(src);
    buf_release(&out);
}
END_TEST

/* ---- suggestions --------------------------------------------------------------------------- */

static const char suggested[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<?xml-model href=\"map.rnc\" type=\"application/relax-ng-compact-syntax\"?>\n"
    "<!-- A suggestion: check each line, then give the file to the option map. -->\n"
    "<column-map>\n"
    "  <file delimiter=\"semicolon\"/>\n"
    "  <!-- What the cells mean, where they could mean two things; keep what is true:\n"
    "  <dates order=\"dmy\"/>\n"
    "  <signs extension-minus=\"short-of-zero\"/>\n"
    "  <pairs angles=\"active/passive\"/>\n"
    "  <words language=\"de\"/> -->\n"
    "  <!-- Read as they are: note -->\n"
    "  <column header=\"MRN\" to=\"patient_id\"/>\n"
    "  <column header=\"R knee flex AROM\" joint=\"knee\" motion=\"flexion\" side=\"right\" "
    "test=\"AROM\"/>\n"
    "  <column header=\"L D3 PIP ext PROM (&lt;prone>)\" joint=\"finger-pip\" "
    "motion=\"extension\" side=\"left\" digit=\"3\" test=\"PROM\" position=\"prone\"/>\n"
    "  <!-- No header says visit_date, which every reading needs. -->\n"
    "  <!-- Not recognised, the nearest first -->\n"
    "  <!-- NPRS: pain belongs to one reading, a row here has several\n"
    "  <column header=\"NPRS\" skip=\"yes\"/> -->\n"
    "  <!-- Pt ID: patient_id is taken by another column\n"
    "  <column header=\"Pt ID\" to=\"patient_id\"/> -->\n"
    "  <!-- L hip flexion: active, passive or strength is not said\n"
    "  <column header=\"L hip flexion\" joint=\"hip\" motion=\"flexion\" side=\"left\"/> -->\n"
    "  <!-- visit_dat: nearest: visit_date\n"
    "  <column header=\"visit_dat\" to=\"visit_date\"/> -->\n"
    "  <!-- R knee felx AROM: nearest: R knee flexion AROM\n"
    "  <column header=\"R knee felx AROM\" joint=\"knee\" motion=\"flexion\" side=\"right\" "
    "test=\"AROM\"/> -->\n"
    "  <!-- shoe- -size\n"
    "  <column header=\"shoe- -size\" skip=\"yes\"/> -->\n"
    "  <!-- R knee AAROM flexion: assisted or resisted range is neither active nor passive\n"
    "  <column header=\"R knee AAROM flexion\" skip=\"yes\"/> -->\n"
    "  <!-- R knee AROM: like a measurement -->\n"
    "</column-map>\n";

START_TEST(a_map_is_suggested)
{
    static const char csv[] = "MRN;Note;NPRS;R knee flex AROM;L D3 PIP ext PROM (<prone>);"
                              "R knee felx AROM;shoe--size;Pt ID;R knee AAROM flexion;"
                              "R knee AROM;L hip flexion;visit_dat\n";
    struct diag_list l;
    diag_list_init(&l);
    struct import_suggestion *s = import_suggestion_new(import_settings_default(), ref);
    ck_assert(import_suggestion_add(s, write_temp(csv, sizeof csv - 1), &l.sink));
    ck_assert(import_suggestion_add(s, path, &l.sink)); /* the same headers are listed once */
    unlink(path);
    ck_assert(!import_suggestion_add(s, path, &l.sink));
    buf_init(&out, 1 << 20);
    import_suggestion_write(s, &out);
    ck_assert_str_eq(buf_text(&out), suggested);
    /* What is suggested loads. */
    diag_list_clear(&l);
    const struct import_settings *loaded =
        import_settings_load(write_temp(out.data, out.len), ref, arena, &l.sink);
    unlink(path);
    ck_assert_ptr_nonnull(loaded);
    ck_assert_uint_eq(loaded->n_columns, 3);
    import_suggestion_free(s);
    buf_release(&out);
    diag_list_release(&l);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import map");
    TCase *c = tcase_create("map");
    tcase_add_unchecked_fixture(c, load, unload);
    tcase_add_loop_test(c, slips_are_refused, 0, (int)ARRAY_LEN(slips));
    tcase_add_test(c, files_that_are_no_map);
    tcase_add_test(c, all_slips_at_once);
    tcase_add_test(c, every_element_is_kept);
    tcase_add_test(c, every_choice_is_known);
    tcase_add_loop_test(c, files_by_map, 0, (int)ARRAY_LEN(files));
    tcase_add_test(c, unused_columns_are_told);
    tcase_add_test(c, a_map_is_suggested);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
