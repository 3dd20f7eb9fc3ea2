/* The public words of the model's enums, as columns, dumps and documents write them. */
#include "model/model.h"

const char *test_name(enum test test)
{
    static const char *const names[TEST_COUNT] = {"", "AROM", "PROM", "MMT", "force"};
    return names[test];
}

const char *reading_status_name(enum reading_status s)
{
    static const char *const names[READING_STATUS_COUNT] = {
        "measured",       "estimated",    "no-angle", "not-tested",
        "not-applicable", "not-recorded", "held-back"};
    return names[s];
}

const char *visit_kind_name(enum visit_kind kind)
{
    static const char *const names[VISIT_KIND_COUNT] = {"",         "evaluation",    "visit",
                                                        "progress", "re-evaluation", "discharge"};
    return names[kind];
}

const char *role_name(enum role role)
{
    static const char *const names[] = {"", "PT", "PTA", "student", "other"};
    return names[role];
}

const char *timing_name(enum timing timing)
{
    static const char *const names[] = {"", "before", "after"};
    return names[timing];
}

const char *sex_name(enum sex sex)
{
    static const char *const names[] = {"unknown", "female", "male", "other"};
    return names[sex];
}
