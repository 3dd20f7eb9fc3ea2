/*
 * The drawings of the body: limbs as pairs of circles, in hundredths of the drawing square, right
 * side, own proportions. Each line reads: start, its radius, end, its radius, group[, cut off].
 * Fixed parts stand on the page; moving parts along the segment, from the joint.
 */
#include "figure/bodies.h"

#define PARTS(a) {(a), ARRAY_LEN(a)}
#define NO_PARTS {NULL, 0}

/* ---- neck and trunk ------------------------------------------------------------------------ */

static const struct part head_side_fixed[] = {
    {42, 29, 10, 42, 3, 12, 0, true}, /* thorax */
    {45, 30, 7, 47, 16, 8, 0, false},
    {40, 25, 6.5, 39, 3, 5.5, 1, true}, /* upper arm */
};
static const struct part head_side_moving[] = {
    {-2, 0, 5.6, 13, -1, 5, 0, false},    /* neck */
    {24, 1, 9, 27, 0, 9.2, 0, false},     /* skull */
    {24, -4, 7.5, 17, -7, 3.6, 0, false}, /* face and chin */
    {22.5, -11, 1.2, 20.5, -13, 0.9, 0, false},
};
const struct body body_head_side = {
    {44, 42}, 43, PARTS(head_side_fixed), PARTS(head_side_moving), NO_PARTS, 0, 0};

static const struct part head_back_fixed[] = {
    {27, 24, 7, 73, 24, 7, 0, false}, /* shoulders */
    {50, 34, 5, 33, 26, 5.5, 0, false},
    {50, 34, 5, 67, 26, 5.5, 0, false},
    {37, 22, 8, 39, 3, 8, 0, true},
    {63, 22, 8, 61, 3, 8, 0, true},
    {50, 22, 10, 50, 3, 10, 0, true},
    {26, 23, 6.6, 23, 3, 5.4, 1, true}, /* arms */
    {74, 23, 6.6, 77, 3, 5.4, 2, true},
};
static const struct part head_back_moving[] = {
    {-3, 0, 5.4, 12, 0, 5.2, 0, false},
    {22, 0, 7.8, 27, 0, 9.2, 0, false},
    {21.5, 8.2, 1.7, 23.5, 9, 1.6, 0, false}, /* ears */
    {21.5, -8.2, 1.7, 23.5, -9, 1.6, 0, false},
};
const struct body body_head_back = {
    {50, 40}, 43, PARTS(head_back_fixed), PARTS(head_back_moving), NO_PARTS, 0, 0};

static const struct part head_top_fixed[] = {
    {19, 40, 7.5, 81, 40, 7.5, 0, false},
    {38, 43, 9, 62, 43, 9, 0, false},
};
static const struct part head_top_moving[] = {
    {-4, 0, 11, 4, 0, 10.5, 0, false},
    {14, 0, 2.2, 16.5, 0, 1.2, 0, false}, /* nose */
    {1, 10.8, 1.4, -1.5, 11.3, 1.6, 0, false},
    {1, -10.8, 1.4, -1.5, -11.3, 1.6, 0, false},
};
const struct body body_head_top = {
    {50, 43}, 40, PARTS(head_top_fixed), PARTS(head_top_moving), NO_PARTS, 0, 0};

static const struct part trunk_side_fixed[] = {
    {45, 33, 8, 44, 29, 8.6, 0, false}, /* pelvis */
    {45.5, 27, 7.8, 46.5, 3, 6.2, 0, true},
};
static const struct part trunk_side_moving[] = {
    {0, 0, 7.4, 10, -1, 7, 0, false},
    {17, -0.5, 8.2, 23, 0.5, 7, 0, false},
    {10, -1, 7, 17, -0.5, 8.2, 0, false},
    {27, 0.5, 3.4, 33, -0.5, 3.2, 0, false},
    {37.5, -0.5, 4.6, 39.5, -1, 4.8, 0, false}, /* head */
    {37.5, -3, 3.4, 34.5, -4, 1.8, 0, false},
    {37.2, -6, 0.7, 36.4, -6.9, 0.6, 0, false},
};
const struct body body_trunk_side = {
    {45, 33}, 47, PARTS(trunk_side_fixed), PARTS(trunk_side_moving), NO_PARTS, 0, 0};

