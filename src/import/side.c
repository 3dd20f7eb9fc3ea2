/* The side where it stands with its joint: "Right knee" or "RLE" as the side of a row, "L knee" as
 * its joint. What is named beside the side must be what the row is about; a lone letter counts only
 * where it cannot be another word ("R abd" of a thumb is radial too). */
#include "import/import.h"
#include "import/vocabulary_int.h"

#include <string.h>

/* ---- limbs --------------------------------------------------------------------------------- */

/* Takes the first word of what a limb means, where it is a side. */
static const char *limb_side(const char *means, enum side *side, bool *both)
{
    static const struct {
        const char *word;
        enum side side;
    } words[] = {{"right ", SIDE_RIGHT}, {"left ", SIDE_LEFT}, {"both ", SIDE_NONE}};
    for (size_t i = 0; i < ARRAY_LEN(words); i++) {
        if (!str_starts(means, words[i].word))
            continue;
        *side = words[i].side;
        *both = words[i].side == SIDE_NONE;
        return means + strlen(words[i].word);
    }
    return means;
}

bool vocabulary_limb(const char *means, const struct motion *motion, enum side *side, bool *both)
{
    size_t len = strlen(motion->region);
    *side = SIDE_NONE;
    *both = false;
    for (const char *s = limb_side(means, side, both); *s != '\0'; s += *s == ' ') {
        size_t n = strcspn(s, " ");
        if (n == len && strncmp(s, motion->region, n) == 0)
            return true;
        s += n;
    }
    return false;
}

/* ---- the side of a row --------------------------------------------------------------------- */

struct place {
    const struct reference *ref;
    const struct motion *motion;
    const struct vocabulary_words *w;
};

static const struct spelling *limb_of(const struct place *p, int from, int to)
{
    const struct spelling *s = vocabulary_spelling(p->ref, p->w, from, to);
    return s != NULL && s->kind == SPELLING_LIMB ? s : NULL;
}

static bool is_plural(const char *word, const char *joint)
{
    size_t n = strlen(joint);
    return strncmp(word, joint, n) == 0 && strcmp(word + n, "s") == 0;
}

/* Whether words [from, to) name a joint or a limb; *own: that of the row. */
static bool is_part(const struct place *p, int from, int to, bool *own)
{
    enum side side = SIDE_NONE;
    bool both = false;
    const struct spelling *last = vocabulary_spelling(p->ref, p->w, to - 1, to);
    if (to - from > 1 && last != NULL && last->kind == SPELLING_FILLER)
        to--; /* "knee joint" */
    const char *joint = vocabulary_joint_key(p->ref, p->w, from, to);
    if (joint == NULL && to - from == 1 && is_plural(p->w->at[from], p->motion->joint))
        joint = p->motion->joint;
    const struct spelling *limb = limb_of(p, from, to);
    if (joint != NULL)
        *own = vocabulary_motion_of(p->ref, joint, p->motion->motion) == p->motion;
    else if (limb != NULL)
        *own = vocabulary_limb(limb->means, p->motion, &side, &both);
    return joint != NULL || (limb != NULL && side == SIDE_NONE && !both); /* not "R LUE" */
}

/* The text [from, to) without the marks that part it from the rest, as a cell of its own. */
static enum sided side_text(const char *from, const char *to, const struct cell_rules *rules,
                            enum side *side)
{
    char text[VOCABULARY_TEXT];
    enum diag_code why = DIAG_CODE_COUNT;
    while (from < to && strchr(" -,:/", *from) != NULL)
        from++;
    while (to > from && strchr(" -,:/(", to[-1]) != NULL)
        to--;
    size_t n = (size_t)(to - from);
    if (n == 0 || n >= sizeof text)
        return SIDED_NOT;
    memcpy(text, from, n);
    text[n] = '\0';
    if (cell_side(text, rules, side, &why))
        return *side == SIDE_LEFT || *side == SIDE_RIGHT ? SIDED_KNOWN : SIDED_NOT;
    return why == DIAG_CELL_SIDE_BOTH ? SIDED_BOTH : SIDED_NOT;
}

