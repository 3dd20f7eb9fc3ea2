#!/usr/bin/env python3
"""Writes an invented export of N visits to standard output: `generate.py N SEED [--scatter]`.

For checks and benches. Nobody in it exists. Same N and seed, same bytes. The cells are clean: plain
numbers, pairs, tries, grades, and the usual ways to say that there is no number, so that
recompute.py can work every finding out again. Rows of a patient follow each other; with --scatter
they are interleaved with those of all others.
"""

import csv
import datetime
import io
import operator
import pathlib
import random
import re
import sys
import xml.etree.ElementTree as ET

COLUMNS = (
    "patient_id birth_date age sex dominant_side body_mass_kg affected_side referrer visit_date "
    "visit_kind treatment_day measured_by role supervisor joint motion side digit test value "
    "start_deg end_deg grade unit lever_cm repetitions try position tool timing muscle technique "
    "end_feel pain compensation note goal_id goal_value goal_due goal_activity goal_set_on goal_baseline limit_kind limit_test "
    "limit_value limit_from limit_until limit_by diagnosis protocol"
).split()
GRADES = ["0", "1", "2-", "2", "2+", "3-", "3", "3+", "4-", "4", "4+", "5"]
RATERS = [("A. Maple", "PT"), ("B. Birch", "PT"), ("C. Cedar", "PTA"), ("D. Linden", "student")]
POSITIONS = ["supine", "sitting", "prone", "standing", "side-lying"]
END_FEELS = ["soft", "firm", "hard"]
FIRST_DAY = datetime.date(2024, 1, 8)
is_digits = re.compile(r"\d+").fullmatch
is_grade = re.compile(r"[0-5][+-]?").fullmatch
cells_of = operator.itemgetter(*COLUMNS)


class Draw(random.Random):
    """Draws as random.Random does, in fewer steps: a row takes some twenty."""

    def choice(self, seq):
        n = len(seq)
        bits = n.bit_length()
        at = self.getrandbits(bits)
        while at >= n:
            at = self.getrandbits(bits)
        return seq[at]

    def randint(self, a, b):
        n = b - a + 1
        bits = n.bit_length()
        at = self.getrandbits(bits)
        while at >= n:
            at = self.getrandbits(bits)
        return a + at


def load_motions():
    folder = pathlib.Path(__file__).resolve().parents[2] / "src" / "reference"
    motions = []
    for path in sorted(folder.glob("*.xml")):
        for element in ET.parse(path).getroot().findall("motion"):
            normal = next((n for n in element.findall("normal") if n.get("role") == "default"),
                          None)
            motions.append({
                "joint": element.get("joint"), "motion": element.get("motion"),
                "order": int(element.get("order")), "sides": element.get("sides"),
                "unit": element.get("unit"), "tests": element.get("tests").split("+"),
                "compensations": [c.get("id") for c in element.findall("compensation")],
                "digits": element.get("digits"), "opposite": element.get("opposite"),
                "normal": float(normal.get("normal-deg")) if normal is not None else None,
                "better": normal.get("better") if normal is not None else None,
                "most": float(normal.get("max-plausible-deg") or 0) if normal is not None else 0})
    motions.sort(key=lambda m: m["order"])
    return motions


def number(value):
    return f"{value:.1f}".rstrip("0").rstrip(".") if value % 1 else str(int(value))


def choose_digit(rng, motion):
    if not motion["digits"]:
        return ""
    low, high = motion["digits"].split("-")
    return str(rng.randint(int(low), int(high)))


