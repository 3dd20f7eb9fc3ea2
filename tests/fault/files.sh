#!/bin/sh
# Input that is no good file: empty, cut off, huge, binary, a folder, a pipe, not to be read, or
# changed while it is read. Each has its status, its message with the place and what to do, and
# the rows that can be used are; nothing is lost without a word. And files that can be read in two
# ways: each is held back with the question, and read once the question is answered.
#
# WHOLE ("")   more than 2 GB, where 4 MB are read otherwise
cd "$TOP" || exit 3
w="$WORK/files"
mkdir -p "$w"
in="$w/in.csv" export=$((4 << 20))
[ -z "${WHOLE:-}" ] || export=$((2100 << 20))
header=patient_id,visit_date,joint,motion,side,test,value
row() { echo "$1,2025-03-14,knee,flexion,right,AROM,0-${2:-120}"; }
many() { head -c "$1" /dev/zero | tr '\0' "$2"; }
# The status, and each text in the messages or on the list of what is held back.
gives() { # NAME STATUS GOT TEXT...
    name=$1 wanted=$2 got=$3 why=
    shift 3
    [ "$got" = "$wanted" ] || why=" status $got"
    cat "$w/err" "$w/out" >"$w/said"
    for text in "$@"; do
        grep -qF -- "$text" "$w/said" || why="$why, not said: $text"
    done
    [ -z "$why" ] && echo "ok file-$name" || echo "FAILED file-$name:$why: $(head -c 2000 "$w/said")"
}
check() { timeout 300 "$ENDFEEL" check --today 2030-01-01 "$@" >"$w/out" 2>"$w/err"; }
reads() { # NAME STATUS TEXT...
    name=$1 status=$2
    shift 2
    check "$in"
    gives "$name" "$status" $? "$@"
}

# ---- nothing in it ----
: >"$in"
reads empty 1 'in.csv: error: the file is empty; export it again'
printf '\357\273\277' >"$in"
reads mark-alone 1 'in.csv: error: the file is empty; export it again'
printf '\n  \r\n\n' >"$in"
reads blank-lines 1 'in.csv: error: the file is empty; export it again'
echo $header >"$in"
reads header-alone 0 'in.csv: warning: a header and no rows' '0 rows in = 0 used'
check /dev/null
gives null-device 1 $? '/dev/null: error: the file is empty'

# ---- cut off ----
{ echo $header,note && row P1 | tr '\n' , && printf 'caf\303'; } >"$in"
reads half-a-letter 1 'in.csv:2:8: held-back: a cell that is not UTF-8' 'or declare encoding' \
    '1 rows in = 0 used + 0 duplicates + 1 held back'
{ echo $header && row P1 && printf 'P2,2025-03-14,knee,flex'; } >"$in"
reads half-a-row 1 'in.csv:3:0: held-back:' 'the last row is cut off' 'expected 7 fields, found 4' \
    'export the file again' '2 rows in = 1 used + 0 duplicates + 1 held back'
{ echo $header && row P1 && printf 'P2,2025-03-14,knee,flexion,right,AROM,0-12'; } >"$in"
reads no-last-line-end 0 'in.csv:3:0: note: the last row has no line end' '2 rows in = 2 used'

# ---- too much of it ----
{ echo $header,note && row P1 | tr '\n' , && many 1000000 x && echo && row P2 | sed 's/$/,/'; } >"$in"
reads cell-of-a-megabyte 1 'in.csv:2:8: held-back:' 'a cell longer than 65536 bytes; shorten it' \
    '2 rows in = 1 used + 0 duplicates + 1 held back'
{ echo $header,note && row P1 | tr '\n' , && many 2000000 x && echo && row P2 | sed 's/$/,/'; } >"$in"
reads line-of-two-megabytes 1 'in.csv:2:1: held-back: a line longer than 1048576 bytes' \
    '2 rows in = 1 used + 0 duplicates + 1 held back'
