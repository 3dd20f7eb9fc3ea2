/* check --suggest-map: a column map from the headers of the files named, on standard output. */
#include "batch/batch_int.h"

#include <stdlib.h>
#include <string.h>

static void on_diag(void *user, const struct diag *d)
{
    (void)user;
    diag_print(stderr, d);
}

static bool add_each(struct import_suggestion *s, const char *name, struct arena *a,
                     struct diag_sink *sink)
{
    const char **paths;
    size_t n;
    bool ok = true;
    if (!file_is_folder(name))
        return import_suggestion_add(s, name, sink);
    if (!file_list(name, ".csv", a, &paths, &n, sink))
        return false;
    for (size_t i = 0; i < n; i++)
        ok = import_suggestion_add(s, paths[i], sink) && ok;
    if (n == 0)
        diag_report(sink, DIAG_INPUT_NO_CSV, (struct diag_pos){.file = name}, NULL, NULL);
    return ok && n > 0;
}

static enum status write_out(const struct import_suggestion *s, struct diag_sink *sink)
{
    struct buf out;
    buf_init(&out, SIZE_MAX / 4);
    import_suggestion_write(s, &out);
    bool ok = fwrite(out.data, 1, out.len, stdout) == out.len && fflush(stdout) == 0;
    buf_release(&out);
    if (!ok)
        diag_report(sink, DIAG_FILE_WRITE, (struct diag_pos){.file = "standard output"}, NULL,
                    NULL);
    return ok ? STATUS_OK : STATUS_SYSTEM;
}

enum status suggest_run(const struct batch_options *o)
{
    struct diag_sink sink = {.put = on_diag};
    struct arena *a = arena_new();
    enum status status = STATUS_USAGE;
    bool ok = true;
    struct reference *ref = o->reference != NULL ? reference_load_folder(o->reference, &sink)
                                                 : reference_load_embedded(&sink);
    const struct import_settings *settings = import_settings_default();
    if (ref != NULL && o->map != NULL)
        settings = import_settings_load(o->map, ref, a, &sink);
    if (ref != NULL && settings != NULL) {
        struct import_suggestion *s = import_suggestion_new(settings, ref);
        for (size_t i = 0; i < o->n_inputs; i++)
            ok = add_each(s, o->inputs[i], a, &sink) && ok;
        status = write_out(s, &sink);
        if (status == STATUS_OK && !ok)
            status = STATUS_HELD_BACK;
        import_suggestion_free(s);
    }
    reference_free(ref);
    arena_free(a);
    return status;
}
