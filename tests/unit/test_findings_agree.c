/* The document of a class: what each reading is held against, who is off, which pairs and subjects
 * are drawn, and that the vocabulary knows every name. */
#include "findings_sample.h"

static struct diag_list said;
static struct reference *ref;
static struct clinic clinic;

static void setup(void)
{
    diag_list_init(&said);
    ref = reference_load_embedded(&said.sink);
    ck_assert_ptr_nonnull(ref);
    clinic = clinic_default(ref);
}

static void teardown(void)
{
    reference_free(ref);
    diag_list_release(&said);
}

static xmlDoc *document_of(const struct agree_rating *rows, size_t n, enum agree_scale scale)
{
    static const double grades[] = {0, 1, 2, 3, 3.33, 4, 5};
    struct agree_options o = {.scale = scale};
    if (scale == AGREE_GRADE) {
        o.grades = grades;
        o.n_grades = ARRAY_LEN(grades);
    }
    struct agree_result *r = agree_compute(rows, n, &o, &said.sink);
    ck_assert_ptr_nonnull(r);
    const struct agree_result *results[] = {r};
    static const struct day_tally file = {"class.csv", 9, 7, 1, 1};
    static const struct diag problem = {.code = DIAG_AGREE_VALUE,
                                        .pos = {"class.csv", 4, 3, "value"},
                                        .text = "x", .detail = "angle"};
    xmlDoc *doc = findings_agree_document(&(struct findings_class){
        .clinic = &clinic, .reference = ref, .program_version = "1", .results = results,
        .n_results = 1, .files = &file, .n_files = 1, .problems = &problem, .n_problems = 1});
    agree_free(r);
    return doc;
}

#define T "knee flexion"

