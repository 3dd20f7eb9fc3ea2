/* Words of an angle cell: what each class of words does to the reading, and positions. */
#include "import/cell_angle_int.h"

#include <string.h>

static bool is_at(const struct token *t)
{
    return t->kind == TOKEN_AT || (t->kind == TOKEN_WORD && t->word->cls == WORD_AT);
}

static bool is_word(const struct token *t, enum word_class cls)
{
    return t->kind == TOKEN_WORD && t->word->cls == cls;
}

static size_t degree_mark(const struct token *t)
{
    return t->kind == TOKEN_DEGREE || (is_word(t, WORD_UNIT) && t->word->value == UNIT_DEG) ? 1 : 0;
}

static void set_position(struct angle_cell *c, const char *position)
{
    struct value_reading *r = c->out;
    c->positions++;
    if (r->position == NULL)
        r->position = arena_strdup(c->arena, position);
    else if (!str_eq(r->position, position))
        r->position = arena_printf(c->arena, "%s, %s", r->position, position);
}

/* "90 abd" after an at: the angle of another motion in which this one was read. */
static size_t at_angle(struct angle_cell *c, const struct token *t, const char *joint)
{
    char text[NUM_TEXT_MAX];
    if (t->kind != TOKEN_NUMBER)
        return 0;
    size_t n = 1 + degree_mark(t + 1);
    const struct token *after = t + n;
    bool motion = is_word(after, WORD_MOTION);
    if (joint == NULL && (!motion || strcmp(after->word->canon, c->motion->motion) == 0))
        return 0;
    num_format(text, t->value, t->decimals > 0 ? 1 : 0);
    if (joint != NULL && motion)
        set_position(c, arena_printf(c->arena, "%s %s %s", joint, text, after->word->canon));
    else if (joint != NULL)
        set_position(c, arena_printf(c->arena, "%s %s", joint, text));
    else
        set_position(c, arena_printf(c->arena, "%s %s", text, after->word->canon));
    return n + (motion ? 1 : 0);
}

size_t angle_position(struct angle_cell *c, const struct token *t)
{
    size_t at = is_at(t) ? 1 : 0;
    if (is_word(t + at, WORD_POSITION)) {
        set_position(c, t[at].word->canon);
        return at + 1;
    }
    size_t n = at > 0 && c->relation != RELATION_FIXED ? at_angle(c, t + at, NULL) : 0;
    if (n > 0)
        return at + n;
    if (is_word(t + at, WORD_JOINT)) {
        size_t second = is_at(t + at + 1) ? 1 : 0;
        n = at_angle(c, t + at + 1 + second, t[at].word->canon);
        return n > 0 ? at + 1 + second + n : 0;
    }
    return 0;
}

static void relate(struct angle_cell *c, enum relation relation)
{
    if (c->relation != RELATION_NONE && c->relation != relation)
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
    c->relation = relation;
}

static bool number_follows(const struct token *t)
{
    bool sign = t->kind == TOKEN_DASH || t->kind == TOKEN_PLUS || t->kind == TOKEN_FILLER ||
                t->kind == TOKEN_OPEN || t->kind == TOKEN_ABOUT;
    return t->kind == TOKEN_NUMBER || (sign && t[1].kind == TOKEN_NUMBER);
}

/* "limited 20": lost, or reached? "limited to 90" says it. */
static void describe(struct angle_cell *c, const struct token *t)
{
    c->described = true;
    c->missing = c->missing || t->word->value == 1;
    if (number_follows(t + 1))
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
}

static void pain(struct angle_cell *c, const struct token *t)
{
    c->out->pain = true;
    if (number_follows(t + 1))
        reading_hold(c->out, DIAG_CELL_PAIN_SCORE, NULL);
}

static size_t pain_arc(struct angle_cell *c, const struct token *t)
{
    size_t n = 1;
    while (t[n].kind == TOKEN_FILLER || is_word(&t[n], WORD_FILLER) || is_at(&t[n]))
        n++;
    const struct token *from = &t[n];
    size_t mark = 1 + degree_mark(from + 1);
    const struct token *gap = from + mark, *to = gap + 1;
    bool joined = gap->kind == TOKEN_DASH || is_word(gap, WORD_TO);
    if (from->kind != TOKEN_NUMBER || !joined || to->kind != TOKEN_NUMBER ||
        from->value >= to->value) {
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
        return n;
    }
    c->out->pain = true;
    c->out->pain_from = num_of(from->value);
    c->out->pain_to = num_of(to->value);
    reading_note(c->out, DIAG_CELL_PAIN_ARC);
    return n + mark + 2 + degree_mark(to + 1);
}

static void end_feel(struct angle_cell *c, const struct word *word)
{
    enum end_feel feel = (enum end_feel)word->value;
    if (c->out->end_feel != END_FEEL_NONE && c->out->end_feel != feel)
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
    c->out->end_feel = feel;
}

static void unit(struct angle_cell *c, enum unit written)
{
    c->unit = c->unit == UNIT_NONE || c->unit == written ? written : UNIT_COUNT;
}

static void joining_to(struct angle_cell *c)
{
    bool limited_to = c->described && c->items[c->n_items - 1].n == 0;
    if (!limited_to)
        angle_gap(c, GAP_TO);
}

static void filler(struct angle_cell *c, const struct token *t)
{
    if (number_follows(t + 1) && t->word->value == 0)
        c->unknown = true;
}

