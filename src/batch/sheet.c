/* One sheet that is no report of a patient: set from its document and put in place whole. */
#include "batch/sheet_int.h"

#include <string.h>
#include <unistd.h>

int sheet_lock(struct tools *t, struct diag_sink *sink)
{
    const char *out = t->options->out;
    if (!file_make_folders(out, sink))
        return -1;
    return lock_take(arena_printf(t->arena, "%s/.lock", out), false, isatty(STDERR_FILENO) == 1,
                     sink);
}

bool sheet_write_text(const struct tools *t, const char *name, const struct buf *text,
                      struct diag_sink *sink)
{
    return file_write(arena_printf(t->arena, "%s/%s", t->options->out, name), text->data,
                      text->len, sink);
}

bool sheet_write(struct tools *t, struct _xmlDoc *doc, const char *name, bool *refused,
                 struct diag_sink *sink)
{
    struct page_list *pages = layout_render(t->templates[0], doc, t->fonts, sink);
    struct buf pdf;
    bool ok = false;
    *refused = pages == NULL;
    buf_init(&pdf, SIZE_MAX / 4);
    if (pages != NULL) {
        *refused = !pdf_write(t->pdf, pages, &pdf, sink);
        ok = !*refused && sheet_write_text(t, name, &pdf, sink);
    }
    buf_release(&pdf);
    page_list_free(pages);
    return ok;
}

bool sheet_print(const struct batch_options *o, const struct buf *text, struct diag_sink *sink)
{
    if (o->out != NULL)
        return file_write(o->out, text->data, text->len, sink);
    bool ok = fwrite(text->data, 1, text->len, stdout) == text->len;
    if (fflush(stdout) == 0 && ok)
        return true;
    diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = "standard output"}, NULL, NULL);
    return false;
}
