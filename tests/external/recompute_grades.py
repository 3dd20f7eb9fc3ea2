"""Flags of manual grades and of ranges beside each other, and compensations, computed a second time
for recompute.py. What a grade contradicts is asked of the rest of its visit, as docs/rules.md says.
"""

import functools
import re

from recompute_aims import day, place_of, rows_known_on
from recompute_input import agreeing, date_of, text_of
from recompute_rules import TINY

SEEN_IN_CELL = 6
TOLERANCE = 5  # degrees: readings of one visit that should agree
MINIMISED = ("gravity minimised", "gravity minimized", "gravity eliminated", "gravity reduced")
AGAINST = ("against gravity", "antigravity", "anti gravity")


@functools.lru_cache(maxsize=None)
def words(text):
    return " ".join(re.findall(r"[a-z0-9]+", text.lower()))


def states(text, phrase):
    return f" {words(phrase)} " in f" {words(text)} "


def is_minimised(finding):
    return any(states(finding.position, phrase) for phrase in MINIMISED)


def is_antigravity(finding):
    if is_minimised(finding):
        return False
    if any(states(finding.position, phrase) for phrase in AGAINST):
        return True
    rule, against, without = finding.motion.gravity
    return rule == "applies" and against != without and states(finding.position, against)


def is_usable(finding):
    return finding.status == "measured" and not finding.after and not finding.second_measurer \
        and not finding.doubtful and not finding.jump and not finding.taut_now


def is_of_place(a, b):
    return a.motion is b.motion and (a.side, a.digit) == (b.side, b.digit)


def forbidden(finding, test, reference):
    """Whether a limit in force on the day forbids what `test` names at this place."""
    own = "resistance" if test == "MMT" else "range"
    today = date_of(finding.date)
    for row in rows_known_on(finding.patient, finding.date):
        if row.get("limit_kind") not in ("no-test", own) or \
                row.get("limit_test") not in ("", test):
            continue
        motion, place = place_of(row, reference)
        if motion is not None and (motion is not finding.motion
                                   or place[2] not in ("", finding.side)
                                   or place[3] not in ("", finding.digit)):
            continue
        begin, end = day(row.get("limit_from")), day(row.get("limit_until"))
        if (begin is None or begin <= today) and (end is None or today <= end):
            return True
    return False


# ---- the ranges beside a grade -------------------------------------------------------------------

def active_range(finding, rows):
    """The largest active range of the place, else a row without a number."""
    found = [f for f in rows if f.test == "AROM" and is_of_place(f, finding)
             and f.after == finding.after and not f.second_measurer]
    return max(found, key=lambda f: (f.end is not None, f.end or 0), default=None)


def in_degrees(finding):
    usable = finding is not None and finding.motion.unit == "deg" and \
        finding.end is not None and is_usable(finding)
    return finding if usable else None


def passive_range(finding, rows):
    """The usable passive range, taken as the other range was where positions are stated."""
    found = [f for f in rows if f.test == "PROM" and is_of_place(f, finding) and f is not finding
             and f.end is not None and is_usable(f)
             and (not finding.is_range() or agreeing(f.position, finding.position))]
    same = [f for f in found if finding.is_range() and f.position == finding.position]
    return in_degrees((same or found or [None])[0])


def moved(active):
    """Degrees that were moved; where the normal end is 0 only a recorded start tells."""
    if active is None or active.end is None or active.motion.unit != "deg":
        return None
    if active.start is not None:
        return active.end - active.start
    default = active.motion.default
    return active.end if default is not None and float(default["normal-deg"]) > 0 else None


def over(value, limit):
    return value is not None and value > limit + TINY


def of_ranges(finding, rows, score):
    flags = set()
    active_row = active_range(finding, rows)
    active = in_degrees(active_row)
    passive = passive_range(active or finding, rows)
    grade = score[finding.grade]
    short = passive.end - active.end if active and passive else None
    if grade <= 1 and over(moved(active_row), TOLERANCE):
        flags.add("zero-or-one-with-active-range")
    if grade == 1 and over(moved(active_row), 0):
        flags.add("trace-without-movement")
    if grade >= 3 and over(short, TOLERANCE):
        flags.add("three-or-more-needs-full-range")
    if is_antigravity(finding) and over(short, TOLERANCE) and not is_minimised(active) and \
            over(moved(active), 0) and finding.grade not in ("2+", "3-"):
        flags.add("partial-range-against-gravity")
    if finding.grade == "2" and is_minimised(finding) and over(short, TOLERANCE) and \
            not is_antigravity(active):
        flags.add("two-is-full-range-minimised")
    if grade < 3 and short is not None and not over(short, TOLERANCE) and \
            is_antigravity(active) and over(moved(active), TOLERANCE):
        flags.add("below-three-with-full-range-against-gravity")
    if grade >= 3 and passive and not passive.other_position and over(passive.deficit, TOLERANCE):
        flags.add("available-not-normal-range")
    return flags


# ---- a grade and the rest of the record ----------------------------------------------------------

def graded(motion, side, digit, rows):
    return next((f for f in rows if f.test == "MMT" and f.motion is motion and f.side == side
                 and f.digit == digit and f.grade is not None and is_usable(f)), None)


