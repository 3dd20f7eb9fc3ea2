/* Templates that must not load: each with the line, what is wrong and the nearest known name. */
#include "layout_sample.h"

#define REPORT(body) "<report root='visit'>\n" body "\n<page><para>x</para></page></report>"
#define PAGE(body) "<report root='visit'><page>\n" body "\n</page></report>"

static const struct load_case {
    const char *text;
    enum diag_code code;
    long line;
    const char *detail;
} load_cases[] = {
    /* files and roots */
    {"<report root='visit'>\n<page>\n</report>", DIAG_XML_SYNTAX, 3, ""},
    {"<template/>", DIAG_TEMPLATE_ELEMENT, 1, "outermost element of a template is report"},
    {"<report><page/></report>", DIAG_TEMPLATE_ATTRIBUTE, 1, "needs root"},
    {"<report root='vist'><page/></report>", DIAG_TEMPLATE_ROOT, 1, "vist"},
    {"<report root='visit'/>", DIAG_TEMPLATE_ELEMENT, 1, "needs a page"},
    /* elements */
    {PAGE("<parra>x</parra>"), DIAG_TEMPLATE_ELEMENT, 2, "nearest known name: para"},
    {PAGE("<para>\n<table select='group'/></para>"), DIAG_TEMPLATE_ELEMENT, 3, "table in para"},
    {PAGE("<item>x</item>"), DIAG_TEMPLATE_ELEMENT, 2, "item in page, which takes"},
    {PAGE("<keep><break-page/></keep>"), DIAG_TEMPLATE_ELEMENT, 2, "break-page in keep"},
    {PAGE("<otherwise><para/></otherwise>"), DIAG_TEMPLATE_ELEMENT, 2, "must follow a when"},
    {PAGE("<when test='group'/><otherwise/><otherwise/>"), DIAG_TEMPLATE_ELEMENT, 2,
     "must follow a when"},
    {PAGE("<table select='group'/>"), DIAG_TEMPLATE_ELEMENT, 2, "needs a column"},
    {PAGE("<table select='group'><column><head>x</head></column></table>"), DIAG_TEMPLATE_ELEMENT,
     2, "needs a cell"},
    {PAGE("<table select='group'><column><cell>x</cell><cell>y</cell></column></table>"),
     DIAG_TEMPLATE_ELEMENT, 2, "a second cell"},
    {PAGE("<table select='group'><column><cell>x</cell><foot>y</foot><foot>z</foot></column>"
          "</table>"), DIAG_TEMPLATE_ELEMENT, 2, "a second foot"},
    {PAGE("<table select='group' shade='@key'><column><cell>x</cell></column></table>"),
     DIAG_TEMPLATE_NAME, 2, "@key never stands in group"},
    {PAGE("<para>\n<page-mark of='heading-1'/></para>"), DIAG_TEMPLATE_ELEMENT, 3,
     "only in a running-head"},
    {PAGE("<running-head><para><page-mark of='heading-4'/></para></running-head>"),
     DIAG_TEMPLATE_VALUE, 2, "expected heading-1"},
    {PAGE("<columns/>"), DIAG_TEMPLATE_ELEMENT, 2, "needs a part-column"},
    {PAGE("\nloose words"), DIAG_TEMPLATE_TEXT, 3, "in page"},
    {PAGE("<picture src='x' alt='y'/>"), DIAG_TEMPLATE_ELEMENT, 2, "picture"},
    {REPORT("<title>a</title>\n<title>b</title>"), DIAG_TEMPLATE_ELEMENT, 3, "second title"},
    /* attributes */
    {PAGE("<para styl='body'>x</para>"), DIAG_TEMPLATE_ATTRIBUTE, 2, "nearest known name: style"},
    {PAGE("<break-page now='yes'/>"), DIAG_TEMPLATE_ATTRIBUTE, 2, "takes no attributes"},
    {PAGE("<space/>"), DIAG_TEMPLATE_ATTRIBUTE, 2, "space needs height"},
    {PAGE("<space height='3'/>"), DIAG_TEMPLATE_VALUE, 2, "expected a length"},
    {PAGE("<space height='-3pt'/>"), DIAG_TEMPLATE_VALUE, 2, "expected a length"},
    {PAGE("<space height='3px'/>"), DIAG_TEMPLATE_VALUE, 2, "expected a length"},
    {PAGE("<heading level='4'>x</heading>"), DIAG_TEMPLATE_VALUE, 2, "expected 1 2 3"},
    {PAGE("<para box='maybe'>x</para>"), DIAG_TEMPLATE_VALUE, 2, "expected no yes"},
    {PAGE("<rule grey='2'/>"), DIAG_TEMPLATE_VALUE, 2, "expected a grey"},
    {PAGE("<facts columns='1.5'/>"), DIAG_TEMPLATE_VALUE, 2, "whole number"},
    {PAGE("<columns><part-column width='0*'/></columns>"), DIAG_TEMPLATE_VALUE, 2, "a share"},
    {"<report root='visit'><page margins='1pt 2pt 3pt'/></report>", DIAG_TEMPLATE_VALUE, 1,
     "one, two or four"},
    {PAGE("<each select='group' between=', '><para/></each>"), DIAG_TEMPLATE_ATTRIBUTE, 2,
     "only inside text"},
    {PAGE("<each select='count(group)'/>"), DIAG_TEMPLATE_VALUE, 2, "selects nodes"},
    {PAGE("<let name='2x' select='1'/>"), DIAG_TEMPLATE_VALUE, 2, "expected a name"},
    /* styles, words, dates */
    {PAGE("<para style='bodi'>x</para>"), DIAG_TEMPLATE_STYLE, 2, "nearest known name: body"},
    {REPORT("<style name='a' like='later'/><style name='later'/>"), DIAG_TEMPLATE_STYLE, 2,
     "declared before"},
    {REPORT("<style name='a' size='10pt' leading='8pt'/>"), DIAG_TEMPLATE_VALUE, 2, "leading"},
    {REPORT("<style name='a' face='italic'/>"), DIAG_TEMPLATE_VALUE, 2, "expected regular bold"},
    {REPORT("<style name='a' colour='red'/>"), DIAG_TEMPLATE_VALUE, 2, "a colour such as"},
    {REPORT("<word key='a'>A</word>\n<word key='a'>B</word>"), DIAG_TEMPLATE_VALUE, 3, "twice"},
    {REPORT("<word>A</word>"), DIAG_TEMPLATE_ATTRIBUTE, 2, "needs key"},
    {REPORT("<word key='a'><bold>A</bold></word>"), DIAG_TEMPLATE_ELEMENT, 2, "bold in word"},
    {REPORT("<dates style='day'/>"), DIAG_TEMPLATE_VALUE, 2, "expected d, dd"},
    {REPORT("<dates style='d MMM' months='a b c'/>"), DIAG_TEMPLATE_VALUE, 2, "twelve"},
    {REPORT("<word key='far'>x</word>\n<title>{word('fat')}</title>"), DIAG_TEMPLATE_WORD, 3,
     "nearest known key: far"},
    /* expressions */
    {PAGE("<para>\n\n {@kind </para>"), DIAG_TEMPLATE_XPATH, 4, "{ without its }"},
    {PAGE("<para>a\n} b</para>"), DIAG_TEMPLATE_XPATH, 3, "} without its {"},
    {PAGE("<para>{}</para>"), DIAG_TEMPLATE_XPATH, 2, "empty expression"},
    {PAGE("<para>{person/}</para>"), DIAG_TEMPLATE_XPATH, 2, "name of an element"},
    {PAGE("<para>{1 +}</para>"), DIAG_TEMPLATE_XPATH, 2, "an expression was expected"},
    {PAGE("<para>{'open}</para>"), DIAG_TEMPLATE_XPATH, 2, "without its }"},
    {PAGE("<para>{(1}</para>"), DIAG_TEMPLATE_XPATH, 2, "\")\" was expected"},
    {PAGE("<para>{1 2}</para>"), DIAG_TEMPLATE_XPATH, 2, "end of the expression"},
    {PAGE("<para>{x:y}</para>"), DIAG_TEMPLATE_XPATH, 2, "without prefix"},
    {PAGE("<para>{sideways::a}</para>"), DIAG_TEMPLATE_XPATH, 2, "axis"},
    {PAGE("<para>{numbertext(1)}</para>"), DIAG_TEMPLATE_XPATH, 2, "nearest is number-text"},
    {PAGE("<para>{min(1)}</para>"), DIAG_TEMPLATE_XPATH, 2, "min() takes 2 arguments"},
    {PAGE("<para>{'a'/b}</para>"), DIAG_TEMPLATE_XPATH, 2, "not a set of nodes"},
    {PAGE("<para>{?}</para>"), DIAG_TEMPLATE_XPATH, 2, "empty expression"},
    /* names the document cannot hold, followed through contexts */
    {PAGE("<para>{@dat}</para>"), DIAG_TEMPLATE_NAME, 2, "nearest known name: date"},
    {PAGE("<para>{group/@value}</para>"), DIAG_TEMPLATE_NAME, 2, 
     "@value never stands in group, in {group/@value}; it stands in row"},
    {PAGE("<para>{row/@value}</para>"), DIAG_TEMPLATE_NAME, 2,
     "row never stands in visit, in {row/@value}; it stands in group"},
    {PAGE("<each select='group'>\n<para>{rov/@end}</para></each>"), DIAG_TEMPLATE_NAME, 3,
     "nearest known name: row"},
    {PAGE("<each select='group/row'><para>{@name}</para></each>"), DIAG_TEMPLATE_NAME, 2,
     "@name never stands in row"},
    {PAGE("<para>{group[@key='a']/@name}</para>"), DIAG_TEMPLATE_NAME, 2, "@key never stands"},
    {PAGE("<para>{//rows}</para>"), DIAG_TEMPLATE_NAME, 2, "nearest known name: row"},
    {PAGE("<para>{/group}</para>"), DIAG_TEMPLATE_NAME, 2, "never stands in the document"},
    {PAGE("<para>{group/row/../@value}</para>"), DIAG_TEMPLATE_NAME, 2, "never stands in group"},
    {PAGE("<para>{person/@name/@id}</para>"), DIAG_TEMPLATE_NAME, 2, "an attribute or text"},
    {PAGE("<para>{$x}</para>"), DIAG_TEMPLATE_NAME, 2, "no let binds $x"},
    {PAGE("<let name='rows' select='group/row'/><para>{$rows/@nam}</para>"), DIAG_TEMPLATE_NAME, 2,
     "@nam never stands in row"},
    {PAGE("<keep><let name='a' select='1'/></keep><para>{$a}</para>"), DIAG_TEMPLATE_NAME, 2,
     "no let binds $a"},
    {PAGE("<table select='group/row' sort='@name'><column><cell>x</cell></column></table>"),
     DIAG_TEMPLATE_NAME, 2, "@name never stands in row"},
    {PAGE("<table select='group/row'><column><head>{@key}</head><cell>x</cell></column></table>"),
     DIAG_TEMPLATE_NAME, 2, "@key never stands in visit"},
    {PAGE("<table select='group/row'><group-head by='@name'/><column><cell/></column></table>"),
     DIAG_TEMPLATE_NAME, 2, "@name never stands in row"},
    {PAGE("<when test='@limited'/>"), DIAG_TEMPLATE_NAME, 2, "@limited never stands in visit"},
    {PAGE("<figure kind='arc' alt='x' joint='{@joint}'/>"), DIAG_TEMPLATE_NAME, 2, "@joint"},
    /* figures */
    {PAGE("<figure kind='arcs' alt='x'/>"), DIAG_TEMPLATE_FIGURE, 2, "nearest known name: arc"},
    {PAGE("<figure kind='arc' alt='x' jont='knee'/>"), DIAG_TEMPLATE_ATTRIBUTE, 2,
     "nearest known name: joint"},
    {PAGE("<figure kind='arc'/>"), DIAG_TEMPLATE_ATTRIBUTE, 2, "needs alt"},
    /* characters */
    {PAGE("<para>ok\n\xF0\x92\x80\x80\n\n{@kind}</para>"), DIAG_LAYOUT_GLYPH, 3, "U+12000"},
    /* parts that are not there */
    {PAGE("<include part='stiles'/>"), DIAG_TEMPLATE_PART, 2, "nearest known name: styles"},
    {PAGE("<include part='../t'/>"), DIAG_TEMPLATE_PART, 2, "there is no part"},
};

