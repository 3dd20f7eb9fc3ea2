#!/bin/sh
# Hostile XML in every file that is read as XML: template, part, clinic file, column map, reference
# folder. Each is refused (2) with its file and line, before anything is written, in a short time;
# what an entity names is never opened, neither a file nor an address. In `make check` an attack
# stands in one of the five files, each in its turn; in check-all in every one.
cd "$TOP" || exit 3
w="$WORK/xml"
mkdir -p "$w"
printf 'patient_id,visit_date,joint,motion,side,test,value\nP1,2025-03-14,knee,flexion,right,AROM,120\n' >"$w/in.csv"

# Who opens the pipe waits there for ever; who knocks at the port leaves a line.
mkfifo "$w/trap"
"$PYTHON" - "$w" <<'EOF2' &
import os, socket, sys
s = socket.socket()
s.bind(("127.0.0.1", 0))
s.listen(8)
with open(sys.argv[1] + "/port.part", "w") as f:
    f.write("%d" % s.getsockname()[1])
os.rename(sys.argv[1] + "/port.part", sys.argv[1] + "/port")
s.settimeout(300)
while True:
    try:
        c, _ = s.accept()
    except OSError:
        break
    with open(sys.argv[1] + "/knocked", "a") as f:
        f.write("x\n")
    c.close()
EOF2
listener=$!
trap 'kill $listener 2>/dev/null' EXIT
for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do
    [ -f "$w/port" ] && break
    sleep 0.1
done
"$PYTHON" - "$(cat "$w/port")" <<'EOF2' || echo "FAILED xml: the listener does not answer"
import socket, sys
socket.create_connection(("127.0.0.1", int(sys.argv[1])), 5).close()
EOF2
for _ in 1 2 3 4 5 6 7 8 9 10; do
    [ -f "$w/knocked" ] && break
    sleep 0.1
done
[ -f "$w/knocked" ] && echo "ok xml-listener-hears" || echo "FAILED xml-listener-hears"
rm -f "$w/knocked"

# Every attack, with the root element of the file it stands in for.
"$PYTHON" - "$w" "$(cat "$w/port")" <<'EOF2'
import os, sys
w, port = sys.argv[1:]
whole = bool(os.environ.get("WHOLE"))
bomb = "".join('<!ENTITY l%d "%s">\n' % (i, "&l%d;" % (i - 1) * 10) for i in range(1, 20))
net, local = "http://127.0.0.1:%s/x" % port, w + "/trap"
roots = ("template", "part", "clinic", "column-map", "motions")
turns = {}
for root in roots:
    def put(name, data):
        turn = turns.setdefault(name, len(turns))
        if not whole and roots[turn % len(roots)] != root:
            return
        with open("%s/%s.%s" % (w, root, name), "wb") as f:
            f.write(data.encode() if isinstance(data, str) else data)
    def doc(subset, text="", attr="", outer=""):
        inner = "[\n%s]" % subset if subset else ""
        return '<?xml version="1.0"?>\n<!DOCTYPE %s %s%s>\n<%s %s>%s</%s>\n' % (
            root, outer, inner, root, attr, text, root)
    put("bomb-in-text", doc('<!ENTITY l0 "ha">\n' + bomb, "&l19;"))
    put("bomb-in-attribute", doc('<!ENTITY l0 "ha">\n' + bomb, "", 'name="&l19;"'))
    put("bomb-quadratic", doc('<!ENTITY a "%s">\n' % ("a" * 50000), "&a;" * 50000))
    put("bomb-of-parameters", doc('<!ENTITY % a "x">\n<!ENTITY % b "%a;%a;">\n%b;\n'))
    put("entity-of-a-file", doc('<!ENTITY x SYSTEM "%s">\n' % local, "&x;"))
    put("entity-of-an-address", doc('<!ENTITY x SYSTEM "%s">\n' % net, "&x;"))
    put("parameter-of-a-file", doc('<!ENTITY %% x SYSTEM "%s">\n%%x;\n' % local))
    put("parameter-of-an-address", doc('<!ENTITY %% x SYSTEM "%s">\n%%x;\n' % net))
    put("dtd-of-a-file", doc("", outer='SYSTEM "%s"' % local))
    put("dtd-of-an-address", doc("", outer='PUBLIC "-//X//Y" "%s"' % net))
    put("dtd-within", doc("<!ELEMENT %s ANY>\n<!ATTLIST %s a CDATA 'b'>\n" % (root, root)))
    put("dtd-bare", doc(""))
    put("entity-loop", doc('<!ENTITY a "&b;">\n<!ENTITY b "&a;">\n', "&a;"))
    put("entity-unknown", "<%s>\n&nobody;\n</%s>\n" % (root, root))
    put("deep", "\n<a>" .join(["<%s>" % root] + [""] * 10000) + "</a>" * 10000 + "</%s>\n" % root)
    put("not-closed", "<%s>\n<a>\n</%s>\n" % (root, root))
    put("cut-short", "<%s>\n<a b=\"" % root)
    put("attribute-twice", "<%s>\n<a b=\"1\" b=\"2\"/>\n</%s>\n" % (root, root))
    put("two-roots", "<%s/>\n<%s/>\n" % (root, root))
    put("control-character", "<%s>\n\x01\n</%s>\n" % (root, root))
    put("zero-byte", "<%s>\n\0\n</%s>\n" % (root, root))
    put("bytes-not-utf-8", b"<%s>\n<a b=\"\xe4\xf6\"/>\n</%s>\n" % (root.encode(), root.encode()))
    put("surrogate", b"<%s>\n\xed\xa0\x80\n</%s>\n" % (root.encode(), root.encode()))
    put("encoding-unknown", '<?xml version="1.0" encoding="klingon"?>\n<%s/>\n' % root)
    put("utf-16-without-mark", ("<%s/>\n" % root).encode("utf-16-le"))
    put("empty", "")
    put("no-xml", "\x89PNG\r\n\x1a\n")
    put("utf-16-cut", ("\ufeff<%s/>" % root).encode("utf-16-le")[:-1])
    put("large", b"<%s><!--%s--></%s>\n" % (root.encode(), b"x" * (17 << 20), root.encode()))
