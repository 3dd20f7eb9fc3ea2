#!/bin/sh
# What only several rows or files show, as an operator sees it: angles that all end in 0, conflicts
# first in the list, ids that lost a zero. Each beside the nearest thing that must not be told.
cd "$TOP" || exit 3
w="$WORK/across"
mkdir -p "$w"

verdict() { # NAME OK SAID
    if [ "$2" = 1 ]; then echo "ok across-$1"; else echo "FAILED across-$1: $3"; fi
}
run() { # FILE... : the list of what was held back and told
    rm -rf "$w/o"
    "$ENDFEEL" report -q -j1 --today 2030-01-01 --every-visit -k chart -o "$w/o" "$@" >"$w/out" 2>"$w/err"
    cat "$w/o/exceptions.csv"
}

round() { # HOW-MANY LAST: angles of which all but the last end in 0
    echo "patient_id,visit_date,joint,motion,side,test,value"
    n=1
    while [ $n -lt "$1" ]; do
        echo "P-$n,2026-03-04,shoulder,flexion,R,AROM,$((100 + n % 7 * 10))"
        n=$((n + 1))
    done
    echo "P-$n,2026-03-04,shoulder,flexion,R,AROM,$2"
}
round 20 90 >"$w/twenty.csv"
round 19 90 >"$w/nineteen.csv"
round 20 95 >"$w/five.csv"
round 40 95 >"$w/forty.csv"
for file in twenty nineteen five forty; do
    want=0
    [ $file != twenty ] || want=1
    got=$(run "$w/$file.csv" | grep -c angles-all-round)
    verdict "round-$file" "$([ "$got" = $want ] && echo 1)" "$got notes, not $want"
done

# Every kind of conflict, in a file that comes last, before what another file merely holds back.
head="patient_id,birth_date,visit_date,visit_kind,referrer,joint,motion,side,test,value"
cat >"$w/a.csv" <<END
$head
A,,2026-03-04,,,knee,flexion,R,AROM,bananas
A,,2026-03-04,,,knee,flexion,L,AROM,>120
END
cat >"$w/z.csv" <<END
$head
B,,2026-03-04,,,knee,flexion,R,AROM,1180
B,,2026-03-04,,,knee,flexion,L,AROM,110
B,,2026-03-04,,,knee,flexion,L,AROM,115
C,1970-01-02,,,,,,,,
C,1971-01-02,,,,,,,,
D,,2026-03-04,visit,,,,,,
D,,2026-03-04,discharge,,,,,,
E,,,,Dr Ash,,,,,
E,,,,Dr Elm,,,,,
END
run "$w/a.csv" "$w/z.csv" | "$PYTHON" -c '
import csv, sys
codes = [row["code"] for row in csv.DictReader(sys.stdin)]
first = ["readings-differ"] * 2 + ["two-people"] * 2 + ["visit-two-kinds"] * 2 + ["fact-contradicts"] * 2
rest = codes[len(first):]
good = codes[:len(first)] == first and not set(first) & set(rest) and "cell-not-understood" in rest
print("1" if good and rest.index("cell-not-understood") < rest.index("cell-out-of-range") else codes)
' >"$w/got"
verdict conflicts-first "$(cat "$w/got")" "$(cat "$w/got")"

# Ids of measurements without facts: 417 and P-O14 are held, each with the listed one named; 418 and
# P-015, as near but other ids, are read.
printf 'patient_id,birth_date\n00417,1970-01-02\nP-014,1971-01-02\n' >"$w/patients.csv"
cat >"$w/readings.csv" <<END
patient_id,visit_date,joint,motion,side,test,value
417,2026-03-04,hip,flexion,R,AROM,101
P-O14,2026-03-04,hip,flexion,R,AROM,102
418,2026-03-04,hip,flexion,R,AROM,103
P-015,2026-03-04,hip,flexion,R,AROM,104
END
run "$w/patients.csv" "$w/readings.csv" | grep id-like-another >"$w/ids"
want='held-back,id-like-another,417,.*00417
held-back,id-like-another,P-O14,.*P-014'
good=1
[ "$(wc -l <"$w/ids")" = 2 ] || good=0
echo "$want" | while read -r line; do grep -q "$line" "$w/ids" || echo "$line"; done >"$w/lacking"
[ ! -s "$w/lacking" ] || good=0
verdict ids-held-nearest-named "$good" "$(cat "$w/ids" "$w/lacking")"
"$ENDFEEL" findings -q -j1 --today 2030-01-01 --every-visit "$w/patients.csv" "$w/readings.csv" 2>/dev/null |
    cut -d, -f1 | sed 1d | sort | tr '\n' ' ' >"$w/read"
verdict ids-never-joined "$([ "$(cat "$w/read")" = "418 P-015 " ] && echo 1)" "$(cat "$w/read")"

# Two people measured the same, in two files: the order of the names decides nothing.
head="patient_id,visit_date,joint,motion,side,test,value,measured_by"
printf '%s\nP,2026-03-04,hip,flexion,R,AROM,100,Jo\n' "$head" >"$w/m1.csv"
printf '%s\nP,2026-03-04,hip,flexion,R,AROM,104,Al\nP,2026-03-04,hip,flexion,R,AROM,100,Jo\n' "$head" >"$w/m2.csv"
for names in "$w/m1.csv $w/m2.csv" "$w/m2.csv $w/m1.csv"; do
    # names without blanks, split on purpose
    # shellcheck disable=SC2086
    run $names >"$w/list"
    # shellcheck disable=SC2086
    "$ENDFEEL" findings -q -j1 --today 2030-01-01 $names | cat - "$w/list"
    sed "s|.*/||" "$w/err"
done >"$w/both"
half=$(($(wc -l <"$w/both") / 2))
head -n $half "$w/both" >"$w/one"
tail -n $half "$w/both" >"$w/other"
verdict order-of-names "$(cmp -s "$w/one" "$w/other" && grep -q second-measurer "$w/one" &&
    grep -q 'same row again\|same reading again' "$w/one" && echo 1)" "$(diff "$w/one" "$w/other" | head -5)"
