/* Wide tables and declared rules to a patient: the parts of a row, their count in rows, empty
 * cells, cells that contradict the header; a wide file and its long twin; checks across rows. */
#include "import/import_int.h"
#include "unit.h"

#include <string.h>
#include <unistd.h>

static struct reference *ref;
static struct arena *arena;
static struct buf said, model;
static struct tally tally;
static char path[64];
static const struct date today = {2026, 6, 1};

static void load(void)
{
    struct diag_sink sink = {0};
    ref = reference_load_embedded(&sink);
    ck_assert_ptr_nonnull(ref);
}

static void release(void)
{
    reference_free(ref);
}

static void set_up(void)
{
    arena = arena_new();
    buf_init(&said, 1 << 20);
    buf_init(&model, 1 << 24);
}

static void tear_down(void)
{
    buf_release(&said);
    buf_release(&model);
    arena_free(arena);
}

static void put_diag(void *user, const struct diag *d)
{
    (void)user;
    if (import_is_once_a_file(d->code)) /* has a test of its own */
        return;
    buf_addf(&said, "%s %ld:%ld\n", diag_id(d->code), d->pos.line, d->pos.column);
}

static void write_temp(const char *text)
{
    strcpy(path, "/tmp/endfeel-wide-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
}

static const struct import_settings *settings_of(const char *map)
{
    struct diag_sink quiet = {0};
    if (map == NULL)
        return import_settings_default();
    char text[4000];
    snprintf(text, sizeof text, "<column-map>%s</column-map>", map);
    write_temp(text);
    const struct import_settings *s = import_settings_load(path, ref, arena, &quiet);
    unlink(path);
    ck_assert_msg(s != NULL, "%s", map);
    return s;
}

static struct patient *import(const char *map, const char *csv)
{
    struct diag_sink sink = {.put = put_diag};
    struct buf packed;
    struct row row, rows[200];
    size_t n = 0, used = 0;
    const struct import_settings *s = settings_of(map);
    buf_init(&packed, 1 << 24);
    buf_clear(&said);
    buf_clear(&model);
    tally = (struct tally){0};
    write_temp(csv);
    struct import_source *src = import_open(path, 0, false, s, ref, &sink);
    ck_assert_msg(src != NULL, "%s", buf_text(&said));
    while (import_next(src, &row, &tally, &sink) == IMPORT_ROW) {
        row_pack(&row, &packed);
        n++;
    }
    ck_assert_uint_lt(n, ARRAY_LEN(rows));
    for (size_t i = 0; i < n; i++)
        used += row_unpack(packed.data + used, packed.len - used, arena, &rows[i]);
    struct patient *p = import_patient(rows, n, &src, ref, today, arena, &tally, &sink);
    char why[200] = "";
    ck_assert_msg(model_check(p, why, sizeof why), "%s", why);
    model_dump(p, &model);
    ck_assert_int_eq(tally.rows_in, tally.used + tally.duplicates + tally.held);
    import_close(src);
    unlink(path);
    buf_release(&packed);
    return p;
}

/* One line a reading: "2026-03-04 knee flexion right AROM 120", the status where there is none. */
static const char *readings(const struct patient *p)
{
    static char text[8000];
    size_t n = 0;
    text[0] = '\0';
    for (size_t v = 0; v < p->n_visits; v++) {
        for (size_t i = 0; i < p->visits[v].n_measurements; i++) {
            const struct measurement *m = &p->visits[v].measurements[i];
            char date[DATE_TEXT_MAX], value[NUM_TEXT_MAX] = "";
            if (m->end.has)
                num_format(value, m->end.value, 0);
            n += (size_t)snprintf(
                text + n, sizeof text - n, "%s %s %s %s%s%s %s %s%s%s\n",
                date_format(date, p->visits[v].date) + 5, m->motion->joint, m->motion->motion,
                side_name(m->side), m->digit != 0 ? " " : "",
                m->digit != 0 ? (const char[]){(char)('0' + m->digit), '\0'} : "",
                test_name(m->test),
                model_has_number(m->status) ? m->grade != NULL ? m->grade->text : value
                                            : reading_status_name(m->status),
                m->position != NULL ? " @" : "", m->position != NULL ? m->position : "");
        }
    }
    return text;
}

#define W "patient_id,visit_date,R knee flex AROM,L knee flex AROM"

static const struct {
    const char *name, *map, *csv;
    long used, duplicates, held;
    const char *said, *readings;
} cases[] = {
    /* what is wrong with a cell, and where it stands */
    {"a cell held back", NULL, W "\nP,2026-03-04,12o,130\n", 0, 0, 1, "cell-letter-in-number 2:3\n",
     "03-04 knee flexion right AROM held-back\n03-04 knee flexion left AROM 130\n"},
    {"two cells held back count one row", NULL, W "\nP,2026-03-04,same,1180\n", 0, 0, 1,
     "cell-same 2:3\ncell-out-of-range 2:4\n",
     "03-04 knee flexion right AROM held-back\n03-04 knee flexion left AROM held-back\n"},
    {"no date", NULL, W "\nP,,120,130\n", 0, 0, 1, "visit-date-missing 2:2\n", ""},
    {"a bad role is told once", NULL,
     "patient_id,visit_date,role,R knee flex AROM,L knee flex AROM\nP,2026-03-04,boss,120,130\n", 0,
     0, 1, "word-unknown 2:3\n",
     "03-04 knee flexion right AROM 120\n03-04 knee flexion left AROM 130\n"},
    {"a side against the header", NULL,
     "patient_id,visit_date,side,R knee flex AROM\nP,2026-03-04,L,120\nQ,2026-03-04,R,120\n", 1, 0,
     1, "part-contradicts 2:4\n", "03-04 knee flexion right AROM 120\n"},
    {"a test against the header", NULL,
     "patient_id,visit_date,test,R knee flex AROM\nP,2026-03-04,passive,120\n", 0, 0, 1,
     "part-contradicts 2:4\n", ""},
    {"a joint against the header", NULL,
     "patient_id,visit_date,joint,R knee flex AROM\nP,2026-03-04,Hip,120\nP,2026-03-05,Knee,120\n",
     1, 0, 1, "part-contradicts 2:4\n", "03-05 knee flexion right AROM 120\n"},
    {"a note and two readings", NULL, W ",note\nP,2026-03-04,120,130,stiff\n", 0, 0, 1,
     "cell-unplaced 2:5\n",
     "03-04 knee flexion right AROM 120\n03-04 knee flexion left AROM 130\n"},
    {"a column held back", NULL,
     "patient_id,visit_date,R knee felx AROM,R hip flex AROM\nP,2026-03-04,1,90\n"
     "P,2026-03-05,,91\n", 1, 0, 1, "csv-column-wide 1:3\ncsv-column-blank 1:4\n!",
     "03-04 hip flexion right AROM 90\n03-05 hip flexion right AROM 91\n"},
    {"two columns of one reading", NULL,
     "patient_id,visit_date,R knee flex AROM,Knee flexion right active\nP,2026-03-04,120,125\n", 0,
     0, 1, "readings-differ 2:4\nreadings-differ 2:3\n",
     "03-04 knee flexion right AROM held-back\n03-04 knee flexion right AROM held-back\n"},
    {"two rows of one visit", NULL, W "\nP,2026-03-04,120,\nP,2026-03-04,121,\n", 0, 0, 2,
     "csv-column-blank 1:4\nreadings-differ 3:3\nreadings-differ 2:3\n",
     "03-04 knee flexion right AROM held-back\n03-04 knee flexion right AROM held-back\n"},
    /* the count stays in rows */
    {"a row twice", NULL, W "\nP,2026-03-04,120,130\nP,2026-03-04,120,130\n", 1, 1, 0,
     "row-duplicate 3:1\n",
     "03-04 knee flexion right AROM 120\n03-04 knee flexion left AROM 130\n"},
    {"readings again in another row", NULL, W "\nP,2026-03-04,120,130\nP,2026-03-04,120,\n", 1, 1,
     0, "csv-column-blank 1:4\nreading-again 3:3\n",
     "03-04 knee flexion right AROM 120\n03-04 knee flexion left AROM 130\n"},
    {"some readings again", NULL, W "\nP,2026-03-04,120,\nP,2026-03-04,120,130\n", 2, 0, 0,
     "csv-column-blank 1:4\nreading-again 3:3\n",
     "03-04 knee flexion right AROM 120\n03-04 knee flexion left AROM 130\n"},
    /* empty cells */
    {"empty before the first reading says nothing", NULL,
     W "\nP,2026-03-04,120,\nP,2026-03-11,,130\nP,2026-03-18,,\n", 3, 0, 0,
     "csv-column-blank 1:3\ncsv-column-blank 1:4\n",
     "03-04 knee flexion right AROM 120\n03-11 knee flexion right AROM not-recorded\n"
     "03-11 knee flexion left AROM 130\n03-18 knee flexion right AROM not-recorded\n"
     "03-18 knee flexion left AROM not-recorded\n"},
    {"a later visit does not count", NULL, W "\nP,2026-03-11,120,\nP,2026-03-04,,130\n", 2, 0, 0,
     "csv-column-blank 1:3\ncsv-column-blank 1:4\n",
     "03-04 knee flexion left AROM 130\n03-11 knee flexion right AROM 120\n"
     "03-11 knee flexion left AROM not-recorded\n"},
    {"empty beside another's reading, and empty twice", NULL,
     "patient_id,visit_date,measured_by,R knee flex AROM,L knee flex AROM\n"
     "P,2026-03-04,A,120,130\nP,2026-03-11,A,121,\nP,2026-03-11,B,,\n", 3, 0, 0,
     "csv-column-blank 1:4\ncsv-column-blank 1:5\n",
     "03-04 knee flexion right AROM 120\n03-04 knee flexion left AROM 130\n"
     "03-11 knee flexion right AROM 121\n03-11 knee flexion left AROM not-recorded\n"},
    {"another position is another column", NULL,
     "patient_id,visit_date,R ankle DF AROM knee bent,R ankle DF AROM knee straight\n"
     "P,2026-03-04,10,5\nP,2026-03-11,11,\n", 2, 0, 0, "csv-column-blank 1:4\n",
     "03-04 ankle dorsiflexion right AROM 10 @knee bent\n"
     "03-04 ankle dorsiflexion right AROM 5 @knee straight\n"
     "03-11 ankle dorsiflexion right AROM 11 @knee bent\n"
     "03-11 ankle dorsiflexion right AROM not-recorded @knee straight\n"},
    {"all empty is a visit", NULL, W "\nP,2026-03-04,,\n", 1, 0, 0,
     "csv-column-blank 1:3\ncsv-column-blank 1:4\n", ""},
    /* what the columns of the row lend */
    {"side and digit from the row", NULL,
     "patient_id,visit_date,side,digit,PIP flexion AROM,knee flexion AROM\n"
     "P,2026-03-04,L,3,90,\n", 1, 0, 0, "csv-column-blank 1:6\n",
     "03-04 finger-pip flexion left 3 AROM 90\n"},
    {"test from the row", NULL,
     "patient_id,visit_date,test,R knee flexion\nP,2026-03-04,PROM,120\nP,2026-03-04,AROM,110\n", 2,
     0, 0, "", "03-04 knee flexion right AROM 110\n03-04 knee flexion right PROM 120\n"},
    {"position of the header before that of the row", NULL,
     "patient_id,visit_date,position,R hip ER PROM prone,R knee flexion AROM\n"
     "P,2026-03-04,supine,30,120\n", 1, 0, 0, "",
     "03-04 hip external-rotation right PROM 30 @prone\n"
     "03-04 knee flexion right AROM 120 @supine\n"},
    {"a note and one reading", NULL, W ",note\nP,2026-03-04,120,,stiff\n", 1, 0, 0,
     "csv-column-blank 1:4\n", "03-04 knee flexion right AROM 120\n"},
    {"a long row beside wide columns", NULL,
     "patient_id,visit_date,joint,motion,side,test,value,R hip flexion AROM\n"
     "P,2026-03-04,hip,flexion,R,PROM,99,\nP,2026-03-04,,,,,,90\n", 2, 0, 0,
     "csv-column-blank 1:8\n",
     "03-04 hip flexion right AROM 90\n03-04 hip flexion right PROM 99\n"},
    {"grades and forces", NULL,
     "patient_id,visit_date,unit,MMT R quads,R knee extension force\n"
     "P,2026-03-04,,4+/5,\nP,2026-03-04,N,,120\n", 2, 0, 0,
     "csv-column-blank 1:4\ncsv-column-blank 1:5\n",
     "03-04 knee extension right MMT 4+\n03-04 knee extension right force \n"},
    {"a cell with both modes", "<column header=\"Knee R\" joint=\"knee\" motion=\"flexion\" "
     "side=\"R\"/><pairs angles=\"active/passive\"/>",
     "patient_id,visit_date,Knee R\nP,2026-03-04,118/126\n", 1, 0, 0, "reading-split 2:3\n",
     "03-04 knee flexion right AROM 118\n03-04 knee flexion right PROM 126\n"},
    {"a cell with both sides", "<pairs angles=\"right/left\"/>",
     "patient_id,visit_date,knee flexion AROM\nP,2026-03-04,118/126\n", 1, 0, 0,
     "reading-split 2:3\n",
     "03-04 knee flexion right AROM 118\n03-04 knee flexion left AROM 126\n"},
    {"sides both and a pair", "<pairs angles=\"right/left\"/>",
     "patient_id,visit_date,joint,motion,side,test,value\n"
     "P,2026-03-04,knee,flexion,both,AROM,118/126\nP,2026-03-04,hip,flexion,both,AROM,90\n", 1, 0,
     1, "reading-split 2:7\ncell-side-both 3:5\n",
     "03-04 hip flexion  AROM held-back\n03-04 knee flexion right AROM 118\n"
     "03-04 knee flexion left AROM 126\n"},
    {"a pair of forces is none", "<pairs angles=\"right/left\"/>",
     "patient_id,visit_date,joint,motion,side,test,value,unit\n"
     "P,2026-03-04,knee,flexion,R,force,118/126,N\n", 0, 0, 1, "force-unknown 2:7\n",
     "03-04 knee flexion right force held-back\n"},
    /* constants */
    {"a constant beside the row", "<constant column=\"position\" value=\"supine\"/>"
     "<constant column=\"test\" value=\"PROM\"/>",
     "patient_id,visit_date,R knee flexion\nP,2026-03-04,120\n", 1, 0, 0, "",
     "03-04 knee flexion right PROM 120 @supine\n"},
    {"a constant that is no word of its column", "<constant column=\"test\" value=\"PRON\"/>",
     "patient_id,visit_date,R knee flexion\nP,2026-03-04,120\n", 0, 0, 1,
     "cell-test-unknown 2:0\n", "03-04 knee flexion right  held-back\n"},
    {"a constant gives way to a column", "<constant column=\"position\" value=\"supine\"/>",
     "patient_id,visit_date,position,R knee flexion AROM\nP,2026-03-04,prone,120\n"
     "P,2026-03-05,,120\n", 2, 0, 0, "",
     "03-04 knee flexion right AROM 120 @prone\n03-05 knee flexion right AROM 120\n"},
    {"a constant makes no reading of a patient", "<constant column=\"joint\" value=\"knee\"/>",
     "patient_id,visit_date,name\nP,2026-03-04,A\n", 1, 0, 0, "", ""},
    /* declared rules reach every column */
    {"dates", "<dates order=\"dmy\" two-digit-years-from=\"1950\"/>",
     "patient_id,visit_date,birth_date,R knee flexion AROM\nP,04/03/26,1/2/1960,120\n"
     "P,05/03/2026,1/2/60,121\n", 1, 0, 1, "cell-day-year 3:3\n",
     "03-04 knee flexion right AROM 120\n03-05 knee flexion right AROM 121\n"},
    {"signs", "<signs extension-minus=\"short-of-zero\"/>",
     "patient_id,visit_date,R knee ext AROM,R knee flex AROM\nP,2026-03-04,-10,-10-120\n", 1, 0, 0,
     "", "03-04 knee flexion right AROM 120\n03-04 knee extension right AROM -10\n"},
    {"decimals", "<file decimal=\"comma\"/>",
     "patient_id;visit_date;body_mass_kg;R knee flexion AROM\nP;2026-03-04;71,250;118,25\n", 1, 0,
     0, "", "03-04 knee flexion right AROM 118\n"},
    {"decimal points", "<file decimal=\"point\"/>",
     "patient_id,visit_date,body_mass_kg\nP,2026-03-04,\"71,5\"\n", 0, 0, 1, "number-unknown 2:3\n",
     ""},
    {"languages", "<words language=\"de\"/>",
     "patient_id,visit_date,side,pain,knee flexion AROM\nP,2026-03-04,li,ja,120\n", 1, 0, 0, "",
     "03-04 knee flexion left AROM 120\n"},
};

START_TEST(wide_rows)
{
    struct patient *p = import(cases[_i].map, cases[_i].csv);
    const char *wanted = cases[_i].said, *got = buf_text(&said);
    size_t n = strlen(wanted);
    bool open = n > 0 && wanted[n - 1] == '!'; /* the order of the two notes does not matter here */
    ck_assert_msg(open || strcmp(got, wanted) == 0 ||
                      (strncmp(wanted, "csv-column-blank", 16) == 0 && strlen(got) == n),
                  "%s said:\n%s", cases[_i].name, got);
    ck_assert_msg(strcmp(readings(p), cases[_i].readings) == 0, "%s:\n%s", cases[_i].name,
                  readings(p));
    ck_assert_msg(tally.used == cases[_i].used && tally.duplicates == cases[_i].duplicates &&
                      tally.held == cases[_i].held,
                  "%s: %ld used %ld duplicates %ld held", cases[_i].name, tally.used,
                  tally.duplicates, tally.held);
}
END_TEST

/* The same readings in a wide and in a long file make the same patient, places aside. */
START_TEST(a_wide_file_equals_its_long_twin)
{
    static const char wide[] =
        "patient_id,visit_date,measured_by,R knee flex AROM,R knee flex PROM,R knee ext AROM,"
        "MMT R quads,L knee flex AROM\n"
        "P,2026-03-04,Jo,0-118,120 firm,lacks 4,4-/5,135\n"
        "P,2026-03-11,Al,0-121; 119,NT - pain,,4,\n";
    static const char twin[] =
        "patient_id,visit_date,measured_by,joint,motion,side,test,value\n"
        "P,2026-03-04,Jo,knee,flexion,right,AROM,0-118\n"
        "P,2026-03-04,Jo,knee,flexion,right,PROM,120 firm\n"
        "P,2026-03-04,Jo,knee,extension,right,AROM,lacks 4\n"
        "P,2026-03-04,Jo,knee,extension,right,MMT,4-/5\n"
        "P,2026-03-04,Jo,knee,flexion,left,AROM,135\n"
        "P,2026-03-11,Al,knee,flexion,right,AROM,0-121; 119\n"
        "P,2026-03-11,Al,knee,flexion,right,PROM,NT - pain\n"
        "P,2026-03-11,Al,knee,extension,right,AROM,\n"
        "P,2026-03-11,Al,knee,extension,right,MMT,4\n"
        "P,2026-03-11,Al,knee,flexion,left,AROM,\n";
    char one[8000];
    struct patient *p = import(NULL, wide);
    snprintf(one, sizeof one, "%s", readings(p));
    p = import(NULL, twin);
    ck_assert_str_eq(readings(p), one);
}
END_TEST

/* ---- pain ---------------------------------------------------------------------------------- */

static const struct {
    const char *map, *csv, *said;
    int rest, move, reading; /* -1: none */
} pains[] = {
    {NULL, "patient_id,visit_date,pain_move\nP,2026-03-04,2/6\n", "cell-pain-pair 2:3\n", -1, -1,
     -1},
    {"<pairs pain=\"rest/movement\"/>", "patient_id,visit_date,pain_move\nP,2026-03-04,2/6\n",
     "cell-pain-rest-and-movement 2:3\n", 2, 6, -1},
    {"<pairs pain=\"movement/rest\"/>", "patient_id,visit_date,pain_rest\nP,2026-03-04,6/2\n",
     "cell-pain-rest-and-movement 2:3\n", 2, 6, -1},
    {NULL, "patient_id,visit_date,pain_rest\nP,2026-03-04,2 rest 6 mvt\n",
     "cell-pain-rest-and-movement 2:3\n", 2, 6, -1},
    {NULL, "patient_id,visit_date,pain_rest,pain_move\nP,2026-03-04,2 rest 6 mvt,7\n",
     "cell-pain-rest-and-movement 2:3\n", 2, 7, -1},
    {"<column header=\"Pain\" to=\"pain\"/>",
     "patient_id,visit_date,joint,motion,side,test,value,Pain\n"
     "P,2026-03-04,hip,flexion,R,AROM,90,rest 1 movement 5\n",
     "cell-pain-rest-and-movement 2:8\n", 1, -1, 5},
};

START_TEST(pain_of_two_scores)
{
    struct patient *p = import(pains[_i].map, pains[_i].csv);
    ck_assert_str_eq(buf_text(&said), pains[_i].said);
    const struct visit *v = &p->visits[0];
    ck_assert_int_eq(v->pain_rest_low.has ? (int)v->pain_rest_low.value : -1, pains[_i].rest);
    ck_assert_int_eq(v->pain_move_high.has ? (int)v->pain_move_high.value : -1, pains[_i].move);
    if (v->n_measurements > 0) {
        ck_assert_double_eq(v->measurements[0].pain_low.value, pains[_i].reading);
        ck_assert(v->measurements[0].pain);
    }
}
END_TEST

/* ---- across rows --------------------------------------------------------------------------- */

#define L "patient_id,visit_date,joint,motion,side,test,value\n"
#define R(date, value) "P," date ",hip,flexion,R,AROM," value "\n"
#define V "patient_id,visit_date,visit_kind,role,signed_on,countersigned_on,treatment_day\n"

static const struct {
    const char *name, *csv, *said;
} orders[] = {
    {"one date runs back", L R("2026-03-04", "1") R("2026-03-11", "2") R("2026-01-18", "3")
     R("2026-03-25", "4"), "dates-out-of-order 4:2\n"},
    {"one date runs ahead, newest first", L R("2026-03-25", "1") R("2026-03-18", "2")
     R("2026-05-11", "3") R("2026-03-04", "4"), "dates-out-of-order 4:2\n"},
    {"ascending", L R("2026-03-04", "1") R("2026-03-11", "2") R("2026-03-18", "3"), ""},
    {"descending", L R("2026-03-18", "1") R("2026-03-11", "2") R("2026-03-04", "3"), ""},
    {"in no order", L R("2026-03-18", "1") R("2026-03-04", "2") R("2026-03-11", "3")
     R("2026-03-09", "4") R("2026-03-12", "5"), ""},
    {"two visits prove nothing", L R("2026-03-11", "1") R("2026-03-04", "2"), ""},
    {"blocks of each motion", L R("2026-03-04", "1") R("2026-03-11", "2") R("2026-03-18", "2")
     "P,2026-03-04,hip,extension,R,AROM,1\nP,2026-03-11,hip,extension,R,AROM,2\n"
     "P,2026-03-18,hip,extension,R,AROM,2\n", ""},
    {"treatment days go back", V "P,2026-03-04,visit,PT,,,5\nP,2026-03-11,visit,PT,,,4\n",
     "treatment-day-order 3:7\n"},
    {"treatment days in any order of rows", V "P,2026-03-11,visit,PT,,,5\n"
     "P,2026-03-04,visit,PT,,,4\n", ""},
    {"signed before", V "P,2026-03-04,visit,PT,2026-03-03,,\n", "signed-before-visit 2:5\n"},
    {"signed that day", V "P,2026-03-04,visit,PT,2026-03-04,2026-03-05,\n", ""},
    {"countersigned before signed", V "P,2026-03-04,visit,PT,2026-03-06,2026-03-05,\n",
     "signed-before-visit 2:6\n"},
    {"an assistant alone", V "P,2026-03-04,progress,PTA,,,\n", "author-not-clinician 2:4\n"},
    {"a student alone", V "P,2026-03-04,evaluation,student,,,\n", "author-not-clinician 2:4\n"},
    {"a student, countersigned", V "P,2026-03-04,evaluation,student,,2026-03-05,\n", ""},
    {"an assistant's evaluation", V
     "P,2026-03-04,evaluation,PTA,,,\n", "author-not-clinician 2:4\n"},
    {"a student's progress report", V "P,2026-03-04,progress,student,,,\n",
     "author-not-clinician 2:4\n"},
    {"a student's re-evaluation", V "P,2026-03-04,re-evaluation,student,,,\n",
     "author-not-clinician 2:4\n"},
    {"a student at a visit", V "P,2026-03-04,visit,student,,,\n", ""},
    {"a student's evaluation, a therapist's reading",
     "patient_id,visit_date,visit_kind,role,joint,motion,side,test,value\n"
     "P,2026-03-04,evaluation,student,,,,,\nP,2026-03-04,,PT,hip,flexion,R,AROM,90\n", ""},
    {"an assistant at a visit", V "P,2026-03-04,visit,PTA,,,\n", ""},
    {"a therapist", V "P,2026-03-04,discharge,PT,,,\n", ""},
    {"nobody named", V "P,2026-03-04,evaluation,,,,\n", ""},
    {"an assistant's reading, a therapist's visit",
     "patient_id,visit_date,visit_kind,role,joint,motion,side,test,value\n"
     "P,2026-03-04,progress,PT,,,,,\nP,2026-03-04,,PTA,hip,flexion,R,AROM,90\n", ""},
    {"an assistant's readings",
     "patient_id,visit_date,visit_kind,role,joint,motion,side,test,value\n"
     "P,2026-03-04,progress,PTA,hip,flexion,R,AROM,90\n", "author-not-clinician 2:4\n"},
};

START_TEST(checks_across_rows)
{
    import(NULL, orders[_i].csv);
    ck_assert_msg(strcmp(buf_text(&said), orders[_i].said) == 0, "%s said:\n%s", orders[_i].name,
                  buf_text(&said));
    ck_assert_int_eq(tally.held, 0);
}
END_TEST

START_TEST(angles_are_counted)
{
    import(NULL, L "P,2026-03-04,hip,flexion,R,AROM,90\nP,2026-03-04,hip,flexion,L,AROM,90; 95\n"
                   "P,2026-03-04,hip,flexion,L,MMT,4\nP,2026-03-04,jaw,opening,,AROM,40\n"
                   "P,2026-03-04,knee,flexion,L,AROM,10-120\n"
                   "P,2026-03-04,elbow,flexion,L,AROM,NT\n");
    ck_assert_int_eq(tally.angles, 4);
    ck_assert_int_eq(tally.round_angles, 3);
}
END_TEST

START_TEST(facts_of_a_row)
{
    struct diag_sink quiet = {0};
    struct row row;
    struct tally t = {0};
    write_temp("patient_id,sex,note,visit_date\nP,,x,2026-03-04\nQ,f,,\n");
    struct import_source *src = import_open(path, 0, false, import_settings_default(), ref, &quiet);
    ck_assert_int_eq(import_next(src, &row, &t, &quiet), IMPORT_ROW);
    ck_assert(!import_row_has_facts(src, &row));
    ck_assert_int_eq(import_next(src, &row, &t, &quiet), IMPORT_ROW);
    ck_assert(import_row_has_facts(src, &row));
    /* Held for its likeness: every row once, with the other id. */
    struct diag_list l;
    diag_list_init(&l);
    struct row rows[2] = {row, row};
    import_hold_patient(rows, 2, &src, "00Q", &t, &l.sink);
    ck_assert_int_eq(t.held, 2);
    ck_assert_uint_eq(l.n, 2);
    ck_assert_str_eq(l.items[0].detail, "the list has 00Q");
    ck_assert_str_eq(l.items[0].text, "Q");
    ck_assert_int_eq(l.items[0].pos.column, 1);
    diag_list_clear(&l);
    import_note_id(&row, &src, "00Q", &l.sink);
    ck_assert_int_eq(l.items[0].code, DIAG_IDS_ALIKE);
    import_close(src);
    unlink(path);
    diag_list_release(&l);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import wide");
    TCase *c = tcase_create("wide");
    tcase_add_unchecked_fixture(c, load, release);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_loop_test(c, wide_rows, 0, (int)ARRAY_LEN(cases));
    tcase_add_test(c, a_wide_file_equals_its_long_twin);
    tcase_add_loop_test(c, pain_of_two_scores, 0, (int)ARRAY_LEN(pains));
    tcase_add_loop_test(c, checks_across_rows, 0, (int)ARRAY_LEN(orders));
    tcase_add_test(c, angles_are_counted);
    tcase_add_test(c, facts_of_a_row);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
