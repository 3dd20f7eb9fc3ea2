/*
 * Inline content filled from the document: literals, values, styles and links become one text
 * with runs over it. White space collapses across runs as a reader of XML expects. A value that
 * is not there, or a character no font holds, refuses the document here, where the template's
 * line and the place in the data are both at hand.
 */
#include "layout/layout_int.h"

#include <stdlib.h>
#include <string.h>

/* Stands for a page number while lines are measured; two digits are enough for a chart. */
static const char number_place[] = "00";

struct text_builder {
    struct buf text, clean;
    struct run *runs;
    size_t n_runs, cap_runs;
    bool space;            /* a space is due before the next visible character */
    bool numbers;
    /* in force */
    const struct style *style;
    bool bold;
    const char *link;
    const struct node *mark;
    const struct named_place *places;
    const struct node *owner;
};

struct text_builder *text_builder_new(void)
{
    struct text_builder *b = mem_alloc(sizeof(*b));
    buf_init(&b->text, TEXT_MAX_BYTES * 2);
    buf_init(&b->clean, TEXT_MAX_BYTES * 2);
    return b;
}

void text_builder_free(struct text_builder *b)
{
    buf_release(&b->text);
    buf_release(&b->clean);
    free(b->runs);
    free(b);
}

static void start(struct text_builder *b, const struct node *owner, const struct style *style)
{
    buf_clear(&b->text);
    b->n_runs = 0;
    b->space = b->numbers = b->bold = false;
    b->style = style;
    b->link = NULL;
    b->mark = NULL;
    b->places = NULL;
    b->owner = owner;
}

static bool last_run_fits(const struct text_builder *b, enum run_kind kind)
{
    const struct run *last = b->n_runs > 0 ? &b->runs[b->n_runs - 1] : NULL;
    return last != NULL && last->kind == RUN_TEXT && kind == RUN_TEXT && last->style == b->style &&
           last->bold == b->bold && last->link == b->link;
}

/* Bytes from `from` to the end of the text belong to the format in force. */
static void cover(struct text_builder *b, size_t from, enum run_kind kind)
{
    if (last_run_fits(b, kind)) {
        b->runs[b->n_runs - 1].to = b->text.len;
        return;
    }
    if (b->n_runs == b->cap_runs) {
        b->cap_runs = b->cap_runs == 0 ? 16 : b->cap_runs * 2;
        b->runs = mem_resize(b->runs, b->cap_runs * sizeof(*b->runs));
    }
    b->runs[b->n_runs++] = (struct run){from, b->text.len, kind, b->style, b->bold, b->link,
                                         b->mark};
}

/* A space that is due goes to the run before, so that links and bold end with their words. */
static void flush_space(struct text_builder *b)
{
    if (b->space && b->text.len > 0 && b->text.data[b->text.len - 1] != '\n') {
        buf_addc(&b->text, ' ');
        if (b->n_runs > 0)
            b->runs[b->n_runs - 1].to = b->text.len;
    }
    b->space = false;
}

static bool is_white(char c)
{
    return c == ' ' || c == '\n' || c == '\t' || c == '\r';
}

/* White space becomes one space, and none at the ends; words that one space parts already are taken
 * together. */
static void add_clean(struct text_builder *b, const char *s, size_t len)
{
    const char *end = s + len;
    while (s < end) {
        const char *words = s;
        while (s < end && (!is_white(*s) || (*s == ' ' && s > words && s + 1 < end &&
                                             !is_white(s[1]))))
            s++;
        if (s > words) {
            flush_space(b);
            size_t from = b->text.len;
            buf_add(&b->text, words, (size_t)(s - words));
            cover(b, from, RUN_TEXT);
        }
        while (s < end && is_white(*s)) {
            b->space = true;
            s++;
        }
    }
}

static bool is_printable_ascii(const char *s, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        if ((unsigned char)s[i] < 0x20 || (unsigned char)s[i] > 0x7E)
            return false;
    }
    return true;
}

