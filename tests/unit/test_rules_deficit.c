/* Normal values, what is missing to them, the ICF band, and when a motion counts as limited. */
#include "rules_build.h"

#define AT "2026-03-02 "

/* ---- qualifiers --------------------------------------------------------------------------- */

static const char remark[100] = "; (from memory)";

static const struct {
    const char *position;
    int digit;
    double age; /* below 0: not known */
    const char *token;
    enum token fits;
} tokens[] = {
    {NULL, 0, 40, "arm at side", TOKEN_NO},
    {"sitting", 0, 40, "arm at side", TOKEN_NO},
    {"side-lying", 0, 40, "arm at side", TOKEN_NO},
    {"Arm at side", 0, 40, "arm at side", TOKEN_POSITION},
    {"supine, arm at the side", 0, 40, "arm at side (position from memory)", TOKEN_POSITION},
    {"90/90", 0, 40, "abducted 90", TOKEN_POSITION},
    {"prone", 0, 40, "prone", TOKEN_POSITION},
    {"pronejunk", 0, 40, "prone", TOKEN_NO},
    {"prone", 0, 40, "hip extended", TOKEN_POSITION},
    {"supine", 0, 40, "hip extended", TOKEN_NO},
    {"supine, hip extended", 0, 40, "hip extended", TOKEN_POSITION},
    {"sitting", 0, 40, "hip flexed", TOKEN_POSITION},
    {"sitting", 0, 40, "seated", TOKEN_POSITION},
    {"lumbar only", 0, 40, "lumbar only (dual inclinometer)", TOKEN_POSITION},
    {"sitting", 0, 40, "lumbar only (dual inclinometer)", TOKEN_NO},
    {NULL, 0, 40, "percentile band", TOKEN_NO},
    {NULL, 0, 40, "", TOKEN_NO},
    /* What a row says about itself is no position, whatever the record has in brackets. */
    {"prone (?)", 0, 40, " (from memory)", TOKEN_NO},
    {"(from memory)", 0, 40, &remark[2], TOKEN_NO},
    {NULL, 2, 40, "index finger", TOKEN_DIGIT},
    {NULL, 3, 40, "index finger", TOKEN_NO},
    {NULL, 5, 40, "little finger", TOKEN_DIGIT},
    {NULL, 1, 40, "great toe", TOKEN_DIGIT},
    {NULL, 2, 40, "great toe", TOKEN_NO},
    {NULL, 3, 40, "toe 3", TOKEN_DIGIT},
    {NULL, 3, 40, "toe 4", TOKEN_NO},
    {NULL, 3, 40, "toes 2-5", TOKEN_DIGIT},
    {NULL, 1, 40, "toes 2-5", TOKEN_NO},
    {NULL, 2, 40, "the 2nd toe", TOKEN_NO}, /* no wording of the tables: nothing is guessed */
    {NULL, 3, 40, "toes 2 to 5", TOKEN_NO},
    {NULL, 0, 40, "toes", TOKEN_NO}, /* and no digit is not all of them */
    {NULL, 3, 40, "toes 2-5 PIP", TOKEN_NO},
    {"PIP, supine", 3, 40, "toes 2-5 PIP", TOKEN_DIGIT},
    {NULL, 0, 0.05, "newborn/infant", TOKEN_INFANT},
    {NULL, 0, 2, "infants and toddlers", TOKEN_INFANT},
    {NULL, 0, -1, "newborn/infant", TOKEN_NO},
};

START_TEST(token_fits_what_is_stated)
{
    struct finding f = {.position = tokens[_i].position, .digit = tokens[_i].digit};
    struct num age = tokens[_i].age < 0 ? num_none() : num_of(tokens[_i].age);
    ck_assert_int_eq(rules_token_fits(&f, age, tokens[_i].token), tokens[_i].fits);
}
END_TEST

