/* A document against the one printed before it: what is a changed value and what is not, how
 * readings find each other, and that earlier amendments are told on. */
#include "findings/findings_int.h"
#include "findings_sample.h"

static struct diag_list said;
static struct patient patient;
static struct visit visit;
static struct measurement reading;
static struct correction fact;

static void setup(void)
{
    diag_list_init(&said);
    patient = (struct patient){.id = "P", .visits = &visit, .n_visits = 1};
    visit = (struct visit){.patient = &patient, .date = {2025, 3, 14}};
}

static void teardown(void)
{
    diag_list_release(&said);
}

static xmlDoc *parse(const char *attributes, const char *inside)
{
    struct buf b;
    buf_init(&b, 1 << 20);
    buf_addf(&b, "<visit date='2025-03-14'%s>%s</visit>", attributes, inside);
    xmlDoc *doc = xml_parse(buf_text(&b), b.len, "made", &said.sink);
    ck_assert_ptr_nonnull(doc);
    buf_release(&b);
    return doc;
}

static void copy(struct writer *w, xmlNode *to, const xmlNode *from)
{
    for (const xmlAttr *at = from->properties; at != NULL; at = at->next)
        findings_text(w, to, arena_strdup(w->arena, (const char *)at->name),
                      (const char *)at->children->content);
    for (const xmlNode *child = from->children; child != NULL; child = child->next)
        copy(w, findings_child(w, to, arena_strdup(w->arena, (const char *)child->name)), child);
}

/* A document of the kind that is amended. */
static xmlDoc *make(const char *attributes, const char *inside)
{
    struct writer w;
    xmlDoc *from = parse(attributes, inside);
    copy(&w, findings_begin(&w, "visit"), xmlDocGetRootElement(from));
    xmlFreeDoc(from);
    return findings_end(&w);
}

/* "what:old>new" of each change, a status in parentheses; with the number where it is not 1. */
static void list_changes(xmlDoc *doc, struct buf *out)
{
    struct arena *a = arena_new();
    const xmlNode *c = xml_first(xmlDocGetRootElement(doc), "amended");
    for (; c != NULL; c = xml_next(c, "amended")) {
        const char *number = xml_attr(a, c, "number");
        static const char *const ends[] = {"old", "new"};
        if (out->len > 0)
            buf_addc(out, ' ');
        if (strcmp(number, "1") != 0)
            buf_addf(out, "%s.", number);
        if (xml_attr(a, c, "joint") != NULL)
            buf_addf(out, "%s-%s-%s/", xml_attr(a, c, "joint"), xml_attr(a, c, "motion"),
                     xml_attr(a, c, "side"));
        buf_addf(out, "%s:", xml_attr(a, c, "what"));
        for (int i = 0; i < 2; i++) {
            const char *value = xml_attr(a, c, ends[i]);
            const char *state = xml_attr(a, c, i == 0 ? "old-status" : "new-status");
            buf_addf(out, "%s%s", i == 1 ? ">" : "", value != NULL ? value : "");
            if (state != NULL)
                buf_addf(out, "(%s)", state);
        }
    }
    arena_free(a);
}

#define MOTION(motion, inside)                                                                     \
    "<region name='knee'><motion joint='knee' motion='" motion                                     \
    "' unit='deg'><side side='right'>" inside "</side></motion></region>"
#define FLEXION(inside) MOTION("flexion", inside)
#define ACTIVE(attributes) "<active test='AROM' status='measured' " attributes "/>"
#define AT(position, inside)                                                                       \
    "<region name='knee'><motion joint='knee' motion='flexion' unit='deg' position='" position     \
    "'><side side='right'>" inside "</side></motion></region>"
#define K "knee-flexion-right/"

