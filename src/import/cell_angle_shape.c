/*
 * Numbers to a reading on the one angle scale. Each shape has one function; each asks first
 * whether it could mean something else.
 */
#include "import/cell_angle_int.h"

#include <math.h>
#include <string.h>

/* Two numbers no further apart than this, the first above 0, may be two tries as well as a start
 * and an end: tries of one examiner rarely differ by more. */
enum { MAYBE_TRIES_SPAN = 10 };
enum { MM_PER_CM = 10 };

struct reading_item {
    struct num start;
    double end;
};

bool angle_is_hinge_extension(const struct motion *m)
{
    return m->unit == UNIT_DEG && m->normal != NULL && m->normal->normal == 0;
}

bool angle_is_hinge_flexion(const struct motion *m)
{
    return !angle_is_hinge_extension(m) && m->opposite != NULL && m->opposite != m &&
           angle_is_hinge_extension(m->opposite);
}

/* Motions of which clinicians say that they lack so much: of reaching zero. */
static bool reaches_for_zero(const struct motion *m)
{
    return angle_is_hinge_extension(m) || strcmp(m->motion, "extension") == 0 ||
           strcmp(m->motion, "dorsiflexion") == 0;
}

static void hold(struct angle_cell *c, enum diag_code why)
{
    reading_hold(c->out, why, NULL);
}

static struct num max_of(const struct motion *m)
{
    return m != NULL && m->normal != NULL ? m->normal->max_plausible : num_none();
}

static void out_of_range(const struct motion *m, double limit, struct arena *a,
                         struct value_reading *r)
{
    char text[NUM_TEXT_MAX];
    num_format(text, fabs(limit), limit == floor(limit) ? 0 : 1);
    reading_hold(r, DIAG_CELL_OUT_OF_RANGE,
                 arena_printf(a, "at most %s %s", text,
                              m->unit == UNIT_DEG ? "degrees" : unit_name(m->unit)));
}

/* `value` counts in the direction of the motion; below zero it is the opposite motion's range. */
static void check_reach(const struct motion *m, double value, struct arena *a,
                        struct value_reading *r)
{
    struct num most = max_of(m), back = max_of(m->opposite);
    if (most.has && value > most.value)
        out_of_range(m, most.value, a, r);
    else if (value < 0 && m->unit != UNIT_DEG)
        out_of_range(m, most.has ? most.value : 0, a, r);
    else if (value < 0 && back.has && -value > back.value)
        out_of_range(m, back.value, a, r);
    else if (value < 0 && !back.has && most.has && -value > most.value)
        out_of_range(m, most.value, a, r);
}

/* ---- one number -------------------------------------------------------------------------- */

static void fixed(struct angle_cell *c, const struct angle_number *n, struct reading_item *item)
{
    if (n->sign != 0 || (angle_is_hinge_extension(c->motion) && n->value != 0)) {
        hold(c, DIAG_CELL_SIGN);
        return;
    }
    c->out->fixed = true;
    item->end = n->value;
    item->start = num_of(n->value);
    reading_note(c->out, DIAG_CELL_FIXED);
}

static void lacking(struct angle_cell *c, const struct angle_number *n, struct reading_item *item)
{
    bool known = reaches_for_zero(c->motion) ||
                 (c->zero_ref && !angle_is_hinge_flexion(c->motion) &&
                  c->relation == RELATION_LACK);
    if (n->sign == '+' || (n->bracket && n->sign == 0)) {
        hold(c, DIAG_CELL_SIGN);
        return;
    }
    if (!known || c->motion->unit != UNIT_DEG) {
        hold(c, DIAG_CELL_LACK);
        return;
    }
    if (c->relation == RELATION_CONTRACTURE && c->test == TEST_AROM) {
        hold(c, DIAG_CELL_CONTRACTURE_ACTIVE);
        return;
    }
    item->end = n->value == 0 ? 0 : -n->value;
}

