#!/bin/sh
# Every number of the findings of the fixtures and of generated visits (150; in check-all 500),
# recomputed by another program in another language; some of them by other schools as well.
cd "$TOP" || exit 3
for folder in fixtures/day fixtures/scenarios/s1-knee fixtures/scenarios/s2-shoulder; do
    name=$(basename "$folder")
    "$ENDFEEL" findings -q --every-visit --today 2030-01-01 -o "$WORK/$name.csv" "$folder" 2>"$WORK/err"
    if "$PYTHON" tests/external/recompute.py "$WORK/$name.csv" --reference src/reference \
        "$folder"/*.csv >"$WORK/said" 2>&1; then
        echo "ok recompute-$name"
    else
        echo "FAILED recompute-$name: $(head -20 "$WORK/said")"
    fi
done
visits=${RECOMPUTED:-150}
[ -z "${WHOLE:-}" ] || visits=500
"$PYTHON" tests/external/generate.py $visits 20250314 >"$WORK/some.csv"
"$ENDFEEL" findings -q --every-visit --today 2030-01-01 -o "$WORK/some.out" "$WORK/some.csv"
if "$PYTHON" tests/external/recompute.py "$WORK/some.out" --reference src/reference \
    "$WORK/some.csv" >"$WORK/said" 2>&1; then
    echo "ok recompute-$visits-visits"
else
    echo "FAILED recompute-$visits-visits: $(head -20 "$WORK/said")"
fi
# A clinic of another school each: another profile of normal values, another table of heel rises.
"$PYTHON" tests/external/generate.py 60 20250602 >"$WORK/school.csv"
for school in 'AAOS no 25/10-24/1-9' 'AMA yes 20' 'legal no quality'; do
    # three words
    # shellcheck disable=SC2086
    set -- $school
    printf '<clinic><norms profile="%s"/><two-plus-by-resistance accept="%s"/>%s</clinic>\n' \
        "$1" "$2" "<heel-rises table=\"$3\"/>" >"$WORK/clinic.xml"
    "$ENDFEEL" findings -q --every-visit --today 2030-01-01 --clinic "$WORK/clinic.xml" \
        -o "$WORK/school.out" "$WORK/school.csv"
    if "$PYTHON" tests/external/recompute.py "$WORK/school.out" --reference src/reference \
        --clinic "$WORK/clinic.xml" "$WORK/school.csv" >"$WORK/said" 2>&1; then
        echo "ok recompute-school-$1"
    else
        echo "FAILED recompute-school-$1: $(head -20 "$WORK/said")"
    fi
done
