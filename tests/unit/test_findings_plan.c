/* The document of a plan: nothing of the plan is lost or put in another order, cautions keep their
 * tests and sides, and the vocabulary knows every name. */
#include "findings_sample.h"

static struct diag_list said;
static struct reference *ref;

static void setup(void)
{
    diag_list_init(&said);
    ref = reference_load_embedded(&said.sink);
    ck_assert_ptr_nonnull(ref);
}

static void teardown(void)
{
    reference_free(ref);
    diag_list_release(&said);
}

static xmlDoc *document_of(struct plan_wishes *w, struct plan_request *q, struct plan **plan)
{
    const struct clinic clinic = clinic_default(ref);
    q->wishes = w->items;
    q->n_wishes = w->n;
    *plan = plan_make(ref, q, &said.sink);
    ck_assert_ptr_nonnull(*plan);
    return findings_plan_document(&(struct findings_plan){
        .plan = *plan, .request = q, .asked = (const char *const[]){"as typed"}, .n_asked = 1,
        .clinic = &clinic, .program_version = "1", .patient = "P-1",
        .measured_by = "J. Park", .date = {2031, 5, 6}, .tries = 2});
}

static void want(struct plan_wishes *w, const char *name)
{
    ck_assert(plan_want(w, ref, name, &said.sink));
}

/* Every item is one box, in the order of the plan. */
static void same_order(xmlDoc *doc, const struct plan *plan)
{
    xmlXPathContext *context = xmlXPathNewContext(doc);
    xmlXPathObject *boxes = xmlXPathEvalExpression(BAD_CAST "//box", context);
    ck_assert_int_eq(boxes->nodesetval->nodeNr, (int)plan->n_items);
    for (size_t i = 0; i < plan->n_items; i++) {
        const struct plan_item *x = &plan->items[i];
        xmlNode *box = boxes->nodesetval->nodeTab[i], *row = box->parent;
        struct arena *a = arena_new();
        ck_assert_str_eq(xml_attr(a, box, "test"), plan_test_name(x->test));
        ck_assert_str_eq(xml_attr(a, box, "side"), side_name(x->side));
        ck_assert_str_eq(xml_attr(a, row, "joint"), x->motion->joint);
        ck_assert_str_eq(xml_attr(a, row, "motion"), x->motion->motion);
        ck_assert_str_eq(xml_attr(a, row->parent->parent, "position"),
                         plan_position_name(x->position));
        const char *digit = xml_attr(a, box, "digit");
        ck_assert_int_eq(digit != NULL ? digit[0] - '0' : 0, x->digit);
        arena_free(a);
    }
    xmlXPathFreeObject(boxes);
    xmlXPathFreeContext(context);
}

START_TEST(nothing_is_lost)
{
    static const char *const sets[] = {"upper-quarter", "hand", "lower-quarter", "spine"};
    struct plan_wishes w;
    struct plan *plan;
    plan_wishes_init(&w);
    want(&w, sets[_i]);
    struct plan_request q = plan_request_all(&w);
    q.involved = SIDE_RIGHT;
    xmlDoc *doc = document_of(&w, &q, &plan);
    same_order(doc, plan);
    char expected[24];
    snprintf(expected, sizeof expected, "%zu", plan->n_changes + 1);
    ck_assert_str_eq(ask(doc, "count(//stay)"), expected);
    snprintf(expected, sizeof expected, "%zu", plan->n_omitted);
    ck_assert_str_eq(ask(doc, "count(//omitted)"), expected);
    findings_free(doc);
    plan_free(plan);
    plan_wishes_release(&w);
}
END_TEST

