"""The abbreviations clinicians write (common practice; from memory), each where it stands in an export:
read as a value, asked because it can mean two things or is no value, or, as a word of a remark, kept
as typed. Nothing of them may be taken for something else."""
import csv
import re
import subprocess
import sys
from pathlib import Path

program, work = sys.argv[1], Path(sys.argv[2])
HEAD = ["patient_id", "visit_date", "visit_kind", "role", "age", "joint", "motion", "side", "digit",
        "test", "value", "unit", "pain", "note"]

# Abbreviation, the cells of its row that differ from a plain reading, what the model then says.
CELLS = [
    ("AC", {"joint": "AC", "value": "20"}, "problem motion-unknown"),
    ("AG", {"test": "MMT", "value": "4 AG"}, 'grade=4 position="against gravity"'),
    ("B", {"side": "B"}, "problem cell-side-both"),
    ("B/L", {"side": "B/L"}, "problem cell-side-both"),
    ("BLE", {"joint": "BLE"}, "problem motion-unknown"),
    ("BUE", {"joint": "BUE"}, "problem motion-unknown"),
    ("BMRC", {"test": "MMT", "value": "BMRC 4"}, "grade=4 "),
    ("C/S", {"joint": "C/S", "side": "", "value": "20"},
     "cervical flexion midline AROM measured end=20"),
    ("contra", {"side": "contra"}, "problem cell-side-unknown"),
    ("D1", {"joint": "toe MTP", "motion": "flexion", "digit": "D1", "value": "30"},
     "flexion right digit=1 AROM measured end=30"),
    ("D2", {"joint": "PIP", "motion": "flexion", "digit": "D2"}, "flexion right digit=2 AROM"),
    ("DNT", {"value": "DNT"}, "AROM not-tested"),
    ("dom", {"side": "dom"}, "problem cell-side-unknown"),
    ("EF", {"test": "PROM", "value": "100 EF firm"}, "measured end=100 end-feel=firm"),
    ("ERP", {"value": "100 ERP"}, "measured end=100 pain"),
    ("ever", {"joint": "subtalar", "motion": "ever", "value": "8"},
     "subtalar eversion right AROM measured end=8"),
    ("F+", {"test": "MMT", "value": "F+"}, "grade=3+ "),
    ("F-", {"test": "MMT", "value": "F-"}, "grade=3- "),
    ("G+", {"test": "MMT", "value": "G+"}, "grade=4+ "),
    ("G-", {"test": "MMT", "value": "G-"}, "grade=4- "),
    ("P+", {"test": "MMT", "value": "P+"}, "grade=2+ "),
    ("P-", {"test": "MMT", "value": "P-"}, "grade=2- "),
    ("Tr", {"test": "MMT", "value": "Tr"}, "grade=1 "),
    ("GE", {"test": "MMT", "value": "4 GE"}, 'grade=4 position="gravity-minimised"'),
    ("GM", {"test": "MMT", "value": "4 GM"}, "problem cell-not-understood"),
    ("HE", {"motion": "extension", "value": "HE 5"}, "extension right AROM measured end=5"),
    ("IE", {"visit_kind": "IE"}, "kind=evaluation"),
    ("ipsi", {"side": "ipsi"}, "problem cell-side-unknown"),
    ("KE", {"joint": "ankle", "motion": "DF", "value": "8 KE"}, 'end=8 position="knee straight"'),
    ("KF", {"joint": "ankle", "motion": "DF", "value": "8 KF"}, 'end=8 position="knee bent"'),
    ("L/S", {"joint": "L/S", "side": ""}, "problem motion-unknown"),
    ("T/S", {"joint": "T/S", "side": ""}, "problem motion-unknown"),
    ("LL", {"joint": "LL"}, "problem motion-unknown"),
    ("UL", {"joint": "UL"}, "problem motion-unknown"),
    ("LOM", {"value": "LOM"}, "no-angle noted=cell-described-no-angle"),
    ("LT", {"side": "LT"}, "flexion left AROM measured end=100"),
    ("RT", {"side": "RT"}, "flexion right AROM measured end=100"),
    ("MP", {"joint": "MP"}, "problem motion-unknown"),
    ("MR", {"joint": "shoulder", "motion": "MR", "value": "60"},
     "shoulder internal-rotation right AROM measured end=60"),
    ("MVC", {"test": "MMT", "value": "MVC"}, "problem cell-not-understood"),
    ("N", {"test": "force", "value": "120", "unit": "N"}, "force-n=120"),
    ("N/A", {"value": "N/A"}, "AROM not-applicable"),
    ("NA", {"value": "NA"}, "AROM not-applicable"),
    ("NRS", {"pain": "NRS 3/10"}, "pain pain-score=3"),
    ("NSF", {"value": "NSF"}, "problem cell-not-understood"),
    ("OP", {"test": "PROM", "value": "118 OP"}, "problem cell-not-understood"),
    ("P!", {"value": "118 P!"}, "end=118 pain"),
    ("PN", {"visit_kind": "PN"}, "problem word-unknown"),
    ("prot", {"joint": "jaw", "motion": "prot", "side": "", "value": "8"},
     "jaw protrusion midline AROM measured end=8"),
    ("retr", {"joint": "scapula", "motion": "retr", "test": "MMT", "value": "4"},
     "problem motion-unknown"),
    ("pt", {"role": "pt"}, "role=PT"),
    ("quads", {"joint": "", "motion": "quads", "test": "MMT", "value": "4"},
     "knee extension right MMT measured grade=4"),
    ("re-eval", {"visit_kind": "re-eval"}, "kind=re-evaluation"),
    ("f/u", {"visit_kind": "f/u"}, "problem word-unknown"),
    ("RM", {"test": "MMT", "value": "10 RM"}, "held-back"),
    ("RROM", {"test": "RROM"}, "problem cell-test-assisted"),
    ("SF", {"joint": "neck", "motion": "SF", "value": "30"},
     "cervical lateral-flexion right AROM measured end=30"),
    ("SFTR", {"value": "SFTR 5-0-140"}, "problem cell-not-understood"),
    ("ST", {"joint": "ST"}, "problem motion-unknown"),
    ("TCJ", {"joint": "TCJ", "motion": "DF", "value": "8"},
     "ankle dorsiflexion right AROM measured end=8"),
    ("TFJ", {"joint": "TFJ"}, "knee flexion right AROM measured end=100"),
    ("uni", {"side": "uni"}, "problem cell-side-unknown"),
    ("UTP", {"value": "UTP"}, 'not-tested status-reason="UTP"'),
    ("w/", {"value": "118 w/ pain"}, "end=118 pain"),
    ("w/o", {"value": "118 w/o pain"}, "AROM measured end=118 noted"),
    ("WFL", {"value": "WFL"}, "no-angle noted=cell-functional-no-angle"),
    ("WNL", {"value": "WNL"}, "no-angle noted=cell-normal-no-angle"),
    ("y/o", {"age": "46 y/o"}, "age=46"),
]
# Words of remarks: conditions, treatments, people. Parted by "|".
TEXTS = ("AD|ant|BADL|c/o|CGA|CKC|cLBP|CMS|CP|CPT|CV|DDD|Dep|dist|DOI|DOMS|Dx|"
         "EDS|ex fix|FIM|FS|FWW|Fx|GAS|GT|HIPAA|HOB|HPI|HSD|HVLA|Hx|I|IQR|JM|lat|"
         "LLPS|LOA|LS|Max A|med|MID|Min A|Mod A|Mod I|MOI|MT|NCV|NMES|NMR|OKC|PMH|"
         "PNF|POD|post|PRN|PRO|prox|PSH|RTC|Rx|s/p|SAI|SBA|SE|SHR|SOC|SPC|SRM|"
         "STM|TA|TENS|TERT|TherEx|THR|TKR|TP|TTP|Tx|US|UT|wk|x/wk").split("|")