class Line:
    """One thing that is measured at every visit of a patient: a motion, side, test and position."""

    def __init__(self, rng, motion, side, digit, test, position):
        self.motion, self.side, self.digit, self.test = motion, side, digit, test
        self.position = position
        self.tool = self.choose_tool(rng)
        self.grade = rng.randint(4, 11)
        self.share = rng.choice([1.0, 0.98, 0.95, 0.9, 0.8, 0.65, 0.4])
        self.lack = rng.choice([0, 0, 0, 2, 5, 12, 20, -4, -8])
        self.gain = rng.choice([-0.06, 0.0, 0.02, 0.05, 0.1])

    def choose_tool(self, rng):
        if self.test == "MMT":
            return ""
        if self.motion["unit"] != "deg":
            return rng.choice(["", "ruler"])
        return rng.choice(["goniometer", "goniometer", "goniometer", "", "inclinometer"])

    def follow(self, other):
        self.share, self.lack, self.gain = other.share, other.lack, other.gain

    def angle(self, rng, visit, offset):
        motion = self.motion
        noise = rng.randint(-4, 4) / (1 if motion["unit"] == "deg" else 10)
        if motion["better"] == "lower":
            return round(max(0.0, 4 * (1 - self.share) - self.gain * visit + noise), 1)
        if motion["normal"] == 0:
            return float(round(offset - self.lack + 30 * self.gain * visit + noise / 2))
        value = motion["normal"] * (self.share + self.gain * visit) + offset + noise
        value = min(value, motion["most"] - 1) if motion["most"] else value
        return float(round(value)) if motion["unit"] == "deg" else round(max(0.0, value), 1)


def is_straight(motion):
    """Zero is the normal end: a bare number could mean either side of it."""
    return motion["normal"] == 0 and motion["better"] != "lower"


def write_angle(rng, row, motion, value):
    """Puts a reading into a row, in one of the ways people write it."""
    straight = is_straight(motion)
    way = rng.random()
    if straight and value < 0:
        if way < 0.5:
            row["value"] = "lacks " + number(-value)
        else:
            row["end_deg"] = number(value)
    elif straight and value > 0:
        if way < 0.3:
            row["value"] = "hyper " + number(value)
        else:
            row["end_deg"] = number(value)
    elif value < 0:
        row["end_deg"] = number(value)
    elif way < 0.15 and motion["unit"] == "deg" and value > 12:
        row["value"] = "; ".join(number(max(0, value + d)) for d in rng.sample(range(-3, 4), 3))
    elif way < 0.25 and motion["joint"] in ("knee", "elbow") and value > 40:
        row["value"] = "0-" + number(value)
    elif way < 0.3 and motion["joint"] in ("knee", "elbow") and value > 40:
        row["start_deg"], row["end_deg"] = str(rng.choice([0, 5, 10])), number(value)
    elif way < 0.5:
        row["end_deg"] = number(value)
    else:
        row["value"] = number(value)


def without_number(rng, row):
    kind = rng.random()
    if kind < 0.25:
        row["value"] = "NT"
    elif kind < 0.45:
        row["value"] = "NT (pain)"
    elif kind < 0.65 and row["test"] != "MMT":
        row["value"] = "WNL"
    elif kind < 0.75:
        row["value"] = "n/a"


