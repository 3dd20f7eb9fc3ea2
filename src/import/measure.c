/* The reading of one row: what was measured where, the value as the column of its test takes it,
 * and what stands beside it. A reading whose motion is known but whose value, side or test is not
 * stays in the model as held back, without a number, so that a report can list it. */
#include "import/meaning_int.h"
#include "import/vocabulary_int.h"

#include <ctype.h>
#include <string.h>

/* Sanity of a typed lever: a hand's breadth of a limb, not a figure of a table. */
enum { LEVER_LEAST_CM = 1, LEVER_MOST_CM = 120, PAIN_DEG_MAX = 360, REPETITIONS_MAX = 1000 };

bool measure_is_reading(const struct row_state *rs)
{
    /* In a wide table joint or motion alone belong to the wide columns. */
    bool wide = rs->src->n_wide > 0 && !columns_have_value(rs->src);
    static const enum import_column values[] = {COL_VALUE, COL_START_DEG, COL_END_DEG, COL_GRADE};
    for (size_t i = 0; i < ARRAY_LEN(values); i++)
        if (meaning_has(rs, values[i]))
            return true;
    /* An empty value of a named motion is a reading that was not recorded; beside a goal or a
     * limit the motion belongs to these. */
    return !wide && (meaning_has(rs, COL_JOINT) || meaning_has(rs, COL_MOTION)) &&
           !aims_are_in(rs);
}

/* ---- beside the value ---------------------------------------------------------------------- */

enum instrument measure_instrument(const char *tool)
{
    static const struct {
        const char *part;
        enum instrument instrument;
    } parts[] = {{"goniom", INSTRUMENT_GONIOMETER},   {"inclinom", INSTRUMENT_INCLINOMETER},
                 {"tape", INSTRUMENT_TAPE},           {"ruler", INSTRUMENT_RULER},
                 {"visual", INSTRUMENT_VISUAL},       {"eyeball", INSTRUMENT_VISUAL},
                 {"dynamom", INSTRUMENT_DYNAMOMETER}, {"hhd", INSTRUMENT_DYNAMOMETER}};
    enum instrument found = INSTRUMENT_UNKNOWN;
    for (const char *s = tool; *s != '\0'; s++) {
        for (size_t i = 0; i < ARRAY_LEN(parts); i++) {
            if ((*s | 0x20) != parts[i].part[0] ||
                strncasecmp(s, parts[i].part, strlen(parts[i].part)) != 0)
                continue;
            if (found != INSTRUMENT_UNKNOWN && found != parts[i].instrument)
                return INSTRUMENT_UNKNOWN; /* two tools named */
            found = parts[i].instrument;
        }
    }
    return found;
}

static void read_end_feel(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    static const struct field_word words[] = {
        {"soft", END_FEEL_SOFT}, {"firm", END_FEEL_FIRM}, {"hard", END_FEEL_HARD},
        {"empty", END_FEEL_EMPTY}, {"spasm", END_FEEL_SPASM}, {"springy", END_FEEL_SPRINGY},
        {"bony", END_FEEL_HARD}, {"capsular", END_FEEL_FIRM}, {"springy block", END_FEEL_SPRINGY},
        {"muscle spasm", END_FEEL_SPASM}, {"soft tissue", END_FEEL_SOFT},
        {"tissue approximation", END_FEEL_SOFT}, {"soft tissue approximation", END_FEEL_SOFT},
        {"tissue stretch", END_FEEL_FIRM}, {"bone to bone", END_FEEL_HARD},
        {"bone-to-bone", END_FEEL_HARD}, {NULL, 0}};
    int value = END_FEEL_NONE;
    if (field_word(m, rs, COL_END_FEEL, words, &value))
        me->end_feel = (enum end_feel)value;
}

/* A score from 0 to 10, or yes and no. */
static void read_pain_score(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    const char *text = meaning_cell(rs, COL_PAIN);
    enum diag_code why, ignored;
    bool yes = false;
    double rest, move;
    if (cell_pain_pair(text, meaning_rules(rs), &rest, &move)) {
        /* The score at rest belongs to the visit; facts.c takes it. */
        me->pain_low = me->pain_high = num_of(move);
        me->pain = move > 0;
        meaning_say(m, rs, COL_PAIN, DIAG_CELL_PAIN_TWO, NULL);
    } else if (cell_pain(text, &me->pain_low, &me->pain_high, &why)) {
        me->pain = me->pain_high.has && me->pain_high.value > 0;
        if (me->pain_low.has && me->pain_low.value != me->pain_high.value)
            meaning_say(m, rs, COL_PAIN, DIAG_CELL_PAIN_RANGE, NULL);
    } else if (cell_yes_no(text, meaning_rules(rs), &yes, &ignored)) {
        me->pain = yes;
        me->pain_low = me->pain_high = num_none();
    } else {
        me->pain_low = me->pain_high = num_none();
        meaning_say(m, rs, COL_PAIN, language_answers(text) ? DIAG_CELL_YES_NO : why, NULL);
    }
}

