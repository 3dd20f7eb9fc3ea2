/* The clinic file: strict reading, nearest names, defaults. */
#include "model/model.h"
#include "unit.h"

#include <string.h>
#include <unistd.h>

static struct diag_list diags;
static struct arena *arena;
static char path[64];

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
    return clinic_load(path, arena, &diags.sink);
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
    ck_assert_ptr_null(clinic_load(path, arena, &diags.sink));
    ck_assert_int_eq(diags.items[0].code, DIAG_FILE_OPEN);
}
END_TEST

START_TEST(all_settings_are_read)
{
    const struct clinic *c = load("<clinic>\n <heading> Ash Lane </heading><!-- note -->"
                                  "<address>1 Ash Lane</address><phone>555</phone>"
                                  "<logo>logo.png</logo><tolerance deg='4.5'/>"
                                  "<tries-apart deg='8'/><patterns show='no'/></clinic>");
    ck_assert_ptr_nonnull(c);
    ck_assert_str_eq(c->heading, "Ash Lane");
    ck_assert_str_eq(c->address, "1 Ash Lane");
    ck_assert_str_eq(c->phone, "555");
    ck_assert_str_eq(c->logo, "logo.png");
    ck_assert_double_eq(c->tolerance_deg, 4.5);
    ck_assert_double_eq(c->tries_apart_deg, 8);
    ck_assert(!c->show_patterns);
    ck_assert_uint_eq(strlen(c->digest), 64);
    ck_assert_uint_eq(diags.n, 0);
}
END_TEST

START_TEST(defaults_stand_where_nothing_is_said)
{
    const struct clinic *c = load("<clinic/>"), *d = clinic_default();
    ck_assert_ptr_nonnull(c);
    ck_assert_str_eq(c->heading, "");
    ck_assert_double_eq(c->tolerance_deg, d->tolerance_deg);
    ck_assert_double_eq(d->tolerance_deg, 5);
    ck_assert_double_eq(d->tries_apart_deg, 10);
    ck_assert(d->show_patterns);
    ck_assert_str_eq(d->digest, "");
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("model clinic");
    TCase *c = tcase_create("clinic");
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_loop_test(c, mistakes_are_refused, 0, (int)ARRAY_LEN(refused));
    tcase_add_test(c, absent_file_is_refused);
    tcase_add_test(c, all_settings_are_read);
    tcase_add_test(c, defaults_stand_where_nothing_is_said);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
