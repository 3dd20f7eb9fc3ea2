/*
 * Visits built by hand for the tests of findings, so that they depend on no rule: an empty one,
 * one with every status, and one that uses every name a document can hold.
 */
#ifndef ENDFEEL_FINDINGS_SAMPLE_H
#define ENDFEEL_FINDINGS_SAMPLE_H

#include <libxml/tree.h>
#include <libxml/xpath.h>
#include <string.h>

#include "findings/findings.h"
#include "unit.h"

/* A test need not use all of what stands here. */
#define SAMPLE __attribute__((unused)) static

SAMPLE const struct source source_a = {"ALPHA1990", "Alpha 1990, table 2", "", 0, ""};
SAMPLE const struct source source_b = {"BETA2001", "Beta 2001", "", 0, ""};
SAMPLE const struct source source_c = {"COMMON", "working rule", "", 0, ""};

SAMPLE const struct heel_rises rises_of_beta = {.id = "25/2-24/1",
                                                .source = &source_b,
                                                .known = {"seen second-hand", "seen second-hand"}};

SAMPLE struct motion knee_flexion = {.joint = "knee",
                                     .motion = "flexion",
                                     .region = "knee",
                                     .plane = "sagittal",
                                     .sides = SIDES_LEFT_RIGHT,
                                     .unit = UNIT_DEG,
                                     .rom = true,
                                     .mmt = true,
                                     .order = 50};
SAMPLE struct motion knee_extension = {.joint = "knee",
                                       .motion = "extension",
                                       .region = "knee",
                                       .plane = "sagittal",
                                       .sides = SIDES_LEFT_RIGHT,
                                       .unit = UNIT_DEG,
                                       .rom = true,
                                       .order = 51};
SAMPLE struct motion opposition = {.joint = "thumb-cmc",
                                   .motion = "opposition",
                                   .region = "hand",
                                   .plane = "multi",
                                   .sides = SIDES_LEFT_RIGHT,
                                   .unit = UNIT_CM,
                                   .rom = true,
                                   .order = 30};
SAMPLE struct motion pip_flexion = {.joint = "finger-pip",
                                    .motion = "flexion",
                                    .region = "hand",
                                    .plane = "sagittal",
                                    .sides = SIDES_LEFT_RIGHT,
                                    .unit = UNIT_DEG,
                                    .rom = true,
                                    .digit_min = 2,
                                    .digit_max = 5,
                                    .order = 40};
SAMPLE struct motion scapula = {.joint = "scapula",
                                .motion = "elevation",
                                .region = "shoulder",
                                .plane = "frontal",
                                .sides = SIDES_LEFT_RIGHT,
                                .mmt = true,
                                .order = 10};

SAMPLE struct norm knee_normal = {.motion = &knee_flexion,
                                  .source = &source_a,
                                  .known = {"memory", "unverified"},
                                  .kind = NORM_LEGAL,
                                  .unit = UNIT_DEG,
                                  .normal = 140,
                                  .hyper_ok = {true, 10},
                                  .max_plausible = {true, 170}};
SAMPLE struct norm straight = {.motion = &knee_extension,
                               .source = &source_a,
                               .known = {"seen: page", ""},
                               .kind = NORM_HANDBOOK,
                               .unit = UNIT_DEG,
                               .normal = 0,
                               .hyper_ok = {true, 10}};
SAMPLE struct norm gap = {.motion = &opposition,
                          .source = &source_a,
                          .known = {"seen: page", ""},
                          .kind = NORM_HANDBOOK,
                          .unit = UNIT_CM,
                          .lower_is_better = true,
                          .normal = 0};
SAMPLE struct norm knee_peers = {.motion = &knee_flexion,
                                 .source = &source_b,
                                 .known = {"seen second-hand: page", "seen second-hand"},
                                 .role = NORM_STRATUM,
                                 .kind = NORM_STUDY,
                                 .mode = MODE_PASSIVE,
                                 .sex = SEX_FEMALE,
                                 .unit = UNIT_DEG,
                                 .normal = 137.75,
                                 .sd = {true, 5.25},
                                 .age_min = 0.08,
                                 .age_max = 69,
                                 .n = {true, 40}};
SAMPLE const struct error_row knee_error = {.joint = "knee",
                                            .motion = "flexion",
                                            .source = &source_b,
                                            .known = {"memory", "unverified"},
                                            .unit = UNIT_DEG};
SAMPLE const struct error_row thumb_rule = {
    .source = &source_c, .known = {"common practice", "common practice"}, .rule_of_thumb = true};
