/*
 * Loading the faces and answering questions about characters and widths. Everything asked often
 * is a flat table by character, filled once; HarfBuzz is asked again only beyond the Basic
 * Multilingual Plane.
 */
#include "font/font.h"
#include "font/font_int.h"

#include <hb-ot.h>

#include <assert.h>
#include <stdlib.h>
#include <string.h>

enum { FONT_FILE_MAX = 8 << 20 }; /* bytes of one font file */

static const char *const face_files[FACE_COUNT] = {"OpenSans-Regular.ttf", "OpenSans-Bold.ttf",
                                                   "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"};

static const char *const system_folders[] = {
    "/usr/share/fonts/truetype/open-sans", "/usr/share/fonts/truetype/dejavu",
    "/usr/share/fonts/open-sans",          "/usr/share/fonts/dejavu-sans-fonts",
    "/usr/share/fonts/TTF",                "/usr/local/share/fonts",
};

static struct diag_pos at_file(const char *file)
{
    return (struct diag_pos){.file = file};
}

/* ---- finding and reading a face ---------------------------------------------------------- */

static const char *find_file(struct arena *a, const char *folder, const char *name,
                             struct diag_sink *sink)
{
    const char *data_folder = folder == NULL ? file_data_folder(a, "fonts") : folder;
    if (data_folder != NULL) {
        const char *path = arena_printf(a, "%s/%s", data_folder, name);
        if (file_exists(path)) {
            return path;
        }
    }
    for (size_t i = 0; folder == NULL && i < ARRAY_LEN(system_folders); i++) {
        const char *path = arena_printf(a, "%s/%s", system_folders[i], name);
        if (file_exists(path)) {
            return path;
        }
    }
    if (folder != NULL) {
        diag_report(sink, DIAG_FONT_FILE, at_file(name), NULL, "not in %s", folder);
    } else {
        diag_report(sink, DIAG_FONT_FILE, at_file(name), NULL, "not in %s%sor %s and its like",
                    data_folder == NULL ? "" : data_folder, data_folder == NULL ? "" : " ",
                    system_folders[0]);
    }
    return NULL;
}

/* Bytes a font file can make us read never go further than the table says. */
static int read_i16(const char *table, unsigned len, unsigned at)
{
    if (at + 2 > len) {
        return 0;
    }
    const unsigned char *p = (const unsigned char *)table + at;
    int v = p[0] * 256 + p[1];
    return v >= 0x8000 ? v - 0x10000 : v;
}

static double per_mille(const struct face *f, double units)
{
    return units * 1000.0 / f->units_per_em;
}

static void read_metrics(struct face *f)
{
    hb_font_extents_t extents = {0};
    hb_font_get_h_extents(f->font, &extents);
    f->ascent = per_mille(f, extents.ascender);
    f->descent = per_mille(f, -extents.descender);
    hb_position_t cap = 0;
    if (!hb_ot_metrics_get_position(f->font, HB_OT_METRICS_TAG_CAP_HEIGHT, &cap) || cap <= 0) {
        hb_codepoint_t glyph = 0;
        hb_glyph_extents_t box = {0};
        if (hb_font_get_nominal_glyph(f->font, 'H', &glyph) &&
            hb_font_get_glyph_extents(f->font, glyph, &box)) {
            cap = box.y_bearing;
        }
    }
    f->cap_height = per_mille(f, cap);

    enum { HEAD_BOX = 36 }; /* xMin, yMin, xMax, yMax in 'head' */
    hb_blob_t *head = hb_face_reference_table(f->hb, HB_TAG('h', 'e', 'a', 'd'));
    unsigned len = 0;
    const char *bytes = hb_blob_get_data(head, &len);
    for (unsigned i = 0; i < 4; i++) {
        f->bbox[i] = per_mille(f, read_i16(bytes, len, HEAD_BOX + 2 * i));
    }
    hb_blob_destroy(head);
}

static void read_name(struct face *f)
{
    unsigned room = sizeof(f->ps_name);
    hb_ot_name_get_utf8(f->hb, HB_OT_NAME_ID_POSTSCRIPT_NAME, HB_LANGUAGE_INVALID, &room,
                        f->ps_name);
    char *to = f->ps_name;
    for (const char *p = f->ps_name; *p != '\0'; p++) {
        bool plain = (*p >= 'A' && *p <= 'Z') || (*p >= 'a' && *p <= 'z') ||
                     (*p >= '0' && *p <= '9') || *p == '-';
        if (plain) {
            *to++ = *p;
        }
    }
    *to = '\0';
}

static int larger(int a, int b)
{
    return a > b ? a : b;
}

