#!/bin/sh
# Places that cannot be written to, a full disk, and ids that would lead elsewhere.
cd "$TOP" || exit 3
w="$WORK/places" day=2025-03-14
mkdir -p "$w"
head='patient_id,visit_date,joint,motion,side,test,value'
row() { printf '%s,%s,knee,flexion,right,AROM,%s\n' "$1" "$day" "${2:-120}"; }

# ---- ids ----
long=$(printf '%080d' 7)
umlauts=$(printf '\303\244%.0s' 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25 26 27 28 29 30 31 32 33 34 35 36 37 38 39 40)
{
    echo "$head"
    row '../../../tmp/evil'
    row '..'
    row '.'
    row '.hidden'
    row '/etc/passwd'
    row '%2e%2e%2f'
    row '100%'
    row '-rf'
    row "'; rm -rf ~; '"
    row '"a ""quoted"" id"'
    row 'a	tab'
    row "$long"
    row "x$long"
    row "$umlauts"
    row "${umlauts%??}z"
    row 'back\slash'
    row 'superseded'
    row '.values'
} >"$w/ids.csv"
mkdir "$w/ids"
"$ENDFEEL" report --today 2030-01-01 -k chart -j2 -o "$w/ids/out" "$w/ids.csv" >"$w/log" 2>"$w/err"
got=$?
[ $got = 1 ] && echo "ok hostile-ids-status" || echo "FAILED hostile-ids-status: $got $(cat "$w/err")"
pdfs=$(find "$w/ids/out/$day" -maxdepth 1 -name '*.pdf' | wc -l)
[ "$pdfs" = 16 ] && echo "ok hostile-ids-all-there" || echo "FAILED hostile-ids-all-there: $pdfs $(ls "$w/ids/out/$day")"
[ "$(ls -A "$w/ids")" = out ] && [ ! -e /tmp/evil_"$day"_chart.pdf ] && echo "ok hostile-ids-stay-inside" || echo "FAILED hostile-ids-stay-inside"
[ "$(find "$w/ids/out" -type d | wc -l)" = 3 ] && echo "ok hostile-ids-make-no-folder" ||
    echo "FAILED hostile-ids-make-no-folder: $(find "$w/ids/out" -type d)"
[ -f "$w/ids/out/$day/%2E%2E_${day}_chart.pdf" ] && [ -f "$w/ids/out/$day/%252e%252e%252f_${day}_chart.pdf" ] &&
    echo "ok hostile-ids-are-spelt-out" || echo "FAILED hostile-ids-are-spelt-out: $(ls "$w/ids/out/$day")"
"$ENDFEEL" report --today 2030-01-01 -k chart -j2 -o "$w/ids/out" "$w/ids.csv" >"$w/log" 2>"$w/err"
grep -q ' 0 new, 16 unchanged' "$w/err" && echo "ok hostile-ids-again" || echo "FAILED hostile-ids-again: $(cat "$w/err")"

# ---- something else stands where a file or folder is to be ----
{ echo "$head"; row P1; } >"$w/one.csv"
{ echo "$head"; row P1 118; } >"$w/two.csv"
run() { "$ENDFEEL" report --today 2030-01-01 -k chart -o "$@" >"$w/log" 2>"$w/err"; }
fails() { # NAME STATUS WORDS OUT FILE
    run "$4" "$5"
    got=$?
    [ $got = "$2" ] && grep -q "$3" "$w/err" && echo "ok $1" || echo "FAILED $1: $got $(cat "$w/err")"
}
echo x >"$w/file"
fails out-is-a-file 3 'cannot write' "$w/file" "$w/one.csv"
mkdir "$w/o1" && echo x >"$w/o1/$day"
fails day-is-a-file 3 'cannot write' "$w/o1" "$w/one.csv"
rm "$w/o1/$day"
fails day-is-free-again 0 '1 new' "$w/o1" "$w/one.csv"
mkdir -p "$w/o2/$day/P1_${day}_chart.pdf"
fails pdf-is-a-folder 3 'cannot write' "$w/o2" "$w/one.csv"
mkdir -p "$w/o3/.lock"
fails lock-is-a-folder 3 'cannot open' "$w/o3" "$w/one.csv"
mkdir "$w/o4" && ln -s "$w/elsewhere" "$w/o4/.lock"
fails lock-is-a-link 3 'cannot open' "$w/o4" "$w/one.csv"
[ ! -e "$w/elsewhere" ] && echo "ok link-is-not-followed" || echo "FAILED link-is-not-followed"
run "$w/o5" "$w/one.csv"
ln -s "$w/elsewhere" "$w/o5/$day/P1_${day}_chart.pdf.part"
fails part-is-a-link 3 'cannot write' "$w/o5" "$w/two.csv"
[ ! -e "$w/elsewhere" ] && echo "ok part-link-is-not-followed" || echo "FAILED part-link-is-not-followed"
fails part-link-is-swept 0 '1 amended' "$w/o5" "$w/two.csv"
run "$w/o6" "$w/one.csv"
echo x >"$w/o6/$day/superseded"
cp "$w/o6/$day/P1_${day}_chart.pdf" "$w/v1.pdf"
fails nowhere-to-keep 3 'cannot write' "$w/o6" "$w/two.csv"
cmp -s "$w/v1.pdf" "$w/o6/$day/P1_${day}_chart.pdf" && echo "ok not-kept-not-replaced" || echo "FAILED not-kept-not-replaced"
rm "$w/o6/$day/superseded"
fails kept-and-replaced 0 '1 amended' "$w/o6" "$w/two.csv"

