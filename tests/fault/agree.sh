#!/bin/sh
# endfeel agree: every way of getting the call or a row wrong has its exit status, names the place
# and says what to do, and every row is counted once.
cd "$TOP" || exit 3
d=$(mktemp -d "$WORK/agree.XXXX")
expect() { # NAME STATUS WORDS -- ARGUMENTS
    name=$1 status=$2 words=$3
    shift 4
    "$ENDFEEL" agree "$@" >"$d/out" 2>"$d/err" </dev/null
    got=$?
    if [ "$got" != "$status" ]; then
        echo "FAILED agree-$name: exit status $got instead of $status: $(head -3 "$d/err")"
    elif [ -n "$words" ] && ! grep -qF -e "$words" "$d/out" "$d/err"; then
        echo "FAILED agree-$name: does not say '$words' but: $(head -3 "$d/err")"
    else
        echo "ok agree-$name"
    fi
}
class=fixtures/class/eight-raters.csv

# The call.
expect no-scale 2 '--scale angle or --scale grade' -- "$class"
expect scale-unknown 2 "did you mean 'angle'" -- --scale angel "$class"
expect no-file 2 'name at least one' -- --scale angle
expect format-unknown 2 "did you mean 'csv'" -- --scale angle --format cvs "$class"
expect option-of-another 2 "not an option of 'agree'" -- --scale angle --latest "$class"

expect file-missing 1 'cannot open' -- --scale angle --format csv "$d/none.csv"
expect folder-empty 1 'no .csv file' -- --scale angle --format csv "$(mktemp -d "$d/e.XXXX")"
expect file-twice 0 'given twice' -- --scale angle --format csv "$class" "$class"
expect templates-missing 2 'cannot open' -- --scale angle --templates "$d/none" -o "$d/o" "$class"
mkdir "$d/t"
expect templates-without 2 'no template' -- --scale angle --templates "$d/t" -o "$d/o" "$class"
cp -r templates/parts templates/day-index.xml "$d/t/"
mv "$d/t/day-index.xml" "$d/t/agree.xml"
expect template-of-another-root 2 "'agree' here, not 'day'" -- --scale angle --templates "$d/t" -o "$d/o" "$class"
expect clinic-missing 2 'cannot open' -- --scale angle --clinic "$d/none.xml" -o "$d/o" "$class"
expect reference-missing 2 '' -- --scale angle --reference "$d/none" -o "$d/o" "$class"
expect map-missing 2 'cannot open' -- --scale angle --map "$d/none.xml" --format csv "$class"
: >"$d/plain"
expect out-is-a-file 3 '' -- --scale angle -o "$d/plain/x" "$class"
if [ -c /dev/full ]; then
    "$ENDFEEL" agree -q --scale angle --format csv "$class" >/dev/full 2>"$d/err"
    [ $? = 3 ] && grep -q 'cannot write' "$d/err" && echo "ok agree-full-disk" ||
        echo "FAILED agree-full-disk: $(cat "$d/err")"
fi
[ ! -e "$d/o/agree.pdf" ] && echo "ok agree-nothing-half-done" || echo "FAILED agree-nothing-half-done"

# Columns.
table() { # NAME STATUS WORDS TEXT
    printf "$4" >"$d/in.csv"
    expect "$1" "$2" "$3" -- --scale angle --format csv "$d/in.csv"
}
table no-rater 1 'a column that is needed is not there; the file was not read: rater' 'subject,value\nA,3\n'
table misspelt 1 'nearest known: instructor' 'subject,rater,value,instuctor\nA,B,3,yes\n'
table column-twice 1 'two columns of one name' 'subject,rater,value,Value\nA,B,3,4\n'
table empty-file 1 'the file is empty' ''
table header-alone 1 'no reading that can be used' 'subject,rater,value\n'
table no-row-usable 1 'no reading that can be used' 'subject,rater,value\nA,B,WNL\n'
table ragged 1 'expected 3 fields, found 2' 'subject,rater,value\nA,B,10\nA,C\n'
table quote-open 1 'does not end' 'subject,rater,value\nA,B,10\nA,"C,10\n'
table not-utf-8 1 'not UTF-8' 'subject,rater,value\nA,B,10\nA,\377,10\n'

