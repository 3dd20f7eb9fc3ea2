/* The words of the library's XML and their values, and the public names of units, sides, end feels
 * and instruments. */
#include "reference/reference_int.h"

#include <string.h>

const struct word unit_words[] = {
    {"deg", UNIT_DEG}, {"mm", UNIT_MM},           {"cm", UNIT_CM},         {"%", UNIT_PERCENT},
    {"N", UNIT_N},     {"Nm", UNIT_NM},           {"N/kg", UNIT_N_PER_KG}, {"kgf", UNIT_KGF},
    {"lbf", UNIT_LBF}, {"Nm/kg", UNIT_NM_PER_KG}, {"count", UNIT_COUNT},   {NULL, 0},
};
const struct word sides_words[] = {
    {"midline", SIDES_MIDLINE}, {"left+right", SIDES_LEFT_RIGHT}, {NULL, 0}};
const struct word tests_words[] = {{"rom", TEST_ROM},
                                   {"mmt", TEST_MMT},
                                   {"rom+mmt", TEST_ROM | TEST_MMT},
                                   {"both", TEST_ROM | TEST_MMT},
                                   {NULL, 0}};
const struct word sex_words[] = {
    {"any", SEX_UNKNOWN}, {"female", SEX_FEMALE}, {"male", SEX_MALE}, {NULL, 0}};
const struct word side_words[] = {{"any", SIDE_NONE},
                                  {"midline", SIDE_MIDLINE},
                                  {"right", SIDE_RIGHT},
                                  {"left", SIDE_LEFT},
                                  {NULL, 0}};
const struct word mode_words[] = {{"unspecified", MODE_UNSPECIFIED},
                                  {"active", MODE_ACTIVE},
                                  {"passive", MODE_PASSIVE},
                                  {NULL, 0}};
const struct word role_words[] = {{"default", NORM_DEFAULT},
                                  {"alt", NORM_ALT},
                                  {"stratum", NORM_STRATUM},
                                  {"special", NORM_SPECIAL},
                                  {NULL, 0}};
const struct word kind_words[] = {{"handbook", NORM_HANDBOOK},
                                  {"legal", NORM_LEGAL},
                                  {"population", NORM_POPULATION},
                                  {"study", NORM_STUDY},
                                  {NULL, 0}};
const struct word better_words[] = {{"higher", 0}, {"lower", 1}, {NULL, 0}};
const struct word instrument_words[] = {{"universal-goniometer", INSTRUMENT_GONIOMETER},
                                        {"inclinometer", INSTRUMENT_INCLINOMETER},
                                        {"tape", INSTRUMENT_TAPE},
                                        {"ruler", INSTRUMENT_RULER},
                                        {"visual", INSTRUMENT_VISUAL},
                                        {"hand-held-dynamometer", INSTRUMENT_DYNAMOMETER},
                                        {NULL, 0}};
const struct word rater_words[] = {{"intra", 0}, {"inter", 1}, {NULL, 0}};
const struct word end_feel_words[] = {{"soft", END_FEEL_SOFT},
                                      {"firm", END_FEEL_FIRM},
                                      {"hard", END_FEEL_HARD},
                                      {"empty", END_FEEL_EMPTY},
                                      {"spasm", END_FEEL_SPASM},
                                      {"springy", END_FEEL_SPRINGY},
                                      {NULL, 0}};
const struct word gravity_words[] = {{"applies", GRAVITY_APPLIES},
                                     {"exempt", GRAVITY_EXEMPT},
                                     {"modified", GRAVITY_MODIFIED},
                                     {NULL, 0}};
const struct word trigger_words[] = {{"limited", TRIGGER_LIMITED},
                                     {"weak", TRIGGER_WEAK},
                                     {"painful", TRIGGER_PAINFUL},
                                     {"both", TRIGGER_LIMITED | TRIGGER_WEAK},
                                     {NULL, 0}};
const struct word plane_words[] = {{"sagittal", 0}, {"frontal", 0}, {"transverse", 0},
                                   {"scapular", 0}, {"multi", 0},   {NULL, 0}};
const struct word position_words[] = {{"sitting", 0}, {"standing", 0},   {"supine", 0},
                                      {"prone", 0},   {"side-lying", 0}, {NULL, 0}};
const struct word direction_words[] = {
    {"na", 0}, {"same", 0}, {"opposite", 0}, {"either", 0}, {NULL, 0}};
const struct word range_kind_words[] = {
    {"p5-p95", 0}, {"min-max", 0}, {"range-of-means", 0}, {"stated-normal-range", 0}, {NULL, 0}};

const struct word yes_words[] = {{"no", 0}, {"yes", 1}, {NULL, 0}};

const struct word *word_find(const struct word *words, const char *text)
{
    for (const struct word *w = words; w->word != NULL; w++)
        if (strcmp(w->word, text) == 0)
            return w;
    return NULL;
}

/* The word of a value; "" when the list has none for it. */
static const char *word_of(const struct word *words, int value)
{
    for (const struct word *w = words; w->word != NULL; w++)
        if (w->value == value)
            return w->word;
    return "";
}

const char *unit_name(enum unit unit)
{
    return word_of(unit_words, (int)unit);
}

const char *side_name(enum side side)
{
    return side == SIDE_NONE ? "" : word_of(side_words, (int)side);
}

const char *end_feel_name(enum end_feel feel)
{
    return word_of(end_feel_words, (int)feel);
}

bool end_feel_by_name(const char *name, enum end_feel *feel)
{
    const struct word *w = name == NULL ? NULL : word_find(end_feel_words, name);
    if (w == NULL)
        return false;
    *feel = (enum end_feel)w->value;
    return true;
}

/* Shorter than the words of the error tables: these are printed. */
const char *instrument_name(enum instrument instrument)
{
    static const char *const names[INSTRUMENT_COUNT] = {
        [INSTRUMENT_UNKNOWN] = "",
        [INSTRUMENT_GONIOMETER] = "goniometer",
        [INSTRUMENT_INCLINOMETER] = "inclinometer",
        [INSTRUMENT_TAPE] = "tape",
        [INSTRUMENT_RULER] = "ruler",
        [INSTRUMENT_VISUAL] = "visual",
        [INSTRUMENT_DYNAMOMETER] = "dynamometer",
    };
    return instrument < INSTRUMENT_COUNT ? names[instrument] : "";
}
