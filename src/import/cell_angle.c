/*
 * The angle cell: tokens are sorted into numbers with what stands between them, and what is said
 * about them (pain, end feel, position, unit ...). Then the shape of the numbers decides: one, a
 * pair, a neutral-zero triple, or tries. What can be read two ways is held back.
 */
#include "import/cell_angle_int.h"

#include <stddef.h>
#include <string.h>

static bool is_level_number(char kind, double value)
{
    double last = kind == 'T' ? 12 : kind == 'C' ? 7 : kind == 'L' || kind == 'S' ? 5 : 0;
    return value >= 1 && value <= last; /* vertebrae of each part of the spine */
}

/* Hand behind the back: T7, L1, PSIS, "to T10". Only the shoulder is measured so; elsewhere L1 may
 * be a side and a number. */
static bool is_level(const char *s, const struct motion *m, bool *pain)
{
    static const char *const before[] = {"hbb ",     "thumb to ", "to ",
                                         "reaches ", "reach ",    "level "};
    if (strcmp(m->joint, "shoulder") != 0)
        return false;
    for (size_t i = 0; i < ARRAY_LEN(before); i++) {
        if (strncasecmp(s, before[i], strlen(before[i])) == 0)
            s += strlen(before[i]);
    }
    const struct word *word = words_whole(s, COLUMN_ANGLE);
    if (word != NULL && word->cls == WORD_LEVEL)
        return true;
    char kind = s[0] == 't' || s[0] == 'c' || s[0] == 's' ? (char)(s[0] - 'a' + 'A') : s[0];
    size_t digits = kind != '\0' ? strspn(s + 1, "0123456789") : 0;
    double value;
    if (digits == 0 || digits > 2 || !num_parse(s + 1, digits, &value))
        return false;
    const char *rest = s + 1 + digits;
    if (strncasecmp(rest, " level", 6) == 0)
        rest += 6;
    while (*rest == ' ')
        rest++;
    word = words_whole(rest, COLUMN_ANGLE);
    *pain = word != NULL && word->cls == WORD_PAIN;
    return is_level_number(kind, value) && (*rest == '\0' || *pain);
}

static const char *date_detail(const struct date_shape *shape, struct arena *a)
{
    int was[2][2];
    date_was(shape, was);
    if (was[0][0] == was[0][1])
        return arena_printf(a, "was it %d-%d?", was[0][0], was[0][1]);
    return arena_printf(a, "was it %d-%d or %d-%d?", was[0][0], was[0][1], was[1][0], was[1][1]);
}

/* Whole-cell meanings that come before any number is looked at. */
static bool settled_whole(struct angle_cell *c, const struct plain *plain)
{
    struct date_shape shape;
    struct date date;
    if (reading_without_value(plain, COLUMN_ANGLE, c->arena, c->out))
        return true;
    if (date_shape(plain->text, &shape)) {
        reading_hold(c->out, DIAG_CELL_DATE, date_detail(&shape, c->arena));
        return true;
    }
    if (date_number(plain->text, &date)) {
        shape = (struct date_shape){date.day, date.month, 0, 0, date.year, 4};
        reading_hold(c->out, DIAG_CELL_DATE_NUMBER, date_detail(&shape, c->arena));
        return true;
    }
    if (is_level(plain->text, c->motion, &c->out->pain)) {
        c->out->status = READING_NO_ANGLE;
        reading_note(c->out, DIAG_CELL_LEVEL);
        return true;
    }
    return false;
}

enum diag_code angle_decimal_doubt(const struct token *t, const struct cell_rules *rules)
{
    if (rules->decimal == DECIMAL_COMMA)
        return !t->comma && t->decimals == 3 ? DIAG_CELL_THOUSANDS : DIAG_CODE_COUNT;
    if (!t->comma)
        return DIAG_CODE_COUNT;
    if (t->decimals == 3)
        return DIAG_CELL_THOUSANDS;
    return t->decimals != 1 || rules->decimal == DECIMAL_POINT ? DIAG_CELL_COMMA_PAIR
                                                               : DIAG_CODE_COUNT;
}

