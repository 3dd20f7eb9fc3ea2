/*
 * endfeel template: a template is loaded, which checks every name, and then tried on the documents
 * of the demo clinic (demo/ROOT.xml beside the templates of the program), so that what would not
 * fit is told before a patient's data is at hand. Writes nothing.
 */
#include "batch/batch_int.h"

#include <libxml/tree.h>
#include <string.h>

struct trial {
    struct tools tools;      /* fonts and writer alone */
    struct diag_sink sink, quiet;
    struct arena *arena;
    struct buf pdf;
    enum status status;
};

static void put_diag(void *user, const struct diag *d)
{
    (void)user;
    diag_print(stderr, d);
}

static void worsen(struct trial *t, enum status status)
{
    if (status > t->status)
        t->status = status;
}

/* One document of the demo clinic. Only the first one that is refused says why. */
static bool try_document(struct trial *t, const struct layout_template *tpl, xmlNode *element,
                         bool say, size_t *n_pages)
{
    xmlDocPtr doc = xmlNewDoc(BAD_CAST "1.0");
    struct diag_sink *sink = say ? &t->sink : &t->quiet;
    xmlDocSetRootElement(doc, xmlDocCopyNode(element, doc, 1));
    struct page_list *pages = layout_render(tpl, doc, t->tools.fonts, sink);
    bool ok = pages != NULL && pdf_write(t->tools.pdf, pages, &t->pdf, sink);
    *n_pages = pages != NULL ? pages->n : 0;
    page_list_free(pages);
    xmlFreeDoc(doc);
    return ok;
}

static void try_all(struct trial *t, const char *file, const struct layout_template *tpl)
{
    const char *root = layout_template_root(tpl);
    const char *folder = file_data_folder(t->arena, "demo");
    const char *path = arena_printf(t->arena, "%s/%s.xml", folder != NULL ? folder : "", root);
    if (folder == NULL || !file_exists(path)) {
        printf("%s: the names are right; there is no demo data for root %s\n", file, root);
        return;
    }
    xmlDocPtr demo = xml_read_file(path, &t->sink);
    if (demo == NULL) {
        worsen(t, STATUS_SYSTEM);
        return;
    }
    size_t n = 0, refused = 0, least = SIZE_MAX, most = 0, pages;
    for (xmlNode *e = xmlDocGetRootElement(demo)->children; e != NULL; e = e->next) {
        if (!xml_is(e, root))
            continue;
        n++;
        if (!try_document(t, tpl, e, refused == 0, &pages)) {
            refused++;
            continue;
        }
        least = pages < least ? pages : least;
        most = pages > most ? pages : most;
    }
    xmlFreeDoc(demo);
    if (refused > 0) {
        worsen(t, STATUS_HELD_BACK);
        printf("%s: %zu of %zu demo documents do not fit\n", file, refused, n);
    } else {
        printf("%s: fits all %zu demo documents, %zu to %zu pages\n", file, n, least, most);
    }
}

static void check_file(struct trial *t, const char *file)
{
    const char *slash = strrchr(file, '/'), *base = slash != NULL ? slash + 1 : file;
    size_t len = strlen(base), end = strlen(".xml");
    struct diag_pos pos = {.file = file};
    if (!file_exists(file) || len <= end || strcmp(base + len - end, ".xml") != 0) {
        diag_report(&t->sink, file_exists(file) ? DIAG_TEMPLATE_FILE : DIAG_FILE_OPEN, pos, NULL,
                    NULL);
        worsen(t, STATUS_USAGE);
        return;
    }
    const char *folder =
        slash == NULL ? "." : arena_strndup(t->arena, file, (size_t)(slash - file));
    struct layout_template *tpl =
        layout_template_load(folder, arena_strndup(t->arena, base, len - end), NULL,
                             tools_vocabulary, t->tools.fonts, NULL, &t->sink);
    if (tpl == NULL) {
        worsen(t, STATUS_USAGE);
        return;
    }
    layout_template_set_image_folder(tpl, folder);
    try_all(t, file, tpl);
    layout_template_free(tpl);
}

enum status template_run(const struct batch_options *options)
{
    struct trial t = {.sink = {.put = put_diag}, .arena = arena_new(), .status = STATUS_OK};
    buf_init(&t.pdf, SIZE_MAX / 4);
    t.tools.fonts = font_set_load(NULL, &t.sink);
    t.tools.pdf = t.tools.fonts == NULL
                      ? NULL
                      : pdf_writer_new(t.tools.fonts, "endfeel " ENDFEEL_VERSION, PDF_USUAL,
                                       &t.sink);
    if (t.tools.pdf == NULL)
        t.status = STATUS_SYSTEM;
    for (size_t i = 0; t.tools.pdf != NULL && i < options->n_inputs; i++)
        check_file(&t, options->inputs[i]);
    if (fflush(stdout) != 0) {
        diag_report(&t.sink, DIAG_FILE_WRITE, (struct diag_pos){.file = "standard output"}, NULL,
                    NULL);
        t.status = STATUS_SYSTEM;
    }
    pdf_writer_free(t.tools.pdf);
    font_set_free(t.tools.fonts);
    buf_release(&t.pdf);
    arena_free(t.arena);
    return t.status;
}
