/*
 * words: the one table of what clinicians write in a cell, by column. A word that stands for a
 * thing in two columns (P: passive, pain, poor) has a row for each. Add spellings here; what a
 * class of words does to a cell is decided by the reader of that column.
 */
#include "import/cells_int.h"

#include <ctype.h>
#include <string.h>

#define A COLUMN_ANGLE
#define G COLUMN_GRADE
#define P COLUMN_PAIN

static const struct word table[] = {
    /* nothing, on purpose or not */
    {"nt", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"n/t", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"n.t.", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"dnt", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"cnt", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"utt", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"not tested", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"not testable", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"did not test", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"could not test", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"cannot test", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"unable to test", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"unable to assess", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"not assessed", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"utp", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"unable to perform", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"not measured", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"not done", A | G | P, WORD_NOT_TESTED, 0, NULL},
    {"defer", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"deferred", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"declined", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"refused", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"contraindicated", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"precaution", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"precautions", A | G | P, WORD_NOT_TESTED, 1, NULL},
    {"n/a", A | G | P, WORD_NOT_APPLICABLE, 0, NULL},
    {"na", A | G | P, WORD_NOT_APPLICABLE, 0, NULL},
    {"n.a.", A | G | P, WORD_NOT_APPLICABLE, 0, NULL},
    {"n.a", A | G | P, WORD_NOT_APPLICABLE, 0, NULL},
    {"not applicable", A | G | P, WORD_NOT_APPLICABLE, 0, NULL},
    {"not recorded", A | G | P, WORD_MISSING, 0, NULL},
    {"n/r", A | G | P, WORD_MISSING, 0, NULL},
    {"missing", A | G | P, WORD_MISSING, 0, NULL},
    {"unknown", A | G | P, WORD_MISSING, 0, NULL},
    {"same", A | G | P, WORD_SAME, 0, NULL},
    {"ditto", A | G | P, WORD_SAME, 0, NULL},
    {"do.", A | G | P, WORD_SAME, 0, NULL},
    {"idem", A | G | P, WORD_SAME, 0, NULL},
    {"\"", A | G | P, WORD_SAME, 0, NULL},
    {"''", A | G | P, WORD_SAME, 0, NULL},
    {"unch", A | G | P, WORD_SAME, 0, NULL},
    {"unchanged", A | G | P, WORD_SAME, 0, NULL},
    {"no change", A | G | P, WORD_SAME, 0, NULL},
    {"see above", A | G | P, WORD_SAME, 0, NULL},
    {"as above", A | G | P, WORD_SAME, 0, NULL},
    {"as before", A | G | P, WORD_SAME, 0, NULL},
    {"see last visit", A | G | P, WORD_SAME, 0, NULL},

    /* pain */
    {"p!", A | G, WORD_PAIN, 0, NULL},
    {"(p)", A | G, WORD_PAIN, 0, NULL},
    {"pn", A | G, WORD_PAIN, 0, NULL},
    {"pain", A | G, WORD_PAIN, 0, NULL},
    {"w/ pain", A | G, WORD_PAIN, 0, NULL},
    {"w/ p!", A | G, WORD_PAIN, 0, NULL},
    {"c/ pain", A | G, WORD_PAIN, 0, NULL},
    {"with pain", A | G, WORD_PAIN, 0, NULL},
    {"painful", A | G, WORD_PAIN, 0, NULL},
    {"end range pain", A | G, WORD_PAIN, 0, NULL},
    {"pain at end range", A | G, WORD_PAIN, 0, NULL},
    {"pain end range", A | G, WORD_PAIN, 0, NULL},
    {"ends in pain", A | G, WORD_PAIN, 0, NULL},
    {"pain at end", A | G, WORD_PAIN, 0, NULL},
    {"pain at end of range", A | G, WORD_PAIN, 0, NULL},
    {"erp", A | G, WORD_PAIN, 0, NULL},
    {"limited by pain", G, WORD_PAIN, 0, NULL},
    {"pain limited", G, WORD_PAIN, 0, NULL},
    {"p", A, WORD_P, 0, NULL},
    {"no pain", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"pain free", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"painless", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"w/o pain", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"without pain", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"not painful", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"nil pain", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"denies pain", A | G | P, WORD_NO_PAIN, 0, NULL},
    {"denies", P, WORD_NO_PAIN, 0, NULL},
    {"none", P, WORD_NO_PAIN, 0, NULL},
    {"nil", P, WORD_NO_PAIN, 0, NULL},
    {"no", P, WORD_NO_PAIN, 0, NULL},
    {"painful arc", A, WORD_PAIN_ARC, 0, NULL},
    {"pain arc", A, WORD_PAIN_ARC, 0, NULL},
    {"arc of pain", A, WORD_PAIN_ARC, 0, NULL},
    {"pa", A, WORD_PAIN_ARC, 0, NULL},
    {"mild", P, WORD_PAIN_DEGREE, 0, NULL},
    {"moderate", P, WORD_PAIN_DEGREE, 0, NULL},
    {"severe", P, WORD_PAIN_DEGREE, 0, NULL},
    {"yes", P, WORD_YES, 0, NULL},
    {"y", P, WORD_YES, 0, NULL},
    {"p!", P, WORD_YES, 0, NULL},
    {"pain", P, WORD_YES, 0, NULL},
    {"painful", P, WORD_YES, 0, NULL},
    {"x", P, WORD_YES, 0, NULL},
    {"erp", P, WORD_YES, 0, NULL},
    {"end range", P, WORD_YES, 0, NULL},
    {"at end range", P, WORD_YES, 0, NULL},
    {"n", P, WORD_NO, 0, NULL},
    {"rest", P, WORD_REST, 0, NULL},
    {"at rest", P, WORD_REST, 0, NULL},
    {"mvt", P, WORD_MOVE, 0, NULL},
    {"movement", P, WORD_MOVE, 0, NULL},
    {"move", P, WORD_MOVE, 0, NULL},
    {"activity", P, WORD_MOVE, 0, NULL},
    {"resting", P, WORD_REST, 0, NULL},
    {"mvmt", P, WORD_MOVE, 0, NULL},
    {"moving", P, WORD_MOVE, 0, NULL},
    {"motion", P, WORD_MOVE, 0, NULL},
    {"on movement", P, WORD_MOVE, 0, NULL},
    {"with movement", P, WORD_MOVE, 0, NULL},
    {"with motion", P, WORD_MOVE, 0, NULL},
    {"on motion", P, WORD_MOVE, 0, NULL},
    {"with activity", P, WORD_MOVE, 0, NULL},
    {"on activity", P, WORD_MOVE, 0, NULL},
    {"to", P, WORD_TO, 0, NULL},

    /* end feel */
    {"soft", A, WORD_END_FEEL, END_FEEL_SOFT, NULL},
    {"soft tissue", A, WORD_END_FEEL, END_FEEL_SOFT, NULL},
    {"tissue approximation", A, WORD_END_FEEL, END_FEEL_SOFT, NULL},
    {"firm", A, WORD_END_FEEL, END_FEEL_FIRM, NULL},
    {"capsular", A, WORD_END_FEEL, END_FEEL_FIRM, NULL},
    {"tissue stretch", A, WORD_END_FEEL, END_FEEL_FIRM, NULL},
    {"hard", A, WORD_END_FEEL, END_FEEL_HARD, NULL},
    {"bony", A, WORD_END_FEEL, END_FEEL_HARD, NULL},
    {"bone to bone", A, WORD_END_FEEL, END_FEEL_HARD, NULL},
    {"empty", A, WORD_END_FEEL, END_FEEL_EMPTY, NULL},
    {"spasm", A, WORD_END_FEEL, END_FEEL_SPASM, NULL},
    {"muscle spasm", A, WORD_END_FEEL, END_FEEL_SPASM, NULL},
    {"springy", A, WORD_END_FEEL, END_FEEL_SPRINGY, NULL},
    {"springy block", A, WORD_END_FEEL, END_FEEL_SPRINGY, NULL},
    {"end feel", A, WORD_FILLER, 0, NULL},
    {"ef", A, WORD_FILLER, 0, NULL},

    /* positions */
    {"supine", A | G, WORD_POSITION, 0, "supine"},
    {"prone", A | G, WORD_POSITION, 0, "prone"},
    {"sitting", A | G, WORD_POSITION, 0, "sitting"},
    {"seated", A | G, WORD_POSITION, 0, "sitting"},
    {"sit", A | G, WORD_POSITION, 0, "sitting"},
    {"long sitting", A | G, WORD_POSITION, 0, "long sitting"},
    {"standing", A | G, WORD_POSITION, 0, "standing"},
    {"stand", A | G, WORD_POSITION, 0, "standing"},
    {"weight bearing", A, WORD_POSITION, 0, "weight-bearing"},
    {"side lying", A | G, WORD_POSITION, 0, "side-lying"},
    {"s/l", A | G, WORD_POSITION, 0, "side-lying"},
    {"hook lying", A | G, WORD_POSITION, 0, "hook-lying"},
    {"side", A, WORD_POSITION, 0, "arm at side"},
    {"at side", A, WORD_POSITION, 0, "arm at side"},
    {"at the side", A, WORD_POSITION, 0, "arm at side"},
    {"arm at side", A, WORD_POSITION, 0, "arm at side"},
    {"arm at the side", A, WORD_POSITION, 0, "arm at side"},
    {"gravity minimised", G, WORD_POSITION, 0, "gravity-minimised"},
    {"gravity minimized", G, WORD_POSITION, 0, "gravity-minimised"},
    {"gravity eliminated", G, WORD_POSITION, 0, "gravity-minimised"},
    {"gravity reduced", G, WORD_POSITION, 0, "gravity-minimised"},
    {"ge", G, WORD_POSITION, 0, "gravity-minimised"},
    {"against gravity", G, WORD_POSITION, 0, "against gravity"},
    {"ag", G, WORD_POSITION, 0, "against gravity"},
    {"knee bent", A, WORD_POSITION, 0, "knee bent"},
    {"knee flexed", A, WORD_POSITION, 0, "knee bent"},
    {"bent knee", A, WORD_POSITION, 0, "knee bent"},
    {"kf", A, WORD_POSITION, 0, "knee bent"},
    {"ke", A, WORD_POSITION, 0, "knee straight"},
    {"knee straight", A, WORD_POSITION, 0, "knee straight"},
    {"knee extended", A, WORD_POSITION, 0, "knee straight"},
    {"knee ext", A, WORD_POSITION, 0, "knee straight"},
    {"straight knee", A, WORD_POSITION, 0, "knee straight"},
    {"elbow bent", A, WORD_POSITION, 0, "elbow bent"},
    {"elbow flexed", A, WORD_POSITION, 0, "elbow bent"},
    {"elbow straight", A, WORD_POSITION, 0, "elbow straight"},
    {"elbow extended", A, WORD_POSITION, 0, "elbow straight"},
    {"hip bent", A, WORD_POSITION, 0, "hip bent"},
    {"hip flexed", A, WORD_POSITION, 0, "hip bent"},
    {"hip straight", A, WORD_POSITION, 0, "hip straight"},
    {"hip extended", A, WORD_POSITION, 0, "hip straight"},
    {"knee", A, WORD_JOINT, 0, "knee"},
    {"elbow", A, WORD_JOINT, 0, "elbow"},
    {"hip", A, WORD_JOINT, 0, "hip"},
    {"shoulder", A, WORD_JOINT, 0, "shoulder"},

    /* motions named inside a cell */
    {"flex", A, WORD_MOTION, 0, "flexion"},
    {"flexion", A, WORD_MOTION, 0, "flexion"},
    {"ext", A, WORD_MOTION, 0, "extension"},
    {"extn", A, WORD_MOTION, 0, "extension"},
    {"extension", A, WORD_MOTION, 0, "extension"},
    {"abd", A, WORD_MOTION, 0, "abduction"},
    {"abduction", A, WORD_MOTION, 0, "abduction"},
    {"add", A, WORD_MOTION, 0, "adduction"},
    {"adduction", A, WORD_MOTION, 0, "adduction"},
    {"scaption", A, WORD_MOTION, 0, "scaption"},
    {"df", A, WORD_MOTION, 0, "dorsiflexion"},
    {"dorsiflexion", A, WORD_MOTION, 0, "dorsiflexion"},
    {"pf", A, WORD_MOTION, 0, "plantar-flexion"},
    {"plantar flexion", A, WORD_MOTION, 0, "plantar-flexion"},
    {"er", A, WORD_MOTION, 0, "external-rotation"},
    {"external rotation", A, WORD_MOTION, 0, "external-rotation"},
    {"ir", A, WORD_MOTION, 0, "internal-rotation"},
    {"internal rotation", A, WORD_MOTION, 0, "internal-rotation"},
    {"sup", A, WORD_MOTION, 0, "supination"},
    {"supination", A, WORD_MOTION, 0, "supination"},
    {"pron", A, WORD_MOTION, 0, "pronation"},
    {"pronation", A, WORD_MOTION, 0, "pronation"},

    /* how sure, how far, from what */
    {"approx", A | G, WORD_ESTIMATED, 0, NULL},
    {"approximately", A | G, WORD_ESTIMATED, 0, NULL},
    {"about", A | G, WORD_ESTIMATED, 0, NULL},
    {"around", A | G, WORD_ESTIMATED, 0, NULL},
    {"roughly", A | G, WORD_ESTIMATED, 0, NULL},
    {"circa", A | G, WORD_ESTIMATED, 0, NULL},
    {"ca", A | G, WORD_ESTIMATED, 0, NULL},
    {"est", A | G, WORD_ESTIMATED, 0, NULL},
    {"estimate", A | G, WORD_ESTIMATED, 0, NULL},
    {"estimated", A | G, WORD_ESTIMATED, 0, NULL},
    {"by eye", A, WORD_ESTIMATED, 0, NULL},
    {"visual", A, WORD_ESTIMATED, 0, NULL},
    {"over", A | G | P, WORD_LIMIT, 0, NULL},
    {"under", A | G | P, WORD_LIMIT, 0, NULL},
    {"above", A | G | P, WORD_LIMIT, 0, NULL},
    {"below", A | G | P, WORD_LIMIT, 0, NULL},
    {"at least", A | G | P, WORD_LIMIT, 0, NULL},
    {"at most", A | G | P, WORD_LIMIT, 0, NULL},
    {"less than", A | G | P, WORD_LIMIT, 0, NULL},
    {"more than", A | G | P, WORD_LIMIT, 0, NULL},
    {"greater than", A | G | P, WORD_LIMIT, 0, NULL},
    {"up to", A | G | P, WORD_LIMIT, 0, NULL},
    {"or better", A | G, WORD_LIMIT, 0, NULL},
    {"or more", A | G | P, WORD_LIMIT, 0, NULL},
    {"or less", A | G | P, WORD_LIMIT, 0, NULL},
    {"to", A | G, WORD_TO, 0, NULL},
    {"thru", A, WORD_TO, 0, NULL},
    {"through", A, WORD_TO, 0, NULL},
    {"until", A, WORD_TO, 0, NULL},
    {"at", A, WORD_AT, 0, NULL},
    {"in", A, WORD_AT, 0, NULL},
    {"with", A | G, WORD_FILLER, 0, NULL},
    {"w/", A | G, WORD_FILLER, 0, NULL},
    {"from", A, WORD_NORMAL, 1, NULL}, /* full range: only at the end of a cell, see usable() */
    {"from", A, WORD_FILLER, 1, NULL}, /* value 1: a number may follow */
    {"by", A, WORD_FILLER, 0, NULL},
    {"and", A | G, WORD_FILLER, 0, NULL},
    {"but", A, WORD_FILLER, 0, NULL},
    {"grossly", A, WORD_FILLER, 0, NULL},
    {"throughout", A, WORD_FILLER, 0, NULL},
    {"t/o", A, WORD_FILLER, 0, NULL},
    {"due to", A | G, WORD_FILLER, 0, NULL},
    {"d/t", A | G, WORD_FILLER, 0, NULL},
    {"secondary to", A | G, WORD_FILLER, 0, NULL},
    {"lack", A, WORD_LACK, 0, NULL},
    {"lacks", A, WORD_LACK, 0, NULL},
    {"lacking", A, WORD_LACK, 0, NULL},
    {"short", A, WORD_LACK, 0, NULL},
    {"shy", A, WORD_LACK, 0, NULL},
    {"hyper", A, WORD_HYPER, 0, NULL},
    {"hyperext", A, WORD_HYPER, 0, NULL},
    {"hyperextension", A, WORD_HYPER, 0, NULL},
    {"hyperextends", A, WORD_HYPER, 0, NULL},
    {"hyperextended", A, WORD_HYPER, 0, NULL},
    {"he", A, WORD_HYPER, 0, NULL},
    {"recurvatum", A, WORD_HYPER, 0, NULL},
    {"past", A, WORD_HYPER, 0, NULL},
    {"past 0", A, WORD_HYPER, 1, NULL}, /* value 1: says from where */
    {"past zero", A, WORD_HYPER, 1, NULL},
    {"past neutral", A, WORD_HYPER, 1, NULL},
    {"past straight", A, WORD_HYPER, 1, NULL},
    {"beyond", A, WORD_HYPER, 0, NULL},
    /* value 1: zero itself, where a range begins */
    {"of 0", A, WORD_ZERO_REF, 0, NULL},
    {"of zero", A, WORD_ZERO_REF, 0, NULL},
    {"of neutral", A, WORD_ZERO_REF, 0, NULL},
    {"of straight", A, WORD_ZERO_REF, 0, NULL},
    {"of full extension", A, WORD_ZERO_REF, 0, NULL},
    {"from 0", A, WORD_ZERO_REF, 1, NULL},
    {"from zero", A, WORD_ZERO_REF, 1, NULL},
    {"from neutral", A, WORD_ZERO_REF, 1, NULL},
    {"from straight", A, WORD_ZERO_REF, 0, NULL},
    {"from full extension", A, WORD_ZERO_REF, 0, NULL},
    {"zero", A, WORD_ZERO_REF, 1, NULL},
    {"neutral", A, WORD_ZERO_REF, 1, NULL},
    {"straight", A, WORD_ZERO_REF, 0, NULL},
    {"lag", A, WORD_LAG, 0, NULL},
    {"extensor lag", A, WORD_LAG, 0, NULL},
    {"extension lag", A, WORD_LAG, 0, NULL},
    {"quad lag", A, WORD_LAG, 0, NULL},
    {"ffd", A, WORD_CONTRACTURE, 0, NULL},
    {"fc", A, WORD_CONTRACTURE, 0, NULL},
    {"contracture", A, WORD_CONTRACTURE, 0, NULL},
    {"flexion contracture", A, WORD_CONTRACTURE, 0, NULL},
    {"fixed flexion", A, WORD_CONTRACTURE, 0, NULL},
    {"fixed flexion deformity", A, WORD_CONTRACTURE, 0, NULL},
    {"fused", A, WORD_FIXED, 0, NULL},
    {"ankylosed", A, WORD_FIXED, 0, NULL},
    {"ankylosis", A, WORD_FIXED, 0, NULL},
    {"fixed at", A, WORD_FIXED, 0, NULL},

    {"flex contracture", A, WORD_CONTRACTURE, 0, NULL},
    {"knee flexion contracture", A, WORD_CONTRACTURE, 0, NULL},
    {"minus", A, WORD_SIGN, 0, NULL},
    {"negative", A, WORD_SIGN, 0, NULL},
    {"neg", A, WORD_SIGN, 0, NULL},
    {"none", A, WORD_NOTHING, 0, NULL},
    {"nil", A, WORD_NOTHING, 0, NULL},
    {"absent", A, WORD_NOTHING, 0, NULL},
    {"no motion", A, WORD_NOTHING, 0, NULL},
    {"no movement", A, WORD_NOTHING, 0, NULL},
    {"pre", A | G, WORD_TIMING, 0, NULL},
    {"post", A | G, WORD_TIMING, 0, NULL},
    {"before", A | G, WORD_TIMING, 0, NULL},
    {"after", A | G, WORD_TIMING, 0, NULL},

    /* words instead of an angle */
    {"wnl", A, WORD_NORMAL, 0, NULL},
    {"within normal limits", A, WORD_NORMAL, 0, NULL},
    {"normal", A, WORD_NORMAL, 0, NULL},
    {"norm", A, WORD_NORMAL, 0, NULL},
    {"nl", A, WORD_NORMAL, 0, NULL},
    {"full", A, WORD_NORMAL, 0, NULL},
    {"full range", A, WORD_NORMAL, 0, NULL},
    {"full rom", A, WORD_NORMAL, 0, NULL},
    {"normal range", A, WORD_NORMAL, 0, NULL},
    {"normal rom", A, WORD_NORMAL, 0, NULL},
    {"wnl for age", A, WORD_NORMAL, 0, NULL},
    {"normal for age", A, WORD_NORMAL, 0, NULL},
    {"wfl", A, WORD_FUNCTIONAL, 0, NULL},
    {"within functional limits", A, WORD_FUNCTIONAL, 0, NULL},
    {"functional", A, WORD_FUNCTIONAL, 0, NULL},
    {"limited", A, WORD_DESCRIBED, 0, NULL},
    {"lim", A, WORD_DESCRIBED, 0, NULL},
    {"lom", A, WORD_DESCRIBED, 1, NULL},
    {"ltd", A, WORD_DESCRIBED, 0, NULL},
    {"limitation", A, WORD_DESCRIBED, 1, NULL},
    {"restricted", A, WORD_DESCRIBED, 0, NULL},
    {"reduced", A, WORD_DESCRIBED, 0, NULL},
    {"decreased", A, WORD_DESCRIBED, 0, NULL},
    {"dec", A, WORD_DESCRIBED, 0, NULL},
    {"dec'd", A, WORD_DESCRIBED, 0, NULL},
    {"decr", A, WORD_DESCRIBED, 0, NULL},
    {"tight", A, WORD_DESCRIBED, 0, NULL},
    {"stiff", A, WORD_DESCRIBED, 0, NULL},
    {"guarded", A, WORD_DESCRIBED, 0, NULL},
    {"unable", A, WORD_DESCRIBED, 0, NULL},
    {"loss", A, WORD_DESCRIBED, 1, NULL}, /* value 1: a number beside it is what is missing */
    {"deficit", A, WORD_DESCRIBED, 1, NULL},
    {"restriction", A, WORD_DESCRIBED, 1, NULL},
    {"min loss", A, WORD_DESCRIBED, 1, NULL},
    {"mod loss", A, WORD_DESCRIBED, 1, NULL},
    {"maj loss", A, WORD_DESCRIBED, 1, NULL},
    {"max loss", A, WORD_DESCRIBED, 1, NULL},
    {"minimal", A, WORD_DESCRIBED, 0, NULL},
    {"moderate", A, WORD_DESCRIBED, 0, NULL},
    {"severe", A, WORD_DESCRIBED, 0, NULL},
    {"slight", A, WORD_DESCRIBED, 0, NULL},
    {"severely", A, WORD_DESCRIBED, 0, NULL},
    {"moderately", A, WORD_DESCRIBED, 0, NULL},
    {"slightly", A, WORD_DESCRIBED, 0, NULL},
    {"mildly", A, WORD_DESCRIBED, 0, NULL},
    {"mild", A, WORD_DESCRIBED, 0, NULL},
    {"min", A, WORD_DESCRIBED, 0, NULL},
    {"mod", A, WORD_DESCRIBED, 0, NULL},
    {"max", A, WORD_DESCRIBED, 0, NULL},
    {"half", A, WORD_SHARE, 0, NULL},
    {"half range", A, WORD_SHARE, 0, NULL},
    {"quarter", A, WORD_SHARE, 0, NULL},
    {"third", A, WORD_SHARE, 0, NULL},
    {"three quarters", A, WORD_SHARE, 0, NULL},
    {"out of", A, WORD_SHARE, 1, NULL},
    {"out of", G | P, WORD_OUT_OF, 0, NULL},
    {"of", G | P, WORD_OUT_OF, 0, NULL},
    {"percent", A, WORD_SHARE, 0, NULL},
    {"pct", A, WORD_SHARE, 0, NULL},
    {"psis", A, WORD_LEVEL, 0, NULL},
    {"iliac crest", A, WORD_LEVEL, 0, NULL},
    {"sacrum", A, WORD_LEVEL, 0, NULL},
    {"buttock", A, WORD_LEVEL, 0, NULL},
    {"back pocket", A, WORD_LEVEL, 0, NULL},
    {"sij", A, WORD_LEVEL, 0, NULL},
    {"si joint", A, WORD_LEVEL, 0, NULL},
    {"greater trochanter", A, WORD_LEVEL, 0, NULL},
    {"lateral thigh", A, WORD_LEVEL, 0, NULL},
    {"scapula", A, WORD_LEVEL, 0, NULL},
    {"ftf", A, WORD_DISTANCE, 0, NULL},
    {"fingertip to floor", A, WORD_DISTANCE, 0, NULL},
    {"finger to floor", A, WORD_DISTANCE, 0, NULL},
    {"deg", A, WORD_UNIT, UNIT_DEG, NULL},
    {"degs", A, WORD_UNIT, UNIT_DEG, NULL},
    {"degree", A, WORD_UNIT, UNIT_DEG, NULL},
    {"degrees", A, WORD_UNIT, UNIT_DEG, NULL},
    {"mm", A, WORD_UNIT, UNIT_MM, NULL},
    {"cm", A, WORD_UNIT, UNIT_CM, NULL},
    {"cms", A, WORD_UNIT, UNIT_CM, NULL},
    {"inch", A, WORD_INCH, 0, NULL},
    {"inches", A, WORD_INCH, 0, NULL},

    /* sides and tests inside a value */
    {"r", A | G, WORD_SIDE, SIDE_RIGHT, NULL},
    {"(r)", A | G, WORD_SIDE, SIDE_RIGHT, NULL},
    {"rt", A | G, WORD_SIDE, SIDE_RIGHT, NULL},
    {"right", A | G, WORD_SIDE, SIDE_RIGHT, NULL},
    {"l", A | G, WORD_SIDE, SIDE_LEFT, NULL},
    {"(l)", A | G, WORD_SIDE, SIDE_LEFT, NULL},
    {"lt", A | G, WORD_SIDE, SIDE_LEFT, NULL},
    {"left", A | G, WORD_SIDE, SIDE_LEFT, NULL},
    {"b", A | G, WORD_SIDE, SIDE_NONE, NULL},
    {"b/l", A | G, WORD_SIDE, SIDE_NONE, NULL},
    {"bil", A | G, WORD_SIDE, SIDE_NONE, NULL},
    {"bilat", A | G, WORD_SIDE, SIDE_NONE, NULL},
    {"bilateral", A | G, WORD_SIDE, SIDE_NONE, NULL},
    {"bilaterally", A | G, WORD_SIDE, SIDE_NONE, NULL},
    {"both", A | G, WORD_SIDE, SIDE_NONE, NULL},
    {"a", A, WORD_TEST, TEST_AROM, NULL},
    {"aarom", A, WORD_ASSISTED, 0, NULL},
    {"assisted", A, WORD_ASSISTED, 0, NULL},
    {"active assisted", A, WORD_ASSISTED, 0, NULL},
    {"active assistive", A, WORD_ASSISTED, 0, NULL},
    {"act", A, WORD_TEST, TEST_AROM, NULL},
    {"active", A, WORD_TEST, TEST_AROM, NULL},
    {"arom", A, WORD_TEST, TEST_AROM, NULL},
    {"pass", A, WORD_TEST, TEST_PROM, NULL},
    {"passive", A, WORD_TEST, TEST_PROM, NULL},
    {"prom", A, WORD_TEST, TEST_PROM, NULL},

    /* grades */
    {"n", G, WORD_GRADE, 0, "5"},
    {"normal", G, WORD_GRADE, 0, "5"},
    {"g", G, WORD_GRADE, 0, "4"},
    {"good", G, WORD_GRADE, 0, "4"},
    {"f", G, WORD_GRADE, 0, "3"},
    {"fair", G, WORD_GRADE, 0, "3"},
    {"p", G, WORD_GRADE, 1, "2"}, /* value 1: pain after a number */
    {"poor", G, WORD_GRADE, 0, "2"},
    {"t", G, WORD_GRADE, 0, "1"},
    {"tr", G, WORD_GRADE, 0, "1"},
    {"trace", G, WORD_GRADE, 0, "1"},
    {"z", G, WORD_GRADE, 0, "0"},
    {"zero", G, WORD_GRADE, 0, "0"},
    {"plus", G, WORD_STEP, 0, "+"},
    {"minus", G, WORD_STEP, 0, "-"},
    {"i", G, WORD_ROMAN, 1, "1"},
    {"ii", G, WORD_ROMAN, 2, "2"},
    {"iii", G, WORD_ROMAN, 3, "3"},
    {"iv", G, WORD_ROMAN, 4, "4"},
    {"v", G, WORD_ROMAN, 5, "5"},
    {"m", G, WORD_SCALE, 1, NULL},
    {"mrc", G, WORD_SCALE, 1, NULL},
    {"bmrc", G, WORD_SCALE, 1, NULL},
    {"mrc grade", G, WORD_SCALE, 1, NULL},
    {"grade", G, WORD_FILLER, 0, NULL},
    {"nrs", P, WORD_FILLER, 0, NULL},
    {"nprs", P, WORD_FILLER, 0, NULL},
    {"in", G, WORD_FILLER, 0, NULL},
    {"mmt", G, WORD_FILLER, 0, NULL},
    {"grossly", G, WORD_SCREEN, 0, NULL},
    {"gross", G, WORD_SCREEN, 0, NULL},
    {"globally", G, WORD_SCREEN, 0, NULL},
    {"generally", G, WORD_SCREEN, 0, NULL},
    {"t/o", G, WORD_SCREEN, 0, NULL},
    {"throughout", G, WORD_SCREEN, 0, NULL},
    {"in avail range", G, WORD_AVAILABLE, 0, NULL},
    {"in available range", G, WORD_AVAILABLE, 0, NULL},
    {"in avail rom", G, WORD_AVAILABLE, 0, NULL},
    {"in available rom", G, WORD_AVAILABLE, 0, NULL},
    {"within avail range", G, WORD_AVAILABLE, 0, NULL},
    {"within available range", G, WORD_AVAILABLE, 0, NULL},
    {"within available rom", G, WORD_AVAILABLE, 0, NULL},
    {"through available range", G, WORD_AVAILABLE, 0, NULL},
    {"avail range", G, WORD_AVAILABLE, 0, NULL},
    {"available range", G, WORD_AVAILABLE, 0, NULL},
    {"strong", G, WORD_NO_GRADE, 0, NULL},
    {"weak", G, WORD_NO_GRADE, 0, NULL},
    {"intact", G, WORD_NO_GRADE, 0, NULL},
    {"wnl", G, WORD_NO_GRADE, 0, NULL},
    {"wfl", G, WORD_NO_GRADE, 0, NULL},
    {"within normal limits", G, WORD_NO_GRADE, 0, NULL},
    {"within functional limits", G, WORD_NO_GRADE, 0, NULL},
    {"full", G, WORD_NO_GRADE, 0, NULL},
    {"functional", G, WORD_NO_GRADE, 0, NULL},
    {"decreased", G, WORD_NO_GRADE, 0, NULL},
    {"unable", G, WORD_NO_GRADE, 0, NULL},
    {"absent", G, WORD_NO_GRADE, 0, NULL},
    {"none", G, WORD_NO_GRADE, 0, NULL},
    {"nil", G, WORD_NO_GRADE, 0, NULL},
    {"flicker", G, WORD_NO_GRADE, 0, NULL},
    {"dec'd", G, WORD_NO_GRADE, 0, NULL},
    {"kg", G, WORD_FORCE, 0, NULL},
    {"kgf", G, WORD_FORCE, 0, NULL},
    {"lb", G, WORD_FORCE, 0, NULL},
    {"lbs", G, WORD_FORCE, 0, NULL},
    {"nm", G, WORD_FORCE, 0, NULL},
    {"newton", G, WORD_FORCE, 0, NULL},
    {"newtons", G, WORD_FORCE, 0, NULL},
};

