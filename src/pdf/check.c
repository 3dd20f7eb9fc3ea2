/*
 * What must hold before anything is written. The page list comes from the program's own layout,
 * but a number that is off the page or a character no face holds would be lost without a trace
 * on paper, so nothing is taken on trust here.
 */
#include "page/image.h"
#include "pdf/pdf_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { OUTSIDE = 1 }; /* pt a baseline may leave the page by: rounding, not meaning */

struct checker {
    const struct font_set *fonts;
    const struct page_list *list;
    struct arena *arena;
    struct usage *usage;
    struct diag_sink *sink;
    size_t page; /* 1-based, for messages */
};

static bool refuse(const struct checker *k, enum diag_code code, const char *detail)
{
    diag_report(k->sink, code, (struct diag_pos){.file = NULL}, NULL, "page %zu: %s", k->page,
                detail);
    return false;
}

static bool is_placed(double v)
{
    return isfinite(v) && fabs(v) <= PAGE_COORDINATE_MAX;
}

static bool is_colour(struct colour c)
{
    return c.r >= 0 && c.r <= 1 && c.g >= 0 && c.g <= 1 && c.b >= 0 && c.b <= 1;
}

/* ---- text -------------------------------------------------------------------------------- */

static void note_extra(struct checker *k, int face, int32_t c)
{
    struct extra *x = &k->usage->extra[face];
    size_t at = 0;
    while (at < x->n && x->chars[at] < c) {
        at++;
    }
    if (at < x->n && x->chars[at] == c) {
        return;
    }
    if (x->n == x->cap) {
        x->cap = x->cap == 0 ? 16 : x->cap * 2;
        int32_t *bigger = arena_alloc(k->arena, x->cap * sizeof(*bigger));
        if (x->n > 0) {
            memcpy(bigger, x->chars, x->n * sizeof(*bigger));
        }
        x->chars = bigger;
    }
    memmove(&x->chars[at + 1], &x->chars[at], (x->n - at) * sizeof(*x->chars));
    x->chars[at] = c;
    x->n++;
}

static bool check_characters(struct checker *k, const struct page_text *t)
{
    const char *p = t->text, *end = t->text + t->len;
    while (p < end) {
        const char *plain = p;
        while (p < end && *p >= ' ' && *p < 0x7F) {
            p++;
        }
        k->usage->face_used[t->face] |= p > plain;
        if (p == end) {
            break;
        }
        int32_t c = utf8_next(&p, end);
        if (c == UTF8_BAD) {
            return refuse(k, DIAG_FONT_GLYPH, "bytes that are no character");
        }
        if (c == PDF_SOFT_HYPHEN) {
            continue;
        }
        int face = font_pick(k->fonts, t->face, c);
        if (face < 0) {
            char detail[32];
            snprintf(detail, sizeof(detail), "U+%04X", (unsigned)c);
            return refuse(k, DIAG_FONT_GLYPH, detail);
        }
        *(font_code(c) != 0 ? &k->usage->face_used[face] : &k->usage->face_wide[face]) = true;
        if (!font_is_core(c)) {
            note_extra(k, face, c);
        }
    }
    return true;
}

static bool fits(const struct page *page, const struct page_text *t, double width)
{
    double x0 = t->x;
    if (t->anchor != ANCHOR_START) {
        x0 -= t->anchor == ANCHOR_MIDDLE ? width / 2 : width;
    }
    return x0 >= -OUTSIDE && x0 + width <= page->width + OUTSIDE;
}

static bool check_text(struct checker *k, const struct page *page, const struct page_text *t)
{
    if (!is_placed(t->x) || !is_placed(t->y) || !isfinite(t->size) || t->size <= 0 ||
        t->size > PAGE_FONT_SIZE_MAX || t->face < 0 || t->face >= FACE_COUNT ||
        !is_colour(t->colour)) {
        return refuse(k, DIAG_PDF_RANGE, "text without a place, size, face or colour");
    }
    if (!check_characters(k, t)) {
        return false;
    }
    /* What would fit with the widest letters of all need not be measured. */
    double most = font_width_most(k->fonts, t->face, t->size, t->len);
    bool inside = t->y >= -OUTSIDE && t->y <= page->height + OUTSIDE &&
                  (fits(page, t, most) ||
                   fits(page, t, font_width(k->fonts, t->face, t->size, t->text, t->len)));
    return inside || refuse(k, DIAG_PDF_RANGE, "text that leaves the page");
}

