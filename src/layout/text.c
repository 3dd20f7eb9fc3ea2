/* Text with {expressions} cut into pieces when the template is loaded: literals already cleaned
 * and known to have glyphs, expressions compiled and held against the vocabulary. */
#include "layout/layout_int.h"

#include <stdlib.h>
#include <string.h>

enum { LITERAL_MAX = XML_FILE_MAX + 1, EXPRESSION_MAX = 4096 };

struct cutter {
    struct loader *l;
    const xmlNode *at;
    struct piece *pieces;
    size_t n, cap;
    struct buf literal;
    long line;
    bool failed;
};

static void add_piece(struct cutter *c, struct piece piece)
{
    if (c->n == c->cap) {
        c->cap = c->cap == 0 ? 4 : c->cap * 2;
        c->pieces = mem_resize(c->pieces, c->cap * sizeof(*c->pieces));
    }
    piece.line = c->line;
    c->pieces[c->n++] = piece;
}

/* Runs of white space count as one space, as everywhere in XML text. */
static void collapse(struct buf *out, const char *s, size_t len)
{
    bool space = false;
    for (size_t i = 0; i < len; i++) {
        bool is_space = strchr(" \t\n\r", s[i]) != NULL;
        if (!is_space)
            buf_addc(out, s[i]);
        else if (!space)
            buf_addc(out, ' ');
        space = is_space;
    }
}

/* The line of a character of the literal in hand, which ends on the line in hand. */
static long line_of(const struct cutter *c, int32_t character)
{
    const char *s = c->literal.data, *end = s + c->literal.len;
    long line = c->line;
    while (s < end && utf8_next(&s, end) != character)
        continue;
    for (; s < end && line > 1; s++)
        line -= *s == '\n';
    return line;
}

static void end_literal(struct cutter *c)
{
    struct loader *l = c->l;
    struct buf collapsed, clean;
    int32_t missing = 0;
    if (c->literal.len == 0)
        return;
    buf_init(&collapsed, LITERAL_MAX);
    buf_init(&clean, (size_t)LITERAL_MAX * 4);
    collapse(&collapsed, c->literal.data, c->literal.len);
    font_clean(l->fonts, buf_text(&collapsed), collapsed.len, &clean, &missing);
    if (missing != 0) {
        l->line = line_of(c, missing);
        loader_error(l, c->at, DIAG_LAYOUT_GLYPH, "U+%04X", (unsigned)missing);
        l->line = 0;
    }
    if (clean.len > 0)
        add_piece(c, (struct piece){.literal = arena_strndup(l->t->arena, clean.data, clean.len)});
    buf_release(&clean);
    buf_release(&collapsed);
    buf_clear(&c->literal);
}

/* The brace that closes an expression; quotes inside may hold braces. NULL: none. */
static const char *find_close(const char *s)
{
    char quote = '\0';
    for (; *s != '\0'; s++) {
        if (quote != '\0')
            quote = *s == quote ? '\0' : quote;
        else if (*s == '\'' || *s == '"')
            quote = *s;
        else if (*s == '}')
            return s;
    }
    return NULL;
}

static void bad_brace(struct cutter *c, const char *what)
{
    c->l->line = c->line;
    loader_error(c->l, c->at, DIAG_TEMPLATE_XPATH, "%s", what);
    c->l->line = 0;
    c->failed = true;
}

static const char *cut_expression(struct cutter *c, const char *open)
{
    const char *from = open + 1, *close = find_close(from);
    if (close == NULL) {
        bad_brace(c, "{ without its }; write {{ for the brace itself");
        return open + strlen(open);
    }
    struct piece piece = {.optional = *from == '?'};
    if (piece.optional)
        from++;
    end_literal(c);
    c->l->line = c->line;
    piece.expr = expr_compile(c->l, c->at, from, (size_t)(close - from));
    c->l->line = 0;
    if (piece.expr == NULL)
        c->failed = true;
    else
        add_piece(c, piece);
    for (const char *s = open; s < close; s++)
        c->line += *s == '\n' && c->line > 0;
    return close + 1;
}

struct text *text_compile(struct loader *l, const xmlNode *at, const char *s, long line)
{
    struct cutter c = {.l = l, .at = at, .line = line};
    buf_init(&c.literal, LITERAL_MAX);
    while (*s != '\0') {
        if ((s[0] == '{' && s[1] == '{') || (s[0] == '}' && s[1] == '}')) {
            buf_addc(&c.literal, *s);
            s += 2;
        } else if (*s == '{') {
            s = cut_expression(&c, s);
        } else {
            if (*s == '}')
                bad_brace(&c, "} without its {; write }} for the brace itself");
            c.line += *s == '\n' && c.line > 0;
            buf_addc(&c.literal, *s++);
        }
    }
    end_literal(&c);
    struct text *text = arena_alloc(l->t->arena, sizeof(*text));
    size_t size = c.n * sizeof(*c.pieces);
    *text = (struct text){arena_grow(l->t->arena, c.pieces, size, size), c.n};
    free(c.pieces);
    buf_release(&c.literal);
    return c.failed ? NULL : text;
}

static bool is_blank(const char *s, size_t len)
{
    return strspn(s, " \t\r\n") >= len;
}

struct expr *expr_compile(struct loader *l, const xmlNode *at, const char *source, size_t len)
{
    struct layout_template *t = l->t;
    struct expr *e = arena_alloc(t->arena, sizeof(*e));
    char why[200];
    e->source = arena_strndup(t->aside, source, len);
    if (is_blank(source, len) || len > EXPRESSION_MAX) {
        loader_error(l, at, DIAG_TEMPLATE_XPATH, "%s",
                     len > EXPRESSION_MAX ? "a shorter expression was expected"
                                          : "an empty expression");
        return NULL;
    }
    e->tree = xpath_parse(t->arena, t->aside, e->source, why, sizeof(why));
    if (e->tree == NULL) {
        loader_error(l, at, DIAG_TEMPLATE_XPATH, "{%s}: %s", e->source, why);
        return NULL;
    }
    names_number(&t->names, e->tree);
    size_t errors = l->n_errors;
    struct xp_result gives = xpath_check(l, at, e);
    e->gives = arena_grow(t->aside, &gives, sizeof(gives), sizeof(gives));
    if (l->n_errors != errors)
        return NULL;
    if (!eval_is_direct(e->tree)) {
        e->compiled = xmlXPathCtxtCompile(t->xpath, (const xmlChar *)e->source);
        if (e->compiled == NULL) {
            loader_error(l, at, DIAG_TEMPLATE_XPATH, "{%s}: not understood", e->source);
            return NULL;
        }
    }
    if (t->exprs.n == t->exprs.cap) {
        t->exprs.cap = t->exprs.cap == 0 ? 64 : t->exprs.cap * 2;
        t->exprs.items = mem_resize(t->exprs.items, t->exprs.cap * sizeof(*t->exprs.items));
    }
    t->exprs.items[t->exprs.n++] = e;
    return e;
}
