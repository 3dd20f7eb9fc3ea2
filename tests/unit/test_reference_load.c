/* Loading a folder: each way a file can be wrong is refused with file, line, field and, for a
 * misspelt name, the nearest known one; a sound small library loads with every field in place. */
#include "unit.h"

#include "reference/reference.h"

#include <string.h>
#include <unistd.h>

static const char sources_xml[] = "<sources>\n"
                                  "  <source id=\"BOOK\" citation=\"A handbook\" note=\"Seen.\"/>\n"
                                  "  <source id=\"COMMON\" citation=\"Rule of thumb\"/>\n"
                                  "</sources>\n";

static const char grades_xml[] =
    "<grades>\n"
    "  <grade grade=\"1\" range-needed=\"none\" gravity=\"minimised\" resistance=\"none\"\n"
    "      criterion=\"Felt\" traditional-name=\"trace\" abbreviation=\"T\" ordinal=\"1\"\n"
    "      numeric=\"1\" mrc=\"1\" isncsci=\"1\" kendall-0-10=\"T\" how-known=\"seen: x\"/>\n"
    "  <grade grade=\"0\" range-needed=\"none\" gravity=\"minimised\" resistance=\"none\"\n"
    "      criterion=\"Nothing\" traditional-name=\"zero\" abbreviation=\"0\" ordinal=\"0\"\n"
    "      numeric=\"0\" mrc=\"0\" isncsci=\"0\" how-known=\"memory\"/>\n"
    "</grades>\n";

static const char general_xml[] =
    "<general>\n"
    "  <error joint=\"*\" motion=\"*\" mode=\"active\" instrument=\"universal-goniometer\"\n"
    "      rater=\"intra\" mdc95=\"5\" unit=\"deg\" source-id=\"COMMON\"\n"
    "      how-known=\"common practice (memory)\"/>\n"
    "</general>\n";

static const char elbow_xml[] =
    "<region name=\"elbow-forearm\">\n"                                              /* 1 */
    "  <motion joint=\"elbow\" motion=\"flexion\" order=\"10\" plane=\"sagittal\"\n" /* 2 */
    "      sides=\"left+right\" unit=\"deg\" tests=\"rom+mmt\" opposite=\"extension\">\n"
    "    <normal normal-deg=\"150\" sd-deg=\"6\" age-min=\"0\" age-max=\"120\"\n" /* 4 */
    "        sex=\"any\" n=\"9\" mode=\"unspecified\" kind=\"handbook\" source-id=\"BOOK\"\n"
    "        how-known=\"seen: x\" unit=\"deg\" max-plausible-deg=\"170\" role=\"default\"\n"
    "        side=\"any\" better=\"higher\"/>\n"                                         /* 7 */
    "    <normal normal-deg=\"141\" ci95-low=\"139\" ci95-high=\"143\" age-min=\"20\"\n" /* 8 */
    "        age-max=\"44\" sex=\"male\" mode=\"active\" kind=\"study\" source-id=\"BOOK\"\n"
    "        how-known=\"memory\" unit=\"deg\" role=\"stratum\" side=\"left\"\n" /* 10 */
    "        range-low=\"130\" range-high=\"150\" range-kind=\"p5-p95\" better=\"higher\"/>\n"
    "    <normal normal-deg=\"0\" age-min=\"0\" age-max=\"0.3\" sex=\"female\" mode=\"passive\"\n"
    "        kind=\"population\" source-id=\"BOOK\" how-known=\"own wording\" unit=\"deg\"\n"
    "        role=\"special\" side=\"right\" qualifier=\"prone\" better=\"lower\"/>\n" /* 14 */
    "    <goniometry plane=\"sagittal\" position=\"supine\" fulcrum=\"Lateral\n"       /* 15 */
    "          epicondyle\" stationary-arm=\"Humerus\" moving-arm=\"Radius\"\n"        /* 16 */
    "        end-feel=\"soft\" how-known=\"memory\" end-feel-also=\"firm;hard\"\n"
    "        instrument=\"goniometer\"/>\n"                                  /* 18 */
    "    <muscle-test prime-movers=\"biceps\" nerve=\"n\" roots=\"C5;C6\"\n" /* 19 */
    "        position-against-gravity=\"sitting\" position-gravity-minimized=\"supine\"\n"
    "        resistance-at=\"Wrist\" resistance-direction=\"Down\" how-known=\"memory\"\n"
    "        gravity-rule=\"modified\"/>\n"                                          /* 22 */
    "    <compensation test=\"both\" id=\"shrug\" what-you-see=\"Shoulder rises\"\n" /* 23 */
    "        direction-or-side=\"same\" usual-trigger=\"painful\" typical-deficit-deg=\"10\"\n"
    "        how-known=\"common practice\"/>\n"                                        /* 25 */
    "    <compensation test=\"mmt\" id=\"lean\" what-you-see=\"Trunk leans\"\n"        /* 26 */
    "        direction-or-side=\"na\" usual-trigger=\"both\" how-known=\"memory\"/>\n" /* 27 */
    "    <error mode=\"passive\" instrument=\"tape\" rater=\"inter\" sem=\"2\" mdc90=\"4\"\n"
    "        mdc95=\"5.5\" icc=\"0.9\" unit=\"deg\" population=\"healthy\" n=\"9\"\n" /* 29 */
    "        source-id=\"BOOK\" how-known=\"seen: x; derived: y\"/>\n"                /* 30 */
    "  </motion>\n"
    "  <motion joint=\"elbow\" motion=\"extension\" order=\"20\" plane=\"sagittal\"\n" /* 32 */
    "      sides=\"left+right\" tests=\"mmt\" opposite=\"other-side\" digits=\"2-5\"/>\n"
    "  <error joint=\"elbow\" motion=\"*\" rater=\"intra\" unit=\"deg\" icc=\"0.8\"\n" /* 34 */
    "      source-id=\"BOOK\" how-known=\"seen: x\"/>\n"
    "</region>\n";

