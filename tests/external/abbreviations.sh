#!/bin/sh
# Abbreviations of the trade in exports: read, asked or kept as typed.
cd "$TOP" || exit 3
"$PYTHON" tests/external/abbreviations.py "$ENDFEEL" "$WORK"
