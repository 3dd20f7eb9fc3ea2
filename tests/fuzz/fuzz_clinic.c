/* Fuzz target: any bytes as a clinic file. It loads or is refused with at least one error said,
 * never both and never neither. Built by `make fuzz`; seeds are clinic files of the project. */
#include "model/model.h"

#include <assert.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct reference *ref; /* once for all inputs */
    struct diag_sink sink = {0};
    if (ref == NULL)
        ref = reference_load_embedded(&sink);
    assert(ref != NULL);
    char path[40];
    int fd = memfd_create("clinic", MFD_CLOEXEC);
    assert(fd >= 0 && write(fd, data, size) == (ssize_t)size);
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    struct arena *a = arena_new();
    const struct clinic *clinic = clinic_load(path, ref, a, &sink);
    bool refused = sink.count[DIAG_ERROR] + sink.count[DIAG_SYSTEM] > 0;
    assert((clinic == NULL) == refused);
    arena_free(a);
    close(fd);
    return 0;
}
