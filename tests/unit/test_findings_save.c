/* A document as it is kept beside the reports made from it. */
#include "findings_sample.h"

/* The library's own writing of the same document is the outside check. */
START_TEST(saved_as_the_library_would)
{
    static const char *const names[] = {"plain", "A<b> & \"c\" 'd' >", "\ttab\nline\rend",
                                        "\x01\x7f \xef\xbf\xbe d\xc2\xb0 \xe2\x82\xac"};
    struct sample s;
    sample_init(&s);
    sample_measured(&s, &knee_flexion, SIDE_RIGHT, TEST_AROM, 100);
    s.patient.name = names[_i];
    xmlDoc *doc = findings_document(&s.v, NULL);
    xmlChar *bytes = NULL;
    int len = 0;
    xmlDocDumpMemoryEnc(doc, &bytes, &len, "UTF-8");
    struct buf out;
    buf_init(&out, 1 << 20);
    findings_save(doc, &out);
    ck_assert_str_eq(buf_text(&out), (const char *)bytes);
    buf_release(&out);
    xmlFree(bytes);
    findings_free(doc);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings save");
    TCase *t = tcase_create("save");
    tcase_add_loop_test(t, saved_as_the_library_would, 0, 4);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
