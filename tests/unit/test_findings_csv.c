/* The CSV form: what is missing is empty, the columns stand in the published order, and no cell
 * can become a formula. */
#include "findings_sample.h"

static const char header[] =
    "patient_id,visit_date,joint,motion,side,digit,test,position,tool,timing,muscle,measured_by,"
    "role,status,status_reason,unit,start_deg,end_deg,tries,sd_deg,normal_deg,normal_source,"
    "deficit_deg,deficit_percent,icf,limited,peers_mean,peers_sd,peers_source,z,percentile,"
    "other_side_deg,other_side_date,side_difference_deg,side_index_percent,"
    "side_beyond_error,previous_date,previous_deg,change_deg,sem_deg,mdc95_deg,error_limit_deg,"
    "error_basis,error_source,change_verdict,first_date,first_deg,change_from_first_deg,"
    "first_verdict,goal_deg,goal_percent,goal_status,"
    "limit_deg,limit_status,grade,grade_score,force_n,torque_nm,torque_nm_per_kg,end_feel,"
    "end_feel_expected,pain,compensations_seen,"
    "compensations_likely,demands_short,neutral_zero,flags,notes\r\n";

/* Splits the one row of `rows` (no quoted cells) and gives the cell under a column's name. */
static const char *cell_under(const char *rows, const char *column)
{
    static char cell[256];
    const char *name = header, *value = rows;
    size_t len = strlen(column);
    while (strncmp(name, column, len) != 0 || strchr(",\r", name[len]) == NULL) {
        name = strchr(name, ',');
        value = strchr(value, ',');
        ck_assert_msg(name != NULL && value != NULL, "no column %s", column);
        name++;
        value++;
    }
    snprintf(cell, sizeof cell, "%.*s", (int)strcspn(value, ",\r"), value);
    return cell;
}

static void expect_cells(const struct sample *s, const struct answer *cells, size_t n)
{
    struct buf out;
    buf_init(&out, 1 << 20);
    findings_csv_rows(&s->v, &out);
    for (size_t i = 0; i < n; i++) {
        const char *cell = cell_under(buf_text(&out), cells[i].expression);
        ck_assert_msg(strcmp(cell, cells[i].value) == 0, "%s: \"%s\", not \"%s\"",
                      cells[i].expression, cell, cells[i].value);
    }
    buf_release(&out);
}

START_TEST(no_rows)
{
    struct sample s;
    sample_init(&s);
    struct buf out;
    buf_init(&out, 1 << 20);
    findings_csv_rows(&s.v, &out);
    ck_assert_uint_eq(out.len, 0);
    findings_csv_header(false, &out);
    ck_assert_str_eq(buf_text(&out), header);
    buf_release(&out);
}
END_TEST

/* A row without a number: key, status, unit, and nothing that looks like a figure. */
START_TEST(empty_is_not_known)
{
    struct sample s;
    sample_init(&s);
    struct finding *f = sample_row(&s, &pip_flexion, SIDE_LEFT, TEST_AROM);
    f->digit = 3;
    f->status = READING_NOT_TESTED;
    f->status_reason = "pain, swelling";
    struct buf out;
    buf_init(&out, 1 << 20);
    findings_csv_rows(&s.v, &out);
    ck_assert_str_eq(buf_text(&out),
                     "P-1,2025-03-04,finger-pip,flexion,left,3,AROM,,,,,,,not-tested,"
                     "\"pain, swelling\",deg,,,,,,,,,,,,,,,,,,,,,,,,,,"
                     ",,,,,,,,,,,,,,,,,,,,,,,,,,\r\n");
    buf_release(&out);
}
END_TEST

START_TEST(every_status_has_a_row)
{
    static const char *const names[] = {"measured",       "estimated",    "no-angle",
                                        "not-tested",     "not-applicable", "not-recorded",
                                        "held-back"};
    for (int status = 0; status < READING_STATUS_COUNT; status++) {
        struct sample s;
        sample_init(&s);
        sample_row(&s, &knee_flexion, SIDE_LEFT, TEST_PROM)->status = (enum reading_status)status;
        const struct answer cells[] = {
            {"status", names[status]}, {"end_deg", ""}, {"icf", ""}, {"limited", ""}};
        expect_cells(&s, cells, ARRAY_LEN(cells));
    }
}
END_TEST

