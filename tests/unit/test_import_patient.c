/* All rows of one patient to the model, by table: what is held back first, then what is read, what
 * is joined across rows, and that every row ends in exactly one count. */
#include "import/import_int.h"
#include "unit.h"

#include <string.h>
#include <unistd.h>

static struct reference *ref;
static const struct date today = {2026, 6, 1};

static struct arena *arena;
static struct buf said, model;
static struct tally tallies[3];
static const struct patient *patient;
static char paths[3][64];

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

static void set_up(void)
{
    arena = arena_new();
    buf_init(&said, 64 << 20);
    buf_init(&model, 64 << 20);
    memset(tallies, 0, sizeof tallies);
    for (int i = 0; i < 3; i++) {
        strcpy(paths[i], "/tmp/endfeel-patient-XXXXXX");
        int fd = mkstemp(paths[i]);
        ck_assert_int_ge(fd, 0);
        close(fd);
    }
}

static void tear_down(void)
{
    for (int i = 0; i < 3; i++)
        unlink(paths[i]);
    arena_free(arena);
    buf_release(&said);
    buf_release(&model);
}

static void put_diag(void *user, const struct diag *d)
{
    (void)user;
    if (import_is_once_a_file(d->code)) /* has a test of its own */
        return;
    buf_addf(&said, "%s %ld:%ld\n", diag_id(d->code), d->pos.line, d->pos.column);
}

/* Files -> rows -> bytes -> rows -> patient, as a batch does it. The last n_history are history. */
static void import(const char *const *files, const size_t *lens, int n, int n_history)
{
    struct import_source *sources[3];
    struct diag_sink sink = {.put = put_diag};
    struct buf packed;
    struct row rows[4000];
    size_t n_rows = 0, used = 0;
    buf_init(&packed, 64 << 20);
    buf_clear(&said);
    buf_clear(&model);
    for (int i = 0; i < n; i++) {
        FILE *f = fopen(paths[i], "w");
        ck_assert_ptr_nonnull(f);
        ck_assert_uint_eq(fwrite(files[i], 1, lens[i], f), lens[i]);
        fclose(f);
        sources[i] = import_open(paths[i], i, i >= n - n_history, import_settings_default(), ref,
                                 &sink);
        struct row row;
        while (sources[i] != NULL &&
               import_next(sources[i], &row, &tallies[i], &sink) == IMPORT_ROW) {
            row_pack(&row, &packed);
            n_rows++;
        }
    }
    ck_assert_uint_lt(n_rows, ARRAY_LEN(rows));
    for (size_t i = 0; i < n_rows; i++) {
        size_t len = row_unpack(packed.data + used, packed.len - used, arena, &rows[i]);
        ck_assert_uint_gt(len, 0);
        used += len;
    }
    patient = import_patient(rows, n_rows, sources, ref, today, arena, tallies, &sink);
    char why[200] = "";
    ck_assert_msg(model_check(patient, why, sizeof why), "%s", why);
    model_dump(patient, &model);
    for (int i = 0; i < n; i++) {
        const struct tally *t = &tallies[i];
        ck_assert_int_eq(t->rows_in, t->used + t->duplicates + t->held);
        import_close(sources[i]);
    }
    buf_release(&packed);
}

static void import_one(const char *file)
{
    size_t len = strlen(file);
    import(&file, &len, 1, 0);
}

/* Each line of `wanted` stands somewhere in the text; a line that begins with '!' does not. */
static void contains(const char *text, const char *wanted, const char *name)
{
    char line[400];
    while (*wanted != '\0') {
        size_t len = strcspn(wanted, "\n");
        ck_assert_uint_lt(len, sizeof line);
        memcpy(line, wanted, len);
        line[len] = '\0';
        bool absent = line[0] == '!';
        bool found = strstr(text, absent ? line + 1 : line) != NULL;
        ck_assert_msg(found != absent, "%s: '%s' in:\n%s", name, line, text);
        wanted += len + (wanted[len] == '\n');
    }
}

struct case_row {
    const char *name, *file;
    long used, duplicates, held;
    const char *said;  /* every report, in order */
    const char *model; /* lines that the model holds, or with '!' does not hold */
};

static void run_case(const struct case_row *c)
{
    import_one(c->file);
    ck_assert_msg(strcmp(buf_text(&said), c->said) == 0, "%s said:\n%s", c->name, buf_text(&said));
    contains(buf_text(&model), c->model, c->name);
    const struct tally *t = &tallies[0];
    ck_assert_msg(t->used == c->used && t->duplicates == c->duplicates && t->held == c->held,
                  "%s: %ld used %ld duplicates %ld held", c->name, t->used, t->duplicates, t->held);
}

#define M "patient_id,visit_date,joint,motion,side,test,value"
#define D "P,2026-03-04,"

/* ---- held back ----------------------------------------------------------------------------- */

