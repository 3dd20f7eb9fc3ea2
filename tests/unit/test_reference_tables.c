/*
 * Every cell of the library against the clinical tables it was made from. The constants were
 * counted from those tables (CSV), not from the XML, by another program: rows; cells that are not
 * empty; the plain sum of a column of numbers; and, so that no word and no digit can change unseen,
 * the sum of the FNV-1a hashes of a column's cells and of whole rows (cells joined by '|'). Numbers
 * are hashed as "%.10g". When a row is changed on purpose, the test prints the new constants.
 */
#include "reference_tally.h"

static const struct column motions_columns[] = {
    {"joint", 64, 0, UINT64_C(0xd98c7d4ab63c9c97)},
    {"motion", 64, 0, UINT64_C(0x0efdf2a4ac73d00c)},
    {"plane", 64, 0, UINT64_C(0x0ae8bdbde8368cf9)},
    {"sides", 64, 0, UINT64_C(0x2fa95bf2bb7c02d4)},
    {"unit", 59, 0, UINT64_C(0xa57742f1eaee295c)},
    {"tests", 64, 0, UINT64_C(0x79d774ba087af5f8)},
    {"opposite", 53, 0, UINT64_C(0x9bdea8e8d071d448)},
};

static const struct column norms_columns[] = {
    {"joint", 789, 0, UINT64_C(0x78804426ae3b8735)},
    {"motion", 789, 0, UINT64_C(0x12636000afd1671c)},
    {"normal-deg", 789, 52240.4, UINT64_C(0x083822c1dd0cc27f)},
    {"sd-deg", 260, 1886.2, UINT64_C(0x2d8af418d9dbf808)},
    {"ci95-low", 88, 6776, UINT64_C(0x1afef8a07d1f7540)},
    {"ci95-high", 88, 7016.2, UINT64_C(0x34c202259fbab42c)},
    {"age-min", 789, 14777.9, UINT64_C(0xce27f6c9965ae701)},
    {"age-max", 789, 56405.49, UINT64_C(0x7ca99713bec59835)},
    {"sex", 789, 0, UINT64_C(0x66c541952c73050b)},
    {"n", 418, 65372, UINT64_C(0x96b79d09ed95c810)},
    {"mode", 789, 0, UINT64_C(0x9ec80be341c00648)},
    {"kind", 789, 0, UINT64_C(0x4266b2130924f882)},
    {"source-id", 789, 0, UINT64_C(0x50cf52302be78f40)},
    {"how-known", 789, 0, UINT64_C(0xd8fc32b67ad27a77)},
    {"unit", 789, 0, UINT64_C(0xc9f9c2b2c271b7c7)},
    {"hyper-ok-deg", 53, 745, UINT64_C(0xfff0c9944ca30736)},
    {"max-plausible-deg", 789, 88989, UINT64_C(0x2476217e9c31b95a)},
    {"role", 789, 0, UINT64_C(0xcb127f1d17d5eb9c)},
    {"side", 789, 0, UINT64_C(0x5a8519deea736a5a)},
    {"qualifier", 172, 0, UINT64_C(0x9529b0495542bb1c)},
    {"range-low", 100, 6388.8, UINT64_C(0xe013c126a14f3496)},
    {"range-high", 100, 9388.05, UINT64_C(0xe75df3af2181ce7e)},
    {"range-kind", 100, 0, UINT64_C(0x20c62766917ed6d7)},
    {"better", 789, 0, UINT64_C(0xe6fc72ea9e3411f2)},
    {"note", 552, 0, UINT64_C(0xabaf1762f2020a4f)},
};