START_TEST(figures)
{
    struct sample s;
    sample_init(&s);
    sample_active_knee(&s);
    static const struct answer cells[] = {
        {"patient_id", "P-1"},
        {"position", "sitting"},
        {"tool", "goniometer"},
        {"timing", "before"},
        {"measured_by", "S. Learner"},
        {"role", "student"},
        {"status", "measured"},
        {"unit", "deg"},
        {"start_deg", "10.0"},
        {"end_deg", "112.3"},
        {"tries", "2"},
        {"sd_deg", "0.4"},
        {"normal_deg", "140.0"},
        {"normal_source", "ALPHA1990"},
        {"deficit_deg", "27.8"},
        {"deficit_percent", "19.8"},
        {"icf", "1"},
        {"limited", "yes"},
        {"peers_mean", "137.8"},
        {"peers_sd", "5.3"},
        {"peers_source", "BETA2001"},
        {"z", "-4.86"},
        {"percentile", "0.0"},
        {"other_side_deg", "128.0"},
        {"other_side_date", ""},
        {"side_difference_deg", "-15.8"},
        {"side_index_percent", "87.7"},
        {"side_beyond_error", "yes"},
        {"previous_date", "2025-02-04"},
        {"previous_deg", "100.0"},
        {"change_deg", "12.3"},
        {"sem_deg", "4.1"},
        {"mdc95_deg", "11.4"},
        {"error_limit_deg", "11.4"},
        {"error_basis", "published"},
        {"error_source", "BETA2001"},
        {"change_verdict", "beyond-error"},
        {"first_date", "2025-02-04"},
        {"first_deg", "110.0"},
        {"change_from_first_deg", "2.3"},
        {"first_verdict", "within-error"},
        {"goal_deg", "115.0"},
        {"goal_percent", "93.6"},
        {"goal_status", "on-course"},
        {"limit_deg", "90.0"},
        {"limit_status", "beyond"},
        {"end_feel_expected", ""},
        {"pain", "3 4"},
        {"compensations_seen", "hip-hike leans-back"},
        {"compensations_likely", "hip-hike"},
        {"demands_short", "climb-stairs"},
        {"neutral_zero", "0-10-112"},
        {"flags", "beyond-limit"},
    };
    expect_cells(&s, cells, ARRAY_LEN(cells));
}
END_TEST

/* Two people measured: the columns show the wider error that the change was held against. */
START_TEST(error_of_the_change)
{
    struct sample s;
    sample_init(&s);
    sample_active_knee(&s);
    struct finding *f = &s.v.rows[0];
    f->previous.error.limit = num_of(17.6);
    f->previous.error.sem = num_none();
    static const struct answer two[] = {{"error_limit_deg", "17.6"}, {"sem_deg", ""}};
    expect_cells(&s, two, ARRAY_LEN(two));
    f->previous.verdict = VERDICT_NOT_COMPARABLE;
    static const struct answer own[] = {{"error_limit_deg", "11.4"}, {"sem_deg", "4.1"}};
    expect_cells(&s, own, ARRAY_LEN(own));
}
END_TEST

/* Whatever else is known of a row: without a number of its own it shows no figure. */
START_TEST(no_number_no_figure)
{
    struct sample s;
    sample_init(&s);
    sample_active_knee(&s);
    s.rows[0].status = READING_NOT_TESTED;
    s.rows[0].grade = &grade_4;
    s.rows[0].n_notes = 0;
    struct buf out;
    buf_init(&out, 1 << 20);
    findings_csv_rows(&s.v, &out);
    ck_assert_str_eq(buf_text(&out),
                     "P-1,2025-03-04,knee,flexion,right,,AROM,sitting,goniometer,before,,"
                     "S. Learner,student,not-tested,reason,deg,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,"
                     "115.0,93.6,on-course,90.0,beyond,,,,,,,,3 4,hip-hike leans-back,hip-hike,,"
                     "0-10-112,beyond-limit,peers-other-mode\r\n");
    buf_release(&out);
}
END_TEST

