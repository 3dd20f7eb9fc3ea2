#!/bin/sh
# The fixtures damaged at random, a few times; tests/long/mutations.sh does more of them.
cd "$TOP" || exit 3
"$PYTHON" tests/external/mutations.py "$ENDFEEL" "$WORK" 20 1
"$PYTHON" tests/external/mutations_self.py "$ENDFEEL"
