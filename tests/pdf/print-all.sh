#!/bin/sh
# The print file: every report of the index in its order, page for page, with a bookmark each.
cd "$TOP" || exit 3
day="$WORK/print"
run() { # OUT ARGUMENTS
    to=$1
    shift
    "$ENDFEEL" report -q --every-visit --today 2030-01-01 -o "$to" "$@" fixtures/day 2>"$WORK/err"
    [ $? -le 1 ] || echo "FAILED print-runs: $(tail -3 "$WORK/err")"
}
run "$day" -j2 --print-all
pdf="$day/print-all.pdf"
qpdf --check "$pdf" >"$WORK/qpdf" 2>&1 && echo "ok print-qpdf" || echo "FAILED print-qpdf: $(tail -2 "$WORK/qpdf")"
pages=$(pdfinfo "$pdf" | awk '/^Pages:/ { print $2 }')
sum=$(tail -n +2 "$day/manifest.csv" | awk -F, '{ n += $5 } END { print n }')
[ "$pages" = "$sum" ] && echo "ok print-pages" || echo "FAILED print-pages: $pages pages, the manifest has $sum"

# The same pages as the reports themselves, in the order of patient, date, kind.
tail -n +2 "$day/manifest.csv" | awk -F, '{ print $3 "," $4 "," $2 "," $1 }' | LC_ALL=C sort >"$WORK/order"
while IFS=, read -r _ _ _ file; do
    pdftotext -layout "$day/$file" - 2>/dev/null
done <"$WORK/order" >"$WORK/each.txt"
pdftotext -layout "$pdf" "$WORK/all.txt" 2>/dev/null
cmp -s "$WORK/each.txt" "$WORK/all.txt" && echo "ok print-text" ||
    echo "FAILED print-text: $(diff "$WORK/each.txt" "$WORK/all.txt" | head -5)"
qpdf --json --json-key=outlines "$pdf" | grep '"title"' >"$WORK/marks"
[ "$(wc -l <"$WORK/marks")" = "$(wc -l <"$WORK/order")" ] && echo "ok print-bookmarks" ||
    echo "FAILED print-bookmarks: $(wc -l <"$WORK/marks")"
first=$(head -1 "$WORK/order" | cut -d, -f1)
head -1 "$WORK/marks" | grep -q "$first" && echo "ok print-bookmark-names" ||
    echo "FAILED print-bookmark-names: $(head -1 "$WORK/marks")"
bad=$(pdffonts "$pdf" 2>&1 | awk 'NR > 2 && ($(NF - 4) != "yes" || $(NF - 2) != "yes")')
[ -z "$bad" ] && echo "ok print-fonts" || echo "FAILED print-fonts: $bad"

# Set from what stands unchanged, by one worker: the same bytes.
cp "$pdf" "$WORK/first.pdf"
rm "$pdf"
run "$day" -j1 --print-all
cmp -s "$pdf" "$WORK/first.pdf" && echo "ok print-same-bytes" || echo "FAILED print-same-bytes"
[ "$(find "$day" -name '*.pdf' -newer "$WORK/first.pdf" ! -name 'print-all*' ! -name 'day-index*' | wc -l)" = 0 ] &&
    echo "ok print-leaves-reports-alone" || echo "FAILED print-leaves-reports-alone"

# A run that makes none takes the old one away: it would not match the new index.
touch "$day/print-all-2.pdf"
run "$day" -j2
[ ! -e "$pdf" ] && [ ! -e "$day/print-all-2.pdf" ] && echo "ok print-none-is-stale" || echo "FAILED print-none-is-stale"
