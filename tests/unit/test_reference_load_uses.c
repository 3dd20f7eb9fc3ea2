/* One slip in the real tables of patterns, activities and strength is refused, with its code, field
 * and detail. Run from the top of the project. */
#include "unit.h"

#include "reference/reference.h"

#include <string.h>
#include <unistd.h>

static const struct slip {
    const char *file, *from, *to;
    enum diag_code code;
    const char *field, *detail; /* field NULL: not looked at */
} slips[] = {
    /* elements */
    {"patterns.xml", "<loss test", "<lost test", DIAG_XML_ELEMENT, "lost", "nearest is loss"},
    {"sums.xml", "<cut-off ", "<cutoff ", DIAG_XML_ELEMENT, "cutoff", "nearest is cut-off"},
    {"demands.xml", "<icf-code code=\"d110\"", "<demand code=\"d110\"", DIAG_XML_ATTRIBUTE, NULL,
     "not known here"},
    /* patterns */
    {"patterns.xml", "joint=\"shoulder\" anatomical", "joint=\"sholder\" anatomical",
     DIAG_XML_VALUE, "joint", "nearest is shoulder"},
    {"patterns.xml", "motion-order=\"flexion&gt;extension\"",
     "motion-order=\"flexion&gt;extention\"", DIAG_XML_VALUE, "motion", "nearest is extension"},
    {"patterns.xml", "joint=\"elbow\" anatomical", "joint=\"shoulder\" anatomical",
     DIAG_REFERENCE_DUPLICATE, "joint", "shoulder"},
    {"patterns.xml", "test=\"least\"", "test=\"leest\"", DIAG_XML_VALUE, "test",
     "nearest is least"},
    {"patterns.xml", "test=\"least\" motion=\"external-rotation\" value=\"20\"",
     "test=\"least\" motion=\"external-rotation\"", DIAG_XML_ATTRIBUTE, NULL, "value is missing"},
    {"patterns.xml", "test=\"limited\" motion=\"opening\"",
     "test=\"limited\" motion=\"opening\" value=\"3\"", DIAG_XML_ATTRIBUTE, NULL, "takes no value"},
    {"patterns.xml", "test=\"over\" motion=\"flexion\" other=\"radial-deviation\"",
     "test=\"over\" motion=\"flexion\"", DIAG_XML_ATTRIBUTE, NULL, "other is missing"},
    {"patterns.xml", "test=\"least\" motion=\"abduction\"",
     "test=\"least\" motion=\"abduction\" other=\"flexion\"", DIAG_XML_ATTRIBUTE, NULL,
     "takes no other"},
    {"patterns.xml", "value=\"0\" high=\"1\"", "value=\"0\"", DIAG_XML_ATTRIBUTE, NULL,
     "a ratio, and nothing else"},
    {"patterns.xml", "value=\"0.03\" high=\"0.5\"", "value=\"0.6\" high=\"0.5\"",
     DIAG_REFERENCE_FIGURE, "high", "below value"},
    {"patterns.xml", "skip-with=\"short-calf\"", "skip-with=\"short-calfs\"", DIAG_XML_VALUE,
     "skip-with", "no muscle-length"},
    {"patterns.xml", "id=\"short-hamstrings\" joint=\"hip\" motion=\"flexion\"",
     "id=\"short-hamstrings\" joint=\"ankle\" motion=\"dorsiflexion\"", DIAG_REFERENCE_DUPLICATE,
     "motion", "dorsiflexion"},
    {"patterns.xml", "id=\"weak-painless\"", "id=\"strong-painful\"", DIAG_REFERENCE_DUPLICATE,
     "id", "strong-painful"},
    {"patterns.xml", "grade=\"3+\"", "grade=\"3*\"", DIAG_XML_VALUE, "grade", "3*"},
    {"patterns.xml", "limb=\"neck\"", "limb=\"nek\"", DIAG_XML_VALUE, "limb", "nearest is neck"},
    {"patterns.xml", "isncsci-key=\"yes\"", "isncsci-key=\"y\"", DIAG_XML_VALUE, "isncsci-key",
     "y"},
    {"patterns.xml", "how-known=\"common practice; memory\"", "how-known=\"heard\"",
     DIAG_REFERENCE_KNOWN, "how-known", "heard"},
    /* activities */
    {"demands.xml", "joint=\"cervical\"", "joint=\"cervicle\"", DIAG_XML_VALUE, "joint",
     "nearest is cervical"},
    {"demands.xml", "needed=\"67.6\"", "needed=\"67,6\"", DIAG_XML_VALUE, "needed", "67,6"},
    {"demands.xml", "unit=\"deg\"", "unit=\"mm\"", DIAG_REFERENCE_FIGURE, "unit",
     "not that of the motion"},
    {"demands.xml", "unit=\"%\" basis=\"arc\" role=\"special\"",
     "unit=\"%\" basis=\"arc\" role=\"default\"", DIAG_REFERENCE_FIGURE, "role", "never a default"},
    {"demands.xml", "from=\"5\"", "from=\"50\"", DIAG_REFERENCE_FIGURE, "from", "not below needed"},
    {"demands.xml", "sd=\"6.7\"", "sd=\"0\"", DIAG_REFERENCE_FIGURE, "sd", "above 0"},
    {"demands.xml", "age-min=\"18\" age-max=\"39\"", "age-min=\"18\"", DIAG_REFERENCE_FIGURE, NULL,
     "age-min and age-max"},
    {"demands.xml", "age-min=\"18\" age-max=\"39\"", "age-min=\"40\" age-max=\"39\"",
     DIAG_REFERENCE_FIGURE, NULL, "age-min and age-max"},
    {"demands.xml", "icf-code=\"d4751\"", "icf-code=\"d4759\"", DIAG_XML_VALUE, "icf-code",
     "no title"},
    {"demands.xml", "code=\"d166\" title", "code=\"d110\" title", DIAG_REFERENCE_DUPLICATE, "code",
     "d110"},
    {"demands.xml", "role=\"alt\"", "role=\"default\"", DIAG_REFERENCE_DEFAULT, "role",
     "a second default"},
    {"demands.xml", "source-id=\"BENNETT2002\"", "source-id=\"BENNET2002\"", DIAG_REFERENCE_SOURCE,
     "source-id", "BENNETT2002"},
    {"demands.xml", "knee=\"bent\"", "knee=\"bend\"", DIAG_XML_VALUE, "knee", "nearest is bent"},
    /* forces */
    {"force.xml", "mean=\"121.0\"", "mean=\"21.0\"", DIAG_REFERENCE_FIGURE, "mean",
     "outside low and high"},
    {"force.xml", "sd=\"20.6\"", "sd=\"0\"", DIAG_REFERENCE_FIGURE, "sd", "above 0"},
    {"force.xml", "se=\"3.8\"", "se=\"38\"", DIAG_REFERENCE_FIGURE, "se", "between 0 and sd"},
    {"force.xml", "low=\"91\"", "low=\"191\"", DIAG_REFERENCE_FIGURE, "low", "above high"},
    {"force.xml", "age-min=\"20\" age-max=\"24\"", "age-min=\"25\" age-max=\"24\"",
     DIAG_REFERENCE_FIGURE, "age-min", "above age-max"},
    {"force.xml", "joint=\"knee\" motion=\"extension\"", "joint=\"knee\"", DIAG_XML_ATTRIBUTE, NULL,
     "go together"},
    {"force.xml", "muscle=\"grip\" ", "", DIAG_XML_ATTRIBUTE, NULL, "or a muscle"},
    {"force.xml", "unit=\"lbf\"", "unit=\"lb\"", DIAG_XML_VALUE, "unit", "nearest is lbf"},
    {"force.xml", "range-kind=\"observed\"", "range-kind=\"normal\"", DIAG_XML_VALUE, "range-kind",
     "normal"},
    /* the rank of sources */
    {"sources.xml", "<peers-rank source-id=\"YOUDAS1992\"", "<peers-rank source-id=\"YOUDAS1991\"",
     DIAG_REFERENCE_SOURCE, "source-id", "YOUDAS1992"},
    {"sources.xml", "<peers-rank source-id=\"YOUDAS1992\"", "<peers-rank source-id=\"GILL2020\"",
     DIAG_REFERENCE_DUPLICATE, "source-id", "GILL2020"},
    {"sources.xml", "<peers-rank source-id=\"YOUDAS1992\" how-known=\"own wording\"/>",
     "<peers-rank source-id=\"YOUDAS1992\" how-known=\"guessed\"/>", DIAG_REFERENCE_KNOWN,
     "how-known", "guessed"},
    /* sums */
    {"grades.xml", "grade-4=\"2\"", "grade-4=\"25\"", DIAG_REFERENCE_FIGURE, "grade-5",
     "asks for as many"},
    {"grades.xml", "<heel-rises id=\"20\"", "<heel-rises id=\"quality\"", DIAG_REFERENCE_DUPLICATE,
     "id", "quality"},
    {"grades.xml", "source-id=\"HEELRISE_EXAM\"", "source-id=\"HEELRISE_EXAN\"",
     DIAG_REFERENCE_SOURCE, "source-id", "HEELRISE_EXAM"},
    {"grades.xml", " source-id=\"HEELRISE_EXAM\"", "", DIAG_XML_ATTRIBUTE, "heel-rises",
     "source-id is missing"},
    {"thresholds.xml", "id=\"adult-age\"", "id=\"adult-aeg\"", DIAG_XML_VALUE, "id",
     "nearest is adult-age"},
    {"thresholds.xml", "id=\"loss-mild\"", "id=\"loss-severe\"", DIAG_REFERENCE_DUPLICATE, "id",
     "loss-severe"},
    {"thresholds.xml", "value=\"18\"", "value=\"0\"", DIAG_REFERENCE_FIGURE, "value", "above 0"},
    {"thresholds.xml", "value=\"18\"", "value=\"-18\"", DIAG_REFERENCE_FIGURE, "value", "above 0"},
    {"thresholds.xml", "value=\"18\"", "value=\"adult\"", DIAG_XML_VALUE, "value", "not a number"},
    {"thresholds.xml",
     "  <threshold id=\"adult-age\" rules=\"peers\" value=\"18\" unit=\"years\"\n"
     "      meaning=\"below this age a missing group is told as missing figures for a child\"\n"
     "      source=\"age of majority in most laws\" how-known=\"common practice\"/>\n",
     "", DIAG_REFERENCE_FIGURE, "id", "no threshold adult-age"},
    {"thresholds.xml", "source=\"own\" how-known=\"own wording\"/>",
     "source=\"own\" how-known=\"somewhere\"/>", DIAG_REFERENCE_KNOWN, "how-known", "somewhere"},
    {"sums.xml", "id=\"isncsci-lems\"", "id=\"isncsci-uems\"", DIAG_REFERENCE_DUPLICATE, "id",
     "isncsci-uems"},
    {"sums.xml", "max-per-item=\"5\"", "max-per-item=\"4\"", DIAG_REFERENCE_FIGURE, "max-total",
     "items times"},
    {"sums.xml", "max-total=\"50\"", "max-total=\"51\"", DIAG_REFERENCE_FIGURE, "max-total",
     "items times"},
    {"sums.xml", "joint=\"wrist\" motion=\"extension\"", "joint=\"wrist\" motion=\"extensor\"",
     DIAG_XML_VALUE, "motion", "nearest is extension"},
    {"sums.xml", "instead-of=\"mrc-sum-score\"", "instead-of=\"mrc-sum\"", DIAG_XML_VALUE,
     "instead-of", "no score above"},
    {"sums.xml", "compare=\"below\"", "compare=\"under\"", DIAG_XML_VALUE, "compare", "under"},
    /* checks of grades */
    {"grades.xml", "severity=\"error\"", "severity=\"grave\"", DIAG_XML_VALUE, "severity", "grave"},
    {"grades.xml", "<check id=\"three-or-more-needs-full-range\"",
     "<check id=\"three-or-more-in-minimised-position\"", DIAG_REFERENCE_DUPLICATE, "id",
     "three-or-more-in-minimised-position"},
};