START_TEST(held_against_the_instructor)
{
    static const struct agree_rating rows[] = {
        {"s1", "P", 120, 0, true, T, {0}}, {"s2", "P", 100, 0, true, T, {0}},
        {"s3", "P", 90, 0, true, T, {0}},  {"s1", "A", 125, 0, false, T, {0}},
        {"s2", "A", 106, 0, false, T, {0}}, {"s3", "A", 90, 0, false, T, {0}},
        {"s1", "B", 114.4, 1, false, T, {0}}, {"s1", "B", 114, 2, false, T, {0}},
        {"s3", "B", 91, 0, false, T, {0}}, {"s4", "A", 70, 0, false, T, {0}}};
    xmlDoc *doc = document_of(rows, ARRAY_LEN(rows), AGREE_ANGLE);
    static const struct answer answers[] = {
        {"//class/@held-against", "instructor"}, {"//class/@instructor", "yes"},
        {"//class/@raters", "2"}, {"//class/@subjects", "4"}, {"//class/@tolerance", "5"},
        {"//class/@least", "70"}, {"//class/@most", "125"},
        {"//rater[3]/@instructor", "yes"}, {"//rater[3]/@code", "C"}, {"//rater[1]/@code", "A"},
        /* exactly 5 apart is within the tolerance */
        {"count(//subject[1]/cell[@n='1'][@off])", "0"},
        {"//subject[1]/cell[@n='1']/@delta", "5"},
        {"//subject[2]/cell[@n='1']/@off", "yes"},
        {"//subject[1]/cell[@n='2']/@value", "114.2"},
        {"//subject[1]/cell[@n='2']/@tries", "2"},
        {"//subject[1]/cell[@n='2']/@off", "yes"},
        {"//subject[1]/@reference", "120"},
        /* the instructor did not measure the fourth: held against nothing */
        {"count(//subject[4]/@reference | //subject[4]/cell/@delta)", "0"},
        {"//rater[1]/@off", "1"}, {"//rater[1]/@readings", "4"}, {"//rater[2]/@gaps", "2"},
        /* a gap is a cell without a value, never 0 */
        {"count(//subject[2]/cell[@n='2'])", "1"}, {"count(//subject[2]/cell[@n='2']/@value)", "0"},
        {"//subject[2]/@gap", "yes"}, {"count(//subject[1]/@gap)", "0"},
        /* spread of the raters alone */
        {"//subject[1]/@low", "114.2"}, {"//subject[1]/@high", "125"},
        {"//subject[1]/@wide", "yes"},
        {"count(//pair)", "3"}, {"count(//pair[@drawn])", "1"},
        {"//pair[@a='A'][@b='P']/@drawn", "yes"}, {"//pair[@a='A'][@b='P']/@subjects", "3"},
        {"//pair[@a='A'][@b='P']/@bias", "3.7"}, {"count(//pair[@drawn]/point)", "3"},
        {"//pair[@drawn]/point[2]/@mean", "103"}, {"//pair[@drawn]/point[2]/@difference", "6"},
        {"//figure[@quantity='n_raters']/@value", "2"},
        {"//file/@rows", "9"}, {"//problem/@text", "x"}, {"//problem/@outcome", "held-back"}};
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

START_TEST(held_against_the_mean)
{
    static const struct agree_rating rows[] = {
        {"s1", "A", 10, 0, false, NULL, {0}}, {"s1", "B", 22, 0, false, NULL, {0}},
        {"s2", "A", 5, 0, false, NULL, {0}}};
    xmlDoc *doc = document_of(rows, ARRAY_LEN(rows), AGREE_ANGLE);
    static const struct answer answers[] = {
        {"//class/@held-against", "mean"},        {"count(//class/@instructor)", "0"},
        {"count(//class/@test)", "0"},            {"//subject[1]/@reference", "16"},
        {"//subject[1]/cell[1]/@delta", "-6"},    {"//subject[1]/cell[1]/@off", "yes"},
        {"count(//subject[2]/@reference)", "0"}, /* one reading is no mean */
        {"count(//pair[@drawn])", "0"},           {"count(//class/@reach)", "0"}};
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

/* Grades are not averaged: without an instructor only their spread is told. */
START_TEST(grades)
{
    static const struct agree_rating rows[] = {
        {"s1", "P", 4, 0, true, T, {0}}, {"s1", "A", 3, 0, false, T, {0}},
        {"s1", "B", 3.33, 0, false, T, {0}}};
    xmlDoc *doc = document_of(rows, ARRAY_LEN(rows), AGREE_GRADE);
    static const struct answer answers[] = {
        {"//class/@scale", "grade"},           {"//class/@tolerance", "1"},
        {"//subject/@reference-grade", "4"},   {"//cell[@n='1']/@grade", "3"},
        {"//cell[@n='2']/@grade", "3+"},       {"//cell[@n='1']/@off", "yes"},
        {"count(//cell[@n='2']/@off)", "0"},   {"count(//subject/@mean)", "0"},
        {"//subject/@low-grade", "3"},         {"//subject/@high-grade", "3+"},
        {"//pair[@a='A'][@b='P']/@exact", "0"}, {"//pair[@a='A'][@b='P']/@within-one", "100"}};
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
    doc = document_of(rows + 1, 2, AGREE_GRADE);
    static const struct answer without[] = {
        {"count(//class/@held-against | //subject/@reference | //cell/@delta)", "0"},
        {"count(//subject/@wide)", "0"}};
    expect(doc, without, ARRAY_LEN(without));
    findings_free(doc);
}
END_TEST

/* Of many pairs the widest six are drawn, of many subjects those that spread most. */
START_TEST(what_is_drawn_of_many)
{
    enum { SUBJECTS = 30, RATERS = 28 };
    static char subjects[SUBJECTS][8], raters[RATERS][8];
    struct agree_rating *rows = mem_alloc(SUBJECTS * RATERS * sizeof *rows);
    for (int i = 0; i < SUBJECTS; i++)
        for (int j = 0; j < RATERS; j++) {
            snprintf(subjects[i], sizeof subjects[i], "s%d", i);
            snprintf(raters[j], sizeof raters[j], "r%d", j);
            rows[i * RATERS + j] = (struct agree_rating){
                .subject = subjects[i], .rater = raters[j],
                .value = 50 + i * (j % 2) + (j == 27 ? (i % 3) * 9 : 0)};
        }
    xmlDoc *doc = document_of(rows, SUBJECTS * RATERS, AGREE_ANGLE);
    static const struct answer answers[] = {
        {"count(//pair)", "378"}, {"count(//pair[@drawn])", "6"},
        {"count(//pair[@drawn][@b='r27'])", "6"}, {"count(//subject[@drawn])", "24"},
        {"count(//subject[1]/@drawn)", "0"}, {"//subject[30]/@drawn", "yes"},
        {"//rater[26]/@code", "Z"}, {"//rater[27]/@code", "AA"}, {"//rater[28]/@code", "AB"}};
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
    free(rows);
}
END_TEST

static void walk(const xmlNode *node, const struct vocabulary_entry *names, size_t n)
{
    size_t i = 0;
    while (i < n && strcmp(names[i].element, (const char *)node->name) != 0)
        i++;
    ck_assert_msg(i < n, "element %s", node->name);
    char spaced[2048], word[80];
    for (const xmlAttr *a = node->properties; a != NULL; a = a->next) {
        snprintf(spaced, sizeof spaced, " %s ", names[i].attributes);
        snprintf(word, sizeof word, " %s ", a->name);
        ck_assert_msg(strstr(spaced, word) != NULL, "%s/@%s", node->name, a->name);
        ck_assert_int_ne(a->children->content[0], '\0');
    }
    for (const xmlNode *child = node->children; child != NULL; child = child->next) {
        snprintf(spaced, sizeof spaced, " %s ", names[i].children);
        snprintf(word, sizeof word, " %s ", child->name);
        ck_assert_msg(strstr(spaced, word) != NULL, "%s/%s", node->name, child->name);
        walk(child, names, n);
    }
}

START_TEST(the_vocabulary_knows_every_name)
{
    static const struct agree_rating rows[] = {
        {"s1", "P", 4, 0, true, T, {0}},  {"s1", "A", 3, 0, false, T, {0}},
        {"s2", "P", 5, 0, true, T, {0}},  {"s2", "A", 3, 1, false, T, {0}},
        {"s2", "A", 4, 2, false, T, {0}}, {"s3", "A", 1, 0, false, T, {0}},
        {"s3", "P", 5, 0, true, T, {0}},  {"s4", "B", 1, 0, false, T, {0}}};
    size_t n;
    const struct vocabulary_entry *names = findings_vocabulary("agree", &n);
    for (int scale = AGREE_ANGLE; scale <= AGREE_GRADE; scale++) {
        xmlDoc *doc = document_of(rows, ARRAY_LEN(rows), (enum agree_scale)scale);
        walk(xmlDocGetRootElement(doc), names, n);
        findings_free(doc);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings agree");
    TCase *t = tcase_create("all");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, held_against_the_instructor);
    tcase_add_test(t, held_against_the_mean);
    tcase_add_test(t, grades);
    tcase_add_test(t, what_is_drawn_of_many);
    tcase_add_test(t, the_vocabulary_knows_every_name);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
