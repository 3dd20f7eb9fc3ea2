/* A worker: one patient's rows in, everything made of them out. import -> rules -> findings ->
 * layout -> pdf, then the PDF as .part under its final name's side; only the parent puts files in
 * place. A worker lives for many patients; each has its own arena. */
#include "batch/batch_int.h"

#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A worker's state for the patient in hand. */
struct desk {
    const struct tools *tools;
    struct arena *arena;
    struct buf answer, payload, scratch;
    struct diag_sink sink;
    struct tally *tallies;
    struct row *rows;
    size_t n_rows;
    struct date newest;
};

static void put_diag(void *user, const struct diag *d)
{
    struct desk *desk = user;
    buf_clear(&desk->payload);
    wire_put_diag(&desk->payload, d);
    wire_record(&desk->answer, RECORD_DIAG, &desk->payload);
}

/* Sort key of what is collected over all patients: id, date, running number. */
static void put_text(struct desk *desk, const struct visit *v, int part, const struct buf *text)
{
    buf_clear(&desk->payload);
    struct buf key;
    char date[DATE_TEXT_MAX];
    buf_init(&key, 1 << 16);
    buf_adds(&key, v->patient->id);
    buf_addc(&key, '\0');
    buf_addf(&key, "%s %02d", date_format(date, v->date), part);
    wire_put_int(&desk->payload, (int64_t)key.len);
    buf_add(&desk->payload, key.data, key.len);
    buf_add(&desk->payload, text->data, text->len);
    wire_record(&desk->answer, RECORD_TEXT, &desk->payload);
    buf_release(&key);
}

static bool is_selected(const struct desk *desk, const struct patient *p, const struct visit *v)
{
    const struct batch_options *o = desk->tools->options;
    if (v->from_history || v->held)
        return false;
    switch (o->select) {
    case SELECT_EVERY:
        return true;
    case SELECT_ON:
        return date_compare(v->date, o->on) == 0;
    case SELECT_NEWEST:
        return date_compare(v->date, desk->newest) == 0;
    case SELECT_LATEST:
        break;
    }
    for (const struct visit *later = v + 1; later < p->visits + p->n_visits; later++)
        if (!later->from_history && !later->held)
            return false;
    return true;
}

