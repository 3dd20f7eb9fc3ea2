"""The documents of a page dump through other engines: others.py reportlab|groff PAGES.

reportlab  every run of text, line and curve drawn at its place by the canvas, which is the least
           that engine can do (no flowing of text); the same face, embedded
groff      the same lines of text as tables of tbl, set by one process for all documents, its
           fastest way; its built-in face

What is read and made ready beforehand is not timed. Prints what bench_ours prints.
"""
import io
import re
import subprocess
import sys
import time

FONTS = "/usr/share/fonts/truetype/open-sans/OpenSans-%s.ttf"
TEXT = re.compile(r'text (\S+) (\S+) (\S+) (\d+) (\S+) #(\w+).*?"(.*)"$')
STROKE = re.compile(r"stroke (\S+)")


def unescape(text):
    raw = re.sub(r"\\x([0-9A-Fa-f]{2})", lambda m: chr(int(m.group(1), 16)), text)
    return raw.encode("latin-1", "replace").decode("utf-8", "replace") if raw != text else text


def operators(words):
    """[(operator, numbers)] of a path."""
    found = []
    for word in words.split():
        if word.isalpha():
            found.append((word, []))
        else:
            found[-1][1].append(float(word))
    return found


def documents(path):
    """Each a list of pages, each a list of items."""
    found = []
    for line in open(path, encoding="utf-8"):
        line = line.rstrip("\n")
        words = line.split(" ", 2)
        if words[0] == "page":
            if words[1] == "1":
                found.append([])
            found[-1].append([])
        elif words[0] == "text":
            x, y, size, face, anchor, _, text = TEXT.match(line).groups()
            found[-1][-1].append(("text", float(x), float(y), float(size), int(face), anchor[0],
                                  unescape(text)))
        elif words[0].startswith("path") and " :" in line:
            head, ops = line.split(" :", 1)
            width = STROKE.search(head)
            found[-1][-1].append(("path", "fill" in head, float(width.group(1)) if width else 0,
                                  operators(ops)))
    return found


def draw_path(canvas, item):
    _, fill, width, ops = item
    path = canvas.beginPath()
    for name, at in ops:
        if name == "M":
            path.moveTo(*at)
        elif name == "L":
            path.lineTo(*at)
        elif name == "C":
            path.curveTo(*at)
        else:
            path.close()
    if width:
        canvas.setLineWidth(width)
    canvas.drawPath(path, stroke=int(width > 0), fill=int(fill))


def with_reportlab(docs):
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    for face in ("Regular", "Bold"):
        pdfmetrics.registerFont(TTFont(face, FONTS % face))

    def one(doc):
        out = io.BytesIO()
        canvas = Canvas(out, pageCompression=1)
        for page in doc:
            for item in page:
                if item[0] == "path":
                    draw_path(canvas, item)
                    continue
                _, x, y, size, face, anchor, text = item
                canvas.setFont("Bold" if face == 1 else "Regular", size)
                draw = {"s": canvas.drawString, "m": canvas.drawCentredString,
                        "e": canvas.drawRightString}[anchor]
                draw(x, y, text)
            canvas.showPage()
        canvas.save()
        return len(out.getvalue())

    one(docs[0])
    best, size = 0, 0
    for _ in range(3):
        start = time.process_time()
        size = sum(one(doc) for doc in docs)
        spent = time.process_time() - start
        best = spent if best == 0 else min(best, spent)
    return best / len(docs), size / len(docs)


def groff_source(docs):
    lines = []
    for doc in docs:
        for page in doc:
            rows = {}
            for item in page:
                if item[0] == "text":
                    rows.setdefault(item[2], []).append((item[1], item[6]))
            columns = 0
            for y in sorted(rows, reverse=True):
                cells = [re.sub(r"[\\\t]", " ", text) for _, text in sorted(rows[y])]
                if len(cells) != columns: # rows alike are one table
                    lines += [".TE"] if columns else []
                    columns = len(cells)
                    lines += [".TS", "tab(\t);", " ".join("l" * columns) + "."]
                lines.append("\t".join(cell.lstrip(".'") or "-" for cell in cells))
            lines += [".TE", ".bp"] if columns else [".bp"]
    return "\n".join(lines) + "\n"


def with_groff(docs):
    import resource

    source = groff_source(docs).encode("utf-8")
    best, size = 0, 0
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(["groff", "-k", "-t", "-ms", "-Tpdf"], input=source,
                              stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if not done.stdout.startswith(b"%PDF"):
            sys.exit("groff made no PDF")
        spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        size = len(done.stdout)
        best = spent if best == 0 else min(best, spent)
    return best / len(docs), size / len(docs)


def main(name, path):
    docs = documents(path)
    cost, size = (with_reportlab if name == "reportlab" else with_groff)(docs)
    print(f"{name} {1 / cost:.1f} {cost * 1e6:.1f} {size:.0f}")


if __name__ == "__main__":
    main(*sys.argv[1:])
