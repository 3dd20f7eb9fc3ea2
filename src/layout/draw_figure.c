/* Figures are drawn by their own folder, which knows shapes and not fonts: the texts it leaves on
 * the page get their faces, and their anchors become starts, here. */
#include "layout/layout_int.h"

#include <math.h>
#include <string.h>

struct figure_text { /* a text cut into pieces of one face */
    struct buf clean;
    size_t from[32], to[32];
    int face[32], n;
    double width;
};

static void cut_faces(const struct render *r, const struct page_text *t, struct figure_text *f)
{
    const char *start = buf_text(&f->clean), *s = start, *end = start + f->clean.len;
    f->n = 0;
    f->width = 0;
    while (s < end) {
        const char *at = s;
        int32_t c = utf8_next(&s, end);
        int face = font_pick(r->fonts, t->face, c);
        if (face < 0)
            face = t->face;
        bool fresh = f->n == 0 || f->face[f->n - 1] != face;
        if (fresh && f->n < (int)ARRAY_LEN(f->face)) {
            f->from[f->n] = (size_t)(at - start);
            f->face[f->n++] = face;
        }
        f->to[f->n - 1] = (size_t)(s - start);
    }
    for (int i = 0; i < f->n; i++)
        f->width += font_width(r->fonts, f->face[i], t->size, start + f->from[i],
                               f->to[i] - f->from[i]);
}

/* The first piece takes the place of the text; others follow it in order of painting. */
static void resolve(struct drawing *d, size_t index, struct figure_text *f)
{
    struct render *r = d->r;
    struct page *page = &r->list->pages[d->page];
    struct page_text t = page->items[index].u.text;
    int32_t missing = 0;
    buf_clear(&f->clean);
    font_clean(r->fonts, t.text, t.len, &f->clean, &missing);
    if (missing != 0)
        render_error(r, DIAG_LAYOUT_GLYPH, "U+%04X in a figure", (unsigned)missing);
    cut_faces(r, &t, f);
    double x = t.x;
    if (t.anchor == ANCHOR_MIDDLE)
        x -= f->width / 2;
    else if (t.anchor == ANCHOR_END)
        x -= f->width;
    for (int i = 0; i < f->n; i++) {
        const char *text = f->clean.data + f->from[i];
        size_t len = f->to[i] - f->from[i];
        if (i == 0) {
            struct page_text *own = &page->items[index].u.text;
            own->text = arena_strndup(r->list->arena, text, len);
            own->len = len;
            own->face = f->face[0];
            own->x = x;
            own->anchor = ANCHOR_START;
        } else {
            struct page_text *more = page_add_text(r->list, &r->list->pages[d->page], x, t.y,
                                                   f->face[i], t.size, text, len);
            more->colour = t.colour;
            page = &r->list->pages[d->page];
        }
        x += font_width(r->fonts, f->face[i], t.size, text, len);
    }
}

void draw_figure(struct drawing *d, const struct box *figure, double x, double bottom,
                 double width, double height)
{
    struct render *r = d->r;
    struct figure_box box = {x, bottom, width, height};
    struct figure_text f;
    char why[200] = "";
    const char *kind = node_attr(figure->node, AT_KIND)->plain;
    size_t from = r->list->pages[d->page].n;
    r->at = figure->node;
    r->context = (xmlNode *)(uintptr_t)figure->data;
    if (!figure_draw(kind, figure->params, figure->n_params, box, r->list,
                     &r->list->pages[d->page], why, sizeof(why))) {
        render_error(r, DIAG_LAYOUT_FIGURE, "%s", why);
        return;
    }
    buf_init(&f.clean, TEXT_MAX_BYTES * 2);
    size_t to = r->list->pages[d->page].n;
    for (size_t i = from; i < to; i++) {
        if (r->list->pages[d->page].items[i].kind == PAGE_TEXT)
            resolve(d, i, &f);
    }
    buf_release(&f.clean);
}