static void read_pain(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    if (meaning_has(rs, COL_PAIN))
        read_pain_score(m, rs, me);
    struct num from = num_none(), to = num_none();
    static const char *const degrees[] = {"degrees", "deg", "\xC2\xB0", NULL};
    bool ok = field_number(m, rs, COL_PAIN_FROM, degrees, -PAIN_DEG_MAX, PAIN_DEG_MAX, &from);
    ok = field_number(m, rs, COL_PAIN_TO, degrees, -PAIN_DEG_MAX, PAIN_DEG_MAX, &to) && ok;
    if (ok && from.has && to.has && from.value > to.value) {
        meaning_say(m, rs, COL_PAIN_FROM, DIAG_PAIN_ARC_ORDER, NULL);
        return;
    }
    if (ok) {
        me->pain_from = from;
        me->pain_to = to;
    }
}

/* "Shoulder hike" is the id shoulder-hike where this motion has one. */
static const char *compensation_id(const struct motion *motion, char *text)
{
    for (size_t i = 0; i < motion->n_compensations; i++) {
        const char *id = motion->compensations[i].id;
        size_t k = 0;
        while (text[k] != '\0' && (tolower((unsigned char)text[k]) == id[k] ||
                                   (text[k] == ' ' && id[k] == '-')))
            k++;
        if (text[k] == '\0' && id[k] == '\0')
            return id;
    }
    return text;
}

static void read_compensations(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    const char *cell = field_text(m, rs, COL_COMPENSATION);
    char *text = arena_strdup(m->arena, cell);
    for (char *next; text != NULL; text = next) {
        next = strchr(text, ';');
        if (next != NULL)
            *next++ = '\0';
        char *one = str_trim(text);
        if (*one == '\0')
            continue;
        if (me->n_compensations == COMPENSATIONS_MAX) {
            meaning_say(m, rs, COL_COMPENSATION, DIAG_COMPENSATIONS_MANY, "%d at most",
                        COMPENSATIONS_MAX);
            return;
        }
        me->compensations[me->n_compensations++] = compensation_id(me->motion, one);
    }
}

static void read_lever(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    static const char *const cm[] = {"cm", NULL};
    struct num lever = num_none();
    if (me->test != TEST_FORCE) {
        if (meaning_has(rs, COL_LEVER_CM))
            meaning_say(m, rs, COL_LEVER_CM, DIAG_CELL_UNUSED, NULL);
        return;
    }
    if (field_number(m, rs, COL_LEVER_CM, cm, LEVER_LEAST_CM, LEVER_MOST_CM, &lever) && lever.has)
        me->lever_m = num_of(lever.value / 100);
}

/* Counted beside a grade, such as heel rises; 0 is a count too. */
static void read_repetitions(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    struct num count = num_none();
    if (me->test != TEST_MMT) {
        if (meaning_has(rs, COL_REPETITIONS))
            meaning_say(m, rs, COL_REPETITIONS, DIAG_CELL_UNUSED, NULL);
        return;
    }
    if (!field_number(m, rs, COL_REPETITIONS, NULL, 0, REPETITIONS_MAX, &count) || !count.has)
        return;
    if (count.value != (int)count.value)
        meaning_say(m, rs, COL_REPETITIONS, DIAG_NUMBER_UNKNOWN, NULL);
    else
        me->repetitions = count;
}

