"""Flags and notes of a row, computed a second time for recompute.py: those that follow from the
numbers. What a flag asks of free text, of limits and of goals is left to the unit tests."""

from recompute_rules import TINY, TOO_LARGE_SHARE, rule_of_thumb, study_of

FAIR, RESISTED = "3", "3+"
TRIES_APART, TRIES_LISTED = 10, 12


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


def of_readings(finding, reference):
    """What the readings of one row say of themselves: tries, grades, end feel, test type."""
    flags = set()
    numbers = [r for r in finding.readings if r.has_number()]
    if numbers and len(numbers) < len(finding.readings):
        flags.add("tries-incomplete")
    if len(finding.tries) > TRIES_LISTED:
        flags.add("more-tries-than-listed")
    if finding.is_range() and finding.motion.unit == "deg" and \
            any(abs(t - finding.end) > TRIES_APART + TINY for t in finding.tries):
        flags.add("tries-apart")
    if len({r.grade for r in numbers if r.grade is not None}) > 1:
        flags.add("grades-differ")
    if finding.is_range() and finding.end_feel == "empty":
        flags.add("end-feel-empty")
    if finding.test == "MMT" and finding.grade is not None and not finding.technique and \
            reference.grades[finding.grade] >= reference.grades[RESISTED] - TINY:
        flags.add("test-type-missing")
    return flags


COMPUTED = {"tries-incomplete", "more-tries-than-listed", "tries-apart", "grades-differ",
            "end-feel-empty", "test-type-missing", "second-measurer", "sides-swapped", "peers-other-mode",
            "published-error-too-large", "not-tested-is-not-zero", "change-within-error",
            "crosses-grade-three"}


def flags_of(finding, reference):
    flags = of_peers(finding) | of_grades(finding, reference) | of_readings(finding, reference)
    if finding.second_measurer:
        flags.add("second-measurer")
    if finding.swapped:
        flags.add("sides-swapped")
    if too_large(finding, reference):
        flags.add("published-error-too-large")
    return flags
