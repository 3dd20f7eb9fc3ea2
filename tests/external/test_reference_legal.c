/*
 * The normal values of a public regulation (38 CFR part 4) against the rows that name it as their
 * source. The figures below are written from the regulation's side: "text" where a copy of the
 * words was read, "second-hand" where only a page restating them was, "from memory" where neither.
 * The plates themselves are drawings and were not seen.
 */
#include "../unit/unit.h"

#include "reference/reference.h"

#include <string.h>

static const struct legal {
    const char *joint, *motion, *source;
    double degrees; /* mm at the jaw */
    const char *mark;
} values[] = {
    /* 4.71a, rating formula for the spine, Note (2): normal forward flexion, extension and lateral
     * flexion of the cervical spine 45 each, rotation 80 each way. Text. */
    {"cervical", "flexion", "CFR471A_SPINE", 45, ""},
    {"cervical", "extension", "CFR471A_SPINE", 45, ""},
    {"cervical", "lateral-flexion", "CFR471A_SPINE", 45, ""},
    {"cervical", "rotation", "CFR471A_SPINE", 80, ""},
    /* Note (2): thoracolumbar flexion 90, extension, lateral flexion and rotation 30 each. Text. */
    {"trunk", "flexion", "CFR471A_SPINE", 90, ""},
    {"trunk", "extension", "CFR471A_SPINE", 30, ""},
    {"trunk", "lateral-flexion", "CFR471A_SPINE", 30, ""},
    {"trunk", "rotation", "CFR471A_SPINE", 30, ""},
    /* 4.71a, digits of the hand, Note (1), index to little finger: MCP 0-90, PIP 0-100, DIP 0-70 or
     * 80, zero being the straight finger. Text. */
    {"finger-mcp", "flexion", "CFR471A_DIGITS", 90, ""},
    {"finger-mcp", "extension", "CFR471A_DIGITS", 0, ""},
    {"finger-pip", "flexion", "CFR471A_DIGITS", 100, ""},
    {"finger-pip", "extension", "CFR471A_DIGITS", 0, ""},
    {"finger-dip", "flexion", "CFR471A_DIGITS", 80, ""},
    {"finger-dip", "extension", "CFR471A_DIGITS", 0, ""},
    /* 4.71, Plate I: shoulder flexion and abduction 0-180, rotations 0-90. Second-hand. */
    {"shoulder", "flexion", "CFR471_PLATES", 180, "seen second-hand"},
    {"shoulder", "abduction", "CFR471_PLATES", 180, "seen second-hand"},
    {"shoulder", "internal-rotation", "CFR471_PLATES", 90, "seen second-hand"},
    {"shoulder", "external-rotation", "CFR471_PLATES", 90, "seen second-hand"},
    /* Plate I: elbow 0-145 (second-hand; that the arc starts at 0, from memory), forearm pronation
     * 0-80, supination 0-85. Second-hand. */
    {"elbow", "flexion", "CFR471_PLATES", 145, "seen second-hand"},
    {"elbow", "extension", "CFR471_PLATES", 0, "unverified"},
    {"forearm", "pronation", "CFR471_PLATES", 80, "seen second-hand"},
    {"forearm", "supination", "CFR471_PLATES", 85, "seen second-hand"},
    /* Plate I: wrist palmar flexion 0-80, dorsiflexion 0-70, radial deviation 0-20, ulnar 0-45.
     * Second-hand. */
    {"wrist", "flexion", "CFR471_PLATES", 80, "seen second-hand"},
    {"wrist", "extension", "CFR471_PLATES", 70, "seen second-hand"},
    {"wrist", "radial-deviation", "CFR471_PLATES", 20, "seen second-hand"},
    {"wrist", "ulnar-deviation", "CFR471_PLATES", 45, "seen second-hand"},
    /* 4.71, Plate II: hip flexion 0-125, abduction 0-45; knee 0-140; ankle dorsiflexion 0-20,
     * plantar flexion 0-45. Second-hand. */
    {"hip", "flexion", "CFR471_PLATES", 125, "seen second-hand"},
    {"hip", "abduction", "CFR471_PLATES", 45, "seen second-hand"},
    {"knee", "flexion", "CFR471_PLATES", 140, "seen second-hand"},
    {"knee", "extension", "CFR471_PLATES", 0, "seen second-hand"},
    {"ankle", "dorsiflexion", "CFR471_PLATES", 20, "seen second-hand"},
    {"ankle", "plantar-flexion", "CFR471_PLATES", 45, "seen second-hand"},
    /* 4.150, code 9905: normal unassisted opening 35 to 50 mm; the lower end stands. Second-hand.
     */
    {"jaw", "opening", "CFR4150_TMD", 35, "seen second-hand"},
};

