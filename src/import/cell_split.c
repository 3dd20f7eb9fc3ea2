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
    else if (t->word->cls == WORD_P && t[1].kind == TOKEN_NUMBER)
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

/* "5/5 B": one grade for both sides. An angle for both sides is held back by its reader. */
static int both_sides(const struct plain *plain, const struct tokens *tokens, struct arena *a,
                      struct cell_part parts[PARTS_MAX])
{
    const struct token *last = tokens->n > 1 ? &tokens->at[tokens->n - 1] : NULL;
    if (last == NULL || last->kind != TOKEN_WORD || last->word->cls != WORD_SIDE ||
        (enum side)last->word->value != SIDE_NONE)
        return 0;
    const char *grade = between(plain, 0, last->start, a);
    parts[0] = (struct cell_part){SIDE_RIGHT, TEST_NONE, grade};
    parts[1] = (struct cell_part){SIDE_LEFT, TEST_NONE, grade};
    return has_digit(grade) ? 2 : 0;
}

int cell_split(const char *text, bool is_grade, struct arena *a, struct cell_part parts[PARTS_MAX])
{
    struct plain plain;
    struct tokens tokens;
    struct marker m[PARTS_MAX + 1];
    int n = 0;
    plain_make(text, a, &plain);
    tokens_make(&plain, is_grade ? COLUMN_GRADE : COLUMN_ANGLE, &tokens);
    bool bad = tokens.too_many;
    for (size_t i = 0; i < tokens.n && n <= PARTS_MAX; i++)
        n += is_marker(&tokens.at[i], &m[n]) ? 1 : 0;
    if (n == 0 && !bad && is_grade)
        return both_sides(&plain, &tokens, a, parts);
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
