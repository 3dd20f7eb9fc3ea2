/*
 * bench_ours PAGES: the page lists of a dump through pdf_write(), in memory.
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

int main(int argc, char **argv)
{
    if (argc != 2) {
        fputs("usage: bench_ours PAGES\n", stderr);
        return STATUS_USAGE;
    }
    struct state s = {.pages = pages_file_read(argv[1])};
    pdf_tune_memory();
    diag_list_init(&s.diags);
    buf_init(&s.out, 64 << 20);
    struct font_set *fonts = font_set_load(NULL, &s.diags.sink);
    s.writer = fonts == NULL ? NULL : pdf_writer_new(fonts, "bench", PDF_USUAL, &s.diags.sink);
    if (s.writer == NULL) {
        diag_print(stderr, &s.diags.items[0]);
        return STATUS_SYSTEM;
    }
    bench_documents("ours", &s.pages, write_one, &s, 1.0, 5);
    pdf_writer_free(s.writer);
    font_set_free(fonts);
    buf_release(&s.out);
    diag_list_release(&s.diags);
    pages_file_release(&s.pages);
    return STATUS_OK;
}
