/* The spellings of the library: slips first, then that each means something and one thing only. */
#include "unit.h"

#include "reference/reference.h"

#include <string.h>
#include <unistd.h>

static char folder[64];
static struct diag_list reported;

/* The library of the source tree with another vocabulary.xml. */
static struct reference *load_with(const char *vocabulary)
{
    struct arena *a = arena_new();
    struct diag_sink quiet = {0};
    const char **paths;
    size_t n;
    snprintf(folder, sizeof folder, "/tmp/endfeel-vocabulary-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    ck_assert(file_list("src/reference", ".xml", a, &paths, &n, &quiet));
    for (size_t i = 0; i < n; i++) {
        const char *name = strrchr(paths[i], '/') + 1;
        if (strcmp(name, "vocabulary.xml") == 0)
            continue;
        char *from = realpath(paths[i], NULL);
        ck_assert_int_eq(symlink(from, arena_printf(a, "%s/%s", folder, name)), 0);
        free(from);
    }
    const char *own = arena_printf(a, "%s/vocabulary.xml", folder);
    ck_assert(file_write(own, vocabulary, strlen(vocabulary), &quiet));
    diag_list_init(&reported);
    struct reference *ref = reference_load_folder(folder, &reported.sink);
    ck_assert(file_list(folder, ".xml", a, &paths, &n, &quiet));
    for (size_t i = 0; i < n; i++)
        remove(paths[i]);
    ck_assert_int_eq(rmdir(folder), 0);
    arena_free(a);
    return ref;
}

#define OPEN "<vocabulary how-known=\"common practice\">\n"
#define CLOSE "</vocabulary>"
static const struct {
    const char *text;
    enum diag_code code;
    long line;
    const char *detail;
} slips[] = {
    {"<vocabulary><spelling text=\"a\" kind=\"filler\"/></vocabulary>", DIAG_XML_ATTRIBUTE, 1,
     "how-known is missing"},
    {"<vocabulary how-known=\"somewhere\"><spelling text=\"a\" kind=\"filler\"/></vocabulary>",
     DIAG_REFERENCE_KNOWN, 1, "somewhere"},
    {OPEN "<word text=\"a\"/>" CLOSE, DIAG_XML_ELEMENT, 2, "word is not known in vocabulary"},
    {OPEN "<spelling kind=\"filler\"/>" CLOSE, DIAG_XML_ATTRIBUTE, 2, "text is missing"},
    {OPEN "<spelling text=\"a\"/>" CLOSE, DIAG_XML_ATTRIBUTE, 2, "kind is missing"},
    {OPEN "<spelling text=\"a\" kind=\"joints\" means=\"knee\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "nearest is joint"},
    {OPEN "<spelling text=\"a\" kind=\"joint\" mean=\"knee\"/>" CLOSE, DIAG_XML_ATTRIBUTE, 2,
     "nearest is means"},
    {OPEN "<spelling text=\"Kn\" kind=\"joint\" means=\"knee\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "small letters"},
    {OPEN "<spelling text=\"a-b\" kind=\"joint\" means=\"knee\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "small letters"},
    {OPEN "<spelling text=\"a\" kind=\"joint\" means=\"knees\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "knees is not known"},
    {OPEN "<spelling text=\"a\" kind=\"joint\"/>" CLOSE, DIAG_XML_VALUE, 2, "not known"},
    {OPEN "<spelling text=\"a\" kind=\"motion\" means=\"bending\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "bending"},
    {OPEN "<spelling text=\"a\" kind=\"muscle\" means=\"knee bending\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "knee bending"},
    {OPEN "<spelling text=\"a\" kind=\"muscle\" means=\"knee\"/>" CLOSE, DIAG_XML_VALUE, 2, "knee"},
    {OPEN "<spelling text=\"a\" kind=\"side\" means=\"both\"/>" CLOSE, DIAG_XML_VALUE, 2, "both"},
    {OPEN "<spelling text=\"a\" kind=\"unit\" means=\"stone\"/>" CLOSE, DIAG_XML_VALUE, 2, "stone"},
    {OPEN "<spelling text=\"a\" kind=\"limb\" means=\"right\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "right"},
    {OPEN "<spelling text=\"a\" kind=\"limb\" means=\"left \"/>" CLOSE, DIAG_XML_VALUE, 2, "left"},
    {OPEN "<spelling text=\"a\" kind=\"limb\" means=\"right leg\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "right leg"},
    {OPEN "<spelling text=\"a\" kind=\"limb\" means=\"knee left\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "knee left"},
    {OPEN "<spelling text=\"a\" kind=\"test\" means=\"ROM\"/>" CLOSE, DIAG_XML_VALUE, 2, "ROM"},
    {OPEN "<spelling text=\"a\" kind=\"timing\" means=\"later\"/>" CLOSE, DIAG_XML_VALUE, 2,
     "later"},
    {OPEN "<spelling text=\"a\" kind=\"digit\" means=\"6\"/>" CLOSE, DIAG_XML_VALUE, 2, "6"},
    {OPEN "<spelling text=\"a\" kind=\"digit\" means=\"12\"/>" CLOSE, DIAG_XML_VALUE, 2, "12"},
    {OPEN "<spelling text=\"a\" kind=\"filler\" means=\"x\"/>" CLOSE, DIAG_XML_VALUE, 2, "x"},
    {OPEN "<spelling text=\"a\" kind=\"position\"/>" CLOSE, DIAG_XML_VALUE, 2, "not known"},
    {OPEN "<spelling text=\"a\" kind=\"position-column\"/>" CLOSE, DIAG_XML_VALUE, 2, "not known"},
    {OPEN "<spelling text=\"a\" kind=\"joint\" means=\"knee\"/>\n"
          "<spelling text=\"a\" kind=\"motion\" means=\"flexion\"/>" CLOSE,
     DIAG_REFERENCE_DUPLICATE, 3, "a"},
};

START_TEST(slips_are_refused)
{
    struct reference *ref = load_with(slips[_i].text);
    ck_assert_msg(ref == NULL, "accepted: %s", slips[_i].text);
    ck_assert_uint_ge(reported.n, 1);
    ck_assert_str_eq(diag_id(reported.items[0].code), diag_id(slips[_i].code));
    ck_assert_int_eq(reported.items[0].pos.line, slips[_i].line);
    ck_assert_msg(strstr(reported.items[0].detail, slips[_i].detail) != NULL, "%s: %s",
                  slips[_i].text, reported.items[0].detail);
    diag_list_release(&reported);
}
END_TEST

/* A column's header may be spelt like a word: the two are looked up apart. */
START_TEST(sorted_with_columns_last)
{
    size_t n;
    struct reference *ref =
        load_with(OPEN "<spelling text=\"side\" kind=\"column\" means=\"side\"/>"
                       "<spelling text=\"side\" kind=\"filler\"/>"
                       "<spelling text=\"kn\" kind=\"joint\" means=\"knee\"/>" CLOSE);
    ck_assert_ptr_nonnull(ref);
    const struct spelling *s = reference_spellings(ref, &n);
    ck_assert_uint_eq(n, 3);
    ck_assert_str_eq(s[0].text, "kn");
    ck_assert_str_eq(s[0].means, "knee");
    ck_assert_int_eq(s[1].kind, SPELLING_FILLER);
    ck_assert_str_eq(s[1].means, "");
    ck_assert_int_eq(s[2].kind, SPELLING_COLUMN);
    reference_free(ref);
    diag_list_release(&reported);
}
END_TEST

/* A library without a vocabulary knows its keys alone. */
START_TEST(vocabulary_may_be_empty)
{
    size_t n = 1;
    struct reference *ref = load_with("<vocabulary how-known=\"common practice\"/>");
    ck_assert_ptr_nonnull(ref);
    reference_spellings(ref, &n);
    ck_assert_uint_eq(n, 0);
    reference_free(ref);
    diag_list_release(&reported);
}
END_TEST

/* Spellings a reviewer would look for, and those that must never be there: they mean two things. */
static const struct {
    const char *text;
    const char *means; /* NULL: must not be known */
} known[] = {
    {"er", "external-rotation"}, {"df", "dorsiflexion"}, {"pf", "plantar-flexion"},
    {"habd", "horizontal-abduction"}, {"ever", "eversion"}, {"prot", "protrusion"},
    {"mr", "internal-rotation"}, {"sf", "lateral-flexion"}, {"rt", "right"}, {"lt", "left"},
    {"gh", "shoulder"}, {"c s", "cervical"}, {"tcj", "ankle"}, {"tfj", "knee"},
    {"quads", "knee extension"}, {"d2", "2"}, {"kf", "knee bent"}, {"ke", "knee straight"},
    {"ge", "gravity-minimised"}, {"hhd", "force"}, {"rom", "range"}, {"rrom", "assisted"},
    {"ip", NULL}, {"lr", NULL}, {"ha", NULL}, {"mp", NULL}, {"mcp", NULL}, {"p", NULL},
    {"a", NULL}, {"st", NULL}, {"sc", NULL}, {"he", NULL}, {"ac", NULL}, {"hs", NULL},
    {"ta", NULL}, {"b", NULL}, {"ls", NULL}, {"op", NULL}, {"gm", NULL}, {"lf", "lateral-flexion"},
};

static struct reference *embedded;

static void load(void)
{
    struct diag_sink quiet = {0};
    embedded = reference_load_embedded(&quiet);
    ck_assert_ptr_nonnull(embedded);
}

static void release(void)
{
    reference_free(embedded);
}

START_TEST(trade_spellings)
{
    size_t n;
    const struct spelling *list = reference_spellings(embedded, &n), *found = NULL;
    for (size_t i = 0; i < n; i++)
        if (list[i].kind != SPELLING_COLUMN && list[i].kind != SPELLING_STATED &&
            strcmp(list[i].text, known[_i].text) == 0)
            found = &list[i];
    ck_assert_msg((found != NULL) == (known[_i].means != NULL), "%s", known[_i].text);
    if (found != NULL)
        ck_assert_str_eq(found->means, known[_i].means);
    ck_assert_uint_ge(n, 500);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference vocabulary");
    TCase *c = tcase_create("vocabulary");
    tcase_add_loop_test(c, slips_are_refused, 0, (int)ARRAY_LEN(slips));
    tcase_add_test(c, sorted_with_columns_last);
    tcase_add_test(c, vocabulary_may_be_empty);
    suite_add_tcase(s, c);
    c = tcase_create("embedded");
    tcase_add_unchecked_fixture(c, load, release);
    tcase_add_loop_test(c, trade_spellings, 0, (int)ARRAY_LEN(known));
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