SAMPLE const struct goniometry knee_set_up = {.end_feel = END_FEEL_SOFT,
                                              .end_feel_also = 1u << END_FEEL_FIRM,
                                              .end_feel_reason = "calf against thigh"};
SAMPLE const struct compensation hip_hike = {.id = "hip-hike",
                                             .what_you_see = "pelvis rises",
                                             .why = "makes up for a stiff knee",
                                             .how_to_prevent = "hold the pelvis",
                                             .known = {"memory", "unverified"}};
SAMPLE const struct grade grade_4 = {.text = "4", .ordinal = 9, .numeric = 4};
SAMPLE const struct grade grade_4_minus = {.text = "4-", .ordinal = 8, .numeric = 3.67};

SAMPLE const struct notation written_first = {.plane = "S", .place = NOTATION_FIRST};
SAMPLE const struct notation written_last = {.plane = "S", .place = NOTATION_LAST};

enum { SAMPLE_ROWS = 40 };
struct sample {
    struct clinic clinic;
    struct patient patient;
    struct visit visit;
    struct measurement readings[SAMPLE_ROWS];
    const struct measurement *from[SAMPLE_ROWS];
    struct finding rows[SAMPLE_ROWS];
    struct visit_findings v;
};

/* A patient with an id and a date, and nothing else. */
SAMPLE void sample_init(struct sample *s)
{
    memset(s, 0, sizeof *s);
    knee_flexion.notation = &written_last;
    knee_flexion.opposite = &knee_extension;
    knee_extension.notation = &written_first;
    knee_extension.opposite = &knee_flexion;
    knee_flexion.normal = &knee_normal;
    knee_flexion.goniometry = &knee_set_up;
    knee_extension.normal = &straight;
    opposition.normal = &gap;
    s->patient.id = "P-1";
    s->visit.patient = &s->patient;
    s->visit.date = (struct date){2025, 3, 4};
    s->visit.measurements = s->readings;
    s->v.patient = &s->patient;
    s->v.visit = &s->visit;
    s->v.clinic = &s->clinic;
    s->v.rows = s->rows;
}

/* A row without a number, with one reading behind it. */
SAMPLE struct finding *sample_row(struct sample *s, const struct motion *motion, enum side side,
                                  enum test test)
{
    ck_assert(s->v.n_rows < SAMPLE_ROWS);
    size_t i = s->v.n_rows++;
    s->visit.n_measurements = s->v.n_rows;
    struct measurement *m = &s->readings[i];
    m->motion = motion;
    m->side = side;
    m->test = test;
    s->from[i] = m;
    struct finding *f = &s->rows[i];
    f->motion = motion;
    f->side = side;
    f->test = test;
    f->from = &s->from[i];
    f->n_from = 1;
    f->icf = -1;
    f->status = READING_NOT_RECORDED;
    return f;
}

SAMPLE struct finding *sample_measured(struct sample *s, const struct motion *motion,
                                       enum side side, enum test test, double end)
{
    struct finding *f = sample_row(s, motion, side, test);
    f->status = READING_MEASURED;
    f->end = num_of(end);
    f->tries[0] = end;
    f->n_tries = 1;
    f->normal = motion->normal;
    s->v.n_measured++;
    return f;
}

SAMPLE struct measurement *sample_reading(struct sample *s, const struct finding *f)
{
    return &s->readings[f - s->rows];
}

/* The first diagnostic code with an outcome; every outcome has one. */
SAMPLE enum diag_code sample_code(enum diag_outcome outcome)
{
    for (int code = 0; code < DIAG_CODE_COUNT; code++)
        if (diag_outcome((enum diag_code)code) == outcome)
            return (enum diag_code)code;
    ck_abort_msg("no diagnostic has the outcome %d", outcome);
}

/* ---- a visit that uses every name ------------------------------------------------------------ */

