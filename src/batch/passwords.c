/* The passwords of --protect: one for everything, or one for each referrer. They come from files
 * alone and stay in memory alone. */
#include "batch/batch_int.h"

#include <string.h>
#include <sys/stat.h>

enum { PASSWORD_FILE_MAX = 4096, TABLE_MAX = 1 << 20, EVERYBODY_ELSE = '*' };

struct password {
    const char *referrer; /* NULL: everybody else */
    const char *password;
};

struct passwords {
    struct password *items;
    size_t n;
};

static bool refuse(struct diag_sink *sink, const char *path, long line, const char *why)
{
    diag_report(sink, DIAG_PROTECT_FILE, (struct diag_pos){.file = path, .line = line}, NULL, "%s",
                why);
    return false;
}

/* The first line, as it stands but for its end. */
static bool take_password(const char *path, struct buf *text, struct arena *a,
                          const char **password, struct diag_sink *sink)
{
    size_t len = strcspn(buf_text(text), "\r\n");
    size_t end = len + strspn(text->data + len, "\r\n");
    if (memchr(text->data, '\0', text->len) != NULL || end != text->len)
        return refuse(sink, path, 0, "one line holds the password, and nothing follows it;"
                      " a table begins with referrer,password_file");
    if (len == 0)
        return refuse(sink, path, 0, "the password is empty");
    if (len > PDF_PASSWORD_MAX)
        return refuse(sink, path, 0, "a password has 127 bytes at most");
    if (!utf8_is_valid(text->data, len))
        return refuse(sink, path, 0, "the password is not UTF-8");
    for (size_t i = 0; i < len; i++)
        if ((unsigned char)text->data[i] < ' ' || text->data[i] == 0x7F)
            return refuse(sink, path, 0, "control characters cannot be typed into a viewer");
    *password = arena_strndup(a, text->data, len);
    return true;
}

static void warn_if_open(const char *path, struct diag_sink *sink)
{
    struct stat st;
    if (stat(path, &st) == 0 && S_ISREG(st.st_mode) && (st.st_mode & 077) != 0)
        diag_report(sink, DIAG_PROTECT_OPEN, (struct diag_pos){.file = path}, NULL, NULL);
}

static bool read_password(const char *path, struct arena *a, const char **password,
                          struct diag_sink *sink)
{
    struct buf text;
    buf_init(&text, 2 * PASSWORD_FILE_MAX);
    bool ok = file_read(path, PASSWORD_FILE_MAX, &text, sink) &&
              take_password(path, &text, a, password, sink);
    if (ok)
        warn_if_open(path, sink);
    buf_release(&text);
    return ok;
}

/* ---- a table of referrers ------------------------------------------------------------------- */

/* One cell of a row that begins at *s: quoted or plain. False: not CSV. */
static bool take_cell(const char **s, struct buf *cell)
{
    buf_clear(cell);
    if (**s != '"') {
        size_t len = strcspn(*s, ",\r\n\"");
        buf_add(cell, *s, len);
        *s += len;
        return **s != '"';
    }
    for ((*s)++; **s != '\0'; (*s)++) {
        if (**s == '"' && (*s)[1] != '"') {
            (*s)++;
            return true;
        }
        *s += **s == '"';
        buf_addc(cell, **s);
    }
    return false;
}

/* Relative to the folder of the table. */
static const char *beside(const char *table, const char *name, struct arena *a)
{
    const char *slash = strrchr(table, '/');
    if (name[0] == '/' || slash == NULL)
        return arena_strdup(a, name);
    return arena_printf(a, "%.*s/%s", (int)(slash - table), table, name);
}

static bool take_row(struct passwords *p, const char **s, const char *path, long line,
                     struct arena *a, struct diag_sink *sink)
{
    struct buf cell;
    struct password *item = &p->items[p->n];
    buf_init(&cell, TABLE_MAX);
    bool ok = take_cell(s, &cell) && **s == ',';
    const char *referrer = arena_strdup(a, buf_text(&cell));
    (*s)++;
    ok = ok && take_cell(s, &cell) && strchr("\r\n", **s) != NULL && cell.len > 0;
    const char *file = ok ? beside(path, buf_text(&cell), a) : NULL;
    buf_release(&cell);
    if (!ok || *referrer == '\0')
        return refuse(sink, path, line, "each row is referrer,password_file");
    bool others = referrer[0] == EVERYBODY_ELSE && referrer[1] == '\0';
    *item = (struct password){.referrer = others ? NULL : referrer};
    for (size_t i = 0; i < p->n; i++)
        if (others ? p->items[i].referrer == NULL
                   : str_eq_nocase(p->items[i].referrer, referrer))
            return refuse(sink, path, line, "a referrer is given twice");
    p->n++;
    return read_password(file, a, &item->password, sink);
}

static bool read_table(struct passwords *p, const struct buf *text, const char *path,
                       struct arena *a, struct diag_sink *sink)
{
    size_t rows = 0;
    for (const char *c = text->data; *c != '\0'; c++)
        rows += *c == '\n';
    p->items = arena_alloc(a, (rows + 2) * sizeof *p->items);
    const char *s = text->data + strcspn(text->data, "\n");
    for (long line = 2; *s != '\0' && s[1] != '\0'; line++) {
        s += 1;
        if (!take_row(p, &s, path, line, a, sink))
            return false;
        s += *s == '\r';
    }
    for (size_t i = 0; i < p->n; i++)
        if (p->items[i].referrer == NULL)
            return true;
    return refuse(sink, path, 0, "name a password for everybody else: a row for referrer *");
}

struct passwords *passwords_load(const char *path, struct arena *a, struct diag_sink *sink)
{
    static const char head[] = "referrer,password_file";
    struct passwords *p = arena_alloc(a, sizeof *p);
    struct buf text;
    buf_init(&text, 2 * TABLE_MAX);
    bool ok = file_read(path, TABLE_MAX, &text, sink);
    if (ok && str_starts(buf_text(&text), head) &&
        strchr("\r\n", text.data[strlen(head)]) != NULL) {
        ok = strlen(text.data) == text.len ? read_table(p, &text, path, a, sink)
                                           : refuse(sink, path, 0, "a NUL byte");
    } else if (ok) {
        p->items = arena_alloc(a, sizeof *p->items);
        p->n = 1;
        ok = take_password(path, &text, a, &p->items[0].password, sink);
        if (ok)
            warn_if_open(path, sink);
    }
    buf_release(&text);
    return ok ? p : NULL;
}

const char *passwords_for(const struct passwords *p, const char *referrer)
{
    const char *others = NULL;
    for (size_t i = 0; i < p->n; i++) {
        if (p->items[i].referrer == NULL)
            others = p->items[i].password;
        else if (referrer != NULL && str_eq_nocase(p->items[i].referrer, referrer))
            return p->items[i].password;
    }
    return others;
}
