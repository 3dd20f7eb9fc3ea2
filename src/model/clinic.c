/* The clinic's settings: a small XML file, read strictly, because a misspelt element would
 * otherwise leave a default in force without anybody noticing. */
#include "model/model.h"

#include <libxml/tree.h>
#include <string.h>

/* What may be typed; the defaults are those of the reference. */
enum {
    DEG_MAX = 90,
    DAYS_MAX = 3650,
    GRADE_CHANGE_MAX = 5,
    CLINIC_FILE_MAX = 1 << 20
};

struct clinic clinic_default(const struct reference *ref)
{
    size_t n;
    const struct heel_rises *rises = reference_heel_rises(ref, &n);
    return (struct clinic){
        .heading = "",
        .address = "",
        .phone = "",
        .logo = "",
        .locale = "",
        .tolerance_deg = reference_threshold(ref, THRESHOLD_TOLERANCE),
        .tries_apart_deg = reference_threshold(ref, THRESHOLD_TRIES_APART),
        .show_patterns = true,
        .two_plus_by_resistance = true,
        .heel_rises = n > 0 ? rises[0].id : NULL,
        .grade_change = reference_threshold(ref, THRESHOLD_GRADE_CHANGE),
        .progress_treatment_days = (int)reference_threshold(ref, THRESHOLD_PROGRESS_REPORT),
        .signature_days = (int)reference_threshold(ref, THRESHOLD_PLAN_SIGNATURE),
        .certification_days = (int)reference_threshold(ref, THRESHOLD_CERTIFICATION),
        .digest = ""};
}

struct reader {
    const char *path;
    const struct reference *ref;
    struct arena *arena;
    struct diag_sink *sink;
    struct clinic *clinic;
    unsigned seen; /* bit per entry of `settings` */
};

static bool refuse(struct reader *r, enum diag_code code, const xmlNode *node, const char *detail)
{
    diag_report(r->sink, code, xml_pos(r->path, node), NULL, "%s", detail);
    return false;
}

/* Every attribute but `wanted` (NULL: none is wanted) is a mistake. */
static bool only_attribute(struct reader *r, const xmlNode *node, const char *wanted)
{
    bool found = false;
    for (const xmlAttr *at = node->properties; at != NULL; at = at->next) {
        if (wanted != NULL && strcmp((const char *)at->name, wanted) == 0) {
            found = true;
            continue;
        }
        return refuse(r, DIAG_XML_ATTRIBUTE, node,
                      wanted != NULL ? arena_printf(r->arena, "only \"%s\" is known here", wanted)
                                     : "none is known here");
    }
    if (wanted != NULL && !found)
        return refuse(r, DIAG_XML_ATTRIBUTE, node,
                      arena_printf(r->arena, "\"%s\" missing", wanted));
    return true;
}

static bool no_content(struct reader *r, const xmlNode *node)
{
    if (*str_trim(xml_text(r->arena, node)) != '\0' || node->children != NULL)
        return refuse(r, DIAG_XML_ELEMENT, node, "takes no content");
    return true;
}

static bool read_text(struct reader *r, const xmlNode *node, const char **field)
{
    for (const xmlNode *c = node->children; c != NULL; c = c->next)
        if (c->type == XML_ELEMENT_NODE)
            return refuse(r, DIAG_XML_ELEMENT, c, "takes text only");
    *field = str_trim(xml_text(r->arena, node));
    return only_attribute(r, node, NULL);
}

/* A plain number from least to most; `example` is what may be typed. */
static bool read_number(struct reader *r, const xmlNode *node, const char *attribute, double least,
                        double most, const char *example, double *value)
{
    if (!only_attribute(r, node, attribute) || !no_content(r, node))
        return false;
    const char *text = xml_attr(r->arena, node, attribute);
    if (!num_parse(text, strlen(text), value) || *value < least || *value > most)
        return refuse(r, DIAG_XML_VALUE, node, example);
    return true;
}

static bool read_degrees(struct reader *r, const xmlNode *node, double *field)
{
    return read_number(r, node, "deg", 0, DEG_MAX, "degrees from 0 to 90, such as deg=\"5\"",
                       field);
}

static bool read_days(struct reader *r, const xmlNode *node, int *field)
{
    static const char example[] = "whole days from 1 to 3650, such as days=\"30\"";
    double value;
    if (!read_number(r, node, "days", 1, DAYS_MAX, example, &value))
        return false;
    *field = (int)value;
    return *field == value || refuse(r, DIAG_XML_VALUE, node, example);
}

