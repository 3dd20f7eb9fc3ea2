#!/bin/sh
# Every failure that users of page engines meet, and what happens here: the text printed whole, or
# an error that names the line of the template and the place in the data. Pages of 100 x 100 mm.
cd "$TOP" || exit 3
t="$WORK/pages" day=2025-03-14
mkdir -p "$t/templates/parts"
style='<style name="body" size="10pt" leading="12pt"/>'
# A template TRY with these blocks, tried on the demo data.
template() { # BLOCKS
    printf '<report root="visit" xml:lang="en">\n%s\n<title>T</title>\n<page width="100mm" height="100mm" margins="8mm">\n%s\n</page>\n</report>\n' \
        "$style" "$1" >"$t/templates/try.xml"
}
refused() { # NAME STATUS WORDS BLOCKS: every one of the words, parted by |
    template "$4"
    "$ENDFEEL" template "$t/templates/try.xml" >"$t/said" 2>&1
    status=$?
    missing=$(echo "$3" | tr '|' '\n' | while read -r word; do grep -qF -e "$word" "$t/said" || echo "$word"; done)
    [ $status = "$2" ] && [ -z "$missing" ] && echo "ok $1" ||
        echo "FAILED $1: status $status, does not say '$missing' but: $(head -3 "$t/said")"
}
refused unknown-element 2 "try.xml:5: error|(parra)|nearest known name: para" '<parra>1</parra>'
refused unknown-attribute 2 "try.xml:5: error|stile|style" '<para stile="body">1</para>'
refused bad-value 2 'try.xml:5: error|widht|expected' '<figure kind="arc" width="12 widht" alt="a"/>'
refused unknown-style 2 'try.xml:5: error|bodi|body' '<para style="bodi">1</para>'
refused not-well-formed 2 'try.xml:6: error|not well-formed' '<para>1'
refused unknown-name 2 "try.xml:5: error|@nam|name" '<para>{patient/@nam}</para>'
refused missing-field 1 'try.xml:5: error|visit|{clinic/@logo}|19 of 19 demo documents' '<para>{clinic/@logo}</para>'
usual=$style style='<style name="body" face="italic"/>'
refused missing-font 2 'try.xml:2: error|italic|regular' '<para>1</para>'
style=$usual
refused missing-glyph 2 "try.xml:5: error|U+0E01" '<para>&#x0E01;</para>'
refused glyph-beyond-16-bits 2 "try.xml:5: error|U+20000" '<para>&#x20000;</para>'
refused missing-image 2 'try.xml:5: error|none.png' '<image src="none.png" alt=""/>'
refused unknown-part 2 'try.xml:5: error|none' '<include part="none"/>'
"$ENDFEEL" template tests/run.sh >"$t/said" 2>&1
[ $? = 2 ] && grep -q 'does not end in .xml' "$t/said" && echo "ok not-a-template" || echo "FAILED not-a-template"
"$ENDFEEL" template "$t/none.xml" >"$t/said" 2>&1
[ $? = 2 ] && grep -q 'none.xml: .*cannot open' "$t/said" && echo "ok no-such-template" || echo "FAILED no-such-template"
"$ENDFEEL" template >"$t/said" 2>&1
[ $? = 2 ] && grep -q 'at least one template' "$t/said" && echo "ok no-template-named" || echo "FAILED no-template-named"
if "$ENDFEEL" template templates/*.xml >"$t/said" 2>&1 && [ "$(grep -c 'fits all\|no demo data' "$t/said")" = "$(find templates -maxdepth 1 -name '*.xml' | wc -l)" ]; then
    echo "ok shipped-templates-fit"
else
    echo "FAILED shipped-templates-fit: $(head -3 "$t/said")"
fi

# ---- printed whole -------------------------------------------------------------------------------
long=$("$PYTHON" -c 'print(" ".join("w%03d" % i for i in range(400)))')
word=$("$PYTHON" -c 'print("".join("abcdefghij"[i % 10] for i in range(150)))')
set_page() { # BLOCKS: prints with `plan` as long text, `question` as long word
    template "$1"
    printf 'patient_id,name,visit_date,plan,question_to_referrer,joint,motion,side,test,value\n' >"$t/in.csv"
    printf 'P1,A <b> & "C",%s,%s,%s,knee,flexion,right,AROM,120\n' "$day" "$long" "$word" >>"$t/in.csv"
    sed -i 's/A <b> & "C"/"A <b> \& ""C"""/' "$t/in.csv"
    rm -rf "$t/out"
    "$ENDFEEL" report -q -j1 --today 2030-01-01 --templates "$t/all" -k try -o "$t/out" "$t/in.csv" >"$t/said" 2>&1
    status=$?
    pdftotext -layout "$t/out/$day/P1_${day}_try.pdf" "$t/text" 2>/dev/null
}
mkdir -p "$t/all"
cp -r templates/day-index.xml templates/parts "$t/all"
ln -sf "$t/templates/try.xml" "$t/all/try.xml"
whole() { # NAME PATTERN EXPECTED: so many words of the pattern, none over the edge
    n=$(tr -d '\n\f' <"$t/text" | tr -d ' ' | grep -oE "$2" | sort -u | wc -l)
    pdftotext -bbox "$t/out/$day/P1_${day}_try.pdf" "$t/bbox"
    over=$(sed -n 's/.*xMax="\([0-9.]*\)" yMax="\([0-9.]*\)".*/\1 \2/p' "$t/bbox" | awk '$1 > 283.47 || $2 > 283.47' | wc -l)
    [ $status = 0 ] && [ "$n" = "$3" ] && [ "$over" = 0 ] && echo "ok $1" ||
        echo "FAILED $1: status $status, $n of $3, $over over the edge: $(head -2 "$t/said")"
}
set_page '<para>{patient/@name}</para>'
grep -qF 'A <b> & "C"' "$t/text" && echo "ok data-with-markup" || echo "FAILED data-with-markup: $(cat "$t/said" "$t/text")"
set_page '<table select="region"><column width="20mm"><head>H</head><cell>{/visit/episode/@question}</cell></column><column><head>I</head><cell>{@name}</cell></column></table>'
flat=$(pdftotext -raw "$t/out/$day/P1_${day}_try.pdf" - | tr -d '\n\f ')
case $flat in *"$word"*) echo "ok word-wider-than-its-cell" ;; *) echo "FAILED word-wider-than-its-cell: $flat" ;; esac
whole word-inside-the-page 'abcdefghij' 1
set_page '<table select="region"><column width="40mm"><head>Head</head><cell>{/visit/episode/@plan}</cell></column><column><head>I</head><cell>{@name}</cell></column></table>'
whole cell-taller-than-a-page 'w[0-9]{3}' 400
pages=$(pdfinfo "$t/out/$day/P1_${day}_try.pdf" | awk '/^Pages/ { print $2 }')
[ "$(grep -c Head "$t/text")" = "$pages" ] && [ "$pages" -gt 2 ] && echo "ok head-on-every-page" ||
    echo "FAILED head-on-every-page: $(grep -c Head "$t/text") on $pages"
