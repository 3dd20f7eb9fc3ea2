/*
 * The angle table: where zero lies on the page and which way a motion opens, for the right side.
 * Page angles run counter-clockwise from page right. Left is the mirror image, so its zero is
 * 180 - zero and its sign the opposite. Views and zeros follow from the anatomical definitions:
 * side views look at the tested side with the patient facing page right; from the front, the
 * patient's right is page left; from behind and from above it is page right.
 */
#include "figure/bodies.h"

#include <math.h>

enum { CW = -1, CCW = 1 };
enum { PAGE_RIGHT = 0, UP = 90, DOWN = 270 };

static const struct motion_row rows[] = {
    {"cervical", "flexion", 0, true, UP, CW, &body_head_side},
    {"cervical", "extension", 0, true, UP, CCW, &body_head_side},
    {"cervical", "lateral-flexion", 0, false, UP, CW, &body_head_back},
    {"cervical", "rotation", 0, false, UP, CW, &body_head_top},
    {"trunk", "flexion", 0, true, UP, CW, &body_trunk_side},
    {"trunk", "extension", 0, true, UP, CCW, &body_trunk_side},
    {"trunk", "lateral-flexion", 0, false, UP, CW, &body_trunk_back},
    {"trunk", "rotation", 0, false, UP, CW, &body_trunk_top},
    {"shoulder", "flexion", 0, false, DOWN, CCW, &body_arm_side},
    {"shoulder", "extension", 0, false, DOWN, CW, &body_arm_side},
    {"shoulder", "abduction", 0, false, DOWN, CW, &body_arm_front},
    {"shoulder", "adduction", 0, false, DOWN, CCW, &body_arm_front},
    {"shoulder", "internal-rotation", 0, false, UP, CW, &body_arm_turn},
    {"shoulder", "external-rotation", 0, false, UP, CCW, &body_arm_turn},
    {"shoulder", "horizontal-abduction", 0, false, PAGE_RIGHT, CW, &body_arm_top},
    {"shoulder", "horizontal-adduction", 0, false, PAGE_RIGHT, CCW, &body_arm_top},
    {"elbow", "flexion", 0, false, DOWN, CCW, &body_elbow},
    {"elbow", "extension", 0, false, DOWN, CW, &body_elbow_long},
    {"forearm", "pronation", 0, false, UP, CW, &body_forearm},
    {"forearm", "supination", 0, false, UP, CCW, &body_forearm},
    {"wrist", "flexion", 0, false, PAGE_RIGHT, CW, &body_wrist_side},
    {"wrist", "extension", 0, false, PAGE_RIGHT, CCW, &body_wrist_side},
    {"wrist", "radial-deviation", 0, false, UP, CCW, &body_wrist_top},
    {"wrist", "ulnar-deviation", 0, false, UP, CW, &body_wrist_top},
    {"thumb-cmc", "flexion", 0, false, UP, CCW, &body_thumb_palm},
    {"thumb-cmc", "extension", 0, false, UP, CW, &body_thumb_palm},
    {"thumb-cmc", "abduction", 0, false, UP, CCW, &body_thumb_side},
    {"thumb-mcp", "flexion", 0, false, UP, CCW, &body_thumb_mcp},
    {"thumb-mcp", "extension", 0, false, UP, CW, &body_thumb_mcp},
    {"thumb-ip", "flexion", 0, false, UP, CCW, &body_thumb_ip},
    {"thumb-ip", "extension", 0, false, UP, CW, &body_thumb_ip},
    {"finger-mcp", "flexion", 0, false, PAGE_RIGHT, CW, &body_finger_mcp},
    {"finger-mcp", "extension", 0, false, PAGE_RIGHT, CCW, &body_finger_mcp},
    /* The middle finger spreads both ways and has no side of its own: no figure. */
    {"finger-mcp", "abduction", 2, false, UP, CCW, &body_spread_index},
    {"finger-mcp", "abduction", 4, false, UP, CW, &body_spread_ring},
    {"finger-mcp", "abduction", 5, false, UP, CW, &body_spread_little},
    {"finger-pip", "flexion", 0, false, PAGE_RIGHT, CW, &body_finger_pip},
    {"finger-pip", "extension", 0, false, PAGE_RIGHT, CCW, &body_finger_pip},
    {"finger-dip", "flexion", 0, false, PAGE_RIGHT, CW, &body_finger_dip},
    {"finger-dip", "extension", 0, false, PAGE_RIGHT, CCW, &body_finger_dip},
    {"hip", "flexion", 0, false, DOWN, CCW, &body_hip_side},
    {"hip", "extension", 0, false, DOWN, CW, &body_hip_long},
    {"hip", "abduction", 0, false, DOWN, CW, &body_hip_front},
    {"hip", "adduction", 0, false, DOWN, CCW, &body_hip_front},
    {"hip", "internal-rotation", 0, false, DOWN, CW, &body_hip_turn},
    {"hip", "external-rotation", 0, false, DOWN, CCW, &body_hip_turn},
    {"knee", "flexion", 0, false, DOWN, CW, &body_knee},
    {"knee", "extension", 0, false, DOWN, CCW, &body_knee_long},
    {"ankle", "dorsiflexion", 0, false, PAGE_RIGHT, CCW, &body_ankle},
    {"ankle", "plantar-flexion", 0, false, PAGE_RIGHT, CW, &body_ankle},
    {"subtalar", "inversion", 0, false, DOWN, CW, &body_heel},
    {"subtalar", "eversion", 0, false, DOWN, CCW, &body_heel},
    {"toe-mtp", "flexion", 0, false, PAGE_RIGHT, CW, &body_toe_mtp},
    {"toe-mtp", "extension", 0, false, PAGE_RIGHT, CCW, &body_toe_mtp},
    {"toe-ip", "flexion", 0, false, PAGE_RIGHT, CW, &body_toe_ip},
    {"toe-ip", "extension", 0, false, PAGE_RIGHT, CCW, &body_toe_ip},
};

const struct motion_row *figure_rows(size_t *n)
{
    *n = ARRAY_LEN(rows);
    return rows;
}

const struct motion_row *figure_row(const char *joint, const char *motion, int digit)
{
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        if (str_eq(rows[i].joint, joint) && str_eq(rows[i].motion, motion) &&
            (rows[i].digit == 0 || rows[i].digit == digit)) {
            return &rows[i];
        }
    }
    return NULL;
}

bool figure_has_motion(const char *joint, const char *motion)
{
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        if (str_eq(rows[i].joint, joint) && str_eq(rows[i].motion, motion)) {
            return true;
        }
    }
    return false;
}

double figure_row_angle(const struct motion_row *row, double value)
{
    return row->zero + row->sign * value;
}

double figure_page_angle(const struct motion_row *row, bool left, double value)
{
    double angle = figure_row_angle(row, value);
    if (left && !row->midline) {
        angle = 180.0 - angle;
    }
    angle = fmod(angle, 360.0);
    return angle > 180.0 ? angle - 360.0 : angle <= -180.0 ? angle + 360.0 : angle;
}
