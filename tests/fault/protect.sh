#!/bin/sh
# Passwords: from a file alone, never wrong silently, never in what is printed; a referrer without a
# password of its own gets everybody else's.
cd "$TOP" || exit 3
in="$WORK/prot.csv" out="$WORK/prot" day=2025-03-14
cat >"$in" <<CSV
patient_id,visit_date,referrer,joint,motion,side,test,value
P1,$day,Dr Ash,knee,flexion,right,AROM,120
P2,$day,"Dr Elm, MD",knee,flexion,right,AROM,110
P3,$day,,knee,flexion,right,AROM,100
CSV
printf 'open sesame\n' >"$WORK/one.pw"
printf 'for ash' >"$WORK/ash.pw"
printf 'elm \303\274ber\n' >"$WORK/elm.pw"
printf 'rest\r\n' >"$WORK/rest.pw"
printf 'referrer,password_file\r\ndr ash,ash.pw\r\n"Dr Elm, MD",%s\r\n*,rest.pw\r\n' "$WORK/elm.pw" >"$WORK/table.csv"
chmod 600 "$WORK"/*.pw
report() { "$ENDFEEL" report --today 2030-01-01 -k chart -o "$out" "$@" "$in" >"$WORK/out" 2>"$WORK/err"; }
opens() { # NAME FILE PASSWORDFILE
    head -1 "$3" | tr -d '\r\n' >"$WORK/line.pw"
    if qpdf --check --password-file="$WORK/line.pw" "$2" >"$WORK/qpdf" 2>&1 && grep -q 'R = 6' "$WORK/qpdf"; then
        echo "ok $1"
    else
        echo "FAILED $1: $(head -3 "$WORK/qpdf")"
    fi
}
closed() { qpdf --check "$2" >/dev/null 2>&1 && echo "FAILED $1: it opens" || echo "ok $1"; }

report --protect "$WORK/one.pw" --print-all || echo "FAILED protect-runs: $(cat "$WORK/err")"
for name in "$day/P1_${day}_chart" "$day/P3_${day}_chart" day-index print-all; do
    closed "closed-$(basename "$name")" "$out/$name.pdf"
    opens "opens-$(basename "$name")" "$out/$name.pdf" "$WORK/one.pw"
done
grep -rqF 'open sesame' "$out" "$WORK/out" "$WORK/err" && echo "FAILED password-is-nowhere" || echo "ok password-is-nowhere"
digest=$(awk -F, '/P1/ { print $7 }' "$out/manifest.csv")
[ "$digest" = "$(sha256sum <"$out/$day/P1_${day}_chart.pdf" | cut -c1-64)" ] && echo "ok digest-of-the-protected" || echo "FAILED digest-of-the-protected"
[ -z "$(find "$out" -perm /077)" ] && echo "ok owner-only" || echo "FAILED owner-only"

# What is inside is what would be there without the password.
"$ENDFEEL" report -q --today 2030-01-01 -k chart -o "$WORK/plain" "$in" 2>/dev/null
pdftotext -layout -upw 'open sesame' "$out/$day/P2_${day}_chart.pdf" "$WORK/a.txt"
pdftotext -layout "$WORK/plain/$day/P2_${day}_chart.pdf" "$WORK/b.txt"
cmp -s "$WORK/a.txt" "$WORK/b.txt" && echo "ok same-inside" || echo "FAILED same-inside"

# Unchanged, another password, none.
report --protect "$WORK/one.pw"
grep -q ' 3 unchanged' "$WORK/err" && echo "ok protected-is-unchanged" || echo "FAILED protected-is-unchanged: $(cat "$WORK/err")"
report --protect "$WORK/ash.pw"
grep -q ' 0 unchanged' "$WORK/err" && echo "ok another-password-sets-again" || echo "FAILED another-password-sets-again: $(cat "$WORK/err")"
opens another-password "$out/$day/P2_${day}_chart.pdf" "$WORK/ash.pw"
report
grep -q ' 0 unchanged' "$WORK/err" && qpdf --check "$out/$day/P2_${day}_chart.pdf" >/dev/null 2>&1 &&
    echo "ok no-password-again" || echo "FAILED no-password-again"

# The library for it, which other runs do not load.
mkdir "$WORK/lib"
: >"$WORK/lib/$(grep -ao 'libqpdf\.so\.[0-9]*' "$ENDFEEL" | head -1)"
LD_LIBRARY_PATH="$WORK/lib" "$ENDFEEL" report --today 2030-01-01 -o "$WORK/nolib" --protect "$WORK/one.pw" "$in" >/dev/null 2>"$WORK/err"
[ $? = 3 ] && grep -q 'under its password: .*file too short' "$WORK/err" && [ ! -e "$WORK/nolib" ] &&
    echo "ok no-library-for-it" || echo "FAILED no-library-for-it: $(cat "$WORK/err")"
LD_LIBRARY_PATH="$WORK/lib" "$ENDFEEL" report -q --today 2030-01-01 -k chart -o "$WORK/nolib" "$in" 2>"$WORK/err" &&
    echo "ok library-not-needed" || echo "FAILED library-not-needed: $(cat "$WORK/err")"

# A table of referrers.
report --protect "$WORK/table.csv" || echo "FAILED table-runs: $(cat "$WORK/err")"
opens table-ash "$out/$day/P1_${day}_chart.pdf" "$WORK/ash.pw"
opens table-elm "$out/$day/P2_${day}_chart.pdf" "$WORK/elm.pw"
opens table-rest "$out/$day/P3_${day}_chart.pdf" "$WORK/rest.pw"
opens table-index "$out/day-index.pdf" "$WORK/rest.pw"

# Amended under a password: the one it replaces is kept, as it was.
cp "$out/$day/P1_${day}_chart.pdf" "$WORK/v1.pdf"
sed 's/,120/,125/' "$in" >"$WORK/prot2.csv"
"$ENDFEEL" report --today 2030-01-01 -k chart -o "$out" --protect "$WORK/table.csv" "$WORK/prot2.csv" 2>"$WORK/err"
grep -q '1 amended' "$WORK/err" && cmp -s "$WORK/v1.pdf" "$out/$day/superseded/P1_${day}_chart_v1.pdf" &&
    echo "ok protected-amendment" || echo "FAILED protected-amendment: $(cat "$WORK/err")"

bad() { # NAME WORDS BYTES
    printf "$3" >"$WORK/bad.pw"
    chmod 600 "$WORK/bad.pw"
    rm -rf "$WORK/none"
    "$ENDFEEL" report --today 2030-01-01 -o "$WORK/none" --protect "$WORK/bad.pw" "$in" >/dev/null 2>"$WORK/err"
    got=$?
    [ $got = 2 ] && [ ! -e "$WORK/none" ] && grep -q "$2" "$WORK/err" && echo "ok $1" || echo "FAILED $1: $got $(cat "$WORK/err")"
}
bad empty-password 'is empty' '\n'
bad no-password 'is empty' ''
bad two-lines 'one line' 'a\nb\n'
bad table-without-its-header 'table begins with referrer,password_file' "referrer,password\nDr Ash,x\n"
bad nul-in-password 'one line' 'a\0b\n'
bad long-password '127 bytes' "$(printf '%0130d' 1)"
bad password-not-utf8 'not UTF-8' 'a\377\n'
bad control-in-password 'control' 'a\tb\n'
bad table-without-the-rest 'everybody else' "referrer,password_file\nDr Ash,$WORK/ash.pw\n"
bad table-without-a-file 'cannot open' "referrer,password_file\n*,$WORK/nowhere.pw\n"
bad table-twice 'given twice' "referrer,password_file\n*,$WORK/ash.pw\n*,$WORK/elm.pw\n"
bad table-referrer-twice 'given twice' "referrer,password_file\nDr A,$WORK/ash.pw\ndr a,$WORK/elm.pw\n"
bad table-of-three 'each row' "referrer,password_file\n*,$WORK/ash.pw,x\n"
bad table-open-quote 'each row' "referrer,password_file\n\"Dr A,$WORK/ash.pw\n"
bad table-no-name 'each row' "referrer,password_file\n,$WORK/ash.pw\n"
bad table-empty-password 'is empty' "referrer,password_file\n*,/dev/null\n"
"$ENDFEEL" report --today 2030-01-01 -o "$WORK/none" --protect "$WORK/nowhere.pw" "$in" 2>"$WORK/err"
[ $? = 2 ] && grep -q 'cannot open' "$WORK/err" && echo "ok no-password-file" || echo "FAILED no-password-file"
chmod 644 "$WORK/one.pw"
"$ENDFEEL" report --today 2030-01-01 -o "$WORK/none" --protect "$WORK/one.pw" "$in" 2>"$WORK/err"
[ $? = 0 ] && grep -q 'others may read' "$WORK/err" && echo "ok open-password-file-is-told" || echo "FAILED open-password-file-is-told: $(cat "$WORK/err")"
