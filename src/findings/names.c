/*
 * Keys the document prints for values of the lower folders that have no printed name of their
 * own, and the small questions about a finding that both the document and the CSV ask.
 */
#include "findings/findings_int.h"

const char *findings_norm_kind(enum norm_kind kind)
{
    switch (kind) {
    case NORM_HANDBOOK:
        return "handbook";
    case NORM_LEGAL:
        return "legal";
    case NORM_POPULATION:
        return "population";
    case NORM_STUDY:
        return "study";
    }
    return "";
}

const char *findings_mode(enum mode mode)
{
    switch (mode) {
    case MODE_UNSPECIFIED:
        return "unspecified";
    case MODE_ACTIVE:
        return "active";
    case MODE_PASSIVE:
        return "passive";
    }
    return "";
}

const char *findings_technique(enum technique technique)
{
    switch (technique) {
    case TECHNIQUE_NONE:
        return "";
    case TECHNIQUE_MAKE:
        return "make";
    case TECHNIQUE_BREAK:
        return "break";
    }
    return "";
}

const char *findings_limit_kind(enum limit_kind kind)
{
    switch (kind) {
    case LIMIT_RANGE:
        return "range";
    case LIMIT_RESISTANCE:
        return "resistance";
    case LIMIT_WEIGHT_BEARING:
        return "weight-bearing";
    case LIMIT_NO_TEST:
        return "no-test";
    }
    return "";
}

const char *findings_flag_level(enum flag_level level)
{
    switch (level) {
    case FLAG_NOTE:
        return "note";
    case FLAG_WARNING:
        return "warning";
    case FLAG_ERROR:
        return "error";
    }
    return "";
}

const char *findings_norm_sex(const struct norm *norm)
{
    return norm->sex == SEX_UNKNOWN ? "any" : sex_name(norm->sex);
}

const char *findings_norm_side(const struct norm *norm)
{
    return norm->side == SIDE_NONE ? "any" : side_name(norm->side);
}

bool findings_norm_other_mode(const struct norm *peers, enum test test)
{
    return (peers->mode == MODE_PASSIVE && test == TEST_AROM) ||
           (peers->mode == MODE_ACTIVE && test == TEST_PROM);
}

bool findings_end_feel_unexpected(const struct finding *f)
{
    const struct goniometry *usual = f->motion->goniometry;
    if (f->end_feel == END_FEEL_NONE || usual == NULL || usual->end_feel == END_FEEL_NONE)
        return false;
    return f->end_feel != usual->end_feel && (usual->end_feel_also & 1u << f->end_feel) == 0;
}

bool findings_is_zero_normal(const struct motion *motion)
{
    const struct norm *normal = motion->normal;
    return normal != NULL && normal->normal == 0 && !normal->lower_is_better;
}

bool findings_has_range(const struct finding *f)
{
    return f->test == TEST_AROM || f->test == TEST_PROM;
}

bool findings_is_missing(const struct finding *f)
{
    return f->status != READING_MEASURED && f->status != READING_ESTIMATED;
}
