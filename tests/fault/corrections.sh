#!/bin/sh
# Corrections: a changed value gives AMENDED n with old and new, who and when; the PDF it replaces
# is kept; a chain of them is told whole; a run cut short between the steps is completed.
cd "$TOP" || exit 3
day=2025-03-14
out="$WORK/corr"
head='patient_id,name,birth_date,visit_date,joint,motion,side,test,value,corrected_on,corrected_by,correction_reason'
rows() { # KNEE-FLEXION EXTRA: the knee's value with its correction columns
    echo "$head"
    echo "P1,Ann Example,1960-05-05,$day,knee,flexion,right,AROM,$1"
    echo "P1,Ann Example,1960-05-05,$day,knee,extension,right,AROM,-5 lacks,,,"
    echo "P1,Ann Example,1960-05-05,$day,hip,abduction,right,MMT,4-,,,"
    echo "P2,Bo Example,1970-05-05,$day,knee,flexion,left,AROM,101,,,"
    [ -z "${2:-}" ] || echo "$2"
}
run() { # NAME OUT FILE WORDS [ARGUMENTS]
    name=$1 to=$2 file=$3 words=$4
    shift 4
    case " $* " in *' -k '*) ;; *) set -- -k chart "$@" ;; esac
    "$ENDFEEL" report --today 2030-01-01 -j2 -o "$to" "$@" "$file" >"$WORK/out" 2>"$WORK/err"
    got=$?
    if [ $got -gt 1 ] || ! grep -qF -e "$words" "$WORK/err"; then
        echo "FAILED $name: status $got, not '$words' but: $(cat "$WORK/err")"
    else
        echo "ok $name"
    fi
}
nbsp=$(printf '\302\240')
text() { pdftotext -layout "$1" - 2>/dev/null | sed "s/$nbsp/ /g" | tr -s ' \n' ' '; }
says() { # NAME PDF WORDS
    text "$2" >"$WORK/text"
    grep -qF -e "$3" "$WORK/text" && echo "ok $1" || echo "FAILED $1: '$3' is not in: $(cut -c1-900 "$WORK/text")"
}
says_not() {
    text "$2" | grep -qF -e "$3" && echo "FAILED $1: '$3' is there" || echo "ok $1"
}
same() { # NAME A B
    cmp -s "$2" "$3" && echo "ok $1" || echo "FAILED $1"
}
pdf="$out/$day/P1_${day}_chart.pdf"
kept="$out/$day/superseded/P1_${day}_chart"

rows '112,,,' | sed 's/-5 lacks/lacks 5/' >"$WORK/c0.csv"
rows '121,2025-03-15,Lee Vale,read the wrong limb' | sed 's/-5 lacks/lacks 5/' >"$WORK/c1.csv"
rows '121,2025-03-15,Lee Vale,read the wrong limb' | sed 's/-5 lacks/lacks 7/; s/4-/4+/; s/1960-05-05/1961-05-05/' >"$WORK/c2.csv"

run first "$out" "$WORK/c0.csv" '2 new, 0 unchanged, 0 amended'
cp "$pdf" "$WORK/v1.pdf"
says_not first-is-not-amended "$pdf" AMENDED
run corrected "$out" "$WORK/c1.csv" '0 new, 1 unchanged, 1 amended'
cp "$pdf" "$WORK/v2.pdf"
says amended-1 "$pdf" 'AMENDED 1'
says old-to-new "$pdf" 'right knee flexion (active): end of range 112° 121°'
says who-and-when "$pdf" '15 Mar 2025, Lee Vale: read the wrong limb'
same the-first-is-kept "$WORK/v1.pdf" "${kept}_v1.pdf"
says index-marks-it "$out/day-index.pdf" 'AMENDED 1'
grep -q "^$day/P1_${day}_chart.pdf,chart,P1,$day,[0-9]*,[0-9]*,[0-9a-f]*,[0-9a-f]*,1," "$out/manifest.csv" &&
    echo "ok manifest-has-the-number" || echo "FAILED manifest-has-the-number"
