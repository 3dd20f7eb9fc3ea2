/* The group to compare with, and the z score where its spread is published. */
#include "rules_build.h"

static const struct {
    const char *reading;
    double age; /* below 0: not known */
    enum sex sex;
    enum side dominant;
    const char *peers, *z, *percentile; /* peers: "SOURCE mean", "" for none */
    const char *flag;
} groups[] = {
    /* Nobody to compare with. */
    {"knee flexion right AROM 110", -1, SEX_MALE, SIDE_NONE, "", "", "", NULL},
    {"wrist flexion right AROM 60", 9, SEX_FEMALE, SIDE_NONE, "", "", "", "no-child-norm"},
    {"toe-mtp flexion right AROM 20 digit=1", 9, SEX_FEMALE, SIDE_NONE, "", "", "",
     "no-child-norm"},
    {"toe-mtp flexion right AROM 20 digit=3", 9, SEX_FEMALE, SIDE_NONE, "", "", "",
     "no-child-norm"},
    {"toe-ip flexion right AROM 20 digit=3", 9, SEX_FEMALE, SIDE_NONE, "", "", "",
     "no-child-norm"}, /* of this toe there is no normal value at all */
    {"toe-mtp flexion right AROM 20 digit=3", 18, SEX_FEMALE, SIDE_NONE, "", "", "", NULL},
    {"toe-mtp flexion right AROM not-tested digit=3", 9, SEX_FEMALE, SIDE_NONE, "", "", "", NULL},
    {"shoulder external-rotation right PROM 40 pos=arm_at_side", 9, SEX_FEMALE, SIDE_NONE, "", "",
     "", NULL},
    {"wrist flexion right AROM not-tested", 9, SEX_FEMALE, SIDE_NONE, "", "", "", NULL},
    {"wrist flexion right AROM 60", 90, SEX_MALE, SIDE_NONE, "", "", "", NULL},
    {"knee extension right MMT 4", 40, SEX_MALE, SIDE_NONE, "", "", "", NULL},
    {"trunk extension midline AROM 12 unit=cm", 40, SEX_MALE, SIDE_NONE, "", "", "", NULL},
    {"trunk extension midline AROM 12 unit=cm", 9, SEX_MALE, SIDE_NONE, "", "", "", NULL},
    /* Age bands and sides: lateral flexion of the neck, women of 30 to 39 and 40 to 49. */
    {"cervical lateral-flexion left AROM 35.7", 39, SEX_FEMALE, SIDE_NONE, "YOUDAS1992 43.6",
     "-1.00", "15.9", NULL},
    {"cervical lateral-flexion right AROM 37.9", 39, SEX_FEMALE, SIDE_NONE, "YOUDAS1992 46.5",
     "-1.00", "15.9", NULL},
    {"cervical lateral-flexion left AROM 40.8", 40, SEX_FEMALE, SIDE_NONE, "YOUDAS1992 40.8",
     "0.00", "50.0", NULL},
    /* Sex not known: only groups of both. */
    {"cervical lateral-flexion left AROM 40", 40, SEX_UNKNOWN, SIDE_NONE, "", "", "", NULL},
    {"cervical flexion midline AROM 36.5", 45, SEX_OTHER, SIDE_NONE, "YOUDAS1992 49.5", "-1.14",
     "12.7", NULL},
    /* Mode before the rest, then the narrower band: passive 30-40 before passive 20-44. */
    {"knee flexion right PROM 130.8", 40, SEX_MALE, SIDE_NONE, "ROAAS_ANDERSSON1982 143.8", "-2.00",
     "2.3", NULL},
    {"knee flexion right PROM 120", 41, SEX_MALE, SIDE_NONE, "CDC_SOUCIE2011 137.7", "", "", NULL},
    {"knee flexion right AROM 120", 40, SEX_MALE, SIDE_NONE, "BOONE_AZEN1979 141.2", "-4.00", "0.0",
     NULL},
    /* No group in the mode of the test: the other, with a note. */
    {"knee extension right AROM -5", 40, SEX_FEMALE, SIDE_NONE, "CDC_SOUCIE2011 1.6", "", "",
     "peers-other-mode"},
    {"wrist flexion right AROM 60", 40, SEX_FEMALE, SIDE_NONE, "MACEDO_MAGEE2009 93.0", "", "",
     "peers-other-mode"},
    /* Unspecified before the other: hip flexion AROM of a woman of 80. */
    {"hip flexion right AROM 100", 80, SEX_FEMALE, SIDE_NONE, "JUNG_YAMASAKI2016 122.6", "-2.09",
     "1.8", NULL},
    /* Exact sex before any; the narrower band; abduction by five years. */
    {"hip flexion right AROM 100", 40, SEX_MALE, SIDE_NONE, "BOONE_AZEN1979 121.3", "-3.33", "0.0",
     NULL},
    {"hip flexion right AROM 100", 40, SEX_FEMALE, SIDE_NONE, "ROACH_MILES1991 120.0", "-1.43",
     "7.7", NULL},
    {"shoulder abduction right AROM 150", 42, SEX_MALE, SIDE_NONE, "GILL2020 158.0", "", "", NULL},
    /* A group measured on the dominant hand. */
    {"thumb-cmc flexion right PROM 21.7", 40, SEX_MALE, SIDE_NONE, "CMC_PASSIVE_28478845 21.7",
     "0.00", "50.0", NULL},
    {"thumb-cmc flexion right PROM 21.7", 40, SEX_MALE, SIDE_RIGHT, "CMC_PASSIVE_28478845 21.7",
     "0.00", "50.0", NULL},
    {"thumb-cmc flexion right PROM 21.7", 40, SEX_MALE, SIDE_LEFT, "", "", "", NULL},
    /* Groups stand for the usual position: not for the arm at the side, nor for prone. */
    {"shoulder external-rotation right AROM 50", 48, SEX_MALE, SIDE_NONE, "BOONE_AZEN1979 99.6",
     "-6.53", "0.0", NULL},
    {"shoulder external-rotation right AROM 50 pos=arm_at_side", 48, SEX_MALE, SIDE_NONE, "", "",
     "", NULL},
    {"shoulder internal-rotation right AROM 50 pos=arm_at_side", 48, SEX_MALE, SIDE_NONE, "", "",
     "", NULL},
    {"hip internal-rotation right AROM 30 pos=prone", 40, SEX_MALE, SIDE_NONE, "", "", "", NULL},
    /* The normal value of a toddler is a row of its own; the groups still are the usual ones. */
    {"forearm pronation right AROM 67.1", 2, SEX_MALE, SIDE_NONE, "BOONE_AZEN1979 76.7", "-2.00",
     "2.3", NULL},
    /* Without a number there is a group, but nothing to score. */
    {"cervical flexion midline AROM no-angle", 45, SEX_MALE, SIDE_NONE, "YOUDAS1992 49.5", "", "",
     NULL},
};

