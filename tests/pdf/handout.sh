#!/bin/sh
# A case for teaching: nothing that identifies leaves, the sheet and its key are alike, and what
# cannot be made says why. The classes of identifiers are those of 45 CFR 164.514(b)(2)(i).
cd "$TOP" || exit 3
W=$WORK/handout
IN="$W/in Quarrick 2033"
py() { "$PYTHON" "$TOP/tests/pdf/handout_check.py" "$@"; }
made() { # FOLDER MORE...: from inside the folder, so that no path of ours is planted
    out=$1
    shift
    (cd "$IN" && "$ENDFEEL" handout --today 2034-01-01 --clinic clinic.xml -o "$out" "$@" .) \
        >"$W/said.out" 2>"$W/said"
    status=$?
}
is() { # NAME STATUS TEXT
    if [ $status = "$2" ] && { [ -z "$3" ] || grep -q -- "$3" "$W/said"; }; then
        echo "ok $1"
    else
        echo "FAILED $1: ends with $status: $(cat "$W/said")"
    fi
}
mkdir -p "$W"
py plant "$IN"

made "$W/out" --patient MRN7744113
is handout-runs 1 "case 01: 5 sheets"
found=$(py search "$W/out" "$W/said") && echo "ok handout-nothing-leaves" ||
    echo "FAILED handout-nothing-leaves: $found"
# One geometry: words and lines of the page lists; a key with one line moved must be noticed.
alike() { # NAME ID FOLDER
    "$ENDFEEL" handout -q --today 2034-01-01 --patient "$2" --dump pages "$3" >"$W/pages" 2>/dev/null
    shown=$(py geometry "$W/pages") && echo "ok $1" || echo "FAILED $1: $shown"
}
alike handout-same-places MRN7744113 "$IN"
awk '/^== .*-key/ {key = 1} /^== .*-stage/ {key = 0}
    key && /^path / && !moved {sub(/M [0-9]/, "M 9"); moved = 1} {print}' "$W/pages" >"$W/moved"
py geometry "$W/moved" >/dev/null && echo "FAILED handout-geometry-can-fail" ||
    echo "ok handout-geometry-can-fail"
alike handout-same-places-two-people 00417 fixtures/scenarios/s5-stroke

# What the key says: no verdict where none was reached, no bare minus, no zero entries, and nothing
# on the student sheet that tells which motions are limited.
id=$(sed -n 2p fixtures/scenarios/s4-ankle/patients.csv | cut -d, -f1)
"$ENDFEEL" handout -q --today 2034-01-01 --patient "$id" -o "$W/ankle" fixtures/scenarios/s4-ankle \
    2>/dev/null
words() { pdftotext -layout "$W/ankle/handout/case-01-$1.pdf" - | tr -s ' \n' ' '; }
words key | grep -q "+9: the other side 11, measured in week 0; not judged" &&
    ! words key | grep -q 'from -[0-9]\|the other side −[0-9]\|\. 0 entries' &&
    words key | grep -q "+26 from lacks 6 in week 2" &&
    words key | grep -q "but see whether the reading stands" &&
    echo "ok handout-key-words" || echo "FAILED handout-key-words"
asked=$(words student | grep -o "Watch for next time" | wc -l)
regions=$("$ENDFEEL" handout -q --today 2034-01-01 --patient "$id" --dump findings \
    fixtures/scenarios/s4-ankle 2>/dev/null | grep -c '<region ')
[ "$asked" = "$regions" ] && [ "$asked" -gt 5 ] && echo "ok handout-gives-nothing-away" ||
    echo "FAILED handout-gives-nothing-away: $asked of $regions"

# The search must find what is there: a report of the same patient is full of it.
(cd "$IN" && "$ENDFEEL" report -q -j1 --today 2034-01-01 -o "$W/report" .) 2>/dev/null
lost=
found=$(py search "$W/report" "$W/said")
for word in zebulon oskendal corrigan-vale 7744113 2033 "17 may" m54.99; do
    echo "$found" | grep -q ": $word: " || lost="$lost $word"
done
[ -z "$lost" ] && echo "ok handout-search-finds" || echo "FAILED handout-search-finds:$lost"

made "$W/notes" --patient MRN7744113 --with-notes
is handout-notes-run 1 "case 01: 6 sheets"
found=$(py search "$W/notes" "$W/said") && echo "ok handout-notes-are-struck" ||
    echo "FAILED handout-notes-are-struck: $found"
boxes=$(pdftotext -layout "$W/notes/handout/case-01-review.pdf" - | grep -c '☐')
told=$(cd "$IN" && "$ENDFEEL" handout --today 2034-01-01 --with-notes --patient MRN7744113 \
    --dump findings . 2>/dev/null | grep -c '<statement ')