enum { SOURCES, GRADES, GENERAL, ELBOW, FILES };
static const struct {
    const char *name, *text;
} files[FILES] = {
    {"sources.xml", sources_xml},
    {"grades.xml", grades_xml},
    {"general.xml", general_xml},
    {"elbow.xml", elbow_xml},
};

/* One slip each: `from` in `file` becomes `to`. */
static const struct slip {
    int file;
    const char *from, *to;
    enum diag_code code;
    long line;
    const char *field; /* NULL: not looked at */
    const char *detail;
} slips[] = {
    /* the XML itself */
    {ELBOW, "</region>", "</regoin>", DIAG_XML_SYNTAX, 0, NULL, ""},
    {ELBOW, "<region name", "<!DOCTYPE region []><region name", DIAG_XML_UNSAFE, 0, NULL, ""},
    /* elements */
    {GENERAL, "general>", "generel>", DIAG_XML_ELEMENT, 1, "generel", "nearest is general"},
    {ELBOW, "<goniometry plane", "<goniometri plane", DIAG_XML_ELEMENT, 15, "goniometri",
     "nearest is goniometry"},
    {ELBOW, "<compensation test=\"mmt\"", "<grade test=\"mmt\"", DIAG_XML_ELEMENT, 26, "grade",
     "not known in motion"},
    {ELBOW, "  </motion>\n", "  stray</motion>\n", DIAG_XML_ELEMENT, 2, "motion",
     "text between elements"},
    /* attributes */
    {ELBOW, "sd-deg=", "sd-dge=", DIAG_XML_ATTRIBUTE, 4, "sd-dge", "nearest is sd-deg"},
    {ELBOW, "position-gravity-minimized=", "position-gravity-minimised=", DIAG_XML_ATTRIBUTE, 20,
     "position-gravity-minimised", "nearest is position-gravity-minimized"},
    {ELBOW, "kind=\"handbook\" ", "", DIAG_XML_ATTRIBUTE, 4, "normal", "kind is missing"},
    {ELBOW, "<region name=\"elbow-forearm\">", "<region>", DIAG_XML_ATTRIBUTE, 1, "region",
     "name is missing"},
    {ELBOW, " unit=\"deg\" tests=\"rom+mmt\"", " tests=\"rom+mmt\"", DIAG_XML_ATTRIBUTE, 2,
     "motion", "unit is missing for a range"},
    {SOURCES, "citation=\"A handbook\"", "", DIAG_XML_ATTRIBUTE, 2, "source",
     "citation is missing"},
    {ELBOW, "<error mode=\"passive\"", "<error joint=\"elbow\"", DIAG_XML_ATTRIBUTE, 28, "joint",
     "those of the motion around it"},
    {ELBOW, "<error joint=\"elbow\" motion=\"*\"", "<error joint=\"elbow\"", DIAG_XML_ATTRIBUTE, 34,
     "error", "* is any"},
    /* values */
    {ELBOW, "sd-deg=\"6\"", "sd-deg=\"\"", DIAG_XML_VALUE, 4, "sd-deg", "leave the attribute out"},
    {ELBOW, "sd-deg=\"6\"", "sd-deg=\" \"", DIAG_XML_VALUE, 4, "sd-deg", "leave the attribute out"},
    {ELBOW, "sd-deg=\"6\"", "sd-deg=\"6,1\"", DIAG_XML_VALUE, 4, "sd-deg", "6,1 is not a number"},
    {ELBOW, "normal-deg=\"150\"", "normal-deg=\"1e2\"", DIAG_XML_VALUE, 4, "normal-deg",
     "1e2 is not a number"},
    {ELBOW, "order=\"20\"", "order=\"20.5\"", DIAG_XML_VALUE, 32, "order", "not a whole number"},
    {ELBOW, "order=\"20\"", "order=\"20000000\"", DIAG_XML_VALUE, 32, "order",
     "not a whole number"},
    {ELBOW, "sex=\"male\"", "sex=\"mael\"", DIAG_XML_VALUE, 9, "sex", "nearest is male"},
    {ELBOW, "range-kind=\"p5-p95\"", "range-kind=\"p5-p96\"", DIAG_XML_VALUE, 11, "range-kind",
     "nearest is p5-p95"},
    {ELBOW, "position=\"supine\"", "position=\"suppine\"", DIAG_XML_VALUE, 15, "position",
     "nearest is supine"},
    {ELBOW, "end-feel=\"soft\"", "end-feel=\"squidgy\"", DIAG_XML_VALUE, 17, "end-feel", "squidgy"},
    {ELBOW, "end-feel-also=\"firm;hard\"", "end-feel-also=\"firm;hrad\"", DIAG_XML_VALUE, 17,
     "end-feel-also", "hrad"},
    {ELBOW, "digits=\"2-5\"", "digits=\"2-6\"", DIAG_XML_VALUE, 33, "digits", "not like 2-5"},
    {ELBOW, "digits=\"2-5\"", "digits=\"5-2\"", DIAG_XML_VALUE, 33, "digits", "not like 2-5"},
    {ELBOW, "digits=\"2-5\"", "digits=\"0-5\"", DIAG_XML_VALUE, 33, "digits", "not like 2-5"},
    {ELBOW, "digits=\"2-5\"", "digits=\"2\"", DIAG_XML_VALUE, 33, "digits", "not like 2-5"},
    {ELBOW, "<error joint=\"elbow\" motion=\"*\"", "<error joint=\"elbwo\" motion=\"*\"",
     DIAG_XML_VALUE, 34, "joint", "nearest is elbow"},
    {ELBOW, "<error joint=\"elbow\" motion=\"*\"", "<error joint=\"elbow\" motion=\"spin\"",
     DIAG_XML_VALUE, 34, "motion", "spin is not a motion of elbow"},
    {ELBOW, "<error joint=\"elbow\" motion=\"*\"", "<error joint=\"*\" motion=\"*\"",
     DIAG_XML_VALUE, 34, "joint", "only the general file"},
    {GENERAL, "joint=\"*\"", "joint=\"elbow\"", DIAG_XML_VALUE, 2, "joint",
     "only the general file"},
    {GENERAL, "motion=\"*\"", "motion=\"flexion\"", DIAG_XML_VALUE, 2, "joint",
     "only the general file"},
    /* sources and how a figure is known */
    {ELBOW, "kind=\"handbook\" source-id=\"BOOK\"", "kind=\"handbook\" source-id=\"BOOC\"",
     DIAG_REFERENCE_SOURCE, 5, "source-id", "nearest is BOOK"},
    {GENERAL, "source-id=\"COMMON\"", "source-id=\"QQQQ\"", DIAG_REFERENCE_SOURCE, 3, "source-id",
     "QQQQ"},
    {ELBOW, "how-known=\"seen: x\" unit", "how-known=\"trust me\" unit", DIAG_REFERENCE_KNOWN, 6,
     "how-known", "trust me"},
    /* defaults */
    {ELBOW, "role=\"default\"", "role=\"alt\"", DIAG_REFERENCE_DEFAULT, 2, "motion",
     "no default for elbow flexion"},
    {ELBOW, "role=\"stratum\"", "role=\"default\"", DIAG_REFERENCE_DEFAULT, 10, "role",
     "a second default"},
    {ELBOW, "age-max=\"120\"\n        sex=\"any\"", "age-max=\"120\"\n        sex=\"male\"",
     DIAG_REFERENCE_DEFAULT, 6, "role", "any age, sex and side"},
    {ELBOW, "age-max=\"120\"", "age-max=\"119\"", DIAG_REFERENCE_DEFAULT, 6, "role",
     "any age, sex and side"},
    {ELBOW, "age-min=\"0\" age-max=\"120\"", "age-min=\"1\" age-max=\"120\"",
     DIAG_REFERENCE_DEFAULT, 6, "role", "any age, sex and side"},
    {ELBOW, "side=\"any\"", "side=\"left\"", DIAG_REFERENCE_DEFAULT, 6, "role",
     "any age, sex and side"},
    {ELBOW, "kind=\"handbook\"", "kind=\"study\"", DIAG_REFERENCE_DEFAULT, 6, "role",
     "a handbook or a law"},
    {ELBOW, "tests=\"rom+mmt\"", "tests=\"mmt\"", DIAG_REFERENCE_DEFAULT, 2, "motion",
     "has no range of motion"},
    /* figures that contradict each other */
    {ELBOW, "normal-deg=\"150\"", "normal-deg=\"1500\"", DIAG_REFERENCE_FIGURE, 4, "normal-deg",
     "above max-plausible-deg"},
    {ELBOW, "normal-deg=\"141\"", "normal-deg=\"144\"", DIAG_REFERENCE_FIGURE, 8, "normal-deg",
     "outside its ci95"},
    {ELBOW, "range-low=\"130\"", "range-low=\"142\"", DIAG_REFERENCE_FIGURE, 8, "normal-deg",
     "outside its range"},
    {ELBOW, "ci95-low=\"139\" ", "", DIAG_REFERENCE_FIGURE, 8, "normal", "ci95 has one end only"},
    {ELBOW, "ci95-low=\"139\"", "ci95-low=\"149\"", DIAG_REFERENCE_FIGURE, 8, "normal",
     "the low end of ci95"},
    {ELBOW, " range-kind=\"p5-p95\"", "", DIAG_REFERENCE_FIGURE, 8, "normal",
     "range and range-kind go together"},
    {ELBOW, "sd-deg=\"6\"", "sd-deg=\"0\"", DIAG_REFERENCE_FIGURE, 4, "sd-deg", "above 0"},
    {ELBOW, "n=\"9\" mode", "n=\"0\" mode", DIAG_REFERENCE_FIGURE, 5, "n", "1 or more"},
    {ELBOW, "age-min=\"20\"", "age-min=\"50\"", DIAG_REFERENCE_FIGURE, 8, "age-min",
     "not below age-max"},
    {ELBOW, "qualifier=\"prone\" ", "", DIAG_REFERENCE_FIGURE, 14, "role", "needs a qualifier"},
    {ELBOW, "how-known=\"memory\" unit=\"deg\"", "how-known=\"memory\" unit=\"cm\"",
     DIAG_REFERENCE_FIGURE, 10, "unit", "cm, but the motion is in deg"},
    {ELBOW, "sem=\"2\"", "sem=\"-2\"", DIAG_REFERENCE_FIGURE, 28, "error", "above 0"},
    {ELBOW, "mdc90=\"4\"", "mdc90=\"6\"", DIAG_REFERENCE_FIGURE, 28, "mdc90", "above mdc95"},
    {ELBOW, "icc=\"0.9\"", "icc=\"9\"", DIAG_REFERENCE_FIGURE, 29, "icc", "between -1 and 1"},
    /* repeats */
    {ELBOW, "motion=\"extension\" order", "motion=\"flexion\" order", DIAG_REFERENCE_DUPLICATE, 32,
     "motion", "motion elbow flexion"},
    {ELBOW, "order=\"20\"", "order=\"10\"", DIAG_REFERENCE_DUPLICATE, 32, "order", "order 10"},
    {ELBOW, "id=\"lean\"", "id=\"shrug\"", DIAG_REFERENCE_DUPLICATE, 26, "id", "shrug"},
    {ELBOW, "    <muscle-test", "    <goniometry/><muscle-test", DIAG_REFERENCE_DUPLICATE, 19,
     "goniometry", "goniometry of one motion"},
    {ELBOW, "    <muscle-test",
     "    <notation plane=\"S\" place=\"left-first\" source-id=\"BOOK\" how-known=\"memory\"/>"
     "<muscle-test", DIAG_XML_VALUE, 19, "place", "other-side alone"},
    {ELBOW, "    <muscle-test",
     "    <notation plane=\"X\" place=\"last\" source-id=\"BOOK\" how-known=\"memory\"/>"
     "<muscle-test", DIAG_XML_VALUE, 19, "plane", "X"},
    {ELBOW, "opposite=\"other-side\" digits=\"2-5\"/>",
     "digits=\"2-5\"><notation plane=\"S\" place=\"last\" source-id=\"BOOK\""
     " how-known=\"memory\"/></motion>", DIAG_XML_VALUE, 33, NULL, "needs an opposite"},
    {SOURCES, "id=\"COMMON\"", "id=\"BOOK\"", DIAG_REFERENCE_DUPLICATE, 3, "id", "BOOK"},
    {GRADES, "grade=\"0\"", "grade=\"1\"", DIAG_REFERENCE_DUPLICATE, 5, "grade", "1"},
    {GRADES, "mrc=\"1\" isncsci=\"1\" ", "mrc=\"1\" ", DIAG_XML_ATTRIBUTE, 2, "grade",
     "mrc and isncsci are needed"},
    {GRADES, "numeric=\"1\" ", "numeric=\"1\" optional=\"maybe\" ", DIAG_XML_VALUE, 4, "optional",
     "maybe"},
    {GRADES, "ordinal=\"0\"", "ordinal=\"1\"", DIAG_REFERENCE_DUPLICATE, 6, "ordinal", "1"},
    /* opposites */
    {ELBOW, "opposite=\"extension\"", "opposite=\"extention\"", DIAG_REFERENCE_OPPOSITE, 3,
     "opposite", "nearest is extension"},
    {ELBOW, "sides=\"left+right\" tests=\"mmt\"", "sides=\"midline\" tests=\"mmt\"",
     DIAG_REFERENCE_OPPOSITE, 33, "opposite", "other-side"},
};

