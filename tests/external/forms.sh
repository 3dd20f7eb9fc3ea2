#!/bin/sh
# The hundred forms in which cells, rows and headers arrive, each by its number.
cd "$TOP" || exit 3
"$PYTHON" tests/external/forms.py "$ENDFEEL" "$WORK"
