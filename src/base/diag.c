/* The diagnostics table and the sinks. A callee reports where it stands; what becomes of a report
 * (printed, listed, counted) is the business of the sink its caller handed down. */
#include "base/base.h"

#include <stdlib.h>
#include <string.h>

static const struct diag_row {
    const char *id;
    enum diag_level level;
    enum diag_outcome outcome;
    const char *reason, *advice;
} table[] = {
#define DIAG(code, id, level, outcome, reason, advice) {id, level, outcome, reason, advice},
#include "base/diag_list.h"
#undef DIAG
};

const char *diag_id(enum diag_code code)
{
    return table[code].id;
}

const char *diag_reason(enum diag_code code)
{
    return table[code].reason;
}

const char *diag_advice(enum diag_code code)
{
    return table[code].advice;
}

enum diag_level diag_level(enum diag_code code)
{
    return table[code].level;
}

enum diag_outcome diag_outcome(enum diag_code code)
{
    return table[code].outcome;
}

const char *diag_level_name(enum diag_level level)
{
    static const char *const names[] = {"note", "warning", "error", "system"};
    return names[level];
}

const char *diag_outcome_name(enum diag_outcome outcome)
{
    static const char *const names[] = {"", "note", "held-back", "duplicate"};
    return names[outcome];
}

bool diag_code_by_id(const char *id, enum diag_code *code)
{
    for (size_t i = 0; i < ARRAY_LEN(table); i++) {
        if (strcmp(table[i].id, id) == 0) {
            *code = (enum diag_code)i;
            return true;
        }
    }
    return false;
}

void diag_report(struct diag_sink *sink, enum diag_code code, struct diag_pos pos,
                 const char *text, const char *fmt, ...)
{
    enum { DETAIL_MAX = 400 };
    char detail[DETAIL_MAX] = "";
    if (fmt != NULL) {
        va_list ap;
        va_start(ap, fmt);
        vsnprintf(detail, sizeof detail, fmt, ap);
        va_end(ap);
    }
    sink->count[table[code].level]++;
    struct diag d = {code, pos, text, detail[0] != '\0' ? detail : NULL};
    if (sink->put != NULL)
        sink->put(sink->user, &d);
}

void diag_print(FILE *out, const struct diag *d)
{
    fputs("endfeel: ", out);
    if (d->pos.file != NULL) {
        fprintf(out, "%s:", d->pos.file);
        if (d->pos.line > 0)
            fprintf(out, "%ld:", d->pos.line);
        if (d->pos.column > 0)
            fprintf(out, "%ld:", d->pos.column);
        fputc(' ', out);
    }
    fprintf(out, "%s: %s", diag_level_name(table[d->code].level), table[d->code].reason);
    if (d->pos.field != NULL)
        fprintf(out, " (%s)", d->pos.field);
    if (d->detail != NULL)
        fprintf(out, ": %s", d->detail);
    if (table[d->code].advice[0] != '\0')
        fprintf(out, "; %s", table[d->code].advice);
    fputc('\n', out);
}

static void list_put(void *user, const struct diag *d)
{
    struct diag_list *l = user;
    if (l->n == l->cap) {
        l->cap = l->cap == 0 ? 16 : l->cap * 2;
        l->items = mem_resize(l->items, l->cap * sizeof *l->items);
    }
    struct diag copy = *d;
    copy.text = arena_strdup(l->arena, d->text);
    copy.detail = arena_strdup(l->arena, d->detail);
    copy.pos.file = arena_strdup(l->arena, d->pos.file);
    copy.pos.field = arena_strdup(l->arena, d->pos.field);
    l->items[l->n++] = copy;
}

void diag_list_init(struct diag_list *l)
{
    *l = (struct diag_list){.sink = {.put = list_put}, .arena = arena_new()};
    l->sink.user = l;
}

void diag_list_release(struct diag_list *l)
{
    arena_free(l->arena);
    free(l->items);
    *l = (struct diag_list){0};
}

void diag_list_clear(struct diag_list *l)
{
    arena_clear(l->arena);
    l->n = 0;
    memset(l->sink.count, 0, sizeof l->sink.count);
}
