/*
 * font: the faces of the program, loaded once a run: which characters they hold, how wide they
 * set, where a line may break, and subsets ready to embed. The only place that knows HarfBuzz.
 *
 * Widths in points at a size in points; a face's own advances are in 1/1000 em, cut as the PDF
 * writes them, so that measuring and showing agree. Faces: one family with tabular figures and a
 * second face for the signs it lacks. The font set is read-only after loading; workers share it.
 */
#ifndef ENDFEEL_FONT_H
#define ENDFEEL_FONT_H

#include "base/base.h"

enum { FONT_CODE_FIRST = ' ', FONT_CODES = 256 };
enum face_id { FACE_REGULAR, FACE_BOLD, FACE_SIGNS, FACE_SIGNS_BOLD, FACE_COUNT };

struct font_set;
/* Looks in `folder` and nowhere else (NULL: the program's own data folder, then the system's font
 * folders). NULL after reporting which file was sought where. */
struct font_set *font_set_load(const char *folder, struct diag_sink *sink) MUST_CHECK;
void font_set_free(struct font_set *set);
const char *font_set_digest(const struct font_set *set);

bool font_has(const struct font_set *set, int face, int32_t character);
/* The face to use for a character asked for in `face`: itself, its signs face, or -1. */
int font_pick(const struct font_set *set, int face, int32_t character);
unsigned font_glyph(const struct font_set *set, int face, int32_t character); /* 0: none */
int font_advance(const struct font_set *set, int face, unsigned glyph);       /* 1/1000 em */
/* Width of text asked for in `face`, each character measured in the face font_pick() gives it;
 * soft hyphens are 0 wide, characters no face holds are as wide as U+FFFD. */
double font_width(const struct font_set *set, int face, double size, const char *text, size_t len);
/* What no text of so many bytes is wider than. */
double font_width_most(const struct font_set *set, int face, double size, size_t len);
double font_ascent(const struct font_set *set, int face, double size);  /* above the baseline */
double font_descent(const struct font_set *set, int face, double size); /* below, positive */

/* Text made fit to set: composed (NFC for Latin), soft hyphens kept as break points, controls
 * dropped, tabs and line ends to spaces. Characters no face holds come back in missing (first one,
 * else 0); they stay in the text as U+FFFD. */
void font_clean(const struct font_set *set, const char *text, size_t len, struct buf *out,
                int32_t *missing);

/* The next place after `from` where a line may end, as a byte offset (len at the end of the
 * text); *trim = bytes of trailing space not set when the line ends there. Never inside
 * 0-10-120, 4-/5, 118 followed by a degree sign, or at a no-break space; after space, hyphen
 * between letters, en and em dash, slash between words, soft hyphen. */
size_t font_next_break(const char *text, size_t len, size_t from, size_t *trim);

/* The byte that stands for a character where text is written by one byte each: the same in every
 * face, itself for ASCII and Latin-1, else one of the core's; 0: none, its glyph id is written. */
unsigned font_code(int32_t character);

/* What the PDF needs of one face for a set of characters, made by font_subset(). */
struct font_subset {
    int face;
    char name[64];                 /* tagged: ABCDEF+Family-Style */
    struct buf program;            /* FontFile2, zlib-compressed; it maps the codes to glyphs */
    size_t program_size;           /* uncompressed */
    struct buf code_widths;        /* text of the /Widths array, from FONT_CODE_FIRST */
    struct buf code_unicode;       /* CMap of the codes, zlib-compressed */
    unsigned last_code;
    struct buf widths;             /* text of the /W array, by glyph id */
    struct buf to_unicode;         /* CMap of glyph ids, zlib-compressed */
    struct buf cid_set;            /* zlib-compressed bitmap */
    double ascent, descent, cap_height, italic_angle, stem_v, bbox[4]; /* 1/1000 em */
    unsigned flags;
};
/* Characters every document may use without a subset of its own: ASCII and the usual signs. */
bool font_is_core(int32_t character);
/* Subset holding the core characters and `extra` (may be NULL). Glyph ids are kept. Same input,
 * same bytes. */
struct font_subset *font_subset_new(const struct font_set *set, int face, const int32_t *extra,
                                    size_t n_extra, struct diag_sink *sink) MUST_CHECK;
void font_subset_free(struct font_subset *s);

#endif
