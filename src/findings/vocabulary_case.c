/*
 * The vocabulary of the root `case`, which is the list of what may leave: a name that does not
 * stand here is in no handout. docs/handout.md tells which identifiers that leaves out.
 */
#include "findings/findings_int.h"

#define RANGE_CHILDREN "peers change goal limit rater-pair flag"
#define RANGE                                                                                      \
    "test status role tool start end range tries tries-list sd deficit percent icf limited other " \
    "other-week difference index side-beyond-error error-limit error-mdc error-sem error-basis "   \
    "error-source error-mark pain pain-low pain-high pain-from pain-to neutral-zero fixed derived"

static const struct vocabulary_entry entries[] = {
    {"case", "number sex age-from age-to dominant-side affected-side visits weeks stage notes",
     "visit statement"},
    {"visit",
     "number week kind treatment-day pain-rest pain-rest-high pain-move pain-move-high held "
     "countersign",
     "measured-by goal limit region source statement"},
    {"measured-by", "role", ""},
    {"region", "name", "motion"},
    {"motion",
     "joint motion region digit position timing unit zero-normal better limited has-strength",
     "normal side difference"},
    {"normal", "value source citation mark kind", ""},
    {"side", "side", "active passive strength force end-feel compensation"},
    {"difference", "test deg larger beyond-error error-limit error-basis", ""},
    {"active", RANGE, RANGE_CHILDREN},
    {"passive", RANGE, RANGE_CHILDREN},
    {"strength",
     "test status role grade score position technique repetitions repetitions-table "
     "repetitions-source repetitions-citation repetitions-mark muscle pain pain-low pain-high",
     RANGE_CHILDREN},
    {"force",
     "test status role tool muscle technique newton torque tries tries-list sd other other-week "
     "difference index side-beyond-error error-limit error-mdc error-sem error-basis error-source "
     "error-mark pain pain-low pain-high",
     RANGE_CHILDREN},
    {"peers", "mean sd z source citation mark", ""},
    {"change",
     "since week value delta verdict direction error-limit mdc basis source citation mark raters",
     ""},
    {"goal",
     "joint motion side digit test zero-normal value unit due-week status percent baseline "
     "given-baseline baseline-week gained remaining expected met-week late last last-week",
     ""},
    {"limit", "value status until-week kind test joint motion side digit unit zero-normal", ""},
    {"rater-pair", "role value difference", ""},
    {"flag", "code level", ""},
    {"end-feel", "felt expected unexpected", ""},
    {"compensation", "id kind see why prevent mark", ""},
    {"source", "id citation mark", ""},
    {"statement", "number visit about text", ""},
};

const struct vocabulary_entry *findings_case_vocabulary(size_t *n)
{
    *n = ARRAY_LEN(entries);
    return entries;
}