static void past_zero(struct angle_cell *c, const struct angle_number *n,
                      struct reading_item *item)
{
    bool known = reaches_for_zero(c->motion) ||
                 (c->zero_ref && !angle_is_hinge_flexion(c->motion));
    if (n->sign == '-' || n->bracket)
        hold(c, DIAG_CELL_SIGN);
    else if (!known || c->motion->unit != UNIT_DEG)
        hold(c, DIAG_CELL_LACK);
    item->end = n->value;
}

static void note_past_usual(struct angle_cell *c, double end)
{
    const struct norm *normal = c->motion->normal;
    if (angle_is_hinge_extension(c->motion) && normal->hyper_ok.has &&
        end > normal->hyper_ok.value)
        reading_note(c->out, DIAG_CELL_PAST_USUAL);
}

/* On which side of straight a number lies, by the declared rules: past it counts as plus. */
static double by_sign(struct angle_cell *c, const struct angle_number *n)
{
    enum sign_rule rule = n->sign == 0 ? c->rules->no_sign : c->rules->minus;
    if (rule == SIGN_UNDECLARED) {
        hold(c, n->sign == 0 ? DIAG_CELL_EXTENSION_UNSIGNED : DIAG_CELL_SIGN);
        return n->value;
    }
    bool past = (rule == SIGN_PAST_ZERO) == (n->sign != '+');
    return past ? n->value : -n->value;
}

static void bare(struct angle_cell *c, const struct angle_number *n, struct reading_item *item)
{
    bool hinge = angle_is_hinge_extension(c->motion);
    bool lower = c->motion->normal != NULL && c->motion->normal->lower_is_better;
    if (c->zero_ref) {
        hold(c, DIAG_CELL_LACK);
        return;
    }
    item->end = n->sign == '-' ? -n->value : n->value;
    if (n->value == 0) {
        item->end = 0;
        if (!hinge && !lower)
            reading_note(c->out, DIAG_CELL_ZERO);
        return;
    }
    bool past = c->rules->minus == SIGN_PAST_ZERO && strcmp(c->motion->motion, "extension") == 0;
    if (n->bracket)
        hold(c, DIAG_CELL_SIGN);
    else if (hinge)
        item->end = by_sign(c, n);
    else if (n->sign == '-' && past)
        hold(c, DIAG_CELL_SIGN); /* the map's minus, or short of zero as everywhere else? */
    else if (n->sign == '-' && c->motion->unit == UNIT_DEG)
        reading_note(c->out, DIAG_CELL_SIGN_SHORT);
}

static void single(struct angle_cell *c, const struct angle_number *n, struct reading_item *item)
{
    switch (c->relation) {
    case RELATION_FIXED:
        fixed(c, n, item);
        break;
    case RELATION_LAG:
        hold(c, DIAG_CELL_LAG);
        if (angle_is_hinge_extension(c->motion) && c->test == TEST_AROM && c->n_items == 1 &&
            n->sign == 0 && !n->bracket && c->out->why == DIAG_CELL_LAG)
            c->out->lag = num_of(n->value);
        break;
    case RELATION_LACK:
    case RELATION_CONTRACTURE:
        lacking(c, n, item);
        break;
    case RELATION_HYPER:
        past_zero(c, n, item);
        break;
    default:
        bare(c, n, item);
        break;
    }
}

/* ---- two numbers ------------------------------------------------------------------------- */

static void from_to(struct angle_cell *c, double from, double to, bool slash,
                    struct reading_item *item)
{
    if (angle_is_hinge_extension(c->motion) || c->motion->unit == UNIT_CM) {
        hold(c, DIAG_CELL_PAIR_EXTENSION);
        return;
    }
    double low = from < to ? from : to, high = from < to ? to : from;
    if (low == high && low > 0)
        hold(c, DIAG_CELL_FIXED_OR_TRIES);
    else if (low > 0 && high - low <= MAYBE_TRIES_SPAN)
        hold(c, DIAG_CELL_TWO_TRIES);
    if (slash)
        reading_note(c->out, DIAG_CELL_SLASH_FROM_TO);
    if (from > to)
        reading_note(c->out, DIAG_CELL_END_FIRST);
    if (high == 0)
        reading_note(c->out, DIAG_CELL_ZERO);
    item->start = num_of(low);
    item->end = high;
}

