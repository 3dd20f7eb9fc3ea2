/* What every report needs and nobody changes: reference, clinic, fonts, templates, the PDF writer.
 * Loaded once, before the workers are forked, and shared by all of them. */
#include "batch/sheet_int.h"
#include "page/image.h"

#include <stdlib.h>
#include <string.h>

/* The findings' vocabulary in the shape layout asks for; the two structs have the same members in
 * the same order, which the assertions hold down, because neither folder may include the other. */
_Static_assert(sizeof(struct layout_vocabulary) == sizeof(struct vocabulary_entry) &&
                   offsetof(struct layout_vocabulary, attributes) ==
                       offsetof(struct vocabulary_entry, attributes) &&
                   offsetof(struct layout_vocabulary, children) ==
                       offsetof(struct vocabulary_entry, children),
               "one shape of vocabulary");

const struct layout_vocabulary *tools_vocabulary(const char *root, size_t *n)
{
    return (const struct layout_vocabulary *)(const void *)findings_vocabulary(root, n);
}

static const char *templates_folder(struct tools *t, struct diag_sink *sink)
{
    if (t->options->templates != NULL)
        return t->options->templates;
    const char *folder = file_data_folder(t->arena, "templates");
    if (folder == NULL)
        diag_report(sink, DIAG_NO_DATA_FOLDER, (struct diag_pos){0}, NULL, "templates");
    return folder;
}

static void report_unknown_kind(struct tools *t, const char *folder, const char *kind,
                                struct diag_sink *sink)
{
    const char **paths;
    size_t n;
    if (!file_list(folder, ".xml", t->arena, &paths, &n, sink))
        return;
    for (size_t i = 0; i < n; i++) {
        const char *name = strrchr(paths[i], '/') + 1;
        paths[i] = arena_strndup(t->arena, name, strlen(name) - strlen(".xml"));
    }
    const char *nearest = str_nearest(kind, paths, n);
    struct diag_pos pos = {.file = folder};
    if (nearest != NULL)
        diag_report(sink, DIAG_KIND_UNKNOWN, pos, NULL, "'%s'; did you mean '%s'?", kind, nearest);
    else
        diag_report(sink, DIAG_KIND_UNKNOWN, pos, NULL, "'%s'", kind);
}

/* A picture the clinic names stands beside its file. */
static const char *clinic_folder(const struct tools *t)
{
    const char *file = t->options->clinic;
    const char *slash = file != NULL ? strrchr(file, '/') : NULL;
    if (slash == NULL)
        return ".";
    return arena_strndup(t->arena, file, slash == file ? 1 : (size_t)(slash - file));
}

/* Looked at once before any report, which would be refused one by one for it. */
static bool load_logo(struct tools *t, struct diag_sink *sink)
{
    char why[IMAGE_WHY_MAX];
    const char *name = t->clinic->logo;
    if (str_is_empty(name))
        return true;
    const char *path =
        *name == '/' ? name : arena_printf(t->arena, "%s/%s", clinic_folder(t), name);
    struct image *image = image_read(path, why);
    if (image == NULL) {
        diag_report(sink, DIAG_TEMPLATE_IMAGE,
                    (struct diag_pos){.file = t->options->clinic, .field = "logo"}, NULL,
                    "%s: %s", path, why);
        return false;
    }
    t->logo_digest = image->digest;
    image_free(image);
    return true;
}

/* NULL: the one of the templates. */
static const char *locale_of(const struct tools *t)
{
    return *t->clinic->locale != '\0' ? t->clinic->locale : NULL;
}

static bool load_kind(struct tools *t, const char *folder, const char *kind,
                      struct layout_files *files, struct diag_sink *sink)
{
    if (strchr(kind, '/') != NULL ||
        !file_exists(arena_printf(t->arena, "%s/%s.xml", folder, kind))) {
        report_unknown_kind(t, folder, kind, sink);
        return false;
    }
    struct layout_template *tpl =
        layout_template_load(folder, kind, locale_of(t), tools_vocabulary, t->fonts, files, sink);
    if (tpl == NULL)
        return false;
    layout_template_set_image_folder(tpl, clinic_folder(t));
    t->kinds[t->n_templates] = kind;
    t->templates[t->n_templates++] = tpl;
    return true;
}

static bool load_templates(struct tools *t, const char *folder, struct layout_files *files,
                           struct diag_sink *sink)
{
    const struct batch_options *o = t->options;
    size_t n;
    const char *const *kinds = kinds_by_default(&n);
    if (o->n_kinds > 0) {
        kinds = o->kinds;
        n = o->n_kinds;
    }
    if (o->command == BATCH_MERGE)
        n = 0; /* the reports are there */
    if (o->command == BATCH_HANDOUT)
        kinds = kinds_of_handout(o->with_notes, &n);
    t->kinds = arena_alloc(t->arena, n * sizeof *t->kinds);
    t->templates = arena_alloc(t->arena, n * sizeof *t->templates);
    for (size_t i = 0; i < n; i++)
        if (!load_kind(t, folder, kinds[i], files, sink))
            return false;
    if (o->command == BATCH_HANDOUT)
        return true;
    t->day_index = layout_template_load(folder, "day-index", locale_of(t), tools_vocabulary,
                                        t->fonts, files, sink);
    return t->day_index != NULL;
}

static void digest_text(struct digest *d, const char *text)
{
    if (text != NULL)
        digest_add(d, text, strlen(text) + 1);
}

