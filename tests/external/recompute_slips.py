"""Flags that look past one row, computed a second time for recompute.py: a trace beside a normal
grade, raised tone on file, grades that a sum score adds."""

from recompute_grades import is_usable, states, words
from recompute_input import agreeing, text_of

TONE = "spastic spasticity rigidity hypertonia hypertonic clonus dystonia".split()
DENIED = ["no spasticity", "no clonus", "no rigidity", "no increased tone", "no raised tone"]

# The examinations as their worksheets print them: levels C5-T1 and L2-S1 with five key muscles each,
# a side stands alone; six pairs of the MRC sum, of which the upper three stand in for all (sources:
# src/reference/sums.xml). Each: items, whether one side alone is reported.
UPPER_CORD = [("elbow", "flexion", ""), ("wrist", "extension", ""), ("elbow", "extension", ""),
              ("finger-dip", "flexion", "3"), ("finger-mcp", "abduction", "5")]
LOWER_CORD = [("hip", "flexion", ""), ("knee", "extension", ""), ("ankle", "dorsiflexion", ""),
              ("toe-mtp", "extension", "1"), ("ankle", "plantar-flexion", "")]
UPPER_MRC = [("shoulder", "abduction", ""), ("elbow", "flexion", ""), ("wrist", "extension", "")]
LOWER_MRC = [("hip", "flexion", ""), ("knee", "extension", ""), ("ankle", "dorsiflexion", "")]
NOT_LYING = ("standing", "heel rise", "heel rises")


# ---- a trace alone -------------------------------------------------------------------------------

def is_opposite(finding, other):
    return other.motion is finding.motion and {finding.side, other.side} == {"right", "left"} and \
        (other.digit, other.test, other.after) == (finding.digit, finding.test, finding.after) and \
        agreeing(other.muscle, finding.muscle)


def told_by_cell(finding):
    """A bare 1 beside a 5 of the same day is told where it was typed."""
    typed = [r.row["grade"] or r.row["value"] for r in finding.readings]
    beside = any(r.grade == "5" for r in finding.patient.readings
                 if r.date == finding.date and r.motion is finding.motion and r.test == "MMT"
                 and r.digit == finding.digit and {r.side, finding.side} == {"right", "left"})
    return "1" in typed and beside


def lone_trace(finding, findings):
    return finding.test == "MMT" and finding.grade == "1" and not told_by_cell(finding) and \
        any(other.grade == "5" and other.date <= finding.date and is_opposite(finding, other)
            for other in findings)


# ---- raised tone ---------------------------------------------------------------------------------

def says_tone(text):
    return any(states(text, word) for word in TONE + ["increased tone", "raised tone"])


def abnormal_tone(finding, rows):
    if finding.test != "MMT" or finding.grade is None:
        return False
    if says_tone(text_of(finding.patient.rows, "diagnosis")):
        return True
    said = [text for f in rows if f.motion.joint == finding.motion.joint and f.side == finding.side
            for r in f.readings for text in (r.row.get("note", ""), r.reason)]
    return any(says_tone(text) and not any(denied in words(text) for denied in DENIED)
               for text in said)


# ---- sums ----------------------------------------------------------------------------------------

def protocol_of(finding):
    return text_of([r for r in finding.patient.rows if r["visit_date"] == finding.date],
                   "protocol")


def added(items, side, rows, lying):
    """The rows that a side of a score adds; None where it is not complete."""
    found = []
    for joint, motion, digit in items:
        of_item = [f for f in rows if f.test == "MMT" and f.side == side and f.grade is not None
                   and (f.motion.joint, f.motion.motion) == (joint, motion)
                   and digit in ("", f.digit) and is_usable(f)
                   and not (lying and any(states(f.position, word) for word in NOT_LYING))]
        if len({f.grade for f in of_item}) != 1:
            return None
        found.append(of_item[0])
    return found


def rows_in_sums(protocol, rows):
    def sides(items, lying=False):
        return [added(items, side, rows, lying) for side in ("right", "left")]

    standing = []
    if states(protocol, "ISNCSCI"):
        standing += sides(UPPER_CORD) + sides(LOWER_CORD, True)
    if states(protocol, "MRC-sum"):
        whole, upper = sides(UPPER_MRC + LOWER_MRC), sides(UPPER_MRC)
        standing += whole if None not in whole else upper if None not in upper else []
    return [f for side in standing if side is not None for f in side]


def slips_of(finding, rows, findings):
    said = {
        "lone-trace": lone_trace(finding, findings),
        "taut-beyond-slack": finding.taut_now,
        "abnormal-tone": abnormal_tone(finding, rows),
        "whole-grades-in-sums": finding.grade is not None and len(finding.grade) > 1
        and finding in rows_in_sums(protocol_of(finding), rows)}
    return {flag for flag, is_so in said.items() if is_so}


SLIPS = {"lone-trace", "taut-beyond-slack", "abnormal-tone", "whole-grades-in-sums"}
