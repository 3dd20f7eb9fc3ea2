#!/bin/sh
# What a chart costs beside a plain libharu program, and what a batch takes in memory. Called by
# `make bench`, which builds first. All figures of the table come from this one run.
#
# BENCH_VISITS (300)            visits in the timed batch
# BENCH_SEED (1)                which invented patients
# BENCH_MEMORY ("1000 10000")   batch sizes for the memory figures; "" leaves them out
# BENCH_ROUNDS (5)              the best of so many runs of the pipeline counts
# BENCH_LONG, BENCH_PAIRS       see more.sh
# BENCH_DIR (/dev/shm)          where the timed batch writes: memory, so that the program is timed
#                               and not a file system that searches for free places
set -eu
build=$(cd "${BUILD:-build}" && pwd)
python=${PYTHON:-python3}
visits=${BENCH_VISITS:-300}
seed=${BENCH_SEED:-1}
sizes=${BENCH_MEMORY-1000 10000}
rounds=${BENCH_ROUNDS:-5}
bench="$build/bench"
export LC_ALL=C TZ=UTC
work=$(mktemp -d "${TMPDIR:-/tmp}/endfeel-bench.XXXXXX") || exit 3
fast=${BENCH_DIR:-/dev/shm}
[ -w "$fast" ] || fast=$work
fast=$(mktemp -d "$fast/endfeel-bench.XXXXXX") || exit 3
trap 'rm -rf "$work" "$fast"' EXIT INT TERM

# Sets charts, wall, cpu and peak. An input with something held back ends with 1, which is fine.
measure() { # INPUT OUT JOBS [PROGRAM]
    rm -rf "$2"
    status=0
    "$bench/bench_run" "${4:-$build/endfeel}" report -q "-j$3" --kind chart --every-visit \
        --today 2030-01-01 -o "$2" "$1" >/dev/null 2>"$work/err" || status=$?
    if [ "$status" -gt 1 ]; then
        cat "$work/err" >&2
        exit "$status"
    fi
    read -r wall cpu peak <<END
$(tail -n 1 "$work/err")
END
    charts=$(find "$2" -name '*.pdf' | wc -l)
    [ "$charts" -gt 0 ] || { echo "the batch set no chart" >&2; exit 3; }
}

"$python" tests/external/generate.py "$visits" "$seed" >"$work/batch.csv"

# The page lists of the batch's first visits, for the programs that only draw.
"$python" tests/external/generate.py 60 "$seed" >"$work/few.csv"
"$build/endfeel" report -q -j1 --kind chart --every-visit --today 2030-01-01 --dump pages \
    "$work/few.csv" >"$work/pages" 2>"$work/err" || [ $? -eq 1 ] || { cat "$work/err" >&2; exit 3; }

lower() { echo "${1:-$2} $2" | awk '{ print ($1 < $2) ? $1 : $2 }'; }
# The whole way, and without tags, which no option of the program asks for, and the plain program
# that both are held against: in turn, so that what neighbours of the machine do falls on all.
bare_cpu="" bare_wall="" best_cpu="" best_wall="" plain="" i=0
while [ "$i" -lt "$rounds" ]; do
    rm -rf "$fast/out"
    measure "$work/batch.csv" "$fast/bare" 1 "$bench/bench_untagged"
    bare_cpu=$(lower "$bare_cpu" "$cpu")
    bare_wall=$(lower "$bare_wall" "$wall")
    bare=$(find "$fast/bare" -name '*.pdf' -exec cat {} + | wc -c)
    rm -rf "$fast/bare"
    measure "$work/batch.csv" "$fast/out" 1
    best_cpu=$(lower "$best_cpu" "$cpu")
    best_wall=$(lower "$best_wall" "$wall")
    now=$("$bench/bench_plain" helvetica "$work/pages")
    plain=$(printf '%s\n%s\n' "$plain" "$now" | awk 'NF && (best == "" || $3 < cost) {
        best = $0; cost = $3 } END { print best }')
    i=$((i + 1))
done
total=$(find "$fast/out" -name '*.pdf' -exec cat {} + | wc -c)
{
    echo "$charts $best_wall $best_cpu $total" | awk '{
        printf "pipeline %.1f %.1f %d\n", $1 / $2, $3 / $1 * 1e6, $4 / $1 }'
    echo "$charts $bare_wall $bare_cpu $bare" | awk '{
        printf "bare %.1f %.1f %d\n", $1 / $2, $3 / $1 * 1e6, $4 / $1 }'
    "$bench/bench_ours" "$work/pages"
    "$bench/bench_ours" untagged "$work/pages"
    echo "$plain"
    "$bench/bench_plain" utf8 "$work/pages"
    "$bench/bench_plain" dejavu "$work/pages"
} >"$work/figures"

