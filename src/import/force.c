/* A dynamometer cell: a number and its unit, or several tries parted by semicolons, in newton. */
#include "import/meaning_int.h"

#include <string.h>

/* Exact by definition: 1 kgf = 9.80665 N, 1 lbf = 0.45359237 kgf. */
static const double newton_per_kgf = 9.80665;
static const double newton_per_lbf = 4.4482216152605;

/* Sanity of a typed force: several times what a limb can do, not a figure of a table. */
enum { FORCE_MOST_N = 5000 };

static const struct {
    const char *name;
    int unit; /* 0 newton, 1 kilogram-force, 2 pound-force */
} units[] = {{"newtons", 0}, {"newton", 0}, {"kgf", 1},    {"kg", 1},  {"lbf", 2},
             {"lbs", 2},     {"lb", 2},     {"pounds", 2}, {"N", 0},
             {"kilograms", 1}, {"kilogram", 1}, {"pound", 2}};

static int find_unit(const char *text)
{
    for (size_t i = 0; i < ARRAY_LEN(units); i++)
        if (str_eq_nocase(text, units[i].name))
            return units[i].unit;
    return -1;
}

bool force_unit_known(const char *text)
{
    return find_unit(text) >= 0;
}

static void hold(struct value_reading *r, enum diag_code why)
{
    *r = (struct value_reading){.status = READING_HELD_BACK, .why = why};
}

/* One try, as typed; its own unit goes into *unit, which is -1 where none is known so far. */
static enum diag_code read_try(char *text, const struct cell_rules *rules, int *unit,
                               double *newton)
{
    static const double factor[] = {1, newton_per_kgf, newton_per_lbf};
    size_t len = strcspn(text, "nNkKlLpP");
    int own = text[len] != '\0' ? find_unit(text + len) : *unit;
    if (text[len] != '\0' && own < 0)
        return DIAG_FORCE_UNKNOWN;
    if (own < 0)
        return DIAG_FORCE_UNIT_MISSING;
    if (*unit >= 0 && own != *unit)
        return DIAG_FORCE_UNITS_DIFFER;
    text[len] = '\0';
    double value;
    if (!field_parse(str_trim(text), NULL, rules, &value))
        return DIAG_FORCE_UNKNOWN;
    if (value < 0)
        return DIAG_FORCE_NEGATIVE;
    *unit = own;
    *newton = value * factor[own];
    if (*newton > FORCE_MOST_N)
        return DIAG_FORCE_TOO_LARGE;
    return DIAG_CODE_COUNT;
}

static void read_tries(char *text, int unit, const struct cell_rules *rules,
                       struct value_reading *r)
{
    double sum = 0;
    for (char *next; text != NULL; text = next) {
        next = strchr(text, ';');
        if (next != NULL)
            *next++ = '\0';
        if (r->n_tries == TRIES_MAX) {
            hold(r, DIAG_CELL_TRIES_MANY);
            return;
        }
        enum diag_code why = read_try(str_trim(text), rules, &unit, &r->tries[r->n_tries]);
        if (why != DIAG_CODE_COUNT) {
            hold(r, why);
            return;
        }
        sum += r->tries[r->n_tries++];
    }
    r->end = num_of(sum / r->n_tries);
    if (r->n_tries > 1)
        r->notes[r->n_notes++] = DIAG_CELL_TRIES;
}

void force_read(const char *value, const char *unit, const struct motion *motion,
                const struct cell_rules *rules, struct arena *a, struct value_reading *r)
{
    *r = (struct value_reading){.status = READING_MEASURED};
    bool number = strspn(value, "0123456789+-.,") > 0 && strpbrk(value, "0123456789") != NULL;
    if (!number) {
        /* NT, n/a, a blank and the like mean here what they mean in an angle cell. */
        cell_angle(value, motion, TEST_PROM, rules, a, r);
        bool without = r->status == READING_NOT_TESTED || r->status == READING_NOT_APPLICABLE ||
                       r->status == READING_NOT_RECORDED || r->status == READING_HELD_BACK;
        if (!without || (r->status == READING_HELD_BACK && r->why == DIAG_CELL_NOT_UNDERSTOOD))
            hold(r, DIAG_FORCE_UNKNOWN);
        return;
    }
    int declared = *unit != '\0' ? find_unit(unit) : -1;
    if (*unit != '\0' && declared < 0)
        hold(r, DIAG_FORCE_UNIT_UNKNOWN);
    else
        read_tries(arena_strdup(a, value), declared, rules, r);
}
