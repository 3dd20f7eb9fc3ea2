/* The reports of one visit: what still stands unchanged is left as it is, the others are set and
 * written as .part beside their final names. */
#include "batch/batch_int.h"

#include <errno.h>
#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { DIGEST_CHUNK = 64 << 10 };

/* The reports of a visit in the making. */
struct making {
    xmlDocPtr doc;          /* made when the first report needs it */
    struct buf attached[2]; /* as bytes, made when first attached: whole; as it may leave */
    const char *values;     /* file of what was printed, relative to the output folder */
    int amendment, amendment_before; /* of the visit: now, and in what was printed */
    bool refused;           /* what was printed before cannot be told: none is written */
    bool was_printed;       /* of the report in hand: the manifest knows it */
    struct past_report was;
};

/* A safe name that leaves room for date, kind and ".part" in what a file system takes. */
const char *report_name(struct arena *a, const char *patient_id)
{
    enum { NAME_MOST = 150, KEPT = 120, MARK = 17 };
    char *name = file_safe_name(a, patient_id);
    if (strlen(name) <= NAME_MOST)
        return name;
    struct digest d;
    char hex[DIGEST_HEX];
    digest_init(&d);
    digest_add(&d, patient_id, strlen(patient_id));
    digest_hex(&d, hex);
    return arena_printf(a, "%.*s%c%.*s", KEPT, name, REPORT_NAME_CUT, MARK - 1, hex);
}

/* ---- what a report is made from ------------------------------------------------------------- */

static int compare_texts(const void *a, const void *b)
{
    return strcmp(((const struct row_text *)a)->text, ((const struct row_text *)b)->text);
}

void reports_take_rows(struct desk *desk)
{
    struct row_text *texts = arena_alloc(desk->arena, (desk->n_rows + 1) * sizeof *texts);
    struct buf b;
    buf_init(&b, SIZE_MAX / 4);
    for (size_t i = 0; i < desk->n_rows; i++) {
        const struct row *row = &desk->rows[i];
        buf_clear(&b);
        import_row_text(desk->tools->sources[row->source], row, &b);
        const char *text = arena_strdup(desk->arena, buf_text(&b));
        texts[i] = (struct row_text){text, strlen(text), desk->dates[i]};
    }
    qsort(texts, desk->n_rows, sizeof *texts, compare_texts);
    desk->texts = texts;
    buf_release(&b);
}

/* The patient's rows up to the visit, and where the problems of the visit stand, because the report
 * names the place. */
