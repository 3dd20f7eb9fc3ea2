/*
 * libharu. Its documents, pages and links are used as they are; its streams and its way
 * of saving are not: the first compress every time what is compressed once here, the second
 * (hpdf_save.c) writes a cross-reference table of the oldest kind, which for a tagged document
 * is as large as the document. Both ways round need the library's installed internal headers,
 * so its version is checked, and pdf_writer_new() tries the whole on a small document.
 *
 * Errors: the library's handler and every failed call jump to hdoc_run(), the one place that
 * reports and frees. Memory: the library's allocations go through base, which never fails.
 */
#include "pdf/pdf_int.h"
#include "pdf/hpdf_int.h"

#include <hpdf_annotation.h>
#include <hpdf_pages.h>

#include <assert.h>
#include <stdlib.h>
#include <string.h>

_Static_assert(HPDF_VERSION_ID >= 20300 && HPDF_VERSION_ID < 20500,
               "libharu from 2.3.0 and before 2.5 is needed");

/* ---- errors ------------------------------------------------------------------------------ */

void hdoc_fail(struct hdoc *h, HPDF_STATUS error)
{
    if (h->error == HPDF_OK) {
        h->error = error == HPDF_OK ? HPDF_INVALID_OBJECT : error;
    }
    longjmp(h->failed, 1);
}

void hdoc_too_large(struct hdoc *h, const char *why)
{
    h->too_large = why;
    hdoc_fail(h, HPDF_INVALID_OBJECT);
}

static void on_error(HPDF_STATUS error, HPDF_STATUS detail, void *user)
{
    struct hdoc *h = user;
    h->detail = detail;
    hdoc_fail(h, error);
}

/* Inner functions of the library return their failure without calling the handler. */
void hdoc_must(struct hdoc *h, HPDF_STATUS status)
{
    if (status != HPDF_OK) {
        hdoc_fail(h, status);
    }
}

static void *need(struct hdoc *h, void *made)
{
    if (made == NULL) {
        hdoc_fail(h, HPDF_GetError(h->pdf));
    }
    return made;
}

/* ---- numbers and text strings ------------------------------------------------------------ */

void pdf_put_reference(struct buf *out, unsigned object)
{
    buf_take(out, pdf_reference(buf_room(out, PDF_REFERENCE_MOST), object));
}

static void put_hex4(struct buf *out, unsigned value)
{
    static const char digits[] = "0123456789ABCDEF";
    char text[4];
    for (int i = 3; i >= 0; i--, value >>= 4) {
        text[i] = digits[value & 0xFU];
    }
    buf_add(out, text, sizeof(text));
}

static void put_utf16(struct buf *out, int32_t c)
{
    if (c < 0x10000) {
        put_hex4(out, (unsigned)c);
    } else {
        unsigned rest = (unsigned)c - 0x10000U;
        put_hex4(out, 0xD800U + (rest >> 10));
        put_hex4(out, 0xDC00U + (rest & 0x3FFU));
    }
}

void pdf_text_string(struct buf *out, const char *text)
{
    bool plain = true;
    for (const char *p = text; *p != '\0'; p++) {
        plain = plain && *p >= ' ' && *p <= '~';
    }
    if (plain) {
        buf_addc(out, '(');
        for (const char *p = text; *p != '\0'; p++) {
            if (*p == '(' || *p == ')' || *p == '\\') {
                buf_addc(out, '\\');
            }
            buf_addc(out, *p);
        }
        buf_addc(out, ')');
        return;
    }
    buf_adds(out, "<FEFF");
    const char *end = text + strlen(text);
    while (text < end) {
        int32_t c = utf8_next(&text, end);
        put_utf16(out, c == UTF8_BAD ? 0xFFFD : c);
    }
    buf_addc(out, '>');
}

/* ---- objects of our own text ------------------------------------------------------------- */

static unsigned number_of(HPDF_Dict dict)
{
    return dict->header.obj_id & HPDF_OBJECT_NUMBER;
}

/* The library calls this after a dictionary's own entries. */
static HPDF_STATUS write_entries(HPDF_Dict dict, HPDF_Stream stream)
{
    const struct raw *raw = dict->attr;
    HPDF_STATUS status = HPDF_Stream_WriteStr(stream, raw->entries);
    if (status == HPDF_OK && raw->bytes != NULL) {
        char length[64];
        snprintf(length, sizeof(length), "/Length %zu%s%s", raw->len,
                 raw->filter != NULL ? "/Filter/" : "", raw->filter != NULL ? raw->filter : "");
        status = HPDF_Stream_WriteStr(stream, length);
    }
    return status;
}

/* And this once the dictionary is closed; streams are written to `out` only. */
static HPDF_STATUS write_stream(HPDF_Dict dict)
{
    const struct raw *raw = dict->attr;
    HPDF_Stream stream = raw->h->to_out;
    HPDF_STATUS status = HPDF_Stream_WriteStr(stream, "\nstream\n");
    if (status == HPDF_OK) {
        status = HPDF_Stream_Write(stream, raw->bytes, (HPDF_UINT)raw->len);
    }
    return status == HPDF_OK ? HPDF_Stream_WriteStr(stream, "\nendstream") : status;
}

