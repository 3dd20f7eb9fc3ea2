/* PNG by libpng. What shows through shows the paper: white. */
#include "page/image_int.h"

#include <png.h>
#include <string.h>

bool image_png(const unsigned char *bytes, size_t len, struct image *out, char why[IMAGE_WHY_MAX])
{
    png_image png = {.version = PNG_IMAGE_VERSION};
    png_color white = {255, 255, 255};
    if (!png_image_begin_read_from_memory(&png, bytes, len)) {
        snprintf(why, IMAGE_WHY_MAX, "a PNG with a fault: %.80s", png.message);
        return false;
    }
    out->colour = (png.format & PNG_FORMAT_FLAG_COLOR) != 0;
    out->width = png.width;
    out->height = png.height;
    size_t size = (size_t)png.width * png.height * (out->colour ? 3 : 1);
    bool fits = image_size_fits(png.width, png.height, why);
    if (fits && size > IMAGE_SAMPLES_MAX) {
        snprintf(why, IMAGE_WHY_MAX, "more than %d MiB unpacked", (int)IMAGE_SAMPLES_MAX >> 20);
        fits = false;
    }
    if (!fits) {
        png_image_free(&png);
        return false;
    }
    png.format = out->colour ? PNG_FORMAT_RGB : PNG_FORMAT_GRAY;
    char *samples = buf_room(&out->bytes, size);
    if (!png_image_finish_read(&png, &white, samples, 0, NULL)) {
        snprintf(why, IMAGE_WHY_MAX, "a PNG with a fault: %.80s", png.message);
        return false;
    }
    buf_take(&out->bytes, samples + size);
    return true;
}
