#!/bin/sh
# One report that never ends, takes all memory or crashes its worker: that report is missing, the
# run says which and why, everything else is there, and the next run without the fault completes.
cd "$TOP" || exit 3
w="$WORK/limits" day=2025-03-14
mkdir -p "$w"
cp -rL templates "$w/templates"
cat >"$w/in.csv" <<CSV
patient_id,name,visit_date,visit_kind,referrer,joint,motion,side,test,value
P1,Ann Example,$day,visit,Dr Ash,knee,flexion,right,AROM,112
P2,Bo Example,$day,visit,Dr Ash,knee,flexion,left,AROM,101
P2,Bo Example,$day,visit,Dr Ash,hip,flexion,left,AROM,88
P3,Cy Example,$day,visit,Dr Ash,hip,flexion,left,AROM,88
CSV
"$ENDFEEL" report -q --today 2030-01-01 -j2 -o "$w/whole" "$w/in.csv" 2>/dev/null
template() { # FILE TEXT: as the first thing on the page of P2 alone
    cp templates/letter.xml templates/day-index.xml "$w/templates"
    sed "s|<include part=\"letterhead\"/>|&<when test=\"patient/@id = 'P2'\">$2</when>|" \
        "templates/$1.xml" >"$w/templates/$1.xml"
}
run() { # OUT ARGUMENTS
    to=$1
    shift
    "$ENDFEEL" report --today 2030-01-01 -j2 -o "$to" --templates "$w/templates" "$@" \
        "$w/in.csv" >/dev/null 2>"$w/err"
}
# The fault of P2's letter is told with its place and why; the others of the folder are whole.
alone() { # NAME STATUS OUT WORDS
    name=$1 got=$2 out=$3 words=$4
    why=
    [ "$got" = 3 ] || why="status $got"
    grep -q "in.csv:3: system: .*kind letter: $words" "$w/err" || why="$why not said: $(cat "$w/err")"
    grep -q "in.csv,3,,held-back,report-lost,,.*kind letter: $words" "$out/exceptions.csv" ||
        why="$why not in the list: $(cat "$out/exceptions.csv")"
    grep -q "4 rows in = 4 used" "$w/err" || why="$why sums: $(cat "$w/err")"
    pdftotext "$out/day-index.pdf" - | tr '\n' ' ' | grep -q 'kind letter' || why="$why not in the index"
    for f in P1 P3; do
        for kind in chart letter; do
            cmp -s "$out/$day/${f}_${day}_$kind.pdf" "$w/whole/$day/${f}_${day}_$kind.pdf" ||
                why="$why $f $kind differs"
        done
    done
    cmp -s "$out/$day/P2_${day}_chart.pdf" "$w/whole/$day/P2_${day}_chart.pdf" || why="$why chart"
    [ ! -e "$out/$day/P2_${day}_letter.pdf" ] || why="$why the letter is there"
    [ "$(grep -c ',letter,' "$out/manifest.csv")" = 2 ] || why="$why manifest"
    [ -z "$(find "$out" -name '*.part')" ] || why="$why parts are left"
    [ -z "$why" ] && echo "ok $name" || echo "FAILED $name: $why"
    "$ENDFEEL" report -q --today 2030-01-01 -o "$out" "$w/in.csv" 2>/dev/null
    diff -r "$out" "$w/whole" >"$w/diff" && echo "ok $name-next-run" ||
        echo "FAILED $name-next-run: $(head -3 "$w/diff")"
}
each='<each select="//*">' close='</each>'
# The number of elements to the power of twelve, and nothing on the page.
forever="<when test=\"false()\"><para>x</para></when>"
for _ in 1 2 3 4 5 6 7 8 9 10 11 12; do
    forever="$each$forever$close"
done
template letter "$forever"
run "$w/hang" --time-limit 1
alone hang $? "$w/hang" 'it took more than 1 seconds of processor time'