/* What shapes the reports of one template beside the patient's rows. */
static const char *made_with(const struct tools *t, size_t i)
{
    struct digest d;
    char hex[DIGEST_HEX];
    digest_init(&d);
    digest_text(&d, ENDFEEL_VERSION);
    digest_text(&d, reference_digest(t->reference));
    digest_text(&d, t->clinic->digest);
    digest_add(&d, &t->logo_digest, sizeof t->logo_digest);
    digest_text(&d, import_settings_digest(t->settings));
    digest_text(&d, font_set_digest(t->fonts));
    digest_text(&d, t->kinds[i]);
    digest_text(&d, layout_template_digest(t->templates[i]));
    digest_text(&d, t->passwords != NULL ? "protected" : "");
    digest_text(&d, t->options->archive ? "archive" : "");
    digest_text(&d, t->options->attach ? "attach" : "");
    digest_hex(&d, hex);
    return arena_strdup(t->arena, hex);
}

/* Files a user names: what does not load is a matter of usage, whatever the cause. */
static bool load_named(struct tools *t, struct diag_sink *sink)
{
    const struct batch_options *o = t->options;
    t->reference = o->reference != NULL ? reference_load_folder(o->reference, sink)
                                        : reference_load_embedded(sink);
    if (t->reference == NULL)
        return false;
    if (o->clinic != NULL) {
        t->clinic = clinic_load(o->clinic, t->reference, t->arena, sink);
    } else {
        struct clinic *usual = arena_alloc(t->arena, sizeof *usual);
        *usual = clinic_default(t->reference);
        t->clinic = usual;
    }
    t->settings = o->map != NULL ? import_settings_load(o->map, t->reference, t->arena, sink)
                                 : import_settings_default();
    if (o->protect != NULL && (t->passwords = passwords_load(o->protect, t->arena, sink)) == NULL)
        return false;
    if (t->clinic == NULL || t->settings == NULL)
        return false;
    t->settings = import_settings_for_clinic(t->settings, t->clinic, t->arena);
    return true;
}

enum status tools_load(struct tools *t, const struct batch_options *options,
                       struct diag_sink *sink)
{
    *t = (struct tools){.options = options, .arena = arena_new()};
    if (!load_named(t, sink))
        return STATUS_USAGE;
    bool handout = options->command == BATCH_HANDOUT; /* nothing of the clinic is on it */
    if (options->command == BATCH_REPORT || options->command == BATCH_MERGE || handout) {
        if (!handout && !load_logo(t, sink))
            return STATUS_USAGE;
        if (t->passwords != NULL && !pdf_can_protect(sink))
            return STATUS_SYSTEM;
        if ((t->fonts = font_set_load(NULL, sink)) == NULL)
            return STATUS_SYSTEM;
        const char *folder = templates_folder(t, sink);
        if (folder == NULL)
            return STATUS_SYSTEM;
        struct layout_files *files = layout_files_new();
        bool loaded = load_templates(t, folder, files, sink);
        layout_files_free(files);
        if (!loaded)
            return STATUS_USAGE;
        if ((t->pdf = pdf_writer_new(t->fonts, "endfeel " ENDFEEL_VERSION,
                                     options->archive ? PDF_ARCHIVE : PDF_USUAL, sink)) == NULL)
            return STATUS_SYSTEM;
        t->made_with = arena_alloc(t->arena, t->n_templates * sizeof *t->made_with);
        for (size_t i = 0; i < t->n_templates; i++)
            t->made_with[i] = made_with(t, i);
    }
    return STATUS_OK;
}

enum status tools_load_sheet(struct tools *t, const struct batch_options *options,
                             const char *kind, const char *root, struct diag_sink *sink)
{
    *t = (struct tools){.options = options, .arena = arena_new()};
    if (!load_named(t, sink))
        return STATUS_USAGE;
    if (kind == NULL)
        return STATUS_OK;
    if (!load_logo(t, sink))
        return STATUS_USAGE;
    if ((t->fonts = font_set_load(NULL, sink)) == NULL)
        return STATUS_SYSTEM;
    const char *folder = templates_folder(t, sink);
    if (folder == NULL)
        return STATUS_SYSTEM;
    t->kinds = arena_alloc(t->arena, sizeof *t->kinds);
    t->templates = arena_alloc(t->arena, sizeof *t->templates);
    if (!load_kind(t, folder, kind, NULL, sink))
        return STATUS_USAGE;
    if (!str_eq(layout_template_root(t->templates[0]), root)) {
        struct diag_pos pos = {.file = arena_printf(t->arena, "%s/%s.xml", folder, kind)};
        diag_report(sink, DIAG_TEMPLATE_ROOT, pos, NULL, "'%s' here, not '%s'", root,
                    layout_template_root(t->templates[0]));
        return STATUS_USAGE;
    }
    t->pdf = pdf_writer_new(t->fonts, "endfeel " ENDFEEL_VERSION,
                            t->options->archive ? PDF_ARCHIVE : PDF_USUAL, sink);
    return t->pdf != NULL ? STATUS_OK : STATUS_SYSTEM;
}

void tools_release(struct tools *t)
{
    for (size_t i = 0; i < t->n_sources; i++)
        import_close(t->sources[i]);
    free(t->sources);
    for (size_t i = 0; i < t->n_templates; i++)
        layout_template_free(t->templates[i]);
    layout_template_free(t->day_index);
    pdf_writer_free(t->pdf);
    font_set_free(t->fonts);
    reference_free(t->reference);
    arena_free(t->arena);
}