static const struct {
    const char *position, *qualifier;
    bool fits;
    enum token kind;
} qualifiers[] = {
    {NULL, "", true, TOKEN_NO},
    {"prone", "prone; hip extended", true, TOKEN_POSITION},
    {"supine", "supine; hip extended", false, TOKEN_NO},
    {"arm at side", "arm at side; dominant arm", false, TOKEN_NO},
    {"prone", "prone; ", true, TOKEN_POSITION},
    {"prone",
     "prone; a position whose name is far longer than any that a published table of "
     "normal values has ever needed",
     false, TOKEN_NO},
};

START_TEST(every_token_must_fit)
{
    struct finding f = {.position = qualifiers[_i].position};
    enum token kind;
    bool fits = rules_qualifier_fits(&f, num_of(40), qualifiers[_i].qualifier, &kind);
    ck_assert(fits == qualifiers[_i].fits);
    if (fits)
        ck_assert_int_eq(kind, qualifiers[_i].kind);
}
END_TEST

static const struct {
    double min, max, age;
    bool fits;
} ages[] = {
    {20, 44, 19, false},   {20, 44, 20, true},       {20, 44, 44, true},      {20, 44, 45, false},
    {1.5, 19, 1.4, false}, {1.5, 19, 1.5, true},     {0, 0.08, 0.05, true},   {0, 0.08, 0.08, true},
    {0, 0.08, 0.1, false}, {0.45, 0.55, 0.3, false}, {0.45, 0.55, 0.5, true}, {0, 2, 2, true},
    {0, 2, 3, false},      {0, 1, 1.5, true},        {0, 1, 2, false},
};

START_TEST(age_band_runs_to_the_next_birthday)
{
    struct norm norm = {.age_min = ages[_i].min, .age_max = ages[_i].max};
    ck_assert(rules_age_fits(&norm, ages[_i].age) == ages[_i].fits);
}
END_TEST

/* ---- the normal row ----------------------------------------------------------------------- */

static const struct {
    const char *reading;
    double age;
    enum sex sex;
    const char *normal, *source, *flags; /* normal "": none */
} normals[] = {
    {AT "knee flexion right AROM 112", 40, SEX_MALE, "140.0", "CFR471_PLATES", ""},
    {AT "knee flexion right AROM not-tested", 40, SEX_MALE, "140.0", "CFR471_PLATES", ""},
    /* Grades and forces have no angle to hold against; centimetres are not degrees. */
    {AT "knee flexion right MMT not-tested", 40, SEX_MALE, "", "", "not-tested-is-not-zero"},
    {AT "knee flexion right force 100", 40, SEX_MALE, "", "", ""},
    {AT "trunk flexion midline AROM 12 unit=cm", 40, SEX_MALE, "", "", ""},
    /* Hip rotation by position. */
    {AT "hip internal-rotation right PROM 30", 40, SEX_MALE, "45.0", "AAOS_NW", ""},
    {AT "hip internal-rotation right PROM 30 pos=prone", 40, SEX_MALE, "35.2", "KOUYOUMDJIAN2012",
     ""},
    {AT "hip internal-rotation right PROM 30 pos=sitting", 40, SEX_MALE, "37.9", "KOUYOUMDJIAN2012",
     ""},
    {AT "hip internal-rotation right PROM 30 pos=supine", 40, SEX_MALE, "45.0", "AAOS_NW", ""},
    {AT "hip internal-rotation right PROM 30 pos=prone", 61, SEX_MALE, "45.0", "AAOS_NW", ""},
    /* Shoulder rotation with the arm at the side: a man of 48, then without sex or too young. */
    {AT "shoulder external-rotation left AROM 18 pos=arm_at_side", 48, SEX_MALE, "50.0", "GILL2020",
     ""},
    {AT "shoulder external-rotation left PROM 18 pos=arm_at_side", 48, SEX_MALE, "50.0", "GILL2020",
     "normal-other-mode"},
    {AT "shoulder external-rotation left AROM 18 pos=arm_at_side", 48, SEX_UNKNOWN, "90.0",
     "AAOS_NW", "normal-other-position"},
    {AT "shoulder external-rotation left AROM 18 pos=arm_at_side", 16, SEX_MALE, "90.0", "AAOS_NW",
     "normal-other-position"},
    {AT "shoulder internal-rotation left AROM 18 pos=at_side", 48, SEX_MALE, "70.0", "AAOS_NW",
     "normal-other-position"},
    {AT "shoulder internal-rotation left AROM 18 pos=supine", 48, SEX_MALE, "70.0", "AAOS_NW", ""},
    /* Digits: a default holds for every finger, but only for the toe it is for. */
    {AT "finger-pip flexion right AROM 80 digit=2", 40, SEX_MALE, "100.0", "CFR471A_DIGITS", ""},
    {AT "toe-mtp flexion right AROM 30 digit=1", 40, SEX_MALE, "45.0", "AAOS_NW", ""},
    {AT "toe-mtp flexion right AROM 30 digit=3", 40, SEX_MALE, "40.0", "AAOS_NW", ""},
    {AT "toe-mtp extension right AROM 30 digit=3", 40, SEX_MALE, "30.0", "AMA_SCR", ""},
    {AT "toe-ip flexion right AROM 30 digit=3", 40, SEX_MALE, "", "", "no-normal-for-digit"},
    {AT "toe-ip flexion right AROM 30 digit=3 pos=PIP", 40, SEX_MALE, "35.0", "REIDER",
     "normal-other-mode"},
    /* Infants: a newborn hip does not extend to 0; the larger study. */
    {AT "hip extension right PROM -25", 0.05, SEX_FEMALE, "-28.0", "HAAS1973", ""},
    {AT "hip extension right PROM -25", 1.5, SEX_FEMALE, "20.0", "AAOS_NW", "no-child-norm"},
};

