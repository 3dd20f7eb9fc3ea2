/* What a worker sends back while a patient is in hand. */
#include "batch/batch_int.h"

void desk_put_text(struct desk *desk, const struct visit *v, int part, const struct buf *text)
{
    buf_clear(&desk->payload);
    struct buf key;
    char date[DATE_TEXT_MAX];
    buf_init(&key, 1 << 16);
    buf_adds(&key, v->patient->id);
    buf_addc(&key, '\0');
    buf_addf(&key, "%s %02d", date_format(date, v->date), part);
    wire_put_int(&desk->payload, (int64_t)key.len);
    buf_add(&desk->payload, key.data, key.len);
    buf_add(&desk->payload, text->data, text->len);
    wire_record(&desk->answer, RECORD_TEXT, &desk->payload);
    buf_release(&key);
}

const char *desk_next_report(struct desk *desk)
{
    long number = ++*desk->in_hand;
    limits_time(desk->tools->options);
    for (size_t i = 0; i < desk->n_lost; i++)
        if (desk->lost[i].number == number)
            return desk->lost[i].why;
    return NULL;
}
