#!/usr/bin/env python3
"""Works every number of a findings CSV out again and compares.

    recompute.py FINDINGS.csv --reference DIR INPUT.csv ...

A second implementation of what docs/rules.md promises, from the input files and the reference
library alone; it shares no code with the program. It reads native columns and clean cells: plain
numbers, pairs, tries, grades, and the usual words for "no number". Rows that depend on a cell it
does not read are counted and left out. Each disagreement is printed with patient, date, key,
column and both values; exit status 1 when there is one.
"""

import csv
import datetime
import io
import math
import pathlib
import re
import statistics
import sys
import xml.etree.ElementTree as ET

# Weir 2005: MDC = z * sqrt(2) * SEM with z 1.96 and 1.645.
Z95, Z90 = 1.96, 1.645
RULE_OF_THUMB = {"intra": 5.0, "inter": 10.0}
TOO_LARGE_SHARE = 0.25
LEVER_TOLERANCE_M = 0.005
TINY = 1e-9
PEERS_RANK = (
    "YOUDAS1992 AAOS1994 FITZGERALD1983 CDC_SOUCIE2011 GILL2020 BOONE_AZEN1979 MACEDO_MAGEE2009 "
    "JUNG_YAMASAKI2016 ROACH_MILES1991 WALKER1984 ROAAS_ANDERSSON1982 HIRSCH2006 MMO_INDIA2012 "
    "ZURICH_MOC2013").split()
# Set-ups that a record of native columns does not state.
SPECIAL_SET_UPS = re.compile(r"lunge|skin-mark|fingertip-to-floor|toe-to-wall|total arc|full arc")
HEALTHY = re.compile(r"healthy|asymptomatic|non-injured|pain-free")
ROLE_RANK = {"PT": 0, "PTA": 1, "": 2, "other": 2, "student": 3}


def optional(text):
    return None if text in (None, "") else float(text)


# ---- reference ---------------------------------------------------------------------------------

class Motion:
    def __init__(self, element):
        get = element.get
        self.joint, self.motion = get("joint"), get("motion")
        self.order, self.unit = int(get("order")), get("unit") or ""
        self.midline = get("sides") == "midline"
        self.opposite = get("opposite")
        self.digits = get("digits") or ""
        self.normals = [dict(n.attrib) for n in element.findall("normal")]
        self.default = next((n for n in self.normals if n["role"] == "default"), None)
        goniometry = element.find("goniometry")
        self.usual_tool = goniometry.get("instrument") if goniometry is not None else ""
        self.usual_position = goniometry.get("position") if goniometry is not None else ""
        self.end_feel = goniometry.get("end-feel") if goniometry is not None else ""

    def is_straight(self):
        """Zero is the normal end: a bare number could mean either side of it."""
        return self.default is not None and float(self.default["normal-deg"]) == 0 \
            and not self.lower_is_better()

    def lower_is_better(self):
        return self.default is not None and self.default["better"] == "lower"


class Reference:
    def __init__(self, folder):
        self.motions, self.errors, self.grades = {}, [], {}
        for path in sorted(pathlib.Path(folder).glob("*.xml")):
            root = ET.parse(path).getroot()
            for element in root.findall("motion"):
                motion = Motion(element)
                self.motions[motion.joint, motion.motion] = motion
                for error in element.findall("error"):
                    self.errors.append(dict(error.attrib, joint=motion.joint,
                                            motion=motion.motion))
            for grade in root.findall("grade"):
                self.grades[grade.get("grade")] = float(grade.get("numeric"))

    def opposite(self, motion):
        return self.motions.get((motion.joint, motion.opposite))


# ---- input -------------------------------------------------------------------------------------

