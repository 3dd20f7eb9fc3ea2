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
# The interpreter itself, not what chooses one: it is started some hundred times.
PYTHON=$("${PYTHON:-python3}" -c 'import sys; print(sys.executable)') || exit 3
unset PYTHONUNBUFFERED PYTHONPATH
export ENDFEEL="$build/endfeel" BUILD="$build" PYTHON TZ=UTC LC_ALL=C
export CK_DEFAULT_TIMEOUT="${CK_DEFAULT_TIMEOUT:-60}" # a busy machine is no failure
top=$(pwd)
work=$(mktemp -d "${TMPDIR:-/tmp}/endfeel-check.XXXXXX") || exit 3
trap 'rm -rf "$work"' EXIT INT TERM
chmod 711 "$work" # a test runs the program as another user
# With its own library alone, which is all that tests use: what else is installed takes longer to
# look through than most of them take.
mkdir -p "$work/python/bin"
ln -s "$PYTHON" "$work/python/bin/python3"
printf 'home = %s\ninclude-system-site-packages = false\n' "$(dirname "$PYTHON")" >"$work/python/pyvenv.cfg"
PYTHON="$work/python/bin/python3"
export TOP="$top"
passed=0 failed=0 skipped=0

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

# Of so many cases, every fourth from one on: a script of its own, that runs beside the others.
run_cases() { # FIRST
    cd tests/cases || exit 3
    n=0
    for csv in *.csv; do
        [ $((n % 4)) = "$1" ] || { n=$((n + 1)) && continue; }
        n=$((n + 1))
        name=${csv%.csv}
        any=0
        for form in $forms; do
            [ -f "$name.$form" ] || continue
            any=1
            produce "$form" "$name" "$work/got"
            if cmp -s "$name.$form" "$work/got"; then
                echo "ok case-$name.$form"
            else
                echo "FAILED case-$name.$form: make bless CASE=$name shows and accepts"
                diff -u "$name.$form" "$work/got" | head -20
            fi
        done
        [ $any = 1 ] || echo "FAILED case-$name: nothing to compare with"
    done
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

# Runs each of the programs and scripts named, each with a folder of its own; one more at a time than
# there are processors, since some wait for a clock.
run_each() { # PROGRAM...
    mkdir -p "$work/log"
    # After each its name with other signs for "/".
    printf '%s\n' "$@" | sed 'p; s|/|-|g' | xargs -P "${CHECK_JOBS:-$(($(nproc) + 1))}" -n 2 sh -c '
        name=$3 # two folders may have a script of one name
        set -- "$2" "$1"
        export WORK="$2/$name.d"
        mkdir -p "$WORK"
        since=$(date +%s%N)
        case $1 in
        cases-*) sh tests/run.sh "$1" ;;
        *.sh) sh "$1" ;;
        *) timeout 300 "$1" ;; # a test that hangs has no process of its own to be ended
        esac >"$2/log/$name" 2>&1
        echo $? >"$2/log/$name.status"
        echo "$((($(date +%s%N) - since) / 1000000)) $1" >>"$2/times"
        rm -rf "$WORK" 2>/dev/null || { chmod -R u+w "$WORK" && rm -rf "$WORK"; }' run "$work" || bad "a test could not be started"
}

# Sets log and status: without a program, there are many to be judged.
log_of() { # TEST
    log=$work/log/ rest=$1 status=
    while [ "$rest" != "${rest#*/}" ]; do
        log=$log${rest%%/*}- rest=${rest#*/}
    done
    log=$log$rest
    [ ! -f "$log.status" ] || read -r status <"$log.status"
}
is_suite() { case $1 in "$build"/unit/*) ;; *) false ;; esac; }

judge_suite() { # SUITE
    log_of "$1"
    if [ "$status" = 0 ]; then
        n=$(sed -n 's/^100%: Checks: \([0-9]*\),.*/\1/p' "$log")
        passed=$((passed + ${n:-0}))
        [ "${n:-0}" -gt 0 ] || bad "$(basename "$1") ran no test"
    else
        bad "$(basename "$1")"
        tail -30 "$log"
    fi
}

# A script prints lines "ok NAME", "FAILED NAME: why" or "skipped NAME: why".
judge_script() { # SCRIPT
    log_of "$1"
    [ "$status" = 0 ] || echo "FAILED $1: exit status ${status:-none}" >>"$log"
    passed=$((passed + $(grep -ac '^ok ' "$log")))
    grep -av '^ok ' "$log" >"$work/rest" || return 0
    skipped=$((skipped + $(grep -ac '^skipped ' "$work/rest")))
    failed=$((failed + $(grep -ac '^FAILED ' "$work/rest")))
    cat "$work/rest"
}

# All in one queue, the long ones first: suites last, which take a moment each.
run_all() { # SCRIPT...
    set -- "$@" cases-0 cases-1 cases-2 cases-3
    for test in "$build"/unit/test_*; do
        [ -x "$test" ] && [ -f "$test" ] || continue
        case $test in *.d) continue ;; esac
        set -- "$@" "$test"
    done
    run_each "$@"
    for test in "$@"; do
        if is_suite "$test"; then judge_suite "$test"; else judge_script "$test"; fi
    done
}

case $mode in
bless)
    [ -n "${2:-}" ] || { echo "usage: make bless CASE=name" >&2; exit 2; }
    bless "$2"
    exit 0
    ;;
cases-?)
    run_cases "${mode#cases-}"
    exit 0
    ;;
asan)
    export ASAN_OPTIONS=detect_leaks=1 UBSAN_OPTIONS=print_stacktrace=1
    run_all tests/fault/*.sh tests/fuzz/replay.sh
    ;;
check)
    export CK_FORK="${CK_FORK:-no}" # a process for each test is for check-all
    run_all tests/fault/*.sh tests/pdf/*.sh tests/external/*.sh tests/fuzz/replay.sh
    ;;
check-all)
    export WHOLE=1 # what is a sample in check is all there is here
    run_all tests/long/*.sh tests/fault/*.sh tests/pdf/*.sh tests/external/*.sh tests/fuzz/replay.sh
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