/* One of the words of a list that NULL ends; `chosen` is its place. */
static bool read_choice(struct reader *r, const xmlNode *node, const char *attribute,
                        const char *const *words, int *chosen)
{
    if (!only_attribute(r, node, attribute) || !no_content(r, node))
        return false;
    const char *text = xml_attr(r->arena, node, attribute), *all = "";
    for (*chosen = 0; words[*chosen] != NULL; ++*chosen) {
        if (strcmp(text, words[*chosen]) == 0)
            return true;
        all = arena_printf(r->arena, "%s%s%s=\"%s\"", all, *all == '\0' ? "" : " or ", attribute,
                           words[*chosen]);
    }
    return refuse(r, DIAG_XML_VALUE, node, all);
}

static bool read_yes_no(struct reader *r, const xmlNode *node, const char *attribute, bool *field)
{
    static const char *const words[] = {"yes", "no", NULL};
    int chosen;
    if (!read_choice(r, node, attribute, words, &chosen))
        return false;
    *field = chosen == 0;
    return true;
}

/* ---- the settings, one function each ------------------------------------------------------- */

static bool heading(struct reader *r, const xmlNode *node)
{
    return read_text(r, node, &r->clinic->heading);
}

static bool address(struct reader *r, const xmlNode *node)
{
    return read_text(r, node, &r->clinic->address);
}

static bool phone(struct reader *r, const xmlNode *node)
{
    return read_text(r, node, &r->clinic->phone);
}

static bool logo(struct reader *r, const xmlNode *node)
{
    return read_text(r, node, &r->clinic->logo);
}

static bool locale(struct reader *r, const xmlNode *node)
{
    if (!only_attribute(r, node, "name") || !no_content(r, node))
        return false;
    r->clinic->locale = xml_attr(r->arena, node, "name");
    return *r->clinic->locale != '\0' ||
           refuse(r, DIAG_XML_VALUE, node, "the name of a file of templates/locale, such as "
                                           "name=\"en-US\"");
}

static bool tolerance(struct reader *r, const xmlNode *node)
{
    return read_degrees(r, node, &r->clinic->tolerance_deg);
}

static bool tries_apart(struct reader *r, const xmlNode *node)
{
    return read_degrees(r, node, &r->clinic->tries_apart_deg);
}

static bool patterns(struct reader *r, const xmlNode *node)
{
    return read_yes_no(r, node, "show", &r->clinic->show_patterns);
}

static bool norms(struct reader *r, const xmlNode *node)
{
    static const char *const words[] = {"default", "legal", "AAOS", "AMA", NULL};
    int chosen;
    if (!read_choice(r, node, "profile", words, &chosen))
        return false;
    r->clinic->norms = (enum norms_profile)chosen;
    return true;
}

static bool partial(struct reader *r, const xmlNode *node)
{
    static const char *const words[] = {"2+/3-", "2", NULL};
    int chosen;
    if (!read_choice(r, node, "grade", words, &chosen))
        return false;
    r->clinic->partial_against_gravity = (enum partial_grade)chosen;
    return true;
}

static bool two_plus(struct reader *r, const xmlNode *node)
{
    return read_yes_no(r, node, "accept", &r->clinic->two_plus_by_resistance);
}

static bool five_minus(struct reader *r, const xmlNode *node)
{
    return read_yes_no(r, node, "accept", &r->clinic->five_minus);
}

static bool heel_rises(struct reader *r, const xmlNode *node)
{
    size_t n;
    int chosen;
    const struct heel_rises *tables = reference_heel_rises(r->ref, &n);
    const char **ids = arena_alloc(r->arena, (n + 1) * sizeof *ids);
    for (size_t i = 0; i < n; i++)
        ids[i] = tables[i].id;
    if (!read_choice(r, node, "table", ids, &chosen))
        return false;
    r->clinic->heel_rises = ids[chosen];
    return true;
}

static bool grade_scale(struct reader *r, const xmlNode *node)
{
    static const char *const words[] = {"0-5", "0-10", NULL};
    int chosen;
    if (!read_choice(r, node, "steps", words, &chosen))
        return false;
    r->clinic->grades_of_ten = chosen == 1;
    return true;
}

static bool grade_method(struct reader *r, const xmlNode *node)
{
    static const char *const words[] = {"make", "break", "through-range", NULL};
    int chosen;
    if (!read_choice(r, node, "method", words, &chosen))
        return false;
    r->clinic->grade_method = (enum grade_method)(GRADE_METHOD_MAKE + chosen);
    return true;
}

