/* Expressions evaluated from the tree give what the XPath library gives, and our own functions
 * give what docs/template.md promises, by both ways. */
#include "layout/layout_int.h"
#include "layout_sample.h"

#include <libxml/xpathInternals.h>
#include <math.h>

static const char document[] =
    "<visit date='2025-03-04' kind='evaluation'><person name='Ann' id='7'/>"
    "<group name='a'><row key='k1' value='1' end='10' limited='yes'><note code='n1'/></row>"
    "<row key='k2' value='02.50' end='-5'/><row key='k3' text='x'>in<note code='n2'/>side</row>"
    "</group><group name='b'><row key='k4' value='8' end='10'/>"
    "<row key='k5' value='abc' end=''><note code='n1' text='&lt;&#233;'/></row></group>"
    "<group name=''/></visit>";

static struct layout_template *template;
static struct _xmlDoc *doc;
static struct render render;
static struct arena *arena;

static void load(void)
{
    sample_start();
    arena = arena_new(); /* the names of the template live as long as it does */
    template = sample_load("<report root='visit'><word key='k1'>first word</word>"
                           "<word key='n1'>n\xC3\xB6te</word>"
                           "<dates style='d. MMM yyyy, dd/MM/yy MMMM M'/>"
                           "<page/></report>");
    ck_assert_ptr_nonnull(template);
    doc = xml_parse(document, strlen(document), "document", &sample.diags.sink);
    ck_assert_ptr_nonnull(doc);
}

static void release(void)
{
    arena_free(arena);
    xmlFreeDoc(doc);
    layout_template_free(template);
    sample_stop();
}

static void setup(void)
{
    render = (struct render){.t = template, .doc = doc, .fonts = sample.fonts,
                             .sink = &sample.diags.sink, .arena = arena};
    render.context = xmlDocGetRootElement(doc);
    render.position = 2;
    render.size = 3;
    struct variable *v = arena_alloc(render.arena, sizeof(*v));
    v->name = "s";
    v->number = names_add(&template->names, "s");
    v->value = (struct value){.type = TYPE_STRING, .text = "k2"};
    render.variables = v;
}

static struct expr parse(const char *source)
{
    char why[200];
    struct expr e = {.source = source};
    e.tree = xpath_parse(render.arena, render.arena, source, why, sizeof(why));
    ck_assert_msg(e.tree != NULL, "%s: %s", source, why);
    names_number(&template->names, e.tree);
    names_survey(&render);
    return e;
}

static void bind(const char *name, const char *source)
{
    struct expr e = parse(source);
    struct variable *v = arena_alloc(render.arena, sizeof(*v));
    v->name = name;
    v->number = names_add(&template->names, name);
    v->value = eval(&render, &e);
    v->outer = render.variables;
    render.variables = v;
}

static struct value by_library(struct expr e)
{
    e.compiled = xmlXPathCtxtCompile(template->xpath, (const xmlChar *)e.source);
    ck_assert_msg(e.compiled != NULL, "%s", e.source);
    struct value v = eval(&render, &e);
    xmlXPathFreeCompExpr(e.compiled);
    return v;
}