static const struct {
    const char *name, *before_attributes, *before, *now, *changes;
} rows[] = {
    {"nothing", "", FLEXION(ACTIVE("end='112'")), FLEXION(ACTIVE("end='112'")), ""},
    {"a value", "", FLEXION(ACTIVE("end='112'")), FLEXION(ACTIVE("end='121'")), K "end:112>121"},
    {"a start", "", FLEXION(ACTIVE("start='0' end='112'")), FLEXION(ACTIVE("start='5' end='112'")),
     K "start:0>5"},
    {"what is reckoned is none", "", FLEXION(ACTIVE("end='112' deficit='28' percent='20' icf='1'")),
     FLEXION(ACTIVE("end='112' deficit='38' percent='25' icf='2' limited='yes'")), ""},
    {"what was typed is none", "", FLEXION(ACTIVE("end='112' text='112'")),
     FLEXION(ACTIVE("end='112' text='112 deg'")), ""},
    {"a flag, a note and a norm are none", "",
     FLEXION("<active test='AROM' status='measured' end='112'><peers mean='130'/></active>"),
     FLEXION("<active test='AROM' status='measured' end='112'><flag code='x'/><note code='y'/>"
             "<peers mean='131'/></active>"), ""},
    {"held back", "", FLEXION(ACTIVE("end='112'")),
     FLEXION("<active test='AROM' status='held-back'/>"), K "end:112>(held-back)"},
    {"mended", "", FLEXION("<active test='AROM' status='held-back'/>"),
     FLEXION(ACTIVE("end='112'")), K "end:(held-back)>112"},
    {"an estimate is measured", "", FLEXION("<active test='AROM' status='estimated' end='90'/>"),
     FLEXION(ACTIVE("end='90'")), K "end:90(estimated)>90"},
    {"not recorded is as good as absent", "", "",
     FLEXION("<active test='AROM' status='not-recorded'/>"), ""},
    {"late", "", "", FLEXION(ACTIVE("end='112'")), K "end:(not-recorded)>112"},
    {"lost", "", FLEXION(ACTIVE("end='112'")), "", K "end:112>(not-recorded)"},
    {"passive is another place", "", FLEXION(ACTIVE("end='112'")),
     FLEXION("<passive test='PROM' status='measured' end='112'/>"),
     K "end:(not-recorded)>112 " K "end:112>(not-recorded)"},
    {"grades", "", FLEXION("<strength test='MMT' status='measured' grade='4-' score='3.67'/>"),
     FLEXION("<strength test='MMT' status='measured' grade='4+' score='4.33'/>"),
     K "grade:4->4+"},
    {"forces", "", FLEXION("<force test='force' status='measured' newton='180' torque='50'/>"),
     FLEXION("<force test='force' status='measured' newton='181' torque='51'/>"),
     K "newton:180>181"},
    {"tries of the same mean", "", FLEXION(ACTIVE("end='112' tries-list='110 114'")),
     FLEXION(ACTIVE("end='112' tries-list='111 113'")), K "tries:110 114>111 113"},
    {"pain", "", FLEXION(ACTIVE("end='112' pain-low='2' pain-high='4'")),
     FLEXION(ACTIVE("end='112' pain='yes' pain-from='60' pain-to='90'")),
     K "pain:2-4>yes " K "pain-arc:>60-90"},
    {"fixed", "", FLEXION(ACTIVE("end='30'")), FLEXION(ACTIVE("end='30' fixed='yes'")),
     K "fixed:>yes"},
    {"a tool", "", FLEXION(ACTIVE("end='112' tool='goniometer'")), FLEXION(ACTIVE("end='112'")),
     K "tool:goniometer>"},
    {"another position", "", AT("supine", ACTIVE("end='112'")), AT("seated", ACTIVE("end='112'")),
     K "position:supine>seated"},
    {"two positions, one corrected", "",
     AT("supine", ACTIVE("end='112'")) AT("prone", ACTIVE("end='100'")),
     AT("prone", ACTIVE("end='100'")) AT("supine", ACTIVE("end='121'")), K "end:112>121"},
    {"two people, one corrected", "",
     FLEXION(ACTIVE("end='112' measured-by='A'") ACTIVE("end='100' measured-by='B'")),
     FLEXION(ACTIVE("end='100' measured-by='B'") ACTIVE("end='121' measured-by='A'")),
     K "end:112>121"},
    {"who measured one of them", "",
     "<measured-by name='A'/><measured-by name='B'/>" FLEXION(ACTIVE("end='1' measured-by='A'")),
     "<measured-by name='A'/><measured-by name='B'/>" FLEXION(ACTIVE("end='1' measured-by='B'")),
     K "person:A>B"},
    {"who measured all of them is said once", "",
     "<measured-by name='A'/>" FLEXION(ACTIVE("end='1' measured-by='A'")),
     "<measured-by name='B'/>" FLEXION(ACTIVE("end='1' measured-by='B'")), "people:A>B"},
    {"end feel and compensation", "",
     FLEXION("<end-feel felt='soft' expected='soft'/><compensation kind='likely' see='x'/>"),
     FLEXION("<end-feel felt='hard' expected='soft'/><compensation kind='seen' see='leans'/>"
             "<compensation kind='likely' see='z'/>"),
     K "end-feel:soft>hard " K "compensation:>leans"},
    {"the reading it is compared with", "",
     FLEXION("<active test='AROM' status='measured' end='112'><change since='previous' "
             "date='2025-03-01' value='95' delta='17'/></active>"),
     FLEXION("<active test='AROM' status='measured' end='112'><change since='previous' "
             "date='2025-03-01' value='105' delta='7' verdict='probable'/></active>"),
     K "earlier:95>105"},
    {"the other side of another day", "",
     FLEXION(ACTIVE("end='112' other='128' other-date='2025-03-01'")),
     FLEXION(ACTIVE("end='112' other='138' other-date='2025-03-01'")), K "other-side:128>138"},
    {"the other side of this day is told there", "", FLEXION(ACTIVE("end='112' other='128'")),
     FLEXION(ACTIVE("end='112' other='138'")), ""},
    {"goals and limits", "",
     FLEXION("<active test='AROM' status='measured' end='1'><goal value='120' due='2025-04-01' "
             "status='behind'/><limit kind='range' value='90' status='within'/></active>"),
     FLEXION("<active test='AROM' status='measured' end='1'><goal value='125' due='2025-05-01' "
             "status='met'/><limit kind='range' value='100' status='beyond'/></active>"),
     K "goal:120>125 " K "goal-due:2025-04-01>2025-05-01 " K "limit:90>100"},
    {"facts", " kind='visit'",
     "<patient name='A' birth-date='1960-05-05' age='64' sex='male'/><episode diagnosis='x' "
     "pain-rest='2'/>",
     "<patient name='B' birth-date='1961-05-05' age='63' sex='male'/><referrer name='Dr C'/>"
     "<episode diagnosis='y' pain-rest='2' pain-rest-high='3'/>",
     "visit-kind:visit> name:A>B birth-date:1960-05-05>1961-05-05 referrer:>Dr C diagnosis:x>y "
     "pain-rest:2>2-3"},
    {"a typed age", "", "<patient age='64'/>", "<patient age='63'/>", "age:64>63"},
    {"signatures are none", "", "<episode signed-on='2025-03-14'/>",
     "<episode signed-on='2025-03-15' countersigned-on='2025-03-16'/>", ""},
    {"the clinic is none", " version='1'", "<clinic heading='a'/>", "<clinic heading='b'/>", ""},
    {"the chain goes on", " amendment='1'",
     FLEXION(ACTIVE("end='121'")) "<amended number='1' what='end' old='112' new='121'/>",
     FLEXION(ACTIVE("end='119'")), "end:112>121 2." K "end:121>119"},
    {"the chain stays", " amendment='1'",
     FLEXION(ACTIVE("end='121'")) "<amended number='1' what='end' old='112' new='121'/>",
     FLEXION(ACTIVE("end='121'")), "end:112>121"},
    {"characters that XML writes otherwise", "", "<patient name='a &amp; &lt;b&gt;'/>",
     "<patient name='a &amp; &quot;b&quot;'/>", "name:a & <b>>a & \"b\""},
};