static const struct part trunk_back_fixed[] = {
    {44, 29, 8, 56, 29, 8, 0, false},
    {42.5, 26, 7, 42.5, 3, 5.6, 0, true},
    {57.5, 26, 7, 57.5, 3, 5.6, 0, true},
};
static const struct part trunk_back_moving[] = {
    {0, 4, 7, 11, 2, 7.4, 0, false},
    {0, -4, 7, 11, -2, 7.4, 0, false},
    {11, 2, 7.4, 22, 6, 5.6, 0, false},
    {11, -2, 7.4, 22, -6, 5.6, 0, false},
    {24, 11, 3.6, 24, -11, 3.6, 0, false},
    {26, 0, 3.4, 33, 0, 3.2, 0, false},
    {37.5, 0, 4.4, 39.5, 0, 4.9, 0, false},
    {23, 13.5, 3.4, 8, 15.5, 2.4, 1, false}, /* arms */
    {23, -13.5, 3.4, 8, -15.5, 2.4, 2, false},
};
const struct body body_trunk_back = {
    {50, 33}, 47, PARTS(trunk_back_fixed), PARTS(trunk_back_moving), NO_PARTS, 0, 0};

static const struct part trunk_top_fixed[] = {
    {34, 30, 2, 66, 30, 2, 0, false}, /* seat */
    {43, 36, 7.5, 57, 36, 7.5, 1, false},
    {43, 38, 6.4, 39, 66, 5, 1, false}, /* thighs */
    {57, 38, 6.4, 61, 66, 5, 1, false},
};
static const struct part trunk_top_moving[] = {
    {-1, 18, 5.4, -1, -18, 5.4, 0, false},
    {0, 8, 6.4, 0, -8, 6.4, 0, false},
    {0.5, 0, 7, 3, 0, 7, 1, false}, /* head */
    {9.6, 0, 1.3, 11, 0, 0.9, 1, false},
};
const struct body body_trunk_top = {
    {50, 40}, 40, PARTS(trunk_top_fixed), PARTS(trunk_top_moving), NO_PARTS, 0, 0};

/* ---- shoulder and elbow --------------------------------------------------------------------- */

static const struct part arm_side_fixed[] = {
    {46, 52, 9, 46.5, 34, 7.4, 0, false}, /* trunk */
    {46.5, 34, 7.4, 46, 22, 8.4, 0, false},
    {46.5, 21, 7.6, 47, 3, 6.4, 0, true},
    {46, 59, 4, 47, 68, 3.4, 0, false},
    {46.5, 75, 5.6, 46.8, 77, 5.8, 0, false}, /* head */
    {48.5, 74.5, 4.2, 50.5, 70.8, 2.1, 0, false},
    {53.2, 74.2, 0.8, 54, 73.2, 0.7, 0, false},
};
static const struct part arm_moving[] = {
    {0, 0, 4.8, 14, 0, 3.7, 0, false},
    {14, 0, 3.7, 27, 0, 2.5, 0, false},
    {28.5, 0, 2.6, 34, 0, 1.7, 0, false}, /* hand */
};
const struct body body_arm_side = {
    {46, 56}, 40, PARTS(arm_side_fixed), PARTS(arm_moving), NO_PARTS, 0, 0};

static const struct part arm_front_fixed[] = {
    {45, 56, 4.6, 65, 56, 4.6, 0, false}, /* shoulders */
    {49.5, 51, 6.4, 51, 34, 5.6, 0, false},
    {60.5, 51, 6.4, 59, 34, 5.6, 0, false},
    {55, 51, 7, 55, 30, 7, 0, false},
    {50.5, 26, 7, 59.5, 26, 7, 0, false},
    {49.7, 24, 6.4, 49.5, 3, 5.4, 0, true}, /* legs */
    {60.3, 24, 6.4, 60.5, 3, 5.4, 0, true},
    {55, 60, 3.6, 55, 67, 3.4, 0, false},
    {55, 71.5, 4.6, 55, 75, 5.5, 0, false}, /* head */
    {67, 55, 4, 70, 40, 3.2, 1, false}, /* other arm */
    {70, 40, 3.2, 71, 27, 2.3, 1, false},
    {71, 26, 2.3, 71, 21, 1.6, 1, false},
};
const struct body body_arm_front = {
    {43, 56}, 39, PARTS(arm_front_fixed), PARTS(arm_moving), NO_PARTS, 0, 0};