SAMPLE void sample_people_and_episode(struct sample *s)
{
    s->clinic = (struct clinic){.heading = "Clinic of the tests",
                                .address = "1 Test Street",
                                .phone = "555-0100",
                                .logo = "logo.png"};
    struct patient *p = &s->patient;
    p->name = "Test, Person";
    p->birth_date = (struct date){1954, 1, 2};
    p->sex = SEX_FEMALE;
    p->dominant_side = SIDE_RIGHT;
    p->affected_side = SIDE_LEFT;
    p->body_mass_kg = num_of(70.25);
    p->diagnosis = "words of the clinician";
    p->diagnosis_code = "X00";
    p->procedure = "procedure";
    p->weight_bearing = "full";
    p->referrer = "Dr Test";
    p->referrer_address = "2 Test Street";
    p->referral_reason = "stiff knee";
    p->onset_date = p->surgery_date = (struct date){2025, 1, 5};
    p->plan_start = p->certified_on = (struct date){2025, 1, 6};
    struct visit *visit = &s->visit;
    visit->kind = VISIT_PROGRESS;
    visit->treatment_day = num_of(10);
    visit->measured_by = "A. Tester";
    visit->role = ROLE_PT;
    visit->signed_on = (struct date){2025, 3, 4};
    visit->plan = "go on";
    visit->question_to_referrer = "brace?";
    visit->protocol = "MRC-sum";
    visit->outcome_name = "score";
    visit->outcome_score = "12";
    visit->pain_rest_low = visit->pain_rest_high = num_of(2);
    visit->pain_move_low = num_of(3);
    visit->pain_move_high = num_of(4);
    s->v.age = num_of(71);
}

SAMPLE struct error_used sample_error(void)
{
    return (struct error_used){.basis = BASIS_PUBLISHED,
                               .row = &knee_error,
                               .sem = {true, 4.1},
                               .mdc90 = {true, 9.5},
                               .mdc95 = {true, 11.36},
                               .limit = {true, 11.36}};
}

SAMPLE struct comparison sample_change(double value, double change, enum verdict verdict)
{
    return (struct comparison){.date = {2025, 2, 4},
                               .value = {true, value},
                               .change = {true, change},
                               .verdict = verdict,
                               .error = sample_error()};
}

SAMPLE const struct demand sample_need = {.activity_id = "climb-stairs",
                                          .activity = "Go up stairs",
                                          .icf_code = "d4551",
                                          .motion = &knee_flexion,
                                          .needed = 130.4,
                                          .from = {true, 5},
                                          .unit = UNIT_DEG,
                                          .basis = "mean-peak",
                                          .population = "healthy adults",
                                          .source = &source_a,
                                          .known = {"memory", "unverified"}};
SAMPLE const struct force_norm sample_forces = {.measure = "knee",
                                                .motion = &knee_flexion,
                                                .sex = SEX_FEMALE,
                                                .side = SIDE_RIGHT,
                                                .age_min = {true, 70},
                                                .age_max = {true, 74},
                                                .n = {true, 26},
                                                .source = &source_b,
                                                .known = {"seen: page", ""}};
SAMPLE const struct goal sample_goal = {.id = "G1",
                                        .motion = &knee_flexion,
                                        .side = SIDE_RIGHT,
                                        .test = TEST_AROM,
                                        .activity = "stairs",
                                        .value = {true, 115},
                                        .baseline = {true, 72},
                                        .due = {2025, 4, 1}};
SAMPLE const struct goal sample_grade_goal = {.id = "G2",
                                              .motion = &knee_flexion,
                                              .side = SIDE_LEFT,
                                              .test = TEST_MMT,
                                              .grade = &grade_4};
SAMPLE const struct goal sample_digit_goal = {.id = "G3",
                                              .motion = &pip_flexion,
                                              .side = SIDE_LEFT,
                                              .digit = 3,
                                              .test = TEST_PROM,
                                              .value = {true, 90}};
SAMPLE const struct limit sample_limit = {.kind = LIMIT_RANGE,
                                          .motion = &knee_flexion,
                                          .side = SIDE_RIGHT,
                                          .test = TEST_AROM,
                                          .value = {true, 90},
                                          .from = {2025, 3, 1},
                                          .until = {2025, 4, 2},
                                          .by = "Dr Test"};
SAMPLE const struct limit sample_digit_limit = {
    .kind = LIMIT_NO_TEST, .motion = &pip_flexion, .side = SIDE_LEFT, .digit = 3};

SAMPLE struct goal_finding sample_goals[3];
SAMPLE struct limit_finding sample_limits[3];
SAMPLE struct reminder sample_reminders[2];
SAMPLE struct trend_point sample_points[3];
SAMPLE struct trend sample_trend;

/* One goal of the row, two of motions that were not measured; a limit of the row, two in force; a
 * trend; reminders; problems told first. */