class Reading:
    """One cell that was read: what it says, whose it is, and what it was measured with."""

    def __init__(self, row, motion, reference):
        self.motion, self.row = motion, row
        self.patient, self.date = row["patient_id"], row["visit_date"]
        self.side = side_of(row, motion)
        self.digit = row.get("digit", "")
        self.test = row["test"]
        self.timing = row.get("timing", "")
        self.position, self.tool = row.get("position", ""), row.get("tool", "")
        self.muscle, self.technique = row.get("muscle", ""), row.get("technique", "")
        self.measurer, self.role = row.get("measured_by", ""), row.get("role", "")
        self.status, self.reason = "not-recorded", ""
        self.start, self.tries, self.grade, self.force = None, [], None, None
        self.derived, self.clean = False, True
        for name in ("value", "start_deg", "end_deg", "grade"):
            row[name] = without_pain_mark(row.get(name, ""))
        if self.test == "MMT":
            read_grade(self, reference)
        elif self.test == "force":
            read_force(self)
        else:
            read_angle(self)

    def has_number(self):
        return self.status in ("measured", "estimated")

    def place(self):
        """What tells two readings apart but motion, position and who measured with what."""
        return (self.date, self.side, self.digit, self.test, self.timing)

    def full_place(self):
        return (self.motion.joint, self.motion.motion, self.position) + self.place()

    def hold(self):
        self.status, self.tries, self.start = "held-back", [], None
        self.grade = self.force = None


def without_pain_mark(text):
    return re.sub(r"\s*(P!|\(painful\))$", "", text)


def side_of(row, motion):
    side = row.get("side", "").lower()
    if motion.midline and side == "":
        return "midline"
    return {"r": "right", "l": "left", "rt": "right", "lt": "left"}.get(side, side)


def read_without_number(reading, text):
    """Words for "no number"; False when the text is none of them."""
    low = text.lower()
    if low in ("", "-", "--", ".", "?"):
        reading.status = "not-recorded"
    elif low in ("n/a", "na"):
        reading.status = "not-applicable"
    elif re.match(r"(nt|dnt|cnt|not tested)\b", low):
        reading.status = "not-tested"
        rest = re.sub(r"^(nt|dnt|cnt|not tested)\s*[-(]?\s*", "", text, flags=re.I)
        reading.reason = rest.rstrip(")").strip()
    elif low in ("wnl", "wfl", "full", "from", "norm") and reading.test != "MMT":
        reading.status = "no-angle"
    elif re.fullmatch(r"[TL]\d+", text) and reading.motion.motion == "internal-rotation":
        reading.status = "no-angle"
    else:
        return False
    return True


PLAIN = r"-?\d+(?:\.\d+)?"


def read_value(reading, text):
    """A number, tries, a pair or a word with a number, on the one angle scale."""
    straight = reading.motion.is_straight()
    estimated = re.fullmatch(r"(?:~\s*|approx\.? )(\d+(?:\.\d+)?)", text)
    if re.fullmatch(PLAIN, text) and (not straight or float(text) == 0):
        reading.tries = [float(text)]
    elif re.fullmatch(rf"{PLAIN}(?:\s*;\s*{PLAIN})+", text) and not straight:
        reading.tries = [float(part) for part in text.split(";")]
    elif estimated:
        reading.tries, reading.status = [float(estimated[1])], "estimated"
    elif re.fullmatch(r"lacks \d+(?:\.\d+)?", text):
        reading.tries = [-float(text.split()[1])]
    elif re.fullmatch(r"hyper \d+(?:\.\d+)?", text) and straight:
        reading.tries = [float(text.split()[1])]
    elif re.fullmatch(r"\d+-\d+", text) and not straight:
        start, end = (float(part) for part in text.split("-"))
        if end - start <= 10:
            return False
        reading.start, reading.tries = start, [end]
    else:
        return False
    if reading.status == "not-recorded":
        reading.status = "measured"
    return True


def read_angle(reading):
    row = reading.row
    text, start, end = row.get("value", ""), row.get("start_deg", ""), row.get("end_deg", "")
    if row.get("unit", "") not in ("", reading.motion.unit) or row.get("grade", ""):
        reading.clean = False
    elif text and (start or end):
        reading.clean = False
    elif end:
        numbers = re.fullmatch(PLAIN, end) and (not start or re.fullmatch(PLAIN, start))
        reading.clean = bool(numbers)
        if numbers:
            reading.tries, reading.status = [float(end)], "measured"
            reading.start = float(start) if start else None
    elif start:
        reading.clean = False
    elif not read_without_number(reading, text):
        reading.clean = read_value(reading, text)
    ceiling = optional(reading.motion.default.get("max-plausible-deg")) \
        if reading.motion.default else None
    if reading.clean and ceiling is not None and any(t > ceiling for t in reading.tries):
        reading.clean = False


