/* Fuzz target: any bytes as a column map; what follows a NUL byte is the export it is for. A map
 * loads or is refused; with one that loads every row ends in one count of the tally. Built by
 * `make fuzz`. */
#include "import/import.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const struct date today = {2030, 1, 1};
/* Long and wide, signs and decimals, for a map without an export of its own. */
static const char export[] =
    "id;Datum;patient_id;visit_date;joint;motion;side;test;value;R knee flex AROM;note\n"
    "P1;14.03.2025;P1;2025-03-14;knee;flexion;right;AROM;120,5;118;x\n"
    "P1;03/14/2025;P1;2025-03-14;knee;extension;links;PROM;-5;0-10-120;\n"
    "P2;2025-03-14;P2;2025-03-14;hip;flexion;left;MMT;4-;90;y\n";

static int file_of(const void *bytes, size_t len, char path[40])
{
    int fd = memfd_create("input", MFD_CLOEXEC);
    assert(fd >= 0 && write(fd, bytes, len) == (ssize_t)len);
    snprintf(path, 40, "/proc/self/fd/%d", fd);
    return fd;
}

static void read_patient(struct import_source *src, struct row *rows, size_t n,
                         const struct reference *ref, struct arena *a, struct tally *tally,
                         struct diag_sink *sink)
{
    struct import_source *const sources[] = {src};
    char why[200];
    const char *id = n > 0 ? import_row_patient(src, &rows[0]) : NULL;
    size_t mine = 0;
    for (size_t i = 0; i < n; i++) {
        if (strcmp(import_row_patient(src, &rows[i]), id) == 0)
            rows[mine++] = rows[i];
        else
            tally->held++; /* of another patient, whose turn it is not here */
    }
    if (mine == 0)
        return;
    bool sound = model_check(import_patient(rows, mine, sources, ref, today, a, tally, sink), why,
                             sizeof why);
    assert(sound);
}

static void read_export(const char *path, const struct import_settings *settings,
                        const struct reference *ref, struct diag_sink *sink)
{
    enum { ROWS_MOST = 200 };
    struct import_source *src = import_open(path, 0, false, settings, ref, sink);
    if (src == NULL)
        return;
    struct arena *a = arena_new();
    struct row *rows = mem_alloc(ROWS_MOST * sizeof *rows), row;
    struct tally tally = {0};
    size_t n = 0;
    import_map_unused(settings, &src, 1, sink);
    while (import_next(src, &row, &tally, sink) == IMPORT_ROW) {
        if (*import_row_patient(src, &row) == '\0' || n == ROWS_MOST) {
            import_hold_row(src, &row, DIAG_NO_PATIENT_ID, &tally, sink);
            continue;
        }
        struct buf packed;
        buf_init(&packed, SIZE_MAX / 4);
        row_pack(&row, &packed);
        (void)row_unpack(arena_strndup(a, packed.data, packed.len), packed.len, a, &rows[n++]);
        buf_release(&packed);
    }
    read_patient(src, rows, n, ref, a, &tally, sink);
    assert(tally.rows_in == tally.used + tally.duplicates + tally.held);
    free(rows);
    arena_free(a);
    import_close(src);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct reference *ref;
    struct diag_sink sink = {0};
    char map_path[40], path[40];
    if (ref == NULL)
        ref = reference_load_embedded(&sink);
    const uint8_t *end = size > 0 ? memchr(data, '\0', size) : NULL;
    size_t len = end != NULL ? (size_t)(end - data) : size;
    int map = file_of(data, len, map_path);
    int csv = end != NULL ? file_of(end + 1, size - len - 1, path)
                          : file_of(export, sizeof export - 1, path);
    struct arena *a = arena_new();
    const struct import_settings *settings = import_settings_load(map_path, ref, a, &sink);
    if (settings != NULL)
        read_export(path, settings, ref, &sink);
    arena_free(a);
    close(map);
    close(csv);
    return 0;
}
