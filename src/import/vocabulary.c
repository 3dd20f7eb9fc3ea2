/* Spellings of joints and motions. Words are compared as runs of letters and digits in lower case,
 * so that "Ext. Rot.", "ext-rot" and "EXT ROT" are one; the keys of the library themselves are
 * words of it, all others come from its vocabulary. */
#include "import/vocabulary_int.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- words --------------------------------------------------------------------------------- */

/* Dashes, spaces, points, the degree sign, the middle dot: they part words as a blank does. */
static bool is_mark(int32_t c)
{
    static const int32_t marks[] = {0xa0, 0xb0, 0xb7, 0xba, 0x2022, 0x2044, 0x2212, 0x2215, 0x202f};
    for (size_t i = 0; i < ARRAY_LEN(marks); i++)
        if (c == marks[i])
            return true;
    return (c >= 0x2000 && c <= 0x2015) || c == UTF8_BAD;
}

static bool is_plain(char c)
{
    return isalnum((unsigned char)c) != 0;
}

/* "KneeFlex": a capital behind a small letter begins a word; so does the last of several capitals
 * before a small letter, "RKnee". */
static bool begins_word(const char *s, const char *start)
{
    bool upper = isupper((unsigned char)*s) != 0;
    return s > start && upper &&
           (islower((unsigned char)s[-1]) != 0 || islower((unsigned char)s[1]) != 0);
}

bool vocabulary_split(struct vocabulary_words *w, const char *text, bool capitals)
{
    size_t used = w->n > 0 ? (size_t)(w->at[w->n - 1] - w->text) + strlen(w->at[w->n - 1]) + 1 : 0;
    const char *end = text + strlen(text);
    while (text < end) {
        if (!is_plain(*text)) {
            int32_t c = utf8_next(&text, end);
            w->odd = w->odd || (c >= 0x80 && !is_mark(c)) || c == UTF8_BAD;
            continue;
        }
        if (w->n == VOCABULARY_WORDS)
            return false;
        const char *start = text;
        w->typed[w->n] = text;
        w->at[w->n++] = w->text + used;
        for (; is_plain(*text) && !(capitals && begins_word(text, start)); text++) {
            if (used + 2 > sizeof w->text)
                return false;
            w->text[used++] = (char)tolower((unsigned char)*text);
        }
        w->text[used++] = '\0';
    }
    return true;
}

/* Whether words [from, to) are the words of `spelt`, whose hyphens and blanks part words. */
static bool is_spelt(const struct vocabulary_words *w, int from, int to, const char *spelt)
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

static int compare_spelling(const void *key, const void *item)
{
    const struct spelling *s = item;
    return s->kind == SPELLING_COLUMN ? -1 : strcmp(key, s->text);
}

const struct spelling *vocabulary_spelling(const struct reference *ref,
                                           const struct vocabulary_words *w, int from, int to)
{
    char text[VOCABULARY_TEXT];
    size_t n;
    const struct spelling *list = reference_spellings(ref, &n);
    if (n == 0)
        return NULL;
    /* The words lie one behind the other, each with its NUL. */
    size_t len = from < to ? (size_t)(w->at[to - 1] - w->at[from]) + strlen(w->at[to - 1]) : 0;
    for (size_t i = 0; i < len; i++)
        text[i] = w->at[from][i] != '\0' ? w->at[from][i] : ' ';
    text[len] = '\0';
    return bsearch(text, list, n, sizeof *list, compare_spelling);
}

static const char *spelt_as(const struct reference *ref, const struct vocabulary_words *w, int from,
                            int to, enum spelling_kind kind)
{
    const struct spelling *s = vocabulary_spelling(ref, w, from, to);
    return s != NULL && s->kind == kind ? s->means : NULL;
}

const char *vocabulary_joint_key(const struct reference *ref, const struct vocabulary_words *w,
                                 int from, int to)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        if (is_spelt(w, from, to, reference_motion_at(ref, i)->joint))
            return reference_motion_at(ref, i)->joint;
    return spelt_as(ref, w, from, to, SPELLING_JOINT);
}

const char *vocabulary_motion_key(const struct reference *ref, const struct vocabulary_words *w,
                                  int from, int to)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++)
        if (is_spelt(w, from, to, reference_motion_at(ref, i)->motion))
            return reference_motion_at(ref, i)->motion;
    return spelt_as(ref, w, from, to, SPELLING_MOTION);
}

const char *vocabulary_digit(const struct reference *ref, const char *text)
{
    struct vocabulary_words w = {.n = 0};
    if (!vocabulary_split(&w, text, false) || w.n == 0 || w.odd)
        return NULL;
    return spelt_as(ref, &w, 0, w.n, SPELLING_DIGIT);
}

enum test vocabulary_test(const struct reference *ref, const char *text)
{
    enum { SPELLING_WORDS = 5 };
    struct vocabulary_words w = {.n = 0};
    enum test found = TEST_NONE;
    bool told = vocabulary_split(&w, text, false) && !w.odd;
    for (int from = 0, to; told && from < w.n; from = to) {
        const struct spelling *s = NULL;
        for (to = from + SPELLING_WORDS < w.n ? from + SPELLING_WORDS : w.n; to > from; to--) {
            s = vocabulary_spelling(ref, &w, from, to);
            if (s != NULL && (s->kind == SPELLING_TEST || s->kind == SPELLING_FILLER))
                break;
            s = NULL;
        }
        enum test said = TEST_NONE;
        for (int t = TEST_AROM; s != NULL && s->kind == SPELLING_TEST && t < TEST_COUNT; t++)
            if (strcmp(s->means, test_name((enum test)t)) == 0)
                said = (enum test)t;
        bool filler = s != NULL && s->kind == SPELLING_FILLER;
        told = filler || (said != TEST_NONE && (found == TEST_NONE || found == said));
        found = filler ? found : said;
    }
    return told ? found : TEST_NONE;
}

