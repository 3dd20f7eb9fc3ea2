#!/bin/sh
# --archive and --attach: files that a validator takes for PDF/A-1b (Apache PDFBox preflight, which
# shares nothing with the writer and is known to be lenient in places), and findings inside.
cd "$TOP" || exit 3
day=2025-03-14 jars=/usr/share/java
class_path=$jars/preflight.jar:$jars/pdfbox2.jar:$jars/fontbox2.jar:$jars/xmpbox.jar
class_path=$class_path:$jars/commons-logging.jar:$jars/javax.activation.jar:$jars/jaxb-api.jar
validate() { java -XX:TieredStopAtLevel=1 -XX:+UseSerialGC -cp "$class_path" org.apache.pdfbox.preflight.Validator_A1b group "$1" 2>&1; }
run() { # OUT ARGUMENTS
    out=$1
    shift
    "$ENDFEEL" report --today 2030-01-01 --clinic fixtures/clinic.xml -o "$out" "$@" >"$WORK/said" 2>&1
    status=$?
}
mkdir -p "$WORK/arc/in" "$WORK/arc/check"
# Signs beyond the core, markup in a name, a cell that is held back.
cp fixtures/day/*.csv "$WORK/arc/in"
sed -i 's/Marit Oskend/Ma \& <r>it Łękos/' "$WORK"/arc/in/*.csv
sed '1!d' fixtures/day/measurements.csv >"$WORK/arc/in/more.csv"
echo 'S-1001,2025-03-14,knee,flexion,right,,AROM,so-so,,,,,,,' >>"$WORK/arc/in/more.csv"
run "$WORK/arc/out" --archive --print-all "$WORK/arc/in"
[ $status -le 1 ] && echo "ok archive-runs" || echo "FAILED archive-runs: $(cat "$WORK/said")"
cp "$WORK"/arc/out/$day/S-1001_*.pdf "$WORK"/arc/out/$day/S-10*_progress.pdf \
    "$WORK"/arc/out/day-index.pdf "$WORK"/arc/out/print-all.pdf "$WORK/arc/check"
run "$WORK/arc/usual" -k chart --patient S-1001 "$WORK/arc/in"
cp "$WORK/arc/usual/$day/S-1001_${day}_chart.pdf" "$WORK/arc/check/usual.pdf"
validate "$WORK/arc/check" >"$WORK/arc/verdict"
judged=yes
command -v java >/dev/null && [ -f $jars/preflight.jar ] || judged=no
[ $judged = yes ] || echo "skipped archive-valid: no PDFBox preflight to judge with"
for pdf in "$WORK"/arc/check/*.pdf; do
    name=$(basename "$pdf")
    [ $judged = yes ] || continue
    case $name in usual.pdf) continue ;; esac
    grep -qF "$name is a valid PDF/A-1b file" "$WORK/arc/verdict" && echo "ok archive-$name" ||
        echo "FAILED archive-$name: $(grep -A4 -F "$name" "$WORK/arc/verdict" | head -5)"
done
# The validator can say no.
if [ $judged = yes ]; then
    grep -qF "usual.pdf is not a valid" "$WORK/arc/verdict" && echo "ok usual-is-no-archive" ||
        echo "FAILED usual-is-no-archive: $(grep -F usual "$WORK/arc/verdict" | head -2)"
fi
# The same page, and tagged as ever.
for form in arc/out arc/usual; do
    pdftotext -layout "$WORK/$form/$day/S-1001_${day}_chart.pdf" - >"$WORK/$(basename $form).txt"
done
cmp -s "$WORK/out.txt" "$WORK/usual.txt" && echo "ok archive-same-text" || echo "FAILED archive-same-text"
pdfinfo "$WORK/arc/out/$day/S-1001_${day}_chart.pdf" | grep -q '^Tagged: *yes' && echo "ok archive-tagged" ||
    echo "FAILED archive-tagged"

# A second run leaves them; another form, and findings inside, set them again.
said_counts() { grep -q "$2" "$WORK/said" && echo "ok $1" || echo "FAILED $1: $(cat "$WORK/said")"; }
run "$WORK/arc/usual" -k chart --patient S-1001 "$WORK/arc/in"
said_counts usual-again ' 1 unchanged'
run "$WORK/arc/usual" -k chart --patient S-1001 --archive "$WORK/arc/in"
said_counts usual-to-archive ' 0 unchanged'
run "$WORK/arc/usual" -k chart --patient S-1001 --archive "$WORK/arc/in"
said_counts archive-again ' 1 unchanged'
run "$WORK/arc/usual" -k chart --patient S-1001 --attach "$WORK/arc/in"
said_counts archive-to-attach ' 0 unchanged'
run "$WORK/arc/usual" -k chart --patient S-1001 --attach "$WORK/arc/in"
said_counts attach-again ' 1 unchanged'

# What is inside is what `findings` prints; what a letter carries is less. Of each patient the latest
# visit, in check-all every visit.
visits=--latest
[ -z "${WHOLE:-}" ] || visits=--every-visit
run "$WORK/arc/att" -k chart,letter,patient,reviewer $visits --attach --print-all "$WORK/arc/in"
[ $status -le 1 ] && echo "ok attach-runs" || echo "FAILED attach-runs: $(cat "$WORK/said")"
cat >"$WORK/arc/inside.py" <<'END'
import glob, subprocess, sys, xml.etree.ElementTree as ET
folder, printed = sys.argv[1:]
visits = {(v.find("patient").get("id"), v.get("date")): v for v in ET.parse(printed).getroot()}
def tree(e):
    return e.tag, sorted(e.attrib.items()), [tree(c) for c in e]
def watch(v):
    return [c for c in v.iter("compensation") if c.get("kind") == "likely"]
unsound = []
seen = {"pattern": 0, "watch": 0, "problem": 0}
for pdf in sorted(glob.glob(folder + "/2*/*.pdf")):
    # One call looks the document through, says so, and prints what is inside.
    shown = subprocess.run(["qpdf", "--check", "--show-attachment=findings.xml", pdf], stdout=subprocess.PIPE,
                           stderr=subprocess.STDOUT)
    told, start, rest = shown.stdout.partition(b"<?xml")
    name = pdf.rsplit("/", 1)[1]
    if shown.returncode != 0 or b"No syntax or stream encoding errors" not in told:
        unsound.append(name)
        continue
    inside = ET.fromstring(start + rest)
    patient, date, kind = name[:-4].split("_")
    whole = visits[patient, date]
    if kind == "chart":
        if tree(inside) != tree(whole):
            print("FAILED attach-chart:", name)
        seen["pattern"] += len(whole.findall("pattern"))
        seen["problem"] += len(whole.findall("problem"))
        seen["watch"] += len(watch(whole))
    else:
        if inside.findall("pattern") or inside.findall("problem") or watch(inside):
            print("FAILED attach-outward:", name, "holds what stays in the chart")
        if len(list(inside.iter("active"))) != len(list(whole.iter("active"))):
            print("FAILED attach-outward:", name, "lost readings")
print("FAILED attach-sound: " + " ".join(unsound) if unsound else "ok attach-sound")
print("ok attach-inside" if all(seen.values()) else f"FAILED attach-inside: nothing to hold back {seen}")
END
"$ENDFEEL" findings -q --format xml --every-visit --clinic fixtures/clinic.xml --today 2030-01-01 "$WORK/arc/in" \
    >"$WORK/arc/printed.xml" 2>/dev/null
"$PYTHON" "$WORK/arc/inside.py" "$WORK/arc/att" "$WORK/arc/printed.xml"
# Paper holds no files.
qpdf --list-attachments "$WORK/arc/att/print-all.pdf" | grep -q 'no embedded files' && echo "ok print-holds-none" ||
    echo "FAILED print-holds-none"
