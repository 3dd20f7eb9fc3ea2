/*
 * The sources a document used: each once, ordered by id, with the weakest mark that any figure
 * taken from it carries. A mark is never upgraded because another figure of the source was seen.
 */
#include "findings/findings_int.h"

#include <stdlib.h>
#include <string.h>

/* From the mark that promises most to the one that promises least. */
static const char *const marks[] = {
    "", "seen second-hand", "own", "common practice", "partly unverified",
    "common practice, unverified", "unverified",
};

static size_t weakness(const char *mark)
{
    for (size_t i = 0; i < ARRAY_LEN(marks); i++)
        if (strcmp(marks[i], mark) == 0)
            return i;
    return ARRAY_LEN(marks);
}

static void remember(struct writer *w, const struct source *source, const char *mark)
{
    for (size_t i = 0; i < w->n_sources; i++) {
        struct used_source *used = &w->sources[i];
        if (used->source == source) {
            if (weakness(mark) > weakness(used->mark))
                used->mark = mark;
            return;
        }
    }
    if (w->n_sources == w->cap_sources) {
        w->cap_sources = w->cap_sources == 0 ? 16 : 2 * w->cap_sources;
        w->sources = mem_resize(w->sources, w->cap_sources * sizeof *w->sources);
    }
    w->sources[w->n_sources++] = (struct used_source){source, mark};
}

void findings_cite(struct writer *w, xmlNode *node, const struct source *source,
                   const struct known *known, const char *id_name, const char *citation_name,
                   const char *mark_name)
{
    const char *mark = known->mark == NULL ? "" : known->mark;
    if (source != NULL) {
        findings_text(w, node, id_name, source->id);
        if (citation_name != NULL)
            findings_text(w, node, citation_name, source->citation);
        remember(w, source, mark);
    }
    if (mark_name != NULL)
        findings_text(w, node, mark_name, mark);
}

static int by_id(const void *a, const void *b)
{
    const struct used_source *x = a, *y = b;
    return strcmp(x->source->id, y->source->id);
}

void findings_sources(struct writer *w, xmlNode *root)
{
    if (w->n_sources > 0)
        qsort(w->sources, w->n_sources, sizeof *w->sources, by_id);
    for (size_t i = 0; i < w->n_sources; i++) {
        const struct used_source *used = &w->sources[i];
        xmlNode *node = findings_child(w, root, "source");
        findings_text(w, node, "id", used->source->id);
        findings_text(w, node, "citation", used->source->citation);
        findings_text(w, node, "mark", used->mark);
    }
}
