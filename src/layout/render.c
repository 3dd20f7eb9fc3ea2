/* One document: binds, measures, places; refuses with every reason found rather than the first. */
#include "layout/layout_int.h"

#include <libxml/xpath.h>
#include <stdlib.h>
#include <string.h>

const char *render_path(struct render *r, const xmlNode *node)
{
    xmlChar *path = node != NULL ? xmlGetNodePath(node) : NULL;
    const char *text = path != NULL ? (const char *)path : "";
    const char *copy = arena_strdup(r->arena, *text == '/' ? text + 1 : text);
    xmlFree(path);
    return copy;
}

void render_error(struct render *r, enum diag_code code, const char *fmt, ...)
{
    char detail[600] = "";
    r->failed = true;
    if (++r->n_errors > ERRORS_MAX)
        return;
    if (fmt != NULL) {
        va_list args;
        va_start(args, fmt);
        vsnprintf(detail, sizeof(detail), fmt, args);
        va_end(args);
    }
    struct diag_pos pos = {.file = "", .line = 0};
    if (r->at != NULL) {
        pos.file = r->at->file;
        pos.line = r->line > 0 ? r->line : r->at->line;
        pos.field = node_name(r->at);
    }
    diag_report(r->sink, code, pos, NULL, "%s%sat %s", detail, *detail != '\0' ? " " : "",
                render_path(r, r->context));
}

/* Line ends in a title are spaces. */
static void set_title(struct render *r)
{
    const struct node *node = r->t->title;
    if (node == NULL)
        return;
    struct inline_text *text = bind_inline(r, node, template_style(r->t, "body"));
    if (text == NULL)
        return;
    char *title = arena_strdup(r->list->arena, text->text);
    for (char *s = title; *s != '\0'; s++)
        *s = *s == '\n' ? ' ' : *s;
    r->list->title = title;
}

static void set_properties(struct render *r, const xmlNode *root)
{
    struct date date;
    char *text = xml_attr(r->list->arena, root, "date");
    r->list->language = arena_strdup(r->list->arena, r->t->language);
    if (text != NULL && date_parse_iso(text, &date))
        r->list->date = text;
    set_title(r);
}

struct page_list *layout_render(const struct layout_template *t, struct _xmlDoc *document,
                                const struct font_set *fonts, struct diag_sink *sink)
{
    xmlNode *root = xmlDocGetRootElement(document);
    struct render r = {.t = t, .doc = document, .fonts = fonts, .sink = sink};
    if (!xml_is(root, t->root)) {
        diag_report(sink, DIAG_LAYOUT_ROOT, (struct diag_pos){.file = t->name}, NULL,
                    "expected %s", t->root);
        return NULL;
    }
    image_store_trim(t->images);
    r.arena = arena_new();
    r.list = page_list_new();
    r.builder = text_builder_new();
    r.para_style = template_style(t, "body");
    names_survey(&r);
    context_enter(&r, root, 1, 1);
    set_properties(&r, root);
    flow_document(&r);
    text_builder_free(r.builder);
    free(r.fixups);
    for (int i = 0; i < MARK_KINDS; i++)
        free(r.marks[i].items);
    names_release(&r.places_bound);
    names_release(&r.places_set);
    free(r.sheets);
    arena_free(r.arena);
    if (!r.failed)
        return r.list;
    page_list_free(r.list);
    return NULL;
}
