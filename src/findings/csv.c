/*
 * Findings as CSV: one row a finding, the columns of docs/findings.md in one table. A column is a
 * name and a function that writes the cell.
 */
#include "findings/findings_int.h"

#include <ctype.h>
#include <string.h>

/* ---- fields ------------------------------------------------------------------------------- */

/* A spreadsheet takes a cell that starts like a formula for one, also within quotes. Such a text
 * gets an apostrophe before it, and so does one that starts with an apostrophe: taking one
 * leading apostrophe off always gives the text back. A plain negative number stays as it is. */
static bool needs_apostrophe(const char *text)
{
    double number;
    switch (text[0]) {
    case '=':
    case '+':
    case '@':
    case '\t':
    case '\r':
    case '\'':
        return true;
    case '-':
        return !num_parse(text, strlen(text), &number);
    default:
        return false;
    }
}

static bool needs_quotes(const char *text)
{
    size_t len = strlen(text);
    if (len > 0 && (text[0] == ' ' || text[len - 1] == ' '))
        return true;
    return strpbrk(text, ",\"\r\n") != NULL;
}

void csv_field(struct buf *out, const char *text, bool first)
{
    if (!first)
        buf_addc(out, ',');
    if (str_is_empty(text))
        return;
    bool quotes = needs_quotes(text);
    if (quotes)
        buf_addc(out, '"');
    if (needs_apostrophe(text))
        buf_addc(out, '\'');
    if (!quotes) {
        buf_adds(out, text);
        return;
    }
    for (const char *s = text; *s != '\0'; s++) {
        if (*s == '"')
            buf_addc(out, '"');
        buf_addc(out, *s);
    }
    buf_addc(out, '"');
}

/* ---- cells -------------------------------------------------------------------------------- */

struct cell_of {
    const struct visit_findings *v;
    const struct finding *f;
    const struct findings_deid *deid; /* NULL: cells as they are */
    struct buf *cell;
};

static void add_num(struct buf *cell, struct num value, int decimals)
{
    char text[NUM_TEXT_MAX];
    if (value.has)
        buf_adds(cell, num_format(text, value.value, decimals));
}

static void add_date(struct buf *cell, struct date value)
{
    char text[DATE_TEXT_MAX];
    buf_adds(cell, date_format(text, value));
}

static void add_text(struct buf *cell, const char *text)
{
    if (text != NULL)
        buf_adds(cell, text);
}

/* One item of a list cell: items stand apart by a space, so an item's own spaces are hyphens;
 * an item already there is not repeated. */
static void add_item(struct buf *cell, const char *text)
{
    if (str_is_empty(text))
        return;
    size_t before = cell->len;
    if (before > 0)
        buf_addc(cell, ' ');
    size_t from = cell->len;
    for (const char *s = text; *s != '\0'; s++)
        buf_addc(cell, isspace((unsigned char)*s) ? '-' : *s);
    size_t len = cell->len - from;
    for (size_t at = 0; at + len < from; at++) {
        bool starts = at == 0 || cell->data[at - 1] == ' ';
        if (starts && cell->data[at + len] == ' ' &&
            memcmp(cell->data + at, cell->data + from, len) == 0) {
            cell->len = before;
            cell->data[before] = '\0';
            return;
        }
    }
}

/* The error the change since the previous visit was judged by, which two people make larger; else
 * the error of one. */
static const struct error_used *error_of(const struct finding *f)
{
    bool judged = f->previous.verdict != VERDICT_NONE &&
                  f->previous.verdict != VERDICT_NOT_COMPARABLE && f->error.basis != BASIS_NONE &&
                  f->previous.error.basis != BASIS_NONE;
    return judged ? &f->previous.error : &f->error;
}

static void add_tri(struct buf *cell, enum tri value)
{
    if (value != TRI_UNKNOWN)
        buf_adds(cell, value == TRI_YES ? "yes" : "no");
}

#define CELL(name) static void name(const struct cell_of *c)
#define TEXT_CELL(name, text)                                                                      \
    CELL(name)                                                                                     \
    {                                                                                              \
        add_text(c->cell, text);                                                                   \
    }
