/* A batch that several runs share: which patients are whose, and what the files of a run are
 * called. */
#include "batch/outputs_int.h"

#include <string.h>

bool shard_has(const struct batch_options *o, const char *patient_id)
{
    return o->shards == 0 ||
           hash_fnv1a64(patient_id, strlen(patient_id)) % (unsigned)o->shards ==
               (unsigned)o->shard;
}

const char *shard_file(struct arena *a, const struct batch_options *o)
{
    return arena_printf(a, "%s/shard.%d-of-%d", o->out, o->shard, o->shards);
}

const char *journal_file(struct arena *a, const struct batch_options *o)
{
    return o->shards == 0 ? arena_printf(a, "%s/.journal", o->out)
                          : arena_printf(a, "%s/.journal.%d-of-%d", o->out, o->shard, o->shards);
}

const char *list_file(struct arena *a, const struct batch_options *o, const char *stem)
{
    return o->shards == 0 ? arena_printf(a, "%s/%s.csv", o->out, stem)
                          : arena_printf(a, "%s/%s.%d-of-%d.csv", o->out, stem, o->shard,
                                         o->shards);
}
