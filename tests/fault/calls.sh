#!/bin/sh
# Every system call that can fail does so once, one after the other, in a run that has something to
# amend: the run says so or comes out whole all the same; no file is torn; the next run comes to the
# same folder as one that was never disturbed. FAULT_STEP thins the counts out (1: every call);
# FAULT_PLACES is at how many places memory runs out, for one allocation and for all after it.
cd "$TOP" || exit 3
if ldd "$ENDFEEL" 2>/dev/null | grep -q libasan; then
    echo "skipped calls: a preloaded library and the address sanitizer exclude each other"
    exit 0
fi
w="$WORK/calls"
mkdir -p "$w"
if ! ${CC:-cc} -O1 -shared -fPIC -w -o "$w/shim.so" tests/fault/shim.c -ldl 2>"$w/cc"; then
    echo "FAILED calls: the shim does not compile: $(head -3 "$w/cc")"
    exit 0
fi
day=2025-03-14
cat >"$w/before.csv" <<CSV
patient_id,name,visit_date,visit_kind,referrer,joint,motion,side,test,value
P1,Ann Example,$day,evaluation,Dr Ash,knee,flexion,right,AROM,112
P2,Bo Example,$day,visit,,knee,flexion,left,AROM,101
CSV
sed 's/,112/,121/' "$w/before.csv" >"$w/after.csv"
echo "P3,Cy Example,$day,visit,,hip,flexion,left,AROM,88" >>"$w/after.csv"
run() { "$ENDFEEL" report --today 2030-01-01 -j1 --with-findings --print-all -o "$1" "$w/after.csv" >/dev/null 2>"$w/err"; }
"$ENDFEEL" report -q --today 2030-01-01 -j1 --with-findings --print-all -o "$w/base" "$w/before.csv" 2>/dev/null
cp -a "$w/base" "$w/whole"
run "$w/whole" || echo "FAILED calls: the undisturbed run ended with $?"

# Reports and values are what they were or what they are to be; lists end with a whole line.
torn() { # FOLDER
    (cd "$1" && find . -type f ! -name '.lock' ! -name '.journal' ! -name '*.csv' ! -name 'day-index.pdf' ! -name 'print-all.pdf' ! -name '*.part') | while read -r f; do
        cmp -s "$1/$f" "$w/base/$f" || cmp -s "$1/$f" "$w/whole/$f" || echo "$f"
    done
    for pdf in "$1/day-index.pdf" "$1/print-all.pdf"; do
        [ ! -e "$pdf" ] || tail -c 6 "$pdf" | grep -q '%%EOF' || echo "$pdf"
    done
    for list in "$1"/*.csv; do
        [ "$(tail -c 1 "$list" | od -An -tx1 | tr -d ' ')" = 0a ] || echo "$list"
    done
}
fault() { # CALL PATH ERRNO [STEP]: counts up until the call is not made so often
    call=$1 path=$2 error=$3 n=1 tried=0 bad=0
    step=${4:-${FAULT_STEP:-40}}
    place=$(basename "$path")
    while :; do
        rm -rf "$w/o"
        cp -a "$w/base" "$w/o"
        printf '\0\0\0\0\0\0\0\0' >"$w/count"
        timeout 60 env FAULT="$call:$path:$n:$error" FAULT_COUNT="$w/count" TMPDIR="$w" \
            LD_PRELOAD="$w/shim.so" "$ENDFEEL" report --today 2030-01-01 -j1 --with-findings --print-all -o "$w/o" \
            "$w/after.csv" >/dev/null 2>"$w/err"
        got=$?
        [ "$(od -An -j4 -N1 -tu1 "$w/count" | tr -d ' ')" = 1 ] || break
        tried=$((tried + 1))
        why=
        case $got in
        0) diff -r "$w/o" "$w/whole" >"$w/diff" || why="status 0, but $(head -2 "$w/diff")" ;;
        1 | 2 | 3) grep -q '^endfeel: ' "$w/err" || why="status $got without a word" ;;
        *) why="status $got" ;;
        esac
        t=$(torn "$w/o")
        [ -z "$t" ] || why="$why torn: $t"
        # Without memory the program ends where it stands: its parts go with the next run, as after
        # a kill. Of every other failure none is left.
        [ "$call" = memory ] || [ -z "$(find "$w/o" -name '*.part')" ] || why="$why parts are left"
        cp "$w/err" "$w/err1"
        run "$w/o"
        diff -r "$w/o" "$w/whole" >"$w/diff" || why="$why next run: $(head -3 "$w/diff")"
        if [ -n "$why" ]; then
            bad=$((bad + 1))
            echo "FAILED $call-$place-$n: $why ($(tail -2 "$w/err1" | tr '\n' ' '))"
        fi
        n=$((n + step))
        [ $bad -lt 3 ] || break
    done
    if [ $bad = 0 ] && [ $tried -gt 0 ]; then
        echo "ok $call-$place ($tried places)"
    elif [ $tried = 0 ]; then
        echo "FAILED $call-$place: never called"
    fi
}
EIO=5 EAGAIN=11 EACCES=13 ENOSPC=28 EPERM=1
fault open "$w/o" $EACCES
fault open after.csv $EACCES
fault read "$w/o" $EIO
fault read after.csv $EIO
fault write "$w/o" $ENOSPC
fault fsync "$w/o" $EIO
fault rename "$w/o" $EACCES
fault link "$w/o" $EPERM
fault mkdir "$w/o" $EACCES
fault close "$w/o" $EIO
fault fork fork $EAGAIN

# Memory: the program's own and that of every library, from the first to the last allocation.
printf '\0\0\0\0\0\0\0\0' >"$w/count"
rm -rf "$w/o"
cp -a "$w/base" "$w/o"
env FAULT="memory:once:2000000000:12" FAULT_COUNT="$w/count" LD_PRELOAD="$w/shim.so" \
    "$ENDFEEL" report -q --today 2030-01-01 -j1 --with-findings --print-all -o "$w/o" "$w/after.csv" 2>/dev/null
all=$(od -An -N4 -tu4 "$w/count" | tr -d ' ')
[ "$all" -gt 1000 ] && echo "ok memory-is-counted ($all allocations)" || echo "FAILED memory-is-counted: $all"
fault memory once 12 $((all / ${FAULT_PLACES:-3} + 1))
fault memory on 12 $((all / ${FAULT_PLACES:-3} + 1))
rm -rf "$w"
