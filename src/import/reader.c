/* Bytes of a file -> rows whose cells know line and column. libcsv does the quoting; everything
 * it lacks is done round it: lines, limits, the byte order mark, and going on behind a row that
 * is none. One physical line is fed at a time, so that the line of each cell is known. */
#include "import/import_int.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { ROW_LINES_MAX = 200, TEXT_SHOWN_MAX = 200 };

static const struct import_settings default_settings = {.delimiter = 0,
                                                        .read_size = LINES_READ_SIZE};

const struct import_settings *import_settings_default(void)
{
    return &default_settings;
}

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

static void on_cell(void *bytes, size_t len, void *user)
{
    struct import_source *src = user;
    const char *s = len > 0 ? bytes : "";
    while (len > 0 && isspace((unsigned char)*s)) {
        s++;
        len--;
    }
    while (len > 0 && isspace((unsigned char)s[len - 1]))
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
        if (src->n_cells == src->cap_cells) {
            src->cap_cells = src->cap_cells == 0 ? 64 : src->cap_cells * 2;
            src->cells = mem_resize(src->cells, (size_t)src->cap_cells * sizeof *src->cells);
            src->offsets = mem_resize(src->offsets, (size_t)src->cap_cells * sizeof(size_t));
        }
        src->offsets[src->n_cells] = src->text.len;
        src->cells[src->n_cells] = (struct cell){
            .len = len, .line = src->cell_line, .column = src->n_cells + 1};
        buf_add(&src->text, s, len);
        buf_addc(&src->text, '\0');
    }
    src->n_cells++;
    if (src->n_cells > COLUMNS_MAX)
        src->n_cells = COLUMNS_MAX;
    src->cell_line = src->feed_line;
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

static enum diag_code feed(struct import_source *src, const struct line *l)
{
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
    src->row_done = false;
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
        enum diag_code why = feed(src, &l);
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
    for (int i = 0; i < src->n_cells; i++)
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

static enum import_step finish(struct import_source *src, bool failed, struct diag_sink *sink)
{
    struct diag_pos pos = {.file = src->path, .line = failed ? src->line : 0};
    if (failed)
        diag_report(sink, DIAG_FILE_READ, pos, NULL, NULL);
    else if (!src->any_row && !src->ended)
        diag_report(sink, DIAG_CSV_NO_ROWS, pos, NULL, NULL);
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
        tally->rows_in++;
        return IMPORT_ROW;
    }
}

/* ---- opening ------------------------------------------------------------------------------- */

/* Skips a byte order mark; refuses what begins like a workbook or 16-bit text. */
static bool check_start(struct import_source *src, struct diag_sink *sink)
{
    const char *s;
    size_t n = lines_peek(&src->lines, 4, &s);
    struct diag_pos pos = {.file = src->path};
    if (n >= 3 && memcmp(s, "\xEF\xBB\xBF", 3) == 0) {
        lines_drop(&src->lines, 3);
        return true;
    }
    if (n >= 2 && (memcmp(s, "\xFF\xFE", 2) == 0 || memcmp(s, "\xFE\xFF", 2) == 0)) {
        diag_report(sink, DIAG_CSV_NOT_CSV, pos, NULL, "16-bit text");
        return false;
    }
    if (n >= 4 && (memcmp(s, "PK\3\4", 4) == 0 || memcmp(s, "\xD0\xCF\x11\xE0", 4) == 0)) {
        diag_report(sink, DIAG_CSV_NOT_CSV, pos, NULL, "a spreadsheet workbook");
        return false;
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

static bool find_delimiter(struct import_source *src, const struct line *l, struct diag_sink *sink)
{
    bool quoted = false, comma = false, semicolon = false, tab = false;
    for (size_t i = 0; i < l->len; i++) {
        char c = l->text[i];
        if (c == '"')
            quoted = !quoted;
        comma |= !quoted && c == ',';
        semicolon |= !quoted && c == ';';
        tab |= !quoted && c == '\t';
    }
    if (comma && semicolon) {
        struct diag_pos pos = {.file = src->path, .line = src->line};
        diag_report(sink, DIAG_CSV_DELIMITER, pos, NULL, NULL);
        return false;
    }
    src->delimiter = semicolon ? ';' : tab && !comma ? '\t' : ',';
    return true;
}

static bool refuse_header(const struct import_source *src, enum line_step step,
                          struct diag_sink *sink)
{
    struct diag_pos pos = {.file = src->path, .line = step == LINE_TOO_LONG ? src->line : 0};
    enum diag_code code = step == LINE_FAILED ? DIAG_FILE_READ
                        : step == LINE_END    ? DIAG_CSV_EMPTY
                                              : DIAG_CSV_HEADER;
    diag_report(sink, code, pos, NULL, NULL);
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
        return src->delimiter != 0 || find_delimiter(src, &l, sink);
    }
}

static bool read_header(struct import_source *src, const struct reference *ref,
                        struct diag_sink *sink)
{
    if (!check_start(src, sink) || !find_header(src, sink))
        return false;
    parser_start(src);
    struct raw r = look(src);
    enum diag_code why = r.kind == RAW_BAD ? r.why : src->bad;
    if (r.kind == RAW_FAILED)
        return refuse_header(src, LINE_FAILED, sink);
    if (why != DIAG_CODE_COUNT) {
        struct diag_pos pos = {.file = src->path, .line = src->line,
                               .column = r.kind == RAW_BAD ? r.column : src->bad_column};
        diag_report(sink, DIAG_CSV_HEADER, pos, NULL, "%s",
                    why == DIAG_ROW_RAGGED ? "too many columns" : diag_reason(why));
        return false;
    }
    struct row header = row_of(src);
    drop_row(src, r.full, r.lines);
    return columns_resolve(src, &header, ref, sink);
}

struct import_source *import_open(const char *path, int index, bool history,
                                  const struct import_settings *settings,
                                  const struct reference *ref, struct diag_sink *sink)
{
    struct lines lines;
    if (!lines_open(&lines, path, settings->read_size, sink))
        return NULL;
    struct import_source *src = mem_alloc(sizeof *src);
    src->path = mem_strdup(path);
    src->index = index;
    src->history = history;
    src->lines = lines;
    src->line = 1;
    src->delimiter = settings->delimiter;
    buf_init(&src->text, 2 * (size_t)LINE_MAX_BYTES + 2 * COLUMNS_MAX);
    if (!read_header(src, ref, sink)) {
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

const char *import_row_patient(const struct import_source *src, const struct row *row)
{
    const struct cell *cell = column_cell(src, row, COL_PATIENT_ID);
    return cell != NULL ? cell->text : "";
}

struct date import_row_date(const struct import_source *src, const struct row *row,
                            struct date today)
{
    const struct cell *cell = column_cell(src, row, COL_VISIT_DATE);
    const struct date none = {0};
    struct date date = none;
    enum diag_code why;
    if (cell == NULL || cell->len == 0 || !cell_date(cell->text, &date, &why))
        return none;
    return date_is_set(today) && date_compare(date, today) > 0 ? none : date;
}

void import_hold_row(const struct import_source *src, const struct row *row, enum diag_code why,
                     struct tally *tally, struct diag_sink *sink)
{
    const struct cell *cell = column_cell(src, row, COL_PATIENT_ID);
    diag_report(sink, why, column_pos(src, row, COL_PATIENT_ID), cell != NULL ? cell->text : NULL,
                NULL);
    tally->held++;
}
