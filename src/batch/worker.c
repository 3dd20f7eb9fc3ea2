/* A worker: one patient's rows in, everything made of them out. import -> rules -> findings ->
 * layout -> pdf; only the parent puts files in place. A worker lives for many patients; each has
 * its own arena. */
#include "batch/batch_int.h"

#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Below the folder of the templates, which is the operator's matter. */
static const char *within_templates(const char *path)
{
    const char *name = strrchr(path, '/');
    if (name == NULL)
        return path;
    size_t len = strlen("/parts");
    bool is_part = name - path >= (long)len && strncmp(name - len, "/parts", len) == 0;
    return name + 1 - (is_part ? strlen("parts/") : 0);
}

static void put_diag(void *user, const struct diag *d)
{
    struct desk *desk = user;
    if (diag_level(d->code) >= DIAG_ERROR) {
        desk->why = d->code;
        desk->why_line = d->pos.line;
        snprintf(desk->why_file, sizeof(desk->why_file), "%s",
                 d->pos.file != NULL ? within_templates(d->pos.file) : "");
        snprintf(desk->why_detail, sizeof(desk->why_detail), "%s",
                 d->detail != NULL ? d->detail : "");
    }
    buf_clear(&desk->payload);
    wire_put_diag(&desk->payload, d);
    wire_record(&desk->answer, RECORD_DIAG, &desk->payload);
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
        if (o->de_identified)
            findings_csv_plain_rows(vf, desk->arena, &desk->scratch);
        else
            findings_csv_rows(vf, &desk->scratch);
        desk_put_text(desk, vf->visit, 0, &desk->scratch);
    } else if (o->command == BATCH_FINDINGS || o->dump == DUMP_FINDINGS) {
        findings_xml(vf, &extra, &desk->scratch);
        drop_declaration(&desk->scratch);
        desk_put_text(desk, vf->visit, 0, &desk->scratch);
    } else if (o->command == BATCH_REPORT) {
        make_reports(desk, vf);
        if (o->with_findings) {
            buf_clear(&desk->scratch);
            findings_csv_rows(vf, &desk->scratch);
            desk_put_text(desk, vf->visit, 0, &desk->scratch);
        }
    }
}

static void dump_model(struct desk *desk, const struct patient *p)
{
    if (p->n_visits == 0)
        return;
    buf_clear(&desk->scratch);
    model_dump(p, &desk->scratch);
    desk_put_text(desk, &p->visits[0], 0, &desk->scratch);
}

static const struct visit *read_as_of_its_day(const struct tools *t, const struct row *all,
                                              const struct date *dates, size_t n_all,
                                              const struct visit *v, struct arena *a)
{
    struct row *rows = arena_alloc(a, (n_all + 1) * sizeof *rows);
    size_t n = 0;
    for (size_t i = 0; i < n_all; i++)
        if (date_compare(dates[i], v->date) <= 0)
            rows[n++] = all[i];
    if (n == n_all)
        return v;
    struct diag_sink quiet = {0};
    struct tally *tallies = arena_alloc(a, t->n_sources * sizeof *tallies);
    struct patient *p = import_patient(rows, n, t->sources, t->reference, t->options->today, a,
                                       tallies, &quiet);
    for (size_t i = 0; i < p->n_visits; i++)
        if (date_compare(p->visits[i].date, v->date) == 0)
            return &p->visits[i];
    return v;
}

/* As it was known on its day: a report is the same whether it is made that day or later, because
 * rows of later visits have no say in it. */
struct visit_findings *evaluate_as_of_its_day(const struct tools *t, const struct row *all,
                                              const struct date *dates, size_t n_all,
                                              const struct visit *v, struct rules_course *course,
                                              struct arena *a)
{
    const struct visit *own = import_as_of(v, a);
    if (own != NULL)
        return rules_evaluate_next(course, own->patient, own, t->reference, t->clinic, a);
    own = read_as_of_its_day(t, all, dates, n_all, v, a);
    return rules_evaluate(own->patient, own, t->reference, t->clinic, a);
}

static void take_patient(struct desk *desk)
{
    const struct tools *t = desk->tools;
    desk->told_no_reader = false;
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
    struct arena *of_patient = desk->arena;
    struct rules_course *course = rules_course_new(of_patient);
    if (t->options->command == BATCH_REPORT)
        reports_take_rows(desk);
    desk->arena = desk->of_visit;
    for (size_t i = 0; i < p->n_visits; i++)
        if (is_selected(desk, p, &p->visits[i])) {
            take_visit(desk, evaluate_as_of_its_day(t, desk->rows, desk->dates, desk->n_rows,
                                                    &p->visits[i], course, desk->arena));
            arena_clear(desk->arena);
        }
    desk->arena = of_patient;
}

static void unpack_job(struct desk *desk, const struct buf *job)
{
    struct wire w = {job->data, job->data + job->len};
    desk->n_lost = (size_t)wire_int(&w);
    desk->lost = arena_alloc(desk->arena, (desk->n_lost + 1) * sizeof *desk->lost);
    for (size_t i = 0; i < desk->n_lost; i++) {
        desk->lost[i].number = (long)wire_int(&w);
        desk->lost[i].why = wire_text(&w, desk->arena);
    }
    desk->newest = date_from_days((long)wire_int(&w));
    desk->n_rows = (size_t)wire_int(&w);
    desk->rows = arena_alloc(desk->arena, (desk->n_rows + 1) * sizeof *desk->rows);
    for (size_t i = 0; i < desk->n_rows; i++)
        w.at += row_unpack(w.at, (size_t)(w.end - w.at), desk->arena, &desk->rows[i]);
    desk->dates = arena_alloc(desk->arena, (desk->n_rows + 1) * sizeof *desk->dates);
    for (size_t i = 0; i < desk->n_rows; i++)
        desk->dates[i] = import_row_date(desk->tools->sources[desk->rows[i].source],
                                         &desk->rows[i], desk->tools->options->today);
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
        wire_put_int(&desk->payload, t->angles);
        wire_put_int(&desk->payload, t->round_angles);
        wire_record(&desk->answer, RECORD_TALLY, &desk->payload);
        *t = (struct tally){0};
    }
}

void worker_run(const struct tools *tools, int fd, volatile long *in_hand)
{
    struct desk desk = {.tools = tools, .arena = arena_new(), .of_visit = arena_new(),
                        .sink = {.put = put_diag}, .in_hand = in_hand};
    struct buf job;
    desk.sink.user = &desk;
    desk.tallies = mem_alloc(tools->n_sources * sizeof *desk.tallies);
    buf_init(&job, SIZE_MAX / 4);
    buf_init(&desk.answer, SIZE_MAX / 4);
    buf_init(&desk.payload, SIZE_MAX / 4);
    buf_init(&desk.scratch, SIZE_MAX / 4);
    while (wire_receive(fd, &job)) {
        *in_hand = 0;
        limits_time(tools->options);
        unpack_job(&desk, &job);
        take_patient(&desk);
        limits_no_time();
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
    arena_free(desk.of_visit);
    arena_free(desk.arena);
}