void angle_add_number(struct angle_cell *c, const struct token *t)
{
    struct angle_item *item = &c->items[c->n_items - 1];
    if (item->n == NUMBERS_MAX) {
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
        return;
    }
    if (item->n > 0 && item->between[item->n - 1] == GAP_NONE && c->comma_gap)
        item->between[item->n - 1] = GAP_COMMA;
    struct angle_number *number = &item->numbers[item->n++];
    *number = (struct angle_number){t->value, c->sign, c->in_bracket};
    item->between[item->n - 1] = GAP_NONE;
    c->numbers++;
    c->sign = 0;
    c->comma_gap = c->open_gap = false;
    enum diag_code doubt = angle_decimal_doubt(t, c->rules);
    if (doubt == DIAG_CODE_COUNT && t->decimals == 3 && !t->comma && t->whole_digits == 1 &&
        c->rules->decimal == DECIMAL_UNDECLARED)
        doubt = DIAG_CELL_THOUSANDS;
    if (doubt != DIAG_CODE_COUNT)
        reading_hold(c->out, doubt, NULL);
    if (t->value != (double)(long)t->value)
        c->fractional = true;
}

void angle_gap(struct angle_cell *c, enum gap kind)
{
    struct angle_item *item = &c->items[c->n_items - 1];
    if (item->n == 0 || c->open_gap) {
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
        return;
    }
    item->between[item->n - 1] = kind;
    c->open_gap = true;
}

static void dash_or_plus(struct angle_cell *c, const struct token *t)
{
    const struct angle_item *item = &c->items[c->n_items - 1];
    bool number_next = t[1].kind == TOKEN_NUMBER || t[1].kind == TOKEN_LETTER_NUMBER;
    bool sign_place = item->n == 0 || c->open_gap || c->comma_gap;
    if (number_next && (sign_place || t->kind == TOKEN_PLUS)) {
        if (c->sign != 0 || (c->said_before && t[1].space_before))
            reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
        c->sign = t->kind == TOKEN_PLUS ? '+' : '-';
        return;
    }
    if (t->kind == TOKEN_PLUS) {
        /* "90+" is a limit; "110 + pain" joins a word. */
        if (t[1].kind != TOKEN_WORD)
            reading_hold(c->out, item->n > 0 ? DIAG_CELL_LIMIT : DIAG_CELL_NOT_UNDERSTOOD, NULL);
        return;
    }
    if (number_next)
        angle_gap(c, GAP_DASH);
    else if (t[1].kind == TOKEN_DASH || t[1].kind == TOKEN_PLUS || t[1].kind == TOKEN_OPEN)
        angle_gap(c, GAP_DASH);
    else if (t[1].kind != TOKEN_WORD || (!t->space_before && t[1].space_before))
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL); /* "10- pain": a minus behind? */
}

/* A bracket round a number is a sign in some clinics; round words it is only a bracket. */
static void bracket(struct angle_cell *c, const struct token *t)
{
    if (t->kind == TOKEN_CLOSE)
        c->in_bracket = false;
    else if (t[1].kind == TOKEN_NUMBER || t[1].kind == TOKEN_DASH || t[1].kind == TOKEN_PLUS)
        c->in_bracket = true;
}

static void next_item(struct angle_cell *c, const struct token *t)
{
    if (c->open_gap || c->items[c->n_items - 1].n == 0)
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
    if (t[1].kind == TOKEN_END)
        return;
    if (c->n_items == TRIES_MAX)
        reading_hold(c->out, DIAG_CELL_TRIES_MANY, NULL);
    else
        c->items[c->n_items++] = (struct angle_item){.n = 0};
    c->sign = 0;
    c->comma_gap = c->open_gap = c->said_before = false;
}

static void mark(struct angle_cell *c, const struct token *t)
{
    switch (t->kind) {
    case TOKEN_STAR:
        reading_note(c->out, DIAG_CELL_ASTERISK);
        break;
    case TOKEN_DEGREE:
        c->unit = c->unit == UNIT_NONE || c->unit == UNIT_DEG ? UNIT_DEG : UNIT_COUNT;
        break;
    case TOKEN_ABOUT:
        c->estimated = true;
        break;
    case TOKEN_COMMA:
        c->comma_gap = true;
        break;
    case TOKEN_SHARE:
        reading_hold(c->out, DIAG_CELL_SHARE, NULL);
        break;
    case TOKEN_LIMIT:
        reading_hold(c->out, DIAG_CELL_LIMIT, NULL);
        break;
    case TOKEN_ARROW:
        reading_hold(c->out, DIAG_CELL_ARROW, NULL);
        break;
    case TOKEN_QUESTION:
        reading_hold(c->out, DIAG_CELL_DOUBTFUL, NULL);
        break;
    case TOKEN_FILLER:
        break;
    default:
        c->unknown = true;
        break;
    }
}

