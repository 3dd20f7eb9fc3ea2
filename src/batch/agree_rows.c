/*
 * Rows of a class: subject, rater and a value as clinicians write it, read by the same readers as
 * the cells of a patient. Each row ends as used, duplicate or held back, once.
 *
 * A cell without a reading (empty, NT, n/a) is a gap, which the figures know how to treat. An
 * estimate or a word for an angle is no measurement: held back, not left out in silence.
 */
#include "batch/sheet_int.h"

#include <stdlib.h>
#include <string.h>

enum { COLUMN_SUBJECT, COLUMN_RATER, COLUMN_VALUE, COLUMN_TRY, COLUMN_INSTRUCTOR, COLUMN_TEST,
       COLUMNS };
static const char *const columns[COLUMNS] = {
    [COLUMN_SUBJECT] = "subject", [COLUMN_RATER] = "rater", [COLUMN_VALUE] = "value",
    [COLUMN_TRY] = "try", [COLUMN_INSTRUCTOR] = "instructor", [COLUMN_TEST] = "test"};
const struct import_table class_table = {columns, COLUMNS, COLUMN_VALUE + 1};

/* An angle of which nothing more is known: no normal value, no opposite, every sign as typed. */
static const struct motion any_motion = {.joint = "", .motion = "", .region = "", .plane = "",
                                         .unit = UNIT_DEG, .rom = true};

struct row_in {
    struct class_rows *c;
    const struct tools *t;
    const struct import_source *src;
    const struct row *row;
    enum agree_scale scale;
    struct diag_sink *sink;
    struct agree_rating rating;
};

static const char *text_of(const struct row_in *r, int column)
{
    const struct cell *cell = import_table_cell(r->src, r->row, column);
    return cell != NULL ? cell->text : "";
}

static struct diag_pos pos_of(const struct row_in *r, int column)
{
    const struct cell *cell = import_table_cell(r->src, r->row, column);
    struct diag_pos pos = {.file = import_path(r->src), .line = r->row->line};
    if (cell != NULL) {
        pos.line = cell->line;
        pos.column = cell->column;
        pos.field = columns[column];
    }
    return pos;
}

static void say(const struct row_in *r, int column, enum diag_code code, const char *detail)
{
    const char *text = text_of(r, column);
    if (detail != NULL)
        diag_report(r->sink, code, pos_of(r, column), text, "%s", detail);
    else
        diag_report(r->sink, code, pos_of(r, column), text, NULL);
}

static const struct cell_rules *rules_of(const struct row_in *r)
{
    return import_settings_rules(r->t->settings);
}

/* ---- cells --------------------------------------------------------------------------------- */

static bool read_try(struct row_in *r)
{
    const char *text = text_of(r, COLUMN_TRY);
    double n;
    r->rating.try = 0;
    if (*text == '\0')
        return true;
    if (num_parse(text, strlen(text), &n) && n >= 1 && n <= TRIES_MAX && n == (int)n) {
        r->rating.try = (int)n;
        return true;
    }
    say(r, COLUMN_TRY, DIAG_AGREE_TRY, NULL);
    return false;
}

static bool read_instructor(struct row_in *r)
{
    enum diag_code why;
    r->rating.instructor = false;
    if (cell_yes_no(text_of(r, COLUMN_INSTRUCTOR), rules_of(r), &r->rating.instructor, &why))
        return true;
    say(r, COLUMN_INSTRUCTOR, why, NULL);
    return false;
}

static bool name_fits(const char *name)
{
    return *name != '\0' && strlen(name) <= AGREE_NAME_MAX;
}

static bool read_names(struct row_in *r)
{
    r->rating.subject = arena_strdup(r->c->arena, text_of(r, COLUMN_SUBJECT));
    r->rating.rater = arena_strdup(r->c->arena, text_of(r, COLUMN_RATER));
    r->rating.test = arena_strdup(r->c->arena, text_of(r, COLUMN_TEST));
    if (!name_fits(r->rating.subject))
        say(r, COLUMN_SUBJECT, DIAG_AGREE_NAME, NULL);
    else if (!name_fits(r->rating.rater) || strchr(r->rating.rater, ':') != NULL)
        say(r, COLUMN_RATER, DIAG_AGREE_NAME, NULL);
    else if (strlen(r->rating.test) > AGREE_NAME_MAX)
        say(r, COLUMN_TEST, DIAG_AGREE_NAME, NULL);
    else
        return true;
    return false;
}

/* ---- the value ----------------------------------------------------------------------------- */

static void add_rating(struct row_in *r, double value, int try)
{
    struct class_rows *c = r->c;
    if (c->n == c->cap) {
        c->cap = c->cap == 0 ? 256 : 2 * c->cap;
        c->ratings = mem_resize(c->ratings, c->cap * sizeof *c->ratings);
    }
    c->ratings[c->n] = r->rating;
    c->ratings[c->n].value = value;
    c->ratings[c->n].try = try;
    c->ratings[c->n++].pos = pos_of(r, COLUMN_VALUE);
}

