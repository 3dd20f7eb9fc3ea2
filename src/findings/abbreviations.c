/*
 * Abbreviations that the keys and figures of a document bring onto a page, with their words. A
 * page explains those whose data it holds; abbreviations of a template's own stand in the
 * template.
 */
#include "findings/findings_int.h"

static const struct {
    const char *shorter, *longer;
} words[ABBREVIATION_COUNT] = {
    [ABBREVIATION_AROM] = {"AROM", "active range of motion"},
    [ABBREVIATION_ICF] = {"ICF",
                          "International Classification of Functioning, Disability and Health"},
    [ABBREVIATION_MDC] = {"MDC", "minimal detectable change"},
    [ABBREVIATION_MMT] = {"MMT", "manual muscle test"},
    [ABBREVIATION_PROM] = {"PROM", "passive range of motion"},
    [ABBREVIATION_PT] = {"PT", "physical therapist"},
    [ABBREVIATION_PTA] = {"PTA", "physical therapist assistant"},
    [ABBREVIATION_SD] = {"SD", "standard deviation"},
    [ABBREVIATION_SEM] = {"SEM", "standard error of measurement"},
};

void findings_abbreviate(struct writer *w, enum abbreviation which)
{
    w->abbreviations |= 1u << which;
}

void findings_abbreviations(struct writer *w, xmlNode *root)
{
    for (unsigned i = 0; i < ABBREVIATION_COUNT; i++) {
        if ((w->abbreviations & 1u << i) == 0)
            continue;
        xmlNode *node = findings_child(w, root, "abbreviation");
        findings_text(w, node, "short", words[i].shorter);
        findings_text(w, node, "long", words[i].longer);
    }
}
