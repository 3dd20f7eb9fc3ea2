/* A finished document under a password: AES with 256 bits, which libharu does not have. */
#include "pdf/pdf_int.h"

#include <qpdf/qpdf-c.h>

#include <string.h>

/* What the library says is about the document's syntax, never about what it holds. */
static void tell(qpdf_data q, struct diag_sink *sink)
{
    qpdf_error error = qpdf_get_error(q);
    const char *detail = error == NULL ? "" : qpdf_get_error_message_detail(q, error);
    diag_report(sink, DIAG_PDF_PROTECT, (struct diag_pos){.file = NULL}, NULL, "%s", detail);
}

static qpdf_data quiet(void)
{
    qpdf_data q = qpdf_init();
    qpdf_silence_errors(q);
    qpdf_set_suppress_warnings(q, QPDF_TRUE);
    return q;
}

static bool write_protected(qpdf_data q, const char *password)
{
    if ((qpdf_init_write_memory(q) & QPDF_ERRORS) != 0) {
        return false;
    }
    /* One password for both: an empty second one would open the document to everybody. */
    qpdf_set_r6_encryption_parameters2(q, password, password, QPDF_TRUE, QPDF_TRUE, QPDF_TRUE,
                                       QPDF_TRUE, QPDF_TRUE, QPDF_TRUE, qpdf_r3p_full, QPDF_TRUE);
    qpdf_set_object_stream_mode(q, qpdf_o_preserve);
    return (qpdf_write(q) & QPDF_ERRORS) == 0;
}

bool pdf_protect(const char *password, struct buf *pdf, struct diag_sink *sink)
{
    qpdf_data q = quiet();
    bool ok = (qpdf_read_memory(q, "report", pdf->data, pdf->len, NULL) & QPDF_ERRORS) == 0 &&
              write_protected(q, password);
    if (ok) {
        const unsigned char *bytes = qpdf_get_buffer(q);
        size_t len = qpdf_get_buffer_length(q);
        buf_clear(pdf);
        buf_add(pdf, bytes, len);
    } else {
        tell(q, sink);
    }
    qpdf_cleanup(&q);
    return ok;
}

bool pdf_is_protected_by(const char *password, const struct buf *pdf)
{
    qpdf_data q = quiet();
    bool ok = (qpdf_read_memory(q, "report", pdf->data, pdf->len, password) & QPDF_ERRORS) == 0 &&
              qpdf_is_encrypted(q);
    if (qpdf_has_error(q))
        (void)qpdf_get_error(q); /* a wrong password is an answer, no error to print */
    qpdf_cleanup(&q);
    return ok;
}
