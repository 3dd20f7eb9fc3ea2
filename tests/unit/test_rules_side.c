/* The other side: which reading it is, the difference, the index and whether error explains it. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define EARLY "2026-02-02 "
#define OLD "2026-01-05 "

/* The row asked about is the right one of the newest visit (for index 0 of `rows`). Wrist
 * flexion: no study of active motion, so the limits are 5 and, for two people, 10. */
static const struct {
    const char *readings, *other, *date, *difference, *index;
    enum tri beyond;
    const char *flag;
} sides[] = {
    {NOW "wrist flexion right AROM 60", "", "", "", "", TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM 64.9", "64.9", "", "-4.9",
     "92.4", TRI_NO, NULL},
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM 65", "65.0", "", "-5.0",
     "92.3", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 70;" NOW "wrist flexion left AROM 60", "60.0", "", "10.0",
     "116.7", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 0;" NOW "wrist flexion left AROM 60", "60.0", "", "-60.0",
     "0.0", TRI_YES, NULL}, /* nothing of it, and that is a share */
    {NOW "wrist flexion right AROM 20;" NOW "wrist flexion left AROM 1", "1.0", "", "19.0",
     "2000.0", TRI_YES, NULL},
    /* Of two other positions the one with the same tool. */
    {NOW "wrist flexion right AROM 60 tool=goniometer;" NOW "wrist flexion left AROM 72 pos=prone;"
     NOW "wrist flexion left AROM 70 pos=sitting tool=goniometer",
     "70.0", "", "-10.0", "85.7", TRI_YES, NULL},
    /* Decimals whose difference is not quite 5 in binary. */
    {NOW "wrist flexion right AROM 15.1;" NOW "wrist flexion left AROM 20.1", "20.1", "", "-5.0",
     "75.1", TRI_YES, NULL},
    /* An earlier reading, with its date; today's before it, the latest before an older one. */
    {NOW "wrist flexion right AROM 60;" EARLY "wrist flexion left AROM 72;" OLD
         "wrist flexion left AROM 74",
     "72.0", "2026-02-02", "-12.0", "83.3", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM 61;" EARLY
         "wrist flexion left AROM 72",
     "61.0", "", "-1.0", "98.4", TRI_NO, NULL},
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM no-angle;" EARLY
         "wrist flexion left AROM 72",
     "72.0", "2026-02-02", "-12.0", "83.3", TRI_YES, NULL},
    /* Not the same: test, position, tool, digit, timing, unit. */
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left PROM 72", "", "", "", "",
     TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM 60 pos=prone;" NOW "wrist flexion left AROM 72 pos=supine", "",
     "", "", "", TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM 60 pos=prone;" NOW "wrist flexion left AROM 72", "72.0", "",
     "-12.0", "83.3", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 60 pos=prone;" NOW "wrist flexion left AROM 72;" NOW
         "wrist flexion left AROM 74 pos=prone",
     "74.0", "", "-14.0", "81.1", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 60 tool=goniometer;" NOW
         "wrist flexion left AROM 72 tool=inclinometer",
     "", "", "", "", TRI_UNKNOWN, NULL},
    {NOW "finger-pip flexion right AROM 60 digit=2;" NOW "finger-pip flexion left AROM 90 digit=3",
     "", "", "", "", TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM 72 after", "", "", "", "",
     TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM 60 after;" NOW "wrist flexion left AROM 72 after", "72.0", "",
     "-12.0", "83.3", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 60 after;" EARLY "wrist flexion left AROM 72 after", "", "", "",
     "", TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM 12 unit=cm", "", "", "", "",
     TRI_UNKNOWN, NULL},
    /* No side to speak of, no number. */
    {NOW "cervical flexion midline AROM 40;" EARLY "cervical flexion midline AROM 50", "", "", "",
     "", TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM not-tested;" NOW "wrist flexion left AROM 72", "", "", "", "",
     TRI_UNKNOWN, NULL},
    /* No index where the normal end is 0, the other side is not above 0 or this side is below. */
    {NOW "elbow extension right PROM -20;" NOW "elbow extension left PROM 4", "4.0", "", "-24.0",
     "", TRI_YES, NULL},
    {NOW "elbow extension right PROM 4;" NOW "elbow extension left PROM 8", "8.0", "", "-4.0", "",
     TRI_NO, NULL},
    {NOW "wrist flexion right AROM 20;" NOW "wrist flexion left AROM 0", "0.0", "", "20.0", "",
     TRI_YES, NULL},
    {NOW "wrist flexion right AROM -5;" NOW "wrist flexion left AROM 60", "60.0", "", "-65.0", "",
     TRI_YES, NULL},
    /* No limit, no verdict; an estimate is not judged. */
    {NOW "thumb-cmc opposition right AROM 4;" NOW "thumb-cmc opposition left AROM 0", "0.0", "",
     "4.0", "", TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM ~40;" NOW "wrist flexion left AROM 72", "72.0", "", "-32.0",
     "55.6", TRI_UNKNOWN, NULL},
    {NOW "wrist flexion right AROM 40;" NOW "wrist flexion left AROM ~72", "72.0", "", "-32.0",
     "55.6", TRI_UNKNOWN, NULL},
    /* Two people: beyond the limit of both, within that of one, or in between. */
    {NOW "wrist flexion right AROM 60 by=A;" NOW "wrist flexion left AROM 70 by=B", "70.0", "",
     "-10.0", "85.7", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 60 by=A;" NOW "wrist flexion left AROM 64 by=B", "64.0", "",
     "-4.0", "93.8", TRI_NO, NULL},
    {NOW "wrist flexion right AROM 60 by=A;" NOW "wrist flexion left AROM 68 by=B", "68.0", "",
     "-8.0", "88.2", TRI_UNKNOWN, "other-side-other-rater"},
    /* The reading its own visit uses; a doubtful passive one of an earlier day is passed over. */
    {NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM 50 by=S role=student;" NOW
         "wrist flexion left AROM 70 by=P role=PT",
     "70.0", "", "-10.0", "85.7", TRI_YES, NULL},
    {NOW "wrist flexion right AROM 60 tool=goniometer;" NOW
         "wrist flexion left AROM 50 tool=goniometer by=S role=student;" NOW
         "wrist flexion left AROM 70 by=P role=PT",
     "70.0", "", "-10.0", "85.7", TRI_YES, NULL},
    {NOW "wrist flexion right PROM 60;" EARLY "wrist flexion left PROM 50;" EARLY
         "wrist flexion left AROM 70;" OLD "wrist flexion left PROM 75",
     "75.0", "2026-01-05", "-15.0", "80.0", TRI_YES, NULL},
    /* Force: a ratio, no verdict. Grades are read, not computed. */
    {NOW "knee extension right force 180;" NOW "knee extension left force 240", "240.0", "",
     "-60.0", "75.0", TRI_UNKNOWN, NULL},
    {NOW "knee extension right force 180 technique=make;" NOW
         "knee extension left force 240 technique=break",
     "", "", "", "", TRI_UNKNOWN, NULL},
    {NOW "knee extension right MMT 4;" NOW "knee extension left MMT 5", "", "", "", "", TRI_UNKNOWN,
     NULL},
};

