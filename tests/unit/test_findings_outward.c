/* What may leave the chart: patterns, what to watch for and places in files may not; every other
 * element stays, in its order. */
#include "findings_sample.h"

START_TEST(what_goes_and_what_stays)
{
    struct sample s;
    sample_fill(&s);
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer before[] = {
        {"count(//pattern) > 0", "true"},
        {"count(//problem) > 0", "true"},
        {"count(//compensation[@kind='likely']) > 0", "true"},
        {"count(//compensation[@kind='seen']) > 0", "true"},
        {"count(//demand) > 0", "true"},
    };
    expect(doc, before, ARRAY_LEN(before));
    xmlDoc *out = findings_outward(doc);
    static const struct answer after[] = {
        {"count(//pattern | //problem | //reading | //recheck)", "0"},
        {"count(//compensation[@kind='likely'])", "0"},
    };
    expect(out, after, ARRAY_LEN(after));
    static const char *const kept[] = {
        "count(//active)", "count(//compensation[@kind='seen'])", "count(//demand)",
        "count(//@*[not(ancestor::pattern or ancestor::problem or "
        "parent::compensation[@kind='likely'])])",
        "string(/visit/@held)", "count(//source)", "count(//missing)"};
    for (size_t i = 0; i < ARRAY_LEN(kept); i++) {
        xmlXPathContext *c = xmlXPathNewContext(doc), *d = xmlXPathNewContext(out);
        xmlXPathObject *x = xmlXPathEval(BAD_CAST kept[i], c);
        xmlXPathObject *y = xmlXPathEval(BAD_CAST kept[i], d);
        xmlChar *one = xmlXPathCastToString(x), *two = xmlXPathCastToString(y);
        ck_assert_str_eq((char *)one, (char *)two);
        xmlFree(one);
        xmlFree(two);
        xmlXPathFreeObject(x);
        xmlXPathFreeObject(y);
        xmlXPathFreeContext(c);
        xmlXPathFreeContext(d);
    }
    xmlFreeDoc(out);
    findings_free(doc);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings_outward");
    TCase *t = tcase_create("outward");
    tcase_add_test(t, what_goes_and_what_stays);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
