/* Values that hold two readings, each named: "R 118 L 130", "A118 P126", "5/5 R, 4/5 L", or a grade
 * that stands for both sides. Split
 * only where every part is named by the same kind of name in the same place and none is named
 * twice; everything else stays whole and is held back by the reader of its column. */
#include "import/cells_int.h"

#include <string.h>

struct marker {
    size_t start, end; /* in the plain text */
    enum side side;
    enum test test;
};

static bool is_marker(const struct token *t, struct marker *m)
{
    if (t->kind != TOKEN_WORD)
        return false;
    *m = (struct marker){t->start, t->start + t->len, SIDE_NONE, TEST_NONE};
    if (t->word->cls == WORD_SIDE)
        m->side = (enum side)t->word->value;
    else if (t->word->cls == WORD_TEST)
        m->test = (enum test)t->word->value;
    else if (t->word->cls == WORD_P && t[t[1].kind == TOKEN_FILLER ? 2 : 1].kind == TOKEN_NUMBER)
        m->test = TEST_PROM;
    return m->side != SIDE_NONE || m->test != TEST_NONE;
}

/* What is left of a part without the marks that set it off. */
static const char *between(const struct plain *plain, size_t from, size_t to, struct arena *a)
{
    while (from < to && strchr(" :,;/=)", plain->text[from]) != NULL)
        from++;
    while (to > from && strchr(" :,;/(", plain->text[to - 1]) != NULL)
        to--;
    return arena_strndup(a, plain->cell + plain->raw[from], plain->raw[to] - plain->raw[from]);
}

static bool has_digit(const char *s)
{
    return s[strcspn(s, "0123456789")] != '\0';
}

static bool consistent(const struct marker *m, int n)
{
    for (int i = 1; i < n; i++) {
        for (int k = 0; k < i; k++) {
            bool same = m[i].side == m[k].side && m[i].test == m[k].test;
            bool other_kind = (m[i].side == SIDE_NONE) != (m[k].side == SIDE_NONE);
            if (same || other_kind)
                return false;
        }
    }
    return n >= 1;
}

static bool is_both(const struct token *t)
{
    return t->kind == TOKEN_WORD && t->word->cls == WORD_SIDE &&
           (enum side)t->word->value == SIDE_NONE;
}

/* "5/5 B", "B 5/5": one grade for both sides. An angle for both is held back by its reader. */
static int both_sides(const struct plain *plain, const struct tokens *tokens, struct arena *a,
                      struct cell_part parts[PARTS_MAX])
{
    const struct token *first = tokens->at, *last = first + (tokens->n > 1 ? tokens->n - 1 : 0);
    if (is_both(first) == is_both(last)) /* one token is its own first and last */
        return 0;
    const char *grade = is_both(last) ? between(plain, 0, last->start, a)
                                      : between(plain, first->start + first->len, plain->len, a);
    parts[0] = (struct cell_part){SIDE_RIGHT, TEST_NONE, grade};
    parts[1] = (struct cell_part){SIDE_LEFT, TEST_NONE, grade};
    return has_digit(grade) ? 2 : 0;
}

/* One number with a sign before and a degree sign behind, as it may; the tokens it takes. */
static size_t one_number(const struct token *t, double *value)
{
    size_t n = t->kind == TOKEN_DASH || t->kind == TOKEN_PLUS ? 1 : 0;
    if (t[n].kind != TOKEN_NUMBER)
        return 0;
    *value = t[n++].value;
    return n + (t[n].kind == TOKEN_DEGREE ? 1 : 0);
}

/* "118/126" by the declared order. What looks like a grade, a share or a range from 0 is left to
 * the reader of the column, which asks. */
static int declared_pair(const struct plain *plain, const struct tokens *tokens,
                         enum pair_order order, struct arena *a,
                         struct cell_part parts[PARTS_MAX])
{
    static const struct cell_part orders[][2] = {
        [PAIR_ACTIVE_PASSIVE] = {{SIDE_NONE, TEST_AROM, NULL}, {SIDE_NONE, TEST_PROM, NULL}},
        [PAIR_PASSIVE_ACTIVE] = {{SIDE_NONE, TEST_PROM, NULL}, {SIDE_NONE, TEST_AROM, NULL}},
        [PAIR_RIGHT_LEFT] = {{SIDE_RIGHT, TEST_NONE, NULL}, {SIDE_LEFT, TEST_NONE, NULL}},
        [PAIR_LEFT_RIGHT] = {{SIDE_LEFT, TEST_NONE, NULL}, {SIDE_RIGHT, TEST_NONE, NULL}},
    };
    enum { GRADE_TOP = 5 };
    double first = 0, second = 0;
    size_t n = one_number(tokens->at, &first);
    if (order == PAIR_UNDECLARED || n == 0 || tokens->at[n].kind != TOKEN_SLASH)
        return 0;
    const struct token *after = &tokens->at[n + 1];
    size_t m = one_number(after, &second);
    bool other_meaning = (second == GRADE_TOP && first <= GRADE_TOP) ||
                         (first < second && second < GRADE_TOP) || (first == 0 && second > 0);
    if (m == 0 || after[m].kind != TOKEN_END || other_meaning)
        return 0;
    parts[0] = orders[order][0];
    parts[1] = orders[order][1];
    parts[0].text = between(plain, 0, tokens->at[n].start, a);
    parts[1].text = between(plain, after->start, plain->len, a);
    return 2;
}

/* Numbers and signs alone name no side and no test. */
static bool names_nothing(const char *text)
{
    while (*text >= '0' && *text <= '9')
        text++;
    return *text == '\0' || text[strspn(text, "0123456789.+- /;~")] == '\0';
}

int cell_split(const char *text, bool is_grade, const struct cell_rules *rules, struct arena *a,
               struct cell_part parts[PARTS_MAX])
{
    struct plain plain;
    struct tokens tokens;
    struct marker m[PARTS_MAX + 1];
    int n = 0;
    if (names_nothing(text) && rules_or_none(rules)->pairs == PAIR_UNDECLARED)
        return 0;
    plain_make(text, a, &plain);
    tokens_make(&plain, is_grade ? COLUMN_GRADE : COLUMN_ANGLE, &tokens);
    bool bad = tokens.too_many;
    for (size_t i = 0; i < tokens.n && n <= PARTS_MAX; i++)
        n += is_marker(&tokens.at[i], &m[n]) ? 1 : 0;
    if (n == 0 && !bad && is_grade)
        return both_sides(&plain, &tokens, a, parts);
    if (n == 0 && !bad)
        return declared_pair(&plain, &tokens, rules_or_none(rules)->pairs, a, parts);
    if (bad || n > PARTS_MAX || !consistent(m, n))
        return 0;
    bool leading = m[0].start == tokens.at[0].start;
    bool trailing = m[n - 1].end == plain.len;
    if (leading == trailing)
        return 0;
    for (int i = 0; i < n; i++) {
        size_t from = leading ? m[i].end : i == 0 ? 0 : m[i - 1].end;
        size_t to = trailing ? m[i].start : i + 1 < n ? m[i + 1].start : plain.len;
        parts[i] = (struct cell_part){m[i].side, m[i].test, between(&plain, from, to, a)};
        if (!has_digit(parts[i].text))
            return 0;
    }
    return n;
}
