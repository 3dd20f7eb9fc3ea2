/* What earlier runs left in the output folder: the rows of the manifest, found by the name of their
 * file. Read once, before the workers are forked, and shared by all of them. */
#include "batch/batch_int.h"

#include <stdlib.h>
#include <string.h>

struct past {
    struct buf *texts;
    size_t n_texts;
    struct past_line *lines; /* by file; of two with one name the one read last comes last */
    size_t n, cap;
};

/* End of the CSV record at s: past the line end that is not inside quotes. */
static const char *record_end(const char *s, const char *end)
{
    bool quoted = false;
    for (; s < end; s++) {
        if (*s == '"')
            quoted = !quoted;
        else if (*s == '\n' && !quoted)
            return s + 1;
    }
    return end;
}

/* Names in the manifest are made here and hold neither quotes nor commas. */
static size_t name_length(const char *s, const char *end)
{
    const char *comma = memchr(s, ',', (size_t)(end - s));
    return comma == NULL ? 0 : (size_t)(comma - s);
}

static bool whole_number(const char *s, size_t len, int64_t *value)
{
    double d;
    if (!num_parse(s, len, &d) || d < 0 || d > 1e15)
        return false;
    *value = (int64_t)d;
    return true;
}

static bool digest_text(const char *s, size_t len, char out[DIGEST_HEX])
{
    if (len != DIGEST_HEX - 1)
        return false;
    memcpy(out, s, len);
    out[len] = '\0';
    return true;
}

static int columns_of(const struct past_line *line)
{
    bool quoted = false;
    int n = 1;
    for (size_t i = 0; i < line->len; i++) {
        quoted = quoted != (line->text[i] == '"');
        n += line->text[i] == ',' && !quoted;
    }
    return n;
}

/* The columns from the right, where none is quoted: pages and what follows. */
static bool parse_line(const struct past_line *line, struct past_report *out)
{
    enum { COLUMNS = 11, NUMBERS = 7 };
    const char *at[NUMBERS];
    size_t len[NUMBERS], end = line->len;
    if (line->text[end - 1] != '\n' || columns_of(line) != COLUMNS)
        return false; /* cut short, perhaps gone on with by another run */
    while (end > 0 && (line->text[end - 1] == '\n' || line->text[end - 1] == '\r'))
        end--;
    for (int i = NUMBERS - 1; i >= 0; i--) {
        size_t start = end;
        while (start > line->name_len && line->text[start - 1] != ',')
            start--;
        if (start <= line->name_len)
            return false;
        at[i] = line->text + start;
        len[i] = end - start;
        end = start - 1;
    }
    int64_t pages, amendment, notes, held;
    if (!whole_number(at[0], len[0], &pages) || !whole_number(at[1], len[1], &out->bytes) ||
        !digest_text(at[2], len[2], out->sha256) ||
        !digest_text(at[3], len[3], out->input_sha256) ||
        !whole_number(at[4], len[4], &amendment) || !whole_number(at[5], len[5], &notes) ||
        !whole_number(at[6], len[6], &held))
        return false;
    out->pages = (int)pages;
    out->amendment = (int)amendment;
    out->notes = (int)notes;
    out->held = (int)held;
    return true;
}

/* Below the output folder: no row of ours leads out of it. */
static bool is_inside(const char *name, size_t len)
{
    for (size_t i = 0; i + 1 < len; i++)
        if (name[i] == '.' && name[i + 1] == '.' && (i == 0 || name[i - 1] == '/') &&
            (i + 2 == len || name[i + 2] == '/'))
            return false;
    return len > 0 && name[0] != '/';
}

/* What is not understood is no row of ours. */
static void add_line(struct past *p, size_t manifest, const char *s, const char *end)
{
    if (p->n == p->cap) {
        p->cap = p->cap == 0 ? 64 : p->cap * 2;
        p->lines = mem_resize(p->lines, p->cap * sizeof *p->lines);
    }
    struct past_report unused;
    p->lines[p->n] = (struct past_line){s, (size_t)(end - s), name_length(s, end), p->n,
                                        manifest};
    p->n += is_inside(s, p->lines[p->n].name_len) && parse_line(&p->lines[p->n], &unused);
}

static int compare_names(const char *a, size_t a_len, const char *b, size_t b_len)
{
    int c = memcmp(a, b, a_len < b_len ? a_len : b_len);
    return c != 0 ? c : (a_len > b_len) - (a_len < b_len);
}

static int by_name(const void *va, const void *vb)
{
    const struct past_line *a = va, *b = vb;
    int c = compare_names(a->text, a->name_len, b->text, b->name_len);
    return c != 0 ? c : (a->order > b->order) - (a->order < b->order);
}

static bool read_manifest(struct past *p, size_t i, const char *path, struct diag_sink *sink)
{
    struct buf *text = &p->texts[i];
    if (!file_exists(path))
        return true;
    if (!file_read_own(path, SIZE_MAX / 8, text, sink))
        return false;
    const char *head = manifest_head();
    if (!str_starts(buf_text(text), head)) {
        diag_report(sink, DIAG_MANIFEST, (struct diag_pos){.file = path}, NULL, NULL);
        return true;
    }
    const char *end = text->data + text->len;
    for (const char *s = text->data + strlen(head); s < end;) {
        const char *next = record_end(s, end);
        add_line(p, i, s, next);
        s = next;
    }
    return true;
}

struct past *past_load(const char *const *paths, size_t n, struct diag_sink *sink)
{
    struct past *p = mem_alloc(sizeof *p);
    bool ok = true;
    p->texts = mem_alloc(n * sizeof *p->texts);
    for (; ok && p->n_texts < n; p->n_texts++) {
        buf_init(&p->texts[p->n_texts], SIZE_MAX / 4);
        ok = read_manifest(p, p->n_texts, paths[p->n_texts], sink);
    }
    if (!ok) {
        past_free(p);
        return NULL;
    }
    if (p->n > 0)
        qsort(p->lines, p->n, sizeof *p->lines, by_name);
    return p;
}

void past_free(struct past *p)
{
    if (p == NULL)
        return;
    for (size_t i = 0; i < p->n_texts; i++)
        buf_release(&p->texts[i]);
    free(p->texts);
    free(p->lines);
    free(p);
}

const struct past_line *past_lines(const struct past *p, size_t *n)
{
    *n = p->n;
    return p->lines;
}

bool past_find(const struct past *p, const char *file, struct past_report *out)
{
    size_t len = strlen(file), low = 0, high = p->n;
    while (low < high) { /* the first line after all of that name */
        size_t mid = low + (high - low) / 2;
        if (compare_names(p->lines[mid].text, p->lines[mid].name_len, file, len) <= 0)
            low = mid + 1;
        else
            high = mid;
    }
    if (low == 0)
        return false;
    const struct past_line *line = &p->lines[low - 1];
    return compare_names(line->text, line->name_len, file, len) == 0 && parse_line(line, out);
}