static void letter_number(struct angle_cell *c, const struct token *t)
{
    enum { SHOWN_MAX = 12 };
    char *repaired = arena_strndup(c->arena, c->plain.text + t->start, t->len);
    for (char *s = repaired; *s != '\0'; s++) {
        bool zero = *s == 'o' || *s == 'O';
        *s = *s >= '0' && *s <= '9' ? *s : zero ? '0' : '1';
    }
    reading_hold(c->out, DIAG_CELL_LETTER, arena_printf(c->arena, "%.*s?", SHOWN_MAX, repaired));
}

/* One token; returns how many tokens it used. */
static size_t take(struct angle_cell *c, const struct token *t)
{
    size_t used = angle_position(c, t);
    if (used > 0) {
        c->said_before = true;
        return used;
    }
    switch (t->kind) {
    case TOKEN_NUMBER:
        angle_add_number(c, t);
        return 1;
    case TOKEN_LETTER_NUMBER:
        letter_number(c, t);
        return 1;
    case TOKEN_WORD:
        return angle_word(c, t);
    case TOKEN_DASH:
    case TOKEN_PLUS:
        dash_or_plus(c, t);
        return 1;
    case TOKEN_SLASH:
        angle_gap(c, GAP_SLASH);
        return 1;
    case TOKEN_SEMICOLON:
        next_item(c, t);
        return 1;
    case TOKEN_OPEN:
    case TOKEN_CLOSE:
        bracket(c, t);
        return 1;
    default:
        mark(c, t);
        return 1;
    }
}

/* "not WNL", "unable to reach full ext", "lacks full", "full but tight": normal it is not. */
static bool takes_normal_back(const struct angle_cell *c)
{
    return (c->normal && (c->unknown || c->described || c->relation != RELATION_NONE)) ||
           (c->functional && c->unknown);
}

static void no_number(struct angle_cell *c)
{
    struct value_reading *r = c->out;
    if (c->relation == RELATION_FIXED) {
        reading_hold(r, DIAG_CELL_FIXED_NO_ANGLE, NULL);
        return;
    }
    if (takes_normal_back(c)) {
        reading_hold(r, DIAG_CELL_NORMAL_UNCLEAR, NULL);
        return;
    }
    r->status = READING_NO_ANGLE;
    if (c->normal)
        reading_note(r, DIAG_CELL_NORMAL_WORD);
    if (c->functional)
        reading_note(r, DIAG_CELL_FUNCTIONAL_WORD);
    if (c->described || (r->pain && !r->pain_from.has && !c->normal && !c->functional))
        reading_note(r, DIAG_CELL_DESCRIBED);
    bool said = c->normal || c->functional || c->described || r->pain_from.has;
    if (c->distance)
        reading_note(r, DIAG_CELL_DISTANCE);
    else if (c->zero_ref && !said && !c->unknown && c->relation == RELATION_NONE)
        reading_hold(r, DIAG_CELL_ZERO_WORD, NULL);
    else if (!said && (!r->pain || c->unknown))
        reading_hold(r, DIAG_CELL_NOT_UNDERSTOOD, NULL);
}

static void about_words(struct angle_cell *c, enum test test)
{
    struct value_reading *r = c->out;
    if (r->end_feel == END_FEEL_EMPTY)
        reading_note(r, DIAG_CELL_END_FEEL_EMPTY);
    if (r->end_feel != END_FEEL_NONE && test == TEST_AROM)
        reading_note(r, DIAG_CELL_END_FEEL_ACTIVE);
    if (c->numbers == 0)
        return;
    if (c->normal || c->functional || c->described)
        reading_note(r, DIAG_CELL_WORD_KEPT);
    if (c->estimated) {
        r->status = r->status == READING_MEASURED ? READING_ESTIMATED : r->status;
        reading_note(r, DIAG_CELL_ESTIMATED);
    }
    if (c->fractional && c->motion->unit == UNIT_DEG)
        reading_note(r, DIAG_CELL_FINE);
}