static const struct case_row held[] = {
    {"id shortened", "patient_id,name\n1.23E+05,A\n1.23E+05,B\n", 0, 0, 2,
     "id-shortened 2:1\nid-shortened 3:1\n", "patient \"1.23E+05\" held\n!name="},
    {"id a formula", "patient_id,name\n=A1,A\n", 0, 0, 1, "cell-formula 2:1\n", " held\n"},
    {"id an error", "patient_id,name\n#REF!,A\n", 0, 0, 1, "cell-spreadsheet-error 2:1\n",
     " held\n"},
    {"two birth dates", "patient_id,birth_date\nP,1970-01-02\nP,1971-01-02\nP,\n", 0, 0, 3,
     "two-people 2:2\ntwo-people 3:2\n", "patient \"P\" held\n!birth-date"},
    {"two sexes", "patient_id,sex\nP,female\nP,m\n", 0, 0, 2, "two-people 2:2\ntwo-people 3:2\n",
     "patient \"P\" held\n!sex="},
    {"a fact in two ways", "patient_id,referrer,name\nP,Dr Ash,A\nP,Dr Elm,a\nP,Dr Ash,\n", 1, 0, 2,
     "fact-contradicts 2:2\nfact-contradicts 3:2\n", "name=\"A\"\n!referrer\n! held"},
    {"no such day", M "\nP,2026-02-30,knee,flexion,R,AROM,120\n", 0, 0, 1, "cell-day-none 2:2\n",
     "!visit 2026\n"},
    {"a date of two orders", M "\nP,03/04/2026,knee,flexion,R,AROM,120\n", 0, 0, 1,
     "cell-day-order 2:2\n", "!visit 2026\n"},
    {"a future visit", M "\nP,2026-06-02,knee,flexion,R,AROM,120\n", 0, 0, 1, "date-future 2:2\n",
     "!visit 2026\n"},
    {"today is no future", M "\nP,2026-06-01,hip,flexion,R,AROM,120\n", 1, 0, 0, "",
     "visit 2026-06-01\n"},
    {"a reading without a visit", M "\nP,,knee,flexion,R,AROM,120\n", 0, 0, 1,
     "visit-date-missing 2:2\n", "!reading\n"},
    {"a visit fact without a visit", "patient_id,visit_date,plan,pain_rest\nP,,home,3\n", 0, 0, 1,
     "visit-date-missing 2:3\n", "!plan\n"},
    {"a birth to come", "patient_id,birth_date\nP,2026-12-01\n", 0, 0, 1, "date-future 2:2\n",
     "!birth-date\n"},
    {"before birth",
     "patient_id,visit_date,birth_date,onset_date\nP,1969-12-31,1970-01-01,1969-01-01\n", 0, 0, 1,
     "date-before-birth 2:4\ndate-before-birth 2:2\n",
     "visit 1969-12-31 held\nbirth-date=1970-01-01\n!onset-date="},
    {"age off", "patient_id,visit_date,birth_date,age\nP,2026-03-04,1970-01-01,46\n", 0, 0, 1,
     "age-unfit 2:4\n", "!age=\nbirth-date=1970-01-01\n"},
    {"two kinds on one date",
     "patient_id,visit_date,visit_kind,plan\n" D "visit,\n" D "discharge,\n" D ",home\n", 0, 0, 3,
     "visit-two-kinds 2:3\nvisit-two-kinds 3:3\n", "visit 2026-03-04 held\n!kind="},
    {"a kind unknown", "patient_id,visit_date,visit_kind\n" D "disharge\n", 0, 0, 1,
     "word-unknown 2:3\n", "visit 2026-03-04\n!kind="},
    {"debris in a text", "patient_id,name,referrer\nP,#REF!,=B2\n", 0, 0, 1,
     "cell-spreadsheet-error 2:2\ncell-formula 2:3\n", "!name=\n!referrer="},
    {"numbers", "patient_id,visit_date,age,body_mass_kg,treatment_day\n" D "200,heavy,0\n", 0, 0, 1,
     "number-outside 2:3\nnumber-unknown 2:4\nnumber-outside 2:5\n", "!age=\n!mass-kg=\n!day="},
    {"thousands or decimals", "patient_id,body_mass_kg\nP,\"1,180\"\n", 0, 0, 1,
     "number-unknown 2:2\n", "!mass-kg="},
    {"cells without a reading", "patient_id,visit_date,note,side\n" D "words,R\n", 0, 0, 1,
     "cell-unused 2:3\ncell-unused 2:4\n", "visit 2026-03-04\n"},
    /* place */
    {"a value without a motion", M "\n" D ",,R,AROM,120\n", 0, 0, 1, "motion-missing 2:7\n",
     "!reading\n"},
    {"an unknown motion", M "\n" D "knee,felxion,R,AROM,120\n", 0, 0, 1, "motion-unknown 2:4\n",
     "!reading\ndetail=\"nearest known: knee flexion\""},
    {"an unknown joint", M "\n" D "kne,flexion,R,AROM,120\n", 0, 0, 1, "motion-unknown 2:3\n",
     "detail=\"nearest known: knee\""},
    {"no motion of this joint", M "\n" D "knee,scaption,R,AROM,50\n" D "thumb,flexion,R,AROM,50\n"
     D "lumbar,flexion,,AROM,50\n", 0, 0, 3,
     "motion-unknown 2:4\nmotion-unknown 3:3\nmotion-unknown 4:3\n",
     "detail=\"known: flexion, extension\"\ndetail=\"known: thumb-cmc, thumb-mcp, thumb-ip\"\n"
     "field=\"joint\" text=\"lumbar\"\n"},
    {"goals that are no number", M ",goal_id,goal_value\n" D "knee,extension,R,AROM,0,G,lacks 2\n",
     0, 0, 1, "number-unknown 2:9\n",
     "detail=\"on the angle scale: 120, or -2 for 2 short of zero\""},
    {"a motion of two meanings", M "\n" D "shoulder,rotation,R,AROM,50\n", 0, 0, 1,
     "motion-unknown 2:4\n", "!reading\n"},
    {"no side", M "\n" D "knee,flexion,,AROM,120\n", 0, 0, 1, "side-missing 2:5\n",
     "reading knee flexion AROM held-back text=\"120\" line=2 column=7\n!end="},
    {"a side of the midline", M "\n" D "cervical,flexion,L,AROM,40\n", 0, 0, 1,
     "side-on-midline 2:5\n", "reading cervical flexion AROM held-back\n"},
    {"midline of two sides", M "\n" D "knee,flexion,midline,AROM,120\n", 0, 0, 1,
     "side-midline-unfit 2:5\n", "reading knee flexion AROM held-back\n"},
    {"one angle for two limbs", M "\n" D "knee,flexion,both,AROM,120\n", 0, 0, 1,
     "cell-side-both 2:5\n", "reading knee flexion AROM held-back\n"},
    {"a joint of another side", M "\n" D "L knee,flexion,R,AROM,120\n", 0, 0, 1,
     "side-differs 2:5\n", "reading knee flexion AROM held-back\n!end="},
    {"a limb of another side", M "\n" D "L knee,flexion,RLE,AROM,120\n", 0, 0, 1,
     "side-differs 2:5\n", "reading knee flexion AROM held-back\n!end="},
    {"a joint of two sides", M "\n" D "R/L knee,flexion,,AROM,120\n", 0, 0, 1,
     "motion-unknown 2:3\n", "!reading\n"},
    {"the side of another joint", M "\n" D "knee,flexion,Right hip,AROM,120\n" D
     "knee,extension,BUE,MMT,5/5\n", 0, 0, 2,
     "cell-side-other-joint 2:5\ncell-side-other-joint 3:5\n",
     "reading knee flexion AROM held-back\nreading knee extension MMT held-back\n!right\n!left"},
    {"two knees", M "\n" D "knee,flexion,both knees,AROM,120\n", 0, 0, 1,
     "cell-side-both 2:5\n", "reading knee flexion AROM held-back\n"},
    {"a joint of a side and two readings", M "\n" D "L knee,flexion,,AROM,R 118 L 130\n", 0, 0, 1,
     "reading-split 2:7\npart-contradicts 2:7\n", "left AROM measured end=130\n!end=118"},
    {"no test", M "\n" D "knee,flexion,R,,120\n", 0, 0, 1, "test-missing 2:6\n",
     "reading knee flexion right held-back\n"},
    {"active or passive", M "\n" D "knee,flexion,R,ROM,120\n", 0, 0, 1, "cell-test-rom 2:6\n",
     "held-back\n"},
    {"no angle of this motion", M "\n" D "scapula,elevation,R,AROM,20\n", 0, 0, 1,
     "test-unfit 2:6\n", "scapula elevation right AROM held-back\n"},
    {"no strength of this motion", M "\n" D "jaw,protrusion,,MMT,5\n", 0, 0, 1, "test-unfit 2:6\n",
     "jaw protrusion midline MMT held-back\n"},
    {"digits", M ",digit\n" D "finger-pip,flexion,R,AROM,90,\n" D "finger-pip,flexion,R,AROM,90,1\n"
     D "knee,flexion,R,AROM,120,2\n" D "toe-mtp,flexion,R,AROM,30,1\n"
     D "finger-pip,flexion,L,AROM,90,2.5\n", 1, 0, 4,
     "digit-missing 2:8\ndigit-outside 3:8\ndigit-unfit 4:8\ndigit-outside 6:8\n",
     "toe-mtp flexion right digit=1 AROM measured\n"},
    {"try, timing, technique", M ",try,timing,technique\n" D "hip,flexion,R,AROM,90,0,,\n"
     D "hip,flexion,L,AROM,90,,later,\n" D "hip,flexion,R,PROM,90,,,push\n"
     D "hip,flexion,L,PROM,90,1.5,,\n", 0, 0, 4,
     "number-outside 2:8\nword-unknown 3:9\nword-unknown 4:10\nnumber-unknown 5:8\n",
     "hip flexion right AROM held-back\nhip flexion left AROM held-back\n"
     "hip flexion right PROM held-back\nhip flexion left PROM held-back\n"},
    /* Two scales of grades: a bare 5 beside an 8 may be fair. What has a step, a name or a /5 is of
     * one scale, and so is the visit of another day. */
    {"an eight among grades", M "\n" D "knee,flexion,R,MMT,8\n" D "knee,extension,R,MMT,5\n"
     D "hip,flexion,R,MMT,4+\n" D "hip,flexion,L,MMT,4/5\n" D "knee,extension,L,MMT,good\n"
     "P,2026-04-01,knee,extension,R,MMT,5\n", 4, 0, 2,
     "cell-grade-other-scale 2:7\ncell-grade-other-scale 3:7\n",
     "knee flexion right MMT held-back text=\"8\"\nknee extension right MMT held-back text=\"5\"\n"
     "hip flexion right MMT measured grade=4+ text=\"4+\"\n"
     "knee extension right MMT measured grade=5 text=\"5\""},
    {"eleven is on no scale", M "\n" D "knee,flexion,R,MMT,11\n" D "knee,extension,R,MMT,5\n", 1, 0,
     1, "cell-grade-unknown 2:7\n", "knee extension right MMT measured grade=5 text=\"5\""},
    /* value */
    {"a value not understood", M "\n" D "knee,flexion,R,AROM,bananas\n", 0, 0, 1,
     "cell-not-understood 2:7\n", "knee flexion right AROM held-back text=\"bananas\"\n"},
    {"beyond the joint", M ",start_deg,end_deg\n" D "knee,flexion,R,AROM,,0,171\n"
     D "knee,flexion,L,AROM,,-31,120\n" D "jaw,opening,,AROM,,,-4\n", 0, 0, 3,
     "cell-out-of-range 2:9\ncell-out-of-range 3:8\ncell-out-of-range 4:9\n", "!end=\n"},
    {"start beyond end", M ",start_deg,end_deg\n" D "knee,flexion,R,AROM,,60,20\n", 0, 0, 1,
     "start-beyond-end 2:8\n", "!end="},
    {"start without end", M ",start_deg,end_deg\n" D "knee,flexion,R,AROM,,10,\n", 0, 0, 1,
     "start-without-end 2:8\n", "!start="},
    {"two value columns", M ",end_deg,grade\n" D "knee,flexion,R,AROM,120,120,\n"
     D "knee,flexion,L,AROM,120,,4\n" D "knee,flexion,R,MMT,4,,4\n" D "knee,flexion,L,MMT,,90,\n"
     D "hip,flexion,L,force,,90,\n", 0, 0, 5,
     "value-columns 2:7\nvalue-columns 3:9\nvalue-columns 4:9\nvalue-columns 5:8\n"
     "value-columns 6:8\n", "!measured\n"},
    {"units", M ",unit\n" D "knee,flexion,R,AROM,120,N\n" D "knee,flexion,R,MMT,5,kg\n"
     D "jaw,opening,,AROM,40,deg\n", 0, 0, 3, "cell-unit 2:7\ncell-unit 3:8\ncell-unit 4:7\n",
     "!measured\n"},
    {"a part against its row", M "\n" D "knee,flexion,R,AROM,R 118 L 130\n", 0, 0, 1,
     "reading-split 2:7\npart-contradicts 2:7\n",
     "knee flexion right AROM measured end=118\nknee flexion left AROM held-back\n"},
    /* forces */
    {"forces", M ",unit\n" D "knee,flexion,R,force,110,\n" D "knee,flexion,L,force,110,stone\n"
     D "hip,flexion,R,force,110 N,kgf\n" D "hip,flexion,L,force,-3,N\n"
     D "hip,extension,R,force,strong,N\n" D "hip,extension,L,force,1e3,N\n"
     D "hip,abduction,R,force,3;;4,N\n", 0, 0, 7,
     "force-unit-missing 2:7\nforce-unit-unknown 3:7\nforce-units-differ 4:7\nforce-negative 5:7\n"
     "force-unknown 6:7\nforce-unknown 7:7\nforce-unknown 8:7\n", "!measured\n"},
    {"a force beyond limbs", M ",unit\n" D "knee,flexion,R,force,2600,lb\n"
     D "knee,flexion,L,force,5000,N\n", 1, 0, 1, "force-too-large 2:7\n", "force-n=5000\n!11565"},
    {"numbers in another unit", "patient_id,age,body_mass_kg\nP,5 months,11 stone\n"
     "P,,1600 lbs\n", 0, 0, 2, "number-unknown 2:2\nnumber-unknown 2:3\nnumber-outside 3:3\n",
     "!age\n!body-mass"},
    {"facts of both sides", "patient_id,affected_side,dominant_side\nP,both,RHD\nP,,ambidextrous\n",
     0, 0, 2, "cell-side-unknown 2:3\nside-of-both 2:2\ncell-side-unknown 3:3\n", "!side="},
    {"tests of two kinds", M "\n" D "knee,flexion,R,AROM MMT,100\n" D "knee,flexion,R,range,100\n"
     D "knee,flexion,R,AROM PROM deg,100\n" D "knee,flexion,R,deg,100\n"
     D "knee,flexion,R,act,100\n", 0, 0, 5, "cell-test-unknown 2:6\ncell-test-rom 3:6\n"
     "cell-test-unknown 4:6\ncell-test-unknown 5:6\ncell-test-unknown 6:6\n", "!end="},
    {"a lever", M ",unit,lever_cm\n" D "knee,flexion,R,force,110,N,0.3\n"
     D "knee,flexion,R,AROM,110,,30\n", 0, 0, 2, "number-outside 2:9\ncell-unused 3:9\n",
     "force measured unit=N force-n=110\n!lever-m\nAROM measured end=110\n"},
    /* beside the value: the reading stands */
    {"beside the value", M ",pain,pain_from,pain_to,end_feel,role,compensation\n"
     D "hip,flexion,R,PROM,90 firm,11,80,60,hard,boss,a;b;c;d;e;f;g\n", 0, 0, 1,
     "word-unknown 2:12\ncell-pain-outside 2:8\npain-arc-order 2:9\n"
     "compensations-many 2:13\nend-feel-differs 2:11\n",
     "hip flexion right PROM measured end=90\n!pain-from\n!pain-score\ncompensation=\"f\"\n"},
    {"positions that contradict", M ",position\n" D "ankle,dorsiflexion,R,AROM,8,KE/KF\n"
     D "ankle,dorsiflexion,L,AROM,8 KE,knee bent\n" D "ankle,dorsiflexion,L,PROM,8 KE KF,\n"
     D "hip,flexion,R,MMT,2 GE,against gravity\n" D ",,,,,AG or GE\n"
     D "hip,flexion,R,MMT,4 AG,\n" D "hip,flexion,L,MMT,5/5,GM\n", 1, 0, 6,
     "position-unclear 2:8\nposition-unclear 3:7\nposition-unclear 4:7\nposition-unclear 5:7\n"
     "position-unclear 6:8\nposition-unclear 8:8\n",
     "grade=4 position=\"against gravity\"\n!grade=2\n!grade=5\n!end="},
    /* across rows */
    {"two values for one reading", M "\n" D "hip,flexion,R,AROM,90\n" D "hip,flexion,R,AROM,95\n"
     D "hip,flexion,R,AROM,90\n", 0, 1, 2,
     "row-duplicate 4:1\nreadings-differ 3:7\nreadings-differ 2:7\n", "!measured\n!end="},
    {"two details for one reading", M ",end_feel\n" D "hip,flexion,R,PROM,90,firm\n"
     D "hip,flexion,R,PROM,90,hard\n", 0, 0, 2, "readings-differ 3:7\nreadings-differ 2:7\n",
     "!measured\n"},
    {"opposite beyond 5", M "\n" D "knee,flexion,R,AROM,10-120\n" D "knee,extension,R,AROM,0\n"
     D "knee,extension,L,AROM,0\n", 1, 0, 2, "opposite-differs 3:7\nopposite-differs 2:7\n",
     "knee flexion right AROM held-back\nknee extension right AROM held-back\n"
     "knee extension left AROM measured end=0\n!derived"},
    /* goals and limits */
    {"goals", M ",goal_id,goal_value,goal_due\n" D "knee,flexion,R,AROM,,G1,,\n"
     D "knee,flexion,L,AROM,,G2,999,\n" D ",,,,,G3,100,\n" D "knee,flexion,R,PROM,,G4,100,31/31\n"
     D "knee,flexion,R,,,G5,100,\n" D "hip,flexion,R,MMT,,G6,9,\n", 0, 0, 6,
     "cell-out-of-range 3:9\ngoal-no-motion 4:9\ncell-day-unknown 5:10\ntest-missing 6:6\n"
     "cell-grade-other-scale 7:9\ngoal-no-value 2:9\n", "!goal id"},
    {"a goal in two ways", M ",goal_id,goal_value\n" D "knee,flexion,R,AROM,,G1,120\n"
     D "knee,flexion,R,AROM,,G1,125\n", 0, 0, 2, "goal-contradicts 2:9\ngoal-contradicts 3:9\n",
     "!goal id"},
    {"limits", "patient_id,joint,motion,side,limit_kind,limit_value,limit_from,limit_until\n"
     "P,knee,flexion,R,range,,,\nP,,,,range,90,,\nP,knee,flexion,R,,90,,\nP,,,,rage,90,,\n"
     "P,knee,flexion,R,range,90,2026-03-04,2026-03-01\nP,knee,flexion,,range,90,,\n", 0, 0, 6,
     "limit-no-value 2:6\nlimit-no-motion 3:5\nlimit-no-kind 4:5\nword-unknown 5:5\n"
     "limit-dates 6:8\nside-missing 7:4\n", "!limit"},
};

