#!/bin/sh
# What a reading program gets of each kind: a tagged document with language, title, headings in
# order, tables with heads and figures with words; and the text of four kinds, line by line, as in
# tests/pdf/text/. After a change that is meant, read what `make bless-text` shows. In `make check`
# the structure is that of two patients of the day.
cd "$TOP" || exit 3
d=$(mktemp -d "$WORK/structure.XXXX")
common="--clinic fixtures/clinic.xml --today 2030-01-01"
kinds=chart,letter,progress,discharge,reviewer,patient
# shellcheck disable=SC2086
{
    "$ENDFEEL" report -q -k $kinds $common --on 2025-03-14 --history fixtures/history -o "$d/day" fixtures/day
    "$ENDFEEL" report -q -k $kinds $common --every-visit -o "$d/stroke" fixtures/scenarios/s5-stroke
    "$ENDFEEL" handout -q --patient S-1004 --today 2030-01-01 -o "$d" fixtures/day
    "$ENDFEEL" plan -q -o "$d/plan" --caution osteoporosis upper-quarter
    "$ENDFEEL" plan -q -o "$d/checklist" --checklist knee 'Shoulder ER'
    "$ENDFEEL" agree -q --scale angle -o "$d/agree" fixtures/class/eight-raters.csv
} 2>"$d/err"
find "$d" -name '*.pdf' | sort >"$d/list"
n=$(wc -l <"$d/list")
[ "$n" -ge 90 ] && echo "ok structure-of-every-kind" || echo "FAILED structure-of-every-kind: $n documents: $(cat "$d/err")"
[ -n "${WHOLE:-}" ] || sed -i '/\/day\//{/S-100[49]_/!d}' "$d/list"
xargs "$PYTHON" tests/pdf/structure.py <"$d/list"

# The lines of a page are told apart by pdftotext; what changes is shown, and taken when asked for.
text() { # KIND PATIENT
    name=$1-$2
    pdftotext "$d/day/2025-03-14/${2}_2025-03-14_$1.pdf" - | tr -d '\014' >"$d/$name.txt"
    golden=tests/pdf/text/$name.txt
    if cmp -s "$golden" "$d/$name.txt"; then
        echo "ok text-$name"
    else
        [ -f "$golden" ] || : >"$d/none"
        diff -u "$([ -f "$golden" ] && echo "$golden" || echo "$d/none")" "$d/$name.txt" >"$d/diff"
        if [ -n "${BLESS:-}" ]; then
            cat "$d/diff"
            cp "$d/$name.txt" "$golden" && echo "wrote $golden"
        else
            echo "FAILED text-$name (make bless-text shows and writes): $(grep -m3 '^[-+][^-+]' "$d/diff" | tr '\n' ' ')"
        fi
    fi
}
text letter S-1004
text letter S-1007
text chart S-1009
text progress S-1009
text patient S-1005
rm -rf "$d"
