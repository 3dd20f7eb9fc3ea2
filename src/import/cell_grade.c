/*
 * The grade cell of a manual muscle test. The scale itself is the reference library's: a grade is
 * put together as text ("4-") and must be one of its steps. Here is only how grades get written.
 */
#include "import/cells_int.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SCALE_TOP = 5, TEN_TOP = 10, PAIN_TOP = 10, GRADES_MAX = 3 };

/* A grade as written: digits, a step, and what it is out of. */
struct written {
    double value;
    int decimals;
    char step[4];        /* "", "+", "-", "++" ... */
    struct num out_of;
    bool roman, letter;
};

struct grade_cell {
    struct value_reading *out;
    struct arena *arena;
    const struct cell_rules *rules;
    const struct reference *ref;
    struct plain plain;
    struct written grades[GRADES_MAX];
    int n;
    bool scale, screen, available, not_tested;
};

static void hold(struct grade_cell *c, enum diag_code why)
{
    reading_hold(c->out, why, NULL);
}

static bool is_sign(const struct token *t)
{
    return t->kind == TOKEN_PLUS || t->kind == TOKEN_DASH;
}

static bool is_word(const struct token *t, enum word_class cls)
{
    return t->kind == TOKEN_WORD && t->word->cls == cls;
}

static bool begins_grade(const struct token *t)
{
    return t->kind == TOKEN_NUMBER || is_word(t, WORD_GRADE) || is_word(t, WORD_ROMAN);
}

/* Plus and minus right after the grade: "4-", "4 + /5", "Good minus". A dash that leads to another
 * grade joins two ("4-5"). With a space before it and a word after it, a sign may belong to either:
 * "4 - pain" could be 4 or 4-. */
static size_t steps(struct grade_cell *c, const struct token *t, struct written *g)
{
    size_t n = 0;
    for (;; t++, n++) {
        bool named = is_word(t, WORD_STEP);
        bool joins = t->kind == TOKEN_DASH && begins_grade(t + 1);
        if ((!is_sign(t) && !named) || joins || strlen(g->step) + 1 >= sizeof g->step)
            return n;
        if (is_sign(t) && t->space_before && t[1].kind == TOKEN_WORD)
            hold(c, DIAG_CELL_GRADE_SIGN);
        char sign = named ? t->word->canon[0] : t->kind == TOKEN_PLUS ? '+' : '-';
        size_t len = strlen(g->step);
        g->step[len] = sign;
        g->step[len + 1] = '\0';
    }
}

static size_t denominator(const struct token *t, struct written *g)
{
    if ((t->kind != TOKEN_SLASH && !is_word(t, WORD_OUT_OF)) || !begins_grade(t + 1))
        return 0;
    const struct token *below = t + 1;
    if (below->kind == TOKEN_NUMBER)
        g->out_of = num_of(below->value);
    else
        g->out_of = num_of(below->word->value == 0 ? -1 : below->word->value);
    return 2;
}

/* One grade at `t`; the number of tokens used. */
static size_t grade(struct grade_cell *c, const struct token *t)
{
    if (c->n == GRADES_MAX) {
        hold(c, DIAG_CELL_GRADE_TWO);
        return 1;
    }
    struct written *g = &c->grades[c->n++];
    if (t->kind == TOKEN_NUMBER) {
        g->value = t->value;
        g->decimals = t->value == (double)(long)t->value ? 0 : t->decimals;
    } else {
        g->value = t->word->canon[0] - '0';
        g->roman = t->word->cls == WORD_ROMAN;
        g->letter = !g->roman;
    }
    size_t n = 1 + steps(c, t + 1, g);
    size_t under = denominator(t + n, g);
    n += under;
    const struct token *sign = t + n;
    bool dash_to_word =
        sign->kind == TOKEN_DASH && sign->space_before && sign[1].kind == TOKEN_WORD;
    if (under > 0 && is_sign(sign) && !begins_grade(sign + 1) && !dash_to_word)
        hold(c, t[n - 1].value < SCALE_TOP ? DIAG_CELL_GRADE_TWO : DIAG_CELL_GRADE_SIGN);
    return n;
}

