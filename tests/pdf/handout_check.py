"""A patient with an identifier of every class of 45 CFR 164.514(b)(2)(i) in every column that takes
text, written as CSV; and a search for any of them in everything a case is made of.

    handout_check.py plant FOLDER             writes the files; their folder and names are planted too
    handout_check.py search OUT STDERR        prints what it finds; ends with 1 when it found something
    handout_check.py geometry DUMP            what --dump pages tells: student sheet, key and the sheets of
                                              the visits hold the same lines and words at the same places
"""
import csv
import os
import re
import sys

# (A) to (R) of the list; the year is of no source that the reports cite.
CLASSES = {
    "A names": "Zebulon Quarrick",
    "B places": "9 Gannetrow, Larkspurton 90417-2203",
    "C dates": "2033-05-17 and 17 May 2033 and 5/17/2033 and 17.05.2033, aged 93",
    "D telephone": "tel 555-0142-883",
    "E fax": "fax (555) 0177-991",
    "F e-mail": "zq@quarrick.example",
    "G social security": "078-05-1120",
    "H record number": "MRN 7744113",
    "I health plan": "plan member 33881299",
    "J account": "acct 99220147",
    "K licence": "licence QX5587123",
    "L vehicle": "plate VQX44017",
    "M device": "device SN-66127745",
    "N URL": "http://quarrick.example/z",
    "O address of a machine": "203.0.113.77",
    "P biometric": "fingerprint 88123377",
    "Q photograph": "quarrickface.png",
    "R other": "code QZ-4471902",
}
EVERY = "; ".join(CLASSES.values())
ID = "MRN7744113"
DATES = ["2033-02-03", "2033-03-03", "2033-05-17"]
# What a search looks for: words and numbers of the above that no report says by itself.
WORDS = ["zebulon", "quarrick", "gannet", "larkspur", "90417", "2203", "0142", "883", "0177",
         "078-05", "1120", "7744113", "33881299", "99220147", "qx5587", "vqx44", "66127745",
         "203.0.113", "88123377", "qz-44", "4471902", "oskendal", "brightholm", "corrigan-vale",
         "2033", "5/17", "17.05", "17 may", "1939", "93 years", "aged 93", "m54.99"]
RAW = [w for w in WORDS if re.search("[a-z]", w) and " " not in w] + ["7744113", "33881299"]


def write(folder, name, rows):
    with open(os.path.join(folder, name), "w", newline="", encoding="utf-8") as f:
        writer = csv.writer(f, lineterminator="\n")
        writer.writerows(rows)


def plant(folder):
    os.makedirs(folder, exist_ok=True)
    write(folder, "Quarrick patients.csv", [
        ["patient_id", "name", "birth_date", "sex", "dominant_side", "affected_side", "diagnosis",
         "diagnosis_code", "onset_date", "surgery_date", "procedure", "referrer",
         "referrer_address", "referral_reason", "plan_start", "certified_on", "weight_bearing",
         "Zebulon Quarrick 078-05-1120"],
        [ID, CLASSES["A names"], "1939-08-11", "male", "right", "right", EVERY, "M54.99",
         "2033-01-02", "2033-01-20", EVERY, "Dr. Oskendal Brightholm", CLASSES["B places"], EVERY,
         "2033-02-03", "2033-02-04", EVERY, EVERY]])
    visits = [["patient_id", "visit_date", "visit_kind", "treatment_day", "measured_by", "role",
               "supervisor", "position", "tool", "plan", "question_to_referrer", "signed_on",
               "outcome_name", "outcome_score", "pain_rest", "protocol"]]
    readings = [["patient_id", "visit_date", "joint", "motion", "side", "test", "value", "grade",
                 "position", "tool", "muscle", "end_feel", "compensation", "reason", "note",
                 "corrected_on", "corrected_by", "correction_reason"]]
    for n, date in enumerate(DATES):
        visits.append([ID, date, "evaluation" if n == 0 else "visit", str(n + 1),
                       "Corrigan-Vale Oskendal", "student" if n == 1 else "PT",
                       "Brightholm Oskendal", "", "", EVERY, EVERY, date, EVERY, EVERY, "2", EVERY])
        for side in ("right", "left"):
            readings.append([ID, date, "knee", "flexion", side, "AROM", str(80 + 9 * n), "", EVERY,
                             EVERY, "", "", EVERY, "", EVERY, "", "", ""])
            readings.append([ID, date, "knee", "flexion", side, "PROM", str(95 + 9 * n), "",
                             "supine", "goniometer", "", "firm", "", "", EVERY, "", "", ""])
            readings.append([ID, date, "shoulder", "abduction", side, "AROM", str(100 + n), "",
                             "sitting, room 0142 Larkspurton", "SN-66127745", "", "", "", "",
                             "seen by Zebulon on 17 May", date, "Corrigan-Vale", EVERY])
        readings.append([ID, date, "knee", "extension", "right", "MMT", "", "4-", "sitting", "",
                         "quadriceps of Quarrick", "", "", "", EVERY, "", "", ""])
        readings.append([ID, date, "knee", "extension", "left", "MMT", "NT", "", "sitting", "",
                         "", "", "", EVERY, EVERY, "", "", ""])
        readings.append([ID, date, "knee", "flexion of Zebulon", "left", "AROM", "90", "", "", "",
                         "", "", "", "", EVERY, "", "", ""])
    write(folder, "2033-05-17 visits.csv", visits)
    write(folder, "measurements.csv", readings)
    write(folder, "goals.csv", [
        ["patient_id", "joint", "motion", "side", "test", "goal_id", "goal_value", "goal_due",
         "goal_activity", "goal_set_on"],
        [ID, "knee", "flexion", "right", "AROM", "QZ-4471902", "120", "2033-06-01", EVERY,
         "2033-02-03"]])
    write(folder, "limits.csv", [
        ["patient_id", "joint", "motion", "side", "limit_kind", "limit_test", "limit_value",
         "limit_from", "limit_until", "limit_by"],
        [ID, "knee", "flexion", "right", "range", "PROM", "130", "2033-02-01", "2033-09-01",
         "Dr. Oskendal Brightholm"]])
    with open(os.path.join(folder, "clinic.xml"), "w", encoding="utf-8") as f:
        f.write("<clinic><heading>Brightholm Clinic</heading><address>9 Gannetrow, Larkspurton"
                "</address><phone>555-0142-883</phone></clinic>\n")


