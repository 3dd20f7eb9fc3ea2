/* From the names on the command line to open sources: folders stand for the CSV files in them, and
 * all are taken in byte order of their names, so that the order on the command line is of no
 * effect. */
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

struct paths {
    const char **at;
    size_t n, cap;
};

static void add_path(struct paths *p, const char *path)
{
    if (p->n == p->cap) {
        p->cap = p->cap == 0 ? 16 : p->cap * 2;
        p->at = mem_resize(p->at, p->cap * sizeof *p->at);
    }
    p->at[p->n++] = path;
}

/* A file, or those of a folder. */
static void add_name(struct tools *t, struct paths *all, const char *name, size_t *lost,
                     struct diag_sink *sink)
{
    const char **paths;
    size_t n = 0;
    if (!file_is_folder(name)) {
        add_path(all, arena_strdup(t->arena, name));
        return;
    }
    if (!file_list(name, ".csv", t->arena, &paths, &n, sink)) {
        (*lost)++;
        return;
    }
    if (n == 0) {
        diag_report(sink, DIAG_INPUT_NO_CSV, (struct diag_pos){.file = name}, NULL, NULL);
        (*lost)++;
    }
    for (size_t i = 0; i < n; i++)
        add_path(all, paths[i]);
}

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Whatever the order of the names: of two readings that count alike the first one stands. */
static void open_each(struct tools *t, const char *const *names, size_t n, bool history,
                      size_t *lost, struct diag_sink *sink)
{
    struct paths all = {0};
    for (size_t i = 0; i < n; i++)
        add_name(t, &all, names[i], lost, sink);
    if (all.n > 1)
        qsort(all.at, all.n, sizeof *all.at, by_bytes);
    for (size_t i = 0; i < all.n; i++)
        open_one(t, all.at[i], history, lost, sink);
    free(all.at);
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
