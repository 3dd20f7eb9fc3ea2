/* Headers of wide tables. The words are covered by spellings in every possible way, and the header
 * is understood when all complete covers say the same. */
#include "import/heading_int.h"
#include "import/import_int.h"
#include "import/vocabulary_int.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SPELLING_WORDS = 5 };

/* What words [from, to) say. */
struct piece {
    enum spelling_kind kind;
    const char *means;
};

struct cover {
    const struct reference *ref;
    const struct vocabulary_words *w;
    struct piece pieces[VOCABULARY_WORDS];
    int n;
    struct heading found;
    bool assisted, any, several;
};

/* ---- one complete cover -------------------------------------------------------------------- */

static const char *text_of(const struct cover *c, enum spelling_kind kind, bool *twice)
{
    const char *means = NULL;
    for (int i = 0; i < c->n; i++) {
        if (c->pieces[i].kind != kind)
            continue;
        if (means != NULL && strcmp(means, c->pieces[i].means) != 0)
            *twice = true;
        means = c->pieces[i].means;
    }
    return means;
}

static const struct motion *motion_of(const struct cover *c, bool *twice)
{
    const char *joint = text_of(c, SPELLING_JOINT, twice);
    const char *motion = text_of(c, SPELLING_MOTION, twice);
    const char *muscle = text_of(c, SPELLING_MUSCLE, twice);
    if (joint != NULL && motion != NULL && muscle == NULL)
        return vocabulary_motion_of(c->ref, joint, motion);
    return muscle != NULL && joint == NULL && motion == NULL
               ? vocabulary_motion(c->ref, muscle, "")
               : NULL;
}

/* A range beside active or passive says nothing more. */
static bool read_tests(const struct cover *c, struct heading *h, bool *assisted)
{
    static const char *const names[TEST_COUNT] = {
        [TEST_AROM] = "AROM", [TEST_PROM] = "PROM", [TEST_MMT] = "MMT", [TEST_FORCE] = "force"};
    for (int i = 0; i < c->n; i++) {
        if (c->pieces[i].kind != SPELLING_TEST)
            continue;
        const char *means = c->pieces[i].means;
        h->range = h->range || strcmp(means, "range") == 0;
        *assisted = *assisted || strcmp(means, "assisted") == 0;
        for (int t = TEST_AROM; t < TEST_COUNT; t++) {
            if (strcmp(means, names[t]) != 0)
                continue;
            if (h->test != TEST_NONE && h->test != (enum test)t)
                return false;
            h->test = (enum test)t;
        }
    }
    bool strength = h->test == TEST_MMT || h->test == TEST_FORCE;
    if (h->range && strength)
        return false;
    if (h->test != TEST_NONE || *assisted)
        h->range = false;
    return !*assisted || h->test == TEST_NONE;
}

static bool test_fits(const struct heading *h)
{
    bool strength = h->test == TEST_MMT || h->test == TEST_FORCE;
    bool range = h->range || h->test == TEST_AROM || h->test == TEST_PROM;
    return (!strength || h->motion->mmt) && (!range || h->motion->rom);
}

/* A force is in newton or the like; a distance in mm or cm, of a motion that is one. */
static bool unit_fits(const struct heading *h)
{
    if (h->unit == NULL)
        return true;
    bool length = strcmp(h->unit, "mm") == 0 || strcmp(h->unit, "cm") == 0;
    bool distance = h->motion->unit == UNIT_MM || h->motion->unit == UNIT_CM;
    bool strength = h->test == TEST_MMT || h->test == TEST_FORCE;
    return length ? distance && !strength : h->test == TEST_FORCE;
}

static bool read_cover(const struct cover *c, struct heading *h, bool *assisted)
{
    bool twice = false, both = false;
    enum side limb_side = SIDE_NONE;
    *h = (struct heading){.motion = motion_of(c, &twice)};
    const char *side = text_of(c, SPELLING_SIDE, &twice);
    const char *limb = text_of(c, SPELLING_LIMB, &twice);
    const char *digit = text_of(c, SPELLING_DIGIT, &twice);
    const char *timing = text_of(c, SPELLING_TIMING, &twice);
    h->position = text_of(c, SPELLING_POSITION, &twice);
    h->unit = text_of(c, SPELLING_UNIT, &twice);
    *assisted = false;
    if (h->motion == NULL || twice || !read_tests(c, h, assisted) || !test_fits(h) ||
        !unit_fits(h))
        return false;
    for (int s = SIDE_MIDLINE; side != NULL && s < SIDE_COUNT; s++)
        if (strcmp(side, side_name((enum side)s)) == 0)
            h->side = (enum side)s;
    if (limb != NULL && (!vocabulary_limb(limb, h->motion, &limb_side, &both) || both ||
                         (h->side != SIDE_NONE && limb_side != SIDE_NONE && h->side != limb_side)))
        return false;
    if (limb_side != SIDE_NONE)
        h->side = limb_side;
    if (timing != NULL)
        h->timing = strcmp(timing, "after") == 0 ? TIMING_AFTER : TIMING_BEFORE;
    if (digit != NULL)
        h->digit = *digit - '0';
    bool midline = h->motion->sides == SIDES_MIDLINE;
    bool side_fits = h->side == SIDE_NONE || midline == (h->side == SIDE_MIDLINE);
    bool digit_fits = h->digit == 0 ||
                      (h->digit >= h->motion->digit_min && h->digit <= h->motion->digit_max);
    return side_fits && digit_fits;
}

