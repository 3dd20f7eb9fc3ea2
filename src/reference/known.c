/* Reads how-known texts: which of seen, seen second-hand, common practice, memory and own work a
 * row admits to, and the mark that is printed for it. The weakest thing said wins. */
#include "reference/reference_int.h"

#include <string.h>

struct clues {
    bool seen, second_hand, common, memory, own, derived;
};

struct token {
    const char *start; /* after opening brackets */
    size_t len;        /* letters and hyphens only */
};

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool token_is(const struct token *t, const char *word)
{
    return t->len == strlen(word) && strncmp(t->start, word, t->len) == 0;
}

/* The next word at *text, which moves past it; brackets met on the way change *depth: opening ones
 * before the word at once, the others through *after. */
static struct token next_token(const char **text, int *depth, int *after)
{
    const char *p = *text;
    while (*p == ' ')
        p++;
    while (*p == '(') {
        ++*depth;
        p++;
    }
    struct token t = {.start = p};
    while (is_letter(p[t.len]) || p[t.len] == '-')
        t.len++;
    *after = 0;
    for (p += t.len; *p != '\0' && *p != ' '; p++)
        *after += *p == '(' ? 1 : *p == ')' ? -1 : 0;
    *text = p;
    return t;
}

static struct token peek_token(const char *text)
{
    int depth = 0, after;
    return next_token(&text, &depth, &after);
}

/* "seen" inside brackets only explains another statement ("memory (abstract seen: ...)"), so it is
 * not counted; "memory" inside brackets takes something back, so it is. */
static void read_token(struct clues *c, const struct token *t, const struct token *next, int depth)
{
    if (token_is(t, "memory"))
        c->memory = true;
    else if (token_is(t, "derived"))
        c->derived = true;
    else if (token_is(t, "common") && token_is(next, "practice"))
        c->common = true;
    else if (token_is(t, "own") && (token_is(next, "wording") || token_is(next, "geometry")))
        c->own = true;
    else if (token_is(t, "seen") && depth == 0) {
        if (token_is(next, "secondary") || token_is(next, "second-hand"))
            c->second_hand = true;
        else
            c->seen = true;
    }
}

static struct clues read_clues(const char *text)
{
    struct clues c = {0};
    int depth = 0;
    bool negated = false;
    while (*text != '\0') {
        int after;
        struct token t = next_token(&text, &depth, &after);
        struct token next = peek_token(text);
        if (!negated)
            read_token(&c, &t, &next, depth);
        negated = token_is(&t, "not");
        depth += after;
        if (depth < 0)
            depth = 0;
    }
    return c;
}

const char *known_mark(const char *text)
{
    struct clues c = read_clues(text);
    if (c.memory && c.common)
        return "common practice, unverified";
    if (c.memory)
        return c.seen || c.second_hand || c.own ? "partly unverified" : "unverified";
    if (c.common)
        return "common practice";
    if (c.second_hand)
        return "seen second-hand";
    if (c.own)
        return "own";
    return c.seen ? "" : NULL;
}

bool known_says_derived(const char *text)
{
    return read_clues(text).derived;
}
