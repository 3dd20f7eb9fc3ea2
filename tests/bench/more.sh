#!/bin/sh
# The rest of `make bench`: other engines on the same documents, two workers against one, the cost
# of a visit and the memory as the batch grows, a cold start, the bytes of a two-page chart, and
# instructions where valgrind is there. Called by run.sh with its work folder and page dump.
#
# BENCH_LONG ("")   also a batch of 100,000 visits, and 20,000 reports
# BENCH_PAIRS (5)   the best of so many pairs of one and two workers
set -eu
work=$1 pages=$2 fast=$3
build=$(cd "${BUILD:-build}" && pwd)
python=${PYTHON:-python3}
# ReportLab is a package of the system's own Python.
system_python=/usr/bin/python3
[ -x $system_python ] || system_python=$python
bench="$build/bench"
seed=${BENCH_SEED:-1}
options="-q --every-visit --today 2030-01-01"

# Sets wall, cpu and peak.
timed() { # COMMAND...
    status=0
    "$bench/bench_run" "$@" >/dev/null 2>"$work/err" || status=$?
    [ "$status" -le 1 ] || { cat "$work/err" >&2; exit "$status"; }
    read -r wall cpu peak <<END
$(tail -n 1 "$work/err")
END
}
lowest() { echo "$1 $2" | awk '{ print (NF == 1 || $1 < $2) ? $1 : $2 }'; }

# Each is held against equal work: drawing alone against drawing alone, once without the tags that
# the others do not write either; setting pages from ready texts, tables and figures against that,
# from a findings document to PDF; and against all of our work, which reads and judges besides.
# The findings documents are those that a report keeps of what it printed.
"$build/endfeel" report -q -j1 --kind chart --every-visit --today 2030-01-01 -o "$fast/few" \
    "$work/few.csv" >/dev/null 2>"$work/err" || [ $? -eq 1 ] || { cat "$work/err" >&2; exit 3; }
find "$fast/few" -path '*/.values/*.xml' | sort |
    xargs "$bench/bench_setting" "$build/share/endfeel/templates" chart >"$work/setting"
rm -rf "$fast/few"
[ "$(awk 'NR == 2 { print $1 }' "$work/setting")" = "$(grep -c '^page ' "$pages")" ] ||
    { echo "the findings documents set other pages than the dump holds" >&2; exit 3; }
setting=$(awk 'NR == 1 { print $3 }' "$work/setting")
printf '\n%-30s %8s %11s %8s %13s %12s %12s %13s\n' "other engines" "docs/s" "CPU us/doc" "bytes" \
    "ours, no tags" "ours, tagged" "our setting" "our whole way"
awk 'NR == 1 { printf "%-30s %8.1f %11.0f %8d\n", "ours, setting the pages, tagged", $2, $3, $4 }' \
    "$work/setting"
bare=$("$bench/bench_ours" untagged "$pages" | awk '{ print $3 }')
drawing=$("$bench/bench_ours" "$pages" | awk '{ print $3 }')
whole=$(awk '$1 == "pipeline" { print $3 }' "$work/figures")
for name in reportlab flow groff; do
    "$system_python" tests/bench/others.py "$name" "$pages" | awk -v drawing="$drawing" -v whole="$whole" \
        -v bare="$bare" -v setting="$setting" '
        BEGIN {
            label["reportlab"] = "reportlab, only drawing"
            label["flow"] = "reportlab, setting the pages"
            label["groff"] = "groff, setting the pages"
        }
        { printf "%-30s %8.1f %11.0f %8d %12.1fx %11.1fx %11.1fx %12.1fx\n", label[$1], $2, $3, $4, \
            $3 / bare, $3 / drawing, $3 / setting, $3 / whole }'
done

"$python" tests/external/generate.py 1000 "$seed" >"$work/thousand.csv"
# Both of a pair run one after the other, so that a neighbour of the machine does less to their ratio.
best="" i=0
while [ "$i" -lt "${BENCH_PAIRS:-5}" ]; do
    for jobs in 1 2; do
        rm -rf "$fast/pair"
        # shellcheck disable=SC2086
        timed "$build/endfeel" report $options -j$jobs -k chart -o "$fast/pair" "$work/thousand.csv"
        if [ $jobs = 1 ]; then one=$wall; else two=$wall; fi
    done
    best=$(echo "$best $one $two" | awk '{ print (NF == 2 || $(NF - 1) / $NF > $1 / $2) ? $(NF - 1) " " $NF : $1 " " $2 }')
    i=$((i + 1))
done
echo "$best" | awk '{ printf "\n1,000 charts: %.2f s with one worker, %.2f s with two: %.2f times (%d processors)\n",
    $1, $2, $1 / $2, n }' n="$(nproc)"

head -1 "$work/thousand.csv" >"$work/one.csv"
awk -F, 'NR == 2 { id = $1 } NR > 1 && $1 == id' "$work/thousand.csv" >>"$work/one.csv"
cold="" i=0
while [ $i -lt 10 ]; do
    rm -rf "$fast/cold"
    # shellcheck disable=SC2086
    timed "$build/endfeel" report $options -j1 -k chart -o "$fast/cold" "$work/one.csv"
    cold=$(lowest "$cold" "$wall")
    i=$((i + 1))
done
echo "start to finish of one chart: $cold s"
awk -F, '$2 == "chart" && $5 == 2 && $6 > most { most = $6 } END {
    if (most) print "largest chart of two pages, tagged: " most " bytes" }' "$fast/pair/manifest.csv"

