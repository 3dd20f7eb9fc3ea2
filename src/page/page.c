/*
 * Building a page list: pages, items, bookmarks. Arrays of pages and items are plain memory that
 * grows; strings and path data live in the list's arena. Coordinates are checked here, where the
 * caller that computed a bad one is still on the stack; such a value is a bug, not bad input.
 */
#include "page/page.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

const struct colour colour_black = {0.0F, 0.0F, 0.0F};

struct colour colour_grey(double level)
{
    assert(level >= 0.0 && level <= 1.0);
    float g = (float)level;
    return (struct colour){g, g, g};
}

static void check_coordinate(double v)
{
    assert(isfinite(v) && fabs(v) <= PAGE_COORDINATE_MAX);
}

struct page_list *page_list_new(void)
{
    struct page_list *list = mem_alloc(sizeof(*list));
    list->arena = arena_new();
    return list;
}

void page_list_free(struct page_list *list)
{
    if (list == NULL) {
        return;
    }
    for (size_t i = 0; i < list->n; i++) {
        free(list->pages[i].items);
    }
    free(list->pages);
    free(list->bookmarks);
    free(list->places);
    arena_free(list->arena);
    free(list);
}

/* Room for one more element; the new capacity, with *array moved. */
static size_t grow(void **array, size_t n, size_t cap, size_t first, size_t element)
{
    if (n < cap) {
        return cap;
    }
    size_t bigger = cap == 0 ? first : cap * 2;
    *array = mem_resize(*array, bigger * element);
    return bigger;
}

struct page *page_add(struct page_list *list, double width, double height)
{
    assert(isfinite(width) && width > 0 && width <= PAGE_COORDINATE_MAX);
    assert(isfinite(height) && height > 0 && height <= PAGE_COORDINATE_MAX);
    void *pages = list->pages;
    list->cap = grow(&pages, list->n, list->cap, 4, sizeof(*list->pages));
    list->pages = pages;
    struct page *page = &list->pages[list->n++];
    *page = (struct page){.width = width, .height = height};
    return page;
}

static struct page_item *add_item(struct page *page, enum page_item_kind kind)
{
    enum { FIRST = 512 }; /* most pages of a chart have fewer, and are not moved as they grow */
    void *items = page->items;
    page->cap = grow(&items, page->n, page->cap, FIRST, sizeof(*page->items));
    page->items = items;
    struct page_item *item = &page->items[page->n++];
    *item = (struct page_item){.kind = kind};
    return item;
}

struct page_text *page_add_text(struct page_list *list, struct page *page, double x, double y,
                                int face, double size, const char *text, size_t len)
{
    check_coordinate(x);
    check_coordinate(y);
    assert(isfinite(size) && size > 0 && size <= PAGE_FONT_SIZE_MAX);
    struct page_text *t = &add_item(page, PAGE_TEXT)->u.text;
    t->x = x;
    t->y = y;
    t->size = size;
    t->face = face;
    t->anchor = ANCHOR_START;
    t->colour = colour_black;
    t->text = arena_strndup(list->arena, text, len);
    t->len = len;
    return t;
}

struct page_path *page_path_begin(struct page_list *list, struct page *page)
{
    (void)list;
    struct page_path *p = &add_item(page, PAGE_PATH)->u.path;
    p->cap = CAP_BUTT;
    p->stroke_colour = colour_black;
    p->fill_colour = colour_black;
    return p;
}

/* The path data have no capacity of their own: they grow when the count is a power of two. */
static bool is_full(size_t n, size_t first)
{
    return n == 0 || (n >= first && (n & (n - 1)) == 0);
}

static void *grow_in_arena(struct page_list *list, const void *old, size_t n, size_t first,
                           size_t element)
{
    size_t cap = n == 0 ? first : n * 2;
    return arena_grow(list->arena, old, n * element, cap * element);
}

static void add_op(struct page_list *list, struct page_path *p, enum path_op op)
{
    enum { FIRST = 8 };
    if (is_full(p->n_ops, FIRST)) {
        p->ops = grow_in_arena(list, p->ops, p->n_ops, FIRST, sizeof(*p->ops));
    }
    p->ops[p->n_ops++] = op;
}

static void add_point(struct page_list *list, struct page_path *p, double x, double y)
{
    enum { FIRST = 16 };
    check_coordinate(x);
    check_coordinate(y);
    if (is_full(p->n_points, FIRST)) {
        p->points = grow_in_arena(list, p->points, p->n_points, FIRST, sizeof(*p->points));
    }
    p->points[p->n_points++] = x;
    p->points[p->n_points++] = y;
}

void page_path_move(struct page_list *list, struct page_path *p, double x, double y)
{
    add_op(list, p, PATH_MOVE);
    add_point(list, p, x, y);
}

void page_path_line(struct page_list *list, struct page_path *p, double x, double y)
{
    assert(p->n_ops > 0);
    add_op(list, p, PATH_LINE);
    add_point(list, p, x, y);
}