def said(*command):
    import subprocess  # takes longer to load than the rest, and the search alone has need of it
    return subprocess.run(command, check=True, capture_output=True).stdout


def find(where, text, words):
    text = text.lower()
    found = [word for word in words if word in text]
    for word in found:
        at = text.index(word)
        print(f"{where}: {word}: ...{text[max(0, at - 30):at + 40]!r}")
    return len(found)


def search(out, stderr):
    n = 0
    for top, folders, files in os.walk(out):
        n += find("names", " ".join(folders + files), WORDS)
        for name in files:
            path = os.path.join(top, name)
            if not name.endswith(".pdf"):
                with open(path, encoding="utf-8", errors="replace") as f:
                    n += find(path, f.read(), WORDS)
                continue
            text = said("pdftotext", "-layout", path, "-").decode()
            n += find(path, text, WORDS)
            n += find(path + " joined", re.sub(r"\s+", "", text), RAW)
            options = ["-meta", "-custom", "-url", "-dests"]
            # Slow; the text of other sheets is printed above, and their streams are read below.
            if os.environ.get("WHOLE") or not re.search("-student|-stage|-review", name):
                options.append("-struct-text")
            for option in options:
                n += find(f"{path} {option}", said("pdfinfo", option, path).decode(), WORDS)
            raw = said("qpdf", "--qdf", "--object-streams=disable", path, "-")
            n += find(path + " streams", raw.decode("latin-1"), RAW)
            n += find(path + " streams", raw.decode("utf-16-be", "ignore"), RAW)
            n += find(path + " streams", raw[1:].decode("utf-16-be", "ignore"), RAW)
            hexed = "".join(bytes.fromhex(h.decode()).decode("utf-16-be", "ignore")
                            for h in re.findall(rb"<((?:[0-9a-fA-F]{4})+)>", raw))
            n += find(path + " hex strings", hexed, RAW)
    with open(stderr, encoding="utf-8") as f:
        n += find("said", f.read(), WORDS)
    return n


TEXT = re.compile(r'text (\S+) (\S+) \S+ \S+ \S+ \S+ "(.*)"$')
OWN = re.compile("student sheet|answer key|staged release") # what a sheet calls itself, and its page


def sheets(path):
    """By name: pages, each the set of its words with their places and the list of all else."""
    found = {}
    with open(path, encoding="utf-8") as f:
        for line in f.read().splitlines():
            if line.startswith("== "):
                pages = found.setdefault(line[3:-4].split("-", 2)[2], [])
            elif line.startswith("page "):
                pages.append((set(), []))
            elif TEXT.match(line) and not OWN.search(line):
                pages[-1][0].add(line)
            elif line.startswith(("path ", "image ", "link ")):
                pages[-1][1].append(line)
    return found


def geometry(path):
    """The key is the student sheet and more words; the sheets of the visits are its pages."""
    found = sheets(path)
    student, key = found["student"], found["key"]
    stages = [page for name in sorted(found) if name.startswith("stage") for page in found[name]]
    bad = answers = 0
    if len(student) != len(key) or len(student) != len(stages):
        print(f"{len(student)}, {len(key)} and {len(stages)} pages")
        return 1
    for n, (ours, theirs, staged) in enumerate(zip(student, key, stages), 1):
        checks = {"words of the sheet not in the key": ours[0] <= theirs[0],
                  "other lines in the key": ours[1] == theirs[1],
                  "other words in a visit": ours[0] == staged[0],
                  "other lines in a visit": ours[1] == staged[1]}
        for what, holds in checks.items():
            if not holds:
                print(f"page {n}: {what}")
                bad += 1
        answers += len(theirs[0] - ours[0])
    print(f"{answers} lines of answers on {len(student)} pages")
    return 1 if bad or answers < 20 else 0


def main():
    command, *rest = sys.argv[1:]
    if command == "plant":
        plant(*rest)
    elif command == "search":
        sys.exit(1 if search(*rest) else 0)
    elif command == "geometry":
        sys.exit(geometry(*rest))


main()
