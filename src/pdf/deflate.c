/*
 * One compressor kept for all documents: setting one up costs more than compressing a page.
 *
 * libdeflate, because half of a document's cost was zlib: at the same size it takes a third of
 * the time. It wants the whole of a part at once, which is how parts are made here.
 */
#include "pdf/pdf_int.h"

#include <assert.h>
#include <libdeflate.h>
#include <stdlib.h>

void packer_release(struct packer *p)
{
    libdeflate_free_compressor(p->compressor);
    free(p->room);
    *p = (struct packer){.compressor = NULL};
}

void packer_add(struct packer *p, const void *bytes, size_t len, struct buf *out)
{
    assert(len <= PDF_PART_MAX);
    if (p->compressor == NULL) {
        p->compressor = libdeflate_alloc_compressor(PDF_DEFLATE_LEVEL);
        if (p->compressor == NULL) {
            (void)mem_alloc(SIZE_MAX / 2); /* says so and ends the process, as for any memory */
        }
    }
    size_t most = libdeflate_zlib_compress_bound(p->compressor, len);
    if (most > p->size) {
        p->size = most;
        p->room = mem_resize(p->room, most);
    }
    size_t packed = libdeflate_zlib_compress(p->compressor, bytes, len, p->room, p->size);
    assert(packed > 0);
    buf_add(out, p->room, packed);
}
