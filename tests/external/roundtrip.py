"""What `endfeel findings` writes, read back by the map that is shipped for it: every number of every
reading stands again, also without identifiers (docs/codebook.md). With `soffice` as
third argument, through LibreOffice and back in between."""
import csv
import subprocess
import sys
from pathlib import Path

program, work, office = sys.argv[1], Path(sys.argv[2]), len(sys.argv) > 3
KEY = ["patient_id", "visit_date", "joint", "motion", "side", "digit", "test", "position", "tool",
       "timing", "muscle", "measured_by"]
NUMBERS = ["start_deg", "end_deg", "grade", "force_n"]
MAP = "fixtures/findings-map.xml"


def findings(to, *inputs, options=()):
    with open(to, "wb") as file:
        done = subprocess.run([program, "findings", "-q", "-j1", "--today", "2030-01-01",
                               "--every-visit", *options, *inputs], stdout=file, stderr=subprocess.PIPE)
    if done.returncode > 1:
        raise SystemExit(f"FAILED roundtrip: {done.stderr.decode()[:300]}")
    with open(to, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def readings(rows):
    """The numbers by place; a place told twice keeps all of them."""
    found = {}
    for row in rows:
        if any(row[n] for n in NUMBERS):
            found.setdefault(tuple(row[k] for k in KEY), []).append(tuple(row[n] for n in NUMBERS))
    return {key: sorted(values) for key, values in found.items()}


def convert(sources, to, options):
    """All in one run: to start the office takes longer than what it then does."""
    done = subprocess.run(["soffice", "--headless", f"-env:UserInstallation=file://{work}/profile",
                           *options, "--convert-to", to, "--outdir", str(work / "office"),
                           *map(str, sources)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                          timeout=900)
    made = [work / "office" / f"{path.stem}.{to[:3]}" for path in sources]
    missing = [path.name for path in made if not path.exists()]
    if done.returncode != 0 or missing:
        raise SystemExit(f"FAILED roundtrip: the office made no {missing[:3]}: {done.stdout[-300:]}")
    return made


def through_office(paths):
    """Opened with the ids as text (docs/csv.md says so: 00417 would be 417 otherwise) and without
    detection of numbers, which makes 3 of a grade of 3+, saved as sheets, and saved from there as
    CSV with every cell as shown."""
    sheets = convert(paths, "ods", ["--infilter=CSV:44,34,76,1,1/2,0,false,false"])
    return convert(sheets, "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true", ["--nologo"])


sets = [("day", ["fixtures/day", "fixtures/history"], ())]
for folder in sorted(Path("fixtures/scenarios").iterdir()):
    maps = list(folder.glob("map.xml"))
    sets.append((folder.name, [str(folder)], ["--map", str(maps[0])] if maps else ()))
sets += [(f"{name}-plain", inputs, ["--de-identified", *options]) for name, inputs, options in sets]
before, files = [], []
for name, inputs, options in sets:
    files.append(work / f"{name}-first.csv")
    before.append(readings(findings(files[-1], *inputs, options=options)))
if office:
    files = through_office(files)
for (name, _, _), was, file in zip(sets, before, files):
    now = readings(findings(work / f"{name}-again.csv", str(file), options=["--map", MAP]))
    lost = [key for key in was if was[key] != now.get(key)]
    more = [key for key in now if key not in was]
    if not was or lost or more:
        wrong = (lost or more or ["nothing"])[0]
        print(f"FAILED roundtrip-{name}: {len(lost)} lost or changed, {len(more)} new: {wrong} "
              f"{was.get(wrong)} {now.get(wrong)}")
    else:
        print(f"ok roundtrip-{name}-{sum(map(len, was.values()))}-readings")
