/* Calendar dates of the Gregorian calendar; no clock is ever read. */
#include "base/base.h"

#include <ctype.h>
#include <string.h>

enum { YEAR_FIRST = 1800, YEAR_LAST = 2200 };

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

bool date_is_valid(int year, int month, int day)
{
    static const signed char days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (year < YEAR_FIRST || year > YEAR_LAST || month < 1 || month > 12 || day < 1)
        return false;
    return day <= days[month - 1] + (month == 2 && is_leap(year));
}

static int two_digits(const char *s)
{
    return (s[0] - '0') * 10 + (s[1] - '0');
}

bool date_parse_iso(const char *s, struct date *d)
{
    if (s == NULL || strlen(s) != 10 || s[4] != '-' || s[7] != '-')
        return false;
    for (int i = 0; i < 10; i++)
        if (i != 4 && i != 7 && !isdigit((unsigned char)s[i]))
            return false;
    int year = two_digits(s) * 100 + two_digits(s + 2);
    int month = two_digits(s + 5), day = two_digits(s + 8);
    if (!date_is_valid(year, month, day))
        return false;
    *d = (struct date){(short)year, (signed char)month, (signed char)day};
    return true;
}

char *date_format(char out[DATE_TEXT_MAX], struct date d)
{
    out[0] = '\0';
    if (date_is_set(d))
        snprintf(out, DATE_TEXT_MAX, "%04d-%02d-%02d", d.year, d.month, d.day);
    return out;
}

/* Days from 1970-01-01, counting years from March so that the leap day comes last. */
long date_days(struct date d)
{
    long y = d.year - (d.month <= 2);
    long era = (y >= 0 ? y : y - 399) / 400;
    long year_of_era = y - era * 400;
    long day_of_year = (153 * (d.month + (d.month > 2 ? -3 : 9)) + 2) / 5 + d.day - 1;
    long day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

struct date date_from_days(long days)
{
    long z = days + 719468;
    long era = (z >= 0 ? z : z - 146096) / 146097;
    long day_of_era = z - era * 146097;
    long year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    long day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    long shifted = (5 * day_of_year + 2) / 153;
    long month = shifted < 10 ? shifted + 3 : shifted - 9;
    long year = year_of_era + era * 400 + (month <= 2);
    return (struct date){(short)year, (signed char)month,
                         (signed char)(day_of_year - (153 * shifted + 2) / 5 + 1)};
}

double date_age_years(struct date birth, struct date on)
{
    int years = on.year - birth.year;
    if (on.month < birth.month || (on.month == birth.month && on.day < birth.day))
        years--;
    if (years >= 2)
        return years;
    /* Infants' tables are in fractions of a year. */
    return (double)(date_days(on) - date_days(birth)) / 365.25;
}
