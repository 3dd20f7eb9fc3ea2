/*
 * Free text of a case, sentence by sentence, for whoever asks for it with --with-notes. Words that
 * the file itself gives as names, ids and places are struck out, and so is what looks like a date,
 * a number of somebody or an address. That is a help and no more: a person reads every sentence.
 */
#include "findings/findings_int.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { STATEMENT_MAX = 1 << 20, NAME_LEAST = 3, DIGITS_MANY = 4 };

static const char struck[] = "[…]";

struct teller {
    struct writer *w;
    xmlNode *parent;
    const struct visit_findings *v;
    size_t visit;
    int *number;
};

/* ---- words to strike out -------------------- */

static bool is_word_byte(char c)
{
    return isalnum((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* Whether the word stands in a text of names, in any case; short words are left alone. */
static bool has_word(const char *text, const char *word, size_t len)
{
    if (text == NULL || len < NAME_LEAST)
        return false;
    for (const char *s = text; *s != '\0';) {
        while (*s != '\0' && !is_word_byte(*s))
            s++;
        size_t n = 0;
        while (s[n] != '\0' && is_word_byte(s[n]))
            n++;
        if (n == len && strncasecmp(s, word, len) == 0)
            return true;
        s += n;
    }
    return false;
}

static bool is_name(const struct visit_findings *v, const char *word, size_t len)
{
    const struct patient *p = v->patient;
    const struct clinic *c = v->clinic;
    const char *const names[] = {p->name, p->id, p->referrer, p->referrer_address, c->heading,
                                 c->address, c->phone};
    for (size_t i = 0; i < ARRAY_LEN(names); i++)
        if (has_word(names[i], word, len))
            return true;
    for (size_t i = 0; i < p->n_limits; i++)
        if (has_word(p->limits[i].by, word, len))
            return true;
    for (size_t i = 0; i < p->n_corrections; i++)
        if (has_word(p->corrections[i].by, word, len))
            return true;
    for (size_t i = 0; i < p->n_visits; i++) {
        const struct visit *visit = &p->visits[i];
        if (has_word(visit->measured_by, word, len) || has_word(visit->supervisor, word, len))
            return true;
        for (size_t k = 0; k < visit->n_measurements; k++) {
            const struct measurement *m = &visit->measurements[k];
            if (has_word(m->measured_by, word, len) || has_word(m->supervisor, word, len) ||
                has_word(m->corrected_by, word, len))
                return true;
        }
    }
    return false;
}

static bool is_month(const char *word, size_t len)
{
    static const char *const months[] = {"january", "february", "march",     "april",   "may",
                                         "june",    "july",     "august",    "september",
                                         "october", "november", "december"};
    for (size_t i = 0; i < ARRAY_LEN(months); i++)
        if (len >= NAME_LEAST && len <= strlen(months[i]) &&
            strncasecmp(word, months[i], len) == 0)
            return true;
    return false;
}

/* What stands between two blanks: an address, the name of a file or a machine, a number with many
 * digits, a date in figures. */
static bool is_telling(const char *token, size_t len)
{
    int digits = 0, marks = 0;
    for (size_t i = 0; i < len; i++) {
        digits += isdigit((unsigned char)token[i]) != 0;
        marks += strchr("/.-:", token[i]) != NULL && i > 0 && i + 1 < len &&
                 isdigit((unsigned char)token[i - 1]) && isdigit((unsigned char)token[i + 1]);
        marks += token[i] == '.' && i > 0 && i + 1 < len &&
                 isalnum((unsigned char)token[i - 1]) && isalnum((unsigned char)token[i + 1]);
    }
    return memchr(token, '@', len) != NULL || memmem(token, len, "://", 3) != NULL ||
           (len > 4 && strncasecmp(token, "www.", 4) == 0) || digits >= DIGITS_MANY || marks >= 1;
}

static bool has_named_word(const struct visit_findings *v, const char *token, size_t len)
{
    for (size_t i = 0; i < len;) {
        size_t n = 0;
        while (i + n < len && is_word_byte(token[i + n]))
            n++;
        if (n > 0 && is_name(v, token + i, n))
            return true;
        i += n > 0 ? n : 1;
    }
    return false;
}

struct token {
    const char *text;
    size_t len;
};

/* "3 March", "March 3": the month and the figure beside it. A month alone may be another word. */
static bool is_of_date(const struct token *t, size_t i, size_t n)
{
    size_t len = 0;
    while (len < t[i].len && isalpha((unsigned char)t[i].text[len]))
        len++;
    bool month = is_month(t[i].text, len), figure = isdigit((unsigned char)t[i].text[0]) != 0;
    for (size_t k = i > 0 ? i - 1 : i + 1; k < n && k <= i + 1; k += 2) {
        size_t other = 0;
        while (other < t[k].len && isalpha((unsigned char)t[k].text[other]))
            other++;
        if ((month && isdigit((unsigned char)t[k].text[0])) ||
            (figure && is_month(t[k].text, other)))
            return true;
    }
    return false;
}

static bool is_word_of_age(const char *word, size_t len)
{
    static const char *const starts[] = {"age", "aged", "year", "years", "yr", "yrs", "y/o", "yo",
                                         "old", "year-old"};
    while (len > 0 && !isalnum((unsigned char)word[len - 1]))
        len--;
    for (size_t i = 0; i < ARRAY_LEN(starts); i++)
        if (strlen(starts[i]) == len && strncasecmp(word, starts[i], len) == 0)
            return true;
    return false;
}

/* "aged 93", "91-year-old": an age that few reach. */
static bool is_high_age(const struct visit_findings *v, const struct token *t, size_t i, size_t n)
{
    size_t digits = 0;
    double years;
    while (digits < t[i].len && isdigit((unsigned char)t[i].text[digits]))
        digits++;
    if (digits == 0 || !num_parse(t[i].text, digits, &years) ||
        years < reference_threshold(v->ref, THRESHOLD_AGE_NOT_TOLD))
        return false;
    return (t[i].len > digits + 1 &&
            is_word_of_age(t[i].text + digits + 1, t[i].len - digits - 1)) ||
           (i > 0 && is_word_of_age(t[i - 1].text, t[i - 1].len)) ||
           (i + 1 < n && is_word_of_age(t[i + 1].text, t[i + 1].len));
}

static void add_masked(struct buf *out, const struct visit_findings *v, const char *text,
                       size_t len)
{
    struct token *t = mem_alloc((len + 1) * sizeof *t);
    size_t n = 0;
    for (size_t i = 0; i < len;) {
        size_t to = i;
        while (to < len && strchr(" \t\r\n", text[to]) == NULL)
            to++;
        if (to > i)
            t[n++] = (struct token){text + i, to - i};
        i = to + 1;
    }
    for (size_t i = 0; i < n; i++) {
        if (i > 0)
            buf_addc(out, ' ');
        if (is_telling(t[i].text, t[i].len) || has_named_word(v, t[i].text, t[i].len) ||
            is_of_date(t, i, n) || is_high_age(v, t, i, n))
            buf_adds(out, struck);
        else
            buf_add(out, t[i].text, t[i].len);
    }
    free(t);
}

/* ---- sentences -------------------- */

static void sentence(struct teller *t, const char *about, const char *text, size_t len)
{
    struct buf clean;
    buf_init(&clean, STATEMENT_MAX);
    add_masked(&clean, t->v, text, len);
    if (clean.len > 0) {
        xmlNode *node = findings_child(t->w, t->parent, "statement");
        findings_count(t->w, node, "number", ++*t->number);
        findings_count(t->w, node, "visit", (long)t->visit);
        findings_text(t->w, node, "about", about);
        findings_text(t->w, node, "text", buf_text(&clean));
    }
    buf_release(&clean);
}

static void say(struct teller *t, const char *about, const char *text)
{
    while (!str_is_empty(text)) {
        size_t len = 0;
        while (text[len] != '\0') {
            bool stop = strchr(".!?;", text[len]) != NULL &&
                        (text[len + 1] == ' ' || text[len + 1] == '\0');
            if (text[len++] == '\n' || stop)
                break;
        }
        sentence(t, about, text, len);
        text += len;
    }
}

static bool is_known_compensation(const struct measurement *m, const char *text)
{
    for (size_t i = 0; i < m->motion->n_compensations; i++)
        if (str_eq(m->motion->compensations[i].id, text))
            return true;
    return false;
}

static void say_reading(struct teller *t, const struct measurement *m)
{
    say(t, "note", m->note);
    say(t, "reason", m->reason);
    if (!str_eq(m->reason, m->status_reason))
        say(t, "reason", m->status_reason);
    for (int i = 0; i < m->n_compensations; i++)
        if (!is_known_compensation(m, m->compensations[i]))
            say(t, "compensation", m->compensations[i]);
}

void findings_statements(struct writer *w, xmlNode *parent, const struct visit_findings *v,
                         bool first, size_t visit, int *number)
{
    struct teller t = {w, parent, v, visit, number};
    const struct patient *p = v->patient;
    if (first) {
        say(&t, "diagnosis", p->diagnosis);
        say(&t, "procedure", p->procedure);
        say(&t, "referral-reason", p->referral_reason);
        for (size_t i = 0; i < p->n_goals; i++)
            say(&t, "goal", p->goals[i].activity);
    }
    say(&t, "weight-bearing", model_weight_bearing_on(v->visit));
    say(&t, "plan", v->visit->plan);
    say(&t, "question", v->visit->question_to_referrer);
    say(&t, "outcome", v->visit->outcome_name);
    say(&t, "outcome", v->visit->outcome_score);
    for (size_t i = 0; i < v->visit->n_measurements; i++)
        say_reading(&t, &v->visit->measurements[i]);
}
