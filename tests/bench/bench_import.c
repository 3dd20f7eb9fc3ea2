/*
 * bench_import FILE ROUNDS: reads a CSV file as a batch does, in one process and in memory, and
 * prints "MB bytes-a-row rows model memory": its size, the rate of making rows of it, the rate of
 * that and the model of each patient (packing and unpacking of rows included), both in MB/s of
 * processor time, and what the arena of a patient takes for each row of his, texts included. The
 * allocator is set as the batch sets it.
 */
#include "import/import.h"

#include <malloc.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const struct date today = {2030, 1, 1};

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

struct totals {
    size_t bytes;
    long rows;
};

static void build(struct import_source *src, const struct buf *packed, size_t n, struct arena *a,
                  const struct reference *ref, struct tally *tally, struct totals *totals)
{
    struct import_source *const sources[] = {src};
    struct diag_sink sink = {0};
    struct row *rows = arena_alloc(a, (n + 1) * sizeof *rows);
    size_t used = 0;
    for (size_t i = 0; i < n; i++)
        used += row_unpack(packed->data + used, packed->len - used, a, &rows[i]);
    (void)import_patient(rows, n, sources, ref, today, a, tally, &sink);
    totals->bytes += arena_bytes(a);
    arena_clear(a);
}

/* The rows of one patient stand together in the file, so that no sorting is timed. */
static struct totals read_file(const char *path, const struct reference *ref, bool model)
{
    struct diag_sink sink = {0};
    struct totals totals = {0};
    struct tally tally = {0};
    struct row row;
    struct buf packed;
    struct arena *a = arena_new();
    char id[100] = "";
    size_t n = 0;
    buf_init(&packed, SIZE_MAX / 4);
    struct import_source *src =
        import_open(path, 0, false, import_settings_default(), ref, &sink);
    if (src == NULL)
        exit(3);
    while (import_next(src, &row, &tally, &sink) == IMPORT_ROW) {
        totals.rows++;
        if (!model)
            continue;
        const char *patient = import_row_patient(src, &row);
        if (n > 0 && strcmp(patient, id) != 0) {
            build(src, &packed, n, a, ref, &tally, &totals);
            buf_clear(&packed);
            n = 0;
        }
        if (n == 0)
            snprintf(id, sizeof id, "%s", patient);
        row_pack(&row, &packed);
        n++;
    }
    if (model && n > 0)
        build(src, &packed, n, a, ref, &tally, &totals);
    buf_release(&packed);
    arena_free(a);
    import_close(src);
    return totals;
}

int main(int argc, char **argv)
{
    struct diag_sink sink = {0};
    if (argc != 3) {
        fputs("usage: bench_import FILE ROUNDS\n", stderr);
        return 2;
    }
    mallopt(M_TRIM_THRESHOLD, 64 << 20);
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
    struct reference *ref = reference_load_embedded(&sink);
    FILE *f = fopen(argv[1], "rb");
    if (ref == NULL || f == NULL || fseek(f, 0, SEEK_END) != 0)
        return 3;
    double megabytes = (double)ftell(f) / 1e6;
    fclose(f);
    double best[2] = {0, 0};
    struct totals totals = {0};
    for (int i = 0; i < 2 * atoi(argv[2]); i++) {
        double start = now();
        totals = read_file(argv[1], ref, i % 2 != 0);
        double rate = megabytes / (now() - start);
        best[i % 2] = rate > best[i % 2] ? rate : best[i % 2];
    }
    double rows = totals.rows > 0 ? (double)totals.rows : 1;
    printf("%.1f %.1f %.1f %.1f %.0f\n", megabytes, megabytes * 1e6 / rows, best[0], best[1],
           (double)totals.bytes / rows);
    reference_free(ref);
    return 0;
}