/* n/5 up to 5/5 is a grade, n/4 and below a share of the range. */
static enum diag_code slash_meaning(double a, double b)
{
    if (b == 5 && a <= 5)
        return DIAG_CELL_GRADE_IN_ANGLE;
    if (a > 0 && a < b && b <= 4)
        return DIAG_CELL_SHARE;
    return DIAG_CELL_PAIR_ORDER;
}

/* -10-120 in a flexion, where the map says what the minus of a start means. */
static bool signed_start(struct angle_cell *c, const struct angle_item *in,
                         struct reading_item *item)
{
    const struct angle_number *a = &in->numbers[0], *b = &in->numbers[1];
    bool dash = in->between[0] == GAP_DASH || in->between[0] == GAP_TO;
    if (!dash || a->sign == 0 || b->sign != 0 || a->bracket || b->bracket ||
        c->relation != RELATION_NONE || c->zero_ref || !angle_is_hinge_flexion(c->motion) ||
        c->rules->minus == SIGN_UNDECLARED)
        return false;
    double reach = a->value == 0 ? 0 : by_sign(c, a);
    item->start = num_of(reach == 0 ? 0 : -reach);
    item->end = b->value;
    if (item->start.value > item->end)
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
    return true;
}

/* What to type for a range with a signed start: "lacks" and "hyper" are of the other row. */
static const char *signed_pair(struct angle_cell *c, const struct angle_number *a,
                               const struct angle_number *b)
{
    char from[NUM_TEXT_MAX], to[NUM_TEXT_MAX];
    if (!angle_is_hinge_flexion(c->motion) || b->sign != 0 || b->bracket || a->value == 0)
        return NULL;
    num_format(from, a->value, a->value == floor(a->value) ? 0 : 1);
    num_format(to, b->value, b->value == floor(b->value) ? 0 : 1);
    return arena_printf(c->arena, "short of it is %s-%s, past it %s-0-%s", from, to, from, to);
}

static void pair(struct angle_cell *c, const struct angle_item *in, struct reading_item *item)
{
    const struct angle_number *a = &in->numbers[0], *b = &in->numbers[1];
    bool slash = in->between[0] == GAP_SLASH;
    if (signed_start(c, in, item))
        return;
    bool apart = in->between[0] == GAP_NONE || in->between[0] == GAP_COMMA;
    if (apart && c->positions > 1)
        hold(c, DIAG_CELL_TWO_POSITIONS);
    else if (apart && c->relation != RELATION_NONE && angle_is_hinge_extension(c->motion))
        hold(c, DIAG_CELL_PAIR_EXTENSION);
    else if (in->between[0] == GAP_NONE)
        hold(c, DIAG_CELL_SPACE);
    else if (in->between[0] == GAP_COMMA)
        hold(c, DIAG_CELL_COMMA_PAIR);
    else if (a->sign != 0 || b->sign != 0 || a->bracket || b->bracket)
        reading_hold(c->out, DIAG_CELL_SIGN, signed_pair(c, a, b));
    else if (c->relation != RELATION_NONE || c->zero_ref)
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
    else if (slash && a->value != 0)
        hold(c, slash_meaning(a->value, b->value));
    else if (slash && c->rules->pairs != PAIR_UNDECLARED)
        hold(c, DIAG_CELL_PAIR_ZERO);
    else
        from_to(c, a->value, b->value, slash, item);
}

/* ---- three numbers ----------------------------------------------------------------------- */

