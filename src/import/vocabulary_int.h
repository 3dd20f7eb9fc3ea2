/* vocabulary: the spellings of the trade for joints and motions ("Shoulder ER", "ankle DF", "neck
 * side bending"), over the keys and the vocabulary of the reference library. A spelling that could
 * mean two things is not in it. */
#ifndef ENDFEEL_VOCABULARY_INT_H
#define ENDFEEL_VOCABULARY_INT_H

#include "import/import.h"

/* The motion that the cells `joint` and `motion` name together; either may be empty when the other
 * holds both. NULL when they name none, or two. */
const struct motion *vocabulary_motion(const struct reference *ref, const char *joint,
                                       const char *motion);
/* For the message when there is none: what comes nearest, into `out`; "" when nothing does. */
enum { VOCABULARY_NEAR_MAX = 200 };
void vocabulary_nearest(const struct reference *ref, const char *joint, const char *motion,
                        char out[VOCABULARY_NEAR_MAX]);

/* Where nothing is near: the motions of the joint, or the joints of a family such as "thumb". */
void vocabulary_known(const struct reference *ref, const char *joint, const char *motion,
                      char out[VOCABULARY_NEAR_MAX]);
/* By keys, and by the joint that many name instead: "ankle inversion" is the subtalar joint's. */
const struct motion *vocabulary_motion_of(const struct reference *ref, const char *joint,
                                          const char *motion);

/* ---- sides --------------------------------------------------------------------------------- */

/* What a text of a side and a joint or limb ("Right knee", "RLE") says in a row of `motion`;
 * `side` is SIDE_NONE but for SIDED_KNOWN. */
enum sided {
    SIDED_NOT,      /* nothing of the kind */
    SIDED_KNOWN,
    SIDED_BOTH,
    SIDED_ELSEWHERE /* a side of another joint than that of the row */
};
enum sided vocabulary_sided(const struct reference *ref, const char *text,
                            const struct cell_rules *rules, const struct motion *motion,
                            enum side *side);
/* The motion that the cells name together with a side ("L knee" and "flexion"), where
 * vocabulary_motion() finds none. NULL: none, no side or two. */
const struct motion *vocabulary_sided_motion(const struct reference *ref, const char *joint,
                                             const char *motion, enum side *side);
/* Whether what a limb means (SPELLING_LIMB) holds the joint of `motion`, and the side it says. */
bool vocabulary_limb(const char *means, const struct motion *motion, enum side *side, bool *both);

/* ---- words --------------------------------------------------------------------------------- */

/* A text as words: runs of letters and digits in small letters, so that "Ext. Rot." gives "ext",
 * "rot". Signs, dashes and hard spaces part words; a letter outside ASCII makes the text `odd`. */
enum { VOCABULARY_WORDS = 12, VOCABULARY_TEXT = 160 };
struct vocabulary_words {
    char text[VOCABULARY_TEXT];
    const char *at[VOCABULARY_WORDS];
    const char *typed[VOCABULARY_WORDS]; /* where it stands in the text as given */
    int n;
    bool odd;
};
/* Adds the words of `text`; false when there are too many. `capitals` parts words before a capital
 * inside a run as well ("KneeFlex"). */
bool vocabulary_split(struct vocabulary_words *w, const char *text, bool capitals);
/* What words [from, to) are spelt as in the vocabulary, columns left out; NULL when nothing. */
const struct spelling *vocabulary_spelling(const struct reference *ref,
                                           const struct vocabulary_words *w, int from, int to);
/* The digit that a text names ("D3", "index", "3rd"), as a number; NULL: none. */
const char *vocabulary_digit(const struct reference *ref, const char *text);
/* The kind of test that every word of a text says ("Strength (MMT)"); TEST_NONE: none, or two. */
enum test vocabulary_test(const struct reference *ref, const char *text);
/* Keys that words [from, to) mean; NULL when none. A motion key may belong to several joints. */
const char *vocabulary_joint_key(const struct reference *ref, const struct vocabulary_words *w,
                                 int from, int to);
const char *vocabulary_motion_key(const struct reference *ref, const struct vocabulary_words *w,
                                  int from, int to);

#endif