START_TEST(held_back)
{
    run_case(&held[_i]);
}
END_TEST

/* ---- read ---------------------------------------------------------------------------------- */

static const struct case_row read_cases[] = {
    {"patient alone", "patient_id,name,birth_date,sex,dominant_side,body_mass_kg,diagnosis,"
     "diagnosis_code,onset_date,surgery_date,procedure,weight_bearing,affected_side,referrer,"
     "referrer_address,referral_reason,plan_start,certified_on\n"
     "P,Ann Reed,1970-01-02,F,right,\"70,5\",stiff knee,M25.661,2026-01-05,2026-02-01,repair,"
     "partial,L,Dr Ash,1 Ash Lane,range,2026-02-03,2026-02-04\n", 1, 0, 0, "",
     "patient \"P\" name=\"Ann Reed\" birth-date=1970-01-02 sex=female dominant-side=right "
     "body-mass-kg=70.5\n"
     "episode diagnosis=\"stiff knee\" diagnosis-code=\"M25.661\" procedure=\"repair\" "
     "weight-bearing=\"partial\" affected-side=left onset-date=2026-01-05 surgery-date=2026-02-01 "
     "plan-start=2026-02-03 certified-on=2026-02-04 referrer=\"Dr Ash\" "
     "referrer-address=\"1 Ash Lane\" referral-reason=\"range\"\n!visit 2"},
    {"the side beside its joint", M "\n" D "knee,flexion,Right knee,AROM,100\n" D
     "L knee,flexion,,AROM,120\n" D "rt hip,flexion,R,AROM,90\n", 3, 0, 0, "",
     "knee flexion right AROM measured end=100\nknee flexion left AROM measured end=120\n"
     "hip flexion right AROM measured end=90"},
    {"the side of a goal", "patient_id,visit_date,joint,motion,test,goal_id,goal_value,goal_due\n"
     D "L knee,flexion,AROM,G1,120,2026-05-01\n", 1, 0, 0, "",
     "goal id=\"G1\" knee flexion left AROM value=120"},
    {"a grade of both knees", M "\n" D "knee,extension,BLE,MMT,4/5\n", 1, 0, 0,
     "reading-both-sides 2:5\n", "right MMT measured grade=4\nleft MMT measured grade=4"},
    {"the joint that many name", M "\n" D "ankle,inversion,R,AROM,20\n" D
     "elbow,pronation,left elbow,AROM,70\n" D "R wrist,sup,,AROM,75\n" D
     "Knee joint,flexion,L,AROM,120\n", 4, 0, 0, "",
     "subtalar inversion right AROM measured end=20\nforearm pronation left AROM measured end=70\n"
     "forearm supination right AROM measured end=75\nknee flexion left AROM measured end=120"},
    {"a digit by its name", M ",digit\n" D "finger-pip,flexion,R,AROM,90,D3\n"
     D "finger-pip,flexion,L,AROM,80,Index\n" D "toe-mtp,flexion,R,AROM,30,great toe\n"
     D "finger-mcp,flexion,R,AROM,70,4th\n", 4, 0, 0, "",
     "right digit=3 AROM measured end=90\nleft digit=2 AROM measured end=80\n"
     "right digit=1 AROM measured end=30\nright digit=4 AROM measured end=70"},
    {"spellings of a test", M "\n" D "hip,flexion,R,AROM (active),100\n"
     D "hip,flexion,R,MMT (0-5),4\n" D "hip,flexion,L,manual muscle testing,3\n"
     D "hip,abduction,L,Strength (MMT),2\n", 4, 0, 0, "",
     "right AROM measured end=100\nright MMT measured grade=4\nleft MMT measured grade=3\n"
     "abduction left MMT measured grade=2"},
    {"words of the other columns", M ",role,timing,end_feel,technique\n"
     D "hip,flexion,R,PROM,100,P.T.,pre tx,tissue stretch,\n"
     D "hip,flexion,L,PROM,100,student PT,Post-treatment,bone to bone,\n"
     D "hip,flexion,L,force,100 kilograms,SPTA,,,break test\n", 3, 0, 0, "",
     "before end=100 role=PT end-feel=firm\nafter end=100 role=student end-feel=hard\n"
     "technique=break"},
    {"pounds, years and a hand", "patient_id,visit_date,age,body_mass_kg,dominant_side\n"
     "P,3/14/2026 9:30 AM,46 years old,154 lbs,right-handed\n", 1, 0, 0,
     "cell-unit-converted 2:4\n", "dominant-side=right\nvisit 2026-03-14\nage=46\n"
     "body-mass-kg=69.8532"},
    {"id alone", "patient_id,name\nP,\n", 1, 0, 0, "", "patient \"P\"\n"},
    {"placeholders", "patient_id,name,age,sex,referrer,birth_date\nP,-,n/a,unknown,?,\n", 1, 0, 0,
     "", "!name=\n!age=\n!sex=\n!referrer\n!birth"},
    {"later rows add", "patient_id,name,sex\nP,Ann,\nP,,f\nP,ANN,female\n", 3, 0, 0, "",
     "name=\"Ann\" sex=female\n"},
    {"a visit", "patient_id,visit_date,visit_kind,treatment_day,measured_by,role,supervisor,"
     "signed_on,countersigned_on,plan,question_to_referrer,pain_rest,pain_move,protocol,"
     "outcome_name,outcome_score,position,tool\n"
     D "re-eval,4,Kim,SPT,Lee,2026-03-04,2026-03-05,home,weight?,2/10,3-4,mrc-SUM,LEFS,40/80,"
     "supine,goniometer\n", 1, 0, 0, "cell-pain-range 2:13\n",
     "visit 2026-03-04 kind=re-evaluation treatment-day=4 by=\"Kim\" role=student "
     "supervisor=\"Lee\" position=\"supine\" tool=\"goniometer\" signed-on=2026-03-04 "
     "countersigned-on=2026-03-05 plan=\"home\" question=\"weight?\" protocol=\"MRC-sum\" "
     "outcome-name=\"LEFS\" outcome-score=\"40/80\" pain-rest=2 pain-move=3-4\n"},
    {"facts that change", "patient_id,visit_date,age,body_mass_kg,weight_bearing\n"
     D "55,70,none\nP,2026-04-01,56,70,full\n", 2, 0, 0, "",
     "patient \"P\" body-mass-kg=70\nvisit 2026-03-04 age=55 body-mass-kg=70 "
     "weight-bearing=\"none\"\nvisit 2026-04-01 age=56 body-mass-kg=70 weight-bearing=\"full\"\n"},
    {"before onset", "patient_id,visit_date,onset_date\nP,2026-03-04,2026-03-05\n", 1, 0, 0,
     "date-before-onset 2:2\n", "visit 2026-03-04\nproblem date-before-onset line=2\n"},
    {"on the day of onset", "patient_id,visit_date,onset_date\nP,2026-03-04,2026-03-04\n", 1, 0, 0,
     "", "visit 2026-03-04\n!problem"},
    {"on the day of birth", "patient_id,visit_date,birth_date\nP,1970-01-01,1970-01-01\n", 1, 0,
     0, "", "visit 1970-01-01\n! held"},
    {"visits in order of date", "patient_id,visit_date\nP,2026-03-04\nP,2025-12-30\n", 2, 0, 0, "",
     "episode\nvisit 2025-12-30\nvisit 2026-03-04\n"},
    /* readings */
    {"angles", M "\n" D "knee,flexion,R,AROM,0-120\n" D "shoulder,flexion,L,PROM,170\n", 2, 0,
     0, "",
     "knee flexion right AROM measured start=0 end=120\n"
     "knee extension right AROM measured end=0 derived\n"
     "shoulder flexion left PROM measured end=170 text=\"170\"\n!shoulder extension"},
    {"as far as the joint goes", M ",start_deg,end_deg\n" D "knee,flexion,R,AROM,,0,170\n"
     D "knee,flexion,L,AROM,,-30,120\n" D "jaw,opening,,AROM,,,0\n", 3, 0, 0, "",
     "knee flexion right AROM measured start=0 end=170\n"
     "knee flexion left AROM measured start=-30 end=120\n"
     "jaw opening midline AROM measured end=0\n"},
    {"columns of degrees", M ",start_deg,end_deg\n" D "knee,flexion,R,AROM,,-5,140\n"
     D "elbow,extension,L,AROM,,,-10\n", 2, 0, 0, "",
     "knee flexion right AROM measured start=-5 end=140\n"
     "knee extension right AROM measured end=5 derived\n"
     "elbow extension left AROM measured end=-10\n"},
    {"grades", M ",grade\n" D "knee,extension,R,MMT,4+/5,\n" D "knee,extension,L,,,4\n", 2, 0,
     0, "",
     "knee extension right MMT measured grade=4+\nknee extension left MMT measured grade=4\n"},
    {"a grade of both sides", M "\n" D "knee,extension,B,MMT,5/5\n", 1, 0, 0,
     "reading-both-sides 2:5\n",
     "knee extension right MMT measured grade=5 noted=reading-both-sides\n"
     "knee extension left MMT measured grade=5 noted=reading-both-sides\n"},
    {"several readings in a cell", M "\n" D "hip,flexion,,AROM,R 100 L 110\n"
     D "hip,abduction,R,,A30 P40\n" D "hip,adduction,R,ROM,A20 P25\n", 3, 0, 0,
     "reading-split 2:7\nreading-split 3:7\nreading-split 4:7\n",
     "hip flexion right AROM measured end=100\nhip flexion left AROM measured end=110\n"
     "hip abduction right AROM measured end=30\nhip abduction right PROM measured end=40\n"
     "hip adduction right PROM measured end=25\n"},
    {"heel rises", M ",position,repetitions\n" D "ankle,plantar-flexion,R,MMT,4,standing,14\n"
     D "ankle,plantar-flexion,L,MMT,2+,prone,0\n" D "ankle,dorsiflexion,L,MMT,4,,1.5\n"
     D "ankle,dorsiflexion,R,AROM,12,,3\n", 2, 0, 2,
     "number-unknown 4:9\ncell-unused 5:9\n",
     "ankle dorsiflexion right AROM measured end=12\n"
     "ankle dorsiflexion left MMT measured grade=4\n"
     "ankle plantar-flexion right MMT measured grade=4 repetitions=14\n"
     "ankle plantar-flexion left MMT measured grade=2+ repetitions=0\n"},
    {"forces", M ",unit,lever_cm\n" D "knee,extension,R,force,\"110; 120\",N,32\n"
     D "knee,extension,L,force,10 kgf,,\n" D "hip,flexion,L,force,\"10,5\",lbf,32 cm\n"
     D "hip,flexion,R,force,NT (pain),N,\n" D "hip,extension,R,force,,,\n", 5, 0, 0,
     "cell-tries 2:7\ncell-blank 6:7\n",
     "knee extension right force measured tries=110;120 unit=N force-n=115 lever-m=0.32\n"
     "knee extension left force measured unit=N force-n=98.0665\n"
     "hip flexion left force measured unit=N force-n=46.7063 lever-m=0.32\n"
     "hip flexion right force not-tested\nhip extension right force not-recorded\n"},
    {"millimetres", M ",unit\n" D "jaw,opening,,AROM,4.2,cm\n"
     D "thumb-cmc,opposition,R,AROM,12,mm\n",
     2, 0, 0, "cell-unit-converted 2:7\ncell-unit-converted 3:7\n",
     "jaw opening midline AROM measured end=42 unit=mm\n"
     "thumb-cmc opposition right AROM measured end=1.2 unit=cm\n"},
    {"not measured", M ",reason\n" D "hip,flexion,R,AROM,,\n" D "hip,flexion,L,AROM,NT - cast,\n"
     D "hip,extension,L,AROM,NT,sore\n" D "hip,abduction,L,AROM,n/a,\n"
     D "hip,adduction,L,AROM,WNL,\n",
     5, 0, 0, "cell-blank 2:7\ncell-normal-no-angle 6:7\n",
     "hip flexion right AROM not-recorded\n"
     "hip flexion left AROM not-tested status-reason=\"cast\"\n"
     "hip extension left AROM not-tested status-reason=\"sore\"\n"
     "hip abduction left AROM not-applicable\nhip adduction left AROM no-angle\n!end="},
    {"everything beside",
     M ",position,tool,timing,muscle,technique,end_feel,pain,pain_from,pain_to,"
     "compensation,note,try,corrected_on\n"
     D "shoulder,abduction,R,PROM,90,supine,long-arm goniometer,post,,,bony,4/10,60,80,"
     "Shoulder hike; odd lean,slow,2,2026-03-05\n" D "shoulder,abduction,R,MMT,4,,,,deltoid,break,"
     ",yes,,,,,,\n", 2, 0, 0, "reading-corrected 2:20\n",
     "shoulder abduction right PROM measured timing=after end=90 try=2 position=\"supine\" "
     "tool=\"long-arm goniometer\" end-feel=hard pain pain-score=4 pain-from=60 pain-to=80 "
     "compensation=\"shoulder-hike\" compensation=\"odd lean\" note=\"slow\" "
     "noted=reading-corrected\n"
     "shoulder abduction right MMT measured grade=4 muscle=\"deltoid\" technique=break pain "
     "text\n"},
    {"position in the cell", M ",position\n" D "hip,flexion,R,AROM,62 supine,\n"
     D "shoulder,external-rotation,R,AROM,62 @90 abd,supine\n", 2, 0, 0, "",
     "position=\"supine\"\nposition=\"supine, 90 abduction\"\n"},
    {"position in our words", M ",position\n" D "ankle,dorsiflexion,R,AROM,8,K.E.\n"
     D "ankle,dorsiflexion,L,AROM,8 KE,supine\n" D "knee,flexion,R,MMT,2,sidelying/GE\n"
     D "knee,flexion,L,AROM,100,KE\n" D "ankle,dorsiflexion,R,PROM,9,knee over roll\n"
     D "ankle,dorsiflexion,R,AROM,8,knee straight\n", 5, 1, 0,
     "position-as-typed 6:8\nreading-again 7:7\n",
     "end=8 position=\"knee straight\"\nend=8 position=\"supine, knee straight\"\n"
     "grade=2 position=\"side-lying, gravity-minimised\"\nend=100 position=\"KE\"\n"
     "end=9 position=\"knee over roll\"\n"},
    {"friendly spellings", M "\n" D "Shoulder ER,,R,AROM,80\n" D ",ankle DF,R,AROM,10\n"
     D "neck,Side Bending,L,AROM,30\n", 3, 0, 0, "",
     "shoulder external-rotation right AROM\nankle dorsiflexion right AROM\n"
     "cervical lateral-flexion left AROM\n"},
    /* defaults of the visit */
    {"lent by the visit", M ",measured_by,role,supervisor,position,tool\n"
     D ",,,,,Kim,student,Lee,supine,goniometer\n" D "hip,flexion,R,AROM,100,,,,,\n"
     D "hip,flexion,L,AROM,100,Ash,,,prone,tape\n" D "hip,flexion,R,MMT,4,,,,,\n", 4, 0, 0, "",
     "right AROM measured end=100 position=\"supine\" tool=\"goniometer\" by=\"Kim\" role=student "
     "supervisor=\"Lee\"\n"
     "left AROM measured end=100 position=\"prone\" tool=\"tape\" by=\"Ash\" text\n"
     "right MMT measured grade=4 position=\"supine\" by=\"Kim\"\n"},
    {"defaults that differ are not lent", M ",position\n" D ",,,,,supine\n" D ",,,,,prone\n"
     D "hip,flexion,R,AROM,100,\n", 1, 0, 2, "fact-contradicts 2:8\nfact-contradicts 3:8\n",
     "AROM measured end=100 text\n"},
    /* across rows */
    {"the same row twice", M "\n" D "hip,flexion,R,AROM,100\n" D "hip,flexion,R,AROM,100\n",
     1, 1, 0,
     "row-duplicate 3:1\n", "AROM measured end=100\n"},
    {"the same reading in other words", M ",note,end_feel\n" D "hip,flexion,Right,PROM,100,,\n"
     D "hip,flexion,R,PROM,100°,slow,firm\n", 1, 1, 0, "reading-again 3:7\n",
     "PROM measured end=100 end-feel=firm note=\"slow\" text=\"100\"\n"},
    {"a blank gives way", M "\n" D "hip,flexion,R,AROM,\n" D "hip,flexion,R,AROM,100\n", 2, 0, 0,
     "cell-blank 2:7\n", "AROM measured end=100\n! not-recorded"},
    {"what tells readings apart", M ",try,position,tool,timing,measured_by,technique,muscle\n"
     D "hip,flexion,R,AROM,100,,,,,,,\n" D "hip,flexion,R,AROM,101,2,,,,,,\n"
     D "hip,flexion,R,AROM,102,,prone,,,,,\n" D "hip,flexion,R,AROM,103,,,tape,,,,\n"
     D "hip,flexion,R,AROM,104,,,,after,,,\n" D "hip,flexion,R,AROM,105,,,,,Kim,,\n"
     D "hip,flexion,R,AROM,106,,,,,,make,\n" D "hip,flexion,R,AROM,107,,,,,,,psoas\n"
     D "hip,flexion,R,PROM,108,,,,,,,\n" D "hip,flexion,L,AROM,109,,,,,,,\n"
     "P,2026-03-05,hip,flexion,R,AROM,110,,,,,,,\n", 11, 0, 0, "",
     "end=100\nend=101\nend=102\nend=103\nend=104\nend=105\nend=106\nend=107\nend=108\nend=109\n"
     "end=110\n"},
    {"before is the usual time", M ",timing\n" D "hip,flexion,R,AROM,100,\n"
     D "hip,flexion,R,AROM,101,before\n", 0, 0, 2, "readings-differ 3:7\n"
     "readings-differ 2:7\n", ""},
    /* the opposite motion */
    {"a start always tells", M "\n" D "wrist,flexion,R,AROM,10-60\n", 1, 0, 0, "",
     "wrist flexion right AROM measured start=10 end=60\n"
     "wrist extension right AROM measured end=-10 "
     "derived\n"},
    {"a start of 0 tells where the normal is 0", M "\n" D "wrist,flexion,R,AROM,0-60\n"
     D "elbow,flexion,R,AROM,0-140\n", 2, 0, 0, "",
     "!wrist extension\nelbow extension right AROM measured end=0 derived\n"},
    {"a bare end tells nothing", M "\n" D "elbow,flexion,R,AROM,140\n", 1, 0, 0, "",
     "!elbow extension\nelbow flexion right AROM measured end=140 noted=start-not-recorded\n"},
    {"the row of the opposite motion stands", M "\n" D "elbow,flexion,R,AROM,5-140\n"
     D "elbow,extension,R,AROM,0\n" D "elbow,flexion,L,AROM,140\n" D "elbow,extension,L,AROM,0\n",
     4, 0, 0, "opposite-agrees 3:7\n",
     "elbow extension right AROM measured end=0 noted=opposite-agrees\n!derived\n"
     "!start-not-recorded"},
    {"the same end needs no note", M "\n" D "elbow,flexion,R,AROM,5-140\n"
     D "elbow,extension,R,AROM,lacks 5\n", 2, 0, 0, "",
     "elbow extension right AROM measured end=-5\n"
     "!noted=\n!derived"},
    {"another position is another reading", M ",position\n" D "knee,flexion,R,AROM,20-120,prone\n"
     D "knee,extension,R,AROM,0,supine\n", 2, 0, 0, "",
     "knee extension right AROM measured end=0 position=\"supine\"\n"
     "knee extension right AROM measured end=-20 derived position=\"prone\"\n"},
    {"not tested is not replaced", M "\n" D "knee,flexion,R,AROM,20-120\n"
     D "knee,extension,R,AROM,NT\n", 2, 0, 0, "", "knee extension right AROM not-tested\n!derived"},
    {"a blank is", M "\n" D "knee,flexion,R,AROM,20-120\n" D "knee,extension,R,AROM,\n", 2, 0, 0,
     "cell-blank 3:7\n", "knee extension right AROM measured end=-20 derived\n! not-recorded"},
    {"a held-back row is not replaced", M "\n" D "knee,flexion,R,AROM,20-120\n"
     D "knee,extension,R,AROM,-10\n", 1, 0, 1, "cell-sign 3:7\n",
     "knee extension right AROM held-back\n!derived"},
    {"a trace beside a five", M "\n" D "knee,extension,R,MMT,1\n" D "knee,extension,L,MMT,5\n"
     D "hip,flexion,R,MMT,1/5\n" D "hip,flexion,L,MMT,5\n", 4, 0, 0, "trace-beside-normal 2:7\n",
     "knee extension right MMT measured grade=1 noted=trace-beside-normal\n"},
    /* goals and limits */
    {"goals", M ",goal_id,goal_value,goal_due,goal_activity,goal_set_on,goal_baseline,unit\n"
     D "knee,flexion,R,AROM,90,G1,120,2026-05-01,stairs,,72,\n"
     "P,2026-03-11,knee,flexion,R,AROM,95,G1,120,,,,,\n"
     "P,2026-03-11,knee,extension,R,MMT,,G2,5,,,2026-03-09,,\n"
     "P,2026-03-11,knee,extension,R,force,,G3,20,,,,,kgf\n", 4, 0, 0, "",
     "goal id=\"G1\" knee flexion right AROM value=120 baseline=72 set-on=2026-03-04 "
     "due=2026-05-01 "
     "activity=\"stairs\" line=2\n"
     "goal id=\"G2\" knee extension right MMT grade=5 set-on=2026-03-09\n"
     "goal id=\"G3\" knee extension right force value=196.133\n"
     "reading knee flexion right AROM measured end=90\nreading knee flexion right AROM measured "
     "end=95\n! not-recorded"},
    {"a goal makes no visit", M ",goal_value\n" D "knee,flexion,R,AROM,,120\n", 1, 0, 0, "",
     "goal knee flexion right AROM value=120 set-on=2026-03-04\n!visit 2"},
    {"limits",
     "patient_id,joint,motion,side,limit_kind,limit_test,limit_value,limit_from,limit_until,"
     "limit_by\nP,knee,flexion,R,range,any,90,2026-02-01,2026-04-01,Dr Ash\n"
     "P,knee,flexion,R,no-test,MMT,,,,\nP,,,,weight bearing,,50%,,,\n"
     "P,,,,weight-bearing,,50,,,\n", 4, 0, 0, "",
     "limit range knee flexion right value=90 from=2026-02-01 until=2026-04-01 by=\"Dr Ash\" "
     "line=2\n"
     "limit no-test knee flexion right MMT line=3\nlimit weight-bearing value=50 line=4\n!line=5"},
};