/* ---- all covers ---------------------------------------------------------------------------- */

static bool same_heading(const struct heading *a, const struct heading *b)
{
    return a->motion == b->motion && a->side == b->side && a->digit == b->digit &&
           a->test == b->test && a->range == b->range && str_eq(a->position, b->position) &&
           str_eq(a->unit, b->unit) && a->timing == b->timing;
}

static void take_cover(struct cover *c)
{
    struct heading h;
    bool assisted;
    if (!read_cover(c, &h, &assisted))
        return;
    if (c->any && (!same_heading(&h, &c->found) || assisted != c->assisted))
        c->several = true;
    c->any = true;
    c->found = h;
    c->assisted = assisted;
}

/* What words [from, to) may be: at most a joint, a motion and a spelling of another kind. */
static int pieces_at(const struct reference *ref, const struct vocabulary_words *w, int from,
                     int to, struct piece out[3])
{
    int n = 0;
    const char *joint = vocabulary_joint_key(ref, w, from, to);
    const char *motion = vocabulary_motion_key(ref, w, from, to);
    const struct spelling *s = vocabulary_spelling(ref, w, from, to);
    if (joint != NULL)
        out[n++] = (struct piece){SPELLING_JOINT, joint};
    if (motion != NULL)
        out[n++] = (struct piece){SPELLING_MOTION, motion};
    if (s != NULL && s->kind != SPELLING_JOINT && s->kind != SPELLING_MOTION &&
        s->kind != SPELLING_STATED)
        out[n++] = (struct piece){s->kind, s->means};
    return n;
}

static void cover_from(struct cover *c, int from)
{
    if (from == c->w->n) {
        take_cover(c);
        return;
    }
    for (int to = from + 1; to <= c->w->n && to <= from + SPELLING_WORDS; to++) {
        struct piece options[3];
        int n = pieces_at(c->ref, c->w, from, to, options);
        for (int i = 0; i < n; i++) {
            c->pieces[c->n++] = options[i];
            cover_from(c, to);
            c->n--;
        }
    }
}

static enum heading_kind read_words(const struct reference *ref, const struct vocabulary_words *w,
                                    struct heading *out)
{
    struct cover c = {.ref = ref, .w = w};
    if (w->n == 0 || w->odd)
        return HEADING_OTHER;
    cover_from(&c, 0);
    if (!c.any || c.several)
        return HEADING_OTHER;
    *out = c.found;
    return c.assisted ? HEADING_ASSISTED : HEADING_MEASUREMENT;
}

/* ---- headers that are not understood ------------------------------------------------------- */

/* Which kinds of words stand in it, and which words say nothing (bits by place). */
static unsigned kinds_in(const struct reference *ref, const struct vocabulary_words *w,
                         unsigned *unknown)
{
    unsigned kinds = 0, known = 0;
    for (int from = 0; from < w->n; from++) {
        for (int to = from + 1; to <= w->n && to <= from + SPELLING_WORDS; to++) {
            struct piece options[3];
            int n = pieces_at(ref, w, from, to, options);
            for (int i = 0; i < n; i++)
                kinds |= 1u << options[i].kind;
            for (int i = from; n > 0 && i < to; i++)
                known |= 1u << i;
        }
    }
    *unknown = ~known & ((1u << w->n) - 1);
    return kinds;
}

static bool is_like(unsigned kinds)
{
    bool joint = kinds & (1u << SPELLING_JOINT), motion = kinds & (1u << SPELLING_MOTION);
    bool muscle = kinds & (1u << SPELLING_MUSCLE), test = kinds & (1u << SPELLING_TEST);
    bool side = kinds & (1u << SPELLING_SIDE);
    return (joint && (motion || test)) || ((motion || muscle) && (test || side));
}

/* The words with the one at `place` replaced, as a header. */
static void rebuild(const struct vocabulary_words *w, int place, const char *instead,
                    char out[HEADING_NEAR_MAX])
{
    size_t used = 0;
    out[0] = '\0';
    for (int i = 0; i < w->n && used < HEADING_NEAR_MAX; i++) {
        const char *gap = i > 0 ? " " : "";
        used += (size_t)(i == place ? snprintf(out + used, HEADING_NEAR_MAX - used, "%s%s", gap,
                                               instead)
                                    : snprintf(out + used, HEADING_NEAR_MAX - used, "%s%.*s", gap,
                                               (int)strlen(w->at[i]), w->typed[i]));
    }
}

