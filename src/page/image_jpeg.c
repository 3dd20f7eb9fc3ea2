/*
 * JPEG as it is. No decoder: every viewer has one. The parts of the file are walked from start to
 * end, so that one cut short or of a kind that few can read is refused here and not by a viewer.
 * Notes of cameras and programs (where, when, by whom) are left out; a note that the picture is to
 * be turned would then be lost, so such a picture is refused.
 */
#include "page/image_int.h"

#include <string.h>

enum {
    SOF0 = 0xC0, SOF1 = 0xC1, SOF2 = 0xC2, DHT = 0xC4, JPG = 0xC8, DAC = 0xCC, SOF15 = 0xCF,
    RST0 = 0xD0, RST7 = 0xD7, SOI = 0xD8, EOI = 0xD9, SOS = 0xDA, DQT = 0xDB, DRI = 0xDD,
    APP0 = 0xE0, APP1 = 0xE1, APP14 = 0xEE, APP15 = 0xEF, COM = 0xFE
};

struct jpeg {
    const unsigned char *at, *end;
    struct image *out;
    char *why;
    bool framed, scanned; /* a frame header, a scan was seen */
};

static bool refuse(struct jpeg *j, const char *reason)
{
    snprintf(j->why, IMAGE_WHY_MAX, "a JPEG %s", reason);
    return false;
}

static unsigned number(const unsigned char *p)
{
    return (unsigned)p[0] << 8 | p[1];
}

/* ---- the frame header ----------------------------------------------------------------------- */

static bool read_frame(struct jpeg *j, unsigned marker, const unsigned char *p, size_t len)
{
    enum { FIXED = 6, BITS = 8, A_COMPONENT = 3 };
    if (marker > SOF2) {
        return refuse(j, "of a kind that few can read: neither baseline nor progressive");
    }
    if (j->framed || len < FIXED || len < FIXED + A_COMPONENT * (size_t)p[5]) {
        return refuse(j, "with a fault in its frame");
    }
    if (p[0] != BITS) {
        return refuse(j, "of other than 8 bits a sample");
    }
    if (p[5] != 1 && p[5] != 3) {
        return refuse(j, "in four colours of print; save it as RGB");
    }
    j->framed = true;
    j->out->colour = p[5] == 3;
    j->out->height = number(p + 1);
    j->out->width = number(p + 3);
    return image_size_fits(j->out->width, j->out->height, j->why);
}

/* ---- a note that the picture is turned ------------------------------------------------------ */

struct tiff {
    const unsigned char *bytes;
    size_t len;
    bool low_first;
};

static unsigned tiff_number(const struct tiff *t, size_t at, int bytes)
{
    unsigned n = 0;
    for (int i = 0; i < bytes; i++) {
        n |= (unsigned)t->bytes[at + (size_t)i] << 8 * (t->low_first ? i : bytes - 1 - i);
    }
    return n;
}

/* The orientation of an Exif note, 1 when it has none. */
static unsigned orientation(const unsigned char *p, size_t len)
{
    enum { HEAD = 6, ENTRY = 12, ORIENTATION = 0x112 };
    if (len < HEAD + 8 || memcmp(p, "Exif\0", HEAD) != 0) {
        return 1;
    }
    struct tiff t = {p + HEAD, len - HEAD, p[HEAD] == 'I'};
    size_t at = tiff_number(&t, 4, 4);
    if (at > t.len - 2) {
        return 1;
    }
    unsigned n = tiff_number(&t, at, 2);
    for (at += 2; n > 0 && at + ENTRY <= t.len; n--, at += ENTRY) {
        if (tiff_number(&t, at, 2) == ORIENTATION) {
            return tiff_number(&t, at + 8, 2);
        }
    }
    return 1;
}

/* ---- walking -------------------------------------------------------------------------------- */

static bool is_note(unsigned marker)
{
    return (marker > APP0 && marker <= APP15 && marker != APP14) || marker == COM;
}

/* The packed data of a scan, up to the marker after it. */
static void skip_scan(struct jpeg *j)
{
    while (j->at + 1 < j->end) {
        if (j->at[0] == 0xFF && j->at[1] != 0 && !(j->at[1] >= RST0 && j->at[1] <= RST7) &&
            j->at[1] != 0xFF) {
            return;
        }
        j->at++;
    }
    j->at = j->end;
}

/* One marker with what belongs to it; *done at the end of the picture. */
static bool read_part(struct jpeg *j, bool *done)
{
    while (j->at + 1 < j->end && j->at[0] == 0xFF && j->at[1] == 0xFF) {
        j->at++; /* fill */
    }
    const unsigned char *start = j->at;
    if (j->end - start < 2) {
        return refuse(j, "that is cut short");
    }
    unsigned marker = start[1];
    j->at += 2;
    if (start[0] != 0xFF || marker < SOF0 || (marker >= RST0 && marker <= SOI)) {
        return refuse(j, "with a fault between its parts");
    }
    if (marker == EOI) {
        *done = true;
        buf_add(&j->out->bytes, start, 2);
        return j->scanned || refuse(j, "without a picture");
    }
    size_t len = j->end - j->at < 2 ? 0 : number(j->at);
    if (len < 2 || len > (size_t)(j->end - j->at)) {
        return refuse(j, "that is cut short");
    }
    const unsigned char *inside = j->at + 2;
    j->at += len;
    if (marker == APP1 && orientation(inside, len - 2) > 1) {
        return refuse(j, "that a note turns; save it upright");
    }
    bool frame = marker <= SOF15 && marker != DHT && marker != JPG && marker != DAC;
    if (frame && !read_frame(j, marker, inside, len - 2)) {
        return false;
    }
    if (marker == SOS) {
        if (!j->framed) {
            return refuse(j, "with a fault between its parts");
        }
        j->scanned = true;
        skip_scan(j);
    }
    if (!is_note(marker)) {
        buf_add(&j->out->bytes, start, (size_t)(j->at - start));
    }
    return true;
}

bool image_jpeg(const unsigned char *bytes, size_t len, struct image *out, char why[IMAGE_WHY_MAX])
{
    struct jpeg j = {.at = bytes + 2, .end = bytes + len, .out = out, .why = why};
    bool done = false;
    out->jpeg = true;
    buf_add(&out->bytes, bytes, 2);
    while (!done) {
        if (!read_part(&j, &done)) {
            return false;
        }
    }
    return true;
}