run again "$out" "$WORK/c1.csv" '0 new, 2 unchanged, 0 amended'
says index-still-marks-it "$out/day-index.pdf" 'AMENDED 1'
run second-correction "$out" "$WORK/c2.csv" '0 new, 1 unchanged, 1 amended'
says amended-2 "$pdf" 'AMENDED 2'
says chain-keeps-the-first "$pdf" '1 right knee flexion (active): end of range 112° 121°'
says second-has-angles-in-words "$pdf" '5° short of straight 7° short of straight'
says second-has-grades "$pdf" 'right hip abduction (strength): grade 4- 4+'
says second-has-facts "$pdf" 'date of birth 5 May 1960 5 May 1961'
says nobody-recorded-it "$pdf" 'date not recorded, by whom not recorded; reason not recorded'
same the-second-is-kept "$WORK/v2.pdf" "${kept}_v2.pdf"
same the-first-stays "$WORK/v1.pdf" "${kept}_v1.pdf"
run other-clinic "$out" "$WORK/c2.csv" '0 amended, 2 set again' --clinic fixtures/clinic.xml
says still-amended-2 "$pdf" 'AMENDED 2'
[ ! -e "${kept}_v3.pdf" ] && echo "ok settings-supersede-nothing" || echo "FAILED settings-supersede-nothing"
run back-to-plain "$out" "$WORK/c2.csv" '0 amended, 2 set again'
[ -z "$(find "$out" -perm /077)" ] && echo "ok owner-only" || echo "FAILED owner-only"

# A row that is lost, one that is late, one that was held back and is mended.
grep -v hip "$WORK/c0.csv" >"$WORK/l0.csv"
sed 's/,112,/,1l2,/' "$WORK/c0.csv" >"$WORK/l1.csv"
o="$WORK/corr.late"
p="$o/$day/P1_${day}_chart.pdf"
run late-0 "$o" "$WORK/l0.csv" '2 new'
run late-1 "$o" "$WORK/l1.csv" '1 amended'
says late-row "$p" 'right hip abduction (strength): grade not recorded 4-'
says held-value "$p" 'right knee flexion (active): end of range 112° held back'
run late-2 "$o" "$WORK/l0.csv" '1 amended'
says lost-row "$p" '2 right hip abduction (strength): grade 4- not recorded'
says mended-value "$p" '2 right knee flexion (active): end of range held back 112°'

# A signature that comes later is no correction.
sed '1s/$/,signed_on/; 2,$s/$/,/' "$WORK/c0.csv" >"$WORK/s0.csv"
{ cat "$WORK/s0.csv"; echo "P1,,,$day,,,,,,,,,$day"; } >"$WORK/s1.csv"
run unsigned "$WORK/corr.sign" "$WORK/s0.csv" '2 new'
run signed "$WORK/corr.sign" "$WORK/s1.csv" '1 unchanged, 0 amended, 1 set again'

# Both rows in one file: the correction stands, the old row is told of.
rows '112,,,' "P1,Ann Example,1960-05-05,$day,knee,flexion,right,AROM,121,2025-03-15,Lee Vale,read the wrong limb" |
    sed 's/-5 lacks/lacks 5/' >"$WORK/b.csv"
run both-rows "$out.both" "$WORK/b.csv" '5 rows in = 4 used + 1 duplicates + 0 held back'
grep -q 'reading-replaced,112,.*by line 6' "$out.both/exceptions.csv" && echo "ok old-row-is-told" ||
    echo "FAILED old-row-is-told: $(cat "$out.both/exceptions.csv")"
"$ENDFEEL" findings -q --today 2030-01-01 "$WORK/b.csv" 2>/dev/null | grep -q '^P1,[^,]*,knee,flexion,right.*,121.0,' &&
    echo "ok correction-stands" || echo "FAILED correction-stands"

