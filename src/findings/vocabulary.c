/*
 * Every name a document can hold, as data: a template that asks for another name is refused when
 * it is loaded. A test walks documents of every sort and holds them against these tables.
 */
#include "findings/findings_int.h"

#include <string.h>

#define RANGE_CHILDREN "peers change trend goal limit demand rater-pair flag note"
#define RANGE_ATTRIBUTES                                                                           \
    "test status reason text measured-by role tool start end range tries tries-list sd deficit "   \
    "percent icf limited other other-date difference index side-beyond-error error-limit "         \
    "error-mdc error-sem error-basis error-source error-mark pain pain-low pain-high pain-from "   \
    "pain-to neutral-zero neutral-zero-plane neutral-zero-first neutral-zero-last fixed derived"
#define REMINDER "id status count due-at at-least since due rule"
#define PROBLEM "code outcome reason detail advice file line column field text"

static const struct vocabulary_entry visit[] = {
    {"visit", "date kind held amendment version",
     "patient clinic measured-by referrer episode headline tally reminder goal limit region "
     "pattern score source abbreviation missing problem amended"},
    {"patient", "id name birth-date age sex dominant-side affected-side body-mass", ""},
    {"clinic", "heading address phone logo", ""},
    {"measured-by", "name role supervisor countersign", ""},
    {"referrer", "name address reason", ""},
    {"episode",
     "diagnosis diagnosis-code onset-date surgery-date procedure weight-bearing treatment-day "
     "plan-start certified-on plan question protocol outcome-name outcome-score signed-on "
     "countersigned-on pain-rest pain-rest-high pain-move pain-move-high",
     ""},
    {"headline",
     "kind region joint motion side digit test position end other other-date difference normal "
     "deficit percent delta since-date verdict error-limit grade unit zero-normal limit limit-kind "
     "limited-count worse-count check check-count doubt",
     ""},
    {"tally",
     "measured limited below-handbook compared better worse missing held false-alarms", ""},
    {"region", "name", "motion"},
    {"motion",
     "joint motion region plane digit position timing unit zero-normal better limited "
     "has-strength",
     "normal side difference"},
    {"normal", "value source citation kind mark max-plausible hyper-ok", ""},
    {"side", "side", "active passive strength force end-feel compensation"},
    {"difference", "test deg index beyond-error larger error-limit error-basis", ""},
    {"active", RANGE_ATTRIBUTES, RANGE_CHILDREN},
    {"passive", RANGE_ATTRIBUTES, RANGE_CHILDREN},
    {"strength",
     "test status reason text measured-by role grade score position technique repetitions "
     "repetitions-table repetitions-source repetitions-citation repetitions-mark muscle pain "
     "pain-low pain-high pain-from pain-to",
     RANGE_CHILDREN},
    {"force",
     "test status reason text measured-by role tool muscle technique newton torque per-mass "
     "tries tries-list sd other other-date difference index side-beyond-error error-limit "
     "error-mdc error-sem error-basis error-source error-mark pain pain-low pain-high pain-from "
     "pain-to",
     RANGE_CHILDREN},
    {"peers",
     "mean sd z percentile source citation mark age-min age-max sex side mode n other-mode", ""},
    {"change",
     "since date value delta verdict direction error-limit mdc basis source citation mark raters",
     ""},
    {"trend",
     "method n slope-per-week low high direction from to first-fit last-fit raters", "point"},
    {"point", "date value sem", ""},
    {"goal",
     "id joint motion side digit test zero-normal value unit due status percent activity baseline "
     "given-baseline baseline-date gained remaining expected days-left met-on late last last-date",
     ""},
    {"limit",
     "value status until by kind from test joint motion side digit unit zero-normal", ""},
    {"reminder", REMINDER, ""},
    {"demand",
     "id activity level needed from short unit basis population icf source citation mark", ""},
    {"rater-pair", "measured-by role value difference", ""},
    {"pattern",
     "kind region joint motion side digit muscle roots nerve from to gap evidence source citation "
     "mark",
     "reading recheck"},
    {"reading",
     "joint motion side digit test position end deficit percent unit grade end-feel pain", ""},
    {"recheck", "key", ""},
    {"score",
     "id name protocol complete right left total max-side max missing whole-grades source "
     "citation mark",
     "cut-off missing-item"},
    {"cut-off", "compare value meaning", ""},
    {"missing-item", "level joint motion side digit", ""},
    {"flag", "code level doubt", ""},
    {"note", "code reason", ""},
    {"end-feel", "felt expected unexpected reason", ""},
    {"compensation", "id kind see why prevent mark", ""},
    {"source", "id citation mark", ""},
    {"abbreviation", "short long", ""},
    {"missing", "joint motion side digit test position status reason text", ""},
    {"problem", PROBLEM, ""},
    {"amended",
     "number what joint motion side digit test position timing unit zero-normal date old "
     "old-status new new-status corrected-on corrected-by reason",
     ""},
};

