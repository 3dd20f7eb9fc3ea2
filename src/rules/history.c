/*
 * What is on file of a joint: replacement, fusion, fracture, surgery, immobilisation, a condition
 * of brain or cord. Read from the words of diagnosis and procedure and the letters of the code,
 * only to keep quiet: a pattern is left out where any of it may explain the findings. So a text
 * that names no part of the body, or no side, counts for every part and both sides.
 */
#include "rules/rules_int.h"

/* ---- words -------------------------------------------------------------------------------- */

static const struct {
    unsigned bit;
    const char *words, *codes; /* codes: beginnings; '?' is any character */
} kinds[] = {
    {FILE_REPLACEMENT,
     "replacement;arthroplasty;hemiarthroplasty;prosthesis;endoprosthesis;TKA;TKR;THA;THR;TSA;"
     "RTSA;UKA;TAR",
     "Z96.6;Z47.1;T84"},
    {FILE_FUSION, "fusion;fused;arthrodesis;ACDF;spondylodesis;ankylosis", "Z98.1;M24.6"},
    {FILE_FRACTURE,
     "fracture;fractures;fractured;fx;ORIF;osteosynthesis;malunion;nonunion;avulsion",
     "S?2;M84;M80"},
    {FILE_SURGERY,
     "surgery;surgical;post op;postop;postoperative;s p;repair;repaired;reconstruction;release;"
     "arthroscopy;meniscectomy;osteotomy;amputation;fixation;decompression;laminectomy;"
     "discectomy;tenotomy;graft",
     "Z47;Z48"},
    {FILE_IMMOBILISED,
     "immobilisation;immobilization;immobilised;immobilized;cast;casted;plaster;splint;splinted;"
     "walking boot",
     ""},
    {FILE_CENTRAL,
     "stroke;CVA;hemiplegia;hemiparesis;cerebral;brain;TBI;multiple sclerosis;parkinson;"
     "parkinsons;parkinson s;parkinsonism;spinal cord;SCI;myelopathy;tetraplegia;quadriplegia;"
     "paraplegia;tetraparesis;paraparesis;ataxia;motor neuron;motor neurone;ALS;encephalopathy",
     "I6;G80;G81;G82;G83;G20;G35;G12;S06;S14;S24;S34"},
    {FILE_TONE,
     "spastic;spasticity;rigidity;hypertonia;hypertonic;hypertonus;clonus;dystonia;raised tone;"
     "increased tone;high tone",
     ""},
};

static const struct {
    const char *joints, *words; /* joints as the reference names them */
} parts[] = {
    {"cervical", "cervical;neck;ACDF;whiplash;atlas;axis"},
    {"trunk", "trunk;back;spine;spinal;lumbar;thoracic;vertebra;vertebral;sacrum;rib;ribs;pelvis"},
    {"jaw", "jaw;mandible;mandibular;TMJ;temporomandibular;maxilla"},
    {"scapula;shoulder",
     "shoulder;shoulders;humerus;humeral;glenohumeral;rotator cuff;clavicle;scapula;scapular;"
     "acromioclavicular;labrum;TSA;RTSA;arm;upper limb;upper extremity"},
    {"elbow;forearm",
     "elbow;elbows;humerus;humeral;olecranon;radial head;radius;ulna;ulnar;forearm;forearms;arm;"
     "upper limb;upper extremity"},
    {"wrist",
     "wrist;wrists;radius;ulna;colles;carpal;scaphoid;forearm;hand;upper limb;upper extremity"},
    {"thumb-cmc;thumb-mcp;thumb-ip;finger-mcp;finger-pip;finger-dip",
     "hand;hands;finger;fingers;thumb;thumbs;metacarpal;metacarpals;phalanx;phalangeal;digit;"
     "carpal;boxer;boxers;upper limb;upper extremity"},
    {"hip",
     "hip;hips;femur;femoral;acetabular;acetabulum;pelvis;pelvic;THA;THR;groin;leg;lower limb;"
     "lower extremity"},
    {"knee",
     "knee;knees;patella;patellar;tibia;tibial;femur;femoral;fibula;meniscus;meniscal;cruciate;"
     "ACL;PCL;MCL;LCL;TKA;TKR;UKA;leg;lower limb;lower extremity"},
    {"ankle;subtalar",
     "ankle;ankles;tibia;tibial;fibula;fibular;malleolus;malleolar;bimalleolar;trimalleolar;pilon;"
     "talus;talar;calcaneus;calcaneal;achilles;TAR;foot;feet;leg;lower limb;lower extremity"},
    {"toe-mtp;toe-ip",
     "foot;feet;toe;toes;metatarsal;metatarsals;hallux;bunion;forefoot;lower limb;"
     "lower extremity"},
};

