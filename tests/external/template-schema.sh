#!/bin/sh
# docs/schema/template.rng and .rnc: in step with the program's tables, hold for every shipped
# template and part, name every element of docs/template.md, and refuse what the program refuses.
cd "$TOP" || exit 3
dir="$WORK/template-schema"
mkdir -p "$dir/good" "$dir/bad/parts"
"$PYTHON" docs/template-schema.py "$dir" || echo "FAILED template-schema-is-made"
for form in rnc rng; do
    if cmp -s "$dir/template.$form" docs/schema/template.$form; then
        echo "ok template-$form-is-current"
    else
        echo "FAILED template-$form-is-current: elements or figures changed; run make schema"
    fi
done
export JAVA_TOOL_OPTIONS="-XX:TieredStopAtLevel=1 -XX:+UseSerialGC" # it runs for a moment
bad() { # NAME BLOCKS
    printf '<report root="visit"><page size="a4">%s</page></report>\n' "$2" >"$dir/bad/$1.xml"
}
bad element '<pra>x</pra>'
bad attribute '<para styel="body">x</para>'
bad text 'x'
bad nested '<para><para>x</para></para>'
bad row '<table select="region"><cell>x</cell></table>'
bad choice '<heading level="4">x</heading>'
bad length '<space height="4"/>'
bad count '<list marker="dash"><item>x</item></list><facts columns="0"><fact label="a">b</fact></facts>'
bad missing '<each><para>x</para></each>'
bad grey '<rule grey="2"/>'
bad width '<table select="region"><column width="2x"><cell>x</cell></column></table>'
bad figure '<figure kind="pie" alt=""/>'
bad parameter '<figure kind="grades" alt="" score="3" side="left"/>'
printf '<report root="visit"><page size="b5"><para>x</para></page></report>' >"$dir/bad/size.xml"
printf '<report><page><para>x</para></page></report>' >"$dir/bad/root.xml"
printf '<report root="visit"><page margins="1mm 2mm 3mm"><para>x</para></page></report>' \
    >"$dir/bad/margins.xml"
printf '<report root="visit"><page size="a4"><para>x</para></page></report>' >"$dir/good/plain.xml"
# xmllint can take long over attributes that stand in any order: in `make check` it sees a few of
# the shipped files, in check-all nearly all; jing below sees all of them, always.
shipped="templates/letter.xml templates/parts/styles.xml templates/parts/who.xml"
if [ -n "${WHOLE:-}" ]; then # but for one that takes minutes
    shipped=$(echo templates/*.xml templates/parts/*.xml templates/locale/*.xml | sed 's|[^ ]*/agree-plots.xml||')
fi
# The names hold no spaces.
# shellcheck disable=SC2086
timeout 1200 xmllint --noout --relaxng docs/schema/template.rng "$dir"/good/*.xml "$dir"/bad/*.xml $shipped \
    >/dev/null 2>"$dir/verdicts"
xml() { grep -qxF "$1 validates" "$dir/verdicts"; }
program() { "$ENDFEEL" template "$1" >"$dir/said" 2>&1; [ $? -ne 2 ]; }

for f in $shipped; do
    xml "$f" || echo "FAILED template-schema-takes: $f"
done
for f in templates/*.xml templates/parts/*.xml templates/locale/*.xml; do
    up=..
    case $f in templates/*/*) up=../.. ;; esac
    { read -r _ && read -r second; } <"$f"
    case $second in
    *"<?xml-model href=\"$up/docs/schema/template.rnc\""*) [ -f "${f%/*}/$up/docs/schema/template.rnc" ] ;;
    *) false ;;
    esac || echo "FAILED template-schema-takes: $f (xml-model on line 2)"
done
echo "ok template-schema-shipped-tried"

judge() { # TOOL
    "$1" "$dir/good/plain.xml" && echo "ok template-$1-takes" || echo "FAILED template-$1-takes"
    for f in "$dir"/bad/*.xml; do
        name=$(basename "$f" .xml)
        if "$1" "$f"; then echo "FAILED template-$1-refuses-$name"; else echo "ok template-$1-refuses-$name"; fi
    done
}
judge xml
judge program
if command -v jing >/dev/null && command -v java >/dev/null; then
    # One call for all: it takes a second to start. It names each file that it refuses.
    export JDK_JAVA_OPTIONS='-XX:TieredStopAtLevel=1 -XX:+UseSerialGC'
    jing -c docs/schema/template.rnc "$dir"/good/*.xml "$dir"/bad/*.xml templates/*.xml templates/parts/*.xml \
        >"$dir/said" 2>/dev/null
    for f in "$dir"/good/*.xml "$dir"/bad/*.xml; do
        case $f in */good/*) refused=no ;; *) refused=yes ;; esac
        said=no
        ! grep -qF "$f:" "$dir/said" || said=yes
        name=template-compact-$(basename "$f" .xml)
        if [ $said = $refused ]; then echo "ok $name"; else echo "FAILED $name: refused: $said"; fi
    done
    ! grep -F /templates/ "$dir/said" >"$dir/shipped" && echo "ok template-compact-shipped" ||
        echo "FAILED template-compact-shipped: $(head -3 "$dir/shipped")"
else
    echo "skipped template-compact: no jing to read the compact form with"
fi
# Every element that the program knows is told of in the manual of templates.
grep -o "[\`<][a-z-][a-z-]*[\`> /\"]" docs/template.md | tr -d '`<> /"' | sort -u >"$dir/told"
sed -n 's/.*<element name="\([a-z-]*\)">.*/\1/p' docs/schema/template.rng | sort -u >"$dir/elements"
comm -23 "$dir/elements" "$dir/told" | sed 's/^/FAILED template-told: /'
[ "$(wc -l <"$dir/elements")" -gt 40 ] || echo "FAILED template-told: few elements are looked up"
echo "ok template-elements-looked-up"
