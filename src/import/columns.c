/* The native columns and how a header row is matched with them: names in any case, blanks and
 * hyphens as good as underscores, any order. A name that is not known is never dropped without a
 * word, and one that was probably meant for a known column is held back. */
#include "import/import_int.h"
#include "import/heading_int.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

static const char *const names[COL_COUNT] = {
    [COL_PATIENT_ID] = "patient_id", [COL_NAME] = "name", [COL_BIRTH_DATE] = "birth_date",
    [COL_AGE] = "age", [COL_SEX] = "sex", [COL_DOMINANT_SIDE] = "dominant_side",
    [COL_BODY_MASS_KG] = "body_mass_kg", [COL_DIAGNOSIS] = "diagnosis",
    [COL_DIAGNOSIS_CODE] = "diagnosis_code", [COL_ONSET_DATE] = "onset_date",
    [COL_SURGERY_DATE] = "surgery_date", [COL_PROCEDURE] = "procedure",
    [COL_WEIGHT_BEARING] = "weight_bearing", [COL_AFFECTED_SIDE] = "affected_side",
    [COL_REFERRER] = "referrer", [COL_REFERRER_ADDRESS] = "referrer_address",
    [COL_REFERRAL_REASON] = "referral_reason", [COL_PLAN_START] = "plan_start",
    [COL_CERTIFIED_ON] = "certified_on", [COL_VISIT_DATE] = "visit_date",
    [COL_VISIT_KIND] = "visit_kind", [COL_TREATMENT_DAY] = "treatment_day",
    [COL_MEASURED_BY] = "measured_by", [COL_ROLE] = "role", [COL_SUPERVISOR] = "supervisor",
    [COL_SIGNED_ON] = "signed_on", [COL_COUNTERSIGNED_ON] = "countersigned_on",
    [COL_PLAN] = "plan", [COL_QUESTION_TO_REFERRER] = "question_to_referrer",
    [COL_PAIN_REST] = "pain_rest", [COL_PAIN_MOVE] = "pain_move", [COL_PROTOCOL] = "protocol",
    [COL_OUTCOME_NAME] = "outcome_name", [COL_OUTCOME_SCORE] = "outcome_score",
    [COL_JOINT] = "joint", [COL_MOTION] = "motion", [COL_SIDE] = "side", [COL_DIGIT] = "digit",
    [COL_TEST] = "test", [COL_VALUE] = "value", [COL_START_DEG] = "start_deg",
    [COL_END_DEG] = "end_deg", [COL_GRADE] = "grade", [COL_UNIT] = "unit",
    [COL_LEVER_CM] = "lever_cm", [COL_REPETITIONS] = "repetitions",
    [COL_TRY] = "try", [COL_POSITION] = "position",
    [COL_TOOL] = "tool", [COL_TIMING] = "timing", [COL_MUSCLE] = "muscle",
    [COL_TECHNIQUE] = "technique", [COL_END_FEEL] = "end_feel", [COL_PAIN] = "pain",
    [COL_PAIN_FROM] = "pain_from", [COL_PAIN_TO] = "pain_to",
    [COL_COMPENSATION] = "compensation", [COL_REASON] = "reason", [COL_NOTE] = "note",
    [COL_GOAL_ID] = "goal_id", [COL_GOAL_VALUE] = "goal_value", [COL_GOAL_DUE] = "goal_due",
    [COL_GOAL_ACTIVITY] = "goal_activity", [COL_GOAL_SET_ON] = "goal_set_on",
    [COL_GOAL_BASELINE] = "goal_baseline", [COL_LIMIT_KIND] = "limit_kind",
    [COL_LIMIT_TEST] = "limit_test", [COL_LIMIT_VALUE] = "limit_value",
    [COL_LIMIT_FROM] = "limit_from", [COL_LIMIT_UNTIL] = "limit_until", [COL_LIMIT_BY] = "limit_by",
    [COL_CORRECTED_ON] = "corrected_on", [COL_CORRECTED_BY] = "corrected_by",
    [COL_CORRECTION_REASON] = "correction_reason",
};

const char *column_name(enum import_column c)
{
    return names[c];
}

bool column_is_named(const char *written, const char *name)
{
    for (; *written != '\0' && *name != '\0'; written++, name++) {
        char c = (char)tolower((unsigned char)*written);
        if (c != *name && !((c == ' ' || c == '-') && *name == '_'))
            return false;
    }
    return *written == *name;
}

