/*
 * Page list to PDF: what is prepared once a run (the faces cut to the core and compressed), and
 * the order of work for one document: check, fonts, pages, structure, bookmarks, properties.
 */
#include "pdf/pdf.h"
#include "pdf/pdf_int.h"

#include <assert.h>
#include <malloc.h>
#include <stdlib.h>
#include <string.h>

/* ---- fonts ------------------------------------------------------------------------------- */

static const struct font_subset *subset_for(struct pdf_writer *w, int face, const struct extra *x,
                                            struct diag_sink *sink)
{
    if (x->n == 0) {
        return w->core[face];
    }
    struct beyond *b = &w->beyond[face];
    size_t size = x->n * sizeof(*x->chars);
    if (b->subset == NULL || b->n != x->n || memcmp(b->chars, x->chars, size) != 0) {
        font_subset_free(b->subset);
        b->subset = font_subset_new(w->fonts, face, x->chars, x->n, sink);
        b->chars = mem_resize(b->chars, size);
        memcpy(b->chars, x->chars, size);
        b->n = x->n;
    }
    return b->subset;
}

bool writer_subsets(struct pdf_writer *w, const struct usage *usage,
                    const struct font_subset *subsets[FACE_COUNT], struct diag_sink *sink)
{
    for (int i = 0; i < FACE_COUNT; i++) {
        subsets[i] = NULL;
        if (!usage->face_used[i] && !usage->face_wide[i]) {
            continue;
        }
        subsets[i] = subset_for(w, i, &usage->extra[i], sink);
        if (subsets[i] == NULL) {
            return false;
        }
    }
    return true;
}

static unsigned add_descriptor(struct pdf_writer *w, struct hdoc *h, const struct font_subset *s,
                               unsigned program, unsigned cid_set)
{
    struct buf *text = &w->text;
    buf_clear(text);
    buf_addf(text,
             "/Type/FontDescriptor/FontName/%s/Flags %u/FontBBox[%.0f %.0f %.0f %.0f]"
             "/ItalicAngle %.0f/Ascent %.0f/Descent %.0f/CapHeight %.0f/StemV %.0f"
             "/FontFile2 %u 0 R",
             s->name, s->flags, s->bbox[0], s->bbox[1], s->bbox[2], s->bbox[3], s->italic_angle,
             s->ascent, -s->descent, s->cap_height, s->stem_v, program);
    if (cid_set != 0) {
        buf_addf(text, "/CIDSet %u 0 R", cid_set);
    }
    return hdoc_object(h, buf_text(text));
}

/* One byte a character; the program's own table finds the glyphs, so no encoding is named. */
static unsigned add_font(struct pdf_writer *w, struct hdoc *h, const struct font_subset *s,
                         unsigned program)
{
    struct buf *text = &w->text;
    unsigned to_unicode = hdoc_stream(h, "", s->code_unicode.data, s->code_unicode.len);
    unsigned descriptor = add_descriptor(w, h, s, program, 0);
    buf_clear(text);
    buf_addf(text,
             "/Type/Font/Subtype/TrueType/BaseFont/%s/FontDescriptor %u 0 R/ToUnicode %u 0 R"
             "/FirstChar %d/LastChar %u/Widths[",
             s->name, descriptor, to_unicode, (int)FONT_CODE_FIRST, s->last_code);
    buf_add(text, s->code_widths.data, s->code_widths.len);
    buf_addc(text, ']');
    return hdoc_object(h, buf_text(text));
}

/* Two bytes a character, its glyph's id. */
static unsigned add_wide_font(struct pdf_writer *w, struct hdoc *h, const struct font_subset *s,
                              unsigned program)
{
    struct buf *text = &w->text;
    unsigned cid_set = hdoc_stream(h, "", s->cid_set.data, s->cid_set.len);
    unsigned to_unicode = hdoc_stream(h, "", s->to_unicode.data, s->to_unicode.len);
    unsigned descriptor = add_descriptor(w, h, s, program, cid_set);
    buf_clear(text);
    buf_addf(text,
             "/Type/Font/Subtype/CIDFontType2/BaseFont/%s/CIDSystemInfo<</Registry(Adobe)"
             "/Ordering(Identity)/Supplement 0>>/CIDToGIDMap/Identity/FontDescriptor %u 0 R/W[",
             s->name, descriptor);
    buf_add(text, s->widths.data, s->widths.len);
    buf_addc(text, ']');
    unsigned descendant = hdoc_object(h, buf_text(text));
    buf_clear(text);
    buf_addf(text,
             "/Type/Font/Subtype/Type0/BaseFont/%s/Encoding/Identity-H"
             "/DescendantFonts[%u 0 R]/ToUnicode %u 0 R",
             s->name, descendant, to_unicode);
    return hdoc_object(h, buf_text(text));
}

