/* Shared by hpdf_wrap.c and hpdf_save.c only: a libharu document and what is ours in it. */
#ifndef ENDFEEL_PDF_HPDF_INT_H
#define ENDFEEL_PDF_HPDF_INT_H

#include "pdf/pdf_int.h"

#include <hpdf.h>
#include <hpdf_objects.h>

#include <setjmp.h>

enum {
    HPDF_OBJECT_NUMBER = 0x00FFFFFF /* the number in an object's header */
};

/* What we write of an object: hung on a dictionary of the library as its attr. */
struct raw {
    struct hdoc *h;
    const char *entries;
    const void *bytes; /* NULL: not a stream */
    size_t len;
    const char *filter;
};

struct hdoc {
    HPDF_Doc pdf;
    HPDF_Stream to_out, to_text; /* the library's way to `out` and `text` */
    struct buf *out;
    struct buf text;             /* objects on their way into an object stream */
    struct buf tail;             /* objects of plain text after all others, one after the other */
    size_t *tail_ends;
    size_t n_tail, cap_tail;
    unsigned first_tail;         /* 0: objects may still be added */
    struct buf head, packed;     /* of the object stream being written */
    struct packer *packer;
    enum pdf_form form;
    struct arena *arena;
    jmp_buf failed;
    HPDF_STATUS error, detail;
    const char *too_large; /* why, or NULL */
};

_Noreturn void hdoc_fail(struct hdoc *h, HPDF_STATUS error);
void hdoc_must(struct hdoc *h, HPDF_STATUS status);
bool hdoc_is_stream(const struct hdoc *h, const void *object);
void hdoc_save(struct hdoc *h);
/* hpdf_save_plain.c: as an archive asks. `n`: object numbers given out. */
void hdoc_save_plain(struct hdoc *h, unsigned n);
bool hdoc_plain_is_whole(const struct buf *out, size_t start);

/* Shared by both ways of saving. */
enum { HDOC_ID = 33 };
void hdoc_put(struct hdoc *h, const char *bytes, size_t len);
void hdoc_putf(struct hdoc *h, const char *fmt, ...) PRINTF_LIKE(2, 3); /* short texts */
void *hdoc_object_at(struct hdoc *h, unsigned number);
void hdoc_make_id(const struct buf *out, char id[HDOC_ID]);
bool hdoc_starts_there(const struct buf *out, size_t offset, size_t number);

#endif