START_TEST(normal_row_fits_position_digit_and_infant)
{
    struct build *b = build_new();
    b->patient.age = num_of(normals[_i].age);
    b->patient.sex = normals[_i].sex;
    struct visit_findings *v = build_findings(b, normals[_i].reading);
    const struct finding *f = &v->rows[0];
    const struct norm *n = f->normal;
    ck_assert_str_eq(build_text(b, n == NULL ? num_none() : num_of(n->normal), 1),
                     normals[_i].normal);
    ck_assert_str_eq(n == NULL ? "" : n->source->id, normals[_i].source);
    const char *flags = build_flags(b, f);
    if (normals[_i].flags[0] != '\0')
        ck_assert_msg(rules_has_flag(f, normals[_i].flags), "%s", flags);
    static const char *const about_normal[] = {"normal-other-position", "normal-other-mode",
                                               "no-normal-for-digit"};
    for (size_t i = 0; i < ARRAY_LEN(about_normal); i++)
        ck_assert_msg(rules_has_flag(f, about_normal[i]) ==
                          str_eq(normals[_i].flags, about_normal[i]),
                      "%s", flags);
    build_free(b);
}
END_TEST

/* A row for every age needs none; one for a group of ages does. */
START_TEST(age_that_is_not_known)
{
    static const struct {
        const char *reading, *normal;
    } ageless[] = {{AT "toe-mtp flexion right AROM 30 digit=3", "40.0"},
                   {AT "hip internal-rotation right PROM 30 pos=prone", "45.0"}};
    for (size_t i = 0; i < ARRAY_LEN(ageless); i++) {
        struct build *b = build_new();
        b->patient.age = num_none();
        const struct finding *f = &build_findings(b, ageless[i].reading)->rows[0];
        ck_assert_ptr_nonnull(f->normal);
        ck_assert_str_eq(build_text(b, num_of(f->normal->normal), 1), ageless[i].normal);
        build_free(b);
    }
}
END_TEST

START_TEST(only_a_row_for_all_ages_needs_none)
{
    static const struct {
        double min, max;
        bool fits;
    } rows[] = {{0, 120, true}, {1, 120, false}, {0, 119, false}};
    struct build *b = build_new();
    struct visit_findings v = {.patient = &b->patient};
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct norm norm = {.age_min = rows[i].min, .age_max = rows[i].max};
        ck_assert_msg(rules_norm_fits_person(&v, &norm) == rows[i].fits, "row %zu", i);
    }
    build_free(b);
}
END_TEST

