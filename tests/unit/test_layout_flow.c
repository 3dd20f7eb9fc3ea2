/* Where pages end: what stays together, what repeats, what is split, and that nothing is lost
 * whatever the size of the sheet. Lines are 10 pt high here, so a sheet of 20 + 10 n holds n. */
#include "layout_sample.h"

#include <time.h>

static const char grid[] =
    "<style name='body' size='8pt' leading='10pt' above='0' below='0'/>"
    "<style name='head' size='8pt' leading='10pt' above='0' below='0'/>"
    "<style name='foot' size='8pt' leading='10pt' above='0' below='0'/>"
    "<style name='heading-1' size='8pt' leading='10pt' above='0' below='0'/>"
    "<style name='table' size='8pt' leading='10pt' above='0' below='0'/>"
    "<style name='note' size='8pt' leading='10pt' above='0' below='0'/>"
    "<style name='group-head' size='8pt' leading='10pt' above='0' below='0'/>"
    "<style name='table-head' size='8pt' leading='10pt' above='0' below='0'/>";

/* n rows r1 ... in groups of `per`. */
static const char *document(int n, int per)
{
    static struct buf b;
    buf_release(&b);
    buf_init(&b, 1 << 24);
    buf_adds(&b, "<visit date='2025-03-04'>");
    for (int i = 1; i <= n; i++) {
        if ((i - 1) % per == 0)
            buf_addf(&b, "%s<group name='g%d'>", i > 1 ? "</group>" : "", (i - 1) / per + 1);
        buf_addf(&b, "<row key='r%d' value='%d' end='%d.5'/>", i, i, i % 90);
    }
    buf_adds(&b, "</group></visit>");
    return buf_text(&b);
}

#define TABLE(attributes, before, after)                                                           \
    "<table select='group/row' row-gap='0' lines='none' least-rows='1' " attributes "><column>"    \
    before "<cell>{@key}</cell>" after "</column></table>"

#define TALL_ROWS(more)                                                                            \
    "<table select='group/row' row-gap='0' lines='none' least-rows='1' goes-on='more'><column>"    \
    "<cell>1<break/>2<break/>3<break/>4<break/>5<break/>6" more "</cell></column></table>"

