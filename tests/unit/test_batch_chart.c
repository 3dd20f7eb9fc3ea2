/* What the chart says, held against documents made for the purpose: banners, words for angles,
 * verdicts, marks, held-back cells. Run from the top of the project. */
#include "findings/findings.h"
#include "layout/layout.h"
#include "unit.h"

#include <libxml/tree.h>
#include <stdio.h>
#include <string.h>

static struct diag_list diags;
static struct font_set *fonts;
static struct layout_template *chart;

static const struct layout_vocabulary *vocabulary(const char *root, size_t *n)
{
    /* Two headers describe the same three columns; batch makes the same cast. */
    return (const struct layout_vocabulary *)(const void *)findings_vocabulary(root, n);
}

/* Once for all tests: faces and template take longer than any of them. */
static void load(void)
{
    diag_list_init(&diags);
    fonts = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(fonts);
    chart = layout_template_load("templates", "chart", NULL, vocabulary, fonts, NULL, &diags.sink);
    ck_assert_ptr_nonnull(chart);
}

static void release(void)
{
    layout_template_free(chart);
    font_set_free(fonts);
    diag_list_release(&diags);
}

/* All text of the pages in paint order, runs joined by one space (a line may end in its own). */
static char *text_of(const struct page_list *list)
{
    struct buf all;
    buf_init(&all, 1 << 20);
    for (size_t p = 0; p < list->n; p++) {
        for (size_t i = 0; i < list->pages[p].n; i++) {
            const struct page_item *item = &list->pages[p].items[i];
            if (item->kind == PAGE_TEXT) {
                buf_add(&all, item->u.text.text, item->u.text.len);
                if (all.len > 0 && all.data[all.len - 1] != ' ')
                    buf_addc(&all, ' ');
            }
        }
    }
    char *text = mem_strdup(buf_text(&all));
    buf_release(&all);
    return text;
}

#define HEAD                                                                                       \
    "<patient id='P-1'/><clinic/>%s<episode%s/><headline kind='%s' limited-count='0' "             \
    "worse-count='0'%s/><tally measured='1' limited='0' below-handbook='0' compared='0' "          \
    "better='0' worse='0' missing='0' held='0' false-alarms='0'/>"

static const char *person = "<measured-by name='Jo Vale' role='PT'/>";

struct document {
    const char *attributes, *people, *episode, *kind, *headline, *rest;
};

static char *render(struct document d)
{
    struct buf xml;
    buf_init(&xml, 1 << 20);
    buf_addf(&xml, "<visit date='2025-03-14' kind='visit' held='0'%s>" HEAD "%s</visit>",
             d.attributes ? d.attributes : "", d.people ? d.people : person,
             d.episode ? d.episode : "", d.kind ? d.kind : "nothing",
             d.headline ? d.headline : "", d.rest ? d.rest : "");
    struct _xmlDoc *doc = xml_parse(buf_text(&xml), xml.len, "made", &diags.sink);
    ck_assert_ptr_nonnull(doc);
    struct page_list *list = layout_render(chart, doc, fonts, &diags.sink);
    ck_assert_msg(list != NULL, "refused: %s", diags.n ? diags.items[diags.n - 1].detail : "?");
    char *text = text_of(list);
    page_list_free(list);
    xmlFreeDoc(doc);
    buf_release(&xml);
    return text;
}

static void check_text(struct document d, const char *there, const char *not_there)
{
    char *text = render(d);
    ck_assert_msg(there == NULL || strstr(text, there) != NULL, "\"%s\" is not in: %s",
                  there, text);
    ck_assert_msg(not_there == NULL || strstr(text, not_there) == NULL, "\"%s\" is in: %s",
                  not_there, text);
    free(text);
}

/* One knee extension reading and what stands in it. */
#define KNEE(attributes, inside)                                                                   \
    "<region name='knee'><motion joint='knee' motion='extension' region='knee' unit='deg' "        \
    "zero-normal='yes' better='higher' limited='yes' has-strength='no'><normal value='0'/>"        \
    "<side side='right'><active test='AROM' status='measured' " attributes ">" inside              \
    "</active></side></motion></region>"

