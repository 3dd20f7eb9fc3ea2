/* The drawings of the body that the motion table points to; see bodies.c. */
#ifndef ENDFEEL_FIGURE_BODIES_H
#define ENDFEEL_FIGURE_BODIES_H

#include "figure/figure_int.h"

extern const struct body body_head_side, body_head_back, body_head_top;
extern const struct body body_trunk_side, body_trunk_back, body_trunk_top;
extern const struct body body_arm_side, body_arm_front, body_arm_turn, body_arm_top;
extern const struct body body_elbow, body_elbow_long;
extern const struct body body_forearm, body_wrist_side, body_wrist_top;
extern const struct body body_thumb_palm, body_thumb_side, body_thumb_mcp, body_thumb_ip;
extern const struct body body_finger_mcp, body_finger_pip, body_finger_dip;
extern const struct body body_spread_index, body_spread_ring, body_spread_little;
extern const struct body body_hip_side, body_hip_long, body_hip_front, body_hip_turn;
extern const struct body body_knee, body_knee_long;
extern const struct body body_ankle, body_heel, body_toe_mtp, body_toe_ip;

#endif
