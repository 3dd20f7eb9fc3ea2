/* Where blocks put their words: alignment, widths, gaps, rules, tags and bookmarks. Positions are
 * held to 0.02 pt, the sum of a few cut advances. */
#include "layout/layout_int.h"
#include "layout_sample.h"

static const double near = 0.02;
static const char plain[] = "<style name='body' size='10pt' leading='12pt' below='0'/>"
                            "<style name='table' size='10pt' leading='12pt' above='0' below='0'/>"
                            "<style name='table-head' size='10pt' leading='12pt' below='0'/>"
                            "<style name='r' like='body' align='right'/>"
                            "<style name='c' like='body' align='center'/>"
                            "<style name='small' like='body' size='5pt' leading='6pt'/>"
                            "<style name='in' like='body' indent='30pt' above='7pt' below='9pt'/>";
static const char rows[] =
    "<visit><group name='a'><row key='ab' value='1.25' end='10'/><row key='c' value='112' end='x'/>"
    "<row key='def' value='-0.5'/></group><group name='b'><row key='g' value='7' end='2'/></group>"
    "</visit>";

static struct page_list *set(const char *blocks, int width, int height)
{
    struct page_list *list = sample_page(plain, blocks, width, height, rows);
    ck_assert_msg(list != NULL, "%s: %s", blocks, sample.diags.n > 0 ? sample_last()->detail : "");
    return list;
}

static const struct page_text *found(const struct page_list *list, const char *text)
{
    const struct page_text *t = sample_find(list, 0, text, 0);
    ck_assert_msg(t != NULL, "%s", text);
    return t;
}

static double right_of(const struct page_text *t)
{
    return t->x + sample_width(t);
}

/* A worksheet and its key: all lines and all other words at the same places, the answers in one. */
START_TEST(answers_take_the_same_room)
{
    static const char blocks[] =
        "<let name='show' select='%s'/><para answer='$show' least-lines='4'>one two three four "
        "five six</para><table select='group/row'><column answer='$show'><head>h</head>"
        "<cell>{@value}</cell></column><column><cell>{@key}</cell></column></table>"
        "<para>end</para>";
    char sheet[600], key[600];
    snprintf(sheet, sizeof sheet, blocks, "false()");
    snprintf(key, sizeof key, blocks, "true()");
    struct page_list *a = set(sheet, 100, 300), *b = set(key, 100, 300);
    const struct page *x = &a->pages[0], *y = &b->pages[0];
    static const char *const shared[] = {"h", "ab", "def", "end"};
    static const char *const answers[] = {"one two three", "1.25", "-0.5", "7"};
    for (size_t i = 0; i < ARRAY_LEN(shared); i++) {
        ck_assert(found(a, shared[i])->x == found(b, shared[i])->x);
        ck_assert(found(a, shared[i])->y == found(b, shared[i])->y);
    }
    for (size_t i = 0; i < ARRAY_LEN(answers); i++) {
        ck_assert_ptr_nonnull(sample_find(b, 0, answers[i], 0));
        ck_assert_ptr_null(sample_find(a, 0, answers[i], 0));
    }
    size_t i = 0, lines = 0;
    for (size_t k = 0; k < y->n; k++) { /* every path of the key is one of the sheet */
        if (y->items[k].kind != PAGE_PATH)
            continue;
        while (i < x->n && x->items[i].kind != PAGE_PATH)
            i++;
        ck_assert_uint_lt(i, x->n);
        const struct page_path *p = &x->items[i++].u.path, *q = &y->items[k].u.path;
        ck_assert_mem_eq(p->points, q->points, q->n_points * sizeof *q->points);
        lines++;
    }
    ck_assert_uint_eq(lines, 4 + 4 + 1); /* the para's, the cells', the one under the head */
    page_list_free(a);
    page_list_free(b);
}
END_TEST

