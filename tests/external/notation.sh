#!/bin/sh
# Neutral-zero notation of every motion: printed from two plain readings, typed back, read the same.
cd "$TOP" || exit 3
if "$PYTHON" tests/external/notation.py "$ENDFEEL" "$WORK" src/reference >"$WORK/said" 2>&1; then
    echo "ok notation-round-trip"
else
    echo "FAILED notation-round-trip: $(head -20 "$WORK/said")"
fi
