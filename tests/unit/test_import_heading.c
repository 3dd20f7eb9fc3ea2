/* Headers of wide tables: those that must not be understood first, then the spellings clinics use.
 * What a header says stands as "joint motion side digit test position timing", what is not said
 * left out; "!" alone: like a measurement; "-": nothing of the kind. */
#include "import/heading_int.h"
#include "import/import_int.h"
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

static const char *describe(const char *header, char out[300])
{
    char near[HEADING_NEAR_MAX];
    struct heading h;
    switch (heading_read(ref, header, &h, near)) {
    case HEADING_OTHER:
        return "-";
    case HEADING_LIKE:
        snprintf(out, 300, "!%s%s", near[0] != '\0' ? " " : "", near);
        return out;
    case HEADING_ASSISTED:
        return "assisted";
    default:
        break;
    }
    size_t n = (size_t)snprintf(out, 300, "%s %s", h.motion->joint, h.motion->motion);
    if (h.side != SIDE_NONE)
        n += (size_t)snprintf(out + n, 300 - n, " %s", side_name(h.side));
    if (h.digit != 0)
        n += (size_t)snprintf(out + n, 300 - n, " %d", h.digit);
    if (h.test != TEST_NONE || h.range)
        n += (size_t)snprintf(out + n, 300 - n, " %s", h.range ? "range" : test_name(h.test));
    if (h.position != NULL)
        n += (size_t)snprintf(out + n, 300 - n, " @%s", h.position);
    if (h.unit != NULL)
        n += (size_t)snprintf(out + n, 300 - n, " in %s", h.unit);
    if (h.timing != TIMING_NONE)
        snprintf(out + n, 300 - n, " %s", timing_name(h.timing));
    return out;
}