START_TEST(refuses)
{
    const struct load_case *c = &load_cases[_i];
    sample_write("parts/styles", "<part/>");
    struct layout_template *t = sample_load(c->text);
    ck_assert_msg(t == NULL, "loaded: %s", c->text);
    const struct diag *d = &sample.diags.items[0];
    ck_assert_uint_eq(sample.diags.n, 1);
    ck_assert_msg(d->code == c->code, "%s: %s: %s", c->text, diag_id(d->code), d->detail);
    ck_assert_msg(d->pos.line == c->line, "%s: line %ld: %s", c->text, d->pos.line, d->detail);
    ck_assert_ptr_nonnull(strstr(d->pos.file, "/t.xml"));
    ck_assert_msg(*c->detail == '\0' || (d->detail != NULL && strstr(d->detail, c->detail)),
                  "%s: %s", c->text, d->detail);
}
END_TEST

START_TEST(refuses_missing_file)
{
    diag_list_clear(&sample.diags);
    ck_assert_ptr_null(layout_template_load(sample.folder, "nowhere", NULL, sample_vocabulary,
                                            sample.fonts, NULL, &sample.diags.sink));
    ck_assert_int_eq(sample_last()->code, DIAG_FILE_OPEN);
}
END_TEST

/* Errors in a part name the part's file and line. */
START_TEST(refuses_part)
{
    static const struct {
        const char *part, *detail;
        enum diag_code code;
        long line;
    } cases[] = {
        {"<part>\n<para>{@dat}</para></part>", "nearest known name: date", DIAG_TEMPLATE_NAME, 2},
        {"<part>\n\n<include part='p'/></part>", "includes itself", DIAG_TEMPLATE_PART, 3},
        {"<parts/>", "outermost element of a part is part", DIAG_TEMPLATE_PART, 1},
        {"<part><para></part>", "", DIAG_XML_SYNTAX, 1},
        {"<part>\n<style name='a'/></part>", "style in part", DIAG_TEMPLATE_ELEMENT, 2},
        {"<part>\n<title>a</title></part>", "title in part", DIAG_TEMPLATE_ELEMENT, 2},
    };
    for (size_t i = 0; i < ARRAY_LEN(cases); i++) {
        sample_write("parts/p", cases[i].part);
        ck_assert_ptr_null(sample_load(PAGE("<include part='p'/>")));
        const struct diag *d = &sample.diags.items[0];
        ck_assert_int_eq(d->code, cases[i].code);
        ck_assert_ptr_nonnull(strstr(d->detail, cases[i].detail));
        if (cases[i].line > 1) {
            ck_assert_ptr_nonnull(strstr(d->pos.file, "parts/p.xml"));
            ck_assert_int_eq(d->pos.line, cases[i].line);
        }
    }
}
END_TEST