START_TEST(aligns)
{
    struct page_list *list = set("<para>left</para><para style='r'>right</para>"
                                 "<para style='c'>mid</para><para style='in'>in</para>"
                                 "<para>last</para>", 200, 200);
    const struct page_text *mid = found(list, "mid");
    ck_assert_double_eq_tol(found(list, "left")->x, 10, near);
    ck_assert_double_eq_tol(right_of(found(list, "right")), 190, near);
    ck_assert_double_eq_tol((mid->x + right_of(mid)) / 2, 100, near);
    ck_assert_double_eq_tol(found(list, "in")->x, 40, near);
    /* One leading apart; between blocks the larger of below and above. */
    ck_assert_double_eq_tol(found(list, "left")->y - found(list, "right")->y, 12, near);
    ck_assert_double_eq_tol(mid->y - found(list, "in")->y, 12 + 7, near);
    ck_assert_double_eq_tol(found(list, "in")->y - found(list, "last")->y, 12 + 9, near);
    /* The first line hangs from the margin: leading less half its surplus. */
    double ascent = font_ascent(sample.fonts, FACE_REGULAR, 10);
    double descent = font_descent(sample.fonts, FACE_REGULAR, 10);
    ck_assert_double_eq_tol(200 - 10 - found(list, "left")->y, (12 - ascent - descent) / 2 + ascent,
                            near);
    page_list_free(list);
}
END_TEST

/* A line is as high as its highest part, on one baseline; faces, sizes and colours per run. */
START_TEST(mixes_styles)
{
    struct page_list *list =
        sample_page("<style name='body' size='10pt' leading='12pt' below='0'/>"
                    "<style name='big' like='body' size='20pt' leading='24pt' colour='#ff0000'/>",
                    "<para>a <span style='big'>b</span> <bold>c</bold> \xE2\x98\x91</para>"
                    "<para>d</para>", 200, 200, "<visit/>");
    const struct page_text *b = found(list, "b"), *c = found(list, "c");
    ck_assert_double_eq_tol(found(list, "a")->y, b->y, near);
    ck_assert_double_eq_tol(b->y, c->y, near);
    ck_assert_double_eq(b->size, 20);
    ck_assert_float_eq(b->colour.r, 1);
    ck_assert_float_eq(c->colour.r, 0);
    ck_assert_int_eq(c->face, FACE_BOLD);
    ck_assert_int_eq(found(list, "\xE2\x98\x91")->face, FACE_SIGNS);
    /* A space belongs to the run before it. */
    ck_assert_double_eq_tol(right_of(b) + font_width(sample.fonts, FACE_REGULAR, 20, " ", 1), c->x,
                            near);
    ck_assert(b->y - found(list, "d")->y > 12);
    page_list_free(list);
}
END_TEST

/* Words wrap; too long ones are cut between characters; nothing reaches over the edge. */
START_TEST(wraps)
{
    struct page_list *list = set("<para>aaa bbb ccc Donaudampfschifffahrtsgesellschaft "
                                 "co\xC2\xADop\xC2\xAD" "er\xC2\xAD" "ation e</para>", 70, 300);
    struct buf joined;
    buf_init(&joined, 1000);
    double last = 1000;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        const struct page_text *t = &list->pages[0].items[i].u.text;
        if (list->pages[0].items[i].kind != PAGE_TEXT)
            continue;
        ck_assert_double_le(right_of(t), 60 + near);
        if (t->y < last - 1 && joined.len > 0)
            buf_addc(&joined, '/');
        last = t->y;
        buf_add(&joined, t->text, sample_len(t));
    }
    /* A soft hyphen shows only where its line ends. */
    ck_assert_ptr_nonnull(strstr(buf_text(&joined), "aaa bbb/"));
    ck_assert_ptr_nonnull(strstr(buf_text(&joined), " co-/operation/e"));
    ck_assert_ptr_null(strstr(buf_text(&joined), "\xC2\xAD"));
    char *flat = joined.data, *to = flat;
    for (const char *s = flat; *s != '\0'; s++) {
        if (*s != '/' && *s != '-' && *s != ' ')
            *to++ = *s;
    }
    *to = '\0';
    ck_assert_str_eq(flat, "aaabbbcccDonaudampfschifffahrtsgesellschaftcooperatione");
    buf_release(&joined);
    page_list_free(list);
}
END_TEST