START_TEST(cautions_and_omissions)
{
    struct plan_wishes w;
    struct plan *plan;
    plan_wishes_init(&w);
    want(&w, "shoulder");
    plan_wish_for(&w, reference_motion(ref, "shoulder", "flexion"))->provoking = true;
    struct plan_request q = plan_request_all(&w);
    struct plan_condition on_file[] = {
        {plan_caution_by_id("hypermobility"), "shoulder", SIDE_RIGHT},
        {plan_caution_by_id("osteoporosis"), "", SIDE_NONE},
        {plan_caution_by_id("unstable-heart"), NULL, SIDE_NONE}};
    q.conditions = on_file;
    q.n_conditions = ARRAY_LEN(on_file);
    q.positions = 1u << PLAN_SITTING | 1u << PLAN_SUPINE;
    q.involved = SIDE_RIGHT;
    xmlDoc *doc = document_of(&w, &q, &plan);
    static const struct answer answers[] = {
        {"/plan/@patient", "P-1"}, {"/plan/@date", "2031-05-06"}, {"/plan/@involved", "right"},
        {"/plan/asked/@name", "as typed"}, {"count(/plan/caution)", "3"},
        {"/plan/caution[@id='hypermobility']/at/@joint", "shoulder"},
        {"/plan/caution[@id='hypermobility']/at/@side", "right"},
        {"/plan/caution[@id='osteoporosis']/@kind", "with-care"},
        {"/plan/caution[@id='unstable-heart']/@kind", "do-not-test"},
        /* the words of a caution belong to its tests and its side, active range to none */
        {"//row[@motion='abduction']/care[@caution='hypermobility']/@tests", "PROM"},
        {"//row[@motion='abduction']/care[@caution='hypermobility']/@sides", "right"},
        {"//row[@motion='abduction']/care[@caution='osteoporosis']/@sides", "left right"},
        {"count(//box[@test='MMT'])", "0"},
        {"count(//omitted[@test='MMT'][@reason='caution'][@caution='unstable-heart'])", "16"},
        {"//row[@motion='flexion']/@provoking", "yes"},
        {"(//row)[last()]/@motion", "flexion"},
        {"(//row)[1]/slot[1]/@side", "left"}, {"(//row)[1]/box[1]/@tries", "2"},
        {"//row[@motion='external-rotation']/@fulcrum", "Olecranon process"},
        {"//row[@motion='external-rotation']/@normal", "90"}};
    expect(doc, answers, ARRAY_LEN(answers));
    same_order(doc, plan);
    findings_free(doc);
    plan_free(plan);
    plan_wishes_release(&w);
}
END_TEST

static void walk(const xmlNode *node, const struct vocabulary_entry *names, size_t n)
{
    size_t i = 0;
    char spaced[2048], word[80];
    while (i < n && strcmp(names[i].element, (const char *)node->name) != 0)
        i++;
    ck_assert_msg(i < n, "element %s", node->name);
    for (const xmlAttr *a = node->properties; a != NULL; a = a->next) {
        snprintf(spaced, sizeof spaced, " %s ", names[i].attributes);
        snprintf(word, sizeof word, " %s ", a->name);
        ck_assert_msg(strstr(spaced, word) != NULL, "%s/@%s", node->name, a->name);
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
    static const char *const sets[] = {"upper-quarter", "hand", "lower-quarter", "spine", "jaw"};
    struct plan_wishes w;
    struct plan *plan;
    size_t n;
    const struct vocabulary_entry *names = findings_vocabulary("plan", &n);
    plan_wishes_init(&w);
    for (size_t i = 0; i < ARRAY_LEN(sets); i++)
        want(&w, sets[i]);
    struct plan_request q = plan_request_all(&w);
    struct plan_condition on_file[] = {{plan_caution_by_id("osteoporosis"), "knee", SIDE_LEFT}};
    q.conditions = on_file;
    q.n_conditions = 1;
    xmlDoc *doc = document_of(&w, &q, &plan);
    walk(xmlDocGetRootElement(doc), names, n);
    findings_free(doc);
    plan_free(plan);
    plan_wishes_release(&w);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings plan");
    TCase *t = tcase_create("all");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, nothing_is_lost, 0, 4);
    tcase_add_test(t, cautions_and_omissions);
    tcase_add_test(t, the_vocabulary_knows_every_name);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