/* The most a number can be and still belong to the motion. */
static bool fits(const struct motion *m, double value)
{
    struct num most = m->normal != NULL ? m->normal->hyper_ok : num_none();
    if (!angle_is_hinge_extension(m) || !most.has)
        most = max_of(m);
    return !most.has || value <= most.value;
}

static void note_order(struct angle_cell *c, bool own_first)
{
    const char *first = own_first ? c->motion->motion : c->motion->opposite->motion;
    if (strcmp(first, "extension") == 0)
        reading_note(c->out, DIAG_CELL_TRIPLE_EXTENSION);
    else if (strcmp(first, "flexion") == 0)
        reading_note(c->out, DIAG_CELL_TRIPLE_FLEXION);
    else
        reading_note(c->out, DIAG_CELL_TRIPLE);
}

/* Reach of the first-named and of the last-named motion, each on its own scale. False when the
 * numbers are not a neutral-zero triple. */
static bool reaches(const double v[3], double *first, double *last)
{
    if (v[1] == 0) { /* 5-0-140: zero lies inside */
        *first = v[0];
        *last = v[2];
        return true;
    }
    if (v[0] == 0 && v[2] >= v[1]) { /* 0-10-120: the first motion does not come back to zero */
        *first = -v[1];
        *last = v[2];
        return true;
    }
    if (v[2] == 0 && v[0] >= v[1]) { /* 120-10-0 */
        *first = v[0];
        *last = -v[1];
        return true;
    }
    return false;
}

static void triple(struct angle_cell *c, const struct angle_item *in, struct reading_item *item)
{
    const struct motion *own = c->motion, *opposite = c->motion->opposite;
    double v[3], first, last;
    for (int i = 0; i < 3; i++) {
        v[i] = in->numbers[i].value;
        if (in->numbers[i].sign != 0 || in->numbers[i].bracket)
            hold(c, DIAG_CELL_SIGN);
    }
    if (opposite == own)
        hold(c, DIAG_CELL_TRIPLE_UNCLEAR);
    if (opposite == NULL || opposite == own || c->relation != RELATION_NONE || c->zero_ref) {
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
        return;
    }
    if (v[0] != 0 && v[1] != 0 && v[2] != 0) {
        hold(c, DIAG_CELL_TRIPLE_NO_ZERO);
        return;
    }
    if (!reaches(v, &first, &last)) {
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
        return;
    }
    bool own_first = fits(own, first) && fits(opposite, last);
    bool own_last = fits(own, last) && fits(opposite, first);
    if (own_first == own_last && first != last) {
        if (own_first)
            hold(c, DIAG_CELL_TRIPLE_UNCLEAR);
        else
            out_of_range(own, max_of(own).value, c->arena, c->out);
        return;
    }
    own_first = own_first && !own_last;
    item->end = own_first ? first : last;
    double other = own_first ? last : first;
    item->start = num_of(other == 0 ? 0 : -other);
    if (v[1] != 0 && (v[1] == v[0] || v[1] == v[2])) { /* 0-30-30: it does not move */
        c->out->fixed = true;
        reading_note(c->out, DIAG_CELL_FIXED);
    }
    note_order(c, own_first);
}

/* ---- items to reading -------------------------------------------------------------------- */

static void shape(struct angle_cell *c, const struct angle_item *in, struct reading_item *item)
{
    item->start = num_none();
    item->end = 0;
    bool joined = in->n == 3 && in->between[0] == in->between[1];
    bool dashes = joined && (in->between[0] == GAP_DASH || in->between[0] == GAP_TO);
    if (in->n == 1)
        single(c, &in->numbers[0], item);
    else if (in->n == 2)
        pair(c, in, item);
    else if (dashes)
        triple(c, in, item);
    else if (joined && in->between[0] == GAP_SLASH)
        hold(c, DIAG_CELL_SLASH_TRIPLE);
    else if (joined && in->between[0] == GAP_COMMA)
        hold(c, DIAG_CELL_COMMA_PAIR);
    else if (joined)
        hold(c, DIAG_CELL_SPACE);
    else
        hold(c, DIAG_CELL_NOT_UNDERSTOOD);
    check_reach(c->motion, item->end, c->arena, c->out);
    if (item->start.has && !c->out->fixed)
        check_reach(c->motion, item->start.value, c->arena, c->out);
    note_past_usual(c, item->end);
}

