/* The position column in the words of the rules: what is read, what stays as typed, what is asked.
 * A row without a motion is a default of the whole visit. */
#include "import/meaning_int.h"
#include "unit.h"

#include <string.h>

static struct reference *ref;

static void load(void)
{
    struct diag_sink sink = {0};
    ref = reference_load_embedded(&sink);
    ck_assert_ptr_nonnull(ref);
}

static void unload(void)
{
    reference_free(ref);
}

#define ANKLE "ankle dorsiflexion"
#define HIP "hip flexion"
#define ARM "shoulder external-rotation"

static const struct {
    const char *motion, *typed, *read; /* "?": unclear; "=": as typed; "~": as typed, and said */
} rows[] = {
    /* knee */
    {ANKLE, "KE", "knee straight"},
    {ANKLE, "ke", "knee straight"},
    {ANKLE, " Ke. ", "knee straight"},
    {ANKLE, "K.E.", "knee straight"},
    {ANKLE, "K/E", "knee straight"},
    {ANKLE, "(KE)", "knee straight"},
    {ANKLE, "knee ext", "knee straight"},
    {ANKLE, "Knee ext.", "knee straight"},
    {ANKLE, "knee extended", "knee straight"},
    {ANKLE, "KNEE-STRAIGHT", "knee straight"},
    {ANKLE, "knee_straight", "knee straight"},
    {ANKLE, "with knee in extension", "knee straight"},
    {ANKLE, "w/ KE", "knee straight"},
    {ANKLE, "knees straight", "knee straight"},
    {ANKLE, "knee 0", "knee straight"},
    {ANKLE, "knee at 0\xC2\xB0", "knee straight"},
    {ANKLE, "KE 0", "knee straight"},
    {ANKLE, "KF", "knee bent"},
    {ANKLE, "k.f.", "knee bent"},
    {ANKLE, "knee flex", "knee bent"},
    {ANKLE, "knee flexed", "knee bent"},
    {ANKLE, "bent knee", "knee bent"},
    {ANKLE, "KF 90", "knee bent 90"},
    {ANKLE, "knee flexed to 90 deg", "knee bent 90"},
    {ANKLE, "knee 90", "knee bent 90"},
    {ANKLE, "knee 90 flexion", "knee bent 90"},
    {ANKLE, "kn ext", "knee straight"},
    {ANKLE, "knee at 45\xC2\xB0", "knee bent 45"},
    {HIP, "KE", "knee straight"},
    {HIP, "supine, knee flexed", "supine, knee bent"},
    {NULL, "KE", "knee straight"},
    /* the knee itself is no position of the knee */
    {"knee flexion", "KE", "="},
    {"knee extension", "KF", "="},
    {"knee flexion", "prone", "prone"},
    {"knee flexion", "hip flexed", "hip bent"},
    {HIP, "hip flexed", "="},
    /* gravity */
    {HIP, "GE", "gravity-minimised"},
    {HIP, "G.E.", "gravity-minimised"},
    {HIP, "grav elim", "gravity-minimised"},
    {HIP, "Grav. elim.", "gravity-minimised"},
    {HIP, "gravity-eliminated", "gravity-minimised"},
    {HIP, "gravity min", "gravity-minimised"},
    {HIP, "no gravity", "gravity-minimised"},
    {HIP, "w/o gravity", "gravity-minimised"},
    {HIP, "gravity reduced", "gravity-minimised"},
    {HIP, "AG", "against gravity"},
    {HIP, "a.g.", "against gravity"},
    {HIP, "Anti-gravity", "against gravity"},
    {HIP, "antigravity", "against gravity"},
    {HIP, "anti grav", "against gravity"},
    {HIP, "against grav.", "against gravity"},
    {HIP, "sidelying GE", "side-lying, gravity-minimised"},
    {HIP, "S/L, AG", "side-lying, against gravity"},
    /* the body, and several parts */
    {HIP, "Seated", "sitting"},
    {HIP, "sitting EOB, AG", "sitting, against gravity"},
    {HIP, "EOB", "sitting"},
    {HIP, "crook lying", "hook-lying"},
    {ANKLE, "long sit, KE", "long sitting, knee straight"},
    {ANKLE, "WB", "weight-bearing"},
    {ANKLE, "NWB", "="},
    {ANKLE, "prone lying", "prone"},
    {ANKLE, "supine/KE", "supine, knee straight"},
    {ANKLE, "prone + KF", "prone, knee bent"},
    {ANKLE, "supine with KE", "supine, knee straight"},
    {ANKLE, "KE, knee straight", "knee straight"},
    {ARM, "0 abd", "arm at side"},
    {ARM, "supine, 90 abd", "supine, 90 abduction"},
    /* what was written is read again as the same */
    {ANKLE, "knee straight", "knee straight"},
    {ANKLE, "knee bent 90", "knee bent 90"},
    {HIP, "side-lying, gravity-minimised", "side-lying, gravity-minimised"},
    {HIP, "sitting, against gravity", "sitting, against gravity"},
    {ARM, "arm at side", "arm at side"},
    {ARM, "90 abduction", "90 abduction"},
    /* other words stay; a condition among them is told in ours */
    {ANKLE, "long sitting", "long sitting"},
    {ANKLE, "supine, foot over edge, KE", "supine, foot over edge, knee straight"},
    {ANKLE, "KE in brace", "knee straight in brace"},
    {ANKLE, "Seated on plinth", "="},
    {ANKLE, "Sit to stand", "sit to stand"},
    {HIP, "0 abd", "="},
    {HIP, "hip 0 abd", "="},
    {HIP, "bag of weights", "="},
    {HIP, "gait", "="},
    {HIP, "no brace, supine", "="},
    {HIP, "gravity assisted", "~"},
    /* near misses are said */
    {ANKLE, "knee extened", "~"},
    {ANKLE, "half kneeling", "="},
    {ANKLE, "KF90", "~"},
    {HIP, "gravty elim", "~"},
    {HIP, "gravitiy elim", "~"},
    {ANKLE, "knee", "~"},
    {ANKLE, "kn bnt", "~"},
    {ANKLE, "one two three four five six seven eight nine ten eleven twelve KE", "~"},
    /* what cannot both be, and what is in doubt */
    {ANKLE, "KE/KF", "?"},
    {ANKLE, "KE or KF", "?"},
    {ANKLE, "knee straight, knee bent 90", "?"},
    {ANKLE, "KE?", "?"},
    {ANKLE, "not KE", "?"},
    {ANKLE, "KE 20", "?"},
    {ANKLE, "KF 170", "knee bent 170"}, /* as far as the reference says a knee goes */
    {ANKLE, "KF 171", "?"},
    {ANKLE, "knee at 400", "?"},
    {ANKLE, "KF 1000", "?"},
    {ANKLE, "KF 0", "?"},
    {HIP, "AG/GE", "?"},
    {HIP, "unable AG", "?"},
    {HIP, "supine, not AG", "?"},
    {HIP, "GM", "?"},
    {HIP, "gravity", "?"},
    {HIP, "supine/prone", "?"},
    {NULL, "KE/KF", "?"},
};

