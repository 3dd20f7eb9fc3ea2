"""Small templates through the whole program: engine.py table|failures ENDFEEL FOLDER.

`table`: what the engine is able to do. `failures`: what is refused, or printed whole in spite of all.
Prints "ok NAME" or "FAILED NAME: why". Lines are 10 pt high here, a sheet of n lines is 23 + 10 n.
"""
import re
import struct
import subprocess
import sys
import zlib
from pathlib import Path

MODE, ENDFEEL, WORK = sys.argv[1], sys.argv[2], Path(sys.argv[3])
STYLES = "".join(f"<style name='{name}' size='8pt' leading='10pt' above='0' below='0'/>" for name in (
    "body", "head", "foot", "note", "heading-1", "table", "table-head", "group-head"))
HEAD = ("patient_id,name,birth_date,sex,visit_date,visit_kind,joint,motion,side,test,value,measured_by,"
        "role,note")
MOTIONS = (("knee", "flexion", 101), ("knee", "extension", 0), ("hip", "flexion", 95),
           ("hip", "abduction", 30), ("ankle", "plantarflexion", 40), ("ankle", "dorsiflexion", 8))
ROWS = "region/motion/side/active"


def csv(path, patients, notes=""):
    rows = [HEAD]
    for patient, name in patients:
        for i, (joint, motion, value) in enumerate(MOTIONS):
            rows.append(f"{patient},{name if i == 0 else ''},1980-01-01,F,2025-03-04,evaluation,{joint},"
                        f"{motion},right,AROM,{value},N Ash,PT,{notes if i == 2 else ''}")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def png(path):
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    row = b"\0" + bytes([200, 40, 90]) * 4
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 4, 2, 8, 2, 0, 0, 0))
                     + chunk(b"IDAT", zlib.compress(row * 2)) + chunk(b"IEND", b""))


def sheet(blocks, lines, root="", width=200):
    return (f"<report root='visit' xml:lang='en'>\n{STYLES}{root}\n<page width='{width}pt' "
            f"height='{23 + 10 * lines}pt' margins='10pt'>\n{blocks}\n</page></report>\n")


def table(cell="{../../@motion}", head="", attributes="", more="", foot=""):
    head = f"<head>{head}</head>" if head else ""
    foot = f"<foot>{foot}</foot>" if foot else ""
    return (f"<table select='{ROWS}' row-gap='0' lines='none' least-rows='1' {attributes}>{more}<column>"
            f"{head}<cell>{cell}</cell>{foot}</column></table>")


GROUP = ("<group-head by='../../../@name' continued='{../../../@name} again'>{../../../@name}"
         "</group-head>")
SHORT = "{substring(../../@motion, 1, 3)}"


def run(*words):
    return subprocess.run([str(w) for w in words], capture_output=True, text=True, check=False)


def report(kind, source, *more):
    return run(ENDFEEL, "report", "-q", "-j1", "--today", "2030-01-01", "--templates", WORK / "t", "-k", kind,
               *more, source)


def said(name, good, why=""):
    print(f"ok {MODE}-{name}" if good else f"FAILED {MODE}-{name}: {why}")


class Pages:
    """The page dump of one template."""

    def __init__(self, kind, source):
        done = report(kind, source, "--dump", "pages")
        self.dump, self.error, self.status = done.stdout, done.stderr, done.returncode
        self.pages = self.dump.split("\npage ")[1:]

    def texts(self, page):
        return [(float(x), float(y), int(face), words.strip()) for x, y, face, words in re.findall(
            r'^text (\S+) (\S+) \S+ (\d) start \S+ "(.*)"$', self.pages[page], re.M)]

    def words(self):
        return " / ".join("|".join(t[3] for t in self.texts(i)) for i in range(len(self.pages)))

    def place(self, text, page=0):
        return next(t for t in self.texts(page) if t[3] == text)


# ---- what the engine is able to do: name, template, lines and words of its pages --------------------