START_TEST(refuses_no_room)
{
    ck_assert_ptr_null(sample_page(plain, "<table select='group/row'><column width='3pt'>"
                                          "<cell>{@key}</cell></column></table>", 200, 200, rows));
    ck_assert_int_eq(sample.diags.items[0].code, DIAG_LAYOUT_FIT);
    ck_assert_int_eq(sample.diags.items[0].pos.line, 2);
    ck_assert_ptr_null(sample_page(plain, "<para>x</para>", 200, 30, rows));
    ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_FIT);
    ck_assert_ptr_null(sample_page("<style name='huge' size='300pt'/>",
                                   "<para>a</para>\n<para style='huge'>x</para>", 900, 200, rows));
    ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_FIT);
    ck_assert_int_eq(sample_last()->pos.line, 3);
    ck_assert_ptr_null(sample_page("", "<table select='group/row'><when test='@kind'><column>"
                                       "<cell/></column></when></table>", 200, 200, rows));
    ck_assert_int_eq(sample_last()->code, DIAG_LAYOUT_FIT);
}
END_TEST

/* The largest and smallest lengths that load: set or refused, never off the page or past what a
 * page list takes. */
static const char *const extremes[] = {
    "<rule width='14400pt'/>",
    "<rule width='0'/><rule above='14400pt' below='14400pt'/><para>x</para>",
    "<space height='14400pt'/><space height='14400pt'/><para>x</para><space height='14400pt'/>",
    "<columns gap='14400pt'><part-column><rule/></part-column><part-column><rule/></part-column>"
    "</columns>",
    "<columns gap='0'><part-column width='14400pt'><rule/></part-column>"
    "<part-column width='1*'><rule/></part-column></columns>",
    "<grid select='group/row' columns='1000' gap='14400pt'><rule/></grid>",
    "<grid select='group/row' columns='1000' gap='0'><rule/></grid>",
    "<facts columns='1000' gap='14400pt'><fact label='a'>b</fact></facts>",
    "<table select='group/row' gap='14400pt'><column><cell>x</cell></column><column><cell/>"
    "</column></table>",
    "<table select='group/row' row-gap='14400pt'><column><cell>x</cell></column></table>",
    "<table select='group/row'><column width='14400pt'><cell>x</cell></column><column><cell>y"
    "</cell></column></table>",
    "<table select='group/row' least-rows='1000'><column><head>h</head><cell>x</cell></column>"
    "</table>",
    "<signature label='x' width='14400pt'/>",
    "<para style='far'>x</para>",
    "<list style='far'><item>x</item></list>",
    "<para style='far' box='yes'>x</para>",
    "<para style='tall'>x</para>",
    "<running-head><space height='14400pt'/><para>x</para></running-head><para>x</para>",
    "<figure kind='arc' alt='x' width='0' joint='knee' motion='flexion' side='right' end='9'"
    " unit='deg'/>",
};

START_TEST(survives_extremes)
{
    struct page_list *list =
        sample_page("<style name='far' indent='14400pt'/><style name='tall' leading='14400pt'/>",
                    extremes[_i], 200, 200, rows);
    if (list == NULL) {
        enum diag_code code = sample.diags.items[0].code;
        ck_assert_msg(code == DIAG_LAYOUT_FIT || code == DIAG_LAYOUT_FIGURE, "%s", diag_id(code));
        return;
    }
    ck_assert_uint_lt(list->n, 20);
    for (size_t p = 0; p < list->n; p++) {
        for (size_t i = 0; i < list->pages[p].n; i++) {
            const struct page_item *item = &list->pages[p].items[i];
            if (item->kind == PAGE_TEXT)
                ck_assert(item->u.text.x >= 9 && right_of(&item->u.text) <= 191 &&
                          item->u.text.y >= 9 && item->u.text.y < 191);
            for (size_t k = 0; item->kind == PAGE_PATH && k < item->u.path.n_points; k++)
                ck_assert(item->u.path.points[k] >= 9 && item->u.path.points[k] <= 191);
        }
    }
    page_list_free(list);
}
END_TEST

