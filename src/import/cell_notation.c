/*
 * Neutral-zero notation with the letter of its plane: "S 0-10-120", "R(F90) 60-0-80", "S 0-30".
 * The letter settles which number belongs to which motion, as the reference has it; without a
 * letter the angle cell asks for more.
 *
 * An R may also be a side. It is one unless the motion is written under R, the cell holds the three
 * numbers, and the row is not of the left; a map may declare that letters are planes.
 */
#include "import/cells_int.h"

#include <ctype.h>
#include <string.h>

struct triple {
    char plane;
    char bent;          /* plane of the angle in the bracket; 0: no bracket */
    double bent_deg;
    double v[3];
    int n;              /* two numbers are a joint that does not move */
};

static const char *past_spaces(const char *s)
{
    while (*s == ' ')
        s++;
    return s;
}

/* A number without a sign; NULL when there is none. */
static const char *number(const char *s, double *value)
{
    size_t n = strspn(s, "0123456789.");
    if (n == 0 || !num_parse(s, n, value))
        return NULL;
    s = past_spaces(s + n);
    return past_spaces(*s == PLAIN_DEGREE ? s + 1 : s);
}

static const char *bracket(const char *s, struct triple *t)
{
    s = past_spaces(s + 1);
    t->bent = (char)toupper((unsigned char)*s);
    if (*s == '\0' || (s = number(past_spaces(s + 1), &t->bent_deg)) == NULL || *s != ')')
        return NULL;
    return past_spaces(s + 1);
}

static bool is_plane(char c)
{
    return c != '\0' && strchr("SFTR", c) != NULL;
}

/* Whether all of the text is a letter and two or three numbers. */
static bool parse(const char *s, struct triple *t)
{
    *t = (struct triple){.plane = (char)toupper((unsigned char)*s)};
    if (!is_plane(t->plane))
        return false;
    s = past_spaces(s + 1);
    if (*s == '(' && (s = bracket(s, t)) == NULL)
        return false;
    s = past_spaces(*s == ':' ? s + 1 : s);
    for (;;) {
        s = number(s, &t->v[t->n]);
        if (s == NULL)
            return false;
        t->n++;
        if (*s == '\0')
            return t->n >= 2;
        if (*s != '-' || t->n == 3)
            return false;
        s = past_spaces(s + 1);
    }
}

static bool is_of_side(const struct triple *t, const struct motion *m, enum side side,
                       const struct cell_rules *rules)
{
    if (t->plane != 'R' || rules->plane_letters)
        return false;
    return m->notation == NULL || *m->notation->plane != 'R' || side == SIDE_LEFT || t->n < 3;
}

/* Reach of the first and of the last motion; false where the numbers contradict the method. */
static bool reach(const struct triple *t, double *first, double *last, bool *fixed)
{
    double a = t->v[0], b = t->v[1], c = t->v[2];
    if (t->n == 2) { /* 0-30 for 0-30-30 */
        c = a > 0 ? 0 : b;
        b = a > 0 ? a : b;
    }
    *fixed = b > 0 && (b == c || b == a);
    *first = b > 0 && a == 0 ? -b : a;
    *last = b > 0 && a > 0 ? -b : c;
    if (t->n == 2)
        return (a == 0) != (t->v[1] == 0);
    return b == 0 || (a == 0 && c >= b) || (c == 0 && a >= b);
}

static void set_numbers(const struct motion *m, enum side side, const struct triple *t,
                        struct value_reading *out)
{
    double first, last;
    if (!reach(t, &first, &last, &out->fixed)) {
        bool no_zero = t->n == 3 && t->v[0] != 0 && t->v[1] != 0 && t->v[2] != 0;
        reading_hold(out, no_zero ? DIAG_CELL_TRIPLE_NO_ZERO : DIAG_CELL_NOT_UNDERSTOOD, NULL);
        return;
    }
    bool spine = m->notation->place == NOTATION_LEFT_FIRST;
    bool own_first = spine ? side == SIDE_LEFT : m->notation->place == NOTATION_FIRST;
    double own = own_first ? first : last, other = own_first ? last : first;
    out->end = num_of(own);
    out->start = num_of(other == 0 ? 0 : -other);
    out->tries[0] = own;
    out->n_tries = 1;
    out->start_is_extension = !spine;
    out->start_is_other_side = spine;
    reading_note(out, DIAG_CELL_TRIPLE);
    if (out->fixed)
        reading_note(out, DIAG_CELL_FIXED);
}

static void set_position(const struct triple *t, struct arena *a, struct value_reading *out)
{
    char text[NUM_TEXT_MAX];
    if (t->bent == 0)
        return;
    if (t->bent != 'F' && t->bent != 'S') {
        reading_hold(out, DIAG_CELL_NOT_UNDERSTOOD, NULL);
        return;
    }
    num_format(text, t->bent_deg, t->bent_deg == (double)(long)t->bent_deg ? 0 : 1);
    out->position = arena_printf(a, "%s %s", text, t->bent == 'F' ? "abduction" : "flexion");
}

bool cell_notation(const char *text, const struct motion *motion, enum side side,
                   const struct cell_rules *rules, struct arena *a, struct value_reading *out)
{
    struct plain plain;
    struct triple t;
    if (*text >= '0' && *text <= '9') /* most cells; a plane comes first */
        return false;
    plain_make(text, a, &plain);
    if (!parse(plain.text, &t) || is_of_side(&t, motion, side, rules_or_none(rules)))
        return false;
    memset(out, 0, sizeof *out);
    if (motion->notation == NULL || motion->unit != UNIT_DEG) {
        reading_hold(out, DIAG_CELL_TRIPLE_UNCLEAR, NULL);
    } else if (*motion->notation->plane != t.plane) {
        reading_hold(out, DIAG_CELL_TRIPLE_PLANE, arena_printf(a, "%s here",
                                                               motion->notation->plane));
    } else {
        set_numbers(motion, side, &t, out);
        set_position(&t, a, out);
    }
    reading_finish(out);
    return true;
}
