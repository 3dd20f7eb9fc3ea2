#!/bin/sh
# Every kind renders for every visit of the fixtures; a letter is one page, or refused whole; the
# patient's copy is easy to read; nothing says more than was measured.
cd "$TOP" || exit 3
kinds=chart,letter,progress,discharge,reviewer,patient
options="--today 2030-01-01 --every-visit"

# Sets one lot of fixtures in all kinds. Options are split on purpose.
# shellcheck disable=SC2086
set_all() { # NAME ARGUMENTS...
    name=$1
    shift
    "$ENDFEEL" report -q $options -k $kinds --clinic fixtures/clinic.xml --dump pages "$@" \
        >"$WORK/$name.dump" 2>"$WORK/err"
    status=$?
    if [ $status -gt 1 ] || grep -q 'refused' "$WORK/err"; then
        echo "FAILED sets-$name: status $status: $(grep -m2 . "$WORK/err")"
    else
        echo "ok sets-$name"
    fi
    files=""
    for folder in "$@"; do
        [ -d "$folder" ] && files="$files $(find "$folder" -name '*.csv')"
    done
    sets="$sets${sets:++} $name $WORK/$name.dump $files "
}
sets=
set_all day --history fixtures/history fixtures/day
for scenario in fixtures/scenarios/*/; do
    scenario=${scenario%/}
    if [ -f "$scenario/map.xml" ]; then
        set_all "$(basename "$scenario")" --map "$scenario/map.xml" "$scenario"
    else
        set_all "$(basename "$scenario")" "$scenario"
    fi
done

# Invented visits with every motion, limit and slip there is: 20, in check-all 300.
visits=20
[ -z "${WHOLE:-}" ] || visits=300
mkdir "$WORK/generated"
"$PYTHON" tests/external/generate.py $visits 77 >"$WORK/generated/in.csv"
set_all generated "$WORK/generated"
# One judge reads them all. The names hold no spaces.
# shellcheck disable=SC2086
"$PYTHON" tests/pdf/readable.py $sets || echo "FAILED readable: it did not come to the end"

# A goal of a joint that was not measured that day is told, and its short form explained.
{
    echo "patient_id,visit_date,joint,motion,side,digit,test,value,goal_value,goal_due"
    echo "X-2,2025-03-04,finger-dip,flexion,right,3,AROM,40,70,2025-05-01"
    echo "X-2,2025-03-11,knee,flexion,right,,AROM,110,,"
} >"$WORK/goal.csv"
"$ENDFEEL" report -q $options -k chart --dump pages "$WORK/goal.csv" >"$WORK/dump" 2>"$WORK/err"
n=$(grep -c 'DIP, distal interphalangeal joint' "$WORK/dump")
[ "$n" = 2 ] && echo "ok explains-a-goal-s-joint" || echo "FAILED explains-a-goal-s-joint: $n of 2"

# As PDF: as many of each kind as visits, and qpdf is content with one of each.
# shellcheck disable=SC2086
"$ENDFEEL" report -q $options -k $kinds -o "$WORK/kinds" --history fixtures/history fixtures/day 2>"$WORK/err"
for kind in $(echo $kinds | tr , ' '); do
    n=$(find "$WORK/kinds" -name "*_$kind.pdf" | wc -l)
    [ "$n" = 19 ] && qpdf --check "$WORK/kinds/2025-03-14/S-1009_2025-03-14_$kind.pdf" >/dev/null 2>&1 &&
        echo "ok written-$kind" || echo "FAILED written-$kind: $n of 19"
done

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
    grep -q 'held-back,document-refused,"letter of X-1, 2025-03-04",.*more pages' \
        "$WORK/long/exceptions.csv" &&
    [ -z "$(find "$WORK/long" -name '*letter*')" ]; then
    echo "ok long-letter-is-refused"
else
    echo "FAILED long-letter-is-refused: status $status $(head -2 "$WORK/err")"
fi
rm -rf "$WORK/kinds" "$WORK/long"