static const struct {
    const char *what;
    struct document d;
    const char *there, *not_there;
} cases[] = {
    {"the least a document holds", {0}, "Summary of measurements", "null"},
    {"a student alone", {.people = "<measured-by name='A' role='student' countersign='yes'/>"},
     "NOT VALID UNTIL COUNTERSIGNED", NULL},
    {"a student on every page", {.people = "<measured-by role='student' countersign='yes'/>"},
     "page 1 of 1 · not valid until countersigned", NULL},
    {"a therapist", {0}, NULL, "COUNTERSIGNED"},
    {"amended", {.attributes = " amendment='2'"}, "AMENDED 2", NULL},
    {"not amended", {0}, NULL, "AMENDED"},
    {"a diagnosis is as recorded", {.episode = " diagnosis='Stiff knee'"},
     "Diagnosis as recorded Stiff knee", NULL},
    {"no diagnosis of its own", {0}, "It states no diagnosis", "Diagnosis as recorded"},
    {"nothing stands out", {0}, "No reading stands out", NULL},
    {"a loss comes first",
     {.kind = "worse",
      .headline = " joint='knee' motion='flexion' side='left' test='AROM' end='98' normal='140' "
                  "delta='-12' since-date='2025-03-04' verdict='beyond-error' unit='deg'"},
     "Left knee flexion (active) is worse by 12° since 4\u00a0Mar\u00a02025, beyond measurement "
     "error: now 98°",
     "better"},
    {"a headline in words",
     {.kind = "limited",
      .headline = " joint='knee' motion='extension' side='right' test='PROM' end='-10' normal='0' "
                  "unit='deg' zero-normal='yes'"},
     "stops 10° short of straight", "-10"},
    {"a change within error is no gain",
     {.kind = "within",
      .headline = " joint='knee' motion='flexion' side='left' test='AROM' end='98' delta='3' "
                  "since-date='2025-03-04' verdict='within-error' unit='deg'"},
     "within measurement error", "better"},
    {"a lack", {.rest = KNEE("end='-10' limited='yes'", "")}, "*lacks\u00a010", "\u221210"},
    {"past straight", {.rest = KNEE("end='8' limited='no'", "")}, "past\u00a08", NULL},
    {"straight", {.rest = KNEE("end='0' limited='no'", "")}, NULL, "lacks"},
    {"only the handbook", {.rest = KNEE("end='-3' limited='below-handbook'", "")},
     "†lacks\u00a03", "*lacks"},
    {"an estimate",
     {.rest = "<region name='hip'><motion joint='hip' motion='flexion' region='hip' unit='deg'>"
              "<side side='left'><active test='AROM' status='estimated' end='90'/></side></motion>"
              "</region>"},
     "est.\u00a090", NULL},
    {"no estimate", {.rest = KNEE("end='5' limited='no'", "")}, NULL, "est."},
    {"a change beyond error",
     {.rest = KNEE("end='-4'", "<change since='previous' date='2025-03-01' value='-14' delta='10' "
                               "verdict='beyond-error' error-limit='5'/>")},
     "+10\u00a0beyond", "+10\u00a0within"},
    {"a change within error",
     {.rest = KNEE("end='-4'", "<change since='previous' date='2025-03-01' value='-6' delta='2' "
                               "verdict='within-error' error-limit='5'/>")},
     "+2\u00a0within", "+2\u00a0beyond"},
    {"another position",
     {.rest = KNEE("end='-4'", "<change since='previous' date='2025-03-01' value='-6' "
                               "verdict='not-comparable'/>")},
     "not comparable", "+"},
    {"a percent stands beside its degrees",
     {.rest = KNEE("end='-10' limited='yes' deficit='10' percent='20'", "")},
     "10° short of normal (20%)", NULL},
    {"not tested is not zero",
     {.rest = "<region name='hip'><motion joint='hip' motion='abduction' region='hip'><side "
              "side='left'><strength test='MMT' status='not-tested'/></side></motion></region>"
              "<missing joint='hip' motion='abduction' side='left' test='MMT' "
              "status='not-tested' reason='precautions'/>"},
     "not tested precautions", NULL},
    {"a count beside its grade",
     {.rest = "<region name='ankle-foot'><motion joint='ankle' motion='plantar-flexion' "
              "region='ankle-foot'>"
              "<side side='left'><strength test='MMT' status='measured' grade='4' "
              "repetitions='14' pain='yes'/></side></motion></region>"},
     "4 14 times with pain", "["},
    {"the source of the table that the count was held against",
     {.rest = "<region name='ankle-foot'><motion joint='ankle' motion='plantar-flexion' "
              "region='ankle-foot'>"
              "<side side='left'><strength test='MMT' status='measured' grade='4' "
              "repetitions='14' repetitions-source='TEACH'/></side></motion></region>"
              "<source id='OTHER' citation='Another 1990'/>"
              "<source id='TEACH' citation='A table of counts'/>"},
     "14 times\u00a0[2]", "[1] 14"},
    {"held back with what to type",
     {.rest = "<problem code='cell-sign' outcome='held-back' reason='short or past?' "
              "advice='type lacks 10' file='a.csv' line='7' field='value' text='-10'/>"},
     "-10 a.csv:7, value short or past? type lacks 10", NULL},
    {"a weak source says so",
     {.rest = "<source id='X' citation='Someone 1990' mark='unverified'/>"},
     "Someone 1990 (unverified)", NULL},
    {"a compensation is asked, not asserted",
     {.rest = "<region name='hip'><motion joint='hip' motion='flexion' region='hip'><side "
              "side='left'><active test='AROM' status='measured' end='90'/><compensation "
              "kind='seen' see='trunk leans back'/></side></motion></region>"},
     "Could it have added to the reading?", NULL},
};

