/* The index of the day: one line a report, one line a file, and what could not be used. */
#include "batch/outputs_int.h"

#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A part of the index; a long run has several, so that memory stays that of one. */
enum { PART_ITEMS = 1000 };

struct day {
    struct arena *arena;
    int part, parts;
    size_t seen_entries, seen_problems; /* over all parts */
    struct day_entry entries[PART_ITEMS];
    size_t n;
    struct diag problems[PART_ITEMS];
    size_t n_problems;
};

static bool is_in_part(const struct day *day, size_t seen)
{
    return seen / PART_ITEMS == (size_t)day->part - 1;
}

static bool add_entry(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct day *day = user;
    struct wire w = {blob, blob + len};
    struct report r;
    (void)key;
    (void)key_len;
    if (!is_in_part(day, day->seen_entries++))
        return true;
    report_get(&w, day->arena, &r);
    day->entries[day->n++] = (struct day_entry){
        .patient_id = r.patient_id, .name = r.name, .kind = r.kind, .file = r.file,
        .worst = r.worst, .author = r.author, .role = r.role, .visit_date = r.visit_date,
        .visit_kind = r.visit_kind, .pages = r.pages, .notes = r.notes, .held = r.held,
        .amendment = r.amendment,
        .needs_countersign = r.needs_countersign, .is_signed = r.is_signed,
        .treatment_day = r.treatment_day, .reminders = r.reminders, .n_reminders = r.n_reminders};
    return true;
}

static bool add_problem(void *user, const char *key, size_t key_len, const char *blob, size_t len)
{
    struct day *day = user;
    struct wire w = {blob, blob + len};
    (void)key;
    (void)key_len;
    enum diag_code code = (enum diag_code)wire_int(&w);
    if (diag_outcome(code) != OUTCOME_HELD_BACK || !is_in_part(day, day->seen_problems++))
        return true;
    w.at = blob;
    wire_diag(&w, day->arena, &day->problems[day->n_problems++]);
    return true;
}

static bool set_day(struct outputs *o, const struct day *day, const struct day_tally *files,
                    size_t n_files, struct diag_sink *sink)
{
    const struct tools *t = o->tools;
    xmlDocPtr doc = findings_day_document(day->entries, day->n, files, n_files, day->problems,
                                          day->n_problems, day->part, day->parts);
    limits_guard(t->options);
    struct page_list *pages = layout_render(t->day_index, doc, t->fonts, sink);
    limits_no_guard();
    const char *name = day->part == 1
                           ? "day-index.pdf"
                           : arena_printf(day->arena, "day-index-%d.pdf", day->part);
    struct buf pdf;
    buf_init(&pdf, SIZE_MAX / 4);
    bool ok = pages != NULL && pdf_write(t->pdf, pages, &pdf, sink) &&
              outputs_write_pdf(o, name, &pdf, sink);
    buf_release(&pdf);
    page_list_free(pages);
    findings_free(doc);
    return ok;
}

static int parts_for(long items)
{
    return items == 0 ? 1 : (int)((items + PART_ITEMS - 1) / PART_ITEMS);
}

bool day_index_write(struct outputs *o, const struct day_tally *files, size_t n_files,
                     struct diag_sink *sink)
{
    if (o->reports == 0)
        return true;
    struct day *day = mem_alloc(sizeof *day);
    bool ok = true;
    int entry_parts = parts_for(o->reports), problem_parts = parts_for(o->held);
    int parts = entry_parts > problem_parts ? entry_parts : problem_parts;
    for (int part = 1; ok && part <= parts; part++) {
        memset(day, 0, sizeof *day);
        day->arena = arena_new();
        day->part = part;
        day->parts = parts;
        ok = sorter_walk(o->entries, add_entry, day, sink) &&
             sorter_walk(o->problems, add_problem, day, sink) &&
             set_day(o, day, files, n_files, sink);
        arena_free(day->arena);
    }
    free(day);
    /* Parts of an earlier, longer run would tell of reports that this run did not make. */
    outputs_remove_further(o, "day-index", parts);
    return ok;
}

