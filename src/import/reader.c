/* Bytes of a file -> rows whose cells know line and column. libcsv does the quoting; everything
 * it lacks is done round it: lines, limits, the byte order mark, and going on behind a row that
 * is none. One physical line is fed at a time, so that the line of each cell is known. */
#include "import/import_int.h"

#include <ctype.h>
#include <endian.h>
#include <stdlib.h>
#include <string.h>

enum { ROW_LINES_MAX = 200, TEXT_SHOWN_MAX = 200 };

static int is_blank(unsigned char c)
{
    return c == ' ' || c == '\t';
}

/* In a file parted by tabs a tab is no blank. */
static int is_space_only(unsigned char c)
{
    return c == ' ';
}

static void parser_start(struct import_source *src)
{
    if (csv_init(&src->csv, CSV_STRICT | CSV_STRICT_FINI) != 0)
        abort();
    csv_set_delim(&src->csv, (unsigned char)src->delimiter);
    csv_set_space_func(&src->csv, src->delimiter == '\t' ? is_space_only : is_blank);
    csv_set_realloc_func(&src->csv, mem_resize);
}

/* After an error the parser's state is of no use, and finishing it would deliver half a row. */
static void parser_restart(struct import_source *src)
{
    csv_free(&src->csv);
    parser_start(src);
}

static void mark_bad(struct import_source *src, enum diag_code code)
{
    if (src->bad != DIAG_CODE_COUNT)
        return;
    src->bad = code;
    src->bad_line = src->cell_line;
    src->bad_column = src->n_cells + 1;
}

static void more_cells(struct import_source *src)
{
    src->cap_cells = src->cap_cells == 0 ? 64 : src->cap_cells * 2;
    src->cells = mem_resize(src->cells, (size_t)src->cap_cells * sizeof *src->cells);
    src->offsets = mem_resize(src->offsets, (size_t)src->cap_cells * sizeof(size_t));
}

static void add_cell(struct import_source *src, size_t offset, size_t len)
{
    int i = src->n_cells++;
    if (i == src->cap_cells)
        more_cells(src);
    src->offsets[i] = offset;
    src->cells[i] = (struct cell){.len = len, .line = src->cell_line, .column = i + 1};
}

static inline bool is_trimmed(char c)
{
    return (unsigned char)c <= ' ' && (c == ' ' || (c >= '\t' && c <= '\r'));
}

static void on_cell(void *bytes, size_t len, void *user)
{
    struct import_source *src = user;
    const char *s = len > 0 ? bytes : "";
    while (len > 0 && is_trimmed(*s)) {
        s++;
        len--;
    }
    while (len > 0 && is_trimmed(s[len - 1]))
        len--;
    if (len > FIELD_MAX)
        mark_bad(src, DIAG_ROW_FIELD_LONG);
    else if (memchr(s, '\0', len) != NULL)
        mark_bad(src, DIAG_ROW_NUL);
    else if (!utf8_is_valid(s, len))
        mark_bad(src, DIAG_ROW_UTF8);
    if (src->n_cells == COLUMNS_MAX)
        mark_bad(src, DIAG_ROW_RAGGED);
    if (src->bad != DIAG_CODE_COUNT)
        len = 0;
    if (src->n_cells < COLUMNS_MAX) {
        add_cell(src, src->text.len, len);
        buf_add(&src->text, s, len);
        buf_addc(&src->text, '\0');
    }
    src->cell_line = src->feed_line;
}

/* The high bit of each byte that is the wanted one; the first byte is the lowest. */
static inline uint64_t bytes_equal(const char *s, uint64_t wanted)
{
    const uint64_t low = 0x7F7F7F7F7F7F7F7F;
    uint64_t word;
    memcpy(&word, s, sizeof word);
    word = le64toh(word) ^ wanted;
    return ~(((word & low) + low) | word | low);
}

/* A line without quotation marks is a row as it stands, if nothing is wrong with it: it is cut
 * here, at a fraction of the cost. False: the parser is to look at it. */