static const struct column goniometry_columns[] = {
    {"joint", 64, 0, UINT64_C(0xd98c7d4ab63c9c97)},
    {"motion", 64, 0, UINT64_C(0x0efdf2a4ac73d00c)},
    {"plane", 64, 0, UINT64_C(0x0ae8bdbde8368cf9)},
    {"position", 64, 0, UINT64_C(0xfd65ef3430a56b39)},
    {"position-detail", 64, 0, UINT64_C(0xb7bb36c0e510253c)},
    {"fulcrum", 64, 0, UINT64_C(0x0b71d6d535f8a6fb)},
    {"stationary-arm", 64, 0, UINT64_C(0x7aa1e3d991ab0a6f)},
    {"moving-arm", 64, 0, UINT64_C(0xceedfa4dc9d2e57a)},
    {"end-feel", 64, 0, UINT64_C(0xe5495e849b8b466d)},
    {"end-feel-reason", 64, 0, UINT64_C(0xf763ee8874031498)},
    {"stabilize", 64, 0, UINT64_C(0x893919cfc00ae700)},
    {"note", 55, 0, UINT64_C(0x2c3d5a7658e1d64f)},
    {"how-known", 64, 0, UINT64_C(0x2b2ce2ec9a20fc21)},
    {"end-feel-also", 22, 0, UINT64_C(0xcbf8a8c732516475)},
    {"instrument", 64, 0, UINT64_C(0x14d831b542680ac6)},
};

static const struct column muscle_tests_columns[] = {
    {"joint", 64, 0, UINT64_C(0xd98c7d4ab63c9c97)},
    {"motion", 64, 0, UINT64_C(0x0efdf2a4ac73d00c)},
    {"prime-movers", 64, 0, UINT64_C(0x2c514721fdd6b83e)},
    {"nerve", 64, 0, UINT64_C(0x24480645dbd90371)},
    {"roots", 64, 0, UINT64_C(0x7029d957f6a82f49)},
    {"position-against-gravity", 64, 0, UINT64_C(0x77313853612e4e22)},
    {"detail", 64, 0, UINT64_C(0xa78427a2513dd048)},
    {"position-gravity-minimized", 64, 0, UINT64_C(0x529cf1c44ca189ba)},
    {"detail-minimized", 64, 0, UINT64_C(0x98fc1c5ee96ec8cb)},
    {"resistance-at", 64, 0, UINT64_C(0xa037aedbce0cefff)},
    {"resistance-direction", 64, 0, UINT64_C(0xd8b9aa1bfce13b26)},
    {"stabilize", 64, 0, UINT64_C(0x95c92241fc9d537d)},
    {"palpate-for-trace", 64, 0, UINT64_C(0xe21fab3c34522604)},
    {"note", 47, 0, UINT64_C(0x198dfecc65cdd203)},
    {"how-known", 64, 0, UINT64_C(0x189aad5eab4ecf37)},
    {"gravity-rule", 64, 0, UINT64_C(0x955646639caf1b7d)},
};

static const struct column compensations_columns[] = {
    {"joint", 207, 0, UINT64_C(0x1b26b2d314b1f4cd)},
    {"motion", 207, 0, UINT64_C(0x7eb30110bb75925c)},
    {"test", 207, 0, UINT64_C(0x04b1a53cdca42e15)},
    {"id", 207, 0, UINT64_C(0xcd6f517e832d2b6f)},
    {"what-you-see", 207, 0, UINT64_C(0x8cca3df44b98f433)},
    {"direction-or-side", 207, 0, UINT64_C(0xb29ba611beeed85d)},
    {"why", 207, 0, UINT64_C(0x071310b045237421)},
    {"how-to-prevent", 207, 0, UINT64_C(0xa9d8c380da0dfd7a)},
    {"usual-trigger", 207, 0, UINT64_C(0x130a025c5a927f5c)},
    {"typical-deficit-deg", 116, 1295, UINT64_C(0xeb6f08c11fdea28c)},
    {"how-known", 207, 0, UINT64_C(0x3ed2bac7af6e4aee)},
};

static const struct column measurement_error_columns[] = {
    {"joint", 223, 0, UINT64_C(0x4141578ee1020b25)},
    {"motion", 223, 0, UINT64_C(0x77384730b35957eb)},
    {"mode", 218, 0, UINT64_C(0x0ef48cbb315b4d0f)},
    {"instrument", 216, 0, UINT64_C(0x98f74e70a0496695)},
    {"rater", 223, 0, UINT64_C(0x77c3b7cbaa5fc051)},
    {"sem", 67, 407.09, UINT64_C(0x032dae8189617f7f)},
    {"mdc90", 12, 77.8, UINT64_C(0x0f5cd6b4bf129859)},
    {"mdc95", 109, 1463.79, UINT64_C(0x28ab124065715a6e)},
    {"icc", 162, 131.27, UINT64_C(0x9f610c16873d9250)},
    {"unit", 223, 0, UINT64_C(0x59880bb2cb397b97)},
    {"population", 223, 0, UINT64_C(0x5a85fa932601326a)},
    {"n", 197, 0, UINT64_C(0x50bb1556c8636063)},
    {"source-id", 223, 0, UINT64_C(0xf48553d33e8fe00b)},
    {"how-known", 223, 0, UINT64_C(0x484318bc4e328e24)},
};

