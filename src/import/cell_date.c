/*
 * Dates: read only where day and month cannot be mistaken for each other; and seen where they do
 * not belong, because a spreadsheet turns 10-12 and 5/5 into a date when a file is saved again.
 */
#include "import/cells_int.h"

#include <ctype.h>
#include <string.h>

/* Day 1 of a spreadsheet's calendar is 1900-01-01, and it counts a 29 February 1900 that never
 * was: for every date since then its day 0 falls on 1899-12-30. */
enum { SHEET_EPOCH_YEAR = 1899, SHEET_EPOCH_MONTH = 12, SHEET_EPOCH_DAY = 30 };
/* Day numbers of the years 1954 to 2064: five digits, far beyond any value of a measurement. */
enum { SHEET_FIRST = 20000, SHEET_LAST = 60000 };

struct field {
    bool word;
    int number, digits;
    int month;      /* of a word */
};

static int month_by_name(const char *s, size_t len)
{
    static const char *const names[] = {"january",   "february", "march",    "april",
                                        "may",       "june",     "july",     "august",
                                        "september", "october",  "november", "december"};
    for (int i = 0; i < 12; i++) {
        size_t n = strlen(names[i]);
        bool short_form = len == 3 || (i == 8 && len == 4);
        if ((len == n || short_form) && strncasecmp(s, names[i], len) == 0)
            return i + 1;
    }
    return 0;
}

/* 00:00, 00:00:00, 9:30 AM and the like after a date; not with a zone, which may be another day. */
static bool is_clock(const char *s)
{
    if (*s == 'T' || *s == ' ')
        s++;
    size_t n = strspn(s, "0123456789:.");
    const char *half = s + n + (s[n] == ' ' ? 1 : 0);
    bool known = s[n] == '\0' || str_eq_nocase(half, "am") || str_eq_nocase(half, "pm");
    return known && memchr(s, ':', n) != NULL;
}

static size_t separator(const char *s)
{
    size_t n = strspn(s, " ");
    if (s[n] == '-' || s[n] == '/' || s[n] == '.' || s[n] == ',')
        n++;
    return n + strspn(s + n, " ");
}

/* Cuts into up to three fields; 0 when there is anything else. */
static int fields(const char *s, struct field f[3], char *mark)
{
    int n = 0;
    while (*s != '\0') {
        if (n == 3 || (n > 0 && is_clock(s)))
            return is_clock(s) ? n : 0;
        size_t len = 0;
        struct field *one = &f[n++];
        *one = (struct field){false, 0, 0, 0};
        if (isdigit((unsigned char)*s)) {
            for (; len < 5 && isdigit((unsigned char)s[len]); len++)
                one->number = one->number * 10 + (s[len] - '0');
            one->digits = (int)len;
        } else {
            while (isalpha((unsigned char)s[len]))
                len++;
            one->word = true;
            one->month = month_by_name(s, len);
            if (one->month == 0)
                return 0;
        }
        s += len;
        if (*s == '\0')
            break;
        if (isdigit((unsigned char)*s) && !one->word)
            return 0;
        size_t gap = is_clock(s) ? 0 : separator(s);
        if (gap > 0 && n == 1)
            *mark = s[strspn(s, " ")];
        if (gap == 0 && !is_clock(s) && one->word == (isalpha((unsigned char)*s) != 0))
            return 0;
        s += gap;
    }
    return n;
}

static bool named(const struct field *f, int n, struct date_shape *shape)
{
    int words = 0, at = 0;
    for (int i = 0; i < n; i++) {
        words += f[i].word;
        at = f[i].word ? i : at;
    }
    if (words != 1 || at > 1)
        return false;
    const struct field *day = &f[at == 0 ? 1 : 0];
    shape->month = f[at].month;
    if (n == 3 && at == 1 && f[0].digits == 4) { /* 2025-Apr-03 */
        shape->year = f[0].number;
        shape->year_digits = 4;
        shape->day = f[2].number;
        return f[2].digits <= 2;
    }
    shape->day = day->number;
    if (n == 3) {
        shape->year = f[2].number;
        shape->year_digits = f[2].digits;
    }
    return day->digits <= 2 && (n == 2 || f[2].digits == 2 || f[2].digits == 4);
}

bool date_shape(const char *text, struct date_shape *shape)
{
    struct field f[3];
    char mark = ' ';
    memset(shape, 0, sizeof *shape);
    int n = fields(text, f, &mark);
    if (n < 2)
        return false;
    bool word = f[0].word || f[1].word || (n == 3 && f[2].word);
    if (word)
        return named(f, n, shape);
    if (n != 3 || mark == ' ' || mark == ',' || f[1].digits > 2)
        return false;
    if (f[0].digits == 4 && f[2].digits <= 2) {
        *shape = (struct date_shape){f[2].number, f[1].number, 0, 0, f[0].number, 4};
        return true;
    }
    bool short_year = f[2].digits == 2 && mark != '-' && f[0].number > 0 && f[1].number > 0 &&
                      (f[0].number <= 12 || f[1].number <= 12) && f[0].number <= 31 &&
                      f[1].number <= 31;
    if (f[0].digits > 2 || (f[2].digits != 4 && !short_year))
        return false;
    *shape = (struct date_shape){0, 0, f[0].number, f[1].number, f[2].number, f[2].digits};
    return true;
}

