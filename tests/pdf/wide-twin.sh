#!/bin/sh
# One set of readings in two files: a wide one as another program exports it (semicolons, decimal
# commas, Windows-1252, day-first dates) under a map, and its long twin in our own columns. Findings
# must be the same bytes.
cd "$TOP" || exit 3
same() { # NAME MAP WIDE LONG
    "$ENDFEEL" findings -q --today 2030-01-01 --every-visit --map "$2" "$3" >"$WORK/wide" 2>"$WORK/err"
    "$ENDFEEL" findings -q --today 2030-01-01 --every-visit "$4" >"$WORK/long" 2>/dev/null
    if [ "$(wc -l <"$WORK/long")" -lt 4 ]; then
        echo "FAILED $1: the twin has no findings"
    elif cmp -s "$WORK/wide" "$WORK/long"; then
        echo "ok $1"
    else
        echo "FAILED $1: $(head -1 "$WORK/err") $(diff "$WORK/wide" "$WORK/long" | head -4)"
    fi
}
same scenario-1 fixtures/scenarios/s1-knee-wide/map.xml fixtures/scenarios/s1-knee-wide \
    fixtures/scenarios/s1-knee

mkdir -p "$WORK/w" "$WORK/l"
# e acute, degree sign and en dash as single bytes; 3/4/25 is 3 April
printf 'Chart no;Name;Visit;By;Knee Beugung \260;Knee ext (R) \226 active;R knee flex PROM;MMT R quads;L PIP flex AROM;Pain\n' >"$WORK/w/a.csv"
printf 'T-1;Ren\351 Ash;3/4/25;Jo;112,5;-4,5;118,5 firm;4-/5;;2/6\n' >>"$WORK/w/a.csv"
printf 'T-1;;25/4/25;Al;118,0;0;NT \226 pain;4/5;90;1/3\n' >>"$WORK/w/a.csv"
cat >"$WORK/twin.xml" <<'X'
<column-map>
  <file delimiter="semicolon" encoding="windows-1252" decimal="comma"/>
  <dates order="dmy" two-digit-years-from="2000"/>
  <signs extension-minus="short-of-zero"/>
  <pairs pain="rest/movement"/>
  <words language="de"/>
  <column header="Chart no" to="patient_id"/>
  <column header="Visit" to="visit_date"/>
  <column header="By" to="measured_by"/>
  <column header="Pain" to="pain_move"/>
  <column header="Knee Beugung °" joint="knee" motion="flexion" side="re" test="AROM"/>
  <column header="L PIP flex AROM" joint="PIP" motion="flex" digit="3" side="li" test="AROM"/>
  <constant column="tool" value="goniometer"/>
</column-map>
X
cat >"$WORK/l/a.csv" <<'X'
patient_id,name,visit_date,measured_by,tool,joint,motion,side,digit,test,value
T-1,René Ash,2025-04-03,Jo,goniometer,knee,flexion,right,,AROM,112.5
T-1,,2025-04-03,Jo,goniometer,knee,extension,right,,AROM,lacks 4.5
T-1,,2025-04-03,Jo,goniometer,knee,flexion,right,,PROM,118.5 firm
T-1,,2025-04-03,Jo,,knee,extension,right,,MMT,4-/5
T-1,,2025-04-25,Al,goniometer,knee,flexion,right,,AROM,118
T-1,,2025-04-25,Al,goniometer,knee,extension,right,,AROM,0
T-1,,2025-04-25,Al,goniometer,knee,flexion,right,,PROM,NT - pain
T-1,,2025-04-25,Al,,knee,extension,right,,MMT,4/5
T-1,,2025-04-25,Al,goniometer,finger-pip,flexion,left,3,AROM,90
X
printf 'patient_id,visit_date,pain_rest,pain_move\nT-1,2025-04-03,2,6\nT-1,2025-04-25,1,3\n' >"$WORK/l/b.csv"
same declared "$WORK/twin.xml" "$WORK/w" "$WORK/l"

# What --suggest-map prints is a map that loads, and reads what it recognised.
printf 'MRN,Date,R knee flex AROM,R knee felx PROM\nT-1,2025-04-03,112,118\n' >"$WORK/s.csv"
"$ENDFEEL" check --suggest-map "$WORK/s.csv" >"$WORK/suggested.xml" 2>"$WORK/err" &&
    "$ENDFEEL" findings -q --today 2030-01-01 --map "$WORK/suggested.xml" "$WORK/s.csv" 2>/dev/null |
    grep -q '^T-1,2025-04-03,knee,flexion,right,,AROM' && echo "ok suggested-map-reads" ||
    echo "FAILED suggested-map-reads: $(head -2 "$WORK/err")"
grep -q 'R knee felx PROM: nearest: R knee flexion PROM' "$WORK/suggested.xml" &&
    echo "ok suggested-map-asks" || echo "FAILED suggested-map-asks"