static const struct column grades_columns[] = {
    {"grade", 12, 0, UINT64_C(0x4c381cf960732ee1)},
    {"range-needed", 12, 0, UINT64_C(0x92311615ea374b17)},
    {"gravity", 12, 0, UINT64_C(0x24142155563fd4b0)},
    {"resistance", 12, 0, UINT64_C(0x47cdc779b40470c1)},
    {"criterion", 12, 0, UINT64_C(0xaa323727f8e278ab)},
    {"traditional-name", 12, 0, UINT64_C(0xbd934919e43eb077)},
    {"abbreviation", 12, 0, UINT64_C(0x52ead8f96625ab9d)},
    {"ordinal", 12, 66, UINT64_C(0xe9d5ed0ca58436ea)},
    {"numeric", 12, 33, UINT64_C(0x794414b03cfef541)},
    {"mrc", 12, 32, UINT64_C(0x38ac179648134a9c)},
    {"isncsci", 12, 31, UINT64_C(0x38ac149648134583)},
    {"kendall-0-10", 12, 0, UINT64_C(0x9141635176cc6596)},
    {"note", 5, 0, UINT64_C(0x5f096fd7624e748d)},
    {"how-known", 12, 0, UINT64_C(0x4106b2d9ca13942b)},
};

enum { MOTIONS, NORMS, GONIOMETRY, MUSCLE_TESTS, COMPENSATIONS, MEASUREMENT_ERROR, GRADES, TABLES };

static const struct table tables[TABLES] = {
    [MOTIONS] = {"motions", 64, UINT64_C(0x3e5f628ed5a090c2), motions_columns,
                 ARRAY_LEN(motions_columns)},
    [NORMS] = {"norms", 789, UINT64_C(0x52b476f6e5072387), norms_columns, ARRAY_LEN(norms_columns)},
    [GONIOMETRY] = {"goniometry", 64, UINT64_C(0xfba78c3f2f90351d), goniometry_columns,
                    ARRAY_LEN(goniometry_columns)},
    [MUSCLE_TESTS] = {"muscle-tests", 64, UINT64_C(0xe62779cb60aff5e3), muscle_tests_columns,
                      ARRAY_LEN(muscle_tests_columns)},
    [COMPENSATIONS] = {"compensations", 207, UINT64_C(0x9c61b81101cf283c), compensations_columns,
                       ARRAY_LEN(compensations_columns)},
    [MEASUREMENT_ERROR] = {"measurement-error", 223, UINT64_C(0x8afb3b02bb0cdedd),
                           measurement_error_columns, ARRAY_LEN(measurement_error_columns)},
    [GRADES] = {"grades", 12, UINT64_C(0xf729baaaddac7fb0), grades_columns,
                ARRAY_LEN(grades_columns)},
};

