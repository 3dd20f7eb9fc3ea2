/* Spellings of joints and motions. Words are compared as runs of letters and digits in lower case,
 * so that "Ext. Rot.", "ext-rot" and "EXT ROT" are one; the keys of the library themselves are
 * words of it. "IP", "MCP" or "rotation" of a shoulder stay unknown: they could mean two things. */
#include "import/vocabulary_int.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum { WORDS_MAX = 12, TEXT_MAX = 96 };

struct spelling {
    const char *words, *key;
};

static const struct spelling joints[] = {
    {"gh", "shoulder"},          {"ghj", "shoulder"},         {"glenohumeral", "shoulder"},
    {"neck", "cervical"},        {"cervical spine", "cervical"}, {"c spine", "cervical"},
    {"cspine", "cervical"},      {"c s", "cervical"},         {"tibiofemoral", "knee"},
    {"tfj", "knee"},             {"talocrural", "ankle"},     {"tcj", "ankle"},
    {"stj", "subtalar"},         {"hindfoot", "subtalar"},    {"tmj", "jaw"},
    {"temporomandibular", "jaw"}, {"scapular", "scapula"},    {"shoulder blade", "scapula"},
    {"finger mp", "finger-mcp"}, {"fingers mcp", "finger-mcp"}, {"mcp finger", "finger-mcp"},
    {"finger metacarpophalangeal", "finger-mcp"},              {"pip", "finger-pip"},
    {"pipj", "finger-pip"},      {"pip finger", "finger-pip"}, {"fingers pip", "finger-pip"},
    {"dip", "finger-dip"},       {"dipj", "finger-dip"},      {"dip finger", "finger-dip"},
    {"fingers dip", "finger-dip"}, {"thumb mp", "thumb-mcp"}, {"mcp thumb", "thumb-mcp"},
    {"ip thumb", "thumb-ip"},    {"cmc thumb", "thumb-cmc"},  {"cmc", "thumb-cmc"},
    {"mtp", "toe-mtp"},          {"mtpj", "toe-mtp"},         {"mtp toe", "toe-mtp"},
    {"toes mtp", "toe-mtp"},     {"ip toe", "toe-ip"},        {"toes ip", "toe-ip"},
};

static const struct spelling motions[] = {
    {"flex", "flexion"},                     {"ext", "extension"},
    {"abd", "abduction"},                    {"add", "adduction"},
    {"er", "external-rotation"},             {"ext rot", "external-rotation"},
    {"ext rotation", "external-rotation"},   {"external rot", "external-rotation"},
    {"exorotation", "external-rotation"},    {"lateral rotation", "external-rotation"},
    {"lat rot", "external-rotation"},        {"ir", "internal-rotation"},
    {"int rot", "internal-rotation"},        {"int rotation", "internal-rotation"},
    {"internal rot", "internal-rotation"},   {"endorotation", "internal-rotation"},
    {"medial rotation", "internal-rotation"}, {"med rot", "internal-rotation"},
    {"mr", "internal-rotation"},             {"habd", "horizontal-abduction"},
    {"horiz abd", "horizontal-abduction"},   {"horizontal abd", "horizontal-abduction"},
    {"hadd", "horizontal-adduction"},        {"horiz add", "horizontal-adduction"},
    {"horizontal add", "horizontal-adduction"}, {"df", "dorsiflexion"},
    {"dorsi flexion", "dorsiflexion"},       {"dorsi", "dorsiflexion"},
    {"pf", "plantar-flexion"},               {"plantarflexion", "plantar-flexion"},
    {"plantar flex", "plantar-flexion"},     {"inv", "inversion"},
    {"ev", "eversion"},                      {"ever", "eversion"},
    {"pron", "pronation"},                   {"sup", "supination"},
    {"rd", "radial-deviation"},              {"radial dev", "radial-deviation"},
    {"ud", "ulnar-deviation"},               {"ulnar dev", "ulnar-deviation"},
    {"sb", "lateral-flexion"},               {"sf", "lateral-flexion"},
    {"lf", "lateral-flexion"},               {"side bend", "lateral-flexion"},
    {"side bending", "lateral-flexion"},     {"sidebending", "lateral-flexion"},
    {"side flexion", "lateral-flexion"},     {"lat flex", "lateral-flexion"},
    {"lateral flex", "lateral-flexion"},     {"rot", "rotation"},
    {"opp", "opposition"},                   {"elev", "elevation"},
    {"dep", "depression"},                   {"mio", "opening"},
    {"mmo", "opening"},                      {"mouth opening", "opening"},
    {"lateral deviation", "lateral-excursion"},
};

static const char *const tests[] = {"arom", "prom", "rom", "mmt"};

/* Words of a text: "Ext. Rot." gives {"ext", "rot"}. */
struct words {
    char text[TEXT_MAX];
    const char *at[WORDS_MAX];
    int n;
};

