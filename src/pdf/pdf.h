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

struct pdf_writer;
/* Prepares fonts; checks the library's version and runs the self-test of its internals. */
struct pdf_writer *pdf_writer_new(const struct font_set *fonts, const char *producer,
                                  struct diag_sink *sink) MUST_CHECK;
void pdf_writer_free(struct pdf_writer *w);
bool pdf_write(struct pdf_writer *w, const struct page_list *list, struct buf *out,
               struct diag_sink *sink) MUST_CHECK;

/* Tells the allocator not to give memory back after each document: two to three times the speed
 * on short ones. For programs that write many; call once, before any threads or workers. */
void pdf_tune_memory(void);

#endif