static const struct flow_case {
    const char *blocks;
    int rows, per, lines;     /* of the document; of a sheet */
    const char *pages;        /* words, sheets apart by " / " */
} cases[] = {
    /* paragraphs flow; a page is begun only for content */
    {"<para>a</para><para>b</para><para>c</para>", 1, 1, 2, "a|b / c"},
    {"<para>a</para>", 1, 1, 1, "a"},
    {"<para>{?@kind}</para>", 1, 1, 2, ""},
    /* two lines at least at the end and at the start of a page */
    {"<para>a</para><para>1<break/>2<break/>3<break/>4</para>", 1, 1, 2, "a / 1|2 / 3|4"},
    {"<para>a</para><para>1<break/>2<break/>3</para>", 1, 1, 3, "a / 1|2|3"},
    {"<para>1<break/>2<break/>3<break/>4<break/>5</para>", 1, 1, 4, "1|2|3 / 4|5"},
    {"<para>1<break/>2<break/>3</para>", 1, 1, 2, "1|2 / 3"},
    {"<para>1<break/>2<break/>3</para>", 1, 1, 1, "1 / 2 / 3"},
    /* with the next */
    {"<para>a</para><heading>h</heading><para>b</para>", 1, 1, 2, "a / h|b"},
    {"<para>a</para><para keep='next'>h</para><para>b</para>", 1, 1, 2, "a / h|b"},
    {"<heading>h</heading><heading>i</heading><para>b</para>", 1, 1, 2, "h|i / b"},
    {"<para>a</para><heading>h</heading>", 1, 1, 2, "a|h"},
    /* together; too tall, it starts where it stands and splits */
    {"<para>a</para><keep><para>b</para><para>c</para></keep>", 1, 1, 2, "a / b|c"},
    {"<para>a</para><keep><para>b</para><keep><para>c</para><para>d</para></keep></keep>", 1, 1,
     2, "a|b / c|d"},
    {"<keep><heading>h</heading><para>b</para><para>c</para></keep>", 1, 1, 2, "h|b / c"},
    /* page breaks asked for */
    {"<para>a</para><break-page/><para>b</para>", 1, 1, 5, "a / b"},
    {"<break-page/><para>a</para><break-page/><break-page/><para>b</para><break-page/>", 1, 1, 5,
     "a / b"},
    {"<each select='group'><break-page/><para>{@name}</para></each>", 3, 1, 5, "g1 / g2 / g3"},
    /* space vanishes at a page end, not where the page begins by itself */
    {"<space height='10pt'/><para>a</para><para>b</para>", 1, 1, 2, "a / b"},
    {"<para>a</para><para>b</para><space height='10pt'/><para>c</para><para>d</para>", 1, 1, 2,
     "a|b / c|d"},
    {"<para>a</para><break-page/><space height='10pt'/><para>c</para><para>d</para>", 1, 1, 2,
     "a / c / d"},
    {"<space height='500pt'/><para>a</para>", 1, 1, 2, "a"},
    /* heads and feet */
    {"<running-head><para>H</para></running-head><para>a</para><para>b</para>", 1, 1, 2,
     "a|H / b|H"},
    {"<running-head on='first'><para>H</para></running-head><para>a</para><para>b</para>"
     "<para>c</para>",
     1, 1, 2, "a|H / b|c"},
    {"<running-foot on='rest'><para><page-number/>/<page-count/></para></running-foot>"
     "<para>a</para><para>b</para><para>c</para>",
     1, 1, 2, "a|b / c|2/2"},
    {"<running-foot><para>p<page-number/></para></running-foot><running-head><para>H</para>"
     "</running-head><para>a</para><para>b</para>",
     1, 1, 3, "a|p1|H / b|p2|H"},
    {"<para>on <page-number/></para><para>on <page-number/> of <page-count/></para>", 1, 1, 1,
     "on|1 / on|2|of|2"},
    /* tables: the head repeats, rows stay together by least-rows */
    {"<table select='group/row' row-gap='0' lines='none' least-rows='1'><column><head>k</head>"
     "<cell>{@key}</cell></column></table>",
     4, 9, 3, "k|r1|r2 / k|r3|r4"},
    {"<table select='group/row' row-gap='0' lines='none' least-rows='1'><column>"
     "<cell>{@key}</cell></column></table>",
     4, 9, 3, "r1|r2|r3 / r4"},
    {"<table select='group/row' row-gap='0' lines='none'><column><cell>{@key}</cell></column>"
     "</table>",
     4, 9, 3, "r1|r2 / r3|r4"},
    {"<table select='group/row' row-gap='0' lines='none' least-rows='3'><column>"
     "<cell>{@key}</cell></column></table><para>x</para>",
     6, 9, 5, "r1|r2|r3 / r4|r5|r6|x"},
    {"<para>a</para><table select='group/row' row-gap='0' lines='none'><column>"
     "<cell>{@key}</cell></column></table>",
     3, 9, 3, "a / r1|r2|r3"},
    {"<table select='group/row' repeat-head='no' row-gap='0' lines='none' least-rows='1'><column>"
     "<head>k</head><cell>{@key}</cell></column></table>",
     4, 9, 4, "k|r1|r2|r3 / r4"},
    {"<para>a</para><heading>h</heading><table select='group/row' row-gap='0' lines='none'>"
     "<column><head>k</head><cell>{@key}</cell></column></table>",
     2, 9, 4, "a / h|k|r1|r2"},
    /* groups: head kept with its first row, set again with its tail */
    {"<table select='group/row' row-gap='0' lines='none' least-rows='1'><group-head by='../@name'"
     " continued='({../@name} cont.)'>{../@name}</group-head><column><cell>{@key}</cell></column>"
     "</table>",
     4, 3, 3, "g1|r1|r2 / (g1 cont.)|r3 / g2|r4"},
    {"<table select='group/row' row-gap='0' lines='none' least-rows='1'><group-head by='../@name'>"
     "{../@name}</group-head><column><head>k</head><cell>{@key}</cell></column></table>",
     4, 2, 5, "k|g1|r1|r2 / k|g2|r3|r4"},
    /* a row taller than a page is split, with the head again */
    {"<table select='group/row' row-gap='0' lines='none' least-rows='1'><column><head>k</head>"
     "<cell>{@key}<break/>2<break/>3<break/>4</cell></column><column><cell>x</cell></column>"
     "</table>",
     1, 9, 4, "k|r1|2|3|x / k|4"},
    /* a head too tall to repeat gives way */
    {"<table select='group/row' row-gap='0' lines='none' least-rows='1'><column>"
     "<head>k<break/>l<break/>m</head><cell>{@key}<break/>2</cell></column></table>",
     2, 9, 4, "k|l|m / r1|2|r2|2"},
    /* what a table says where a page ends inside it, and nowhere else */
    {TABLE("goes-on='more'", "", ""), 8, 9, 6, "r1|r2|r3|r4|r5|more / r6|r7|r8"},
    {TABLE("goes-on='more'", "", ""), 6, 9, 6, "r1|r2|r3|r4|r5|r6"},
    {"<para>a</para>" TABLE("goes-on='more'", "", "") "<para>b</para>", 8, 9, 6,
     "a|r1|r2|r3|r4|more / r5|r6|r7|r8|b"},
    {TABLE("continued='again'", "<head>k</head>", ""), 8, 9, 6,
     "k|r1|r2|r3|r4|r5 / again|k|r6|r7|r8"},
    {TABLE("continued='again'", "", ""), 8, 9, 6, "r1|r2|r3|r4|r5|r6 / again|r7|r8"},
    {TABLE("continued='again' repeat-head='no'", "<head>k</head>", ""), 8, 9, 6,
     "k|r1|r2|r3|r4|r5 / r6|r7|r8"},
    /* feet: at the end, kept with the last row; on every page if asked; in the table's context */
    {TABLE("", "", "<foot>n{count(group/row)}</foot>"), 8, 9, 6,
     "r1|r2|r3|r4|r5|r6 / r7|r8|n8"},
    {TABLE("", "", "<foot>n</foot>"), 6, 9, 6, "r1|r2|r3|r4|r5 / r6|n"},
    {TABLE("repeat-foot='yes'", "", "<foot>n</foot>"), 8, 9, 6, "r1|r2|r3|r4|r5|n / r6|r7|r8|n"},
    {TABLE("repeat-foot='yes' goes-on='more'", "", "<foot>n</foot>"), 12, 9, 10,
     "r1|r2|r3|r4|r5|r6|r7|n|more / r8|r9|r10|r11|r12|n"},
    /* a row that is split leaves room for it; one that only fits without it stands whole */
    {TALL_ROWS("<break/>7<break/>8"), 1, 9, 6, "1|2|3|4|5|more / 6|7|8"},
    {TALL_ROWS(""), 2, 9, 6, "1|2|3|4|5|6 / 1|2|3|4|5|6"},
    /* running heads that say what the page is about */
    {"<running-head><para>[<page-mark of='heading-1'/>]</para></running-head>"
     "<para>a</para><para>b</para><heading>H</heading><para>c</para><para>d</para><para>e</para>"
     "<heading>I</heading><heading>J</heading><para>f</para>",
     1, 1, 3, "a|b|[] / H|c|[H] / d|e|[H] / I|J|[I] / f|[J]"},
    {"<running-head><para>[<page-mark of='heading-1' which='last'/>]</para></running-head>"
     "<heading>I<break/>i</heading><heading>J</heading><para>f</para><para>g</para>",
     1, 1, 5, "I|i|J|f|[J] / g|[J]"},
    {"<running-foot><para><page-mark of='group-head'/>-<page-mark of='group-head' which='last'/>"
     "</para></running-foot><table select='group/row' row-gap='0' lines='none' least-rows='1'>"
     "<group-head by='../@name' continued='more'>{../@name}</group-head><column>"
     "<cell>{@key}</cell></column></table>",
     5, 3, 5, "g1|r1|r2|r3|g1-g1 / g2|r4|r5|g2-g2"},
    {"<running-foot><para><page-mark of='group-head'/>-<page-mark of='group-head' which='last'/>"
     "</para></running-foot><table select='group/row' row-gap='0' lines='none' least-rows='1'>"
     "<group-head by='../@name' continued='more'>{../@name}</group-head><column>"
     "<cell>{@key}</cell></column></table>",
     5, 4, 5, "g1|r1|r2|r3|g1-g1 / more|r4|g2|r5|g1-g2"},
    /* room for the widest, in lines */
    {"<running-head><para>over <page-mark of='heading-1'/></para></running-head>"
     "<heading>a</heading><para>b</para><heading>one heading that is far too long for one line of "
     "this sheet</heading><para>c</para>",
     1, 1, 6, "a|b|over a / one heading that is far too long for one line|of this sheet|c|over one "
     "heading that is far too long for one line|of this sheet"},
    /* too tall to be worth it */
    {TABLE("goes-on='more'", "", ""), 4, 9, 3, "r1|r2|r3 / r4"},
    /* in a part of the page */
    {"<columns><part-column>" TABLE("goes-on='more'", "", "") "</part-column></columns>", 8, 9, 6,
     "r1|r2|r3|r4|r5|more / r6|r7|r8"},
    /* side by side, and grids */
    {"<para>a</para><columns><part-column><para>1</para><para>2</para></part-column>"
     "<part-column><para>x</para></part-column></columns>",
     1, 1, 2, "a / 1|2|x"},
    {"<columns><part-column><para>1</para><para>2</para><para>3</para></part-column>"
     "<part-column><para>x</para></part-column></columns><para>b</para>",
     1, 1, 2, "1|2|x / 3|b"},
    {"<grid select='group/row' columns='2' gap='0'><para>{@key}</para><para>v{@value}</para>"
     "</grid>",
     4, 9, 3, "r1|v1|r2|v2 / r3|v3|r4|v4"},
    {"<columns><part-column><table select='group/row' row-gap='0' lines='none' least-rows='1'>"
     "<column><head>k</head><cell>{@key}</cell></column></table></part-column></columns>",
     4, 9, 3, "k|r1|r2 / k|r3|r4"},
};

