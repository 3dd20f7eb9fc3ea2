#!/bin/sh
# The fixtures damaged at random, many times. MUTATIONS (1500) and MUTATIONS_SEED (2).
cd "$TOP" || exit 3
"$PYTHON" tests/external/mutations.py "$ENDFEEL" "$WORK" "${MUTATIONS:-1500}" "${MUTATIONS_SEED:-2}"
