#!/bin/sh
# The output folder was changed by others between two runs: what was printed before is no longer
# what this program wrote, and lists name files elsewhere. Nothing outside the folder is opened or
# touched, the reports it concerns are not written and counted, the others are; and once the file is
# away the next run sets the rest.
cd "$TOP" || exit 3
w="$WORK/foreign" day=2025-03-14
mkdir -p "$w"
row() { echo "$1,$day,knee,flexion,right,AROM,$2"; }
{ echo patient_id,visit_date,joint,motion,side,test,value && row P1 120 && row P2 110; } >"$w/in.csv"
sed 's/,120$/,121/' "$w/in.csv" >"$w/corrected.csv"
report() { timeout 60 "$ENDFEEL" report --today 2030-01-01 -k chart,patient "$@" 2>"$w/err"; }
report -o "$w/base" "$w/in.csv"
printf '<visit date="%s">the-secret</visit>\n' "$day" >"$w/secret.xml"
cp "$w/secret.xml" "$w/secret.before"

values="$w/o/$day/.values/P1.xml" pdf="$day/P1_${day}_chart.pdf"
# The corrected input meets the folder as it was, but for the values of P1, which come from the
# standard input or a command.
meets() { # NAME STATUS TEXT [COMMAND...]
    name=$1 status=$2 text=$3 why=
    shift 3
    rm -rf "$w/o"
    cp -a "$w/base" "$w/o"
    if [ $# = 0 ]; then cat >"$values"; else rm "$values" && "$@"; fi
    report -o "$w/o" "$w/corrected.csv"
    got=$?
    [ "$got" = "$status" ] || why="status $got"
    grep -qF "$text" "$w/err" || why="$why, not said: $text"
    grep -qF 'what was printed last for this visit cannot be read; no report was written; restore the file' "$w/err" ||
        why="$why, no advice"
    grep -qF '0 new, 2 unchanged, 0 amended; 2 could not be written' "$w/err" || why="$why, not counted"
    cmp -s "$w/o/$pdf" "$w/base/$pdf" || why="$why, another report"
    grep -rqa the-secret "$w/o" "$w/err" && [ ! -L "$values" ] && why="$why, the secret came in"
    cmp -s "$w/secret.xml" "$w/secret.before" || why="$why, a file elsewhere was changed"
    rm -rf "$values"
    report -o "$w/o" "$w/corrected.csv"
    grep -qF '2 unchanged, 0 amended, 2 set again' "$w/err" || why="$why, next run: $(tail -2 "$w/err")"
    [ -z "$why" ] && echo "ok foreign-values-$name" || echo "FAILED foreign-values-$name: $why: $(head -5 "$w/err")"
}
meets empty 1 'P1.xml:1: error: not well-formed XML' </dev/null
echo '<visit' | meets cut 1 'P1.xml:2: error: not well-formed XML'
echo '<other/>' | meets of-another-kind 1 'P1.xml: error:'
printf '<!DOCTYPE visit [<!ENTITY x SYSTEM "file://%s">]>\n<visit>&x;</visit>\n' "$w/secret.xml" |
    meets external-entity 1 'document type declarations are not accepted'
{ echo '<visit><!--' && head -c 17000000 /dev/zero | tr '\0' x && echo '--></visit>'; } |
    meets large 1 'file is larger than the limit'
"$PYTHON" -c 'print("<visit>" + "<a>" * 5000 + "</a>" * 5000 + "</visit>")' | meets deep 1 'P1.xml:1: error:'
meets folder 3 'P1.xml: system: cannot read: Is a directory' mkdir "$values"

# Rows of the manifest that lead elsewhere, and a journal of a run that was cut short that does.
rm -rf "$w/o"
cp -a "$w/base" "$w/o"
cp "$w/o/$pdf" "$w/elsewhere.pdf" && cp "$w/elsewhere.pdf" "$w/elsewhere.before"
line=$(sed -n 2p "$w/o/manifest.csv" | cut -d , -f 2-)
head -1 "$w/o/manifest.csv" >"$w/o/.journal"
for name in ../elsewhere.pdf "$w/elsewhere.pdf" "../../$(basename "$WORK")/foreign/elsewhere.pdf" "$day/../../elsewhere.pdf"; do
    echo "$name,$line" >>"$w/o/manifest.csv"
    echo "$name,$line" >>"$w/o/.journal"
done
report --print-all -o "$w/o" "$w/corrected.csv"
got=$?
[ $got = 0 ] && cmp -s "$w/elsewhere.pdf" "$w/elsewhere.before" &&
    grep -qF '0 new, 2 unchanged, 2 amended' "$w/err" && ! grep -q elsewhere "$w/o/manifest.csv" &&
    echo "ok foreign-manifest" || echo "FAILED foreign-manifest: $got $(cat "$w/err") $(cat "$w/o/manifest.csv")"
rm -rf "$w"