static void read_beside(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    int role = ROLE_NONE;
    me->tool = field_text(m, rs, COL_TOOL);
    me->muscle = field_text(m, rs, COL_MUSCLE);
    me->measured_by = field_text(m, rs, COL_MEASURED_BY);
    me->supervisor = field_text(m, rs, COL_SUPERVISOR);
    me->reason = field_text(m, rs, COL_REASON);
    me->note = field_text(m, rs, COL_NOTE);
    if (field_word(m, rs, COL_ROLE, field_roles, &role))
        me->role = (enum role)role;
    read_end_feel(m, rs, me);
    read_pain(m, rs, me);
    read_compensations(m, rs, me);
    read_lever(m, rs, me);
    read_repetitions(m, rs, me);
    me->corrected_by = field_text(m, rs, COL_CORRECTED_BY);
    me->correction_reason = field_text(m, rs, COL_CORRECTION_REASON);
    if (field_date(m, rs, COL_CORRECTED_ON, false, &me->corrected_on) &&
        date_is_set(me->corrected_on)) {
        me->notes[me->n_notes++] = DIAG_READING_CORRECTED;
        meaning_say(m, rs, COL_CORRECTED_ON, DIAG_READING_CORRECTED, NULL);
    }
}

/* What tells one reading of a motion from another; false where it is not understood. */
static bool read_place(struct meaning *m, struct row_state *rs, struct measurement *me)
{
    static const struct field_word timings[] = {
        {"before", TIMING_BEFORE}, {"pre", TIMING_BEFORE}, {"before treatment", TIMING_BEFORE},
        {"pre treatment", TIMING_BEFORE}, {"pre-treatment", TIMING_BEFORE},
        {"pre tx", TIMING_BEFORE}, {"pre-tx", TIMING_BEFORE}, {"before tx", TIMING_BEFORE},
        {"after", TIMING_AFTER}, {"post", TIMING_AFTER}, {"after treatment", TIMING_AFTER},
        {"post treatment", TIMING_AFTER}, {"post-treatment", TIMING_AFTER},
        {"post tx", TIMING_AFTER}, {"post-tx", TIMING_AFTER}, {"after tx", TIMING_AFTER},
        {NULL, 0}};
    static const struct field_word techniques[] = {
        {"make", TECHNIQUE_MAKE}, {"make test", TECHNIQUE_MAKE},
        {"break", TECHNIQUE_BREAK}, {"break test", TECHNIQUE_BREAK}, {NULL, 0}};
    int timing = TIMING_NONE, technique = TECHNIQUE_NONE;
    struct num try_no = num_none();
    bool ok = true;
    me->position = field_position(m, rs, me->motion, &ok);
    ok = field_word(m, rs, COL_TIMING, timings, &timing) && ok;
    ok = field_word(m, rs, COL_TECHNIQUE, techniques, &technique) && ok;
    ok = field_number(m, rs, COL_TRY, NULL, 1, TRIES_MAX, &try_no) && ok;
    if (try_no.has && try_no.value != (int)try_no.value) {
        meaning_say(m, rs, COL_TRY, DIAG_NUMBER_UNKNOWN, NULL);
        ok = false;
    }
    me->timing = (enum timing)timing;
    me->technique = (enum technique)technique;
    me->try_no = ok && try_no.has ? (int)try_no.value : 0;
    return field_digit(m, rs, me->motion, &me->digit) && ok;
}

/* ---- the value ----------------------------------------------------------------------------- */

static void hold(struct value_reading *r, enum diag_code why, const char *detail)
{
    *r = (struct value_reading){.status = READING_HELD_BACK, .why = why, .why_detail = detail};
}

enum unit measure_unit(const char *text)
{
    static const struct field_word words[] = {
        {"deg", UNIT_DEG}, {"degs", UNIT_DEG}, {"degree", UNIT_DEG}, {"degrees", UNIT_DEG},
        {"\xC2\xB0", UNIT_DEG}, {"mm", UNIT_MM}, {"cm", UNIT_CM}};
    for (size_t i = 0; i < ARRAY_LEN(words); i++)
        if (str_eq_nocase(text, words[i].word))
            return (enum unit)words[i].value;
    return UNIT_NONE;
}

/* mm and cm are the one pair of units a clinic may mix up without losing the number. */
static void convert_unit(const char *unit, const struct motion *motion, struct value_reading *r)
{
    if (!model_has_number(r->status) || *unit == '\0')
        return;
    enum unit typed = measure_unit(unit);
    if (typed == motion->unit)
        return;
    bool lengths = (typed == UNIT_MM && motion->unit == UNIT_CM) ||
                   (typed == UNIT_CM && motion->unit == UNIT_MM);
    if (!lengths) {
        hold(r, DIAG_CELL_UNIT, unit_name(motion->unit));
        return;
    }
    double factor = typed == UNIT_CM ? 10 : 0.1;
    r->start.value *= factor;
    r->end.value *= factor;
    for (int i = 0; i < r->n_tries; i++)
        r->tries[i] *= factor;
    if (r->n_notes < NOTES_MAX)
        r->notes[r->n_notes++] = DIAG_CELL_UNIT_CONVERTED;
}

