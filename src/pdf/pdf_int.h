/* Shared inside pdf: the steps from a page list to bytes. */
#ifndef ENDFEEL_PDF_INT_H
#define ENDFEEL_PDF_INT_H

#include "pdf/pdf.h"

#include <string.h>

enum {
    PDF_PART_MAX = 64 << 20, /* bytes of any part of a document held while it is made */
    PDF_SIDE_MIN = 3,        /* pt, the least side of a page that libharu takes */
    PDF_SOFT_HYPHEN = 0xAD,
    PDF_ARCHIVE_LIST_MAX = 8191, /* entries of an array, by PDF 1.4, appendix C */
    PDF_DEFLATE_LEVEL = 1 /* of libdeflate: a third of the time of 6 for 16 % more bytes of pages */
};

struct hdoc;

/* ---- digits.c: numbers and words written in place ----------------------------------------- */

enum { PDF_DIGITS_MOST = 10, PDF_REFERENCE_MOST = PDF_DIGITS_MOST + 4 };
extern const char pdf_pairs[]; /* 00 01 ... 99 */
char *pdf_long_digits(char *to, unsigned n); /* of 1000 and more */

/* Each writes at `to` and returns the end; half of a document is numbers. */
static inline char *pdf_digits(char *to, unsigned n)
{
    if (n >= 1000) {
        return pdf_long_digits(to, n);
    }
    if (n < 10) {
        *to = (char)('0' + n);
        return to + 1;
    }
    if (n >= 100) {
        *to++ = (char)('0' + n / 100);
        n %= 100;
    }
    memcpy(to, pdf_pairs + (size_t)2 * n, 2);
    return to + 2;
}

static inline char *pdf_word(char *to, const char *word)
{
    size_t len = strlen(word); /* of a constant: none of this is called */
    memcpy(to, word, len);
    return to + len;
}

static inline char *pdf_reference(char *to, unsigned object) /* "n 0 R" */
{
    return pdf_word(pdf_digits(to, object), " 0 R");
}

/* ---- deflate.c: one compressor kept for all documents ------------------------------------ */

struct packer {
    struct libdeflate_compressor *compressor; /* NULL: not made yet */
    char *room;                               /* for what comes out */
    size_t size;
};
void packer_release(struct packer *p);
void packer_add(struct packer *p, const void *bytes, size_t len, struct buf *out); /* appends */

/* ---- check.c: what must hold before anything is written ---------------------------------- */

/* Characters beyond the core that one face sets in a document, ascending. */
struct extra {
    int32_t *chars; /* arena */
    size_t n, cap;
};
struct usage {
    bool face_used[FACE_COUNT]; /* for characters that have a code of one byte */
    bool face_wide[FACE_COUNT]; /* for others, by glyph id */
    struct extra extra[FACE_COUNT];
    const struct image **images; /* arena; each once */
    size_t n_images, cap_images;
    bool tagged;
};
/* Refuses the list after reporting: numbers, glyphs, tags, size. Fills `usage`. */
bool pdf_check(const struct font_set *fonts, const struct page_list *list, struct arena *a,
               struct usage *usage, struct diag_sink *sink) MUST_CHECK;

/* ---- tags.c: the structure tree ----------------------------------------------------------- */

