"""Whether the readings of a model are those that stand in their cells: number, sign, grade, side,
motion, day and patient, told again here from the bytes with another CSV reader, and whether the
findings hold the same. The signs are those of docs/csv.md: a plain number goes in the direction of
its motion, `lacks 10` and a bare -10 (never where straight is 0) are 10 short of zero, `10-120`
began 10 short of zero, `5-0-140` began 5 past it."""
import re
from collections import defaultdict
from functools import lru_cache

KILOGRAM, POUND = 9.80665, 4.4482216152605
SHORT = r"lack|short|ffd|contract|\bfc\b|flexum"
PAST = r"hyper|\bhe\b|recurv|past"
NUMBER = r"\d+(?:\.\d+)?"
LETTERS = {"N": "5", "G": "4", "F": "3", "P": "2", "T": "1", "Z": "0"}
READING = re.compile(
    r"^  reading (?P<joint>\S+) (?P<motion>\S+) (?P<side>right|left|midline)"
    r"(?: digit=(?P<digit>\d))? (?P<test>\S+) (?P<status>\S+) (?P<rest>.*)"
    r"line=(?P<line>\d+) column=(?P<column>\d+)$")
OPPOSITE = {"flexion": "extension", "extension": "flexion"}
MEASURED = ("measured", "estimated")
# Words of the headers of the wide fixture.
WIDE = {"flex": "flexion", "ext": "extension", "hamstrings": "flexion", "quads": "extension"}


def plain(text):
    """Dashes, decimal mark and blanks in one form; the apostrophe that a spreadsheet puts first."""
    for dash in "\u2010\u2011\u2012\u2013\u2014\u2212\x96\x97":
        text = text.replace(dash, "-")
    return re.sub(r"(\d),(\d)", r"\1.\2", text).strip().lstrip("'").strip()


@lru_cache(maxsize=None)
def angles(text):
    """The starts and the ends that a cell can mean, signed."""
    text = plain(text)
    numbers = [float(n) for n in re.findall(NUMBER, text)]
    triple = re.match(rf"^({NUMBER})\s*-\s*({NUMBER})\s*-\s*({NUMBER})", text)
    pair = re.match(rf"^({NUMBER})\s*(?:-|/|to)\s*({NUMBER})(?![\d.]*\s*-)", text)
    if re.search(SHORT, text, re.I):
        return set(), {-n for n in numbers}
    if re.search(PAST, text, re.I):
        return set(), set(numbers)
    if triple:
        a, b, c = (float(n) for n in triple.groups())
        return ({-min(a, c)} if b == 0 else {b}), {max(a, c)}
    if pair:
        low, high = (float(n) for n in pair.groups())
        return ({low}, {high}) if high != 0 else ({high}, {low})
    if re.match(rf"^-\s*{NUMBER}", text):
        return set(), {-numbers[0]}
    return set(), set(numbers)


@lru_cache(maxsize=None)
def grades(text):
    """The grades a cell can mean, with the sign behind the figure or letter."""
    text = re.sub(r"\s*/\s*(5|V)\b", "", plain(text))
    found = set()
    for mark, sign in re.findall(r"([0-5NGFPTZngfptz])[a-z.]*\s*([+-]|minus|plus)?", text):
        found.add(LETTERS.get(mark.upper(), mark) + {"minus": "-", "plus": "+"}.get(sign, sign))
    return found


def near(wanted, numbers, slack=1e-3):
    return any(abs(wanted - n) <= slack * max(1, abs(n)) for n in numbers)


@lru_cache(maxsize=None)
def value_of(rest, name):
    found = re.search(rf"(?:^| ){name}=(\S+)", rest)
    return found[1] if found else None


def text_of(rest):
    found = re.search(r' text="((?:[^"\\]|\\.)*)" $', rest)
    return found[1] if found else None


