/* What one visit leaves for the next: the same findings, visit for visit, as from nothing, and
 * never what no longer holds. */
#include "rules_build.h"

enum { VISITS = 40 };

static void put_comparison(struct buf *out, const struct comparison *c)
{
    buf_addf(out, " %d-%d-%d %a %a %d", c->date.year, c->date.month, c->date.day, c->value.value,
             c->change.value, (int)c->verdict);
}

static void put_row(struct buf *out, const struct finding *f)
{
    buf_addf(out, "%s %d %d %a %a", f->motion->motion, (int)f->side, (int)f->test, f->end.value,
             f->torque_nm_per_kg.value);
    for (int i = 0; i < f->n_flags; i++)
        buf_addf(out, " %s", f->flags[i].id);
    put_comparison(out, &f->previous);
    put_comparison(out, &f->first);
    if (f->trend != NULL) {
        buf_addf(out, " %s %zu %a %a %a %a %a", f->trend->method, f->trend->n, f->trend->slope,
                 f->trend->low.value, f->trend->high.value, f->trend->first_fit,
                 f->trend->last_fit);
        for (size_t i = 0; i < f->trend->n; i++)
            buf_addf(out, " %a", f->trend->points[i].value);
    }
    buf_addc(out, '\n');
}

/* Every bit of every figure that another visit has a say in. */
static const char *text_of(const struct visit_findings *v, struct arena *a)
{
    struct buf out;
    buf_init(&out, 64 << 20);
    for (size_t i = 0; i < v->n_rows; i++)
        put_row(&out, &v->rows[i]);
    for (size_t k = 0; k < v->n_earlier; k++) {
        buf_addf(&out, "earlier %d %a\n", v->earlier[k]->visit == &v->patient->visits[k],
                 v->earlier[k]->age.value);
        for (size_t i = 0; i < v->earlier[k]->n_rows; i++)
            put_row(&out, &v->earlier[k]->rows[i]);
    }
    const char *text = arena_strdup(a, buf_text(&out));
    buf_release(&out);
    return text;
}

static void same_as_from_nothing(struct build *b, struct rules_course *course, size_t i)
{
    const struct visit *v = &b->visits[i];
    const char *kept = text_of(
        rules_evaluate_next(course, &b->patient, v, build_ref, &b->clinic, b->arena), b->arena);
    const char *fresh =
        text_of(rules_evaluate(&b->patient, v, build_ref, &b->clinic, b->arena), b->arena);
    size_t at = 0;
    while (kept[at] != '\0' && kept[at] == fresh[at])
        at++;
    ck_assert_msg(kept[at] == fresh[at], "visit %zu: %.200s\nfrom nothing: %.200s", i, kept + at,
                  fresh + at);
}

/* A reading of each week; `slip` is the visit on which the sides were exchanged. */
static struct build *new_course(size_t slip)
{
    struct build *b = build_new();
    for (unsigned i = 0; i < VISITS; i++) {
        char day[DATE_TEXT_MAX];
        date_format(day, date_from_days(20000 + 7 * (long)i));
        unsigned right = 40 + i + i * i % 7, left = 100 + i * i % 5;
        bool turned = i == slip;
        build_add(b, arena_printf(b->arena,
                                  "%s knee flexion right AROM %u tool=goniometer pos=%s;"
                                  "%s knee flexion left AROM %u tool=goniometer pos=%s;"
                                  "%s knee extension right force %u lever=30",
                                  day, turned ? left : right, i % 3 == 0 ? "prone" : "supine", day,
                                  turned ? right : left, i % 3 == 0 ? "prone" : "supine", day,
                                  200 + i % 11));
        b->visits[i].patient = &b->patient;
    }
    b->patient.body_mass_kg = num_of(70);
    return b;
}

START_TEST(the_next_visit_finds_the_same)
{
    struct build *b = new_course(20);
    struct rules_course *course = rules_course_new(b->arena);
    for (size_t i = 0; i < VISITS; i++)
        same_as_from_nothing(b, course, i);
    build_free(b);
}
END_TEST

START_TEST(what_holds_is_not_made_again)
{
    struct build *b = new_course(VISITS);
    struct rules_course *course = rules_course_new(b->arena);
    const struct visit_findings *v[VISITS];
    for (size_t i = 0; i < VISITS; i++)
        v[i] = rules_evaluate_next(course, &b->patient, &b->visits[i], build_ref, &b->clinic,
                                   b->arena);
    for (size_t i = 2; i < VISITS; i++)
        for (size_t k = 1; k < i; k++)
            ck_assert_ptr_eq(v[i]->earlier[k], v[i - 1]->earlier[k - 1]);
    build_free(b);
}
END_TEST

/* As when rows are read again after a correction: other readings for one of the visits before. */
static void correct(struct build *b, size_t i, double end)
{
    struct visit *v = &b->visits[i];
    struct measurement *ms = arena_alloc(b->arena, v->n_measurements * sizeof *ms);
    memcpy(ms, v->measurements, v->n_measurements * sizeof *ms);
    for (size_t k = 0; k < v->n_measurements; k++)
        if (ms[k].test == TEST_AROM && ms[k].side == SIDE_RIGHT)
            ms[k].end = num_of(ms[k].tries[0] = end);
    v->measurements = ms;
}

START_TEST(a_correction_of_an_earlier_visit_is_seen)
{
    struct build *b = new_course(VISITS);
    struct rules_course *course = rules_course_new(b->arena);
    for (size_t i = 0; i < VISITS / 2; i++)
        same_as_from_nothing(b, course, i);
    correct(b, 7, 120);
    for (size_t i = VISITS / 2; i < VISITS; i++)
        same_as_from_nothing(b, course, i);
    build_free(b);
}
END_TEST