struct tag_kid {
    enum tag_kid_kind { KID_ELEMENT, KID_CONTENT, KID_LINK } kind;
    unsigned value; /* element index, marked-content id, or object number of the link */
    size_t next;    /* index + 1 of the next kid of the same element; 0 = last */
};
struct tag_element {
    const char *role, *alt;
    size_t parent;              /* index; the document is its own */
    unsigned page_object;       /* where it was opened; all its content is there */
    size_t first_kid, last_kid; /* index + 1; 0 = none */
};
struct tag_key {                /* one entry of the parent tree */
    size_t first, n;            /* in owners */
    bool is_page;               /* an array by content id; else one link */
};
struct tag_tree {
    struct tag_element *elements; /* element 0 is the document */
    size_t n_elements, cap_elements;
    struct tag_kid *kids;
    size_t n_kids, cap_kids;
    size_t *owners;               /* the element of each marked content and link, in order */
    size_t n_owners, cap_owners;
    struct tag_key *keys;
    size_t n_keys, cap_keys;
    size_t page_key;              /* of the page begun last */
};
bool tag_role_is_known(const char *role);
void tag_tree_clear(struct tag_tree *t); /* leaves the document element */
void tag_tree_release(struct tag_tree *t);
size_t tag_tree_add(struct tag_tree *t, size_t parent, const char *role, const char *alt,
                    unsigned page_object);
unsigned tag_tree_begin_page(struct tag_tree *t); /* the page's key in the parent tree */
/* The id of a new piece of marked content on the page begun last. */
unsigned tag_tree_content(struct tag_tree *t, size_t element);
/* Takes the next key of the parent tree for a link. */
void tag_tree_link(struct tag_tree *t, size_t element, unsigned link_object);

/* Adds the tree's objects; returns the object number of its root. */
unsigned tag_tree_write(const struct tag_tree *t, struct hdoc *h);
/* The most entries that one list of the tree will have. */
size_t tag_tree_longest_list(const struct tag_tree *t);

/* ---- images.c ----------------------------------------------------------------------------- */

/* An image as it goes into a file. On a page it is called /I and its digest, so that pages drawn
 * apart can be joined. */
struct packed_image {
    uint64_t digest;
    unsigned width, height;
    bool colour, jpeg;
    const char *bytes;
    size_t len;
};
struct packed_images {
    struct packed_image *items;
    size_t n, cap;
    size_t bytes;
};
/* Kept for the next document: a logo is packed once a run. Good until images_trim(). */
const struct packed_image *images_pack(struct packed_images *store, struct packer *packer,
                                       const struct image *image);
void images_add(struct packed_images *store, struct packed_image image); /* the bytes are copied */
const struct packed_image *images_find(const struct packed_images *store, uint64_t digest);
void images_trim(struct packed_images *store); /* forgets all when they have become many */
void images_release(struct packed_images *store);
void images_put_name(struct buf *out, uint64_t digest);
/* Adds those of a list of digests; the number of the dictionary that names them, 0: none. `text`
 * is emptied and used. */
unsigned images_write(struct hdoc *h, const struct packed_images *store, const uint64_t *digests,
                      size_t n, struct buf *text);

/* ---- writer.c: what is prepared once a run ------------------------------------------------ */

/* A subset made for characters beyond the core, kept for the next document that needs the same:
 * in one clinic the same names come back. */
struct beyond {
    struct font_subset *subset;
    int32_t *chars;
    size_t n;
};

struct pdf_writer {
    const struct font_set *fonts;
    char *producer;
    enum pdf_form form;
    struct font_subset *core[FACE_COUNT];
    struct beyond beyond[FACE_COUNT];
    struct packer packer;
    struct packed_images images;
    struct tag_tree tags;
    struct buf content, packed, text, catalog;
    struct buf profile; /* of an archive's colours, packed */
    struct arena *arena; /* of the document in hand */
};

/* The subsets a document needs, one a face that it uses. */
bool writer_subsets(struct pdf_writer *w, const struct usage *usage,
                    const struct font_subset *subsets[FACE_COUNT],
                    struct diag_sink *sink) MUST_CHECK;
/* Adds them; the number of the dictionary that names them. */
unsigned writer_add_fonts(struct pdf_writer *w, struct hdoc *h, const struct usage *usage,
                          const struct font_subset *const subsets[FACE_COUNT]);
/* Packs the images a document needs; their digests, in its arena. */
const uint64_t *writer_images(struct pdf_writer *w, const struct usage *usage);

/* ---- properties.c, attach.c ---------------------------------------------------------------- */

