/*
 * A document's properties: the information dictionary and, in a file for archives (PDF/A-1b, ISO
 * 19005-1), the same once more as XMP, with the profile that says what the colours mean. Both
 * are written from one struct, because an archive file in which they differ is not one.
 */
#include "pdf/pdf_int.h"

#include <string.h>

/* A profile of sRGB, from the build: obj/pdf/profile.S. */
extern const char pdf_profile[];
extern const uint64_t pdf_profile_size;

void properties_prepare(struct pdf_writer *w)
{
    packer_add(&w->packer, pdf_profile, pdf_profile_size, &w->profile);
}

/* What no XML can hold stands as a space in both forms. */
static const char *clean(struct arena *a, const char *text)
{
    static const char not_characters[2][4] = {"\xEF\xBF\xBE", "\xEF\xBF\xBF"};
    if (text == NULL) {
        return NULL;
    }
    char *copy = arena_strdup(a, text);
    for (char *s = copy; *s != '\0'; s++) {
        if ((unsigned char)*s < ' ') {
            *s = ' ';
        } else if (memcmp(s, not_characters[0], strnlen(s, 3)) == 0 ||
                   memcmp(s, not_characters[1], strnlen(s, 3)) == 0) {
            memset(s, ' ', 3);
        }
    }
    return copy;
}

/* ---- information dictionary -------------------------------------------------------------- */

static void add_property(struct buf *text, const char *key, const char *value)
{
    if (value != NULL) {
        buf_adds(text, key);
        pdf_text_string(text, value);
    }
}

static void add_info(struct pdf_writer *w, struct hdoc *h, const struct properties *p)
{
    struct buf *text = &w->text;
    buf_clear(text);
    add_property(text, "/Title", p->title);
    add_property(text, "/Author", p->author);
    add_property(text, "/Subject", p->subject);
    add_property(text, "/Producer", p->producer);
    if (p->date != NULL) {
        const char *d = p->date; /* YYYY-MM-DD, checked */
        buf_addf(text, "/CreationDate(D:%.4s%.2s%.2s%s)", d, d + 5, d + 8,
                 w->form == PDF_ARCHIVE ? "000000Z" : "");
    }
    hdoc_info(h, buf_text(text));
}

/* ---- XMP --------------------------------------------------------------------------------- */

static void add_escaped(struct buf *out, const char *text)
{
    for (const char *s = text; *s != '\0'; s++) {
        switch (*s) {
        case '&':
            buf_adds(out, "&amp;");
            break;
        case '<':
            buf_adds(out, "&lt;");
            break;
        case '>':
            buf_adds(out, "&gt;");
            break;
        default:
            buf_addc(out, *s);
        }
    }
}

static void add_element(struct buf *out, const char *before, const char *value, const char *after)
{
    if (value != NULL) {
        buf_adds(out, before);
        add_escaped(out, value);
        buf_adds(out, after);
    }
}

static unsigned add_metadata(struct pdf_writer *w, struct hdoc *h, const struct properties *p)
{
    struct buf *text = &w->text;
    buf_clear(text);
    buf_adds(text,
             "<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
             "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
             "<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
             "<rdf:Description rdf:about=\"\" xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\" "
             "xmlns:dc=\"http://purl.org/dc/elements/1.1/\" "
             "xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" "
             "xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\">\n"
             "<pdfaid:part>1</pdfaid:part>\n<pdfaid:conformance>B</pdfaid:conformance>\n");
    add_element(text, "<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">", p->title,
                "</rdf:li></rdf:Alt></dc:title>\n");
    add_element(text, "<dc:creator><rdf:Seq><rdf:li>", p->author,
                "</rdf:li></rdf:Seq></dc:creator>\n");
    add_element(text, "<dc:description><rdf:Alt><rdf:li xml:lang=\"x-default\">", p->subject,
                "</rdf:li></rdf:Alt></dc:description>\n");
    add_element(text, "<pdf:Producer>", p->producer, "</pdf:Producer>\n");
    add_element(text, "<xmp:CreateDate>", p->date, "T00:00:00Z</xmp:CreateDate>\n");
    buf_adds(text, "</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>");
    const char *kept = arena_strndup(w->arena, text->data, text->len);
    return hdoc_stream_as(h, "/Type/Metadata/Subtype/XML", kept, text->len, NULL);
}

void properties_write(struct pdf_writer *w, struct hdoc *h, const struct properties *given,
                      struct buf *catalog)
{
    struct properties p = *given;
    p.title = clean(w->arena, p.title);
    p.author = clean(w->arena, p.author);
    p.subject = clean(w->arena, p.subject);
    p.producer = w->producer;
    add_info(w, h, &p);
    add_property(catalog, "/Lang", p.language);
    if (p.title != NULL) {
        buf_adds(catalog, "/ViewerPreferences<</DisplayDocTitle true>>");
    }
    if (w->form == PDF_ARCHIVE) {
        unsigned profile = hdoc_stream(h, "/N 3", w->profile.data, w->profile.len);
        buf_addf(catalog,
                 "/Metadata %u 0 R/OutputIntents[<</Type/OutputIntent/S/GTS_PDFA1"
                 "/OutputConditionIdentifier(sRGB)/Info(sRGB)/DestOutputProfile %u 0 R>>]",
                 add_metadata(w, h, &p), profile);
    }
}
