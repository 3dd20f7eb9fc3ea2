/* What every value column shares: how a cell is held back, noted or left without a number, and
 * what clinicians write where no value is. */
#include "import/cells_int.h"

#include <ctype.h>
#include <string.h>

const struct cell_rules *rules_or_none(const struct cell_rules *rules)
{
    static const struct cell_rules none;
    return rules != NULL ? rules : &none;
}

void reading_hold(struct value_reading *r, enum diag_code why, const char *detail)
{
    if (r->status == READING_HELD_BACK)
        return;
    r->status = READING_HELD_BACK;
    r->why = why;
    r->why_detail = detail;
}

void reading_note(struct value_reading *r, enum diag_code note)
{
    for (int i = 0; i < r->n_notes; i++) {
        if (r->notes[i] == note)
            return;
    }
    if (r->n_notes < NOTES_MAX)
        r->notes[r->n_notes++] = note;
}

void reading_finish(struct value_reading *r)
{
    bool number = r->status == READING_MEASURED || r->status == READING_ESTIMATED;
    if (!number) {
        r->start = r->end = num_none();
        r->start_is_extension = r->start_is_other_side = r->fixed = false;
        r->n_tries = 0;
        memset(r->tries, 0, sizeof r->tries);
        r->grade = NULL;
    }
    if (r->status == READING_HELD_BACK) {
        r->pain_from = r->pain_to = num_none();
        r->pain = false;
        r->end_feel = END_FEEL_NONE;
        r->position = NULL;
        r->status_reason = NULL;
        r->n_notes = 0;
    }
}

static bool only(const char *s, const char *set)
{
    return s[strspn(s, set)] == '\0';
}

static bool has_letter(const char *s)
{
    for (; *s != '\0'; s++) {
        if (isalpha((unsigned char)*s) || *s == PLAIN_OTHER)
            return true;
    }
    return false;
}

static bool has_digit(const char *s)
{
    return s[strcspn(s, "0123456789")] != '\0';
}

/* The words as typed from plain offset `from`, without the marks that set them off. */
static const char *as_typed(const struct plain *plain, size_t from, struct arena *a)
{
    size_t to = plain->len;
    bool bracket = false;
    for (; from < to && strchr(" -:;,.(=[/", plain->text[from]) != NULL; from++)
        bracket = bracket || plain->text[from] == '(' || plain->text[from] == '[';
    while (to > from && strchr(bracket ? " -:;,()[]/." : " -:;,/.", plain->text[to - 1]) != NULL)
        to--;
    if (from == to)
        return NULL;
    return str_trim(arena_strndup(a, plain->cell + plain->raw[from],
                                  plain->raw[to] - plain->raw[from]));
}

static void not_tested(const struct plain *plain, const struct word *word, size_t len,
                       struct arena *a, struct value_reading *r)
{
    const char *rest = plain->text + len;
    if (word->value == 0 && has_digit(rest) && !has_letter(rest)) {
        reading_hold(r, DIAG_CELL_NOT_TESTED_NUMBER, NULL);
        return;
    }
    r->status = READING_NOT_TESTED;
    r->status_reason = as_typed(plain, word->value == 0 ? len : 0, a);
}

static bool sheet_debris(const struct plain *plain, struct value_reading *r)
{
    const char *s = plain->text;
    if (s[0] == '#')
        reading_hold(r, DIAG_CELL_SHEET_ERROR, NULL);
    else if (s[0] == '=')
        reading_hold(r, DIAG_CELL_FORMULA, NULL);
    else
        return false;
    return true;
}

bool reading_without_value(const struct plain *plain, enum column column, struct arena *a,
                           struct value_reading *r)
{
    const char *s = plain->text;
    if (*s == '\0') {
        r->status = READING_NOT_RECORDED;
        reading_note(r, DIAG_CELL_BLANK);
        return true;
    }
    if (only(s, "-._?' ")) {
        r->status = READING_NOT_RECORDED;
        reading_note(r, DIAG_CELL_PLACEHOLDER);
        return true;
    }
    if (sheet_debris(plain, r))
        return true;
    const struct word *whole = words_whole(s, column);
    if (whole != NULL && whole->cls == WORD_MISSING) {
        r->status = READING_NOT_RECORDED;
        reading_note(r, DIAG_CELL_PLACEHOLDER);
        return true;
    }
    if (whole != NULL && whole->cls == WORD_NOT_APPLICABLE) {
        r->status = READING_NOT_APPLICABLE;
        return true;
    }
    size_t len;
    const struct word *first = words_at(s, column, &len);
    if (first != NULL && first->cls == WORD_SAME) {
        reading_hold(r, DIAG_CELL_SAME, NULL);
        return true;
    }
    if (first != NULL && first->cls == WORD_NOT_TESTED) {
        not_tested(plain, first, len, a, r);
        return true;
    }
    return false;
}
