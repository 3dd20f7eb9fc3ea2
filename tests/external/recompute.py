#!/usr/bin/env python3
"""Works every number of a findings CSV out again and compares.

    recompute.py FINDINGS.csv --reference DIR [--clinic FILE] INPUT.csv ...
    recompute.py --sets <LINES   each line a name and, after it, such arguments: one program for many

A second implementation of what docs/rules.md promises, from the input files and the reference
library alone; it shares no code with the program. It reads native columns and clean cells: plain
numbers, pairs, tries, grades, and the usual words for "no number". Rows that depend on a cell it
does not read are counted and left out. Each disagreement is printed with patient, date, key,
column and both values; exit status 1 when there is one.
"""

import contextlib
import csv
import io
import sys
import traceback

sys.dont_write_bytecode = True  # the source tree stays as it is

from recompute_aims import aims_of_visit  # noqa: E402
from recompute_demands import Demands  # noqa: E402
from recompute_flags import COMPUTED, flags_of  # noqa: E402
from recompute_grades import likely, seen  # noqa: E402
from recompute_input import Reference, optional, read_inputs  # noqa: E402
from recompute_rules import evaluate  # noqa: E402


def expected_cells(finding, rows, reference, demands):
    """Column -> (value, decimals) for numbers, (text, None) for words."""
    normal, peer, error = finding.normal, finding.peers, finding.error
    previous, first = finding.previous, finding.first
    # The error the change was judged by, else that of one rater.
    error = getattr(previous, "error", None) or error
    grade = finding.test == "MMT"
    score = 2 if grade else 1

    def num(value, decimals=1):
        return (value, decimals)

    return {
        "status": (finding.status, None), "unit": (
            finding.motion.unit if finding.is_range() else "", None),
        "start_deg": num(finding.start), "end_deg": num(finding.end),
        "tries": num(len(finding.tries) or None, 0), "sd_deg": num(finding.sd),
        "normal_deg": num(float(normal["normal-deg"]) if normal else None),
        "normal_source": (normal["source-id"] if normal else "", None),
        "deficit_deg": num(finding.deficit), "deficit_percent": num(finding.percent),
        "icf": num(finding.icf, 0), "limited": (finding.limited, None),
        "peers_mean": num(float(peer["normal-deg"]) if peer else None),
        "peers_sd": num(optional(peer.get("sd-deg")) if peer else None),
        "peers_source": (peer["source-id"] if peer else "", None),
        "z": num(finding.z, 2), "percentile": num(finding.percentile),
        "other_side_deg": num(finding.other), "other_side_date": (finding.other_date or "", None),
        "side_difference_deg": num(finding.difference),
        "side_index_percent": num(finding.index), "side_beyond_error": (finding.beyond, None),
        "previous_date": (previous.date or "", None), "previous_deg": num(previous.value, score),
        "change_deg": num(previous.change, score), "sem_deg": num(error.sem),
        "mdc95_deg": num(error.mdc95), "error_limit_deg": num(error.limit),
        "error_basis": (error.basis, None), "error_source": (error.source, None),
        "change_verdict": (previous.verdict, None), "first_date": (first.date or "", None),
        "first_deg": num(first.value, score), "change_from_first_deg": num(first.change, score),
        "first_verdict": (first.verdict, None), "grade": (finding.grade or "", None),
        "grade_score": num(reference.grades[finding.grade] if finding.grade else None, 2),
        "force_n": num(finding.force), "torque_nm": num(finding.torque),
        "torque_nm_per_kg": num(finding.per_mass, 2), "end_feel": (finding.end_feel, None),
        "end_feel_expected": (finding.motion.end_feel if finding.test == "PROM"
                              or finding.end_feel else "", None),
        "compensations_seen": (" ".join(seen(finding)[:6]), None),
        "compensations_likely": (" ".join(likely(finding, rows)), None),
        "demands_short": (demands.short(finding), None),
        "neutral_zero": (finding.neutral_zero, None)}


def differs(printed, value, decimals):
    if decimals is None:
        return printed != value
    if value is None or printed == "":
        return not (value is None and printed == "")
    try:
        tolerance = 0.5 * 10 ** -decimals if decimals else 0  # counts are exact
        return abs(float(printed) - value) > tolerance + 1e-7
    except ValueError:
        return True


KEY = ("joint", "motion", "side", "digit", "test", "position", "timing", "muscle", "measured_by",
       "tool")