static char folder[64];
static struct diag_list reported;

static void make_folder(void)
{
    snprintf(folder, sizeof folder, "/tmp/endfeel-reference-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    diag_list_init(&reported);
}

static void put_file(const char *name, const char *text)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert(fputs(text, f) >= 0);
    ck_assert_int_eq(fclose(f), 0);
}

static void remove_folder(void)
{
    static const char *const also[] = {"extra.xml"};
    char path[128];
    for (size_t i = 0; i < FILES + ARRAY_LEN(also); i++) {
        snprintf(path, sizeof path, "%s/%s", folder, i < FILES ? files[i].name : also[i - FILES]);
        remove(path);
    }
    ck_assert_int_eq(rmdir(folder), 0);
    diag_list_release(&reported);
}

static char *replaced(const char *text, const char *from, const char *to)
{
    const char *at = strstr(text, from);
    ck_assert_msg(at != NULL, "'%s' is not in the file", from);
    struct buf b;
    buf_init(&b, 1 << 16);
    buf_add(&b, text, (size_t)(at - text));
    buf_adds(&b, to);
    buf_adds(&b, at + strlen(from));
    return b.data;
}

static void put_library(int changed, const char *from, const char *to)
{
    for (int i = 0; i < FILES; i++) {
        if (i != changed) {
            put_file(files[i].name, files[i].text);
            continue;
        }
        char *first = replaced(files[i].text, from, to);
        /* a renamed element must be renamed at its end too */
        bool paired = str_eq(from, "general>");
        char *text = paired ? replaced(first, from, to) : first;
        put_file(files[i].name, text);
        if (paired)
            free(text);
        free(first);
    }
}