static void words(struct grade_cell *c, const struct token *t)
{
    switch (t->word->cls) {
    case WORD_PAIN:
        c->out->pain = true;
        if (t[1].kind == TOKEN_NUMBER)
            hold(c, DIAG_CELL_PAIN_SCORE);
        break;
    case WORD_POSITION:
        if (c->out->position != NULL && !str_eq(c->out->position, t->word->canon))
            hold(c, DIAG_CELL_NOT_UNDERSTOOD);
        c->out->position = t->word->canon;
        break;
    case WORD_SCALE:
        c->scale = true;
        break;
    case WORD_SCREEN:
        c->screen = true;
        break;
    case WORD_AVAILABLE:
        c->available = true;
        break;
    case WORD_NO_GRADE:
        hold(c, DIAG_CELL_GRADE_WORD);
        break;
    case WORD_FORCE:
        hold(c, DIAG_CELL_GRADE_FORCE);
        break;
    case WORD_LIMIT:
        hold(c, DIAG_CELL_LIMIT);
        break;
    case WORD_TIMING:
        hold(c, DIAG_CELL_TIMING_INSIDE);
        break;
    case WORD_SIDE:
        hold(c, (enum side)t->word->value == SIDE_NONE ? DIAG_CELL_SIDE_BOTH
                                                       : DIAG_CELL_SIDE_INSIDE);
        break;
    case WORD_SAME:
        hold(c, DIAG_CELL_SAME);
        break;
    case WORD_NOT_TESTED:
        c->not_tested = true;
        break;
    case WORD_NO_PAIN:
    case WORD_FILLER:
        break;
    case WORD_TO:
        if (c->n == 0 || !begins_grade(t + 1))
            hold(c, DIAG_CELL_NOT_UNDERSTOOD);
        break;
    default:
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
        break;
    }
}

static void loose_sign(struct grade_cell *c, const struct token *t)
{
    if (c->n == 0 && begins_grade(t + 1))
        hold(c, DIAG_CELL_GRADE_SIGN);
    else if (c->n == 0 && t[1].kind == TOKEN_END)
        hold(c, DIAG_CELL_GRADE_WORD);
    else if (t->kind == TOKEN_PLUS && t[1].kind != TOKEN_WORD)
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
}

static void mark(struct grade_cell *c, const struct token *t)
{
    switch (t->kind) {
    case TOKEN_STAR:
        reading_note(c->out, DIAG_CELL_ASTERISK);
        break;
    case TOKEN_LETTER_NUMBER:
        hold(c, DIAG_CELL_LETTER);
        break;
    case TOKEN_LIMIT:
        hold(c, DIAG_CELL_LIMIT);
        break;
    case TOKEN_ARROW:
        hold(c, DIAG_CELL_GRADE_TWO);
        break;
    case TOKEN_SHARE:
        hold(c, DIAG_CELL_GRADE_FRACTION);
        break;
    case TOKEN_QUESTION:
        hold(c, DIAG_CELL_DOUBTFUL);
        break;
    case TOKEN_OPEN:
    case TOKEN_CLOSE:
    case TOKEN_COMMA:
    case TOKEN_SEMICOLON:
    case TOKEN_FILLER:
        break;
    default:
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
        break;
    }
}

static size_t take(struct grade_cell *c, const struct token *t)
{
    bool poor_or_pain = is_word(t, WORD_GRADE) && t->word->value == 1;
    bool newton = is_word(t, WORD_GRADE) && strcmp(t->word->text, "n") == 0;
    if (c->n > 0 && poor_or_pain && !is_sign(t + 1)) {
        c->out->pain = true;
        return 1;
    }
    if (c->n > 0 && newton && t[1].kind != TOKEN_NUMBER) {
        hold(c, DIAG_CELL_GRADE_FORCE);
        return 1;
    }
    if (begins_grade(t))
        return grade(c, t);
    if (t->kind == TOKEN_WORD)
        words(c, t);
    else if (is_sign(t))
        loose_sign(c, t);
    else
        mark(c, t);
    return 1;
}

