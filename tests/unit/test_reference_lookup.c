/* Looking things up in the library compiled in: unknown names first, then ages, errors, grades, the
 * marks that rows of the tables must print with, and the time a start may take. */
#include "unit.h"

#include "reference/reference.h"

#include <string.h>
#include <time.h>

static struct reference *ref;

static void load(void)
{
    struct diag_list reported;
    diag_list_init(&reported);
    ref = reference_load_embedded(&reported.sink);
    ck_assert_ptr_nonnull(ref);
    ck_assert_uint_eq(reported.n, 0);
    diag_list_release(&reported);
}

static void release(void)
{
    reference_free(ref);
}

START_TEST(unknown_names_give_nothing)
{
    ck_assert_ptr_null(reference_motion(ref, "elbow", "flex"));
    ck_assert_ptr_null(reference_motion(ref, "Elbow", "flexion"));
    ck_assert_ptr_null(reference_motion(ref, "", ""));
    ck_assert_ptr_null(reference_motion(ref, NULL, "flexion"));
    ck_assert_ptr_null(reference_motion(ref, "elbow", NULL));
    ck_assert_ptr_null(reference_source(ref, "AAOS"));
    ck_assert_ptr_null(reference_source(ref, NULL));
    ck_assert_ptr_null(reference_grade(ref, "6"));
    ck_assert_ptr_null(reference_grade(ref, "4 -"));
    ck_assert_ptr_null(reference_grade(ref, NULL));
    ck_assert_ptr_null(reference_source_at(ref, reference_source_count(ref)));
    ck_assert_ptr_null(reference_grade_at(ref, 13, NULL));
    enum end_feel feel;
    ck_assert(!end_feel_by_name("squidgy", &feel));
    ck_assert(!end_feel_by_name("", &feel));
    ck_assert(!end_feel_by_name(NULL, &feel));
}
END_TEST

START_TEST(nearest_names_are_offered)
{
    ck_assert_str_eq(reference_nearest_joint(ref, "sholder"), "shoulder");
    ck_assert_str_eq(reference_nearest_joint(ref, "anke"), "ankle");
    ck_assert_ptr_null(reference_nearest_joint(ref, "spleen"));
    ck_assert_ptr_null(reference_nearest_joint(ref, NULL));
    ck_assert_str_eq(reference_nearest_motion(ref, "ankle", "dorsi-flexion"), "dorsiflexion");
    ck_assert_str_eq(reference_nearest_motion(ref, "hip", "internal rotation"),
                     "internal-rotation");
    ck_assert_ptr_null(reference_nearest_motion(ref, "knee", "supination"));
    ck_assert_ptr_null(reference_nearest_motion(ref, "spleen", "flexion"));
    ck_assert_ptr_null(reference_nearest_motion(ref, "knee", NULL));
}
END_TEST

/* The published strata, at their edges. */
static const struct {
    const char *joint, *motion, *source;
    double age_min, age_max;
    double age;
    bool fits;
} ages[] = {
    {"elbow", "flexion", "CDC_SOUCIE2011", 20, 44, 19.99, false},
    {"elbow", "flexion", "CDC_SOUCIE2011", 20, 44, 20, true},
    {"elbow", "flexion", "CDC_SOUCIE2011", 20, 44, 44, true},
    {"elbow", "flexion", "CDC_SOUCIE2011", 20, 44, 44.92, true},
    {"elbow", "flexion", "CDC_SOUCIE2011", 20, 44, 45, false},
    {"elbow", "flexion", "BOONE_AZEN1979", 1.5, 19, 1.4, false},
    {"elbow", "flexion", "BOONE_AZEN1979", 1.5, 19, 1.5, true},
    {"elbow", "flexion", "BOONE_AZEN1979", 1.5, 19, 19.9, true},
    {"elbow", "flexion", "AAOS_NW", 0, 120, 0, true},
    {"elbow", "flexion", "AAOS_NW", 0, 120, 120.5, true},
    {"knee", "extension", "BROUGHTON1993", 0, 0.08, 0.08, true},
    {"knee", "extension", "BROUGHTON1993", 0, 0.08, 0.09, false},
    {"knee", "extension", "BROUGHTON1993", 0, 0.08, 1, false},
    {"hip", "extension", "COON1975", 0.2, 0.3, 0.25, true},
    {"hip", "extension", "COON1975", 0.2, 0.3, 0.19, false},
    {"hip", "extension", "COON1975", 0.2, 0.3, 0.31, false},
    {"hip", "extension", "COON1975", 0.45, 0.55, 0.6, false},
    {"cervical", "rotation", "YOUDAS1992", 80, 89, 89.9, true},
    {"cervical", "rotation", "YOUDAS1992", 80, 89, 90, false},
};