START_TEST(read_and_joined)
{
    run_case(&read_cases[_i]);
}
END_TEST

/* ---- over files ---------------------------------------------------------------------------- */

START_TEST(history_and_files_join)
{
    const char *files[] = {M "\n" D "hip,flexion,R,AROM,100\nP,2026-03-01,hip,flexion,R,AROM,90\n",
                           "value,test,side,motion,joint,visit_date,patient_id,name\n"
                           "95,AROM,R,flexion,hip,2026-03-02,P,Ann\n",
                           M "\nP,2026-03-01,hip,flexion,R,AROM,90\n"
                           "P,2025-03-01,hip,flexion,R,AROM,80\n"};
    size_t lens[] = {strlen(files[0]), strlen(files[1]), strlen(files[2])};
    import(files, lens, 3, 1);
    contains(buf_text(&model), "name=\"Ann\"\nvisit 2025-03-01 history\nvisit 2026-03-01\n"
             "visit 2026-03-02\nvisit 2026-03-04\n!visit 2026-03-01 history", "files");
    ck_assert_int_eq(tallies[0].used, 2);
    ck_assert_int_eq(tallies[1].used, 1);
    ck_assert_int_eq(tallies[2].used, 1);
    ck_assert_int_eq(tallies[2].duplicates, 1);
}
END_TEST

