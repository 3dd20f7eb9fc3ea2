/* A template filled from a document: what refuses it, with the line and the place in the data, and
 * what words come out. */
#include "layout_sample.h"

static const char document[] =
    "<visit date='2025-03-04'><person name='Ann  Example'/>"
    "<group name='a'><row key='k1' value='1' end='10' limited='yes'><note code='n1'/></row>"
    "<row key='k2' value='20' end='-5'/><row key='k3' value='3'/></group>"
    "<group name='b'><row key='k4' value='8' text='a{b} &lt;c&gt; &amp; d'/></group></visit>";

static const struct refuse_case {
    const char *blocks;
    enum diag_code code;
    long line;
    const char *detail;
} refuse_cases[] = {
    {"<para>{@kind}</para>", DIAG_LAYOUT_NOTHING, 2, "{@kind} at visit"},
    {"<para>one\ntwo\n{@kind}\n</para>", DIAG_LAYOUT_NOTHING, 4, "{@kind} at visit"},
    {"<each select='group/row'>\n<para>{@end}</para></each>", DIAG_LAYOUT_NOTHING, 3,
     "{@end} at visit/group[1]/row[3]"},
    {"<para>{group/row[9]/@end}</para>", DIAG_LAYOUT_NOTHING, 2, "row[9]"},
    {"<para>{concat(@date, @kind)}</para>", DIAG_LAYOUT_NOTHING, 2, "concat"},
    {"<para>{group/row/@end - @kind}</para>", DIAG_LAYOUT_NOTHING, 2, "@kind"},
    {"<table select='group/row'><column><head>e</head>\n<cell>{@end}</cell></column></table>",
     DIAG_LAYOUT_NOTHING, 3, "{@end} at visit/group[1]/row[3]"},
    {"<table select='group/row'><column><head>{@kind}</head><cell/></column></table>",
     DIAG_LAYOUT_NOTHING, 2, "at visit"},
    {"<table select='group/row'><group-head by='1'>{@text}</group-head><column><cell/></column>"
     "</table>",
     DIAG_LAYOUT_NOTHING, 2, "at visit/group[1]/row[1]"},
    {"<facts><fact label='{@kind}'>x</fact></facts>", DIAG_LAYOUT_NOTHING, 2, "{@kind}"},
    {"<facts><fact label='a' optional='yes'>{@kind}</fact><fact label='b'>{@kind}</fact></facts>",
     DIAG_LAYOUT_NOTHING, 2, "{@kind}"},
    {"<figure kind='arc' alt='{@kind}'/>", DIAG_LAYOUT_NOTHING, 2, "{@kind}"},
    {"<figure kind='arc' alt='a' joint='{@kind}'/>", DIAG_LAYOUT_NOTHING, 2, "{@kind}"},
    {"<para><link to='{@kind}'>x</link></para>", DIAG_LAYOUT_NOTHING, 2, "{@kind}"},
    {"<running-foot><para>{@kind}</para></running-foot>", DIAG_LAYOUT_NOTHING, 2, "{@kind}"},
    {"<para>{word(group/row/@key)}</para>", DIAG_LAYOUT_WORD, 2, "k1 at visit"},
    {"<para>{date-text(group/@name)}</para>", DIAG_LAYOUT_DATE, 2, "at visit"},
    {"<figure kind='arc' alt='a' joint='knee' motion='no-such-motion'/>", DIAG_LAYOUT_FIGURE, 2,
     ""},
    /* links inside the document and the places they lead to */
    {"<para><place name='k4'/>x</para><each select='group/row'>\n<para><link to='#{@key}'>x</link>"
     "</para></each>",
     DIAG_LAYOUT_PLACE, 3, "to=\"#k3\": no place of this name is printed"},
    {"<para><place name='rows'/>x</para>\n<para><link to='#row'>x</link></para>",
     DIAG_LAYOUT_PLACE, 3, "nearest known name: rows at visit"},
    {"<para><place name='a'/></para><para><link to='#a'>x</link></para>", DIAG_LAYOUT_PLACE, 2,
     "no place of this name is printed"},
    {"<para><link to='#'>x</link></para>", DIAG_LAYOUT_PLACE, 2, "no place"},
    {"<each select='group/row'><para>\n<place name='r'/>x</para></each>", DIAG_LAYOUT_PLACE, 3,
     "\"r\" is given to a second place at visit/group[1]/row[2]"},
    {"<para><place name='a b'/>x</para>", DIAG_LAYOUT_PLACE, 2, "expected letters"},
    {"<para><place name='{?@kind}'/>x</para>", DIAG_LAYOUT_PLACE, 2, "expected letters"},
    {"<para><place name='{@kind}'/>x</para>", DIAG_LAYOUT_NOTHING, 2, "{@kind}"},
};