static struct layout_template *load_shared(const char *name, struct layout_files *files)
{
    diag_list_clear(&sample.diags);
    return layout_template_load(sample.folder, name, NULL, sample_vocabulary, sample.fonts, files,
                                &sample.diags.sink);
}

/* Files read for one template serve the next as they were; a file that is refused is refused for
 * each, and found once it is put right. */
START_TEST(templates_share_files)
{
    struct layout_files *files = layout_files_new();
    sample_write("parts/p", "<part><para>one</para></part>");
    sample_write("t", PAGE("<include part='p'/>"));
    sample_write("u", PAGE("<include part='p'/><include part='q'/>"));
    struct layout_template *first = load_shared("t", files);
    ck_assert_ptr_nonnull(first);
    sample_write("parts/p", "<part><para>changed</para></part>");
    struct layout_template *again = load_shared("t", files), *anew = load_shared("t", NULL);
    ck_assert_str_eq(layout_template_digest(again), layout_template_digest(first));
    ck_assert_str_ne(layout_template_digest(anew), layout_template_digest(first));
    sample_write("parts/q", "<part><para></part>");
    for (int twice = 0; twice < 2; twice++) {
        ck_assert_ptr_null(load_shared("u", files));
        ck_assert_int_eq(sample_last()->code, DIAG_XML_SYNTAX);
    }
    sample_write("parts/q", "<part><para>two</para></part>");
    struct layout_template *other = load_shared("u", files);
    ck_assert_ptr_nonnull(other);
    layout_files_free(files);
    layout_template_free(first);
    layout_template_free(again);
    layout_template_free(anew);
    layout_template_free(other);
}
END_TEST

