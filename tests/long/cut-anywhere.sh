#!/bin/sh
# A file cut at any byte never crashes the program, and its rows always add up.
cd "$TOP" || exit 3
for whole in fixtures/scenarios/s1-knee/*.csv fixtures/scenarios/s2-shoulder/*.csv; do
    size=$(wc -c <"$whole")
    step=$((size / 150 + 1))
    at=1 bad=""
    while [ $at -lt "$size" ]; do
        head -c $at "$whole" >"$WORK/cut.csv"
        "$ENDFEEL" check -j1 --today 2030-01-01 "$WORK/cut.csv" >"$WORK/out" 2>"$WORK/err"
        status=$?
        [ $status -le 1 ] || bad="$bad status-$status-at-$at"
        sed -n 's/.*: \([0-9]*\) rows in = \([0-9]*\) used + \([0-9]*\) duplicates + \([0-9]*\) held back$/\1 \2 \3 \4/p' \
            "$WORK/err" | while read -r rows used dup held; do
            [ "$rows" = $((used + dup + held)) ] || echo "sum-at-$at"
        done >"$WORK/sum"
        [ ! -s "$WORK/sum" ] || bad="$bad $(cat "$WORK/sum")"
        at=$((at + step))
    done
    [ -z "$bad" ] && echo "ok cut-$(basename "$whole")" || echo "FAILED cut-$(basename "$whole"):$bad"
done
