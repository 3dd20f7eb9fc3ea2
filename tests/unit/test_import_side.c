/* The side where it stands with its joint, by table: what must not be taken for a side first. */
#include "import/vocabulary_int.h"
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

#define KF "knee", "flexion"

static const struct {
    const char *joint, *motion, *side, *says; /* says: "not", "both", "elsewhere" or the side */
} sides[] = {
    {KF, "", "not"},
    {KF, "knee", "not"},
    {KF, "LE", "not"},
    {KF, "lower extremity", "not"},
    {KF, "R", "not"}, /* a side alone is read by its own reader */
    {KF, "Rigth knee", "not"},
    {KF, "R knee flexion", "not"},
    {KF, "R knee brace", "not"},
    {KF, "R L knee", "not"},
    {KF, "R?  knee", "not"},
    {KF, "midline knee", "not"},
    {KF, "affected knee", "not"},
    {KF, "D knee", "not"},
    {KF, "knee 1", "not"},
    {KF, "R kn\xC3\xA9", "not"},
    {KF, "a b c d e f g h i j k l m n", "not"},
    {KF, "Right hip", "elsewhere"},
    {KF, "R LUE", "not"},
    {"shoulder", "flexion", "R LUE", "not"},
    {KF, "RUE", "elsewhere"},
    {KF, "R UE", "elsewhere"},
    {KF, "left arm", "elsewhere"},
    {KF, "BUE", "elsewhere"},
    {"shoulder", "flexion", "LLE", "elsewhere"},
    {"trunk", "rotation", "RUE", "elsewhere"},
    {KF, "both knees", "both"},
    {KF, "bil. knees", "both"},
    {KF, "B/L knee", "both"},
    {KF, "BLE", "both"},
    {KF, "Right knee", "right"},
    {KF, "right knees", "right"},
    {KF, "RIGHT KNEE", "right"},
    {KF, "Rt. knee", "right"},
    {KF, "(R) knee", "right"},
    {KF, "knee (R)", "right"},
    {KF, "knee, left", "left"},
    {KF, "knee - L", "left"},
    {KF, "knee joint left", "left"},
    {KF, "left knee joint", "left"},
    {KF, "L tibiofemoral", "left"},
    {KF, "RLE", "right"},
    {KF, "rle", "right"},
    {KF, "LLE", "left"},
    {KF, "R LE", "right"},
    {KF, "left lower extremity", "left"},
    {KF, "right leg", "right"},
    {"shoulder", "flexion", "LUE", "left"},
    {"shoulder", "flexion", "L GH", "left"},
    {"finger-mcp", "flexion", "right hand", "right"},
    {"subtalar", "inversion", "L foot", "left"},
    {"cervical", "rotation", "left neck", "left"},
};

START_TEST(side_of_a_row)
{
    static const char *const words[] = {"not", NULL, "both", "elsewhere"};
    enum side side = SIDE_MIDLINE;
    const struct motion *m = reference_motion(ref, sides[_i].joint, sides[_i].motion);
    ck_assert_ptr_nonnull(m);
    enum sided said = vocabulary_sided(ref, sides[_i].side, NULL, m, &side);
    const char *says = said == SIDED_KNOWN ? side_name(side) : words[said];
    ck_assert_msg(strcmp(says, sides[_i].says) == 0, "'%s': %s", sides[_i].side, says);
    ck_assert(said == SIDED_KNOWN || said == SIDED_NOT || side == SIDE_NONE);
}
END_TEST

START_TEST(side_words_of_a_declared_language)
{
    struct cell_rules rules = {.language = LANGUAGE_DE};
    enum side side;
    const struct motion *m = reference_motion(ref, KF);
    ck_assert_int_eq(vocabulary_sided(ref, "re knee", &rules, m, &side), SIDED_KNOWN);
    ck_assert_int_eq(side, SIDE_RIGHT);
    ck_assert_int_eq(vocabulary_sided(ref, "re knee", NULL, m, &side), SIDED_NOT);
}
END_TEST

static const struct {
    const char *joint, *motion, *says; /* "": none */
} motions[] = {
    {"", "", ""},
    {"knee", "flexion", ""}, /* no side: for the other reader */
    {"R/L knee", "flexion", ""},
    {"L knee", "R flexion", ""},
    {"L", "flexion", ""},
    {"L spine", "flexion", ""},
    {"L spine", "rotation", ""},
    {"thumb cmc", "R abd", ""},
    {"shoulder", "L rot", ""},
    {"wrist", "R dev", ""},
    {"R kne", "flexion", ""},
    {"R kn\xC3\xA9", "flexion", ""},
    {"L knee", "flexion", "knee flexion left"},
    {"lt knee", "flexion", "knee flexion left"},
    {"Left Knee", "Flex", "knee flexion left"},
    {"knee (R)", "flexion", "knee flexion right"},
    {"knee R", "flexion", "knee flexion right"},
    {"R knee", "right flexion", "knee flexion right"},
    {"", "R knee flexion", "knee flexion right"},
    {"", "knee flexion L", "knee flexion left"},
    {"Right shoulder ER", "", "shoulder external-rotation right"},
    {"knee", "flexion R", "knee flexion right"},
    {"neck", "left rotation", "cervical rotation left"},
    {"right", "knee flexion", "knee flexion right"},
};

START_TEST(side_beside_the_joint)
{
    char says[200] = "";
    enum side side;
    const struct motion *m =
        vocabulary_sided_motion(ref, motions[_i].joint, motions[_i].motion, &side);
    if (m != NULL)
        snprintf(says, sizeof says, "%s %s %s", m->joint, m->motion, side_name(side));
    ck_assert_msg(strcmp(says, motions[_i].says) == 0, "'%s' '%s': %s", motions[_i].joint,
                  motions[_i].motion, says);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import_side");
    TCase *c = tcase_create("all");
    tcase_add_unchecked_fixture(c, load, unload);
    tcase_add_loop_test(c, side_of_a_row, 0, (int)ARRAY_LEN(sides));
    tcase_add_test(c, side_words_of_a_declared_language);
    tcase_add_loop_test(c, side_beside_the_joint, 0, (int)ARRAY_LEN(motions));
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