static void check_range(const struct motion *motion, struct value_reading *r)
{
    if (!model_has_number(r->status))
        return;
    bool ok = field_in_range(motion, r->end.value);
    if (r->start.has)
        ok = ok && field_in_range(motion, r->start.value);
    for (int i = 0; i < r->n_tries; i++)
        ok = ok && field_in_range(motion, r->tries[i]);
    if (!ok)
        hold(r, DIAG_CELL_OUT_OF_RANGE, NULL);
    else if (r->start.has && r->start.value > r->end.value)
        hold(r, DIAG_START_BEYOND_END, NULL);
}

/* start_deg and end_deg, where the sign is settled by the angle scale; `column` is the guilty one
 * when it is held back. */
static void read_columns(struct meaning *m, struct row_state *rs, const struct motion *motion,
                         struct value_reading *r, enum import_column *column)
{
    struct value_reading start;
    *column = COL_END_DEG;
    cell_degrees(meaning_cell(rs, COL_END_DEG), motion, meaning_rules(rs), m->arena, r);
    if (!meaning_has(rs, COL_START_DEG) || r->status == READING_HELD_BACK)
        return;
    *column = COL_START_DEG;
    cell_degrees(meaning_cell(rs, COL_START_DEG), motion, meaning_rules(rs), m->arena, &start);
    if (start.status == READING_HELD_BACK)
        *r = start;
    else if (model_has_number(start.status) && !model_has_number(r->status))
        hold(r, DIAG_START_WITHOUT_END, NULL);
    else if (model_has_number(start.status))
        r->start = start.end;
}

static void read_angle(struct meaning *m, struct row_state *rs, const struct measurement *me,
                       const char *text, struct value_reading *r, enum import_column *column)
{
    bool columns = meaning_has(rs, COL_START_DEG) || meaning_has(rs, COL_END_DEG);
    if (!me->motion->rom) {
        hold(r, DIAG_TEST_UNFIT, "this motion has no angle");
        *column = COL_TEST;
    } else if (meaning_has(rs, COL_GRADE)) {
        hold(r, DIAG_VALUE_COLUMNS, "a grade beside a range test");
        *column = COL_GRADE;
    } else if (columns && *text != '\0') {
        hold(r, DIAG_VALUE_COLUMNS, "value beside start_deg and end_deg");
        *column = COL_VALUE;
    } else if (columns) {
        read_columns(m, rs, me->motion, r, column);
    } else if (!cell_notation(text, me->motion, me->side, meaning_rules(rs), m->arena, r)) {
        cell_angle(text, me->motion, me->test, meaning_rules(rs), m->arena, r);
    }
    convert_unit(meaning_cell(rs, COL_UNIT), me->motion, r);
    check_range(me->motion, r);
}

/* "5" with the unit kg beside it is no grade. */
static bool is_grade_unit(const char *unit, const struct cell_rules *rules)
{
    static const char *const five[] = {"/5", "0-5"}, *const ten[] = {"/10", "0-10"};
    const char *const *words = rules->grades_of_ten ? ten : five;
    return *unit == '\0' || str_eq_nocase(unit, "grade") || str_eq_nocase(unit, words[0]) ||
           str_eq_nocase(unit, words[1]);
}

static void read_grade(struct meaning *m, struct row_state *rs, const struct measurement *me,
                       const char *text, struct value_reading *r, enum import_column *column)
{
    if (!me->motion->mmt) {
        hold(r, DIAG_TEST_UNFIT, "this motion has no muscle test");
        *column = COL_TEST;
    } else if (meaning_has(rs, COL_START_DEG) || meaning_has(rs, COL_END_DEG)) {
        hold(r, DIAG_VALUE_COLUMNS, "degrees beside a muscle test");
        *column = meaning_has(rs, COL_END_DEG) ? COL_END_DEG : COL_START_DEG;
    } else if (*text != '\0' && meaning_has(rs, COL_GRADE)) {
        hold(r, DIAG_VALUE_COLUMNS, "value beside grade");
        *column = COL_GRADE;
    } else if (!is_grade_unit(meaning_cell(rs, COL_UNIT), meaning_rules(rs))) {
        hold(r, DIAG_CELL_UNIT, "a grade has no unit");
        *column = COL_UNIT;
    } else {
        bool own = meaning_has(rs, COL_GRADE);
        if (own)
            *column = COL_GRADE;
        cell_grade(own ? meaning_cell(rs, COL_GRADE) : text, meaning_rules(rs), m->ref, m->arena,
                   r);
    }
}

