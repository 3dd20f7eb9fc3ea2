/* Cells of every column but the value: text, numbers, dates, words of a list, and the place of a
 * reading (motion, side, digit). Each is read, or held back with what to type instead. */
#include "import/meaning_int.h"
#include "import/vocabulary_int.h"

#include <math.h>
#include <string.h>

const struct field_word field_roles[] = {
    {"PT", ROLE_PT}, {"DPT", ROLE_PT}, {"physical therapist", ROLE_PT},
    {"physiotherapist", ROLE_PT},
    {"P.T.", ROLE_PT}, {"PT, DPT", ROLE_PT}, {"physio", ROLE_PT},
    {"PTA", ROLE_PTA}, {"assistant", ROLE_PTA}, {"P.T.A.", ROLE_PTA}, {"PT assistant", ROLE_PTA},
    {"physical therapist assistant", ROLE_PTA}, {"physiotherapy assistant", ROLE_PTA},
    {"student", ROLE_STUDENT}, {"SPT", ROLE_STUDENT}, {"PT student", ROLE_STUDENT},
    {"student PT", ROLE_STUDENT}, {"student physical therapist", ROLE_STUDENT},
    {"student physiotherapist", ROLE_STUDENT}, {"SPTA", ROLE_STUDENT},
    {"PTA student", ROLE_STUDENT}, {"other", ROLE_OTHER}, {NULL, 0}};

static bool is_placeholder(const char *text)
{
    static const char *const words[] = {"-", "--", "---", ".", "?", "n/a", "na", "nil",
                                        "\xE2\x80\x93", "\xE2\x80\x94"};
    if (*text == '\0')
        return true;
    if (strchr("-.?nN\xE2", *text) == NULL) /* most texts */
        return false;
    for (size_t i = 0; i < ARRAY_LEN(words); i++)
        if (str_eq_nocase(text, words[i]))
            return true;
    return false;
}

static bool is_debris(struct meaning *m, struct row_state *rs, enum import_column c,
                      const char *text)
{
    static const char *const errors[] = {"#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!",
                                         "#NUM!", "#NULL!", "##"};
    for (size_t i = 0; *text == '#' && i < ARRAY_LEN(errors); i++) {
        if (str_starts(text, errors[i])) {
            meaning_say(m, rs, c, DIAG_CELL_SHEET_ERROR, NULL);
            return true;
        }
    }
    if (text[0] == '=')
        meaning_say(m, rs, c, DIAG_CELL_FORMULA, NULL);
    return text[0] == '=';
}

const char *field_filled_text(struct meaning *m, struct row_state *rs, enum import_column c)
{
    const char *text = meaning_cell(rs, c), *last = m->last_text[c];
    if (last != NULL && strcmp(last, text) == 0)
        return last;
    if (is_placeholder(text) || is_debris(m, rs, c, text))
        return NULL;
    m->last_text[c] = arena_strdup(m->arena, text);
    return m->last_text[c];
}

/* Without a suffix of the list and the blanks before it. */
static size_t number_len(const char *text, const char *const *suffixes)
{
    size_t len = strlen(text);
    for (size_t i = 0; suffixes != NULL && suffixes[i] != NULL; i++) {
        size_t n = strlen(suffixes[i]);
        if (len > n && str_eq_nocase(text + len - n, suffixes[i])) {
            len -= n;
            break;
        }
    }
    while (len > 0 && text[len - 1] == ' ')
        len--;
    return len;
}

bool field_parse(const char *text, const char *const *suffixes, const struct cell_rules *rules,
                 double *value)
{
    char copy[NUM_TEXT_MAX];
    size_t len = number_len(text, suffixes);
    if (len >= sizeof copy)
        return false;
    memcpy(copy, text, len);
    copy[len] = '\0';
    /* Three digits after a comma may be thousands, unless it is declared; one or two cannot. */
    char *comma = strchr(copy, ',');
    const char *point = strchr(copy, '.');
    if (point != NULL && rules->decimal == DECIMAL_COMMA && strlen(point + 1) == 3)
        return false;
    if (comma != NULL) {
        size_t digits = strlen(comma + 1);
        bool few = digits <= 2 || rules->decimal == DECIMAL_COMMA;
        if (digits < 1 || !few || point != NULL || rules->decimal == DECIMAL_POINT)
            return false;
        *comma = '.';
    }
    return num_parse(copy, len, value);
}

/* What a column of numbers counts in, for the message; NULL: nothing to say. */
static const char *counted_in(enum import_column c)
{
    switch (c) {
    case COL_AGE:
        return "in years";
    case COL_BODY_MASS_KG:
        return "in kilograms";
    case COL_LEVER_CM:
        return "in centimetres";
    case COL_GOAL_VALUE:
    case COL_GOAL_BASELINE:
        return "on the angle scale: 120, or -2 for 2 short of zero";
    case COL_LIMIT_VALUE:
        return "the most degrees allowed, or percent or kilograms of weight";
    case COL_PAIN_FROM:
    case COL_PAIN_TO:
        return "in degrees";
    default:
        return NULL;
    }
}