awk -v charts="$charts" '
    { name[NR] = $1; rate[NR] = $2; cost[NR] = $3; size[NR] = $4; of[$1] = $3 }
    END {
        label["pipeline"] = "endfeel report -j1, CSV to files"
        label["bare"] = "the same without tags"
        label["ours"] = "page list to PDF, pdf_write()"
        label["untagged"] = "that without tags"
        label["helvetica"] = "plain libharu, built-in face"
        label["utf8"] = "plain libharu, UTF-8, our faces"
        label["dejavu"] = "plain libharu, UTF-8, DejaVu"
        printf "%d charts timed; one process; best of several runs\n\n", charts
        printf "%-34s %9s %12s %10s %14s %9s %10s\n", "", "charts/s", "CPU us/chart", "bytes", \
            "of helvetica", "of utf8", "of dejavu"
        for (i = 1; i <= NR; i++)
            printf "%-34s %9.1f %12.0f %10d %13.2fx %8.2fx %9.2fx\n", label[name[i]], rate[i], \
                cost[i], size[i], cost[i] / of["helvetica"], cost[i] / of["utf8"], \
                cost[i] / of["dejavu"]
    }' "$work/figures"

# The importer alone. Long-form files as exports have them: the readings of the batch with the twenty
# columns of a measurement, and the batch as it is, with every column. CPU of one process.
"$python" tests/external/generate.py "$((visits * 20))" "$seed" >"$work/all.csv"
"$python" - "$work/all.csv" >"$work/long.csv" <<'END'
import csv, sys
columns = ("patient_id,visit_date,joint,motion,side,digit,test,value,start_deg,end_deg,grade,unit,"
           "try,position,tool,measured_by,role,end_feel,pain,note").split(",")
out = csv.writer(sys.stdout)
out.writerow(columns)
for row in csv.DictReader(open(sys.argv[1])):
    if row["joint"] and (row["value"] or row["end_deg"] or row["grade"]):
        out.writerow([row[c] for c in columns])
END
printf '\n%-34s %9s %12s %10s %14s %14s\n' "reading CSV, one core, best of 10" "MB" "bytes/row" \
    "rows MB/s" "and model MB/s" "model B/row"
for form in long all; do
    "$bench/bench_import" "$work/$form.csv" 10 | awk -v form="$form" '
        BEGIN { label["long"] = "long form, 20 columns"; label["all"] = "every column" }
        { printf "%-34s %9.1f %12.0f %10.0f %14.0f %14.0f\n", label[form], $1, $2, $3, $4, $5 }'
done
echo "(model B/row: what one patient at a time keeps, texts, derived readings and notes included; what"
echo "is over when he is made is not in it)"
# What a batch holds for each measurement more that it reads: the difference of two sizes.
grow() { # FILE
    "$bench/bench_run" "$build/endfeel" check -q -j1 --today 2030-01-01 "$1" >/dev/null 2>"$work/err" ||
        [ $? -eq 1 ]
    tail -n 1 "$work/err" | cut -d ' ' -f 3
}
{ head -n 1 "$work/long.csv"; for i in 1 2 3 4 5; do tail -n +2 "$work/long.csv" | sed "s/^/$i/"; done; } \
    >"$work/five.csv"
small=$(grow "$work/long.csv") large=$(grow "$work/five.csv") rows=$(wc -l <"$work/long.csv")
echo "$small $large $rows" | awk '{
    printf "%-34s %9.1f bytes a measurement that it reads more (%d to %d KB peak, %d to %d rows)\n", \
        "memory held, endfeel check -j1", ($2 - $1) * 1024 / ($3 * 4), $1, $2, $3, $3 * 5 }'

sh tests/bench/more.sh "$work" "$work/pages" "$fast"
[ -n "$sizes" ] || exit 0
printf '\n%-34s %9s %12s %10s %14s\n' "memory, endfeel report -j1" "charts" "wall s" "CPU s" \
    "peak KB"
for n in $sizes; do
    "$python" tests/external/generate.py "$n" "$seed" >"$work/large.csv"
    measure "$work/large.csv" "$work/out" 1
    printf '%-34s %9d %12.1f %10.1f %14d\n' "$n visits" "$charts" "$wall" "$cpu" "$peak"
done
