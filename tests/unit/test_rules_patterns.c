/* Capsular patterns, each condition at its limit, what keeps a pattern quiet, and short muscles. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define P(joint, motion, side, value) NOW joint " " motion " " side " PROM " value ";"

/* Kinds of the patterns of one visit, those of selective tension aside. */
static const char *kinds(struct build *b, const struct visit_findings *v)
{
    const char *all = "";
    for (size_t i = 0; i < v->n_patterns; i++) {
        const struct pattern *p = &v->patterns[i];
        if (p->capsular == NULL && p->length == NULL)
            continue;
        all = arena_printf(b->arena, "%s%s%s %s %s", all, *all == '\0' ? "" : "; ", p->kind,
                           p->joint, side_name(p->side));
        if (p->digit > 0)
            all = arena_printf(b->arena, "%s %d", all, p->digit);
    }
    return all;
}

#define FITS(joint, side) "capsular-pattern " joint " " side
#define NOT(joint, side) "non-capsular-pattern " joint " " side

/* Full on the left, so that every loss on the right is below the other side. */
#define SHOULDER                                                                                   \
    P("shoulder", "external-rotation", "left", "90")                                               \
    P("shoulder", "abduction", "left", "180")                                                      \
    P("shoulder", "internal-rotation", "left", "70") P("shoulder", "flexion", "left", "180")
#define ELBOW P("elbow", "flexion", "left", "150") P("elbow", "extension", "left", "0")
#define FOREARM P("forearm", "supination", "left", "80") P("forearm", "pronation", "left", "80")
#define WRIST                                                                                      \
    P("wrist", "flexion", "left", "80")                                                            \
    P("wrist", "extension", "left", "70")                                                          \
    P("wrist", "radial-deviation", "left", "20") P("wrist", "ulnar-deviation", "left", "30")
#define THUMB                                                                                      \
    P("thumb-cmc", "abduction", "left", "70")                                                      \
    P("thumb-cmc", "extension", "left", "20") P("thumb-cmc", "flexion", "left", "15")
#define HIP                                                                                        \
    P("hip", "internal-rotation", "left", "45")                                                    \
    P("hip", "flexion", "left", "120")                                                             \
    P("hip", "abduction", "left", "45") P("hip", "extension", "left", "20")                        \
        P("hip", "external-rotation", "left", "45")
#define KNEE P("knee", "flexion", "left", "140") P("knee", "extension", "left", "0")
#define ANKLE P("ankle", "plantar-flexion", "left", "50") P("ankle", "dorsiflexion", "left", "20")
#define SUBTALAR P("subtalar", "inversion", "left", "35") P("subtalar", "eversion", "left", "15")
#define TOE                                                                                        \
    P("toe-mtp", "extension", "left", "70 digit=1") P("toe-mtp", "flexion", "left", "45 digit=1")

#define SHOULDER_IS(er, abd, ir)                                                                   \
    P("shoulder", "external-rotation", "right", er)                                                \
    P("shoulder", "abduction", "right", abd) P("shoulder", "internal-rotation", "right", ir)
#define ELBOW_IS(flexion, extension)                                                               \
    P("elbow", "flexion", "right", flexion) P("elbow", "extension", "right", extension)
#define FOREARM_IS(sup, pro)                                                                       \
    P("forearm", "supination", "right", sup) P("forearm", "pronation", "right", pro)
#define WRIST_IS(flexion, extension, radial, ulnar)                                                \
    P("wrist", "flexion", "right", flexion)                                                        \
    P("wrist", "extension", "right", extension)                                                    \
    P("wrist", "radial-deviation", "right", radial) P("wrist", "ulnar-deviation", "right", ulnar)
#define THUMB_IS(abd, ext, flex)                                                                   \
    P("thumb-cmc", "abduction", "right", abd)                                                      \
    P("thumb-cmc", "extension", "right", ext) P("thumb-cmc", "flexion", "right", flex)