/* Words that only change the meaning of the number. */
static bool relation_word(struct angle_cell *c, const struct word *word)
{
    static const struct {
        enum word_class cls;
        enum relation relation;
    } relations[] = {
        {WORD_LACK, RELATION_LACK},   {WORD_HYPER, RELATION_HYPER},
        {WORD_LAG, RELATION_LAG},     {WORD_CONTRACTURE, RELATION_CONTRACTURE},
        {WORD_FIXED, RELATION_FIXED},
    };
    if (word->cls == WORD_ZERO_REF || (word->cls == WORD_HYPER && word->value == 1))
        c->zero_ref = true;
    for (size_t i = 0; i < ARRAY_LEN(relations); i++) {
        if (relations[i].cls == word->cls) {
            relate(c, relations[i].relation);
            return true;
        }
    }
    return word->cls == WORD_ZERO_REF;
}

/* "4 out of 5" is the way of grades. */
static bool is_of_five(const struct token *t)
{
    return t->word->value == 1 && t[1].kind == TOKEN_NUMBER && t[1].value == 5;
}

/* "P 126", "P: 126"; without a number it is pain. */
static bool names_passive(const struct token *t)
{
    const struct token *next = t[1].kind == TOKEN_FILLER ? t + 2 : t + 1;
    return t->word->cls == WORD_P && next->kind == TOKEN_NUMBER;
}

/* 10": inches, not a ditto mark. */
static bool is_inch(const struct angle_cell *c, const struct token *t)
{
    return t->word->cls == WORD_SAME && t->word->text[0] == '"' && !t->space_before &&
           c->numbers > 0;
}

static bool holding_word(struct angle_cell *c, const struct token *t)
{
    const struct word *word = t->word;
    if (word->cls == WORD_LIMIT)
        reading_hold(c->out, DIAG_CELL_LIMIT, NULL);
    else if (word->cls == WORD_SHARE)
        reading_hold(c->out, is_of_five(t) ? DIAG_CELL_GRADE_IN_ANGLE : DIAG_CELL_SHARE, NULL);
    else if (word->cls == WORD_SAME)
        reading_hold(c->out, DIAG_CELL_SAME, NULL);
    else if (word->cls == WORD_SIDE)
        reading_hold(c->out, DIAG_CELL_SIDE_INSIDE, NULL);
    else if (names_passive(t) && c->test != TEST_PROM)
        reading_hold(c->out, DIAG_CELL_TEST_INSIDE, NULL);
    else if (word->cls == WORD_TEST && (enum test)word->value != c->test)
        reading_hold(c->out, DIAG_CELL_TEST_INSIDE, NULL);
    else if (word->cls == WORD_SIGN)
        reading_hold(c->out, DIAG_CELL_SIGN, NULL);
    else if (word->cls == WORD_NOTHING)
        reading_hold(c->out, DIAG_CELL_ZERO_WORD, NULL);
    else if (word->cls == WORD_TIMING)
        reading_hold(c->out, DIAG_CELL_TIMING_INSIDE, NULL);
    else if (word->cls == WORD_ASSISTED)
        reading_hold(c->out, DIAG_CELL_TEST_ASSISTED, NULL);
    else if (word->cls == WORD_MOTION && strcmp(word->canon, c->motion->motion) != 0)
        reading_hold(c->out, DIAG_CELL_OTHER_MOTION, NULL);
    else
        return false;
    return true;
}

static void quality(struct angle_cell *c, const struct token *t)
{
    c->said_before = true;
    switch (t->word->cls) {
    case WORD_PAIN:
        pain(c, t);
        break;
    case WORD_P:
        if (!names_passive(t))
            pain(c, t);
        break;
    case WORD_END_FEEL:
        end_feel(c, t->word);
        break;
    case WORD_NORMAL:
        c->normal = true;
        break;
    case WORD_FUNCTIONAL:
        c->functional = true;
        break;
    case WORD_DESCRIBED:
        describe(c, t);
        break;
    case WORD_FILLER:
        filler(c, t);
        break;
    case WORD_NO_PAIN:
    case WORD_TEST:
    case WORD_MOTION:
        break;
    default:
        c->unknown = true;
        break;
    }
}

/* "from 0 to 120", "neutral - 30": the word is where the range begins. */
static bool zero_start(struct angle_cell *c, const struct token *t)
{
    static const struct token zero = {.kind = TOKEN_NUMBER, .whole_digits = 1};
    bool dash = t[1].kind == TOKEN_DASH && t[1].space_before == t[2].space_before;
    if (t->word->cls != WORD_ZERO_REF || t->word->value == 0 || t[2].kind != TOKEN_NUMBER ||
        (!dash && !is_word(t + 1, WORD_TO)) || c->relation != RELATION_NONE || c->zero_ref ||
        c->open_gap || c->sign != 0 || c->items[c->n_items - 1].n > 0)
        return false;
    angle_add_number(c, &zero);
    return true;
}

size_t angle_word(struct angle_cell *c, const struct token *t)
{
    if (is_inch(c, t)) {
        unit(c, UNIT_COUNT);
        c->distance = true;
        return 1;
    }
    if (zero_start(c, t) || holding_word(c, t) || relation_word(c, t->word))
        return 1;
    switch (t->word->cls) {
    case WORD_PAIN_ARC:
        return pain_arc(c, t);
    case WORD_ESTIMATED:
        c->estimated = true;
        break;
    case WORD_TO:
        joining_to(c);
        break;
    case WORD_AT:
        c->unknown = c->unknown || c->relation != RELATION_FIXED;
        break;
    case WORD_UNIT:
        unit(c, (enum unit)t->word->value);
        break;
    case WORD_INCH:
        unit(c, UNIT_COUNT);
        c->distance = true;
        break;
    case WORD_DISTANCE:
        c->distance = true;
        break;
    case WORD_NOT_TESTED:
        c->not_tested = true;
        break;
    default:
        quality(c, t);
        break;
    }
    return 1;
}