def read_grade(reading, reference):
    row = reading.row
    text = row.get("grade", "") or row.get("value", "")
    if row.get("grade", "") and row.get("value", ""):
        reading.clean = False
    elif not read_without_number(reading, text):
        found = re.fullmatch(r"([0-5][+-]?)(?:/5)?", text)
        if found and found[1] in reference.grades:
            reading.grade, reading.status = found[1], "measured"
        else:
            reading.clean = False


def read_force(reading):
    row = reading.row
    text = row.get("value", "")
    if read_without_number(reading, text):
        return
    if re.fullmatch(r"\d+(?:\.\d+)?", text) and row.get("unit", "").lower() in ("n", ""):
        reading.force, reading.status = float(text), "measured"
        reading.tries = [reading.force]
        lever = row.get("lever_cm", "")
        reading.lever = float(lever) / 100 if re.fullmatch(PLAIN, lever) else None
    else:
        reading.clean = False


def number_of(rows, name):
    """A number that every row that states it agrees on."""
    values = {row[name] for row in rows if row.get(name)}
    return float(values.pop()) if len(values) == 1 else None


def text_of(rows, name):
    values = [row[name] for row in rows if row.get(name)]
    return values[0] if values else ""


def date_of(text):
    return datetime.date.fromisoformat(text)


class Patient:
    def __init__(self, identity, rows, reference):
        self.id, self.rows = identity, rows
        self.born, self.sex = text_of(rows, "birth_date"), text_of(rows, "sex")
        self.dominant = text_of(rows, "dominant_side")
        self.readings, self.unclean = [], set()
        for row in rows:
            self.read(row, reference)

    def read(self, row, reference):
        if not row.get("joint") and not row.get("motion") or not row["visit_date"] or \
                any(row.get(name) for name in ("goal_id", "goal_value", "limit_kind")):
            return
        motion = reference.motions.get((row["joint"], row["motion"]))
        if motion is None or row["test"] not in ("AROM", "PROM", "MMT", "force"):
            self.unclean.add(row.get("joint"))
            return
        visit = [r for r in self.rows if r["visit_date"] == row["visit_date"]
                 and not r.get("joint")]
        for name in ("measured_by", "role", "supervisor", "position", "tool"):
            of_range = name in ("position", "tool")
            if row.get(name) or name == "role" and row.get("measured_by") or \
                    of_range and row["test"] not in ("AROM", "PROM"):
                continue
            row[name] = text_of(visit, name)
        self.readings.append(Reading(row, motion, reference))

    def settle(self, held_places, reference):
        """Cells that are not read here count as held back where the program held them back, and
        otherwise leave their joint out."""
        for reading in self.readings:
            if not reading.clean and reading.full_place() in held_places:
                reading.hold()
            elif not reading.clean:
                self.unclean.add(reading.motion.joint)
        self.derive(reference)

    def derive(self, reference):
        """A written start also tells the end of the opposite motion."""
        for reading in [r for r in self.readings if r.start is not None]:
            opposite = reference.opposite(reading.motion)
            if opposite is None or opposite.default is None:
                if reading.start != 0:
                    self.unclean.add(reading.motion.joint)
                continue
            if reading.start == 0 and float(opposite.default["normal-deg"]) != 0:
                continue
            explicit = [r for r in self.readings if not r.derived and r.motion is opposite
                        and r.place() == reading.place()
                        and agreeing(r.position, reading.position)]
            if explicit:
                if any(abs(t + reading.start) > 5 for r in explicit for t in r.tries):
                    for contradicting in [reading] + explicit:
                        contradicting.hold()
                if any(r.has_number() or r.status == "held-back" for r in explicit):
                    continue
                self.unclean.add(reading.motion.joint)
            made = Reading(dict(reading.row, value="", start_deg="", end_deg=""), opposite,
                           reference)
            made.derived, made.status = True, reading.status
            made.tries = [-reading.start + 0.0]
            self.readings.append(made)

    def age_on(self, date):
        if self.born:
            born, on = date_of(self.born), date_of(date)
            years = on.year - born.year - ((on.month, on.day) < (born.month, born.day))
            return years if years >= 2 else (on - born).days / 365.25
        of_visit = [r for r in self.rows if r["visit_date"] == date]
        return number_of(of_visit, "age") if text_of(of_visit, "age") \
            else number_of(self.rows, "age")

    def mass_on(self, date):
        of_visit = [r for r in self.rows if r["visit_date"] == date]
        return number_of(of_visit, "body_mass_kg") if text_of(of_visit, "body_mass_kg") \
            else number_of(self.rows, "body_mass_kg")