# A table of 2,000 rows, some of them of two lines, in groups that are set again after a page ends.
mkdir -p "$work/table/locale"
cp templates/locale/en.xml "$work/table/locale/"
echo "<report root='day'><page><para>day</para></page></report>" >"$work/table/day-index.xml"
cat >"$work/table/table.xml" <<'TABLE'
<report root="visit"><page margins="18mm"><running-foot><para><page-number/> of <page-count/></para></running-foot>
<table select="(//@*)[position() &lt;= 2000]" lines="groups" goes-on="continues on the next page">
<group-head by="name(..)" continued="{name(..)}, continued">{name(..)}</group-head>
<column><head>Row</head><cell>{position()}</cell></column>
<column><head>Name</head><cell>{name()}</cell></column>
<column align="decimal"><head>Number</head><cell>{number-text(position() div 7, 1)}</cell></column>
<column width="*"><head>Note</head><cell>some words that may well wrap over two lines in row {position()}
of {name(..)}</cell></column></table></page></report>
TABLE
awk 'BEGIN { print "patient_id,visit_date,joint,motion,side,test,value"
    n = split("shoulder flexion,shoulder abduction,elbow flexion,hip flexion,hip abduction," \
        "knee flexion,shoulder extension,hip extension,wrist flexion,wrist extension,hip adduction," \
        "elbow extension", m, ",")
    for (i = 1; i <= n; i++) for (s = 0; s < 2; s++) for (t = 0; t < 2; t++) { split(m[i], k, " ")
        print "T-1,2025-03-04," k[1] "," k[2] "," (s ? "left" : "right") "," (t ? "PROM,65" : "AROM,60") } }' \
    >"$work/table.csv"
timed "$build/endfeel" report -q -j1 --today 2030-01-01 --templates "$work/table" -k table \
    -o "$fast/table" "$work/table.csv"
rows=$(pdftotext "$fast/table/2025-03-04/T-1_2025-03-04_table.pdf" - | grep -c 'some words that may')
echo "a table of $rows rows, start to finish: $cpu s of processor (under 1 is asked)"

# The cost of a visit is what comes on top of the start.
# shellcheck disable=SC2086
timed "$build/endfeel" findings $options -j1 -o "$fast/findings.csv" "$work/one.csv"
start=$cpu
printf '\n%-34s %9s %12s %10s %14s\n' "findings -j1, as the batch grows" "visits" "CPU s" "us/visit" "peak KB"
sizes="1000 10000"
[ -z "${BENCH_LONG:-}" ] || sizes="$sizes 100000"
for n in $sizes; do
    "$python" tests/external/generate.py "$n" "$seed" >"$fast/$n.csv"
done
# The best of three runs of each size, in turn, and the small ones more often: a slow moment of the
# machine falls on all sizes.
for i in 1 2 3; do
    for n in $sizes; do
        runs=$((n < 10000 ? 10000 / n : 1))
        while [ $runs -gt 0 ]; do
            # shellcheck disable=SC2086
            timed "$build/endfeel" findings $options -j1 -o "$fast/findings.csv" "$fast/$n.csv"
            echo "$n $cpu $peak"
            runs=$((runs - 1))
        done
    done
done >"$work/sizes"
for n in $sizes; do
    rm -f "$fast/$n.csv"
    awk -v n="$n" -v start="$start" '
        $1 == n && (cpu == "" || $2 < cpu) { cpu = $2; peak = $3 }
        END { printf "%-34s %9d %12.2f %10.0f %14d\n", "", n, cpu, (cpu - start) / n * 1e6, peak }' \
        "$work/sizes"
done
if [ -n "${BENCH_LONG:-}" ]; then
    for how in "" --scatter; do
        # shellcheck disable=SC2086
        "$python" tests/external/generate.py $how 20000 "$seed" >"$fast/large.csv"
        rm -rf "$fast/out"
        # shellcheck disable=SC2086
        timed "$build/endfeel" report $options -j1 -k chart -o "$fast/out" "$fast/large.csv"
        echo "20000 reports${how:+, scattered}: $cpu s of processor, peak $peak KB"
    done
fi

command -v valgrind >/dev/null || exit 0
"$python" tests/external/generate.py 5 "$seed" >"$work/a.csv"
"$python" tests/external/generate.py 25 "$seed" >"$work/b.csv"
# Of all processes; the parent's alone. A worker's count begins with what its parent had done before
# the fork, which is the same in both runs and drops out of their difference.
instructions() { # FILE
    rm -f "$work"/cg.*
    # shellcheck disable=SC2086
    valgrind -q --tool=callgrind --trace-children=yes --callgrind-out-file="$work/cg.%p" \
        "$build/endfeel" report $options -j1 -k chart -o "$fast/cg$2" "$1" >/dev/null 2>&1 || [ $? -le 1 ]
    for counts in "$work"/cg.*; do
        awk -v pid="${counts##*.}" '/^totals:/ { print pid, $2 }' "$counts"
    done | sort -n | awk '{ n += $2 } NR == 1 { parent = $2 } END { printf "%.0f %.0f", n, parent }'
}
few=$(instructions "$work/a.csv" 5)
many=$(instructions "$work/b.csv" 25)
echo "$few $many" | awk '{ printf "\ninstructions of a further chart, CSV to file: %.2f million; of start-up and the lists: %.0f million\n",
    ($3 - $1) / 20 / 1e6, ($2 - ($4 - $2) / 4) / 1e6 }'