#define HIP_IS(ir, flex, abd, er)                                                                  \
    P("hip", "internal-rotation", "right", ir)                                                     \
    P("hip", "flexion", "right", flex)                                                             \
    P("hip", "abduction", "right", abd) P("hip", "extension", "right", "20")                       \
        P("hip", "external-rotation", "right", er)
#define KNEE_IS(flexion, extension)                                                                \
    P("knee", "flexion", "right", flexion) P("knee", "extension", "right", extension)
#define ANKLE_IS(plantar, dorsal)                                                                  \
    P("ankle", "plantar-flexion", "right", plantar) P("ankle", "dorsiflexion", "right", dorsal)
#define SUBTALAR_IS(inv, ev)                                                                       \
    P("subtalar", "inversion", "right", inv) P("subtalar", "eversion", "right", ev)
#define TOE_IS(ext, flex)                                                                          \
    P("toe-mtp", "extension", "right", ext " digit=1")                                             \
    P("toe-mtp", "flexion", "right", flex " digit=1")
#define FINGER(flexion, extension)                                                                 \
    P("finger-pip", "flexion", "left", "100 digit=3")                                              \
    P("finger-pip", "extension", "left", "0 digit=3")                                              \
    P("finger-pip", "flexion", "right", flexion " digit=3")                                        \
    P("finger-pip", "extension", "right", extension " digit=3")
#define NECK(bend, turn, back, forward)                                                            \
    P("cervical", "lateral-flexion", "right", bend)                                                \
    P("cervical", "lateral-flexion", "left", bend)                                                 \
    P("cervical", "rotation", "right", turn) P("cervical", "rotation", "left", turn)               \
        P("cervical", "extension", "midline", back) P("cervical", "flexion", "midline", forward)

