/* Shared by the image files only. */
#ifndef ENDFEEL_IMAGE_INT_H
#define ENDFEEL_IMAGE_INT_H

#include "page/image.h"

/* Each fills `out`; false with a reason in `why`. */
bool image_png(const unsigned char *bytes, size_t len, struct image *out,
               char why[IMAGE_WHY_MAX]) MUST_CHECK;
bool image_jpeg(const unsigned char *bytes, size_t len, struct image *out,
                char why[IMAGE_WHY_MAX]) MUST_CHECK;
bool image_size_fits(unsigned long width, unsigned long height, char why[IMAGE_WHY_MAX]);

#endif