def read_inputs(paths, reference):
    rows = {}
    seen = set()
    for path in paths:
        text = pathlib.Path(path).read_text(encoding="utf-8-sig")
        semicolons = text.split("\n", 1)[0].count(";") > 1
        for row in csv.DictReader(io.StringIO(text, newline=""),
                                  delimiter=";" if semicolons else ","):
            row = {key.strip().lower(): (value or "").strip() for key, value in row.items()
                   if key is not None}
            for name in ("test", "visit_date", "joint", "motion"):
                row.setdefault(name, "")
            if semicolons and re.fullmatch(r"\d+,\d+", row.get("value", "")):
                row["value"] = row["value"].replace(",", ".")
            identical = tuple(sorted(row.items()))
            if identical in seen or not row.get("patient_id"):
                continue
            seen.add(identical)
            rows.setdefault(row["patient_id"], []).append(row)
    return {key: Patient(key, of_one, reference) for key, of_one in rows.items()}


# ---- group -------------------------------------------------------------------------------------

class Finding:
    """One row of the findings, from the readings it stands for."""

    def __init__(self, readings, patient):
        first = readings[0]
        self.patient, self.readings, self.motion = patient, readings, first.motion
        self.date, self.side, self.digit = first.date, first.side, first.digit
        self.test, self.position, self.muscle = first.test, first.position, first.muscle
        self.after = first.timing == "after"
        self.tool = next((r.tool for r in readings if r.tool), "")
        self.technique = next((r.technique for r in readings if r.technique), "")
        self.measurer = next((r.measurer for r in readings if r.measurer), "")
        self.role = next((r.role for r in readings if r.role), "")
        self.second_measurer = self.doubtful = False
        with_number = [r for r in readings if r.has_number()]
        order = ["held-back", "not-tested", "no-angle", "not-applicable", "not-recorded"]
        if with_number:
            estimated = any(r.status == "estimated" for r in with_number)
            self.status = "estimated" if estimated else "measured"
        else:
            self.status = min((r.status for r in readings), key=order.index)
        self.tries = [t for r in with_number for t in r.tries]
        self.end = statistics.fmean(self.tries) if self.tries and self.test != "force" else None
        self.force = statistics.fmean(self.tries) if self.tries and self.test == "force" else None
        self.sd = statistics.stdev(self.tries) if len(self.tries) > 1 else None
        starts = [r.start for r in with_number if r.start is not None]
        self.start = statistics.fmean(starts) if starts else None
        grades = {r.grade for r in with_number if r.grade is not None}
        self.grade = grades.pop() if len(grades) == 1 else None

    def has_number(self):
        return self.status in ("measured", "estimated")

    def is_range(self):
        return self.test in ("AROM", "PROM")

    def line(self):
        """What must be the same for two rows to be compared at all."""
        return (self.motion.joint, self.motion.motion, self.digit, self.test, self.muscle)


def joined(a, b):
    """Unstated joins stated; a position does not."""
    return all(x == y or not x or not y for x, y in (
        (a.tool, b.tool), (a.technique, b.technique), (a.measurer, b.measurer)))


def group(patient):
    places = {}
    for reading in patient.readings:
        key = (reading.date, reading.motion.order, reading.side, reading.digit, reading.test,
               reading.timing == "after", reading.position, reading.muscle)
        groups = places.setdefault(key, [])
        for members in groups:
            if all(joined(reading, member) for member in members):
                members.append(reading)
                break
        else:
            groups.append([reading])
    findings = []
    for groups in places.values():
        rows = [Finding(members, patient) for members in groups]
        by_others(rows)
        findings += rows
    return findings


