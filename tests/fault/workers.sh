#!/bin/sh
# A worker that is killed takes one patient with it, and nothing else; an interrupted run leaves no
# half-written file, and the next run completes.
cd "$TOP" || exit 3
"$PYTHON" tests/external/generate.py 60 7 >"$WORK/many.csv"
children() { cat "/proc/$1/task/$1/children" 2>/dev/null; }
args="report -q --every-visit --today 2030-01-01 -j2"

# shellcheck disable=SC2086
"$ENDFEEL" $args -o "$WORK/k" "$WORK/many.csv" 2>"$WORK/err" &
pid=$!
for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do
    sleep 0.05
    ls "$WORK"/k/*/*.part >/dev/null 2>&1 && break
done
for child in $(children $pid); do
    kill -9 "$child" 2>/dev/null && break
done
wait $pid 2>/dev/null
status=$?
if [ $status = 3 ] && grep -q 'worker ended unexpectedly' "$WORK/err"; then
    echo "ok worker-killed-is-said"
elif [ $status = 0 ]; then
    echo "skipped worker-killed: the run was over first"
else
    echo "FAILED worker-killed-is-said: status $status, $(head -3 "$WORK/err")"
fi
cp -a "$WORK/k" "$WORK/killed"

# shellcheck disable=SC2086
"$ENDFEEL" $args -o "$WORK/i" "$WORK/many.csv" 2>"$WORK/err" &
pid=$!
sleep 0.15
kill -TERM $pid
wait $pid 2>/dev/null
status=$?
[ $status = 143 ] || [ $status = 0 ] && echo "ok interrupt-status" || echo "FAILED interrupt-status: $status"
[ -z "$(find "$WORK/i" -name '*.part' 2>/dev/null)" ] && echo "ok interrupt-leaves-no-parts" ||
    echo "FAILED interrupt-leaves-no-parts"

# shellcheck disable=SC2086
"$ENDFEEL" $args -o "$WORK/k" "$WORK/many.csv" 2>"$WORK/err"
# shellcheck disable=SC2086
"$ENDFEEL" $args -o "$WORK/i" "$WORK/many.csv" 2>"$WORK/err"
diff -r "$WORK/k" "$WORK/i" >"$WORK/diff" && echo "ok next-run-completes" ||
    echo "FAILED next-run-completes: $(head -3 "$WORK/diff")"
set -- "$WORK"/killed/*/*.pdf
torn=$(for pdf; do cmp "$pdf" "$WORK/i/${pdf#"$WORK/killed/"}" 2>&1; done)
[ -f "$1" ] && [ -z "$torn" ] && echo "ok nothing-torn ($# files)" || echo "FAILED nothing-torn: $torn"