static const struct {
    const char *readings, *kinds;
} tested[] = {
    /* shoulder: 20 and 10 percent, steps with 5 points of slack, some flexion lost if measured */
    {SHOULDER SHOULDER_IS("72", "162", "70"), FITS("shoulder", "right")},
    {SHOULDER SHOULDER_IS("72.1", "162", "70"), NOT("shoulder", "right")},
    {SHOULDER SHOULDER_IS("72", "162.2", "70"), NOT("shoulder", "right")},
    {SHOULDER SHOULDER_IS("72", "135", "70"), FITS("shoulder", "right")},
    {SHOULDER SHOULDER_IS("72", "134.8", "70"), NOT("shoulder", "right")},
    {SHOULDER SHOULDER_IS("72", "162", "59.5"), FITS("shoulder", "right")},
    {SHOULDER SHOULDER_IS("72", "162", "59.4"), NOT("shoulder", "right")},
    {SHOULDER SHOULDER_IS("45", "120", "50") P("shoulder", "flexion", "right", "170"),
     FITS("shoulder", "right")},
    {SHOULDER SHOULDER_IS("45", "120", "50") P("shoulder", "flexion", "right", "180"),
     NOT("shoulder", "right")},
    /* not all measured: nothing is said */
    {SHOULDER P("shoulder", "external-rotation", "right", "45")
         P("shoulder", "abduction", "right", "120"),
     ""},
    /* elbow: 10 percent of flexion, some extension, not more degrees of it */
    {ELBOW ELBOW_IS("130", "-20"), FITS("elbow", "right")},
    {ELBOW ELBOW_IS("130", "-20.1"), NOT("elbow", "right")},
    {ELBOW ELBOW_IS("130", "0"), NOT("elbow", "right")},
    {ELBOW ELBOW_IS("135", "-10"), FITS("elbow", "right")},
    {ELBOW ELBOW_IS("135.1", "-10"), NOT("elbow", "right")},
    /* forearm: both 15 percent, within 10 points */
    {FOREARM FOREARM_IS("68", "68"), FITS("forearm", "right")},
    {FOREARM FOREARM_IS("68.1", "68"), NOT("forearm", "right")},
    {FOREARM FOREARM_IS("68", "68.1"), NOT("forearm", "right")},
    {FOREARM FOREARM_IS("68", "60"), FITS("forearm", "right")},
    {FOREARM FOREARM_IS("68", "59.9"), NOT("forearm", "right")},
    /* wrist: both 15 percent, within 10 points, more than either deviation */
    {WRIST WRIST_IS("68", "59.5", "20", "30"), FITS("wrist", "right")},
    {WRIST WRIST_IS("68.1", "59.5", "20", "30"), NOT("wrist", "right")},
    {WRIST WRIST_IS("68", "59.6", "20", "30"), NOT("wrist", "right")},
    {WRIST WRIST_IS("60", "59.5", "20", "30"), FITS("wrist", "right")},
    {WRIST WRIST_IS("59.9", "59.5", "20", "30"), NOT("wrist", "right")},
    {WRIST WRIST_IS("68", "56", "17", "30"), NOT("wrist", "right")},
    {WRIST WRIST_IS("60", "59.5", "17", "30"), NOT("wrist", "right")},
    {WRIST WRIST_IS("68", "56", "20", "25.5"), NOT("wrist", "right")},
    {WRIST WRIST_IS("60", "59.5", "20", "25.5"), NOT("wrist", "right")},
    {WRIST WRIST_IS("68", "59.5", "17.1", "25.6"), FITS("wrist", "right")},
    /* thumb: abduction 20 percent, at least as much as extension; flexion below 10 percent */
    {THUMB THUMB_IS("56", "16", "15"), FITS("thumb-cmc", "right")},
    {THUMB THUMB_IS("56.1", "16", "15"), NOT("thumb-cmc", "right")},
    {THUMB THUMB_IS("56", "15.9", "15"), NOT("thumb-cmc", "right")},
    {THUMB THUMB_IS("56", "16", "13.6"), FITS("thumb-cmc", "right")},
    {THUMB THUMB_IS("56", "16", "13.5"), NOT("thumb-cmc", "right")},
    /* fingers, one digit at a time: 15 percent, some extension, more flexion than extension */
    {FINGER("85", "-1"), FITS("finger-pip", "right 3")},
    {FINGER("85.1", "-1"), NOT("finger-pip", "right 3")},
    {FINGER("85", "0"), NOT("finger-pip", "right 3")},
    {FINGER("85", "-14.9"), FITS("finger-pip", "right 3")},
    {FINGER("85", "-15"), NOT("finger-pip", "right 3")},
    /* hip: three of 15 percent, each more than external rotation; extension must be there */
    {HIP HIP_IS("36", "102", "36", "45"), FITS("hip", "right")},
    {HIP HIP_IS("36", "102.1", "36", "45"), NOT("hip", "right")},
    {HIP HIP_IS("38.3", "90", "36", "45"), NOT("hip", "right")},
    {HIP HIP_IS("36", "90", "38.3", "45"), NOT("hip", "right")},
    {HIP HIP_IS("30", "102", "30", "38.25"), NOT("hip", "right")},
    {HIP HIP_IS("36", "90", "30", "36"), NOT("hip", "right")},
    {HIP HIP_IS("30", "90", "36", "36"), NOT("hip", "right")},
    {HIP HIP_IS("30", "90", "36", "36.1"), FITS("hip", "right")},
    {HIP P("hip", "internal-rotation", "right", "25") P("hip", "flexion", "right", "90")
         P("hip", "abduction", "right", "30") P("hip", "external-rotation", "right", "45"),
     ""},
    /* knee: degrees, extension to flexion 0.03 to 0.50, 10 degrees of flexion or more */
    {KNEE KNEE_IS("120", "-10"), FITS("knee", "right")},
    {KNEE KNEE_IS("120", "-10.1"), NOT("knee", "right")},
    {KNEE KNEE_IS("40", "-3"), FITS("knee", "right")},
    {KNEE KNEE_IS("40", "-2.9"), NOT("knee", "right")},
    {KNEE KNEE_IS("120", "0"), NOT("knee", "right")},
    /* ankle: 15 percent of plantar flexion, at least as much as dorsiflexion, some of that */
    {ANKLE ANKLE_IS("42.5", "19"), FITS("ankle", "right")},
    {ANKLE ANKLE_IS("42.6", "19"), NOT("ankle", "right")},
    {ANKLE ANKLE_IS("42.5", "17"), FITS("ankle", "right")},
    {ANKLE ANKLE_IS("42.5", "16.9"), NOT("ankle", "right")},
    {ANKLE ANKLE_IS("40", "20"), NOT("ankle", "right")},
    /* heel: 25 percent of inversion, 10 points more than eversion */
    {SUBTALAR SUBTALAR_IS("26.25", "15"), FITS("subtalar", "right")},
    {SUBTALAR SUBTALAR_IS("26.3", "15"), NOT("subtalar", "right")},
    {SUBTALAR SUBTALAR_IS("24.5", "12"), FITS("subtalar", "right")},
    {SUBTALAR SUBTALAR_IS("24.5", "11.9"), NOT("subtalar", "right")},
    /* great toe: 25 percent of extension, 10 points more than flexion; other toes never */
    {TOE TOE_IS("52.5", "38.25"), FITS("toe-mtp", "right 1")},
    {TOE TOE_IS("52.6", "45"), NOT("toe-mtp", "right 1")},
    {TOE TOE_IS("52.5", "38.2"), NOT("toe-mtp", "right 1")},
    {P("toe-mtp", "extension", "left", "70 digit=2") P("toe-mtp", "flexion", "left", "45 digit=2")
         P("toe-mtp", "extension", "right", "30 digit=2")
             P("toe-mtp", "flexion", "right", "45 digit=2"),
     ""},
    /* toe joints: the table has no figures */
    {P("toe-ip", "flexion", "left", "90 digit=1") P("toe-ip", "extension", "left", "0 digit=1")
         P("toe-ip", "flexion", "right", "30 digit=1")
             P("toe-ip", "extension", "right", "-20 digit=1"),
     ""},
    /* neck: 20 percent of each, within 15 points, some extension, flexion nearly full */
    {NECK("20", "40", "44", "45"), ""}, /* fits, but for the neck that is no limited motion */
    {NECK("15", "38.7", "44", "45"), NOT("cervical", "midline")}, /* 66.7 and 51.6 percent */
    {NECK("15", "38.6", "44", "45"), FITS("cervical", "midline")},
    {NECK("15", "38.6", "45", "45"), NOT("cervical", "midline")},
    {NECK("15", "38.6", "44", "40.6"), FITS("cervical", "midline")},
    {NECK("15", "38.6", "44", "40.5"), NOT("cervical", "midline")},
};