START_TEST(sets_table)
{
    struct page_list *list =
        set("<table select='group/row' gap='20pt' row-gap='3pt'>"
            "<column><head>Key</head><cell>{@key}</cell></column>"
            "<column align='decimal'><head>V</head><cell>{@value}</cell></column>"
            "<column align='right'><head>End</head><cell>{?@end}</cell></column></table>",
            300, 300);
    double key = sample_width(found(list, "Key")), dot[4], edge = 0;
    const char *values[] = {"1.25", "112", "-0.5", "7"};
    for (int i = 0; i < 4; i++) {
        const struct page_text *t = found(list, values[i]);
        size_t whole = strcspn(values[i], ".");
        dot[i] = t->x + font_width(sample.fonts, t->face, t->size, t->text, whole);
        ck_assert_double_eq_tol(dot[i], dot[0], near);
        edge = right_of(t) > edge ? right_of(t) : edge;
    }
    /* Columns as wide as their widest line, the gap between them, heads over them. */
    ck_assert_double_eq_tol(found(list, "112")->x, 10 + key + 20, near);
    ck_assert_double_eq_tol(right_of(found(list, "V")), edge, near);
    ck_assert_double_eq_tol(found(list, "End")->x, edge + 20, near);
    ck_assert_double_eq_tol(right_of(found(list, "10")), right_of(found(list, "End")), near);
    ck_assert_double_eq_tol(found(list, "ab")->y - found(list, "c")->y, 12 + 3, near);
    ck_assert_double_eq_tol(found(list, "ab")->y, found(list, "1.25")->y, near);
    page_list_free(list);
}
END_TEST

/* A shade stands behind the rows that ask for it, as wide as the table, half into the gaps, and is
 * painted before their words. */
START_TEST(shades_rows)
{
    static const struct {
        const char *when;
        const char *keys[3];
    } shades[] = {{"position() mod 2 = 0", {"c", "g", NULL}},
                  {"@key = $wanted", {"c", NULL, NULL}},
                  {"false()", {NULL, NULL, NULL}}};
    char blocks[600];
    snprintf(blocks, sizeof(blocks), "<let name='wanted' select=\"'c'\"/><table select='group/row' "
             "row-gap='4pt' shade='%s'><column><cell>{@key}</cell></column><column><cell>{?@value}"
             "</cell></column></table>", shades[_i].when);
    struct page_list *list = set(blocks, 300, 300);
    int n = 0;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        const struct page_item *item = &list->pages[0].items[i];
        if (item->kind != PAGE_PATH)
            continue;
        ck_assert(item->u.path.fill && !item->u.path.stroke);
        ck_assert_double_gt((double)item->u.path.fill_colour.r, 0.85);
        ck_assert_ptr_nonnull(shades[_i].keys[n]);
        const struct page_text *t = found(list, shades[_i].keys[n++]);
        ck_assert(t > &item->u.text);
        double bottom = item->u.path.points[1], top = item->u.path.points[5];
        ck_assert_double_eq_tol(item->u.path.points[0], 10, near);
        ck_assert_double_eq_tol(top - bottom, 12 + 4, near);
        ck_assert(bottom < t->y && t->y + t->size * 0.8 < top);
    }
    ck_assert_ptr_null(shades[_i].keys[n]);
    page_list_free(list);
}
END_TEST

/* A text over neighbours that share it, once, and a rule as wide as they are. */
START_TEST(sets_overs)
{
    struct page_list *list =
        set("<table select='group[1]/row[1]' gap='10pt'>"
            "<column><head>k</head><cell>x</cell></column>"
            "<column over='Both of them'><head>a</head><cell>1</cell></column>"
            "<column over='Both of them'><head>b</head><cell>2</cell></column></table>",
            300, 300);
    const struct page_text *over = found(list, "Both of them");
    ck_assert_ptr_null(sample_find(list, 0, "Both of them", 1));
    ck_assert_double_eq_tol(over->x, found(list, "a")->x, near);
    ck_assert(over->y > found(list, "a")->y);
    int rules = 0;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        const struct page_item *item = &list->pages[0].items[i];
        if (item->kind != PAGE_PATH)
            continue;
        if (rules++ == 0) {
            ck_assert_double_eq_tol(item->u.path.points[0], over->x, near);
            ck_assert_double_eq_tol(item->u.path.points[2] - over->x, sample_width(over), 0.1);
        }
    }
    ck_assert_int_eq(rules, 2);
    page_list_free(list);
}
END_TEST