static bool grade_change(struct reader *r, const xmlNode *node)
{
    const double least = 0.01;
    return read_number(r, node, "grades", least, GRADE_CHANGE_MAX,
                       "grades above 0 and up to 5, such as grades=\"1\"",
                       &r->clinic->grade_change);
}

static bool progress_report(struct reader *r, const xmlNode *node)
{
    return read_days(r, node, &r->clinic->progress_treatment_days);
}

static bool plan_signature(struct reader *r, const xmlNode *node)
{
    return read_days(r, node, &r->clinic->signature_days);
}

static bool certification(struct reader *r, const xmlNode *node)
{
    return read_days(r, node, &r->clinic->certification_days);
}

static const struct {
    const char *name;
    bool (*read)(struct reader *r, const xmlNode *node);
} settings[] = {
    {"heading", heading},
    {"address", address},
    {"phone", phone},
    {"logo", logo},
    {"locale", locale},
    {"tolerance", tolerance},
    {"tries-apart", tries_apart},
    {"patterns", patterns},
    {"norms", norms},
    {"partial-against-gravity", partial},
    {"two-plus-by-resistance", two_plus},
    {"five-minus", five_minus},
    {"grade-scale", grade_scale},
    {"heel-rises", heel_rises},
    {"grade-test", grade_method},
    {"grade-change", grade_change},
    {"progress-report", progress_report},
    {"plan-signature", plan_signature},
    {"certification", certification},
};

static bool refuse_name(struct reader *r, const xmlNode *node)
{
    const char *names[ARRAY_LEN(settings)];
    for (size_t i = 0; i < ARRAY_LEN(settings); i++)
        names[i] = settings[i].name;
    const char *near = str_nearest((const char *)node->name, names, ARRAY_LEN(names));
    return refuse(r, DIAG_XML_ELEMENT, node,
                  near != NULL ? arena_printf(r->arena, "nearest known: %s", near)
                               : "not a setting of a clinic");
}

static bool read_element(struct reader *r, const xmlNode *node)
{
    size_t i = 0;
    while (i < ARRAY_LEN(settings) && !xml_is(node, settings[i].name))
        i++;
    if (i == ARRAY_LEN(settings))
        return refuse_name(r, node);
    if ((r->seen & 1u << i) != 0)
        return refuse(r, DIAG_XML_ELEMENT, node, "stands twice");
    r->seen |= 1u << i;
    return settings[i].read(r, node);
}

static bool read_root(struct reader *r, const xmlNode *root)
{
    if (!xml_is(root, "clinic"))
        return refuse(r, DIAG_XML_ELEMENT, root, "the root of a clinic file is <clinic>");
    if (!only_attribute(r, root, NULL))
        return false;
    bool ok = true;
    for (const xmlNode *c = root->children; c != NULL; c = c->next) {
        if (c->type == XML_ELEMENT_NODE)
            ok = read_element(r, c) && ok;
        else if (c->type == XML_TEXT_NODE && !xmlIsBlankNode(c))
            ok = refuse(r, DIAG_XML_ELEMENT, root, "text outside an element") && ok;
    }
    return ok;
}

static const char *digest_of(const struct buf *bytes, struct arena *a)
{
    struct digest d;
    char hex[DIGEST_HEX];
    digest_init(&d);
    digest_add(&d, bytes->data, bytes->len);
    digest_hex(&d, hex);
    return arena_strdup(a, hex);
}

struct clinic *clinic_load(const char *path, const struct reference *ref, struct arena *a,
                           struct diag_sink *sink)
{
    struct clinic *clinic = arena_alloc(a, sizeof *clinic);
    *clinic = clinic_default(ref);
    struct reader r = {.path = path, .ref = ref, .arena = a, .sink = sink, .clinic = clinic};
    struct buf bytes;
    xmlDoc *doc = NULL;
    bool ok = false;
    buf_init(&bytes, CLINIC_FILE_MAX);
    if (!file_read(path, CLINIC_FILE_MAX, &bytes, sink))
        goto out;
    doc = xml_parse(buf_text(&bytes), bytes.len, path, sink);
    if (doc == NULL)
        goto out;
    clinic->digest = digest_of(&bytes, a);
    ok = read_root(&r, xmlDocGetRootElement(doc));
out:
    xmlFreeDoc(doc);
    buf_release(&bytes);
    return ok ? clinic : NULL;
}