/* Which of several special rows for one position: exact sex, narrower ages, the default's source,
 * more people, then the order of the table. */
START_TEST(closest_special_row)
{
    static const struct norm any = {
        .role = NORM_SPECIAL, .unit = UNIT_DEG, .age_max = 120, .qualifier = "prone"};
    struct build *b = build_new();
    struct motion motion = *reference_motion(build_ref, "hip", "internal-rotation");
    struct norm norms[] = {any, any, any, any, any, any};
    norms[1].n = num_of(30);
    norms[2].source = motion.normal->source;
    norms[3].age_max = 60;
    norms[4].sex = SEX_MALE;
    norms[5].sex = SEX_FEMALE;
    motion.norms = norms;
    struct finding f = {
        .motion = &motion, .test = TEST_PROM, .unit = UNIT_DEG, .position = "prone"};
    struct visit_findings v = {
        .patient = &b->patient, .clinic = &b->clinic, .age = num_of(40)};
    static const size_t best_of[] = {0, 0, 1, 2, 3, 4, 4};
    for (size_t n = 1; n < ARRAY_LEN(best_of); n++) {
        motion.n_norms = n;
        ck_assert_ptr_eq(rules_normal(&v, &f), &norms[best_of[n]]);
    }
    norms[0].side = SIDE_LEFT;
    motion.n_norms = 1;
    ck_assert_ptr_ne(rules_normal(&v, &f), &norms[0]);
    struct norm reverse[] = {norms[4], norms[3], norms[2], norms[1]};
    motion.norms = reverse;
    motion.n_norms = ARRAY_LEN(reverse);
    ck_assert_ptr_eq(rules_normal(&v, &f), &reverse[0]);
    motion.norms = reverse + 1;
    motion.n_norms--;
    ck_assert_ptr_eq(rules_normal(&v, &f), &reverse[1]);
    /* One year narrower goes before the source of the default. */
    struct norm widths[] = {norms[2], any};
    widths[1].age_max = widths[0].age_max - 1;
    motion.norms = widths;
    motion.n_norms = ARRAY_LEN(widths);
    ck_assert_ptr_eq(rules_normal(&v, &f), &widths[1]);
    build_free(b);
}
END_TEST

/* ---- deficit and band --------------------------------------------------------------------- */

/* Error limits of these rows: the rule of thumb, 5, unless said otherwise. */
static const struct {
    const char *reading, *deficit, *percent;
    int icf;
    const char *limited;
} deficits[] = {
    {AT "wrist flexion right AROM 80", "0.0", "0.0", 0, "no"},
    {AT "wrist flexion right AROM 92", "0.0", "0.0", 0, "no"},
    {AT "wrist flexion right AROM 75", "5.0", "6.3", 0, "below-handbook"},   /* not over 5 */
    {AT "wrist flexion right AROM 74.9", "5.1", "6.4", 1, "below-handbook"}, /* peers 74.8 (6.6) */
    {AT "wrist flexion right AROM 60.5", "19.5", "24.4", 1, "yes"},
    {AT "wrist flexion right AROM 60.4", "19.6", "24.5", 2, "yes"},
    {AT "wrist flexion right AROM 40.5", "39.5", "49.4", 2, "yes"},
    {AT "wrist flexion right AROM 40.4", "39.6", "49.5", 3, "yes"},
    {AT "wrist flexion right AROM 3.7", "76.3", "95.4", 3, "yes"},
    {AT "wrist flexion right AROM 3.6", "76.4", "95.5", 4, "yes"},
    {AT "wrist flexion right AROM -20", "100.0", "125.0", 4, "yes"},
    {AT "wrist flexion right AROM not-tested", "", "", -1, ""},
    /* No percent and no band where the normal end is 0; half a stiff elbow is still limited. */
    {AT "elbow extension right PROM -20", "20.0", "", -1, "yes"},
    {AT "elbow extension right PROM 8", "0.0", "", -1, "no"},
    {AT "elbow extension right PROM -5", "5.0", "", -1, "below-handbook"},
    /* Less is better: the gap that is left, in cm, for which there is no error limit. */
    {AT "thumb-cmc opposition right AROM 0", "0.0", "", -1, "no"},
    {AT "thumb-cmc opposition right AROM 4", "4.0", "", -1, "below-handbook"},
    {AT "finger-pip flexion right AROM ~50 digit=3", "50.0", "50.0", 3, "yes"},
};