#undef A
#undef G
#undef P

/* A word of letters ends before anything but a letter, one of digits before anything but those. */
static bool ends_there(char last, char next)
{
    if (isalpha((unsigned char)last))
        return !isalpha((unsigned char)next);
    if (isdigit((unsigned char)last))
        return !isdigit((unsigned char)next) && next != '.' && next != ',';
    return true;
}

/* How much of `text` the word covers; 0 when it does not match. */
static size_t match(const char *text, const char *word)
{
    size_t i = 0;
    for (const char *w = word; *w != '\0'; w++) {
        if (*w == ' ') {
            if (text[i] == ' ' || text[i] == '-')
                i++;
            continue;
        }
        if (tolower((unsigned char)text[i]) != *w)
            return 0;
        i++;
    }
    return ends_there(word[strlen(word) - 1], text[i]) ? i : 0;
}

/* The words by their first byte, in the order of the table: heads[c] is the first that begins with
 * c, next[i] the one after word i with the same first byte; both count from 1, 0 is the end. Made
 * at the first look-up. */
static struct {
    bool made;
    unsigned short heads[256], next[ARRAY_LEN(table)];
} by_first;

static void make_index(void)
{
    for (size_t i = ARRAY_LEN(table); i-- > 0;) {
        unsigned char first = (unsigned char)table[i].text[0];
        by_first.next[i] = by_first.heads[first];
        by_first.heads[first] = (unsigned short)(i + 1);
    }
    by_first.made = true;
}

