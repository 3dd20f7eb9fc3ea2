#!/bin/sh
# Every kind renders for every visit of the fixtures; a letter is one page, or refused whole; the
# patient's copy is easy to read; nothing says more than was measured.
cd "$TOP" || exit 3
kinds=chart,letter,progress,discharge,reviewer,patient
options="--today 2030-01-01 --every-visit"

# Renders one set of fixtures in all kinds. Options are split on purpose.
# shellcheck disable=SC2086
render() { # NAME INPUT...
    name=$1
    shift
    "$ENDFEEL" report -q $options -k $kinds --clinic fixtures/clinic.xml -o "$WORK/kinds" "$@" 2>"$WORK/err"
    status=$?
    if [ $status -gt 1 ] || grep -q 'refused' "$WORK/err"; then
        echo "FAILED renders-$name: status $status: $(grep -m2 . "$WORK/err")"
    else
        echo "ok renders-$name"
    fi
    for kind in chart letter progress discharge reviewer patient; do
        "$ENDFEEL" report -q -j1 $options -k $kind --dump pages "$@" >"$WORK/dump" 2>/dev/null
        files=""
        for folder in "$@"; do
            [ -d "$folder" ] && files="$files $(find "$folder" -name '*.csv')"
        done
        "$PYTHON" tests/pdf/readable.py $kind "$WORK/dump" $files
    done
}
render day --history fixtures/history fixtures/day
for scenario in fixtures/scenarios/*/; do
    if [ -f "$scenario/map.xml" ]; then
        render "$(basename "$scenario")" --map "$scenario/map.xml" "$scenario"
    else
        render "$(basename "$scenario")" "$scenario"
    fi
done

# As many reports of each kind as visits, every letter on one page.
tail -n +2 "$WORK/kinds/manifest.csv" | tr -d '\r' | awk -F, '
    { n[$2]++; if ($2 == "letter" && $5 != 1) print "FAILED one-page-" $3 "-" $4 ": " $5 " pages" }
    END {
        for (kind in n)
            if (n[kind] == n["chart"]) print "ok complete-" kind
            else print "FAILED complete-" kind ": " n[kind] " of " n["chart"]
        if (n["letter"] == n["chart"]) print "ok letters-are-one-page"
    }'
[ "$(find "$WORK/kinds" -name '*_discharge.pdf' | wc -l)" -ge 20 ] && echo "ok visits-rendered" ||
    echo "FAILED visits-rendered"

# A letter that needs a second page is refused as a whole; the other reports are written.
long=$(awk 'BEGIN { for (i = 0; i < 900; i++) printf "word%d ", i }')
{
    echo "patient_id,visit_date,visit_kind,referrer,plan,joint,motion,side,test,value"
    echo "X-1,2025-03-04,evaluation,Dr. Ann Other,$long,knee,flexion,right,AROM,110"
} >"$WORK/long.csv"
"$ENDFEEL" report -q --today 2030-01-01 -k chart,letter -o "$WORK/long" "$WORK/long.csv" 2>"$WORK/err"
status=$?
if [ $status = 1 ] && grep -q 'more pages than its template allows' "$WORK/err" &&
    [ -f "$WORK/long/2025-03-04/X-1_2025-03-04_chart.pdf" ] &&
    [ -z "$(find "$WORK/long" -name '*letter*')" ]; then
    echo "ok long-letter-is-refused"
else
    echo "FAILED long-letter-is-refused: status $status $(head -2 "$WORK/err")"
fi
rm -rf "$WORK/kinds" "$WORK/long"
