/*
 * position: what the position column says, in the words that the rules and the cell readers use: KE
 * is "knee straight", G.E. "gravity-minimised". What is wholly understood is written anew, part by
 * part; in other text only the conditions that decide how a number is judged are put in those
 * words, and the rest stays as typed. Two that cannot both be, or one in doubt, hold the reading
 * back: a rule would pick one of them.
 */
#include "import/meaning_int.h"
#include "import/vocabulary_int.h"

#include <stdlib.h>
#include <string.h>

enum { SPELLING_WORDS = 5 };

/* Of each line only one can be at a time. The first line is the body, the others are conditions. */
static const char *const opposed[][5] = {
    {"supine", "prone", "sitting", "standing", "side-lying"},
    {"knee straight", "knee bent"},
    {"against gravity", "gravity-minimised"},
    {"elbow straight", "elbow bent"},
    {"hip straight", "hip bent"},
};
enum { GROUP_NONE = -1, GROUP_BODY };

/* What the vocabulary says of words that need more to say anything. */
static const char knee_angle[] = "knee angle", unclear[] = "unclear";

struct piece {
    const char *text;
    const char *from, *to; /* where it is typed */
};

struct stated {
    const struct reference *ref;
    const struct motion *motion; /* NULL: of a whole visit */
    struct arena *arena;
    struct vocabulary_words w;
    struct piece pieces[VOCABULARY_WORDS];
    int n;
    bool whole;   /* every word says something */
    bool doubted; /* "not", "or", "GM", an angle that does not go with its condition */
    bool near;    /* a word that may have been meant for a condition */
};

static int group_of(const char *text)
{
    for (int g = 0; g < (int)ARRAY_LEN(opposed); g++)
        for (size_t i = 0; i < ARRAY_LEN(opposed[g]) && opposed[g][i] != NULL; i++)
            if (str_starts(text, opposed[g][i]))
                return g;
    return GROUP_NONE;
}

static bool is_in(const char *word, const char *const *list, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(word, list[i]) == 0)
            return true;
    return false;
}

static bool is_filler(const char *word)
{
    static const char *const words[] = {"with", "w",  "c",   "and", "in",     "the",    "at",
                                        "to",   "of", "deg", "pos", "degree", "degrees",
                                        "position"};
    return is_in(word, words, ARRAY_LEN(words));
}

static bool is_doubt(const char *word)
{
    static const char *const words[] = {"not", "no",     "or",  "either", "unable",
                                        "non", "cannot", "can", "cant",   "without"};
    return is_in(word, words, ARRAY_LEN(words));
}

static bool is_number(const char *word)
{
    return *word != '\0' && word[strspn(word, "0123456789")] == '\0';
}

static bool may_be_condition(const char *word)
{
    const size_t long_enough = 5; /* for two slips */
    bool run_on = (str_starts(word, "ke") || str_starts(word, "kf")) && is_number(word + 2);
    bool knee = str_starts(word, "knee") && !str_starts(word, "kneel");
    return run_on || knee || str_eq(word, "kn") || str_starts(word, "grav") ||
           (strlen(word) >= long_enough && str_distance(word, "gravity") <= 2);
}

/* An angle such as "0 abd" is one of the shoulder; the state of the joint that is measured is no
 * position of it. */
static bool may_say(const struct stated *s, const struct spelling *found)
{
    const char *joint = s->motion != NULL ? s->motion->joint : "";
    if (found->text[strcspn(found->text, "0123456789")] != '\0')
        return str_eq(joint, "shoulder");
    size_t len = strlen(joint);
    return len == 0 || strncmp(found->means, joint, len) != 0 || found->means[len] != ' ';
}

static const struct spelling *longest(const struct stated *s, int from, int *to)
{
    for (*to = from + SPELLING_WORDS < s->w.n ? from + SPELLING_WORDS : s->w.n; *to > from; --*to) {
        const struct spelling *found = vocabulary_spelling(s->ref, &s->w, from, *to);
        if (found != NULL &&
            (found->kind == SPELLING_POSITION || found->kind == SPELLING_STATED) &&
            may_say(s, found))
            return found;
    }
    return NULL;
}

static bool is_of_angle(const char *word)
{
    static const char *const words[] = {"deg", "degree", "degrees", "flexion", "flex"};
    return is_in(word, words, ARRAY_LEN(words));
}

/* Whether a knee can be bent so far. */
static bool can_bend(const struct stated *s, double deg)
{
    const struct motion *knee = reference_motion(s->ref, "knee", "flexion");
    return knee == NULL || field_in_range(knee, deg);
}

/* The angle behind a knee: straight has none but 0, bent any but 0, and a bare knee needs one. */
static const char *with_angle(struct stated *s, const char *means, int *to)
{
    bool bare = str_eq(means, knee_angle);
    int at = *to;
    if (!bare && !str_starts(means, "knee "))
        return means;
    while (at < s->w.n && is_filler(s->w.at[at]))
        at++;
    if (at == s->w.n || !is_number(s->w.at[at]))
        return bare ? NULL : means;
    for (*to = at + 1; *to < s->w.n && is_of_angle(s->w.at[*to]);)
        ++*to;
    double deg = strtod(s->w.at[at], NULL);
    bool zero = deg == 0;
    s->doubted = s->doubted || !can_bend(s, deg) ||
                 (!bare && zero != str_eq(means, "knee straight"));
    return zero ? "knee straight" : arena_printf(s->arena, "knee bent %s", s->w.at[at]);
}

