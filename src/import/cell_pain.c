/* Pain scores of the 0-10 scale, and yes/no cells. */
#include "import/cells_int.h"

#include <string.h>

enum { PAIN_TOP = 10 };

struct pain_cell {
    double numbers[3];
    int n;
    bool slash, dash, minus, words, two_words, unknown;
};

static bool whole(double v)
{
    return v == (double)(long)v;
}

static void take(struct pain_cell *c, const struct token *t)
{
    switch (t->kind) {
    case TOKEN_NUMBER:
        if (c->n == 3 || !whole(t->value))
            c->unknown = true;
        else
            c->numbers[c->n++] = t->value;
        break;
    case TOKEN_DASH:
        if (c->n == 0)
            c->minus = true;
        else
            c->dash = true;
        break;
    case TOKEN_SLASH:
        c->slash = true;
        break;
    case TOKEN_WORD:
        if (t->word->cls == WORD_TO && c->n == 1)
            c->dash = true;
        else if (t->word->cls == WORD_REST || t->word->cls == WORD_MOVE)
            c->two_words = true;
        else if (t->word->cls == WORD_OUT_OF)
            c->slash = true;
        else if (t->word->cls != WORD_FILLER)
            c->words = true;
        break;
    default:
        c->unknown = true;
        break;
    }
}

/* Which of the shapes n, n/10, n-m, n-m/10; or why not. */
static bool scores(const struct pain_cell *c, double *low, double *high, enum diag_code *why)
{
    bool of_ten = c->slash && c->n > 1 && c->numbers[c->n - 1] == PAIN_TOP;
    int n = of_ten ? c->n - 1 : c->n;
    *low = c->numbers[0];
    *high = n > 1 ? c->numbers[1] : c->numbers[0];
    if (c->two_words)
        *why = DIAG_CELL_PAIN_PAIR;
    else if (c->n == 0)
        *why = c->unknown ? DIAG_CELL_PAIN_UNKNOWN : DIAG_CELL_PAIN_WORD;
    else if (c->unknown || c->words)
        *why = DIAG_CELL_PAIN_UNKNOWN;
    else if (c->minus || *low > PAIN_TOP || *high > PAIN_TOP)
        *why = DIAG_CELL_PAIN_OUTSIDE;
    else if (c->slash && !of_ten)
        *why = *low > *high ? DIAG_CELL_PAIN_OUTSIDE : DIAG_CELL_PAIN_PAIR;
    else if (n > 2 || (n == 2) != c->dash || *low > *high)
        *why = DIAG_CELL_PAIN_UNKNOWN;
    else
        return true;
    return false;
}

static const enum diag_code *date_code(const char *text)
{
    static const enum diag_code date = DIAG_CELL_PAIN_DATE, number = DIAG_CELL_DATE_NUMBER;
    struct date_shape shape;
    struct date day;
    if (date_shape(text, &shape))
        return &date;
    return date_number(text, &day) ? &number : NULL;
}

bool cell_pain(const char *text, struct num *low, struct num *high, enum diag_code *why)
{
    *low = *high = num_none();
    if (*text == '\0') /* most cells */
        return true;
    if (*text >= '0' && *text <= '9' && text[1] == '\0') {
        *low = *high = num_of(*text - '0');
        return true;
    }
    struct arena *a = arena_new();
    struct plain plain;
    struct value_reading r;
    struct tokens tokens;
    struct pain_cell c;
    bool ok = false;
    memset(&r, 0, sizeof r);
    memset(&c, 0, sizeof c);
    plain_make(text, a, &plain);
    const enum diag_code *date = date_code(plain.text);
    const struct word *all = words_whole(plain.text, COLUMN_PAIN);
    if (reading_without_value(&plain, COLUMN_PAIN, a, &r)) {
        ok = r.status != READING_HELD_BACK;
        *why = r.why;
    } else if (date != NULL) {
        *why = *date;
    } else if (all != NULL && all->cls == WORD_NO_PAIN) {
        *low = *high = num_of(0);
        ok = true;
    } else {
        double from, to;
        tokens_make(&plain, COLUMN_PAIN, &tokens);
        c.unknown = tokens.too_many;
        for (size_t i = 0; i < tokens.n; i++)
            take(&c, &tokens.at[i]);
        ok = scores(&c, &from, &to, why);
        if (ok) {
            *low = num_of(from);
            *high = num_of(to);
        }
    }
    arena_free(a);
    return ok;
}

/* ---- rest and movement in one cell --------------------------------------------------------- */