enum import_column column_by_name(const char *written)
{
    for (int c = 0; c < COL_COUNT; c++)
        if (column_is_named(written, names[c]))
            return (enum import_column)c;
    return COL_COUNT;
}

/* ---- pins -------------------------------------------------------------------------------- */

static const enum import_column pin_columns[PIN_COUNT] = {
    [PIN_JOINT] = COL_JOINT,   [PIN_MOTION] = COL_MOTION,       [PIN_SIDE] = COL_SIDE,
    [PIN_DIGIT] = COL_DIGIT,   [PIN_TEST] = COL_TEST,           [PIN_POSITION] = COL_POSITION,
    [PIN_TIMING] = COL_TIMING, [PIN_TOOL] = COL_TOOL,           [PIN_MUSCLE] = COL_MUSCLE,
    [PIN_UNIT] = COL_UNIT,     [PIN_TECHNIQUE] = COL_TECHNIQUE, [PIN_TRY] = COL_TRY,
};

enum import_column pin_column(enum pin p)
{
    return pin_columns[p];
}

const char *wide_pin(const struct wide_column *w, enum import_column c)
{
    for (int p = 0; p < PIN_COUNT; p++)
        if (pin_columns[p] == c)
            return w->pins[p];
    return NULL;
}

static void pins_of_heading(const struct heading *h, struct wide_column *w)
{
    static const char *const digits[] = {NULL, "1", "2", "3", "4", "5"};
    w->pins[PIN_JOINT] = h->motion->joint;
    w->pins[PIN_MOTION] = h->motion->motion;
    w->pins[PIN_SIDE] = h->side != SIDE_NONE ? side_name(h->side) : NULL;
    w->pins[PIN_DIGIT] = digits[h->digit];
    w->pins[PIN_TEST] = h->test != TEST_NONE ? test_name(h->test) : NULL;
    w->pins[PIN_POSITION] = h->position;
    w->pins[PIN_UNIT] = h->unit;
    w->pins[PIN_TIMING] = h->timing != TIMING_NONE ? timing_name(h->timing) : NULL;
}

/* ---- the header ---------------------------------------------------------------------------- */

/* What the header cells become, before it is known what the file as a whole tells. */
struct resolving {
    struct import_source *src;
    const struct row *header;
    const struct reference *ref;
    struct diag_sink *sink;
    struct wide_column *candidates;
    int n_candidates;
    bool ok;
};

static struct diag_pos header_pos(const struct import_source *src, const struct cell *cell)
{
    return (struct diag_pos){.file = src->path, .line = cell->line, .column = cell->column,
                             .field = cell->len > 0 ? cell->text : NULL};
}

static void hold_column(struct resolving *r, const struct cell *cell, enum diag_code code,
                        const char *detail)
{
    struct import_source *src = r->src;
    struct diag_pos pos = header_pos(src, cell);
    if (detail[0] != '\0')
        diag_report(r->sink, code, pos, cell->text, "%s", detail);
    else
        diag_report(r->sink, code, pos, cell->text, NULL);
    src->held_columns[src->n_held_columns++] = cell->column - 1;
}

/* A known name that this file lacks and that the written one comes close to, or NULL. */
static const char *nearest_absent(const struct import_source *src, const char *written)
{
    const char *absent[COL_COUNT];
    size_t n = 0;
    for (int c = 0; c < COL_COUNT; c++)
        if (src->column_of[c] < 0)
            absent[n++] = names[c];
    return str_nearest(written, absent, n);
}

static void take_native(struct resolving *r, const struct cell *cell, enum import_column c)
{
    struct import_source *src = r->src;
    if (src->column_of[c] < 0) {
        src->column_of[c] = cell->column - 1;
        return;
    }
    diag_report(r->sink, DIAG_CSV_COLUMN_TWICE, header_pos(src, cell), cell->text,
                "columns %d and %d", src->column_of[c] + 1, cell->column);
    r->ok = false;
}

static struct wide_column *add_candidate(struct resolving *r, const struct cell *cell)
{
    struct wide_column *w = &r->candidates[r->n_candidates++];
    *w = (struct wide_column){.cell = cell->column - 1, .header = cell->text};
    return w;
}

