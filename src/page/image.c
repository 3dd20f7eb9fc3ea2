/* Pictures: which kind a file is, the limits that hold for all, and its digest. */
#include "page/image.h"
#include "page/image_int.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

bool image_size_fits(unsigned long width, unsigned long height, char why[IMAGE_WHY_MAX])
{
    if (width >= 1 && height >= 1 && width <= IMAGE_SIDE_MAX && height <= IMAGE_SIDE_MAX) {
        return true;
    }
    snprintf(why, IMAGE_WHY_MAX, "%lu by %lu pixels, not 1 to %d", width, height,
             (int)IMAGE_SIDE_MAX);
    return false;
}

static uint64_t digest_of(const struct image *image)
{
    unsigned head[4] = {image->width, image->height, image->colour, image->jpeg};
    uint64_t parts[2] = {hash_fnv1a64(head, sizeof(head)),
                         hash_fnv1a64(image->bytes.data, image->bytes.len)};
    return hash_fnv1a64(parts, sizeof(parts));
}

struct image *image_of(const void *bytes, size_t len, char why[IMAGE_WHY_MAX])
{
    static const unsigned char png[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
    static const unsigned char jpeg[] = {0xFF, 0xD8, 0xFF};
    struct image *image = mem_alloc(sizeof(*image));
    buf_init(&image->bytes, IMAGE_SAMPLES_MAX);
    bool ok = false;
    if (len >= sizeof(png) && memcmp(bytes, png, sizeof(png)) == 0) {
        ok = image_png(bytes, len, image, why);
    } else if (len >= sizeof(jpeg) && memcmp(bytes, jpeg, sizeof(jpeg)) == 0) {
        ok = image_jpeg(bytes, len, image, why);
    } else {
        snprintf(why, IMAGE_WHY_MAX, "neither PNG nor JPEG");
    }
    if (!ok) {
        image_free(image);
        return NULL;
    }
    image->digest = digest_of(image);
    return image;
}

struct image *image_read(const char *path, char why[IMAGE_WHY_MAX])
{
    struct stat about;
    if (stat(path, &about) != 0) {
        snprintf(why, IMAGE_WHY_MAX, "no such file");
        return NULL;
    }
    if (!S_ISREG(about.st_mode) || about.st_size > IMAGE_FILE_MAX) {
        snprintf(why, IMAGE_WHY_MAX, S_ISREG(about.st_mode) ? "a file of more than %d MiB"
                                                            : "not a file",
                 (int)IMAGE_FILE_MAX >> 20);
        return NULL;
    }
    struct diag_sink quiet = {0};
    struct buf bytes;
    struct image *image = NULL;
    buf_init(&bytes, IMAGE_FILE_MAX);
    if (file_read(path, IMAGE_FILE_MAX, &bytes, &quiet)) {
        image = image_of(bytes.data, bytes.len, why);
    } else {
        snprintf(why, IMAGE_WHY_MAX, "the file cannot be read");
    }
    buf_release(&bytes);
    return image;
}

void image_free(struct image *image)
{
    if (image != NULL) {
        buf_release(&image->bytes);
        free(image);
    }
}
