/*
 * bench_setting TEMPLATES KIND FINDINGS...: pages set from findings documents and written as PDF,
 * in memory: layout_render() and pdf_write(), the work that another engine does which is given the
 * texts, tables and figures of a document. Reading files, rules and writing are not in it.
 * Prints: name, documents a second, microseconds of processor a document, bytes a document; and on
 * the next line how many pages all of them have, so that the caller can tell they are the same.
 */
#include "batch/batch_int.h"
#include "pages_file.h"

#include <libxml/tree.h>

struct state {
    struct layout_template *template;
    struct font_set *fonts;
    struct pdf_writer *writer;
    xmlDocPtr *documents;
    struct buf out;
    struct diag_list diags;
    size_t n, n_pages;
};

static _Noreturn void give_up(const struct state *s, enum status status)
{
    for (size_t i = 0; i < s->diags.n; i++) {
        diag_print(stderr, &s->diags.items[i]);
    }
    exit(status);
}

static size_t set_one(void *user, size_t index)
{
    struct state *s = user;
    struct page_list *pages =
        layout_render(s->template, s->documents[index], s->fonts, &s->diags.sink);
    buf_clear(&s->out);
    if (pages == NULL || !pdf_write(s->writer, pages, &s->out, &s->diags.sink)) {
        give_up(s, STATUS_HELD_BACK);
    }
    s->n_pages += pages->n;
    page_list_free(pages);
    return s->out.len;
}

static void load(struct state *s, const char *folder, const char *kind)
{
    s->fonts = font_set_load(NULL, &s->diags.sink);
    if (s->fonts == NULL) {
        give_up(s, STATUS_SYSTEM);
    }
    s->template = layout_template_load(folder, kind, NULL, tools_vocabulary, s->fonts, NULL,
                                       &s->diags.sink);
    s->writer = pdf_writer_new(s->fonts, "bench", PDF_USUAL, &s->diags.sink);
    if (s->template == NULL || s->writer == NULL) {
        give_up(s, STATUS_SYSTEM);
    }
}

int main(int argc, char **argv)
{
    if (argc < 4) {
        fputs("usage: bench_setting TEMPLATES KIND FINDINGS...\n", stderr);
        return STATUS_USAGE;
    }
    struct state s = {.n = (size_t)argc - 3};
    pdf_tune_memory();
    diag_list_init(&s.diags);
    buf_init(&s.out, 64 << 20);
    load(&s, argv[1], argv[2]);
    s.documents = mem_alloc(s.n * sizeof(*s.documents));
    for (size_t i = 0; i < s.n; i++) {
        s.documents[i] = xml_read_file(argv[i + 3], &s.diags.sink);
        if (s.documents[i] == NULL) {
            give_up(&s, STATUS_SYSTEM);
        }
        (void)set_one(&s, i);
    }
    size_t n_pages = s.n_pages;
    bench_documents("setting", s.n, set_one, &s, 1.0, 5);
    printf("%zu pages\n", n_pages);
    for (size_t i = 0; i < s.n; i++) {
        xmlFreeDoc(s.documents[i]);
    }
    free(s.documents);
    pdf_writer_free(s.writer);
    layout_template_free(s.template);
    font_set_free(s.fonts);
    buf_release(&s.out);
    diag_list_release(&s.diags);
    return STATUS_OK;
}
