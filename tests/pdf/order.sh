#!/bin/sh
# Extracted text comes in the order a reader takes: who, the finding, what is asked, the tables, the
# plan, the caution, the signature. One report of each kind; a line must stand after the one before.
cd "$TOP" || exit 3
"$ENDFEEL" report -q -k chart,letter,progress,discharge,reviewer,patient --clinic fixtures/clinic.xml \
    --on 2025-03-14 --today 2030-01-01 --patient S-1004 -o "$WORK/order" fixtures/day 2>"$WORK/err"
in_order() { # KIND LINE...
    kind=$1
    shift
    pdftotext "$WORK/order/2025-03-14/S-1004_2025-03-14_$kind.pdf" - >"$WORK/text" 2>&1
    at=0
    for words in "$@"; do
        next=$(awk -v from="$at" -v words="$words" \
            'NR > from && index($0, words) { print NR; exit }' "$WORK/text")
        [ -n "$next" ] || { echo "FAILED order-$kind: '$words' is not after line $at"; return; }
        at=$next
    done
    echo "ok order-$kind"
}
in_order chart 'Summary of measurements' 'Rurik Salter' 'Left shoulder abduction' 'What changed' \
    'Limited motions' 'Range of motion' 'Strength, beside' 'What it may make hard' 'Goals' \
    'Without a number' 'Sources of normal values' 'Abbreviations' 'Please keep in mind' 'signature'
in_order letter 'Quillhaven Harbour' '14 Mar 2025' 'Dr. Joss Keane' 'Re:' 'Left shoulder flexion' \
    'Motion (degrees)' 'Restrictions on file' 'Plan' 'signature' 'Measurements and arithmetic'
# A letter tells the motion with a goal first, with the goal; a doubt or a loss comes before that.
first() { # NAME WORDS PDF
    text=$(pdftotext "$3" - | tr '\n' ' ')
    case $text in
    *"$2"*) echo "ok letter-$1" ;;
    *) echo "FAILED letter-$1: not '$2'" ;;
    esac
}
first goal-first 'better by 38° since 14 Feb 2025, beyond measurement error; goal 140°: on course.' \
    "$WORK/order/2025-03-14/S-1004_2025-03-14_letter.pdf"
"$ENDFEEL" report -q -k letter --every-visit --today 2030-01-01 -o "$WORK/order" \
    fixtures/scenarios/s1-knee 2>"$WORK/err"
first doubt-first 'is read as 101° (normal 140°, other side 128°, measured 15 Oct 2024), to be checked' \
    "$WORK/order/2024-10-29/K-2001_2024-10-29_letter.pdf"
in_order progress 'Progress report' 'Left shoulder abduction' 'Goals' 'Decision:' 'What changed' \
    'Plan and restrictions' 'Please check' 'Sources of' 'Please keep in mind' 'signature'
in_order discharge 'Discharge summary' 'Left shoulder abduction' 'Goals: ' 'From first to last' \
    'Both sides now' 'Strength, beside' 'Plan and restrictions' 'Please keep in mind' 'signature'
in_order reviewer 'Measurements for review' 'Left shoulder abduction' 'Date of this visit' \
    'Findings, function and change' 'signature' 'Certifying physician' 'Sources of' 'Please keep'
in_order patient 'Your measurements' 'Here is how you moved' 'Now' 'Your goals' 'Good to know' 'signed'
rm -rf "$WORK/order"

# The caution and the signature never make a sheet of their own: the sources go with them.
"$ENDFEEL" report -q -k chart,progress,discharge --clinic fixtures/clinic.xml --on 2025-03-14 --today 2030-01-01 \
    --history fixtures/history -o "$WORK/order/last" fixtures/day 2>"$WORK/err"
alone='' sheets=0
for pdf in "$WORK"/order/last/*/*.pdf; do
    # How many sheets, each of which ends with a form feed, and whether the last one has them.
    # shellcheck disable=SC2046
    set -- $(pdftotext "$pdf" - | awk 'BEGIN { RS = "\f" } /[^\n]/ { n++; has = /(^|\n)Abbreviations/ }
        END { print n, has }')
    sheets=$((sheets + $1))
    [ "$2" = 1 ] || alone="$alone ${pdf##*/}"
done
[ -z "$alone" ] && [ $sheets -gt 60 ] && echo "ok order-last-sheet" ||
    echo "FAILED order-last-sheet: $sheets sheets, alone on the last:$alone"