START_TEST(strata_fit_completed_years)
{
    const struct motion *m = reference_motion(ref, ages[_i].joint, ages[_i].motion);
    int seen = 0;
    for (size_t k = 0; k < m->n_norms; k++) {
        const struct norm *n = &m->norms[k];
        bool same = n->age_min >= ages[_i].age_min && n->age_min <= ages[_i].age_min &&
                    n->age_max >= ages[_i].age_max && n->age_max <= ages[_i].age_max;
        if (!same || !str_eq(n->source->id, ages[_i].source))
            continue;
        seen++;
        ck_assert_msg(reference_norm_fits_age(n, ages[_i].age) == ages[_i].fits, "%s %g",
                      ages[_i].source, ages[_i].age);
    }
    ck_assert_int_gt(seen, 0);
}
END_TEST

/* Marks of rows as they stand in the tables. */
static const struct {
    const char *joint, *motion, *source;
    enum norm_role role;
    const char *mark;
} marks[] = {
    {"cervical", "flexion", "CFR471A_SPINE", NORM_DEFAULT, ""},
    {"cervical", "flexion", "AAOS1965", NORM_ALT, "unverified"},
    {"cervical", "flexion", "YOUDAS1992", NORM_STRATUM, "unverified"},
    {"knee", "flexion", "CFR471_PLATES", NORM_DEFAULT, "seen second-hand"},
    {"elbow", "extension", "CFR471_PLATES", NORM_ALT, "unverified"},
    {"trunk", "extension", "FITZGERALD1983", NORM_STRATUM, "unverified"},
    {"hip", "flexion", "ROACH_MILES1991", NORM_STRATUM, "unverified"},
    {"elbow", "flexion", "BOONE_AZEN1979", NORM_ALT, "partly unverified"},
    {"elbow", "flexion", "BOONE_AZEN1979", NORM_STRATUM, "unverified"},
    {"elbow", "flexion", "WALKER1984", NORM_STRATUM, "seen second-hand"},
};

START_TEST(rows_print_no_stronger_than_known)
{
    const struct motion *m = reference_motion(ref, marks[_i].joint, marks[_i].motion);
    int seen = 0;
    for (size_t k = 0; k < m->n_norms; k++) {
        if (!str_eq(m->norms[k].source->id, marks[_i].source) || m->norms[k].role != marks[_i].role)
            continue;
        seen++;
        ck_assert_msg(str_eq(m->norms[k].known.mark, marks[_i].mark), "%s: '%s'", marks[_i].source,
                      m->norms[k].known.mark);
    }
    ck_assert_int_gt(seen, 0);
}
END_TEST

/* Whatever a remark says besides, one that begins with memory is never printed as seen. */
START_TEST(memory_is_never_printed_as_seen)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        for (size_t k = 0; k < m->n_norms; k++) {
            const struct known *known = &m->norms[k].known;
            if (strstr(known->text, "memory") != NULL)
                ck_assert_msg(strstr(known->mark, "unverified") != NULL, "%s: '%s'", known->text,
                              known->mark);
        }
    }
}
END_TEST

START_TEST(errors_run_from_any_joint_head_to_foot)
{
    size_t n;
    int last = -1;
    const struct error_row *e = reference_errors(ref, &n);
    for (size_t i = 0; i < n; i++) {
        int place = -1;
        for (size_t k = 0; e[i].joint != NULL && k < reference_motion_count(ref); k++) {
            const struct motion *m = reference_motion_at(ref, k);
            if (str_eq(m->joint, e[i].joint) &&
                (e[i].motion == NULL || str_eq(m->motion, e[i].motion)))
                place = m->order;
        }
        ck_assert_msg(place >= last, "row %zu", i);
        ck_assert((place < 0) == (e[i].joint == NULL));
        ck_assert(e[i].rule_of_thumb == (e[i].joint == NULL));
        ck_assert(e[i].derived == (strstr(e[i].known.text, "derived") != NULL));
        last = place;
    }
}
END_TEST

static const char *const grade_texts[] = {"0", "1",  "2-", "2", "2+", "3-",
                                          "3", "3+", "4-", "4", "4+", "5-", "5"};

