"""Table schemas of docs/schema against the program: the columns it knows and writes are the fields,
and what it writes for the demo day satisfies types and constraints."""
import csv
import json
import re
import subprocess
import sys
from pathlib import Path

program, work = sys.argv[1], Path(sys.argv[2])
TYPES = {"string", "number", "integer", "date"}
CONSTRAINTS = {"required", "enum", "minimum", "maximum", "maxLength", "pattern"}
INPUTS = ["patients", "visits", "measurements", "goals", "limits", "corrections"]
OUTPUTS = ["findings", "codebook", "exceptions", "manifest", "agreement", "plan"]
OTHER_INPUTS = ["class"]  # not of patients
schemas = {p.name.split(".")[0]: json.loads(p.read_text()) for p in Path("docs/schema").glob("*.json")}


def report(name, problems):
    if problems:
        print(f"FAILED schema-{name}: {'; '.join(problems[:3])}")
    else:
        print(f"ok schema-{name}")


def names(schema):
    return [field["name"] for field in schema["fields"]]


def structure(schema):
    for field in schema["fields"]:
        if field["type"] not in TYPES or not field.get("description"):
            yield f"{field['name']}: type or description"
        if set(field.get("constraints", {})) - CONSTRAINTS:
            yield f"{field['name']}: constraint"
    if len(set(names(schema))) != len(schema["fields"]):
        yield "a field twice"
    if schema.get("missingValues") != [""]:
        yield "missingValues"
    keys = list(schema.get("primaryKey", []))
    for foreign in schema.get("foreignKeys", []):
        keys += foreign["fields"]
        other = schemas.get(foreign["reference"]["resource"])
        if other is None or set(foreign["reference"]["fields"]) - set(names(other)):
            yield "foreign key"
    if set(keys) - set(names(schema)):
        yield "a key that is no field"


def cell(field, text):
    rules = field.get("constraints", {})
    if text == "":
        return "required" if rules.get("required") else None
    if field["type"] in ("number", "integer"):
        try:
            value = float(text) if field["type"] == "number" else int(text)
        except ValueError:
            return f"'{text}' is no {field['type']}"
        if value < rules.get("minimum", value) or value > rules.get("maximum", value):
            return f"{text} is outside"
    if field["type"] == "date" and not re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return f"'{text}' is no date"
    if text not in rules.get("enum", [text]):
        return f"'{text}' is not listed"
    if not re.fullmatch(rules.get("pattern", ".*"), text, re.S):
        return f"'{text}' does not match"
    return None


def rows(schema, path):
    with open(path, newline="", encoding="utf-8") as file:
        reader = csv.reader(file)
        if next(reader) != names(schema):
            yield "columns differ from the fields"
            return
        for number, row in enumerate(reader, 2):
            for field, text in zip(schema["fields"], row):
                problem = cell(field, text)
                if problem:
                    yield f"row {number}, {field['name']}: {problem}"


report("all-there", [n for n in INPUTS + OUTPUTS + OTHER_INPUTS if n not in schemas] +
       [n for n in schemas if n not in INPUTS + OUTPUTS + OTHER_INPUTS])
for name, schema in schemas.items():
    report(f"structure-{name}", list(structure(schema)))

# The native columns stand in one table of the importer.
table = Path("src/import/columns.c").read_text()
native = set(re.findall(r'\[COL_[A-Z_]+\] = "([a-z_]+)"', table))
told = set().union(*(names(schemas[n]) for n in INPUTS))
report("columns", [f"{n} has no field" for n in sorted(native - told)] +
       [f"{n} is no column" for n in sorted(told - native)])

# Input of our own keeps to them: the fixtures that claim to be clean.
for path in sorted(Path("fixtures/day").glob("*.csv")) + [Path("fixtures/starter.csv")]:
    with open(path, newline="", encoding="utf-8") as file:
        report(f"fixture-{path.name}", [c for c in next(csv.reader(file)) if c not in told])

out = work / "schema-out"
common = ["--today", "2030-01-01", "--every-visit"]
with open(work / "findings.csv", "wb") as file:
    subprocess.run([program, "findings", "-q", *common, "fixtures/day"], stdout=file, check=True)
subprocess.run([program, "report", "-q", *common, "-o", out, "fixtures/scenarios/s4-ankle"],
               stderr=subprocess.DEVNULL)
with open(work / "plain.csv", "wb") as file:
    subprocess.run([program, "findings", "-q", "--de-identified", *common, "fixtures/day"], stdout=file,
                   check=True)
report("codebook", list(rows(schemas["codebook"], work / "plain.csv")))
book = Path("docs/codebook.md").read_text()
report("codebook-columns", [name for name in names(schemas["codebook"]) if f"`{name}`" not in book])
with open(work / "plain.csv", newline="", encoding="utf-8") as file:
    codes = {code for row in csv.DictReader(file) for code in row["missing"].split()}
report("codebook-codes", [code for code in sorted(codes) if f"`{code}`" not in book])
report("findings", list(rows(schemas["findings"], work / "findings.csv")))
report("exceptions", list(rows(schemas["exceptions"], out / "exceptions.csv")))
report("manifest", list(rows(schemas["manifest"], out / "manifest.csv")))

# What teaching reads and writes.
table = Path("src/batch/agree_rows.c").read_text()
read = re.findall(r'\[COLUMN_[A-Z]+\] = "([a-z_]+)"', table)
report("class-columns", [] if read == names(schemas["class"]) else ["other columns than the program's"])
for name, scale in (("eight-raters", "angle"), ("with-gaps", "angle"), ("grades", "grade"), ("one-subject", "angle")):
    source = Path(f"fixtures/class/{name}.csv")
    with open(source, newline="", encoding="utf-8") as file:
        fields = {field["name"]: field for field in schemas["class"]["fields"]}
        report(f"fixture-{name}", [problem for row in csv.DictReader(file) for column, text in row.items()
                                   if (problem := cell(fields[column], text))])
    made = work / f"{name}.csv"
    with open(made, "wb") as file:
        subprocess.run([program, "agree", "-q", "--scale", scale, "--format", "csv", source], stdout=file,
                       stderr=subprocess.DEVNULL)
    report(f"agreement-{name}", list(rows(schemas["agreement"], made)))
subprocess.run([program, "plan", "-q", "-o", work / "plan", "--patient", "P1", "--on", "2030-01-01", "--caution",
                "unhealed-fracture:wrist:right", "upper-quarter", "hand"], check=True)
report("plan", list(rows(schemas["plan"], work / "plan" / "plan.csv")))
