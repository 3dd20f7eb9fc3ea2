#!/bin/sh
# A pipe, socket, device, folder, or a link to one, where a file belongs. In the output folder it is
# named in an error; as an input too, but for a pipe that someone writes to. Never a hang, and nothing
# takes its place; once the file is back, the next run comes to the folder of a run that was not
# disturbed.
#
# WHOLE ("")   each of them in each place, where `make check` puts pipes only
cd "$TOP" || exit 3
w="$WORK/nofile" day=2025-03-14
mkdir -p "$w"
row() { echo "$1,$day,knee,flexion,right,AROM,$2"; }
{ echo patient_id,visit_date,joint,motion,side,test,value && row P1 120 && row P2 110; } >"$w/in.csv"
sed 's/,120$/,121/' "$w/in.csv" >"$w/corrected.csv"
mkfifo "$w/fifo"
ln -s /dev/null "$w/device"
report() { timeout 60 "$ENDFEEL" report --today 2030-01-01 -j1 -k chart --with-findings "$@" 2>"$w/err"; }

# ---- inputs: nobody writes to the pipe; all at once, since each waits its while ----
mkdir "$w/t" "$w/r"
mkfifo "$w/t/chart.xml" "$w/r/knee.xml"
sed 's|<page [^>]*>|&<image src="../fifo" alt="x"/>|' templates/chart.xml >"$w/image.xml"
cp -rL templates "$w/i" && mv "$w/image.xml" "$w/i/chart.xml"
echo '<clinic><logo>fifo</logo></clinic>' >"$w/logo.xml"
alone() { # NAME STATUS TEXT COMMAND...
    name=$1 wanted=$2 text=$3
    shift 3
    timeout 60 "$ENDFEEL" "$@" >"$w/$name.out" 2>&1
    got=$?
    if [ $got = "$wanted" ] && grep -qF "$text" "$w/$name.out"; then
        echo "ok nofile-input-$name"
    else
        echo "FAILED nofile-input-$name: $got $(head -3 "$w/$name.out")"
    fi
}
waits='fifo: system: cannot open: a pipe that nothing writes to (10 seconds)'
{
    alone csv 1 "$waits" report -o "$w/n1" "$w/fifo" &
    alone history 1 "$waits" report -o "$w/n2" --history "$w/fifo" "$w/in.csv" &
    alone map 2 "$waits" report -o "$w/n3" --map "$w/fifo" "$w/in.csv" &
    alone clinic 2 "$waits" report -o "$w/n4" --clinic "$w/fifo" "$w/in.csv" &
    alone password 2 "$waits" report -o "$w/n5" --protect "$w/fifo" "$w/in.csv" &
    alone template 2 'chart.xml: system: cannot open: a pipe that' report -o "$w/n6" -k chart --templates "$w/t" "$w/in.csv" &
    alone templates-folder 2 "$w/fifo" report -o "$w/n7" -k chart --templates "$w/fifo" "$w/in.csv" &
    alone reference 2 "$w/r: error" report -o "$w/n8" --reference "$w/r" "$w/in.csv" &
    alone reference-folder 2 'fifo: system: cannot open: Not a directory' report -o "$w/n9" --reference "$w/fifo" "$w/in.csv" &
    alone image 2 'not a file' report -o "$w/n10" -k chart --templates "$w/i" "$w/in.csv" &
    alone logo 2 'fifo: not a file' report -o "$w/n11" --clinic "$w/logo.xml" "$w/in.csv" &
    alone agree 1 "$waits" agree --scale angle -o "$w/n12" "$w/fifo" &
    alone findings 3 'device: system: cannot write: a pipe, socket or device' findings -o "$w/device" "$w/in.csv" &
    alone out 3 'fifo: system: cannot write' report -o "$w/fifo" "$w/in.csv" &
    wait
} >"$w/inputs" &
inputs=$!
# One that takes longer than that to say the first word is waited for, and so is one who comes late.
mkfifo "$w/slow"
{ sleep 3 && exec >"$w/slow" && sleep 11 && cat "$w/in.csv"; } &
timeout 60 "$ENDFEEL" check --today 2030-01-01 "$w/slow" >"$w/slow.out" 2>&1 &
slow=$!

# ---- the output folder ----
report --print-all -o "$w/base" "$w/in.csv"
cp -a "$w/base" "$w/whole" && report --print-all -o "$w/whole" "$w/corrected.csv"
put() { # WHAT PLACE
    rm -rf "$2"
    case $1 in
    fifo) mkfifo "$2" ;;
    folder) mkdir "$2" ;;
    socket) "$PYTHON" -c 'import socket, sys; socket.socket(socket.AF_UNIX).bind(sys.argv[1])' "$2" ;;
    link-to-fifo) ln -s "$w/fifo" "$2" ;;
    link-to-device) ln -s /dev/zero "$2" ;;
    esac
}
stands() { # WHAT STATUS FILE...
    what=$1 wanted=$2 why=
    shift 2
    rm -rf "$w/o"
    cp -a "$w/base" "$w/o"
    mkdir -p "$w/o/$day/superseded"
    for file in "$@"; do put "$what" "$w/o/$file"; done
    report --print-all -o "$w/o" "$w/corrected.csv"
    got=$?
    [ $got = "$wanted" ] || why=" status $got"
    grep -qF "${1%.part}: system:" "$w/err" || why="$why, not named"
    for file in "$@"; do # put back as it was
        case $file in *.part) ;; *) [ -f "$w/o/$file" ] && why="$why, $file was replaced" ;; esac
        rm -rf "${w:?}/o/$file"
        [ ! -e "$w/base/$file" ] || cp -a "$w/base/$file" "$w/o/$file"
    done
    report --print-all -o "$w/o" "$w/corrected.csv"
    diff -r "$w/o" "$w/whole" >"$w/diff" 2>&1 || why="$why, next run: $(head -c 300 "$w/diff")"
    [ -z "$why" ] && echo "ok nofile-$what-$1" || echo "FAILED nofile-$what-$1:$why: $(head -5 "$w/err")"
}
values="$day/.values/P1.xml" pdf="$day/P1_${day}_chart.pdf"
for what in fifo ${WHOLE:+folder socket link-to-fifo link-to-device}; do
    for file in manifest.csv .journal .lock "$values" "$pdf"; do stands $what 3 "$file"; done
    stands $what 3 "$day/superseded/P1_${day}_chart_v1.pdf"
    [ $what = folder ] || stands $what 3 "$day/superseded"
    stands $what 3 exceptions.csv findings.csv day-index.pdf print-all.pdf
    for file in "$values.part" "$pdf.part" manifest.csv.part; do stands $what 3 "$file"; done
done

wait $inputs
cat "$w/inputs"
wait $slow
[ $? = 0 ] && grep -q '2 rows in = 2 used' "$w/slow.out" && echo "ok nofile-slow-writer" ||
    echo "FAILED nofile-slow-writer: $(cat "$w/slow.out")"
rm -rf "$w"
