#!/usr/bin/env python3
"""Neutral-zero notation there and back, for every pair of motions of the reference.

    notation.py ENDFEEL WORK REFERENCE

Both ends of the arc are typed as plain degrees; the notation that comes out is held against the one
written down here by the rules of the method (away from the body, zero, towards it; the zero at the
end that is not reached; equal numbers for a fixed joint). Then the notation is typed into a row of
either motion, with its letter, and must give the same two ends. Sources of the rules:
fizjoterapeuty.pl/testy-funkcjonalne/sftr.html, sportgesundheit.eu/neutral-null-methode.html.
"""

import csv
import pathlib
import subprocess
import sys
import xml.etree.ElementTree as ET

COLUMNS = ["patient_id", "visit_date", "joint", "motion", "side", "digit", "test", "value",
           "start_deg", "end_deg"]
# First and last end of the arc, in the direction of each motion, and how the pair is written.
ARCS = ((5, 15, "5-0-15"), (0, 12, "0-0-12"), (7.5, 0, "7.5-0-0"), (-5, 15, "0-5-15"),
        (15, -5, "15-5-0"), (8, 8, "8-0-8"), (-8, 8, "0-8-8"))
LETTERS = {"flexion": "S", "extension": "S", "dorsiflexion": "S", "plantar-flexion": "S",
           "abduction": "F", "adduction": "F", "lateral-flexion": "F", "radial-deviation": "F",
           "ulnar-deviation": "F", "horizontal-abduction": "T", "horizontal-adduction": "T"}
FIRST = ("extension", "abduction", "external-rotation", "supination", "dorsiflexion",
         "radial-deviation", "horizontal-abduction", "inversion")


def letter(joint, motion):
    return "F" if joint.startswith("thumb") else LETTERS.get(motion, "R")


def motions_of(folder):
    """joint, first motion, last motion, side of each, digit."""
    for path in sorted(pathlib.Path(folder).glob("*.xml")):
        for m in ET.parse(path).getroot().findall("motion"):
            opposite = m.get("opposite", "")
            written = m.get("unit") == "deg" and "rom" in m.get("tests") and opposite and \
                (m.get("joint"), m.get("motion")) != ("finger-mcp", "abduction")
            if not written:
                continue
            digit = m.get("digits", "")[:1]
            if opposite == "other-side":
                yield m.get("joint"), m.get("motion"), m.get("motion"), "left", "right", digit
            elif m.get("motion") in FIRST:
                side = "" if m.get("sides") == "midline" else "right"
                yield m.get("joint"), m.get("motion"), opposite, side, side, digit
                if side:
                    yield m.get("joint"), m.get("motion"), opposite, "left", "left", digit


def findings(endfeel, work, rows, arguments=()):
    path, out = work / "notation.csv", work / "notation.out"
    with open(path, "w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, restval="")
        writer.writeheader()
        writer.writerows(rows)
    subprocess.run([endfeel, "findings", "-q", "-j1", "--every-visit", "--today", "2030-01-01",
                    *arguments, "-o", out, path], check=False)
    with open(out, encoding="utf-8", newline="") as file:
        return {(r["patient_id"], r["motion"], r["side"]): r for r in csv.DictReader(file)}


def row(patient, joint, motion, side, digit, **cells):
    return dict(cells, patient_id=patient, visit_date="2025-03-14", joint=joint, motion=motion,
                side=side, digit=digit, test="PROM")


def main(arguments):
    endfeel, work, folder = arguments[0], pathlib.Path(arguments[1]), arguments[2]
    declared = work / "planes.xml"
    declared.write_text('<column-map><signs plane-letters="yes"/></column-map>', encoding="utf-8")
    wrong, cases, plain = [], [], []
    for joint, first, last, side, other, digit in motions_of(folder):
        for a, b, text in ARCS:
            cases.append((f"P{len(cases):04d}", joint, first, last, side, other, digit, a, b, text))
    for patient, joint, first, last, side, other, digit, a, b, _ in cases:
        plain.append(row(patient, joint, first, side, digit, end_deg=a))
        plain.append(row(patient, joint, last, other, digit, end_deg=b))
    printed = findings(endfeel, work, plain)
    for own_first in (True, False):
        typed = []
        for patient, joint, first, last, side, other, digit, *_, text in cases:
            cell = f"{letter(joint, first)} {text}"
            typed.append(row(patient, joint, first if own_first else last,
                             side if own_first else other, digit, value=cell))
        read = findings(endfeel, work, typed, ("--map", declared))
        for patient, joint, first, last, side, other, digit, a, b, text in cases:
            ends = []
            for motion, where, end in ((first, side, a), (last, other, b)):
                key = (patient, motion, where or "midline")
                shown = printed[key]["neutral_zero"] if key in printed else "no row"
                if shown != text:
                    wrong.append(f"{joint} {motion}: {a}, {b} printed as {shown}, not {text}")
                # A zero whose normal value is none is not taken for a reading of its own.
                if key in read or end != 0:
                    ends.append((read[key]["end_deg"] if key in read else "no row", end))
            if any(got in ("", "no row") or float(got) != want for got, want in ends):
                wrong.append(f"{joint} {first}/{last}: {text} read as {ends}")
    for line in wrong:
        print(line)
    print(f"{len(cases)} notations of {len({c[1:4] for c in cases})} pairs, {len(wrong)} wrong",
          file=sys.stderr)
    return 1 if wrong or len(cases) < 300 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
