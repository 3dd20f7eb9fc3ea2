/*
 * layout: a template (XML in our own vocabulary of typesetting words, docs/template.md) and a
 * findings document -> a page list. Templates are checked when loaded: every element, attribute,
 * style, part and every name used in an XPath against the vocabulary handed in. Then: bind,
 * measure, place, draw. Every word of a report comes from the template or the data.
 *
 * Failure: a template that does not load is reported with file and line (exit 2); a document
 * whose data does not fit (missing value, missing word, no glyph) is refused with the template's
 * line and the data's path (exit 1). Nothing is clipped, nothing dropped.
 */
#ifndef ENDFEEL_LAYOUT_H
#define ENDFEEL_LAYOUT_H

#include "font/font.h"
#include "page/page.h"

struct layout_vocabulary {  /* same shape as the findings' vocabulary entries */
    const char *element;
    const char *attributes; /* space-separated */
    const char *children;   /* space-separated */
};

struct layout_template;
/* The files of templates as they were when first read, for templates that are loaded together and
 * share most of their parts. */
struct layout_files;
struct layout_files *layout_files_new(void);
void layout_files_free(struct layout_files *files); /* NULL is taken */

/* Loads FOLDER/NAME.xml and the parts it includes from FOLDER/parts/. `locale` names a file of
 * FOLDER/locale/ that says how numbers and dates are written; NULL: the usual one, if it is there.
 * `vocabulary_for` gives the vocabulary of the root the template declares, or NULL when there is no
 * such root. `files` may be NULL. */
struct layout_template *layout_template_load(
    const char *folder, const char *name, const char *locale,
    const struct layout_vocabulary *(*vocabulary_for)(const char *root, size_t *n),
    const struct font_set *fonts, struct layout_files *files, struct diag_sink *sink) MUST_CHECK;
void layout_template_free(struct layout_template *t);
const char *layout_template_root(const struct layout_template *t);
const char *layout_template_digest(const struct layout_template *t);
/* Where images are looked for whose names come from the data; until set, and for names that stand
 * in the template, the template's own folder. */
void layout_template_set_image_folder(struct layout_template *t, const char *folder);

/* NULL after reporting when the document cannot be set from this data. The list borrows images of
 * the template: free it before the template renders again. */
struct page_list *layout_render(const struct layout_template *t, struct _xmlDoc *document,
                                const struct font_set *fonts, struct diag_sink *sink) MUST_CHECK;

#endif