bool date_number(const char *text, struct date *date)
{
    double value;
    if (strlen(text) != 5 || !num_parse(text, 5, &value) || value < SHEET_FIRST ||
        value > SHEET_LAST || value != (double)(long)value)
        return false;
    struct date epoch = {SHEET_EPOCH_YEAR, SHEET_EPOCH_MONTH, SHEET_EPOCH_DAY};
    *date = date_from_days(date_days(epoch) + (long)value);
    return true;
}

void date_was(const struct date_shape *shape, int was[2][2])
{
    int first = shape->first != 0 ? shape->first : shape->month;
    int second = shape->first != 0 ? shape->second : shape->day;
    was[0][0] = was[1][1] = first;
    was[0][1] = was[1][0] = second;
}

static bool settle(int year, int month, int day, struct date *date, enum diag_code *why)
{
    if (!date_is_valid(year, month, day)) {
        *why = DIAG_CELL_DAY_NONE;
        return false;
    }
    *date = (struct date){(short)year, (signed char)month, (signed char)day};
    return true;
}

static bool settle_shape(const struct date_shape *s, struct date *date, enum diag_code *why)
{
    if (s->year_digits != 4) {
        *why = DIAG_CELL_DAY_YEAR;
        return false;
    }
    if (s->first == 0)
        return settle(s->year, s->month, s->day, date, why);
    if (s->first > 12 || s->first == s->second)
        return settle(s->year, s->second, s->first, date, why);
    if (s->second > 12)
        return settle(s->year, s->first, s->second, date, why);
    *why = s->second == 0 ? DIAG_CELL_DAY_NONE : DIAG_CELL_DAY_ORDER;
    return false;
}

/* Day, month and year of three numbers in the declared order. False with *why when they do not
 * stand in it. */
static bool settle_declared(const struct field f[3], const struct cell_rules *rules,
                            struct date *date, enum diag_code *why)
{
    const struct field *year = rules->dates == DATES_YMD ? &f[0] : &f[2];
    const struct field *month = rules->dates == DATES_MDY ? &f[0] : &f[1];
    const struct field *day = rules->dates == DATES_DMY   ? &f[0]
                              : rules->dates == DATES_MDY ? &f[1]
                                                          : &f[2];
    int number = year->number;
    if (month->digits > 2 || day->digits > 2) {
        *why = DIAG_CELL_DAY_DECLARED;
        return false;
    }
    if (year->digits == 2 && rules->short_years_from != 0) {
        int first = rules->short_years_from;
        number = first + (number - first % 100 + 100) % 100;
    } else if (year->digits != 4) {
        *why = DIAG_CELL_DAY_YEAR;
        return false;
    }
    if (!date_is_valid(number, month->number, day->number) &&
        date_is_valid(number, day->number, month->number)) {
        *why = DIAG_CELL_DAY_DECLARED;
        return false;
    }
    return settle(number, month->number, day->number, date, why);
}

/* Whether the text is a date of three numbers that the declared order is about; a year of four
 * digits in front needs none. */
static bool is_declared(const char *text, const struct cell_rules *rules, struct field f[3],
                        bool *separator_known)
{
    char mark = ' ';
    if (rules->dates == DATES_UNDECLARED || fields(text, f, &mark) != 3 || f[0].digits == 4 ||
        f[0].word || f[1].word || f[2].word)
        return false;
    if (isdigit((unsigned char)mark)) /* only blanks stood between */
        mark = ' ';
    *separator_known = strchr(*rules->separators != '\0' ? rules->separators : "/.-", mark) != NULL;
    return true;
}

bool cell_date(const char *text, const struct cell_rules *given, struct date *date,
               enum diag_code *why)
{
    const struct cell_rules *rules = rules_or_none(given);
    if (date_parse_iso(text, date)) /* most cells */
        return true;
    struct arena *a = arena_new();
    struct plain plain;
    struct value_reading empty;
    struct date_shape shape;
    struct field f[3];
    bool ok = false, separator_known;
    *date = (struct date){0, 0, 0};
    memset(&empty, 0, sizeof empty);
    plain_make(text, a, &plain);
    if (plain.text[strspn(plain.text, "-._?' ")] == '\0') {
        ok = true;
    } else if (date_number(plain.text, date)) {
        *date = (struct date){0, 0, 0};
        *why = DIAG_CELL_DAY_NUMBER;
    } else if (reading_without_value(&plain, COLUMN_PAIN, a, &empty)) {
        ok = empty.status == READING_NOT_RECORDED || empty.status == READING_NOT_APPLICABLE;
        *why = empty.status == READING_HELD_BACK ? empty.why : DIAG_CELL_DAY_UNKNOWN;
    } else if (is_declared(plain.text, rules, f, &separator_known)) {
        *why = DIAG_CELL_DAY_SEPARATOR;
        ok = separator_known && settle_declared(f, rules, date, why);
    } else if (date_shape(plain.text, &shape)) {
        ok = settle_shape(&shape, date, why);
    } else {
        *why = DIAG_CELL_DAY_UNKNOWN;
    }
    arena_free(a);
    return ok;
}