/* ---- other items ------------------------------------------------------------------------- */

static bool check_path(struct checker *k, const struct page_path *p)
{
    static const size_t numbers_of[] = {2, 2, 6, 0};
    size_t expected = 0;
    for (size_t i = 0; i < p->n_ops; i++) {
        if ((unsigned)p->ops[i] > PATH_CLOSE || (i == 0 && p->ops[i] != PATH_MOVE)) {
            return refuse(k, DIAG_PDF_RANGE, "a path that does not start with a place");
        }
        expected += numbers_of[p->ops[i]];
    }
    if (expected != p->n_points) {
        return refuse(k, DIAG_PDF_RANGE, "a path with too few or too many numbers");
    }
    for (size_t i = 0; i < p->n_points; i++) {
        if (!is_placed(p->points[i])) {
            return refuse(k, DIAG_PDF_RANGE, "a path point");
        }
    }
    bool bad_pen = !isfinite(p->width) || p->width < 0 || p->width > PAGE_COORDINATE_MAX ||
                   !(p->dash_on >= 0) || !(p->dash_off >= 0) || !is_placed(p->dash_on) ||
                   !is_placed(p->dash_off) || (p->dash_on == 0 && p->dash_off > 0);
    if (bad_pen || !is_colour(p->stroke_colour) || !is_colour(p->fill_colour)) {
        return refuse(k, DIAG_PDF_RANGE, "a path's width, dash or colour");
    }
    return true;
}

static bool leads_somewhere(const struct page_list *list, const char *name)
{
    for (size_t i = 0; i < list->n_places; i++) {
        if (strcmp(list->places[i].name, name) == 0) {
            return true;
        }
    }
    return false;
}

static bool check_link(struct checker *k, const struct page_link *l)
{
    if (!is_placed(l->x0) || !is_placed(l->y0) || !is_placed(l->x1) || !is_placed(l->y1)) {
        return refuse(k, DIAG_PDF_RANGE, "a link's box");
    }
    if (l->target != NULL && l->target[0] == '#') {
        return leads_somewhere(k->list, l->target + 1) ||
               refuse(k, DIAG_PDF_RANGE, "a link to no place");
    }
    for (const char *p = l->target; p != NULL && *p != '\0'; p++) {
        if (*p <= ' ' || *p > '~') {
            return refuse(k, DIAG_PDF_RANGE, "a link's target is not a plain address");
        }
    }
    return l->target != NULL || refuse(k, DIAG_PDF_RANGE, "a link without a target");
}

static bool check_image(struct checker *k, const struct page *page, const struct page_image *i)
{
    struct usage *u = k->usage;
    bool placed = i->x >= -OUTSIDE && i->y >= -OUTSIDE && i->width > 0 && i->height > 0 &&
                  i->x + i->width <= page->width + OUTSIDE &&
                  i->y + i->height <= page->height + OUTSIDE;
    if (!placed || i->image == NULL) {
        return refuse(k, DIAG_PDF_RANGE, "an image that leaves the page, or has no picture");
    }
    for (size_t n = 0; n < u->n_images; n++) {
        if (u->images[n]->digest == i->image->digest) {
            return true;
        }
    }
    if (u->n_images == u->cap_images) {
        u->cap_images = u->cap_images == 0 ? 4 : u->cap_images * 2;
        const struct image **more = arena_alloc(k->arena, u->cap_images * sizeof(*more));
        if (u->n_images > 0) {
            memcpy(more, u->images, u->n_images * sizeof(*more));
        }
        u->images = more;
    }
    u->images[u->n_images++] = i->image;
    return true;
}

