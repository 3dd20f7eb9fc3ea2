/* What diagnosis, procedure and code say of a joint and side. */
#include "rules_build.h"

static const struct {
    const char *diagnosis, *code, *procedure, *surgery, *joint;
    enum side affected, side;
    unsigned found;
} told[] = {
    {NULL, NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {"knee pain", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    /* words of each kind */
    {"Knee replacement", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_REPLACEMENT},
    {"TKA", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_REPLACEMENT},
    {"arthrodesis of the knee", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_FUSION},
    {"fractured patella", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_FRACTURE},
    {"knee, s/p meniscus repair", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_SURGERY},
    {"knee out of plaster", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_IMMOBILISED},
    {"knee pain, multiple sclerosis", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT,
     FILE_CENTRAL},
    {"knee stiff by spasticity", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_TONE},
    {"unfractured", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0}, /* whole words */
    /* letters of a code */
    {NULL, "Z96.651", NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_REPLACEMENT},
    {NULL, "S82.001A", NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_FRACTURE},
    {NULL, "S83.2", NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {NULL, "S8", NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {"wrist", "S52.5", NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {NULL, "I69.351", NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_CENTRAL},
    {NULL, "M25.661", NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    /* parts of the body; brain and cord are of the whole */
    {"wrist fracture", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {"wrist fracture", NULL, NULL, NULL, "wrist", SIDE_NONE, SIDE_RIGHT, FILE_FRACTURE},
    {"tibia fracture", NULL, NULL, NULL, "ankle", SIDE_NONE, SIDE_RIGHT, FILE_FRACTURE},
    {"tibia fracture", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_FRACTURE},
    {"tibia fracture", NULL, NULL, NULL, "hip", SIDE_NONE, SIDE_RIGHT, 0},
    {"shoulder pain after stroke", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_CENTRAL},
    {"fracture", NULL, NULL, NULL, "cervical", SIDE_NONE, SIDE_MIDLINE, FILE_FRACTURE},
    {"fracture", NULL, NULL, NULL, "cervical", SIDE_RIGHT, SIDE_MIDLINE, FILE_FRACTURE},
    /* sides: of the text, else the affected one, else both */
    {"left knee fracture", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {"left knee fracture", NULL, NULL, NULL, "knee", SIDE_RIGHT, SIDE_LEFT, FILE_FRACTURE},
    {"R knee fracture", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_FRACTURE},
    {"R knee fracture", NULL, NULL, NULL, "knee", SIDE_NONE, SIDE_LEFT, 0},
    {"knee fracture", NULL, NULL, NULL, "knee", SIDE_LEFT, SIDE_RIGHT, 0},
    {"knee fracture", NULL, NULL, NULL, "knee", SIDE_LEFT, SIDE_LEFT, FILE_FRACTURE},
    {"bilateral knee fracture", NULL, NULL, NULL, "knee", SIDE_LEFT, SIDE_RIGHT, FILE_FRACTURE},
    /* procedures: any is surgery, one to come is none */
    {NULL, NULL, "Knee manipulation", NULL, "knee", SIDE_NONE, SIDE_RIGHT, FILE_SURGERY},
    {NULL, NULL, "Knee arthroplasty", "2026-01-10", "knee", SIDE_NONE, SIDE_RIGHT,
     FILE_SURGERY | FILE_REPLACEMENT},
    {NULL, NULL, "Knee arthroplasty", "2026-03-02", "knee", SIDE_NONE, SIDE_RIGHT,
     FILE_SURGERY | FILE_REPLACEMENT},
    {NULL, NULL, "Knee arthroplasty", "2026-03-03", "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {NULL, NULL, "Carpal tunnel release", NULL, "knee", SIDE_NONE, SIDE_RIGHT, 0},
    {"right knee pain", NULL, NULL, "2026-01-10", "knee", SIDE_NONE, SIDE_RIGHT, FILE_SURGERY},
    {"right knee pain", NULL, NULL, "2026-01-10", "hip", SIDE_NONE, SIDE_RIGHT, 0},
    {NULL, NULL, NULL, "2026-01-10", "hip", SIDE_NONE, SIDE_RIGHT, FILE_SURGERY},
};

START_TEST(on_file)
{
    struct build *b = build_new();
    b->patient.diagnosis = told[_i].diagnosis;
    b->patient.diagnosis_code = told[_i].code;
    b->patient.procedure = told[_i].procedure;
    b->patient.affected_side = told[_i].affected;
    if (told[_i].surgery != NULL)
        ck_assert(date_parse_iso(told[_i].surgery, &b->patient.surgery_date));
    struct visit_findings *v = build_findings(b, "2026-03-02 knee flexion right AROM 120");
    ck_assert_uint_eq(rules_on_file(v, told[_i].joint, told[_i].side), told[_i].found);
    build_free(b);
}
END_TEST

START_TEST(protocol_of_the_cord)
{
    struct build *b = build_new();
    build_add(b, "2026-03-02 knee flexion right AROM 120");
    b->visits[0].protocol = "ISNCSCI";
    struct visit_findings *v = build_evaluate(b);
    ck_assert_uint_eq(rules_on_file(v, "hip", SIDE_LEFT), FILE_CENTRAL);
    build_free(b);
}
END_TEST

START_TEST(phrases_of_a_list)
{
    ck_assert(rules_states_any("knee straight, supine", "knee bent;knee straight"));
    ck_assert(rules_states_any("Knee-straight", "knee straight"));
    /* A phrase has 79 bytes at most; a longer one is none. */
    char longest[81];
    memset(longest, 'x', 80);
    longest[80] = '\0';
    ck_assert(!rules_states_any(longest, longest));
    ck_assert(rules_states_any(longest + 1, longest + 1));
    ck_assert(!rules_states_any("knee straightened", "knee bent;knee straight"));
    ck_assert(!rules_states_any("knee", ""));
    ck_assert(!rules_states_any("knee", NULL));
    ck_assert(!rules_states_any(NULL, "knee"));
    ck_assert(!rules_states_any("", "knee"));
    ck_assert(rules_states_any("prone", ";;prone;"));
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, on_file, 0, ARRAY_LEN(told));
    tcase_add_test(tc, protocol_of_the_cord);
    tcase_add_test(tc, phrases_of_a_list);
}

BUILD_SUITE("rules_history")