bool hdoc_is_stream(const struct hdoc *h, const void *object)
{
    (void)h;
    const HPDF_Obj_Header *header = object;
    return (header->obj_class & HPDF_OCLASS_ANY) == HPDF_OCLASS_DICT &&
           ((const HPDF_Dict_Rec *)object)->after_write_fn == write_stream;
}

static void make_raw(struct hdoc *h, HPDF_Dict dict, const char *entries, const void *bytes,
                     size_t len)
{
    struct raw *raw = arena_alloc(h->arena, sizeof(*raw));
    *raw = (struct raw){h, arena_strdup(h->arena, entries), bytes, len, "FlateDecode"};
    dict->attr = raw;
    dict->write_fn = write_entries;
    dict->after_write_fn = bytes == NULL ? NULL : write_stream;
}

unsigned hdoc_stream_as(struct hdoc *h, const char *entries, const void *bytes, size_t len,
                        const char *filter)
{
    assert(h->first_tail == 0);
    HPDF_Dict dict = need(h, HPDF_Dict_New(h->pdf->mmgr));
    hdoc_must(h, HPDF_Xref_Add(h->pdf->xref, dict));
    make_raw(h, dict, entries, bytes, len);
    ((struct raw *)dict->attr)->filter = filter;
    return number_of(dict);
}

unsigned hdoc_stream(struct hdoc *h, const char *entries, const void *bytes, size_t len)
{
    return hdoc_stream_as(h, entries, bytes, len, "FlateDecode");
}

unsigned hdoc_object(struct hdoc *h, const char *entries)
{
    return hdoc_stream(h, entries, NULL, 0);
}

void hdoc_info(struct hdoc *h, const char *entries)
{
    HPDF_Dict info = need(h, h->pdf->info);
    hdoc_must(h, HPDF_Dict_RemoveElement(info, "Producer"));
    make_raw(h, info, entries, NULL, 0);
}

void hdoc_catalog(struct hdoc *h, const char *entries)
{
    make_raw(h, need(h, h->pdf->catalog), entries, NULL, 0);
}

unsigned hdoc_next_tail(struct hdoc *h)
{
    if (h->first_tail == 0) {
        h->first_tail = h->pdf->xref->entries->count;
    }
    return h->first_tail + (unsigned)h->n_tail;
}

void hdoc_tail(struct hdoc *h, const char *text, size_t len)
{
    assert(h->first_tail != 0);
    if (h->n_tail == h->cap_tail) {
        h->cap_tail = h->cap_tail == 0 ? 512 : h->cap_tail * 2;
        h->tail_ends = mem_resize(h->tail_ends, h->cap_tail * sizeof(*h->tail_ends));
    }
    buf_add(&h->tail, text, len);
    h->tail_ends[h->n_tail++] = h->tail.len;
}

/* ---- pages, links ------------------------------------------------------------- */

static HPDF_Page page_at(struct hdoc *h, size_t index)
{
    return need(h, HPDF_GetPageByIndex(h->pdf, (HPDF_UINT)index));
}

unsigned hdoc_page(struct hdoc *h, const struct page *page, unsigned fonts, unsigned images,
                   bool tagged, unsigned key)
{
    HPDF_Page p = need(h, HPDF_AddPage(h->pdf));
    hdoc_must(h, HPDF_Page_SetWidth(p, (HPDF_REAL)page->width));
    hdoc_must(h, HPDF_Page_SetHeight(p, (HPDF_REAL)page->height));
    HPDF_Dict resources = need(h, HPDF_Dict_New(h->pdf->mmgr));
    char entries[80], named[40] = "";
    if (images != 0) {
        snprintf(named, sizeof(named), "/XObject %u 0 R", images);
    }
    snprintf(entries, sizeof(entries), "/Font %u 0 R%s", fonts, named);
    make_raw(h, resources, entries, NULL, 0);
    hdoc_must(h, HPDF_Dict_Add(p, "Resources", resources));
    if (tagged) {
        hdoc_must(h, HPDF_Dict_AddNumber(p, "StructParents", (HPDF_INT32)key));
        if (h->form == PDF_USUAL) { /* the key is younger than PDF 1.4 */
            hdoc_must(h, HPDF_Dict_AddName(p, "Tabs", "S"));
        }
    }
    return number_of(p);
}

/* Puts our packed bytes in the place of the library's own stream. */
void hdoc_page_content(struct hdoc *h, size_t page, const void *packed, size_t len)
{
    HPDF_PageAttr attr = page_at(h, page)->attr;
    HPDF_Dict contents = attr->contents;
    HPDF_Stream_Free(contents->stream);
    contents->stream = NULL;
    attr->stream = NULL;
    hdoc_must(h, HPDF_Dict_RemoveElement(contents, "Length"));
    make_raw(h, contents, "", packed, len);
}

