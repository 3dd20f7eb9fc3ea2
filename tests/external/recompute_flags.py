"""Flags and notes of a row, computed a second time for recompute.py: those that follow from the
numbers. What a flag asks of free text is left to the unit tests."""

from recompute_aims import LIMIT_FLAGS, limits_passed
from recompute_grades import COMPUTED_IN_VISIT, flags_in_visit, seen
from recompute_rules import ADULT, TINY, TOO_LARGE_SHARE, instrument_of, rule_of_thumb, study_of
from recompute_slips import SLIPS, slips_of

FAIR, RESISTED = "3", "3+"
TRIES_APART, TRIES_LISTED, SEEN_LISTED = 10, 12, 6
USUAL_LIMITS, USUAL_SPREAD = 2, 2


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
    if not finding.is_range() or finding.end is None or finding.normal_for_position or \
            finding.other_position:
        return set()
    age = finding.patient.age_on(finding.date)
    if finding.peers is None:
        return {"no-child-norm"} if age is not None and age < ADULT else set()
    own = {"AROM": "active", "PROM": "passive"}[finding.test]
    return set() if finding.peers["mode"] in (own, "unspecified") else {"peers-other-mode"}


def is_far(finding):
    """Possible, but beyond what is usual by more than errors and the spread of people explain."""
    normal = finding.normal
    if not finding.is_range() or finding.end is None or normal is None or finding.other_position \
            or finding.error.limit is None or normal["better"] == "lower":
        return False
    usual = float(normal["normal-deg"]) + float(normal.get("hyper-ok-deg") or 0)
    return finding.end - usual > USUAL_LIMITS * finding.error.limit + TINY and \
        (finding.z is None or finding.z > USUAL_SPREAD + TINY)


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


def of_two(finding):
    """What two readings, two sides or two days say of each other."""
    unnamed = any(c.verdict not in ("", "not-comparable") and c.unnamed
                  for c in (finding.previous, finding.first))
    said = {
        "second-measurer": finding.second_measurer,
        "measurers-differ": finding.measurers_differ,
        "sides-swapped": finding.swapped,
        "passive-below-active": finding.passive_below_active,
        "other-side-other-rater": finding.side_undecided,
        "jump-beyond-other-side": finding.jump,
        "rater-not-stated": unnamed,
        "earlier-position-unclear": finding.then_unclear,
        "flexion-below-lack": finding.below_lack}
    return {flag for flag, is_so in said.items() if is_so}


def of_range(finding, profile):
    """What the reference says of the end of a range."""
    flags = set()
    if not finding.is_range():
        return flags
    own = {"AROM": "active", "PROM": "passive"}[finding.test]
    normal = finding.normal_if_measured
    if normal is None and finding.motion.default is not None:
        flags.add("no-normal-for-digit")
    if normal is not None and normal["role"] == "special" and \
            normal["mode"] not in ("unspecified", own):
        flags.add("normal-other-mode")
    if normal is not None and profile and normal["source-id"] not in profile:
        flags.add("normal-not-of-profile")
    if finding.other_position:
        flags.add("normal-other-position")
    if finding.end is not None and finding.motion.unit == "deg" and \
            instrument_of(finding) == "visual":
        flags.add("visual-estimate")
    if finding.end_feel and finding.end_feel not in (finding.motion.end_feel,
                                                     *finding.motion.end_feel_also):
        flags.add("end-feel-unexpected")
    return flags


COMPUTED = COMPUTED_IN_VISIT | SLIPS | set(LIMIT_FLAGS.values()) | set("""
    tries-incomplete more-tries-than-listed tries-apart grades-differ end-feel-empty
    end-feel-unexpected test-type-missing second-measurer measurers-differ sides-swapped
    passive-below-active other-side-other-rater jump-beyond-other-side rater-not-stated
    earlier-position-unclear flexion-below-lack peers-other-mode no-child-norm no-normal-for-digit
    normal-other-mode normal-other-position visual-estimate published-error-too-large
    not-tested-is-not-zero change-within-error crosses-grade-three more-compensations-than-listed
    goal-runs-back goal-other-setup far-beyond-usual normal-not-of-profile
    two-plus-needs-gravity""".split())


def flags_of(finding, reference, rows, findings):
    flags = of_peers(finding) | of_grades(finding, reference) | of_readings(finding, reference) | \
        of_two(finding) | of_range(finding, reference.clinic.profile) | flags_in_visit(finding, rows, reference) | \
        limits_passed(finding, reference) | finding.goal_flags | slips_of(finding, rows, findings)
    if is_far(finding):
        flags.add("far-beyond-usual")
    if too_large(finding, reference):
        flags.add("published-error-too-large")
    if len(seen(finding)) > SEEN_LISTED:
        flags.add("more-compensations-than-listed")
    return flags