static bool cut_plain(struct import_source *src, const struct line *l)
{
    const uint64_t wanted = (unsigned char)src->delimiter * UINT64_C(0x0101010101010101);
    enum { WORD = sizeof wanted };
    if (l->full == l->len || l->len > FIELD_MAX || memchr(l->text, '"', l->len) != NULL ||
        !utf8_is_valid(l->text, l->len))
        return false;
    char *from = buf_room(&src->text, l->len + WORD), *text = from, *end = text + l->len;
    memcpy(text, l->text, l->len);
    memset(end, src->delimiter, WORD); /* ends the last cell, and the last word of eight bytes */
    int n = 0;                         /* kept apart: a byte of text may be any member of src */
    struct cell *cells = src->cells;
    for (char *at = text; from <= end; at += WORD) {
        for (uint64_t hits = bytes_equal(at, wanted); hits != 0 && from <= end; hits &= hits - 1) {
            char *to = at + __builtin_ctzll(hits) / 8, *last = to;
            while (from < last && is_trimmed(*from))
                from++;
            while (last > from && is_trimmed(last[-1]))
                last--;
            *last = '\0';
            if (n == src->cap_cells) {
                more_cells(src);
                cells = src->cells;
            }
            cells[n] = (struct cell){from, (size_t)(last - from), src->cell_line, n + 1};
            from = ++n > COLUMNS_MAX ? end + 1 : to + 1;
        }
    }
    src->n_cells = n > COLUMNS_MAX ? COLUMNS_MAX : n;
    if (n > COLUMNS_MAX)
        mark_bad(src, DIAG_ROW_RAGGED);
    buf_take(&src->text, end);
    src->row_done = src->placed = true;
    return true;
}

static void on_row(int end, void *user)
{
    (void)end;
    struct import_source *src = user;
    src->row_done = true;
}

static bool line_is_blank(const struct line *l)
{
    for (size_t i = 0; i < l->len; i++)
        if (!is_blank((unsigned char)l->text[i]))
            return false;
    return true;
}

static enum diag_code feed(struct import_source *src, const struct line *l, bool first)
{
    if (first && cut_plain(src, l))
        return DIAG_CODE_COUNT;
    if (csv_parse(&src->csv, l->text, l->full, on_cell, on_row, src) != l->full)
        return DIAG_ROW_QUOTE_STRAY;
    bool last = l->full == l->len;
    if (last && csv_fini(&src->csv, on_cell, on_row, src) != 0)
        return DIAG_ROW_QUOTE_OPEN;
    return DIAG_CODE_COUNT;
}

/* What one look at the window came to. */
struct raw {
    enum { RAW_ROW, RAW_BAD, RAW_BLANK, RAW_END, RAW_FAILED } kind;
    enum diag_code why;      /* RAW_BAD */
    long line, column;       /* where, for RAW_BAD */
    size_t first, full;      /* bytes of the first line and of the whole row, with line ends */
    long lines;              /* physical lines of the row */
    bool unended;            /* the last line has no line end */
};

/* The line on which the open cell began: a stray or missing quotation mark is looked for there. */
static struct raw raw_bad(const struct import_source *src, struct raw r, enum diag_code why)
{
    r.kind = RAW_BAD;
    r.why = why;
    r.line = src->cell_line;
    r.column = src->n_cells + 1;
    return r;
}

/* Feeds lines until the row is whole. Drops nothing. */
static struct raw look(struct import_source *src)
{
    struct raw r = {.kind = RAW_ROW};
    buf_clear(&src->text);
    src->n_cells = 0;
    src->row_done = src->placed = false;
    src->bad = DIAG_CODE_COUNT;
    src->cell_line = src->line;
    for (;;) {
        struct line l;
        enum line_step step = lines_at(&src->lines, r.full, &l);
        if (step == LINE_FAILED) {
            r.kind = RAW_FAILED;
            return r;
        }
        if (r.lines == 0 && step == LINE_END) {
            r.kind = RAW_END;
            return r;
        }
        if (r.lines == 0 && step == LINE_TOO_LONG)
            return raw_bad(src, r, DIAG_ROW_LINE_LONG);
        src->feed_line = src->line + r.lines;
        /* Inside an open quote, the end of the file or a limit means that the quote never ends. */
        if (step != LINE_OK || r.full + l.full > LINE_MAX_BYTES + 2 || r.lines == ROW_LINES_MAX) {
            parser_restart(src);
            return raw_bad(src, r, DIAG_ROW_QUOTE_OPEN);
        }
        r.lines++;
        r.full += l.full;
        if (r.lines == 1) {
            r.first = l.full;
            if (line_is_blank(&l)) {
                r.kind = RAW_BLANK;
                return r;
            }
        }
        r.unended = l.full == l.len;
        enum diag_code why = feed(src, &l, r.lines == 1);
        if (why == DIAG_CODE_COUNT && src->row_done)
            return r;
        if (why == DIAG_CODE_COUNT && src->csv.entry_pos > FIELD_MAX)
            why = DIAG_ROW_QUOTE_OPEN;
        if (why != DIAG_CODE_COUNT) {
            /* A quote that closes on a later line and is followed by more was most likely left
             * open on the first. */
            parser_restart(src);
            return raw_bad(src, r, r.lines > 1 ? DIAG_ROW_QUOTE_OPEN : why);
        }
    }
}