START_TEST(grades_run_from_weak_to_strong)
{
    size_t n;
    (void)reference_grade_at(ref, 0, &n);
    ck_assert_uint_eq(n, ARRAY_LEN(grade_texts));
    for (size_t i = 0; i < n; i++) {
        const struct grade *g = reference_grade_at(ref, i, NULL);
        ck_assert_str_eq(g->text, grade_texts[i]);
        ck_assert_ptr_eq(reference_grade(ref, grade_texts[i]), g);
        ck_assert_int_eq(g->ordinal, (int)i);
        if (i > 0)
            ck_assert_double_gt(g->numeric, reference_grade_at(ref, i - 1, NULL)->numeric);
    }
    ck_assert_double_eq(reference_grade(ref, "2-")->isncsci.value, 1);
    ck_assert_double_eq(reference_grade(ref, "2-")->mrc.value, 2);
    ck_assert(reference_grade(ref, "5-")->optional);
    ck_assert(!reference_grade(ref, "5-")->mrc.has && !reference_grade(ref, "5-")->isncsci.has);
    ck_assert_ptr_eq(reference_grade_of_ten(ref, "10"), reference_grade(ref, "5"));
    ck_assert_ptr_eq(reference_grade_of_ten(ref, "5"), reference_grade(ref, "3"));
    ck_assert_ptr_eq(reference_grade_of_ten(ref, "T"), reference_grade(ref, "1"));
    ck_assert_ptr_null(reference_grade_of_ten(ref, "11"));
}
END_TEST

START_TEST(names_are_the_public_words)
{
    ck_assert_str_eq(unit_name(UNIT_NONE), "");
    ck_assert_str_eq(unit_name(UNIT_DEG), "deg");
    ck_assert_str_eq(unit_name(UNIT_PERCENT), "%");
    ck_assert_str_eq(unit_name(UNIT_N_PER_KG), "N/kg");
    ck_assert_str_eq(unit_name(UNIT_COUNT), "count");
    ck_assert_str_eq(side_name(SIDE_NONE), "");
    ck_assert_str_eq(side_name(SIDE_MIDLINE), "midline");
    ck_assert_str_eq(side_name(SIDE_RIGHT), "right");
    ck_assert_str_eq(side_name(SIDE_LEFT), "left");
    ck_assert_str_eq(instrument_name(INSTRUMENT_UNKNOWN), "");
    ck_assert_str_eq(instrument_name(INSTRUMENT_GONIOMETER), "goniometer");
    ck_assert_str_eq(instrument_name(INSTRUMENT_DYNAMOMETER), "dynamometer");
    ck_assert_str_eq(end_feel_name(END_FEEL_NONE), "");
    for (unsigned f = END_FEEL_SOFT; f < END_FEEL_COUNT; f++) {
        enum end_feel back;
        ck_assert(end_feel_by_name(end_feel_name((enum end_feel)f), &back));
        ck_assert_uint_eq(back, f);
    }
}
END_TEST

static double seconds_since(clock_t start)
{
    return (double)(clock() - start) / CLOCKS_PER_SEC;
}

/* A start costs about as much processor time as hashing 10 MB (some 15 ms); measured against that,
 * so that neither a busy machine nor a checking tool fails it, but a quadratic loop does. */
START_TEST(loading_is_quick)
{
    enum { LOADS = 3, BYTES = 10 << 20, TIMES = 15 };
    struct diag_list reported;
    diag_list_init(&reported);
    char *bytes = mem_alloc(BYTES);
    clock_t start = clock();
    uint64_t sum = hash_fnv1a64(bytes, BYTES);
    double yardstick = seconds_since(start);
    ck_assert_uint_ne(sum, 0);
    start = clock();
    for (int i = 0; i < LOADS; i++)
        reference_free(reference_load_embedded(&reported.sink));
    double each = seconds_since(start) / LOADS;
    ck_assert_msg(each < TIMES * yardstick, "%.3f s against %.3f s", each, yardstick);
    free(bytes);
    diag_list_release(&reported);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference lookup");
    TCase *t = tcase_create("embedded");
    tcase_add_unchecked_fixture(t, load, release);
    tcase_add_test(t, unknown_names_give_nothing);
    tcase_add_test(t, nearest_names_are_offered);
    tcase_add_loop_test(t, strata_fit_completed_years, 0, (int)ARRAY_LEN(ages));
    tcase_add_loop_test(t, rows_print_no_stronger_than_known, 0, (int)ARRAY_LEN(marks));
    tcase_add_test(t, memory_is_never_printed_as_seen);
    tcase_add_test(t, errors_run_from_any_joint_head_to_foot);
    tcase_add_test(t, grades_run_from_weak_to_strong);
    tcase_add_test(t, names_are_the_public_words);
    tcase_add_test(t, loading_is_quick);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
