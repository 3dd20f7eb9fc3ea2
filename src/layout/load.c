/* From files to a template: reads the report and the parts it includes, digests their bytes,
 * gathers styles and words, compiles the rest. */
#include "layout/layout_int.h"

#include <libxml/xpathInternals.h>
#include <stdlib.h>
#include <string.h>

static void count_error(struct loader *l, enum diag_code code, struct diag_pos pos,
                        const char *detail)
{
    l->n_errors++;
    if (l->n_errors <= ERRORS_MAX)
        diag_report(l->sink, code, pos, NULL, detail[0] != '\0' ? "%s" : NULL, detail);
}

void loader_error(struct loader *l, const xmlNode *at, enum diag_code code, const char *fmt, ...)
{
    char detail[700];
    va_list args;
    va_start(args, fmt);
    vsnprintf(detail, sizeof(detail), fmt, args);
    va_end(args);
    struct diag_pos pos = xml_pos(l->file, at);
    if (l->line > 0)
        pos.line = l->line;
    count_error(l, code, pos, detail);
}

/* ---- files ------------------------------------------------------------------------------- */

struct file {
    char *path;
    struct buf bytes;
    xmlDoc *doc;
    struct file *next;
};
struct layout_files {
    struct file *first;
};

struct layout_files *layout_files_new(void)
{
    return mem_alloc(sizeof(struct layout_files));
}

void layout_files_free(struct layout_files *files)
{
    struct file *next;
    for (struct file *f = files != NULL ? files->first : NULL; f != NULL; f = next) {
        next = f->next;
        xmlFreeDoc(f->doc);
        buf_release(&f->bytes);
        free(f->path);
        free(f);
    }
    free(files);
}

/* A file that cannot be read or parsed stands there without a document, and is tried again. */
static struct file *add_file(struct layout_files *files, const char *path, struct diag_sink *sink)
{
    struct file *f = mem_alloc(sizeof(*f));
    buf_init(&f->bytes, XML_FILE_MAX);
    f->path = mem_strdup(path);
    if (file_read(path, XML_FILE_MAX, &f->bytes, sink))
        f->doc = xml_parse(buf_text(&f->bytes), f->bytes.len, path, sink);
    f->next = files->first;
    files->first = f;
    return f;
}

/* One file, whose bytes go into the digest; NULL after reporting. */
static const xmlDoc *read_file(struct loader *l, const char *path)
{
    struct file *f = l->files->first;
    while (f != NULL && (f->doc == NULL || strcmp(f->path, path) != 0))
        f = f->next;
    if (f == NULL)
        f = add_file(l->files, path, l->sink);
    digest_add(&l->digest, buf_text(&f->bytes), f->bytes.len);
    if (f->doc == NULL)
        l->n_errors++;
    return f->doc;
}

/* ---- parts ------------------------------------------------------------------------------- */

static const char *base_name(struct arena *a, const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *base = slash != NULL ? slash + 1 : path;
    return arena_strndup(a, base, strlen(base) - strlen(".xml"));
}

/* The nearest name of a file in a folder of the templates' own; NULL: none. */
static const char *nearest_file(struct loader *l, const char *folder, const char *name)
{
    struct arena *a = l->t->arena;
    const char **names = NULL, *near = NULL;
    size_t n = 0;
    struct diag_list ignored;
    diag_list_init(&ignored);
    if (file_is_folder(folder) && file_list(folder, ".xml", a, &names, &n, &ignored.sink)) {
        for (size_t i = 0; i < n; i++)
            names[i] = base_name(a, names[i]);
        near = str_nearest(name, names, n);
    }
    diag_list_release(&ignored);
    return near;
}

static bool is_part_name(const char *name)
{
    return *name != '\0' && *name != '.' && strchr(name, '/') == NULL;
}

static struct part *add_part(struct loader *l, const char *folder, const char *name)
{
    struct part *p = arena_alloc(l->t->arena, sizeof(*p));
    p->name = name;
    p->file = arena_printf(l->t->arena, "%s/%s/%s.xml", l->folder, folder, name);
    p->next = l->parts;
    l->parts = p;
    return p;
}

