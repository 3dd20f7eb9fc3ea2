/* Activities that need more than a limited active motion has. */
#include "rules_build.h"

#define NOW "2026-03-02 "

/* Of the first row of that test: "id level degrees", set apart by "; ". */
static const char *needs(struct build *b, const struct visit_findings *v)
{
    const char *all = "";
    for (size_t i = 0; i < v->n_rows; i++)
        for (int k = 0; k < v->rows[i].n_demands; k++) {
            const struct demand_short *s = &v->rows[i].demands[k];
            char by[NUM_TEXT_MAX];
            all = arena_printf(b->arena, "%s%s%s %s %s", all, *all == '\0' ? "" : "; ",
                               s->demand->activity_id, s->likely ? "likely" : "may",
                               num_format(by, s->short_by, 1));
        }
    return all;
}

static const struct {
    const char *readings, *goal, *needs;
    double age;
} told[] = {
    /* only active range, only limited yes */
    {NOW "knee flexion right AROM 88", NULL,
     "deep-squat likely 69.0; kneel-sit-on-heels likely 52.9; get-in-bath likely 47.0", 40},
    {NOW "knee flexion right PROM 88", NULL, "", 40},
    {NOW "knee flexion right AROM 130", NULL, "", 40}, /* short of the squat, but not limited */
    {NOW "knee flexion right AROM 88 after", NULL,
     "deep-squat likely 69.0; kneel-sit-on-heels likely 52.9; get-in-bath likely 47.0", 40},
    /* named in a goal, by the id's words, by the activity's words; then of its kind. Stairs are
     * among the activities that most-knee-tasks names. */
    {NOW "knee flexion right AROM 88", "go down stairs step over step",
     "go-down-stairs may 3.0; climb-stairs may 2.0; deep-squat likely 69.0", 40},
    {NOW "knee flexion right AROM 88", "stairs",
     "most-knee-tasks likely 22.0; go-down-stairs may 3.0; climb-stairs may 2.0", 40},
    {NOW "knee flexion right AROM 88", "to sing again",
     "deep-squat likely 69.0; kneel-sit-on-heels likely 52.9; get-in-bath likely 47.0", 40},
    /* likely: by more than the SD of the need (7.1), else by more than the error of the reading */
    {NOW "knee flexion right AROM 83.9", "go down stairs",
     "go-down-stairs may 7.1; climb-stairs may 6.1; deep-squat likely 73.1", 40},
    {NOW "knee flexion right AROM 83.8", "go down stairs",
     "go-down-stairs likely 7.2; climb-stairs may 6.2; deep-squat likely 73.2", 40},
    /* half a degree or more; eight-arm-tasks are of the same ICF code as the one named */
    {NOW "forearm supination right AROM 49.5", "most arm tasks",
     "most-arm-tasks may 0.5; eight-arm-tasks may 3.5; open-door likely 27.5", 40},
    {NOW "forearm supination right AROM 49.6", "most arm tasks",
     "eight-arm-tasks may 3.4; open-door likely 27.4; eat-meal likely 10.4", 40},
    /* ages of a qualifier: from the birthday on */
    {NOW "knee flexion right AROM 88", "kneel and sit back on your heels",
     "kneel-sit-on-heels likely 51.6; deep-squat likely 69.0; get-in-bath likely 47.0", 39},
    {NOW "shoulder flexion right AROM 90", "reach something on a high shelf",
     "reach-high-shelf likely 50.0; most-arm-tasks likely 40.0; ten-shoulder-tasks likely 31.0",
     17},
    {NOW "shoulder flexion right AROM 90", "reach something on a high shelf",
     "reach-high-shelf likely 30.0; most-arm-tasks likely 40.0; ten-shoulder-tasks likely 31.0",
     18},
    /* side and digit of a qualifier */
    {NOW "cervical rotation right AROM 20", "look both ways before you cross a street",
     "cross-street likely 34.3; reverse-car likely 47.6; drive-and-look likely 22.0", 40},
    {NOW "cervical rotation left AROM 20", "look both ways before you cross a street",
     "cross-street likely 11.7; reverse-car likely 47.6; drive-and-look likely 15.0", 40},
    {NOW "finger-mcp flexion right AROM 30 digit=5", "close fingers",
     "close-fingers likely 55.0; grip-and-handle likely 41.0; drink-pour-turn-key likely 55.0", 40},
    {NOW "finger-mcp flexion right AROM 30 digit=2", "close fingers",
     "close-fingers likely 30.0; grip-and-handle likely 41.0; drink-pour-turn-key likely 55.0", 40},
    /* an extension row counts short of straight */
    {NOW "elbow extension right AROM -40", NULL,
     "tie-shoes likely 25.0; most-arm-tasks likely 10.0", 40},
    /* a start beyond the one that is left unused: 30 for most arm tasks */
    {NOW "elbow flexion right AROM 120 start=55", "most daily arm tasks",
     "most-arm-tasks likely 25.0; eight-arm-tasks likely 55.0; drink-pour-turn-key likely 21.0",
     40},
    {NOW "elbow flexion right AROM 120 start=35", "most daily arm tasks",
     "most-arm-tasks likely 10.0; eight-arm-tasks likely 35.0; drink-pour-turn-key likely 21.0",
     40},
    /* the knee's angle of dorsiflexion: walking straight, chairs and stairs bent */
    {NOW "ankle dorsiflexion right AROM -5", NULL,
     "sit-down-stand-up likely 20.0; deep-squat likely 20.0; climb-stairs likely 16.0", 40},
    {NOW "ankle dorsiflexion right AROM -5 pos=knee_straight", NULL, "walk likely 15.0", 40},
    {NOW "ankle dorsiflexion right AROM -5 pos=knee_bent", "walk",
     "sit-down-stand-up likely 20.0; deep-squat likely 20.0; climb-stairs likely 16.0", 40},
    /* millimetres */
    {NOW "jaw opening midline AROM 22 tool=ruler", NULL,
     "eat-without-teeth likely 18.0; open-for-dentist likely 18.0; bite-sandwich likely 13.0", 40},
    /* no activity is on file for the motion */
    {NOW "trunk extension midline AROM 2", NULL, "", 40},
};

