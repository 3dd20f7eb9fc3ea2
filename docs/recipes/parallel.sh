#!/bin/sh
# A batch in parts by GNU parallel: parallel.sh PARTS OUT FILE...
# ENDFEEL names the program, ENDFEEL_OPTIONS what goes with `report`.
# A part that ended for want of disk or memory (3) is run again twice. 1 is no failure: something was
# held back, and the lists say what. What `merge` finds missing is the last word.
set -u
parts=$1 out=$2
shift 2
ENDFEEL=${ENDFEEL:-endfeel}
ENDFEEL_OPTIONS=${ENDFEEL_OPTIONS:-}
export ENDFEEL ENDFEEL_OPTIONS
# Options are words, split on purpose.
# shellcheck disable=SC2016
seq 0 $((parts - 1)) | parallel --retries 3 \
    '"$ENDFEEL" report -q -j1 $ENDFEEL_OPTIONS --shard {}/'"$parts"' -o '"'$out'"' '"$(printf "'%s' " "$@")"'; test $? -le 1' ||
    exit 3
exec "$ENDFEEL" merge "$out"