static struct row row_of(struct import_source *src)
{
    for (int i = 0; i < src->n_cells && !src->placed; i++)
        src->cells[i].text = src->text.data + src->offsets[i];
    return (struct row){src->index, src->line, src->cells, src->n_cells};
}

static bool row_is_empty(const struct import_source *src)
{
    for (int i = 0; i < src->n_cells; i++)
        if (src->cells[i].len > 0)
            return false;
    return src->bad == DIAG_CODE_COUNT;
}

/* The beginning of the bad row as it stands, for the list of exceptions; "" where it is no text. */
static void copy_shown(const struct import_source *src, size_t first, char out[TEXT_SHOWN_MAX + 1])
{
    const char *s = src->lines.data + src->lines.start;
    size_t len = first < TEXT_SHOWN_MAX ? first : TEXT_SHOWN_MAX;
    while (len > 0 && (s[len - 1] == '\n' || s[len - 1] == '\r'))
        len--;
    /* A cut in the middle of a character is taken back to its first byte. */
    while (len > 0 && len < first && ((unsigned char)s[len] & 0xC0) == 0x80)
        len--;
    if (!utf8_is_valid(s, len))
        len = 0;
    memcpy(out, s, len);
    out[len] = '\0';
}

static void drop_row(struct import_source *src, size_t bytes, long lines)
{
    lines_drop(&src->lines, bytes);
    src->line += lines;
}

/* Whether a cell holds a line that has as many delimiters as a row of this file: then its quote
 * was most likely left open and closed by another stray one, and rows stand inside. Files of few
 * columns are left out, because a line of a note may well hold two commas. */
static bool holds_row(const struct import_source *src, const struct cell *cell)
{
    enum { COLUMNS_LEAST = 4 };
    int found = 0;
    bool first = true;
    if (src->n_columns < COLUMNS_LEAST || memchr(cell->text, '\n', cell->len) == NULL)
        return false;
    for (const char *s = cell->text; s <= cell->text + cell->len; s++) {
        if (*s == src->delimiter)
            found++;
        if (*s != '\n' && *s != '\r' && *s != '\0')
            continue;
        if (!first && found == src->n_columns - 1)
            return true;
        first = false;
        found = 0;
    }
    return false;
}

static const struct cell *cell_holding_row(struct import_source *src)
{
    (void)row_of(src); /* sets the texts */
    for (int i = 0; i < src->n_cells; i++)
        if (holds_row(src, &src->cells[i]))
            return &src->cells[i];
    return NULL;
}

/* A row of the right shape? Otherwise RAW_BAD with the reason. */
static struct raw judge(struct import_source *src, struct raw r)
{
    const struct cell *swallowing;
    if (src->bad != DIAG_CODE_COUNT) {
        r.kind = RAW_BAD;
        r.why = src->bad;
        r.line = src->bad_line;
        r.column = src->bad_column;
    } else if (src->n_cells != src->n_columns) {
        r.kind = RAW_BAD;
        r.why = r.unended && src->n_cells < src->n_columns ? DIAG_ROW_CUT : DIAG_ROW_RAGGED;
        r.line = src->line;
        r.column = 0;
    } else if (r.lines > 1 && (swallowing = cell_holding_row(src)) != NULL) {
        r.kind = RAW_BAD;
        r.why = DIAG_ROW_QUOTE_OPEN;
        r.line = swallowing->line;
        r.column = swallowing->column;
    }
    return r;
}