bool field_number(struct meaning *m, struct row_state *rs, enum import_column c,
                  const char *const *suffixes, double least, double most, struct num *number)
{
    if (!meaning_has(rs, c))
        return true;
    const char *text = meaning_cell(rs, c);
    double value;
    if (is_placeholder(text))
        return true;
    if (is_debris(m, rs, c, text))
        return false;
    if (!field_parse(text, suffixes, meaning_rules(rs), &value)) {
        const char *unit = counted_in(c);
        meaning_say(m, rs, c, DIAG_NUMBER_UNKNOWN, unit != NULL ? "%s" : NULL, unit);
        return false;
    }
    if (value < least || value > most) {
        char low[NUM_TEXT_MAX], high[NUM_TEXT_MAX];
        meaning_say(m, rs, c, DIAG_NUMBER_OUTSIDE, "from %s to %s", num_format(low, least, 0),
                    num_format(high, most, 0));
        return false;
    }
    *number = num_of(value);
    return true;
}

bool field_date(struct meaning *m, struct row_state *rs, enum import_column c, bool may_be_future,
                struct date *date)
{
    enum diag_code why;
    struct date read = {0};
    if (!meaning_has(rs, c))
        return true;
    const char *text = meaning_cell(rs, c);
    const struct said *said = meaning_said(m, rs, c, text);
    if (said != NULL) {
        *date = said->date;
        return true;
    }
    struct cell_rules rules = *meaning_rules(rs);
    if (c == COL_BIRTH_DATE)
        rules.short_years_from = 0; /* a hundred years are too few for the age of patients */
    if (!cell_date(text, &rules, &read, &why)) {
        meaning_say(m, rs, c, why, NULL);
        return false;
    }
    if (date_is_set(read) && !may_be_future && date_is_set(m->today) &&
        date_compare(read, m->today) > 0) {
        meaning_say(m, rs, c, DIAG_DATE_FUTURE, NULL);
        return false;
    }
    meaning_note_said(m, rs, c, text)->date = read;
    *date = read;
    return true;
}

/* The words of a column, one for each meaning. */
static const char *known_words(const struct field_word *words, struct arena *a)
{
    const char *text = "";
    for (size_t i = 0; words[i].word != NULL; i++) {
        bool again = false;
        for (size_t k = 0; k < i; k++)
            again = again || words[k].value == words[i].value;
        if (!again)
            text = arena_printf(a, "%s%s%s", text, *text != '\0' ? ", " : "", words[i].word);
    }
    return text;
}

bool field_word(struct meaning *m, struct row_state *rs, enum import_column c,
                const struct field_word *words, int *value)
{
    enum { NAMES_MAX = 40 };
    const char *names[NAMES_MAX];
    size_t n = 0;
    if (!meaning_has(rs, c))
        return true;
    const char *text = meaning_cell(rs, c);
    if (is_placeholder(text))
        return true;
    const struct said *said = meaning_said(m, rs, c, text);
    if (said != NULL) {
        *value = said->value;
        return true;
    }
    for (; n < NAMES_MAX && words[n].word != NULL; n++) {
        names[n] = words[n].word;
        if (str_eq_nocase(text, words[n].word)) {
            *value = words[n].value;
            meaning_note_said(m, rs, c, text)->value = *value;
            return true;
        }
    }
    const char *near = str_nearest(text, names, n);
    const char *known = known_words(words, m->scratch);
    if (near != NULL)
        meaning_say(m, rs, c, DIAG_WORD_UNKNOWN, "nearest known: %s, of %s", near, known);
    else
        meaning_say(m, rs, c, DIAG_WORD_UNKNOWN, "known: %s", known);
    return false;
}

const struct motion *field_motion(struct meaning *m, struct row_state *rs)
{
    const char *joint = meaning_cell(rs, COL_JOINT), *motion = meaning_cell(rs, COL_MOTION);
    if (m->last_found != NULL && strcmp(joint, m->last_joint) == 0 &&
        strcmp(motion, m->last_motion) == 0)
        return m->last_found;
    const struct motion *found = vocabulary_motion(m->ref, joint, motion);
    m->last_side = SIDE_NONE;
    if (found == NULL)
        found = vocabulary_sided_motion(m->ref, joint, motion, &m->last_side);
    if (found != NULL) {
        m->last_joint = joint;
        m->last_motion = motion;
        m->last_found = found;
        return found;
    }
    char near[VOCABULARY_NEAR_MAX];
    struct vocabulary_words j = {.n = 0};
    bool joint_known = vocabulary_split(&j, joint, false) && !j.odd &&
                       vocabulary_joint_key(m->ref, &j, 0, j.n) != NULL;
    bool of_motion = *motion != '\0' && (*joint == '\0' || joint_known);
    enum import_column at = of_motion ? COL_MOTION : COL_JOINT;
    vocabulary_nearest(m->ref, joint, motion, near);
    bool is_near = near[0] != '\0';
    if (!is_near)
        vocabulary_known(m->ref, joint, motion, near);
    if (near[0] != '\0')
        meaning_say(m, rs, at, DIAG_MOTION_UNKNOWN, "%s: %s", is_near ? "nearest known" : "known",
                    near);
    else
        meaning_say(m, rs, at, DIAG_MOTION_UNKNOWN, NULL);
    return NULL;
}

