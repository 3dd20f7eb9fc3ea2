#!/bin/sh
# 5000 generated visits: every number recomputed independently, every flag among them. 500: scattered rows give the same
# findings as grouped ones, every report is set, and qpdf is content with each.
cd "$TOP" || exit 3
"$PYTHON" tests/external/generate.py 500 20250314 >"$WORK/g.csv"
"$PYTHON" tests/external/generate.py --scatter 500 20250314 >"$WORK/s.csv"
"$ENDFEEL" findings -q --every-visit --today 2030-01-01 -o "$WORK/g.out" "$WORK/g.csv"
"$ENDFEEL" findings -q --every-visit --today 2030-01-01 -o "$WORK/s.out" "$WORK/s.csv"
cmp -s "$WORK/g.out" "$WORK/s.out" && echo "ok scattered-rows" || echo "FAILED scattered-rows"
"$PYTHON" tests/external/generate.py 5000 20250601 >"$WORK/many.csv"
"$ENDFEEL" findings -q --every-visit --today 2030-01-01 -o "$WORK/many.out" "$WORK/many.csv"
if "$PYTHON" tests/external/recompute.py "$WORK/many.out" --reference src/reference "$WORK/many.csv" \
    >"$WORK/said" 2>&1; then
    echo "ok recompute-generated"
else
    echo "FAILED recompute-generated: $(head -20 "$WORK/said")"
fi
# No flag is left out of that comparison; two of them belong to other schools (recompute.sh).
echo '<clinic><norms profile="AMA"/><two-plus-by-resistance accept="no"/></clinic>' >"$WORK/c.xml"
"$ENDFEEL" findings -q --every-visit --today 2030-01-01 --clinic "$WORK/c.xml" -o "$WORK/c.out" \
    "$WORK/g.csv"
if never=$("$PYTHON" tests/external/flags_raised.py "$WORK/many.out" "$WORK/c.out"); then
    echo "ok every-flag-is-raised"
else
    echo "FAILED every-flag-is-raised: never $(echo "$never" | tr '\n' ' ')"
fi
rm -f "$WORK/many.csv" "$WORK/many.out"
"$ENDFEEL" report -q --every-visit --today 2030-01-01 -o "$WORK/g" "$WORK/g.csv" 2>"$WORK/err"
n=$(find "$WORK/g" -name '*_chart.pdf' -o -name '*_progress.pdf' | wc -l)
[ "$n" = 500 ] && echo "ok all-set" || echo "FAILED all-set: $n of 500; $(tail -3 "$WORK/err")"
bad=0
for pdf in "$WORK"/g/*/*.pdf; do
    qpdf --check "$pdf" >/dev/null 2>&1 || bad=$((bad + 1))
done
[ $bad = 0 ] && echo "ok qpdf-generated" || echo "FAILED qpdf-generated: $bad files"
