#!/usr/bin/env python3
"""Every entry of the reference is printed, and every code is explained: entries.py ENDFEEL.

What `lookup JOINT MOTION` prints is held against the files themselves: each normal value with its
source, each study of error, what each compensation looks like, roots and positions of the muscle
test. `findings --explain CODE` must answer for each flag, note, family, check, pattern, score and
message.
"""

import pathlib
import re
import subprocess
import sys
import xml.etree.ElementTree as ET

TOP = pathlib.Path(__file__).resolve().parents[2]


def said(arguments):
    done = subprocess.run(arguments, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)
    return done.returncode, " ".join(done.stdout.decode().split())


def plain(text):
    return " ".join((text or "").split())


def wanted(motion):
    for normal in motion.findall("normal"):
        yield f"{float(normal.get('normal-deg')):g} {normal.get('unit')}"
        yield normal.get("source-id")
    for error in motion.findall("error"):
        yield error.get("source-id")
    for compensation in motion.findall("compensation"):
        yield plain(compensation.get("what-you-see"))
        yield plain(compensation.get("how-to-prevent"))
    for test in motion.findall("muscle-test"):
        yield plain(test.get("position-against-gravity"))
        yield from (test.get("roots") or "").split(";")
    for goniometry in motion.findall("goniometry"):
        yield plain(goniometry.get("position"))


def missing_entries(endfeel):
    n = 0
    for path in sorted((TOP / "src/reference").glob("*.xml")):
        for motion in ET.parse(path).getroot().findall("motion"):
            names = (motion.get("joint"), motion.get("motion"))
            status, text = said([endfeel, "lookup", *names])
            n += 1
            lacks = [w for w in wanted(motion) if w and w.strip().lower() not in text.lower()]
            if status or lacks:
                print(f"lookup {' '.join(names)}: status {status}, without {lacks[:4]}")
                yield names
    if n < 60:
        yield n


def codes():
    rules = (TOP / "docs/rules.md").read_text(encoding="utf-8")
    yield from re.findall(r"^\| `([a-z-]+)` \| (?:note|warning|error) \|", rules, flags=re.M)
    yield from re.findall(r"^\*\*([a-z-]+)\*\*", rules, flags=re.M)
    for name, tags in (("grades", ("check",)), ("patterns", ("tension", "muscle-length")),
                       ("sums", ("sum-score",))):
        root = ET.parse(TOP / f"src/reference/{name}.xml").getroot()
        for tag in tags:
            yield from (e.get("id") for e in root.iter(tag) if e.get("id"))
    messages = (TOP / "src/base/diag_list.h").read_text(encoding="utf-8")
    yield from re.findall(r'^DIAG\(\w+,\s*"([a-z0-9-]+)"', messages, flags=re.M)


def main(arguments):
    bad = list(missing_entries(arguments[0]))
    asked = sorted(set(codes()))
    for code in asked:
        status, text = said([arguments[0], "findings", "--explain", code])
        if status or code not in text or len(text) < len(code) + 10:
            print(f"--explain {code}: status {status}: {text[:90]}")
            bad.append(code)
    return 1 if bad or len(asked) < 250 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