set_page '<keep><para>{episode/@plan}</para><para>last</para></keep>'
whole kept-block-taller-than-a-page 'w[0-9]{3}' 400
set_page '<para>a</para><space height="60mm"/><keep><para>k1<break/>k2<break/>k3<break/>k4<break/>k5<break/>k6</para></keep>'
[ "$(pdftotext -f 2 -l 2 "$t/out/$day/P1_${day}_try.pdf" - | grep -c '^k[1-6]')" = 6 ] && echo "ok keep-together" ||
    echo "FAILED keep-together"
set_page '<para>a</para><space height="68mm"/><heading level="1">Title</heading><para>k1<break/>k2</para>'
pdftotext -f 2 -l 2 "$t/out/$day/P1_${day}_try.pdf" - | head -1 | grep -q Title && echo "ok keep-with-next" ||
    echo "FAILED keep-with-next"
# Nineteen lines of 12 pt fit: the last line of a paragraph never stands alone on the next page.
set_page '<each select="(//@*)[position() &lt; 18]"><para>a</para></each><para>k1<break/>k2<break/>k3</para>'
pdftotext "$t/out/$day/P1_${day}_try.pdf" - | tr '\f' '#' | tr -d '\n' | grep -qE '#k3#?$' && echo "FAILED widow" || echo "ok widow"

# ---- the second of three documents ---------------------------------------------------------------
template '<para>{referrer/@name}</para>'
printf 'patient_id,visit_date,referrer,joint,motion,side,test,value\nP1,%s,Dr A,knee,flexion,right,AROM,120\nP2,%s,,knee,flexion,right,AROM,120\nP3,%s,Dr C,knee,flexion,right,AROM,120\n' \
    "$day" "$day" "$day" >"$t/three.csv"
rm -rf "$t/out"
"$ENDFEEL" report --today 2030-01-01 --templates "$t/all" -k try -o "$t/out" "$t/three.csv" >"$t/said" 2>&1
status=$?
files=$(cd "$t/out/$day" && echo *)
[ $status = 1 ] && [ "$files" = "P1_${day}_try.pdf P3_${day}_try.pdf" ] && echo "ok second-of-three" ||
    echo "FAILED second-of-three: status $status, $files"
grep -q 'try.xml:5: error: .*{referrer/@name}' "$t/said" && grep -q 'three.csv,3,.*kind try' "$t/out/exceptions.csv" &&
    echo "ok names-line-and-row" || echo "FAILED names-line-and-row: $(cat "$t/said" "$t/out/exceptions.csv")"
sed -i "s/Dr C/Dr \xe0\xb8\x81/" "$t/three.csv"
"$ENDFEEL" report --today 2030-01-01 --templates "$t/all" -k try -o "$t/out" "$t/three.csv" >"$t/said" 2>&1
[ $? = 1 ] && grep -q 'try.xml:5: error: .*U+0E01.*visit' "$t/said" && grep -q 'three.csv,4,.*kind try' "$t/out/exceptions.csv" &&
    echo "ok missing-glyph-in-data" || echo "FAILED missing-glyph-in-data: $(cat "$t/said")"
