/*
 * bench_ours [untagged] PAGES: the page lists of a dump through pdf_write(), in memory; without
 * their tags, as a program that knows none would write them, if asked.
 * Prints: name, documents a second, microseconds of processor a document, bytes a document.
 */
#include "pages_file.h"

#include "pdf/pdf.h"

struct state {
    struct pages_file pages;
    struct pdf_writer *writer;
    struct buf out;
    struct diag_list diags;
};

static size_t write_one(void *user, size_t index)
{
    struct state *s = user;
    if (!pdf_write(s->writer, s->pages.lists[index], &s->out, &s->diags.sink)) {
        diag_print(stderr, &s->diags.items[0]);
        exit(STATUS_HELD_BACK);
    }
    return s->out.len;
}

static void drop_tags(struct page_list *l)
{
    for (size_t i = 0; i < l->n; i++) {
        struct page *page = &l->pages[i];
        size_t kept = 0;
        for (size_t k = 0; k < page->n; k++) {
            enum page_item_kind kind = page->items[k].kind;
            if (kind != PAGE_TAG_BEGIN && kind != PAGE_TAG_END) {
                page->items[kept++] = page->items[k];
            }
        }
        page->n = kept;
    }
}

int main(int argc, char **argv)
{
    bool untagged = argc == 3 && strcmp(argv[1], "untagged") == 0;
    if (argc != 2 && !untagged) {
        fputs("usage: bench_ours [untagged] PAGES\n", stderr);
        return STATUS_USAGE;
    }
    struct state s = {.pages = pages_file_read(argv[argc - 1])};
    for (size_t i = 0; untagged && i < s.pages.n; i++) {
        drop_tags(s.pages.lists[i]);
    }
    pdf_tune_memory();
    diag_list_init(&s.diags);
    buf_init(&s.out, 64 << 20);
    struct font_set *fonts = font_set_load(NULL, &s.diags.sink);
    s.writer = fonts == NULL ? NULL : pdf_writer_new(fonts, "bench", PDF_USUAL, &s.diags.sink);
    if (s.writer == NULL) {
        diag_print(stderr, &s.diags.items[0]);
        return STATUS_SYSTEM;
    }
    bench_documents(untagged ? "untagged" : "ours", s.pages.n, write_one, &s, 1.0, 5);
    pdf_writer_free(s.writer);
    font_set_free(fonts);
    buf_release(&s.out);
    diag_list_release(&s.diags);
    pages_file_release(&s.pages);
    return STATUS_OK;
}