static bool check_item(struct checker *k, const struct page *page, const struct page_item *item,
                       int *depth)
{
    switch (item->kind) {
    case PAGE_TEXT:
        return check_text(k, page, &item->u.text);
    case PAGE_PATH:
        return check_path(k, &item->u.path);
    case PAGE_LINK:
        return check_link(k, &item->u.link);
    case PAGE_IMAGE:
        return check_image(k, page, &item->u.image);
    case PAGE_TAG_BEGIN:
        k->usage->tagged = true;
        (*depth)++;
        return tag_role_is_known(item->u.tag.role) ||
               refuse(k, DIAG_PDF_TAGS, item->u.tag.role);
    case PAGE_TAG_END:
        (*depth)--;
        return *depth >= 0 || refuse(k, DIAG_PDF_TAGS, "an end without a begin");
    }
    return refuse(k, DIAG_PDF_RANGE, "an item of unknown kind");
}

static bool check_page(struct checker *k, const struct page *page)
{
    if (!(page->width >= PDF_SIDE_MIN && page->width <= PAGE_COORDINATE_MAX) ||
        !(page->height >= PDF_SIDE_MIN && page->height <= PAGE_COORDINATE_MAX)) {
        return refuse(k, DIAG_PDF_RANGE, "the page's size");
    }
    int depth = 0;
    for (size_t i = 0; i < page->n; i++) {
        if (!check_item(k, page, &page->items[i], &depth)) {
            return false;
        }
    }
    return depth == 0 || refuse(k, DIAG_PDF_TAGS, "a begin without an end");
}

/* ---- the list ---------------------------------------------------------------------------- */

static bool check_bookmarks(const struct checker *k, const struct page_list *list)
{
    for (size_t i = 0; i < list->n_bookmarks; i++) {
        const struct page_bookmark *b = &list->bookmarks[i];
        if (b->page >= list->n || !is_placed(b->y) || b->level < 1 || b->title == NULL ||
            !utf8_is_valid(b->title, strlen(b->title))) {
            diag_report(k->sink, DIAG_PDF_RANGE, (struct diag_pos){.file = NULL}, NULL,
                        "bookmark %zu", i + 1);
            return false;
        }
    }
    return true;
}

/* Names go into the file as they are. */
static bool check_places(const struct checker *k, const struct page_list *list)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                                  "-_.";
    for (size_t i = 0; i < list->n_places; i++) {
        const struct page_place *p = &list->places[i];
        size_t len = p->name != NULL ? strspn(p->name, letters) : 0;
        if (p->page >= list->n || !is_placed(p->y) || len == 0 || len > 100 ||
            p->name[len] != '\0') {
            diag_report(k->sink, DIAG_PDF_RANGE, (struct diag_pos){.file = NULL}, NULL,
                        "place %zu", i + 1);
            return false;
        }
    }
    return true;
}

static bool check_properties(const struct checker *k, const struct page_list *list)
{
    const char *const texts[] = {list->title, list->author, list->subject, list->language};
    for (size_t i = 0; i < ARRAY_LEN(texts); i++) {
        if (texts[i] != NULL && !utf8_is_valid(texts[i], strlen(texts[i]))) {
            diag_report(k->sink, DIAG_FONT_GLYPH, (struct diag_pos){.file = NULL}, NULL,
                        "in a document property");
            return false;
        }
    }
    struct date date;
    if (list->date != NULL && !date_parse_iso(list->date, &date)) {
        diag_report(k->sink, DIAG_PDF_RANGE, (struct diag_pos){.file = NULL}, NULL,
                    "the document's date");
        return false;
    }
    return true;
}

bool pdf_check(const struct font_set *fonts, const struct page_list *list, struct arena *a,
               struct usage *usage, struct diag_sink *sink)
{
    struct checker k = {.fonts = fonts, .list = list, .arena = a, .usage = usage, .sink = sink};
    *usage = (struct usage){.tagged = false};
    if (list->n == 0 || list->n > PDF_PAGES_MAX) {
        diag_report(sink, DIAG_PDF_LIMIT, (struct diag_pos){.file = NULL}, NULL,
                    "%zu pages, not 1 to %d", list->n, (int)PDF_PAGES_MAX);
        return false;
    }
    for (size_t i = 0; i < list->n; i++) {
        k.page = i + 1;
        if (!check_page(&k, &list->pages[i])) {
            return false;
        }
    }
    return check_bookmarks(&k, list) && check_places(&k, list) && check_properties(&k, list);
}