START_TEST(deficit_and_band)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, deficits[_i].reading);
    const struct finding *f = &v->rows[0];
    ck_assert_str_eq(build_text(b, f->deficit, 1), deficits[_i].deficit);
    ck_assert_str_eq(build_text(b, f->deficit_percent, 1), deficits[_i].percent);
    ck_assert_int_eq(f->icf, deficits[_i].icf);
    ck_assert_str_eq(rules_limited_name(f->limited), deficits[_i].limited);
    build_free(b);
}
END_TEST

/* However small a normal value is, what is missing has a share of it; of none there is none. */
START_TEST(percent_of_a_small_normal_value)
{
    static const struct {
        double normal;
        const char *percent;
    } rows[] = {{1, "50.0"}, {0.5, "0.0"}, {0, ""}};
    struct build *b = build_new();
    struct motion motion = *reference_motion(build_ref, "wrist", "flexion");
    struct norm normal = *motion.normal;
    motion.normal = &normal;
    motion.n_norms = 0;
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        normal.normal = rows[i].normal;
        struct finding f = {
            .motion = &motion, .test = TEST_AROM, .unit = UNIT_DEG, .end = num_of(0.5)};
        struct visit_findings v = {
            .patient = &b->patient, .clinic = &b->clinic, .rows = &f, .n_rows = 1};
        rules_deficit(&v, b->arena);
        ck_assert_str_eq(build_text(b, f.deficit_percent, 1), rows[i].percent);
    }
    build_free(b);
}
END_TEST

/* ---- limited ------------------------------------------------------------------------------ */

/* The rule over its inputs: deficit, percent (below 0: none), limit (below 0: none), z (99:
 * unknown), difference to the other side (99: unknown) and whether that is beyond error. */
static const struct {
    double deficit, percent, limit, z, difference;
    enum tri beyond;
    enum limited limited;
} judged[] = {
    {0, 0, 5, -3, -30, TRI_YES, LIMITED_NO},
    {5, 30, 5, -3, -30, TRI_YES, LIMITED_BELOW_HANDBOOK}, /* the limit itself is not over it */
    {5.1, 30, 5, -3, 99, TRI_UNKNOWN, LIMITED_YES},
    {20, 30, -1, -3, -30, TRI_YES, LIMITED_BELOW_HANDBOOK}, /* no limit, no verdict */
    {20, 10, 5, -2, 99, TRI_UNKNOWN, LIMITED_YES},
    {20, 10, 5, -1.99, 99, TRI_UNKNOWN, LIMITED_BELOW_HANDBOOK},
    {20, 50, 5, -1.99, 0, TRI_NO, LIMITED_BELOW_HANDBOOK}, /* a known z outweighs the percent */
    {20, 10, 5, -1, -12, TRI_YES, LIMITED_YES},
    {20, 10, 5, -1, 12, TRI_YES, LIMITED_BELOW_HANDBOOK}, /* the better side */
    {20, 10, 5, -1, -4, TRI_NO, LIMITED_BELOW_HANDBOOK},
    {20, 25, 5, 99, 0, TRI_NO, LIMITED_YES},
    {20, 24.9, 5, 99, 0, TRI_NO, LIMITED_BELOW_HANDBOOK},
    {20, 24.9, 5, 99, 99, TRI_UNKNOWN, LIMITED_YES}, /* nothing else to go by */
    {10, -1, 5, 99, 0, TRI_NO, LIMITED_YES},
    {9.9, -1, 5, 99, 0, TRI_NO, LIMITED_BELOW_HANDBOOK},
};

static struct num unless(double value, double missing)
{
    return value > missing || value < missing ? num_of(value) : num_none();
}

