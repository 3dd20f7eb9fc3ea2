/* The reports of one visit: what still stands unchanged is left as it is, the others are set and
 * written as .part beside their final names. */
#include "batch/batch_int.h"

#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>

enum { DIGEST_CHUNK = 64 << 10 };

/* ---- what a report is made from ----------------------------------------------------------------- */

static int compare_texts(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static const char *kept_text(struct desk *desk, struct buf *b)
{
    const char *text = arena_strdup(desk->arena, buf_text(b));
    buf_clear(b);
    return text;
}

/* The texts of the patient's rows up to the visit, in an order that does not depend on files, and
 * where the problems of the visit stand, because the report names the place. */
static void add_rows(struct desk *desk, const struct visit *v, struct digest *d)
{
    const char **texts = arena_alloc(desk->arena, (desk->n_rows + 1) * sizeof *texts);
    size_t n = 0;
    struct buf b;
    buf_init(&b, SIZE_MAX / 4);
    for (size_t i = 0; i < desk->n_rows; i++) {
        const struct row *row = &desk->rows[i];
        if (date_compare(desk->dates[i], v->date) > 0)
            continue;
        import_row_text(desk->tools->sources[row->source], row, &b);
        texts[n++] = kept_text(desk, &b);
    }
    qsort(texts, n, sizeof *texts, compare_texts);
    for (size_t i = 0; i < n; i++)
        digest_add(d, texts[i], strlen(texts[i]) + 1);
    for (size_t i = 0; i < v->n_problems; i++) {
        wire_put_diag(&b, &v->problems[i]);
        digest_add(d, b.data, b.len);
        buf_clear(&b);
    }
    buf_release(&b);
}

/* One for each kind. */
static const char **input_digests(struct desk *desk, const struct visit *v)
{
    const struct tools *t = desk->tools;
    const char **digests = arena_alloc(desk->arena, t->n_templates * sizeof *digests);
    struct digest rows;
    char hex[DIGEST_HEX];
    digest_init(&rows);
    add_rows(desk, v, &rows);
    digest_hex(&rows, hex);
    for (size_t i = 0; i < t->n_templates; i++) {
        struct digest d;
        char both[DIGEST_HEX];
        digest_init(&d);
        digest_add(&d, t->made_with[i], strlen(t->made_with[i]) + 1);
        digest_add(&d, hex, sizeof hex);
        digest_hex(&d, both);
        digests[i] = arena_strdup(desk->arena, both);
    }
    return digests;
}

/* ---- what is there ------------------------------------------------------------------------------ */

/* Digest of a file in the output folder; false when it is not there or cannot be read. */
static bool digest_file(const char *path, int64_t *size, char hex[DIGEST_HEX])
{
    FILE *f = fopen(path, "re");
    if (f == NULL)
        return false;
    struct digest d;
    char chunk[DIGEST_CHUNK];
    size_t n;
    *size = 0;
    digest_init(&d);
    while ((n = fread(chunk, 1, sizeof chunk, f)) > 0) {
        digest_add(&d, chunk, n);
        *size += (int64_t)n;
    }
    bool ok = ferror(f) == 0;
    fclose(f);
    digest_hex(&d, hex);
    return ok;
}

static const char *in_out(struct desk *desk, const char *file)
{
    return arena_printf(desk->arena, "%s/%s", desk->tools->options->out, file);
}

static bool stands(struct desk *desk, const char *file, const struct past_report *was)
{
    int64_t size;
    char hex[DIGEST_HEX];
    return digest_file(in_out(desk, file), &size, hex) && size == was->bytes &&
           strcmp(hex, was->sha256) == 0;
}

/* ---- one report ----------------------------------------------------------------------------------- */

static const char *worst_of(const struct visit_findings *vf, int held)
{
    if (vf->n_worse > 0)
        return "worse";
    for (size_t i = 0; i < vf->n_rows; i++)
        for (int f = 0; f < vf->rows[i].n_flags; f++)
            if (vf->rows[i].flags[f].level != FLAG_NOTE)
                return "check";
    if (held > 0)
        return "held-back";
    return vf->n_limited > 0 ? "limited" : "none";
}

static void count_problems(const struct visit *v, int *notes, int *held)
{
    *notes = *held = 0;
    for (size_t i = 0; i < v->n_problems; i++) {
        enum diag_outcome o = diag_outcome(v->problems[i].code);
        *notes += o == OUTCOME_NOTE;
        *held += o == OUTCOME_HELD_BACK;
    }
}

static void describe(struct desk *desk, const struct visit_findings *vf, const char *kind,
                     struct report *r)
{
    const struct visit *v = vf->visit;
    char date[DATE_TEXT_MAX];
    date_format(date, v->date);
    r->kind = kind;
    r->patient_id = v->patient->id;
    r->name = v->patient->name;
    r->visit_date = v->date;
    r->visit_kind = visit_kind_name(v->kind);
    r->file = arena_printf(desk->arena, "%s/%s_%s_%s.pdf", date,
                           file_safe_name(desk->arena, r->patient_id), date, kind);
    count_problems(v, &r->notes, &r->held);
    r->worst = worst_of(vf, r->held);
    r->author = v->measured_by;
    r->role = role_name(v->role);
    bool student = v->role == ROLE_STUDENT;
    for (size_t i = 0; i < v->n_measurements; i++)
        student = student || v->measurements[i].role == ROLE_STUDENT;
    r->needs_countersign = student && !date_is_set(v->countersigned_on);
    r->is_signed = date_is_set(v->signed_on);
}

/* Whether the report stands as an earlier run left it; `r` then says what the manifest says. */
static bool is_unchanged(struct desk *desk, struct report *r)
{
    struct past_report was;
    if (!past_find(desk->tools->past, r->file, &was))
        return false;
    r->state = REPORT_SET_AGAIN;
    if (strcmp(was.input_sha256, r->input_sha256) != 0 || !stands(desk, r->file, &was))
        return false;
    r->state = REPORT_UNCHANGED;
    r->pages = was.pages;
    r->amendment = was.amendment;
    r->bytes = was.bytes;
    r->sha256 = arena_strdup(desk->arena, was.sha256);
    return true;
}

static bool write_report(struct desk *desk, const struct page_list *pages, struct report *r)
{
    char date[DATE_TEXT_MAX], hex[DIGEST_HEX];
    buf_clear(&desk->scratch);
    if (!pdf_write(desk->tools->pdf, pages, &desk->scratch, &desk->sink) ||
        !file_make_folders(in_out(desk, date_format(date, r->visit_date)), &desk->sink) ||
        !file_write_part(in_out(desk, r->file), desk->scratch.data, desk->scratch.len,
                         &desk->sink))
        return false;
    struct digest d;
    digest_init(&d);
    digest_add(&d, desk->scratch.data, desk->scratch.len);
    digest_hex(&d, hex);
    r->pages = (int)pages->n;
    r->bytes = (int64_t)desk->scratch.len;
    r->sha256 = arena_strdup(desk->arena, hex);
    return true;
}

static bool make_report(struct desk *desk, const struct visit *v, xmlDocPtr doc, size_t i,
                        struct report *r)
{
    const struct tools *t = desk->tools;
    struct page_list *pages = layout_render(t->templates[i], doc, t->fonts, &desk->sink);
    bool ok = pages != NULL;
    if (ok && t->options->dump == DUMP_PAGES) {
        buf_clear(&desk->scratch);
        page_dump(pages, &desk->scratch);
        desk_put_text(desk, v, (int)i, &desk->scratch);
    } else if (ok) {
        ok = write_report(desk, pages, r);
    }
    if (!ok)
        diag_report(&desk->sink, DIAG_DOCUMENT_REFUSED,
                    (struct diag_pos){.file = import_path(t->sources[desk->rows[0].source]),
                                      .line = desk->rows[0].line},
                    NULL, "kind %s", t->kinds[i]);
    page_list_free(pages);
    return ok;
}

static void answer_report(struct desk *desk, const struct report *r)
{
    buf_clear(&desk->payload);
    report_put(&desk->payload, r);
    wire_record(&desk->answer, RECORD_REPORT, &desk->payload);
}

void make_reports(struct desk *desk, const struct visit_findings *vf)
{
    const struct tools *t = desk->tools;
    bool dump = t->options->dump == DUMP_PAGES;
    struct findings_extra extra = {.program_version = ENDFEEL_VERSION};
    const char **digests = input_digests(desk, vf->visit);
    xmlDocPtr doc = NULL;
    for (size_t i = 0; i < t->n_templates; i++) {
        struct report r = {.input_sha256 = digests[i]};
        describe(desk, vf, t->kinds[i], &r);
        if (!dump && is_unchanged(desk, &r)) {
            answer_report(desk, &r);
            continue;
        }
        if (doc == NULL)
            doc = findings_document(vf, &extra);
        if (make_report(desk, vf->visit, doc, i, &r) && !dump)
            answer_report(desk, &r);
    }
    xmlFreeDoc(doc);
}