static int compare_texts(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* What the report was made from: the texts of the patient's rows up to the visit, in an order that
 * does not depend on files, and everything that shapes the report. */
static const char *input_digest(const struct desk *desk, const struct visit *v, const char *kind)
{
    const char **texts = arena_alloc(desk->arena, (desk->n_rows + 1) * sizeof *texts);
    size_t n = 0;
    for (size_t i = 0; i < desk->n_rows; i++) {
        const struct row *row = &desk->rows[i];
        const struct import_source *src = desk->tools->sources[row->source];
        struct date d = import_row_date(src, row, desk->tools->options->today);
        if (date_is_set(d) && date_compare(d, v->date) > 0)
            continue;
        struct buf b;
        buf_init(&b, SIZE_MAX / 4);
        for (int c = 0; c < row->n_cells; c++) {
            buf_add(&b, row->cells[c].text, row->cells[c].len);
            buf_addc(&b, '\x1f');
        }
        texts[n++] = arena_strndup(desk->arena, buf_text(&b), b.len);
        buf_release(&b);
    }
    qsort(texts, n, sizeof *texts, compare_texts);
    struct digest d;
    char hex[DIGEST_HEX];
    digest_init(&d);
    digest_add(&d, desk->tools->made_with, strlen(desk->tools->made_with));
    digest_add(&d, kind, strlen(kind) + 1);
    for (size_t i = 0; i < n; i++)
        digest_add(&d, texts[i], strlen(texts[i]) + 1);
    digest_hex(&d, hex);
    return arena_strdup(desk->arena, hex);
}

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

static void describe(struct desk *desk, const struct visit_findings *vf, struct report *r)
{
    const struct visit *v = vf->visit;
    r->patient_id = v->patient->id;
    r->name = v->patient->name;
    r->visit_date = v->date;
    r->visit_kind = visit_kind_name(v->kind);
    count_problems(v, &r->notes, &r->held);
    r->worst = worst_of(vf, r->held);
    r->author = v->measured_by;
    r->role = role_name(v->role);
    bool student = v->role == ROLE_STUDENT;
    for (size_t i = 0; i < v->n_measurements; i++)
        student = student || v->measurements[i].role == ROLE_STUDENT;
    r->needs_countersign = student && !date_is_set(v->countersigned_on);
    r->is_signed = date_is_set(v->signed_on);
    (void)desk;
}

static bool write_report(struct desk *desk, const struct visit_findings *vf,
                         const struct page_list *pages, const char *kind)
{
    struct report r = {.kind = kind};
    char date[DATE_TEXT_MAX], hex[DIGEST_HEX];
    buf_clear(&desk->scratch);
    if (!pdf_write(desk->tools->pdf, pages, &desk->scratch, &desk->sink))
        return false;
    describe(desk, vf, &r);
    date_format(date, r.visit_date);
    r.file = arena_printf(desk->arena, "%s/%s_%s_%s.pdf", date,
                          file_safe_name(desk->arena, r.patient_id), date, kind);
    const char *out = desk->tools->options->out;
    if (!file_make_folders(arena_printf(desk->arena, "%s/%s", out, date), &desk->sink) ||
        !file_write_part(arena_printf(desk->arena, "%s/%s", out, r.file), desk->scratch.data,
                         desk->scratch.len, &desk->sink))
        return false;
    struct digest d;
    digest_init(&d);
    digest_add(&d, desk->scratch.data, desk->scratch.len);
    digest_hex(&d, hex);
    r.pages = (int)pages->n;
    r.bytes = (int64_t)desk->scratch.len;
    r.sha256 = hex;
    r.input_sha256 = input_digest(desk, vf->visit, kind);
    buf_clear(&desk->payload);
    report_put(&desk->payload, &r);
    wire_record(&desk->answer, RECORD_REPORT, &desk->payload);
    return true;
}

static void make_reports(struct desk *desk, const struct visit_findings *vf, xmlDocPtr doc)
{
    const struct tools *t = desk->tools;
    for (size_t i = 0; i < t->n_templates; i++) {
        struct page_list *pages =
            layout_render(t->templates[i], doc, t->fonts, &desk->sink);
        bool ok = pages != NULL;
        if (ok && t->options->dump == DUMP_PAGES) {
            buf_clear(&desk->scratch);
            page_dump(pages, &desk->scratch);
            put_text(desk, vf->visit, (int)i, &desk->scratch);
        } else if (ok) {
            ok = write_report(desk, vf, pages, t->kinds[i]);
        }
        if (!ok)
            diag_report(&desk->sink, DIAG_DOCUMENT_REFUSED,
                        (struct diag_pos){.file = import_path(t->sources[desk->rows[0].source]),
                                          .line = desk->rows[0].line},
                        NULL, "kind %s", t->kinds[i]);
        page_list_free(pages);
    }
}

/* The visits of a run stand side by side in one document with one declaration. */
static void drop_declaration(struct buf *xml)
{
    const char *end = str_starts(buf_text(xml), "<?xml") ? strchr(xml->data, '\n') : NULL;
    if (end == NULL)
        return;
    size_t len = (size_t)(end + 1 - xml->data);
    memmove(xml->data, end + 1, xml->len - len + 1);
    xml->len -= len;
}

static void take_visit(struct desk *desk, const struct visit_findings *vf)
{
    const struct batch_options *o = desk->tools->options;
    struct findings_extra extra = {.program_version = ENDFEEL_VERSION};
    buf_clear(&desk->scratch);
    if (o->command == BATCH_FINDINGS && o->format == FORMAT_CSV && o->dump == DUMP_NONE) {
        findings_csv_rows(vf, &desk->scratch);
        put_text(desk, vf->visit, 0, &desk->scratch);
    } else if (o->command == BATCH_FINDINGS || o->dump == DUMP_FINDINGS) {
        findings_xml(vf, &extra, &desk->scratch);
        drop_declaration(&desk->scratch);
        put_text(desk, vf->visit, 0, &desk->scratch);
    } else if (o->command == BATCH_REPORT) {
        xmlDocPtr doc = findings_document(vf, &extra);
        make_reports(desk, vf, doc);
        xmlFreeDoc(doc);
        if (o->with_findings) {
            buf_clear(&desk->scratch);
            findings_csv_rows(vf, &desk->scratch);
            put_text(desk, vf->visit, 0, &desk->scratch);
        }
    }
}

static void dump_model(struct desk *desk, const struct patient *p)
{
    if (p->n_visits == 0)
        return;
    buf_clear(&desk->scratch);
    model_dump(p, &desk->scratch);
    put_text(desk, &p->visits[0], 0, &desk->scratch);
}

static void take_patient(struct desk *desk)
{
    const struct tools *t = desk->tools;
    struct patient *p =
        import_patient(desk->rows, desk->n_rows, t->sources, t->reference, t->options->today,
                       desk->arena, desk->tallies, &desk->sink);
    char why[200];
    struct diag_pos pos = {.file = import_path(t->sources[desk->rows[0].source]),
                           .line = desk->rows[0].line};
    if (!model_check(p, why, sizeof why)) {
        diag_report(&desk->sink, DIAG_MODEL_BROKEN, pos, NULL, "%s", why);
        return;
    }
    if (t->options->dump == DUMP_MODEL) {
        dump_model(desk, p);
        return;
    }
    if (p->held) {
        diag_report(&desk->sink, DIAG_PATIENT_HELD, pos, NULL, NULL);
        return;
    }
    if (t->options->command == BATCH_CHECK)
        return;
    for (size_t i = 0; i < p->n_visits; i++)
        if (is_selected(desk, p, &p->visits[i]))
            take_visit(desk, rules_evaluate(p, &p->visits[i], t->reference, t->clinic,
                                            desk->arena));
}

static void unpack_job(struct desk *desk, const struct buf *job)
{
    struct wire w = {job->data, job->data + job->len};
    desk->newest = date_from_days((long)wire_int(&w));
    desk->n_rows = (size_t)wire_int(&w);
    desk->rows = arena_alloc(desk->arena, (desk->n_rows + 1) * sizeof *desk->rows);
    for (size_t i = 0; i < desk->n_rows; i++)
        w.at += row_unpack(w.at, (size_t)(w.end - w.at), desk->arena, &desk->rows[i]);
}

static void put_tallies(struct desk *desk)
{
    for (size_t i = 0; i < desk->tools->n_sources; i++) {
        struct tally *t = &desk->tallies[i];
        if (t->used + t->duplicates + t->held == 0)
            continue;
        buf_clear(&desk->payload);
        wire_put_int(&desk->payload, (int64_t)i);
        wire_put_int(&desk->payload, t->used);
        wire_put_int(&desk->payload, t->duplicates);
        wire_put_int(&desk->payload, t->held);
        wire_record(&desk->answer, RECORD_TALLY, &desk->payload);
        *t = (struct tally){0};
    }
}

void worker_run(const struct tools *tools, int fd)
{
    struct desk desk = {.tools = tools, .arena = arena_new(), .sink = {.put = put_diag}};
    struct buf job;
    desk.sink.user = &desk;
    desk.tallies = mem_alloc(tools->n_sources * sizeof *desk.tallies);
    buf_init(&job, SIZE_MAX / 4);
    buf_init(&desk.answer, SIZE_MAX / 4);
    buf_init(&desk.payload, SIZE_MAX / 4);
    buf_init(&desk.scratch, SIZE_MAX / 4);
    while (wire_receive(fd, &job)) {
        unpack_job(&desk, &job);
        take_patient(&desk);
        put_tallies(&desk);
        wire_record(&desk.answer, RECORD_END, NULL);
        if (!wire_send(fd, &desk.answer))
            break;
        buf_clear(&desk.answer);
        arena_clear(desk.arena);
    }
    buf_release(&job);
    buf_release(&desk.answer);
    buf_release(&desk.payload);
    buf_release(&desk.scratch);
    free(desk.tallies);
    arena_free(desk.arena);
}