/* One slip where styles and words are declared is one error, with the file and line of the slip,
 * however often the name is used. */
START_TEST(refuses_shared_styles)
{
    static const struct {
        const char *part, *detail;
        enum diag_code code;
        long line;
    } cases[] = {
        {"<part>\n<style name='s' size='9'/></part>", "expected a length", DIAG_TEMPLATE_VALUE, 2},
        {"<part>\n\n<style name='s' like='bodi'/></part>", "nearest known name: body",
         DIAG_TEMPLATE_STYLE, 3},
        {"<part>\n<style name='s' like='s'/></part>", "declared before it", DIAG_TEMPLATE_STYLE, 2},
        {"<part>\n<style name='s' like='r'/><style name='r' like='s'/></part>",
         "like=\"r\": a style is like one declared before it", DIAG_TEMPLATE_STYLE, 2},
        {"<part>\n<style name='s' lik='body'/></part>", "nearest known name: like",
         DIAG_TEMPLATE_ATTRIBUTE, 2},
        {"<part>\n<style name='s' size='9pt' leading='3pt'/></part>", "leading not below it",
         DIAG_TEMPLATE_VALUE, 2},
        {"<part>\n<style name='s'/>\n<stile name='t'/></part>", "nearest known name: style",
         DIAG_TEMPLATE_ELEMENT, 3},
        {"<part>\n<style name='s'/><word key='w' lang='de'>x</word></part>", "takes key",
         DIAG_TEMPLATE_ATTRIBUTE, 2},
        {"<part>\n<style name='s'>\n</part>", "", DIAG_XML_SYNTAX, 3},
        {"<part>\n<style name='s'/>\n<include part='none'/></part>", "there is no part none",
         DIAG_TEMPLATE_PART, 3},
    };
    for (size_t i = 0; i < ARRAY_LEN(cases); i++) {
        sample_write("parts/look", cases[i].part);
        ck_assert_ptr_null(sample_load(
            "<report root='visit'><include part='look'/><page><para style='s'>x</para>"
            "<para style='s'><span style='s'>{word('w', 'v')}</span></para></page></report>"));
        const struct diag *d = &sample.diags.items[0];
        ck_assert_msg(sample.diags.n == 1, "%s: %zu errors", cases[i].part, sample.diags.n);
        ck_assert_msg(d->code == cases[i].code, "%s: %s", cases[i].part, d->detail);
        ck_assert_msg(strstr(d->detail, cases[i].detail), "%s: %s", cases[i].part, d->detail);
        ck_assert_ptr_nonnull(strstr(d->pos.file, "parts/look.xml"));
        ck_assert_int_eq(d->pos.line, cases[i].line);
    }
}
END_TEST