static bool hold_raw(struct import_source *src, const struct raw *r, struct tally *tally,
                     struct diag_sink *sink)
{
    char shown[TEXT_SHOWN_MAX + 1];
    struct diag_pos pos = {.file = src->path, .line = r->line, .column = r->column};
    /* A row of several lines that is no row may have swallowed rows: look at each again. */
    bool whole = r->why == DIAG_ROW_NUL || r->why == DIAG_ROW_UTF8 || r->why == DIAG_ROW_FIELD_LONG;
    copy_shown(src, r->first, shown);
    const char *text = shown[0] != '\0' ? shown : NULL;
    if (r->why == DIAG_ROW_RAGGED || r->why == DIAG_ROW_CUT)
        diag_report(sink, r->why, pos, text, "expected %d fields, found %d", src->n_columns,
                    src->n_cells);
    else if (r->lines > 1 && !whole)
        diag_report(sink, r->why, pos, text, "reading goes on at line %ld", src->line + 1);
    else
        diag_report(sink, r->why, pos, text, NULL);
    tally->rows_in++;
    tally->held++;
    if (r->why == DIAG_ROW_LINE_LONG) {
        src->line++;
        return lines_skip_long(&src->lines);
    }
    drop_row(src, whole ? r->full : r->first, whole ? r->lines : 1);
    return true;
}

/* Empty cells of a wide column: one note a column, not one a cell. */
static void count_blanks(struct import_source *src, const struct row *row)
{
    src->n_rows++;
    for (int i = 0; i < src->n_wide; i++)
        if (row->cells[src->wide[i].cell].len == 0)
            src->wide[i].blanks++;
}

/* What is known of a file only when all of it was read. */
static void about_file(const struct import_source *src, struct diag_sink *sink)
{
    for (int i = 0; i < src->n_wide; i++) {
        const struct wide_column *w = &src->wide[i];
        struct diag_pos pos = {.file = src->path, .line = src->header_line, .column = w->cell + 1,
                               .field = w->header};
        if (w->blanks > 0)
            diag_report(sink, DIAG_CSV_COLUMN_BLANK, pos, NULL, "%ld of %ld rows", w->blanks,
                        src->n_rows);
    }
    struct diag_pos pos = {.file = src->path};
    if (src->lines.decoder != NULL && decoder_saw_utf8(src->lines.decoder))
        diag_report(sink, DIAG_CSV_ENCODING_DOUBT, pos, NULL, "declared %s",
                    encoding_name(src->settings->encoding));
}

static enum import_step finish(struct import_source *src, bool failed, struct diag_sink *sink)
{
    struct diag_pos pos = {.file = src->path, .line = failed ? src->line : 0};
    if (failed)
        diag_report(sink, DIAG_FILE_READ, pos, NULL, "%s", src->lines.why);
    else if (!src->any_row && !src->ended)
        diag_report(sink, DIAG_CSV_NO_ROWS, pos, NULL, NULL);
    else if (!src->ended)
        about_file(src, sink);
    src->ended = true;
    return failed ? IMPORT_FAILED : IMPORT_END;
}

enum import_step import_next(struct import_source *src, struct row *row, struct tally *tally,
                             struct diag_sink *sink)
{
    for (;;) {
        struct raw r = look(src);
        if (r.kind == RAW_END || r.kind == RAW_FAILED)
            return finish(src, r.kind == RAW_FAILED, sink);
        if (r.kind == RAW_ROW && row_is_empty(src))
            r.kind = RAW_BLANK;
        if (r.kind == RAW_ROW)
            r = judge(src, r);
        if (r.kind == RAW_BLANK) {
            drop_row(src, r.full, r.lines);
            continue;
        }
        src->any_row = true;
        if (r.kind == RAW_BAD) {
            if (!hold_raw(src, &r, tally, sink))
                return finish(src, true, sink);
            continue;
        }
        *row = row_of(src);
        if (r.unended) {
            struct diag_pos pos = {.file = src->path, .line = row->line};
            diag_report(sink, DIAG_ROW_NO_LINE_END, pos, NULL, NULL);
        }
        drop_row(src, r.full, r.lines);
        count_blanks(src, row);
        tally->rows_in++;
        return IMPORT_ROW;
    }
}

/* ---- opening ------------------------------------------------------------------------------- */

static bool refuse_encoding(const struct import_source *src, enum diag_code code, const char *why,
                            struct diag_sink *sink)
{
    diag_report(sink, code, (struct diag_pos){.file = src->path}, NULL, "%s", why);
    return false;
}