/* Rows of each source. */
static const struct count {
    const char *id;
    int n;
} norm_counts[] =
    {
        {"AAOS1965", 18},
        {"AAOS1994", 25},
        {"AAOS_NW", 40},
        {"AMA5", 21},
        {"AMA_NW5", 14},
        {"AMA_SCR", 23},
        {"BARAKAT2013", 6},
        {"BOONE_AZEN1979", 78},
        {"BROUGHTON1993", 3},
        {"CDC_SOUCIE2011", 88},
        {"CFR4150_TMD", 1},
        {"CFR471A_DIGITS", 6},
        {"CFR471A_SPINE", 8},
        {"CFR471_PLATES", 18},
        {"CMC_PASSIVE_28478845", 3},
        {"COON1975", 9},
        {"DSHS13585A", 28},
        {"EATON_EHAND", 17},
        {"FITZGERALD1983", 18},
        {"GILL2020", 56},
        {"GREEN_WOLF1989", 12},
        {"HAAS1973", 3},
        {"HIRSCH2006", 4},
        {"HOPPENFELD1976", 1},
        {"JAW_TEXT", 3},
        {"JAW_TEXT2", 3},
        {"JUNG_YAMASAKI2016", 7},
        {"KOUYOUMDJIAN2012", 6},
        {"MACEDO_MAGEE2009", 13},
        {"MERCK_MANUAL", 19},
        {"MMO_INDIA2012", 2},
        {"NASA_MSIS", 46},
        {"REIDER", 8},
        {"ROAAS_ANDERSSON1982", 11},
        {"ROACH_MILES1991", 18},
        {"THUMB_MCP_300HANDS", 2},
        {"VAIRO2012", 16},
        {"VA_WORKSHEET", 4},
        {"WALKER1984", 21},
        {"WATANABE1979", 10},
        {"WAUGH1983", 4},
        {"YOUDAS1992", 89},
        {"ZAWAWI2003", 1},
        {"ZURICH_MOC2013", 2},
        {"ZWERUS2019", 4},
},
  error_counts[] = {
      {"ACLKNEE2024", 4},    {"ADFHHD2018", 2},    {"ANWAR2022", 4},
      {"ARMSTRONG1998", 8},  {"BENNELL1998", 2},   {"BMCNECK2024", 4},
      {"BOONE1978", 12},     {"BUCKINX2017", 4},   {"CHAPLEAU2011", 2},
      {"COMMON", 4},         {"DEWINTER2004", 2},  {"DOUGHERTY2015", 2},
      {"ELLIS2002", 2},      {"ELVERU1988", 7},    {"FRIESENBICHLER2020", 2},
      {"HANCOCK2018", 4},    {"HAYES2001", 12},    {"HAYES2002", 4},
      {"HEELRISE-PF", 2},    {"HENNESSEY-ABS", 2}, {"HOLT2016", 4},
      {"IMD2025", 1},        {"JATLF2021", 2},     {"JIATMJ2013", 6},
      {"JOHNSON2012", 3},    {"JORGENSEN2014", 1}, {"KIM2014HHD", 2},
      {"KNEEANCHOR2019", 2}, {"KOLBER2007", 2},    {"KOLBER2009", 2},
      {"KOLBER2011", 8},     {"KOLBER2012", 8},    {"KONOR2012", 3},
      {"KRAUSE2015", 1},     {"KROPMANS2000", 2},  {"LASTAYO1994", 4},
      {"LAWRANCE2017", 4},   {"LEE2020", 4},       {"LEIJENDEKKERS2017", 2},
      {"LENSSEN2007", 4},    {"MACIONIS2013", 6},  {"MCLAINE2016", 4},
      {"MENADUE2006", 2},    {"NITSCHKE1999", 4},  {"NUSSBAUMER2010", 5},
      {"PHYSCAN2016", 1},    {"PINTO2022", 1},     {"POULSEN2012", 6},
      {"POWDEN2015", 2},     {"PUA2008", 5},       {"REISSNER2019", 6},
      {"ROBINSON2014", 2},   {"SCIELO2017", 4},    {"SHARMA2015", 1},
      {"SOLGAARD1986", 2},   {"STRATFORD2010", 2}, {"THORBORG2010", 6},
      {"TOUSIGNANT2005", 2}, {"TVEITA2008", 2},    {"WADHHD2022", 8},
      {"WAKEFIELD2015", 2},
};

/* ---- cells ------------------------------------------------------------------------------ */

static struct reference *ref;

/* The tables' own words, written out again so that a slip in the loader's lists shows. */
static const char *const units[] = {"",   "deg",  "mm",  "cm",  "%",     "N",
                                    "Nm", "N/kg", "kgf", "lbf", "Nm/kg", "count"};
static const char *const end_feels[] = {"", "soft", "firm", "hard", "empty", "spasm", "springy"};
static const char *const modes[] = {"unspecified", "active", "passive"};

/* ---- tables ----------------------------------------------------------------------------- */

