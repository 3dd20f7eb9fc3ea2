/* Torque, and people to hold a force against. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define GRIP "finger-mcp flexion right force "

/* Mean of three tries of a grip: the group of men of 40 to 44, right hand, is 116.8 lbf, SD 20.7,
 * SE 4.1, so 519.5524 N, SD 92.0782 N, 25 people; spread with one more of them 93.9018 N. */
static const struct {
    const char *readings;
    double age;
    enum sex sex;
    const char *mean, *sd, *z;
} held[] = {
    {NOW GRIP "400,410,420 digit=2 muscle=grip", 40, SEX_MALE, "519.6", "92.1", "-1.17"},
    {NOW GRIP "400,410,420 digit=2 muscle=Grip,_handle_2", 44, SEX_MALE, "519.6", "92.1", "-1.17"},
    {NOW GRIP "400,410,420 digit=2 muscle=grip", 45, SEX_MALE, "488.9", "102.3", "-0.76"},
    {NOW GRIP "400,410,420 digit=2 muscle=grip", 40, SEX_FEMALE, "313.2", "60.1", "1.59"},
    {NOW "finger-mcp flexion left force 400,410,420 digit=2 muscle=grip", 40, SEX_MALE, "501.8",
     "83.2", "-1.08"},
    {NOW GRIP "250,260,270 digit=2 muscle=grip", 90, SEX_MALE, "292.2", "93.4", "-0.34"}, /* open */
    /* not what the group did, or nobody like this person */
    {NOW GRIP "400,420 digit=2 muscle=grip", 40, SEX_MALE, "", "", ""},
    {NOW GRIP "410 digit=2 muscle=grip", 40, SEX_MALE, "", "", ""},
    {NOW GRIP "400,410,420 digit=2", 40, SEX_MALE, "", "", ""},
    {NOW GRIP "400,410,420 digit=2 muscle=pinch", 40, SEX_MALE, "", "", ""},
    {NOW GRIP "400,410,420 digit=2 muscle=grip", 19, SEX_MALE, "", "", ""},
    {NOW GRIP "400,410,420 digit=2 muscle=grip", 40, SEX_UNKNOWN, "", "", ""},
    {NOW GRIP "400,410,420 digit=2 muscle=grip", 40, SEX_OTHER, "", "", ""},
    /* pooled intervals and quartiles judge nobody */
    {NOW "knee extension right force 180,180,180 lever=0.3", 40, SEX_MALE, "", "", ""},
    {NOW "knee extension right force 70,70,70", 85, SEX_FEMALE, "", "", ""},
    /* no force, no figure; an estimate is shown beside the group and not judged */
    {NOW GRIP "~400,410,420 digit=2 muscle=grip", 40, SEX_MALE, "519.6", "92.1", ""},
    {NOW GRIP "not-tested digit=2 muscle=grip", 40, SEX_MALE, "", "", ""},
};

START_TEST(held_against_a_group)
{
    struct build *b = build_new();
    b->patient.age = num_of(held[_i].age);
    b->patient.sex = held[_i].sex;
    struct visit_findings *v = build_findings(b, held[_i].readings);
    const struct finding *f = &v->rows[0];
    ck_assert_str_eq(build_text(b, f->force_mean_n, 1), held[_i].mean);
    ck_assert_str_eq(build_text(b, f->force_sd_n, 1), held[_i].sd);
    ck_assert_str_eq(build_text(b, f->z, 2), held[_i].z);
    ck_assert(!f->percentile.has);
    ck_assert_int_eq(f->force_norm != NULL, held[_i].mean[0] != '\0');
    ck_assert_ptr_null(f->peers);
    build_free(b);
}
END_TEST

START_TEST(age_not_known)
{
    struct build *b = build_new();
    b->patient.age = num_none();
    struct visit_findings *v = build_findings(b, NOW GRIP "400,410,420 digit=2 muscle=grip");
    ck_assert_ptr_null(v->rows[0].force_norm);
    build_free(b);
}
END_TEST

/* Known example: 180 N at 0.32 m and 72 kg are 57.6 N m and 0.8 N m/kg. */
static const struct {
    const char *readings, *torque, *per_kg;
    double kg; /* below 0: not recorded */
} torques[] = {
    {NOW "knee extension right force 180 lever=0.32", "57.60", "0.800", 72},
    {NOW "knee extension right force 180 lever=0.32", "57.60", "", -1},
    {NOW "knee extension right force 180 lever=0.32", "57.60", "", 0}, /* no mass divides */
    {NOW "knee extension right force 180", "", "", 72},
    {NOW "knee extension right force not-tested;" NOW "knee extension right force 180 lever=0.32",
     "57.60", "0.800", 72},
    {NOW "knee extension right force 170,190 lever=0.32", "57.60", "0.800", 72},
    {NOW "knee extension right force 200 lever=0.30;" NOW
         "knee extension right force 100,100 lever=0.36",
     "44.00", "0.611", 72},
    {NOW "knee extension right force 200 lever=0.30;" NOW "knee extension right force 100", "", "",
     72},
};

START_TEST(torque_is_force_times_lever)
{
    struct build *b = build_new();
    if (torques[_i].kg >= 0)
        b->patient.body_mass_kg = num_of(torques[_i].kg);
    struct visit_findings *v = build_findings(b, torques[_i].readings);
    ck_assert_str_eq(build_text(b, v->rows[0].torque_nm, 2), torques[_i].torque);
    ck_assert_str_eq(build_text(b, v->rows[0].torque_nm_per_kg, 3), torques[_i].per_kg);
    build_free(b);
}
END_TEST

/* The limb symmetry index: this side in percent of the other. */
START_TEST(index_of_the_sides)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, NOW "knee extension right force 180;" NOW
                                                     "knee extension left force 240");
    ck_assert_str_eq(build_text(b, v->rows[0].side_index_percent, 1), "75.0");
    ck_assert_str_eq(build_text(b, v->rows[1].side_index_percent, 1), "133.3");
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, held_against_a_group, 0, ARRAY_LEN(held));
    tcase_add_test(tc, age_not_known);
    tcase_add_loop_test(tc, torque_is_force_times_lever, 0, ARRAY_LEN(torques));
    tcase_add_test(tc, index_of_the_sides);
}

BUILD_SUITE("rules_force")