bool field_says_side(struct meaning *m, const struct row_state *rs, const struct motion *motion,
                     enum side *side, enum diag_code *why)
{
    static const enum diag_code codes[] = {[SIDED_NOT] = DIAG_CELL_SIDE_UNKNOWN,
                                           [SIDED_BOTH] = DIAG_CELL_SIDE_BOTH,
                                           [SIDED_ELSEWHERE] = DIAG_CELL_SIDE_ELSEWHERE};
    const char *text = meaning_cell(rs, COL_SIDE);
    *side = SIDE_NONE;
    if (cell_side(text, meaning_rules(rs), side, why))
        return true;
    if (*why != DIAG_CELL_SIDE_UNKNOWN)
        return false;
    enum sided said = vocabulary_sided(m->ref, text, meaning_rules(rs), motion, side);
    if (said != SIDED_KNOWN)
        *why = codes[said];
    return said == SIDED_KNOWN;
}

bool field_side(struct meaning *m, struct row_state *rs, const struct motion *motion,
                enum side *side)
{
    enum diag_code why;
    const char *text = meaning_cell(rs, COL_SIDE);
    const struct said *said = meaning_said(m, rs, COL_SIDE, text);
    *side = SIDE_NONE;
    if (said != NULL) {
        *side = (enum side)said->value;
    } else if (cell_side(text, meaning_rules(rs), side, &why)) {
        meaning_note_said(m, rs, COL_SIDE, text)->value = (int)*side;
    } else if (!field_says_side(m, rs, motion, side, &why)) {
        meaning_say(m, rs, COL_SIDE, why, NULL);
        return false;
    }
    if (m->last_side != SIDE_NONE && *side != SIDE_NONE && *side != m->last_side) {
        meaning_say(m, rs, COL_SIDE, DIAG_SIDE_DIFFERS, "%s beside the joint",
                    side_name(m->last_side));
        *side = SIDE_NONE;
        return false;
    }
    if (*side == SIDE_NONE)
        *side = m->last_side;
    if (*side == SIDE_NONE && motion->sides == SIDES_MIDLINE)
        *side = SIDE_MIDLINE;
    return true;
}

bool field_side_fits(struct meaning *m, struct row_state *rs, const struct motion *motion,
                     enum side *side)
{
    enum diag_code why = DIAG_CODE_COUNT;
    if (*side == SIDE_NONE)
        why = DIAG_SIDE_MISSING;
    else if (motion->sides == SIDES_MIDLINE && *side != SIDE_MIDLINE)
        why = DIAG_SIDE_ON_MIDLINE;
    else if (motion->sides != SIDES_MIDLINE && *side == SIDE_MIDLINE)
        why = DIAG_SIDE_MIDLINE_UNFIT;
    if (why == DIAG_CODE_COUNT)
        return true;
    meaning_say(m, rs, COL_SIDE, why, NULL);
    *side = SIDE_NONE;
    return false;
}

bool field_digit(struct meaning *m, struct row_state *rs, const struct motion *motion, int *digit)
{
    const char *text = meaning_cell(rs, COL_DIGIT);
    double value;
    *digit = 0;
    if (is_placeholder(text)) {
        if (motion->digit_min == 0)
            return true;
        meaning_say(m, rs, COL_DIGIT, DIAG_DIGIT_MISSING, "%d to %d", motion->digit_min,
                    motion->digit_max);
        return false;
    }
    if (motion->digit_max == 0) {
        meaning_say(m, rs, COL_DIGIT, DIAG_DIGIT_UNFIT, NULL);
        return false;
    }
    /* "D3", "index", "3rd" */
    const char *spelt = *text >= '0' && *text <= '9' && text[1] == '\0'
                            ? NULL
                            : vocabulary_digit(m->ref, text);
    if (spelt != NULL)
        text = spelt;
    if (!num_parse(text, strlen(text), &value) || value != floor(value) ||
        value < motion->digit_min || value > motion->digit_max) {
        meaning_say(m, rs, COL_DIGIT, DIAG_DIGIT_OUTSIDE, "%d to %d", motion->digit_min,
                    motion->digit_max);
        return false;
    }
    *digit = (int)value;
    return true;
}

bool field_in_range(const struct motion *motion, double value)
{
    const struct norm *own = motion->normal;
    const struct motion *back = motion->opposite;
    if (own != NULL && own->max_plausible.has && value > own->max_plausible.value)
        return false;
    /* Short of zero is the stretch of the opposite motion; a distance has none. */
    if (motion->unit != UNIT_DEG)
        return value >= 0;
    if (back != NULL && back->normal != NULL && back->normal->max_plausible.has)
        return value >= -back->normal->max_plausible.value;
    return true;
}
