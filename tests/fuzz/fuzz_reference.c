/* Fuzz target: any bytes as a file of a reference library, which stands alone in its folder. It is
 * loaded or refused with at least one error said, never both and never neither; a library that
 * lacks whole tables is refused, but only after all that is there was read. Built by `make fuzz`;
 * seeds are the smaller files of the project's own library. */
#include "reference/reference.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static char folder[] = "/tmp/fuzz-reference-XXXXXX", path[64];

static void clear_away(void)
{
    unlink(path);
    rmdir(folder);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (path[0] == '\0') { /* once for all inputs */
        assert(mkdtemp(folder) != NULL);
        snprintf(path, sizeof path, "%s/part.xml", folder);
        atexit(clear_away);
    }
    struct diag_sink sink = {0};
    FILE *f = fopen(path, "wb");
    assert(f != NULL && fwrite(data, 1, size, f) == size);
    assert(fclose(f) == 0);
    struct reference *ref = reference_load_folder(folder, &sink);
    bool refused = sink.count[DIAG_ERROR] + sink.count[DIAG_SYSTEM] > 0;
    assert((ref == NULL) == refused);
    if (ref != NULL)
        reference_free(ref);
    return 0;
}
