/*
 * Bookmarks: a tree in which each names its neighbours, so all are numbered before one is written.
 * libharu would write titles byte by byte and has no destination that keeps the zoom.
 */
#include "pdf/pdf_int.h"

enum { DEPTH = 8, NONE = 0 };

struct mark { /* indexes + 1; the root is mark 0 and opened by none */
    size_t parent, prev, next, first, last;
    size_t within; /* marks below it, at any depth */
};

/* Under the last mark of the level above; where there is none, under the nearest that is. */
static void join(struct mark *marks, const struct page_bookmark *given, size_t n)
{
    size_t open[DEPTH + 1] = {0};
    int deepest = 0;
    for (size_t i = 1; i <= n; i++) {
        int level = given[i - 1].level < DEPTH ? given[i - 1].level : DEPTH;
        level = level <= deepest + 1 ? level : deepest + 1;
        struct mark *parent = &marks[open[level - 1]];
        marks[i] = (struct mark){.parent = open[level - 1], .prev = parent->last};
        if (parent->last != NONE) {
            marks[parent->last].next = i;
        } else {
            parent->first = i;
        }
        parent->last = i;
        open[level] = i;
        deepest = level;
    }
    for (size_t i = n; i > 0; i--) {
        marks[marks[i].parent].within += marks[i].within + 1;
    }
}

static void put_link(struct buf *out, const char *key, unsigned root, size_t to)
{
    buf_adds(out, key);
    pdf_put_reference(out, root + (unsigned)to);
}

static void put_mark(struct buf *out, const struct mark *m, unsigned root)
{
    if (m->prev != NONE) {
        put_link(out, "/Prev ", root, m->prev);
    }
    if (m->next != NONE) {
        put_link(out, "/Next ", root, m->next);
    }
    if (m->first != NONE) {
        put_link(out, "/First ", root, m->first);
        put_link(out, "/Last ", root, m->last);
        buf_adds(out, "/Count ");
        buf_addu(out, m->within);
    }
    buf_adds(out, ">>");
}

unsigned outline_write(struct hdoc *h, struct arena *a, const struct page_bookmark *given,
                       size_t n, struct buf *text)
{
    struct mark *marks = arena_alloc(a, (n + 1) * sizeof(*marks));
    join(marks, given, n);
    unsigned root = hdoc_next_tail(h);
    buf_clear(text);
    buf_adds(text, "<</Type/Outlines");
    put_mark(text, &marks[0], root);
    hdoc_tail(h, text->data, text->len);
    for (size_t i = 1; i <= n; i++) {
        const struct page_bookmark *b = &given[i - 1];
        char top[NUM_TEXT_MAX];
        buf_clear(text);
        buf_adds(text, "<</Title");
        pdf_text_string(text, b->title);
        put_link(text, "/Dest[", hdoc_page_object(h, b->page), 0);
        buf_adds(text, "/XYZ null ");
        buf_adds(text, num_format(top, b->y, 2));
        buf_adds(text, " null]");
        put_link(text, "/Parent ", root, marks[i].parent);
        put_mark(text, &marks[i], root);
        hdoc_tail(h, text->data, text->len);
    }
    return root;
}