static const struct part arm_turn_fixed[] = {
    {5, 27, 0.9, 95, 27, 0.9, 0, false}, /* table */
    {47, 37, 9, 70, 37, 7.6, 1, false}, /* trunk lying */
    {70, 37, 7.6, 97, 37, 7.4, 1, true},
    {39, 36, 4.4, 30, 35.5, 4, 1, false},
    {25, 36.5, 7, 22, 36.5, 7.2, 1, false}, /* head, face up */
    {24.5, 40, 5, 30, 42, 2.6, 1, false},
    {25.4, 44.4, 1, 26.6, 45.6, 0.8, 1, false},
    {47, 39, 6.4, 47, 39, 6.3, 2, false}, /* upper arm, end on */
};
static const struct part forearm_moving[] = {
    {0, 0, 5, 7, 0.4, 5, 0, false},
    {7, 0.4, 5, 24, 0, 2.8, 0, false},
    {26, 0, 2.9, 33, 0, 1.9, 0, false},
};
const struct body body_arm_turn = {
    {47, 39}, 39, PARTS(arm_turn_fixed), PARTS(forearm_moving), NO_PARTS, 0, 0};

static const struct part arm_top_fixed[] = {
    {20, 40, 6.5, 54, 40, 6.5, 0, false}, /* shoulders */
    {30, 43, 7.5, 44, 43, 7.5, 0, false},
    {37, 41, 8, 37, 44, 7.8, 1, false}, /* head */
    {37, 51.5, 1.4, 37, 53.2, 1, 1, false},
};
const struct body body_arm_top = {
    {55, 41}, 40, PARTS(arm_top_fixed), PARTS(arm_moving), NO_PARTS, 0, 0};

static const struct part elbow_fixed[] = {
    {42, 88, 8, 43, 75, 6.6, 0, false},
    {43, 75, 6.6, 44, 56, 5, 0, false},
};
static const struct part elbow_moving[] = {
    {0, 0, 5, 9, 0.5, 5.4, 0, false},
    {9, 0.5, 5.4, 26, 0, 3, 0, false},
    {28, 0, 3, 36, 0, 2.2, 0, false},
    {29, 1, 1.7, 33, 4, 1.3, 0, false}, /* thumb, to the front */
};
const struct body body_elbow = {
    {44, 56}, 43, PARTS(elbow_fixed), PARTS(elbow_moving), NO_PARTS, 0, 0};

static const struct part elbow_long_fixed[] = {
    {48, 78, 6.8, 47, 97, 8.6, 0, true},
};
static const struct part elbow_long_moving[] = {
    {0, 0, 6.6, 12, 0.7, 7, 0, false},
    {12, 0.7, 7, 35, 0, 3.8, 0, false},
    {37.5, 0, 3.9, 48, 0, 2.8, 0, false},
    {39, 1.4, 2.2, 44, 5.4, 1.6, 0, false},
};
const struct body body_elbow_long = {
    {48, 78}, 62, PARTS(elbow_long_fixed), PARTS(elbow_long_moving), NO_PARTS, 0, 0};

/* ---- forearm, wrist and hand ----------------------------------------------------------------- */

static const struct part forearm_fixed[] = {
    {50, 44, 19, 50, 44, 18.9, 0, false}, /* elbow, behind */
};
static const struct part fist_moving[] = {
    {-19, 0, 0.9, 34, 0, 0.9, 0, false}, /* pencil */
    {8, 0, 5, 7.9, 0, 5, 1, false},      /* knuckles */
    {2.6, 0, 5.3, 2.5, 0, 5.3, 2, false},
    {-3, 0, 5.1, -3.1, 0, 5.1, 3, false},
    {-8.4, 0, 4.5, -8.5, 0, 4.5, 4, false},
    {11.5, -3.4, 3, 12, 4, 2.6, 5, false}, /* thumb over the pencil */
};
const struct body body_forearm = {
    {50, 44}, 41, PARTS(forearm_fixed), PARTS(fist_moving), NO_PARTS, 0, 0};