static void read_force(struct meaning *m, struct row_state *rs, const struct measurement *me,
                       const char *text, struct value_reading *r, enum import_column *column)
{
    static const enum import_column others[] = {COL_GRADE, COL_START_DEG, COL_END_DEG};
    for (size_t i = 0; i < ARRAY_LEN(others); i++) {
        if (meaning_has(rs, others[i])) {
            hold(r, DIAG_VALUE_COLUMNS, "a force stands in value");
            *column = others[i];
            return;
        }
    }
    if (!me->motion->mmt) {
        hold(r, DIAG_TEST_UNFIT, "this motion has no strength test");
        *column = COL_TEST;
        return;
    }
    force_read(text, meaning_cell(rs, COL_UNIT), me->motion, meaning_rules(rs), m->arena, r);
}

static void add_note(struct measurement *me, enum diag_code code)
{
    for (int i = 0; i < me->n_notes; i++)
        if (me->notes[i] == code)
            return;
    if (me->n_notes < NOTES_MAX)
        me->notes[me->n_notes++] = code;
}

static void apply_number(struct measurement *me, const struct value_reading *r)
{
    me->unit = me->test == TEST_FORCE ? UNIT_N
               : me->test == TEST_MMT ? UNIT_NONE
                                      : me->motion->unit;
    if (!model_has_number(r->status))
        return;
    me->grade = r->grade;
    if (me->test == TEST_MMT)
        return;
    me->fixed = r->fixed;
    me->n_tries = r->n_tries > 0 ? r->n_tries : 1;
    memcpy(me->tries, r->tries, sizeof me->tries);
    if (r->n_tries == 0)
        me->tries[0] = r->end.value;
    if (me->test == TEST_FORCE) {
        me->force_n = r->end;
        return;
    }
    me->start = r->start;
    me->end = r->end;
    me->start_is_other_side = r->start_is_other_side;
}

/* What the cell says beside its number joins what the columns say. */
static void apply_words(struct meaning *m, struct row_state *rs, struct measurement *me,
                        const struct value_reading *r)
{
    me->pain = me->pain || r->pain;
    if (r->end_feel != END_FEEL_NONE && me->end_feel != END_FEEL_NONE &&
        r->end_feel != me->end_feel)
        meaning_say(m, rs, COL_END_FEEL, DIAG_END_FEEL_DIFFERS, "%s in value",
                    end_feel_name(r->end_feel));
    else if (r->end_feel != END_FEEL_NONE)
        me->end_feel = r->end_feel;
    if (r->pain_from.has && !me->pain_from.has && !me->pain_to.has) {
        me->pain_from = r->pain_from;
        me->pain_to = r->pain_to;
    }
    me->status_reason = r->status_reason;
    bool missing = r->status == READING_NOT_TESTED || r->status == READING_NOT_APPLICABLE;
    if (missing && me->status_reason == NULL)
        me->status_reason = me->reason;
}

/* The position of the cell joins that of its column; false where the two contradict each other. */
static bool join_position(struct meaning *m, struct measurement *me, const char *position)
{
    if (position == NULL || str_eq_nocase(position, me->position))
        return true;
    if (me->position != NULL)
        position = arena_printf(m->arena, "%s, %s", me->position, position);
    const char *text;
    if (position_read(m->ref, me->motion, position, m->arena, &text) == POSITION_UNCLEAR)
        return false;
    me->position = text;
    return true;
}

