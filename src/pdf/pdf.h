/*
 * pdf: page list -> PDF bytes. The only place that knows libharu (and its internals) and libqpdf.
 * Faces are cut and compressed once a run; a document whose characters go beyond the core gets a
 * subset of its own. Same page list, same bytes: no clock, no random id.
 *
 * A missing glyph, NaN, a coordinate out of range or any libharu error refuses the document with
 * a diagnostic; no partial output.
 */
#ifndef ENDFEEL_PDF_H
#define ENDFEEL_PDF_H

#include "font/font.h"
#include "page/page.h"

enum { PDF_PAGES_MAX = 20000 }; /* of one document */

enum pdf_form {
    PDF_USUAL,  /* PDF 1.7 */
    PDF_ARCHIVE /* PDF/A-1b: PDF 1.4, nothing packed that need not be; larger */
};

struct pdf_writer;
/* Prepares fonts; checks the library's version and runs the self-test of its internals. */
struct pdf_writer *pdf_writer_new(const struct font_set *fonts, const char *producer,
                                  enum pdf_form form, struct diag_sink *sink) MUST_CHECK;
void pdf_writer_free(struct pdf_writer *w);
bool pdf_write(struct pdf_writer *w, const struct page_list *list, struct buf *out,
               struct diag_sink *sink) MUST_CHECK;

/* An XML file inside a document, which is what the document was made from. */
struct pdf_attachment {
    const char *name, *description; /* UTF-8 */
    const void *bytes;
    size_t len;
};
/* As pdf_write(), with `file` inside. Archives take none: that is a bug of the caller. */
bool pdf_write_with(struct pdf_writer *w, const struct page_list *list,
                    const struct pdf_attachment *file, struct buf *out,
                    struct diag_sink *sink) MUST_CHECK;

/* ---- one print file of many documents ------------------------------------------------------ */

/* Draws a document's pages without tags and links, as bytes to be joined with others: appends. */
bool pdf_draw(struct pdf_writer *w, const struct page_list *list, struct buf *out,
              struct diag_sink *sink) MUST_CHECK;
/* Drawn documents one after the other with a bookmark each. Holds the packed pages: some 10 KB a
 * report. */
struct pdf_bundle;
struct pdf_bundle *pdf_bundle_new(struct pdf_writer *w);
void pdf_bundle_free(struct pdf_bundle *b);
/* `drawn` is what pdf_draw() gave, `title` UTF-8; both are copied. */
void pdf_bundle_add(struct pdf_bundle *b, const char *drawn, size_t len, const char *title);
size_t pdf_bundle_pages(const struct pdf_bundle *b);
bool pdf_bundle_write(struct pdf_bundle *b, struct buf *out, struct diag_sink *sink) MUST_CHECK;

/* ---- passwords ------------------------------------------------------------------------------ */

enum { PDF_PASSWORD_MAX = 127 }; /* bytes that the format takes */
/* Loads the library for it, which only then takes its time; once, before any workers. */
bool pdf_can_protect(struct diag_sink *sink) MUST_CHECK;
/* Puts the document under a password, AES-256; everything is allowed to who has it. The bytes
 * differ from run to run. */
bool pdf_protect(const char *password, struct buf *pdf, struct diag_sink *sink) MUST_CHECK;
/* Whether a document is under this very password. */
bool pdf_is_protected_by(const char *password, const struct buf *pdf);

/* Tells the allocator not to give memory back after each document: two to three times the speed
 * on short ones. For programs that write many; call once, before any threads or workers. */
void pdf_tune_memory(void);

#endif
