/* The cells that name a side or a kind of test. Each spelling is a row of a table; a word that
 * means one side in one language and the other in another is held back. */
#include "import/cells_int.h"

#include <string.h>

enum name_kind { NAME_KNOWN, NAME_BOTH, NAME_LANGUAGE, NAME_RELATIVE, NAME_ROM, NAME_ASSISTED };

struct name {
    const char *text; /* lower case, without brackets and points */
    enum name_kind kind;
    int value;
};

static const struct name sides[] = {
    {"r", NAME_KNOWN, SIDE_RIGHT},        {"rt", NAME_KNOWN, SIDE_RIGHT},
    {"right", NAME_KNOWN, SIDE_RIGHT},    {"right side", NAME_KNOWN, SIDE_RIGHT},
    {"l", NAME_KNOWN, SIDE_LEFT},         {"lt", NAME_KNOWN, SIDE_LEFT},
    {"left", NAME_KNOWN, SIDE_LEFT},      {"left side", NAME_KNOWN, SIDE_LEFT},
    {"midline", NAME_KNOWN, SIDE_MIDLINE}, {"mid", NAME_KNOWN, SIDE_MIDLINE},
    {"middle", NAME_KNOWN, SIDE_MIDLINE}, {"centre", NAME_KNOWN, SIDE_MIDLINE},
    {"center", NAME_KNOWN, SIDE_MIDLINE}, {"central", NAME_KNOWN, SIDE_MIDLINE},
    {"b", NAME_BOTH, 0},                  {"bl", NAME_BOTH, 0},
    {"b/l", NAME_BOTH, 0},                {"bil", NAME_BOTH, 0},
    {"bilat", NAME_BOTH, 0},              {"bilateral", NAME_BOTH, 0},
    {"bilaterally", NAME_BOTH, 0},        {"both", NAME_BOTH, 0},
    {"both sides", NAME_BOTH, 0},         {"r/l", NAME_BOTH, 0},
    {"l/r", NAME_BOTH, 0},                {"r+l", NAME_BOTH, 0},
    {"r&l", NAME_BOTH, 0},                {"r and l", NAME_BOTH, 0},
    {"right and left", NAME_BOTH, 0},     {"left and right", NAME_BOTH, 0},
    {"d", NAME_LANGUAGE, 0},              {"g", NAME_LANGUAGE, 0},
    {"re", NAME_LANGUAGE, 0},             {"li", NAME_LANGUAGE, 0},
    {"rechts", NAME_LANGUAGE, 0},         {"links", NAME_LANGUAGE, 0},
    {"izq", NAME_LANGUAGE, 0},            {"der", NAME_LANGUAGE, 0},
    {"dcha", NAME_LANGUAGE, 0},           {"izda", NAME_LANGUAGE, 0},
    {"droite", NAME_LANGUAGE, 0},         {"droit", NAME_LANGUAGE, 0},
    {"gauche", NAME_LANGUAGE, 0},         {"dx", NAME_LANGUAGE, 0},
    {"sx", NAME_LANGUAGE, 0},             {"sin", NAME_LANGUAGE, 0},
    {"dex", NAME_LANGUAGE, 0},            {"h", NAME_LANGUAGE, 0},
    {"v", NAME_LANGUAGE, 0},              {"e", NAME_LANGUAGE, 0},
    {"i", NAME_LANGUAGE, 0},              {"s", NAME_LANGUAGE, 0},
    {"involved", NAME_RELATIVE, 0},       {"uninvolved", NAME_RELATIVE, 0},
    {"affected", NAME_RELATIVE, 0},       {"unaffected", NAME_RELATIVE, 0},
    {"op", NAME_RELATIVE, 0},             {"operated", NAME_RELATIVE, 0},
    {"non-op", NAME_RELATIVE, 0},         {"sound", NAME_RELATIVE, 0},
    {"injured", NAME_RELATIVE, 0},        {"dominant", NAME_RELATIVE, 0},
    {"non-dominant", NAME_RELATIVE, 0},   {"other", NAME_RELATIVE, 0},
};

