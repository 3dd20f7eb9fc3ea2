/*
 * page: the page list, the plain data between layout and PDF: text runs, paths, links, tags and
 * bookmarks, already placed. Points, origin bottom-left of the page, y up. Colours are grey or
 * RGB 0-1. A page list can be dumped as text; most layout tests compare that.
 *
 * Ownership: the list owns everything added; strings are copied.
 * Order is paint order; tag_begin/tag_end nest and are balanced on each page.
 */
#ifndef ENDFEEL_PAGE_H
#define ENDFEEL_PAGE_H

#include "base/base.h"

enum {
    PAGE_COORDINATE_MAX = 14400, /* pt, either sign; also the largest side of a page */
    PAGE_FONT_SIZE_MAX = 600     /* pt */
};

enum page_item_kind { PAGE_TEXT, PAGE_PATH, PAGE_IMAGE, PAGE_LINK, PAGE_TAG_BEGIN, PAGE_TAG_END };
enum page_anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END };
enum path_op { PATH_MOVE, PATH_LINE, PATH_CURVE, PATH_CLOSE }; /* 1, 1, 3, 0 points */
enum page_cap { CAP_BUTT, CAP_ROUND };

struct colour {
    float r, g, b;
};
extern const struct colour colour_black;
struct colour colour_grey(double level);

struct page_text {
    double x, y;              /* baseline start once placed */
    double size;
    int face;                 /* index into the font set: FACE_REGULAR ... */
    enum page_anchor anchor;  /* resolved to ANCHOR_START by layout before PDF */
    struct colour colour;
    const char *text;         /* UTF-8, visible characters only, no line breaks */
    size_t len;
};

struct page_path {
    enum path_op *ops;
    double *points;           /* x, y pairs for the ops in turn */
    size_t n_ops, n_points;   /* n_points counts numbers, not pairs */
    bool stroke, fill;
    double width;             /* stroke width, pt */
    double dash_on, dash_off; /* 0, 0: solid; whole points are not required */
    enum page_cap cap;
    struct colour stroke_colour, fill_colour;
};

struct page_link {
    double x0, y0, x1, y1;
    const char *target;       /* URI, or #NAME of a place in the document */
};

struct page_tag {
    const char *role;         /* P, H1, Table, TR, TH, TD, Figure, Artifact, ... */
    const char *alt;          /* alternative text, or NULL */
};

struct image; /* image.h */
struct page_image {
    double x, y, width, height; /* of the lower left corner; as it stands on the page */
    const char *path;
    const struct image *image;  /* borrowed: outlives the list */
};

struct page_item {
    enum page_item_kind kind;
    union {
        struct page_text text;
        struct page_path path;
        struct page_link link;
        struct page_tag tag;
        struct page_image image;
    } u;
};

struct page {
    double width, height;
    struct page_item *items;
    size_t n, cap;
};

struct page_bookmark {
    const char *title;
    int level;                /* 1 = top */
    size_t page;              /* 0-based */
    double y;
};

struct page_place { /* where a link with #NAME leads; names are their own in a list */
    const char *name;         /* letters, digits, hyphens, points and low lines */
    size_t page;              /* 0-based */
    double y;
};

struct page_list {
    struct arena *arena;
    struct page *pages;
    size_t n, cap;
    struct page_bookmark *bookmarks;
    size_t n_bookmarks, cap_bookmarks;
    struct page_place *places;
    size_t n_places, cap_places;
    const char *title, *author, *subject, *language; /* document properties; may be NULL */
    const char *date;         /* ISO date from the data, for the properties; may be NULL */
};

struct page_list *page_list_new(void);
void page_list_free(struct page_list *list);
/* The pages, and a page's items, may move when one is added: a pointer to a page is good until
 * the next page_add(), a pointer to an item until the next item of its page. */
struct page *page_add(struct page_list *list, double width, double height);
/* Items are added to a page of the list; coordinates must be finite and within
 * +-PAGE_COORDINATE_MAX: anything else is a bug of the caller and ends the process. */
struct page_text *page_add_text(struct page_list *list, struct page *page, double x, double y,
                                int face, double size, const char *text, size_t len);
void page_add_line(struct page_list *list, struct page *page, double x0, double y0, double x1,
                   double y1, double width, struct colour colour);
void page_add_rect(struct page_list *list, struct page *page, double x, double y, double w,
                   double h, const struct colour *fill, const struct colour *stroke, double width);
void page_add_link(struct page_list *list, struct page *page, double x0, double y0, double x1,
                   double y1, const char *target);
void page_add_image(struct page_list *list, struct page *page, double x, double y, double width,
                    double height, const char *path, const struct image *image);
void page_tag_begin(struct page_list *list, struct page *page, const char *role, const char *alt);
void page_tag_end(struct page_list *list, struct page *page);
void page_add_bookmark(struct page_list *list, size_t page, double y, int level,
                       const char *title);
void page_add_place(struct page_list *list, size_t page, double y, const char *name);

/* Building a path: begin, ops, then set style fields on the result before the next call. */
struct page_path *page_path_begin(struct page_list *list, struct page *page);
void page_path_move(struct page_list *list, struct page_path *p, double x, double y);
void page_path_line(struct page_list *list, struct page_path *p, double x, double y);
void page_path_curve(struct page_list *list, struct page_path *p, double x1, double y1, double x2,
                     double y2, double x3, double y3);
void page_path_close(struct page_list *list, struct page_path *p);
/* Circular arc by Bezier pieces, degrees counter-clockwise from page right; equal angles give
 * nothing. `join` draws a line to the arc's start instead of moving there. */
void page_path_arc(struct page_list *list, struct page_path *p, double cx, double cy, double r,
                   double from_deg, double to_deg, bool join);

void page_dump(const struct page_list *list, struct buf *out); /* stable text, 0.01 pt */

#endif
