#!/bin/sh
# What must never be lost or empty without a word: printed whole, or refused with the line of the
# template and the place in the data. engine.py has the templates.
cd "$TOP" || exit 3
mkdir -p "$WORK/engine"
"$PYTHON" tests/pdf/engine.py failures "$ENDFEEL" "$WORK/engine"