struct search {
    const struct reference *ref;
    const struct vocabulary_words *w;
    int place, best;
    size_t best_len;
    char *near;
};

static bool same_letters(const char *a, const char *b)
{
    int count[256] = {0};
    for (; *a != '\0'; a++)
        count[(unsigned char)*a]++;
    for (; *b != '\0'; b++)
        count[(unsigned char)*b]--;
    for (int i = 0; i < 256; i++)
        if (count[i] != 0)
            return false;
    return true;
}

/* Short words are too near to each other: MCP is no slip of MTP, nor IP one of hip. */
static bool may_be_slip(const char *typed, const char *word, int distance)
{
    size_t a = strlen(typed), b = strlen(word), shorter = a < b ? a : b, longer = a < b ? b : a;
    if (shorter < 3 || distance * 3 > (int)longer)
        return false;
    return longer > 3 || same_letters(typed, word);
}

/* Takes `word` for the one at the place when it is nearer and the header is then understood; of two
 * as near the longer, because letters are left out more often than added. */
static void try_word(struct search *s, const char *word, const char *shown)
{
    char text[HEADING_NEAR_MAX];
    struct vocabulary_words w = {.n = 0};
    struct heading h;
    const char *typed = s->w->at[s->place];
    /* At the least so many letters differ; most words are too far by that alone. */
    int least = abs((int)strlen(typed) - (int)strlen(word));
    if (least > s->best || !may_be_slip(typed, word, least))
        return;
    int d = str_distance(typed, word);
    if (d > s->best || (d == s->best && strlen(word) <= s->best_len) ||
        !may_be_slip(typed, word, d))
        return;
    rebuild(s->w, s->place, word, text);
    if (!vocabulary_split(&w, text, false) || read_words(s->ref, &w, &h) == HEADING_OTHER)
        return;
    s->best = d;
    s->best_len = strlen(word);
    rebuild(s->w, s->place, shown, s->near);
}

static void nearest(const struct reference *ref, const struct vocabulary_words *w, int place,
                    char near[HEADING_NEAR_MAX])
{
    enum { FAR = 100 };
    struct search s = {ref, w, place, FAR, 0, near};
    size_t n;
    const struct spelling *list = reference_spellings(ref, &n);
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        try_word(&s, reference_motion_at(ref, i)->motion, reference_motion_at(ref, i)->motion);
        try_word(&s, reference_motion_at(ref, i)->joint, reference_motion_at(ref, i)->joint);
    }
    for (size_t i = 0; i < n && list[i].kind != SPELLING_COLUMN; i++) {
        bool whole = list[i].kind == SPELLING_JOINT || list[i].kind == SPELLING_MOTION ||
                     list[i].kind == SPELLING_TEST;
        bool vague = list[i].kind == SPELLING_TEST && islower((unsigned char)list[i].means[0]);
        try_word(&s, list[i].text, whole && !vague ? list[i].means : list[i].text);
    }
}

enum heading_kind heading_read(const struct reference *ref, const char *header,
                               struct heading *out, char near[HEADING_NEAR_MAX])
{
    struct vocabulary_words w = {.n = 0}, capitals = {.n = 0};
    unsigned unknown;
    near[0] = '\0';
    bool few = vocabulary_split(&w, header, false);
    enum heading_kind kind = few ? read_words(ref, &w, out) : HEADING_OTHER;
    if (kind == HEADING_OTHER && vocabulary_split(&capitals, header, true))
        kind = read_words(ref, &capitals, out);
    if (kind != HEADING_OTHER)
        return kind;
    unsigned kinds = kinds_in(ref, &w, &unknown);
    bool one = unknown != 0 && (unknown & (unknown - 1)) == 0;
    for (int i = 0; few && one && !w.odd && i < w.n; i++)
        if (unknown == 1u << i)
            nearest(ref, &w, i, near);
    return is_like(kinds) || near[0] != '\0' ? HEADING_LIKE : HEADING_OTHER;
}

/* ---- native columns ------------------------------------------------------------------------ */

const char *heading_column(const struct reference *ref, const char *header, bool *exact)
{
    struct vocabulary_words w = {.n = 0};
    char text[VOCABULARY_TEXT];
    const char *names[COL_COUNT];
    size_t n, used = 0;
    *exact = false;
    if (!vocabulary_split(&w, header, false) || w.odd)
        return NULL;
    for (int i = 0; i < w.n; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", i > 0 ? " " : "",
                                 w.at[i]);
    const struct spelling *list = reference_spellings(ref, &n);
    for (size_t i = 0; w.n > 0 && i < n; i++) {
        if (list[i].kind == SPELLING_COLUMN && strcmp(list[i].text, text) == 0) {
            *exact = true;
            return list[i].means;
        }
    }
    for (int c = 0; c < COL_COUNT; c++)
        names[c] = column_name((enum import_column)c);
    return w.n > 0 ? str_nearest(header, names, COL_COUNT) : NULL;
}
