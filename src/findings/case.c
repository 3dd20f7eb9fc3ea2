/*
 * A case for teaching: documents of visits copied into one, name by name from the list of what may
 * leave (vocabulary_case.c). What is not in the list is not copied, and what is must also look like
 * what it says: a number, a key of ours, or text of the reference library. No template is asked to
 * leave anything out.
 */
#include "findings/findings_int.h"

#include <libxml/tree.h>
#include <string.h>

enum { KEY_MAX = 60 };

struct copier {
    struct writer *w;
    const struct findings_deid *deid;
    const struct vocabulary_entry *entries;
    size_t n_entries;
};

static const struct vocabulary_entry *entry_of(const struct copier *c, const char *element)
{
    for (size_t i = 0; i < c->n_entries; i++)
        if (strcmp(c->entries[i].element, element) == 0)
            return &c->entries[i];
    return NULL;
}

static bool has_name(const char *list, const char *name)
{
    size_t len = strlen(name);
    while (*list != '\0') {
        size_t n = strcspn(list, " ");
        if (n == len && memcmp(list, name, n) == 0)
            return true;
        list += n;
        list += *list == ' ';
    }
    return false;
}

/* Text of the reference library, known by where it stands: nobody types it into an export. */
static bool is_reference_text(const char *element, const char *name)
{
    if (strcmp(name, "citation") == 0 || strstr(name, "mark") != NULL ||
        strstr(name, "source") != NULL)
        return true;
    return strcmp(element, "compensation") == 0;
}

/* A key or grade of ours, or numbers: "external-rotation", "4-", "-10", "118 120", "5-0-140". */
static bool is_plain_value(const char *value)
{
    size_t len = strlen(value);
    return strspn(value, "0123456789+-. ") == len ||
           (len <= KEY_MAX && strspn(value, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                            "0123456789+-") == len);
}

/* ---- values that are told otherwise -------------------- */

static const struct {
    const char *name, *week;
} dated[] = {{"date", "week"},           {"other-date", "other-week"}, {"due", "due-week"},
             {"until", "until-week"},    {"met-on", "met-week"},       {"last-date", "last-week"},
             {"baseline-date", "baseline-week"}};

static bool copy_week(const struct copier *c, xmlNode *to, const char *name, const char *value,
                      const char *allowed)
{
    for (size_t i = 0; i < ARRAY_LEN(dated); i++) {
        struct date date;
        if (strcmp(dated[i].name, name) != 0)
            continue;
        if (has_name(allowed, dated[i].week) && date_parse_iso(value, &date))
            findings_number(c->w, to, dated[i].week, findings_deid_week(c->deid, date), 0);
        return true;
    }
    return false;
}

static bool copy_words(const struct copier *c, xmlNode *to, const char *name, const char *value)
{
    if (strcmp(name, "position") == 0)
        findings_text(c->w, to, "position", findings_deid_position(c->deid, value));
    else if (strcmp(name, "tool") == 0)
        findings_text(c->w, to, "tool", findings_deid_tool(c->deid, value));
    else if (strcmp(name, "muscle") == 0)
        findings_text(c->w, to, "muscle", findings_deid_muscle(c->deid, value));
    else
        return false;
    return true;
}

static void copy_attributes(const struct copier *c, const xmlNode *from, xmlNode *to,
                            const char *allowed)
{
    const char *element = (const char *)from->name;
    for (const xmlAttr *at = from->properties; at != NULL; at = at->next) {
        const char *name = (const char *)at->name;
        const char *value = at->children != NULL ? (const char *)at->children->content : "";
        if (copy_week(c, to, name, value, allowed) || !has_name(allowed, name) ||
            copy_words(c, to, name, value))
            continue;
        if (is_reference_text(element, name) || is_plain_value(value))
            findings_text(c->w, to, name, value);
    }
}

