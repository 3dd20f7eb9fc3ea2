/* Shared inside font: one loaded face. */
#ifndef ENDFEEL_FONT_INT_H
#define ENDFEEL_FONT_INT_H

#include "font/font.h"

#include <hb.h>

enum {
    BMP_SIZE = 0x10000,
    SOFT_HYPHEN = 0x00AD,
    REPLACEMENT = 0xFFFD
};

struct face {
    const char *file;         /* name without folder */
    struct buf bytes;         /* the font file; hb borrows it */
    hb_face_t *hb;
    hb_font_t *font;
    char ps_name[48];
    unsigned units_per_em, n_glyphs;
    uint16_t *advances;       /* by glyph, 1/1000 em, cut */
    uint16_t *glyphs;         /* by character of the Basic Multilingual Plane; 0 = none */
    uint16_t *widths;         /* same index, advance of that glyph */
    int widest;               /* advance of a character, by the bytes it takes, at most */
    double ascent, descent, cap_height, bbox[4]; /* 1/1000 em */
};

struct font_set {
    struct face faces[FACE_COUNT];
    char digest[DIGEST_HEX];
};

/* The face that holds what `face` lacks; a signs face has none. */
int font_signs_face(int face);

#endif