[ "$boxes" -gt 50 ] && [ "$boxes" = "$told" ] && echo "ok handout-review-lists-all" ||
    echo "FAILED handout-review-lists-all: $boxes boxes, $told sentences"

# The numbers for research, of the same patient.
mkdir -p "$W/numbers"
for how in --every-visit --latest; do
    (cd "$IN" && "$ENDFEEL" findings -q -j1 --today 2034-01-01 --de-identified $how .) \
        >"$W/numbers/$how.csv" 2>/dev/null
done
: >"$W/said"
rows=$(grep -c '^case-00001,' "$W/numbers/--every-visit.csv")
found=$(py search "$W/numbers" "$W/said") && [ "$rows" = 24 ] && echo "ok handout-numbers" ||
    echo "FAILED handout-numbers: $rows rows, $found"
dated=$(cut -d, -f2 "$W/numbers/--every-visit.csv" | sort -u | tr '\n' ' ')
[ "$dated" = "2000-01-03 2000-01-31 2000-04-10 visit_date " ] && echo "ok handout-weeks" ||
    echo "FAILED handout-weeks: $dated"
status=0
(cd "$IN" && "$ENDFEEL" findings --de-identified --format xml .) >"$W/said.out" 2>"$W/said" ||
    status=$?
is handout-numbers-are-csv 2 "a form of the CSV"

# Cases are counted on; the number tells nothing of the patient, and may be given.
made "$W/out" --patient MRN7744113
is handout-next-number 1 "case 02: 5 sheets"
made "$W/out" --patient MRN7744113 --case 2
is handout-given-number 1 "case 02: 5 sheets"
n=$(find "$W/out/handout" -name 'case-*.pdf' | wc -l)
[ "$n" = 10 ] && echo "ok handout-replaces-its-own" || echo "FAILED handout-replaces-its-own: $n"
cmp -s "$W/out/handout/case-02-key.pdf" "$W/out/handout/case-01-key.pdf" &&
    echo "FAILED handout-number-is-shown" || echo "ok handout-number-is-shown"
made "$W/again" --patient MRN7744113
cmp -s "$W/out/handout/case-01-key.pdf" "$W/again/handout/case-01-key.pdf" &&
    echo "ok handout-same-bytes" || echo "FAILED handout-same-bytes"
mode=$(stat -c %a "$W/out/handout/case-01-key.pdf")-$(stat -c %a "$W/out/handout")
[ "$mode" = 600-700 ] && echo "ok handout-modes" || echo "FAILED handout-modes: $mode"

# What cannot be made.
made "$W/none"
is handout-wants-a-patient 2 "name the one patient"
made "$W/none" --patient MRN774411
is handout-unknown-patient 2 "no row of the input has this patient"
made "$W/none" --patient MRN7744113 --dump rows
is handout-dump-rows 2 "hold no identifiers"
made "$W/none" --patient MRN7744113 --case 0
is handout-case-zero 2 "case"
made "$W/none" --patient MRN7744113 --templates "$W/nowhere"
is handout-no-templates 2 ""
status=0
"$ENDFEEL" handout --patient X -o "$W/none" "$W/missing.csv" 2>"$W/said" || status=$?
is handout-no-input 1 ""
printf 'patient_id,birth_date\nMRN7744113,1940-01-01\n' >"$W/other.csv"
made "$W/none" --patient MRN7744113 "$W/other.csv"
is handout-held-patient 1 "held back"
: >"$W/file"
made "$W/file" --patient MRN7744113
is handout-no-folder 3 ""
[ ! -e "$W/none/handout" ] || [ -z "$(find "$W/none/handout" -name '*.pdf')" ] &&
    echo "ok handout-none-left" || echo "FAILED handout-none-left"

# The patients of the fixtures, in `make check` of one; a key has the pages of its sheet.
bad=
sets=fixtures/scenarios/s5-stroke
[ -z "${WHOLE:-}" ] || sets="fixtures/day fixtures/scenarios/s1-knee fixtures/scenarios/s2-shoulder \
    $sets fixtures/scenarios/s3-elbow fixtures/scenarios/s4-ankle"
for set in $sets; do
    for id in $(cut -d, -f1 "$set/patients.csv" | grep -v 'patient_id\|;\|^$'); do
        "$ENDFEEL" handout -q --today 2030-01-01 --patient "$id" -o "$W/all" "$set" 2>"$W/said"
        [ $? -le 1 ] || bad="$bad $id: $(cat "$W/said")"
    done
done
for student in "$W"/all/handout/*-student.pdf; do
    pages=$(pdfinfo "$student" | awk '/^Pages/ {print $2}')
    [ "$pages" = "$(pdfinfo "${student%student.pdf}key.pdf" | awk '/^Pages/ {print $2}')" ] ||
        bad="$bad $student"
done
[ -z "$bad" ] && echo "ok handout-every-patient" || echo "FAILED handout-every-patient: $bad"
