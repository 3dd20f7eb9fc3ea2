"""Fixtures damaged at random (seeded): bytes flipped, cells dropped, doubled and exchanged. Whatever
comes, the program ends well, every row has one outcome, and each number of the model and of the
findings is one that stands, with its sign, in the cell the model names (mutations_judge.py)."""
import csv
import io
import random
import re
import shutil
import subprocess
import sys
from pathlib import Path

from mutations_judge import wrong_findings, wrong_readings, wrong_tally

program, work, runs, seed = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4])
rng = random.Random(seed)
folders = sorted(p for p in [*Path("fixtures/scenarios").iterdir(), Path("fixtures/day")] if p.is_dir())
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


def rows_of(data):
    """The rows of a file as lines, and how many hold something; None where a quote may join some."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("windows-1252", errors="replace")
    lines = re.split(r"\r\n|\n|\r", text)
    rows = [next(csv.reader([one], delimiter=delimiter_of(data)), []) for one in lines]
    return rows, None if '"' in text else sum(line.strip(",; \t") != "" for line in lines[1:])


def check(folder):
    global readings
    options = ["--map", str(folder / "map.xml")] if (folder / "map.xml").exists() else []
    base = ["-j1", "--today", "2030-01-01", *options]
    told = subprocess.run([program, "check", *base, str(folder)], capture_output=True)
    if told.returncode not in (0, 1):
        return f"exit status {told.returncode}: {told.stderr.decode(errors='replace')[-200:]}"
    files = {path.name: rows_of(path.read_bytes()) for path in folder.glob("*.csv")}
    problem = wrong_tally(told.stderr.decode(errors="replace"),
                          {name: count for name, (_, count) in files.items()})
    if problem:
        return problem
    model = subprocess.run([program, "check", *base, "-q", "--dump", "model", str(folder)],
                           capture_output=True).stdout.decode(errors="replace")
    found = subprocess.run([program, "findings", *base, "-q", "--every-visit", str(folder)],
                           capture_output=True).stdout.decode(errors="replace")
    problem, n = wrong_readings(model, [rows for rows, _ in files.values()])
    readings += n
    return problem or wrong_findings(model, list(csv.DictReader(io.StringIO(found))))


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