START_TEST(ends_pages)
{
    const struct flow_case *c = &cases[_i];
    struct page_list *list =
        sample_page(grid, c->blocks, 200, 20 + 10 * c->lines + 3, document(c->rows, c->per));
    ck_assert_msg(list != NULL, "%s: %s", c->blocks,
                  sample.diags.n > 0 ? sample_last()->detail : "");
    struct buf all, one;
    buf_init(&all, 1 << 20);
    buf_init(&one, 1 << 20);
    for (size_t i = 0; i < list->n; i++) {
        sample_words(list, i, &one);
        buf_addf(&all, "%s%s", i > 0 ? " / " : "", buf_text(&one));
    }
    ck_assert_msg(strcmp(buf_text(&all), c->pages) == 0, "%s\n  gave %s\n  not  %s", c->blocks,
                  buf_text(&all), c->pages);
    buf_release(&one);
    buf_release(&all);
    page_list_free(list);
}
END_TEST

START_TEST(sets_several_pages)
{
    struct layout_template *t = sample_load(
        "<report root='visit'><page size='a4'><para>one</para><running-foot><para><page-number/>/"
        "<page-count/></para></running-foot></page><each select='group'>"
        "<page size='letter' orientation='landscape'><para>{@name}</para></page></each></report>");
    ck_assert_ptr_nonnull(t);
    struct page_list *list = sample_set(t, document(2, 1));
    layout_template_free(t);
    ck_assert_uint_eq(list->n, 3);
    ck_assert_double_eq_tol(list->pages[0].width, 595.28, 0.01);
    ck_assert_double_eq_tol(list->pages[0].height, 841.89, 0.01);
    ck_assert_double_eq(list->pages[1].width, 792);
    ck_assert_double_eq(list->pages[2].height, 612);
    ck_assert_ptr_nonnull(sample_find(list, 0, "1/3", 0));
    ck_assert_ptr_nonnull(sample_find(list, 2, "g2", 0));
    page_list_free(list);
}
END_TEST