static const struct diag *find_report(const struct slip *s)
{
    for (size_t i = 0; i < reported.n; i++)
        if (reported.items[i].code == s->code)
            return &reported.items[i];
    return NULL;
}

START_TEST(slip_is_refused_where_it_stands)
{
    const struct slip *s = &slips[_i];
    put_library(s->file, s->from, s->to);
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert_msg(ref == NULL, "%s -> %s was accepted", s->from, s->to);
    const struct diag *d = find_report(s);
    ck_assert_msg(d != NULL, "%s -> %s: no %s, first is %s", s->from, s->to, diag_id(s->code),
                  reported.n > 0 ? diag_id(reported.items[0].code) : "nothing");
    ck_assert_ptr_nonnull(d->pos.file);
    ck_assert_ptr_nonnull(strstr(d->pos.file, files[s->file].name));
    if (s->line > 0)
        ck_assert_msg(d->pos.line == s->line, "%s -> %s: line %ld, not %ld", s->from, s->to,
                      d->pos.line, s->line);
    if (s->field != NULL)
        ck_assert_str_eq(d->pos.field, s->field);
    ck_assert_msg(strstr(d->detail != NULL ? d->detail : "", s->detail) != NULL,
                  "%s -> %s: '%s' lacks '%s'", s->from, s->to, d->detail, s->detail);
}
END_TEST