def by_others(rows):
    """Of rows by several people one speaks: with a number, then by role, then as in the file."""
    if len({row.measurer for row in rows}) < 2:
        return
    speaking = min(rows, key=lambda r: (not r.has_number(), ROLE_RANK.get(r.role, 2)))
    for row in rows:
        row.second_measurer = row is not speaking and row.measurer != speaking.measurer


# ---- normal and deficit ------------------------------------------------------------------------

def fits_age(norm, age):
    low, high = float(norm["age-min"]), float(norm["age-max"])
    if age is None:
        return low == 0 and high >= 120
    whole = float(high).is_integer()
    return low <= age and (age < high + 1 if whole else age <= high)


def fits_sex(norm, sex):
    return norm["sex"] == "any" or norm["sex"] == sex


def states_position(norm, position):
    """The qualifier of a special row names the position of the record."""
    qualifier = norm.get("qualifier", "")
    if "dominant" in qualifier:
        return False
    for stated, named in (("arm at side", "arm at side"), ("prone", "prone"),
                          ("sitting", "seated"), ("seated", "seated")):
        if re.search(rf"\b{stated}\b", position) and re.search(rf"\b{named}\b", qualifier):
            return True
    return False


def digit_of_qualifier(qualifier):
    found = re.fullmatch(r"toes? (\d)(?:-(\d))?", qualifier)
    return (int(found[1]), int(found[2] or found[1])) if found else None


def choose_normal(finding):
    """The row a motion is held against, and what is special about it."""
    motion = finding.motion
    default = motion.default
    finding.normal, finding.normal_for_position, finding.other_position = default, False, False
    if default is None or not finding.is_range() or not finding.has_number():
        finding.normal = None
        return
    age, sex = finding.patient.age_on(finding.date), finding.patient.sex
    special = [n for n in motion.normals if n["role"] == "special" and n["unit"] == motion.unit
               and n["better"] == default["better"] and fits_age(n, age) and fits_sex(n, sex)]
    if finding.position:
        stated = [n for n in special if states_position(n, finding.position)]
        if stated:
            finding.normal, finding.normal_for_position = stated[0], True
            return
        # Rotation of the shoulder is tabled with the arm abducted to 90.
        finding.other_position = motion.joint == "shoulder" and \
            motion.motion.endswith("-rotation") and "arm at side" in finding.position
    infant = [n for n in special if re.search(r"infant", n.get("qualifier", ""))]
    if age is not None and infant:
        finding.normal = infant[0]
        return
    if default.get("qualifier") == "great toe" and finding.digit not in ("", "1"):
        digit = int(finding.digit)
        fitting = [n for n in special
                   if (span := digit_of_qualifier(n.get("qualifier", ""))) is not None
                   and span[0] <= digit <= span[1]]
        same = [n for n in fitting if n["source-id"] == default["source-id"]]
        finding.normal = (same or fitting or [None])[0]


def deficit(finding):
    finding.deficit = finding.percent = None
    if finding.end is None or finding.normal is None:
        return
    normal = float(finding.normal["normal-deg"])
    short = finding.end - normal if finding.normal["better"] == "lower" else normal - finding.end
    finding.deficit = max(0.0, short)
    if normal > 0:
        finding.percent = 100 * finding.deficit / normal


# ---- error -------------------------------------------------------------------------------------

class Limit:
    def __init__(self, basis="", sem=None, mdc90=None, mdc95=None, limit=None, source=""):
        self.basis, self.sem, self.mdc90, self.mdc95 = basis, sem, mdc90, mdc95
        self.limit, self.source = limit, source
        self.probable = mdc90


def instrument_of(finding):
    tool = finding.tool or finding.motion.usual_tool
    known = {"goniometer": "universal-goniometer", "visual": "visual", "by eye": "visual"}
    return known.get(tool, tool)