START_TEST(refuses_figure_taller_than_page)
{
    ck_assert_ptr_null(sample_page(grid, "<para>a</para>\n<figure kind='arc' alt='x' joint='knee' "
                                         "motion='flexion' side='right' end='90' unit='deg'/>",
                                   500, 60, "<visit/>"));
    ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_FIT);
    ck_assert_int_eq(sample_last()->pos.line, 3);
}
END_TEST

static const struct {
    const char *pages;
    int paras; /* two fit a page */
    bool fits;
} bounded[] = {{"1", 2, true}, {"1", 3, false}, {"2", 4, true}, {"2", 5, false}};

START_TEST(refuses_more_pages_than_allowed)
{
    char whole[1200];
    snprintf(whole, sizeof(whole),
             "<report root='visit'>%s<page width='200pt' height='43pt' margins='10pt' pages='%s'>"
             "<each select='group/row'><para>{@key}</para></each></page><page width='200pt' "
             "height='43pt' margins='10pt'><para>x</para><para>x</para><para>x</para></page>"
             "</report>",
             grid, bounded[_i].pages);
    struct layout_template *t = sample_load(whole);
    ck_assert_ptr_nonnull(t);
    struct page_list *list = sample_set(t, document(bounded[_i].paras, 9));
    ck_assert_int_eq(list != NULL, bounded[_i].fits);
    if (list == NULL) {
        ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_PAGES);
        ck_assert_str_eq(sample_last()->pos.field, "page");
    }
    page_list_free(list);
    layout_template_free(t);
}
END_TEST