static void apply(struct meaning *m, struct row_state *rs, struct measurement *me,
                  const struct value_reading *r, enum import_column column)
{
    me->status = r->status;
    m->lag = r->lag;
    m->lag_column = column;
    m->grade_scale = r->bare_grade ? GRADE_OF_EITHER : GRADE_OF_ONE;
    if (r->status == READING_HELD_BACK && r->why == DIAG_CELL_GRADE_OTHER_SCALE)
        m->grade_scale = GRADE_OF_TEN;
    if (r->lag.has) /* join.c decides, beside the other readings of the visit */
        return;
    if (r->status == READING_HELD_BACK) {
        if (r->why_detail != NULL)
            meaning_say(m, rs, column, r->why, "%s", r->why_detail);
        else
            meaning_say(m, rs, column, r->why, NULL);
        return;
    }
    if (!join_position(m, me, r->position)) {
        me->status = READING_HELD_BACK;
        meaning_say(m, rs, column, DIAG_POSITION_UNCLEAR, NULL);
        return;
    }
    apply_number(me, r);
    apply_words(m, rs, me, r);
    for (int i = 0; i < r->n_notes; i++) {
        add_note(me, r->notes[i]);
        if (import_is_once_a_file(r->notes[i]))
            meaning_tell_once(m, rs, column, r->notes[i], NULL);
        else
            meaning_say(m, rs, column, r->notes[i], NULL);
    }
}

/* ---- one row ------------------------------------------------------------------------------- */

struct draft *measure_new(struct meaning *m, struct row_state *rs)
{
    struct draft *d = arena_alloc(m->scratch, sizeof *d);
    d->from = rs;
    d->date = rs->date;
    d->column = rs->wide != NULL ? rs->wide->header : NULL;
    return d;
}

static struct draft *copy_of(struct meaning *m, const struct draft *d)
{
    struct draft *copy = arena_room(m->scratch, sizeof *copy);
    *copy = *d;
    return copy;
}

void measure_add(struct meaning *m, struct draft *d)
{
    d->order = m->n_drafts;
    d->lag = m->lag;
    d->value_column = m->lag_column;
    d->grade_scale = d->m.test == TEST_MMT ? m->grade_scale : GRADE_OF_ONE;
    m->lag = num_none();
    m->grade_scale = GRADE_OF_ONE;
    if (date_is_set(d->date))
        meaning_add_draft(m, d);
    else if (d->lag.has)
        meaning_say(m, d->from, d->value_column, DIAG_CELL_LAG, NULL);
}

enum import_column measure_column(const struct row_state *rs)
{
    static const enum import_column columns[] = {COL_VALUE, COL_GRADE, COL_END_DEG, COL_START_DEG};
    for (size_t i = 0; i < ARRAY_LEN(columns); i++)
        if (meaning_has(rs, columns[i]))
            return columns[i];
    return COL_VALUE;
}

static bool test_of(struct meaning *m, const struct row_state *rs, enum test *test,
                    enum diag_code *why)
{
    const char *text = meaning_cell(rs, COL_TEST);
    const struct said *said = meaning_said(m, rs, COL_TEST, text);
    if (said != NULL) {
        *test = (enum test)said->value;
        return true;
    }
    if (!cell_test(text, test, why)) {
        *test = *why == DIAG_CELL_TEST_UNKNOWN ? vocabulary_test(m->ref, text) : TEST_NONE;
        if (*test == TEST_NONE)
            return false;
    }
    meaning_note_said(m, rs, COL_TEST, text)->value = (int)*test;
    return true;
}

/* Whether the row has a test, of which test_of() said ok or why not; TEST_NONE stands where parts
 * of the value name it. */
static bool read_test(struct meaning *m, struct row_state *rs, bool ok, enum diag_code why,
                      bool parts_tell, enum test *test)
{
    if (ok && *test == TEST_NONE && meaning_has(rs, COL_GRADE))
        *test = TEST_MMT;
    if (ok && *test != TEST_NONE)
        return true;
    if (parts_tell && (ok || why == DIAG_CELL_TEST_ROM))
        return true;
    meaning_say(m, rs, COL_TEST, ok ? DIAG_TEST_MISSING : why, NULL);
    return false;
}

static void read_value(struct meaning *m, struct row_state *rs, struct measurement *me,
                       const char *text)
{
    struct value_reading r; /* each of the three sets all of it */
    enum import_column column = measure_column(rs);
    if (me->test == TEST_MMT)
        read_grade(m, rs, me, text, &r, &column);
    else if (me->test == TEST_FORCE)
        read_force(m, rs, me, text, &r, &column);
    else
        read_angle(m, rs, me, text, &r, &column);
    apply(m, rs, me, &r, column);
}

/* One reading of a cell that holds several ("R 118 L 130"), or the only one; `d` holds what
 * stands beside it, and becomes it. */
