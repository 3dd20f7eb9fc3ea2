/* Ids like one another: which are held back, which told of, and which have nothing in common. */
#include "batch/batch_int.h"
#include "unit.h"

#include <string.h>

static const struct {
    const char *ids; /* of the input, parted by blanks; '+' behind: with facts */
    const char *asked;
    enum id_doubt doubt;
    const char *nearest;
} cases[] = {
    {"417", "417", ID_ALONE, NULL},
    {"417 418+", "417", ID_ALONE, NULL},
    {"417 4170+", "417", ID_ALONE, NULL},
    {"P-14 Q-14+", "P-14", ID_ALONE, NULL},
    {"12-3 1-23+", "12-3", ID_ALONE, NULL},
    {"100+ 10", "10", ID_ALONE, NULL},
    {"0 1+", "0", ID_ALONE, NULL},
    {"p-14 P-14+", "p-14", ID_ALONE, NULL},
    {"00417+ 417", "417", ID_HELD, "00417"},
    {"00417+ 417", "00417", ID_ALIKE, "417"},
    {"P-014+ P-O14", "P-O14", ID_HELD, "P-014"},
    {"P-014+ P-o14", "P-o14", ID_HELD, "P-014"},
    {"P-014+ P-14", "P-14", ID_HELD, "P-014"},
    {"P-O14+ P-014", "P-014", ID_HELD, "P-O14"},
    {"A-07-003+ A-7-3", "A-7-3", ID_HELD, "A-07-003"},
    {"0+ 00", "00", ID_HELD, "0"},
    {"00417 417", "417", ID_ALIKE, "00417"},
    {"00417+ 417+", "417", ID_ALIKE, "00417"},
    {"0417+ 00417+ 417", "417", ID_HELD, "00417"},
    {"0417 00417+ 417", "417", ID_HELD, "00417"},
    {"417 00417 00417+ 417", "417", ID_HELD, "00417"}, /* facts on a later row count */
};

static void add_all(struct ids *ids, const char *list)
{
    char text[200], *rest = NULL;
    snprintf(text, sizeof text, "%s", list);
    for (char *id = strtok_r(text, " ", &rest); id != NULL; id = strtok_r(NULL, " ", &rest)) {
        size_t n = strlen(id);
        bool facts = id[n - 1] == '+';
        id[n - (facts ? 1 : 0)] = '\0';
        ids_add(ids, id, facts);
    }
}

START_TEST(likeness)
{
    const char *nearest = NULL;
    struct ids *ids = ids_new();
    add_all(ids, cases[_i].ids);
    enum id_doubt doubt = ids_doubt(ids, cases[_i].asked, &nearest);
    ck_assert_msg(doubt == cases[_i].doubt, "%s of %s: %d", cases[_i].asked, cases[_i].ids, doubt);
    if (doubt != ID_ALONE)
        ck_assert_str_eq(nearest, cases[_i].nearest);
    ids_free(ids);
}
END_TEST

START_TEST(many_ids)
{
    enum { MANY = 20000 };
    const char *nearest;
    char id[32];
    struct ids *ids = ids_new();
    for (int i = 0; i < MANY; i++) {
        snprintf(id, sizeof id, "P-%06d", i);
        ids_add(ids, id, true);
    }
    for (int i = 0; i < MANY; i += 97) {
        snprintf(id, sizeof id, "P-%06d", i);
        ck_assert_int_eq(ids_doubt(ids, id, &nearest), ID_ALONE);
        snprintf(id, sizeof id, "P-%d", i);
        ids_add(ids, id, false);
        ck_assert_int_eq(ids_doubt(ids, id, &nearest), ID_HELD);
    }
    ids_free(ids);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("batch ids");
    TCase *c = tcase_create("ids");
    tcase_add_loop_test(c, likeness, 0, (int)ARRAY_LEN(cases));
    tcase_add_test(c, many_ids);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
