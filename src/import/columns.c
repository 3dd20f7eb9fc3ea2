/* The native columns and how a header row is matched with them: names in any case, blanks and
 * hyphens as good as underscores, any order. A name that is not known is never dropped without a
 * word, and one that was probably meant for a known column is held back. */
#include "import/import_int.h"
#include "import/vocabulary_int.h"

#include <ctype.h>
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
    [COL_LEVER_CM] = "lever_cm", [COL_TRY] = "try", [COL_POSITION] = "position",
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

static bool same_name(const char *written, const char *name)
{
    for (; *written != '\0' && *name != '\0'; written++, name++) {
        char c = (char)tolower((unsigned char)*written);
        if (c != *name && !((c == ' ' || c == '-') && *name == '_'))
            return false;
    }
    return *written == *name;
}

static int find_column(const char *written)
{
    for (int c = 0; c < COL_COUNT; c++)
        if (same_name(written, names[c]))
            return c;
    return -1;
}

static struct diag_pos header_pos(const struct import_source *src, const struct cell *cell)
{
    return (struct diag_pos){.file = src->path, .line = cell->line, .column = cell->column,
                             .field = cell->len > 0 ? cell->text : NULL};
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

static void report_unknown(const struct import_source *src, const struct cell *cell,
                           const struct reference *ref, struct diag_sink *sink)
{
    struct diag_pos pos = header_pos(src, cell);
    const char *near = nearest_absent(src, cell->text);
    if (cell->len == 0)
        diag_report(sink, DIAG_CSV_COLUMN_UNNAMED, pos, NULL, "column %d", cell->column);
    else if (near != NULL)
        diag_report(sink, DIAG_CSV_COLUMN_MISSPELT, pos, cell->text, "nearest known: %s", near);
    else if (ref != NULL && vocabulary_is_wide(ref, cell->text))
        diag_report(sink, DIAG_CSV_COLUMN_WIDE, pos, cell->text, NULL);
    else
        diag_report(sink, DIAG_CSV_COLUMN_UNKNOWN, pos, cell->text, NULL);
}

bool columns_resolve(struct import_source *src, const struct row *header,
                     const struct reference *ref, struct diag_sink *sink)
{
    bool ok = true;
    src->n_columns = header->n_cells;
    for (int c = 0; c < COL_COUNT; c++)
        src->column_of[c] = -1;
    for (int i = 0; i < header->n_cells; i++) {
        const struct cell *cell = &header->cells[i];
        int c = find_column(cell->text);
        if (c >= 0 && src->column_of[c] >= 0) {
            diag_report(sink, DIAG_CSV_COLUMN_TWICE, header_pos(src, cell), cell->text,
                        "columns %d and %d", src->column_of[c] + 1, cell->column);
            ok = false;
        } else if (c >= 0) {
            src->column_of[c] = i;
        }
    }
    for (int i = 0; i < header->n_cells; i++)
        if (find_column(header->cells[i].text) < 0)
            report_unknown(src, &header->cells[i], ref, sink);
    if (src->column_of[COL_PATIENT_ID] < 0) {
        struct diag_pos pos = {.file = src->path, .line = header->line};
        diag_report(sink, DIAG_CSV_NO_PATIENT_COLUMN, pos, NULL, NULL);
        ok = false;
    }
    return ok;
}

const struct cell *column_cell(const struct import_source *src, const struct row *row,
                               enum import_column c)
{
    int i = src->column_of[c];
    return i >= 0 && i < row->n_cells ? &row->cells[i] : NULL;
}

struct diag_pos column_pos(const struct import_source *src, const struct row *row,
                           enum import_column c)
{
    const struct cell *cell = column_cell(src, row, c);
    struct diag_pos pos = {.file = src->path, .line = row->line};
    if (cell != NULL) {
        pos.line = cell->line;
        pos.column = cell->column;
        pos.field = names[c];
    }
    return pos;
}
