/*
 * Writing a finished libharu document. The library writes each object as it would; where they
 * lie is ours: streams one by one, all other objects packed into object streams, and a packed
 * cross-reference stream (both of PDF 1.5). A structure tree of some hundred elements then adds
 * a few kilobytes instead of tens.
 *
 * The file identifier is a hash of everything before it: same document, same bytes.
 */
#include "pdf/pdf_int.h"
#include "pdf/hpdf_int.h"

#include <stdlib.h>
#include <string.h>
#include <zlib.h>

enum {
    OBJECTS_IN_STREAM = 1000, /* so that a reader need not unpack all to find one */
    ROW = 7                  /* bytes of a cross-reference row: kind 1, place 4, index 2 */
};

struct place {
    unsigned char kind; /* 0 free, 1 at an offset, 2 in an object stream */
    size_t at;          /* offset, or the object stream's number */
    unsigned index;     /* in the object stream */
};

struct save {
    struct hdoc *h;
    struct place *places; /* by object number; arena */
    unsigned n;           /* numbers given out */
    unsigned filled;      /* objects in the object stream at hand */
};

void hdoc_put(struct hdoc *h, const char *bytes, size_t len)
{
    hdoc_must(h, HPDF_Stream_Write(h->to_out, (const HPDF_BYTE *)bytes, (HPDF_UINT)len));
}

static void put_text(struct hdoc *h, const char *text)
{
    hdoc_put(h, text, strlen(text));
}

void hdoc_putf(struct hdoc *h, const char *fmt, ...)
{
    char text[320];
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(text, sizeof(text), fmt, ap);
    va_end(ap);
    put_text(h, text);
}

static void begin_object(struct save *s, unsigned number)
{
    char line[32];
    s->places[number] = (struct place){1, s->h->out->len, 0};
    snprintf(line, sizeof(line), "%u 0 obj\n", number);
    put_text(s->h, line);
}

static void put_packed(struct save *s, const char *entries, const void *bytes, size_t len)
{
    char length[64];
    buf_clear(&s->h->packed);
    packer_add(s->h->packer, bytes, len, &s->h->packed);
    snprintf(length, sizeof(length), "/Length %zu/Filter/FlateDecode>>\nstream\n",
             s->h->packed.len);
    put_text(s->h, "<<");
    put_text(s->h, entries);
    put_text(s->h, length);
    hdoc_put(s->h, s->h->packed.data, s->h->packed.len);
    put_text(s->h, "\nendstream\nendobj\n");
}

/* ---- object streams ---------------------------------------------------------------------- */

static void flush_objects(struct save *s)
{
    if (s->filled == 0) {
        return;
    }
    struct hdoc *h = s->h;
    char entries[64];
    snprintf(entries, sizeof(entries), "/Type/ObjStm/N %u/First %zu", s->filled, h->head.len);
    buf_add(&h->head, h->text.data, h->text.len);
    begin_object(s, s->n++);
    put_packed(s, entries, h->head.data, h->head.len);
    buf_clear(&h->head);
    buf_clear(&h->text);
    s->filled = 0;
}

/* The caller adds the object's text to h->text next. */
static void begin_packed_object(struct save *s, unsigned number)
{
    if (s->filled == OBJECTS_IN_STREAM) {
        flush_objects(s);
    }
    s->places[number] = (struct place){2, s->n, s->filled};
    struct buf *head = &s->h->head;
    char *to = pdf_digits(buf_room(head, 2 * PDF_DIGITS_MOST + 2), number);
    *to++ = ' ';
    to = pdf_digits(to, (unsigned)s->h->text.len);
    *to++ = ' ';
    buf_take(head, to);
    s->filled++;
}

void *hdoc_object_at(struct hdoc *h, unsigned number)
{
    HPDF_XrefEntry entry = HPDF_Xref_GetEntry(h->pdf->xref, number);
    if (entry == NULL || entry->obj == NULL) {
        hdoc_fail(h, HPDF_INVALID_OBJ_ID);
    }
    return entry->obj;
}