ABLE = [
    ("head-repeats", sheet(table(SHORT, "K"), 4), "K|fle|abd|fle / K|ext|dor|pla"),
    ("head-says-continued", sheet(table(SHORT, "K", "continued='again'"), 5),
     "K|fle|abd|fle|ext / again|K|dor|pla"),
    ("group-says-continued", sheet(table(SHORT, "", "", GROUP), 5, "", 120),
     "hip|fle|abd|knee|fle / knee again|ext|ankle-foot|dor|pla"),
    ("table-goes-on", sheet(table(SHORT, "", "goes-on='more'"), 5), "fle|abd|fle|ext|more / dor|pla"),
    ("foot-repeats", sheet(table(SHORT, "", "repeat-foot='yes'", foot="n{count(//active)}"), 5),
     "fle|abd|fle|ext|n6 / dor|pla|n6"),
    ("repetition-off", sheet(table(SHORT, "K", "repeat-head='no'"), 4), "K|fle|abd|fle / ext|dor|pla"),
    ("least-rows", sheet(table(SHORT).replace("least-rows='1'", "least-rows='2'"), 5),
     "fle|abd|fle|ext / dor|pla"),
    ("row-stays-whole", sheet(table(SHORT + "<break/>b"), 5), "fle|b|abd|b / fle|b|ext|b / dor|b|pla|b"),
    ("tall-row-splits", sheet(table("1<break/>2<break/>3<break/>4<break/>5", "K", "limit='1'"), 4),
     "K|1|2|3 / K|4|5"),
    ("keep", sheet("<para>a</para><keep><para>b</para><para>c</para></keep>", 2), "a / b|c"),
    ("keep-too-tall", sheet("<keep><para>a</para><para>b</para><para>c</para></keep>", 2), "a|b / c"),
    ("keep-with-next", sheet("<para>a</para><heading>h</heading><para>b</para>", 2), "a / h|b"),
    ("no-widows", sheet("<para>a</para><para>1<break/>2<break/>3<break/>4</para>", 4), "a|1|2 / 3|4"),
    ("no-orphans", sheet("<para>a</para><para>b</para><para>1<break/>2<break/>3<break/>4</para>", 3),
     "a|b / 1|2 / 3|4"),
    ("page-x-of-y", sheet("<running-foot><para><page-number/>/<page-count/></para></running-foot>"
                          + table(SHORT), 4), "fle|abd|fle|1/2 / ext|dor|pla|2/2"),
    ("landscape-between", sheet("<para>a</para>", 3) .replace(
        "</report>", "<page size='letter' orientation='landscape'><para>wide</para></page>"
        "<page size='a4'><para>c</para></page></report>"), "a / wide / c"),
    ("running-head-of-page", sheet("<running-head><para>[<page-mark of='group-head'/>-<page-mark "
                                   "of='group-head' which='last'/>]</para></running-head>"
                                   + table(SHORT, "", "", GROUP), 6),
     "hip|fle|abd|knee|fle|[hip-knee] / knee again|ext|ankle-foot|dor|pla|[knee-ankle-foot]"),
    ("soft-hyphen", sheet("<para>over measure\u00admentmeasurementmeasure</para>", 4, "", 130),
     "over measure|-|mentmeasurementmeasure"),
]


def check_able(source):
    for name, _, wanted in ABLE:
        pages = Pages(name, source)
        said(name, pages.words() == wanted, f"{pages.words()} {pages.error}")


def check_page_sizes(source):
    pages = Pages("landscape-between", source)
    sizes = [p.split("\n")[0].split()[1:] for p in pages.pages]
    said("sheets-of-their-own-size", sizes[1:] == [["792.00", "612.00"], ["595.28", "841.89"]], sizes)


# ---- and what needs a closer look -------------------------------------------------------------------

