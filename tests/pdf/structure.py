"""Judges the structure of PDFs as a reading program meets it.

structure.py PDF...: tagged, with language and title; headings go down by one level at a time and
the first one comes after the title; every table has rows, each with cells, and the first row is all
head cells; every figure has words in its place; nothing stands outside a block. Prints
"ok structure-NAME" or "FAILED structure-NAME: why".
"""
import json
import os
import re
import subprocess
import sys


def run(*words):
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


def tree(pdf):
    """Yields (depth, tag) of the structure in reading order."""
    for line in run("pdfinfo", "-struct", pdf).splitlines():
        depth = (len(line) - len(line.lstrip())) // 2
        text = line.strip()
        if text and not text.startswith(("/", '"')):
            yield depth, re.match(r"\w+", text).group(0)


def tables(nodes):
    """The tags under each Table, row by row."""
    rows, inside = None, 0
    for depth, tag in nodes:
        if rows is not None and depth <= inside:
            yield rows
            rows = None
        if tag == "Table":
            rows, inside = [], depth
        elif rows is not None and tag == "TR":
            rows.append([])
        elif rows is not None and tag in ("TH", "TD"):
            rows[-1].append(tag)
    if rows is not None:
        yield rows


def dictionaries(pdf):
    """Those of the document and what it says of itself."""
    objects = json.loads(run("qpdf", "--json=2", "--json-key=qpdf", pdf))["qpdf"][1]
    values = [entry.get("value") for entry in objects.values()]
    about = objects["obj:" + objects["trailer"]["value"]["/Info"]]["value"]
    return [value for value in values if isinstance(value, dict)], about


def judge_tree(nodes):
    problems, level = [], 1
    for tag in (tag for depth, tag in nodes if re.fullmatch(r"H[1-6]", tag)):
        if int(tag[1]) > level + 1:
            problems.append(f"{tag} follows a heading of level {level}")
        level = int(tag[1])
    for n, rows in enumerate(tables(nodes), 1):
        if not rows or not all(rows):
            problems.append(f"table {n} has no row, or a row without cells")
        elif set(rows[0]) != {"TH"}:
            problems.append(f"table {n} does not begin with a row of heads")
    if not any(tag == "P" for depth, tag in nodes):
        problems.append("no paragraph")
    return problems


def judge(pdf):
    nodes = list(tree(pdf))
    problems = judge_tree(nodes)
    inside, about = dictionaries(pdf)
    if not about.get("/Title", "").removeprefix("u:").strip():
        problems.append("no title")
    catalog = [d for d in inside if d.get("/Type") == "/Catalog"]
    if [d.get("/MarkInfo", {}).get("/Marked") for d in catalog] != [True]:
        problems.append("not tagged")
    if [d.get("/Lang") for d in catalog] != ["u:en"]:
        problems.append("no language")
    figures = [d for d in inside if d.get("/S") == "/Figure"]
    if any(len(d.get("/Alt", "").removeprefix("u:").strip()) < 4 for d in figures):
        problems.append("a figure without words in its place")
    if len(figures) != sum(tag == "Figure" for depth, tag in nodes):
        problems.append("figures outside the reading order")
    return problems


def main():
    for pdf in sys.argv[1:]:
        name = os.path.basename(pdf).removesuffix(".pdf")
        problems = judge(pdf)
        print(f"FAILED structure-{name}: {'; '.join(problems)}" if problems else f"ok structure-{name}")


main()
