"""Judges where the words of PDFs stand, by the boxes pdftotext gives.

boxes.py [--margin PT] PDF...: no two words of a page may overlap, and none may leave the margins
or stand outside the sheet. Prints "ok boxes-NAME" or "FAILED boxes-NAME: why".
"""
import html
import os
import re
import subprocess
import sys

MARGIN = 16 / 25.4 * 72   # the least that a template of ours sets
SLACK = 0.5     # pt that two boxes may share sideways
CORE = 0.22     # of a box's height above and below is room for accents and descenders


WORD = re.compile(r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>'
                  r'|<page width="(.*?)" height="(.*?)">')


def pages(path):
    """The words of every page as (text, left, top, right, bottom)."""
    made = subprocess.run(["pdftotext", "-bbox-layout", path, "-"], capture_output=True, check=True)
    found = []
    for left, top, right, bottom, text, width, height in WORD.findall(made.stdout.decode("utf-8")):
        if width:
            found.append((float(width), float(height), []))
        else:
            found[-1][2].append((html.unescape(text), float(left), float(top), float(right),
                                 float(bottom)))
    return found


def core(word):
    text, left, top, right, bottom = word
    cut = CORE * (bottom - top)
    return left + SLACK, top + cut, right - SLACK, bottom - cut


def overlaps(words):
    """Pairs of words whose cores share some area."""
    boxes = sorted((core(w), w[0]) for w in words)
    for i, ((left, top, right, bottom), text) in enumerate(boxes):
        for (l, t, r, b), other in boxes[i + 1:]:
            if l >= right:
                break
            if t < bottom and b > top and r > left:
                yield text, other


def problems(path, margin):
    found = []
    for number, (width, height, words) in enumerate(pages(path), 1):
        for text, other in overlaps(words):
            found.append(f"page {number}: {text!r} and {other!r} overlap")
        for word in words:
            left, top, right, bottom = core(word)
            if left < margin or right > width - margin or top < margin or bottom > height - margin:
                found.append(f"page {number}: {word[0]!r} leaves the margins")
        if not words:
            found.append(f"page {number} is empty")
    return found


def main():
    paths, margin = sys.argv[1:], MARGIN
    if paths[0] == "--margin":
        margin, paths = float(paths[1]), paths[2:]
    for path in paths:
        name = os.path.basename(path)[:-4]
        found = problems(path, margin)
        print(f"FAILED boxes-{name}: {'; '.join(found[:5])}" if found else f"ok boxes-{name}")


if __name__ == "__main__":
    main()