static bool add_words(struct words *w, const char *text)
{
    size_t used = w->n > 0 ? (size_t)(w->at[w->n - 1] - w->text) + strlen(w->at[w->n - 1]) + 1 : 0;
    while (*text != '\0') {
        if (!isalnum((unsigned char)*text)) {
            if ((unsigned char)*text >= 0x80)
                return false;
            text++;
            continue;
        }
        if (w->n == WORDS_MAX)
            return false;
        w->at[w->n++] = w->text + used;
        for (; isalnum((unsigned char)*text); text++) {
            if (used + 2 > sizeof w->text)
                return false;
            w->text[used++] = (char)tolower((unsigned char)*text);
        }
        w->text[used++] = '\0';
    }
    return true;
}

/* Whether words [from, to) are the words of `spelt`, whose hyphens and blanks part words. */
static bool is_spelt(const struct words *w, int from, int to, const char *spelt)
{
    for (int i = from; i < to; i++) {
        size_t len = strcspn(spelt, "- ");
        if (strlen(w->at[i]) != len || strncmp(w->at[i], spelt, len) != 0)
            return false;
        spelt += len;
        if (*spelt == '\0')
            return i + 1 == to;
        spelt++;
    }
    return false;
}

static const char *find_joint(const struct reference *ref, const struct words *w, int from, int to)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        if (is_spelt(w, from, to, reference_motion_at(ref, i)->joint))
            return reference_motion_at(ref, i)->joint;
    for (size_t i = 0; i < ARRAY_LEN(joints); i++)
        if (is_spelt(w, from, to, joints[i].words))
            return joints[i].key;
    return NULL;
}

static const struct motion *find_motion(const struct reference *ref, const char *joint,
                                        const struct words *w, int from, int to)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        if (strcmp(m->joint, joint) == 0 && is_spelt(w, from, to, m->motion))
            return m;
    }
    for (size_t i = 0; i < ARRAY_LEN(motions); i++)
        if (is_spelt(w, from, to, motions[i].words))
            return reference_motion(ref, joint, motions[i].key);
    return NULL;
}

/* The one way to part the words into a joint and a motion of it. */
static const struct motion *find_split(const struct reference *ref, const struct words *w)
{
    const struct motion *found = NULL;
    for (int cut = 1; cut < w->n; cut++) {
        const char *joint = find_joint(ref, w, 0, cut);
        const struct motion *m = joint != NULL ? find_motion(ref, joint, w, cut, w->n) : NULL;
        if (m != NULL && found != NULL && m != found)
            return NULL;
        if (m != NULL)
            found = m;
    }
    return found;
}

const struct motion *vocabulary_motion(const struct reference *ref, const char *joint,
                                       const char *motion)
{
    const struct motion *exact = reference_motion(ref, joint, motion);
    if (exact != NULL)
        return exact;
    struct words j = {.n = 0}, m = {.n = 0};
    if (!add_words(&j, joint) || !add_words(&m, motion))
        return NULL;
    if (m.n == 0 || j.n == 0)
        return find_split(ref, j.n > 0 ? &j : &m);
    const char *key = find_joint(ref, &j, 0, j.n);
    if (key == NULL)
        return NULL;
    const struct motion *found = find_motion(ref, key, &m, 0, m.n);
    if (found != NULL)
        return found;
    found = find_split(ref, &m);
    return found != NULL && strcmp(found->joint, key) == 0 ? found : NULL;
}

void vocabulary_nearest(const struct reference *ref, const char *joint, const char *motion,
                        char out[VOCABULARY_NEAR_MAX])
{
    struct words j = {.n = 0};
    const char *key = add_words(&j, joint) && j.n > 0 ? find_joint(ref, &j, 0, j.n) : NULL;
    const char *near = key != NULL ? reference_nearest_motion(ref, key, motion) : NULL;
    out[0] = '\0';
    if (near != NULL)
        snprintf(out, VOCABULARY_NEAR_MAX, "%s %s", key, near);
    else if (key == NULL && *joint != '\0') {
        near = reference_nearest_joint(ref, joint);
        if (near != NULL)
            snprintf(out, VOCABULARY_NEAR_MAX, "%s", near);
    }
}

bool vocabulary_is_wide(const struct reference *ref, const char *header)
{
    struct words w = {.n = 0};
    bool joint = false, more = false;
    if (!add_words(&w, header))
        return false;
    for (int from = 0; from < w.n; from++) {
        for (int to = from + 1; to <= w.n && to <= from + 3; to++) {
            joint = joint || find_joint(ref, &w, from, to) != NULL;
            for (size_t i = 0; i < reference_motion_count(ref); i++)
                more = more || is_spelt(&w, from, to, reference_motion_at(ref, i)->motion);
            for (size_t i = 0; i < ARRAY_LEN(motions); i++)
                more = more || is_spelt(&w, from, to, motions[i].words);
        }
        for (size_t i = 0; i < ARRAY_LEN(tests); i++)
            more = more || strcmp(w.at[from], tests[i]) == 0;
    }
    return joint && more;
}