static const char *const both_ways[] = {
    "@date", "person/@name", "group/row/@key", "group", "group/row", "*", "*/*", "@*", "group/@*",
    ".", "..", "/", "/visit/@date", "/visit/group[2]/row[1]/@key", "nothing", "nothing/@x",
    "group[1]/row[2]/@key", "group[last()]/@name", "group[position() > 1]/@name",
    "group/row[1]/@key", "(group/row)[1]/@key", "(group/row)[last()]/@key",
    "group/row[@value]/@key", "group/row[@value][2]/@key", "group/row[2][@value]/@key",
    "group/row[@limited = 'yes']/@end", "group/row[note]/@key", "group/row[note/@code='n2']/@key",
    "group/row[not(@value)]/@key", "group/row[@end > 5]/@key",
    "group/row[@end >= 10 and note]/@key",
    "group/row[@end = '' or @text]/@key", "group[row/@key = 'k4']/@name",
    "group/row[@key = $s]/@value", "group[count(row) = 3]/@name", "group/row[position() = last()]",
    "group/*[self::row]/@key", "group/*[self::note]", "group/row/note/../@key",
    "group/row/../@name", "group/row/../../@date", "group[1]/row/..", "group/row/note | person",
    "person | group/row/note | person", "$s", "$rows/@key", "$rows[2]/@key", "$rows[note]/@key",
    "$rows/..", "$mixed/@*", "$mixed/*", "$mixed/row/@key", "'literal'", "\"double\"", "12", "1.5",
    ".5", "5.", "-3", "--3", "1 + 2 * 3", "(1 + 2) * 3", "7 mod 4", "-7 mod 4", "7 div 2",
    "1 div 0", "0 div 0", "2 - -2", "group/row/@end + 1", "person/@name + 1", "1 = 1", "1 != 1",
    "'a' = 'a'", "'1' = 1", "group/row/@end = 10", "group/row/@end != 10", "group/row/@key = 'k9'",
    "group/row/@end = group/row/@value", "group/row/@value < group/row/@end", "nothing = ''",
    "nothing != ''", "nothing = false()", "group = true()", "true() = 'x'", "3 < '4'",
    "'b' > 'a'", "not(nothing)", "true() and false()", "true() or nothing", "boolean(group)",
    "boolean('')", "boolean(0)", "number('12')", "number(' 12 ')", "number('')", "number('1e3')",
    "number(true())", "number(person/@id)", "number()", "string(group/row)", "string(12.50)",
    "string(-0.1)", "string(1000000)", "string(0.000001)", "string(1 div 3)", "string(true())",
    "string()", "string(group[3]/@name)", "concat('a', person/@name, 1)", "contains('abc', 'b')",
    "starts-with(@date, '2025')", "count(group/row)", "count(nothing)", "position()", "last()",
    "group/row[3]", "concat(group/row/@key, group/row/note/@text)",
    "word('k1')", "word(group/row/note/@code)", "word('none', 'fall')", "number-text('3.50')",
    "number-text(-3.456, 1)", "number-text(0.30000000000000004)", "number-text(-0.04, 1)",
    "signed-text(4)", "signed-text(-4.26, 1)", "signed-text(0)", "date-text(@date)",
    "capital('shoulder')", "capital('\xC3\xA9paule')", "capital('5x')", "abs(-3)",
    "abs(group/row[2]/@end)", "min(3, 2)", "max(3, '12')", "list-text(group/@name, ', ')",
    "list-text(group/row/@key, ', ', ' and ')", "group/row/@key[. = 'k2']",
    "capital(concat(word(group/row/@key), ' ', number-text(group/row/@end)))",
    "//row", "//row/@key", "//note/@code", "//*", "group//note", "group//note/..", "//row//note",
    "//row[@end > 5]", "//group[row/note]/@name", "//note/ancestor::*", "//note/ancestor::group",
    "group/row[3]/preceding-sibling::row", "group/row[3]/preceding-sibling::row[1]/@key",
    "group/row/preceding-sibling::row", "group/row[1]/following-sibling::*/@key",
    "group/row/note/ancestor::*[1]", "group/row[1]/following-sibling::row[1]",
    "group/row[not(@end = preceding-sibling::row/@end)]/@key", "@date/following-sibling::*",
    "//row[@key = 'k3']/note/ancestor::group/@name", "count(//note | //row)",
    "//*[self::row or self::group]/@name", "//group/*/@key", "//*/*",
    "//row/preceding::row", "(//row)[4]/preceding::row/@key", "//note/preceding::*",
    "group[2]/row/preceding::row[1]/@key", "group[2]/preceding::note/@code",
    "//note/preceding::*[2]",
    "group/row[@key = $one]/@end", "group/row[@key != $one]/@key", "group/row[@key = $none]",
    "group/row[@key != $none]", "group/row[@key = $keys]/@key", "group/row[@nothing != $s]",
    "group/row[@end = $ten]/@key", "group/row[@end != $ten]/@key", "group/row[$s = @key]/@key",
    "group/row[@end or @text]/@key", "group/row[@end and not(@value)]", "group/row[$two]/@key",
    "group/row[@end mod 20]/@key", "group/row[-1]", "group/row[string(@text)]/@key",
    "group/row[last() - 1]/@key", "group/row[not(@key = $s) and (@end or note)]/@key",
    "group/row[note | @text]/@key", "@date = $s", "@nothing = $s", "not(@date = $s)", "not(@date)",
    "@date and @kind", "@nothing or @date", "person/@name = $one or @date != $s",
    "//@key", "//@*", "//@end = '10'", "//@nothing", "group//@code", "group/row//@code[. = 'n1']",
    "//row[.//@code = 'n2']/@key", "//@key[2]", "//@*[2]", "$mixed//@key", "@date//@key",
    "count(//@end | //@key)", "(//@value)[2]", "//@key/..", "//@code/../../@key",
    "//note[not(@code = preceding::note/@code)]", "group[2]/row/@key/preceding::*",
    "//note/@code/preceding::note", "preceding::*", "//row/preceding::*/@name",
    "group[2]/row/preceding::row/note", "//group/preceding::*/row",
    "substring-before('a-b-c', '-')", "substring-before('abc', 'x')", "substring-before('abc', '')",
    "substring-after('a-b-c', '-')", "substring-after('abc', 'x')", "substring-after('abc', '')",
    "substring('12345', 2, 3)", "substring('12345', 2)", "substring('12345', 1.5, 2.6)",
    "substring('12345', 0, 3)", "substring('12345', 0 div 0, 3)", "substring('12345', 1, 0 div 0)",
    "substring('12345', -42, 1 div 0)", "substring('12345', -1 div 0, 1 div 0)",
    "substring('12345', 1 div 0)", "substring('12345', 9)", "substring('12345', 2, -1)",
    "substring('Ã©âz', 2, 1)", "substring('past', 1, 4 * (1 = 1))",
    "substring('', 1)", "substring(person/@name, '2')", "string-length('Ã©âz')",
    "string-length('')", "string-length()", "string-length(//row[@text])",
    "normalize-space('  a \t b\n\n c ')", "normalize-space('')", "normalize-space('   ')",
    "normalize-space()", "normalize-space(group[1])", "translate('4-/5-', '-', 'â')",
    "translate('bar', 'abc', 'AB')", "translate('--aaa--', 'abc-', 'ABC')",
    "translate('abc', '', 'x')", "translate('', 'a', 'b')", "translate('aXa', 'aa', 'bc')",
    "translate('Ã©tÃ©', 'Ã©â', 'e-')",
    "translate('Ã©', 'Ã¨', 'e')", "translate('abc', 'c', 'xyz')", "sum(//row/@end)",
    "sum(group[1]/row/@end)", "sum(nothing)", "sum(//row/@value)", "floor(2.5)", "floor(-2.5)",
    "ceiling(2.1)", "ceiling(-2.1)", "round(2.5)", "round(-2.5)", "round(2.4)", "round(-0.2)",
    "round(0 div 0)", "round(1 div 0)", "floor('x')", "round(group[1]/row/@value) * 2",
};