START_TEST(a_visit_held_back_later_is_left_out)
{
    struct build *b = new_course(VISITS);
    struct rules_course *course = rules_course_new(b->arena);
    same_as_from_nothing(b, course, VISITS - 3);
    b->visits[4].held = true;
    same_as_from_nothing(b, course, VISITS - 2);
    b->visits[4].held = false;
    same_as_from_nothing(b, course, VISITS - 1);
    build_free(b);
}
END_TEST

START_TEST(another_body_mass_is_seen)
{
    struct build *b = new_course(VISITS);
    struct rules_course *course = rules_course_new(b->arena);
    same_as_from_nothing(b, course, 5);
    b->patient.body_mass_kg = num_of(80);
    same_as_from_nothing(b, course, 6);
    b->patient.body_mass_kg = num_none();
    same_as_from_nothing(b, course, 7);
    build_free(b);
}
END_TEST

/* Values met before in another order, with ties, and beyond what is kept. */
START_TEST(slopes_of_a_series_that_grows)
{
    enum { POINTS = 520, STEP = 13 };
    struct build *b = build_new();
    build_add(b, "2026-01-05 knee flexion right AROM 90");
    struct finding f = {.motion = b->visits[0].measurements[0].motion};
    struct rules_course *course = rules_course_new(b->arena);
    double t[POINTS], y[POINTS];
    for (size_t i = 0; i < POINTS; i++) {
        t[i] = (double)i / 7;
        y[i] = (double)((i * 37) % 23) + (i % 9 == 0 ? 0.5 : 0);
    }
    for (size_t n = 2; n <= POINTS; n += n < 40 ? 1 : STEP) {
        struct slope kept, fresh;
        if (n == 30)
            y[3] += 1; /* what was kept no longer begins the series */
        ck_assert(rules_theil_sen_kept(course, &f, t, y, n, 0.95, b->arena, &kept));
        ck_assert(rules_theil_sen(t, y, n, 0.95, b->arena, &fresh));
        ck_assert_mem_eq(&kept.slope, &fresh.slope, sizeof kept.slope);
        ck_assert_mem_eq(&kept.level, &fresh.level, sizeof kept.level);
        ck_assert_msg(kept.low.has == fresh.low.has && kept.exact == fresh.exact &&
                          memcmp(&kept.low.value, &fresh.low.value, sizeof(double)) == 0 &&
                          memcmp(&kept.high.value, &fresh.high.value, sizeof(double)) == 0,
                      "%zu points: %a to %a, not %a to %a", n, kept.low.value, kept.high.value,
                      fresh.low.value, fresh.high.value);
    }
    build_free(b);
}
END_TEST

/* One point has no slope, and the second makes the only one. */
START_TEST(a_series_begins_with_one_point)
{
    static const double t[] = {0, 1}, y[] = {1, 3};
    struct arena *a = arena_new();
    struct rules_course *course = rules_course_new(a);
    struct finding f = {.side = SIDE_RIGHT};
    struct slope s;
    ck_assert(!rules_theil_sen_kept(course, &f, t, y, 1, 0.95, a, &s));
    ck_assert(!rules_theil_sen_kept(course, &f, t, y, 1, 0.95, a, &s));
    ck_assert(rules_theil_sen_kept(course, &f, t, y, 2, 0.95, a, &s));
    ck_assert_double_eq(s.slope, 2);
    arena_free(a);
}
END_TEST

/* The slopes of a series are kept once it is asked for again, and then not reckoned anew; of as
 * many points as this, and of no more. */
START_TEST(slopes_are_kept_from_the_second_time_on)
{
    enum { POINTS = 500, FEW_BYTES = 80 << 10 };
    struct arena *keep = arena_new(), *first = arena_new(), *second = arena_new();
    struct rules_course *course = rules_course_new(keep);
    struct finding f = {.side = SIDE_RIGHT};
    struct slope s;
    double t[POINTS + 1], y[POINTS + 1];
    for (size_t i = 0; i <= POINTS; i++) {
        t[i] = (double)i;
        y[i] = (double)(i * i % 101);
    }
    ck_assert(rules_theil_sen_kept(course, &f, t, y, POINTS - 1, 0.95, first, &s));
    ck_assert_uint_lt(arena_bytes(keep), FEW_BYTES);
    ck_assert(rules_theil_sen_kept(course, &f, t, y, POINTS, 0.95, second, &s));
    ck_assert_uint_gt(arena_bytes(keep), POINTS * (POINTS - 1) / 2 * sizeof(double));
    arena_clear(second);
    ck_assert(rules_theil_sen_kept(course, &f, t, y, POINTS, 0.95, second, &s));
    ck_assert_uint_lt(arena_bytes(second), FEW_BYTES);
    ck_assert(rules_theil_sen_kept(course, &f, t, y, POINTS + 1, 0.95, second, &s));
    ck_assert_uint_gt(arena_bytes(second), POINTS * (POINTS + 1) / 2 * sizeof(double));
    arena_free(keep);
    arena_free(first);
    arena_free(second);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_test(tc, the_next_visit_finds_the_same);
    tcase_add_test(tc, what_holds_is_not_made_again);
    tcase_add_test(tc, a_series_begins_with_one_point);
    tcase_add_test(tc, slopes_are_kept_from_the_second_time_on);
    tcase_add_test(tc, a_correction_of_an_earlier_visit_is_seen);
    tcase_add_test(tc, a_visit_held_back_later_is_left_out);
    tcase_add_test(tc, another_body_mass_is_seen);
    tcase_add_test(tc, slopes_of_a_series_that_grows);
}

BUILD_SUITE("rules_course")