static bool decode(struct import_source *src, enum encoding e, struct diag_sink *sink)
{
    struct decoder *d = decoder_new(e);
    if (d == NULL)
        return refuse_encoding(src, DIAG_FILE_READ, "the system cannot convert its encoding", sink);
    lines_decode(&src->lines, d);
    return true;
}

/* Text of two bytes a character, by its mark, by the map, or by the zero half of its first letter
 * where the map says 16 bits but not in which order. */
static bool open_16_bit(struct import_source *src, const char *s, size_t n, bool mark,
                        struct diag_sink *sink)
{
    enum encoding declared = src->settings->encoding;
    bool big = mark ? s[0] == '\xFE' : n >= 2 && s[0] == '\0';
    bool little = mark ? !big : n >= 2 && s[1] == '\0' && !big;
    if (declared != ENCODING_UNDECLARED && !encoding_is_16_bit(declared))
        return refuse_encoding(src, DIAG_CSV_ENCODING_DIFFERS, "16-bit text", sink);
    if ((declared == ENCODING_UTF_16LE && big) || (declared == ENCODING_UTF_16BE && little))
        return refuse_encoding(src, DIAG_CSV_ENCODING_DIFFERS, "the other byte order", sink);
    if (!big && !little)
        return refuse_encoding(src, DIAG_CSV_ENCODING_DIFFERS, "not 16-bit text", sink);
    return decode(src, big ? ENCODING_UTF_16BE : ENCODING_UTF_16LE, sink);
}

static void skip_mark(struct import_source *src)
{
    const char *s;
    if (lines_peek(&src->lines, 3, &s) >= 3 && memcmp(s, "\xEF\xBB\xBF", 3) == 0)
        lines_drop(&src->lines, 3);
}

/* Settles the encoding by byte order mark and map; refuses what begins like a workbook, and 16-bit
 * text that neither proves. */
static bool check_start(struct import_source *src, struct diag_sink *sink)
{
    const char *s;
    size_t n = lines_peek(&src->lines, 4, &s);
    enum encoding declared = src->settings->encoding;
    bool mark_16 = n >= 2 && (memcmp(s, "\xFF\xFE", 2) == 0 || memcmp(s, "\xFE\xFF", 2) == 0);
    bool mark_8 = n >= 3 && memcmp(s, "\xEF\xBB\xBF", 3) == 0;
    if (n >= 4 && (memcmp(s, "PK\3\4", 4) == 0 || memcmp(s, "\xD0\xCF\x11\xE0", 4) == 0))
        return refuse_encoding(src, DIAG_CSV_NOT_CSV, "a spreadsheet workbook", sink);
    if (n >= 4 && (memcmp(s, "\xFF\xFE\0\0", 4) == 0 || memcmp(s, "\0\0\xFE\xFF", 4) == 0))
        return refuse_encoding(src, DIAG_CSV_NOT_CSV, "32-bit text", sink);
    if (mark_8 && declared != ENCODING_UNDECLARED && declared != ENCODING_UTF_8)
        return refuse_encoding(src, DIAG_CSV_ENCODING_DIFFERS, "UTF-8 by its first bytes", sink);
    bool looks_16 = n >= 2 && (s[0] == '\0') != (s[1] == '\0');
    if (!mark_16 && declared == ENCODING_UNDECLARED && looks_16)
        return refuse_encoding(src, DIAG_CSV_ENCODING, "16-bit text without a mark", sink);
    if (n == 0 || mark_8)
        skip_mark(src);
    else if (mark_16 || encoding_is_16_bit(declared)) {
        if (!open_16_bit(src, s, n, mark_16, sink))
            return false;
        skip_mark(src);
    } else if (declared == ENCODING_WINDOWS_1252 || declared == ENCODING_LATIN_1) {
        return decode(src, declared, sink);
    }
    return true;
}

/* A spreadsheet's own first line `sep=;` names the delimiter. */
static bool read_sep_line(struct import_source *src, const struct line *l)
{
    const char *s = l->text;
    size_t len = l->len;
    if (len >= 2 && s[0] == '"' && s[len - 1] == '"') {
        s++;
        len -= 2;
    }
    char lower[4] = "";
    for (size_t i = 0; i < 4 && i < len; i++)
        lower[i] = (char)tolower((unsigned char)s[i]);
    if (len != 5 || memcmp(lower, "sep=", 4) != 0 || memchr(",;\t|", s[4], 4) == NULL)
        return false;
    src->delimiter = s[4];
    return true;
}