START_TEST(limited_needs_more_than_the_handbook)
{
    struct build *b = build_new();
    struct finding f = {.motion = reference_motion(build_ref, "wrist", "flexion"),
                        .test = TEST_AROM,
                        .deficit = num_of(judged[_i].deficit),
                        .deficit_percent = unless(judged[_i].percent, -1),
                        .error.limit = unless(judged[_i].limit, -1),
                        .z = unless(judged[_i].z, 99),
                        .side_difference = unless(judged[_i].difference, 99),
                        .side_beyond_error = judged[_i].beyond};
    if (f.side_difference.has)
        f.other_value = num_of(60);
    f.normal = f.motion->normal;
    struct visit_findings v = {.ref = build_ref, .rows = &f, .n_rows = 1};
    rules_limited(&v, b->arena);
    ck_assert_int_eq(f.limited, judged[_i].limited);
    build_free(b);
}
END_TEST

START_TEST(limited_turns_where_less_is_better)
{
    struct build *b = build_new();
    struct finding f = {.motion = reference_motion(build_ref, "thumb-cmc", "opposition"),
                        .test = TEST_AROM,
                        .deficit = num_of(4),
                        .error.limit = num_of(1),
                        .z = num_of(1),
                        .other_value = num_of(0),
                        .side_difference = num_of(4),
                        .side_beyond_error = TRI_YES};
    f.normal = f.motion->normal;
    struct visit_findings v = {.ref = build_ref, .rows = &f, .n_rows = 1};
    rules_limited(&v, b->arena);
    ck_assert_int_eq(f.limited, LIMITED_YES);
    f.side_difference = num_of(-4);
    rules_limited(&v, b->arena);
    ck_assert_int_eq(f.limited, LIMITED_BELOW_HANDBOOK);
    f.z = num_of(2);
    rules_limited(&v, b->arena);
    ck_assert_int_eq(f.limited, LIMITED_YES);
    build_free(b);
}
END_TEST

/* Seventeen without a group, or with the other side; at eighteen an adult's value judges. */
START_TEST(adult_value_alone_never_limits_a_child)
{
    static const struct {
        const char *readings;
        double age;
        enum limited limited;
    } rows[] = {
        {"2026-03-02 shoulder horizontal-adduction right AROM 90", 17.9, LIMITED_BELOW_HANDBOOK},
        {"2026-03-02 shoulder horizontal-adduction right AROM 90", 18, LIMITED_YES},
        {"2026-03-02 shoulder horizontal-adduction right AROM 90;2026-03-02 "
         "shoulder horizontal-adduction left AROM 90", 9, LIMITED_BELOW_HANDBOOK},
        {"2026-03-02 shoulder horizontal-adduction right AROM 90;2026-03-02 "
         "shoulder horizontal-adduction left AROM 95", 9, LIMITED_YES},
        {"2026-03-02 shoulder horizontal-adduction right AROM 90;2026-03-02 "
         "shoulder horizontal-adduction left AROM 94.9", 9, LIMITED_BELOW_HANDBOOK},
        /* an infant's own value judges */
        {"2026-03-02 hip extension right PROM -60", 0.05, LIMITED_YES},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct build *b = build_new();
        b->patient.age = num_of(rows[i].age);
        b->patient.sex = SEX_UNKNOWN; /* the groups are of boys or of girls */
        struct visit_findings *v = build_findings(b, rows[i].readings);
        ck_assert_msg(v->rows[0].limited == rows[i].limited, "row %zu", i);
        build_free(b);
    }
}
END_TEST

/* A normal value that grown-up people are part of, even if only those of the first adult year. */
START_TEST(child_by_adults_is_by_the_ages_of_the_norm)
{
    struct build *b = build_new();
    struct norm normal = {.age_max = 18};
    struct finding f = {.motion = reference_motion(build_ref, "wrist", "flexion"),
                        .normal = &normal,
                        .deficit = num_of(40),
                        .error.limit = num_of(5)};
    rules_flag(&f, "no-child-norm");
    struct visit_findings v = {.ref = build_ref, .rows = &f, .n_rows = 1};
    rules_limited(&v, b->arena);
    ck_assert_int_eq(f.limited, LIMITED_BELOW_HANDBOOK);
    normal.age_max = 17;
    rules_limited(&v, b->arena);
    ck_assert_int_eq(f.limited, LIMITED_YES);
    build_free(b);
}
END_TEST