START_TEST(condition_at_its_limit)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, tested[_i].readings);
    ck_assert_str_eq(kinds(b, v), tested[_i].kinds);
    build_free(b);
}
END_TEST

/* Jaw opening is one motion, held against nothing but being limited; the library has no study of
 * its passive error, so the row is judged by hand. */
START_TEST(jaw_is_one_motion)
{
    static const enum limited judged[] = {LIMITED_YES, LIMITED_BELOW_HANDBOOK};
    for (size_t i = 0; i < ARRAY_LEN(judged); i++) {
        struct build *b = build_new();
        struct visit_findings *v = build_findings(b, P("jaw", "opening", "midline", "22"));
        ck_assert_str_eq(kinds(b, v), "");
        v->rows[0].limited = judged[i];
        v->rows[0].error.limit = num_of(5);
        rules_patterns(v, b->arena);
        ck_assert_str_eq(kinds(b, v), i == 0 ? FITS("jaw", "midline") : "");
        build_free(b);
    }
}
END_TEST

#define STIFF SHOULDER_IS("45", "120", "50")
#define TIGHT SHOULDER_IS("45", "180", "70") /* one motion alone: no capsule */

/* What keeps a pattern quiet, or does not. */
static const struct {
    const char *readings, *diagnosis, *procedure, *kinds;
} quiet[] = {
    {SHOULDER STIFF, NULL, NULL, FITS("shoulder", "right")},
    {SHOULDER TIGHT, NULL, NULL, NOT("shoulder", "right")},
    /* on file: of this joint and side, or of none named */
    {SHOULDER STIFF, "stiff shoulder after fracture of the humerus", NULL, ""},
    {SHOULDER STIFF, "fracture", NULL, ""},
    {SHOULDER STIFF, "wrist fracture", NULL, FITS("shoulder", "right")},
    {SHOULDER STIFF, "left shoulder fracture", NULL, FITS("shoulder", "right")},
    {SHOULDER STIFF, NULL, "total shoulder arthroplasty", ""},
    {SHOULDER STIFF, NULL, "shoulder arthrodesis", ""},
    {SHOULDER STIFF, NULL, "arthroscopic release of the shoulder", FITS("shoulder", "right")},
    {SHOULDER TIGHT, NULL, "arthroscopic release of the shoulder", ""},
    {SHOULDER TIGHT, "shoulder fracture", NULL, ""},
    {SHOULDER TIGHT, NULL, "carpal tunnel release", NOT("shoulder", "right")},
    /* losses no other side and no peers bear out */
    {P("elbow", "flexion", "right", "130") P("elbow", "extension", "right", "-10"), NULL, NULL,
     FITS("elbow", "right")}, /* below men of that age */
    {P("finger-pip", "flexion", "right", "80 digit=3")
         P("finger-pip", "extension", "right", "-5 digit=3"),
     NULL, NULL, ""},
    {P("finger-pip", "flexion", "right", "80 digit=3")
         P("finger-pip", "extension", "right", "0 digit=3"),
     NULL, NULL, ""},
    {P("finger-pip", "flexion", "right", "80 digit=3")
         P("finger-pip", "flexion", "left", "82 digit=3")
             P("finger-pip", "extension", "right", "-5 digit=3"),
     NULL, NULL, ""},
    /* rows that do not speak for the visit */
    {KNEE KNEE_IS("~110", "-10"), NULL, NULL, ""},
    {KNEE KNEE_IS("110 after", "-10"), NULL, NULL, ""},
    {KNEE KNEE_IS("fixed110", "-10"), NULL, NULL, ""},
    {KNEE KNEE_IS("110 by=S role=student", "0") P("knee", "flexion", "right", "140 by=P role=PT"),
     NULL, NULL, ""},
    {KNEE KNEE_IS("110", "-10") NOW "knee flexion right AROM 120", NULL, NULL, ""}, /* doubtful */
    {KNEE NOW "knee flexion right AROM 110;" NOW "knee extension right AROM -10", NULL, NULL, ""},
    {KNEE KNEE_IS("110", "-10") P("knee", "flexion", "right", "not-tested pos=prone"), NULL, NULL,
     FITS("knee", "right")},
    /* below men of that age in that position, where no other side was measured */
    {P("shoulder", "external-rotation", "right", "25 pos=arm_at_side")
         P("shoulder", "abduction", "right", "120") P("shoulder", "abduction", "left", "180")
             P("shoulder", "internal-rotation", "right", "68"),
     NULL, NULL, FITS("shoulder", "right")},
    {P("shoulder", "external-rotation", "right", "25") P("shoulder", "abduction", "right", "120") P(
         "shoulder", "abduction", "left", "180") P("shoulder", "internal-rotation", "right", "68"),
     NULL, NULL, FITS("shoulder", "right")},
    /* rotations against the normal value of the arm's position, or not at all */
    {SHOULDER P("shoulder", "external-rotation", "right", "25 pos=arm_at_side") P(
         "shoulder", "abduction", "right", "120") P("shoulder", "internal-rotation", "right", "60"),
     NULL, NULL, FITS("shoulder", "right")},
    {SHOULDER P("shoulder", "external-rotation", "right", "25 pos=arm_at_side")
         P("shoulder", "abduction", "right", "120")
             P("shoulder", "internal-rotation", "right", "50 pos=arm_at_side"),
     NULL, NULL, ""},
};