def figures_of(row):
    """SEM, MDC90 and MDC95 of a study and whether its MDC95 was published as such."""
    sem, mdc90, mdc95 = (optional(row.get(k)) for k in ("sem", "mdc90", "mdc95"))
    published = mdc95 is not None and "derived" not in row["how-known"]
    if mdc95 is None and sem is not None:
        mdc95 = Z95 * math.sqrt(2) * sem
    elif mdc95 is None and mdc90 is not None:
        mdc95 = mdc90 * Z95 / Z90
    if mdc90 is None and sem is not None:
        mdc90 = Z90 * math.sqrt(2) * sem
    elif mdc90 is None and mdc95 is not None:
        mdc90 = mdc95 * Z90 / Z95
    return sem, mdc90, mdc95, published


def study_of(finding, repeat, errors):
    """The study row that judges, by the order of docs/rules.md, or None."""
    mode = {"AROM": "active", "PROM": "passive"}[finding.test]
    best, best_rank = None, None
    for row in errors:
        if (row["joint"], row["motion"]) != (finding.motion.joint, finding.motion.motion):
            continue
        if row["unit"] != finding.motion.unit or row["rater"] != repeat:
            continue
        if row.get("mode", "") not in ("", mode):
            continue
        if row.get("instrument", "") not in ("", instrument_of(finding)):
            continue
        text = row.get("population", "") + " " + row["how-known"]
        if SPECIAL_SET_UPS.search(text):
            continue
        figures = figures_of(row)
        if figures[2] is None:
            continue
        rank = (not row.get("mode"), not row.get("instrument"),
                HEALTHY.search(row.get("population", "")) is not None, not figures[3],
                -figures[2])
        if best is None or rank < best_rank:
            best, best_rank = (row, figures), rank
    return best


def rule_of_thumb(finding, repeat):
    if finding.motion.unit != "deg":
        return Limit()
    if instrument_of(finding) == "visual":
        repeat = "inter"
    return Limit("rule-of-thumb", limit=RULE_OF_THUMB[repeat], source="COMMON")


def limit_of(finding, repeat, reference):
    if not finding.is_range() or finding.end is None:
        return Limit()
    thumb = rule_of_thumb(finding, repeat)
    if instrument_of(finding) == "visual" and finding.motion.unit == "deg":
        return thumb
    study = study_of(finding, repeat, reference.errors)
    if study is None:
        return thumb
    row, (sem, mdc90, mdc95, published) = study
    normal = float(finding.motion.default["normal-deg"])
    if finding.normal is not None:
        normal = float(finding.normal["normal-deg"])
    if normal > 0 and mdc95 > TOO_LARGE_SHARE * normal and thumb.limit is not None:
        return thumb
    limit = Limit("published" if published else "derived", sem, mdc90, mdc95, mdc95,
                  row["source-id"])
    if thumb.limit is not None and limit.limit < thumb.limit:
        limit.probable = mdc90 * thumb.limit / mdc95
        limit.limit = thumb.limit
    return limit


def no_less(two, one):
    """The limit of two raters is never below that of one."""
    if None not in (two.limit, one.limit) and two.limit < one.limit:
        if two.mdc90 is not None:
            two.probable = two.mdc90 * one.limit / two.mdc95
        two.limit = one.limit
    return two


# ---- icf, peers ---------------------------------------------------------------------------------

def icf_of(finding):
    if finding.percent is None:
        return None
    if finding.error.limit is not None and finding.deficit <= finding.error.limit + TINY:
        return 0
    percent = math.floor(min(100.0, finding.percent) + 0.5 + TINY)
    return sum(percent >= start for start in (5, 25, 50, 96))


def choose_peers(finding):
    patient, motion = finding.patient, finding.motion
    if finding.normal_for_position or finding.other_position or not finding.is_range() or finding.end is None:
        return None
    age = patient.age_on(finding.date)
    mode = {"AROM": "active", "PROM": "passive"}[finding.test]
    candidates = []
    for order, norm in enumerate(motion.normals):
        if norm["role"] != "stratum" or norm["unit"] != motion.unit or age is None:
            continue
        if not fits_age(norm, age) or not fits_sex(norm, patient.sex):
            continue
        if norm["side"] not in ("any", finding.side):
            continue
        if norm.get("qualifier") == "dominant hand" and patient.dominant and \
                patient.dominant != finding.side:
            continue
        modes = [mode, "unspecified"]
        rank = modes.index(norm["mode"]) if norm["mode"] in modes else 2
        source = PEERS_RANK.index(norm["source-id"]) if norm["source-id"] in PEERS_RANK else 99
        width = float(norm["age-max"]) - float(norm["age-min"])
        candidates.append((rank, norm["sex"] == "any", width, source, order, norm))
    return min(candidates, key=lambda c: c[:5])[5] if candidates else None


