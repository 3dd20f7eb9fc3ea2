#!/bin/sh
# Each entry of the reference is printed whole, and each code is explained.
cd "$TOP" || exit 3
if "$PYTHON" -B tests/long/entries.py "$ENDFEEL" >"$WORK/said" 2>&1; then
    echo "ok entries-and-codes"
else
    echo "FAILED entries-and-codes: $(head -20 "$WORK/said")"
fi