/* ---- joint and motion ---------------------------------------------------------------------- */

const struct motion *vocabulary_motion_of(const struct reference *ref, const char *joint,
                                          const char *motion)
{
    static const char *const neighbours[][3] = {
        {"ankle", "inversion", "subtalar"}, {"ankle", "eversion", "subtalar"},
        {"elbow", "pronation", "forearm"},  {"elbow", "supination", "forearm"},
        {"wrist", "pronation", "forearm"},  {"wrist", "supination", "forearm"}};
    const struct motion *m = reference_motion(ref, joint, motion);
    for (size_t i = 0; m == NULL && i < ARRAY_LEN(neighbours); i++)
        if (strcmp(joint, neighbours[i][0]) == 0 && strcmp(motion, neighbours[i][1]) == 0)
            m = reference_motion(ref, neighbours[i][2], motion);
    return m;
}

static const struct motion *find_motion(const struct reference *ref, const char *joint,
                                        const struct vocabulary_words *w, int from, int to)
{
    const char *key = vocabulary_motion_key(ref, w, from, to);
    return key != NULL ? vocabulary_motion_of(ref, joint, key) : NULL;
}

/* Without "joint" and the like behind: "knee joint". */
static int without_filler(const struct reference *ref, const struct vocabulary_words *w)
{
    int n = w->n;
    while (n > 1 && vocabulary_joint_key(ref, w, 0, n) == NULL) {
        const struct spelling *s = vocabulary_spelling(ref, w, n - 1, n);
        if (s == NULL || s->kind != SPELLING_FILLER)
            return w->n;
        n--;
    }
    return n;
}

static const struct motion *find_muscle(const struct reference *ref,
                                        const struct vocabulary_words *w)
{
    const char *means = spelt_as(ref, w, 0, w->n, SPELLING_MUSCLE);
    for (size_t i = 0; means != NULL && i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        size_t n = strlen(m->joint);
        if (strncmp(means, m->joint, n) == 0 && means[n] == ' ' &&
            strcmp(means + n + 1, m->motion) == 0)
            return m;
    }
    return NULL;
}

/* The one way to part the words into a joint and a motion of it. */
static const struct motion *find_split(const struct reference *ref,
                                       const struct vocabulary_words *w)
{
    const struct motion *found = find_muscle(ref, w);
    for (int cut = 1; cut < w->n; cut++) {
        const char *joint = vocabulary_joint_key(ref, w, 0, cut);
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
    struct vocabulary_words j = {.n = 0}, m = {.n = 0};
    if (!vocabulary_split(&j, joint, false) || !vocabulary_split(&m, motion, false) || j.odd ||
        m.odd)
        return NULL;
    if (m.n == 0 || j.n == 0)
        return find_split(ref, j.n > 0 ? &j : &m);
    const char *key = vocabulary_joint_key(ref, &j, 0, without_filler(ref, &j));
    if (key == NULL)
        return NULL;
    const struct motion *found = find_motion(ref, key, &m, 0, m.n);
    if (found != NULL)
        return found;
    found = find_split(ref, &m);
    return found != NULL && strcmp(found->joint, key) == 0 ? found : NULL;
}

/* ---- what to type instead ------------------------------------------------------------------ */

/* Adds ", name" while there is room. */
static void add_name(char out[VOCABULARY_NEAR_MAX], const char *name)
{
    size_t used = strlen(out);
    if (used + strlen(name) + 3 < VOCABULARY_NEAR_MAX)
        snprintf(out + used, VOCABULARY_NEAR_MAX - used, "%s%s", used > 0 ? ", " : "", name);
}

/* The motions of a joint, or the joints whose keys begin with a word: "thumb". */
static void list_known(const struct reference *ref, const char *joint, bool motions,
                       char out[VOCABULARY_NEAR_MAX])
{
    const char *last = "";
    size_t len = strlen(joint);
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        bool family = strncmp(m->joint, joint, len) == 0 && m->joint[len] == '-';
        if (motions && strcmp(m->joint, joint) == 0)
            add_name(out, m->motion);
        else if (!motions && family && strcmp(m->joint, last) != 0)
            add_name(out, last = m->joint);
    }
}

void vocabulary_known(const struct reference *ref, const char *joint, const char *motion,
                      char out[VOCABULARY_NEAR_MAX])
{
    struct vocabulary_words j = {.n = 0};
    out[0] = '\0';
    if (!vocabulary_split(&j, joint, false) || j.n == 0 || j.odd)
        return;
    const char *key = vocabulary_joint_key(ref, &j, 0, without_filler(ref, &j));
    if (key != NULL && *motion != '\0')
        list_known(ref, key, true, out);
    else if (key == NULL)
        list_known(ref, j.at[j.n - 1], false, out);
}

void vocabulary_nearest(const struct reference *ref, const char *joint, const char *motion,
                        char out[VOCABULARY_NEAR_MAX])
{
    struct vocabulary_words j = {.n = 0};
    const char *key = vocabulary_split(&j, joint, false) && j.n > 0 && !j.odd
                          ? vocabulary_joint_key(ref, &j, 0, j.n)
                          : NULL;
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