static void fill_tables(struct face *f)
{
    f->advances = mem_alloc(f->n_glyphs * sizeof(*f->advances));
    for (unsigned g = 0; g < f->n_glyphs; g++) {
        long units = hb_font_get_glyph_h_advance(f->font, g);
        f->advances[g] = (uint16_t)(units * 1000 / (long)f->units_per_em);
        f->widest = larger(f->widest, (f->advances[g] + 3) / 4); /* whatever a plane beyond has */
    }
    f->glyphs = mem_alloc(BMP_SIZE * sizeof(*f->glyphs));
    f->widths = mem_alloc(BMP_SIZE * sizeof(*f->widths));
    hb_set_t *characters = hb_set_create();
    hb_face_collect_unicodes(f->hb, characters);
    hb_codepoint_t c = HB_SET_VALUE_INVALID;
    while (hb_set_next(characters, &c) && c < BMP_SIZE) {
        hb_codepoint_t glyph = 0;
        if (hb_font_get_nominal_glyph(f->font, c, &glyph) && glyph < f->n_glyphs) {
            f->glyphs[c] = (uint16_t)glyph;
            f->widths[c] = f->advances[glyph];
            int bytes = c < 0x80 || c == REPLACEMENT ? 1 : c < 0x800 ? 2 : 3;
            f->widest = larger(f->widest, (f->widths[c] + bytes - 1) / bytes);
        }
    }
    hb_set_destroy(characters);
}

/* What the program needs of any face it is given: outlines it can embed, all of ASCII, and
 * figures of one width, since columns of numbers rely on it. */
static const char *find_fault(const struct face *f)
{
    hb_blob_t *glyf = hb_face_reference_table(f->hb, HB_TAG('g', 'l', 'y', 'f'));
    bool has_outlines = hb_blob_get_length(glyf) > 0;
    hb_blob_destroy(glyf);
    if (!has_outlines) {
        return "not a font with TrueType outlines";
    }
    for (int c = ' '; c <= '~'; c++) {
        if (f->glyphs[c] == 0) {
            return "lacks a plain letter, figure or sign";
        }
    }
    for (int c = '1'; c <= '9'; c++) {
        if (f->widths[c] != f->widths['0']) {
            return "its figures differ in width";
        }
    }
    return f->ps_name[0] == '\0' ? "has no name" : NULL;
}

static bool load_face(struct face *f, const char *folder, const char *name,
                      struct arena *a, struct diag_sink *sink)
{
    f->file = name;
    buf_init(&f->bytes, FONT_FILE_MAX);
    const char *path = find_file(a, folder, name, sink);
    if (path == NULL || !file_read(path, FONT_FILE_MAX, &f->bytes, sink)) {
        return false;
    }
    hb_blob_t *blob = hb_blob_create(f->bytes.data, (unsigned)f->bytes.len,
                                     HB_MEMORY_MODE_READONLY, NULL, NULL);
    f->hb = hb_face_create(blob, 0);
    hb_blob_destroy(blob);
    f->n_glyphs = hb_face_get_glyph_count(f->hb);
    f->units_per_em = hb_face_get_upem(f->hb);
    if (f->n_glyphs == 0 || f->n_glyphs > BMP_SIZE || f->units_per_em == 0) {
        diag_report(sink, DIAG_FONT_UNFIT, at_file(path), NULL, "not a font file");
        return false;
    }
    f->font = hb_font_create(f->hb);
    hb_font_set_scale(f->font, (int)f->units_per_em, (int)f->units_per_em);
    read_name(f);
    read_metrics(f);
    fill_tables(f);
    const char *fault = find_fault(f);
    if (fault != NULL) {
        diag_report(sink, DIAG_FONT_UNFIT, at_file(path), NULL, "%s", fault);
        return false;
    }
    hb_face_make_immutable(f->hb);
    hb_font_make_immutable(f->font);
    return true;
}

/* The table directory holds a checksum of every table: it stands for the megabyte behind it, whose
 * own digest would take longer than loading the face. */
static void digest_face(struct digest *digest, const struct face *f)
{
    enum { HEADER = 12, ENTRY = 16 };
    const unsigned char *bytes = (const unsigned char *)f->bytes.data;
    size_t directory = HEADER + ENTRY * (size_t)(bytes[4] << 8 | bytes[5]);
    digest_add(digest, bytes, directory < f->bytes.len ? directory : f->bytes.len);
}

struct font_set *font_set_load(const char *folder, struct diag_sink *sink)
{
    struct font_set *set = mem_alloc(sizeof(*set));
    struct arena *a = arena_new();
    struct digest digest;
    digest_init(&digest);
    bool ok = true;
    for (int i = 0; i < FACE_COUNT && ok; i++) {
        ok = load_face(&set->faces[i], folder, face_files[i], a, sink);
        if (ok) {
            digest_face(&digest, &set->faces[i]);
        }
    }
    digest_hex(&digest, set->digest);
    arena_free(a);
    if (!ok) {
        font_set_free(set);
        return NULL;
    }
    return set;
}

