/* Fuzz target: any bytes as a template, which may include the parts of the program. It loads or is
 * refused with an error said; one that loads is set with the findings of a visit, and gives pages
 * or an error. Built by `make fuzz`; seeds are the templates. Run from the top of the project. */
#include "findings/findings.h"
#include "import/import.h"
#include "layout/layout.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const struct date today = {2030, 1, 1};
static const char export[] =
    "patient_id,visit_date,joint,motion,side,test,value\n"
    "P1,2025-03-14,knee,flexion,right,AROM,95\nP1,2025-03-14,knee,flexion,left,AROM,135\n"
    "P1,2025-03-14,knee,flexion,right,PROM,100\nP1,2025-03-14,knee,extension,right,MMT,4-\n"
    "P1,2025-03-28,knee,flexion,right,AROM,110\nP1,2025-03-28,knee,extension,right,MMT,4\n";

static struct diag_sink quiet;
static char folder[] = "/tmp/fuzz-template-XXXXXX";
static char file[sizeof folder + 10], parts[sizeof folder + 10];

static bool refused(const struct diag_sink *sink)
{
    return sink->count[DIAG_ERROR] + sink->count[DIAG_SYSTEM] > 0;
}

static const struct layout_vocabulary *vocabulary_for(const char *root, size_t *n)
{
    return (const struct layout_vocabulary *)(const void *)findings_vocabulary(root, n);
}

/* The findings of the last visit of the export above; kept until the end. */
static struct _xmlDoc *visit_document(void)
{
    char path[40];
    int fd = memfd_create("export", MFD_CLOEXEC);
    assert(fd >= 0 && write(fd, export, sizeof export - 1) == (ssize_t)sizeof export - 1);
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    static struct reference *ref;
    static struct import_source *src;
    static struct arena *a;
    ref = reference_load_embedded(&quiet);
    src = import_open(path, 0, false, import_settings_default(), ref, &quiet);
    struct import_source *const sources[] = {src};
    a = arena_new();
    struct tally tally = {0};
    struct row rows[8], row;
    size_t n = 0;
    while (n < 8 && import_next(src, &row, &tally, &quiet) == IMPORT_ROW) {
        struct buf packed; /* a row is good until the next one is read */
        buf_init(&packed, SIZE_MAX / 4);
        row_pack(&row, &packed);
        (void)row_unpack(arena_strndup(a, packed.data, packed.len), packed.len, a, &rows[n++]);
        buf_release(&packed);
    }
    const struct patient *p = import_patient(rows, n, sources, ref, today, a, &tally, &quiet);
    assert(p->n_visits == 2);
    const struct findings_extra extra = {0};
    static struct clinic clinic; /* the document's, as long as the visit's */
    clinic = clinic_default(ref);
    return findings_document(rules_evaluate(p, &p->visits[1], ref, &clinic, a), &extra);
}

static void remove_folder(void)
{
    (void)unlink(file);
    (void)unlink(parts);
    (void)rmdir(folder);
}

static void make_folder(void)
{
    char *own = realpath("templates/parts", NULL);
    bool made = own != NULL && mkdtemp(folder) != NULL;
    assert(made);
    snprintf(file, sizeof file, "%s/t.xml", folder);
    snprintf(parts, sizeof parts, "%s/parts", folder);
    int linked = symlink(own, parts);
    assert(linked == 0);
    free(own);
    atexit(remove_folder);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct font_set *fonts;
    static struct _xmlDoc *doc;
    struct diag_sink sink = {0};
    if (fonts == NULL) {
        fonts = font_set_load(NULL, &quiet);
        assert(fonts != NULL);
        doc = visit_document();
        make_folder();
    }
    FILE *f = fopen(file, "wb");
    assert(f != NULL);
    size_t written = fwrite(data, 1, size, f);
    int closed = fclose(f);
    assert(written == size && closed == 0);
    struct layout_template *t =
        layout_template_load(folder, "t", NULL, vocabulary_for, fonts, NULL, &sink);
    assert((t == NULL) == refused(&sink));
    if (t != NULL && strcmp(layout_template_root(t), "visit") == 0) {
        struct page_list *pages = layout_render(t, doc, fonts, &sink);
        assert((pages == NULL) == refused(&sink));
        page_list_free(pages);
    }
    layout_template_free(t);
    return 0;
}