static const struct part wrist_side_fixed[] = {
    {42, 50, 5, 3, 50, 8.5, 0, true},
};
static const struct part wrist_side_moving[] = {
    {0, 0, 5, 15, 0, 4.6, 0, false},
    {16, 0, 4.2, 26, -1, 3.3, 0, false},
    {26, -1, 3.3, 33, -4.5, 2.3, 0, false}, /* fingers loosely bent */
};
const struct body body_wrist_side = {
    {43, 50}, 42, PARTS(wrist_side_fixed), PARTS(wrist_side_moving), NO_PARTS, 0, 0};

static const struct part wrist_top_fixed[] = {
    {50, 36, 6.2, 50, 3, 9, 0, true},
};
static const struct part wrist_top_moving[] = {
    {0, 0, 5.8, 8, 0, 6.5, 0, false}, /* hand */
    {6, 4, 5, 17, 6, 4, 0, false},
    {6, -4, 5, 16, -6, 4, 0, false},
    {8, 0, 7, 18, 0, 5, 0, false},
    {20, 7, 2.4, 32, 9, 1.9, 0, false}, /* fingers */
    {21, 2.3, 2.5, 35, 2.8, 1.9, 0, false},
    {20, -2.6, 2.4, 33, -3.4, 1.9, 0, false},
    {18, -7.2, 2.1, 27, -9.4, 1.6, 0, false},
    {5, 5, 3, 13, 12, 2.5, 0, false}, /* thumb */
    {13, 12, 2.5, 20, 14.5, 1.9, 0, false},
};
const struct body body_wrist_top = {
    {50, 37}, 44, PARTS(wrist_top_fixed), PARTS(wrist_top_moving), NO_PARTS, 0, 0};

/* Palm view, thumb at page right. */
static const struct part thumb_palm_fixed[] = {
    {46, 22, 7.2, 46, 3, 8.6, 0, true},
    {41, 32, 8, 39, 54, 6, 0, false}, /* palm */
    {48, 30, 8, 48, 54, 6.6, 0, false},
    {52, 34, 6, 53, 55, 4.6, 0, false},
    {54, 58, 3.3, 56, 79, 2.5, 0, false}, /* fingers */
    {47, 60, 3.4, 47.5, 85, 2.5, 0, false},
    {40, 59, 3.3, 38.5, 81, 2.4, 0, false},
    {34.5, 56, 2.9, 31.5, 72, 2.2, 0, false},
};
static const struct part thumb_moving[] = {
    {0, 0, 5, 12, 0, 4.2, 0, false},
    {12, 0, 4.2, 22, 0.5, 3.6, 0, false},
    {22, 0.5, 3.6, 31, 0, 2.7, 0, false},
};
const struct body body_thumb_palm = {
    {57, 32}, 38, PARTS(thumb_palm_fixed), PARTS(thumb_moving), NO_PARTS, 0, 0};

/* The hand from the thumb side, palm to page left. */
static const struct part thumb_side_fixed[] = {
    {53, 22, 6.4, 53, 3, 7.4, 0, true},
    {53, 26, 6.2, 54, 56, 4.8, 0, false},
    {54, 58, 4.2, 54, 74, 3.4, 0, false},
    {54, 74, 3.4, 53, 86, 2.6, 0, false},
};
const struct body body_thumb_side = {
    {51, 32}, 40, PARTS(thumb_side_fixed), PARTS(thumb_moving), NO_PARTS, 0, 0};

