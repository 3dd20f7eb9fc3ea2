/* A visit as of its day: what import_as_of() takes from the whole patient is held against reading
 * the rows up to that day again, by the text of the model; and where it cannot be taken, it must
 * not be. */
#include "import/import_int.h"
#include "unit.h"

#include <string.h>
#include <unistd.h>

enum { ROWS_MAX = 2000 };

static struct reference *ref;
static const struct date today = {2026, 6, 1};
static struct diag_sink quiet;

static struct arena *arena;
static char path[64];
static struct import_source *source;
static struct row rows[ROWS_MAX];
static size_t n_rows;
static struct tally tally;

static void load(void)
{
    ref = reference_load_embedded(&quiet);
    ck_assert_ptr_nonnull(ref);
}

static void unload(void)
{
    reference_free(ref);
}

static void set_up(void)
{
    arena = arena_new();
    strcpy(path, "/tmp/endfeel-days-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    close(fd);
}

static void tear_down(void)
{
    unlink(path);
    arena_free(arena);
}

static void read_rows(const char *text)
{
    struct buf packed;
    size_t used = 0;
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(text, 1, strlen(text), f), strlen(text));
    fclose(f);
    buf_init(&packed, 64 << 20);
    n_rows = 0;
    source = import_open(path, 0, false, import_settings_default(), ref, &quiet);
    ck_assert_ptr_nonnull(source);
    for (struct row row; import_next(source, &row, &tally, &quiet) == IMPORT_ROW; n_rows++)
        row_pack(&row, &packed);
    ck_assert_uint_le(n_rows, ROWS_MAX);
    const char *bytes = arena_strndup(arena, packed.data, packed.len);
    for (size_t i = 0; i < n_rows; i++)
        used += row_unpack(bytes + used, packed.len - used, arena, &rows[i]);
    buf_release(&packed);
}

static struct patient *import(const struct row *some, size_t n)
{
    return import_patient(some, n, &source, ref, today, arena, &tally, &quiet);
}

/* Of the problems those of the last visit alone: those of others are told with these. */
static const char *text_of(const struct visit *last)
{
    struct patient p = *last->patient;
    struct visit *visits = arena_alloc(arena, p.n_visits * sizeof *visits);
    struct buf out;
    char why[200] = "";
    ck_assert_msg(model_check(last->patient, why, sizeof why), "%s", why);
    memcpy(visits, p.visits, p.n_visits * sizeof *visits);
    for (size_t i = 0; i + 1 < p.n_visits; i++)
        visits[i].n_problems = 0;
    p.visits = visits;
    buf_init(&out, 64 << 20);
    model_dump(&p, &out);
    const char *text = arena_strdup(arena, buf_text(&out));
    buf_release(&out);
    return text;
}

static const char *read_again(struct date day)
{
    struct row *some = arena_alloc(arena, (n_rows + 1) * sizeof *some);
    size_t n = 0;
    for (size_t i = 0; i < n_rows; i++)
        if (date_compare(import_row_date(source, &rows[i], today), day) <= 0)
            some[n++] = rows[i];
    const struct patient *p = import(some, n);
    const struct visit *last = &p->visits[p->n_visits - 1];
    ck_assert_int_eq(date_compare(last->date, day), 0);
    return text_of(last);
}

/* A letter a visit: t taken, r to be read again. */
static const char *hold(const char *file, const char *name)
{
    read_rows(file);
    const struct patient *p = import(rows, n_rows);
    char *how = arena_alloc(arena, p->n_visits + 1);
    for (size_t i = 0; i < p->n_visits; i++) {
        const struct visit *own = import_as_of(&p->visits[i], arena);
        how[i] = own == NULL ? 'r' : 't';
        if (own == NULL)
            continue;
        const char *taken = text_of(own), *again = read_again(own->date);
        ck_assert_msg(strcmp(taken, again) == 0, "%s, visit %zu taken:\n%s\nread again:\n%s\n%s",
                      name, i, taken, again, file);
    }
    import_close(source);
    return how;
}

#define HEAD "patient_id,visit_date,joint,motion,side,test,value"
#define DAY(n) "A-1,2026-01-0" #n ","
#define KNEE "knee,flexion,right,AROM,"
#define AIM HEAD ",goal_id,goal_value,goal_due,goal_activity\n"