START_TEST(kept_quiet)
{
    struct build *b = build_new();
    b->patient.diagnosis = quiet[_i].diagnosis;
    b->patient.procedure = quiet[_i].procedure;
    struct visit_findings *v = build_findings(b, quiet[_i].readings);
    ck_assert_str_eq(kinds(b, v), quiet[_i].kinds);
    build_free(b);
}
END_TEST

static struct finding *row_of_knee(struct visit_findings *v, const char *motion)
{
    for (size_t i = 0; i < v->n_rows; i++)
        if (str_eq(v->rows[i].motion->motion, motion) && v->rows[i].side == SIDE_RIGHT)
            return &v->rows[i];
    ck_abort_msg("no knee %s", motion);
    return NULL;
}

/* Ten degrees that a pattern asks for count where the motion is limited, not merely short of the
 * handbook. */
START_TEST(degrees_asked_for_are_of_a_limited_motion)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, P("knee", "flexion", "right", "100") P("knee", "flexion", "left", "140")
                              P("knee", "extension", "right", "-10")
                                  P("knee", "extension", "left", "0"));
    ck_assert_str_eq(kinds(b, v), FITS("knee", "right"));
    row_of_knee(v, "flexion")->limited = LIMITED_BELOW_HANDBOOK;
    v->n_patterns = 0;
    rules_patterns(v, b->arena);
    ck_assert_str_eq(kinds(b, v), "");
    build_free(b);
}
END_TEST

