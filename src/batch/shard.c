/* What a shard leaves beside its lists: a file of all that it collected, ended by its digest. */
#include "batch/outputs_int.h"

#include <string.h>

static const char format[] = "endfeel shard 1\n";

struct shard_writer {
    FILE *file;
    struct digest digest;
    struct buf record;
    enum record_type type;
};

static bool put(struct shard_writer *w, const void *bytes, size_t len)
{
    digest_add(&w->digest, bytes, len);
    return fwrite(bytes, 1, len, w->file) == len;
}

static bool put_record(struct shard_writer *w, enum record_type type, const struct buf *payload)
{
    struct buf head;
    buf_init(&head, 64);
    wire_put_int(&head, type);
    wire_put_int(&head, (int64_t)payload->len);
    bool ok = put(w, head.data, head.len) &&
              (payload->len == 0 || put(w, payload->data, payload->len));
    buf_release(&head);
    return ok;
}

static bool put_collected(void *user, const char *key, size_t key_len, const char *blob,
                          size_t len)
{
    struct shard_writer *w = user;
    buf_clear(&w->record);
    if (w->type == RECORD_TEXT) {
        wire_put_int(&w->record, (int64_t)key_len);
        buf_add(&w->record, key, key_len);
    }
    buf_add(&w->record, blob, len);
    return put_record(w, w->type, &w->record);
}

static bool put_head(struct shard_writer *w, const struct outputs *o,
                     const struct outcome *outcome)
{
    const struct batch_options *opt = o->tools->options;
    buf_clear(&w->record);
    wire_put_text(&w->record, outcome->made_with);
    wire_put_int(&w->record, opt->shard);
    wire_put_int(&w->record, opt->shards);
    wire_put_int(&w->record, outcome->held);
    wire_put_int(&w->record, o->with_findings);
    wire_put_int(&w->record, (int64_t)outcome->n_files);
    for (size_t i = 0; i < outcome->n_files; i++) {
        const struct tally *t = &outcome->tallies[i];
        wire_put_text(&w->record, outcome->files[i].file);
        const long counts[] = {t->rows_in, t->used, t->duplicates, t->held, t->angles,
                               t->round_angles};
        for (size_t k = 0; k < ARRAY_LEN(counts); k++)
            wire_put_int(&w->record, counts[k]);
    }
    return put_record(w, RECORD_TALLY, &w->record);
}

bool shard_write(struct outputs *o, const struct outcome *outcome, struct diag_sink *sink)
{
    const char *path = shard_file(o->arena, o->tools->options);
    const struct {
        enum record_type type;
        struct sorter *from;
    } sections[] = {{RECORD_REPORT, o->entries}, {RECORD_DIAG, o->problems},
                    {RECORD_TEXT, o->texts}};
    struct shard_writer w = {.file = stream_open(path, sink)};
    char hex[DIGEST_HEX];
    if (w.file == NULL)
        return false;
    digest_init(&w.digest);
    buf_init(&w.record, SIZE_MAX / 4);
    bool ok = put(&w, format, strlen(format)) && put_head(&w, o, outcome);
    for (size_t i = 0; ok && i < ARRAY_LEN(sections); i++) {
        w.type = sections[i].type;
        ok = sorter_walk(sections[i].from, put_collected, &w, sink);
    }
    digest_hex(&w.digest, hex);
    ok = ok && fwrite(hex, 1, strlen(hex), w.file) == strlen(hex);
    buf_release(&w.record);
    return stream_close(w.file, path, ok, sink);
}

bool shard_body(const struct buf *text, struct wire *body)
{
    enum { HEX = DIGEST_HEX - 1 };
    size_t head = strlen(format);
    struct digest d;
    char hex[DIGEST_HEX];
    if (text->len < head + HEX || memcmp(text->data, format, head) != 0)
        return false;
    digest_init(&d);
    digest_add(&d, text->data, text->len - HEX);
    digest_hex(&d, hex);
    *body = (struct wire){text->data + head, text->data + text->len - HEX};
    return memcmp(hex, body->end, HEX) == 0;
}