#define NUM_CELL(name, value, decimals)                                                            \
    CELL(name)                                                                                     \
    {                                                                                              \
        add_num(c->cell, value, decimals);                                                         \
    }
#define DATE_CELL(name, value)                                                                     \
    CELL(name)                                                                                     \
    {                                                                                              \
        add_date(c->cell, c->deid != NULL ? findings_deid_date(c->deid, value) : (value));         \
    }
/* As typed, or what may be told of it. */
#define TYPED_CELL(name, text, plain)                                                              \
    CELL(name)                                                                                     \
    {                                                                                              \
        add_text(c->cell, c->deid != NULL ? plain(c->deid, text) : (text));                        \
    }

TEXT_CELL(patient_id, c->v->patient->id)
DATE_CELL(visit_date, c->v->visit->date)
TEXT_CELL(joint, c->f->motion->joint)
TEXT_CELL(motion, c->f->motion->motion)
TEXT_CELL(side, side_name(c->f->side))
TEXT_CELL(test, test_name(c->f->test))
TYPED_CELL(position, c->f->position, findings_deid_position)
TYPED_CELL(tool, c->f->tool, findings_deid_tool)
TEXT_CELL(timing, timing_name(c->f->timing))
TYPED_CELL(muscle, c->f->muscle, findings_deid_muscle)
TEXT_CELL(role, role_name(c->f->role))
TEXT_CELL(status, reading_status_name(c->f->status))
TYPED_CELL(status_reason, c->f->status_reason, findings_deid_reason)
NUM_CELL(start_deg, c->f->start, DECIMALS)
NUM_CELL(end_deg, c->f->end, DECIMALS)
NUM_CELL(sd_deg, c->f->sd, DECIMALS)
NUM_CELL(deficit_deg, c->f->deficit, DECIMALS)
NUM_CELL(deficit_percent, c->f->deficit_percent, DECIMALS)
TEXT_CELL(limited, rules_limited_name(c->f->limited))
NUM_CELL(z, c->f->z, FINE_DECIMALS)
NUM_CELL(percentile, c->f->percentile, DECIMALS)
NUM_CELL(other_side_deg, c->f->other_value, DECIMALS)
DATE_CELL(other_side_date, c->f->other_date)
NUM_CELL(side_difference_deg, c->f->side_difference, DECIMALS)
NUM_CELL(side_index_percent, c->f->side_index_percent, DECIMALS)
DATE_CELL(previous_date, c->f->previous.date)
NUM_CELL(sem_deg, error_of(c->f)->sem, DECIMALS)
NUM_CELL(mdc95_deg, error_of(c->f)->mdc95, DECIMALS)
NUM_CELL(error_limit_deg, error_of(c->f)->limit, DECIMALS)
TEXT_CELL(error_basis, rules_basis_name(error_of(c->f)->basis))
TEXT_CELL(change_verdict, rules_verdict_name(c->f->previous.verdict))
DATE_CELL(first_date, c->f->first.date)
TEXT_CELL(first_verdict, rules_verdict_name(c->f->first.verdict))
NUM_CELL(force_n, c->f->force_n, DECIMALS)
NUM_CELL(torque_nm, c->f->torque_nm, DECIMALS)
NUM_CELL(torque_nm_per_kg, c->f->torque_nm_per_kg, FINE_DECIMALS)
TEXT_CELL(end_feel, end_feel_name(c->f->end_feel))
TEXT_CELL(neutral_zero, c->f->neutral_zero)

CELL(measured_by)
{
    int rater = c->deid != NULL ? findings_deid_rater(c->deid, c->f->measured_by) : 0;
    if (c->deid == NULL)
        add_text(c->cell, c->f->measured_by);
    else if (rater > 0)
        buf_addf(c->cell, "rater-%d", rater);
}

CELL(digit)
{
    if (c->f->digit > 0)
        buf_addf(c->cell, "%d", c->f->digit);
}

CELL(unit)
{
    if (findings_has_range(c->f))
        buf_adds(c->cell, unit_name(c->f->motion->unit));
}

CELL(tries)
{
    if (c->f->n_tries > 0)
        buf_addf(c->cell, "%d", c->f->n_tries + c->f->n_unlisted);
}