static void check_group(int i, enum norms_profile profile)
{
    struct build *b = build_new();
    b->clinic.norms = profile;
    b->patient.age = groups[i].age < 0 ? num_none() : num_of(groups[i].age);
    b->patient.sex = groups[i].sex;
    b->patient.dominant_side = groups[i].dominant;
    struct visit_findings *v =
        build_findings(b, arena_printf(b->arena, "2026-03-02 %s", groups[i].reading));
    const struct finding *f = &v->rows[0];
    const char *peers = f->peers == NULL ? ""
                                         : arena_printf(b->arena, "%s %s", f->peers->source->id,
                                                        build_text(b, num_of(f->peers->normal), 1));
    ck_assert_str_eq(peers, groups[i].peers);
    ck_assert_str_eq(build_text(b, f->z, 2), groups[i].z);
    ck_assert_str_eq(build_text(b, f->percentile, 1), groups[i].percentile);
    static const char *const about_peers[] = {"peers-other-mode", "no-child-norm"};
    for (size_t k = 0; k < ARRAY_LEN(about_peers); k++)
        ck_assert(rules_has_flag(f, about_peers[k]) == str_eq(groups[i].flag, about_peers[k]));
    build_free(b);
}

/* Whatever profile a clinic holds its normal values by, the group stands beside it. */
START_TEST(closest_group)
{
    for (int profile = 0; profile < NORMS_PROFILE_COUNT; profile++)
        check_group(_i, (enum norms_profile)profile);
}
END_TEST

/* What decides between two groups that both fit, one thing at a time: the second is the closer. */
static const struct source ranked_first = {.peers_rank = 1};

static const struct {
    struct norm farther, closer;
} pairs[] = {
    {{.mode = MODE_PASSIVE}, {.mode = MODE_UNSPECIFIED, .age_max = 60}},
    {{.mode = MODE_UNSPECIFIED}, {.mode = MODE_ACTIVE, .age_max = 60}},
    {{.sex = SEX_UNKNOWN}, {.sex = SEX_MALE, .age_max = 60}},
    {{.age_max = 60}, {.age_max = 45}},
    {{.age_max = 44.5, .source = &ranked_first}, {.age_max = 44}}, /* as the bands of infants */
};

static struct norm stratum(struct norm n)
{
    n.role = NORM_STRATUM;
    n.unit = UNIT_DEG;
    n.age_min = 20;
    n.age_max = n.age_max > 0 ? n.age_max : 44;
    n.qualifier = "";
    n.normal = 50;
    return n;
}

static const struct norm *chosen(struct build *b, struct norm *norms, size_t n)
{
    struct motion motion = *reference_motion(build_ref, "wrist", "flexion");
    motion.norms = norms;
    motion.n_norms = n;
    struct finding f = {.motion = &motion,
                        .side = SIDE_RIGHT,
                        .test = TEST_AROM,
                        .unit = UNIT_DEG,
                        .normal = motion.normal};
    struct visit_findings v = {
        .ref = build_ref, .patient = &b->patient, .age = num_of(40), .rows = &f, .n_rows = 1};
    rules_peers(&v, b->arena);
    return f.peers;
}

