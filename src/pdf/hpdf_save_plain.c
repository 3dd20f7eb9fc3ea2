/*
 * Writing a finished document in the oldest form, of PDF 1.4: every object by itself and a plain
 * cross-reference table. Archives (PDF/A-1) take no other.
 */
#include "pdf/hpdf_int.h"

#include <string.h>

enum { ENTRY = 20 /* bytes of a line of the table; the format counts on it */ };

static void begin(struct hdoc *h, size_t *places, unsigned number)
{
    places[number] = h->out->len;
    hdoc_putf(h, "%u 0 obj\n", number);
}

void hdoc_save_plain(struct hdoc *h, unsigned n)
{
    size_t *places = arena_alloc(h->arena, n * sizeof(*places));
    hdoc_putf(h, "%%PDF-1.4\n%%\xB7\xBE\xAD\xAA\n");
    for (unsigned i = 1; i < h->first_tail; i++) {
        begin(h, places, i);
        hdoc_must(h, HPDF_Obj_WriteValue(hdoc_object_at(h, i), h->to_out, NULL));
        hdoc_putf(h, "\nendobj\n");
    }
    for (size_t i = 0; i < h->n_tail; i++) {
        size_t start = i == 0 ? 0 : h->tail_ends[i - 1];
        begin(h, places, h->first_tail + (unsigned)i);
        hdoc_put(h, h->tail.data + start, h->tail_ends[i] - start);
        hdoc_putf(h, "\nendobj\n");
    }
    char id[HDOC_ID];
    hdoc_make_id(h->out, id);
    size_t table = h->out->len;
    hdoc_putf(h, "xref\n0 %u\n0000000000 65535 f \n", n);
    for (unsigned i = 1; i < n; i++) {
        hdoc_putf(h, "%010zu 00000 n \n", places[i]);
    }
    hdoc_putf(h, "trailer\n<</Size %u/Root %u 0 R/Info %u 0 R/ID[<%s><%s>]>>\nstartxref\n%zu\n"
                 "%%%%EOF\n",
              n, h->pdf->catalog->header.obj_id & HPDF_OBJECT_NUMBER,
              h->pdf->info->header.obj_id & HPDF_OBJECT_NUMBER, id, id, table);
}

/* Does every entry of the table say where its object starts? */
bool hdoc_plain_is_whole(const struct buf *out, size_t start)
{
    unsigned n = 0;
    int head = 0;
    if (sscanf(out->data + start, "xref\n0 %u\n%n", &n, &head) != 1 || head == 0) {
        return false;
    }
    size_t at = start + (size_t)head;
    for (unsigned i = 1; i < n; i++) {
        size_t place = 0;
        at += ENTRY;
        if (at + ENTRY > out->len || sscanf(out->data + at, "%10zu", &place) != 1 ||
            !hdoc_starts_there(out, place, i)) {
            return false;
        }
    }
    return n > 1;
}