/* Signs, zeros and halves: rounded away from zero, never -0.0. */
START_TEST(rounding)
{
    static const struct {
        double end, z;
        const char *end_text, *z_text;
    } rows[] = {
        {0, 0, "0.0", "0.00"},          {-0.04, -0.004, "0.0", "0.00"},
        {-0.05, -0.005, "-0.1", "-0.01"}, {2.25, 1.005, "2.3", "1.01"},
        {-10, -2.675, "-10.0", "-2.68"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct sample s;
        sample_init(&s);
        struct finding *f =
            sample_measured(&s, &knee_extension, SIDE_RIGHT, TEST_AROM, rows[i].end);
        f->z = num_of(rows[i].z);
        const struct answer cells[] = {{"end_deg", rows[i].end_text}, {"z", rows[i].z_text}};
        expect_cells(&s, cells, ARRAY_LEN(cells));
    }
}
END_TEST

START_TEST(strength_and_force)
{
    struct sample s;
    sample_init(&s);
    struct finding *f = sample_row(&s, &knee_flexion, SIDE_RIGHT, TEST_MMT);
    f->status = READING_MEASURED;
    f->grade = &grade_4_minus;
    f->pain = true;
    f->muscle = "hamstrings";
    f->previous = (struct comparison){.date = {2025, 2, 4},
                                      .value = {true, 4},
                                      .grade = &grade_4,
                                      .change = {true, -0.33},
                                      .verdict = VERDICT_WITHIN_ERROR};
    static const struct answer strength[] = {
        {"unit", ""},         {"grade", "4-"},        {"grade_score", "3.67"},
        {"pain", "yes"},      {"muscle", "hamstrings"}, {"previous_deg", "4"},
        {"change_deg", "-0.33"}, {"end_deg", ""},     {"end_feel_expected", ""},
    };
    expect_cells(&s, strength, ARRAY_LEN(strength));

    sample_init(&s);
    f = sample_row(&s, &knee_flexion, SIDE_RIGHT, TEST_FORCE);
    f->status = READING_MEASURED;
    f->force_n = num_of(180);
    f->torque_nm = num_of(57.65);
    f->torque_nm_per_kg = num_of(0.805);
    f->n_tries = 3;
    static const struct answer force[] = {
        {"test", "force"},      {"unit", ""},  {"force_n", "180.0"}, {"torque_nm", "57.7"},
        {"torque_nm_per_kg", "0.81"}, {"tries", "3"}, {"grade_score", ""},
    };
    expect_cells(&s, force, ARRAY_LEN(force));
}
END_TEST

/* Notes and flags keep apart; nothing is listed twice; what begins alike is not the same. */
START_TEST(lists)
{
    struct sample s;
    sample_init(&s);
    struct finding *f = sample_measured(&s, &knee_flexion, SIDE_RIGHT, TEST_PROM, 100);
    f->flags[0] = (struct flag){"arom", FLAG_ERROR};
    f->flags[1] = (struct flag){"arom-above-prom", FLAG_WARNING};
    f->flags[2] = (struct flag){"above", FLAG_WARNING};
    f->flags[3] = (struct flag){"arom", FLAG_WARNING};
    f->flags[4] = (struct flag){"peers-other-mode", FLAG_NOTE};
    f->n_flags = 5;
    f->notes[0] = f->notes[1] = DIAG_FILE_OPEN;
    f->n_notes = 2;
    f->pain_low = num_of(0);
    f->pain_high = num_of(0);
    f->end_feel = END_FEEL_EMPTY;
    static const struct answer cells[] = {
        {"flags", "arom arom-above-prom above"},
        {"notes", "peers-other-mode file-open"},
        {"pain", "0"},
        {"end_feel", "empty"},
        {"end_feel_expected", "soft"},
    };
    expect_cells(&s, cells, ARRAY_LEN(cells));
}
END_TEST

START_TEST(fields)
{
    static const struct {
        const char *text, *field;
    } rows[] = {
        {NULL, ""},
        {"", ""},
        {"plain", "plain"},
        {"a,b", "\"a,b\""},
        {"say \"x\"", "\"say \"\"x\"\"\""},
        {"two\nlines", "\"two\nlines\""},
        {" kept ", "\" kept \""},
        {"=1+1", "'=1+1"},
        {"=HYPERLINK(\"x\",1)", "\"'=HYPERLINK(\"\"x\"\",1)\""},
        {"+5", "'+5"},
        {"@x", "'@x"},
        {"\tx", "'\tx"},
        {"\rx", "\"'\rx\""},
        {"'x", "''x"},
        {"-10", "-10"},
        {"-10.5", "-10.5"},
        {"-10-120", "'-10-120"},
        {"-1+1", "'-1+1"},
        {"-x", "'-x"},
        {"-", "'-"},
        {"118\xc2\xb0", "118\xc2\xb0"},
    };
    struct buf out;
    buf_init(&out, 1 << 10);
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        buf_clear(&out);
        csv_field(&out, rows[i].text, true);
        ck_assert_str_eq(buf_text(&out), rows[i].field);
        buf_clear(&out);
        csv_field(&out, rows[i].text, false);
        ck_assert_str_eq(buf_text(&out) + 1, rows[i].field);
        ck_assert_int_eq(out.data[0], ',');
    }
    buf_release(&out);
}
END_TEST

