#!/bin/sh
# The rows of a patient may be scattered over a file: as long as they keep their order among each
# other, the reports say the same. Where nothing was amiss, they are the same bytes; where a cell is
# quoted, the line on which it stands differs and nothing else. The words are compared sorted: a
# longer number moves what stands beside it.
cd "$TOP" || exit 3
w="$WORK/scattered"
mkdir -p "$w/a" "$w/b"
# Dealt out in rounds: the first row of each patient, the second of each, and so on.
scatter() { # FROM TO: the patient is the first column
    awk -F, 'NR == 1 { print; next } { print ++n[$1] "\t" NR "\t" $0 }' "$1" |
        { read -r head; echo "$head"; LC_ALL=C sort -t "$(printf '\t')" -k1,1n -k2,2nr | cut -f3-; } >"$2"
}
run() { # INPUT OUT
    "$ENDFEEL" report -q --every-visit --today 2030-01-01 -j2 --with-findings -o "$2" "$1" 2>"$w/err"
}

echo 'patient_id,name,sex,birth_date,visit_date,visit_kind,measured_by,role,joint,motion,side,test,value' >"$w/a/in.csv"
awk 'BEGIN { for (p = 1; p <= 12; p++) for (v = 1; v <= 3; v++) for (i = 0; i < 6; i++)
    printf "P%02d,Ann Example,female,1960-05-0%d,2025-0%d-1%d,%s,A. Maple,PT,%s,flexion,%s,%s,%s\n",
        p, p % 9 + 1, v, p % 9, v == 1 ? "evaluation" : "visit", i < 4 ? "knee" : "hip",
        i % 2 ? "left" : "right", i == 2 || i == 3 ? "PROM" : "AROM", 80 + (p * 7 + v * 5 + i * 3) % 30 }' >>"$w/a/in.csv"
scatter "$w/a/in.csv" "$w/b/in.csv"
cmp -s "$w/a/in.csv" "$w/b/in.csv" && echo "FAILED scattered: the rows are where they were"
(cd "$w/a" && run in.csv ../grouped) && (cd "$w/b" && run in.csv ../dealt) ||
    echo "FAILED scattered-runs: $(cat "$w/err")"
n=$(find "$w/grouped" -name '*.pdf' | wc -l)
[ "$n" -ge 36 ] && diff -r -x manifest.csv -x exceptions.csv -x 'day-index*' "$w/grouped" "$w/dealt" >"$w/diff" &&
    echo "ok scattered-same-bytes ($n files)" || echo "FAILED scattered-same-bytes: $n $(head -3 "$w/diff")"

# Messy rows: what is left when line numbers are taken out.
visits=16
[ -z "${WHOLE:-}" ] || visits=40
"$PYTHON" tests/external/generate.py $visits 7 >"$w/a/in.csv"
"$PYTHON" - "$w" <<'EOF2'
import sys
head, *rows = open(sys.argv[1] + "/a/in.csv").readlines()
rows.sort(key=lambda row: row.split(",")[0])
open(sys.argv[1] + "/a/in.csv", "w").writelines([head] + rows)
EOF2
scatter "$w/a/in.csv" "$w/b/in.csv"
(cd "$w/a" && run in.csv ../grouped2)
(cd "$w/b" && run in.csv ../dealt2)
for out in grouped2 dealt2; do
    find "$w/$out" -name '*.pdf' ! -name 'day-index*' -exec pdftotext {} \; -exec rm {} \;
    find "$w/$out" -path '*/.values/*.xml' -exec sed -i 's/ line="[0-9]*"//g' {} +
    find "$w/$out" -maxdepth 1 -type f ! -name findings.csv -exec rm {} +
done
"$PYTHON" - "$w"/*2/*/*.txt <<'EOF2'
import re, sys
for name in sys.argv[1:]:
    with open(name, encoding="utf-8") as file:
        words = re.sub(r"in\.csv:[0-9]*", "in.csv:N", file.read()).split()
    with open(name, "w", encoding="utf-8") as file:
        file.write("\n".join(sorted(words)))
EOF2
n=$(find "$w/grouped2" -type f | wc -l)
[ "$n" -ge $((2 * visits)) ] && diff -r "$w/grouped2" "$w/dealt2" >"$w/diff" &&
    echo "ok scattered-lines-alone-differ ($n files)" ||
    echo "FAILED scattered-lines-alone-differ: $n $(head -5 "$w/diff")"
rm -rf "$w"