static void take_part(struct meaning *m, struct row_state *rs, struct draft *d,
                      const struct cell_part *part, bool placed)
{
    struct measurement *me = &d->m;
    bool ok = placed;
    if ((part->side != SIDE_NONE && me->side != SIDE_NONE && part->side != me->side) ||
        (part->test != TEST_NONE && me->test != TEST_NONE && part->test != me->test)) {
        meaning_say(m, rs, COL_VALUE, DIAG_PART_CONTRADICTS, NULL);
        ok = false;
    }
    if (part->side != SIDE_NONE)
        me->side = part->side;
    if (part->test != TEST_NONE)
        me->test = part->test;
    ok = field_side_fits(m, rs, me->motion, &me->side) && ok;
    m->lag = num_none();
    if (ok)
        read_value(m, rs, me, part->text);
    else
        me->status = READING_HELD_BACK;
    measure_add(m, d);
}

static bool says_both(struct meaning *m, const struct row_state *rs, const struct motion *motion)
{
    enum side side;
    enum diag_code why = DIAG_CODE_COUNT;
    const char *text = meaning_cell(rs, COL_SIDE);
    return m->last_side == SIDE_NONE && meaning_said(m, rs, COL_SIDE, text) == NULL &&
           !field_says_side(m, rs, motion, &side, &why) && why == DIAG_CELL_SIDE_BOTH;
}

/* Both sides named for one grade: a grade of each. One angle for two limbs is not. */
static bool is_both(struct meaning *m, const struct row_state *rs, const struct measurement *me)
{
    return me->test == TEST_MMT && me->motion->sides != SIDES_MIDLINE &&
           says_both(m, rs, me->motion);
}

static void take_both(struct meaning *m, struct row_state *rs, struct draft *right, bool placed)
{
    struct cell_part part = {.text = meaning_cell(rs, COL_VALUE)};
    add_note(&right->m, DIAG_READING_BOTH_SIDES);
    meaning_say(m, rs, COL_SIDE, DIAG_READING_BOTH_SIDES, NULL);
    struct draft *left = copy_of(m, right);
    right->m.side = SIDE_RIGHT;
    take_part(m, rs, right, &part, placed);
    left->m.side = SIDE_LEFT;
    take_part(m, rs, left, &part, placed);
}

void measure_take(struct meaning *m, struct row_state *rs)
{
    struct cell_part parts[PARTS_MAX] = {{.text = meaning_cell(rs, COL_VALUE)}};
    if (!meaning_has(rs, COL_JOINT) && !meaning_has(rs, COL_MOTION)) {
        meaning_say(m, rs, measure_column(rs), DIAG_MOTION_MISSING, NULL);
        return;
    }
    const struct motion *motion = field_motion(m, rs);
    if (motion == NULL)
        return;
    struct draft *d = measure_new(m, rs);
    struct measurement *me = &d->m;
    me->motion = motion;
    me->text = arena_strdup(m->arena, meaning_cell(rs, measure_column(rs)));
    me->pos = meaning_pos(rs, measure_column(rs));
    enum test test = TEST_NONE;
    enum diag_code why = DIAG_CODE_COUNT;
    bool known = test_of(m, rs, &test, &why);
    const struct cell_rules *rules = known && test == TEST_FORCE ? NULL : meaning_rules(rs);
    int n = cell_split(parts[0].text, known && test == TEST_MMT, rules, m->arena, parts);
    bool ok = read_test(m, rs, known, why, n > 1 && parts[0].test != TEST_NONE, &test);
    me->test = test;
    ok = read_place(m, rs, me) && ok;
    read_beside(m, rs, me);
    if (ok && is_both(m, rs, me)) {
        take_both(m, rs, d, ok);
        return;
    }
    bool parts_tell = n > 1 && parts[0].side != SIDE_NONE && says_both(m, rs, motion);
    bool sided = parts_tell || field_side(m, rs, motion, &me->side);
    if (n > 1) {
        add_note(me, DIAG_READING_SPLIT);
        meaning_say(m, rs, COL_VALUE, DIAG_READING_SPLIT, "%d readings", n);
    } else {
        parts[0] = (struct cell_part){.text = meaning_cell(rs, COL_VALUE)};
        n = 1;
    }
    if (!sided) {
        me->status = READING_HELD_BACK;
        measure_add(m, d);
        return;
    }
    for (int i = 0; i < n - 1; i++)
        take_part(m, rs, copy_of(m, d), &parts[i], ok);
    take_part(m, rs, d, &parts[n - 1], ok);
}
