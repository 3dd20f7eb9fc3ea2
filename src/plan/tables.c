/*
 * The tables of plan: positions and their usual order, other positions for those who cannot take
 * the usual one, sets of motions, joints next to each other.
 *
 * How known: the order of positions (sitting, supine, side-lying, prone, standing first or last)
 * and screening the joints above and below with the spine are common practice. An alternative
 * marked "common practice, unverified" is remembered from handbooks of goniometry and muscle
 * testing; one without that word stands in the remarks of the same entry of the reference. The
 * sets are this program's own.
 */
#include "plan/plan_int.h"

#include <string.h>

const char *plan_position_mark(void)
{
    return "common practice";
}

/* ---- positions ---------------------------------------------------------------------------- */

static const char *const position_names[PLAN_POSITION_COUNT] = {
    [PLAN_SITTING] = "sitting",          [PLAN_SUPINE] = "supine",
    [PLAN_LYING_LEFT] = "side-lying",    [PLAN_LYING_RIGHT] = "side-lying",
    [PLAN_PRONE] = "prone",              [PLAN_STANDING] = "standing",
};

const char *plan_position_name(enum plan_position position)
{
    return position_names[position];
}

bool plan_position_by_name(const char *name, unsigned *bits)
{
    *bits = 0;
    for (int p = 0; p < PLAN_POSITION_COUNT; p++)
        if (str_eq(name, position_names[p]))
            *bits |= 1u << p;
    return *bits != 0;
}

/* Side-lying tests have the tested side up, but for these, whose limb lifts from below (the entry
 * of the muscle test says so). */
static const struct {
    const char *joint, *motion;
} tested_side_down[] = {
    {"hip", "adduction"},
};

static bool is_side_down(const struct motion *m)
{
    for (size_t i = 0; i < ARRAY_LEN(tested_side_down); i++)
        if (str_eq(m->joint, tested_side_down[i].joint) &&
            str_eq(m->motion, tested_side_down[i].motion))
            return true;
    return false;
}

enum plan_position plan_position_of(const char *name, const struct motion *motion, enum side side)
{
    int p = 0;
    while (p < PLAN_POSITION_COUNT - 1 && !str_eq(name, position_names[p]))
        p++;
    if (p != PLAN_LYING_LEFT)
        return (enum plan_position)p;
    bool on_left = side != SIDE_LEFT; /* the right side, or the midline, uppermost */
    return on_left != is_side_down(motion) ? PLAN_LYING_LEFT : PLAN_LYING_RIGHT;
}

/* ---- other positions ------------------------------------------------------------------------- */

static const char unverified[] = "common practice, unverified";
static const char common[] = "common practice";

const struct plan_alternative plan_alternatives[] = {
    /* range */
    {"cervical", "rotation", false, "supine", "Inclinometer upright on the forehead", common},
    {"trunk", "extension", false, "prone",
     "Presses up on the arms while the pelvis is held down", common},
    {"shoulder", "flexion", false, "sitting", "Trunk held against a back rest", unverified},
    {"shoulder", "abduction", false, "sitting", "Palm forward, trunk held upright", common},
    {"shoulder", "extension", false, "sitting", "Trunk held upright, arm at the side", unverified},
    {"shoulder", "extension", false, "side-lying", "Tested side up, examiner bears the arm",
     unverified},
    {"shoulder", "internal-rotation", false, "sitting",
     "Elbow bent 90; state whether the arm is at the side or abducted", unverified},
    {"shoulder", "external-rotation", false, "sitting",
     "Elbow bent 90; state whether the arm is at the side or abducted", unverified},
    {"elbow", "flexion", false, "sitting", "Arm at the side, forearm palm up", unverified},
    {"elbow", "extension", false, "sitting", "Arm at the side, forearm palm up", unverified},
    {"hip", "extension", false, "side-lying", "Tested side up, lower leg bent, pelvis held",
     unverified},
    {"knee", "flexion", false, "sitting", "Thigh on the table, leg over the edge", unverified},
    {"ankle", "dorsiflexion", false, "supine", "Knee bent over a roll", common},
    {"ankle", "dorsiflexion", false, "prone", "Knee bent", common},
    {"ankle", "plantar-flexion", false, "supine", "Knee bent over a roll", unverified},
    /* strength */
    {"scapula", "abduction-upward-rotation", true, "supine",
     "Pushes the straight arm to the ceiling; winging is hidden", common},
    {"shoulder", "internal-rotation", true, "sitting", "Elbow at the side, bent 90", common},
    {"shoulder", "external-rotation", true, "sitting", "Elbow at the side, bent 90", unverified},
    {"elbow", "extension", true, "supine", "Shoulder flexed 90, straightens the elbow upward",
     unverified},
    {"hip", "extension", true, "standing", "Leaning over the table, lifts the thigh back",
     common},
    {"knee", "flexion", true, "sitting", "Leg over the edge, pulls the heel under the seat",
     unverified},
    {NULL, NULL, false, NULL, NULL, NULL},
};

