#!/bin/sh
# Runs the tests: tests/run.sh check|check-all|asan|bless [CASE]. Called by make, which builds first.
#
# unit       every check suite of tests/unit and tests/external
# cases      tests/cases/NAME.csv against NAME.{rows,model,findings,xml,pages,exceptions,status};
#            NAME.args holds options; the name says the behaviour
# pdf, same  tests/pdf/*.sh: the PDF as readers see it, equal bytes, recomputation ...
set -u
mode=${1:-check}
build=$(cd "${BUILD:-build}" && pwd)
export ENDFEEL="$build/endfeel" BUILD="$build" PYTHON="${PYTHON:-python3}" TZ=UTC LC_ALL=C
export CK_DEFAULT_TIMEOUT="${CK_DEFAULT_TIMEOUT:-60}" # a busy machine is no failure
top=$(pwd)
work=$(mktemp -d "${TMPDIR:-/tmp}/endfeel-check.XXXXXX") || exit 3
trap 'rm -rf "$work"' EXIT INT TERM
chmod 711 "$work" # a test runs the program as another user
export TOP="$top"
passed=0 failed=0 skipped=0

ok() { passed=$((passed + 1)); }
bad() {
    failed=$((failed + 1))
    echo "FAILED: $*"
}

# Produces one form of a case into a file.
produce() { # FORM NAME TO
    form=$1 name=$2 to=$3
    args=""
    [ ! -f "$name.args" ] || args=$(cat "$name.args")
    today="--today 2030-01-01"
    # args are options, split on purpose
    # shellcheck disable=SC2086
    case $form in
    rows | model) "$ENDFEEL" check -q -j1 $today --dump "$form" "$name.csv" >"$to" 2>/dev/null ;;
    findings) "$ENDFEEL" findings -q -j1 $today --every-visit $args "$name.csv" >"$to" 2>/dev/null ;;
    xml) "$ENDFEEL" findings -q -j1 $today --every-visit --format xml $args "$name.csv" >"$to" 2>/dev/null ;;
    pages) "$ENDFEEL" report -q -j1 $today --every-visit --dump pages $args "$name.csv" >"$to" 2>/dev/null ;;
    exceptions) "$ENDFEEL" report -q -j1 $today --every-visit $args -o "$work/case" "$name.csv" 2>/dev/null
        cp "$work/case/exceptions.csv" "$to" ;;
    status) "$ENDFEEL" report -j1 $today --every-visit $args -o "$work/case" "$name.csv" >/dev/null 2>"$to.err"
        echo "status $?" >"$to"
        sed "s|$work|WORK|g" "$to.err" >>"$to" ;;
    esac
    rm -rf "$work/case"
}

forms="rows model findings xml pages exceptions status"

run_cases() {
    since=$(date +%s%N)
    cd tests/cases || exit 3
    for csv in *.csv; do
        [ -f "$csv" ] || continue
        name=${csv%.csv}
        any=0
        for form in $forms; do
            [ -f "$name.$form" ] || continue
            any=1
            produce "$form" "$name" "$work/got"
            if cmp -s "$name.$form" "$work/got"; then
                ok
            else
                bad "case $name.$form (make bless CASE=$name shows and accepts)"
                diff -u "$name.$form" "$work/got" | head -20
            fi
        done
        [ $any = 1 ] || bad "case $name has nothing to compare with"
    done
    cd "$top" || exit 3
    echo "$((($(date +%s%N) - since) / 1000000)) tests/cases" >>"$work/times"
}

bless() {
    name=$1
    cd tests/cases || exit 3
    [ -f "$name.csv" ] || { echo "no case tests/cases/$name.csv" >&2; exit 2; }
    for form in $forms; do
        [ -f "$name.$form" ] || continue
        produce "$form" "$name" "$work/got"
        cmp -s "$name.$form" "$work/got" && continue
        diff -u "$name.$form" "$work/got"
        printf 'accept %s.%s? [y/N] ' "$name" "$form"
        read -r answer
        [ "$answer" = y ] && cp "$work/got" "$name.$form"
    done
}

# Runs each of the programs and scripts named, so many at a time as there are processors, each with
# a folder of its own; what they say comes in the order of their names.
run_each() { # PROGRAM...
    mkdir -p "$work/log"
    printf '%s\n' "$@" | xargs -P "${CHECK_JOBS:-$(nproc)}" -n 1 sh -c '
        set -- "$2" "$1"
        name=$(basename "$1")
        export WORK="$2/$name.d"
        mkdir -p "$WORK"
        since=$(date +%s%N)
        case $1 in *.sh) sh "$1" ;; *) "$1" ;; esac >"$2/log/$name" 2>&1
        echo $? >"$2/log/$name.status"
        echo "$((($(date +%s%N) - since) / 1000000)) $1" >>"$2/times"
        chmod -R u+w "$WORK"
        rm -rf "$WORK"' run "$work" || bad "a test could not be started"
}

run_suites() {
    set --
    for test in "$build"/unit/test_*; do
        [ -x "$test" ] && [ -f "$test" ] || continue
        case $test in *.d) continue ;; esac
        set -- "$@" "$test"
    done
    run_each "$@"
    for test in "$@"; do
        log="$work/log/$(basename "$test")"
        if [ "$(cat "$log.status" 2>/dev/null)" = 0 ]; then
            n=$(sed -n 's/^100%: Checks: \([0-9]*\),.*/\1/p' "$log")
            passed=$((passed + ${n:-0}))
            [ "${n:-0}" -gt 0 ] || bad "$(basename "$test") ran no test"
        else
            bad "$(basename "$test")"
            tail -30 "$log"
        fi
    done
}

# Each script prints lines "ok NAME", "FAILED NAME: why" or "skipped NAME: why".
run_scripts() { # SCRIPT...
    run_each "$@"
    for script in "$@"; do
        log="$work/log/$(basename "$script")"
        status=$(cat "$log.status" 2>/dev/null)
        [ "$status" = 0 ] || echo "FAILED $(basename "$script"): exit status ${status:-none}" >>"$log"
        passed=$((passed + $(grep -ac '^ok ' "$log")))
        skipped=$((skipped + $(grep -ac '^skipped ' "$log")))
        failed=$((failed + $(grep -ac '^FAILED ' "$log")))
        grep -av '^ok ' "$log"
    done
}

case $mode in
bless)
    [ -n "${2:-}" ] || { echo "usage: make bless CASE=name" >&2; exit 2; }
    bless "$2"
    exit 0
    ;;
asan)
    export ASAN_OPTIONS=detect_leaks=1 UBSAN_OPTIONS=print_stacktrace=1
    run_suites
    run_cases
    run_scripts tests/fault/*.sh tests/fuzz/replay.sh
    ;;
check)
    run_suites
    run_cases
    run_scripts tests/pdf/*.sh tests/fault/*.sh tests/external/*.sh tests/fuzz/replay.sh
    ;;
check-all)
    export WHOLE=1 # what is a sample in check is all there is here
    run_suites
    run_cases
    run_scripts tests/pdf/*.sh tests/fault/*.sh tests/external/*.sh tests/fuzz/replay.sh tests/long/*.sh
    ;;
*)
    echo "usage: tests/run.sh check|check-all|asan|bless [CASE]" >&2
    exit 2
    ;;
esac
echo "the slowest, in seconds:"
sort -rn "$work/times" | head -"${CHECK_SLOWEST:-10}" | awk '{ printf "%8.1f  %s\n", $1 / 1000, $2 }'
echo "$passed passed, $failed failed, $skipped skipped"
[ $failed = 0 ]
