/* The readings of a wide row. Each filled cell of a wide column is a part: a row state of its own
 * that sees the native columns through what the header settles, so that everything that reads a
 * long row reads a part as well. The row itself keeps the facts, and the count. */
#include "import/meaning_int.h"
#include "import/vocabulary_int.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

static const struct cell *cell_of(const struct row_state *rs, const struct wide_column *w)
{
    return &rs->row->cells[w->cell];
}

static int filled(const struct row_state *rs)
{
    int n = 0;
    for (int i = 0; i < rs->src->n_wide; i++)
        n += cell_of(rs, &rs->src->wide[i])->len > 0;
    return n;
}

bool parts_are_in(const struct row_state *rs)
{
    return filled(rs) > 0;
}

bool parts_repeat(const struct row_state *rs)
{
    int told = 0;
    for (int i = 0; i < rs->n_parts; i++)
        told += rs->parts[i].repeats;
    return rs->n_parts > 0 && told == rs->n_parts;
}

void parts_mark_held(struct row_state *rs)
{
    for (int i = 0; i < rs->src->n_held_columns; i++)
        if (rs->row->cells[rs->src->held_columns[i]].len > 0)
            rs->held = true;
}

/* ---- what a part sees ---------------------------------------------------------------------- */

/* Columns that hold a value or an aim of a long row. */
static bool is_of_long_row(enum import_column c)
{
    static const enum import_column columns[] = {
        COL_START_DEG,  COL_END_DEG,     COL_GRADE,       COL_GOAL_ID,       COL_GOAL_VALUE,
        COL_GOAL_DUE,   COL_GOAL_ACTIVITY, COL_GOAL_SET_ON, COL_GOAL_BASELINE, COL_LIMIT_KIND,
        COL_LIMIT_TEST, COL_LIMIT_VALUE, COL_LIMIT_FROM,  COL_LIMIT_UNTIL,   COL_LIMIT_BY};
    for (size_t i = 0; i < ARRAY_LEN(columns); i++)
        if (columns[i] == c)
            return true;
    return false;
}

/* Columns that speak of one reading: which one, is only certain when the row has one. */
static const enum import_column beside[] = {COL_PAIN, COL_PAIN_FROM, COL_PAIN_TO, COL_END_FEEL,
                                            COL_COMPENSATION, COL_REASON, COL_NOTE, COL_LEVER_CM,
                                            COL_REPETITIONS, COL_MUSCLE};

bool parts_is_beside(enum import_column c)
{
    for (size_t i = 0; i < ARRAY_LEN(beside); i++)
        if (beside[i] == c)
            return true;
    return false;
}

static const char *native(const struct row_state *rs, enum import_column c)
{
    const struct cell *cell = column_cell(rs->src, rs->row, c);
    return cell != NULL ? cell->text : "";
}

/* The tool of a row of many readings is that of those it can have taken. */
static bool tool_is_of(const struct row_state *part, const char *tool)
{
    enum test test = TEST_NONE;
    enum diag_code why;
    return part->alone || !cell_test(parts_cell(part, COL_TEST), &test, &why) ||
           test == TEST_NONE || join_tool_fits(tool, test);
}

const char *parts_cell(const struct row_state *part, enum import_column c)
{
    const char *pinned = wide_pin(part->wide, c);
    if (pinned != NULL)
        return pinned;
    if (c == COL_VALUE)
        return cell_of(part, part->wide)->text;
    if (is_of_long_row(c) || (parts_is_beside(c) && !part->alone))
        return "";
    const char *text = native(part, c);
    return c == COL_TOOL && *text != '\0' && !tool_is_of(part, text) ? "" : text;
}

struct diag_pos parts_pos(const struct row_state *part, enum import_column c)
{
    const struct cell *cell = cell_of(part, part->wide);
    struct diag_pos pos = {.line = cell->line, .column = cell->column,
                           .field = part->wide->header};
    bool own = c == COL_VALUE || wide_pin(part->wide, c) != NULL;
    return own ? pos : column_pos(part->src, part->row, c);
}

/* ---- taking -------------------------------------------------------------------------------- */

/* A cell of the row that says something else than the header of the column. */
static bool contradicts(const struct row_state *part, enum pin p)
{
    const char *pinned = part->wide->pins[p];
    const char *typed = pinned != NULL ? native(part, pin_column(p)) : "";
    enum side side = SIDE_NONE;
    enum test test = TEST_NONE;
    enum diag_code why;
    if (*typed == '\0')
        return false;
    if (p == PIN_SIDE && cell_side(typed, meaning_rules(part), &side, &why))
        return side != SIDE_NONE && strcmp(side_name(side), pinned) != 0;
    if (p == PIN_TEST && cell_test(typed, &test, &why))
        return test != TEST_NONE && strcmp(test_name(test), pinned) != 0;
    return !str_eq_nocase(typed, pinned);
}

static bool agrees(struct meaning *m, struct row_state *part)
{
    static const enum pin pins[] = {PIN_JOINT, PIN_MOTION, PIN_SIDE, PIN_DIGIT, PIN_TEST};
    for (size_t i = 0; i < ARRAY_LEN(pins); i++) {
        if (!contradicts(part, pins[i]))
            continue;
        meaning_say(m, part, COL_VALUE, DIAG_PART_CONTRADICTS, "column %s",
                    column_name(pin_column(pins[i])));
        return false;
    }
    return true;
}