static const struct vocabulary_entry day[] = {
    {"day", "date reports visits patients held part parts", "entry file problem"},
    {"entry",
     "patient-id name kind file worst author role visit-date visit-kind treatment-day pages "
     "notes held amendment countersign signed",
     "reminder"},
    {"reminder", REMINDER, ""},
    {"file", "name rows used duplicates held", ""},
    {"problem", PROBLEM, ""},
};

static const struct vocabulary_entry agree[] = {
    {"agree", "version", "clinic class file problem"},
    {"clinic", "heading address phone logo", ""},
    {"class",
     "test scale subjects raters complete instructor held-against tolerance least least-grade most "
     "most-grade reach",
     "rater subject figure pair"},
    {"rater", "n code name instructor readings gaps off", ""},
    {"subject",
     "n name readings gap low low-grade high high-grade spread wide mean reference "
     "reference-grade drawn",
     "cell"},
    {"cell", "n code rater instructor value grade tries delta off", ""},
    {"figure", "quantity rater value low high note", ""},
    {"pair",
     "a a-code b b-code instructor subjects bias bias-low bias-high loa-low loa-low-low "
     "loa-low-high loa-high loa-high-low loa-high-high within-5 within-5-low within-5-high "
     "within-10 within-10-low within-10-high exact exact-low exact-high within-one within-one-low "
     "within-one-high linear linear-low linear-high quadratic quadratic-low quadratic-high width "
     "drawn",
     "point"},
    {"point", "n mean difference", ""},
    {"file", "name rows used duplicates held", ""},
    {"problem", PROBLEM, ""},
};

static const struct vocabulary_entry plan[] = {
    {"plan", "version patient date measured-by tries items changes involved tolerance mark",
     "clinic asked caution screen stay omitted source"},
    {"clinic", "heading address phone logo", ""},
    {"asked", "name", ""},
    {"caution", "id kind condition message mark", "at"},
    {"at", "joint side", ""},
    {"screen", "joint", ""},
    {"stay", "n position lying-on", "run"},
    {"run", "kind", "row"},
    {"row",
     "joint motion unit how how-mark other-position provoking normal better normal-source "
     "normal-mark plane fulcrum stationary-arm moving-arm stabilise instrument mark end-feel "
     "end-feel-also end-feel-reason if-weak muscles resistance-at resistance-direction palpate",
     "compensation care slot box"},
    {"compensation", "id see why prevent mark", ""},
    {"care", "caution message tests sides", ""},
    {"slot", "name side digit", ""},
    {"box", "test side digit tries", ""},
    {"omitted", "joint motion side digit test reason text caution", ""},
    {"source", "id citation mark", ""},
};

const struct vocabulary_entry *findings_vocabulary(const char *root, size_t *n)
{
    static const struct {
        const char *root;
        const struct vocabulary_entry *at;
        size_t n;
    } all[] = {
        {"visit", visit, ARRAY_LEN(visit)},
        {"day", day, ARRAY_LEN(day)},
        {"agree", agree, ARRAY_LEN(agree)},
        {"plan", plan, ARRAY_LEN(plan)},
    };
    for (size_t i = 0; i < ARRAY_LEN(all); i++) {
        if (strcmp(root, all[i].root) == 0) {
            *n = all[i].n;
            return all[i].at;
        }
    }
    if (strcmp(root, "case") == 0)
        return findings_case_vocabulary(n);
    *n = 0;
    return NULL;
}
