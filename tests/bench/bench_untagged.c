/*
 * The whole program without tags, for the bench alone: linked with --wrap, so that what layout
 * calls to begin and end a tag comes here instead. What is drawn is the same.
 */
#include "page/page.h"

void __wrap_page_tag_begin(struct page_list *list, struct page *page, const char *role,
                           const char *alt);
void __wrap_page_tag_end(struct page_list *list, struct page *page);

void __wrap_page_tag_begin(struct page_list *list, struct page *page, const char *role,
                           const char *alt)
{
    (void)list;
    (void)page;
    (void)role;
    (void)alt;
}

void __wrap_page_tag_end(struct page_list *list, struct page *page)
{
    (void)list;
    (void)page;
}