static const struct name tests[] = {
    {"arom", NAME_KNOWN, TEST_AROM},      {"a rom", NAME_KNOWN, TEST_AROM},
    {"a", NAME_KNOWN, TEST_AROM},         {"active", NAME_KNOWN, TEST_AROM},
    {"active rom", NAME_KNOWN, TEST_AROM}, {"active range", NAME_KNOWN, TEST_AROM},
    {"prom", NAME_KNOWN, TEST_PROM},      {"p rom", NAME_KNOWN, TEST_PROM},
    {"p", NAME_KNOWN, TEST_PROM},         {"passive", NAME_KNOWN, TEST_PROM},
    {"passive rom", NAME_KNOWN, TEST_PROM}, {"passive range", NAME_KNOWN, TEST_PROM},
    {"mmt", NAME_KNOWN, TEST_MMT},        {"muscle test", NAME_KNOWN, TEST_MMT},
    {"manual muscle test", NAME_KNOWN, TEST_MMT}, {"strength", NAME_KNOWN, TEST_MMT},
    {"grade", NAME_KNOWN, TEST_MMT},      {"force", NAME_KNOWN, TEST_FORCE},
    {"hhd", NAME_KNOWN, TEST_FORCE},      {"dynamometer", NAME_KNOWN, TEST_FORCE},
    {"dynamometry", NAME_KNOWN, TEST_FORCE},
    {"rom", NAME_ROM, 0},                 {"range", NAME_ROM, 0},
    {"range of motion", NAME_ROM, 0},     {"arom/prom", NAME_ROM, 0},
    {"aarom", NAME_ASSISTED, 0},          {"aa", NAME_ASSISTED, 0},
    {"active assisted", NAME_ASSISTED, 0}, {"active-assisted", NAME_ASSISTED, 0},
    {"active assistive", NAME_ASSISTED, 0}, {"assisted", NAME_ASSISTED, 0},
    {"rrom", NAME_ASSISTED, 0},           {"resisted", NAME_ASSISTED, 0},
};

/* The plain text without brackets round it and points after it. */
static const char *bare(const char *text, struct arena *a)
{
    struct plain plain;
    plain_make(text, a, &plain);
    char *s = arena_strdup(a, plain.text);
    while (*s == '(' || *s == '[' || *s == ' ')
        s++;
    size_t n = strlen(s);
    while (n > 0 && strchr(")] .", s[n - 1]) != NULL)
        s[--n] = '\0';
    return s;
}

static const struct name *find(const struct name *names, size_t n, const char *text)
{
    const char first = (char)(*text | 0x20); /* all names begin with a letter */
    for (size_t i = 0; i < n; i++) {
        if (names[i].text[0] == first && str_eq_nocase(names[i].text, text))
            return &names[i];
    }
    return NULL;
}

static bool is_placeholder(const char *s)
{
    return s[strspn(s, "-._?' ")] == '\0' || str_eq_nocase(s, "n/a") || str_eq_nocase(s, "na");
}

bool cell_side(const char *text, const struct cell_rules *rules, enum side *side,
               enum diag_code *why)
{
    static const enum diag_code codes[] = {[NAME_BOTH] = DIAG_CELL_SIDE_BOTH,
                                           [NAME_LANGUAGE] = DIAG_CELL_SIDE_LANGUAGE,
                                           [NAME_RELATIVE] = DIAG_CELL_SIDE_RELATIVE};
    const struct name *name = find(sides, ARRAY_LEN(sides), text); /* most cells */
    enum language language = rules_or_none(rules)->language;
    bool both = false;
    if (language != LANGUAGE_UNDECLARED && language_side(text, language, side, &both)) {
        *why = DIAG_CELL_SIDE_BOTH;
        return !both;
    }
    if (*text == '\0' || (name != NULL && name->kind == NAME_KNOWN)) {
        *side = name != NULL ? (enum side)name->value : SIDE_NONE;
        return true;
    }
    struct arena *a = arena_new();
    const char *s = bare(text, a);
    name = find(sides, ARRAY_LEN(sides), s);
    bool known = is_placeholder(s) || (name != NULL && name->kind == NAME_KNOWN);
    *side = known && name != NULL ? (enum side)name->value : SIDE_NONE;
    if (!known)
        *why = name != NULL ? codes[name->kind] : DIAG_CELL_SIDE_UNKNOWN;
    arena_free(a);
    return known;
}

bool cell_test(const char *text, enum test *test, enum diag_code *why)
{
    const struct name *name = find(tests, ARRAY_LEN(tests), text); /* most cells */
    if (*text == '\0' || (name != NULL && name->kind == NAME_KNOWN)) {
        *test = name != NULL ? (enum test)name->value : TEST_NONE;
        return true;
    }
    struct arena *a = arena_new();
    const char *s = bare(text, a);
    name = find(tests, ARRAY_LEN(tests), s);
    bool known = is_placeholder(s) || (name != NULL && name->kind == NAME_KNOWN);
    *test = known && name != NULL ? (enum test)name->value : TEST_NONE;
    if (!known && name != NULL)
        *why = name->kind == NAME_ROM ? DIAG_CELL_TEST_ROM : DIAG_CELL_TEST_ASSISTED;
    else if (!known)
        *why = DIAG_CELL_TEST_UNKNOWN;
    arena_free(a);
    return known;
}