/* A visit first seen in history and repeated by a current file is no history. */
START_TEST(a_current_repeat_ends_history)
{
    const char *files[] = {M "\nP,2026-03-01,hip,flexion,R,AROM,90\n",
                           M "\nP,2026-03-01,hip,flexion,R,AROM,90\n"};
    size_t lens[] = {strlen(files[0]), strlen(files[1])};
    import(files, lens, 2, 1);
    contains(buf_text(&model), "visit 2026-03-01\n!history", "current first");
    struct diag_sink sink = {.put = put_diag};
    struct import_source *sources[2];
    struct row row, rows[2];
    struct buf packed;
    buf_init(&packed, 1 << 20);
    for (int i = 0; i < 2; i++) {
        sources[i] = import_open(paths[i], i, i == 0, import_settings_default(), ref, &sink);
        ck_assert_int_eq(import_next(sources[i], &row, &tallies[i], &sink), IMPORT_ROW);
        buf_clear(&packed);
        row_pack(&row, &packed);
        char *bytes = arena_strndup(arena, packed.data, packed.len);
        ck_assert_uint_gt(row_unpack(bytes, packed.len, arena, &rows[i]), 0);
    }
    const struct patient *p =
        import_patient(rows, 2, sources, ref, today, arena, tallies, &sink);
    ck_assert_uint_eq(p->n_visits, 1);
    ck_assert(!p->visits[0].from_history);
    import_close(sources[0]);
    import_close(sources[1]);
    buf_release(&packed);
}
END_TEST