/* A cell that runs on stands over the empty ones right of it, and its words widen no column. */
START_TEST(runs_on)
{
    struct page_list *list =
        set("<table select='group/row' gap='10pt'>"
            "<column><cell runs-on='yes'><when test='@key = \"def\"'>words that say why nothing "
            "was measured</when><otherwise>{@key}</otherwise></cell></column><column><cell>"
            "<when test='@key != \"def\"'>{@value} of all there is</when></cell></column><column>"
            "<cell><when test='@key != \"def\"'>at rest and moving</when></cell></column>"
            "</table>",
            500, 300);
    const struct page_text *why = found(list, "words that say why nothing was measured");
    ck_assert_double_eq_tol(why->x, found(list, "ab")->x, near);
    ck_assert_double_lt(found(list, "112 of all there is")->x, right_of(why));
    ck_assert_double_gt(found(list, "112 of all there is")->x, right_of(found(list, "ab")) + 9);
    page_list_free(list);
    /* Without room over empty neighbours it wraps in its own column, beside them. */
    list = set("<table select='group[1]/row[1]' gap='10pt'><column width='40pt'>"
               "<cell runs-on='yes'>words that wrap</cell></column><column width='40pt'>"
               "<cell>x</cell></column></table>",
               500, 300);
    ck_assert_ptr_nonnull(sample_find(list, 0, "words", 0));
    ck_assert_double_eq_tol(found(list, "x")->x, 10 + 40 + 10, near);
    page_list_free(list);
}
END_TEST

/* group-head lines, hairlines only between groups, none within. */
START_TEST(sets_groups)
{
    struct page_list *list =
        set("<table select='group/row' lines='groups'><group-head by='../@name'>G{../@name}"
            "</group-head><column><head>k</head><cell>{@key}</cell></column></table>",
            300, 300);
    double rules[4];
    int n = 0;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        if (list->pages[0].items[i].kind == PAGE_PATH && n < 4)
            rules[n++] = list->pages[0].items[i].u.path.points[1];
    }
    ck_assert_int_eq(n, 2);
    ck_assert(rules[0] < found(list, "k")->y && rules[0] > found(list, "Ga")->y);
    ck_assert(rules[1] < found(list, "def")->y && rules[1] > found(list, "Gb")->y);
    page_list_free(list);
    list = set("<table select='group/row' lines='none'><column><head>k</head><cell>{@key}</cell>"
               "</column></table>", 300, 300);
    for (size_t i = 0; i < list->pages[0].n; i++)
        ck_assert_int_ne(list->pages[0].items[i].kind, PAGE_PATH);
    page_list_free(list);
}
END_TEST