CELL(normal_deg)
{
    if (c->f->normal != NULL)
        add_num(c->cell, num_of(c->f->normal->normal), DECIMALS);
}

CELL(normal_source)
{
    if (c->f->normal != NULL && c->f->normal->source != NULL)
        buf_adds(c->cell, c->f->normal->source->id);
}

CELL(icf)
{
    if (c->f->icf >= 0)
        buf_addf(c->cell, "%d", c->f->icf);
}

CELL(peers_mean)
{
    if (c->f->peers != NULL)
        add_num(c->cell, num_of(c->f->peers->normal), DECIMALS);
    else
        add_num(c->cell, c->f->force_mean_n, DECIMALS);
}

CELL(peers_sd)
{
    if (c->f->peers != NULL)
        add_num(c->cell, c->f->peers->sd, DECIMALS);
    else
        add_num(c->cell, c->f->force_sd_n, DECIMALS);
}

CELL(peers_source)
{
    const struct source *source = c->f->peers != NULL        ? c->f->peers->source
                                  : c->f->force_norm != NULL ? c->f->force_norm->source
                                                             : NULL;
    if (source != NULL)
        buf_adds(c->cell, source->id);
}

CELL(side_beyond_error)
{
    add_tri(c->cell, c->f->side_beyond_error);
}

/* Columns named _deg hold the row's unit; a grade's score is in grade units, on two decimals. */
static void add_compared(const struct cell_of *c, struct num value)
{
    char text[NUM_TEXT_MAX];
    if (!value.has)
        return;
    if (c->f->test == TEST_MMT)
        buf_adds(c->cell, findings_number_text(text, value.value, FINE_DECIMALS));
    else
        add_num(c->cell, value, DECIMALS);
}

CELL(previous_deg)
{
    add_compared(c, c->f->previous.value);
}

CELL(change_deg)
{
    add_compared(c, c->f->previous.change);
}

CELL(first_deg)
{
    add_compared(c, c->f->first.value);
}

CELL(change_from_first_deg)
{
    add_compared(c, c->f->first.change);
}

CELL(error_source)
{
    const struct error_row *row = error_of(c->f)->row;
    if (row != NULL && row->source != NULL)
        buf_adds(c->cell, row->source->id);
}

CELL(goal_deg)
{
    if (c->f->goal != NULL)
        add_compared(c, c->f->goal->target);
}

CELL(goal_percent)
{
    if (c->f->goal != NULL)
        add_num(c->cell, c->f->goal->percent, DECIMALS);
}

CELL(goal_status)
{
    if (c->f->goal != NULL)
        buf_adds(c->cell, c->f->goal->status);
}

CELL(limit_deg)
{
    if (c->f->limit != NULL && c->f->limit->limit->kind == LIMIT_RANGE)
        add_num(c->cell, c->f->limit->limit->value, DECIMALS);
}

CELL(limit_status)
{
    if (c->f->limit != NULL)
        add_text(c->cell, c->f->limit->status);
}

CELL(grade)
{
    if (c->f->grade != NULL)
        buf_adds(c->cell, c->f->grade->text);
}

CELL(grade_score)
{
    char text[NUM_TEXT_MAX];
    if (c->f->grade != NULL)
        buf_adds(c->cell, findings_number_text(text, c->f->grade->numeric, FINE_DECIMALS));
}

/* Expected of passive motion, and wherever an end feel was noted. */
CELL(end_feel_expected)
{
    const struct goniometry *usual = c->f->motion->goniometry;
    if (usual != NULL && (c->f->test == TEST_PROM || c->f->end_feel != END_FEEL_NONE))
        buf_adds(c->cell, end_feel_name(usual->end_feel));
}

/* The score, two scores where a range was written, "yes" where pain was only marked. */
CELL(pain)
{
    const struct finding *f = c->f;
    char text[NUM_TEXT_MAX];
    if (f->pain_low.has)
        buf_adds(c->cell, findings_number_text(text, f->pain_low.value, DECIMALS));
    if (f->pain_high.has && !(f->pain_low.has && f->pain_low.value == f->pain_high.value))
        add_item(c->cell, findings_number_text(text, f->pain_high.value, DECIMALS));
    if (c->cell->len == 0 && f->pain)
        buf_adds(c->cell, "yes");
}

