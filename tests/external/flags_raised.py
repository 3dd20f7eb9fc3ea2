#!/usr/bin/env python3
"""Flags and notes of docs/rules.md that no row of the findings raises.

    flags_raised.py FINDINGS.csv ...

What is never raised is never compared: a recomputation that agrees says nothing of it. Prints one a
line; exit status 1 when there is one.
"""

import csv
import pathlib
import re
import sys

RULES = pathlib.Path(__file__).resolve().parents[2] / "docs" / "rules.md"


def main(paths):
    told = re.findall(r"^\| `([a-z0-9-]+)` \| (?:note|warning|error) \|",
                      RULES.read_text(encoding="utf-8"), re.M)
    raised = set()
    for path in paths:
        with open(path, encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                raised.update(row["flags"].split(), row["notes"].split())
    never = [flag for flag in told if flag not in raised]
    print("\n".join(never))
    return 1 if never or not told or not paths else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