/* ---- nothing is lost ------------------------------------------------------------------------ */

static unsigned long seed;

static int draw(int n)
{
    seed = seed * 6364136223846793005UL + 1442695040888963407UL;
    return (int)((seed >> 33) % (unsigned long)n);
}

static const char *const words[] = {"a", "of", "flexion", "112", "82.3", "0-10-120", "right/left",
                                    "118\xC2\xB0", "beyond-measurement-error", "co\xC2\xADop",
                                    "\xE2\x88\x92" "5", "caf\xC3\xA9"};

static int next_word;

/* Numbered words, so that each can be looked for. */
static void add_words(struct buf *b, int n)
{
    for (int i = 0; i < n; i++)
        buf_addf(b, "%s%s w%dz", i > 0 ? " " : "", words[draw(ARRAY_LEN(words))], next_word++);
}

static void add_blocks(struct buf *b, int n, int depth)
{
    for (int i = 0; i < n; i++) {
        int kind = draw(depth > 0 ? 9 : 5);
        if (kind == 0) {
            buf_adds(b, "<heading>");
            add_words(b, 1 + draw(3));
            buf_adds(b, "</heading>");
        } else if (kind <= 2) {
            buf_addf(b, "<para%s>", draw(4) == 0 ? " box='yes'" : "");
            add_words(b, 1 + draw(25));
            buf_adds(b, "</para>");
        } else if (kind == 3) {
            buf_adds(b, "<list><item>");
            add_words(b, 1 + draw(12));
            buf_adds(b, "</item><item>");
            add_words(b, 1 + draw(12));
            buf_adds(b, "</item></list>");
        } else if (kind == 4) {
            buf_adds(b, "<facts columns='2'><fact label='");
            add_words(b, 2);
            buf_adds(b, "'>");
            add_words(b, 6);
            buf_adds(b, "</fact></facts>");
        } else if (kind == 5) {
            buf_adds(b, "<keep>");
            add_blocks(b, 1 + draw(4), depth - 1);
            buf_adds(b, "</keep>");
        } else if (kind == 6) {
            buf_adds(b, "<columns><part-column width='2*'>");
            add_blocks(b, 1 + draw(3), depth - 1);
            buf_adds(b, "</part-column><part-column>");
            add_blocks(b, 1 + draw(3), depth - 1);
            buf_adds(b, "</part-column></columns>");
        } else {
            static const char *const ends[] = {"", "goes-on='on'", "continued='again'",
                                               "repeat-foot='yes' goes-on='on'"};
            buf_addf(b, "<table select='group/row' lines='groups' least-rows='%d' %s %s>"
                        "<group-head by='../@name' continued='more'>", 1 + draw(4),
                     draw(2) ? "spread='yes'" : "", ends[draw(ARRAY_LEN(ends))]);
            add_words(b, 1);
            buf_adds(b, "</group-head><column align='decimal'><head>");
            add_words(b, 1);
            buf_addf(b, "</head><cell%s>{@end}</cell></column><column><cell>{@key} ",
                     draw(2) ? "" : " runs-on='yes'");
            add_words(b, draw(20));
            buf_adds(b, "</cell><foot>");
            add_words(b, draw(2));
            buf_adds(b, "</foot></column><column><cell><when test='@value mod 3 = 0'>");
            add_words(b, 2);
            buf_adds(b, "</when></cell></column></table>");
        }
    }
}