/* "2" or "2/10"; the tokens it takes, 0 for anything else. */
static size_t one_score(const struct token *t, double *score)
{
    if (t->kind != TOKEN_NUMBER || !whole(t->value) || t->value > PAIN_TOP)
        return 0;
    *score = t->value;
    bool of_ten = t[1].kind == TOKEN_SLASH && t[2].kind == TOKEN_NUMBER && t[2].value == PAIN_TOP;
    return of_ten ? 3 : 1;
}

static bool is_when(const struct token *t, enum word_class *when)
{
    if (t->kind != TOKEN_WORD || (t->word->cls != WORD_REST && t->word->cls != WORD_MOVE))
        return false;
    *when = t->word->cls;
    return true;
}

/* Each score with its word, all words behind their scores or all before them. */
static bool named_pair(const struct token *t, double *rest, double *move)
{
    double scores[2];
    enum word_class when[2];
    int n_scores = 0, n_when = 0;
    enum word_class first;
    bool before = is_when(t, &first);
    while (t->kind != TOKEN_END) {
        enum word_class w;
        double score;
        size_t n = one_score(t, &score);
        bool gap = t->kind == TOKEN_COMMA || t->kind == TOKEN_SEMICOLON ||
                   t->kind == TOKEN_FILLER || t->kind == TOKEN_SLASH;
        if (n > 0 && n_scores < 2 && n_scores == n_when - (before ? 1 : 0)) {
            scores[n_scores++] = score;
        } else if (n == 0 && n_when < 2 && n_when == n_scores - (before ? 0 : 1) &&
                   is_when(t, &w)) {
            when[n_when++] = w;
            n = 1;
        } else if (n == 0 && gap) {
            n = 1;
        } else {
            return false;
        }
        t += n;
    }
    if (n_scores != 2 || n_when != 2 || when[0] == when[1])
        return false;
    *rest = scores[when[0] == WORD_REST ? 0 : 1];
    *move = scores[when[0] == WORD_REST ? 1 : 0];
    return true;
}

/* 3/10 stays a score of ten, whatever is declared. */
static bool ordered_pair(const struct token *t, enum pain_order order, double *rest, double *move)
{
    bool shape = t[0].kind == TOKEN_NUMBER && t[1].kind == TOKEN_SLASH &&
                 t[2].kind == TOKEN_NUMBER && t[3].kind == TOKEN_END;
    if (order == PAIN_UNDECLARED || !shape || !whole(t[0].value) || !whole(t[2].value) ||
        t[0].value > PAIN_TOP || t[2].value >= PAIN_TOP)
        return false;
    *rest = order == PAIN_REST_MOVEMENT ? t[0].value : t[2].value;
    *move = order == PAIN_REST_MOVEMENT ? t[2].value : t[0].value;
    return true;
}

bool cell_pain_pair(const char *text, const struct cell_rules *rules, double *rest, double *move)
{
    bool bare = text[strspn(text, "0123456789/. ")] == '\0'; /* names neither rest nor movement */
    bool ascii = true; /* other scripts have digits of their own, made plain below */
    for (const char *s = text; *s != '\0'; s++)
        ascii = ascii && (unsigned char)*s < 0x80;
    if ((ascii && text[strcspn(text, "0123456789")] == '\0') ||
        (bare && rules_or_none(rules)->pain == PAIN_UNDECLARED))
        return false;
    struct arena *a = arena_new();
    struct plain plain;
    struct tokens tokens;
    plain_make(text, a, &plain);
    tokens_make(&plain, COLUMN_PAIN, &tokens);
    bool ok = !tokens.too_many && date_code(plain.text) == NULL &&
              (named_pair(tokens.at, rest, move) ||
               ordered_pair(tokens.at, rules_or_none(rules)->pain, rest, move));
    arena_free(a);
    return ok;
}

/* ---- yes and no ---------------------------------------------------------------------------- */

bool cell_yes_no(const char *text, const struct cell_rules *rules, bool *yes, enum diag_code *why)
{
    *yes = false;
    enum language language = rules_or_none(rules)->language;
    if (*text == '\0' || language_yes_no(text, language, yes))
        return true;
    struct arena *a = arena_new();
    struct plain plain;
    struct value_reading r;
    bool ok = true;
    memset(&r, 0, sizeof r);
    plain_make(text, a, &plain);
    const struct word *all = words_whole(plain.text, COLUMN_PAIN);
    if (all != NULL && all->cls == WORD_YES) {
        *yes = true;
    } else if (all == NULL || (all->cls != WORD_NO && all->cls != WORD_NO_PAIN)) {
        ok = reading_without_value(&plain, COLUMN_PAIN, a, &r) && r.status != READING_HELD_BACK;
        *why = DIAG_CELL_YES_NO;
    }
    arena_free(a);
    return ok;
}