SAMPLE void sample_aims(struct sample *s, struct finding *f)
{
    struct date earlier = {2025, 2, 4};
    sample_goals[0] = (struct goal_finding){.goal = &sample_goal,
                                            .row = f,
                                            .status = "on-course",
                                            .target = {true, 115},
                                            .baseline = {true, 72},
                                            .baseline_date = earlier,
                                            .gained = {true, 40.25},
                                            .remaining = {true, 2.75},
                                            .percent = {true, 93.6},
                                            .expected = {true, 93.5},
                                            .days_left = {true, 28},
                                            .met_on = {2025, 3, 4},
                                            .late = true};
    sample_goals[1] = (struct goal_finding){.goal = &sample_grade_goal,
                                            .status = "not-measured",
                                            .target = {true, 4},
                                            .baseline = {true, 3.67},
                                            .baseline_grade = &grade_4_minus,
                                            .last = {true, 3.67},
                                            .last_grade = &grade_4_minus,
                                            .last_date = earlier};
    sample_goals[2] = (struct goal_finding){.goal = &sample_digit_goal,
                                            .status = "not-measured",
                                            .target = {true, 90},
                                            .last = {true, 60},
                                            .last_date = earlier};
    f->goal = &sample_goals[0];
    s->v.goals = sample_goals;
    s->v.n_goals = ARRAY_LEN(sample_goals);
    sample_limits[0] = (struct limit_finding){.limit = &sample_limit, .status = "beyond"};
    sample_limits[1] = sample_limits[0];
    sample_limits[2] = (struct limit_finding){.limit = &sample_digit_limit};
    f->limit = &sample_limits[0];
    s->v.limits = sample_limits + 1;
    s->v.n_limits = 2;
    sample_points[0] = (struct trend_point){earlier, 100};
    sample_points[1] = (struct trend_point){{2025, 2, 18}, 106.25};
    sample_points[2] = (struct trend_point){{2025, 3, 4}, 112.25};
    sample_trend = (struct trend){.method = "known-error",
                                  .points = sample_points,
                                  .n = ARRAY_LEN(sample_points),
                                  .slope = 3.0625,
                                  .low = {true, 0.25},
                                  .high = {true, 5.875},
                                  .first_fit = 100.04,
                                  .last_fit = 112.29,
                                  .sem = {true, 4.1},
                                  .direction = "better"};
    f->trend = &sample_trend;
    sample_reminders[0] = (struct reminder){.id = "progress-report",
                                            .rule = "medicare-part-b",
                                            .status = "due",
                                            .count = 10,
                                            .due_at = 10,
                                            .at_least = true,
                                            .since = earlier};
    sample_reminders[1] = (struct reminder){.id = "plan-signature",
                                            .rule = "clinic",
                                            .status = "later",
                                            .count = 0,
                                            .due_at = 30,
                                            .since = {2025, 3, 4},
                                            .due = {2025, 4, 3}};
    s->v.reminders = sample_reminders;
    s->v.n_reminders = ARRAY_LEN(sample_reminders);
    s->v.check_first = "side";
    s->v.n_check_first = 2;
}

SAMPLE void sample_active_knee(struct sample *s)
{
    struct finding *f = sample_measured(s, &knee_flexion, SIDE_RIGHT, TEST_AROM, 112.25);
    struct measurement *m = sample_reading(s, f);
    m->text = "112; 112.5";
    m->fixed = m->derived = true;
    m->pain_from = num_of(60);
    m->pain_to = num_of(100);
    m->measured_by = f->measured_by = "S. Learner";
    m->supervisor = "A. Tester";
    m->role = f->role = ROLE_STUDENT;
    f->position = "sitting";
    f->timing = TIMING_BEFORE;
    f->tool = "goniometer";
    f->status_reason = "reason";
    f->start = num_of(10);
    f->tries[0] = 112;
    f->tries[1] = 112.5;
    f->n_tries = 2;
    f->sd = num_of(0.35355339);
    f->deficit = num_of(27.75);
    f->deficit_percent = num_of(19.8214);
    f->icf = 1;
    f->limited = LIMITED_YES;
    f->peers = &knee_peers;
    f->z = num_of(-4.857);
    f->percentile = num_of(0.04);
    f->other_value = num_of(128);
    f->side_difference = num_of(-15.75);
    f->side_index_percent = num_of(87.695);
    f->side_beyond_error = TRI_YES;
    f->error = sample_error();
    f->previous = sample_change(100, 12.25, VERDICT_BEYOND_ERROR);
    f->first = sample_change(110, 2.25, VERDICT_WITHIN_ERROR);
    sample_aims(s, f);
    f->pain = true;
    f->pain_low = num_of(3);
    f->pain_high = num_of(4);
    f->seen[0] = &hip_hike;
    f->seen_text[1] = "leans back";
    f->n_seen = 2;
    f->likely[0] = &hip_hike;
    f->n_likely = 1;
    f->neutral_zero = "0-10-112";
    f->demands[0] = (struct demand_short){&sample_need, 18.15, true};
    f->n_demands = 1;
    f->flags[0] = (struct flag){"beyond-limit", FLAG_WARNING};
    f->flags[1] = (struct flag){"peers-other-mode", FLAG_NOTE};
    f->n_flags = 2;
    f->notes[0] = sample_code(OUTCOME_NOTE);
    f->n_notes = 1;
    s->v.headline = f;
    s->v.n_limited = 1;
    s->v.n_compared = 3;
    s->v.n_better = 1;
}

