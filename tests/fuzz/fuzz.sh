#!/bin/sh
# make fuzz: runs each fuzz target for some seconds. Called by make, which builds them.
#
# A target is tests/fuzz/fuzz_NAME.c with LLVMFuzzerTestOneInput(). Beside it may stand
# fuzz_NAME.seeds (patterns of files to start from, one a line, from the top of the project) and
# fuzz_NAME.dict (words to put in). An input that fails stays in tests/fuzz/kept/NAME/, is to be
# committed with the fix, and is run again by `make check` (replay.sh).
#
# FUZZ_TIME (60)   seconds for each target
# FUZZ ("")        names of targets, "csv map"; empty: all
set -u
build=${BUILD:?}
seconds=${FUZZ_TIME:-60}
export ASAN_OPTIONS="${ASAN_OPTIONS:-}:detect_leaks=1:allocator_may_return_null=1"
export UBSAN_OPTIONS=print_stacktrace=1
failed=0
names=${FUZZ:-}
[ -n "$names" ] || names=$(for f in tests/fuzz/fuzz_*.c; do basename "$f" .c; done | sed 's/^fuzz_//')
for name in $names; do
    target="$build/fuzz/fuzz_$name"
    [ -x "$target" ] || { echo "no fuzz target $name" >&2; exit 2; }
    corpus="$build/corpus/$name" seeds="$build/seeds/$name" kept="tests/fuzz/kept/$name"
    rm -rf "$seeds"
    mkdir -p "$corpus" "$seeds" "$kept"
    if [ -f "tests/fuzz/fuzz_$name.seeds" ]; then
        while read -r pattern; do
            # a pattern, split and expanded on purpose
            # shellcheck disable=SC2086
            for f in $pattern; do
                [ -f "$f" ] && cp "$f" "$seeds/$(echo "$f" | tr / _)"
            done
        done <"tests/fuzz/fuzz_$name.seeds"
    fi
    cp "$kept"/* "$seeds/" 2>/dev/null
    longest=16384
    [ "$name" != reference ] || longest=40000 # a file of a library is longer than the others
    dict=""
    [ ! -f "tests/fuzz/fuzz_$name.dict" ] || dict="-dict=tests/fuzz/fuzz_$name.dict"
    # $dict is one option or none
    # shellcheck disable=SC2086
    if "$target" $dict -max_total_time="$seconds" -timeout=20 -rss_limit_mb=2048 -max_len="$longest" \
        -artifact_prefix="$kept/" -print_final_stats=1 "$corpus" "$seeds" >"$build/$name.log" 2>&1; then
        runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$build/$name.log")
        echo "ok fuzz_$name: $runs runs in $seconds s"
    else
        failed=1
        echo "FAILED fuzz_$name"
        grep -v '^#' "$build/$name.log" | tail -n 60
    fi
    rmdir "$kept" 2>/dev/null
done
rmdir tests/fuzz/kept 2>/dev/null
exit $failed