void page_path_curve(struct page_list *list, struct page_path *p, double x1, double y1, double x2,
                     double y2, double x3, double y3)
{
    assert(p->n_ops > 0);
    add_op(list, p, PATH_CURVE);
    add_point(list, p, x1, y1);
    add_point(list, p, x2, y2);
    add_point(list, p, x3, y3);
}

void page_path_close(struct page_list *list, struct page_path *p)
{
    assert(p->n_ops > 0);
    add_op(list, p, PATH_CLOSE);
}

void page_path_arc(struct page_list *list, struct page_path *p, double cx, double cy, double r,
                   double from_deg, double to_deg, bool join)
{
    static const double to_rad = 3.14159265358979323846 / 180.0;
    double sweep = to_deg - from_deg;
    assert(isfinite(sweep) && fabs(sweep) <= 360.0 && isfinite(r) && r >= 0.0);
    if (sweep == 0.0) {
        return;
    }
    /* One cubic of a quarter turn is within 0.03 % of the radius, of so much within 0.07 %: about
     * the 0.01 pt of a number in the file, for an end of a limb, which takes two and not three. */
    static const double most = 105.0;
    int pieces = (int)ceil(fabs(sweep) / most);
    double step = sweep / pieces * to_rad;
    double handle = 4.0 / 3.0 * tan(step / 4.0) * r;
    double a = from_deg * to_rad;
    if (join) {
        page_path_line(list, p, cx + r * cos(a), cy + r * sin(a));
    } else {
        page_path_move(list, p, cx + r * cos(a), cy + r * sin(a));
    }
    for (int i = 0; i < pieces; i++) {
        double b = (from_deg * to_rad) + step * (i + 1);
        page_path_curve(list, p, cx + r * cos(a) - handle * sin(a),
                        cy + r * sin(a) + handle * cos(a), cx + r * cos(b) + handle * sin(b),
                        cy + r * sin(b) - handle * cos(b), cx + r * cos(b), cy + r * sin(b));
        a = b;
    }
}

void page_add_line(struct page_list *list, struct page *page, double x0, double y0, double x1,
                   double y1, double width, struct colour colour)
{
    struct page_path *p = page_path_begin(list, page);
    page_path_move(list, p, x0, y0);
    page_path_line(list, p, x1, y1);
    p->stroke = true;
    p->width = width;
    p->stroke_colour = colour;
}

void page_add_rect(struct page_list *list, struct page *page, double x, double y, double w,
                   double h, const struct colour *fill, const struct colour *stroke, double width)
{
    struct page_path *p = page_path_begin(list, page);
    page_path_move(list, p, x, y);
    page_path_line(list, p, x + w, y);
    page_path_line(list, p, x + w, y + h);
    page_path_line(list, p, x, y + h);
    page_path_close(list, p);
    if (fill != NULL) {
        p->fill = true;
        p->fill_colour = *fill;
    }
    if (stroke != NULL) {
        p->stroke = true;
        p->stroke_colour = *stroke;
        p->width = width;
    }
}

void page_add_link(struct page_list *list, struct page *page, double x0, double y0, double x1,
                   double y1, const char *target)
{
    check_coordinate(x0);
    check_coordinate(y0);
    check_coordinate(x1);
    check_coordinate(y1);
    struct page_link *l = &add_item(page, PAGE_LINK)->u.link;
    *l = (struct page_link){x0, y0, x1, y1, arena_strdup(list->arena, target)};
}

void page_add_image(struct page_list *list, struct page *page, double x, double y, double width,
                    double height, const char *path, const struct image *image)
{
    check_coordinate(x);
    check_coordinate(y);
    check_coordinate(x + width);
    check_coordinate(y + height);
    struct page_image *i = &add_item(page, PAGE_IMAGE)->u.image;
    *i = (struct page_image){x, y, width, height, arena_strdup(list->arena, path), image};
}

void page_tag_begin(struct page_list *list, struct page *page, const char *role, const char *alt)
{
    assert(role != NULL);
    struct page_tag *t = &add_item(page, PAGE_TAG_BEGIN)->u.tag;
    t->role = arena_strdup(list->arena, role);
    t->alt = arena_strdup(list->arena, alt);
}

void page_tag_end(struct page_list *list, struct page *page)
{
    (void)list;
    (void)add_item(page, PAGE_TAG_END);
}

void page_add_bookmark(struct page_list *list, size_t page, double y, int level, const char *title)
{
    check_coordinate(y);
    assert(level >= 1 && page < list->n);
    void *bookmarks = list->bookmarks;
    list->cap_bookmarks = grow(&bookmarks, list->n_bookmarks, list->cap_bookmarks, 8,
                               sizeof(*list->bookmarks));
    list->bookmarks = bookmarks;
    list->bookmarks[list->n_bookmarks++] =
        (struct page_bookmark){arena_strdup(list->arena, title), level, page, y};
}

void page_add_place(struct page_list *list, size_t page, double y, const char *name)
{
    check_coordinate(y);
    assert(page < list->n);
    void *places = list->places;
    list->cap_places = grow(&places, list->n_places, list->cap_places, 8, sizeof(*list->places));
    list->places = places;
    list->places[list->n_places++] = (struct page_place){arena_strdup(list->arena, name), page, y};
}
