#!/bin/sh
# A second run over the same folder: what did not change is left alone, what did is set again, and
# two runs never write at once.
cd "$TOP" || exit 3
in="$WORK/again.csv" out="$WORK/again"
cat >"$in" <<'CSV'
patient_id,visit_date,visit_kind,joint,motion,side,test,value,note
P1,2025-03-14,visit,knee,flexion,right,AROM,120,
P2,2025-03-14,visit,knee,flexion,left,AROM,,
P2,2025-03-14,visit,hip,flexion,left,AROM,95,
CSV
pdf1="$out/2025-03-14/P1_2025-03-14_chart.pdf"
run() { # WORDS STATUS ARGUMENTS -- checks what the summary says
    words=$1 want=$2 name=$3
    shift 3
    "$ENDFEEL" report --today 2030-01-01 -k chart -j2 -o "$out" "$@" >"$WORK/out" 2>"$WORK/err"
    got=$?
    if [ $got != "$want" ]; then
        echo "FAILED $name: exit status $got instead of $want: $(head -3 "$WORK/err")"
    elif ! grep -qF -e "$words" "$WORK/err"; then
        echo "FAILED $name: does not say '$words' but: $(cat "$WORK/err")"
    else
        echo "ok $name"
    fi
}
run '2 new, 0 unchanged, 0 amended' 0 first-run-is-new "$in"
cp -a "$out" "$WORK/again.first"
touch -d '2001-01-01' "$pdf1"
run '0 new, 2 unchanged, 0 amended' 0 second-run-is-unchanged "$in"
[ "$(date -r "$pdf1" +%Y)" = 2001 ] && echo "ok unchanged-is-not-written" ||
    echo "FAILED unchanged-is-not-written"
diff -r "$out" "$WORK/again.first" >"$WORK/diff" && echo "ok unchanged-folder" ||
    echo "FAILED unchanged-folder: $(head -3 "$WORK/diff")"

# The same facts in other columns and another order are the same input.
awk -F, -v OFS=, '{ print $9, $8, $7, $6, $5, $4, $3, $2, $1 }' "$in" >"$WORK/again-turned.csv"
{ head -1 "$in"; sed -n 3,4p "$in"; sed -n 2p "$in"; } >"$WORK/again-order.csv"
# P1 has no problems: where its row stands does not matter. P2's blank cell is named by its place.
run '0 new, 1 unchanged, 0 amended, 1 set again' 0 order-of-columns "$WORK/again-turned.csv"
run '0 new, 1 unchanged, 0 amended, 1 set again' 0 order-of-rows "$WORK/again-order.csv"
run '0 new, 1 unchanged, 0 amended, 1 set again' 0 order-of-rows-back "$in"

# Swapped headers give other meanings to the same cells.
sed '1s/side,test/test,side/' "$in" >"$WORK/again-swapped.csv"
"$ENDFEEL" report -q --today 2030-01-01 -o "$WORK/again.swapped" "$in" 2>/dev/null
"$ENDFEEL" report --today 2030-01-01 -o "$WORK/again.swapped" "$WORK/again-swapped.csv" 2>"$WORK/err"
grep -q ' 0 unchanged' "$WORK/err" && echo "ok headers-count" || echo "FAILED headers-count: $(cat "$WORK/err")"

printf 'patient_id,visit_date,R knee flex AROM\nP1,2025-03-14,118\n' >"$WORK/again-wide.csv"
sed '1s/R knee/L knee/' "$WORK/again-wide.csv" >"$WORK/again-wide2.csv"
"$ENDFEEL" report -q --today 2030-01-01 -o "$WORK/again.wide" "$WORK/again-wide.csv" 2>/dev/null
"$ENDFEEL" report --today 2030-01-01 -o "$WORK/again.wide" "$WORK/again-wide2.csv" 2>"$WORK/err"
grep -q ' 0 unchanged' "$WORK/err" && echo "ok wide-headers-count" || echo "FAILED wide-headers-count: $(cat "$WORK/err")"