static const struct motion *motion_of(const char *name)
{
    char joint[40];
    if (name == NULL)
        return NULL;
    size_t n = strcspn(name, " ");
    ck_assert_uint_lt(n, sizeof joint);
    memcpy(joint, name, n);
    joint[n] = '\0';
    const struct motion *m = reference_motion(ref, joint, name + n + 1);
    ck_assert_msg(m != NULL, "%s", name);
    return m;
}

START_TEST(positions_are_read)
{
    struct arena *a = arena_new();
    const char *wanted = rows[_i].read, *typed = rows[_i].typed, *text;
    enum position_read read = position_read(ref, motion_of(rows[_i].motion), typed, a, &text);
    if (str_eq(wanted, "=") || str_eq(wanted, "~"))
        ck_assert_str_eq(text, typed);
    else if (!str_eq(wanted, "?"))
        ck_assert_str_eq(text, wanted);
    enum position_read outcome = str_eq(wanted, "?")   ? POSITION_UNCLEAR
                                 : str_eq(wanted, "~") ? POSITION_AS_TYPED
                                                       : POSITION_READ;
    ck_assert_msg(read == outcome, "\"%s\": %d, wanted %d", typed, (int)read, (int)outcome);
    arena_free(a);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import position");
    TCase *c = tcase_create("position");
    tcase_add_unchecked_fixture(c, load, unload);
    tcase_add_loop_test(c, positions_are_read, 0, (int)ARRAY_LEN(rows));
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
