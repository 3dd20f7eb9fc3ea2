#!/bin/sh
# Findings read back as input by fixtures/findings-map.xml hold the same numbers.
cd "$TOP" || exit 3
"$PYTHON" tests/external/roundtrip.py "$ENDFEEL" "$WORK"
