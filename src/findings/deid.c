/*
 * What may identify a person, replaced by what does not: the list of 45 CFR 164.514(b)(2). Text
 * that somebody typed is kept only where all of it is made of words that describe a posture, a
 * tool or a muscle; anything else becomes "A", "B" ... of its kind, so that two positions stay
 * two. Dates become weeks since the first visit, people a number, the highest ages one group.
 */
#include "findings/findings_int.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

enum { LETTERS = 26, WORDS_MAX = 10, WORD_MAX = 16, NUMBERS_MAX = 2, DEGREES_MAX = 180 };

struct seen_text {
    const char *text;
    struct seen_text *next;
};
struct seen {
    struct seen_text *first;
};
struct findings_deid {
    struct arena *arena;
    const struct patient *patient;
    struct date first;
    struct seen positions, tools, muscles, raters;
};

/* ---- words that could be anybody's -------------------- */

/* Say a posture alone; a phrase of one word is one of these. */
static const char *const postures[] = {
    "supine", "prone", "sitting", "seated", "standing", "sidelying", "neutral", "antigravity"};
/* Say one together with others. A number counts only beside one of the first group. */
static const char *const bodies[] = {
    "neck", "head", "trunk", "shoulder", "arm", "arms", "elbow", "forearm", "wrist", "hand", "hip",
    "knee", "ankle", "foot", "leg", "flexion", "extension", "abduction", "adduction", "rotation",
    "flexed", "extended", "abducted", "bent", "straight"};
static const char *const others[] = {
    "lying", "side", "hook", "long", "short", "half", "reclined", "upright", "at", "in", "of", "on",
    "off", "over", "with", "and", "the", "by", "to", "edge", "table", "bed", "chair", "body",
    "against", "gravity", "minimised", "minimized", "eliminated", "reduced", "anti", "without",
    "weight", "bearing", "non", "degrees", "deg", "pronated", "supinated", "internal", "external",
    "one", "both"};

static bool is_one_of(const char *word, const char *const *list, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(word, list[i]) == 0)
            return true;
    return false;
}

static bool is_posture(const char *w)
{
    return is_one_of(w, postures, ARRAY_LEN(postures));
}

static bool is_body(const char *w)
{
    return is_one_of(w, bodies, ARRAY_LEN(bodies));
}

static bool is_degrees(const char *w)
{
    double value;
    return isdigit((unsigned char)w[0]) && num_parse(w, strlen(w), &value) &&
           value == floor(value) && value <= DEGREES_MAX && strlen(w) <= 3;
}

/* The words of a phrase, lower-cased, on blanks and hyphens; false when it is none of ours. */
static bool split(const char *phrase, size_t len, char words[WORDS_MAX][WORD_MAX], size_t *n)
{
    size_t at = 0;
    *n = 0;
    for (size_t i = 0; i <= len; i++) {
        bool ends = i == len || phrase[i] == ' ' || phrase[i] == '-';
        if (!ends && at + 1 < WORD_MAX && *n < WORDS_MAX) {
            words[*n][at++] = (char)tolower((unsigned char)phrase[i]);
        } else if (!ends) {
            return false;
        } else if (at > 0) {
            words[(*n)++][at] = '\0';
            at = 0;
        }
    }
    return true;
}

static bool is_phrase(const char *phrase, size_t len)
{
    char words[WORDS_MAX][WORD_MAX];
    size_t n, numbers = 0;
    bool posture = false, body = false;
    if (!split(phrase, len, words, &n) || n == 0)
        return false;
    for (size_t i = 0; i < n; i++) {
        bool known = is_posture(words[i]) || is_body(words[i]) || is_degrees(words[i]) ||
                     is_one_of(words[i], others, ARRAY_LEN(others));
        if (!known)
            return false;
        posture |= is_posture(words[i]);
        body |= is_body(words[i]);
        numbers += is_degrees(words[i]);
    }
    if (n == 1)
        return posture;
    return numbers <= NUMBERS_MAX && (numbers == 0 || body);
}

