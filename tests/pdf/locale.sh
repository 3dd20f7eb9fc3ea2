#!/bin/sh
# How numbers and dates are written: by a file of templates/locale that the clinic names, on pages
# alone. The locale of the process has no say anywhere.
cd "$TOP" || exit 3
w="$WORK/locale"
mkdir -p "$w"
cat >"$w/in.csv" <<'CSV'
patient_id,name,birth_date,sex,visit_date,visit_kind,joint,motion,side,test,value,unit,try,measured_by,role,goal_value,goal_due,limit_kind,limit_value
P1,Ann Example,1980-01-01,F,2025-03-01,evaluation,knee,flexion,right,AROM,101.5,,,NA,PT,,,,
P1,,,,2025-03-01,,knee,flexion,left,AROM,133.5,,,NA,PT,,,,
P1,,,,2025-03-14,progress,knee,flexion,right,AROM,113.5,,1,NA,PT,120.5,2025-04-01,range,125.5
P1,,,,2025-03-14,,knee,flexion,right,AROM,112.5,,2,NA,PT,,,,
P1,,,,2025-03-14,,knee,flexion,right,PROM,118.5,,,NA,PT,,,,
P1,,,,2025-03-14,,knee,flexion,left,AROM,134.5,,,NA,PT,,,,
P1,,,,2025-03-14,,knee,extension,right,force,201.5,N,,NA,PT,,,,
P1,,,,2025-03-14,,knee,extension,left,force,231.5,N,,NA,PT,,,,
P1,,,,2025-03-14,,thumb-cmc,opposition,right,AROM,2.5,cm,,NA,PT,,,,
P1,,,,2025-03-14,,shoulder,flexion,right,AROM,98.5,,,NA,PT,,,,
P1,,,,2025-03-14,,shoulder,flexion,left,AROM,168.5,,,NA,PT,,,,
P1,,,,2025-03-14,,elbow,flexion,right,MMT,4,,,NA,PT,,,,
CSV
kinds=chart,progress,discharge,letter,reviewer,patient
report() { # LOCALE: pages as text, one file
    echo "<clinic><locale name=\"$1\"/></clinic>" >"$w/$1.xml"
    "$ENDFEEL" report -q --today 2030-01-01 -k $kinds --clinic "$w/$1.xml" -o "$w/$1" "$w/in.csv" 2>"$w/err" ||
        echo "FAILED locale-$1: $? $(head -3 "$w/err")"
    for pdf in "$w/$1"/2025-03-14/*.pdf "$w/$1/day-index.pdf"; do pdftotext -layout "$pdf" -; done >"$w/$1.txt"
}
says() { # NAME LOCALE TEXT...
    name=$1 locale=$2
    shift 2
    for text; do
        grep -qF "$text" "$w/$locale.txt" || { echo "FAILED $name: no '$text'"; return; }
    done
    echo "ok $name"
}
space=$(printf '\302\240')
for l in en en-GB en-US de fr; do report $l; done
sed -i "s/$space/ /g" "$w"/*.txt
says locale-en en '14 Mar 2025' '14 March 2025' '113.5 112.5' '98.5' 'goal 120.5'
says locale-en-GB en-GB '14 Mar 2025' '14 March 2025' '98.5'
says locale-en-US en-US 'Mar 14, 2025' 'March 14, 2025' '98.5'
says locale-de de '14.03.2025' '14. März 2025' '113,5 112,5' '98,5' 'goal 120,5'
says locale-fr fr '14 mars 2025' '98,5'
"$ENDFEEL" report -q --today 2030-01-01 -k $kinds -o "$w/none" "$w/in.csv" 2>"$w/err"
cmp -s "$w/none/2025-03-14/P1_2025-03-14_letter.pdf" "$w/en/2025-03-14/P1_2025-03-14_letter.pdf" &&
    echo "ok locale-en-is-usual" || echo "FAILED locale-en-is-usual: $(head -3 "$w/err")"

# With a comma no number keeps its point, but for references, which are quoted as they are printed.
sed -E 's/[0-9]{2}\.[0-9]{2}\.[0-9]{4}//g; /^ *\[[0-9]+\] /d; /doi 10\./d; /mean age/d' "$w/de.txt" >"$w/points"
if grep -nE '[0-9]\.[0-9]' "$w/points" >"$w/left"; then
    echo "FAILED locale-comma-everywhere: $(head -5 "$w/left")"
else
    echo "ok locale-comma-everywhere"
fi
n=$(grep -cE '[0-9],[0-9]' "$w/points")
[ "$n" -gt 40 ] && echo "ok locale-comma-is-there ($n lines)" || echo "FAILED locale-comma-is-there: $n lines"

# What other programs read knows one way of writing.
"$ENDFEEL" findings -q --format csv "$w/in.csv" >"$w/plain.csv" 2>/dev/null
"$ENDFEEL" findings -q --format csv --clinic "$w/de.xml" "$w/in.csv" >"$w/de.csv" 2>/dev/null
cmp -s "$w/plain.csv" "$w/de.csv" && echo "ok locale-not-in-csv" || echo "FAILED locale-not-in-csv"

# ---- what does not load ----
refused() { # NAME WORDS OPTIONS...
    name=$1 words=$2
    shift 2
    "$ENDFEEL" report -q -o "$w/no" "$@" "$w/in.csv" >/dev/null 2>"$w/err"
    got=$?
    [ $got = 2 ] && grep -q -- "$words" "$w/err" && [ ! -e "$w/no" ] && echo "ok $name" ||
        echo "FAILED $name: $got $(head -2 "$w/err")"
}
echo '<clinic><locale name="enUS"/></clinic>' >"$w/near.xml"
refused locale-nearest 'enUS; nearest known name: en-US' --clinic "$w/near.xml"
echo '<clinic><locale name="../styles"/></clinic>' >"$w/path.xml"
refused locale-no-path 'there is no such way' --clinic "$w/path.xml"
echo '<clinic><locale name=""/></clinic>' >"$w/empty.xml"
refused locale-empty 'name="en-US"' --clinic "$w/empty.xml"
cp -r templates "$w/own"
broken() { # NAME WORDS LINE
    printf '<part>\n%s\n</part>\n' "$3" >"$w/own/locale/xx.xml"
    echo '<clinic><locale name="xx"/></clinic>' >"$w/xx.xml"
    refused "$1" "locale/xx.xml:2: .*$2" --templates "$w/own" --clinic "$w/xx.xml"
}
broken locale-bad-decimal 'a point or a comma' '<numbers decimal=";"/>'
broken locale-no-decimal 'needs decimal' '<numbers/>'
broken locale-bad-date 'expected d, dd' '<dates style="day"/>'
broken locale-bad-long 'long="x y" on dates' '<dates long="x y"/>'
broken locale-bad-form 'expected short long' '<dates form="medium"/>'
broken locale-bad-months 'twelve' '<dates style="d MMM" months="a b"/>'
broken locale-bad-element 'nearest known name' '<number decimal=","/>'
rm -r "$w/own/locale"
"$ENDFEEL" report -q -k letter --templates "$w/own" -o "$w/bare" "$w/in.csv" 2>"$w/err"
got=$?
[ $got = 0 ] && pdftotext "$w/bare/2025-03-14/P1_2025-03-14_letter.pdf" - | grep -q 2025-03-14 &&
    echo "ok locale-folder-may-be-missing" || echo "FAILED locale-folder-may-be-missing: $got $(head -3 "$w/err")"

# ---- the locale of the process ----
# As the system has it, but for the order of words and the classes of letters beyond ASCII, which
# take longest to make.
sed -e '/^LC_COLLATE/,/^END LC_COLLATE/c LC_COLLATE\ncopy "POSIX"\nEND LC_COLLATE' \
    -e '/^LC_CTYPE/,/^END LC_CTYPE/c LC_CTYPE\ncopy "POSIX"\nEND LC_CTYPE' \
    /usr/share/i18n/locales/de_DE >"$w/de_DE.src" 2>"$w/err"
localedef -c -i "$w/de_DE.src" -f UTF-8 "$w/de_DE.UTF-8" >/dev/null 2>>"$w/err" # warns of the letters left out
if [ ! -f "$w/de_DE.UTF-8/LC_NUMERIC" ]; then
    echo "FAILED locale-of-the-process: cannot be made: $(head -2 "$w/err")"
    exit 0
fi
said=$(LOCPATH="$w" LC_ALL=de_DE.UTF-8 "$PYTHON" -c 'import locale; locale.setlocale(locale.LC_ALL, ""); print(locale.str(1.5))')
[ "$said" = 1,5 ] && echo "ok locale-of-the-process-has-a-comma" || echo "FAILED locale-of-the-process-has-a-comma: $said"
all() { # FOLDER
    mkdir -p "$1"
    "$ENDFEEL" report -q --today 2030-01-01 -k $kinds -o "$1/report" "$w/in.csv" fixtures/day
    "$ENDFEEL" findings -q --format csv fixtures/day "$w/in.csv" >"$1/findings.csv"
    "$ENDFEEL" findings -q --format xml "$w/in.csv" >"$1/findings.xml"
    "$ENDFEEL" agree -q --scale angle --format csv fixtures/class/eight-raters.csv >"$1/agree.csv"
    "$ENDFEEL" agree -q --scale angle -o "$1/agree" fixtures/class/eight-raters.csv
    "$ENDFEEL" plan -q -o "$1/plan" knee flexion
    "$ENDFEEL" handout -q --patient P1 -o "$1/handout" "$w/in.csv"
    "$ENDFEEL" lookup knee flexion >"$1/lookup"
}
all "$w/c" >/dev/null 2>&1
export LOCPATH="$w" LC_ALL=de_DE.UTF-8 LANG=de_DE.UTF-8
all "$w/comma" >/dev/null 2>&1
diff -r "$w/c" "$w/comma" >"$w/diff" && echo "ok locale-of-the-process-has-no-say" ||
    echo "FAILED locale-of-the-process-has-no-say: $(head -3 "$w/diff")"
n=$(find "$w/c" -type f | wc -l)
[ "$n" -gt 30 ] && echo "ok locale-of-the-process-tried ($n files)" || echo "FAILED locale-of-the-process-tried: $n files"
