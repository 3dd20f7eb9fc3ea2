/*
 * Cutting a face to the characters a document needs, with all that a PDF says about it. Glyph
 * ids are kept, so that page contents do not depend on which subset is embedded. Nothing here
 * depends on time, addresses or order of arrival: same characters, same bytes.
 */
#include "font/font.h"
#include "font/font_int.h"

#include <hb-ot.h>
#include <hb-subset.h>
#include <zlib.h>

#include <stdlib.h>
#include <string.h>

enum { SUBSET_MAX = 16 << 20 }; /* bytes of any part of a subset */

/* ---- the core ---------------------------------------------------------------------------- */

/* Beyond ASCII: the signs of clinical text. Accented letters are left to the documents whose names
 * have them: in the core they would be a fifth of every file. */
static const struct {
    int32_t first, last;
} core[] = {
    {0xA0, 0xA0},     {0xA7, 0xA7},     {0xB0, 0xB3},     {0xB5, 0xB5},     {0xB7, 0xB7},
    {0xBD, 0xBD},     {0xD7, 0xD7},     {0xF7, 0xF7},     {0x2013, 0x2014}, {0x2018, 0x2019},
    {0x201C, 0x201D}, {0x2020, 0x2022}, {0x2026, 0x2026}, {0x2190, 0x2193}, {0x2212, 0x2212},
    {0x2248, 0x2248}, {0x2264, 0x2265}, {0x25A0, 0x25A1}, {0x25B2, 0x25B3}, {0x25BC, 0x25BD},
    {0x25CB, 0x25CB}, {0x25CF, 0x25CF}, {0x2713, 0x2713}, {0x2717, 0x2717}, {0xFFFD, 0xFFFD},
};

bool font_is_core(int32_t character)
{
    if (character >= ' ' && character <= '~') {
        return true;
    }
    for (size_t i = 0; i < ARRAY_LEN(core); i++) {
        if (character >= core[i].first && character <= core[i].last) {
            return true;
        }
    }
    return false;
}

unsigned font_code(int32_t character)
{
    enum { LATIN_FIRST = 0xA0, LATIN_LAST = 0xFF, OTHER_FIRST = 0x80 };
    if (character <= '~') {
        return character >= ' ' ? (unsigned)character : 0;
    }
    if (character <= LATIN_LAST) {
        return character >= LATIN_FIRST && character != SOFT_HYPHEN ? (unsigned)character : 0;
    }
    unsigned code = OTHER_FIRST;
    for (size_t i = 0; i < ARRAY_LEN(core); i++) {
        if (core[i].first > LATIN_LAST) {
            if (character >= core[i].first && character <= core[i].last) {
                return code + (unsigned)(character - core[i].first);
            }
            code += (unsigned)(core[i].last - core[i].first) + 1;
        }
    }
    return 0;
}

/* Is this the face that sets c when text asks for its family? */
static bool sets(const struct font_set *set, int face, int32_t c)
{
    for (int asked = 0; asked < FACE_COUNT; asked++) {
        bool family = asked == face || font_signs_face(asked) == face;
        if (family && font_signs_face(asked) >= 0) {
            return font_pick(set, asked, c) == face;
        }
    }
    return font_has(set, face, c);
}

static void add_core(const struct font_set *set, int face, hb_set_t *characters)
{
    for (int32_t c = ' '; c <= '~'; c++) {
        if (sets(set, face, c)) {
            hb_set_add(characters, (hb_codepoint_t)c);
        }
    }
    for (size_t i = 0; i < ARRAY_LEN(core); i++) {
        for (int32_t c = core[i].first; c <= core[i].last; c++) {
            if (sets(set, face, c)) {
                hb_set_add(characters, (hb_codepoint_t)c);
            }
        }
    }
}

/* ---- cutting ----------------------------------------------------------------------------- */

/* Only the tables that outlines embedded by glyph id need. */
static void drop_other_tables(hb_face_t *face, hb_subset_input_t *input)
{
    static const hb_tag_t needed[] = {
        HB_TAG('g', 'l', 'y', 'f'), HB_TAG('h', 'e', 'a', 'd'), HB_TAG('h', 'h', 'e', 'a'),
        HB_TAG('h', 'm', 't', 'x'), HB_TAG('l', 'o', 'c', 'a'), HB_TAG('m', 'a', 'x', 'p')};
    hb_set_t *drop = hb_subset_input_set(input, HB_SUBSET_SETS_DROP_TABLE_TAG);
    hb_tag_t tags[64];
    unsigned n = ARRAY_LEN(tags);
    unsigned total = hb_face_get_table_tags(face, 0, &n, tags);
    for (unsigned start = 0; start < total; start += n) {
        n = ARRAY_LEN(tags);
        hb_face_get_table_tags(face, start, &n, tags);
        if (n == 0) {
            break;
        }
        hb_set_add_range(drop, 0, 0); /* keeps the set allocated when nothing is dropped */
        for (unsigned i = 0; i < n; i++) {
            bool keep = false;
            for (size_t k = 0; k < ARRAY_LEN(needed); k++) {
                keep = keep || tags[i] == needed[k];
            }
            if (!keep) {
                hb_set_add(drop, tags[i]);
            }
        }
    }
}