static const char delimiters[] = ",;\t|";
enum { DELIMITERS = 4 };

static void count_delimiters(const struct line *l, int found[DELIMITERS])
{
    bool quoted = false;
    for (size_t i = 0; i < l->len; i++) {
        if (l->text[i] == '"')
            quoted = !quoted;
        for (int k = 0; !quoted && k < DELIMITERS; k++)
            found[k] += l->text[i] == delimiters[k];
    }
}

/* The declared delimiter must be the header's, and a `sep=` line must not say another. */
static bool check_delimiter(struct import_source *src, const int found[DELIMITERS],
                            struct diag_sink *sink)
{
    char declared = src->settings->delimiter;
    struct diag_pos pos = {.file = src->path, .line = src->line};
    bool other_line = src->delimiter != 0 && src->delimiter != declared;
    int own = 0, others = 0;
    for (int k = 0; k < DELIMITERS; k++) {
        own += declared == delimiters[k] ? found[k] : 0;
        others += declared != delimiters[k] ? found[k] : 0;
    }
    src->delimiter = declared;
    if (!other_line && (own > 0 || others == 0))
        return true;
    diag_report(sink, DIAG_CSV_DELIMITER_DIFFERS, pos, NULL, "%s",
                other_line ? "the line sep= names another" : "the header does not hold it");
    return false;
}

/* Two kinds in the header: which of them parts the cells is asked. */
static bool find_delimiter(struct import_source *src, const int found[DELIMITERS],
                           struct diag_sink *sink)
{
    int kinds = 0;
    src->delimiter = ',';
    for (int k = 0; k < DELIMITERS; k++) {
        bool weak = delimiters[k] == '|' && kinds > 0;
        if (found[k] == 0 || weak)
            continue;
        kinds++;
        src->delimiter = delimiters[k];
    }
    if (kinds <= 1)
        return true;
    struct diag_pos pos = {.file = src->path, .line = src->line};
    diag_report(sink, DIAG_CSV_DELIMITER, pos, NULL, NULL);
    return false;
}

static bool settle_delimiter(struct import_source *src, const struct line *l,
                             struct diag_sink *sink)
{
    int found[DELIMITERS] = {0};
    count_delimiters(l, found);
    if (src->settings->delimiter != 0)
        return check_delimiter(src, found, sink);
    return src->delimiter != 0 || find_delimiter(src, found, sink);
}

static bool refuse_header(const struct import_source *src, enum line_step step,
                          struct diag_sink *sink)
{
    struct diag_pos pos = {.file = src->path, .line = step == LINE_TOO_LONG ? src->line : 0};
    enum diag_code code = step == LINE_FAILED ? DIAG_FILE_READ
                        : step == LINE_END    ? DIAG_CSV_EMPTY
                                              : DIAG_CSV_HEADER;
    const char *why = step == LINE_FAILED ? src->lines.why
                      : step == LINE_TOO_LONG ? diag_reason(DIAG_ROW_LINE_LONG) : "";
    diag_report(sink, code, pos, NULL, "%s", why);
    return false;
}

/* Drops blank lines and a `sep=` line before the header and settles the delimiter. */
static bool find_header(struct import_source *src, struct diag_sink *sink)
{
    for (bool first = true;; first = false) {
        struct line l;
        enum line_step step = lines_at(&src->lines, 0, &l);
        if (step != LINE_OK)
            return refuse_header(src, step, sink);
        if (line_is_blank(&l) || (first && read_sep_line(src, &l))) {
            drop_row(src, l.full, 1);
            continue;
        }
        return settle_delimiter(src, &l, sink);
    }
}

/* A name that is not text asks for the encoding; `why` says nothing of rows that do not fit. */
static bool bad_header(const struct import_source *src, enum diag_code why, long column,
                       const char *detail, struct diag_sink *sink)
{
    struct diag_pos pos = {.file = src->path, .line = src->line, .column = column};
    bool undeclared = src->settings->encoding == ENCODING_UNDECLARED;
    diag_report(sink, why != DIAG_ROW_UTF8 ? DIAG_CSV_HEADER : undeclared ? DIAG_CSV_ENCODING
                : DIAG_CSV_ENCODING_DIFFERS, pos, NULL, "%s", detail);
    return false;
}