CELL(compensations_seen)
{
    for (int i = 0; i < c->f->n_seen; i++)
        if (c->f->seen[i] != NULL)
            add_item(c->cell, c->f->seen[i]->id);
        else
            add_item(c->cell, c->deid != NULL ? "other" : c->f->seen_text[i]);
}

CELL(compensations_likely)
{
    for (int i = 0; i < c->f->n_likely; i++)
        add_item(c->cell, c->f->likely[i]->id);
}

CELL(demands_short)
{
    for (int i = 0; i < c->f->n_demands; i++)
        add_item(c->cell, c->f->demands[i].demand->activity_id);
}

CELL(flags)
{
    for (int i = 0; i < c->f->n_flags; i++)
        if (c->f->flags[i].level != FLAG_NOTE)
            add_item(c->cell, c->f->flags[i].id);
}

CELL(notes)
{
    for (int i = 0; i < c->f->n_flags; i++)
        if (c->f->flags[i].level == FLAG_NOTE)
            add_item(c->cell, c->f->flags[i].id);
    for (int i = 0; i < c->f->n_notes; i++)
        add_item(c->cell, diag_id(c->f->notes[i]));
}

/* ---- cells of a file without identifiers -------------------------------------------------- */

CELL(week)
{
    add_num(c->cell, findings_deid_week(c->deid, c->v->visit->date), 0);
}

CELL(sex)
{
    if (c->v->patient->sex != SEX_UNKNOWN)
        buf_adds(c->cell, sex_name(c->v->patient->sex));
}

CELL(age_from)
{
    int from;
    struct num to;
    if (!c->v->age.has)
        return;
    findings_deid_age(c->v->ref, c->v->age.value, &from, &to);
    buf_addf(c->cell, "%d", from);
}

CELL(age_to)
{
    int from;
    struct num to;
    if (!c->v->age.has)
        return;
    findings_deid_age(c->v->ref, c->v->age.value, &from, &to);
    add_num(c->cell, to, 0);
}

static void add_missing(const struct cell_of *c, bool is_missing, const char *why)
{
    if (is_missing)
        add_item(c->cell, why);
}

/* Why a figure is empty, as column:code (docs/codebook.md). */
CELL(missing)
{
    const struct finding *f = c->f;
    bool range = findings_has_range(f);
    if (findings_is_missing(f)) {
        buf_addf(c->cell, "reading:%s", reading_status_name(f->status));
        return;
    }
    add_missing(c, range && f->normal == NULL, "deficit_deg:no-normal");
    add_missing(c, range && f->normal != NULL && !f->deficit_percent.has,
                "deficit_percent:normal-is-zero");
    add_missing(c, range && !f->z.has && !c->v->age.has, "z:age-unknown");
    add_missing(c, range && !f->z.has && c->v->age.has && f->peers == NULL, "z:no-peers");
    add_missing(c, range && !f->z.has && f->peers != NULL, "z:not-to-be-judged");
    add_missing(c, range && f->side == SIDE_MIDLINE, "side_difference_deg:midline");
    add_missing(c, range && f->side != SIDE_MIDLINE && !f->side_difference.has,
                "side_difference_deg:no-other-side");
    add_missing(c, f->previous.verdict == VERDICT_NOT_COMPARABLE, "change_deg:not-comparable");
    add_missing(c, !date_is_set(f->previous.date), "change_deg:no-earlier-visit");
    add_missing(c, range && !f->error.limit.has, "error_limit_deg:none-known");
    add_missing(c, f->goal == NULL, "goal_deg:no-goal");
}

/* ---- table -------------------------------------------------------------------------------- */

/* A row without a number keeps its key and its words; a FIGURE column of it is empty, for nothing
 * was measured that it could be a figure of. */
