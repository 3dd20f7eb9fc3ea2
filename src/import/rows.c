/* Rows as bytes, for the way from the reading half to the meaning half, and rows as text. */
#include "import/import_int.h"

#include <string.h>

static void put_number(struct buf *out, uint64_t value)
{
    unsigned char bytes[8];
    for (int i = 0; i < 8; i++)
        bytes[i] = (unsigned char)(value >> (8 * i));
    buf_add(out, bytes, sizeof bytes);
}

void row_pack(const struct row *row, struct buf *out)
{
    put_number(out, (uint64_t)row->source);
    put_number(out, (uint64_t)row->line);
    put_number(out, (uint64_t)row->n_cells);
    for (int i = 0; i < row->n_cells; i++) {
        const struct cell *c = &row->cells[i];
        put_number(out, (uint64_t)c->line);
        put_number(out, (uint64_t)c->column);
        put_number(out, c->len);
        buf_add(out, c->text, c->len + 1);
    }
}

struct packed {
    const char *at;
    size_t left;
};

static bool take_number(struct packed *p, uint64_t most, uint64_t *value)
{
    if (p->left < 8)
        return false;
    *value = 0;
    for (int i = 0; i < 8; i++)
        *value |= (uint64_t)(unsigned char)p->at[i] << (8 * i);
    p->at += 8;
    p->left -= 8;
    return *value <= most;
}

static bool take_cell(struct packed *p, struct cell *c)
{
    uint64_t line, column, len;
    if (!take_number(p, INT64_MAX, &line) || !take_number(p, COLUMNS_MAX, &column) ||
        !take_number(p, FIELD_MAX, &len))
        return false;
    if (p->left < len + 1 || p->at[len] != '\0')
        return false;
    *c = (struct cell){.text = p->at, .len = len, .line = (long)line, .column = (int)column};
    p->at += len + 1;
    p->left -= len + 1;
    return true;
}

size_t row_unpack(const char *bytes, size_t len, struct arena *a, struct row *row)
{
    struct packed p = {bytes, len};
    uint64_t source, line, n;
    if (!take_number(&p, INT32_MAX, &source) || !take_number(&p, INT64_MAX, &line) ||
        !take_number(&p, COLUMNS_MAX, &n))
        return 0;
    /* Each cell takes 25 bytes at least: a broken count must not make a huge array. */
    if (n > p.left / 25)
        return 0;
    struct cell *cells = arena_alloc(a, (size_t)n * sizeof *cells);
    for (size_t i = 0; i < n; i++)
        if (!take_cell(&p, &cells[i]))
            return 0;
    *row = (struct row){(int)source, (long)line, cells, (int)n};
    return len - p.left;
}

static void put_quoted(struct buf *out, const char *s)
{
    buf_addc(out, '"');
    for (; *s != '\0'; s++) {
        if (*s == '\n' || *s == '\r')
            buf_adds(out, *s == '\n' ? "\\n" : "\\r");
        else if (*s == '"' || *s == '\\')
            buf_addf(out, "\\%c", *s);
        else
            buf_addc(out, *s);
    }
    buf_addc(out, '"');
}

void row_dump(const struct row *row, struct buf *out)
{
    buf_addf(out, "row %d:%ld", row->source, row->line);
    for (int i = 0; i < row->n_cells; i++) {
        const struct cell *c = &row->cells[i];
        buf_addf(out, " %d", c->column);
        if (c->line != row->line)
            buf_addf(out, "@%ld", c->line);
        buf_addc(out, '=');
        put_quoted(out, c->text);
    }
    buf_addc(out, '\n');
}