static hb_subset_plan_t *plan_subset(const struct face *f, const hb_set_t *characters)
{
    hb_subset_input_t *input = hb_subset_input_create_or_fail();
    if (input == NULL) {
        return NULL;
    }
    hb_set_union(hb_subset_input_unicode_set(input), characters);
    hb_set_clear(hb_subset_input_set(input, HB_SUBSET_SETS_LAYOUT_FEATURE_TAG));
    hb_subset_input_set_flags(input, HB_SUBSET_FLAGS_RETAIN_GIDS | HB_SUBSET_FLAGS_NO_HINTING |
                                         HB_SUBSET_FLAGS_NOTDEF_OUTLINE);
    drop_other_tables(f->hb, input);
    hb_subset_plan_t *plan = hb_subset_plan_create_or_fail(f->hb, input);
    hb_subset_input_destroy(input);
    return plan;
}

static bool pack(struct buf *out, const void *bytes, size_t len)
{
    uLongf room = compressBound((uLong)len);
    Bytef *packed = mem_alloc(room);
    bool ok = compress(packed, &room, bytes, (uLong)len) == Z_OK;
    if (ok) {
        buf_add(out, packed, room);
    }
    free(packed);
    return ok;
}

/* Every glyph in the subset, those that composite glyphs refer to included. */
static hb_set_t *glyphs_of(const hb_subset_plan_t *plan, unsigned n_glyphs)
{
    const hb_map_t *kept = hb_subset_plan_old_to_new_glyph_mapping(plan);
    hb_set_t *glyphs = hb_set_create();
    for (unsigned g = 0; g < n_glyphs; g++) {
        if (hb_map_has(kept, g)) {
            hb_set_add(glyphs, g);
        }
    }
    return glyphs;
}

/* ---- what the PDF says about it ---------------------------------------------------------- */

/* /W as runs of glyphs: first [w w w]. */
static void write_widths(const struct face *f, const hb_set_t *glyphs, struct buf *out)
{
    hb_codepoint_t g = HB_SET_VALUE_INVALID;
    hb_codepoint_t expected = HB_SET_VALUE_INVALID;
    while (hb_set_next(glyphs, &g)) {
        if (g != expected) {
            buf_addf(out, expected == HB_SET_VALUE_INVALID ? "%u [" : "] %u [", g);
        } else {
            buf_addc(out, ' ');
        }
        buf_addf(out, "%u", (unsigned)f->advances[g]);
        expected = g + 1;
    }
    buf_adds(out, "]");
}

struct pair {
    unsigned glyph; /* or code */
    int32_t character;
};

static int by_glyph(const void *a, const void *b)
{
    const struct pair *x = a, *y = b;
    if (x->glyph != y->glyph) {
        return x->glyph < y->glyph ? -1 : 1;
    }
    return (x->character > y->character) - (x->character < y->character);
}

static void put_utf16(struct buf *out, int32_t c)
{
    if (c < BMP_SIZE) {
        buf_addf(out, "%04X", (unsigned)c);
    } else {
        unsigned rest = (unsigned)c - BMP_SIZE;
        buf_addf(out, "%04X%04X", 0xD800U + (rest >> 10), 0xDC00U + (rest & 0x3FFU));
    }
}

/* Pairs from `start` that step together; within one row of 256, as the format asks of a range. */
static size_t range_end(const struct pair *pairs, size_t n, size_t start)
{
    size_t end = start + 1;
    while (end < n && pairs[end].glyph == pairs[end - 1].glyph + 1 &&
           pairs[end].character == pairs[end - 1].character + 1 &&
           pairs[end].glyph % 256 != 0 && pairs[end].character % 256 != 0) {
        end++;
    }
    return end;
}

