#!/bin/sh
# System calls and allocations that fail, one after the other: calls.py says what is held.
cd "$TOP" || exit 3
if ldd "$ENDFEEL" 2>/dev/null | grep -q libasan; then
    echo "skipped calls: a preloaded library and the address sanitizer exclude each other"
    exit 0
fi
w="$WORK/calls"
mkdir -p "$w"
if ! ${CC:-cc} -O1 -shared -fPIC -w -o "$w/shim.so" tests/fault/shim.c -ldl 2>"$w/cc"; then
    echo "FAILED calls: the shim does not compile: $(head -3 "$w/cc")"
    exit 0
fi
"$PYTHON" tests/fault/calls.py "$w" || echo "FAILED calls: the test itself broke off"
