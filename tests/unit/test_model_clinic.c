/* The clinic file: strict reading, nearest names, defaults. */
#include "model/model.h"
#include "unit.h"

#include <string.h>
#include <unistd.h>

static struct diag_list diags;
static struct arena *arena;
static struct reference *ref;
static char path[64];

/* Once for all tests: it takes longer than any of them. */
static void load_reference(void)
{
    diag_list_init(&diags);
    ref = reference_load_embedded(&diags.sink);
    ck_assert_ptr_nonnull(ref);
    diag_list_release(&diags);
}

static void release_reference(void)
{
    reference_free(ref);
}

static void set_up(void)
{
    diag_list_init(&diags);
    arena = arena_new();
    strcpy(path, "/tmp/endfeel-clinic-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    close(fd);
}

static void tear_down(void)
{
    unlink(path);
    diag_list_release(&diags);
    arena_free(arena);
}

static struct clinic *load(const char *xml)
{
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(xml, f);
    fclose(f);
    return clinic_load(path, ref, arena, &diags.sink);
}

static const struct {
    const char *xml;
    enum diag_code code;
    const char *detail; /* part of it, or NULL */
} refused[] = {
    {"", DIAG_XML_SYNTAX, NULL},
    {"<clinic>", DIAG_XML_SYNTAX, NULL},
    {"<!DOCTYPE clinic><clinic/>", DIAG_XML_UNSAFE, NULL},
    {"<settings/>", DIAG_XML_ELEMENT, "<clinic>"},
    {"<clinic name='x'/>", DIAG_XML_ATTRIBUTE, NULL},
    {"<clinic>words</clinic>", DIAG_XML_ELEMENT, "text outside"},
    {"<clinic><headng>A</headng></clinic>", DIAG_XML_ELEMENT, "heading"},
    {"<clinic><wallpaper/></clinic>", DIAG_XML_ELEMENT, "not a setting"},
    {"<clinic><phone>1</phone><phone>2</phone></clinic>", DIAG_XML_ELEMENT, "twice"},
    {"<clinic><phone><b>1</b></phone></clinic>", DIAG_XML_ELEMENT, "text only"},
    {"<clinic><phone kind='x'>1</phone></clinic>", DIAG_XML_ATTRIBUTE, NULL},
    {"<clinic><tolerance/></clinic>", DIAG_XML_ATTRIBUTE, "missing"},
    {"<clinic><tolerance deg='5'>6</tolerance></clinic>", DIAG_XML_ELEMENT, "no content"},
    {"<clinic><tolerance deg='five'/></clinic>", DIAG_XML_VALUE, "0 to 90"},
    {"<clinic><tolerance deg='-1'/></clinic>", DIAG_XML_VALUE, NULL},
    {"<clinic><tries-apart deg='91'/></clinic>", DIAG_XML_VALUE, NULL},
    {"<clinic><tries-apart value='9'/></clinic>", DIAG_XML_ATTRIBUTE, "deg"},
    {"<clinic><patterns show='maybe'/></clinic>", DIAG_XML_VALUE, "yes"},
    {"<clinic><norms/></clinic>", DIAG_XML_ATTRIBUTE, "profile"},
    {"<clinic><norms profile='aaos'/></clinic>", DIAG_XML_VALUE, "profile=\"AAOS\""},
    {"<clinic><norms profile='legal'>x</norms></clinic>", DIAG_XML_ELEMENT, "no content"},
    {"<clinic><partial-against-gravity grade='3'/></clinic>", DIAG_XML_VALUE, "grade=\"2\""},
    {"<clinic><two-plus-by-resistance accept='1'/></clinic>", DIAG_XML_VALUE, "accept=\"no\""},
    {"<clinic><heel-rises table='30'/></clinic>", DIAG_XML_VALUE, "table=\"25/2-24/1\""},
    {"<clinic><heel-rises grade='20'/></clinic>", DIAG_XML_ATTRIBUTE, "table"},
    {"<clinic><five-minus accept='maybe'/></clinic>", DIAG_XML_VALUE, "accept=\"yes\""},
    {"<clinic><grade-scale steps='10'/></clinic>", DIAG_XML_VALUE, "steps=\"0-10\""},
    {"<clinic><grade-test method='held'/></clinic>", DIAG_XML_VALUE, "through-range"},
    {"<clinic><grade-change grades='0'/></clinic>", DIAG_XML_VALUE, "above 0"},
    {"<clinic><grade-change grades='5.1'/></clinic>", DIAG_XML_VALUE, "up to 5"},
    {"<clinic><progress-report days='0'/></clinic>", DIAG_XML_VALUE, "whole days"},
    {"<clinic><plan-signature days='30.5'/></clinic>", DIAG_XML_VALUE, "whole days"},
    {"<clinic><certification days='3651'/></clinic>", DIAG_XML_VALUE, "3650"},
    {"<clinic><certification day='90'/></clinic>", DIAG_XML_ATTRIBUTE, "days"},
};

START_TEST(mistakes_are_refused)
{
    ck_assert_msg(load(refused[_i].xml) == NULL, "%s", refused[_i].xml);
    ck_assert_uint_ge(diags.n, 1);
    ck_assert_str_eq(diag_id(diags.items[0].code), diag_id(refused[_i].code));
    ck_assert_str_eq(diags.items[0].pos.file, path);
    if (refused[_i].detail != NULL)
        ck_assert_msg(strstr(diags.items[0].detail, refused[_i].detail) != NULL, "%s: %s",
                      refused[_i].xml, diags.items[0].detail);
}
END_TEST

START_TEST(absent_file_is_refused)
{
    unlink(path);
    ck_assert_ptr_null(clinic_load(path, ref, arena, &diags.sink));
    ck_assert_int_eq(diags.items[0].code, DIAG_FILE_OPEN);
}
END_TEST

START_TEST(all_settings_are_read)
{
    const struct clinic *c = load("<clinic>\n <heading> Ash Lane </heading><!-- note -->"
                                  "<address>1 Ash Lane</address><phone>555</phone>"
                                  "<logo>logo.png</logo><locale name='de'/><tolerance deg='4.5'/>"
                                  "<tries-apart deg='8'/><patterns show='no'/></clinic>");
    ck_assert_ptr_nonnull(c);
    ck_assert_str_eq(c->heading, "Ash Lane");
    ck_assert_str_eq(c->address, "1 Ash Lane");
    ck_assert_str_eq(c->phone, "555");
    ck_assert_str_eq(c->logo, "logo.png");
    ck_assert_str_eq(c->locale, "de");
    ck_assert_double_eq(c->tolerance_deg, 4.5);
    ck_assert_double_eq(c->tries_apart_deg, 8);
    ck_assert(!c->show_patterns);
    ck_assert_uint_eq(strlen(c->digest), 64);
    ck_assert_uint_eq(diags.n, 0);
}
END_TEST

START_TEST(defaults_stand_where_nothing_is_said)
{
    const struct clinic *c = load("<clinic/>"), usual = clinic_default(ref), *d = &usual;
    ck_assert_ptr_nonnull(c);
    ck_assert_str_eq(c->heading, "");
    ck_assert_double_eq(c->tolerance_deg, d->tolerance_deg);
    ck_assert_double_eq(d->tolerance_deg, 5);
    ck_assert_double_eq(d->tries_apart_deg, 10);
    ck_assert(d->show_patterns);
    ck_assert_str_eq(d->digest, "");
}
END_TEST

/* Each word of each choice, and what it sets. */
static const struct {
    const char *setting;
    int norms, partial, method;
    bool two_plus;
} chosen[] = {
    {"", NORMS_DEFAULT, PARTIAL_TWO_PLUS_THREE_MINUS, GRADE_METHOD_NONE, true},
    {"<norms profile='default'/>", NORMS_DEFAULT, 0, 0, true},
    {"<norms profile='legal'/>", NORMS_LEGAL, 0, 0, true},
    {"<norms profile='AAOS'/>", NORMS_AAOS, 0, 0, true},
    {"<norms profile='AMA'/>", NORMS_AMA, 0, 0, true},
    {"<partial-against-gravity grade='2+/3-'/>", 0, PARTIAL_TWO_PLUS_THREE_MINUS, 0, true},
    {"<partial-against-gravity grade='2'/>", 0, PARTIAL_TWO, 0, true},
    {"<two-plus-by-resistance accept='yes'/>", 0, 0, 0, true},
    {"<two-plus-by-resistance accept='no'/>", 0, 0, 0, false},
    {"<grade-test method='make'/>", 0, 0, GRADE_METHOD_MAKE, true},
    {"<grade-test method='break'/>", 0, 0, GRADE_METHOD_BREAK, true},
    {"<grade-test method='through-range'/>", 0, 0, GRADE_METHOD_THROUGH_RANGE, true},
};

START_TEST(choices_are_read)
{
    char xml[200];
    snprintf(xml, sizeof xml, "<clinic>%s</clinic>", chosen[_i].setting);
    const struct clinic *c = load(xml);
    ck_assert_msg(c != NULL, "%s", xml);
    ck_assert_int_eq((int)c->norms, chosen[_i].norms);
    ck_assert_int_eq((int)c->partial_against_gravity, chosen[_i].partial);
    ck_assert_int_eq((int)c->grade_method, chosen[_i].method);
    ck_assert(c->two_plus_by_resistance == chosen[_i].two_plus);
}
END_TEST

START_TEST(scale_of_grades_is_read)
{
    const struct clinic *c =
        load("<clinic><five-minus accept='yes'/><grade-scale steps='0-10'/></clinic>");
    ck_assert_ptr_nonnull(c);
    ck_assert(c->five_minus && c->grades_of_ten);
    ck_assert_str_eq(c->heel_rises, "25/2-24/1");
    ck_assert_str_eq(load("<clinic><heel-rises table='20'/></clinic>")->heel_rises, "20");
    ck_assert_str_eq(load("<clinic><heel-rises table='quality'/></clinic>")->heel_rises, "quality");
    c = load("<clinic><five-minus accept='no'/><grade-scale steps='0-5'/></clinic>");
    ck_assert_ptr_nonnull(c);
    ck_assert(!c->five_minus && !c->grades_of_ten);
    const struct clinic usual = clinic_default(ref);
    ck_assert(!usual.five_minus && !usual.grades_of_ten);
}
END_TEST

START_TEST(days_and_grades_are_read)
{
    const struct clinic *c =
        load("<clinic><grade-change grades='0.67'/><progress-report days='8'/>"
             "<plan-signature days='14'/><certification days='60'/></clinic>");
    ck_assert_ptr_nonnull(c);
    ck_assert_double_eq(c->grade_change, 0.67);
    ck_assert_int_eq(c->progress_treatment_days, 8);
    ck_assert_int_eq(c->signature_days, 14);
    ck_assert_int_eq(c->certification_days, 60);
    const struct clinic usual = clinic_default(ref), *d = &usual;
    ck_assert_double_eq(d->grade_change, 1);
    ck_assert_int_eq(d->progress_treatment_days, 10);
    ck_assert_int_eq(d->signature_days, 30);
    ck_assert_int_eq(d->certification_days, 90);
}
END_TEST

/* The page for readers names every setting and every word of it, and its example loads. */
START_TEST(settings_are_documented)
{
    static char text[1 << 16];
    FILE *f = fopen("docs/clinic.md", "r");
    ck_assert_ptr_nonnull(f);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    ck_assert_int_eq(fclose(f), 0);
    static const char *const words[] = {
        "| `heading` ", "| `address` ", "| `phone` ", "| `logo` ", "| `locale name` ",
        "| `tolerance deg` ",
        "| `tries-apart deg` ", "| `patterns show` ", "| `norms profile` ",
        "| `partial-against-gravity grade` ", "| `two-plus-by-resistance accept` ",
        "| `five-minus accept` ", "| `grade-scale steps` ", "| `heel-rises table` ",
        "| `grade-test method` ", "| `grade-change grades` ",
        "| `progress-report days` ", "| `plan-signature days` ", "| `certification days` "};
    for (size_t i = 0; i < ARRAY_LEN(words); i++)
        ck_assert_msg(strstr(text, words[i]) != NULL, "docs/clinic.md lacks %s", words[i]);
    char *example = strstr(text, "<clinic>"), *end = strstr(text, "</clinic>");
    ck_assert(example != NULL && end != NULL);
    end[strlen("</clinic>")] = '\0';
    ck_assert_ptr_nonnull(load(example));
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("model clinic");
    TCase *c = tcase_create("clinic");
    tcase_add_unchecked_fixture(c, load_reference, release_reference);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_loop_test(c, mistakes_are_refused, 0, (int)ARRAY_LEN(refused));
    tcase_add_loop_test(c, choices_are_read, 0, (int)ARRAY_LEN(chosen));
    tcase_add_test(c, scale_of_grades_is_read);
    tcase_add_test(c, days_and_grades_are_read);
    tcase_add_test(c, settings_are_documented);
    tcase_add_test(c, absent_file_is_refused);
    tcase_add_test(c, all_settings_are_read);
    tcase_add_test(c, defaults_stand_where_nothing_is_said);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
