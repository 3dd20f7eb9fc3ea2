/*
 * image: a picture file, read once and kept as a PDF takes it. PNG becomes plain samples on white
 * paper; a JPEG stays as it is, after its parts have been checked and what only says where and by
 * whom it was taken has been left out.
 */
#ifndef ENDFEEL_IMAGE_H
#define ENDFEEL_IMAGE_H

#include "base/base.h"

enum {
    IMAGE_FILE_MAX = 4 << 20,     /* bytes */
    IMAGE_SIDE_MAX = 5000,        /* pixels */
    IMAGE_SAMPLES_MAX = 32 << 20, /* bytes of a PNG unpacked */
    IMAGE_WHY_MAX = 120
};

struct image {
    unsigned width, height; /* pixels */
    bool colour;            /* three samples a pixel, else one of grey; eight bits each */
    bool jpeg;              /* bytes are a JPEG stream, else samples row by row from the top */
    struct buf bytes;
    uint64_t digest;        /* of all of the above */
};

/* NULL when the file is none that can be set, with the reason in a few words. */
struct image *image_read(const char *path, char why[IMAGE_WHY_MAX]) MUST_CHECK;
struct image *image_of(const void *bytes, size_t len, char why[IMAGE_WHY_MAX]) MUST_CHECK;
void image_free(struct image *image);

#endif