def readings_of(dump):
    """The readings of a model as dictionaries, with the patient and the day above them."""
    patient, day, found = None, None, []
    for line in dump.splitlines():
        head = re.match(r'^patient "((?:[^"\\]|\\.)*)"', line)
        visit = re.match(r"^visit (\S+)", line)
        reading = READING.match(line) if line.startswith("  reading ") else None
        if head:
            patient, day = head[1], None
        elif visit:
            day = visit[1]
        elif reading:
            r = reading.groupdict()
            r.update(patient=patient, day=day, line=int(r["line"]), column=int(r["column"]),
                     shown=line.strip()[:160], derived=" derived " in r["rest"])
            found.append(r)
    return found


# ---- the cell -----------------------------------------------------------------------------------

def wrong_number(r, text):
    """What is wrong with the numbers of a reading whose cell is `text`; None: nothing."""
    starts, ends = angles(text)
    if " noted=unit-converted" in r["rest"]:
        ends = ends | {e * f for e in ends for f in (10, 0.1)}
    tries = [float(t) for t in (value_of(r["rest"], "tries") or "").split(";") if t]
    start, end, grade, force = (value_of(r["rest"], n) for n in ("start", "end", "grade", "force-n"))
    for one in tries:
        if not near(one, ends):
            return f"try {one} is not in '{text}'"
    if tries:
        ends = {sum(tries) / len(tries)}
    if start is not None and not near(float(start), starts):
        return f"start={start} is not in '{text}'"
    if end is not None and not near(float(end), ends):
        return f"end={end} is not in '{text}'"
    if grade is not None and grade not in grades(text):
        return f"grade={grade} is not in '{text}'"
    if force is not None and not near(float(force), {n * f for n in ends
                                                     for f in (1, KILOGRAM, POUND)}):
        return f"force-n={force} is not in '{text}'"
    if start is None and end is None and grade is None and force is None:
        return "no number at all"
    return None


@lru_cache(maxsize=None)
def letters(text):
    return re.sub(r"[^a-z]", "", text.lower())


@lru_cache(maxsize=None)
def day_numbers(text):
    return sorted(int(n) for n in re.findall(r"\d+", text))


def wrong_row(r, head, row):
    """What the other cells of the row say otherwise. Columns that are not there say nothing."""
    cells = {name.strip().lower(): cell.strip() for name, cell in zip(head, row)}
    motion = OPPOSITE.get(r["motion"]) if r["derived"] else r["motion"]
    says = [("patient", cells.get("patient_id", cells.get("chart no")), r["patient"], str),
            ("day", cells.get("visit_date", cells.get("visit")), r["day"], day_numbers),
            ("joint", cells.get("joint"), r["joint"], letters),
            ("motion", cells.get("motion"), motion, letters),
            ("test", cells.get("test"), r["test"], letters)]
    for what, cell, told, form in says:
        if cell and told is not None and form(cell) != form(told):
            return f"{what} {told}, but the row says '{cell}'"
    side, digit = cells.get("side"), cells.get("digit")
    name = head[r["column"] - 1] if r["column"] <= len(head) else ""
    wide = re.search(r"\b([RL])\b", name)
    told = {"right": "r", "left": "l", "midline": ""}[r["side"]]
    if side is not None and side[:1].lower().replace("m", "") != told:
        return f"side {r['side']}, but the row says '{side}'"
    if side is None and wide and wide[1].lower() != told:
        return f"side {r['side']}, but the column is '{name}'"
    if side is None and wide:
        words = re.findall("[A-Za-z]+", name)  # any sign parts the words of a header
        if motion not in {WIDE.get(word) for word in words} or r["test"] not in words:
            return f"{motion} {r['test']}, but the column is '{name}'"
    if digit is not None and digit != (r["digit"] or ""):
        return f"digit {r['digit']}, but the row says '{digit}'"
    return None