START_TEST(other_side)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, sides[_i].readings);
    const struct finding *f = &v->rows[0];
    char date[DATE_TEXT_MAX];
    ck_assert_str_eq(build_text(b, f->other_value, 1), sides[_i].other);
    ck_assert_str_eq(date_format(date, f->other_date), sides[_i].date);
    ck_assert_str_eq(build_text(b, f->side_difference, 1), sides[_i].difference);
    ck_assert_str_eq(build_text(b, f->side_index_percent, 1), sides[_i].index);
    ck_assert_int_eq(f->side_beyond_error, sides[_i].beyond);
    ck_assert(rules_has_flag(f, "other-side-other-rater") == (sides[_i].flag != NULL));
    build_free(b);
}
END_TEST

START_TEST(both_rows_hold_the_difference)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, NOW "wrist flexion right AROM 60;" NOW "wrist flexion left AROM 72");
    ck_assert(v->rows[0].side_difference.value == -12);
    ck_assert(v->rows[1].side_difference.value == 12);
    ck_assert_int_eq(v->rows[1].side_beyond_error, TRI_YES);
    build_free(b);
}
END_TEST

START_TEST(visit_on_hold_is_not_compared_with)
{
    struct build *b = build_new();
    build_add(b, NOW "wrist flexion right AROM 60;" EARLY "wrist flexion left AROM 72");
    b->visits[0].held = true;
    struct visit_findings *v = build_evaluate(b);
    ck_assert_uint_eq(v->n_earlier, 0);
    ck_assert(!v->rows[0].other_value.has);
    build_free(b);
}
END_TEST

/* Right and left are each other's, and the midline has no other side than itself. */
START_TEST(sides_are_each_others)
{
    ck_assert_int_eq(rules_other_side(SIDE_RIGHT), SIDE_LEFT);
    ck_assert_int_eq(rules_other_side(SIDE_LEFT), SIDE_RIGHT);
    ck_assert_int_eq(rules_other_side(SIDE_MIDLINE), SIDE_MIDLINE);
    ck_assert_int_eq(rules_other_side(SIDE_NONE), SIDE_NONE);
}
END_TEST

/* A gap that closes is better the smaller it is, also where no normal value fits the row. */
START_TEST(less_of_a_gap_is_better)
{
    struct finding f = {.motion = reference_motion(build_ref, "thumb-cmc", "opposition"),
                        .test = TEST_AROM};
    ck_assert(rules_lower_is_better(&f));
    f.test = TEST_MMT;
    ck_assert(!rules_lower_is_better(&f));
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_test(tc, sides_are_each_others);
    tcase_add_test(tc, less_of_a_gap_is_better);
    tcase_add_loop_test(tc, other_side, 0, ARRAY_LEN(sides));
    tcase_add_test(tc, both_rows_hold_the_difference);
    tcase_add_test(tc, visit_on_hold_is_not_compared_with);
}

BUILD_SUITE("rules_side")