/* False after saying what is wrong; `at` may be NULL. */
static bool read_part(struct loader *l, const xmlNode *at, struct part *p)
{
    p->doc = read_file(l, p->file);
    if (p->doc == NULL)
        return false;
    const xmlNode *root = xmlDocGetRootElement(p->doc);
    if (xml_is(root, "part") && root->properties == NULL)
        return true;
    loader_error(l, at, DIAG_TEMPLATE_PART,
                 "%s: the outermost element of a part is part, without attributes", p->file);
    p->doc = NULL;
    return false;
}

const struct part *loader_part(struct loader *l, const xmlNode *at, const char *name)
{
    for (const struct part *p = l->parts; p != NULL; p = p->next) {
        if (strcmp(p->name, name) == 0)
            return p->doc != NULL ? p : NULL;
    }
    struct part *p = add_part(l, "parts", name);
    if (!is_part_name(name) || !file_exists(p->file)) {
        const char *near =
            nearest_file(l, arena_printf(l->t->arena, "%s/parts", l->folder), name);
        loader_error(l, at, DIAG_TEMPLATE_PART, "there is no part %.60s%s%s", name,
                     near != NULL ? "; nearest known name: " : "", near != NULL ? near : "");
        return NULL;
    }
    return read_part(l, at, p) ? p : NULL;
}

bool loader_enter(struct loader *l, const xmlNode *at, const struct part *part)
{
    for (int i = 0; i < l->depth; i++) {
        if (l->stack[i] == part) {
            loader_error(l, at, DIAG_TEMPLATE_PART, "%s includes itself", part->name);
            return false;
        }
    }
    if (l->depth == PART_DEPTH_MAX) {
        loader_error(l, at, DIAG_TEMPLATE_PART, "parts within parts: %d deep at most",
                     (int)PART_DEPTH_MAX);
        return false;
    }
    l->stack[l->depth++] = part;
    l->file = part->file;
    return true;
}

void loader_leave(struct loader *l)
{
    l->depth--;
}

/* The XPath library prints errors unless someone takes them; evaluation reports its own. */
static void quiet(void *user, xmlErrorPtr error)
{
    (void)user;
    (void)error;
}

static bool set_root(struct loader *l, const xmlNode *report,
                     const struct layout_vocabulary *(*vocabulary_for)(const char *, size_t *))
{
    struct layout_template *t = l->t;
    t->root = xml_attr(t->arena, report, "root");
    t->language = xml_attr(t->arena, report, "lang");
    if (t->root == NULL) {
        loader_error(l, report, DIAG_TEMPLATE_ATTRIBUTE, "report needs root");
        return false;
    }
    size_t n = 0;
    const struct layout_vocabulary *entries = vocabulary_for(t->root, &n);
    if (entries == NULL) {
        loader_error(l, report, DIAG_TEMPLATE_ROOT, "root=\"%.40s\"", t->root);
        return false;
    }
    l->vocabulary = vocabulary_new(t->arena, entries, n, t->root);
    l->context.type = TYPE_NODES;
    name_set_add(&l->context.names, vocabulary_index(l->vocabulary, t->root));
    return true;
}

static void compile_title(struct loader *l, const xmlNode *report)
{
    for (const xmlNode *x = xml_first(report, "title"); x != NULL; x = xml_next(x, "title")) {
        if (l->t->title != NULL)
            loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "a second title");
        l->t->title = compile_element(l, x, IN_ROOT);
    }
}

static bool has_page(const struct node *nodes)
{
    for (; nodes != NULL; nodes = nodes->next) {
        if (nodes->element == EL_PAGE || has_page(nodes->children))
            return true;
    }
    return false;
}

static void refuse_locale(struct loader *l, const char *name)
{
    struct arena *a = l->t->arena;
    const char *folder = arena_printf(a, "%s/locale", l->folder);
    const char *near = nearest_file(l, folder, name);
    count_error(l, DIAG_TEMPLATE_LOCALE, (struct diag_pos){.file = folder},
                arena_printf(a, "%.60s%s%s", name, near != NULL ? "; nearest known name: " : "",
                             near != NULL ? near : ""));
}

/* Collects nothing but these two: another element would be passed over unseen. */
static void collect_locale(struct loader *l, const xmlNode *root)
{
    static const char *const known[] = {"numbers", "dates"};
    for (const xmlNode *x = root->children; x != NULL; x = x->next) {
        if (x->type != XML_ELEMENT_NODE || xml_is(x, known[0]) || xml_is(x, known[1]))
            continue;
        const char *near = str_nearest((const char *)x->name, known, ARRAY_LEN(known));
        loader_error(l, x, DIAG_TEMPLATE_ELEMENT, "%s%s%s", (const char *)x->name,
                     near != NULL ? "; nearest known name: " : "; a locale holds numbers and dates",
                     near != NULL ? near : "");
    }
    styles_collect(l, root);
}

