#!/bin/sh
# The table schemas by the Frictionless library (npm tableschema, put there by `make node-setup`).
cd "$TOP" || exit 3
if [ ! -d "$BUILD/node/node_modules/tableschema" ]; then
    echo "skipped tableschema: npm could not get it; see make node-setup"
    exit 0
fi
out="$WORK/tableschema"
mkdir -p "$out"
"$ENDFEEL" report -q -j1 --today 2030-01-01 --every-visit -k chart -o "$out" fixtures/scenarios/s4-ankle 2>/dev/null
"$ENDFEEL" findings -q -j1 --today 2030-01-01 --every-visit fixtures/day >"$out/findings.csv" 2>/dev/null
cp fixtures/day/*.csv "$out/"
set --
for list in findings exceptions manifest patients visits measurements goals; do
    set -- "$@" "docs/schema/$list.schema.json" "$out/$list.csv"
done
NODE_PATH="$BUILD/node/node_modules" node tests/long/tableschema.js docs/schema/*.schema.json -- "$@"
