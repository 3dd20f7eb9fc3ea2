"""The documents of a page dump through other engines: others.py reportlab|flow|groff PAGES.

reportlab  every run of text, line and curve drawn at its place by the canvas, which is the least
           that engine can do (no flowing of text); the same face, embedded
flow       the same engine setting the pages itself: paragraphs broken into lines, tables, figures
           as drawings with what is said below them, the same faces, embedded; a cell of one run
           is a plain string, its fastest way
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
        elif words[0] == "begin":
            found[-1][-1].append(("begin", words[1]))
        elif words[0] == "end":
            found[-1][-1].append(("end", None))
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


def draw_item(canvas, item):
    if item[0] == "path":
        draw_path(canvas, item)
    elif item[0] == "text":
        _, x, y, size, face, anchor, text = item
        canvas.setFont("Bold" if face == 1 else "Regular", size)
        draw = {"s": canvas.drawString, "m": canvas.drawCentredString,
                "e": canvas.drawRightString}[anchor]
        draw(x, y, text)


def register_faces():
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for face in ("Regular", "Bold"):
        pdfmetrics.registerFont(TTFont(face, FONTS % face))


def best_of_three(one, docs):
    """Seconds of processor and bytes of a document."""
    one(docs[0])
    best, size = 0, 0
    for _ in range(3):
        start = time.process_time()
        size = sum(one(doc) for doc in docs)
        spent = time.process_time() - start
        best = spent if best == 0 else min(best, spent)
    return best / len(docs), size / len(docs)


def with_reportlab(docs):
    from reportlab.pdfgen.canvas import Canvas

    register_faces()

    def one(doc):
        out = io.BytesIO()
        canvas = Canvas(out, pageCompression=1)
        for page in doc:
            for item in page:
                draw_item(canvas, item)
            canvas.showPage()
        canvas.save()
        return len(out.getvalue())

    return best_of_three(one, docs)


def tree(doc):
    """What the tags of a document hold: [role, [item or node...]] of its pages in one."""
    root = ["Document", []]
    for page in doc:
        open_tags = [root]
        for item in page:
            if item[0] == "begin":
                node = [item[1], []]
                open_tags[-1][1].append(node)
                open_tags.append(node)
            elif item[0] == "end":
                open_tags.pop()
            else:
                open_tags[-1][1].append(item)
    return root


def runs(node):
    """The runs of text inside a node, artifacts apart."""
    found = []
    for child in node[1]:
        if isinstance(child, list):
            found += runs(child) if child[0] != "Artifact" else []
        elif child[0] == "text":
            found.append(child)
    return found


def with_flow(docs):
    from reportlab.lib.pagesizes import letter
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Table

    register_faces()
    width = letter[0] - 2 * 51
    said_below, figures_in_a_row = 3, 4
    styles = {}

    def style(run):
        key = (run[3], run[4])
        if key not in styles:
            styles[key] = ParagraphStyle(str(key), fontName="Bold" if run[4] == 1 else "Regular",
                                         fontSize=run[3], leading=run[3] * 1.25, spaceAfter=3)
        return styles[key]

    def marked(run):
        text = run[6].replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        return f"<font name='Bold'>{text}</font>" if run[4] == 1 else text

    def paragraph(found):
        return Paragraph("".join(map(marked, found)), style(found[0]))

    class Figure(Flowable):
        def __init__(self, items):
            super().__init__()
            at = [point for item in items for point in
                  ([item[1:3]] if item[0] == "text" else
                   [numbers[-2:] for _, numbers in item[3] if numbers])]
            self.items = items
            self.left, self.bottom = (min(point[i] for point in at) for i in (0, 1))
            self.width, self.height = (max(point[i] for point in at) - low
                                       for i, low in ((0, self.left), (1, self.bottom)))

        def draw(self):
            self.canv.translate(-self.left, -self.bottom)
            for item in self.items:
                draw_item(self.canv, item)

    def cell(node):
        found = runs(node)
        return paragraph(found) if len(found) > 1 else found[0][6] if found else ""

    def table(node):
        rows = [[cell(c) for c in row[1] if isinstance(c, list)]
                for row in node[1] if isinstance(row, list) and row[0] == "TR"]
        columns = max(map(len, rows), default=0)
        if columns == 0:
            return []
        return [Table([row + [""] * (columns - len(row)) for row in rows],
                      colWidths=[width / columns] * columns, repeatRows=1,
                      style=[("FONT", (0, 0), (-1, -1), "Regular", 8),
                             ("LINEBELOW", (0, 0), (-1, -1), 0.4, "#000000")])]

    def figures(cells):
        rows = [cells[i:i + figures_in_a_row] for i in range(0, len(cells), figures_in_a_row)]
        rows[-1] += [""] * (figures_in_a_row - len(rows[-1]))
        return Table(rows, colWidths=[width / figures_in_a_row] * figures_in_a_row)

    def flowables(node):
        found, cells = [], []
        for child in node[1]:
            if not isinstance(child, list) or child[0] == "Artifact":
                continue
            if child[0] == "Figure" and child[1]:
                cells.append([Figure([item for item in child[1] if not isinstance(item, list)])])
                continue
            text = runs(child) if child[0] != "Table" else []
            if cells and child[0] == "P" and text and len(cells[-1]) <= said_below:
                cells[-1].append(paragraph(text))
                continue
            if cells:
                found.append(figures(cells))
                cells = []
            if text:
                found.append(paragraph(text))
            elif child[0] == "Table":
                found += table(child)
        return found + ([figures(cells)] if cells else [])

    def one(doc):
        out = io.BytesIO()
        SimpleDocTemplate(out, pagesize=letter, leftMargin=51, rightMargin=51, topMargin=51,
                          bottomMargin=51, pageCompression=1).build(flowables(doc))
        return len(out.getvalue())

    return best_of_three(one, [tree(doc) for doc in docs])


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
    cost, size = {"reportlab": with_reportlab, "flow": with_flow, "groff": with_groff}[name](docs)
    print(f"{name} {1 / cost:.1f} {cost * 1e6:.1f} {size:.0f}")


if __name__ == "__main__":
    main(*sys.argv[1:])