START_TEST(agrees_with_the_library)
{
    bind("rows", "group/row");
    bind("one", "group[1]/row[3]/@key");
    bind("keys", "group[1]/row/@key");
    bind("none", "nothing");
    bind("two", "2");
    bind("ten", "10");
    bind("mixed", "group[1] | group[1]/row | /visit | group[2]");
    struct expr e = parse(both_ways[_i]);
    if (strcmp(e.source, "/") != 0)
        ck_assert_msg(eval_is_direct(e.tree), "not direct: %s", e.source);
    struct value a = strcmp(e.source, "/") == 0 ? by_library(e) : eval(&render, &e);
    struct value b = by_library(e);
    ck_assert_msg(a.type == b.type, "%s: %d, %d", e.source, (int)a.type, (int)b.type);
    ck_assert_msg(a.n == b.n, "%s: %zu, %zu", e.source, a.n, b.n);
    for (size_t i = 0; i < a.n; i++)
        ck_assert_msg(a.nodes[i] == b.nodes[i], "%s: node %zu", e.source, i);
    ck_assert_msg(value_truth(&a) == value_truth(&b), "%s", e.source);
    if (a.type == TYPE_NUMBER)
        ck_assert_msg(a.number == b.number || (isnan(a.number) && isnan(b.number)), "%s: %g, %g",
                      e.source, a.number, b.number);
    ck_assert_str_eq(value_string(&render, &a), value_string(&render, &b));
    ck_assert_msg(!render.failed, "%s", e.source);
}
END_TEST

/* What only the library knows still meets our functions and variables. */
static const struct text_case {
    const char *source, *text;
} library_only[] = {
    {"//row[1]/@key", "k1"},
    {"//row[last()]/@key", "k3"},
    {"//row[position() = 2]/@key", "k2"},
    {"group/row[2]/following::row/@key", "k3"},
    {"group/row/text()", "in"},
    {"local-name(group[2])", "group"},
    {"concat($s, name(person))", "k2person"},
    {"word(substring(concat('x', //row[1]/@key), 2))", "first word"},
    {"capital(normalize-space(concat(' ', local-name(), ' b ')))", "Visit b"},
    {"number-text(floor(count(group[1]/row[1]/following::row) - 1.3))", "2"},
    {"concat(name(), count(//note))", "visit3"},
};

START_TEST(asks_the_library)
{
    struct expr e = parse(library_only[_i].source);
    ck_assert_msg(!eval_is_direct(e.tree), "%s", e.source);
    struct value v = by_library(e);
    ck_assert_str_eq(value_string(&render, &v), library_only[_i].text);
}
END_TEST

