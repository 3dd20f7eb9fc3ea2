"""Flags and notes of a row, computed a second time for recompute.py: those that follow from the
numbers. What a flag asks of free text, of limits and of goals is left to the unit tests."""

from recompute_rules import TINY, TOO_LARGE_SHARE, rule_of_thumb, study_of

FAIR = "3"


def too_large(finding, reference):
    """A published error above a quarter of the normal value, where a rule of thumb stands in."""
    if not finding.is_range() or finding.end is None:
        return False
    study = study_of(finding, "intra", reference.errors)
    normal = finding.normal or finding.motion.default
    if study is None or normal is None or rule_of_thumb(finding, "intra").limit is None:
        return False
    value = float(normal["normal-deg"])
    return value > 0 and study[1][2] > TOO_LARGE_SHARE * value + TINY


def of_peers(finding):
    if not finding.is_range() or finding.end is None or finding.peers is None:
        return set()
    own = {"AROM": "active", "PROM": "passive"}[finding.test]
    return set() if finding.peers["mode"] in (own, "unspecified") else {"peers-other-mode"}


def of_grades(finding, reference):
    flags = set()
    if finding.test == "MMT" and finding.status == "not-tested":
        flags.add("not-tested-is-not-zero")
    then, score = finding.previous, reference.grades
    if finding.test != "MMT" or finding.grade is None or then.verdict != "within-error" or \
            abs(then.change) < TINY:
        return flags
    flags.add("change-within-error")
    fair = score[FAIR]
    crossed = (then.value < fair - TINY) != (score[finding.grade] < fair - TINY)
    if crossed and not then.two:
        flags.add("crosses-grade-three")
    return flags


COMPUTED = {"second-measurer", "sides-swapped", "peers-other-mode",
            "published-error-too-large", "not-tested-is-not-zero", "change-within-error",
            "crosses-grade-three"}


def flags_of(finding, reference):
    flags = of_peers(finding) | of_grades(finding, reference)
    if finding.second_measurer:
        flags.add("second-measurer")
    if finding.swapped:
        flags.add("sides-swapped")
    if too_large(finding, reference):
        flags.add("published-error-too-large")
    return flags