# Rows: each is held back with its place and what to type instead.
row() { # NAME WORDS ROW; beside a row that can be used
    printf 'subject,rater,value,try,instructor,test\nS,Z,10,,,\n%s\n' "$3" >"$d/in.csv"
    expect "$1" 1 "$2" -- --scale angle --format csv "$d/in.csv"
    grep -q "in.csv: 2 rows in = 1 used + 0 duplicates + 1 held back" "$d/err" &&
        echo "ok agree-$1-counted" || echo "FAILED agree-$1-counted: $(tail -1 "$d/err")"
    grep -q "in.csv:3:[1-6]: error: .*;" "$d/err" && echo "ok agree-$1-place" ||
        echo "FAILED agree-$1-place: $(cat "$d/err")"
}
row no-subject 'without a usable name (subject)' ',A,10,,,'
row no-rater-name 'without a usable name (rater)' 'S,,10,,,'
row colon 'without a usable name (rater)' 'S,A:B,10,,,'
row long-name 'without a usable name (subject)' "$(printf 'S%0121d' 1),A,10,,,"
row long-test 'without a usable name (test)' "S,A,10,,,$(printf 't%0121d' 1)"
row words-for-an-angle 'no measured number' 'S,A,WNL,,,'
row estimate 'no measured number' 'S,A,~95,,,'
row start-and-end 'a start and an end' 'S,A,10-95,,,'
row three-in-one 'three tries, or neutral-zero' 'S,A,95/97/96,,,'
row try-word 'not the number of a try' 'S,A,10,second,,'
row try-zero 'not the number of a try' 'S,A,10,0,,'
row try-too-many 'not the number of a try' 'S,A,10,13,,'
row tries-inside 'several readings in a cell' 'S,A,10; 12; 11,2,,'
row instructor-maybe 'yes or no' 'S,A,10,,maybe,'
row sign-in-extension 'short of zero or past zero' 'S,A,-5,,,knee extension PROM'
row two-sides 'rows in' 'S,A,R 118 L 130,,,'

# A row that repeats another with the same value is a duplicate, with another value both are held.
printf 'subject,rater,value\nS,A,10\nS,A,10\nS,B,11\nT,A,9\nT,A,10\n' >"$d/in.csv"
expect contradiction 1 '5 rows in = 2 used + 1 duplicates + 2 held back' -- --scale angle --format csv "$d/in.csv"
# Gaps are no fault.
printf 'subject,rater,value\nS,A,10\nS,B,NT\nT,A,12\nT,B,\n' >"$d/in.csv"
expect gaps 0 '4 rows in = 4 used' -- --scale angle --format csv "$d/in.csv"
expect gaps-told 0 'this rater has a gap' -- -v --scale angle --format csv "$d/in.csv"
"$ENDFEEL" agree -q --scale angle --format csv "$d/in.csv" 2>&1 >/dev/null | grep -q . &&
    echo "FAILED agree-quiet" || echo "ok agree-quiet"
# A declared minus is taken; the names of the map's columns do not matter.
printf '<column-map><signs extension-minus="short-of-zero"/></column-map>\n' >"$d/map.xml"
printf 'subject,rater,value,test\nS,A,-5,knee extension PROM\nS,B,-8,knee extension PROM\n' >"$d/in.csv"
expect declared-minus 0 'bias,A:B,3,' -- --scale angle --map "$d/map.xml" --format csv "$d/in.csv"
# Grades.
printf 'subject,rater,value\nS,A,4+/5\nS,B,Good\nT,A,3\nT,B,6\n' >"$d/in.csv"
expect grades 1 'within_one_grade_percent,A:B,100' -- --scale grade --format csv "$d/in.csv"
expect grades-counted 1 '4 rows in = 3 used + 0 duplicates + 1 held back' -- --scale grade --format csv "$d/in.csv"
# Two who say they are the instructor: both are raters, and it is said.
printf 'subject,rater,value,instructor\nS,A,10,yes\nS,B,11,yes\n' >"$d/in.csv"
expect two-instructors 0 'more than one instructor' -- --scale angle --format csv "$d/in.csv"
# Two tests are two tables, one header.
printf 'subject,rater,value,test\nS,A,10,one\nS,B,11,one\nS,A,50,two\nS,B,52,two\n' >"$d/in.csv"
expect two-tests 0 'bias,A:B,-2,' -- --scale angle --format csv "$d/in.csv"
[ "$(grep -c '^quantity,raters,value,low,high,note' "$d/out")" = 1 ] && grep -q 'bias,A:B,-1,.*test one' "$d/out" &&
    echo "ok agree-one-header" || echo "FAILED agree-one-header"
# Standard input, and the same figures as from a file.
"$ENDFEEL" agree -q --scale angle --format csv "$class" >"$d/a" 2>/dev/null
"$ENDFEEL" agree -q --scale angle --format csv - <"$class" >"$d/b" 2>/dev/null
"$ENDFEEL" agree -q --scale angle --format csv -o "$d/c" "$class" 2>/dev/null
cmp -s "$d/a" "$d/b" && cmp -s "$d/a" "$d/c" && [ -s "$d/a" ] && echo "ok agree-same-from-stdin" ||
    echo "FAILED agree-same-from-stdin"
