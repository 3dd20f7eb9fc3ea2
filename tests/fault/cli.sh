#!/bin/sh
# The command line: every way of getting it wrong has its exit status and says what to do.
cd "$TOP" || exit 3
expect() { # NAME STATUS WORDS -- ARGUMENTS
    name=$1 status=$2 words=$3
    shift 4
    # What is looked up with the same words need not be asked for again.
    case $* in
    "${last:-no}") ;;
    *) "$ENDFEEL" "$@" >"$WORK/out" 2>"$WORK/err" </dev/null; got=$? ;;
    esac
    case ${1:-} in lookup) last=$* ;; *) last=no ;; esac
    if [ "$got" != "$status" ]; then
        echo "FAILED $name: exit status $got instead of $status"
    elif [ -n "$words" ] && ! grep -qF -e "$words" "$WORK/out" "$WORK/err"; then
        echo "FAILED $name: does not say '$words' but: $(head -3 "$WORK/err")"
    else
        echo "ok $name"
    fi
}
one="$WORK/one.csv"
printf 'patient_id,visit_date,joint,motion,side,test,value\nP1,2025-03-14,knee,flexion,right,AROM,120\n' >"$one"

expect no-arguments 2 'usage:' --
expect help 0 'Exit status' -- --help
expect help-of-a-command 0 '--every-visit' -- report --help
expect version 0 'General Public License' -- --version
expect unknown-command 2 "did you mean 'report'" -- reprot x.csv
expect unknown-option 2 'did you mean --history' -- report --histroy x "$one"
expect shortened-option 2 'no option --hist' -- report --hist x "$one"
expect unknown-letter 2 'no option -z' -- report -z "$one"
expect missing-value 2 'needs a value' -- report "$one" --out
expect option-of-another-command 2 "not an option of 'check'" -- check --format xml "$one"
expect two-selections 2 'excludes' -- report --latest --every-visit "$one"
expect bad-date 2 'not a date' -- report --on 2025-02-30 "$one"
expect bad-jobs 2 'whole number' -- report -j 0 "$one"
expect bad-jobs-text 2 'whole number' -- report --jobs=two "$one"
expect bad-time-limit 2 'from 1 to 86400' -- report --time-limit 0 "$one"
expect bad-memory-limit 2 'whole number' -- check --memory-limit=1.5 "$one"
expect limits-of-merge 2 "not an option of 'merge'" -- merge --time-limit 5 out
expect bad-format 2 "did you mean 'xml'" -- findings --format xlm "$one"
expect bad-dump 2 "did you mean 'model'" -- check --dump modle "$one"
expect no-input-named 2 'name at least one' -- report
expect kind-twice 2 'once only' -- report -k chart,chart "$one"
expect unknown-kind 2 "did you mean 'chart'" -- report -k chrat -o "$WORK/o" "$one"
expect kind-with-slash 2 'no template' -- report -k ../chart -o "$WORK/o" "$one"
expect no-such-file 1 'cannot open' -- check "$WORK/none.csv"
expect empty-folder 1 'no .csv file' -- check "$(mktemp -d "$WORK/e.XXXX")"
expect no-such-reference 2 '' -- check --reference "$WORK/none" "$one"
expect no-such-templates 2 'cannot open' -- report --templates "$WORK/none" -o "$WORK/o" "$one"
expect no-such-clinic 2 '' -- report --clinic "$WORK/none.xml" -o "$WORK/o" "$one"
map="$WORK/map.xml"
printf '<column-map>\n<column header="id" to="patient_id"/>\n</column-map>\n' >"$map"
printf '<column-map>\n<column header="id" to="patient_i"/>\n</column-map>\n' >"$WORK/bad.xml"
expect map-that-fits 0 '1 rows in = 1 used' -- check --map "$map" "$one"
expect map-column-nowhere 0 'no file has this column' -- check --map "$map" "$one"
expect map-misspelt 2 'bad.xml:2: error: value not understood (to)' -- report --map "$WORK/bad.xml" -o "$WORK/o" "$one"
expect map-nearest 2 'nearest known: patient_id' -- findings --map "$WORK/bad.xml" "$one"
expect map-missing 2 'cannot open' -- check --map "$WORK/none.xml" "$one"
expect map-without-value 2 'needs a value' -- check "$one" --map
expect map-no-xml 2 'not well-formed' -- check --map "$one" "$one"
expect suggest-map 0 '<column-map>' -- check --suggest-map "$one"
expect suggest-map-by-map 2 'nearest known' -- check --suggest-map --map "$WORK/bad.xml" "$one"
expect suggest-map-of-report 2 "not an option of 'report'" -- report --suggest-map "$one"
expect suggest-map-no-file 1 'cannot open' -- check --suggest-map "$WORK/none.csv"
expect suggest-map-empty-folder 1 'no .csv file' -- check --suggest-map "$(mktemp -d "$WORK/e.XXXX")"
expect suggest-map-no-reference 2 '' -- check --suggest-map --reference "$WORK/none" "$one"
printf 'patient_id,visit_date,L hip felxion AROM\nP1,2025-03-14,90\n' >"$WORK/wide.csv"
expect wide-header-unknown 1 'nearest known: L hip flexion AROM' -- check "$WORK/wide.csv"
printf 'a;b,c\n' >"$WORK/marks.csv"
expect delimiter-asked 1 'declare delimiter' -- check "$WORK/marks.csv"
expect no-visit-on-that-date 0 'no visit matches' -- report --on 2020-01-01 -o "$WORK/o" "$one"
expect unwritable-folder 3 'cannot write' -- report -o /proc/none "$one"
expect option-with-equals 0 '' -- findings --format=xml "$one"
expect double-dash 0 '' -- check -- "$one"