/* Of codes of two or four hexadecimal digits. */
static void write_to_unicode(const struct pair *pairs, size_t n, int digits, struct buf *out)
{
    enum { BLOCK = 100 }; /* the format's limit for one bfrange block */
    buf_adds(out, "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
                  "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
                  "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
                  "1 begincodespacerange\n");
    buf_adds(out, digits == 2 ? "<00> <FF>" : "<0000> <FFFF>");
    buf_adds(out, "\nendcodespacerange\n");
    for (size_t at = 0; at < n;) {
        size_t count = 0, last = at;
        for (; count < BLOCK && last < n; count++) {
            last = range_end(pairs, n, last);
        }
        buf_addf(out, "%zu beginbfrange\n", count);
        for (size_t end; at < last; at = end) {
            end = range_end(pairs, n, at);
            buf_addf(out, "<%0*X> <%0*X> <", digits, pairs[at].glyph, digits,
                     pairs[end - 1].glyph);
            put_utf16(out, pairs[at].character);
            buf_adds(out, ">\n");
        }
        buf_adds(out, "endbfrange\n");
    }
    buf_adds(out, "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n");
}

static bool pack_to_unicode(const struct pair *pairs, size_t n, int digits, struct buf *out)
{
    struct buf text;
    buf_init(&text, SUBSET_MAX);
    write_to_unicode(pairs, n, digits, &text);
    bool ok = pack(out, text.data, text.len);
    buf_release(&text);
    return ok;
}

/* Where two characters share a glyph the lower one is what a reader copies out. */
static bool make_to_unicode(const struct font_set *set, int face, const hb_set_t *characters,
                            struct buf *out)
{
    struct pair *pairs = mem_alloc(hb_set_get_population(characters) * sizeof(*pairs));
    size_t n = 0;
    hb_codepoint_t c = HB_SET_VALUE_INVALID;
    while (hb_set_next(characters, &c)) {
        pairs[n++] = (struct pair){font_glyph(set, face, (int32_t)c), (int32_t)c};
    }
    qsort(pairs, n, sizeof(*pairs), by_glyph);
    size_t unique = 0;
    for (size_t i = 0; i < n; i++) {
        if (unique == 0 || pairs[i].glyph != pairs[unique - 1].glyph) {
            pairs[unique++] = pairs[i];
        }
    }
    bool ok = pack_to_unicode(pairs, unique, 4, out);
    free(pairs);
    return ok;
}

/* ---- one byte a character ---------------------------------------------------------------- */

static unsigned char *put_u16(unsigned char *to, size_t n)
{
    to[0] = (unsigned char)(n >> 8 & 0xFFU);
    to[1] = (unsigned char)(n & 0xFFU);
    return to + 2;
}

/* The one table by which a reader finds the glyph of a code: of Macintosh kind, in format 6, as
 * every reader of fonts that name no encoding takes it. */
static bool add_code_table(hb_face_t *cut, const unsigned glyphs[FONT_CODES])
{
    enum { N = FONT_CODES - FONT_CODE_FIRST, HEAD = 12, SUBTABLE = 10 + 2 * N };
    unsigned char table[HEAD + SUBTABLE], *to = table;
    const size_t head[] = {0, 1, 1, 0, 0, HEAD, /* version, one table: platform, kind, place */
                           6, SUBTABLE, 0, FONT_CODE_FIRST, N};
    for (size_t i = 0; i < ARRAY_LEN(head); i++) {
        to = put_u16(to, head[i]);
    }
    for (size_t code = FONT_CODE_FIRST; code < FONT_CODES; code++) {
        to = put_u16(to, glyphs[code]);
    }
    hb_blob_t *blob = hb_blob_create((const char *)table, sizeof(table), HB_MEMORY_MODE_DUPLICATE,
                                     NULL, NULL);
    bool ok = hb_face_builder_add_table(cut, HB_TAG('c', 'm', 'a', 'p'), blob);
    hb_blob_destroy(blob);
    return ok;
}

static bool make_codes(const struct font_set *set, int face, const hb_set_t *characters,
                       hb_face_t *cut, struct font_subset *s)
{
    const struct face *f = &set->faces[face];
    unsigned glyphs[FONT_CODES] = {0};
    struct pair pairs[FONT_CODES] = {{0, 0}};
    size_t n = 0;
    hb_codepoint_t c = HB_SET_VALUE_INVALID;
    while (hb_set_next(characters, &c)) {
        unsigned code = font_code((int32_t)c);
        if (code != 0) {
            glyphs[code] = font_glyph(set, face, (int32_t)c);
            pairs[n++] = (struct pair){code, (int32_t)c};
            s->last_code = code > s->last_code ? code : s->last_code;
        }
    }
    for (unsigned code = FONT_CODE_FIRST; code <= s->last_code; code++) {
        buf_addf(&s->code_widths, code == FONT_CODE_FIRST ? "%u" : " %u",
                 glyphs[code] == 0 ? 0U : (unsigned)f->advances[glyphs[code]]);
    }
    qsort(pairs, n, sizeof(*pairs), by_glyph);
    return add_code_table(cut, glyphs) && pack_to_unicode(pairs, n, 2, &s->code_unicode);
}

