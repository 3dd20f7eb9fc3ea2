/* Fuzz target: any bytes as a CSV export -> rows -> patients of the model. Whatever the bytes are,
 * every row ends in one count of the tally, the model holds its invariants, and the findings of
 * each visit can be computed and written. Built by `make fuzz`; seeds are tests/cases. */
#include "findings/findings.h"
#include "import/import.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const struct date today = {2030, 1, 1};

/* The rows of the file, packed and unpacked once as between processes. */
static struct row *read_rows(struct import_source *src, struct arena *a, size_t *n,
                             struct tally *tally, struct diag_sink *sink)
{
    struct row *rows = NULL, row;
    size_t cap = 0;
    *n = 0;
    while (import_next(src, &row, tally, sink) == IMPORT_ROW) {
        if (*import_row_patient(src, &row) == '\0') {
            import_hold_row(src, &row, DIAG_NO_PATIENT_ID, tally, sink);
            continue;
        }
        struct buf packed;
        buf_init(&packed, SIZE_MAX / 4);
        row_pack(&row, &packed);
        const char *bytes = arena_strndup(a, packed.data, packed.len);
        if (*n == cap) {
            cap = cap == 0 ? 16 : cap * 2;
            rows = mem_resize(rows, cap * sizeof *rows);
        }
        size_t used = row_unpack(bytes, packed.len, a, &rows[(*n)++]);
        assert(used == packed.len);
        buf_release(&packed);
    }
    return rows;
}

static void compute(const struct patient *p, const struct reference *ref, struct arena *a)
{
    char why[200];
    bool sound = model_check(p, why, sizeof why);
    assert(sound);
    struct buf out;
    buf_init(&out, SIZE_MAX / 4);
    const struct clinic clinic = clinic_default(ref);
    for (size_t i = 0; i < p->n_visits; i++)
        findings_csv_rows(rules_evaluate(p, &p->visits[i], ref, &clinic, a), &out);
    buf_release(&out);
}

static void read_patients(struct import_source *src, const struct row *rows, size_t n,
                          const struct reference *ref, struct tally *tally, struct diag_sink *sink)
{
    struct import_source *const sources[] = {src};
    struct row *mine = mem_alloc((n + 1) * sizeof *mine);
    bool *taken = mem_alloc(n + 1);
    for (size_t i = 0; i < n; i++) {
        size_t count = 0;
        for (size_t k = i; k < n && !taken[i]; k++) {
            if (strcmp(import_row_patient(src, &rows[k]), import_row_patient(src, &rows[i])) == 0) {
                mine[count++] = rows[k];
                taken[k] = k != i;
            }
        }
        if (count == 0)
            continue;
        struct arena *a = arena_new();
        compute(import_patient(mine, count, sources, ref, today, a, tally, sink), ref, a);
        arena_free(a);
    }
    free(mine);
    free(taken);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct reference *ref;
    struct diag_sink sink = {0};
    if (ref == NULL)
        ref = reference_load_embedded(&sink);
    int fd = memfd_create("export", MFD_CLOEXEC);
    assert(fd >= 0 && write(fd, data, size) == (ssize_t)size);
    char path[40];
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    struct import_source *src =
        import_open(path, 0, false, import_settings_default(), ref, &sink);
    if (src != NULL) {
        struct arena *a = arena_new();
        struct tally tally = {0};
        size_t n;
        struct row *rows = read_rows(src, a, &n, &tally, &sink);
        read_patients(src, rows, n, ref, &tally, &sink);
        assert(tally.rows_in == tally.used + tally.duplicates + tally.held);
        free(rows);
        arena_free(a);
        import_close(src);
    }
    close(fd);
    return 0;
}
