"""Recomputes the figures of a class sheet from its CSV, by the formulas of the literature and not by
the program, and looks for them in the text of the sheet. agree.py CSV TEXT

ICC(2,1) and the mean squares: Shrout and Fleiss 1979; SEM for agreement and MDC95: Weir 2005, McGraw
and Wong 1996; limits of agreement: Bland and Altman 1986.
"""
import csv
import math
import sys


def main():
    rows = list(csv.DictReader(open(sys.argv[1], encoding="utf-8")))
    text = open(sys.argv[2], encoding="utf-8").read()
    teacher = {r["subject"]: float(r["value"]) for r in rows if r["instructor"] == "yes"}
    raters, subjects = [], list(teacher)
    for r in rows:
        if r["instructor"] != "yes" and r["rater"] not in raters:
            raters.append(r["rater"])
    x = {(r["subject"], r["rater"]): float(r["value"]) for r in rows}
    n, k = len(subjects), len(raters)
    table = [[x[s, r] for r in raters] for s in subjects]
    grand = sum(map(sum, table)) / (n * k)
    rows_ss = k * sum((sum(line) / k - grand) ** 2 for line in table)
    cols_ss = n * sum((sum(line[j] for line in table) / n - grand) ** 2 for j in range(k))
    total = sum((v - grand) ** 2 for line in table for v in line)
    bms, jms = rows_ss / (n - 1), cols_ss / (k - 1)
    ems = (total - rows_ss - cols_ss) / ((n - 1) * (k - 1))
    icc = (bms - ems) / (bms + (k - 1) * ems + k * (jms - ems) / n)
    sem = math.sqrt(ems + max(jms - ems, 0) / n)
    pairs = [(a, b) for a in range(k) for b in range(a)]
    near = sum(abs(line[a] - line[b]) <= 5 for line in table for a, b in pairs)
    expected = [f"one reading {icc:.3f}", f"(SEM) {sem:.1f}", f"(MDC95) {1.96 * math.sqrt(2) * sem:.1f}",
                f"{100 * near / len(pairs) / n:.0f}%"]
    for r in raters:
        d = [x[s, r] - teacher[s] for s in subjects]
        mean = sum(d) / n
        sd = math.sqrt(sum((v - mean) ** 2 for v in d) / (n - 1))
        for v in (mean, mean - 1.96 * sd, mean + 1.96 * sd):
            expected.append(f"{v:+.1f}".replace("-", "\u2212"))
    for words in expected:
        print(f"ok agree-figure {words}" if words in text else f"FAILED agree-figure: {words} is not on the sheet")


main()
