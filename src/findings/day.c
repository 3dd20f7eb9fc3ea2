/*
 * The day as a document, for the day index: one entry a report in the order given, one line a
 * file, and what could not be used.
 */
#include "findings/findings_int.h"

#include <stdlib.h>
#include <string.h>

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static int by_visit(const void *a, const void *b)
{
    const struct day_entry *x = *(const struct day_entry *const *)a;
    const struct day_entry *y = *(const struct day_entry *const *)b;
    int order = strcmp(x->patient_id, y->patient_id);
    return order == 0 ? date_compare(x->visit_date, y->visit_date) : order;
}

static long count_patients(const struct day_entry *entries, size_t n)
{
    const char **ids = mem_alloc(n * sizeof *ids);
    for (size_t i = 0; i < n; i++)
        ids[i] = entries[i].patient_id;
    qsort(ids, n, sizeof *ids, by_text);
    long count = 0;
    for (size_t i = 0; i < n; i++)
        count += i == 0 || strcmp(ids[i - 1], ids[i]) != 0;
    free(ids);
    return count;
}

/* Several reports may speak of one visit. */
static long count_visits(const struct day_entry *entries, size_t n)
{
    const struct day_entry **sorted = mem_alloc(n * sizeof *sorted);
    for (size_t i = 0; i < n; i++)
        sorted[i] = &entries[i];
    qsort(sorted, n, sizeof *sorted, by_visit);
    long count = 0;
    for (size_t i = 0; i < n; i++)
        count += i == 0 || by_visit(&sorted[i - 1], &sorted[i]) != 0;
    free(sorted);
    return count;
}

static long count_held(const struct diag *problems, size_t n)
{
    long count = 0;
    for (size_t i = 0; i < n; i++)
        count += diag_outcome(problems[i].code) == OUTCOME_HELD_BACK;
    return count;
}

static struct date newest(const struct day_entry *entries, size_t n)
{
    struct date date = {0};
    for (size_t i = 0; i < n; i++)
        if (!date_is_set(date) || date_compare(entries[i].visit_date, date) > 0)
            date = entries[i].visit_date;
    return date;
}

static xmlNode *entry(struct writer *w, xmlNode *root, const struct day_entry *e)
{
    xmlNode *node = findings_child(w, root, "entry");
    findings_text(w, node, "patient-id", e->patient_id);
    findings_text(w, node, "name", e->name);
    findings_text(w, node, "kind", e->kind);
    findings_text(w, node, "file", e->file);
    findings_text(w, node, "worst", e->worst);
    findings_text(w, node, "author", e->author);
    findings_text(w, node, "role", e->role);
    findings_date(w, node, "visit-date", e->visit_date);
    findings_text(w, node, "visit-kind", e->visit_kind);
    findings_positive(w, node, "treatment-day", e->treatment_day);
    findings_count(w, node, "pages", e->pages);
    findings_count(w, node, "notes", e->notes);
    findings_count(w, node, "held", e->held);
    findings_positive(w, node, "amendment", e->amendment);
    findings_yes(w, node, "countersign", e->needs_countersign);
    findings_yes_no(w, node, "signed", e->is_signed);
    return node;
}

void findings_tally(struct writer *w, xmlNode *root, const struct day_tally *t)
{
    xmlNode *node = findings_child(w, root, "file");
    findings_text(w, node, "name", t->file);
    findings_count(w, node, "rows", t->rows_in);
    findings_count(w, node, "used", t->used);
    findings_count(w, node, "duplicates", t->duplicates);
    findings_count(w, node, "held", t->held);
}

struct _xmlDoc *findings_day_document(const struct day_entry *entries, size_t n,
                                      const struct day_tally *files, size_t n_files,
                                      const struct diag *problems, size_t n_problems, int part,
                                      int parts)
{
    struct writer w;
    xmlNode *root = findings_begin(&w, "day");
    if (parts > 1) {
        findings_count(&w, root, "part", part);
        findings_count(&w, root, "parts", parts);
    }
    findings_date(&w, root, "date", newest(entries, n));
    findings_count(&w, root, "reports", (long)n);
    findings_count(&w, root, "visits", count_visits(entries, n));
    findings_count(&w, root, "patients", count_patients(entries, n));
    findings_count(&w, root, "held", count_held(problems, n_problems));
    for (size_t i = 0; i < n; i++) {
        const struct day_entry *e = &entries[i];
        xmlNode *node = entry(&w, root, e);
        bool told = i > 0 && strcmp(e[-1].patient_id, e->patient_id) == 0 &&
                    date_compare(e[-1].visit_date, e->visit_date) == 0;
        for (size_t k = 0; !told && k < e->n_reminders; k++)
            findings_reminder(&w, node, &e->reminders[k]);
    }
    for (size_t i = 0; i < n_files; i++)
        findings_tally(&w, root, &files[i]);
    for (size_t i = 0; i < n_problems; i++)
        findings_problem(&w, root, &problems[i]);
    return findings_end(&w);
}
