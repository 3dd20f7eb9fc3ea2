"""The reference library and the input files, as recompute.py reads them: what a cell says, without
any judgement of it."""

import csv
import datetime
import functools
import io
import pathlib
import re
import xml.etree.ElementTree as ET


def optional(text):
    return None if text in (None, "") else float(text)


# ---- reference ----------------------------------------------------------------------------------

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
        self.end_feel_also = ((goniometry.get("end-feel-also") or "").split(";")
                              if goniometry is not None else [])
        self.rom = "rom" in get("tests").split("+")
        test = element.find("muscle-test")
        self.gravity = tuple(test.get(name) or "" for name in (
            "gravity-rule", "position-against-gravity", "position-gravity-minimized")) \
            if test is not None else ("", "", "")
        self.compensations = [dict(c.attrib) for c in element.findall("compensation")]

    def is_straight(self):
        """Zero is the normal end: a bare number could mean either side of it."""
        return self.default is not None and float(self.default["normal-deg"]) == 0 \
            and not self.lower_is_better()

    def lower_is_better(self):
        return self.default is not None and self.default["better"] == "lower"


# The sources of a profile of normal values, first to last (docs/clinic.md).
PROFILES = {
    "legal": ["CFR471_PLATES", "CFR471A_SPINE", "CFR471A_DIGITS", "CFR4150_TMD"],
    "AAOS": ["AAOS_NW", "AAOS1965", "AAOS1994"],
    "AMA": ["AMA_NW5", "AMA5", "AMA_SCR"]}
# Heel rises on one leg from which a grade is given; what a table leaves out is not known.
HEEL_RISES = {
    "25/2-24/1": {25: "5", 2: "4", 1: "3"}, "25/10-24/1-9": {25: "5", 10: "4", 1: "3"},
    "20": {20: "5"}, "quality": {4: "5", 2: "4", 1: "3"}}


class Clinic:
    """What a clinic file says of the rules, as far as it is looked at here."""

    def __init__(self, path):
        self.profile, self.heel_rises = [], HEEL_RISES["25/2-24/1"]
        self.two_plus_by_resistance = True
        if path is None:
            return
        root = ET.parse(path).getroot()
        for element in root:
            if element.tag == "norms":
                self.profile = PROFILES.get(element.get("profile"), [])
            elif element.tag == "heel-rises":
                self.heel_rises = HEEL_RISES[element.get("table")]
            elif element.tag == "two-plus-by-resistance":
                self.two_plus_by_resistance = element.get("accept") == "yes"
            else:
                raise ValueError(f"{path}: {element.tag} is not looked at here")


@functools.lru_cache(maxsize=None)
def library(folder):
    """The files of the reference, which several sets of findings are held against."""
    return [ET.parse(path).getroot() for path in sorted(pathlib.Path(folder).glob("*.xml"))]


class Reference:
    def __init__(self, folder, clinic=None):
        self.clinic = Clinic(clinic)
        self.motions, self.errors, self.grades = {}, {}, {}
        for root in library(folder):
            for element in root.findall("motion"):
                motion = Motion(element)
                self.motions[motion.joint, motion.motion] = motion
                self.errors.setdefault((motion.joint, motion.motion), []).extend(
                    dict(error.attrib) for error in element.findall("error"))
            for grade in root.findall("grade"):
                self.grades[grade.get("grade")] = float(grade.get("numeric"))

    def opposite(self, motion):
        return self.motions.get((motion.joint, motion.opposite))


# ---- input --------------------------------------------------------------------------------------

def position_of(typed):
    """The spellings that are generated, in the words of docs/csv.md."""
    words = {"gravity eliminated": "gravity-minimised", "ge": "gravity-minimised",
             "ag": "against gravity", "ke": "knee straight", "kf": "knee bent"}
    return ", ".join(words.get(part.lower().replace(".", ""), part)
                     for part in re.split(", |/", typed))


class Reading:
    """One cell that was read: what it says, whose it is, and what it was measured with."""

    def __init__(self, row, motion, reference):
        self.motion, self.row = motion, row
        self.patient, self.date = row["patient_id"], row["visit_date"]
        self.side = side_of(row, motion)
        self.digit = row.get("digit", "")
        self.test = row["test"]
        self.timing = row.get("timing", "")
        self.position, self.tool = position_of(row.get("position", "")), row.get("tool", "")
        self.muscle, self.technique = row.get("muscle", ""), row.get("technique", "")
        self.measurer, self.role = row.get("measured_by", ""), row.get("role", "")
        self.end_feel = row.get("end_feel", "")
        self.status, self.reason = "not-recorded", ""
        self.start, self.tries, self.grade, self.force = None, [], None, None
        self.derived, self.clean = False, True
        self.pain = row.get("pain", "").lower() not in ("", "0", "no") or any(
            without_pain_mark(row.get(name, "")) != row.get(name, "")
            for name in ("value", "end_deg", "grade"))
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


def agreeing(a, b):
    return a == b or not a or not b


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
        if not row.get("joint") and not row.get("motion") or not row["visit_date"]:
            return
        aims = any(row.get(name) for name in ("goal_id", "goal_value", "limit_kind"))
        if aims and not any(row.get(n) for n in ("value", "start_deg", "end_deg", "grade")):
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
            made = Reading(dict(reading.row, value="", start_deg="", end_deg="",
                                end_feel="", compensation=""), opposite,
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