static const struct part thumb_bone_fixed[] = {
    {44, 14, 13, 40, 3, 15, 0, true},
    {48, 18, 9, 52, 45, 6.4, 0, false},
};
static const struct part thumb_bones_moving[] = {
    {0, 0, 6.2, 16, 0, 5.4, 0, false},
    {16, 0, 5.4, 30, 0, 4, 0, false},
};
const struct body body_thumb_mcp = {
    {52, 45}, 41, PARTS(thumb_bone_fixed), PARTS(thumb_bones_moving), NO_PARTS, 0, 0};

static const struct part thumb_tip_moving[] = {
    {0, 0, 6, 12, 0, 5.8, 0, false},
    {12, 0, 5.8, 25, 0, 4.2, 0, false},
};
const struct body body_thumb_ip = {
    {52, 45}, 38, PARTS(thumb_bone_fixed), PARTS(thumb_tip_moving), NO_PARTS, 0, 0};

/* A finger from the little-finger side. */
static const struct part finger_mcp_fixed[] = {
    {43, 50, 7, 3, 49, 10, 0, true},
};
static const struct part finger_mcp_moving[] = {
    {0, 0, 6.6, 14, 0, 5, 0, false},
    {14, 0, 5, 25, -0.8, 4.2, 0, false},
    {25, -0.8, 4.2, 34, -2.4, 3.2, 0, false},
};
const struct body body_finger_mcp = {
    {43, 50}, 42, PARTS(finger_mcp_fixed), PARTS(finger_mcp_moving), NO_PARTS, 0, 0};

static const struct part finger_pip_fixed[] = {
    {22, 50, 7.4, 3, 48, 10, 0, true},
    {43, 50, 5.6, 20, 50, 7.4, 0, false},
};
static const struct part finger_pip_moving[] = {
    {0, 0, 5.6, 14, 0, 4.8, 0, false},
    {14, 0, 4.8, 27, -0.8, 3.6, 0, false},
};
const struct body body_finger_pip = {
    {43, 50}, 38, PARTS(finger_pip_fixed), PARTS(finger_pip_moving), NO_PARTS, 0, 0};

static const struct part finger_dip_fixed[] = {
    {20, 50, 6.8, 3, 49.5, 7.6, 0, true},
    {43, 50, 5.4, 20, 50, 6.8, 0, false},
};
static const struct part finger_dip_moving[] = {
    {0, 0, 5.4, 10, 0, 5.2, 0, false},
    {10, 0, 5.2, 20, 0, 3.8, 0, false},
};
const struct body body_finger_dip = {
    {43, 50}, 34, PARTS(finger_dip_fixed), PARTS(finger_dip_moving), NO_PARTS, 0, 0};

/* The back of the hand, thumb at page left; the spread finger is left out of the fixed hand. */
#define HAND                                                                                       \
    {50, 20, 7, 50, 3, 8.4, 0, true}, {43, 27, 7, 41, 44, 5, 0, false},                            \
        {50, 26, 8, 50, 46, 6, 0, false}, {57, 27, 7, 58.5, 43, 5, 0, false},                      \
        {42, 26, 4, 33, 36, 3.2, 0, false}, {33, 36, 3.2, 28, 46, 2.3, 0, false}
#define INDEX_FINGER {41, 49, 3.3, 40, 72, 2.3, 0, false}
#define MIDDLE_FINGER {48, 51, 3.4, 48, 78, 2.4, 0, false}
#define RING_FINGER {55, 50, 3.3, 55.5, 74, 2.3, 0, false}
#define LITTLE_FINGER {60.5, 46, 2.9, 63, 63, 2, 0, false}
static const struct part spread_index_fixed[] = {HAND, MIDDLE_FINGER, RING_FINGER, LITTLE_FINGER};
static const struct part spread_ring_fixed[] = {HAND, INDEX_FINGER, MIDDLE_FINGER, LITTLE_FINGER};
static const struct part spread_little_fixed[] = {HAND, INDEX_FINGER, MIDDLE_FINGER, RING_FINGER};
static const struct part spread_moving[] = {
    {0, 0, 3.6, 13, 0, 3, 0, false},
    {13, 0, 3, 26, 0, 2.2, 0, false},
};
const struct body body_spread_index = {
    {41, 47}, 35, PARTS(spread_index_fixed), PARTS(spread_moving), NO_PARTS, 0, 0};
