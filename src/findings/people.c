/*
 * Who measured: each person once. A student's work that nobody has countersigned is marked, even
 * where the student's name is not known, so that the banner on the report cannot get lost.
 */
#include "findings/findings_int.h"

#include <stdlib.h>

struct person {
    const char *name, *supervisor;
    enum role role;
};

struct people {
    struct person *items;
    size_t n, cap;
};

static struct person *find(struct people *p, const char *name, enum role role)
{
    for (size_t i = 0; i < p->n; i++) {
        bool same = name == NULL ? p->items[i].role == role : str_eq(p->items[i].name, name);
        if (same)
            return &p->items[i];
    }
    return NULL;
}

/* A name with two roles keeps the one that asks for more: a student's reading needs a signature
 * whoever else the same name stands for. */
static void meet(struct people *p, const char *name, enum role role, const char *supervisor)
{
    if (str_is_empty(name)) {
        if (role == ROLE_NONE)
            return;
        name = NULL;
    }
    struct person *known = find(p, name, role);
    if (known == NULL) {
        if (p->n == p->cap) {
            p->cap = p->cap == 0 ? 4 : 2 * p->cap;
            p->items = mem_resize(p->items, p->cap * sizeof *p->items);
        }
        known = &p->items[p->n++];
        *known = (struct person){name, NULL, role};
    }
    if (known->role == ROLE_NONE || role == ROLE_STUDENT)
        known->role = role;
    if (str_is_empty(known->supervisor))
        known->supervisor = supervisor;
}

void findings_people(struct writer *w, xmlNode *root, const struct visit *visit)
{
    struct people people = {0};
    meet(&people, visit->measured_by, visit->role, visit->supervisor);
    for (size_t i = 0; i < visit->n_measurements; i++) {
        const struct measurement *m = &visit->measurements[i];
        meet(&people, m->measured_by, m->role, m->supervisor);
    }
    for (size_t i = 0; i < people.n; i++) {
        const struct person *person = &people.items[i];
        xmlNode *node = findings_child(w, root, "measured-by");
        findings_text(w, node, "name", person->name);
        findings_text(w, node, "role", role_name(person->role));
        findings_text(w, node, "supervisor", person->supervisor);
        findings_yes(w, node, "countersign",
                     person->role == ROLE_STUDENT && !date_is_set(visit->countersigned_on));
        if (person->role == ROLE_PT)
            findings_abbreviate(w, ABBREVIATION_PT);
        if (person->role == ROLE_PTA)
            findings_abbreviate(w, ABBREVIATION_PTA);
    }
    free(people.items);
}
