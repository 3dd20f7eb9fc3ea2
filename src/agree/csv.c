/* The result as CSV: one row a figure. Unrounded but for six decimals, which no reading bears. */
#include "agree/agree_int.h"

#include <string.h>

enum { DECIMALS = 6 };

static void add_number(struct buf *out, struct num n)
{
    char text[NUM_TEXT_MAX];
    buf_addc(out, ',');
    if (!n.has)
        return;
    num_format(text, n.value, DECIMALS);
    if (strchr(text, '.') != NULL) {
        char *end = text + strlen(text);
        while (end[-1] == '0')
            *--end = '\0';
        if (end[-1] == '.')
            *--end = '\0';
    }
    buf_adds(out, text);
}

static void add_text(struct buf *out, const char *text)
{
    buf_addc(out, ',');
    csv_put(out, text);
}

static void add_row(const struct agree_result *r, const struct agree_row *row, struct buf *out,
                    struct arena *scratch)
{
    const char *note = row->note;
    buf_adds(out, row->quantity);
    add_text(out, row->a == NULL ? "" : arena_printf(scratch, "%s:%s", row->a, row->b));
    add_number(out, row->est.value);
    add_number(out, row->est.low);
    add_number(out, row->est.high);
    if (r->test[0] != '\0')
        note = arena_printf(scratch, "test %s%s%s", r->test, note[0] == '\0' ? "" : "; ", note);
    add_text(out, note);
    buf_addc(out, '\n');
}

void agree_csv(const struct agree_result *r, bool header, struct buf *out)
{
    struct arena *scratch = arena_new();
    if (header)
        buf_adds(out, "quantity,raters,value,low,high,note\n");
    for (size_t i = 0; i < r->n_rows; i++) {
        add_row(r, &r->rows[i], out, scratch);
        arena_clear(scratch);
    }
    arena_free(scratch);
}
