/* The print file: the pages of every report in the order of the day index, with a bookmark each. A
 * long run gives several files, so that memory stays that of one. */
#include "batch/outputs_int.h"

#include <string.h>
#include <unistd.h>

enum { REPORTS_IN_FILE = 2000, PAGES_IN_FILE = PDF_PAGES_MAX / 2 };

struct printing {
    struct outputs *o;
    struct pdf_bundle *bundle;
    int part;              /* files written */
    size_t reports;        /* in the bundle */
    long pages;            /* in all files */
    struct diag_sink *sink;
};

static bool finish_part(struct printing *p)
{
    if (p->reports == 0)
        return true;
    struct outputs *o = p->o;
    const char *name = p->part == 0 ? "print-all.pdf"
                                    : arena_printf(o->arena, "print-all-%d.pdf", p->part + 1);
    struct buf pdf;
    buf_init(&pdf, SIZE_MAX / 4);
    p->pages += (long)pdf_bundle_pages(p->bundle);
    bool ok = pdf_bundle_write(p->bundle, &pdf, p->sink) &&
              outputs_write_pdf(o, name, &pdf, p->sink);
    buf_release(&pdf);
    pdf_bundle_free(p->bundle);
    p->bundle = NULL;
    p->reports = 0;
    p->part++;
    return ok;
}

static bool add_report(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct printing *p = user;
    (void)key;
    (void)key_len;
    bool full = p->reports == REPORTS_IN_FILE ||
                (p->bundle != NULL && pdf_bundle_pages(p->bundle) > PAGES_IN_FILE);
    if (full && !finish_part(p))
        return false;
    if (p->bundle == NULL)
        p->bundle = pdf_bundle_new(p->o->tools->pdf);
    size_t title = strlen(blob) + 1;
    pdf_bundle_add(p->bundle, blob + title, len - title, blob);
    p->reports++;
    return true;
}

bool print_file_write(struct outputs *o, struct diag_sink *sink)
{
    struct printing p = {.o = o, .sink = sink};
    if (o->reports == 0)
        return true;
    bool ok = !o->tools->options->print_all ||
              (sorter_walk(o->drawn, add_report, &p, sink) && finish_part(&p));
    pdf_bundle_free(p.bundle);
    /* A print file of an earlier run holds other reports than the index of this one. */
    if (p.part == 0)
        unlink(outputs_path(o, "print-all.pdf"));
    outputs_remove_further(o, "print-all", p.part > 1 ? p.part : 1);
    if (ok && o->tools->options->print_all && p.pages != o->pages) {
        diag_report(sink, DIAG_PRINT_PAGES, (struct diag_pos){.file = "print-all.pdf"}, NULL,
                    "%ld of %ld pages", p.pages, o->pages);
        ok = false;
    }
    return ok;
}
