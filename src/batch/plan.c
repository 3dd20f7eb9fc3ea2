/*
 * The command plan: names of motions and what is known of the patient -> an order of examination
 * -> a sheet to write on (or the checklist of a practical examination) and a CSV to fill in.
 */
#include "batch/sheet_int.h"

#include "plan/plan.h"

#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>

struct plan_run {
    struct tools tools;
    struct diag_sink sink;
    struct plan_wishes wishes;
    struct plan_condition *conditions;
};

static void on_diag(void *user, const struct diag *d)
{
    const struct plan_run *r = user;
    if (!r->tools.options->quiet || diag_level(d->code) >= DIAG_ERROR)
        diag_print(stderr, d);
}

/* ---- motions --------------------------------------------------------------------------------- */

/* A name as the plan knows it, or in any spelling that a cell or a header may have. */
static bool want(struct plan_run *r, const char *name)
{
    struct diag_sink quiet = {0};
    struct import_test test;
    if (plan_want(&r->wishes, r->tools.reference, name, &quiet))
        return true;
    if (import_test_named(r->tools.reference, name, &test)) {
        plan_wish_for(&r->wishes, test.motion);
        return true;
    }
    return plan_want(&r->wishes, r->tools.reference, name, &r->sink);
}

/* A joint and a motion may be two arguments, as they are typed without quotation marks. */
static bool want_all(struct plan_run *r)
{
    const struct batch_options *o = r->tools.options;
    for (size_t i = 0; i < o->n_inputs; i++) {
        const struct motion *m =
            i + 1 < o->n_inputs
                ? reference_motion(r->tools.reference, o->inputs[i], o->inputs[i + 1])
                : NULL;
        if (m != NULL) {
            plan_wish_for(&r->wishes, m);
            i++;
        } else if (!want(r, o->inputs[i])) {
            return false;
        }
    }
    return true;
}

/* What flares symptoms: all that the name stands for, and it must be asked for. */
static bool mark_provoking(struct plan_run *r)
{
    const struct batch_plan *p = &r->tools.options->plan;
    bool ok = true;
    for (size_t i = 0; ok && i < p->n_provokes; i++) {
        struct plan_wishes named;
        struct import_test test;
        struct diag_sink quiet = {0};
        plan_wishes_init(&named);
        ok = plan_want(&named, r->tools.reference, p->provokes[i], &quiet);
        if (!ok && import_test_named(r->tools.reference, p->provokes[i], &test)) {
            plan_wish_for(&named, test.motion);
            ok = true;
        }
        if (!ok)
            ok = plan_want(&named, r->tools.reference, p->provokes[i], &r->sink);
        for (size_t k = 0; ok && k < named.n; k++) {
            size_t before = r->wishes.n;
            plan_wish_for(&r->wishes, named.items[k].motion)->provoking = true;
            if (r->wishes.n > before) {
                diag_report(&r->sink, DIAG_PLAN_PROVOKES, (struct diag_pos){0}, NULL, "%s %s",
                            named.items[k].motion->joint, named.items[k].motion->motion);
                ok = false;
            }
        }
        plan_wishes_release(&named);
    }
    return ok;
}

/* ---- cautions -------------------------------------------------------------------------------- */

static bool is_joint(const struct reference *ref, const char *name)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        if (str_eq(reference_motion_at(ref, i)->joint, name))
            return true;
    return false;
}

static bool bad_caution(struct plan_run *r, const char *given, const char *part)
{
    const char *near = reference_nearest_joint(r->tools.reference, part);
    diag_report(&r->sink, DIAG_PLAN_CAUTION_PLACE, (struct diag_pos){0}, NULL,
                near != NULL ? "%s; nearest joint: %s" : "%s%s", given, near != NULL ? near : "");
    return false;
}

/* CAUTION, CAUTION:JOINT, CAUTION:SIDE or CAUTION:JOINT:SIDE. */
static bool read_caution(struct plan_run *r, const char *given, struct plan_condition *out)
{
    char *text = arena_strdup(r->tools.arena, given), *rest = NULL;
    const char *id = strtok_r(text, ":", &rest), *part;
    *out = (struct plan_condition){.joint = ""};
    out->caution = plan_caution_find(id != NULL ? id : "", &r->sink);
    if (out->caution == NULL)
        return false;
    while ((part = strtok_r(NULL, ":", &rest)) != NULL) {
        if (str_eq(part, "right") || str_eq(part, "left")) {
            if (out->side != SIDE_NONE)
                return bad_caution(r, given, part);
            out->side = part[0] == 'r' ? SIDE_RIGHT : SIDE_LEFT;
        } else if (is_joint(r->tools.reference, part) && out->joint[0] == '\0') {
            out->joint = part;
        } else {
            return bad_caution(r, given, part);
        }
    }
    return true;
}