if ! ldd "$ENDFEEL" 2>/dev/null | grep -q libasan; then # that has a limit of its own
    template letter "$each$each$each$each<para>x</para>$close$close$close$close"
    run "$w/bomb" --memory-limit 60
    alone bomb $? "$w/bomb" 'memory ran out; 60 MB are allowed'
fi

# A crash: the signal comes from outside while the letter is in hand.
victim() { # OUT SIGNAL TIME-LIMIT: strikes the worker that is busy when the others are done
    "$ENDFEEL" report --today 2030-01-01 -j2 -o "$1" --templates "$w/templates" \
        --time-limit "$3" "$w/in.csv" >/dev/null 2>"$w/err" &
    pid=$!
    target=
    for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25 26 27 28 29 30; do
        sleep 0.1
        for child in $(cat "/proc/$pid/task/$pid/children" 2>/dev/null); do
            # Fields 14 and 3 of its line: ticks of processor time, and whether it runs.
            awk '{ exit !($14 > 20 && $3 == "R") }' "/proc/$child/stat" 2>/dev/null && target=$child
        done
        [ -z "$target" ] || break
    done
    [ -z "$target" ] || kill "-$2" "$target"
    wait $pid
}
template letter "$forever"
# The address sanitizer would answer the signal itself.
export ASAN_OPTIONS="${ASAN_OPTIONS:-}:handle_segv=0"
victim "$w/crash" SEGV 60
alone crash $? "$w/crash" 'the worker was ended by signal 11'
if [ -n "${LIMITS_LONG:-}" ]; then # ten times the limit
    victim "$w/stuck" STOP 2
    alone stuck $? "$w/stuck" 'no answer for 20 seconds'
fi

# Asked twice to stop, it stops at once, even where nothing else would end it.
template letter "$forever"
# Not in the background of this shell, where an interrupt would be ignored.
"$PYTHON" - "$ENDFEEL" "$w" <<'EOF2'
import signal, subprocess, sys, time
program, w = sys.argv[1:]
# A run in the background inherits that interrupts are ignored, until it has a handler of its own.
signal.signal(signal.SIGINT, signal.SIG_DFL)
# At once wherever it is: starting, forking, waiting for its worker.
for after in 0.01, 0.02, 0.03, 0.05, 0.08, 0.12, 0.2, 0.3:
    p = subprocess.Popen([program, "report", "-q", "--today", "2030-01-01", "-j1", "-o", w + "/int",
                          "--templates", w + "/templates", w + "/in.csv"], stderr=subprocess.DEVNULL)
    time.sleep(after)
    p.send_signal(signal.SIGINT)
    try:
        p.wait(20)
        print("ok interrupt-ends-it" if p.returncode == -signal.SIGINT
              else "FAILED interrupt-ends-it: %d after %g s" % (p.returncode, after))
    except subprocess.TimeoutExpired:
        p.kill()
        print("FAILED interrupt-ends-it: it goes on, asked after %g s" % after)
EOF2
"$ENDFEEL" report -q --today 2030-01-01 -o "$w/int" "$w/in.csv" 2>/dev/null
diff -r "$w/int" "$w/whole" >"$w/diff" && echo "ok interrupt-next-run" ||
    echo "FAILED interrupt-next-run: $(head -3 "$w/diff")"

# The day index belongs to the parent: it says so and ends, and the reports stay.
template day-index ''
sed "s|<page [^>]*>|&$forever|" templates/day-index.xml >"$w/templates/day-index.xml"
run "$w/day" --time-limit 1
got=$?
[ $got = 3 ] && grep -q 'the day index took more processor time' "$w/err" && echo "ok day-index-hang" ||
    echo "FAILED day-index-hang: $got $(cat "$w/err")"
[ "$(find "$w/day/$day" -maxdepth 1 -name '*.pdf' | wc -l)" = 6 ] && echo "ok day-index-hang-keeps" ||
    echo "FAILED day-index-hang-keeps"
