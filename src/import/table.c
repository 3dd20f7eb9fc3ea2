/* Tables that are not about patients: the columns are named by the caller, the rows and cells are
 * read as everywhere. A header that is not known is told; one that was probably meant for a column
 * that is missing refuses the file, for without it every row would say something else. */
#include "import/heading_int.h"
#include "import/import_int.h"

#include <string.h>

static struct diag_pos header_pos(const struct import_source *src, const struct cell *cell)
{
    return (struct diag_pos){.file = src->path, .line = cell->line, .column = cell->column,
                             .field = cell->len > 0 ? cell->text : NULL};
}

static int column_of_name(const struct import_table *t, const char *written)
{
    for (int c = 0; c < t->n_columns; c++)
        if (column_is_named(written, t->columns[c]))
            return c;
    return -1;
}

static bool take_header(struct import_source *src, const struct import_table *t,
                        const struct row *header, struct diag_sink *sink)
{
    for (int i = 0; i < header->n_cells; i++) {
        const struct cell *cell = &header->cells[i];
        int c = column_of_name(t, cell->text);
        if (c < 0)
            continue;
        if (src->column_of[c] >= 0) {
            diag_report(sink, DIAG_CSV_COLUMN_TWICE, header_pos(src, cell), cell->text,
                        "columns %d and %d", src->column_of[c] + 1, cell->column);
            return false;
        }
        src->column_of[c] = i;
    }
    return true;
}

static const char *nearest_absent(const struct import_source *src, const struct import_table *t,
                                  const char *written)
{
    const char *absent[COL_COUNT];
    size_t n = 0;
    for (int c = 0; c < t->n_columns; c++)
        if (src->column_of[c] < 0)
            absent[n++] = t->columns[c];
    return str_nearest(written, absent, n);
}

static bool settle_others(const struct import_source *src, const struct import_table *t,
                          const struct row *header, struct diag_sink *sink)
{
    bool ok = true;
    for (int i = 0; i < header->n_cells; i++) {
        const struct cell *cell = &header->cells[i];
        struct diag_pos pos = header_pos(src, cell);
        const char *near = nearest_absent(src, t, cell->text);
        if (column_of_name(t, cell->text) >= 0)
            continue;
        if (cell->len == 0) {
            diag_report(sink, DIAG_CSV_COLUMN_UNNAMED, pos, NULL, "column %d", cell->column);
        } else if (near != NULL) {
            diag_report(sink, DIAG_CSV_COLUMN_MISSPELT, pos, cell->text,
                        "nearest known: %s; the file was not read", near);
            ok = false;
        } else {
            diag_report(sink, DIAG_CSV_COLUMN_UNKNOWN, pos, cell->text, NULL);
        }
    }
    for (int c = 0; c < t->n_needed && ok; c++) {
        if (src->column_of[c] >= 0)
            continue;
        diag_report(sink, DIAG_CSV_COLUMN_MISSING,
                    (struct diag_pos){.file = src->path, .line = header->line}, NULL, "%s",
                    t->columns[c]);
        ok = false;
    }
    return ok;
}

struct import_source *import_table_open(const char *path, int index, const struct import_table *t,
                                        const struct import_settings *settings,
                                        struct diag_sink *sink)
{
    struct row header;
    struct import_source *src = reader_open_header(path, settings, &header, sink);
    if (src == NULL)
        return NULL;
    src->index = index;
    src->n_columns = header.n_cells;
    for (int c = 0; c < COL_COUNT; c++)
        src->column_of[c] = -1;
    if (!take_header(src, t, &header, sink) || !settle_others(src, t, &header, sink)) {
        import_close(src);
        return NULL;
    }
    return src;
}

const struct cell *import_table_cell(const struct import_source *src, const struct row *row,
                                     int column)
{
    int i = src->column_of[column];
    return i >= 0 && i < row->n_cells ? &row->cells[i] : NULL;
}

bool import_test_named(const struct reference *ref, const char *text, struct import_test *out)
{
    char near[HEADING_NEAR_MAX];
    struct heading h = {0};
    *out = (struct import_test){0};
    if (heading_read(ref, text, &h, near) != HEADING_MEASUREMENT)
        return false;
    *out = (struct import_test){h.motion, h.test};
    return true;
}
