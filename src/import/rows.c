/* Rows as bytes, for the way from the reading half to the meaning half, and rows as text. */
#include "import/import_int.h"

#include <string.h>

/* Numbers take seven bits a byte, the least first. Of the cells only those stand in the bytes that
 * hold something or begin on another line than the one before: number of cells passed over,
 * length * 2 + whether the line goes on, by how many lines, text and its NUL. */
enum { NUMBER_MAX_BYTES = 10 };

static inline char *put_number(char *to, uint64_t value)
{
    for (; value >= 0x80; value >>= 7)
        *to++ = (char)(0x80 | (value & 0x7F));
    *to++ = (char)value;
    return to;
}

/* memcpy() of what is short as a rule, in pieces that overlap. */
static inline void put_text(char *to, const char *from, size_t len)
{
    uint64_t eight[2];
    uint32_t four[2];
    if (len > 2 * sizeof eight[0]) {
        memcpy(to, from, len);
    } else if (len >= sizeof eight[0]) {
        memcpy(&eight[0], from, sizeof eight[0]);
        memcpy(&eight[1], from + len - sizeof eight[1], sizeof eight[1]);
        memcpy(to, &eight[0], sizeof eight[0]);
        memcpy(to + len - sizeof eight[1], &eight[1], sizeof eight[1]);
    } else if (len >= sizeof four[0]) {
        memcpy(&four[0], from, sizeof four[0]);
        memcpy(&four[1], from + len - sizeof four[1], sizeof four[1]);
        memcpy(to, &four[0], sizeof four[0]);
        memcpy(to + len - sizeof four[1], &four[1], sizeof four[1]);
    } else {
        for (size_t i = 0; i < len; i++)
            to[i] = from[i];
    }
}

void row_pack(const struct row *row, struct buf *out)
{
    enum { HEAD_MAX = 4 * NUMBER_MAX_BYTES, BESIDE_MAX = 3 * NUMBER_MAX_BYTES + 1 };
    size_t most = HEAD_MAX;
    long line = row->line;
    for (int i = 0; i < row->n_cells; i++) {
        const struct cell *c = &row->cells[i];
        most += c->len > 0 || c->line != line ? c->len + BESIDE_MAX : 0;
        line = c->line;
    }
    char *to = buf_room(out, most);
    line = row->line;
    int skipped = 0;
    to = put_number(to, (uint64_t)row->source);
    to = put_number(to, (uint64_t)row->line);
    to = put_number(to, (uint64_t)row->n_cells);
    for (int i = 0; i < row->n_cells; i++) {
        const struct cell *c = &row->cells[i];
        if (c->len == 0 && c->line == line) {
            skipped++;
            continue;
        }
        bool moved = c->line != line;
        to = put_number(to, (uint64_t)skipped);
        to = put_number(to, (uint64_t)c->len * 2 + moved);
        if (moved)
            to = put_number(to, (uint64_t)(c->line - line));
        put_text(to, c->text, c->len + 1);
        to += c->len + 1;
        line = c->line;
        skipped = 0;
    }
    to = put_number(to, (uint64_t)skipped);
    buf_take(out, to);
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

/* The next cell that stands in the bytes, into its place. */
static void take_cell(struct packed *p, struct cell *c, long *line)
{
    uint64_t said = take_number(p, (uint64_t)FIELD_MAX * 2 + 1);
    size_t len = (size_t)(said / 2);
    if (said % 2 != 0)
        *line += (long)take_number(p, INT32_MAX);
    if (p->cut || (size_t)(p->end - p->at) < len + 1 || p->at[len] != '\0') {
        p->cut = true;
        return;
    }
    c->text = p->at;
    c->len = len;
    p->at += len + 1;
}

size_t row_unpack(const char *bytes, size_t len, struct arena *a, struct row *row)
{
    struct packed p = {bytes, bytes + len, false};
    int source = (int)take_number(&p, INT32_MAX);
    long line = (long)take_number(&p, INT64_MAX);
    int n = (int)take_number(&p, COLUMNS_MAX);
    if (p.cut)
        return 0;
    *row = (struct row){source, line, NULL, n};
    struct cell *cells = arena_room(a, (size_t)n * sizeof *cells);
    for (int i = 0;; i++) {
        int next = i + (int)take_number(&p, (uint64_t)(n - i));
        for (; i < next && !p.cut; i++)
            cells[i] = (struct cell){.text = "", .line = line, .column = i + 1};
        if (p.cut || i == n)
            break;
        take_cell(&p, &cells[i], &line);
        cells[i].line = line;
        cells[i].column = i + 1;
    }
    row->cells = cells;
    return p.cut ? 0 : (size_t)(p.at - bytes);
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
