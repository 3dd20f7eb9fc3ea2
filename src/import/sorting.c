/* What is asked of a row before its patient is made of it: whose it is and of which day, so that
 * rows can be sorted; and rows that are held back or noted on the way. */
#include "import/import_int.h"

const char *import_row_patient(const struct import_source *src, const struct row *row)
{
    const struct cell *cell = column_cell(src, row, COL_PATIENT_ID);
    return cell != NULL ? cell->text : "";
}

struct date import_row_date(const struct import_source *src, const struct row *row,
                            struct date today)
{
    const struct cell *cell = column_cell(src, row, COL_VISIT_DATE);
    struct date date = {0}, none = {0};
    enum diag_code why;
    if (cell == NULL || cell->len == 0 ||
        !cell_date(cell->text, &src->settings->rules, &date, &why))
        return none;
    return date_is_set(today) && date_compare(date, today) > 0 ? none : date;
}

void import_hold_row(const struct import_source *src, const struct row *row, enum diag_code why,
                     struct tally *tally, struct diag_sink *sink)
{
    const struct cell *cell = column_cell(src, row, COL_PATIENT_ID);
    diag_report(sink, why, column_pos(src, row, COL_PATIENT_ID), cell != NULL ? cell->text : NULL,
                NULL);
    tally->held++;
}

bool import_row_has_facts(const struct import_source *src, const struct row *row)
{
    static const enum import_column facts[] = {
        COL_NAME, COL_BIRTH_DATE, COL_AGE, COL_SEX, COL_DOMINANT_SIDE, COL_BODY_MASS_KG,
        COL_DIAGNOSIS, COL_DIAGNOSIS_CODE, COL_ONSET_DATE, COL_SURGERY_DATE, COL_PROCEDURE,
        COL_WEIGHT_BEARING, COL_AFFECTED_SIDE, COL_REFERRER, COL_REFERRER_ADDRESS,
        COL_REFERRAL_REASON, COL_PLAN_START, COL_CERTIFIED_ON};
    for (size_t i = 0; i < ARRAY_LEN(facts); i++) {
        const struct cell *cell = column_cell(src, row, facts[i]);
        if (cell != NULL && cell->len > 0)
            return true;
    }
    return false;
}

void import_hold_patient(const struct row *rows, size_t n_rows,
                         struct import_source *const *sources, const char *nearest,
                         struct tally *tallies, struct diag_sink *sink)
{
    for (size_t i = 0; i < n_rows; i++) {
        const struct import_source *src = sources[rows[i].source];
        diag_report(sink, DIAG_ID_LIKE_ANOTHER, column_pos(src, &rows[i], COL_PATIENT_ID),
                    import_row_patient(src, &rows[i]), "the list has %s", nearest);
        tallies[rows[i].source].held++;
    }
}

void import_note_id(const struct row *row, struct import_source *const *sources,
                    const char *nearest, struct diag_sink *sink)
{
    const struct import_source *src = sources[row->source];
    diag_report(sink, DIAG_IDS_ALIKE, column_pos(src, row, COL_PATIENT_ID),
                import_row_patient(src, row), "the other is %s", nearest);
}