/* Two parts that include each other, and parts that multiply. */
START_TEST(refuses_recursion_and_growth)
{
    sample_write("parts/a", "<part><include part='b'/></part>");
    sample_write("parts/b", "<part><include part='a'/></part>");
    ck_assert_ptr_null(sample_load(PAGE("<include part='a'/>")));
    ck_assert_int_eq(sample.diags.items[0].code, DIAG_TEMPLATE_PART);
    char text[400], name[20];
    for (int i = 0; i < 8; i++) {
        char five[300] = "<para>x</para>";
        for (int j = 0; j < 5 && i < 7; j++)
            snprintf(five + 20 * j, 30, "<include part='g%d'/>", i + 1);
        snprintf(name, sizeof(name), "parts/g%d", i);
        snprintf(text, sizeof(text), "<part>%s</part>", five);
        sample_write(name, text);
    }
    ck_assert_ptr_null(sample_load(PAGE("<include part='g0'/>")));
    ck_assert_int_eq(sample.diags.items[0].code, DIAG_TEMPLATE_TOO_LARGE);
}
END_TEST

START_TEST(reports_every_error)
{
    ck_assert_ptr_null(sample_load(PAGE("<para>{@a}</para>\n<para>{@b}</para>\n<pora/>")));
    ck_assert_uint_eq(sample.diags.n, 3);
    ck_assert_int_eq(sample.diags.items[2].pos.line, 4);
    struct buf b;
    buf_init(&b, 1 << 20);
    buf_adds(&b, "<report root='visit'><page>");
    for (int i = 0; i < 100; i++)
        buf_adds(&b, "<para>{@a}</para>");
    buf_adds(&b, "</page></report>");
    ck_assert_ptr_null(sample_load(buf_text(&b)));
    buf_release(&b);
    ck_assert_uint_eq(sample.diags.n, 41);
    ck_assert_str_eq(sample_last()->detail, "60 more errors were found");
}
END_TEST