static void write_objects(struct save *s)
{
    struct hdoc *h = s->h;
    unsigned end = h->first_tail;
    for (unsigned i = 1; i < end; i++) {
        void *object = hdoc_object_at(h, i);
        if (hdoc_is_stream(h, object)) {
            begin_object(s, i);
            hdoc_must(h, HPDF_Obj_WriteValue(object, h->to_out, NULL));
            put_text(h, "\nendobj\n");
        }
    }
    for (unsigned i = 1; i < end; i++) {
        void *object = hdoc_object_at(h, i);
        if (!hdoc_is_stream(h, object)) {
            begin_packed_object(s, i);
            hdoc_must(h, HPDF_Obj_WriteValue(object, h->to_text, NULL));
            buf_addc(&h->text, '\n');
        }
    }
    for (size_t i = 0; i < h->n_tail; i++) {
        size_t start = i == 0 ? 0 : h->tail_ends[i - 1];
        begin_packed_object(s, end + (unsigned)i);
        buf_add(&h->text, h->tail.data + start, h->tail_ends[i] - start);
        buf_addc(&h->text, '\n');
    }
    flush_objects(s);
}

/* ---- the cross-reference stream ---------------------------------------------------------- */

static void put_row(unsigned char row[ROW], const struct place *p)
{
    row[0] = p->kind;
    for (int i = 0; i < 4; i++) {
        row[1 + i] = (unsigned char)(p->at >> (24 - 8 * i) & 0xFFU);
    }
    row[5] = (unsigned char)(p->index >> 8 & 0xFFU);
    row[6] = (unsigned char)(p->index & 0xFFU);
}

/* Rows as differences from the row above, which pack far better. */
static void write_cross_reference(struct save *s, const char id[HDOC_ID])
{
    enum { UP = 2 };
    struct hdoc *h = s->h;
    unsigned number = s->n++;
    size_t start = h->out->len;
    begin_object(s, number);
    unsigned char above[ROW] = {0}, row[ROW];
    buf_clear(&h->text);
    char *to = buf_room(&h->text, (size_t)s->n * (1 + ROW));
    for (unsigned i = 0; i < s->n; i++) {
        put_row(row, &s->places[i]);
        *to++ = UP;
        for (int k = 0; k < ROW; k++) {
            *to++ = (char)(row[k] - above[k]);
            above[k] = row[k];
        }
    }
    buf_take(&h->text, to);
    char entries[320];
    snprintf(entries, sizeof(entries),
             "/Type/XRef/Size %u/W[1 4 2]/Root %u 0 R/Info %u 0 R/ID[<%s><%s>]"
             "/DecodeParms<</Columns %d/Predictor 12>>",
             s->n, h->pdf->catalog->header.obj_id & HPDF_OBJECT_NUMBER,
             h->pdf->info->header.obj_id & HPDF_OBJECT_NUMBER, id, id, (int)ROW);
    put_packed(s, entries, h->text.data, h->text.len);
    char end[64];
    snprintf(end, sizeof(end), "startxref\n%zu\n%%%%EOF\n", start);
    put_text(h, end);
}

/* Two running mixes, of every other eight bytes each, that meet at the end. An identifier has to
 * tell documents apart, not to withstand forgery, and a digest would cost as much as the page
 * contents. */
void hdoc_make_id(const struct buf *out, char id[HDOC_ID])
{
    enum { STEP = 16 };
    static const uint64_t odd[2] = {0xFF51AFD7ED558CCDU, 0xC4CEB9FE1A85EC53U};
    uint64_t mix[2] = {0x9E3779B97F4A7C15U, 0xC2B2AE3D27D4EB4FU ^ out->len}, word[2];
    size_t at = 0;
    for (; at + STEP <= out->len; at += STEP) {
        memcpy(word, out->data + at, STEP);
        for (int i = 0; i < 2; i++) {
            mix[i] = (mix[i] ^ word[i]) * odd[i];
            mix[i] ^= mix[i] >> 32;
        }
    }
    memset(word, 0, STEP);
    memcpy(word, out->data + at, out->len - at);
    for (int i = 0; i < 4; i++) { /* twice each: what one has seen shows in both */
        mix[i % 2] = (mix[i % 2] ^ word[i % 2] ^ mix[1 - i % 2]) * odd[i % 2];
        mix[i % 2] ^= mix[i % 2] >> 32;
    }
    snprintf(id, HDOC_ID, "%016llX%016llX", (unsigned long long)mix[0], (unsigned long long)mix[1]);
}