static void add_rows(struct desk *desk, const struct visit *v, struct digest *d)
{
    struct buf b;
    buf_init(&b, SIZE_MAX / 4);
    for (size_t i = 0; i < desk->n_rows; i++)
        if (date_compare(desk->texts[i].date, v->date) <= 0)
            digest_add(d, desk->texts[i].text, desk->texts[i].len + 1);
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

/* ---- what is there -------------------------------------------------------------------------- */

enum found { NOT_THERE, FOUND, UNREADABLE };

/* Size and digest of a file. */
static enum found digest_file(const char *path, int64_t *size, char hex[DIGEST_HEX])
{
    struct diag_sink quiet = {0};
    int fd = file_open_own(path, &quiet);
    if (fd < 0)
        return errno == ENOENT || errno == ENOTDIR ? NOT_THERE : UNREADABLE;
    FILE *f = fdopen(fd, "r");
    if (f == NULL) {
        close(fd);
        return UNREADABLE;
    }
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
    return ok ? FOUND : UNREADABLE;
}

static const char *in_out(struct desk *desk, const char *file)
{
    return arena_printf(desk->arena, "%s/%s", desk->tools->options->out, file);
}

/* A password is in no digest, where it could be guessed at: the document itself is asked. */
static bool opens(struct desk *desk, const char *path, const char *referrer)
{
    const struct passwords *passwords = desk->tools->passwords;
    if (passwords == NULL)
        return true;
    struct diag_sink quiet = {0};
    buf_clear(&desk->scratch);
    return file_read_own(path, SIZE_MAX / 8, &desk->scratch, &quiet) &&
           pdf_is_protected_by(passwords_for(passwords, referrer), &desk->scratch);
}

static bool stands(struct desk *desk, const char *file, const struct past_report *was,
                   const char *referrer)
{
    int64_t size;
    char hex[DIGEST_HEX];
    const char *path = in_out(desk, file);
    return digest_file(path, &size, hex) == FOUND && size == was->bytes &&
           strcmp(hex, was->sha256) == 0 && opens(desk, path, referrer);
}

/* ---- one report ----------------------------------------------------------------------------- */

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

/* Those to be told in the index of the day. */
static void pick_reminders(struct desk *desk, const struct visit_findings *vf, struct report *r)
{
    struct reminder *due = arena_alloc(desk->arena, (vf->n_reminders + 1) * sizeof *due);
    r->reminders = due;
    for (size_t i = 0; i < vf->n_reminders; i++) {
        const char *status = vf->reminders[i].status;
        if (strcmp(status, "due") == 0 || strcmp(status, "overdue") == 0)
            due[r->n_reminders++] = vf->reminders[i];
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
                           report_name(desk->arena, r->patient_id), date, kind);
    count_problems(v, &r->notes, &r->held);
    r->worst = worst_of(vf, r->held);
    r->author = v->measured_by;
    r->role = role_name(v->role);
    bool student = v->role == ROLE_STUDENT;
    for (size_t i = 0; i < v->n_measurements; i++)
        student = student || v->measurements[i].role == ROLE_STUDENT;
    r->needs_countersign = student && !date_is_set(v->countersigned_on);
    r->is_signed = date_is_set(v->signed_on);
    r->treatment_day = v->treatment_day.has ? (int)v->treatment_day.value : 0;
    pick_reminders(desk, vf, r);
}

/* Whether the report stands as an earlier run left it; `r` then says what the manifest says. */
static bool is_unchanged(struct desk *desk, struct making *m, const char *referrer,
                         struct report *r)
{
    m->was_printed = past_find(desk->tools->past, r->file, &m->was);
    if (!m->was_printed || strcmp(m->was.input_sha256, r->input_sha256) != 0 ||
        !stands(desk, r->file, &m->was, referrer))
        return false;
    r->state = REPORT_UNCHANGED;
    r->pages = m->was.pages;
    r->amendment = m->was.amendment;
    r->bytes = m->was.bytes;
    r->sha256 = arena_strdup(desk->arena, m->was.sha256);
    return true;
}

/* What goes inside a report: the findings that it was set from, less what its kind may not show. */
static const struct buf *attached(struct making *m, const char *kind)
{
    bool outward = !kinds_is_chart(kind);
    struct buf *bytes = &m->attached[outward];
    if (bytes->len == 0) {
        xmlChar *text = NULL;
        int len = 0;
        xmlDocPtr less = outward ? findings_outward(m->doc) : NULL;
        xmlDocDumpMemoryEnc(outward ? less : m->doc, &text, &len, "UTF-8");
        buf_init(bytes, XML_FILE_MAX);
        buf_add(bytes, text, (size_t)len);
        xmlFree(text);
        xmlFreeDoc(less);
    }
    return bytes;
}

static bool write_pdf(struct desk *desk, struct making *m, const struct page_list *pages,
                      const struct report *r)
{
    const struct tools *t = desk->tools;
    struct pdf_attachment file = {.name = "findings.xml",
                                  .description = "The findings this report was made from"};
    if (!t->options->attach)
        return pdf_write(t->pdf, pages, &desk->scratch, &desk->sink);
    const struct buf *bytes = attached(m, r->kind);
    file.bytes = bytes->data;
    file.len = bytes->len;
    return pdf_write_with(t->pdf, pages, &file, &desk->scratch, &desk->sink);
}

static bool write_report(struct desk *desk, struct making *m, const struct page_list *pages,
                         const char *referrer, struct report *r)
{
    const struct tools *t = desk->tools;
    char date[DATE_TEXT_MAX], hex[DIGEST_HEX];
    buf_clear(&desk->scratch);
    if (!write_pdf(desk, m, pages, r) ||
        (t->passwords != NULL &&
         !pdf_protect(passwords_for(t->passwords, referrer), &desk->scratch, &desk->sink)) ||
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

/* For the print file. */
static bool draw_report(struct desk *desk, const struct page_list *pages, const struct report *r)
{
    const char *title = pages->title != NULL ? pages->title : r->kind;
    const char *person = str_is_empty(r->name)
                             ? r->patient_id
                             : arena_printf(desk->arena, "%s, %s", r->name, r->patient_id);
    buf_clear(&desk->scratch);
    if (!pdf_draw(desk->tools->pdf, pages, &desk->scratch, &desk->sink))
        return false;
    buf_clear(&desk->payload);
    report_put(&desk->payload, r);
    wire_put_text(&desk->payload, arena_printf(desk->arena, "%s \xC2\xB7 %s", person, title));
    buf_add(&desk->payload, desk->scratch.data, desk->scratch.len);
    wire_record(&desk->answer, RECORD_PAGES, &desk->payload);
    return true;
}

static bool make_report(struct desk *desk, const struct visit *v, struct making *m, size_t i,
                        struct report *r)
{
    const struct tools *t = desk->tools;
    const char *referrer = v->patient->referrer;
    struct page_list *pages = layout_render(t->templates[i], m->doc, t->fonts, &desk->sink);
    bool ok = pages != NULL;
    if (ok && t->options->dump == DUMP_PAGES) {
        buf_clear(&desk->scratch);
        page_dump(pages, &desk->scratch);
        desk_put_text(desk, v, (int)i, &desk->scratch);
    } else if (ok) {
        ok = (r->state == REPORT_UNCHANGED || write_report(desk, m, pages, referrer, r)) &&
             (!t->options->print_all || draw_report(desk, pages, r));
    }
    page_list_free(pages);
    return ok;
}

static void answer_report(struct desk *desk, const struct report *r)
{
    buf_clear(&desk->payload);
    report_put(&desk->payload, r);
    wire_record(&desk->answer, RECORD_REPORT, &desk->payload);
}

/* ---- what was printed before ---------------------------------------------------------------- */

static const char *values_file(struct desk *desk, const struct visit *v)
{
    char date[DATE_TEXT_MAX];
    return arena_printf(desk->arena, "%s/.values/%s.xml", date_format(date, v->date),
                        report_name(desk->arena, v->patient->id));
}

/* The findings document of the visit, with what it amends. */
static bool make_document(struct desk *desk, const struct visit_findings *vf, struct making *m)
{
    struct findings_extra extra = {.program_version = ENDFEEL_VERSION};
    bool changed;
    m->doc = findings_document(vf, &extra);
    if (desk->tools->options->dump == DUMP_PAGES)
        return true;
    m->values = values_file(desk, vf->visit);
    const char *path = in_out(desk, m->values);
    if (!file_exists(path))
        return true;
    xmlDocPtr before = xml_read_own(path, &desk->sink);
    if (before == NULL || !xml_is(xmlDocGetRootElement(before), "visit")) {
        diag_report(&desk->sink, DIAG_VALUES, (struct diag_pos){.file = path}, NULL, NULL);
        xmlFreeDoc(before);
        return false;
    }
    m->amendment = findings_amend(m->doc, before, vf, &changed);
    m->amendment_before = m->amendment - changed;
    xmlFreeDoc(before);
    return true;
}

/* Written beside its place when it says something new; the parent puts it there after the reports
 * that were made from it. */
static bool write_values(struct desk *desk, struct making *m, bool *is_new)
{
    struct buf there, *now = &desk->scratch;
    buf_init(&there, XML_FILE_MAX);
    buf_clear(now);
    findings_save(m->doc, now);
    const char *path = in_out(desk, m->values);
    const char *folder = arena_strndup(desk->arena, path, (size_t)(strrchr(path, '/') - path));
    bool ok = !file_exists(path) || file_read_own(path, XML_FILE_MAX, &there, &desk->sink);
    *is_new = ok && (there.len != now->len || memcmp(there.data, now->data, now->len) != 0);
    if (*is_new)
        ok = file_make_folders(folder, &desk->sink) &&
             file_write_part(path, now->data, now->len, &desk->sink);
    buf_release(&there);
    return ok;
}

/* ---- the PDF that an amended one replaces --------------------------------------------------- */

static const char *kept_name(struct desk *desk, const char *file, int version)
{
    const char *slash = strrchr(file, '/');
    return arena_printf(desk->arena, "%.*s/superseded/%.*s_v%d.pdf", (int)(slash - file), file,
                        (int)strlen(slash + 1) - (int)strlen(".pdf"), slash + 1, version);
}

/* Where to keep the PDF in place; NULL when it need not be kept: there is none, it is kept already,
 * or it is what a run that was cut short put there. False when that cannot be told. */
static bool keep_as(struct desk *desk, const struct making *m, struct report *r)
{
    int64_t size;
    char there[DIGEST_HEX], kept[DIGEST_HEX];
    int version = (m->was_printed ? m->was.amendment : m->amendment_before) + 1;
    const char *path = in_out(desk, r->file), *name = NULL;
    enum found found = digest_file(path, &size, there);
    if (found == NOT_THERE)
        return true;
    bool recorded = m->was_printed && strcmp(there, m->was.sha256) == 0;
    while (found == FOUND) {
        name = kept_name(desk, r->file, version++);
        path = in_out(desk, name);
        found = digest_file(path, &size, kept);
        if (found == FOUND && (!recorded || strcmp(kept, there) == 0))
            return true;
        /* Another document of that name is never written over. */
    }
    if (found == UNREADABLE) {
        diag_report(&desk->sink, DIAG_FILE_READ, (struct diag_pos){.file = path}, NULL, NULL);
        return false;
    }
    r->kept_as = name;
    return true;
}

static bool settle_state(struct desk *desk, const struct making *m, struct report *r)
{
    r->amendment = m->amendment;
    int printed = m->was_printed ? m->was.amendment : m->amendment_before;
    bool there = m->was_printed || file_exists(in_out(desk, r->file));
    if (there && r->amendment > printed)
        r->state = REPORT_AMENDED;
    else if (m->was_printed)
        r->state = REPORT_SET_AGAIN;
    return r->state != REPORT_AMENDED || keep_as(desk, m, r);
}

/* ---- all of a visit ------------------------------------------------------------------------- */

/* Which report of whom, for the list of exceptions only; and why, as its last error told. */
static void refuse(struct desk *desk, const struct visit *v, const char *kind)
{
    char date[DATE_TEXT_MAX];
    struct diag_pos pos = {.file = import_path(desk->tools->sources[desk->rows[0].source]),
                           .line = desk->rows[0].line};
    const char *text = arena_printf(desk->arena, "%s of %s, %s", kind, v->patient->id,
                                    date_format(date, v->date));
    if (desk->why_line > 0)
        diag_report(&desk->sink, DIAG_DOCUMENT_REFUSED, pos, text,
                    "kind %s: %s, line %ld of %s: %s", kind, diag_reason(desk->why),
                    desk->why_line, desk->why_file, desk->why_detail);
    else
        diag_report(&desk->sink, DIAG_DOCUMENT_REFUSED, pos, text, "kind %s: %s", kind,
                    diag_reason(desk->why));
}

/* A worker ended over this report: it is left out, and the others are made. */
static void tell_lost(struct desk *desk, const char *kind, const char *why)
{
    struct diag_pos pos = {.file = import_path(desk->tools->sources[desk->rows[0].source]),
                           .line = desk->rows[0].line};
    diag_report(&desk->sink, DIAG_REPORT_LOST, pos, NULL, "kind %s: %s", kind, why);
}

static void tell_no_reader(struct desk *desk, const struct visit *v)
{
    const struct tools *t = desk->tools;
    if (t->options->n_kinds > 0 || desk->told_no_reader || kinds_has_reader(v->patient))
        return;
    desk->told_no_reader = true;
    struct diag_pos pos = {.file = import_path(t->sources[desk->rows[0].source]),
                           .line = desk->rows[0].line,
                           .field = "referrer"};
    diag_report(&desk->sink, DIAG_NO_REFERRER, pos, NULL, NULL);
}

/* The last report that is new brings along what was printed. */
static void answer_all(struct desk *desk, const struct visit_findings *vf, struct making *m,
                       struct report *reports, size_t n)
{
    struct report *last = NULL;
    bool is_new = false;
    for (size_t i = 0; i < n; i++)
        if (reports[i].state != REPORT_UNCHANGED)
            last = &reports[i];
    if (last != NULL && !write_values(desk, m, &is_new)) {
        /* Without it the next correction would not be noticed. */
        refuse(desk, vf->visit, "values");
        return;
    }
    if (is_new)
        last->values = m->values;
    for (size_t i = 0; i < n; i++)
        answer_report(desk, &reports[i]);
}

void make_reports(struct desk *desk, const struct visit_findings *vf)
{
    const struct tools *t = desk->tools;
    bool dump = t->options->dump == DUMP_PAGES;
    struct report *reports = arena_alloc(desk->arena, t->n_templates * sizeof *reports);
    const char **digests = input_digests(desk, vf->visit);
    struct making m = {0};
    size_t n = 0;
    tell_no_reader(desk, vf->visit);
    for (size_t i = 0; i < t->n_templates; i++) {
        struct report *r = &reports[n];
        if (!kinds_is_due(t->options, t->kinds[i], vf->visit))
            continue;
        const char *lost = desk_next_report(desk);
        if (lost != NULL) {
            tell_lost(desk, t->kinds[i], lost);
            continue;
        }
        *r = (struct report){.input_sha256 = digests[i]};
        describe(desk, vf, t->kinds[i], r);
        bool unchanged = !dump && is_unchanged(desk, &m, vf->patient->referrer, r);
        if (unchanged && !t->options->print_all) {
            n++;
            continue;
        }
        m.refused = m.refused || (m.doc == NULL && !make_document(desk, vf, &m));
        if (!m.refused && (dump || unchanged || settle_state(desk, &m, r)) &&
            make_report(desk, vf->visit, &m, i, r))
            n++;
        else
            refuse(desk, vf->visit, t->kinds[i]);
    }
    if (!dump)
        answer_all(desk, vf, &m, reports, n);
    buf_release(&m.attached[0]);
    buf_release(&m.attached[1]);
    findings_free(m.doc);
}