START_TEST(changes)
{
    bool changed;
    struct visit_findings v = {.patient = &patient, .visit = &visit};
    xmlDoc *before = parse(rows[_i].before_attributes, rows[_i].before);
    xmlDoc *now = make("", rows[_i].now);
    struct buf list;
    buf_init(&list, 1 << 16);
    int number = findings_amend(now, before, &v, &changed);
    list_changes(now, &list);
    ck_assert_msg(strcmp(buf_text(&list), rows[_i].changes) == 0, "%s: %s", rows[_i].name,
                  buf_text(&list));
    bool chained = strstr(rows[_i].before, "<amended") != NULL;
    ck_assert(changed == (strlen(rows[_i].changes) > 0 &&
                          (!chained || strstr(rows[_i].changes, "2.") != NULL)));
    ck_assert_int_eq(number, chained + changed);
    struct arena *a = arena_new();
    const char *told = xml_attr(a, xmlDocGetRootElement(now), "amendment");
    ck_assert_msg(number == 0 ? told == NULL : atoi(told) == number, "%s", rows[_i].name);
    arena_free(a);
    buf_release(&list);
    xmlFreeDoc(before);
    findings_free(now);
}
END_TEST

static void check_correction(xmlDoc *now, const char *on, const char *by, const char *reason)
{
    struct arena *a = arena_new();
    const xmlNode *c = xml_first(xmlDocGetRootElement(now), "amended");
    ck_assert_ptr_nonnull(c);
    ck_assert_pstr_eq(xml_attr(a, c, "corrected-on"), on);
    ck_assert_pstr_eq(xml_attr(a, c, "corrected-by"), by);
    ck_assert_pstr_eq(xml_attr(a, c, "reason"), reason);
    arena_free(a);
}