"$ENDFEEL" report -q --today 2030-01-01 -o "$w/day" "$w/in.csv" 2>/dev/null
diff -r "$w/day" "$w/whole" >"$w/diff" && echo "ok day-index-hang-next-run" ||
    echo "FAILED day-index-hang-next-run: $(head -3 "$w/diff")"

# What a visit takes is given back after it: a patient with many does not run into the limit.
if ! ldd "$ENDFEEL" 2>/dev/null | grep -q libasan; then
    awk 'BEGIN {
        print "patient_id,visit_date,visit_kind,joint,motion,side,test,value"
        n = split("shoulder,flexion shoulder,abduction knee,flexion elbow,flexion", motion, " ")
        for (i = 0; i < 120; i++)
            for (k = 1; k <= 3 * n; k++)
                printf "P8,2024-%02d-%02d,visit,%s,%s,%s,%d\n", i / 28 + 1, i % 28 + 1,
                    motion[(k - 1) % n + 1], ((i + k) % 2) ? "left" : "right",
                    (k > 2 * n) ? "PROM" : "AROM", 90 + (i + k) % 20
    }' >"$w/many.csv"
    "$ENDFEEL" findings -q --every-visit --today 2030-01-01 --memory-limit 64 -j1 -o "$w/many.out" \
        "$w/many.csv" 2>"$w/err"
    [ "$(cut -d , -f 2 "$w/many.out" | sort -u | wc -l)" = 121 ] && echo "ok visit-memory" ||
        echo "FAILED visit-memory: $(cat "$w/err")"
fi

# A patient that ends its worker before the first report: its rows are counted as held back.
if ! ldd "$ENDFEEL" 2>/dev/null | grep -q libasan; then
    head -1 "$w/in.csv" >"$w/huge.csv"
    awk 'BEGIN { for (i = 0; i < 60000; i++)
        printf "P9,,2025-03-14,visit,,knee,flexion,right,AROM,%d\n", i % 130 }' >>"$w/huge.csv"
    "$ENDFEEL" report --today 2030-01-01 --memory-limit 30 -j1 -o "$w/o9" "$w/huge.csv" "$w/in.csv" \
        2>"$w/err"
    got=$?
    [ $got = 3 ] && grep -q 'huge.csv:2: system: .*the patient has no report: memory ran out' "$w/err" &&
        grep -q 'huge.csv: 60000 rows in = 0 used + 0 duplicates + 60000 held back' "$w/err" &&
        [ "$(find "$w/o9/$day" -maxdepth 1 -name '*.pdf' | wc -l)" = 6 ] && echo "ok lost-patient" ||
        echo "FAILED lost-patient: $got $(head -c 600 "$w/err")"
    # What is too much for one limit is set under a higher one.
    head -1 "$w/in.csv" >"$w/visits.csv"
    awk 'BEGIN { for (i = 0; i < 2000; i++) printf "P9,,%d-%02d-%02d,visit,,knee,flexion,right,AROM,%d\n",
        2000 + i / 336, i / 28 % 12 + 1, i % 28 + 1, 60 + i % 50 }' >>"$w/visits.csv"
    many() { "$ENDFEEL" report --today 2030-01-01 -k chart -j1 "$@" "$w/visits.csv" 2>"$w/err"; }
    many --memory-limit 15 -o "$w/o10"
    got=$?
    [ $got = 3 ] && grep -q 'memory ran out; 15 MB are allowed (--memory-limit)' "$w/err" &&
        grep -q '2000 rows in = 0 used + 0 duplicates + 2000 held back' "$w/err" && many -o "$w/o10" &&
        grep -q '2000 rows in = 2000 used' "$w/err" && echo "ok many-visits" ||
        echo "FAILED many-visits: $got $(head -c 600 "$w/err")"
fi
rm -rf "$w"