def of_position(finding, score, clinic):
    flags = set()
    protocol = text_of([r for r in finding.patient.rows if r["visit_date"] == finding.date],
                       "protocol")
    rule = finding.motion.gravity[0]
    at_least = score[finding.grade] >= score["3-"]
    if rule == "modified":
        flags.add("modified-gravity-rule")
    if is_minimised(finding):
        if at_least and rule == "applies":
            flags.add("three-or-more-in-minimised-position")
        if at_least and rule == "exempt":
            flags.add("exempt-from-gravity-rule")
        if finding.grade == "2+":
            flags.add("two-plus-by-resistance" if clinic.two_plus_by_resistance
                      else "two-plus-needs-gravity")
    if (finding.motion.joint, finding.motion.motion) != ("ankle", "plantar-flexion") or \
            states(protocol, "ISNCSCI"):  # the cord is examined lying down
        return flags
    standing = any(states(finding.position, w) for w in ("standing", "heel rise", "heel rises"))
    if at_least and finding.position and not standing:
        flags.add("heel-rise-needed")
    for reading in finding.readings:
        count = reading.row.get("repetitions")
        if count and not count_agrees(int(count), finding.grade, score, clinic.heel_rises):
            flags.add("heel-rise-count-mismatch")
    return flags


def count_agrees(count, grade, score, table):
    reached = [table[least] for least in table if count >= least]
    return grade == reached[0] if reached else score[grade] < score[table[min(table)]]


def of_record(finding, rows, reference):
    flags, score = set(), reference.grades
    motion = finding.motion
    if any(r.pain for r in finding.readings):
        flags.add("normal-grade-with-pain" if finding.grade == "5" else "pain-limited-grade")
    if motion.rom and active_range(finding, rows) is None and \
            not forbidden(finding, "AROM", reference):
        flags.add("arom-before-strength")
    if score[finding.grade] > score["3"] and forbidden(finding, "MMT", reference):
        flags.add("resistance-not-allowed")
    if (motion.joint, motion.motion) == ("scapula", "abduction-upward-rotation"):
        arm = graded(reference.motions["shoulder", "flexion"], finding.side, "", rows)
        if arm is not None and score[finding.grade] > score[arm.grade]:
            flags.add("serratus-above-shoulder-flexion")
    other = {"right": "left", "left": "right"}.get(finding.side)
    there = graded(motion, other, finding.digit, rows)
    if there is not None and there.grade == finding.grade and score[finding.grade] >= 4 and \
            there.after == finding.after and agreeing(there.muscle, finding.muscle):
        flags.add("side-difference-within-grade")
    return flags


def passive_is_missing(finding, rows, reference):
    """An active range short of normal, and nothing recorded of the passive one."""
    return finding.test == "AROM" and finding.motion.unit == "deg" and is_usable(finding) and \
        over(finding.deficit, TOLERANCE) and not finding.other_position and \
        not any(f.test == "PROM" and is_of_place(f, finding) and f.status != "not-recorded"
                for f in rows) and not forbidden(finding, "PROM", reference)


def flags_in_visit(finding, rows, reference):
    if finding.test == "MMT" and finding.grade is not None:
        return of_ranges(finding, rows, reference.grades) | \
            of_position(finding, reference.grades, reference.clinic) | of_record(finding, rows, reference)
    return {"prom-missing-with-short-arom"} if passive_is_missing(finding, rows, reference) \
        else set()


COMPUTED_IN_VISIT = set("""
    zero-or-one-with-active-range trace-without-movement three-or-more-needs-full-range
    partial-range-against-gravity two-is-full-range-minimised
    below-three-with-full-range-against-gravity available-not-normal-range modified-gravity-rule
    exempt-from-gravity-rule three-or-more-in-minimised-position two-plus-by-resistance
    two-plus-needs-gravity heel-rise-needed heel-rise-count-mismatch normal-grade-with-pain
    pain-limited-grade arom-before-strength resistance-not-allowed serratus-above-shoulder-flexion
    side-difference-within-grade prom-missing-with-short-arom""".split())


# ---- compensations -------------------------------------------------------------------------------

def seen(finding):
    """Ids in the order they were recorded, each once; the same words with spaces are the id."""
    known = {c["id"] for c in finding.motion.compensations}
    ids = []
    for reading in finding.readings:
        parts = [p.strip() for p in reading.row.get("compensation", "").split(";") if p.strip()]
        for part in parts[:SEEN_IN_CELL]:
            name = part.lower().replace(" ", "-")
            name = name if name in known else part
            if name not in ids:
                ids.append(name)
    return ids


def likely(finding, rows):
    """Of a limited motion the two that fit best: the trigger is there, the loss is large enough."""
    of_range = finding.is_range()
    lost = [f.deficit for f in ([finding] if of_range else rows)
            if f.is_range() and is_of_place(f, finding) and f.after == finding.after
            and f.limited == "yes"]
    if not lost:
        return []
    weak = finding.grade is not None and finding.grade != "5"
    pain = any(r.pain for r in finding.readings)
    fitting = []
    for order, c in enumerate(finding.motion.compensations):
        trigger = c["usual-trigger"]
        main = trigger in ("limited", "both") if of_range else \
            trigger in ("weak", "both") and weak
        painful = trigger == "painful" and pain
        least = c.get("typical-deficit-deg")
        if c["test"] not in ("both", "rom" if of_range else "mmt") or not (main or painful) or \
                least is not None and max(lost) < float(least) - TINY or c["id"] in seen(finding):
            continue
        fitting.append((-(4 * main + 2 * painful + (least is not None)), order, c["id"]))
    ids = []
    for _, _, name in sorted(fitting):
        if name not in ids:
            ids.append(name)
    return ids[:2]