# ---- a folder for reading only ----
if [ "$(id -u)" = 0 ]; then
    as="setpriv --reuid=65534 --regid=65534 --clear-groups"
    $as "$ENDFEEL" --version >/dev/null 2>&1 || as=none
    chmod 711 "$WORK" "$w" && chmod 644 "$w"/*.csv
else
    as=
fi
if [ "$as" = none ]; then
    echo "skipped read-only-folder: no other user can run the program here"
else
    mkdir "$w/ro" && chmod 555 "$w/ro"
    # shellcheck disable=SC2086
    $as "$ENDFEEL" report --today 2030-01-01 -o "$w/ro" "$w/one.csv" >"$w/log" 2>"$w/err"
    got=$?
    [ $got = 3 ] && grep -q 'cannot open' "$w/err" && [ -z "$(ls -A "$w/ro")" ] && echo "ok read-only-folder" ||
        echo "FAILED read-only-folder: $got $(cat "$w/err")"
fi

# ---- a full disk ----
if mkdir "$w/small" && mount -t tmpfs -o size=600k tmpfs "$w/small" 2>/dev/null; then
    "$PYTHON" tests/external/generate.py 30 7 >"$w/many.csv"
    "$ENDFEEL" report --every-visit --today 2030-01-01 -k chart -j2 -o "$w/small/o" "$w/many.csv" >"$w/log" 2>"$w/err"
    got=$?
    [ $got = 3 ] && grep -q 'No space left' "$w/err" && echo "ok full-disk-is-said" || echo "FAILED full-disk-is-said: $got $(head -3 "$w/err")"
    n=$(grep -c '/20[0-9-]*/.*: system: cannot write' "$w/err")
    more=$(sed -n 's/^endfeel: the same of \([0-9]*\) more files$/\1/p' "$w/err")
    lost=$(sed -n 's/.*; \([0-9]*\) could not be written$/\1/p' "$w/err")
    [ "$n" = 5 ] && [ $((n + ${more:-0})) = "$lost" ] && echo "ok full-disk-is-said-five-times" ||
        echo "FAILED full-disk-is-said-five-times: $n, $more more, $lost lost"
    seen=no
    [ ! -e "$w/small/o/exceptions.csv" ] || seen=yes
    case $seen in
    no) grep -q 'and no list of them' "$w/err" ;;
    *) grep -q 'notes: see ' "$w/err" ;;
    esac && echo "ok full-disk-no-list-is-said" || echo "FAILED full-disk-no-list-is-said: $seen $(tail -1 "$w/err")"
    [ -z "$(find "$w/small" -name '*.part')" ] && echo "ok full-disk-leaves-no-parts" || echo "FAILED full-disk-leaves-no-parts"
    bad=0
    for pdf in "$w"/small/o/*/*.pdf; do
        [ ! -e "$pdf" ] || qpdf --check "$pdf" >/dev/null 2>&1 || bad=$((bad + 1))
    done
    [ $bad = 0 ] && echo "ok full-disk-nothing-torn" || echo "FAILED full-disk-nothing-torn: $bad"
    mount -o remount,size=100m "$w/small"
    "$ENDFEEL" report -q --every-visit --today 2030-01-01 -k chart -j2 -o "$w/small/o" "$w/many.csv" 2>"$w/err"
    "$ENDFEEL" report -q --every-visit --today 2030-01-01 -k chart -j2 -o "$w/big" "$w/many.csv" 2>/dev/null
    diff -r "$w/small/o" "$w/big" >"$w/diff" && echo "ok full-disk-is-made-good" || echo "FAILED full-disk-is-made-good: $(head -3 "$w/diff")"
    umount "$w/small"
else
    echo "skipped full-disk: no file system can be mounted here"
fi
rm -rf "$w"