/* All texts of all pages without spaces, line by line as painted. */
static void gather(const struct page_list *list, struct buf *out)
{
    for (size_t p = 0; p < list->n; p++) {
        for (size_t i = 0; i < list->pages[p].n; i++) {
            const struct page_item *item = &list->pages[p].items[i];
            if (item->kind != PAGE_TEXT)
                continue;
            for (size_t k = 0; k < item->u.text.len; k++) {
                if (item->u.text.text[k] != ' ')
                    buf_addc(out, item->u.text.text[k]);
            }
            ck_assert_double_ge(item->u.text.x, 9.9);
            ck_assert_double_ge(item->u.text.y, 9.9);
            ck_assert_double_le(item->u.text.x + sample_width(&item->u.text),
                                list->pages[p].width - 9.9);
            ck_assert_double_le(item->u.text.y, list->pages[p].height - 9.9);
        }
    }
}

static struct page_list *set_random(int width, int height, struct buf *blocks)
{
    next_word = 0;
    buf_init(blocks, 1 << 22);
    add_blocks(blocks, 2 + draw(6), 2);
    return sample_page(grid, buf_text(blocks), width, height, document(3 + draw(30), 4));
}

/* Every word stands on a page, and whole where there is room for it. */
START_TEST(loses_nothing)
{
    struct buf blocks, all;
    seed = (unsigned long)_i * 7919 + 1;
    int width = 460 + draw(400), height = 60 + draw(500);
    struct page_list *list = set_random(width, height, &blocks);
    ck_assert_msg(list != NULL, "%d x %d: %s: %s", width, height, diag_id(sample_last()->code),
                  sample_last()->detail);
    buf_init(&all, 1 << 24);
    gather(list, &all);
    for (int i = 0; i < next_word; i++) {
        char wanted[20];
        snprintf(wanted, sizeof(wanted), "w%dz", i);
        ck_assert_msg(strstr(buf_text(&all), wanted) != NULL, "%s is lost on %d x %d, seed %d",
                      wanted, width, height, _i);
    }
    buf_release(&blocks);
    buf_release(&all);
    page_list_free(list);
}
END_TEST

/* On sheets far too small the words are broken, or the document is refused for want of room; what
 * is set holds every word to its last letter. */
START_TEST(loses_nothing_when_narrow)
{
    struct buf blocks, all;
    seed = (unsigned long)_i * 104729 + 5;
    int width = 60 + draw(300), height = 40 + draw(100), ends = 0;
    struct page_list *list = set_random(width, height, &blocks);
    if (list == NULL) {
        ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_FIT);
    } else {
        buf_init(&all, 1 << 24);
        gather(list, &all);
        for (const char *s = buf_text(&all); *s != '\0'; s++)
            ends += *s == 'z';
        ck_assert_int_ge(ends, next_word);
        buf_release(&all);
        page_list_free(list);
    }
    buf_release(&blocks);
}
END_TEST

