/*
 * The page list as stable text: one item a line, coordinates to 0.01 pt, in paint order. Layout
 * tests compare it, `--dump pages` prints it, and the bench replays it.
 *
 *   title|author|subject|language|date "..."     document properties, when set
 *   page N WIDTH HEIGHT
 *   text X Y SIZE FACE start|middle|end #RRGGBB "..."
 *   path [fill #RRGGBB] [stroke WIDTH #RRGGBB [dash ON OFF] [round]] : M x y L x y C 6 numbers Z
 *   link X0 Y0 X1 Y1 "..."
 *   image X Y WIDTH HEIGHT "..."
 *   begin ROLE ["alternative text"] / end
 *   bookmark LEVEL PAGE Y "..."
 *   place PAGE Y "NAME"
 *
 * In quotes, '"', '\' and bytes below a space are written \xHH.
 */
#include "page/page.h"

#include <math.h>

static void put_number(struct buf *out, double v)
{
    char text[NUM_TEXT_MAX];
    buf_addc(out, ' ');
    /* A layout that went wrong is most needed in the dump: show what num_format may not take. */
    if (isfinite(v)) {
        buf_adds(out, num_format(text, v, 2));
    } else {
        buf_adds(out, "not-a-number");
    }
}

static void put_colour(struct buf *out, struct colour c)
{
    buf_addf(out, " #%02x%02x%02x", (unsigned)lroundf(c.r * 255.0F) & 0xFFU,
             (unsigned)lroundf(c.g * 255.0F) & 0xFFU, (unsigned)lroundf(c.b * 255.0F) & 0xFFU);
}

static void put_quoted(struct buf *out, const char *text, size_t len)
{
    buf_adds(out, " \"");
    for (size_t i = 0; i < len; i++) {
        unsigned char c = (unsigned char)text[i];
        if (c < ' ' || c == '"' || c == '\\') {
            buf_addf(out, "\\x%02x", c);
        } else {
            buf_addc(out, text[i]);
        }
    }
    buf_addc(out, '"');
}

static void put_string(struct buf *out, const char *text)
{
    size_t len = 0;
    while (text != NULL && text[len] != '\0') {
        len++;
    }
    put_quoted(out, text, len);
}

static void dump_text(const struct page_text *t, struct buf *out)
{
    static const char *const anchors[] = {"start", "middle", "end"};
    buf_adds(out, "text");
    put_number(out, t->x);
    put_number(out, t->y);
    put_number(out, t->size);
    buf_addf(out, " %d %s", t->face, anchors[t->anchor]);
    put_colour(out, t->colour);
    put_quoted(out, t->text, t->len);
}

static void dump_path(const struct page_path *p, struct buf *out)
{
    static const int numbers_of[] = {2, 2, 6, 0};
    buf_adds(out, "path");
    if (p->fill) {
        buf_adds(out, " fill");
        put_colour(out, p->fill_colour);
    }
    if (p->stroke) {
        buf_adds(out, " stroke");
        put_number(out, p->width);
        put_colour(out, p->stroke_colour);
        if (p->dash_on > 0.0 || p->dash_off > 0.0) {
            buf_adds(out, " dash");
            put_number(out, p->dash_on);
            put_number(out, p->dash_off);
        }
        if (p->cap == CAP_ROUND) {
            buf_adds(out, " round");
        }
    }
    buf_adds(out, " :");
    size_t at = 0;
    for (size_t i = 0; i < p->n_ops; i++) {
        buf_addf(out, " %c", "MLCZ"[p->ops[i]]);
        for (int k = 0; k < numbers_of[p->ops[i]]; k++) {
            put_number(out, p->points[at++]);
        }
    }
}

static void dump_box(const char *word, double a, double b, double c, double d, const char *text,
                     struct buf *out)
{
    buf_adds(out, word);
    put_number(out, a);
    put_number(out, b);
    put_number(out, c);
    put_number(out, d);
    put_string(out, text);
}

static void dump_item(const struct page_item *item, struct buf *out)
{
    switch (item->kind) {
    case PAGE_TEXT:
        dump_text(&item->u.text, out);
        break;
    case PAGE_PATH:
        dump_path(&item->u.path, out);
        break;
    case PAGE_IMAGE:
        dump_box("image", item->u.image.x, item->u.image.y, item->u.image.width,
                 item->u.image.height, item->u.image.path, out);
        break;
    case PAGE_LINK:
        dump_box("link", item->u.link.x0, item->u.link.y0, item->u.link.x1, item->u.link.y1,
                 item->u.link.target, out);
        break;
    case PAGE_TAG_BEGIN:
        buf_addf(out, "begin %s", item->u.tag.role);
        if (item->u.tag.alt != NULL) {
            put_string(out, item->u.tag.alt);
        }
        break;
    case PAGE_TAG_END:
        buf_adds(out, "end");
        break;
    }
    buf_addc(out, '\n');
}

static void dump_property(const char *name, const char *value, struct buf *out)
{
    if (value != NULL) {
        buf_adds(out, name);
        put_string(out, value);
        buf_addc(out, '\n');
    }
}

void page_dump(const struct page_list *list, struct buf *out)
{
    dump_property("title", list->title, out);
    dump_property("author", list->author, out);
    dump_property("subject", list->subject, out);
    dump_property("language", list->language, out);
    dump_property("date", list->date, out);
    for (size_t i = 0; i < list->n; i++) {
        const struct page *page = &list->pages[i];
        buf_addf(out, "page %zu", i + 1);
        put_number(out, page->width);
        put_number(out, page->height);
        buf_addc(out, '\n');
        for (size_t k = 0; k < page->n; k++) {
            dump_item(&page->items[k], out);
        }
    }
    for (size_t i = 0; i < list->n_bookmarks; i++) {
        const struct page_bookmark *b = &list->bookmarks[i];
        buf_addf(out, "bookmark %d %zu", b->level, b->page + 1);
        put_number(out, b->y);
        put_string(out, b->title);
        buf_addc(out, '\n');
    }
    for (size_t i = 0; i < list->n_places; i++) {
        buf_addf(out, "place %zu", list->places[i].page + 1);
        put_number(out, list->places[i].y);
        put_string(out, list->places[i].name);
        buf_addc(out, '\n');
    }
}