START_TEST(all_slips_are_reported_at_once)
{
    put_library(ELBOW, "sd-deg=\"6\"", "sd-deg=\"six\" colour=\"red\"");
    ck_assert_ptr_null(reference_load_folder(folder, &reported.sink));
    ck_assert_uint_eq(reported.n, 2);
}
END_TEST

START_TEST(missing_folder_and_missing_files_are_refused)
{
    ck_assert_ptr_null(reference_load_folder("/nonexistent/reference", &reported.sink));
    ck_assert_uint_eq(reported.n, 1);
    ck_assert_int_eq(reported.items[0].code, DIAG_FILE_OPEN);
    diag_list_clear(&reported);
    ck_assert_ptr_null(reference_load_folder(folder, &reported.sink));
    ck_assert_uint_eq(reported.n, 1);
    ck_assert_int_eq(reported.items[0].code, DIAG_REFERENCE_EMPTY);
    diag_list_clear(&reported);
    put_file("sources.xml", sources_xml);
    put_file("elbow.xml", elbow_xml);
    ck_assert_ptr_null(reference_load_folder(folder, &reported.sink));
    ck_assert_uint_eq(reported.n, 1);
    ck_assert_int_eq(reported.items[0].code, DIAG_REFERENCE_EMPTY);
    ck_assert_ptr_nonnull(strstr(reported.items[0].detail, "0 grades"));
}
END_TEST