COUNT = 150  # of them are known to be written; none may be left out here


def rows():
    plain = {"visit_date": "2026-03-04", "joint": "knee", "motion": "flexion", "side": "R",
             "test": "AROM", "value": "100"}
    for name, cells, model in CELLS:
        yield name, {**plain, **cells}, model
    for name in TEXTS:
        yield name, {**plain, "note": name}, f'measured end=100 note="{name}"'


told, problems = list(rows()), []
path = work / "abbreviations.csv"
with open(path, "w", newline="", encoding="utf-8") as file:
    writer = csv.DictWriter(file, HEAD)
    writer.writeheader()
    for i, (_, row, _) in enumerate(told):
        writer.writerow({"patient_id": f"F{i:03d}", **row})
dump = subprocess.run([program, "check", "-q", "-j1", "--today", "2030-01-01", "--dump", "model",
                       str(path)], capture_output=True).stdout.decode()
sections = {p.split('"')[1]: p for p in re.split(r'(?m)^(?=patient ")', dump) if p}
for i, (name, _, model) in enumerate(told):
    section = sections.get(f"F{i:03d}", "")
    if model not in section:
        problems.append(f"{name}: no '{model}' in {section[-200:]}")
    if name in TEXTS and "problem" in section:
        problems.append(f"{name}: a word of a remark is asked")
    value = re.search(r" (measured|estimated) ", section)
    if re.match("problem (cell-(side|not)|motion|digit|test)", model) and value:
        problems.append(f"{name}: asked, and a number all the same")
if len({name for name, _, _ in told}) != COUNT:
    problems.append(f"{len(told)} abbreviations, not {COUNT}")
if problems:
    print(f"FAILED abbreviations: {len(problems)}: " + "; ".join(problems[:4]))
else:
    print(f"ok abbreviations-{len(CELLS)}-cells-{len(TEXTS)}-remarks")