START_TEST(refuses)
{
    const struct refuse_case *c = &refuse_cases[_i];
    struct page_list *list = sample_page("", c->blocks, 300, 300, document);
    ck_assert_msg(list == NULL, "set: %s", c->blocks);
    ck_assert_uint_ge(sample.diags.n, 1);
    const struct diag *d = &sample.diags.items[0];
    ck_assert_msg(d->code == c->code, "%s: %s: %s", c->blocks, diag_id(d->code), d->detail);
    ck_assert_msg(d->pos.line == c->line, "%s: line %ld", c->blocks, d->pos.line);
    ck_assert_ptr_nonnull(strstr(d->pos.file, "/t.xml"));
    ck_assert_msg(strstr(d->detail, c->detail), "%s: %s", c->blocks, d->detail);
}
END_TEST

/* A character no face holds, out of the data. */
START_TEST(refuses_glyph)
{
    ck_assert_ptr_null(sample_page("", "<each select='group'>\n<para>\n{@name}</para></each>", 300,
                                   300, "<visit><group name='a'/>"
                                        "<group name='x&#x12000;y'/></visit>"));
    ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_GLYPH);
    ck_assert_int_eq(sample_last()->pos.line, 4);
    ck_assert_str_eq(sample_last()->detail, "U+12000 at visit/group[2]");
    ck_assert_ptr_null(sample_last()->text);
}
END_TEST

START_TEST(refuses_other_root)
{
    struct layout_template *t =
        sample_load("<report root='visit'><page><para>x</para></page></report>");
    ck_assert_ptr_null(sample_set(t, "<day/>"));
    ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_ROOT);
    layout_template_free(t);
}
END_TEST

/* All reasons at once, not the first alone; and the next document is set as if nothing was. */
START_TEST(reports_all_and_goes_on)
{
    struct layout_template *t = sample_load("<report root='visit'><page><each select='group'>"
                                            "<para>{@name}</para></each></page></report>");
    ck_assert_ptr_null(sample_set(t, "<visit><group/><group name='a'/><group/></visit>"));
    ck_assert_uint_eq(sample.diags.n, 2);
    struct page_list *list = sample_set(t, "<visit><group name='a'/></visit>");
    ck_assert_ptr_nonnull(list);
    ck_assert_ptr_nonnull(sample_find(list, 0, "a", 0));
    page_list_free(list);
    layout_template_free(t);
}
END_TEST