/* How numbers and dates are written, before any template says otherwise. The file may be missing
 * where nobody asked for one: a folder of one's own need not have it. */
static void load_locale(struct loader *l, const char *name)
{
    struct part *p = add_part(l, "locale", name != NULL ? name : "en");
    const char *file = l->file;
    if (name != NULL && (!is_part_name(name) || !file_exists(p->file)))
        refuse_locale(l, name);
    else if (file_exists(p->file) && read_part(l, NULL, p) && loader_enter(l, NULL, p)) {
        collect_locale(l, xmlDocGetRootElement(p->doc));
        loader_leave(l);
    }
    l->parts = p->next; /* an include looks among the parts */
    l->file = file;
}

static void load_report(struct loader *l, const xmlNode *report, const char *locale,
                        const struct layout_vocabulary *(*vocabulary_for)(const char *, size_t *))
{
    struct layout_template *t = l->t;
    if (!xml_is(report, "report")) {
        loader_error(l, report, DIAG_TEMPLATE_ELEMENT,
                     "%s; the outermost element of a template is report",
                     (const char *)report->name);
        return;
    }
    if (!set_root(l, report, vocabulary_for))
        return;
    struct part own = {.name = t->name, .file = l->file};
    l->stack[l->depth++] = &own;
    styles_defaults(t);
    load_locale(l, locale);
    styles_collect(l, report);
    if (l->incomplete)
        return; /* what it would have declared would be missed all over */
    struct node node = {.element = EL_REPORT, .file = l->file, .line = xmlGetLineNo(report)};
    attributes_parse(l, report, element_spec("report"), &node);
    compile_title(l, report);
    t->content = compile_children(l, report, IN_ROOT);
    if (l->n_errors == 0 && !has_page(t->content))
        loader_error(l, report, DIAG_TEMPLATE_ELEMENT, "report needs a page");
    l->depth--;
}

struct layout_template *layout_template_load(
    const char *folder, const char *name, const char *locale,
    const struct layout_vocabulary *(*vocabulary_for)(const char *root, size_t *n),
    const struct font_set *fonts, struct layout_files *files, struct diag_sink *sink)
{
    struct layout_template *t = mem_alloc(sizeof(*t));
    struct layout_files *own = files == NULL ? layout_files_new() : NULL;
    struct loader l = {.t = t, .folder = folder, .fonts = fonts, .sink = sink};
    l.files = own != NULL ? own : files;
    t->arena = arena_new();
    t->aside = arena_new();
    t->name = arena_strdup(t->arena, name);
    t->images = image_store_new(t->arena, arena_strdup(t->arena, folder));
    t->xpath = eval_context_new();
    xmlXPathContextPtr context = t->xpath;
    context->error = quiet;
    digest_init(&l.digest);
    l.file = arena_printf(t->arena, "%s/%s.xml", folder, name);
    const xmlDoc *doc = read_file(&l, l.file);
    if (doc != NULL)
        load_report(&l, xmlDocGetRootElement(doc), locale, vocabulary_for);
    digest_hex(&l.digest, t->digest);
    layout_files_free(own);
    if (l.n_errors > ERRORS_MAX)
        diag_report(sink, DIAG_TEMPLATE_TOO_LARGE, (struct diag_pos){.file = l.file}, NULL,
                    "%zu more errors were found", l.n_errors - ERRORS_MAX);
    if (l.n_errors == 0)
        return t;
    layout_template_free(t);
    return NULL;
}

void layout_template_free(struct layout_template *t)
{
    if (t == NULL)
        return;
    for (size_t i = 0; i < t->exprs.n; i++)
        xmlXPathFreeCompExpr(t->exprs.items[i]->compiled);
    free(t->exprs.items);
    xmlXPathFreeContext(t->xpath);
    image_store_free(t->images);
    free(t->styles);
    free(t->words);
    names_release(&t->word_keys);
    names_release(&t->names);
    arena_free(t->aside);
    arena_free(t->arena);
    free(t);
}

const char *layout_template_root(const struct layout_template *t)
{
    return t->root;
}

const char *layout_template_digest(const struct layout_template *t)
{
    return t->digest;
}