static const struct {
    const char *header, *says;
} headers[] = {
    /* no measurement */
    {"", "-"},
    {"-", "-"},
    {"patient", "-"},
    {"knee", "-"},
    {"knee brace", "-"},
    {"shoe size", "-"},
    {"flexion", "-"},
    {"AROM", "-"},
    {"R", "-"},
    {"pain R knee", "-"},
    {"strength", "-"},
    {"active problems", "-"},
    {"grip strength", "-"},
    {"R grip strength", "-"},
    {"left handed", "-"},
    {"hip replacement", "-"},
    {"ankle sprain date", "-"},
    {"visit date", "-"},
    {"\xC3\x84rzt", "-"},
    /* like one, and not understood */
    {"R knee AROM", "!"},
    {"knee AROM", "!"},
    {"L flexion", "!"},
    {"R flexion AROM", "!"},
    {"R knee flexion lag", "!"},
    {"R knee flexion AROM pain", "!"},
    {"R knee flexion AROM PROM", "!"},
    {"R L knee flexion AROM", "!"},
    {"R knee hip flexion AROM", "!"},
    {"R knee flexion extension AROM", "!"},
    {"R knee supination AROM", "!"},
    {"R wrist PF MMT", "!"},
    {"R shoulder rotation AROM", "!"},
    {"cervical flexion R AROM", "!"},
    {"neck rotation midline AROM", "!"},
    {"R knee flexion AROM 2", "!"},
    {"R thumb IP 3 flexion AROM", "!"},
    {"R finger MCP 1 flexion AROM", "!"},
    {"R knee flexion ROM MMT", "!"},
    {"R scapula elevation AROM", "!"},
    {"R knee flexion in\xC3\xB3 AROM", "!"},
    {"R MCP flexion AROM", "!"},
    {"R IP flexion MMT", "!"},
    {"R hip LR MMT", "!"},
    {"R shoulder HA AROM", "!"},
    {"R knee flexion P", "!"},
    {"R knee flexion of the left leg AROM", "!"},
    {"RUE knee flexion AROM", "!"},
    {"R knee flexion AROM kg", "!"},
    {"R quads MMT (N)", "!"},
    {"R quads (N)", "!"},
    {"R knee flexion AROM cm", "!"},
    {"R quads HHD N lbs", "!"},
    {"R PIP flexion MMT 5", "!"}, /* of the little finger, or out of 5 */
    {"L RLE knee flexion AROM", "!"},
    {"BLE knee flexion AROM", "!"},
    {"LE flexion AROM", "!"},
    /* one slip, with the nearest header */
    {"R knee felx AROM", "! R knee flexion AROM"},
    {"R kne flexion AROM", "! R knee flexion AROM"},
    {"R knee flexion ARMO", "! R knee flexion AROM"},
    {"R sholder ER PROM", "! R shoulder ER PROM"},
    {"L hip abdction MMT", "! L hip abduction MMT"},
    {"rgiht knee flexion AROM", "! right knee flexion AROM"},
    {"ROM_R_KNEE_FLXE", "! ROM R KNEE flexion"},
    {"R ankle dorsiflxion", "! R ankle dorsiflexion"},
    {"L wrist supnation AROM", "! L wrist supination AROM"},
    {"L knee supnation AROM", "!"},
    {"R elbow flexion prne AROM", "! R elbow flexion prone AROM"},
    {"L forearm pronaton AROM", "! L forearm pronation AROM"},
    {"R hamstrngs MMT", "! R hamstrings MMT"},
    /* assisted */
    {"R knee flexion AAROM", "assisted"},
    {"R knee flexion active assisted", "assisted"},
    {"Knee Flexion RROM R", "assisted"},
    {"L shoulder flexion active-assisted ROM", "assisted"},
    /* the forms of the trade */
    {"R knee flex AROM", "knee flexion right AROM"},
    {"Knee Flexion (R) \xE2\x80\x93 active", "knee flexion right AROM"},
    {"ROM_R_KNEE_FLX", "knee flexion right range"},
    {"MMT L hip abd", "hip abduction left MMT"},
    {"RLE knee flex AROM", "knee flexion right AROM"},
    {"LUE elbow ext PROM", "elbow extension left PROM"},
    {"R LE hip abd MMT", "hip abduction right MMT"},
    {"left leg knee flexion AROM", "knee flexion left AROM"},
    {"R hand D3 PIP flex AROM", "finger-pip flexion right 3 AROM"},
    {"UE strength L shoulder abd", "shoulder abduction left MMT"},
    {"R ankle inversion AROM", "subtalar inversion right AROM"},
    {"L elbow pron PROM", "forearm pronation left PROM"},
    {"L wrist sup MMT", "forearm supination left MMT"},
    {"Right Knee Extension MMT (/5)", "knee extension right MMT"},
    {"R quads strength /5", "knee extension right MMT"},
    {"Shoulder flexion active left side", "shoulder flexion left AROM"},
    {"HHD R quads (N)", "knee extension right force in N"},
    {"R knee ext force (kg)", "knee extension right force in kgf"},
    {"R quads HHD lbs", "knee extension right force in lbf"},
    {"jaw opening AROM (mm)", "jaw opening AROM in mm"},
    {"R thumb CMC opposition AROM cm", "thumb-cmc opposition right AROM in cm"},
    {"r knee flex arom", "knee flexion right AROM"},
    {"R KNEE FLEX AROM", "knee flexion right AROM"},
    {"RKneeFlexAROM", "knee flexion right AROM"},
    {"KneeFlexR", "knee flexion right"},
    {"kneeFlexionLeftProm", "knee flexion left PROM"},
    {"knee-flexion-right-arom", "knee flexion right AROM"},
    {"knee.flexion.right.arom", "knee flexion right AROM"},
    {"knee/flexion/right/AROM", "knee flexion right AROM"},
    {"  R   knee\tflex  AROM ", "knee flexion right AROM"},
    {"R knee flex AROM (deg)", "knee flexion right AROM"},
    {"R knee flex AROM \xC2\xB0", "knee flexion right AROM"},
    {"R knee flex AROM (degrees)", "knee flexion right AROM"},
    {"Right\xC2\xA0knee flexion AROM", "knee flexion right AROM"},
    {"AROM - Knee flexion - Right", "knee flexion right AROM"},
    {"AROM: R Knee Flexion", "knee flexion right AROM"},
    {"Active ROM knee flexion right", "knee flexion right AROM"},
    {"Active range of motion R knee flexion", "knee flexion right AROM"},
    {"A-ROM R knee flexion", "knee flexion right AROM"},
    {"Right knee active flexion", "knee flexion right AROM"},
    {"Right knee flexion active ROM value", "knee flexion right AROM"},
    {"R knee flex PROM", "knee flexion right PROM"},
    {"R knee flex passive", "knee flexion right PROM"},
    {"P ROM knee flex L", "knee flexion left PROM"},
    {"Passive range knee flexion (left)", "knee flexion left PROM"},
    {"R knee flexion", "knee flexion right"},
    {"R knee flexion ROM", "knee flexion right range"},
    {"Range of motion R knee flexion", "knee flexion right range"},
    {"knee flexion AROM", "knee flexion AROM"},
    {"R knee ext AROM", "knee extension right AROM"},
    {"R knee extn PROM", "knee extension right PROM"},
    {"R knee extension MMT", "knee extension right MMT"},
    {"R tibiofemoral flexion AROM", "knee flexion right AROM"},
    {"TFJ flex R arom", "knee flexion right AROM"},
    {"rt knee flex prom", "knee flexion right PROM"},
    {"lt knee flex prom", "knee flexion left PROM"},
    {"RT KNEE EXT MMT", "knee extension right MMT"},
    {"Knee R flexion AROM right", "knee flexion right AROM"},
    {"Knee joint flexion of the right side AROM", "knee flexion right AROM"},
    {"MMT R quads", "knee extension right MMT"},
    {"R quad strength", "knee extension right MMT"},
    {"R Quadriceps MMT", "knee extension right MMT"},
    {"R hamstrings MMT", "knee flexion right MMT"},
    {"L hams strength", "knee flexion left MMT"},
    {"R quads force", "knee extension right force"},
    {"R knee extension HHD", "knee extension right force"},
    {"R knee extension dynamometry", "knee extension right force"},
    {"Hand-held dynamometry R knee extension", "knee extension right force"},
    {"R knee extension strength grade", "knee extension right MMT"},
    {"R knee extension muscle strength", "knee extension right MMT"},
    {"R knee extension manual muscle test", "knee extension right MMT"},
    {"R knee extensors MMT", "knee extension right MMT"},
    {"R knee flexors MRC", "knee flexion right MMT"},
    {"R knee extension MMT (0-5)", "knee extension right MMT"},
    {"R knee flexion AROM pre", "knee flexion right AROM before"},
    {"R knee flexion AROM post tx", "knee flexion right AROM after"},
    {"R knee flexion AROM after treatment", "knee flexion right AROM after"},
    {"R knee flexion AROM before", "knee flexion right AROM before"},
    {"R knee flexion AROM supine", "knee flexion right AROM @supine"},
    {"R knee flexion AROM (prone)", "knee flexion right AROM @prone"},
    {"R knee flexion AROM sitting", "knee flexion right AROM @sitting"},
    {"R knee flexion AROM seated", "knee flexion right AROM @sitting"},
    /* hip */
    {"R hip flex AROM", "hip flexion right AROM"},
    {"L hip ext PROM", "hip extension left PROM"},
    {"L hip abduction MMT", "hip abduction left MMT"},
    {"Hip adduction R MMT", "hip adduction right MMT"},
    {"R hip ER AROM", "hip external-rotation right AROM"},
    {"R hip IR PROM prone", "hip internal-rotation right PROM @prone"},
    {"R hip ext rot AROM", "hip external-rotation right AROM"},
    {"R hip external rotators MMT", "hip external-rotation right MMT"},
    {"R hip int rot PROM seated", "hip internal-rotation right PROM @sitting"},
    {"L hip abductors strength", "hip abduction left MMT"},
    {"R glute med MMT", "hip abduction right MMT"},
    {"R gluteus maximus MMT", "hip extension right MMT"},
    {"L iliopsoas MMT", "hip flexion left MMT"},
    {"R hip flexors MMT sitting", "hip flexion right MMT @sitting"},
    {"R hip flexion knee extended PROM", "hip flexion right PROM @knee straight"},
    {"R hip flexion PROM (knee flexed)", "hip flexion right PROM @knee bent"},
    {"Hip ER L PROM hip flexed", "hip external-rotation left PROM @hip bent"},
    /* ankle and foot */
    {"R ankle DF AROM", "ankle dorsiflexion right AROM"},
    {"R DF AROM", "!"},
    {"R ankle DF knee bent AROM", "ankle dorsiflexion right AROM @knee bent"},
    {"R ankle DF AROM knee straight", "ankle dorsiflexion right AROM @knee straight"},
    {"R ankle DF KE PROM", "ankle dorsiflexion right PROM @knee straight"},
    {"R ankle DF KF PROM", "ankle dorsiflexion right PROM @knee bent"},
    {"R ankle PF MMT", "ankle plantar-flexion right MMT"},
    {"L ankle plantarflexion AROM", "ankle plantar-flexion left AROM"},
    {"L ankle plantar flexion AROM", "ankle plantar-flexion left AROM"},
    {"L ankle plantar-flex AROM", "ankle plantar-flexion left AROM"},
    {"R ankle dorsiflexors MMT", "ankle dorsiflexion right MMT"},
    {"R tib ant MMT", "ankle dorsiflexion right MMT"},
    {"R gastroc MMT standing", "ankle plantar-flexion right MMT @standing"},
    {"talocrural DF R prom", "ankle dorsiflexion right PROM"},
    {"R subtalar inversion AROM", "subtalar inversion right AROM"},
    {"R STJ ev PROM", "subtalar eversion right PROM"},
    {"L hindfoot inv AROM", "subtalar inversion left AROM"},
    {"R great toe MTP ext PROM", "toe-mtp extension right 1 PROM"},
    {"R hallux MTP extension AROM", "toe-mtp extension right 1 AROM"},
    {"R MTP 1 flex AROM", "toe-mtp flexion right 1 AROM"},
    {"R toe MTP 2 flexion AROM", "toe-mtp flexion right 2 AROM"},
    {"R toe 3 MTP flexion AROM", "toe-mtp flexion right 3 AROM"},
    {"L 1st MTP extension PROM", "toe-mtp extension left 1 PROM"},
    {"L toe IP 1 flexion AROM", "toe-ip flexion left 1 AROM"},
    /* shoulder and scapula */
    {"R shoulder flexion AROM", "shoulder flexion right AROM"},
    {"R shldr flex AROM", "shoulder flexion right AROM"},
    {"L shoulder abd PROM", "shoulder abduction left PROM"},
    {"L shoulder ER PROM", "shoulder external-rotation left PROM"},
    {"L GH ER PROM at side", "shoulder external-rotation left PROM @arm at side"},
    {"L shoulder ER @ 90 abd AROM", "shoulder external-rotation left AROM @90 abduction"},
    {"L shoulder IR at 90 abduction PROM", "shoulder internal-rotation left PROM @90 abduction"},
    {"L shoulder ER AROM 0 abd", "shoulder external-rotation left AROM @arm at side"},
    {"R shoulder ER PROM 45 abd", "shoulder external-rotation right PROM @45 abduction"},
    {"R shoulder horiz abd AROM", "shoulder horizontal-abduction right AROM"},
    {"R shoulder HADD AROM", "shoulder horizontal-adduction right AROM"},
    {"R shoulder HABD AROM", "shoulder horizontal-abduction right AROM"},
    {"R shoulder horizontal adduction PROM", "shoulder horizontal-adduction right PROM"},
    {"R shoulder lateral rotation AROM", "shoulder external-rotation right AROM"},
    {"R shoulder medial rotation AROM", "shoulder internal-rotation right AROM"},
    {"R shoulder MR AROM", "shoulder internal-rotation right AROM"},
    {"glenohumeral abduction L PROM", "shoulder abduction left PROM"},
    {"R shoulder external rotators MMT", "shoulder external-rotation right MMT"},
    {"R middle deltoid MMT", "shoulder abduction right MMT"},
    {"R anterior deltoid MMT", "shoulder flexion right MMT"},
    {"R scapula elevation MMT", "scapula elevation right MMT"},
    {"L upper trap MMT", "scapula elevation left MMT"},
    {"L scapular depression MMT", "scapula depression left MMT"},
    {"R scapula abduction upward rotation MMT", "scapula abduction-upward-rotation right MMT"},
    {"R shoulder blade adduction MMT", "scapula adduction right MMT"},
    {"Shoulder Flexion - R - PROM - supine", "shoulder flexion right PROM @supine"},
    {"SHOULDER_FLEXION_L_AROM", "shoulder flexion left AROM"},
    {"ShoulderAbdR_AROM", "shoulder abduction right AROM"},
    /* elbow, forearm, wrist */
    {"R elbow flex AROM", "elbow flexion right AROM"},
    {"L elb ext PROM", "elbow extension left PROM"},
    {"R biceps MMT", "elbow flexion right MMT"},
    {"R triceps MMT", "elbow extension right MMT"},
    {"R forearm supination AROM", "forearm supination right AROM"},
    {"R forearm sup AROM", "forearm supination right AROM"},
    {"L forearm pron AROM elbow flexed", "forearm pronation left AROM @elbow bent"},
    {"R wrist flexion AROM", "wrist flexion right AROM"},
    {"R wrist ext MMT", "wrist extension right MMT"},
    {"R wrist RD AROM", "wrist radial-deviation right AROM"},
    {"R wrist ulnar deviation PROM", "wrist ulnar-deviation right PROM"},
    {"R wrist UD AROM", "wrist ulnar-deviation right AROM"},
    {"L wrist radial dev AROM", "wrist radial-deviation left AROM"},
    {"radiocarpal extension L AROM", "wrist extension left AROM"},
    /* hand */
    {"R index PIP flex AROM", "finger-pip flexion right 2 AROM"},
    {"R index finger PIP flexion AROM", "finger-pip flexion right 2 AROM"},
    {"R middle finger DIP flexion AROM", "finger-dip flexion right 3 AROM"},
    {"L ring finger PIP ext PROM", "finger-pip extension left 4 PROM"},
    {"L ring PIP ext PROM", "finger-pip extension left 4 PROM"},
    {"L little finger MCP flexion AROM", "!"},
    {"L little finger finger-MCP flexion AROM", "finger-mcp flexion left 5 AROM"},
    {"R D3 PIP flexion AROM", "finger-pip flexion right 3 AROM"},
    {"R D2 DIP flex AROM", "finger-dip flexion right 2 AROM"},
    {"R finger PIP 3 flexion AROM", "finger-pip flexion right 3 AROM"},
    {"finger-pip 3 flexion", "finger-pip flexion 3"},
    {"R digit 4 PIPJ flexion AROM", "finger-pip flexion right 4 AROM"},
    {"R finger MCP 2 abduction AROM", "finger-mcp abduction right 2 AROM"},
    {"R finger MCP II flexion AROM", "finger-mcp flexion right 2 AROM"},
    {"R 5th DIP flexion PROM", "finger-dip flexion right 5 PROM"},
    {"R PIP flexion AROM", "finger-pip flexion right AROM"},
    {"R thumb IP flexion AROM", "thumb-ip flexion right AROM"},
    {"R thumb MCP ext AROM", "thumb-mcp extension right AROM"},
    {"R thumb MP flexion AROM", "thumb-mcp flexion right AROM"},
    {"R thumb CMC abd AROM", "thumb-cmc abduction right AROM"},
    {"L CMC opposition AROM", "thumb-cmc opposition left AROM"},
    {"L thumb-cmc opp AROM", "thumb-cmc opposition left AROM"},
    /* spine and jaw */
    {"cervical flexion AROM", "cervical flexion AROM"},
    {"C-spine ext AROM", "cervical extension AROM"},
    {"Neck rotation R AROM", "cervical rotation right AROM"},
    {"neck rot left AROM", "cervical rotation left AROM"},
    {"Neck SB R AROM", "cervical lateral-flexion right AROM"},
    {"neck side bending L AROM", "cervical lateral-flexion left AROM"},
    {"cervical sidebending R AROM", "cervical lateral-flexion right AROM"},
    {"C/S lat flex L AROM", "cervical lateral-flexion left AROM"},
    {"cervical lateral flexion (left) AROM", "cervical lateral-flexion left AROM"},
    {"cervical flexion midline AROM", "cervical flexion midline AROM"},
    {"trunk flexion AROM", "trunk flexion AROM"},
    {"trunk rotation R AROM", "trunk rotation right AROM"},
    {"trunk side flexion L AROM", "trunk lateral-flexion left AROM"},
    {"thoracolumbar extension AROM", "trunk extension AROM"},
    {"TMJ opening AROM", "jaw opening AROM"},
    {"TMJ MIO AROM", "jaw opening AROM"},
    {"jaw protrusion AROM", "jaw protrusion AROM"},
    {"jaw lateral deviation R AROM", "jaw lateral-excursion right AROM"},
    {"mandibular opening active", "jaw opening AROM"},
    {"jaw mouth opening PROM", "jaw opening PROM"},
};

