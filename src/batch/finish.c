/* The end of a run: what waits is put in place, then what names it is written. */
#include "batch/outputs_int.h"

#include <unistd.h>

bool outputs_finish(struct outputs *o, const struct outcome *outcome, struct diag_sink *sink)
{
    const struct batch_options *opt = o->tools->options;
    if (opt->command != BATCH_MERGE && (opt->command != BATCH_REPORT || opt->dump != DUMP_NONE))
        return lists_print(o, sink);
    bool ok = outputs_commit(o, sink);
    ok = lists_write(o, sink) && ok;
    ok = lists_write_manifest(o, sink) && ok;
    if (opt->shards > 0) {
        ok = ok && outcome->complete && shard_write(o, outcome, sink);
    } else {
        ok = day_index_write(o, outcome->files, outcome->n_files, sink) && ok;
        ok = print_file_write(o, sink) && ok;
    }
    ok = file_sync_folder(opt->out, sink) && ok;
    if (ok)
        unlink(journal_file(o->arena, opt));
    return ok;
}
