/*
 * A finished document under a password: AES with 256 bits, which libharu does not have. The library
 * that has it takes longer to load than the program and all of its other libraries, and few runs
 * ask for a password: it is loaded by those that do.
 */
#include "pdf/pdf_int.h"

#include <dlfcn.h>
#include <qpdf/qpdf-c.h>

#include <string.h>

#define CALLS(X)                                                                                   \
    X(init)                                                                                        \
    X(cleanup)                                                                                     \
    X(silence_errors)                                                                              \
    X(set_suppress_warnings)                                                                       \
    X(read_memory)                                                                                 \
    X(is_encrypted)                                                                                \
    X(has_error)                                                                                   \
    X(get_error)                                                                                   \
    X(get_error_message_detail)                                                                    \
    X(init_write_memory)                                                                           \
    X(set_r6_encryption_parameters2)                                                               \
    X(set_object_stream_mode)                                                                      \
    X(write)                                                                                       \
    X(get_buffer)                                                                                  \
    X(get_buffer_length)

static struct {
    void *library;
#define CALL(name) __typeof__(qpdf_##name) *name;
    CALLS(CALL)
#undef CALL
} qpdf;

/* An object's address into a pointer to a function, which C has no cast for. */
static bool find(const char *name, void *to, size_t size)
{
    void *found = dlsym(qpdf.library, name);
    memcpy(to, &found, size);
    return found != NULL;
}

bool pdf_can_protect(struct diag_sink *sink)
{
    if (qpdf.library != NULL) {
        return true;
    }
    qpdf.library = dlopen(ENDFEEL_QPDF, RTLD_NOW | RTLD_LOCAL);
#define CALL(name) &&find("qpdf_" #name, &qpdf.name, sizeof qpdf.name)
    if (qpdf.library != NULL CALLS(CALL)) {
        return true;
    }
#undef CALL
    diag_report(sink, DIAG_PDF_PROTECT, (struct diag_pos){.file = NULL}, NULL, "%s", dlerror());
    if (qpdf.library != NULL) {
        (void)dlclose(qpdf.library);
        qpdf.library = NULL;
    }
    return false;
}

/* What the library says is about the document's syntax, never about what it holds. */
static void tell(qpdf_data q, struct diag_sink *sink)
{
    qpdf_error error = qpdf.get_error(q);
    const char *detail = error == NULL ? "" : qpdf.get_error_message_detail(q, error);
    diag_report(sink, DIAG_PDF_PROTECT, (struct diag_pos){.file = NULL}, NULL, "%s", detail);
}

static qpdf_data quiet(void)
{
    qpdf_data q = qpdf.init();
    qpdf.silence_errors(q);
    qpdf.set_suppress_warnings(q, QPDF_TRUE);
    return q;
}

static bool write_protected(qpdf_data q, const char *password)
{
    if ((qpdf.init_write_memory(q) & QPDF_ERRORS) != 0) {
        return false;
    }
    /* One password for both: an empty second one would open the document to everybody. */
    qpdf.set_r6_encryption_parameters2(q, password, password, QPDF_TRUE, QPDF_TRUE, QPDF_TRUE,
                                       QPDF_TRUE, QPDF_TRUE, QPDF_TRUE, qpdf_r3p_full, QPDF_TRUE);
    qpdf.set_object_stream_mode(q, qpdf_o_preserve);
    return (qpdf.write(q) & QPDF_ERRORS) == 0;
}

bool pdf_protect(const char *password, struct buf *pdf, struct diag_sink *sink)
{
    if (!pdf_can_protect(sink)) {
        return false;
    }
    qpdf_data q = quiet();
    bool ok = (qpdf.read_memory(q, "report", pdf->data, pdf->len, NULL) & QPDF_ERRORS) == 0 &&
              write_protected(q, password);
    if (ok) {
        const unsigned char *bytes = qpdf.get_buffer(q);
        size_t len = qpdf.get_buffer_length(q);
        buf_clear(pdf);
        buf_add(pdf, bytes, len);
    } else {
        tell(q, sink);
    }
    qpdf.cleanup(&q);
    return ok;
}

bool pdf_is_protected_by(const char *password, const struct buf *pdf)
{
    struct diag_sink unheard = {0}; /* pdf_protect() says it, which comes next */
    if (!pdf_can_protect(&unheard)) {
        return false;
    }
    qpdf_data q = quiet();
    bool ok = (qpdf.read_memory(q, "report", pdf->data, pdf->len, password) & QPDF_ERRORS) == 0 &&
              qpdf.is_encrypted(q);
    if (qpdf.has_error(q))
        (void)qpdf.get_error(q); /* a wrong password is an answer, no error to print */
    qpdf.cleanup(&q);
    return ok;
}