SAMPLE void sample_other_readings(struct sample *s)
{
    struct finding *f = sample_measured(s, &knee_flexion, SIDE_LEFT, TEST_AROM, 128);
    f->position = "sitting";
    f->other_value = num_of(112.25);
    f->side_difference = num_of(15.75);
    f->side_index_percent = num_of(114.031);
    f->side_beyond_error = TRI_YES;
    f->error = sample_error();

    f = sample_measured(s, &knee_flexion, SIDE_RIGHT, TEST_PROM, 118);
    f->position = "sitting";
    f->end_feel = END_FEEL_HARD;
    f->other_value = num_of(131);
    f->other_date = (struct date){2025, 2, 4};
    f->error = (struct error_used){
        .basis = BASIS_RULE_OF_THUMB, .row = &thumb_rule, .limit = {true, 5}};

    f = sample_row(s, &knee_flexion, SIDE_RIGHT, TEST_MMT);
    f->status = READING_MEASURED;
    f->position = "sitting";
    f->grade = &grade_4;
    f->muscle = "hamstrings";
    f->pain = true;
    f->previous = (struct comparison){.date = {2025, 2, 4},
                                      .value = {true, 3.67},
                                      .grade = &grade_4_minus,
                                      .change = {true, 0.33},
                                      .verdict = VERDICT_WITHIN_ERROR};
    sample_reading(s, f)->technique = TECHNIQUE_BREAK;
    sample_reading(s, f)->repetitions = num_of(14);
    f->heel_rises = &rises_of_beta;
    s->v.headline = s->v.headline == NULL ? f : s->v.headline;

    f = sample_row(s, &knee_flexion, SIDE_RIGHT, TEST_FORCE);
    f->status = READING_MEASURED;
    f->position = "sitting";
    f->tool = "dynamometer";
    f->force_n = num_of(180);
    f->torque_nm = num_of(57.6);
    f->torque_nm_per_kg = num_of(0.8);
    f->force_norm = &sample_forces;
    f->force_mean_n = num_of(220.64);
    f->force_sd_n = num_of(40.25);
    f->z = num_of(-0.9912);
    f->percentile = num_of(16.08);

    f = sample_row(s, &pip_flexion, SIDE_LEFT, TEST_AROM);
    f->digit = 3;
    f->timing = TIMING_AFTER;
    f->position = "supine";
    f->status = READING_NOT_TESTED;
    f->status_reason = "pain";
    sample_reading(s, f)->text = "NT (pain)";
}

/* ---- patterns and sums that use every name ---------------------------------------------------- */

SAMPLE const struct capsular sample_capsule = {.joint = "knee",
                                               .evidence = "mixed",
                                               .source = &source_b,
                                               .known = {"memory", "unverified"}};
SAMPLE const struct tension sample_tension = {.id = "painful-arc",
                                              .caveat = "often clearer going up",
                                              .recheck = "end-feel other-side",
                                              .known = {"seen: page", ""}};
SAMPLE const struct muscle_length sample_length = {.id = "short-calf",
                                                   .muscle = "calf",
                                                   .recheck = "knee-angle",
                                                   .known = {"common practice", "common practice"}};
SAMPLE const struct sum_item sample_items[2] = {{"L3", &knee_extension, 0},
                                                {"C8", &pip_flexion, 3}};
SAMPLE const struct cut_off sample_cut = {CUT_AT_MOST, 20, "walks little", "spinal cord"};
SAMPLE const struct cut_off *sample_reached[] = {&sample_cut};
SAMPLE const struct score_gap sample_gaps[2] = {{&sample_items[0], SIDE_RIGHT},
                                                {&sample_items[1], SIDE_LEFT}};
