/*
 * One print file of many documents: fonts once, pages as their own documents drew them, a bookmark
 * a document. Pages are drawn and packed where they are made, which may be another process, and
 * joined in the order wanted. Untagged: it is made for paper.
 */
#include "pdf/pdf_int.h"

#include <stdlib.h>
#include <string.h>

struct drawn_page {
    double width, height;
    const char *packed;
    size_t len;
};

struct drawn_start {
    const char *title;
    size_t page;
};

struct pdf_bundle {
    struct pdf_writer *w;
    struct arena *arena;
    struct drawn_page *pages;
    size_t n_pages, cap_pages;
    struct drawn_start *starts;
    size_t n_starts, cap_starts;
    struct usage usage; /* of all together; extra characters in the heap */
    struct packed_images images;
};

/* ---- drawn pages as bytes ------------------------------------------------------------------- */

_Static_assert(sizeof(size_t) >= sizeof(uint64_t), "a digest passes as a size");

/* Both ends are one program, so numbers are the machine's own. */
static void put_size(struct buf *out, size_t n)
{
    buf_add(out, &n, sizeof(n));
}

bool pdf_draw(struct pdf_writer *w, const struct page_list *list, struct buf *out,
              struct diag_sink *sink)
{
    struct usage usage;
    arena_clear(w->arena);
    if (!pdf_check(w->fonts, list, w->arena, &usage, sink)) {
        return false;
    }
    for (int i = 0; i < FACE_COUNT; i++) {
        put_size(out, usage.face_used[i]);
        put_size(out, usage.face_wide[i]);
        put_size(out, usage.extra[i].n);
        buf_add(out, usage.extra[i].chars, usage.extra[i].n * sizeof(*usage.extra[i].chars));
    }
    const uint64_t *digests = writer_images(w, &usage);
    put_size(out, usage.n_images);
    for (size_t i = 0; i < usage.n_images; i++) {
        const struct packed_image *image = images_find(&w->images, digests[i]);
        put_size(out, image->digest);
        put_size(out, image->width);
        put_size(out, image->height);
        put_size(out, image->colour);
        put_size(out, image->jpeg);
        put_size(out, image->len);
        buf_add(out, image->bytes, image->len);
    }
    put_size(out, list->n);
    for (size_t i = 0; i < list->n; i++) {
        const struct page *page = &list->pages[i];
        buf_clear(&w->content);
        content_write(w->fonts, page, i, 0, NULL, NULL, &w->content);
        buf_clear(&w->packed);
        packer_add(&w->packer, w->content.data, w->content.len, &w->packed);
        buf_add(out, &page->width, sizeof(page->width));
        buf_add(out, &page->height, sizeof(page->height));
        put_size(out, w->packed.len);
        buf_add(out, w->packed.data, w->packed.len);
    }
    return true;
}

struct reader {
    const char *at, *end;
};

static void take(struct reader *r, void *to, size_t len)
{
    if ((size_t)(r->end - r->at) < len) {
        abort();
    }
    memcpy(to, r->at, len);
    r->at += len;
}

static size_t take_size(struct reader *r)
{
    size_t n;
    take(r, &n, sizeof(n));
    return n;
}

/* ---- a bundle ------------------------------------------------------------------------------- */

struct pdf_bundle *pdf_bundle_new(struct pdf_writer *w)
{
    struct pdf_bundle *b = mem_alloc(sizeof(*b));
    b->w = w;
    b->arena = arena_new();
    return b;
}

void pdf_bundle_free(struct pdf_bundle *b)
{
    if (b == NULL) {
        return;
    }
    for (int i = 0; i < FACE_COUNT; i++) {
        free(b->usage.extra[i].chars);
    }
    images_release(&b->images);
    free(b->pages);
    free(b->starts);
    arena_free(b->arena);
    free(b);
}

size_t pdf_bundle_pages(const struct pdf_bundle *b)
{
    return b->n_pages;
}

/* Keeps the characters ascending, each once. */
static void add_extra(struct extra *x, int32_t c)
{
    size_t at = x->n;
    while (at > 0 && x->chars[at - 1] > c) {
        at--;
    }
    if (at > 0 && x->chars[at - 1] == c) {
        return;
    }
    if (x->n == x->cap) {
        x->cap = x->cap == 0 ? 32 : x->cap * 2;
        x->chars = mem_resize(x->chars, x->cap * sizeof(*x->chars));
    }
    memmove(x->chars + at + 1, x->chars + at, (x->n - at) * sizeof(*x->chars));
    x->chars[at] = c;
    x->n++;
}

