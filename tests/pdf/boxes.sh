#!/bin/sh
# Every kind for every visit of every fixture, as a reader of the PDF sees it: no two words overlap
# and none leaves the margins, on no sheet of any report. In `make check` of two of the fixtures, of
# each patient the latest visit.
cd "$TOP" || exit 3
kinds=chart,letter,progress,discharge,reviewer,patient
folders="fixtures/day fixtures/scenarios/s4-ankle/"
visits=--latest
[ -z "${WHOLE:-}" ] || visits=--every-visit
[ -z "${WHOLE:-}" ] || folders="fixtures/day $(echo fixtures/scenarios/*/)"
for folder in $folders; do
    [ ! -f "$folder/map.xml" ] || continue # the twin of another scenario
    name=$(basename "$folder")
    history=""
    [ "$name" != day ] || history="--history fixtures/history"
    # shellcheck disable=SC2086
    "$ENDFEEL" report -q $visits -k $kinds --clinic fixtures/clinic.xml --today 2030-01-01 \
        $history -o "$WORK/boxes/$name" "$folder" 2>"$WORK/err"
    find "$WORK/boxes/$name" -name '*.pdf' | sort >"$WORK/list"
    [ "$(wc -l <"$WORK/list")" -ge 6 ] || echo "FAILED reports-of-$name: $(head -3 "$WORK/err")"
    # The names hold no spaces.
    # shellcheck disable=SC2046
    "$PYTHON" tests/pdf/boxes.py $(cat "$WORK/list")
done
rm -rf "$WORK/boxes"