static const struct {
    const char *name, *file, *how;
} courses[] = {
    {"nothing but readings", HEAD "\n" DAY(1) KNEE "80\n" DAY(2) KNEE "90\n" DAY(3) KNEE "95\n",
     "ttt"},
    {"one visit needs nothing", HEAD "\n" DAY(1) KNEE "80\n", "r"},
    {"a reading corrected, and one told twice differently",
     HEAD ",corrected_on\n" DAY(1) KNEE "80,\n" DAY(2) KNEE "90,\n" DAY(2) KNEE "91,\n" DAY(3)
         KNEE "95,\n" DAY(1) KNEE "85,2026-02-01\n",
     "rtt"}, /* the last row breaks the order of dates, which its own day did not show */
    {"a fact corrected later",
     HEAD ",diagnosis,corrected_on\n" DAY(1) KNEE "80,sprain,\n" DAY(2) KNEE "90,sprain,\n" DAY(3)
         ",,,,,strain,2026-01-09\n",
     "rrr"},
    {"a fact of a later visit that only its correction tells",
     HEAD ",plan,corrected_on\n" DAY(1) KNEE "80,,\n" DAY(2) KNEE "90,,\n" DAY(2)
         ",,,,,weekly,2026-01-09\n",
     "rr"},
    {"a fact contradicted later",
     HEAD ",diagnosis\n" DAY(1) KNEE "80,sprain\n" DAY(2) KNEE "90,sprain\n" DAY(3) KNEE
         "95,strain\n",
     "rrr"},
    {"a fact spelled otherwise",
     HEAD ",sex\n" DAY(1) KNEE "80,f\n" DAY(2) KNEE "90,female\n", "tt"},
    {"a text spelled otherwise",
     HEAD ",diagnosis\n" DAY(1) KNEE "80,Sprain\n" DAY(2) KNEE "90,sprain\n", "rr"},
    {"facts that come late",
     HEAD ",diagnosis,surgery_date\n" DAY(1) KNEE "80,,\n" DAY(2) KNEE "90,sprain,\n" DAY(3) KNEE
         "95,sprain,2026-01-03\n",
     "ttt"},
    {"a late visit told first",
     HEAD ",diagnosis\n" DAY(3) KNEE "95,sprain\n" DAY(2) KNEE "90,sprain\n" DAY(1) KNEE "80,\n",
     "ttt"},
    {"body mass and weight bearing change",
     HEAD ",body_mass_kg,weight_bearing\n" DAY(1) KNEE "80,70,partial\n" DAY(2) KNEE "90,,\n" DAY(3)
         KNEE "95,72,full\n" DAY(4) KNEE "95,,\n",
     "tttt"},
    {"weight bearing spelled otherwise",
     HEAD ",weight_bearing\n" DAY(1) KNEE "80,full\n" DAY(2) KNEE "90,Full\n", "rr"},
    {"body mass beside a goal, before its visit is known",
     HEAD ",body_mass_kg,goal_value\n" DAY(2) KNEE ",70,120\n" DAY(1) KNEE "80,,\n" DAY(2) KNEE
         "90,,\n",
     "rr"},
    {"body mass of the patient",
     HEAD ",body_mass_kg\nA-1,,,,,,,71\n" DAY(1) KNEE "80,70\n" DAY(2) KNEE "90,\n", "tt"},
    {"body mass contradicted within a visit",
     HEAD ",body_mass_kg\n" DAY(1) KNEE "80,70\n" DAY(2) KNEE "90,71\n" DAY(2) KNEE "90,72\n",
     "rr"},
    {"age and birth date", HEAD ",age,birth_date\n" DAY(1) KNEE "80,60,\n" DAY(2) KNEE
                           "90,20,1966-01-01\n",
     "rr"},
    {"a goal that stays, and one that comes",
     AIM DAY(1) KNEE "80,1,120,,\n" DAY(2) KNEE "90,1,120,,\n" DAY(3) KNEE "95,2,125,,\n", "ttt"},
    {"a goal that grows",
     AIM DAY(1) KNEE "80,1,120,,\n" DAY(2) KNEE "90,1,120,,\n" DAY(3) KNEE
         "95,1,120,2026-03-01,stairs\n" DAY(4) KNEE "95,1,120,,\n",
     "rrtt"},
    {"a goal contradicted",
     AIM DAY(1) KNEE "80,1,120,,\n" DAY(2) KNEE "90,1,120,,\n" DAY(3) KNEE "95,1,130,,\n", "rrr"},
    {"goals, newest visit first",
     AIM DAY(3) KNEE "95,1,120,,\n" DAY(2) KNEE "90,1,120,,\n" DAY(1) KNEE "80,,,,\n", "trt"},
    {"a limit that comes late",
     HEAD ",limit_kind,limit_value\n" DAY(1) KNEE "80,,\n" DAY(2) KNEE "80,range,90\n" DAY(3) KNEE
         "85,range,90\n",
     "ttt"},
    {"a row without a day",
     HEAD ",name\n" DAY(1) KNEE "80,\n" DAY(2) KNEE "90,\nA-1,,,,,,,Nobody\n", "tt"},
    {"an onset after a visit",
     HEAD ",onset_date\n" DAY(1) KNEE "80,\n" DAY(2) KNEE "90,2026-01-02\n", "rr"},
    {"treatment days that run back",
     HEAD ",treatment_day\n" DAY(1) KNEE "80,1\n" DAY(2) KNEE "90,5\n" DAY(3) KNEE "95,3\n" DAY(4)
         KNEE "95,4\n",
     "tttt"},
    {"two visits out of order",
     HEAD "\n" DAY(1) KNEE "80\n" DAY(4) KNEE "90\n" DAY(3) KNEE "95\n" DAY(2) KNEE "95\n" DAY(5)
         KNEE "99\n",
     "rrrrr"},
};

