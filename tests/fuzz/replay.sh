#!/bin/sh
# Every input that once made a fuzz target fail, and the seeds, go through it.
cd "$TOP" || exit 3
for source in tests/fuzz/fuzz_*.c; do
    name=$(basename "$source" .c | sed 's/^fuzz_//')
    # patterns, expanded on purpose
    # shellcheck disable=SC2046
    set -- $(cat "tests/fuzz/fuzz_$name.seeds" 2>/dev/null) tests/fuzz/kept/"$name"/*
    for f; do
        shift
        [ ! -f "$f" ] || set -- "$@" "$f"
    done
    if [ $# = 0 ]; then
        echo "FAILED fuzz-$name: no seed and no kept input"
    elif "$BUILD/replay/fuzz_$name" "$@" >"$WORK/replay" 2>"$WORK/err"; then
        echo "ok fuzz-$name-replays-$#-inputs"
    else
        echo "FAILED fuzz-$name: $(tail -n 1 "$WORK/replay"): $(tail -n 1 "$WORK/err")"
    fi
done