/* 0.8 is 4/5 worked out by a spreadsheet; other decimals are an attempt at a half grade. */
static enum diag_code odd_decimals(const struct written *g)
{
    double fifths = g->value * SCALE_TOP;
    bool whole = fabs(fifths - round(fifths)) < 1e-9;
    return g->value < 1 && whole ? DIAG_CELL_GRADE_FRACTION : DIAG_CELL_GRADE_HALF;
}

static void out_of_wrong(struct grade_cell *c, const struct written *g)
{
    if (g->out_of.value == PAIN_TOP)
        hold(c, DIAG_CELL_GRADE_OF_TEN);
    else if (g->out_of.value > 0 && g->out_of.value < SCALE_TOP && g->value <= g->out_of.value)
        hold(c, DIAG_CELL_GRADE_TWO);
    else
        hold(c, DIAG_CELL_GRADE_UNKNOWN);
}

static const struct grade *by_name(struct grade_cell *c, const struct written *g)
{
    char text[1 + sizeof g->step];
    const struct grade *found = NULL;
    if (g->value <= SCALE_TOP) {
        text[0] = (char)('0' + (int)g->value);
        memcpy(text + 1, g->step, sizeof g->step);
        found = reference_grade(c->ref, text);
    } else if (g->value <= TEN_TOP && g->step[0] == '\0' && !g->out_of.has) {
        hold(c, DIAG_CELL_GRADE_OTHER_SCALE);
    }
    if (found != NULL && found->optional && !c->rules->five_minus)
        hold(c, DIAG_CELL_GRADE_FIVE_MINUS);
    return found;
}

/* A number from 0 to 10. Names and their letters mean the same on both scales; steps and Roman
 * numbers belong to the other. */
static const struct grade *of_ten(struct grade_cell *c, const struct written *g)
{
    char text[16];
    if (g->letter)
        return by_name(c, g);
    if (g->roman || (g->out_of.has && g->out_of.value != TEN_TOP)) {
        hold(c, DIAG_CELL_GRADE_OTHER_SCALE);
        return NULL;
    }
    if (g->step[0] != '\0') {
        hold(c, DIAG_CELL_GRADE_STEP);
        return NULL;
    }
    snprintf(text, sizeof text, "%.0f", g->value);
    reading_note(c->out, DIAG_CELL_GRADE_TEN);
    return reference_grade_of_ten(c->ref, text);
}

static const struct grade *one_grade(struct grade_cell *c, const struct written *g)
{
    const struct grade *found = NULL;
    if (g->decimals > 0)
        hold(c, odd_decimals(g));
    else if (c->rules->grades_of_ten)
        found = of_ten(c, g);
    else if (g->out_of.has && g->out_of.value != SCALE_TOP)
        out_of_wrong(c, g);
    else if (strlen(g->step) > 1)
        hold(c, DIAG_CELL_GRADE_STEP);
    else
        found = by_name(c, g);
    if (found == NULL)
        hold(c, DIAG_CELL_GRADE_UNKNOWN);
    return found;
}

/* Whether the cell would be a grade of either scale, with another meaning. */
static bool is_bare(const struct grade_cell *c)
{
    const struct written *g = &c->grades[0];
    return c->n == 1 && !c->scale && !c->rules->grades_of_ten && !g->letter && !g->roman &&
           !g->out_of.has && g->step[0] == '\0';
}

