#!/bin/sh
# The sheet to write on and its CSV: what an examiner needs stands on it, a whole upper-quarter screen
# takes four pages at most, and the CSV, filled in by a script, is read back by report without a word.
cd "$TOP" || exit 3
d=$(mktemp -d "$WORK/plan.XXXX")
plan() { # NAME ARGUMENTS...
    name=$1
    shift
    "$ENDFEEL" plan -q -o "$d/$name" "$@" 2>"$d/err" && [ -s "$d/$name/plan.pdf" ] && [ -s "$d/$name/plan.csv" ] &&
        echo "ok plan-$name" || echo "FAILED plan-$name: $(cat "$d/err")"
    pdftotext "$d/$name/plan.pdf" - | tr -s ' \n' ' ' >"$d/$name.txt"
}
says() { # NAME WORDS...
    name=$1
    shift
    for words in "$@"; do
        grep -qF -e "$words" "$d/$name.txt" && echo "ok plan-says-$name" || echo "FAILED plan-says-$name: not '$words'"
    done
}
pages() { pdfinfo "$d/$1/plan.pdf" | awk '/^Pages:/ {print $2}'; }

plan upper upper-quarter
[ "$(pages upper)" -le 4 ] && echo "ok plan-four-pages" || echo "FAILED plan-four-pages: $(pages upper)"
plan upper-cautions upper-quarter --involved right --caution osteoporosis --caution hypermobility:shoulder:right \
    --clinic fixtures/clinic.xml
[ "$(pages upper-cautions)" -le 4 ] && echo "ok plan-four-pages-with-cautions" ||
    echo "FAILED plan-four-pages-with-cautions: $(pages upper-cautions)"
says upper '124 tests, 5 changes of position, the fewest there are' 'Before the first test' 'No caution is on file: ask.' \
    'Screen first: trunk' '1 Sitting' 'Shoulder external rotation' 'Axis Olecranon process' 'normal 90°' 'end feel firm' \
    'Stop Ribs' 'A1' 'A3' 'P3' 'end feel' 'Below 3' 'grade' 'does not replace it'
pdftotext -layout -f 1 -l 1 "$d/upper-cautions/plan.pdf" - | tr -s ' \n' ' ' >"$d/first.txt"
says first 'With care: Osteoporosis' '(shoulder right)' 'uninvolved side first' "$(sed -n 's|.*<heading>\(.*\)</heading>.*|\1|p' fixtures/clinic.xml)"
says upper-cautions 'Care: osteoporosis, PROM; hypermobility, PROM right'
# Nothing overlaps or leaves the paper, and no style of any template is below 8 pt.
"$PYTHON" tests/pdf/boxes.py --margin 22 "$d/upper/plan.pdf" "$d/upper-cautions/plan.pdf"
small=$(grep -lE '<style [^>]*size="[0-7](\.[0-9]+)?pt"' templates/*.xml templates/parts/*.xml)
[ -z "$small" ] && echo "ok eight-points" || echo "FAILED eight-points: $small"
# Every motion of the screen is on the sheet as often as it has rows.
pdfinfo "$d/upper/plan.pdf" >"$d/info"
grep -q '^Title: *Order of examination' "$d/info" && grep -q '^Tagged: *yes' "$d/info" && ! grep -q CreationDate "$d/info" &&
    qpdf --check "$d/upper/plan.pdf" >/dev/null 2>&1 && echo "ok plan-tagged" || echo "FAILED plan-tagged: $(cat "$d/info")"
"$ENDFEEL" plan -q -o "$d/again" upper-quarter
cmp -s "$d/again/plan.pdf" "$d/upper/plan.pdf" && cmp -s "$d/again/plan.csv" "$d/upper/plan.csv" && echo "ok plan-same-bytes" ||
    echo "FAILED plan-same-bytes"
plan hand hand
says hand '2 right' '5 left'
plan lower lower-quarter --tries 1
says lower 'A1'
grep -q ' A2 ' "$d/lower.txt" && echo "FAILED plan-one-try" || echo "ok plan-one-try"

# What cannot be tested stands there with its reason, on the sheet and in the CSV.
plan limited --positions sitting,supine --caution unhealed-fracture:wrist:right --provokes 'shoulder flexion' shoulder wrist
says limited 'Not tested (NT), and why' 'a caution on file' 'no position that the patient can take' 'Provokes symptoms: last' \
    'Do not test: Fracture'
nt=$(grep -c ',NT,' "$d/limited/plan.csv")
[ "$nt" -gt 0 ] && [ "$(grep -c ',NT,[^,]*,[^,]*,,,,,,[^,]' "$d/limited/plan.csv")" = "$nt" ] && echo "ok plan-reasons" ||
    echo "FAILED plan-reasons: $nt"

# The checklist of a practical examination.
plan checklist --checklist knee flexion 'Shoulder ER' --tests AROM,PROM,MMT --caution pregnancy
says checklist 'Checklist of a practical examination' 'Safety, for all motions: pass or fail' 'Hands washed' 'agreement' \
    'pass □ fail' 'Axis: Lateral epicondyle of the femur' 'Fixed arm:' 'Moving arm:' 'drapes the rest' 'Stabilises:' \
    'Sees and stops:' 'at eye level' 'Reading within 5 degrees' 'Resists at:' 'Knows the scale' 'Records grade' 'Later pregnancy'
printf '<clinic><tolerance deg="7"/></clinic>\n' >"$d/clinic.xml"
plan tolerance --checklist --clinic "$d/clinic.xml" knee
says tolerance 'Reading within 7 degrees'

# Round trip: filled in by a script and reported; every value comes back, nothing is held back.
plan trip upper-quarter hand --patient 00417 --on 2031-05-06 --measured-by 'J. Park'
"$PYTHON" tests/pdf/plan.py fill "$d/trip/plan.csv" "$d/filled.csv"
"$ENDFEEL" report --today 2031-05-06 -o "$d/report" "$d/filled.csv" 2>"$d/err"
[ $? = 0 ] && grep -q ' rows in = .* + 0 duplicates + 0 held back' "$d/err" && echo "ok plan-reports-back" ||
    echo "FAILED plan-reports-back: $(head -5 "$d/err") $(head -4 "$d/report/exceptions.csv")"
"$ENDFEEL" findings -q --today 2031-05-06 "$d/filled.csv" >"$d/findings.csv" 2>/dev/null
"$PYTHON" tests/pdf/plan.py same "$d/filled.csv" "$d/findings.csv"
# Left empty it reads as not recorded, never as 0.
"$ENDFEEL" findings -q --today 2031-05-06 "$d/trip/plan.csv" >"$d/empty.csv" 2>/dev/null
"$PYTHON" tests/pdf/plan.py empty "$d/empty.csv"
# NT rows read back with their reason.
"$ENDFEEL" plan -q -o "$d/nt" --patient P1 --on 2031-05-06 --positions sitting --caution post-surgery-restricted:wrist wrist shoulder
"$ENDFEEL" findings -q --today 2031-05-06 "$d/nt/plan.csv" >"$d/nt.csv" 2>"$d/err"
grep -q ',not-tested,' "$d/nt.csv" && echo "ok plan-nt-reads-back" || echo "FAILED plan-nt-reads-back: $(cat "$d/err")"