def wrong_derived(r, all_of):
    """A row that a start angle implies has the start with the other sign."""
    end = value_of(r["rest"], "end")
    for other in all_of:
        same = all(other[k] == r[k] for k in ("patient", "day", "joint", "side", "digit", "test"))
        start = value_of(other["rest"], "start")
        if (same and not other["derived"] and other["line"] == r["line"] and start is not None
                and other["column"] == r["column"] and OPPOSITE.get(other["motion"]) == r["motion"]
                and end is not None and near(float(end), {-float(start)})):
            return None
    return f"derived {end} from no start"


def wrong_readings(dump, files):
    """The first reading that is not the one of its cell, or None; and how many there were.
    `files` are the rows of each file. The dump names no file: one of them must have the cell."""
    of_cell = defaultdict(list)
    measured = [r for r in readings_of(dump) if r["status"] in MEASURED]
    for r in measured:
        of_cell[(r["line"], r["column"])].append(r)
    for r in measured:
        text, said = text_of(r["rest"]), []
        for rows in files:
            if r["line"] > len(rows) or r["column"] > len(rows[r["line"] - 1]):
                continue
            row = rows[r["line"] - 1]
            cell = row[r["column"] - 1]
            if text is not None and letters(cell) + str(re.findall(r"\d", cell)) != \
                    letters(text) + str(re.findall(r"\d", text)):
                said.append(f"the cell has '{cell}'")
                continue
            said.append(wrong_row(r, rows[0], row) or
                        (wrong_derived(r, of_cell[(r["line"], r["column"])]) if r["derived"]
                         else wrong_number(r, cell)))
        if not said or all(said):
            why = said[0] if said else "no file has the cell"
            return f"line {r['line']}, column {r['column']}: {why}: {r['shown']}", len(measured)
    return None, len(measured)


# ---- the findings -------------------------------------------------------------------------------

def key_of(r):
    return (r["patient"], r["day"], r["joint"], r["motion"], r["side"], r["digit"] or "",
            r["test"])


@lru_cache(maxsize=2)
def model_of(dump):
    """What the measured readings of a model say, by patient, day, motion, side, digit and test."""
    model = {}
    for r in readings_of(dump):
        if r["status"] in MEASURED:
            model.setdefault(key_of(r), []).append(r["rest"])
    return model


def wrong_findings(dump, rows):
    """A number of the findings that no reading of its motion has; a reading without a row. An id
    that a spreadsheet would take for a formula is printed with an apostrophe before it."""
    model, told, visits = model_of(dump), set(), set()
    for row in rows:
        key = (re.sub(r"^'(?=[=+@-])", "", row["patient_id"]), row["visit_date"], row["joint"], row["motion"], row["side"],
               row["digit"], row["test"])
        told.add(key)
        visits.add(key[:2])
        for column, name in (("start_deg", "start"), ("end_deg", "end"), ("force_n", "force-n")):
            if row[column] == "":
                continue
            values = [float(v) for rest in model.get(key, ()) if (v := value_of(rest, name))]
            means = [sum(values[i:k]) / (k - i) for i in range(len(values))
                     for k in range(i + 1, len(values) + 1)]
            if not any(abs(float(row[column]) - mean) <= 0.0501 for mean in means):
                return f"findings {' '.join(key)}: {column} {row[column]}, the model has {values}"
        of_model = {value_of(rest, "grade") for rest in model.get(key, ())}
        if row["grade"] and row["grade"] not in of_model:
            return f"findings {' '.join(key)}: grade {row['grade']}, the model has {of_model}"
    for key in model:
        if key[:2] in visits and key not in told:
            return f"findings lack {' '.join(key)}"
    return None


def wrong_tally(told, files):
    """Rows in = used + duplicates + held back, and as many as stand in a file without quotes."""
    for name, *numbers in re.findall(
            r"(\S+): (\d+) rows in = (\d+) used \+ (\d+) duplicates \+ (\d+) held back", told):
        rows, used, duplicates, held = map(int, numbers)
        if rows != used + duplicates + held:
            return f"rows are lost: {name} {numbers}"
        stand = files.get(name.rsplit("/", 1)[-1])
        if stand is not None and rows != stand:
            return f"{name}: {rows} rows in, {stand} stand there"
    return None
