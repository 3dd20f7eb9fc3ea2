/* A file inside the document, named so that readers list it and say what it is to the document. */
#include "pdf/pdf_int.h"

void attachment_write(struct pdf_writer *w, struct hdoc *h, const struct pdf_attachment *file,
                      const char *date, struct buf *catalog)
{
    struct buf *text = &w->text, packed;
    char moment[40] = "";
    buf_init(&packed, PDF_PART_MAX);
    packer_add(&w->packer, file->bytes, file->len, &packed);
    if (date != NULL) {
        snprintf(moment, sizeof(moment), "/ModDate(D:%.4s%.2s%.2s)", date, date + 5, date + 8);
    }
    buf_clear(text);
    buf_addf(text, "/Type/EmbeddedFile/Subtype/text#2Fxml/Params<</Size %zu%s>>", file->len,
             moment);
    unsigned stream = hdoc_stream(h, buf_text(text),
                                  arena_strndup(w->arena, packed.data, packed.len), packed.len);
    buf_release(&packed);
    buf_clear(text);
    buf_adds(text, "/Type/Filespec/F");
    pdf_text_string(text, file->name);
    buf_adds(text, "/UF");
    pdf_text_string(text, file->name);
    buf_adds(text, "/Desc");
    pdf_text_string(text, file->description);
    buf_addf(text, "/AFRelationship/Source/EF<</F %u 0 R/UF %u 0 R>>", stream, stream);
    unsigned spec = hdoc_object(h, buf_text(text));
    buf_adds(catalog, "/Names<</EmbeddedFiles<</Names[");
    pdf_text_string(catalog, file->name);
    buf_addf(catalog, "%u 0 R]>>>>/AF[%u 0 R]", spec, spec);
}