/* A loss that neither the other side nor a group bears out forbids a pattern only beyond error. */
START_TEST(common_loss_within_error_forbids_nothing)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, P("knee", "flexion", "right", "100") P("knee", "flexion", "left", "140")
                              P("knee", "extension", "right", "-10"));
    struct finding *f = row_of_knee(v, "extension");
    f->error.limit = f->deficit;
    f->peers = NULL;
    v->n_patterns = 0;
    rules_patterns(v, b->arena);
    ck_assert_str_eq(kinds(b, v), FITS("knee", "right"));
    f->error.limit.value -= 0.1;
    v->n_patterns = 0;
    rules_patterns(v, b->arena);
    ck_assert_str_eq(kinds(b, v), "");
    build_free(b);
}
END_TEST

/* A loss that leaves the reading exactly an error below its group is not beyond that error. */
START_TEST(below_a_group_is_by_more_than_error)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(
        b, P("knee", "flexion", "right", "100") P("knee", "extension", "right", "0"));
    struct finding *f = row_of_knee(v, "flexion");
    struct norm group = {.normal = f->end.value + f->error.limit.value};
    f->peers = &group;
    v->n_patterns = 0;
    rules_patterns(v, b->arena);
    ck_assert_str_eq(kinds(b, v), "");
    group.normal += 0.1;
    rules_patterns(v, b->arena);
    ck_assert_str_eq(kinds(b, v), NOT("knee", "right"));
    build_free(b);
}
END_TEST

/* A handbook's figure for one toe is no group of people: the other side has to tell. */
START_TEST(figure_of_one_digit_bears_no_loss_out)
{
    static const char *const others[] = {"", TOE}, *const said[] = {"", FITS("toe-mtp", "right 1")};
    for (size_t i = 0; i < ARRAY_LEN(others); i++) {
        struct build *b = build_new();
        b->clinic.norms = NORMS_AMA;
        build_add(b, others[i]);
        struct visit_findings *v = build_findings(b, TOE_IS("20", "20"));
        const struct finding *extension = &v->rows[v->n_rows - 1];
        ck_assert_int_eq(extension->normal->role, NORM_SPECIAL);
        ck_assert_int_eq(extension->normal->kind, NORM_HANDBOOK);
        ck_assert_str_eq(kinds(b, v), said[i]);
        build_free(b);
    }
}
END_TEST

START_TEST(clinic_may_switch_patterns_off)
{
    struct build *b = build_new();
    b->clinic.show_patterns = false;
    struct visit_findings *v = build_findings(
        b, SHOULDER STIFF NOW "knee flexion right MMT 2;" NOW "knee flexion right AROM 90;" NOW
                              "knee extension right MMT 2;" NOW "knee flexion right PROM 140");
    ck_assert_uint_eq(v->n_patterns, 0);
    build_free(b);
}
END_TEST

