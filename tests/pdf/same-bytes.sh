#!/bin/sh
# The same input gives the same bytes: two runs, one worker and two, every file of the output.
cd "$TOP" || exit 3
run() { # OUT JOBS
    "$ENDFEEL" report -q --every-visit --with-findings --today 2030-01-01 -j "$2" -o "$WORK/$1" \
        fixtures/day fixtures/scenarios/s1-knee fixtures/scenarios/s2-shoulder 2>"$WORK/err"
    [ $? -le 1 ] || { echo "FAILED same-bytes: $(tail -3 "$WORK/err")"; exit 0; }
}
run a 1
run b 2
run c 1
for other in b c; do
    if diff -r "$WORK/a" "$WORK/$other" >"$WORK/diff"; then
        echo "ok same-bytes-$other"
    else
        echo "FAILED same-bytes-$other: $(head -5 "$WORK/diff")"
    fi
done
n=$(find "$WORK/a" -name '*_chart.pdf' | wc -l)
[ "$n" -ge 12 ] && echo "ok charts-written" || echo "FAILED charts-written: only $n"
# Nobody else may read what was written.
if [ -z "$(find "$WORK/a" -type f -perm /077)" ] && [ -z "$(find "$WORK/a" -type d -perm /077)" ]; then
    echo "ok owner-only"
else
    echo "FAILED owner-only: $(find "$WORK/a" -perm /077 | head -3)"
fi
[ -z "$(find "$WORK/a" -name '*.part')" ] && echo "ok no-parts-left" || echo "FAILED no-parts-left"
rm -rf "$WORK/a" "$WORK/b" "$WORK/c"