static size_t first_word(const char *text)
{
    if (!by_first.made)
        make_index();
    return by_first.heads[(unsigned char)tolower((unsigned char)text[0])];
}

static size_t usable(const struct word *word, const char *text, enum column column)
{
    char second = word->text[1]; /* what most words differ in */
    bool letter = second >= 'a' && second <= 'z';
    if ((word->columns & (unsigned)column) == 0 || (letter && (text[1] | 0x20) != second))
        return 0;
    size_t n = match(text, word->text);
    if (n > 0 && word->cls == WORD_NORMAL && word->value == 1 && text[n] != '\0')
        return 0;
    return n;
}

const struct word *words_at(const char *text, enum column column, size_t *len)
{
    const struct word *best = NULL;
    *len = 0;
    for (size_t i = first_word(text); i > 0; i = by_first.next[i - 1]) {
        size_t n = usable(&table[i - 1], text, column);
        if (n > *len) {
            best = &table[i - 1];
            *len = n;
        }
    }
    return best;
}

const struct word *words_whole(const char *text, enum column column)
{
    size_t all = strlen(text);
    while (all > 0 && text[all - 1] == '.')
        all--;
    for (size_t i = first_word(text); i > 0; i = by_first.next[i - 1]) {
        size_t n = usable(&table[i - 1], text, column);
        if (n > 0 && (n == all || text[n] == '\0'))
            return &table[i - 1];
    }
    return NULL;
}
