#!/bin/sh
# Every number of the findings of the fixtures and of generated visits (150; in check-all 500),
# recomputed by another program in another language; some of them by other schools as well.
cd "$TOP" || exit 3
: >"$WORK/sets"
# One program works all of them out: what it needs of the library is read once.
set_of() { # NAME FOLDER-OR-FILE [CLINIC]
    clinic=${3:+--clinic $3}
    # shellcheck disable=SC2086
    "$ENDFEEL" findings -q --every-visit --today 2030-01-01 $clinic -o "$WORK/$1.out" "$2" 2>"$WORK/err"
    inputs=$2
    [ ! -d "$2" ] || inputs=$(echo "$2"/*.csv)
    echo "recompute-$1 $WORK/$1.out --reference src/reference $clinic $inputs" >>"$WORK/sets"
}
for folder in fixtures/day fixtures/scenarios/s1-knee fixtures/scenarios/s2-shoulder; do
    set_of "$(basename "$folder")" "$folder"
done
visits=${RECOMPUTED:-150}
[ -z "${WHOLE:-}" ] || visits=500
"$PYTHON" tests/external/generate.py $visits 20250314 >"$WORK/some.csv"
set_of $visits-visits "$WORK/some.csv"
# A clinic of another school each: another profile of normal values, another table of heel rises.
"$PYTHON" tests/external/generate.py 60 20250602 >"$WORK/school.csv"
for school in 'AAOS no 25/10-24/1-9' 'AMA yes 20' 'legal no quality'; do
    # three words
    # shellcheck disable=SC2086
    set -- $school
    printf '<clinic><norms profile="%s"/><two-plus-by-resistance accept="%s"/>%s</clinic>\n' \
        "$1" "$2" "<heel-rises table=\"$3\"/>" >"$WORK/clinic-$1.xml"
    set_of school-"$1" "$WORK/school.csv" "$WORK/clinic-$1.xml"
done
"$PYTHON" tests/external/recompute.py --sets <"$WORK/sets"
[ "$(wc -l <"$WORK/sets")" = 7 ] || echo "FAILED recompute: $(wc -l <"$WORK/sets") sets"
