/* Every key a findings document can hold has a word in the shared templates, so that no report is
 * refused for want of one. Run from the top of the project. */
#include "findings/findings.h"
#include "unit.h"

#include <libxml/tree.h>
#include <stdio.h>
#include <string.h>

static struct _xmlDoc *doc;
static struct arena *arena;
static struct diag_list diags;
static struct reference *ref;

static void setup(void)
{
    diag_list_init(&diags);
    arena = arena_new();
    doc = xml_read_file("templates/parts/words.xml", &diags.sink);
    ref = reference_load_embedded(&diags.sink);
    ck_assert(doc != NULL && ref != NULL);
}

static void teardown(void)
{
    xmlFreeDoc(doc);
    reference_free(ref);
    arena_free(arena);
    diag_list_release(&diags);
}

static const char *word(const char *key)
{
    const xmlNode *root = xmlDocGetRootElement(doc);
    for (const xmlNode *w = xml_first(root, "word"); w != NULL; w = xml_next(w, "word")) {
        if (str_eq(xml_attr(arena, w, "key"), key)) {
            return xml_text(arena, w);
        }
    }
    return NULL;
}

static void need(const char *prefix, const char *key)
{
    char whole[120];
    snprintf(whole, sizeof(whole), "%s%s", prefix, key);
    ck_assert_msg(!str_is_empty(word(whole)), "no word for %s", whole);
}

START_TEST(joints_motions_regions)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        need("joint-", m->joint);
        need("motion-", m->motion);
        need("region-", m->region);
    }
}
END_TEST

/* A digit is named with its joint: fingers 2 to 5, toes 1 to 5. */
START_TEST(digits)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        for (int d = m->digit_min; d <= m->digit_max && d > 0; d++) {
            char key[20];
            snprintf(key, sizeof(key), "%d", d);
            need(str_starts(m->joint, "toe") ? "toe-" : "finger-", key);
        }
    }
}
END_TEST

START_TEST(flags_of_the_rules)
{
    size_t n = 0;
    const struct flag_info *flags = rules_flags(&n);
    for (size_t i = 0; i < n; i++) {
        need("flag-", flags[i].id);
    }
}
END_TEST

/* Patterns and what to recheck of them. */
START_TEST(patterns_of_the_rules)
{
    size_t n = 0, rows = 0;
    const char *const *kinds = rules_pattern_kinds(&n);
    const struct muscle_length *lengths = reference_muscle_lengths(ref, &rows);
    for (size_t i = 0; i < n; i++) {
        const struct tension *t = reference_tension(ref, kinds[i]);
        char keys[200], *rest = NULL;
        snprintf(keys, sizeof(keys), "%s", t == NULL ? "" : t->recheck);
        for (size_t k = 0; t == NULL && k < rows; k++) {
            if (str_eq(lengths[k].id, kinds[i])) {
                snprintf(keys, sizeof(keys), "%s", lengths[k].recheck);
            }
        }
        need("pattern-", kinds[i]);
        ck_assert_msg(keys[0] != '\0', "%s: nothing to recheck", kinds[i]);
        for (char *k = strtok_r(keys, " ", &rest); k != NULL; k = strtok_r(NULL, " ", &rest)) {
            need("recheck-", k);
        }
    }
}
END_TEST

START_TEST(scores_of_the_rules)
{
    size_t n = 0;
    const struct sum_score *scores = reference_sum_scores(ref, &n);
    for (size_t i = 0; i < n; i++) {
        if (!str_is_empty(scores[i].protocol)) {
            need("score-", scores[i].id);
        }
    }
}
END_TEST

