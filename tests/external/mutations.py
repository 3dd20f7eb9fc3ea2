"""Fixtures damaged at random (seeded): bytes flipped, cells dropped, doubled and exchanged. Whatever
comes, the program ends well, every row has one outcome, and each number of the model is one that
stands in the cell the model names: looked up here with another CSV reader."""
import csv
import random
import re
import shutil
import subprocess
import sys
from pathlib import Path

program, work, runs, seed = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4])
rng = random.Random(seed)
folders = sorted(p for p in [*Path("fixtures/scenarios").iterdir(), Path("fixtures/day")] if p.is_dir())
LETTERS = {"5": "NV", "4": "GI", "3": "FI", "2": "PI", "1": "TI", "0": "Z"}
KILOGRAM, POUND = 9.80665, 4.4482216152605
mistakes, readings = [], 0


def delimiter_of(data):
    head = data.splitlines()[0]
    return ";" if head.count(b";") > head.count(b",") else ","


def flip(data):
    data = bytearray(data)
    for _ in range(rng.randint(1, 8)):
        at = rng.randrange(len(data))
        data[at] = rng.choice([data[at] ^ (1 << rng.randrange(8)), rng.choice(b'"\n,;-9 0\x00\xc2'), 48])
    return bytes(data)


def move_cells(data):
    mark = delimiter_of(data).encode()
    lines = data.splitlines(keepends=True)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(1, len(lines)) if len(lines) > 1 else 0
        cells = lines[at].split(mark)
        i, k = rng.randrange(len(cells)), rng.randrange(len(cells))
        kind = rng.randrange(4)
        if kind == 0:
            del cells[i]
        elif kind == 1:
            cells.insert(i, cells[i])
        elif kind == 2:
            cells[i], cells[k] = cells[k], cells[i]
        else:
            other = rng.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
            continue
        lines[at] = mark.join(cells)
    return b"".join(lines)


def numbers_in(text):
    return {float(n.replace(",", ".")) for n in re.findall(r"\d+(?:[.,]\d+)?", text)}


def near(wanted, numbers):
    return any(abs(abs(wanted) - n) < 1e-3 * max(1, n) for n in numbers)


def stands(section, line, cells, row, column):
    """What is wrong with one reading of the model; None: nothing."""
    values = dict(re.findall(r" (start|end|tries|grade|force-n)=(\S+)", line))
    text = cells[row - 1][column - 1]
    pool = numbers_in(text)
    for other in section:
        pool |= numbers_in(other)
    if "force-n" in values:
        pool |= {n * f for n in pool for f in (KILOGRAM, POUND)}
    if "unit-converted" in line:
        pool |= {n * f for n in pool for f in (10, 0.1)}
    tries = [float(t) for t in values.get("tries", "").split(";") if t]
    pool |= {sum(tries) / len(tries)} if tries else set()
    for name in ("start", "end", "force-n"):
        if name in values and "derived" not in line and not near(float(values[name]), pool):
            return f"{name}={values[name]} is not in '{text}'"
    for t in tries:
        if not near(t, pool):
            return f"try {t} is not in '{text}'"
    grade = values.get("grade")
    if grade and grade[0] not in text and not set(LETTERS[grade[0]]) & set(text.upper()):
        return f"grade={grade} is not in '{text}'"
    return None


def check(folder):
    global readings
    options = ["--map", str(folder / "map.xml")] if (folder / "map.xml").exists() else []
    base = [program, "check", "-j1", "--today", "2030-01-01", *options]
    told = subprocess.run([*base, str(folder)], capture_output=True)
    if told.returncode not in (0, 1):
        return f"exit status {told.returncode}: {told.stderr.decode(errors='replace')[-200:]}"
    tallies = re.findall(rb": (\d+) rows in = (\d+) used \+ (\d+) duplicates \+ (\d+) held", told.stderr)
    if any(int(n) != int(u) + int(d) + int(h) for n, u, d, h in tallies):
        return f"rows are lost: {tallies}"
    model = subprocess.run([*base, "-q", "--dump", "model", str(folder)], capture_output=True)
    files = {}
    for path in folder.glob("*.csv"):
        data = path.read_bytes()
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("latin-1")
        files[path.name] = [next(csv.reader([one], delimiter=delimiter_of(data)), [])
                            for one in re.split(r"\r\n|\n|\r", text)]
    for line in model.stdout.decode(errors="replace").splitlines():
        m = re.search(r"^\s*reading .* (?:measured|estimated) .*line=(\d+) column=(\d+)", line)
        if not m:
            continue
        row, column = int(m[1]), int(m[2])
        readings += 1
        # The dump names no file: the reading must stand in one of them.
        wrong = [stands([rows[row - 1][i] for i in (column - 2, column) if 0 <= i < len(rows[row - 1])]
                        if "start=" in line or "force" in line else [], line, rows, row, column)
                 for rows in files.values()
                 if row <= len(rows) and column <= len(rows[row - 1])]
        if wrong and all(wrong):
            return f"line {row}, column {column}: {wrong[0]}: {line.strip()[:160]}"
    return None


for run in range(runs):
    source = folders[run % len(folders)]
    folder = work / "damaged"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(source, folder)
    for path in folder.glob("*.csv"):
        data = path.read_bytes()
        path.write_bytes(flip(data) if rng.random() < 0.5 else move_cells(data))
    try:
        problem = check(folder)
    except (IndexError, csv.Error) as error:
        problem = None if isinstance(error, csv.Error) else f"{error}"
    if problem:
        mistakes.append(f"{source.name}, run {run}: {problem}")
if mistakes or readings < runs:
    print(f"FAILED mutations: {len(mistakes)} of {runs} (seed {seed}), {readings} readings: "
          + "; ".join(mistakes[:3]))
else:
    print(f"ok mutations-{runs}-runs-{readings}-readings")
