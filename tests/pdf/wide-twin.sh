#!/bin/sh
# One set of readings in two files: a wide one as another program exports it (semicolons, decimal
# commas, Windows-1252, day-first dates) under a map, and its long twin in our own columns. Findings
# must be the same bytes.
cd "$TOP" || exit 3
same() { # NAME MAP WIDE LONG [but-notes: the last column, which tells of a cell of two readings]
    "$ENDFEEL" findings -q --today 2030-01-01 --every-visit --map "$2" "$3" >"$WORK/wide" 2>"$WORK/err"
    "$ENDFEEL" findings -q --today 2030-01-01 --every-visit "$4" >"$WORK/long" 2>/dev/null
    [ -z "${5:-}" ] || sed -i 's/,[^,]*$//' "$WORK/wide" "$WORK/long"
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

# The unknown headers in the order of how near they are to a known one, those near to none last.
printf 'MRN,Date,Shoe,R knee felx PROM,R knee flex AROM,R knee extensoin PROM\nT-1,2025-04-03,,,112,\n' \
    >"$WORK/s.csv"
"$ENDFEEL" check --suggest-map "$WORK/s.csv" 2>/dev/null |
    sed -n '/Not recognised/,$s/^  <!-- \(R knee [a-z]* [A-Z]*\|Shoe\).*/\1/p' | tr '\n' '|' >"$WORK/order"
[ "$(cat "$WORK/order")" = 'R knee extensoin PROM|R knee felx PROM|Shoe|' ] &&
    echo "ok suggested-map-order" || echo "FAILED suggested-map-order: $(cat "$WORK/order")"

# 16-bit text under a map, names in two rows, right and left in one cell, month first.
rm -f "$WORK"/w/* "$WORK"/l/*
printf '\t\tKnee\t\npatient_id\tvisit_date\tflexion AROM\tflexion PROM\nT\303\211-1\t3/4/2025\t112,5/126\t118/130\n' |
    iconv -f utf-8 -t utf-16be >"$WORK/w/a.csv"
cat >"$WORK/twin.xml" <<'X'
<column-map>
  <file delimiter="tab" encoding="utf-16be" decimal="comma" header-rows="2"/>
  <dates order="mdy" separators="/"/>
  <pairs angles="right/left"/>
</column-map>
X
cat >"$WORK/l/a.csv" <<'X'
patient_id,visit_date,joint,motion,side,test,value
TÉ-1,2025-03-04,knee,flexion,right,AROM,112.5
TÉ-1,2025-03-04,knee,flexion,left,AROM,126
TÉ-1,2025-03-04,knee,flexion,right,PROM,118
TÉ-1,2025-03-04,knee,flexion,left,PROM,130
X
same two-header-rows-16-bit "$WORK/twin.xml" "$WORK/w" "$WORK/l" but-notes

# Sides, yes and no in Spanish, active and passive in one cell, Latin-1.
rm -f "$WORK"/w/* "$WORK"/l/*
printf 'Historia;visit_date;Articulaci\363n;motion;Lado;test;value;Dolor\n' >"$WORK/w/a.csv"
printf 'E-1;2025-03-04;knee;flexion;izq;;112/126;s\355\nE-1;2025-03-04;knee;flexion;der;AROM;100;no\n' \
    >>"$WORK/w/a.csv"
cat >"$WORK/twin.xml" <<'X'
<column-map>
  <file delimiter="semicolon" encoding="latin-1"/>
  <pairs angles="active/passive"/>
  <words language="es"/>
  <column header="Historia" to="patient_id"/>
  <column header="Articulación" to="joint"/>
  <column header="Lado" to="side"/>
  <column header="Dolor" to="pain"/>
</column-map>
X
cat >"$WORK/l/a.csv" <<'X'
patient_id,visit_date,joint,motion,side,test,value,pain
E-1,2025-03-04,knee,flexion,left,AROM,112,yes
E-1,2025-03-04,knee,flexion,left,PROM,126,yes
E-1,2025-03-04,knee,flexion,right,AROM,100,no
X
same language-and-pairs "$WORK/twin.xml" "$WORK/w" "$WORK/l" but-notes

# Without their map each of them is asked, with the element of a map that answers.
while read -r name bytes answer; do
    # the bytes are a format on purpose
    # shellcheck disable=SC2059
    printf "$bytes" >"$WORK/q.csv"
    "$ENDFEEL" check -j1 --today 2030-01-01 "$WORK/q.csv" >"$WORK/out" 2>&1
    grep -q "\(held-back\|error\): .*; .*$answer" "$WORK/out" && echo "ok asked-$name" ||
        echo "FAILED asked-$name: $(head -2 "$WORK/out")"
done <<'X'
encoding patient_id,n\351\nP,\n declare.encoding.in.the.file.element
encoding-16 p\0a\0t\0i\0 declare.encoding.in.the.file.element
delimiter patient_id;name,x\nP;a,b\n declare.delimiter.in.the.file.element
decimal patient_id,visit_date,joint,motion,side,test,value\nP,2025-03-04,hip,flexion,R,AROM,"1,180"\n declare.decimal.in.the.file.element
date-order patient_id,visit_date\nP,03/04/2025\n declare.dates.order
two-digit-year patient_id,visit_date\nP,13/04/25\n declare.two-digit-years-from
minus patient_id,visit_date,joint,motion,side,test,value\nP,2025-03-04,knee,extension,R,AROM,-10\n declare.extension-minus
unsigned patient_id,visit_date,joint,motion,side,test,value\nP,2025-03-04,knee,extension,R,AROM,10\n declare.extension-unsigned
angle-pair patient_id,visit_date,joint,motion,side,test,value\nP,2025-03-04,knee,flexion,R,AROM,118/126\n declare.pairs
pain-pair patient_id,visit_date,pain_rest\nP,2025-03-04,2/6\n declare.pairs.pain
side-language patient_id,visit_date,joint,motion,side,test,value\nP,2025-03-04,knee,flexion,izq,AROM,118\n declare.words.language
answer-language patient_id,visit_date,joint,motion,side,test,value,pain\nP,2025-03-04,knee,flexion,R,AROM,118,ja\n declare.words.language
X