const struct body body_spread_ring = {
    {55, 48}, 35, PARTS(spread_ring_fixed), PARTS(spread_moving), NO_PARTS, 0, 0};
const struct body body_spread_little = {
    {60, 45}, 35, PARTS(spread_little_fixed), PARTS(spread_moving), NO_PARTS, 0, 0};

/* ---- hip, knee and foot ---------------------------------------------------------------------- */

static const struct part hip_side_fixed[] = {
    {43.5, 60, 9, 44, 70, 7.4, 0, false}, /* pelvis, waist, trunk */
    {44, 70, 7.4, 45, 86, 8.8, 0, false},
    {45, 86, 8.8, 45, 97, 9, 0, true},
};
static const struct part hip_side_moving[] = {
    {0, 0, 8, 12, 0.4, 7, 0, false},
    {12, 0.4, 7, 25, 0, 5, 0, false},
};
static const struct part hip_side_tail[] = {
    {0, 0, 5, 6, -1, 4.8, 0, false}, /* lower leg and foot */
    {6, -1, 4.8, 19, 0, 2.8, 0, false},
    {20, -0.4, 2.5, 21, 7, 1.5, 0, false},
};
const struct body body_hip_side = {
    {44, 59}, 42, PARTS(hip_side_fixed), PARTS(hip_side_moving), PARTS(hip_side_tail), 25, 270};

/* Straight joints are judged by few degrees: a longer limb makes them plain. */
static const struct part hip_long_fixed[] = {
    {47, 77, 8.4, 47.5, 86, 7, 0, false},
    {47.5, 86, 7, 48, 97, 8.4, 0, true},
};
static const struct part hip_long_moving[] = {
    {0, 0, 7.6, 12, 0.4, 6.6, 0, false},
    {12, 0.4, 6.6, 25, 0, 4.7, 0, false},
    {25, 0, 4.7, 32, -1, 4.8, 0, false},
    {32, -1, 4.8, 48, 0, 2.7, 0, false},
    {50, -0.6, 2.5, 51.5, 6.5, 1.5, 0, false},
};
const struct body body_hip_long = {
    {47.5, 76}, 60, PARTS(hip_long_fixed), PARTS(hip_long_moving), NO_PARTS, 0, 0};

static const struct part hip_front_fixed[] = {
    {51, 74, 7.4, 65, 74, 7.4, 0, false}, /* pelvis */
    {53, 78, 7.6, 55, 86, 6.6, 0, false},
    {63, 78, 7.6, 61, 86, 6.6, 0, false},
    {58, 84, 9, 58, 97, 10.5, 0, true},
    {65.5, 70, 7, 65, 46, 5, 0, false}, /* other leg */
    {65, 46, 5, 65.5, 38, 5, 0, false},
    {65.5, 38, 5, 65, 22, 2.9, 0, false},
    {65, 20, 2.7, 67.5, 16.5, 1.9, 0, false},
};
static const struct part hip_front_moving[] = {
    {0, 0, 7.2, 24, 0, 5, 0, false},
    {24, 0, 5, 32, 0, 5, 0, false},
    {32, 0, 5, 47, 0, 2.9, 0, false},
    {49, 0, 2.7, 52.5, -2.5, 1.9, 0, false},
};
const struct body body_hip_front = {
    {50.5, 71}, 57, PARTS(hip_front_fixed), PARTS(hip_front_moving), NO_PARTS, 0, 0};

static const struct part hip_turn_fixed[] = {
    {58, 78, 11, 58, 97, 11.5, 0, true}, /* trunk, behind */
    {22, 53, 1, 92, 53, 1, 1, false},    /* seat */
    {69, 62, 6.6, 69, 51, 5.2, 2, false}, /* other leg, hanging */
    {69, 51, 5.2, 69, 29, 2.9, 2, false},
    {69, 27, 2.8, 70.5, 23, 2.2, 2, false},
    {69, 64, 7.6, 69, 64, 7.5, 3, false}, /* thighs, end on */
    {47, 64, 7.6, 47, 64, 7.5, 4, false},
};
static const struct part hip_turn_moving[] = {
    {0, 0, 6.2, 12, 0, 5.4, 0, false},
    {12, 0, 5.4, 35, 0, 2.9, 0, false},
    {37, 0, 2.8, 41, -1.5, 2.2, 0, false},
};
const struct body body_hip_turn = {
    {47, 64}, 47, PARTS(hip_turn_fixed), PARTS(hip_turn_moving), NO_PARTS, 0, 0};