START_TEST(taken_as_read_again)
{
    ck_assert_msg(strcmp(hold(courses[_i].file, courses[_i].name), courses[_i].how) == 0, "%s: %s",
                  courses[_i].name, hold(courses[_i].file, courses[_i].name));
}
END_TEST

/* ---- courses of chance ---------------------------------------------------------------------- */

static unsigned long state;

static unsigned chance(unsigned n) /* 0 to n - 1 */
{
    state = state * 6364136223846793005UL + 1442695040888963407UL;
    return (unsigned)(state >> 33) % n;
}

/* What the file of a seed holds: each bit is a way in which rows speak of other days. */
static void add_row(struct buf *out, unsigned ways, unsigned visit, unsigned line)
{
    static const char *const motions[] = {"knee,flexion", "knee,extension", "shoulder,flexion"};
    unsigned value = 40 + chance(60);
    bool grade = line == 1;
    buf_addf(out, "A-1,%s2026-01-%02u,%s,%s,%s,", chance(60) == 0 ? "x" : "", visit + 1,
             motions[line % 3], line % 2 == 0 ? "right" : "left", grade ? "MMT" : "AROM");
    if (grade)
        buf_addf(out, "%u,", 1 + chance(5));
    else
        buf_addf(out, chance(9) == 0 ? "~%u," : chance(9) == 0 ? "5-%u," : "%u,", value);
    const char *text = ways & 1 && chance(2) == 0 ? "Sprain" : "sprain";
    buf_addf(out, "%s,", ways & 2 && visit < 4 ? "" : ways & 4 && chance(40) == 0 ? "x" : text);
    buf_addf(out, "%s,", ways & 8 && visit >= 5 ? "repair" : "");
    if (ways & 16 && chance(2) == 0)
        buf_addf(out, "%u,", 70 + visit / 4);
    else
        buf_addc(out, ',');
    buf_addf(out, "%s,", ways & 32 && chance(3) == 0 ? (visit < 6 ? "partial" : "full") : "");
    buf_addf(out, ways & 64 ? "%u," : ",", chance(20) == 0 ? 1 : visit + 1);
    bool goal = ways & 128 && !grade && chance(2) == 0;
    buf_addf(out, goal ? "G%u,110,%s," : ",,,", visit > 6 ? line + 10 : line,
             ways & 256 && visit > 3 ? "2026-04-01" : "");
    buf_addf(out, "%s,", ways & 512 && !grade && visit > 2 && chance(4) == 0 ? "range,90" : ",");
    buf_adds(out, chance(25) == 0 ? "2026-02-01\n" : "\n");
}

static const char *chance_course(unsigned seed)
{
    struct buf out;
    buf_init(&out, 64 << 20);
    state = seed;
    unsigned ways = chance(1024) & chance(1024), visits = 2 + chance(12), late = chance(3);
    buf_adds(&out, HEAD ",diagnosis,procedure,body_mass_kg,weight_bearing,treatment_day,goal_id,"
                        "goal_value,goal_due,limit_kind,limit_value,corrected_on\n");
    for (unsigned i = 0; i < visits; i++) {
        for (unsigned line = 0; line < 4; line++) {
            unsigned visit = late == 0 && chance(30) == 0 ? chance(i + 1) : i;
            add_row(&out, ways, late == 1 && seed % 5 == 0 ? visits - 1 - visit : visit, line);
        }
        if (chance(12) == 0)
            buf_adds(&out, "A-1,,,,,,,sprain,,71,,,,,,,,\n");
    }
    const char *file = arena_strdup(arena, buf_text(&out));
    buf_release(&out);
    return file;
}

/* Both ways must come often, or the comparison holds nothing. */
START_TEST(courses_of_chance)
{
    enum { SEEDS = 300, LEAST = 200 };
    size_t taken = 0, again = 0;
    for (unsigned seed = 1; seed <= SEEDS; seed++) {
        char name[20];
        snprintf(name, sizeof name, "seed %u", seed);
        for (const char *how = hold(chance_course(seed), name); *how != '\0'; how++) {
            taken += *how == 't';
            again += *how == 'r';
        }
        arena_clear(arena);
    }
    ck_assert_msg(taken > LEAST && again > LEAST, "%zu taken, %zu read again", taken, again);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import days");
    TCase *c = tcase_create("days");
    tcase_add_unchecked_fixture(c, load, unload);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_set_timeout(c, 60);
    tcase_add_loop_test(c, taken_as_read_again, 0, (int)ARRAY_LEN(courses));
    tcase_add_test(c, courses_of_chance);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