/* ---- one document ------------------------------------------------------------------------ */

struct job {
    struct pdf_writer *w;
    const struct page_list *list;
    const struct usage *usage;
    const struct font_subset *subsets[FACE_COUNT];
    const uint64_t *images; /* digests of usage's */
    const struct pdf_attachment *file;
};

unsigned writer_add_fonts(struct pdf_writer *w, struct hdoc *h, const struct usage *usage,
                          const struct font_subset *const subsets[FACE_COUNT])
{
    unsigned narrow[FACE_COUNT] = {0}, wide[FACE_COUNT] = {0};
    struct buf *text = &w->text;
    for (int i = 0; i < FACE_COUNT; i++) {
        const struct font_subset *s = subsets[i];
        if (s == NULL) {
            continue;
        }
        buf_clear(text);
        buf_addf(text, "/Length1 %zu", s->program_size);
        unsigned program = hdoc_stream(h, buf_text(text), s->program.data, s->program.len);
        narrow[i] = usage->face_used[i] ? add_font(w, h, s, program) : 0;
        wide[i] = usage->face_wide[i] ? add_wide_font(w, h, s, program) : 0;
    }
    buf_clear(text);
    for (int i = 0; i < FACE_COUNT; i++) {
        if (narrow[i] != 0) {
            buf_addf(text, "/F%d %u 0 R", i, narrow[i]);
        }
        if (wide[i] != 0) {
            buf_addf(text, "/G%d %u 0 R", i, wide[i]);
        }
    }
    return hdoc_object(h, buf_text(text));
}

const uint64_t *writer_images(struct pdf_writer *w, const struct usage *usage)
{
    uint64_t *digests = arena_alloc(w->arena, (usage->n_images + 1) * sizeof(*digests));
    images_trim(&w->images);
    for (size_t i = 0; i < usage->n_images; i++) {
        digests[i] = images_pack(&w->images, &w->packer, usage->images[i])->digest;
    }
    return digests;
}

static void add_page(struct job *j, struct hdoc *h, size_t index, unsigned fonts, unsigned images)
{
    struct pdf_writer *w = j->w;
    const struct page *page = &j->list->pages[index];
    struct tag_tree *tags = j->usage->tagged ? &w->tags : NULL;
    unsigned key = tags == NULL ? 0 : tag_tree_begin_page(tags);
    unsigned object = hdoc_page(h, page, fonts, images, tags != NULL, key);
    buf_clear(&w->content);
    content_write(w->fonts, page, index, object, h, tags, &w->content);
    buf_clear(&w->packed);
    packer_add(&w->packer, w->content.data, w->content.len, &w->packed);
    const char *kept = arena_strndup(w->arena, w->packed.data, w->packed.len);
    hdoc_page_content(h, index, kept, w->packed.len);
}

static void add_places(const struct page_list *list, struct hdoc *h, struct buf *catalog)
{
    char top[NUM_TEXT_MAX];
    if (list->n_places == 0) {
        return;
    }
    buf_adds(catalog, "/Dests<<");
    for (size_t i = 0; i < list->n_places; i++) {
        const struct page_place *p = &list->places[i];
        buf_addf(catalog, "/%s[%u 0 R/XYZ null %s null]", p->name, hdoc_page_object(h, p->page),
                 num_format(top, p->y, 2));
    }
    buf_adds(catalog, ">>");
}

static void add_catalog(struct job *j, struct hdoc *h)
{
    struct buf *catalog = &j->w->catalog;
    const struct page_list *list = j->list;
    struct properties p = {.title = list->title, .author = list->author, .date = list->date,
                           .subject = list->subject, .language = list->language};
    buf_clear(catalog);
    properties_write(j->w, h, &p, catalog);
    add_places(list, h, catalog);
    if (j->file != NULL) {
        attachment_write(j->w, h, j->file, list->date, catalog);
    }
    if (list->n_bookmarks > 0) {
        buf_addf(catalog, "/PageMode/UseOutlines/Outlines %u 0 R",
                 outline_write(h, j->w->arena, list->bookmarks, list->n_bookmarks, &j->w->text));
    }
    if (j->usage->tagged) {
        if (j->w->form == PDF_ARCHIVE &&
            tag_tree_longest_list(&j->w->tags) > PDF_ARCHIVE_LIST_MAX) {
            hdoc_too_large(h, "an archive file has no room for so many tags in one list");
        }
        buf_addf(catalog, "/MarkInfo<</Marked true>>/StructTreeRoot %u 0 R",
                 tag_tree_write(&j->w->tags, h));
    }
    hdoc_catalog(h, buf_text(catalog));
}