def key_of(finding):
    return (finding.motion.joint, finding.motion.motion, finding.side, finding.digit, finding.test,
            finding.position, "after" if finding.after else "", finding.muscle, finding.measurer,
            finding.tool)


def printed_key(row):
    return tuple("" if name == "timing" and row[name] == "before" else row[name] for name in KEY)


class Tally:
    rows = cells = skipped = wrong = 0

    def disagree(self, patient, date, key, column, printed, computed):
        self.wrong += 1
        print(f"{patient} {date} {' '.join(part or '.' for part in key)}: {column}: "
              f"printed {printed!r}, computed {computed!r}")


def compare_visit(tally, patient, date, rows, findings, tables):
    identity, unclean = patient.id, patient.unclean
    aims = aims_of_visit(patient, date, findings, lambda f: f.jump or f.taut_now, tables[0])
    of_visit = [f for f in findings if f.date == date]
    of_day = {key_of(f): f for f in findings if f.date == date and f.motion.joint not in unclean}
    for row in rows:
        if row["joint"] in unclean:
            tally.skipped += 1
            of_day.pop(printed_key(row), None)
            continue
        finding = of_day.pop(printed_key(row), None)
        if finding is None:
            tally.disagree(identity, date, printed_key(row), "row", "there", "not expected")
            continue
        tally.rows += 1
        for column, (value, decimals) in dict(expected_cells(finding, of_visit, *tables),
                                              **aims[finding]).items():
            tally.cells += 1
            if differs(row[column], value, decimals):
                tally.disagree(identity, date, key_of(finding), column, row[column], value)
        printed = COMPUTED & set(row["flags"].split() + row["notes"].split())
        computed = flags_of(finding, tables[0], of_visit, findings)
        tally.cells += len(COMPUTED)
        for flag in sorted(printed ^ computed):
            tally.disagree(identity, date, key_of(finding), flag, flag in printed,
                           flag in computed)
    for key in of_day:
        tally.disagree(identity, date, key, "row", "missing", "expected")


def held_places(days):
    """Where the program holds every reading of a place back."""
    held, used = set(), set()
    for date, rows in days.items():
        for row in rows:
            place = (row["joint"], row["motion"], row["position"], date, row["side"],
                     row["digit"], row["test"], row["timing"])
            (held if row["status"] == "held-back" else used).add(place)
    return held - used


def parse_arguments(arguments):
    if len(arguments) < 4 or arguments[1] != "--reference":
        sys.exit("usage: recompute.py FINDINGS.csv --reference DIR [--clinic FILE] INPUT.csv ...\n"
                 "       recompute.py --sets <LINES")
    clinic, inputs = None, arguments[3:]
    if inputs[0] == "--clinic":
        clinic, inputs = inputs[1], inputs[2:]
    return arguments[0], arguments[2], clinic, inputs


def main(arguments):
    findings_path, folder, clinic, inputs = parse_arguments(arguments)
    reference, demands = Reference(folder, clinic), Demands(folder)
    patients = read_inputs(inputs, reference)
    visits = {}
    with open(findings_path, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            visits.setdefault(row["patient_id"], {}).setdefault(row["visit_date"], []).append(row)
    tally = Tally()
    for identity, days in visits.items():
        patient = patients.get(identity)
        if patient is None:
            tally.disagree(identity, "-", (), "patient", "there", "not in the input")
            continue
        patient.settle(held_places(days), reference)
        findings = evaluate(patient, reference)
        for date, rows in days.items():
            compare_visit(tally, patient, date, rows, findings, (reference, demands))
    print(f"{tally.rows} rows, {tally.cells} cells compared, {tally.skipped} rows left out, "
          f"{tally.wrong} disagreements", file=sys.stderr)
    return 1 if tally.wrong or tally.rows == 0 else 0


def each_set(lines):
    """A line for the tests of each set: ok, or FAILED and where it disagrees or went wrong."""
    for line in lines:
        name, *arguments = line.split()
        said, right = io.StringIO(), False
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            try:
                right = main(arguments) == 0
            except (Exception, SystemExit):  # what stops one set stops no other
                traceback.print_exc()
        first = "\n".join(said.getvalue().split("\n")[:20])
        print(f"ok {name}" if right else f"FAILED {name}: {first}")
    return 0


if __name__ == "__main__":
    sys.exit(each_set(sys.stdin) if sys.argv[1:] == ["--sets"] else main(sys.argv[1:]))
