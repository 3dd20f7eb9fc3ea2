#!/bin/sh
# The whole pipeline under valgrind, workers included: no error, nothing lost.
cd "$TOP" || exit 3
command -v valgrind >/dev/null || { echo "skipped valgrind: not installed"; exit 0; }
for input in fixtures/day fixtures/scenarios/s1-knee fixtures/scenarios/s2-shoulder; do
    name=$(basename "$input")
    valgrind -q --trace-children=yes --leak-check=full --show-leak-kinds=definite,indirect \
        --errors-for-leak-kinds=definite,indirect --error-exitcode=99 \
        "$ENDFEEL" report -q -j1 --today 2030-01-01 -o "$WORK/v-$name" "$input" >"$WORK/vg" 2>&1
    status=$?
    if [ $status -le 1 ] && ! grep -q '^==' "$WORK/vg"; then
        echo "ok valgrind-$name"
    else
        echo "FAILED valgrind-$name: status $status $(grep '^==' "$WORK/vg" | head -20)"
    fi
done