START_TEST(messages_name_the_other_file)
{
    const char *files[] = {M "\n" D "hip,flexion,R,AROM,100\n", M "\n" D "hip,flexion,R,AROM,90\n"};
    size_t lens[] = {strlen(files[0]), strlen(files[1])};
    import(files, lens, 2, 0);
    char wanted[200];
    snprintf(wanted, sizeof wanted, "detail=\"also line 2 of %s\"", paths[0]);
    contains(buf_text(&model), wanted, "other file");
}
END_TEST

/* Problems of a visit stand with that visit and with no other. */
START_TEST(problems_stand_with_their_visit)
{
    import_one(M "\nP,2026-03-04,hip,flexion,R,AROM,bananas\n"
                 "P,2026-03-05,hip,flexion,R,AROM,WNL\n");
    ck_assert_uint_eq(patient->n_visits, 2);
    ck_assert_uint_eq(patient->visits[0].n_problems, 1);
    ck_assert_int_eq(patient->visits[0].problems[0].code, DIAG_CELL_NOT_UNDERSTOOD);
    ck_assert_str_eq(patient->visits[0].problems[0].text, "bananas");
    ck_assert_str_eq(patient->visits[0].problems[0].pos.field, "value");
    ck_assert_str_eq(patient->visits[0].problems[0].pos.file, paths[0]);
    ck_assert_uint_eq(patient->visits[1].n_problems, 1);
    ck_assert_int_eq(patient->visits[1].problems[0].code, DIAG_CELL_NORMAL_WORD);
}
END_TEST

