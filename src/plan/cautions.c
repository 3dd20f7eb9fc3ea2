/*
 * Cautions: what forbids a test, what asks for care, when to stop.
 *
 * How known: common practice and memory of handbooks, hence "common practice, unverified"; where a
 * list that names the condition was seen, and the words of care were not, "partly unverified".
 */
#include "plan/plan_int.h"

#define RANGE (1u << PLAN_AROM | 1u << PLAN_PROM)
#define PASSIVE (1u << PLAN_PROM)
#define STRENGTH (1u << PLAN_MMT)
#define ALL (RANGE | STRENGTH)
#define PRONE (1u << PLAN_PRONE)

#define MEMORY "common practice, unverified"
#define PARTLY "partly unverified"

static const struct plan_caution table[] = {
    {"dislocation", PLAN_DO_NOT_TEST, ALL, "", ALL, "", 0, false,
     "Dislocation, certain or suspected, that has not been put back",
     "Neither motion nor resistance until cleared", MEMORY},
    {"unhealed-fracture", PLAN_DO_NOT_TEST, ALL, "", ALL, "", 0, true,
     "Fracture, certain or suspected, neither healed nor firmly fixed",
     "No motion of the joints beside it and no resistance without the surgeon's leave", MEMORY},
    {"post-surgery-restricted", PLAN_DO_NOT_TEST, ALL, "", ALL, "", 0, false,
     "The surgeon's protocol forbids this motion or this contraction",
     "Keep to the protocol; the motion stays NT", PARTLY},
    {"myositis-ossificans", PLAN_DO_NOT_TEST, PASSIVE | STRENGTH, "", PASSIVE | STRENGTH, "", 0,
     false, "Myositis ossificans or other new bone, still active",
     "No passive stretch, no overpressure, no resistance across the area", PARTLY},
    {"acute-infection-inflammation", PLAN_DO_NOT_TEST, ALL, "", PASSIVE | STRENGTH, "", 0, false,
     "Acute infection or acute inflammation of the joint or muscle",
     "Active range only, as far as it is comfortable", PARTLY},
    {"suspected-dvt", PLAN_STOP, ALL, "", ALL, "", 0, false,
     "Deep vein thrombosis, suspected or not yet treated", "Stop and refer", MEMORY},
    {"unstable-spine", PLAN_DO_NOT_TEST, ALL, "", ALL, "", 0, false, "Unstable injury of the spine",
     "No motion; key muscles for the nerves only as the spine team allows", MEMORY},
    {"unstable-heart", PLAN_DO_NOT_TEST, STRENGTH, "", STRENGTH, "", 0, false,
     "Unstable angina, recent heart attack, aneurysm, rhythm or blood pressure out of control",
     "No resisted tests", MEMORY},
    {"recent-eye-brain-surgery", PLAN_DO_NOT_TEST, STRENGTH, "", STRENGTH, "", 0, false,
     "Recent operation or bleed inside the eye or the skull", "No straining, no held breath",
     MEMORY},

    {"osteoporosis", PLAN_WITH_CARE, PASSIVE | STRENGTH, "", 0, "", 0, false,
     "Osteoporosis, fragile bone or long use of steroids",
     "Short lever, no overpressure, no loaded bending or twisting of the trunk", PARTLY},
    {"hypermobility", PLAN_WITH_CARE, PASSIVE, "", 0, "", 0, false,
     "Joint that is hypermobile or slips", "Stop before the end of range", PARTLY},
    {"haemophilia", PLAN_WITH_CARE, PASSIVE | STRENGTH, "", 0, "", 0, false,
     "Haemophilia or medicine against clotting", "No overpressure, gentle resistance", PARTLY},
    {"haematoma", PLAN_WITH_CARE, PASSIVE | STRENGTH, "", 0, "", 0, false,
     "Haematoma, above all at elbow, hip or knee", "Only as far as it is comfortable", MEMORY},
    {"bony-ankylosis", PLAN_WITH_CARE, PASSIVE, "", 0, "", 0, false,
     "Joint that may have grown together", "No force", PARTLY},
    {"after-immobilisation", PLAN_WITH_CARE, PASSIVE | STRENGTH, "", 0, "", 0, false,
     "Joint just out of a cast or splint", "Support it and begin gently", PARTLY},
    {"pain-medication", PLAN_WITH_CARE, ALL, "", 0, "", 0, false,
     "Medicine against pain or muscle tension", "Pain may go unreported; use less force", MEMORY},
    {"acute-pain", PLAN_WITH_CARE, ALL, "", 0, "", 0, false,
     "Severe pain that rises with each test",
     "As few repeats as possible; mark the grade as limited by pain", MEMORY},
    {"cardiovascular", PLAN_WITH_CARE, STRENGTH, "", 0, "", 0, false,
     "Heart or lung disease, high blood pressure, or age with risk factors",
     "Count aloud instead of holding the breath, hold briefly, rest, watch for symptoms", MEMORY},
    {"hernia-abdominal-surgery", PLAN_WITH_CARE, STRENGTH, "", STRENGTH, "trunk", 0, false,
     "Hernia, or recent operation on abdomen or pelvis", "No straining; trunk tests are left out",
     MEMORY},
    {"fatigable-disease", PLAN_WITH_CARE, STRENGTH, "", 0, "", 0, false,
     "Disease in which muscles tire or suffer from overwork",
     "Few muscles in one visit, rests between, the same time of day each time", MEMORY},
    {"spinal-cord-injury", PLAN_WITH_CARE, ALL, "", 0, "", 0, false,
     "Spinal cord injury at T6 or above",
     "Watch for autonomic dysreflexia; bones are fragile; do not stretch a tenodesis grip",
     PARTLY},
    {"neurological-tone", PLAN_WITH_CARE, STRENGTH, "", 0, "", 0, false, "Spasticity or rigidity",
     "Grades do not hold here; describe what is seen", MEMORY},
    {"cancer-bone", PLAN_WITH_CARE, PASSIVE | STRENGTH, "", 0, "", 0, false,
     "Cancer in bone, known or suspected", "No overpressure, no long lever", MEMORY},
    {"joint-replacement-hip", PLAN_WITH_CARE, RANGE, "hip", 0, "", 0, false, "Hip replacement",
     "The surgeon's position rules. Usual after a posterior approach: no flexion past 90, no "
     "adduction past the midline, no internal rotation. After an anterior one: no extension with "
     "external rotation",
     MEMORY},
    {"shoulder-instability", PLAN_WITH_CARE, PASSIVE, "shoulder", 0, "", 0, false,
     "Shoulder unstable to the front",
     "In abduction stop external rotation before the patient grows uneasy", MEMORY},
    {"pregnancy", PLAN_WITH_CARE, ALL, "", 0, "", PRONE, false, "Later pregnancy",
     "Not prone, not long supine; ligaments are lax", MEMORY},

    {"neck-artery-signs", PLAN_STOP, ALL, "cervical", ALL, "", 0, false,
     "Signs of a neck artery: dizziness, double vision, trouble speaking or swallowing, drop "
     "attack, numb face, unsteadiness, a new headache or neck pain unlike any before, a drooping "
     "lid or face",
     "Stop. No end of range, no overpressure, no resistance at the neck; urgent medical review as "
     "local rules say",
     PARTLY},
    {"upper-neck-instability-signs", PLAN_STOP, ALL, "cervical", ALL, "", 0, false,
     "Signs of an unstable upper neck: a head that feels heavy or falls, a lump in the throat, "
     "tingling in both hands or feet, signs of the upper motor neuron, fear of moving the head",
     "Stop. No end of range, no overpressure, no resistance at the neck; urgent medical review as "
     "local rules say",
     MEMORY},
    {"neck-risk-factors", PLAN_WITH_CARE, ALL, "cervical", 0, "", 0, false,
     "A risk factor for artery or ligament of the neck, without a sign: recent trauma or "
     "infection, vascular risk, inflammatory joint disease, long use of steroids",
     "Ask about the signs first; active range within comfort, no held end of range, no "
     "overpressure; the clinician decides on the rest",
     PARTLY},
    {"saddle-numbness", PLAN_STOP, ALL, "", 0, "", 0, false,
     "Numbness of the saddle region, or new change of bladder or bowel, with back or leg symptoms",
     "Emergency referral the same day as local rules say", MEMORY},
    {"general-red-flags", PLAN_WITH_CARE, ALL, "", 0, "", 0, false,
     "Unexplained loss of weight, fever, night pain that does not ease, weakness that grows",
     "Report it to the referring provider", MEMORY},
};

size_t plan_caution_count(void)
{
    return ARRAY_LEN(table);
}

const struct plan_caution *plan_caution_at(size_t i)
{
    return i < ARRAY_LEN(table) ? &table[i] : NULL;
}

const struct plan_caution *plan_caution_by_id(const char *id)
{
    for (size_t i = 0; i < ARRAY_LEN(table); i++)
        if (str_eq(table[i].id, id))
            return &table[i];
    return NULL;
}

const struct plan_caution *plan_caution_find(const char *id, struct diag_sink *sink)
{
    const char *names[ARRAY_LEN(table)];
    const struct plan_caution *found = plan_caution_by_id(id);
    if (found != NULL)
        return found;
    for (size_t i = 0; i < ARRAY_LEN(table); i++)
        names[i] = table[i].id;
    const char *near = str_nearest(id, names, ARRAY_LEN(names));
    diag_report(sink, DIAG_PLAN_CAUTION, (struct diag_pos){0}, NULL, "%s%s",
                near == NULL ? "no name comes near" : "nearest known: ", near == NULL ? "" : near);
    return NULL;
}