/* What the row and the header say beside the value, as far as it is understood. */
static void lend_row(struct meaning *m, const struct row_state *part, struct measurement *me)
{
    struct {
        enum import_column column;
        const char **text;
    } texts[] = {{COL_POSITION, &me->position}, {COL_TOOL, &me->tool}, {COL_MUSCLE, &me->muscle},
                 {COL_MEASURED_BY, &me->measured_by}, {COL_SUPERVISOR, &me->supervisor}};
    for (size_t i = 0; i < ARRAY_LEN(texts); i++) {
        const char *text = parts_cell(part, texts[i].column);
        bool says = isalnum((unsigned char)*text) != 0 || (unsigned char)*text >= 0x80;
        *texts[i].text = says ? arena_strdup(m->arena, text) : NULL;
    }
    for (size_t i = 0; field_roles[i].word != NULL; i++)
        if (str_eq_nocase(field_roles[i].word, parts_cell(part, COL_ROLE)))
            me->role = (enum role)field_roles[i].value;
}

/* An empty cell: a reading that was not recorded, where its place is known; what is wrong with the
 * row's own cells is told by the parts that have a value. */
static void take_blank(struct meaning *m, struct row_state *rs, const struct wide_column *w)
{
    struct row_state part = {.row = rs->row, .src = rs->src, .wide = w};
    struct draft *d = measure_new(m, rs);
    struct measurement *me = &d->m;
    enum diag_code why;
    me->status = READING_NOT_RECORDED;
    me->text = "";
    me->motion = vocabulary_motion(m->ref, parts_cell(&part, COL_JOINT),
                                   parts_cell(&part, COL_MOTION));
    if (me->motion == NULL || !cell_test(parts_cell(&part, COL_TEST), &me->test, &why) ||
        me->test == TEST_NONE ||
        !cell_side(parts_cell(&part, COL_SIDE), meaning_rules(rs), &me->side, &why))
        return;
    if (me->side == SIDE_NONE && me->motion->sides == SIDES_MIDLINE)
        me->side = SIDE_MIDLINE;
    const char *digit = parts_cell(&part, COL_DIGIT);
    me->digit = *digit >= '1' && *digit <= '5' && digit[1] == '\0' ? *digit - '0' : 0;
    bool digit_fits = me->digit >= me->motion->digit_min && me->digit <= me->motion->digit_max;
    if (me->side == SIDE_NONE || !digit_fits)
        return;
    lend_row(m, &part, me);
    bool after = strcmp(parts_cell(&part, COL_TIMING), "after") == 0;
    me->timing = after ? TIMING_AFTER : TIMING_NONE;
    me->unit = me->test == TEST_FORCE ? UNIT_N
               : me->test == TEST_MMT ? UNIT_NONE
                                      : me->motion->unit;
    me->notes[me->n_notes++] = DIAG_CELL_BLANK;
    me->pos = parts_pos(&part, COL_VALUE);
    me->pos.file = rs->path;
    d->blank = true;
    d->column = w->header;
    measure_add(m, d);
}

static void say_unplaced(struct meaning *m, struct row_state *rs)
{
    for (size_t i = 0; i < ARRAY_LEN(beside); i++)
        if (meaning_has(rs, beside[i]))
            meaning_say(m, rs, beside[i], DIAG_CELL_UNPLACED, NULL);
}

void parts_take(struct meaning *m, struct row_state *rs)
{
    int n = filled(rs);
    rs->parts = arena_alloc(m->scratch, ((size_t)n + 1) * sizeof *rs->parts);
    for (int i = 0; i < rs->src->n_wide; i++) {
        const struct wide_column *w = &rs->src->wide[i];
        if (cell_of(rs, w)->len == 0) {
            take_blank(m, rs, w);
            continue;
        }
        struct row_state *part = &rs->parts[rs->n_parts++];
        *part = *rs;
        part->wide = w;
        part->whole = rs;
        part->alone = n == 1;
        part->parts = NULL;
        part->n_parts = 0;
        m->now = part;
        if (agrees(m, part))
            measure_take(m, part);
    }
    m->now = rs;
    if (n > 1)
        say_unplaced(m, rs);
}

/* ---- empty cells --------------------------------------------------------------------------- */

/* By column and by the place its readings have; long rows first. */
static int compare_column(const struct draft *a, const struct draft *b)
{
    bool after_a = a->m.timing == TIMING_AFTER, after_b = b->m.timing == TIMING_AFTER;
    int d = strcasecmp(a->column != NULL ? a->column : "", b->column != NULL ? b->column : "");
    if (d == 0)
        d = after_a - after_b;
    return d != 0 ? d : model_measurement_compare(&a->m, &b->m);
}

static int by_column(const void *va, const void *vb)
{
    const struct draft *a = *(struct draft *const *)va, *b = *(struct draft *const *)vb;
    int d = compare_column(a, b);
    if (d == 0)
        d = date_compare(a->date, b->date);
    if (d == 0)
        d = a->blank - b->blank; /* what was recorded that day comes first */
    return d != 0 ? d : a->order < b->order ? -1 : 1;
}

void parts_drop_blanks(struct meaning *m)
{
    bool any = false;
    for (size_t i = 0; i < m->n_drafts; i++)
        any = any || m->drafts[i]->blank;
    if (!any)
        return;
    struct draft **sorted = arena_alloc(m->scratch, (m->n_drafts + 1) * sizeof *sorted);
    bool recorded = false;
    for (size_t i = 0; i < m->n_drafts; i++)
        sorted[i] = m->drafts[i];
    qsort(sorted, m->n_drafts, sizeof *sorted, by_column);
    for (size_t i = 0; i < m->n_drafts; i++) {
        struct draft *d = sorted[i];
        bool first = i == 0 || compare_column(sorted[i - 1], d) != 0;
        bool same_day = !first && date_compare(sorted[i - 1]->date, d->date) == 0;
        recorded = recorded && !first;
        if (d->blank)
            d->dropped = !recorded || same_day;
        else
            recorded = recorded || d->m.status != READING_NOT_RECORDED;
    }
}