/* Whether two places of the text stand in one part of it. */
static bool is_one_part(const char *a, const char *b)
{
    const char *from = a < b ? a : b, *to = a < b ? b : a;
    return from + strcspn(from, ",;.()") >= to;
}

static bool doubts_a_piece(const struct stated *s, int word)
{
    for (int i = 0; i < s->n; i++)
        if (is_one_part(s->w.typed[word], s->pieces[i].from))
            return true;
    return false;
}

static void read_words(struct stated *s)
{
    int doubts[VOCABULARY_WORDS], n_doubts = 0;
    s->whole = !s->w.odd;
    for (int from = 0, to; from < s->w.n; from = to) {
        const struct spelling *found = longest(s, from, &to);
        const char *means = found != NULL ? with_angle(s, found->means, &to) : NULL;
        if (means == NULL) {
            to = from + 1;
            if (is_doubt(s->w.at[from]))
                doubts[n_doubts++] = from;
            s->near = s->near || may_be_condition(s->w.at[from]);
            s->whole = s->whole && is_filler(s->w.at[from]);
            continue;
        }
        s->near = s->near || str_eq(means, unclear);
        const char *last = s->w.typed[to - 1];
        s->pieces[s->n++] = (struct piece){means, s->w.typed[from],
                                           last + strlen(s->w.at[to - 1])};
    }
    for (int i = 0; i < n_doubts; i++)
        s->doubted = s->doubted || doubts_a_piece(s, doubts[i]);
}

/* ---- what cannot stand --------------------------------------------------------------------- */

static bool are_opposed(const char *a, const char *b)
{
    int g = group_of(a);
    if (g == GROUP_NONE || g != group_of(b))
        return false;
    for (size_t i = 0; i < ARRAY_LEN(opposed[g]) && opposed[g][i] != NULL; i++)
        if (str_starts(a, opposed[g][i]) && str_starts(b, opposed[g][i]))
            return false;
    return true;
}

static bool contradicts(const struct stated *s)
{
    for (int i = 0; i < s->n; i++)
        for (int k = i + 1; k < s->n; k++)
            if (are_opposed(s->pieces[i].text, s->pieces[k].text))
                return true;
    return false;
}

static bool is_unclear(const struct stated *s)
{
    for (int i = 0; i < s->n; i++)
        if (str_eq(s->pieces[i].text, unclear))
            return true;
    return false;
}

/* ---- in our words -------------------------------------------------------------------------- */

static void add_once(struct buf *b, const struct stated *s, int i)
{
    for (int k = 0; k < i; k++)
        if (str_eq(s->pieces[k].text, s->pieces[i].text))
            return;
    if (b->len > 0)
        buf_adds(b, ", ");
    buf_adds(b, s->pieces[i].text);
}

static const char *write(const struct stated *s, const char *typed)
{
    struct buf b;
    buf_init(&b, 1 << 20);
    const char *at = typed;
    for (int i = 0; i < s->n; i++) {
        const struct piece *p = &s->pieces[i];
        if (s->whole) {
            add_once(&b, s, i);
        } else if (group_of(p->text) > GROUP_BODY) {
            buf_add(&b, at, (size_t)(p->from - at));
            buf_adds(&b, p->text);
            at = p->to;
        }
    }
    if (!s->whole)
        buf_adds(&b, at);
    const char *text = b.len > 0 ? arena_strdup(s->arena, buf_text(&b)) : typed;
    buf_release(&b);
    return text;
}

enum position_read position_read(const struct reference *ref, const struct motion *motion,
                                 const char *typed, struct arena *arena, const char **text)
{
    *text = typed;
    if (is_in(typed, opposed[GROUP_BODY], ARRAY_LEN(opposed[GROUP_BODY])))
        return POSITION_READ; /* most of them, in our words as they stand */
    struct stated s = {.ref = ref, .motion = motion, .arena = arena};
    if (!vocabulary_split(&s.w, typed, false))
        return POSITION_AS_TYPED;
    read_words(&s);
    if (s.doubted || contradicts(&s) || (s.n > 0 && strchr(typed, '?') != NULL) ||
        (s.whole && is_unclear(&s)))
        return POSITION_UNCLEAR;
    *text = write(&s, typed);
    return s.near ? POSITION_AS_TYPED : POSITION_READ;
}

const char *field_position(struct meaning *m, struct row_state *rs, const struct motion *motion,
                           bool *ok)
{
    const char *typed = field_text(m, rs, COL_POSITION);
    if (typed == NULL)
        return NULL;
    if (typed != m->last_position.typed || motion != m->last_position.motion) {
        m->last_position.typed = typed;
        m->last_position.motion = motion;
        m->last_position.read =
            position_read(m->ref, motion, typed, m->arena, &m->last_position.text);
    }
    if (m->last_position.read == POSITION_UNCLEAR) {
        meaning_say(m, rs, COL_POSITION, DIAG_POSITION_UNCLEAR, NULL);
        *ok = false;
        return NULL;
    }
    if (m->last_position.read == POSITION_AS_TYPED)
        meaning_tell_once(m, rs, COL_POSITION, DIAG_POSITION_TYPED, typed);
    return m->last_position.text;
}