START_TEST(closer_of_two_groups)
{
    struct build *b = build_new();
    struct norm far = stratum(pairs[_i].farther), close = stratum(pairs[_i].closer);
    struct norm order[] = {far, close}, reverse[] = {close, far};
    ck_assert_ptr_eq(chosen(b, order, 2), &order[1]);
    ck_assert_ptr_eq(chosen(b, reverse, 2), &reverse[0]);
    build_free(b);
}
END_TEST

START_TEST(rank_of_sources_comes_last)
{
    struct build *b = build_new();
    struct source first = {.peers_rank = 1}, second = {.peers_rank = 2}, other = {.peers_rank = 0};
    struct norm norms[] = {stratum((struct norm){.source = &other}), stratum((struct norm){0}),
                           stratum((struct norm){.source = &second}),
                           stratum((struct norm){.source = &first})};
    ck_assert_ptr_eq(chosen(b, norms, 4), &norms[3]);
    ck_assert_ptr_eq(chosen(b, norms, 3), &norms[2]);
    ck_assert_ptr_eq(chosen(b, norms, 2), &norms[0]);
    first.peers_rank = 3; /* the order of the reference is turned round */
    ck_assert_ptr_eq(chosen(b, norms, 4), &norms[2]);
    first.peers_rank = 0;
    second.peers_rank = 0;
    ck_assert_ptr_eq(chosen(b, norms, 4), &norms[0]);
    build_free(b);
}
END_TEST

/* A published choice of our own: docs/rules.md lists the same order. */
START_TEST(rank_is_that_of_the_reference)
{
    static const char *const order[] = {
        "YOUDAS1992",        "AAOS1994",        "FITZGERALD1983", "CDC_SOUCIE2011",
        "GILL2020",          "BOONE_AZEN1979",  "MACEDO_MAGEE2009", "JUNG_YAMASAKI2016",
        "ROACH_MILES1991",   "WALKER1984",      "ROAAS_ANDERSSON1982", "HIRSCH2006",
        "MMO_INDIA2012",     "ZURICH_MOC2013"};
    size_t ranked = 0;
    for (size_t i = 0; i < ARRAY_LEN(order); i++)
        ck_assert_uint_eq(reference_source(build_ref, order[i])->peers_rank, i + 1);
    for (size_t i = 0; i < reference_source_count(build_ref); i++)
        ranked += reference_source_at(build_ref, i)->peers_rank > 0;
    ck_assert_uint_eq(ranked, ARRAY_LEN(order));
}
END_TEST

START_TEST(other_sex_side_unit_and_role_never_fit)
{
    struct build *b = build_new();
    struct norm norms[] = {stratum((struct norm){.sex = SEX_FEMALE}),
                           stratum((struct norm){.side = SIDE_LEFT}), stratum((struct norm){0}),
                           stratum((struct norm){0}), stratum((struct norm){.age_max = 39})};
    norms[2].unit = UNIT_CM;
    norms[3].role = NORM_ALT;
    ck_assert_ptr_null(chosen(b, norms, ARRAY_LEN(norms)));
    build_free(b);
}
END_TEST

/* A confidence interval of a mean is not a spread of people: no z in any stratum without an SD. */
START_TEST(no_score_without_a_published_sd)
{
    struct build *b = build_new();
    struct visit_findings v = {.patient = &b->patient, .ref = build_ref, .clinic = &b->clinic};
    size_t scored = 0, unscored = 0;
    for (size_t i = 0; i < reference_motion_count(build_ref); i++) {
        const struct motion *m = reference_motion_at(build_ref, i);
        for (int age = 0; m->normal != NULL && age < 100; age++) {
            struct finding f = {.motion = m,
                                .unit = m->unit,
                                .side = m->sides == SIDES_MIDLINE ? SIDE_MIDLINE : SIDE_RIGHT,
                                .test = age % 2 == 0 ? TEST_AROM : TEST_PROM,
                                .normal = m->normal,
                                .end = num_of(30)};
            v.age = num_of(age);
            b->patient.sex = age / 2 % 2 == 0 ? SEX_MALE : SEX_FEMALE;
            v.rows = &f;
            v.n_rows = 1;
            rules_peers(&v, b->arena);
            ck_assert(f.z.has == (f.peers != NULL && f.peers->sd.has));
            ck_assert(f.percentile.has == f.z.has);
            if (f.peers == NULL)
                continue;
            ck_assert_int_eq(f.peers->role, NORM_STRATUM);
            ck_assert(rules_age_fits(f.peers, age));
            ck_assert(f.peers->sex == SEX_UNKNOWN || f.peers->sex == b->patient.sex);
            scored += f.z.has;
            unscored += !f.z.has;
        }
    }
    ck_assert_uint_gt(scored, 0);
    ck_assert_uint_gt(unscored, 0);
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, closest_group, 0, ARRAY_LEN(groups));
    tcase_add_loop_test(tc, closer_of_two_groups, 0, ARRAY_LEN(pairs));
    tcase_add_test(tc, rank_of_sources_comes_last);
    tcase_add_test(tc, rank_is_that_of_the_reference);
    tcase_add_test(tc, other_sex_side_unit_and_role_never_fit);
    tcase_add_test(tc, no_score_without_a_published_sd);
}

BUILD_SUITE("rules_peers")