START_TEST(says)
{
    check_text(cases[_i].d, cases[_i].there, cases[_i].not_there);
}
END_TEST

static int count_paths(struct document d)
{
    struct buf xml;
    int n = 0;
    buf_init(&xml, 1 << 20);
    buf_addf(&xml, "<visit date='2025-03-14' held='0'>" HEAD "%s</visit>", person, "", "nothing",
             "", d.rest);
    struct _xmlDoc *doc = xml_parse(buf_text(&xml), xml.len, "made", &diags.sink);
    struct page_list *list = layout_render(chart, doc, fonts, &diags.sink);
    ck_assert_ptr_nonnull(list);
    for (size_t i = 0; i < list->pages[0].n; i++) {
        n += list->pages[0].items[i].kind == PAGE_PATH;
    }
    page_list_free(list);
    xmlFreeDoc(doc);
    buf_release(&xml);
    return n;
}

/* Arcs belong to limited motions in degrees, rulers to those in mm; what is fine has neither. */
START_TEST(draws_limited_motions_only)
{
#define MOTION(joint, motion, unit, limited)                                                       \
    {.rest = "<region name='knee'><motion joint='" joint "' motion='" motion                       \
             "' region='knee' unit='" unit "' limited='" limited                                   \
             "'><side side='midline'><active test='AROM' status='measured' end='30'/></side>"      \
             "</motion></region>"}
    int limited = count_paths((struct document)MOTION("cervical", "flexion", "deg", "yes"));
    int fine = count_paths((struct document)MOTION("cervical", "flexion", "deg", "no"));
    int jaw = count_paths((struct document)MOTION("jaw", "opening", "mm", "yes"));
    int wide = count_paths((struct document)MOTION("jaw", "opening", "mm", "no"));
    ck_assert_int_gt(limited, fine + 10);
    ck_assert_int_gt(jaw, wide + 3);
    ck_assert_int_eq(wide, fine);
#undef MOTION
}
END_TEST

static Suite *batch_chart_suite(void)
{
    Suite *s = suite_create("batch: chart");
    TCase *t = tcase_create("chart");
    tcase_add_unchecked_fixture(t, load, release);
    tcase_add_loop_test(t, says, 0, (int)ARRAY_LEN(cases));
    tcase_add_test(t, draws_limited_motions_only);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(batch_chart_suite)
