/* The CSV form: header, empty cells, digits, quoting. */
#include "agree_run.h"

#include <stdio.h>

static char *csv_of(const struct run *x, bool header)
{
    struct buf out;
    buf_init(&out, AGREE_CSV_MAX);
    agree_csv(x->r, header, &out);
    char *text = mem_strdup(buf_text(&out));
    buf_release(&out);
    return text;
}

/* Names that a spreadsheet or a reader of CSV would take apart, and a test to tell runs apart. */
START_TEST(awkward_names)
{
    static const struct agree_rating rows[] = {
        {.subject = "s", .rater = "=A, \"x\"", .value = 40, .test = "knee, flexion"},
        {.subject = "s", .rater = "B", .value = 41, .test = "knee, flexion"}};
    struct run x = run_angles(rows, 2);
    char *text = csv_of(&x, false);
    ck_assert_ptr_nonnull(
        strstr(text, "bias,\"'=A, \"\"x\"\":B\",-1,,,\"test knee, flexion; 1 subject\"\n"));
    ck_assert_ptr_nonnull(strstr(text, "\nn_raters,,2,,,\"test knee, flexion\"\n"));
    free(text);
    run_end(&x);
}
END_TEST

/* Every line has six cells: commas outside quotation marks. */
static void each_line_has_six(const char *text)
{
    int commas = 0;
    bool quoted = false;
    for (const char *s = text; *s != '\0'; s++) {
        quoted ^= *s == '"';
        commas += *s == ',' && !quoted;
        if (*s != '\n')
            continue;
        ck_assert_int_eq(commas, 5);
        commas = 0;
    }
}

START_TEST(whole)
{
    static const struct agree_rating rows[] = {
        {.subject = "s", .rater = "A", .value = 40}, {.subject = "s", .rater = "B", .value = 41.5},
        {.subject = "t", .rater = "A", .value = 60}, {.subject = "t", .rater = "B", .value = 58}};
    struct run x = run_angles(rows, ARRAY_LEN(rows));
    char *text = csv_of(&x, true);
    each_line_has_six(text);
    static const char *const lines[] = {
        "quantity,raters,value,low,high,note\nn_subjects,,2,,,\nn_raters,,2,,,\nicc_1_1,,0.99",
        "\nsem_consistency,,1.75,0.780761,55.842779,",
        "bias of raters left out\n",
        "\nrepeatability,,,,,no rater repeated a reading\n",
        "\nbias,A:B,0.25,",
        "\nloa_low,A:B,,,,2 subjects; limits need three\n",
        "\npercent_within_5,,100,,,2 of 2 differences of pairs of raters\n",
        "\npercent_within_5,A:B,100,15.811388,100,2 of 2\n",
    };
    for (size_t i = 0; i < ARRAY_LEN(lines); i++)
        ck_assert_msg(strstr(text, lines[i]) != NULL, "no %s in:\n%s", lines[i], text);
    char *again = csv_of(&x, true);
    ck_assert_str_eq(text, again);
    free(again);
    free(text);
    run_end(&x);
}
END_TEST

/* The largest run that is taken stays under the promised size. */
START_TEST(largest)
{
    static char raters[AGREE_RATERS_MAX][AGREE_NAME_MAX + 1];
    static char test[AGREE_NAME_MAX + 1];
    struct agree_rating rows[AGREE_RATERS_MAX * 3];
    size_t n = 0;
    memset(test, '"', AGREE_NAME_MAX);
    for (size_t i = 0; i < AGREE_RATERS_MAX; i++) {
        memset(raters[i], '"', AGREE_NAME_MAX);
        snprintf(raters[i] + AGREE_NAME_MAX - 4, 5, "%04zu", i);
        for (int try = 1; try <= 3; try++)
            rows[n++] = (struct agree_rating){
                .subject = "s", .rater = raters[i], .value = 40, .try = try, .test = test};
    }
    struct run x = run_angles(rows, n);
    char *text = csv_of(&x, true);
    ck_assert_uint_lt(strlen(text), AGREE_CSV_MAX / 4);
    free(text);
    run_end(&x);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("agree: CSV");
    TCase *c = tcase_create("csv");
    tcase_add_test(c, awkward_names);
    tcase_add_test(c, whole);
    tcase_add_test(c, largest);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