#define COLUMN(name) {#name, name, false}
#define FIGURE(name) {#name, name, true}
struct column {
    const char *name;
    void (*write)(const struct cell_of *c);
    bool is_figure;
};
static const struct column columns[] = {
    COLUMN(patient_id), COLUMN(visit_date), COLUMN(joint), COLUMN(motion), COLUMN(side),
    COLUMN(digit), COLUMN(test), COLUMN(position), COLUMN(tool), COLUMN(timing), COLUMN(muscle),
    COLUMN(measured_by), COLUMN(role), COLUMN(status), COLUMN(status_reason), COLUMN(unit),
    FIGURE(start_deg), FIGURE(end_deg), FIGURE(tries), FIGURE(sd_deg), FIGURE(normal_deg),
    FIGURE(normal_source), FIGURE(deficit_deg), FIGURE(deficit_percent), FIGURE(icf),
    FIGURE(limited), FIGURE(peers_mean), FIGURE(peers_sd), FIGURE(peers_source), FIGURE(z),
    FIGURE(percentile), FIGURE(other_side_deg), FIGURE(other_side_date),
    FIGURE(side_difference_deg), FIGURE(side_index_percent), FIGURE(side_beyond_error),
    FIGURE(previous_date), FIGURE(previous_deg), FIGURE(change_deg), FIGURE(sem_deg),
    FIGURE(mdc95_deg), FIGURE(error_limit_deg), FIGURE(error_basis), FIGURE(error_source),
    FIGURE(change_verdict), FIGURE(first_date), FIGURE(first_deg), FIGURE(change_from_first_deg),
    FIGURE(first_verdict), COLUMN(goal_deg), COLUMN(goal_percent), COLUMN(goal_status),
    COLUMN(limit_deg), COLUMN(limit_status), FIGURE(grade), FIGURE(grade_score), FIGURE(force_n),
    FIGURE(torque_nm), FIGURE(torque_nm_per_kg), COLUMN(end_feel), COLUMN(end_feel_expected),
    COLUMN(pain), COLUMN(compensations_seen), COLUMN(compensations_likely),
    FIGURE(demands_short), COLUMN(neutral_zero), COLUMN(flags), COLUMN(notes),
};

/* Follow them in a file without identifiers. */
static const struct column plain_columns[] = {
    COLUMN(week), COLUMN(sex), COLUMN(age_from), COLUMN(age_to), COLUMN(missing),
};

void findings_csv_header(bool plain, struct buf *out)
{
    for (size_t i = 0; i < ARRAY_LEN(columns); i++)
        csv_field(out, columns[i].name, i == 0);
    for (size_t i = 0; plain && i < ARRAY_LEN(plain_columns); i++)
        csv_field(out, plain_columns[i].name, false);
    buf_adds(out, "\r\n");
}

static void add_cell(const struct cell_of *c, const struct column *column, bool first,
                     struct buf *out)
{
    buf_clear(c->cell);
    if (!column->is_figure || !findings_is_missing(c->f))
        column->write(c);
    csv_field(out, buf_text(c->cell), first);
}

void findings_csv_rows(const struct visit_findings *v, struct buf *out)
{
    struct buf cell;
    buf_init(&cell, SCRATCH_MAX);
    for (size_t row = 0; row < v->n_rows; row++) {
        const struct cell_of c = {v, &v->rows[row], NULL, &cell};
        for (size_t i = 0; i < ARRAY_LEN(columns); i++)
            add_cell(&c, &columns[i], i == 0, out);
        buf_adds(out, "\r\n");
    }
    buf_release(&cell);
}

void findings_csv_plain_rows(const struct visit_findings *v, struct arena *a, struct buf *out)
{
    const struct findings_deid *deid = findings_deid_new(v->patient, a);
    struct buf cell;
    buf_init(&cell, SCRATCH_MAX);
    for (size_t row = 0; row < v->n_rows; row++) {
        const struct cell_of c = {v, &v->rows[row], deid, &cell};
        for (size_t i = 1; i < ARRAY_LEN(columns); i++)
            add_cell(&c, &columns[i], i == 1, out);
        for (size_t i = 0; i < ARRAY_LEN(plain_columns); i++)
            add_cell(&c, &plain_columns[i], false, out);
        buf_adds(out, "\r\n");
    }
    buf_release(&cell);
}