/* ---- looking at the result --------------------------------------------------------------- */

/* The packed rows of the cross-reference at `start`, with their filter bytes. */
static bool read_rows(const struct buf *out, size_t start, struct buf *rows)
{
    const char *stream = memmem(out->data + start, out->len - start, "stream\n", 7);
    if (stream == NULL) {
        return false;
    }
    z_stream z = {.next_in = (Bytef *)(uintptr_t)(stream + 7),
                  .avail_in = (uInt)(out->len - (size_t)(stream + 7 - out->data))};
    if (inflateInit(&z) != Z_OK) {
        return false;
    }
    unsigned char piece[4096];
    int rc = Z_OK;
    while (rc == Z_OK) {
        z.next_out = piece;
        z.avail_out = sizeof(piece);
        rc = inflate(&z, Z_NO_FLUSH);
        buf_add(rows, piece, sizeof(piece) - z.avail_out);
    }
    inflateEnd(&z);
    return rc == Z_STREAM_END && rows->len > 0 && rows->len % (1 + ROW) == 0;
}

bool hdoc_starts_there(const struct buf *out, size_t offset, size_t number)
{
    char line[32];
    int n = snprintf(line, sizeof(line), "%zu 0 obj\n", number);
    return offset + (size_t)n <= out->len && memcmp(out->data + offset, line, (size_t)n) == 0;
}

static bool rows_are_true(const struct buf *out, const struct buf *rows)
{
    unsigned char row[ROW] = {0};
    size_t n = rows->len / (1 + ROW), objects = 0;
    for (size_t i = 0; i < n; i++) {
        for (int k = 0; k < ROW; k++) {
            unsigned char step = (unsigned char)rows->data[i * (1 + ROW) + 1 + (size_t)k];
            row[k] = (unsigned char)(row[k] + step);
        }
        size_t at = (size_t)row[1] << 24 | (size_t)row[2] << 16 | (size_t)row[3] << 8 | row[4];
        bool ok = i == 0 ? row[0] == 0
                         : (row[0] == 1 && hdoc_starts_there(out, at, i)) ||
                               (row[0] == 2 && at < n);
        if (!ok) {
            return false;
        }
        objects += row[0] == 2;
    }
    return objects > 0;
}

bool pdf_looks_whole(const struct buf *out)
{
    static const char word[] = "startxref\n";
    const char *at = memmem(out->data, out->len, word, sizeof(word) - 1);
    size_t start = at == NULL ? 0 : strtoul(at + sizeof(word) - 1, NULL, 10);
    struct buf rows;
    if (start > 0 && start < out->len && memcmp(out->data, "%PDF-1.4\n", 9) == 0) {
        return hdoc_plain_is_whole(out, start);
    }
    buf_init(&rows, PDF_PART_MAX);
    bool ok = start > 0 && start < out->len && memcmp(out->data, "%PDF-1.7\n", 9) == 0 &&
              read_rows(out, start, &rows) && rows_are_true(out, &rows);
    buf_release(&rows);
    return ok;
}

/* ---- all of it --------------------------------------------------------------------------- */

void hdoc_save(struct hdoc *h)
{
    size_t objects = hdoc_next_tail(h);
    size_t numbers = objects + objects / OBJECTS_IN_STREAM + 3;
    if (h->pdf->xref->entries->count != h->first_tail || numbers > HPDF_OBJECT_NUMBER) {
        hdoc_fail(h, HPDF_XREF_COUNT_ERR);
    }
    if (h->form == PDF_ARCHIVE) {
        hdoc_save_plain(h, (unsigned)objects);
        return;
    }
    struct save s = {.h = h, .n = (unsigned)objects};
    s.places = arena_alloc(h->arena, numbers * sizeof(*s.places));
    s.places[0].index = 0xFFFF;
    buf_clear(&h->text);
    put_text(h, "%PDF-1.7\n%\xB7\xBE\xAD\xAA\n");
    write_objects(&s);
    char id[HDOC_ID];
    hdoc_make_id(h->out, id);
    write_cross_reference(&s, id);
}