/* One row of names; its texts stay in the arena of the source. */
static bool read_names(struct import_source *src, struct row *header, struct diag_sink *sink)
{
    struct raw r = look(src);
    enum diag_code why = r.kind == RAW_BAD ? r.why : src->bad;
    if (r.kind == RAW_FAILED)
        return refuse_header(src, LINE_FAILED, sink);
    if (r.kind == RAW_END || r.kind == RAW_BLANK)
        return bad_header(src, why, 0, "the map says two header rows, and there is one", sink);
    if (why != DIAG_CODE_COUNT)
        return bad_header(src, why, r.kind == RAW_BAD ? r.column : src->bad_column,
                          why == DIAG_ROW_RAGGED ? "too many columns"
                          : why == DIAG_ROW_UTF8 ? "the header row" : diag_reason(why), sink);
    struct row row = row_of(src);
    *header = row;
    header->cells = arena_alloc(src->arena, ((size_t)row.n_cells + 1) * sizeof *header->cells);
    for (int i = 0; i < row.n_cells; i++) {
        header->cells[i] = row.cells[i];
        header->cells[i].text = arena_strdup(src->arena, row.cells[i].text);
    }
    drop_row(src, r.full, r.lines);
    return true;
}

/* The names of two rows, one above the other. An empty cell of the upper row continues the cell
 * before it, as merged cells are exported; but a name of the lower row that is a column of its own
 * is not drawn under a heading it does not have. */
static bool join_names(struct import_source *src, const struct row *upper, struct row *lower,
                       struct diag_sink *sink)
{
    const char *above = "";
    if (upper->n_cells != lower->n_cells)
        return bad_header(src, DIAG_CODE_COUNT, 0, "the two header rows differ in length", sink);
    for (int i = 0; i < lower->n_cells; i++) {
        struct cell *cell = &lower->cells[i];
        bool own = upper->cells[i].len > 0;
        const struct map_column *mapped = map_find(src->settings, cell->text);
        bool alone = !own && (column_by_name(cell->text) != COL_COUNT || mapped != NULL);
        if (own)
            above = upper->cells[i].text;
        if (alone) {
            above = "";
            continue;
        }
        cell->text = cell->len == 0 ? above
                     : *above == '\0' ? cell->text
                                      : arena_printf(src->arena, "%s %s", above, cell->text);
        cell->len = strlen(cell->text);
    }
    return true;
}

static bool read_header(struct import_source *src, struct row *header, struct diag_sink *sink)
{
    struct row upper;
    if (!check_start(src, sink) || !find_header(src, sink))
        return false;
    parser_start(src);
    if (!read_names(src, header, sink))
        return false;
    if (src->settings->header_rows == 2) {
        upper = *header;
        if (!read_names(src, header, sink) || !join_names(src, &upper, header, sink))
            return false;
    }
    src->header_line = header->line;
    return true;
}

struct import_source *reader_open_header(const char *path, const struct import_settings *settings,
                                         struct row *header, struct diag_sink *sink)
{
    struct lines lines;
    if (!lines_open(&lines, path, settings->read_size, sink))
        return NULL;
    struct import_source *src = mem_alloc(sizeof *src);
    src->path = mem_strdup(path);
    src->lines = lines;
    src->line = 1;
    src->settings = settings;
    src->arena = arena_new();
    buf_init(&src->text, 2 * (size_t)LINE_MAX_BYTES + 2 * COLUMNS_MAX);
    if (!read_header(src, header, sink)) {
        import_close(src);
        return NULL;
    }
    return src;
}

struct import_source *import_open(const char *path, int index, bool history,
                                  const struct import_settings *settings,
                                  const struct reference *ref, struct diag_sink *sink)
{
    struct row header;
    struct import_source *src = reader_open_header(path, settings, &header, sink);
    if (src == NULL)
        return NULL;
    src->index = index;
    src->history = history;
    if (!columns_resolve(src, &header, ref, sink)) {
        import_close(src);
        return NULL;
    }
    return src;
}

void import_close(struct import_source *src)
{
    if (src == NULL)
        return;
    lines_close(&src->lines);
    csv_free(&src->csv);
    buf_release(&src->text);
    free(src->offsets);
    free(src->cells);
    free(src->path);
    arena_free(src->arena);
    free(src);
}

const char *import_path(const struct import_source *src)
{
    return src->path;
}

bool import_is_history(const struct import_source *src)
{
    return src->history;
}
