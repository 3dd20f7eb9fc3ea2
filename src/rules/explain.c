/*
 * Which family raises a flag and the figure it turns on, and the kinds of patterns, for --explain
 * and for tests. Figures of the reference are named, not repeated: they are printed from there.
 */
#include "rules/rules_int.h"

static const char tolerance[] = "tolerance of the clinic file";
static const char tries[] = "tries-apart of the clinic file";

static const struct {
    const char *id, *family, *threshold;
} rows[] = {
    {"tries-apart", "group", tries},
    {"tries-incomplete", "group", ""},
    {"more-tries-than-listed", "group", "12 tries are listed"},
    {"grades-differ", "group", ""},
    {"second-measurer", "group", ""},
    {"measurers-differ", "group", tolerance},
    {"normal-other-position", "deficit", ""},
    {"normal-other-mode", "deficit", ""},
    {"normal-not-of-profile", "deficit", "norms of the clinic file"},
    {"no-normal-for-digit", "deficit", ""},
    {"published-error-too-large", "error", "an MDC95 above error-share of the normal value"},
    {"visual-estimate", "error", "the rule of thumb for two raters"},
    {"peers-other-mode", "peers", ""},
    {"no-child-norm", "peers", "below adult-age"},
    {"passive-below-active", "passive", tolerance},
    {"taut-beyond-slack", "jump", tolerance},
    {"sides-swapped", "swap", "the difference turned round, beyond error then and now; swap-ratio"},
    {"jump-beyond-other-side", "jump", "more than jump-limits of the change"},
    {"far-beyond-usual", "jump",
     "more than usual-limits past normal and its allowance, and usual-spread where known"},
    {"lone-trace", "jump", "grade 1, the other side 5"},
    {"other-side-other-rater", "side", "between the MDC95 of one rater and of two"},
    {"rater-not-stated", "change", ""},
    {"earlier-position-unclear", "change", ""},
    {"end-feel-unexpected", "end-feel", ""},
    {"end-feel-empty", "end-feel", ""},
    {"three-or-more-in-minimised-position", "strength", ""},
    {"heel-rise-needed", "strength", ""},
    {"heel-rise-count-mismatch", "strength", "heel-rises of the clinic file"},
    {"trace-without-movement", "strength", "more than 0 degrees moved"},
    {"zero-or-one-with-active-range", "strength", tolerance},
    {"pain-limited-grade", "strength", "below grade 5"},
    {"normal-grade-with-pain", "strength", "grade 5"},
    {"arom-before-strength", "strength", ""},
    {"not-tested-is-not-zero", "strength", ""},
    {"change-within-error", "strength",
     "less than grade-change of the clinic file; between two examiners that itself too"},
    {"crosses-grade-three", "strength", "from below 3 to 3 or more, or back"},
    {"three-or-more-needs-full-range", "grades", tolerance},
    {"partial-range-against-gravity", "grades", tolerance},
    {"two-is-full-range-minimised", "grades", tolerance},
    {"below-three-with-full-range-against-gravity", "grades", tolerance},
    {"available-not-normal-range", "grades", tolerance},
    {"two-plus-by-resistance", "grades", "two-plus-by-resistance of the clinic file"},
    {"two-plus-needs-gravity", "grades", "two-plus-by-resistance of the clinic file"},
    {"exempt-from-gravity-rule", "grades", ""},
    {"modified-gravity-rule", "grades", ""},
    {"abnormal-tone", "grades", ""},
    {"serratus-above-shoulder-flexion", "grades", ""},
    {"side-difference-within-grade", "grades", "grade 4 and above"},
    {"resistance-not-allowed", "grades", "above grade 3, or a force"},
    {"test-type-missing", "grades", "grade 3+ and above"},
    {"prom-missing-with-short-arom", "grades", tolerance},
    {"whole-grades-in-sums", "score", ""},
    {"more-compensations-than-listed", "compensation", "6 are listed"},
    {"beyond-limit", "limit", "any try past limit_value"},
    {"tested-against-limit", "limit", ""},
    {"standing-against-limit", "limit", ""},
    {"goal-other-setup", "goal", ""},
    {"goal-runs-back", "goal", ""},
    {"flexion-below-lack", "neutral-zero", ""},
};

static const struct rule_family *family_named(const char *id)
{
    size_t n;
    const struct rule_family *families = rules_families(&n);
    for (size_t i = 0; i < n; i++)
        if (str_eq(families[i].id, id))
            return &families[i];
    return NULL;
}

bool rules_explain_flag(const char *id, const struct rule_family **family, const char **threshold)
{
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        if (!str_eq(rows[i].id, id))
            continue;
        *family = family_named(rows[i].family);
        *threshold = rows[i].threshold;
        return true;
    }
    return false;
}

const char *const *rules_pattern_kinds(size_t *n)
{
    static const char *const kinds[] = {
        "capsular-pattern",
        "non-capsular-pattern",
        "short-calf",
        "short-hamstrings",
        "short-rectus-femoris",
        "strong-painful",
        "weak-painless",
        "weak-painful",
        "all-resisted-painful",
        "active-lag",
        "both-equally-limited",
        "same-direction-pain",
        "opposite-direction-pain",
        "full-but-painful-end",
        "excess-passive-range",
        "painful-arc",
        "high-arc",
        "hard-where-firm",
        "firm-where-soft-or-hard",
        "soft-where-firm-or-hard",
        "normal-type-early",
        "springy",
        "spasm",
        "empty",
        "myotome-cluster",
        "nerve-cluster",
    };
    *n = ARRAY_LEN(kinds);
    return kinds;
}