/* A figure for another position: only the other side can carry the verdict. */
START_TEST(other_position_alone_never_limits)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, AT "shoulder internal-rotation left AROM 30 pos=arm_at_side;" AT
                             "shoulder internal-rotation right AROM 34 pos=arm_at_side");
    ck_assert_int_eq(v->rows[0].limited, LIMITED_BELOW_HANDBOOK);
    ck_assert_ptr_null(v->rows[0].peers);
    build_free(b);
    b = build_new();
    v = build_findings(b, AT "shoulder internal-rotation left AROM 30 pos=arm_at_side;" AT
                             "shoulder internal-rotation right AROM 64 pos=arm_at_side");
    ck_assert_int_eq(v->rows[1].limited, LIMITED_YES);
    ck_assert_int_eq(v->rows[0].limited, LIMITED_BELOW_HANDBOOK);
    build_free(b);
}
END_TEST

/* A word of a qualifier that is longer than any position is none. */
START_TEST(overlong_qualifier_never_fits)
{
    char name[81];
    memset(name, 'a', sizeof name - 1);
    enum token kind;
    name[79] = '\0';
    char position[sizeof name];
    memcpy(position, name, sizeof name);
    struct finding f = {.position = position};
    ck_assert(rules_qualifier_fits(&f, num_none(), name, &kind));
    name[79] = '.';
    name[80] = '\0';
    ck_assert(!rules_qualifier_fits(&f, num_none(), name, &kind));
    name[79] = 'a';
    char same[sizeof name];
    memcpy(same, name, sizeof name);
    f.position = same;
    ck_assert_int_eq(rules_token_fits(&f, num_none(), name), TOKEN_NO);
}
END_TEST

/* A letter beyond ASCII is a letter, whichever byte it ends with. */
START_TEST(phrase_is_of_whole_words)
{
    ck_assert(rules_states("sitting, knee bent", "knee bent"));
    ck_assert(rules_states_any("sitting, knee bent", ";prone;knee bent"));
    ck_assert(!rules_states_any("sitting, knee bent", ";prone;;supine;")); /* nothing is no word */
    ck_assert(rules_states("knee-bent", "knee bent"));
    ck_assert(!rules_states("kneebent", "knee bent"));
    ck_assert(!rules_states("knee", "knee bent"));
    ck_assert(!rules_states("\xc3\x80" "knee bent", "knee bent"));
    ck_assert(!rules_states("\xc3\xbf" "knee bent", "knee bent"));
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_test(tc, phrase_is_of_whole_words);
    tcase_add_test(tc, overlong_qualifier_never_fits);
    tcase_add_loop_test(tc, token_fits_what_is_stated, 0, ARRAY_LEN(tokens));
    tcase_add_loop_test(tc, every_token_must_fit, 0, ARRAY_LEN(qualifiers));
    tcase_add_loop_test(tc, age_band_runs_to_the_next_birthday, 0, ARRAY_LEN(ages));
    tcase_add_loop_test(tc, normal_row_fits_position_digit_and_infant, 0, ARRAY_LEN(normals));
    tcase_add_test(tc, age_that_is_not_known);
    tcase_add_test(tc, only_a_row_for_all_ages_needs_none);
    tcase_add_test(tc, closest_special_row);
    tcase_add_loop_test(tc, deficit_and_band, 0, ARRAY_LEN(deficits));
    tcase_add_test(tc, percent_of_a_small_normal_value);
    tcase_add_loop_test(tc, limited_needs_more_than_the_handbook, 0, ARRAY_LEN(judged));
    tcase_add_test(tc, limited_turns_where_less_is_better);
    tcase_add_test(tc, other_position_alone_never_limits);
    tcase_add_test(tc, adult_value_alone_never_limits_a_child);
    tcase_add_test(tc, child_by_adults_is_by_the_ages_of_the_norm);
}

BUILD_SUITE("rules_deficit")