def peers(finding):
    finding.peers = choose_peers(finding)
    finding.z = finding.percentile = None
    if finding.peers is None or "sd-deg" not in finding.peers:
        return
    finding.z = (finding.end - float(finding.peers["normal-deg"])) / float(finding.peers["sd-deg"])
    finding.percentile = 50 * math.erfc(-finding.z / math.sqrt(2))


# ---- comparing rows ------------------------------------------------------------------------------

def agreeing(a, b):
    return a == b or not a or not b


def usable(finding):
    value = finding.grade if finding.test == "MMT" else value_of(finding)
    return finding.has_number() and value is not None and not finding.second_measurer


def comparable_later(finding):
    return usable(finding) and not finding.after and not finding.doubtful


def doubt(findings):
    """Passive clearly less than active: the passive reading is not compared."""
    for passive in findings:
        if passive.test != "PROM" or passive.end is None:
            continue
        for active in findings:
            same = active.test == "AROM" and active.end is not None and \
                active.motion is passive.motion and active.date == passive.date and \
                (active.side, active.digit, active.after) == \
                (passive.side, passive.digit, passive.after) and \
                agreeing(active.position, passive.position)
            lower = passive.motion.lower_is_better()
            if same and (active.end - passive.end) * (-1 if lower else 1) > 5 + TINY:
                passive.doubtful = True


def other_side(finding, findings, reference):
    finding.other = finding.other_date = finding.difference = finding.index = None
    finding.beyond = ""
    if finding.motion.midline or finding.test == "MMT" or not usable(finding):
        return
    wanted = {"right": "left", "left": "right"}[finding.side]
    candidates = [f for f in findings if f.line() == finding.line() and f.side == wanted
                  and f.after == finding.after and comparable(finding, f)]
    same_day = [f for f in candidates if f.date == finding.date and usable(f)]
    earlier = [f for f in candidates if f.date < finding.date and comparable_later(f)]
    if not same_day and not earlier:
        return
    day = finding.date if same_day else max(f.date for f in earlier)
    same_day = same_day or [f for f in earlier if f.date == day]
    other = min(same_day, key=lambda f: f.position != finding.position)
    finding.other_row = other
    this, that = value_of(finding), value_of(other)
    finding.other = that
    finding.other_date = "" if day == finding.date else day
    finding.difference = this - that
    normal = float(finding.normal["normal-deg"]) if finding.normal is not None else None
    positive = normal is not None and normal > 0 or finding.test == "force"
    if positive and that > 0 and this >= 0:
        finding.index = 100 * this / that
    judge_side(finding, other, reference)


def judge_side(finding, other, reference):
    one = finding.error.limit
    if one is None or "estimated" in (finding.status, other.status):
        return
    size = abs(finding.difference)
    two = one
    if finding.measurer and other.measurer and finding.measurer != other.measurer:
        two = no_less(limit_of(finding, "inter", reference), finding.error).limit or one
    if size >= max(one, two) - TINY:
        finding.beyond = "yes"
    elif size < one - TINY:
        finding.beyond = "no"


def value_of(finding):
    return finding.force if finding.test == "force" else finding.end


def limited_of(finding):
    if finding.deficit is None:
        return ""
    if finding.deficit <= 0:
        return "no"
    lower = finding.normal["better"] == "lower"
    worse_than_other = finding.beyond == "yes" and (finding.difference > 0) == lower
    moderate = finding.percent >= 25 - TINY if finding.percent is not None \
        else finding.deficit >= 10 - TINY
    enough = finding.z is not None and finding.z <= -2 + TINY or \
        finding.z is None and moderate or worse_than_other or \
        finding.z is None and finding.other is None
    if finding.other_position:
        enough = worse_than_other
    limit = finding.error.limit
    over = limit is not None and finding.deficit > limit + TINY
    return "yes" if over and enough else "below-handbook"