START_TEST(one_motion_in_two_files_is_a_repeat)
{
    put_library(FILES, "", "");
    put_file("extra.xml", elbow_xml);
    ck_assert_ptr_null(reference_load_folder(folder, &reported.sink));
    ck_assert_uint_ge(reported.n, 1);
    ck_assert_int_eq(reported.items[0].code, DIAG_REFERENCE_DUPLICATE);
    ck_assert_ptr_nonnull(strstr(reported.items[0].pos.file, "extra.xml"));
}
END_TEST

static struct reference *load_sound(void)
{
    put_library(FILES, "", "");
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert_uint_eq(reported.n, 0);
    ck_assert_ptr_nonnull(ref);
    return ref;
}

START_TEST(white_space_in_keys_is_folded)
{
    put_library(ELBOW, "joint=\"elbow\" motion=\"flexion\"",
                "joint=\" elbow\n\" motion=\"\tflexion \"");
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert_uint_eq(reported.n, 0);
    ck_assert_ptr_nonnull(ref);
    size_t n;
    const struct error_row *e = reference_errors(ref, &n);
    ck_assert_str_eq(e[1].joint, "elbow");
    ck_assert_str_eq(e[1].motion, "flexion");
    reference_free(ref);
}
END_TEST

static void check_num(struct num n, double value)
{
    ck_assert(n.has);
    ck_assert_double_eq(n.value, value);
}