START_TEST(refuses_endless_expression)
{
    struct buf b;
    buf_init(&b, 1 << 20);
    buf_adds(&b, "<report root='visit'><page><para>{1");
    for (int i = 0; i < 4000; i++)
        buf_adds(&b, "+1");
    buf_adds(&b, "}</para></page></report>");
    ck_assert_ptr_null(sample_load(buf_text(&b)));
    ck_assert_int_eq(sample_last()->code, DIAG_TEMPLATE_XPATH);
    buf_clear(&b);
    buf_adds(&b, "<report root='visit'><page><para>{");
    for (int i = 0; i < 100; i++)
        buf_adds(&b, "(");
    buf_adds(&b, "1");
    for (int i = 0; i < 100; i++)
        buf_adds(&b, ")");
    buf_adds(&b, "}</para></page></report>");
    ck_assert_ptr_null(sample_load(buf_text(&b)));
    ck_assert_ptr_nonnull(strstr(sample_last()->detail, "less deeply nested"));
    buf_release(&b);
}
END_TEST

START_TEST(digests_all_bytes)
{
    char first[80];
    sample_write("parts/p", "<part><para>a</para></part>");
    struct layout_template *t = sample_load(PAGE("<include part='p'/>"));
    ck_assert_ptr_nonnull(t);
    ck_assert_str_eq(layout_template_root(t), "visit");
    snprintf(first, sizeof(first), "%s", layout_template_digest(t));
    ck_assert_uint_eq(strlen(first), 64);
    layout_template_free(t);
    t = sample_load(PAGE("<include part='p'/>"));
    ck_assert_str_eq(layout_template_digest(t), first);
    layout_template_free(t);
    sample_write("parts/p", "<part><para>b</para></part>");
    t = sample_load(PAGE("<include part='p'/>"));
    ck_assert_str_ne(layout_template_digest(t), first);
    layout_template_free(t);
    layout_template_free(NULL);
}
END_TEST

/* What may stand where it looks unusual, and must load. */
static const char *const accepted[] = {
    PAGE("<each select='group'><each select='row'><para>{../@name}{/visit/@date}</para></each>"
         "</each>"),
    PAGE("<para>{//row[1]/@value}{group/row[last()]/note/@code}</para>"),
    PAGE("<para>{?(group|group/row)[1]/@name}</para>"),
    PAGE("<para>{{ and }} {concat('}', '{')}</para>"),
    PAGE("<table select='group/row'><when test='@kind'><column><cell>{@key}</cell></column></when>"
         "</table>"),
    PAGE("<let name='g' select='group'/><each select='$g/row'><para>{@end}</para></each>"),
    PAGE("<let name='n' select='1 + 2'/><para>{$n * 2}</para>"),
    PAGE("<each select='group/@name'><para>{.}{../@name}</para></each>"),
    PAGE("<para>{group/*[self::row]/@end}{group/row/note/ancestor::group/@name}</para>"),
    "<report root='visit' xml:lang='en'><each select='group'><page/></each></report>",
    "<?xml version='1.0'?><!-- c --><report root='visit'><page size='a4' orientation='landscape'"
    " margins='1in 2cm'/></report>",
};

START_TEST(accepts)
{
    struct layout_template *t = sample_load(accepted[_i]);
    ck_assert_msg(t != NULL, "%s: %s", accepted[_i],
                  sample.diags.n > 0 ? sample.diags.items[0].detail : "");
    layout_template_free(t);
}
END_TEST

static Suite *make_suite(void)
{
    Suite *s = suite_create("layout_load");
    TCase *t = tcase_create("load");
    tcase_add_unchecked_fixture(t, sample_start, sample_stop);
    tcase_add_loop_test(t, refuses, 0, ARRAY_LEN(load_cases));
    tcase_add_test(t, refuses_missing_file);
    tcase_add_test(t, refuses_part);
    tcase_add_test(t, templates_share_files);
    tcase_add_test(t, refuses_shared_styles);
    tcase_add_test(t, refuses_recursion_and_growth);
    tcase_add_test(t, reports_every_error);
    tcase_add_test(t, refuses_endless_expression);
    tcase_add_test(t, digests_all_bytes);
    tcase_add_loop_test(t, accepts, 0, ARRAY_LEN(accepted));
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make_suite)
