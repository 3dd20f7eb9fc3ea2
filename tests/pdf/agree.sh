#!/bin/sh
# The sheet of a class, as readers see it: what an instructor must find stands there in words, every
# number of the readings is on it, it is tagged and titled, and the same bytes come twice.
cd "$TOP" || exit 3
d=$(mktemp -d "$WORK/agree.XXXX")
set_sheet() { # NAME SCALE STATUS MORE...
    name=$1 scale=$2 want=$3
    shift 3
    "$ENDFEEL" agree -q --scale "$scale" -o "$d/$name" "$@" "fixtures/class/$name.csv" 2>"$d/err"
    got=$?
    if [ "$got" != "$want" ] || [ ! -s "$d/$name/agree.pdf" ]; then
        echo "FAILED agree-sheet-$name: status $got: $(cat "$d/err")"
    else
        echo "ok agree-sheet-$name"
    fi
    pdftotext -layout "$d/$name/agree.pdf" - | tr -s ' \n' ' ' >"$d/$name.txt"
}
says() { # NAME WORDS...
    name=$1
    shift
    for words in "$@"; do
        grep -qF -e "$words" "$d/$name.txt" && echo "ok agree-says-$name" ||
            echo "FAILED agree-says-$name: not '$words'"
    done
}
set_sheet eight-raters angle 0 --clinic fixtures/clinic.xml
# The figures are recomputed from the same file by another program.
says eight-raters 'Agreement of raters: knee flexion AROM' '8 raters and the instructor, 6 subjects' \
    'Two raters may read 9 degrees apart by error alone' 'Steadily above or below the instructor: Dorn (+6.0)' \
    'ICC(2,1), one reading' 'Error of one reading (SEM)' 'Smallest real difference (MDC95)' \
    'Within 5 degrees of each other' 'Within 5 degrees of the instructor' 'D Dorn 6 +6.0 +3.9 to +8.1 reads higher' \
    'Who is off, and where' 'D Dorn 1 Subject 1 127 118 +9.0 4 of 6' '54 54 0 0'
"$PYTHON" tests/pdf/agree.py fixtures/class/eight-raters.csv "$d/eight-raters.txt"
pages=$(pdfinfo "$d/eight-raters/agree.pdf" | awk '/^Pages:/ {print $2}')
[ "$pages" -le 3 ] && echo "ok agree-pages" || echo "FAILED agree-pages: $pages"
pdfinfo "$d/eight-raters/agree.pdf" >"$d/info"
grep -q '^Title: *Agreement of raters' "$d/info" && grep -q '^Tagged: *yes' "$d/info" && ! grep -q 'CreationDate' "$d/info" &&
    echo "ok agree-tagged" || echo "FAILED agree-tagged: $(cat "$d/info")"
qpdf --check "$d/eight-raters/agree.pdf" >/dev/null 2>&1 && echo "ok agree-whole" || echo "FAILED agree-whole"
"$ENDFEEL" agree -q --scale angle -o "$d/again" --clinic fixtures/clinic.xml fixtures/class/eight-raters.csv
cmp -s "$d/again/agree.pdf" "$d/eight-raters/agree.pdf" && echo "ok agree-same-bytes" || echo "FAILED agree-same-bytes"
heading=$(sed -n 's|.*<heading>\(.*\)</heading>.*|\1|p' fixtures/clinic.xml)
[ -n "$heading" ] && says eight-raters "$heading"
set_sheet eight-raters angle 0
grep -qF "$heading" "$d/eight-raters.txt" && echo "FAILED agree-no-clinic" || echo "ok agree-no-clinic"
# Every dot of the plot has its letter, and every figure says in words what it shows.
"$ENDFEEL" agree -q --scale angle --format xml fixtures/class/with-gaps.csv >"$d/gaps.xml" 2>/dev/null

# Gaps are shown, counted and explained; what was held back stands there with its place.
set_sheet with-gaps angle 1
says with-gaps '2 of the subjects with a gap' '2 with a gap: left out of the ICC and the SEM, kept in the figures of pairs' \
    'no reading; nothing is filled in' 'Held back: not used in any figure' '~30' 'csv:57, value' \
    'type what was measured, or leave' 'the same reading twice; counted once' '60 58 1 1' 'E Eide 5' \
    'Where a rater tried more than once, the mean of the tries stands'
[ "$(grep -o 'cell [^>]*off="yes"' "$d/gaps.xml" | wc -l)" = 4 ] && says with-gaps '4 of 45 readings lie more than 5 degrees' ||
    echo "FAILED agree-off"

# One subject: no ICC, and why.
set_sheet one-subject angle 0
says one-subject 'One subject, read from' 'No ICC, SEM or MDC: one subject only' 'Spread of the raters (SD)' \
    'From lowest to highest' 'Spread as a percent of the mean (CV)' 'too few to tell'
grep -q 'ICC(2,1)' "$d/one-subject.txt" && echo "FAILED agree-one-subject-icc" || echo "ok agree-one-subject-icc"

# Grades: no ICC; agreement and kappa in words.
set_sheet grades grade 0
says grades 'two raters give the same grade' 'Grades have no ICC' 'Kappa, linear weights' 'Kappa, quadratic weights' \
    'No more than one whole grade apart' '1 of 48 readings lies 1 grade or more from the instructor' 'D Dorn 7 Subject 7 2 3 1 of 8'

# Without an instructor: held against the mean, pairs in place of raters.
grep -v 'M. Lund' fixtures/class/eight-raters.csv >"$d/pairs.csv"
"$ENDFEEL" agree -q --scale angle -o "$d/pairs" "$d/pairs.csv"
pdftotext -layout "$d/pairs/agree.pdf" - | tr -s ' \n' ' ' >"$d/pairs.txt"
says pairs 'from the mean of the raters' 'Each pair of raters' 'Dashed upright line' 'Drawn are the pairs with the widest limits'

# Forty raters and thirty subjects, long names, a name no font has: set whole, or refused with a word.
awk 'BEGIN { print "subject,rater,value"
    for (s = 1; s <= 30; s++) for (r = 1; r <= 40; r++)
        printf "Subject with a rather long name %d,Rater with a longer name than usual %d,%d\n", s, r, 60 + s + (s * r * 7) % 11 }' >"$d/many.csv"
"$ENDFEEL" agree -q --scale angle -o "$d/many" "$d/many.csv" 2>"$d/err" && pdftotext "$d/many/agree.pdf" - | tr '\n' ' ' >"$d/many.txt"
says many 'Shown are 40 of 780' 'Drawn are the 24 subjects'
printf 'subject,rater,value\nS,\360\223\200\200,10\nT,B,11\n' >"$d/glyph.csv"
"$ENDFEEL" agree --scale angle -o "$d/glyph" "$d/glyph.csv" 2>"$d/err"
[ $? = 1 ] && [ ! -e "$d/glyph/agree.pdf" ] && grep -q 'could not be set and was not written' "$d/err" &&
    echo "ok agree-no-glyph" || echo "FAILED agree-no-glyph: $(cat "$d/err")"
