/* The plain lists of the library: sources, with their rank, and grades. Each has one table that
 * pairs attributes with fields; attribute names follow the columns of the clinical tables. */
#include "reference/reference_int.h"

#include <stdlib.h>
#include <string.h>

/* ---- sources ---------------------------------------------------------------------------- */

static int by_id(const void *a, const void *b)
{
    return strcmp(((const struct source *)a)->id, ((const struct source *)b)->id);
}

void load_sources(struct load *l, size_t n)
{
#define AT(field) offsetof(struct source, field)
    static const struct field fields[] = {
        {"id", FIELD_TEXT, true, AT(id), NULL},
        {"citation", FIELD_TEXT, true, AT(citation), NULL},
        {"note", FIELD_TEXT, false, AT(note), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    struct load_walk w = {0};
    ref->sources = arena_alloc(ref->arena, (n + 1) * sizeof *ref->sources);
    while (load_walk(l, &w, "sources", "source")) {
        struct source *s = &ref->sources[ref->n_sources++];
        s->peers_mark = "";
        load_fields(l, w.node, fields, ARRAY_LEN(fields), s);
        for (const struct source *old = ref->sources; old < s; old++)
            if (*s->id != '\0' && strcmp(old->id, s->id) == 0)
                load_problem(l, DIAG_REFERENCE_DUPLICATE, w.node, "id", "%.60s", s->id);
    }
    qsort(ref->sources, ref->n_sources, sizeof *ref->sources, by_id);
    ref->source_ids = arena_alloc(ref->arena, (n + 1) * sizeof *ref->source_ids);
    for (size_t i = 0; i < ref->n_sources; i++)
        ref->source_ids[i] = ref->sources[i].id;
}

/* The order of the rows is the rank. */
void load_peers_ranks(struct load *l)
{
    struct rank_row {
        const struct source *source;
        struct known known;
    };
    static const struct field fields[] = {
        {"source-id", FIELD_SOURCE, true, offsetof(struct rank_row, source), NULL},
        {"how-known", FIELD_KNOWN, true, offsetof(struct rank_row, known), NULL},
    };
    size_t rank = 0;
    for (struct load_walk w = {0}; load_walk(l, &w, "sources", "peers-rank");) {
        struct rank_row row = {.source = NULL};
        load_fields(l, w.node, fields, ARRAY_LEN(fields), &row);
        if (row.source == NULL) /* reported */
            continue;
        struct source *s = &l->ref->sources[row.source - l->ref->sources];
        if (s->peers_rank > 0)
            load_repeat(l, w.node, "source-id", s->id);
        s->peers_rank = ++rank;
        s->peers_mark = row.known.mark;
    }
}

/* ---- grades ----------------------------------------------------------------------------- */

static int by_ordinal(const void *a, const void *b)
{
    int x = ((const struct grade *)a)->ordinal, y = ((const struct grade *)b)->ordinal;
    return (x > y) - (x < y);
}

struct grade_row {
    struct grade g;
    int optional;
};

void load_grades(struct load *l, size_t n)
{
#define AT(field) offsetof(struct grade_row, g.field)
    static const struct field fields[] = {
        {"grade", FIELD_TEXT, true, AT(text), NULL},
        {"range-needed", FIELD_TEXT, true, AT(range_needed), NULL},
        {"gravity", FIELD_TEXT, true, AT(gravity), NULL},
        {"resistance", FIELD_TEXT, true, AT(resistance), NULL},
        {"criterion", FIELD_TEXT, true, AT(criterion), NULL},
        {"traditional-name", FIELD_TEXT, true, AT(traditional_name), NULL},
        {"abbreviation", FIELD_TEXT, true, AT(abbreviation), NULL},
        {"ordinal", FIELD_INT, true, AT(ordinal), NULL},
        {"numeric", FIELD_DOUBLE, true, AT(numeric), NULL},
        {"mrc", FIELD_NUM, false, AT(mrc), NULL},
        {"isncsci", FIELD_NUM, false, AT(isncsci), NULL},
        {"kendall-0-10", FIELD_TEXT, false, AT(kendall), NULL},
        {"note", FIELD_TEXT, false, AT(note), NULL},
        {"optional", FIELD_CHOICE, false, offsetof(struct grade_row, optional), yes_words},
        {"how-known", FIELD_KNOWN, true, AT(known), NULL},
    };
#undef AT
    struct reference *ref = l->ref;
    struct load_walk w = {0};
    ref->grades = arena_alloc(ref->arena, (n + 1) * sizeof *ref->grades);
    while (load_walk(l, &w, "grades", "grade")) {
        struct grade_row row = {.optional = 0};
        load_fields(l, w.node, fields, ARRAY_LEN(fields), &row);
        struct grade *g = &ref->grades[ref->n_grades++];
        *g = row.g;
        g->optional = row.optional != 0;
        if (!g->optional && (!g->mrc.has || !g->isncsci.has))
            load_problem(l, DIAG_XML_ATTRIBUTE, w.node, NULL, "mrc and isncsci are needed");
        for (const struct grade *old = ref->grades; old < g; old++) {
            if (*g->text != '\0' && strcmp(old->text, g->text) == 0)
                load_problem(l, DIAG_REFERENCE_DUPLICATE, w.node, "grade", "%.60s", g->text);
            else if (old->ordinal == g->ordinal)
                load_problem(l, DIAG_REFERENCE_DUPLICATE, w.node, "ordinal", "%d", g->ordinal);
        }
    }
    qsort(ref->grades, ref->n_grades, sizeof *ref->grades, by_ordinal);
}
