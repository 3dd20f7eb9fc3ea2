/*
 * The sheet as CSV to fill in, in native columns. What is known beforehand stands in the cells
 * (motion, side, position, unit); values, end feel and pain are left for the examiner: nothing
 * that was not measured is typed for him.
 */
#include "plan/plan_int.h"

#include <assert.h>
#include <string.h>

static const char header[] =
    "patient_id,visit_date,measured_by,joint,motion,side,digit,test,value,unit,try,position,tool,"
    "end_feel,pain,compensation,reason,note\n";

struct row {
    const struct motion *motion;
    enum side side;
    int digit;
    enum plan_test test;
    const char *value, *position, *reason;
    int try; /* 0: empty */
};

static void add_cell(struct buf *out, const char *text)
{
    if (text != NULL)
        csv_put(out, text);
    buf_addc(out, ',');
}

static void add_count(struct buf *out, int n)
{
    if (n > 0)
        buf_addf(out, "%d", n);
    buf_addc(out, ',');
}

static void add_row(struct buf *out, const struct plan_csv_options *o, const struct row *r)
{
    add_cell(out, o->patient_id);
    add_cell(out, o->visit_date);
    add_cell(out, o->measured_by);
    add_cell(out, r->motion->joint);
    add_cell(out, r->motion->motion);
    add_cell(out, side_name(r->side));
    add_count(out, r->digit);
    add_cell(out, plan_test_name(r->test));
    add_cell(out, r->value);
    add_cell(out, r->test == PLAN_MMT ? "" : unit_name(r->motion->unit));
    add_count(out, r->try);
    add_cell(out, r->position);
    buf_adds(out, ",,,,"); /* tool, end_feel, pain, compensation */
    add_cell(out, r->reason);
    buf_addc(out, '\n');
}

/* One grade a visit: a second try would be of a tired muscle. */
static void add_item(struct buf *out, const struct plan_csv_options *o, const struct plan_item *x)
{
    int tries = x->test == PLAN_MMT ? 1 : o->tries;
    for (int i = 1; i <= tries; i++)
        add_row(out, o, &(struct row){x->motion, x->side, x->digit, x->test, "",
                                      plan_position_name(x->position), "", i});
}

static bool fits(const char *cell)
{
    return cell == NULL || strlen(cell) <= PLAN_CELL_MAX;
}

void plan_csv(const struct plan *p, const struct plan_csv_options *options, struct buf *out)
{
    assert(options->tries >= 1 && options->tries <= PLAN_TRIES_MAX);
    assert(fits(options->patient_id) && fits(options->visit_date) && fits(options->measured_by));
    buf_adds(out, header);
    for (size_t i = 0; i < p->n_items; i++)
        add_item(out, options, &p->items[i]);
    for (size_t i = 0; i < p->n_omitted; i++) {
        const struct plan_omission *x = &p->omitted[i];
        if (x->reason != PLAN_PASSIVE_IN_STANDING)
            add_row(out, options, &(struct row){x->motion, x->side, x->digit, x->test, "NT", "",
                                                plan_reason_text(x), 0});
    }
}