unsigned hdoc_link(struct hdoc *h, size_t page, const struct page_link *link, bool tagged,
                   unsigned key)
{
    enum { PRINT = 4 };
    HPDF_Rect box = {(HPDF_REAL)link->x0, (HPDF_REAL)link->y0, (HPDF_REAL)link->x1,
                     (HPDF_REAL)link->y1};
    HPDF_Annotation a =
        need(h, HPDF_Page_CreateURILinkAnnot(page_at(h, page), box, link->target));
    if (link->target[0] == '#') { /* by name: the page it stands on may not be there yet */
        hdoc_must(h, HPDF_Dict_RemoveElement(a, "A"));
        hdoc_must(h, HPDF_Dict_AddName(a, "Dest", link->target + 1));
    }
    hdoc_must(h, HPDF_LinkAnnot_SetBorderStyle(a, 0, 0, 0));
    hdoc_must(h, HPDF_Dict_AddNumber(a, "F", PRINT));
    if (tagged) {
        hdoc_must(h, HPDF_Dict_AddNumber(a, "StructParent", (HPDF_INT32)key));
    }
    return number_of(a);
}

unsigned hdoc_page_object(struct hdoc *h, size_t page)
{
    return number_of(page_at(h, page));
}

/* ---- a document from start to end -------------------------------------------------------- */

static void *take_memory(HPDF_UINT size)
{
    return mem_alloc(size);
}

static void give_memory(void *p)
{
    free(p);
}

static HPDF_STATUS take(struct hdoc *h, struct buf *to, const HPDF_BYTE *bytes, HPDF_UINT len)
{
    if (len > to->max - to->len) {
        h->too_large = "too many bytes";
        return HPDF_FILE_IO_ERROR;
    }
    buf_add(to, bytes, len);
    return HPDF_OK;
}

static HPDF_STATUS take_out(HPDF_Stream stream, const HPDF_BYTE *bytes, HPDF_UINT len)
{
    struct hdoc *h = stream->attr;
    return take(h, h->out, bytes, len);
}

static HPDF_STATUS take_text(HPDF_Stream stream, const HPDF_BYTE *bytes, HPDF_UINT len)
{
    struct hdoc *h = stream->attr;
    return take(h, &h->text, bytes, len);
}

static void open_document(struct hdoc *h, size_t n_pages)
{
    enum { PAGES_IN_NODE = 1000 }; /* the library fails at page 32,768 of one node */
    h->to_out = need(h, HPDF_CallbackWriter_New(h->pdf->mmgr, take_out, h));
    h->to_text = need(h, HPDF_CallbackWriter_New(h->pdf->mmgr, take_text, h));
    if (n_pages > PAGES_IN_NODE) {
        hdoc_must(h, HPDF_SetPagesConfiguration(h->pdf, PAGES_IN_NODE));
    }
}

static void close_document(struct hdoc *h)
{
    HPDF_Stream_Free(h->to_out);
    HPDF_Stream_Free(h->to_text);
    HPDF_Free(h->pdf);
    arena_free(h->arena);
    buf_release(&h->text);
    buf_release(&h->tail);
    buf_release(&h->head);
    buf_release(&h->packed);
    free(h->tail_ends);
}

static void report(const struct hdoc *h, struct diag_sink *sink)
{
    struct diag_pos nowhere = {.file = NULL};
    if (h->too_large != NULL) {
        diag_report(sink, DIAG_PDF_LIMIT, nowhere, NULL, "%s", h->too_large);
    } else {
        diag_report(sink, DIAG_PDF_REFUSED, nowhere, NULL, "code %04lX, %lu",
                    (unsigned long)h->error, (unsigned long)h->detail);
    }
}

bool hdoc_run(struct packer *packer, enum pdf_form form, size_t n_pages,
              void (*build)(struct hdoc *h, void *user), void *user, struct buf *out,
              struct diag_sink *sink)
{
    struct hdoc *h = mem_alloc(sizeof(*h)); /* in the heap: nothing here changes after setjmp */
    h->out = out;
    h->packer = packer;
    h->form = form;
    h->arena = arena_new();
    buf_init(&h->text, PDF_PART_MAX);
    buf_init(&h->tail, PDF_PART_MAX);
    buf_init(&h->head, PDF_PART_MAX);
    buf_init(&h->packed, PDF_PART_MAX);
    buf_clear(out);
    h->pdf = HPDF_NewEx(on_error, take_memory, give_memory, 0, h);
    bool ok = false;
    if (h->pdf != NULL && setjmp(h->failed) == 0) {
        open_document(h, n_pages);
        build(h, user);
        hdoc_save(h);
        ok = true;
    }
    if (!ok) {
        buf_clear(out);
        report(h, sink);
    }
    close_document(h);
    free(h);
    return ok;
}

bool hdoc_library_fits(struct diag_sink *sink)
{
    const char *version = HPDF_GetVersion();
    const char *built = HPDF_VERSION_TEXT;
    int major = 0, minor = 0;
    bool readable = sscanf(version, "%d.%d", &major, &minor) == 2;
    /* The structures in the headers are those of the version built against. */
    if (!readable || major != HPDF_MAJOR_VERSION || minor != HPDF_MINOR_VERSION) {
        diag_report(sink, DIAG_PDF_LIBRARY, (struct diag_pos){.file = NULL}, NULL,
                    "version %s found, built for %s", version, built);
        return false;
    }
    return true;
}
