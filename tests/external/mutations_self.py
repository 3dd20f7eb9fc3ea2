"""The judge of the damaged fixtures judged: what the program says of sound fixtures passes, and each
single thing falsified in it (a sign, a digit, a grade, a side, a day, two cells exchanged, a row
lost) is told."""
import csv
import io
import re
import subprocess
import sys
from pathlib import Path

from mutations_judge import readings_of, wrong_findings, wrong_readings, wrong_tally

program = sys.argv[1]
FOLDERS = ("s1-knee", "s1-knee-wide", "s3-elbow", "s4-ankle")
NUMBER = re.compile(r" (end|start)=(-?[\d.]+)")
tried, problems = {}, []


def run(command, folder, *more):
    chart = folder / "map.xml"
    return subprocess.run([program, command, "-j1", "--today", "2030-01-01",
                           *(["--map", str(chart)] if chart.exists() else []), *more, str(folder)],
                          capture_output=True)


def other_sign(line):
    return NUMBER.sub(lambda m: f" {m[1]}={-float(m[2]):g}", line, count=1)


def other_digit(line):
    return NUMBER.sub(lambda m: f" {m[1]}={m[2][:-1]}{(int(m[2][-1]) + 1) % 10}", line, count=1)


def other_grade(line):
    return re.sub(r" grade=(\d)([+-]?)", lambda m: f" grade={m[1]}{'' if m[2] else '+'}", line)


def other_side(line):
    swap = {"right": "left", "left": "right"}
    return re.sub(r" (right|left) ", lambda m: f" {swap[m[1]]} ", line, count=1)


def other_motion(line):
    swap = {"flexion": "extension", "extension": "flexion"}
    return re.sub(r" (flexion|extension) ", lambda m: f" {swap[m[1]]} ", line, count=1)


def other_test(line):
    swap = {"AROM": "PROM", "PROM": "AROM"}
    return re.sub(r" (AROM|PROM) ", lambda m: f" {swap[m[1]]} ", line, count=1)


def judge_lines(name, lines, files):
    """Each reading of a model falsified in each way, one at a time."""
    for change in (other_sign, other_digit, other_grade, other_side, other_motion, other_test):
        for i, line in enumerate(lines):
            if not re.match(r"  reading \S+ \S+ .* (measured|estimated) ", line):
                continue
            false = change(line)
            if false == line or " end=-0 " in false or " start=-0 " in false:
                continue
            kind = change.__name__
            tried[kind] = tried.get(kind, 0) + 1
            if wrong_readings("\n".join([*lines[:i], false, *lines[i + 1:]]), files)[0] is None:
                problems.append(f"{name}: {kind} passes: {false.strip()[:90]}")


def exchange(name, lines, files):
    """The numbers of two readings next to each other, in the place of one another."""
    at = [i for i, line in enumerate(lines) if NUMBER.search(line) and " start=" not in line]
    for i, k in zip(at, at[1:]):
        a, b = NUMBER.search(lines[i])[0], NUMBER.search(lines[k])[0]
        if a == b:
            continue
        false = list(lines)
        false[i], false[k] = lines[i].replace(a, b, 1), lines[k].replace(b, a, 1)
        tried["exchange"] = tried.get("exchange", 0) + 1
        if wrong_readings("\n".join(false), files)[0] is None:
            problems.append(f"{name}: exchanged cells pass: {false[i].strip()[:90]}")


def judge_findings(name, dump, rows):
    """The findings falsified: each number by its sign and digit, each side, each row left out."""
    measured = [i for i, row in enumerate(rows) if row["status"] in ("measured", "estimated")]
    keyed = {(r["patient"], r["day"]) for r in readings_of(dump)}
    for i in measured:
        row = rows[i]
        swap = {"right": "left", "left": "right", "midline": "right"}
        falses = [dict(row, side=swap[row["side"]])]
        if row["end_deg"]:
            end = float(row["end_deg"])
            falses += [dict(row, end_deg=str(end + 1))]
            falses += [dict(row, end_deg=str(-end))] if end else []
        if row["grade"]:
            falses += [dict(row, grade=row["grade"][0] + ("" if row["grade"][1:] else "-"))]
        for false in falses:
            tried["findings"] = tried.get("findings", 0) + 1
            if wrong_findings(dump, [*rows[:i], false, *rows[i + 1:]]) is None:
                problems.append(f"{name}: findings pass: {list(false.values())[:19]}")
        if (row["patient_id"], row["visit_date"]) in keyed:
            tried["lost"] = tried.get("lost", 0) + 1
            same = [r for r in rows if list(r.values())[:7] == list(row.values())[:7]]
            if len(same) == 1 and wrong_findings(dump, [*rows[:i], *rows[i + 1:]]) is None:
                problems.append(f"{name}: a row left out passes: {list(row.values())[:7]}")


for name in FOLDERS:
    folder = Path("fixtures/scenarios") / name
    dump = run("check", folder, "-q", "--dump", "model").stdout.decode()
    rows = list(csv.DictReader(io.StringIO(run("findings", folder, "-q", "--every-visit")
                                           .stdout.decode())))
    files = []
    for path in folder.glob("*.csv"):
        data = path.read_bytes()
        text = data.decode("windows-1252" if b"Chart no;" in data else "utf-8-sig")
        files.append(list(csv.reader(io.StringIO(text),
                                     delimiter=";" if ";" in text.splitlines()[0] else ",")))
    sound = wrong_readings(dump, files)[0] or wrong_findings(dump, rows)
    if sound:
        problems.append(f"{name} as it is: {sound}")
    judge_lines(name, dump.splitlines(), files)
    exchange(name, dump.splitlines(), files)
    judge_findings(name, dump, rows)

TALLY = "x/a.csv: 5 rows in = 3 used + 1 duplicates + 1 held back"
if wrong_tally(TALLY, {"a.csv": 5}) is not None:
    problems.append("a sound tally is told")
for false, stand in ((TALLY.replace("3 used", "2 used"), 5), (TALLY, 6)):
    tried["tally"] = tried.get("tally", 0) + 1
    if wrong_tally(false, {"a.csv": stand}) is None:
        problems.append(f"a tally that does not add up passes: {false} {stand}")
few = [kind for kind in ("other_sign", "other_digit", "other_grade", "other_side", "other_motion",
                         "other_test", "exchange", "findings", "lost", "tally")
       if tried.get(kind, 0) < 2]
if problems or few:
    print(f"FAILED mutations-judge: {len(problems)} pass: {'; '.join(problems[:4])}; never: {few}")
else:
    print(f"ok mutations-judge-{sum(tried.values())}-falsified")