static bool read_cautions(struct plan_run *r)
{
    const struct batch_plan *p = &r->tools.options->plan;
    r->conditions = mem_alloc((p->n_cautions + 1) * sizeof *r->conditions);
    for (size_t i = 0; i < p->n_cautions; i++)
        if (!read_caution(r, p->cautions[i], &r->conditions[i]))
            return false;
    return true;
}

/* ---- writing --------------------------------------------------------------------------------- */

static struct plan_request request_of(const struct plan_run *r)
{
    const struct batch_plan *p = &r->tools.options->plan;
    struct plan_request q = plan_request_all(&r->wishes);
    q.tests = p->tests != 0 ? p->tests : q.tests;
    q.positions = p->positions != 0 ? p->positions : q.positions;
    q.right = p->side != SIDE_LEFT;
    q.left = p->side != SIDE_RIGHT;
    q.involved = p->involved;
    q.conditions = r->conditions;
    q.n_conditions = p->n_cautions;
    return q;
}

static bool write_csv(struct plan_run *r, const struct plan *plan)
{
    const struct batch_options *o = r->tools.options;
    char date[DATE_TEXT_MAX];
    struct buf csv;
    buf_init(&csv, PLAN_CSV_MAX);
    plan_csv(plan,
             &(struct plan_csv_options){.patient_id = o->only_patient,
                                        .visit_date = date_format(date, o->on),
                                        .measured_by = o->plan.measured_by,
                                        .tries = o->plan.tries},
             &csv);
    bool ok = sheet_write_text(&r->tools, "plan.csv", &csv, &r->sink);
    buf_release(&csv);
    return ok;
}

static bool write_sheet(struct plan_run *r, const struct plan *plan, const struct plan_request *q,
                        bool *refused)
{
    const struct batch_options *o = r->tools.options;
    xmlDocPtr doc = findings_plan_document(&(struct findings_plan){
        .plan = plan, .request = q, .asked = o->inputs, .n_asked = o->n_inputs,
        .clinic = r->tools.clinic, .program_version = ENDFEEL_VERSION, .patient = o->only_patient,
        .measured_by = o->plan.measured_by, .date = o->on, .tries = o->plan.tries});
    bool ok = sheet_write(&r->tools, doc, "plan.pdf", refused, &r->sink);
    findings_free(doc);
    return ok;
}

static void say(const struct plan_run *r, const struct plan *plan)
{
    if (r->tools.options->quiet)
        return;
    fprintf(stderr, "%zu tests in %zu positions, %zu changes of position, %zu left out\n",
            plan->n_items, plan->n_items > 0 ? plan->n_changes + 1 : 0, plan->n_changes,
            plan->n_omitted);
}

static enum status work(struct plan_run *r)
{
    struct plan_request q = request_of(r);
    struct plan *plan = plan_make(r->tools.reference, &q, &r->sink);
    bool refused = false;
    if (plan == NULL)
        return STATUS_USAGE;
    int lock = sheet_lock(&r->tools, &r->sink);
    bool ok = lock >= 0 && write_sheet(r, plan, &q, &refused) && write_csv(r, plan);
    lock_drop(lock);
    if (refused)
        diag_report(&r->sink, DIAG_DOCUMENT_REFUSED, (struct diag_pos){0}, NULL, "kind %s",
                    r->tools.kinds[0]);
    if (ok)
        say(r, plan);
    plan_free(plan);
    return ok ? STATUS_OK : refused ? STATUS_HELD_BACK : STATUS_SYSTEM;
}

enum status plan_run(const struct batch_options *options)
{
    struct plan_run r = {.sink = {.put = on_diag}};
    r.sink.user = &r;
    plan_wishes_init(&r.wishes);
    enum status status =
        tools_load_sheet(&r.tools, options, options->plan.checklist ? "checklist" : "plan", "plan",
                         &r.sink);
    if (status == STATUS_OK) {
        bool ok = want_all(&r) && mark_provoking(&r) && read_cautions(&r);
        status = ok ? work(&r) : STATUS_USAGE;
    }
    plan_wishes_release(&r.wishes);
    free(r.conditions);
    tools_release(&r.tools);
    return status;
}
