#!/bin/sh
# Every kind for every visit of the fixtures as an archive file, before the validator.
cd "$TOP" || exit 3
jars=/usr/share/java
class_path=$jars/preflight.jar:$jars/pdfbox2.jar:$jars/fontbox2.jar:$jars/xmpbox.jar
class_path=$class_path:$jars/commons-logging.jar:$jars/javax.activation.jar:$jars/jaxb-api.jar
command -v java >/dev/null && [ -f $jars/preflight.jar ] ||
    { echo "skipped archives-valid: no PDFBox preflight to judge with" && exit 0; }
mkdir -p "$WORK/archives"
"$ENDFEEL" report -q --today 2030-01-01 --every-visit --archive --print-all --clinic fixtures/clinic.xml \
    -k chart,letter,progress,discharge,reviewer,patient -o "$WORK/archives" fixtures/day 2>/dev/null
mkdir "$WORK/flat"
cp "$WORK"/archives/2*/*.pdf "$WORK"/archives/*.pdf "$WORK/flat"
java -cp "$class_path" org.apache.pdfbox.preflight.Validator_A1b group "$WORK/flat" >"$WORK/verdict" 2>&1
files=$(find "$WORK/flat" -name '*.pdf' | wc -l)
valid=$(grep -c 'is a valid PDF/A-1b file' "$WORK/verdict")
[ "$files" = "$valid" ] && [ "$files" -gt 50 ] && echo "ok archives-valid" ||
    echo "FAILED archives-valid: $valid of $files: $(grep 'not a valid' "$WORK/verdict" | head -3)"
