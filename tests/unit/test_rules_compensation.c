/* Compensations: recorded ones by id or as typed, likely ones for limited motions alone. */
#include "rules_build.h"

#define AT "2026-03-02 "
#define FLEX AT "shoulder flexion left AROM "

static const char *listed(struct build *b, const struct finding *f)
{
    const char *all = "";
    for (int i = 0; i < f->n_seen; i++)
        all = arena_printf(b->arena, "%s%s%s", all, i == 0 ? "" : " ",
                           f->seen[i] != NULL ? f->seen[i]->id
                                              : arena_printf(b->arena, "'%s'", f->seen_text[i]));
    return all;
}

static const struct {
    const char *readings, *seen, *flag;
} recorded[] = {
    {FLEX "175", "", NULL},
    {FLEX "175 comp=shoulder-hike", "shoulder-hike", NULL},
    {FLEX "175 comp=Shoulder_hike", "shoulder-hike", NULL},
    {FLEX "175 comp=turns-palm-up", "turns-palm-up", NULL}, /* described for strength alone */
    {FLEX "175 comp=hikes_the_shoulder", "'hikes the shoulder'", NULL},
    {FLEX "175 comp=shoulder", "'shoulder'", NULL},
    {FLEX "175 comp=pelvis-shifts", "'pelvis-shifts'", NULL}, /* of another motion */
    {FLEX "175 comp=shoulder-hike;" FLEX "174 comp=shoulder-hike comp=leans;" FLEX "175 comp=Leans",
     "shoulder-hike 'leans'", NULL},
    {FLEX "175 comp=a comp=b comp=c comp=d comp=e comp=f;" FLEX "175 comp=g",
     "'a' 'b' 'c' 'd' 'e' 'f'", "more-compensations-than-listed"},
    {FLEX "not-tested comp=shoulder-hike", "shoulder-hike", NULL},
};

START_TEST(recorded_by_id_or_as_typed)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, recorded[_i].readings);
    const struct finding *f = &v->rows[0];
    ck_assert_str_eq(listed(b, f), recorded[_i].seen);
    ck_assert(rules_has_flag(f, "more-compensations-than-listed") == (recorded[_i].flag != NULL));
    build_free(b);
}
END_TEST

/* The row asked about is the last one. */
static const struct {
    const char *readings, *likely;
} watched[] = {
    {FLEX "180", ""},
    {FLEX "172", ""}, /* below the handbook, not limited */
    {FLEX "98", "back-arches shoulder-hike"},
    {FLEX "98 comp=shoulder-hike", "back-arches drifts-across-or-out"},
    /* Loss smaller than the one they are usual from, but limited beside a better other side. */
    {AT "shoulder flexion right AROM 180;" FLEX "162", ""},
    {AT "shoulder flexion right AROM 180;" FLEX "160", "back-arches shoulder-hike"}, /* just so */
    {AT "trunk flexion midline AROM 20", "hip-flexion-for-trunk"},
    {AT "trunk flexion midline AROM 20 pain", "hip-flexion-for-trunk knee-bend"},
    /* Strength rows: where the motion is limited and the grade below full. */
    {FLEX "98;" AT "shoulder flexion left MMT 4", "shoulder-hike drifts-across-or-out"},
    {FLEX "98;" AT "shoulder flexion left MMT 5", ""},
    {FLEX "180;" AT "shoulder flexion left MMT 4", ""},
    {FLEX "98;" AT "shoulder flexion right MMT 4", ""},
    {AT "shoulder flexion left MMT 4", ""},
};

START_TEST(likely_in_limited_motions)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, watched[_i].readings);
    const struct finding *f = NULL;
    for (size_t i = 0; i < v->n_rows; i++) /* strength last, else the left or only row */
        if (f == NULL || v->rows[i].test >= f->test)
            f = &v->rows[i];
    const char *likely = "";
    for (int i = 0; i < f->n_likely; i++)
        likely = arena_printf(b->arena, "%s%s%s", likely, i == 0 ? "" : " ", f->likely[i]->id);
    ck_assert_str_eq(likely, watched[_i].likely);
    build_free(b);
}
END_TEST

/* What the lost range itself brings about goes before what pain does, though only the second is
 * usual from a loss of a stated size. */
START_TEST(lost_range_goes_before_pain)
{
    static const struct compensation made[] = {
        {.id = "of-pain", .in_rom = true, .trigger_painful = true,
         .typical_deficit = {.has = true, .value = 5}},
        {.id = "of-loss", .in_rom = true, .trigger_limited = true}};
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, FLEX "98 pain");
    struct finding *f = &v->rows[0];
    struct motion motion = *f->motion;
    motion.compensations = made;
    motion.n_compensations = ARRAY_LEN(made);
    f->motion = &motion;
    f->n_likely = 0;
    rules_compensation(v, b->arena);
    ck_assert_int_eq(f->n_likely, 2);
    ck_assert_str_eq(f->likely[0]->id, "of-loss");
    ck_assert_str_eq(f->likely[1]->id, "of-pain");
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_loop_test(tc, recorded_by_id_or_as_typed, 0, ARRAY_LEN(recorded));
    tcase_add_loop_test(tc, likely_in_limited_motions, 0, ARRAY_LEN(watched));
    tcase_add_test(tc, lost_range_goes_before_pain);
}

BUILD_SUITE("rules_compensation")