START_TEST(headers_say)
{
    char out[300];
    const char *says = describe(headers[_i].header, out);
    ck_assert_msg(strcmp(says, headers[_i].says) == 0, "'%s' says '%s', not '%s'",
                  headers[_i].header, says, headers[_i].says);
}
END_TEST

START_TEST(the_table_is_large)
{
    ck_assert_int_ge((int)ARRAY_LEN(headers), 200);
}
END_TEST

/* Every motion of the library by its keys, in each of its tests. */
START_TEST(every_key_is_a_header)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        char header[200], wanted[200], out[300];
        const char *side = m->sides == SIDES_MIDLINE ? "" : " right";
        const char *test = m->rom ? "AROM" : "MMT";
        char digit[8] = "";
        if (m->digit_min > 0)
            snprintf(digit, sizeof digit, " %d", m->digit_max);
        snprintf(header, sizeof header, "%s %s%s%s %s", m->joint, m->motion, side, digit, test);
        snprintf(wanted, sizeof wanted, "%s %s%s%s %s", m->joint, m->motion, side, digit, test);
        ck_assert_str_eq(describe(header, out), wanted);
    }
}
END_TEST

/* Anything may stand in a header: no reading past its end, and an answer in little time. */
START_TEST(any_header_is_survived)
{
    static const char *const pieces[] = {"R", "knee", "flex", "AROM", "2", "\xE2\x80\x93", "(",
                                         "\xFF", "\xC3\xA9", "finger", "mcp", "ext rot", "", "-"};
    unsigned seed = 1;
    for (int round = 0; round < 400; round++) {
        char header[400] = "", out[300];
        for (int k = 0; k < 1 + round % 20; k++) {
            seed = seed * 1103515245u + 12345u;
            strncat(header, pieces[(seed >> 16) % ARRAY_LEN(pieces)],
                    sizeof header - strlen(header) - 2);
            strcat(header, " ");
        }
        ck_assert_ptr_nonnull(describe(header, out));
    }
}
END_TEST