static void add_motion(const struct motion *m)
{
    static const char *const tests[] = {"", "rom", "mmt", "rom+mmt"};
    cell(m->joint);
    cell(m->motion);
    cell(m->plane);
    cell(m->sides == SIDES_MIDLINE ? "midline" : "left+right");
    cell(units[m->unit]);
    cell(tests[(m->rom ? 1 : 0) + (m->mmt ? 2 : 0)]);
    cell(m->opposite == NULL ? "" : m->opposite == m ? "other-side" : m->opposite->motion);
    end_row();
}

static void add_norm(const struct norm *n)
{
    static const char *const sexes[] = {"any", "female", "male"};
    static const char *const kinds[] = {"handbook", "legal", "population", "study"};
    static const char *const roles[] = {"default", "alt", "stratum", "special"};
    static const char *const sides[] = {"any", "midline", "right", "left"};
    cell(n->motion->joint);
    cell(n->motion->motion);
    number(n->normal);
    optional(n->sd);
    optional(n->ci95_low);
    optional(n->ci95_high);
    number(n->age_min);
    number(n->age_max);
    cell(sexes[n->sex]);
    optional(n->n);
    cell(modes[n->mode]);
    cell(kinds[n->kind]);
    cell(n->source->id);
    cell(n->known.text);
    cell(units[n->unit]);
    optional(n->hyper_ok);
    optional(n->max_plausible);
    cell(roles[n->role]);
    cell(sides[n->side]);
    cell(n->qualifier);
    optional(n->range_low);
    optional(n->range_high);
    cell(n->range_kind);
    cell(n->lower_is_better ? "lower" : "higher");
    words(n->note);
    end_row();
}

static void add_goniometry(const struct motion *m)
{
    const struct goniometry *g = m->goniometry;
    char also[CELL_MAX] = "";
    for (unsigned f = END_FEEL_SOFT; f < END_FEEL_COUNT; f++)
        if ((g->end_feel_also & 1u << f) != 0) {
            strcat(also, *also == '\0' ? "" : ";");
            strcat(also, end_feels[f]);
        }
    cell(m->joint);
    cell(m->motion);
    cell(g->plane);
    cell(g->position);
    cell(g->position_detail);
    cell(g->fulcrum);
    cell(g->stationary_arm);
    cell(g->moving_arm);
    cell(end_feels[g->end_feel]);
    cell(g->end_feel_reason);
    cell(g->stabilize);
    words(g->note);
    cell(g->known.text);
    cell(also);
    cell(g->instrument);
    end_row();
}

static void add_muscle_test(const struct motion *m)
{
    static const char *const rules[] = {"applies", "exempt", "modified"};
    const struct muscle_test *t = m->muscle_test;
    cell(m->joint);
    cell(m->motion);
    cell(t->prime_movers);
    cell(t->nerve);
    cell(t->roots);
    cell(t->position_against_gravity);
    cell(t->detail);
    cell(t->position_gravity_minimized);
    cell(t->detail_minimized);
    cell(t->resistance_at);
    cell(t->resistance_direction);
    cell(t->stabilize);
    cell(t->palpate_for_trace);
    words(t->note);
    cell(t->known.text);
    cell(rules[t->gravity_rule]);
    end_row();
}

static const char *trigger(const struct compensation *c)
{
    if (c->trigger_limited && c->trigger_weak)
        return "both";
    return c->trigger_limited ? "limited" : c->trigger_weak ? "weak" : "painful";
}

static void add_compensation(const struct motion *m, const struct compensation *c)
{
    cell(m->joint);
    cell(m->motion);
    cell(c->in_rom && c->in_mmt ? "both" : c->in_rom ? "rom" : "mmt");
    cell(c->id);
    cell(c->what_you_see);
    cell(c->direction);
    cell(c->why);
    cell(c->how_to_prevent);
    cell(trigger(c));
    optional(c->typical_deficit);
    cell(c->known.text);
    end_row();
}