static const struct text_case texts[] = {
    {"number-text(12)", "12"},
    {"number-text('12.0')", "12"},
    {"number-text(82.3)", "82.3"},
    {"number-text(5 - 4.9)", "0.1"},
    {"number-text(-5)", "\xE2\x88\x92" "5"},
    {"number-text(2.25, 1)", "2.3"},
    {"number-text(2, 2)", "2.00"},
    {"number-text(-0.001, 1)", "0.0"},
    {"numbers-text('118 120.50 -3')", "118 120.5 \xE2\x88\x92" "3"},
    {"numbers-text(' 7 ')", "7"},
    {"signed-text(12.5)", "+12.5"},
    {"signed-text('-1')", "\xE2\x88\x92" "1"},
    {"signed-text(0.0)", "0"},
    {"date-text('2024-02-29')", "29. Feb 2024, 29/02/24 February 2"},
    {"date-text('2024-12-01')", "1. Dec 2024, 01/12/24 December 12"},
    {"capital('\xCE\xB1\xCE\xB2')", "\xCE\x91\xCE\xB2"},
    {"capital('\xC4\x8D')", "\xC4\x8C"},
    {"capital('\xC5\xBE')", "\xC5\xBD"},
    {"capital('\xD0\xB6')", "\xD0\x96"},
    {"capital('\xC3\x9F')", "\xC3\x9F"},
    {"list-text(group[1]/row/@key, ', ', ' and ')", "k1, k2 and k3"},
    {"list-text(group[1]/row[1]/@key, ', ', ' and ')", "k1"},
    {"list-text('one', ', ')", "one"},
    {"word(group/row/@key)", "first word"},
    {"word('zzz', 'instead')", "instead"},
};

START_TEST(writes_as_promised)
{
    struct expr e = parse(texts[_i].source);
    ck_assert_str_eq(eval_string(&render, &e), texts[_i].text);
    ck_assert(!render.nothing && !render.failed);
}
END_TEST

/* Each of these finds nothing; by the library too where it is asked. */
static const char *const nothings[] = {
    "word(nothing)", "word(group[3]/@name)", "word(nothing, 'fallback')", "number-text(nothing)",
    "number-text('')", "number-text('abc')", "number-text(1 div 0)", "number-text(1, 9)",
    "numbers-text('')", "numbers-text('1 x 3')", "numbers-text(nothing)",
    "number-text(abs(nothing))", "number-text(min(1, nothing))", "number-text(max(nothing, 1))",
    "signed-text(nothing)", "date-text(nothing)", "capital(nothing)", "list-text(nothing, ', ')",
    "concat('a', nothing)", "concat(nothing/@x, 'a')", "concat('a', 0 div 0)",
    "capital(word(concat('a-', nothing)))",
};

START_TEST(finds_nothing)
{
    struct expr e = parse(nothings[_i]);
    struct value v = eval(&render, &e);
    ck_assert_msg(render.nothing || value_string(&render, &v)[0] == '\0', "%s", e.source);
    by_library(e);
    ck_assert_msg(render.nothing || value_string(&render, &v)[0] == '\0', "%s", e.source);
    ck_assert_msg(!render.failed, "%s reported", e.source);
}
END_TEST

/* A predicate that meets no value is false and leaves no mark. */
START_TEST(predicate_is_no_gap)
{
    struct expr e = parse("group/row[concat(@text, 'y') = 'xy']/@key");
    ck_assert_str_eq(eval_string(&render, &e), "k3");
    ck_assert(!render.nothing);
}
END_TEST

START_TEST(reports_words_and_dates)
{
    static const struct {
        const char *source, *detail;
        enum diag_code code;
    } cases[] = {
        {"word('beyond-eror')", "beyond-eror at visit", DIAG_LAYOUT_WORD},
        {"word('Mrs Example said so')", "a key that is free text at visit", DIAG_LAYOUT_WORD},
        {"date-text('4 Mar 2025')", "at visit", DIAG_LAYOUT_DATE},
        {"date-text('2025-02-30')", "at visit", DIAG_LAYOUT_DATE},
    };
    for (size_t i = 0; i < ARRAY_LEN(cases); i++) {
        struct expr e = parse(cases[i].source);
        diag_list_clear(&sample.diags);
        render.failed = false;
        eval(&render, &e);
        ck_assert(render.failed);
        ck_assert_int_eq(sample_last()->code, cases[i].code);
        ck_assert_str_eq(sample_last()->detail, cases[i].detail);
    }
}
END_TEST

static Suite *make_suite(void)
{
    Suite *s = suite_create("layout_eval");
    TCase *t = tcase_create("eval");
    tcase_add_unchecked_fixture(t, load, release);
    tcase_add_checked_fixture(t, setup, NULL);
    tcase_add_loop_test(t, finds_nothing, 0, ARRAY_LEN(nothings));
    tcase_add_test(t, reports_words_and_dates);
    tcase_add_test(t, predicate_is_no_gap);
    tcase_add_loop_test(t, writes_as_promised, 0, ARRAY_LEN(texts));
    tcase_add_loop_test(t, agrees_with_the_library, 0, ARRAY_LEN(both_ways));
    tcase_add_loop_test(t, asks_the_library, 0, ARRAY_LEN(library_only));
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make_suite)