def comparable(now, then):
    return agreeing(now.position, then.position) and agreeing(now.tool, then.tool) and \
        agreeing(now.technique, then.technique)


class Change:
    date = value = change = None
    verdict = ""


def compare(now, then, is_comparable, reference):
    result = Change()
    result.date = then.date
    if now.test == "MMT":
        result.value = reference.grades[then.grade]
        change = reference.grades[now.grade] - result.value
    else:
        result.value = value_of(then)
        change = value_of(now) - result.value
        if now.motion.lower_is_better():
            change = -change
    if not is_comparable:
        result.verdict = "not-comparable"
        return result
    result.change = change
    two = bool(now.measurer and then.measurer and now.measurer != then.measurer)
    if "estimated" in (now.status, then.status):
        return result
    size = abs(change)
    if now.test == "MMT":
        beyond = size > 1 + TINY if two else size >= 1 - TINY
        result.verdict = "beyond-error" if beyond else "within-error"
        return result
    limit = limit_of(now, "intra", reference)
    if two:
        limit = no_less(limit_of(now, "inter", reference), limit)
    if limit.limit is None:
        return result
    result.error = limit
    if size >= limit.limit - TINY:
        result.verdict = "beyond-error"
    elif limit.probable is not None and size >= limit.probable - TINY:
        result.verdict = "probable"
    else:
        result.verdict = "within-error"
    return result


def changes(finding, findings, reference):
    finding.previous = finding.first = Change()
    if finding.after or not usable(finding):
        return
    earlier = [f for f in findings if f.line() == finding.line() and f.side == finding.side
               and comparable_later(f) and f.date < finding.date]
    same = [f for f in earlier if comparable(finding, f)]
    pool = same or earlier
    if not pool:
        return

    def on(day):
        rows = [f for f in pool if f.date == day]
        return min(rows, key=lambda f: f.position != finding.position)

    judged = bool(same) and not finding.doubtful
    finding.previous = compare(finding, on(max(f.date for f in pool)), judged, reference)
    finding.first = compare(finding, on(min(f.date for f in pool)), judged, reference)


def torque(finding):
    finding.torque = finding.per_mass = None
    levers = {r.lever for r in finding.readings if r.has_number() and finding.test == "force"}
    if finding.force is not None and len(levers) == 1 and None not in levers:
        finding.torque = finding.force * levers.pop()
        mass = finding.patient.mass_on(finding.date)
        if mass:
            finding.per_mass = finding.torque / mass


def evaluate(patient, reference):
    findings = group(patient)
    for finding in findings:
        choose_normal(finding)
        deficit(finding)
        finding.error = limit_of(finding, "intra", reference)
        finding.icf = icf_of(finding)
        peers(finding)
        torque(finding)
    doubt(findings)
    for finding in findings:
        other_side(finding, findings, reference)
        finding.limited = limited_of(finding)
        changes(finding, findings, reference)
    return findings


# ---- comparison ------------------------------------------------------------------------------------

def expected_cells(finding, reference):
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
        "torque_nm_per_kg": num(finding.per_mass, 2)}


def differs(printed, value, decimals):
    if decimals is None:
        return printed != value
    if value is None or printed == "":
        return not (value is None and printed == "")
    try:
        return abs(float(printed) - value) > 0.5 * 10 ** -decimals + 1e-7
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


def compare_visit(tally, identity, date, rows, findings, unclean, reference):
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
        for column, (value, decimals) in expected_cells(finding, reference).items():
            tally.cells += 1
            if differs(row[column], value, decimals):
                tally.disagree(identity, date, key_of(finding), column, row[column], value)
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
        sys.exit("usage: recompute.py FINDINGS.csv --reference DIR INPUT.csv ...")
    return arguments[0], arguments[2], arguments[3:]


def main(arguments):
    findings_path, folder, inputs = parse_arguments(arguments)
    reference = Reference(folder)
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
            compare_visit(tally, identity, date, rows, findings, patient.unclean, reference)
    print(f"{tally.rows} rows, {tally.cells} cells compared, {tally.skipped} rows left out, "
          f"{tally.wrong} disagreements", file=sys.stderr)
    return 1 if tally.wrong or tally.rows == 0 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