static char folder[64];
static struct arena *arena;
static struct diag_list reported;

static void make_folder(void)
{
    snprintf(folder, sizeof folder, "/tmp/reference-uses-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    arena = arena_new();
    diag_list_init(&reported);
}

/* Calls `each` for the path of every file of the library and of its copy. */
static void for_files(void (*each)(const char *from, const char *to, const struct slip *s),
                      const struct slip *s)
{
    const char **paths = NULL;
    size_t n = 0;
    ck_assert(file_list("src/reference", ".xml", arena, &paths, &n, &reported.sink));
    ck_assert_uint_gt(n, 10);
    for (size_t i = 0; i < n; i++)
        each(paths[i], arena_printf(arena, "%s/%s", folder, strrchr(paths[i], '/') + 1), s);
}

static void copy(const char *from, const char *to, const struct slip *s)
{
    struct buf text, changed;
    buf_init(&text, XML_FILE_MAX);
    buf_init(&changed, XML_FILE_MAX);
    ck_assert(file_read(from, XML_FILE_MAX, &text, &reported.sink));
    const char *at = NULL;
    if (s != NULL && str_eq(strrchr(from, '/') + 1, s->file)) {
        at = strstr(buf_text(&text), s->from);
        ck_assert_msg(at != NULL, "'%s' is not in %s", s->from, s->file);
        buf_add(&changed, text.data, (size_t)(at - text.data));
        buf_adds(&changed, s->to);
        buf_adds(&changed, at + strlen(s->from));
    }
    FILE *f = fopen(to, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert(fputs(buf_text(at == NULL ? &text : &changed), f) >= 0);
    ck_assert_int_eq(fclose(f), 0);
    buf_release(&text);
    buf_release(&changed);
}

static void forget(const char *from, const char *to, const struct slip *s)
{
    (void)from;
    (void)s;
    remove(to);
}

static void remove_folder(void)
{
    for_files(forget, NULL);
    ck_assert_int_eq(rmdir(folder), 0);
    arena_free(arena);
    diag_list_release(&reported);
}

static bool is_that(const struct slip *s, const struct diag *d)
{
    return d->code == s->code && (s->field == NULL || str_eq(d->pos.field, s->field)) &&
           strstr(d->detail != NULL ? d->detail : "", s->detail) != NULL;
}

START_TEST(slip_is_refused)
{
    const struct slip *s = &slips[_i];
    for_files(copy, s);
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert_msg(ref == NULL, "%s -> %s was accepted", s->from, s->to);
    ck_assert_uint_gt(reported.n, 0);
    const struct diag *first = &reported.items[0];
    for (size_t i = 0; i < reported.n; i++) {
        ck_assert_ptr_nonnull(strstr(reported.items[i].pos.file, s->file));
        ck_assert_int_gt(reported.items[i].pos.line, 0);
        if (is_that(s, &reported.items[i]))
            return;
    }
    ck_abort_msg("%s -> %s: %s %s: %s", s->from, s->to, diag_id(first->code), first->pos.field,
                 first->detail);
}
END_TEST

START_TEST(unchanged_it_is_accepted)
{
    for_files(copy, NULL);
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert_ptr_nonnull(ref);
    ck_assert_uint_eq(reported.n, 0);
    reference_free(ref);
}
END_TEST

/* A library without the further tables is whole: nothing of them is found, nothing breaks. */
START_TEST(tables_may_be_left_out)
{
    static const char *const further[] = {"patterns.xml", "demands.xml", "force.xml", "sums.xml"};
    for_files(copy, NULL);
    for (size_t i = 0; i < ARRAY_LEN(further); i++)
        ck_assert_int_eq(remove(arena_printf(arena, "%s/%s", folder, further[i])), 0);
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert_ptr_nonnull(ref);
    size_t n[7];
    (void)reference_capsulars(ref, &n[0]);
    (void)reference_muscle_lengths(ref, &n[1]);
    (void)reference_tensions(ref, &n[2]);
    (void)reference_myotomes(ref, &n[3]);
    (void)reference_demands(ref, &n[4]);
    (void)reference_force_norms(ref, &n[5]);
    (void)reference_sum_scores(ref, &n[6]);
    for (size_t i = 0; i < ARRAY_LEN(n); i++)
        ck_assert_uint_eq(n[i], 0);
    ck_assert_ptr_null(reference_tension(ref, "active-lag"));
    reference_free(ref);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference load, further tables");
    TCase *t = tcase_create("folders");
    tcase_add_checked_fixture(t, make_folder, remove_folder);
    tcase_add_loop_test(t, slip_is_refused, 0, (int)ARRAY_LEN(slips));
    tcase_add_test(t, unchanged_it_is_accepted);
    tcase_add_test(t, tables_may_be_left_out);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