START_TEST(sets_side_by_side)
{
    struct page_list *list =
        set("<columns gap='20pt'><part-column width='50pt'><para>a</para></part-column>"
            "<part-column width='2*'><para style='r'>b</para></part-column>"
            "<part-column width='1*'><para style='r'>c</para></part-column></columns>"
            "<grid select='group/row' columns='2' gap='10pt'><para>{@key}</para></grid>"
            "<facts columns='2' gap='40pt'><fact label='l1'>v1</fact><fact label='label2'>v2</fact>"
            "<fact label='lab3'>v3</fact></facts>",
            320, 300);
    /* 300 inside; 300 - 50 - 40 = 210 to share two to one. */
    ck_assert_double_eq_tol(right_of(found(list, "b")), 10 + 50 + 20 + 140, near);
    ck_assert_double_eq_tol(right_of(found(list, "c")), 310, near);
    ck_assert_double_eq_tol(found(list, "a")->y, found(list, "c")->y, near);
    ck_assert_double_eq_tol(found(list, "c")->x, found(list, "c")->x, near);
    ck_assert_double_eq_tol(found(list, "ab")->y, sample_find(list, 0, "c", 1)->y, near);
    ck_assert_double_eq_tol(sample_find(list, 0, "c", 1)->x, 10 + 145 + 10, near);
    ck_assert_double_eq_tol(found(list, "ab")->y - found(list, "def")->y, 12 + 10, near);
    /* Values of one column of facts stand under each other; labels share their baseline. */
    ck_assert_double_eq_tol(found(list, "v1")->x, found(list, "v3")->x, near);
    ck_assert_double_eq_tol(found(list, "v2")->y, found(list, "v1")->y, near);
    ck_assert_double_eq_tol(found(list, "l1")->y, found(list, "v1")->y, near);
    ck_assert_double_eq_tol(found(list, "label2")->x, 10 + 130 + 40, near);
    page_list_free(list);
}
END_TEST

START_TEST(sets_lists_and_boxes)
{
    struct page_list *list =
        set("<list marker='number'><item>one one one one one one one</item><item>two</item></list>"
            "<para box='yes'>boxed</para><rule width='2pt' above='0' below='0'/>"
            "<signature label='Name' width='80pt'/>",
            120, 300);
    /* Wrapped lines hang under the first; the marker stands left of them. */
    const struct page_text *first = NULL;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        const struct page_text *t = &list->pages[0].items[i].u.text;
        if (list->pages[0].items[i].kind == PAGE_TEXT && strncmp(t->text, "one", 3) == 0) {
            if (first != NULL)
                ck_assert_double_eq_tol(t->x, first->x, near);
            first = t;
        }
    }
    ck_assert_double_eq_tol(found(list, "1.")->x, 10, near);
    ck_assert(first->x > right_of(found(list, "1.")));
    ck_assert_double_eq_tol(found(list, "two")->x, first->x, near);
    ck_assert(found(list, "boxed")->x > 12);
    int paths = 0;
    for (size_t i = 0; i < list->pages[0].n; i++)
        paths += list->pages[0].items[i].kind == PAGE_PATH;
    ck_assert_int_eq(paths, 3);
    page_list_free(list);
}
END_TEST

START_TEST(links_and_bookmarks)
{
    struct page_list *list =
        set("<heading level='1'>One<break/>more</heading><heading level='3'>Three</heading>"
            "<para>see <link to='https://example.org/{group/@name}'>this page</link>.</para>",
            200, 300);
    ck_assert_uint_eq(list->n_bookmarks, 2);
    ck_assert_str_eq(list->bookmarks[0].title, "One more");
    ck_assert_int_eq(list->bookmarks[0].level, 1);
    ck_assert_int_eq(list->bookmarks[1].level, 3);
    ck_assert_double_eq_tol(list->bookmarks[0].y, 290, near);
    const struct page_link *link = NULL;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        if (list->pages[0].items[i].kind == PAGE_LINK)
            link = &list->pages[0].items[i].u.link;
    }
    ck_assert_ptr_nonnull(link);
    ck_assert_str_eq(link->target, "https://example.org/a");
    ck_assert_double_eq_tol(link->x0, found(list, "this page")->x, near);
    page_list_free(list);
}
END_TEST

/* Roles in order of opening; balanced on each page. */
/* A link into the document leads to the line of the word after the place, on whatever page. */
START_TEST(links_to_places)
{
    struct page_list *list = set(
        "<para>see <link to='#row.{group[2]/row/@key}'>below</link></para><each select='group/row'>"
        "<para>one line<break/><place name='row.{@key}'/>{@key}</para><break-page/></each>"
        "<table select='group'><column><head><place name='head'/>h</head><cell>{@name}</cell>"
        "</column></table>",
        200, 300);
    ck_assert_uint_eq(list->n, 5);
    ck_assert_uint_eq(list->n_places, 5);
    const struct page_place *p = &list->places[3];
    ck_assert_str_eq(p->name, "row.g");
    ck_assert_uint_eq(p->page, 3);
    const struct page_text *g = sample_find(list, 3, "g", 0);
    ck_assert(p->y > g->y && p->y < g->y + 14);
    ck_assert_str_eq(list->places[4].name, "head");
    const struct page_link *link = NULL;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        if (list->pages[0].items[i].kind == PAGE_LINK)
            link = &list->pages[0].items[i].u.link;
    }
    ck_assert_ptr_nonnull(link);
    ck_assert_str_eq(link->target, "#row.g");
    page_list_free(list);
}
END_TEST

