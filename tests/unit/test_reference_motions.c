/* Every motion of the library: its place from head to foot, what is tested, what it is held against
 * and that everything a page may ask of it is there. The expected values are those of the clinical
 * tables, written out so that a change of a default shows in a review. */
#include "unit.h"

#include "reference/reference.h"

#include <string.h>

enum { ROM = 1, MMT = 2 };

static const struct expected {
    const char *joint, *motion, *region;
    int tests;
    enum unit unit;
    const char *opposite; /* "other-side": itself */
    int digit_min, digit_max;
    double normal;
    const char *source; /* of the default; NULL: strength only */
    double hyper_ok;    /* 0: none */
} motions[] = {
    {"cervical", "flexion", "spine", ROM | MMT, UNIT_DEG, "extension", 0, 0, 45, "CFR471A_SPINE",
     0},
    {"cervical", "extension", "spine", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 45, "CFR471A_SPINE",
     0},
    {"cervical", "lateral-flexion", "spine", ROM | MMT, UNIT_DEG, "other-side", 0, 0, 45,
     "CFR471A_SPINE", 0},
    {"cervical", "rotation", "spine", ROM | MMT, UNIT_DEG, "other-side", 0, 0, 80, "CFR471A_SPINE",
     0},
    {"trunk", "flexion", "spine", ROM | MMT, UNIT_DEG, "extension", 0, 0, 90, "CFR471A_SPINE", 0},
    {"trunk", "extension", "spine", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 30, "CFR471A_SPINE", 0},
    {"trunk", "lateral-flexion", "spine", ROM | MMT, UNIT_DEG, "other-side", 0, 0, 30,
     "CFR471A_SPINE", 0},
    {"trunk", "rotation", "spine", ROM | MMT, UNIT_DEG, "other-side", 0, 0, 30, "CFR471A_SPINE", 0},
    {"scapula", "elevation", "shoulder", MMT, UNIT_NONE, NULL, 0, 0, 0, NULL, 0},
    {"scapula", "depression", "shoulder", MMT, UNIT_NONE, NULL, 0, 0, 0, NULL, 0},
    {"scapula", "adduction", "shoulder", MMT, UNIT_NONE, NULL, 0, 0, 0, NULL, 0},
    {"scapula", "abduction-upward-rotation", "shoulder", MMT, UNIT_NONE, NULL, 0, 0, 0, NULL, 0},
    {"scapula", "adduction-downward-rotation", "shoulder", MMT, UNIT_NONE, NULL, 0, 0, 0, NULL, 0},
    {"shoulder", "flexion", "shoulder", ROM | MMT, UNIT_DEG, "extension", 0, 0, 180, "AAOS_NW", 0},
    {"shoulder", "extension", "shoulder", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 60, "AAOS_NW", 0},
    {"shoulder", "abduction", "shoulder", ROM | MMT, UNIT_DEG, "adduction", 0, 0, 180, "AAOS_NW",
     0},
    {"shoulder", "adduction", "shoulder", ROM | MMT, UNIT_DEG, "abduction", 0, 0, 30, "DSHS13585A",
     0},
    {"shoulder", "internal-rotation", "shoulder", ROM | MMT, UNIT_DEG, "external-rotation", 0, 0,
     70, "AAOS_NW", 0},
    {"shoulder", "external-rotation", "shoulder", ROM | MMT, UNIT_DEG, "internal-rotation", 0, 0,
     90, "AAOS_NW", 0},
    {"shoulder", "horizontal-abduction", "shoulder", ROM | MMT, UNIT_DEG, "horizontal-adduction", 0,
     0, 45, "AAOS1965", 0},
    {"shoulder", "horizontal-adduction", "shoulder", ROM | MMT, UNIT_DEG, "horizontal-abduction", 0,
     0, 135, "AAOS1965", 0},
    {"elbow", "flexion", "elbow-forearm", ROM | MMT, UNIT_DEG, "extension", 0, 0, 150, "AAOS_NW",
     0},
    {"elbow", "extension", "elbow-forearm", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 0, "AAOS_NW", 10},
    {"forearm", "pronation", "elbow-forearm", ROM | MMT, UNIT_DEG, "supination", 0, 0, 80,
     "AAOS_NW", 0},
    {"forearm", "supination", "elbow-forearm", ROM | MMT, UNIT_DEG, "pronation", 0, 0, 80,
     "AAOS_NW", 0},
    {"wrist", "flexion", "wrist", ROM | MMT, UNIT_DEG, "extension", 0, 0, 80, "AAOS_NW", 0},
    {"wrist", "extension", "wrist", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 70, "AAOS_NW", 0},
    {"wrist", "radial-deviation", "wrist", ROM | MMT, UNIT_DEG, "ulnar-deviation", 0, 0, 20,
     "AAOS_NW", 0},
    {"wrist", "ulnar-deviation", "wrist", ROM | MMT, UNIT_DEG, "radial-deviation", 0, 0, 30,
     "AAOS_NW", 0},
    {"thumb-cmc", "flexion", "hand", ROM | MMT, UNIT_DEG, "extension", 0, 0, 15, "AAOS_NW", 0},
    {"thumb-cmc", "extension", "hand", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 20, "AAOS_NW", 0},
    {"thumb-cmc", "abduction", "hand", ROM | MMT, UNIT_DEG, NULL, 0, 0, 70, "AAOS_NW", 0},
    {"thumb-cmc", "opposition", "hand", ROM | MMT, UNIT_CM, NULL, 0, 0, 0, "AAOS_NW", 0},
    {"thumb-mcp", "flexion", "hand", ROM | MMT, UNIT_DEG, "extension", 0, 0, 50, "AAOS_NW", 0},
    {"thumb-mcp", "extension", "hand", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 0, "AAOS_NW", 10},
    {"thumb-ip", "flexion", "hand", ROM | MMT, UNIT_DEG, "extension", 0, 0, 80, "AAOS_NW", 0},
    {"thumb-ip", "extension", "hand", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 0, "AAOS1965", 20},
    {"finger-mcp", "flexion", "hand", ROM | MMT, UNIT_DEG, "extension", 2, 5, 90, "CFR471A_DIGITS",
     0},
    {"finger-mcp", "extension", "hand", ROM | MMT, UNIT_DEG, "flexion", 2, 5, 0, "CFR471A_DIGITS",
     45},
    {"finger-mcp", "abduction", "hand", ROM | MMT, UNIT_DEG, "adduction", 2, 5, 20,
     "HOPPENFELD1976", 0},
    {"finger-mcp", "adduction", "hand", MMT, UNIT_DEG, NULL, 2, 5, 0, NULL, 0},
    {"finger-pip", "flexion", "hand", ROM | MMT, UNIT_DEG, "extension", 2, 5, 100, "CFR471A_DIGITS",
     0},
    {"finger-pip", "extension", "hand", ROM | MMT, UNIT_DEG, "flexion", 2, 5, 0, "CFR471A_DIGITS",
     10},
    {"finger-dip", "flexion", "hand", ROM | MMT, UNIT_DEG, "extension", 2, 5, 80, "CFR471A_DIGITS",
     0},
    {"finger-dip", "extension", "hand", ROM | MMT, UNIT_DEG, "flexion", 2, 5, 0, "CFR471A_DIGITS",
     10},
    {"hip", "flexion", "hip", ROM | MMT, UNIT_DEG, "extension", 0, 0, 120, "AAOS_NW", 0},
    {"hip", "extension", "hip", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 20, "AAOS_NW", 0},
    {"hip", "abduction", "hip", ROM | MMT, UNIT_DEG, "adduction", 0, 0, 45, "CFR471_PLATES", 0},
    {"hip", "adduction", "hip", ROM | MMT, UNIT_DEG, "abduction", 0, 0, 30, "AAOS1965", 0},
    {"hip", "internal-rotation", "hip", ROM | MMT, UNIT_DEG, "external-rotation", 0, 0, 45,
     "AAOS_NW", 0},
    {"hip", "external-rotation", "hip", ROM | MMT, UNIT_DEG, "internal-rotation", 0, 0, 45,
     "AAOS1965", 0},
    {"knee", "flexion", "knee", ROM | MMT, UNIT_DEG, "extension", 0, 0, 140, "CFR471_PLATES", 0},
    {"knee", "extension", "knee", ROM | MMT, UNIT_DEG, "flexion", 0, 0, 0, "CFR471_PLATES", 10},
    {"ankle", "dorsiflexion", "ankle-foot", ROM | MMT, UNIT_DEG, "plantar-flexion", 0, 0, 20,
     "AAOS_NW", 0},
    {"ankle", "plantar-flexion", "ankle-foot", ROM | MMT, UNIT_DEG, "dorsiflexion", 0, 0, 50,
     "AAOS_NW", 0},
    {"subtalar", "inversion", "ankle-foot", ROM | MMT, UNIT_DEG, "eversion", 0, 0, 35, "AAOS_NW",
     0},
    {"subtalar", "eversion", "ankle-foot", ROM | MMT, UNIT_DEG, "inversion", 0, 0, 15, "AAOS_NW",
     0},
    {"toe-mtp", "flexion", "ankle-foot", ROM | MMT, UNIT_DEG, "extension", 1, 5, 45, "AAOS_NW", 0},
    {"toe-mtp", "extension", "ankle-foot", ROM | MMT, UNIT_DEG, "flexion", 1, 5, 70, "AAOS_NW", 0},
    {"toe-ip", "flexion", "ankle-foot", ROM | MMT, UNIT_DEG, "extension", 1, 5, 90, "REIDER", 0},
    {"toe-ip", "extension", "ankle-foot", ROM | MMT, UNIT_DEG, "flexion", 1, 5, 0, "REIDER", 10},
    {"jaw", "opening", "jaw", ROM | MMT, UNIT_MM, NULL, 0, 0, 40, "JAW_TEXT", 0},
    {"jaw", "protrusion", "jaw", ROM, UNIT_MM, NULL, 0, 0, 6, "JAW_TEXT", 0},
    {"jaw", "lateral-excursion", "jaw", ROM, UNIT_MM, NULL, 0, 0, 8, "JAW_TEXT", 0},
};