/* A compensation as somebody typed it has no id. */
static bool is_typed(const xmlNode *node)
{
    return xml_is(node, "compensation") && xmlHasProp(node, BAD_CAST "id") == NULL;
}

static void copy_children(const struct copier *c, const xmlNode *from, xmlNode *to,
                          const char *allowed);

static void copy(const struct copier *c, const xmlNode *from, xmlNode *parent)
{
    const struct vocabulary_entry *entry = entry_of(c, (const char *)from->name);
    if (entry == NULL || is_typed(from))
        return;
    xmlNode *node = findings_child(c->w, parent, entry->element);
    copy_attributes(c, from, node, entry->attributes);
    copy_children(c, from, node, entry->children);
}

static void copy_children(const struct copier *c, const xmlNode *from, xmlNode *to,
                          const char *allowed)
{
    for (const xmlNode *child = from->children; child != NULL; child = child->next)
        if (child->type == XML_ELEMENT_NODE && has_name(allowed, (const char *)child->name))
            copy(c, child, to);
}

/* ---- the case -------------------- */

static void about_patient(struct writer *w, xmlNode *root, const struct visit_findings *last)
{
    const struct patient *p = last->patient;
    if (p->sex != SEX_UNKNOWN)
        findings_text(w, root, "sex", sex_name(p->sex));
    if (last->age.has) {
        int from;
        struct num to;
        findings_deid_age(last->ref, last->age.value, &from, &to);
        findings_count(w, root, "age-from", from);
        findings_number(w, root, "age-to", to, 0);
    }
    findings_text(w, root, "dominant-side", side_name(p->dominant_side));
    findings_text(w, root, "affected-side", side_name(p->affected_side));
}

static bool needs_countersign(const xmlNode *visit)
{
    for (const xmlNode *m = xml_first(visit, "measured-by"); m != NULL;
         m = xml_next(m, "measured-by"))
        if (xmlHasProp(m, BAD_CAST "countersign") != NULL)
            return true;
    return false;
}

static void add_visit(const struct copier *c, xmlNode *root, const struct visit_findings *v,
                      size_t number, const struct findings_case *how, int *statement)
{
    xmlDoc *doc = findings_document(v, NULL);
    const xmlNode *from = xmlDocGetRootElement(doc);
    const xmlNode *episode = xml_first(from, "episode");
    const struct vocabulary_entry *entry = entry_of(c, "visit");
    xmlNode *node = findings_child(c->w, root, "visit");
    findings_count(c->w, node, "number", (long)number);
    copy_attributes(c, from, node, entry->attributes);
    if (episode != NULL)
        copy_attributes(c, episode, node, entry->attributes);
    findings_yes(c->w, node, "countersign", needs_countersign(from));
    copy_children(c, from, node, entry->children);
    if (how->with_notes)
        findings_statements(c->w, node, v, number == 1, number, statement);
    findings_free(doc);
}

struct _xmlDoc *findings_case_document(const struct visit_findings *const *visits, size_t n,
                                       const struct findings_case *how, struct arena *a)
{
    struct writer w;
    xmlNode *root = findings_begin(&w, "case");
    const struct visit_findings *last = visits[n - 1];
    struct copier c = {.w = &w, .deid = findings_deid_new(last->patient, a)};
    c.entries = findings_case_vocabulary(&c.n_entries);
    char number[NUM_TEXT_MAX];
    snprintf(number, sizeof number, "%02d", how->number);
    findings_text(&w, root, "number", number);
    about_patient(&w, root, last);
    findings_count(&w, root, "visits", (long)n);
    findings_number(&w, root, "weeks", findings_deid_week(c.deid, last->visit->date), 0);
    findings_positive(&w, root, "stage", (long)how->stage);
    findings_yes(&w, root, "notes", how->with_notes);
    int statement = 0;
    for (size_t i = 0; i < n; i++)
        if (how->stage == 0 || how->stage == i + 1)
            add_visit(&c, root, visits[i], i + 1, how, &statement);
    return findings_end(&w);
}
