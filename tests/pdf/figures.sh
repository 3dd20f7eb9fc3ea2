#!/bin/sh
# A figure for every motion of the reference library, 25 mm wide, both sides: its labels stay in its
# box and apart from each other. For the eye: TOP=. WORK=/tmp/x sh tests/pdf/figures.sh leaves
# WORK/figures.pdf behind, one figure a sheet.
cd "$TOP" || exit 3
mkdir -p "$WORK/templates"
cp -R templates/. "$WORK/templates"
n=$("$PYTHON" tests/pdf/figures.py src/reference "$WORK/templates/figures.xml") || exit 3
"$ENDFEEL" report -q -k figures --templates "$WORK/templates" --patient S-1009 --on 2025-03-14 \
    --today 2030-01-01 -o "$WORK/figures" fixtures/day 2>"$WORK/err"
status=$?
pdf="$WORK/figures/2025-03-14/S-1009_2025-03-14_figures.pdf"
drawn=$(pdfinfo "$pdf" 2>/dev/null | sed -n 's/^Pages: *//p')
if [ $status = 0 ] && [ "$n" -gt 300 ] && [ "$drawn" = "$n" ]; then
    echo "ok figures-of-all-motions"
else
    echo "FAILED figures-of-all-motions: status $status, $drawn of $n: $(head -3 "$WORK/err")"
fi
cp "$pdf" "$WORK/figures.pdf"
"$PYTHON" tests/pdf/boxes.py --margin 7.5 "$WORK/figures.pdf"

# A motion without a drawing is refused in words, not left out.
sed 's/kind="arc" joint="cervical"/kind="arc" joint="jaw"/' "$WORK/templates/figures.xml" \
    >"$WORK/none.xml" && mv "$WORK/none.xml" "$WORK/templates/figures.xml"
"$ENDFEEL" report -q -k figures --templates "$WORK/templates" --patient S-1009 --on 2025-03-14 \
    --today 2030-01-01 -o "$WORK/none" fixtures/day 2>"$WORK/err"
status=$?
if [ $status = 1 ] && [ ! -e "$WORK/none/2025-03-14/S-1009_2025-03-14_figures.pdf" ] &&
    grep -q 'figures of S-1009, 2025-03-14.*figure cannot be drawn, line [0-9]' "$WORK/none/exceptions.csv" &&
    ! grep -q 'no visit matches' "$WORK/err"; then
    echo "ok no-drawing-is-said"
else
    echo "FAILED no-drawing-is-said: status $status $(cat "$WORK/none/exceptions.csv")"
fi