# A line of just the megabyte is a row.
{
    echo $header,a,b,c,d,e,f,g,h,i,j,k,l,m,n,o,p
    row P1 | tr '\n' ,
    for i in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15; do many 65000 x && printf ,; done
    many 65000 x && echo
} >"$in"
reads line-of-a-megabyte 0 '1 rows in = 1 used' "'a': a column that is not known"
wide() { # COLUMNS
    awk -v n="$1" -v h=$header -v r="$(row P1)" 'BEGIN {
        for (i = 8; i <= n; i++) { h = h ",c" i; r = r "," }
        print h; print r }' >"$in"
}
wide 10000
reads ten-thousand-columns 0 'in.csv:1:10000: note: c10000:' '1 rows in = 1 used'
wide 10001
reads a-column-more 1 'in.csv:1:10001: error: the header row cannot be read: too many columns'
many 2000000 x >"$in"
reads header-of-two-megabytes 1 'in.csv:1: error: the header row cannot be read: a line longer than'
check /dev/zero
gives endless 1 $? '/dev/zero:1: error: the header row cannot be read: a line longer than'

# ---- no text ----
{ echo $header,note && row P1 | tr '\n' , && printf 'a\000b\n' && row P2 | sed 's/$/,/'; } >"$in"
reads nul-in-a-cell 1 'in.csv:2:8: held-back: a NUL byte in a cell; export the file again' \
    '2 rows in = 1 used + 0 duplicates + 1 held back'
many 4096 '\0' >"$in"
reads nul-alone 1 'in.csv:1:1: error: the header row cannot be read: a NUL byte'
printf 'PK\003\004rest' >"$in"
reads workbook 1 'in.csv: error: not a CSV text file: a spreadsheet workbook; save it as CSV UTF-8'

# ---- large: a hole of so many bytes between two rows, and as many blank ones through a pipe ----
{ echo $header && row P1; } >"$in"
truncate -s "+$export" "$in"
{ echo && row P2; } >>"$in"
reads large 1 'in.csv:3:1: held-back: a line longer than' \
    '3 rows in = 2 used + 0 duplicates + 1 held back'
rm "$in"
blank=$(many 999999 ' ')
{
    echo $header && row P1
    i=$((export / 1000000))
    while [ $i -gt 0 ]; do echo "$blank"; i=$((i - 1)); done
    row P2 0-5-May
} | check -
gives large-pipe 1 $? "-:$((export / 1000000 + 3)):7: held-back:" \
    '2 rows in = 1 used + 0 duplicates + 1 held back'

# ---- no plain file ----
{ echo $header && row P1; } | check /dev/stdin
gives standard-input 0 $? '/dev/stdin: 1 rows in = 1 used'
mkfifo "$w/a.pipe"
{ echo $header && row P1; } >"$w/a.pipe" &
check "$w/a.pipe"
gives pipe 0 $? 'pipe: 1 rows in = 1 used'
: | check -
gives empty-pipe 1 $? '-: error: the file is empty'
mkdir "$w/folder"
check "$w/folder"
gives folder-without-files 1 $? 'folder: error: no .csv file in this folder' 'name the files'
mkdir "$w/folder/in.csv"
check "$w/folder"
gives folder-named-as-file 1 $? 'folder: error: no .csv file in this folder'
check - <"$w/folder"
gives folder-as-standard-input 1 $? '-: error: a folder, not a file; name the files in it'
check "$w/missing.csv"
gives missing 1 $? 'missing.csv: system: cannot open: No such file or directory; check the path'

# ---- not to be read ----
{ echo $header && row P1; } >"$in"
cp "$in" "$w/closed.csv" && chmod 000 "$w/closed.csv"
as=
[ "$(id -u)" != 0 ] || as="setpriv --reuid=65534 --regid=65534 --clear-groups"
chmod 711 "$WORK" "$w" && chmod 644 "$in"
if $as "$ENDFEEL" --version >/dev/null 2>&1; then
    $as "$ENDFEEL" check --today 2030-01-01 "$w/closed.csv" >"$w/out" 2>"$w/err"
    gives unreadable 1 $? 'closed.csv: system: cannot open: Permission denied; check the path and its' \
        'no input could be read'
    # Beside another that can be read: that one is, and the run says what it lacks.
    $as "$ENDFEEL" check --today 2030-01-01 "$in" "$w/closed.csv" >"$w/out" 2>"$w/err"
    gives unreadable-beside-another 1 $? 'Permission denied' 'in.csv: 1 rows in = 1 used'
else
    echo "skip file-unreadable: no other user can run the program"
fi