CLOSE = {
    "widths": sheet(f"<table select='{ROWS}' gap='10pt' limit='1'><column width='50pt'><cell>x</cell></column>"
                    "<column width='1*'><cell>y</cell></column><column width='2*'><cell>z</cell></column>"
                    "<column><cell>own</cell></column></table>", 5, "", 320),
    "auto-wraps": sheet(f"<table select='{ROWS}' limit='1'><column><cell>some words that need far more than "
                        "there is</cell></column><column><cell>short</cell></column></table>", 9, "", 120),
    "spans": sheet(f"<table select='{ROWS}' limit='1' gap='10pt'><column over='Both'><head>a</head><cell "
                   "runs-on='yes'>words over two columns</cell></column><column over='Both'><head>b</head>"
                   "<cell/></column><column><head>c</head><cell>last</cell></column></table>", 9, "", 300),
    "long-word": sheet("<columns><part-column width='60pt'><para>" + "abcdefghij" * 8 + "</para></part-column>"
                       "<part-column><para>next</para></part-column></columns>", 14),
    "signs": sheet("<para>90\u00b0 \u2212 5 \u25b2 \u2713 caf\u00e9 fi \U0001F600</para>", 3),
    "links": sheet("<para><link to='#late'>inside</link> <link to='https://example.org/a'>outside</link></para>"
                   "<break-page/><heading>Late<place name='late'/> heading</heading><para>x</para>", 4,
                   "<title>On {@date}</title>"),
    "image": sheet("<image src='sign.png' width='30pt' alt='a sign'/>", 6),
    "arc": sheet("<figure kind='arc' joint='knee' motion='flexion' side='right' end='101' unit='deg' "
                 "normal='140' alt='bent'/>", 30),
    "shade": sheet(table(SHORT, "", "shade='position() mod 2 = 0'"), 9,
                   "<style name='blue' like='body' colour='#1a4f8b'/>").replace(
                       "<table", "<para style='blue'>coloured</para><table"),
    "counts": sheet("<running-foot><para><page-number/>/<page-count/></para></running-foot>"
                    "<para>{patient/@name}</para>", 3),
    "bad": sheet("<para>one</para>\n<each select='region'>\n<para>{motion/side/passive/@end}</para></each>", 9),
}


def check_close(source):
    one = {kind: Pages(kind, source) for kind in CLOSE}
    x = [one["widths"].place(word)[0] for word in ("x", "y", "z", "own")]
    said("column-widths", x[0] == 10 and x[1] == 70 and abs((x[3] - x[2] - 10) - 2 * (x[2] - x[1] - 10)) < 0.1, x)
    wraps = one["auto-wraps"]
    said("auto-width-wraps", len(wraps.texts(0)) > 3 and
         wraps.place("short")[0] > 60 and all(t[0] < 110 for t in wraps.texts(0)), wraps.words())
    spans = one["spans"]
    over = spans.place("words over two columns")
    said("column-spans", spans.place("b")[0] < over[0] + 60 and spans.place("Both")[0] == over[0] and
         spans.place("last")[1] == over[1], spans.dump)
    word = one["long-word"].texts(0)
    said("long-word-breaks", "".join(t[3] for t in word[:-1]) == "abcdefghij" * 8 and word[-1][3] == "next" and
         all(t[0] == 10 for t in word[:-1]), one["long-word"].words())
    faces = {t[2] for t in one["signs"].texts(0)}
    said("fallback-by-glyph", len(faces) >= 2, faces)
    links = one["links"]
    said("links", re.search(r'^link .* "#late"$', links.dump, re.M) and 'link' in links.dump and
         re.search(r'^place 2 \S+ "late"$', links.dump, re.M) and
         re.search(r'^link .* "https://example.org/a"$', links.dump, re.M), links.dump)
    said("image", re.search(r"^image 10.00 \S+ 30.00 15.00", one["image"].dump, re.M), one["image"].dump)
    said("arc-in-degrees", len(re.findall(r"^path ", one["arc"].dump, re.M)) >= 4 and
         ' C ' in one["arc"].dump, one["arc"].dump[:400])
    shade = one["shade"]
    said("shade-and-colour", len(re.findall(r"^path fill #EBEBEB", shade.dump, re.M | re.I)) == 3 and
         re.search(r'#1a4f8b "coloured"', shade.dump, re.I), shade.dump)