START_TEST(tags)
{
    struct page_list *list =
        set("<heading level='2'>H</heading><para>p</para><list><item>i</item></list>"
            "<table select='group[2]/row'><column><head>k</head><cell>{@key}</cell></column>"
            "<column><head>e</head><cell>{?@key[.='z']}</cell></column></table>"
            "<running-head><para>run</para></running-head>",
            200, 200);
    struct buf roles;
    int depth = 0;
    buf_init(&roles, 1000);
    for (size_t i = 0; i < list->pages[0].n; i++) {
        const struct page_item *item = &list->pages[0].items[i];
        depth -= item->kind == PAGE_TAG_END;
        ck_assert_int_ge(depth, 0);
        if (item->kind == PAGE_TAG_BEGIN)
            buf_addf(&roles, "%s%d ", item->u.tag.role, depth++);
    }
    ck_assert_int_eq(depth, 0);
    /* The empty cell counts; the rule under the head belongs to its row; heads run last. */
    ck_assert_str_eq(buf_text(&roles), "H20 P0 L0 LI1 Table0 TR1 TH2 TH2 Artifact2 TR1 TD2 TD2 "
                                       "Artifact0 ");
    buf_release(&roles);
    page_list_free(list);
}
END_TEST

/* Read aloud or copied, no two words and no two numbers run into one. */
START_TEST(keeps_words_apart)
{
    struct page_list *list =
        set("<para>a<break/>b c-d <bold>e</bold></para><facts><fact label='0-10'>1</fact></facts>"
            "<list marker='number'><item>2</item></list><para>aaaa bbbb cccc-dddd</para>", 50, 300);
    struct buf all;
    buf_init(&all, 1000);
    for (size_t i = 0; i < list->pages[0].n; i++) {
        if (list->pages[0].items[i].kind == PAGE_TEXT)
            buf_add(&all, list->pages[0].items[i].u.text.text, list->pages[0].items[i].u.text.len);
    }
    ck_assert_str_eq(buf_text(&all), "a b c-d e0-10 11. 2aaaa bbbb cccc-dddd");
    buf_release(&all);
    page_list_free(list);
}
END_TEST

START_TEST(draws_figure)
{
    struct page_list *list = sample_page(
        "", "<figure kind='arc' alt='an arc' width='100pt' joint='knee' motion='flexion' "
            "side='right' end='90' normal='135' unit='deg' value-label='90\xC2\xB0'/>",
        300, 300, "<visit/>");
    ck_assert_msg(list != NULL, "%s", sample_last() ? sample_last()->detail : "");
    bool tagged = false;
    for (size_t i = 0; i < list->pages[0].n; i++) {
        const struct page_item *item = &list->pages[0].items[i];
        if (item->kind == PAGE_TAG_BEGIN && strcmp(item->u.tag.role, "Figure") == 0)
            tagged = strcmp(item->u.tag.alt, "an arc") == 0;
        if (item->kind == PAGE_TEXT) {
            ck_assert_int_eq(item->u.text.anchor, ANCHOR_START);
            ck_assert(font_pick(sample.fonts, item->u.text.face, '9') >= 0);
        }
    }
    ck_assert(tagged);
    ck_assert_ptr_nonnull(sample_find(list, 0, "90\xC2\xB0", 0));
    page_list_free(list);
}
END_TEST

