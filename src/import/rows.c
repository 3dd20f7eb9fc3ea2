/* Rows as bytes, for the way from the reading half to the meaning half, and rows as text. */
#include "import/import_int.h"

#include <string.h>

/* A row as bytes: source, line and number of cells, as numbers of seven bits a byte, the least
 * first; a byte for each cell, its length; then the text of each with its NUL. A cell that is long,
 * or begins on another line than the one before, has ELSEWHERE for its length, and before its text
 * how many lines on and its length as numbers. */
enum { NUMBER_MAX_BYTES = 10, ELSEWHERE = 0xFF };

static inline char *put_number(char *to, uint64_t value)
{
    for (; value >= 0x80; value >>= 7)
        *to++ = (char)(0x80 | (value & 0x7F));
    *to++ = (char)value;
    return to;
}

/* Lengths and texts of a row with cells that have ELSEWHERE; `length`: where the lengths stand. */
static void put_apart(const struct row *row, struct buf *out, size_t length)
{
    enum { BESIDE_MAX = 1 + 2 * NUMBER_MAX_BYTES };
    long line = row->line;
    for (int i = 0; i < row->n_cells; i++) {
        const struct cell *c = &row->cells[i];
        bool near = c->line == line && c->len < ELSEWHERE;
        char *to = buf_room(out, BESIDE_MAX + c->len);
        if (!near) {
            out->data[length + (size_t)i] = (char)ELSEWHERE;
            to = put_number(to, (uint64_t)(c->line - line));
            to = put_number(to, c->len);
            line = c->line;
        }
        memcpy(to, c->text, c->len + 1);
        buf_take(out, to + c->len + 1);
    }
}

void row_pack(const struct row *row, struct buf *out)
{
    enum { HEAD_MAX = 3 * NUMBER_MAX_BYTES };
    const struct cell *cells = row->cells;
    size_t n = (size_t)row->n_cells;
    char *to = buf_room(out, HEAD_MAX + n);
    to = put_number(to, (uint64_t)row->source);
    to = put_number(to, (uint64_t)row->line);
    to = put_number(to, n);
    size_t length = (size_t)(to - out->data);
    /* Texts that follow each other in memory, as those of a plain line do, go in one piece. */
    const char *next = n > 0 ? cells[0].text : NULL;
    bool one_piece = n > 0;
    for (size_t i = 0; i < n; i++) {
        const struct cell *c = &cells[i];
        one_piece = one_piece && c->text == next && c->line == row->line && c->len < ELSEWHERE;
        next = c->text + c->len + 1;
        *to++ = (char)c->len;
    }
    buf_take(out, to);
    if (one_piece)
        buf_add(out, cells[0].text, (size_t)(next - cells[0].text));
    else
        put_apart(row, out, length);
}

struct packed {
    const char *at, *end;
    bool cut;
};

/* What is above `most`, or not there, makes the whole row one that is cut. */
static uint64_t take_long_number(struct packed *p, uint64_t most)
{
    uint64_t value = 0;
    for (int shift = 0; shift < 63; shift += 7) {
        if (p->at == p->end)
            break;
        unsigned char byte = (unsigned char)*p->at++;
        value |= (uint64_t)(byte & 0x7F) << shift;
        if (byte < 0x80) {
            p->cut = p->cut || value > most;
            return p->cut ? 0 : value;
        }
    }
    p->cut = true;
    return 0;
}

static inline uint64_t take_number(struct packed *p, uint64_t most)
{
    bool one_byte = p->at < p->end && (unsigned char)*p->at < 0x80; /* nearly all are */
    if (one_byte && (unsigned char)*p->at <= most)
        return (unsigned char)*p->at++;
    return take_long_number(p, most);
}

size_t row_unpack(const char *bytes, size_t len, struct arena *a, struct row *row)
{
    struct packed p = {bytes, bytes + len, false};
    int source = (int)take_number(&p, INT32_MAX);
    long line = (long)take_number(&p, INT64_MAX);
    size_t n = (size_t)take_number(&p, COLUMNS_MAX);
    if (p.cut || (size_t)(p.end - p.at) < n)
        return 0;
    *row = (struct row){source, line, arena_room(a, n * sizeof *row->cells), (int)n};
    const unsigned char *length = (const unsigned char *)p.at;
    p.at += n;
    for (size_t i = 0; i < n; i++) {
        size_t size = length[i];
        if (size == ELSEWHERE) {
            line += (long)take_number(&p, INT32_MAX);
            size = (size_t)take_number(&p, FIELD_MAX);
        }
        if (p.cut || (size_t)(p.end - p.at) <= size || p.at[size] != '\0')
            return 0;
        row->cells[i] = (struct cell){p.at, size, line, (int)i + 1};
        p.at += size + 1;
    }
    return (size_t)(p.at - bytes);
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
