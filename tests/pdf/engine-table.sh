#!/bin/sh
# What a page engine for reports has to be able to do, one small template each: engine.py has the
# templates and what must come out of them.
cd "$TOP" || exit 3
mkdir -p "$WORK/engine"
"$PYTHON" tests/pdf/engine.py table "$ENDFEEL" "$WORK/engine"