def measurement(rng, base, line, visit, offset):
    motion = line.motion
    row = dict(base)
    row.update(joint=motion["joint"], motion=motion["motion"], digit=line.digit, test=line.test,
               position=line.position, tool=line.tool,
               side="" if line.side == "midline" else line.side)
    if rng.random() < 0.06:
        without_number(rng, row)
        return [row]
    if line.test == "MMT":
        step = min(11, max(0, line.grade + rng.choice([0, 0, 0, 1, -1]) + (visit + 1) // 2))
        row["grade" if rng.random() < 0.5 else "value"] = GRADES[step]
        return [row]
    value = line.angle(rng, visit, offset)
    if line.test == "PROM" and rng.random() < 0.3:
        row["end_feel"] = rng.choice(END_FEELS)
    if rng.random() < 0.1:
        row["pain"] = str(rng.randint(1, 8))
    if rng.random() < 0.08 and value > 12 and not is_straight(motion):
        rows = []
        for attempt in range(1, 4):
            rows.append(dict(row, **{"try": str(attempt),
                                     "value": number(value + rng.randint(-3, 3))}))
        return rows
    write_angle(rng, row, motion, value)
    rows = [row]
    if rng.random() < 0.04 and motion["unit"] == "deg" and not is_straight(motion):
        row.update(value="~" + number(abs(value)), start_deg="", end_deg="")
    if rng.random() < 0.03 and value > 12 and not is_straight(motion):
        after = dict(row, timing="after", start_deg="", end_deg="", end_feel="",
                     value=number(value + 3))
        rows.append(after)
    return rows


def by_another(rng, rows):
    """Some readings are taken a second time by somebody else, a degree or two apart."""
    again = []
    for row in rows:
        plain = is_digits(row["value"]) and row["test"] in ("AROM", "PROM")
        if plain and not row["try"] and rng.random() < 0.02:
            rater, role = rng.choice([r for r in RATERS if r[0] != row["measured_by"]])
            again.append(dict(row, measured_by=rater, role=role,
                              supervisor="A. Maple" if role == "student" else "",
                              value=str(max(0, int(row["value"]) + rng.randint(-7, 7)))))
    return again


def force_rows(rng, base, visit):
    """A dynamometer reading of the knee, both sides."""
    rows = []
    for side in ("right", "left"):
        row = dict(base)
        row.update(joint="knee", motion="extension", side=side, test="force", unit="N",
                   value=str(rng.randint(90, 320) + 5 * visit), tool="dynamometer",
                   lever_cm=rng.choice(["", "32", "32", "33.5"]), technique="make")
        rows.append(row)
    return rows


def choose_lines(rng, motions):
    lines = []
    for motion in rng.sample(motions, rng.randint(2, 7)):
        digit = choose_digit(rng, motion)
        position = rng.choice(["", rng.choice(POSITIONS)])
        sides = ["midline"] if motion["sides"] == "midline" else ["right", "left"]
        if len(sides) == 2 and rng.random() < 0.25:
            sides = [rng.choice(sides)]
        tests = []
        if "rom" in motion["tests"]:
            tests += rng.choice([["AROM"], ["AROM", "PROM"], ["PROM"]])
        if "mmt" in motion["tests"] and (not tests or rng.random() < 0.4):
            tests.append("MMT")
        for side in sides:
            lines += [Line(rng, motion, side, digit, test, position) for test in tests]
    return lines


def visit_rows(rng, patient, lines, visit, date, raters):
    rater, role = rng.choice(raters)
    base = dict(patient)
    base.update(visit_date=date.isoformat(), measured_by=rater, role=role,
                supervisor="A. Maple" if role == "student" else "",
                visit_kind="evaluation" if visit == 0 else rng.choice(["visit", "progress"]),
                treatment_day=str(visit + 1))
    rows = []
    active = {}
    for line in lines:
        if rng.random() < 0.1:
            continue
        key = (line.motion["order"], line.side)
        offset = rng.choice([0, 0, 2, 4]) if line.test == "PROM" else 0
        if line.test == "PROM" and key in active:
            # Passive motion does not stop short of active motion.
            line.follow(active[key])
            offset += 4
        elif line.test == "AROM":
            active[key] = line
        rows += measurement(rng, base, line, visit, offset)
    if patient["_force"] and rng.random() < 0.9:
        rows += force_rows(rng, base, visit)
    rows += by_another(rng, rows)
    if rng.random() < 0.05:
        elsewhere = rng.choice(POSITIONS)
        for row in rows:
            row["position"] = elsewhere if row["position"] else ""
    return rows


def patient_rows(rng, index, motions, visits):
    age = rng.randint(2, 95)
    first = FIRST_DAY + datetime.timedelta(days=rng.randint(0, 400))
    born = first - datetime.timedelta(days=int(age * 365.25) + rng.randint(1, 364))
    patient = dict.fromkeys(COLUMNS, "")
    patient.update(patient_id=f"G-{index:05d}",
                   sex=rng.choice(["female", "male", "female", "male", "other", ""]),
                   dominant_side=rng.choice(["right", "right", "left", ""]),
                   affected_side=rng.choice(["right", "left", ""]),
                   referrer=rng.choice(["Dr Example", ""]))
    if rng.random() < 0.8:
        patient["birth_date"] = born.isoformat()
    elif rng.random() < 0.8:
        patient["age"] = str(age)
    if rng.random() < 0.5:
        patient["body_mass_kg"] = str(rng.randint(45, 110) if age > 15 else 10 + 2 * age)
    patient["_force"] = rng.random() < 0.15
    lines = choose_lines(rng, motions)
    raters = rng.sample(RATERS, rng.choice([1, 1, 1, 2]))
    rows = []
    date = first
    for visit in range(visits):
        rows += visit_rows(rng, patient, lines, visit, date, raters)
        date += datetime.timedelta(days=rng.randint(3, 21))
    return rows


# ---- what is asked about ---------------------------------------------------------------------------

STATED = ["gravity-minimised", "against gravity", "supine, gravity eliminated", "supine/G.E.", "AG"]


def twist_grade(rng, row):
    """Grades that contradict their position, their count, their range or their pain."""
    cell = "grade" if row["grade"] else "value"
    if not is_grade(row[cell]):
        return
    if rng.random() < 0.25:
        row[cell] = rng.choice(["0", "1", "2", "2+", "3-"])
    if rng.random() < 0.25:
        row["position"] = rng.choice(STATED)
    if rng.random() < 0.12:
        row["pain"] = rng.choice(["yes", "4", "0"])
    if rng.random() < 0.2:
        row["technique"] = rng.choice(["make", "break"])
    if (row["joint"], row["motion"]) == ("ankle", "plantar-flexion") and rng.random() < 0.8:
        row["position"] = rng.choice(["standing", "standing, heel rises", "prone"])
        row["repetitions"] = rng.choice(["0", "1", "2", "24", "25", "30"])
        row[cell] = rng.choice(["2+", "3", "4", "4+", "5"])


def twist_range(rng, row, motion):
    plain = is_digits(row["value"]) and motion["unit"] == "deg"
    if rng.random() < 0.03 and motion["unit"] == "deg":
        row["tool"] = "visual"
    if plain and not row["try"] and int(row["value"]) > 40 and rng.random() < 0.05:
        value = int(row["value"])
        row["value"] = f"{value}; {value - 31}"
    if row["test"] == "PROM" and rng.random() < 0.1:
        row["end_feel"] = rng.choice(["empty", "springy", "firm", "hard", "soft"])
    if row["test"] == "AROM" and "mmt" in motion["tests"] and rng.random() < 0.08:
        row["position"] = rng.choice(STATED)
    place = (row["joint"], row["motion"])
    if place[0] == "shoulder" and place[1].endswith("-rotation") and rng.random() < 0.3:
        row["position"] = "supine, arm at side"
    if place == ("hip", "flexion") and rng.random() < 0.3:
        row["position"] = "supine, knee straight"


def again(rng, row):
    """Fourteen tries in two rows."""
    low = max(0, int(row["value"]) - 4)
    return [dict(row, **{"try": str(n), "value": "; ".join(str(low + rng.randint(0, 4))
                                                          for _ in range(7))}) for n in (1, 2)]


def bent_less_than_it_lacks(rng, rows):
    """A knee or elbow that bends to 40 and lacks 50."""
    by_place = {}
    for row in rows:
        if row["joint"] in ("knee", "elbow") and not row["try"] and not row["timing"]:
            key = tuple(row[n] for n in ("visit_date", "joint", "side", "test", "position"))
            by_place.setdefault(key, {})[row["motion"]] = row
    for pair in by_place.values():
        if "flexion" in pair and "extension" in pair and pair["flexion"]["test"] != "MMT" and \
                rng.random() < 0.3:
            pair["flexion"].update(value="40", start_deg="", end_deg="")
            pair["extension"].update(value="lacks 50", start_deg="", end_deg="")


def shoulder_blade(rng, rows):
    """Grades of serratus anterior and of the arm that it carries."""
    first = rows[0]
    date, side = first["visit_date"], rng.choice(["right", "left"])
    made = []
    for joint, motion in (("scapula", "abduction-upward-rotation"), ("shoulder", "flexion")):
        if not any((r["joint"], r["motion"], r["test"]) == (joint, motion, "MMT") for r in rows):
            cells = dict(joint=joint, motion=motion, side=side, test="MMT",
                         grade=rng.choice(GRADES[4:]))
            made.append(bare(first, dict(cells, visit_date=date),
                             ["visit_kind", "treatment_day", "measured_by", "role", "supervisor"]))
    return made


def twists(rng, rows, motions):
    """Readings that rules ask about, which careful people rarely write."""
    by_name = {(m["joint"], m["motion"]): m for m in motions}
    people = {}
    for row in rows:
        people.setdefault(row["visit_date"], set()).add(row["measured_by"])
    unnamed = {date for date in sorted(people)
               if rng.random() < 0.05 and len(people[date]) == 1}
    made = []
    for row in rows:
        motion = by_name[row["joint"], row["motion"]]
        if row["test"] == "MMT":
            twist_grade(rng, row)
        elif row["test"] in ("AROM", "PROM"):
            twist_range(rng, row, motion)
        if motion["compensations"] and rng.random() < 0.06:
            row["compensation"] = "; ".join(rng.sample(motion["compensations"],
                                                       min(2, len(motion["compensations"]))))
        if row["visit_date"] in unnamed:
            row.update(measured_by="", role="", supervisor="")
        alone = row["test"] in ("AROM", "PROM") and is_digits(row["value"]) and \
            not row["try"] and not row["timing"] and not is_straight(motion)
        made += again(rng, row) if alone and rng.random() < 0.01 else [row]
    bent_less_than_it_lacks(rng, made)
    return made + (shoulder_blade(rng, made) if rng.random() < 0.03 else [])


# ---- slips of one record, and what is on file -----------------------------------------------------

PLACE = ("visit_date", "joint", "motion", "side", "digit", "test", "position", "timing")
HEADING = ["visit_kind", "treatment_day", "measured_by", "role", "supervisor"]
STRETCHES = {
    ("ankle", "dorsiflexion"): ("knee straight", "knee bent"),
    ("hip", "flexion"): ("supine, knee straight", "supine, knee bent"),
    ("knee", "flexion"): ("prone", "supine")}
HABITS = "leaning holding twisting hiking pushing bending gripping swinging".split()
TONE = ["spasticity with quick stretch", "no spasticity", "clonus, 3 beats", "increased tone",
        "no increased tone", "sore afterwards"]
EXAMINATIONS = {
    "ISNCSCI": [("elbow", "flexion", ""), ("wrist", "extension", ""), ("elbow", "extension", ""),
                ("finger-dip", "flexion", "3"), ("finger-mcp", "abduction", "5"),
                ("hip", "flexion", ""), ("knee", "extension", ""), ("ankle", "dorsiflexion", ""),
                ("toe-mtp", "extension", "1"), ("ankle", "plantar-flexion", "")],
    "MRC-sum": [("shoulder", "abduction", ""), ("elbow", "flexion", ""), ("wrist", "extension", ""),
                ("hip", "flexion", ""), ("knee", "extension", ""), ("ankle", "dorsiflexion", "")]}


def is_plain(row):
    return row["test"] in ("AROM", "PROM") and is_digits(row["value"]) is not None and \
        not row["try"] and not row["timing"] and not row["start_deg"] and not row["end_deg"]


def is_graded(row):
    return row["test"] == "MMT" and \
        is_grade(row["grade"] or row["value"]) is not None


def two_grades(rng, row):
    """One test graded twice, differently."""
    cell = "grade" if row["grade"] else "value"
    other = rng.choice([grade for grade in GRADES if grade != row[cell]])
    return [dict(row, **{"try": "1"}), dict(row, **{"try": "2", cell: other})]


def two_positions(rng, row, positions, spread):
    """One range measured in two positions."""
    value = int(row["value"])
    return [dict(row, position=position, value=str(max(0, value + rng.randint(-spread, spread))))
            for position in positions]


def three_tries(rng, row):
    """Three tries, in each of which something else was seen."""
    seen = rng.sample(HABITS, rng.choice([6, 7, 8]))
    return [dict(row, **{"try": str(n + 1)}, compensation="; ".join(seen[n::3])) for n in range(3)]


def sore_joint(rng, rows, row):
    """Bends to 40 or 50 and lacks 50."""
    alike = [r for r in rows if r["motion"] == "extension" and
             all(r[n] == row[n] for n in ("visit_date", "joint", "side", "test"))]
    if alike:
        return [row]
    bent = dict(row, value=rng.choice(["40", "50"]))
    return [bent, dict(bent, motion="extension", value="lacks 50", end_feel="", compensation="",
                       pain="")]


def slip(rng, rows, row, again_later):
    joint, motion = row["joint"], row["motion"]
    if is_graded(row) and rng.random() < 0.02:
        return two_grades(rng, row)
    if not is_plain(row):
        return [row]
    if (joint, motion) in STRETCHES and rng.random() < 0.3:
        return two_positions(rng, row, STRETCHES[joint, motion], 6)
    if joint in ("knee", "elbow") and motion == "flexion" and rng.random() < 0.1:
        return sore_joint(rng, rows, row)
    if not row["position"] and again_later and rng.random() < 0.05:
        return two_positions(rng, row, ("supine", "sitting"), 4)
    return three_tries(rng, row) if rng.random() < 0.01 else [row]


def lone_traces(rng, rows):
    """A trace on one side, and 5 on the other that day or on an earlier one."""
    lines = {}
    for row in rows:
        if is_graded(row) and row["side"] in ("right", "left") and not row["try"]:
            lines.setdefault((row["joint"], row["motion"], row["digit"], row["position"]), []) \
                .append(row)
    for line in lines.values():
        weak = rng.choice(line)
        others = [row for row in line if row["side"] != weak["side"]
                  and row["visit_date"] <= weak["visit_date"]]
        if others and rng.random() < 0.15:
            strong = rng.choice(others)
            weak.update(grade="", value=rng.choice(["1", "1/5"]))
            strong.update(grade="5", value="")


def on_file(rng, rows):
    """Raised tone: in the notes of a visit, as a reason, or in the diagnosis."""
    how = rng.random()
    if how < 0.03:
        for row in rows:
            if rng.random() < 0.3:
                row["note"] = rng.choice(TONE)
    elif how < 0.04:
        rows[0]["diagnosis"] = rng.choice(["stroke, spasticity of the left arm", "sprain",
                                           "rigidity of the right knee"])
    elif how < 0.06:
        row = rng.choice(rows)
        if is_plain(row):
            row["value"] = "NT (spasticity)"


def examination(rng, rows):
    """All grades that a sum score adds, at one visit that declares its protocol; or nearly all."""
    first = rng.choice(rows)
    protocol = rng.choice(sorted(EXAMINATIONS))
    graded = {tuple(row[n] for n in PLACE[:6]) for row in rows}
    lacks = rng.random() < 0.3
    made = []
    for joint, motion, digit in EXAMINATIONS[protocol]:
        for side in ("right", "left"):
            place = (first["visit_date"], joint, motion, side, digit, "MMT")
            if place in graded:
                continue
            cells = dict(zip(PLACE, place), grade=rng.choice(GRADES[1:]))
            if lacks and rng.random() < 0.05:
                cells["grade"] = "NT"
            if rng.random() < 0.05:
                cells["position"] = "standing"
            made.append(bare(first, cells, HEADING))
    if made:
        made[0]["protocol"] = protocol
    return made


def slips(rng, rows):
    last = max(row["visit_date"] for row in rows)
    made = []
    for row in rows:
        made += slip(rng, rows, row, row["visit_date"] < last)
    lone_traces(rng, made)
    on_file(rng, made)
    return made + (examination(rng, made) if rng.random() < 0.04 else [])


# ---- goals and limits ------------------------------------------------------------------------------

def target(rng, row, motions):
    """A goal or a limit in the direction of the motion, within what a joint can do."""
    motion = next(m for m in motions if (m["joint"], m["motion"]) == (row["joint"], row["motion"]))
    if row["test"] == "MMT":
        return rng.choice(GRADES[3:])
    if row["test"] == "force":
        return str(rng.randint(60, 320))
    if motion["better"] == "lower":
        return number(rng.randint(0, 30) / 10)
    if motion["normal"] == 0:
        return str(rng.randint(-12, 3))
    value = motion["normal"] * rng.choice([0.6, 0.75, 0.85, 0.95, 1.0])
    return number(round(value) if motion["unit"] == "deg" else round(value, 1))


def later(date, days):
    return (datetime.date.fromisoformat(date) + datetime.timedelta(days=days)).isoformat()


def goal_cells(rng, row, motions, n):
    cells = {"goal_id": f"G{n}", "goal_value": target(rng, row, motions)}
    if rng.random() < 0.85:
        cells["goal_due"] = later(row["visit_date"], rng.choice([0, 7, 14, 20, 30, 60, -10]))
    if rng.random() < 0.3:
        cells["goal_set_on"] = later(row["visit_date"], rng.choice([-20, -7, 0, 5]))
    if rng.random() < 0.3 and row["test"] in ("AROM", "PROM"):
        cells["goal_baseline"] = target(rng, row, motions)
    if row["test"] == "force":
        cells["unit"] = "N"
    return cells


def limit_cells(rng, row, motions):
    kind = rng.choice(["range"] * 5 + ["resistance"] * 3 + ["no-test", "weight-bearing"])
    cells = {"limit_kind": kind, "limit_by": "Dr Example",
             "limit_test": rng.choice(["", row["test"]])}
    if kind == "range":
        if row["test"] not in ("AROM", "PROM"):
            return {}
        cells["limit_value"] = target(rng, row, motions)
    if rng.random() < 0.5:
        cells["limit_from"] = later(row["visit_date"], rng.choice([-5, 0, 3]))
    if rng.random() < 0.7:
        cells["limit_until"] = later(row["visit_date"], rng.choice([4, 10, 25]))
    return cells


def bare(row, cells, keep):
    """A row of its own for a goal or a limit: the patient, the place, and what is said of it."""
    facts = COLUMNS[:COLUMNS.index("visit_date")]
    return dict(dict.fromkeys(COLUMNS, ""), **{name: row[name] for name in facts + keep}, **cells)


def aims(rng, rows, motions):
    """Goals and limits of some of the lines, in rows of their own or beside a measurement."""
    places = {}
    for row in rows:
        key = tuple(row[name] for name in ("joint", "motion", "side", "digit", "test"))
        if not row["timing"]:
            places.setdefault(key, []).append(row)
    place = ["joint", "motion", "side", "digit"]
    made = []
    for of_place in places.values():
        for n in range(1, 1 + rng.choice([0, 0, 0, 1, 1, 2])):
            row = rng.choice(of_place)
            cells = goal_cells(rng, row, motions, n)
            beside = row["value"] and not row["goal_id"] and "unit" not in cells
            if beside and rng.random() < 0.5:
                row.update(cells)
            else:
                made.append(bare(row, cells, ["visit_date"] + place + ["test"]))
        if rng.random() < 0.2:
            row = rng.choice(of_place)
            cells = limit_cells(rng, row, motions)
            everywhere = cells and cells["limit_kind"] in ("resistance", "weight-bearing")
            if cells:
                made.append(bare(row, cells, ["visit_date"] + ([] if everywhere else place)))
    return rows + made


def generate(count, seed):
    """The rows of one patient after the other."""
    rng = Draw(seed)
    motions = load_motions()
    index = 0
    while count > 0:
        visits = min(count, rng.randint(1, 5))
        count -= visits
        rows = []
        while len({row["visit_date"] for row in rows}) != visits:
            rows = patient_rows(rng, index + 1, motions, visits)
        # Drawn apart, so that a change here leaves the readings as they are.
        rows = twists(Draw(f"{seed} twists {index}"), rows, motions)
        rows = slips(Draw(f"{seed} slips {index}"), rows)
        yield aims(Draw(f"{seed} {index}"), rows, motions)
        index += 1


def write_scattered(patients, out):
    """The first row of each patient, then the second of each: only the lines are held."""
    line = io.StringIO()
    writer = csv.writer(line, lineterminator="\n")
    rounds = []
    for rows in patients:
        for i, row in enumerate(rows):
            writer.writerow(cells_of(row))
            if i == len(rounds):
                rounds.append(io.StringIO())
            rounds[i].write(line.getvalue())
            line.seek(0)
            line.truncate()
    for lines in rounds:
        out.write(lines.getvalue())


def main(arguments):
    words = [a for a in arguments if a != "--scatter"]
    if len(words) != 2 or not all(w.isdigit() for w in words):
        sys.exit("usage: generate.py N SEED [--scatter]")
    patients = generate(int(words[0]), int(words[1]))
    # Bytes, so that neither the locale nor the platform has a say.
    out = open(sys.stdout.fileno(), "w", encoding="utf-8", newline="", closefd=False)
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    if "--scatter" in arguments:
        write_scattered(patients, out)
    else:
        for rows in patients:
            writer.writerows(map(cells_of, rows))
    out.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
