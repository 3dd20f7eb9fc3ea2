#!/bin/sh
# Killed at any moment, without a chance to clean up: no file is torn, and the next run comes to the
# same folder as one that was never disturbed. KILL_CYCLES moments, spread over the length of a run.
cd "$TOP" || exit 3
w="$WORK/kill"
cycles=${KILL_CYCLES:-5}
mkdir -p "$w"
"$PYTHON" tests/external/generate.py 16 7 >"$w/before.csv"
# A value of every other row of range differs: half the reports are amended.
awk -F, -v OFS=, 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == "value") v = i }
    NR > 1 && NR % 2 && $v ~ /^[0-9]+$/ && $v > 20 { $v -= 1 } { print }' "$w/before.csv" >"$w/after.csv"
opts="-q --every-visit --today 2030-01-01 -j2 -k chart"
now() { date +%s%N; }
# shellcheck disable=SC2086
{
    "$ENDFEEL" report $opts -o "$w/base" "$w/before.csv" 2>/dev/null
    cp -a "$w/base" "$w/whole"
    start=$(now)
    "$ENDFEEL" report $opts -o "$w/whole" "$w/after.csv" 2>/dev/null
    took=$((($(now) - start) / 1000000))
}
ls "$w"/whole/*/superseded/*.pdf >/dev/null 2>&1 && echo "ok kill-amends" || echo "FAILED kill-amends: nothing to amend"
bad=0 killed=0 i=1
while [ $i -le "$cycles" ]; do
    rm -rf "$w/o"
    cp -a "$w/base" "$w/o"
    # shellcheck disable=SC2086
    "$ENDFEEL" report $opts -o "$w/o" "$w/after.csv" 2>/dev/null &
    pid=$!
    ms=$((took * i / cycles))
    sleep "$((ms / 1000)).$(printf '%03d' $((ms % 1000)))"
    kill -9 $pid 2>/dev/null && killed=$((killed + 1))
    wait $pid 2>/dev/null
    torn=$( (cd "$w/o" && find . -name '*.pdf' ! -name 'day-index*') | while read -r f; do
        cmp -s "$w/o/$f" "$w/base/$f" || cmp -s "$w/o/$f" "$w/whole/$f" || echo "$f"
    done)
    # shellcheck disable=SC2086
    "$ENDFEEL" report $opts -o "$w/o" "$w/after.csv" 2>"$w/err"
    got=$?
    if [ -n "$torn" ] || [ $got -gt 1 ] || ! diff -r "$w/o" "$w/whole" >"$w/diff"; then
        bad=$((bad + 1))
        echo "FAILED kill-at-$ms-ms: status $got $torn $(head -3 "$w/diff" "$w/err" | tr '\n' ' ')"
    fi
    i=$((i + 1))
done
[ $bad = 0 ] && echo "ok kill-leaves-nothing-torn ($killed of $cycles runs cut short)"

# What was in place for good when a long run was killed is not made again.
"$PYTHON" tests/external/generate.py 150 7 >"$w/many.csv"
# shellcheck disable=SC2086
"$ENDFEEL" report $opts -o "$w/long" "$w/many.csv" 2>/dev/null &
pid=$!
for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25 26 27 28 29 30; do
    [ ! -s "$w/long/.journal" ] || break
    sleep 0.1
done
kill -9 $pid 2>/dev/null
wait $pid 2>/dev/null
if [ -s "$w/long/.journal" ]; then
    # The last row may be torn by itself.
    rows=$(head -n "$(wc -l <"$w/long/.journal")" "$w/long/.journal" | grep -c ',chart,')
    printf '2025-01-01/torn' >>"$w/long/.journal"
    # shellcheck disable=SC2086
    "$ENDFEEL" report ${opts#-q} --progress never -o "$w/long" "$w/many.csv" 2>"$w/err"
    grep -q " $rows unchanged" "$w/err" && echo "ok kill-goes-on ($rows reports were in place)" ||
        echo "FAILED kill-goes-on: $rows rows, but $(tail -2 "$w/err")"
    # shellcheck disable=SC2086
    "$ENDFEEL" report $opts -o "$w/straight" "$w/many.csv" 2>/dev/null
    diff -r "$w/long" "$w/straight" >"$w/diff" && echo "ok kill-goes-on-to-the-same" ||
        echo "FAILED kill-goes-on-to-the-same: $(head -3 "$w/diff")"
else
    echo "skipped kill-goes-on: the run was over first"
fi
# Workers of a run that was killed may still be ending.
rm -rf "$w" 2>/dev/null || { sleep 3 && rm -rf "$w"; }