static void settle(struct grade_cell *c)
{
    struct value_reading *r = c->out;
    if (c->n == 0) {
        hold(c, DIAG_CELL_GRADE_WORD);
        return;
    }
    r->grade = one_grade(c, &c->grades[0]);
    r->bare_grade = is_bare(c);
    for (int i = 1; i < c->n; i++) {
        bool beside = c->grades[i].letter != c->grades[0].letter; /* "G 4", "4 (good)" */
        if (!beside || one_grade(c, &c->grades[i]) != r->grade)
            hold(c, DIAG_CELL_GRADE_TWO);
    }
    if (r->pain)
        reading_note(r, DIAG_CELL_GRADE_PAIN);
    if (c->scale && c->rules->grades_of_ten)
        hold(c, DIAG_CELL_GRADE_OTHER_SCALE);
    if (c->scale || c->grades[0].roman)
        reading_note(r, DIAG_CELL_GRADE_SCALE);
    if (c->screen)
        reading_note(r, DIAG_CELL_GRADE_SCREEN);
    if (c->available)
        reading_note(r, DIAG_CELL_GRADE_AVAILABLE);
}

/* "n/5" among the two orders of a date, for the message. */
static const char *grade_was(const struct date_shape *shape, struct arena *a)
{
    int was[2][2];
    date_was(shape, was);
    for (int i = 0; i < 2; i++) {
        if (was[i][1] == SCALE_TOP && was[i][0] <= SCALE_TOP)
            return arena_printf(a, "was it %d/%d?", was[i][0], was[i][1]);
    }
    return arena_printf(a, "was it %d-%d?", was[0][0], was[0][1]);
}

static bool settled_whole(struct grade_cell *c)
{
    struct date_shape shape;
    struct date date;
    if (reading_without_value(&c->plain, COLUMN_GRADE, c->arena, c->out))
        return true;
    if (date_shape(c->plain.text, &shape)) {
        reading_hold(c->out, DIAG_CELL_GRADE_DATE, grade_was(&shape, c->arena));
        return true;
    }
    if (date_number(c->plain.text, &date)) {
        shape = (struct date_shape){date.day, date.month, 0, 0, date.year, 4};
        reading_hold(c->out, DIAG_CELL_DATE_NUMBER, grade_was(&shape, c->arena));
        return true;
    }
    return false;
}

/* "4-": what most cells hold. */
static bool take_plain(struct grade_cell *c, const char *text)
{
    bool step = text[0] != '\0' && (text[1] == '+' || text[1] == '-');
    if (text[0] < '0' || text[0] > '9' || text[step ? 2 : 1] != '\0')
        return false;
    c->grades[c->n++] = (struct written){.value = text[0] - '0', .step = {step ? text[1] : '\0'}};
    return true;
}

void cell_grade(const char *text, const struct cell_rules *rules, const struct reference *ref,
                struct arena *a, struct value_reading *out)
{
    struct grade_cell c;
    struct tokens tokens;
    memset(out, 0, sizeof *out);
    memset(&c, 0, sizeof c);
    c.out = out;
    c.arena = a;
    c.rules = rules_or_none(rules);
    c.ref = ref;
    if (take_plain(&c, text)) {
        settle(&c);
        reading_finish(out);
        return;
    }
    plain_make(text, a, &c.plain);
    if (!settled_whole(&c)) {
        tokens_make(&c.plain, COLUMN_GRADE, &tokens);
        if (tokens.too_many)
            hold(&c, DIAG_CELL_NOT_UNDERSTOOD);
        for (size_t i = 0; i < tokens.n;)
            i += take(&c, &tokens.at[i]);
        if (c.not_tested && c.n > 0)
            hold(&c, DIAG_CELL_NOT_TESTED_NUMBER);
        if (c.not_tested) {
            out->status = out->status == READING_MEASURED ? READING_NOT_TESTED : out->status;
            out->status_reason = arena_strdup(a, text);
        } else if (out->status == READING_MEASURED) {
            settle(&c);
        }
        if (c.plain.quoted_formula)
            reading_note(out, DIAG_CELL_QUOTED_FORMULA);
        if (c.plain.apostrophe)
            reading_note(out, DIAG_CELL_APOSTROPHE);
        if (c.plain.repaired)
            reading_note(out, DIAG_CELL_ENCODING);
    }
    reading_finish(out);
}