START_TEST(sound_normals_arrive_whole)
{
    struct reference *ref = load_sound();
    const struct motion *m = reference_motion(ref, "elbow", "flexion");
    ck_assert_uint_eq(m->n_norms, 3);
    const struct norm *n = m->norms;
    ck_assert_ptr_eq(m->normal, n);
    ck_assert_ptr_eq(n->motion, m);
    ck_assert_double_eq(n->normal, 150);
    check_num(n->sd, 6);
    check_num(n->n, 9);
    check_num(n->max_plausible, 170);
    ck_assert(!n->hyper_ok.has && !n->ci95_low.has && !n->range_low.has);
    ck_assert_str_eq(n->source->citation, "A handbook");
    ck_assert_str_eq(n->source->note, "Seen.");
    ck_assert_str_eq(n->known.text, "seen: x");
    ck_assert_str_eq(n->known.mark, "");
    ck_assert_str_eq(n->qualifier, "");
    n++;
    ck_assert_int_eq(n->role, NORM_STRATUM);
    ck_assert_int_eq(n->kind, NORM_STUDY);
    ck_assert_int_eq(n->mode, MODE_ACTIVE);
    ck_assert_int_eq(n->sex, SEX_MALE);
    ck_assert_int_eq(n->side, SIDE_LEFT);
    check_num(n->ci95_low, 139);
    check_num(n->ci95_high, 143);
    check_num(n->range_low, 130);
    check_num(n->range_high, 150);
    ck_assert_str_eq(n->range_kind, "p5-p95");
    ck_assert_str_eq(n->known.mark, "unverified");
    ck_assert(!n->max_plausible.has && !n->lower_is_better);
    n++;
    ck_assert_int_eq(n->role, NORM_SPECIAL);
    ck_assert_str_eq(n->qualifier, "prone");
    ck_assert_double_eq(n->age_max, 0.3);
    ck_assert_int_eq(n->side, SIDE_RIGHT);
    ck_assert(n->lower_is_better);
    reference_free(ref);
}
END_TEST

START_TEST(sound_rows_of_a_motion_arrive_whole)
{
    struct reference *ref = load_sound();
    const struct motion *m = reference_motion(ref, "elbow", "flexion");
    const struct motion *e = reference_motion(ref, "elbow", "extension");
    ck_assert_str_eq(m->region, "elbow-forearm");
    ck_assert(m->rom && m->mmt && !e->rom && e->mmt);
    ck_assert_ptr_eq(m->opposite, e);
    ck_assert_ptr_eq(e->opposite, e);
    ck_assert_int_eq(e->unit, UNIT_NONE);
    ck_assert_ptr_null(e->normal);
    ck_assert_ptr_null(e->goniometry);
    ck_assert_ptr_null(e->muscle_test);
    ck_assert_int_eq(e->digit_min, 2);
    ck_assert_int_eq(e->digit_max, 5);
    ck_assert_int_eq(m->digit_min, 0);
    ck_assert_str_eq(m->goniometry->fulcrum, "Lateral epicondyle"); /* folded white space */
    ck_assert_int_eq(m->goniometry->end_feel, END_FEEL_SOFT);
    ck_assert_uint_eq(m->goniometry->end_feel_also, 1u << END_FEEL_FIRM | 1u << END_FEEL_HARD);
    ck_assert_str_eq(m->goniometry->stabilize, "");
    ck_assert_str_eq(m->muscle_test->position_gravity_minimized, "supine");
    ck_assert_int_eq(m->muscle_test->gravity_rule, GRAVITY_MODIFIED);
    ck_assert_uint_eq(m->n_compensations, 2);
    const struct compensation *c = m->compensations;
    ck_assert(c[0].in_rom && c[0].in_mmt && !c[1].in_rom && c[1].in_mmt);
    ck_assert(c[0].trigger_painful && !c[0].trigger_limited && !c[0].trigger_weak);
    ck_assert(!c[1].trigger_painful && c[1].trigger_limited && c[1].trigger_weak);
    check_num(c[0].typical_deficit, 10);
    ck_assert(!c[1].typical_deficit.has);
    reference_free(ref);
}
END_TEST