# A file that is no export says why at once.
bad() { # NAME WORDS BYTES
    printf "$3" >"$WORK/bad.csv"
    expect "$1" 1 "$2" -- check "$WORK/bad.csv"
}
bad empty-file 'bad.csv: error' ''
bad two-columns-of-one-name 'bad.csv:1:2: error' 'patient_id,patient_id\nP1,P2\n'
bad no-patient-column 'bad.csv:1: error' 'name,age\nx,3\n'
bad binary-file 'bad.csv' '\377\376p\000a\000t\000'

# The reference entry of a motion, and what a code means.
expect lookup-all 0 'shoulder: flexion' -- lookup
expect lookup-joint 0 'flexion: 140 deg [CFR471_PLATES' -- lookup knee
expect lookup-joint-spelt-otherwise 0 'lateral-flexion: 45 deg' -- lookup Neck
expect lookup-normals 0 '140 deg: default, legal' -- lookup knee flexion
expect lookup-peers 0 'ROACH_MILES1991, unverified' -- lookup knee flexion
expect lookup-error 0 'rule of thumb 5, in deg' -- lookup knee flexion
expect lookup-derived-error 0 'derived MDC95' -- lookup shoulder abduction
expect lookup-landmarks 0 'fulcrum: Lateral epicondyle' -- lookup knee flexion
expect lookup-end-feel 0 'end feel: soft, also firm' -- lookup knee flexion
expect lookup-muscle-test 0 'prime movers: biceps femoris' -- lookup knee flexion
expect lookup-compensation 0 'to prevent: Hold the pelvis' -- lookup knee flexion
expect lookup-force 0 'lower-quartile' -- lookup knee flexion
expect lookup-activity 0 '(climb-stairs) [ROWE2000' -- lookup knee flexion
expect lookup-pattern 0 'Flexion much more than extension' -- lookup knee flexion
expect lookup-source 0 'CFR471_PLATES: 38 CFR' -- lookup knee flexion
expect lookup-myotome 0 'C8, flexor digitorum' -- lookup finger-dip flexion
expect lookup-strength-only 0 'elevation: strength only' -- lookup scapula
expect lookup-spelt-otherwise 0 'shoulder external-rotation' -- lookup 'Shoulder ER'
expect lookup-several-words 0 'shoulder external-rotation' -- lookup shoulder external rotation
expect lookup-thresholds 0 'adult-age: 18 years' -- lookup thresholds
expect explain-threshold-of-a-flag 0 'adult-age: 18 years' -- findings --explain no-child-norm
expect explain-thresholds-of-a-family 0 'icf-complete: 96 %' -- findings --explain icf
expect lookup-joint-misspelt 2 "did you mean 'shoulder'" -- lookup sholder
expect lookup-motion-misspelt 2 "did you mean 'knee flexion'" -- lookup knee flexon
expect lookup-no-such-joint 2 'lists what there is' -- lookup xyzzy
expect lookup-no-such-motion 2 "no motion 'zzzz'" -- lookup knee zzzz
expect lookup-other-reference 2 'cannot open' -- lookup --reference "$WORK/none" knee
expect lookup-takes-no-kind 2 "not an option of 'lookup'" -- lookup -k chart
expect lookup-into-a-file 0 '' -- lookup -o "$WORK/lookup" knee flexion
grep -q 'known by: unverified' "$WORK/lookup" && echo "ok lookup-file" || echo "FAILED lookup-file"
[ "$(awk '{ if (length($0) > 80 && $0 !~ /http/) n++ } END { print n + 0 }' "$WORK/lookup")" = 0 ] &&
    echo "ok lookup-is-80-wide" || echo "FAILED lookup-is-80-wide"