# Damage is noticed by the digest and mended.
printf x >>"$pdf1"
run '0 new, 1 unchanged, 0 amended, 1 set again' 0 longer-file "$in"
printf X | dd of="$pdf1" bs=1 seek=300 conv=notrunc 2>/dev/null
run '0 new, 1 unchanged, 0 amended, 1 set again' 0 damaged-file "$in"
rm "$pdf1"
run '0 new, 1 unchanged, 0 amended, 1 set again' 0 missing-file "$in"
diff -r "$out" "$WORK/again.first" >"$WORK/diff" && echo "ok damage-is-mended" ||
    echo "FAILED damage-is-mended: $(head -3 "$WORK/diff")"

# Another template, another clinic: set again without a word on the page.
mkdir -p "$WORK/again.templates"
cp -rL templates/. "$WORK/again.templates"
sed 's/margins="18mm"/margins="19mm"/' templates/chart.xml >"$WORK/again.templates/chart.xml"
run '0 new, 0 unchanged, 0 amended, 2 set again' 0 template-changed --templates "$WORK/again.templates" "$in"
pdftotext "$pdf1" - | grep -q AMENDED && echo "FAILED template-is-no-amendment" || echo "ok template-is-no-amendment"
echo '<!-- changed -->' >>"$WORK/again.templates/parts/words.xml"
run '0 new, 0 unchanged, 0 amended, 2 set again' 0 part-changed --templates "$WORK/again.templates" "$in"
run '0 unchanged, 0 amended, 2 set again' 0 clinic-changed --clinic fixtures/clinic.xml "$in"
run '0 unchanged, 0 amended, 2 set again' 0 back-to-plain "$in"
diff -r "$out" "$WORK/again.first" >"$WORK/diff" && echo "ok back-to-the-first" ||
    echo "FAILED back-to-the-first: $(head -3 "$WORK/diff")"

# A manifest that is gone, or is something else.
rm "$out/manifest.csv"
run '2 new, 0 unchanged' 0 manifest-gone "$in"
echo 'my notes' >"$out/manifest.csv"
run 'not understood' 0 manifest-foreign "$in"
diff -r "$out" "$WORK/again.first" >"$WORK/diff" && echo "ok manifest-is-made-anew" ||
    echo "FAILED manifest-is-made-anew: $(head -3 "$WORK/diff")"
if [ "$(id -u)" != 0 ]; then
    chmod 000 "$out/manifest.csv"
    run 'cannot open' 3 manifest-unreadable "$in"
    chmod 600 "$out/manifest.csv"
else
    rm "$out/manifest.csv" && mkdir "$out/manifest.csv"
    run 'cannot read' 3 manifest-unreadable "$in"
    rmdir "$out/manifest.csv" && cp "$WORK/again.first/manifest.csv" "$out/manifest.csv"
fi

# One run at a time: a run whose input never ends holds the folder.
mkfifo "$WORK/again.fifo" || exit 3
"$ENDFEEL" report -q --today 2030-01-01 -k chart -o "$out" "$in" - <"$WORK/again.fifo" 2>/dev/null &
holder=$!
exec 9>"$WORK/again.fifo"
head -1 "$in" >&9
sleep 0.3
run 'another run is writing' 3 second-run-is-refused "$in"
"$ENDFEEL" check -q "$in" >/dev/null 2>&1 && echo "ok check-needs-no-lock" || echo "FAILED check-needs-no-lock"
if command -v script >/dev/null; then # a terminal: waits and then works
    script -qec "$ENDFEEL report --today 2030-01-01 -k chart -o $out $in" /dev/null >"$WORK/tty" 2>&1 \
        </dev/null 9>&- &
    waiter=$!
    sleep 1.6
    exec 9>&-
    wait $waiter && grep -q 'waiting for it' "$WORK/tty" && grep -q '2 unchanged' "$WORK/tty" &&
        echo "ok terminal-waits" || echo "FAILED terminal-waits: $(cat "$WORK/tty")"
else
    echo "skipped terminal-waits: no script command"
    exec 9>&-
fi
wait $holder
run '0 new, 2 unchanged' 0 after-the-other "$in"
