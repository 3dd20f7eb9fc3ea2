/*
 * A case for teaching, of one patient: student sheet, answer key and a sheet a visit, without
 * identifiers (docs/handout.md). One patient is little work: it is done here, without workers. What
 * is said on the way names no file and no text of the input, for either may hold a name.
 */
#include "batch/batch_int.h"

#include <dirent.h>
#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { CASE_LAST = 9999, NAME_MAX_LEN = 64 };

struct sheet {
    char name[NAME_MAX_LEN]; /* of the file, without a folder */
    struct buf pdf;
};
struct handout {
    struct tools tools;
    struct diag_sink sink;
    struct arena *arena;
    struct tally *tallies;
    struct ids *ids;
    struct buf packed;       /* the patient's rows */
    struct row *rows;
    struct date *dates;
    size_t n_rows;
    long held, notes;
    size_t lost;             /* inputs that could not be read */
    const struct visit_findings **visits;
    size_t n_visits;
    int number;              /* of the case */
    struct sheet *sheets;
    size_t n_sheets;
};

/* ---- what is said -------------------- */

static bool is_input(const struct handout *h, const char *file)
{
    const struct batch_options *o = h->tools.options;
    for (size_t i = 0; i < h->tools.n_sources; i++)
        if (str_eq(import_path(h->tools.sources[i]), file))
            return true;
    for (size_t i = 0; i < o->n_inputs; i++)
        if (str_starts(file, o->inputs[i]))
            return true;
    for (size_t i = 0; i < o->n_history; i++)
        if (str_starts(file, o->history[i]))
            return true;
    return false;
}

static void on_diag(void *user, const struct diag *d)
{
    struct handout *h = user;
    struct diag plain = *d;
    enum diag_outcome outcome = diag_outcome(d->code);
    h->held += outcome == OUTCOME_HELD_BACK;
    h->notes += outcome == OUTCOME_NOTE;
    if (d->pos.file != NULL && is_input(h, d->pos.file))
        plain = (struct diag){.code = d->code, .pos = {.file = "input", .line = d->pos.line}};
    if (outcome != OUTCOME_NONE)
        plain.pos.field = plain.detail = NULL;
    if (outcome != OUTCOME_NONE && !h->tools.options->verbose && d->pos.line > 0)
        return;
    if (!h->tools.options->quiet || diag_level(d->code) >= DIAG_ERROR)
        diag_print(stderr, &plain);
}

static void say_summary(const struct handout *h)
{
    const struct batch_options *o = h->tools.options;
    if (o->quiet)
        return;
    for (size_t i = 0; i < h->tools.n_sources; i++) {
        const struct tally *t = &h->tallies[i];
        fprintf(stderr, "input %zu: %ld rows of the patient = %ld used + %ld duplicates + %ld held "
                        "back\n", i + 1, t->rows_in, t->used, t->duplicates, t->held);
    }
    if (h->held + h->notes > 0)
        fprintf(stderr, "%ld held back, %ld notes: endfeel check lists them\n", h->held, h->notes);
    if (h->n_sheets > 0 && o->dump == DUMP_NONE)
        fprintf(stderr, "case %02d: %zu sheets in %s/handout/\n", h->number, h->n_sheets, o->out);
}

/* ---- the patient -------------------- */

static void take_row(struct handout *h, const struct import_source *src, const struct row *row)
{
    const char *id = import_row_patient(src, row);
    if (*id != '\0')
        ids_add(h->ids, id, import_row_has_facts(src, row));
    if (strcmp(id, h->tools.options->only_patient) != 0) {
        h->tallies[row->source].rows_in--;
        return;
    }
    row_pack(row, &h->packed);
    h->n_rows++;
}

static void unpack_rows(struct handout *h)
{
    h->rows = arena_alloc(h->arena, (h->n_rows + 1) * sizeof *h->rows);
    h->dates = arena_alloc(h->arena, (h->n_rows + 1) * sizeof *h->dates);
    for (size_t i = 0, at = 0; i < h->n_rows; i++) {
        at += row_unpack(h->packed.data + at, h->packed.len - at, h->arena, &h->rows[i]);
        h->dates[i] = import_row_date(h->tools.sources[h->rows[i].source], &h->rows[i],
                                      h->tools.options->today);
    }
}

static void read_inputs(struct handout *h)
{
    for (size_t i = 0; i < h->tools.n_sources; i++) {
        struct row row;
        enum import_step step;
        struct import_source *src = h->tools.sources[i];
        while ((step = import_next(src, &row, &h->tallies[i], &h->sink)) == IMPORT_ROW)
            take_row(h, src, &row);
        h->lost += step == IMPORT_FAILED;
    }
    unpack_rows(h);
}

/* Another id that is too like this one. */
static bool is_doubtful(struct handout *h)
{
    const char *nearest;
    enum id_doubt doubt = ids_doubt(h->ids, h->tools.options->only_patient, &nearest);
    if (doubt == ID_HELD)
        import_hold_patient(h->rows, h->n_rows, h->tools.sources, nearest, h->tallies, &h->sink);
    else if (doubt == ID_ALIKE)
        import_note_id(&h->rows[0], h->tools.sources, nearest, &h->sink);
    return doubt == ID_HELD;
}