expect lookup-unwritable 3 'cannot write' -- lookup -o /proc/none/x knee
expect explain-counts-of-heel-rises 0 '25 rises for 5, 10 for 4, 1 for 3 [' -- findings --explain heel-rise-count-mismatch
expect explain-rank-of-sources 0 'rank 2: AAOS1994 (own)' -- findings --explain peers
expect explain-flag 0 'rule: deficit' -- findings --explain normal-other-position
expect explain-threshold 0 'tolerance: 5 deg' -- findings --explain passive-below-active
expect explain-grade-check 0 'condition: grade >= 3' -- findings --explain three-or-more-needs-full-range
expect explain-pattern 0 'may suggest' -- findings --explain painful-arc
expect explain-muscle-length 0 'limited in: knee straight' -- findings --explain short-calf
expect explain-score 0 'cut-off: below 48' -- findings --explain mrc-sum-score
expect explain-family 0 'computes: normal value - end' -- findings --explain deficit
expect explain-check-of-cells 0 'not in the table of grades' -- findings --explain not-an-existing-step
expect explain-message 0 'a fixed joint' -- findings --explain=cell-fixed-joint
expect explain-misspelt 2 "did you mean 'active-lag'" -- findings --explain active-lagg
expect explain-unknown 2 'docs/rules.md' -- findings --explain xyzzyxyzzy
expect explain-of-another-command 2 "not an option of 'check'" -- check --explain deficit "$one"

# Standard input, and standard output on a full device.
if "$ENDFEEL" findings - <"$one" 2>/dev/null | grep -q '^P1,2025-03-14,knee,flexion,right'; then
    echo "ok standard-input"
else
    echo "FAILED standard-input"
fi
if [ -c /dev/full ]; then
    "$ENDFEEL" findings "$one" >/dev/full 2>"$WORK/err"
    [ $? = 3 ] && grep -q 'cannot write' "$WORK/err" && echo "ok full-device" ||
        echo "FAILED full-device"
    "$ENDFEEL" lookup knee flexion >/dev/full 2>"$WORK/err"
    [ $? = 3 ] && grep -q 'cannot write' "$WORK/err" && echo "ok full-device-lookup" ||
        echo "FAILED full-device-lookup"
fi

# SOURCE_DATE_EPOCH decides what is future: the visit is held back a day before it.
SOURCE_DATE_EPOCH=1741824000 "$ENDFEEL" check "$one" >"$WORK/out" 2>&1
[ $? = 1 ] && grep -q 'future' "$WORK/out" && echo "ok future-by-epoch" || echo "FAILED future-by-epoch"
SOURCE_DATE_EPOCH=soon "$ENDFEEL" check "$one" >"$WORK/out" 2>&1
[ $? = 2 ] && echo "ok bad-epoch" || echo "FAILED bad-epoch"

# Shards, merging and print files.
expect shard-of-none 2 'K/N' -- report --shard 1 "$one"
expect shard-too-large 2 'K/N' -- report --shard 3/3 "$one"
expect shard-broken 2 'K/N' -- report --shard 0.5/3 "$one"
expect archive-and-attach 2 '--archive excludes --attach: an archive file (PDF/A-1b) has no file inside' -- report --archive --attach "$one"
expect archive-and-protect 2 '--archive excludes --protect: an archive file (PDF/A-1b) has no password' -- report --archive --protect "$one" "$one"
expect shard-and-print 2 'excludes' -- report --shard 0/3 --print-all "$one"
expect shard-and-dump 2 'excludes' -- report --shard 0/3 --dump pages "$one"
expect merge-nothing 2 'name one folder' -- merge
expect merge-two 2 'name one folder' -- merge a b
expect merge-with-inputs 2 "not an option of 'merge'" -- merge --every-visit out
expect protect-without-file 2 'cannot open' -- report --protect "$WORK/no.pw" -o "$WORK/o" "$one"
expect protect-check 2 "not an option of 'check'" -- check --protect x "$one"