/* Map first, then native names. False: the header is neither. */
static bool take_known(struct resolving *r, const struct cell *cell)
{
    struct import_source *src = r->src;
    const struct map_column *mapped = map_find(src->settings, cell->text);
    enum import_column c = column_by_name(cell->text);
    if (mapped != NULL) {
        src->map_used[mapped - src->settings->columns] = true;
        if (mapped->kind == MAP_RENAME)
            take_native(r, cell, mapped->to);
        if (mapped->kind == MAP_PIN)
            memcpy(add_candidate(r, cell)->pins, mapped->pins, sizeof mapped->pins);
        return true;
    }
    if (c != COL_COUNT)
        take_native(r, cell, c);
    return c != COL_COUNT;
}

static void take_other(struct resolving *r, const struct cell *cell)
{
    char near[HEADING_NEAR_MAX] = "";
    struct heading h;
    enum heading_kind kind = HEADING_OTHER;
    struct diag_pos pos = header_pos(r->src, cell);
    const char *native = nearest_absent(r->src, cell->text);
    if (cell->len == 0) {
        diag_report(r->sink, DIAG_CSV_COLUMN_UNNAMED, pos, NULL, "column %d", cell->column);
        return;
    }
    if (r->ref != NULL)
        kind = heading_read(r->ref, cell->text, &h, near);
    const char *detail = near[0] == '\0'
                             ? ""
                             : arena_printf(r->src->arena, "nearest known: %s", near);
    if (kind == HEADING_MEASUREMENT)
        pins_of_heading(&h, add_candidate(r, cell));
    else if (kind == HEADING_ASSISTED)
        hold_column(r, cell, DIAG_CSV_COLUMN_WIDE,
                    "assisted or resisted range is neither active nor passive");
    else if (native != NULL)
        hold_column(r, cell, DIAG_CSV_COLUMN_MISSPELT,
                    arena_printf(r->src->arena, "nearest known: %s", native));
    else if (kind == HEADING_LIKE)
        hold_column(r, cell, DIAG_CSV_COLUMN_WIDE, detail);
    else
        diag_report(r->sink, DIAG_CSV_COLUMN_UNKNOWN, pos, cell->text, NULL);
}

/* ---- wide columns -------------------------------------------------------------------------- */

static bool is_told(const struct import_source *src, const struct wide_column *w, enum pin p)
{
    enum import_column c = pin_columns[p];
    return w->pins[p] != NULL || src->column_of[c] >= 0 || src->settings->constants[c] != NULL;
}

/* What no cell of the column could tell, so that all of it would be held back one by one. */
static const char *lacks(const struct import_source *src, const struct wide_column *w,
                         const struct reference *ref)
{
    enum pair_order pairs = src->settings->rules.pairs;
    bool by_mode = pairs == PAIR_ACTIVE_PASSIVE || pairs == PAIR_PASSIVE_ACTIVE;
    bool by_side = pairs == PAIR_RIGHT_LEFT || pairs == PAIR_LEFT_RIGHT;
    if (!is_told(src, w, PIN_JOINT) || !is_told(src, w, PIN_MOTION))
        return "joint and motion are not said";
    if (!is_told(src, w, PIN_TEST) && !by_mode)
        return "active, passive or strength is not said";
    const struct motion *m = w->pins[PIN_JOINT] != NULL && w->pins[PIN_MOTION] != NULL
                                 ? reference_motion(ref, w->pins[PIN_JOINT], w->pins[PIN_MOTION])
                                 : NULL;
    if (m == NULL)
        return NULL;
    if (m->sides == SIDES_LEFT_RIGHT && !is_told(src, w, PIN_SIDE) && !by_side)
        return "the side is not said";
    if (m->digit_min > 0 && !is_told(src, w, PIN_DIGIT))
        return "the digit is not said";
    return NULL;
}

static void settle_wide(struct resolving *r)
{
    struct import_source *src = r->src;
    src->wide = r->candidates;
    for (int i = 0; i < r->n_candidates; i++) {
        const struct wide_column *w = &r->candidates[i];
        const char *detail = lacks(src, w, r->ref);
        if (detail != NULL)
            hold_column(r, &r->header->cells[w->cell], DIAG_CSV_COLUMN_WIDE, detail);
        else
            src->wide[src->n_wide++] = *w;
    }
}

/* ---- constants ----------------------------------------------------------------------------- */

bool columns_have_value(const struct import_source *src)
{
    static const enum import_column values[] = {COL_VALUE, COL_START_DEG, COL_END_DEG, COL_GRADE};
    for (size_t i = 0; i < ARRAY_LEN(values); i++)
        if (src->column_of[values[i]] >= 0)
            return true;
    return false;
}

/* A constant belongs to files of measurements that lack the column: in a list of patients it would
 * make readings out of names. */