static void add_error(const struct error_row *e)
{
    static const char *const instruments[INSTRUMENT_COUNT] = {
        "",       "universal-goniometer", "inclinometer", "tape", "ruler",
        "visual", "hand-held-dynamometer"};
    cell(e->joint == NULL ? "*" : e->joint);
    cell(e->motion == NULL ? "*" : e->motion);
    cell(e->mode == MODE_UNSPECIFIED ? "" : modes[e->mode]);
    cell(instruments[e->instrument]);
    cell(e->inter ? "inter" : "intra");
    optional(e->sem);
    optional(e->mdc90);
    optional(e->mdc95);
    optional(e->icc);
    cell(units[e->unit]);
    cell(e->population);
    cell(e->n);
    cell(e->source->id);
    cell(e->known.text);
    end_row();
}

static void add_grade(const struct grade *g)
{
    if (g->optional) /* the table has none; its steps are counted without it */
        return;
    cell(g->text);
    cell(g->range_needed);
    cell(g->gravity);
    cell(g->resistance);
    cell(g->criterion);
    cell(g->traditional_name);
    cell(g->abbreviation);
    number(g->ordinal - (str_eq(g->text, "5") ? 1 : 0));
    number(g->numeric);
    number(g->mrc.value);
    number(g->isncsci.value);
    cell(g->kendall);
    words(g->note);
    cell(g->known.text);
    end_row();
}

static void add_of_motion(int which, const struct motion *m)
{
    if (which == MOTIONS)
        add_motion(m);
    for (size_t k = 0; which == NORMS && k < m->n_norms; k++)
        add_norm(&m->norms[k]);
    if (which == GONIOMETRY && m->goniometry != NULL)
        add_goniometry(m);
    if (which == MUSCLE_TESTS && m->muscle_test != NULL)
        add_muscle_test(m);
    for (size_t k = 0; which == COMPENSATIONS && k < m->n_compensations; k++)
        add_compensation(m, &m->compensations[k]);
}

START_TEST(table_arrives_whole)
{
    size_t n = 0;
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        add_of_motion(_i, reference_motion_at(ref, i));
    const struct error_row *errors = reference_errors(ref, &n);
    for (size_t i = 0; _i == MEASUREMENT_ERROR && i < n; i++)
        add_error(&errors[i]);
    (void)reference_grade_at(ref, 0, &n);
    for (size_t i = 0; _i == GRADES && i < n; i++)
        add_grade(reference_grade_at(ref, i, NULL));
    check_tally(&tables[_i]);
}
END_TEST

static int count_norms(const char *id)
{
    int n = 0;
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        for (size_t k = 0; k < m->n_norms; k++)
            n += str_eq(m->norms[k].source->id, id);
    }
    return n;
}

static int count_errors(const char *id)
{
    size_t n;
    int found = 0;
    const struct error_row *errors = reference_errors(ref, &n);
    for (size_t i = 0; i < n; i++)
        found += str_eq(errors[i].source->id, id);
    return found;
}

START_TEST(each_source_has_its_rows)
{
    for (size_t i = 0; i < ARRAY_LEN(norm_counts); i++)
        ck_assert_msg(count_norms(norm_counts[i].id) == norm_counts[i].n, "%s", norm_counts[i].id);
    for (size_t i = 0; i < ARRAY_LEN(error_counts); i++)
        ck_assert_msg(count_errors(error_counts[i].id) == error_counts[i].n, "%s",
                      error_counts[i].id);
    for (size_t i = 0; i < reference_source_count(ref); i++) {
        const struct source *s = reference_source_at(ref, i);
        ck_assert_msg(*s->citation != '\0' && *s->note != '\0', "%s has no note", s->id);
    }
}
END_TEST

static void load(void)
{
    struct diag_list reported;
    diag_list_init(&reported);
    ref = reference_load_embedded(&reported.sink);
    ck_assert_ptr_nonnull(ref);
    ck_assert_uint_eq(reported.n, 0);
    diag_list_release(&reported);
}

static void release(void)
{
    reference_free(ref);
}

static Suite *suite(void)
{
    Suite *s = suite_create("reference tables");
    TCase *t = tcase_create("embedded");
    tcase_add_unchecked_fixture(t, load, release);
    tcase_add_checked_fixture(t, start_tally, NULL);
    tcase_add_loop_test(t, table_arrives_whole, 0, TABLES);
    tcase_add_test(t, each_source_has_its_rows);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