static struct reference *ref;

static void load(void)
{
    struct diag_list reported;
    diag_list_init(&reported);
    ref = reference_load_embedded(&reported.sink);
    ck_assert_ptr_nonnull(ref);
    diag_list_release(&reported);
}

static void release(void)
{
    reference_free(ref);
}

/* The only row of that source; a regulation gives one normal value a motion. */
static const struct norm *row_of(const struct legal *v)
{
    const struct motion *m = reference_motion(ref, v->joint, v->motion);
    const struct norm *found = NULL;
    ck_assert_ptr_nonnull(m);
    for (size_t k = 0; k < m->n_norms; k++) {
        if (!str_eq(m->norms[k].source->id, v->source))
            continue;
        ck_assert_msg(found == NULL, "%s %s has two rows of %s", v->joint, v->motion, v->source);
        found = &m->norms[k];
    }
    return found;
}

START_TEST(row_equals_the_regulation)
{
    const struct legal *v = &values[_i];
    const struct norm *n = row_of(v);
    ck_assert_msg(n != NULL, "%s %s has no row of %s", v->joint, v->motion, v->source);
    ck_assert_double_eq(n->normal, v->degrees);
    ck_assert_int_eq(n->kind, NORM_LEGAL);
    ck_assert_int_eq(n->sex, SEX_UNKNOWN);
    ck_assert_int_eq(n->unit, str_eq(v->joint, "jaw") ? UNIT_MM : UNIT_DEG);
    ck_assert_str_eq(n->known.mark, v->mark);
}
END_TEST

/* DIP "70 or 80" and opening "35 to 50" are bands; both ends must stay with the row. */
START_TEST(bands_keep_both_ends)
{
    static const struct {
        struct legal v;
        double low, high;
    } bands[] = {
        {{"finger-dip", "flexion", "CFR471A_DIGITS", 0, ""}, 70, 80},
        {{"jaw", "opening", "CFR4150_TMD", 0, ""}, 35, 50},
    };
    for (size_t i = 0; i < ARRAY_LEN(bands); i++) {
        const struct norm *n = row_of(&bands[i].v);
        ck_assert(n->range_low.has && n->range_high.has);
        ck_assert_double_eq(n->range_low.value, bands[i].low);
        ck_assert_double_eq(n->range_high.value, bands[i].high);
        ck_assert_str_eq(n->range_kind, "stated-normal-range");
    }
}
END_TEST

START_TEST(no_other_row_names_the_regulation)
{
    int rows = 0;
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        for (size_t k = 0; k < m->n_norms; k++)
            rows += str_starts(m->norms[k].source->id, "CFR");
    }
    ck_assert_int_eq(rows, (int)ARRAY_LEN(values));
}
END_TEST

/* The hip figures of an examination worksheet stand near the plates but are no regulation. */
START_TEST(worksheet_is_not_law)
{
    static const struct legal worksheet[] = {
        {"hip", "extension", "VA_WORKSHEET", 30, "seen second-hand"},
        {"hip", "adduction", "VA_WORKSHEET", 25, "seen second-hand"},
        {"hip", "internal-rotation", "VA_WORKSHEET", 40, "seen second-hand"},
        {"hip", "external-rotation", "VA_WORKSHEET", 60, "seen second-hand"},
    };
    for (size_t i = 0; i < ARRAY_LEN(worksheet); i++) {
        const struct norm *n = row_of(&worksheet[i]);
        ck_assert_ptr_nonnull(n);
        ck_assert_double_eq(n->normal, worksheet[i].degrees);
        ck_assert_int_eq(n->kind, NORM_HANDBOOK);
        ck_assert_int_ne(n->role, NORM_DEFAULT);
        ck_assert_str_eq(n->known.mark, worksheet[i].mark);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference legal");
    TCase *t = tcase_create("38 CFR part 4");
    tcase_add_unchecked_fixture(t, load, release);
    tcase_add_loop_test(t, row_equals_the_regulation, 0, (int)ARRAY_LEN(values));
    tcase_add_test(t, bands_keep_both_ends);
    tcase_add_test(t, no_other_row_names_the_regulation);
    tcase_add_test(t, worksheet_is_not_law);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