static void add_angle(struct row_in *r, const struct value_reading *v)
{
    if (!v->end.has || (v->start.has && v->start.value != 0))
        say(r, COLUMN_VALUE, v->end.has ? DIAG_AGREE_START : DIAG_AGREE_NO_NUMBER, NULL);
    else if (v->n_tries > 1 && r->rating.try > 0)
        say(r, COLUMN_VALUE, DIAG_AGREE_TRIES_INSIDE, NULL);
    else if (v->n_tries > 1)
        for (int i = 0; i < v->n_tries; i++)
            add_rating(r, v->tries[i], i + 1);
    else
        add_rating(r, v->end.value, r->rating.try);
}

static void add_value(struct row_in *r, const struct value_reading *v)
{
    switch (v->status) {
    case READING_NOT_TESTED:
    case READING_NOT_APPLICABLE:
    case READING_NOT_RECORDED:
        say(r, COLUMN_VALUE, DIAG_AGREE_GAP, NULL);
        return;
    case READING_HELD_BACK:
        say(r, COLUMN_VALUE, v->why, v->why_detail);
        return;
    case READING_MEASURED:
        break;
    default:
        say(r, COLUMN_VALUE, DIAG_AGREE_NO_NUMBER, NULL);
        return;
    }
    for (int i = 0; i < v->n_notes; i++)
        say(r, COLUMN_VALUE, v->notes[i], NULL);
    if (r->scale == AGREE_ANGLE)
        add_angle(r, v);
    else if (v->grade == NULL)
        say(r, COLUMN_VALUE, DIAG_AGREE_NO_NUMBER, NULL);
    else
        add_rating(r, v->grade->numeric, r->rating.try);
}

static void read_value(struct row_in *r)
{
    struct value_reading v;
    struct import_test test;
    const char *text = text_of(r, COLUMN_VALUE);
    if (r->scale == AGREE_GRADE) {
        cell_grade(text, rules_of(r), r->t->reference, r->c->arena, &v);
    } else {
        bool known = import_test_named(r->t->reference, r->rating.test, &test) &&
                     test.motion->unit != UNIT_NONE;
        cell_angle(text, known ? test.motion : &any_motion,
                   known && test.test == TEST_PROM ? TEST_PROM : TEST_AROM, rules_of(r),
                   r->c->arena, &v);
    }
    add_value(r, &v);
}

/* ---- rows ---------------------------------------------------------------------------------- */

static void add_row(struct class_rows *c, const struct row_in *r)
{
    if (c->n_rows == c->cap_rows) {
        c->cap_rows = c->cap_rows == 0 ? 256 : 2 * c->cap_rows;
        c->rows = mem_resize(c->rows, c->cap_rows * sizeof *c->rows);
    }
    c->rows[c->n_rows++] =
        (struct class_row){(size_t)r->row->source, r->row->line,
                           arena_strdup(c->arena, text_of(r, COLUMN_VALUE)), CLASS_USED};
}

bool class_read(struct class_rows *c, const struct tools *t, enum agree_scale scale,
                struct diag_sink *sink)
{
    bool whole = true;
    c->arena = arena_new();
    c->tallies = mem_alloc((t->n_sources + 1) * sizeof *c->tallies);
    for (size_t i = 0; i < t->n_sources; i++) {
        struct row row;
        enum import_step step;
        for (;;) {
            c->judging = false; /* what is said next is of a row that is none */
            step = import_next(t->sources[i], &row, &c->tallies[i], sink);
            if (step != IMPORT_ROW)
                break;
            c->judging = true;
            struct row_in r = {c, t, t->sources[i], &row, scale, sink, {0}};
            add_row(c, &r);
            if (read_names(&r) && read_try(&r) && read_instructor(&r))
                read_value(&r);
        }
        whole = whole && step == IMPORT_END;
    }
    c->judging = true;
    return whole;
}

static size_t source_of(const struct tools *t, const char *path)
{
    size_t i = 0;
    while (i < t->n_sources && import_path(t->sources[i]) != path)
        i++;
    return i;
}

/* The row that a line belongs to: a cell may stand on a later line than its row. */
struct class_row *class_judge(struct class_rows *c, const struct tools *t, const struct diag *d)
{
    size_t source = source_of(t, d->pos.file), low = 0, high = c->n_rows;
    enum diag_outcome outcome = diag_outcome(d->code);
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        const struct class_row *row = &c->rows[middle];
        if (row->source < source || (row->source == source && row->line <= d->pos.line))
            low = middle + 1;
        else
            high = middle;
    }
    struct class_row *row = low > 0 ? &c->rows[low - 1] : NULL;
    if (!c->judging || source == t->n_sources || row == NULL || row->source != source)
        return NULL;
    if (outcome == OUTCOME_HELD_BACK)
        row->outcome = CLASS_HELD;
    else if (outcome == OUTCOME_DUPLICATE && row->outcome == CLASS_USED)
        row->outcome = CLASS_DUPLICATE;
    return row;
}

void class_settle(struct class_rows *c)
{
    for (size_t i = 0; i < c->n_rows; i++) {
        struct tally *t = &c->tallies[c->rows[i].source];
        t->used += c->rows[i].outcome == CLASS_USED;
        t->duplicates += c->rows[i].outcome == CLASS_DUPLICATE;
        t->held += c->rows[i].outcome == CLASS_HELD;
    }
}

void class_release(struct class_rows *c)
{
    free(c->rows);
    free(c->ratings);
    free(c->tallies);
    arena_free(c->arena);
}