EOF2

# The attack stands in the file that the command reads with these options.
kinds="template part clinic column-map motions"
try() { # KIND ATTACK
    kind=$1 attack=$2
    case $kind in
    template) file="$w/t/chart.xml" opts="--templates $w/t" ;;
    part) file="$w/t/parts/running-foot.xml" opts="--templates $w/t" ;;
    clinic) file="$w/clinic.xml" opts="--clinic $w/clinic.xml" ;;
    column-map) file="$w/map.xml" opts="--map $w/map.xml" ;;
    motions) file="$w/r/knee.xml" opts="--reference $w/r" ;;
    esac
    cp "$w/$kind.$attack" "$file"
    # opts are options, split on purpose
    # shellcheck disable=SC2086
    timeout 20 "$ENDFEEL" report --today 2030-01-01 -k chart -j2 -o "$w/o" $opts "$w/in.csv" \
        >"$w/out" 2>"$w/err"
    got=$? why=
    [ $got = 2 ] || why="status $got"
    place="$file:[1-9][0-9]*: error: "
    case $attack in large) place="$file: error: file is larger than the limit: [0-9]* bytes" ;; esac
    grep -q "$place" "$w/err" || why="$why no place"
    case $attack in
    bomb* | entity-of* | entity-loop | parameter* | dtd*)
        grep -q "$file:2: error: document type declarations are not accepted; remove the DOCTYPE" \
            "$w/err" || why="$why not said why" ;;
    esac
    [ "$(wc -l <"$w/err")" = 1 ] || why="$why more than one line"
    ! grep -q XML_PARSE "$w/err" || why="$why advice for programmers"
    ! LC_ALL=C grep -q '[^[:print:][:space:]]' "$w/err" || why="$why strange bytes"
    [ ! -e "$w/o" ] || why="$why something is written"
    [ -z "$why" ] || echo "FAILED xml-$kind-$attack: $why: $(head -c 400 "$w/err")"
    [ -n "$why" ] || echo "ok xml-$kind-$attack"
    rm -rf "$w/o"
}
cp -rL templates "$w/t"
mkdir "$w/r" && cp src/reference/*.xml "$w/r"
for kind in $kinds; do
    for f in "$w/$kind".*; do
        try "$kind" "${f#"$w/$kind".}"
    done
    rm -rf "$w/t" "$w/r"
    cp -rL templates "$w/t"
    mkdir "$w/r" && cp src/reference/*.xml "$w/r"
done
[ ! -e "$w/knocked" ] && echo "ok xml-nobody-knocked" || echo "FAILED xml-nobody-knocked"

# With the files as they should be, the same command sets the report.
"$ENDFEEL" report -q --today 2030-01-01 -k chart -o "$w/o" --templates "$w/t" --reference "$w/r" \
    --clinic fixtures/clinic.xml "$w/in.csv" 2>"$w/err" && [ -f "$w/o/2025-03-14/P1_2025-03-14_chart.pdf" ] &&
    echo "ok xml-harmless" || echo "FAILED xml-harmless: $(cat "$w/err")"
rm -rf "$w"