/* The visits of the patient as they were known on their days. */
static bool evaluate(struct handout *h)
{
    const struct tools *t = &h->tools;
    char why[200];
    if (is_doubtful(h)) {
        diag_report(&h->sink, DIAG_PATIENT_HELD, (struct diag_pos){0}, NULL, NULL);
        return false;
    }
    struct patient *p = import_patient(h->rows, h->n_rows, t->sources, t->reference,
                                       t->options->today, h->arena, h->tallies, &h->sink);
    if (!model_check(p, why, sizeof why)) {
        diag_report(&h->sink, DIAG_MODEL_BROKEN, (struct diag_pos){0}, NULL, "%s", why);
        return false;
    }
    if (p->held) {
        diag_report(&h->sink, DIAG_PATIENT_HELD, (struct diag_pos){0}, NULL, NULL);
        return false;
    }
    h->visits = arena_alloc(h->arena, (p->n_visits + 1) * sizeof(struct visit_findings *));
    for (size_t i = 0; i < p->n_visits; i++) {
        const struct visit *v = &p->visits[i];
        if (v->held || v->from_history)
            continue;
        h->visits[h->n_visits++] =
            evaluate_as_of_its_day(t, h->rows, h->dates, h->n_rows, v, NULL, h->arena);
    }
    if (h->n_visits == 0)
        diag_report(&h->sink, DIAG_CASE_EMPTY, (struct diag_pos){0}, NULL, NULL);
    return h->n_visits > 0;
}

/* ---- number of the case -------------------- */

static const char *folder_of(const struct handout *h)
{
    return arena_printf(h->arena, "%s/handout", h->tools.options->out);
}

/* "case-NN-...": NN, else 0. */
static int number_of(const char *name)
{
    int number = 0, used = 0;
    if (sscanf(name, "case-%4d-%n", &number, &used) < 1 || used == 0)
        return 0;
    return number;
}

/* One more than the highest that the folder holds: nothing of the patient goes into it. */
static bool choose_number(struct handout *h)
{
    h->number = h->tools.options->case_number;
    if (h->number > 0)
        return true;
    DIR *dir = opendir(folder_of(h));
    for (struct dirent *e; dir != NULL && (e = readdir(dir)) != NULL;)
        if (number_of(e->d_name) > h->number)
            h->number = number_of(e->d_name);
    if (dir != NULL)
        closedir(dir);
    h->number++;
    if (h->number > CASE_LAST)
        diag_report(&h->sink, DIAG_CASE_NUMBERS, (struct diag_pos){.file = folder_of(h)}, NULL,
                    NULL);
    return h->number <= CASE_LAST;
}

/* ---- the sheets -------------------- */

static bool dump_pages(const struct page_list *pages, const char *name)
{
    struct buf text;
    buf_init(&text, SIZE_MAX / 4);
    buf_addf(&text, "== %s\n", name);
    page_dump(pages, &text);
    bool ok = fwrite(text.data, 1, text.len, stdout) == text.len;
    buf_release(&text);
    return ok;
}

static bool set_sheet(struct handout *h, const char *kind, size_t stage)
{
    const struct tools *t = &h->tools;
    struct findings_case how = {h->number, stage, t->options->with_notes};
    xmlDoc *doc = findings_case_document(h->visits, h->n_visits, &how, h->arena);
    struct sheet *sheet = &h->sheets[h->n_sheets];
    struct page_list *pages = NULL;
    const char *what = strchr(kind, '-') + 1; /* handout-key: key */
    if (stage > 0)
        snprintf(sheet->name, sizeof sheet->name, "case-%02d-%s-%zu.pdf", h->number, what, stage);
    else
        snprintf(sheet->name, sizeof sheet->name, "case-%02d-%s.pdf", h->number, what);
    for (size_t i = 0; i < t->n_templates; i++)
        if (strcmp(t->kinds[i], kind) == 0)
            pages = layout_render(t->templates[i], doc, t->fonts, &h->sink);
    bool ok = pages != NULL;
    if (ok && t->options->dump == DUMP_PAGES)
        ok = dump_pages(pages, sheet->name);
    else if (ok)
        ok = pdf_write(t->pdf, pages, &sheet->pdf, &h->sink);
    h->n_sheets += ok;
    page_list_free(pages);
    findings_free(doc);
    if (!ok)
        diag_report(&h->sink, DIAG_DOCUMENT_REFUSED, (struct diag_pos){0}, NULL, "kind %s", kind);
    return ok;
}

static bool set_sheets(struct handout *h)
{
    enum { OTHERS = 3 };
    size_t n = h->n_visits + OTHERS;
    h->sheets = arena_alloc(h->arena, n * sizeof *h->sheets);
    for (size_t i = 0; i < n; i++)
        buf_init(&h->sheets[i].pdf, SIZE_MAX / 4);
    bool ok = set_sheet(h, "handout-student", 0) && set_sheet(h, "handout-key", 0);
    for (size_t i = 1; ok && i <= h->n_visits; i++)
        ok = set_sheet(h, "handout-stage", i);
    if (ok && h->tools.options->with_notes)
        ok = set_sheet(h, "handout-review", 0);
    return ok;
}

