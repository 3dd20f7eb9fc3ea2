#!/bin/sh
# The clinic's picture: on every chart, in the print file, made again when it changes, and refused
# before any report when it cannot be set.
cd "$TOP" || exit 3
mkdir -p "$WORK/logo"
# Writes a PNG of one colour: draw FILE RED
draw() {
    "$PYTHON" - "$1" "$2" <<'END'
import struct, sys, zlib
def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
row = b"\0" + bytes([int(sys.argv[2]), 40, 90]) * 40
open(sys.argv[1], "wb").write(
    b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 40, 20, 8, 2, 0, 0, 0))
    + chunk(b"IDAT", zlib.compress(row * 20)) + chunk(b"IEND", b""))
END
}
sed 's|</clinic>|<logo>sign.png</logo></clinic>|' fixtures/clinic.xml >"$WORK/logo/clinic.xml"
run() { # OUT MORE...
    out=$1
    shift
    "$ENDFEEL" report -q -j1 -k chart --clinic "$WORK/logo/clinic.xml" --today 2030-01-01 \
        -o "$out" "$@" fixtures/day 2>"$WORK/logo/err"
    status=$?
}
run "$WORK/logo/none"
[ $status = 2 ] && grep -q "clinic.xml: .*sign.png: no such file" "$WORK/logo/err" &&
    [ ! -e "$WORK/logo/none/manifest.csv" ] && echo "ok logo-missing" ||
    echo "FAILED logo-missing: $status $(cat "$WORK/logo/err")"
echo words >"$WORK/logo/sign.png"
run "$WORK/logo/none"
[ $status = 2 ] && grep -q "neither PNG nor JPEG" "$WORK/logo/err" && echo "ok logo-no-picture" ||
    echo "FAILED logo-no-picture: $status $(cat "$WORK/logo/err")"
draw "$WORK/logo/sign.png" 200
run "$WORK/logo/out" --print-all
[ $status -le 1 ] && echo "ok logo-runs" || echo "FAILED logo-runs: $(cat "$WORK/logo/err")"
charts=0 shown=0
for pdf in "$WORK"/logo/out/*/*_chart.pdf; do
    charts=$((charts + 1))
    pdfimages -list "$pdf" | grep -q '^ *1 *0 image *40 *20 *rgb' && shown=$((shown + 1))
done
[ $charts -gt 3 ] && [ $charts = $shown ] && echo "ok logo-on-every-chart" ||
    echo "FAILED logo-on-every-chart: $shown of $charts"
printed=$(find "$WORK/logo/out" -maxdepth 1 -name 'print*.pdf')
once=$(pdfimages -list "$printed" | awk '$3 == "image" {print $11}' | sort -u | wc -l)
times=$(pdfimages -list "$printed" | grep -c ' image ')
[ "$once" = 1 ] && [ "$times" = $charts ] && echo "ok logo-printed" ||
    echo "FAILED logo-printed: $once pictures on $times pages"
before=$(cat "$WORK"/logo/out/*/*_chart.pdf | sha256sum)
run "$WORK/logo/out"
[ "$before" = "$(cat "$WORK"/logo/out/*/*_chart.pdf | sha256sum)" ] && echo "ok logo-stands" ||
    echo "FAILED logo-stands"
draw "$WORK/logo/sign.png" 30
run "$WORK/logo/out"
[ "$before" != "$(cat "$WORK"/logo/out/*/*_chart.pdf | sha256sum)" ] && echo "ok logo-changed" ||
    echo "FAILED logo-changed: the old picture still stands"