static const struct {
    const char *header, *column;
    bool exact;
} columns[] = {
    {"shoe size", NULL, false},
    {"", NULL, false},
    {"patient", "patient_id", false},
    {"name of dog", NULL, false},
    {"MRN", "patient_id", true},
    {"Pt. ID", "patient_id", true},
    {"DOB", "birth_date", true},
    {"D.O.B.", "birth_date", true},
    {"Date", "visit_date", true},
    {"Date of visit", "visit_date", true},
    {"Gender", "sex", true},
    {"Therapist", "measured_by", true},
    {"Comments", "note", true},
    {"NPRS rest", "pain_rest", true},
    {"Dx", "diagnosis", true},
    {"visit_dat", "visit_date", false},
    {"measuredby", "measured_by", false},
    {"diagnois", "diagnosis", false},
};

START_TEST(columns_are_suggested)
{
    bool exact;
    const char *column = heading_column(ref, columns[_i].header, &exact);
    ck_assert_msg(str_eq(column, columns[_i].column), "'%s' gives %s", columns[_i].header,
                  column != NULL ? column : "nothing");
    ck_assert_int_eq(exact, columns[_i].exact);
}
END_TEST

/* A vocabulary that suggests a column the program does not have would suggest nonsense. */
START_TEST(suggested_columns_exist)
{
    size_t n;
    const struct spelling *list = reference_spellings(ref, &n);
    for (size_t i = 0; i < n; i++)
        if (list[i].kind == SPELLING_COLUMN)
            ck_assert_msg(column_by_name(list[i].means) != COL_COUNT, "%s", list[i].means);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import heading");
    TCase *c = tcase_create("heading");
    tcase_add_unchecked_fixture(c, load, unload);
    tcase_add_loop_test(c, headers_say, 0, (int)ARRAY_LEN(headers));
    tcase_add_test(c, the_table_is_large);
    tcase_add_test(c, every_key_is_a_header);
    tcase_add_test(c, any_header_is_survived);
    tcase_add_loop_test(c, columns_are_suggested, 0, (int)ARRAY_LEN(columns));
    tcase_add_test(c, suggested_columns_exist);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