/* The readings a pattern rests on, in the order of the test. */
START_TEST(pattern_names_its_readings)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, SHOULDER STIFF P("shoulder", "flexion", "right", "150"));
    const struct pattern *p = &v->patterns[0];
    static const char *const motions[] = {"external-rotation", "abduction", "internal-rotation",
                                          "flexion"};
    ck_assert_uint_eq(p->n_rows, 4);
    for (size_t i = 0; i < p->n_rows; i++) {
        ck_assert_str_eq(p->rows[i]->motion->motion, motions[i]);
        ck_assert_int_eq(p->rows[i]->side, SIDE_RIGHT);
        ck_assert_int_eq(p->rows[i]->test, TEST_PROM);
    }
    ck_assert_str_eq(p->capsular->source->id, "CYRIAX_MAGEE");
    ck_assert_str_eq(p->tension->id, "capsular-pattern");
    build_free(b);
}
END_TEST

/* ---- muscles over two joints ----------------------------------------------------------------- */

#define DF(value, knee) P("ankle", "dorsiflexion", "right", value " pos=sitting,_" knee)

static const struct {
    const char *readings, *kinds;
} lengths[] = {
    /* limited with the knee straight, not bent, and more than error between them */
    {DF("-5", "knee_straight") DF("18", "knee_bent"), "short-calf ankle right"},
    {DF("-5", "knee_extended") DF("18", "knee_flexed_90"), "short-calf ankle right"},
    {DF("-5", "knee_straight") DF("-3", "knee_bent"), ""},
    {DF("12", "knee_straight") DF("18", "knee_bent"), ""},
    {DF("-5", "knee_straight"), ""},
    {DF("-5", "knee_straight") DF("18 after", "knee_bent"), ""},
    {DF("-5", "knee_straight") DF("~18", "knee_bent"), ""},
    {DF("-5", "knee_straight") DF("not-tested", "knee_bent"), ""},
    {NOW "ankle dorsiflexion right AROM -5 pos=knee_straight;" NOW
         "ankle dorsiflexion right AROM 18 pos=knee_bent",
     ""},
    {DF("-15", "knee_straight") DF("2", "knee_bent"), ""}, /* limited bent as well */
    /* of the other side it says nothing */
    {P("ankle", "dorsiflexion", "left", "-5 pos=knee_straight")
         P("ankle", "dorsiflexion", "left", "20 pos=knee_bent")
             P("ankle", "plantar-flexion", "left", "50")
                 P("ankle", "plantar-flexion", "right", "30") DF("18", "knee_bent"),
     "short-calf ankle left; " FITS("ankle", "right")},
    /* with it, the ankle's capsule is not judged: neither way */
    {ANKLE DF("-5", "knee_straight") DF("18", "knee_bent")
         P("ankle", "plantar-flexion", "right", "30"),
     "short-calf ankle right"},
    {ANKLE DF("18", "knee_bent") P("ankle", "plantar-flexion", "right", "30"),
     FITS("ankle", "right")},
    /* with the knee straight alone, the calf is not ruled out */
    {ANKLE DF("18", "knee_straight") P("ankle", "plantar-flexion", "right", "30"), ""},
    /* hip flexion with the knee straight has no normal value: only the other side tells */
    {P("hip", "flexion", "right", "60 pos=supine,_knee_straight")
         P("hip", "flexion", "right", "118 pos=supine,_knee_bent"),
     ""},
    {P("hip", "flexion", "right", "60 pos=supine,_knee_straight")
         P("hip", "flexion", "left", "85 pos=supine,_knee_straight")
             P("hip", "flexion", "right", "118 pos=supine,_knee_bent"),
     "short-hamstrings hip right"},
    {P("hip", "flexion", "right", "84 pos=supine,_knee_straight")
         P("hip", "flexion", "left", "85 pos=supine,_knee_straight")
             P("hip", "flexion", "right", "118 pos=supine,_knee_bent"),
     ""},
    /* knee flexion prone against supine */
    {P("knee", "flexion", "left", "105 pos=prone") P("knee", "flexion", "left", "138 pos=supine"),
     "short-rectus-femoris knee left"},
    {P("knee", "flexion", "left", "105 pos=prone") P("knee", "flexion", "left", "106 pos=supine"),
     ""},
    {P("knee", "flexion", "left", "105 pos=prone"), ""},
    {P("knee", "flexion", "left", "105 pos=prone") P("knee", "flexion", "right", "138 pos=supine"),
     ""},
    /* a taut reading gives way to one that is not, and stands where there is none */
    {KNEE P("knee", "flexion", "right", "90 pos=prone") P("knee", "flexion", "right", "138")
         P("knee", "extension", "right", "-8"),
     NOT("knee", "right")},
    {KNEE P("knee", "flexion", "right", "110 pos=prone") P("knee", "extension", "right", "-8"),
     FITS("knee", "right")},
};