START_TEST(told_where_it_is_short)
{
    struct build *b = build_new();
    struct goal goal = {.activity = told[_i].goal,
                        .motion = reference_motion(build_ref, "hip", "flexion"),
                        .side = SIDE_RIGHT,
                        .test = TEST_AROM,
                        .value = num_of(100)};
    b->patient.age = num_of(told[_i].age);
    b->patient.goals = &goal;
    b->patient.n_goals = told[_i].goal != NULL;
    struct visit_findings *v = build_findings(b, told[_i].readings);
    ck_assert_str_eq(needs(b, v), told[_i].needs);
    build_free(b);
}
END_TEST

/* Without an age no row that is for an age. */
START_TEST(age_not_known)
{
    struct build *b = build_new();
    b->patient.age = num_none();
    struct visit_findings *v = build_findings(b, NOW "knee flexion right AROM 88");
    ck_assert_str_eq(needs(b, v),
                     "deep-squat likely 69.0; get-in-bath likely 47.0; sit-low-chair likely 32.0");
    build_free(b);
}
END_TEST

/* The person's own figure and its source go with it. */
START_TEST(need_keeps_its_source)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, NOW "elbow extension right AROM -40");
    const struct demand *d = v->rows[0].demands[0].demand;
    ck_assert_str_eq(d->source->id, "MORREY1981");
    ck_assert_double_eq(d->needed, -15);
    ck_assert_int_eq(d->role, DEMAND_DEFAULT);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, told_where_it_is_short, 0, ARRAY_LEN(told));
    tcase_add_test(tc, age_not_known);
    tcase_add_test(tc, need_keeps_its_source);
}

BUILD_SUITE("rules_demand")