static const struct word_case {
    const char *blocks, *words;
} word_cases[] = {
    {"<para>{?@kind}</para><para>x</para>", "x"},
    {"<para>  a \n\t b<bold>c </bold> d </para>", "a b|c|d"},
    {"<para>{{x}} {group/@name}</para>", "{x} a"},
    {"<para>{person/@name}</para>", "Ann Example"},
    {"<para>{group[2]/row/@text}</para>", "a{b} <c> & d"},
    {"<para>{number-text(1.50)}{signed-text(-2)}</para>", "1.5\xE2\x88\x92" "2"},
    {"<para>a<break/>b<break/><break/>c<break/></para>", "a|b|c"},
    {"<para>x <page-number/> of <page-count/>.</para>", "x|1|of|1|."},
    /* choice */
    {"<when test='@kind'><para>a</para></when><otherwise><para>b</para></otherwise>", "b"},
    {"<when test='@date'><para>a</para></when><otherwise><para>b</para></otherwise>", "a"},
    {"<when test='@kind'><para>a</para></when><otherwise test='@date'><para>b</para></otherwise>"
     "<otherwise><para>c</para></otherwise>",
     "b"},
    {"<when test='@kind'><para>a</para></when><otherwise test='person/@id'><para>b</para>"
     "</otherwise><otherwise><para>c</para></otherwise>",
     "c"},
    {"<when test='@date'><para>a</para></when><when test='@kind'><para>b</para></when>"
     "<otherwise><para>c</para></otherwise>",
     "a|c"},
    {"<para>a<when test='@kind'>b</when> <!-- c --> <otherwise>d</otherwise>.</para>", "ad."},
    {"<para>a <when test='@kind'>b</when>.</para>", "a ."},
    /* repetition */
    {"<each select='group/row'><para>{@key}{position()}/{last()}</para></each>",
     "k11/4|k22/4|k33/4|k44/4"},
    {"<each select='group/row' sort='@value'><para>{@key}</para></each>", "k1|k2|k3|k4"},
    {"<each select='group/row' sort='@value' type='number'><para>{@key}</para></each>",
     "k1|k3|k4|k2"},
    {"<each select='group/row' sort='@value' type='number' order='descending' limit='2'>"
     "<para>{@key}</para></each>",
     "k2|k4"},
    {"<each select='group/row' sort='@end' type='number' order='descending'><para>{@key}</para>"
     "</each>",
     "k1|k2|k3|k4"},
    {"<each select='group/row' sort='@limited' order='descending'><para>{@key}</para></each>",
     "k1|k2|k3|k4"},
    {"<para><each select='group/row' between=', '>\n {@key}\n </each>.</para>",
     "k1, k2, k3, k4."},
    {"<para><each select='group/row' between=', '>{?@end}</each>.</para>",
     "10, -5."},
    {"<para><each select='group/row' between='; '><when test='@text or @key=\"k2\"'>{@key}</when>"
     "</each></para>",
     "k2; k4"},
    {"<para>(<each select='group/row/note[@text]' between=', '>{@code}</each>)</para>", "()"},
    /* variables */
    {"<let name='n' select='group[2]'/><each select='group'><let name='m' select='@name'/>"
     "<para>{$n/@name}{$m}</para></each>",
     "ba|bb"},
    {"<let name='n' select='1'/><keep><let name='n' select='2'/><para>{$n}</para></keep>"
     "<para>{$n}</para>",
     "2|1"},
    {"<table select='group/row'><let name='d' select='@date'/><column><cell>{$d}</cell></column>"
     "</table>",
     "2025-03-04|2025-03-04|2025-03-04|2025-03-04"},
    /* parts */
    {"<include part='row' select='group/row[1]'/>", "<k1>|<k4>"},
    {"<include part='row' select='group/row[@key=9]'/><para>x</para>", "x"},
    {"<each select='group/row'><para>(<include part='key'/>)</para></each>", "(k1)|(k2)|(k3)|(k4)"},
    /* facts and lists */
    {"<facts><fact label='a'>{@date}</fact><fact label='b' optional='yes'>{@kind} kg</fact>"
     "<fact label='c' optional='yes'>{?@kind}</fact><fact label='d'/></facts>",
     "a|2025-03-04|d"},
    {"<list marker='number'><item>a</item><item>{?@kind}</item><each select='group'>"
     "<item>{@name}</item></each></list>",
     "1.|a|2.|a|3.|b"},
    {"<list><each select='person[@id]'><item>x</item></each></list><para>y</para>", "y"},
    /* tables */
    {"<table select='group/row/note[@text]' empty='none: {@date}'><column><cell>x</cell></column>"
     "</table>",
     "none: 2025-03-04"},
    {"<table select='group/row/note[@text]'><column><cell>x</cell></column></table><para>y</para>",
     "y"},
    {"<table select='group/row' sort='@value' type='number' order='descending' limit='2'>"
     "<column><head>k</head><cell>{@key}</cell></column></table>",
     "k|k2|k4"},
    {"<table select='group/row'><when test='@kind'><column><cell>no</cell></column></when>"
     "<otherwise><column><cell>{@key}</cell></column></otherwise></table>",
     "k1|k2|k3|k4"},
    {"<table select='group/row'><group-head by='../@name'>{../@name}:</group-head><column>"
     "<cell>{@key}</cell></column></table>",
     "a:|k1|k2|k3|b:|k4"},
    {"<grid select='group/row' columns='3'><para>{@key}</para></grid>", "k1|k2|k3|k4"},
    {"<columns><part-column><para>a</para></part-column><when test='@date'><part-column>"
     "<para>b</para></part-column></when></columns>",
     "a|b"},
    {"<signature label='Signed {@date}'/>", "Signed 2025-03-04"},
};