/* A paragraph has a largest size. Cleaning may make a value longer, at most four times, which the
 * buffers have room for. */
static bool has_room(struct render *r, size_t len)
{
    if (r->builder->text.len + len <= TEXT_MAX_BYTES / 4)
        return true;
    render_error(r, DIAG_LAYOUT_FIT, "a paragraph of more than %d bytes", TEXT_MAX_BYTES / 4);
    return false;
}

/* Text from the document, in whatever shape it came. */
static void add_value(struct render *r, const char *s)
{
    struct text_builder *b = r->builder;
    size_t len = strlen(s);
    if (!has_room(r, len))
        return;
    if (is_printable_ascii(s, len)) {
        add_clean(b, s, len);
        return;
    }
    int32_t missing = 0;
    buf_clear(&b->clean);
    font_clean(r->fonts, s, len, &b->clean, &missing);
    if (missing != 0)
        render_error(r, DIAG_LAYOUT_GLYPH, "U+%04X", (unsigned)missing);
    if (b->clean.len > 0)
        add_clean(b, b->clean.data, b->clean.len);
}

/* The text of one expression; NULL when it found nothing and that was not allowed. */
static const char *piece_string(struct render *r, const struct piece *p)
{
    r->line = p->line;
    const char *s = eval_string(r, p->expr);
    bool nothing = *s == '\0' || r->nothing;
    if (nothing && !p->optional && r->may_vanish) {
        r->vanished = true;
        s = NULL;
    } else if (nothing && !p->optional) {
        render_error(r, DIAG_LAYOUT_NOTHING, "{%s}", p->expr->source);
        s = NULL;
    }
    return s;
}

static void add_pieces(struct render *r, const struct node *at, const struct text *text)
{
    r->at = at;
    for (size_t i = 0; i < text->n; i++) {
        const struct piece *p = &text->pieces[i];
        if (p->literal != NULL) {
            size_t len = strlen(p->literal);
            if (has_room(r, len))
                add_clean(r->builder, p->literal, len);
            continue;
        }
        const char *s = piece_string(r, p);
        if (s != NULL)
            add_value(r, s);
    }
    r->line = 0;
}

static void add_number(struct text_builder *b, enum run_kind kind)
{
    flush_space(b);
    size_t from = b->text.len;
    buf_adds(&b->text, number_place);
    cover(b, from, kind);
    b->numbers = true;
}

static void add_place(struct render *r, const struct node *node)
{
    const char *name = place_bind(r, node);
    if (name == NULL)
        return;
    struct named_place *place = arena_alloc(r->arena, sizeof(*place));
    *place = (struct named_place){r->builder->text.len, name, r->builder->places};
    r->builder->places = place;
}

static void visit_inline(struct render *r, const struct node *node, void *user);

/* The text between goes in only where something stands on both sides. */
static void add_each_between(struct render *r, const struct node *node)
{
    struct text_builder *b = r->builder;
    struct context_save save = context_save(r);
    size_t n = 0;
    xmlNode **nodes = bind_each_nodes(r, node, &n);
    bool any = false;
    for (size_t i = 0; i < n; i++) {
        size_t len = b->text.len, n_runs = b->n_runs;
        size_t last_to = n_runs > 0 ? b->runs[n_runs - 1].to : 0;
        bool space = b->space;
        if (any) {
            add_pieces(r, node, node_attr(node, AT_BETWEEN)->text);
        }
        size_t before = b->text.len;
        context_enter(r, nodes[i], i + 1, n);
        bind_walk(r, node->children, visit_inline, NULL);
        context_restore(r, save);
        if (b->text.len > before) {
            any = true;
        } else if (any) { /* nothing came: take the text between back */
            b->text.len = len;
            b->n_runs = n_runs;
            if (n_runs > 0)
                b->runs[n_runs - 1].to = last_to;
            b->space = space;
        }
    }
}