static void take_usage(struct pdf_bundle *b, struct reader *r)
{
    for (int i = 0; i < FACE_COUNT; i++) {
        b->usage.face_used[i] |= take_size(r) != 0;
        b->usage.face_wide[i] |= take_size(r) != 0;
        for (size_t n = take_size(r); n > 0; n--) {
            int32_t c;
            take(r, &c, sizeof(c));
            add_extra(&b->usage.extra[i], c);
        }
    }
}

/* The same logo comes with every document and is kept once. */
static void take_image(struct pdf_bundle *b, struct reader *r)
{
    struct packed_image image = {.digest = take_size(r)};
    image.width = (unsigned)take_size(r);
    image.height = (unsigned)take_size(r);
    image.colour = take_size(r) != 0;
    image.jpeg = take_size(r) != 0;
    image.len = take_size(r);
    image.bytes = r->at;
    if ((size_t)(r->end - r->at) < image.len) {
        abort();
    }
    r->at += image.len;
    if (images_find(&b->images, image.digest) == NULL) {
        images_add(&b->images, image);
    }
}

static void take_page(struct pdf_bundle *b, struct reader *r)
{
    if (b->n_pages == b->cap_pages) {
        b->cap_pages = b->cap_pages == 0 ? 256 : b->cap_pages * 2;
        b->pages = mem_resize(b->pages, b->cap_pages * sizeof(*b->pages));
    }
    struct drawn_page *page = &b->pages[b->n_pages++];
    take(r, &page->width, sizeof(page->width));
    take(r, &page->height, sizeof(page->height));
    page->len = take_size(r);
    char *packed = arena_alloc(b->arena, page->len + 1);
    take(r, packed, page->len);
    page->packed = packed;
}

void pdf_bundle_add(struct pdf_bundle *b, const char *drawn, size_t len, const char *title)
{
    struct reader r = {drawn, drawn + len};
    if (b->n_starts == b->cap_starts) {
        b->cap_starts = b->cap_starts == 0 ? 64 : b->cap_starts * 2;
        b->starts = mem_resize(b->starts, b->cap_starts * sizeof(*b->starts));
    }
    b->starts[b->n_starts++] =
        (struct drawn_start){arena_strdup(b->arena, title), b->n_pages};
    take_usage(b, &r);
    for (size_t n = take_size(&r); n > 0; n--) {
        take_image(b, &r);
    }
    for (size_t n = take_size(&r); n > 0; n--) {
        take_page(b, &r);
    }
}

/* ---- the file ------------------------------------------------------------------------------- */

struct job {
    struct pdf_bundle *b;
    const struct font_subset *subsets[FACE_COUNT];
    uint64_t *images; /* digests */
};

static void build(struct hdoc *h, void *user)
{
    struct job *j = user;
    struct pdf_bundle *b = j->b;
    struct buf *text = &b->w->text;
    unsigned fonts = writer_add_fonts(b->w, h, &b->usage, j->subsets);
    unsigned images = images_write(h, &b->images, j->images, b->images.n, text);
    for (size_t i = 0; i < b->n_pages; i++) {
        const struct drawn_page *drawn = &b->pages[i];
        struct page page = {.width = drawn->width, .height = drawn->height};
        hdoc_page(h, &page, fonts, images, false, 0);
        hdoc_page_content(h, i, drawn->packed, drawn->len);
    }
    struct page_bookmark *marks = arena_alloc(b->arena, (b->n_starts + 1) * sizeof(*marks));
    for (size_t i = 0; i < b->n_starts; i++) {
        const struct drawn_start *start = &b->starts[i];
        marks[i] = (struct page_bookmark){.title = start->title, .level = 1, .page = start->page,
                                          .y = b->pages[start->page].height};
    }
    struct buf *catalog = &b->w->catalog;
    buf_clear(catalog);
    properties_write(b->w, h, &(struct properties){.title = NULL}, catalog);
    buf_addf(catalog, "/PageMode/UseOutlines/Outlines %u 0 R",
             outline_write(h, b->arena, marks, b->n_starts, text));
    hdoc_catalog(h, buf_text(catalog));
}

bool pdf_bundle_write(struct pdf_bundle *b, struct buf *out, struct diag_sink *sink)
{
    struct job job = {.b = b};
    buf_clear(out);
    if (b->n_pages == 0 || b->n_pages > PDF_PAGES_MAX) {
        diag_report(sink, DIAG_PDF_LIMIT, (struct diag_pos){.file = NULL}, NULL,
                    "%zu pages, not 1 to %d", b->n_pages, (int)PDF_PAGES_MAX);
        return false;
    }
    job.images = arena_alloc(b->arena, (b->images.n + 1) * sizeof(*job.images));
    for (size_t i = 0; i < b->images.n; i++) {
        job.images[i] = b->images.items[i].digest;
    }
    return writer_subsets(b->w, &b->usage, job.subsets, sink) &&
           hdoc_run(&b->w->packer, b->w->form, b->n_pages, build, &job, out, sink);
}
