/* What every reader of a row needs: its cells, where they stand, and a way to say what is wrong. */
#include "import/meaning_int.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const struct cell_rules *meaning_rules(const struct row_state *rs)
{
    return &rs->src->settings->rules;
}

const struct row_state *meaning_whole(const struct row_state *rs)
{
    return rs->whole != NULL ? rs->whole : rs;
}

/* A goal and a reading of one row share cells; what is wrong with one is told once. */
static bool is_said(const struct meaning *m, const struct row_state *rs, enum diag_code code,
                    long column)
{
    const struct row_state *whole = meaning_whole(rs);
    for (size_t i = m->n_problems; i-- > 0 && meaning_whole(m->problems[i].from) == whole;)
        if (m->problems[i].diag.code == code && m->problems[i].diag.pos.column == column)
            return true;
    return false;
}

struct diag_pos meaning_pos(const struct row_state *rs, enum import_column c)
{
    struct diag_pos pos = rs->wide != NULL ? parts_pos(rs, c) : column_pos(rs->src, rs->row, c);
    pos.file = rs->path;
    return pos;
}

void meaning_say(struct meaning *m, struct row_state *rs, enum import_column c,
                 enum diag_code code, const char *fmt, ...)
{
    enum { DETAIL_MAX = 300 };
    char detail[DETAIL_MAX] = "";
    if (fmt != NULL) {
        va_list ap;
        va_start(ap, fmt);
        vsnprintf(detail, sizeof detail, fmt, ap);
        va_end(ap);
    }
    m->now = rs;
    struct diag_pos pos = meaning_pos(rs, c);
    if (is_said(m, rs, code, pos.column))
        return;
    const char *text = meaning_has(rs, c) ? meaning_cell(rs, c) : NULL;
    if (detail[0] != '\0')
        diag_report(&m->tee, code, pos, text, "%s", detail);
    else
        diag_report(&m->tee, code, pos, text, NULL);
}

const char *meaning_line(struct meaning *m, const struct row_state *rs,
                         const struct row_state *other)
{
    if (rs->src == other->src)
        return arena_printf(m->arena, "line %ld", other->row->line);
    return arena_printf(m->arena, "line %ld of %s", other->row->line, other->path);
}

struct said *meaning_note_said(struct meaning *m, const struct row_state *rs,
                               enum import_column c, const char *text)
{
    if (m->said_by != rs->src)
        memset(m->said, 0, sizeof m->said);
    m->said_by = rs->src;
    m->said[c] = (struct said){.text = text};
    return &m->said[c];
}

void meaning_sort(void *items, size_t n, size_t size, int (*compare)(const void *, const void *))
{
    const char *item = items;
    for (size_t i = 1; i < n; i++, item += size) {
        if (compare(item, item + size) > 0) {
            qsort(items, n, size, compare);
            return;
        }
    }
}

void *meaning_grow(struct arena *a, void *items, size_t n, size_t *cap, size_t size)
{
    if (n < *cap)
        return items;
    size_t more = *cap == 0 ? 8 : *cap * 2;
    void *grown = arena_room(a, more * size);
    if (n > 0)
        memcpy(grown, items, n * size);
    *cap = more;
    return grown;
}

void meaning_add_draft(struct meaning *m, struct draft *d)
{
    m->drafts = meaning_grow(m->scratch, m->drafts, m->n_drafts, &m->cap_drafts,
                             sizeof(struct draft *));
    m->drafts[m->n_drafts++] = d;
}

void meaning_tell_once(struct meaning *m, const struct row_state *rs, enum import_column c,
                       enum diag_code code, const char *detail)
{
    struct diag_pos pos = meaning_pos(rs, c);
    for (size_t i = 0; i < m->n_told; i++)
        if (m->told[i].code == code && str_eq(m->told[i].detail, detail) &&
            m->told[i].src == rs->src)
            return;
    m->told = meaning_grow(m->scratch, m->told, m->n_told, &m->cap_told, sizeof *m->told);
    m->told[m->n_told++] = (struct told){code, detail, rs->src};
    diag_report(m->outer, code, pos, meaning_cell(rs, c), detail != NULL ? "%s" : NULL, detail);
}