static enum sided limb_alone(const struct place *p, enum side *side)
{
    const struct spelling *limb = limb_of(p, 0, p->w->n);
    bool both = false;
    if (limb == NULL)
        return SIDED_NOT;
    bool own = vocabulary_limb(limb->means, p->motion, side, &both);
    if (*side == SIDE_NONE && !both)
        return SIDED_NOT;
    return !own ? SIDED_ELSEWHERE : both ? SIDED_BOTH : SIDED_KNOWN;
}

enum sided vocabulary_sided(const struct reference *ref, const char *text,
                            const struct cell_rules *rules, const struct motion *motion,
                            enum side *side)
{
    struct vocabulary_words w = {.n = 0};
    const struct place p = {ref, motion, &w};
    if (!vocabulary_split(&w, text, false) || w.n == 0 || w.odd)
        return SIDED_NOT;
    enum sided said = limb_alone(&p, side);
    for (int cut = 1; cut < w.n && said == SIDED_NOT; cut++) {
        const char *end = w.typed[cut - 1] + strlen(w.at[cut - 1]), *all = text + strlen(text);
        bool own = false;
        if (is_part(&p, cut, w.n, &own))
            said = side_text(text, w.typed[cut], rules, side);
        if (said == SIDED_NOT && is_part(&p, 0, cut, &own))
            said = side_text(end, all, rules, side);
        if (said != SIDED_NOT && !own)
            said = SIDED_ELSEWHERE;
    }
    if (said != SIDED_KNOWN)
        *side = SIDE_NONE;
    return said;
}

/* ---- the side beside the joint ------------------------------------------------------------- */

static enum side side_word(const struct reference *ref, const struct vocabulary_words *w, int i)
{
    const struct spelling *s = vocabulary_spelling(ref, w, i, i + 1);
    for (int side = SIDE_RIGHT; s != NULL && s->kind == SPELLING_SIDE && side < SIDE_COUNT; side++)
        if (strcmp(s->means, side_name((enum side)side)) == 0)
            return (enum side)side;
    return SIDE_NONE;
}

/* The words without the one that names the side. `first` and `last`: whether a lone letter may
 * stand there. False where two sides are named, or too many words. */
static bool without_side(const struct reference *ref, const char *text, bool first, bool last,
                         char rest[VOCABULARY_TEXT], enum side *side)
{
    struct vocabulary_words w = {.n = 0};
    size_t used = 0;
    rest[0] = '\0';
    if (!vocabulary_split(&w, text, false) || w.odd)
        return false;
    for (int i = 0; i < w.n; i++) {
        enum side said = side_word(ref, &w, i);
        bool letter = w.at[i][1] == '\0';
        if (said != SIDE_NONE && (!letter || (first && i == 0) || (last && i == w.n - 1))) {
            if (*side != SIDE_NONE && said != *side)
                return false;
            *side = said;
            continue;
        }
        size_t n = strlen(w.at[i]), gap = used > 0 ? 1 : 0;
        if (used + gap + n >= VOCABULARY_TEXT)
            return false;
        memcpy(rest + used, " ", gap);
        memcpy(rest + used + gap, w.at[i], n + 1);
        used += gap + n;
    }
    return true;
}

const struct motion *vocabulary_sided_motion(const struct reference *ref, const char *joint,
                                             const char *motion, enum side *side)
{
    char j[VOCABULARY_TEXT], m[VOCABULARY_TEXT];
    *side = SIDE_NONE;
    if (!without_side(ref, joint, true, *motion != '\0', j, side) ||
        !without_side(ref, motion, *joint == '\0', true, m, side) || *side == SIDE_NONE)
        return NULL;
    return vocabulary_motion(ref, j, m);
}
