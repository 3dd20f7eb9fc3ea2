#!/bin/sh
# The wall clock jumps back and forth by decades during a run, and files bear times of long ago and
# of days to come: the same bytes, nothing set again, the lock and the line of progress stand.
cd "$TOP" || exit 3
if ldd "$ENDFEEL" 2>/dev/null | grep -q libasan; then
    echo "skipped clock: a preloaded library and the address sanitizer exclude each other"
    exit 0
fi
w="$WORK/clock"
mkdir -p "$w"
if ! ${CC:-cc} -O1 -shared -fPIC -w -o "$w/clock.so" tests/fault/clock.c -ldl 2>"$w/cc"; then
    echo "FAILED clock: the shim does not compile: $(head -3 "$w/cc")"
    exit 0
fi
"$PYTHON" tests/external/generate.py 120 7 >"$w/in.csv"
args="report --every-visit -k chart --print-all"
jumping() { # FIRST-LOOK ARGUMENTS
    first=$1
    shift
    env CLOCK_FIRST="$first" LD_PRELOAD="$w/clock.so" "$ENDFEEL" "$@"
}
noon_of_2030=1893499200 noon_of_2000=946728000
# shellcheck disable=SC2086
"$ENDFEEL" $args -q --today 2030-01-01 -j2 -o "$w/whole" "$w/in.csv" 2>"$w/err"
want=$?

# The day is looked up once, when the run starts, whatever the clock says later.
# shellcheck disable=SC2086
jumping $noon_of_2030 $args --progress always -j1 -o "$w/o" "$w/in.csv" 2>"$w/err"
got=$?
[ $got = $want ] && diff -r "$w/o" "$w/whole" >"$w/diff" && echo "ok clock-same-bytes" ||
    echo "FAILED clock-same-bytes: $got, not $want $(head -3 "$w/diff") $(tail -2 "$w/err")"
tr '\r' '\n' <"$w/err" | grep ' a second, about ' >"$w/lines"
if [ ! -s "$w/lines" ]; then
    echo "skipped clock-progress: the run was over first"
else
    awk '{ if ($7 <= 0 || $7 > 100000 || $11 < 0 || $11 > 600) exit 1 }' "$w/lines" &&
        echo "ok clock-progress ($(wc -l <"$w/lines") lines)" ||
        echo "FAILED clock-progress: $(cat "$w/lines")"
fi

# That the clock was in force at all: on that day every visit lies in the future.
# shellcheck disable=SC2086
jumping $noon_of_2000 $args -q -o "$w/early" "$w/in.csv" 2>"$w/err"
grep -qi 'future' "$w/early/exceptions.csv" && echo "ok clock-in-force" ||
    echo "FAILED clock-in-force: $(head -3 "$w/err" "$w/early/exceptions.csv")"

# Two runs at once under such clocks, over files from 1971 and 2100: they wait for each other. A run
# without a terminal waits a second, which is short on a busy machine: it is started again then.
waiting() { # ERR
    tries=0
    while :; do
        # shellcheck disable=SC2086
        jumping $noon_of_2030 $args -j1 -o "$w/two" "$w/few.csv" 2>"$1"
        status=$?
        tries=$((tries + 1))
        if [ $status != 3 ] || [ $tries = 60 ] || ! grep -q 'another run is writing' "$1"; then
            return $status
        fi
    done
}
head -300 "$w/in.csv" >"$w/few.csv"
# shellcheck disable=SC2086
"$ENDFEEL" $args -q --today 2030-01-01 -j2 -o "$w/few" "$w/few.csv" 2>"$w/err"
want=$?
cp -a "$w/few" "$w/two"
find "$w/two" -type f -name '*_*' -exec touch -d '2100-01-01' {} +
touch -d '1971-01-01' "$w/few.csv" "$w/two/manifest.csv"
{
    waiting "$w/err1" &
    pid=$!
    waiting "$w/err2"
    got=$?
    wait $pid
    got="$got $?"
}
[ "$got" = "$want $want" ] && diff -r "$w/two" "$w/few" >"$w/diff" && echo "ok clock-two-runs" ||
    echo "FAILED clock-two-runs: $got $(head -3 "$w/diff") $(cat "$w/err1" "$w/err2")"
for err in "$w/err1" "$w/err2"; do
    grep -q ' 0 new, [1-9][0-9]* unchanged, 0 amended' "$err" && echo "ok clock-nothing-again" ||
        echo "FAILED clock-nothing-again: $(tail -3 "$err")"
done
rm -rf "$w"
