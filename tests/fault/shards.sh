#!/bin/sh
# Parts of a batch merge to what one run would have written, byte for byte; parts that do not belong
# together are refused.
cd "$TOP" || exit 3
w="$WORK/shards"
mkdir -p "$w"
"$PYTHON" tests/external/generate.py 16 7 >"$w/many.csv"
# Rows that are nobody's, ragged, of an unlikely id, and ids like one another.
{
    echo ',2025-01-02,,,,,,,,,,,,,'
    echo 'X9'
    echo '../..%2f weird id,2025-01-02,,,,,,,,,,,,,'
} >>"$w/many.csv"
opts="--every-visit --with-findings --today 2030-01-01 -k chart,letter"
# shellcheck disable=SC2086
"$ENDFEEL" report $opts -j2 -o "$w/one" "$w/many.csv" fixtures/day 2>"$w/one.err"
one=$?
part() { # FOLDER K N [FILES]
    folder=$1 k=$2 n=$3
    shift 3
    # shellcheck disable=SC2086
    "$ENDFEEL" report $opts -j1 --shard "$k/$n" -o "$folder" "${@:-$w/many.csv}" fixtures/day 2>"$w/err.$k"
}
merge() { "$ENDFEEL" merge "$@" >"$w/out" 2>"$w/err"; }
part "$w/three" 0 3 & a=$!
part "$w/three" 1 3 & b=$!
part "$w/three" 2 3
wait $a $b
for f in manifest exceptions findings; do
    [ -f "$w/three/$f.1-of-3.csv" ] && echo "ok part-$f" || echo "FAILED part-$f: $(ls "$w/three")"
done
[ ! -e "$w/three/day-index.pdf" ] && echo "ok no-index-of-a-part" || echo "FAILED no-index-of-a-part"
cp -a "$w/three" "$w/parts"
merge "$w/three"
got=$?
[ $got = $one ] && echo "ok merge-status" || echo "FAILED merge-status: $got instead of $one: $(cat "$w/err")"
diff -r "$w/one" "$w/three" >"$w/diff" && echo "ok merged-is-the-same" || echo "FAILED merged-is-the-same: $(head -5 "$w/diff")"
sed "s|$w/three|OUT|g" "$w/err" | grep -v '^endfeel:' >"$w/a"
sed "s|$w/one|OUT|g" "$w/one.err" | grep -v '^endfeel:' >"$w/b"
cmp -s "$w/a" "$w/b" && echo "ok merge-says-the-same" || echo "FAILED merge-says-the-same: $(diff "$w/a" "$w/b" | head -5)"
refused() { # NAME WORDS STATUS FOLDER
    merge "$4"
    got=$?
    [ $got = "$3" ] && grep -q "$2" "$w/err" && [ ! -e "$4/day-index.pdf" ] && echo "ok $1" ||
        echo "FAILED $1: $got $(cat "$w/err")"
}
mkdir "$w/empty"
refused merge-of-nothing 'no part of a run' 2 "$w/empty"
refused merge-of-no-folder 'no part of a run' 2 "$w/nowhere"
cp -a "$w/parts" "$w/lacks" && rm "$w/lacks/shard.1-of-3"
refused part-missing '1 of 3' 2 "$w/lacks"
cp -a "$w/parts" "$w/torn" && dd if="$w/parts/shard.2-of-3" of="$w/torn/shard.2-of-3" bs=1000 count=3 2>/dev/null
refused part-torn 'damaged' 2 "$w/torn"
cp -a "$w/parts" "$w/flip" && printf 'X' | dd of="$w/flip/shard.0-of-3" bs=1 seek=2000 conv=notrunc 2>/dev/null
refused part-changed 'damaged' 2 "$w/flip"
cp -a "$w/parts" "$w/mixed" && part "$w/mixed" 0 2
refused parts-of-two-runs 'different options' 2 "$w/mixed"
cp -a "$w/parts" "$w/other" && head -40 "$w/many.csv" >"$w/few.csv" && part "$w/other" 1 3 "$w/few.csv"
refused parts-of-other-input 'different options or input' 2 "$w/other"
cp -a "$w/parts" "$w/again"
opts="$opts --clinic fixtures/clinic.xml"
part "$w/again" 1 3
refused parts-of-other-options 'different options' 2 "$w/again"
opts="--every-visit --with-findings --today 2030-01-01 -k chart,letter"

# Again over the merged folder, in other parts: nothing is set again.
part "$w/three" 0 2
part "$w/three" 1 2
merge "$w/three"
grep -q ' 0 new, [0-9]* unchanged, 0 amended' "$w/err" && echo "ok merged-is-unchanged" || echo "FAILED merged-is-unchanged: $(cat "$w/err")"
diff -r "$w/one" "$w/three" >"$w/diff" && echo "ok merged-again-is-the-same" || echo "FAILED merged-again-is-the-same: $(head -5 "$w/diff")"

# A file that could not be opened is another input.
cp -a "$w/parts" "$w/unopened"
part "$w/unopened" 1 3 "$w/none.csv"
refused part-of-less-input 'different' 2 "$w/unopened"

# Locks: a single run excludes shards, shards exclude themselves only.
mkfifo "$w/fifo" || exit 3
"$ENDFEEL" report -q --today 2030-01-01 --shard 0/2 -o "$w/locked" - <"$w/fifo" 2>/dev/null &
holder=$!
exec 9>"$w/fifo"
head -1 "$w/few.csv" >&9
for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do
    [ -z "$(find "$w/locked" -name '.lock.0-of-2' 2>/dev/null)" ] || break
    sleep 0.5
done
sleep 0.3
lock() { # NAME STATUS ARGUMENTS
    name=$1 want=$2
    shift 2
    "$ENDFEEL" "$@" >/dev/null 2>"$w/err" 9>&-
    got=$?
    [ $got = "$want" ] && echo "ok $name" || echo "FAILED $name: $got $(cat "$w/err")"
}
lock same-shard-is-refused 3 report --shard 0/2 -o "$w/locked" "$w/few.csv"
lock single-run-is-refused 3 report -o "$w/locked" "$w/few.csv"
grep -q 'rows in' "$w/err" && echo "FAILED refused-counts-nothing: $(cat "$w/err")" || echo "ok refused-counts-nothing"
lock merge-is-refused 3 merge "$w/locked"
"$ENDFEEL" report -q --today 2030-01-01 --shard 1/2 -o "$w/locked" "$w/few.csv" 2>/dev/null 9>&-
[ $? -le 1 ] && echo "ok other-shard-runs" || echo "FAILED other-shard-runs"
exec 9>&-
wait $holder
