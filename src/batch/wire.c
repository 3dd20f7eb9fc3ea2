/* The wire between parent and workers: length-prefixed messages made of typed records. Both ends
 * are the same program, so the format is the machine's own; a cut message ends the process. */
#include "batch/batch_int.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { MESSAGE_MAX = 1 << 30 };
static const int64_t null_text = -1;

void wire_put_int(struct buf *b, int64_t v)
{
    buf_add(b, &v, sizeof v);
}

void wire_put_text(struct buf *b, const char *s)
{
    wire_put_int(b, s == NULL ? null_text : (int64_t)strlen(s));
    if (s != NULL)
        buf_adds(b, s);
}

static void need(const struct wire *w, size_t len)
{
    if ((size_t)(w->end - w->at) < len)
        abort();
}

int64_t wire_int(struct wire *w)
{
    int64_t v;
    need(w, sizeof v);
    memcpy(&v, w->at, sizeof v);
    w->at += sizeof v;
    return v;
}

const char *wire_text(struct wire *w, struct arena *a)
{
    int64_t len = wire_int(w);
    if (len == null_text)
        return NULL;
    need(w, (size_t)len);
    const char *s = arena_strndup(a, w->at, (size_t)len);
    w->at += len;
    return s;
}

void wire_record(struct buf *message, enum record_type type, const struct buf *payload)
{
    wire_put_int(message, type);
    wire_put_int(message, (int64_t)(payload == NULL ? 0 : payload->len));
    if (payload != NULL)
        buf_add(message, payload->data, payload->len);
}

void wire_put_diag(struct buf *b, const struct diag *d)
{
    wire_put_int(b, d->code);
    wire_put_text(b, d->pos.file);
    wire_put_int(b, d->pos.line);
    wire_put_int(b, d->pos.column);
    wire_put_text(b, d->pos.field);
    wire_put_text(b, d->text);
    wire_put_text(b, d->detail);
}

void wire_diag(struct wire *w, struct arena *a, struct diag *d)
{
    d->code = (enum diag_code)wire_int(w);
    d->pos.file = wire_text(w, a);
    d->pos.line = (long)wire_int(w);
    d->pos.column = (long)wire_int(w);
    d->pos.field = wire_text(w, a);
    d->text = wire_text(w, a);
    d->detail = wire_text(w, a);
}

static bool send_all(int fd, const char *data, size_t len)
{
    while (len > 0) {
        ssize_t n = write(fd, data, len);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        data += n;
        len -= (size_t)n;
    }
    return true;
}

bool wire_send(int fd, const struct buf *message)
{
    uint64_t len = message->len;
    return send_all(fd, (const char *)&len, sizeof len) &&
           send_all(fd, message->data, message->len);
}

static bool receive_all(int fd, char *data, size_t len)
{
    while (len > 0) {
        ssize_t n = read(fd, data, len);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        data += n;
        len -= (size_t)n;
    }
    return true;
}

bool wire_receive(int fd, struct buf *message)
{
    uint64_t len;
    buf_clear(message);
    if (!receive_all(fd, (char *)&len, sizeof len) || len > MESSAGE_MAX)
        return false;
    char chunk[16384];
    while (len > 0) {
        size_t part = len < sizeof chunk ? (size_t)len : sizeof chunk;
        if (!receive_all(fd, chunk, part))
            return false;
        buf_add(message, chunk, part);
        len -= part;
    }
    return true;
}

static void put_reminder(struct buf *b, const struct reminder *r)
{
    wire_put_text(b, r->id);
    wire_put_text(b, r->rule);
    wire_put_text(b, r->status);
    wire_put_int(b, r->count);
    wire_put_int(b, r->due_at);
    wire_put_int(b, r->at_least);
    wire_put_int(b, date_days(r->since));
    wire_put_int(b, date_is_set(r->due) ? date_days(r->due) : 0);
}

static struct reminder get_reminder(struct wire *w, struct arena *a)
{
    struct reminder r = {.id = wire_text(w, a)};
    r.rule = wire_text(w, a);
    r.status = wire_text(w, a);
    r.count = (long)wire_int(w);
    r.due_at = (long)wire_int(w);
    r.at_least = wire_int(w) != 0;
    r.since = date_from_days((long)wire_int(w));
    long due = (long)wire_int(w);
    if (due != 0)
        r.due = date_from_days(due);
    return r;
}

enum { REPORT_TEXTS = 12 };

static void report_texts(struct report *r, const char **texts[REPORT_TEXTS])
{
    const char **const all[REPORT_TEXTS] = {
        &r->file,       &r->kept_as, &r->values, &r->kind, &r->patient_id, &r->name,
        &r->visit_kind, &r->worst,   &r->author, &r->role, &r->sha256,     &r->input_sha256};
    memcpy(texts, all, sizeof all);
}

void report_put(struct buf *b, const struct report *r)
{
    struct report copy = *r;
    const char **texts[REPORT_TEXTS];
    report_texts(&copy, texts);
    for (size_t i = 0; i < REPORT_TEXTS; i++)
        wire_put_text(b, *texts[i]);
    wire_put_int(b, date_days(r->visit_date));
    const int64_t numbers[] = {r->state, r->pages, r->notes, r->held, r->amendment, r->bytes,
                               r->needs_countersign, r->is_signed};
    for (size_t i = 0; i < ARRAY_LEN(numbers); i++)
        wire_put_int(b, numbers[i]);
    wire_put_int(b, r->treatment_day);
    wire_put_int(b, (int64_t)r->n_reminders);
    for (size_t i = 0; i < r->n_reminders; i++)
        put_reminder(b, &r->reminders[i]);
}

void report_get(struct wire *w, struct arena *a, struct report *r)
{
    const char **texts[REPORT_TEXTS];
    report_texts(r, texts);
    for (size_t i = 0; i < REPORT_TEXTS; i++)
        *texts[i] = wire_text(w, a);
    r->visit_date = date_from_days((long)wire_int(w));
    r->state = (enum report_state)wire_int(w);
    r->pages = (int)wire_int(w);
    r->notes = (int)wire_int(w);
    r->held = (int)wire_int(w);
    r->amendment = (int)wire_int(w);
    r->bytes = wire_int(w);
    r->needs_countersign = wire_int(w) != 0;
    r->is_signed = wire_int(w) != 0;
    r->treatment_day = (int)wire_int(w);
    r->n_reminders = (size_t)wire_int(w);
    struct reminder *reminders = arena_alloc(a, (r->n_reminders + 1) * sizeof *reminders);
    for (size_t i = 0; i < r->n_reminders; i++)
        reminders[i] = get_reminder(w, a);
    r->reminders = reminders;
}