static void settle_constants(struct import_source *src)
{
    const struct import_settings *s = src->settings;
    if (!columns_have_value(src) && src->n_wide == 0)
        return;
    for (int c = 0; c < COL_COUNT; c++) {
        if (s->constants[c] == NULL || src->column_of[c] >= 0)
            continue;
        if (src->constants == NULL)
            src->constants = arena_alloc(src->arena, COL_COUNT * sizeof *src->constants);
        src->constants[c] = (struct cell){.text = s->constants[c], .len = strlen(s->constants[c])};
    }
}

bool columns_resolve(struct import_source *src, const struct row *header,
                     const struct reference *ref, struct diag_sink *sink)
{
    struct resolving r = {.src = src, .header = header, .ref = ref, .sink = sink, .ok = true};
    size_t n = (size_t)header->n_cells + 1;
    src->n_columns = header->n_cells;
    src->held_columns = arena_alloc(src->arena, n * sizeof *src->held_columns);
    src->map_used = arena_alloc(src->arena, src->settings->n_columns + 1);
    r.candidates = arena_alloc(src->arena, n * sizeof *r.candidates);
    bool *known = arena_alloc(src->arena, n);
    for (int c = 0; c < COL_COUNT; c++)
        src->column_of[c] = -1;
    for (int i = 0; i < header->n_cells; i++)
        known[i] = take_known(&r, &header->cells[i]);
    for (int i = 0; i < header->n_cells; i++)
        if (!known[i])
            take_other(&r, &header->cells[i]);
    settle_wide(&r);
    settle_constants(src);
    for (int c = 0; c < COL_COUNT; c++)
        if (src->column_of[c] >= 0 || (src->constants != NULL && src->constants[c].text != NULL))
            src->present[src->n_present++] = (unsigned char)c;
    if (src->column_of[COL_PATIENT_ID] < 0) {
        struct diag_pos pos = {.file = src->path, .line = header->line};
        diag_report(sink, DIAG_CSV_NO_PATIENT_COLUMN, pos, NULL, NULL);
        r.ok = false;
    }
    return r.ok;
}

/* ---- cells of a row ------------------------------------------------------------------------ */

struct diag_pos column_pos(const struct import_source *src, const struct row *row,
                           enum import_column c)
{
    const struct cell *cell = column_cell(src, row, c);
    struct diag_pos pos = {.file = src->path, .line = row->line};
    if (cell != NULL) {
        pos.line = cell->line > 0 ? cell->line : row->line; /* a constant stands on no line */
        pos.column = cell->column;
        pos.field = names[c];
    }
    return pos;
}

/* ---- what a row says ------------------------------------------------------------------------- */

static void put_cell(const struct cell *cell, struct buf *out)
{
    buf_addc(out, '=');
    buf_addu(out, cell->len);
    buf_addc(out, ':');
    buf_adds(out, cell->text);
    buf_addc(out, ';');
}

static void put_wide(const struct import_source *src, const struct row *row, bool *told,
                     struct buf *out)
{
    for (int i = 0; i < src->n_wide; i++) {
        const struct wide_column *w = &src->wide[i];
        if (w->cell >= row->n_cells)
            continue;
        told[w->cell] = true;
        if (row->cells[w->cell].len == 0)
            continue;
        for (int p = 0; p < PIN_COUNT; p++) {
            buf_adds(out, w->pins[p] != NULL ? w->pins[p] : "");
            buf_addc(out, '/');
        }
        put_cell(&row->cells[w->cell], out);
    }
}

/* Cells of columns that mean nothing here stand by their place. */
void import_row_text(const struct import_source *src, const struct row *row, struct buf *out)
{
    bool *told = mem_alloc((size_t)row->n_cells + 1);
    buf_adds(out, import_settings_digest(src->settings));
    for (int c = 0; c < COL_COUNT; c++) {
        const struct cell *cell = column_cell(src, row, (enum import_column)c);
        if (cell == NULL)
            continue;
        if (cell->column > 0) /* a constant of a map stands in no cell */
            told[cell - row->cells] = true;
        if (cell->len > 0) {
            buf_adds(out, names[c]);
            put_cell(cell, out);
        }
    }
    put_wide(src, row, told, out);
    for (int i = 0; i < row->n_cells; i++)
        if (!told[i] && row->cells[i].len > 0) {
            buf_addu(out, (uint64_t)i);
            put_cell(&row->cells[i], out);
        }
    free(told);
}