void font_set_free(struct font_set *set)
{
    if (set == NULL) {
        return;
    }
    for (int i = 0; i < FACE_COUNT; i++) {
        struct face *f = &set->faces[i];
        hb_font_destroy(f->font);
        hb_face_destroy(f->hb);
        free(f->advances);
        free(f->glyphs);
        free(f->widths);
        buf_release(&f->bytes);
    }
    free(set);
}

const char *font_set_digest(const struct font_set *set)
{
    return set->digest;
}

/* ---- characters -------------------------------------------------------------------------- */

int font_signs_face(int face)
{
    static const int signs[FACE_COUNT] = {
        [FACE_REGULAR] = FACE_SIGNS, [FACE_BOLD] = FACE_SIGNS_BOLD,
        [FACE_SIGNS] = -1, [FACE_SIGNS_BOLD] = -1};
    return signs[face];
}

static const struct face *face_at(const struct font_set *set, int face)
{
    assert(face >= 0 && face < FACE_COUNT);
    return &set->faces[face];
}

/* Scripts written from the right or by joining letters: a face may hold their glyphs, but set
 * one after the other from the left they would be wrong, so they count as not held. */
static bool needs_shaping(int32_t c)
{
    static const struct range {
        int32_t first, last;
    } ranges[] = {
        {0x0590, 0x08FF},   /* Hebrew, Arabic, Syriac, Thaana, N'Ko and their supplements */
        {0x0900, 0x109F},   /* scripts of South and South-East Asia, Tibetan, Myanmar */
        {0x1100, 0x11FF},   /* Hangul parts */
        {0x1780, 0x18AF},   /* Khmer, Mongolian */
        {0xFB1D, 0xFDFF},   /* presentation forms */
        {0xFE70, 0xFEFE},
        {0x10800, 0x10FFF}, /* older scripts from the right */
        {0x1E800, 0x1EFFF},
    };
    if (c < ranges[0].first) {
        return false;
    }
    for (size_t i = 0; i < ARRAY_LEN(ranges); i++) {
        if (c >= ranges[i].first && c <= ranges[i].last) {
            return true;
        }
    }
    return false;
}

unsigned font_glyph(const struct font_set *set, int face, int32_t character)
{
    const struct face *f = face_at(set, face);
    if (character >= ' ' && character < 0x7F) {
        return f->glyphs[character];
    }
    if (character < ' ' || needs_shaping(character)) {
        return 0;
    }
    if (character < BMP_SIZE) {
        return f->glyphs[character];
    }
    hb_codepoint_t glyph = 0;
    bool found = hb_font_get_nominal_glyph(f->font, (hb_codepoint_t)character, &glyph);
    return found && glyph < f->n_glyphs ? glyph : 0;
}

bool font_has(const struct font_set *set, int face, int32_t character)
{
    return font_glyph(set, face, character) != 0;
}

int font_pick(const struct font_set *set, int face, int32_t character)
{
    if (font_has(set, face, character)) {
        return face;
    }
    int signs = font_signs_face(face);
    return signs >= 0 && font_has(set, signs, character) ? signs : -1;
}

/* ---- measures ---------------------------------------------------------------------------- */

int font_advance(const struct font_set *set, int face, unsigned glyph)
{
    const struct face *f = face_at(set, face);
    return glyph < f->n_glyphs ? f->advances[glyph] : 0;
}

static int character_width(const struct font_set *set, int face, int32_t c)
{
    if (c == SOFT_HYPHEN) {
        return 0;
    }
    int from = font_pick(set, face, c);
    if (from < 0) {
        c = REPLACEMENT;
        from = font_pick(set, face, c);
    }
    return from < 0 ? 0 : font_advance(set, from, font_glyph(set, from, c));
}

double font_width(const struct font_set *set, int face, double size, const char *text, size_t len)
{
    const struct face *f = face_at(set, face);
    const char *end = text + len;
    long sum = 0;
    while (text < end) {
        unsigned char c = (unsigned char)*text;
        if (c >= ' ' && c < 0x7F) {
            sum += f->widths[c];
            text++;
        } else {
            sum += character_width(set, face, utf8_next(&text, end));
        }
    }
    return (double)sum * size / 1000.0;
}

double font_width_most(const struct font_set *set, int face, double size, size_t len)
{
    int signs = font_signs_face(face), widest = face_at(set, face)->widest;
    if (signs >= 0) {
        widest = larger(widest, set->faces[signs].widest);
    }
    return (double)widest * (double)len * size / 1000.0;
}

double font_ascent(const struct font_set *set, int face, double size)
{
    return face_at(set, face)->ascent * size / 1000.0;
}

double font_descent(const struct font_set *set, int face, double size)
{
    return face_at(set, face)->descent * size / 1000.0;
}