static bool make_cid_set(const hb_set_t *glyphs, struct buf *out)
{
    size_t size = hb_set_get_max(glyphs) / 8 + 1;
    unsigned char *bits = mem_alloc(size);
    hb_codepoint_t g = HB_SET_VALUE_INVALID;
    while (hb_set_next(glyphs, &g)) {
        bits[g / 8] |= (unsigned char)(0x80U >> (g % 8));
    }
    bool ok = pack(out, bits, size);
    free(bits);
    return ok;
}

static void describe(const struct face *f, int face, uint64_t tag, struct font_subset *s)
{
    enum { SYMBOLIC = 4 }; /* glyphs are reached by id, not by a standard encoding */
    bool bold = face == FACE_BOLD || face == FACE_SIGNS_BOLD;
    for (int i = 0; i < 6; i++) {
        s->name[i] = (char)('A' + tag % 26);
        tag /= 26;
    }
    s->name[6] = '+';
    memcpy(s->name + 7, f->ps_name, strlen(f->ps_name) + 1);
    s->face = face;
    s->ascent = f->ascent;
    s->descent = f->descent;
    s->cap_height = f->cap_height;
    s->italic_angle = 0;
    s->stem_v = bold ? 165 : 95; /* no table holds it; viewers use it only to replace a face */
    memcpy(s->bbox, f->bbox, sizeof(s->bbox));
    s->flags = SYMBOLIC;
}

static bool fill(const struct font_set *set, int face, const hb_set_t *characters,
                 struct font_subset *s)
{
    const struct face *f = &set->faces[face];
    hb_subset_plan_t *plan = plan_subset(f, characters);
    if (plan == NULL) {
        return false;
    }
    hb_face_t *cut = hb_subset_plan_execute_or_fail(plan);
    hb_set_t *glyphs = glyphs_of(plan, f->n_glyphs);
    bool coded = cut != NULL && make_codes(set, face, characters, cut, s);
    hb_blob_t *blob = coded ? hb_face_reference_blob(cut) : NULL;
    unsigned len = 0;
    const char *bytes = blob == NULL ? NULL : hb_blob_get_data(blob, &len);
    bool ok = len > 0 && pack(&s->program, bytes, len);
    if (ok) {
        s->program_size = len;
        write_widths(f, glyphs, &s->widths);
        ok = make_to_unicode(set, face, characters, &s->to_unicode) &&
             make_cid_set(glyphs, &s->cid_set);
        describe(f, face, hash_fnv1a64(bytes, len), s);
    }
    hb_blob_destroy(blob);
    hb_set_destroy(glyphs);
    hb_face_destroy(cut);
    hb_subset_plan_destroy(plan);
    return ok;
}

struct font_subset *font_subset_new(const struct font_set *set, int face, const int32_t *extra,
                                    size_t n_extra, struct diag_sink *sink)
{
    hb_set_t *characters = hb_set_create();
    add_core(set, face, characters);
    bool ok = true;
    for (size_t i = 0; i < n_extra; i++) {
        if (!font_has(set, face, extra[i])) {
            diag_report(sink, DIAG_FONT_GLYPH, (struct diag_pos){.file = NULL}, NULL,
                        "U+%04X in %s", (unsigned)extra[i], set->faces[face].file);
            ok = false;
        } else {
            hb_set_add(characters, (hb_codepoint_t)extra[i]);
        }
    }
    struct font_subset *s = mem_alloc(sizeof(*s));
    buf_init(&s->program, SUBSET_MAX);
    buf_init(&s->code_widths, SUBSET_MAX);
    buf_init(&s->code_unicode, SUBSET_MAX);
    buf_init(&s->widths, SUBSET_MAX);
    buf_init(&s->to_unicode, SUBSET_MAX);
    buf_init(&s->cid_set, SUBSET_MAX);
    if (ok && !fill(set, face, characters, s)) {
        diag_report(sink, DIAG_FONT_SUBSET, (struct diag_pos){.file = set->faces[face].file}, NULL,
                    NULL);
        ok = false;
    }
    hb_set_destroy(characters);
    if (!ok) {
        font_subset_free(s);
        return NULL;
    }
    return s;
}

void font_subset_free(struct font_subset *s)
{
    if (s == NULL) {
        return;
    }
    buf_release(&s->program);
    buf_release(&s->code_widths);
    buf_release(&s->code_unicode);
    buf_release(&s->widths);
    buf_release(&s->to_unicode);
    buf_release(&s->cid_set);
    free(s);
}
