#!/bin/sh
# A newcomer changes wording, picture, order and paper by the last section of docs/template.md and by
# nothing else: each step is read from there and done to a copy of the templates.
cd "$TOP" || exit 3
w="$WORK/changes"
mkdir -p "$w/exports"
cp fixtures/day/*.csv "$w/exports/"
sed 's|</clinic>|<logo>sign.png</logo></clinic>|' fixtures/clinic.xml >"$w/clinic.xml"
"$PYTHON" - "$w" "$ENDFEEL" <<'EOF2'
import os, re, struct, subprocess, sys, zlib
w, program = sys.argv[1:]
top = os.getcwd()

def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

with open(w + "/sign.png", "wb") as f:
    row = b"\0" + bytes([200, 40, 90]) * 40
    f.write(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 40, 20, 8, 2, 0, 0, 0)) +
            chunk(b"IDAT", zlib.compress(row * 20)) + chunk(b"IEND", b""))
os.symlink(top + "/templates", w + "/templates")

with open(top + "/docs/template.md", encoding="utf-8") as f:
    section = f.read().split("## Four changes, step by step\n")[1].split("\n## ")[0]

def judge(name, good, why=""):
    print("ok changes-" + name if good else "FAILED changes-%s: %s" % (name, str(why)[:600]))

def run(command):
    """A command of the page, in the folder that it is meant for."""
    words = command.split()
    words[0] = program if words[0] == "endfeel" else words[0]
    if words[1:2] == ["report"]:
        words += ["-q", "--today", "2030-01-01", "--on", "2025-03-14", "-k", "chart,letter"]
    return subprocess.run(words, cwd=w, capture_output=True, text=True, check=False)

# Text between the blocks, and the blocks: lines set in by four spaces.
parts = re.split(r"((?:^    .*\n|^\n(?=    ))+)", section, flags=re.M)
commands, edits, waiting = [], [], None
for before, block in zip(parts[0::2], parts[1::2]):
    text = re.sub(r"^ {4}", "", block.strip("\n"), flags=re.M)
    named = re.findall(r"In `(mine/[^`]+)`", before)
    if text.split()[0] in ("cp", "endfeel"):
        commands.append(text)
    elif waiting is None:
        waiting = (named[-1], text)
    else:
        edits.append((*waiting, text))
        waiting = None
judge("are-four", len(edits) == 4 and len(commands) == 3 and waiting is None, (commands, edits))
copy, check, report = commands
done = run(copy.replace("cp -r", "cp -rL")) # the templates are a link here
judge("copied", done.returncode == 0, done.stderr)
for file, old, new in edits:
    name = os.path.basename(file).replace(".xml", "")
    with open(os.path.join(w, file), encoding="utf-8") as f:
        whole = f.read()
    # The page sets lines in by its own measure.
    pattern = r"\s*".join(re.escape(line.strip()) for line in old.split("\n"))
    found = re.findall(pattern, whole)
    judge("place-in-" + name, len(found) == 1, (file, old, len(found)))
    with open(os.path.join(w, file), "w", encoding="utf-8") as f:
        f.write(whole.replace(found[0], new) if found else whole)
    done = run(check)
    judge("fits-" + name, done.returncode == 0 and done.stdout.count("fits all") == 2,
          done.stdout + done.stderr)
done = run(report)
judge("reports", done.returncode in (0, 1), done.stderr)

def said(*words):
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout

chart = w + "/out/2025-03-14/S-1009_2025-03-14_chart.pdf"
text = said("pdftotext", chart, "-")
judge("wording", "Before you rely on this" in text and "Please keep in mind" not in text, text)
judge("order", 0 < text.find("Range of motion") < text.find("What changed"), text)
judge("paper", "(A4)" in said("pdfinfo", chart), said("pdfinfo", chart))
letter = chart.replace("chart", "letter")
judge("picture", " 40    20 " in said("pdfimages", "-list", letter), said("pdfimages", "-list", letter))
judge("letter-paper-stays", "(letter)" in said("pdfinfo", letter), said("pdfinfo", letter))
EOF2
rm -rf "$w"