/* ---- time ------------------------------------------------------------------------------------ */

static double seconds(int rows, size_t *pages)
{
    struct timespec a, b;
    struct layout_template *t = sample_load(
        "<report root='visit'><page margins='18mm'><table select='group/row' lines='groups'>"
        "<group-head by='../@name' continued='(continued)'>{../@name}</group-head>"
        "<column><head>key</head><cell>{@key}</cell></column>"
        "<column align='decimal'><head>end</head><cell>{number-text(@end)}</cell></column>"
        "<column><head>a</head><cell>{@value} and {@key}</cell></column>"
        "<column><head>b</head><cell>{@value}</cell></column>"
        "<column><head>c</head><cell>{@value}</cell></column>"
        "<column width='*'><head>note</head><cell>some words that may well wrap over two lines in"
        " row {@key} of {../@name}</cell></column></table></page></report>");
    ck_assert_ptr_nonnull(t);
    const char *text = document(rows, 40);
    struct _xmlDoc *doc = xml_parse(text, strlen(text), "document", &sample.diags.sink);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &a);
    struct page_list *list = layout_render(t, doc, sample.fonts, &sample.diags.sink);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &b);
    ck_assert_ptr_nonnull(list);
    *pages = list->n;
    page_list_free(list);
    xmlFreeDoc(doc);
    layout_template_free(t);
    return (double)(b.tv_sec - a.tv_sec) + (double)(b.tv_nsec - a.tv_nsec) * 1e-9;
}

/* Eight times the rows take about eight times as long, and 64 times where work is quadratic. */
START_TEST(takes_linear_time)
{
    size_t few, many;
    double small = 1e9;
    for (int i = 0; i < 3; i++) {
        double s = seconds(500, &few);
        small = s < small ? s : small;
    }
    double large = seconds(4000, &many);
    ck_assert_uint_gt(many, 7 * few);
    ck_assert_double_lt(large, 24 * small + 0.05);
}
END_TEST

/* One word of a quarter million letters: cut into lines, in time that grows with its length. */
START_TEST(cuts_endless_word)
{
    enum { LONG = 250000 };
    char *word = mem_alloc(LONG + 1);
    struct buf doc, all;
    memset(word, 'm', LONG);
    buf_init(&doc, 1 << 20);
    buf_init(&all, 1 << 20);
    buf_addf(&doc, "<visit><person name='%s'/></visit>", word);
    clock_t start = clock();
    struct page_list *list =
        sample_page(grid, "<para>{person/@name}</para>", 300, 400, buf_text(&doc));
    ck_assert_double_lt((double)(clock() - start) / CLOCKS_PER_SEC, 2.0);
    ck_assert_ptr_nonnull(list);
    gather(list, &all);
    ck_assert_uint_eq(all.len, LONG);
    page_list_free(list);
    buf_release(&all);
    buf_release(&doc);
    free(word);
}
END_TEST

/* What no report asks for, and what must not take long or end the program: the time of a test is
 * the limit. */
START_TEST(takes_ten_thousand_rows)
{
    enum { ROWS = 10000 };
    struct buf all;
    struct page_list *list =
        sample_page(grid, "<table select='group/row' shade='position() mod 2 = 0' goes-on='on'>"
                          "<group-head by='../@name' continued='again'>{../@name}</group-head>"
                          "<column><head>k</head><cell>{@key}z</cell></column>"
                          "<column align='decimal'><cell>{@end}</cell></column></table>",
                    300, 800, document(ROWS, 70));
    ck_assert_ptr_nonnull(list);
    buf_init(&all, 1 << 26);
    gather(list, &all);
    const char *at = buf_text(&all);
    for (int i = 1; i <= ROWS; i++) {
        char key[20];
        snprintf(key, sizeof(key), "r%dz", i);
        at = strstr(at, key);
        ck_assert_msg(at != NULL, "%s is lost or out of its order", key);
    }
    page_list_free(list);
    buf_release(&all);
}
END_TEST