static bool print_case(struct handout *h)
{
    struct findings_case how = {h->number, 0, h->tools.options->with_notes};
    xmlDoc *doc = findings_case_document(h->visits, h->n_visits, &how, h->arena);
    bool ok = xmlDocFormatDump(stdout, doc, 1) > 0 && fflush(stdout) == 0;
    findings_free(doc);
    return ok;
}

/* ---- in place -------------------- */

static const char *path_of(const struct handout *h, const char *name)
{
    return arena_printf(h->arena, "%s/%s", folder_of(h), name);
}

/* Sheets of an earlier case of this number that this one does not have. */
static void remove_others(struct handout *h)
{
    const char **names;
    size_t n;
    struct diag_sink quiet = {0};
    if (!file_list(folder_of(h), ".pdf", h->arena, &names, &n, &quiet))
        return;
    for (size_t i = 0; i < n; i++) {
        const char *name = strrchr(names[i], '/') + 1;
        bool ours = false;
        for (size_t k = 0; k < h->n_sheets; k++)
            ours |= strcmp(name, h->sheets[k].name) == 0;
        if (!ours && number_of(name) == h->number)
            unlink(names[i]);
    }
}

static bool write_sheets(struct handout *h)
{
    size_t n = 0;
    bool ok = true;
    for (; ok && n < h->n_sheets; n++)
        ok = file_write_part(path_of(h, h->sheets[n].name), h->sheets[n].pdf.data,
                             h->sheets[n].pdf.len, &h->sink);
    for (size_t i = 0; ok && i < n; i++)
        ok = file_commit(path_of(h, h->sheets[i].name), &h->sink);
    for (size_t i = 0; !ok && i < n; i++)
        file_discard(path_of(h, h->sheets[i].name));
    if (ok)
        remove_others(h);
    return ok && file_sync_folder(folder_of(h), &h->sink);
}

static enum status make(struct handout *h)
{
    const struct batch_options *o = h->tools.options;
    bool dump = o->dump != DUMP_NONE;
    int lock = -1;
    if (!dump) {
        if (!file_make_folders(folder_of(h), &h->sink))
            return STATUS_SYSTEM;
        lock = lock_take(path_of(h, ".lock"), false, isatty(STDERR_FILENO) == 1, &h->sink);
        if (lock < 0)
            return STATUS_SYSTEM;
    }
    enum status status = STATUS_OK;
    if (dump)
        h->number = o->case_number > 0 ? o->case_number : 1;
    else if (!choose_number(h))
        status = STATUS_HELD_BACK;
    if (status == STATUS_OK && o->dump == DUMP_FINDINGS)
        status = print_case(h) ? STATUS_OK : STATUS_SYSTEM;
    else if (status == STATUS_OK && !set_sheets(h))
        status = STATUS_HELD_BACK;
    if (status == STATUS_OK && !dump && !write_sheets(h))
        status = STATUS_SYSTEM;
    lock_drop(lock);
    return status;
}

static enum status run(struct handout *h)
{
    inputs_open(&h->tools, &h->lost, &h->sink);
    h->tallies = mem_alloc((h->tools.n_sources + 1) * sizeof *h->tallies);
    if (h->tools.n_sources == 0) {
        diag_report(&h->sink, DIAG_NO_INPUT, (struct diag_pos){0}, NULL, NULL);
        return STATUS_HELD_BACK;
    }
    read_inputs(h);
    if (h->n_rows == 0) {
        diag_report(&h->sink, DIAG_PATIENT_UNKNOWN, (struct diag_pos){0}, NULL, NULL);
        return STATUS_USAGE;
    }
    if (!evaluate(h))
        return h->sink.count[DIAG_SYSTEM] > 0 ? STATUS_SYSTEM : STATUS_HELD_BACK;
    enum status status = make(h);
    if (status == STATUS_OK && (h->held > 0 || h->lost > 0))
        status = STATUS_HELD_BACK;
    return status;
}

enum status handout_run(const struct batch_options *options)
{
    struct handout h = {.sink = {.put = on_diag}, .arena = arena_new(), .ids = ids_new()};
    h.sink.user = &h;
    h.tools.options = options;
    buf_init(&h.packed, SIZE_MAX / 4);
    watch_signals();
    enum status status = tools_load(&h.tools, options, &h.sink);
    if (status == STATUS_OK) {
        status = run(&h);
        say_summary(&h);
    }
    for (size_t i = 0; h.sheets != NULL && i < h.n_visits + 3; i++)
        buf_release(&h.sheets[i].pdf);
    buf_release(&h.packed);
    free(h.tallies);
    ids_free(h.ids);
    arena_free(h.arena);
    tools_release(&h.tools);
    return status;
}
