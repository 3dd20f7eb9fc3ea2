/*
 * What a page is about: the headings and heads of groups that come to stand on it, for a running
 * head to say. They are noted while pages are drawn; running heads are set after all of them, with
 * room kept for the widest there is.
 */
#include "layout/layout_int.h"

#include <string.h>

static const size_t no_page = SIZE_MAX;

void mark_bound(struct render *r, int kind, const struct inline_text *text)
{
    struct mark_list *list = &r->marks[kind];
    double width = font_width(r->fonts, FACE_BOLD, 10, text->text, text->len);
    if (list->widest != NULL && width <= list->width)
        return;
    list->widest = text->text;
    list->width = width;
}

void mark_set(struct render *r, int kind, const char *text, size_t page)
{
    struct mark_list *list = &r->marks[kind];
    if (list->n == list->cap) {
        list->cap = list->cap == 0 ? 16 : list->cap * 2;
        list->items = mem_resize(list->items, list->cap * sizeof(*list->items));
    }
    list->items[list->n++] = (struct page_mark){text, page};
}

/* The first mark on the page in hand or after it. */
static size_t first_from(const struct mark_list *list, size_t page)
{
    size_t low = 0, high = list->n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (list->items[mid].page < page)
            low = mid + 1;
        else
            high = mid;
    }
    return low;
}

const char *mark_text(const struct render *r, const struct node *page_mark)
{
    const struct mark_list *list = &r->marks[node_choice(page_mark, AT_OF, 0)];
    if (r->marked_page == no_page)
        return list->widest != NULL ? list->widest : "";
    size_t at = first_from(list, r->marked_page), after = first_from(list, r->marked_page + 1);
    bool last = node_choice(page_mark, AT_WHICH, 0) == 1;
    if (at == after || last) /* none starts here: what an earlier page ended with goes on */
        return after > 0 ? list->items[after - 1].text : "";
    return list->items[at].text;
}
