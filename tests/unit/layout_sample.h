/* Shared by the tests of layout: a tiny vocabulary, templates written into a private folder, and
 * the pages that come out as words. */
#ifndef ENDFEEL_LAYOUT_SAMPLE_H
#define ENDFEEL_LAYOUT_SAMPLE_H

#include "layout/layout.h"
#include "unit.h"

#include <libxml/tree.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct sample {
    char folder[64];
    struct font_set *fonts;
    struct diag_list diags;
};

/* One for all tests of a program: faces take longer to load than any test. */
static struct sample sample;

/* group(s) of row(s), each with a few attributes; a row may hold a note. */
static const struct layout_vocabulary *sample_vocabulary(const char *root, size_t *n)
{
    static const struct layout_vocabulary entries[] = {
        {"visit", "date kind", "person group"},
        {"person", "name id", ""},
        {"group", "name", "row"},
        {"row", "key value end text date limited", "note"},
        {"note", "code text", ""},
    };
    if (strcmp(root, "visit") != 0)
        return NULL;
    *n = ARRAY_LEN(entries);
    return entries;
}

static inline void sample_write(const char *name, const char *text)
{
    char path[200];
    snprintf(path, sizeof(path), "%s/%s.xml", sample.folder, name);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
}

static inline void sample_start(void)
{
    snprintf(sample.folder, sizeof(sample.folder), "%s", "/tmp/layout-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(sample.folder));
    char parts[100];
    snprintf(parts, sizeof(parts), "%s/parts", sample.folder);
    ck_assert_int_eq(mkdir(parts, 0700), 0);
    diag_list_init(&sample.diags);
    sample.fonts = font_set_load(NULL, &sample.diags.sink);
    ck_assert_ptr_nonnull(sample.fonts);
}

static inline void sample_stop(void)
{
    char command[100];
    snprintf(command, sizeof(command), "rm -r %s", sample.folder);
    ck_assert_int_eq(system(command), 0);
    font_set_free(sample.fonts);
    diag_list_release(&sample.diags);
}

static inline const struct diag *sample_last(void)
{
    return sample.diags.n > 0 ? &sample.diags.items[sample.diags.n - 1] : NULL;
}

/* The template as written, or with `page` in a small sheet around it. */
static inline struct layout_template *sample_load(const char *whole)
{
    diag_list_clear(&sample.diags);
    sample_write("t", whole);
    return layout_template_load(sample.folder, "t", NULL, sample_vocabulary, sample.fonts,
                                NULL, &sample.diags.sink);
}

static inline struct page_list *sample_set(const struct layout_template *t, const char *document)
{
    struct _xmlDoc *doc = xml_parse(document, strlen(document), "document", &sample.diags.sink);
    ck_assert_ptr_nonnull(doc);
    struct page_list *list = layout_render(t, doc, sample.fonts, &sample.diags.sink);
    xmlFreeDoc(doc);
    return list;
}

/* Root-level elements, then the blocks of a page `width` x `height` with margins of 10 pt. */
static inline struct page_list *sample_page(const char *root, const char *blocks, int width,
                                            int height, const char *document)
{
    struct buf b;
    buf_init(&b, 1 << 22);
    buf_addf(&b,
             "<report root='visit'>%s<page width='%dpt' height='%dpt' margins='10pt'>\n%s\n"
             "</page></report>",
             root, width, height, blocks);
    struct layout_template *t = sample_load(buf_text(&b));
    buf_release(&b);
    for (size_t i = 0; t == NULL && i < sample.diags.n; i++)
        diag_print(stderr, &sample.diags.items[i]);
    ck_assert_ptr_nonnull(t);
    struct page_list *list = sample_set(t, document);
    layout_template_free(t);
    return list;
}

/* Without the unseen spaces at its end. */
static inline size_t sample_len(const struct page_text *t)
{
    size_t len = t->len;
    while (len > 0 && t->text[len - 1] == ' ')
        len--;
    return len;
}

/* The texts of a page in order of painting, with "|" between them. */
static inline void sample_words(const struct page_list *list, size_t page, struct buf *out)
{
    buf_clear(out);
    for (size_t i = 0; i < list->pages[page].n; i++) {
        const struct page_item *item = &list->pages[page].items[i];
        if (item->kind != PAGE_TEXT)
            continue;
        if (out->len > 0)
            buf_addc(out, '|');
        buf_add(out, item->u.text.text, sample_len(&item->u.text));
    }
}

/* The item that holds exactly this text; the n-th of them, from 0. */
static inline const struct page_text *sample_find(const struct page_list *list, size_t page,
                                                  const char *text, int n)
{
    for (size_t i = 0; i < list->pages[page].n; i++) {
        const struct page_item *item = &list->pages[page].items[i];
        if (item->kind == PAGE_TEXT && strlen(text) == sample_len(&item->u.text) &&
            memcmp(item->u.text.text, text, strlen(text)) == 0 && n-- == 0)
            return &item->u.text;
    }
    return NULL;
}

static inline double sample_width(const struct page_text *t)
{
    return font_width(sample.fonts, t->face, t->size, t->text, sample_len(t));
}

#endif