static const struct width_case {
    struct column_need need[3];
    int n;
    double available;
    bool spread;
    double out[3];
} width_cases[] = {
    /* all fit as they are */
    {{{{WIDTH_AUTO, 0}, 4, 5, 30}, {{WIDTH_AUTO, 0}, 4, 5, 20}}, 2, 100, false, {30, 20}},
    {{{{WIDTH_AUTO, 0}, 4, 5, 30}, {{WIDTH_AUTO, 0}, 4, 5, 20}}, 2, 100, true, {60, 40}},
    {{{{WIDTH_AUTO, 0}, 4, 0, 0}, {{WIDTH_AUTO, 0}, 4, 0, 0}}, 2, 100, true, {50, 50}},
    /* between the longest word and the longest line */
    {{{{WIDTH_AUTO, 0}, 4, 20, 100}, {{WIDTH_AUTO, 0}, 4, 20, 60}}, 2, 100, false, {60, 40}},
    {{{{WIDTH_FIXED, 40}, 4, 5, 90}, {{WIDTH_AUTO, 0}, 4, 10, 90}}, 2, 100, false, {40, 60}},
    /* shares */
    {{{{WIDTH_AUTO, 0}, 4, 5, 20}, {{WIDTH_SHARE, 1}, 4, 5, 90}, {{WIDTH_SHARE, 3}, 4, 5, 90}}, 3,
     100, true, {20, 20, 60}},
    {{{{WIDTH_SHARE, 1}, 4, 40, 90}, {{WIDTH_SHARE, 3}, 4, 5, 90}}, 2, 100, false, {40, 60}},
    {{{{WIDTH_AUTO, 0}, 4, 20, 90}, {{WIDTH_SHARE, 1}, 4, 50, 90}}, 2, 100, false, {50, 50}},
    /* too narrow even for words */
    {{{{WIDTH_AUTO, 0}, 0, 100, 200}, {{WIDTH_AUTO, 0}, 0, 300, 400}}, 2, 100, false, {25, 75}},
    {{{{WIDTH_FIXED, 150}, 0, 0, 0}, {{WIDTH_SHARE, 1}, 0, 50, 60}}, 2, 100, false, {75, 25}},
    {{{{WIDTH_AUTO, 0}, 10, 10, 20}, {{WIDTH_AUTO, 0}, 10, 200, 300}}, 2, 100, false, {10, 90}},
    {{{{WIDTH_AUTO, 0}, 10, 10, 20}, {{WIDTH_AUTO, 0}, 30, 30, 30}}, 2, 20, false, {5, 15}},
};

START_TEST(shares_widths)
{
    const struct width_case *c = &width_cases[_i];
    double out[3] = {0};
    table_widths(c->need, c->n, c->available, c->spread, out);
    for (int i = 0; i < c->n; i++)
        ck_assert_double_eq_tol(out[i], c->out[i], 0.001);
}
END_TEST

static Suite *make_suite(void)
{
    Suite *s = suite_create("layout_blocks");
    TCase *t = tcase_create("blocks");
    tcase_add_unchecked_fixture(t, sample_start, sample_stop);
    tcase_add_test(t, refuses_no_room);
    tcase_add_loop_test(t, survives_extremes, 0, ARRAY_LEN(extremes));
    tcase_add_test(t, aligns);
    tcase_add_test(t, answers_take_the_same_room);
    tcase_add_test(t, mixes_styles);
    tcase_add_test(t, wraps);
    tcase_add_test(t, sets_table);
    tcase_add_test(t, sets_overs);
    tcase_add_test(t, runs_on);
    tcase_add_loop_test(t, shades_rows, 0, 3);
    tcase_add_test(t, sets_groups);
    tcase_add_test(t, sets_side_by_side);
    tcase_add_test(t, sets_lists_and_boxes);
    tcase_add_test(t, links_and_bookmarks);
    tcase_add_test(t, links_to_places);
    tcase_add_test(t, tags);
    tcase_add_test(t, keeps_words_apart);
    tcase_add_test(t, draws_figure);
    tcase_add_loop_test(t, shares_widths, 0, ARRAY_LEN(width_cases));
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(make_suite)