static struct reference *ref;

static void load(void)
{
    struct diag_list reported;
    diag_list_init(&reported);
    ref = reference_load_embedded(&reported.sink);
    ck_assert_ptr_nonnull(ref);
    ck_assert_uint_eq(reported.n, 0);
    diag_list_release(&reported);
}

static void release(void)
{
    reference_free(ref);
}

static void check_known(const struct known *known, const char *what)
{
    static const char *const marks[] = {"",
                                        "seen second-hand",
                                        "partly unverified",
                                        "common practice",
                                        "common practice, unverified",
                                        "unverified",
                                        "own"};
    ck_assert_msg(known->text != NULL && *known->text != '\0', "%s", what);
    size_t i = 0;
    while (i < ARRAY_LEN(marks) && !str_eq(known->mark, marks[i]))
        i++;
    ck_assert_msg(i < ARRAY_LEN(marks), "%s has mark '%s'", what, known->mark);
}

START_TEST(motion_is_as_in_the_tables)
{
    const struct expected *e = &motions[_i];
    const struct motion *m = reference_motion(ref, e->joint, e->motion);
    ck_assert_msg(m != NULL, "%s %s is missing", e->joint, e->motion);
    ck_assert_ptr_eq(m, reference_motion_at(ref, (size_t)_i));
    ck_assert_int_eq(m->order, _i);
    ck_assert_str_eq(m->region, e->region);
    ck_assert(m->rom == ((e->tests & ROM) != 0));
    ck_assert(m->mmt == ((e->tests & MMT) != 0));
    ck_assert_int_eq(m->unit, e->unit);
    ck_assert_int_eq(m->digit_min, e->digit_min);
    ck_assert_int_eq(m->digit_max, e->digit_max);
    if (e->opposite == NULL)
        ck_assert_ptr_null(m->opposite);
    else if (str_eq(e->opposite, "other-side"))
        ck_assert_ptr_eq(m->opposite, m);
    else
        ck_assert_ptr_eq(m->opposite, reference_motion(ref, e->joint, e->opposite));
    bool midline = str_eq(m->region, "spine")
                       ? str_eq(m->motion, "flexion") || str_eq(m->motion, "extension")
                       : str_eq(m->motion, "opening") || str_eq(m->motion, "protrusion");
    ck_assert_int_eq(m->sides, midline ? SIDES_MIDLINE : SIDES_LEFT_RIGHT);
}
END_TEST