struct properties { /* each may be NULL */
    const char *title, *author, *subject, *producer, *language;
    const char *date; /* ISO */
};
void properties_prepare(struct pdf_writer *w); /* once, of a writer of archives */
/* Writes the information dictionary, and what the form asks for; entries of the catalog are
 * added. The producer is the writer's. Uses w->text. */
void properties_write(struct pdf_writer *w, struct hdoc *h, const struct properties *p,
                      struct buf *catalog);
/* `date` as in the properties. Uses w->text. */
void attachment_write(struct pdf_writer *w, struct hdoc *h, const struct pdf_attachment *file,
                      const char *date, struct buf *catalog);

/* ---- outline.c ----------------------------------------------------------------------------- */

/* Adds the bookmarks, at least one; the object number of their root. `text` is emptied and used. */
unsigned outline_write(struct hdoc *h, struct arena *a, const struct page_bookmark *given,
                       size_t n, struct buf *text);

/* ---- content.c: one page as a content stream --------------------------------------------- */

/* Fonts are called /F0 ... /F3 after their face, and /G0 ... /G3 by glyph id. Adds the page's
 * links on the way. tags NULL: not tagged; h NULL: without links. */
void content_write(const struct font_set *fonts, const struct page *page, size_t index,
                   unsigned page_object, struct hdoc *h, struct tag_tree *tags, struct buf *out);

/* ---- hpdf_wrap.c: libharu ---------------------------------------------------------------- */

/* Runs `build` on a new document and writes it to `out`, emptied first. Any failure of the
 * library lands here: reported, everything freed, `out` empty, false. */
bool hdoc_run(struct packer *packer, enum pdf_form form, size_t n_pages,
              void (*build)(struct hdoc *h, void *user), void *user, struct buf *out,
              struct diag_sink *sink) MUST_CHECK;
/* Checks that the library is the one this was built for. */
bool hdoc_library_fits(struct diag_sink *sink) MUST_CHECK;

/* Does every object that a finished file's cross-reference speaks of start where it says? */
/* Ends the document that is being built: it is larger than some limit. `why` is not copied. */
_Noreturn void hdoc_too_large(struct hdoc *h, const char *why);

bool pdf_looks_whole(const struct buf *out);

/* Each adds an object and returns its number. `entries` is the inside of a dictionary, copied;
 * `bytes` are already packed and borrowed until the end. */
unsigned hdoc_object(struct hdoc *h, const char *entries);
unsigned hdoc_stream(struct hdoc *h, const char *entries, const void *bytes, size_t len);
/* As it is, with `filter` to unpack it; NULL: it is not packed. */
unsigned hdoc_stream_as(struct hdoc *h, const char *entries, const void *bytes, size_t len,
                        const char *filter);
/* `images` is the object that names them, 0: none. */
unsigned hdoc_page(struct hdoc *h, const struct page *page, unsigned fonts, unsigned images,
                   bool tagged, unsigned key);
void hdoc_page_content(struct hdoc *h, size_t page, const void *packed, size_t len);
unsigned hdoc_link(struct hdoc *h, size_t page, const struct page_link *link, bool tagged,
                   unsigned key);
unsigned hdoc_page_object(struct hdoc *h, size_t page);
/* More entries of the information dictionary and of the catalog; each at most once. */
void hdoc_info(struct hdoc *h, const char *entries);
void hdoc_catalog(struct hdoc *h, const char *entries);
/* Objects of plain text that come after all others: the next one's number, then their texts in
 * order. No other object may be added afterwards. */
unsigned hdoc_next_tail(struct hdoc *h);
void hdoc_tail(struct hdoc *h, const char *text, size_t len); /* copied */

void pdf_put_reference(struct buf *out, unsigned object); /* "n 0 R" */
/* UTF-8 as a PDF text string: plain when ASCII, else UTF-16BE in hexadecimal. */
void pdf_text_string(struct buf *out, const char *text);

#endif
