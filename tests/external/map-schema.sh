#!/bin/sh
# docs/schema/map.rng and map.rnc against the maps that are shipped, documented and suggested, and
# against maps that the program refuses. jing, which reads the compact form, may be missing.
cd "$TOP" || exit 3
dir="$WORK/maps"
mkdir -p "$dir/good" "$dir/bad"
cp fixtures/findings-map.xml fixtures/scenarios/s1-knee-wide/map.xml "$dir/good/"
cp tests/cases/map-rules-are-declared.map "$dir/good/case.xml"
sed -n '/^    <column-map>/,/^    <\/column-map>/s/^    //p' docs/csv.md >"$dir/good/docs.xml"
printf 'MRN,Date,R knee flex AROM,R knee felx PROM,Odd -- one\nT-1,2025-04-03,112,118,x\n' >"$dir/s.csv"
"$ENDFEEL" check --suggest-map "$dir/s.csv" >"$dir/good/suggested.xml" 2>/dev/null
bad() { # NAME ELEMENT
    printf '<column-map>%s</column-map>\n' "$2" >"$dir/bad/$1.xml"
}
bad element '<colum header="a" to="note"/>'
bad attribute '<column header="a" too="note"/>'
bad no-header '<column to="note"/>'
bad to-and-skip '<column header="a" to="note" skip="yes"/>'
bad skip-no '<column header="a" skip="no"/>'
bad delimiter '<file delimiter="colon"/>'
bad encoding '<file encoding="utf8x"/>'
bad header-rows '<file header-rows="3"/>'
bad no-order '<dates separators="/"/>'
bad separators '<dates order="dmy" separators="x"/>'
bad short-years '<dates order="dmy" two-digit-years-from="50"/>'
bad sign '<signs extension-minus="below"/>'
bad pair '<pairs angles="left/passive"/>'
bad language '<words language="xx"/>'
bad twice '<words language="de"/><words language="de"/>'
bad digit '<column header="a" joint="finger-pip" motion="flexion" digit="6"/>'
bad timing '<column header="a" joint="knee" motion="flexion" timing="later"/>'
bad constant '<constant column="tool"/>'
bad text 'words'

xml() { xmllint --noout --relaxng docs/schema/map.rng "$1" 2>/dev/null; }
judge() { # TOOL NAME
    for f in "$dir"/good/*.xml; do
        if "$1" "$f"; then echo "ok $2-takes-$(basename "$f" .xml)"; else echo "FAILED $2-takes-$(basename "$f" .xml)"; fi
    done
    for f in "$dir"/bad/*.xml; do
        if "$1" "$f"; then echo "FAILED $2-refuses-$(basename "$f" .xml)"; else echo "ok $2-refuses-$(basename "$f" .xml)"; fi
    done
}
program() { "$ENDFEEL" check -q --map "$1" fixtures/starter.csv >/dev/null 2>&1; [ $? -ne 2 ]; }
judge xml map-rng
judge program map-program
if command -v jing >/dev/null && command -v java >/dev/null; then
    # One call for all: it takes a second to start. It names each file that it refuses.
    export JDK_JAVA_OPTIONS='-XX:TieredStopAtLevel=1 -XX:+UseSerialGC'
    jing -c docs/schema/map.rnc "$dir"/good/*.xml "$dir"/bad/*.xml >"$dir/said" 2>/dev/null
    for f in "$dir"/good/*.xml "$dir"/bad/*.xml; do
        case $f in */good/*) refused=no ;; *) refused=yes ;; esac
        said=no
        ! grep -qF "$f:" "$dir/said" || said=yes
        name=map-rnc-$(basename "$f" .xml)
        if [ $said = $refused ]; then echo "ok $name"; else echo "FAILED $name: refused: $said"; fi
    done
else
    echo "skipped map-rnc: no jing to read the compact form with"
fi