static void about_text(const struct plain *plain, struct value_reading *r)
{
    if (plain->repaired)
        reading_note(r, DIAG_CELL_ENCODING);
    if (plain->odd_space)
        reading_note(r, DIAG_CELL_ODD_SPACE);
    if (plain->apostrophe)
        reading_note(r, DIAG_CELL_APOSTROPHE);
    if (plain->quoted_formula)
        reading_note(r, DIAG_CELL_QUOTED_FORMULA);
}

static void not_tested_inside(struct angle_cell *c)
{
    c->out->status = READING_NOT_TESTED;
    c->out->status_reason = arena_strdup(c->arena, c->plain.cell);
    if (c->numbers > 0)
        reading_hold(c->out, DIAG_CELL_NOT_TESTED_NUMBER, NULL);
}

static void with_numbers(struct angle_cell *c)
{
    bool other = c->distance || (c->unit != UNIT_NONE && c->unit != c->motion->unit);
    if (c->open_gap || c->sign != 0)
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
    if (c->missing)
        reading_hold(c->out, DIAG_CELL_LOSS, NULL);
    if (other)
        angle_other_unit(c);
    if (c->unknown && c->out->status == READING_MEASURED)
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
    if (c->out->status == READING_MEASURED)
        angle_shape(c);
}

static void read_tokens(struct angle_cell *c, enum test test)
{
    struct tokens tokens;
    tokens_make(&c->plain, COLUMN_ANGLE, &tokens);
    if (tokens.too_many)
        reading_hold(c->out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
    for (size_t i = 0; i < tokens.n;)
        i += take(c, &tokens.at[i]);
    if (c->out->status == READING_HELD_BACK)
        return;
    if (c->not_tested)
        not_tested_inside(c);
    else if (c->numbers == 0)
        no_number(c);
    else
        with_numbers(c);
    about_words(c, test);
}

/* "118", "118; 120; 119": what most cells hold means itself, whatever the rules. How many numbers;
 * 0: something else stands there too, or five digits, which may be a date. */
static int bare_numbers(const char *text, double values[TRIES_MAX])
{
    enum { DIGITS_MAX = 3 };
    for (int n = 0; n < TRIES_MAX;) {
        int number = 0, digits = 0;
        for (; digits <= DIGITS_MAX && *text >= '0' && *text <= '9'; digits++)
            number = number * 10 + (*text++ - '0');
        if (digits == 0 || digits > DIGITS_MAX)
            return 0;
        values[n++] = number;
        if (*text == '\0')
            return n;
        if (*text++ != ';')
            return 0;
        text += *text == ' ';
    }
    return 0;
}

void cell_angle(const char *text, const struct motion *motion, enum test test,
                const struct cell_rules *rules, struct arena *a, struct value_reading *out)
{
    struct angle_cell c;
    memset(out, 0, sizeof *out);
    memset(&c, 0, offsetof(struct angle_cell, items));
    c.items[0] = (struct angle_item){.n = 0};
    c.out = out;
    c.motion = motion;
    c.test = test;
    c.rules = rules_or_none(rules);
    c.arena = a;
    c.n_items = 1;
    double values[TRIES_MAX];
    int n = bare_numbers(text, values);
    if (n > 0) {
        c.numbers = c.n_items = n;
        for (int i = 0; i < n; i++)
            c.items[i] = (struct angle_item){.numbers[0].value = values[i], .n = 1};
        angle_shape(&c);
        reading_finish(out);
        return;
    }
    plain_make(text, a, &c.plain);
    if (!settled_whole(&c, &c.plain))
        read_tokens(&c, test);
    about_text(&c.plain, out);
    reading_finish(out);
}

void cell_degrees(const char *text, const struct motion *motion, const struct cell_rules *rules,
                  struct arena *a, struct value_reading *out)
{
    struct plain plain;
    struct tokens tokens;
    double values[TRIES_MAX];
    bool minus = *text == '-';
    memset(out, 0, sizeof *out);
    if (bare_numbers(text + minus, values) == 1) {
        angle_plain_value(minus && values[0] != 0 ? -values[0] : values[0], motion, a, out);
        reading_finish(out);
        return;
    }
    plain_make(text, a, &plain);
    if (!reading_without_value(&plain, COLUMN_ANGLE, a, out)) {
        tokens_make(&plain, COLUMN_ANGLE, &tokens);
        angle_plain_number(&plain, &tokens, motion, rules_or_none(rules), a, out);
        about_text(&plain, out);
    }
    reading_finish(out);
}