START_TEST(muscle_length)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, lengths[_i].readings);
    ck_assert_str_eq(kinds(b, v), lengths[_i].kinds);
    build_free(b);
}
END_TEST

START_TEST(muscle_length_names_both_readings)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, DF("18", "knee_bent") DF("-5", "knee_straight"));
    const struct pattern *p = &v->patterns[0];
    ck_assert_uint_eq(p->n_rows, 2);
    ck_assert_double_eq(p->rows[0]->end.value, -5);
    ck_assert_double_eq(p->rows[1]->end.value, 18);
    ck_assert_double_eq(p->gap.value, 23);
    ck_assert_ptr_null(p->tension);
    build_free(b);
}
END_TEST

/* A gap of exactly the error is within it. */
START_TEST(muscle_length_at_its_limit)
{
    static const char *const gap[] = {"", "short-calf ankle right"};
    for (size_t i = 0; i < ARRAY_LEN(gap); i++) {
        struct build *b = build_new();
        build_add(b, DF("18", "knee_bent") DF("-5", "knee_straight"));
        struct visit_findings *v = build_evaluate(b);
        for (size_t k = 0; k < v->n_rows; k++)
            v->rows[k].error.limit = num_of(i == 0 ? 23 : 22.9);
        v->n_patterns = 0;
        rules_patterns(v, b->arena);
        ck_assert_str_eq(kinds(b, v), gap[i]);
        build_free(b);
    }
}
END_TEST

/* The straight knee keeps hip flexion from being called limited against 120. */
START_TEST(straight_knee_has_no_normal_value)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, P("hip", "flexion", "right", "80 pos=supine,_knee_straight")
                              P("hip", "flexion", "left", "80 pos=supine"));
    ck_assert(rules_has_flag(&v->rows[0], "normal-other-position"));
    ck_assert_int_eq(v->rows[0].limited, LIMITED_BELOW_HANDBOOK);
    ck_assert_ptr_null(v->rows[0].peers);
    ck_assert(!rules_has_flag(&v->rows[1], "normal-other-position"));
    ck_assert_int_eq(v->rows[1].limited, LIMITED_YES);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_test(tc, jaw_is_one_motion);
    tcase_add_test(tc, figure_of_one_digit_bears_no_loss_out);
    tcase_add_test(tc, muscle_length_at_its_limit);
    tcase_add_loop_test(tc, kept_quiet, 0, ARRAY_LEN(quiet));
    tcase_add_test(tc, clinic_may_switch_patterns_off);
    tcase_add_test(tc, degrees_asked_for_are_of_a_limited_motion);
    tcase_add_test(tc, common_loss_within_error_forbids_nothing);
    tcase_add_test(tc, below_a_group_is_by_more_than_error);
    tcase_add_test(tc, pattern_names_its_readings);
    tcase_add_loop_test(tc, muscle_length, 0, ARRAY_LEN(lengths));
    tcase_add_test(tc, muscle_length_names_both_readings);
    tcase_add_test(tc, straight_knee_has_no_normal_value);
    tcase_add_loop_test(tc, condition_at_its_limit, 0, ARRAY_LEN(tested));
}

BUILD_SUITE("rules_patterns")
