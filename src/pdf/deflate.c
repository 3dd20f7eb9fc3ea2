/*
 * One compressor kept for all documents: setting one up costs more than compressing a page.
 */
#include "pdf/pdf_int.h"

#include <assert.h>
#include <stdlib.h>

void packer_release(struct packer *p)
{
    if (p->ready) {
        deflateEnd(&p->z);
        p->ready = false;
    }
}

void packer_add(struct packer *p, const void *bytes, size_t len, struct buf *out)
{
    if (p->ready) {
        deflateReset(&p->z);
    } else {
        int rc = deflateInit(&p->z, PDF_DEFLATE_LEVEL);
        assert(rc == Z_OK || rc == Z_MEM_ERROR);
        if (rc != Z_OK) {
            (void)mem_alloc(SIZE_MAX / 2); /* says so and ends the process, as for any memory */
        }
        p->ready = true;
    }
    enum { STEP = 16384 };
    unsigned char piece[STEP];
    assert(len <= PDF_PART_MAX);
    p->z.next_in = (Bytef *)(uintptr_t)bytes;
    p->z.avail_in = (uInt)len;
    int rc = Z_OK;
    while (rc != Z_STREAM_END) {
        p->z.next_out = piece;
        p->z.avail_out = STEP;
        rc = deflate(&p->z, Z_FINISH);
        assert(rc == Z_OK || rc == Z_BUF_ERROR || rc == Z_STREAM_END);
        buf_add(out, piece, STEP - p->z.avail_out);
    }
}
