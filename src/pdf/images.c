/* Images in a document: packed once a run, each an object of its own that pages name. */
#include "page/image.h"
#include "pdf/pdf_int.h"

#include <stdlib.h>
#include <string.h>

const struct packed_image *images_find(const struct packed_images *store, uint64_t digest)
{
    for (size_t i = 0; i < store->n; i++) {
        if (store->items[i].digest == digest) {
            return &store->items[i];
        }
    }
    return NULL;
}

void images_add(struct packed_images *store, struct packed_image image)
{
    if (store->n == store->cap) {
        store->cap = store->cap == 0 ? 4 : store->cap * 2;
        store->items = mem_resize(store->items, store->cap * sizeof(*store->items));
    }
    char *bytes = mem_alloc(image.len + 1);
    memcpy(bytes, image.bytes, image.len);
    image.bytes = bytes;
    store->items[store->n++] = image;
    store->bytes += image.len;
}

const struct packed_image *images_pack(struct packed_images *store, struct packer *packer,
                                       const struct image *image)
{
    const struct packed_image *there = images_find(store, image->digest);
    if (there != NULL) {
        return there;
    }
    struct buf packed;
    buf_init(&packed, PDF_PART_MAX);
    if (!image->jpeg) {
        packer_add(packer, image->bytes.data, image->bytes.len, &packed);
    }
    const struct buf *bytes = image->jpeg ? &image->bytes : &packed;
    images_add(store, (struct packed_image){image->digest, image->width, image->height,
                                            image->colour, image->jpeg, bytes->data, bytes->len});
    buf_release(&packed);
    return &store->items[store->n - 1];
}

void images_release(struct packed_images *store)
{
    for (size_t i = 0; i < store->n; i++) {
        free((void *)(uintptr_t)store->items[i].bytes);
    }
    free(store->items);
    *store = (struct packed_images){.items = NULL};
}

void images_trim(struct packed_images *store)
{
    enum { MOST = 64 << 20 };
    if (store->bytes > MOST) {
        images_release(store);
    }
}

void images_put_name(struct buf *out, uint64_t digest)
{
    buf_addf(out, "/I%016llX", (unsigned long long)digest);
}

static unsigned write_one(struct hdoc *h, const struct packed_image *image)
{
    char entries[160];
    snprintf(entries, sizeof(entries),
             "/Type/XObject/Subtype/Image/Width %u/Height %u/ColorSpace/%s/BitsPerComponent 8",
             image->width, image->height, image->colour ? "DeviceRGB" : "DeviceGray");
    return hdoc_stream_as(h, entries, image->bytes, image->len,
                          image->jpeg ? "DCTDecode" : "FlateDecode");
}

unsigned images_write(struct hdoc *h, const struct packed_images *store, const uint64_t *digests,
                      size_t n, struct buf *text)
{
    buf_clear(text);
    for (size_t i = 0; i < n; i++) {
        images_put_name(text, digests[i]);
        buf_addf(text, " %u 0 R", write_one(h, images_find(store, digests[i])));
    }
    return n == 0 ? 0 : hdoc_object(h, buf_text(text));
}