def check_files(source):
    """What stands in the files: fonts, copied text, properties, tags; and what a batch does."""
    out = WORK / "out"
    done = report(",".join(CLOSE), source, "-o", out)
    day = out / "2025-03-04"

    def pdf(kind, patient="P1"):
        return day / f"{patient}_2025-03-04_{kind}.pdf"
    fonts = run("pdffonts", pdf("signs")).stdout.splitlines()[2:]
    said("fonts-embedded-and-subset", len(fonts) >= 2 and all(re.match(r"[A-Z]{6}\+", f) and
         f.split()[-5:-2] == ["yes", "yes", "yes"] for f in fonts), fonts)
    text = run("pdftotext", "-layout", pdf("signs"), "-").stdout
    said("copied-text", "90\u00b0 \u2212 5 \u25b2 \u2713 caf\u00e9 fi \U0001F600" in text, text)
    info = run("pdfinfo", pdf("links")).stdout
    said("title-and-language", re.search(r"^Title: +On 2025-03-04", info, re.M) and
         "/Lang" in run("qpdf", "--json", "--json-key=qpdf", pdf("links")).stdout, info)
    said("bookmarks", '"Late heading"' in run("qpdf", "--json", "--json-key=outlines", pdf("links")).stdout)
    dests = run("pdfinfo", "-dests", pdf("links")).stdout
    said("link-inside", re.search(r'^ +2 .*"late"', dests, re.M), dests)
    tags = run("pdfinfo", "-struct-text", pdf("spans")).stdout
    said("tagged-with-heads", re.search(r"^ *TH\b", tags, re.M) and re.search(r"^ *TD\b", tags, re.M), tags)
    ends = [run("pdftotext", pdf("counts", p), "-").stdout for p in ("P1", "P2")]
    said("counts-each-document", all("1/1" in e for e in ends), ends)
    listed = (out / "exceptions.csv").read_text(encoding="utf-8")
    good = [p for p in ("P1", "P2") for kind in CLOSE if kind != "bad" and pdf(kind, p).exists()]
    said("goes-on-after-a-bad-document", done.returncode == 1 and len(good) == 2 * (len(CLOSE) - 1) and
         not pdf("bad").exists() and listed.count("kind bad: ") == 2, f"{done.returncode} {listed}")
    said("bad-document-names-both-places",
         re.search(r"in\.csv,2,.*kind bad: .*, line 6 of bad\.xml: \{motion/side/passive/@end\} at visit/region\[3\]", listed),
         listed)
    done = report("counts", source, "-o", WORK / "archive", "--archive")
    archive = (WORK / "archive/2025-03-04/P1_2025-03-04_counts.pdf").read_bytes()
    said("archive", done.returncode == 0 and b"pdfaid:part" in archive, done.stderr)


def check_before_data():
    """A template is judged before a row is read, and nothing is written."""
    (WORK / "t/broken.xml").write_text(sheet("<para>fine</para>\n<parra>x</parra>", 3), encoding="utf-8")
    done = report("broken", WORK / "no-such.csv", "-o", WORK / "none")
    said("checked-before-data", done.returncode == 2 and "broken.xml:5" in done.stderr and
         "nearest known name: para" in done.stderr and not (WORK / "none").exists(), done.stderr)


# ---- what must not be lost without a word -----------------------------------------------------------

REFUSED = [  # before any data: name, blocks (from line 4 on), line, words
    ("unknown-element", "<para>a</para>\n<marquee>text that counts</marquee>", 5, "marquee in page"),
    ("unknown-element-in-text", "<para>a\n<blink>b</blink></para>", 5, "blink in para"),
    ("unknown-attribute", "<para\n colour='red'>a</para>", 5, "colour on para"),
    ("bad-value", "<space height='3 furlongs'/>", 4, "expected a length"),
    ("not-well-formed", "<para>a\n<bold>b</para>", 5, ""),
    ("text-outside-a-block", "<para>a</para>\n\nloose", 6, "outside a block"),
    ("unknown-field", "<para>a</para>\n<para>{@dat}</para>", 5, "nearest known name: date"),
    ("unknown-style", "<para style='bodi'>a</para>", 4, "nearest known name: body"),
    ("missing-font", "<para>a</para>", 2, "expected regular bold"),
    ("missing-image", "<image src='none.png' alt='x'/>", 4, "no such file"),
    ("glyph-in-template", "<para>a</para>\n<para>b \U0001F9B4</para>", 5, "U+1F9B4"),
    ("unknown-part", "<include part='none'/>", 4, "there is no part none"),
]
LATE = [  # with the data: name, blocks, line, words with the place in the data
    ("missing-field", "<para>a</para>\n<each select='region'>\n<para>{motion/side/passive/@end}</para></each>", 6,
     "{motion/side/passive/@end} at visit/region[1]"),
    ("missing-field-in-row", table("{../../@motion}\n{../passive/@end}"), 5,
     "{../passive/@end} at visit/region[1]/motion[1]"),
    ("glyph-in-data", "<para>a</para>\n<para>\n{patient/@name}</para>", 6, "U+1F9B4 at visit"),
    ("glyph-in-row", table("{../../@motion}\n{/visit/patient/@name}"), 5,
     "U+1F9B4 at visit/region[1]/motion[1]/side"),
    ("no-room-for-a-character", "<columns><part-column width='3pt'><para>abc</para></part-column>"
     "<part-column><para>x</para></part-column></columns>", 4, "3.0 pt wide"),
    ("figure-taller-than-page", "<para>a</para>\n<figure kind='arc' joint='knee' motion='flexion' "
     "side='right' end='101' unit='deg' alt='x'/>", 5, "pt high on a page that leaves"),
    ("link-to-nowhere", "<each select='region'>\n<para><link to='#{@name}'>x</link></para></each>", 5,
     "no place of this name is printed"),
]
WHOLE = [  # printed to the last word in spite of all: name, template, words
    ("word-wider-than-cell", sheet(f"<table select='{ROWS}' limit='1'><column width='40pt'><cell>"
                                   + "m" * 60 + "</cell></column><column><cell>next</cell></column></table>", 20),
     "m" * 60 + "next"),
    ("cell-taller-than-page", sheet(table("".join(f"w{i}<break/>" for i in range(40)), "", "limit='1'"), 6),
     "".join(f"w{i}" for i in range(40))),
    ("kept-row-taller-than-page", sheet("<keep>" + table("".join(f"w{i}<break/>" for i in range(20)), "",
                                                         "limit='1'") + "</keep>", 6),
     "".join(f"w{i}" for i in range(20))),
    ("kept-block-taller-than-page", sheet("<keep>" + "".join(f"<para>w{i}</para>" for i in range(20))
                                          + "</keep>", 6), "".join(f"w{i}" for i in range(20))),
    ("markup-in-data", sheet("<para>{patient/@name}</para>", 4), "A<b>&amp;{x}%$#_~^Z"),
]


