/* Says all a cell's reading holds in one line, so that a table row can be read by eye:
 * [status] [code] (reason) [detail] start..end of tries grade fixed pain arc end-feel @position
 * +notes. Codes stand without their "cell-". Shared by the tests of the cell readers. */
#ifndef ENDFEEL_CELLS_DESCRIBE_H
#define ENDFEEL_CELLS_DESCRIBE_H

#include "import/import.h"

#include <string.h>

static void describe_number(struct buf *b, double v)
{
    char text[NUM_TEXT_MAX];
    int decimals = 0;
    while (decimals < 2 && num_round(v, decimals) != num_round(v, 2))
        decimals++;
    buf_adds(b, num_format(text, v, decimals));
}

static const char *describe_code(enum diag_code code)
{
    const char *id = diag_id(code);
    return str_starts(id, "cell-") ? id + strlen("cell-") : id;
}

static void describe_range(const struct value_reading *r, struct buf *b)
{
    buf_addc(b, ' ');
    if (r->start.has) {
        describe_number(b, r->start.value);
        buf_adds(b, r->start_is_extension ? ".." : "..."); /* three: no opposite motion */
    }
    describe_number(b, r->end.value);
    for (int i = 0; i < r->n_tries && r->n_tries > 1; i++) {
        buf_adds(b, i == 0 ? " of " : "/");
        describe_number(b, r->tries[i]);
    }
}

static const char *describe(const struct value_reading *r, struct buf *b)
{
    static const char *const statuses[READING_STATUS_COUNT] = {
        [READING_MEASURED] = "",           [READING_ESTIMATED] = "estimated",
        [READING_NO_ANGLE] = "no-angle",   [READING_NOT_TESTED] = "not-tested",
        [READING_NOT_APPLICABLE] = "n/a",  [READING_NOT_RECORDED] = "not-recorded",
        [READING_HELD_BACK] = "held",
    };
    buf_clear(b);
    buf_adds(b, statuses[r->status]);
    if (r->status == READING_HELD_BACK)
        buf_addf(b, " %s", describe_code(r->why));
    if (r->status_reason != NULL)
        buf_addf(b, " (%s)", r->status_reason);
    if (r->why_detail != NULL)
        buf_addf(b, " [%s]", r->why_detail);
    if (r->end.has)
        describe_range(r, b);
    if (r->grade != NULL)
        buf_addf(b, " grade %s", r->grade->text);
    buf_adds(b, r->fixed ? " fixed" : "");
    buf_adds(b, r->pain ? " pain" : "");
    if (r->pain_from.has) {
        buf_adds(b, " arc ");
        describe_number(b, r->pain_from.value);
        buf_addc(b, '-');
        describe_number(b, r->pain_to.value);
    }
    if (r->end_feel != END_FEEL_NONE)
        buf_addf(b, " %s", end_feel_name(r->end_feel));
    if (r->position != NULL)
        buf_addf(b, " @%s", r->position);
    for (int i = 0; i < r->n_notes; i++)
        buf_addf(b, " +%s", describe_code(r->notes[i]));
    const char *text = buf_text(b);
    return *text == ' ' ? text + 1 : text;
}

/* What must hold of any reading, whatever was typed. */
static bool is_sound(const struct value_reading *r)
{
    bool number = r->end.has || r->grade != NULL;
    bool may = r->status == READING_MEASURED || r->status == READING_ESTIMATED;
    if (number != may || (r->n_tries > 0 && !r->end.has) || (r->start.has && !r->end.has))
        return false;
    if (r->status == READING_HELD_BACK && diag_outcome(r->why) != OUTCOME_HELD_BACK)
        return false;
    for (int i = 0; i < r->n_notes; i++) {
        if (diag_outcome(r->notes[i]) != OUTCOME_NOTE)
            return false;
    }
    return r->n_notes <= NOTES_MAX && r->n_tries <= TRIES_MAX;
}

#endif