/* Who corrected a reading is looked up by its place; another reading's correction is not its. */
START_TEST(who_corrected_a_reading)
{
    static const struct {
        enum side side;
        enum test test;
        const char *by;
    } places[] = {{SIDE_RIGHT, TEST_AROM, "Lee"}, {SIDE_LEFT, TEST_AROM, NULL},
                  {SIDE_RIGHT, TEST_PROM, NULL}};
    bool changed;
    struct visit_findings v = {.patient = &patient, .visit = &visit};
    reading = (struct measurement){.motion = &knee_flexion, .side = places[_i].side,
                                   .test = places[_i].test, .corrected_by = "Lee",
                                   .corrected_on = {2025, 3, 15}, .correction_reason = "slip"};
    visit.measurements = &reading;
    visit.n_measurements = 1;
    xmlDoc *before = parse("", FLEXION(ACTIVE("end='112'")));
    xmlDoc *now = make("", FLEXION(ACTIVE("end='121'")));
    findings_amend(now, before, &v, &changed);
    bool found = places[_i].by != NULL;
    check_correction(now, found ? "2025-03-15" : NULL, places[_i].by, found ? "slip" : NULL);
    xmlFreeDoc(before);
    findings_free(now);
}
END_TEST

START_TEST(who_corrected_a_fact)
{
    static const struct {
        const char *column;
        struct date visit;
        const char *by;
    } facts[] = {{"birth_date", {0}, "Lee"}, {"birth_date", {2025, 3, 14}, "Lee"},
                 {"birth_date", {2025, 3, 13}, NULL}, {"sex", {0}, NULL}};
    bool changed;
    struct visit_findings v = {.patient = &patient, .visit = &visit};
    fact = (struct correction){.column = facts[_i].column, .visit = facts[_i].visit, .by = "Lee"};
    patient.corrections = &fact;
    patient.n_corrections = 1;
    xmlDoc *before = parse("", "<patient birth-date='1960-05-05'/>");
    xmlDoc *now = make("", "<patient birth-date='1961-05-05'/>");
    findings_amend(now, before, &v, &changed);
    check_correction(now, NULL, facts[_i].by, NULL);
    xmlFreeDoc(before);
    findings_free(now);
}
END_TEST

static Suite *amend_suite(void)
{
    Suite *s = suite_create("findings: amend");
    TCase *t = tcase_create("amend");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, changes, 0, (int)ARRAY_LEN(rows));
    tcase_add_loop_test(t, who_corrected_a_reading, 0, 3);
    tcase_add_loop_test(t, who_corrected_a_fact, 0, 4);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(amend_suite)