def check_refused(source):
    for name, blocks, line, words in REFUSED:
        text = sheet(blocks, 9, "<style name='x' face='Comic'/>" if name == "missing-font" else "")
        (WORK / f"t/{name}.xml").write_text(text, encoding="utf-8")
        done = report(name, source, "-o", WORK / "none")
        said(name, done.returncode == 2 and f"{name}.xml:{line}: " in done.stderr and words in done.stderr and
             done.stderr.count("error:") == 1 and not (WORK / "none").exists(), f"{done.returncode} {done.stderr}")


def check_late(source):
    for name, blocks, line, words in LATE:
        (WORK / f"t/{name}.xml").write_text(sheet(blocks, 3 if name == "figure-taller-than-page" else 9),
                                            encoding="utf-8")
        done = report(name, source, "-o", WORK / name)
        listed = (WORK / name / "exceptions.csv").read_text(encoding="utf-8")
        said(name, done.returncode == 1 and f"{name}.xml:{line}: " in done.stderr and words in done.stderr and
             re.search(rf"bad\.csv,2,.*{name} of P1, 2025-03-04.*line {line} of {name}\.xml", listed) and
             not list((WORK / name).glob("2025*/*.pdf")), f"{done.returncode} {done.stderr} {listed}")


def check_whole():
    source = csv(WORK / "whole.csv", [("P1", WHOLE[-1][2])])
    for name, template, words in WHOLE:
        (WORK / f"t/{name}.xml").write_text(template, encoding="utf-8")
        pages = Pages(name, source)
        got = re.sub(r"[|/ ]", "", pages.words())
        said(name, pages.status == 0 and got == words, f"{pages.status} {got} {pages.error}")


def main():
    for folder in ("t", "t/parts", "t/locale"):
        (WORK / folder).mkdir(exist_ok=True)
    (WORK / "t/locale/en.xml").write_text(Path("templates/locale/en.xml").read_text(encoding="utf-8"),
                                          encoding="utf-8")
    (WORK / "t/day-index.xml").write_text("<report root='day'><page><para>day</para></page></report>",
                                          encoding="utf-8")
    png(WORK / "t/sign.png")
    if MODE == "table":
        source = csv(WORK / "in.csv", [("P1", "Ann Example"), ("P2", "Bo Example")])
        one = csv(WORK / "one.csv", [("P1", "Ann Example")])
        for name, text, *_ in ABLE + list(CLOSE.items()):
            (WORK / f"t/{name}.xml").write_text(text, encoding="utf-8")
        check_able(one)
        check_page_sizes(one)
        check_close(one)
        check_files(source)
        check_before_data()
    else:
        bad = csv(WORK / "bad.csv", [("P1", "Ann \U0001F9B4 Example")], "sore \U0001F9B4 at end")
        check_refused(bad)
        check_late(bad)
        check_whole()


main()