SAMPLE const struct sum_score sample_sum = {.id = "isncsci-lems",
                                            .name = "Lower score",
                                            .protocol = "ISNCSCI",
                                            .max_total = 50,
                                            .max_per_side = {true, 25},
                                            .source = &source_a,
                                            .known = {"memory", "unverified"}};

SAMPLE struct pattern sample_patterns[4];
SAMPLE struct score sample_scores[2];
SAMPLE const struct finding *sample_pattern_rows[8];

SAMPLE void sample_patterns_and_scores(struct sample *s)
{
    for (size_t i = 0; i < s->v.n_rows && i < ARRAY_LEN(sample_pattern_rows); i++)
        sample_pattern_rows[i] = &s->rows[i];
    sample_patterns[0] = (struct pattern){.kind = "capsular-pattern",
                                          .tension = &sample_tension,
                                          .capsular = &sample_capsule,
                                          .joint = "knee",
                                          .side = SIDE_RIGHT,
                                          .digit = 2,
                                          .rows = sample_pattern_rows,
                                          .n_rows = s->v.n_rows};
    sample_patterns[1] = (struct pattern){.kind = "painful-arc",
                                          .tension = &sample_tension,
                                          .joint = "knee",
                                          .motion = &knee_flexion,
                                          .side = SIDE_LEFT,
                                          .from = num_of(60),
                                          .to = num_of(100),
                                          .rows = sample_pattern_rows,
                                          .n_rows = 1};
    sample_patterns[2] = (struct pattern){.kind = "short-calf",
                                          .length = &sample_length,
                                          .joint = "ankle",
                                          .side = SIDE_LEFT,
                                          .gap = num_of(12.34),
                                          .rows = sample_pattern_rows,
                                          .n_rows = 2};
    sample_patterns[3] = (struct pattern){.kind = "myotome-cluster",
                                          .tension = &sample_tension,
                                          .side = SIDE_LEFT,
                                          .roots = "C5 C6",
                                          .nerve = "radial",
                                          .rows = sample_pattern_rows,
                                          .n_rows = 1};
    s->v.patterns = sample_patterns;
    s->v.n_patterns = ARRAY_LEN(sample_patterns);
    sample_scores[0] = (struct score){.sum = &sample_sum,
                                      .right = num_of(9),
                                      .left = num_of(11),
                                      .total = num_of(20),
                                      .whole_grades = true,
                                      .reached = sample_reached,
                                      .n_reached = 1};
    sample_scores[1] = (struct score){
        .sum = &sample_sum, .left = num_of(11), .gaps = sample_gaps, .n_gaps = 2};
    s->v.scores = sample_scores;
    s->v.n_scores = ARRAY_LEN(sample_scores);
}

SAMPLE struct diag sample_problems[2];
SAMPLE void sample_fill(struct sample *s)
{
    sample_init(s);
    sample_people_and_episode(s);
    sample_active_knee(s);
    sample_other_readings(s);
    sample_patterns_and_scores(s);
    struct diag_pos pos = {"knee.csv", 4, 7, "value"};
    sample_problems[0] =
        (struct diag){sample_code(OUTCOME_HELD_BACK), pos, ">120", "a number"};
    sample_problems[1] = (struct diag){sample_code(OUTCOME_NOTE), pos, NULL, NULL};
    s->visit.problems = sample_problems;
    s->visit.n_problems = 2;
}

/* ---- asking a document --------------------------------------------------------------------- */

/* The string value of an XPath expression; one document at a time, freed by the next call. */
SAMPLE const char *ask(xmlDoc *doc, const char *expression)
{
    static char text[4096];
    xmlXPathContext *context = xmlXPathNewContext(doc);
    xmlXPathObject *found = xmlXPathEval(BAD_CAST expression, context);
    ck_assert_msg(found != NULL, "%s", expression);
    xmlChar *value = xmlXPathCastToString(found);
    snprintf(text, sizeof text, "%s", (const char *)value);
    xmlFree(value);
    xmlXPathFreeObject(found);
    xmlXPathFreeContext(context);
    return text;
}

struct answer {
    const char *expression, *value;
};
SAMPLE void expect(xmlDoc *doc, const struct answer *answers, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const char *value = ask(doc, answers[i].expression);
        ck_assert_msg(strcmp(value, answers[i].value) == 0, "%s: \"%s\", not \"%s\"",
                      answers[i].expression, value, answers[i].value);
    }
}

#endif