static const struct part knee_fixed[] = {
    {49.5, 56, 6, 48, 97, 10, 0, true},
};
static const struct part knee_moving[] = {
    {0, 0, 5.8, 9, -1.2, 5.6, 0, false},
    {9, -1.2, 5.6, 31, 0, 2.9, 0, false},
    {33.5, -1, 2.7, 35, 7.5, 1.6, 0, false}, /* foot */
};
const struct body body_knee = {
    {49.5, 56}, 44, PARTS(knee_fixed), PARTS(knee_moving), NO_PARTS, 0, 0};

static const struct part knee_long_fixed[] = {
    {48, 78, 8, 47, 97, 10, 0, true},
};
static const struct part knee_long_moving[] = {
    {0, 0, 7.6, 13, -1.6, 7.2, 0, false},
    {13, -1.6, 7.2, 43, 0, 3.8, 0, false},
    {46.5, -1.5, 3.5, 48.5, 9.5, 2, 0, false},
};
const struct body body_knee_long = {
    {48, 78}, 62, PARTS(knee_long_fixed), PARTS(knee_long_moving), NO_PARTS, 0, 0};

static const struct part ankle_fixed[] = {
    {36, 55, 5.2, 35, 78, 8.4, 0, false},
    {35, 78, 8.4, 36, 97, 8, 0, true},
};
static const struct part ankle_moving[] = {
    {-8, -6.5, 4, 0, 0, 5.4, 0, false}, /* heel */
    {-8, -7, 3.5, 30, -8.2, 2.3, 0, false},
    {1, 0, 5.4, 25, -6.2, 3.4, 0, false},
    {28, -7.6, 2.9, 36, -8.4, 2, 0, false},
};
const struct body body_ankle = {
    {36, 55}, 46, PARTS(ankle_fixed), PARTS(ankle_moving), NO_PARTS, 0, 0};

static const struct part heel_fixed[] = {
    {50, 59, 6, 50, 87, 10.5, 0, false},
    {50, 84, 10.5, 50, 97, 10, 0, true},
};
static const struct part heel_moving[] = {
    {0, 0, 6.2, 16, 0, 8.2, 0, false},
    {16, 0, 8.2, 22, 0, 8.2, 0, false},
    {25, 5, 4.6, 25, -5, 4.6, 0, false}, /* heel pad */
};
const struct body body_heel = {
    {50, 59}, 41, PARTS(heel_fixed), PARTS(heel_moving), NO_PARTS, 0, 0};

static const struct part toe_mtp_fixed[] = {
    {44, 51, 6, 3, 62, 13, 0, true},
    {40, 48, 5, 3, 50, 7, 0, true},
};
static const struct part toe_mtp_moving[] = {
    {0, 0, 6, 12, 0, 4.8, 0, false},
    {12, 0, 4.8, 23, -0.5, 3.8, 0, false},
};
const struct body body_toe_mtp = {
    {44, 51}, 36, PARTS(toe_mtp_fixed), PARTS(toe_mtp_moving), NO_PARTS, 0, 0};

static const struct part toe_ip_fixed[] = {
    {22, 51, 7, 3, 56, 11, 0, true},
    {44, 51, 5.6, 22, 51, 6.8, 0, false},
    {20, 47, 5, 3, 48, 6, 0, true},
};
static const struct part toe_ip_moving[] = {
    {0, 0, 5.6, 9, 0, 5.2, 0, false},
    {9, 0, 5.2, 18, -0.5, 4, 0, false},
};
const struct body body_toe_ip = {
    {44, 51}, 34, PARTS(toe_ip_fixed), PARTS(toe_ip_moving), NO_PARTS, 0, 0};