static void visit_inline(struct render *r, const struct node *node, void *user)
{
    struct text_builder *b = r->builder;
    const struct style *style = b->style;
    const char *link = b->link;
    bool bold = b->bold;
    (void)user;
    if (!has_room(r, 0))
        return;
    switch (node->element) {
    case EL_TEXT:
        add_pieces(r, node, node->text);
        return;
    case EL_BREAK:
        b->space = false;
        buf_addc(&b->text, '\n');
        cover(b, b->text.len - 1, RUN_LINE_BREAK);
        return;
    case EL_PAGE_NUMBER:
        add_number(b, RUN_PAGE_NUMBER);
        return;
    case EL_PAGE_COUNT:
        add_number(b, RUN_PAGE_COUNT);
        return;
    case EL_PAGE_MARK:
        b->mark = node;
        add_number(b, RUN_PAGE_MARK);
        b->mark = NULL;
        return;
    case EL_PLACE:
        add_place(r, node);
        return;
    case EL_EACH:
        add_each_between(r, node);
        return;
    case EL_BOLD:
        b->bold = true;
        break;
    case EL_SPAN:
        b->style = node->style;
        b->bold = false;
        break;
    case EL_LINK:
        b->link = link_bind(r, node);
        break;
    default:
        return;
    }
    bind_walk(r, node->children, visit_inline, NULL);
    b->style = style;
    b->bold = bold;
    b->link = link;
}

/* A line break at the very end ends nothing. */
static void drop_last_break(struct text_builder *b)
{
    while (b->n_runs > 0 && b->runs[b->n_runs - 1].kind == RUN_LINE_BREAK) {
        b->n_runs--;
        b->text.len = b->runs[b->n_runs].from;
    }
}

static struct inline_text *finish(struct render *r)
{
    struct text_builder *b = r->builder;
    drop_last_break(b);
    if (b->n_runs == 0)
        return NULL;
    struct inline_text *t = arena_alloc(r->arena, sizeof(*t));
    t->text = arena_strndup(r->arena, b->text.data, b->text.len);
    t->len = b->text.len;
    t->n_runs = b->n_runs;
    t->runs = arena_alloc(r->arena, b->n_runs * sizeof(*t->runs));
    memcpy(t->runs, b->runs, b->n_runs * sizeof(*t->runs));
    t->plain = b->n_runs == 1 && is_printable_ascii(t->text, t->len);
    t->has_numbers = b->numbers;
    t->places = b->places;
    t->node = b->owner;
    return t;
}

struct inline_text *bind_inline(struct render *r, const struct node *owner,
                                const struct style *style)
{
    start(r->builder, owner, style);
    bind_walk(r, owner->children, visit_inline, NULL);
    return finish(r);
}

struct inline_text *bind_text(struct render *r, const struct node *owner, const struct text *text,
                              const struct style *style)
{
    start(r->builder, owner, style);
    add_pieces(r, owner, text);
    return finish(r);
}

struct inline_text *bind_literal(struct render *r, const struct node *owner, const char *literal,
                                 const struct style *style)
{
    start(r->builder, owner, style);
    r->at = owner;
    add_value(r, literal);
    return finish(r);
}

const char *bind_string(struct render *r, const struct node *owner, const struct text *text)
{
    r->at = owner;
    if (text->n == 1 && text->pieces[0].literal != NULL)
        return text->pieces[0].literal;
    struct buf b;
    buf_init(&b, TEXT_MAX_BYTES);
    for (size_t i = 0; i < text->n; i++) {
        const struct piece *p = &text->pieces[i];
        const char *s = p->literal != NULL ? p->literal : piece_string(r, p);
        if (s != NULL && b.len + strlen(s) > TEXT_MAX_BYTES / 4)
            render_error(r, DIAG_LAYOUT_FIT, "a text of more than %d bytes", TEXT_MAX_BYTES / 4);
        else if (s != NULL)
            buf_adds(&b, s);
    }
    r->line = 0;
    const char *out = arena_strdup(r->arena, buf_text(&b));
    buf_release(&b);
    return out;
}
