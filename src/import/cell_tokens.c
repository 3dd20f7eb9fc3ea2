/* Cuts plain text into tokens. Every byte ends up in a token; what fits nowhere is TOKEN_UNKNOWN,
 * which no reader accepts beside a number. */
#include "import/cells_int.h"

#include <ctype.h>
#include <string.h>

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool looks_like_digit(char c)
{
    return c == 'o' || c == 'O' || c == 'l' || c == 'I';
}

/* 12o, l20, 1O5: letters and digits that a hand may have taken for each other. */
static size_t letter_number(const char *s)
{
    size_t n = 0, digits = 0;
    for (; isalnum((unsigned char)s[n]); n++) {
        if (is_digit(s[n]))
            digits++;
        else if (!looks_like_digit(s[n]))
            return 0;
    }
    return digits > 0 && digits < n ? n : 0;
}

static size_t number(const char *s, struct token *t)
{
    char copy[40];
    size_t n = 0;
    while (is_digit(s[n]))
        n++;
    t->whole_digits = (int)n;
    if ((s[n] == '.' || s[n] == ',') && is_digit(s[n + 1])) {
        t->comma = s[n] == ',';
        size_t point = n++;
        while (is_digit(s[n]))
            n++;
        t->decimals = (int)(n - point - 1);
    } else if (s[n] == '.' && (s[n + 1] == '\0' || s[n + 1] == ' ')) {
        n++;
    }
    t->kind = TOKEN_NUMBER;
    if ((s[n] == '.' || s[n] == ',') && is_digit(s[n + 1]))
        t->kind = TOKEN_UNKNOWN;
    if (n >= sizeof copy) {
        t->kind = TOKEN_UNKNOWN;
        return n;
    }
    memcpy(copy, s, n);
    copy[n] = '\0';
    if (t->comma)
        copy[t->whole_digits] = '.';
    if (!num_parse(copy, n, &t->value))
        t->kind = TOKEN_UNKNOWN;
    return n;
}

static enum token_kind sign_kind(char c)
{
    static const struct {
        char c;
        enum token_kind kind;
    } kinds[] = {
        {'-', TOKEN_DASH},       {'+', TOKEN_PLUS},       {'/', TOKEN_SLASH},
        {';', TOKEN_SEMICOLON},  {',', TOKEN_COMMA},      {'(', TOKEN_OPEN},
        {'[', TOKEN_OPEN},       {')', TOKEN_CLOSE},      {']', TOKEN_CLOSE},
        {'*', TOKEN_STAR},       {PLAIN_DEGREE, TOKEN_DEGREE},
        {'%', TOKEN_SHARE},      {PLAIN_FRACTION, TOKEN_SHARE},
        {'~', TOKEN_ABOUT},      {'<', TOKEN_LIMIT},      {'>', TOKEN_LIMIT},
        {'@', TOKEN_AT},         {'?', TOKEN_QUESTION},   {':', TOKEN_FILLER},
        {'=', TOKEN_FILLER},
    };
    for (size_t i = 0; i < ARRAY_LEN(kinds); i++) {
        if (kinds[i].c == c)
            return kinds[i].kind;
    }
    return TOKEN_UNKNOWN;
}

static size_t word(const char *s, enum column column, struct token *t)
{
    size_t n;
    t->word = words_at(s, column, &n);
    t->kind = t->word != NULL ? TOKEN_WORD : TOKEN_UNKNOWN;
    if (t->word == NULL) {
        while (isalpha((unsigned char)s[n]) || s[n] == '\'')
            n++;
        return n;
    }
    if (s[n] == '.' && isalpha((unsigned char)s[n - 1]) && !is_digit(s[n + 1]))
        n++; /* the point of an abbreviation */
    return n;
}

static size_t one(const char *s, enum column column, struct token *t)
{
    size_t n;
    if (is_digit(*s) || looks_like_digit(*s)) {
        n = letter_number(s);
        if (n > 0) {
            t->kind = TOKEN_LETTER_NUMBER;
            return n;
        }
    }
    if (is_digit(*s))
        return number(s, t);
    if ((s[0] == '-' || s[0] == '=') && s[1] == '>') {
        t->kind = TOKEN_ARROW;
        return 2;
    }
    n = isalpha((unsigned char)*s) || *s == '(' || *s == '"' ? word(s, column, t) : 0;
    if (n > 0)
        return n;
    t->word = NULL;
    t->kind = sign_kind(*s);
    return 1;
}

void tokens_make(const struct plain *plain, enum column column, struct tokens *out)
{
    bool space = false;
    out->n = 0;
    out->too_many = false;
    for (size_t i = 0; i < plain->len;) {
        if (plain->text[i] == ' ') {
            space = true;
            i++;
            continue;
        }
        if (out->n == TOKENS_MAX) {
            out->too_many = true;
            break;
        }
        struct token *t = &out->at[out->n++];
        *t = (struct token){.space_before = space, .start = i};
        t->len = one(plain->text + i, column, t);
        i += t->len;
        space = false;
    }
    memset(&out->at[out->n], 0, TOKENS_AHEAD * sizeof out->at[0]);
}