static void build(struct hdoc *h, void *user)
{
    struct job *j = user;
    unsigned fonts = writer_add_fonts(j->w, h, j->usage, j->subsets);
    unsigned images = images_write(h, &j->w->images, j->images, j->usage->n_images,
                                   &j->w->text);
    for (size_t i = 0; i < j->list->n; i++) {
        add_page(j, h, i, fonts, images);
    }
    add_catalog(j, h);
}

bool pdf_write(struct pdf_writer *w, const struct page_list *list, struct buf *out,
               struct diag_sink *sink)
{
    return pdf_write_with(w, list, NULL, out, sink);
}

bool pdf_write_with(struct pdf_writer *w, const struct page_list *list,
                    const struct pdf_attachment *file, struct buf *out, struct diag_sink *sink)
{
    struct usage usage;
    struct job job = {.w = w, .list = list, .usage = &usage, .file = file};
    assert(file == NULL || w->form == PDF_USUAL);
    buf_clear(out);
    arena_clear(w->arena);
    tag_tree_clear(&w->tags);
    if (!pdf_check(w->fonts, list, w->arena, &usage, sink)) {
        return false;
    }
    job.images = writer_images(w, &usage);
    return writer_subsets(w, &usage, job.subsets, sink) &&
           hdoc_run(&w->packer, w->form, list->n, build, &job, out, sink);
}

/* ---- the writer -------------------------------------------------------------------------- */

/* What the library's internals are used for, tried on a document of one tagged page: a failure
 * here is a library this was not written for, found before any report is. */
static bool try_internals(struct pdf_writer *w, struct diag_sink *sink)
{
    struct page_list *list = page_list_new();
    struct page *page = page_add(list, 100, 100);
    page_tag_begin(list, page, "P", NULL);
    page_add_text(list, page, 10, 50, FACE_REGULAR, 9, "0", 1);
    page_add_link(list, page, 10, 50, 20, 60, "https://example.org");
    page_tag_end(list, page);
    page_add_bookmark(list, 0, 90, 1, "0");
    struct buf out;
    buf_init(&out, 1 << 20);
    bool ok = pdf_write(w, list, &out, sink);
    if (ok && !pdf_looks_whole(&out)) {
        diag_report(sink, DIAG_PDF_LIBRARY, (struct diag_pos){.file = NULL}, NULL,
                    "a trial document came out wrong");
        ok = false;
    }
    buf_release(&out);
    page_list_free(list);
    return ok;
}

struct pdf_writer *pdf_writer_new(const struct font_set *fonts, const char *producer,
                                  enum pdf_form form, struct diag_sink *sink)
{
    if (!hdoc_library_fits(sink)) {
        return NULL;
    }
    struct pdf_writer *w = mem_alloc(sizeof(*w));
    w->fonts = fonts;
    w->producer = mem_strdup(producer);
    w->form = form;
    w->arena = arena_new();
    buf_init(&w->content, PDF_PART_MAX);
    buf_init(&w->packed, PDF_PART_MAX);
    buf_init(&w->text, PDF_PART_MAX);
    buf_init(&w->catalog, PDF_PART_MAX);
    buf_init(&w->profile, PDF_PART_MAX);
    if (form == PDF_ARCHIVE) {
        properties_prepare(w);
    }
    bool ok = true;
    for (int i = 0; i < FACE_COUNT && ok; i++) {
        w->core[i] = font_subset_new(fonts, i, NULL, 0, sink);
        ok = w->core[i] != NULL;
    }
    if (!ok || !try_internals(w, sink)) {
        pdf_writer_free(w);
        return NULL;
    }
    return w;
}

void pdf_writer_free(struct pdf_writer *w)
{
    if (w == NULL) {
        return;
    }
    for (int i = 0; i < FACE_COUNT; i++) {
        font_subset_free(w->core[i]);
        font_subset_free(w->beyond[i].subset);
        free(w->beyond[i].chars);
    }
    packer_release(&w->packer);
    images_release(&w->images);
    tag_tree_release(&w->tags);
    buf_release(&w->content);
    buf_release(&w->packed);
    buf_release(&w->text);
    buf_release(&w->catalog);
    buf_release(&w->profile);
    arena_free(w->arena);
    free(w->producer);
    free(w);
}

void pdf_tune_memory(void)
{
    mallopt(M_TRIM_THRESHOLD, 64 << 20);
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
}