void angle_shape(struct angle_cell *c)
{
    struct value_reading *r = c->out;
    struct reading_item item, first = {num_none(), 0};
    double sum = 0;
    if (c->n_items > 1 && c->items[c->n_items - 1].n == 0)
        c->n_items--; /* words alone after the last semicolon */
    for (int i = 0; i < c->n_items; i++) {
        shape(c, &c->items[i], &item);
        if (i == 0)
            first = item;
        if (item.start.has != first.start.has || item.start.value != first.start.value)
            hold(c, DIAG_CELL_TRIES_MIXED);
        r->tries[i] = item.end;
        sum += item.end;
    }
    if (c->n_items > 1)
        reading_note(r, DIAG_CELL_TRIES);
    r->n_tries = c->n_items;
    r->end = num_of(sum / c->n_items);
    r->start = first.start;
    r->start_is_extension = first.start.has && c->motion->opposite != NULL &&
                            c->motion->opposite != c->motion;
}

/* ---- units ------------------------------------------------------------------------------- */

static void scale_numbers(struct angle_cell *c, double factor)
{
    for (int i = 0; i < c->n_items; i++) {
        for (int k = 0; k < c->items[i].n; k++)
            c->items[i].numbers[k].value *= factor;
    }
    reading_note(c->out, DIAG_CELL_UNIT_CONVERTED);
}

void angle_other_unit(struct angle_cell *c)
{
    bool length = c->distance || c->unit == UNIT_MM || c->unit == UNIT_CM;
    if (c->motion->unit == UNIT_DEG && length) {
        c->out->status = READING_NO_ANGLE;
        reading_note(c->out, DIAG_CELL_DISTANCE);
    } else if (c->motion->unit == UNIT_MM && c->unit == UNIT_CM) {
        scale_numbers(c, MM_PER_CM);
    } else if (c->motion->unit == UNIT_CM && c->unit == UNIT_MM) {
        scale_numbers(c, 1.0 / MM_PER_CM);
    } else {
        hold(c, DIAG_CELL_UNIT);
    }
}

void angle_plain_number(const struct plain *plain, const struct tokens *tokens,
                        const struct motion *motion, const struct cell_rules *rules,
                        struct arena *a, struct value_reading *out)
{
    const struct token *t = tokens->at;
    struct date_shape date;
    bool minus = t->kind == TOKEN_DASH, signed_number = minus || t->kind == TOKEN_PLUS;
    t += signed_number ? 1 : 0;
    bool degree = t->kind == TOKEN_NUMBER && t[1].kind == TOKEN_DEGREE && motion->unit == UNIT_DEG;
    enum diag_code doubt = angle_decimal_doubt(t, rules);
    if (date_shape(plain->text, &date))
        reading_hold(out, DIAG_CELL_DATE, NULL);
    else if (t->kind == TOKEN_LETTER_NUMBER)
        reading_hold(out, DIAG_CELL_LETTER, NULL);
    else if (t->kind != TOKEN_NUMBER || t[degree ? 2 : 1].kind != TOKEN_END)
        reading_hold(out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
    else if (doubt != DIAG_CODE_COUNT)
        reading_hold(out, doubt, NULL);
    if (out->status == READING_HELD_BACK)
        return;
    angle_plain_value(minus && t->value != 0 ? -t->value : t->value, motion, a, out);
}

void angle_plain_value(double value, const struct motion *motion, struct arena *a,
                       struct value_reading *out)
{
    out->end = num_of(value);
    out->tries[0] = value;
    out->n_tries = 1;
    check_reach(motion, value, a, out);
}