START_TEST(sets_words)
{
    const struct word_case *c = &word_cases[_i];
    sample_write("parts/row", "<part><para>&lt;{@key}&gt;</para></part>");
    sample_write("parts/key", "<part>\n  {@key}\n</part>");
    struct page_list *list = sample_page("", c->blocks, 400, 400, document);
    ck_assert_msg(list != NULL, "%s: %s", c->blocks,
                  sample.diags.n > 0 ? sample_last()->detail : "");
    struct buf words;
    buf_init(&words, 1 << 20);
    sample_words(list, 0, &words);
    ck_assert_str_eq(buf_text(&words), c->words);
    buf_release(&words);
    page_list_free(list);
}
END_TEST

/* What would be larger than any paragraph refuses the document; it never ends the program. */
START_TEST(refuses_endless_text)
{
    static const char *const blocks[] = {
        "<para>{person/@name}{person/@name}{person/@name}</para>",
        "<para><each select='group'>{../person/@name}</each></para>",
        "<para>{concat(person/@name, person/@name, person/@name)}</para>",
        "<para>{list-text(//@name, ', ')}</para>",
        "<para>{capital(person/@name)}{capital(person/@name)}{capital(person/@name)}</para>",
        "<figure kind='arc' alt='{person/@name}{person/@name}{person/@name}'/>",
    };
    enum { LONG = 500000 };
    char *text = mem_alloc(LONG + 1);
    struct buf doc;
    for (int i = 0; i < LONG; i++)
        text[i] = i % 8 == 7 ? ' ' : 'x';
    buf_init(&doc, 4 << 20);
    buf_addf(&doc, "<visit><person name='%s'/><group/><group/><group name='%s'/><group name='%s'/>"
             "</visit>", text, text, text);
    for (size_t i = 0; i < ARRAY_LEN(blocks); i++) {
        ck_assert_ptr_null(sample_page("", blocks[i], 300, 300, buf_text(&doc)));
        ck_assert_msg(sample.diags.items[0].code == DIAG_LAYOUT_FIT, "%s: %s", blocks[i],
                      diag_id(sample.diags.items[0].code));
    }
    buf_release(&doc);
    free(text);
}
END_TEST

START_TEST(sets_properties)
{
    struct layout_template *t = sample_load(
        "<report root='visit' xml:lang='de'><title>Of {person/@name},<break/><bold>{@date}</bold>"
        "</title><page><para>x</para></page></report>");
    struct page_list *list = sample_set(t, document);
    layout_template_free(t);
    ck_assert_str_eq(list->title, "Of Ann Example, 2025-03-04");
    ck_assert_str_eq(list->language, "de");
    ck_assert_str_eq(list->date, "2025-03-04");
    page_list_free(list);
}
END_TEST

/* A report's own word goes before that of a part, wherever it stands. */
START_TEST(overrides_shared_words)
{
    sample_write("parts/words", "<part><word key='a'>shared</word><word key='b'>B</word>"
                                "<style name='body' size='7pt'/></part>");
    struct page_list *list =
        sample_page("<include part='words'/><word key='a'>own</word>",
                    "<para>{word('a')} {word('b')}</para>", 200, 200, "<visit/>");
    const struct page_text *text = sample_find(list, 0, "own B", 0);
    ck_assert_ptr_nonnull(text);
    ck_assert_double_eq(text->size, 7);
    page_list_free(list);
}
END_TEST

static Suite *make_suite(void)
{
    Suite *s = suite_create("layout_bind");
    TCase *t = tcase_create("bind");
    tcase_add_unchecked_fixture(t, sample_start, sample_stop);
    tcase_add_loop_test(t, refuses, 0, ARRAY_LEN(refuse_cases));
    tcase_add_test(t, refuses_glyph);
    tcase_add_test(t, refuses_other_root);
    tcase_add_test(t, reports_all_and_goes_on);
    tcase_add_loop_test(t, sets_words, 0, ARRAY_LEN(word_cases));
    tcase_add_test(t, refuses_endless_text);
    tcase_add_test(t, sets_properties);
    tcase_add_test(t, overrides_shared_words);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make_suite)
