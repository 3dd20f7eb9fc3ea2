#!/bin/sh
# The table schemas of docs/schema against the columns the program knows and the files it writes.
cd "$TOP" || exit 3
"$PYTHON" tests/external/check_schema.py "$ENDFEEL" "$WORK"