/* Phrases with a comma, semicolon or slash between; every one must be known. */
static bool is_open_position(const char *text)
{
    while (*text != '\0') {
        size_t len = strcspn(text, ",;/");
        if (!is_phrase(text, len))
            return false;
        text += len;
        text += *text != '\0';
    }
    return true;
}

static bool is_open_tool(const char *text)
{
    for (int i = INSTRUMENT_UNKNOWN + 1; i < INSTRUMENT_COUNT; i++)
        if (str_eq_nocase(text, instrument_name((enum instrument)i)))
            return true;
    return str_eq_nocase(text, "universal goniometer") ||
           str_eq_nocase(text, "digital inclinometer") ||
           str_eq_nocase(text, "tape measure") || str_eq_nocase(text, "hand-held dynamometer");
}

static bool is_open_muscle(const char *text)
{
    static const char *const muscles[] = {
        "quadriceps", "hamstrings", "gluteus maximus", "gluteus medius", "iliopsoas", "deltoid",
        "biceps", "triceps", "brachialis", "brachioradialis", "gastrocnemius", "soleus",
        "tibialis anterior", "tibialis posterior", "rectus femoris", "vastus medialis",
        "vastus lateralis", "serratus anterior", "trapezius", "upper trapezius", "middle trapezius",
        "lower trapezius", "rhomboids", "latissimus dorsi", "infraspinatus", "subscapularis",
        "supraspinatus", "teres minor", "pectoralis major", "peroneals", "sartorius"};
    for (size_t i = 0; i < ARRAY_LEN(muscles); i++)
        if (str_eq_nocase(text, muscles[i]))
            return true;
    return false;
}

/* ---- everything else by its turn -------------------- */

/* The place of a text among those of its kind, from 1; 0 when it is not there. */
static int place_of(const struct seen *seen, const char *text)
{
    int n = 1;
    for (const struct seen_text *s = seen->first; s != NULL; s = s->next, n++)
        if (str_eq_nocase(s->text, text))
            return n;
    return 0;
}

static void meet(struct findings_deid *d, struct seen *seen, const char *text)
{
    if (str_is_empty(text) || place_of(seen, text) > 0)
        return;
    struct seen_text **last = &seen->first;
    while (*last != NULL)
        last = &(*last)->next;
    *last = arena_alloc(d->arena, sizeof **last);
    (*last)->text = text;
}

static void meet_closed(struct findings_deid *d, struct seen *seen, const char *text,
                        bool (*is_open)(const char *))
{
    if (!str_is_empty(text) && !is_open(text))
        meet(d, seen, text);
}

struct findings_deid *findings_deid_new(const struct patient *p, struct arena *a)
{
    struct findings_deid *d = arena_alloc(a, sizeof *d);
    d->arena = a;
    d->patient = p;
    if (p->n_visits > 0)
        d->first = p->visits[0].date;
    for (size_t i = 0; i < p->n_visits; i++) {
        const struct visit *v = &p->visits[i];
        meet(d, &d->raters, v->measured_by);
        for (size_t k = 0; k < v->n_measurements; k++) {
            const struct measurement *m = &v->measurements[k];
            meet(d, &d->raters, m->measured_by);
            meet_closed(d, &d->positions, m->position, is_open_position);
            meet_closed(d, &d->tools, m->tool, is_open_tool);
            meet_closed(d, &d->muscles, m->muscle, is_open_muscle);
        }
    }
    return d;
}

static const char *lower(struct arena *a, const char *text)
{
    char *copy = arena_strdup(a, text);
    for (char *s = copy; *s != '\0'; s++)
        *s = (char)tolower((unsigned char)*s);
    return copy;
}