START_TEST(sound_errors_and_grades_arrive_in_order)
{
    struct reference *ref = load_sound();
    size_t n;
    const struct error_row *e = reference_errors(ref, &n);
    ck_assert_uint_eq(n, 3);
    ck_assert_ptr_null(e[0].joint);
    ck_assert_ptr_null(e[0].motion);
    ck_assert(e[0].rule_of_thumb && !e[0].derived && !e[0].inter);
    check_num(e[0].mdc95, 5);
    ck_assert_str_eq(e[0].known.mark, "common practice, unverified");
    ck_assert_str_eq(e[1].joint, "elbow");
    ck_assert_str_eq(e[1].motion, "flexion");
    ck_assert(!e[1].rule_of_thumb && e[1].derived && e[1].inter);
    ck_assert_int_eq(e[1].instrument, INSTRUMENT_TAPE);
    ck_assert_int_eq(e[1].mode, MODE_PASSIVE);
    check_num(e[1].sem, 2);
    check_num(e[1].mdc90, 4);
    check_num(e[1].mdc95, 5.5);
    check_num(e[1].icc, 0.9);
    ck_assert_str_eq(e[1].population, "healthy");
    ck_assert_str_eq(e[1].n, "9");
    ck_assert_str_eq(e[2].joint, "elbow");
    ck_assert_ptr_null(e[2].motion);
    ck_assert_int_eq(e[2].instrument, INSTRUMENT_UNKNOWN);
    ck_assert_int_eq(e[2].mode, MODE_UNSPECIFIED);
    ck_assert_str_eq(e[2].population, "");
    /* Without thresholds of its own it has those compiled in. */
    ck_assert_double_eq(reference_threshold(ref, THRESHOLD_ADULT_AGE), 18);
    const struct grade *g = reference_grade_at(ref, 0, &n);
    ck_assert_uint_eq(n, 2);
    ck_assert_str_eq(g->text, "0"); /* by ordinal, not by place in the file */
    ck_assert_str_eq(g->kendall, "");
    ck_assert_str_eq(reference_grade_at(ref, 1, NULL)->kendall, "T");
    ck_assert_ptr_null(reference_grade_at(ref, 2, &n));
    reference_free(ref);
}
END_TEST

START_TEST(digest_follows_the_bytes)
{
    struct reference *ref = load_sound();
    char before[DIGEST_HEX];
    snprintf(before, sizeof before, "%s", reference_digest(ref));
    reference_free(ref);
    ck_assert_uint_eq(strlen(before), DIGEST_HEX - 1);
    ref = load_sound();
    ck_assert_str_eq(reference_digest(ref), before);
    reference_free(ref);
    put_file("sources.xml", "<!-- touched -->\n<sources>\n"
                            "<source id=\"BOOK\" citation=\"A\"/>"
                            "<source id=\"COMMON\" citation=\"B\"/></sources>");
    ref = reference_load_folder(folder, &reported.sink);
    ck_assert_ptr_nonnull(ref);
    ck_assert_str_ne(reference_digest(ref), before);
    reference_free(ref);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference load");
    TCase *t = tcase_create("folders");
    tcase_add_checked_fixture(t, make_folder, remove_folder);
    tcase_add_test(t, missing_folder_and_missing_files_are_refused);
    tcase_add_loop_test(t, slip_is_refused_where_it_stands, 0, (int)ARRAY_LEN(slips));
    tcase_add_test(t, all_slips_are_reported_at_once);
    tcase_add_test(t, one_motion_in_two_files_is_a_repeat);
    tcase_add_test(t, white_space_in_keys_is_folded);
    tcase_add_test(t, sound_normals_arrive_whole);
    tcase_add_test(t, sound_rows_of_a_motion_arrive_whole);
    tcase_add_test(t, sound_errors_and_grades_arrive_in_order);
    tcase_add_test(t, digest_follows_the_bytes);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