/* ---- sets ------------------------------------------------------------------------------------ */

const struct plan_set plan_sets[] = {
    {"upper-quarter", "cervical", NULL},
    {"upper-quarter", "scapula", NULL},
    {"upper-quarter", "shoulder", NULL},
    {"upper-quarter", "elbow", NULL},
    {"upper-quarter", "forearm", NULL},
    {"upper-quarter", "wrist", NULL},
    {"lower-quarter", "trunk", NULL},
    {"lower-quarter", "hip", NULL},
    {"lower-quarter", "knee", NULL},
    {"lower-quarter", "ankle", NULL},
    {"lower-quarter", "subtalar", NULL},
    {"lower-quarter", "toe-mtp", NULL},
    {"spine", "cervical", NULL},
    {"spine", "trunk", NULL},
    {"hand", "wrist", NULL},
    {"hand", "thumb-cmc", NULL},
    {"hand", "thumb-mcp", NULL},
    {"hand", "thumb-ip", NULL},
    {"hand", "finger-mcp", NULL},
    {"hand", "finger-pip", NULL},
    {"hand", "finger-dip", NULL},
    {NULL, NULL, NULL},
};

/* ---- neighbours ------------------------------------------------------------------------------ */

const struct plan_neighbour plan_neighbours[] = {
    {"jaw", "cervical", false},        {"cervical", "scapula", false},
    {"cervical", "shoulder", false},   {"cervical", "trunk", false},
    {"trunk", "hip", false},           {"scapula", "shoulder", false},
    {"shoulder", "elbow", false},      {"elbow", "forearm", false},
    {"elbow", "wrist", false},         {"forearm", "wrist", false},
    {"wrist", "thumb-cmc", false},     {"wrist", "finger-mcp", false},
    {"thumb-cmc", "thumb-mcp", false}, {"thumb-mcp", "thumb-ip", false},
    {"finger-mcp", "finger-pip", false}, {"finger-pip", "finger-dip", false},
    {"hip", "knee", false},            {"knee", "ankle", false},
    {"ankle", "subtalar", false},      {"subtalar", "toe-mtp", false},
    {"ankle", "toe-mtp", false},       {"toe-mtp", "toe-ip", false},
    {"elbow", "cervical", true},       {"forearm", "cervical", true},
    {"wrist", "cervical", true},       {"thumb-cmc", "cervical", true},
    {"thumb-mcp", "cervical", true},   {"thumb-ip", "cervical", true},
    {"finger-mcp", "cervical", true},  {"finger-pip", "cervical", true},
    {"finger-dip", "cervical", true},  {"knee", "trunk", true},
    {"ankle", "trunk", true},          {"subtalar", "trunk", true},
    {"toe-mtp", "trunk", true},        {"toe-ip", "trunk", true},
    {NULL, NULL, false},
};

bool plan_are_neighbours(const char *joint, const char *other)
{
    for (const struct plan_neighbour *n = plan_neighbours; n->joint != NULL; n++) {
        if (n->spine)
            continue;
        if ((str_eq(n->joint, joint) && str_eq(n->next, other)) ||
            (str_eq(n->joint, other) && str_eq(n->next, joint)))
            return true;
    }
    return false;
}