static bool code_starts(const char *code, const char *pattern, size_t len)
{
    for (size_t i = 0; i < len; i++)
        if (code[i] == '\0' || (pattern[i] != '?' && code[i] != pattern[i]))
            return false;
    return true;
}

static bool has_code(const char *code, const char *patterns)
{
    while (code != NULL && *patterns != '\0') {
        size_t len = 0;
        while (patterns[len] != '\0' && patterns[len] != ';')
            len++;
        if (code_starts(code, patterns, len))
            return true;
        patterns += len + (patterns[len] == ';');
    }
    return false;
}

static unsigned kinds_of(const char *text, const char *code)
{
    unsigned found = 0;
    for (size_t i = 0; i < ARRAY_LEN(kinds); i++)
        if (rules_states_any(text, kinds[i].words) || has_code(code, kinds[i].codes))
            found |= kinds[i].bit;
    return found;
}

/* ---- where -------------------------------------------------------------------------------- */

static bool is_of_joint(const char *text, const char *joint)
{
    bool any = false;
    for (size_t i = 0; i < ARRAY_LEN(parts); i++) {
        bool named = rules_states_any(text, parts[i].words);
        if (named && rules_states_any(parts[i].joints, joint))
            return true;
        any |= named;
    }
    return !any;
}

static bool is_of_side(const char *text, enum side affected, enum side side)
{
    bool right = rules_states_any(text, "right;rt;R"), left = rules_states_any(text, "left;lt;L");
    if (side == SIDE_MIDLINE || side == SIDE_NONE || rules_states(text, "bilateral"))
        return true;
    if (!right && !left) {
        right = affected != SIDE_LEFT;
        left = affected != SIDE_RIGHT;
    }
    return side == SIDE_RIGHT ? right : left;
}

/* What one text and code say of a joint and side. Brain and cord are of the whole body. */
static unsigned said(const struct patient *p, const char *text, const char *code, const char *joint,
                     enum side side)
{
    const unsigned everywhere = FILE_CENTRAL | FILE_TONE;
    unsigned found = kinds_of(text, code);
    if (is_of_joint(text, joint) && is_of_side(text, p->affected_side, side))
        return found;
    return found & everywhere;
}

/* An operation that is still to come explains nothing. */
static bool is_planned(const struct visit_findings *v)
{
    struct date on = v->patient->surgery_date;
    return date_is_set(on) && date_compare(on, v->visit->date) > 0;
}

unsigned rules_on_file(const struct visit_findings *v, const char *joint, enum side side)
{
    const struct patient *p = v->patient;
    unsigned found = said(p, p->diagnosis, p->diagnosis_code, joint, side);
    bool operated = !str_is_empty(p->procedure) || date_is_set(p->surgery_date);
    if (operated && !is_planned(v)) {
        /* A date without words: of the part the diagnosis names. */
        const char *where = str_is_empty(p->procedure) ? p->diagnosis : p->procedure;
        found |= said(p, p->procedure, NULL, joint, side);
        if (is_of_joint(where, joint) && is_of_side(where, p->affected_side, side))
            found |= FILE_SURGERY;
    }
    if (rules_states(v->visit->protocol, "ISNCSCI"))
        found |= FILE_CENTRAL;
    return found;
}

/* ---- tone --------------------------------------------------------------------------------- */

static bool says_tone(const char *text)
{
    return (kinds_of(text, NULL) & FILE_TONE) != 0 &&
           !rules_states_any(text, "no spasticity;no rigidity;no clonus;no hypertonia;"
                                   "without spasticity;without rigidity;not spastic;"
                                   "no increased tone;no raised tone");
}

bool rules_tone_noted(const struct visit_findings *v, const char *joint, enum side side)
{
    for (size_t i = 0; i < v->n_rows; i++) {
        const struct finding *f = &v->rows[i];
        if (!str_eq(f->motion->joint, joint) || f->side != side)
            continue;
        for (size_t k = 0; k < f->n_from; k++)
            if (says_tone(f->from[k]->note) || says_tone(f->from[k]->reason) ||
                says_tone(f->from[k]->status_reason))
                return true;
    }
    return false;
}