START_TEST(text_cells_are_fields)
{
    struct sample s;
    sample_init(&s);
    s.patient.id = "=cmd";
    struct finding *f = sample_row(&s, &knee_flexion, SIDE_RIGHT, TEST_AROM);
    f->measured_by = "-me";
    static const struct answer cells[] = {{"patient_id", "'=cmd"}, {"measured_by", "'-me"}};
    expect_cells(&s, cells, ARRAY_LEN(cells));
}
END_TEST

START_TEST(manual_names_every_column)
{
    struct diag_list problems;
    diag_list_init(&problems);
    struct buf manual;
    buf_init(&manual, 1 << 20);
    ck_assert(file_read("docs/findings.md", 1 << 20, &manual, &problems.sink));
    const char *section = strstr(buf_text(&manual), "## As CSV");
    ck_assert_ptr_nonnull(section);
    char names[sizeof header], *rest = NULL;
    snprintf(names, sizeof names, "%s", header);
    for (char *name = strtok_r(names, ",\r\n", &rest); name != NULL;
         name = strtok_r(NULL, ",\r\n", &rest)) {
        const char *at = section;
        size_t len = strlen(name);
        while ((at = strstr(at, name)) != NULL &&
               (strchr("` ", at[-1]) == NULL || strchr("` ", at[len]) == NULL))
            at += len;
        ck_assert_msg(at != NULL, "%s is not in the manual", name);
    }
    buf_release(&manual);
    diag_list_release(&problems);
}
END_TEST

/* A force is held against a group in newtons; three activities stand apart by a space. */
START_TEST(forces_and_activities)
{
    static const struct demand needs[3] = {{.activity_id = "walk"},
                                           {.activity_id = "climb-stairs"},
                                           {.activity_id = "walk-slope"}};
    struct sample s;
    sample_init(&s);
    struct finding *f = sample_row(&s, &knee_flexion, SIDE_RIGHT, TEST_FORCE);
    f->status = READING_MEASURED;
    f->force_n = num_of(180);
    f->force_norm = &sample_forces;
    f->force_mean_n = num_of(220.64);
    f->force_sd_n = num_of(40.25);
    f->z = num_of(-0.9912);
    for (int i = 0; i < 3; i++)
        f->demands[i].demand = &needs[i];
    f->n_demands = 3;
    static const struct answer cells[] = {
        {"peers_mean", "220.6"},      {"peers_sd", "40.3"},    {"peers_source", "BETA2001"},
        {"z", "-0.99"},               {"percentile", ""},      {"force_n", "180.0"},
        {"demands_short", "walk climb-stairs walk-slope"},
    };
    expect_cells(&s, cells, ARRAY_LEN(cells));
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings csv");
    TCase *t = tcase_create("csv");
    tcase_add_test(t, no_rows);
    tcase_add_test(t, empty_is_not_known);
    tcase_add_test(t, every_status_has_a_row);
    tcase_add_test(t, figures);
    tcase_add_test(t, forces_and_activities);
    tcase_add_test(t, error_of_the_change);
    tcase_add_test(t, no_number_no_figure);
    tcase_add_test(t, rounding);
    tcase_add_test(t, strength_and_force);
    tcase_add_test(t, lists);
    tcase_add_test(t, manual_names_every_column);
    tcase_add_test(t, fields);
    tcase_add_test(t, text_cells_are_fields);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