# ---- changed while it is read: the pipe before it holds the program until that is done ----
changes() { # NAME STATUS COMMAND TEXT...
    name=$1 status=$2 command=$3
    shift 3
    { echo $header && seq -f 'P%g,2025-03-14,knee,flexion,right,AROM,0-120' 4000; } >"$in"
    timeout 120 "$ENDFEEL" check --today 2030-01-01 "$w/a.pipe" "$in" >"$w/out" 2>"$w/err" &
    exec 9>"$w/a.pipe"
    { echo $header && row Q1; } >&9
    i=0
    until find /proc/[0-9]*/fd -lname "$in" 2>/dev/null | grep -q . || [ $i = 300 ]; do
        sleep 0.1
        i=$((i + 1))
    done
    $command
    exec 9>&-
    wait $!
    gives "$name" "$status" $? "$@"
}
cut() { truncate -s "$(head -n 2001 "$in" | wc -c)" "$in"; }
cut_to_nothing() { : >"$in"; }
grow() { row P4001 >>"$in"; }
vanish() { rm "$in"; }
changes shorter-while-read 3 cut 'system: cannot read: it became shorter while it was read; export'
changes emptied-while-read 3 cut_to_nothing 'it became shorter while it was read'
changes longer-while-read 3 grow 'system: cannot read: it grew while it was read; run again when'
changes vanished-while-read 0 vanish 'in.csv: 4000 rows in = 4000 used'

# ---- which of two: asked, answered, read ----
# The file comes on standard input; with the map's answer it is read.
asks() { # NAME QUESTION ANSWER WHAT-IS-READ
    what=$1 question=$2 answer=$3 then=$4
    cat >"$in"
    check "$in"
    gives "asked-$what" 1 $? "$question"
    echo "<column-map>$answer</column-map>" >"$w/map.xml"
    "$ENDFEEL" check --today 2030-01-01 --map "$w/map.xml" --dump model "$in" >"$w/out" 2>"$w/err"
    gives "answered-$what" 0 $? "$then"
}
{ echo "$header;note, free" | tr , ';' | sed 's/; free/, free/' && row P1 118 | tr , ';' | sed 's/$/;x/'; } |
    asks delimiter 'in.csv:1: error: which mark parts the cells? the header holds several; put sep=, or' \
        '<file delimiter="semicolon"/>' 'start=0 end=118'
{ echo $header,note && printf '%s,caf\351\n' "$(row P1 118)"; } |
    asks encoding 'in.csv:2:8: held-back: a cell that is not UTF-8, nor the declared encoding; save' \
        '<file encoding="windows-1252"/>' 'note="café"'
{ echo $header && row P1 118; } | iconv -f UTF-8 -t UTF-16LE |
    asks byte-order 'in.csv: error: which encoding? it is not UTF-8 and has no byte order mark' \
        '<file encoding="utf-16le"/>' 'start=0 end=118'
decimal=': a decimal comma, or two values?; type 95; 97 for two tries, or a decimal point, or declare decimal'
{ echo $header && echo 'P1,2025-03-14,knee,flexion,right,AROM,"95,97"'; } >"$w/decimal"
asks decimal-comma "in.csv:2:7: held-back: value: '95,97'$decimal" '<file decimal="comma"/>' \
    'end=95.97' <"$w/decimal"
{ echo $header && row P1 118 | sed 's|2025-03-14|03/04/2025|'; } >"$w/dates"
order="in.csv:2:2: held-back: visit_date: '03/04/2025': day first or month first?; type the date as YYYY-MM-DD, or declare dates order"
asks day-first "$order" '<dates order="dmy"/>' 'visit 2025-04-03' <"$w/dates"
asks month-first "$order" '<dates order="mdy"/>' 'visit 2025-03-04' <"$w/dates"
{ echo $header && row P1 118 | sed 's|2025-03-14|14.03.25|'; } |
    asks two-digit-year 'the year is missing or has two digits; type the date as YYYY-MM-DD, or declare two-digit' \
        '<dates order="dmy" two-digit-years-from="1950"/>' 'visit 2025-03-14'
{ echo $header && echo 'P1,2025-03-14,knee,extension,right,PROM,-10'; } >"$w/sign"
sign='short of zero or past zero?; type lacks 10 or hyper 10 in the extension row, or declare extension-minus in a column map'
asks short-of-zero "$sign" '<signs extension-minus="short-of-zero"/>' 'PROM measured end=-10' <"$w/sign"
asks past-zero "$sign" '<signs extension-minus="past-zero"/>' 'PROM measured end=10' <"$w/sign"