/* As it stands, in small letters, or "position A"; past the letters the number. */
static const char *told(const struct findings_deid *d, const struct seen *seen, const char *kind,
                        const char *text, bool (*is_open)(const char *))
{
    if (str_is_empty(text))
        return NULL;
    if (is_open(text))
        return lower(d->arena, text);
    int place = place_of(seen, text);
    if (place > 0 && place <= LETTERS)
        return arena_printf(d->arena, "%s %c", kind, 'A' + place - 1);
    return arena_printf(d->arena, "%s %d", kind, place);
}

const char *findings_deid_position(const struct findings_deid *d, const char *text)
{
    return told(d, &d->positions, "position", text, is_open_position);
}

const char *findings_deid_tool(const struct findings_deid *d, const char *text)
{
    return told(d, &d->tools, "tool", text, is_open_tool);
}

const char *findings_deid_muscle(const struct findings_deid *d, const char *text)
{
    return told(d, &d->muscles, "muscle", text, is_open_muscle);
}

int findings_deid_rater(const struct findings_deid *d, const char *name)
{
    return str_is_empty(name) ? 0 : place_of(&d->raters, name);
}

const char *findings_deid_reason(const struct findings_deid *d, const char *text)
{
    /* Beginnings of words that people write where a number is missing. */
    static const struct {
        const char *start, *code;
    } reasons[] = {
        {"pain", "pain"},           {"sore", "pain"},         {"declin", "declined"},
        {"refus", "declined"},      {"unable", "unable"},     {"cannot", "unable"},
        {"fatigue", "unable"},      {"precaution", "precaution"},
        {"protocol", "precaution"}, {"contraindic", "precaution"},
        {"unsafe", "precaution"},   {"cast", "immobilised"},  {"brace", "immobilised"},
        {"splint", "immobilised"},  {"sling", "immobilised"}, {"immobil", "immobilised"},
        {"time", "time"}};
    if (str_is_empty(text))
        return NULL;
    const char *words = lower(d->arena, text);
    for (size_t i = 0; i < ARRAY_LEN(reasons); i++)
        for (const char *s = strstr(words, reasons[i].start); s != NULL;
             s = strstr(s + 1, reasons[i].start))
            if (s == words || !isalnum((unsigned char)s[-1]))
                return reasons[i].code;
    return "other";
}

struct num findings_deid_week(const struct findings_deid *d, struct date date)
{
    enum { WEEK = 7 };
    if (!date_is_set(date) || !date_is_set(d->first))
        return num_none();
    return num_of(floor((double)(date_days(date) - date_days(d->first)) / WEEK));
}

struct date findings_deid_date(const struct findings_deid *d, struct date date)
{
    enum { WEEK = 7 };
    static const struct date start = {2000, 1, 3};
    struct num week = findings_deid_week(d, date);
    if (!week.has)
        return (struct date){0};
    int earlier = 0; /* days with a visit in that week before this one */
    for (size_t i = 0; i < d->patient->n_visits; i++) {
        struct date other = d->patient->visits[i].date;
        bool counts = i == 0 || date_compare(other, d->patient->visits[i - 1].date) != 0;
        earlier += counts && date_compare(other, date) < 0 &&
                   findings_deid_week(d, other).value == week.value;
    }
    return date_from_days(date_days(start) + (long)week.value * WEEK + earlier);
}

/* Tens of years, and smaller groups where children are told apart. */
void findings_deid_age(const struct reference *ref, double age, int *from, struct num *to)
{
    static const int starts[] = {0, 2, 5, 10, 15, 20, 30, 40, 50, 60, 70, 80};
    double last = reference_threshold(ref, THRESHOLD_AGE_NOT_TOLD);
    *to = num_none();
    *from = (int)last;
    if (age >= last)
        return;
    size_t i = ARRAY_LEN(starts) - 1;
    while (i > 0 && age < starts[i])
        i--;
    *from = starts[i];
    *to = num_of((i + 1 < ARRAY_LEN(starts) ? starts[i + 1] : last) - 1);
}
