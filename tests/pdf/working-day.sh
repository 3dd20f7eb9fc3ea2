#!/bin/sh
# What the users of the program expect of a working day, sentence by sentence.
cd "$TOP" || exit 3
"$PYTHON" -B tests/pdf/working_day.py "$WORK"
