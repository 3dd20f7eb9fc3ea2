/* From the names on the command line to open sources: folders stand for the CSV files in them, in
 * byte order of their names. */
#include "batch/batch_int.h"

#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>

/* Every source stays open until its rows are read; a folder may hold thousands of files. */
static void allow_many_files(void)
{
    struct rlimit limit;
    if (getrlimit(RLIMIT_NOFILE, &limit) == 0 && limit.rlim_cur < limit.rlim_max) {
        limit.rlim_cur = limit.rlim_max;
        setrlimit(RLIMIT_NOFILE, &limit);
    }
}

static void open_one(struct tools *t, const char *path, bool history, size_t *lost,
                     struct diag_sink *sink)
{
    for (size_t i = 0; i < t->n_sources; i++) {
        if (str_eq(import_path(t->sources[i]), path)) {
            diag_report(sink, DIAG_INPUT_TWICE, (struct diag_pos){.file = path}, NULL, NULL);
            return;
        }
    }
    int index = (int)t->n_sources;
    struct import_source *src =
        t->table != NULL
            ? import_table_open(path, index, t->table, t->settings, sink)
            : import_open(path, index, history, t->settings, t->reference, sink);
    if (src == NULL) {
        (*lost)++;
        return;
    }
    t->sources = mem_resize(t->sources, (t->n_sources + 1) * sizeof *t->sources);
    t->sources[t->n_sources++] = src;
}

static void open_each(struct tools *t, const char *const *names, size_t n, bool history,
                      size_t *lost, struct diag_sink *sink)
{
    for (size_t i = 0; i < n; i++) {
        if (!file_is_folder(names[i])) {
            open_one(t, arena_strdup(t->arena, names[i]), history, lost, sink);
            continue;
        }
        const char **paths;
        size_t n_paths;
        if (!file_list(names[i], ".csv", t->arena, &paths, &n_paths, sink)) {
            (*lost)++;
            continue;
        }
        if (n_paths == 0) {
            diag_report(sink, DIAG_INPUT_NO_CSV, (struct diag_pos){.file = names[i]}, NULL, NULL);
            (*lost)++;
        }
        for (size_t k = 0; k < n_paths; k++)
            open_one(t, paths[k], history, lost, sink);
    }
}

void inputs_open(struct tools *t, size_t *lost, struct diag_sink *sink)
{
    const struct batch_options *o = t->options;
    *lost = 0;
    allow_many_files();
    open_each(t, o->inputs, o->n_inputs, false, lost, sink);
    open_each(t, o->history, o->n_history, true, lost, sink);
    if (t->n_sources > 0 && t->table == NULL)
        import_map_unused(t->settings, t->sources, t->n_sources, sink);
}

uint64_t inputs_size(const struct tools *t)
{
    enum { UNKNOWN_SIZE = 64 << 20 }; /* a pipe may hold anything: many partitions cost little */
    uint64_t size = 0;
    for (size_t i = 0; i < t->n_sources; i++) {
        struct stat st;
        bool is_file = stat(import_path(t->sources[i]), &st) == 0 && S_ISREG(st.st_mode);
        size += is_file ? (uint64_t)st.st_size : UNKNOWN_SIZE;
    }
    return size;
}