START_TEST(refuses_two_hundred_columns)
{
    struct buf b;
    buf_init(&b, 1 << 20);
    buf_adds(&b, "<table select='group/row'>\n");
    for (int i = 0; i < 200; i++)
        buf_adds(&b, "<column><head>h</head><cell>{@key}</cell></column>");
    buf_adds(&b, "</table>");
    ck_assert_ptr_null(sample_page(grid, buf_text(&b), 600, 800, document(3, 9)));
    ck_assert_int_eq(sample.diags.items[0].code, DIAG_LAYOUT_FIT);
    ck_assert_ptr_nonnull(strstr(sample.diags.items[0].detail, "more than 64 columns at visit"));
    ck_assert_int_eq(sample.diags.items[0].pos.line, 3);
    buf_release(&b);
}
END_TEST

static const struct {
    const char *open, *close;
    bool fits; /* side by side, the room is gone long before */
} nested[] = {
    {"<keep>", "</keep>", true},
    {"<when test='true()'>", "</when>", true},
    {"<each select='/visit'>", "</each>", true},
    {"<grid select='/visit' columns='1'>", "</grid>", true},
    {"<columns gap='0'><part-column>", "</part-column></columns>", true},
    {"<columns><part-column>", "</part-column><part-column/></columns>", false},
};

START_TEST(nests_a_hundred_deep)
{
    struct buf b;
    buf_init(&b, 1 << 20);
    for (int i = 0; i < 100; i++)
        buf_adds(&b, nested[_i].open);
    buf_adds(&b, "<para>deep</para>");
    for (int i = 0; i < 100; i++)
        buf_adds(&b, nested[_i].close);
    struct page_list *list = sample_page(grid, buf_text(&b), 300, 100, document(1, 1));
    ck_assert_int_eq(list != NULL, nested[_i].fits);
    if (list != NULL)
        ck_assert_ptr_nonnull(sample_find(list, 0, "deep", 0));
    else
        ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_FIT);
    page_list_free(list);
    buf_release(&b);
}
END_TEST

/* The same input gives the same pages, byte for byte. */
START_TEST(repeats_itself)
{
    struct buf dumps[2];
    for (int i = 0; i < 2; i++) {
        struct page_list *list = sample_page(grid, "<table select='group/row'><column><head>k"
                                             "</head><cell>{@key}</cell></column></table>"
                                             "<running-foot><para><page-number/></para>"
                                             "</running-foot>", 200, 200, document(60, 7));
        buf_init(&dumps[i], 1 << 22);
        page_dump(list, &dumps[i]);
        page_list_free(list);
    }
    ck_assert_str_eq(buf_text(&dumps[0]), buf_text(&dumps[1]));
    buf_release(&dumps[0]);
    buf_release(&dumps[1]);
}
END_TEST

static Suite *make_suite(void)
{
    Suite *s = suite_create("layout_flow");
    TCase *t = tcase_create("flow");
    tcase_set_timeout(t, 60);
    tcase_add_unchecked_fixture(t, sample_start, sample_stop);
    tcase_add_test(t, refuses_figure_taller_than_page);
    tcase_add_loop_test(t, refuses_more_pages_than_allowed, 0, ARRAY_LEN(bounded));
    tcase_add_loop_test(t, ends_pages, 0, ARRAY_LEN(cases));
    tcase_add_test(t, sets_several_pages);
    tcase_add_loop_test(t, loses_nothing, 0, 100);
    tcase_add_loop_test(t, loses_nothing_when_narrow, 0, 100);
    tcase_add_test(t, takes_linear_time);
    tcase_add_test(t, cuts_endless_word);
    tcase_add_test(t, takes_ten_thousand_rows);
    tcase_add_test(t, refuses_two_hundred_columns);
    tcase_add_loop_test(t, nests_a_hundred_deep, 0, ARRAY_LEN(nested));
    tcase_add_test(t, repeats_itself);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make_suite)