START_TEST(default_is_as_in_the_tables)
{
    const struct expected *e = &motions[_i];
    const struct motion *m = reference_motion(ref, e->joint, e->motion);
    if (e->source == NULL) {
        ck_assert_ptr_null(m->normal);
        return;
    }
    const struct norm *n = m->normal;
    ck_assert_ptr_nonnull(n);
    ck_assert_double_eq(n->normal, e->normal);
    ck_assert_str_eq(n->source->id, e->source);
    ck_assert_int_eq(n->role, NORM_DEFAULT);
    ck_assert(n->kind == NORM_HANDBOOK || n->kind == NORM_LEGAL);
    ck_assert_int_eq(n->unit, m->unit);
    ck_assert(n->hyper_ok.has == (e->hyper_ok > 0));
    if (e->hyper_ok > 0)
        ck_assert_double_eq(n->hyper_ok.value, e->hyper_ok);
    ck_assert(n->max_plausible.has);
    /* lower is better for the gap between thumb and little finger alone */
    ck_assert(n->lower_is_better == str_eq(e->motion, "opposition"));
    for (size_t k = 0; k < m->n_norms; k++) {
        ck_assert_ptr_eq(m->norms[k].motion, m);
        check_known(&m->norms[k].known, e->joint);
    }
}
END_TEST