# Kinds printed at different times: each tells the whole chain.
mkdir -p "$WORK/corr.templates"
cp -rL templates/. "$WORK/corr.templates"
cp "$WORK/corr.templates/chart.xml" "$WORK/corr.templates/second.xml"
o="$WORK/corr.kinds"
t="--templates $WORK/corr.templates"
# shellcheck disable=SC2086
{
    run kinds-0 "$o" "$WORK/c0.csv" '4 new' $t -k chart,second
    run kinds-1 "$o" "$WORK/c1.csv" '1 amended' $t -k chart
    run kinds-2 "$o" "$WORK/c1.csv" '1 amended' $t -k second
    run kinds-3 "$o" "$WORK/c1.csv" '4 unchanged' $t -k chart,second
}
says other-kind-is-amended "$o/$day/P1_${day}_second.pdf" 'AMENDED 1'
[ -e "$o/$day/superseded/P1_${day}_second_v1.pdf" ] && echo "ok other-kind-is-kept" || echo "FAILED other-kind-is-kept"

# Cut short between any two steps, the next run comes to the same folder.
finish() { # NAME FOLDER
    "$ENDFEEL" report -q --today 2030-01-01 -k chart -o "$2" "$WORK/c1.csv" 2>"$WORK/err"
    diff -r "$2" "$WORK/corr.whole" >"$WORK/diff" && echo "ok $1" || echo "FAILED $1: $(head -3 "$WORK/diff")"
}
"$ENDFEEL" report -q --today 2030-01-01 -k chart -o "$WORK/corr.start" "$WORK/c0.csv"
cp -a "$WORK/corr.start" "$WORK/corr.whole"
"$ENDFEEL" report -q --today 2030-01-01 -k chart -o "$WORK/corr.whole" "$WORK/c1.csv"
v="$day/P1_${day}_chart.pdf" s="$day/superseded" x="$day/.values/P1.xml"
cp -a "$WORK/corr.start" "$WORK/cut1" && mkdir -m 700 "$WORK/cut1/$s" && cp -p "$WORK/corr.start/$v" "$WORK/cut1/$s/P1_${day}_chart_v1.pdf"
finish cut-after-keeping "$WORK/cut1"
cp -a "$WORK/corr.start" "$WORK/cut2" && cp -a "$WORK/corr.whole/$s" "$WORK/cut2/$s" && cp -p "$WORK/corr.whole/$v" "$WORK/cut2/$v"
finish cut-after-placing "$WORK/cut2"
cp -a "$WORK/corr.whole" "$WORK/cut3" && cp -p "$WORK/corr.start/manifest.csv" "$WORK/cut3/"
finish cut-before-the-manifest "$WORK/cut3"
cp -a "$WORK/corr.whole" "$WORK/cut4" && rm "$WORK/cut4/manifest.csv"
finish manifest-lost "$WORK/cut4"
cp -a "$WORK/corr.start" "$WORK/cut5" && rm "$WORK/cut5/manifest.csv"
finish manifest-lost-before "$WORK/cut5"
cp -a "$WORK/corr.start" "$WORK/cut6" && cp -p "$WORK/corr.whole/$x" "$WORK/cut6/$x"
finish values-came-first "$WORK/cut6"

# What was printed cannot be read: nothing is written in its place.
cp -a "$WORK/corr.start" "$WORK/torn" && echo '<visit' >"$WORK/torn/$x"
"$ENDFEEL" report --today 2030-01-01 -k chart -o "$WORK/torn" "$WORK/c1.csv" >/dev/null 2>"$WORK/err"
[ $? = 1 ] && grep -q 'printed last for this visit cannot be read' "$WORK/err" &&
    cmp -s "$WORK/torn/$v" "$WORK/corr.start/$v" && echo "ok unreadable-past-refuses" ||
    echo "FAILED unreadable-past-refuses: $(cat "$WORK/err")"