START_TEST(enums)
{
    for (int i = 0; i < READING_STATUS_COUNT; i++) {
        need("status-", reading_status_name((enum reading_status)i));
    }
    for (int i = READING_NO_ANGLE; i < READING_STATUS_COUNT; i++) {
        need("cell-", reading_status_name((enum reading_status)i));
    }
    for (int i = TEST_AROM; i < TEST_COUNT; i++) {
        need("test-", test_name((enum test)i));
    }
    for (int i = SIDE_MIDLINE; i < SIDE_COUNT; i++) {
        need("side-", side_name((enum side)i));
        need("short-", side_name((enum side)i));
    }
    for (int i = END_FEEL_SOFT; i < END_FEEL_COUNT; i++) {
        need("end-feel-", end_feel_name((enum end_feel)i));
    }
    for (int i = VISIT_EVALUATION; i < VISIT_KIND_COUNT; i++) {
        need("visit-", visit_kind_name((enum visit_kind)i));
    }
    for (int i = ROLE_PT; i <= ROLE_OTHER; i++) {
        need("role-", role_name((enum role)i));
    }
    for (int i = TIMING_BEFORE; i <= TIMING_AFTER; i++) {
        need("timing-", timing_name((enum timing)i));
    }
    for (int i = SEX_FEMALE; i <= SEX_OTHER; i++) {
        need("sex-", sex_name((enum sex)i));
        need("peer-", sex_name((enum sex)i));
    }
    for (int i = VERDICT_WITHIN_ERROR; i <= VERDICT_NOT_COMPARABLE; i++) {
        need("verdict-", rules_verdict_name((enum verdict)i));
        need("short-", rules_verdict_name((enum verdict)i));
    }
    for (int i = UNIT_DEG; i <= UNIT_CM; i++) {
        need("unit-", unit_name((enum unit)i));
    }
}
END_TEST

START_TEST(keys_without_an_enum)
{
    static const char *const keys[] = {
        "peer-any", "mode-active", "mode-passive", "mode-unspecified", "limit-kind-range",
        "limit-kind-resistance", "limit-kind-weight-bearing", "limit-kind-no-test",
        "worst-worse", "worst-check", "worst-held-back", "worst-limited", "worst-none",
        "less-right", "less-left", "goal-not-measured", "goal-in-doubt", "goal-met",
        "goal-worse", "goal-overdue",
        "goal-within-error", "goal-on-course", "goal-behind", "limit-within", "limit-beyond",
        "limit-expired", "check-identity", "check-side", "past-range", "past-resistance",
        "past-no-test", "past-weight-bearing", "this-visit-range", "this-visit-resistance",
        "this-visit-no-test", "this-visit-weight-bearing", "trend-better", "trend-worse",
        "trend-unclear", "method-known-error", "method-rule-of-thumb", "method-least-squares",
        "method-theil-sen-exact", "method-theil-sen", "reminder-progress-report",
        "reminder-plan-signature", "reminder-certification", "reminder-status-later",
        "reminder-status-due", "reminder-status-overdue", "reminder-status-done",
        "reminder-unit-progress-report", "reminder-unit-plan-signature",
        "reminder-unit-certification", "reminder-rule-medicare-part-b", "reminder-rule-clinic",
        "demand-likely", "demand-may"};
    for (size_t i = 0; i < ARRAY_LEN(keys); i++) {
        need("", keys[i]);
    }
}
END_TEST

/* The view of an arc figure is told for every motion that has degrees. */
START_TEST(views)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        bool drawn = m->rom && m->unit == UNIT_DEG;
        if (drawn) {
            char key[80];
            snprintf(key, sizeof(key), "%s-%s", m->joint, m->motion);
            need("view-", key);
        }
    }
}
END_TEST

/* No word says more than a measurement can. */
START_TEST(words_stay_cautious)
{
    static const char *const bold[] = {"diagnos", "caused", "because of", "necessary", "proves",
                                       "abnormal", "recovered"};
    const xmlNode *root = xmlDocGetRootElement(doc);
    for (const xmlNode *w = xml_first(root, "word"); w != NULL; w = xml_next(w, "word")) {
        for (size_t i = 0; i < ARRAY_LEN(bold); i++) {
            ck_assert_msg(strstr(xml_text(arena, w), bold[i]) == NULL, "%s: %s",
                          xml_attr(arena, w, "key"), bold[i]);
        }
    }
}
END_TEST

static Suite *findings_words_suite(void)
{
    Suite *s = suite_create("findings: words");
    TCase *t = tcase_create("words");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, joints_motions_regions);
    tcase_add_test(t, digits);
    tcase_add_test(t, flags_of_the_rules);
    tcase_add_test(t, patterns_of_the_rules);
    tcase_add_test(t, scores_of_the_rules);
    tcase_add_test(t, enums);
    tcase_add_test(t, keys_without_an_enum);
    tcase_add_test(t, views);
    tcase_add_test(t, words_stay_cautious);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(findings_words_suite)