START_TEST(no_rows_is_an_empty_patient)
{
    struct diag_sink sink = {0};
    const struct patient *p = import_patient(NULL, 0, NULL, ref, today, arena, tallies, &sink);
    char why[100];
    ck_assert(model_check(p, why, sizeof why));
    ck_assert_uint_eq(p->n_visits, 0);
}
END_TEST

static const char whole[] =
    "patient_id,visit_date,joint,motion,side,test,value,note,goal_id,goal_value\r\n"
    "P,2026-03-04,knee,flexion,R,AROM,0-120,\"a, \"\"b\"\"\r\nc\",G1,130\r\n"
    "P,2026-03-04,knee,extension,R,AROM,lacks 3,,,\r\n"
    "P,2026-03-04,knee,flexion,R,AROM,\"95; 97\",,,\r\n"
    "P,2026-03-05,knee,flexion,L,MMT,4+/5,,,\r\n"
    "P,2026-03-05,knee,flexion,L,MMT,4+/5,,,\r\n";

/* Cut anywhere, and any byte replaced: the model holds together and every row has one outcome (both
 * checked in `import`). */
START_TEST(cut_and_broken_anywhere)
{
    char bytes[sizeof whole];
    const char *file = bytes;
    size_t len = sizeof whole - 1;
    static const char breakers[] = {'"', ',', '\n', '-', '9', (char)0xC2};
    for (size_t i = 0; i <= len; i++) {
        memcpy(bytes, whole, len);
        import(&file, &i, 1, 0);
        memset(tallies, 0, sizeof tallies);
        if (i == len)
            break;
        bytes[i] = breakers[i % sizeof breakers];
        import(&file, &len, 1, 0);
        memset(tallies, 0, sizeof tallies);
        arena_clear(arena);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import patient");
    TCase *c = tcase_create("patient");
    tcase_add_unchecked_fixture(c, load, unload);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_set_timeout(c, 60);
    tcase_add_loop_test(c, held_back, 0, (int)ARRAY_LEN(held));
    tcase_add_loop_test(c, read_and_joined, 0, (int)ARRAY_LEN(read_cases));
    tcase_add_test(c, history_and_files_join);
    tcase_add_test(c, a_current_repeat_ends_history);
    tcase_add_test(c, messages_name_the_other_file);
    tcase_add_test(c, problems_stand_with_their_visit);
    tcase_add_test(c, no_rows_is_an_empty_patient);
    tcase_add_test(c, cut_and_broken_anywhere);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
