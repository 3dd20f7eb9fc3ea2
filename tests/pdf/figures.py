"""Writes a template that draws every motion of the reference library, one figure a sheet.

figures.py REFERENCE TEMPLATE: each sheet is as large as its figure, 25 mm wide, so that a label
that leaves the figure leaves the sheet. Drawn are, for both sides, what is short of normal, what is
normal, and what is past it, with a passive end and a last visit beside it: an arc for degrees, a
ruler for millimeters and centimeters, an arrow for the shoulder blade. Prints the number of sheets.
"""
import glob
import os
import sys
import xml.etree.ElementTree

SIDE = 25 / 25.4 * 72
ROOM = 8.0   # pt around the figure, so that a label that leaves it still stands on the sheet
# Closing the fingers is a tick at zero, and the middle finger spreads both ways: no drawing.
NO_DRAWING = {("finger-mcp", "adduction")}
DIGITS = {"finger-mcp abduction": (2, 4, 5)}


def motions(folder):
    for path in sorted(glob.glob(os.path.join(folder, "*.xml"))):
        root = xml.etree.ElementTree.parse(path).getroot()
        for m in root.findall("motion"):
            normal = [n for n in m.findall("normal") if n.get("role") == "default"]
            yield m, float(normal[0].get("normal-deg")) if normal else None, normal


def number(value):
    return f"{value:g}"


def words(value, straight):
    before = "lacks " if value < 0 else "past " if value > 0 and straight else ""
    return f"{before}{number(abs(value))}°"


def ends(normal):
    """(active, passive, previous): short, full, beyond."""
    if normal == 0:
        return [(-10, -6, -14), (0, 2, -3), (8, 10, 5)]
    return [(round(0.6 * normal), round(0.7 * normal), round(0.45 * normal)),
            (normal, normal + 4, normal - 12), (-5, 3, -8)]


def figure(parameters):
    text = " ".join(f'{k}="{v}"' for k, v in parameters.items() if v is not None)
    height = SIDE if parameters["kind"] in ("arc", "arrow") else SIDE * 2
    return (f'  <page width="{SIDE + 2 * ROOM + 0.01:.2f}pt" height="{height + 2 * ROOM:.2f}pt" '
            f'margins="{ROOM}pt" pages="1"><figure width="{SIDE:.2f}pt" alt="a motion" {text}/></page>')


def figures(folder):
    for m, normal, row in motions(folder):
        joint, motion, unit = m.get("joint"), m.get("motion"), m.get("unit")
        sides = ["midline"] if m.get("sides") == "midline" else ["right", "left"]
        if (joint, motion) in NO_DRAWING:
            continue
        for side in sides:
            if joint == "scapula":
                yield {"kind": "arrow", "motion": motion, "side": side, "grade": "4−"}
            elif unit == "deg":
                for digit in DIGITS.get(f"{joint} {motion}", (3,) if joint.startswith(("finger", "toe")) else (None,)):
                    for end, passive, previous in ends(normal if normal is not None else 60):
                        yield {"kind": "arc", "joint": joint, "motion": motion, "side": side,
                               "digit": digit, "end": number(end), "passive": number(passive),
                               "previous": number(previous),
                               "normal": None if normal is None else number(normal),
                               "hyper-ok": "10" if normal == 0 else None, "unit": "deg",
                               "value-label": words(end, normal == 0),
                               "normal-label": None if normal is None else f"normal {number(normal)}"}
            else:
                for end in (0, 0.6 * (normal or 4), 1.2 * (normal or 4)):
                    yield {"kind": "ruler", "end": number(end), "normal": number(normal or 0),
                           "better": row[0].get("better") if row else None, "unit-label": unit,
                           "toward": "left" if side == "right" else "right",
                           "value-label": f"{number(end)} {unit}",
                           "normal-label": f"normal {number(normal or 0)}"}


def main():
    drawn = [figure(f) for f in figures(sys.argv[1])]
    with open(sys.argv[2], "w", encoding="utf-8") as out:
        out.write('<report root="visit" xml:lang="en"><title>Figures</title>\n')
        out.write("\n".join(drawn))
        out.write("\n</report>\n")
    print(len(drawn))


if __name__ == "__main__":
    main()