START_TEST(motion_is_covered)
{
    const struct expected *e = &motions[_i];
    const struct motion *m = reference_motion(ref, e->joint, e->motion);
    if (m->rom) {
        ck_assert_ptr_nonnull(m->goniometry);
        ck_assert_int_ne(m->goniometry->end_feel, END_FEEL_NONE);
        ck_assert(*m->goniometry->fulcrum != '\0' && *m->goniometry->moving_arm != '\0');
        ck_assert_uint_eq(m->goniometry->end_feel_also & 1u << m->goniometry->end_feel, 0);
        check_known(&m->goniometry->known, "goniometry");
    }
    if (m->mmt) {
        ck_assert_ptr_nonnull(m->muscle_test);
        ck_assert(*m->muscle_test->prime_movers != '\0' && *m->muscle_test->roots != '\0');
        check_known(&m->muscle_test->known, "muscle test");
    }
    ck_assert_uint_gt(m->n_compensations, 0);
    for (size_t k = 0; k < m->n_compensations; k++) {
        const struct compensation *c = &m->compensations[k];
        ck_assert(c->in_rom || c->in_mmt);
        ck_assert(c->trigger_limited || c->trigger_weak || c->trigger_painful);
        check_known(&c->known, c->id);
    }
}
END_TEST

START_TEST(there_are_no_other_motions)
{
    ck_assert_uint_eq(reference_motion_count(ref), ARRAY_LEN(motions));
    ck_assert_ptr_null(reference_motion_at(ref, ARRAY_LEN(motions)));
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference motions");
    TCase *t = tcase_create("embedded");
    int n = (int)ARRAY_LEN(motions);
    tcase_add_unchecked_fixture(t, load, release);
    tcase_add_test(t, there_are_no_other_motions);
    tcase_add_loop_test(t, motion_is_as_in_the_tables, 0, n);
    tcase_add_loop_test(t, default_is_as_in_the_tables, 0, n);
    tcase_add_loop_test(t, motion_is_covered, 0, n);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
